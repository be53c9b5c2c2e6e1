package reminders

import (
	"fmt"
	"sort"
	"time"

	"yardbell/storage"
)

// Planned is a ring that is going to be said if all goes as written.
type Planned struct {
	At   time.Time // when it is said, after quiet hours
	Due  time.Time
	Bell storage.Bell
	To   []storage.Person
}

// Rehearse returns what rings in (from, to], in order of time, as if every ring
// were answered at once. It changes nothing.
func Rehearse(h storage.Household, people []storage.Person, bells []storage.Bell, from, to time.Time) ([]Planned, error) {
	var out []Planned
	for _, b := range bells {
		whom := Expand(b.Whom, people, from)
		dues, err := occurrences(b, h.Zone, to)
		if err != nil {
			return nil, fmt.Errorf("bell %d: %w", b.Num, err)
		}
		for _, due := range dues {
			at := Hold(h, b, whom, due)
			if at.Before(from) {
				at = from
			}
			if !at.After(to) {
				out = append(out, Planned{At: at, Due: due, Bell: b, To: whom})
			}
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].At.Before(out[j].At) })
	return out, nil
}

// occurrences lists when a bell falls due up to a time.
func occurrences(b storage.Bell, zone *time.Location, to time.Time) ([]time.Time, error) {
	var out []time.Time
	due := b.Next
	if due.IsZero() || due.After(to) {
		return nil, nil
	}
	if b.Schedule == "" {
		return []time.Time{due}, nil
	}
	s, err := Parse(b.Schedule, zone)
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
