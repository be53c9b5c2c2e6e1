package storage

import (
	"database/sql"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Entry is a line of the day book. Happened is when the thing was done, Written
// when it was told. Fixed entries cannot be taken back (roping off a room).
type Entry struct {
	ID        int64
	Household int64
	Inbox     int64
	Person    int64 // who it is about or who did it; 0 for the house itself
	TypedBy   int64 // who typed it, when somebody else
	Happened  time.Time
	Written   time.Time
	Kind      string // the ask that wrote it: "batch", "note"
	About     string // what it is tied to: "batch:3"
	Text      string
	Fixed     bool
	Undone    bool
}

// Record writes an entry. Every change of records from here to the next entry,
// or to the end of the ask, belongs to it and is taken back with it.
func (tx *Tx) Record(e Entry) (int64, error) {
	id, err := tx.Insert(`INSERT INTO entry (household, inbox, person, typed_by, happened, written, kind, about, text, fixed)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		e.Household, null(e.Inbox), null(e.Person), null(e.TypedBy), e.Happened.Unix(), e.Written.Unix(), e.Kind, e.About, e.Text, e.Fixed)
	if err != nil {
		return 0, err
	}
	if e.Fixed {
		return id, tx.endEntry()
	}
	e.ID = id
	tx.entry, tx.journaled = e, false
	return id, nil
}

// endEntry stops the journal.
func (tx *Tx) endEntry() error {
	told := tx.journaled
	tx.entry, tx.journaled = Entry{}, false
	if !told {
		return nil
	}
	return tx.store.exec(tx.ctx, `UPDATE writing SET household = NULL, entry = NULL`)
}

func null(id int64) sql.NullInt64 { return sql.NullInt64{Int64: id, Valid: id != 0} }

const entryColumns = `id, household, coalesce(inbox, 0), coalesce(person, 0), coalesce(typed_by, 0), happened, written, kind, about, text, fixed, undone IS NOT NULL`

func scanEntry(r scanner) (Entry, error) {
	var e Entry
	var happened, written int64
	err := r.Scan(&e.ID, &e.Household, &e.Inbox, &e.Person, &e.TypedBy, &happened, &written, &e.Kind, &e.About, &e.Text, &e.Fixed, &e.Undone)
	e.Happened, e.Written = time.Unix(happened, 0).UTC(), time.Unix(written, 0).UTC()
	return e, err
}

// BookQuery narrows the day book. Zero fields do not narrow. Words must all
// occur in the text, in any case.
type BookQuery struct {
	Person   int64
	About    string
	From, To time.Time
	Words    []string
	Limit    int
}

// Book returns entries that still stand, newest first.
func (tx *Tx) Book(household int64, q BookQuery) ([]Entry, error) {
	where, args := []string{"household = ?", "undone IS NULL"}, []any{household}
	add := func(cond string, arg ...any) { where, args = append(where, cond), append(args, arg...) }
	if q.Person != 0 {
		add("(person = ? OR typed_by = ?)", q.Person, q.Person)
	}
	if q.About != "" {
		add("about = ?", q.About)
	}
	if !q.From.IsZero() {
		add("happened >= ?", q.From.Unix())
	}
	if !q.To.IsZero() {
		add("happened < ?", q.To.Unix())
	}
	for _, w := range q.Words {
		add("instr(lower(text), ?) > 0", strings.ToLower(w))
	}
	query := fmt.Sprintf(`SELECT %s FROM entry WHERE %s ORDER BY happened DESC, id DESC LIMIT %d`,
		entryColumns, strings.Join(where, " AND "), q.Limit)
	return collect(tx, scanEntry, query, args...)
}

// LastEntry returns the newest entry that can be taken back and that the person
// wrote, or that anybody wrote when person is 0.
func (tx *Tx) LastEntry(household, person int64) (Entry, bool, error) {
	if person == 0 {
		return first(tx, scanEntry, `SELECT `+entryColumns+` FROM entry WHERE household = ? AND undone IS NULL AND NOT fixed
			AND (person IS NOT NULL OR typed_by IS NOT NULL) ORDER BY id DESC LIMIT 1`, household)
	}
	return first(tx, scanEntry, `SELECT `+entryColumns+` FROM entry WHERE household = ? AND undone IS NULL AND NOT fixed
		AND coalesce(typed_by, person) = ? ORDER BY id DESC LIMIT 1`, household, person)
}

// LastRope returns the newest entry about a closed room that a person wrote.
func (tx *Tx) LastRope(household, person int64) (Entry, bool, error) {
	return first(tx, scanEntry, `SELECT `+entryColumns+` FROM entry WHERE household = ? AND kind = 'rope' AND coalesce(typed_by, person) = ?
		ORDER BY id DESC LIMIT 1`, household, person)
}

// Blocking returns a later entry that changed a row which this one changed too,
// or that is about the same thing: it has to be taken back first.
func (tx *Tx) Blocking(e Entry) (Entry, bool, error) {
	return first(tx, scanEntry, `SELECT `+entryColumns+` FROM entry WHERE household = ? AND undone IS NULL AND NOT fixed AND id > ?
		AND ((about = ? AND about <> '' AND kind <> 'note') OR id IN (
			SELECT later.entry FROM change mine JOIN change later ON later.tbl = mine.tbl AND later.row = mine.row
			WHERE mine.entry = ? AND later.entry > mine.entry))
		ORDER BY id DESC LIMIT 1`, e.Household, e.ID, e.About, e.ID)
}

// Undo takes back every change of an entry, newest first, and marks it.
func (tx *Tx) Undo(e Entry, now time.Time) error {
	if err := tx.endEntry(); err != nil {
		return err
	}
	scan := func(r scanner) (string, error) {
		var q string
		return q, r.Scan(&q)
	}
	steps, err := collect(tx, scan, `SELECT undo FROM change WHERE entry = ? ORDER BY id DESC`, e.ID)
	if err != nil {
		return err
	}
	if err := tx.toWrite(); err != nil {
		return err
	}
	for _, q := range steps {
		// Not prepared and kept: every one is different.
		if _, err := tx.store.conn.ExecContext(tx.ctx, q); err != nil {
			return fmt.Errorf("undo entry %d: %w", e.ID, err)
		}
	}
	if err := tx.putBack(e, now); err != nil {
		return err
	}
	_, err = tx.Exec(`UPDATE entry SET undone = ? WHERE id = ?`, now.Unix(), e.ID)
	return err
}

// Journaled lists the tables whose changes an entry can take back.
func Journaled() []string { return slices.Clone(journaled) }

// Dump returns all rows of a table as text, in order, for comparing two states.
func (tx *Tx) Dump(table string) ([]string, error) {
	rows, err := tx.store.conn.QueryContext(tx.ctx, "SELECT * FROM "+table+" ORDER BY id")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	cols, err := rows.Columns()
	if err != nil {
		return nil, err
	}
	var out []string
	for rows.Next() {
		values, refs := make([]sql.NullString, len(cols)), make([]any, len(cols))
		for i := range values {
			refs[i] = &values[i]
		}
		if err := rows.Scan(refs...); err != nil {
			return nil, err
		}
		out = append(out, fmt.Sprint(values))
	}
	return out, rows.Err()
}
