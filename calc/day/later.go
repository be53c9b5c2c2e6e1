package day

import "time"

// Pressure is how pressing a job is at a time: Cost for the day and each day that it is
// late, or Cost shared out over the days that it still has. Latest counts as Due where it
// comes first; a job with neither has its Cost.
func (j Job) Pressure(now time.Time) float64 {
	cost := float64(max(j.Cost, 1))
	due := j.Due
	if due.IsZero() || !j.Latest.IsZero() && j.Latest.Before(due) {
		due = j.Latest
	}
	if due.IsZero() {
		return cost
	}
	late := daysBetween(due, now)
	if late < 0 {
		return cost / float64(1-late)
	}
	return cost * float64(1+late)
}

// daysBetween counts the midnights from a to b.
func daysBetween(a, b time.Time) int {
	return int(midnight(b).Sub(midnight(a)) / (24 * time.Hour))
}

// midnight is the start of the day of t, as wall times count days: all of 24 hours.
func midnight(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
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
// the next block that suits. Leave out what was done, and take the parts that were done
// off Takes, before asking.
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
