package soap

import (
	"fmt"

	"yardbell/handlers/desk"
	"yardbell/handlers/paper"
	"yardbell/reminders"
)

// sheetParts is the rack on the page for the wall.
func sheetParts(req *desk.Request) ([]paper.Part, error) {
	poured, err := req.Tx.Batches(req.House.ID)
	if err != nil {
		return nil, err
	}
	all, err := onRack(req, poured)
	if err != nil || len(all) == 0 {
		return nil, err
	}
	part := paper.Part{Title: "The rack", Head: []string{"Batch", "Poured", "Age", "Next", "Ready"}}
	for _, b := range all {
		next, ready, err := comingSteps(req, b)
		if err != nil {
			return nil, err
		}
		days := int(reminders.Day(req.Wall).Sub(reminders.Day(req.WallOf(b.Poured))).Hours() / 24)
		part.Rows = append(part.Rows, []string{desk.Upper(title(b.Num, b.Name)), req.SayDay(b.Poured), fmt.Sprintf("day %d", days), next, req.SayDay(ready)})
	}
	return []paper.Part{part}, nil
}
