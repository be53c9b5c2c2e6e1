package kitchen

import (
	"time"

	"yardbell/handlers/desk"
	"yardbell/reminders"
)

// mealDays are the meals to come that no bell rings for: those of a day without a time.
func mealDays(req *desk.Request, until time.Time) ([]desk.Dated, error) {
	meals, err := req.Tx.Meals(req.House.ID, reminders.Day(req.Wall), until)
	if err != nil {
		return nil, err
	}
	bells, err := req.Tx.ComingBells(req.House.ID)
	if err != nil {
		return nil, err
	}
	rung := map[string]bool{}
	for _, b := range bells {
		rung[b.Subject] = true
	}
	var out []desk.Dated
	for _, m := range meals {
		if subject := mealSubject(m); !rung[subject] {
			out = append(out, desk.Dated{ID: subject, Day: m.Day, Title: m.Recipe + forWhom(m)})
		}
	}
	return out, nil
}
