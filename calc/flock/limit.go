package flock

import (
	"iter"
	"math"
)

// OneIn is the chance at or below which a count is worth looking into, for one test.
const OneIn = 0.005

// Tail is the chance of at most x eggs of n hen-days at a rate of p, by the exact
// binomial sum: a hen lays one egg a day or none, so a Poisson limit would be far too
// wide, and the normal one is wrong for fewer than about 20 hens. A p outside 0 to 1
// is taken as the nearer end; NaN gives NaN.
func Tail(n, x int, p float64) float64 {
	if math.IsNaN(p) {
		return p
	}
	if x >= n {
		return 1
	}
	sum := 0.0
	for _, c := range chances(n, p) {
		if x--; x < -1 {
			break
		}
		sum += c
	}
	return min(sum, 1)
}

// Limit is the greatest count of n hen-days at a rate of p whose Tail is at most
// alpha; -1 when even no egg at all is not that rare.
func Limit(n int, p, alpha float64) int {
	sum := 0.0
	for k, c := range chances(n, p) {
		if sum += c; !(sum <= alpha) {
			return k - 1
		}
	}
	return n
}

// chances yields that of exactly 0, 1, 2 and so on up to n.
func chances(n int, p float64) iter.Seq2[int, float64] {
	p = min(max(p, 0), 1)
	return func(yield func(int, float64) bool) {
		odds := math.Log(p) - math.Log1p(-p)
		log := float64(n) * math.Log1p(-p)
		for k := 0; k <= n; k++ {
			c := math.Exp(log)
			if p == 1 {
				c = 0
				if k == n {
					c = 1
				}
			}
			if !yield(k, c) {
				return
			}
			log += math.Log(float64(n-k)/float64(k+1)) + odds
		}
	}
}

// Step is one step of a smoothed mean with its limits.
type Step struct{ Z, Lower, Upper float64 }

// EWMA is the exponentially weighted moving average z(t) = L x(t) + (1-L) z(t-1),
// begun at target, with limits k standard deviations away that widen from the first
// step on: sd^2 L/(2-L) (1 - (1-L)^(2t)). lambda is L, above 0 and up to 1. NIST/SEMATECH
// e-Handbook of Statistical Methods, 6.3.2.4, whose example prints the limits reached
// in the end.
func EWMA(xs []float64, target, sd, lambda, k float64) []Step {
	out := make([]Step, len(xs))
	z, variance := target, 0.0
	for i, x := range xs {
		z, variance = smooth(z, variance, x, sd*sd, lambda)
		off := k * math.Sqrt(variance)
		out[i] = Step{Z: z, Lower: target - off, Upper: target + off}
	}
	return out
}

// smooth moves a smoothed mean and its variance on by one value of variance v. Where v
// is the same each time it comes to the formula of EWMA; where the number of hens
// changes it does not have to be.
func smooth(z, variance, x, v, lambda float64) (float64, float64) {
	return lambda*x + (1-lambda)*z, lambda*lambda*v + (1-lambda)*(1-lambda)*variance
}
