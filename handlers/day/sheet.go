package day

import (
	"fmt"
	"time"

	plan "yardbell/calc/day"
	"yardbell/handlers/desk"
	"yardbell/handlers/paper"
	"yardbell/reminders"
)

// sheetParts are the day's blocks and the jobs that are laid, on the page for the wall.
func sheetParts(req *desk.Request) ([]paper.Part, error) {
	keeps, err := hasDay(req)
	if err != nil || !keeps {
		return nil, err
	}
	l, err := layJobs(req)
	if err != nil {
		return nil, err
	}
	home, err := homeToday(req)
	if err != nil {
		return nil, err
	}
	today := reminders.Day(req.Wall)
	d, err := dayOf(req, today)
	if err != nil {
		return nil, err
	}
	blocks := paper.Part{Title: "The day's blocks", Head: []string{"When", "What", "Who"}}
	for _, b := range d.blocks {
		who := inBlock(req, home, b)
		if len(who) > 0 && !b.from.Before(today) {
			blocks.Rows = append(blocks.Rows, []string{b.from.Format("15:04") + "-" + b.to.Format("15:04"), desk.Upper(b.Title), l.whoSaid(b, who)})
		}
	}
	jobs := paper.Part{Title: "Jobs", Head: []string{"When", "What", "Who"}, Ticks: 1}
	for _, p := range l.plan.Placed {
		what := desk.Upper(l.job(p.Job).Title)
		if l.job(p.Job).Needs.Lye {
			what += fmt.Sprintf(". LYE: children out of the kitchen from %s to %s, and until the all clear", p.From.Add(-plan.BeforeLye).Format("15:04"), p.To.Add(plan.AfterLye).Format("15:04"))
		}
		jobs.Rows = append(jobs.Rows, []string{fmt.Sprintf("%s %s-%s", p.From.Format("Mon"), p.From.Format("15:04"), p.To.Format("15:04")), what, desk.List(p.Who)})
	}
	for _, n := range l.plan.Left {
		if l.waits(n.Job) {
			continue
		}
		jobs.Rows = append(jobs.Rows, []string{"no room", desk.Upper(l.job(n.Job).Title), ""})
	}
	other, err := otherwise(req, today)
	return []paper.Part{blocks, other, jobs}, err
}

// otherwise is what was said of the days ahead that is not as always.
func otherwise(req *desk.Request, from time.Time) (paper.Part, error) {
	part := paper.Part{Title: "Not as always", Head: []string{"What"}}
	words, err := req.Tx.DayWords(req.House.ID, from, from.AddDate(0, 0, ahead-1))
	for _, w := range words {
		part.Rows = append(part.Rows, []string{sayDayWord(req, w)})
	}
	return part, err
}
