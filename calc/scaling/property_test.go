package scaling_test

import (
	"fmt"
	"math"
	"math/big"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/scaling"
)

// factors draws factors that a cook may ask for.
var factors = rapid.Custom(func(t *rapid.T) *big.Rat {
	denom := rapid.SampledFrom([]int64{1, 2, 3, 4, 7, 8, 10, 64}).Draw(t, "denom")
	return big.NewRat(rapid.Int64Range(1, 30*denom).Draw(t, "num"), denom)
})

// TestScaleTwice: by a and then by b is by ab, to the last digit, and what was
// given is left alone.
func TestScaleTwice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		amount, a, b := amounts(1000).Draw(t, "amount"), factors.Draw(t, "a"), factors.Draw(t, "b")
		before := amount.RatString() + a.RatString()
		once, err := scaling.Scale(amount, a)
		require.NoError(t, err)
		twice, err := scaling.Scale(once, b)
		require.NoError(t, err)
		ab := new(big.Rat).Mul(a, b)
		if ab.Cmp(big.NewRat(scaling.MaxFactor, 1)) > 0 {
			return
		}
		straight, err := scaling.Scale(amount, ab)
		require.NoError(t, err)
		require.Zero(t, twice.Cmp(straight))
		require.Positive(t, twice.Sign())
		require.Equal(t, before, amount.RatString()+a.RatString())
	})
}

// subsets draws a house that has some of the usual measures, at least one.
var subsets = rapid.Custom(func(t *rapid.T) []scaling.Measure {
	have := rapid.IntRange(1, 1<<len(scaling.Household)-1).Draw(t, "have")
	var set []scaling.Measure
	for i, m := range scaling.Household {
		if have&(1<<i) != 0 {
			set = append(set, m)
		}
	}
	return set
})

// TestPoorHouse: in a house that lacks any of the measures, an answer uses those
// that are there, adds up to the error said, and is never nothing; up to six
// teaspoons it is the best there is.
func TestPoorHouse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		set := subsets.Draw(t, "set")
		teaspoons, tolerance := amounts(6).Draw(t, "teaspoons"), tolerances.Draw(t, "tolerance")
		m, err := scaling.NewKit(set).Measure(teaspoons, tolerance)
		require.NoError(t, err)
		require.Positive(t, total(m))
		want, _ := teaspoons.Float64()
		require.InEpsilon(t, float64(total(m))/8, want*(1+m.Error), 1e-9)
		for _, f := range m.Fills {
			require.Contains(t, set, f.Measure)
		}
		compare(t, m, bestOf(sizes(set), inEighths(teaspoons), tolerance))
	})
}

func sizes(set []scaling.Measure) []int {
	var out []int
	for _, m := range set {
		out = append(out, m.Eighths)
	}
	return out
}

// bestOf tries all sums that some number of fills can reach up to twice a cup,
// the fewest fills first.
func bestOf(sizes []int, target, tolerance float64) found {
	best := found{off: math.Inf(1)}
	reached, sums := map[int]bool{0: true}, []int{0}
	for n := 1; len(sums) > 0; n++ {
		var next []int
		for _, sum := range sums {
			for _, size := range sizes {
				to := sum + size
				if to >= 2*scaling.Cup || reached[to] {
					continue
				}
				reached[to] = true
				next = append(next, to)
				off := math.Abs(float64(to)/target - 1)
				best = best.or(found{off <= tolerance+1e-13, n, off})
			}
		}
		sums = next
	}
	return best
}

// TestManyCups: without a 1 cup measure, many cups still add up.
func TestManyCups(t *testing.T) {
	kit := scaling.NewKit(lacking("1 cup"))
	rapid.Check(t, func(t *rapid.T) {
		teaspoons := big.NewRat(rapid.Int64Range(1, 8*48*50).Draw(t, "eighths"), 8)
		m, err := kit.Measure(teaspoons, 0)
		require.NoError(t, err)
		require.True(t, m.Within)
		require.Zero(t, m.Cups)
		require.InDelta(t, inEighths(teaspoons), total(m), 0)
	})
}

// parts is what is measured out, in 1.25 ml.
func parts(m scaling.Metered) *big.Rat {
	sum := big.NewRat(int64(m.Jug), 1)
	for _, s := range m.Spoons {
		sum.Add(sum, new(big.Rat).Mul(s.ML, big.NewRat(int64(s.Times), 1)))
	}
	return sum.Quo(sum, big.NewRat(5, 4))
}

// TestMetricSums: what is measured out is the amount and the error said, never
// nothing, and the error keeps to the tolerance exactly when Within says so.
func TestMetricSums(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ml, tolerance := amounts(scaling.MaxMillilitres).Draw(t, "ml"), tolerances.Draw(t, "tolerance")
		before := ml.RatString()
		m, err := scaling.Metric(ml, tolerance)
		require.NoError(t, err)
		require.Equal(t, before, ml.RatString())
		sum, _ := parts(m).Float64()
		want, _ := ml.Float64()
		require.Positive(t, sum)
		require.InEpsilon(t, 1.25*sum, want*(1+m.Error), 1e-9)
		require.Equal(t, math.Abs(m.Error) <= tolerance, m.Within)
		require.Zero(t, m.Jug%scaling.JugMark)
		require.NotEmpty(t, m.String())
	})
}

// TestMetricFewest holds small metric amounts against a search of every mark of
// the jug with every handful of spoons.
func TestMetricFewest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ml, tolerance := amounts(150).Draw(t, "ml"), tolerances.Draw(t, "tolerance")
		m, err := scaling.Metric(ml, tolerance)
		require.NoError(t, err)
		target, _ := new(big.Rat).Quo(ml, big.NewRat(5, 4)).Float64()
		best := found{off: math.Inf(1)}
		for jug := 0; jug <= 160; jug += 20 {
			best = best.or(spooned(jug, target, tolerance))
		}
		require.Equal(t, best.within, m.Within, "%s", m)
		require.InDelta(t, best.off, math.Abs(m.Error), 1e-12, "%s", m)
		if !best.within {
			return
		}
		n := min(m.Jug, 1)
		for _, s := range m.Spoons {
			n += s.Times
		}
		require.Equal(t, best.items, n, "%s", m)
	})
}

// spooned is the best that a jug filled so far and up to four of each spoon make.
func spooned(jug int, target, tolerance float64) found {
	best := found{off: math.Inf(1)}
	for n := range 5 * 5 * 5 * 5 {
		a, b, c, d := n%5, n/5%5, n/25%5, n/125
		sum := jug + 12*a + 4*b + 2*c + d
		if sum == 0 {
			continue
		}
		off := math.Abs(float64(sum)/target - 1)
		best = best.or(found{off <= tolerance+1e-13, min(jug, 1) + a + b + c + d, off})
	}
	return best
}

// TestLimitingFits: the factor uses up what limits and asks no more than there
// is of anything, and what is short is what is missing for the recipe as written.
func TestLimitingFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		written, onHand := map[string]*big.Rat{}, map[string]*big.Rat{}
		for i := range rapid.IntRange(1, 6).Draw(t, "n") {
			name := fmt.Sprintf("ingredient %d", i)
			written[name] = amounts(1000).Draw(t, "written")
			if i == 0 || rapid.Bool().Draw(t, "listed") {
				onHand[name] = amounts(1000).Draw(t, "on hand")
			}
		}
		k, limits, short, err := scaling.Limiting(written, onHand)
		require.NoError(t, err)
		require.Zero(t, new(big.Rat).Mul(k, written[limits]).Cmp(onHand[limits]))
		for name, have := range onHand {
			require.LessOrEqual(t, new(big.Rat).Mul(k, written[name]).Cmp(have), 0, name)
			lack, isShort := short[name]
			require.Equal(t, have.Cmp(written[name]) < 0, isShort)
			if isShort {
				require.Zero(t, lack.Add(lack, have).Cmp(written[name]))
			}
		}
		require.Equal(t, k.Cmp(big.NewRat(1, 1)) < 0, len(short) > 0)
	})
}

// TestNiceIsNear: within 10 %, of a denominator that a kitchen has, and nice
// again what is nice.
func TestNiceIsNear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := factors.Draw(t, "k")
		n, ok := scaling.Nice(k)
		if !ok {
			require.Negative(t, k.Cmp(big.NewRat(5, 4)), "from 1 1/4 on there is always one")
			return
		}
		off, _ := new(big.Rat).Quo(n, k).Float64()
		require.InDelta(t, 1, off, 0.1+1e-12)
		require.Contains(t, []string{"1", "2", "3", "4"}, n.Denom().String())
		again, ok := scaling.Nice(n)
		require.True(t, ok)
		require.Zero(t, again.Cmp(n))
	})
}

// TestStartIsLess: one begins with no more than straight, no less than what is
// written, and with more for more.
func TestStartIsLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := rapid.SampledFrom(kinds()).Draw(t, "kind")
		k, more := factors.Draw(t, "k"), factors.Draw(t, "more")
		straight, _ := k.Float64()
		start, ok := kind.Start(k)
		require.LessOrEqual(t, start, straight)
		require.GreaterOrEqual(t, start, min(straight, 1))
		require.Equal(t, start < straight, ok)
		next, _ := kind.Start(new(big.Rat).Add(k, more))
		require.Greater(t, next, start)
	})
}

// lengths draws a size in centimetres.
var lengths = rapid.Float64Range(5, 60)

// TestPanThereAndBack: from one pan to the other and back is once, and pans of
// one depth give the same factor by area and by volume.
func TestPanThereAndBack(t *testing.T) {
	pans := rapid.Custom(func(t *rapid.T) scaling.Pan {
		p := scaling.Pan{Round: rapid.Bool().Draw(t, "round"), Length: lengths.Draw(t, "length"), Depth: 5}
		if p.Round {
			p.Hole = p.Length * rapid.Float64Range(0, 0.8).Draw(t, "hole")
			return p
		}
		p.Width = lengths.Draw(t, "width")
		return p
	})
	rapid.Check(t, func(t *rapid.T) {
		a, b := pans.Draw(t, "a"), pans.Draw(t, "b")
		there, err := scaling.PanFactor(a, b, false)
		require.NoError(t, err)
		back, err := scaling.PanFactor(b, a, false)
		require.NoError(t, err)
		require.InEpsilon(t, 1, there*back, 1e-9)
		volume, err := scaling.PanFactor(a, b, true)
		require.NoError(t, err)
		require.InEpsilon(t, there, volume, 1e-9)
	})
}

// TestDoughAddsUp: grams to percent and back are the grams, and a dough of any
// size weighs what it should.
func TestDoughAddsUp(t *testing.T) {
	grams := rapid.Float64Range(1, 5000)
	rapid.Check(t, func(t *rapid.T) {
		in := []scaling.Part{
			{Name: "wheat", Role: scaling.Flour, Amount: grams.Draw(t, "wheat")},
			{Name: "rye", Role: scaling.Flour, Amount: grams.Draw(t, "rye")},
			{Name: "water", Role: scaling.Water, Amount: grams.Draw(t, "water")},
			{Name: "starter", Role: scaling.Starter, Amount: grams.Draw(t, "starter"), Hydration: rapid.Float64Range(0, 200).Draw(t, "own")},
			{Name: "salt", Amount: grams.Draw(t, "salt")},
		}
		f, err := scaling.Bakers(in)
		require.NoError(t, err)
		var sum float64
		for _, p := range in {
			sum += p.Amount
		}
		back, err := f.ForDough(sum)
		require.NoError(t, err)
		for i, p := range back {
			require.InEpsilon(t, in[i].Amount, p.Amount, 1e-9, p.Name)
		}
		want := grams.Draw(t, "dough")
		parts, err := f.ForDough(want)
		require.NoError(t, err)
		sum = 0
		for _, p := range parts {
			sum += p.Amount
		}
		require.InEpsilon(t, want, sum, 1e-9)
	})
}

// TestHeights: higher is colder at the boil, all the way.
func TestHeights(t *testing.T) {
	last := math.Inf(1)
	for h := -430.0; h <= 9000; h += 10 {
		c, err := scaling.Boiling(h)
		require.NoError(t, err)
		require.Less(t, c, last)
		last = c
	}
}

func TestNotes(t *testing.T) {
	tests := []struct {
		name   string
		kinds  []scaling.Kind
		k      *big.Rat
		deeper bool
		want   []string // the beginnings, in order
	}{
		{"as written", kinds(), big.NewRat(1, 1), false, nil},
		{"only deeper", []scaling.Kind{scaling.Plain}, big.NewRat(1, 1), true, []string{"Deeper"}},
		{"plain, doubled", []scaling.Kind{scaling.Plain}, big.NewRat(2, 1), false, []string{"Same depth"}},
		{"plain, halved", []scaling.Kind{scaling.Plain}, big.NewRat(1, 2), false, nil},
		{"salt and spice, doubled", []scaling.Kind{scaling.Salt, scaling.Spice, scaling.Salt}, big.NewRat(2, 1), false, []string{"Salt and strong spice in a pot: start with 1.5 times", "Same depth"}},
		{"salt, times 4", []scaling.Kind{scaling.Salt}, big.NewRat(4, 1), true, []string{"Salt and strong spice in a pot: start with 2.25 times", "Deeper"}},
		{"herb, times 3", []scaling.Kind{scaling.Herb}, big.NewRat(3, 1), false, []string{"Dried herbs: start with 2.5 times", "Same depth"}},
		{"herb and hot pepper, doubled", []scaling.Kind{scaling.Herb, scaling.HotPepper}, big.NewRat(2, 1), false, []string{"Same depth"}},
		{"hot pepper, times 22", []scaling.Kind{scaling.HotPepper}, big.NewRat(22, 1), false, []string{"Hot pepper: start with 7 times", "Same depth"}},
		{"leavener, times 4", []scaling.Kind{scaling.Leavener}, big.NewRat(4, 1), false, []string{"Same depth"}},
		{"leavener, times 5", []scaling.Kind{scaling.Leavener}, big.NewRat(5, 1), false, []string{"Baking powder and soda", "Same depth"}},
		{"what is never free, halved", kinds(), big.NewRat(1, 2), false, []string{"Curing salt", "Pectin", "Thickener", "Fat", "Eggs"}},
		{"all, times 5", kinds(), big.NewRat(5, 1), false, []string{"Curing salt", "Pectin", "Salt", "Dried herbs", "Hot pepper", "Baking powder", "Yeast", "Thickener", "Fat", "Eggs", "Same depth"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := scaling.Notes(tt.kinds, tt.k, tt.deeper)
			require.Len(t, got, len(tt.want), "%q", got)
			for i, begin := range tt.want {
				require.True(t, strings.HasPrefix(got[i], begin), "%q", got[i])
				require.True(t, strings.HasSuffix(got[i], "."), "%q", got[i])
			}
		})
	}
}

// FuzzKindOf: any text has a kind, the same in lower case, with marks around it
// and with a "for" after it.
func FuzzKindOf(f *testing.F) {
	for _, seed := range []string{"2 cups salted butter", "crème fraîche", "", "’s", "in oil", "İ\xff", "bay leaves, dried", "for for"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		kind := scaling.KindOf(text)
		require.Contains(t, kinds(), kind)
		require.Equal(t, kind, scaling.KindOf(strings.ToLower(text)))
		require.Equal(t, kind, scaling.KindOf("(2.5) "+text+" ..."))
		if strings.ContainsFunc(text, func(r rune) bool { return r >= 'a' && r <= 'z' }) {
			require.Equal(t, kind, scaling.KindOf(text+" for curing salt"))
		}
	})
}

// K7: milk limits, and half the recipe can be made.
func ExampleLimiting() {
	written := map[string]*big.Rat{"flour": big.NewRat(500, 1), "milk": big.NewRat(300, 1), "egg": big.NewRat(3, 1)}
	onHand := map[string]*big.Rat{"flour": big.NewRat(400, 1), "milk": big.NewRat(150, 1), "egg": big.NewRat(2, 1)}
	k, limits, short, _ := scaling.Limiting(written, onHand)
	fmt.Println(k.RatString(), limits, short["egg"].RatString())
	// Output: 1/2 milk 1
}

func ExampleMetric() {
	cup := big.NewRat(473176473, 2_000_000)
	m, _ := scaling.Metric(cup, 0.02)
	fmt.Printf("%s (%+.1f %%)\n", m, 100*m.Error)
	// Output: 225 ml + 15 ml spoon (+1.4 %)
}

func ExamplePanFactor() {
	square, large := scaling.Pan{Length: 20.32, Width: 20.32}, scaling.Pan{Length: 33.02, Width: 22.86}
	k, _ := scaling.PanFactor(square, large, false)
	fmt.Printf("%.2f\n", k)
	// Output: 1.83
}

func ExampleFormula_ForDough() {
	f, _ := scaling.SourdoughFormula(72, 2, 20, 100)
	parts, _ := f.ForDough(3400)
	for _, p := range parts {
		fmt.Printf("%s %.1f g\n", p.Name, p.Amount)
	}
	// Output:
	// flour 1758.6 g
	// water 1211.5 g
	// salt 39.1 g
	// starter 390.8 g
}

func ExampleKindOf() {
	fmt.Println(scaling.KindOf("2 tsp kosher salt"), scaling.KindOf("salted butter"), scaling.KindOf("bicarbonate of soda"))
	// Output: salt fat leavener
}
