package barn

import (
	"fmt"
	"strings"

	"yardbell/calc/growth"
	"yardbell/handlers/desk"
)

// nearDays is how many days before its window a birth or a hatch is told with the day.
const nearDays = 3

// todayLines say with the day who is near her time, what hatches, and what is held back.
func todayLines(req *desk.Request) ([]string, error) {
	all, err := expecting(req)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, c := range all {
		e, err := c.expected()
		if err != nil || dayOf(req).Before(e.Earliest.AddDate(0, 0, -nearDays)) {
			continue
		}
		out = append(out, fmt.Sprintf("%s: %s %s", desk.Upper(c.Name), c.length.Event, c.window(req)))
	}
	given, err := req.Tx.Treatments(req.House.ID)
	if err != nil || len(given) == 0 {
		return out, err
	}
	for _, item := range []string{"eggs", "milk"} {
		text, err := heldBack(req, item)
		if err != nil {
			return nil, err
		}
		if text != "" {
			out = append(out, desk.Upper(text))
		}
	}
	return out, nil
}

// heldBack says until when eggs or milk are not to be eaten or drunk, by the treatments
// that were written down; empty when they are free.
func heldBack(req *desk.Request, item string) (string, error) {
	item = strings.ToLower(item)
	product, families := growth.Eggs, []string{"hen"}
	switch {
	case strings.HasSuffix(item, "milk"):
		product, families = growth.Milk, []string{"goat", "cow", "sheep"}
	case !strings.HasSuffix(item, "egg") && !strings.HasSuffix(item, "eggs"):
		return "", nil
	}
	for _, b := range beasts {
		if strings.HasPrefix(item, b.family+" ") {
			families = []string{b.family}
		}
	}
	for _, family := range families {
		c, t, err := clearance(req, product, family, 0)
		if err != nil || t.ID == 0 {
			if err != nil {
				return "", err
			}
			continue
		}
		switch {
		case c.Never:
			return fmt.Sprintf("%s of %s: never, by the label (%s)", item, t.Name, t.What), nil
		case c.Unknown:
			return fmt.Sprintf("%s of %s: not released, the label's time was not told (%s)", item, t.Name, t.What), nil
		case !c.Free(req.Now):
			return fmt.Sprintf("%s of %s: not before %s (%s)", item, t.Name, req.Say(c.At), t.What), nil
		}
	}
	return "", nil
}
