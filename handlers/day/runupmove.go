package day

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// The day of a run-up in plain words: "butcher day on 20 March" sets it, "butcher day moved
// to 27 March" moves what is not done, "butcher day is off" takes off what is ahead.

func runUpDayAsk() desk.Ask {
	kept := []string{butcher}
	set := []string{butcher, "run-up butcher day 22 march"}
	return desk.Ask{
		Name: "runup", Command: "runup", Text: true, Keep: true, Strict: true, Kinds: []phrase.Kind{phrase.KindDate}, Help: "a run-up that is kept is set for a day, moves to another, or is off",
		Forms:    []string{"on|to|is|off|for|moved|moves|move|cancelled|canceled", "^drop|cancel|no", "day", "today|tomorrow|monday|tuesday|wednesday|thursday|friday|saturday|sunday"},
		Examples: []desk.Example{{Setup: kept, Line: "butcher day on 20 March"}, {Setup: set, Line: "butcher day moved to 27 March"}, {Setup: set, Line: "butcher day is off"}},
		Plain:    plainRunUpDay, Do: runUpDay,
	}
}

// runUpWords are the words of such a line beside the name and the date.
var runUpWords = strings.Fields("on to is it's its the our for of off moved moves move now instead please then will be this next day drop cancel cancelled canceled no put and so again also")

// runUpOff reports a line by which a run-up does not take place.
func runUpOff(req *desk.Request) bool {
	return req.Mentions("off", "cancelled", "canceled", "cancel", "drop", "no")
}

func plainRunUpDay(req *desk.Request) bool {
	r, ok := runUpIn(req, " "+strings.Join(phrase.Words(req.Text), " ")+" ")
	if !ok || strings.ContainsAny(req.Text, "?!") || asks(req) || strings.HasPrefix(strings.ToLower(strings.TrimLeft(req.Text, "/ ")), "run") || !onlyWords(req, r.Name, runUpWords...) {
		return false
	}
	dates := len(req.Reading.Of(phrase.KindDate))
	return dates == 1 && !runUpOff(req) || dates <= 1 && runUpOff(req)
}

func runUpDay(req *desk.Request) (desk.Reply, error) {
	r, ok := runUpIn(req, " "+strings.Join(phrase.Words(req.Text), " ")+" ")
	if !ok {
		return desk.Reply{}, desk.ErrSilent
	}
	if runUpOff(req) {
		return offRunUp(req, r)
	}
	day := req.Reading.Of(phrase.KindDate)[0].Value.(phrase.Date).Next
	set, is, err := setFor(req, r)
	if err != nil {
		return desk.Reply{}, err
	}
	if is && !set.day.Equal(day) && req.Mentions("moved", "moves", "move", "now", "instead", "put") {
		return moveRunUp(req, r, set, day)
	}
	return useRunUp(req, r, day)
}

// use is for which day a run-up is set, and when that was written down: its bells and jobs
// were made then.
type use struct {
	day  time.Time
	made time.Time
}

// setFor is the use of a run-up that is not over.
func setFor(req *desk.Request, r storage.RunUp) (u use, is bool, err error) {
	found, err := req.Tx.Book(req.House.ID, storage.BookQuery{About: runUpSubject(r), Limit: 20})
	if err != nil {
		return u, false, err
	}
	for _, e := range found { // the newest first
		if strings.HasSuffix(e.Text, " is off") {
			return u, false, nil
		}
		when, ok := strings.CutPrefix(e.Text, "run-up "+r.Name+" for ")
		if day, err := time.Parse(time.DateOnly, when); ok && err == nil {
			return use{day, e.Written}, !day.Before(reminders.Day(req.Wall)), nil
		}
	}
	return u, false, nil
}

// openStep is a step of a run-up that is set and not done: its bell or its job.
type openStep struct {
	storage.RunUpStep
	bell storage.Bell
	job  storage.Job
}

// openSteps are the steps of a run-up as it was set that are not done, and the titles of those
// that are, or never were set.
func openSteps(req *desk.Request, r storage.RunUp, u use) (open []openStep, done []string, err error) {
	bells, err := openBells(req, r, u)
	if err != nil {
		return nil, nil, err
	}
	jobs, err := req.Tx.Jobs(req.House.ID)
	if err != nil {
		return nil, nil, err
	}
	for _, s := range r.Steps {
		said := stepSaid(req, s.Text)
		j := slices.IndexFunc(jobs, func(j storage.Job) bool { return j.Title == said.title && j.Made.Equal(u.made) })
		b := slices.IndexFunc(bells, func(b storage.Bell) bool { return b.Title == said.title && b.Step == strconv.Itoa(s.Days) })
		switch {
		case said.isJob() && j >= 0:
			open = append(open, openStep{RunUpStep: s, job: jobs[j]})
			jobs = slices.Delete(jobs, j, j+1)
		case !said.isJob() && b >= 0:
			open = append(open, openStep{RunUpStep: s, bell: bells[b]})
			bells = slices.Delete(bells, b, b+1)
		default:
			done = append(done, said.title)
		}
	}
	return open, done, nil
}

// openBells are the bells of a use that will ring, or ring now.
func openBells(req *desk.Request, r storage.RunUp, u use) (out []storage.Bell, err error) {
	bells, err := req.Tx.SubjectBells(req.House.ID, runUpSubject(r))
	if err != nil {
		return nil, err
	}
	for _, b := range bells {
		ringing, err := req.Tx.RingsOf(b.ID)
		if err != nil {
			return nil, err
		}
		if !b.Stopped && b.Made.Equal(u.made) && (!b.Next.IsZero() || len(ringing) > 0) {
			out = append(out, b)
		}
	}
	return out, nil
}

// drop takes an open step off.
func (s openStep) drop(req *desk.Request) error {
	if s.job.ID != 0 {
		return req.Tx.CloseJob(s.job.ID, storage.JobDropped, req.Now)
	}
	return req.Tx.StopBell(s.bell.ID, req.Now)
}

// moveRunUp moves the steps that are not done to another day. One whose day would be past
// is to be done today.
func moveRunUp(req *desk.Request, r storage.RunUp, from use, to time.Time) (desk.Reply, error) {
	if reply, no := mayNot(req, "the run-ups"); no {
		return reply, nil
	}
	today := reminders.Day(req.Wall)
	if to.Before(today) {
		return desk.Refuse("That day is over. Nothing was moved."), nil
	}
	say := func(t time.Time) string { return reminders.SayDay(t, req.Wall, req.House.DayFirst) }
	open, done, err := openSteps(req, r, from)
	if err != nil {
		return desk.Reply{}, err
	}
	if err := recordRunUp(req, r, "for "+to.Format(time.DateOnly)); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(fmt.Sprintf("%s moves to %s, was %s:", desk.Upper(r.Name), say(to), say(from.day)))
	for _, s := range open {
		if err := s.drop(req); err != nil {
			return desk.Reply{}, err
		}
		day := to
		if on := to.AddDate(0, 0, s.Days); on.Before(today) {
			reply.Lines = append(reply.Lines, fmt.Sprintf("%s %s: that day is past, so it is for today", say(on), stepSaid(req, s.Text).title))
			day = today.AddDate(0, 0, -s.Days)
		}
		if err := setStep(req, &reply, r, s.RunUpStep, day); err != nil {
			return desk.Reply{}, err
		}
	}
	for _, title := range done {
		reply.Lines = append(reply.Lines, "stays as it is: "+title)
	}
	reply.Buttons = []storage.Button{desk.Labelled("Bells", "bells"), desk.Labelled("Undo", "undo")}
	return relay(req, reply)
}

// offRunUp takes off what is ahead of a run-up; its list stays kept.
func offRunUp(req *desk.Request, r storage.RunUp) (desk.Reply, error) {
	set, is, err := setFor(req, r)
	if err != nil {
		return desk.Reply{}, err
	}
	if !is {
		return desk.AskBack(fmt.Sprintf("%s is set for no day. Is its list to be dropped?", desk.Upper(r.Name)), desk.Labelled("Drop the list", fmt.Sprintf("run-up %s drop", r.Name))), nil
	}
	if reply, no := mayNot(req, "the run-ups"); no {
		return reply, nil
	}
	open, _, err := openSteps(req, r, set)
	if err != nil {
		return desk.Reply{}, err
	}
	if err := recordRunUp(req, r, "is off"); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(fmt.Sprintf("%s, %s, is off.", desk.Upper(r.Name), reminders.SayDay(set.day, req.Wall, req.House.DayFirst)))
	for _, s := range open {
		if err := s.drop(req); err != nil {
			return desk.Reply{}, err
		}
		reply.Lines = append(reply.Lines, "taken off: "+stepSaid(req, s.Text).say(req))
	}
	reply.Lines = append(reply.Lines, "the list stays; to forget it: run-up "+r.Name+" drop")
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return relay(req, reply)
}
