package storage

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
)

// Tx is one write transaction. Its methods return errors that are ours to log,
// never a person's to read.
type Tx struct {
	ctx   context.Context //nolint:containedctx // a Tx lives for one call of Do
	store *Store

	entry     Entry // whose changes are journaled, zero for none
	journaled bool  // the file has been told so

	attempts int // how many calls of Try are open
	marked   int // how many of those have their savepoint
	line     claimed
}

// Context returns the context of the transaction.
func (tx *Tx) Context() context.Context { return tx.ctx }

// ready compiles a statement that is run next, and makes ready for what it writes.
func (tx *Tx) ready(query string) (*statement, error) {
	st, err := tx.store.prepare(tx.ctx, query)
	if err != nil {
		return nil, err
	}
	if len(st.writes) > 0 {
		if err := tx.toWrite(); err != nil {
			return nil, err
		}
	}
	tx.store.kept.reads(st.reads)
	tx.store.kept.wrote(st.writes)
	return st, nil
}

// toWrite sets the savepoints of open attempts and tells the journal the entry: both wait
// until something is written, for many lines write nothing.
func (tx *Tx) toWrite() error {
	for ; tx.marked < tx.attempts; tx.marked++ {
		if err := tx.store.exec(tx.ctx, "SAVEPOINT attempt"); err != nil {
			return err
		}
	}
	if tx.entry.ID == 0 || tx.journaled {
		return nil
	}
	tx.journaled = true
	return tx.store.exec(tx.ctx, `UPDATE writing SET household = ?, entry = ?`, tx.entry.Household, tx.entry.ID)
}

// Exec runs a statement that changes rows.
func (tx *Tx) Exec(query string, args ...any) (sql.Result, error) {
	st, err := tx.ready(query)
	if err != nil {
		return nil, err
	}
	res, err := st.ExecContext(tx.ctx, args...)
	if err != nil {
		return nil, fmt.Errorf("%q: %w", query, err)
	}
	return res, nil
}

// Insert runs an INSERT and returns the new row's id.
func (tx *Tx) Insert(query string, args ...any) (int64, error) {
	res, err := tx.Exec(query, args...)
	if err != nil {
		return 0, err
	}
	return res.LastInsertId()
}

// One reads one row and reports whether there was one.
func (tx *Tx) One(query string, args []any, dest ...any) (bool, error) {
	st, err := tx.ready(query)
	if err != nil {
		return false, err
	}
	err = st.QueryRowContext(tx.ctx, args...).Scan(dest...)
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	if err != nil {
		return false, fmt.Errorf("%q: %w", query, err)
	}
	return true, nil
}

// scanner is a row of a result.
type scanner interface{ Scan(dest ...any) error }

// collect reads all rows of a query before anything else runs.
func collect[T any](tx *Tx, scan func(scanner) (T, error), query string, args ...any) ([]T, error) {
	st, err := tx.ready(query)
	if err != nil {
		return nil, err
	}
	rows, err := st.QueryContext(tx.ctx, args...)
	if err != nil {
		return nil, fmt.Errorf("%q: %w", query, err)
	}
	defer rows.Close()
	var out []T
	for rows.Next() {
		v, err := scan(rows)
		if err != nil {
			return nil, fmt.Errorf("%q: %w", query, err)
		}
		out = append(out, v)
	}
	return out, rows.Err()
}

// first returns the only row of a query, if there is one.
func first[T any](tx *Tx, scan func(scanner) (T, error), query string, args ...any) (T, bool, error) {
	rows, err := collect(tx, scan, query, args...)
	if err != nil || len(rows) == 0 {
		var zero T
		return zero, false, err
	}
	return rows[0], true, nil
}

// Try runs fn inside a savepoint: an error takes back what fn did and leaves
// the rest of the transaction as it was.
func (tx *Tx) Try(fn func() error) error {
	before := tx.store.kept.writes
	tx.attempts++
	err := fn()
	if endErr := tx.endEntry(); err == nil {
		err = endErr
	}
	tx.attempts--
	if tx.marked <= tx.attempts { // nothing was written
		return err
	}
	tx.marked--
	if err != nil {
		back := tx.store.exec(tx.ctx, "ROLLBACK TO attempt")
		tx.store.kept.tookBack(before)
		free := tx.store.exec(tx.ctx, "RELEASE attempt")
		return errors.Join(err, back, free)
	}
	return tx.store.exec(tx.ctx, "RELEASE attempt")
}
