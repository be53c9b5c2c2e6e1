package handlers_test

import (
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"yardbell/storage"
)

// FuzzHear types any text at all, plain and with a slash: there is an answer or
// silence, never a fault, and what was not answered with ok wrote nothing.
func FuzzHear(f *testing.F) {
	for _, s := range []string{
		"lye 900 g tallow 300 g coconut", "lye 1200 g lard 456 g water 160 g lye", "poured 1200 g lard 160 g lye 456 g water", "ring Ivo feed the hens daily at 7",
		"recipe Soup for 4\n2 cups stock\n\n1. Boil.", "scale soup x3", "house add \u202eevil", "undo", "note \x00\xff", "/", "//", "/lye@bot 5 g lard", "Pim: done",
		"lye NaN g lard", "lye 1e9 kg lard", "house quiet 25:00-26:00", "ring me at 7 " + strings.Repeat("x", 300), "done 99999999999999999999", "rope off the \U0001f40d", "used",
	} {
		f.Add(s)
	}
	at := time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)
	f.Fuzz(func(t *testing.T, text string) {
		h := newHome(t)
		h.say(at, "Maren", "poured 1200 g lard 160 g lye 456 g water")
		for _, line := range []string{text, "/" + text} {
			before := h.records()
			for _, m := range h.say(at, "Maren", line) {
				require.NotEmpty(t, m.Head)
				require.True(t, utf8.ValidString(m.Text()))
				require.NotContains(t, m.Head, "Something went wrong")
				require.Contains(t, []string{storage.OK, storage.Asked, storage.Refused}, m.Status)
				if m.Status != storage.OK && !strings.Contains(line, "\n") {
					require.Equal(t, before, h.records(), "%q was answered %s and wrote", line, m.Status)
				}
			}
		}
	})
}
