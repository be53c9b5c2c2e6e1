package chores

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

// rest lets chores pause for some days: one of them, all that can wait, or all of
// one person's.
func rest(req *desk.Request) (desk.Reply, error) {
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
		return desk.Refuse(bad[0].Value.(string) + " Nothing was changed."), nil
	}
	fit, err := meant(req)
	if err != nil {
		return desk.Reply{}, err
	}
	p, personal := personAsked(req)
	everyone := slices.ContainsFunc(req.Reading.Terms("people"), func(s phrase.Span) bool { return s.Value.(phrase.Term).Name == "@everyone" })
	if len(fit) == 0 && !personal && !everyone && !req.Mentions("chores") {
		return desk.Reply{}, silentOr(nil)
	}
	if rule := ruleOf(req.Reading); rule != nil && len(rule.Days) > 0 && len(fit) > 0 {
		return changing(without(rule.Days))(req)
	}
	if !req.May() {
		return desk.Refuse("Only a keeper gives days off: "+keepers(req)+".", "A turn can be swapped: swap dishes with NAME"), nil
	}
	days, ok := daysOff(req)
	if !ok {
		return desk.AskBack("For which days? For example: no chores on saturday, or: pause the dishes until friday"), nil
	}
	if len(fit) > 0 {
		return restOne(req, fit, days)
	}
	if personal {
		return offDays(req, p, days)
	}
	return restAll(req, days)
}

// daysOff are the days that a line names.
func daysOff(req *desk.Request) (storage.Days, bool) {
	today := reminders.Day(req.Wall)
	if s := req.Reading.Of(phrase.KindDays); len(s) > 0 {
		d := s[0].Value.(phrase.DateSpan)
		if d.From.IsZero() {
			d.From = today
		}
		return storage.Days{From: d.From, To: d.To}, true
	}
	if s := req.Reading.Of(phrase.KindUntil); len(s) > 0 {
		return storage.Days{From: today, To: s[0].Value.(phrase.Date).Next}, true
	}
	if s := req.Reading.Of(phrase.KindDate); len(s) > 0 {
		day := s[0].Value.(phrase.Date).Next
		if strings.Contains(strings.ToLower(s[0].Text), "week") {
			return storage.Days{From: monday(day), To: monday(day).AddDate(0, 0, 6)}, true
		}
		return storage.Days{From: day, To: day}, true
	}
	if s := req.Reading.Of(phrase.KindDuration); len(s) > 0 {
		n := int(s[0].Value.(time.Duration).Hours() / 24)
		if n < 1 {
			return storage.Days{}, false
		}
		return storage.Days{From: today, To: today.AddDate(0, 0, n-1)}, true
	}
	switch {
	case req.Mentions("week") && req.Mentions("next"):
		from := monday(today).AddDate(0, 0, 7)
		return storage.Days{From: from, To: from.AddDate(0, 0, 6)}, true
	case req.Mentions("week"):
		return storage.Days{From: today, To: today.AddDate(0, 0, 6)}, true
	case req.Mentions("month"):
		return storage.Days{From: today, To: today.AddDate(0, 1, -1)}, true
	case req.Mentions("today", "tonight", "today's", "tonight's"):
		return storage.Days{From: today, To: today}, true
	case req.Mentions("tomorrow's"):
		return storage.Days{From: today.AddDate(0, 0, 1), To: today.AddDate(0, 0, 1)}, true
	}
	return storage.Days{}, false
}

func sayDays(req *desk.Request, d storage.Days) string {
	from := reminders.SayDay(d.From, req.Wall, req.House.DayFirst)
	if d.From.Equal(d.To) {
		return from
	}
	return from + " to " + reminders.SayDay(d.To, req.Wall, req.House.DayFirst)
}

// restOne pauses one chore, whatever it is: somebody sees to it otherwise.
func restOne(req *desk.Request, fit []storage.Chore, days storage.Days) (desk.Reply, error) {
	c, reply, ok := one(req, fit, "pause %")
	if !ok {
		return reply, nil
	}
	bells, err := bellsOf(req, c)
	if err != nil {
		return desk.Reply{}, err
	}
	care := false
	for i := range bells {
		bells[i].Rest = bells[i].Rest.With(days)
		care = care || bells[i].Care
	}
	if reply, err = save(req, c, bells, "not on "+sayDays(req, days)); err != nil {
		return reply, err
	}
	reply.Lines = nil
	if care {
		reply.Lines = []string{"It is care of animals or of the house: somebody has to see to it then."}
	}
	return reply, nil
}

// restAll pauses what can wait; animals, meals and medicine go on.
func restAll(req *desk.Request, days storage.Days) (desk.Reply, error) {
	all, err := live(req)
	if err != nil {
		return desk.Reply{}, err
	}
	due, err := turns(req, all, req.Instant(days.From), req.Instant(days.To.AddDate(0, 0, 1)))
	if err != nil {
		return desk.Reply{}, err
	}
	var rests, goes []string
	var bells []storage.Bell
	for _, c := range all {
		own, err := bellsOf(req, c)
		if err != nil {
			return desk.Reply{}, err
		}
		if !slices.ContainsFunc(due, func(t turn) bool { return t.chore.ID == c.ID && t.open() }) {
			continue // nothing of it falls on those days
		}
		if len(own) > 0 && own[0].Care {
			goes = append(goes, c.Name)
			continue
		}
		rests = append(rests, c.Name)
		for _, b := range own {
			b.Rest = b.Rest.With(days)
			bells = append(bells, b)
		}
	}
	if len(all) == 0 {
		return desk.Reply{}, silentOr(nil)
	}
	if len(rests) == 0 && len(goes) == 0 {
		return desk.Answer("No chore falls on " + sayDays(req, days) + "."), nil
	}
	if err := req.Record(storage.Entry{Kind: "chore", Text: "no chores on " + sayDays(req, days)}); err != nil {
		return desk.Reply{}, err
	}
	for _, b := range bells {
		if err := req.Tx.SaveBell(b); err != nil {
			return desk.Reply{}, err
		}
	}
	reply := desk.Answer(fmt.Sprintf("No chores on %s.", sayDays(req, days)))
	if len(rests) > 0 {
		reply.Lines = append(reply.Lines, "Left out: "+desk.List(rests)+".")
	}
	if len(goes) > 0 {
		reply.Lines = append(reply.Lines, "Still rings, it cannot wait: "+desk.List(goes)+".")
	}
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return reply, nil
}

// offDays gives somebody days without chores: turns pass by, and what cannot wait
// goes to others.
func offDays(req *desk.Request, p storage.Person, days storage.Days) (desk.Reply, error) {
	said := fmt.Sprintf("%s has no chores on %s", p.Name, sayDays(req, days))
	if err := req.Record(storage.Entry{Kind: "chore", About: "person:" + p.Name, Text: said}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SetOff(p.ID, append(p.Off, days)); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(said+".", "Turns pass by; animals and meals go to others, the rest waits a day. No debt comes of it.")
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return reply, req.Tx.Stir(req.House.ID)
}

// without takes days of the week out of a chore's schedule.
func without(out []time.Weekday) func(*desk.Request, storage.Chore) (desk.Reply, error) {
	return func(req *desk.Request, c storage.Chore) (desk.Reply, error) {
		bells, err := bellsOf(req, c)
		if err != nil {
			return desk.Reply{}, err
		}
		if len(bells) != 1 || !strings.HasPrefix(bells[0].Schedule, "cron ") || strings.Contains(bells[0].Schedule, "|") {
			return desk.AskBack(fmt.Sprintf("%s comes round %s. Say its days anew, for example: %s at 7 on weekdays", desk.Upper(c.Name), sayWhen(req, bells), c.Name)), nil
		}
		b := &bells[0]
		rule := phrase.Rule{Freq: "DAILY", Interval: 1}
		if days := cronDays(b.Schedule); len(days) > 0 {
			rule = phrase.Rule{Freq: "WEEKLY", Interval: 1, Days: days}
		}
		w := req.WallOf(b.Next)
		rep := req.Repeat(rule.Except(out), []phrase.Clock{{Hour: w.Hour(), Minute: w.Minute()}}, reminders.Day(req.Wall))
		if rep.Spec == b.Schedule {
			return desk.Answer(fmt.Sprintf("%s: %s. Nothing to leave out.", desk.Upper(c.Name), sayWhen(req, bells))), nil
		}
		b.Schedule = rep.Spec
		if reply, ok := reseat(req, b); !ok {
			return reply, nil
		}
		b.Whom = rewhom(req, c, *b)
		var left []string
		for _, d := range out {
			left = append(left, d.String()[:3])
		}
		return save(req, c, bells, fmt.Sprintf("not on %s; %s", strings.Join(left, " "), sayWhen(req, bells)))
	}
}

// cronDays are the days of the week of a stored schedule; none for every day.
func cronDays(spec string) []time.Weekday {
	f := strings.Fields(spec)
	if len(f) != 6 || f[5] == "*" {
		return nil
	}
	var out []time.Weekday
	for d := range strings.SplitSeq(f[5], ",") {
		out = append(out, time.Weekday((d[0]-'0')%7))
	}
	return out
}

// birthday writes a birthday down: no turns fall on it, and the age counts from it.
func birthday(req *desk.Request) (desk.Reply, error) {
	dates := req.Reading.Of(phrase.KindDate)
	p, ok := personAsked(req)
	if !ok || len(dates) != 1 {
		return desk.Reply{}, desk.ErrSilent
	}
	if !req.May() && p.ID != req.Who.ID {
		return desk.Refuse("Only a keeper writes down birthdays of others."), nil
	}
	d := dates[0].Value.(phrase.Date)
	day := d.Next
	p.Birthday = day.Format("01-02")
	was := p.AgeAt(req.Now)
	years, born := bornIn(req, d)
	switch {
	case req.Form == "was born" && !born:
		return desk.AskBack(fmt.Sprintf("In which year? For example: %s was born 5 March %d", p.Name, req.Wall.Year()-max(was, 1))), nil
	case born && !req.May():
		return desk.Refuse("Only a keeper writes down ages: " + keepers(req) + "."), nil
	case born && p.Age == 0:
		return desk.Reply{}, desk.ErrSilent // of an adult it is talk
	case born:
		p.Age, p.AgeOn = years, day.AddDate(years, 0, 0).Format(time.DateOnly)
	case p.Age > 0:
		p.Age = p.AgeAt(req.Now)
		last := d.Last
		for last.After(req.Wall) {
			last = last.AddDate(-1, 0, 0)
		}
		p.AgeOn = last.Format(time.DateOnly)
	}
	said := fmt.Sprintf("%s's birthday is %s", p.Name, reminders.SayDay(day, day, req.House.DayFirst)[4:])
	if now := p.AgeAt(req.Now); born && now != was {
		said += fmt.Sprintf(", %d now, not %d", now, was)
	}
	if err := req.Record(storage.Entry{Kind: "birthday", About: "person:" + p.Name, Text: said}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SetBirthday(p); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(said+".", "No chores fall on it: turns pass by, animals and meals go to others.")
	age := p.AgeAt(req.Now)
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	switch {
	case p.Age == 0:
	case !born && day.Equal(reminders.Day(req.Wall)): // was the age said before the day, or for it?
		reply.Lines = append(reply.Lines, fmt.Sprintf("%d is written down. Is it %d from today?", age, age+1))
		reply.Buttons = append(reply.Buttons, desk.Labelled(fmt.Sprintf("%d from today", age+1), fmt.Sprintf("%s was born %s", p.Name, day.AddDate(-age-1, 0, 0).Format("2 January 2006"))))
	default:
		reply.Lines = append(reply.Lines, fmt.Sprintf("%d now, and %d then.", age, age+1))
	}
	if p.Birthday == "02-29" {
		reply.Assumed = append(reply.Assumed, "kept on 28 February in common years")
	}
	return reply, nil
}

// bornIn is the age at the last birthday of whoever was born on a date that was said with
// its year.
func bornIn(req *desk.Request, d phrase.Date) (years int, ok bool) {
	day := d.Next
	if !d.Next.Equal(d.Last) || !day.Before(req.Wall.AddDate(-1, 0, 0)) {
		return 0, false
	}
	years = req.Wall.Year() - day.Year()
	if day.AddDate(years, 0, 0).After(req.Wall) {
		years--
	}
	return years, years < 100
}

// plainOlder takes "Ivo is 14 now" of a child; without the now only what differs from the
// age that is kept by a year.
func plainOlder(req *desk.Request) bool {
	who, n := othersNamed(req), numbers(req)
	if strings.ContainsAny(req.Text, "?") || len(who) != 1 || len(n) != 1 || who[0].Age == 0 || len(phrase.Words(req.Text)) > 6 || req.Reading.Terms("people")[0].First > 0 || possessive(req.Reading.Terms("people")[0]) {
		return false
	}
	years := n[0] - who[0].AgeAt(req.Now)
	if req.Mentions("now", "turned", "today") {
		return n[0] < 100
	}
	return years == 1
}

// older writes down how old somebody is from today.
func older(req *desk.Request) (desk.Reply, error) {
	who, n := othersNamed(req), numbers(req)
	if len(who) != 1 || len(n) != 1 || who[0].Age == 0 {
		return desk.Reply{}, desk.ErrSilent
	}
	p, years := who[0], n[0]
	switch {
	case !req.May():
		return desk.Refuse("Only a keeper writes down ages: " + keepers(req) + "."), nil
	case years == p.AgeAt(req.Now):
		return desk.Answer(fmt.Sprintf("%s is down as %d already.", p.Name, years)), nil
	case years != p.AgeAt(req.Now)+1 || p.Birthday != "":
		return desk.AskBack(fmt.Sprintf("%s is down as %d. When is the birthday? For example: %s was born 5 March %d", p.Name, p.AgeAt(req.Now), p.Name, req.Wall.Year()-years)), nil
	case !req.Mentions("now", "turned", "today"):
		return desk.AskBack(fmt.Sprintf("Is %s %d now? Down as %d.", p.Name, years, p.AgeAt(req.Now)), desk.Button(fmt.Sprintf("%s is %d now", p.Name, years))), nil
	}
	p.Age, p.AgeOn = years, reminders.Day(req.Wall).Format(time.DateOnly)
	said := fmt.Sprintf("%s is %d now", p.Name, years)
	if err := req.Record(storage.Entry{Kind: "birthday", About: "person:" + p.Name, Text: said}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SetBirthday(p); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(said + ".")
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return reply, nil
}

// portion sets of how much of a full share somebody is asked.
func portion(req *desk.Request) (desk.Reply, error) {
	p, ok := personAsked(req)
	if !ok {
		return desk.AskBack("Whose share? For example: chore share Pim half"), nil
	}
	if !req.May() {
		return desk.Refuse("Only a keeper sets the shares."), nil
	}
	percent := -1
	switch {
	case req.Mentions("half"):
		percent = 50
	case req.Mentions("quarter"):
		percent = 25
	case req.Mentions("full", "whole"):
		percent = 100
	case req.Mentions("none", "nothing"):
		percent = 0
	}
	if n := numbers(req); percent < 0 && len(n) == 1 && n[0] <= 100 && n[0] >= 0 {
		percent = n[0]
	}
	if percent < 0 {
		return desk.AskBack("How much of a full share? For example: chore share Pim half"), nil
	}
	said := fmt.Sprintf("%s is asked %d %% of a full share of the chores", p.Name, percent)
	if err := req.Record(storage.Entry{Kind: "chore", About: "person:" + p.Name, Text: said}); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(said+".", "It counts where a chore goes to whoever has done least.")
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return reply, req.Tx.SetShare(p.ID, percent)
}
