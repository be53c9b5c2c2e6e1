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
	ErrMix      = errors.New("share of the hydroxides out of range")
	ErrAcid     = errors.New("acid out of range")
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

// Lye returns the hydroxides to weigh for a superfat in [0, MaxSuperfat]. Acids
// that go into the batch take up lye before the fat gets it and are made up for,
// so that the superfat stays what it was.
func Lye(fats []Portion, superfat float64, mix Mix, acids ...AcidPortion) (Alkali, error) {
	if !(superfat >= 0 && superfat <= MaxSuperfat) {
		return Alkali{}, fmt.Errorf("%w: %g", ErrSuperfat, superfat)
	}
	d, err := DemandOf(fats)
	if err != nil {
		return Alkali{}, err
	}
	eaten, err := Eaten(acids)
	if err != nil {
		return Alkali{}, err
	}
	return mix.Weigh(d.Typical*(1-superfat) + eaten)
}

// Band is the true superfat of a fixed amount of lye: with all fats at the bottom
// of their natural range, typical, and all at the top. LikelyLow and LikelyHigh
// take the fats as independent of each other: the halves of their ranges are put
// together as the root of the sum of their squares. Negative is lye-heavy.
type Band struct {
	Low, Typical, High    float64
	LikelyLow, LikelyHigh float64
}

// BandOf returns 1 - lye / demand over the natural range, lye counted pure and
// less what the acids take up.
func BandOf(fats []Portion, a Alkali, acids ...AcidPortion) (Band, error) {
	d, err := DemandOf(fats)
	if err != nil {
		return Band{}, err
	}
	if err := a.check(); err != nil {
		return Band{}, err
	}
	eaten, err := Eaten(acids)
	if err != nil {
		return Band{}, err
	}
	pure := a.Pure() - eaten
	if !(pure > 0) {
		return Band{}, fmt.Errorf("%w: %.4g g of lye, %.4g g taken up by acid", ErrAcid, a.Pure(), eaten)
	}
	var below, above float64
	for _, p := range fats {
		k := p.Grams / 1000 * NaOHPerKOH
		below += math.Pow(k*(p.Fat.Typical-p.Fat.Min), 2)
		above += math.Pow(k*(p.Fat.Max-p.Fat.Typical), 2)
	}
	return Band{
		Low: 1 - pure/d.Low, Typical: 1 - pure/d.Typical, High: 1 - pure/d.High,
		LikelyLow: 1 - pure/(d.Typical-math.Sqrt(below)), LikelyHigh: 1 - pure/(d.Typical+math.Sqrt(above)),
	}, nil
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

// SafeLye returns the most lye that leaves no fat in its natural range lye-heavy.
func SafeLye(fats []Portion, mix Mix, acids ...AcidPortion) (Alkali, error) {
	d, err := DemandOf(fats)
	if err != nil {
		return Alkali{}, err
	}
	eaten, err := Eaten(acids)
	if err != nil {
		return Alkali{}, err
	}
	return mix.Weigh(d.Low + eaten)
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

// FatFor returns the grams of a blend, given in any proportion, that the lye can
// take at that superfat.
func FatFor(blend []Portion, a Alkali, superfat float64) (float64, error) {
	if err := a.check(); err != nil {
		return 0, err
	}
	need, err := Lye(blend, superfat, Sodium(1))
	if err != nil {
		return 0, err
	}
	return TotalFat(blend) * a.Pure() / need.Pure(), nil
}
