package bells

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/childwork"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// maxTitle keeps a bell to what fits a line.
const maxTitle = 200

// order is a bell as a line asks for it.
type order struct {
	title  string
	whom   string
	people []storage.Person // empty for a group
	bell   storage.Bell
	notes  []string
}

// ring makes a bell out of a line.
func ring(req *desk.Request) (desk.Reply, error) {
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
		return desk.Refuse(bad[0].Value.(string) + " Nothing was set."), nil
	}
	who, reply, ok := whom(req)
	if !ok {
		return reply, nil
	}
	o := order{whom: who.spec, people: who.people}
	o.title = titleOf(req, who)
	if reply, ok := o.check(req); !ok {
		if reply.Head == "" {
			return desk.Reply{}, desk.ErrSilent
		}
		return reply, nil
	}
	if reply, err := o.keptByFlock(req); err != nil || reply.Head != "" {
		return reply, err
	}
	if reply, ok := o.time(req); !ok {
		if reply.Head == "" {
			return desk.Reply{}, desk.ErrSilent
		}
		return reply, nil
	}
	return o.write(req)
}

// titleOf is what is left of the line without when and for whom.
func titleOf(req *desk.Request, who target) string {
	reading := req.Reading
	reading.Used = slices.Clone(reading.Used)
	for _, i := range who.turn {
		reading.Used[i] = true
	}
	title := reading.Rest(func(s phrase.Span) bool {
		if s.Kind != phrase.KindTerm {
			return true
		}
		return slices.ContainsFunc(who.spans, func(w phrase.Span) bool { return w.First == s.First })
	})
	for _, w := range []string{"once ", "can you ", "could you ", "please "} {
		if len(title) > len(w) && strings.EqualFold(title[:len(w)], w) {
			title = title[len(w):]
		}
	}
	switch strings.ToLower(title) {
	case "can you", "could you", "please", "once":
		return ""
	}
	return withMeal(phrase.Words(req.Text), strings.TrimSpace(title))
}

// mealsCalled are what people are called in for.
var mealsCalled = []string{"breakfast", "lunch", "dinner", "supper", "tea"}

// withMeal keeps the in and the meal of "come in for breakfast": of the day's parts it is one,
// but here it is what for.
func withMeal(words []string, title string) string {
	at := slices.Index(words, "come") + 1
	if !strings.EqualFold(title, "come") || at == 0 {
		return title
	}
	if at < len(words) && words[at] == "in" && (at+1 == len(words) || slices.Contains([]string{"for", "at", "now"}, words[at+1])) {
		title, at = title+" in", at+1
	}
	if at+1 < len(words) && words[at] == "for" && slices.Contains(mealsCalled, words[at+1]) {
		title += " for " + words[at+1]
	}
	return title
}

// check holds what a title and a target have to satisfy.
func (o *order) check(req *desk.Request) (desk.Reply, bool) {
	words := phrase.Words(o.title)
	if len(words) == 1 && slices.Contains([]string{"before", "after", "again", "about", "then"}, words[0]) {
		return desk.AskBack("Ring about what? For example: ring me pack for the fair on 17 March at 20:00"), false
	}
	if len(words) == 1 && words[0] == "instead" {
		return desk.AskBack("Which bell is to ring at another time? For example: ring the hens at 8 instead", desk.Button("bells")), false
	}
	if len(words) == 0 {
		if !req.Direct && !req.Mentions("remind") {
			return desk.Reply{}, false
		}
		if !req.Direct && !timed(req) {
			return desk.Reply{}, false
		}
		return desk.AskBack("Ring about what? For example: ring Ivo feed the hens daily at 7"), false
	}
	if name := stranger(req, o); name != "" {
		return desk.Refuse(fmt.Sprintf("I know nobody called %s here. The household: %s. A keeper can type: house add %s", name, peopleNames(req), name)), false
	}
	if len([]rune(o.title)) > maxTitle {
		return desk.Refuse(fmt.Sprintf("That is too long for a bell: at most %d letters. Put the rest in a note.", maxTitle)), false
	}
	others := o.whom != reminders.People(req.Who.ID)
	if others && !req.May() {
		return desk.Refuse("Only a keeper sets bells for others. For yourself: " + forSelf(req, o.title)), false
	}
	return o.keptFromChildren(req)
}

// forSelf is the line as whoever typed it could type it for themselves, its time kept.
func forSelf(req *desk.Request, title string) string {
	people := req.Reading.Terms("people")
	if len(people) != 1 || people[0].End > len(req.Text) {
		return "ring me " + title
	}
	text := strings.TrimPrefix(req.Text[:people[0].Start]+"me"+req.Text[people[0].End:], "/")
	return strings.TrimRight(text, " .!")
}

// keptFromChildren refuses what is never a child's. A bell for everyone, or for
// several of whom one is a child, leaves the children out when it rings.
func (o *order) keptFromChildren(req *desk.Request) (desk.Reply, bool) {
	b := storage.Bell{Title: o.title}
	reminders.Classify(&b)
	if !reminders.NotForChild(b) || !o.forChild(req) {
		return desk.Reply{}, true
	}
	if o.whom == reminders.Everyone && !reminders.Dangerous(o.title) {
		o.notes = append(o.notes, "it rings for the adults: a safety bell is not left to a child")
		return desk.Reply{}, true
	}
	if reminders.Dangerous(o.title) {
		return desk.Refuse(fmt.Sprintf("%s is never work for a child: %s. Ring an adult: %s", desk.Upper(o.title), childwork.Judge(o.title).What, forSelf(req, o.title))), false
	}
	return desk.Refuse("That is a safety bell: it rings until it is done, and is not left to a child. Ring an adult: " + forSelf(req, o.title)), false
}

// keptByFlock refuses an animal that is a boar or a mother with young in the flock book,
// called by its name. A bell for everyone is left alone: it calls nobody to the work.
func (o *order) keptByFlock(req *desk.Request) (desk.Reply, error) {
	if o.whom == reminders.Everyone {
		return desk.Reply{}, nil
	}
	for _, p := range reminders.Expand(o.whom, req.People, req.Now) {
		if !p.Child(req.Now) || p.AgeAt(req.Now) < childwork.Youngest {
			continue
		}
		why, never, err := reminders.UnfitHere(req.Tx, storage.Chore{Household: req.House.ID, Name: o.title}, p, req.Now)
		if err != nil {
			return desk.Reply{}, err
		}
		if never {
			return desk.Refuse(why, "Ring an adult: "+forSelf(req, o.title)), nil
		}
	}
	return desk.Reply{}, nil
}

func (o *order) forChild(req *desk.Request) bool {
	return slices.ContainsFunc(reminders.Expand(o.whom, req.People, req.Now), func(p storage.Person) bool { return p.Child(req.Now) })
}

func timed(req *desk.Request) bool {
	return slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool { return s.Kind != phrase.KindTerm })
}

// time sets when the bell falls due.
func (o *order) time(req *desk.Request) (desk.Reply, bool) {
	o.bell = storage.Bell{Household: req.House.ID, Title: o.title, Whom: o.whom, Made: req.Now, Useful: reminders.UsefulOnce, Why: "asked by " + req.Who.Name}
	reminders.Classify(&o.bell)
	if again := req.Reading.Of(phrase.KindAgain); len(again) > 0 {
		reply, ok := o.ladder(again[0].Value.(phrase.Again))
		if !ok {
			return reply, false
		}
	}
	if rules := req.Reading.Of(phrase.KindRule); len(rules) > 2 || len(rules) == 2 && !hoursOnDays(rules) {
		return desk.AskBack("Which repeat: " + rules[0].Text + " or " + rules[1].Text + "? Name one, or make two bells."), false
	}
	if left := leftOver(o.title); left != "" {
		return desk.AskBack(fmt.Sprintf("I cannot set %s yet. Say when it rings in plain words, for example: daily at 7 until 1 sep, every 3 days at 8, 5 times.", desk.Quote(left))), false
	}
	if two := twoTimes(req); two != "" {
		return desk.AskBack("When exactly: " + two + "? Name one time, or make two bells."), false
	}
	if rules := req.Reading.Of(phrase.KindRule); len(rules) > 0 {
		return o.repeat(req, oneRule(rules, req.Reading.Of(phrase.KindExcept)))
	}
	if times := req.Reading.Of(phrase.KindTimes); len(times) > 0 {
		return desk.AskBack(fmt.Sprintf("%s: how often? For example: daily at 8, %s.", desk.Upper(times[0].Text), times[0].Text)), false
	}
	when := req.Reading.Moment(req.Context(), phrase.Future)
	if when.Count == 0 {
		if !req.Direct && !asksFor(req) {
			return desk.Reply{}, false
		}
		return desk.AskBack(fmt.Sprintf("When shall I ring about %s? Add a time: at 17:30, tomorrow at 7, in 40 min, daily at 7.", desk.Quote(o.title)),
			desk.Labelled("in 20 min", req.Text+" in 20 min"), desk.Labelled("in 1 hour", req.Text+" in 1 hour"), desk.Labelled("tomorrow", req.Text+" tomorrow")), false
	}
	o.bell.Next, o.bell.Elapsed = req.At(when), len(req.Reading.Of(phrase.KindAfter)) > 0
	if when.HasDate && !when.HasClock {
		o.bell.Daily, o.bell.Useful = true, reminders.UsefulDaily
		o.bell.Next = reminders.RoundOn(req.House, when.Wall)
		if !o.bell.Next.After(req.Now) && reminders.Day(when.Wall).Equal(reminders.Day(req.Wall)) {
			o.bell.Next = reminders.House{Household: req.House}.NextRound(req.Now)
		}
	}
	if !o.bell.Next.After(req.Now) {
		return desk.Refuse(fmt.Sprintf("%s has passed. Nothing was set.", req.Say(o.bell.Next))), false
	}
	if o.bell.Next.After(req.Now.AddDate(20, 0, 0)) {
		return desk.Refuse("That is more than 20 years away. Nothing was set."), false
	}
	if when.Assumed {
		o.notes = append(o.notes, "read as "+req.WallOf(o.bell.Next).Format("15:04"))
	}
	return desk.Reply{}, true
}

// hoursOnDays reports that of two repeats one gives the hours and the other the
// days: "every 2 hours from 8 to 18 on weekdays".
func hoursOnDays(rules []phrase.Span) bool {
	a, b := rules[0].Value.(phrase.Rule), rules[1].Value.(phrase.Rule)
	days := func(r phrase.Rule) bool {
		return (r.Freq == "WEEKLY" || r.Freq == "DAILY") && r.Interval == 1 && r.PerDay == 0
	}
	return len(a.Hours) == 2 && days(b) || len(b.Hours) == 2 && days(a)
}

// oneRule puts together what a line says of a repeat.
func oneRule(rules, except []phrase.Span) phrase.Rule {
	r := rules[0].Value.(phrase.Rule)
	if len(rules) == 2 {
		other := rules[1].Value.(phrase.Rule)
		if len(r.Hours) == 0 {
			r, other = other, r
		}
		r.Days = other.Days
	}
	if len(except) > 0 {
		r = r.Except(except[0].Value.([]time.Weekday))
	}
	return r
}

// leftOver finds words about when that nothing read, which would otherwise end
// up in the title and leave the bell wrong.
func leftOver(title string) string {
	words := phrase.Words(title)
	for i, w := range words {
		switch w {
		case "except", "excluding", "apart", "starting", "every", "times", "daily", "weekly", "monthly":
			return w
		case "until", "till":
			if i == 0 {
				return w
			}
		case "week", "month", "fortnight":
			if i == 1 && words[0] == "a" {
				return "for a " + w
			}
		case "days", "weeks", "months":
			if i > 0 && phrase.IsNumber(words[i-1]) {
				return words[i-1] + " " + w
			}
		case "from":
			if i+1 == len(words) || phrase.IsNumber(words[i+1]) {
				return "from"
			}
		}
	}
	return ""
}

// asksFor tells "remind Tom to order feed", which wants a time, from "remind me
// why we have a pig", which is talk.
func asksFor(req *desk.Request) bool {
	if !req.Mentions("remind") {
		return false
	}
	toks := req.Reading.Tokens
	for i, t := range toks {
		if (t.Low == "to" || t.Low == "about") && i >= 2 {
			return !req.Mentions("why", "what", "who", "how", "where")
		}
	}
	return false
}

// ladder sets how the bell rings again while nobody answers.
func (o *order) ladder(a phrase.Again) (desk.Reply, bool) {
	l, reply, ok := ladderOf(a)
	if !ok {
		return reply, false
	}
	if o.bell.Safety {
		o.notes = append(o.notes, "a safety bell rings every 10 min until it is done")
		return desk.Reply{}, true
	}
	o.bell.Again = l.String()
	o.notes = append(o.notes, "unanswered it is said "+l.Say())
	return desk.Reply{}, true
}

// ladderOf checks a ladder: not faster than every minute, and not without end.
func ladderOf(a phrase.Again) (reminders.Ladder, desk.Reply, bool) {
	l := reminders.Ladder{Wait: a.Wait.Truncate(time.Minute), Times: a.Times, Never: a.Never}
	if a.Times > 0 && (l.Wait < time.Minute || l.Wait > 24*time.Hour || a.Times > 20) {
		return l, desk.AskBack("How often again? At least a minute apart and at most 20 times, for example: again every 10 min 3 times."), false
	}
	return l, desk.Reply{}, true
}

// twoTimes returns two clock times or two dates that a line gives at once.
func twoTimes(req *desk.Request) string {
	if s := req.Reading.Of(phrase.KindClocks); len(s) > 0 && !repeats(req) {
		return s[0].Text
	}
	if s := slices.Concat(req.Reading.Of(phrase.KindClock), req.Reading.Of(phrase.KindToClock)); len(s) > 1 {
		return s[0].Text + " or " + s[1].Text
	}
	if s := req.Reading.Of(phrase.KindPart); len(s) > 1 && len(req.Reading.Of(phrase.KindClock)) == 0 && !strings.EqualFold(s[0].Text, s[1].Text) {
		return s[0].Text + " or " + s[1].Text
	}
	for _, k := range []phrase.Kind{phrase.KindDate, phrase.KindAfter} {
		if s := req.Reading.Of(k); len(s) > 1 {
			return s[0].Text + " or " + s[1].Text
		}
	}
	return ""
}

// repeat sets a recurrence. Without a clock time the bell belongs to the day and
// is told in the morning round.
func (o *order) repeat(req *desk.Request, rule phrase.Rule) (desk.Reply, bool) {
	times, assumed := req.Reading.DayTimes()
	if reply, ok := enough(rule, times, req); !ok {
		return reply, false
	}
	start := reminders.Day(req.Wall)
	if d := req.Reading.Of(phrase.KindDate); len(d) > 0 {
		start = d[0].Value.(phrase.Date).Next
	}
	o.bell.Schedule = o.spec(req, rule, times, start)
	if assumed {
		o.notes = append(o.notes, "read as "+sayClocks(times)+"; for the morning say am")
	}
	o.bell.Useful = desk.UsefulFor(rule)
	s, err := reminders.House{Household: req.House}.Schedule(o.bell)
	if err != nil {
		return desk.Refuse("I could not make a schedule of that. Try: ring Ivo feed the hens daily at 7"), false
	}
	from := req.Now
	if start.After(reminders.Day(req.Wall)) {
		from = req.Instant(start).Add(-time.Second)
	}
	o.bell.Next = s.Next(from)
	if o.bell.Next.IsZero() {
		return desk.Refuse("That never comes. Nothing was set."), false
	}
	return o.end(req)
}

// enough asks for what a repeat leaves open: the second time of "twice a day",
// the end of "every 5 minutes".
func enough(rule phrase.Rule, times []phrase.Clock, req *desk.Request) (desk.Reply, bool) {
	if rule.PerDay > 0 && len(times) != rule.PerDay {
		return desk.AskBack(fmt.Sprintf("At which %d times of the day? For example: twice a day at 8 and 18.", rule.PerDay)), false
	}
	if rule.Freq == "MINUTELY" && len(rule.Hours) > 0 {
		return desk.AskBack("Within a part of the day I ring by whole hours. For example: every 2 hours from 8 to 18"), false
	}
	ends := len(req.Reading.Of(phrase.KindTimes))+len(req.Reading.Of(phrase.KindUntil)) > 0
	if rule.Freq == "MINUTELY" && (rule.Interval < 1 || rule.Interval < 30 && !ends) {
		return desk.AskBack(fmt.Sprintf("Every %d min, how many times? For example: every %d min, 6 times.", rule.Interval, max(rule.Interval, 5))), false
	}
	return desk.Reply{}, true
}

func sayClocks(times []phrase.Clock) string {
	var out []string
	for _, c := range times {
		out = append(out, fmt.Sprintf("%02d:%02d", c.Hour, c.Minute))
	}
	return desk.List(out)
}

// spec makes the schedule of what a line asks for.
func (o *order) spec(req *desk.Request, rule phrase.Rule, times []phrase.Clock, start time.Time) string {
	r := req.Repeat(rule, times, start)
	o.bell.Daily, o.bell.Elapsed = o.bell.Daily || r.Daily, r.Elapsed
	return r.Spec
}

// end reads "until 1 sep" and "5 times".
func (o *order) end(req *desk.Request) (desk.Reply, bool) {
	if s := req.Reading.Of(phrase.KindTimes); len(s) > 0 {
		o.bell.Remain = s[0].Value.(int)
	}
	if s := req.Reading.Of(phrase.KindUntil); len(s) > 0 {
		o.bell.Until = endOf(req, s[0].Value.(phrase.Date).Next)
		if o.bell.Next.After(o.bell.Until) {
			return desk.Refuse(fmt.Sprintf("It would end on %s, before it rings once. Nothing was set.", req.SayDay(o.bell.Until))), false
		}
	}
	return desk.Reply{}, true
}

// endOf is the last instant of a day.
func endOf(req *desk.Request, day time.Time) time.Time {
	return req.Instant(reminders.Day(day).AddDate(0, 0, 1)).Add(-time.Second)
}

func (o *order) write(req *desk.Request) (desk.Reply, error) {
	if there, err := o.choreAlready(req); err != nil || there.Head != "" {
		return there, err
	}
	to := reminders.SayWhom(o.whom, req.People, req.Now)
	if err := req.Record(storage.Entry{Kind: "ring", Text: fmt.Sprintf("bell for %s: %s, %s", to, o.title, sayWhen(req, o.bell))}); err != nil {
		return desk.Reply{}, err
	}
	b, err := req.Tx.AddBell(o.bell)
	if err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(fmt.Sprintf("Bell %d for %s: %s, %s.", b.Num, to, b.Title, sayWhen(req, b)))
	home, err := req.Home()
	if err != nil {
		return desk.Reply{}, err
	}
	if first, ok := home.Called(b, b.Next, b.Next); ok {
		reply.Lines = append(reply.Lines, fmt.Sprintf("First %s, %s.", req.Say(b.Next), first.Name))
	} else if b.Schedule != "" {
		reply.Lines = append(reply.Lines, "First "+req.Say(b.Next)+".")
	}
	switch c := home.Call(b, b.Whom, b.Next); {
	case c.Shut != "":
		reply.Lines = append(reply.Lines, fmt.Sprintf("The %s is roped off: while it is, this waits.", c.Shut))
	case c.At.After(b.Next):
		reply.Lines = append(reply.Lines, "Until "+req.Say(c.At)+" it is held back: "+home.Why(b, b.Whom, b.Next)+".")
	case home.RopedRoom(b) != "" && b.Next.Before(req.Now.Add(ropeSoon)):
		reply.Lines = append(reply.Lines, fmt.Sprintf("The %s is roped off: children stay out, and nobody goes in until a keeper says all clear: %s.", home.RopedRoom(b), req.Keepers()))
	}
	reply.Assumed = o.notes
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo"), desk.Labelled("Bells", "bells")}
	return reply, nil
}

// ropeSoon is how soon a bell rings of which it is said that its room is roped off.
const ropeSoon = 4 * time.Hour

// sayWhen writes when a bell rings.
func sayWhen(req *desk.Request, b storage.Bell) string {
	if b.Schedule == "" {
		if b.Daily {
			return req.SayDay(b.Next) + " in the round at " + req.WallOf(b.Next).Format("15:04")
		}
		return req.Say(b.Next)
	}
	text := reminders.SaySchedule(b.Schedule)
	if days, _, ok := strings.Cut(text, " at "); ok && b.Daily {
		text = days + " in the round at " + req.WallOf(b.Next).Format("15:04")
	}
	if b.Remain > 0 {
		text += fmt.Sprintf(", %d times", b.Remain)
	}
	if !b.Until.IsZero() {
		text += ", until " + req.SayDay(b.Until)
	}
	return text
}
