package kitchen

import (
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/measure"
	"yardbell/calc/scaling"
	"yardbell/handlers/phrase"
)

// TestScalingTwice: a line scaled by a and then by b is the line scaled by ab. Amounts
// are rationals until they are written, so the two are equal, not nearly so.
func TestScalingTwice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		factor := func(name string) *big.Rat {
			return big.NewRat(rapid.Int64Range(1, 40).Draw(t, name), rapid.Int64Range(1, 12).Draw(t, name+" below"))
		}
		a, b := factor("a"), factor("b")
		in := understand(rapid.SampledFrom([]string{"1/3 cup cream", "200 g barley", "2 lb corn", "3 carrots", "1 1/2 tsp oil", "2-3 cups stock", "2 x 400 g tins tomatoes"}).Draw(t, "line"), monday)
		once := in
		once.amount = new(big.Rat).Mul(in.amount, a)
		if in.top != nil {
			once.top = new(big.Rat).Mul(in.top, a)
		}
		require.Equal(t, in.times(new(big.Rat).Mul(a, b)), once.times(b))
	})
}

// TestSpoonsAddUp: what is written in cups and spoons reads back as the amount that was
// meant, within the 2 % (4 % for spices) that the desk promises, or says by how much not.
func TestSpoonsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unit := rapid.SampledFrom([]*measure.Unit{measure.Teaspoon, measure.Tablespoon, measure.Cup}).Draw(t, "unit")
		v := big.NewRat(rapid.Int64Range(1, 200).Draw(t, "amount"), rapid.Int64Range(1, 24).Draw(t, "below"))
		tsp, err := measure.Quantity{Amount: v, Unit: unit}.In(measure.Teaspoon)
		require.NoError(t, err)
		if scaling.Pinch(tsp.Amount) {
			return // below the smallest spoon
		}
		text := spoons(measure.Quantity{Amount: v, Unit: unit}, "stock")
		r := phrase.Read(text, phrase.Tokens(text), monday, phrase.Query{Kinds: []phrase.Kind{phrase.KindQuantity, phrase.KindNumber}})
		m, err := scaling.UsualKit().Measure(tsp.Amount, scaling.KindOf("stock").Tolerance())
		require.NoError(t, err)
		require.NotEmpty(t, r.Spans)
		sum := big.NewRat(int64(m.Cups)*scaling.Cup, 8)
		for _, p := range m.Fills {
			sum.Add(sum, big.NewRat(int64(p.Times*p.Eighths), 8))
		}
		off, _ := new(big.Rat).Quo(new(big.Rat).Sub(sum, tsp.Amount), tsp.Amount).Float64()
		require.InDelta(t, m.Error, off, 1e-9)
		if off > 0.0201 || off < -0.0201 {
			require.Contains(t, text, "exact", "an error beyond the promise is said")
		}
	})
}
