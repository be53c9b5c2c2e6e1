package dayplan_test

import (
	"math"
	"testing"
	"time"
	_ "time/tzdata" // zones on a machine without them

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/dayplan"
)

func TestFigureTable(t *testing.T) {
	seen := map[string]bool{}
	for _, f := range dayplan.Figures() {
		require.False(t, seen[f.Name], f.Name)
		seen[f.Name] = true
		require.NotEmpty(t, f.Source, f.Name)
		require.NotEmpty(t, f.Mark, f.Name)
		require.GreaterOrEqual(t, f.Span.Min, time.Duration(0), f.Name)
		require.GreaterOrEqual(t, f.Span.Likely, f.Span.Min, f.Name)
		require.GreaterOrEqual(t, f.Span.Max, f.Span.Likely, f.Name)
		require.Positive(t, f.Span.Max, f.Name)
	}
	require.Len(t, seen, 12)
	_, ok := dayplan.Usual("rest")
	require.False(t, ok)
	dayplan.Figures()[0].Name = "changed"
	_, ok = dayplan.Usual("oven preheat")
	require.True(t, ok)
}

func TestKinds(t *testing.T) {
	require.Equal(t, "thaw", dayplan.Thaw.String())
	require.Equal(t, "serve", dayplan.Serve.String())
	require.Equal(t, "unknown", (dayplan.Serve + 1).String())
}

func TestBadSteps(t *testing.T) {
	serve := at(t, "18:00")
	good := dayplan.Step{Name: "cook", Min: 1, Likely: 2, Max: 3, TempC: 180, Kind: dayplan.Cook}
	_, err := dayplan.BackFrom(serve, nil)
	require.ErrorIs(t, err, dayplan.ErrPlan)
	for name, spoil := range map[string]func(*dayplan.Step){
		"negative least":  func(s *dayplan.Step) { s.Min = -1 },
		"likely too low":  func(s *dayplan.Step) { s.Likely = 0 },
		"most too low":    func(s *dayplan.Step) { s.Max = 1 },
		"most too long":   func(s *dayplan.Step) { s.Max = 31 * 24 * time.Hour },
		"longest there":   func(s *dayplan.Step) { s.Max = math.MaxInt64 },
		"no temperature":  func(s *dayplan.Step) { s.TempC = math.NaN() },
		"endless heat":    func(s *dayplan.Step) { s.TempC = math.Inf(1) },
		"oven below zero": func(s *dayplan.Step) { s.TempC = -1 },
		"no such kind":    func(s *dayplan.Step) { s.Kind = dayplan.Serve + 1 },
	} {
		bad := good
		spoil(&bad)
		_, err := dayplan.BackFrom(serve, []dayplan.Step{good, bad, good})
		require.ErrorIs(t, err, dayplan.ErrStep, name)
	}
	_, err = dayplan.BackFrom(serve, []dayplan.Step{good})
	require.NoError(t, err)
}

func TestForwardRefuses(t *testing.T) {
	plan, err := dayplan.BackFrom(at(t, "18:00"), steps(t, "cook 10 20 30"))
	require.NoError(t, err)
	for _, done := range []int{-1, 2, math.MaxInt, math.MinInt} {
		_, _, _, err := dayplan.Forward(at(t, "17:00"), done, plan)
		require.ErrorIs(t, err, dayplan.ErrPlan)
	}
	_, _, _, err = dayplan.Forward(at(t, "17:00"), 0, nil)
	require.ErrorIs(t, err, dayplan.ErrPlan)
}

func TestBadFigures(t *testing.T) {
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1, 0} {
		_, err := dayplan.ThawTime(x, dayplan.InFridge)
		require.ErrorIs(t, err, dayplan.ErrInput)
		_, _, err = dayplan.Fill(x)
		require.ErrorIs(t, err, dayplan.ErrInput)
		_, err = dayplan.HeatUp(x, 20, 90, 1, 0.5)
		require.ErrorIs(t, err, dayplan.ErrInput)
		_, err = dayplan.HeatUp(1, 20, 90, x, 0.5)
		require.ErrorIs(t, err, dayplan.ErrInput)
		_, err = dayplan.HeatUp(1, 20, 90, 1, x)
		require.ErrorIs(t, err, dayplan.ErrInput)
		_, err = dayplan.HeatUp(1, 20, x, 1, 0.5)
		require.ErrorIs(t, err, dayplan.ErrInput)
		_, err = dayplan.Roast(time.Hour, x, 2)
		require.ErrorIs(t, err, dayplan.ErrInput)
		_, err = dayplan.Roast(time.Hour, 2, x)
		require.ErrorIs(t, err, dayplan.ErrInput)
	}
	_, err := dayplan.HeatUp(1, math.NaN(), 90, 1, 0.5)
	require.ErrorIs(t, err, dayplan.ErrInput)
	_, err = dayplan.HeatUp(1, 20, 101, 1, 0.5)
	require.ErrorIs(t, err, dayplan.ErrInput)
	_, err = dayplan.HeatUp(1, 20, 90, 1, 1.01)
	require.ErrorIs(t, err, dayplan.ErrInput)
	_, err = dayplan.ThawTime(2, dayplan.InColdWater+1)
	require.ErrorIs(t, err, dayplan.ErrInput)
	_, err = dayplan.ThawTime(201, dayplan.InFridge)
	require.ErrorIs(t, err, dayplan.ErrInput)
	for _, d := range []time.Duration{0, -time.Hour, 25 * time.Hour, math.MaxInt64} {
		_, err := dayplan.HighFor(d)
		require.ErrorIs(t, err, dayplan.ErrInput)
		_, err = dayplan.LowFor(d)
		require.ErrorIs(t, err, dayplan.ErrInput)
		_, err = dayplan.Roast(d, 2, 2)
		require.ErrorIs(t, err, dayplan.ErrInput)
	}
}

// TestEighteenCupsDoNotFit is the batch too large for a 6 qt cooker of 24 cups.
func TestEighteenCupsDoNotFit(t *testing.T) {
	_, most, err := dayplan.Fill(24)
	require.NoError(t, err)
	require.Less(t, most, 18.0)
}

// TestClockChange has a night of 25 hours between the start and the serving: lengths
// are lengths, whatever the clock on the wall does.
func TestClockChange(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	serve := time.Date(2026, 10, 25, 12, 0, 0, 0, berlin)
	slots, err := dayplan.BackFrom(serve, steps(t, "cook 720 720 720"))
	require.NoError(t, err)
	require.Equal(t, "01:00", slots[0].Start.Format("15:04"))
	require.Equal(t, 12*time.Hour, serve.Sub(slots[0].Start))
}

func TestClashNamesItsSteps(t *testing.T) {
	a := slot(t, "16:00 17:00 oven 180")
	b := slot(t, "16:30 17:30 oven 220")
	a[0].Step.Name, b[0].Step.Name = "bread", "roast"
	got := dayplan.Clashes(a, b)
	require.Len(t, got, 1)
	require.Equal(t, "bread", got[0].A.Step.Name)
	require.Equal(t, "roast", got[0].B.Step.Name)
	require.Empty(t, dayplan.Clashes(nil, b))
	require.Empty(t, dayplan.Clashes(a, nil))
}

func anyStep() *rapid.Generator[dayplan.Step] {
	return rapid.Custom(func(t *rapid.T) dayplan.Step {
		length := func(from time.Duration, name string) time.Duration {
			return from + time.Duration(rapid.IntRange(0, 600).Draw(t, name))*time.Minute
		}
		least := length(0, "least")
		likely := length(least, "likely")
		return dayplan.Step{
			Name: "step", Min: least, Likely: likely, Max: length(likely, "most"),
			Uses:  rapid.SampledFrom([]string{"", dayplan.Oven, dayplan.Hob, dayplan.SlowCooker}).Draw(t, "uses"),
			TempC: rapid.SampledFrom([]float64{0, 150, 180, 220}).Draw(t, "temp"),
			Whole: rapid.Bool().Draw(t, "whole"), Low: rapid.Bool().Draw(t, "low"), Attended: rapid.Bool().Draw(t, "attended"),
			Kind: dayplan.Cook,
		}
	})
}

func anySteps() *rapid.Generator[[]dayplan.Step] { return rapid.SliceOfN(anyStep(), 1, 8) }

func planned(t *rapid.T, serve time.Time, steps []dayplan.Step) []dayplan.Slot {
	slots, err := dayplan.BackFrom(serve, steps)
	require.NoError(t, err)
	return slots
}

var noon = time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC)

func TestSlotsMeetAndEndAtServing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		steps := anySteps().Draw(t, "steps")
		slots := planned(t, noon, steps)
		require.Len(t, slots, len(steps))
		longest := time.Duration(0)
		for i := len(slots) - 1; i >= 0; i-- {
			s := slots[i]
			require.Equal(t, steps[i], s.Step)
			require.Equal(t, s.Step.Likely, s.End.Sub(s.Start))
			longest += s.Step.Max
			require.Equal(t, longest, noon.Sub(s.Latest))
			require.False(t, s.Latest.After(s.Start))
			if i+1 < len(slots) {
				require.Equal(t, slots[i+1].Start, s.End)
			}
		}
		require.Equal(t, noon, slots[len(slots)-1].End)
	})
}

func TestLaterServingMovesAllAlike(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		steps := anySteps().Draw(t, "steps")
		by := time.Duration(rapid.IntRange(-3000, 3000).Draw(t, "by")) * time.Minute
		first, moved := planned(t, noon, steps), planned(t, noon.Add(by), steps)
		for i := range first {
			require.Equal(t, by, moved[i].Start.Sub(first[i].Start))
			require.Equal(t, by, moved[i].End.Sub(first[i].End))
			require.Equal(t, by, moved[i].Latest.Sub(first[i].Latest))
		}
	})
}

// TestForwardInTimeIsThePlan begins the next step no later than planned.
func TestForwardInTimeIsThePlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		slots := planned(t, noon, anySteps().Draw(t, "steps"))
		done := rapid.IntRange(0, len(slots)-1).Draw(t, "done")
		now := slots[done].Start.Add(-time.Duration(rapid.IntRange(0, 600).Draw(t, "early")) * time.Minute)
		left, ready, high, err := dayplan.Forward(now, done, slots)
		require.NoError(t, err)
		require.Equal(t, slots[done:], left)
		require.Equal(t, noon, ready)
		require.False(t, high)
	})
}

func TestForwardLate(t *testing.T) {
	saved, lost := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		slots := planned(t, noon, anySteps().Draw(t, "steps"))
		done := rapid.IntRange(0, len(slots)-1).Draw(t, "done")
		late := time.Duration(rapid.IntRange(1, 600).Draw(t, "late")) * time.Minute
		left, ready, high, err := dayplan.Forward(slots[done].Start.Add(late), done, slots)
		require.NoError(t, err)
		require.Equal(t, noon.Add(late), ready, "late by what it began late")
		onLow := time.Duration(0)
		for i, s := range left {
			require.Equal(t, late, s.Start.Sub(slots[done+i].Start))
			require.Equal(t, slots[done+i].Latest, s.Latest)
			if s.Step.Low {
				onLow += s.Step.Likely
			}
		}
		require.Equal(t, late <= onLow/2, high)
		if high {
			saved++
		} else {
			lost++
		}
	})
	require.Positive(t, saved)
	require.Positive(t, lost)
}

// TestClashesAreMutual turns the two dishes round.
func TestClashesAreMutual(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := planned(t, noon, anySteps().Draw(t, "a"))
		b := planned(t, noon.Add(time.Duration(rapid.IntRange(-600, 600).Draw(t, "apart"))*time.Minute), anySteps().Draw(t, "b"))
		ab, ba := dayplan.Clashes(a, b), dayplan.Clashes(b, a)
		require.Len(t, ba, len(ab))
		for _, c := range ab {
			require.True(t, c.From.Before(c.To))
			require.False(t, c.From.Before(c.A.Start) || c.From.Before(c.B.Start))
			require.False(t, c.To.After(c.A.End) || c.To.After(c.B.End))
			require.Contains(t, ba, dayplan.Clash{A: c.B, B: c.A, From: c.From, To: c.To, Why: c.Why})
		}
	})
}

// TestDayApartNeverClashes moves one dish behind the other.
func TestDayApartNeverClashes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := planned(t, noon, anySteps().Draw(t, "a"))
		steps := anySteps().Draw(t, "b")
		b := planned(t, noon, steps)
		b = planned(t, noon.Add(noon.Sub(b[0].Start)), steps)
		require.Empty(t, dayplan.Clashes(a, b))
	})
}

func TestThawGrowsWithMass(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kg := rapid.Float64Range(0.01, 100).Draw(t, "kg")
		for _, m := range []dayplan.Method{dayplan.InFridge, dayplan.InColdWater} {
			one, err := dayplan.ThawTime(kg, m)
			require.NoError(t, err)
			two, err := dayplan.ThawTime(2*kg, m)
			require.NoError(t, err)
			require.LessOrEqual(t, one.Min, one.Likely)
			require.LessOrEqual(t, one.Likely, one.Max)
			require.InDelta(t, 2*one.Max.Seconds(), two.Max.Seconds(), 1e-6)
		}
	})
}

func TestHighAndLowUndoEachOther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		high := time.Duration(rapid.IntRange(1, 720).Draw(t, "high")) * time.Minute
		low, err := dayplan.LowFor(high)
		require.NoError(t, err)
		back, err := dayplan.HighFor(low)
		require.NoError(t, err)
		require.Equal(t, high, back)
	})
}
