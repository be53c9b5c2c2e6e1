package reminders

import (
	"time"

	"yardbell/storage"
)

// The ladder of an unanswered ring, and the repeat of a safety bell.
const (
	AgainAfter  = 20 * time.Minute
	SafetyAgain = 10 * time.Minute
	// KeepersFrom is the saying from which keepers hear of somebody else's ring.
	KeepersFrom = 3
	// MorningsFrom is the saying from which a ring comes back once a day only.
	MorningsFrom = 3
)

// Again returns when an open ring is to be said next, after having been said
// for the nth time at now: a safety bell every ten minutes for ever, a timed
// one after twenty minutes and then in the next round, a daily one in the next
// round; what has been said three times comes back in the morning rounds.
func Again(h storage.Household, b storage.Bell, said int, now time.Time) time.Time {
	switch {
	case b.Safety:
		return now.Add(SafetyAgain)
	case !b.Daily && said == 1:
		return now.Add(AgainAfter)
	case said >= MorningsFrom:
		return NextMorning(h, now)
	}
	return NextRound(h, now)
}

// NextRound returns the household's next morning or afternoon round after now.
func NextRound(h storage.Household, now time.Time) time.Time {
	wall := Wall(now, h.Zone)
	for d := range 3 {
		for _, m := range h.Rounds {
			if at := Instant(AtMinutes(Day(wall).AddDate(0, 0, d), m), h.Zone); at.After(now) {
				return at
			}
		}
	}
	return now.Add(24 * time.Hour)
}

// NextMorning returns the household's next morning round after now.
func NextMorning(h storage.Household, now time.Time) time.Time {
	today := Day(Wall(now, h.Zone))
	if at := RoundOn(h, today); at.After(now) {
		return at
	}
	return RoundOn(h, today.AddDate(0, 0, 1))
}

// RoundOn returns the morning round of a day.
func RoundOn(h storage.Household, day time.Time) time.Time {
	return Instant(AtMinutes(Day(day), h.Rounds[0]), h.Zone)
}

// AtMinutes returns the wall time of a day that many minutes after midnight.
func AtMinutes(day time.Time, m storage.Minutes) time.Time {
	return time.Date(day.Year(), day.Month(), day.Day(), int(m)/60, int(m)%60, 0, 0, time.UTC)
}

// Hold returns when a ring due now may be said: at once for a safety bell, else
// at the end of the quiet hours, and for children alone of the school hours.
func Hold(h storage.Household, b storage.Bell, to []storage.Person, now time.Time) time.Time {
	if b.Safety {
		return now
	}
	at := now
	for range 3 { // the end of one span may lie in another
		held := spanEnd(h.Quiet, h.Zone, at)
		if allChildren(to, now) {
			if end := spanEnd(h.School, h.Zone, held); end.After(held) {
				held = end
			}
		}
		if !held.After(at) {
			break
		}
		at = held
	}
	return at
}

func allChildren(to []storage.Person, now time.Time) bool {
	for _, p := range to {
		if !p.Child(now) {
			return false
		}
	}
	return len(to) > 0
}

// spanEnd returns the end of the span that t lies in, or t itself.
func spanEnd(s storage.Span, zone *time.Location, t time.Time) time.Time {
	if !s.On || s.From == s.To {
		return t
	}
	wall := Wall(t, zone)
	m := storage.Minutes(wall.Hour()*60 + wall.Minute())
	day := Day(wall)
	if s.Weekdays && (day.Weekday() == time.Saturday || day.Weekday() == time.Sunday) {
		return t
	}
	wraps := s.From > s.To
	switch {
	case !wraps && m >= s.From && m < s.To, wraps && m < s.To:
		return Instant(AtMinutes(day, s.To), zone)
	case wraps && m >= s.From:
		return Instant(AtMinutes(day.AddDate(0, 0, 1), s.To), zone)
	}
	return t
}
