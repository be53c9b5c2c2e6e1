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

// deal is two turns that change hands, or one.
type deal struct {
	chore        storage.Chore
	giver, taker storage.Person
	gives        turn
	takes        turn
	both         bool
}

// swap trades two turns of a chore, or gives one away.
func swap(req *desk.Request) (desk.Reply, error) {
	if strange := strangeName(req); strange != "" {
		return desk.Refuse(fmt.Sprintf("I know nobody called %s here. The household: %s.", strange, everybody(req))), nil
	}
	fit, err := meant(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(fit) == 0 && !req.Direct {
		return desk.Reply{}, desk.ErrSilent
	}
	c, reply, ok := one(req, fit, "swap %")
	if !ok {
		return reply, nil
	}
	if len(othersNamed(req)) == 0 && c.How == storage.ChoreFree {
		return claim(req, c)
	}
	d, reply, err := dealOf(req, c)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	return d.close(req)
}

// claim takes a chore for whoever is free, on a plain "I'll do the washing".
func claim(req *desk.Request, c storage.Chore) (desk.Reply, error) {
	day := reminders.Day(req.Wall)
	list, err := turns(req, []storage.Chore{c}, req.Instant(day.AddDate(0, 0, -1)), req.Instant(day.AddDate(0, 0, 1)))
	if err != nil {
		return desk.Reply{}, err
	}
	list = slices.DeleteFunc(list, func(t turn) bool { return !t.open() })
	if len(list) == 0 {
		return desk.Reply{}, desk.ErrSilent
	}
	t := list[0]
	if len(t.to) == 1 && t.to[0].ID != req.Who.ID {
		return desk.Answer(fmt.Sprintf("%s was first and has it: %s. Thank you, %s.", t.to[0].Name, c.Name, req.Who.Name)), nil
	}
	if why, _, err := reminders.UnfitHere(req.Tx, c, req.Who, req.Now); err != nil || why != "" {
		return desk.Refuse(why), err
	}
	if err := req.Record(storage.Entry{Kind: "swap", Text: fmt.Sprintf("%s does %s, due %s", req.Who.Name, c.Name, req.Say(t.due))}); err != nil {
		return desk.Reply{}, err
	}
	if t.rung {
		g := t.ring
		g.Giver, g.Given, g.Whom = g.Whom, storage.GivenTaken, reminders.People(req.Who.ID)
		if err := req.Tx.SaveRing(g); err != nil {
			return desk.Reply{}, err
		}
	} else if err := hand(req, t, req.Who); err != nil {
		return desk.Reply{}, err
	}
	return desk.Quietly(fmt.Sprintf("%s has it: %s, %s.", req.Who.Name, c.Name, req.Say(t.due))), nil
}

// othersNamed are the people that a line names besides the speaker.
func othersNamed(req *desk.Request) []storage.Person {
	var out []storage.Person
	for _, s := range req.Reading.Terms("people") {
		if got := named(req, s); len(got) == 1 && got[0].ID != 0 && s.Value.(phrase.Term).Name != "@me" {
			out = append(out, got[0])
		}
	}
	return out
}

// strangeName is a name in the line that is nobody's.
func strangeName(req *desk.Request) string {
	for _, t := range req.Reading.Unknown {
		if t.Text != t.Low && strings.ToUpper(req.Text) != req.Text && t.Start > 0 {
			return t.Text
		}
	}
	return ""
}

// dealOf reads who trades what with whom.
func dealOf(req *desk.Request, c storage.Chore) (deal, desk.Reply, error) {
	d := deal{chore: c}
	giver, taker, gift := parties(req)
	if taker.ID == 0 || giver.ID == taker.ID {
		return d, desk.AskBack(fmt.Sprintf("With whom? Somebody else by name, for example: swap %s with NAME", c.Name)), nil
	}
	for _, p := range []storage.Person{taker, giver} {
		why, _, err := reminders.UnfitHere(req.Tx, c, p, req.Now)
		if err != nil {
			return d, desk.Reply{}, err
		}
		if why != "" && (p.ID == taker.ID || !gift) {
			return d, desk.Refuse(why, desk.Upper(c.Name)+" stays as it is."), nil
		}
	}
	d.giver, d.taker = giver, taker
	home, err := req.Home()
	if err != nil {
		return d, desk.Reply{}, err
	}
	list, err := turns(req, []storage.Chore{c}, req.Instant(reminders.Day(req.Wall)), req.Now.AddDate(0, 0, 62))
	if err != nil {
		return d, desk.Reply{}, err
	}
	list = slices.DeleteFunc(list, func(t turn) bool { return !t.open() })
	days := daysSaid(req)
	own, other := ofPerson(list, giver.ID), ofPerson(list, taker.ID)
	own = onDay(req, own, days, 0)
	if len(own) == 0 {
		return d, desk.AskBack(fmt.Sprintf("%s has no turn of %s then.", giver.Name, c.Name), desk.Labelled("Rota", "rota "+c.Name)), nil
	}
	d.gives = own[0]
	other = onDay(req, other, days, 1)
	if d.both = !gift && len(other) > 0; d.both {
		d.takes = other[0]
	}
	if d.both && d.takes.due.Equal(d.gives.due) {
		return d, desk.Answer(fmt.Sprintf("%s do it together: %s. There is no turn to swap.", names(d.gives.to), c.Name)), nil
	}
	if a, gone := home.Absent(taker.ID, d.gives.due); gone {
		return d, desk.Refuse(fmt.Sprintf("%s is %s.", taker.Name, home.SayAbsence(a, req.Now))), nil
	}
	return d, desk.Reply{}, nil
}

// parties are who gives a turn and who takes it. "swap dishes with Lise" and "can
// Lise do my dishes" are the speaker's to give, "I'll do Ivo's dishes" the
// speaker's to take.
func parties(req *desk.Request) (giver, taker storage.Person, gift bool) {
	who := othersNamed(req)
	swap := req.Mentions("swap", "swop", "trade", "exchange", "swapping", "trading") || strings.HasPrefix(req.Form, "^swap")
	switch {
	case len(who) == 0:
		return req.Who, storage.Person{}, !swap
	case len(who) == 1 && req.Mentions("i'll", "i", "ill", "i'm") && !swap && !req.Mentions("my", "mine"):
		return who[0], req.Who, true
	case len(who) == 1:
		return req.Who, who[0], !swap
	case swap:
		return who[0], who[1], false
	}
	return who[1], who[0], true // "Lise does the dishes instead of Ivo"
}

// daysSaid are the days of a line, in order.
func daysSaid(req *desk.Request) []time.Time {
	var out []time.Time
	for _, s := range req.Reading.Spans {
		switch v := s.Value.(type) {
		case phrase.Date:
			out = append(out, v.Next)
		case phrase.Part:
			if v.Fixed {
				out = append(out, reminders.Day(req.Wall).AddDate(0, 0, v.Days))
			}
		}
	}
	return out
}

// onDay narrows turns to the day that is said for them: the first for the giver's,
// the last for the taker's. With one day said it belongs to whoever has a turn on
// it.
func onDay(req *desk.Request, list []turn, days []time.Time, which int) []turn {
	if len(days) == 0 {
		return list
	}
	day := days[min(which, len(days)-1)]
	some := slices.DeleteFunc(slices.Clone(list), func(t turn) bool { return !reminders.Day(req.WallOf(t.due)).Equal(day) })
	if len(some) == 0 && len(days) == 1 {
		if which == 0 && !strings.Contains(strings.ToLower(req.Text), "swap") {
			return nil
		}
		return list
	}
	return some
}

// close settles a deal on a keeper's word or the taker's own, or asks the other.
func (d deal) close(req *desk.Request) (desk.Reply, error) {
	party := req.Who.ID == d.giver.ID || req.Who.ID == d.taker.ID
	switch {
	case req.May(), !d.both && req.Who.ID == d.taker.ID:
		return d.settle(req, "swap")
	case !party:
		return desk.Refuse(fmt.Sprintf("That is between %s and %s, or a keeper's to say: %s.", d.giver.Name, d.taker.Name, keepers(req))), nil
	}
	other := d.taker
	if req.Who.ID == d.taker.ID {
		other = d.giver
	}
	if err := req.Record(storage.Entry{Kind: "swap", Text: fmt.Sprintf("asked %s: %s", other.Name, d.say(req))}); err != nil {
		return desk.Reply{}, err
	}
	t := storage.Trade{Household: req.House.ID, Chore: d.chore.Num, Giver: d.giver.ID, Taker: d.taker.ID, Gives: d.gives.due, Asked: other.ID, Made: req.Now}
	if d.both {
		t.Takes = d.takes.due
	}
	if err := req.Tx.AddTrade(t); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(fmt.Sprintf("Asked %s: %s.", other.Name, d.say(req)), fmt.Sprintf("Nothing changes until %s says yes, or a keeper does.", other.Name))
	reply.Buttons = []storage.Button{desk.Labelled("Yes", "swap yes"), desk.Labelled("No", "swap no")}
	return reply, nil
}

// say writes the deal.
func (d deal) say(req *desk.Request) string {
	if !d.both {
		return fmt.Sprintf("%s does %s on %s for %s", d.taker.Name, d.chore.Name, req.Say(d.gives.due), d.giver.Name)
	}
	return fmt.Sprintf("%s does %s on %s, and %s on %s", d.taker.Name, d.chore.Name, req.Say(d.gives.due), d.giver.Name, req.Say(d.takes.due))
}

// settle puts the turns into the other hands. The order of the rota goes on as it
// was; the account follows whoever does it.
func (d deal) settle(req *desk.Request, kind string) (desk.Reply, error) {
	if err := req.Record(storage.Entry{Kind: kind, Text: "settled: " + d.say(req)}); err != nil {
		return desk.Reply{}, err
	}
	if err := hand(req, d.gives, d.taker); err != nil {
		return desk.Reply{}, err
	}
	if d.both {
		if err := hand(req, d.takes, d.giver); err != nil {
			return desk.Reply{}, err
		}
	}
	reply := desk.Answer("Settled: " + d.say(req) + ".")
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return reply, nil
}

// hand gives one turn to somebody.
func hand(req *desk.Request, t turn, to storage.Person) error {
	b, ok, err := req.Tx.Bell(t.bell.ID)
	if err != nil || !ok {
		return err
	}
	if t.rung {
		g := t.ring
		g.Giver, g.Given, g.Whom = g.Whom, storage.GivenTaken, reminders.People(to.ID)
		g.Wake, g.Said, g.Held = req.Now, 0, time.Time{}
		return req.Tx.SaveRing(g)
	}
	b.Swaps = b.Swaps.With(t.due, to.ID)
	return req.Tx.SaveBell(b)
}

// consent answers an offer with yes or no.
func consent(req *desk.Request) (desk.Reply, error) {
	trades, err := req.Tx.Trades(req.House.ID, req.Who.ID, req.Now)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(trades) == 0 {
		if !req.Direct {
			return desk.Reply{}, desk.ErrSilent
		}
		return desk.AskBack("No swap waits for your answer.", desk.Button("rota")), nil
	}
	t := trades[0]
	d, ok, err := dealAgain(req, t)
	if err != nil {
		return desk.Reply{}, err
	}
	if req.Mentions("no", "can't", "cant") || !ok {
		asker := t.Giver
		if asker == req.Who.ID {
			asker = t.Taker
		}
		if err := req.Record(storage.Entry{Kind: "swap", Text: fmt.Sprintf("%s said no to a swap of %s", req.Who.Name, d.chore.Name)}); err != nil {
			return desk.Reply{}, err
		}
		if err := req.Tx.SettleTrade(t.ID, req.Now); err != nil {
			return desk.Reply{}, err
		}
		if !ok {
			return desk.Answer("Those turns have changed since. Nothing was swapped."), nil
		}
		return desk.Answer(fmt.Sprintf("No swap: %s, %s stays with %s on %s.", req.NameOf(asker), d.chore.Name, d.giver.Name, req.Say(t.Gives))), nil
	}
	reply, err := d.settle(req, "swap")
	if err != nil {
		return desk.Reply{}, err
	}
	return reply, req.Tx.SettleTrade(t.ID, req.Now)
}

// dealAgain finds the turns of an offer as they are now.
func dealAgain(req *desk.Request, t storage.Trade) (deal, bool, error) {
	d := deal{both: !t.Takes.IsZero()}
	var ok bool
	var err error
	if d.chore, ok, err = req.Tx.ChoreNumbered(req.House.ID, t.Chore); err != nil || !ok || d.chore.Stopped {
		return d, false, err
	}
	for _, p := range req.People {
		if p.ID == t.Giver {
			d.giver = p
		}
		if p.ID == t.Taker {
			d.taker = p
		}
	}
	list, err := turns(req, []storage.Chore{d.chore}, req.Now.AddDate(0, 0, -1), req.Now.AddDate(0, 0, 63))
	if err != nil {
		return d, false, err
	}
	find := func(due time.Time, who int64) (turn, bool) {
		i := slices.IndexFunc(list, func(x turn) bool { return x.due.Equal(due) && x.open() && len(ofPerson([]turn{x}, who)) == 1 })
		if i < 0 {
			return turn{}, false
		}
		return list[i], true
	}
	if d.gives, ok = find(t.Gives, t.Giver); !ok {
		return d, false, nil
	}
	if d.both {
		d.takes, ok = find(t.Takes, t.Taker)
	}
	return d, ok, nil
}
