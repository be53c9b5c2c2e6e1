package food

import (
	_ "embed"
	"slices"
	"strings"
	"sync"
)

//go:embed aliases.csv
var aliasesCSV string

// key is a name of a food as a set of words; food is empty for a name that is known not
// to be in the table, such as crushed tomatoes.
type key struct {
	words []string
	food  string
	stale bool // dried, canned or cooked: not what a line calls fresh
}

// aliases is the table of other names in its order: the name and the food.
var aliases = sync.OnceValue(func() [][2]string {
	var out [][2]string
	for _, r := range read(aliasesCSV) {
		for _, name := range list(r["names"]) {
			out = append(out, [2]string{name, r["food"]})
		}
	}
	return out
})

// alsoOf returns the other names of a food.
func alsoOf(name string) []string {
	var out []string
	for _, a := range aliases() {
		if a[1] == name {
			out = append(out, a[0])
		}
	}
	return out
}

// keys are all names of all foods, the longest first: sliced onion before onion.
var keys = sync.OnceValue(func() []key {
	var out []key
	for _, f := range foods() {
		out = append(out, newKey(f.Name, f.Name))
	}
	for _, a := range aliases() {
		out = append(out, newKey(a[0], a[1]))
	}
	slices.SortStableFunc(out, func(a, b key) int { return len(b.words) - len(a.words) })
	return out
})

// newKey is the key of one name of a food.
func newKey(name, food string) key {
	ws := set(without(words(name), joints()))
	stale := slices.ContainsFunc(append(words(food), ws...), func(w string) bool { return keptWords()[w] })
	return key{words: ws, food: food, stale: stale}
}

// longestLine is the most bytes that a line of a recipe has.
const longestLine = 500

// endings begin what a line says beside the food.
var endings = []string{" for ", " plus ", " to serve", " to taste", " to garnish", " to decorate", " such as ", " preferably ", " about ", " see "}

// Find returns the food that the words of an ingredient line name, its amount already
// taken away: "onions, finely chopped" is onion chopped. Words of preparing and size do
// not matter unless they make another food (dry, cooked, canned, ground). It returns
// false rather than a guess: for words it does not know, for a choice of foods and for a
// line of more than 500 bytes.
func Find(line string) (Food, bool) {
	if len(line) > longestLine {
		return Food{}, false
	}
	line = " " + strings.NewReplacer("free-range", "", "free range", "").Replace(strings.ToLower(line))
	if before, after, cut := strings.Cut(line, " or "); cut {
		return either(before, after)
	}
	head, tail := parts(line)
	if f, ok := match(append(slices.Clone(head), tail...)); ok {
		return f, true
	}
	if !prepares(tail) {
		return Food{}, false
	}
	return match(append(head, forms(tail)...))
}

// either is the food on both sides of an "or", if it is one.
func either(before, after string) (Food, bool) {
	a, ok := Find(before)
	if len(without(without(words(after), joints()), softWords())) == 0 {
		return a, ok
	}
	b, too := Find(after)
	if ok && too && a.Name == b.Name {
		return a, true
	}
	return Food{}, false
}

// parts cuts a line into the words that name the food and those after a comma, in
// brackets or after an ending.
func parts(line string) (head, tail []string) {
	for _, e := range endings {
		line, _, _ = strings.Cut(line, e)
	}
	open := 0
	var front, rest strings.Builder
	past := false
	for _, r := range line {
		switch {
		case r == '(' || r == '[':
			open++
		case (r == ')' || r == ']') && open > 0:
			open--
		case r == ',' || r == ';' || r == '–' || r == '—':
			past = past || open == 0
		}
		if past || open > 0 {
			rest.WriteRune(r)
			continue
		}
		front.WriteRune(r)
	}
	return without(words(front.String()), joints()), without(words(rest.String()), joints())
}

// prepares says whether a tail speaks of preparing: its first word is a soft one or a form.
func prepares(tail []string) bool {
	return len(tail) == 0 || softWords()[tail[0]] || keptWords()[tail[0]] || tailWords()[tail[0]]
}

// forms returns the words of a tail that make another food.
func forms(tail []string) []string {
	var out []string
	for _, w := range tail {
		if keptWords()[w] || w == "ground" {
			out = append(out, w)
		}
	}
	return out
}

// match returns the food with the longest name whose words are all among ws, when
// every other word is soft.
func match(ws []string) (Food, bool) {
	ws = set(ws)
	for _, k := range keys() {
		if k.covers(ws) {
			f, ok := byName()[k.food]
			return f, ok
		}
	}
	return Food{}, false
}

// covers says whether ws has every word of the name and else only soft ones.
func (k key) covers(ws []string) bool {
	if len(k.words) > len(ws) {
		return false
	}
	found := 0
	for _, w := range ws {
		if slices.Contains(k.words, w) {
			found++
			continue
		}
		if !softWords()[w] || w == "fresh" && k.stale {
			return false
		}
	}
	return found == len(k.words)
}
