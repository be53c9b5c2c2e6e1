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

// lyeTakes is how long lye work takes when nobody says: weighing, lye that clears and
// cools, mixing and pouring (common practice).
const lyeTakes = 90 * time.Minute

// mostLye is the longest window that is looked for.
const mostLye = 8 * time.Hour

func lyeAsk() desk.Ask {
	school := []string{"day school weekdays 9:30-12:30 kids"}
	return desk.Ask{
		Name: "today", Command: "today", Adult: true, Text: true, Question: true, Kinds: []phrase.Kind{phrase.KindDuration, phrase.KindDate}, Help: "the next safe time for lye: long enough, children elsewhere, who must be told",
		Forms:    []string{"^when lye", "^when can|could|do|should i|we", "^when is it|there safe|time", "^next lye", "^lye window", "^when is the next lye", "^when * lye", "^when to pour", "^can|could|may|shall we|i", "^is it safe|ok|okay", "^when's|whens", "^lye|soap|pour"},
		Examples: []desk.Example{{Setup: school, Line: "when lye"}, {Setup: school, Line: "when can I pour soap"}, {Setup: school, Line: "when lye 2 hours"}, {Setup: school, Line: "can we do lye this afternoon?"}},
		Plain:    plainWhenLye, Do: whenLye,
	}
}

// plainWhenLye takes a question only when every word of it asks for a time to pour.
func plainWhenLye(req *desk.Request) bool {
	if !req.Mentions("lye", "pour", "soap") {
		return false
	}
	for i, t := range req.Reading.Tokens {
		covered := slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool { return i >= s.First && i < s.Past })
		if t.Kind == phrase.Word && !covered && !slices.Contains(whenWords, t.Low) && hours[t.Low] == "" {
			return false
		}
	}
	return !pourTold(req)
}

// pourTold tells "pour the soap friday", and "we need soap", from "lye tomorrow?".
func pourTold(req *desk.Request) bool {
	return req.Form == "^lye|soap|pour" && !strings.HasSuffix(strings.TrimSpace(req.Text), "?")
}

var whenWords = strings.Fields("when lye can could do does should i we is it there safe time next window the for a an to pour make soap some work of batch open what's whats be today this week with use need when's whens good ok okay now safely best tomorrow morning afternoon evening tonight may shall at noon half past quarter o'clock am pm on next week")

// whenLye tells whether now is a time for lye, and the next time in which it is safe.
func whenLye(req *desk.Request) (desk.Reply, error) {
	reply, err := nextLye(req)
	if err != nil {
		return reply, err
	}
	if reply, err = untilClear(req, reply); err != nil {
		return reply, err
	}
	return untilAnswered(req, reply)
}

// untilAnswered says first that it is not known whether a child is at home.
func untilAnswered(req *desk.Request, reply desk.Reply) (desk.Reply, error) {
	asked, answers, err := req.NotAnswered()
	if err != nil || asked == "" || reply.Status != storage.OK {
		return reply, err
	}
	reply.Lines = append([]string{"If not: " + reply.Head}, reply.Lines...)
	reply.Head, reply.Buttons = asked, answers
	return reply, nil
}

func nextLye(req *desk.Request) (desk.Reply, error) {
	if !req.Mentions("lye", "pour", "soap") || pourTold(req) {
		return desk.Reply{}, desk.ErrSilent
	}
	takes := lyeTakes
	if d := req.Reading.Of(phrase.KindDuration); len(d) > 0 {
		takes = d[0].Value.(time.Duration)
	}
	if takes < plan.Grain || takes > mostLye {
		return desk.AskBack("For how long? For example: when lye 2 hours"), nil
	}
	l, err := layJobs(req)
	if err != nil {
		return desk.Reply{}, err
	}
	others := slices.DeleteFunc(slices.Clone(l.plan.Placed), func(p plan.Placement) bool { return l.job(p.Job).Needs.Lye })
	w, ok, err := plan.NextWindow(l.house, l.tasks, others, takes)
	if err != nil {
		return desk.Reply{}, fmt.Errorf("window for lye: %w", err)
	}
	need := reminders.SayDuration(takes + plan.BeforeLye + plan.AfterLye)
	if !ok {
		reply := desk.Answer(fmt.Sprintf("No safe time for lye in %d days: %s with every child elsewhere, the kitchen and an adult free.", ahead, need))
		if ill := illNow(req); len(ill) > 0 {
			reply.Lines = []string{fmt.Sprintf("%s ill, until somebody says better.", isAre(ill))}
			return reply, nil
		}
		reply.Lines = []string{"A block that takes them elsewhere makes one. For example: block walk today 14:00-17:00 kids out"}
		return reply, nil
	}
	from, to, asked, ok := timeAsked(req)
	if !ok {
		return l.sayWindow(w, takes), nil
	}
	then := l.house
	then.Now = laterOf(from, then.Now)
	in, fits, err := plan.NextWindow(then, l.tasks, others, takes)
	if err != nil {
		return desk.Reply{}, fmt.Errorf("window for lye: %w", err)
	}
	if fits && in.From.Before(to) {
		reply := l.sayWindow(in, takes)
		reply.Head = "Yes. " + reply.Head
		return reply, nil
	}
	reply := l.sayWindow(w, takes)
	reply.Head = desk.Upper("not "+asked) + ". " + reply.Head
	return reply, nil
}

// untilClear says first of a room that is roped off that now is no time for lye; nobody is
// offered to begin another batch meanwhile.
func untilClear(req *desk.Request, reply desk.Reply) (desk.Reply, error) {
	roped, err := req.Tx.Roped(req.House.ID)
	if err != nil || len(roped) == 0 || reply.Status != storage.OK {
		return reply, err
	}
	reply.Lines = append([]string{"After that: " + reply.Head}, reply.Lines...)
	reply.Head = fmt.Sprintf("No: %s, lye may be open. Stay out until a keeper says all clear: %s.", req.SayRoped(roped[0]), req.Keepers())
	reply.Buttons = nil
	return reply, nil
}

// roomsClosed are the lines that tell of the rooms that are roped off now.
func roomsClosed(req *desk.Request) ([]string, error) {
	roped, err := req.Tx.Roped(req.House.ID)
	var out []string
	for _, r := range roped {
		out = append(out, fmt.Sprintf("%s. Stay out until a keeper says all clear: %s.", desk.Upper(req.SayRoped(r)), req.Keepers()))
	}
	return out, err
}

// illNow are the children who are ill with no end told.
func illNow(req *desk.Request) []string {
	home, err := req.Home()
	if err != nil {
		return nil
	}
	var out []string
	for _, p := range children(req) {
		if a, is := home.Absent(p.ID, req.Now); is && a.Kind == storage.Ill && a.Until.IsZero() {
			out = append(out, p.Name)
		}
	}
	return out
}

// partHours are the hours of the parts of a day that a line may ask about.
var partHours = map[string][2]int{"morning": {0, 12}, "afternoon": {12, 18}, "evening": {18, 24}, "tonight": {18, 24}}

// timeAsked is the stretch of a day that a question is about: now, today, this afternoon.
func timeAsked(req *desk.Request) (from, to time.Time, said string, ok bool) {
	day, dated, name, part := dateMeant(req), len(req.Reading.Of(phrase.KindDate)) > 0, "today", "this "
	if !day.Equal(reminders.Day(req.Wall)) {
		name = "on " + reminders.SayDay(day, req.Wall, req.House.DayFirst)
		part = name + " in the "
	}
	if at, _, clock := timeOf(req.Text, false); clock {
		from := reminders.AtMinutes(day, at)
		return from, from.Add(plan.Grain), "at " + from.Format("15:04") + map[bool]string{true: " " + name, false: ""}[name != "today"], true
	}
	if req.Mentions("now") {
		return req.Wall, req.Wall.Add(plan.BeforeLye + 2*plan.Grain), "now", true
	}
	for _, t := range req.Reading.Tokens {
		if h, known := partHours[t.Low]; known {
			return day.Add(time.Duration(h[0]) * time.Hour), day.Add(time.Duration(h[1]) * time.Hour), part + strings.Replace(t.Low, "tonight", "evening", 1), true
		}
	}
	return day, day.AddDate(0, 0, 1), name, dated
}

func (l *laying) sayWindow(w plan.Window, takes time.Duration) desk.Reply {
	reply := desk.Answer(fmt.Sprintf("Lye: %s %s-%s, %s.", reminders.SayDay(w.From, l.req.Wall, l.req.House.DayFirst), w.From.Format("15:04"), w.To.Format("15:04"), strings.Join(w.Who, " or ")))
	for _, group := range l.whereabouts(w) {
		reply.Lines = append(reply.Lines, fmt.Sprintf("children: %s; they stay there from %s to %s", group, w.Kept.From.Format("15:04"), w.Kept.To.Format("15:04")))
	}
	if tell := slices.DeleteFunc(slices.Clone(w.Tell), func(n string) bool { return slices.Contains(w.Who, n) }); len(w.Who) > 1 {
		reply.Lines = append(reply.Lines, "tell before: "+desk.List(append(tell, "whoever of you does not pour")))
	} else if len(tell) > 0 {
		reply.Lines = append(reply.Lines, "tell before: "+desk.List(tell))
	}
	for _, p := range l.plan.Placed {
		if j := l.job(p.Job); j.Needs.Lye {
			reply.Lines = append(reply.Lines, "laid: "+l.place(p))
		}
	}
	reply.Lines = append(reply.Lines, "When the lye is opened (batch open) or poured, the room is roped off by itself and told to all.")
	reply.Assumed = []string{fmt.Sprintf("%s of work, %s before it and %s after it to wash up; the kitchen is the room", reminders.SayDuration(takes), reminders.SayDuration(plan.BeforeLye), reminders.SayDuration(plan.AfterLye))}
	reply.Cautions = []string{"Look that it is so before you open the tin: a child that is ill or home early is not elsewhere."}
	reply.Buttons = []storage.Button{desk.Labelled("Begin the batch", "batch begin"), desk.Labelled("Blocks", "blocks")}
	return reply
}

// whereabouts tells where the children are in a window, those of one place together.
func (l *laying) whereabouts(w plan.Window) []string {
	var places []string
	in := map[string][]string{}
	for _, c := range w.Children {
		if c.Child == visitor { // gone by then
			continue
		}
		place := "at " + c.Block
		switch {
		case c.Block == "":
			place = "out"
		case c.Place != "":
			place = "at " + c.Block + ", " + sayPlace(c.Place)
		}
		if in[place] == nil {
			places = append(places, place)
		}
		in[place] = append(in[place], c.Child)
	}
	var out []string
	for _, p := range places {
		out = append(out, desk.List(in[p])+" "+p)
	}
	return out
}
