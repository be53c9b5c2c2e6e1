package reminders

import (
	"fmt"
	"time"

	"yardbell/storage"
)

// Resettle moves a household's bells after it has changed its zone or its
// rounds: what stands on the wall clock keeps its wall time, what belongs to a
// day is told in the new round, and what is counted in hours stays where it is.
func Resettle(tx *storage.Tx, was, is storage.Household) error {
	bells, err := tx.ComingBells(is.ID)
	if err != nil {
		return err
	}
	for _, b := range bells {
		if b.Elapsed {
			continue
		}
		next, until := b.Next, b.Until
		b.Next = moved(was, is, b)
		if !b.Until.IsZero() {
			b.Until = Instant(Wall(b.Until, was.Zone), is.Zone)
		}
		if b.Next.Equal(next) && b.Until.Equal(until) {
			continue
		}
		if err := tx.SaveBell(b); err != nil {
			return fmt.Errorf("bell %d: %w", b.Num, err)
		}
	}
	return nil
}

func moved(was, is storage.Household, b storage.Bell) time.Time {
	wall := Wall(b.Next, was.Zone)
	if b.Daily {
		return RoundOn(is, wall)
	}
	return Instant(wall, is.Zone)
}
