package reminders

import (
	"time"

	"yardbell/storage"
)

// Reseat keeps an undo from ringing a second time: a bell that stands again
// where it stood before, but has rung since, goes on after now.
func Reseat(tx *storage.Tx, h House, bells []storage.Bell, now time.Time) error {
	for _, b := range bells {
		last, rung, err := tx.LastRing(b.ID)
		if err != nil {
			return err
		}
		if !rung || b.Next.IsZero() || b.Next.After(now) || last.Due.Before(b.Next) {
			continue
		}
		_, next, _, err := h.Advance(b, now)
		if err != nil {
			return err
		}
		b.Next, b.Due = next, last.Due
		if err := tx.SaveBell(b); err != nil {
			return err
		}
	}
	return nil
}

// RingsForSafety reports the bell among some whose safety ring is open and said.
func RingsForSafety(tx *storage.Tx, bells []storage.Bell) (storage.Bell, bool, error) {
	for _, b := range bells {
		open, err := tx.RingsOf(b.ID)
		if err != nil {
			return b, false, err
		}
		if b.Safety && len(open) > 0 && !open[len(open)-1].LastSaid.Equal(time.Time{}) {
			return b, true, nil
		}
	}
	return storage.Bell{}, false, nil
}
