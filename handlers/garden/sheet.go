package garden

import (
	"slices"

	"yardbell/calc/sowing"
	"yardbell/handlers/desk"
	"yardbell/handlers/paper"
	"yardbell/reminders"
)

// mostOnSheet is how many tasks the page for the wall has room for.
const mostOnSheet = 14

// sheetParts is the sowing list of the week, and what stands where, on the page for the
// wall. A household without frost dates has no list.
func sheetParts(req *desk.Request) ([]paper.Part, error) {
	var parts []paper.Part
	day := reminders.Day(req.Wall)
	f, _, _, reply, err := season(req, day)
	if err != nil {
		return nil, err
	}
	if reply.Head == "" {
		jobs, err := jobsOn(req, f, day)
		if err != nil {
			return nil, err
		}
		jobs = slices.DeleteFunc(jobs, func(j job) bool { return j.State != sowing.InWindow && j.State != sowing.Late })
		slices.SortStableFunc(jobs, func(a, b job) int { return a.turn() - b.turn() })
		list := paper.Part{Title: "Sow and plant", Head: []string{"What", "Work", "By"}, Ticks: 1}
		for _, j := range jobs[:min(len(jobs), mostOnSheet)] {
			by := sayDate(req, j.To)
			if j.State == sowing.Late {
				by = "late by " + desk.Plural(-j.Slack, "day")
			}
			list.Rows = append(list.Rows, []string{desk.Upper(j.label()), string(j.Kind), by})
		}
		parts = append(parts, list)
	}
	all, err := standingNow(req)
	if err != nil {
		return nil, err
	}
	stands := paper.Part{Title: "Sown and standing", Head: []string{"What", "How it stands"}}
	for _, s := range all {
		stands.Rows = append(stands.Rows, []string{desk.Upper(s.title()), stateOf(req, s)})
	}
	return append(parts, stands), nil
}
