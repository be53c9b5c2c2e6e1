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
