package reminders

import (
	"encoding/json"
	"fmt"
	"time"

	"yardbell/storage"
)

const (
	// steady is how far the machine's clock may step back without anything having
	// to be set anew.
	steady = 2 * time.Minute
	// gap is how far it may go on at once without that being worth a note.
	gap = time.Hour
)

// turnedBack reports that the clock shows again a time that it had jumped over:
// the jump was wrong (a clock set wrong at boot, put right by the network), and
// what rang since was too early. A clock that is behind all that was seen, with
// no such jump, is itself the wrong one, and nothing is to be undone for it.
func turnedBack(c storage.Clock, now time.Time) bool {
	return now.Before(c.Seen.Add(-steady)) && now.After(c.JumpFrom) && now.Before(c.JumpTo)
}

// settleClock notes what the clock shows, and turns back what a wrong one did.
func settleClock(tx *storage.Tx, now time.Time) error {
	c, err := tx.Clock()
	if err != nil {
		return err
	}
	switch {
	case turnedBack(c, now):
		if err := turnBack(tx, c, now); err != nil {
			return err
		}
		return tx.SetClock(storage.Clock{Seen: now, JumpFrom: now, JumpTo: now})
	case !now.After(c.Seen):
		return nil
	case !c.Seen.IsZero() && now.Sub(c.Seen) > gap:
		c.JumpFrom, c.JumpTo = c.Seen, now
	}
	c.Seen = now
	return tx.SetClock(c)
}

// turnBack sets anew what rang, was said or was given up since the clock jumped.
// What people answered meanwhile stays answered.
func turnBack(tx *storage.Tx, c storage.Clock, now time.Time) error {
	rings, err := tx.RingsSince(c.JumpTo)
	if err != nil {
		return err
	}
	early := map[int64]int{}
	for _, g := range rings { // newest first, so that a bell ends as it was at first
		if g.AnsweredBy != 0 {
			continue
		}
		if g.Fell.Before(c.JumpTo) {
			err = reopen(tx, g, now)
		} else {
			early[g.Household]++
			err = unring(tx, g)
		}
		if err != nil {
			return fmt.Errorf("turn ring %d back: %w", g.ID, err)
		}
	}
	for house, n := range early {
		if err := tellTurned(tx, house, c, now, n); err != nil {
			return err
		}
	}
	return nil
}

// unring takes a ring away that was made too early and puts its bell back.
func unring(tx *storage.Tx, g storage.Ring) error {
	b, ok, err := tx.Bell(g.Bell)
	if err != nil || !ok || b.Stopped {
		return err
	}
	var was before
	if err := json.Unmarshal([]byte(g.Before), &was); err != nil {
		return fmt.Errorf("ring %d: %w", g.ID, err)
	}
	b.Next, b.Due, b.Remain, b.Turn = time.Unix(was.Next, 0).UTC(), time.Time{}, was.Remain, was.Turn
	if was.Due != 0 {
		b.Due = time.Unix(was.Due, 0).UTC()
	}
	if err := tx.DropRing(g.ID); err != nil {
		return err
	}
	return tx.SaveBell(b)
}

// reopen lets an earlier ring be said again that was said or closed too early.
func reopen(tx *storage.Tx, g storage.Ring, now time.Time) error {
	if g.Answer == storage.AnswerStopped {
		return nil
	}
	g.Answer, g.Answered, g.Wake = "", time.Time{}, now.Add(UsualLadder.Wait)
	return tx.SaveRing(g)
}

func tellTurned(tx *storage.Tx, house int64, c storage.Clock, now time.Time, n int) error {
	h, err := tx.Household(house)
	if err != nil {
		return err
	}
	wall := Wall(now, h.Zone)
	wrong := SayLong(Wall(c.Seen, h.Zone), wall, h.DayFirst)
	text := fmt.Sprintf("this machine's clock was wrong: it said %s. %s rang too early and will ring again at the right time", wrong, count(n, "bell"))
	if _, err := tx.Record(storage.Entry{Household: house, Happened: now, Written: now, Kind: "clock", Text: text, Fixed: true}); err != nil {
		return err
	}
	return tx.Post(house, 0, storage.Message{At: now, Kind: storage.KindNotice, Head: upper(text) + "."})
}
