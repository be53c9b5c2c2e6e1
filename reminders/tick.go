package reminders

import (
	"fmt"
	"strings"
	"time"

	"yardbell/storage"
)

// Usual lengths of time for which a ring still makes sense when late.
const (
	UsefulOnce  = 7 * 24 * time.Hour
	UsefulDaily = 14 * 24 * time.Hour
	UsefulEver  = 10 * 365 * 24 * time.Hour
)

// lateFrom is the delay from which a ring says how late it is.
const lateFrom = 5 * time.Minute

// batchOf bounds the work of one transaction; Tick is called again while it
// says that more is due.
const batchOf = 500

// Next returns when Tick has to run next, zero when nothing waits.
func Next(tx *storage.Tx) (time.Time, error) { return tx.NextWake() }

// Tick deals with everything that is due by now: each bell that fell due gets
// one ring (repeats that were missed collapse into the latest), rings are said
// or held back, and what makes no sense any more is written down as missed and
// told. It reports whether more is due than fits one transaction.
func Tick(tx *storage.Tx, now time.Time) (more bool, err error) {
	t := &tick{tx: tx, now: now, houses: map[int64]*house{}, late: map[int64]int{}}
	bells, err := tx.DueBells(now, batchOf)
	if err != nil {
		return false, err
	}
	for _, b := range bells {
		if err := t.fall(b); err != nil {
			return false, fmt.Errorf("bell %d of household %d: %w", b.Num, b.Household, err)
		}
	}
	rings, err := tx.WakingRings(now, batchOf)
	if err != nil {
		return false, err
	}
	for _, g := range rings {
		if err := t.wake(g); err != nil {
			return false, fmt.Errorf("ring %d of household %d: %w", g.Num, g.Household, err)
		}
	}
	return len(bells) == batchOf || len(rings) == batchOf, t.tellMissed()
}

type house struct {
	storage.Household
	people []storage.Person
	missed []string
}

type tick struct {
	tx     *storage.Tx
	now    time.Time
	houses map[int64]*house
	order  []int64
	late   map[int64]int // ring -> occurrences that collapsed into it
}

func (t *tick) house(id int64) (*house, error) {
	if h := t.houses[id]; h != nil {
		return h, nil
	}
	h, err := t.tx.Household(id)
	if err != nil {
		return nil, err
	}
	people, err := t.tx.People(id)
	if err != nil {
		return nil, err
	}
	t.houses[id] = &house{Household: h, people: people}
	t.order = append(t.order, id)
	return t.houses[id], nil
}

// fall makes the ring of a bell that fell due and moves the bell on.
func (t *tick) fall(b storage.Bell) error {
	h, err := t.house(b.Household)
	if err != nil {
		return err
	}
	due, next, passed, err := Advance(b, h.Zone, t.now)
	if err != nil {
		return err
	}
	remain := 0
	if b.Remain > 0 {
		remain = b.Remain - passed - 1
	}
	if err := t.mergeOpen(h, b); err != nil {
		return err
	}
	g := storage.Ring{Household: b.Household, Bell: b.ID, Due: due, Whom: b.Whom, Wake: t.now}
	if t.expired(b, due) {
		g.Wake, g.Answer, g.Answered = time.Time{}, storage.AnswerMissed, t.now
	}
	g, err = t.tx.AddRing(g)
	if err != nil {
		return err
	}
	t.late[g.ID] = passed
	if passed > 0 {
		if err := t.note(h, b, fmt.Sprintf("missed %s of %s before %s", count(passed, "ring"), b.Title, SayTime(Wall(due, h.Zone), Wall(t.now, h.Zone), h.DayFirst))); err != nil {
			return err
		}
	}
	if g.Answer == storage.AnswerMissed {
		if err := t.missed(h, b, due); err != nil {
			return err
		}
	}
	return t.tx.MoveBell(b.ID, next, due, remain)
}

// Advance returns, for a bell that is due by now, its latest occurrence, the
// next one after now (zero when there is none), and how many were passed over.
func Advance(b storage.Bell, zone *time.Location, now time.Time) (due, next time.Time, passed int, err error) {
	due = b.Next
	if b.Schedule == "" {
		return due, time.Time{}, 0, nil
	}
	s, err := Parse(b.Schedule, zone)
	if err != nil {
		return due, time.Time{}, 0, err
	}
	for {
		if b.Remain > 0 && passed+1 >= b.Remain {
			return due, time.Time{}, passed, nil
		}
		next = s.Next(due)
		if next.IsZero() || (!b.Until.IsZero() && next.After(b.Until)) {
			return due, time.Time{}, passed, nil
		}
		if next.After(now) {
			return due, next, passed, nil
		}
		due, passed = next, passed+1
	}
}

// mergeOpen closes earlier open rings of a repeating bell: the new one stands
// for them, and the day book says that nobody answered.
func (t *tick) mergeOpen(h *house, b storage.Bell) error {
	open, err := t.tx.RingsOf(b.ID)
	if err != nil {
		return err
	}
	for _, g := range open {
		g.Wake, g.Answer, g.Answered = time.Time{}, storage.AnswerMerged, t.now
		if err := t.tx.SaveRing(g); err != nil {
			return err
		}
		when := SayTime(Wall(g.Due, h.Zone), Wall(t.now, h.Zone), h.DayFirst)
		if err := t.note(h, b, fmt.Sprintf("unanswered: %s, due %s", b.Title, when)); err != nil {
			return err
		}
	}
	return nil
}

func (t *tick) expired(b storage.Bell, due time.Time) bool {
	return !b.Safety && t.now.Sub(due) > b.Useful
}

// wake says a ring, holds it back, or gives it up.
func (t *tick) wake(g storage.Ring) error {
	h, err := t.house(g.Household)
	if err != nil {
		return err
	}
	b, ok, err := t.tx.Bell(g.Bell)
	if err != nil || !ok {
		return err
	}
	if t.expired(b, g.Due) {
		g.Wake, g.Answer, g.Answered = time.Time{}, storage.AnswerMissed, t.now
		if err := t.tx.SaveRing(g); err != nil {
			return err
		}
		return t.missed(h, b, g.Due)
	}
	to := Expand(g.Whom, h.people, t.now)
	if at := Hold(h.Household, b, to, t.now); at.After(t.now) {
		g.Wake = at
		return t.tx.SaveRing(g)
	}
	g.Said++
	if g.Said >= KeepersFrom || len(to) == 0 {
		to = withKeepers(to, h.people)
	}
	for _, p := range to {
		if err := t.tx.Post(g.Household, 0, RingMessage(h.Household, b, g, p, t.late[g.ID], h.people, t.now)); err != nil {
			return err
		}
	}
	g.LastSaid = t.now
	g.Wake = Again(h.Household, b, g.Said, t.now)
	return t.tx.SaveRing(g)
}

func withKeepers(to, people []storage.Person) []storage.Person {
	have := map[int64]bool{}
	for _, p := range to {
		have[p.ID] = true
	}
	for _, p := range people {
		if p.Keeper && !p.Gone && !have[p.ID] {
			to = append(to, p)
		}
	}
	return to
}

// RingMessage is what one person is told when a ring is said.
func RingMessage(h storage.Household, b storage.Bell, g storage.Ring, to storage.Person, passed int, people []storage.Person, now time.Time) storage.Message {
	wallNow, due := Wall(now, h.Zone), Wall(g.Due, h.Zone)
	head := upper(b.Title)
	named := false
	for _, p := range Expand(g.Whom, people, now) {
		named = named || p.ID == to.ID
	}
	if !named {
		head = SayWhom(g.Whom, people, now) + " has not answered: " + b.Title
	}
	m := storage.Message{At: now, Kind: storage.KindRing, To: to.Name, Head: fmt.Sprintf("%s (%d)", head, g.Num)}
	if b.Hint != "" {
		m.Lines = append(m.Lines, b.Hint)
	}
	if g.Said > 1 {
		m.Lines = append(m.Lines, fmt.Sprintf("asked %d times, due %s", g.Said, SayTime(due, wallNow, h.DayFirst)))
	} else if late := now.Sub(g.Due); late >= lateFrom {
		m.Lines = append(m.Lines, fmt.Sprintf("late by %s: due %s", SayDuration(late), SayTime(due, wallNow, h.DayFirst)))
	}
	if passed > 0 {
		m.Lines = append(m.Lines, fmt.Sprintf("%s before this one were missed", count(passed, "ring")))
	}
	m.Buttons = ringButtons(b, g)
	return m
}

func ringButtons(b storage.Bell, g storage.Ring) []storage.Button {
	n := fmt.Sprint(g.Num)
	if strings.HasPrefix(b.Subject, "rope") {
		return []storage.Button{{Label: "All clear", Say: "allclear"}}
	}
	done := storage.Button{Label: "Done", Say: "done " + n}
	if b.Safety {
		return []storage.Button{done, {Label: "On it", Say: "onit " + n}}
	}
	return []storage.Button{done, {Label: "Later", Say: "later " + n + " 20 min"}, {Label: "Skip", Say: "skip " + n}}
}

func upper(s string) string {
	if s == "" {
		return s
	}
	r := []rune(s)
	return strings.ToUpper(string(r[0])) + string(r[1:])
}

// missed writes down a ring that makes no sense any more and keeps it to be
// told in one line.
func (t *tick) missed(h *house, b storage.Bell, due time.Time) error {
	when := SayTime(Wall(due, h.Zone), Wall(t.now, h.Zone), h.DayFirst)
	h.missed = append(h.missed, fmt.Sprintf("%s (%s, %s)", b.Title, SayWhom(b.Whom, h.people, t.now), when))
	return t.note(h, b, fmt.Sprintf("missed: %s, due %s", b.Title, when))
}

func (t *tick) note(h *house, b storage.Bell, text string) error {
	_, err := t.tx.Record(storage.Entry{
		Household: h.ID, Happened: t.now, Written: t.now, Kind: "missed", About: fmt.Sprintf("bell:%d", b.Num), Text: text, Fixed: true,
	})
	return err
}

// tellMissed posts one line a household about what was missed for good.
func (t *tick) tellMissed() error {
	for _, id := range t.order {
		h := t.houses[id]
		if len(h.missed) == 0 {
			continue
		}
		m := storage.Message{At: t.now, Kind: storage.KindNotice, Head: "Missed, and too late to ring: " + strings.Join(h.missed, "; ")}
		if err := t.tx.Post(id, 0, m); err != nil {
			return err
		}
	}
	return nil
}
