package storage

import (
	"database/sql"
	"time"
)

// Kinds of absence.
const (
	Away = "away"
	Ill  = "ill"
	Late = "late" // out, and home at a told time
)

// Absence is a time in which somebody is not to be rung.
type Absence struct {
	ID        int64
	Household int64
	Person    int64
	Kind      string
	Since     time.Time
	Until     time.Time // zero until the person is said to be back
	StandIn   int64     // who answers meanwhile, 0 when nobody was named
	Endless   bool      // told without an end
}

// Covers reports whether the absence holds at an instant.
func (a Absence) Covers(t time.Time) bool {
	return !t.Before(a.Since) && (a.Until.IsZero() || t.Before(a.Until))
}

// AddAbsence writes an absence down.
func (tx *Tx) AddAbsence(a Absence) error {
	_, err := tx.Exec(`INSERT INTO absence (household, person, kind, since, until, stand_in) VALUES (?, ?, ?, ?, ?, ?)`,
		a.Household, a.Person, a.Kind, a.Since.Unix(), nullTime(a.Until), null(a.StandIn))
	return err
}

// MoveAbsence gives an absence other ends.
func (tx *Tx) MoveAbsence(a Absence) error {
	_, err := tx.Exec(`UPDATE absence SET since = ?, until = ? WHERE id = ?`, a.Since.Unix(), nullTime(a.Until), a.ID)
	return err
}

// EndAbsence ends an absence at an instant; one that had not begun is dropped.
func (tx *Tx) EndAbsence(a Absence, at time.Time) error {
	if !at.After(a.Since) {
		_, err := tx.Exec(`DELETE FROM absence WHERE id = ?`, a.ID)
		return err
	}
	_, err := tx.Exec(`UPDATE absence SET until = ? WHERE id = ?`, at.Unix(), a.ID)
	return err
}

// Absences returns a household's absences that are not over at an instant, those
// to come too.
func (tx *Tx) Absences(household int64, now time.Time) ([]Absence, error) {
	return collect(tx, func(r scanner) (Absence, error) {
		var a Absence
		var since int64
		var until sql.NullInt64
		err := r.Scan(&a.ID, &a.Household, &a.Person, &a.Kind, &since, &until, &a.StandIn)
		a.Since, a.Until, a.Endless = time.Unix(since, 0).UTC(), instant(until), !until.Valid
		return a, err
	}, `SELECT id, household, person, kind, since, until, coalesce(stand_in, 0) FROM absence WHERE household = ? AND (until IS NULL OR until > ?) ORDER BY id`,
		household, now.Unix())
}
