package day

import (
	"slices"
	"time"

	plan "yardbell/calc/day"
	"yardbell/handlers/desk"
	"yardbell/reminders"
	"yardbell/storage"
)

// atHome are the children who are, or may be, at home between now and a wall time. In a
// household that has never said where its children are as a rule, only those who are said
// to be at home today; and those of whom it was asked today, and nobody has answered.
func atHome(req *desk.Request, until time.Time) ([]desk.AtHome, error) {
	h, err := houseOf(req)
	if err != nil {
		return nil, err
	}
	rule, err := childrenGo(req)
	if err != nil {
		return nil, err
	}
	said, err := saidHome(req)
	if err != nil {
		return nil, err
	}
	open, err := req.HomeAsked()
	if err != nil {
		return nil, err
	}
	var out []desk.AtHome
	for _, p := range h.People {
		child, ok := req.Person(p.Name)
		if p.Name == visitor {
			child, ok = storage.Person{Name: visitor}, true
		}
		if !ok || !p.Child || !rule && p.Name != visitor && !slices.Contains(said, p.Name) {
			continue
		}
		at := elsewhereUntil(h, p, req.Wall, until)
		switch {
		case at.After(req.Wall) && slices.Contains(open.Home, p.Name):
			out = append(out, desk.AtHome{Child: child, From: req.Wall, Maybe: true})
		case at.Before(until):
			out = append(out, desk.AtHome{Child: child, From: at})
		}
	}
	there := slices.ContainsFunc(out, func(h desk.AtHome) bool { return h.Child.Name == visitor })
	if slices.Contains(open.Home, visitor) && !there {
		out = append(out, desk.AtHome{Child: storage.Person{Name: visitor}, From: req.Wall, Maybe: true})
	}
	return out, nil
}

// childrenGo reports that the household has a block that takes children elsewhere, or has
// them learn at home.
func childrenGo(req *desk.Request) (bool, error) {
	blocks, err := blocksOf(req)
	kids := idsOf(req, reminders.Kids)
	return slices.ContainsFunc(blocks, func(b storage.Block) bool {
		return (isAway(b) || isLessons(b)) && slices.ContainsFunc(idsOf(req, b.Whom), func(id int64) bool { return slices.Contains(kids, id) })
	}), err
}

// saidHome are the children who are said to be at home today, or are ill.
func saidHome(req *desk.Request) ([]string, error) {
	today := reminders.Day(req.Wall)
	words, err := req.Tx.DayWords(req.House.ID, today, today)
	if err != nil {
		return nil, err
	}
	home, err := req.Home()
	if err != nil {
		return nil, err
	}
	var out []string
	for _, p := range children(req) {
		a, absent := home.Absent(p.ID, req.Now)
		if absent && a.Kind == storage.Ill || slices.ContainsFunc(words, func(w storage.DayWord) bool { return w.Child() == p.Name }) {
			out = append(out, p.Name)
		}
	}
	return out, nil
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
