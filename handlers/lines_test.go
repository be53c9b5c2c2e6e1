package handlers_test

import (
	"context"
	"encoding/csv"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/handlers"
	"yardbell/reminders"
	"yardbell/storage"
)

// home is a household on a simulated clock, with the people of Hollin Bank.
type home struct {
	t      *testing.T
	store  *storage.Store
	roster *handlers.Roster
	zone   *time.Location
	now    time.Time
	lines  int
}

func newHome(t *testing.T) *home {
	t.Helper()
	return homeIn(t, freshFile(t))
}

// compiled is the list of desks, made once: it holds nothing of a household.
var compiled = sync.OnceValue(func() *handlers.Roster { return handlers.NewRoster(nil) })

// rosterFor is the list of desks that logs to a test.
func rosterFor(t *testing.T) *handlers.Roster {
	r := *compiled()
	r.Log = slog.New(slog.NewTextHandler(testLog{t}, nil))
	return &r
}

// homeIn is the same in a file of one's own, or in memory, where a year goes by sooner.
func homeIn(t *testing.T, path string) *home {
	t.Helper()
	ctx := context.Background()
	s, err := storage.Open(ctx, path)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	zone, err := time.LoadLocation("Europe/London")
	require.NoError(t, err)
	h := &home{t: t, store: s, roster: rosterFor(t), zone: zone}
	founded := reminders.Instant(time.Date(2026, 12, 1, 12, 0, 0, 0, time.UTC), zone)
	require.NoError(t, s.Do(ctx, func(tx *storage.Tx) error {
		id, err := tx.Found("home", "Europe/London", "Maren", founded)
		require.NoError(t, err)
		for _, p := range []storage.Person{{Name: "Tom", Keeper: true}, {Name: "Edda"}, {Name: "Ivo", Age: 13}, {Name: "Lise", Age: 10}, {Name: "Pim", Age: 6}} {
			p.Household, p.AgeOn = id, "2026-12-01"
			_, err := tx.AddPerson(p)
			require.NoError(t, err)
		}
		return nil
	}))
	h.now = founded
	return h
}

// fresh is a household file with its schema and nothing in it, made once: a
// household for each of two thousand lines would otherwise spend its time on that.
var fresh = sync.OnceValues(func() ([]byte, error) {
	dir, err := os.MkdirTemp("", "fresh-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	s, err := storage.Open(context.Background(), filepath.Join(dir, "house.db"))
	if err != nil {
		return nil, err
	}
	if err := s.Close(); err != nil {
		return nil, err
	}
	return os.ReadFile(filepath.Join(dir, "house.db"))
})

func freshFile(t *testing.T) string {
	t.Helper()
	body, err := fresh()
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "house.db")
	require.NoError(t, os.WriteFile(path, body, 0o600))
	return path
}

// oneAtATime passes a test over in the race detector's run: it plays one household after
// another, and the typed lines, many at once, are the same code.
func oneAtATime(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("one household after another: nothing to race")
	}
}

// testLog writes the log of the code under test to the test's own.
type testLog struct{ t *testing.T }

func (l testLog) Write(b []byte) (int, error) {
	l.t.Log(strings.TrimSpace(string(b)))
	return len(b), nil
}

// say lets the clock run to a wall time and types a line; it returns what the
// speaker was answered.
func (h *home) say(wall time.Time, name, text string) []storage.Message {
	h.t.Helper()
	at := reminders.Instant(wall, h.zone)
	ctx := context.Background()
	require.NoError(h.t, reminders.Play(ctx, h.store, h.now, at, func(time.Time) error { return nil }, h.roster.Watch))
	h.now = at
	h.drain()
	h.lines++
	_, err := h.roster.Hear(ctx, h.store, handlers.Heard{
		Line: storage.Line{Transport: "test", Ext: fmt.Sprint(h.lines), Name: name, At: at, Text: text}, Chat: "home", Zone: "Europe/London",
	})
	require.NoError(h.t, err)
	var replies []storage.Message
	for _, m := range h.drain() {
		if m.Kind == storage.KindReply {
			replies = append(replies, m)
		}
	}
	return replies
}

// drain takes what waits in the outbox.
func (h *home) drain() []storage.Message {
	var out []storage.Message
	require.NoError(h.t, h.store.Do(context.Background(), func(tx *storage.Tx) error {
		posted, err := tx.Unsent(1, storage.Which{}, 100_000)
		for _, p := range posted {
			out = append(out, p.Message)
			require.NoError(h.t, tx.MarkSent(p, "", h.now))
		}
		return err
	}))
	return out
}

// records counts everything that a line could have written, to show that a line
// that was refused, asked or passed over wrote nothing.
func (h *home) records() string {
	var out []string
	require.NoError(h.t, h.store.Do(context.Background(), func(tx *storage.Tx) error {
		for _, table := range append(storage.Journaled(), "entry", "change", "rope", "card", "pouring", "laid", "watch") {
			var n int
			_, err := tx.One("SELECT count(*) FROM "+table, nil, &n)
			require.NoError(h.t, err)
			out = append(out, fmt.Sprint(table, n))
		}
		return nil
	}))
	return strings.Join(out, " ")
}

var setupLine = regexp.MustCompile(`(?s)^(\d{4}-\d\d-\d\d \d\d:\d\d) (\w+): (.*)$`)

// TestLines plays every line of testdata/lines through the built handlers: the
// ways people really type, with what has to come of each.
func TestLines(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("../testdata/lines/*.csv")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		desk := strings.TrimSuffix(filepath.Base(file), ".csv")
		t.Run(desk, func(t *testing.T) {
			rows := readTable(t, file)
			least := 80
			if desk == "talk" {
				least = 200
			}
			require.GreaterOrEqual(t, len(rows), least, "each desk keeps a table worth having")
			talk := map[string][][]string{} // what is to be met with silence, by what was typed before it and when
			for n, row := range rows {
				if testing.Short() && n%80 != 0 { // the race detector's run
					continue
				}
				if row[4] == "silent" {
					talk[row[2]+row[3]] = append(talk[row[2]+row[3]], row)
					continue
				}
				t.Run(fmt.Sprintf("row%d", n+2), func(t *testing.T) {
					t.Parallel()
					playRow(t, row)
				})
			}
			for before, some := range talk {
				t.Run("silent "+before[:min(len(before), 60)], func(t *testing.T) {
					t.Parallel()
					playTalk(t, some)
				})
			}
		})
	}
}

// playTalk types lines that nothing comes of into one household: none changes what the
// next is typed into.
func playTalk(t *testing.T, rows [][]string) {
	h, at := homeBefore(t, rows[0])
	for _, row := range rows {
		line := h.numbers(row[0])
		before := h.records()
		require.Empty(t, h.say(at, row[1], line), "talk must not be answered: %q", line)
		require.Equal(t, before, h.records(), "talk must not write: %q", line)
	}
}

func readTable(t *testing.T, file string) [][]string {
	t.Helper()
	f, err := os.Open(file)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Equal(t, []string{"line", "who", "when", "setup", "status", "expect"}, rows[0])
	return rows[1:]
}

// homeBefore is a household in which what stands before the line of a row has been typed.
func homeBefore(t *testing.T, row []string) (*home, time.Time) {
	h := newHome(t)
	if row[3] != "" {
		for item := range strings.SplitSeq(row[3], " ; ") {
			m := setupLine.FindStringSubmatch(item)
			require.NotNil(t, m, "setup %q", item)
			h.say(wallTime(t, m[1]), m[2], m[3])
		}
	}
	at := wallTime(t, row[2])
	h.say(at, "Maren", "the clock runs on") // rings what is due before the line is typed
	return h, at
}

func playRow(t *testing.T, row []string) {
	who, status, expect := row[1], row[4], row[5]
	h, at := homeBefore(t, row)
	line := h.numbers(row[0])
	before := h.records()
	replies := h.say(at, who, line)
	require.NotEmpty(t, replies, "no answer to %q", line)
	text := replies[len(replies)-1].Text()
	require.Equal(t, status, replies[len(replies)-1].Status, "%q was answered: %s", line, text)
	if status != storage.OK {
		require.Equal(t, before, h.records(), "%q must write nothing", line)
	}
	for want := range strings.SplitSeq(expect, " | ") {
		require.Contains(t, strings.ToLower(text), strings.ToLower(want), "%q was answered: %s", line, text)
	}
}

// numbers fills {ring} and {bell} in a line with the newest numbers.
func (h *home) numbers(line string) string {
	for mark, query := range map[string]string{"{ring}": "SELECT coalesce(max(num), 0) FROM ring", "{bell}": "SELECT coalesce(max(num), 0) FROM bell"} {
		if !strings.Contains(line, mark) {
			continue
		}
		require.NoError(h.t, h.store.Do(context.Background(), func(tx *storage.Tx) error {
			var n int
			_, err := tx.One(query, nil, &n)
			line = strings.ReplaceAll(line, mark, fmt.Sprint(n))
			return err
		}))
	}
	return line
}

func wallTime(t *testing.T, s string) time.Time {
	t.Helper()
	w, err := time.Parse("2006-01-02 15:04", s)
	require.NoError(t, err)
	return w
}
