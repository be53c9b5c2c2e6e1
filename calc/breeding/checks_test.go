package breeding_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/calc/breeding"
)

// row is one line of the check table.
type row struct {
	in, want  map[string]string
	tolerance float64
}

// TestChecks runs testdata/checks/breeding.csv; every row names its source.
func TestChecks(t *testing.T) {
	f, err := os.Open("../../testdata/checks/breeding.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	run := map[string]func(*testing.T, row){
		"due": checkDue, "served": checkServed, "exposed": checkExposed, "inside": checkInside, "published": checkPublished,
		"task": checkTask, "after": checkAfter, "weaned": checkWeaned, "return": checkReturn,
		"incubate": checkIncubate, "incubator": checkIncubator, "celsius": checkCelsius,
		"brooder": checkBrooder, "no_brooder": checkNoBrooder, "rate": checkRate,
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
	require.Len(t, rows, 150)
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

func length(t require.TestingT, species, breed string) breeding.Length {
	for _, l := range breeding.Lengths() {
		if l.Species == species && l.Breed == breed {
			return l
		}
	}
	require.Fail(t, "no such row", "%s (%s)", species, breed)
	return breeding.Length{}
}

// length is the row of the table, with the household's own days where they are given.
func (r row) length(t *testing.T) breeding.Length {
	t.Helper()
	l := length(t, r.in["species"], r.in["breed"])
	if r.in["days"] == "" {
		return l
	}
	l, err := l.WithDays(r.whole(t, "days"))
	require.NoError(t, err)
	return l
}

func (r row) whole(t *testing.T, name string) int {
	t.Helper()
	n, err := strconv.Atoi(r.in[name])
	require.NoError(t, err)
	return n
}

// sameDay holds a date to the row, within its tolerance in days; what the row does not
// name is not held.
func (r row) sameDay(t *testing.T, name string, got time.Time) {
	t.Helper()
	if r.want[name] == "" {
		return
	}
	require.LessOrEqual(t, got.Sub(date(t, r.want[name])).Abs().Hours()/24, r.tolerance, "%s is %s", name, got.Format(time.DateOnly))
}

func (r row) expected(t *testing.T, e breeding.Expected) {
	t.Helper()
	require.NotEmpty(t, r.want["due"])
	r.sameDay(t, "due", e.Due)
	r.sameDay(t, "earliest", e.Earliest)
	r.sameDay(t, "latest", e.Latest)
	if r.want["weekday"] != "" {
		require.Equal(t, r.want["weekday"], e.Due.Weekday().String())
	}
}

func checkDue(t *testing.T, r row) {
	r.expected(t, breeding.Due(r.length(t), date(t, r.in["service"])))
}

func checkServed(t *testing.T, r row) {
	var services []time.Time
	for text := range strings.FieldsSeq(r.in["services"]) {
		services = append(services, date(t, text))
	}
	e, err := breeding.Served(r.length(t), services...)
	require.NoError(t, err)
	require.True(t, e.OneDate)
	r.expected(t, e)
}

func checkExposed(t *testing.T, r row) {
	e, err := breeding.Exposed(r.length(t), date(t, r.in["in"]), date(t, r.in["out"]))
	require.NoError(t, err)
	require.False(t, e.OneDate)
	r.expected(t, e)
}

func checkInside(t *testing.T, r row) {
	e := breeding.Due(r.length(t), date(t, r.in["service"]))
	born := date(t, r.in["born"])
	require.Equal(t, r.want["inside"] == "yes", !born.Before(e.Earliest) && !born.After(e.Latest))
}

func checkPublished(t *testing.T, r row) {
	l := r.length(t)
	require.Equal(t, "inside", r.want["typical"])
	require.GreaterOrEqual(t, l.Typical, r.whole(t, "from"))
	require.LessOrEqual(t, l.Typical, r.whole(t, "to"))
}

func (r row) dated(t *testing.T, all []breeding.Dated) {
	t.Helper()
	for _, d := range all {
		if d.Name == r.in["task"] {
			require.NotEmpty(t, r.want["from"])
			r.sameDay(t, "from", d.From)
			r.sameDay(t, "to", d.To)
			return
		}
	}
	require.Fail(t, "no such task", r.in["task"])
}

func checkTask(t *testing.T, r row) {
	l := r.length(t)
	r.dated(t, breeding.RunUp(l, breeding.Due(l, date(t, r.in["service"]))))
}

func checkAfter(t *testing.T, r row) {
	r.dated(t, breeding.AfterBirth(r.length(t), date(t, r.in["born"])))
}

func checkWeaned(t *testing.T, r row) {
	r.dated(t, breeding.AfterWeaning(r.length(t), date(t, r.in["weaned"])))
}

func checkReturn(t *testing.T, r row) {
	back, ok := breeding.ReturnToHeat(r.length(t))
	require.True(t, ok)
	service := date(t, r.in["service"])
	r.sameDay(t, "from", service.AddDate(0, 0, back.From))
	r.sameDay(t, "best", service.AddDate(0, 0, back.Day))
	r.sameDay(t, "to", service.AddDate(0, 0, back.To))
}

func checkIncubate(t *testing.T, r row) {
	h, err := breeding.Incubate(r.length(t), date(t, r.in["set"]))
	require.NoError(t, err)
	require.NotEmpty(t, r.want["hatch"])
	r.sameDay(t, "hatch", h.Hatch)
	r.sameDay(t, "stop", h.StopTurning)
	if r.want["weekday"] != "" {
		require.Equal(t, r.want["weekday"], h.Hatch.Weekday().String())
	}
	var candle []string
	for _, day := range h.Candle {
		candle = append(candle, day.Format(time.DateOnly))
	}
	if r.want["candle"] != "" {
		require.Equal(t, r.want["candle"], strings.Join(candle, " "))
	}
}

func span(r breeding.Range) string {
	low := strconv.FormatFloat(r.Low, 'f', -1, 64)
	if r.Low == r.High {
		return low
	}
	return low + " to " + strconv.FormatFloat(r.High, 'f', -1, 64)
}

func checkIncubator(t *testing.T, r row) {
	l := r.length(t)
	require.Equal(t, r.want["temp"], span(l.TempF))
	require.Equal(t, r.want["humidity"], span(l.Humidity))
	require.Equal(t, r.want["last"], span(l.HumidityLast))
}

func checkCelsius(t *testing.T, r row) {
	require.InDelta(t, number(t, r.want["c"]), breeding.Celsius(number(t, r.in["f"])), r.tolerance)
}

func checkBrooder(t *testing.T, r row) {
	w, ok := breeding.BrooderOn(r.in["species"], date(t, r.in["hatched"]), date(t, r.in["day"]))
	require.True(t, ok)
	require.Equal(t, r.want["week"], strconv.Itoa(w.Week))
	require.Equal(t, r.want["f"], span(w.F))
	if r.want["c"] != "" {
		require.InDelta(t, number(t, r.want["c"]), w.F.Celsius().Low, r.tolerance)
	}
}

func checkNoBrooder(t *testing.T, r row) {
	_, ok := breeding.BrooderOn(r.in["species"], date(t, r.in["hatched"]), date(t, r.in["day"]))
	require.False(t, ok)
	_, ok = breeding.BrooderOn(r.in["species"], date(t, r.in["hatched"]), date(t, r.in["day"]).AddDate(0, 0, -1))
	require.True(t, ok, "the day before, it is on")
}

func checkRate(t *testing.T, r row) {
	got, err := breeding.HatchRate(r.whole(t, "set"), r.whole(t, "clear"), r.whole(t, "hatched"))
	require.NoError(t, err)
	require.InDelta(t, number(t, r.want["of_set"]), got.OfSet, r.tolerance)
	require.InDelta(t, number(t, r.want["fertile"]), got.Fertile, r.tolerance)
	require.InDelta(t, number(t, r.want["of_fertile"]), got.OfFertile, r.tolerance)
	require.NotEmpty(t, got.Means)
}
