package lye_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/lye"
)

// draw is a recipe whose lye is the lye that its superfat asks for.
func draw(t *rapid.T) recipe {
	r := recipe{
		fats:     blends.Draw(t, "fats"),
		superfat: superfats.Draw(t, "superfat"),
		purity:   purities.Draw(t, "purity"),
	}
	r.lye = r.weigh(t, r.fats)
	return r
}

// weigh is the lye of other fats at the settings of the recipe.
func (r recipe) weigh(t *rapid.T, fats []lye.Portion) float64 {
	a, err := lye.Lye(fats, r.superfat, lye.Sodium(r.purity))
	require.NoError(t, err)
	return a.Sodium
}

// times multiplies every mass.
func times(k float64, fats []lye.Portion) []lye.Portion {
	out := make([]lye.Portion, len(fats))
	for i, p := range fats {
		out[i] = lye.Portion{Fat: p.Fat, Grams: k * p.Grams}
	}
	return out
}

func TestLyeIsLinearInEachMass(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := draw(t)
		extra := rapid.SampledFrom(r.fats).Draw(t, "more of")
		extra.Grams = rapid.Float64Range(0.1, 5000).Draw(t, "more")
		more := times(1, r.fats)
		for i := range more {
			if more[i].Fat.Name == extra.Fat.Name {
				more[i].Grams += extra.Grams
				break
			}
		}
		require.InEpsilon(t, r.lye+r.weigh(t, []lye.Portion{extra}), r.weigh(t, more), 1e-12)
	})
}

func TestScalingARecipeScalesItsLye(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := draw(t)
		k := rapid.Float64Range(0.01, 50).Draw(t, "k")
		require.InEpsilon(t, k*r.lye, r.weigh(t, times(k, r.fats)), 1e-12)
		// a power of two loses no bit, so that nothing excuses a difference
		require.Equal(t, 2*r.lye, r.weigh(t, times(2, r.fats)))
		require.Equal(t, r.lye/2, r.weigh(t, times(0.5, r.fats)))
	})
}

func TestBlendLiesBetweenItsFats(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := draw(t)
		least, most := inf, 0.0
		for _, p := range r.fats {
			perGram := r.weigh(t, []lye.Portion{p}) / p.Grams
			least, most = min(least, perGram), max(most, perGram)
		}
		got := r.lye / lye.TotalFat(r.fats)
		require.GreaterOrEqual(t, got, least*(1-1e-12))
		require.LessOrEqual(t, got, most*(1+1e-12))
	})
}

func TestBandIsOrderedAndGivesBackTheSuperfat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := draw(t)
		b, err := lye.BandOf(r.fats, naoh(r.lye, r.purity))
		require.NoError(t, err)
		require.LessOrEqual(t, b.Low, b.Typical)
		require.LessOrEqual(t, b.Typical, b.High)
		require.InDelta(t, r.superfat, b.Typical, 1e-12)
	})
}

func TestDemandIsLyeWithNothingToSpare(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := draw(t)
		d, err := lye.DemandOf(r.fats)
		require.NoError(t, err)
		require.LessOrEqual(t, d.Low, d.Typical)
		require.LessOrEqual(t, d.Typical, d.High)
		require.InEpsilon(t, d.Typical*(1-r.superfat), r.lye*r.purity, 1e-12)
	})
}

func TestLeastSuperfatIsSafeLye(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := draw(t)
		least, err := lye.LeastSuperfat(r.fats)
		require.NoError(t, err)
		most, err := lye.SafeLye(r.fats, lye.Sodium(r.purity))
		require.NoError(t, err)
		safe := most.Sodium
		r.superfat = least
		require.InEpsilon(t, safe, r.weigh(t, r.fats), 1e-12)
		require.Equal(t, lye.WithinBand, verdict(t, r.fats, safe, r.purity))
		require.Equal(t, least > 1e-6, verdict(t, r.fats, safe*(1+1e-7), r.purity) == lye.MayBeHeavy)
	})
}

func verdict(t *rapid.T, fats []lye.Portion, grams, purity float64) lye.Verdict {
	b, err := lye.BandOf(fats, naoh(grams, purity))
	require.NoError(t, err)
	return b.Verdict()
}

// TestMoreLyeIsNeverSafer: the verdicts are in order, worst first.
func TestMoreLyeIsNeverSafer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := draw(t)
		more := r.lye * rapid.Float64Range(1, 2).Draw(t, "more")
		require.LessOrEqual(t, verdict(t, r.fats, more, r.purity), verdict(t, r.fats, r.lye, r.purity))
	})
}

func TestFatForUndoesLye(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := draw(t)
		got, err := lye.FatFor(times(0.5, r.fats), naoh(r.lye, r.purity), r.superfat)
		require.NoError(t, err)
		require.InEpsilon(t, lye.TotalFat(r.fats), got, 1e-12)
	})
}

// TestWaysToSetWaterAgree: the mass that one way gives, put any other way, gives
// the same mass, and is of the strength asked for.
func TestWaysToSetWaterAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		grams := rapid.Float64Range(1, 5000).Draw(t, "lye")
		fat := rapid.Float64Range(1, 50_000).Draw(t, "fat")
		strength := rapid.Float64Range(0.051, 0.499).Draw(t, "strength")
		want, err := lye.Water{Kind: lye.ByStrength, Value: strength}.Grams(grams, fat)
		require.NoError(t, err)
		require.InEpsilon(t, strength, lye.Strength(grams, want), 1e-12)
		for _, w := range []lye.Water{
			{Kind: lye.ByRatio, Value: want / grams},
			{Kind: lye.ByShareOfFats, Value: want / fat},
			{Kind: lye.ByMass, Value: want},
		} {
			got, err := w.Grams(grams, fat)
			require.NoError(t, err)
			require.InEpsilon(t, want, got, 1e-12)
		}
	})
}

// TestNoFigureBreaksIt: whatever is typed, the answer is an error or a verdict,
// and lye to weigh is never NaN, without end or below zero.
func TestNoFigureBreaksIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		fats := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) lye.Portion {
			return lye.Portion{
				Fat:   rapid.SampledFrom(lye.Fats()).Draw(t, "fat"),
				Grams: anyFloat.Draw(t, "grams"),
			}
		}), 0, 3).Draw(t, "fats")
		r := recipe{fats, anyFloat.Draw(t, "lye"), anyFloat.Draw(t, "superfat"), anyFloat.Draw(t, "purity")}
		for _, call := range readFats {
			require.NotPanics(t, func() { _ = call(r) })
		}
		if a, err := lye.Lye(r.fats, r.superfat, lye.Sodium(r.purity)); err == nil {
			require.GreaterOrEqual(t, a.Sodium, 0.0)
			require.LessOrEqual(t, a.Sodium, math.MaxFloat64)
		}
	})
}

func TestNoWaterBreaksIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := lye.Water{Kind: lye.WaterKind(rapid.Uint8().Draw(t, "kind")), Value: anyFloat.Draw(t, "value")}
		grams, fat := anyFloat.Draw(t, "lye"), anyFloat.Draw(t, "fat")
		require.NotPanics(t, func() { _, _ = w.Grams(grams, fat) })
	})
}

func TestEveryBandHasAVerdict(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := lye.Band{Low: anyFloat.Draw(t, "low"), Typical: anyFloat.Draw(t, "typical"), High: anyFloat.Draw(t, "high")}
		require.Contains(t, []lye.Verdict{lye.LyeHeavy, lye.MayBeHeavy, lye.WithinBand, lye.VeryFatty}, b.Verdict())
	})
}
