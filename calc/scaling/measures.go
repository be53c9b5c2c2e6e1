// Package scaling makes a recipe larger or smaller: the factor (by amount on
// hand, by pan, by dough), what does not follow it in a straight line, what
// becomes of the time, and exact amounts turned into measures that a kitchen
// has. Begin with Limiting, PanFactor or Bakers for the factor and with
// Kit.Measure or Metric for the measures.
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
type Kit struct {
	best [][]Fill // nil for what the set cannot make
	cup  bool     // whether the set has a cup, which is then taken first
}

// NewKit works a set out: any of the measures a house has, from 1/8 tsp to a
// cup; others in it are left out. A set without the small spoons makes fewer
// amounts exactly, and Measure says how far off it is.
func NewKit(set []Measure) *Kit {
	k := &Kit{best: fewest(set, Cup+1)}
	for _, m := range set {
		k.cup = k.cup || m.Eighths == Cup
	}
	return k
}

// fewest returns the handiest fills for each number below n of the unit that
// Eighths counts; nil for 0 and for what the set cannot make.
func fewest(set []Measure, n int) [][]Fill {
	out := make([][]Fill, n)
	for v := 1; v < n; v++ {
		var best Measured
		for _, m := range set {
			if m.Eighths <= 0 || m.Eighths > v || m.Eighths < v && out[v-m.Eighths] == nil {
				continue
			}
			c := Measured{Fills: with(out[v-m.Eighths], m)}
			if best.Fills == nil || c.handier(best) {
				best = c
			}
		}
		out[v] = best.Fills
	}
	return out
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
func with(fills []Fill, m Measure) []Fill { return withTimes(fills, m, 1) }

// withTimes adds fills of one measure, keeping the largest first.
func withTimes(fills []Fill, m Measure, times int) []Fill {
	out := make([]Fill, 0, len(fills)+1)
	added := false
	for _, f := range fills {
		if f.Eighths == m.Eighths {
			f.Times, added = f.Times+times, true
		}
		if f.Eighths < m.Eighths && !added {
			out, added = append(out, Fill{m, times}), true
		}
		out = append(out, f)
	}
	if !added {
		out = append(out, Fill{m, times})
	}
	return out
}

// UsualKit is the kit of the Household set.
var UsualKit = sync.OnceValue(func() *Kit { return NewKit(Household) })

// MaxTeaspoons bounds an amount: a thousand US gallons.
const MaxTeaspoons = 768_000

// Pinch reports whether an amount in US teaspoons is above 0 and under the
// smallest spoon, 1/8 tsp: say "a pinch" (about 1/16 tsp, common practice) or
// weigh it.
func Pinch(teaspoons *big.Rat) bool {
	return teaspoons != nil && teaspoons.Sign() > 0 && teaspoons.Cmp(big.NewRat(1, 8)) < 0
}

// Measure returns the fewest fills whose sum lies within tolerance (a fraction,
// 0 to 1) of an amount in US teaspoons, whole cups taken first and counted as
// one; of equal ones the most exact, then the one with fewer tools, then the
// larger first measure. When nothing lies within, it returns the nearest with
// Within false, never nothing at all. The amount has to be above 0 and at most
// MaxTeaspoons; a kit that can make nothing near it is an ErrRange too.
func (k *Kit) Measure(teaspoons *big.Rat, tolerance float64) (Measured, error) {
	if teaspoons == nil || teaspoons.Sign() <= 0 || teaspoons.Cmp(big.NewRat(MaxTeaspoons, 1)) > 0 {
		return Measured{}, fmt.Errorf("amount %s tsp: %w", text(teaspoons), ErrRange)
	}
	if err := inRange("tolerance", tolerance, 0, 1); err != nil {
		return Measured{}, err
	}
	target := new(big.Rat).Mul(teaspoons, big.NewRat(8, 1))
	whole := new(big.Int).Quo(target.Num(), new(big.Int).Mul(target.Denom(), big.NewInt(Cup))).Int64()
	var s selection
	for cups := whole; cups <= whole+1; cups++ {
		for v := range Cup {
			if m, ok := k.choice(int(cups), v); ok {
				m.Error = relative(cups*Cup+int64(v), target)
				m.Within = abs(m.Error) <= tolerance
				s.offer(m)
			}
		}
	}
	if s.none() {
		return Measured{}, fmt.Errorf("no measures for %s tsp: %w", text(teaspoons), ErrRange)
	}
	return s.chosen(), nil
}

// choice is whole cups and the fills for v eighths; false for nothing, and for
// what the kit cannot make. A kit without a cup fills the cups with what it has.
func (k *Kit) choice(cups, v int) (Measured, bool) {
	if v > 0 && k.best[v] == nil || cups == 0 && v == 0 {
		return Measured{}, false
	}
	if cups == 0 || k.cup {
		return Measured{Cups: cups, Fills: k.best[v]}, true
	}
	if k.best[Cup] == nil {
		return Measured{}, false
	}
	m := Measured{Fills: k.best[v]}
	for _, f := range k.best[Cup] {
		m.Fills = withTimes(m.Fills, f.Measure, f.Times*cups)
	}
	return m, true
}

// selection keeps the best of what is offered, and the nearest in case that
// nothing lies within.
type selection struct{ best, nearest Measured }

func (s *selection) offer(m Measured) {
	if m.count() == 0 {
		return
	}
	if m.Within && (s.best.count() == 0 || m.better(s.best)) {
		s.best = m
	}
	if s.none() || m.nearer(s.nearest) {
		s.nearest = m
	}
}

func (s *selection) none() bool { return s.nearest.count() == 0 }

func (s *selection) chosen() Measured {
	if s.best.count() > 0 {
		return s.best
	}
	return s.nearest
}

// nearer prefers the more exact, then the handier.
func (m Measured) nearer(o Measured) bool {
	if abs(m.Error) != abs(o.Error) {
		return abs(m.Error) < abs(o.Error)
	}
	return m.handier(o)
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
