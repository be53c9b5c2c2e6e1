// Package scaling turns an exact amount into measures that a kitchen has.
package scaling

import (
	"fmt"
	"math/big"
	"strings"
	"sync"
)

// Measure is a cup or spoon, in eighths of a US teaspoon.
type Measure struct {
	Name    string
	Eighths int
}

// Cup is one US cup in eighths of a teaspoon: 48 teaspoons.
const Cup = 384

// Household is the usual set, largest first (common practice).
var Household = []Measure{
	{"1 cup", Cup},
	{"3/4 cup", 288},
	{"2/3 cup", 256},
	{"1/2 cup", 192},
	{"1/3 cup", 128},
	{"1/4 cup", 96},
	{"1/8 cup", 48},
	{"1 tbsp", 24},
	{"1 tsp", 8},
	{"1/2 tsp", 4},
	{"1/4 tsp", 2},
	{"1/8 tsp", 1},
}

// Fill is a measure and how often it is filled.
type Fill struct {
	Measure
	Times int
}

// Measured is an amount in real measures.
type Measured struct {
	Cups   int // whole cups, taken as one item
	Fills  []Fill
	Error  float64 // relative, 0 when exact
	Within bool    // inside the tolerance asked for
}

// String writes "2 cups + 3/4 cup + 1 tbsp".
func (m Measured) String() string {
	var parts []string
	switch {
	case m.Cups == 1:
		parts = append(parts, "1 cup")
	case m.Cups > 1:
		parts = append(parts, fmt.Sprintf("%d cups", m.Cups))
	}
	for _, f := range m.Fills {
		if f.Times > 1 {
			parts = append(parts, fmt.Sprintf("%d x %s", f.Times, f.Name))
			continue
		}
		parts = append(parts, f.Name)
	}
	if len(parts) == 0 {
		return "a pinch"
	}
	return strings.Join(parts, " + ")
}

func (m Measured) count() int {
	n := 0
	if m.Cups > 0 {
		n = 1
	}
	for _, f := range m.Fills {
		n += f.Times
	}
	return n
}

func (m Measured) tools() int {
	n := len(m.Fills)
	if m.Cups > 0 {
		n++
	}
	return n
}

// first is the largest measure used, in eighths of a teaspoon.
func (m Measured) first() int {
	if m.Cups > 0 {
		return m.Cups * Cup
	}
	if len(m.Fills) == 0 {
		return 0
	}
	return m.Fills[0].Eighths
}

// Kit is a set of measures with the fewest fills for every amount up to a cup
// worked out once.
type Kit struct{ best [Cup + 1][]Fill }

// NewKit works a set out. It must hold the 1/8 tsp.
func NewKit(set []Measure) *Kit {
	k := &Kit{}
	for v := 1; v <= Cup; v++ {
		var best Measured
		for _, m := range set {
			if m.Eighths > v {
				continue
			}
			c := Measured{Fills: with(k.best[v-m.Eighths], m)}
			if best.Fills == nil || c.handier(best) {
				best = c
			}
		}
		k.best[v] = best.Fills
	}
	return k
}

// handier prefers fewer fills, then fewer tools, then the larger first measure.
func (m Measured) handier(o Measured) bool {
	if m.count() != o.count() {
		return m.count() < o.count()
	}
	if m.tools() != o.tools() {
		return m.tools() < o.tools()
	}
	return m.first() > o.first()
}

// with adds one fill, keeping the largest first.
func with(fills []Fill, m Measure) []Fill {
	out := make([]Fill, 0, len(fills)+1)
	added := false
	for _, f := range fills {
		if f.Eighths == m.Eighths {
			f.Times, added = f.Times+1, true
		}
		if f.Eighths < m.Eighths && !added {
			out, added = append(out, Fill{m, 1}), true
		}
		out = append(out, f)
	}
	if !added {
		out = append(out, Fill{m, 1})
	}
	return out
}

// UsualKit is the kit of the Household set.
var UsualKit = sync.OnceValue(func() *Kit { return NewKit(Household) })

// MaxTeaspoons bounds an amount: a thousand US gallons.
const MaxTeaspoons = 768_000

// Measure returns the fewest fills whose sum lies within tolerance (a fraction)
// of an amount in US teaspoons, whole cups taken first and counted as one; of equal ones the most exact, then the one with
// fewer tools, then the larger first measure. When nothing lies within, it
// returns the nearest with Within false. The amount has to be above 0 and at
// most MaxTeaspoons.
func (k *Kit) Measure(teaspoons *big.Rat, tolerance float64) (Measured, error) {
	if teaspoons.Sign() <= 0 || teaspoons.Cmp(big.NewRat(MaxTeaspoons, 1)) > 0 {
		return Measured{}, fmt.Errorf("amount %s tsp out of range", teaspoons.FloatString(3))
	}
	target := new(big.Rat).Mul(teaspoons, big.NewRat(8, 1))
	whole := new(big.Int).Quo(target.Num(), new(big.Int).Mul(target.Denom(), big.NewInt(Cup))).Int64()
	var best, nearest Measured
	found := false
	for _, cups := range []int64{whole, whole + 1} {
		for v := 0; v < Cup; v++ {
			total := cups*Cup + int64(v)
			if total == 0 {
				continue
			}
			m := Measured{Cups: int(cups), Fills: k.best[v], Error: relative(total, target)}
			m.Within = abs(m.Error) <= tolerance
			if m.Within && (!found || m.better(best)) {
				best, found = m, true
			}
			if nearest.count() == 0 || abs(m.Error) < abs(nearest.Error) {
				nearest = m
			}
		}
	}
	if found {
		return best, nil
	}
	return nearest, nil
}

func (m Measured) better(o Measured) bool {
	if m.count() != o.count() {
		return m.count() < o.count()
	}
	if abs(m.Error) != abs(o.Error) {
		return abs(m.Error) < abs(o.Error)
	}
	return m.handier(o)
}

func relative(total int64, target *big.Rat) float64 {
	r := new(big.Rat).SetInt64(total)
	f, _ := r.Sub(r.Quo(r, target), big.NewRat(1, 1)).Float64()
	return f
}

func abs(f float64) float64 { return max(f, -f) }
