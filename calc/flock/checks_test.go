package flock_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/calc/flock"
)

// row is one line of the check table.
type row struct {
	in, want  map[string]string
	tolerance float64
}

// TestChecks runs testdata/checks/flock.csv; every row names its source.
func TestChecks(t *testing.T) {
	f, err := os.Open("../../testdata/checks/flock.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	run := map[string]func(*testing.T, row){
		"limit": checkLimit, "tail": checkTail, "rate": checkRate, "ewma": checkEWMA, "ewma_end": checkEWMAEnd,
		"spread": checkSpread, "judge": checkJudge, "curve": checkCurve, "size": checkSize, "keep": checkKeep,
		"season": checkSeason,
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
	require.Len(t, rows, 75)
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

func numbers(t *testing.T, text string) []float64 {
	t.Helper()
	var out []float64
	for part := range strings.FieldsSeq(text) {
		out = append(out, number(t, part))
	}
	return out
}

func (r row) num(t *testing.T, name string) float64 { return number(t, r.in[name]) }

func (r row) near(t *testing.T, name string, got float64) {
	t.Helper()
	require.InDelta(t, number(t, r.want[name]), got, r.tolerance, name)
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// daysOf reads counts of a day: "-" is a day without one, "18/2" holds two days. The
// hens are a number for each day, or one for all.
func daysOf(t *testing.T, eggs, hens string) []flock.Day {
	t.Helper()
	n := numbers(t, hens)
	var out []flock.Day
	for part := range strings.FieldsSeq(eggs) {
		d := flock.Day{Hens: int(n[min(len(out), len(n)-1)])}
		if part != "-" {
			count, over, two := strings.Cut(part, "/")
			d.Eggs, d.Counted = int(number(t, count)), true
			if two {
				d.Over = int(number(t, over))
			}
		}
		out = append(out, d)
	}
	return out
}

func checkLimit(t *testing.T, r row) {
	n, p := int(r.num(t, "n")), r.num(t, "p")
	limit := flock.Limit(n, p, flock.OneIn)
	require.Equal(t, r.want["limit"], strconv.Itoa(limit))
	r.near(t, "tail", flock.Tail(n, limit, p))
	require.Greater(t, flock.Tail(n, limit+1, p), flock.OneIn)
}

func checkTail(t *testing.T, r row) {
	r.near(t, "tail", flock.Tail(int(r.num(t, "n")), int(r.num(t, "x")), r.num(t, "p")))
}

func checkRate(t *testing.T, r row) {
	days := daysOf(t, r.in["eggs"], r.in["hens"])
	got, err := flock.HenDay(days)
	require.NoError(t, err)
	r.near(t, "henday", got)
	got, err = flock.HenHoused(days)
	require.NoError(t, err)
	r.near(t, "housed", got)
}

func checkEWMA(t *testing.T, r row) {
	steps := flock.EWMA(numbers(t, r.in["x"]), r.num(t, "target"), r.num(t, "sd"), r.num(t, "lambda"), r.num(t, "k"))
	want := numbers(t, r.want["z"])
	require.Len(t, steps, len(want))
	fires := 0
	for i, s := range steps {
		require.InDelta(t, want[i], s.Z, r.tolerance, "step %d", i+1)
		if fires == 0 && s.Z < s.Lower {
			fires = i + 1
		}
	}
	if r.want["fires"] == "" {
		require.Zero(t, fires)
		return
	}
	require.Equal(t, r.want["fires"], strconv.Itoa(fires))
	r.near(t, "limit", steps[fires-1].Lower)
}

func checkEWMAEnd(t *testing.T, r row) {
	steps := flock.EWMA(make([]float64, 200), r.num(t, "target"), r.num(t, "sd"), r.num(t, "lambda"), r.num(t, "k"))
	r.near(t, "lower", steps[199].Lower)
	r.near(t, "upper", steps[199].Upper)
}

func checkSpread(t *testing.T, r row) {
	got, err := flock.Spread(daysOf(t, r.in["eggs"], r.in["hens"]))
	require.NoError(t, err)
	r.near(t, "spread", got)
}

func checkJudge(t *testing.T, r row) {
	v, err := flock.Judge(daysOf(t, r.in["eggs"], r.in["hens"]), flock.Season{})
	require.NoError(t, err)
	var fired []string
	for _, f := range v.Fired {
		fired = append(fired, string(f))
	}
	require.Equal(t, r.want["state"], string(v.State))
	require.Equal(t, r.want["fired"], strings.Join(fired, ","))
	require.Equal(t, r.want["ring"], yes(v.Ring))
	require.Equal(t, r.want["limit"], strconv.Itoa(v.Limit))
}

func checkCurve(t *testing.T, r row) {
	got, err := flock.Expect(flock.Kind(r.in["kind"]), r.num(t, "weeks"))
	require.NoError(t, err)
	r.near(t, "low", got.Low)
	r.near(t, "high", got.High)
}

func checkSize(t *testing.T, r row) {
	grams := 0.0
	if oz := r.in["dozen_oz"]; oz != "" {
		grams = number(t, oz) * 28.349523125 / 12
	} else {
		grams = r.num(t, "grams")
	}
	got, err := flock.SizeOf(flock.System(r.in["system"]), grams)
	require.NoError(t, err)
	require.Equal(t, r.want["class"], got.Class)
}

func checkKeep(t *testing.T, r row) {
	for _, k := range flock.Keeping() {
		if k.What == r.in["what"] {
			require.Equal(t, r.want["low"], strconv.Itoa(k.Low))
			require.Equal(t, r.want["high"], strconv.Itoa(k.High))
			return
		}
	}
	require.Fail(t, "no such row")
}

func checkSeason(t *testing.T, r row) {
	s := flock.Season{Light: r.num(t, "light"), LightBefore: r.num(t, "before"), Weeks: int(r.num(t, "weeks"))}
	require.Equal(t, r.want["short"], yes(s.ShortDays()))
	require.Equal(t, r.want["moult"], yes(s.Moult()))
}
