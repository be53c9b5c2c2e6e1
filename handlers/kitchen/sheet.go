package kitchen

import (
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/paper"
	"yardbell/reminders"
	"yardbell/storage"
)

// sheetParts is the week's meals on the page for the wall, with who must not have them.
func sheetParts(req *desk.Request) ([]paper.Part, error) {
	day := reminders.Day(req.Wall)
	meals, err := req.Tx.Meals(req.House.ID, day, day.AddDate(0, 0, 6))
	if err != nil {
		return nil, err
	}
	recipes, err := req.Tx.Recipes(req.House.ID)
	if err != nil {
		return nil, err
	}
	part := paper.Part{Title: "Meals", Head: []string{"Day", "Dish", "Not for"}}
	for _, m := range meals {
		when := m.Day.Format("Mon")
		if !m.At.IsZero() {
			when += " " + req.WallOf(m.At).Format("15:04")
		}
		not, err := notFor(req, m, recipes)
		if err != nil {
			return nil, err
		}
		part.Rows = append(part.Rows, []string{when, m.Recipe + forWhom(m), not})
	}
	return []paper.Part{part}, nil
}

// notFor names who must not have what a meal's recipe holds.
func notFor(req *desk.Request, m storage.Meal, recipes []storage.Recipe) (string, error) {
	i := slices.IndexFunc(recipes, func(r storage.Recipe) bool { return strings.EqualFold(r.Name, m.Recipe) })
	if i < 0 {
		return "", nil
	}
	all, err := req.Tx.Allergies(req.House.ID)
	if err != nil {
		return "", err
	}
	held := heldInText(recipes[i].Body+"\n"+recipes[i].Name, req.Context())
	var names []string
	for _, a := range all {
		if slices.Contains(held, a.What) && !slices.Contains(names, a.Name) {
			names = append(names, a.Name)
		}
	}
	return desk.List(names), nil
}
