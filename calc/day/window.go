package day

import (
	"fmt"
	"time"
)

// NextWindow is the next stretch at or after Now that is long enough for lye work of that
// length, with its margin, besides the jobs that are laid already; false when there is none
// in the days of the house. The kitchen is taken to be the room. Errors are those of Lay.
func NextWindow(h House, jobs []Job, laid []Placement, takes time.Duration) (Window, bool, error) {
	probe := Job{ID: "lye work", Takes: takes, Need: Lye | Kitchen}
	standing := asLaid(jobs, laid, h.Now)
	g, err := chart(h, standing)
	if err != nil {
		return Window{}, false, err
	}
	b, err := g.with(standing)
	if err != nil {
		return Window{}, false, err
	}
	t, err := g.task(probe)
	if err != nil {
		return Window{}, false, err
	}
	p := t.cut(takes)[0]
	at, ok := b.first(p, 0)
	if !ok {
		return Window{}, false, nil
	}
	return b.window(p, at), true, nil
}

// asLaid is what is laid and not over as jobs pinned to where they stand.
func asLaid(jobs []Job, laid []Placement, now time.Time) []Job {
	var out []Job
	for _, l := range laid {
		if !l.To.After(now) {
			continue
		}
		j := Job{ID: l.Job}
		for _, o := range jobs {
			if o.ID == l.Job {
				j = o
			}
		}
		j.By, j.Of, j.Hands, j.Takes, j.Pin = l.Who, nil, 0, l.To.Sub(l.From), l.From
		out = append(out, j)
	}
	return out
}

// with is the board on which pinned jobs stand.
func (g *grid) with(pinned []Job) (*board, error) {
	b := g.board()
	for _, j := range pinned {
		t, err := g.task(j)
		if err != nil {
			return nil, fmt.Errorf("laid: %w", err)
		}
		b.put(t.cut(t.Takes)[0], spot{t.pin, 0, -1})
	}
	return b, nil
}

// window is the longest safe stretch from a spot on, with who can use it for as long as the
// piece takes.
func (b *board) window(p piece, s spot) Window {
	c := &b.blocks[s.block]
	end := s.at + p.grains
	out := Window{Block: c.Name}
	for _, t := range p.teams {
		room := b.room(p, t)
		t.each(func(i int) { room.and(c.work[i]) })
		if room.all(s.at, s.at+p.grains) {
			end = max(end, room.gap(s.at, c.to))
			out.Who = append(out.Who, b.names(t)...)
		}
	}
	out.Span = Span{b.at(s.at), b.at(end)}
	out.Kept = Span{b.at(s.at - p.lead), b.at(end + p.trail)}
	for i, person := range b.people {
		if !b.here[i].none(s.at-p.lead, end+p.trail) && person.Name != out.Who[0] {
			out.Tell = append(out.Tell, person.Name)
		}
		if person.Child {
			out.Children = append(out.Children, b.whereabouts(person, s.at))
		}
	}
	return out
}

// whereabouts is where a child is at a grain.
func (g *grid) whereabouts(child Person, at int) Whereabouts {
	out := Whereabouts{Child: child.Name}
	i := g.index(child.Name)
	for _, b := range g.house.Blocks {
		in := g.in(b, i, g.within([]Span{b.Span}))
		if b.Away && in.has(at) && (out.Block == "" || b.Name < out.Block) {
			out.Block, out.Place = b.Name, b.Place
		}
	}
	return out
}
