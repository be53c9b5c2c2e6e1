package lye

import (
	"errors"
	"fmt"
	"math"
)

// BatterDensity is what fresh soap weighs, in g/mL, a little low so that a mould
// is never overfilled: computed figures are 1.005 to 1.010 (33 to 25 % lye, 40 C).
const BatterDensity = 1.00

// ErrMould is returned for a mould that cannot be.
var ErrMould = errors.New("mould out of range")

// maxMould is the largest mould, in mL.
const maxMould = 500_000

// Box is the volume, in mL, of a box with sides in cm, filled to that height.
func Box(length, width, height float64) (float64, error) {
	return volume(length*width*height, length, width, height)
}

// Cylinder is the volume, in mL, of a round mould with its sizes in cm.
func Cylinder(diameter, height float64) (float64, error) {
	return volume(math.Pi*diameter*diameter/4*height, diameter, height)
}

func volume(ml float64, sides ...float64) (float64, error) {
	for _, s := range sides {
		if !(s > 0) {
			return 0, fmt.Errorf("%w: a side of %g cm", ErrMould, s)
		}
	}
	if !(ml > 0 && ml <= maxMould) {
		return 0, fmt.Errorf("%w: %g mL", ErrMould, ml)
	}
	return ml, nil
}

// FillFactor is what every mass of a batch is multiplied by to fill so many mL.
func FillFactor(ml, batchGrams, density float64) (float64, error) {
	if !(ml > 0 && ml <= maxMould) || !(batchGrams > 0) || !(density > 0) {
		return 0, fmt.Errorf("%w: %g mL of %g g at %g g/mL", ErrMould, ml, batchGrams, density)
	}
	return ml * density / batchGrams, nil
}
