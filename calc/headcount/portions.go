package headcount

import (
	"errors"
	"fmt"
	"slices"
	"sync"
)

// ErrPortion is returned for a food of which no portion is known.
var ErrPortion = errors.New("headcount: no such portion")

// Serving is how much of a food to plan for one adult equivalent.
type Serving struct {
	What      string
	Low, High float64
	Unit      string // oz and lb by weight, cup the US cup
	Source    string
}

var servings = sync.OnceValue(func() []Serving {
	s, err := readPortions(portionsCSV)
	if err != nil {
		panic(err) // the file is part of the program; TestTables reads it
	}
	return s
})

// Portion is how much of a food to plan for one adult equivalent; common practice.
// It returns ErrPortion for a food that Portions does not list.
func Portion(what string) (Serving, error) {
	for _, s := range servings() {
		if s.What == what {
			return s, nil
		}
	}
	return Serving{}, fmt.Errorf("%w: %q", ErrPortion, what)
}

// Portions is all that Portion knows, in the order of the table.
func Portions() []Serving { return slices.Clone(servings()) }

// readPortions reads a table with the columns what, low, high, unit, source and mark.
func readPortions(text string) ([]Serving, error) {
	rows, err := records(text, 6)
	if err != nil {
		return nil, err
	}
	var out []Serving
	for _, r := range rows {
		s, err := readServing(r)
		if err != nil {
			return nil, err
		}
		if slices.ContainsFunc(out, func(o Serving) bool { return o.What == s.What }) {
			return nil, fmt.Errorf("%w: %q is there twice", ErrInput, s.What)
		}
		out = append(out, s)
	}
	return out, nil
}

func readServing(r []string) (Serving, error) {
	low, err := number(r[1])
	if err != nil {
		return Serving{}, err
	}
	high, err := number(r[2])
	if err != nil {
		return Serving{}, err
	}
	if low == 0 || high < low {
		return Serving{}, fmt.Errorf("%w: %q from %g to %g", ErrInput, r[0], low, high)
	}
	if !slices.Contains([]string{"oz", "lb", "cup"}, r[3]) {
		return Serving{}, fmt.Errorf("%w: unit %q", ErrInput, r[3])
	}
	return Serving{What: r[0], Low: low, High: high, Unit: r[3], Source: r[4]}, nil
}
