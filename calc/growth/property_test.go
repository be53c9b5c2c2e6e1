package growth_test

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/growth"
)

// TestUnitsAgree: the same animal in inches and in cm has the same weight, which grows
// with the square of the girth and with the length.
func TestUnitsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.SampledFrom(growth.Tapes()).Draw(t, "kind")
		girth := rapid.Float64Range(k.Girth.Low+1e-6, k.Girth.High-1e-6).Draw(t, "girth")
		length := rapid.Float64Range(k.Length.Low+1e-6, k.Length.High-1e-6).Draw(t, "length")
		cm, err := growth.GirthWeight(k.Kind, girth, length)
		require.NoError(t, err)
		in, err := growth.GirthWeightInches(k.Kind, girth/growth.CMPerInch, length/growth.CMPerInch)
		require.NoError(t, err)
		require.InEpsilon(t, cm.KG, in.KG, 1e-9)
		require.True(t, cm.Low < cm.KG && cm.KG < cm.High)
		by := rapid.Float64Range(1, 2).Draw(t, "by")
		if girth*by < k.Girth.High {
			more, err := growth.GirthWeight(k.Kind, girth*by, length)
			require.NoError(t, err)
			require.InEpsilon(t, cm.KG*by*by, more.KG, 1e-9)
		}
	})
}

func anyTime(t *rapid.T, name string) time.Time {
	return morning.Add(time.Duration(rapid.IntRange(0, 100000).Draw(t, name)) * time.Minute)
}

func anyTreatment(t *rapid.T) growth.Treatment {
	var doses []time.Time
	for range rapid.IntRange(1, 4).Draw(t, "doses") {
		doses = append(doses, anyTime(t, "dose"))
	}
	return growth.Treatment{Doses: doses, Milk: hours(t, float64(rapid.IntRange(0, 2000).Draw(t, "hours")))}
}

func TestNeverBeforeTheLastDose(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		treated := anyTreatment(t)
		c := release(t, growth.Milk, treated)
		for _, d := range treated.Doses {
			require.False(t, c.At.Before(d))
		}
		wait, _ := treated.Milk.Known()
		require.Equal(t, wait, c.At.Sub(treated.Last()))
	})
}

// TestLatestWins: of several treatments the latest release holds, whatever their
// order, and one more never brings it forward.
func TestLatestWins(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyTreatment(t), anyTreatment(t)
		both := release(t, growth.Milk, a, b)
		require.True(t, both.At.Equal(release(t, growth.Milk, b, a).At))
		one, other := release(t, growth.Milk, a).At, release(t, growth.Milk, b).At
		require.False(t, both.At.Before(one) || both.At.Before(other))
		require.True(t, both.At.Equal(one) || both.At.Equal(other))
	})
}

// TestUnknownStaysUnknown: no other treatment and no time releases what one label
// leaves open.
func TestUnknownStaysUnknown(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := release(t, growth.Milk, anyTreatment(t), growth.Treatment{Doses: []time.Time{anyTime(t, "open")}}, anyTreatment(t))
		require.True(t, c.Unknown)
		require.False(t, c.Free(anyTime(t, "at").AddDate(rapid.IntRange(0, 50).Draw(t, "years"), 0, 0)))
	})
}

// TestStraightGrowthIsFound: weighings on a straight line give its gain and the day on
// which it crosses the target, inside the band.
func TestStraightGrowthIsFound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		gain := rapid.Float64Range(0.3, 2).Draw(t, "gain")
		start := rapid.Float64Range(20, 60).Draw(t, "start")
		day := date(t, "2027-01-01")
		var ws []growth.Weighing
		for i := range rapid.IntRange(2, 6).Draw(t, "n") {
			ws = append(ws, growth.Weighing{Day: day.AddDate(0, 0, 20*i), KG: start + 20*gain*float64(i)})
		}
		last := ws[len(ws)-1]
		more := rapid.Float64Range(1, 80).Draw(t, "more")
		f, err := growth.Reach(rapid.Permutation(ws).Draw(t, "order"), last.KG+more)
		require.NoError(t, err)
		require.InEpsilon(t, gain, f.Gain, 1e-6)
		require.InDelta(t, more/gain, f.Day.Sub(last.Day).Hours()/24, 0.51)
		require.True(t, f.GainBand.Low < gain && gain < f.GainBand.High)
		require.False(t, f.Early.After(f.Day))
		require.False(t, f.Early.Before(last.Day))
		require.True(t, f.Late.IsZero() || !f.Late.Before(f.Day))
	})
}

// TestBandHolds: with weighings off by their stated error, the true day lies in the
// band nineteen times in twenty.
func TestBandHolds(t *testing.T) {
	noise := rand.New(rand.NewPCG(7, 11)).NormFloat64
	day, inside, n := date(t, "2027-01-01"), 0, 4000
	for range n {
		var ws []growth.Weighing
		for i := range 4 {
			kg := 30 + 0.8*float64(20*i)
			ws = append(ws, growth.Weighing{Day: day.AddDate(0, 0, 20*i), KG: kg * (1 + growth.ScaleError*noise()), Error: growth.ScaleError})
		}
		f, err := growth.Reach(ws, 110) // truly on day 100
		require.NoError(t, err)
		if truly := day.AddDate(0, 0, 100); !truly.Before(f.Early) && (f.Late.IsZero() || !truly.After(f.Late)) {
			inside++
		}
	}
	share := float64(inside) / float64(n)
	t.Logf("%.3f inside", share)
	require.Greater(t, share, 0.94)
}

func TestYieldsAreLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		live := rapid.Float64Range(20, 400).Draw(t, "live")
		y, err := growth.Pig(live, rapid.Bool().Draw(t, "lard type"))
		require.NoError(t, err)
		for _, b := range []growth.Band{y.Carcass, y.Cuts, y.Fat, y.Lard} {
			require.True(t, 0 < b.Low && b.Low <= b.Typical && b.Typical <= b.High && b.High < live)
		}
		require.Less(t, y.Lard.High, y.Fat.High)
		require.Less(t, y.Fat.High, y.Carcass.High)
	})
}
