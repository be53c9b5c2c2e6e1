package day

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/handlers/desk"
	"yardbell/storage"
)

// TestStepSaid: the hour, the person and the length of a step, and what is left of it.
func TestStepSaid(t *testing.T) {
	req := &desk.Request{Wall: time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC), People: []storage.Person{{ID: 1, Name: "Tom"}, {ID: 2, Name: "Edda"}, {ID: 3, Name: "Ivo"}}}
	for _, c := range []struct {
		text, title, whom, at string
		length                time.Duration
		assumed               string
	}{
		{text: "05:30 sharpen", title: "sharpen", at: "05:30"},
		{text: "6.00 pm leave", title: "leave", at: "18:00"},
		{text: "load the pig at 7", title: "load the pig", at: "07:00", assumed: "at 7 is 07:00"},
		{text: "load the pig at 5", title: "load the pig", at: "17:00", assumed: "at 5 is 17:00"},
		{text: "load the pig at 5pm", title: "load the pig", at: "17:00"},
		{text: "morning: light the fire 5:30 Tom", title: "light the fire", whom: "1", at: "05:30"},
		{text: "05:30 light the fire, Tom", title: "light the fire", whom: "1", at: "05:30"},
		{text: "evening: fill the trough", title: "fill the trough", at: "18:00"},
		{text: "morning: feed the sow", title: "feed the sow"},
		{text: "bake 20 loaves, Edda, 3 hours", title: "bake 20 loaves", whom: "2", length: 3 * time.Hour},
		{text: "Edda: bake 20 loaves for 3 hours", title: "bake 20 loaves", whom: "2", length: 3 * time.Hour},
		{text: "Tom and Ivo wash the crates", title: "wash the crates", whom: "1,3"},
		{text: "give the keys to Tom", title: "give the keys to Tom"},
		{text: "call Tom's mother", title: "call Tom's mother"},
		{text: "12 crates to the yard", title: "12 crates to the yard"},
		{text: "1.5 kg salt", title: "1.5 kg salt"},
		{text: "no feed after noon", title: "no feed after noon"},
	} {
		s := stepSaid(req, c.text)
		at := ""
		if s.timed {
			at = s.at.String()
		}
		require.Equal(t, []any{c.title, c.whom, c.at, c.length, c.assumed}, []any{s.title, s.whom, at, s.length, s.assumed}, c.text)
	}
}

// TestReadStep: on which day a line of a run-up is, and lines that are none.
func TestReadStep(t *testing.T) {
	for line, want := range map[string]storage.RunUpStep{
		"-14 d call the butcher":              {Days: -14, Text: "call the butcher"},
		"2 weeks before: book the van":        {Days: -14, Text: "book the van"},
		"0 load the pig at 5":                 {Text: "load the pig at 5"},
		"0 05:30 light the fire, Tom":         {Text: "05:30 light the fire, Tom"},
		"morning: light the fire 5:30 Tom":    {Text: "morning: light the fire 5:30 Tom"},
		"in the evening wash up":              {Text: "in the evening wash up"},
		"6am: leave":                          {Text: "6am: leave"},
		"5:30 light the fire":                 {Text: "5:30 light the fire"},
		"the evening before: fill the trough": {Days: -1, Text: "evening: fill the trough"},
		"the day after: wash the crates":      {Days: 1, Text: "wash the crates"},
		"+3 days wash the crates":             {Days: 3, Text: "wash the crates"},
		"the day: load":                       {Text: "load"},
	} {
		s, ok := readStep(line)
		require.True(t, ok, line)
		require.Equal(t, want, s, line)
	}
	for _, line := range []string{"call the butcher", "-14 d", "", "morning"} {
		_, ok := readStep(line)
		require.False(t, ok, line)
	}
}
