package day_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/calc/day"
)

// fullHouse is Hollin Bank for some days from a Monday at six.
func fullHouse(days int) day.House {
	monday := time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC)
	children, grown := []string{"Ivo", "Lise", "Pim"}, []string{"Maren", "Tom", "Edda"}
	h := day.House{Now: monday.Add(6 * time.Hour), People: []day.Person{
		{Name: "Maren"},
		{Name: "Tom"},
		{Name: "Edda"},
		{Name: "Ivo", Child: true, Age: 13},
		{Name: "Lise", Child: true, Age: 10},
		{Name: "Pim", Child: true, Age: 6},
	}}
	for d := range days {
		at := func(from, to float64) day.Span {
			start := monday.AddDate(0, 0, d)
			return day.Span{From: start.Add(time.Duration(from * float64(time.Hour))), To: start.Add(time.Duration(to * float64(time.Hour)))}
		}
		h.Blocks = append(
			h.Blocks,
			day.Block{Name: "breakfast", Span: at(7, 8)},
			day.Block{Name: "morning chores", Span: at(8, 9.5), Open: true},
			day.Block{Name: "school", Span: at(9.5, 12.5), Who: append([]string{"Edda"}, children...), Away: true, Place: "the parlour"},
			day.Block{Name: "morning work", Span: at(9.5, 12.5), Open: true, Who: grown[:2]},
			day.Block{Name: "dinner", Span: at(12.5, 13.5)},
			day.Block{Name: "quiet time", Span: at(13.5, 15), Who: children, Away: true, Place: "their rooms"},
			day.Block{Name: "quiet work", Span: at(13.5, 15), Open: true, Who: grown},
			day.Block{Name: "afternoon", Span: at(15, 18), Open: true},
			day.Block{Name: "supper", Span: at(18, 19)},
			day.Block{Name: "bed", Span: at(20, 23), Who: children, Away: true, Place: "bed"},
			day.Block{Name: "evening", Span: at(19.5, 22), Open: true, Who: grown},
		)
		h.Light = append(h.Light, at(7, 17.75))
		h.Kitchen = append(h.Kitchen, at(12, 13.5), at(17, 19))
		h.Oven = append(h.Oven, at(17, 18))
		if d%3 == 1 {
			h.Wet = append(h.Wet, at(0, 24))
		}
	}
	return h
}

// manyJobs are n jobs of every sort, of so many minutes and up.
func manyJobs(n, minutes int) []day.Job {
	monday := time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC)
	needs := []day.Need{0, 0, day.Kitchen, day.Light | day.Dry, day.Oven | day.Kitchen, day.Lye | day.Kitchen, day.Light, day.Elsewhere, 0, day.Kitchen}
	var out []day.Job
	for i := range n {
		j := day.Job{
			ID: fmt.Sprintf("job %02d", i), Takes: time.Duration(minutes+5*(i*7%13)) * time.Minute,
			Need: needs[i%len(needs)], Cost: 1 + i*5%9, Moved: i % 5,
		}
		if j.Need&(day.Lye|day.Elsewhere) == 0 {
			j.Children, j.LeastAge, j.Help = i%3 == 0, 9, true
		}
		if i%4 == 1 {
			j.Due = monday.AddDate(0, 0, i%6-2)
		}
		if i%7 == 3 && j.Need&day.Lye == 0 {
			j.Part = 20 * time.Minute
		}
		if i%5 == 2 {
			j.By = []string{[]string{"Maren", "Tom", "Edda"}[i%3]}
		}
		out = append(out, j)
	}
	return out
}

// BenchmarkLay prints the milliseconds for a plan: days that hold all jobs, and days that
// hold few of them, laid for the first time and anew with a block closed.
func BenchmarkLay(b *testing.B) {
	for _, c := range []struct {
		name                string
		days, jobs, minutes int
	}{
		{"a day of 60 short jobs", 1, 60, 5},
		{"a day of 60 jobs", 1, 60, 30},
		{"three days of 60 jobs", 3, 60, 30},
		{"a week of 60 jobs", 7, 60, 30},
		{"a week of 60 long jobs", 7, 60, 90},
		{"a day of 10 jobs", 1, 10, 30},
		{"a week of 200 jobs", 7, 200, 30},
	} {
		h, jobs := fullHouse(c.days), manyJobs(c.jobs, c.minutes)
		plan, err := day.Lay(h, jobs)
		require.NoError(b, err)
		b.Run(c.name, func(b *testing.B) { lays(b, h, jobs) })
		h.Blocks[7].Open = false
		b.Run(c.name+", anew", func(b *testing.B) { lays(b, h, day.Keep(jobs, plan)) })
	}
}

func lays(b *testing.B, h day.House, jobs []day.Job) {
	b.ReportAllocs()
	var plan day.Plan
	least := time.Hour
	for b.Loop() {
		start := b.Elapsed()
		plan, _ = day.Lay(h, jobs)
		least = min(least, b.Elapsed()-start)
	}
	b.ReportMetric(float64(b.Elapsed().Microseconds())/1000/float64(b.N), "ms/plan")
	b.ReportMetric(float64(least.Microseconds())/1000, "ms/quickest")
	b.ReportMetric(float64(len(plan.Left)), "left")
	b.ReportMetric(float64(plan.Moves), "moves")
}
