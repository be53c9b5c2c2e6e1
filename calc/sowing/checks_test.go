package sowing_test

import (
	"encoding/csv"
	"errors"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/calc/sowing"
)

// row is one line of the check table.
type row struct {
	in, want  map[string]string
	tolerance float64
}

// TestChecks runs testdata/checks/garden.csv; every row names its source.
func TestChecks(t *testing.T) {
	f, err := os.Open("../../testdata/checks/garden.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	run := map[string]func(*testing.T, row){
		"window": checkWindow, "hardening": checkHardening, "age": checkAge, "course": checkCourse,
		"last_by": checkLastBy, "last": checkLast, "succession": checkSuccession, "before": checkBefore,
		"seeds": checkSeeds, "cells": checkCells, "per_cell": checkPerCell,
		"bed": checkBed, "rows": checkRows, "per_metre": checkPerMetre, "per_gram": checkPerGram,
		"emergence": checkEmergence, "no_emergence": checkNoEmergence, "sprout": checkSprout,
		"aged": checkAged, "harm": checkHarm, "heat": checkHeat, "interval": checkInterval,
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
	require.Len(t, rows, 229)
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

func date(t require.TestingT, text string) time.Time {
	d, err := time.Parse(time.DateOnly, text)
	require.NoError(t, err)
	return d
}

func crop(t require.TestingT, name string) sowing.Crop {
	c, ok := sowing.Named(name)
	require.True(t, ok, name)
	return c
}

func (r row) num(t *testing.T, name string) float64 { return number(t, r.in[name]) }

func (r row) whole(t *testing.T, name string) int {
	t.Helper()
	i, err := strconv.Atoi(r.in[name])
	require.NoError(t, err)
	return i
}

// crop is the crop of the row, with its own days to maturity where it gives them.
func (r row) crop(t *testing.T) sowing.Crop {
	c := crop(t, r.in["crop"])
	if r.in["days"] != "" {
		c.MaturityMin, c.MaturityMax = r.whole(t, "days"), r.whole(t, "days")
	}
	return c
}

func (r row) frosts(t *testing.T) sowing.Frosts {
	return sowing.Frosts{Last: date(t, r.in["last"]), First: date(t, r.in["first"])}
}

func (r row) sameDay(t *testing.T, name string, got time.Time) {
	t.Helper()
	require.Equal(t, r.want[name], got.Format(time.DateOnly), name)
}

func (r row) near(t *testing.T, name string, got float64) {
	t.Helper()
	require.InDelta(t, number(t, r.want[name]), got, r.tolerance, name)
}

func step(t *testing.T, steps []sowing.Step, kind string) sowing.Step {
	t.Helper()
	for _, s := range steps {
		if string(s.Kind) == kind {
			return s
		}
	}
	require.Fail(t, "no such step", kind)
	return sowing.Step{}
}

func checkWindow(t *testing.T, r row) {
	steps, err := sowing.Plan(r.crop(t), r.frosts(t))
	require.NoError(t, err)
	got := step(t, steps, r.in["kind"])
	r.sameDay(t, "from", got.From)
	if r.want["to"] != "" {
		r.sameDay(t, "to", got.To)
	}
}

func checkHardening(t *testing.T, r row) {
	steps, err := sowing.Plan(r.crop(t), r.frosts(t))
	require.NoError(t, err)
	out := step(t, steps, "set out").From
	r.sameDay(t, "out", out)
	harden := step(t, steps, "harden off")
	r.sameDay(t, "from", harden.From)
	require.Equal(t, out.AddDate(0, 0, -1), harden.To)
	for _, task := range sowing.Tasks(r.crop(t), r.frosts(t), sowing.Frosts{}, harden.From) {
		if task.Kind == sowing.Harden {
			r.sameDay(t, "from", task.From)
			r.sameDay(t, "to", task.To)
			require.Equal(t, sowing.InWindow, task.State)
			return
		}
	}
	require.Fail(t, "no task of hardening")
}

func checkAge(t *testing.T, r row) {
	got, err := sowing.Follow(r.crop(t), r.frosts(t), date(t, r.in["begin"]), true)
	require.NoError(t, err)
	r.near(t, "age", float64(got.Age))
}

func checkCourse(t *testing.T, r row) {
	got, err := sowing.Follow(r.crop(t), r.frosts(t), date(t, r.in["begin"]), r.in["way"] == "in")
	require.NoError(t, err)
	r.sameDay(t, "ripe", got.Late)
	r.sameDay(t, "ripe", got.Early)
	r.near(t, "margin", float64(got.Margin))
	require.Equal(t, r.want["class"], got.Class.String())
	require.Equal(t, r.want["out"] == "", got.SetOut.IsZero())
	if r.want["out"] != "" {
		r.sameDay(t, "out", got.SetOut)
	}
}

func checkLastBy(t *testing.T, r row) {
	r.sameDay(t, "day", sowing.LastSowingBy(r.whole(t, "days"), r.whole(t, "sdf"), r.whole(t, "pick"), r.whole(t, "grace"), date(t, r.in["first"])))
}

func checkLast(t *testing.T, r row) {
	var ten time.Time
	if r.in["ten"] != "" {
		ten = date(t, r.in["ten"])
	}
	got, err := sowing.LastSowing(r.crop(t), r.frosts(t), ten)
	require.NoError(t, err)
	r.sameDay(t, "day", got)
}

func checkSuccession(t *testing.T, r row) {
	var got []string
	for _, d := range sowing.SuccessionDates(date(t, r.in["from"]), date(t, r.in["last"]), r.whole(t, "every")) {
		got = append(got, d.Format(time.DateOnly))
	}
	require.Equal(t, r.want["days"], strings.Join(got, " "))
}

func checkBefore(t *testing.T, r row) {
	c, last := crop(t, "onion, bulb"), date(t, r.in["last"])
	c.StartMin = sowing.Weeks{N: r.num(t, "weeks"), Known: true}
	c.StartMax = c.StartMin
	steps, err := sowing.Plan(c, sowing.Frosts{Last: last, First: last.AddDate(0, 0, 150)})
	require.NoError(t, err)
	r.sameDay(t, "day", step(t, steps, "start indoors").From)
}

func checkSeeds(t *testing.T, r row) {
	g, cull, plants := r.num(t, "germination"), r.num(t, "cull"), r.whole(t, "plants")
	n, err := sowing.SeedsFor(plants, r.num(t, "sure"), g, cull)
	require.NoError(t, err)
	require.Equal(t, r.want["seeds"], strconv.Itoa(n))
	r.near(t, "chance", sowing.Assured(n, plants, g*(1-cull)))
	r.near(t, "before", sowing.Assured(n-1, plants, g*(1-cull)))
}

func checkCells(t *testing.T, r row) {
	n, err := sowing.CellsFor(r.whole(t, "plants"), r.whole(t, "per"), r.num(t, "sure"), r.num(t, "germination"))
	require.NoError(t, err)
	r.near(t, "cells", float64(n))
}

func checkPerCell(t *testing.T, r row) {
	r.near(t, "seeds", float64(sowing.PerCell(r.num(t, "germination"))))
}

func checkBed(t *testing.T, r row) {
	square, offset, err := sowing.InBed(r.num(t, "width"), r.num(t, "length"), r.num(t, "spacing"))
	require.NoError(t, err)
	r.near(t, "square", float64(square))
	r.near(t, "offset", float64(offset))
}

func checkRows(t *testing.T, r row) {
	got, err := sowing.InRows(r.num(t, "width"), r.num(t, "length"), r.num(t, "in_row"), r.num(t, "gap"))
	require.NoError(t, err)
	r.near(t, "plants", float64(got))
}

func checkPerMetre(t *testing.T, r row) {
	got, err := sowing.SeedsPerMetre(r.num(t, "spacing"), r.num(t, "germination"), r.num(t, "factor"))
	require.NoError(t, err)
	r.near(t, "seeds", got)
}

func checkPerGram(t *testing.T, r row) {
	from, to, ok := sowing.SeedsPerGram(r.crop(t))
	require.True(t, ok)
	r.near(t, "from", from)
	r.near(t, "to", to)
}

func checkEmergence(t *testing.T, r row) {
	got, err := sowing.Emergence(r.crop(t), r.num(t, "soil"))
	require.NoError(t, err)
	r.near(t, "days", got.Days)
	require.InDelta(t, 0.75*got.Days, got.From, 1e-9)
	require.InDelta(t, 1.25*got.Days, got.To, 1e-9)
	require.NotEmpty(t, got.TableCrop)
	if r.in["soil"] == "17.5" {
		return
	}
	require.Equal(t, r.want["percent"] != "", got.PercentKnown)
	if got.PercentKnown {
		r.near(t, "percent", got.Percent)
	}
}

func checkNoEmergence(t *testing.T, r row) {
	_, err := sowing.Emergence(r.crop(t), r.num(t, "soil"))
	want := map[string]error{"cold": sowing.ErrCold, "hot": sowing.ErrHot, "none": sowing.ErrNoTable}[r.want["error"]]
	require.NotNil(t, want)
	require.True(t, errors.Is(err, want), "%v", err)
}

func checkSprout(t *testing.T, r row) {
	var means []float64
	for text := range strings.FieldsSeq(r.in["means"]) {
		means = append(means, number(t, text))
	}
	day, ok, err := sowing.SproutDay(r.crop(t), date(t, "2027-05-01"), means)
	require.NoError(t, err)
	require.Equal(t, r.want["day"] != "none", ok)
	if ok {
		r.near(t, "day", float64(day))
	}
}

func checkAged(t *testing.T, r row) {
	r.near(t, "germination", sowing.Aged(r.num(t, "germination"), r.num(t, "life"), r.num(t, "age")))
}

func checkHarm(t *testing.T, r row) {
	require.Equal(t, r.want["harm"], sowing.HarmAt(r.crop(t), r.num(t, "low"), r.in["tray"] == "yes").String())
}

func checkHeat(t *testing.T, r row) {
	base, sum, source, ok := sowing.HeatNeed(r.crop(t))
	require.True(t, ok)
	require.NotEmpty(t, source)
	r.near(t, "base", base)
	r.near(t, "sum", sum)
}

func checkInterval(t *testing.T, r row) {
	got, ok := sowing.Succession(r.crop(t))
	require.True(t, ok)
	require.NotEmpty(t, got.Stop)
	r.near(t, "from", float64(got.From))
	r.near(t, "to", float64(got.To))
}
