package handlers_test

import (
	"context"
	"database/sql"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/handlers/desk"
	"yardbell/storage"
)

// playExample types the setup and the line of an example as Maren, a keeper.
func playExample(h *home, e desk.Example) []storage.Message {
	at := time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)
	for _, line := range e.Setup {
		if d, err := time.ParseDuration(strings.TrimPrefix(line, "+")); err == nil {
			at = at.Add(d)
			continue
		}
		by := "Maren"
		if name, rest, ok := strings.Cut(line, ": "); ok && name == "Ivo" {
			by, line = name, rest
		}
		require.NotEmpty(h.t, h.say(at, by, line), "setup %q", line)
	}
	return h.say(at, typist(e), e.Line)
}

func typist(e desk.Example) string {
	if e.By == "" {
		return "Maren"
	}
	return e.By
}

// TestExamples types every example that help shows: each has to work, and each
// command has three.
func TestExamples(t *testing.T) {
	t.Parallel()
	probe := newHome(t)
	count := map[string]int{}
	for _, d := range probe.roster.Desks() {
		for _, ask := range d.Asks {
			require.NotEmpty(t, ask.Help, ask.Name)
			require.NotEmpty(t, ask.Examples, "%s %v has no example", ask.Name, ask.Forms)
			for _, e := range ask.Examples {
				count[ask.Command]++
				t.Run(d.Name+"/"+e.Line, func(t *testing.T) {
					t.Parallel()
					replies := playExample(newHome(t), e)
					require.Len(t, replies, 1)
					require.Equal(t, storage.OK, replies[0].Status, replies[0].Text())
				})
			}
		}
	}
	for _, command := range probe.roster.Commands() {
		require.GreaterOrEqual(t, count[command], 3, "help %s shows fewer than three examples", command)
	}
}

// TestHelpShowsExamples reads the help of every command back.
func TestHelpShowsExamples(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	at := time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)
	for _, command := range h.roster.Commands() {
		replies := h.say(at, "Maren", "/help "+command)
		require.Len(t, replies, 1, command)
		if command == "burn" { // first aid comes at once, not examples of it
			require.Contains(t, replies[0].Text(), "running water")
			continue
		}
		require.GreaterOrEqual(t, len(replies[0].Lines), 3, command)
	}
}

// state writes out all rows of every table whose changes can be taken back.
func (h *home) state() string {
	var b strings.Builder
	require.NoError(h.t, h.store.Do(context.Background(), func(tx *storage.Tx) error {
		for _, table := range storage.Journaled() {
			rows, err := tx.Dump(table)
			require.NoError(h.t, err)
			for _, row := range rows {
				if !strings.Contains(row, "rope:") { // a closed room does not open by taking a pour back
					fmt.Fprintln(&b, table, row)
				}
			}
		}
		return nil
	}))
	return b.String()
}

// TestUndoTakesBackEverything types every example that writes, takes it back,
// and finds records, bells and settings as they were.
func TestUndoTakesBackEverything(t *testing.T) {
	oneAtATime(t)
	t.Parallel()
	wrote := 0
	for _, d := range newHome(t).roster.Desks() {
		for _, ask := range d.Asks {
			if ask.Name == "undo" {
				continue
			}
			for _, e := range ask.Examples {
				h := newHome(t)
				setup := desk.Example{Setup: e.Setup, Line: "who"}
				playExample(h, setup)
				before, entries := h.state(), h.entries()
				playExampleLine(h, e)
				if h.entries() == entries {
					require.Equal(t, before, h.state(), "%q changed records without a line in the day book", e.Line)
					continue
				}
				for range h.entries() - entries {
					replies := h.say(wallOf(h), typist(e), "undo")
					require.Len(t, replies, 1)
					require.Equal(t, storage.OK, replies[0].Status, "%q: %s", e.Line, replies[0].Text())
				}
				require.Equal(t, before, h.state(), "%q was not taken back whole", e.Line)
				wrote++
			}
		}
	}
	require.Greater(t, wrote, 25)
}

func playExampleLine(h *home, e desk.Example) {
	require.NotEmpty(h.t, h.say(wallOf(h), typist(e), e.Line), e.Line)
}

func wallOf(h *home) time.Time {
	l := h.now.In(h.zone)
	return time.Date(l.Year(), l.Month(), l.Day(), l.Hour(), l.Minute(), 0, 0, time.UTC)
}

// entries counts the entries that stand and can be taken back.
func (h *home) entries() int {
	var n sql.NullInt64
	require.NoError(h.t, h.store.Do(context.Background(), func(tx *storage.Tx) error {
		_, err := tx.One("SELECT count(*) FROM entry WHERE undone IS NULL AND NOT fixed", nil, &n)
		return err
	}))
	return int(n.Int64)
}

// TestButtonsAreLines presses every button that the examples' answers show: each
// is a line that is understood, asked back or refused, never a dead end.
func TestButtonsAreLines(t *testing.T) {
	oneAtATime(t)
	t.Parallel()
	pressed := 0
	lines := []desk.Example{
		{Line: "lye 900 tallow 300 coconut"},
		{Line: "lye 500 g shea"},
		{Line: "lye 500 g tallo oli"},
		{Line: "lye 500 g cocnat"},
		{Line: "lye 1600 g, 90% tallow 10% castor"},
		{Line: "/rign"},
		{Line: "/ring me about the vet"},
		{Line: "/scale"},
	}
	for _, d := range newHome(t).roster.Desks() {
		for _, ask := range d.Asks {
			lines = append(lines, ask.Examples...)
		}
	}
	for _, e := range lines {
		for n := 0; ; n++ {
			h := newHome(t)
			replies := playExample(h, e)
			require.Len(t, replies, 1, e.Line)
			if n >= len(replies[0].Buttons) {
				break
			}
			b := replies[0].Buttons[n]
			if b.Say == "undo" { // see TestUndoTakesBackEverything
				continue
			}
			answers := h.say(wallOf(h), "Maren", "/"+b.Say)
			require.Len(t, answers, 1, "%q -> [%s] %q", e.Line, b.Label, b.Say)
			require.NotContains(t, answers[0].Head, "I do not know", "%q -> [%s] %q", e.Line, b.Label, b.Say)
			if replies[0].Status == storage.Asked { // one word is enough to answer a question
				h := newHome(t)
				playExample(h, e)
				require.Len(t, h.say(wallOf(h), "Maren", b.Label), 1, b.Label)
			}
			pressed++
		}
	}
	require.Greater(t, pressed, 40)
}
