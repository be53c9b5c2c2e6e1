package reminders

import (
	"errors"
	"time"

	"yardbell/storage"
)

// Ahead makes the ring of a bell's next occurrence before it falls due, closed as
// answered: the thing was done ahead of its time, and is not rung for.
func Ahead(tx *storage.Tx, h House, b storage.Bell, by int64, now time.Time) (storage.Ring, error) {
	if b.Next.IsZero() {
		return storage.Ring{}, errors.New("the bell does not ring any more")
	}
	due := b.Next
	var next time.Time
	if b.Schedule != "" && b.Remain != 1 {
		s, err := h.Schedule(b)
		if err != nil {
			return storage.Ring{}, err
		}
		if next = s.Next(due); !b.Until.IsZero() && next.After(b.Until) {
			next = time.Time{}
		}
	}
	g := storage.Ring{Household: b.Household, Bell: b.ID, Due: due, Whom: h.turn(&b, due, now), Fell: now, Answer: storage.AnswerDone, Answered: now}
	g, err := tx.AddRing(g)
	if err != nil {
		return g, err
	}
	g.AnsweredBy = by
	if err := tx.SaveRing(g); err != nil {
		return g, err
	}
	if b.Remain > 0 {
		b.Remain--
	}
	b.Next, b.Due = next, due
	return g, tx.SaveBell(b)
}
