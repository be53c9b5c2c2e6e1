package day

import (
	"time"

	"yardbell/handlers/desk"
	"yardbell/reminders"
)

// setTurn sets when the day is told or looked back on next: at the morning round and at
// the evening look; never for a household that keeps no day.
func setTurn(req *desk.Request, keeps bool) error {
	if !keeps {
		return req.Tx.SetTurn(req.House.ID, time.Time{})
	}
	return req.Tx.SetTurn(req.House.ID, nextTurn(req))
}

func nextTurn(req *desk.Request) time.Time {
	today := reminders.Day(req.Wall)
	for _, day := range []time.Time{today, today.AddDate(0, 0, 1)} {
		for _, at := range []time.Time{reminders.AtMinutes(day, req.House.Rounds[0]), reminders.AtMinutes(day, eveningOf(req))} {
			if t := req.Instant(at); t.After(req.Now) {
				return t
			}
		}
	}
	return req.Now.Add(24 * time.Hour)
}
