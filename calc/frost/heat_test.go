package frost_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/frost"
)

// TestDegreeDays holds the formula against the area under the sine itself.
func TestDegreeDays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-30, 35).Draw(t, "min")
		high := low + rapid.Float64Range(0, 30).Draw(t, "swing")
		base := rapid.Float64Range(-5, 20).Draw(t, "base")
		upper := base + rapid.Float64Range(0.5, 30).Draw(t, "room")
		got, err := frost.DegreeDays(low, high, base, upper)
		require.NoError(t, err)
		const points = 20000
		area := 0.0
		for i := range points {
			now := (low+high)/2 + (high-low)/2*math.Sin(2*math.Pi*(float64(i)+0.5)/points)
			area += math.Min(math.Max(now, base), upper) - base
		}
		require.InDelta(t, area/points, got, 0.002)
	})
}

func TestDegreeDaysRefuses(t *testing.T) {
	for _, c := range [][4]float64{
		{math.NaN(), 20, 10, 30},
		{5, math.Inf(1), 10, 30},
		{5, 20, math.Inf(-1), 30},
		{5, 20, 10, math.NaN()},
		{-1e300, 1e300, 10, 30},
		{20, 5, 10, 30},
		{5, 20, 10, 10},
		{5, 20, 30, 10},
	} {
		got, err := frost.DegreeDays(c[0], c[1], c[2], c[3])
		require.ErrorIs(t, err, frost.ErrTemperature, "%v", c)
		require.Zero(t, got)
	}
}

func TestHeat(t *testing.T) {
	w := mild(t, "2027-05-01", "2027-05-31", 150) // 15 to 25 degrees: 10 above a base of 10
	w.drop(t, "2027-05-10", 2)
	s := w.series(t)
	for _, c := range []struct {
		from, to    string
		base, upper float64
		sum         float64
		missing     int
	}{
		{"2027-05-01", "2027-05-01", 10, 30, 10, 0},
		{"2027-05-01", "2027-05-31", 10, 30, 290, 2},
		{"2027-04-21", "2027-06-05", 10, 30, 290, 17},
		{"2026-01-01", "2026-01-31", 10, 30, 0, 31},
		{"2027-05-02", "2027-05-01", 10, 30, 0, 0},
		{"2027-05-01", "2027-05-05", 30, 10, 0, 5},
		{"2027-05-01", "2027-05-05", math.NaN(), 10, 0, 5},
	} {
		sum, missing := s.Heat(day(t, c.from), day(t, c.to), c.base, c.upper)
		require.InDelta(t, c.sum, sum, 1e-9, "%+v", c)
		require.Equal(t, c.missing, missing, "%+v", c)
	}
	only, _, err := frost.Read("2027-05-01,15\n2027-05-02,15\n", frost.Celsius)
	require.NoError(t, err)
	sum, missing := only.Heat(day(t, "2027-05-01"), day(t, "2027-05-02"), 10, 30)
	require.Zero(t, sum)
	require.Equal(t, 2, missing)
}

// TestReached: twelve summers with 5 to 15 degrees, of which each day gives the same.
func TestReached(t *testing.T) {
	w := twelve(t)
	one, err := frost.DegreeDays(5, 15, 8, 30)
	require.NoError(t, err)
	n, err := frost.Compute(w.series(t), frost.Freeze, false)
	require.NoError(t, err)
	plant := frost.MonthDay{Month: 6, Day: 1}
	days := 30 + 31 + 31 + 19 // 1 June to 19 September
	for _, c := range []struct {
		name    string
		sum     float64
		gap     int
		yes, of int
	}{
		{"just", float64(days) * one, 0, 12, 12},
		{"a little more", float64(days)*one + 0.01, 0, 0, 12},
		{"nine missing count as nothing", float64(days) * one, 9, 11, 12},
		{"nine missing, yet reached", float64(days-9) * one, 9, 12, 12},
		{"ten missing", 1, 10, 11, 11},
		{"negative", -1, 0, 0, 0},
		{"no number", math.NaN(), 0, 0, 0},
	} {
		gappy := twelve(t)
		gappy.drop(t, "2005-07-01", c.gap)
		yes, of := gappy.series(t).Reached(n, plant, 8, 30, c.sum-1e-6)
		require.Equal(t, []int{c.yes, c.of}, []int{yes, of}, c.name)
	}
	yes, of := w.series(t).Reached(n, frost.MonthDay{Month: 10, Day: 1}, 8, 30, 0)
	require.Equal(t, []int{0, 12}, []int{yes, of}, "planted after the freeze")
	yes, of = w.series(t).Reached(n, frost.MonthDay{}, 8, 30, 0)
	require.Equal(t, []int{0, 0}, []int{yes, of})
}

// TestReachedWithoutFreeze: such a year ends with December.
func TestReachedWithoutFreeze(t *testing.T) {
	s := mild(t, "2000-08-01", "2012-07-31", 50).series(t)
	n, err := frost.Compute(s, frost.Freeze, false)
	require.NoError(t, err)
	sum, missing := s.Heat(day(t, "2005-10-01"), day(t, "2005-12-31"), 8, 30)
	require.Zero(t, missing)
	yes, of := s.Reached(n, frost.MonthDay{Month: 10, Day: 1}, 8, 30, sum-1e-6)
	require.Equal(t, []int{11, 11}, []int{yes, of})
	yes, of = s.Reached(n, frost.MonthDay{Month: 10, Day: 1}, 8, 30, sum+1e-6)
	require.Equal(t, []int{0, 11}, []int{yes, of})
}
