// Package storage is the ground floor: the household's one SQLite file, its
// schema, and the records in it. It gives one write transaction at a time.
package storage

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"

	_ "modernc.org/sqlite" // the driver, without cgo
)

// Memory is the path of a database that is gone when closed.
const Memory = ":memory:"

// Store is an open household file. All work goes through one connection, so
// there is one writer and no lock to wait for inside the process.
type Store struct {
	path string
	db   *sql.DB
	conn *sql.Conn

	mu        sync.Mutex
	stmts     map[string]*statement
	compiling touched // by the statement that is compiled now
	kept      kept
}

// statement is a compiled statement.
type statement struct {
	*sql.Stmt
	touched
}

// Open opens the file, makes it when it is missing, and brings its schema up to
// date. Errors a person can act on are *OpenError.
func Open(ctx context.Context, path string) (*Store, error) {
	if path != Memory {
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			return nil, &OpenError{Path: path, Reason: "its folder cannot be made", Advice: "choose another place with --db", Err: err}
		}
	}
	db, err := sql.Open("sqlite", dsn(path))
	if err != nil {
		return nil, openError(path, err)
	}
	db.SetMaxOpenConns(1)
	s := &Store{path: path, db: db, stmts: map[string]*statement{}, kept: kept{values: map[any]*keptValue{}, last: map[string]uint64{}}}
	if err := s.start(ctx); err != nil {
		db.Close()
		return nil, openError(path, err)
	}
	return s, nil
}

// dsn turns every promise on for each new connection: WAL with a full sync of
// each commit, foreign keys, writes that take their lock at once.
func dsn(path string) string {
	const keys = "_busy_timeout=5000&_foreign_keys=on&_txlock=immediate&_dqs=0"
	if path == Memory {
		return "file::memory:?" + keys
	}
	return "file:" + escapePath(path) + "?_journal_mode=WAL&_synchronous=FULL&" + keys
}

// escapePath keeps the marks that an SQLite URI gives a meaning.
func escapePath(path string) string {
	out := make([]byte, 0, len(path))
	for i := 0; i < len(path); i++ {
		switch c := path[i]; c {
		case '?', '#', '%':
			out = fmt.Appendf(out, "%%%02X", c)
		default:
			out = append(out, c)
		}
	}
	return string(out)
}

func (s *Store) start(ctx context.Context) error {
	if err := migrate(ctx, s.db); err != nil {
		return err
	}
	conn, err := s.db.Conn(ctx)
	if err != nil {
		return err
	}
	s.conn = conn
	if err := s.watch(); err != nil {
		return err
	}
	if err := s.exec(ctx, "BEGIN IMMEDIATE"); err != nil { // a file that cannot be written is told now, not at the first line
		return err
	}
	return s.exec(ctx, "ROLLBACK")
}

// Path returns where the file is.
func (s *Store) Path() string { return s.path }

// Close writes everything back into the one file and lets go of it.
func (s *Store) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, st := range s.stmts {
		st.Close()
	}
	clear(s.stmts)
	return errors.Join(s.conn.Close(), s.db.Close())
}

// Do runs fn in one write transaction and commits it when fn returns nil.
// Transactions do not nest.
func (s *Store) Do(ctx context.Context, fn func(tx *Tx) error) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.exec(ctx, "BEGIN IMMEDIATE"); err != nil {
		return fmt.Errorf("begin: %w", err)
	}
	before := s.kept.writes
	done := false
	defer func() {
		if !done { // an error or a panic in fn
			_ = s.exec(context.WithoutCancel(ctx), "ROLLBACK")
			s.kept.tookBack(before)
		}
		s.retain()
	}()
	s.recall()
	tx := &Tx{ctx: ctx, store: s}
	if err := fn(tx); err != nil {
		return err
	}
	if err := tx.endEntry(); err != nil {
		return err
	}
	if err := s.exec(ctx, "COMMIT"); err != nil {
		return fmt.Errorf("commit: %w", err)
	}
	done = true
	return nil
}

func (s *Store) exec(ctx context.Context, query string, args ...any) error {
	st, err := s.prepare(ctx, query)
	if err != nil {
		return err
	}
	s.kept.wrote(st.writes)
	_, err = st.ExecContext(ctx, args...)
	return err
}

// prepare keeps each statement compiled; the set of queries is fixed.
func (s *Store) prepare(ctx context.Context, query string) (*statement, error) {
	if st := s.stmts[query]; st != nil {
		return st, nil
	}
	s.compiling = touched{}
	st, err := s.conn.PrepareContext(ctx, query)
	if err != nil {
		return nil, fmt.Errorf("prepare %q: %w", query, err)
	}
	s.stmts[query] = &statement{st, s.compiling.once()}
	return s.stmts[query], nil
}
