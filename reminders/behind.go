package reminders

import (
	"time"

	"yardbell/storage"
)

// RestOfDay parts the bells that fall due in what is left of today into those
// that move when the day runs behind and those that stay: what is firm (food
// safety, dough that rises already, medicine, safety bells), what counts elapsed
// hours, and what would move into hours in which it is held back.
func (h House) RestOfDay(bells []storage.Bell, by time.Duration, now time.Time) (moves, stays []storage.Bell) {
	midnight := Instant(Day(Wall(now, h.Zone)).AddDate(0, 0, 1), h.Zone)
	for _, b := range bells {
		switch {
		case !b.Next.After(now) || !b.Next.Before(midnight):
		case b.Firm || b.Safety || b.Elapsed, h.hold(b, Expand(b.Whom, h.People, now), b.Next.Add(by)).After(b.Next.Add(by)):
			stays = append(stays, b)
		default:
			moves = append(moves, b)
		}
	}
	return moves, stays
}
