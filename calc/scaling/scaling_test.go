package scaling_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/big"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/scaling"
)

// inTeaspoons are the sizes of the units of measures.csv (NIST Handbook 44
// Appendix C: 1 cup = 16 tbsp, 1 tbsp = 3 tsp).
var inTeaspoons = map[string]int64{"tsp": 1, "tbsp": 3, "cup": 48}

// outside are the rows for which no combination lies in the window.
var outside = map[string]bool{"R17": true}

// without are the rows of a house that lacks a measure.
var without = map[string]string{"R20": "1/8 cup"}

// TestTable runs every row of testdata/checks/measures.csv. Where a row gives
// more than one answer, the first is the one wanted.
func TestTable(t *testing.T) {
	rows := measureRows(t)
	require.Len(t, rows, 22)
	for _, row := range rows {
		t.Run(row["id"], func(t *testing.T) {
			amount := new(big.Rat).Mul(mixed(t, row["amount"]), mixed(t, row["factor"]))
			amount.Mul(amount, big.NewRat(inTeaspoons[row["unit"]], 1))
			kit := scaling.NewKit(lacking(without[row["id"]]))
			got, err := kit.Measure(amount, number(t, row["tolerance"]))
			require.NoError(t, err)
			want, _, _ := strings.Cut(row["expect"], "|")
			require.Equal(t, want, got.String())
			require.InDelta(t, number(t, row["error_pct"]), 100*got.Error, 0.01)
			require.Equal(t, !outside[row["id"]], got.Within)
		})
	}
}

func measureRows(t *testing.T) []map[string]string {
	t.Helper()
	f, err := os.Open("../../testdata/checks/measures.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.NotEmpty(t, rows)
	var out []map[string]string
	for _, row := range rows[1:] {
		cells := map[string]string{}
		for i, name := range rows[0] {
			cells[name] = row[i]
		}
		out = append(out, cells)
	}
	return out
}

// mixed reads "2.5", "7/8" and "1 1/2".
func mixed(t *testing.T, text string) *big.Rat {
	t.Helper()
	sum := new(big.Rat)
	for _, part := range strings.Fields(text) {
		r, ok := new(big.Rat).SetString(part)
		require.True(t, ok, "%q is no number", text)
		sum.Add(sum, r)
	}
	return sum
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	f, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return f
}

func lacking(name string) []scaling.Measure {
	var set []scaling.Measure
	for _, m := range scaling.Household {
		if m.Name != name {
			set = append(set, m)
		}
	}
	return set
}

// TestHousehold: the sizes are those of the names (NIST Handbook 44 Appendix C),
// the order is largest first.
func TestHousehold(t *testing.T) {
	require.Equal(t, int(8*inTeaspoons["cup"]), scaling.Cup)
	for i, m := range scaling.Household {
		t.Run(m.Name, func(t *testing.T) {
			figure, unit, _ := strings.Cut(m.Name, " ")
			want := new(big.Rat).Mul(mixed(t, figure), big.NewRat(8*inTeaspoons[unit], 1))
			require.Equal(t, want.RatString(), strconv.Itoa(m.Eighths))
			if i > 0 {
				require.Less(t, m.Eighths, scaling.Household[i-1].Eighths)
			}
		})
	}
}

func TestOutOfRange(t *testing.T) {
	tests := []struct {
		name      string
		teaspoons *big.Rat
		ok        bool
	}{
		{"below zero", big.NewRat(-1, 8), false},
		{"zero", new(big.Rat), false},
		{"far less than the smallest spoon", big.NewRat(1, 1_000_000), true},
		{"the most", big.NewRat(scaling.MaxTeaspoons, 1), true},
		{"just above the most", big.NewRat(8*scaling.MaxTeaspoons+1, 8), false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := scaling.UsualKit().Measure(tt.teaspoons, 0.02)
			if !tt.ok {
				require.ErrorContains(t, err, "out of range")
				require.Zero(t, got)
				return
			}
			require.NoError(t, err)
			require.Positive(t, total(got))
		})
	}
}

// total is the sum of what is measured out, in eighths of a teaspoon.
func total(m scaling.Measured) int {
	sum := m.Cups * scaling.Cup
	for _, f := range m.Fills {
		sum += f.Times * f.Eighths
	}
	return sum
}

// items counts the fills; whole cups are one item (see Measured).
func items(m scaling.Measured) int {
	n := min(m.Cups, 1)
	for _, f := range m.Fills {
		n += f.Times
	}
	return n
}

// TestSums: what is measured out is the amount and the error stated, and the
// error keeps to the tolerance exactly when Within says so.
func TestSums(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		teaspoons := amounts(100_000).Draw(t, "teaspoons")
		tolerance := tolerances.Draw(t, "tolerance")
		before := new(big.Rat).Set(teaspoons)
		m, err := scaling.UsualKit().Measure(teaspoons, tolerance)
		require.NoError(t, err)
		require.Equal(t, before.RatString(), teaspoons.RatString(), "the argument was changed")
		want, _ := teaspoons.Float64()
		require.InEpsilon(t, float64(total(m))/8, want*(1+m.Error), 1e-9)
		require.Equal(t, math.Abs(m.Error) <= tolerance, m.Within)
		last := math.MaxInt
		for _, f := range m.Fills {
			require.Less(t, f.Eighths, last, "not the largest first: %s", m)
			require.Positive(t, f.Times)
			last = f.Eighths
		}
	})
}

// amounts draws teaspoons in the parts that scaling a recipe leads to.
func amounts(most int64) *rapid.Generator[*big.Rat] {
	return rapid.Custom(func(t *rapid.T) *big.Rat {
		denom := rapid.SampledFrom([]int64{1, 2, 3, 4, 7, 8, 9, 10, 24, 1000}).Draw(t, "denom")
		return big.NewRat(rapid.Int64Range(1, most*denom).Draw(t, "num"), denom)
	})
}

var tolerances = rapid.SampledFrom([]float64{0, 0.001, 0.01, 0.02, 0.05, 0.1})

// TestFewestFills holds amounts up to a cup against a search that tries every
// handful of measures.
func TestFewestFills(t *testing.T) {
	for _, kit := range []struct{ name, lacks string }{{"usual", ""}, {"no 1/8 cup", "1/8 cup"}, {"no 1 tbsp", "1 tbsp"}} {
		t.Run(kit.name, func(t *testing.T) {
			set := lacking(kit.lacks)
			k := scaling.NewKit(set)
			rapid.Check(t, func(t *rapid.T) {
				teaspoons := amounts(inTeaspoons["cup"]).Draw(t, "teaspoons")
				tolerance := tolerances.Draw(t, "tolerance")
				m, err := k.Measure(teaspoons, tolerance)
				require.NoError(t, err)
				compare(t, m, search(set, teaspoons, tolerance, 0))
			})
		})
	}
}

// TestFewestFillsAboveACup: the whole cups come first, as many as fit or one
// more, and the search is for the rest.
func TestFewestFillsAboveACup(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		teaspoons := amounts(5*inTeaspoons["cup"]).Draw(t, "teaspoons")
		tolerance := tolerances.Draw(t, "tolerance")
		m, err := scaling.UsualKit().Measure(teaspoons, tolerance)
		require.NoError(t, err)
		whole := int(inEighths(teaspoons)) / scaling.Cup
		want := search(scaling.Household, teaspoons, tolerance, whole).or(search(scaling.Household, teaspoons, tolerance, whole+1))
		compare(t, m, want)
	})
}

// found is the outcome of a search: the items of the best answer and how far
// off it is, or only how near anything came.
type found struct {
	within bool
	items  int
	off    float64
}

func compare(t *rapid.T, got scaling.Measured, want found) {
	require.Equal(t, want.within, got.Within, "%s", got)
	require.InDelta(t, want.off, math.Abs(got.Error), 1e-12, "%s", got)
	if want.within {
		require.Equal(t, want.items, items(got), "%s", got)
	}
}

// or is the better of two.
func (f found) or(o found) found {
	switch {
	case f.within != o.within:
		if f.within {
			return f
		}
		return o
	case f.within && f.items != o.items:
		if f.items < o.items {
			return f
		}
		return o
	case o.off < f.off:
		return o
	}
	return f
}

// search adds one fill at a time to all sums reached so far, beginning with a
// number of whole cups, and takes the nearest sum of the first round that has
// one in the window. Ten rounds reach every sum below a cup.
func search(set []scaling.Measure, teaspoons *big.Rat, tolerance float64, cups int) found {
	const rounds = 10
	target := inEighths(teaspoons)
	best := found{off: math.Inf(1)}
	sums := map[int]bool{cups * scaling.Cup: true}
	for n := min(cups, 1); n <= rounds; n++ {
		for sum := range sums {
			if sum == 0 {
				continue // nothing measured is no answer
			}
			off := math.Abs(float64(sum)/target - 1)
			// the hair is for the rounding of the line above
			best = best.or(found{off <= tolerance+1e-13, n, off})
		}
		if best.within {
			break
		}
		sums = oneMore(sums, set, (cups+1)*scaling.Cup)
	}
	return best
}

func oneMore(sums map[int]bool, set []scaling.Measure, most int) map[int]bool {
	next := map[int]bool{}
	for sum := range sums {
		for _, m := range set {
			if sum+m.Eighths <= most {
				next[sum+m.Eighths] = true
			}
		}
	}
	return next
}

func inEighths(teaspoons *big.Rat) float64 {
	f, _ := new(big.Rat).Mul(teaspoons, big.NewRat(8, 1)).Float64()
	return f
}

// TestFewestTools: of the ways to fill an exact amount equally often, the one
// with the fewest different measures is wanted (see Kit.Measure).
func TestFewestTools(t *testing.T) {
	for v := 1; v < scaling.Cup; v++ {
		m, err := scaling.UsualKit().Measure(big.NewRat(int64(v), 8), 0)
		require.NoError(t, err)
		require.Equal(t, fewestTools(scaling.Household, v, items(m)), len(m.Fills), "%d eighths of a teaspoon: %s", v, m)
	}
}

// fewestTools tries every number of fills of the first measure of the set and
// goes on with the rest; impossible is more than any set holds.
func fewestTools(set []scaling.Measure, eighths, fills int) int {
	const impossible = 100
	if eighths == 0 && fills == 0 {
		return 0
	}
	if len(set) == 0 || fills == 0 {
		return impossible
	}
	best := fewestTools(set[1:], eighths, fills)
	for n := 1; n <= fills && n*set[0].Eighths <= eighths; n++ {
		best = min(best, 1+fewestTools(set[1:], eighths-n*set[0].Eighths, fills-n))
	}
	return best
}

// 2 1/4 cups times 1 1/4 is row R10 of measures.csv, and R10b with 5 % to spare.
func ExampleKit_Measure() {
	teaspoons := big.NewRat(9*48*5, 4*4)
	exact, _ := scaling.UsualKit().Measure(teaspoons, 0)
	near, _ := scaling.UsualKit().Measure(teaspoons, 0.05)
	fmt.Println(exact)
	fmt.Printf("%s (%.2f %%)\n", near, 100*near.Error)
	// Output:
	// 2 cups + 3/4 cup + 1 tbsp
	// 2 cups + 3/4 cup (-2.22 %)
}
