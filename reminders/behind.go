package reminders

import (
	"time"

	"yardbell/storage"
)

// behind returns when a ring of a bell is said that falls due on a day that runs
// late: so much later, but at its time where it is firm (food safety, dough that
// rises already, medicine, safety bells), counted in hours, or would come in
// hours in which it is held back.
func (h House) behind(b storage.Bell, due time.Time) time.Time {
	d := h.Behind
	if d.By == 0 || due.Before(d.From) || !due.Before(d.To) || b.Firm || b.Safety || b.Elapsed {
		return due
	}
	late := due.Add(d.By)
	if h.hold(b, Expand(b.Whom, h.People, late), late).After(late) {
		return due
	}
	return late
}

// Moved is a ring of a day that runs late.
type Moved struct {
	Bell     storage.Bell
	Due, New time.Time
}

// RestOfDay lists the rings to come on a day that runs late, those that stay at
// their time too, in order.
func (h House) RestOfDay(bells []storage.Bell) ([]Moved, error) {
	var out []Moved
	for _, b := range bells {
		dues, err := h.occurrences(b, h.Behind.To.Add(-time.Second))
		if err != nil {
			return nil, err
		}
		for _, due := range dues {
			if !due.Before(h.Behind.From) {
				out = append(out, Moved{b, due, h.behind(b, due)})
			}
		}
	}
	return out, nil
}
