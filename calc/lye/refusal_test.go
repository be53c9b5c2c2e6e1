package lye_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/calc/lye"
)

// recipe is what a call may be given.
type recipe struct {
	fats                  []lye.Portion
	lye, superfat, purity float64
}

// sound is a recipe that every call takes.
func sound(t require.TestingT) recipe { return recipe{lard(t, 1000), 130, 0.05, 1} }

// TestErrors: the bounds are the household's (common practice, see the
// constants); a bound itself is in.
func TestErrors(t *testing.T) {
	fats := func(p ...lye.Portion) func(*recipe) { return func(r *recipe) { r.fats = p } }
	masses := func(grams ...float64) func(*recipe) { return fats(lard(t, grams...)...) }
	weighed := func(v float64) func(*recipe) { return func(r *recipe) { r.lye = v } }
	superfat := func(v float64) func(*recipe) { return func(r *recipe) { r.superfat = v } }
	purity := func(v float64) func(*recipe) { return func(r *recipe) { r.purity = v } }
	tests := []struct {
		name  string
		edit  func(*recipe)
		calls []func(recipe) error
		want  error
	}{
		{"no fat", fats(), readFats, lye.ErrNoFat},
		{"fat of no mass", masses(0), readFats, lye.ErrMass},
		{"fat below zero", masses(-1), readFats, lye.ErrMass},
		{"fat of NaN", masses(nan), readFats, lye.ErrMass},
		{"fat without end", masses(inf), readFats, lye.ErrMass},
		{"fat below every number", masses(-inf), readFats, lye.ErrMass},
		{"fat above the most", masses(math.Nextafter(lye.MaxFat, inf)), readFats, lye.ErrMass},
		{"second fat of no mass", masses(1000, 0), readFats, lye.ErrMass},
		{"the most fat", masses(lye.MaxFat), readFats, nil},
		{"a crumb of fat", masses(1e-6), readFats, nil},
		{"no lye", weighed(0), readLye, lye.ErrMass},
		{"lye below zero", weighed(-1), readLye, lye.ErrMass},
		{"lye of NaN", weighed(nan), readLye, lye.ErrMass},
		{"lye without end", weighed(inf), readLye, lye.ErrMass},
		{"superfat below zero", superfat(-1e-9), readSuperfat, lye.ErrSuperfat},
		{"superfat above the most", superfat(0.401), readSuperfat, lye.ErrSuperfat},
		{"superfat as a percentage", superfat(5), readSuperfat, lye.ErrSuperfat},
		{"superfat of NaN", superfat(nan), readSuperfat, lye.ErrSuperfat},
		{"superfat without end", superfat(inf), readSuperfat, lye.ErrSuperfat},
		{"no superfat", superfat(0), readSuperfat, nil},
		{"the most superfat", superfat(0.40), readSuperfat, nil},
		{"no purity", purity(0), readPurity, lye.ErrPurity},
		{"purity below the least", purity(0.499), readPurity, lye.ErrPurity},
		{"purity above one", purity(1.001), readPurity, lye.ErrPurity},
		{"purity as a percentage", purity(98), readPurity, lye.ErrPurity},
		{"purity of NaN", purity(nan), readPurity, lye.ErrPurity},
		{"the least purity", purity(0.50), readPurity, nil},
		{"pure", purity(1), readPurity, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := sound(t)
			tt.edit(&r)
			for _, call := range tt.calls {
				require.ErrorIs(t, call(r), tt.want)
			}
		})
	}
}

// TestWaterErrors: 100 g of lye and 1000 g of fat; the solution may hold from 5
// to 50 % of lye (solubility of NaOH at 20 C is 52 %).
func TestWaterErrors(t *testing.T) {
	tests := []struct {
		name  string
		kind  lye.WaterKind
		value float64
		ok    bool
	}{
		{"strength of zero", lye.ByStrength, 0, false},
		{"strength below zero", lye.ByStrength, -0.3, false},
		{"strength of one", lye.ByStrength, 1, false},
		{"strength as a percentage", lye.ByStrength, 30, false},
		{"strength of NaN", lye.ByStrength, nan, false},
		{"too strong", lye.ByStrength, 0.501, false},
		{"strongest", lye.ByStrength, 0.50, true},
		{"weakest", lye.ByStrength, 0.0501, true},
		{"too weak", lye.ByStrength, 0.0499, false},
		{"ratio of zero", lye.ByRatio, 0, false},
		{"ratio below zero", lye.ByRatio, -2, false},
		{"ratio of NaN", lye.ByRatio, nan, false},
		{"ratio without end", lye.ByRatio, inf, false},
		{"equal masses", lye.ByRatio, 1, true},
		{"ratio below one", lye.ByRatio, 0.99, false},
		{"share of zero", lye.ByShareOfFats, 0, false},
		{"share of NaN", lye.ByShareOfFats, nan, false},
		{"share as a percentage", lye.ByShareOfFats, 38, false},
		{"share", lye.ByShareOfFats, 0.38, true},
		{"no water", lye.ByMass, 0, false},
		{"water below zero", lye.ByMass, -300, false},
		{"water of NaN", lye.ByMass, nan, false},
		{"water without end", lye.ByMass, inf, false},
		{"too little water", lye.ByMass, 99, false},
		{"water", lye.ByMass, 300, true},
		{"a kind that is none", lye.ByMass + 1, 300, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			g, err := lye.Water{Kind: tt.kind, Value: tt.value}.Grams(100, 1000)
			if tt.ok {
				require.NoError(t, err)
				require.Positive(t, g)
				return
			}
			require.ErrorIs(t, err, lye.ErrWater)
			require.Zero(t, g)
		})
	}
}

// TestWaterWithoutLye: a solution needs lye.
func TestWaterWithoutLye(t *testing.T) {
	for _, grams := range []float64{0, -10, -1000} {
		for kind := lye.ByStrength; kind <= lye.ByMass; kind++ {
			t.Run(fmt.Sprintf("%g g kind %d", grams, kind), func(t *testing.T) {
				_, err := lye.Water{Kind: kind, Value: 0.3}.Grams(grams, 1000)
				require.ErrorIs(t, err, lye.ErrWater)
			})
		}
	}
}

// TestDefaultWater: 27 to 33 % of lye is common practice for beginners.
func TestDefaultWater(t *testing.T) {
	g, err := lye.DefaultWater.Grams(145.30, 1000)
	require.NoError(t, err)
	require.InDelta(t, 0.30, lye.Strength(145.30, g), 0.03)
	require.InDelta(t, 339.02, g, 0.02, "soap.csv S20, of lye rounded to 0.01 g")
}

// TestVerdict: 1000 g of lard, of which soap.csv S47 gives the demand at the
// bottom of the natural range, typical and at the top.
func TestVerdict(t *testing.T) {
	d, err := lye.DemandOf(lard(t, 1000))
	require.NoError(t, err)
	require.InDelta(t, 136.87, d.Low, 0.01)
	require.InDelta(t, 140.44, d.Typical, 0.01)
	require.InDelta(t, 144.72, d.High, 0.01)
	tests := []struct {
		name  string
		grams float64
		want  lye.Verdict
	}{
		{"superfat of 16 %", d.Typical * 0.84, lye.VeryFatty},
		{"superfat of 14 %", d.Typical * 0.86, lye.WithinBand},
		{"superfat of 5 %", 133.42, lye.WithinBand}, // soap.csv S48
		{"bottom of the range", d.Low, lye.WithinBand},
		{"above the bottom of the range", d.Low + 0.01, lye.MayBeHeavy},
		{"typical", d.Typical, lye.MayBeHeavy},
		{"above typical", d.Typical + 0.01, lye.LyeHeavy},
		{"142 g", 142, lye.LyeHeavy}, // soap.csv S39
		{"top of the range", d.High, lye.LyeHeavy},
		{"above the top of the range", d.High + 0.01, lye.LyeHeavy},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			b, err := lye.BandOf(lard(t, 1000), naoh(tt.grams, 1))
			require.NoError(t, err)
			require.Equal(t, tt.want, b.Verdict())
		})
	}
}

// TestVerdictOfBand: the classes by the band alone, worst first, as policy.
func TestVerdictOfBand(t *testing.T) {
	tests := []struct {
		name string
		band lye.Band
		want lye.Verdict
	}{
		{"heavy throughout", lye.Band{Low: -0.2, Typical: -0.1, High: -0.05}, lye.LyeHeavy},
		{"heavy at the typical value", lye.Band{Low: -0.05, Typical: -0.001, High: 0.03}, lye.LyeHeavy},
		{"heavy at the low end", lye.Band{Low: -0.001, Typical: 0.03, High: 0.06}, lye.MayBeHeavy},
		{"fatty and heavy at the low end", lye.Band{Low: -0.01, Typical: 0.2, High: 0.3}, lye.MayBeHeavy},
		{"nothing to spare", lye.Band{}, lye.WithinBand},
		{"rounding below zero", lye.Band{Low: -1e-12, Typical: -1e-12, High: 0}, lye.WithinBand},
		{"up to the limit", lye.Band{Low: 0.1, Typical: lye.FattySuperfat, High: 0.2}, lye.WithinBand},
		{"above the limit", lye.Band{Low: 0.1, Typical: 0.151, High: 0.2}, lye.VeryFatty},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			require.Equal(t, tt.want, tt.band.Verdict())
		})
	}
}

// TestFifteenPercentIsNotVeryFatty: a recipe set to the limit stands at it,
// whatever the masses do to the last digit.
func TestFifteenPercentIsNotVeryFatty(t *testing.T) {
	for grams := 1.0; grams < 2000; grams++ {
		fats := lard(t, grams)
		weighed, err := lye.Lye(fats, lye.FattySuperfat, lye.Sodium(1))
		require.NoError(t, err)
		b, err := lye.BandOf(fats, weighed)
		require.NoError(t, err)
		require.Equal(t, lye.WithinBand, b.Verdict(), "%g g", grams)
	}
}

// TestWaterOfNoLye refuses water for lye that is no mass.
func TestWaterOfNoLye(t *testing.T) {
	for _, grams := range []float64{math.NaN(), math.Inf(1)} {
		for _, w := range []lye.Water{{Kind: lye.ByMass, Value: 500}, {Kind: lye.ByRatio, Value: 2}} {
			_, err := w.Grams(grams, 1000)
			require.ErrorIs(t, err, lye.ErrWater)
		}
	}
}
