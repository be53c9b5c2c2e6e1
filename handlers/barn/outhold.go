package barn

import (
	"fmt"
	"slices"

	"yardbell/calc/growth"
	"yardbell/handlers/desk"
)

// meatHeld warns that animals went to slaughter, or to others, while a treatment holds
// their meat back: it has happened and is written down, but nobody is to eat of it unwarned.
func meatHeld(req *desk.Request, moves []change, w way, with string) ([]string, error) {
	if !slices.Contains([]string{"slaughtered", "culled", "sold", "given"}, w.how) {
		return nil, nil
	}
	var out []string
	for _, m := range moves {
		k, _ := beastNamed(m.herd.Kind)
		c, t, err := clearance(req, growth.Meat, k.family, m.herd.ID)
		if err != nil {
			return nil, err
		}
		text := clearText(req, growth.Meat, c, t)
		if text == "" {
			continue
		}
		if w.how == "sold" || w.how == "given" {
			if with == "" {
				with = "whoever has it"
			}
			text += fmt.Sprintf(" Tell %s, with the label.", with)
		} else {
			text += " The meat is not to be eaten or sold: ask the vet."
		}
		if !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	return out, nil
}
