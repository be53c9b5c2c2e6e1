package reminders

import (
	"slices"
	"strings"
	"time"

	"yardbell/calc/rota"
	"yardbell/storage"
)

// House is a household with all that decides who hears a ring, and when.
type House struct {
	storage.Household
	People []storage.Person
	Away   []storage.Absence // those that are not over
	Works  []storage.Work    // what whoever has done least is reckoned from; none where no chore goes by that
	Roped  []storage.Rope    // rooms that are roped off

	asOf   time.Time       // when it was read
	school []storage.Block // school that is not the same for all the children
	stock  stock           // the flock book, where there are children
	ledger *rota.Ledger    // of the first so many works
	booked int
}

// Load reads a household as it is at an instant.
func Load(tx *storage.Tx, id int64, now time.Time) (House, error) {
	h, err := tx.Household(id)
	if err != nil {
		return House{}, err
	}
	people, err := tx.People(id)
	if err != nil {
		return House{}, err
	}
	return Home(tx, h, people, now)
}

// Home adds to a household and its people who is away, and what each has done.
func Home(tx *storage.Tx, h storage.Household, people []storage.Person, now time.Time) (House, error) {
	away, err := tx.Absences(h.ID, now)
	if err != nil {
		return House{}, err
	}
	works, err := tx.Account(h.ID, now.Add(-Remembered))
	if err != nil {
		return House{}, err
	}
	roped, err := tx.Roped(h.ID)
	if err != nil {
		return House{}, err
	}
	home := House{Household: h, People: people, Away: away, Works: works, Roped: roped, asOf: now}
	if slices.ContainsFunc(people, func(p storage.Person) bool { return !p.Gone && p.Child(now) }) {
		if home.stock, err = stockOf(tx, h.ID); err == nil {
			home.school, err = schoolOf(tx, h.ID)
		}
	}
	return home, err
}

// schoolOf are the household's blocks of school.
func schoolOf(tx *storage.Tx, household int64) ([]storage.Block, error) {
	all, err := tx.Blocks(household)
	return slices.DeleteFunc(all, func(b storage.Block) bool { return !strings.EqualFold(b.Title, "school") }), err
}

// notForChild is NotForChild with the flock book open: a sow that had her piglets last
// night is no child's to feed today, whoever has fed her so far.
func (h House) notForChild(b storage.Bell, at time.Time) bool {
	if NotForChild(b) {
		return true
	}
	kinds := h.stock.in(b.Title, at)
	return kinds != "" && Dangerous(b.Title+", "+kinds)
}

// Absent returns the absence that keeps a person from being rung at an instant.
func (h House) Absent(person int64, at time.Time) (storage.Absence, bool) {
	for _, a := range slices.Backward(h.Away) { // the newest word counts
		if a.Person == person && a.Covers(at) {
			return a, true
		}
	}
	return storage.Absence{}, false
}

// present splits people into those who can be rung at an instant and the
// absences of the others.
func (h House) present(people []storage.Person, at time.Time) (here []storage.Person, away []storage.Absence) {
	for _, p := range people {
		if a, is := h.Absent(p.ID, at); is {
			away = append(away, a)
			continue
		}
		here = append(here, p)
	}
	return here, away
}

// free splits people into those who can be rung at an instant for a bell and the
// absences of the others. No child is free for work in a room that is roped off, and no
// chore falls on a birthday, or on a day that somebody was given off.
func (h House) free(b storage.Bell, people []storage.Person, at time.Time) (here []storage.Person, away []storage.Absence) {
	here, away = h.present(people, at)
	if out := h.keptOut(b, here, at); len(out) > 0 {
		here, away = without(here, func(p storage.Person) bool { return p.Child(at) }), append(away, out...)
	}
	if !IsChore(b) {
		return here, away
	}
	day := Day(Wall(at, h.Zone))
	off := func(p storage.Person) bool { return h.DayOff(p, at) }
	for _, p := range here {
		if off(p) {
			away = append(away, storage.Absence{Person: p.ID, Kind: DayOff, Since: Instant(day, h.Zone), Until: Instant(day.AddDate(0, 0, 1), h.Zone)})
		}
	}
	return without(here, off), away
}

// DayOff is the kind of absence that somebody has from chores alone, on a birthday
// or another day off. It is not kept: it follows from the person's own days.
const DayOff = "off chores"

// DayOff reports whether a day is one on which somebody has no chores.
func (h House) DayOff(p storage.Person, at time.Time) bool {
	day := Day(Wall(at, h.Zone))
	return p.HasBirthday(day) || p.Off.Has(day)
}

// IsChore reports a bell of the chores desk.
func IsChore(b storage.Bell) bool { return strings.HasPrefix(b.Subject, "chore:") }

// Call is whom a ring reaches and from when.
type Call struct {
	Whom string // the ring's own, or that of those who stand in
	To   []storage.Person
	At   time.Time // when it may be said: at once, or when what holds it back ends
	Open bool      // it waits for somebody whose absence has no end yet; At is when to look again
	Shut string    // the room that is roped off for whose all clear it waits; At is when to look again
}

// Call finds whom a ring of a bell reaches, and when it may be said, at or after
// an instant: what the quiet hours, the school hours, a bare day and absences
// leave of it.
func (h House) Call(b storage.Bell, whom string, now time.Time) Call {
	h.Away = h.ending(now)
	c := Call{Whom: whom, At: now}
	for range 12 { // what ends one hold may lie in another
		var until time.Time
		c.Whom, c.To, until = h.reach(b, whom, c.At)
		if until.After(c.At) {
			c.Open = c.Open || h.endless(c.To, c.At)
			if len(h.keptOut(b, c.To, c.At)) > 0 {
				c.Shut = h.shut(b, c.At)
			}
		} else {
			until = h.hold(b, c.To, c.At)
		}
		if !until.After(c.At) {
			break
		}
		c.At = until
	}
	return c
}

// reach returns whom a ring goes to at an instant. When all whom it is for are
// away, what cannot wait goes to those who stand in, and the rest waits until
// the first is back.
func (h House) reach(b storage.Bell, whom string, at time.Time) (string, []storage.Person, time.Time) {
	to := Expand(whom, h.People, at)
	if h.notForChild(b, at) {
		if adults := without(to, func(p storage.Person) bool { return p.Child(at) }); len(adults) < len(to) {
			if to = adults; len(adults) == 0 {
				to = Expand(Keepers, h.People, at)
			}
			whom = People(ids(to)...)
		}
	}
	to, whom = h.keptFromBirth(b, to, whom, at)
	here, away := h.free(b, to, at)
	inBed := h.inBed(b, to, at)
	switch {
	case len(inBed) > 0: // theirs above all, and whoever looks after them hears of it
		if len(here) == 0 {
			here = h.standIns(b, away, at)
		}
		all := without(h.People, func(p storage.Person) bool { return !has(inBed, p.ID) && !has(here, p.ID) })
		if len(all) > len(to) {
			whom = People(ids(all)...)
		}
		return whom, all, time.Time{}
	case len(here) > 0 || len(to) == 0:
		return whom, here, time.Time{}
	case b.Safety || b.Care || b.Firm && h.shut(b, at) != "":
		stand := h.standIns(b, away, at)
		return People(ids(stand)...), stand, time.Time{}
	}
	return whom, to, firstBack(away)
}

// inBed are those of some people who are ill, for a bell of medicine: the one bell that
// being ill does not take from somebody.
func (h House) inBed(b storage.Bell, people []storage.Person, at time.Time) []storage.Person {
	if !isMedicine(b) {
		return nil
	}
	return without(people, func(p storage.Person) bool {
		a, is := h.Absent(p.ID, at)
		return !is || a.Kind != storage.Ill
	})
}

// keptFromBirth leaves out who expects a child where animals give birth: the other
// keepers have it, or the other adults.
func (h House) keptFromBirth(b storage.Bell, to []storage.Person, whom string, at time.Time) ([]storage.Person, string) {
	if !NearBirth(b) {
		return to, whom
	}
	expects := func(p storage.Person) bool { return p.ExpectingOn(Day(Wall(at, h.Zone))) }
	left := without(to, expects)
	if len(left) == len(to) {
		return to, whom
	}
	adults := without(Expand(Everyone, h.People, at), func(p storage.Person) bool { return p.Child(at) })
	for _, some := range [][]storage.Person{without(Expand(Keepers, h.People, at), expects), without(adults, expects)} {
		if len(left) == 0 {
			left = some
		}
	}
	if len(left) == 0 { // there is nobody else: somebody must know
		return to, whom
	}
	return left, People(ids(left)...)
}

// standIns are the people named for it; else the keepers who are there; else
// other adults; else the keepers wherever they are, because somebody must know.
func (h House) standIns(b storage.Bell, away []storage.Absence, at time.Time) []storage.Person {
	var named []storage.Person
	for _, p := range h.People {
		for _, a := range away {
			if _, gone := h.Absent(p.ID, at); a.StandIn == p.ID && !gone && !p.Gone && !(p.Child(at) && (h.notForChild(b, at) || h.shut(b, at) != "")) && !(NearBirth(b) && p.ExpectingOn(Day(Wall(at, h.Zone)))) {
				named = append(named, p)
				break
			}
		}
	}
	keepers := Expand(Keepers, h.People, at)
	kept, _ := h.keptFromBirth(b, keepers, Keepers, at)
	here, _ := h.present(kept, at)
	adults, _ := h.present(Expand(Everyone, h.People, at), at)
	adults = without(adults, func(p storage.Person) bool {
		return p.Child(at) || NearBirth(b) && p.ExpectingOn(Day(Wall(at, h.Zone)))
	})
	for _, some := range [][]storage.Person{named, here, adults} {
		if len(some) > 0 {
			return some
		}
	}
	return keepers
}

// endless reports that one of some people is away with no end.
func (h House) endless(people []storage.Person, at time.Time) bool {
	return slices.ContainsFunc(people, func(p storage.Person) bool {
		a, is := h.Absent(p.ID, at)
		return is && a.Endless
	})
}

// firstBack is when the first of some absences ends.
func firstBack(away []storage.Absence) time.Time {
	return slices.MinFunc(away, func(a, b storage.Absence) int { return a.Until.Compare(b.Until) }).Until
}

// ending gives absences with no end one: the next morning, to look again.
func (h House) ending(now time.Time) []storage.Absence {
	if !slices.ContainsFunc(h.Away, func(a storage.Absence) bool { return a.Until.IsZero() }) {
		return h.Away
	}
	out := slices.Clone(h.Away)
	for i := range out {
		if out[i].Until.IsZero() {
			out[i].Until = h.NextMorning(later(now, out[i].Since))
		}
	}
	return out
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// hold returns when a ring may be said that is to be said at an instant: at once
// for a safety bell, else after a bare day, the quiet hours, and for children
// alone the school hours.
func (h House) hold(b storage.Bell, to []storage.Person, at time.Time) time.Time {
	if b.Safety {
		return at
	}
	if day := Day(Wall(at, h.Zone)); !b.Care && h.Bare.Has(day) {
		for h.Bare.Has(day) {
			day = day.AddDate(0, 0, 1)
		}
		return h.RoundOn(day)
	}
	if end := spanEnd(h.Quiet, h.Zone, at); end.After(at) {
		return end
	}
	if allChildren(to, at) && !h.NoSchool.Has(Day(Wall(at, h.Zone))) {
		return later(spanEnd(h.School, h.Zone, at), h.lessonsEnd(to, at))
	}
	return at
}

// lessonsEnd is when the first of some children is out of a school of their own, or the
// instant itself.
func (h House) lessonsEnd(to []storage.Person, at time.Time) time.Time {
	var first time.Time
	for _, p := range to {
		end := at
		for _, b := range h.school {
			hers := slices.ContainsFunc(Expand(b.Whom, h.People, at), func(o storage.Person) bool { return o.ID == p.ID })
			if hers && b.On(Day(Wall(at, h.Zone))) {
				end = later(end, spanEnd(storage.Span{On: true, From: b.First, To: b.Past}, h.Zone, at))
			}
		}
		if first.IsZero() || end.Before(first) {
			first = end
		}
	}
	return later(first, at)
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

// Why says what holds a ring back that is to be said at an instant.
func (h House) Why(b storage.Bell, whom string, at time.Time) string {
	h.Away = h.ending(at)
	_, to, until := h.reach(b, whom, at)
	switch {
	case until.After(at) && len(h.keptOut(b, to, at)) > 0:
		return "the " + h.shut(b, at) + " is roped off"
	case until.After(at):
		return names(to) + " is away then"
	case !b.Care && h.Bare.Has(Day(Wall(at, h.Zone))):
		return "that is a bare day"
	case spanEnd(h.Quiet, h.Zone, at).After(at):
		return "that lies in quiet hours"
	}
	return "that lies in school hours"
}
