package reminders

import (
	"time"

	"yardbell/storage"
)

// Waiting counts the open rings of somebody that are not said yet: those that
// come now, and those that something holds back beyond it.
func Waiting(tx *storage.Tx, h House, who storage.Person, now time.Time) (comes, held int, err error) {
	open, err := tx.OpenRings(h.ID)
	if err != nil {
		return 0, 0, err
	}
	for _, g := range open {
		b, ok, err := tx.Bell(g.Bell)
		if err != nil {
			return 0, 0, err
		}
		if !ok || g.Held.IsZero() || g.Whom != People(who.ID) {
			continue
		}
		if h.callRing(b, g.Whom, g.Held, now).At.After(now) {
			held++
			continue
		}
		comes++
	}
	return comes, held, nil
}

// Reroute lets the open rings of somebody who has just become absent be looked
// at anew: what cannot wait goes to others at once.
func Reroute(tx *storage.Tx, h House, who storage.Person, now time.Time) error {
	open, err := tx.OpenRings(h.ID)
	if err != nil {
		return err
	}
	for _, g := range open {
		b, ok, err := tx.Bell(g.Bell)
		if err != nil {
			return err
		}
		if !ok || !has(Expand(g.Whom, h.People, now), who.ID) || !g.Wake.After(now) {
			continue
		}
		if c := h.Call(b, g.Whom, now); c.Whom == g.Whom && !c.At.After(now) {
			continue // others whom it is for are there
		}
		g.Wake = now
		if err := tx.SaveRing(g); err != nil {
			return err
		}
	}
	return nil
}
