package barn

import (
	"yardbell/handlers/desk"
	"yardbell/handlers/paper"
)

// sheetParts is who is near her time, and what hatches, on the page for the wall.
func sheetParts(req *desk.Request) ([]paper.Part, error) {
	all, err := expecting(req)
	if err != nil {
		return nil, err
	}
	part := paper.Part{Title: "Births and hatches", Head: []string{"Who", "What", "When"}}
	for _, c := range all {
		part.Rows = append(part.Rows, []string{desk.Upper(c.Name), c.length.Event, c.window(req)})
	}
	return []paper.Part{part}, nil
}
