package measure_test

import (
	"encoding/csv"
	"math"
	"math/big"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/measure"
)

// TestUnitFactors holds every unit against testdata/checks/units.csv, whose
// rows name NIST Handbook 44 Appendix C or NIST SP 811 Appendix B.
func TestUnitFactors(t *testing.T) {
	matched := 0
	for _, row := range unitRows(t) {
		u := unitNamed(row["unit"])
		if u == nil || u.Dim == measure.Temperature {
			continue // a temperature has no factor, see TestTemperatures
		}
		matched++
		t.Run(row["unit"], func(t *testing.T) {
			want, ok := new(big.Rat).SetString(row["factor"])
			require.True(t, ok, "factor %q", row["factor"])
			require.Equal(t, row["dimension"], u.Dim.String())
			require.Equal(t, want.RatString(), u.Factor.RatString())
			one := measure.Quantity{Amount: big.NewRat(1, 1), Unit: u}
			require.Equal(t, want.RatString(), one.Base().RatString())
			require.Equal(t, row["base"], baseUnit(u.Dim).Name)
		})
	}
	require.GreaterOrEqual(t, matched, 25)
	require.Equal(t, len(measure.Units)-len(temperatures), matched, "a unit without a row")
}

var temperatures = []*measure.Unit{measure.Celsius, measure.Fahrenheit}

func unitRows(t *testing.T) []map[string]string {
	t.Helper()
	f, err := os.Open("../../testdata/checks/units.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.NotEmpty(t, rows)
	var out []map[string]string
	for _, row := range rows[1:] {
		cells := map[string]string{}
		for i, name := range rows[0] {
			cells[name] = row[i]
		}
		out = append(out, cells)
	}
	return out
}

func unitNamed(name string) *measure.Unit {
	for _, u := range measure.Units {
		if u.Name == name {
			return u
		}
	}
	return nil
}

func baseUnit(d measure.Dimension) *measure.Unit {
	return map[measure.Dimension]*measure.Unit{
		measure.Mass:   measure.Gram,
		measure.Volume: measure.Millilitre,
		measure.Length: measure.Centimetre,
	}[d]
}

// TestUnitNames: a name stands for one unit, and every unit can be written.
func TestUnitNames(t *testing.T) {
	seen := map[string]bool{}
	for _, u := range measure.Units {
		t.Run(u.Name, func(t *testing.T) {
			require.False(t, seen[u.Name], "named twice")
			seen[u.Name] = true
			require.NotEmpty(t, u.Words)
			for _, w := range u.Words {
				require.Equal(t, strings.ToLower(w), w)
			}
		})
	}
}

// TestWordsMeanOneUnit: within a dimension no word stands for two units. Across
// dimensions c is a cup and a degree, which only the amount beside it tells.
func TestWordsMeanOneUnit(t *testing.T) {
	type key struct {
		dim  measure.Dimension
		word string
	}
	seen := map[key]string{}
	for _, u := range measure.Units {
		for _, w := range u.Words {
			k := key{u.Dim, w}
			require.Empty(t, seen[k], "%q is a word of %s and of %s", w, seen[k], u.Name)
			seen[k] = u.Name
		}
	}
}

// TestTemperatures: the fixed points of the two scales (NIST SP 811 Appendix B:
// C = (F - 32) / 1.8) and the conversions printed on ovens and in cookery books.
func TestTemperatures(t *testing.T) {
	tests := []struct {
		name       string
		fahrenheit int64
		celsius    float64
	}{
		{"the scales meet", -40, -40},
		{"zero fahrenheit", 0, -17.78},
		{"water freezes", 32, 0},
		{"room", 68, 20},
		{"hot day", 95, 35},
		{"water boils", 212, 100},
		{"moderate oven", 350, 176.67},
		{"hot oven", 450, 232.22},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f := measure.Quantity{Amount: big.NewRat(tt.fahrenheit, 1), Unit: measure.Fahrenheit}
			c, err := f.In(measure.Celsius)
			require.NoError(t, err)
			require.Same(t, measure.Celsius, c.Unit)
			require.InDelta(t, tt.celsius, c.Float(), 0.005)
			require.Equal(t, c.Amount.RatString(), f.Base().RatString(), "the base of a temperature is Celsius")
			back, err := c.In(measure.Fahrenheit)
			require.NoError(t, err)
			require.Equal(t, f.Amount.RatString(), back.Amount.RatString())
		})
	}
}

// TestConversions are equalities by definition (NIST Handbook 44 Appendix C; the
// imperial ones from 1 gallon = 4.54609 L, SP 811 Appendix B).
func TestConversions(t *testing.T) {
	tests := []struct {
		name     string
		from, to *measure.Unit
		want     string
	}{
		{"pound in ounces", measure.Pound, measure.Ounce, "16"},
		{"stone in pounds", measure.Stone, measure.Pound, "14"},
		{"gallon in cubic inches", measure.Gallon, measure.CubicInch, "231"},
		{"gallon in quarts", measure.Gallon, measure.Quart, "4"},
		{"quart in pints", measure.Quart, measure.Pint, "2"},
		{"pint in cups", measure.Pint, measure.Cup, "2"},
		{"cup in gills", measure.Cup, measure.Gill, "2"},
		{"cup in fluid ounces", measure.Cup, measure.FluidOunce, "8"},
		{"cup in tablespoons", measure.Cup, measure.Tablespoon, "16"},
		{"tablespoon in teaspoons", measure.Tablespoon, measure.Teaspoon, "3"},
		{"imperial gallon in litres", measure.ImperialGallon, measure.Litre, "454609/100000"},
		{"imperial pint in fluid ounces", measure.ImperialPint, measure.ImperialFluidOunce, "20"},
		{"inch in millimetres", measure.Inch, measure.Millimetre, "127/5"},
		{"yard in feet", measure.Yard, measure.Foot, "3"},
		{"foot in inches", measure.Foot, measure.Inch, "12"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := measure.Quantity{Amount: big.NewRat(1, 1), Unit: tt.from}.In(tt.to)
			require.NoError(t, err)
			require.Equal(t, tt.want, got.Amount.RatString())
		})
	}
}

// TestImperial: the names that the two systems share, and one that they do not.
// The sizes of the imperial units are in units.csv.
func TestImperial(t *testing.T) {
	tests := []struct{ from, want *measure.Unit }{
		{measure.FluidOunce, measure.ImperialFluidOunce},
		{measure.Pint, measure.ImperialPint},
		{measure.Quart, measure.ImperialQuart},
		{measure.Gallon, measure.ImperialGallon},
		{measure.Cup, measure.Cup},
		{measure.Gram, measure.Gram},
	}
	for _, tt := range tests {
		t.Run(tt.from.Name, func(t *testing.T) {
			require.Same(t, tt.want, measure.Imperial(tt.from))
		})
	}
}

// TestRoundTrip: factors are rationals, so there and back loses nothing.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.SampledFrom(measure.Units).Draw(t, "from")
		to := rapid.SampledFrom(sameDimension(from)).Draw(t, "to")
		amount := rationals.Draw(t, "amount")
		before := new(big.Rat).Set(amount)
		q := measure.Quantity{Amount: amount, Unit: from}
		there, err := q.In(to)
		require.NoError(t, err)
		back, err := there.In(from)
		require.NoError(t, err)
		require.Equal(t, before.RatString(), back.Amount.RatString())
		require.Equal(t, before.RatString(), q.Amount.RatString(), "the argument was changed")
		require.Equal(t, q.Base().RatString(), there.Base().RatString())
	})
}

// TestMixedDimensions: no unit converts to one that measures something else.
func TestMixedDimensions(t *testing.T) {
	for _, from := range measure.Units {
		for _, to := range measure.Units {
			if from.Dim == to.Dim {
				continue
			}
			t.Run(from.Name+" in "+to.Name, func(t *testing.T) {
				_, err := measure.Quantity{Amount: big.NewRat(1, 1), Unit: from}.In(to)
				require.ErrorContains(t, err, from.Dim.String())
				require.ErrorContains(t, err, to.Dim.String())
			})
		}
	}
}

func sameDimension(u *measure.Unit) []*measure.Unit {
	var out []*measure.Unit
	for _, o := range measure.Units {
		if o.Dim == u.Dim {
			out = append(out, o)
		}
	}
	return out
}

var rationals = rapid.Custom(func(t *rapid.T) *big.Rat {
	num := rapid.Int64Range(-1_000_000, 1_000_000).Draw(t, "num")
	return big.NewRat(num, rapid.Int64Range(1, 1000).Draw(t, "denom"))
})

// TestWritten: the figures are soap.csv S2 (145.30 g) and plain arithmetic; an
// ounce is 28.349523125 g (NIST Handbook 44 Appendix C).
func TestWritten(t *testing.T) {
	metric := measure.DefaultScale(measure.Metric)
	us := measure.DefaultScale(measure.US)
	tenth := measure.Scale{System: measure.Metric, Step: 0.1}
	fives := measure.Scale{System: measure.Metric, Step: 5}
	twentieth := measure.Scale{System: measure.US, Step: 0.05}
	tests := []struct {
		name          string
		scale         measure.Scale
		grams         float64
		nearest, down string
	}{
		{"grams", metric, 145.30, "145 g", "145 g"},
		{"half a gram up", metric, 145.6, "146 g", "145 g"},
		{"kilograms", metric, 12_500, "12.5 kg", "12.5 kg"},
		{"kilograms to the gram", metric, 12_345.9, "12.346 kg", "12.345 kg"},
		{"last that stays in grams", metric, 9_999.4, "9999 g", "9999 g"},
		{"first in kilograms", metric, 9_999.6, "10 kg", "9999 g"},
		{"tenths of a gram", tenth, 99.06, "99.1 g", "99.0 g"},
		{"steps of 5 g", fives, 148, "150 g", "145 g"},
		{"below a step", metric, 0.4, "0 g", "0 g"},
		{"ounces", us, 160, "5.6 oz", "5.6 oz"},
		{"ounces up", us, 146, "5.1 oz", "5.1 oz"},
		{"ounces rounded up", us, 145, "5.1 oz", "5.1 oz"},
		{"a pound stays in ounces", us, 453.59237, "16.0 oz", "16.0 oz"},
		{"twentieths of an ounce", twentieth, 145.30, "5.15 oz", "5.10 oz"},
		{"floating-point dust", tenth, 0.1 + 0.2, "0.3 g", "0.3 g"},
		{"dust below the step", tenth, 0.7 - 1e-12, "0.7 g", "0.7 g"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			require.Equal(t, tt.nearest, tt.scale.Nearest(tt.grams))
			require.Equal(t, tt.down, tt.scale.Down(tt.grams))
		})
	}
}

// dust is what Scale.Down forgives, as a part of a step (see its comment), and
// a little for the floating point of the test itself.
const dust = 1.1e-6

// TestRounding: Down is never above the mass and within one step of it, Nearest
// is within half a step, both as written.
func TestRounding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := scales.Draw(t, "scale")
		grams := rapid.Float64Range(0, 500_000).Draw(t, "grams")
		step := s.Step
		if s.System == measure.US {
			step *= measure.GramsPerOunce
		}
		down := gramsWritten(t, s.Down(grams))
		require.LessOrEqual(t, down, grams+dust*step)
		require.Greater(t, down, grams-step*(1+dust))
		require.InDelta(t, down, s.DownGrams(grams), dust*step, "Down and DownGrams disagree")
		require.LessOrEqual(t, math.Abs(gramsWritten(t, s.Nearest(grams))-grams), step*(0.5+dust))
	})
}

// scales draws the steps that kitchen and letter scales are sold with.
var scales = rapid.Custom(func(t *rapid.T) measure.Scale {
	return measure.Scale{
		System: rapid.SampledFrom([]measure.System{measure.Metric, measure.US}).Draw(t, "system"),
		Step:   rapid.SampledFrom([]float64{0.01, 0.05, 0.1, 0.5, 1, 2, 5}).Draw(t, "step"),
	}
})

func gramsWritten(t *rapid.T, text string) float64 {
	figure, unit, ok := strings.Cut(text, " ")
	require.True(t, ok, "%q", text)
	v, err := strconv.ParseFloat(figure, 64)
	require.NoError(t, err)
	u := unitNamed(unit)
	require.NotNil(t, u, "%q", text)
	factor, _ := u.Factor.Float64()
	return v * factor
}
