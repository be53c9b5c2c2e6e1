package day

import (
	"cmp"
	"slices"
)

// plan turns an arrangement into what Lay returns.
func (s *search) plan(tasks []*task, stand []stood) Plan {
	out := Plan{Late: s.lateness(stand), Moves: s.moves(stand), Exact: s.exact}
	b := s.boardOf(stand)
	for _, p := range stand {
		out.Placed = append(out.Placed, s.placement(p, stand, b))
	}
	slices.SortFunc(out.Placed, func(a, b Placement) int {
		return cmp.Or(a.From.Compare(b.From), cmp.Compare(a.Job, b.Job), cmp.Compare(a.Part, b.Part))
	})
	for _, t := range tasks {
		if !slices.ContainsFunc(stand, func(p stood) bool { return p.task == t }) {
			out.Left = append(out.Left, s.left(t, stand, b))
		}
	}
	return out
}

func (s *search) placement(p stood, stand []stood, b *board) Placement {
	out := Placement{Job: p.ID, Part: p.part + 1, Parts: p.parts, Span: s.span(p), Who: s.names(p.teams[p.team])}
	if p.block >= 0 {
		out.Block = s.blocks[p.block].Name
	}
	if p.pin >= 0 {
		out.Block = s.around(p)
	}
	out.Helpers = s.helpers(p, b)
	out.Why = s.reasons(p, stand, b)
	return out
}

// around is the block, open or not, in which a pinned piece begins and its first person is
// then; "" when there is none.
func (s *search) around(p stood) string {
	name := ""
	first := true
	p.teams[p.team].each(func(i int) {
		for _, b := range s.house.Blocks {
			if first && (name == "" || b.Name < name) && s.in(b, i, s.touched([]Span{b.Span})).has(p.at) {
				name = b.Name
			}
		}
		first = false
	})
	return name
}

func (s *search) left(t *task, stand []stood, b *board) Left {
	return Left{
		Job: t.ID, Lost: !t.Job.Latest.IsZero() && t.pin < 0 && t.latest < s.grains,
		Why: s.reasonsLeft(t, stand, b), Give: s.gives(t, stand, b),
	}
}

// span is when a piece stands, to the minute.
func (g *grid) span(p stood) Span {
	from := g.at(p.at)
	if p.pin >= 0 {
		from = p.Pin
	}
	return Span{from, from.Add(p.takes)}
}

func (g *grid) names(t team) []string {
	var out []string
	t.each(func(i int) { out = append(out, g.people[i].Name) })
	return out
}
