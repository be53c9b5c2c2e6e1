package barn

import (
	"fmt"
	"time"

	"yardbell/handlers/desk"
)

// comes tells what hatches or is born on some days, and which feed runs out.
func comes(req *desk.Request, from, to time.Time) ([]desk.Coming, error) {
	in := func(day time.Time) bool { return !day.Before(from) && !day.After(to) }
	all, err := expecting(req)
	if err != nil {
		return nil, err
	}
	var out []desk.Coming
	for _, c := range all {
		e, err := c.expected()
		if err == nil && in(e.Earliest) {
			out = append(out, desk.Coming{Day: e.Earliest, Text: fmt.Sprintf("%s: %s %s", desk.Upper(c.Name), c.length.Event, c.window(req))})
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
			out = append(out, desk.Coming{Day: last.Last, Text: "the last day that the " + s.Name + " is enough for"})
		}
	}
	return out, nil
}
