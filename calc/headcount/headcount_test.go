package headcount_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/calc/headcount"
)

func TestWhoCannotBe(t *testing.T) {
	tests := []struct {
		name string
		e    headcount.Eater
		want error
	}{
		{"under one year", headcount.Eater{Age: 0}, headcount.ErrInfant},
		{"not born", headcount.Eater{Age: -1}, headcount.ErrEater},
		{"too old", headcount.Eater{Age: 121}, headcount.ErrEater},
		{"sex", headcount.Eater{Age: 30, Sex: 3}, headcount.ErrEater},
		{"activity", headcount.Eater{Age: 30, Activity: 3}, headcount.ErrEater},
		{"appetite below 0", headcount.Eater{Age: 30, Appetite: -1}, headcount.ErrEater},
		{"appetite of a bird", headcount.Eater{Age: 30, Appetite: 0.01}, headcount.ErrEater},
		{"appetite of a horse", headcount.Eater{Age: 30, Appetite: 50}, headcount.ErrEater},
		{"appetite no number", headcount.Eater{Age: 30, Appetite: math.NaN()}, headcount.ErrEater},
		{"appetite without end", headcount.Eater{Age: 30, Appetite: math.Inf(1)}, headcount.ErrEater},
		{"trimester", headcount.Eater{Age: 30, Sex: headcount.Female, Expecting: 4}, headcount.ErrEater},
		{"trimester below 0", headcount.Eater{Age: 30, Sex: headcount.Female, Expecting: -1}, headcount.ErrEater},
		{"half-year", headcount.Eater{Age: 30, Sex: headcount.Female, Nursing: 3}, headcount.ErrEater},
		{"half-year below 0", headcount.Eater{Age: 30, Sex: headcount.Female, Nursing: -1}, headcount.ErrEater},
		{"man", headcount.Eater{Age: 30, Sex: headcount.Male, Expecting: 1}, headcount.ErrEater},
		{"child", headcount.Eater{Age: 13, Sex: headcount.Female, Expecting: 1}, headcount.ErrEater},
		{"of 51", headcount.Eater{Age: 51, Sex: headcount.Female, Nursing: 1}, headcount.ErrEater},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := headcount.Energy(tt.e)
			require.ErrorIs(t, err, tt.want)
			_, err = headcount.Equivalent(tt.e)
			require.ErrorIs(t, err, tt.want)
			_, _, err = headcount.EquivalentRange(tt.e)
			require.ErrorIs(t, err, tt.want)
		})
	}
}

func TestExpectingAndNursing(t *testing.T) {
	got, err := headcount.Energy(headcount.Eater{Age: 30, Sex: headcount.Female, Activity: headcount.Moderate, Expecting: 2, Nursing: 2})
	require.NoError(t, err)
	require.InDelta(t, 2000+340+400, got, 1e-9)
}

// TestHeavyAddsToTheWork: what a child not born needs does not grow with the haying.
func TestHeavyAddsToTheWork(t *testing.T) {
	e := headcount.Eater{Age: 30, Sex: headcount.Female, Activity: headcount.Moderate, Expecting: 2, Heavy: true}
	low, high, err := headcount.EquivalentRange(e)
	require.NoError(t, err)
	require.InDelta(t, (2400*1.10+340)/2000, low, 1e-9)
	require.InDelta(t, (2400*1.25+340)/2000, high, 1e-9)
}

func TestFactorRefuses(t *testing.T) {
	for _, v := range []float64{-1, 1e6, math.NaN(), math.Inf(1), math.Inf(-1)} {
		t.Run(fmt.Sprint(v), func(t *testing.T) {
			_, err := headcount.Factor(v, 1, 1, 6)
			require.ErrorIs(t, err, headcount.ErrInput)
			_, err = headcount.Factor(1, v, 1, 6)
			require.ErrorIs(t, err, headcount.ErrInput)
			_, err = headcount.Factor(1, 1, v, 6)
			require.ErrorIs(t, err, headcount.ErrInput)
			_, err = headcount.Factor(1, 1, 1, v)
			require.ErrorIs(t, err, headcount.ErrInput)
		})
	}
	_, err := headcount.Factor(8, 0, 0, 0)
	require.ErrorIs(t, err, headcount.ErrInput)
	_, err = headcount.Factor(0, 0, 0, 6)
	require.ErrorIs(t, err, headcount.ErrInput)
	got, err := headcount.Factor(0, 0, 6, 6)
	require.NoError(t, err)
	require.InDelta(t, 1, got, 1e-9)
}

func TestPortions(t *testing.T) {
	all := headcount.Portions()
	require.Len(t, all, 11)
	for _, s := range all {
		got, err := headcount.Portion(s.What)
		require.NoError(t, err)
		require.Equal(t, s, got)
	}
	all[0].Low = 0
	require.NotZero(t, headcount.Portions()[0].Low, "a caller does not change the table")
	_, err := headcount.Portion("moss")
	require.ErrorIs(t, err, headcount.ErrPortion)
}

func ExampleFactor() {
	k, err := headcount.Factor(8, 4, 6, 6)
	fmt.Println(k, err)
	// Output: 3 <nil>
}

func ExampleEquivalent() {
	got, err := headcount.Equivalent(headcount.Eater{Age: 15, Sex: headcount.Male, Activity: headcount.Moderate})
	fmt.Println(got, err)
	// Output: 1.3 <nil>
}
