package breeding_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/breeding"
)

func anyLength(t *rapid.T) breeding.Length {
	return rapid.SampledFrom(breeding.Lengths()).Draw(t, "length")
}

func anyDay(t *rapid.T, name string) time.Time {
	return time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, rapid.IntRange(0, 4000).Draw(t, name))
}

// days counts calendar days one by one, apart from the package.
func days(from, to time.Time) int {
	n := 0
	for d := from; d.Before(to); d = d.AddDate(0, 0, 1) {
		n++
	}
	return n
}

func TestWindowHoldsDue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, service := anyLength(t), anyDay(t, "service")
		e := breeding.Due(l, service)
		require.False(t, e.Earliest.After(e.Due))
		require.False(t, e.Latest.Before(e.Due))
		require.Equal(t, l.Typical, days(service, e.Due))
		require.Equal(t, l.Max-l.Min, days(e.Earliest, e.Latest))
		require.Equal(t, time.UTC, e.Due.Location())
		require.Zero(t, e.Due.Hour())
	})
}

func TestTurningStopsThreeDaysBefore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, set := anyLength(t), anyDay(t, "set")
		h, err := breeding.Incubate(l, set)
		if l.Kind == breeding.Gestation {
			require.ErrorIs(t, err, breeding.ErrLength)
			return
		}
		require.NoError(t, err)
		require.Equal(t, 3, days(h.StopTurning, h.Hatch))
		for _, c := range h.Candle {
			require.True(t, c.After(set) && c.Before(h.Hatch))
		}
	})
}

// TestServicesWiden: an earlier service opens the window earlier, a later one moves the
// plan, in whatever order they are told.
func TestServicesWiden(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, a := anyLength(t), anyDay(t, "first")
		b := a.AddDate(0, 0, rapid.IntRange(0, 60).Draw(t, "later"))
		e, err := breeding.Served(l, b, a)
		require.NoError(t, err)
		same, err := breeding.Served(l, a, b)
		require.NoError(t, err)
		require.Equal(t, same, e)
		require.Equal(t, breeding.Due(l, a).Earliest, e.Earliest)
		require.Equal(t, breeding.Due(l, b).Due, e.Due)
		require.Equal(t, breeding.Due(l, b).Latest, e.Latest)
	})
}

// TestExposureCoversEveryDay: any day of service within lies in the window.
func TestExposureCoversEveryDay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, in := anyLength(t), anyDay(t, "in")
		stay := rapid.IntRange(0, 120).Draw(t, "stay")
		e, err := breeding.Exposed(l, in, in.AddDate(0, 0, stay))
		require.NoError(t, err)
		require.Equal(t, stay == 0, e.OneDate)
		one := breeding.Due(l, in.AddDate(0, 0, rapid.IntRange(0, stay).Draw(t, "on")))
		require.False(t, one.Earliest.Before(e.Earliest))
		require.False(t, one.Latest.After(e.Latest))
	})
}

func TestTasksAreInOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, service := anyLength(t), anyDay(t, "service")
		e := breeding.Due(l, service)
		run := breeding.RunUp(l, e)
		require.NotEmpty(t, run)
		for _, list := range [][]breeding.Dated{run, breeding.AfterBirth(l, e.Due), breeding.AfterWeaning(l, e.Due)} {
			for i, d := range list {
				require.False(t, d.To.Before(d.From), d.Name)
				require.True(t, i == 0 || !d.From.Before(list[i-1].From), d.Name)
				require.NotEmpty(t, d.Title)
				require.Equal(t, strings.ToLower(strings.ReplaceAll(d.Name, " ", "-")), d.Name)
				require.NotEmpty(t, d.Source)
			}
		}
		for _, d := range run {
			require.False(t, d.From.Before(service), "%s comes before the service", d.Name)
			require.False(t, d.From.After(e.Due), "%s comes after the birth", d.Name)
		}
		for _, d := range breeding.AfterBirth(l, e.Due) {
			require.False(t, d.From.Before(e.Due), d.Name)
		}
	})
}

// TestOwnDaysShift: own days move all dates alike.
func TestOwnDaysShift(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, service := anyLength(t), anyDay(t, "service")
		by := rapid.IntRange(-5, 10).Draw(t, "by")
		own, err := l.WithDays(l.Typical + by)
		require.NoError(t, err)
		a, b := breeding.Due(l, service), breeding.Due(own, service)
		require.Equal(t, a.Due.AddDate(0, 0, by), b.Due)
		require.Equal(t, a.Earliest.AddDate(0, 0, by), b.Earliest)
		require.Equal(t, a.Latest.AddDate(0, 0, by), b.Latest)
	})
}

// TestLookupTakesAnything: any words are looked up without a fault, and other words
// change nothing.
func TestLookupTakesAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		breeding.Lookup(rapid.String().Draw(t, "words"))
		s := rapid.SampledFrom(breeding.AllSpecies()).Draw(t, "species")
		w := rapid.SampledFrom(s.Words()).Draw(t, "word")
		require.Equal(t, breeding.Lookup(w), breeding.Lookup("about our "+w+", the one at the gate"))
	})
}

func TestHatchSharesAreShares(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		set := rapid.IntRange(1, 200).Draw(t, "set")
		barren := rapid.IntRange(0, set).Draw(t, "barren")
		hatched := rapid.IntRange(0, set-barren).Draw(t, "hatched")
		r, err := breeding.HatchRate(set, barren, hatched)
		require.NoError(t, err)
		for _, x := range []float64{r.OfSet, r.Fertile, r.OfFertile} {
			require.True(t, x >= 0 && x <= 1)
		}
		require.InDelta(t, r.OfSet, r.Fertile*r.OfFertile, 1e-9)
	})
}
