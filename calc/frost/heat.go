package frost

import (
	"errors"
	"fmt"
	"math"
	"time"
)

// ErrTemperature is returned for temperatures that cannot be, or not together.
var ErrTemperature = errors.New("no such temperatures")

// DegreeDays is the warmth of one day between a base and an upper temperature, in
// degree-days C: single sine with horizontal cut-off (as the UC Statewide IPM and the
// Oregon State University glossaries define it). All four are degrees C; a maximum
// under the minimum and an upper temperature not above the base are ErrTemperature.
// Sums are comparable only with sums made in the same way.
func DegreeDays(min, max, base, upper float64) (float64, error) {
	for _, t := range []float64{min, max, base, upper} {
		if math.IsNaN(t) || math.Abs(t) > 1000 {
			return 0, fmt.Errorf("%w: %g degrees C", ErrTemperature, t)
		}
	}
	if max < min {
		return 0, fmt.Errorf("%w: minimum %g above maximum %g", ErrTemperature, min, max)
	}
	if upper <= base {
		return 0, fmt.Errorf("%w: base %g, upper %g", ErrTemperature, base, upper)
	}
	// The difference is never negative but for rounding.
	return math.Max(0, above(min, max, base)-above(min, max, upper)), nil
}

// above is the degree-days over a temperature: the area of the sine over it.
func above(min, max, over float64) float64 {
	middle, swing := (max+min)/2, (max-min)/2
	switch {
	case min >= over:
		return middle - over
	case max <= over:
		return 0
	}
	phi := math.Asin((over - middle) / swing)
	return ((middle-over)*(math.Pi/2-phi) + swing*math.Cos(phi)) / math.Pi
}

// Heat is the sum of the degree-days (see DegreeDays) of the dates from one to
// another, both in it, and how many of these dates had no minimum or no maximum and
// so count nothing. With a base and upper that cannot be, every date is missing.
func (s Series) Heat(from, to time.Time, base, upper float64) (sum float64, missing int) {
	return s.heat(numberOf(from), numberOf(to), base, upper)
}

func (s Series) heat(from, to int, base, upper float64) (sum float64, missing int) {
	if to < from {
		return 0, 0
	}
	missing = to - from + 1
	for d := max(from, s.first); d <= min(to, s.last()); d++ {
		low, lowKnown := s.at(s.min, d)
		high, highKnown := s.at(s.max, d)
		if !lowKnown || !highKnown {
			continue
		}
		dd, err := DegreeDays(float64(low)/10, float64(high)/10, base, upper)
		if err != nil {
			continue
		}
		sum += dd
		missing--
	}
	return sum, missing
}

// Reached is in how many of the years of n the degree-days from the planting date to
// the day before the first freeze came to sum. In the south a planting date in January
// to June is that of the calendar year after the season's. A year without a freeze ends
// with December, in the south with June. Years in which 10 or more days have no maximum
// or minimum on the way do not count, in yes or in of.
func (s Series) Reached(n Normals, plant MonthDay, base, upper, sum float64) (yes, of int) {
	if !(sum >= 0) || plant == (MonthDay{}) {
		return 0, 0
	}
	for _, g := range n.Seasons {
		from, to := g.window(plant, n.South)
		got, missing := s.heat(from, to, base, upper)
		if missing >= tooMany {
			continue
		}
		of++
		if from <= to && got >= sum {
			yes++
		}
	}
	return yes, of
}

// window is the days from a planting date to the end of the season.
func (g GrowingSeason) window(plant MonthDay, south bool) (from, to int) {
	year, end := g.Year, number(g.Year, time.December, 31)
	if south {
		end = number(g.Year+1, time.June, 30)
	}
	if south && plant.Month < time.July {
		year++
	}
	if !g.First.IsZero() {
		end = numberOf(g.First) - 1
	}
	return numberOf(plant.In(year)), end
}
