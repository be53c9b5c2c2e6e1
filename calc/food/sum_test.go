package food_test

import (
	"math/big"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/food"
)

func item(t require.TestingT, name, value, unit, from string) food.Item {
	return food.Item{Name: name, Amount: measured(rat(t, value), unit), From: from}
}

func TestSumForms(t *testing.T) {
	needs := food.Sum([]food.Item{
		item(t, "onion, chopped", "2", "", "soup"), item(t, "onions", "3", "", "pie"),
		item(t, "tomatoes", "400", "g", "salad"), item(t, "tinned tomatoes", "2", "tin 400 g", "soup"),
		item(t, "sour cream", "150", "g", "soup"), item(t, "double cream", "60", "tsp", "pie"),
		item(t, "Minced beef, lean", "500", "g", "pie"), item(t, "lean minced beef", "250", "g", "burgers"),
		{Name: "salt", Amount: food.Amount{Kind: food.Vague, Unit: "pinch"}, From: "soup"},
		{Name: "salt", Amount: food.Amount{Kind: food.Volume}, From: "pie"},
		item(t, "salt", "2", "tsp", "pie"),
		item(t, "garlic cloves", "3", "cloves", "pie"), item(t, "garlic", "2", "clove", "pie"),
	})
	var got []string
	for _, n := range needs {
		for _, a := range n.Amounts {
			v := "some"
			if a.Value != nil {
				v = a.Value.RatString()
			}
			got = append(got, strings.TrimSpace(n.Name+": "+v+" "+a.Unit)+" <"+strings.Join(n.From, ","))
		}
	}
	require.Equal(t, []string{
		"Minced beef, lean: 750 <burgers,pie", "double (heavy) cream: 60 <pie", "garlic: 5 clove <pie",
		"onions: 5 <pie,soup", "salt: 2 <pie,soup", "salt: some <pie,soup", "salt: some pinch <pie,soup", "soured cream: 150 <soup",
		"tinned tomatoes: 2 tin 400 g <soup", "tomatoes: 400 <salad",
	}, got)
}

// TestSumUnknown: unknown things join by their words, whatever the order of these.
func TestSumUnknown(t *testing.T) {
	n := only(t, []food.Item{item(t, "beef mince, chilled", "1/3", "lb", "b"), item(t, "mince beef", "2/3", "lb", "a"), item(t, "Beef  Mince", "1", "lb", "a")})
	require.Equal(t, "beef mince, chilled", n.Name)
	require.False(t, n.Known)
	require.Equal(t, []string{"a", "b"}, n.From)
	require.Equal(t, "45359237/50000", n.Amounts[0].Value.RatString())
}

func TestSumSplits(t *testing.T) {
	for _, c := range []struct {
		name  string
		items []food.Item
		want  []string
	}{
		{"spoons and cups of one food stay a volume", []food.Item{item(t, "butter", "1/3", "tsp", ""), item(t, "butter, melted", "1/6", "tsp", "")}, []string{"1 1/2"}},
		{"volumes of two cuts become grams", []food.Item{item(t, "onion, chopped", "48", "tsp", ""), item(t, "onion, sliced", "48", "tsp", "")}, []string{"0 275"}},
		{"no bridge for a stick of celery salt", []food.Item{item(t, "mystery root", "48", "tsp", ""), item(t, "mystery root", "100", "g", "")}, []string{"0 100", "1 48"}},
		{"an apple is an apple", []food.Item{item(t, "apples", "2", "", ""), item(t, "cooking apples", "1", "", "")}, []string{"2 3"}},
		{"eggs of two sizes become grams", []food.Item{item(t, "small eggs", "2", "", ""), item(t, "eggs", "1", "", "")}, []string{"0 126"}},
		{"a bunch of garlic has no weight", []food.Item{item(t, "garlic", "1", "string", ""), item(t, "garlic", "2", "clove", "")}, []string{"2 2", "2 1"}},
		{"cooked beans join the dry", []food.Item{item(t, "cooked black beans", "260", "g", ""), item(t, "dried black beans", "100", "g", "")}, []string{"0 200"}},
		{"below zero is vague", []food.Item{item(t, "butter", "-5", "g", ""), item(t, "butter", "5", "g", "")}, []string{"0 5", "3 -5"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			needs := food.Sum(c.items)
			require.Len(t, needs, 1)
			var got []string
			for _, a := range needs[0].Amounts {
				got = append(got, string(rune('0'+a.Kind))+" "+a.Value.RatString())
			}
			require.Equal(t, c.want, got)
		})
	}
}

// TestSumLosesMost: where cuts join, what loses more of itself says how much to buy.
func TestSumLosesMost(t *testing.T) {
	n := only(t, []food.Item{item(t, "apples", "500", "g", "a"), item(t, "cooking apples, peeled", "500", "g", "b")})
	require.Equal(t, "apple peeled sliced", n.Food.Name)
	require.Equal(t, "apples", n.Name)
	require.Equal(t, "1.3 kg loose", food.Shop(n, true)[0].Text)
}

var things = []string{
	"plain flour", "onions, finely chopped", "onions, sliced", "butter", "milk", "eggs", "small eggs", "mystery root", "mystery root, peeled",
	"tinned tomatoes", "tomatoes", "cooked rice", "rice", "garlic", "carrots", "salt", "golden syrup", "apples", "cooking apples",
}

func anyItem(t *rapid.T) food.Item {
	value := big.NewRat(rapid.Int64Range(0, 5000).Draw(t, "a"), rapid.Int64Range(1, 24).Draw(t, "b"))
	if rapid.IntRange(0, 9).Draw(t, "none") == 0 {
		value = nil
	}
	return food.Item{
		Name: rapid.SampledFrom(things).Draw(t, "name"),
		Amount: food.Amount{
			Kind: food.Kind(rapid.IntRange(0, 3).Draw(t, "kind")), Value: value,
			Unit: rapid.SampledFrom([]string{"", "medium", "cloves", "tin 400 g"}).Draw(t, "unit"),
		},
		From: rapid.SampledFrom([]string{"soup", "pie", "bread"}).Draw(t, "from"),
	}
}

func anyItems(t *rapid.T) []food.Item {
	return rapid.SliceOfN(rapid.Custom(anyItem), 0, 12).Draw(t, "items")
}

// TestSumKeepsAll: every recipe is there, every vague amount, and of what needs no bridge
// the exact sum; nothing is there twice.
func TestSumKeepsAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		items := anyItems(t)
		needs := food.Sum(items)
		vague, want := 0, 0
		names := map[string]bool{}
		from := map[string]bool{}
		for _, n := range needs {
			require.False(t, names[n.Name] && n.Known, n.Name)
			names[n.Name] = true
			require.True(t, slices.IsSorted(n.From))
			for _, f := range n.From {
				from[f] = true
			}
			require.NotEmpty(t, n.Amounts)
			for _, a := range n.Amounts {
				if a.Kind == food.Vague {
					vague++
				}
			}
		}
		for _, it := range items {
			require.True(t, from[it.From])
			if it.Amount.Kind == food.Vague || it.Amount.Value == nil {
				want++
			}
		}
		require.Equal(t, want, vague)
	})
}

// TestSumWeighsAll: by an independent weighing, one by one, what goes in comes out.
func TestSumWeighsAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		items := anyItems(t)
		weighed := []food.Item{}
		in := 0.0
		for _, it := range items {
			if it.Name == "cooked rice" {
				continue
			}
			if g, ok := weigh(it.Name, it.Amount); ok {
				in += g
				weighed = append(weighed, it)
			}
		}
		out := 0.0
		for _, n := range food.Sum(weighed) {
			for _, a := range n.Amounts {
				g, ok := weigh(n.Food.Name, a)
				if !n.Known {
					g, ok = weigh(n.Name, a)
				}
				require.True(t, ok)
				out += g
			}
		}
		require.InDelta(t, in, out, 0.13*in+1e-6)
	})
}

// weigh weighs an amount by the exported methods alone.
func weigh(name string, a food.Amount) (float64, bool) {
	if a.Value == nil || a.Kind == food.Vague {
		return 0, false
	}
	if a.Kind == food.Mass {
		g, _ := a.Value.Float64()
		return g, true
	}
	f, ok := food.Find(name)
	if !ok {
		f, ok = food.Named(name)
	}
	if !ok {
		return 0, false
	}
	w, ok := f.Weigh(a.Value)
	if a.Kind == food.Count {
		w, ok = f.WeighEach(a.Value, a.Unit)
	}
	return w.Grams, ok
}

// TestSumOrder: the order of recipes changes nothing, save the words of an unknown thing.
func TestSumOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		items := anyItems(t)
		items = slices.DeleteFunc(items, func(it food.Item) bool { return it.Name == "mystery root, peeled" })
		before := texts(food.Sum(items))
		shuffled := rapid.Permutation(items).Draw(t, "shuffled")
		require.Equal(t, before, texts(food.Sum(shuffled)))
	})
}

func texts(needs []food.Need) []string {
	var out []string
	for _, n := range needs {
		out = append(out, n.Name+" "+n.Food.Name+" "+strings.Join(n.From, ","))
		for _, a := range n.Amounts {
			v := "-"
			if a.Value != nil {
				v = a.Value.RatString()
			}
			out = append(out, string(rune('0'+a.Kind))+" "+v+" "+a.Unit)
		}
	}
	return out
}

// TestSumLeavesInputs: summing does not write into what it was given.
func TestSumLeavesInputs(t *testing.T) {
	v := big.NewRat(1, 3)
	items := []food.Item{{Name: "butter", Amount: food.Amount{Value: v}}, {Name: "butter", Amount: food.Amount{Value: big.NewRat(1, 3)}}}
	require.Equal(t, "2/3", food.Sum(items)[0].Amounts[0].Value.RatString())
	require.Equal(t, "1/3", v.RatString())
	n := only(t, items)
	food.Shop(n, true)
	require.Equal(t, "2/3", n.Amounts[0].Value.RatString())
}

// TestShopCovers: one buys at least what is needed, and less than a whole pack too much.
func TestShopCovers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		metric := rapid.Bool().Draw(t, "metric")
		for _, n := range food.Sum(anyItems(t)) {
			bought := food.Shop(n, metric)
			require.Len(t, bought, len(n.Amounts))
			for i, p := range bought {
				require.NotEmpty(t, p.Text)
				if n.Amounts[i].Kind == food.Vague {
					require.Nil(t, p.Buy)
					continue
				}
				require.GreaterOrEqual(t, p.Over.Sign(), 0)
				require.LessOrEqual(t, p.Over.Cmp(p.Buy), 0)
				more := n
				more.Amounts = []food.Amount{n.Amounts[i]}
				more.Amounts[0].Value = new(big.Rat).Add(n.Amounts[i].Value, big.NewRat(10, 1))
				need := new(big.Rat).Sub(p.Buy, p.Over)
				next := food.Shop(more, metric)[0]
				require.Positive(t, new(big.Rat).Sub(next.Buy, next.Over).Cmp(need))
			}
		}
	})
}

func TestShop(t *testing.T) {
	for _, c := range []struct {
		item   food.Item
		metric bool
		text   string
		over   string
	}{
		{item(t, "plain flour", "1500", "g", ""), true, "1 x 1.5 kg bag", "0"},
		{item(t, "plain flour", "1501", "g", ""), true, "2 x 1.5 kg bag", "1499"},
		{item(t, "plain flour", "48", "tsp", ""), true, "1 x 1.5 kg bag", "1375"},
		{item(t, "plain flour", "5", "lb", ""), false, "1 x 5 lb bag", "0"},
		{item(t, "milk", "192", "tsp", ""), false, "1 x 1 qt carton", "0"},
		{item(t, "milk", "244", "g", ""), false, "1 x 1 pt carton", "48"},
		{item(t, "eggs", "12", "", ""), true, "1 x box of 12", "0"},
		{item(t, "eggs", "6", "large", ""), true, "1 x box of 6", "0"},
		{item(t, "eggs", "300", "g", ""), true, "1 x box of 6", "0"},
		{item(t, "eggs", "144", "tsp", ""), false, "1 x box of 18", "171/50"},
		{item(t, "onions", "5/2", "", ""), true, "3", "1/2"},
		{item(t, "potatoes", "7500", "g", ""), true, "4 x 2.5 kg bag", "0"},
		{item(t, "garlic", "3", "cloves", ""), true, "1 x head of about 10 cloves", "7"},
		{item(t, "tinned tomatoes", "3/2", "tin 400 g", ""), true, "2 x tin 400 g", "1/2"},
		{item(t, "minced beef", "500", "g", ""), true, "500 g", "0"},
		{item(t, "minced beef", "1500", "g", ""), true, "1.5 kg", "0"},
		{item(t, "minced beef", "1", "lb", ""), false, "1 lb", "0"},
		{item(t, "golden syrup", "3", "tsp", ""), true, "15 ml", "0"},
		{item(t, "golden syrup", "3", "tsp", ""), false, "0.5 fl oz", "0"},
		{item(t, "asparagus", "2", "bunch", ""), true, "2 x bunch", "0"},
	} {
		t.Run(c.item.Name+" "+c.text, func(t *testing.T) {
			got := food.Shop(only(t, []food.Item{c.item}), c.metric)[0]
			require.Equal(t, c.text, got.Text)
			require.Equal(t, c.over, got.Over.RatString())
		})
	}
	vague := food.Need{Name: "salt", Amounts: []food.Amount{{Kind: food.Vague, Unit: "pinch"}, {Kind: food.Mass}}}
	got := food.Shop(vague, true)
	require.Equal(t, "some pinch", got[0].Text)
	require.Equal(t, "some", got[1].Text)
	require.Nil(t, got[1].Over)
	require.Empty(t, food.Shop(food.Need{}, true))
}

func TestSectionOf(t *testing.T) {
	for name, want := range map[string]food.Section{
		"onions": food.Greengrocer, "plain flour": food.Baking, "eggs": food.Dairy, "bacon": food.Meat, "ground cumin": food.Spices,
		"minced beef": food.Meat, "frozen spinach": food.Frozen, "tin of chickpeas": food.Tins, "rice": food.DryGoods, "aubergine": food.Greengrocer,
		"washing soda": food.Other, "tinned tuna": food.Tins, "single cream": food.Dairy, "fresh basil": food.Greengrocer, "cinnamon": food.Spices,
	} {
		n := food.Sum([]food.Item{{Name: name}})
		require.Equal(t, want, food.SectionOf(n[0]), name)
	}
	require.Equal(t, food.Other, food.SectionOf(food.Need{}))
}
