package storage

import (
	"context"
	"database/sql"
	"io/fs"
	"path/filepath"
	"testing"

	"github.com/pressly/goose/v3"
	"github.com/stretchr/testify/require"
)

// fromVersion opens a file that an earlier version of the schema has written.
func fromVersion(t *testing.T, version int64, rows ...string) *Store {
	t.Helper()
	ctx, path := context.Background(), filepath.Join(t.TempDir(), "house.db")
	db, err := sql.Open("sqlite", "file:"+path)
	require.NoError(t, err)
	dir, err := fs.Sub(migrationFiles, "migrations")
	require.NoError(t, err)
	p, err := goose.NewProvider(goose.DialectSQLite3, db, dir, goose.WithDisableGlobalRegistry(true))
	require.NoError(t, err)
	_, err = p.UpTo(ctx, version)
	require.NoError(t, err)
	for _, q := range rows {
		_, err := db.Exec(q)
		require.NoError(t, err, q)
	}
	require.NoError(t, db.Close())
	s, err := Open(ctx, path)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	return s
}

// TestNumbersFromBefore: what a file of an earlier version holds of boards and
// pressed buttons is kept, in the chat of its household.
func TestNumbersFromBefore(t *testing.T) {
	s := fromVersion(t, 6,
		`INSERT INTO household (id, chat, founded) VALUES (1, 'tg:-1', 0)`,
		`INSERT INTO shown (household, key, message) VALUES (1, 'rings 1', 7)`,
		`INSERT INTO inbox (household, transport, ext, name, at, text) VALUES (1, 'telegram', 'c:-1:7:0:done 2', 'Maren', 1, 'done 2')`,
		`INSERT INTO inbox (household, transport, ext, name, at, text) VALUES (1, 'telegram', 'm:-1:8:0:', 'Maren', 1, 'who')`,
	)
	require.NoError(t, s.Do(context.Background(), func(tx *Tx) error {
		message, ok, err := tx.Shown(1, "tg:-1", "rings 1")
		require.NoError(t, err)
		require.True(t, ok)
		require.Equal(t, 7, message)
		used, err := tx.UsedUp(1, "c:-1:7:0:done 2")
		require.True(t, used)
		return err
	}))
}
