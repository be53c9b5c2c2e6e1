package flock

import (
	_ "embed"
	"fmt"
)

// System is a market's classes of egg.
type System string

// The systems.
const (
	US System = "US" // by the dozen, USDA AMS 56
	EU System = "EU" // by the egg, Regulation (EC) 589/2008
)

// Size is a weight class.
type Size struct {
	System  System
	Class   string
	Grams   float64 // least mean weight of an egg, g
	OzDozen float64 // least weight of a dozen, oz; 0 in the EU
	Source  string
	Mark    string
}

//go:embed sizes.csv
var sizesCSV string

var sizes = load("sizes.csv", &sizesCSV, func(r record) (Size, error) {
	n, err := r.numbers("grams", "oz_dozen")
	if err != nil {
		return Size{}, err
	}
	return Size{System: System(r["system"]), Class: r["class"], Grams: n[0], OzDozen: n[1], Source: r["source"], Mark: r["mark"]}, nil
})

// Sizes are the classes of a system, the largest first; none for an unknown one.
func Sizes(s System) []Size {
	var out []Size
	for _, z := range sizes() {
		if z.System == s {
			out = append(out, z)
		}
	}
	return out
}

// gramsPerOz is the avoirdupois ounce.
const gramsPerOz = 28.349523125

// SizeOf is the class of eggs that weigh so many grams each, shell and all. The US class
// is that of a dozen together, so give the mean of several. ErrDays for a weight no hen's
// egg has (10 to 200 g), an unknown system, and US eggs under Peewee.
func SizeOf(s System, grams float64) (Size, error) {
	if !(grams >= 10 && grams <= 200) {
		return Size{}, fmt.Errorf("%w: an egg of %g g", ErrDays, grams)
	}
	for _, z := range Sizes(s) {
		least := z.Grams
		if z.OzDozen > 0 {
			least = z.OzDozen * gramsPerOz / 12
		}
		if grams >= least {
			return z, nil
		}
	}
	return Size{}, fmt.Errorf("%w: no %s class for eggs of %g g", ErrDays, s, grams)
}

// Keep is how long eggs keep, in days from laying.
type Keep struct {
	What      string
	Low, High int
	Note      string
	Source    string
	Mark      string
}

//go:embed keep.csv
var keepCSV string

var keeps = load("keep.csv", &keepCSV, func(r record) (Keep, error) {
	n, err := r.wholes("days_low", "days_high")
	if err != nil {
		return Keep{}, err
	}
	return Keep{What: r["what"], Low: n[0], High: n[1], Note: r["note"], Source: r["source"], Mark: r["mark"]}, nil
})

// Keeping is how long eggs keep, by what they are for.
func Keeping() []Keep { return append([]Keep(nil), keeps()...) }
