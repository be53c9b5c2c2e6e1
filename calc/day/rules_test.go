package day_test

import (
	"fmt"
	"math/bits"
	"slices"
	"time"

	"yardbell/calc/day"
)

// This file states the hard rules a second time, moment by moment and without the grid
// of the package, for the tests to judge plans by.

// each calls do for the start of every five minutes that a span touches.
func each(s day.Span, do func(day.Span)) {
	for t := s.From.Truncate(day.Grain); t.Before(s.To); t = t.Add(day.Grain) {
		do(day.Span{From: t, To: t.Add(day.Grain)})
	}
}

func touch(a, b day.Span) bool { return a.From.Before(b.To) && b.From.Before(a.To) }

func covers(a, b day.Span) bool { return !a.From.After(b.From) && !b.To.After(a.To) }

func anyTouch(list []day.Span, s day.Span) bool {
	return slices.ContainsFunc(list, func(l day.Span) bool { return touch(l, s) })
}

func anyCovers(list []day.Span, s day.Span) bool {
	return slices.ContainsFunc(list, func(l day.Span) bool { return covers(l, s) })
}

// in says whether somebody is in a block during five minutes.
func in(h day.House, b day.Block, who string, s day.Span) bool {
	if !touch(b.Span, s) {
		return false
	}
	if len(b.Who) > 0 {
		return slices.Contains(b.Who, who)
	}
	return !slices.ContainsFunc(h.Blocks, func(o day.Block) bool {
		return slices.Contains(o.Who, who) && touch(o.Span, s)
	})
}

func free(h day.House, p day.Person, s day.Span) bool {
	if anyTouch(p.Busy, s) || anyTouch(p.Out, s) {
		return false
	}
	return !slices.ContainsFunc(h.Blocks, func(b day.Block) bool { return !b.Open && in(h, b, p.Name, s) })
}

func elsewhere(h day.House, p day.Person, s day.Span) bool {
	if anyCovers(p.Out, s) {
		return true
	}
	away := false
	for _, b := range h.Blocks {
		if !in(h, b, p.Name, s) {
			continue
		}
		if !b.Away {
			return false
		}
		away = away || covers(b.Span, s)
	}
	return away
}

func person(h day.House, name string) day.Person {
	return h.People[slices.IndexFunc(h.People, func(p day.Person) bool { return p.Name == name })]
}

// held is the span of a placement with the margin of lye work.
func held(j day.Job, s day.Span) day.Span {
	if j.Need&day.Lye == 0 {
		return rounded(s)
	}
	s = rounded(s)
	return day.Span{From: s.From.Add(-day.BeforeLye), To: s.To.Add(day.AfterLye)}
}

func rounded(s day.Span) day.Span {
	to := s.To.Add(day.Grain - 1).Truncate(day.Grain)
	return day.Span{From: s.From.Truncate(day.Grain), To: to}
}

// alone is the first hard rule that one placement breaks by itself, "" when it breaks none.
func alone(h day.House, j day.Job, s day.Span, who []string) string {
	if wrong := team(h, j, who); wrong != "" {
		return wrong
	}
	if j.Pin.IsZero() {
		if s.From.Before(h.Now) || s.From.Before(j.Earliest) || !j.Latest.IsZero() && rounded(s).To.After(j.Latest) {
			return "outside its times"
		}
		if !slices.ContainsFunc(h.Blocks, func(b day.Block) bool { return inBlock(h, b, s, who) }) {
			return "in no open block with its people"
		}
	} else if !s.From.Equal(j.Pin) {
		return "not where it is pinned"
	}
	wrong := ""
	each(s, func(five day.Span) {
		for _, name := range who {
			if anyTouch(person(h, name).Out, five) {
				wrong = name + " is out"
			}
		}
		switch {
		case j.Need&day.Oven != 0 && anyTouch(h.Oven, five):
			wrong = "the oven is taken"
		case j.Need&day.Light != 0 && !anyCovers(h.Light, five):
			wrong = "dark"
		case j.Need&day.Dry != 0 && anyTouch(h.Wet, five):
			wrong = "wet"
		}
	})
	each(held(j, s), func(five day.Span) {
		if j.Need&day.Kitchen != 0 && anyTouch(h.Kitchen, five) {
			wrong = "the kitchen is taken"
		}
		for _, p := range h.People {
			if p.Child && j.Need&(day.Elsewhere|day.Lye) != 0 && !elsewhere(h, p, five) {
				wrong = p.Name + " is about"
			}
			if slices.Contains(who, p.Name) && j.Need&day.Lye != 0 && !free(h, p, five) && (j.Pin.IsZero() || anyTouch(p.Out, five)) {
				wrong = p.Name + " cannot stay with the lye"
			}
		}
	})
	return wrong
}

func inBlock(h day.House, b day.Block, s day.Span, who []string) bool {
	if !b.Open || !covers(b.Span, rounded(s)) {
		return false
	}
	ok := true
	each(s, func(five day.Span) {
		for _, name := range who {
			ok = ok && in(h, b, name, five) && free(h, person(h, name), five)
		}
	})
	return ok
}

// team says what is wrong with the people on a job.
func team(h day.House, j day.Job, who []string) string {
	hands := max(j.Hands, 1, len(j.By))
	if len(who) != hands {
		return fmt.Sprintf("%d people, not %d", len(who), hands)
	}
	for _, name := range j.By {
		if !slices.Contains(who, name) {
			return "without " + name
		}
	}
	for _, name := range who {
		p := person(h, name)
		if p.Child && j.Need&(day.Elsewhere|day.Lye) != 0 {
			return "a child at dangerous work"
		}
		if slices.Contains(j.By, name) {
			continue
		}
		if len(j.Of) > 0 {
			if !slices.Contains(j.Of, name) {
				return name + " was not among those to take"
			}
			continue
		}
		if p.Child && (!j.Children || j.LeastAge > 0 && p.Age < j.LeastAge) {
			return name + " may not"
		}
	}
	return ""
}

// both is the first hard rule that two placements break together.
func both(h day.House, a, b day.Job, s, t day.Span, whoA, whoB []string) string {
	wide, tall := held(a, s), held(b, t)
	for _, name := range whoA {
		if slices.Contains(whoB, name) && touch(wide, tall) {
			return name + " is at two jobs"
		}
	}
	if a.Need&b.Need&day.Kitchen != 0 && touch(wide, tall) {
		return "two jobs in the kitchen"
	}
	if a.Need&b.Need&day.Oven != 0 && touch(rounded(s), rounded(t)) {
		return "two jobs in the oven"
	}
	if childOf(h, whoB) && a.Need&(day.Elsewhere|day.Lye) != 0 && touch(wide, rounded(t)) {
		return "a child works while children have to be elsewhere"
	}
	if childOf(h, whoA) && b.Need&(day.Elsewhere|day.Lye) != 0 && touch(tall, rounded(s)) {
		return "a child works while children have to be elsewhere"
	}
	return ""
}

func childOf(h day.House, who []string) bool {
	return slices.ContainsFunc(who, func(name string) bool { return person(h, name).Child })
}

func jobOf(jobs []day.Job, id string) day.Job {
	return jobs[slices.IndexFunc(jobs, func(j day.Job) bool { return j.ID == id })]
}

// broken is the first hard rule that a plan breaks, "" when it breaks none.
func broken(h day.House, jobs []day.Job, p day.Plan) string {
	took := map[string]time.Duration{}
	parts := map[string]int{}
	for i, l := range p.Placed {
		j := jobOf(jobs, l.Job)
		took[j.ID] += l.To.Sub(l.From)
		parts[j.ID]++
		if wrong := alone(h, j, l.Span, l.Who); wrong != "" {
			return fmt.Sprintf("%s at %v: %s", l.Job, l.From, wrong)
		}
		if l.Parts > 1 && (j.Need&day.Lye != 0 || j.Part == 0 || l.To.Sub(l.From) < j.Part) {
			return l.Job + " is cut too small"
		}
		for _, o := range p.Placed[:i] {
			k := jobOf(jobs, o.Job)
			if o.Job == l.Job && (touch(o.Span, l.Span) || o.From.Before(l.From) != (o.Part < l.Part)) {
				return l.Job + ": its parts are out of order"
			}
			if wrong := both(h, j, k, l.Span, o.Span, l.Who, o.Who); wrong != "" {
				return fmt.Sprintf("%s and %s: %s", l.Job, o.Job, wrong)
			}
		}
	}
	for _, j := range jobs {
		left := slices.ContainsFunc(p.Left, func(l day.Left) bool { return l.Job == j.ID })
		if left == (parts[j.ID] > 0) {
			return j.ID + " is neither laid nor left, or both"
		}
		if !left && took[j.ID] != j.Takes {
			return j.ID + " is not laid for its whole length"
		}
	}
	return ""
}

// teams lists all sets of people, as bits.
func teams(h day.House, hands int) [][]string {
	var out [][]string
	for set := uint(1); set < 1<<len(h.People); set++ {
		if bits.OnesCount(set) != hands {
			continue
		}
		var who []string
		for i, p := range h.People {
			if set>>i&1 == 1 {
				who = append(who, p.Name)
			}
		}
		out = append(out, who)
	}
	return out
}
