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
	leaveFor(req, &d, all)
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

// leaveFor takes children out of blocks that they share with more when a block of fewer, as a
// nursery of its own beside "the kids" at school, has them at the same time: when that one
// is off or ends early they are at home, and not where the others are.
func leaveFor(req *desk.Request, d *theDay, all []storage.Block) {
	kids := idsOf(req, reminders.Kids)
	for _, own := range all {
		if !own.On(d.date) || !isAway(own) {
			continue
		}
		theirs := idsOf(req, own.Whom)
		for i, s := range d.blocks {
			if !isAway(s.Block) || s.from.Before(d.date) || len(theirs) >= len(idsOf(req, s.Whom)) || !takesOver(d, own, s, all) {
				continue
			}
			d.blocks[i].who = slices.DeleteFunc(s.who, func(id int64) bool { return slices.Contains(kids, id) && slices.Contains(theirs, id) })
		}
	}
}

// takesOver reports that a block has its children in the place of one that they share with
// more: it is lessons too, lasts as long, or is not as always on the day. One within it, as
// swimming from school, leaves them where they are.
func takesOver(d *theDay, own storage.Block, shared stretch, all []storage.Block) bool {
	always := shared.Block
	if i := slices.IndexFunc(all, func(b storage.Block) bool { return b.ID == shared.ID && b.Title == shared.Title }); i >= 0 {
		always = all[i]
	}
	switch {
	case own.First >= always.Past || own.Past <= always.First:
		return false
	case isLessons(own), own.First <= always.First && own.Past >= always.Past:
		return true
	}
	return slices.ContainsFunc(d.words, func(w storage.DayWord) bool { return w.Title != "" && strings.EqualFold(w.Title, own.Title) })
}

// atHome are the children who were said to be at home on a day, a visiting one too.
func (d theDay) atHome() []string {
	var out []string
	for _, w := range d.words {
		if child := w.Child(); child != "" {
			out = append(out, child)
		}
	}
	return out
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
