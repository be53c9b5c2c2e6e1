package headcount_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/headcount"
)

func anyEater(t *rapid.T) headcount.Eater {
	e := headcount.Eater{
		Age:      rapid.IntRange(1, 120).Draw(t, "age"),
		Sex:      headcount.Sex(rapid.IntRange(0, 2).Draw(t, "sex")),
		Activity: headcount.Activity(rapid.IntRange(0, 2).Draw(t, "activity")),
		Appetite: rapid.Float64Range(0.1, 5).Draw(t, "appetite"),
		Heavy:    rapid.Bool().Draw(t, "heavy"),
	}
	if e.Sex != headcount.Male && e.Age >= 14 && e.Age <= 50 {
		e.Expecting = rapid.IntRange(0, 3).Draw(t, "expecting")
		e.Nursing = rapid.IntRange(0, 2).Draw(t, "nursing")
	}
	return e
}

func equivalent(t *rapid.T, e headcount.Eater) float64 {
	got, err := headcount.Equivalent(e)
	require.NoError(t, err)
	return got
}

// TestEveryEaterEats: whoever can be has a portion, and it lies in its range.
func TestEveryEaterEats(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := anyEater(t)
		got := equivalent(t, e)
		low, high, err := headcount.EquivalentRange(e)
		require.NoError(t, err)
		require.Greater(t, low, 0.0)
		require.LessOrEqual(t, low, got+1e-9)
		require.LessOrEqual(t, got, high+1e-9)
		kcal, err := headcount.Energy(e)
		require.NoError(t, err)
		require.InEpsilon(t, kcal/headcount.Reference*e.Appetite, got, 1e-9)
		require.True(t, kcal >= 800 && kcal <= 5000, "%g", kcal)
	})
}

func TestBiggerAppetiteIsNeverLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := anyEater(t)
		small := equivalent(t, e)
		e.Appetite = rapid.Float64Range(e.Appetite, 5).Draw(t, "bigger")
		require.GreaterOrEqual(t, equivalent(t, e), small)
	})
}

func TestMoreWorkIsNeverLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := anyEater(t)
		e.Heavy = false
		before := 0.0
		for _, a := range []headcount.Activity{headcount.Sedentary, headcount.Moderate, headcount.Active} {
			e.Activity = a
			got := equivalent(t, e)
			require.GreaterOrEqual(t, got, before)
			before = got
		}
		e.Heavy = true
		require.Greater(t, equivalent(t, e), before)
	})
}

// TestUnknownIsTheMean of the two sexes.
func TestUnknownIsTheMean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := anyEater(t)
		e.Expecting, e.Nursing = 0, 0
		e.Sex = headcount.Unknown
		got := equivalent(t, e)
		e.Sex = headcount.Male
		m := equivalent(t, e)
		e.Sex = headcount.Female
		f := equivalent(t, e)
		require.InEpsilon(t, (m+f)/2, got, 1e-9)
	})
}

func TestNoAppetiteSetIsOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := anyEater(t)
		e.Appetite = 1
		one := equivalent(t, e)
		e.Appetite = 0
		require.Equal(t, one, equivalent(t, e))
	})
}

// TestFactorServes: the recipe times the factor is what is eaten.
func TestFactorServes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		now := rapid.Float64Range(0.1, 100).Draw(t, "now")
		left := rapid.Float64Range(0, 100).Draw(t, "leftovers")
		away := rapid.Float64Range(0, 100).Draw(t, "away")
		servings := rapid.Float64Range(1, 50).Draw(t, "servings")
		k, err := headcount.Factor(now, left, away, servings)
		require.NoError(t, err)
		require.InEpsilon(t, now+left+away, k*servings, 1e-9)
	})
}
