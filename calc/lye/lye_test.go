package lye_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"sort"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/lye"
)

// check is a row of soap.csv. The settings are the inputs that are no fat.
type check struct {
	id, kind  string
	set       map[string]float64
	fats      []lye.Portion
	unknown   []string // inputs that are neither a setting here nor a fat
	want      map[string]float64
	tolerance float64
}

// settings are the inputs of soap.csv that this package takes, sodium hydroxide
// only.
var settings = map[string]bool{
	"superfat": true, "purity": true, "true_purity": true, "lye": true,
	"water": true, "water_share": true, "strength": true, "ratio": true,
}

// kinds are the rows of soap.csv that this package computes. Each returns all
// that it knows of a row by the names of the table.
var kinds = map[string]func(*testing.T, check) map[string]float64{
	"lye":            lyeRow,
	"superfat":       superfatRow,
	"water":          waterRow,
	"least_superfat": leastRow,
	"fat_for_lye":    fatForRow,
}

// skippedKinds and skippedRows are what this package has no function for. One
// that it gains has to come off the list.
var (
	skippedKinds = []string{"acid", "drying", "dual", "heat", "kohlye", "milk", "mould", "newton", "stock"}
	skippedRows  = map[string]string{
		"S16": "two alkalis",
		"S17": "two alkalis",
		"S41": "the likely band, root-sum-square",
		"S72": "acid takes up lye",
		"S93": "potassium hydroxide",
		"S94": "potassium hydroxide",
		"S95": "potassium hydroxide",
	}
)

// TestTable runs testdata/checks/soap.csv; every row names its source.
func TestTable(t *testing.T) {
	ran := 0
	var noKind []string
	noRow := map[string]bool{}
	for _, c := range checks(t) {
		compute, ok := kinds[c.kind]
		if !ok {
			noKind = append(noKind, c.kind)
			continue
		}
		if _, skip := skippedRows[c.id]; skip {
			noRow[c.id] = true
			require.True(t, len(c.unknown) > 0 || lacks(compute(t, c), c.want), "%s can be run", c.id)
			continue
		}
		ran++
		t.Run(c.id+" "+c.kind, func(t *testing.T) {
			require.Empty(t, c.unknown, "neither fat nor setting")
			got := compute(t, c)
			for name, want := range c.want {
				require.Contains(t, got, name)
				require.InDelta(t, want, got[name], c.tolerance, name)
			}
		})
	}
	t.Logf("%d rows ran, %d were skipped", ran, len(noKind)+len(noRow))
	require.GreaterOrEqual(t, ran, 60)
	require.Equal(t, skippedKinds, unique(noKind))
	require.Len(t, noRow, len(skippedRows), "a row on the list is not in the table")
}

func lacks(got, want map[string]float64) bool {
	for name := range want {
		if _, ok := got[name]; !ok {
			return true
		}
	}
	return false
}

// purity of lye that a row does not state is 1.
func (c check) purity() float64 { return c.or("purity", 1) }

func (c check) or(name string, otherwise float64) float64 {
	if v, ok := c.set[name]; ok {
		return v
	}
	return otherwise
}

func lyeRow(t *testing.T, c check) map[string]float64 {
	naoh, err := lye.Lye(c.fats, c.set["superfat"], c.purity())
	require.NoError(t, err)
	d, err := lye.DemandOf(c.fats)
	require.NoError(t, err)
	return map[string]float64{
		"naoh":      naoh,
		"naoh_pure": naoh * c.purity(),
		"naoh_low":  d.Low,
		"naoh_high": d.High,
	}
}

// lye is what the row weighs, or else what its superfat asks for.
func (c check) lye(t *testing.T) float64 {
	if grams, weighed := c.set["lye"]; weighed {
		return grams
	}
	grams, err := lye.Lye(c.fats, c.set["superfat"], c.purity())
	require.NoError(t, err)
	return grams
}

// superfatRow knows rows of lye that is of another purity in truth.
func superfatRow(t *testing.T, c check) map[string]float64 {
	grams := c.lye(t)
	b, err := lye.BandOf(c.fats, grams, c.or("true_purity", c.purity()))
	require.NoError(t, err)
	return map[string]float64{"low": b.Low, "typ": b.Typical, "high": b.High}
}

func waterRow(t *testing.T, c check) map[string]float64 {
	grams := c.lye(t)
	fat := lye.TotalFat(c.fats)
	water, err := waterOf(c).Grams(grams, fat)
	require.NoError(t, err)
	strength := lye.Strength(grams, water)
	return map[string]float64{
		"water":         water,
		"strength":      strength,
		"pure_strength": strength * c.purity(),
		"ratio":         water / grams,
		"water_share":   water / fat,
	}
}

func waterOf(c check) lye.Water {
	for name, kind := range map[string]lye.WaterKind{
		"strength": lye.ByStrength, "ratio": lye.ByRatio, "water_share": lye.ByShareOfFats, "water": lye.ByMass,
	} {
		if v, ok := c.set[name]; ok {
			return lye.Water{Kind: kind, Value: v}
		}
	}
	return lye.Water{}
}

func leastRow(t *testing.T, c check) map[string]float64 {
	least, err := lye.LeastSuperfat(c.fats)
	require.NoError(t, err)
	safe, err := lye.SafeLye(c.fats, c.purity())
	require.NoError(t, err)
	return map[string]float64{"least": least, "safe_lye": safe}
}

func fatForRow(t *testing.T, c check) map[string]float64 {
	fat, err := lye.FatFor(c.fats, c.set["lye"], c.set["superfat"], c.purity())
	require.NoError(t, err)
	return map[string]float64{"fat": fat}
}

func checks(t *testing.T) []check {
	t.Helper()
	f, err := os.Open("../../testdata/checks/soap.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Equal(t, []string{"id", "what", "inputs", "expect", "tolerance", "source", "mark"}, rows[0])
	var out []check
	for _, row := range rows[1:] {
		require.NotEmpty(t, row[5], "%s has no source", row[0])
		c := check{id: row[0], kind: row[1], set: map[string]float64{}, want: map[string]float64{}}
		for _, in := range pairs(t, row[2]) {
			c.input(in)
		}
		for _, w := range pairs(t, row[3]) {
			c.want[w.name] = w.value
		}
		// a figure printed to as many places as its tolerance has may be off by
		// all of it, and by the floating point on top
		c.tolerance = number(t, row[4]) + 1e-9
		out = append(out, c)
	}
	return out
}

func (c *check) input(p pair) {
	if settings[p.name] {
		c.set[p.name] = p.value
		return
	}
	fat, ok := lye.FatNamed(p.name)
	if !ok {
		c.unknown = append(c.unknown, p.name)
		return
	}
	c.fats = append(c.fats, lye.Portion{Fat: fat, Grams: p.value})
}

type pair struct {
	name  string
	value float64
}

// pairs reads "superfat=0.05;lard=500".
func pairs(t *testing.T, text string) []pair {
	t.Helper()
	var out []pair
	for part := range strings.SplitSeq(text, ";") {
		name, value, ok := strings.Cut(part, "=")
		require.True(t, ok, "%q", text)
		out = append(out, pair{name, number(t, value)})
	}
	return out
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	f, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return f
}

func unique(names []string) []string {
	var out []string
	sort.Strings(names)
	for i, n := range names {
		if i == 0 || n != names[i-1] {
			out = append(out, n)
		}
	}
	return out
}

// sharedAliases are the aliases that stand for more than one fat, with the
// reason. There is none.
var sharedAliases = map[string]string{}

// TestFatTable: the table is complete. Its columns source and mark say where
// each range is from.
func TestFatTable(t *testing.T) {
	require.Len(t, lye.Fats(), 49)
	owner := map[string]string{}
	for _, f := range lye.Fats() {
		t.Run(f.Name, func(t *testing.T) {
			require.NotEmpty(t, f.Name)
			require.NotEmpty(t, f.Source)
			require.NotEmpty(t, f.Mark)
			require.Positive(t, f.Min)
			require.LessOrEqual(t, f.Min, f.Typical)
			require.LessOrEqual(t, f.Typical, f.Max)
			got, ok := lye.FatNamed(f.Name)
			require.True(t, ok)
			require.Equal(t, f, got)
			claim(t, owner, f.Name, f.Name)
			for _, a := range f.Aliases {
				claim(t, owner, a, f.Name)
			}
		})
	}
	for a, why := range sharedAliases {
		require.Contains(t, owner, strings.ToLower(a), "%s (%s) is in no row", a, why)
	}
}

// claim gives a name to a fat, and fails when another has it.
func claim(t *testing.T, owner map[string]string, name, fat string) {
	t.Helper()
	require.Equal(t, strings.TrimSpace(name), name)
	require.NotContains(t, name, "(")
	require.NotContains(t, name, ")")
	key := strings.ToLower(name)
	if before, taken := owner[key]; taken && sharedAliases[name] == "" {
		require.Failf(t, "shared name", "%q is a name of %s and of %s", name, before, fat)
	}
	owner[key] = fat
}

// TestAliases: notes in brackets are no part of a name (rows of fats.csv).
func TestAliases(t *testing.T) {
	tests := []struct {
		fat  string
		want []string
	}{
		{"coconut oil 76", []string{"76-degree coconut oil", "copra oil"}},
		{"butterfat", []string{"butter oil", "ghee", "milk fat"}},
		{"olive oil", []string{"virgin or refined olive oil", "sweet oil"}},
		{"walnut oil", nil},
	}
	for _, tt := range tests {
		t.Run(tt.fat, func(t *testing.T) {
			require.Equal(t, tt.want, fat(t, tt.fat).Aliases)
		})
	}
}

func TestFatNamedKnowsNoOther(t *testing.T) {
	for _, name := range []string{"", "Lard", "lard ", "manteca", "motor oil"} {
		t.Run(name, func(t *testing.T) {
			got, ok := lye.FatNamed(name)
			require.False(t, ok)
			require.Zero(t, got)
		})
	}
}

// fat must be in the table.
func fat(t require.TestingT, name string) lye.Fat {
	f, ok := lye.FatNamed(name)
	require.True(t, ok, name)
	return f
}

// TestMolarMasses: IUPAC abridged standard atomic weights, Na 22.990, K 39.098,
// O 15.999, H 1.008. Potassium hydroxide is rounded up in soap.csv as well
// (39.997/56.106), which moves no figure that is weighed.
func TestMolarMasses(t *testing.T) {
	require.InDelta(t, 22.990+15.999+1.008, lye.MolarNaOH, 1e-9)
	require.InDelta(t, 39.098+15.999+1.008, lye.MolarKOH, 0.0011)
	require.InDelta(t, 0.712883, lye.NaOHPerKOH, 5e-7)
}

// lard makes portions of lard, of which 1 kg takes up 140.44 g of lye (soap.csv S47).
func lard(t require.TestingT, grams ...float64) []lye.Portion {
	var out []lye.Portion
	for _, g := range grams {
		out = append(out, lye.Portion{Fat: fat(t, "lard"), Grams: g})
	}
	return out
}

var (
	nan = math.NaN()
	inf = math.Inf(1)
)

// recipe is what a call may be given.
type recipe struct {
	fats                  []lye.Portion
	lye, superfat, purity float64
}

// sound is a recipe that every call takes.
func sound(t require.TestingT) recipe { return recipe{lard(t, 1000), 130, 0.05, 1} }

// The functions by what they read of a recipe.
var (
	demand = func(r recipe) error { _, err := lye.DemandOf(r.fats); return err }
	least  = func(r recipe) error { _, err := lye.LeastSuperfat(r.fats); return err }
	safe   = func(r recipe) error { _, err := lye.SafeLye(r.fats, r.purity); return err }
	weigh  = func(r recipe) error { _, err := lye.Lye(r.fats, r.superfat, r.purity); return err }
	band   = func(r recipe) error { _, err := lye.BandOf(r.fats, r.lye, r.purity); return err }
	fatFor = func(r recipe) error { _, err := lye.FatFor(r.fats, r.lye, r.superfat, r.purity); return err }

	readFats     = []func(recipe) error{demand, least, safe, weigh, band, fatFor}
	readLye      = []func(recipe) error{band, fatFor}
	readSuperfat = []func(recipe) error{weigh, fatFor}
	readPurity   = []func(recipe) error{safe, weigh, band, fatFor}
)

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
			b, err := lye.BandOf(lard(t, 1000), tt.grams, 1)
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

// The properties below follow from the formula, fat x SV x 39.997/56.106 x
// (1 - superfat) / purity summed over the fats (ISO 3657).

var (
	blends = rapid.SliceOfN(rapid.Custom(func(t *rapid.T) lye.Portion {
		return lye.Portion{
			Fat:   rapid.SampledFrom(lye.Fats()).Draw(t, "fat"),
			Grams: rapid.Float64Range(0.1, 5000).Draw(t, "grams"),
		}
	}), 1, 6)
	superfats = rapid.Float64Range(0, lye.MaxSuperfat)
	purities  = rapid.Float64Range(lye.MinPurity, 1)
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
	g, err := lye.Lye(fats, r.superfat, r.purity)
	require.NoError(t, err)
	return g
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
		b, err := lye.BandOf(r.fats, r.lye, r.purity)
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
		safe, err := lye.SafeLye(r.fats, r.purity)
		require.NoError(t, err)
		r.superfat = least
		require.InEpsilon(t, safe, r.weigh(t, r.fats), 1e-12)
		require.Equal(t, lye.WithinBand, verdict(t, r.fats, safe, r.purity))
		require.Equal(t, least > 1e-6, verdict(t, r.fats, safe*(1+1e-7), r.purity) == lye.MayBeHeavy)
	})
}

func verdict(t *rapid.T, fats []lye.Portion, grams, purity float64) lye.Verdict {
	b, err := lye.BandOf(fats, grams, purity)
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
		got, err := lye.FatFor(times(0.5, r.fats), r.lye, r.superfat, r.purity)
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

// anyFloat draws from all of them, the odd ones often.
var anyFloat = rapid.OneOf(
	rapid.SampledFrom([]float64{
		nan, inf, -inf, 0, math.Copysign(0, -1), 1, -1, math.MaxFloat64, math.SmallestNonzeroFloat64, lye.MaxFat,
	}),
	rapid.Float64(),
	rapid.Float64Range(0, 1),
)

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
		if g, err := lye.Lye(r.fats, r.superfat, r.purity); err == nil {
			require.GreaterOrEqual(t, g, 0.0)
			require.LessOrEqual(t, g, math.MaxFloat64)
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

// mixture is soap.csv S2.
func mixture() []lye.Portion {
	var out []lye.Portion
	for _, p := range []pair{{"lard", 500}, {"coconut oil 76", 250}, {"olive oil", 250}} {
		f, _ := lye.FatNamed(p.name)
		out = append(out, lye.Portion{Fat: f, Grams: p.value})
	}
	return out
}

// Row S2 of soap.csv: 5 % superfat, lye of 98 %.
func ExampleLye() {
	grams, err := lye.Lye(mixture(), 0.05, 0.98)
	fmt.Printf("%.2f g %v\n", grams, err)
	_, err = lye.Lye(mixture(), 5, 0.98)
	fmt.Println(err)
	// Output:
	// 145.30 g <nil>
	// superfat out of range: 5
}

// Row S42 of soap.csv.
func ExampleBandOf() {
	b, err := lye.BandOf(mixture(), 145.3, 0.98)
	fmt.Printf("%.2f to %.2f %%, typically %.2f %% %v\n", 100*b.Low, 100*b.High, 100*b.Typical, err)
	fmt.Println(b.Verdict() == lye.WithinBand)
	// Output:
	// 2.09 to 7.85 %, typically 5.00 % <nil>
	// true
}
