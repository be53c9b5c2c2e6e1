package growth

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestTables reads every row of every table; each has its source and mark.
func TestTables(t *testing.T) {
	require.Len(t, tapes(), 5)
	require.Len(t, dressings(), 8)
	require.Len(t, renderings(), 4)
	require.Len(t, pigFats(), 4)
	for _, text := range []string{tapeCSV, dressingCSV, renderingCSV, pigFatCSV} {
		header, _, _ := strings.Cut(text, "\n")
		require.True(t, strings.HasSuffix(header, ",source,mark"), header)
	}
	for _, k := range tapes() {
		require.Less(t, k.Girth.Low, k.Girth.High, k.Kind)
		require.Less(t, k.Length.Low, k.Length.High, k.Kind)
		require.Contains(t, k.Words, k.Kind)
	}
	for _, list := range [][]Share{dressings(), renderings()} {
		for _, s := range list {
			for _, w := range s.Words {
				require.Equal(t, strings.ToLower(w), w)
				got, ok := named(list, w)
				require.True(t, ok)
				require.Equal(t, s.Name, got.Name, "%s names two rows", w)
			}
		}
	}
	for _, p := range pigFats() {
		_, ok := RenderingOf(p.part)
		require.True(t, ok, p.part)
	}
}

func TestBadTables(t *testing.T) {
	for name, text := range map[string]string{
		"nothing":   "",
		"no rows":   "kind\n",
		"ragged":    "kind,words\nx\n",
		"no column": "kind,words\nx,y\n",
		"falling":   "kind,words,low,typical,high,source,mark\nx,y,0.5,0.4,0.6,a,b\n",
		"over one":  "kind,words,low,typical,high,source,mark\nx,y,0.5,0.6,1.2,a,b\n",
		"no number": "kind,words,low,typical,high,source,mark\nx,y,NaN,0.6,0.9,a,b\n",
	} {
		_, err := readTable(text, shareOf("kind"))
		require.ErrorIs(t, err, ErrTable, name)
	}
}

// FuzzReadShares: a table is refused, or its shares rise within 0 and 1.
func FuzzReadShares(f *testing.F) {
	f.Add(dressingCSV)
	f.Add("kind,words\nx,y\n")
	f.Fuzz(func(t *testing.T, text string) {
		list, err := readTable(text, shareOf("kind"))
		if err != nil {
			return
		}
		for _, s := range list {
			if !(s.Of.Low > 0 && s.Of.Low <= s.Of.Typical && s.Of.Typical <= s.Of.High && s.Of.High <= 1) {
				t.Fatal(s.Of)
			}
		}
	})
}
