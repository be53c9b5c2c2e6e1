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
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/lye"
)

// check is a row of soap.csv. The settings are the inputs that are no fat.
type check struct {
	id, kind  string
	set       map[string]float64
	fats      []lye.Portion
	acids     []lye.AcidPortion
	unknown   []string // inputs that are neither a setting here nor a fat
	want      map[string]float64
	tolerance float64
}

// settings are the inputs of soap.csv that this package takes.
var settings = map[string]bool{
	"superfat": true, "purity": true, "true_purity": true, "lye": true,
	"water": true, "water_share": true, "strength": true, "ratio": true,
	"heat": true, "cp": true, "start": true, "ice_share": true, "water_start": true,
	"koh": true, "purity_naoh": true, "purity_koh": true, "naoh_mole_share": true, "naoh_mass_share": true, "acid_strength": true, "solids": true, "liquid": true,
	"length": true, "width": true, "height": true, "diameter": true, "volume": true, "density": true, "fat_per_ml": true, "pure": true, "stock_strength": true,
	"ambient": true, "t1": true, "t2": true, "gap": true, "target": true,
}

// kinds are the rows of soap.csv that this package computes. Each returns all
// that it knows of a row by the names of the table.
var kinds = map[string]func(*testing.T, check) map[string]float64{
	"lye":            lyeRow,
	"superfat":       superfatRow,
	"water":          waterRow,
	"least_superfat": leastRow,
	"fat_for_lye":    fatForRow,
	"heat":           heatRow,
	"newton":         newtonRow,
	"kohlye":         potassiumRow,
	"dual":           mixedRow,
	"acid":           acidRow,
	"milk":           milkRow,
	"mould":          mouldRow,
	"stock":          stockRow,
}

// otherKinds are rows of another package: calc/cure runs them.
var otherKinds = []string{"drying"}

// TestTable runs testdata/checks/soap.csv; every row names its source.
func TestTable(t *testing.T) {
	ran := 0
	var others []string
	for _, c := range checks(t) {
		compute, ok := kinds[c.kind]
		if !ok {
			others = append(others, c.kind)
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
	t.Logf("%d rows ran, %d are another package's", ran, len(others))
	require.GreaterOrEqual(t, ran, 150)
	require.Equal(t, otherKinds, unique(others))
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
	a, err := lye.Lye(c.fats, c.set["superfat"], lye.Sodium(c.purity()))
	require.NoError(t, err)
	d, err := lye.DemandOf(c.fats)
	require.NoError(t, err)
	return map[string]float64{
		"naoh":      a.Sodium,
		"naoh_pure": a.Pure(),
		"naoh_low":  d.Low,
		"naoh_high": d.High,
	}
}

// potassiumRow is the same with potassium hydroxide alone.
func potassiumRow(t *testing.T, c check) map[string]float64 {
	a, err := lye.Lye(c.fats, c.set["superfat"], lye.Potassium(c.purity()))
	require.NoError(t, err)
	return map[string]float64{"koh": a.Potassium}
}

// mixedRow shares the work between the two, by moles or by mass.
func mixedRow(t *testing.T, c check) map[string]float64 {
	share, byMoles := c.set["naoh_mole_share"]
	if !byMoles {
		share = lye.MolesOfMass(c.set["naoh_mass_share"])
	}
	a, err := lye.Lye(c.fats, c.set["superfat"], lye.Mix{Share: share, SodiumPurity: c.set["purity_naoh"], PotassiumPurity: c.set["purity_koh"]})
	require.NoError(t, err)
	na, k := a.Sodium*a.SodiumPurity, a.Potassium*a.PotassiumPurity
	require.InDelta(t, na/(na+k), lye.MassOfMoles(share), 1e-12)
	return map[string]float64{"naoh": a.Sodium, "koh": a.Potassium, "koh_pure": k, "pure": na + k, "mass_share": na / (na + k), "mole_share": share}
}

// alkali is what the row weighs, or else what its superfat asks for.
func (c check) alkali(t *testing.T) lye.Alkali {
	naoh, sodium := c.set["lye"]
	koh, potassium := c.set["koh"]
	if sodium || potassium {
		return lye.Alkali{
			Sodium: naoh, Potassium: koh,
			SodiumPurity: c.or("purity_naoh", c.purity()), PotassiumPurity: c.or("purity_koh", c.purity()),
		}
	}
	a, err := lye.Lye(c.fats, c.set["superfat"], lye.Sodium(c.purity()))
	require.NoError(t, err)
	return a
}

// superfatRow knows rows of lye that is of another purity in truth.
func superfatRow(t *testing.T, c check) map[string]float64 {
	a := c.alkali(t)
	if truth, is := c.set["true_purity"]; is {
		a.SodiumPurity = truth
	}
	b, err := lye.BandOf(c.fats, a, c.acids...)
	require.NoError(t, err)
	return map[string]float64{"low": b.Low, "typ": b.Typical, "high": b.High, "likely_low": b.LikelyLow, "likely_high": b.LikelyHigh}
}

// acidRow knows what an acid takes up by itself and on top of a blend.
func acidRow(t *testing.T, c check) map[string]float64 {
	pure, err := lye.Eaten(c.acids)
	require.NoError(t, err)
	got := map[string]float64{
		"naoh_pure": pure, "koh_pure": pure / lye.NaOHPerKOH, "naoh": pure / c.purity(),
		// 258.07/192.12: the salt that anhydrous citric acid becomes
		"trisodium_citrate": c.acids[0].Grams * 258.07 / c.acids[0].Acid.Molar,
	}
	if len(c.fats) > 0 {
		a, err := lye.Lye(c.fats, c.set["superfat"], lye.Sodium(c.purity()), c.acids...)
		require.NoError(t, err)
		got["naoh_total"] = a.Sodium
	}
	return got
}

func milkRow(t *testing.T, c check) map[string]float64 {
	if water, is := c.set["water"]; is {
		liquid, err := lye.ForWater(water, c.set["solids"])
		require.NoError(t, err)
		return map[string]float64{"liquid": liquid}
	}
	water, err := lye.WaterIn(c.set["liquid"], c.set["solids"])
	require.NoError(t, err)
	return map[string]float64{"water": water}
}

// mouldRow scales the blend of a row to its mould, or takes the trade's rule.
func mouldRow(t *testing.T, c check) map[string]float64 {
	ml, err := c.set["volume"], error(nil)
	if d, is := c.set["diameter"]; is {
		ml, err = lye.Cylinder(d, c.set["height"])
	} else if ml == 0 {
		ml, err = lye.Box(c.set["length"], c.set["width"], c.set["height"])
	}
	require.NoError(t, err)
	if rule, is := c.set["fat_per_ml"]; is {
		return map[string]float64{"fats": ml * rule}
	}
	a := c.alkali(t)
	water, err := waterOf(c).Grams(a.Grams(), lye.TotalFat(c.fats))
	require.NoError(t, err)
	fat := lye.TotalFat(c.fats)
	f, err := lye.FillFactor(ml, fat+a.Grams()+water, c.set["density"])
	require.NoError(t, err)
	return map[string]float64{"volume": ml, "fats": fat * f, "naoh": a.Sodium * f, "water": water * f}
}

func stockRow(t *testing.T, c check) map[string]float64 {
	stock, water, err := lye.StockAndWater(c.set["pure"], c.set["stock_strength"], c.set["strength"])
	require.NoError(t, err)
	return map[string]float64{"stock": stock, "water": water}
}

func waterRow(t *testing.T, c check) map[string]float64 {
	grams := c.alkali(t).Grams()
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
	safe, err := lye.SafeLye(c.fats, lye.Sodium(c.purity()))
	require.NoError(t, err)
	return map[string]float64{"least": least, "safe_lye": safe.Sodium}
}

func fatForRow(t *testing.T, c check) map[string]float64 {
	fat, err := lye.FatFor(c.fats, c.alkali(t), c.set["superfat"])
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
		for i := range c.acids {
			c.acids[i].Strength = c.or("acid_strength", 1)
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

// acidNames are the acids as soap.csv calls them.
var acidNames = map[string]string{
	"citric_anhydrous": "citric acid", "citric_monohydrate": "citric acid monohydrate", "lactic": "lactic acid", "acetic": "acetic acid",
	"ascorbic": "ascorbic acid", "tartaric": "tartaric acid", "malic": "malic acid",
}

func (c *check) input(p pair) {
	if settings[p.name] {
		c.set[p.name] = p.value
		return
	}
	if name, is := acidNames[p.name]; is {
		a, _ := lye.AcidNamed(name)
		c.acids = append(c.acids, lye.AcidPortion{Acid: a, Grams: p.value})
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

func naoh(grams, purity float64) lye.Alkali {
	return lye.Alkali{Sodium: grams, SodiumPurity: purity, PotassiumPurity: 1}
}

// The functions by what they read of a recipe.
var (
	demand = func(r recipe) error { _, err := lye.DemandOf(r.fats); return err }
	least  = func(r recipe) error { _, err := lye.LeastSuperfat(r.fats); return err }
	safe   = func(r recipe) error { _, err := lye.SafeLye(r.fats, lye.Sodium(r.purity)); return err }
	weigh  = func(r recipe) error { _, err := lye.Lye(r.fats, r.superfat, lye.Sodium(r.purity)); return err }
	band   = func(r recipe) error { _, err := lye.BandOf(r.fats, naoh(r.lye, r.purity)); return err }
	fatFor = func(r recipe) error { _, err := lye.FatFor(r.fats, naoh(r.lye, r.purity), r.superfat); return err }

	readFats     = []func(recipe) error{demand, least, safe, weigh, band, fatFor}
	readLye      = []func(recipe) error{band, fatFor}
	readSuperfat = []func(recipe) error{weigh, fatFor}
	readPurity   = []func(recipe) error{safe, weigh, band, fatFor}
)

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

// anyFloat draws from all of them, the odd ones often.
var anyFloat = rapid.OneOf(
	rapid.SampledFrom([]float64{
		nan, inf, -inf, 0, math.Copysign(0, -1), 1, -1, math.MaxFloat64, math.SmallestNonzeroFloat64, lye.MaxFat,
	}),
	rapid.Float64(),
	rapid.Float64Range(0, 1),
)

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
	a, err := lye.Lye(mixture(), 0.05, lye.Sodium(0.98))
	fmt.Printf("%.2f g %v\n", a.Sodium, err)
	_, err = lye.Lye(mixture(), 5, lye.Sodium(0.98))
	fmt.Println(err)
	// Output:
	// 145.30 g <nil>
	// superfat out of range: 5
}

// Row S42 of soap.csv.
func ExampleBandOf() {
	b, err := lye.BandOf(mixture(), naoh(145.3, 0.98))
	fmt.Printf("%.2f to %.2f %%, typically %.2f %% %v\n", 100*b.Low, 100*b.High, 100*b.Typical, err)
	fmt.Println(b.Verdict() == lye.WithinBand)
	// Output:
	// 2.09 to 7.85 %, typically 5.00 % <nil>
	// true
}

// heatRow reads the heat table; a row that gives a heat of solution and a heat
// capacity checks the simple form |heat| x c / cp against the table's own rise.
func heatRow(t *testing.T, c check) map[string]float64 {
	strength := c.set["strength"]
	p, err := lye.PeakOf(strength, c.or("water_start", 20))
	require.NoError(t, err)
	ice, err := lye.IcePeak(strength)
	require.NoError(t, err)
	got := map[string]float64{"final_low": p.Low, "final_high": p.High, "final": (p.Low + p.High) / 2}
	if _, is := c.set["ice_share"]; is {
		got["final"] = ice
	}
	if heat, is := c.set["heat"]; is {
		got["rise"] = heat * strength / c.set["cp"]
		require.InDelta(t, got["rise"], p.Low-20, 3, "the table agrees with the simple form")
	}
	return got
}

func newtonRow(t *testing.T, c check) map[string]float64 {
	cooling, err := lye.CoolingOf(c.set["ambient"], c.set["t1"], c.set["t2"], time.Duration(c.set["gap"])*time.Minute)
	require.NoError(t, err)
	wait, err := cooling.Until(c.set["target"])
	require.NoError(t, err)
	require.InDelta(t, c.set["target"], cooling.After(wait), 1e-6, "and it is that warm then")
	return map[string]float64{"minutes": wait.Minutes(), "k": cooling.Rate}
}

func TestCoolingRefuses(t *testing.T) {
	for _, c := range [][4]float64{{20, 50, 60, 10}, {20, 60, 20, 10}, {20, 60, 50, 0}, {20, 60, 50, -5}, {20, 60, 15, 10}} {
		_, err := lye.CoolingOf(c[0], c[1], c[2], time.Duration(c[3])*time.Minute)
		require.ErrorIs(t, err, lye.ErrCooling, "%v", c)
	}
	cooling, err := lye.CoolingOf(20, 60, 50, 10*time.Minute)
	require.NoError(t, err)
	_, err = cooling.Until(20)
	require.ErrorIs(t, err, lye.ErrCooling, "the room itself is never reached")
	passed, err := cooling.Until(55)
	require.NoError(t, err)
	require.Zero(t, passed)
	_, err = lye.PeakOf(0.2, 20)
	require.ErrorIs(t, err, lye.ErrHeat)
	_, err = lye.PeakOf(0.3, 80)
	require.ErrorIs(t, err, lye.ErrHeat)
}
