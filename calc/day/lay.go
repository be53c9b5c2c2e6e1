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
	s := &search{grid: g, exact: true, empty: g.board(), whole: g.but(newRow(g.grains))}
	stand := s.mostAndLeastLate(tasks)
	stand = s.fewestMoves(stand)
	for again := 0; !s.exact && again < mostAgain; again++ {
		next := s.leastLate(stand)
		if s.lateness(next) == s.lateness(stand) {
			break // what is laid again stays: nothing here would find it less late
		}
		stand = s.fewestMoves(next)
	}
	return s.plan(tasks, stand), nil
}

// mostAgain bounds how often an arrangement is looked over again.
const mostAgain = 3

// mostAndLeastLate lays the most pressing jobs with the least lateness. Where that was not shown to be
// the best, what can be made of the plan before is as good a start unless it lays less.
func (s *search) mostAndLeastLate(tasks []*task) []stood {
	stand := s.most(tasks)
	if s.exact {
		stand = s.leastLate(stand)
	}
	if s.exact || !slices.ContainsFunc(tasks, func(t *task) bool { return len(t.Was) > 0 }) {
		return s.leastLate(stand)
	}
	return s.better(tasks, s.leastLate(s.asBefore(tasks)), s.leastLate(stand))
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
	s.effort = mostEffort
	var stand []stood
	b := s.board()
	for _, t := range tasks {
		for _, pieces := range t.piecesFor() {
			if out, ok := s.fit(b, stand, pieces); ok {
				stand = inOrder(out)
				b = s.boardOf(stand)
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
// the others around them. Those come last in the arrangement, so that of two that are in
// each other's way one of them moves rather than what stood.
func (s *search) asBefore(tasks []*task) []stood {
	s.effort = mostEffort
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
			if out, ok := s.fit(b, stand, pieces); ok {
				stand = out
				b = s.boardOf(stand)
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

// better is the arrangement that lays the more pressing jobs, or the less late one, or a.
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
	s.effort = mostEffort
	least := 0
	for _, p := range stand {
		if at, ok := s.empty.first(p.piece, 0); ok {
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
			if next, ok := s.swapped(b, stand, i, k); ok && s.lateness(next) < late {
				return next, true
			}
		}
	}
	return nil, false
}

// swapped is the arrangement with two pieces set anew, the first of them first. The board
// is left as it was.
func (s *search) swapped(b *board, stand []stood, i, k int) ([]stood, bool) {
	p, q := stand[i], stand[k]
	s.effort -= s.cost() * (len(p.teams) + len(q.teams))
	b.take(p.piece, p.spot)
	b.take(q.piece, q.spot)
	defer func() {
		b.put(p.piece, p.spot)
		b.put(q.piece, q.spot)
	}()
	first, ok := b.first(p.piece, 0)
	if !ok || !first.before(p.spot) {
		return nil, false
	}
	b.put(p.piece, first)
	second, ok := b.first(q.piece, 0)
	b.take(p.piece, first)
	if !ok {
		return nil, false
	}
	out := slices.Clone(stand)
	out[i].spot, out[k].spot = first, second
	return out, true
}
