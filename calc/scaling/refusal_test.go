package scaling_test

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/calc/scaling"
)

// TestRefused: each figure of each function is refused when it is no number,
// infinite, below zero or just out of the range that its comment gives; the good
// ones beside it are taken.
func TestRefused(t *testing.T) {
	tests := []struct {
		name string
		call func(x []float64) error
		good []float64
		bad  [][]float64 // for each figure, what is out of its range
	}{
		{
			"roast", func(x []float64) error { _, err := scaling.RoastTime(x[0], x[1]); return err },
			[]float64{2880, 5},
			[][]float64{{0, 2880.1}, {0.19, 5.01, 0}},
		},
		{
			"depth", func(x []float64) error { _, err := scaling.DepthTime(x[0], x[1]); return err },
			[]float64{2880, 4},
			[][]float64{{0, 2880.1}, {0.24, 4.01, 0}},
		},
		{
			"heat", func(x []float64) error { _, err := scaling.HeatUp(x[0], x[1], x[2], x[3], x[4]); return err },
			[]float64{1000, 0, 100, 100, 1},
			[][]float64{{0, 1000.1}, {100, 100.1}, {0, 100.1}, {0, 100.1, 1e-320}, {0, 1.01}},
		},
		{
			"evaporation", func(x []float64) error { _, err := scaling.Evaporation(x[0], x[1]); return err },
			[]float64{0, 48},
			[][]float64{{100.1}, {48.1}},
		},
		{
			"fan", func(x []float64) error { _, _, err := scaling.Fan(x[0]); return err },
			[]float64{80},
			[][]float64{{79.9, 300.1}},
		},
		{
			"gas", func(x []float64) error { _, err := scaling.GasMark(x[0]); return err },
			[]float64{9},
			[][]float64{{0, 10, 1.5, 0.75}},
		},
		{
			"nearest mark", func(x []float64) error { _, err := scaling.NearestMark(x[0]); return err },
			[]float64{212.5},
			[][]float64{{212.4, 487.6}},
		},
		{
			"oven word", func(x []float64) error { _, err := scaling.OvenWordFor(x[0]); return err },
			[]float64{237.5},
			[][]float64{{237.4, 512.6}},
		},
		{"area", func(x []float64) error {
			_, err := scaling.Pan{Length: x[0], Width: x[1], Depth: x[2]}.Area()
			return err
		}, []float64{300, 300, 0}, [][]float64{{0, 300.1}, {0, 300.1}, {300.1}}},
		{"volume", func(x []float64) error {
			_, err := scaling.Pan{Round: true, Length: x[0], Hole: x[1], Depth: x[2]}.Volume()
			return err
		}, []float64{300, 299, 300}, [][]float64{{0, 300.1, 299}, {300, 301}, {0, 300.1}}},
		{"round pan's width", func(x []float64) error {
			_, err := scaling.Pan{Round: true, Length: 20, Width: x[0]}.Area()
			return err
		}, []float64{20}, [][]float64{{19, 21}}},
		{"hole in a square pan", func(x []float64) error {
			_, err := scaling.Pan{Length: 20, Width: 20, Hole: x[0]}.Area()
			return err
		}, []float64{0}, [][]float64{{1}}},
		{"pan factor", func(x []float64) error {
			_, err := scaling.PanFactor(scaling.Pan{Length: x[0], Width: 1, Depth: 1}, scaling.Pan{Length: x[1], Width: 1, Depth: 1}, true)
			return err
		}, []float64{0.1, 100}, [][]float64{{0, 0.09}, {0, 100.1}}},
		{
			"fill", func(x []float64) error { _, _, err := scaling.Pot.Fill(x[0]); return err },
			[]float64{4e6},
			[][]float64{{0, 4.1e6}},
		},
		{"casserole", func(x []float64) error {
			_, err := scaling.CasseroleFill(scaling.Pan{Length: 20, Width: 20, Depth: x[0]})
			return err
		}, []float64{2.6}, [][]float64{{0, 2.54, 300.1}}},
		{
			"sourdough", func(x []float64) error { _, err := scaling.SourdoughFormula(x[0], x[1], x[2], x[3]); return err },
			[]float64{200, 10, 20, 0},
			[][]float64{{0, 200.1}, {10.1}, {200.1}, {1000.1}},
		},
		{"bakers", func(x []float64) error {
			_, err := scaling.Bakers([]scaling.Part{{Name: "flour", Role: scaling.Flour, Amount: x[0]}, {Name: "levain", Role: scaling.Starter, Amount: 1, Hydration: x[1]}})
			return err
		}, []float64{900_000, 1000}, [][]float64{{0, 1_000_001}, {1000.1}}},
		{
			"dough", func(x []float64) error { _, err := plainDough(t).ForDough(x[0]); return err },
			[]float64{1_000_000},
			[][]float64{{0, 1_000_001}},
		},
		{
			"flour", func(x []float64) error { _, err := plainDough(t).ForFlour(x[0]); return err },
			[]float64{1_000_000},
			[][]float64{{0, 1_000_001}},
		},
		{
			"tolerance", func(x []float64) error { _, err := scaling.UsualKit().Measure(big.NewRat(1, 1), x[0]); return err },
			[]float64{1},
			[][]float64{{1.01}},
		},
		{
			"metric tolerance", func(x []float64) error { _, err := scaling.Metric(big.NewRat(1, 1), x[0]); return err },
			[]float64{1},
			[][]float64{{1.01}},
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			require.NoError(t, tt.call(tt.good))
			require.Len(t, tt.bad, len(tt.good))
			for i := range tt.good {
				for _, bad := range append([]float64{math.NaN(), math.Inf(1), math.Inf(-1), -1}, tt.bad[i]...) {
					x := append([]float64{}, tt.good...)
					x[i] = bad
					require.ErrorIs(t, tt.call(x), scaling.ErrRange, "figure %d: %g", i, bad)
				}
			}
		})
	}
}

// TestRefusedTemperatures: those that may be below zero.
func TestRefusedTemperatures(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -459.68, 10_001} {
		_, err := scaling.Celsius(bad)
		require.ErrorIs(t, err, scaling.ErrRange, "%g", bad)
	}
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -430.1, 9000.1} {
		_, err := scaling.Boiling(bad)
		require.ErrorIs(t, err, scaling.ErrRange, "%g", bad)
	}
	for _, good := range []float64{-430, 9000} {
		_, err := scaling.Boiling(good)
		require.NoError(t, err)
	}
}

func plainDough(t *testing.T) scaling.Formula {
	t.Helper()
	f, err := scaling.SourdoughFormula(70, 2, 0, 100)
	require.NoError(t, err)
	return f
}

func TestRefusedRationals(t *testing.T) {
	one := big.NewRat(1, 1)
	for _, bad := range []*big.Rat{nil, new(big.Rat), big.NewRat(-1, 2), big.NewRat(scaling.MaxFactor*10+1, 10)} {
		_, err := scaling.Scale(one, bad)
		require.ErrorIs(t, err, scaling.ErrRange)
		_, ok := scaling.Nice(bad)
		require.False(t, ok)
		start, ok := scaling.Salt.Start(bad)
		require.False(t, ok)
		require.Zero(t, start)
		require.Empty(t, scaling.Notes(kinds(), bad, true))
	}
	for _, bad := range []*big.Rat{nil, new(big.Rat), big.NewRat(-1, 2)} {
		_, err := scaling.Scale(bad, one)
		require.ErrorIs(t, err, scaling.ErrRange)
		_, err = scaling.UsualKit().Measure(bad, 0)
		require.ErrorIs(t, err, scaling.ErrRange)
		_, err = scaling.Metric(bad, 0)
		require.ErrorIs(t, err, scaling.ErrRange)
	}
	_, err := scaling.Metric(big.NewRat(scaling.MaxMillilitres, 1), 0)
	require.NoError(t, err)
	_, err = scaling.Metric(big.NewRat(10*scaling.MaxMillilitres+1, 10), 0)
	require.ErrorIs(t, err, scaling.ErrRange)
}

func TestLimitingRefused(t *testing.T) {
	rats := func(n ...int64) map[string]*big.Rat {
		out := map[string]*big.Rat{}
		for i, name := range []string{"flour", "milk"} {
			if i < len(n) {
				out[name] = big.NewRat(n[i], 1)
			}
		}
		return out
	}
	tests := []struct {
		name            string
		written, onHand map[string]*big.Rat
		ok              bool
	}{
		{"both", rats(2, 3), rats(1, 1), true},
		{"one is enough", rats(2, 3), rats(1), true},
		{"nothing on hand", rats(2, 3), nil, false},
		{"not in the recipe", rats(2), rats(1, 1), false},
		{"written 0", rats(2, 0), rats(1, 1), false},
		{"written below 0", rats(2, -3), rats(1), false},
		{"on hand below 0", rats(2, 3), rats(1, -1), false},
		{"written missing", map[string]*big.Rat{"flour": nil}, rats(1), false},
		{"on hand missing", rats(2), map[string]*big.Rat{"flour": nil}, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			k, limits, short, err := scaling.Limiting(tt.written, tt.onHand)
			if tt.ok {
				require.NoError(t, err)
				require.NotEmpty(t, limits)
				require.NotNil(t, k)
				return
			}
			require.ErrorIs(t, err, scaling.ErrRange)
			require.Nil(t, k)
			require.Empty(t, limits)
			require.Nil(t, short)
		})
	}
}

func TestNoDough(t *testing.T) {
	flour := scaling.Part{Name: "flour", Role: scaling.Flour, Amount: 100}
	tests := []struct {
		name string
		call func() error
		want error
	}{
		{"starter with too much water", func() error { _, err := scaling.SourdoughFormula(20, 2, 60, 100); return err }, scaling.ErrDough},
		{"starter with too much flour", func() error { _, err := scaling.SourdoughFormula(200, 2, 150, 10); return err }, scaling.ErrDough},
		{"no flour", func() error {
			_, err := scaling.Bakers([]scaling.Part{{Name: "water", Role: scaling.Water, Amount: 100}})
			return err
		}, scaling.ErrDough},
		{"nothing", func() error { _, err := scaling.Bakers(nil); return err }, scaling.ErrDough},
		{"the same name twice", func() error { _, err := scaling.Bakers([]scaling.Part{flour, flour}); return err }, scaling.ErrDough},
		{"no name", func() error { _, err := scaling.Bakers([]scaling.Part{{Role: scaling.Flour, Amount: 1}}); return err }, scaling.ErrDough},
		{"no such role", func() error { _, err := scaling.Bakers([]scaling.Part{{Name: "x", Role: 9, Amount: 1}}); return err }, scaling.ErrRange},
		{"empty formula", func() error { _, err := scaling.Formula{}.ForDough(100); return err }, scaling.ErrDough},
		{"flour is not 100 %", func() error {
			f := plainDough(t)
			f.Parts[0].Amount = 90
			_, err := f.ForFlour(100)
			return err
		}, scaling.ErrDough},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) { require.ErrorIs(t, tt.call(), tt.want) })
	}
}

func TestUnknownNames(t *testing.T) {
	require.Equal(t, "unknown kind", scaling.Kind(-1).String())
	require.Equal(t, "unknown kind", (scaling.Egg + 1).String())
	require.Equal(t, "unknown vessel", (scaling.PressureFoaming + 1).String())
	_, _, err := scaling.Vessel(-1).Fill(1)
	require.ErrorIs(t, err, scaling.ErrRange)
	_, ok := scaling.PanNamed("bathtub")
	require.False(t, ok)
	p, ok := scaling.PanNamed("PIE PLATE 9 x 1 1/4")
	require.True(t, ok)
	require.True(t, p.Sized)
}

func TestPinch(t *testing.T) {
	tests := []struct {
		teaspoons *big.Rat
		want      bool
	}{
		{nil, false}, {new(big.Rat), false}, {big.NewRat(-1, 16), false}, {big.NewRat(1, 16), true}, {big.NewRat(124, 1000), true}, {big.NewRat(1, 8), false},
	}
	for _, tt := range tests {
		require.Equal(t, tt.want, scaling.Pinch(tt.teaspoons), "%s", tt.teaspoons)
	}
}

// TestPoorKits: sets that can make little say so and do not answer with nothing.
func TestPoorKits(t *testing.T) {
	three := []scaling.Measure{{Name: "3/4 cup", Eighths: 288}}
	tests := []struct {
		name string
		set  []scaling.Measure
		tsp  int64
		want string // empty for an error
	}{
		{"nothing in the house", nil, 5, ""},
		{"no real measure", []scaling.Measure{{Name: "hole", Eighths: 0}, {Name: "less", Eighths: -8}}, 5, ""},
		{"the one there is", three, 5, "3/4 cup"},
		{"no way to a cup", three, 96, ""},
		{"only the cup", []scaling.Measure{{Name: "1 cup", Eighths: scaling.Cup}}, 5, "1 cup"},
		{"only the cup, twice", []scaling.Measure{{Name: "1 cup", Eighths: scaling.Cup}}, 100, "2 cups"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := scaling.NewKit(tt.set).Measure(big.NewRat(tt.tsp, 1), 0)
			if tt.want == "" {
				require.ErrorIs(t, err, scaling.ErrRange)
				return
			}
			require.NoError(t, err)
			require.Equal(t, tt.want, got.String())
		})
	}
}
