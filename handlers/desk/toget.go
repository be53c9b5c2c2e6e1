package desk

import (
	"fmt"
	"strings"

	"yardbell/calc/food"
	"yardbell/storage"
)

// ToGetLines writes what is to be got: a line a section of a shop for what is got
// wherever, then a line a shop.
func ToGetLines(all []storage.ToGet) (out []string) {
	var names []string
	by := map[string][]string{}
	for _, g := range all {
		name := Upper(g.Section)
		switch {
		case g.Shop != "":
			name = Upper(g.Shop)
		case g.Section == "" || g.Section == string(food.Other):
			name = "Other"
		}
		if by[name] == nil {
			names = append(names, name)
		}
		text := g.Wanted
		if g.Why != "" {
			text += " (" + g.Why + ")"
		}
		by[name] = append(by[name], text)
	}
	for _, name := range names {
		out = append(out, fmt.Sprintf("%s: %s", name, strings.Join(by[name], "; ")))
	}
	return out
}

// Things parts "eggs and bin bags, 2 l milk".
func Things(text string) []string {
	var out []string
	for _, part := range strings.FieldsFunc(strings.ReplaceAll(text, " and ", ","), func(r rune) bool { return r == ',' || r == ';' || r == '\n' }) {
		if part = strings.TrimSpace(part); part != "" {
			out = append(out, part)
		}
	}
	return out
}
