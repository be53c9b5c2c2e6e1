package scaling

import (
	"errors"
	"fmt"
)

// ErrDough is wrapped when amounts are in range but make no dough.
var ErrDough = errors.New("no dough")

// Role is what an ingredient counts as in a dough.
type Role int

// The roles of ingredients.
const (
	Other   Role = iota // salt, fat, seeds
	Flour               // every flour and meal
	Water               // water, or what counts as water
	Starter             // sourdough or another preferment: flour and water
)

// Part is one ingredient of a dough as it goes into the bowl: its amount in
// grams (Bakers, ForDough, ForFlour) or in percent of all flour (Formula).
type Part struct {
	Name   string
	Role   Role
	Amount float64
	// Hydration of a starter: its water in percent of its flour; 100 is equal
	// weights. 0 to 1000, and of no meaning for another role.
	Hydration float64
}

// flour is how much of the part is flour.
func (p Part) flour() float64 {
	switch p.Role {
	case Flour:
		return p.Amount
	case Starter:
		return p.Amount / (1 + p.Hydration/100)
	}
	return 0
}

// water is how much of the part is water.
func (p Part) water() float64 {
	switch p.Role {
	case Water:
		return p.Amount
	case Starter:
		return p.Amount - p.flour()
	}
	return 0
}

// Formula is a dough by baker's percentage: each part in percent of all flour,
// that in the starter included (common practice).
type Formula struct {
	Parts        []Part
	Sum          float64 // of the parts: dough in percent of all flour
	Hydration    float64 // all water, that in the starter included, in percent
	Prefermented float64 // flour in the starter in percent of all flour
}

const (
	maxGrams   = 1_000_000 // a tonne
	maxPercent = 1000
)

// Bakers turns grams into percent of all flour. Each amount has to be above 0
// to 1,000,000 g, each name to be there once, and some flour to be among them.
func Bakers(grams []Part) (Formula, error) {
	if err := checkParts(grams); err != nil {
		return Formula{}, err
	}
	var flour float64
	for _, p := range grams {
		flour += p.flour()
	}
	if err := above("flour", flour, maxGrams); err != nil {
		return Formula{}, fmt.Errorf("%w: %w", ErrDough, err)
	}
	var f Formula
	for _, p := range grams {
		p.Amount *= 100 / flour
		f.add(p)
	}
	return f, nil
}

func checkParts(parts []Part) error {
	seen := map[string]bool{}
	for _, p := range parts {
		if p.Name == "" || seen[p.Name] {
			return fmt.Errorf("part %q without a name or there twice: %w", p.Name, ErrDough)
		}
		seen[p.Name] = true
		if p.Role < Other || p.Role > Starter {
			return fmt.Errorf("%s, role %d: %w", p.Name, p.Role, ErrRange)
		}
		if err := above(p.Name, p.Amount, maxGrams); err != nil {
			return err
		}
		if p.Role != Starter {
			continue
		}
		if err := inRange(p.Name+", hydration", p.Hydration, 0, maxPercent); err != nil {
			return err
		}
	}
	return nil
}

// add takes in one part in percent.
func (f *Formula) add(p Part) {
	f.Parts = append(f.Parts, p)
	f.Sum += p.Amount
	f.Hydration += p.water()
	if p.Role == Starter {
		f.Prefermented += p.flour()
	}
}

// SourdoughFormula is the formula of a plain dough in percent of all flour: all
// its water (hydration, above 0 to 200), salt (0 to 10), and starter (0 to 200)
// with its own hydration (0 to 1000). The flour and water that the starter brings
// are left out of what is added; a starter that brings more than there should be
// is an ErrDough.
func SourdoughFormula(hydration, salt, starter, starterHydration float64) (Formula, error) {
	for _, err := range []error{
		above("hydration", hydration, 200), inRange("salt", salt, 0, 10),
		inRange("starter", starter, 0, 200), inRange("starter hydration", starterHydration, 0, maxPercent),
	} {
		if err != nil {
			return Formula{}, err
		}
	}
	levain := Part{Name: "starter", Role: Starter, Amount: starter, Hydration: starterHydration}
	flour, water := 100-levain.flour(), hydration-levain.water()
	if flour < 0 || water < 0 {
		return Formula{}, fmt.Errorf("%g %% starter brings too much: %w", starter, ErrDough)
	}
	var f Formula
	for _, p := range []Part{{"flour", Flour, flour, 0}, {"water", Water, water, 0}, {"salt", Other, salt, 0}, levain} {
		if p.Amount > 0 {
			f.add(p)
		}
	}
	return f, nil
}

// ForFlour returns the grams of each part for so many grams of flour in all,
// that in the starter included: above 0 to 1,000,000.
func (f Formula) ForFlour(grams float64) ([]Part, error) {
	if err := above("flour", grams, maxGrams); err != nil {
		return nil, err
	}
	if err := f.check(); err != nil {
		return nil, err
	}
	out := make([]Part, len(f.Parts))
	for i, p := range f.Parts {
		p.Amount *= grams / 100
		out[i] = p
	}
	return out, nil
}

// ForDough returns the grams of each part for so many grams of dough: above 0
// to 1,000,000.
func (f Formula) ForDough(grams float64) ([]Part, error) {
	if err := above("dough", grams, maxGrams); err != nil {
		return nil, err
	}
	if err := f.check(); err != nil {
		return nil, err
	}
	return f.ForFlour(grams * 100 / f.sum())
}

func (f Formula) sum() float64 {
	var sum float64
	for _, p := range f.Parts {
		sum += p.Amount
	}
	return sum
}

// check refuses a formula whose flour is not 100 %.
func (f Formula) check() error {
	if err := checkParts(f.Parts); err != nil {
		return err
	}
	var flour float64
	for _, p := range f.Parts {
		flour += p.flour()
	}
	if flour < 99.999 || flour > 100.001 {
		return fmt.Errorf("flour is %g %% of the flour: %w", flour, ErrDough)
	}
	return nil
}
