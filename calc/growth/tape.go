// Package growth weighs animals without scales, follows their growth, says what they
// dress and render to, and when what they give may be eaten after a treatment.
// Weights are kg and lengths cm unless a name says otherwise; it reads no clock. Its
// weights are estimates, never the ground for a dose.
package growth

import (
	_ "embed"
	"errors"
	"fmt"
	"slices"
	"strings"
)

//go:embed tape.csv
var tapeCSV string

// Units, exact by the international yard and pound of 1959.
const (
	KGPerPound = 0.45359237
	CMPerInch  = 2.54
)

// TapeBand is the share by which a weight by tape may be off; half of it is usual (extension).
const TapeBand = 0.10

// Errors of the tape.
var (
	ErrKind = errors.New("kind of animal")
	ErrTape = errors.New("measure by tape")
)

// Tape is how one kind of animal is measured.
type Tape struct {
	Kind          string // cattle, goat, sheep, pig, horse
	Words         []string
	Divisor       float64 // of girth² x length in inches, to pounds
	Girth, Length Range   // cm, what is believed
	PoorBelow     float64 // kg under which the formula fits poorly, 0 when it says nothing
	LengthFrom    string  // where the length is taken; the girth is close behind the forelegs
	Source, Mark  string
}

// Range is a lowest and a highest value.
type Range struct{ Low, High float64 }

// holds is false for NaN.
func (r Range) holds(x float64) bool { return x >= r.Low && x <= r.High }

var tapes = load("tape.csv", &tapeCSV, func(r *record) Tape {
	return Tape{
		Kind: r.needed("kind"), Words: r.list("words"), Divisor: r.number("divisor"),
		Girth:     Range{r.number("girth_min_cm"), r.number("girth_max_cm")},
		Length:    Range{r.number("length_min_cm"), r.number("length_max_cm")},
		PoorBelow: r.number("poor_below_kg"), LengthFrom: r.needed("length_from"),
		Source: r.needed("source"), Mark: r.needed("mark"),
	}
})

// Tapes returns the table in file order.
func Tapes() []Tape { return slices.Clone(tapes()) }

// TapeFor returns how the animal that a word names is measured: "goat", "gilt",
// "steer", in lower case.
func TapeFor(word string) (Tape, bool) {
	word = strings.ToLower(strings.TrimSpace(word))
	i := slices.IndexFunc(tapes(), func(t Tape) bool { return slices.Contains(t.Words, word) })
	if i < 0 {
		return Tape{}, false
	}
	return tapes()[i], true
}

// Estimate is a weight in kg with its band.
type Estimate struct {
	KG, Low, High float64
	Poor          bool // the animal is so light that the formula fits poorly
}

// GirthWeight returns the weight of an animal by its girth and length in cm. The error
// wraps ErrKind or ErrTape.
func GirthWeight(word string, girthCM, lengthCM float64) (Estimate, error) {
	t, ok := TapeFor(word)
	if !ok {
		return Estimate{}, fmt.Errorf("%w: no tape for %q; there is one for cattle, goats, sheep, pigs and horses", ErrKind, word)
	}
	if !t.Girth.holds(girthCM) {
		return Estimate{}, fmt.Errorf("%w: a girth of %.0f cm; %s have %.0f to %.0f cm", ErrTape, girthCM, t.Kind, t.Girth.Low, t.Girth.High)
	}
	if !t.Length.holds(lengthCM) {
		return Estimate{}, fmt.Errorf("%w: a length of %.0f cm; %s have %.0f to %.0f cm", ErrTape, lengthCM, t.Kind, t.Length.Low, t.Length.High)
	}
	girth, length := girthCM/CMPerInch, lengthCM/CMPerInch
	kg := girth * girth * length / t.Divisor * KGPerPound
	return Estimate{KG: kg, Low: kg * (1 - TapeBand), High: kg * (1 + TapeBand), Poor: kg < t.PoorBelow}, nil
}

// GirthWeightInches is GirthWeight for inches; the weight is kg all the same.
func GirthWeightInches(word string, girthIn, lengthIn float64) (Estimate, error) {
	return GirthWeight(word, girthIn*CMPerInch, lengthIn*CMPerInch)
}

// A girth alone serves for growing pigs that do not hold still: Kansas State Univ.,
// 100 pigs of 50 to 273 lb, lb = 10.1709 x inches - 205.7492, within 10 lb in
// nineteen of twenty (read in trade press, 2004).
const (
	pigSlope, pigOffset = 10.1709, 205.7492
	pigBand             = 10.0  // lb
	pigLightest         = 50.0  // lb
	pigHeaviest         = 273.0 // lb
)

// PigByGirth returns the weight of a growing pig by its girth alone in cm, for 50 to
// 273 lb (23 to 124 kg). The error wraps ErrTape.
func PigByGirth(girthCM float64) (Estimate, error) {
	lb := pigSlope*girthCM/CMPerInch - pigOffset
	if !(lb >= pigLightest && lb <= pigHeaviest) {
		low, high := (pigLightest+pigOffset)/pigSlope*CMPerInch, (pigHeaviest+pigOffset)/pigSlope*CMPerInch
		return Estimate{}, fmt.Errorf("%w: by girth alone a pig has %.0f to %.0f cm; measure the length too", ErrTape, low, high)
	}
	return Estimate{KG: lb * KGPerPound, Low: (lb - pigBand) * KGPerPound, High: (lb + pigBand) * KGPerPound}, nil
}
