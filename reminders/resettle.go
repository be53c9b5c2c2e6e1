package reminders

import (
	"fmt"
	"strings"
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
		old := b
		if b.Elapsed {
			b.Schedule = restamped(b.Schedule, was.Zone, is.Zone)
		} else {
			b.Next = moved(was, is, b)
		}
		if !b.Until.IsZero() {
			b.Until = Instant(Wall(b.Until, was.Zone), is.Zone)
		}
		if b == old {
			continue
		}
		if err := tx.SaveBell(b); err != nil {
			return fmt.Errorf("bell %d: %w", b.Num, err)
		}
	}
	return nil
}

// moved is when a bell on the wall clock falls due next in the new household.
func moved(was, is storage.Household, b storage.Bell) time.Time {
	wall := Wall(b.Next, was.Zone)
	if b.Daily {
		return RoundOn(is, wall)
	}
	return Instant(wall, is.Zone)
}

// restamped writes the start of a schedule that counts hours on the clock of
// another zone, so that it stays the same instant.
func restamped(spec string, was, is *time.Location) string {
	kind, rest, _ := strings.Cut(spec, " ")
	start, step, _ := strings.Cut(rest, " ")
	at, err := time.Parse(stamp, start)
	if err != nil {
		return spec
	}
	return fmt.Sprintf("%s %s %s", kind, Wall(Instant(at, was), is).Format(stamp), step)
}
