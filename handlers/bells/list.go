package bells

import (
	"fmt"
	"math/big"
	"slices"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// listed is how many bells fit a screen.
const listed = 12

// list shows what rings now and what is coming, for whom, and why.
func list(req *desk.Request) (desk.Reply, error) {
	open, err := openRings(req.Tx, req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	coming, err := req.Tx.ComingBells(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(open)+len(coming) == 0 {
		return desk.Answer("No bells are set. For example: ring Ivo feed the hens daily at 7"), nil
	}
	if who := req.Reading.Terms("people"); len(who) > 0 {
		open, coming = only(req, who[0].Value.(phrase.Term).Name, open, coming)
	}
	if day, is := dayAsked(req); is {
		open, coming = nil, slices.DeleteFunc(coming, func(b storage.Bell) bool { return !reminders.Day(req.WallOf(b.Next)).Equal(day) })
		if len(coming) == 0 {
			return desk.Answer(fmt.Sprintf("No bell is set for %s.", day.Format("Mon 2 Jan"))), nil
		}
	}
	home, err := req.Home()
	if err != nil {
		return desk.Reply{}, err
	}
	said := 0
	for _, m := range open {
		said += min(m.ring.Said, 1)
	}
	reply := desk.Answer(fmt.Sprintf("%s set, %d ringing now.", desk.Plural(len(coming), "bell"), said))
	for _, m := range open {
		if m.ring.Said == 0 {
			reply.Lines = append(reply.Lines, fmt.Sprintf("%d %s: %s, %s", m.ring.Num, waits(req, home, m), m.bell.Title, reminders.SayWhom(m.ring.Whom, req.People, req.Now)))
			continue
		}
		reply.Lines = append(reply.Lines, fmt.Sprintf("%d now: %s, %s, since %s", m.ring.Num, m.bell.Title,
			reminders.SayWhom(m.ring.Whom, req.People, req.Now), req.Say(m.ring.Due)))
	}
	shown := coming
	if more := req.Mentions("all"); !more && len(coming) > listed {
		shown = coming[:listed]
		reply.Buttons = append(reply.Buttons, desk.Labelled(fmt.Sprintf("All %d", len(coming)), "bells all"))
	}
	for _, b := range shown {
		reply.Lines = append(reply.Lines, bellLine(req, b))
	}
	return reply, nil
}

// dayAsked is the day whose bells a line asks for; false for all of them.
func dayAsked(req *desk.Request) (time.Time, bool) {
	w := req.Reading.Moment(req.Context(), phrase.Future)
	return reminders.Day(w.Wall), w.HasDate
}

// whenNext says when one bell rings next.
func whenNext(req *desk.Request) (desk.Reply, error) {
	fit := fitting(req)
	if len(fit) != 1 {
		return list(req)
	}
	b := fit[0]
	if b.Next.IsZero() {
		return desk.Answer(fmt.Sprintf("%s rings now and not again.", desk.Upper(b.Title))), nil
	}
	if b.Step == stepAppointment {
		return desk.Answer(fmt.Sprintf("%s, %s.", desk.Upper(b.Title), req.SayDay(b.Next)), fmt.Sprintf("It rings %s for %s.", req.WallOf(b.Next).Format("15:04"), reminders.SayWhom(b.Whom, req.People, req.Now))), nil
	}
	return desk.Answer(fmt.Sprintf("%s: %s, %s.", desk.Upper(b.Title), req.Say(b.Next), reminders.SayWhom(b.Whom, req.People, req.Now))), nil
}

// waits says until when a ring is not said.
func waits(req *desk.Request, home reminders.House, m meant) string {
	call := home.Call(m.bell, m.ring.Whom, req.Now)
	switch {
	case m.ring.Held.IsZero():
		return "put off until " + req.Say(m.ring.Wake)
	case call.Shut != "":
		return "waits until all is clear in the " + call.Shut
	case call.Open:
		return "waits until " + reminders.SayWhom(m.ring.Whom, req.People, req.Now) + " is back"
	}
	return "held back until " + req.Say(m.ring.Wake)
}

// only keeps the bells that somebody hears.
func only(req *desk.Request, name string, open []meant, coming []storage.Bell) ([]meant, []storage.Bell) {
	p, ok := req.Person(name)
	if name == "@me" {
		p, ok = req.Who, true
	}
	if !ok {
		return open, coming
	}
	hears := func(whom string) bool {
		return slices.ContainsFunc(reminders.Expand(whom, req.People, req.Now), func(q storage.Person) bool { return q.ID == p.ID })
	}
	open = slices.DeleteFunc(open, func(m meant) bool { return !hears(m.ring.Whom) })
	return open, slices.DeleteFunc(coming, func(b storage.Bell) bool { return !hears(b.Whom) })
}

func bellLine(req *desk.Request, b storage.Bell) string {
	when := "now"
	if !b.Next.IsZero() {
		when = req.Say(b.Next)
	}
	text := fmt.Sprintf("%d %s: %s, %s", b.Num, when, b.Title, reminders.SayWhom(b.Whom, req.People, req.Now))
	if b.Schedule != "" {
		text += " (" + sayWhen(req, b) + ")"
	}
	if b.Why != "" && b.Why != "asked by "+reminders.SayWhom(b.Whom, req.People, req.Now) {
		text += " [" + b.Why + "]"
	}
	return text
}

func bareNumber(s phrase.Span) (int, bool) {
	v, ok := s.Value.(*big.Rat)
	if !ok || s.Kind != phrase.KindNumber || !v.IsInt() || !v.Num().IsInt64() {
		return 0, false
	}
	n := v.Num().Int64()
	return int(n), n > 0 && n < 1e9
}

// stop ends a bell for good.
func stop(req *desk.Request) (desk.Reply, error) {
	coming, err := live(req.Tx, req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	fit, given := pick(req, coming)
	switch {
	case len(coming) == 0 && req.Direct:
		return desk.Answer("No bells are set."), nil
	case len(fit) == 0 && !given && !req.Direct:
		return desk.Reply{}, desk.ErrSilent
	case len(fit) != 1:
		reply := desk.AskBack("Stop which bell?")
		if len(fit) == 0 {
			fit = coming
		}
		for _, b := range fit[:min(len(fit), 6)] {
			reply.Lines = append(reply.Lines, bellLine(req, b))
			reply.Buttons = append(reply.Buttons, desk.Labelled(b.Title, fmt.Sprintf("stop bell %d", b.Num)))
		}
		return reply, nil
	}
	return stopOne(req, fit[0])
}

// live returns the bells that will ring and those that ring now.
func live(tx *storage.Tx, household int64) ([]storage.Bell, error) {
	coming, err := tx.ComingBells(household)
	if err != nil {
		return nil, err
	}
	ringing, err := tx.RingingBells(household)
	for _, b := range ringing {
		if !slices.ContainsFunc(coming, func(c storage.Bell) bool { return c.ID == b.ID }) {
			coming = append(coming, b)
		}
	}
	return coming, err
}

func pick(req *desk.Request, coming []storage.Bell) (fit []storage.Bell, given bool) {
	n, numbered := numberSaid(req)
	terms := req.Reading.Terms("bells")
	if !numbered && len(terms) == 0 {
		return nil, false
	}
	for _, b := range coming {
		if numbered && b.Num == n {
			fit = append(fit, b)
		}
		if !numbered && !slices.ContainsFunc(terms, func(s phrase.Span) bool {
			return !slices.Contains(phrase.Words(b.Title), s.Value.(phrase.Term).Name)
		}) {
			fit = append(fit, b)
		}
	}
	return fit, true
}

func stopOne(req *desk.Request, b storage.Bell) (desk.Reply, error) {
	switch {
	case reminders.IsChore(b):
		return ofChore(b), nil
	case b.Safety:
		return desk.Refuse("A safety bell is not stopped: it rings until it is done or a keeper says all clear."), nil
	case b.Whom != reminders.People(req.Who.ID) && !req.May():
		return desk.Refuse("Only a keeper stops bells of others."), nil
	}
	if err := req.Record(storage.Entry{Kind: "stop", About: fmt.Sprintf("bell:%d", b.Num), Text: "stopped the bell: " + b.Title}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(fmt.Sprintf("Bell %d stopped: %s.", b.Num, b.Title))
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return reply, nil
}
