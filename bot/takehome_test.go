package main

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/reminders"
	"yardbell/storage"
)

// TestExportAndBack plays written households, writes each out, brings it into a new
// file and writes that out: not a byte differs, and for sixty days both ring the same.
func TestExportAndBack(t *testing.T) {
	names := []string{"a-week-of-bells", "chores-week", "garden-season", "house-inout", "kitchen-week", "kitchen-jar", "soap-metric", "garden-us"}
	if testing.Short() {
		names = names[:1]
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			db, back := filepath.Join(dir, "house.db"), filepath.Join(dir, "back.db")
			_, errOut, code := yardbell(t, "", "replay", "--db", db, "../testdata/conversations/"+name+".txt")
			require.Zero(t, code, errOut)
			first, second := filepath.Join(dir, "first"), filepath.Join(dir, "second")
			_, errOut, code = yardbell(t, "", "export", "--db", db, first)
			require.Zero(t, code, errOut)
			out, errOut, code := yardbell(t, "", "import", "--db", back, first)
			require.Zero(t, code, errOut)
			require.Contains(t, out, "Brought ")
			_, errOut, code = yardbell(t, "", "export", "--db", back, second)
			require.Zero(t, code, errOut)
			require.Equal(t, folder(t, first), folder(t, second))
			require.Equal(t, sixtyDays(t, db), sixtyDays(t, back))
		})
	}
}

func folder(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	all, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.NotEmpty(t, all)
	for _, f := range all {
		b, err := os.ReadFile(filepath.Join(dir, f.Name()))
		require.NoError(t, err)
		out[f.Name()] = string(b)
	}
	return out
}

// sixtyDays lets a household's clock run on, and returns all that rang and was said.
func sixtyDays(t *testing.T, path string) map[string][]string {
	t.Helper()
	ctx := context.Background()
	s, err := storage.Open(ctx, path)
	require.NoError(t, err)
	defer s.Close()
	var from time.Time
	require.NoError(t, s.Do(ctx, func(tx *storage.Tx) error {
		c, err := tx.Clock()
		from = c.Seen
		return err
	}))
	require.False(t, from.IsZero())
	require.NoError(t, reminders.Play(ctx, s, from, from.AddDate(0, 0, 60), func(time.Time) error { return nil }))
	out := map[string][]string{}
	require.NoError(t, s.Do(ctx, func(tx *storage.Tx) error {
		for _, table := range []string{"bell", "ring", "outbox", "entry"} {
			rows, err := tx.Dump(table)
			require.NoError(t, err)
			out[table] = rows
		}
		return nil
	}))
	return out
}

func TestImportRefuses(t *testing.T) {
	db, dir := house(t), t.TempDir()
	out := filepath.Join(dir, "out")
	_, _, _ = yardbell(t, "", "say", "--db", db, "--at", "2027-03-01T09:00", "--as", "Maren", "note the first thing")
	_, errOut, code := yardbell(t, "", "export", "--db", db, out)
	require.Zero(t, code, errOut)
	_, errOut, code = yardbell(t, "", "export", "--db", db, out)
	require.Equal(t, exitBadUsage, code)
	require.Contains(t, errOut, "not empty")
	_, errOut, code = yardbell(t, "", "import", "--db", db, out)
	require.Equal(t, exitBadUsage, code)
	require.Contains(t, errOut, "holds a household already")
	fresh := filepath.Join(dir, "new.db")
	people := filepath.Join(out, "person.csv")
	text, err := os.ReadFile(people)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(people, append(text, "x,1,Tom,keeper\n"...), 0o600))
	_, errOut, code = yardbell(t, "", "import", "--db", fresh, out)
	require.Equal(t, exitFailed, code)
	require.Regexp(t, `nothing was brought in: person\.csv line \d+: wrong number of fields`, errOut)
	require.NoFileExists(t, fresh)
	_, errOut, code = yardbell(t, "", "import", "--db", fresh, filepath.Join(dir, "nowhere"))
	require.Equal(t, exitFailed, code)
	require.Contains(t, errOut, "contents.csv: it is missing")
}
