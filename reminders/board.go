package reminders

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/storage"
)

// A board is what a group shows of the rings of one instant: one message, a line
// a person, edited in place as answers come in.

// Redraw posts the boards anew whose rings have changed since.
func Redraw(tx *storage.Tx, household int64, now time.Time) error {
	keys, err := tx.Redraw(household)
	if err != nil || len(keys) == 0 {
		return err
	}
	h, err := Load(tx, household, now)
	if err != nil {
		return err
	}
	return h.draw(tx, now, keys...)
}

func (t *tick) redraw() error {
	keys, err := t.tx.Redraw(t.ID)
	if err != nil {
		return err
	}
	return t.draw(t.tx, t.now, keys...)
}

// drawBoards posts the board of what this tick has said.
func (t *tick) drawBoards(key string) error { return t.draw(t.tx, t.now, key) }

func (h House) draw(tx *storage.Tx, now time.Time, keys ...string) error {
	for _, key := range keys {
		rings, err := tx.BoardRings(h.ID, key)
		if err != nil {
			return err
		}
		if len(rings) == 0 { // all of it was said again since, on a newer board
			continue
		}
		m, err := h.board(tx, rings, now)
		if err != nil {
			return err
		}
		m.Key = key
		if err := tx.Post(h.ID, 0, m); err != nil {
			return err
		}
	}
	return nil
}

func (h House) board(tx *storage.Tx, rings []storage.Ring, now time.Time) (storage.Message, error) {
	m := storage.Message{At: now, Kind: storage.KindBoard}
	items := map[string][]string{}
	var order []string
	child := false
	for _, g := range rings {
		b, ok, err := tx.Bell(g.Bell)
		if err != nil {
			return m, err
		}
		if !ok {
			continue
		}
		whom := SayWhom(g.Whom, h.People, now)
		child = child || g.Answer == "" && slices.ContainsFunc(Expand(g.Whom, h.People, now), func(p storage.Person) bool { return p.Child(now) })
		if len(items[whom]) == 0 {
			order = append(order, whom)
		}
		items[whom] = append(items[whom], fmt.Sprintf("%s (%d)%s", b.Title, g.Num, h.state(g, now)))
		if g.Answer == "" {
			m.Buttons = append(m.Buttons, ringButtons(b, g, boardLabel(len(rings), b))...)
		}
	}
	for _, whom := range order {
		m.Lines = append(m.Lines, upper(whom)+": "+list(items[whom]))
	}
	if text := StayOut(h.Roped); child && text != "" {
		m.Lines = append(m.Lines, upper(text)+".")
	}
	if len(m.Lines) > 0 {
		m.Head, m.Lines = m.Lines[0], m.Lines[1:]
	}
	return m, nil
}

func boardLabel(rings int, b storage.Bell) string {
	if rings == 1 {
		return ""
	}
	return ": " + b.Title
}

// state is what has become of a ring: ", done 07:41 by Lise".
func (h House) state(g storage.Ring, now time.Time) string {
	say := func(at time.Time) string { return SayTime(Wall(at, h.Zone), Wall(now, h.Zone), h.DayFirst) }
	by := ""
	for _, p := range h.People {
		if p.ID == g.AnsweredBy {
			by = " by " + p.Name
		}
	}
	switch {
	case g.Answer == "" && g.Said == 0 && g.Wake.After(now):
		return ", put off until " + say(g.Wake)
	case g.Answer == "":
		return ""
	}
	return ", " + strings.TrimSpace(AnswerWords[g.Answer]+" "+say(g.Answered)+by)
}

// AnswerWords says what became of a ring.
var AnswerWords = map[string]string{
	storage.AnswerDone: "done", storage.AnswerSkip: "skipped", storage.AnswerMissed: "missed", storage.AnswerStopped: "stopped",
	storage.AnswerMerged: "replaced by a later ring", storage.AnswerNone: "left unanswered",
}
