package reminders

import (
	"fmt"
	"sort"
	"time"

	"yardbell/storage"
)

// Planned is a ring that is going to be said if all goes as written.
type Planned struct {
	At   time.Time // when it is said, after all that holds it back
	Due  time.Time
	Bell storage.Bell
	To   []storage.Person
	Shut string // that it rings nobody while a room is roped off; empty when it may
}

// Rehearse returns what rings in (from, to], in order of time, as if every ring
// were answered at once: with the turns, absences, bare days, quiet and school
// hours as they are written. Work in a room that is roped off stands at its time and
// says so: nobody knows when the all clear comes. It changes nothing.
func (h House) Rehearse(bells []storage.Bell, from, to time.Time) ([]Planned, error) {
	var out []Planned
	h.ledger = nil // what is booked here has not happened
	all, err := h.fallsDue(bells, to)
	if err != nil {
		return nil, err
	}
	open := h
	open.Roped = nil
	for _, f := range all {
		b := f.bell
		whom := h.turn(b, f.due, f.due)
		b.Due = f.due
		c := open.Call(*b, whom, later(h.behind(*b, f.due), from))
		if !c.At.After(to) && !c.Open {
			out = append(out, Planned{At: c.At, Due: f.due, Bell: *b, To: c.To, Shut: h.Waits(*b, c.To, c.At)})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].At.Before(out[j].At) })
	return out, nil
}

// falling is one time that a bell falls due.
type falling struct {
	bell *storage.Bell
	due  time.Time
}

// fallsDue lists when bells fall due up to a time, days of rest left out, in order
// of time: what one person is called to may decide who is called to the next.
func (h House) fallsDue(bells []storage.Bell, to time.Time) ([]falling, error) {
	var out []falling
	for _, b := range bells {
		dues, err := h.occurrences(b, to)
		if err != nil {
			return nil, fmt.Errorf("bell %d: %w", b.Num, err)
		}
		for _, due := range dues {
			if !b.Rest.Has(Day(Wall(due, h.Zone))) {
				out = append(out, falling{&b, due})
			}
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].due.Before(out[j].due) })
	return out, nil
}

// FirstFrom returns when a bell falls due first at or after an instant, zero when
// it does not.
func (h House) FirstFrom(b storage.Bell, from time.Time) (time.Time, error) {
	switch {
	case !b.Next.Before(from):
		return b.Next, nil
	case b.Schedule == "":
		return time.Time{}, nil
	}
	s, err := h.Schedule(b)
	if err != nil {
		return time.Time{}, err
	}
	next := s.Next(from.Add(-time.Second))
	if !b.Until.IsZero() && next.After(b.Until) {
		return time.Time{}, nil
	}
	return next, nil
}

// occurrences lists when a bell falls due up to a time.
func (h House) occurrences(b storage.Bell, to time.Time) ([]time.Time, error) {
	var out []time.Time
	due := b.Next
	if due.IsZero() || due.After(to) {
		return nil, nil
	}
	if b.Schedule == "" {
		return []time.Time{due}, nil
	}
	s, err := h.Schedule(b)
	if err != nil {
		return nil, err
	}
	for !due.IsZero() && !due.After(to) && (b.Until.IsZero() || !due.After(b.Until)) {
		out = append(out, due)
		if b.Remain > 0 && len(out) >= b.Remain {
			break
		}
		due = s.Next(due)
	}
	return out, nil
}
