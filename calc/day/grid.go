package day

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"
)

// The margins in grains.
const (
	leadLye  = int(BeforeLye / Grain)
	trailLye = int(AfterLye / Grain)
)

// grid is a house counted in grains from base: who can be set to work when, and what
// the place allows.
type grid struct {
	house   House
	base    time.Time
	grains  int
	now     int
	people  []Person // adults by name, then children by name
	grown   int      // how many of them are adults
	blocks  []cell   // by start
	named   []row    // by person: in a block that names them
	here    []row    // by person: at home
	free    []row    // by person: at home, not busy, in no block that is closed
	away    []row    // by person: a child is elsewhere
	work    []row    // by person: in some open block and free
	kitchen row      // not taken
	oven    row
	light   row
	fine    row // not wet
	dry     row // sure to be dry
	apart   row // every child is elsewhere
}

// cell is a block on the grid. Its span is rounded inward.
type cell struct {
	Block
	from, to int
	work     []row // by person: in the block and free
}

// chart lays a house out on the grid, reaching over the times that jobs name.
func chart(h House, jobs []Job) (*grid, error) {
	g := &grid{house: h}
	if err := g.seat(h.People); err != nil {
		return nil, err
	}
	if err := g.reach(h, jobs); err != nil {
		return nil, err
	}
	for i := range g.people {
		for _, s := range slices.Concat(g.people[i].Busy, g.people[i].Out) {
			if err := s.check(g.people[i].Name); err != nil {
				return nil, err
			}
		}
	}
	for _, list := range [][]Span{h.Kitchen, h.Oven, h.Light, h.Dry, h.Wet} {
		for _, s := range list {
			if err := s.check("the place"); err != nil {
				return nil, err
			}
		}
	}
	g.place(h)
	g.occupy(h.Blocks)
	return g, nil
}

func (s Span) check(of string) error {
	if !s.From.Before(s.To) {
		return fmt.Errorf("%w: a span of %s ends at %v, not after its start", ErrInput, of, s.To)
	}
	return nil
}

// seat puts the people into the order in which they are taken for work.
func (g *grid) seat(people []Person) error {
	if len(people) == 0 || len(people) > MostPeople {
		return fmt.Errorf("%w: %d people, not 1 to %d", ErrInput, len(people), MostPeople)
	}
	g.people = slices.Clone(people)
	slices.SortFunc(g.people, func(a, b Person) int {
		if a.Child != b.Child {
			if b.Child {
				return -1
			}
			return 1
		}
		return cmp.Compare(a.Name, b.Name)
	})
	seen := map[string]bool{}
	for _, p := range g.people {
		if p.Name == "" || seen[p.Name] {
			return fmt.Errorf("%w: two people named %q, or one without a name", ErrInput, p.Name)
		}
		seen[p.Name] = true
		if !p.Child {
			g.grown++
		}
	}
	return nil
}

// index is the place of a person in the grid, -1 when there is none of that name.
func (g *grid) index(name string) int {
	return slices.IndexFunc(g.people, func(p Person) bool { return p.Name == name })
}

// reach sets the days that the grid covers: from Now or the first block to the last, and
// an hour more at both ends for the margins.
func (g *grid) reach(h House, jobs []Job) error {
	if h.Now.IsZero() {
		return fmt.Errorf("%w: Now is not set", ErrInput)
	}
	first, last := h.Now, h.Now
	take := func(from, to time.Time) {
		if from.Before(first) {
			first = from
		}
		if to.After(last) {
			last = to
		}
	}
	for _, b := range h.Blocks {
		if err := b.check("block " + b.Name); err != nil {
			return err
		}
		take(b.From, b.To)
	}
	for _, j := range jobs {
		if !j.Pin.IsZero() {
			take(j.Pin, j.Pin.Add(j.Takes))
		}
	}
	if last.Sub(first) > MostDays*24*time.Hour {
		return fmt.Errorf("%w: %v to %v is more than %d days", ErrInput, first, last, MostDays)
	}
	g.base = first.Truncate(time.Hour).Add(-time.Hour)
	g.grains = g.up(last) + int(time.Hour/Grain)
	g.now = g.up(h.Now)
	return nil
}

// up and down count the grains to t, rounded.
func (g *grid) up(t time.Time) int   { return g.down(t.Add(Grain - 1)) }
func (g *grid) down(t time.Time) int { return int(t.Sub(g.base) / Grain) }

// at is the time of a grain.
func (g *grid) at(i int) time.Time { return g.base.Add(time.Duration(i) * Grain) }

// within is the row of the grains that lie wholly in a span.
func (g *grid) within(spans []Span) row {
	out := newRow(g.grains)
	for _, s := range spans {
		from, to := g.clip(g.up(s.From)), g.clip(g.down(s.To))
		out.fill(from, max(from, to))
	}
	return out
}

// touched is the row of the grains that a span touches.
func (g *grid) touched(spans []Span) row {
	out := newRow(g.grains)
	for _, s := range spans {
		out.fill(g.clip(g.down(s.From)), g.clip(g.up(s.To)))
	}
	return out
}

func (g *grid) clip(i int) int { return min(max(i, 0), g.grains) }

// but is a row of all grains without those of r.
func (g *grid) but(r row) row {
	out := newRow(g.grains)
	out.fill(0, g.grains)
	out.without(r)
	return out
}

func (g *grid) place(h House) {
	g.kitchen, g.oven = g.but(g.touched(h.Kitchen)), g.but(g.touched(h.Oven))
	g.light = g.within(h.Light)
	g.fine, g.dry = g.but(g.touched(h.Wet)), g.within(h.Dry)
}

// occupy works out from the blocks who is where and who is free.
func (g *grid) occupy(blocks []Block) {
	named := make([]row, len(g.people))
	g.named = named
	for p := range g.people {
		named[p] = newRow(g.grains)
		for _, b := range blocks {
			if slices.Contains(b.Who, g.people[p].Name) {
				named[p].or(g.touched([]Span{b.Span}))
			}
		}
	}
	inner, outer := make([]row, len(blocks)), make([]row, len(blocks))
	for k, b := range blocks {
		inner[k], outer[k] = g.within([]Span{b.Span}), g.touched([]Span{b.Span})
	}
	g.apart = g.but(newRow(g.grains))
	for p := range g.people {
		g.here = append(g.here, g.but(g.touched(g.people[p].Out)))
		free := slices.Clone(g.here[p])
		free.without(g.touched(g.people[p].Busy))
		inAway, about := newRow(g.grains), newRow(g.grains)
		for k, b := range blocks {
			in := g.in(b, p, outer[k])
			if !b.Open {
				free.without(in)
			}
			if b.Away {
				inAway.or(g.in(b, p, inner[k]))
			} else {
				about.or(in)
			}
		}
		inAway.without(about)
		inAway.or(g.within(g.people[p].Out))
		g.free, g.away, g.work = append(g.free, free), append(g.away, inAway), append(g.work, newRow(g.grains))
		if g.people[p].Child {
			g.apart.and(inAway)
		}
	}
	for k, b := range blocks {
		c := cell{Block: b, from: g.up(b.From), to: g.down(b.To)}
		if !b.Open || c.from >= c.to {
			continue
		}
		for p := range g.people {
			work := slices.Clone(g.in(b, p, inner[k]))
			work.and(g.free[p])
			g.work[p].or(work)
			c.work = append(c.work, work)
		}
		g.blocks = append(g.blocks, c)
	}
	slices.SortFunc(g.blocks, func(a, b cell) int {
		return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to), cmp.Compare(a.Name, b.Name),
			cmp.Compare(strings.Join(a.Who, ","), strings.Join(b.Who, ",")))
	})
}

// in is when a person is in a block, given the grains of the block: for the whole of it
// when named, else when no block names that person. It is not to be written to.
func (g *grid) in(b Block, person int, grains row) row {
	if len(b.Who) > 0 {
		if slices.Contains(b.Who, g.people[person].Name) {
			return grains
		}
		return newRow(g.grains)
	}
	in := slices.Clone(grains)
	in.without(g.named[person])
	return in
}
