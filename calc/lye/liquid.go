package lye

import "fmt"

// Liquid is something used in place of water. Only its water dissolves lye.
// Shares by mass, from memory (USDA composition tables); they vary by some points.
type Liquid struct {
	Name    string
	Aliases []string
	Solids  float64 // share that is not water
	Fat     float64 // share of fat, inside Solids; not counted against the lye, which only adds superfat
	Sugars  bool    // it browns and heats up, and its sugars give off carbon monoxide with lye
	Boil    bool    // gas and alcohol are boiled off first
}

// Liquids that soap makers use.
var Liquids = []Liquid{
	{"goat milk", []string{"goats milk", "goat's milk", "goatsmilk", "goatmilk"}, 0.125, 0.04, true, false},
	{"milk", []string{"cow milk", "cows milk", "cow's milk", "whole milk"}, 0.125, 0.04, true, false},
	{"buttermilk", []string{"butter milk"}, 0.10, 0.01, true, false},
	{"cream", []string{"double cream", "heavy cream"}, 0.42, 0.36, true, false},
	{"coconut milk", nil, 0.25, 0.20, true, false},
	{"coconut water", nil, 0.05, 0, true, false},
	{"oat milk", []string{"oat drink"}, 0.10, 0.01, true, false},
	{"soy milk", []string{"soya milk", "soy drink"}, 0.10, 0.02, true, false},
	{"beer", []string{"ale", "stout"}, 0.09, 0, true, true},
	{"wine", []string{"red wine", "white wine"}, 0.12, 0, true, true},
	{"juice", []string{"fruit juice", "carrot juice", "apple juice", "aloe juice", "aloe vera juice", "cucumber juice", "vegetable juice"}, 0.11, 0, true, false},
	{"tea", []string{"herbal tea", "cold tea", "camomile tea", "chamomile tea", "nettle tea", "infusion"}, 0.01, 0, false, false},
}

// LiquidNamed returns the liquid of that exact name.
func LiquidNamed(name string) (Liquid, bool) {
	for _, l := range Liquids {
		if l.Name == name {
			return l, true
		}
	}
	return Liquid{}, false
}

// ForWater is the grams of a liquid that bring so many grams of water.
func ForWater(water, solids float64) (float64, error) {
	if err := checkSolids(water, solids); err != nil {
		return 0, err
	}
	return water / (1 - solids), nil
}

// WaterIn is the water, in grams, in so many grams of a liquid.
func WaterIn(liquid, solids float64) (float64, error) {
	if err := checkSolids(liquid, solids); err != nil {
		return 0, err
	}
	return liquid * (1 - solids), nil
}

func checkSolids(grams, solids float64) error {
	if !(grams > 0) || grams > MaxFat || !(solids >= 0 && solids < 1) {
		return fmt.Errorf("%w: %g g with %g solids", ErrWater, grams, solids)
	}
	return nil
}
