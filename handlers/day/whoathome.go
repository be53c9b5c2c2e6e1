package day

import (
	"slices"
	"time"

	plan "yardbell/calc/day"
	"yardbell/handlers/desk"
	"yardbell/reminders"
	"yardbell/storage"
)

// atHome are the children who are, or may be, at home between now and a wall time. Of a
// household that has never said where its children are nothing is known, and nothing told.
func atHome(req *desk.Request, until time.Time) ([]desk.AtHome, error) {
	h, err := houseOf(req)
	if err != nil {
		return nil, err
	}
	known, err := knowsChildren(req, h)
	if err != nil || !known {
		return nil, err
	}
	var out []desk.AtHome
	for _, p := range h.People {
		child, ok := req.Person(p.Name)
		if p.Name == visitor {
			child, ok = storage.Person{Name: visitor}, true
		}
		if !ok || !p.Child {
			continue
		}
		if at := elsewhereUntil(h, p, req.Wall, until); at.Before(until) {
			out = append(out, desk.AtHome{Child: child, From: at})
		}
	}
	return out, nil
}

// knowsChildren reports that the household has said where its children are: a block that
// takes them elsewhere or has them learn at home, an absence, or a child that is at home.
func knowsChildren(req *desk.Request, h plan.House) (bool, error) {
	blocks, err := blocksOf(req)
	if err != nil {
		return false, err
	}
	kids := idsOf(req, reminders.Kids)
	if slices.ContainsFunc(blocks, func(b storage.Block) bool {
		return (isAway(b) || isLessons(b)) && slices.ContainsFunc(idsOf(req, b.Whom), func(id int64) bool { return slices.Contains(kids, id) })
	}) {
		return true, nil
	}
	today := reminders.Day(req.Wall)
	words, err := req.Tx.DayWords(req.House.ID, today, today)
	if err != nil {
		return false, err
	}
	return slices.ContainsFunc(words, func(w storage.DayWord) bool { return w.Child() != "" }) ||
		slices.ContainsFunc(h.People, func(p plan.Person) bool { return p.Child && len(p.Out) > 0 }), nil
}

// elsewhereUntil is until when a child is surely elsewhere, one thing after the other; from
// itself when it is not.
func elsewhereUntil(h plan.House, p plan.Person, from, until time.Time) time.Time {
	away := slices.Clone(p.Out)
	for _, b := range h.Blocks {
		if b.Away && slices.Contains(b.Who, p.Name) {
			away = append(away, b.Span)
		}
	}
	at := from
	for at.Before(until) {
		next := at
		for _, s := range away {
			if !s.From.After(at) && s.To.After(next) {
				next = s.To
			}
		}
		if !next.After(at) {
			break
		}
		at = next
	}
	return at
}
