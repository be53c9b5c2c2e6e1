package kitchen

import (
	"encoding/csv"
	"math/big"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/calc/measure"
	"yardbell/handlers/phrase"
)

var monday = phrase.Context{Now: time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC), DayFirst: true}

// TestTimes scales single lines by a factor and reads what a cook would read.
func TestTimes(t *testing.T) {
	for _, c := range []struct {
		line string
		k    *big.Rat
		want string
	}{
		{"1/3 cup cream", big.NewRat(5, 2), "1/2 cup + 1/3 cup cream"},
		{"3/4 tsp salt", big.NewRat(3, 2), "1 tsp + 1/8 tsp salt"},
		{"1 cup stock", big.NewRat(7, 10), "2/3 cup + 1 tsp stock"},
		{"200 g barley", big.NewRat(3, 1), "600 g barley"},
		{"2 kg of potatoes", big.NewRat(1, 4), "0.5 kg potatoes"},
		{"2 lb corn", big.NewRat(3, 4), "1 lb 8 oz corn"},
		{"3 carrots", big.NewRat(2, 1), "6 carrots"},
		{"4 leeks", big.NewRat(752, 1000), "3 leeks"},
		{"2-3 carrots", big.NewRat(2, 1), "4 to 6 carrots"},
		{"2-3 cups stock", big.NewRat(2, 1), "4 cups to 6 cups stock"},
		{"3 eggs", big.NewRat(1, 2), "1 1/2 (75 g beaten, at 50 g each) eggs"},
		{"a pinch of salt", big.NewRat(2, 1), "2 pinches salt"},
		{"salt to taste", big.NewRat(2, 1), "salt to taste (as it stands)"},
		{"400 ml milk", big.NewRat(50, 1), "20 L milk"},
		{"7 g yeast", big.NewRat(1, 2), "3.5 g yeast"},
		{"0 g air", big.NewRat(2, 1), "0 g air (as it stands)"},
		{"2 x 400 g tins tomatoes", big.NewRat(3, 2), "3 x 400 g tins tomatoes"},
		{"225g/8oz caster sugar", big.NewRat(2, 1), "450 g caster sugar"},
		{"2 onions (about 300 g), diced", big.NewRat(2, 1), "4 onions, diced"},
		{"1 pint milk", big.NewRat(2, 1), "2 pint milk"},
		{"4 cloves garlic, crushed", big.NewRat(1, 2), "2 cloves garlic, crushed"},
	} {
		require.Equal(t, c.want, understand(c.line, monday).times(c.k), c.line)
	}
}

// TestIngredientLines reads the lines that people write, from a table written apart
// from the reader.
func TestIngredientLines(t *testing.T) {
	f, err := os.Open("../../testdata/checks/ingredient-lines.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Equal(t, []string{"line", "amount", "top", "unit", "thing", "note", "optional"}, rows[0])
	require.Greater(t, len(rows), 130)
	for _, row := range rows[1:] {
		t.Run(row[0], func(t *testing.T) {
			ctx := monday
			in := understand(row[0], ctx)
			if row[5] == "heading" && row[4] == "" {
				require.True(t, in.heading)
				return
			}
			require.False(t, in.heading)
			require.Equal(t, strings.ToLower(row[4]), strings.ToLower(in.what), "thing")
			sameNumber(t, row[1], in.amount, "amount")
			sameNumber(t, row[2], in.top, "top")
			require.Equal(t, row[3], in.unitName(), "unit")
			require.Equal(t, row[6] == "yes", in.optional, "optional")
		})
	}
}

func sameNumber(t *testing.T, want string, got *big.Rat, what string) {
	t.Helper()
	if want == "" {
		require.Nil(t, got, what)
		return
	}
	v, ok := new(big.Rat).SetString(want)
	require.True(t, ok, want)
	require.NotNil(t, got, what)
	require.Zero(t, v.Cmp(got), "%s: %s, want %s", what, got.RatString(), want)
}

// unitName writes the unit as the table has it.
func (in ingredient) unitName() string {
	if in.amount == nil {
		return ""
	}
	name := "piece"
	if in.unit != nil {
		name = map[*measure.Unit]string{measure.Teaspoon: "tsp", measure.Tablespoon: "tbsp", measure.Cup: "cup"}[in.unit]
		if name == "" {
			name = strings.TrimPrefix(strings.ToLower(in.unit.Name), "imp ")
		}
	}
	if in.each != "" {
		name = in.each
	}
	if in.size != nil {
		name += " " + decimal(in.size.Amount, 2) + " " + strings.TrimPrefix(strings.ToLower(in.size.Unit.Name), "imp ")
	}
	return name
}

// TestParts finds where the ingredients end, however they are written.
func TestParts(t *testing.T) {
	for body, want := range map[string][2]int{
		"200 g barley\n3 carrots\n\nBoil it.\nServe.":   {2, 2},
		"200 g barley\n3 carrots\n1. Boil it.\n2. Eat.": {2, 2},
		"- 200 g barley\n- 3 carrots\nSteps:\nBoil it.": {2, 1},
		"200 g barley":           {1, 0},
		"\n\n200 g barley\n\n\n": {1, 0},
	} {
		ingredients, steps := parts(body)
		require.Len(t, ingredients, want[0], body)
		require.Len(t, steps, want[1], body)
	}
}

// FuzzParts cuts any body: no line is lost but headings, and nothing is made up.
func FuzzParts(f *testing.F) {
	for _, s := range []string{"200 g barley\n\nBoil it.", "For the top:\n1 egg\n\n\nFor the rest:\n2 eggs\n1. Bake.", "Ingredients\n1 egg\nMethod\nBake", "a\tb\n1 kg x\t2 eggs", "\n\n\n", "1. 50 g raisins"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, body string) {
		ingredients, steps := parts(body)
		have := strings.ToLower(strings.Join(append(ingredients, steps...), "\n"))
		for l := range strings.SplitSeq(body, "\n") {
			if heading.MatchString(l) || ingredientsHead.MatchString(l) || strings.Contains(l, "\t") {
				continue
			}
			for _, w := range phrase.Words(leadBullet.ReplaceAllString(l, "")) {
				require.Contains(t, have, strings.ToLower(w))
			}
		}
	})
}

// FuzzUnderstand reads any line: a panic or a lost word is a defect, and a
// scaled line never loses what it is of.
func FuzzUnderstand(f *testing.F) {
	for _, s := range []string{"1 (15 oz) can beans", "½ cup", "2-3 eggs", "salt", "-5 g x", "1/0 cup flour", "1e9 kg lead", "\xff\x00", "a a a cup", "9/9/9 g", "2 x 400g tins", "For the sauce:", "zest and juice of 2 lemons"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		in := understand(line, monday)
		if in.amount != nil {
			require.Positive(t, in.amount.Sign())
		}
		got := in.times(big.NewRat(2, 1))
		require.True(t, strings.Contains(got, in.what) || in.amount == nil)
	})
}
