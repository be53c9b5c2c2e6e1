package exposure_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/calc/exposure"
)

// row is one line of the check table.
type row struct {
	in, want  map[string]string
	tolerance float64
}

// cells counts the cells of the published charts that were held against the formulae.
type cells int

// TestChecks runs testdata/checks/exposure.csv; every row names its source.
func TestChecks(t *testing.T) {
	f, err := os.Open("../../testdata/checks/exposure.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var chart cells
	run := map[string]func(*testing.T, row){
		"chill_chart": chart.byAir, "chill_chart_by_wind": chart.byWind, "heat_chart": chart.heat,
		"chill": checkChill, "frostbite": checkFrostbite, "child_cold": checkChildCold,
		"heat": checkHeat, "danger": checkDanger, "child_heat": checkChildHeat,
		"thi": checkTHI, "stress": checkStress,
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
	require.Len(t, rows, 146)
	require.EqualValues(t, 18*12+16*12+126+3, chart, "cells of the charts")
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

func (r row) units(t *testing.T) exposure.Units {
	t.Helper()
	units := map[string]exposure.Units{"us": exposure.US, "metric": exposure.Metric}
	require.Contains(t, units, r.in["units"])
	return units[r.in["units"]]
}

func (r row) chill(t *testing.T) exposure.Chill {
	t.Helper()
	got, err := exposure.WindChill(r.num(t, "air"), r.num(t, "wind"), r.units(t))
	require.NoError(t, err)
	return got
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// table holds a row of a chart against a formula.
func (n *cells) table(t *testing.T, r row, along string, at func(x float64) int) {
	t.Helper()
	xs, want := numbers(t, r.in[along]), numbers(t, r.want["index"])
	require.Len(t, want, len(xs))
	for i, x := range xs {
		require.EqualValues(t, want[i], at(x), "%g", x)
		*n++
	}
}

func (n *cells) byAir(t *testing.T, r row) {
	n.table(t, r, "winds", func(wind float64) int {
		got, err := exposure.WindChill(r.num(t, "air"), wind, r.units(t))
		require.NoError(t, err)
		return got.Rounded()
	})
}

func (n *cells) byWind(t *testing.T, r row) {
	n.table(t, r, "airs", func(air float64) int {
		got, err := exposure.WindChill(air, r.num(t, "wind"), r.units(t))
		require.NoError(t, err)
		return got.Rounded()
	})
}

func (n *cells) heat(t *testing.T, r row) {
	n.table(t, r, "humidities", func(humidity float64) int {
		got, err := exposure.HeatIndex(r.num(t, "air"), humidity, r.units(t))
		require.NoError(t, err)
		return got.Rounded()
	})
}

func checkChill(t *testing.T, r row) {
	got := r.chill(t)
	r.near(t, "index", got.Index)
	require.Equal(t, r.want["rounded"], strconv.Itoa(got.Rounded()))
	require.Equal(t, r.want["applies"], yes(got.Applies))
}

func checkFrostbite(t *testing.T, r row) {
	got := r.chill(t).Frostbite()
	require.Equal(t, r.want["min"], strconv.Itoa(got.Min))
	require.Equal(t, r.want["max"], strconv.Itoa(got.Max))
	require.Equal(t, got.Max > 0, got.Freezes())
}

var outs = map[string]exposure.Out{
	"free": exposure.Free, "breaks": exposure.Breaks, "in": exposure.StayIn, "essentials": exposure.Essentials,
}

func (r row) advice(t *testing.T, got exposure.Advice) {
	t.Helper()
	require.Contains(t, outs, r.want["out"])
	require.Equal(t, outs[r.want["out"]], got.Out)
	require.Equal(t, r.want["minutes"], strconv.Itoa(got.Minutes))
}

func checkChildCold(t *testing.T, r row) { r.advice(t, r.chill(t).Child(r.in["wet"] == "yes")) }

func (r row) heat(t *testing.T) exposure.Heat {
	t.Helper()
	got, err := exposure.HeatIndex(r.num(t, "air"), r.num(t, "humidity"), r.units(t))
	require.NoError(t, err)
	return got
}

func checkHeat(t *testing.T, r row) { r.near(t, "index", r.heat(t).Index) }

func checkChildHeat(t *testing.T, r row) { r.advice(t, r.heat(t).Child(r.in["sun"] == "yes")) }

func checkDanger(t *testing.T, r row) {
	got := exposure.Heat{Index: r.num(t, "index"), Units: exposure.US}.Danger()
	require.Equal(t, r.want["danger"], string(got))
}

func checkTHI(t *testing.T, r row) {
	got, err := exposure.THI(r.num(t, "air"), r.num(t, "humidity"))
	require.NoError(t, err)
	r.near(t, "thi", got)
}

func checkStress(t *testing.T, r row) {
	require.Equal(t, r.want["stress"], string(exposure.StressOf(r.num(t, "thi"))))
}
