package growth_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/calc/growth"
)

// row is one line of the check table.
type row struct {
	in, want  map[string]string
	tolerance float64
}

// TestChecks runs testdata/checks/growth.csv; every row names its source.
func TestChecks(t *testing.T) {
	f, err := os.Open("../../testdata/checks/growth.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	run := map[string]func(*testing.T, row){
		"girth": checkGirth, "poor": checkPoor, "pig_girth": checkPigGirth, "gain": checkGain, "reach": checkReach,
		"dress": checkDress, "cuts": checkCuts, "share_in": checkShareIn, "render": checkRender, "render_in": checkRenderIn,
		"pig_fat": checkPigFat, "pig_fat_in": checkPigFatIn, "withdraw": checkWithdraw, "milking": checkMilking,
	}
	seen := map[string]bool{}
	for _, r := range rows[1:] {
		require.False(t, seen[r[0]], "%s is there twice", r[0])
		seen[r[0]] = true
		t.Run(r[0]+" "+r[1], func(t *testing.T) {
			require.NotEmpty(t, r[5])
			require.NotEmpty(t, r[6])
			require.Contains(t, run, r[1])
			run[r[1]](t, row{fields(r[2]), fields(r[3]), number(t, r[4])})
		})
	}
	t.Logf("%d rows ran", len(rows)-1)
	require.Len(t, rows, 56)
}

func fields(text string) map[string]string {
	out := map[string]string{}
	for part := range strings.SplitSeq(text, ";") {
		name, value, _ := strings.Cut(part, "=")
		out[name] = value
	}
	return out
}

func number(t require.TestingT, text string) float64 {
	f, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return f
}

func date(t require.TestingT, text string) time.Time {
	d, err := time.Parse(time.DateOnly, text)
	require.NoError(t, err)
	return d
}

func (r row) num(t *testing.T, name string) float64 {
	t.Helper()
	return number(t, r.in[name])
}

func (r row) near(t *testing.T, name string, got float64) {
	t.Helper()
	require.InDelta(t, number(t, r.want[name]), got, r.tolerance, name)
}

func pounds(kg float64) float64 { return kg / growth.KGPerPound }

func checkGirth(t *testing.T, r row) {
	weigh := map[string]func(string, float64, float64) (growth.Estimate, error){"in": growth.GirthWeightInches, "cm": growth.GirthWeight}[r.in["unit"]]
	require.NotNil(t, weigh)
	got, err := weigh(r.in["kind"], r.num(t, "girth"), r.num(t, "length"))
	require.NoError(t, err)
	require.InDelta(t, 0.9*got.KG, got.Low, 1e-9)
	require.InDelta(t, 1.1*got.KG, got.High, 1e-9)
	if r.want["kg"] != "" {
		r.near(t, "kg", got.KG)
		return
	}
	r.near(t, "lb", pounds(got.KG))
}

func checkPoor(t *testing.T, r row) {
	got, err := growth.GirthWeightInches(r.in["kind"], r.num(t, "girth"), r.num(t, "length"))
	require.NoError(t, err)
	r.near(t, "lb", pounds(got.KG))
	require.Equal(t, r.want["poor"] == "yes", got.Poor)
}

func checkPigGirth(t *testing.T, r row) {
	got, err := growth.PigByGirth(r.num(t, "girth") * growth.CMPerInch)
	require.NoError(t, err)
	r.near(t, "lb", pounds(got.KG))
	r.near(t, "low", pounds(got.Low))
	r.near(t, "high", pounds(got.High))
}

func checkGain(t *testing.T, r row) {
	got, err := growth.DailyGain(
		growth.Weighing{Day: date(t, r.in["from"]), KG: r.num(t, "kg_from")},
		growth.Weighing{Day: date(t, r.in["to"]), KG: r.num(t, "kg_to")},
	)
	require.NoError(t, err)
	r.near(t, "gain_lb", pounds(got))
}

func checkReach(t *testing.T, r row) {
	got, err := growth.Reach([]growth.Weighing{
		{Day: date(t, r.in["first"]), KG: r.num(t, "kg1")},
		{Day: date(t, r.in["second"]), KG: r.num(t, "kg2")},
	}, r.num(t, "target"))
	require.NoError(t, err)
	require.LessOrEqual(t, got.Day.Sub(date(t, r.want["day"])).Abs().Hours()/24, r.tolerance, got.Day)
	require.False(t, got.Early.After(got.Day))
	require.False(t, got.Late.Before(got.Day))
}

func (r row) band(t *testing.T, got growth.Band) {
	t.Helper()
	r.near(t, "low", got.Low)
	r.near(t, "typical", got.Typical)
	r.near(t, "high", got.High)
}

func checkDress(t *testing.T, r row) {
	got, err := growth.Carcass(r.in["kind"], r.num(t, "live"))
	require.NoError(t, err)
	r.band(t, got)
}

func (r row) pig(t *testing.T) growth.PigYield {
	t.Helper()
	got, err := growth.Pig(r.num(t, "live"), r.in["lard"] == "yes")
	require.NoError(t, err)
	return got
}

func within(t *testing.T, b growth.Band, x float64) {
	t.Helper()
	require.GreaterOrEqual(t, x, b.Low)
	require.LessOrEqual(t, x, b.High)
}

func checkCuts(t *testing.T, r row) {
	got := r.pig(t).Cuts
	r.near(t, "typical", got.Typical)
	within(t, got, number(t, r.want["contains"]))
}

func checkShareIn(t *testing.T, r row) {
	s, ok := growth.DressingOf(r.in["kind"])
	require.True(t, ok)
	require.Equal(t, "yes", r.want["inside"])
	within(t, s.Of, r.num(t, "share"))
}

func checkRender(t *testing.T, r row) {
	got, err := growth.Rendered(r.in["fat"], r.num(t, "raw"))
	require.NoError(t, err)
	r.band(t, got)
}

func checkRenderIn(t *testing.T, r row) {
	got, err := growth.Rendered(r.in["fat"], r.num(t, "raw"))
	require.NoError(t, err)
	// what a household reads off a jar is not sharper than half a hundredth
	within(t, growth.Band{Low: got.Low * 0.995, High: got.High * 1.005}, r.num(t, "out"))
}

func checkPigFat(t *testing.T, r row) {
	got := r.pig(t)
	r.near(t, "fat_typical", got.Fat.Typical)
	within(t, got.Fat, number(t, r.want["back_contains"]))
	require.Less(t, got.Lard.Typical, got.Fat.Typical)
}

func checkPigFatIn(t *testing.T, r row) {
	require.Equal(t, "yes", r.want["inside"])
	within(t, r.pig(t).Fat, r.num(t, "fat"))
}

// label is the row's label, in hours or days.
func (r row) label(t *testing.T) growth.Label {
	t.Helper()
	read, text := growth.Hours, r.in["hours"]
	if text == "" {
		read, text = growth.Days, r.in["days"]
	}
	l, err := read(number(t, text))
	require.NoError(t, err)
	return l
}

func checkWithdraw(t *testing.T, r row) {
	zone, err := time.LoadLocation(r.in["zone"])
	require.NoError(t, err)
	last, err := time.ParseInLocation("2006-01-02 15:04", r.in["last"], zone)
	require.NoError(t, err)
	treated := growth.Treatment{Doses: []time.Time{last}}
	var product growth.Product
	for _, p := range growth.Products() {
		if p.String() == r.in["product"] {
			product = p
		}
	}
	switch product {
	case growth.Milk:
		treated.Milk = r.label(t)
	case growth.Meat:
		treated.Meat = r.label(t)
	case growth.Eggs:
		treated.Eggs = r.label(t)
	}
	got, err := growth.Release(product, treated)
	require.NoError(t, err)
	require.False(t, got.Unknown || got.Never)
	require.Equal(t, r.want["release"], got.At.Format("2006-01-02 15:04 MST"))
	require.False(t, got.Free(got.At.Add(-time.Second)))
	require.True(t, got.Free(got.At))
	for _, other := range growth.Products() {
		rest, err := growth.Release(other, treated)
		require.NoError(t, err)
		require.Equal(t, other != product, rest.Unknown, "a label for %s says nothing of %s", product, other)
	}
}

func checkMilking(t *testing.T, r row) {
	last := time.Date(2027, 5, 1, 6, 0, 0, 0, time.UTC)
	got, err := growth.Release(growth.Milk, growth.Treatment{Doses: []time.Time{last}, Milk: r.label(t)})
	require.NoError(t, err)
	began := last.Add(time.Duration(r.num(t, "after") * float64(time.Hour)))
	require.Equal(t, r.want["free"] == "yes", got.Free(began))
}
