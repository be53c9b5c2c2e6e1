package handlers_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/handlers"
	"yardbell/storage"
)

var morning = time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)

// hear hands a line of a chat to the desks and returns its answers.
func (h *home) hear(in handlers.Heard) (replies []storage.Message) {
	h.t.Helper()
	h.lines++
	in.Transport, in.Ext, in.At, in.Chat = "test", fmt.Sprint("heard ", h.lines), h.now, "home"
	_, err := h.roster.Hear(context.Background(), h.store, in)
	require.NoError(h.t, err)
	return h.drain()
}

func said(name, text string) handlers.Heard {
	return handlers.Heard{Line: storage.Line{Name: name, Text: text}}
}

// TestTooManyLines: so many lines of a message are done and answered, and how many
// were not is said; talk of any length is passed over.
func TestTooManyLines(t *testing.T) {
	h := newHome(t)
	for _, c := range []struct {
		lines int
		guest bool
		says  string
		notes int
	}{
		{60, false, "", 60},
		{61, false, "the last 1 line was left out", 60},
		{5000, false, "the last 4940 lines were left out", 60},
		{5, true, "", 0},
		{200, true, "the last 195 lines were left out", 0},
	} {
		before := h.notes()
		in := said("Maren", strings.TrimSpace(strings.Repeat("/note the hens are in\n", c.lines)))
		in.Guest = c.guest
		text := h.hear(in)[0].Text()
		require.Contains(t, text, c.says)
		require.Equal(t, c.says == "", !strings.Contains(text, "left out"))
		require.Equal(t, c.notes, h.notes()-before)
	}
	require.Empty(t, h.hear(said("Maren", strings.Repeat("hello there all of you\n", 5000))))
}

func (h *home) notes() (n int) {
	require.NoError(h.t, h.store.Do(context.Background(), func(tx *storage.Tx) error {
		_, err := tx.One(`SELECT count(*) FROM entry WHERE kind = 'note'`, nil, &n)
		return err
	}))
	return n
}

// TestTakesFile: a file is wanted only for a line that takes one, of somebody who
// may write.
func TestTakesFile(t *testing.T) {
	h := newHome(t)
	for _, c := range []struct {
		in    handlers.Heard
		takes bool
	}{
		{said("Maren", "/recipe Barley soup for 4"), true},
		{said("Maren", "recipe Barley soup for 4"), true},
		{said("Maren", "/recipe Barley soup for 4\nfrom Edda"), true},
		{said("Maren", "look"), false},
		{said("Maren", "look at this recipe"), false},
		{said("Maren", "/who"), false},
		{handlers.Heard{Line: storage.Line{Name: "Anna", Text: "/recipe Barley soup for 4"}, Guest: true}, false},
		{handlers.Heard{Line: storage.Line{Name: "Tablet", Text: "/recipe Barley soup for 4"}, Shared: true}, false},
		{handlers.Heard{Line: storage.Line{Name: "Tablet", Text: "Lise: recipe Barley soup for 4"}, Shared: true}, true},
	} {
		c.in.Chat, c.in.At = "home", h.now
		takes, err := h.roster.TakesFile(context.Background(), h.store, c.in)
		require.NoError(t, err)
		require.Equal(t, c.takes, takes, "%+v", c.in)
	}
}

// TestAFileIsReadBelowItsLine, and is not kept with it.
func TestAFileIsReadBelowItsLine(t *testing.T) {
	h := newHome(t)
	in := said("Maren", "/recipe Barley soup for 4")
	in.File = "200 g barley\n2 cups stock\n\n1. Boil."
	require.Contains(t, h.hear(in)[0].Text(), "Kept Barley soup")
	require.NoError(t, h.store.Do(context.Background(), func(tx *storage.Tx) error {
		var text string
		_, err := tx.One(`SELECT text FROM inbox`, nil, &text)
		require.Equal(t, in.Text, text)
		return err
	}))
}

// TestAButtonActsOnce: it is used up by the press that acted, not by one that was
// refused or asked back, and the same press is taken once.
func TestAButtonActsOnce(t *testing.T) {
	h := newHome(t)
	press := func(name string, guest bool) []storage.Message {
		in := said(name, "note the gate is mended")
		in.Button, in.Guest = "the button", guest
		return h.hear(in)
	}
	refused := press("Anna", true)
	require.Equal(t, storage.Refused, refused[0].Status)
	require.True(t, refused[0].Quiet, "told to the one who pressed")
	require.Equal(t, storage.OK, press("Maren", false)[0].Status)
	require.Empty(t, press("Tom", false))
	require.Equal(t, 1, h.notes())
}

// TestTheTabletIsNobodyInParticular: what is for adults only is not done there,
// whatever name is typed.
func TestTheTabletIsNobodyInParticular(t *testing.T) {
	h := newHome(t)
	for _, line := range []string{"Maren: lye 900 g tallow 300 g coconut", "Tom: /lye 500 g lard", "Maren: poured 1200 g lard 160 g lye 456 g water"} {
		in := said("Tablet", line)
		in.Shared = true
		replies := h.hear(in)
		require.Equal(t, storage.Refused, replies[0].Status, line)
		require.Contains(t, replies[0].Head, "Not from the tablet")
	}
	in := said("Tablet", "Lise: note the hens are in")
	in.Shared = true
	h.hear(in)
	require.Equal(t, 1, h.notes())
}

// TestWhichOneOfOthers: a keeper for whom nothing rings is asked which of the
// others' rings is meant, by name and number.
func TestWhichOneOfOthers(t *testing.T) {
	h := newHome(t)
	h.say(morning, "Maren", "ring Ivo feed the hens in 1 min")
	replies := h.say(morning.Add(2*time.Minute), "Maren", "/done")
	require.Equal(t, "Which one?", replies[0].Head)
	require.Equal(t, storage.Button{Label: "feed the hens", Say: "done 2"}, replies[0].Buttons[0])
}
