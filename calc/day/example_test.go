package day_test

import (
	"fmt"
	"time"

	"yardbell/calc/day"
)

func clock(hour, minute int) time.Time { return time.Date(2027, 3, 1, hour, minute, 0, 0, time.UTC) }

func hours(from, to int) day.Span { return day.Span{From: clock(from, 0), To: clock(to, 0)} }

// hollinBank is a Monday: lessons with Edda, dinner, quiet time for the grown, chores.
func hollinBank() day.House {
	children := []string{"Ivo", "Lise", "Pim"}
	return day.House{
		Now: clock(7, 0),
		People: []day.Person{
			{Name: "Maren"},
			{Name: "Tom", Out: []day.Span{hours(8, 16)}},
			{Name: "Edda"},
			{Name: "Ivo", Child: true, Age: 13},
			{Name: "Lise", Child: true, Age: 10},
			{Name: "Pim", Child: true, Age: 6},
		},
		Blocks: []day.Block{
			{Name: "school", Span: hours(9, 12), Who: append([]string{"Edda"}, children...), Away: true, Place: "the parlour"},
			{Name: "quiet work", Span: hours(9, 12), Open: true, Who: []string{"Maren"}},
			{Name: "dinner", Span: hours(12, 13)},
			{Name: "chores", Span: hours(13, 16), Open: true},
		},
	}
}

func ExampleLay() {
	plan, err := day.Lay(hollinBank(), []day.Job{
		{ID: "pour soap", Takes: 90 * time.Minute, Need: day.Lye | day.Kitchen, Cost: 3},
		{ID: "sow leeks", Takes: 40 * time.Minute, Children: true, LeastAge: 10, Of: []string{"Lise"}},
	})
	if err != nil {
		panic(err)
	}
	for _, p := range plan.Placed {
		fmt.Println(p.From.Format("15:04"), p.To.Format("15:04"), p.Job, p.Block, p.Who)
	}
	// Output:
	// 09:10 10:40 pour soap quiet work [Maren]
	// 13:00 13:40 sow leeks chores [Lise]
}

func ExampleMoveOn() {
	h := hollinBank()
	jobs := []day.Job{{ID: "mend the fence", Takes: 2 * time.Hour, By: []string{"Maren"}, Moved: 2}}
	plan, err := day.Lay(h, jobs)
	if err != nil {
		panic(err)
	}
	h.Now = clock(13, 0) // the morning is over and the fence is not mended
	plan, err = day.Lay(h, day.MoveOn(day.Keep(jobs, plan), h.Now))
	if err != nil {
		panic(err)
	}
	p := plan.Placed[0]
	fmt.Println(p.From.Format("15:04"), p.Job, p.Why[0].Cause == day.Often, p.Why[0].Times)
	// Output: 13:00 mend the fence true 3
}

func ExampleNextWindow() {
	w, ok, err := day.NextWindow(hollinBank(), nil, nil, 90*time.Minute)
	if err != nil || !ok {
		panic(err)
	}
	fmt.Println(w.From.Format("15:04"), w.To.Format("15:04"), w.Who, "children away", w.Kept.From.Format("15:04"), w.Kept.To.Format("15:04"))
	fmt.Println(w.Children[0].Child, "in", w.Children[0].Place, "- tell", w.Tell)
	// Output:
	// 09:10 11:30 [Maren] children away 09:00 12:00
	// Ivo in the parlour - tell [Edda Ivo Lise Pim]
}
