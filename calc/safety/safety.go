// Package safety states the limits of food safety: how hot inside, how long kept, how
// fast cooled, how long out of the refrigerator, what to discard after a power cut.
// It states them as their sources do and never softens, averages or extends them; of
// two limits that apply, the stricter comes first. It declares no doubtful food safe:
// what it does not know it does not answer. Temperatures are °C (with °F beside, as
// the sources have it), lengths are time.Duration; it reads no clock.
//
// Sources: the US Food Safety and Inspection Service (FSIS), the FDA Food Code, the
// USDA Complete Guide to Home Canning, university extension services. Each row says
// which, and by its mark whether the source was read, read in a copy, or is from
// memory.
package safety

import (
	"cmp"
	"errors"
	"slices"
	"time"
)

// Errors of this package; the returned error wraps one of them and says what was wrong.
var (
	ErrReading = errors.New("temperature reading")
	ErrTime    = errors.New("length of time")
	ErrHeight  = errors.New("height above the sea")
	ErrTable   = errors.New("food safety table")
)

// Doubt is what to say whenever a food is in doubt.
const Doubt = "When in doubt, throw it out."

// Cook is the least temperature inside a food.
type Cook struct {
	Food   string
	Also   []string // the words by which the row is found
	C, F   float64  // °C and °F; both 0 where Note tells the sign instead (shellfish)
	Rest   time.Duration
	Note   string
	Source string
	Mark   string

	when condition
}

// ByThermometer tells whether the food has a temperature to reach; without, Note
// tells the sign.
func (c Cook) ByThermometer() bool { return c.F > 0 }

var cooks = load("cook.csv", &cookCSV, func(r record) (Cook, error) {
	n, err := r.wholes("f", "rest_min")
	if err != nil {
		return Cook{}, err
	}
	c := Cook{
		Food: r["food"], Also: r.list("words"), F: float64(n[0]), Rest: time.Duration(n[1]) * time.Minute,
		Note: r["note"], Source: r["source"], Mark: r["mark"],
		when: conditionOf(r),
	}
	if c.F > 0 {
		c.C = celsius(c.F)
	}
	return c, nil
})

// Cooks returns the whole chart, the hottest first.
func Cooks() []Cook {
	return hottestFirst(slices.Clone(cooks()))
}

// Internal returns the least inside temperatures of what the words name, by whole
// words ("chicken thighs", "stuffed turkey", "fish pie"), the hottest first: that is
// the one to go by. Foods joined by a comma or "and" are looked up one by one. Meat of
// no named cut counts as ground. False when nothing is
// known of it.
func Internal(words string) ([]Cook, bool) {
	asked := clauses(words)
	var out []Cook
	for _, c := range cooks() {
		if c.when.apply(asked) {
			out = append(out, c)
		}
	}
	return hottestFirst(out), len(out) > 0
}

func hottestFirst(cs []Cook) []Cook {
	slices.SortStableFunc(cs, func(a, b Cook) int { return cmp.Compare(b.F, a.F) })
	for i := range cs {
		cs[i].Also = slices.Clone(cs[i].Also)
	}
	return cs
}

// Keep is how long a food keeps at 4.4 °C (40 °F) or below, and how long it stays good
// at -17.8 °C (0 °F). The refrigerator's days are for safety, the freezer's months for
// quality only.
type Keep struct {
	Food                    string
	FridgeLow, FridgeHigh   int // days
	FreezerLow, FreezerHigh int // months; both 0: not for the freezer
	Note, Source, Mark      string

	when condition
}

var keeps = load("keep.csv", &keepCSV, func(r record) (Keep, error) {
	n, err := r.wholes("fridge_low", "fridge_high", "freezer_low", "freezer_high")
	if err != nil {
		return Keep{}, err
	}
	return Keep{
		Food: r["food"], FridgeLow: n[0], FridgeHigh: n[1], FreezerLow: n[2], FreezerHigh: n[3],
		Note: r["note"], Source: r["source"], Mark: r["mark"],
		when: conditionOf(r),
	}, nil
})

// Keeps returns the whole chart, the shortest keeping first.
func Keeps() []Keep { return shortestFirst(slices.Clone(keeps())) }

// Storage returns how long that which the words name keeps, by whole words, the
// shortest first: that is the one to go by. Foods joined by a comma or "and" are
// looked up one by one. A meat said to be neither raw nor cooked
// gets both. False when nothing is known of it.
func Storage(words string) ([]Keep, bool) {
	asked := clauses(words)
	var out []Keep
	for _, k := range keeps() {
		if k.when.apply(asked) {
			out = append(out, k)
		}
	}
	return shortestFirst(out), len(out) > 0
}

func shortestFirst(ks []Keep) []Keep {
	slices.SortStableFunc(ks, func(a, b Keep) int {
		return cmp.Or(cmp.Compare(a.FridgeHigh, b.FridgeHigh), cmp.Compare(a.FridgeLow, b.FridgeLow))
	})
	return ks
}

// Rule is a caution that belongs to an ingredient or a way of cooking.
type Rule struct {
	Name   string
	When   []string // the words that call for it
	Text   string
	Source string
	Mark   string

	words phrases
}

var rules = load("rules.csv", &rulesCSV, func(r record) (Rule, error) {
	when := r.list("when")
	return Rule{Name: r["name"], When: when, Text: r["text"], Source: r["source"], Mark: r["mark"], words: phrasesOf(when)}, nil
})

// Rules returns the cautions that belong to the words of a dish, its ingredients and
// its method, in the order of the table; none when no word calls for one.
func Rules(words string) []Rule {
	asked := tokens(words)
	var out []Rule
	for _, r := range rules() {
		if r.words.in(asked) {
			r.When = slices.Clone(r.When)
			out = append(out, r)
		}
	}
	return out
}
