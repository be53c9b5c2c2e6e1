package handlers

import (
	"encoding/csv"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/handlers/phrase"
)

// TestWorthTrying holds the forms that are tried against all: none that a line has is
// passed over, as written or with a slip.
func TestWorthTrying(t *testing.T) {
	r := NewRoster(slog.New(slog.DiscardHandler))
	files, err := filepath.Glob("../testdata/lines/*.csv")
	require.NoError(t, err)
	tried, had := 0, 0
	for _, file := range files {
		f, err := os.Open(file)
		require.NoError(t, err)
		rows, err := csv.NewReader(f).ReadAll()
		require.NoError(t, err)
		require.NoError(t, f.Close())
		for n, row := range rows[1:] {
			toks := phrase.Tokens(row[0])
			for _, forgive := range []slips{asWritten, anySlip} {
				slip := forgive != asWritten
				if slip && (n%20 > 0 || len(toks) > longestSlip) { // slips are looked for in every word of every form: slow
					continue
				}
				worth := r.worthTrying(toks, slip)
				tried += len(worth)
				for i, form := range r.forms {
					if _, ok := form.match(toks, forgive); !ok {
						continue
					}
					had++
					require.True(t, slices.Contains(worth, i), "%q has %q of %s, slips forgiven: %v", row[0], form.text, form.ask.Name, slip)
				}
			}
		}
	}
	require.Greater(t, had, 1000)
	t.Logf("%d forms tried, %d of them in their lines", tried, had)
}
