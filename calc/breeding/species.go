package breeding

import (
	_ "embed"
	"slices"
	"strings"
	"sync"
	"unicode"
)

//go:embed words.csv
var wordsCSV string

// Noun is a word for one and for many.
type Noun struct{ One, Many string }

// Verb is a word for giving birth in its four forms.
type Verb struct{ Base, Third, Past, Doing string }

// Species is one kind of animal and the words for it, in lower case. The first of each
// list is the one to print.
type Species struct {
	Name   string // as the gestation table has it: "sow", "doe goat", "Muscovy duck"
	Kind   Kind
	Event  string // farrowing, kidding, hatch
	Any    []Noun // whatever the sex: pig, hog
	Female []Noun
	Male   []Noun
	Young  []Noun
	Birth  Verb // farrow, kid, hatch

	Source, Mark string
}

var species = load("words.csv", &wordsCSV, func(r *record) Species {
	s := Species{
		Name: r.needed("species"), Any: r.nouns("any"), Female: r.nouns("female"), Male: r.nouns("male"), Young: r.nouns("young"),
		Source: r.needed("source"), Mark: r.needed("mark"),
	}
	forms := strings.Split(r.text("birth"), "/")
	if len(forms) != 4 {
		r.fail("%s: want four forms of birth", s.Name)
		return s
	}
	s.Birth = Verb{forms[0], forms[1], forms[2], forms[3]}
	i := slices.IndexFunc(lengths(), func(l Length) bool { return l.Species == s.Name })
	if i < 0 {
		r.fail("%s is not in the gestation table", s.Name)
		return s
	}
	s.Kind, s.Event = lengths()[i].Kind, lengths()[i].Event
	return s
})

func (r *record) nouns(name string) []Noun {
	var out []Noun
	for _, pair := range r.list(name) {
		one, many, ok := strings.Cut(pair, "/")
		if !ok {
			r.fail("%s: %q has no plural", name, pair)
		}
		out = append(out, Noun{one, many})
	}
	if out == nil {
		r.fail("%s is empty", name)
	}
	return out
}

// AllSpecies returns every species and its words in file order.
func AllSpecies() []Species {
	out := slices.Clone(species())
	for i := range out {
		out[i] = out[i].copy()
	}
	return out
}

func (s Species) copy() Species {
	for _, list := range []*[]Noun{&s.Any, &s.Female, &s.Male, &s.Young} {
		*list = slices.Clone(*list)
	}
	return s
}

// SpeciesNamed returns the species of that exact name of the gestation table.
func SpeciesNamed(name string) (Species, bool) {
	i := slices.IndexFunc(species(), func(s Species) bool { return s.Name == name })
	if i < 0 {
		return Species{}, false
	}
	return species()[i].copy(), true
}

// Words returns every word by which the species is found: any, female, male and young,
// singular and plural, without a word twice.
func (s Species) Words() []string {
	var out []string
	for _, n := range slices.Concat(s.Any, s.Female, s.Male, s.Young) {
		out = append(out, n.One, n.Many)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Lookup returns the lengths that the words may mean, by species and breed: none when
// nothing is known of them, several when they have to be asked about ("doe" is a goat
// or a rabbit, "quail" coturnix or bobwhite). Without a breed it is that of the species
// as a whole. Other words are passed over.
func Lookup(words string) []Length {
	bySpecies, byBreed := found(tokens(words))
	if len(bySpecies) == 0 {
		return copies(byBreed)
	}
	var bred, usual []Length
	for _, l := range lengths() {
		switch {
		case !slices.Contains(bySpecies, l.Species):
		case slices.ContainsFunc(byBreed, func(b Length) bool { return b.Name() == l.Name() }):
			bred = append(bred, l)
		case l.usual || !hasUsual(l.Species):
			usual = append(usual, l)
		}
	}
	if bred != nil {
		return copies(bred)
	}
	return copies(usual)
}

func hasUsual(name string) bool {
	return slices.ContainsFunc(lengths(), func(l Length) bool { return l.Species == name && l.usual })
}

// found returns the species that the words agree on, all that they name when they do
// not agree, and the rows of the breeds they name. A longer phrase hides the shorter
// ones in it: a guinea pig is no pig.
func found(words []string) (names []string, breeds []Length) {
	for i := 0; i < len(words); {
		n, sets, rows := longest(words[i:])
		if len(sets) > 0 {
			names = agreed(names, sets)
		}
		breeds = append(breeds, rows...)
		i += max(n, 1)
	}
	return names, breeds
}

func agreed(names, more []string) []string {
	var both []string
	for _, name := range more {
		if slices.Contains(names, name) {
			both = append(both, name)
		}
	}
	if both == nil {
		return append(names, more...)
	}
	return both
}

// longest is the longest phrase at the head of the words, and what it names.
func longest(words []string) (n int, names []string, breeds []Length) {
	for n = min(longestPhrase, len(words)); n > 0; n-- {
		if m, ok := phrases()[strings.Join(words[:n], " ")]; ok {
			return n, m.species, m.breeds
		}
	}
	return 0, nil, nil
}

// meant is what one phrase names.
type meant struct {
	species []string
	breeds  []Length
}

var phrases = sync.OnceValue(func() map[string]meant {
	out := map[string]meant{}
	for _, s := range species() {
		for _, w := range s.Words() {
			m := out[w]
			m.species = append(m.species, s.Name)
			out[w] = m
		}
	}
	for _, l := range lengths() {
		for _, w := range l.words {
			m := out[w]
			m.breeds = append(m.breeds, l)
			out[w] = m
		}
	}
	return out
})

const longestPhrase = 3 // words

// tokens splits a text into words in lower case; an apostrophe is dropped.
func tokens(text string) []string {
	text = strings.NewReplacer("'", "", "\u2019", "").Replace(strings.ToLower(text))
	return strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) })
}
