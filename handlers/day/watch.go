package day

import (
	"fmt"
	"slices"
	"time"

	plan "yardbell/calc/day"
	"yardbell/handlers/desk"
	"yardbell/reminders"
	"yardbell/storage"
)

// setWatch sets when the day is told or looked back on next: at the morning round and at
// the evening look; never for a household that keeps no day.
func setWatch(req *desk.Request, keeps bool) error {
	if !keeps {
		return req.Tx.SetWatch(req.House.ID, time.Time{})
	}
	return req.Tx.SetWatch(req.House.ID, nextWatch(req))
}

func nextWatch(req *desk.Request) time.Time {
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

// told is how long after its time a day is still told, or looked back on: later it would
// only be noise.
const told = 3 * time.Hour

// watch tells the household's day in the morning and looks back in the evening. What was
// not done moves on both times.
func watch(req *desk.Request) error {
	keeps, err := hasDay(req)
	if err != nil {
		return err
	}
	if err := setWatch(req, keeps); err != nil || !keeps {
		return err
	}
	l, err := layJobs(req)
	if err != nil {
		return err
	}
	if err := l.keep(); err != nil {
		return err
	}
	today := reminders.Day(req.Wall)
	morning := reminders.AtMinutes(today, req.House.Rounds[0])
	evening := reminders.AtMinutes(today, eveningOf(req))
	switch {
	case !req.Wall.Before(evening) && req.Wall.Sub(evening) < told:
		return l.lookBack()
	case !req.Wall.Before(morning) && req.Wall.Before(evening) && req.Wall.Sub(morning) < told:
		return l.tellMorning()
	}
	return nil
}

// tellMorning posts the day to the household, and to each child their own.
func (l *laying) tellMorning() error {
	reply, err := tellDay(l.req, reminders.Day(l.req.Wall))
	if err != nil {
		return err
	}
	for i, line := range l.movedOn() {
		reply.Lines = slices.Insert(reply.Lines, i, "not done, moved on: "+line)
	}
	if err := l.post(reply); err != nil {
		return err
	}
	for _, p := range children(l.req) {
		own, err := ownDay(l.req, p, reminders.Day(l.req.Wall))
		if err != nil {
			return err
		}
		own.At, own.Kind, own.To, own.Status = l.req.Now, storage.KindRing, p.Name, ""
		if err := l.req.Tx.Post(l.req.House.ID, 0, own); err != nil {
			return err
		}
	}
	return nil
}

// lookBack says in the evening what was not done and has moved on, and asks about what
// has moved too often. A day on which all was done needs no words.
func (l *laying) lookBack() error {
	lines := l.movedOn()
	if len(lines) == 0 {
		return nil
	}
	reply := desk.Answer("Not done today, moved on:", lines...)
	for _, t := range l.tasks {
		if t.Moved >= plan.OftenMoved && t.Moved%plan.OftenMoved == 0 { // not every evening anew
			reply.Lines = append(reply.Lines, l.often(t))
			reply.Buttons = append(reply.Buttons, l.choices(t.ID)...)
		}
	}
	return l.post(reply)
}

// movedOn tells the jobs that moved on since the plan before.
func (l *laying) movedOn() []string {
	var out []string
	for _, t := range l.tasks {
		if t.Moved <= l.movedBefore(t.ID) || l.job(t.ID).Bell > 0 { // its bell says so
			continue
		}
		text := l.job(t.ID).Title + ": fits nowhere yet"
		for _, p := range l.plan.Placed {
			if p.Job == t.ID {
				text = l.place(p)
			}
		}
		if t.Moved > 1 {
			text += fmt.Sprintf("; moved %s now", times(t.Moved))
		}
		text += l.late(t.ID)
		out = append(out, text)
	}
	return out
}

// movedBefore is how often a job had moved on in the plan before.
func (l *laying) movedBefore(key string) int {
	for _, w := range l.was {
		if w.Key == key {
			return w.Moved
		}
	}
	return 0
}

// post sends a message of the house itself to the household.
func (l *laying) post(m desk.Reply) error {
	m.At, m.Kind, m.Status = l.req.Now, storage.KindNotice, ""
	return l.req.Tx.Post(l.req.House.ID, 0, m)
}
