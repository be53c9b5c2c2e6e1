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
func Resettle(tx *storage.Tx, was, is storage.Household, now time.Time) error {
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
	if was.Zone.String() == is.Zone.String() {
		return nil
	}
	return resettleOthers(tx, was, is, now)
}

// resettleOthers moves absences, and rings that people put off until a wall time.
func resettleOthers(tx *storage.Tx, was, is storage.Household, now time.Time) error {
	away, err := tx.Absences(is.ID, now)
	if err != nil {
		return err
	}
	move := func(t time.Time) time.Time {
		if !t.After(now) {
			return t
		}
		return Instant(Wall(t, was.Zone), is.Zone)
	}
	for _, a := range away {
		a.Since, a.Until = move(a.Since), move(a.Until)
		if err := tx.MoveAbsence(a); err != nil {
			return err
		}
	}
	open, err := tx.OpenRings(is.ID)
	if err != nil {
		return err
	}
	for _, g := range open {
		if g.Said > 0 || g.LastSaid.IsZero() || !g.Wake.After(now) {
			continue
		}
		g.Wake = later(move(g.Wake), now)
		if err := tx.SaveRing(g); err != nil {
			return err
		}
	}
	return nil
}

// moved is when a bell on the wall clock falls due next in the new household.
func moved(was, is storage.Household, b storage.Bell) time.Time {
	wall := Wall(b.Next, was.Zone)
	switch {
	case b.Daily && wall.Equal(AtMinutes(wall, was.Rounds[1])) && b.Schedule == "":
		return Instant(AtMinutes(wall, is.Rounds[1]), is.Zone)
	case b.Daily:
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
