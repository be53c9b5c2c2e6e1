package lye

import (
	"errors"
	"fmt"
	"math"
)

// Molar masses in g/mol (potassium hydroxide 56.1056, from weights with more
// digits than the abridged IUPAC ones, rounded up in the fifth figure), and the
// mass of sodium hydroxide that does the work of one gram of potassium
// hydroxide, in which saponification values are stated.
const (
	MolarNaOH  = 39.997
	MolarKOH   = 56.106
	NaOHPerKOH = MolarNaOH / MolarKOH // 0.712883
)

// Limits of what is computed. Concentrations are the share of lye in lye plus
// water, lye counted as weighed.
const (
	MaxSuperfat   = 0.40    // above this it is no longer soap (common practice)
	MinPurity     = 0.50    // weaker is not sold dry (common practice)
	MinFat        = 1e-9    // g; below it the arithmetic breaks down, no scale comes near
	MaxFat        = 500_000 // g; a household batch is far below
	MaxStrength   = 0.50    // equal masses of lye and water; NaOH dissolves to 52 % at 20 C
	WarnStrength  = 0.40    // above it crystals may form in a cool room
	WeakStrength  = 0.20    // below it soap stays soft and may separate
	FattySuperfat = 0.15    // above it soap is soft and may go rancid
)

// Portion is a mass of one fat.
type Portion struct {
	Fat   Fat
	Grams float64
}

// Errors of a recipe. Each is wrapped with the offending figure.
var (
	ErrNoFat    = errors.New("no fat given")
	ErrMass     = errors.New("mass out of range")
	ErrSuperfat = errors.New("superfat out of range")
	ErrPurity   = errors.New("purity out of range")
	ErrWater    = errors.New("water out of range")
)

// Demand is the pure sodium hydroxide, in grams, that a blend takes up in full:
// with every fat at the bottom of its natural range, typical, and at the top.
type Demand struct{ Low, Typical, High float64 }

// DemandOf sums F x SV / 1000 x 39.997/56.106 over the fats.
func DemandOf(fats []Portion) (Demand, error) {
	if len(fats) == 0 {
		return Demand{}, ErrNoFat
	}
	var d Demand
	for _, p := range fats {
		if !(p.Grams >= MinFat) || p.Grams > MaxFat {
			return Demand{}, fmt.Errorf("%w: %g g %s", ErrMass, p.Grams, p.Fat.Name)
		}
		k := p.Grams / 1000 * NaOHPerKOH
		d.Low += k * p.Fat.Min
		d.Typical += k * p.Fat.Typical
		d.High += k * p.Fat.Max
	}
	return d, nil
}

// TotalFat sums the masses in grams.
func TotalFat(fats []Portion) float64 {
	var sum float64
	for _, p := range fats {
		sum += p.Grams
	}
	return sum
}

// Lye returns the sodium hydroxide to weigh, in grams, for a superfat in
// [0, MaxSuperfat] and the purity of the lye as weighed in [MinPurity, 1].
func Lye(fats []Portion, superfat, purity float64) (float64, error) {
	if err := checkSettings(superfat, purity); err != nil {
		return 0, err
	}
	d, err := DemandOf(fats)
	if err != nil {
		return 0, err
	}
	return d.Typical * (1 - superfat) / purity, nil
}

func checkSettings(superfat, purity float64) error {
	if !(superfat >= 0 && superfat <= MaxSuperfat) {
		return fmt.Errorf("%w: %g", ErrSuperfat, superfat)
	}
	return checkPurity(purity)
}

func checkPurity(purity float64) error {
	if !(purity >= MinPurity && purity <= 1) {
		return fmt.Errorf("%w: %g", ErrPurity, purity)
	}
	return nil
}

// Band is the true superfat of a fixed amount of lye: with the fats at the
// bottom of their natural range, typical, and at the top. Negative is lye-heavy.
type Band struct{ Low, Typical, High float64 }

// BandOf returns 1 - lye x purity / demand at the three saponification values.
func BandOf(fats []Portion, lyeGrams, purity float64) (Band, error) {
	d, err := DemandOf(fats)
	if err != nil {
		return Band{}, err
	}
	if err := checkPurity(purity); err != nil {
		return Band{}, err
	}
	if !(lyeGrams > 0) || math.IsInf(lyeGrams, 0) {
		return Band{}, fmt.Errorf("%w: %g g lye", ErrMass, lyeGrams)
	}
	pure := lyeGrams * purity
	return Band{1 - pure/d.Low, 1 - pure/d.Typical, 1 - pure/d.High}, nil
}

// Verdict is how safe a band is. The classes are the household's policy.
type Verdict uint8

// The verdicts, worst first.
const (
	LyeHeavy   Verdict = iota + 1 // lye-heavy at the typical value: refused
	MayBeHeavy                    // safe at the typical value, lye-heavy at the low end
	WithinBand                    // safe over the whole natural range
	VeryFatty                     // safe, but over FattySuperfat at the typical value
)

// slack keeps a recipe at exactly zero from being lye-heavy by rounding.
const slack = 1e-9

// Verdict classes the band.
func (b Band) Verdict() Verdict {
	switch {
	case b.Typical < -slack:
		return LyeHeavy
	case b.Low < -slack:
		return MayBeHeavy
	case b.Typical > FattySuperfat+slack:
		return VeryFatty
	}
	return WithinBand
}

// SafeLye returns the most lye, in grams as weighed, that leaves no fat in its
// natural range lye-heavy.
func SafeLye(fats []Portion, purity float64) (float64, error) {
	d, err := DemandOf(fats)
	if err != nil {
		return 0, err
	}
	if err := checkPurity(purity); err != nil {
		return 0, err
	}
	return d.Low / purity, nil
}

// LeastSuperfat returns the superfat setting, on typical values, below which
// the blend could be lye-heavy.
func LeastSuperfat(fats []Portion) (float64, error) {
	d, err := DemandOf(fats)
	if err != nil {
		return 0, err
	}
	return 1 - d.Low/d.Typical, nil
}

// FatFor returns the grams of a blend, given in any proportion, that lyeGrams
// of lye can take at that superfat.
func FatFor(blend []Portion, lyeGrams, superfat, purity float64) (float64, error) {
	need, err := Lye(blend, superfat, purity)
	if err != nil {
		return 0, err
	}
	if !(lyeGrams > 0) || math.IsInf(lyeGrams, 0) {
		return 0, fmt.Errorf("%w: %g g lye", ErrMass, lyeGrams)
	}
	return TotalFat(blend) * lyeGrams / need, nil
}
