package starter_test

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/starter"
)

func anyJar(t *rapid.T) starter.Jar {
	return starter.Jar{
		Grams:     rapid.Float64Range(1, 5000).Draw(t, "grams"),
		Hydration: rapid.Float64Range(0, starter.MaxHydration).Draw(t, "hydration"),
	}
}

func anyRatio(t *rapid.T) starter.Ratio {
	flour := rapid.Float64Range(0.1, 20).Draw(t, "flour part")
	return starter.Ratio{
		Starter: rapid.Float64Range(0.1, 5).Draw(t, "starter part"),
		Flour:   flour,
		Water:   flour * rapid.Float64Range(0, starter.MaxHydration).Draw(t, "water of flour"),
	}
}

// anyModel is a starter as a log of peaks can show it.
func anyModel(t *rapid.T) starter.Model {
	return starter.Model{
		Hours:  rapid.Float64Range(1, 12).Draw(t, "hours"),
		Spread: rapid.Float64Range(0, 0.9).Draw(t, "spread"),
	}
}

// conserved: nothing is lost between the old jar with what is added and the jar kept
// with what is used and left over, in whole and in flour, and the hydration lies
// between that of the old and that of the feed.
func conserved(t *rapid.T, have starter.Jar, need, keep float64, f starter.Feed) {
	total := need + keep
	require.InEpsilon(t, total, f.Total, 1e-9)
	require.InEpsilon(t, total, f.Old+f.Flour+f.Water, 1e-9)
	require.InDelta(t, have.Grams, f.Old+f.Discard, 1e-6*have.Grams)
	require.Equal(t, keep, f.After.Grams)
	require.GreaterOrEqual(t, f.Flour, 0.0)
	require.GreaterOrEqual(t, f.Water, 0.0)
	old := starter.Jar{Grams: f.Old, Hydration: have.Hydration}
	whole := starter.Jar{Grams: f.Total, Hydration: f.After.Hydration}
	require.InDelta(t, old.Flour()+f.Flour, whole.Flour(), 1e-6*total)
	require.InDelta(t, old.Water()+f.Water, whole.Water(), 1e-6*total)
}

func between(t *rapid.T, a, b, got float64) {
	require.GreaterOrEqual(t, got, min(a, b)-1e-9)
	require.LessOrEqual(t, got, max(a, b)+1e-9)
}

func TestBuildConserves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		have, r := anyJar(t), anyRatio(t)
		need := rapid.Float64Range(0, 3000).Draw(t, "need")
		keep := rapid.Float64Range(1, 100).Draw(t, "keep")
		old := (need + keep) * r.Starter / (r.Starter + r.Flour + r.Water)
		f, err := starter.Build(have, need, keep, r)
		if old > have.Grams*(1+1e-6) {
			require.ErrorIs(t, err, starter.ErrTooLittle)
			have.Grams = old
			_, err := starter.Build(have, need, keep, r)
			require.NoError(t, err, "the weight wanted is enough")
			return
		}
		require.NoError(t, err)
		conserved(t, have, need, keep, f)
		between(t, have.Hydration, r.Water/r.Flour, f.After.Hydration)
		require.InEpsilon(t, r.Flour/r.Starter, f.Ratio().Flour, 1e-9)
	})
}

func TestFromAllConserves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		have := anyJar(t)
		need := rapid.Float64Range(0, 9000).Draw(t, "need")
		keep := rapid.Float64Range(1, 100).Draw(t, "keep")
		to := rapid.Float64Range(0, starter.MaxHydration).Draw(t, "to")
		f, err := starter.FromAll(have, need, keep, to)
		if err != nil {
			require.ErrorIs(t, err, starter.ErrTooMuch)
			total := starter.Jar{Grams: need + keep, Hydration: to}
			require.True(t, have.Flour() > total.Flour() || have.Water() > total.Water())
			return
		}
		conserved(t, have, need, keep, f)
		require.Equal(t, have.Grams, f.Old)
		require.InDelta(t, to, f.After.Hydration, 1e-6)
	})
}

func TestRehydrateReaches(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		have := anyJar(t)
		to := rapid.Float64Range(0.01, starter.MaxHydration).Draw(t, "to")
		flour, water, err := starter.Rehydrate(have, to)
		require.NoError(t, err)
		require.True(t, flour == 0 || water == 0)
		require.InDelta(t, to, (have.Water()+water)/(have.Flour()+flour), 1e-9)
	})
}

func TestVolumeBetweenParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		have := anyJar(t)
		flour := rapid.Float64Range(0.1, 4).Draw(t, "flour")
		water := flour * rapid.Float64Range(0, 2).Draw(t, "water")
		feed, err := starter.ByVolume(flour, water, starter.CupUsual, starter.Jar{})
		require.NoError(t, err)
		got, err := starter.ByVolume(flour, water, starter.CupUsual, have)
		require.NoError(t, err)
		between(t, have.Hydration, feed.Hydration, got.Hydration)
		require.InEpsilon(t, have.Grams+feed.Grams, got.Grams, 1e-9)
		wettest, driest, err := starter.VolumeRange(flour, water, have)
		require.NoError(t, err)
		between(t, wettest.Hydration, driest.Hydration, got.Hydration)
		require.GreaterOrEqual(t, wettest.Hydration, driest.Hydration)
	})
}

func TestStepsReach(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		have := rapid.Float64Range(1, 100).Draw(t, "have")
		total := rapid.Float64Range(1, 1e5).Draw(t, "total")
		limit := rapid.Float64Range(1.1, 50).Draw(t, "limit")
		n, each, err := starter.Steps(have, total, limit)
		require.NoError(t, err)
		require.LessOrEqual(t, each, limit*(1+1e-6))
		require.InEpsilon(t, max(have, total), have*math.Pow(each, float64(n)), 1e-6)
		require.True(t, n == 0 || have*math.Pow(limit, float64(n-1)) < total, "a feed less would do")
	})
}

func TestRateRisesAndFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(-10, 50).Draw(t, "a")
		b := rapid.Float64Range(-10, 50).Draw(t, "b")
		a, b = min(a, b), max(a, b)
		ra, rb := starter.Rate(a), starter.Rate(b)
		require.True(t, ra >= 0 && ra <= 1)
		require.Equal(t, a > 8 && a < 35, ra > 0)
		if b <= 28 {
			require.LessOrEqual(t, ra, rb)
		}
		if a >= 28 {
			require.GreaterOrEqual(t, ra, rb)
		}
	})
}

func TestWarmerIsNeverSlower(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, m := anyRatio(t), anyModel(t)
		a := rapid.Float64Range(12, 28).Draw(t, "a")
		b := rapid.Float64Range(a, 28).Draw(t, "b")
		cold, err := starter.Peak(r, a, m)
		require.NoError(t, err)
		warm, err := starter.Peak(r, b, m)
		require.NoError(t, err)
		require.LessOrEqual(t, warm.Likely, cold.Likely)
		require.LessOrEqual(t, warm.Early, warm.Likely)
		require.LessOrEqual(t, warm.Likely, warm.Late)
	})
}

func TestBiggerFeedIsNeverFaster(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, m := anyRatio(t), anyModel(t)
		small, err := starter.Peak(r, 24, m)
		require.NoError(t, err)
		r.Flour += rapid.Float64Range(0, 10).Draw(t, "more")
		big, err := starter.Peak(r, 24, m)
		require.NoError(t, err)
		require.LessOrEqual(t, small.Likely, big.Likely)
	})
}

func TestSteadyOverIsPeak(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, m := anyRatio(t), anyModel(t)
		celsius := rapid.Float64Range(12, 34).Draw(t, "celsius")
		want, err := starter.Peak(r, celsius, m)
		require.NoError(t, err)
		got, err := starter.PeakOver(r, func(float64) float64 { return celsius }, m)
		require.NoError(t, err)
		require.InDelta(t, want.Early, got.Early, 1e-6)
		require.InDelta(t, want.Likely, got.Likely, 1e-6)
		require.InDelta(t, want.Late, got.Late, 1e-6)
	})
}

// TestOverLiesBetween: a day of two temperatures is between the steady ones.
func TestOverLiesBetween(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, m := anyRatio(t), anyModel(t)
		cold := rapid.Float64Range(14, 28).Draw(t, "cold")
		warm := rapid.Float64Range(cold, 28).Draw(t, "warm")
		turn := rapid.Float64Range(0, 24).Draw(t, "turn")
		got, err := starter.PeakOver(r, func(hour float64) float64 {
			if hour < turn {
				return warm
			}
			return cold
		}, m)
		require.NoError(t, err)
		slow, err := starter.Peak(r, cold, m)
		require.NoError(t, err)
		fast, err := starter.Peak(r, warm, m)
		require.NoError(t, err)
		require.LessOrEqual(t, fast.Likely, got.Likely+1e-6)
		require.LessOrEqual(t, got.Likely, slow.Likely+1e-6)
	})
}

func TestRefitOfExactLogs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyModel(t)
		var logs []starter.Log
		for range rapid.IntRange(3, 8).Draw(t, "logs") {
			l := starter.Log{Ratio: anyRatio(t), Celsius: rapid.Float64Range(14, 34).Draw(t, "celsius")}
			s, err := starter.Peak(l.Ratio, l.Celsius, m)
			require.NoError(t, err)
			if l.Hours = s.Likely; l.Hours < 0.01 {
				t.Skip("too short to watch")
			}
			logs = append(logs, l)
		}
		got, err := starter.Refit(logs)
		require.NoError(t, err)
		require.InEpsilon(t, m.Hours, got.Hours, 1e-9)
		require.Equal(t, len(logs), got.Logged)
		require.Empty(t, got.Aside)
		require.Less(t, got.Spread, starter.Usual.Spread)
	})
}

// TestRefitOfAny: whatever was watched, the model serves, and no log is lost.
func TestRefitOfAny(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var logs []starter.Log
		for range rapid.IntRange(0, 8).Draw(t, "logs") {
			logs = append(logs, starter.Log{
				Ratio: equal, Celsius: rapid.Float64Range(14, 34).Draw(t, "celsius"),
				Hours: rapid.Float64Range(0.1, 300).Draw(t, "hours"),
			})
		}
		m, err := starter.Refit(logs)
		require.NoError(t, err)
		require.Equal(t, len(logs), m.Logged+len(m.Aside))
		s, err := starter.Peak(equal, 28, m)
		require.NoError(t, err)
		require.Positive(t, s.Early)
	})
}

// TestFeedForIsNearest: no feed from 1:1:1 to 1:10:10 is nearer.
func TestFeedForIsNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyModel(t)
		celsius := rapid.Float64Range(14, 34).Draw(t, "celsius")
		hours := rapid.Float64Range(1, 48).Draw(t, "wanted")
		r, err := starter.FeedFor(hours, celsius, m)
		require.NoError(t, err)
		got, err := starter.Peak(r, celsius, m)
		require.NoError(t, err)
		for n := 1.0; n <= 10; n++ {
			s, err := starter.Peak(starter.Ratio{Starter: 1, Flour: n, Water: n}, celsius, m)
			require.NoError(t, err)
			require.LessOrEqual(t, math.Abs(got.Likely-hours), math.Abs(s.Likely-hours))
		}
	})
}

// TestWarmerIsHungrySooner, on the counter and up to the optimum; a jar of 12 hours
// at 24 °C is due, and hours gone by count one for one.
func TestWarmerIsHungrySooner(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(9, 34).Draw(t, "a")
		b := rapid.Float64Range(a, 34).Draw(t, "b")
		since := rapid.Float64Range(0, 100).Draw(t, "since")
		cold, err := starter.NextFeed(starter.Counter, a, since)
		require.NoError(t, err)
		warm, err := starter.NextFeed(starter.Counter, b, since)
		require.NoError(t, err)
		require.LessOrEqual(t, warm.Every, cold.Every)
		require.InDelta(t, warm.Every-since, warm.In, 1e-9)
		require.True(t, warm.Every >= 9.7 && cold.Every <= 24)
	})
}

func TestDoughAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		total := rapid.Float64Range(100, 20000).Draw(t, "total")
		h := rapid.Float64Range(0.5, 1.2).Draw(t, "hydration")
		salt := rapid.Float64Range(0, 0.03).Draw(t, "salt")
		levain := rapid.Float64Range(0, 0.5).Draw(t, "levain")
		at := rapid.Float64Range(0.5, 2).Draw(t, "at")
		m, err := starter.DoughFor(total, h, salt, levain, at)
		if err != nil {
			require.True(t, errors.Is(err, starter.ErrTooMuch), "%v", err)
			require.Greater(t, levain*at/(1+at), h, "its water is more than the dough's")
			return
		}
		old := starter.Jar{Grams: m.Starter, Hydration: at}
		flour := m.Flour + old.Flour()
		require.InEpsilon(t, total, m.Total, 1e-9)
		require.InEpsilon(t, total, m.Flour+m.Water+m.Salt+m.Starter, 1e-9)
		require.InEpsilon(t, h, (m.Water+old.Water())/flour, 1e-9)
		require.InDelta(t, salt, m.Salt/flour, 1e-9)
		require.InDelta(t, levain, m.Starter/flour, 1e-9)
		again, err := starter.Dough(flour, h, salt, old)
		require.NoError(t, err)
		require.InEpsilon(t, m.Total, again.Total, 1e-9)
	})
}

// TestWaterMakesTheDough: the mean of what goes in, with the friction, is what was
// wanted.
func TestWaterMakesTheDough(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		wanted := rapid.Float64Range(20, 30).Draw(t, "wanted")
		room := rapid.Float64Range(5, 40).Draw(t, "room")
		flour := rapid.Float64Range(5, 40).Draw(t, "flour")
		preferment := rapid.Float64Range(5, 40).Draw(t, "preferment")
		friction := rapid.Float64Range(0, 14).Draw(t, "friction")
		has := rapid.Bool().Draw(t, "has")
		got, err := starter.WaterTemp(wanted, room, flour, preferment, has, friction)
		sum, n := room+flour+friction+got, 3.0
		if has {
			sum, n = sum+preferment, 4
		}
		require.InDelta(t, wanted, sum/n, 1e-9)
		require.Equal(t, got > starter.HottestWater+1e-6, errors.Is(err, starter.ErrHot))
		require.Equal(t, got < -1e-6, errors.Is(err, starter.ErrIce))
	})
}
