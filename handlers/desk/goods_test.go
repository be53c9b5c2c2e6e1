package desk_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

func read(text string) (desk.Goods, desk.Trouble) {
	return desk.ReadGoods(text, phrase.Context{Now: time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC), DayFirst: true})
}

// TestReadGoods: amounts of things as people write them.
func TestReadGoods(t *testing.T) {
	for text, want := range map[string]desk.Goods{
		"6 tins tomatoes":               {Item: "tomatoes", Amount: 6, Dim: storage.Count, Each: "tin"},
		"24 eggs":                       {Item: "eggs", Amount: 24, Dim: storage.Count},
		"two dozen eggs":                {Item: "eggs", Amount: 24, Dim: storage.Count},
		"2 doz eggs":                    {Item: "eggs", Amount: 24, Dim: storage.Count},
		"1 sack potatoes 25kg":          {Item: "potatoes", Amount: 1, Dim: storage.Count, Each: "sack", Size: 25000},
		"half a dozen eggs":             {Item: "eggs", Amount: 6, Dim: storage.Count},
		"5 kg lard":                     {Item: "lard", Amount: 5000, Dim: storage.Mass},
		"4 litres of milk":              {Item: "milk", Amount: 4000, Dim: storage.Volume},
		"14 jars of plum jam":           {Item: "plum jam", Amount: 14, Dim: storage.Count, Each: "jar"},
		"3 bags flour 1.5 kg each":      {Item: "flour", Amount: 3, Dim: storage.Count, Each: "bag", Size: 1500},
		"3 bags flour, 1.5 kg a bag":    {Item: "flour", Amount: 3, Dim: storage.Count, Each: "bag", Size: 1500},
		"6 x 400 g tins tomatoes":       {Item: "tomatoes", Amount: 6, Dim: storage.Count, Each: "tin", Size: 400},
		"6 400g tins of tomatoes":       {Item: "tomatoes", Amount: 6, Dim: storage.Count, Each: "tin", Size: 400},
		"3 tins of 400 g tomatoes":      {Item: "tomatoes", Amount: 3, Dim: storage.Count, Each: "tin", Size: 400},
		"2 bottles of 750 ml plum wine": {Item: "plum wine", Amount: 2, Dim: storage.Count, Each: "bottle", Size: 750, SizeDim: storage.Volume},
		"a 400 g tin of tomatoes":       {Item: "tomatoes", Amount: 1, Dim: storage.Count, Each: "tin", Size: 400},
		"12 cans beans":                 {Item: "beans", Amount: 12, Dim: storage.Count, Each: "tin"},
		"3 loaves":                      {Item: "loaves", Amount: 3, Dim: storage.Count},
		"the pie dish":                  {Item: "pie dish", Amount: 1, Dim: storage.Count, Bare: true},
		"a kilo of butter":              {Item: "butter", Amount: 1000, Dim: storage.Mass},
		"2 kg self-raising flour":       {Item: "self-raising flour", Amount: 2000, Dim: storage.Mass},
		"1 leg of lamb":                 {Item: "leg of lamb", Amount: 1, Dim: storage.Count},
		"12 bales of hay":               {Item: "hay", Amount: 12, Dim: storage.Count, Each: "bale"},
		"3 bunches sage":                {Item: "sage", Amount: 3, Dim: storage.Count, Each: "bunch"},
		"a bucket of plums":             {Item: "plums", Amount: 1, Dim: storage.Count, Each: "bucket", Bare: true},
		"2 boxes of apples 5 kg each":   {Item: "apples", Amount: 2, Dim: storage.Count, Each: "box", Size: 5000},
		"2 lb 10 oz beef":               {Item: "beef", Amount: 1190.6799712500001, Dim: storage.Mass},
		"1 cabbage":                     {Item: "cabbage", Amount: 1, Dim: storage.Count},
		"1 1/2 kg leeks":                {Item: "leeks", Amount: 1500, Dim: storage.Mass},
		"eggs 12":                       {Item: "eggs", Amount: 12, Dim: storage.Count},
		"tomatoes 4 tins":               {Item: "tomatoes", Amount: 4, Dim: storage.Count, Each: "tin"},
		"500 ml of the good cider":      {Item: "cider", Amount: 500, Dim: storage.Volume},
		"one hundred and twenty nails":  {Item: "nails", Amount: 120, Dim: storage.Count},
		"4 pots of marmalade":           {Item: "marmalade", Amount: 4, Dim: storage.Count, Each: "pot"},
	} {
		g, trouble := read(text)
		require.Equal(t, desk.NoTrouble, trouble, text)
		require.InDelta(t, want.Amount, g.Amount, 1e-9, text)
		want.Amount = g.Amount
		require.Equal(t, want, g, text)
	}
	for text, want := range map[string]desk.Trouble{
		"5 lard": desk.NoUnit, "5 oats": desk.NoUnit, "14 plum jam": desk.NoUnit, "3 bags potatoes 30 kg": desk.EachOrAll, "6 or 7 tins tomatoes": desk.NotOne, "2-3 kg leeks": desk.NotOne,
		"6 kg": desk.NoThing, "": desk.NoThing, "12 or 13 eggs": desk.NotOne, "-3 eggs": desk.NotOne, "3 metres rope": desk.NotOne, "20 C milk": desk.NotOne,
	} {
		_, trouble := read(text)
		require.Equal(t, want, trouble, text)
	}
}

// TestCounted: names behind a number, and back.
func TestCounted(t *testing.T) {
	for one, many := range map[string]string{"egg": "eggs", "tomato": "tomatoes", "box": "boxes", "loaf": "loaves", "berry": "berries", "goose": "geese", "leg of lamb": "legs of lamb", "sheep": "sheep", "pie dish": "pie dishes", "tray": "trays", "blackberry": "blackberries"} {
		require.Equal(t, many, desk.Counted(2, one), one)
		require.Equal(t, many, desk.Counted(2, many), many)
		require.Equal(t, one, desk.Counted(1, many), many)
	}
}

// FuzzReadGoods: any text is goods or a trouble; an amount that is read is never below
// zero and its item never empty.
func FuzzReadGoods(f *testing.F) {
	for _, s := range []string{"6 x 400 g tins tomatoes", "3 bags flour 1.5 kg each", "½ dozen eggs", "a a a", "-3 eggs", "1e18 kg x", "tin tin tin", "2 loaves and 3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		g, trouble := read(text)
		if trouble != desk.NoTrouble {
			return
		}
		if g.Item == "" || g.Amount < 0 || g.Size < 0 {
			t.Fatalf("%q was read as %+v", text, g)
		}
	})
}
