package kitchen

import (
	"fmt"
	"slices"
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
		out = append(out, desk.Job{
			Key: "meal:" + fmt.Sprint(m.Num), Title: "cook " + m.Recipe, Takes: cookTakes, Help: true, Needs: desk.Needs{Kitchen: true},
			From: m.Day, Latest: m.Day, Pressure: 1,
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

// comes tells the meals of some days, and what in the larder comes to its date.
func comes(req *desk.Request, from, to time.Time) ([]desk.Coming, error) {
	meals, err := req.Tx.Meals(req.House.ID, from, to)
	if err != nil {
		return nil, err
	}
	var out []desk.Coming
	for _, m := range meals {
		text := m.Recipe + forWhom(m)
		if !m.At.IsZero() {
			text = req.WallOf(m.At).Format("15:04") + " " + text
		}
		out = append(out, desk.Coming{Day: m.Day, Text: text})
	}
	lots, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return nil, err
	}
	for _, l := range lots {
		if !l.Held(req.Now) && !l.Best.IsZero() && !l.Best.Before(from) && !l.Best.After(to) {
			out = append(out, desk.Coming{Day: l.Best, Text: "the " + l.Item + " is best before then"})
		}
	}
	slices.SortStableFunc(out, func(a, b desk.Coming) int { return a.Day.Compare(b.Day) })
	return out, nil
}
