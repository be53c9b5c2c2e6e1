package barn

import (
	"fmt"
	"strings"
	"time"

	"yardbell/handlers/desk"
)

// daysToCome tells what hatches or is born up to a day, and which feed runs out.
func daysToCome(req *desk.Request, until time.Time) ([]desk.Dated, error) {
	in := func(day time.Time) bool { return !day.Before(dayOf(req)) && !day.After(until) }
	all, err := expecting(req)
	if err != nil {
		return nil, err
	}
	var out []desk.Dated
	for _, c := range all {
		e, err := c.expected()
		if err == nil && in(e.Earliest) {
			out = append(out, desk.Dated{ID: fmt.Sprintf("expecting:%d", c.ID), Day: e.Earliest, Title: fmt.Sprintf("%s: %s %s", desk.Upper(c.Name), c.length.Event, c.window(req))})
		}
	}
	feeds, err := req.Tx.Fodders(req.House.ID)
	if err != nil || len(feeds) == 0 {
		return out, err
	}
	b, err := openBook(req)
	if err != nil {
		return nil, err
	}
	for _, f := range feeds {
		s, err := b.stockOf(req, f)
		if err != nil {
			return nil, err
		}
		if last, ok := s.forecast(); ok && s.mass > 0 && in(last.Last) {
			out = append(out, desk.Dated{ID: fmt.Sprintf("fodder:%d", f.ID), Day: last.Last, Title: "the last day that the " + s.Name + " is enough for"})
		}
	}
	return out, nil
}

// candleTakes is how long a setting is candled, a dozen eggs or two (common practice).
const candleTakes = 20 * time.Minute

// openJobs are the settings that are to be candled today.
func openJobs(req *desk.Request) ([]desk.Job, error) {
	all, err := expecting(req)
	if err != nil {
		return nil, err
	}
	var out []desk.Job
	for _, c := range all {
		if !c.hatching() {
			continue
		}
		bells, err := req.Tx.SubjectBells(req.House.ID, c.subject())
		if err != nil {
			return nil, err
		}
		for _, b := range bells {
			if !strings.Contains(b.Step, "-candle") {
				continue
			}
			j, due, err := req.BellJob(b, candleTakes)
			if err != nil {
				return nil, err
			}
			if j.Help = true; due {
				out = append(out, j)
			}
		}
	}
	return out, nil
}
