package headcount_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/calc/headcount"
)

// row is one line of the check table.
type row struct {
	in, want  map[string]string
	tolerance float64
}

// TestChecks runs testdata/checks/headcount.csv; every row names its source.
func TestChecks(t *testing.T) {
	f, err := os.Open("../../testdata/checks/headcount.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	run := map[string]func(*testing.T, row){
		"table": checkTable, "factor": checkFactor, "one": checkOne, "guests": checkGuests,
		"portion": checkPortion, "eer": checkEER,
	}
	seen, agree := map[string]bool{}, 0
	for _, r := range rows[1:] {
		require.False(t, seen[r[0]], "%s is there twice", r[0])
		seen[r[0]] = true
		t.Run(r[0]+" "+r[1], func(t *testing.T) {
			require.NotEmpty(t, r[5])
			require.NotEmpty(t, r[6])
			require.Contains(t, run, r[1])
			run[r[1]](t, row{fields(r[2]), fields(r[3]), number(t, r[4])})
		})
		if fields(r[3])["agree"] == "yes" {
			agree++
		}
	}
	t.Logf("%d rows ran", len(rows)-1)
	require.Len(t, rows, 133)
	require.Equal(t, 70, agree, "cells of the table that the equation gives")
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
	require.NoError(t, err, "%q", text)
	return f
}

func whole(t *testing.T, text string) int {
	t.Helper()
	i, err := strconv.Atoi(text)
	require.NoError(t, err, "%q", text)
	return i
}

func (r row) num(t *testing.T, name string) float64 {
	t.Helper()
	return number(t, r.in[name])
}

func (r row) near(t *testing.T, name string, got float64) {
	t.Helper()
	require.InDelta(t, number(t, r.want[name]), got, r.tolerance, name)
}

var (
	sexes      = map[string]headcount.Sex{"unknown": headcount.Unknown, "male": headcount.Male, "female": headcount.Female}
	activities = map[string]headcount.Activity{"sedentary": headcount.Sedentary, "moderate": headcount.Moderate, "active": headcount.Active}
)

// eater reads "sex age activity", with "heavy", "appetite 1.5", "expecting 1" or
// "nursing 1" after it.
func eater(t *testing.T, text string) headcount.Eater {
	t.Helper()
	words := strings.Fields(text)
	require.GreaterOrEqual(t, len(words), 3, text)
	require.Contains(t, sexes, words[0])
	require.Contains(t, activities, words[2])
	e := headcount.Eater{Sex: sexes[words[0]], Age: whole(t, words[1]), Activity: activities[words[2]]}
	words = append(words[3:], "", "")
	switch words[0] {
	case "":
	case "heavy":
		e.Heavy = true
	case "appetite":
		e.Appetite = number(t, words[1])
	case "expecting":
		e.Expecting = whole(t, words[1])
	case "nursing":
		e.Nursing = whole(t, words[1])
	default:
		require.Fail(t, "unknown word", words[0])
	}
	return e
}

// sum is the energy and the equivalents of a table of eaters.
func (r row) sum(t *testing.T) (kcal, equivalents float64) {
	t.Helper()
	for text := range strings.SplitSeq(r.in["eaters"], "|") {
		e := eater(t, text)
		k, err := headcount.Energy(e)
		require.NoError(t, err)
		a, err := headcount.Equivalent(e)
		require.NoError(t, err)
		kcal, equivalents = kcal+k, equivalents+a
	}
	return kcal, equivalents
}

func checkTable(t *testing.T, r row) {
	kcal, equivalents := r.sum(t)
	r.near(t, "kcal", kcal)
	r.near(t, "equivalents", equivalents)
}

func checkFactor(t *testing.T, r row) {
	_, now := r.sum(t)
	got, err := headcount.Factor(now, r.num(t, "leftovers"), r.num(t, "away"), r.num(t, "servings"))
	require.NoError(t, err)
	r.near(t, "factor", got)
}

// checkOne: without a range of its own in the row the range is the value.
func checkOne(t *testing.T, r row) {
	e := eater(t, r.in["eater"])
	kcal, err := headcount.Energy(e)
	require.NoError(t, err)
	r.near(t, "kcal", kcal)
	got, err := headcount.Equivalent(e)
	require.NoError(t, err)
	r.near(t, "equivalent", got)
	low, high, err := headcount.EquivalentRange(e)
	require.NoError(t, err)
	if r.want["low"] == "" {
		r.want["low"], r.want["high"] = r.want["equivalent"], r.want["equivalent"]
	}
	r.near(t, "low", low)
	r.near(t, "high", high)
}

func checkGuests(t *testing.T, r row) {
	r.near(t, "equivalents", r.num(t, "adults")*headcount.GuestAdult+r.num(t, "children")*headcount.GuestChild)
}

func checkPortion(t *testing.T, r row) {
	got, err := headcount.Portion(r.in["what"])
	require.NoError(t, err)
	r.near(t, "low", got.Low)
	r.near(t, "high", got.High)
	require.Equal(t, r.want["unit"], got.Unit)
	require.NotEmpty(t, got.Source)
}

// checkEER holds a cell of the energy table against the equation it was made from:
// rounded to 200 kcal it is the cell, or it lies within 32 kcal of where rounding
// turns.
func checkEER(t *testing.T, r row) {
	require.Contains(t, activities, r.in["activity"])
	a := activities[r.in["activity"]]
	got := eer(sexes[r.in["sex"]], a, r.num(t, "mid"))
	r.near(t, "eer", got)
	for age := whole(t, r.in["from"]); age <= whole(t, r.in["to"]); age++ {
		kcal, err := headcount.Energy(headcount.Eater{Age: age, Sex: sexes[r.in["sex"]], Activity: a})
		require.NoError(t, err)
		require.InDelta(t, number(t, r.want["kcal"]), kcal, 0)
		require.Equal(t, r.want["agree"] == "yes", math.Round(got/200)*200 == kcal)
	}
	if r.want["agree"] == "no" {
		require.LessOrEqual(t, math.Abs(math.Mod(got, 200)-100), 32.5)
	}
}

// eer is the estimated energy requirement of an adult, Institute of Medicine
// 2002/2005, of the reference man of 70 in and 154 lb and woman of 64 in and 126 lb.
func eer(s headcount.Sex, a headcount.Activity, age float64) float64 {
	const pound, inch = 0.45359237, 0.0254
	if s == headcount.Male {
		return 662 - 9.53*age + []float64{1, 1.11, 1.25}[a]*(15.91*154*pound+539.6*70*inch)
	}
	return 354 - 6.91*age + []float64{1, 1.12, 1.27}[a]*(9.36*126*pound+726*64*inch)
}
