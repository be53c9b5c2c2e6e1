package dayplan_test

import (
	"encoding/csv"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/calc/dayplan"
)

// row is one line of the check table.
type row struct {
	in, want  map[string]string
	tolerance float64
}

// TestChecks runs testdata/checks/dayplan.csv; every row names its source.
func TestChecks(t *testing.T) {
	f, err := os.Open("../../testdata/checks/dayplan.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	run := map[string]func(*testing.T, row){
		"back": checkBack, "latest": checkLatest, "forward": checkForward, "clash": checkClash,
		"high": checkHigh, "low": checkLow, "fill": checkFill, "thaw": checkThaw,
		"heat": checkHeat, "roast": checkRoast, "usual": checkUsual,
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
	require.Len(t, rows, 77)
}

func fields(text string) map[string]string {
	out := map[string]string{}
	for part := range strings.SplitSeq(text, ";") {
		name, value, _ := strings.Cut(part, "=")
		out[name] = value
	}
	return out
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	f, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return f
}

func (r row) num(t *testing.T, name string) float64 { return number(t, r.in[name]) }

func (r row) near(t *testing.T, name string, got float64) {
	t.Helper()
	require.InDelta(t, number(t, r.want[name]), got, r.tolerance, name)
}

// at is a time of day on the day of the table's meals.
func at(t *testing.T, text string) time.Time {
	t.Helper()
	c, err := time.Parse("15:04", text)
	require.NoError(t, err)
	return time.Date(2026, 11, 25, c.Hour(), c.Minute(), 0, 0, time.UTC)
}

func minutes(t *testing.T, text string) time.Duration {
	t.Helper()
	return time.Duration(number(t, text) * float64(time.Minute))
}

// steps reads "kind min likely max" parted by bars, a star for a slow cooker on low.
func steps(t *testing.T, text string) []dayplan.Step {
	var out []dayplan.Step
	for part := range strings.SplitSeq(text, "|") {
		f := strings.Fields(part)
		require.Len(t, f, 4)
		name := strings.TrimSuffix(f[0], "*")
		out = append(out, dayplan.Step{
			Name: name, Kind: kind(t, name), Low: name != f[0],
			Min: minutes(t, f[1]), Likely: minutes(t, f[2]), Max: minutes(t, f[3]),
		})
	}
	return out
}

func kind(t *testing.T, name string) dayplan.Kind {
	t.Helper()
	for k := dayplan.Thaw; k <= dayplan.Serve; k++ {
		if k.String() == name {
			return k
		}
	}
	require.Fail(t, "no such kind", name)
	return 0
}

func (r row) plan(t *testing.T) []dayplan.Slot {
	slots, err := dayplan.BackFrom(at(t, r.in["serve"]), steps(t, r.in["steps"]))
	require.NoError(t, err)
	return slots
}

func clock(slots []dayplan.Slot, of func(dayplan.Slot) time.Time) string {
	var out []string
	for _, s := range slots {
		out = append(out, of(s).Format("15:04"))
	}
	return strings.Join(out, " ")
}

func checkBack(t *testing.T, r row) {
	require.Equal(t, r.want["starts"], clock(r.plan(t), func(s dayplan.Slot) time.Time { return s.Start }))
}

func checkLatest(t *testing.T, r row) {
	require.Equal(t, r.want["starts"], clock(r.plan(t), func(s dayplan.Slot) time.Time { return s.Latest }))
}

func checkForward(t *testing.T, r row) {
	done := int(r.num(t, "done"))
	plan := r.plan(t)
	left, ready, high, err := dayplan.Forward(at(t, r.in["now"]), done, plan)
	require.NoError(t, err)
	require.Len(t, left, len(plan)-done)
	require.Equal(t, r.want["ready"], ready.Format("15:04"))
	require.Equal(t, r.want["high"] == "yes", high)
}

// slot reads "from to appliance °C", then whole and attended.
func slot(t *testing.T, text string) []dayplan.Slot {
	f := strings.Fields(text)
	require.GreaterOrEqual(t, len(f), 4)
	return []dayplan.Slot{{
		Start: at(t, f[0]), End: at(t, f[1]),
		Step: dayplan.Step{
			Uses: strings.TrimPrefix(strings.ReplaceAll(f[2], "_", " "), "-"), TempC: number(t, f[3]),
			Whole: slices.Contains(f, "whole"), Attended: slices.Contains(f, "attended"),
		},
	}}
}

func checkClash(t *testing.T, r row) {
	words := map[dayplan.Why]string{dayplan.Temperature: "temperature", dayplan.Room: "room", dayplan.Hands: "hands"}
	a, b := slot(t, r.in["a"]), slot(t, r.in["b"])
	var got, turned []string
	for _, c := range dayplan.Clashes(a, b) {
		got = append(got, words[c.Why])
		require.True(t, c.From.Equal(b[0].Start))
		require.True(t, c.To.Equal(a[0].End))
	}
	for _, c := range dayplan.Clashes(b, a) {
		turned = append(turned, words[c.Why])
	}
	require.Equal(t, r.want["why"], strings.Join(got, " "))
	require.Equal(t, got, turned)
}

func checkHigh(t *testing.T, r row) {
	got, err := dayplan.HighFor(minutes(t, r.in["low"]))
	require.NoError(t, err)
	r.near(t, "high", got.Minutes())
}

func checkLow(t *testing.T, r row) {
	got, err := dayplan.LowFor(minutes(t, r.in["high"]))
	require.NoError(t, err)
	r.near(t, "low", got.Minutes())
}

func checkFill(t *testing.T, r row) {
	from, to, err := dayplan.Fill(r.num(t, "capacity"))
	require.NoError(t, err)
	r.near(t, "from", from)
	r.near(t, "to", to)
}

func checkThaw(t *testing.T, r row) {
	way, ok := map[string]dayplan.Method{"fridge": dayplan.InFridge, "water": dayplan.InColdWater}[r.in["way"]]
	require.True(t, ok)
	got, err := dayplan.ThawTime(r.num(t, "kg"), way)
	require.NoError(t, err)
	r.near(t, "min", got.Min.Hours())
	r.near(t, "likely", got.Likely.Hours())
	r.near(t, "max", got.Max.Hours())
}

func checkHeat(t *testing.T, r row) {
	got, err := dayplan.HeatUp(r.num(t, "kg"), r.num(t, "from"), r.num(t, "to"), r.num(t, "kw"), r.num(t, "share"))
	require.NoError(t, err)
	r.near(t, "minutes", got.Minutes())
}

func checkRoast(t *testing.T, r row) {
	got, err := dayplan.Roast(minutes(t, r.in["minutes"]), r.num(t, "from"), r.num(t, "to"))
	require.Equal(t, r.want["refused"] == "yes", err != nil)
	r.near(t, "minutes", got.Minutes())
}

func checkUsual(t *testing.T, r row) {
	got, ok := dayplan.Usual(r.in["name"])
	require.True(t, ok)
	require.Equal(t, r.want["kind"], got.Kind.String())
	r.near(t, "min", got.Span.Min.Minutes())
	r.near(t, "likely", got.Span.Likely.Minutes())
	r.near(t, "max", got.Span.Max.Minutes())
}
