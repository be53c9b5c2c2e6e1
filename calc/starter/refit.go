package starter

import (
	"fmt"
	"math"
	"slices"
)

// apart is how many times longer or shorter than the rest a peak is left out.
const apart = 3.0

// minSpread is the spread of a starter whose peaks agree: nobody watches closer.
const minSpread = 0.1

// Log is one peak that was watched.
type Log struct {
	Ratio   Ratio
	Celsius float64 // mean temperature from the feed to the peak; one at which yeast grows
	Hours   float64 // from the feed to the peak, more than 0 and at most Longest
}

// hours is what the log makes of Model.Hours.
func (l Log) hours() (float64, error) {
	if err := l.Ratio.check(); err != nil {
		return 0, err
	}
	if err := checkCelsius("temperature", l.Celsius); err != nil {
		return 0, err
	}
	if err := within("hours", l.Hours, 0.01, Longest); err != nil {
		return 0, err
	}
	rate := Rate(l.Celsius)
	if rate == 0 {
		return 0, fmt.Errorf("%w: %g °C", ErrNoGrowth, l.Celsius)
	}
	return l.Hours * rate / (Model{Hours: 1}).work(l.Ratio), nil
}

// Refit is the model of a jar from the peaks watched on it: Usual moved half the
// way to a single peak, three quarters to two, and the jar's own from three on. It
// is the least-squares fit of the logarithm of Model.Hours, the one thing unknown,
// and ways are measured on the logarithm too.
//
// Peaks more than three times longer or shorter than their median, or than Usual
// when there are fewer than three, are left out and returned in Model.Aside. From
// three peaks on Spread is twice the standard deviation, at least 10 %; before that
// it is that of Usual. With nothing to go by the model is Usual.
func Refit(logs []Log) (Model, error) {
	all := make([]float64, len(logs))
	for i, l := range logs {
		h, err := l.hours()
		if err != nil {
			return Model{}, fmt.Errorf("peak %d: %w", i+1, err)
		}
		all[i] = math.Log(h)
	}
	middle := centre(all)
	m := Usual
	var kept []float64
	for i, h := range all {
		if math.Abs(h-middle) > math.Log(apart)+tiny {
			m.Aside = append(m.Aside, logs[i])
			continue
		}
		kept = append(kept, h)
	}
	return m.fit(kept)
}

// fit moves the model to the logarithms kept.
func (m Model) fit(kept []float64) (Model, error) {
	way := []float64{0, 0.5, 0.75, 1}[min(len(kept), 3)]
	from := math.Log(m.Hours)
	m.Hours = math.Exp(from + way*(mean(kept, from)-from))
	m.Logged = len(kept)
	if way == 1 {
		m.Spread = min(max(math.Exp(2*deviation(kept))-1, minSpread), 0.9)
	}
	return m, m.check()
}

// centre is the median, or the logarithm of Usual while there are fewer than three.
func centre(all []float64) float64 {
	if len(all) < 3 {
		return math.Log(Usual.Hours)
	}
	s := slices.Sorted(slices.Values(all))
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}

// mean is that of the values, or other when there are none.
func mean(values []float64, other float64) float64 {
	if len(values) == 0 {
		return other
	}
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}

// deviation is the standard deviation of a sample of two or more.
func deviation(values []float64) float64 {
	middle, sum := mean(values, 0), 0.0
	for _, v := range values {
		sum += (v - middle) * (v - middle)
	}
	return math.Sqrt(sum / float64(len(values)-1))
}
