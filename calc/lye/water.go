package lye

import (
	"fmt"
	"math"
)

// WaterKind is how the water of a recipe is set.
type WaterKind uint8

// The ways to set water. The trade counts the lye as weighed.
const (
	ByStrength    WaterKind = iota // Value = lye / (lye + water)
	ByRatio                        // Value = water / lye
	ByShareOfFats                  // Value = water / fats
	ByMass                         // Value = grams of water
)

// Water is a setting of the water.
type Water struct {
	Kind  WaterKind
	Value float64
}

// DefaultWater is 30 % lye in the solution, the middle of what beginners use
// (common practice: 27 to 33 %).
var DefaultWater = Water{ByStrength, 0.30}

// Grams returns the water to weigh for that much lye and fat. The strength that
// results must stay between 5 % and MaxStrength.
func (w Water) Grams(lyeGrams, fatGrams float64) (float64, error) {
	var g float64
	switch w.Kind {
	case ByStrength:
		if !(w.Value > 0 && w.Value < 1) {
			return 0, fmt.Errorf("%w: strength %g", ErrWater, w.Value)
		}
		g = lyeGrams * (1 - w.Value) / w.Value
	case ByRatio:
		g = w.Value * lyeGrams
	case ByShareOfFats:
		g = w.Value * fatGrams
	case ByMass:
		g = w.Value
	}
	if !(g > 0) {
		return 0, fmt.Errorf("%w: %g g", ErrWater, g)
	}
	if s := Strength(lyeGrams, g); !(s >= 0.05 && s <= MaxStrength+slack) || math.IsInf(g, 0) {
		return 0, fmt.Errorf("%w: %.1f %% lye in the solution", ErrWater, 100*s)
	}
	return g, nil
}

// Strength returns the share of lye in lye plus water.
func Strength(lyeGrams, waterGrams float64) float64 { return lyeGrams / (lyeGrams + waterGrams) }
