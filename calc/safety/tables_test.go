package safety

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestReadTableRefuses(t *testing.T) {
	row := func(r record) (int, error) { return r.whole("n") }
	for name, text := range map[string]string{
		"no number": "n\nx\n", "negative": "n\n-1\n", "short row": "n,m\n1\n", "quote": "n\n\"1\n",
	} {
		_, err := readTable(text, row)
		require.ErrorIs(t, err, ErrTable, name)
	}
	got, err := readTable("n\n1\n2\n", row)
	require.NoError(t, err)
	require.Equal(t, []int{1, 2}, got)
}

func TestNoEmptyPhrase(t *testing.T) {
	all := everyPhrase()
	require.Greater(t, len(all), 300)
	for _, p := range all {
		require.NotEmpty(t, tokens(p), "%q would match everything", p)
	}
}

// everyPhrase is all phrases of all tables.
func everyPhrase() []string {
	var out []string
	for _, text := range []string{cookCSV, keepCSV, rulesCSV, mouldCSV} {
		rows, err := readTable(text, func(r record) (record, error) { return r, nil })
		if err != nil {
			panic(err)
		}
		for _, r := range rows {
			for _, column := range []string{"words", "unless", "only", "when"} {
				out = append(out, r.list(column)...)
			}
		}
	}
	return out
}

func TestTokens(t *testing.T) {
	for text, want := range map[string]string{
		"Cook's PASTRIES": "cook pastry", "potatoes": "potato", "dishes": "dish", "bass": "bass", "asparagus": "asparagus",
		"patties": "patty", "geese": "geese", "hard-boiled eggs": "hard boiled egg", "2 lb gas": "lb gas",
	} {
		got := strings.Join(tokens(text), " ")
		require.Equal(t, want, got, text)
	}
}
