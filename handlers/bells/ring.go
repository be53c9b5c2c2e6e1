package bells

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

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
	title := req.Reading.Rest(func(s phrase.Span) bool {
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
	return strings.TrimSpace(title)
}

// unsafe are words of work that is never a child's.
var unsafe = []string{
	"lye", "caustic", "naoh", "koh", "fryer", "deep", "render", "rendering", "chainsaw", "tractor", "boar", "bull",
	"unmould", "unmold", "fry", "frying", "melt", "scythe", "axe", "poison", "bleach", "petrol", "stove", "saw", "mower", "drain",
}

// ropedWork is soap work in which lye is open.
var ropedWork = []string{"pour", "make", "mix", "cut"}

// safetyWords make a bell that rings every ten minutes until it is done.
var safetyWords = []string{"oven", "brooder", "lye"}

// check holds what a title and a target have to satisfy.
func (o *order) check(req *desk.Request) (desk.Reply, bool) {
	words := phrase.Words(o.title)
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
		return desk.Refuse("Only a keeper sets bells for others. For yourself: ring me " + o.title), false
	}
	if o.forChild(req) && dangerous(words) {
		return desk.Refuse("That is not work for a child: lye, hot fat, machines and dangerous animals are an adult's."), false
	}
	return desk.Reply{}, true
}

// dangerous reports work that is never a child's, by the words of its title.
func dangerous(words []string) bool {
	in := func(list []string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(list, w) })
	}
	return in(unsafe) || slices.Contains(words, "soap") && in(ropedWork) || slices.Contains(words, "heat") && in([]string{"oil", "lard", "tallow", "fat"})
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
	o.bell.Safety = slices.ContainsFunc(phrase.Words(o.title), func(w string) bool { return slices.Contains(safetyWords, w) })
	if left := leftOver(o.title); left != "" {
		return desk.AskBack(fmt.Sprintf("I cannot set %s yet. Say when it rings in plain words, for example: daily at 7 until 1 sep, every 3 days at 8, 5 times.", desk.Quote(left))), false
	}
	if two := twoTimes(req); two != "" {
		return desk.AskBack("When exactly: " + two + "? Name one time, or make two bells."), false
	}
	if rules := req.Reading.Of(phrase.KindRule); len(rules) > 0 {
		return o.repeat(req, rules[0].Value.(phrase.Rule))
	}
	when := req.Reading.Moment(req.Context(), phrase.Future)
	if when.Count == 0 {
		if !req.Direct && !asksFor(req) {
			return desk.Reply{}, false
		}
		return desk.AskBack(fmt.Sprintf("When shall I ring about %s? Add a time: at 17:30, tomorrow at 7, in 40 min, daily at 7.", desk.Quote(o.title)),
			desk.Labelled("in 20 min", req.Text+" in 20 min"), desk.Labelled("in 1 hour", req.Text+" in 1 hour"), desk.Labelled("tomorrow", req.Text+" tomorrow")), false
	}
	o.bell.Next = req.Instant(when.Wall)
	if when.HasDate && !when.HasClock {
		o.bell.Daily, o.bell.Useful = true, reminders.UsefulDaily
		o.bell.Next = reminders.RoundOn(req.House, when.Wall)
		if !o.bell.Next.After(req.Now) && reminders.Day(when.Wall).Equal(reminders.Day(req.Wall)) {
			o.bell.Next = reminders.NextRound(req.House, req.Now)
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

// leftOver finds words about when that nothing read, which would otherwise end
// up in the title and leave the bell wrong.
func leftOver(title string) string {
	for _, w := range phrase.Words(title) {
		if slices.Contains([]string{"except", "excluding", "apart", "starting", "every", "times", "daily", "weekly", "monthly"}, w) {
			return w
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

// twoTimes returns two clock times or two dates that a line gives at once.
func twoTimes(req *desk.Request) string {
	for _, k := range []phrase.Kind{phrase.KindClock, phrase.KindDate, phrase.KindAfter} {
		if s := req.Reading.Of(k); len(s) > 1 {
			return s[0].Text + " or " + s[1].Text
		}
	}
	return secondClock(req)
}

// secondClock finds the 5 of "at 9 and 5", which by itself is no time.
func secondClock(req *desk.Request) string {
	toks := req.Reading.Tokens
	for _, s := range req.Reading.Of(phrase.KindClock) {
		if s.Past+1 >= len(toks) || !slices.Contains([]string{"and", "or", "&", ","}, toks[s.Past].Low) {
			continue
		}
		next := toks[s.Past+1]
		last := s.Past+2 == len(toks) || toks[s.Past+2].Kind != phrase.Word
		if next.Kind == phrase.Num && last && next.Value.Cmp(big.NewRat(24, 1)) < 0 {
			return s.Text + " or " + next.Text
		}
	}
	return ""
}

// repeat sets a recurrence. Without a clock time the bell belongs to the day and
// is told in the morning round.
func (o *order) repeat(req *desk.Request, rule phrase.Rule) (desk.Reply, bool) {
	h, m, assumed, clocked := req.Reading.Daily()
	if !clocked {
		o.bell.Daily = true
		h, m = int(req.House.Rounds[0])/60, int(req.House.Rounds[0])%60
	}
	if assumed {
		o.notes = append(o.notes, fmt.Sprintf("read as %02d:%02d; for the morning say am", h, m))
	}
	start := reminders.Day(req.Wall)
	if d := req.Reading.Of(phrase.KindDate); len(d) > 0 {
		start = d[0].Value.(phrase.Date).Next
	}
	first := firstDay(rule, start, h, m, req.Wall)
	rec := reminders.Recurrence{
		Freq: rule.Freq, Interval: max(rule.Interval, 1), Days: rule.Days, Nth: rule.Nth, MonthDays: rule.MonthDays,
		Start: time.Date(first.Year(), first.Month(), first.Day(), h, m, 0, 0, time.UTC),
	}
	if rule.Freq == "HOURLY" && !clocked {
		rec.Start, o.bell.Daily = req.Wall.Truncate(time.Minute), false
	}
	o.bell.Schedule = rec.Spec()
	o.bell.Useful = usefulFor(rule)
	s, err := reminders.Parse(o.bell.Schedule, req.House.Zone)
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

// usefulFor lets a repeating ring be said late until about the next one.
func usefulFor(rule phrase.Rule) time.Duration {
	switch rule.Freq {
	case "HOURLY":
		return time.Duration(rule.Interval) * time.Hour
	case "DAILY":
		return time.Duration(rule.Interval) * 24 * time.Hour
	}
	return reminders.UsefulOnce
}

// firstDay is the day from which "every other" is counted: the first that the
// rule can fall on and whose time has not passed.
func firstDay(rule phrase.Rule, start time.Time, h, m int, now time.Time) time.Time {
	day := start
	if !time.Date(day.Year(), day.Month(), day.Day(), h, m, 0, 0, time.UTC).After(now) {
		day = day.AddDate(0, 0, 1)
	}
	if rule.Freq != "WEEKLY" || len(rule.Days) == 0 {
		return day
	}
	for !slices.Contains(rule.Days, day.Weekday()) {
		day = day.AddDate(0, 0, 1)
	}
	return day
}

// end reads "until 1 sep" and "5 times".
func (o *order) end(req *desk.Request) (desk.Reply, bool) {
	if s := req.Reading.Of(phrase.KindTimes); len(s) > 0 {
		o.bell.Remain = s[0].Value.(int)
	}
	if s := req.Reading.Of(phrase.KindUntil); len(s) > 0 {
		last := s[0].Value.(phrase.Date).Next
		o.bell.Until = req.Instant(time.Date(last.Year(), last.Month(), last.Day(), 23, 59, 59, 0, time.UTC))
		if o.bell.Next.After(o.bell.Until) {
			return desk.Refuse(fmt.Sprintf("It would end on %s, before it rings once. Nothing was set.", req.SayDay(o.bell.Until))), false
		}
	}
	return desk.Reply{}, true
}

func (o *order) write(req *desk.Request) (desk.Reply, error) {
	to := reminders.SayWhom(o.whom, req.People, req.Now)
	if err := req.Record(storage.Entry{Kind: "ring", Text: fmt.Sprintf("bell for %s: %s, %s", to, o.title, sayWhen(req, o.bell))}); err != nil {
		return desk.Reply{}, err
	}
	b, err := req.Tx.AddBell(o.bell)
	if err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(fmt.Sprintf("Bell %d for %s: %s, %s.", b.Num, to, b.Title, sayWhen(req, b)))
	if b.Schedule != "" {
		reply.Lines = append(reply.Lines, "First "+req.Say(b.Next)+".")
	}
	people := reminders.Expand(b.Whom, req.People, req.Now)
	if at := reminders.Hold(req.House, b, people, b.Next); at.After(b.Next) {
		reply.Lines = append(reply.Lines, "That lies in quiet hours: it is held back until "+req.Say(at)+".")
	}
	reply.Assumed = o.notes
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo"), desk.Labelled("Bells", "bells")}
	return reply, nil
}

// sayWhen writes when a bell rings.
func sayWhen(req *desk.Request, b storage.Bell) string {
	if b.Schedule == "" {
		if b.Daily {
			return req.SayDay(b.Next) + " in the round at " + req.WallOf(b.Next).Format("15:04")
		}
		return req.Say(b.Next)
	}
	text := reminders.SaySchedule(b.Schedule)
	if b.Remain > 0 {
		text += fmt.Sprintf(", %d times", b.Remain)
	}
	if !b.Until.IsZero() {
		text += ", until " + req.SayDay(b.Until)
	}
	return text
}
