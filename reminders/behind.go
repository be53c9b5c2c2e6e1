package reminders

import (
	"time"

	"yardbell/storage"
)

// RestOfDay parts the bells that fall due in what is left of today into those
// that move when the day runs behind and those that stay: what is firm (food
// safety, dough that rises already, safety bells) and what counts elapsed hours.
func RestOfDay(h storage.Household, bells []storage.Bell, now time.Time) (moves, stays []storage.Bell) {
	midnight := Instant(Day(Wall(now, h.Zone)).AddDate(0, 0, 1), h.Zone)
	for _, b := range bells {
		switch {
		case !b.Next.After(now) || !b.Next.Before(midnight):
		case b.Firm || b.Safety || b.Elapsed:
			stays = append(stays, b)
		default:
			moves = append(moves, b)
		}
	}
	return moves, stays
}
