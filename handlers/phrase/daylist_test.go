package phrase_test

import (
	"encoding/csv"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/handlers/phrase"
)

// TestDaysOfALine reads every line of testdata/phrases/days.csv, typed on the Monday of
// reference.
func TestDaysOfALine(t *testing.T) {
	t.Parallel()
	f, err := os.Open("../../testdata/phrases/days.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(rows), 30)
	for _, row := range rows[1:] {
		require.Equal(t, row[1], sayDaysSaid(phrase.ReadDays(row[0], phrase.Tokens(row[0]), reference, false)), row[0])
	}
	today := phrase.ReadDays("monday and tuesday", phrase.Tokens("monday and tuesday"), reference, true)
	require.Equal(t, "2027-03-01 2027-03-02 either", sayDaysSaid(today))
}

// sayDaysSaid writes what was read as the table has it.
func sayDaysSaid(d phrase.DaysSaid) string {
	var out []string
	for _, day := range d.Days {
		out = append(out, day.Format(time.DateOnly))
	}
	for word, is := range map[string]bool{"open": d.Open, "weekly": d.Weekly, "last": d.Last, "trouble": d.Trouble != "", "either": d.Either} {
		if is {
			out = append(out, word)
		}
	}
	return strings.Join(out, " ")
}
