package day

import (
	"cmp"
	"slices"
	"time"
)

// Lay lays the jobs into the open blocks of the house. The order of people, blocks, spans
// and jobs does not matter. Errors wrap ErrInput: a name twice or unknown, a length out of
// range, lye work for a child or for two, more than the bounds.
func Lay(h House, jobs []Job) (Plan, error) {
	g, err := chart(h, jobs)
	if err != nil {
		return Plan{}, err
	}
	tasks, err := g.tasks(jobs)
	if err != nil {
		return Plan{}, err
	}
	s := &search{grid: g, effort: mostEffort, exact: true}
	stand := s.most(tasks)
	if !s.exact {
		stand = s.better(tasks, stand, s.asBefore(tasks))
	}
	stand = s.leastLate(stand)
	stand = s.fewestMoves(stand)
	return s.plan(tasks, stand), nil
}

// piecesFor lists the ways to cut a job, best first: whole, in two with the first as long
// as possible, in more parts as even as can be.
func (t *task) piecesFor() [][]piece {
	out := [][]piece{t.cut(t.Takes)}
	if t.Part == 0 || t.pin >= 0 {
		return out
	}
	for first := t.Takes - t.Part; first >= t.Part; {
		out = append(out, t.cut(first, t.Takes-first))
		if first == t.Part {
			break
		}
		first = max(first-3*Grain, t.Part)
	}
	for n := time.Duration(3); n <= mostParts && t.Takes/n >= t.Part; n++ {
		even := (t.Takes/n + Grain - 1).Truncate(Grain)
		if rest := t.Takes - (n-1)*even; rest >= t.Part {
			out = append(out, t.cut(append(slices.Repeat([]time.Duration{even}, int(n-1)), rest)...))
		}
	}
	return out
}

// mostParts bounds into how many parts a job is cut.
const mostParts = 6

func (t *task) cut(lengths ...time.Duration) []piece {
	var out []piece
	for i, takes := range lengths {
		grains := int((takes + Grain - 1) / Grain)
		if t.pin >= 0 {
			grains = t.grains
		}
		out = append(out, piece{task: t, part: i, parts: len(lengths), takes: takes, grains: grains})
	}
	return out
}

// most lays as many of the most pressing jobs as it can, in their order.
func (s *search) most(tasks []*task) []stood {
	var stand []stood
	for _, t := range tasks {
		for _, pieces := range t.piecesFor() {
			if out, ok := s.fit(stand, pieces); ok {
				stand = inOrder(out)
				break
			}
		}
	}
	return stand
}

// inOrder sorts by how pressing, a job's parts together.
func inOrder(stand []stood) []stood {
	slices.SortFunc(stand, func(a, b stood) int {
		return cmp.Or(cmp.Compare(a.order, b.order), cmp.Compare(a.part, b.part))
	})
	return stand
}

// asBefore leaves every job where it stood, as far as that still keeps the rules, and lays
// the others around them.
func (s *search) asBefore(tasks []*task) []stood {
	var stand []stood
	b := s.board()
	stays := map[*task]bool{}
	for _, t := range tasks {
		pieces := t.cutAsBefore()
		kept := s.stay(b, pieces)
		if len(pieces) > 0 && len(kept) == len(pieces) {
			stand = append(stand, kept...)
			stays[t] = true
			continue
		}
		for _, p := range kept {
			b.take(p.piece, p.spot)
		}
	}
	for _, t := range tasks {
		if stays[t] {
			continue
		}
		for _, pieces := range t.piecesFor() {
			if out, ok := s.intoGaps(s.boardOf(stand), stand, pieces); ok {
				stand = out
				break
			}
		}
	}
	return inOrder(stand)
}

// cutAsBefore cuts a job as it was cut in the plan before; nil when that is no way to cut it.
func (t *task) cutAsBefore() []piece {
	if len(t.Was) == 0 {
		return nil
	}
	var lengths []time.Duration
	for _, w := range t.Was {
		lengths = append(lengths, w.To.Sub(w.From))
	}
	for _, pieces := range t.piecesFor() {
		if slices.EqualFunc(pieces, lengths, func(p piece, l time.Duration) bool { return p.takes == l }) {
			return pieces
		}
	}
	return nil
}

// stay puts those pieces on the board that can stay where they were.
func (s *search) stay(b *board, pieces []piece) []stood {
	var out []stood
	for _, p := range pieces {
		if at, ok := b.was(p); ok {
			b.put(p, at)
			out = append(out, stood{p, at})
		}
	}
	return out
}

// was is where a piece stood before, when it can stand there still.
func (b *board) was(p piece) (spot, bool) {
	if p.part >= len(p.Was) {
		return spot{}, false
	}
	w := p.Was[p.part]
	if from := b.down(w.From); b.at(from).Equal(w.From) || p.pin >= 0 {
		who := b.teamOf(w.Who)
		for k, t := range p.teams {
			if t != who {
				continue
			}
			at, block := b.firstOf(p, t, from)
			return spot{at, k, block}, at == from
		}
	}
	return spot{}, false
}

// teamOf is the team of those names; people who are not of the household count for none.
func (g *grid) teamOf(names []string) team {
	var t team
	for _, n := range names {
		i := g.index(n)
		if i < 0 {
			return 0
		}
		t |= 1 << i
	}
	return t
}

// better is the arrangement that lays the more pressing jobs, or the less late one.
func (s *search) better(tasks []*task, a, b []stood) []stood {
	cuts := func(stand []stood) []int {
		out := make([]int, len(tasks))
		for _, p := range stand {
			out[p.order] = -p.parts
		}
		for i, n := range out {
			if n == 0 {
				out[i] = -mostParts - 1
			}
		}
		return out
	}
	if cmp.Or(slices.Compare(cuts(b), cuts(a)), cmp.Compare(s.lateness(a), s.lateness(b))) > 0 {
		return b
	}
	return a
}

// leastLate arranges the same pieces with the least lateness.
func (s *search) leastLate(stand []stood) []stood {
	least := 0
	empty := s.board()
	for _, p := range stand {
		if at, ok := empty.first(p.piece, 0); ok {
			least += s.lateOf(p.piece, at.at+p.grains)
		}
	}
	for s.lateness(stand) > least {
		next, ok := s.eased(stand)
		if !ok {
			next, ok = s.anew(nil, piecesOf(stand), s.lateness(stand)-1)
		}
		if !ok {
			return stand
		}
		stand = inOrder(next)
	}
	return stand
}

// eased is the arrangement with a late piece and another one set anew, the late one first,
// when that is less late.
func (s *search) eased(stand []stood) ([]stood, bool) {
	late := s.lateness(stand)
	b := s.boardOf(stand)
	for i, p := range stand {
		if p.parts > 1 || s.lateOf(p.piece, p.end()) == 0 {
			continue
		}
		for k, q := range stand {
			if k == i || q.parts > 1 || s.effort <= 0 {
				continue
			}
			s.effort -= s.cost() * (len(p.teams) + len(q.teams))
			b.take(p.piece, p.spot)
			b.take(q.piece, q.spot)
			if out, ok := s.intoGaps(b, nil, []piece{p.piece, q.piece}); ok {
				next := slices.Clone(stand)
				next[i], next[k] = out[0], out[1]
				if s.lateness(next) < late {
					return next, true
				}
			}
			b = s.boardOf(stand)
		}
	}
	return nil, false
}
