package feed

import (
	_ "embed"
	"fmt"
	"math"
	"slices"
)

//go:embed growth.csv
var growthCSV string

// segment is a piece of an animal's growth: between two ages in weeks or two weights in
// kg its intake goes straight from one figure to the other.
type segment struct {
	kind, stage  string
	from, to     float64 // weeks or kg
	first, last  float64 // kg as fed a day at both ends
	gain         float64 // weeks or kg a day
	weeks        bool
	source, mark string
}

var segments = load(&growthCSV, func(r record) segment {
	u, ok := units[r["unit"]]
	if !ok {
		panic(fmt.Sprintf("feed: table: unit %q", r["unit"]))
	}
	s := segment{
		kind: r["kind"], stage: r["stage"], from: r.number("from"), to: r.number("to"),
		first: r.number("at_from") * u, last: r.number("at_to") * u,
		gain: r.number("gain_kg"), weeks: r["by"] == "weeks", source: r["source"], mark: r["mark"],
	}
	if s.weeks {
		s.gain = 1.0 / 7
	}
	return s
})

// rate is the intake at an age or weight in the segment.
func (s segment) rate(at float64) float64 {
	return s.first + (s.last-s.first)*(at-s.from)/(s.to-s.from)
}

// course is the segments of one kind and stage in order. Before the first the first
// figure holds, after the last the last.
type course []segment

func (s settled) course() course {
	var out course
	for _, g := range segments() {
		if g.kind == s.Kind && g.stage == s.stage.name {
			out = append(out, g)
		}
	}
	return out
}

// start is where the group stands in its course: its age or its weight.
func (s settled) start() float64 {
	if s.course()[0].weeks {
		return s.Weeks
	}
	return s.Weight
}

// at is the intake at an age or weight, and the segment that says so.
func (c course) at(x float64) (float64, segment) {
	i := slices.IndexFunc(c, func(s segment) bool { return x < s.to })
	if i < 0 {
		i = len(c) - 1
	}
	return c[i].rate(min(max(x, c[i].from), c[i].to)), c[i]
}

// eat lets one animal eat for so many days from x on and returns what it has eaten and
// where it is then. The pieces are straight, so that the middle of each is its mean.
func (c course) eat(x, days float64) (eaten, end float64) {
	for days > 1e-12 {
		_, s := c.at(x)
		step := days
		if left := (s.to - x) / s.gain; left > 0 {
			step = min(step, left)
		}
		mean, _ := c.at(x + step*s.gain/2)
		eaten += mean * step
		x += step * s.gain
		days -= step
		if math.Abs(x-s.to) < 1e-9 {
			x = s.to
		}
	}
	return eaten, x
}

// Growth is how an animal goes from one age or weight to another.
type Growth struct {
	Days float64
	Fed  float64 // kg as fed of one animal
	End  float64 // weeks of age or kg at the end
}

// Grow returns what one animal of a growing kind eats in so many days from the age or
// weight of g on, and where it is then. ErrKind for a kind that does not grow in the table,
// ErrAmount unless 0 <= days <= MostDays.
func Grow(g Group, days float64) (Growth, error) {
	s, err := g.growing()
	if err != nil {
		return Growth{}, err
	}
	if !finite(days) || days > MostDays {
		return Growth{}, fmt.Errorf("%w: %v days", ErrAmount, days)
	}
	fed, end := s.course().eat(s.start(), days)
	return Growth{days, fed, end}, nil
}

// GrowTo returns the days and the feed that one animal of a growing kind takes from the age
// or weight of g on to another. ErrKind as for Grow, ErrAmount for an end before the start
// or beyond the table.
func GrowTo(g Group, to float64) (Growth, error) {
	s, err := g.growing()
	if err != nil {
		return Growth{}, err
	}
	c, x := s.course(), s.start()
	if !finite(to) || to < x || to > c[len(c)-1].to {
		return Growth{}, fmt.Errorf("%w: from %v to %v, the table ends at %v", ErrAmount, x, to, c[len(c)-1].to)
	}
	days := 0.0
	for at := x; at < to; {
		_, seg := c.at(at)
		next := min(to, seg.to)
		days += (next - at) / seg.gain
		at = next
	}
	fed, _ := c.eat(x, days)
	return Growth{days, fed, to}, nil
}

// After returns the group so many days on: older or heavier where its kind grows in the
// table, else as it is. Errors as Need, ErrAmount unless 0 <= days <= MostDays.
func (g Group) After(days float64) (Group, error) {
	s, err := g.settle()
	if err != nil {
		return Group{}, err
	}
	if !finite(days) || days > MostDays {
		return Group{}, fmt.Errorf("%w: %v days", ErrAmount, days)
	}
	if s.stage.per != perGrowth {
		return g, nil
	}
	_, end := s.course().eat(s.start(), days)
	if s.course()[0].weeks {
		g.Weeks = end
		return g, nil
	}
	g.Weight = end
	return g, nil
}

// Grows says whether the kind's need changes with its age (weeks) or its weight.
func Grows(kind, stage string) (weeks, ok bool) {
	s, err := Group{Kind: kind, Stage: stage}.growing()
	if err != nil {
		return false, false
	}
	return s.course()[0].weeks, true
}

func (g Group) growing() (settled, error) {
	s, err := g.settle()
	if err != nil {
		return settled{}, err
	}
	if s.stage.per != perGrowth {
		return settled{}, fmt.Errorf("%w: a %s does not grow in the table", ErrKind, s.Kind)
	}
	return s, nil
}
