package lye

import (
	"fmt"
	"math"
)

// Alkali is what is weighed to turn fat into soap, in grams as weighed: sodium
// hydroxide makes hard bars, potassium hydroxide soft and liquid soap. Each has
// its purity in [MinPurity, 1]; that of one which is not there does not matter.
type Alkali struct {
	Sodium, Potassium             float64
	SodiumPurity, PotassiumPurity float64
}

// Grams is the whole mass as weighed.
func (a Alkali) Grams() float64 { return a.Sodium + a.Potassium }

// Pure is the sodium hydroxide, in grams, that would do the same work.
func (a Alkali) Pure() float64 {
	return a.Sodium*a.SodiumPurity + a.Potassium*a.PotassiumPurity*NaOHPerKOH
}

// Times is that many times as much.
func (a Alkali) Times(k float64) Alkali {
	a.Sodium *= k
	a.Potassium *= k
	return a
}

func (a Alkali) check() error {
	for _, h := range [][2]float64{{a.Sodium, a.SodiumPurity}, {a.Potassium, a.PotassiumPurity}} {
		grams, purity := h[0], h[1]
		if !(grams >= 0) || math.IsInf(grams, 0) {
			return fmt.Errorf("%w: %g g lye", ErrMass, grams)
		}
		if grams > 0 {
			if err := checkPurity(purity); err != nil {
				return err
			}
		}
	}
	if !(a.Grams() > 0) {
		return fmt.Errorf("%w: %g g lye", ErrMass, a.Grams())
	}
	return nil
}

// Mix says which hydroxide does which part of the work, and how pure each is.
type Mix struct {
	Share                         float64 // done by sodium hydroxide, by moles, in [0, 1]
	SodiumPurity, PotassiumPurity float64
}

// Sodium is sodium hydroxide alone.
func Sodium(purity float64) Mix { return Mix{Share: 1, SodiumPurity: purity, PotassiumPurity: 1} }

// Potassium is potassium hydroxide alone.
func Potassium(purity float64) Mix { return Mix{SodiumPurity: 1, PotassiumPurity: purity} }

// Weigh returns the hydroxides that do the work of so many grams of pure sodium
// hydroxide.
func (m Mix) Weigh(pure float64) (Alkali, error) {
	if !(m.Share >= 0 && m.Share <= 1) {
		return Alkali{}, fmt.Errorf("%w: %g", ErrMix, m.Share)
	}
	for _, h := range [][2]float64{{m.Share, m.SodiumPurity}, {1 - m.Share, m.PotassiumPurity}} {
		if h[0] > 0 {
			if err := checkPurity(h[1]); err != nil {
				return Alkali{}, err
			}
		}
	}
	a := Alkali{SodiumPurity: m.SodiumPurity, PotassiumPurity: m.PotassiumPurity}
	if m.Share > 0 {
		a.Sodium = pure * m.Share / m.SodiumPurity
	}
	if m.Share < 1 {
		a.Potassium = pure * (1 - m.Share) / NaOHPerKOH / m.PotassiumPurity
	}
	return a, nil
}

// MolesOfMass turns a share of sodium hydroxide by mass of pure alkali into the
// share by moles. The trade usually means moles (common practice).
func MolesOfMass(share float64) float64 {
	na, k := share/MolarNaOH, (1-share)/MolarKOH
	return na / (na + k)
}

// MassOfMoles is the other way round.
func MassOfMoles(share float64) float64 {
	na, k := share*MolarNaOH, (1-share)*MolarKOH
	return na / (na + k)
}

func checkPurity(purity float64) error {
	if !(purity >= MinPurity && purity <= 1) {
		return fmt.Errorf("%w: %g", ErrPurity, purity)
	}
	return nil
}

// Acid is an acid that takes up lye before the fat gets it.
type Acid struct {
	Name    string
	Aliases []string
	Molar   float64 // g/mol
	Protons float64 // that react with lye
	Usual   float64 // strength as bought; 0 when it has to be said
}

// Acids that go into soap. Molar masses from the IUPAC abridged atomic weights;
// the second proton of ascorbic acid (pK about 11.6) is not counted. Vinegar is
// taken as 5 % acetic acid by mass. Bought lactic acid is within 5 % of its figure.
var Acids = []Acid{
	{"citric acid", []string{"citric", "anhydrous citric acid", "citric acid anhydrous"}, 192.12, 3, 1},
	{"citric acid monohydrate", []string{"citric monohydrate", "monohydrate citric acid"}, 210.14, 3, 1},
	{"lactic acid", []string{"lactic"}, 90.08, 1, 0},
	{"acetic acid", []string{"acetic"}, 60.05, 1, 0},
	{"vinegar", []string{"white vinegar", "cider vinegar", "apple cider vinegar"}, 60.05, 1, 0.05},
	{"ascorbic acid", []string{"ascorbic", "vitamin c"}, 176.12, 1, 1},
	{"tartaric acid", []string{"tartaric"}, 150.09, 2, 1},
	{"malic acid", []string{"malic"}, 134.09, 2, 1},
}

// AcidNamed returns the acid of that exact name.
func AcidNamed(name string) (Acid, bool) {
	for _, a := range Acids {
		if a.Name == name {
			return a, true
		}
	}
	return Acid{}, false
}

// Takes is the sodium hydroxide, in grams, that one gram of the pure acid takes up.
func (a Acid) Takes() float64 { return a.Protons * MolarNaOH / a.Molar }

// AcidPortion is a mass of an acid of that strength, in (0, 1] by mass.
type AcidPortion struct {
	Acid     Acid
	Grams    float64
	Strength float64
}

// Water is what the portion brings along, in grams. Only acids sold in solution
// bring any.
func (p AcidPortion) Water() float64 { return p.Grams * (1 - p.Strength) }

// Eaten is the pure sodium hydroxide, in grams, that the acids take up.
func Eaten(acids []AcidPortion) (float64, error) {
	var sum float64
	for _, p := range acids {
		if !(p.Grams > 0) || p.Grams > MaxFat || !(p.Strength > 0 && p.Strength <= 1) {
			return 0, fmt.Errorf("%w: %g g of %g %s", ErrAcid, p.Grams, p.Strength, p.Acid.Name)
		}
		sum += p.Grams * p.Strength * p.Acid.Takes()
	}
	return sum, nil
}

// StockAndWater says how much of a stock solution of that strength, and of
// further water, in grams, hold so much pure lye at a final strength.
func StockAndWater(pure, stock, final float64) (stockGrams, water float64, err error) {
	if !(pure > 0) || !(stock > 0 && stock <= MaxStrength+slack) || !(final > 0 && final <= stock) {
		return 0, 0, fmt.Errorf("%w: %g g of a %g stock to %g", ErrWater, pure, stock, final)
	}
	stockGrams = pure / stock
	return stockGrams, pure/final - stockGrams, nil
}
