package safety_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/safety"
)

func readings() *rapid.Generator[safety.Reading] {
	return rapid.Custom(func(t *rapid.T) safety.Reading {
		return safety.Reading{
			After: time.Duration(rapid.IntRange(0, 480).Draw(t, "minute")) * time.Minute,
			C:     rapid.OneOf(rapid.Float64Range(-5, 100), rapid.SampledFrom([]float64{5, 21, 57.3, 74})).Draw(t, "c"),
		}
	})
}

// falling draws a log that cools as food does, so that many of them pass.
func falling() *rapid.Generator[[]safety.Reading] {
	return rapid.Custom(func(t *rapid.T) []safety.Reading {
		log := []safety.Reading{{C: 80}}
		after, c := time.Duration(0), 80.0
		for range rapid.IntRange(0, 8).Draw(t, "n") {
			after += time.Duration(rapid.IntRange(1, 80).Draw(t, "minutes")) * time.Minute
			c = 3 + (c-3)*rapid.Float64Range(0.05, 0.95).Draw(t, "share")
			log = append(log, safety.Reading{After: after, C: c})
		}
		return log
	})
}

func logs() *rapid.Generator[[]safety.Reading] {
	return rapid.OneOf(falling(), rapid.SliceOfN(readings(), 1, 10))
}

func judged(t *rapid.T, log []safety.Reading) safety.Verdict {
	v, err := safety.Cooling(log)
	require.NoError(t, err)
	return v
}

var severity = []safety.Action{safety.Ready, safety.SoFar, safety.ReheatOnce, safety.Discard}

func severe(t require.TestingT, a safety.Action) int {
	i := slices.Index(severity, a)
	require.GreaterOrEqual(t, i, 0)
	return i
}

func TestVerdictsHangTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := judged(t, logs().Draw(t, "log"))
		require.Equal(t, v.OK, v.Do == safety.Ready || v.Do == safety.SoFar)
		require.Equal(t, v.Do == safety.Ready, v.Stage == 3)
		require.Equal(t, v.By > 0, v.Do == safety.SoFar || v.Do == safety.ReheatOnce)
	})
}

// TestWorseReadingNeverHelps adds a reading that is warmer than stage 1 allows and
// cooler than a hot one: it proves nothing for the food.
func TestWorseReadingNeverHelps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		log := logs().Draw(t, "log")
		before := judged(t, log)
		worse := safety.Reading{
			After: time.Duration(rapid.IntRange(0, 600).Draw(t, "minute")) * time.Minute,
			C:     rapid.Float64Range(21.2, 57).Draw(t, "c"),
		}
		after := judged(t, append(slices.Clone(log), worse))
		require.True(t, before.OK || !after.OK, "%v then %v", before, after)
	})
}

// TestWarmerIsNeverMilder raises one reading below the hot ones.
func TestWarmerIsNeverMilder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		log := logs().Draw(t, "log")
		i := rapid.IntRange(0, len(log)-1).Draw(t, "which")
		if log[i].C >= 57 {
			t.Skip("hot")
		}
		before := judged(t, log)
		log[i].C = rapid.Float64Range(log[i].C, 57).Draw(t, "warmer")
		after := judged(t, log)
		require.GreaterOrEqual(t, severe(t, after.Do), severe(t, before.Do), "%v then %v", before, after)
	})
}

// TestLaterIsNeverMilder moves all readings after a hot start the same time later.
func TestLaterIsNeverMilder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		log := falling().Draw(t, "log")
		before := judged(t, log)
		by := time.Duration(rapid.IntRange(0, 300).Draw(t, "by")) * time.Minute
		for i := range log {
			if log[i].C < 57.2 {
				log[i].After += by
			}
		}
		after := judged(t, log)
		require.GreaterOrEqual(t, severe(t, after.Do), severe(t, before.Do), "%v then %v", before, after)
	})
}

// TestDiscardStays has no reading bring back what was past its limit, short of a hot
// one, which may show that the clock began later.
func TestDiscardStays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		log := logs().Draw(t, "log")
		v := judged(t, log)
		last := slices.MaxFunc(log, func(a, b safety.Reading) int { return int(a.After - b.After) })
		more := safety.Reading{After: last.After + time.Minute, C: rapid.Float64Range(-5, 57).Draw(t, "c")}
		if v.Do != safety.Discard {
			t.Skip("not discarded")
		}
		require.Equal(t, safety.Discard, judged(t, append(slices.Clone(log), more)).Do)
	})
}

func TestOrderOfReadingsDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		log := logs().Draw(t, "log")
		kept := slices.Clone(log)
		want := judged(t, log)
		require.Equal(t, kept, log, "the log is the caller's")
		require.Equal(t, want, judged(t, rapid.Permutation(log).Draw(t, "shuffled")))
	})
}

// cooled is the two stages said slowly, for logs that begin hot and have no reheating:
// a reading at or before each limit shows the food down, none after it shows it up.
func cooled(log []safety.Reading) bool {
	var one, two bool
	for _, r := range log {
		one = one || r.After <= 2*time.Hour && r.C <= 21.11
		two = two || r.After <= 6*time.Hour && r.C <= 5
	}
	return one && two
}

func TestCoolingAgainstTheRuleSaidSlowly(t *testing.T) {
	passed := 0
	rapid.Check(t, func(t *rapid.T) {
		log := falling().Draw(t, "log")
		log[0].C = 57.3
		for i := range log[1:] {
			log[i+1].C = min(log[i+1].C, 57)
		}
		if cooled(log) {
			passed++
		}
		require.Equal(t, cooled(log), judged(t, log).Do == safety.Ready)
	})
	require.Positive(t, passed)
}

func TestLongerOrHotterOutIsNeverMilder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		air := rapid.Float64Range(-20, 55).Draw(t, "air")
		spell := time.Duration(rapid.Int64Range(0, int64(4*time.Hour)).Draw(t, "spell"))
		first, err := safety.OutOfFridge(air, spell)
		require.NoError(t, err)
		hotter, err := safety.OutOfFridge(rapid.Float64Range(air, 60).Draw(t, "hotter"), spell)
		require.NoError(t, err)
		longer, err := safety.OutOfFridge(air, spell, time.Duration(rapid.Int64Range(0, int64(4*time.Hour)).Draw(t, "more")))
		require.NoError(t, err)
		require.True(t, first.OK || !hotter.OK)
		require.True(t, first.OK || !longer.OK)
		require.Equal(t, first.OK, spell <= first.By)
	})
}

func TestLongerCutKeepsNoMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hours := rapid.Float64Range(0, 80).Draw(t, "hours")
		opened, full := rapid.Bool().Draw(t, "opened"), rapid.Bool().Draw(t, "full")
		first, err := safety.PowerCut(hours, opened, full)
		require.NoError(t, err)
		longer, err := safety.PowerCut(hours+rapid.Float64Range(0, 80).Draw(t, "more"), opened, full)
		require.NoError(t, err)
		worse, err := safety.PowerCut(hours, true, false)
		require.NoError(t, err)
		for i := range first {
			require.True(t, first[i].Keep || !longer[i].Keep, first[i].Kind)
			require.True(t, first[i].Keep || !worse[i].Keep, first[i].Kind)
		}
	})
}

func TestHigherNeedsNoLessPressure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := rapid.Float64Range(0, 2438).Draw(t, "height")
		low, err := safety.Canner(h)
		require.NoError(t, err)
		high, err := safety.Canner(rapid.Float64Range(h, 2438).Draw(t, "higher"))
		require.NoError(t, err)
		require.GreaterOrEqual(t, high.DialPSI, low.DialPSI)
		require.GreaterOrEqual(t, high.WeightedPSI, low.WeightedPSI)
	})
}

// TestNamingMoreIsNeverMilder adds a second food: the figure to go by never falls.
func TestNamingMoreIsNeverMilder(t *testing.T) {
	foods := rapid.SampledFrom([]string{"beef", "pork chops", "mince", "chicken", "salmon", "ham", "quiche", "leftovers", "milk", "rice", "eggs", "bacon", "raw steak", "beef stew", "shrimp", "honey", "venison"})
	rapid.Check(t, func(t *rapid.T) {
		a, b := foods.Draw(t, "a"), foods.Draw(t, "b")
		one, known := safety.Internal(a)
		both, _ := safety.Internal(a + " and " + b)
		if known {
			require.GreaterOrEqual(t, both[0].F, one[0].F)
		}
		days, known := safety.Storage(a)
		bothDays, _ := safety.Storage(a + ", " + b)
		if known {
			require.LessOrEqual(t, bothDays[0].FridgeHigh, days[0].FridgeHigh)
		}
	})
}

func FuzzWords(f *testing.F) {
	for _, seed := range []string{"chicken thighs", "ham, fully cooked", "shepherd's pie & eggs", "MILK\nbread", "", "s", "\xff\xfe", "ſs İies"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, words string) {
		cooks, known := safety.Internal(words)
		require.Equal(t, known, len(cooks) > 0)
		require.True(t, slices.IsSortedFunc(cooks, func(a, b safety.Cook) int { return int(b.F - a.F) }))
		keeps, known := safety.Storage(words)
		require.Equal(t, known, len(keeps) > 0)
		require.True(t, slices.IsSortedFunc(keeps, func(a, b safety.Keep) int { return a.FridgeHigh - b.FridgeHigh }))
		_ = safety.Rules(words)
		more, _ := safety.Internal(words + ", chicken")
		require.NotEmpty(t, more)
		require.GreaterOrEqual(t, more[0].F, 165.0)
	})
}
