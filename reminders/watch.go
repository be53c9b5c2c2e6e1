package reminders

import (
	"fmt"
	"time"

	"yardbell/storage"
)

// Watch is what a household's clock brings besides bells: its day is told in the morning
// and looked back on in the evening. It has to move the household's watch on
// (storage.Tx.SetWatch).
type Watch func(tx *storage.Tx, household int64, now time.Time) error

// nextWatch is the earlier of an instant and the next watch of a household, where there are
// any.
func nextWatch(tx *storage.Tx, next time.Time, watches []Watch) (time.Time, error) {
	if len(watches) == 0 {
		return next, nil
	}
	_, at, ok, err := tx.NextWatch()
	if err != nil || !ok || !next.IsZero() && next.Before(at) {
		return next, err
	}
	return at, nil
}

// keepWatches keeps every household's watch that is due. One that is kept and still due would
// be kept for ever: then it is moved on by a day.
func keepWatches(tx *storage.Tx, now time.Time, watches []Watch) error {
	for len(watches) > 0 {
		household, at, ok, err := tx.NextWatch()
		if err != nil || !ok || at.After(now) {
			return err
		}
		for _, watch := range watches {
			if err := watch(tx, household, now); err != nil {
				return fmt.Errorf("watch of household %d: %w", household, err)
			}
		}
		again, next, ok, err := tx.NextWatch()
		if err != nil {
			return err
		}
		if ok && again == household && !next.After(now) {
			if err := tx.SetWatch(household, now.Add(24*time.Hour)); err != nil {
				return err
			}
		}
	}
	return nil
}
