package food

import (
	_ "embed"
	"slices"
	"strings"
	"sync"
)

//go:embed allergens.csv
var allergensCSV string

// Allergen is something in food that some may not eat.
type Allergen string

// The nine major allergens of US law (FALCPA 2004, FASTER Act 2021), and two tags beside
// them: gluten, which barley, rye and oats bring as well as wheat, and coconut. Molluscs,
// mustard, celery, lupin and sulphites are not among them.
const (
	Milk      Allergen = "milk"
	Egg       Allergen = "egg"
	Fish      Allergen = "fish"
	Shellfish Allergen = "shellfish" // crustaceans, and molluscs as whoever says shellfish means them
	TreeNut   Allergen = "tree nut"
	Peanut    Allergen = "peanut"
	Wheat     Allergen = "wheat"
	Soy       Allergen = "soy"
	Sesame    Allergen = "sesame"
	Gluten    Allergen = "gluten"
	Coconut   Allergen = "coconut"
)

// tagged is a phrase of a line and what it brings, which may be nothing: butternut.
type tagged struct {
	words []string
	tags  []Allergen
}

// phrases leads from a first word to the phrases that begin with it, longest first.
var phrases = sync.OnceValue(func() map[string][]tagged {
	out := map[string][]tagged{}
	for _, r := range read(allergensCSV) {
		var tags []Allergen
		for _, a := range list(r["allergens"]) {
			tags = append(tags, Allergen(a))
		}
		for _, p := range list(r["phrases"]) {
			ws := words(p)
			out[ws[0]] = append(out[ws[0]], tagged{ws, tags})
		}
	}
	for _, ps := range out {
		slices.SortStableFunc(ps, func(a, b tagged) int { return len(b.words) - len(a.words) })
	}
	return out
})

// freeOf leads from the word before "free" to what such a food does not hold. Lactose is
// not there: milk without lactose is still milk.
var freeOf = map[string][]Allergen{
	"gluten": {Gluten, Wheat}, "wheat": {Wheat}, "dairy": {Milk}, "milk": {Milk}, "egg": {Egg},
	"soy": {Soy}, "soya": {Soy}, "nut": {TreeNut, Peanut}, "peanut": {Peanut}, "sesame": {Sesame}, "fish": {Fish},
}

// notVegan is what food without anything of animals does not hold.
var notVegan = []Allergen{Milk, Egg, Fish, Shellfish}

// Allergens returns what the words of an ingredient line bring, sorted, each once. It
// reads words and phrases, never parts of words; what usually holds an allergen counts
// as holding it. "Gluten-free", "dairy-free", "vegan" and the like are believed of the
// words up to the next comma, bracket, "and" or "or". What the line does not say, such
// as a label's traces, it cannot know.
func Allergens(line string) []Allergen {
	var out []Allergen
	for _, part := range clauses(line) {
		out = append(out, clause(part)...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// clauses cuts a line into its parts, each as words.
func clauses(line string) [][]string {
	var out [][]string
	for _, part := range strings.FieldsFunc(line, func(r rune) bool { return strings.ContainsRune(",;:()[]/+", r) }) {
		ws := words(part)
		for len(ws) > 0 {
			n := joint(ws)
			out = append(out, ws[:n])
			ws = ws[min(n+1, len(ws)):]
		}
	}
	return out
}

// joint returns where the words come to an "and" or "or", not that of half and half.
func joint(ws []string) int {
	for i, w := range ws {
		if w == "or" || w == "and" && (i == 0 || ws[i-1] != "half") {
			return i
		}
	}
	return len(ws)
}

// clause returns what one part of a line brings.
func clause(ws []string) []Allergen {
	var out, gone []Allergen
	for i := 0; i < len(ws); {
		if i+1 < len(ws) && ws[i+1] == "free" && freeOf[ws[i]] != nil && (i+2 == len(ws) || ws[i+2] != "range") {
			gone = append(gone, freeOf[ws[i]]...)
			i += 2
			continue
		}
		if ws[i] == "vegan" {
			gone = append(gone, notVegan...)
		}
		p := longest(ws[i:])
		out = append(out, p.tags...)
		i += max(1, len(p.words))
	}
	return slices.DeleteFunc(out, func(a Allergen) bool { return slices.Contains(gone, a) })
}

// longest returns the longest phrase that the words begin with.
func longest(ws []string) tagged {
	for _, p := range phrases()[ws[0]] {
		if len(p.words) <= len(ws) && slices.Equal(p.words, ws[:len(p.words)]) {
			return p
		}
	}
	return tagged{}
}
