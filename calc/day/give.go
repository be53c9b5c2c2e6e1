package day

import (
	"cmp"
	"slices"
	"time"
)

// leastPart is the shortest part that is proposed for a job nobody thought of splitting.
const leastPart = 30 * time.Minute

// gives lists what would make a job that is left fit with everything else where it stands,
// smallest change first; one of each kind. A pinned job has only what must be dropped.
func (s *search) gives(t *task, stand []stood, b *board) []Give {
	var out []Give
	if t.pin < 0 {
		out = append(out, s.splitUp(t, stand)...)
		out = append(out, s.relaxed(t, b)...)
		out = append(out, s.opened(t, stand)...)
	}
	return append(out, s.dropped(t, stand, b)...)
}

// splitUp is the job in parts.
func (s *search) splitUp(t *task, stand []stood) []Give {
	if t.Part > 0 || t.Need&Lye != 0 {
		return nil
	}
	parts := *t
	parts.Part = leastPart
	for _, pieces := range parts.piecesFor()[1:] {
		out, ok := s.intoGaps(s.boardOf(stand), stand, pieces)
		if !ok {
			continue
		}
		first := out[len(stand)]
		give := s.give(Split, first)
		give.Parts = len(pieces)
		return []Give{give}
	}
	return nil
}

// give is a change that lets a piece stand somewhere.
func (g *grid) give(change Change, p stood) Give {
	out := Give{Change: change, Span: g.span(p)}
	if p.block >= 0 {
		out.Block = g.blocks[p.block].Name
	}
	return out
}

// relaxed lists the wishes of a job that keep it out: who, when, weather, children.
func (s *search) relaxed(t *task, b *board) []Give {
	var out []Give
	try := func(change Change, j Job, may func(row)) {
		v, err := s.task(j)
		if err != nil {
			return
		}
		if may != nil {
			may(v.may)
		}
		p := v.cut(v.Takes)[0]
		at, ok := b.first(p, 0)
		if !ok {
			return
		}
		here := stood{p, at}
		give := s.give(change, here)
		switch change {
		case Ask:
			give.People = s.names(v.teams[at.team])
		case SendOut:
			give.Kept = Span{s.at(at.at - v.lead), s.at(here.end() + v.trail)}
			give.People = s.about(at.at-v.lead, here.end()+v.trail)
		}
		out = append(out, give)
	}
	if len(t.By)+len(t.Of) > 0 {
		j := t.Job
		j.By, j.Of, j.Hands = nil, nil, max(t.Hands, len(t.By))
		try(Ask, j, nil)
	}
	if t.latest < s.grains {
		j := t.Job
		j.Latest = time.Time{}
		try(Slip, j, nil)
	}
	if t.earliest > s.now {
		j := t.Job
		j.Earliest = time.Time{}
		try(Sooner, j, nil)
	}
	if t.Need&Dry != 0 {
		j := t.Job
		j.Need &^= Dry
		try(Chance, j, nil)
	}
	if t.Need&Elsewhere != 0 {
		try(SendOut, t.Job, func(may row) { s.ignoringChildren(t, may) })
	}
	return out
}

// ignoringChildren fills a row with what allows a job but for the children.
func (s *search) ignoringChildren(t *task, may row) {
	bare := *t
	bare.Need &^= Elsewhere | Lye
	copy(may, s.allowed(&bare))
}

// about names the children who are not elsewhere for the whole of a stretch.
func (g *grid) about(from, to int) []string {
	var out []string
	for i, p := range g.people {
		if p.Child && !g.away[i].all(from, to) {
			out = append(out, p.Name)
		}
	}
	return out
}

// opened is the shortest closed block that would do, of equal ones the first.
func (s *search) opened(t *task, stand []stood) []Give {
	if s.openings == nil {
		s.openings = s.couldOpen()
	}
	for i := range s.openings {
		o := &s.openings[i]
		if o.block.To.Sub(o.block.From) < t.Takes {
			continue
		}
		if o.grid == nil {
			s.open(o, stand)
		}
		v, err := o.grid.task(t.Job)
		if err != nil {
			continue
		}
		if at, ok := o.board.first(v.cut(v.Takes)[0], 0); ok {
			give := o.grid.give(Open, stood{v.cut(v.Takes)[0], at})
			give.Block = o.block.Name
			return []Give{give}
		}
	}
	return nil
}

// opening is a closed block, and once it was asked for the house with it open and a board
// with all that stands.
type opening struct {
	block Block
	index int
	grid  *grid
	board *board
}

// couldOpen lists the closed blocks that are not over, shortest first.
func (s *search) couldOpen() []opening {
	out := []opening{}
	for i, b := range s.house.Blocks {
		if !b.Open && b.To.After(s.house.Now) {
			out = append(out, opening{block: b, index: i})
		}
	}
	slices.SortFunc(out, func(a, b opening) int {
		return cmp.Or(cmp.Compare(a.block.To.Sub(a.block.From), b.block.To.Sub(b.block.From)), a.block.From.Compare(b.block.From),
			cmp.Compare(a.block.Name, b.block.Name), slices.Compare(a.block.Who, b.block.Who))
	})
	return out
}

// open lays the house out with a block open, once for all jobs that are left.
func (s *search) open(o *opening, stand []stood) {
	h := s.house
	h.Blocks = slices.Clone(h.Blocks)
	h.Blocks[o.index].Open = true
	o.grid = &grid{house: h, base: s.base, grains: s.grains, now: s.now, people: s.people, grown: s.grown}
	o.grid.place(h)
	o.grid.occupy(h.Blocks)
	o.board = o.grid.board()
	for _, p := range stand {
		o.board.put(p.piece, p.spot)
	}
}

// dropped is the least pressing job without which this one fits.
func (s *search) dropped(t *task, stand []stood, b *board) []Give {
	p := t.cut(t.Takes)[0]
	for i := len(stand) - 1; i >= 0; i-- {
		at, ok := b.without(stand, stand[i].task, p)
		if ok {
			give := s.give(Drop, stood{p, at})
			give.Job = stand[i].ID
			return []Give{give}
		}
	}
	return nil
}

// without is the first spot of a piece beside all that stands but one job.
func (b *board) without(stand []stood, t *task, p piece) (spot, bool) {
	for _, o := range stand {
		if o.task == t {
			b.take(o.piece, o.spot)
		}
	}
	at, ok := b.first(p, 0)
	for _, o := range stand {
		if o.task == t {
			b.put(o.piece, o.spot)
		}
	}
	return at, ok
}
