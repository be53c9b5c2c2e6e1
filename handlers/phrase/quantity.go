package phrase

import (
	"math/big"
	"strings"

	"yardbell/calc/measure"
)

// unitWords maps how a unit is written, one or two words, to the unit.
var unitWords = func() map[string]*measure.Unit {
	m := map[string]*measure.Unit{}
	for _, u := range measure.Units {
		for _, w := range u.Words {
			if m[w] == nil {
				m[w] = u
			}
		}
	}
	delete(m, "c") // a cup or Celsius: see letterUnit
	delete(m, "f")
	return m
}()

// unitAt reads a unit of one or two words.
func (l *line) unitAt(i int) (*measure.Unit, int, bool) {
	if !l.isWord(i) {
		return nil, i, false
	}
	if l.isWord(i + 1) {
		if u := unitWords[l.low(i)+" "+l.low(i+1)]; u != nil {
			return l.local(u), i + 2, true
		}
		if l.low(i) == "kilo" && strings.HasPrefix(l.low(i+1), "gram") {
			return measure.Kilogram, i + 2, true
		}
	}
	if l.low(i) == "fl" && l.low(i+1) == "." && l.low(i+2) == "oz" {
		return l.local(measure.FluidOunce), i + 3, true
	}
	if u := unitWords[l.low(i)]; u != nil {
		return l.local(u), i + 1, true
	}
	return l.letterUnit(i)
}

// letterUnit reads the single letters that mean two things: a capital C or F is
// a temperature, a small c a cup, a small f a temperature when glued to figures.
func (l *line) letterUnit(i int) (*measure.Unit, int, bool) {
	switch l.toks[i].Text {
	case "C":
		return measure.Celsius, i + 1, true
	case "F":
		return measure.Fahrenheit, i + 1, true
	case "f":
		if l.glued(i) {
			return measure.Fahrenheit, i + 1, true
		}
	case "c":
		return measure.Cup, i + 1, true
	}
	return nil, i, false
}

func (l *line) local(u *measure.Unit) *measure.Unit {
	if l.ctx.US {
		return u
	}
	return measure.Imperial(u)
}

// quantity reads 1200 g, 2lb 10oz, half a cup, 2-3 kg, a kilo and a half, 46 °C.
func (l *line) quantity(i int) (Quantity, int, bool) {
	v, next, ok := l.number(i)
	if !ok {
		if w := l.low(i); w != "a" && w != "an" {
			return Quantity{}, i, false
		}
		v, next = big.NewRat(1, 1), i+1
	}
	top, next := l.rangeTop(next)
	if q, after, ok := l.degrees(v, next); ok {
		return Quantity{Quantity: q, Top: top}, after, true
	}
	if l.low(next) == "of" && l.low(next+1) == "a" {
		next++
	}
	if w := l.low(next); w == "a" || w == "an" {
		next++
	}
	u, after, ok := l.unitAt(next)
	if !ok {
		return Quantity{}, i, false
	}
	q := Quantity{Quantity: measure.Quantity{Amount: v, Unit: u}, Top: top}
	if top == nil {
		q, after = l.smaller(q.Quantity, after)
	}
	return q, after, true
}

// rangeTop reads "-3" or "to 3" after the low end of a range.
func (l *line) rangeTop(i int) (*big.Rat, int) {
	if w := l.low(i); w != "-" && w != "to" && w != "or" {
		return nil, i
	}
	v, next, ok := l.number(i + 1)
	if !ok {
		return nil, i
	}
	return v, next
}

// degrees reads °C, degrees F, or degrees alone in the household's own scale.
func (l *line) degrees(v *big.Rat, i int) (measure.Quantity, int, bool) {
	switch l.low(i) {
	case "°", "degrees", "degree", "deg":
	default:
		return measure.Quantity{}, i, false
	}
	next := i + 1
	switch l.low(next) {
	case "c", "celsius", "centigrade":
		return measure.Quantity{Amount: v, Unit: measure.Celsius}, next + 1, true
	case "f", "fahrenheit":
		return measure.Quantity{Amount: v, Unit: measure.Fahrenheit}, next + 1, true
	}
	if l.ctx.US {
		return measure.Quantity{Amount: v, Unit: measure.Fahrenheit}, next, true
	}
	return measure.Quantity{Amount: v, Unit: measure.Celsius}, next, true
}

// smaller adds a smaller unit of the same kind ("2 lb 10 oz") or a half of the
// same unit ("a kilo and a half"). A smaller unit goes on with a whole number of the
// larger one only, and makes less than one more of it.
func (l *line) smaller(q measure.Quantity, i int) (Quantity, int) {
	alone := Quantity{Quantity: q}
	if q.Unit.Dim == measure.Temperature {
		return alone, i
	}
	next := i
	if l.low(next) == "and" {
		next++
	}
	if l.low(i) == "and" {
		if p, after, ok := l.spelledPart(next); ok {
			if _, _, unit := l.unitAt(after); !unit {
				return Quantity{Quantity: measure.Quantity{Amount: new(big.Rat).Add(q.Amount, p), Unit: q.Unit}}, after
			}
		}
	}
	v, after, ok := l.number(next)
	if !ok || v.Sign() < 0 || !q.Amount.IsInt() {
		return alone, i
	}
	u, after, ok := l.unitAt(after)
	if !ok || !compound(q.Unit, u) {
		return alone, i
	}
	rest, err := measure.Quantity{Amount: v, Unit: u}.In(q.Unit)
	if err != nil || rest.Amount.Cmp(big.NewRat(1, 1)) >= 0 {
		return alone, i
	}
	return Quantity{Quantity: measure.Quantity{Amount: new(big.Rat).Add(q.Amount, rest.Amount), Unit: q.Unit}, Joined: true}, after
}

// compound lists the pairs that people write as one amount.
func compound(big, small *measure.Unit) bool {
	switch big {
	case measure.Pound:
		return small == measure.Ounce
	case measure.Stone:
		return small == measure.Pound
	case measure.Kilogram:
		return small == measure.Gram
	case measure.Foot:
		return small == measure.Inch
	case measure.Litre:
		return small == measure.Millilitre
	}
	return false
}

// share reads 5 %, 5 percent, five per cent.
func (l *line) share(i int) (*big.Rat, int, bool) {
	v, next, ok := l.number(i)
	if !ok {
		return nil, i, false
	}
	switch l.low(next) {
	case "%", "percent", "pct", "pc":
		next++
	case "per":
		if l.low(next+1) != "cent" {
			return nil, i, false
		}
		next += 2
	default:
		return nil, i, false
	}
	return new(big.Rat).Quo(v, big.NewRat(100, 1)), next, true
}

// ratio reads 2:1 and 2 to 1.
func (l *line) ratio(i int) (Ratio, int, bool) {
	v, next, ok := l.number(i)
	if !ok || (l.low(next) != ":" && l.low(next) != "to") {
		return Ratio{}, i, false
	}
	r, next, ok := l.number(next + 1)
	if !ok || v.Sign() <= 0 || r.Sign() <= 0 {
		return Ratio{}, i, false
	}
	return Ratio{v, r}, next, true
}
