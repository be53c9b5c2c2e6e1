package chores

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/calc/childwork"
	"yardbell/handlers/desk"

	"yardbell/reminders"
	"yardbell/storage"
)

// mayAsks are the questions whether some work is for a child, and the ways to hand on
// what is never a child's, which are refused without a time too.
func mayAsks() []desk.Ask {
	return []desk.Ask{
		{
			Name: "age", Command: "rota", Text: true, Lists: both, Question: true, Keep: true, Help: "whether some work is for a child",
			Forms: []string{"^can|could|may"}, Examples: []desk.Example{{Line: "can Lise milk the goats"}}, Plain: plainMay, Do: may,
		},
		{
			Name: "chore", Command: "chore", Kinds: whenKinds, Lists: both, Needs: chore, Keep: true, Help: "let somebody do the next turn; what is never a child's is refused",
			Forms: []string{"^let", "^ask|tell * to", "^hand|pass|leave * to|with", "does|do", "takes|take", "helps|help", "covers|cover", "can do"}, Fill: []string{"let", "ask", "tell", "helps", "help", "covers", "cover", "with", "hand", "pass", "leave", "does", "do", "takes", "take", "can", "my", "week", "this", "chore", "instead", "turn"},
			Examples: []desk.Example{{Setup: dishes, Line: "let Lise do the dishes"}}, Plain: plainNever, Do: never,
		},
		{
			Name: "chore", Command: "chore", Kinds: whenKinds, Lists: []string{"people"}, Keep: true, Help: "all of one's chores to somebody else: asked one by one",
			Forms: []string{"^give|hand|pass my chores to", "does|do|takes|take my chores"}, Fill: []string{"give", "hand", "pass", "my", "chores", "does", "do", "takes", "take", "all", "week", "this", "next"},
			Examples: []desk.Example{{Setup: dishes, Line: "give my chores to Edda"}}, Plain: func(req *desk.Request) bool {
				return !strings.Contains(req.Text, "?") && !req.Mentions("if", "when", "why") && len(othersNamed(req)) == 1
			}, Do: handAll,
		},
	}
}

// errands are verbs by which a child is asked to do a thing now: "can Ivo bring the
// eggs in" is no question of age.
var errands = set("bring get fetch carry put take open close come pass go help give use let set lay clear collect shut")

// plainMay takes a question about a child and a verb of work behind the name.
func plainMay(req *desk.Request) bool {
	p, work, verb := mayAsked(req)
	if p.ID == 0 || work == "" || verb == "go" || verb == "watch" || req.Mentions("please", "pls", "plz", "my", "mine", "me", "now", "quickly", "have", "eat") {
		return false
	}
	if childwork.Never(work) {
		return true
	}
	fit, err := meant(req)
	known := childwork.Judge(work).What != "" || err == nil && len(fit) > 0
	if !known || !errands[verb] {
		return known
	}
	why, _ := reminders.Unfit(storage.Chore{Name: work}, p, req.Now)
	return why != ""
}

// mayAsked are the child that a question is about and the work, with its verb.
func mayAsked(req *desk.Request) (p storage.Person, work, verb string) {
	spans, toks := req.Reading.Terms("people"), req.Reading.Tokens
	var who []storage.Person
	at := 2
	switch {
	case len(toks) > 2 && toks[1].Low == "i":
		who = []storage.Person{req.Who}
	case len(spans) == 0 || spans[0].First != 1 || spans[0].Past >= len(toks):
		return p, "", ""
	default:
		who, at = named(req, spans[0]), spans[0].Past
	}
	verb = toks[at].Low
	if len(who) != 1 || !who[0].Child(req.Now) || baseVerbs()[verb] != verb && verb != "till" && verb != "can" {
		return p, "", ""
	}
	end := len(req.Text)
	for _, t := range toks[at:] {
		if slices.Contains([]string{"if", "while", "when", "with", "tonight", "today", "tomorrow", "alone", "yet", "instead"}, t.Low) {
			end = t.Start
			break
		}
	}
	return who[0], nameOf(strings.TrimRight(req.Text[toks[at].Start:end], "? .,")), verb
}

// may answers "can Lise milk the goats".
func may(req *desk.Request) (desk.Reply, error) {
	p, work, _ := mayAsked(req)
	if p.ID == 0 || work == "" || req.Mentions("my", "mine") {
		return desk.Reply{}, desk.ErrSilent
	}
	reply, err := suits(req, p, work)
	if err != nil || !childwork.Never(work) || !req.Mentions("if", "while", "with", "watches") {
		return reply, err
	}
	reply.Lines = append(reply.Lines, "Not with somebody watching either.")
	return reply, nil
}

// plainNever takes a line that gives a chore to a child without saying when, where it
// is never a child's.
func plainNever(req *desk.Request) bool {
	if strings.Contains(req.Text, "?") && !strings.HasPrefix(strings.ToLower(req.Text), "can") || req.Mentions("not", "never", "don't", "dont", "doesn't", "if", "when", "why", "who", "did", "done", "was", "were", "wants", "says", "said", "asks") {
		return false
	}
	p, c, err := keptFrom(req)
	if req.Form == "^let" && err == nil && p.ID == 0 {
		return len(othersNamed(req)) == 1 && letsWork(req)
	}
	if err != nil || p.ID == 0 || c.ID == 0 {
		return false
	}
	if strings.HasPrefix(req.Form, "^") {
		return true
	}
	return req.Reading.Terms("people")[0].First <= 1
}

// letsWork reports a verb of work behind the name: "let Lise feed the hens".
func letsWork(req *desk.Request) bool {
	spans, toks := req.Reading.Terms("people"), req.Reading.Tokens
	if len(spans) == 0 || spans[0].First != 1 || spans[0].Past >= len(toks) {
		return false
	}
	verb := toks[spans[0].Past].Low
	return baseVerbs()[verb] == verb || verb == "have"
}

// keptFrom finds the child and the chore of a line that are not for each other at any
// age.
func keptFrom(req *desk.Request) (storage.Person, storage.Chore, error) {
	fit, err := meant(req)
	if err != nil || len(fit) == 0 {
		return storage.Person{}, storage.Chore{}, err
	}
	for _, s := range req.Reading.Terms("people") {
		if possessive(s) {
			continue
		}
		for _, p := range named(req, s) {
			_, never, err := reminders.UnfitHere(req.Tx, fit[0], p, req.Now)
			if err != nil || never && len(fit) == 1 {
				return p, fit[0], err
			}
		}
	}
	return storage.Person{}, storage.Chore{}, nil
}

// never refuses it with the reason, and lets others do the next turn.
func never(req *desk.Request) (desk.Reply, error) {
	p, c, err := keptFrom(req)
	if err == nil && p.ID == 0 && req.Form == "^let" {
		return letDo(req)
	}
	if err != nil || p.ID == 0 {
		return desk.Reply{}, silentOr(err)
	}
	why, _, err := reminders.UnfitHere(req.Tx, c, p, req.Now)
	return desk.Refuse(why, "No rota, swap or vote changes that; it is for an adult: "+desk.List(adults(req))+".", desk.Upper(c.Name)+" stays as it is."), err
}

// letDo hands the next turn of a chore to somebody: "let Lise do the dishes".
func letDo(req *desk.Request) (desk.Reply, error) {
	to := othersNamed(req)
	if len(to) != 1 {
		return desk.Reply{}, desk.ErrSilent
	}
	return handTo(req, to[0])
}

// handTo gives the next turn of a chore, or the one of the day that a line says, to
// somebody.
func handTo(req *desk.Request, to storage.Person) (desk.Reply, error) {
	fit, err := meant(req)
	if err != nil || len(fit) == 0 {
		return desk.Reply{}, silentOr(err)
	}
	c, reply, ok := one(req, fit, "let "+to.Name+" do %")
	if !ok {
		return reply, nil
	}
	if why, _, err := reminders.UnfitHere(req.Tx, c, to, req.Now); err != nil || why != "" {
		return desk.Refuse(why, desk.Upper(c.Name)+" stays as it is."), err
	}
	list, err := turns(req, []storage.Chore{c}, req.Instant(reminders.Day(req.Wall)), req.Now.AddDate(0, 0, 62))
	if err != nil {
		return desk.Reply{}, err
	}
	list = slices.DeleteFunc(list, func(t turn) bool { return !t.open() || len(t.to) != 1 })
	list = narrowed(req, onDay(req, list, daysSaid(req), 0))
	switch {
	case len(list) == 0:
		return desk.AskBack(fmt.Sprintf("No turn of %s comes then that is one person's.", c.Name), desk.Labelled("Rota", "rota "+c.Name)), nil
	case list[0].to[0].ID == to.ID:
		return desk.Answer(fmt.Sprintf("It is %s's already: %s, %s.", to.Name, c.Name, req.Say(list[0].due))), nil
	}
	return deal{chore: c, giver: list[0].to[0], taker: to, gives: list[0]}.close(req)
}

// handAll asks which of somebody's chores go to another, and for how long.
func handAll(req *desk.Request) (desk.Reply, error) {
	others := othersNamed(req)
	if len(others) != 1 {
		return desk.AskBack("To whom? For example: give my chores to Edda"), nil
	}
	to := others[0]
	all, err := live(req)
	if err != nil {
		return desk.Reply{}, err
	}
	var goes, stays []string
	for _, c := range all {
		bells, err := bellsOf(req, c)
		if err != nil {
			return desk.Reply{}, err
		}
		mine := slices.ContainsFunc(bells, func(b storage.Bell) bool { return b.Whom == reminders.People(req.Who.ID) })
		if !mine {
			continue
		}
		why, _, err := reminders.UnfitHere(req.Tx, c, to, req.Now)
		switch {
		case err != nil:
			return desk.Reply{}, err
		case why != "":
			stays = append(stays, why)
		default:
			goes = append(goes, c.Name)
		}
	}
	if len(goes)+len(stays) == 0 {
		return desk.Answer(fmt.Sprintf("%s has no chores of their own to give.", req.Who.Name)), nil
	}
	reply := desk.AskBack(fmt.Sprintf("For good, or while you are away? For some days: away until friday, %s covers", to.Name))
	reply.Lines = stays
	for _, name := range goes {
		reply.Buttons = append(reply.Buttons, desk.Labelled("For good: "+name, fmt.Sprintf("give %s to %s", name, to.Name)))
	}
	return reply, nil
}
