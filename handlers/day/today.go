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

func todayAsks() []desk.Ask {
	fill := []string{"whats", "what's", "going", "happening", "due", "anything", "house", "doing", "plan", "look", "looks", "like", "got", "have", "do", "we", "on"}
	school := []string{"day school weekdays 9:30-12:30 kids"}
	return []desk.Ask{
		{
			Name: "today", Command: "today", Help: "the household's day: what rings, who does what, and where the open jobs fit", Fill: fill, Kinds: []phrase.Kind{phrase.KindDate, phrase.KindDays},
			Forms:    []string{"^today$", "what's|whats * today", "what's|whats on", "^whats|what's the plan", "^what is the plan", "^plan for", "what's|whats * tomorrow", "what is * today", "what * due today"},
			Examples: []desk.Example{{Line: "today"}, {Line: "what's on today?"}, {Line: "/today"}}, Do: today,
		},
		{
			Name: "today", Command: "today", Help: "what is on, on a day", Fill: fill, Kinds: []phrase.Kind{phrase.KindDate, phrase.KindDays}, Question: true, Keep: true, Forms: []string{"what's|whats happening", "^what have|do we got|have|on"},
			Examples: []desk.Example{{Line: "what have we got on today"}, {Line: "what's happening on thursday"}}, Plain: daySaid, Do: today,
		},
		{
			Name: "today", Command: "today", Help: "your own day", Kinds: []phrase.Kind{phrase.KindDate}, Fill: append(fill, "my", "day", "have", "do", "what", "for", "me", "jobs"), Question: true,
			Forms:    []string{"^my day", "^what do|have i have|do|got * today|tomorrow", "^what's|whats my day", "^what am i doing today|tomorrow"},
			Examples: []desk.Example{{Setup: school, Line: "my day"}, {Setup: school, Line: "what do I have today", By: "Ivo"}}, Do: myDay,
		},
		{
			Name: "today", Command: "today", Help: "somebody's day", Kinds: []phrase.Kind{phrase.KindDate}, Lists: []string{"people"}, Needs: []desk.Need{{Kind: phrase.KindTerm, List: "people"}}, Question: true, Keep: true,
			Fill:     append(fill, "day", "today", "tomorrow", "what", "is", "does", "for", "show", "me"),
			Forms:    []string{"* day$", "^what|what's|whats * today|tomorrow|on", "^what|what's|whats * doing", "^today|tomorrow for"},
			Examples: []desk.Example{{Setup: school, Line: "Lise's day"}, {Setup: school, Line: "what is Tom doing today"}}, Plain: onePerson, Do: theirDay,
		},
	}
}

// item is a line of a day: a block, a job that is laid there, a bell.
type item struct {
	at   time.Time // wall
	text string
	own  string // the same told to somebody who is in it; empty for text
	who  []int64
	more []string // lines that belong below it
	bell int      // the bell that it is a ring of, of those that belong to a day; 0 for none
	same string   // the same for the rings of other days; empty for what is no ring
}

// dateMeant is the day that a line names; today when it names none.
func dateMeant(req *desk.Request) time.Time {
	if d := req.Reading.Of(phrase.KindDate); len(d) > 0 {
		return d[0].Value.(phrase.Date).Next
	}
	return reminders.Day(req.Wall)
}

// today tells a day: what waits, what rings, who is where, and where the open jobs fit.
func today(req *desk.Request) (desk.Reply, error) {
	if len(req.Reading.Of(phrase.KindDays)) == 0 {
		return tellDay(req, dateMeant(req))
	}
	from, to := daysMeant(req)
	if to.Sub(from) > fewDays*24*time.Hour {
		return weekFrom(req, laterOf(from, reminders.Day(req.Wall)))
	}
	reply, err := tellDay(req, from)
	for day := from.AddDate(0, 0, 1); err == nil && !day.After(to); day = day.AddDate(0, 0, 1) {
		var next desk.Reply
		next, err = tellDay(req, day)
		reply.Lines = append(append(reply.Lines, next.Head), next.Lines...)
	}
	return reply, err
}

// fewDays is how many days are told one by one, and not as a week.
const fewDays = 3

// mostLines is how many lines of a day fit a screen.
const mostLines = 24

func tellDay(req *desk.Request, date time.Time) (desk.Reply, error) {
	reply := desk.Answer("Today, " + req.SayDay(req.Now))
	isToday := date.Equal(reminders.Day(req.Wall))
	if !isToday {
		reply.Head = "On " + reminders.SayDay(date, req.Wall, req.House.DayFirst)
	} else {
		lines, err := req.Roster.Today(req)
		if err != nil {
			return desk.Reply{}, err
		}
		reply.Lines = append(reply.Lines, lines...)
	}
	hints, err := onDate(req, date)
	if err != nil {
		return desk.Reply{}, err
	}
	reply.Lines = append(reply.Lines, hints...)
	bells, err := bellItems(req, date, 1)
	if err != nil {
		return desk.Reply{}, err
	}
	keeps, err := hasDay(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if !keeps {
		if isToday {
			said, err := unlaid(req)
			if err != nil {
				return desk.Reply{}, err
			}
			reply.Lines = append(reply.Lines, said...)
		}
		reply.Lines = append(reply.Lines, textsOf(bells)...)
		if len(reply.Lines) == 0 {
			reply.Lines = []string{"nothing is due"}
		}
		return reply, nil
	}
	l, err := layJobs(req)
	if err != nil {
		return desk.Reply{}, err
	}
	items, err := l.items(date)
	if err != nil {
		return desk.Reply{}, err
	}
	reply.Lines = append(reply.Lines, textsOf(inTime(append(items, l.notLaid(bells, date)...)))...)
	if isToday {
		l.after(&reply)
	}
	if len(reply.Lines) == 0 {
		reply.Lines = []string{"nothing is due"}
	}
	return reply, nil
}

// unlaid are the jobs as their desks tell of them, for a household that keeps no day.
func unlaid(req *desk.Request) ([]string, error) {
	jobs, err := openWork(req)
	var out []string
	for _, j := range jobs {
		if j.Say != "" {
			out = append(out, j.Say)
			out = append(out, j.Hints...)
		}
	}
	return out, err
}

func inTime(items []item) []item {
	slices.SortStableFunc(items, func(a, b item) int { return a.at.Compare(b.at) })
	return items
}

func textsOf(items []item) []string {
	var out []string
	for i, it := range items {
		if i == mostLines {
			return append(out, fmt.Sprintf("and %d more", len(items)-i))
		}
		out = append(append(out, it.text), it.more...)
	}
	return out
}

// bellItems are the rings to come on some days.
func bellItems(req *desk.Request, from time.Time, days int) ([]item, error) {
	bells, err := req.Tx.ComingBells(req.House.ID)
	if err != nil {
		return nil, err
	}
	home, err := req.Home()
	if err != nil {
		return nil, err
	}
	planned, err := home.Rehearse(bells, req.Now, req.Instant(from.AddDate(0, 0, days)).Add(-time.Second))
	if err != nil {
		return nil, err
	}
	var out []item
	for _, p := range planned {
		if p.At.Before(req.Instant(from)) {
			continue
		}
		it := item{at: req.WallOf(p.At)}
		it.own = fmt.Sprintf("%s %s", reminders.SayTime(it.at, req.Wall, req.House.DayFirst), p.Bell.Title) + notWhile(p.Shut)
		it.text = fmt.Sprintf("%s %s, %s", reminders.SayTime(it.at, req.Wall, req.House.DayFirst), p.Bell.Title, req.SayTo(p)) + notWhile(p.Shut)
		for _, to := range p.To {
			it.who = append(it.who, to.ID)
		}
		it.same = fmt.Sprintf("%s %s, %s", it.at.Format("15:04"), p.Bell.Title, req.SayTo(p))
		if p.Bell.Daily {
			it.bell = p.Bell.Num
		}
		out = append(out, it)
	}
	return out, nil
}

// notWhile adds to a line of a day that a roped-off room keeps a child from it.
func notWhile(shut string) string {
	if shut == "" {
		return ""
	}
	return ", " + shut
}

// notLaid leaves out the rings of a day whose work is laid on it: it is told at its time.
func (l *laying) notLaid(bells []item, date time.Time) []item {
	return slices.DeleteFunc(bells, func(it item) bool {
		return it.bell > 0 && slices.ContainsFunc(l.plan.Placed, func(p plan.Placement) bool {
			return l.job(p.Job).Bell == it.bell && reminders.Day(p.From).Equal(date)
		})
	})
}

// items are the blocks of a day that are not over, and the jobs laid there.
func (l *laying) items(date time.Time) ([]item, error) {
	d, err := dayOf(l.req, date)
	if err != nil {
		return nil, err
	}
	home, err := homeToday(l.req)
	if err != nil {
		return nil, err
	}
	var out []item
	for _, b := range d.blocks {
		if !b.to.After(l.req.Wall) || b.from.Before(date) && !reminders.Day(l.req.Wall).Equal(date) {
			continue
		}
		who := inBlock(l.req, home, b)
		if len(who) == 0 {
			continue
		}
		it := item{at: b.from, who: l.ids(who), own: fmt.Sprintf("%s-%s %s", b.from.Format("15:04"), b.to.Format("15:04"), b.Title)}
		it.text = it.own + ", " + l.whoSaid(b, who)
		if b.Place != "" {
			it.text, it.own = it.text+", "+sayPlace(b.Place), it.own+", "+sayPlace(b.Place)
		}
		hints, err := l.req.NextTimes(desk.OfDay(b.Title))
		if err != nil {
			return nil, err
		}
		for _, h := range hints {
			it.more = append(it.more, "  "+h)
		}
		out = append(out, it)
	}
	for _, p := range l.plan.Placed {
		if reminders.Day(p.From).Equal(date) {
			it := l.jobItem(p)
			shut := home.Waits(storage.Bell{Title: l.job(p.Job).Title}, reminders.Expand(reminders.People(it.who...), l.req.People, l.req.Now), l.req.Instant(p.From))
			it.text, it.own = it.text+notWhile(shut), it.own+notWhile(shut)
			out = append(out, it)
		}
	}
	roped, err := l.req.Tx.Roped(l.req.House.ID)
	if err != nil {
		return nil, err
	}
	if home := d.atHome(); len(home) > 0 && len(roped) == 0 { // told with the closed room
		out = append(out, item{at: date, text: "At home: " + desk.List(home) + ". No lye."})
	}
	if weather := d.weather(); weather != "" {
		out = append(out, item{at: date, text: "A " + weather + " day."})
	}
	if l.req.House.Bare.Has(date) {
		out = append(out, item{at: date, text: "A bare day: the jobs wait."})
	}
	return out, nil
}

// whoSaid names who is in a block: its own word for a group that is all there.
func (l *laying) whoSaid(b stretch, who []string) string {
	if len(who) == len(idsOf(l.req, b.Whom)) {
		return reminders.SayWhom(b.Whom, l.req.People, l.req.Now)
	}
	return desk.List(who)
}

// jobItem is a job in the day, with what is to be known of it below.
func (l *laying) jobItem(p plan.Placement) item {
	j := l.job(p.Job)
	it := item{at: p.From, who: l.ids(p.Who), own: fmt.Sprintf("%s-%s %s", p.From.Format("15:04"), p.To.Format("15:04"), j.Title)}
	it.text = fmt.Sprintf("%s-%s JOB %s, %s%s", p.From.Format("15:04"), p.To.Format("15:04"), j.Title, desk.List(p.Who), l.notes(p))
	if len(p.Who) > 1 {
		it.own += ", with " + desk.List(slices.DeleteFunc(slices.Clone(p.Who), func(n string) bool { return n == l.req.Who.Name }))
	}
	if n := l.moved(p.Job); n > 0 {
		it.text += ", moved " + times(n)
	}
	if j.Detail != "" {
		it.more = append(it.more, "  "+j.Detail)
	}
	if j.Needs.Lye {
		it.more = append(it.more, "  lye: the children elsewhere, from "+p.From.Add(-plan.BeforeLye).Format("15:04")+" to "+p.To.Add(plan.AfterLye).Format("15:04"))
	}
	for _, h := range j.Hints {
		it.more = append(it.more, "  "+h)
	}
	return it
}

// after adds what of the open jobs is not today: what is laid later, and what fits
// nowhere with what would have to give.
func (l *laying) after(reply *desk.Reply) {
	day := reminders.Day(l.req.Wall)
	var later []string
	for _, p := range l.plan.Placed {
		if reminders.Day(p.From).After(day) {
			text := fmt.Sprintf("%s %s", l.job(p.Job).Title, reminders.SayTime(p.From, l.req.Wall, l.req.House.DayFirst))
			if n := l.moved(p.Job); n > 0 {
				text += ", moved " + times(n)
			}
			later = append(later, text)
		}
	}
	if len(later) > 0 {
		reply.Lines = append(reply.Lines, "Later: "+strings.Join(later, "; "))
	}
	for _, left := range l.plan.Left {
		if l.waits(left.Job) {
			continue
		}
		reply.Lines = append(reply.Lines, desk.Upper(l.sayLeft(left))+".")
	}
	for _, t := range l.tasks {
		if t.Moved >= plan.OftenMoved {
			reply.Lines = append(reply.Lines, l.often(t))
			reply.Buttons = append(reply.Buttons, l.choices(t.ID)...)
		}
	}
}

// often asks what becomes of a job that was not done again and again.
func (l *laying) often(t plan.Job) string {
	return fmt.Sprintf("Moved %s: %s. Is it done, does it get a day, or is it dropped?", times(t.Moved), l.job(t.ID).Title)
}

// choices are the ways to go on with a job that has moved too often.
func (l *laying) choices(key string) []storage.Button {
	j := l.job(key)
	num, own := strings.CutPrefix(key, "job:")
	if !own {
		if j.Done == "" {
			return nil
		}
		return []storage.Button{desk.Labelled("Done: "+j.Title, j.Done)}
	}
	out := []storage.Button{desk.Labelled("Done: "+j.Title, j.Done)}
	for _, p := range l.plan.Placed {
		if p.Job == key {
			out = append(out, desk.Labelled("On "+reminders.SayDay(p.From, l.req.Wall, l.req.House.DayFirst), fmt.Sprintf("job %s on %s", num, p.From.Format(time.DateOnly))))
		}
	}
	return append(out, desk.Labelled("Drop", "job drop "+num))
}

// onePerson keeps a question for somebody's day to lines that name one person.
func onePerson(req *desk.Request) bool {
	who := req.Reading.Terms("people")
	return len(who) == 1 && !strings.HasPrefix(who[0].Value.(phrase.Term).Name, "@") && !who[0].Near
}

// theirDay is somebody else's part of a day.
func theirDay(req *desk.Request) (desk.Reply, error) {
	if !onePerson(req) {
		return desk.AskBack("Whose day? For example: Lise's day"), nil
	}
	p, ok := req.Person(req.Reading.Terms("people")[0].Value.(phrase.Term).Name)
	if !ok {
		return desk.Reply{}, desk.ErrSilent
	}
	reply, err := ownDay(req, p, dateMeant(req))
	reply.Head = strings.Replace(reply.Head, "Your day, "+p.Name, p.Name+"'s day", 1)
	return reply, err
}

// myDay is the speaker's own part of a day.
func myDay(req *desk.Request) (desk.Reply, error) {
	return ownDay(req, req.Who, dateMeant(req))
}

// ownDay tells somebody their own part of a day; a child in plain words, and where not to
// go.
func ownDay(req *desk.Request, p storage.Person, date time.Time) (desk.Reply, error) {
	one := *req
	one.Who = p
	req = &one
	l, err := layJobs(req)
	if err != nil {
		return desk.Reply{}, err
	}
	items, err := l.items(date)
	if err != nil {
		return desk.Reply{}, err
	}
	bells, err := bellItems(req, date, 1)
	if err != nil {
		return desk.Reply{}, err
	}
	child := p.Child(req.Now)
	var own []item
	for _, it := range append(items, l.notLaid(bells, date)...) {
		if slices.Contains(it.who, p.ID) || len(it.who) == 0 {
			if it.own != "" {
				it.text = it.own
			}
			own = append(own, it)
		}
	}
	for _, placed := range l.plan.Placed {
		if !reminders.Day(placed.From).Equal(date) {
			continue
		}
		j := l.job(placed.Job)
		if slices.Contains(l.helpers(placed), p.Name) {
			own = append(own, item{at: placed.From, text: fmt.Sprintf("%s you can help %s: %s", placed.From.Format("15:04"), desk.List(placed.Who), j.Title)})
		}
		if child && j.Needs.Lye {
			own = append(own, item{at: placed.From.Add(-plan.BeforeLye), text: fmt.Sprintf("%s-%s stay out of the kitchen: %s works with lye. Wait for the all clear.", placed.From.Add(-plan.BeforeLye).Format("15:04"), placed.To.Add(plan.AfterLye).Format("15:04"), desk.List(placed.Who))})
		}
	}
	head := fmt.Sprintf("Your day, %s, %s", p.Name, reminders.SayDay(date, req.Wall, req.House.DayFirst))
	lines := textsOf(inTime(own))
	if len(own) == 0 {
		lines = []string{"nothing is set"}
	}
	if date.Equal(reminders.Day(req.Wall)) {
		closed, err := roomsClosed(req)
		return desk.Answer(head, append(closed, lines...)...), err
	}
	return desk.Answer(head, lines...), nil
}
