package day

import (
	"math/bits"
	"slices"
)

// fewestMoves arranges the same pieces, no later in all, so that as many as possible stay
// where they were, of equal numbers the more pressing; the others stand as early as they
// can around those.
func (s *search) fewestMoves(stand []stood) []stood {
	s.effort = mostEffort
	limit := s.lateness(stand)
	var could []stood // pieces that can stay, as far as the place and the people go
	for _, p := range stand {
		if at, ok := s.empty.was(p.piece); ok {
			could = append(could, stood{p.piece, at})
		}
	}
	best := s.stayAll(stand, could, limit)
	if best == nil {
		best = s.letGo(stand, could, limit)
	}
	return inOrder(s.earliest(s.movedBack(best, could, limit), limit))
}

// stayAll keeps everything that could stay and fits the rest into the gaps; nil when that
// cannot be.
func (s *search) stayAll(stand, could []stood, limit int) []stood {
	if len(could) == 0 {
		return stand
	}
	if s.clash(could) {
		return nil
	}
	out, ok := s.intoGaps(s.boardOf(could), could, others(stand, could))
	if !ok || s.lateness(out) > limit {
		return nil
	}
	return out
}

// others are the pieces of an arrangement that are not among some.
func others(stand, some []stood) []piece {
	var out []piece
	for _, p := range stand {
		if !slices.ContainsFunc(some, func(q stood) bool { return q.task == p.task && q.part == p.part }) {
			out = append(out, p.piece)
		}
	}
	return out
}

// clash says whether pieces cannot stand together where they are.
func (s *search) clash(stand []stood) bool {
	b := s.board()
	for _, p := range stand {
		if _, until := between(stand, p.piece); p.end() > until || !b.holds(p) {
			return true
		}
		b.put(p.piece, p.spot)
	}
	return false
}

// holds says whether a piece can stand where it does besides what is on the board.
func (b *board) holds(p stood) bool {
	at, _ := b.firstOf(p.piece, p.teams[p.team], p.at)
	return at == p.at
}

// letGo lets some of the pieces go that could stay: as few as possible, and of equal numbers
// the less pressing. Every set is tried in that order while effort lasts; otherwise those go
// that stand in the way of others one by one.
func (s *search) letGo(stand, could []stood, limit int) []stood {
	if len(could) <= mostHunted {
		for _, kept := range subsets(len(could)) {
			var stay []stood
			for i, p := range could {
				if kept>>(len(could)-1-i)&1 == 1 {
					stay = append(stay, p)
				}
			}
			if s.clash(stay) {
				continue
			}
			if out, ok := s.anew(stay, others(stand, stay), limit); ok {
				return out
			}
			if s.effort <= 0 {
				break
			}
		}
	}
	s.exact = false
	return s.letGoSome(stand, could, limit)
}

// subsets lists the sets of n things, one bit each, the largest first and of equal ones
// those with the higher bits.
func subsets(n int) []uint {
	out := make([]uint, 1<<n)
	for i := range out {
		out[i] = uint(len(out) - 1 - i)
	}
	slices.SortStableFunc(out, func(a, b uint) int { return bits.OnesCount(b) - bits.OnesCount(a) })
	return out
}

// letGoSome keeps what it can and moves what stands in the way, one piece for each that
// has to go in. What was not late in the arrangement given does not become so.
func (s *search) letGoSome(stand, could []stood, limit int) []stood {
	b := s.board()
	var out []stood
	for _, p := range could {
		i := slices.IndexFunc(stand, func(q stood) bool { return q.task == p.task && q.part == p.part })
		if s.lateOf(p.piece, p.end()) <= s.lateOf(p.piece, stand[i].end()) && p.parts == 1 && b.holds(p) {
			b.put(p.piece, p.spot)
			out = append(out, p)
		}
	}
	for _, p := range others(stand, out) {
		next, ok := s.intoGaps(s.boardOf(out), out, []piece{p})
		if !ok {
			next, ok = s.byMoving(s.boardOf(out), out, p)
		}
		if !ok {
			return stand
		}
		out = next
	}
	if s.lateness(out) > limit || s.moves(out) > s.moves(stand) {
		return stand
	}
	return out
}

// moves is how many pieces stand elsewhere than they did.
func (g *grid) moves(stand []stood) int {
	n := 0
	for _, p := range stand {
		if g.moved(p) {
			n++
		}
	}
	return n
}

// movedBack puts pieces that moved back to where they were, when the place is free or held
// by a single piece that moved too and can go somewhere else, the most pressing first.
func (s *search) movedBack(stand, could []stood, limit int) []stood {
	if s.exact {
		return stand
	}
	for _, p := range could {
		i := slices.IndexFunc(stand, func(q stood) bool { return q.task == p.task && q.part == p.part })
		if p.parts > 1 || !s.moved(stand[i]) || s.effort <= 0 {
			continue
		}
		if next, ok := s.back(stand, i, p.spot); ok && s.lateness(next) <= limit {
			stand = next
		}
	}
	return stand
}

// back puts one piece at a spot.
func (s *search) back(stand []stood, i int, to spot) ([]stood, bool) {
	out := slices.Clone(stand)
	b := s.boardOf(stand)
	b.take(out[i].piece, out[i].spot)
	out[i].spot = to
	if b.holds(out[i]) {
		return out, true
	}
	for k, q := range stand {
		if k == i || q.parts > 1 || !s.moved(q) && len(q.Was) > 0 {
			continue
		}
		b.take(q.piece, q.spot)
		if b.holds(out[i]) {
			b.put(out[i].piece, to)
			at, ok := b.first(q.piece, 0)
			out[k].spot = at
			return out, ok
		}
		b.put(q.piece, q.spot)
	}
	return nil, false
}

// moved says whether a piece stands elsewhere than it did, or is done by others.
func (g *grid) moved(p stood) bool {
	if p.part >= len(p.Was) {
		return false
	}
	w := p.Was[p.part]
	return !g.at(p.at).Equal(w.From) && p.pin < 0 || p.teams[p.team] != g.teamOf(w.Who)
}

// earliest leaves what did not move and sets the others as early as they can be, the most
// pressing first.
func (s *search) earliest(stand []stood, limit int) []stood {
	stand = inOrder(slices.Clone(stand))
	var stay []stood
	for _, p := range stand {
		if len(p.Was) > p.part && !s.moved(p) {
			stay = append(stay, p)
		}
	}
	rest := others(stand, stay)
	if out, ok := s.intoGaps(s.boardOf(stay), stay, rest); ok && s.lateness(out) <= limit {
		return out
	}
	for len(rest) > 0 && len(rest) <= mostHunted && s.effort > 0 {
		next, ok := s.settle(stay, rest, limit)
		if !ok {
			break
		}
		stay, rest = next, rest[1:]
	}
	if len(rest) == 0 {
		return stay
	}
	s.exact = false
	return s.slid(stand)
}

// settle sets the first of the rest at the first spot that leaves room for the others.
func (s *search) settle(stay []stood, rest []piece, limit int) ([]stood, bool) {
	p := rest[0]
	b := s.boardOf(stay)
	from, until := between(stay, p)
	for s.effort > 0 {
		at, ok := b.first(p, from)
		if !ok || at.at+p.grains > until {
			return nil, false
		}
		for k := range p.teams {
			s.effort -= s.cost()
			start, block := b.firstOf(p, p.teams[k], at.at)
			if start != at.at {
				continue
			}
			next := append(slices.Clone(stay), stood{p, spot{start, k, block}})
			if _, ok := s.anew(next, rest[1:], limit); ok {
				return next, true
			}
		}
		from = at.at + 1
	}
	return nil, false
}

// slid moves each piece that did not stay to the first spot that the others leave it.
func (s *search) slid(stand []stood) []stood {
	out := slices.Clone(stand)
	b := s.boardOf(out)
	for again := true; again; {
		again = false
		for i, p := range out {
			if len(p.Was) > p.part && !s.moved(p) {
				continue
			}
			b.take(p.piece, p.spot)
			from, _ := between(out, p.piece)
			if at, ok := b.first(p.piece, from); ok && at.before(p.spot) {
				out[i].spot = at
				again = true
			}
			b.put(p.piece, out[i].spot)
		}
	}
	return out
}
