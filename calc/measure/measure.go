// Package measure holds exact quantities and the units that people weigh and
// measure in. Every factor is an exact rational of the gram, the millilitre or
// the centimetre, so that converting there and back gives the same figure.
//
// Factors follow NIST Handbook 44 Appendix C and NIST SP 811 Appendix B; the
// three definitions that carry the rest are 1 in = 2.54 cm, 1 US gallon = 231
// cubic inches and 1 lb = 453.59237 g, all exact.
package measure

import (
	"fmt"
	"math/big"
)

// Dimension is what a unit measures.
type Dimension uint8

// The dimensions. A share is a part of a whole (5 % is 1/20); a count has no unit.
const (
	Mass        Dimension = iota + 1 // base: gram
	Volume                           // base: millilitre
	Length                           // base: centimetre
	Temperature                      // degrees, see Celsius
)

func (d Dimension) String() string {
	switch d {
	case Mass:
		return "mass"
	case Volume:
		return "volume"
	case Length:
		return "length"
	case Temperature:
		return "temperature"
	}
	return fmt.Sprintf("dimension %d", uint8(d))
}

// Unit is a unit of measure. Factor is the size of one in the base unit of its
// dimension and must not be changed; temperatures have none.
type Unit struct {
	Name   string // as printed after one or many: "g", "lb", "cup"
	Dim    Dimension
	Factor *big.Rat
	Words  []string // how people write it, lower case
}

// Quantity is an exact amount of a unit.
type Quantity struct {
	Amount *big.Rat
	Unit   *Unit
}

// Base returns the amount in the base unit of its dimension (g, mL or cm).
// For a temperature it returns degrees Celsius.
func (q Quantity) Base() *big.Rat {
	if q.Unit.Dim == Temperature {
		return celsius(q)
	}
	return new(big.Rat).Mul(q.Amount, q.Unit.Factor)
}

// Float returns Base as the nearest float64.
func (q Quantity) Float() float64 {
	f, _ := q.Base().Float64()
	return f
}

// In returns the same quantity in another unit, or an error when the two do
// not measure the same thing.
func (q Quantity) In(u *Unit) (Quantity, error) {
	if u.Dim != q.Unit.Dim {
		return Quantity{}, fmt.Errorf("%s is a %s and %s is a %s", q.Unit.Name, q.Unit.Dim, u.Name, u.Dim)
	}
	if u.Dim == Temperature {
		return temperatureIn(q, u), nil
	}
	return Quantity{new(big.Rat).Quo(q.Base(), u.Factor), u}, nil
}

// celsius follows the exact relation C = (F - 32) x 5/9.
func celsius(q Quantity) *big.Rat {
	if q.Unit == Fahrenheit {
		c := new(big.Rat).Sub(q.Amount, big.NewRat(32, 1))
		return c.Mul(c, big.NewRat(5, 9))
	}
	return new(big.Rat).Set(q.Amount)
}

func temperatureIn(q Quantity, u *Unit) Quantity {
	c := celsius(q)
	if u == Fahrenheit {
		c.Mul(c, big.NewRat(9, 5))
		c.Add(c, big.NewRat(32, 1))
	}
	return Quantity{c, u}
}
