package chores

import (
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/paper"
	"yardbell/reminders"
)

// sheetParts is the week's chores on the page for the wall: a table a person, a row a
// chore, a box on each day on which it is theirs.
func sheetParts(req *desk.Request) ([]paper.Part, error) {
	all, err := live(req)
	if err != nil {
		return nil, err
	}
	day := reminders.Day(req.Wall)
	s := span{from: day, to: day.AddDate(0, 0, 7)}
	from, to := s.instants(req)
	list, err := turns(req, all, from, to)
	if err != nil {
		return nil, err
	}
	free := slices.DeleteFunc(slices.Clone(list), func(t turn) bool { return !t.anybodys() })
	list = slices.DeleteFunc(list, turn.anybodys)
	var parts []paper.Part
	for _, p := range req.People {
		if own := ofPerson(list, p.ID); len(own) > 0 {
			parts = append(parts, boxes(req, p.Name, own, s))
		}
	}
	if len(free) > 0 {
		parts = append(parts, boxes(req, "Whoever is free", free, s))
	}
	return parts, nil
}

// boxes is one person's table.
func boxes(req *desk.Request, title string, own []turn, s span) paper.Part {
	part := paper.Part{Title: title + ": chores", Head: []string{"When", "What"}, Ticks: 7}
	for i := range 7 {
		part.Days = append(part.Days, s.from.AddDate(0, 0, i).Format("Mon")[:2])
	}
	at := map[string]int{}
	clock := func(t turn) string { return req.WallOf(t.due).Format("15:04") }
	slices.SortStableFunc(own, func(a, b turn) int { return strings.Compare(clock(a), clock(b)) })
	for _, t := range own {
		w := req.WallOf(t.due)
		key := clock(t) + " " + t.chore.Name
		row, seen := at[key]
		if !seen {
			row = len(part.Rows)
			at[key] = row
			part.Rows = append(part.Rows, []string{clock(t), desk.Upper(t.chore.Name)})
			part.On = append(part.On, make([]bool, 7))
		}
		if i := int(reminders.Day(w).Sub(s.from).Hours() / 24); i >= 0 && i < 7 {
			part.On[row][i] = true
		}
	}
	return part
}
