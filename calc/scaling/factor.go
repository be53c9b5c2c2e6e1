package scaling

import (
	"fmt"
	"maps"
	"math/big"
	"slices"
)

// MaxFactor is the most that a recipe is multiplied with.
const MaxFactor = 1000

// checkFactor refuses a factor that is nil, not above 0 or above MaxFactor.
func checkFactor(k *big.Rat) error {
	if k == nil || k.Sign() <= 0 || k.Cmp(big.NewRat(MaxFactor, 1)) > 0 {
		return fmt.Errorf("factor %s: %w", text(k), ErrRange)
	}
	return nil
}

func text(r *big.Rat) string {
	if r == nil {
		return "missing"
	}
	return r.FloatString(6)
}

// Scale is an amount times a factor, exactly, in the unit of the amount. Scale
// from the written recipe, never from a rounded one. The amount has to be above
// 0, the factor above 0 and at most MaxFactor.
func Scale(amount, k *big.Rat) (*big.Rat, error) {
	if amount == nil || amount.Sign() <= 0 {
		return nil, fmt.Errorf("amount %s: %w", text(amount), ErrRange)
	}
	if err := checkFactor(k); err != nil {
		return nil, err
	}
	return new(big.Rat).Mul(amount, k), nil
}

// Limiting returns the largest factor that what is on hand allows, the
// ingredient that sets it, and how much of each ingredient is lacking for the
// amounts as written (to see it for another batch, give those amounts scaled).
// Both maps go by ingredient and hold the same unit for the same one; short does
// too. What is not on hand at all is there with 0; an ingredient that is not in
// onHand is taken as enough, so leave out what is optional or to taste. Of two
// that limit alike, the first by the alphabet is named. Amounts written have to
// be above 0, amounts on hand at least 0, and each one on hand has to be
// written.
func Limiting(written, onHand map[string]*big.Rat) (k *big.Rat, limits string, short map[string]*big.Rat, err error) {
	if len(onHand) == 0 {
		return nil, "", nil, fmt.Errorf("nothing on hand: %w", ErrRange)
	}
	for _, name := range slices.Sorted(maps.Keys(written)) {
		if written[name] == nil || written[name].Sign() <= 0 {
			return nil, "", nil, fmt.Errorf("%s, written %s: %w", name, text(written[name]), ErrRange)
		}
	}
	short = map[string]*big.Rat{}
	for _, name := range slices.Sorted(maps.Keys(onHand)) {
		need, have := written[name], onHand[name]
		if need == nil {
			return nil, "", nil, fmt.Errorf("%s is not in the recipe: %w", name, ErrRange)
		}
		if have == nil || have.Sign() < 0 {
			return nil, "", nil, fmt.Errorf("%s, on hand %s: %w", name, text(have), ErrRange)
		}
		if q := new(big.Rat).Quo(have, need); k == nil || q.Cmp(k) < 0 {
			k, limits = q, name
		}
		if have.Cmp(need) < 0 {
			short[name] = new(big.Rat).Sub(need, have)
		}
	}
	return k, limits, short, nil
}

// Nice returns the factor a cook would choose near k: 1/4, 1/3, 1/2, 2/3, 3/4,
// then quarters to 3, halves to 6 and whole numbers to MaxFactor (common
// practice). It is the nearest by ratio, the lower of two that are as near; ok
// is false when none lies within 10 % of k.
func Nice(k *big.Rat) (nice *big.Rat, ok bool) {
	if checkFactor(k) != nil {
		return nil, false
	}
	var off *big.Rat
	for _, n := range niceNear(k) {
		d := new(big.Rat).Quo(n, k)
		d.Sub(d, big.NewRat(1, 1)).Abs(d)
		if off == nil || d.Cmp(off) < 0 {
			nice, off = n, d
		}
	}
	if off.Cmp(big.NewRat(1, 10)) > 0 {
		return nil, false
	}
	return nice, true
}

// niceNear are the kitchen factors about k, rising.
func niceNear(k *big.Rat) []*big.Rat {
	if k.Cmp(big.NewRat(1, 1)) < 0 {
		return []*big.Rat{big.NewRat(1, 4), big.NewRat(1, 3), big.NewRat(1, 2), big.NewRat(2, 3), big.NewRat(3, 4), big.NewRat(1, 1)}
	}
	step := big.NewRat(1, 1)
	switch {
	case k.Cmp(big.NewRat(3, 1)) < 0:
		step.SetFrac64(1, 4)
	case k.Cmp(big.NewRat(6, 1)) < 0:
		step.SetFrac64(1, 2)
	}
	steps := new(big.Rat).Quo(k, step)
	n := new(big.Int).Quo(steps.Num(), steps.Denom())
	low := new(big.Rat).Mul(new(big.Rat).SetInt(n), step)
	if low.Cmp(k) == 0 {
		return []*big.Rat{low}
	}
	return []*big.Rat{low, new(big.Rat).Add(low, step)}
}
