package flock_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/calc/flock"
)

// even is a flock of twelve at 75 % for so many days.
func even(n int) []flock.Day {
	counts := []int{9, 10, 8, 9, 10, 8, 9}
	out := make([]flock.Day, n)
	for i := range out {
		out[i] = flock.Day{Hens: 12, Eggs: counts[i%len(counts)], Counted: true}
	}
	return out
}

func with(days []flock.Day, hens int, eggs ...int) []flock.Day {
	for _, e := range eggs {
		days = append(days, flock.Day{Hens: hens, Eggs: e, Counted: true})
	}
	return days
}

func judge(t *testing.T, days []flock.Day, s flock.Season) flock.Verdict {
	t.Helper()
	v, err := flock.Judge(days, s)
	require.NoError(t, err)
	return v
}

func names(causes []flock.Cause) []string {
	var out []string
	for _, c := range causes {
		out = append(out, c.Name)
	}
	return out
}

func TestRefused(t *testing.T) {
	tests := map[string][]flock.Day{
		"none":                   {},
		"hens below none":        {{Hens: -1}},
		"eggs below none":        {{Hens: 3, Eggs: -1, Counted: true}},
		"eggs of no hens":        {{Eggs: 2, Counted: true}},
		"far too many":           {{Hens: 200_000}},
		"over days that are not": {{Hens: 3, Eggs: 4, Counted: true, Over: 2}},
		"over a counted day":     {{Hens: 3}, {Hens: 3, Eggs: 2, Counted: true}, {Hens: 3, Eggs: 4, Counted: true, Over: 2}},
		"over below none":        {{Hens: 3, Eggs: 1, Counted: true, Over: -1}},
	}
	for name, days := range tests {
		t.Run(name, func(t *testing.T) {
			_, err := flock.Judge(days, flock.Season{})
			require.ErrorIs(t, err, flock.ErrDays)
			_, err = flock.HenDay(days)
			require.ErrorIs(t, err, flock.ErrDays)
			_, err = flock.HenHoused(days)
			require.ErrorIs(t, err, flock.ErrDays)
			_, err = flock.Spread(days)
			require.ErrorIs(t, err, flock.ErrDays)
		})
	}
	for _, s := range []flock.Season{{Light: 25}, {LightBefore: -1}, {Weeks: -1}, {AirC: math.NaN()}, {Light: math.Inf(1)}} {
		_, err := flock.Judge(even(3), s)
		require.ErrorIs(t, err, flock.ErrDays)
	}
}

func TestTailAtTheEdges(t *testing.T) {
	require.Zero(t, flock.Tail(12, -1, 0.5))
	require.Equal(t, 1.0, flock.Tail(12, 12, 0.5))
	require.Equal(t, 1.0, flock.Tail(12, 0, 0))
	require.Zero(t, flock.Tail(12, 11, 1))
	require.Equal(t, 1.0, flock.Tail(12, 12, 1))
	require.True(t, math.IsNaN(flock.Tail(12, 3, math.NaN())))
	require.Equal(t, -1, flock.Limit(12, 0, 0.005))
	require.Equal(t, 11, flock.Limit(12, 1, 0.005))
	require.Equal(t, -1, flock.Limit(0, 0.5, 0.005))
}

// TestFewerHens: a fox takes six of 24, and the rest lay on. The count falls, the rate
// does not.
func TestFewerHens(t *testing.T) {
	var days []flock.Day
	for i := range 30 {
		days = with(days, 24, 18+i%3-1)
	}
	require.Equal(t, flock.Steady, judge(t, with(days, 18, 13, 14, 13), flock.Season{}).State)
	require.Equal(t, flock.Drop, judge(t, with(days, 24, 13, 14, 13), flock.Season{}).State)
}

func TestGapIsNoZero(t *testing.T) {
	days := append(even(20), flock.Day{Hens: 12}, flock.Day{Hens: 12})
	require.Equal(t, flock.NoCount, judge(t, days, flock.Season{}).State)
	v := judge(t, with(days, 12, 9), flock.Season{})
	require.Equal(t, flock.Steady, v.State)
	require.InDelta(t, 9, v.Expected, 0.2)
}

// TestAfterGap: a count after a gap may hold the eggs of two days, so it raises no
// usual rate; said to be of two days it is judged by two days' hens.
func TestAfterGap(t *testing.T) {
	gap := append(even(20), flock.Day{Hens: 12})
	v := judge(t, with(gap, 12, 16), flock.Season{})
	require.Equal(t, flock.Steady, v.State)
	require.True(t, v.TooMany)
	two := append(gap, flock.Day{Hens: 12, Eggs: 10, Counted: true, Over: 2})
	v = judge(t, two, flock.Season{})
	require.Equal(t, 24, v.Hens)
	require.False(t, v.TooMany)
	require.Equal(t, flock.Drop, v.State)
	require.Contains(t, v.Fired, flock.ByDay)
}

// TestAfterGapsNothingIsUsual: every third count holds the eggs of an uncounted day.
func TestAfterGapsNothingIsUsual(t *testing.T) {
	var days []flock.Day
	for range 12 {
		days = append(with(days, 12, 9, 9), flock.Day{Hens: 12})
		days = with(days, 12, 18)
	}
	v := judge(t, with(days, 12, 9), flock.Season{})
	require.InDelta(t, 0.75, v.Usual, 1e-9)
	require.InDelta(t, 9, v.Smoothed, 1e-9)
	require.Equal(t, flock.Steady, v.State)
}

// TestAfterGapHidesNoDrop: what is more than an egg a hen is of the days before.
func TestAfterGapHidesNoDrop(t *testing.T) {
	days := append(even(20), flock.Day{Hens: 12}, flock.Day{Hens: 12})
	v := judge(t, with(days, 12, 26, 2, 5), flock.Season{})
	require.Equal(t, 19, v.Sum)
	require.Contains(t, v.Fired, flock.ByThreeDays)
}

// TestLongAgoIsNotUsual: after ten weeks without a count the flock is learnt anew.
func TestLongAgoIsNotUsual(t *testing.T) {
	days := append(even(30), make([]flock.Day, 70)...)
	v := judge(t, with(days, 12, 2), flock.Season{})
	require.Equal(t, flock.Learn, v.State)
	require.Equal(t, flock.Least, v.Short)
}

// TestSuddenRingsAfterSlow: a slow drop that was rung does not keep a sudden one quiet.
func TestSuddenRingsAfterSlow(t *testing.T) {
	days := with(even(35), 12, 7, 7, 7, 7, 7, 7)
	slow := judge(t, days, flock.Season{})
	require.Equal(t, []flock.Test{flock.BySmoothed}, slow.Fired)
	require.True(t, slow.Ring)
	sudden := judge(t, with(days, 12, 3), flock.Season{})
	require.True(t, sudden.Sudden())
	require.True(t, sudden.Ring)
	require.False(t, judge(t, with(days, 12, 3, 3), flock.Season{}).Ring)
}

// TestEverySecondDay: a household that counts every second day, and says so, is judged
// as well.
func TestEverySecondDay(t *testing.T) {
	var days []flock.Day
	for i := range 20 {
		days = append(days, flock.Day{Hens: 12}, flock.Day{Hens: 12, Eggs: 17 + i%3, Counted: true, Over: 2})
	}
	require.Equal(t, flock.Steady, judge(t, days, flock.Season{}).State)
	days = append(days, flock.Day{Hens: 12}, flock.Day{Hens: 12, Eggs: 9, Counted: true, Over: 2})
	require.True(t, judge(t, days, flock.Season{}).Ring)
}

// TestLateCollection: one low and one high day is two rings at most of one drop, and
// back inside it is over.
func TestLateCollection(t *testing.T) {
	days := with(even(20), 12, 4)
	require.True(t, judge(t, days, flock.Season{}).Ring)
	v := judge(t, with(days, 12, 14), flock.Season{})
	require.False(t, v.Ring)
	require.True(t, v.TooMany)
	require.Equal(t, flock.Steady, judge(t, with(days, 12, 14, 9), flock.Season{}).State)
}

func TestRingsOnceAWeek(t *testing.T) {
	course, err := flock.Course(with(even(28), 12, 3, 2, 3, 4, 2, 3, 3, 2, 3, 4, 3, 2, 3, 3, 2), flock.Season{})
	require.NoError(t, err)
	var rung []int
	for i, v := range course[28:] {
		require.Equal(t, flock.Drop, v.State, "day %d", i+1)
		if v.Ring {
			rung = append(rung, i+1)
		}
	}
	require.Equal(t, []int{1, 8, 15}, rung)
}

// TestRingsAgainAfterBackInside: a new drop in the same week is a new one.
func TestRingsAgainAfterBackInside(t *testing.T) {
	days := with(even(28), 12, 4, 12, 11)
	require.Equal(t, flock.Steady, judge(t, days, flock.Season{}).State)
	require.True(t, judge(t, with(days, 12, 3), flock.Season{}).Ring)
}

// TestFlaggedDaysDoNotLowerTheUsual: a week of a drop is not what the next is held
// against; three weeks are.
func TestFlaggedDaysDoNotLowerTheUsual(t *testing.T) {
	days := even(35)
	low := []int{4, 3, 4, 4, 3, 4, 3}
	for range 2 {
		days = with(days, 12, low...)
	}
	require.InDelta(t, 0.75, judge(t, days, flock.Season{}).Usual, 0.01)
	for range 3 {
		days = with(days, 12, low...)
	}
	v := judge(t, days, flock.Season{})
	require.Equal(t, flock.Steady, v.State)
	require.InDelta(t, 0.3, v.Usual, 0.02)
}

// TestUnevenStillSeesNoEggs: too uneven for a day's count, not for three days with none.
func TestUnevenStillSeesNoEggs(t *testing.T) {
	var days []flock.Day
	for range 2 {
		days = with(days, 12, 9, 12, 6, 10, 5, 11, 9, 12, 6, 8, 11, 5, 10, 12)
	}
	v := judge(t, with(days, 12, 0), flock.Season{})
	require.Equal(t, flock.Uneven, v.State)
	require.Greater(t, v.Spread, flock.TooUneven)
	v = judge(t, with(days, 12, 0, 0, 0), flock.Season{})
	require.Equal(t, flock.Drop, v.State)
	require.Equal(t, []flock.Test{flock.ByThreeDays}, v.Fired)
}

// TestPulletsAreNotUneven: a flock coming into lay rises from little to much.
func TestPulletsAreNotUneven(t *testing.T) {
	var days []flock.Day
	for i := range 35 {
		days = with(days, 12, min(i/3, 11))
	}
	require.Equal(t, flock.Steady, judge(t, days, flock.Season{}).State)
}

// TestMoultIsNoAlarmAndAFoxIs: the same flock slides in autumn and then loses most of
// its eggs from one day to the next.
func TestMoultIsNoAlarmAndAFoxIs(t *testing.T) {
	var days []flock.Day
	for i := range 35 {
		days = with(days, 24, 18+i%3-1)
	}
	for _, eggs := range []int{18, 17, 17, 16, 17, 16, 15, 16, 15, 15, 14, 14, 14, 13, 14, 13, 12, 13, 12, 12} {
		days = with(days, 24, eggs)
	}
	course, err := flock.Course(days, autumn)
	require.NoError(t, err)
	for _, v := range course {
		require.False(t, v.Ring)
	}
	slide := course[len(course)-1]
	require.Equal(t, flock.Slide, slide.State)
	require.Equal(t, []string{"short days", "moult", "age"}, names(slide.Causes)[:3])

	unsaid := judge(t, days, flock.Season{})
	require.Equal(t, flock.Drop, unsaid.State, "with no season it is a drop")

	fox := judge(t, with(days, 24, 3), autumn)
	require.True(t, fox.Ring)
	require.True(t, fox.Sudden())
	require.Equal(t, "water", fox.Causes[0].Name)
}

// TestSeenMoultGoesInSteps: once the moult was seen, a step a day down to nothing rings
// nothing, and without it does; eggs that are gone from one day to the next ring all the same.
func TestSeenMoultGoesInSteps(t *testing.T) {
	seen := flock.Season{Moulting: true}
	var days []flock.Day
	for i := range 30 {
		days = with(days, 24, 18+i%3-1)
	}
	steps := []int{15, 13, 11, 9, 7, 5, 3, 1, 0}
	rings := func(season flock.Season) (rung int) {
		for i := range steps {
			if judge(t, with(days, 24, steps[:i+1]...), season).Ring {
				rung++
			}
		}
		return rung
	}
	require.Zero(t, rings(seen))
	require.Positive(t, rings(flock.Season{}))
	require.True(t, judge(t, with(days, 24, 15, 13, 3), seen).Ring, "a fox in the moult")
	require.True(t, judge(t, with(days, 24, 12, 9, 6, 6, 5, 5, 0), seen).Ring, "none at all in the moult")
}

// TestNoneAfterRecovery: a day without any egg after one within its limit rings, though
// another drop rang the same week and the three days are still low.
func TestNoneAfterRecovery(t *testing.T) {
	days := with(even(28), 12, 3, 3, 8)
	require.NotEqual(t, flock.Steady, judge(t, days, flock.Season{}).State, "the three days are low still")
	require.True(t, judge(t, with(days, 12, 0), flock.Season{}).Ring)
	require.False(t, judge(t, with(days, 12, 0, 0), flock.Season{}).Ring, "said once")
	require.False(t, judge(t, with(even(28), 12, 3, 3, 3, 0), flock.Season{}).Ring, "no recovery: the week is quiet")
}

func TestHeatLeads(t *testing.T) {
	hot := flock.Season{AirC: 34}
	require.Equal(t, "heat", hot.Causes(true)[0].Name)
	require.Equal(t, "heat", hot.Causes(false)[0].Name)
	require.Equal(t, "moult", flock.Season{Moulting: true}.Causes(false)[0].Name)
	require.Equal(t, "water", flock.Season{Moulting: true}.Causes(true)[0].Name)
}

// TestTables reads the embedded tables; every row names its source.
func TestTables(t *testing.T) {
	causes := flock.Season{}.Causes(false)
	require.Len(t, causes, 14)
	for _, c := range causes {
		require.NotEmpty(t, c.Look)
		require.NotEmpty(t, c.Source)
		require.NotEmpty(t, c.Mark)
	}
	require.Len(t, flock.Sizes(flock.US), 6)
	require.Len(t, flock.Sizes(flock.EU), 4)
	require.Empty(t, flock.Sizes("moon"))
	for _, z := range append(flock.Sizes(flock.US), flock.Sizes(flock.EU)...) {
		require.NotEmpty(t, z.Source)
		require.NotEmpty(t, z.Mark)
		if z.OzDozen > 0 {
			require.InDelta(t, z.OzDozen*28.349523125/12, z.Grams, 0.006)
		}
	}
	for _, k := range flock.Keeping() {
		require.NotEmpty(t, k.Source)
		require.LessOrEqual(t, k.Low, k.High)
	}
}

func TestCurveAtTheEdges(t *testing.T) {
	young, err := flock.Expect(flock.Hybrid, 10)
	require.NoError(t, err)
	require.Zero(t, young.High)
	require.Contains(t, young.Note, "first eggs")
	for _, weeks := range []float64{72.5, -1, math.NaN(), math.Inf(1)} {
		_, err = flock.Expect(flock.Heritage, weeks)
		require.ErrorIs(t, err, flock.ErrDays, "%g", weeks)
	}
	_, err = flock.Expect("ostrich", 30)
	require.ErrorIs(t, err, flock.ErrDays)
	_, err = flock.SecondYear("ostrich")
	require.ErrorIs(t, err, flock.ErrDays)
	second, err := flock.SecondYear(flock.Heritage)
	require.NoError(t, err)
	require.Equal(t, 0.75, second.Low)
}

func TestSizeRefused(t *testing.T) {
	for _, grams := range []float64{0, -5, 9, 201, math.NaN(), math.Inf(1)} {
		_, err := flock.SizeOf(flock.EU, grams)
		require.ErrorIs(t, err, flock.ErrDays, "%g", grams)
	}
	_, err := flock.SizeOf(flock.US, 30)
	require.ErrorIs(t, err, flock.ErrDays)
	_, err = flock.SizeOf("moon", 60)
	require.ErrorIs(t, err, flock.ErrDays)
}

func ExampleHenDay() {
	week := []flock.Day{
		{Hens: 12, Eggs: 9, Counted: true},
		{Hens: 12, Eggs: 10, Counted: true},
		{Hens: 11, Eggs: 8, Counted: true},
		{Hens: 11, Eggs: 9, Counted: true},
	}
	rate, _ := flock.HenDay(week)
	fmt.Printf("%.1f %%\n", 100*rate)
	// Output: 78.3 %
}

func ExampleJudge() {
	var days []flock.Day
	for range 20 {
		days = append(days, flock.Day{Hens: 12, Eggs: 9, Counted: true})
	}
	days = append(days, flock.Day{Hens: 12, Eggs: 4, Counted: true})
	v, _ := flock.Judge(days, flock.Season{})
	fmt.Printf("%s: %d of %.0f expected, limit %d; look first at: %s\n", v.State, v.Eggs, v.Expected, v.Limit, v.Causes[0].Name)
	// Output: drop: 4 of 9 expected, limit 4; look first at: water
}

func ExampleLimit() {
	fmt.Println(flock.Limit(12, 0.75, flock.OneIn), flock.Limit(36, 0.75, flock.OneIn))
	// Output: 4 19
}

func ExampleExpect() {
	r, _ := flock.Expect(flock.Heritage, 24)
	fmt.Printf("%.0f to %.0f %%\n", 100*r.Low, 100*r.High)
	// Output: 30 to 50 %
}

func ExampleSizeOf() {
	us, _ := flock.SizeOf(flock.US, 58)
	eu, _ := flock.SizeOf(flock.EU, 58)
	fmt.Println(us.Class, eu.Class)
	// Output: Large M
}
