package scaling

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestPanTable(t *testing.T) {
	pans, err := readPans(pansCSV)
	require.NoError(t, err)
	require.Len(t, pans, 28)
	for _, p := range pans {
		require.LessOrEqual(t, p.To, 100.0, p.Name)
		if !p.Sized || p.To == 0 {
			continue
		}
		ml, err := p.Pan.Volume()
		require.NoError(t, err, p.Name)
		// a chart may round up by a little, and no pan holds under half
		require.LessOrEqual(t, p.To, 1.02*ml/mlPerCup, p.Name)
		require.GreaterOrEqual(t, p.From, 0.5*ml/mlPerCup, p.Name)
	}
}

func TestGasTable(t *testing.T) {
	marks, err := readGasMarks(gasMarksCSV)
	require.NoError(t, err)
	require.Len(t, marks, 11)
	for i, g := range marks {
		// what is on a dial is within 10 °C of the nominal figure
		require.InDelta(t, g.C(), (g.DialFrom+g.DialTo)/2, 10, "mark %g", g.Mark)
		if i > 0 {
			require.Greater(t, g.Mark, marks[i-1].Mark)
			require.Greater(t, g.F, marks[i-1].F)
		}
	}
}

// TestWordTable: every name of the table is of its own kind, alone, in capitals
// and as the plural; glued to other letters it is no name any more.
func TestWordTable(t *testing.T) {
	rows, err := readTable(wordsCSV, "words", "kind")
	require.NoError(t, err)
	require.NotEmpty(t, rows)
	kinds := map[string]bool{}
	for _, row := range rows {
		kinds[row[1]] = true
		require.Equal(t, strings.ToLower(row[0]), row[0])
		for _, text := range []string{row[0], strings.ToUpper(row[0]), "2 cups " + row[0] + ", sifted", strings.ReplaceAll(row[0], " ", "-")} {
			require.Equal(t, row[1], KindOf(text).String(), text)
		}
		if row[0] != "pepper" && row[0] != "peppers" { // peppers are a vegetable
			require.Equal(t, KindOf(row[0]), KindOf(row[0]+"s"), row[0])
		}
		if !strings.Contains(row[0], " ") {
			require.Equal(t, Plain, KindOf("q"+row[0]), row[0])
			require.Equal(t, Plain, KindOf(row[0]+"q"), row[0])
		}
	}
	for _, name := range kindNames {
		require.True(t, kinds[name], name)
	}
}

// TestTablesRefused: a table that is damaged is not read in part.
func TestTablesRefused(t *testing.T) {
	pans := func(text string) error { _, err := readPans(text); return err }
	gas := func(text string) error { _, err := readGasMarks(text); return err }
	words := func(text string) error { _, err := readKindWords(text); return err }
	const (
		panHead  = "name,shape,length_in,width_in,depth_in,cups_from,cups_to,source,mark\n"
		gasHead  = "gas,fahrenheit,dial_c_from,dial_c_to,source,mark\n"
		wordHead = "words,kind,source,mark\n"
	)
	tests := []struct {
		name string
		read func(string) error
		head string
		good string
		bad  []string
	}{
		{"pans", pans, panHead, "a,round,8,,2,6,6,chart,verified\n", []string{
			"a,round,8,,2,6,6,,verified\n", "a,round,8,,2,6,6,chart,\n", ",round,8,,2,6,6,chart,verified\n",
			"a,oval,8,,2,6,6,chart,verified\n", "a,round,x,,2,6,6,chart,verified\n", "a,round,-8,,2,6,6,chart,verified\n",
			"a,round,NaN,,2,6,6,chart,verified\n", "a,round,8,,,6,6,chart,verified\n", "a,rectangle,8,,2,6,6,chart,verified\n",
			"a,round,8,,2,6,5,chart,verified\n", "a,none,,,,,,chart,verified\n", "a,round,8\n", "a,round,Inf,,2,6,6,chart,verified\n",
		}},
		{"gas", gas, gasHead, "1,275,140,140,units,verified\n", []string{
			"1,,140,140,units,verified\n", "1,275,,140,units,verified\n", "1,275,140,130,units,verified\n",
			"1,275,140,140,,verified\n", "one,275,140,140,units,verified\n", "1,275,140\n",
		}},
		{"words", words, wordHead, "salt,salt,usage,common practice\n", []string{
			"salt,mineral,usage,common practice\n", "12,salt,usage,common practice\n", "salt,salt,,common practice\n", "salt,salt\n",
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			require.NoError(t, tt.read(tt.head+tt.good))
			for _, bad := range slices.Concat(tt.bad, []string{"", tt.good + tt.good}) {
				require.Error(t, tt.read(tt.head+bad), "%q", bad)
			}
			require.Error(t, tt.read(tt.good), "without its head")
			require.Error(t, tt.read(""))
		})
	}
}
