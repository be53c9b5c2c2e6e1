package chores

import (
	"fmt"
	"slices"
	"sort"
	"time"

	"yardbell/calc/childwork"
	"yardbell/handlers/desk"
	"yardbell/reminders"
	"yardbell/storage"
)

// turn is one time that a chore comes round: one that has rung, or one to come.
type turn struct {
	due   time.Time
	chore storage.Chore
	bell  storage.Bell
	to    []storage.Person
	ring  storage.Ring // of one that has rung
	rung  bool
	doers []int64 // who did it; none when nobody has

	besides bool      // done on a day on which it was not due
	next    time.Time // of such a one at another hour of the day: when it is due still
}

// turns returns the turns of some chores that fall due in [from, to), in order.
func turns(req *desk.Request, chores []storage.Chore, from, to time.Time) ([]turn, error) {
	home, err := req.Home()
	if err != nil {
		return nil, err
	}
	var out []turn
	var coming []storage.Bell
	of := map[string]storage.Chore{}
	for _, c := range chores {
		of[c.Subject()] = c
		bells, err := req.Tx.SubjectBells(req.House.ID, c.Subject())
		if err != nil {
			return nil, err
		}
		for _, b := range bells {
			past, err := rung(req, c, b, from, to)
			if err != nil {
				return nil, err
			}
			out = append(out, past...)
			if !b.Stopped {
				coming = append(coming, b)
			}
		}
	}
	if !to.After(req.Now) {
		return inOrder(out), nil
	}
	planned, err := home.Rehearse(coming, req.Now, to.AddDate(0, 0, 1))
	if err != nil {
		return nil, err
	}
	done, err := aheadOf(req, from)
	if err != nil {
		return nil, err
	}
	for _, p := range planned {
		if p.Due.Before(from) || !p.Due.Before(to) || p.Due.Before(req.Now.Add(-time.Minute)) {
			continue
		}
		t := turn{due: p.Due, chore: of[p.Bell.Subject], bell: p.Bell, to: p.To}
		t.doers = done[fmt.Sprint(t.chore.Num, p.Due.Unix())]
		out = append(out, t)
	}
	return inOrder(out), nil
}

func inOrder(all []turn) []turn {
	sort.SliceStable(all, func(i, j int) bool { return all[i].due.Before(all[j].due) })
	return all
}

// rung returns the turns of a bell that have rung.
func rung(req *desk.Request, c storage.Chore, b storage.Bell, from, to time.Time) ([]turn, error) {
	rings, err := req.Tx.BellRings(b.ID, from, to)
	if err != nil {
		return nil, err
	}
	var out []turn
	for _, g := range rings {
		if b.Rest.Has(reminders.Day(req.WallOf(g.Due))) {
			continue
		}
		t := turn{due: g.Due, chore: c, bell: b, ring: g, rung: true, to: reminders.Expand(g.Whom, req.People, req.Now)}
		w, ok, err := req.Tx.WorkOf(req.House.ID, c.Num, g.Due)
		if err != nil {
			return nil, err
		}
		if ok && w.Due.Equal(g.Due) {
			t.doers = w.Doers
		}
		out = append(out, t)
	}
	return out, nil
}

// aheadOf returns what was done before its time came, by chore and due time.
func aheadOf(req *desk.Request, from time.Time) (map[string][]int64, error) {
	works, err := req.Tx.Works(req.House.ID, from.AddDate(0, 0, -2), req.Now.Add(time.Second))
	out := map[string][]int64{}
	for _, w := range works {
		out[fmt.Sprint(w.Chore, w.Due.Unix())] = w.Doers
	}
	return out, err
}

// open reports a turn that is still to be done.
func (t turn) open() bool { return len(t.doers) == 0 && (!t.rung || t.ring.Answer == "") }

// sayAt writes a turn of a day: "07:00 feed the hens, Ivo: done by Lise".
func (t turn) sayAt(req *desk.Request) string {
	return fmt.Sprintf("%s %s, %s%s", req.WallOf(t.due).Format("15:04"), t.chore.Name, t.who(), t.state(req))
}

func (t turn) who() string {
	switch {
	case len(t.to) == 0:
		return "nobody"
	case t.anybodys() && len(t.to) > 3:
		return "whoever is free"
	case t.anybodys():
		return "whoever is free of " + names(t.to)
	}
	return names(t.to)
}

// anybodys reports a turn that is nobody's yet: whoever of several is free.
func (t turn) anybodys() bool {
	return t.chore.How == storage.ChoreFree && len(t.to) > 1 && len(t.doers) == 0
}

// state is what has become of a turn.
func (t turn) state(req *desk.Request) string {
	switch {
	case len(t.doers) > 0:
		by := namesOf(req, t.doers)
		if by == names(t.to) {
			return ": done"
		}
		return ": done by " + by
	case !t.rung:
		return ""
	case t.ring.Answer == "":
		return ": not done yet"
	case t.ring.Answer == storage.AnswerSkip:
		return ": skipped"
	}
	return ": missed"
}

func namesOf(req *desk.Request, who []int64) string {
	var out []string
	for _, id := range who {
		out = append(out, req.NameOf(id))
	}
	return desk.List(out)
}

// span is a run of days that a line asks about.
type span struct {
	from, to time.Time // wall dates; to is the day after the last
	said     string    // "today", "on Sat 6 Mar", "this week"
}

func (s span) instants(req *desk.Request) (from, to time.Time) {
	return req.Instant(s.from), req.Instant(s.to)
}

// monday is the first day of the week of a date.
func monday(day time.Time) time.Time { return day.AddDate(0, 0, -(int(day.Weekday())+6)%7) }

// ofPerson keeps the turns that are somebody's: whoever did it, else whose it is.
func ofPerson(all []turn, id int64) []turn {
	return slices.DeleteFunc(slices.Clone(all), func(t turn) bool {
		if len(t.doers) > 0 {
			return !slices.Contains(t.doers, id)
		}
		return !slices.ContainsFunc(t.to, func(p storage.Person) bool { return p.ID == id })
	})
}

// today adds the chores of the day that are left to the household's day.
func today(req *desk.Request) ([]string, error) {
	all, err := live(req)
	if err != nil || len(all) == 0 {
		return nil, err
	}
	day := reminders.Day(req.Wall)
	list, err := turns(req, all, req.Instant(day), req.Instant(day.AddDate(0, 0, 1)))
	if err != nil {
		return nil, err
	}
	done := 0
	for _, t := range list {
		if len(t.doers) > 0 {
			done++
		}
	}
	if len(list) == 0 {
		return nil, nil
	}
	return []string{fmt.Sprintf("chores: %d of %d done", done, len(list))}, nil
}

// openJobs are the chores of today that have no hour and take a while: those with an hour
// ring at it.
func openJobs(req *desk.Request) ([]desk.Job, error) {
	day := reminders.Day(req.Wall)
	list, err := longTurns(req, req.Instant(day), req.Instant(day.AddDate(0, 0, 1)))
	if err != nil {
		return nil, err
	}
	var out []desk.Job
	for _, t := range list {
		if !t.bell.Daily || !t.open() {
			continue
		}
		j := desk.Job{
			Key: fmt.Sprintf("chore:%d:%s", t.chore.Num, day.Format(time.DateOnly)), Title: t.chore.Name, Takes: t.takes(),
			From: day, Due: day, Latest: day, Bell: t.bell.Num, Kids: leastAge(t.chore), Needs: desk.Needs{Elsewhere: reminders.Dangerous(t.chore.Name)},
		}
		if !t.anybodys() {
			for _, p := range t.to {
				j.By = append(j.By, p.ID)
			}
		}
		out = append(out, j)
	}
	return out, nil
}

// leastAge is from what age a child does a chore alone; 0 for never.
func leastAge(c storage.Chore) int {
	if reminders.Dangerous(c.Name) {
		return 0
	}
	return max(c.Least, childwork.Judge(c.Name).Least, childwork.Youngest)
}

// atWork is who is at a chore at its hour, where it takes a while.
func atWork(req *desk.Request, from, to time.Time) ([]desk.Taken, error) {
	list, err := longTurns(req, req.Instant(from), req.Instant(to.AddDate(0, 0, 1)))
	if err != nil {
		return nil, err
	}
	var out []desk.Taken
	for _, t := range list {
		if t.bell.Daily || !t.open() || t.anybodys() {
			continue
		}
		one := desk.Taken{From: req.WallOf(t.due), To: req.WallOf(t.due).Add(t.takes())}
		for _, p := range t.to {
			one.Who = append(one.Who, p.ID)
		}
		if len(one.Who) > 0 {
			out = append(out, one)
		}
	}
	return out, nil
}

func (t turn) takes() time.Duration { return time.Duration(t.chore.Minutes) * time.Minute }

// longTurns are the turns of chores that take a while.
func longTurns(req *desk.Request, from, to time.Time) ([]turn, error) {
	all, err := live(req)
	if err != nil {
		return nil, err
	}
	long := slices.DeleteFunc(all, func(c storage.Chore) bool { return time.Duration(c.Minutes)*time.Minute < desk.Worth })
	if len(long) == 0 {
		return nil, nil
	}
	return turns(req, long, from, to)
}
