package day

import (
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/storage"
)

// TestSpans reads when a block is as people type it.
func TestSpans(t *testing.T) {
	for text, want := range map[string]string{
		"school 9:30-12:30":                     "09:30-12:30",
		"chores 7-8":                            "07:00-08:00",
		"chores 7 to 8 am":                      "07:00-08:00",
		"from 9 to 12":                          "09:00-12:00",
		"9-1pm":                                 "09:00-13:00",
		"6-7pm":                                 "18:00-19:00",
		"supper 6-7":                            "18:00-19:00",
		"nap 1-2":                               "13:00-14:00",
		"quiet work 11.30 until 1":              "11:30-13:00",
		"breakfast half past seven to eight":    "07:30-08:00",
		"between quarter to nine and noon":      "08:45-12:00",
		"bed 20:00-6:30":                        "20:00-06:30",
		"evening 8-12":                          "20:00-00:00",
		"watch 22:00-24:00":                     "22:00-00:00",
		"milking 6:30-7:15am":                   "06:30-07:15",
		"8:30am to 11:30am":                     "08:30-11:30",
		"twelve to one":                         "12:00-13:00",
		"lunch 12-1pm":                          "12:00-13:00",
		"feed from 5pm to 6":                    "17:00-18:00",
		"club 16:00 - 18:00 on the green today": "16:00-18:00",
	} {
		s := spanOf(text)
		require.True(t, s.said, text)
		require.Empty(t, s.why, text)
		require.Equal(t, want, s.first.String()+"-"+s.past.String(), text)
	}
	for _, text := range []string{"25:00-26:00", "supper 18:00-18:00", "9:75-10:00", "13pm-14pm"} {
		require.NotEmpty(t, spanOf(text).why, text)
	}
	require.False(t, spanOf("supper at the table").said)
}

// TestWeekdays reads days of the week and writes them.
func TestWeekdays(t *testing.T) {
	for text, want := range map[string]string{
		"weekdays": "weekdays", "mon-fri": "weekdays", "monday to thursday": "Mon to Thu", "tuesdays": "Tue", "on sat": "Sat", "weekends": "weekends",
		"mon wed fri": "Mon, Wed, Fri", "sat, sun": "weekends", "fri to mon": "Mon, Fri, Sat, Sun", "tue and thurs": "Tue, Thu",
	} {
		days, _ := weekdaysIn(text)
		require.Equal(t, want, sayWeekdays(days), text)
	}
	for _, text := range []string{"daily", "every day"} {
		days, _ := weekdaysIn(text)
		require.Equal(t, storage.EveryDay, days, text)
	}
	days, rest := weekdaysIn("the sun room in march")
	require.Equal(t, "the room in march", rest, "sun is a day's short name")
	require.NotZero(t, days)
}

// TestSteps reads the lines of a run-up.
func TestSteps(t *testing.T) {
	for line, want := range map[string]storage.RunUpStep{
		"-14 d call the butcher":         {Days: -14, Text: "call the butcher"},
		"-14d: call the butcher":         {Days: -14, Text: "call the butcher"},
		"2 weeks before: book the van":   {Days: -14, Text: "book the van"},
		"7 days before, wash the crates": {Days: -7, Text: "wash the crates"},
		"- 1 day no feed":                {Days: -1, Text: "no feed"},
		"0 load the pig at 7":            {Text: "load the pig at 7"},
		"on the day load the pig":        {Text: "load the pig"},
		"day load":                       {Text: "load"},
		"+3 days wash up":                {Days: 3, Text: "wash up"},
		"2 days after: count the money":  {Days: 2, Text: "count the money"},
		"* -3 d bake":                    {Days: -3, Text: "bake"},
	} {
		got, ok := readStep(line)
		require.True(t, ok, line)
		require.Equal(t, want, got, line)
	}
	for _, line := range []string{"call the butcher", "", "-14 d", "soon bake"} {
		_, ok := readStep(line)
		require.False(t, ok, line)
	}
}
