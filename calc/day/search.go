package day

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// Bounds of the search, so that no day takes long: mostEffort is for each step of the
// objective, in looks for the first spot of a team, weighed by the length of the days.
// Beyond mostHunted pieces a complete search is hopeless and repairs have to do.
const (
	mostEffort = 40_000
	mostHunted = 10
)

// stood is a piece that stands somewhere.
type stood struct {
	piece
	spot
}

func (p stood) end() int { return p.at + p.grains }

// anyLate is a limit that lateness never reaches.
const anyLate = math.MaxInt

// search looks for arrangements with what effort is left.
type search struct {
	*grid
	effort   int       // left for this step
	exact    bool      // every no so far was proved
	empty    *board    // nothing is ever put on it
	whole    row       // all grains
	openings []opening // the closed blocks, made when first needed
}

// cost is the effort of one look for a first spot.
func (s *search) cost() int { return 2 + len(s.light)/8 }

// fit adds pieces to an arrangement and its board, all or none: into the gaps, else by
// moving one piece that stands, else by arranging everything anew. The board is left as it
// was.
func (s *search) fit(b *board, stand []stood, add []piece) ([]stood, bool) {
	out, ok := s.intoGaps(b, stand, add)
	if ok {
		return out, true
	}
	if s.hopeless(stand, add) {
		return nil, false
	}
	if len(add) == 1 {
		if out, ok := s.byMoving(b, stand, add[0]); ok {
			return out, true
		}
	}
	return s.anew(nil, append(piecesOf(stand), add...), anyLate)
}

func (s *search) boardOf(stand []stood) *board {
	b := s.board()
	for _, p := range stand {
		b.put(p.piece, p.spot)
	}
	return b
}

func piecesOf(stand []stood) []piece {
	out := make([]piece, 0, len(stand)+2)
	for _, p := range stand {
		out = append(out, p.piece)
	}
	return out
}

// intoGaps adds each piece in turn at its first free spot, between the parts around it. The
// board is left as it was.
func (s *search) intoGaps(b *board, stand []stood, add []piece) ([]stood, bool) {
	out := slices.Clip(slices.Clone(stand))
	defer func() {
		for _, p := range out[len(stand):] {
			b.take(p.piece, p.spot)
		}
	}()
	for _, p := range add {
		s.effort -= s.cost() * len(p.teams)
		from, until := between(out, p)
		at, ok := b.first(p, from)
		if !ok || at.at+p.grains > until {
			return nil, false
		}
		b.put(p, at)
		out = append(out, stood{p, at})
	}
	return out, true
}

// between is the stretch that the other parts of a piece's job leave it.
func between(stand []stood, p piece) (from, until int) {
	until = math.MaxInt
	if p.parts == 1 {
		return 0, until
	}
	for _, q := range stand {
		if q.task != p.task || q.part == p.part {
			continue
		}
		if q.part < p.part {
			from = max(from, q.end())
		} else {
			until = min(until, q.at)
		}
	}
	return from, until
}

// hopeless proves that pieces cannot be added: one has no spot on an empty board, or the
// people for them have less time than they take.
func (s *search) hopeless(stand []stood, add []piece) bool {
	for _, p := range add {
		if _, ok := s.empty.first(p, 0); !ok {
			return true
		}
	}
	all := append(piecesOf(stand), add...)
	for _, p := range add {
		if p.pin < 0 && s.overworked(all, everyone(p)) {
			return true
		}
	}
	return false
}

// everyone is all who could be at a piece.
func everyone(p piece) team {
	var all team
	for _, t := range p.teams {
		all |= t
	}
	return all
}

// overworked says whether the pieces that only these people can do take more than the
// time that they have.
func (s *search) overworked(pieces []piece, who team) bool {
	need := 0
	for _, p := range pieces {
		if len(p.teams) == 0 || everyone(p)&^who != 0 || p.pin >= 0 {
			continue // what is pinned may stand outside the blocks
		}
		need += p.grains * bits.OnesCount32(uint32(p.teams[0]))
	}
	have := 0
	who.each(func(i int) { have += s.work[i].count(s.now, s.grains) })
	return need > have
}

// byMoving adds a piece where one that stands can go somewhere else, the least pressing
// first. The board is left as it was.
func (s *search) byMoving(b *board, stand []stood, p piece) ([]stood, bool) {
	for i := len(stand) - 1; i >= 0; i-- {
		q := stand[i]
		if q.parts > 1 || q.pin >= 0 || s.effort <= 0 {
			continue
		}
		s.effort -= s.cost() * (len(p.teams) + len(q.teams))
		b.take(q.piece, q.spot)
		if at, ok := b.first(p, 0); ok {
			b.put(p, at)
			if moved, ok := b.first(q.piece, 0); ok {
				out := append(slices.Clone(stand), stood{p, at})
				out[i].spot = moved
				b.take(p, at)
				b.put(q.piece, q.spot)
				return out, true
			}
			b.take(p, at)
		}
		b.put(q.piece, q.spot)
	}
	return nil, false
}

// anew arranges pieces around those that stay, with at most so much lateness in all, by a
// complete search. A no is a proof as long as exact stays true.
func (s *search) anew(stay []stood, pieces []piece, limit int) ([]stood, bool) {
	if len(pieces) > mostHunted || s.effort <= 0 {
		s.exact = false
		return nil, false
	}
	h := &hunt{
		search: s, on: s.boardOf(stay), rest: pieces, used: make([]bool, len(pieces)),
		stand: slices.Clip(slices.Clone(stay)), want: len(stay) + len(pieces), late: s.lateness(stay), limit: limit,
		left: max(s.effort/4, 1),
	}
	for _, p := range pieces {
		h.lead = max(h.lead, p.lead)
	}
	start := h.left
	found := h.next(0)
	s.effort -= start - h.left
	if h.left < 0 && !found {
		s.exact = false
	}
	return h.stand, found
}

// lateness is that of an arrangement.
func (g *grid) lateness(stand []stood) int {
	late := 0
	for _, p := range stand {
		late += g.lateOf(p.piece, p.end())
	}
	return late
}

// lateOf is the lateness of a piece that ends at a grain; only the last part has any.
func (g *grid) lateOf(p piece, end int) int {
	if p.part < p.parts-1 {
		return 0
	}
	return g.late(p.task, end)
}

// hunt is a complete search. It sets pieces in the order of their starts, each at the
// first spot that a team has left: of all arrangements that keep the rules, the one whose
// starts have the least sum is among these, because nothing in it could begin earlier.
type hunt struct {
	*search
	on    *board
	rest  []piece
	used  []bool
	stand []stood // what stays, then what is set
	want  int     // how many stand at the end
	late  int
	limit int
	lead  int // the longest margin ahead among the pieces
	left  int // effort
}

// next sets the piece that starts next, not before a grain.
func (h *hunt) next(from int) bool {
	if len(h.stand) == h.want {
		return h.late <= h.limit
	}
	options, ok := h.options(from)
	if !ok {
		return false
	}
	firstEnd := math.MaxInt
	for _, o := range options {
		firstEnd = min(firstEnd, o.end()+o.trail)
	}
	for _, o := range options {
		if o.at-h.lead >= firstEnd {
			continue // another could be done before this one begins
		}
		if h.try(o) {
			return true
		}
	}
	return false
}

// option is a piece of the rest with a spot.
type option struct {
	stood
	index int
}

// options lists where the pieces left could go next; false when one has no place left or
// the lateness would pass the limit.
func (h *hunt) options(from int) ([]option, bool) {
	var out []option
	late := h.late
	for i, p := range h.rest {
		if h.used[i] || !h.ready(p) {
			continue
		}
		after, until := between(h.stand, p)
		first := math.MaxInt
		for k, t := range p.teams {
			h.left -= h.cost()
			at, block := h.on.firstOf(p, t, max(from, after))
			if at < 0 || at+p.grains > until {
				continue
			}
			first = min(first, at+p.grains)
			out = append(out, option{stood{p, spot{at, k, block}}, i})
		}
		if first == math.MaxInt || h.left < 0 {
			return nil, false
		}
		late += h.lateOf(p, first)
	}
	if late > h.limit {
		return nil, false
	}
	slices.SortStableFunc(out, func(a, b option) int { return cmp.Compare(a.at, b.at) })
	return out, true
}

// ready says whether the part before a piece is set, or stays.
func (h *hunt) ready(p piece) bool {
	for i, q := range h.rest {
		if q.task == p.task && q.part == p.part-1 {
			return h.used[i]
		}
	}
	return true
}

func (h *hunt) try(o option) bool {
	late := h.lateOf(o.piece, o.end())
	h.on.put(o.piece, o.spot)
	h.used[o.index], h.late = true, h.late+late
	h.stand = append(h.stand, o.stood)
	if h.next(o.at) {
		return true
	}
	h.stand = h.stand[:len(h.stand)-1]
	h.used[o.index], h.late = false, h.late-late
	h.on.take(o.piece, o.spot)
	return false
}
