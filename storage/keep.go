package storage

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"time"
)

// ErrExists is returned rather than writing over a file.
var ErrExists = errors.New("the file exists already")

// Restore puts a backup where the household file is. The file that was there is
// kept beside it; its new name is returned, empty when there was none.
func Restore(ctx context.Context, backup, path string, now time.Time) (kept string, err error) {
	if _, err := os.Stat(backup); err != nil {
		return "", &OpenError{Path: backup, Reason: "it cannot be read", Advice: "name the backup file", Err: err}
	}
	fresh := path + ".restoring"
	if err := os.RemoveAll(fresh); err != nil {
		return "", err
	}
	if err := copyWhole(ctx, backup, fresh); err != nil {
		return "", openError(backup, err)
	}
	if _, err := os.Stat(path); err == nil {
		if kept, err = setAside(ctx, path, now); err != nil {
			return "", err
		}
	}
	return kept, os.Rename(fresh, path)
}

// copyWhole checks a backup from end to end and copies it.
func copyWhole(ctx context.Context, from, to string) error {
	db, err := sql.Open("sqlite", "file:"+escapePath(from)+"?mode=ro&_busy_timeout=5000")
	if err != nil {
		return err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	v, err := schemaVersion(ctx, db)
	if err != nil {
		return err
	}
	want, err := latestMigration()
	if err != nil {
		return err
	}
	switch {
	case v == 0:
		return &OpenError{Path: from, Reason: "it holds no household", Advice: "name a backup made by: yardbell backup FILE"}
	case v > want:
		return errNewer
	}
	if err := check(ctx, db); err != nil {
		return err
	}
	_, err = db.ExecContext(ctx, `VACUUM INTO ?`, to)
	return err
}

// setAside folds the log of writes into the file and moves it out of the way.
func setAside(ctx context.Context, path string, now time.Time) (string, error) {
	if db, err := sql.Open("sqlite", dsn(path)); err == nil {
		_, _ = db.ExecContext(ctx, `PRAGMA wal_checkpoint(TRUNCATE)`) // a damaged file is kept as it is
		db.Close()
	}
	kept := path + ".before-" + now.UTC().Format("20060102-150405")
	for n := 2; exists(kept); n++ {
		kept = fmt.Sprintf("%s.before-%s-%d", path, now.UTC().Format("20060102-150405"), n)
	}
	for _, suffix := range []string{"", "-wal", "-shm"} {
		err := os.Rename(path+suffix, kept+suffix)
		if err != nil && (suffix == "" || !errors.Is(err, os.ErrNotExist)) {
			return "", err
		}
	}
	return kept, nil
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

func check(ctx context.Context, db *sql.DB) error {
	var verdict string
	if err := db.QueryRowContext(ctx, `PRAGMA integrity_check(1)`).Scan(&verdict); err != nil {
		return err
	}
	if verdict != "ok" {
		return &OpenError{Reason: "it is damaged (" + verdict + ")", Advice: "use an earlier backup"}
	}
	return nil
}

// Health is what doctor tells about a file.
type Health struct {
	Integrity string // "ok", or what SQLite found
	Schema    int64
	Bytes     int64
	Rows      map[string]int
	Waiting   int // messages not sent yet
	LastWeek  int // messages that people got in the seven days before now: no reactions, a group's board once
	SetAside  int // messages that the chat service refused for good
}

// Health looks the file over.
func (s *Store) Health(ctx context.Context, now time.Time) (Health, error) {
	h := Health{Rows: map[string]int{}}
	err := s.Do(ctx, func(tx *Tx) error {
		if _, err := tx.One(`PRAGMA integrity_check(1)`, nil, &h.Integrity); err != nil {
			return err
		}
		if _, err := tx.One(`SELECT max(version_id) FROM goose_db_version`, nil, &h.Schema); err != nil {
			return err
		}
		for _, t := range Tables() {
			var n int
			if _, err := tx.One("SELECT count(*) FROM "+t, nil, &n); err != nil {
				return err
			}
			h.Rows[t] = n
		}
		if _, err := tx.One(`SELECT count(*) FROM outbox WHERE sent IS NULL`, nil, &h.Waiting); err != nil {
			return err
		}
		if _, err := tx.One(`SELECT count(*) FROM outbox WHERE failed IS NOT NULL`, nil, &h.SetAside); err != nil {
			return err
		}
		_, err := tx.One(`SELECT count(*) FROM (SELECT DISTINCT o.household, CASE WHEN o.key = '' THEN o.id ELSE o.key END
			FROM outbox o JOIN household h ON h.id = o.household WHERE o.at > ? AND json_extract(o.body, '$.kind') <> CASE WHEN h.chat LIKE 'tg:%' THEN 'ring' ELSE 'board' END
			AND NOT (h.chat LIKE 'tg:%' AND coalesce(json_extract(o.body, '$.quiet'), 0)))`, []any{now.AddDate(0, 0, -7).Unix()}, &h.LastWeek)
		return err
	})
	if err != nil {
		return h, err
	}
	if s.path != Memory {
		if info, err := os.Stat(s.path); err == nil {
			h.Bytes = info.Size()
		}
	}
	return h, nil
}
