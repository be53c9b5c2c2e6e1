package handlers

import (
	"fmt"
	"time"

	"yardbell/handlers/desk"
	"yardbell/reminders"
	"yardbell/storage"
)

// Watch lets the desks do what a household's clock brings besides bells, see
// reminders.Watch. Nobody has typed it: the house itself speaks.
func (r *Roster) Watch(tx *storage.Tx, household int64, now time.Time) error {
	h, err := tx.Household(household)
	if err != nil {
		return err
	}
	people, err := tx.People(household)
	if err != nil {
		return err
	}
	for _, d := range r.desks {
		if d.Watch == nil {
			continue
		}
		req := &desk.Request{Tx: tx, House: h, People: people, Now: now, Wall: reminders.Wall(now, h.Zone), Roster: r}
		if err := d.Watch(req); err != nil {
			return fmt.Errorf("%s: %w", d.Name, err)
		}
	}
	return nil
}
