package safety_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/calc/safety"
)

// row is one line of the check table.
type row struct {
	in, want  map[string]string
	tolerance float64
}

// TestChecks runs testdata/checks/safety.csv; every row names its source.
func TestChecks(t *testing.T) {
	f, err := os.Open("../../testdata/checks/safety.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	run := map[string]func(*testing.T, row){
		"internal": checkInternal, "mould": checkMould, "sign": checkSign, "also": checkAlso, "unknown": checkUnknown,
		"figure": checkFigure, "two_hours": checkTwoHours, "cooling": checkCooling, "out": checkOut,
		"limits": checkLimits, "power": checkPower, "storage": checkStorage, "no_storage": checkNoStorage,
		"canner": checkCanner, "no_canner": checkNoCanner, "rules": checkRules,
	}
	seen := map[string]bool{}
	for _, r := range rows[1:] {
		require.False(t, seen[r[0]], "%s is there twice", r[0])
		seen[r[0]] = true
		t.Run(r[0]+" "+r[1]+" "+r[2], func(t *testing.T) {
			require.NotEmpty(t, r[5])
			require.NotEmpty(t, r[6])
			require.Contains(t, run, r[1])
			run[r[1]](t, row{fields(r[2]), fields(r[3]), number(t, r[4])})
		})
	}
	t.Logf("%d rows ran", len(rows)-1)
	require.Len(t, rows, 196)
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

func (r row) minutes(t *testing.T, name string, got time.Duration) {
	t.Helper()
	require.Equal(t, number(t, r.want[name]), got.Minutes(), name)
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func fromF(f float64) float64 { return (f - 32) / 1.8 }

func checkInternal(t *testing.T, r row) {
	got, ok := safety.Internal(r.in["words"])
	require.True(t, ok)
	require.True(t, got[0].ByThermometer())
	r.near(t, "f", got[0].F)
	r.near(t, "c", got[0].C)
	longest := time.Duration(0)
	for _, c := range got {
		if c.F == got[0].F {
			longest = max(longest, c.Rest)
		}
	}
	r.minutes(t, "rest", longest)
}

func checkMould(t *testing.T, r row) {
	got, ok := safety.Mouldy(r.in["words"])
	if !ok {
		require.Equal(t, "none", r.want["keep"])
		return
	}
	require.Equal(t, r.want["keep"], yes(got.Keep))
	require.NotEmpty(t, got.Text)
}

func checkSign(t *testing.T, r row) {
	got, ok := safety.Internal(r.in["words"])
	require.True(t, ok)
	require.False(t, got[0].ByThermometer())
	require.Contains(t, got[0].Note, r.want["note"])
}

func checkAlso(t *testing.T, r row) {
	got, ok := safety.Internal(r.in["words"])
	require.True(t, ok)
	for _, c := range got[1:] {
		if strings.Contains(c.Food, r.in["food"]) {
			r.near(t, "f", c.F)
			r.near(t, "c", c.C)
			return
		}
	}
	if strings.Contains(got[0].Food, r.in["food"]) {
		r.near(t, "f", got[0].F)
		r.near(t, "c", got[0].C)
		return
	}
	require.Fail(t, "no such row", r.in["food"])
}

func checkUnknown(t *testing.T, r row) {
	got, ok := safety.Internal(r.in["words"])
	require.Equal(t, r.want["known"], yes(ok))
	require.Empty(t, got)
}

func checkFigure(t *testing.T, r row) {
	for _, f := range safety.Figures() {
		if f.Name == r.in["name"] {
			r.near(t, "f", f.F)
			r.near(t, "c", f.C)
			r.minutes(t, "minutes", f.Within)
			require.NotEmpty(t, f.Text)
			return
		}
	}
	require.Fail(t, "no such figure")
}

func checkTwoHours(t *testing.T, r row) {
	r.minutes(t, "minutes", safety.TwoHours(fromF(r.num(t, "air_f"))))
}

var actions = map[string]safety.Action{
	"done": safety.Ready, "sofar": safety.SoFar, "reheat": safety.ReheatOnce, "discard": safety.Discard,
}

// checkCooling reads a log of minute:°F.
func checkCooling(t *testing.T, r row) {
	var log []safety.Reading
	for part := range strings.FieldsSeq(r.in["log"]) {
		after, f, _ := strings.Cut(part, ":")
		log = append(log, safety.Reading{After: minutes(number(t, after)), C: fromF(number(t, f))})
	}
	got, err := safety.Cooling(log)
	require.NoError(t, err)
	require.Equal(t, r.want["ok"], yes(got.OK))
	require.Equal(t, r.want["stage"], strconv.Itoa(got.Stage))
	require.Contains(t, actions, r.want["do"])
	require.Equal(t, actions[r.want["do"]], got.Do)
	r.minutes(t, "by", got.By)
}

func minutes(n float64) time.Duration { return time.Duration(n * float64(time.Minute)) }

func checkOut(t *testing.T, r row) {
	var spells []time.Duration
	for part := range strings.FieldsSeq(r.in["spells"]) {
		spells = append(spells, minutes(number(t, part)))
	}
	got, err := safety.OutOfFridge(fromF(r.num(t, "air_f")), spells...)
	require.NoError(t, err)
	require.Equal(t, r.want["ok"], yes(got.OK))
	require.Equal(t, !got.OK, got.Do == safety.Discard)
	r.minutes(t, "by", got.By)
}

func checkLimits(t *testing.T, r row) {
	got := safety.PowerLimits()
	r.near(t, "fridge", got.Fridge.Hours())
	r.near(t, "full", got.FreezerFull.Hours())
	r.near(t, "half", got.FreezerHalf.Hours())
}

func checkPower(t *testing.T, r row) {
	items, err := safety.PowerCut(r.num(t, "hours"), r.in["opened"] == "yes", r.in["full"] == "yes")
	require.NoError(t, err)
	for _, it := range items {
		if it.Kind == r.in["kind"] {
			require.Equal(t, r.want["keep"], yes(it.Keep))
			require.Equal(t, it.Keep, strings.HasPrefix(it.Text, "keep"))
			return
		}
	}
	require.Fail(t, "no such kind")
}

func checkStorage(t *testing.T, r row) {
	got, ok := safety.Storage(r.in["words"])
	require.True(t, ok)
	first := got[0]
	require.Contains(t, first.Food, r.want["food"])
	require.Equal(t, r.want["fridge"], strconv.Itoa(first.FridgeLow)+"-"+strconv.Itoa(first.FridgeHigh))
	require.Equal(t, r.want["freezer"], strconv.Itoa(first.FreezerLow)+"-"+strconv.Itoa(first.FreezerHigh))
}

func checkNoStorage(t *testing.T, r row) {
	got, ok := safety.Storage(r.in["words"])
	require.Equal(t, r.want["known"], yes(ok))
	require.Empty(t, got)
}

func checkCanner(t *testing.T, r row) {
	got, err := safety.Canner(r.num(t, "ft") * 0.3048)
	require.NoError(t, err)
	require.Equal(t, r.want["dial"], strconv.Itoa(got.DialPSI))
	require.Equal(t, r.want["weighted"], strconv.Itoa(got.WeightedPSI))
	require.Equal(t, safety.CanningRefer, got.Note)
}

func checkNoCanner(t *testing.T, r row) {
	_, err := safety.Canner(r.num(t, "ft") * 0.3048)
	require.ErrorIs(t, err, safety.ErrHeight)
}

func checkRules(t *testing.T, r row) {
	var names []string
	for _, rule := range safety.Rules(r.in["words"]) {
		names = append(names, rule.Name)
	}
	require.Equal(t, r.want["rules"], strings.Join(names, "|"))
}
