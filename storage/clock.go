package storage

import "time"

// Clock is what the file knows of the machine's clock.
type Clock struct {
	Seen             time.Time // the latest instant that it has shown
	JumpFrom, JumpTo time.Time // the last time that it went on by more than an hour at once
}

// Clock returns what is known of the machine's clock; Seen is zero for a new file.
func (tx *Tx) Clock() (Clock, error) {
	var seen, from, to int64
	if _, err := tx.One(`SELECT seen, jump_from, jump_to FROM clock`, nil, &seen, &from, &to); err != nil {
		return Clock{}, err
	}
	return clockOf(seen, from, to), nil
}

func clockOf(seen, from, to int64) Clock {
	if seen == 0 {
		return Clock{}
	}
	return Clock{time.Unix(seen, 0).UTC(), time.Unix(from, 0).UTC(), time.Unix(to, 0).UTC()}
}

// SetClock writes down what the machine's clock shows.
func (tx *Tx) SetClock(c Clock) error {
	_, err := tx.Exec(`UPDATE clock SET seen = ?, jump_from = ?, jump_to = ?`, c.Seen.Unix(), c.JumpFrom.Unix(), c.JumpTo.Unix())
	return err
}

// RingsSince returns the rings of all households that were made, said, or given
// up at or after an instant.
func (tx *Tx) RingsSince(t time.Time) ([]Ring, error) {
	return collect(tx, scanRing, `SELECT `+ringColumns+` FROM ring WHERE fell >= ?1 OR last_said >= ?1 OR (answered >= ?1 AND answered_by IS NULL) ORDER BY id DESC`, t.Unix())
}

// DropRing takes a ring away as if it had never been made.
func (tx *Tx) DropRing(id int64) error {
	_, err := tx.Exec(`DELETE FROM ring WHERE id = ?`, id)
	return err
}
