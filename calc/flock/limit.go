package flock

import "math"

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
	for k := 0; k <= x; k++ {
		sum += chance(n, k, p)
	}
	return min(sum, 1)
}

// Limit is the greatest count of n hen-days at a rate of p whose Tail is at most
// alpha; -1 when even no egg at all is not that rare.
func Limit(n int, p, alpha float64) int {
	sum := 0.0
	for k := 0; k < n; k++ {
		if sum += chance(n, k, p); !(sum <= alpha) {
			return k - 1
		}
	}
	return n - 1
}

// chance is that of exactly k.
func chance(n, k int, p float64) float64 {
	switch {
	case p <= 0 && k == 0, p >= 1 && k == n:
		return 1
	case p <= 0, p >= 1:
		return 0
	}
	return math.Exp(logChoose(n, k) + float64(k)*math.Log(p) + float64(n-k)*math.Log1p(-p))
}

func logChoose(n, k int) float64 {
	a, _ := math.Lgamma(float64(n + 1))
	b, _ := math.Lgamma(float64(k + 1))
	c, _ := math.Lgamma(float64(n - k + 1))
	return a - b - c
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
