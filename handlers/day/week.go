package day

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
)

func weekAsks() []desk.Ask {
	days := []phrase.Kind{phrase.KindDate, phrase.KindDays}
	return []desk.Ask{{
		Name: "week", Command: "week", Text: true, Keep: true, Question: true, Kinds: days, Help: "the week from a day, or next week",
		Forms:    []string{"^week", "^the week from", "^next week", "what's|whats * next week", "^what is|have|do|does * next week"},
		Examples: []desk.Example{{Line: "week from 8 march"}, {Line: "what's on next week"}}, Plain: plainOtherWeek, Strict: true, Do: otherWeek,
	}, {
		Name: "week", Command: "week", Help: "seven days ahead: what rings and for whom, jobs, meals, what ripens, cures, runs out", Fill: []string{"whats", "going", "happening", "due", "anything", "house", "doing"},
		Forms: []string{"^week$", "what's|whats * this week", "what is * this week", "^the week ahead$"}, Examples: []desk.Example{{Line: "week"}, {Line: "what's on this week?"}, {Line: "/week"}}, Do: week,
	}}
}

// plainOtherWeek takes a question for another week when nothing else is in it; "next week"
// alone is an answer.
func plainOtherWeek(req *desk.Request) bool {
	bare := len(phrase.Words(req.Text)) < 3 && !req.Direct && !strings.Contains(req.Text, "?")
	return !bare && (daySaid(req) || req.Mentions("next")) && onlyWords(req, "", "week", "next", "from", "the", "what's", "whats", "what", "is", "have", "has", "we", "got", "on", "do", "going", "happening", "for", "in", "there", "due", "house")
}

// otherWeek looks seven days ahead from a day that was named, or from next Monday.
func otherWeek(req *desk.Request) (desk.Reply, error) {
	today := reminders.Day(req.Wall)
	if req.Mentions("next") {
		return weekFrom(req, today.AddDate(0, 0, 7-(int(today.Weekday())+6)%7))
	}
	from, _ := daysMeant(req)
	return weekFrom(req, laterOf(from, today))
}

// mostOfWeek is how many lines of a week fit a screen.
const mostOfWeek = 40

// oftenInWeek is on how many days the same is told once for all of them.
const oftenInWeek = 4

// together tells what rings on most days in one line each, and returns the rest. Today's
// ring may be over.
func together(items []item, from time.Time) (often []string, rest []item) {
	days := map[string][]string{}
	for _, it := range items {
		if it.same != "" {
			days[it.same] = append(days[it.same], it.at.Format("Mon"))
		}
	}
	told := map[string]bool{}
	for _, it := range items {
		on := days[it.same]
		switch {
		case len(on) < oftenInWeek:
			rest = append(rest, it)
		case told[it.same]:
		case len(on) == ahead, len(on) == ahead-1 && !slices.Contains(on, from.Format("Mon")):
			often = append(often, "daily "+it.same)
		default:
			often = append(often, desk.List(on)+" "+it.same)
		}
		told[it.same] = true
	}
	slices.Sort(often)
	return often, rest
}

// week looks seven days ahead: what rings and for whom, what is laid, what comes round,
// and what was at this time last year.
func week(req *desk.Request) (desk.Reply, error) {
	return weekFrom(req, reminders.Day(req.Wall))
}

// weekFrom looks seven days ahead from a day.
func weekFrom(req *desk.Request, from time.Time) (desk.Reply, error) {
	now := from.Equal(reminders.Day(req.Wall))
	reply := desk.Answer("The week from " + reminders.SayDay(from, req.Wall, req.House.DayFirst))
	var waits []string
	var err error
	if now {
		if waits, err = req.Roster.Today(req); err != nil {
			return desk.Reply{}, err
		}
	}
	items, err := bellItems(req, from, ahead)
	if err != nil {
		return desk.Reply{}, err
	}
	coming, err := req.Roster.Dated(req, from.AddDate(0, 0, ahead-1))
	if err != nil {
		return desk.Reply{}, err
	}
	for _, c := range coming {
		if c.Day.Before(from) || strings.HasPrefix(c.ID, laidID) { // told with the jobs
			continue
		}
		items = append(items, item{at: c.Day.Add(24*time.Hour - time.Second), text: reminders.SayDay(c.Day, req.Wall, req.House.DayFirst) + " " + c.Title})
	}
	keeps, err := hasDay(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if !keeps && now {
		said, err := unlaid(req)
		if err != nil {
			return desk.Reply{}, err
		}
		waits = append(waits, said...)
	}
	reply.Lines = append(reply.Lines, waits...)
	var left []string
	if keeps {
		l, err := layJobs(req)
		if err != nil {
			return desk.Reply{}, err
		}
		for _, p := range l.plan.Placed {
			if p.From.Before(from) {
				continue
			}
			items = append(items, item{at: p.From, text: fmt.Sprintf("%s JOB %s, %s%s", reminders.SayTime(p.From, req.Wall, req.House.DayFirst), l.job(p.Job).Title, desk.List(p.Who), l.notes(p))})
		}
		for _, n := range l.plan.Left {
			if !now || l.waits(n.Job) {
				continue
			}
			left = append(left, desk.Upper(l.sayLeft(n))+".")
		}
		words, err := req.Tx.DayWords(req.House.ID, from, from.AddDate(0, 0, ahead-1))
		if err != nil {
			return desk.Reply{}, err
		}
		for _, w := range words {
			items = append(items, item{at: w.Day, text: sayDayWord(req, w)})
		}
	}
	often, items := together(inTime(items), from)
	reply.Lines = append(reply.Lines, often...)
	for i, it := range items {
		if i == mostOfWeek {
			reply.Lines = append(reply.Lines, fmt.Sprintf("and %d more", len(items)-i))
			break
		}
		reply.Lines = append(reply.Lines, it.text)
	}
	before, err := lastYear(req, from)
	if err != nil {
		return desk.Reply{}, err
	}
	reply.Lines = slices.Concat(reply.Lines, left, before)
	if len(reply.Lines) == 0 {
		reply.Lines = []string{"nothing is due"}
		if keeps {
			reply.Lines = []string{"nothing is due but the blocks of the days: blocks"}
		}
	}
	return reply, nil
}
