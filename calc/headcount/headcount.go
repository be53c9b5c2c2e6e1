// Package headcount reckons how many portions a table eats, in adult equivalents: 1
// is 2,000 kcal a day, the reference intake on US food labels (21 CFR 101.9).
//
// The main type is Eater. Energy is that of energy_by_age.csv, Dietary Guidelines
// for Americans 2020-2025, Appendix 2. It scales the calorie-dense part of a meal;
// vegetables, fruit and milk change less from one person to the next. The package
// reads no clock and imports nothing of the project.
package headcount

import (
	"errors"
	"fmt"
)

// Reference is the energy of one adult equivalent, kcal a day.
const Reference = 2000.0

// Adult equivalents of guests of whom nothing is known (common practice).
const (
	GuestAdult = 1.0
	GuestChild = 0.75 // under 12 years
)

// Heavy work, haying, fencing or cutting wood, adds 10 to 25 % to an active day
// (common practice); the middle is reckoned with.
const (
	heavyLow  = 1.10
	heavyMean = 1.175
	heavyHigh = 1.25
)

// The bounds of an appetite. A tenth of the usual is the least that is cooked for.
const (
	minAppetite = 0.1
	maxAppetite = 5.0
)

// maxPortions is more than any kitchen of a household serves.
const maxPortions = 1e5

var (
	// ErrInfant is returned for a child under one year: milk, and no share of the pot.
	ErrInfant = errors.New("headcount: no portion under one year")
	// ErrEater is returned for a person who cannot be.
	ErrEater = errors.New("headcount: eater")
	// ErrInput is returned for an amount that is no number or out of range.
	ErrInput = errors.New("headcount: amount out of range")
)

// Sex is what the energy table tells apart; Unknown is the mean of both.
type Sex uint8

// The sexes.
const (
	Unknown Sex = iota
	Male
	Female
)

// Activity is how much a person moves in the words of the Dietary Guidelines.
type Activity uint8

// The activities.
const (
	Sedentary Activity = iota // only the light activity of daily life
	Moderate                  // that and about 1.5 to 3 miles of walking a day
	Active                    // that and more than 3 miles of walking a day
)

// Eater is a person at the table.
type Eater struct {
	Age      int // whole years, 1 to 120
	Sex      Sex
	Activity Activity
	Appetite float64 // against others alike, 0.1 to 5; 0, not set, is 1
	Heavy    bool    // a day of haying, fencing or cutting wood, whatever the activity

	// Of women of 14 to 50 years. Sex may be Unknown and is then Female.
	Expecting int // trimester 1 to 3, 0 when not
	Nursing   int // half-year of nursing 1 or 2, 0 when not
}

// Energy is what a person eats in a day, kcal, appetite aside. For unknown sex it is
// the mean of both, for heavy work 17.5 % over an active day; EquivalentRange has
// the range. Expecting and nursing add to that. It returns ErrInfant under one year
// and ErrEater for a person who cannot be.
func Energy(e Eater) (float64, error) {
	low, high, err := bounds(e, heavyMean, heavyMean)
	return (low + high) / 2, err
}

// Equivalent is a person in adult equivalents: Energy over Reference, times the
// appetite. It returns the errors of Energy.
func Equivalent(e Eater) (float64, error) {
	kcal, err := Energy(e)
	return kcal / Reference * e.appetite(), err
}

// EquivalentRange is the least and the most that Equivalent may be: low and high
// differ by unknown sex and by heavy work, 10 to 25 %, only. It returns the errors
// of Energy.
func EquivalentRange(e Eater) (low, high float64, err error) {
	low, high, err = bounds(e, heavyLow, heavyHigh)
	a := e.appetite()
	return low / Reference * a, high / Reference * a, err
}

// Factor is what to multiply a recipe by so that it serves those who eat now, the
// meals of leftovers and what is given away, all in adult equivalents of 0 to
// 100,000 and not all 0, when as written it serves more than 0. Round it up to
// whole pans; a batch to give away is best cooked in its own.
func Factor(now, leftovers, away, servings float64) (float64, error) {
	for _, v := range []float64{now, leftovers, away} {
		if !(v >= 0 && v <= maxPortions) {
			return 0, fmt.Errorf("%w: %g portions", ErrInput, v)
		}
	}
	if !(servings >= 0.01 && servings <= maxPortions) {
		return 0, fmt.Errorf("%w: a recipe for %g", ErrInput, servings)
	}
	sum := now + leftovers + away
	if sum == 0 {
		return 0, fmt.Errorf("%w: nobody to cook for", ErrInput)
	}
	return sum / servings, nil
}

func (e Eater) appetite() float64 {
	if e.Appetite == 0 {
		return 1
	}
	return e.Appetite
}

func (e Eater) check() error {
	if e.Age == 0 {
		return ErrInfant
	}
	if e.Age < 0 || e.Age > maxAge {
		return fmt.Errorf("%w: %d years", ErrEater, e.Age)
	}
	if e.Sex > Female || e.Activity > Active {
		return fmt.Errorf("%w: sex %d, activity %d", ErrEater, e.Sex, e.Activity)
	}
	if a := e.appetite(); !(a >= minAppetite && a <= maxAppetite) {
		return fmt.Errorf("%w: appetite %g is not %g to %g", ErrEater, e.Appetite, minAppetite, maxAppetite)
	}
	return e.checkAdded()
}

func (e Eater) checkAdded() error {
	if e.Expecting == 0 && e.Nursing == 0 {
		return nil
	}
	if e.Expecting < 0 || e.Expecting > 3 {
		return fmt.Errorf("%w: trimester %d", ErrEater, e.Expecting)
	}
	if e.Nursing < 0 || e.Nursing > 2 {
		return fmt.Errorf("%w: half-year of nursing %d", ErrEater, e.Nursing)
	}
	if e.Sex == Male || e.Age < minMother || e.Age > maxMother {
		return fmt.Errorf("%w: expecting or nursing is for women of %d to %d years", ErrEater, minMother, maxMother)
	}
	return nil
}

// bounds is the least and the most energy, kcal, with the factors for heavy work.
func bounds(e Eater, heavyLow, heavyHigh float64) (low, high float64, err error) {
	if err := e.check(); err != nil {
		return 0, 0, err
	}
	if e.Heavy {
		e.Activity = Active
	} else {
		heavyLow, heavyHigh = 1, 1
	}
	added := addedFor(e)
	if e.Sex == Unknown && (e.Expecting > 0 || e.Nursing > 0) {
		e.Sex = Female
	}
	if e.Sex != Unknown {
		kcal := daily(e.Age, e.Sex, e.Activity)
		return kcal*heavyLow + added, kcal*heavyHigh + added, nil
	}
	m, f := daily(e.Age, Male, e.Activity), daily(e.Age, Female, e.Activity)
	return min(m, f) * heavyLow, max(m, f) * heavyHigh, nil
}
