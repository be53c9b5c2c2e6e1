// Package food says what an ingredient weighs, what of it is lost in the kitchen,
// what it holds that some may not eat, and how amounts of it add up for the shop.
// Masses are grams, volumes US teaspoons, shares 0 to 1.
//
// The tables stand beside the code as CSV, one source for each row. SR28 is the USDA
// ARS National Nutrient Database for Standard Reference, Release 28 (2015); AMS the
// USDA Agricultural Marketing Service.
package food

import (
	_ "embed"
	"errors"
	"slices"
	"strings"
	"sync"
)

//go:embed ingredients.csv
var ingredientsCSV string

// ErrAmount is returned for an amount that is not a number, not finite or negative.
var ErrAmount = errors.New("amount")

// ErrShare is returned for a share that does not lie where it must, 0 to 1.
var ErrShare = errors.New("share")

// Food is one row of the table of ingredients. Its weights, by the cup and by the
// piece alike, are of the edible part: without peel, core, shell or bone.
type Food struct {
	Name string   // as the table has it, with its form: "black beans dry"
	Also []string // other names, each of which Find knows
	// PerCup, PerTbsp and PerTsp are grams in a US cup, tablespoon and teaspoon, 0 when
	// the table has none.
	PerCup, PerTbsp, PerTsp float64
	Each                    string  // which piece EachGrams weighs: "clove", "medium (no shell)"
	EachGrams               float64 // g, 0 when unknown
	Source, Mark            string  // where the weights are from, and how well that was seen
}

// foods is the table of ingredients in its own order.
var foods = sync.OnceValue(func() []Food {
	var out []Food
	for _, r := range read(ingredientsCSV) {
		out = append(out, Food{
			Name:   r["ingredient"],
			PerCup: number(r["g_per_cup"]), PerTbsp: number(r["g_per_tbsp"]), PerTsp: number(r["g_per_tsp"]),
			Each: r["each_name"], EachGrams: number(r["g_each"]),
			Source: r["source"], Mark: r["mark"],
		})
	}
	for i := range out {
		out[i].Also = alsoOf(out[i].Name)
	}
	return out
})

// byName leads from a name of the table to its row.
var byName = sync.OnceValue(func() map[string]Food {
	out := map[string]Food{}
	for _, f := range foods() {
		out[f.Name] = f
	}
	return out
})

// Foods returns every ingredient of the table, in its order.
func Foods() []Food {
	out := slices.Clone(foods())
	for i := range out {
		out[i].Also = slices.Clone(out[i].Also)
	}
	return out
}

// Named returns the ingredient of that name or other name; case does not matter. It
// returns false when the table has none. Find reads whole lines.
func Named(name string) (Food, bool) {
	name = strings.TrimSpace(name)
	same := func(other string) bool { return strings.EqualFold(name, other) }
	for _, f := range foods() {
		if same(f.Name) || slices.ContainsFunc(f.Also, same) {
			f.Also = slices.Clone(f.Also)
			return f, true
		}
	}
	return Food{}, false
}
