package house

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/paper"
	"yardbell/reminders"
	"yardbell/storage"
)

func sheetAsks() []desk.Ask {
	fill := []string{"sheet", "print", "page", "wall", "week", "a", "the", "for", "our", "this", "kitchen", "me", "make", "send", "us", "can", "you"}
	return []desk.Ask{{
		Name: "sheet", Command: "sheet", Help: "a page to print for the kitchen wall", Fill: fill,
		Forms:    []string{"^sheet$", "^sheet for the wall$", "^print the|a sheet|week$", "^sheet for the week$", "^make a sheet", "^send * sheet", "^can you send|print * sheet", "^sheet for the kitchen wall", "^wall sheet$"},
		Examples: []desk.Example{{Line: "sheet"}, {Line: "print the week"}, {Line: "/sheet"}}, Question: true, Plain: func(req *desk.Request) bool { return len(req.Reading.Unknown) == 0 }, Do: sheet,
	}}
}

// sheet writes the page for the wall: today, the week, and what each desk has for it.
func sheet(req *desk.Request) (desk.Reply, error) {
	planned, err := weekAhead(req)
	if err != nil {
		return desk.Reply{}, err
	}
	page := paper.Page{
		Title: householdName(req), Sub: fmt.Sprintf("The week from %s", req.SayDay(req.Now)), Letter: req.House.US,
		Foot: fmt.Sprintf("Written %s. What changed since then is in the chat: today", req.Say(req.Now)),
	}
	page.Parts = append(page.Parts, todayPart(req, planned), weekPart(req, planned))
	more, err := req.Roster.Sheet(req)
	if err != nil {
		return desk.Reply{}, err
	}
	page.Parts = append(page.Parts, more...)
	body, err := paper.HTML(page)
	if err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(fmt.Sprintf("The sheet for the week from %s.", req.SayDay(req.Now)), "Open it and print it: one page for the wall, or two.")
	out.Files = []storage.File{{Name: "sheet-" + req.Wall.Format("2006-01-02") + ".html", Type: "text/html", Content: body}}
	return out, nil
}

func householdName(req *desk.Request) string {
	if req.House.Name == "" {
		return "The household"
	}
	return req.House.Name
}

// weekAhead is what will ring in the seven days that begin today.
func weekAhead(req *desk.Request) ([]reminders.Planned, error) {
	bells, err := req.Tx.ComingBells(req.House.ID)
	if err != nil {
		return nil, err
	}
	home, err := req.Home()
	if err != nil {
		return nil, err
	}
	return home.Rehearse(bells, req.Now, req.Instant(reminders.Day(req.Wall).AddDate(0, 0, 7)).Add(-time.Second))
}

func todayPart(req *desk.Request, planned []reminders.Planned) paper.Part {
	part := paper.Part{Title: "Today", Head: []string{"When", "What", "Who"}, Ticks: 1, Empty: "Nothing more rings today."}
	for _, p := range planned {
		w := req.WallOf(p.At)
		if !reminders.Day(w).Equal(reminders.Day(req.Wall)) {
			continue
		}
		part.Rows = append(part.Rows, []string{w.Format("15:04"), desk.Upper(p.Bell.Title), req.SayTo(p)})
	}
	return part
}

// weekPart has a row a day, with what is to be done on it; a thing that is done each day
// is said once, at the end.
func weekPart(req *desk.Request, planned []reminders.Planned) paper.Part {
	part := paper.Part{Title: "The week", Head: []string{"Day", "What, and who"}}
	often := map[int64]int{}
	for _, p := range planned {
		often[p.Bell.ID]++
	}
	var daily []string
	byDay := map[time.Time][]string{}
	for _, p := range planned {
		if strings.HasPrefix(p.Bell.Subject, "chore:") { // each person's chores have a table of their own
			continue
		}
		day := reminders.Day(req.WallOf(p.At))
		text := fmt.Sprintf("%s %s (%s)", req.WallOf(p.At).Format("15:04"), p.Bell.Title, req.SayTo(p))
		if often[p.Bell.ID] >= 6 {
			if !slices.Contains(daily, text) {
				daily = append(daily, text)
			}
			continue
		}
		byDay[day] = append(byDay[day], text)
	}
	for i := 1; i < 7; i++ { // today stands above
		day := reminders.Day(req.Wall).AddDate(0, 0, i)
		part.Rows = append(part.Rows, []string{day.Format("Mon") + " " + shortDay(req, day), strings.Join(byDay[day], "; ")})
	}
	if len(daily) > 0 {
		slices.Sort(daily)
		part.Rows = append(part.Rows, []string{"Daily", strings.Join(daily, "; ")})
	}
	return part
}

func shortDay(req *desk.Request, day time.Time) string {
	if req.House.DayFirst {
		return day.Format("2 Jan")
	}
	return day.Format("Jan 2")
}
