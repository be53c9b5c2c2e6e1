package starter_test

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/calc/starter"
)

// row is one line of the check table.
type row struct {
	in, want  map[string]string
	tolerance float64
}

// TestChecks runs testdata/checks/starter.csv; every row names its source.
func TestChecks(t *testing.T) {
	f, err := os.Open("../../testdata/checks/starter.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	run := map[string]func(*testing.T, row){
		"build": checkBuild, "too_little": checkTooLittle, "all": checkAll, "steps": checkSteps,
		"rehydrate": checkRehydrate, "volume": checkVolume, "volume_range": checkVolumeRange,
		"contents": checkContents, "dough": checkDough, "dough_for": checkDoughFor,
		"water": checkWater, "water_limit": checkWaterLimit, "friction": checkFriction,
		"peak": checkPeak, "span": checkSpan, "over": checkOver, "feed_for": checkFeedFor,
		"rate": checkRate, "multiplier": checkMultiplier, "q10": checkQ10, "times": checkTimes,
		"next": checkNext, "next_error": checkNextError, "waking": checkWaking,
		"refit": checkRefit, "crackers": checkCrackers,
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
	require.Len(t, rows, 105)
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

func (r row) num(t *testing.T, name string) float64 {
	t.Helper()
	return number(t, r.in[name])
}

func (r row) near(t *testing.T, name string, got float64) {
	t.Helper()
	require.InDelta(t, number(t, r.want[name]), got, r.tolerance, name)
}

func (r row) nearRange(t *testing.T, name string, got starter.Range) {
	t.Helper()
	low, high, _ := strings.Cut(r.want[name], " ")
	require.InDelta(t, number(t, low), got.Low, r.tolerance, name)
	require.InDelta(t, number(t, high), got.High, r.tolerance, name)
}

func (r row) jar(t *testing.T) starter.Jar {
	return starter.Jar{Grams: r.num(t, "have"), Hydration: r.num(t, "hydration")}
}

func (r row) ratio(t *testing.T) starter.Ratio {
	t.Helper()
	parts := strings.Split(r.in["ratio"], ":")
	require.Len(t, parts, 3)
	return starter.Ratio{Starter: number(t, parts[0]), Flour: number(t, parts[1]), Water: number(t, parts[2])}
}

func checkBuild(t *testing.T, r row) {
	got, err := starter.Build(r.jar(t), r.num(t, "need"), r.num(t, "keep"), r.ratio(t))
	require.NoError(t, err)
	r.near(t, "old", got.Old)
	r.near(t, "flour", got.Flour)
	r.near(t, "water", got.Water)
	r.near(t, "total", got.Total)
	r.near(t, "discard", got.Discard)
	r.near(t, "kept", got.After.Grams)
	r.near(t, "after", got.After.Hydration)
}

func checkTooLittle(t *testing.T, r row) {
	_, err := starter.Build(r.jar(t), r.num(t, "need"), r.num(t, "keep"), r.ratio(t))
	require.ErrorIs(t, err, starter.ErrTooLittle)
	var little *starter.TooLittleError
	require.ErrorAs(t, err, &little)
	r.near(t, "wanted", little.Wanted)
	require.InDelta(t, r.num(t, "have"), little.Have, 1e-9)
}

func checkAll(t *testing.T, r row) {
	got, err := starter.FromAll(r.jar(t), r.num(t, "need"), r.num(t, "keep"), r.num(t, "to"))
	require.NoError(t, err)
	r.near(t, "flour", got.Flour)
	r.near(t, "water", got.Water)
	r.near(t, "parts_flour", got.Ratio().Flour)
	r.near(t, "parts_water", got.Ratio().Water)
	r.near(t, "growth", got.Total/got.Old)
	require.Zero(t, got.Discard)
}

func checkSteps(t *testing.T, r row) {
	n, each, err := starter.Steps(r.num(t, "have"), r.num(t, "total"), r.num(t, "limit"))
	require.NoError(t, err)
	require.Equal(t, r.want["n"], strconv.Itoa(n))
	r.near(t, "each", each)
}

func checkRehydrate(t *testing.T, r row) {
	flour, water, err := starter.Rehydrate(r.jar(t), r.num(t, "to"))
	require.NoError(t, err)
	r.near(t, "flour", flour)
	r.near(t, "water", water)
}

func checkVolume(t *testing.T, r row) {
	got, err := starter.ByVolume(r.num(t, "flour"), r.num(t, "water"), r.num(t, "cup"), r.jar(t))
	require.NoError(t, err)
	r.near(t, "hydration", got.Hydration)
	require.InDelta(t, number(t, r.want["grams"]), got.Grams, 0.05)
}

func checkVolumeRange(t *testing.T, r row) {
	wettest, driest, err := starter.VolumeRange(r.num(t, "flour"), r.num(t, "water"), r.jar(t))
	require.NoError(t, err)
	r.near(t, "wettest", wettest.Hydration)
	r.near(t, "driest", driest.Hydration)
}

func checkContents(t *testing.T, r row) {
	j := starter.Jar{Grams: r.num(t, "grams"), Hydration: r.num(t, "hydration")}
	r.near(t, "flour", j.Flour())
	r.near(t, "water", j.Water())
}

func checkDough(t *testing.T, r row) {
	levain := starter.Jar{Grams: r.num(t, "starter"), Hydration: r.num(t, "at")}
	got, err := starter.Dough(r.num(t, "flour"), r.num(t, "hydration"), r.num(t, "salt"), levain)
	require.NoError(t, err)
	r.near(t, "flour", got.Flour)
	r.near(t, "water", got.Water)
	r.near(t, "salt", got.Salt)
	r.near(t, "total", got.Total)
	r.near(t, "prefermented", got.Prefermented)
}

func checkDoughFor(t *testing.T, r row) {
	got, err := starter.DoughFor(r.num(t, "total"), r.num(t, "hydration"), r.num(t, "salt"), r.num(t, "levain"), r.num(t, "at"))
	require.NoError(t, err)
	r.near(t, "flour", got.Flour)
	r.near(t, "water", got.Water)
	r.near(t, "salt", got.Salt)
	r.near(t, "starter", got.Starter)
	r.near(t, "total", got.Total)
}

func celsius(fahrenheit float64) float64 { return (fahrenheit - 32) * 5 / 9 }

func fahrenheit(celsius float64) float64 { return celsius*9/5 + 32 }

// waterTemp asks for the water of a row given in °F, and has it in °F.
func (r row) waterTemp(t *testing.T) (float64, error) {
	preferment, has := 0.0, r.in["preferment"] != ""
	if has {
		preferment = celsius(r.num(t, "preferment"))
	}
	got, err := starter.WaterTemp(celsius(r.num(t, "wanted")), celsius(r.num(t, "room")), celsius(r.num(t, "flour")),
		preferment, has, r.num(t, "friction")*5/9)
	return fahrenheit(got), err
}

func checkWater(t *testing.T, r row) {
	got, err := r.waterTemp(t)
	require.NoError(t, err)
	r.near(t, "water", got)
}

func checkWaterLimit(t *testing.T, r row) {
	got, err := r.waterTemp(t)
	require.ErrorIs(t, err, named(t, r.want["error"]))
	r.near(t, "water", got)
}

// named is the error of a word of the table.
func named(t *testing.T, word string) error {
	t.Helper()
	err := map[string]error{
		"hot": starter.ErrHot, "ice": starter.ErrIce,
		"not cold": starter.ErrNotCold, "no growth": starter.ErrNoGrowth,
	}[word]
	require.Error(t, err, word)
	return err
}

func checkFriction(t *testing.T, r row) {
	by := map[string]float64{"hand": starter.FrictionHand, "mixer": starter.FrictionMixer, "processor": starter.FrictionProcessor}
	require.Contains(t, by, r.in["by"])
	r.near(t, "fahrenheit", by[r.in["by"]]*9/5)
}

func checkPeak(t *testing.T, r row) {
	m := starter.Usual
	m.Hours = r.num(t, "hours")
	got, err := starter.Peak(r.ratio(t), r.num(t, "celsius"), m)
	require.NoError(t, err)
	r.near(t, "likely", got.Likely)
}

func checkSpan(t *testing.T, r row) {
	got, err := starter.Peak(r.ratio(t), r.num(t, "celsius"), starter.Usual)
	require.NoError(t, err)
	r.near(t, "early", got.Early)
	r.near(t, "likely", got.Likely)
	r.near(t, "late", got.Late)
}

func checkOver(t *testing.T, r row) {
	temps := func(hour float64) float64 {
		if hour >= r.num(t, "from") && hour < r.num(t, "to") {
			return r.num(t, "cold")
		}
		return r.num(t, "warm")
	}
	got, err := starter.PeakOver(r.ratio(t), temps, starter.Usual)
	require.NoError(t, err)
	r.near(t, "likely", got.Likely)
}

func checkFeedFor(t *testing.T, r row) {
	got, err := starter.FeedFor(r.num(t, "hours"), r.num(t, "celsius"), starter.Usual)
	require.NoError(t, err)
	n := number(t, r.want["parts"])
	require.Equal(t, starter.Ratio{Starter: 1, Flour: n, Water: n}, got)
}

func checkRate(t *testing.T, r row) {
	r.near(t, "rate", starter.Rate(r.num(t, "celsius")))
}

func checkMultiplier(t *testing.T, r row) {
	r.near(t, "times", starter.Rate(24)/starter.Rate(r.num(t, "celsius")))
}

func checkQ10(t *testing.T, r row) {
	from, to := r.num(t, "from"), r.num(t, "to")
	r.near(t, "q10", math.Pow(starter.Rate(to)/starter.Rate(from), 10/(to-from)))
}

func checkTimes(t *testing.T, r row) {
	r.near(t, "times", starter.Rate(r.num(t, "to"))/starter.Rate(r.num(t, "from")))
}

func (r row) place(t *testing.T) starter.Place {
	t.Helper()
	places := map[string]starter.Place{"counter": starter.Counter, "fridge": starter.Fridge}
	require.Contains(t, places, r.in["place"])
	return places[r.in["place"]]
}

func checkNext(t *testing.T, r row) {
	got, err := starter.NextFeed(r.place(t), r.num(t, "celsius"), r.num(t, "since"))
	require.NoError(t, err)
	r.near(t, "in", got.In)
	r.near(t, "every", got.Every)
	if r.want["stands_from"] == "" {
		require.Zero(t, got.Stands)
		return
	}
	r.near(t, "stands_from", got.Stands.Low)
	r.near(t, "stands_to", got.Stands.High)
}

func checkNextError(t *testing.T, r row) {
	_, err := starter.NextFeed(r.place(t), r.num(t, "celsius"), r.num(t, "since"))
	require.True(t, errors.Is(err, named(t, r.want["error"])), "%v", err)
}

func checkWaking(t *testing.T, r row) {
	got, err := starter.Waking(int(r.num(t, "days")))
	require.NoError(t, err)
	require.Equal(t, r.want["feeds"], strconv.Itoa(got))
}

// checkRefit logs peaks of 1:1:1 at 24 °C.
func checkRefit(t *testing.T, r row) {
	var logs []starter.Log
	for text := range strings.FieldsSeq(r.in["hours"]) {
		logs = append(logs, starter.Log{Ratio: starter.Ratio{Starter: 1, Flour: 1, Water: 1}, Celsius: 24, Hours: number(t, text)})
	}
	got, err := starter.Refit(logs)
	require.NoError(t, err)
	r.near(t, "hours", got.Hours)
	r.near(t, "spread", got.Spread)
	require.Equal(t, r.want["logged"], strconv.Itoa(got.Logged))
	require.Equal(t, r.want["aside"], strconv.Itoa(len(got.Aside)))
}

func checkCrackers(t *testing.T, r row) {
	got := starter.Crackers()
	require.Equal(t, "crackers", got.What)
	r.nearRange(t, "fat", got.Fat)
	r.nearRange(t, "salt", got.Salt)
	r.nearRange(t, "hydration", got.Hydration)
	r.nearRange(t, "thickness", got.Thickness)
	r.nearRange(t, "oven", got.Oven)
	r.nearRange(t, "keeps", got.KeepDays)
	r.nearRange(t, "discard", starter.DiscardKeeps())
}
