package food_test

import (
	"encoding/csv"
	"math/big"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/calc/food"
)

const gramsPerPound = 453.59237

// row is one line of the check table.
type row struct {
	in, want  map[string]string
	tolerance float64
}

// TestChecks runs testdata/checks/food.csv; every row names its source.
func TestChecks(t *testing.T) {
	f, err := os.Open("../../testdata/checks/food.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	run := map[string]func(*testing.T, row){
		"weigh": checkWeigh, "each": checkEach, "need": checkNeed, "tobuy": checkToBuy, "shop": checkShop,
		"drycups": checkDryCups, "boil": checkBoil, "eggsfor": checkEggsFor, "trim": checkTrim,
		"butter": checkButter, "cooked": checkCooked, "egg": checkEgg, "shell": checkShell,
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
	require.Len(t, rows, 135)
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

func rat(t require.TestingT, text string) *big.Rat {
	r, ok := new(big.Rat).SetString(text)
	require.True(t, ok, text)
	return r
}

// named is a food of the table of ingredients.
func named(t require.TestingT, name string) food.Food {
	f, ok := food.Named(name)
	require.True(t, ok, name)
	return f
}

func (r row) num(t *testing.T, name string) float64 { return number(t, r.in[name]) }

func (r row) near(t *testing.T, name string, got float64) {
	t.Helper()
	require.InDelta(t, number(t, r.want[name]), got, r.tolerance, name)
}

// asked reads "onions/3 medium|onion/0.5 lb" as the items of a recipe each.
func (r row) asked(t *testing.T) []food.Item {
	var out []food.Item
	for text := range strings.SplitSeq(r.in["asked"], "|") {
		name, amount, _ := strings.Cut(text, "/")
		value, unit, _ := strings.Cut(amount, " ")
		out = append(out, food.Item{Name: name, Amount: measured(rat(t, value), unit), From: name})
	}
	return out
}

func measured(v *big.Rat, unit string) food.Amount {
	switch unit {
	case "g":
		return food.Amount{Kind: food.Mass, Value: v}
	case "lb":
		return food.Amount{Kind: food.Mass, Value: v.Mul(v, big.NewRat(45359237, 100000))}
	case "tsp":
		return food.Amount{Kind: food.Volume, Value: v}
	}
	return food.Amount{Kind: food.Count, Value: v, Unit: unit}
}

// only is the one need that the items come to.
func only(t *testing.T, items []food.Item) food.Need {
	t.Helper()
	needs := food.Sum(items)
	require.Len(t, needs, 1)
	require.Len(t, needs[0].Amounts, 1)
	return needs[0]
}

func checkWeigh(t *testing.T, r row) {
	w, ok := named(t, r.in["food"]).Weigh(rat(t, r.in["tsp"]))
	require.True(t, ok)
	r.near(t, "grams", w.Grams)
	require.InDelta(t, number(t, r.want["low"]), w.Low, max(r.tolerance, 0.004*w.Low))
	require.InDelta(t, number(t, r.want["high"]), w.High, max(r.tolerance, 0.004*w.High))
}

func checkEach(t *testing.T, r row) {
	w, ok := named(t, r.in["food"]).WeighEach(rat(t, r.in["count"]), r.in["size"])
	require.True(t, ok)
	r.near(t, "grams", w.Grams)
}

func checkNeed(t *testing.T, r row) {
	n := only(t, r.asked(t))
	require.Equal(t, food.Mass, n.Amounts[0].Kind)
	got, _ := n.Amounts[0].Value.Float64()
	r.near(t, "grams", got)
}

func checkToBuy(t *testing.T, r row) {
	got, err := food.ToBuy(r.num(t, "prepared"), r.num(t, "refuse"))
	require.NoError(t, err)
	r.near(t, "buy", got)
}

func checkShop(t *testing.T, r row) {
	got := food.Shop(only(t, r.asked(t)), r.in["metric"] == "yes")
	require.Len(t, got, 1)
	require.Equal(t, r.want["text"], got[0].Text)
}

func checkDryCups(t *testing.T, r row) {
	_, cups, ok := food.Cooked(named(t, r.in["food"]))
	require.True(t, ok)
	r.near(t, "cups", r.num(t, "cooked")/cups)
}

func checkBoil(t *testing.T, r row) {
	mass, _, ok := food.Cooked(named(t, r.in["food"]))
	require.True(t, ok)
	grams := r.num(t, "grams") * mass
	r.near(t, "grams", grams)
	require.InDelta(t, number(t, r.want["cups"]), grams/named(t, r.in["cooked"]).PerCup, 0.05)
}

func checkEggsFor(t *testing.T, r row) {
	got, ok := food.EggsFor(r.num(t, "grams"), r.in["size"])
	require.True(t, ok)
	r.near(t, "eggs", got)
}

func checkTrim(t *testing.T, r row) {
	got, ok := food.TrimOf(food.Food{Name: r.in["food"]})
	require.True(t, ok)
	require.InDelta(t, number(t, r.want["refuse"]), got.Refuse, 1e-9)
	require.NotEmpty(t, got.Lost)
	require.NotEmpty(t, got.Source)
	buy, err := food.ToBuy(1, got.Refuse)
	require.NoError(t, err)
	r.near(t, "factor", buy)
}

func checkButter(t *testing.T, r row) {
	got, err := food.Butter(r.num(t, "grams"), r.num(t, "fat"), r.num(t, "kept"), r.num(t, "butterfat"))
	require.NoError(t, err)
	r.near(t, "butter", got)
}

// checkCooked computes the cups anew from the cup weights, where the cooked food has one.
func checkCooked(t *testing.T, r row) {
	dry := named(t, r.in["food"])
	mass, cups, ok := food.Cooked(dry)
	require.True(t, ok)
	require.InDelta(t, number(t, r.want["mass"]), mass, 1e-9)
	require.InDelta(t, number(t, r.want["cups"]), cups, 1e-9)
	r.near(t, "drylb", gramsPerPound/dry.PerCup)
	r.near(t, "cookedlb", gramsPerPound/dry.PerCup*cups)
	if r.in["cooked"] != "" {
		r.near(t, "cups", mass*dry.PerCup/named(t, r.in["cooked"]).PerCup)
	}
}

func checkEgg(t *testing.T, r row) {
	got, ok := food.EggGrams(r.in["size"])
	require.True(t, ok)
	require.InDelta(t, number(t, r.want["grams"]), got, 1e-9)
	eggs, ok := food.EggsFor(500, r.in["size"])
	require.True(t, ok)
	r.near(t, "for500", eggs)
}

func checkShell(t *testing.T, r row) {
	got, ok := food.EggGrams(r.in["size"])
	require.True(t, ok)
	shell, ok := food.TrimOf(food.Food{Name: "egg in shell"})
	require.True(t, ok)
	whole, err := food.ToBuy(got, shell.Refuse)
	require.NoError(t, err)
	r.near(t, "shell", whole)
}
