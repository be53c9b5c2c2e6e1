package flock_test

import (
	"math/big"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/flock"
)

// exactTail is the sum in fractions, the plain way.
func exactTail(n, x int, p *big.Rat) float64 {
	sum, q := new(big.Rat), new(big.Rat).Sub(big.NewRat(1, 1), p)
	for k := 0; k <= x; k++ {
		term := new(big.Rat).SetInt(new(big.Int).Binomial(int64(n), int64(k)))
		for range k {
			term.Mul(term, p)
		}
		for range n - k {
			term.Mul(term, q)
		}
		sum.Add(sum, term)
	}
	f, _ := sum.Float64()
	return f
}

func TestTailAgainstFractions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 90).Draw(t, "n")
		x := rapid.IntRange(0, n).Draw(t, "x")
		p := rapid.Int64Range(0, 1000).Draw(t, "thousandths")
		want := exactTail(n, x, big.NewRat(p, 1000))
		require.InEpsilon(t, 1+want, 1+flock.Tail(n, x, float64(p)/1000), 1e-12)
	})
}

// TestLimitIsTheLast holds that the limit is rare enough and one more is not.
func TestLimitIsTheLast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 400).Draw(t, "n")
		p := rapid.Float64Range(0.01, 0.99).Draw(t, "p")
		alpha := rapid.Float64Range(0.0001, 0.2).Draw(t, "alpha")
		limit := flock.Limit(n, p, alpha)
		require.LessOrEqual(t, flock.Tail(n, limit, p), alpha)
		require.Greater(t, flock.Tail(n, limit+1, p), alpha)
	})
}

func TestLimitRisesWithHensAndRate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 200).Draw(t, "n")
		p := rapid.Float64Range(0, 0.99).Draw(t, "p")
		limit := flock.Limit(n, p, flock.OneIn)
		more := flock.Limit(n+rapid.IntRange(0, 50).Draw(t, "more hens"), p, flock.OneIn)
		better := flock.Limit(n, rapid.Float64Range(p, 0.995).Draw(t, "better"), flock.OneIn)
		require.GreaterOrEqual(t, more, limit)
		require.GreaterOrEqual(t, better, limit)
	})
}

func dayGen() *rapid.Generator[flock.Day] {
	return rapid.Custom(func(t *rapid.T) flock.Day {
		d := flock.Day{Hens: rapid.IntRange(8, 14).Draw(t, "hens"), Counted: rapid.IntRange(0, 9).Draw(t, "gap") > 0}
		d.Eggs = rapid.IntRange(0, d.Hens).Draw(t, "eggs")
		return d
	})
}

func flocks() *rapid.Generator[[]flock.Day] {
	return rapid.Custom(func(t *rapid.T) []flock.Day {
		days := rapid.SliceOfN(dayGen(), 1, 80).Draw(t, "days")
		if rapid.Bool().Draw(t, "even") { // so that many verdicts get past uneven
			for i := range days {
				days[i].Eggs = days[i].Hens*3/4 - days[i].Eggs%3 + 1
			}
		}
		return days
	})
}

func judged(t *rapid.T, days []flock.Day, s flock.Season) flock.Verdict {
	v, err := flock.Judge(days, s)
	require.NoError(t, err)
	return v
}

// TestGapsAreNotZeros holds that what is written on a day without a count is not read,
// and that days without one before all others change nothing.
func TestGapsAreNotZeros(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		days := flocks().Draw(t, "flock")
		days[0].Counted = false
		before := judged(t, days, flock.Season{})
		for i := range days {
			if !days[i].Counted {
				days[i].Eggs = rapid.IntRange(0, 99).Draw(t, "eggs of a gap")
			}
		}
		require.Equal(t, before, judged(t, days, flock.Season{}))
		gaps := make([]flock.Day, rapid.IntRange(1, 20).Draw(t, "gaps"))
		require.Equal(t, before, judged(t, append(gaps, days...), flock.Season{}))
	})
}

// TestVerdictsHangTogether holds what a desk relies on.
func TestVerdictsHangTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		days := flocks().Draw(t, "flock")
		season := rapid.SampledFrom([]flock.Season{{}, autumn, {Moulting: true}}).Draw(t, "season")
		kept := slices.Clone(days)
		course, err := flock.Course(days, season)
		require.NoError(t, err)
		require.Equal(t, kept, days, "the days are the caller's")
		require.Len(t, course, len(days))
		require.Equal(t, course[len(course)-1], judged(t, days, season))
		lastRing := -100
		for i, v := range course {
			require.Equal(t, !days[i].Counted, v.State == flock.NoCount)
			require.Equal(t, v.State == flock.Learn, v.Short > 0)
			require.Equal(t, v.State == flock.Drop || v.State == flock.Slide, len(v.Fired) > 0)
			require.Equal(t, len(v.Fired) > 0, len(v.Causes) > 0)
			require.True(t, !v.Ring || v.State == flock.Drop)
			require.False(t, v.State == flock.Slide && (v.Sudden() || season == flock.Season{}))
			if v.State == flock.Steady {
				lastRing = -100
			}
			if v.Ring && !v.Sudden() {
				require.GreaterOrEqual(t, i-lastRing, flock.Quiet)
			}
			if v.Ring {
				lastRing = i
			}
		}
	})
}

// TestFewerEggsAreNeverBetter takes eggs from the last day.
func TestFewerEggsAreNeverBetter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		days := flocks().Draw(t, "flock")
		last := &days[len(days)-1]
		last.Counted = true
		before := judged(t, days, flock.Season{})
		last.Eggs = rapid.IntRange(0, last.Eggs).Draw(t, "fewer")
		after := judged(t, days, flock.Season{})
		for _, f := range before.Fired {
			require.Contains(t, after.Fired, f)
		}
		require.LessOrEqual(t, after.Chance, before.Chance+1e-12)
	})
}

// TestTwiceTheFlock holds that the limit of the day is that of today's hens alone: the
// same rate with twice the hens on the last day is judged by the limit of so many.
func TestTwiceTheFlock(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		days := flocks().Draw(t, "flock")
		last := &days[len(days)-1]
		last.Counted = true
		before := judged(t, days, flock.Season{})
		last.Hens, last.Eggs = 2*last.Hens, 2*last.Eggs
		after := judged(t, days, flock.Season{})
		require.InDelta(t, before.Usual, after.Usual, 1e-12)
		require.InDelta(t, 2*before.Expected, after.Expected, 1e-9)
		if before.Spread == 1 && before.Short == 0 {
			require.Equal(t, flock.Limit(last.Hens, after.Usual, flock.OneIn), after.Limit)
		}
	})
}

func TestRatesStayWithinTheDays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		days := flocks().Draw(t, "flock")
		rate, err := flock.HenDay(days)
		if err != nil {
			require.ErrorIs(t, err, flock.ErrDays)
			return
		}
		low, high := 2.0, 0.0
		for _, d := range days {
			if d.Counted {
				r := float64(d.Eggs) / float64(d.Hens)
				low, high = min(low, r), max(high, r)
			}
		}
		require.GreaterOrEqual(t, rate, low-1e-12)
		require.LessOrEqual(t, rate, high+1e-12)
	})
}

// TestCausesAreAllThere holds that the order changes and nothing is left out.
func TestCausesAreAllThere(t *testing.T) {
	all := flock.Season{}.Causes(true)
	rapid.Check(t, func(t *rapid.T) {
		s := flock.Season{
			Light:       rapid.Float64Range(0, 24).Draw(t, "light"),
			LightBefore: rapid.Float64Range(0, 24).Draw(t, "before"),
			Weeks:       rapid.IntRange(0, 200).Draw(t, "weeks"),
			Moulting:    rapid.Bool().Draw(t, "moulting"),
			AirC:        rapid.Float64Range(-20, 40).Draw(t, "air"),
		}
		require.ElementsMatch(t, all, s.Causes(true))
		slow := s.Causes(false)
		require.ElementsMatch(t, all, slow)
		if s.AirC <= 32 && s.ShortDays() && !s.Moult() {
			require.Equal(t, "short days", slow[0].Name)
		}
	})
}
