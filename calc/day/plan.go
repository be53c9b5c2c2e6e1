package day

import (
	"cmp"
	"slices"
)

// plan turns an arrangement into what Lay returns.
func (s *search) plan(tasks []*task, stand []stood) Plan {
	out := Plan{Late: s.lateness(stand), Exact: s.exact}
	for _, p := range stand {
		if s.moved(p) {
			out.Moves++
		}
		out.Placed = append(out.Placed, s.placement(p, stand))
	}
	slices.SortFunc(out.Placed, func(a, b Placement) int {
		return cmp.Or(a.From.Compare(b.From), cmp.Compare(a.Job, b.Job), cmp.Compare(a.Part, b.Part))
	})
	for _, t := range tasks {
		if !slices.ContainsFunc(stand, func(p stood) bool { return p.task == t }) {
			out.Left = append(out.Left, s.left(t, stand))
		}
	}
	return out
}

func (s *search) placement(p stood, stand []stood) Placement {
	out := Placement{Job: p.ID, Part: p.part + 1, Parts: p.parts, Span: s.span(p), Who: s.names(p.teams[p.team])}
	if p.block >= 0 {
		out.Block = s.blocks[p.block].Name
	}
	out.Helpers = s.helpers(p, stand)
	out.Why = s.reasons(p, stand)
	return out
}

func (s *search) left(t *task, stand []stood) Left {
	return Left{
		Job: t.ID, Lost: !t.Job.Latest.IsZero() && t.pin < 0 && t.latest < s.grains,
		Why: s.reasonsLeft(t, stand), Give: s.gives(t, stand),
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
