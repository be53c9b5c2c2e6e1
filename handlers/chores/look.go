package chores

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

// about reads which days a question is about; today when none are said.
func about(req *desk.Request) span {
	day := reminders.Day(req.Wall)
	if s := req.Reading.Of(phrase.KindDate); len(s) > 0 && !strings.Contains(strings.ToLower(s[0].Text), "week") {
		day = s[0].Value.(phrase.Date).Next
		if past(req) {
			day = s[0].Value.(phrase.Date).Last
		}
	}
	switch {
	case req.Mentions("week", "weeks", "weekly") && req.Mentions("last"):
		from := monday(day).AddDate(0, 0, -7)
		return span{from, from.AddDate(0, 0, 7), "last week"}
	case req.Mentions("week", "weekly") && req.Mentions("next"):
		from := monday(day).AddDate(0, 0, 7)
		return span{from, from.AddDate(0, 0, 7), "next week"}
	case req.Mentions("week", "weekly"):
		return span{monday(day), monday(day).AddDate(0, 0, 7), "this week"}
	}
	s := span{day, day.AddDate(0, 0, 1), "on " + reminders.SayDay(day, req.Wall, req.House.DayFirst)}
	switch int(day.Sub(reminders.Day(req.Wall)).Hours() / 24) {
	case 0:
		s.said = "today"
	case 1:
		s.said = "tomorrow"
	case -1:
		s.said = "yesterday"
	}
	return s
}

// past reports a question about what was done.
func past(req *desk.Request) bool {
	return req.Mentions("did", "done", "was", "fed", "has", "yesterday", "last", "missed") || slices.ContainsFunc(req.Reading.Tokens, func(t phrase.Token) bool {
		return slices.Contains(tellWords(), t.Low) && baseVerbs()[t.Low] != t.Low
	})
}

// dayAsked reports that a line says of which day it is.
func dayAsked(req *desk.Request) bool {
	return len(req.Reading.Of(phrase.KindDate)) > 0 || req.Mentions("week", "today", "tonight")
}

// who answers who has a chore, and when.
func who(req *desk.Request) (desk.Reply, error) {
	fit, err := meant(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(fit) == 0 {
		if !req.Mentions("what") {
			return desk.Reply{}, desk.ErrSilent
		}
		return dayOf(req)
	}
	s := about(req)
	if s.to.Sub(s.from) > 24*time.Hour {
		return weekOf(req, fit, s)
	}
	from, to := s.instants(req)
	list, err := turns(req, fit, from, to)
	if err != nil {
		return desk.Reply{}, err
	}
	shut := tells(req) && slices.ContainsFunc(list, func(t turn) bool { return len(t.doers) > 0 }) // "who shut the hens in"
	if len(list) == 0 || !dayAsked(req) && !slices.ContainsFunc(list, turn.open) && !past(req) && !shut {
		return next(req, fit)
	}
	list = narrowed(req, list)
	if len(list) == 0 {
		return next(req, fit)
	}
	reply := desk.Answer(headOf(req, list[0], s))
	for _, t := range list[1:] {
		reply.Lines = append(reply.Lines, headOf(req, t, s))
	}
	return reply, nil
}

// narrowed keeps, of the turns of one day, those of the part of the day that a
// question says.
func narrowed(req *desk.Request, list []turn) []turn {
	evening := req.Mentions("tonight", "evening")
	morning := req.Mentions("morning")
	if !evening && !morning {
		return list
	}
	some := slices.DeleteFunc(slices.Clone(list), func(t turn) bool { return (req.WallOf(t.due).Hour() >= 14) != evening })
	if len(some) == 0 {
		return list
	}
	return some
}

// headOf says whose a turn is: "Ivo: dishes, today at 19:00."
func headOf(req *desk.Request, t turn, s span) string {
	at := req.WallOf(t.due).Format("15:04")
	return fmt.Sprintf("%s: %s, %s at %s%s.", desk.Upper(t.who()), t.chore.Name, s.said, at, t.state(req))
}

// next says when some chores come round next, and to whom.
func next(req *desk.Request, fit []storage.Chore) (desk.Reply, error) {
	list, err := turns(req, fit, req.Now, req.Now.AddDate(0, 0, 62))
	if err != nil {
		return desk.Reply{}, err
	}
	list = slices.DeleteFunc(list, func(t turn) bool { return !t.open() })
	if len(list) == 0 {
		return desk.Answer(fmt.Sprintf("%s does not come round any more.", desk.Upper(fit[0].Name))), nil
	}
	t := list[0]
	return desk.Answer(fmt.Sprintf("%s: %s, next %s.", desk.Upper(t.who()), t.chore.Name, req.Say(t.due))), nil
}

// weekOf writes a week of some chores, a line a day.
func weekOf(req *desk.Request, fit []storage.Chore, s span) (desk.Reply, error) {
	from, to := s.instants(req)
	list, err := turns(req, fit, from, to)
	if err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(fmt.Sprintf("%s, %s:", desk.Upper(choreNames(fit)), s.said))
	for _, t := range list {
		reply.Lines = append(reply.Lines, fmt.Sprintf("%s %s%s", req.WallOf(t.due).Format("Mon 15:04"), t.who(), t.state(req)))
	}
	if len(list) == 0 {
		reply.Lines = []string{"nothing falls due"}
	}
	return reply, nil
}

// mine answers "when is my turn for the dishes".
func mine(req *desk.Request) (desk.Reply, error) {
	fit, err := meant(req)
	if err != nil || len(fit) == 0 {
		return desk.Reply{}, silentOr(err)
	}
	list, err := turns(req, fit, req.Instant(reminders.Day(req.Wall)), req.Now.AddDate(0, 0, 62))
	if err != nil {
		return desk.Reply{}, err
	}
	open := slices.DeleteFunc(slices.Clone(list), func(t turn) bool { return !t.open() })
	p, named := personAsked(req)
	if !named {
		p = req.Who
	}
	own := ofPerson(open, p.ID)
	other := p.ID != req.Who.ID
	switch {
	case len(own) == 0 && other:
		return desk.Answer(fmt.Sprintf("%s does not come to %s in the next two months.", desk.Upper(fit[0].Name), p.Name)), nil
	case len(own) == 0:
		return desk.Answer(fmt.Sprintf("%s does not come to you in the next two months.", desk.Upper(fit[0].Name))), nil
	case other:
		return desk.Answer(fmt.Sprintf("%s: %s, %s.", p.Name, own[0].chore.Name, req.Say(own[0].due))), nil
	}
	t := own[0]
	today := reminders.Day(req.WallOf(t.due)).Equal(reminders.Day(req.Wall))
	switch {
	case req.Mentions("is") && !req.Mentions("when") && !today && len(open) > 0:
		return desk.Answer(fmt.Sprintf("Not yet: %s is next. Yours is %s.", names(open[0].to), req.Say(t.due))), nil
	case today && req.Mentions("when", "when's"):
		return desk.Answer(fmt.Sprintf("Today at %s: %s.", req.WallOf(t.due).Format("15:04"), t.chore.Name)), nil
	case today:
		return desk.Answer(fmt.Sprintf("Yes, today at %s: %s.", req.WallOf(t.due).Format("15:04"), t.chore.Name)), nil
	}
	return desk.Answer(fmt.Sprintf("Yours is %s: %s.", req.Say(t.due), t.chore.Name)), nil
}

func silentOr(err error) error {
	if err != nil {
		return err
	}
	return desk.ErrSilent
}

// personAsked is whom a question is about: somebody named, or the speaker.
func personAsked(req *desk.Request) (storage.Person, bool) {
	for _, s := range req.Reading.Terms("people") {
		if s.Value.(phrase.Term).Name == "@me" {
			continue
		}
		if who := named(req, s); len(who) == 1 {
			return who[0], true
		}
	}
	if req.Mentions("my", "i", "i've", "myself") || req.Mentions("me") && !req.Mentions("show", "tell", "give", "let") {
		return req.Who, true
	}
	return storage.Person{}, false
}

// dayOf lists the chores of a day, or of a week, of one person or of all.
func dayOf(req *desk.Request) (desk.Reply, error) {
	all, err := live(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(all) == 0 {
		if !req.Direct && !req.Mentions("chores", "chore", "rota") {
			return desk.Reply{}, desk.ErrSilent
		}
		return desk.Answer("There are no chores yet. For example: chore feed the hens Ivo daily at 7"), nil
	}
	p, personal := personAsked(req)
	s := about(req)
	if personal && !dayAsked(req) && !left(req) {
		return choresOf(req, p)
	}
	from, to := s.instants(req)
	list, err := turns(req, all, from, to)
	if err != nil {
		return desk.Reply{}, err
	}
	list = narrowed(req, list)
	if left(req) {
		list = slices.DeleteFunc(list, func(t turn) bool { return !t.open() })
	}
	if personal {
		list = ofPerson(list, p.ID)
	}
	if s.to.Sub(s.from) > 24*time.Hour {
		return sheetOf(req, list, s, personal), nil
	}
	head := "Chores " + s.said
	if left(req) {
		head = "Left " + s.said
	}
	if personal {
		head += ", " + p.Name
	}
	reply := desk.Answer(head + ":")
	for _, t := range list {
		reply.Lines = append(reply.Lines, t.sayAt(req))
	}
	if len(list) == 0 {
		reply = desk.Answer(head + ": none.")
	}
	return reply, nil
}

// left reports a question about what is not done yet.
func left(req *desk.Request) bool {
	return req.Mentions("left", "undone", "outstanding", "remaining", "not", "hasn't", "still", "isn't")
}

// choresOf lists what somebody has to do, with when it comes round.
func choresOf(req *desk.Request, p storage.Person) (desk.Reply, error) {
	all, err := live(req)
	if err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Reply{}
	for _, c := range all {
		bells, err := bellsOf(req, c)
		if err != nil {
			return reply, err
		}
		for _, b := range bells {
			if b.Next.IsZero() && b.Schedule != "" || !slices.ContainsFunc(reminders.Expand(b.Whom, req.People, req.Now), func(q storage.Person) bool { return q.ID == p.ID }) {
				continue
			}
			text := fmt.Sprintf("%s, %s", c.Name, sayWhen(req, []storage.Bell{b}))
			if c.How == storage.ChoreDays {
				text = fmt.Sprintf("%s, %s", c.Name, reminders.SaySchedule(b.Schedule))
			}
			if to := reminders.SayWhom(b.Whom, req.People, req.Now); to != p.Name && c.How != storage.ChoreDays {
				text += " (" + to + ")"
			}
			reply.Lines = append(reply.Lines, text)
		}
	}
	lines := reply.Lines
	jobs := req.Mentions("job", "jobs")
	if len(lines) == 0 && jobs {
		return desk.Reply{}, desk.ErrSilent // the open jobs are meant
	}
	if len(lines) == 0 {
		return desk.Answer(p.Name + " has no chores."), nil
	}
	reply = desk.Answer(p.Name+"'s chores:", lines...)
	reply.Buttons = []storage.Button{desk.Labelled("Today", "chores today for "+p.Name)}
	if jobs {
		reply.Buttons = append(reply.Buttons, desk.Labelled("Open jobs", "jobs"))
	}
	return reply, nil
}

// overview lists all chores.
func overview(req *desk.Request) (desk.Reply, error) {
	all, err := live(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(all) == 0 {
		return desk.Answer("There are no chores yet. For example: chore feed the hens Ivo daily at 7"), nil
	}
	reply := desk.Answer(desk.Plural(len(all), "chore") + ":")
	for _, c := range all {
		bells, err := bellsOf(req, c)
		if err != nil {
			return desk.Reply{}, err
		}
		reply.Lines = append(reply.Lines, choreLine(req, c, bells))
	}
	reply.Buttons = []storage.Button{desk.Labelled("Today", "chores today"), desk.Labelled("Week", "chores this week")}
	return reply, nil
}

func choreLine(req *desk.Request, c storage.Chore, bells []storage.Bell) string {
	text := fmt.Sprintf("%s: %s, %s", c.Name, sayTo(req, c, bells), sayWhen(req, bells))
	if c.Effort > 0 {
		text += fmt.Sprintf(", effort %d", c.Effort)
	} else {
		text += fmt.Sprintf(", %d min", c.Minutes)
	}
	if c.Least > 0 {
		text += fmt.Sprintf(", from age %d", c.Least)
	}
	return text
}

// rotas shows the chores of which one person is called at a time, or one of them
// with who is next.
func rotas(req *desk.Request) (desk.Reply, error) {
	if len(req.More) > 0 {
		return paste(req)
	}
	all, err := live(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if fit := fitting(all, req.Reading.Terms("chores")); len(fit) > 0 {
		s := span{monday(reminders.Day(req.Wall)), monday(reminders.Day(req.Wall)).AddDate(0, 0, 7), "this week"}
		return weekOf(req, fit, s)
	}
	var lines []string
	for _, c := range all {
		if c.How == storage.ChoreOne || c.How == storage.ChoreSeveral {
			continue
		}
		bells, err := bellsOf(req, c)
		if err != nil {
			return desk.Reply{}, err
		}
		line := choreLine(req, c, bells)
		after, err := turns(req, []storage.Chore{c}, req.Now, req.Now.AddDate(0, 0, 31))
		if err != nil {
			return desk.Reply{}, err
		}
		if len(after) > 0 {
			line += fmt.Sprintf("; next %s, %s", after[0].who(), req.Say(after[0].due))
		}
		lines = append(lines, line)
	}
	if len(lines) == 0 {
		return desk.Answer("No chore goes round yet. For example: rota dishes Ivo Lise Pim daily at 19:00"), nil
	}
	return desk.Answer("What goes round:", lines...), nil
}

// sheet is the week's chores by person, to print.
func sheet(req *desk.Request) (desk.Reply, error) {
	all, err := live(req)
	if err != nil {
		return desk.Reply{}, err
	}
	day := reminders.Day(req.Wall)
	s := span{monday(day), monday(day).AddDate(0, 0, 7), "week of " + reminders.SayDay(monday(day), req.Wall, req.House.DayFirst)}
	if req.Mentions("next") {
		s.from, s.to = s.from.AddDate(0, 0, 7), s.to.AddDate(0, 0, 7)
		s.said = "week of " + reminders.SayDay(s.from, req.Wall, req.House.DayFirst)
	}
	from, to := s.instants(req)
	list, err := turns(req, all, from, to)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(list) == 0 {
		return desk.Answer("There are no chores in that week. For example: chore feed the hens Ivo daily at 7"), nil
	}
	return sheetOf(req, list, s, false), nil
}

// sheetOf writes a week by person: what each has on which days.
func sheetOf(req *desk.Request, list []turn, s span, personal bool) desk.Reply {
	reply := desk.Answer("Chores, " + s.said + ":")
	free := slices.DeleteFunc(slices.Clone(list), func(t turn) bool { return !t.anybodys() })
	list = slices.DeleteFunc(slices.Clone(list), turn.anybodys)
	for _, p := range req.People {
		own := ofPerson(list, p.ID)
		if len(own) == 0 {
			continue
		}
		reply.Lines = append(reply.Lines, p.Name)
		for _, row := range rowsOf(req, own) {
			reply.Lines = append(reply.Lines, "  "+row)
		}
	}
	if len(free) > 0 {
		reply.Lines = append(reply.Lines, "Whoever is free")
		for _, row := range rowsOf(req, free) {
			reply.Lines = append(reply.Lines, "  "+row)
		}
	}
	if len(reply.Lines) == 0 {
		reply.Lines = []string{"none"}
	}
	return reply
}

// rowsOf gathers the turns of one person into a row for each chore and time:
// "07:00 feed the hens: Mon Wed Fri".
func rowsOf(req *desk.Request, own []turn) []string {
	days := map[string][]string{}
	var order []string
	for _, t := range own {
		key := req.WallOf(t.due).Format("15:04") + " " + t.chore.Name
		if len(days[key]) == 0 {
			order = append(order, key)
		}
		days[key] = append(days[key], req.WallOf(t.due).Format("Mon"))
	}
	slices.Sort(order)
	var out []string
	for _, key := range order {
		text := strings.Join(days[key], " ")
		if len(days[key]) == 7 {
			text = "every day"
		}
		out = append(out, key+": "+text)
	}
	return out
}

// doneYet answers "has Ivo done the hens".
func doneYet(req *desk.Request) (desk.Reply, error) {
	fit, err := meant(req)
	if err != nil || len(fit) == 0 {
		return desk.Reply{}, silentOr(err)
	}
	s := about(req)
	from, to := s.instants(req)
	list, err := turns(req, fit, from, to)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(list) == 0 {
		return next(req, fit)
	}
	t := lastDue(req, list)
	w, ok, err := req.Tx.WorkOf(req.House.ID, t.chore.Num, t.due)
	if err != nil {
		return desk.Reply{}, err
	}
	if early, is, err := besidesOn(req, t); is || err != nil {
		return desk.Answer(fmt.Sprintf("Yes: %s, %s at %s. Next %s.", t.chore.Name, namesOf(req, early.Doers), reminders.SayTime(req.WallOf(early.At), req.Wall, req.House.DayFirst), req.Say(t.due))), err
	}
	if !ok || !w.Due.Equal(t.due) {
		return desk.Answer(fmt.Sprintf("Not yet: %s, %s, due %s.", t.chore.Name, t.who(), reminders.SayTime(req.WallOf(t.due), req.Wall, req.House.DayFirst))), nil
	}
	reply := desk.Answer(fmt.Sprintf("Yes: %s, %s at %s.", t.chore.Name, namesOf(req, w.Doers), reminders.SayTime(req.WallOf(w.At), req.Wall, req.House.DayFirst)))
	for _, other := range list {
		if other.due.Before(t.due) && other.rung && len(other.doers) == 0 {
			reply.Lines = append(reply.Lines, other.sayAt(req))
		}
	}
	return reply, nil
}

// besidesOn is what was done today of a chore, at no turn of it, before a turn that is
// still to come.
func besidesOn(req *desk.Request, t turn) (storage.Work, bool, error) {
	if t.rung || !t.open() || !t.due.After(req.Now) {
		return storage.Work{}, false, nil
	}
	w, ok, err := req.Tx.WorkOf(req.House.ID, t.chore.Num, req.Now)
	return w, ok && w.Ring == 0 && !w.Due.Before(req.Instant(reminders.Day(req.Wall))), err
}

// lastDue is the turn that a question about today's is about: the latest that was done
// or has fallen due, else the first to come.
func lastDue(req *desk.Request, list []turn) turn {
	for _, t := range slices.Backward(list) {
		if len(t.doers) > 0 || !t.due.After(req.Now) {
			return t
		}
	}
	return list[0]
}

// oldEnough answers "is Pim old enough to feed the goats".
func oldEnough(req *desk.Request) (desk.Reply, error) {
	p, ok := personAsked(req)
	work := workAsked(req)
	if !ok || work == "" {
		return desk.AskBack("Who, and for what? For example: is Pim old enough to feed the goats"), nil
	}
	return suits(req, p, work)
}

// suits says whether some work is for somebody by their age.
func suits(req *desk.Request, p storage.Person, work string) (desk.Reply, error) {
	v, age := childwork.Judge(work), p.AgeAt(req.Now)
	if !p.Child(req.Now) {
		return desk.Answer(fmt.Sprintf("%s is grown up.", p.Name)), nil
	}
	c := storage.Chore{Name: work}
	if fit, err := meant(req); err == nil && len(fit) == 1 && sameVerb(fit[0].Name, work) {
		c = fit[0]
	}
	why, never, err := reminders.UnfitHere(req.Tx, c, p, req.Now)
	if err != nil {
		return desk.Reply{}, err
	}
	switch {
	case never:
		return desk.Answer("No. " + why), nil
	case why != "":
		return desk.Answer("Not usually. "+why, "Parents decide: with an adult beside it can be earlier."), nil
	}
	near := childwork.StandBy(age)
	if v.What == "" && c.ID != 0 {
		return desk.Answer(fmt.Sprintf("Yes: %s is %d, and nothing keeps %s from that age.", p.Name, age, c.Name), "Parents decide; usual then: "+near+"."), nil
	}
	if v.What == "" {
		return desk.Answer(fmt.Sprintf("My table of farm work does not name it; %s is %d.", p.Name, age), "Parents decide; usual then: "+near+"."), nil
	}
	return desk.Answer(fmt.Sprintf("Yes: %s is usual from %d, and %s is %d: %s.", v.What, v.Least, p.Name, age, near), "Children differ; parents decide."), nil
}

// sameVerb reports work that is not another work with the same thing, as milking a goat is
// beside mucking it out.
func sameVerb(name, work string) bool {
	a, b := phrase.Words(name), phrase.Words(work)
	if len(a) < 2 || len(b) < 2 || baseVerbs()[a[0]] != a[0] || baseVerbs()[b[0]] != b[0] {
		return true
	}
	return a[0] == b[0]
}

// knownWork reports work that the table or the household's verbs know.
func knownWork(name string) bool {
	words := phrase.Words(name)
	return childwork.Judge(name).What != "" || len(words) > 1 && baseVerbs()[words[0]] != ""
}

// workAsked is the work that a question about an age names.
func workAsked(req *desk.Request) string {
	toks := req.Reading.Tokens
	for i, t := range toks {
		if (t.Low == "to" || t.Low == "for") && i+1 < len(toks) && i > 1 {
			return nameOf(strings.TrimRight(req.Text[toks[i+1].Start:], "? ."))
		}
	}
	return ""
}
