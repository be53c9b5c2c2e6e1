package phrase

import (
	"maps"
	"math/bits"
	"slices"
	"strings"
)

// Match says how a term was recognised.
type Match uint8

// The ways to match, best first.
const (
	Exact     Match = iota + 1
	Inflected       // a plural, a possessive
	Slip            // one or two letters off
)

// Entry is one name of a word list with the other ways to write it. ID is the
// owner's own number for it.
type Entry struct {
	Name    string
	Aliases []string
	ID      int64
}

// List is a compiled word list.
type List struct {
	Name    string
	entries int
	forms   []form
	first   map[string][]int // by first word, exact
}

type form struct {
	entry int
	name  string
	id    int64
	words []string
	first uint32 // the letters of its first word
}

// NewList compiles a list. Names are read as they would be typed.
func NewList(name string, entries []Entry) *List {
	return (&List{Name: name}).With(entries)
}

// With returns a list with further entries behind those of a compiled one.
func (list *List) With(entries []Entry) *List {
	l := &List{Name: list.Name, forms: slices.Clip(list.forms), first: maps.Clone(list.first), entries: list.entries + len(entries)}
	if l.first == nil {
		l.first = map[string][]int{}
	}
	for n, e := range entries {
		for _, alias := range append([]string{e.Name}, e.Aliases...) {
			words := Words(alias)
			if len(words) == 0 {
				continue
			}
			l.first[words[0]] = append(slices.Clip(l.first[words[0]]), len(l.forms))
			l.forms = append(l.forms, form{list.entries + n, e.Name, e.ID, words, letters(words[0])})
		}
	}
	return l
}

// Words returns the lower-case words and figures of a text.
func Words(text string) []string {
	var out []string
	for _, t := range Tokens(text) {
		if t.Kind == Word || t.Kind == Num {
			out = append(out, t.Low)
		}
	}
	return out
}

// Term is a name found in a list. Others holds further names that the same
// words could stand for.
type Term struct {
	List   string
	Name   string
	ID     int64
	Match  Match
	Slips  int
	Others []string
}

// found is a candidate while the best one is looked for.
type found struct {
	form  *form
	next  int
	match Match
	slips int
}

// better prefers an exact reading, then the longer one, then fewer slips.
func (f found) better(g found) bool {
	if (f.match == Slip) != (g.match == Slip) {
		return g.match == Slip
	}
	if f.next != g.next {
		return f.next > g.next
	}
	if f.slips != g.slips {
		return f.slips < g.slips
	}
	return f.match < g.match
}

func (f found) equal(g found) bool { return !f.better(g) && !g.better(f) }

// term finds the best name of the list that begins at token i.
func (l *line) term(list *List, i int) (Term, int, bool) {
	if i >= len(l.toks) || l.toks[i].Kind != Word {
		return Term{}, i, false
	}
	best, all := l.bestForm(list, i, list.candidates(l.low(i)), false)
	if len(all) == 0 && len(l.low(i)) >= 4 && !fillers[l.low(i)] && !notNames[l.low(i)] {
		best, all = l.bestForm(list, i, nil, true)
	}
	if len(all) == 0 {
		return Term{}, i, false
	}
	t := Term{List: list.Name, Name: best.form.name, ID: best.form.id, Match: best.match, Slips: best.slips}
	for _, f := range all {
		if f.form.entry != best.form.entry && !slices.Contains(t.Others, f.form.name) {
			t.Others = append(t.Others, f.form.name)
		}
	}
	return t, best.next, true
}

// candidates are the forms whose first word is w, its singular or its plural.
func (list *List) candidates(w string) []int {
	out := slices.Clip(list.first[w])
	one := strings.TrimSuffix(w, "'s")
	for _, ending := range [...]string{"s", "es"} {
		if s, ok := strings.CutSuffix(one, ending); ok && len(s) > 2 {
			out = append(out, list.first[s]...)
		}
	}
	if one != w {
		out = append(out, list.first[one]...)
	}
	return append(out, list.first[w+"s"]...)
}

// inflected reports a word that is the plural, the possessive or the singular of another.
func inflected(w, want string) bool {
	if w == "" || want == "" || w[0] != want[0] { // most words, asked about by the thousand
		return false
	}
	if s, ok := strings.CutSuffix(want, "s"); ok && s == w {
		return true
	}
	w = strings.TrimSuffix(w, "'s")
	s, ok := strings.CutPrefix(w, want)
	return ok && (s == "" || len(want) > 2 && (s == "s" || s == "es"))
}

// bestForm matches forms at i: the given ones, or all of them with slips.
func (l *line) bestForm(list *List, i int, only []int, slip bool) (found, []found) {
	var best found
	var all []found
	try := func(f *form) {
		got, ok := l.matchForm(f, i, slip)
		if !ok {
			return
		}
		switch {
		case len(all) == 0 || got.better(best):
			best, all = got, []found{got}
		case got.equal(best):
			all = append(all, got)
		}
	}
	if slip {
		typed := letters(l.low(i))
		for n := range list.forms {
			if f := &list.forms[n]; bits.OnesCount32(f.first^typed) <= 2*mostSlips {
				try(f)
			}
		}
	}
	for _, n := range only {
		try(&list.forms[n])
	}
	return best, all
}

func (l *line) matchForm(f *form, i int, slip bool) (found, bool) {
	got := found{form: f, next: i, match: Exact}
	for _, want := range f.words {
		if got.next >= len(l.toks) {
			return found{}, false
		}
		w := l.low(got.next)
		switch {
		case w == want:
		case inflected(w, want):
			got.match = max(got.match, Inflected)
		case slip:
			d, ok := isNear(w, want)
			if !ok {
				return found{}, false
			}
			got.match, got.slips = Slip, got.slips+d
		default:
			return found{}, false
		}
		got.next++
	}
	return got, true
}

// Exact returns the name of the entry that is called exactly that, in any case.
func (list *List) Exact(text string) (string, bool) {
	words := Words(text)
	for _, f := range list.forms {
		if slices.Equal(f.words, words) {
			return f.name, true
		}
	}
	return "", false
}
