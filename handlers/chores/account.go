package chores

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"
	"time"

	"yardbell/calc/rota"
	"yardbell/handlers/desk"
	"yardbell/reminders"
	"yardbell/storage"
)

// tally is what somebody did in a span.
type tally struct {
	times   int
	minutes float64 // of effort
	of      map[string]int
	order   []string
	missed  int
}

// tallies counts what each did, and what was theirs and left undone.
func tallies(req *desk.Request, s span) (map[int64]*tally, error) {
	from, to := s.instants(req)
	out := map[int64]*tally{}
	of := func(id int64) *tally {
		if out[id] == nil {
			out[id] = &tally{of: map[string]int{}}
		}
		return out[id]
	}
	all, err := req.Tx.Chores(req.House.ID)
	if err != nil {
		return nil, err
	}
	works, err := req.Tx.Works(req.House.ID, from, to)
	if err != nil {
		return nil, err
	}
	for _, w := range works {
		name := "a chore"
		if i := slices.IndexFunc(all, func(c storage.Chore) bool { return c.Num == w.Chore }); i >= 0 {
			name = all[i].Name
		}
		for _, id := range w.Doers {
			t := of(id)
			t.times++
			t.minutes += float64(w.Effort) / float64(len(w.Doers))
			if t.of[name] == 0 {
				t.order = append(t.order, name)
			}
			t.of[name]++
		}
	}
	missed, err := req.Tx.Missed(req.House.ID, from, to)
	if err != nil {
		return nil, err
	}
	for _, g := range missed {
		for _, p := range reminders.Expand(blamed(g), req.People, req.Now) {
			of(p.ID).missed++
		}
	}
	return out, nil
}

// blamed is whose a turn was that was left undone: nobody's where an absence handed it
// on, and still the giver's where nobody took it.
func blamed(g storage.Ring) string {
	switch {
	case g.Given == storage.GivenAway, g.Given == "" && g.Giver != "":
		return ""
	case g.Given == storage.GivenOffer:
		return g.Giver
	}
	return g.Whom
}

// say writes a tally: "3 done, 45 min".
func (t *tally) say() string {
	switch {
	case t == nil || t.times == 0 && t.missed == 0:
		return "nothing yet"
	case t.times == 0:
		return fmt.Sprintf("none done, %d missed", t.missed)
	}
	text := fmt.Sprintf("%d done, %s", t.times, spend(int(math.Round(t.minutes))))
	if t.missed > 0 {
		text += fmt.Sprintf("; %d missed", t.missed)
	}
	return text
}

// account shows what somebody has done, or what each has: to a child its own.
func account(req *desk.Request) (desk.Reply, error) {
	all, err := req.Tx.Chores(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(all) == 0 {
		return desk.Reply{}, desk.ErrSilent
	}
	s := accountSpan(req)
	if fit := fitting(all, req.Reading.Terms("chores")); len(fit) > 0 && req.Mentions("times", "often", "when") {
		return timesOf(req, fit, s)
	}
	p, personal := personAsked(req)
	switch {
	case !personal && req.Who.Child(req.Now):
		p, personal = req.Who, true
	case personal && p.ID != req.Who.ID && req.Who.Child(req.Now):
		return desk.Refuse(fmt.Sprintf("Everybody sees their own: how much have I done. %s can ask for %s's.", keepers(req), p.Name)), nil
	}
	got, err := tallies(req, s)
	if err != nil {
		return desk.Reply{}, err
	}
	if personal {
		return ownAccount(req, p, got[p.ID], s)
	}
	return wholeAccount(req, got, s)
}

// accountSpan is the week that an account is about, this one unless another is said.
func accountSpan(req *desk.Request) span {
	day := reminders.Day(req.Wall)
	if req.Mentions("month", "weeks") {
		return span{day.AddDate(0, 0, -27), day.AddDate(0, 0, 1), "in four weeks"}
	}
	if s := about(req); s.to.Sub(s.from) > 24*time.Hour || dayAsked(req) && !req.Mentions("week") {
		return s
	}
	return span{monday(day), monday(day).AddDate(0, 0, 7), "this week"}
}

// ownAccount is one person's: what was done, and how often what.
func ownAccount(req *desk.Request, p storage.Person, t *tally, s span) (desk.Reply, error) {
	reply := desk.Answer(fmt.Sprintf("%s, %s: %s.", p.Name, s.said, t.say()))
	if t == nil {
		return reply, nil
	}
	for _, name := range t.order {
		reply.Lines = append(reply.Lines, fmt.Sprintf("%d x %s", t.of[name], name))
	}
	return reply, nil
}

// wholeAccount is a line each, in the order of the household, and how even it is.
func wholeAccount(req *desk.Request, got map[int64]*tally, s span) (desk.Reply, error) {
	works, err := req.Tx.Works(req.House.ID, req.Now.Add(-reminders.Remembered), req.Now.Add(time.Second))
	if err != nil {
		return desk.Reply{}, err
	}
	ledger := reminders.House{Works: works}.Ledger()
	reply := desk.Answer(fmt.Sprintf("Chores %s, by effort:", s.said))
	var loads []rota.Load
	for _, p := range req.People {
		if p.Gone || got[p.ID] == nil && ledger.Balance(p.ID).Sign() == 0 {
			continue
		}
		reply.Lines = append(reply.Lines, fmt.Sprintf("%s: %s%s", p.Name, got[p.ID].say(), balance(ledger.Balance(p.ID))))
		if p.Child(req.Now) {
			done := 0.0
			if t := got[p.ID]; t != nil {
				done = t.minutes
			}
			loads = append(loads, rota.Load{Effort: done, Percent: p.Share})
		}
	}
	if len(reply.Lines) == 0 {
		reply.Lines = []string{"nothing done yet"}
	}
	if len(loads) > 1 && req.Mentions("fair", "even", "fairly") {
		reply.Lines = append(reply.Lines, fmt.Sprintf("The children are within %s of each other; evenness %.2f of 1.", spend(int(math.Round(rota.Spread(loads)))), rota.Jain(loads)))
	}
	return reply, nil
}

// balance writes how far somebody is from their share of twelve weeks.
func balance(b *big.Rat) string {
	f, _ := b.Float64()
	switch n := int(math.Round(f)); {
	case n > 0:
		return fmt.Sprintf(" (%s over the share)", spend(n))
	case n < 0:
		return fmt.Sprintf(" (%s still to come round)", spend(-n))
	}
	return " (level)"
}

// timesOf answers how often somebody did a chore, or when last.
func timesOf(req *desk.Request, fit []storage.Chore, s span) (desk.Reply, error) {
	p, personal := personAsked(req)
	from, to := s.instants(req)
	if req.Mentions("when") {
		from, to = req.Now.AddDate(-1, 0, 0), req.Now.Add(time.Second)
	}
	works, err := req.Tx.Works(req.House.ID, from, to)
	if err != nil {
		return desk.Reply{}, err
	}
	works = slices.DeleteFunc(works, func(w storage.Work) bool {
		return !slices.ContainsFunc(fit, func(c storage.Chore) bool { return c.Num == w.Chore }) || personal && !slices.Contains(w.Doers, p.ID)
	})
	name := choreNames(fit)
	switch {
	case len(works) == 0:
		return desk.Answer(fmt.Sprintf("Not %s: %s.", strings.TrimPrefix(s.said, "on "), name)), nil
	case req.Mentions("when"):
		w := works[len(works)-1]
		return desk.Answer(fmt.Sprintf("%s, %s: %s.", req.Say(w.At), namesOf(req, w.Doers), name)), nil
	}
	who := "All together"
	if personal {
		who = p.Name
	}
	return desk.Answer(fmt.Sprintf("%s, %s: %d times %s.", who, s.said, len(works), name)), nil
}
