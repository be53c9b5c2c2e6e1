package kitchen

import (
	"fmt"
	"time"

	"yardbell/calc/dayplan"
	"yardbell/handlers/desk"
	"yardbell/reminders"
)

// What the kitchen hands in to the household's day.
const (
	cookTakes = time.Hour // a meal for which nobody said when or how (assumed)
	pullsDate = 7         // days ahead in which a date on a pack is told
)

// openJobs are today's meals that have no time yet: those with one have their bells.
func openJobs(req *desk.Request) ([]desk.Job, error) {
	day := reminders.Day(req.Wall)
	meals, err := req.Tx.Meals(req.House.ID, day, day.AddDate(0, 0, pullsDate-1))
	if err != nil {
		return nil, err
	}
	var out []desk.Job
	for _, m := range meals {
		if m.Over || !m.At.IsZero() || m.Recipe == "" {
			continue
		}
		hints, err := hintsOf(req, m.Recipe)
		if err != nil {
			return nil, err
		}
		out = append(out, desk.Job{
			Key: "meal:" + fmt.Sprint(m.Num), Title: "cook " + m.Recipe, Takes: cookTakes, Help: true, Needs: desk.Needs{Kitchen: true},
			From: m.Day, Latest: m.Day, Pressure: 1, Hints: hints,
		})
	}
	return out, nil
}

// inUse is when a cook is at work, and when the oven is on.
func inUse(req *desk.Request, from, to time.Time) ([]desk.Taken, error) {
	meals, err := req.Tx.Meals(req.House.ID, from, to)
	if err != nil {
		return nil, err
	}
	var out []desk.Taken
	for _, m := range meals {
		slots, _, err := slotsOf(req, m)
		if err != nil {
			return nil, err
		}
		for _, s := range slots {
			if s.Step.Attended && s.Step.Kind != dayplan.Serve {
				out = append(out, desk.Taken{From: s.Start, To: s.End})
			}
			if s.Step.Uses == dayplan.Oven {
				out = append(out, desk.Taken{Oven: true, From: s.Start, To: s.End})
			}
		}
	}
	return out, nil
}
