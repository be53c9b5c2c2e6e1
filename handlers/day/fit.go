package day

import (
	"fmt"
	"slices"
	"strings"
	"time"

	plan "yardbell/calc/day"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

func fitAsk() desk.Ask {
	seeds := []string{"job sort the seed packets, 20 min, children may be near"}
	return desk.Ask{
		Name: "today", Command: "job", Text: true, Question: true, Keep: true, Kinds: []phrase.Kind{phrase.KindDuration}, Lists: []string{"people"}, Help: "what open job fits now, into so much time",
		Forms:    []string{"^what can|could|should i|we do", "what can|could|should i|we do$", "^what fits", "^what can|could|should * do"},
		Examples: []desk.Example{{Setup: seeds, Line: "what can I do in 30 minutes"}, {Setup: seeds, Line: "I have half an hour, what can I do"}, {Setup: seeds, Line: "what can I do now"}},
		Plain:    plainFit, Do: whatFits,
	}
}

var fitWords = strings.Fields("what can could should i we do in now with next first for i've have got i'll a an the to just only about free fits spare there is half hour hours minutes minute min mins of time")

// plainFit takes a question only when nothing else is in it.
func plainFit(req *desk.Request) bool {
	for i, t := range req.Reading.Tokens {
		covered := slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool { return i >= s.First && i < s.Past })
		if t.Kind == phrase.Word && !covered && !slices.Contains(fitWords, t.Low) {
			return false
		}
	}
	return len(req.Reading.Of(phrase.KindDuration)) > 0 || req.Mentions("now", "next", "first", "fits")
}

// mostFits is how many jobs are offered.
const mostFits = 4

// whatFits names the open jobs that the speaker could begin now and end in time.
func whatFits(req *desk.Request) (desk.Reply, error) {
	within := longestJob
	if d := req.Reading.Of(phrase.KindDuration); len(d) > 0 {
		within = d[0].Value.(time.Duration)
	}
	if who := req.Reading.Terms("people"); len(who) == 1 {
		p, known := req.Person(who[0].Value.(phrase.Term).Name)
		if !known {
			return desk.AskBack("Who? For example: what can Ivo do in 30 minutes"), nil
		}
		one := *req
		one.Who = p
		req = &one
	}
	l, err := layJobs(req)
	if err != nil {
		return desk.Reply{}, err
	}
	var fit []plan.Job
	for _, t := range l.tasks {
		if t.Takes > within || l.job(t.ID).Needs.Lye {
			continue
		}
		if now, err := l.fitsNow(t); err != nil {
			return desk.Reply{}, err
		} else if now {
			fit = append(fit, t)
		}
	}
	slices.SortStableFunc(fit, func(a, b plan.Job) int { return b.Cost - a.Cost })
	said := "now"
	if within < longestJob {
		said = "in " + reminders.SayDuration(within)
	}
	if len(fit) == 0 {
		return desk.Answer("No open job fits " + said + " for " + req.Who.Name + "."), nil
	}
	reply := desk.Answer("What fits " + said + " for " + req.Who.Name + ":")
	for _, t := range fit[:min(mostFits, len(fit))] {
		j := l.job(t.ID)
		reply.Lines = append(reply.Lines, fmt.Sprintf("%s, %s", j.Title, reminders.SayDuration(j.Takes)))
		if j.Done != "" {
			reply.Buttons = append(reply.Buttons, desk.Labelled("Done: "+j.Title, j.Done))
		}
	}
	return reply, nil
}

// fitsNow reports that the speaker alone could begin a job at once, whatever else is laid.
func (l *laying) fitsNow(t plan.Job) (bool, error) {
	me := l.req.Who.Name
	child := l.isChild(me)
	switch {
	case len(t.By) > 0 && !slices.Equal(t.By, []string{me}), len(t.Of) > 0 && !slices.Contains(t.Of, me):
		return false, nil
	case child && len(t.By) == 0 && (!t.Children || l.req.Who.AgeAt(l.req.Now) < t.LeastAge):
		return false, nil
	}
	if child {
		if why, _, err := reminders.UnfitHere(l.req.Tx, storage.Chore{Name: l.job(t.ID).Title}, l.req.Who, l.req.Now); err != nil || why != "" {
			return false, err
		}
	}
	t.By, t.Of, t.Hands, t.Was, t.Pin, t.Moved = []string{me}, nil, 0, nil, time.Time{}, 0
	if day := reminders.Day(l.req.Wall); !t.Earliest.IsZero() && reminders.Day(t.Earliest).Equal(day) {
		t.Earliest = time.Time{} // only waits for who could help
	}
	one, err := plan.Lay(l.house, []plan.Job{t})
	if err != nil || len(one.Placed) == 0 {
		return false, nil //nolint:nilerr // a job that cannot be laid does not fit
	}
	return one.Placed[0].From.Sub(l.req.Wall) <= 2*plan.Grain, nil
}
