package safety_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/calc/safety"
)

func TestTables(t *testing.T) {
	seen := map[string]bool{}
	fresh := func(table, name, source, mark string) {
		t.Helper()
		require.NotEmpty(t, name)
		require.NotEmpty(t, source, name)
		require.NotEmpty(t, mark, name)
		require.False(t, seen[table+name], "%s is there twice", name)
		seen[table+name] = true
	}
	for _, c := range safety.Cooks() {
		fresh("cook", c.Food, c.Source, c.Mark)
		require.NotEmpty(t, c.Also, c.Food)
		require.True(t, c.ByThermometer() || c.Note != "", c.Food)
		require.True(t, !c.ByThermometer() || c.F >= 140 && c.F <= 165, c.Food)
	}
	for _, k := range safety.Keeps() {
		fresh("keep", k.Food, k.Source, k.Mark)
		require.Positive(t, k.FridgeLow, k.Food)
		require.GreaterOrEqual(t, k.FridgeHigh, k.FridgeLow, k.Food)
		require.LessOrEqual(t, k.FridgeHigh, 35, k.Food)
		require.GreaterOrEqual(t, k.FreezerHigh, k.FreezerLow, k.Food)
	}
	for _, f := range safety.Figures() {
		fresh("figure", f.Name, f.Source, f.Mark)
	}
	items, err := safety.PowerCut(0, false, true)
	require.NoError(t, err)
	for _, it := range items {
		fresh("power", it.Kind, it.Source, it.Mark)
	}
	require.Len(t, seen, 15+18+7+12)
}

// TestWordsFindTheirRow asks for every phrase of the tables in turn.
func TestWordsFindTheirRow(t *testing.T) {
	for _, c := range safety.Cooks() {
		for _, words := range c.Also {
			got, ok := safety.Internal(words)
			require.True(t, ok, words)
			require.GreaterOrEqual(t, got[0].F, c.F, words)
		}
	}
}

func TestRulesNameTheirSource(t *testing.T) {
	words := "kidney beans, slow cooker, honey, raw milk, mayonnaise, garlic in oil, baked potato, rice, cookie dough, soup, canning, stuffing"
	got := safety.Rules(words)
	require.Len(t, got, 19)
	for _, r := range got {
		require.NotEmpty(t, r.Text, r.Name)
		require.NotEmpty(t, r.Source, r.Name)
		require.NotEmpty(t, r.Mark, r.Name)
		require.True(t, strings.HasSuffix(r.Text, "."), r.Text)
	}
}

func TestKidneyBeansAreNeverExcused(t *testing.T) {
	for _, words := range []string{"Kidney Beans", "kidney-beans", "1 can tomatoes, 2 cups kidney beans", "CANNELLINI BEANS", "dried kidney bean"} {
		got := safety.Rules(words)
		require.NotEmpty(t, got, words)
		require.Equal(t, "kidney beans", got[0].Name, words)
		require.Contains(t, got[0].Text, "soak at least 5 h", words)
		require.Contains(t, got[0].Text, "30 min", words)
	}
}

// TestOneFoodExcusesNoOther has the named cut of one meat beside another.
func TestOneFoodExcusesNoOther(t *testing.T) {
	for _, words := range []string{"beef and pork chops", "pork chops, beef", "beef & pork chops", "pork chops plus beef", "pork chops\nbeef"} {
		got, ok := safety.Internal(words)
		require.True(t, ok, words)
		require.Equal(t, 160.0, got[0].F, words)
	}
	got, ok := safety.Storage("leftover rice and chicken")
	require.True(t, ok)
	require.Equal(t, 2, got[0].FridgeHigh)
}

// TestGroundIsNotWhole wants no figure of a whole cut for what is ground.
func TestGroundIsNotWhole(t *testing.T) {
	for _, words := range []string{"ground beef", "minced lamb", "ground beef steak", "pork sausages", "Salisbury steak", "hamburgers", "lamb burger"} {
		got, ok := safety.Internal(words)
		require.True(t, ok, words)
		for _, c := range got {
			require.GreaterOrEqual(t, c.F, 160.0, words)
		}
	}
}

func TestWholeWordsOnly(t *testing.T) {
	for _, words := range []string{"chickpeas", "eggplant", "hamlet", "codling", "porker", "fishing rod", "lambswool", "perchance"} {
		_, ok := safety.Internal(words)
		require.False(t, ok, words)
	}
}

func TestCallersCannotChangeTheTables(t *testing.T) {
	got, _ := safety.Internal("chicken")
	got[0].Also[0], got[0].F = "spoiled", 1
	safety.Cooks()[0].Also[0] = "spoiled"
	safety.Rules("honey")[0].When[0] = "spoiled"
	again, ok := safety.Internal("chicken")
	require.True(t, ok)
	require.Equal(t, 165.0, again[0].F)
	require.Equal(t, "chicken", again[0].Also[0])
	require.Equal(t, "honey", safety.Rules("honey")[0].When[0])
}

func TestCoolingDue(t *testing.T) {
	due := safety.CoolingDue()
	require.Equal(t, 2*time.Hour, due[0].Within)
	require.Equal(t, 6*time.Hour, due[1].Within)
	require.Equal(t, 5.0, due[1].C)
	require.Equal(t, safety.HoldHotC, safety.HoldHot().C)
	require.Equal(t, safety.HoldColdC, safety.HoldCold().C)
	require.Equal(t, safety.ReheatC, safety.Reheat().C)
}

func TestRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, log := range [][]safety.Reading{
		nil,
		{{After: -1, C: 60}},
		{{C: nan}},
		{{C: inf}},
		{{C: -inf}},
		{{C: 151}},
		{{C: -61}},
		{{C: 60}, {After: time.Hour, C: nan}},
	} {
		got, err := safety.Cooling(log)
		require.ErrorIs(t, err, safety.ErrReading, "%v", log)
		require.False(t, got.OK)
	}
	for _, air := range []float64{nan, inf, -inf, 61, -61} {
		got, err := safety.OutOfFridge(air, time.Minute)
		require.ErrorIs(t, err, safety.ErrReading)
		require.False(t, got.OK)
	}
	_, err := safety.OutOfFridge(20, time.Hour, -time.Second)
	require.ErrorIs(t, err, safety.ErrTime)
	for _, h := range []float64{nan, inf, -inf, -1, 9000} {
		_, err := safety.PowerCut(h, false, true)
		require.ErrorIs(t, err, safety.ErrTime)
		_, err = safety.Canner(h)
		require.ErrorIs(t, err, safety.ErrHeight)
	}
	require.Equal(t, time.Hour, safety.TwoHours(nan))
	require.Equal(t, time.Hour, safety.TwoHours(inf))
	require.Equal(t, time.Hour, safety.TwoHours(-inf))
}

func TestSpellsDoNotOverflow(t *testing.T) {
	got, err := safety.OutOfFridge(20, math.MaxInt64, math.MaxInt64)
	require.NoError(t, err)
	require.False(t, got.OK)
}

func TestNoProcessTimesForCanning(t *testing.T) {
	g, err := safety.Canner(0)
	require.NoError(t, err)
	require.NotContains(t, g.Note, " min")
	for _, r := range safety.Rules("canning") {
		require.NotContains(t, r.Text, " min")
	}
}
