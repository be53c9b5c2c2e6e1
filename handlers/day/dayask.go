package day

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// What is asked of the day besides the whole of it: when a block is, what was not done, and
// the same days in fewer words.

func dayQuestions() []desk.Ask {
	days := []phrase.Kind{phrase.KindDate, phrase.KindDays, phrase.KindPart}
	school := []string{"day school weekdays 9:30-12:30 kids"}
	fence := []string{"job fence by the sow, Tom, dry day, 2 hours, no children"}
	return []desk.Ask{
		{
			Name: "block", Command: "block", Text: true, Keep: true, Question: true, Kinds: days, Lists: []string{"people"}, Help: "when a block of the day is",
			Forms:    []string{"^when|when's|whens is|are", "^when's|whens", "^what time is|does", "^what time's", "^how long is|does"},
			Examples: []desk.Example{{Setup: school, Line: "when is school"}, {Setup: school, Line: "what time does school end tomorrow"}}, Plain: asksBlock, Strict: true, Do: whenBlock,
		},
		{
			Name: "today", Command: "today", Text: true, Keep: true, Question: true, Kinds: days, Help: "what was not done",
			Forms:    []string{"what|whats|what's * not|didn't|didnt|isn't|undone", "^what did we not", "^what|whats|what's got left"},
			Examples: []desk.Example{{Setup: fence, Line: "what didn't get done"}, {Setup: fence, Line: "what's not done today"}}, Plain: asksUndone, Strict: true, Do: undone,
		},
		{
			Name: "today", Command: "house", Text: true, Keep: true, Question: true, Help: "when the clocks change", Forms: []string{"^when do|does the clocks|clock", "clocks change|go"},
			Examples: []desk.Example{{Line: "when do the clocks change"}}, Plain: asksClocks, Strict: true, Do: clocksChange,
		},
		{
			Name: "today", Command: "today", Keep: true, Kinds: days, Help: "another day in a word",
			Forms: []string{"^today", "^tomorrow", "^on"}, Examples: []desk.Example{{Line: "/today tomorrow"}}, Plain: onlyDay, Strict: true, Do: dayNamed,
		},
	}
}

// onlyDay takes a line for the bot that is nothing but a day. Among people "tomorrow" is an
// answer.
func onlyDay(req *desk.Request) bool {
	return req.Direct && daySaid(req) && onlyWords(req, "", "today", "tomorrow", "on", "the")
}

// dayNamed tells the day that a line names last: the command is a day too.
func dayNamed(req *desk.Request) (desk.Reply, error) {
	d := req.Reading.Of(phrase.KindDate)
	if len(d) == 0 {
		return today(req)
	}
	return tellDay(req, d[len(d)-1].Value.(phrase.Date).Next)
}

var askBlockFill = strings.Fields("when when's whens what what's time is are does do the our it start begin begins starts end ends over finish finishes out at today tomorrow on how long does last this next morning afternoon evening time's")

// asksBlock takes a question only when nothing but a block of the household is in it, and
// no job is called so.
func asksBlock(req *desk.Request) bool {
	b := namedIn(req)
	if b == nil {
		return false
	}
	title := phrase.Words(b.Title)
	return !slices.ContainsFunc(req.Reading.Tokens, func(t phrase.Token) bool {
		return t.Kind == phrase.Word && !slices.Contains(askBlockFill, t.Low) && !slices.Contains(title, t.Low) && !dated(req, t)
	})
}

// dated reports a word that is part of a day or of a time.
func dated(req *desk.Request, t phrase.Token) bool {
	return slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool {
		return t.Start >= s.Start && t.End <= s.End && slices.Contains([]phrase.Kind{phrase.KindDate, phrase.KindDays, phrase.KindPart, phrase.KindClock}, s.Kind)
	})
}

// mostDaysAhead is how far ahead the next time of a block is looked for.
const mostDaysAhead = 14

// whenBlock says when a block takes place: on the day that was asked for, or next, with
// what was said of that day.
func whenBlock(req *desk.Request) (desk.Reply, error) {
	b := namedIn(req)
	if b == nil {
		return desk.Reply{}, desk.ErrSilent
	}
	day := dateMeant(req)
	last := day
	if !daySaid(req) {
		last = day.AddDate(0, 0, mostDaysAhead)
	}
	for ; !day.After(last); day = day.AddDate(0, 0, 1) {
		d, err := dayOf(req, day)
		if err != nil {
			return desk.Reply{}, err
		}
		for _, s := range d.blocks {
			if !strings.EqualFold(s.Title, b.Title) || s.from.Before(day) || !daySaid(req) && !s.to.After(req.Wall) {
				continue
			}
			say := fmt.Sprintf("%s: %s %s-%s, %s.", desk.Upper(b.Title), reminders.SayDay(day, req.Wall, req.House.DayFirst), s.from.Format("15:04"), s.to.Format("15:04"), reminders.SayWhom(reminders.People(s.who...), req.People, req.Now))
			return desk.Answer(say, "always: "+sayBlock(req, *b)), nil
		}
	}
	if daySaid(req) {
		return desk.Answer(fmt.Sprintf("No %s on %s.", b.Title, reminders.SayDay(dateMeant(req), req.Wall, req.House.DayFirst)), "always: "+sayBlock(req, *b)), nil
	}
	return desk.Answer(fmt.Sprintf("No %s in the next %d days.", b.Title, mostDaysAhead), "always: "+sayBlock(req, *b)), nil
}

func asksClocks(req *desk.Request) bool {
	return req.Mentions("when", "do", "does") && onlyWords(req, "", "when", "do", "does", "the", "clocks", "clock", "change", "go", "back", "forward", "on", "next", "this", "year")
}

// clocksChange says when the household's clocks change next, and which way.
func clocksChange(req *desk.Request) (desk.Reply, error) {
	_, is := req.Now.In(req.House.Zone).Zone()
	for day := reminders.Day(req.Wall); day.Before(req.Wall.AddDate(1, 0, 0)); day = day.AddDate(0, 0, 1) {
		_, then := req.Instant(day.AddDate(0, 0, 1)).In(req.House.Zone).Zone()
		by := time.Duration(then-is) * time.Second
		is = then
		if by == 0 || by > 0 && req.Mentions("back") || by < 0 && req.Mentions("forward") {
			continue
		}
		way := "forward: an hour of that night is left out"
		if by < 0 {
			way = "back: an hour of that night comes twice"
		}
		return desk.Answer(fmt.Sprintf("%s, by %s %s.", reminders.SayDay(day, req.Wall, req.House.DayFirst), reminders.SayDuration(by.Abs()), way), "Bells keep to the household's clock."), nil
	}
	return desk.Answer("The clocks of " + req.House.Zone.String() + " do not change in the year to come."), nil
}

var undoneFill = strings.Fields("what whats what's is was not didn't didnt isn't undone done do did we get got left over yet still today of the jobs job yesterday so far")

func asksUndone(req *desk.Request) bool {
	return onlyWords(req, "", undoneFill...)
}

// undone tells what waits for an answer, and the jobs that were not done when they were
// laid.
func undone(req *desk.Request) (desk.Reply, error) {
	lines, err := req.Roster.Today(req)
	if err != nil {
		return desk.Reply{}, err
	}
	l, err := layJobs(req)
	if err != nil {
		return desk.Reply{}, err
	}
	var buttons []storage.Button
	for _, j := range l.jobs {
		if l.moved(j.Key) == 0 {
			continue
		}
		lines = append(lines, j.Title+l.standing(j.Key))
		if j.Done != "" {
			buttons = append(buttons, desk.Labelled("Done: "+j.Title, j.Done))
		}
	}
	if len(lines) == 0 {
		return desk.Answer("Nothing is left undone."), nil
	}
	reply := desk.Answer("Not done:", lines...)
	reply.Buttons = buttons
	return reply, nil
}

// laidDays are the jobs as they are laid now, for the calendar: those of other days are in
// the plan, and a calendar that is read in again moves them.
func laidDays(req *desk.Request, until time.Time) ([]desk.Dated, error) {
	keeps, err := hasDay(req)
	if err != nil || !keeps {
		return nil, err
	}
	l, err := layJobs(req)
	if err != nil {
		return nil, err
	}
	var out []desk.Dated
	for _, p := range l.plan.Placed {
		j := l.job(p.Job)
		if day := reminders.Day(p.From); !day.After(until) && j.Bell == 0 {
			out = append(out, desk.Dated{ID: laidID + j.Key, Day: day, Title: fmt.Sprintf("%s, %s, %s-%s", j.Title, desk.List(p.Who), p.From.Format("15:04"), p.To.Format("15:04"))})
		}
	}
	return out, nil
}

// laidID begins the name of a laid job among the days to come.
const laidID = "laid:"
