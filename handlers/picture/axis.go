package picture

import (
	"math"
	"strconv"
)

// axis maps values to pixels and knows its round numbers.
type axis struct {
	low, high float64 // values at the ends
	a, b      float64 // pixels at the ends
	step      float64 // between round numbers
}

func (x axis) at(v float64) float64 {
	return x.a + (v-x.low)/(x.high-x.low)*(x.b-x.a)
}

// roundStep returns the smallest of 1, 2, 5 times a power of ten that is at least
// the span divided by most.
func roundStep(span float64, most int) float64 {
	want := span / float64(most)
	power := math.Pow(10, math.Floor(math.Log10(want)))
	for _, m := range []float64{1, 2, 5} {
		if m*power >= want*(1-1e-9) {
			return m * power
		}
	}
	return 10 * power
}

// widened returns a range that begins and ends on round numbers. Values that are
// all alike get room on both sides.
func widened(low, high float64, most int) axis {
	if least := max(1e-6, 1e-6*math.Abs(high)); high-low < least {
		room := max(1, math.Abs(high)/100)
		low, high = low-room, high+room
	}
	step := roundStep(high-low, most)
	// A round number worked out can fall short of itself by the last bit.
	return axis{low: min(low, math.Floor(low/step)*step), high: max(high, math.Ceil(high/step)*step), step: step}
}

// ticks returns the round numbers from end to end.
func (x axis) ticks() []float64 {
	var out []float64
	first := math.Ceil(x.low/x.step - 1e-6)
	for i := 0.0; (first+i)*x.step <= x.high+1e-6*x.step && i < 20; i++ {
		out = append(out, (first+i)*x.step)
	}
	return out
}

// label writes a round number with the decimals that its step needs.
func (x axis) label(v float64) string {
	decimals := max(0, -int(math.Floor(math.Log10(x.step)+1e-9)))
	if math.Abs(v) < x.step/2 {
		v = 0
	}
	return strconv.FormatFloat(v, 'f', decimals, 64)
}
