package picture

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestAxis: worked by hand.
func TestAxis(t *testing.T) {
	tests := []struct {
		low, high float64
		want      []string
	}{
		{1325, 1497, []string{"1300", "1350", "1400", "1450", "1500"}},
		{0, 42, []string{"0", "10", "20", "30", "40", "50"}},
		{90.37, 102.34, []string{"90", "92", "94", "96", "98", "100", "102", "104"}},
		{-0.3, 0.25, []string{"-0.3", "-0.2", "-0.1", "0.0", "0.1", "0.2", "0.3"}},
		{-8, -7.999, []string{"-8.0000", "-7.9998", "-7.9996", "-7.9994", "-7.9992", "-7.9990"}},
		{5, 5, []string{"4.0", "4.5", "5.0", "5.5", "6.0"}},
	}
	for _, tt := range tests {
		x := widened(tt.low, tt.high, 6)
		require.GreaterOrEqual(t, x.high, tt.high)
		var got []string
		for _, v := range x.ticks() {
			got = append(got, x.label(v))
		}
		require.Equal(t, tt.want, got)
	}
}

// TestAxisHolds: the range lies within the axis, which has some round numbers and not
// too many, each with a label of its own.
func TestAxisHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-1e6, 1e6).Draw(t, "low")
		high := low + math.Pow(10, rapid.Float64Range(-3, 7).Draw(t, "span"))
		x := widened(low, high, 6)
		require.LessOrEqual(t, x.low, low)
		require.GreaterOrEqual(t, x.high, high)
		ticks := x.ticks()
		require.GreaterOrEqual(t, len(ticks), 2)
		require.LessOrEqual(t, len(ticks), 9)
		seen := map[string]bool{}
		for _, v := range ticks {
			require.False(t, seen[x.label(v)], x.label(v))
			seen[x.label(v)] = true
		}
	})
}
