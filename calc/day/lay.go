package day

import "time"

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
	var plan Plan
	b := g.board()
	for _, t := range tasks {
		p := piece{task: t, parts: 1, takes: t.Takes, grains: t.grains}
		s, ok := b.first(p, 0)
		if !ok {
			plan.Left = append(plan.Left, Left{Job: t.ID})
			continue
		}
		b.put(p, s)
		plan.Placed = append(plan.Placed, g.placement(p, s))
	}
	return plan, nil
}

func (g *grid) placement(p piece, s spot) Placement {
	out := Placement{Job: p.ID, Part: p.part + 1, Parts: p.parts, Span: Span{g.at(s.at), g.at(s.at).Add(p.takes)}}
	if s.block >= 0 {
		out.Block = g.blocks[s.block].Name
	}
	p.teams[s.team].each(func(i int) { out.Who = append(out.Who, g.people[i].Name) })
	return out
}

// Pressure is how pressing a job is when it is laid for days up to end: Cost for each day
// that it would be late by then and one more, or Cost shared out over the days that it
// still has.
func (j Job) Pressure(end time.Time) float64 {
	cost := float64(max(j.Cost, 1))
	due := j.Due
	if due.IsZero() || !j.Latest.IsZero() && j.Latest.Before(due) {
		due = j.Latest
	}
	if due.IsZero() {
		return cost
	}
	late := daysBetween(due, end)
	if late < 0 {
		return cost / float64(1-late)
	}
	return cost * float64(1+late)
}

// daysBetween counts the midnights from a to b.
func daysBetween(a, b time.Time) int {
	return int(midnight(b).Sub(midnight(a)).Round(24*time.Hour) / (24 * time.Hour))
}

func midnight(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, t.Location())
}

// Keep is the jobs as they stand in a plan, to be laid anew with as few moves as possible.
func Keep(jobs []Job, p Plan) []Job {
	out := make([]Job, len(jobs))
	for i, j := range jobs {
		j.Was = nil
		for _, l := range p.Placed {
			if l.Job == j.ID {
				j.Was = append(j.Was, Stand{l.Span, l.Who})
			}
		}
		out[i] = j
	}
	return out
}

// MoveOn is what becomes at now of jobs that are not done: what is under way stays where
// it stands, what is over moves on and is counted (Moved), so that the next Lay finds it
// the next block that suits. Leave out what was done before asking.
func MoveOn(jobs []Job, now time.Time) []Job {
	out := make([]Job, 0, len(jobs))
	for _, j := range jobs {
		out = append(out, j.movedOn(now))
	}
	return out
}

func (j Job) movedOn(now time.Time) Job {
	if len(j.Was) == 0 || j.Was[0].From.After(now) {
		return j
	}
	last := j.Was[len(j.Was)-1]
	if now.Before(last.To) && len(j.Was) == 1 {
		j.Pin, j.By, j.Of, j.Hands = last.From, last.Who, nil, len(last.Who)
		return j
	}
	j.Was, j.Pin, j.Moved = nil, time.Time{}, j.Moved+1
	return j
}

// NextWindow is the next stretch at or after Now that is long enough for lye work of that
// length, with its margin, besides what is already laid; false when there is none in the
// days of the house. The kitchen is taken to be the room.
func NextWindow(h House, laid []Placement, takes time.Duration) (Window, bool, error) {
	return Window{}, false, nil
}
