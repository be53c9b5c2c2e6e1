package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func house(t *testing.T) string { return filepath.Join(t.TempDir(), "house.db") }

func TestExitCodes(t *testing.T) {
	db := house(t)
	at := "2027-03-01T09:30"
	for _, c := range []struct {
		name string
		args []string
		code int
	}{
		{"answered", []string{"say", "--at", at, "lye", "900", "g", "tallow"}, exitAnswered},
		{"refused", []string{"say", "--at", at, "1000 g lard 142 g lye"}, exitNotUnderstood},
		{"asked back", []string{"say", "--at", at, "lye 900 tallow"}, exitNotUnderstood},
		{"talk", []string{"say", "--at", at, "who left the gate open"}, exitNotUnderstood},
		{"unknown flag", []string{"say", "--colour", "red"}, exitBadUsage},
		{"unknown command", []string{"sya", "rack"}, exitBadUsage},
		{"bad time", []string{"say", "--at", "tomorrow-ish", "rack"}, exitBadUsage},
		{"bad days", []string{"rehearse", "--days", "0"}, exitBadUsage},
		{"no such conversation", []string{"replay", "no-such-file.txt"}, exitBadUsage},
		{"serve without a token", []string{"serve"}, exitBadUsage},
		{"help", []string{"--help"}, exitAnswered},
		{"version", []string{"version"}, exitAnswered},
	} {
		t.Run(c.name, func(t *testing.T) {
			args := c.args
			if args[0] == "say" || args[0] == "rehearse" {
				args = append([]string{args[0], "--db", db}, args[1:]...)
			}
			out, errOut, code := yardbell(t, "", args...)
			require.Equal(t, c.code, code, "%s%s", out, errOut)
			if code == exitBadUsage || code == exitFailed {
				require.NotEmpty(t, errOut)
			}
		})
	}
}

// TestJSONLines holds the contract for scripts: one object a line, with these
// keys and no others.
func TestJSONLines(t *testing.T) {
	out, _, code := yardbell(t, "", "replay", "--json", "../testdata/conversations/first-batch.txt")
	require.Zero(t, code)
	var last time.Time
	kinds := map[string]int{}
	for line := range strings.Lines(out) {
		var m map[string]any
		require.NoError(t, json.Unmarshal([]byte(line), &m), line)
		at, err := time.Parse("2006-01-02T15:04:05Z", m["at"].(string))
		require.NoError(t, err)
		require.False(t, at.Before(last), "in order of time: %s", line)
		last = at
		kinds[m["kind"].(string)]++
		for key := range m {
			require.Contains(t, []string{"at", "kind", "to", "text", "buttons", "files", "status", "quiet"}, key)
		}
		require.NotEmpty(t, m["text"])
		if m["kind"] == "reply" {
			require.Contains(t, []any{"ok", "asked", "refused"}, m["status"])
		}
		if m["kind"] != "notice" {
			require.NotEmpty(t, m["to"])
		}
	}
	require.Positive(t, kinds["reply"])
	require.Positive(t, kinds["ring"])
	require.Positive(t, kinds["notice"])
}

func TestBadConversations(t *testing.T) {
	for text, want := range map[string]string{
		"2027-03-01 09:00 Maren: rack\n2027-03-01 08:00 Maren: rack\n": "line 2",
		"# fine\n\nrack\n":                     "line 3",
		"2027-02-30 09:00 Maren: rack\n":       "line 1",
		"2027-03-01 25:00 Maren: rack\n":       "line 1",
		"2027-03-01 09:00 Maren rack\n":        "line 1",
		"2027-03-01 09:00 Maren: a\nuntil x\n": "line 2",
	} {
		out, errOut, code := yardbell(t, text, "replay", "-")
		require.Equal(t, exitBadUsage, code, text)
		require.Contains(t, errOut, want)
		require.Empty(t, out, "nothing is played of a conversation that cannot be")
	}
}

// TestReplayTakesALineOnce plays a conversation twice on the same file: the
// second time nothing is left to say.
func TestReplayTakesALineOnce(t *testing.T) {
	db := house(t)
	first, _, code := yardbell(t, "", "replay", "--db", db, "../testdata/conversations/first-batch.txt")
	require.Zero(t, code)
	require.NotEmpty(t, first)
	again, _, code := yardbell(t, "", "replay", "--db", db, "../testdata/conversations/first-batch.txt")
	require.Zero(t, code)
	require.Empty(t, again)
}

func TestFoundingAndSpeakers(t *testing.T) {
	db := house(t)
	out, _, code := yardbell(t, "", "say", "--db", db, "--at", "2027-03-01T09:00", "who")
	require.Zero(t, code)
	require.Contains(t, out, "Keeper, keeper", "without --as one named Keeper founds an empty household")

	_, errOut, code := yardbell(t, "", "say", "--db", db, "--at", "2027-03-01T09:01", "soup is ready")
	require.Equal(t, exitNotUnderstood, code)
	require.Contains(t, errOut, "no answer")

	out, _, code = yardbell(t, "", "say", "--db", db, "--at", "2027-03-01T09:02", "--as", "Wilma", "rack")
	require.Equal(t, exitNotUnderstood, code)
	require.Contains(t, out, "house add Wilma")
}

func TestSayReadsStandardInput(t *testing.T) {
	out, _, code := yardbell(t, "house name Cedar Fork\n\nlye 500 g lard\n", "say", "--db", house(t), "--at", "2027-03-01T09:00", "--json")
	require.Zero(t, code)
	require.Equal(t, 2, strings.Count(out, "\n"))
}

func TestRehearseChangesNothing(t *testing.T) {
	db := house(t)
	_, _, code := yardbell(t, "", "say", "--db", db, "--at", "2027-03-01T09:00", "--as", "Maren", "ring me feed the hens daily at 7")
	require.Zero(t, code)
	for range 2 {
		out, _, code := yardbell(t, "", "rehearse", "--db", db, "--at", "2027-03-01T09:00", "--days", "5", "--json")
		require.Zero(t, code)
		require.Equal(t, 5, strings.Count(out, "feed the hens"))
	}
	out, _, _ := yardbell(t, "", "say", "--db", db, "--at", "2027-03-01T09:05", "bells")
	require.Contains(t, out, "Tue 2 Mar 07:00")
}

func TestBackupRestoreExport(t *testing.T) {
	db, dir := house(t), t.TempDir()
	backup := filepath.Join(dir, "copy.db")
	say := func(line string) string {
		out, _, _ := yardbell(t, "", "say", "--db", db, "--at", "2027-03-01T09:00", "--as", "Maren", line)
		return out
	}
	say("note the first thing")
	_, errOut, code := yardbell(t, "", "backup", "--db", db, backup)
	require.Zero(t, code, errOut)
	_, errOut, code = yardbell(t, "", "backup", "--db", db, backup)
	require.Equal(t, exitBadUsage, code)
	require.Contains(t, errOut, "exists")

	say("note the second thing")
	out, errOut, code := yardbell(t, "", "restore", "--db", db, backup)
	require.Zero(t, code, errOut)
	require.Contains(t, out, "is kept as")
	book := say("book")
	require.Contains(t, book, "the first thing")
	require.NotContains(t, book, "the second thing")

	_, errOut, code = yardbell(t, "", "export", "--db", db, filepath.Join(dir, "out"))
	require.Zero(t, code, errOut)
	entries, err := os.ReadFile(filepath.Join(dir, "out", "entry.csv"))
	require.NoError(t, err)
	require.Contains(t, string(entries), "the first thing")

	_, errOut, code = yardbell(t, "", "restore", "--db", db, filepath.Join(dir, "out", "entry.csv"))
	require.Equal(t, exitFailed, code)
	require.Contains(t, errOut, "entry.csv")
	require.Contains(t, say("book"), "the first thing", "a bad backup must leave the household as it was")

	out, _, code = yardbell(t, "", "doctor", "--db", db)
	require.Zero(t, code)
	require.Contains(t, out, "integrity  ok")
}

// TestFilesThatCannotBeUsed names the file and what to do, and never writes over
// anything.
func TestFilesThatCannotBeUsed(t *testing.T) {
	dir := t.TempDir()
	damaged := filepath.Join(dir, "damaged.db")
	require.NoError(t, os.WriteFile(damaged, []byte("this is a shopping list, not a database, and it is long enough to be read as one ........................................"), 0o644))
	for name, path := range map[string]string{"damaged": damaged, "a folder": dir} {
		t.Run(name, func(t *testing.T) {
			_, errOut, code := yardbell(t, "", "say", "--db", path, "rack")
			require.Equal(t, exitFailed, code)
			require.Contains(t, errOut, path)
			require.Contains(t, errOut, "cannot be used")
		})
	}
	kept, err := os.ReadFile(damaged)
	require.NoError(t, err)
	require.Contains(t, string(kept), "shopping list")
}

func TestNoColourWhenPiped(t *testing.T) {
	out, _, _ := yardbell(t, "", "say", "--db", house(t), "--at", "2027-03-01T09:00", "lye 500 g lard")
	require.NotContains(t, out, "\x1b")
}

// TestChatPiped types lines into the chat through a pipe: talk is passed over in
// silence, the rest is answered.
func TestChatPiped(t *testing.T) {
	out, errOut, code := yardbell(t, "house add Ivo child 13\nwho wants tea\n\nlye 500 g lard\n", "chat", "--db", house(t), "--as", "Maren", "--at", "2027-03-01T09:00")
	require.Zero(t, code, errOut)
	require.Contains(t, out, "Added Ivo, child, 13.")
	require.Contains(t, out, "66 g lye")
	require.NotContains(t, out, "tea")
}

// TestRecipePipedIn: lines that begin with two spaces go on with the one above,
// in say and in a piped chat.
func TestRecipePipedIn(t *testing.T) {
	typed := "recipe Soup for 4\n  200 g barley\n  1/3 cup lentils\n  \n  1. Boil.\nsoup for 8\n"
	for _, command := range []string{"say", "chat"} {
		out, errOut, code := yardbell(t, typed, command, "--db", house(t), "--as", "Maren", "--at", "2027-03-01T09:00")
		require.Zero(t, code, errOut)
		require.Contains(t, out, "2 ingredients, 1 step")
		require.Contains(t, out, "2/3 cup lentils")
	}
}
