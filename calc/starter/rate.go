package starter

import (
	"errors"
	"fmt"
	"math"
)

// Longest is the time, h, after which a peak is no longer waited for: 14 days.
const Longest = 336.0

// anchor is the temperature, °C, and tripled the growth at which Model.Hours holds.
const (
	anchor  = 24.0
	tripled = 3.0
	// step is how finely a changing temperature is followed, h.
	step = 0.05
)

// ErrNoGrowth is returned when the yeast does not get there within Longest.
var ErrNoGrowth = errors.New("starter: too cold or too hot to grow")

// point is a temperature, °C, and the rate of the yeast there against its best.
type point struct{ celsius, rate float64 }

// cardinal are the points of the sourdough yeast: optimum 28 °C, half at 20 and 32,
// a quarter at 14 and 34, none at 8 and 35.
var cardinal = []point{{8, 0}, {14, 0.25}, {20, 0.5}, {28, 1}, {32, 0.5}, {34, 0.25}, {35, 0}}

// Rate is how fast the yeast works at a temperature against its best at 28 °C: 0 to
// 1, and 0 from 8 °C down, from 35 °C up, and for what is no number. It is
// log-linear between the cardinal points and linear down to none at both ends.
func Rate(celsius float64) float64 {
	for i := 1; i < len(cardinal); i++ {
		a, b := cardinal[i-1], cardinal[i]
		if celsius >= a.celsius && celsius <= b.celsius {
			return between(a, b, (celsius-a.celsius)/(b.celsius-a.celsius))
		}
	}
	return 0
}

func between(a, b point, part float64) float64 {
	if a.rate == 0 || b.rate == 0 {
		return a.rate + part*(b.rate-a.rate)
	}
	return a.rate * math.Pow(b.rate/a.rate, part)
}

// Span is when something is likely, and how early and how late it may be, in hours
// from the feed. Late is never more than Longest.
type Span struct{ Likely, Early, Late float64 }

// Model is how fast a starter is.
type Model struct {
	Hours  float64 // from a 1:1:1 feed to the peak at 24 °C; more than 0, at most Longest
	Spread float64 // how far off a single peak may be, as a share: 0 to 0.9
	Logged int     // peaks it rests on
	Aside  []Log   // peaks left out as too far from the rest
}

// Usual is a healthy starter of white flour of which nothing is known (common
// practice); real ones differ by 40 % either way. Whole-grain and rye feeds peak
// sooner, stiff ones later.
var Usual = Model{Hours: 4, Spread: 0.4}

func (m Model) check() error {
	if err := within("hours of the model", m.Hours, 0.01, Longest); err != nil {
		return err
	}
	return within("spread", m.Spread, 0, 0.9)
}

// work is what the starter has to do after a feed, in hours at the best rate.
func (m Model) work(r Ratio) float64 {
	return m.Hours * math.Log(r.growth()) / math.Log(tripled) * Rate(anchor)
}

// Peak is when a feed peaks at a steady temperature. It returns ErrNoGrowth when
// that takes longer than Longest.
//
// t = Hours · log(D)/log(3) · rate(24)/rate(T), with D = (s+f+w)/s.
func Peak(r Ratio, celsius float64, m Model) (Span, error) {
	if err := checkFeed(r, m); err != nil {
		return Span{}, err
	}
	if err := checkCelsius("temperature", celsius); err != nil {
		return Span{}, err
	}
	likely := m.work(r) / Rate(celsius)
	if likely > Longest {
		return Span{}, fmt.Errorf("%w: %g °C", ErrNoGrowth, celsius)
	}
	return Span{likely, likely * (1 - m.Spread), min(likely*(1+m.Spread), Longest)}, nil
}

// PeakOver is Peak at a changing temperature: temps is the temperature, °C, at an
// hour from the feed. What is done in each three minutes is added up until it is
// enough, so time in the fridge counts for nothing.
func PeakOver(r Ratio, temps func(hour float64) float64, m Model) (Span, error) {
	if err := checkFeed(r, m); err != nil {
		return Span{}, err
	}
	if temps == nil {
		return Span{}, fmt.Errorf("%w: no temperatures", ErrInput)
	}
	work := m.work(r)
	goals := []float64{work * (1 - m.Spread), work, work * (1 + m.Spread)}
	at, err := reach(goals, temps)
	if err != nil {
		return Span{}, err
	}
	if math.IsInf(at[1], 1) {
		return Span{}, fmt.Errorf("%w: not in %g hours", ErrNoGrowth, Longest)
	}
	return Span{at[1], at[0], min(at[2], Longest)}, nil
}

// reach is the hour at which each of the rising goals is done; +Inf for those that
// are not done within Longest.
func reach(goals []float64, temps func(hour float64) float64) ([]float64, error) {
	var at []float64
	done := 0.0
	for i := range int(Longest / step) {
		hour := float64(i) * step
		celsius := temps(hour + step/2)
		if err := checkCelsius("temperature", celsius); err != nil {
			return nil, err
		}
		more := Rate(celsius) * step
		for len(at) < len(goals) && more > 0 && done+more >= goals[len(at)] {
			at = append(at, hour+step*(goals[len(at)]-done)/more)
		}
		if len(at) == len(goals) {
			return at, nil
		}
		done += more
	}
	for len(at) < len(goals) {
		at = append(at, math.Inf(1))
	}
	return at, nil
}

// FeedFor is which of the feeds 1:1:1 to 1:10:10 peaks nearest to so many hours
// from now, more than 0 and at most Longest, at a steady temperature. The nearest
// may still be far off: ask Peak.
func FeedFor(hours, celsius float64, m Model) (Ratio, error) {
	if err := within("hours", hours, 0.01, Longest); err != nil {
		return Ratio{}, err
	}
	best, off := Ratio{}, math.Inf(1)
	for n := 1.0; n <= 10; n++ {
		r := Ratio{1, n, n}
		s, err := Peak(r, celsius, m)
		if errors.Is(err, ErrNoGrowth) && n > 1 {
			break
		}
		if err != nil {
			return Ratio{}, err
		}
		if d := math.Abs(s.Likely - hours); d < off {
			best, off = r, d
		}
	}
	return best, nil
}

func checkFeed(r Ratio, m Model) error {
	if err := r.check(); err != nil {
		return err
	}
	return m.check()
}

// checkCelsius refuses what no kitchen or dough has.
func checkCelsius(what string, celsius float64) error {
	return within(what+" in °C", celsius, -40, 100)
}
