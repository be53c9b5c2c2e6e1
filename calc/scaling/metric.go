package scaling

import (
	"fmt"
	"math/big"
	"strings"
	"sync"
)

// JugMark is the distance in millilitres of the marks on a measuring jug
// (common practice).
const JugMark = 25

// MaxMillilitres bounds a metric amount: somewhat above MaxTeaspoons.
const MaxMillilitres = maxMl

// spoonPart is the size of the smallest spoon in millilitres; every spoon and
// mark is a multiple of it.
var spoonPart = big.NewRat(5, 4)

const jugParts = 20 // 25 ml

// metricSpoons in parts of 1.25 ml: the usual four (common practice; 15 and 5 ml
// as in NIST Special Publication 430).
var metricSpoons = []Measure{{"15 ml", 12}, {"5 ml", 4}, {"2.5 ml", 2}, {"1.25 ml", 1}}

// Metered is an amount in metric measures.
type Metered struct {
	// Jug is what the jug is filled to in millilitres, a multiple of JugMark,
	// taken as one item; 0 when it is not needed.
	Jug    int
	Spoons []Spoon // the largest first
	Error  float64 // relative, 0 when exact
	Within bool    // inside the tolerance asked for
}

// Spoon is a metric spoon and how often it is filled.
type Spoon struct {
	Name  string   // "15 ml"
	ML    *big.Rat // its size
	Times int
}

// String writes "150 ml + 2 x 15 ml spoon + 5 ml spoon".
func (m Metered) String() string {
	var parts []string
	if m.Jug > 0 {
		parts = append(parts, fmt.Sprintf("%d ml", m.Jug))
	}
	for _, s := range m.Spoons {
		if s.Times > 1 {
			parts = append(parts, fmt.Sprintf("%d x %s spoon", s.Times, s.Name))
			continue
		}
		parts = append(parts, s.Name+" spoon")
	}
	return strings.Join(parts, " + ")
}

// spoonfuls are the fewest fills of spoons for every number of parts below two
// marks of the jug.
var spoonfuls = sync.OnceValue(func() [][]Fill { return fewest(metricSpoons, 2*jugParts) })

// Metric returns the fewest fills of a jug marked every 25 ml and of spoons of
// 15, 5, 2.5 and 1.25 ml whose sum lies within tolerance (a fraction, 0 to 1) of
// an amount in millilitres; the jug is filled once and counts as one. Of equal
// ones it takes the most exact, then the one with fewer tools, then the larger
// first measure. When nothing lies within, it returns the nearest with Within
// false, never nothing at all. Above 0 to MaxMillilitres.
func Metric(ml *big.Rat, tolerance float64) (Metered, error) {
	if ml == nil || ml.Sign() <= 0 || ml.Cmp(big.NewRat(MaxMillilitres, 1)) > 0 {
		return Metered{}, fmt.Errorf("amount %s ml: %w", text(ml), ErrRange)
	}
	if err := inRange("tolerance", tolerance, 0, 1); err != nil {
		return Metered{}, err
	}
	target := new(big.Rat).Quo(ml, spoonPart)
	marks := new(big.Int).Quo(target.Num(), new(big.Int).Mul(target.Denom(), big.NewInt(jugParts))).Int64()
	var s selection
	for jug := max(marks-1, 0); jug <= marks+1; jug++ {
		for v, fills := range spoonfuls() {
			s.offer(metricChoice(int(jug), v, fills, target, tolerance))
		}
	}
	return s.chosen().metered(), nil
}

// metricChoice is a choice whose jug is the first fill, in parts.
func metricChoice(jug, v int, fills []Fill, target *big.Rat, tolerance float64) Measured {
	m := Measured{Fills: fills}
	total := jug*jugParts + v
	if jug > 0 {
		m.Fills = append([]Fill{{Measure{"jug", jug * jugParts}, 1}}, fills...)
	}
	m.Error = relative(int64(total), target)
	m.Within = total > 0 && abs(m.Error) <= tolerance
	return m
}

func (m Measured) metered() Metered {
	out := Metered{Error: m.Error, Within: m.Within}
	for _, f := range m.Fills {
		if f.Name == "jug" {
			out.Jug = f.Eighths / jugParts * JugMark
			continue
		}
		size := new(big.Rat).Mul(big.NewRat(int64(f.Eighths), 1), spoonPart)
		out.Spoons = append(out.Spoons, Spoon{f.Name, size, f.Times})
	}
	return out
}
