package starter_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/calc/starter"
)

var (
	half  = starter.Jar{Grams: 100, Hydration: 1}
	equal = starter.Ratio{Starter: 1, Flour: 1, Water: 1}
)

// TestRefused: each call is given one figure in turn that cannot be, and then, so
// that it is that figure which is refused, a good one.
func TestRefused(t *testing.T) {
	steady := func(v float64) func(float64) float64 { return func(float64) float64 { return v } }
	model := func(hours float64) starter.Model { return starter.Model{Hours: hours, Spread: 0.4} }
	jar := func(g, h float64) starter.Jar { return starter.Jar{Grams: g, Hydration: h} }
	tests := []struct {
		name string
		call func(v float64) error
		good float64
		bad  []float64
	}{
		{"build: grams", func(v float64) error { _, err := starter.Build(jar(v, 1), 10, 10, equal); return err }, 100, []float64{-1, 1e7}},
		{"build: hydration", func(v float64) error { _, err := starter.Build(jar(100, v), 10, 10, equal); return err }, 0, []float64{-0.1, 100}},
		{"build: need", func(v float64) error { _, err := starter.Build(half, v, 10, equal); return err }, 0, []float64{-1, 1e7}},
		{"build: keep", func(v float64) error { _, err := starter.Build(half, 10, v, equal); return err }, 0, []float64{-1, 1e7}},
		{"build: nothing", func(v float64) error { _, err := starter.Build(half, v, v, equal); return err }, 1, []float64{0}},
		{"build: starter", func(v float64) error {
			_, err := starter.Build(half, 10, 10, starter.Ratio{Starter: v, Flour: 1, Water: 1})
			return err
		}, 1, []float64{0, -1}},
		{"build: flour", func(v float64) error {
			_, err := starter.Build(half, 10, 10, starter.Ratio{Starter: 1, Flour: v, Water: 0})
			return err
		}, 1, []float64{0, -1}},
		{"build: water", func(v float64) error {
			_, err := starter.Build(half, 10, 10, starter.Ratio{Starter: 1, Flour: 1, Water: v})
			return err
		}, 0, []float64{-1, 6}},
		{"all: grams", func(v float64) error { _, err := starter.FromAll(jar(v, 1), 300, 10, 1); return err }, 100, []float64{0, -1}},
		{"all: hydration", func(v float64) error { _, err := starter.FromAll(half, 300, 10, v); return err }, 1, []float64{-1, 100}},
		{"steps: have", func(v float64) error { _, _, err := starter.Steps(v, 100, 11); return err }, 1, []float64{0, -1}},
		{"steps: total", func(v float64) error { _, _, err := starter.Steps(1, v, 11); return err }, 1, []float64{0, -1}},
		{"steps: limit", func(v float64) error { _, _, err := starter.Steps(1, 100, v); return err }, 11, []float64{1, 0, -1}},
		{"rehydrate: jar", func(v float64) error { _, _, err := starter.Rehydrate(jar(v, 1), 1); return err }, 100, []float64{-1}},
		{"rehydrate: to", func(v float64) error { _, _, err := starter.Rehydrate(half, v); return err }, 1, []float64{0, -1, 100}},
		{"volume: flour", func(v float64) error { _, err := starter.ByVolume(v, 1, 125, half); return err }, 1, []float64{-1, 1e4}},
		{"volume: water", func(v float64) error { _, err := starter.ByVolume(1, v, 125, half); return err }, 1, []float64{-1, 1e4}},
		{"volume: cup", func(v float64) error { _, err := starter.ByVolume(1, 1, v, half); return err }, 125, []float64{0, -1, 1000}},
		{"volume: jar", func(v float64) error { _, err := starter.ByVolume(1, 1, 125, jar(v, 1)); return err }, 0, []float64{-1}},
		{"volume: no flour", func(v float64) error { _, err := starter.ByVolume(v, 1, 125, jar(0, 1)); return err }, 1, []float64{0}},
		{"volume range", func(v float64) error { _, _, err := starter.VolumeRange(v, 1, half); return err }, 1, []float64{-1}},
		{"peak: ratio", func(v float64) error {
			_, err := starter.Peak(starter.Ratio{Starter: v, Flour: 1}, 24, starter.Usual)
			return err
		}, 1, []float64{0, -1}},
		{"peak: celsius", func(v float64) error { _, err := starter.Peak(equal, v, starter.Usual); return err }, 24, []float64{-300, 500}},
		{"peak: model", func(v float64) error { _, err := starter.Peak(equal, 24, model(v)); return err }, 4, []float64{0, -1}},
		{"peak: spread", func(v float64) error {
			_, err := starter.Peak(equal, 24, starter.Model{Hours: 4, Spread: v})
			return err
		}, 0, []float64{-0.1, 1}},
		{"over: celsius", func(v float64) error { _, err := starter.PeakOver(equal, steady(v), starter.Usual); return err }, 24, []float64{-300, 500}},
		{"over: model", func(v float64) error { _, err := starter.PeakOver(equal, steady(24), model(v)); return err }, 4, []float64{0, -1}},
		{"feed for: hours", func(v float64) error { _, err := starter.FeedFor(v, 24, starter.Usual); return err }, 8, []float64{0, -1, 1000}},
		{"feed for: celsius", func(v float64) error { _, err := starter.FeedFor(8, v, starter.Usual); return err }, 24, []float64{-300, 500}},
		{"refit: hours", func(v float64) error { _, err := starter.Refit([]starter.Log{{equal, 24, v}}); return err }, 4, []float64{0, -1, 1000}},
		{"refit: celsius", func(v float64) error { _, err := starter.Refit([]starter.Log{{equal, v, 4}}); return err }, 24, []float64{-300, 500}},
		{"refit: ratio", func(v float64) error {
			_, err := starter.Refit([]starter.Log{{starter.Ratio{Starter: v, Flour: 1}, 24, 4}})
			return err
		}, 1, []float64{0, -1}},
		{"next: celsius", func(v float64) error { _, err := starter.NextFeed(starter.Counter, v, 1); return err }, 24, []float64{-300, 500}},
		{"next: since", func(v float64) error { _, err := starter.NextFeed(starter.Counter, 24, v); return err }, 1, []float64{-1}},
		{"dough: flour", func(v float64) error { _, err := starter.Dough(v, 0.7, 0.02, half); return err }, 500, []float64{0, -1}},
		{"dough: hydration", func(v float64) error { _, err := starter.Dough(500, v, 0.02, half); return err }, 0.7, []float64{0, -1, 70}},
		{"dough: salt", func(v float64) error { _, err := starter.Dough(500, 0.7, v, half); return err }, 0, []float64{-1, 2}},
		{"dough: jar", func(v float64) error { _, err := starter.Dough(500, 0.7, 0.02, jar(v, 1)); return err }, 0, []float64{-1}},
		{"dough for: total", func(v float64) error { _, err := starter.DoughFor(v, 0.7, 0.02, 0.2, 1); return err }, 900, []float64{0, -1}},
		{"dough for: hydration", func(v float64) error { _, err := starter.DoughFor(900, v, 0.02, 0.2, 1); return err }, 0.7, []float64{0, -1, 70}},
		{"dough for: levain", func(v float64) error { _, err := starter.DoughFor(900, 0.7, 0.02, v, 1); return err }, 0, []float64{-1, 20}},
		{"dough for: its hydration", func(v float64) error { _, err := starter.DoughFor(900, 0.7, 0.02, 0.2, v); return err }, 1, []float64{-1, 100}},
		{"water: wanted", func(v float64) error { _, err := starter.WaterTemp(v, 20, 20, 20, true, 3); return err }, 24, []float64{-300, 500}},
		{"water: room", func(v float64) error { _, err := starter.WaterTemp(24, v, 20, 20, true, 3); return err }, 20, []float64{-300, 500}},
		{"water: flour", func(v float64) error { _, err := starter.WaterTemp(24, 20, v, 20, true, 3); return err }, 20, []float64{-300, 500}},
		{"water: preferment", func(v float64) error { _, err := starter.WaterTemp(24, 20, 20, v, true, 3); return err }, 20, []float64{-300, 500}},
		{"water: friction", func(v float64) error { _, err := starter.WaterTemp(24, 20, 20, 20, true, v); return err }, 3, []float64{-1, 100}},
	}
	for _, tt := range tests {
		for _, v := range append(tt.bad, math.NaN(), math.Inf(1), math.Inf(-1)) {
			t.Run(fmt.Sprintf("%s %g", tt.name, v), func(t *testing.T) {
				require.ErrorIs(t, tt.call(v), starter.ErrInput)
			})
		}
		t.Run(tt.name+" good", func(t *testing.T) { require.NoError(t, tt.call(tt.good)) })
	}
}

func TestOtherErrors(t *testing.T) {
	_, err := starter.FromAll(half, 50, 10, 1)
	require.ErrorIs(t, err, starter.ErrTooMuch, "more there than is to be")
	_, err = starter.FromAll(starter.Jar{Grams: 100, Hydration: 2}, 20, 100, 0.5)
	require.ErrorIs(t, err, starter.ErrTooMuch, "too much water in it")
	_, err = starter.Dough(100, 0.7, 0.02, starter.Jar{Grams: 300, Hydration: 1})
	require.ErrorIs(t, err, starter.ErrTooMuch)
	_, err = starter.PeakOver(equal, nil, starter.Usual)
	require.ErrorIs(t, err, starter.ErrInput)
	_, err = starter.Waking(-1)
	require.ErrorIs(t, err, starter.ErrInput)
	_, err = starter.NextFeed(starter.Place(9), 24, 1)
	require.ErrorIs(t, err, starter.ErrInput)
}

func TestNoGrowth(t *testing.T) {
	for _, celsius := range []float64{4, 8, 8.1, 35, 60} {
		_, err := starter.Peak(equal, celsius, starter.Usual)
		require.ErrorIs(t, err, starter.ErrNoGrowth, "%g", celsius)
		_, err = starter.PeakOver(equal, func(float64) float64 { return celsius }, starter.Usual)
		require.ErrorIs(t, err, starter.ErrNoGrowth, "%g", celsius)
		_, err = starter.FeedFor(8, celsius, starter.Usual)
		require.ErrorIs(t, err, starter.ErrNoGrowth, "%g", celsius)
	}
	_, err := starter.Refit([]starter.Log{{equal, 5, 4}})
	require.ErrorIs(t, err, starter.ErrNoGrowth)
}

// TestIntoTheFridge: chilled after its likely peak, the late one never comes.
func TestIntoTheFridge(t *testing.T) {
	temps := func(hour float64) float64 {
		if hour < 4.5 {
			return 24
		}
		return 4
	}
	got, err := starter.PeakOver(equal, temps, starter.Usual)
	require.NoError(t, err)
	require.InDelta(t, 2.4, got.Early, 1e-6)
	require.InDelta(t, 4, got.Likely, 1e-6)
	require.InDelta(t, starter.Longest, got.Late, 0)
}

// TestFeedForAlmostCold: 1:4:4, in 339 h, would be nearest but is not waited for.
func TestFeedForAlmostCold(t *testing.T) {
	got, err := starter.FeedFor(336, 8.4, starter.Usual)
	require.NoError(t, err)
	require.Equal(t, starter.Ratio{Starter: 1, Flour: 3, Water: 3}, got)
}

func TestRefitTellsWhatIsLeftOut(t *testing.T) {
	odd := starter.Log{Ratio: equal, Celsius: 24, Hours: 30}
	got, err := starter.Refit([]starter.Log{{equal, 24, 5}, odd, {equal, 24, 5}, {equal, 24, 5}})
	require.NoError(t, err)
	require.Equal(t, []starter.Log{odd}, got.Aside)
	require.InDelta(t, 5, got.Hours, 1e-9)
}

// TestRefitOfTwoKinds: when half says one thing and half another, nothing is known.
func TestRefitOfTwoKinds(t *testing.T) {
	got, err := starter.Refit([]starter.Log{{equal, 24, 1}, {equal, 24, 1}, {equal, 24, 40}, {equal, 24, 40}})
	require.NoError(t, err)
	require.InDelta(t, starter.Usual.Hours, got.Hours, 1e-9)
	require.Zero(t, got.Logged)
	require.Len(t, got.Aside, 4)
}

func TestErrorNamesTheWeight(t *testing.T) {
	_, err := starter.Build(half, 600, 60, starter.Ratio{Starter: 1, Flour: 2, Water: 2})
	require.EqualError(t, err, "starter: too little old starter: 132.0 g wanted, 100.0 g there")
}

func TestRatioWithoutOldStarter(t *testing.T) {
	require.Zero(t, starter.Feed{Flour: 10, Water: 10}.Ratio())
}

func ExampleBuild() {
	f, err := starter.Build(starter.Jar{Grams: 100, Hydration: 1}, 300, 25, starter.Ratio{Starter: 1, Flour: 2, Water: 2})
	fmt.Println(f.Old, f.Flour, f.Water, f.Discard, err)
	// Output: 65 130 130 35 <nil>
}

func ExamplePeak() {
	s, err := starter.Peak(starter.Ratio{Starter: 1, Flour: 5, Water: 5}, 20, starter.Usual)
	fmt.Printf("%.1f h, %.1f to %.1f, %v\n", s.Likely, s.Early, s.Late, err)
	// Output: 12.3 h, 7.4 to 17.3, <nil>
}
