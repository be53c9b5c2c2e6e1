package scaling_test

import (
	"encoding/csv"
	"maps"
	"math/big"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/calc/scaling"
)

// row is one line of the check table.
type row struct {
	t         *testing.T
	in, want  map[string]string
	order     []string // the names of in, as they stand
	tolerance float64
}

// TestChecks runs testdata/checks/kitchen-scaling.csv; every row names its source.
func TestChecks(t *testing.T) {
	f, err := os.Open("../../testdata/checks/kitchen-scaling.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	run := map[string]func(row){
		"scaled": checkScaled, "kit": checkKit, "metric": checkMetric, "metric_unit": checkMetricUnit,
		"limiting": checkLimiting, "nice": checkNice,
		"pan": checkPan, "cups": checkCups, "named": checkNamed, "fill": checkFill, "casserole": checkCasserole,
		"dough": checkDough, "bakers": checkBakers,
		"roast": checkRoast, "depth": checkDepth, "heat": checkHeat, "boil": checkBoil, "boiling": checkBoiling,
		"celsius": checkCelsius, "rise": checkRise, "gas": checkGas, "nearest": checkNearest, "oven": checkOven, "fan": checkFan,
		"start": checkStart, "tolerance": checkTolerance, "kind": checkKind,
	}
	seen, ran := map[string]bool{}, 0
	for _, r := range rows[1:] {
		require.False(t, seen[r[0]], "%s is there twice", r[0])
		seen[r[0]] = true
		t.Run(r[0]+" "+r[1], func(t *testing.T) {
			require.NotEmpty(t, r[5])
			require.NotEmpty(t, r[6])
			require.Contains(t, run, r[1])
			in, order := fields(r[2])
			want, _ := fields(r[3])
			require.NotEmpty(t, want)
			run[r[1]](row{t, in, want, order, number(t, r[4])})
			ran++
		})
	}
	t.Logf("%d rows ran", ran)
	require.Equal(t, 300, ran)
}

func fields(text string) (map[string]string, []string) {
	out := map[string]string{}
	var order []string
	for part := range strings.SplitSeq(text, ";") {
		name, value, ok := strings.Cut(part, "=")
		if ok {
			out[name], order = value, append(order, name)
		}
	}
	return out, order
}

func (r row) num(name string) float64 {
	r.t.Helper()
	require.Contains(r.t, r.in, name)
	return number(r.t, r.in[name])
}

func (r row) rat(name string) *big.Rat {
	r.t.Helper()
	require.Contains(r.t, r.in, name)
	return mixed(r.t, r.in[name])
}

func (r row) near(name string, got float64) {
	r.t.Helper()
	require.Contains(r.t, r.want, name)
	require.InDelta(r.t, number(r.t, r.want[name]), got, r.tolerance, name)
}

func (r row) same(name, got string) {
	r.t.Helper()
	require.Contains(r.t, r.want, name)
	require.Equal(r.t, r.want[name], got, name)
}

func checkScaled(r row) {
	unit := inTeaspoons[r.in["unit"]]
	require.NotZero(r.t, unit)
	written := new(big.Rat).Mul(r.rat("amount"), big.NewRat(unit, 1))
	exact, err := scaling.Scale(written, r.rat("factor"))
	require.NoError(r.t, err)
	r.same("tsp", exact.RatString())
	measuredWith(r, exact)
}

func checkKit(r row) { measuredWith(r, r.rat("tsp")) }

func measuredWith(r row, tsp *big.Rat) {
	got, err := scaling.NewKit(lacking(r.in["lacks"])).Measure(tsp, r.num("epsilon"))
	require.NoError(r.t, err)
	r.same("measures", got.String())
	r.near("error", 100*got.Error)
}

func checkMetric(r row) {
	got, err := scaling.Metric(r.rat("ml"), r.num("epsilon"))
	require.NoError(r.t, err)
	r.same("measures", got.String())
	r.near("error", 100*got.Error)
}

// checkMetricUnit: each spoon's own size is one fill of it.
func checkMetricUnit(r row) {
	for size := range strings.FieldsSeq(r.want["spoons"]) {
		got, err := scaling.Metric(mixed(r.t, size), 0)
		require.NoError(r.t, err)
		require.Len(r.t, got.Spoons, 1)
		require.Equal(r.t, size+" ml", got.Spoons[0].Name)
		require.Zero(r.t, got.Spoons[0].ML.Cmp(mixed(r.t, size)))
	}
}

func checkLimiting(r row) {
	written, onHand := map[string]*big.Rat{}, map[string]*big.Rat{}
	for name, pair := range r.in {
		need, have, _ := strings.Cut(pair, " ")
		written[name], onHand[name] = mixed(r.t, need), mixed(r.t, have)
	}
	k, limits, short, err := scaling.Limiting(written, onHand)
	require.NoError(r.t, err)
	r.same("k", k.RatString())
	r.same("limits", limits)
	var lacks []string
	for _, name := range slices.Sorted(maps.Keys(short)) {
		lacks = append(lacks, name+" "+short[name].RatString())
	}
	r.same("short", strings.Join(lacks, ", "))
}

func checkNice(r row) {
	got, ok := scaling.Nice(r.rat("k"))
	if r.want["nice"] == "none" {
		require.False(r.t, ok)
		require.Nil(r.t, got)
		return
	}
	require.True(r.t, ok)
	r.same("nice", got.RatString())
}

// pan reads "9x13x2", "round 8x2" and "ring 10x3.5 3", in inches.
func pan(t *testing.T, text string) scaling.Pan {
	t.Helper()
	var p scaling.Pan
	shape, rest, ok := strings.Cut(text, " ")
	if !ok {
		shape, rest = "", text
	}
	size, hole, _ := strings.Cut(rest, " ")
	p.Round = shape == "round" || shape == "ring"
	into := []*float64{&p.Length, &p.Width, &p.Depth}
	if p.Round {
		into = []*float64{&p.Length, &p.Depth}
	}
	for i, part := range strings.Split(size, "x") {
		*into[i] = number(t, part) * 2.54
	}
	if shape == "ring" {
		p.Hole = number(t, hole) * 2.54
	}
	return p
}

func checkPan(r row) {
	require.Contains(r.t, []string{"area", "volume"}, r.in["by"])
	k, err := scaling.PanFactor(pan(r.t, r.in["from"]), pan(r.t, r.in["to"]), r.in["by"] == "volume")
	require.NoError(r.t, err)
	if r.in["count"] != "" {
		k *= r.num("count")
	}
	r.near("k", k)
}

func checkCups(r row) {
	p := pan(r.t, r.in["pan"])
	area, err := p.Area()
	require.NoError(r.t, err)
	r.near("area", area/(2.54*2.54))
	geometric, published, known := scaling.PanCups(p)
	r.near("cups", geometric)
	require.Equal(r.t, r.want["published"] != "none", known)
	if known {
		r.same("published", strconv.FormatFloat(published, 'g', -1, 64))
	}
}

func checkNamed(r row) {
	p, ok := scaling.PanNamed(r.in["name"])
	require.True(r.t, ok)
	require.False(r.t, p.Sized)
	r.near("cups", p.From)
	r.near("cups", p.To)
}

func checkFill(r row) {
	for _, v := range []scaling.Vessel{scaling.BatterPan, scaling.Pot, scaling.SlowCooker, scaling.PressureCooker, scaling.PressureFoaming} {
		if v.String() != r.in["vessel"] {
			continue
		}
		least, most, err := v.Fill(r.num("volume"))
		require.NoError(r.t, err)
		r.near("least", least)
		r.near("most", most)
		return
	}
	require.Fail(r.t, "no such vessel")
}

func checkCasserole(r row) {
	ml, err := scaling.CasseroleFill(pan(r.t, r.in["pan"]))
	require.NoError(r.t, err)
	r.near("cups", ml/236.5882365)
}

func checkDough(r row) {
	f, err := scaling.SourdoughFormula(r.num("hydration"), r.num("salt"), r.num("starter"), r.num("own"))
	require.NoError(r.t, err)
	r.near2("hydration", r.num("hydration"), f.Hydration)
	var parts []scaling.Part
	if r.in["dough"] != "" {
		parts, err = f.ForDough(r.num("dough"))
	} else {
		parts, err = f.ForFlour(r.num("flour"))
	}
	require.NoError(r.t, err)
	got, sum := map[string]float64{}, 0.0
	for _, p := range parts {
		got[p.Name] = p.Amount
		sum += p.Amount
	}
	for _, name := range []string{"flour", "water", "salt", "starter"} {
		r.near(name, got[name])
	}
	r.near("sum", sum)
}

func (r row) near2(name string, want, got float64) {
	r.t.Helper()
	require.InDelta(r.t, want, got, 1e-9, name)
}

func checkBakers(r row) {
	var grams []scaling.Part
	for _, name := range r.order {
		amount, own, _ := strings.Cut(r.in[name], "@")
		p := scaling.Part{Name: name, Amount: number(r.t, amount)}
		switch strings.Fields(name)[0] {
		case "flour":
			p.Role = scaling.Flour
		case "water":
			p.Role = scaling.Water
		case "starter":
			p.Role, p.Hydration = scaling.Starter, number(r.t, own)
		}
		grams = append(grams, p)
	}
	f, err := scaling.Bakers(grams)
	require.NoError(r.t, err)
	require.Len(r.t, f.Parts, len(grams))
	for _, p := range f.Parts {
		r.near(p.Name, p.Amount)
	}
	r.near("sum", f.Sum)
	r.near("hydration", f.Hydration)
	r.near("prefermented", f.Prefermented)
}

func checkRoast(r row) {
	got, err := scaling.RoastTime(r.num("minutes"), r.num("ratio"))
	if r.want["error"] == "yes" {
		require.ErrorIs(r.t, err, scaling.ErrRange)
		return
	}
	require.NoError(r.t, err)
	r.near("minutes", got)
}

func checkDepth(r row) {
	got, err := scaling.DepthTime(r.num("minutes"), r.num("ratio"))
	require.NoError(r.t, err)
	r.near("minutes", got)
}

func checkHeat(r row) {
	got, err := scaling.HeatUp(r.num("kg"), r.num("from"), r.num("to"), r.num("kw"), r.num("efficiency"))
	require.NoError(r.t, err)
	r.near("minutes", got)
}

func checkBoil(r row) {
	got, err := scaling.Evaporation(r.num("kw"), r.num("hours"))
	require.NoError(r.t, err)
	r.near("kg", got)
}

func checkBoiling(r row) {
	got, err := scaling.Boiling(r.num("ft") * 0.3048)
	require.NoError(r.t, err)
	if r.want["f"] != "" {
		r.near("f", got*9/5+32)
		return
	}
	r.near("c", got)
}

func checkCelsius(r row) {
	got, err := scaling.Celsius(r.num("f"))
	require.NoError(r.t, err)
	r.near("c", got)
	g, err := scaling.NearestMark(r.num("f"))
	if r.want["mark"] == "none" {
		require.ErrorIs(r.t, err, scaling.ErrRange)
		return
	}
	require.NoError(r.t, err)
	r.near("mark", g.Mark)
}

func checkRise(r row) { r.near("c", scaling.CelsiusRise(r.num("f"))) }

func checkGas(r row) {
	g, err := scaling.GasMark(r.num("mark"))
	require.NoError(r.t, err)
	r.near("f", g.F)
	r.near("c", g.C())
	r.near("dial_from", g.DialFrom)
	r.near("dial_to", g.DialTo)
	if g.Mark >= 1 {
		require.InDelta(r.t, 250+25*g.Mark, g.F, 0, "mark n is 250 + 25 n °F")
	}
}

func checkNearest(r row) {
	g, err := scaling.NearestMark(r.num("f"))
	require.NoError(r.t, err)
	r.near("mark", g.Mark)
}

func checkOven(r row) {
	w, err := scaling.OvenWordFor(r.num("f"))
	require.NoError(r.t, err)
	r.same("word", w.Word)
}

func checkFan(r row) {
	from, to, err := scaling.Fan(r.num("c"))
	require.NoError(r.t, err)
	r.near("from", from)
	r.near("to", to)
}

// kinds are all there are, in order.
func kinds() []scaling.Kind {
	var out []scaling.Kind
	for k := scaling.Plain; k <= scaling.Egg; k++ {
		out = append(out, k)
	}
	return out
}

func (r row) kind() scaling.Kind {
	r.t.Helper()
	for _, k := range kinds() {
		if k.String() == r.in["kind"] {
			return k
		}
	}
	require.Fail(r.t, "no such kind", r.in["kind"])
	return 0
}

func checkStart(r row) {
	start, ok := r.kind().Start(r.rat("k"))
	r.near("start", start)
	require.Equal(r.t, r.want["taste"] == "yes", ok)
}

func checkTolerance(r row) { r.near("tolerance", r.kind().Tolerance()) }

func checkKind(r row) { r.same("kind", scaling.KindOf(r.in["words"]).String()) }
