package chores

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// handOverAsks are the ways to say in plain words who does one turn: "Edda will do the
// pigs tonight", "I can't do the hens tonight".
func handOverAsks() []desk.Ask {
	kinds := []phrase.Kind{phrase.KindDate, phrase.KindPart, phrase.KindClock}
	fill := []string{"will", "can", "could", "do", "does", "take", "takes", "is", "am", "i'm", "im", "doing", "taking", "i'll", "ill", "i", "then", "instead", "please", "turn", "ive", "i've", "got", "have", "tonight's", "today's", "tomorrow's"}
	ivoHas := append(slices.Clone(hens), "Ivo feeds the pigs every day at 18:00")
	return []desk.Ask{
		{
			Name: "swap", Command: "swap", Kinds: kinds, Lists: both, Needs: chore, Fill: fill, Keep: true, Help: "who does one turn, in plain words",
			Forms: []string{"will do|take|feed|milk", "is|am|are doing|taking", "^i'll|ill do|take|feed|milk", "^i'm|im doing|taking"}, Plain: plainHandOver, Do: handOver,
			Examples: []desk.Example{{Setup: ivoHas, Line: "Edda will do the pigs tonight"}, {Setup: ivoHas, By: "Tom", Line: "I'll do the pigs tomorrow evening"}},
		},
		{
			Name: "swap", Command: "swap", Kinds: kinds, Lists: both, Needs: chore, Doubt: true, Fill: fill, Keep: true, Help: "ask somebody to do your turn",
			Forms: []string{"^can|could|would * do|take|feed|milk"}, Plain: plainBegged, Do: handOver,
			Examples: []desk.Example{{Setup: ivoHas, By: "Ivo", Line: "can Tom do the pigs tonight"}},
		},
		{
			Name: "swap", Command: "swap", Kinds: kinds, Lists: both, Needs: chore, Doubt: true, Fill: append(slices.Clone(fill), "can't", "cant", "cannot", "not", "sorry"), Keep: true, Help: "somebody cannot do a turn: who does it",
			Forms: []string{"can't|cant|cannot|won't|wont do|feed|milk|take", "can not do"}, Plain: plainCannot, Do: cannot,
			Examples: []desk.Example{{Setup: ivoHas, Line: "Edda will do the pigs tonight"}},
		},
	}
}

// ofTurn are the open turns, one person's each, of the one chore that a line names, on the
// day and in the part of it that the line says.
func ofTurn(req *desk.Request) ([]turn, error) {
	fit, err := meant(req)
	if err != nil || len(fit) != 1 {
		return nil, err
	}
	list, err := turns(req, fit, req.Instant(reminders.Day(req.Wall)), req.Now.AddDate(0, 0, 62))
	list = slices.DeleteFunc(list, func(t turn) bool { return !t.open() || len(t.to) != 1 })
	return narrowed(req, onDay(req, list, daysSaid(req), 0)), err
}

// takerSaid is who does it by a line: the one who is named, else the speaker.
func takerSaid(req *desk.Request) (storage.Person, bool) {
	switch others := othersNamed(req); {
	case len(others) == 1:
		return others[0], true
	case len(others) == 0 && req.Mentions("i'll", "ill", "i'm", "im", "i"):
		return req.Who, true
	}
	return storage.Person{}, false
}

// plainHandOver wants a day, and a turn on it that is another's: "I'll do the dishes" is
// talk.
func plainHandOver(req *desk.Request) bool {
	if strings.ContainsAny(req.Text, "?!") || req.Mentions("if", "when", "who", "every", "daily", "not", "never") || len(daysSaid(req)) == 0 {
		return false
	}
	to, ok := takerSaid(req)
	list, err := ofTurn(req)
	if !ok || err != nil || len(list) == 0 || list[0].to[0].ID == to.ID {
		return false
	}
	return req.May() || to.ID == req.Who.ID || list[0].to[0].ID == req.Who.ID
}

// plainBegged wants a turn of the speaker's own.
func plainBegged(req *desk.Request) bool {
	list, err := ofTurn(req)
	return err == nil && len(othersNamed(req)) == 1 && len(list) > 0 && list[0].to[0].ID == req.Who.ID && !req.Mentions("you", "when", "if")
}

// handOver gives one turn to whoever a line says.
func handOver(req *desk.Request) (desk.Reply, error) {
	to, ok := takerSaid(req)
	if !ok {
		return desk.Reply{}, desk.ErrSilent
	}
	return handTo(req, to)
}

// plainCannot wants a turn of whoever cannot do it.
func plainCannot(req *desk.Request) bool {
	if strings.ContainsAny(req.Text, "?!") || req.Mentions("if", "when", "why", "you", "we") {
		return false
	}
	_, ok, err := turnLeft(req)
	return err == nil && ok
}

// turnLeft is the turn that somebody cannot do, by a line.
func turnLeft(req *desk.Request) (turn, bool, error) {
	p, ok := takerSaid(req)
	list, err := ofTurn(req)
	if err != nil || !ok || len(list) == 0 || list[0].to[0].ID != p.ID {
		return turn{}, false, err
	}
	return list[0], true, nil
}

// cannot asks who does a turn in the place of whoever cannot.
func cannot(req *desk.Request) (desk.Reply, error) {
	t, ok, err := turnLeft(req)
	if err != nil || !ok {
		return desk.Reply{}, silentOr(err)
	}
	home, err := req.Home()
	if err != nil {
		return desk.Reply{}, err
	}
	when := req.WallOf(t.due).Format("2 January")
	if len(clocksOf(req, t.bell)) > 1 {
		if when += " morning"; req.WallOf(t.due).Hour() >= 14 {
			when = req.WallOf(t.due).Format("2 January") + " evening"
		}
	}
	reply := desk.AskBack(fmt.Sprintf("Who does it then: %s, %s? It stays with %s until somebody has it.", t.chore.Name, req.Say(t.due), t.to[0].Name))
	for _, p := range reminders.Expand(reminders.Everyone, req.People, req.Now) {
		why, _, err := reminders.UnfitHere(req.Tx, t.chore, p, req.Now)
		if err != nil {
			return desk.Reply{}, err
		}
		if _, gone := home.Absent(p.ID, t.due); why != "" || gone || p.ID == t.to[0].ID {
			continue
		}
		reply.Buttons = append(reply.Buttons, desk.Labelled(p.Name, fmt.Sprintf("let %s do %s on %s", p.Name, t.chore.Name, when)))
	}
	return reply, nil
}
