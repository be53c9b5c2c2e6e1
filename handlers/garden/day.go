package garden

import (
	"fmt"
	"time"

	"yardbell/calc/sowing"
	"yardbell/handlers/desk"
	"yardbell/reminders"
)

// What the garden hands in to the household's day: a few pressing jobs, and what ripens.
const (
	mostOpen    = 3 // more is behind "sow"
	pressing    = 7 // days left in a window from which a job is told of
	sowsFrom    = 6 // from this age a child sows by itself
	indoorsTime = 30 * time.Minute
	bedTime     = time.Hour
)

// openJobs are the most pressing things to sow and plant, and what is due today for those
// that stand.
func openJobs(req *desk.Request) ([]desk.Job, error) {
	begun, err := standingJobs(req)
	if err != nil {
		return nil, err
	}
	fresh, err := freshJobs(req)
	return append(begun, fresh...), err
}

// stepTakes is how long the work of a step takes, for a tray or a row; what is only looked
// at is no job (common practice).
var stepTakes = map[string]time.Duration{stepPotUp: 45 * time.Minute, stepThin: 20 * time.Minute, stepSetOut: time.Hour}

// standingJobs are the steps of what stands that are due today and take a while.
func standingJobs(req *desk.Request) ([]desk.Job, error) {
	all, err := standingNow(req)
	if err != nil {
		return nil, err
	}
	var out []desk.Job
	for _, s := range all {
		bells, err := req.Tx.SubjectBells(req.House.ID, fmt.Sprintf("sowing:%d", s.Num))
		if err != nil {
			return nil, err
		}
		for _, b := range bells {
			if stepTakes[b.Step] == 0 {
				continue
			}
			j, due, err := req.BellJob(b, stepTakes[b.Step])
			if err != nil {
				return nil, err
			}
			j.Help, j.Kids, j.Needs.Daylight = true, sowsFrom, b.Step != stepPotUp
			if due {
				out = append(out, j)
			}
		}
	}
	return out, nil
}

// freshJobs are the most pressing things to sow and plant.
func freshJobs(req *desk.Request) ([]desk.Job, error) {
	f, err := frostsOf(req)
	if err != nil || !f.known {
		return nil, err
	}
	plants, err := ourPlants(req)
	if err != nil || len(plants) == 0 {
		return nil, err
	}
	jobs, err := jobsOn(req, f, dayOf(req))
	if err != nil {
		return nil, err
	}
	var out []desk.Job
	for _, j := range jobs {
		open := j.State == sowing.Late || j.State == sowing.InWindow && j.Slack <= pressing && j.Course.Class != sowing.TooLong
		if !j.ours || waitsInTray(j.Kind) || !open || len(out) == mostOpen {
			continue
		}
		handed, err := j.handed(req)
		if err != nil {
			return nil, err
		}
		out = append(out, handed)
	}
	return out, nil
}

// handed is a job of the garden as the household's day lays it.
func (j job) handed(req *desk.Request) (desk.Job, error) {
	out := desk.Job{
		Key: fmt.Sprintf("garden:%s:%s", j.label(), j.Kind), Title: fmt.Sprintf("%s: %s", j.label(), j.Kind), Takes: indoorsTime, Kids: sowsFrom, Help: true,
		Due: j.To, Say: jobLine(req, j), Done: "sown " + j.label(), Loose: true, Also: []string{"sow", "plant", "seed", "start"},
	}
	if j.Kind != sowing.Start {
		out.Takes, out.Needs.Daylight, out.Needs.Dry = bedTime, true, true
	}
	if j.State == sowing.Late {
		out.Pressure = 1
	}
	var err error
	out.Hints, err = req.NextTimes(desk.OfCrop(j.table.Name))
	return out, err
}

// daysToCome tells what can be picked first up to a day.
func daysToCome(req *desk.Request, until time.Time) ([]desk.Dated, error) {
	all, err := sowings(req)
	if err != nil {
		return nil, err
	}
	var out []desk.Dated
	for _, s := range all {
		if s.Fate != "" {
			continue
		}
		due, err := s.plan(req)
		if err != nil {
			return nil, err
		}
		pick, is := due[stepPick]
		if !is || pick.Before(dayOf(req)) || pick.After(until) || belled(req, s, stepPick) {
			continue
		}
		out = append(out, desk.Dated{ID: fmt.Sprintf("ripe:%d", s.Num), Day: reminders.Day(pick), Title: s.title() + " may be ripe"})
	}
	return out, nil
}

// belled reports that a bell tells of a step already.
func belled(req *desk.Request, s sown, step string) bool {
	bells, err := req.Tx.SubjectBells(req.House.ID, fmt.Sprintf("sowing:%d", s.Num))
	if err != nil {
		return false
	}
	for _, b := range bells {
		if b.Step == step && !b.Stopped && !b.Next.IsZero() {
			return true
		}
	}
	return false
}

// hintsOf are what was to be otherwise this time, of the crops that are to be begun.
func hintsOf(req *desk.Request, jobs []job) ([]string, error) {
	var out []string
	told := map[string]bool{}
	for _, j := range jobs {
		if told[j.table.Name] || j.State != sowing.InWindow && j.State != sowing.Late {
			continue
		}
		told[j.table.Name] = true
		hints, err := req.NextTimes(desk.OfCrop(j.table.Name))
		if err != nil {
			return nil, err
		}
		for _, h := range hints {
			out = append(out, desk.Upper(j.called)+": "+h)
		}
	}
	return out, nil
}
