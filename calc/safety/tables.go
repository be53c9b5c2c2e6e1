package safety

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode"
)

// The tables. In a column of words, a bar separates phrases; a phrase is found where
// its words stand next to each other in this order.
var (
	//go:embed cook.csv
	cookCSV string
	//go:embed keep.csv
	keepCSV string
	//go:embed power.csv
	powerCSV string
	//go:embed rules.csv
	rulesCSV string
	//go:embed figures.csv
	figuresCSV string
	//go:embed mould.csv
	mouldCSV string
)

// record is one row of a table by its column names.
type record map[string]string

// load reads a table once. It panics on a fault, since the files are part of the
// program; TestTables reads them all.
func load[T any](name string, text *string, row func(record) (T, error)) func() []T {
	return sync.OnceValue(func() []T {
		out, err := readTable(*text, row)
		if err != nil {
			panic(fmt.Sprintf("%s: %v", name, err))
		}
		return out
	})
}

func readTable[T any](text string, row func(record) (T, error)) ([]T, error) {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrTable, err)
	}
	var out []T
	for i, cells := range rows {
		if i == 0 {
			continue
		}
		r := record{}
		for j, name := range rows[0] {
			r[name] = cells[j]
		}
		v, err := row(r)
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", i+1, err)
		}
		out = append(out, v)
	}
	return out, nil
}

// whole reads a column of whole numbers that are not negative.
func (r record) whole(name string) (int, error) {
	n, err := strconv.Atoi(r[name])
	if err != nil || n < 0 {
		return 0, fmt.Errorf("%w: %s is %q", ErrTable, name, r[name])
	}
	return n, nil
}

// wholes reads several.
func (r record) wholes(names ...string) ([]int, error) {
	out := make([]int, len(names))
	for i, name := range names {
		n, err := r.whole(name)
		if err != nil {
			return nil, err
		}
		out[i] = n
	}
	return out, nil
}

// list is the phrases of a column as they are written.
func (r record) list(name string) []string {
	if r[name] == "" {
		return nil
	}
	return strings.Split(r[name], "|")
}

// phrases is a set of phrases in the form in which they are compared.
type phrases [][]string

func phrasesOf(list []string) phrases {
	var out phrases
	for _, p := range list {
		out = append(out, tokens(p))
	}
	return out
}

// in tells whether any of the phrases stands in the words.
func (p phrases) in(words []string) bool {
	return slices.ContainsFunc(p, func(phrase []string) bool { return contains(words, phrase) })
}

// condition tells which words a row is for: it is found by one of its words, unless
// one of others stands with it, and where it has a list of only, when nothing but those
// stands with it (a dish made with milk does not keep as milk does).
type condition struct {
	words, unless phrases
	only          map[string]bool
}

func conditionOf(r record) condition {
	c := condition{words: phrasesOf(r.list("words")), unless: phrasesOf(r.list("unless"))}
	if list := r.list("only"); list != nil {
		c.only = map[string]bool{}
		for _, w := range list {
			c.only[singular(w)] = true
		}
	}
	return c
}

// apply tells whether the condition holds in any of the clauses.
func (c condition) apply(clauses [][]string) bool {
	return slices.ContainsFunc(clauses, func(words []string) bool {
		return c.words.in(words) && !c.unless.in(words) && c.alone(words)
	})
}

func (c condition) alone(words []string) bool {
	return c.only == nil || !slices.ContainsFunc(words, func(w string) bool { return !c.only[w] })
}

// clauses splits a text at commas, semicolons, line ends, "and", "or", "plus", & and +,
// and each part into its words, so that what is said of one food excuses no other.
func clauses(text string) [][]string {
	var out [][]string
	for _, part := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(",;&+/\n", r) }) {
		var words []string
		for _, w := range tokens(part) {
			if w != "and" && w != "or" && w != "plus" {
				words = append(words, w)
				continue
			}
			out = append(out, words)
			words = nil
		}
		out = append(out, words)
	}
	return out
}

func contains(words, phrase []string) bool {
	for i := 0; i+len(phrase) <= len(words); i++ {
		if slices.Equal(words[i:i+len(phrase)], phrase) {
			return true
		}
	}
	return false
}

// tokens splits a text into its words, in lower case and as singulars. An apostrophe
// is dropped, all else that is no letter parts words.
func tokens(text string) []string {
	text = strings.NewReplacer("'", "", "\u2019", "").Replace(strings.ToLower(text))
	words := strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) })
	for i, w := range words {
		words[i] = singular(w)
	}
	return words
}

// singular takes the plural ending off, the same way in the tables and in what is
// asked; it need not be good English.
func singular(w string) string {
	switch {
	case len(w) <= 3 || strings.HasSuffix(w, "ss"), strings.HasSuffix(w, "us"):
		return w
	case strings.HasSuffix(w, "ies") && len(w) > 4:
		return w[:len(w)-3] + "y"
	case strings.HasSuffix(w, "oes"), strings.HasSuffix(w, "shes"), strings.HasSuffix(w, "ches"), strings.HasSuffix(w, "xes"):
		return w[:len(w)-2]
	case strings.HasSuffix(w, "s"):
		return w[:len(w)-1]
	}
	return w
}

// celsius converts °F to °C.
func celsius(f float64) float64 { return (f - 32) * 5 / 9 }

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
