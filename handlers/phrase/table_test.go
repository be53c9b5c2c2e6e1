package phrase_test

import (
	"encoding/csv"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/handlers/phrase"
)

// reference is the moment at which the phrases of the table are typed: Monday
// 1 March 2027, 09:30, day before month.
var reference = phrase.Context{Now: time.Date(2027, 3, 1, 9, 30, 0, 0, time.UTC), DayFirst: true}

// known are the phrases that the grammar reads otherwise than the table, each
// with the reason. A new one breaks the test, and so does one that is mended.
var known = map[string]string{
	"6 june 28":              "two figures after a date are taken for a day, not for a year",
	"now":                    "carries nothing: a line is about now unless it says otherwise",
	"seven tomorrow morning": "a bare number is a time only beside a word for one",
}

// TestDatePhrases reads every phrase of testdata/phrases/dates.csv. A phrase of
// kind none must not be read as a whole, one of kind ask must not be read as one
// date or time without doubt.
func TestDatePhrases(t *testing.T) {
	f, err := os.Open("../../testdata/phrases/dates.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(rows), 121)
	for _, row := range rows[1:] {
		t.Run(row[0], func(t *testing.T) {
			err := checkPhrase(row)
			if why, ok := known[row[0]]; ok {
				require.Error(t, err, "mended: take %q off the list (%s)", row[0], why)
				return
			}
			require.NoError(t, err)
		})
	}
}

func checkPhrase(row []string) error {
	text, kind, want, note := row[0], row[1], row[2], row[3]
	kinds := phrase.Whenever
	if kind == "duration" {
		kinds = []phrase.Kind{phrase.KindDuration}
	}
	r := phrase.Read(text, phrase.Tokens(text), reference, phrase.Query{Kinds: kinds})
	tense := phrase.Future
	if strings.Contains(note, "past") {
		tense = phrase.Past
	}
	got := read(r, kind, tense)
	switch kind {
	case "none":
		if whole(r) && len(r.Of(phrase.KindBad)) == 0 && got != "" {
			return fmt.Errorf("%q was read as %s", text, got)
		}
		return nil
	case "ask":
		if whole(r) && len(r.Spans) == 1 && len(r.Of(phrase.KindBad)) == 0 {
			return fmt.Errorf("%q was read as %s without doubt", text, got)
		}
		return nil
	}
	if got != want {
		return fmt.Errorf("%q: read as %q, not %q (%s)", text, got, want, note)
	}
	return nil
}

// whole reports that nothing of the text was left over.
func whole(r phrase.Reading) bool {
	covered := 0
	for _, s := range r.Spans {
		covered += s.Past - s.First
	}
	return covered == len(r.Tokens)
}

func read(r phrase.Reading, kind string, tense phrase.Tense) string {
	if kind == "duration" {
		if s := r.Of(phrase.KindDuration); len(s) == 1 {
			return fmt.Sprintf("%dm", int(s[0].Value.(time.Duration).Minutes()))
		}
		return ""
	}
	w := r.Moment(reference, tense)
	switch {
	case w.Count == 0:
		return ""
	case kind == "date":
		return w.Wall.Format(time.DateOnly)
	case kind == "time":
		return w.Wall.Format("15:04")
	}
	return w.Wall.Format("2006-01-02T15:04")
}
