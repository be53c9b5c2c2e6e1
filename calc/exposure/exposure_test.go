package exposure_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/exposure"
)

func units() *rapid.Generator[exposure.Units] {
	return rapid.SampledFrom([]exposure.Units{exposure.Metric, exposure.US})
}

func chill(t require.TestingT, air, wind float64, u exposure.Units) exposure.Chill {
	c, err := exposure.WindChill(air, wind, u)
	require.NoError(t, err)
	return c
}

func heat(t require.TestingT, air, humidity float64, u exposure.Units) exposure.Heat {
	h, err := exposure.HeatIndex(air, humidity, u)
	require.NoError(t, err)
	return h
}

func TestRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, air := range []float64{nan, inf, -inf, -96, 63} {
		_, err := exposure.WindChill(air, 10, exposure.Metric)
		require.ErrorIs(t, err, exposure.ErrWeather, "%g", air)
		_, err = exposure.HeatIndex(air, 50, exposure.Metric)
		require.ErrorIs(t, err, exposure.ErrWeather, "%g", air)
		_, err = exposure.THI(air, 50)
		require.ErrorIs(t, err, exposure.ErrWeather, "%g", air)
	}
	for _, wind := range []float64{nan, inf, -1, 411} {
		_, err := exposure.WindChill(-5, wind, exposure.Metric)
		require.ErrorIs(t, err, exposure.ErrWeather, "%g", wind)
	}
	for _, humidity := range []float64{nan, inf, -1, 101} {
		_, err := exposure.HeatIndex(30, humidity, exposure.Metric)
		require.ErrorIs(t, err, exposure.ErrWeather, "%g", humidity)
		_, err = exposure.THI(30, humidity)
		require.ErrorIs(t, err, exposure.ErrWeather, "%g", humidity)
	}
	_, err := exposure.WindChill(-140, 10, exposure.US)
	require.ErrorContains(t, err, "-140 °F")
	_, err = exposure.WindChill(10, 300, exposure.US)
	require.ErrorContains(t, err, "300 mph")
}

// TestChillFalls holds that more wind and colder air feel colder.
func TestChillFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := units().Draw(t, "units")
		top, low := 10.0, 4.8
		if u == exposure.US {
			top, low = 50, 3
		}
		air := rapid.Float64Range(-60, top).Draw(t, "air")
		wind := rapid.Float64Range(low, 120).Draw(t, "wind")
		c := chill(t, air, wind, u)
		require.True(t, c.Applies)
		windier := chill(t, air, rapid.Float64Range(wind, 150).Draw(t, "windier"), u)
		colder := chill(t, rapid.Float64Range(-90, air).Draw(t, "colder"), wind, u)
		require.LessOrEqual(t, windier.Index, c.Index+1e-9)
		require.LessOrEqual(t, colder.Index, c.Index+1e-9)
		require.GreaterOrEqual(t, colder.Child(false).Out, c.Child(false).Out)
		require.GreaterOrEqual(t, windier.Child(true).Out, c.Child(true).Out)
	})
}

// TestUnitsAgree holds that the two published formulae tell the same, to 0.2 °C where
// people live.
func TestUnitsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.Float64Range(-45, 9.9).Draw(t, "°C")
		kmh := rapid.Float64Range(5, 80).Draw(t, "km/h")
		metric := chill(t, c, kmh, exposure.Metric)
		us := chill(t, c*1.8+32, kmh/1.609344, exposure.US)
		require.InDelta(t, metric.C(), us.C(), 0.2)
		require.InDelta(t, metric.F(), us.F(), 0.36)
		rh := rapid.Float64Range(0, 100).Draw(t, "%")
		hot := rapid.Float64Range(10, 45).Draw(t, "hot")
		require.InDelta(t, heat(t, hot, rh, exposure.Metric).C(), heat(t, hot*1.8+32, rh, exposure.US).C(), 1e-6)
	})
}

// TestOutsideTheFormula holds that calm and mild air are told as they are.
func TestOutsideTheFormula(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		calm := chill(t, rapid.Float64Range(-60, 40).Draw(t, "air"), rapid.Float64Range(0, 4.79).Draw(t, "wind"), exposure.Metric)
		require.False(t, calm.Applies)
		require.Equal(t, calm.Air, calm.Index)
		mild := chill(t, rapid.Float64Range(10.01, 40).Draw(t, "mild"), rapid.Float64Range(0, 100).Draw(t, "any wind"), exposure.Metric)
		require.False(t, mild.Applies)
		require.Equal(t, exposure.Free, mild.Child(false).Out)
	})
}

// TestHeatRises holds that damper air feels hotter from 80 °F on, in steps of 1 %; the
// adjustments begin and end with small steps of their own.
func TestHeatRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		air := float64(rapid.IntRange(80, 112).Draw(t, "air"))
		rh := float64(rapid.IntRange(40, 99).Draw(t, "rh"))
		drier, damper := heat(t, air, rh, exposure.US), heat(t, air, rh+1, exposure.US)
		require.GreaterOrEqual(t, damper.Index, drier.Index-1e-9, "%g °F %g %%", air, rh)
		require.GreaterOrEqual(t, severity(damper.Danger()), severity(drier.Danger()))
	})
}

func severity(d exposure.Danger) int {
	for i, of := range []exposure.Danger{exposure.NoDanger, exposure.Caution, exposure.ExtremeCaution, exposure.Dangerous} {
		if d == of {
			return i
		}
	}
	return 4
}

// TestWetAndSunAreNeverMilder holds that wet clothes and full sun only shorten the time.
func TestWetAndSunAreNeverMilder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := chill(t, rapid.Float64Range(-50, 20).Draw(t, "cold"), rapid.Float64Range(0, 100).Draw(t, "wind"), exposure.Metric)
		require.Equal(t, min(c.Child(false).Out+1, exposure.Essentials), c.Child(true).Out)
		h := heat(t, rapid.Float64Range(10, 50).Draw(t, "hot"), rapid.Float64Range(0, 100).Draw(t, "rh"), exposure.Metric)
		require.GreaterOrEqual(t, h.Child(true).Out, h.Child(false).Out)
	})
}

// TestAdviceSaysWhereItIsFrom holds that every line has a source or is marked ours, that
// only breaks have minutes, and that first aid is told where children have to come in.
func TestAdviceSaysWhereItIsFrom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := units().Draw(t, "units")
		wet := rapid.Bool().Draw(t, "wet")
		c := chill(t, rapid.Float64Range(-60, 40).Draw(t, "air"), rapid.Float64Range(0, 100).Draw(t, "wind"), u).Child(wet)
		h := heat(t, rapid.Float64Range(10, 60).Draw(t, "hot"), rapid.Float64Range(0, 100).Draw(t, "rh"), u).Child(wet)
		for _, a := range []exposure.Advice{c, h} {
			require.NotEmpty(t, a.Lines)
			require.Equal(t, a.Out == exposure.Breaks, a.Minutes == 20)
			for _, l := range a.Lines {
				require.NotEmpty(t, l.Text)
				require.NotEmpty(t, l.Mark)
				require.Equal(t, l.Mark == exposure.Ours, l.Source == "", l.Text)
			}
		}
		require.Equal(t, c.Out >= exposure.StayIn, says(c, exposure.ColdFirstAid().Text))
		require.Equal(t, h.Out >= exposure.StayIn, says(h, exposure.HeatFirstAid().Text))
	})
}

func says(a exposure.Advice, text string) bool {
	for _, l := range a.Lines {
		if strings.Contains(l.Text, text) {
			return true
		}
	}
	return false
}

// TestFreezingSkinMeansIn holds that no child is let out where skin freezes in half an
// hour.
func TestFreezingSkinMeansIn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := units().Draw(t, "units")
		c := chill(t, rapid.Float64Range(-70, 10).Draw(t, "air"), rapid.Float64Range(0, 120).Draw(t, "wind"), u)
		if c.Frostbite().Freezes() {
			require.Equal(t, exposure.Essentials, c.Child(false).Out)
			require.True(t, says(c.Child(false), "Bare skin can freeze"))
		}
	})
}

func TestUnitsOfTheBounds(t *testing.T) {
	require.True(t, says(chill(t, -12, 0, exposure.Metric).Child(false), "-11 °C (13 °F)"))
	require.True(t, says(chill(t, 5, 0, exposure.US).Child(false), "13 °F (-11 °C)"))
	require.True(t, says(chill(t, -30, 0, exposure.Metric).Child(false), "-26 °C (-15 °F)"))
	require.True(t, says(heat(t, 35, 40, exposure.Metric).Child(false), "32 °C (90 °F)"))
}

func TestStockWater(t *testing.T) {
	require.True(t, says(heat(t, 88, 40, exposure.US).Child(false), "animals"))
	require.False(t, says(heat(t, 80, 40, exposure.US).Child(false), "animals"))
}

func ExampleWindChill() {
	c, _ := exposure.WindChill(0, 15, exposure.US)
	a := c.Child(false)
	fmt.Println(c.Rounded(), a.Out == exposure.Essentials, c.Frostbite())
	// Output: -19 true {10 30}
}

func ExampleChill_Child() {
	c, _ := exposure.WindChill(0, 20, exposure.Metric)
	a := c.Child(false)
	fmt.Println(c.Rounded(), a.Minutes)
	for _, l := range a.Lines {
		fmt.Println(l.Text)
	}
	// Output:
	// -5 20
	// Children may be out, with a break indoors every 20 to 30 min.
	// We take 20 min, and someone looks in on them.
}

func ExampleHeatIndex() {
	h, _ := exposure.HeatIndex(90, 50, exposure.US)
	fmt.Println(h.Rounded(), h.Danger())
	// Output: 95 extreme caution
}

func ExampleTHI() {
	thi, _ := exposure.THI(30, 60)
	fmt.Printf("%.2f %s\n", thi, exposure.StressOf(thi))
	// Output: 79.84 stress
}
