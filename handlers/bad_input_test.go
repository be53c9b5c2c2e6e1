package handlers_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/storage"
)

// TestBadInput types what cannot be: each line gets a sentence that says what was
// wrong, or silence where it reads as talk, and nothing is written.
func TestBadInput(t *testing.T) {
	oneAtATime(t)
	t.Parallel()
	at := time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)
	for _, c := range []struct{ line, status, says string }{
		{"/lye", storage.Asked, "which fats"},
		{"/lye 500 g unicorn", storage.Asked, "unicorn"},
		{"/lye 0 g lard", storage.Refused, "above 0"},
		{"/lye -5 g lard", storage.Refused, "above 0"},
		{"/lye 1e9 kg lard", storage.Refused, "500 kg"},
		{"/lye NaN g lard", storage.Asked, ""},
		{"/lye inf g lard", storage.Asked, ""},
		{"/lye 99999999999999999999999999 g lard", storage.Refused, "500 kg"},
		{"/lye 500 g lard superfat 50%", storage.Refused, "superfat"},
		{"/lye 500 g lard superfat -5%", storage.Refused, "superfat"},
		{"/lye 500 g lard purity 150%", storage.Refused, "purity"},
		{"/lye 500 g lard 10 g water", storage.Refused, "water"},
		{"/ring me on 31 June at 9 pay the rent", storage.Refused, "30 days"},
		{"/ring me at 25:00 check the sow", storage.Refused, "23:59"},
		{"/ring Wilma at 17:00 feed the cats", storage.Refused, "Wilma"},
		{"/pass hens to Wilma", storage.Asked, ""},
		{"/house zone Atlantis/Capital", storage.Asked, "Atlantis"},
		{"/house add Bo child 140", storage.Refused, "120"},
		{"/scale nothing x3", storage.Asked, "nothing"},
		{"/weigh batch 9 100 g", storage.Asked, "batch 9"},
		{"/frobnicate", storage.Asked, ""},
		{"/lye \u202e500 g\u202c lard \x07", storage.OK, "66 g"},
		{"/lye 500 g lard \x1b[31m", storage.Asked, "31"},
		{"/note", storage.Asked, ""},
		{"/" + strings.Repeat("lye ", 2500), storage.Asked, ""},
		{"/ring me at 9:30 " + strings.Repeat("x", 10_000), storage.Refused, "too long"},
		{"/" + strings.Repeat("a", 30_000), storage.Refused, "too long"},
	} {
		name := c.line[:min(len(c.line), 40)]
		t.Run(name, func(t *testing.T) {
			h := newHome(t)
			h.say(at, "Maren", "the day begins")
			before := h.records()
			replies := h.say(at, "Maren", c.line)
			require.Len(t, replies, 1)
			require.Equal(t, c.status, replies[0].Status, replies[0].Text())
			require.Contains(t, replies[0].Text(), c.says)
			require.NotContains(t, replies[0].Text(), "\x1b", "no control character comes back")
			if c.status != storage.OK {
				require.Equal(t, before, h.records())
			}
		})
	}
	for _, talk := range []string{strings.Repeat("blah ", 2000), "\x00\x01\x02", "\u202eevil", strings.Repeat("9", 10_000), "…", "🐔🐔🐔", "/ lye", "/", "/\u202e\u202d\u2066"} {
		h := newHome(t)
		require.Empty(t, h.say(at, "Maren", talk), "%q", talk[:min(len(talk), 30)])
	}
}
