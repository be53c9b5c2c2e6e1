package reminders

import (
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"yardbell/storage"
)

// Usual lengths of time for which a ring still makes sense when late.
const (
	UsefulOnce  = 7 * 24 * time.Hour
	UsefulDaily = 14 * 24 * time.Hour
	UsefulEver  = 10 * 365 * 24 * time.Hour
)

// batchOf bounds the work of one transaction; Tick is called again while it
// says that more is due.
const batchOf = 500

// together is how far apart the rings of one person may be and still be one
// message: the later is said along with the earlier.
const together = time.Minute - time.Second

// Next returns when Tick has to run next, zero when nothing waits. Where the
// machine's clock was found to have been wrong, that is at once.
func Next(tx *storage.Tx, now time.Time, watches ...Watch) (time.Time, error) {
	next, c, err := tx.NextWake()
	if err == nil && turnedBack(c, now) {
		return now, nil
	}
	if err != nil {
		return next, err
	}
	return nextWatch(tx, next, watches)
}

// Tick deals with everything that is due by now: each bell that fell due gets
// one ring (repeats that were missed collapse into the latest), rings are said
// or held back, and what makes no sense any more is written down as missed and
// told. What it queues and what it marks as rung is one transaction. It reports
// whether more is due than fits one transaction. Watches that are due are kept last.
func Tick(tx *storage.Tx, now time.Time, watches ...Watch) (more bool, err error) {
	if err := settleClock(tx, now); err != nil {
		return false, fmt.Errorf("clock: %w", err)
	}
	for rung := 0; rung < batchOf; {
		id, due, err := tx.DueHousehold(now)
		if err != nil {
			return false, err
		}
		if !due {
			return false, keepWatches(tx, now, watches)
		}
		n, err := tickHouse(tx, id, now)
		if err != nil {
			return false, fmt.Errorf("household %d: %w", id, err)
		}
		rung += n + 1
	}
	return true, nil
}

// tick is the work on one household at one instant.
type tick struct {
	House
	tx     *storage.Tx
	now    time.Time
	passed map[int64]int // ring -> occurrences that collapsed into it
	say    []saying
	missed []string
	rung   int
}

// saying is a ring that is going to be said.
type saying struct {
	ring   storage.Ring
	bell   storage.Bell
	to     []storage.Person
	passed int
	waited string // that a room was roped off for it until now; empty when none was
}

func tickHouse(tx *storage.Tx, id int64, now time.Time) (int, error) {
	h, err := Load(tx, id, now)
	if err != nil {
		return 0, err
	}
	t := &tick{House: h, tx: tx, now: now, passed: map[int64]int{}}
	if err := tx.Unstir(id, now); err != nil {
		return 0, err
	}
	if err := t.ringUp(time.Time{}, now); err != nil {
		return 0, err
	}
	if len(t.say) > 0 {
		if err := t.ringUp(now, now.Add(together)); err != nil {
			return 0, err
		}
	}
	if err := t.tell(); err != nil {
		return 0, err
	}
	if err := t.redraw(); err != nil {
		return 0, err
	}
	return t.rung, t.tellMissed()
}

// ringUp makes the rings of bells that fall due in a span and wakes those that
// wait in it. A span after now is looked at for what can be said along with what
// is said now.
func (t *tick) ringUp(after, by time.Time) error {
	early := after.Equal(t.now)
	bells, err := t.tx.DueBells(t.ID, after, by)
	if err != nil {
		return err
	}
	for _, b := range bells {
		if early && (b.Safety || !t.joins(b.Whom)) {
			continue
		}
		g, err := t.fall(b)
		if err == nil && early && g.Answer == "" && !g.Wake.After(t.now) {
			err = t.wake(g)
		}
		if err != nil {
			return fmt.Errorf("bell %d: %w", b.Num, err)
		}
	}
	rings, err := t.tx.WakingRings(t.ID, after, by)
	if err != nil {
		return err
	}
	for _, g := range rings {
		if early && !t.joins(g.Whom) {
			continue
		}
		if err := t.wake(g); err != nil {
			return fmt.Errorf("ring %d: %w", g.Num, err)
		}
	}
	return nil
}

// joins reports whether somebody of a whom gets a message in this tick anyway.
func (t *tick) joins(whom string) bool {
	if OneOf(whom) {
		return false
	}
	return slices.ContainsFunc(Expand(whom, t.People, t.now), func(p storage.Person) bool {
		return slices.ContainsFunc(t.say, func(s saying) bool { return has(s.to, p.ID) })
	})
}

// before is a bell as it was before it fell due, to turn a wrong clock back.
type before struct {
	Next   int64 `json:"next"`
	Due    int64 `json:"due,omitempty"`
	Remain int   `json:"remain,omitempty"`
	Turn   int64 `json:"turn,omitempty"`
}

// fall makes the ring of a bell that fell due and moves the bell on.
func (t *tick) fall(b storage.Bell) (g storage.Ring, err error) {
	t.rung++
	due, next, passed, err := t.Advance(b, t.now)
	if err != nil { // one bell that cannot be read must not silence the others
		return g, t.setAside(b, err)
	}
	was := before{Next: b.Next.Unix(), Remain: b.Remain, Turn: b.Turn}
	if !b.Due.IsZero() {
		was.Due = b.Due.Unix()
	}
	memory, err := json.Marshal(was)
	if err != nil {
		return g, err
	}
	if err := t.mergeOpen(b); err != nil {
		return g, err
	}
	g = storage.Ring{Household: b.Household, Bell: b.ID, Due: due, Whom: b.Whom, Wake: t.now, Fell: t.now, Before: string(memory)}
	if b.Rest.Has(Day(Wall(due, t.Zone))) {
		return g, t.rest(g, b, next)
	}
	g.Whom = t.turn(&b, due, t.now)
	if late := t.behind(b, due); late.After(t.now) {
		g.Wake = late
	}
	if t.expired(b, due) {
		g.Wake, g.Answer, g.Answered = time.Time{}, storage.AnswerMissed, t.now
	}
	if g, err = t.tx.AddRing(g); err != nil {
		return g, err
	}
	t.passed[g.ID] = passed
	if passed > 0 {
		if err := t.note(b, fmt.Sprintf("missed %s of %s before %s", count(passed, "ring"), b.Title, t.sayTime(due))); err != nil {
			return g, err
		}
	}
	if g.Answer == storage.AnswerMissed {
		if err := t.miss(b, due); err != nil {
			return g, err
		}
	}
	if b.Remain > 0 {
		b.Remain -= passed + 1
	}
	b.Next, b.Due = next, due
	return g, t.tx.SaveBell(b)
}

// rest closes a ring of a day on which its bell does not ring: nobody's turn.
func (t *tick) rest(g storage.Ring, b storage.Bell, next time.Time) error {
	g.Wake, g.Answer, g.Answered = time.Time{}, storage.AnswerSkip, t.now
	if _, err := t.tx.AddRing(g); err != nil {
		return err
	}
	if b.Remain > 0 {
		b.Remain--
	}
	b.Next, b.Due = next, g.Due
	return t.tx.SaveBell(b)
}

// Advance returns, for a bell that is due by now, its latest occurrence, the
// next one after now (zero when there is none), and how many were passed over.
func (h House) Advance(b storage.Bell, now time.Time) (due, next time.Time, passed int, err error) {
	due = b.Next
	if b.Schedule == "" {
		return due, time.Time{}, 0, nil
	}
	s, err := h.Schedule(b)
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

// setAside stops a bell whose schedule cannot be read, and says so.
func (t *tick) setAside(b storage.Bell, why error) error {
	if err := t.tx.StopBell(b.ID, t.now); err != nil {
		return err
	}
	if err := t.note(b, fmt.Sprintf("stopped the bell %s: %v", b.Title, why)); err != nil {
		return err
	}
	return t.tx.Post(t.ID, 0, storage.Message{
		At: t.now, Kind: storage.KindNotice, Head: fmt.Sprintf("Bell %d, %s, cannot be read any more and has been stopped. Set it anew.", b.Num, b.Title),
	})
}

// mergeOpen closes earlier open rings of a repeating bell: the new one stands
// for them, and the day book says that nobody answered.
func (t *tick) mergeOpen(b storage.Bell) error {
	open, err := t.tx.RingsOf(b.ID)
	if err != nil {
		return err
	}
	for _, g := range open {
		if g.Said == 0 && g.LastSaid.IsZero() && g.Held.IsZero() && !g.Wake.After(t.now) {
			continue // moved to now by a day that runs late: it is about to be said
		}
		g.Wake, g.Answer, g.Answered = time.Time{}, storage.AnswerMerged, t.now
		if err := t.tx.SaveRing(g); err != nil {
			return err
		}
		word := "unanswered"
		if g.Said == 0 && g.LastSaid.IsZero() {
			word = "held back until the next"
		}
		if err := t.note(b, fmt.Sprintf("%s: %s, due %s", word, b.Title, t.sayTime(g.Due))); err != nil {
			return err
		}
	}
	return nil
}

// expired reports that what fell due makes no sense any more. A safety bell always does,
// unless it has a ladder of its own, because its danger has an end.
func (t *tick) expired(b storage.Bell, due time.Time) bool {
	return (!b.Safety || b.Again != "") && t.now.Sub(due) > b.Useful
}

// wake says a ring, holds it back, or gives it up.
func (t *tick) wake(g storage.Ring) error {
	b, ok, err := t.tx.Bell(g.Bell)
	if err != nil || !ok {
		return err
	}
	t.rung++
	if t.expired(b, g.Due) {
		return t.giveUp(g, b)
	}
	had := g.Whom
	if err := t.nextInTurn(&g, b); err != nil {
		return err
	}
	c := t.callRing(b, t.own(g), g.Held, t.now)
	if c.Whom != t.own(g) {
		g.Giver, g.Whom, g.Given = t.own(g), c.Whom, storage.GivenAway
	} else if g.Given == storage.GivenAway {
		g.Whom, g.Giver, g.Given = g.Giver, "", ""
	}
	if g.Whom != had {
		g.Said = 0 // what another was asked is not held against whoever has it now
	}
	if c.At.After(t.now) {
		if g.Wake = c.At; g.Held.IsZero() {
			g.Held = t.now
		}
		return t.tx.SaveRing(g)
	}
	waited, err := t.waited(b, g)
	g.Held = time.Time{}
	t.say = append(t.say, saying{g, b, c.To, t.passed[g.ID], waited})
	return err
}

// giveUp closes a ring that makes no sense any more. One that was never said is
// missed, and told; one that nobody answered is only written down.
func (t *tick) giveUp(g storage.Ring, b storage.Bell) error {
	g.Wake, g.Answer, g.Answered = time.Time{}, storage.AnswerMissed, t.now
	if g.Said > 0 {
		g.Answer = storage.AnswerNone
	}
	if err := t.tx.SaveRing(g); err != nil {
		return err
	}
	if g.Said > 0 {
		return t.note(b, fmt.Sprintf("unanswered: %s, due %s", b.Title, t.sayTime(g.Due)))
	}
	return t.miss(b, g.Due)
}

// nextInTurn calls the next when the one who was called has gone away since.
func (t *tick) nextInTurn(g *storage.Ring, b storage.Bell) error {
	if !OneOf(b.Whom) || g.Given != "" || g.Whom != People(b.Turn) {
		return nil
	}
	there := func(id int64) bool {
		here, _ := t.free(b, Expand(People(id), t.People, t.now), t.now)
		return len(here) > 0
	}
	if there(b.Turn) {
		return nil
	}
	whom := t.turn(&b, b.Due, t.now)
	if !there(b.Turn) {
		return nil
	}
	if g.Said > 0 {
		g.Giver = g.Whom // left undone by another, and said so
	}
	g.Whom = whom
	return t.tx.SaveBell(b)
}

// callRing finds whom a ring reaches. One that is held back is judged by when it
// was to be said at first, so that looking at it anew does not let it out early.
func (h House) callRing(b storage.Bell, whom string, held, now time.Time) Call {
	if !held.IsZero() {
		if c := h.Call(b, whom, held); c.At.After(now) {
			return c
		}
	}
	return h.Call(b, whom, now)
}

// own is whom a ring is for by itself, whoever stands in.
func (t *tick) own(g storage.Ring) string {
	if g.Given == storage.GivenAway {
		return g.Giver
	}
	return g.Whom
}

// tell says what is to be said, one message a person, most urgent first, and
// notes each ring as said: queued and marked in the same transaction.
func (t *tick) tell() error {
	if len(t.say) == 0 {
		return nil
	}
	slices.SortStableFunc(t.say, t.urgency)
	key := fmt.Sprintf("rings %d", t.now.Unix())
	heard := map[int64][]saying{}
	for i := range t.say {
		s := &t.say[i]
		s.ring.Said++
		s.ring.LastSaid, s.ring.Board = t.now, key
		s.ring.Wake = t.Again(s.bell, s.ring.Said, t.now)
		if err := t.tx.SaveRing(s.ring); err != nil {
			return err
		}
		for _, p := range t.hearers(*s) {
			heard[p.ID] = append(heard[p.ID], *s)
		}
	}
	for _, p := range t.inOrder(heard) {
		if err := t.tx.Post(t.ID, 0, t.ringMessage(p, heard[p.ID])); err != nil {
			return err
		}
	}
	return t.drawBoards(key)
}

// inOrder returns who hears something, those first for whom it is.
func (t *tick) inOrder(heard map[int64][]saying) []storage.Person {
	var theirs, others []storage.Person
	for _, p := range t.People {
		all := heard[p.ID]
		switch {
		case len(all) == 0:
		case slices.ContainsFunc(all, func(s saying) bool { return t.named(s, p) }):
			theirs = append(theirs, p)
		default:
			others = append(others, p)
		}
	}
	return append(theirs, others...)
}

// hearers are those whom a ring is for, and the keepers who are there once it
// has gone unanswered for long, or when it is for nobody.
func (t *tick) hearers(s saying) []storage.Person {
	out := slices.Clone(s.to)
	if s.ring.Said < t.keepersFrom(s.bell) && len(s.to) > 0 {
		return t.withGiver(s, out)
	}
	keepers, _ := t.present(Expand(Keepers, t.People, t.now), t.now)
	if len(out) == 0 && len(keepers) == 0 {
		keepers = Expand(Keepers, t.People, t.now)
	}
	keepers, _ = t.keptFromBirth(s.bell, keepers, Keepers, t.now)
	for _, p := range keepers {
		if !has(out, p.ID) {
			out = append(out, p)
		}
	}
	return out
}

// withGiver lets the one who handed a ring on hear of it when the receiver has
// not answered the first time.
func (t *tick) withGiver(s saying, to []storage.Person) []storage.Person {
	if s.ring.Given != storage.GivenOffer || s.ring.Said < 2 {
		return to
	}
	for _, p := range Expand(s.ring.Giver, t.People, t.now) {
		if !has(to, p.ID) {
			to = append(to, p)
		}
	}
	return to
}

// urgency orders rings: safety first, then what soonest makes no sense any more,
// then what is due longest.
func (t *tick) urgency(a, b saying) int {
	if a.bell.Safety != b.bell.Safety {
		if a.bell.Safety {
			return -1
		}
		return 1
	}
	if by := a.ring.Due.Add(a.bell.Useful).Compare(b.ring.Due.Add(b.bell.Useful)); by != 0 {
		return by
	}
	return a.ring.Due.Compare(b.ring.Due)
}

// miss writes down a ring that makes no sense any more and keeps it to be told
// in one line.
func (t *tick) miss(b storage.Bell, due time.Time) error {
	when := t.sayTime(due)
	t.missed = append(t.missed, fmt.Sprintf("%s (%s, %s)", b.Title, SayWhom(b.Whom, t.People, t.now), when))
	return t.note(b, fmt.Sprintf("missed: %s, due %s", b.Title, when))
}

func (t *tick) sayTime(at time.Time) string {
	return SayTime(Wall(at, t.Zone), Wall(t.now, t.Zone), t.DayFirst)
}

func (t *tick) note(b storage.Bell, text string) error {
	_, err := t.tx.Record(storage.Entry{
		Household: t.ID, Happened: t.now, Written: t.now, Kind: "missed", About: fmt.Sprintf("bell:%d", b.Num), Text: text, Fixed: true,
	})
	return err
}

// tellMissed posts one line about what was missed for good.
func (t *tick) tellMissed() error {
	if len(t.missed) == 0 {
		return nil
	}
	return t.tx.Post(t.ID, 0, storage.Message{At: t.now, Kind: storage.KindNotice, Head: "Missed, and too late to ring: " + list(t.missed)})
}
