// Package starter reckons with a sourdough starter: what to feed, when it peaks,
// when it is hungry, and the dough it raises.
//
// Weights are grams, temperatures degrees Celsius, times hours. Hydration is water
// over flour by weight, so 1 is 100 %. The main types are Jar, Ratio and Feed. The
// package reads no clock and imports nothing of the project.
//
// The feeding formulas are arithmetic on those definitions. The growth of the yeast
// follows the cardinal temperatures given by the first author of Gänzle, Ehmann and
// Hammes, Appl. Environ. Microbiol. 64(7):2616-2623 (1998), in a public baking FAQ;
// the anchor in hours, the rhythm and the bounds of doughs are common practice.
package starter

import (
	"errors"
	"fmt"
	"math"
)

// MaxHydration is the wettest starter or dough that is believed; more is most
// likely a percentage given as it stands.
const MaxHydration = 5.0

const (
	maxGrams = 1e6
	minPart  = 1e-3
	maxPart  = 1e6
	// tiny is the share of a weight that is taken for rounding.
	tiny = 1e-9
)

var (
	// ErrInput is returned for a figure that is no number or out of its range.
	ErrInput = errors.New("starter: figure out of range")
	// ErrTooLittle is returned when the ratio wants more old starter than is there;
	// a TooLittleError in the chain says how much.
	ErrTooLittle = errors.New("starter: too little old starter")
	// ErrTooMuch is returned when there is more starter, or more flour or water in
	// it, than the whole is to hold.
	ErrTooMuch = errors.New("starter: too much old starter")
)

// TooLittleError says how much old starter a feed wants. It is an ErrTooLittle.
type TooLittleError struct {
	Wanted float64 // g of old starter that the ratio takes
	Have   float64 // g there
}

// Error names both weights.
func (e *TooLittleError) Error() string {
	return fmt.Sprintf("%v: %.1f g wanted, %.1f g there", ErrTooLittle, e.Wanted, e.Have)
}

// Unwrap gives ErrTooLittle.
func (e *TooLittleError) Unwrap() error { return ErrTooLittle }

// Jar is starter of one hydration.
type Jar struct {
	Grams     float64 // 0 to 1,000,000
	Hydration float64 // water over flour by weight, 0 to MaxHydration: 1 is 100 %
}

// Flour is the flour in the jar, g.
func (j Jar) Flour() float64 { return j.Grams / (1 + j.Hydration) }

// Water is the water in the jar, g.
func (j Jar) Water() float64 { return j.Grams - j.Flour() }

func (j Jar) check() error {
	if err := within("grams", j.Grams, 0, maxGrams); err != nil {
		return err
	}
	return within("hydration", j.Hydration, 0, MaxHydration)
}

// jarOf is the jar of so much flour and water.
func jarOf(flour, water float64) (Jar, error) {
	if flour <= 0 {
		return Jar{}, fmt.Errorf("%w: no flour", ErrInput)
	}
	j := Jar{Grams: flour + water, Hydration: water / flour}
	return j, j.check()
}

// Ratio is a feed as parts by weight in the usual order: old starter, flour, water.
// Starter and Flour are 0.001 to 1,000,000, Water is 0 or more and at most
// MaxHydration times Flour. Only their proportion counts.
type Ratio struct{ Starter, Flour, Water float64 }

func (r Ratio) check() error {
	if err := within("starter part", r.Starter, minPart, maxPart); err != nil {
		return err
	}
	if err := within("flour part", r.Flour, minPart, maxPart); err != nil {
		return err
	}
	return within("water part", r.Water, 0, MaxHydration*r.Flour)
}

func (r Ratio) sum() float64 { return r.Starter + r.Flour + r.Water }

// growth is how many times its weight the old starter becomes.
func (r Ratio) growth() float64 { return r.sum() / r.Starter }

// Feed is one feed, in grams. Old, Flour and Water make up Total.
type Feed struct {
	Old     float64 // old starter taken
	Flour   float64 // fresh flour
	Water   float64 // fresh water
	Total   float64 // all that is mixed: what is needed and what is kept
	Discard float64 // old starter left over
	After   Jar     // what is kept once the needed part is taken
}

// Ratio is the feed as parts of one part of old starter. Without old starter it is
// the zero Ratio, which nothing here accepts.
func (f Feed) Ratio() Ratio {
	if f.Old <= 0 {
		return Ratio{}
	}
	return Ratio{1, f.Flour / f.Old, f.Water / f.Old}
}

// Build feeds at the ratio so that need grams can be used and keep grams stay in
// the jar. Need and keep are 0 or more and not both 0. It returns ErrTooLittle when
// the ratio takes more than there is.
//
// One part is (need + keep) / (s + f + w).
func Build(have Jar, need, keep float64, r Ratio) (Feed, error) {
	total, err := wanted(have, need, keep)
	if err != nil {
		return Feed{}, err
	}
	if err := r.check(); err != nil {
		return Feed{}, err
	}
	part := total / r.sum()
	old := part * r.Starter
	if old > have.Grams*(1+tiny) {
		return Feed{}, &TooLittleError{Wanted: old, Have: have.Grams}
	}
	return feed(have, old, part*r.Flour, part*r.Water, keep), nil
}

// FromAll feeds all that is there to the hydration asked, so that need grams can be
// used and keep grams stay. Need and keep are 0 or more and not both 0. It returns
// ErrTooMuch when the jar already holds more flour or more water than the whole is
// to hold, and ErrInput when the jar is empty.
//
// New flour is T/(1+h) less the flour in the jar, new water T·h/(1+h) less the water
// in it, with T = need + keep.
func FromAll(have Jar, need, keep, hydration float64) (Feed, error) {
	total, err := wanted(have, need, keep)
	if err != nil {
		return Feed{}, err
	}
	if err := within("hydration", hydration, 0, MaxHydration); err != nil {
		return Feed{}, err
	}
	if err := within("grams", have.Grams, minPart, maxGrams); err != nil {
		return Feed{}, err
	}
	whole := Jar{Grams: total, Hydration: hydration}
	flour, water := whole.Flour()-have.Flour(), whole.Water()-have.Water()
	if flour < -tiny*total || water < -tiny*total {
		return Feed{}, fmt.Errorf("%w: %.1f g of flour and %.1f g of water to add", ErrTooMuch, flour, water)
	}
	return feed(have, have.Grams, max(flour, 0), max(water, 0), keep), nil
}

// wanted checks the jar and the weights, and is need and keep together.
func wanted(have Jar, need, keep float64) (float64, error) {
	if err := have.check(); err != nil {
		return 0, err
	}
	if err := within("need", need, 0, maxGrams); err != nil {
		return 0, err
	}
	if err := within("keep", keep, 0, maxGrams); err != nil {
		return 0, err
	}
	total := need + keep
	return total, within("need and keep together", total, minPart, maxGrams)
}

// feed is the feed of checked weights; there is flour in it.
func feed(have Jar, old, flour, water, keep float64) Feed {
	part := Jar{Grams: old, Hydration: have.Hydration}
	hydration := (part.Water() + water) / (part.Flour() + flour)
	return Feed{
		Old: old, Flour: flour, Water: water, Total: old + flour + water,
		Discard: max(have.Grams-old, 0),
		After:   Jar{Grams: keep, Hydration: min(hydration, MaxHydration)},
	}
}

// Steps is how many feeds bring have grams to total grams when one feed multiplies
// the weight by at most limit (1:5:5 is 11), and what each of them multiplies it by
// when all are alike. Nothing is wanted, n = 0 and each = 1, when have is enough.
// Have and total are more than 0, limit is 1.1 to 1,000.
//
// n = ceil(ln(T/A) / ln r).
func Steps(have, total, limit float64) (n int, each float64, err error) {
	if err := within("grams", have, minPart, maxGrams); err != nil {
		return 0, 0, err
	}
	if err := within("total", total, minPart, maxGrams); err != nil {
		return 0, 0, err
	}
	if err := within("limit", limit, 1.1, 1000); err != nil {
		return 0, 0, err
	}
	if total <= have {
		return 0, 1, nil
	}
	feeds := max(math.Ceil(math.Log(total/have)/math.Log(limit)-tiny), 1)
	return int(feeds), math.Pow(total/have, 1/feeds), nil
}

// Rehydrate is the flour or the water, g, that brings the jar to the hydration
// asked, more than 0 and at most MaxHydration; one of the two is 0.
func Rehydrate(have Jar, hydration float64) (flour, water float64, err error) {
	if err := have.check(); err != nil {
		return 0, 0, err
	}
	if err := within("hydration", hydration, minPart, MaxHydration); err != nil {
		return 0, 0, err
	}
	if have.Hydration > hydration {
		return max(have.Water()/hydration-have.Flour(), 0), 0, nil
	}
	return 0, max(have.Flour()*hydration-have.Water(), 0), nil
}

// within refuses what is no number or not from low to high.
func within(what string, got, low, high float64) error {
	if got >= low && got <= high {
		return nil
	}
	return fmt.Errorf("%w: %s %g is not %g to %g", ErrInput, what, got, low, high)
}
