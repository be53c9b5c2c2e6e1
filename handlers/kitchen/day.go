package kitchen

import (
	"fmt"
	"time"

	"yardbell/calc/dayplan"
	"yardbell/handlers/desk"
	"yardbell/reminders"
	"yardbell/storage"
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
	return feedJob(req, out)
}

// feedTakes is how long it takes to weigh and stir a feed (common practice).
const feedTakes = 10 * time.Minute

// feedJob adds the feed of a jar that keeps to days: one on the counter has its hour.
func feedJob(req *desk.Request, jobs []desk.Job) ([]desk.Job, error) {
	bells, err := req.Tx.SubjectBells(req.House.ID, "jar")
	if err != nil {
		return nil, err
	}
	for _, b := range bells {
		j, due, err := req.BellJob(b, feedTakes)
		if err != nil {
			return nil, err
		}
		if j.Help = true; due {
			jobs = append(jobs, j)
		}
	}
	return jobs, nil
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
		cooks, err := cooksOf(req, m)
		if err != nil {
			return nil, err
		}
		for _, s := range slots {
			if s.Step.Attended && len(cooks) > 0 && s.End.Sub(s.Start) >= desk.Worth {
				out = append(out, desk.Taken{Who: cooks, From: s.Start, To: s.End})
			}
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

// cooksOf is who is rung for the work of a meal, where that is somebody and not whoever
// is there.
func cooksOf(req *desk.Request, m storage.Meal) ([]int64, error) {
	bells, err := req.Tx.SubjectBells(req.House.ID, mealSubject(m))
	if err != nil {
		return nil, err
	}
	for _, b := range bells {
		if who := reminders.Expand(b.Whom, req.People, req.Now); !b.Safety && b.Step != dayplan.Serve.String() && len(who) == 1 {
			return []int64{who[0].ID}, nil
		}
	}
	return nil, nil
}
