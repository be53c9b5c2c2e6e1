package desk

import (
	"fmt"
	"slices"
	"time"

	"yardbell/reminders"
	"yardbell/storage"
)

// BellJob is the work that a bell of the round calls for, to be laid into the day; ok is
// false when it is not to be done today. A bell that rings at a minute is no open work:
// its time is fixed, see Taken.
func (r *Request) BellJob(b storage.Bell, takes time.Duration) (j Job, ok bool, err error) {
	if !b.Daily || b.Stopped {
		return Job{}, false, nil
	}
	day := reminders.Day(r.Wall)
	due := !b.Next.IsZero() && b.Next.Before(r.Instant(day.AddDate(0, 0, 1)))
	if !due {
		open, err := r.Tx.RingsOf(b.ID)
		if err != nil || len(open) == 0 {
			return Job{}, false, err
		}
	}
	by, err := r.present(reminders.Expand(b.Whom, r.People, r.Now))
	if len(by) > 1 { // one of them
		by = nil
	}
	return Job{Key: fmt.Sprintf("bell:%d", b.Num), Title: b.Title, Takes: takes, By: by, From: day, Due: day, Bell: b.Num}, true, err
}

// present are the ids of those who are neither away nor ill now.
func (r *Request) present(people []storage.Person) ([]int64, error) {
	home, err := r.Home()
	if err != nil {
		return nil, err
	}
	var out []int64
	for _, p := range people {
		if _, gone := home.Absent(p.ID, r.Now); !gone {
			out = append(out, p.ID)
		}
	}
	return slices.Compact(out), nil
}
