package day

import (
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/reminders"
	"yardbell/storage"
)

// stretch is a block as it takes place on one day, on the household's clock.
type stretch struct {
	storage.Block
	from, to time.Time
	who      []int64
}

// theDay is one day of the household: its blocks and what was said of it.
type theDay struct {
	date   time.Time
	blocks []stretch
	words  []storage.DayWord
}

// dayOf returns a day with its blocks in order; those that began the evening before and
// run into it are among them.
func dayOf(req *desk.Request, date time.Time) (theDay, error) {
	d := theDay{date: date}
	all, err := blocksOf(req)
	if err != nil {
		return d, err
	}
	words, err := req.Tx.DayWords(req.House.ID, date.AddDate(0, 0, -1), date)
	if err != nil {
		return d, err
	}
	for _, w := range words {
		if w.Day.Equal(date) {
			d.words = append(d.words, w)
		}
	}
	for _, b := range all {
		for _, on := range []time.Time{date.AddDate(0, 0, -1), date} {
			s, takes := takesPlace(req, b, on, words)
			if takes && s.to.After(date) {
				d.blocks = append(d.blocks, s)
			}
		}
	}
	slices.SortStableFunc(d.blocks, func(a, b stretch) int { return a.from.Compare(b.from) })
	return d, nil
}

// takesPlace is a block on a day, unless it is not of that day or was said to be off.
func takesPlace(req *desk.Request, b storage.Block, on time.Time, words []storage.DayWord) (stretch, bool) {
	if !b.On(on) {
		return stretch{}, false
	}
	if b.ID == 0 && req.House.NoSchool.Has(on) {
		return stretch{}, false
	}
	for _, w := range words {
		if !w.Day.Equal(on) || !strings.EqualFold(w.Title, b.Title) || w.Title == "" {
			continue
		}
		if w.Kind == storage.DayOff {
			return stretch{}, false
		}
		if w.Kind == storage.DayMoved {
			b.First, b.Past = w.First, w.Past
		}
	}
	who := slices.DeleteFunc(idsOf(req, b.Whom), func(id int64) bool {
		return leftAtHome(req, b, id) || slices.ContainsFunc(words, func(w storage.DayWord) bool {
			atHome := w.Child() == req.NameOf(id) && isAway(b)
			return w.Day.Equal(on) && (atHome || w.Kind == storage.DayOff && strings.EqualFold(w.Title, without(b.Title, req.NameOf(id))))
		})
	})
	s := stretch{Block: b, from: reminders.AtMinutes(on, b.First), to: reminders.AtMinutes(on, b.Past), who: who}
	if b.Past <= b.First {
		s.to = reminders.AtMinutes(on.AddDate(0, 0, 1), b.Past)
	}
	if d := req.House.Behind; d.By > 0 { // the rest of a day that runs late
		if at := req.Instant(s.from); !at.Before(d.From) && at.Before(d.To) {
			s.from, s.to = runsLate(b, s.from, s.to, d.By)
		}
	}
	return s, true
}

// weather is what was said of a day's weather: wet, dry, or nothing.
func (d theDay) weather() string {
	for _, w := range d.words {
		if w.Title == "" {
			return w.Kind
		}
	}
	return ""
}
