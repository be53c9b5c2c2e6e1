package growth_test

import (
	"errors"
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/calc/growth"
)

func TestTapeRefuses(t *testing.T) {
	_, err := growth.GirthWeight("hen", 40, 30)
	require.ErrorIs(t, err, growth.ErrKind)
	for _, m := range [][2]float64{{0, 100}, {-5, 100}, {500, 150}, {150, 0}, {150, 900}, {math.NaN(), 100}, {150, math.NaN()}, {math.Inf(1), 100}} {
		_, err = growth.GirthWeight("cow", m[0], m[1])
		require.ErrorIs(t, err, growth.ErrTape, m)
	}
	// inches that were typed as cm
	_, err = growth.GirthWeight("horse", 60, 55)
	require.ErrorIs(t, err, growth.ErrTape)
	for _, cm := range []float64{10, 200, math.NaN()} {
		_, err = growth.PigByGirth(cm)
		require.ErrorIs(t, err, growth.ErrTape, cm)
	}
	_, err = growth.PigByGirth(200)
	require.ErrorContains(t, err, "64 to 120 cm")
}

func TestTapeFor(t *testing.T) {
	for word, kind := range map[string]string{"Gilt": "pig", "steer": "cattle", " doe ": "goat", "ram": "sheep", "pony": "horse", "calf": "cattle"} {
		got, ok := growth.TapeFor(word)
		require.True(t, ok, word)
		require.Equal(t, kind, got.Kind)
	}
	_, ok := growth.TapeFor("duck")
	require.False(t, ok)
	require.Len(t, growth.Tapes(), 5)
}

// TestMetricFactors: the divisors are the published metric factors.
func TestMetricFactors(t *testing.T) {
	for kind, want := range map[string]float64{"cattle": 92.3, "pig": 69.2, "horse": 83.9} {
		e, err := growth.GirthWeight(kind, 100, 100)
		require.NoError(t, err)
		require.InDelta(t, want, e.KG, 0.05, kind)
	}
}

func weighed(t require.TestingT, day string, kg float64) growth.Weighing {
	return growth.Weighing{Day: date(t, day), KG: kg, Error: growth.ScaleError}
}

func TestGrowthRefuses(t *testing.T) {
	a, b := weighed(t, "2027-05-01", 30), weighed(t, "2027-06-10", 62)
	for name, c := range map[string]struct {
		ws     []growth.Weighing
		target float64
		err    error
	}{
		"none":         {nil, 100, growth.ErrTooFew},
		"one":          {[]growth.Weighing{a}, 100, growth.ErrTooFew},
		"one day":      {[]growth.Weighing{a, weighed(t, "2027-05-01", 31)}, 100, growth.ErrTooFew},
		"no weight":    {[]growth.Weighing{a, weighed(t, "2027-06-10", 0)}, 100, growth.ErrWeighing},
		"not a number": {[]growth.Weighing{a, weighed(t, "2027-06-10", math.NaN())}, 100, growth.ErrWeighing},
		"no day":       {[]growth.Weighing{a, {KG: 40}}, 100, growth.ErrWeighing},
		"bad error":    {[]growth.Weighing{a, {Day: b.Day, KG: 40, Error: 2}}, 100, growth.ErrWeighing},
		"no target":    {[]growth.Weighing{a, b}, 0, growth.ErrTarget},
		"huge target":  {[]growth.Weighing{a, b}, 1e9, growth.ErrTarget},
		"losing":       {[]growth.Weighing{weighed(t, "2027-05-01", 62), weighed(t, "2027-06-10", 30)}, 100, growth.ErrNoGain},
		"standing":     {[]growth.Weighing{a, weighed(t, "2027-06-10", 30)}, 100, growth.ErrNoGain},
	} {
		_, err := growth.Reach(c.ws, c.target)
		require.ErrorIs(t, err, c.err, name)
	}
	_, err := growth.DailyGain(a, a)
	require.ErrorIs(t, err, growth.ErrTooFew)
	_, err = growth.DailyGain(a, growth.Weighing{})
	require.ErrorIs(t, err, growth.ErrWeighing)
}

func TestReachedAlready(t *testing.T) {
	f, err := growth.Reach([]growth.Weighing{weighed(t, "2027-06-10", 112), weighed(t, "2027-05-01", 80)}, 110)
	require.NoError(t, err)
	require.True(t, f.Reached)
	require.Equal(t, date(t, "2027-06-10"), f.Day)
}

// TestTapeIsWiderThanScale: by tape the same weights leave a wider band, so wide at the
// end that there may be no late day.
func TestTapeIsWiderThanScale(t *testing.T) {
	ws := []growth.Weighing{weighed(t, "2027-05-01", 60), weighed(t, "2027-06-30", 108)}
	scale, err := growth.Reach(ws, 120)
	require.NoError(t, err)
	for i := range ws {
		ws[i].Error = growth.TapeError
	}
	tape, err := growth.Reach(ws, 120)
	require.NoError(t, err)
	require.Equal(t, scale.Day, tape.Day)
	require.True(t, tape.Early.Before(scale.Early))
	require.True(t, tape.Late.After(scale.Late))
	require.Less(t, tape.GainBand.Low, scale.GainBand.Low)

	near := []growth.Weighing{{date(t, "2027-05-01"), 60, growth.TapeError}, {date(t, "2027-05-08"), 63, growth.TapeError}}
	f, err := growth.Reach(near, 120)
	require.NoError(t, err)
	require.True(t, f.Late.IsZero(), "the gain may be nothing")
	require.True(t, f.Far)
	require.False(t, f.Early.Before(date(t, "2027-05-08")))
}

// TestScatterWidens: weighings that lie about the line leave a wider band than those on
// it.
func TestScatterWidens(t *testing.T) {
	on := []growth.Weighing{weighed(t, "2027-05-01", 40), weighed(t, "2027-05-21", 56), weighed(t, "2027-06-10", 72)}
	off := []growth.Weighing{weighed(t, "2027-05-01", 43), weighed(t, "2027-05-21", 50), weighed(t, "2027-06-10", 75)}
	a, err := growth.Reach(on, 100)
	require.NoError(t, err)
	b, err := growth.Reach(off, 100)
	require.NoError(t, err)
	require.InDelta(t, a.Gain, b.Gain, 1e-9)
	require.Greater(t, b.GainBand.High, a.GainBand.High)
	require.True(t, b.Early.Before(a.Early))
	require.Equal(t, "2027-07-15", a.Day.Format(time.DateOnly))
}

func TestYieldsRefuse(t *testing.T) {
	for _, x := range []float64{0, -1, math.NaN(), math.Inf(1), 1e9} {
		_, err := growth.Carcass("pig", x)
		require.ErrorIs(t, err, growth.ErrWeighing, x)
		_, err = growth.Rendered("suet", x)
		require.ErrorIs(t, err, growth.ErrWeighing, x)
		_, err = growth.Pig(x, false)
		require.ErrorIs(t, err, growth.ErrWeighing, x)
	}
	_, err := growth.Carcass("cat", 4)
	require.ErrorIs(t, err, growth.ErrKind)
	_, err = growth.Rendered("butter", 4)
	require.ErrorIs(t, err, growth.ErrKind)
	require.Len(t, growth.Dressings(), 8)
	require.Len(t, growth.Renderings(), 4)
}

func TestLardTypeCarriesMore(t *testing.T) {
	lean, err := growth.Pig(250, false)
	require.NoError(t, err)
	lard, err := growth.Pig(250, true)
	require.NoError(t, err)
	require.Equal(t, lean.Carcass, lard.Carcass)
	require.InDelta(t, 2.3, lard.Fat.Typical/lean.Fat.Typical, 0.3, "two to three times")
	require.Greater(t, lard.Lard.Low, lean.Lard.Low)
}

func hours(t require.TestingT, n float64) growth.Label {
	l, err := growth.Hours(n)
	require.NoError(t, err)
	return l
}

func days(t require.TestingT, n float64) growth.Label {
	l, err := growth.Days(n)
	require.NoError(t, err)
	return l
}

var morning = time.Date(2027, 3, 1, 7, 0, 0, 0, time.UTC)

func TestLabels(t *testing.T) {
	for _, n := range []float64{-1, math.NaN(), math.Inf(1), 731, 1e300} {
		_, err := growth.Days(n)
		require.ErrorIs(t, err, growth.ErrLabel, n)
	}
	_, err := growth.Hours(-0.5)
	require.ErrorIs(t, err, growth.ErrLabel)
	wait, ok := days(t, 28).Known()
	require.True(t, ok)
	require.Equal(t, 672*time.Hour, wait)
	_, ok = growth.Label{}.Known()
	require.False(t, ok)
	require.True(t, growth.Prohibited.Forbids())
	require.False(t, hours(t, 0).Forbids())
	require.Equal(t, "unknown", growth.Product(7).String())
}

func release(t require.TestingT, p growth.Product, ts ...growth.Treatment) growth.Clearance {
	c, err := growth.Release(p, ts...)
	require.NoError(t, err)
	return c
}

func TestUnknownAndProhibited(t *testing.T) {
	year := morning.AddDate(1, 0, 0)
	one := []time.Time{morning}
	blank := release(t, growth.Milk, growth.Treatment{Doses: one, Meat: days(t, 10)})
	require.True(t, blank.Unknown)
	require.False(t, blank.Free(year), "unknown is not released, however long ago")
	never := release(t, growth.Eggs, growth.Treatment{Doses: one, Eggs: growth.Prohibited}, growth.Treatment{Doses: one})
	require.True(t, never.Never)
	require.False(t, never.Unknown, "a prohibition comes before what is not known")
	require.False(t, never.Free(year))
	zero := release(t, growth.Milk, growth.Treatment{Doses: one, Milk: hours(t, 0)})
	require.True(t, zero.Free(morning))
	require.False(t, zero.Free(morning.Add(-time.Minute)))
	require.True(t, release(t, growth.Milk).Free(time.Time{}), "no treatment, nothing withheld")
	require.True(t, release(t, growth.Product(9), growth.Treatment{Doses: one}).Unknown)
	_, err := growth.Release(growth.Milk, growth.Treatment{Milk: hours(t, 96)})
	require.ErrorIs(t, err, growth.ErrDose)
	_, err = growth.Release(growth.Milk, growth.Treatment{Doses: []time.Time{{}}, Milk: hours(t, 96)})
	require.ErrorIs(t, err, growth.ErrDose)
}

// TestOffLabel: used otherwise than the label says, only the vet's time holds.
func TestOffLabel(t *testing.T) {
	treated := growth.Treatment{Doses: []time.Time{morning}, Milk: hours(t, 96), Meat: days(t, 28).FromVet(), Eggs: growth.Prohibited, OffLabel: true}
	require.True(t, release(t, growth.Milk, treated).Unknown)
	require.Equal(t, morning.AddDate(0, 0, 28), release(t, growth.Meat, treated).At)
	require.True(t, release(t, growth.Eggs, treated).Never)
	treated.OffLabel = false
	require.False(t, release(t, growth.Milk, treated).Unknown)
}

// TestLastDoseCounts: a course counts from its last dose, in whatever order they are
// told.
func TestLastDoseCounts(t *testing.T) {
	doses := []time.Time{morning.Add(48 * time.Hour), morning, morning.Add(24 * time.Hour)}
	c := release(t, growth.Milk, growth.Treatment{Doses: doses, Milk: hours(t, 72)})
	require.Equal(t, morning.Add(120*time.Hour), c.At)
}

func ExampleGirthWeightInches() {
	e, err := growth.GirthWeightInches("sow", 45, 50)
	fmt.Printf("%.0f lb, between %.0f and %.0f %v\n", e.KG/growth.KGPerPound, e.Low/growth.KGPerPound, e.High/growth.KGPerPound, err)
	// Output: 253 lb, between 228 and 278 <nil>
}

func ExampleGirthWeight() {
	_, err := growth.GirthWeight("cow", 76, 66)
	fmt.Println(err == nil)
	_, err = growth.GirthWeight("cow", 700, 66)
	fmt.Println(errors.Is(err, growth.ErrTape), err)
	// Output:
	// true
	// true measure by tape: a girth of 700 cm; cattle have 55 to 300 cm
}

func ExamplePigByGirth() {
	e, err := growth.PigByGirth(40 * growth.CMPerInch)
	fmt.Printf("%.0f lb %v\n", e.KG/growth.KGPerPound, err)
	// Output: 201 lb <nil>
}

func ExampleReach() {
	day := time.Date(2027, 5, 1, 0, 0, 0, 0, time.UTC)
	f, err := growth.Reach([]growth.Weighing{{day, 30, growth.ScaleError}, {day.AddDate(0, 0, 40), 62, growth.ScaleError}}, 110)
	fmt.Printf("%.2f kg a day, 110 kg on %s, between %s and %s %v\n", f.Gain, f.Day.Format("2 Jan"), f.Early.Format("2 Jan"), f.Late.Format("2 Jan"), err)
	// Output: 0.80 kg a day, 110 kg on 9 Aug, between 6 Aug and 13 Aug <nil>
}

func ExampleDailyGain() {
	day := time.Date(2027, 5, 1, 0, 0, 0, 0, time.UTC)
	gain, err := growth.DailyGain(growth.Weighing{Day: day, KG: 30}, growth.Weighing{Day: day.AddDate(0, 0, 40), KG: 62})
	fmt.Println(gain, err)
	// Output: 0.8 <nil>
}

func ExampleCarcass() {
	b, err := growth.Carcass("pig", 250)
	fmt.Printf("%.0f (%.0f to %.0f) %v\n", b.Typical, b.Low, b.High, err)
	// Output: 180 (175 to 188) <nil>
}

func ExampleRendered() {
	b, err := growth.Rendered("back fat", 23)
	fmt.Printf("%.1f (%.1f to %.1f) %v\n", b.Typical, b.Low, b.High, err)
	// Output: 18.4 (17.2 to 19.6) <nil>
}

func ExamplePig() {
	y, err := growth.Pig(250, false)
	fmt.Printf("carcass %.0f, cuts %.0f, fat %.0f, lard %.0f (%.0f to %.0f) %v\n", y.Carcass.Typical, y.Cuts.Typical, y.Fat.Typical, y.Lard.Typical, y.Lard.Low, y.Lard.High, err)
	// Output: carcass 180, cuts 140, fat 27, lard 22 (15 to 29) <nil>
}

func ExampleRelease() {
	label, _ := growth.Hours(96)
	last := time.Date(2026, 11, 20, 7, 30, 0, 0, time.UTC)
	c, err := growth.Release(growth.Milk, growth.Treatment{Doses: []time.Time{last}, Milk: label})
	fmt.Println(c.At.Format("Mon 2 Jan 15:04"), c.Free(last.Add(95*time.Hour)), err)
	fmt.Println(growth.AsEntered)
	// Output:
	// Tue 24 Nov 07:30 false <nil>
	// Earliest, if the label was entered as it stands. The label and the vet decide.
}
