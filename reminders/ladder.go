package reminders

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"yardbell/storage"
)

// SafetyAgain is the repeat of a safety bell, which never gives up.
const SafetyAgain = 10 * time.Minute

// Ladder is how a ring is said again while nobody answers: a few times after a
// wait, then in the household's rounds. The last rung is the morning round.
type Ladder struct {
	Wait  time.Duration
	Times int  // 0: in the rounds only
	Never bool // said once and not again
}

// UsualLadder is once more after twenty minutes.
var UsualLadder = Ladder{Wait: 20 * time.Minute, Times: 1}

// ParseLadder reads a stored ladder: "20 x1", "rounds", "never", or nothing for
// the usual one.
func ParseLadder(s string) Ladder {
	switch s {
	case "rounds":
		return Ladder{}
	case "never":
		return Ladder{Never: true}
	}
	wait, times, _ := strings.Cut(s, " x")
	minutes, err := strconv.Atoi(wait)
	n, err2 := strconv.Atoi(times)
	if err != nil || err2 != nil || minutes < 1 || n < 1 {
		return UsualLadder
	}
	return Ladder{Wait: time.Duration(minutes) * time.Minute, Times: n}
}

// String writes a ladder as it is stored.
func (l Ladder) String() string {
	switch {
	case l.Never:
		return "never"
	case l.Times == 0:
		return "rounds"
	}
	return fmt.Sprintf("%d x%d", int(l.Wait/time.Minute), l.Times)
}

// Say writes a ladder for people.
func (l Ladder) Say() string {
	switch {
	case l.Never:
		return "once only"
	case l.Times == 0:
		return "again in the rounds"
	case l.Times == 1:
		return "once more after " + SayDuration(l.Wait) + ", then in the rounds"
	}
	return fmt.Sprintf("every %s %d times, then in the rounds", SayDuration(l.Wait), l.Times)
}

// ladder returns a bell's own ladder, else the household's. What belongs to a
// day has no minutes to count.
func (h House) ladder(b storage.Bell) Ladder {
	own := b.Again
	if own == "" {
		own = h.Household.Again
	}
	l := ParseLadder(own)
	if b.Daily && own == "" {
		l.Times = 0
	}
	return l
}

// keepersFrom is the saying from which keepers hear of somebody else's ring: the
// first that comes in a round.
func (h House) keepersFrom(b storage.Bell) int {
	if b.Safety {
		return UsualLadder.Times + 2
	}
	if b.Daily {
		return max(h.ladder(b).Times+2, 3)
	}
	return h.ladder(b).Times + 2
}

// Again returns when an open ring is to be said next, after having been said for
// the nth time at now, and zero when it is not: a safety bell every ten minutes
// for ever, or, where it has a ladder of its own because its danger has an end (food
// that is too late to save), so many times and then in every round; the rest by its ladder, then in the next round and in the evening
// look, and from then on in the mornings.
func (h House) Again(b storage.Bell, said int, now time.Time) time.Time {
	l := h.ladder(b)
	switch {
	case b.Safety && (b.Again == "" || said <= l.Times):
		return now.Add(SafetyAgain)
	case b.Safety:
		return h.NextRound(now)
	case l.Never:
		return time.Time{}
	case said <= l.Times:
		return now.Add(l.Wait)
	case said <= l.Times+1, said == l.Times+2 && (b.Daily || h.eveningAhead(now)):
		return h.NextRound(now)
	}
	return h.NextMorning(now)
}

// eveningAhead reports whether the evening look of the same day is to come.
func (h House) eveningAhead(now time.Time) bool {
	return h.Evening >= 0 && Instant(AtMinutes(Day(Wall(now, h.Zone)), h.Evening), h.Zone).After(now)
}

// InEvening reports whether an instant is the household's evening look.
func (h House) InEvening(now time.Time) bool {
	w := Wall(now, h.Zone)
	return h.Evening >= 0 && storage.Minutes(w.Hour()*60+w.Minute()) == h.Evening
}

// NextRound returns the next round after an instant: morning, afternoon, or the
// evening look at what is left over.
func (h House) NextRound(now time.Time) time.Time {
	var first time.Time
	today := Day(Wall(now, h.Zone))
	for d := range 3 {
		for _, m := range []storage.Minutes{h.Rounds[0], h.Rounds[1], h.Evening} {
			at := Instant(AtMinutes(today.AddDate(0, 0, d), m), h.Zone)
			if m >= 0 && at.After(now) && (first.IsZero() || at.Before(first)) {
				first = at
			}
		}
	}
	return first
}

// NextMorning returns the next morning round after an instant.
func (h House) NextMorning(now time.Time) time.Time {
	today := Day(Wall(now, h.Zone))
	if at := h.RoundOn(today); at.After(now) {
		return at
	}
	return h.RoundOn(today.AddDate(0, 0, 1))
}

// RoundOn returns the morning round of a day.
func (h House) RoundOn(day time.Time) time.Time { return RoundOn(h.Household, day) }

// RoundOn returns the morning round of a day.
func RoundOn(h storage.Household, day time.Time) time.Time {
	return Instant(AtMinutes(Day(day), h.Rounds[0]), h.Zone)
}

// AtMinutes returns the wall time of a day that many minutes after midnight.
func AtMinutes(day time.Time, m storage.Minutes) time.Time {
	return time.Date(day.Year(), day.Month(), day.Day(), int(m)/60, int(m)%60, 0, 0, time.UTC)
}
