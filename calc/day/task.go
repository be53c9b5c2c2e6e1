package day

import (
	"cmp"
	"fmt"
	"math/bits"
	"slices"
	"time"
)

// team is a set of people, by their places in the grid.
type team uint32

func (t team) each(do func(person int)) {
	for t != 0 {
		do(bits.TrailingZeros32(uint32(t)))
		t &= t - 1
	}
}

// mostTeams bounds the ways of manning one job; the first of the alphabet are kept.
const mostTeams = 64

// task is a job on the grid.
type task struct {
	Job
	pressure    float64
	order       int // most pressing first
	grains      int
	lead, trail int
	earliest    int
	latest      int
	pin         int // -1 when it is free
	teams       []team
	may         row // the grains at which all but people and other jobs allows it
}

// piece is a whole job or a part of one.
type piece struct {
	*task
	part, parts int // 0 of 1 when it is whole
	takes       time.Duration
	grains      int
}

// tasks puts the jobs on the grid, most pressing first.
func (g *grid) tasks(jobs []Job) ([]*task, error) {
	if len(jobs) > MostJobs {
		return nil, fmt.Errorf("%w: %d jobs are more than %d", ErrInput, len(jobs), MostJobs)
	}
	seen := map[string]bool{}
	out := make([]*task, 0, len(jobs))
	for _, j := range jobs {
		if j.ID == "" || seen[j.ID] {
			return nil, fmt.Errorf("%w: two jobs with the ID %q, or one without", ErrInput, j.ID)
		}
		seen[j.ID] = true
		t, err := g.task(j)
		if err != nil {
			return nil, err
		}
		t.pressure = j.Pressure(g.house.Now)
		out = append(out, t)
	}
	slices.SortFunc(out, moreFirst)
	for i, t := range out {
		t.order = i
	}
	return out, nil
}

// moreFirst orders by how pressing: pinned, then pressure, what is due sooner, the name.
func moreFirst(a, b *task) int {
	if (a.pin < 0) != (b.pin < 0) {
		return cmp.Compare(b.pin, a.pin)
	}
	never := time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)
	due := func(t *task) time.Time {
		if t.Due.IsZero() {
			return never
		}
		return t.Due
	}
	return cmp.Or(cmp.Compare(b.pressure, a.pressure), due(a).Compare(due(b)), cmp.Compare(a.ID, b.ID))
}

func (g *grid) task(j Job) (*task, error) {
	if j.Need&Lye != 0 {
		j.Need |= Elsewhere
		j.Part = 0
	}
	if err := g.check(j); err != nil {
		return nil, err
	}
	t := &task{Job: j, grains: int((j.Takes + Grain - 1) / Grain), pin: -1, earliest: g.now, latest: g.grains}
	if j.Need&Lye != 0 {
		t.lead, t.trail = leadLye, trailLye
	}
	if !j.Earliest.IsZero() {
		t.earliest = g.clip(max(t.earliest, g.up(j.Earliest)))
	}
	if !j.Latest.IsZero() {
		t.latest = g.clip(g.down(j.Latest))
	}
	if !j.Pin.IsZero() {
		t.pin = g.down(j.Pin)
		t.grains = g.up(j.Pin.Add(j.Takes)) - t.pin
		t.earliest, t.latest = t.pin, t.pin+t.grains
	}
	t.teams = g.manned(j)
	t.may = g.allowed(t)
	return t, nil
}

func (g *grid) check(j Job) error {
	bad := func(format string, a ...any) error {
		return fmt.Errorf("%w: job %q %s", ErrInput, j.ID, fmt.Sprintf(format, a...))
	}
	if j.Takes < time.Minute || j.Takes > 24*time.Hour {
		return bad("takes %v, not 1 minute to 24 hours", j.Takes)
	}
	if j.Hands < 0 || j.Hands > 8 || j.Cost < 0 || j.Part < 0 || j.Moved < 0 {
		return bad("has %d hands (0 to 8), cost %d, part %v, moved %d", j.Hands, j.Cost, j.Part, j.Moved)
	}
	for _, name := range slices.Concat(j.By, j.Of) {
		i := g.index(name)
		if i < 0 {
			return bad("is for %q, who is not of the household", name)
		}
		if g.people[i].Child && j.Need&Elsewhere != 0 {
			return bad("needs children elsewhere and cannot be for %s", name)
		}
	}
	if j.Need&Lye != 0 && (len(j.By) > 1 || j.Hands > 1) {
		return bad("is lye work, which has one adult on it")
	}
	return nil
}

// manned lists the teams that could do a job, in the order of the grid's people.
func (g *grid) manned(j Job) []team {
	var must team
	for _, name := range j.By {
		must |= 1 << g.index(name)
	}
	hands := max(j.Hands, 1, bits.OnesCount32(uint32(must)))
	var pool []int
	for i, p := range g.people {
		if must>>i&1 == 0 && j.takes(p) {
			pool = append(pool, i)
		}
	}
	var out []team
	var add func(have team, from int)
	add = func(have team, from int) {
		if len(out) == mostTeams {
			return
		}
		if bits.OnesCount32(uint32(have)) == hands {
			out = append(out, have)
			return
		}
		for k := from; k < len(pool); k++ {
			add(have|1<<pool[k], k+1)
		}
	}
	add(must, 0)
	return out
}

// takes says whether a person may be set to a job besides those who must be on it.
func (j Job) takes(p Person) bool {
	if len(j.Of) > 0 {
		return slices.Contains(j.Of, p.Name)
	}
	if !p.Child {
		return true
	}
	return j.Children && j.childMay(p)
}

// childMay says whether a child is old enough for a job and may be near it.
func (j Job) childMay(p Person) bool {
	return j.Need&Elsewhere == 0 && p.Age >= j.LeastAge
}

// allowed is the row of grains at which everything but people and other jobs allows t.
func (g *grid) allowed(t *task) row {
	may := newRow(g.grains)
	may.fill(t.earliest, max(t.earliest, t.latest))
	for _, n := range []struct {
		need Need
		row  row
	}{{Kitchen, g.kitchen.shrunk(t.lead, t.trail, g.grains)}, {Oven, g.oven}, {Light, g.light}, {Dry, g.fine}} {
		if t.Need&n.need != 0 {
			may.and(n.row)
		}
	}
	if t.Need&Elsewhere != 0 {
		may.and(g.apart.shrunk(t.lead, t.trail, g.grains))
	}
	return may
}

// late is what an end at that grain costs in lateness.
func (g *grid) late(t *task, end int) int {
	if t.Due.IsZero() {
		return 0
	}
	return max(t.Cost, 1) * max(0, daysBetween(t.Due, g.at(end).Add(-1)))
}
