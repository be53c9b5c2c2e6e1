package rota

// Load is what somebody did, and how much of a full share is expected of them, in
// percent.
type Load struct {
	Effort  float64
	Percent int
}

// Spread is the greatest difference between two people in what they did for their
// share of it, in units of effort. Those of whom nothing is expected are left out.
func Spread(loads []Load) float64 {
	least, most, any := 0.0, 0.0, false
	for _, l := range loads {
		if l.Percent <= 0 {
			continue
		}
		x := l.Effort * 100 / float64(l.Percent)
		if !any {
			least, most, any = x, x, true
		}
		least, most = min(least, x), max(most, x)
	}
	return most - least
}

// Jain is the index of evenness of Jain, Chiu and Hawe (1984), (sum x)^2 / (n sum
// x^2) of what each did for their share: 1 when all are equal, 1/n when one did
// everything. It is 1 when nobody did anything.
func Jain(loads []Load) float64 {
	n, sum, squares := 0.0, 0.0, 0.0
	for _, l := range loads {
		if l.Percent <= 0 {
			continue
		}
		x := l.Effort * 100 / float64(l.Percent)
		n, sum, squares = n+1, sum+x, squares+x*x
	}
	if squares == 0 {
		return 1
	}
	return sum * sum / (n * squares)
}
