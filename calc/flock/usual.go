package flock

import "math"

// usual is how a flock lays when nothing is wrong.
type usual struct {
	rate   float64
	spread float64 // variance of the counts in binomial variances, 1 or more
	days   int
}

func usualOf(cs []count) usual {
	p, err := rate(cs)
	if err != nil {
		return usual{}
	}
	return usual{rate: p, spread: max(1, spread(cs, p)), days: len(cs)}
}

// Spread is the variance of the counts in binomial variances: 1 where the hens lay by
// themselves and all is counted on its day, more where they do not or collecting times
// vary. Of the counts about their mean and about a straight line the lesser is taken,
// so that a flock coming into lay is not uneven. ErrDays with fewer than three counts.
func Spread(days []Day) (float64, error) {
	if err := check(days); err != nil {
		return 0, err
	}
	cs := counts(days)
	p, err := rate(cs)
	if err != nil || len(cs) < 3 {
		return 0, ErrDays
	}
	return spread(cs, p), nil
}

func spread(cs []count, p float64) float64 {
	if p <= 0 || p >= 1 || len(cs) < 3 {
		return 0
	}
	l := lineOf(cs)
	var flat, sloped float64
	for _, c := range cs {
		n := float64(c.henDays)
		v := n * p * (1 - p)
		flat += sq(float64(c.eggs)-n*p) / v
		sloped += sq(float64(c.eggs)-n*l.at(float64(c.day))) / v
	}
	return min(flat/float64(len(cs)-1), sloped/float64(len(cs)-2))
}

func sq(x float64) float64 { return x * x }

// line is a rate that moves evenly from day to day.
type line struct {
	first            float64 // days are counted from it, so that those before do not matter
	mean             float64 // of the days, hen-days weighing
	rate, slope      float64 // at the mean, and a day
	henDays, squares float64 // hen-days, and the squares of their days about the mean
}

func (l line) at(day float64) float64 { return l.rate + l.slope*(day-l.first-l.mean) }

// doubt is the variance of the line at a day, in that of one hen-day.
func (l line) doubt(day float64) float64 {
	return 1/l.henDays + sq(day-l.first-l.mean)/l.squares
}

// lineOf is the least-squares line of two counts or more, each weighing as its hen-days.
func lineOf(cs []count) line {
	l := line{first: float64(cs[0].day)}
	var days, eggs float64
	for _, c := range cs {
		l.henDays += float64(c.henDays)
		days += float64(c.henDays) * (float64(c.day) - l.first)
		eggs += float64(c.eggs)
	}
	l.mean, l.rate = days/l.henDays, eggs/l.henDays
	both := 0.0
	for _, c := range cs {
		x := float64(c.day) - l.first - l.mean
		l.squares += float64(c.henDays) * x * x
		both += x * (float64(c.eggs) - float64(c.henDays)*l.rate)
	}
	l.slope = both / l.squares
	return l
}

// limit is Limit with its distance from the mean stretched as the spread asks.
func (u usual) limit(n int) int {
	least := Limit(n, u.rate, OneIn)
	if least < 0 {
		return -1
	}
	mean := float64(n) * u.rate
	return max(-1, int(math.Floor(mean-math.Sqrt(u.spread)*(mean-float64(least)))))
}

// chance is Tail likewise.
func (u usual) chance(n, x int) float64 {
	mean := float64(n) * u.rate
	if float64(x) >= mean {
		return Tail(n, x, u.rate)
	}
	near := mean - (mean-float64(x))/math.Sqrt(u.spread)
	return Tail(n, int(math.Ceil(near-1e-9)), u.rate)
}

// smoothed is the smoothed rate of the counts and its lower limit. A count that may
// hold the eggs of other days is passed over.
func (u usual) smoothed(cs []count) (z, lower float64) {
	z, variance := u.rate, 0.0
	for _, c := range cs {
		if c.loose {
			continue
		}
		n := float64(c.henDays)
		z, variance = smooth(z, variance, float64(c.eggs)/n, u.spread*u.rate*(1-u.rate)/n, weight)
	}
	return z, u.rate - sigmas*math.Sqrt(variance)
}
