package measure

import (
	"math"
	"strconv"
)

// System is the set of units that a household weighs in.
type System uint8

// The two systems.
const (
	Metric System = iota // grams
	US                   // avoirdupois ounces
)

// GramsPerOunce is exact: 1/16 of the avoirdupois pound of 453.59237 g.
const GramsPerOunce = 28.349523125

// Scale is a household's kitchen scale: what it shows and the smallest step it
// can show, in grams for Metric and in ounces for US.
type Scale struct {
	System System
	Step   float64
}

// DefaultScale reads to 1 g, or to 0.1 oz.
func DefaultScale(s System) Scale {
	if s == US {
		return Scale{US, 0.1}
	}
	return Scale{Metric, 1}
}

// Nearest rounds grams to the nearest step of the scale and writes it out.
func (s Scale) Nearest(grams float64) string { return s.write(math.Round(s.steps(grams))) }

// Down rounds grams down to a step of the scale: for what must not be
// exceeded, such as lye. A value within a millionth of a step of the next
// counts as that step, so that floating-point dust loses nothing.
func (s Scale) Down(grams float64) string { return s.write(math.Floor(s.steps(grams) + 1e-6)) }

// DownGrams is Down as grams.
func (s Scale) DownGrams(grams float64) float64 {
	return math.Floor(s.steps(grams)+1e-6) * s.stepGrams()
}

// Grams is the smallest step of the scale, in grams.
func (s Scale) Grams() float64 { return s.stepGrams() }

func (s Scale) stepGrams() float64 {
	if s.System == US {
		return s.Step * GramsPerOunce
	}
	return s.Step
}

func (s Scale) steps(grams float64) float64 { return grams / s.stepGrams() }

func (s Scale) write(steps float64) string {
	v := steps*s.Step + 0 // no negative zero
	if s.System == US {
		return strconv.FormatFloat(v, 'f', places(s.Step), 64) + " oz"
	}
	if v >= 10_000 {
		return trim(v/1000, places(s.Step)+3) + " kg"
	}
	return strconv.FormatFloat(v, 'f', places(s.Step), 64) + " g"
}

// places returns how many decimals a step needs: 1 -> 0, 0.1 -> 1, 0.05 -> 2.
func places(step float64) int {
	for n := range 4 {
		scaled := step * math.Pow10(n)
		if math.Abs(scaled-math.Round(scaled)) < 1e-9 {
			return n
		}
	}
	return 4
}

func trim(v float64, places int) string {
	s := strconv.FormatFloat(v, 'f', places, 64)
	f, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return s
	}
	return strconv.FormatFloat(f, 'f', -1, 64)
}
