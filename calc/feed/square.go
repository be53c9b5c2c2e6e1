package feed

import (
	"fmt"
	"math"
)

// Mix is two feeds and perhaps a premix mixed to a protein, as shares of the whole by
// mass that come to 1.
type Mix struct {
	A, B, Premix float64
	PartsA       float64 // of the square: points of protein
	PartsB       float64
	Target       float64 // protein of the two feeds together, above what was asked where there is a premix
}

// Square returns how much of two feeds with protein a and b give a mix with protein target,
// all shares on the same basis, with a fixed share of premix that has no protein. ErrShare
// for what is no share, ErrMix for a target that does not lie strictly between the feeds.
// Cautions are to be said with every mix.
func Square(a, b, target, premix float64) (Mix, error) {
	for _, f := range []float64{a, b, target} {
		if !(f >= 0 && f <= 1) {
			return Mix{}, fmt.Errorf("%w: protein %v", ErrShare, f)
		}
	}
	if !(premix >= 0 && premix < 1) {
		return Mix{}, fmt.Errorf("%w: premix %v", ErrShare, premix)
	}
	t := target / (1 - premix)
	if !(min(a, b) < t && t < max(a, b)) {
		return Mix{}, fmt.Errorf("%w: %.3g %% does not lie between %.3g and %.3g %%", ErrMix, 100*t, 100*min(a, b), 100*max(a, b))
	}
	partsA, partsB := math.Abs(b-t), math.Abs(a-t)
	whole := (partsA + partsB) / (1 - premix)
	return Mix{A: partsA / whole, B: partsB / whole, Premix: premix, PartsA: 100 * partsA, PartsB: 100 * partsB, Target: t}, nil
}
