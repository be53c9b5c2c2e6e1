package storage

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// BackupPlan is how a household wants its file copied.
type BackupPlan struct {
	Schedule string // see reminders.Parse; empty for not at all
	Folder   string // beside the household's file where it is no whole path
	Keep     int    // how many copies stay
	To       int64  // the keeper who also gets it in a chat of their own, 0 for none
}

// UsualKeep is how many copies stay when nobody says.
const UsualKeep = 7

// Backup writes a whole and consistent copy of the file, complete up to a commit. It
// reads through a connection of its own, so that lines go on being written meanwhile.
// The copy has its name only once it is whole.
func (s *Store) Backup(ctx context.Context, to string) (err error) {
	if exists(to) {
		return fmt.Errorf("%s: %w", to, ErrExists)
	}
	part := to + ".part"
	if err := os.RemoveAll(part); err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(fmt.Errorf("backup to %s: %w", to, err), os.RemoveAll(part))
		}
	}()
	if err := s.copyTo(ctx, part); err != nil {
		return err
	}
	if err := settle(part); err != nil {
		return err
	}
	return os.Rename(part, to)
}

func (s *Store) copyTo(ctx context.Context, to string) (err error) {
	if s.path == Memory { // there is only the one connection
		s.mu.Lock()
		defer s.mu.Unlock()
		_, err := s.conn.ExecContext(ctx, `VACUUM INTO ?`, to)
		return err
	}
	db, err := sql.Open("sqlite", "file:"+escapePath(s.path)+"?mode=ro&_busy_timeout=5000")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	_, err = db.ExecContext(ctx, `VACUUM INTO ?`, to)
	return err
}

// settle has a file written down to the disk, for nobody but its owner.
func settle(name string) (err error) {
	f, err := os.OpenFile(name, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	return errors.Join(f.Chmod(0o600), f.Sync())
}

// backupStamp is the time in the name of a copy, UTC.
const backupStamp = "20060102-150405"

// Copy makes a backup in a folder, named by the household's file and the time, and
// takes away the oldest of such names beyond keep. It returns the copy and its size.
func (s *Store) Copy(ctx context.Context, folder string, keep int, now time.Time) (file string, bytes int64, err error) {
	folder = s.Folder(folder)
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", 0, err
	}
	stem := s.stem()
	file = filepath.Join(folder, stem+"-"+now.UTC().Format(backupStamp)+backupEnd)
	if err := s.Backup(ctx, file); err != nil {
		return "", 0, err
	}
	info, err := os.Stat(file)
	if err != nil {
		return "", 0, err
	}
	return file, info.Size(), dropOld(folder, stem, keep)
}

// Folder returns where a folder is: beside the household's file where its path is no
// whole one.
func (s *Store) Folder(name string) string {
	if filepath.IsAbs(name) {
		return filepath.Clean(name)
	}
	return filepath.Join(filepath.Dir(s.path), name)
}

const backupEnd = ".backup"

// stem is what the names of copies begin with.
func (s *Store) stem() string {
	if s.path == Memory {
		return "memory"
	}
	return strings.TrimSuffix(filepath.Base(s.path), filepath.Ext(s.path))
}

// dropOld takes away the oldest copies of a file in a folder. A file of any other name
// is nobody's to take.
func dropOld(folder, stem string, keep int) error {
	all, err := os.ReadDir(folder)
	if err != nil {
		return err
	}
	var copies []string
	for _, f := range all {
		if f.Type().IsRegular() && isCopy(f.Name(), stem) {
			copies = append(copies, f.Name())
		}
	}
	slices.Sort(copies)
	for _, name := range copies[:max(len(copies)-max(keep, 1), 0)] {
		err = errors.Join(err, os.Remove(filepath.Join(folder, name)))
	}
	return err
}

func isCopy(name, stem string) bool {
	rest, ok := strings.CutPrefix(name, stem+"-")
	stamp, end := strings.CutSuffix(rest, backupEnd)
	_, err := time.Parse(backupStamp, stamp)
	return ok && end && err == nil
}

// ReadCopy reads a copy that is sent along. Nothing else is ever read so.
func ReadCopy(file string) ([]byte, error) {
	if filepath.Ext(file) != backupEnd {
		return nil, fmt.Errorf("%s is no backup", file)
	}
	return os.ReadFile(file)
}

// Backup is one time that a household's backup was due.
type Backup struct {
	Household int64
	At        time.Time
	File      string
	Bytes     int64
	Failed    string // why there is none, empty when it was made
}

// AddBackup notes a backup that was made or failed.
func (tx *Tx) AddBackup(b Backup) error {
	_, err := tx.Exec(`INSERT INTO backup (household, at, file, bytes, failed) VALUES (?, ?, ?, ?, ?)`, b.Household, b.At.Unix(), b.File, b.Bytes, b.Failed)
	return err
}

// LastBackup returns the newest; with made only one that was made.
func (tx *Tx) LastBackup(household int64, made bool) (Backup, bool, error) {
	return first(tx, func(r scanner) (Backup, error) {
		var b Backup
		var at int64
		err := r.Scan(&b.Household, &at, &b.File, &b.Bytes, &b.Failed)
		b.At = time.Unix(at, 0).UTC()
		return b, err
	}, `SELECT household, at, file, bytes, failed FROM backup WHERE household = ? AND (failed = '' OR NOT ?) ORDER BY id DESC LIMIT 1`, household, made)
}

// BackedUp returns the households that want backups.
func (tx *Tx) BackedUp() ([]int64, error) {
	return collect(tx, scanID, `SELECT household FROM setting WHERE key = ? AND value <> 'off' ORDER BY household`, SetBackup)
}
