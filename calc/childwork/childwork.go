// Package childwork says which work is never a child's, from what age other work
// is usual, and who stands by. It reads what a piece of work is called; the table
// beside it names its sources. The ages are usual ones: a household may want
// somebody older, and no household can lift what is never a child's.
package childwork

import (
	"slices"
	"strings"
	"unicode"
)

// Adult is the age from which nothing is kept from anybody here. The law of most
// places draws the line for farm work at 16; 18 is this program's choice.
const Adult = 18

// Youngest is the age below which no work is usual at all.
const Youngest = 5

// Verdict is what the table says of a piece of work.
type Verdict struct {
	Never bool   // whatever the age under Adult
	Tag   string // the hazard: lye, machine, height; empty for work with an age
	Least int    // the usual least age in years
	What  string // what the table calls it; empty for work that it does not know
}

// Judge says what the table knows of a piece of work by the words of its name. A
// hazard goes before an age, the higher age before the lower. Work that it does not
// know is usual from Youngest.
func Judge(name string) Verdict {
	words := wordsOf(name)
	found := Verdict{Least: Youngest}
	for _, w := range words {
		for _, stem := range stems(w) {
			for _, r := range table().byFirst[stem] {
				if r.stricter(found) && r.fits(words) {
					found = Verdict{Never: r.Tag != "", Tag: r.Tag, Least: r.Least, What: r.What}
				}
			}
		}
	}
	return found
}

// stricter reports that a row says more than what was found: a hazard (all of which
// have the age of an adult), a higher age, or anything at all.
func (r row) stricter(than Verdict) bool { return r.Least > than.Least || than.What == "" }

// Never reports work that is never a child's.
func Never(name string) bool { return Judge(name).Never }

// StandBy says how near an adult is to be while a child of an age does work that
// suits it; empty for an adult.
func StandBy(age int) string {
	switch {
	case age >= Adult:
		return ""
	case age >= 16:
		return "once shown and approved for it"
	case age >= 14:
		return "with a look in each half hour"
	case age >= 11:
		return "an adult within call"
	case age >= 8:
		return "an adult in sight or earshot"
	}
	return "an adult beside"
}

// fits reports that every group of the row has one of its words in the name, and
// that none of the words is there that make it something else.
func (r row) fits(words []string) bool {
	if anyIn(words, r.not) {
		return false
	}
	return !slices.ContainsFunc(r.groups, func(group []string) bool { return !anyIn(words, group) })
}

// anyIn reports that one of some patterns is in the words: a word in any of its
// forms, or several in a row, joined by underscores.
func anyIn(words, patterns []string) bool {
	return slices.ContainsFunc(patterns, func(p string) bool {
		parts := strings.Split(p, "_")
		for i := 0; i+len(parts) <= len(words); i++ {
			if sameForms(words[i:i+len(parts)], parts) {
				return true
			}
		}
		return false
	})
}

func sameForms(words, parts []string) bool {
	for i, p := range parts {
		if !slices.Contains(stems(words[i]), p) {
			return false
		}
	}
	return true
}

func wordsOf(name string) []string {
	return strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) && r != '\'' })
}

// stems are a word as it is and without the endings that it may have got: hens,
// matches, chopping, milking, carries, frying.
func stems(w string) []string {
	w = strings.TrimSuffix(strings.ReplaceAll(w, "’", "'"), "'s")
	out := []string{w}
	for _, end := range []string{"s", "es", "ing", "ed", "er"} {
		s, ok := strings.CutSuffix(w, end)
		if !ok || len(s) < 2 {
			continue
		}
		out = append(out, s)
		if end == "ing" || end == "ed" {
			out = append(out, s+"e")
			if n := len(s); n > 2 && s[n-1] == s[n-2] {
				out = append(out, s[:n-1])
			}
		}
		if t, ok := strings.CutSuffix(s, "i"); ok {
			out = append(out, t+"y")
		}
	}
	return out
}
