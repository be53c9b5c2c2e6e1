package handlers_test

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/handlers"
	"yardbell/reminders"
	"yardbell/storage"
)

// send types a line that brings a file along, and returns what is answered.
func (h *home) send(wall time.Time, name, line, file string) storage.Message {
	h.t.Helper()
	at := reminders.Instant(wall, h.zone)
	h.now = at
	h.drain()
	h.lines++
	_, err := h.roster.Hear(context.Background(), h.store, handlers.Heard{
		Line: storage.Line{Transport: "test", Ext: fmt.Sprint(h.lines), Name: name, At: at, Text: line}, Chat: "home", Zone: "Europe/London", File: file,
	})
	require.NoError(h.t, err)
	out := h.drain()
	require.NotEmpty(h.t, out, "no answer to %q", line)
	return out[len(out)-1]
}

// years writes a table with one frost in April and one in October of each year, the
// rest warm: the dates are known by hand.
func years(from, to int, row func(day time.Time, c float64) string) string {
	var b strings.Builder
	for d := time.Date(from, 1, 1, 0, 0, 0, 0, time.UTC); d.Year() <= to; d = d.AddDate(0, 0, 1) {
		c := 8.0
		if m := d.Month(); m == 12 || m <= 2 || m == 4 && d.Day() == 10+d.Year()%10 || m == 10 && d.Day() == 5+d.Year()%10 {
			c = -2
		}
		b.WriteString(row(d, c) + "\n")
	}
	return b.String()
}

// TestWeatherFiles: dates out of a file that are known by hand, in each unit and order
// of rows; the household's place decides the half-year.
func TestWeatherFiles(t *testing.T) {
	t.Parallel()
	wall := time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)
	celsius := years(2000, 2029, func(d time.Time, c float64) string { return fmt.Sprintf("%s,%.1f", d.Format(time.DateOnly), c) })
	fahrenheit := years(2000, 2029, func(d time.Time, c float64) string { return fmt.Sprintf("%s,%.0f", d.Format(time.DateOnly), c*9/5+32) })
	rows := strings.Split(strings.TrimSpace(celsius), "\n")
	backward := make([]string, len(rows))
	for i, r := range rows {
		backward[len(rows)-1-i] = r
	}
	for name, c := range map[string]struct{ line, file string }{
		"celsius":          {"frost", "date,min_c\n" + celsius},
		"said celsius":     {"frost celsius", "date,min\n" + celsius},
		"fahrenheit":       {"/frost", "date,min_f\n" + fahrenheit},
		"said fahrenheit":  {"frost fahrenheit", "date,min\n" + fahrenheit},
		"dates backward":   {"frost", "date,min_c\n" + strings.Join(backward, "\n")},
		"windows newlines": {"frost", "\ufeffdate,min_c\r\n" + strings.ReplaceAll(celsius, "\n", "\r\n")},
	} {
		t.Run(name, func(t *testing.T) {
			h := newHome(t)
			h.say(wall, "Maren", "frost last 28 May")
			got := h.send(wall, "Maren", c.line, c.file)
			require.Equal(t, storage.OK, got.Status, got.Text())
			// April 10 to 19, October 5 to 14, each day in three years of thirty
			require.Contains(t, got.Text(), "Last frost 15 Apr, first frost 10 Oct", "14.5 and 9.5, half up")
			require.Contains(t, h.say(wall, "Maren", "frost safe")[0].Text(), "Last frost 19 Apr, first frost 5 Oct", "18.1 up and 5.9 down: the safe side")
			h.say(wall, "Maren", "undo")
			h.say(wall, "Maren", "undo")
			require.Contains(t, h.say(wall, "Maren", "house")[0].Text(), "last frost 28 May", "taken back whole")
		})
	}
}

// TestBadWeatherFiles: each is answered with what is wrong, and changes nothing.
func TestBadWeatherFiles(t *testing.T) {
	wall := time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)
	station, err := os.ReadFile("../testdata/stations/cedar-fork.dly")
	require.NoError(t, err)
	good := years(2000, 2029, func(d time.Time, c float64) string { return fmt.Sprintf("%s,%.1f", d.Format(time.DateOnly), c) })
	h := newHome(t)
	for name, c := range map[string]struct{ file, want string }{
		"cut in the middle of a value": {string(station[:5003]), "line 19"},
		"wrong columns":                {"date,rain_mm\n2027-01-01,3\n", "rain_mm"},
		"binary":                       {"\x00\x01\x02\x03", "not plain text"},
		"a picture":                    {"\x89PNG\r\n\x1a\n" + strings.Repeat("\x00", 500), "not plain text"},
		"a web page":                   {"<!DOCTYPE html><html><body>404</body></html>", "web page"},
		"only a header":                {"date,min_c\n", ""},
		"units mixed in the rows":      {"date,min\n2027-01-01,-3C\n2027-01-02,30F\n", "Fahrenheit"},
		"no unit":                      {"date,min\n" + good, "Celsius or Fahrenheit"},
		"a word for a figure":          {"date,min_c\n2027-01-01,cold\n" + good, "line 2"},
		"too hot for Celsius":          {"date,min_c\n2027-01-01,71\n" + good, "71"},
		"the same day twice":           {"date,min_c\n" + good + "2001-05-05,-7\n", "2001"},
		"too few years":                {"date,min_c\n" + years(2020, 2023, func(d time.Time, c float64) string { return fmt.Sprintf("%s,%.1f", d.Format(time.DateOnly), c) }), "10 whole seasons"},
		"20 MB of rows that are none":  {strings.Repeat("this is not a table of the weather at all\n", 20<<20/42), ""},
		"20 MB in one line":            {strings.Repeat("x", 20<<20), ""},
		"an order of days not said":    {"date,min_c\n01/02/2020,3\n02/03/2020,4\n", "month first"},
	} {
		t.Run(name, func(t *testing.T) {
			before := h.records()
			got := h.send(wall, "Maren", "frost", c.file)
			require.NotEqual(t, storage.OK, got.Status, got.Text())
			require.Contains(t, got.Text(), "Nothing was changed")
			require.Contains(t, got.Text(), c.want)
			require.Less(t, len(got.Text()), 1500, "a few lines, whatever came")
			require.Equal(t, before, h.records())
		})
	}
	require.Equal(t, storage.Refused, h.send(wall, "Ivo", "frost", "date,min_c\n"+good).Status, "a child changes no frost dates")
}
