package storage

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"io/fs"
	"slices"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// OpenError says why a household file cannot be used and what to do.
type OpenError struct {
	Path   string
	Reason string
	Advice string
	Err    error
}

func (e *OpenError) Error() string {
	return fmt.Sprintf("the household file %s cannot be used: %s; %s", e.Path, e.Reason, e.Advice)
}

func (e *OpenError) Unwrap() error { return e.Err }

// errNewer is what migrate returns for a file of a later version.
var errNewer = errors.New("schema newer than the program")

func openError(path string, err error) error {
	var already *OpenError
	if errors.As(err, &already) {
		if already.Path == "" {
			already.Path = path
		}
		return already
	}
	e := &OpenError{Path: path, Err: err}
	var se *sqlite.Error
	switch {
	case errors.Is(err, errNewer):
		e.Reason, e.Advice = "it was written by a newer version of Yardbell", "install that version, or restore a backup made before"
	case errors.As(err, &se) && (se.Code()&0xff == sqlite3.SQLITE_NOTADB || se.Code()&0xff == sqlite3.SQLITE_CORRUPT):
		e.Reason, e.Advice = "it is damaged or is not a Yardbell file", "keep it, and bring back a backup with: yardbell restore FILE"
	case errors.As(err, &se) && (se.Code()&0xff == sqlite3.SQLITE_READONLY || se.Code()&0xff == sqlite3.SQLITE_CANTOPEN || se.Code()&0xff == sqlite3.SQLITE_PERM),
		errors.Is(err, fs.ErrPermission):
		e.Reason, e.Advice = "it cannot be opened for writing", "check who owns the file and its folder, or choose another place with --db"
	case errors.As(err, &se) && (se.Code()&0xff == sqlite3.SQLITE_BUSY || se.Code()&0xff == sqlite3.SQLITE_LOCKED):
		e.Reason, e.Advice = "another program is busy with it", "wait a moment and try again"
	case errors.As(err, &se) && se.Code()&0xff == sqlite3.SQLITE_FULL:
		e.Reason, e.Advice = "the disk is full", "make room and try again"
	default:
		e.Reason, e.Advice = err.Error(), "run: yardbell doctor"
	}
	return e
}

// Lasting reports an error that trying again cannot help, because it lies in what
// is written or in how it is read, and not in the file, the disk or the time given.
func Lasting(err error) bool {
	passing := []error{context.Canceled, context.DeadlineExceeded, sql.ErrConnDone, driver.ErrBadConn}
	if err == nil || slices.ContainsFunc(passing, func(p error) bool { return errors.Is(err, p) }) {
		return false
	}
	var se *sqlite.Error
	if !errors.As(err, &se) {
		return true
	}
	switch se.Code() & 0xff {
	case sqlite3.SQLITE_CONSTRAINT, sqlite3.SQLITE_MISMATCH, sqlite3.SQLITE_TOOBIG, sqlite3.SQLITE_RANGE:
		return true
	}
	return false
}
