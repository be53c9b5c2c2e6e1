package food_test

import (
	"encoding/csv"
	"math"
	"math/big"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/food"
)

func table(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(name)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var out []map[string]string
	for _, row := range rows[1:] {
		r := map[string]string{}
		for i, column := range rows[0] {
			r[column] = row[i]
		}
		out = append(out, r)
	}
	return out
}

// TestTablesNameSources: every row of every table says where it is from and how well
// that was seen.
func TestTablesNameSources(t *testing.T) {
	files, err := filepath.Glob("*.csv")
	require.NoError(t, err)
	require.Len(t, files, 10)
	for _, file := range files {
		for i, r := range table(t, file) {
			require.NotEmpty(t, r["source"], "%s row %d", file, i+2)
			require.NotEmpty(t, r["mark"], "%s row %d", file, i+2)
		}
	}
}

// TestTablesNameFoods: what the tables say of a food, they say of one that is there.
func TestTablesNameFoods(t *testing.T) {
	shelf := map[string]bool{}
	for _, r := range table(t, "shelf.csv") {
		shelf[r["name"]] = true
		f := named(t, r["food"])
		require.Equal(t, r["misleads"] == "yes", food.Misleads(f), f.Name)
	}
	require.Len(t, table(t, "shelf.csv"), len(food.Foods()))
	for _, file := range []string{"ranges.csv", "sizes.csv", "eggs.csv"} {
		for _, r := range table(t, file) {
			named(t, r["food"])
		}
	}
	for _, r := range table(t, "trim.csv") {
		for name := range strings.SplitSeq(r["rows"], ";") {
			if name != "" {
				got, ok := food.TrimOf(named(t, name))
				require.True(t, ok)
				require.Equal(t, r["food"], got.Food)
			}
		}
	}
	for _, r := range table(t, "purchase.csv") {
		require.True(t, shelf[r["name"]], r["name"])
		require.Contains(t, []string{"metric", "us"}, r["system"])
		require.Contains(t, []string{"mass", "volume", "count"}, r["kind"])
		require.Positive(t, number(t, r["size"]))
	}
}

// TestAliasesAreAll: the other names of the table of ingredients are all known.
func TestAliasesAreAll(t *testing.T) {
	for _, r := range table(t, "ingredients.csv") {
		for name := range strings.SplitSeq(r["also_called"], ";") {
			if name != "" && name != "broth" {
				got, ok := food.Named(name)
				require.True(t, ok, name)
				require.Equal(t, r["ingredient"], got.Name)
			}
		}
	}
}

// TestSpoonsAgree: spoon and cup of a food weigh alike within 6 %, but for the five rows
// that are known not to, of which the cup is believed.
func TestSpoonsAgree(t *testing.T) {
	var off []string
	for _, f := range food.Foods() {
		if f.PerCup > 0 && f.PerTbsp > 0 && math.Abs(f.PerTbsp*16/f.PerCup-1) > 0.06 {
			off = append(off, f.Name)
			w, ok := f.Weigh(big.NewRat(3, 1))
			require.True(t, ok)
			require.InDelta(t, f.PerCup/16, w.Grams, 1e-9, f.Name)
		}
		if f.PerCup > 0 && f.PerTsp > 0 {
			require.InDelta(t, 1, f.PerTsp*48/f.PerCup, 0.06, f.Name)
		}
		if f.PerTbsp > 0 && f.PerTsp > 0 {
			require.InDelta(t, 1, f.PerTsp*3/f.PerTbsp, 0.0801, f.Name)
		}
	}
	require.Equal(t, []string{"powdered sugar unsifted", "sour cream", "parmesan grated", "celery chopped", "ketchup"}, off)
}

// TestFloursSpread: every flour has a range of 7 to 15 % up or down, sugar none.
func TestFloursSpread(t *testing.T) {
	flours := 0
	for _, f := range food.Foods() {
		w, ok := f.Weigh(big.NewRat(48, 1))
		if !strings.Contains(f.Name, "flour") || !ok {
			continue
		}
		flours++
		require.True(t, food.Misleads(f), f.Name)
		require.Less(t, w.Low, 0.97*w.Grams, f.Name)
		require.Greater(t, w.High, 1.07*w.Grams, f.Name)
	}
	require.Equal(t, 19, flours)
	w, ok := named(t, "granulated sugar").Weigh(big.NewRat(48, 1))
	require.True(t, ok)
	require.Equal(t, food.Weight{Grams: 200, Low: 200, High: 200}, w)
	require.False(t, food.Misleads(named(t, "granulated sugar")))
	require.True(t, food.Misleads(named(t, "brown sugar packed")))
}

// TestWeighRoundTrip: grams made of teaspoons make about the same teaspoons again; more
// weighs more.
func TestWeighRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.SampledFrom(food.Foods()).Draw(t, "food")
		n := big.NewRat(rapid.Int64Range(1, 100_000).Draw(t, "eighths"), 8)
		w, ok := f.Weigh(n)
		if !ok {
			require.Zero(t, f.PerCup+f.PerTbsp+f.PerTsp)
			_, ok = f.Teaspoons(10)
			require.False(t, ok)
			return
		}
		require.LessOrEqual(t, w.Low, w.Grams)
		require.GreaterOrEqual(t, w.High, w.Grams)
		got, ok := f.Teaspoons(w.Grams)
		require.True(t, ok)
		want, _ := n.Float64()
		require.InEpsilon(t, want, got, 0.13)
		twice, ok := f.Weigh(new(big.Rat).Mul(n, big.NewRat(2, 1)))
		require.True(t, ok)
		require.InEpsilon(t, 2*w.Grams, twice.Grams, 0.13)
	})
}

func TestToBuyCovers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		prepared := rapid.Float64Range(0, 1e6).Draw(t, "prepared")
		refuse := rapid.Float64Range(0, 0.99).Draw(t, "refuse")
		buy, err := food.ToBuy(prepared, refuse)
		require.NoError(t, err)
		require.InDelta(t, prepared, buy*(1-refuse), 1e-9*prepared)
	})
}

func TestRefusals(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1} {
		_, err := food.ToBuy(bad, 0.1)
		require.ErrorIs(t, err, food.ErrAmount)
		_, err = food.ToBuy(1, bad)
		require.ErrorIs(t, err, food.ErrShare)
		_, err = food.Butter(bad, 0.1, 1, 0.8)
		require.ErrorIs(t, err, food.ErrAmount)
		_, err = food.Butter(1, bad, 1, 0.8)
		require.ErrorIs(t, err, food.ErrShare)
		_, ok := named(t, "butter").Teaspoons(bad)
		require.False(t, ok)
		_, ok = food.EggsFor(bad, "large")
		require.False(t, ok)
	}
	_, err := food.ToBuy(1, 1)
	require.ErrorIs(t, err, food.ErrShare)
	_, err = food.Butter(1, 0.04, 1.1, 0.8)
	require.ErrorIs(t, err, food.ErrShare)
	_, err = food.Butter(1, 0.04, 1, 0)
	require.ErrorIs(t, err, food.ErrShare)
	_, ok := food.EggGrams("enormous")
	require.False(t, ok)
	butter := named(t, "butter")
	for _, v := range []*big.Rat{nil, big.NewRat(-1, 3)} {
		_, ok = butter.Weigh(v)
		require.False(t, ok)
		_, ok = butter.WeighEach(v, "stick")
		require.False(t, ok)
	}
	_, ok = food.TrimOf(butter)
	require.False(t, ok)
	_, _, ok = food.Cooked(butter)
	require.False(t, ok)
	_, ok = food.Food{}.Weigh(big.NewRat(1, 1))
	require.False(t, ok)
}

// TestPiecesNeedTheirWord: a garlic is not a clove, a butter no stick, and a size that
// the table does not have is none.
func TestPiecesNeedTheirWord(t *testing.T) {
	one := big.NewRat(1, 1)
	for _, c := range []struct {
		food, size string
		ok         bool
	}{
		{"garlic", "", false},
		{"garlic", "cloves", true},
		{"garlic", "head", true},
		{"butter", "", false},
		{"butter", "sticks", true},
		{"celery chopped", "", false},
		{"celery chopped", "stalk", true},
		{"onion chopped", "", true},
		{"onion chopped", "large", true},
		{"onion chopped", "jumbo", false},
		{"turnip cubed", "large", false},
		{"cauliflower chopped", "head", true},
		{"granulated sugar", "", false},
		{"bacon raw", "slice", true},
		{"bacon raw", "", false},
		{"egg whole raw", "extra large", true},
		{"egg whole raw", "no", false},
	} {
		_, ok := named(t, c.food).WeighEach(one, c.size)
		require.Equal(t, c.ok, ok, "%s %s", c.food, c.size)
	}
}

// TestFoodsAreCopies: writing into what was handed out changes nothing.
func TestFoodsAreCopies(t *testing.T) {
	all := food.Foods()
	require.Len(t, all, 275)
	all[0].Name, all[0].Also[0] = "x", "x"
	require.Equal(t, "all-purpose flour", food.Foods()[0].Name)
	require.Equal(t, "plain flour", food.Foods()[0].Also[0])
}
