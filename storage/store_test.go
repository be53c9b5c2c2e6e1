package storage_test

import (
	"context"
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/storage"
)

var noon = time.Date(2027, 3, 1, 12, 0, 0, 0, time.UTC)

func open(t *testing.T, path string) *storage.Store {
	t.Helper()
	s, err := storage.Open(context.Background(), path)
	require.NoError(t, err)
	t.Cleanup(func() { _ = s.Close() })
	return s
}

// found makes a household with a keeper and returns its id.
func found(t *testing.T, s *storage.Store, chat string) (id int64) {
	t.Helper()
	require.NoError(t, s.Do(context.Background(), func(tx *storage.Tx) (err error) {
		id, err = tx.Found(chat, "Europe/London", "Maren", noon)
		return err
	}))
	return id
}

// raw opens the file beside the store, as an ordinary tool would.
func raw(t *testing.T, path string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+path)
	require.NoError(t, err)
	t.Cleanup(func() { db.Close() })
	return db
}

func TestSettingsOfTheFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "house ?#%.db")
	s := open(t, path)
	require.FileExists(t, path)
	require.NoError(t, s.Do(context.Background(), func(tx *storage.Tx) error {
		for pragma, want := range map[string]string{"journal_mode": "wal", "foreign_keys": "1", "synchronous": "2"} {
			var got string
			_, err := tx.One("PRAGMA "+pragma, nil, &got)
			require.NoError(t, err)
			require.Equal(t, want, got, pragma)
		}
		return nil
	}))
}

// TestEveryTableCarriesItsHousehold keeps a new table from forgetting it.
func TestEveryTableCarriesItsHousehold(t *testing.T) {
	path := filepath.Join(t.TempDir(), "house.db")
	open(t, path)
	db := raw(t, path)
	rows, err := db.Query(`SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'goose%' AND name NOT LIKE 'sqlite%'`)
	require.NoError(t, err)
	defer rows.Close()
	var tables []string
	for rows.Next() {
		var name string
		require.NoError(t, rows.Scan(&name))
		tables = append(tables, name)
	}
	require.NoError(t, rows.Err())
	require.Greater(t, len(tables), 12)
	for _, name := range tables {
		var n int
		require.NoError(t, db.QueryRow(`SELECT count(*) FROM pragma_table_xinfo(?) WHERE name = 'household'`, name).Scan(&n))
		require.Equal(t, 1, n, "table %s carries no household", name)
	}
}

// TestJournalKnowsEveryTable finds the three triggers of each journaled table,
// with every column that the table has.
func TestJournalKnowsEveryTable(t *testing.T) {
	path := filepath.Join(t.TempDir(), "house.db")
	open(t, path)
	db := raw(t, path)
	for _, table := range storage.Journaled() {
		var n int
		require.NoError(t, db.QueryRow(`SELECT count(*) FROM sqlite_master WHERE type = 'trigger' AND tbl_name = ? AND name LIKE 'journal_%'`, table).Scan(&n))
		require.Equal(t, 3, n, table)
		var body string
		require.NoError(t, db.QueryRow(`SELECT sql FROM sqlite_master WHERE name = ?`, "journal_"+table+"_update").Scan(&body))
		cols, err := db.Query(`SELECT name FROM pragma_table_info(?)`, table)
		require.NoError(t, err)
		for cols.Next() {
			var c string
			require.NoError(t, cols.Scan(&c))
			require.Contains(t, body, "quote(OLD."+c+")", "%s.%s", table, c)
		}
		require.NoError(t, cols.Err())
		require.NoError(t, cols.Close())
	}
}

// TestJournalIsLaidAgain opens a file whose process was killed between the
// schema and its triggers.
func TestJournalIsLaidAgain(t *testing.T) {
	path := filepath.Join(t.TempDir(), "house.db")
	require.NoError(t, open(t, path).Close())
	db := raw(t, path)
	_, err := db.Exec(`DROP TRIGGER journal_ring_update; PRAGMA user_version = 0`)
	require.NoError(t, err)
	require.NoError(t, db.Close())
	open(t, path)
	var n int
	require.NoError(t, raw(t, path).QueryRow(`SELECT count(*) FROM sqlite_master WHERE name = 'journal_ring_update'`).Scan(&n))
	require.Equal(t, 1, n)
}

func TestUnusableFiles(t *testing.T) {
	dir := t.TempDir()
	newer := filepath.Join(dir, "newer.db")
	require.NoError(t, open(t, newer).Close())
	db := raw(t, newer)
	_, err := db.Exec(`INSERT INTO goose_db_version (version_id, is_applied) VALUES (9999, 1)`)
	require.NoError(t, err)
	require.NoError(t, db.Close())

	foreign := filepath.Join(dir, "foreign.db")
	other := raw(t, foreign)
	_, err = other.Exec(`CREATE TABLE shopping (what TEXT)`)
	require.NoError(t, err)
	require.NoError(t, other.Close())

	damaged := filepath.Join(dir, "damaged.db")
	require.NoError(t, os.WriteFile(damaged, make([]byte, 5000), 0o600))
	torn := filepath.Join(dir, "torn.db")
	require.NoError(t, open(t, torn).Close())
	require.NoError(t, os.Truncate(torn, 4096))

	for name, c := range map[string]struct{ path, advice string }{
		"newer":   {newer, "newer version"},
		"foreign": {foreign, "another program"},
		"damaged": {damaged, "damaged"},
		"torn":    {torn, "damaged"},
		"folder":  {dir, "cannot be opened"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := storage.Open(context.Background(), c.path)
			var oe *storage.OpenError
			require.ErrorAs(t, err, &oe)
			require.Contains(t, err.Error(), c.path, "the file is named")
			require.Contains(t, err.Error(), c.advice)
			require.NotEmpty(t, oe.Advice)
		})
	}
}

func TestDoRollsBack(t *testing.T) {
	s := open(t, storage.Memory)
	id := found(t, s, "home")
	boom := errors.New("boom")
	ctx := context.Background()
	require.ErrorIs(t, s.Do(ctx, func(tx *storage.Tx) error {
		require.NoError(t, tx.Set(id, storage.SetName, "Nowhere"))
		return boom
	}), boom)
	require.Panics(t, func() {
		_ = s.Do(ctx, func(tx *storage.Tx) error {
			require.NoError(t, tx.Set(id, storage.SetName, "Nowhere"))
			panic("a fault")
		})
	})
	require.NoError(t, s.Do(ctx, func(tx *storage.Tx) error {
		h, err := tx.Household(id)
		require.NoError(t, err)
		require.Empty(t, h.Name)
		return tx.Set(id, storage.SetName, "Hollin Bank")
	}))
}

func TestTryTakesBackOneAttempt(t *testing.T) {
	s := open(t, storage.Memory)
	id := found(t, s, "home")
	require.NoError(t, s.Do(context.Background(), func(tx *storage.Tx) error {
		require.NoError(t, tx.Set(id, storage.SetName, "Hollin Bank"))
		err := tx.Try(func() error {
			_, err := tx.Record(storage.Entry{Household: id, Happened: noon, Written: noon, Kind: "house", Text: "no"})
			require.NoError(t, err)
			require.NoError(t, tx.Set(id, storage.SetName, "Nowhere"))
			return errors.New("no")
		})
		require.EqualError(t, err, "no")
		h, err := tx.Household(id)
		require.NoError(t, err)
		require.Equal(t, "Hollin Bank", h.Name)
		entries, err := tx.Book(id, storage.BookQuery{Limit: 10})
		require.NoError(t, err)
		require.Empty(t, entries)
		return nil
	}))
}

func TestTryWithinTry(t *testing.T) {
	s := open(t, storage.Memory)
	id := found(t, s, "home")
	fails := errors.New("no")
	name := func(tx *storage.Tx) string {
		h, err := tx.Household(id)
		require.NoError(t, err)
		return h.Name
	}
	require.NoError(t, s.Do(context.Background(), func(tx *storage.Tx) error {
		require.NoError(t, tx.Set(id, storage.SetName, "before"))
		require.ErrorIs(t, tx.Try(func() error {
			require.ErrorIs(t, tx.Try(func() error {
				require.NoError(t, tx.Set(id, storage.SetName, "inner"))
				return fails
			}), fails)
			require.Equal(t, "before", name(tx))
			require.NoError(t, tx.Set(id, storage.SetName, "outer"))
			require.ErrorIs(t, tx.Try(func() error { return fails }), fails)
			require.Equal(t, "outer", name(tx))
			require.NoError(t, tx.Try(func() error { return tx.Set(id, storage.SetName, "inner again") }))
			require.Equal(t, "inner again", name(tx))
			return fails
		}), fails)
		require.Equal(t, "before", name(tx))
		return nil
	}))
}

func TestTryTakesBackAnUndo(t *testing.T) {
	s := open(t, storage.Memory)
	id := found(t, s, "home")
	require.NoError(t, s.Do(context.Background(), func(tx *storage.Tx) error {
		_, err := tx.Record(storage.Entry{Household: id, Person: 1, Happened: noon, Written: noon, Kind: "house"})
		require.NoError(t, err)
		return tx.Set(id, storage.SetName, "Hollin Bank")
	}))
	require.NoError(t, s.Do(context.Background(), func(tx *storage.Tx) error {
		e, ok, err := tx.LastEntry(id, 1)
		require.NoError(t, err)
		require.True(t, ok)
		require.Error(t, tx.Try(func() error {
			require.NoError(t, tx.Undo(e, noon))
			return errors.New("no")
		}))
		h, err := tx.Household(id)
		require.NoError(t, err)
		require.Equal(t, "Hollin Bank", h.Name)
		_, ok, err = tx.LastEntry(id, 1)
		require.NoError(t, err)
		require.True(t, ok)
		return nil
	}))
}

func TestClaimTakesALineOnce(t *testing.T) {
	s := open(t, storage.Memory)
	a, b := found(t, s, "a"), found(t, s, "b")
	line := storage.Line{Transport: "test", Ext: "7", Name: "Maren", At: noon, Text: "rack"}
	require.NoError(t, s.Do(context.Background(), func(tx *storage.Tx) error {
		for _, c := range []struct {
			house int64
			fresh bool
		}{{a, true}, {a, false}, {b, true}} {
			_, fresh, err := tx.Claim(c.house, line)
			require.NoError(t, err)
			require.Equal(t, c.fresh, fresh)
		}
		return nil
	}))
}

// TestHouseholdsDoNotLeak keeps one household's records out of another's.
func TestHouseholdsDoNotLeak(t *testing.T) {
	s := open(t, storage.Memory)
	a, b := found(t, s, "a"), found(t, s, "b")
	require.NoError(t, s.Do(context.Background(), func(tx *storage.Tx) error {
		_, err := tx.Record(storage.Entry{Household: a, Happened: noon, Written: noon, Kind: "note", Text: "a secret", Person: 1})
		require.NoError(t, err)
		_, err = tx.AddBell(storage.Bell{Household: a, Title: "feed", Whom: "keepers", Next: noon, Made: noon})
		require.NoError(t, err)
		_, err = tx.AddBatch(storage.Batch{Household: a, Recipe: "{}", Poured: noon})
		require.NoError(t, err)
		require.NoError(t, tx.SaveRecipe(a, storage.Recipe{Name: "Soup", Body: "1 onion"}))
		require.NoError(t, tx.Post(a, 0, storage.Message{At: noon, Kind: storage.KindNotice, Head: "hello"}))
		require.NoError(t, tx.SaveCard(a, "Maren", noon, "{}"))

		entries, err := tx.Book(b, storage.BookQuery{Limit: 10})
		require.NoError(t, err)
		require.Empty(t, entries)
		_, ok, err := tx.LastEntry(b, 0)
		require.NoError(t, err)
		require.False(t, ok)
		bells, err := tx.ComingBells(b)
		require.NoError(t, err)
		require.Empty(t, bells)
		_, ok, err = tx.BellNumbered(b, 1)
		require.NoError(t, err)
		require.False(t, ok)
		batches, err := tx.Batches(b)
		require.NoError(t, err)
		require.Empty(t, batches)
		recipes, err := tx.Recipes(b)
		require.NoError(t, err)
		require.Empty(t, recipes)
		unsent, err := tx.Unsent(b, storage.Which{}, 10)
		require.NoError(t, err)
		require.Empty(t, unsent)
		_, ok, err = tx.LastCard(b, "Maren", noon)
		require.NoError(t, err)
		require.False(t, ok)
		return nil
	}))
}

// TestUndoWaitsForWhatHangsOnIt refuses to take back an entry that a later one
// built on.
func TestUndoWaitsForWhatHangsOnIt(t *testing.T) {
	s := open(t, storage.Memory)
	id := found(t, s, "home")
	record := func(tx *storage.Tx, text string) storage.Entry {
		e := storage.Entry{Household: id, Happened: noon, Written: noon, Kind: "house", Text: text, Person: 1}
		var err error
		e.ID, err = tx.Record(e)
		require.NoError(t, err)
		return e
	}
	require.NoError(t, s.Do(context.Background(), func(tx *storage.Tx) error {
		first := record(tx, "first")
		require.NoError(t, tx.Set(id, storage.SetName, "One"))
		second := record(tx, "second")
		require.NoError(t, tx.Set(id, storage.SetName, "Two"))
		block, blocked, err := tx.Blocking(first)
		require.NoError(t, err)
		require.True(t, blocked)
		require.Equal(t, second.ID, block.ID)
		require.NoError(t, tx.Undo(second, noon))
		_, blocked, err = tx.Blocking(first)
		require.NoError(t, err)
		require.False(t, blocked)
		require.NoError(t, tx.Undo(first, noon))
		h, err := tx.Household(id)
		require.NoError(t, err)
		require.Empty(t, h.Name)
		return nil
	}))
}

func TestAgeGrows(t *testing.T) {
	p := storage.Person{Age: 17, AgeOn: "2026-06-01"}
	require.True(t, p.Child(time.Date(2027, 5, 31, 0, 0, 0, 0, time.UTC)))
	require.False(t, p.Child(time.Date(2027, 6, 1, 0, 0, 0, 0, time.UTC)))
	require.False(t, storage.Person{}.Child(noon))
}
