package reminders

import (
	"fmt"
	"time"

	"yardbell/storage"
)

// Turn is what a household's clock brings besides bells: its day is told in the morning
// and looked back on in the evening. It has to move the household's turn on
// (storage.Tx.SetTurn).
type Turn func(tx *storage.Tx, household int64, now time.Time) error

// nextTurn is the earlier of an instant and the next turn of a household, where turns are
// taken at all.
func nextTurn(tx *storage.Tx, next time.Time, turns []Turn) (time.Time, error) {
	if len(turns) == 0 {
		return next, nil
	}
	_, at, ok, err := tx.NextTurn()
	if err != nil || !ok || !next.IsZero() && next.Before(at) {
		return next, err
	}
	return at, nil
}

// takeTurns lets every household's turn be taken that is due. A turn that is taken and
// still due would be taken for ever: then it is moved on by a day.
func takeTurns(tx *storage.Tx, now time.Time, turns []Turn) error {
	for len(turns) > 0 {
		household, at, ok, err := tx.NextTurn()
		if err != nil || !ok || at.After(now) {
			return err
		}
		for _, turn := range turns {
			if err := turn(tx, household, now); err != nil {
				return fmt.Errorf("turn of household %d: %w", household, err)
			}
		}
		again, next, ok, err := tx.NextTurn()
		if err != nil {
			return err
		}
		if ok && again == household && !next.After(now) {
			if err := tx.SetTurn(household, now.Add(24*time.Hour)); err != nil {
				return err
			}
		}
	}
	return nil
}
