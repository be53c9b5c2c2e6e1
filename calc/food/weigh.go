package food

import (
	_ "embed"
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"
	"sync"
)

//go:embed ranges.csv
var rangesCSV string

//go:embed sizes.csv
var sizesCSV string

// flourSpread is how far a cup of flour may weigh from its figure, by filling alone.
const flourSpread = 0.08

// agree is how far the spoon of a row may lie from its cup before the cup is believed
// alone.
const agree = 0.06

// Teaspoons in the larger US measures, and from where the cup is the measure at hand.
const (
	perCup   = 48
	perTbsp  = 3
	cupsFrom = 12
)

// Weight is a mass in grams with the range in which it may lie; Low and High equal
// Grams where the table gives no range.
type Weight struct{ Grams, Low, High float64 }

// spread is the range of a row as shares of its figure.
type spread struct{ low, high float64 }

// spreads holds the rows whose filling, crystal or gas makes a range.
var spreads = sync.OnceValue(func() map[string]spread {
	out := map[string]spread{}
	for _, f := range foods() {
		if slices.Contains(strings.Fields(f.Name), "flour") {
			out[f.Name] = spread{1 - flourSpread, 1 + flourSpread}
		}
	}
	for _, r := range read(rangesCSV) {
		figure := number(r["figure"])
		out[r["food"]] = spread{number(r["low"]) / figure, number(r["high"]) / figure}
	}
	return out
})

// measure is a volume that the table weighs: so many grams in so many teaspoons.
type measure struct {
	grams     float64
	teaspoons int64
}

// by returns the measure by which so many teaspoons of f are weighed: the spoon where
// the spoon is what one takes, the cup from a quarter cup on and where the two disagree.
// It returns false when the table has none.
func (f Food) by(teaspoons float64) (measure, bool) {
	cup, tbsp, tsp := measure{f.PerCup, perCup}, measure{f.PerTbsp, perTbsp}, measure{f.PerTsp, 1}
	if cup.grams > 0 && math.Abs(tbsp.rate()/cup.rate()-1) > agree {
		tbsp.grams = 0
	}
	order := []measure{tsp, tbsp, cup}
	if teaspoons >= perTbsp {
		order = []measure{tbsp, tsp, cup}
	}
	if teaspoons >= cupsFrom {
		order = []measure{cup, tbsp, tsp}
	}
	i := slices.IndexFunc(order, func(m measure) bool { return m.grams > 0 })
	if i < 0 {
		return measure{}, false
	}
	return order[i], true
}

// rate is the mass of a teaspoon in grams, exactRate the same without rounding.
func (m measure) rate() float64 { return m.grams / float64(m.teaspoons) }

func (m measure) exactRate() *big.Rat {
	return new(big.Rat).Quo(exact(m.grams), big.NewRat(m.teaspoons, 1))
}

// Weigh returns the mass of so many US teaspoons of f. It returns false for a volume
// that is nil or negative, and for a food of which no volume is known.
func (f Food) Weigh(teaspoons *big.Rat) (Weight, bool) {
	if teaspoons == nil || teaspoons.Sign() < 0 {
		return Weight{}, false
	}
	n, _ := teaspoons.Float64()
	m, ok := f.by(n)
	if !ok || math.IsInf(n, 0) {
		return Weight{}, false
	}
	return f.within(n * m.grams / float64(m.teaspoons)), true
}

// within puts the range of the table about a mass.
func (f Food) within(grams float64) Weight {
	s, ok := spreads()[f.Name]
	if !ok {
		return Weight{grams, grams, grams}
	}
	return Weight{grams, grams * s.low, grams * s.high}
}

// Teaspoons returns the volume of a mass of f in US teaspoons, by the figures that
// Weigh uses. It returns false for a mass that is negative or not finite, and for a
// food of which no volume is known.
func (f Food) Teaspoons(grams float64) (float64, bool) {
	least, ok := f.by(0)
	if !finite(grams) || !ok {
		return 0, false
	}
	for _, from := range []float64{cupsFrom, perTbsp} {
		if m, _ := f.by(from); grams/m.rate() >= from {
			return grams / m.rate(), true
		}
	}
	return grams / least.rate(), true
}

// sized leads from a food and a size word to the grams of one piece.
var sized = sync.OnceValue(func() map[[2]string]float64 {
	out := map[[2]string]float64{}
	for _, r := range read(sizesCSV) {
		out[[2]string{r["food"], r["size"]}] = number(r["grams"])
	}
	return out
})

// pieces are the words by which the table's pieces are counted; any other piece of the
// table is the whole thing and needs no word.
var pieces = []string{"stick", "packet", "cake", "envelope", "slice", "clove", "stalk", "bunch", "ear", "can", "cracker"}

// WeighEach returns the mass of so many pieces of f. The size is the size word or the
// unit word of the line, "large" or "clove"; empty means a whole one of middling size.
// It returns false for a count that is nil or negative and for a size or a piece of
// which the table has no weight: a garlic is not a clove.
func (f Food) WeighEach(count *big.Rat, size string) (Weight, bool) {
	if count == nil || count.Sign() < 0 {
		return Weight{}, false
	}
	each, ok := f.piece(strings.Join(words(size), " "))
	n, _ := count.Float64()
	if !ok || math.IsInf(n, 0) {
		return Weight{}, false
	}
	return f.within(n * each), true
}

// piece returns the grams of one piece of that size or unit.
func (f Food) piece(size string) (float64, bool) {
	if g, ok := sized()[[2]string{f.Name, size}]; ok {
		return g, true
	}
	if f.EachGrams == 0 {
		return 0, false
	}
	if size == "" || size == "piece" || size == "whole" {
		return f.EachGrams, !slices.ContainsFunc(pieces, func(p string) bool { return slices.Contains(words(f.Each), p) })
	}
	return f.EachGrams, size != "no" && slices.Contains(words(f.Each), size)
}

// Misleads says whether a cup of f tells too little: flours, soft sugars, cocoa, nuts,
// cheese, coarse salt, leaves and what else packs. Weigh it instead.
func Misleads(f Food) bool { return shelves()[f.Name].misleads }

// finite says whether f is a number, finite and not negative.
func finite(f float64) bool { return !math.IsNaN(f) && !math.IsInf(f, 0) && f >= 0 }

// amount returns ErrAmount for what finite refuses.
func amount(what string, f float64) error {
	if finite(f) {
		return nil
	}
	return fmt.Errorf("%w: %s %v", ErrAmount, what, f)
}
