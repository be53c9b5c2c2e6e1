package feed_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/feed"
)

var day0 = time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)

// anyGroup is a group of any kind that the table feeds.
func anyGroup(t *rapid.T) feed.Group {
	k := rapid.SampledFrom(feed.Kinds()).Filter(func(k feed.Kind) bool { return k.Name != "dog" && k.Name != "cat" }).Draw(t, "kind")
	g := feed.Group{Kind: k.Name, Heads: rapid.IntRange(1, 200).Draw(t, "heads")}
	if len(k.Stages) > 0 {
		g.Stage = rapid.SampledFrom(k.Stages).Draw(t, "stage")
	}
	if weeks, ok := feed.Grows(g.Kind, g.Stage); ok && weeks {
		g.Weeks = rapid.Float64Range(0, 30).Draw(t, "weeks")
	} else if rapid.Bool().Draw(t, "weighed") {
		g.Weight = k.Weight * rapid.Float64Range(0.3, 1.5).Draw(t, "weight")
	}
	g.Young = rapid.IntRange(0, 12).Draw(t, "young")
	return g
}

func anyWeather(t *rapid.T) feed.Weather {
	if rapid.Bool().Draw(t, "unknown") {
		return feed.Weather{}
	}
	w := feed.At(rapid.Float64Range(-40, 45).Draw(t, "celsius"))
	w.Wet = rapid.Bool().Draw(t, "wet")
	return w
}

func TestNeedIsOrdered(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, err := feed.Need(anyGroup(t), anyWeather(t))
		require.NoError(t, err)
		require.Positive(t, n.Fed.Low)
		require.GreaterOrEqual(t, n.Cold, 0.0)
		for _, b := range []feed.Band{n.Fed, n.Hay, n.Grain, n.Milk, n.Dry} {
			require.LessOrEqual(t, b.Low, b.Typical)
			require.LessOrEqual(t, b.Typical, b.High)
		}
		require.InEpsilon(t, n.Fed.Typical, n.Hay.Typical+n.Grain.Typical+n.Milk.Typical, 1e-9)
		if n.Dry.Typical > 0 && n.Hay.Typical > 0 {
			require.InEpsilon(t, n.Dry.Typical, n.Hay.Typical*feed.HayDry+n.Grain.Typical*feed.GrainDry, 1e-9)
		}
	})
}

// TestColderNeverLess: what a group eats never falls as it gets colder.
func TestColderNeverLess(t *testing.T) {
	more := 0
	rapid.Check(t, func(t *rapid.T) {
		g := anyGroup(t)
		c := rapid.Float64Range(-40, 30).Draw(t, "celsius")
		w := feed.At(c)
		w.Wet = rapid.Bool().Draw(t, "wet")
		a, err := feed.Need(g, w)
		require.NoError(t, err)
		w.Celsius -= rapid.Float64Range(0, 20).Draw(t, "colder")
		b, err := feed.Need(g, w)
		require.NoError(t, err)
		require.GreaterOrEqual(t, b.Fed.Typical, a.Fed.Typical)
		if b.Fed.Typical > a.Fed.Typical {
			more++
		}
	})
	require.Positive(t, more)
}

// TestDaysAndHeads: twice the animals eat the stock in half the days, where nothing grows.
func TestDaysAndHeads(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := anyGroup(t)
		if _, ok := feed.Grows(g.Kind, g.Stage); ok {
			g.Daily = rapid.Float64Range(0.01, 5).Draw(t, "daily")
		}
		w := anyWeather(t)
		n, err := feed.Need(g, w)
		require.NoError(t, err)
		s := feed.Stock{Day: day0, Mass: n.Fed.Typical * rapid.Float64Range(0.1, 300).Draw(t, "days"), Waste: rapid.Float64Range(0, 0.5).Draw(t, "waste")}
		a, err := feed.RunsOut(s, []feed.Group{g}, w)
		require.NoError(t, err)
		times := rapid.IntRange(2, 9).Draw(t, "times")
		g.Heads *= times
		b, err := feed.RunsOut(s, []feed.Group{g}, w)
		require.NoError(t, err)
		require.InDelta(t, a.Days, float64(times)*b.Days, 1e-6)
		require.InEpsilon(t, a.Daily*float64(times), b.Daily, 1e-9)
	})
}

// TestLastFullDay feeds the animals day by day by what the table says on each day: on the
// last full day there is enough, on the day after there is not.
func TestLastFullDay(t *testing.T) {
	grew := 0
	rapid.Check(t, func(t *rapid.T) {
		groups := []feed.Group{anyGroup(t), anyGroup(t)}
		s := feed.Stock{Day: day0, Waste: rapid.Float64Range(0, 0.4).Draw(t, "waste")}
		for _, g := range groups {
			s.Mass += eaten(t, &g, &grew) * rapid.Float64Range(0, 200).Draw(t, "days")
		}
		got, err := feed.RunsOut(s, groups, feed.Weather{})
		require.NoError(t, err)
		left, days := s.Mass*(1-s.Waste), 0
		for {
			today := 0.0
			for i := range groups {
				today += eaten(t, &groups[i], &grew)
			}
			if left < today*(1-1e-6) {
				require.Equal(t, days, got.Whole)
				require.InDelta(t, float64(days)+left/today, got.Days, 1e-4)
				break
			}
			left -= today
			days++
		}
		require.Equal(t, day0.AddDate(0, 0, got.Whole-1), got.Last)
		require.LessOrEqual(t, got.Early, got.Days)
		require.GreaterOrEqual(t, got.Late, got.Days)
	})
	require.Positive(t, grew)
}

// eaten is what a group eats today; it is a day older then.
func eaten(t *rapid.T, g *feed.Group, grew *int) float64 {
	if _, ok := feed.Grows(g.Kind, g.Stage); !ok {
		r, err := feed.Need(*g, feed.Weather{})
		require.NoError(t, err)
		return r.Fed.Typical
	}
	*grew++
	day, err := feed.Grow(*g, 1)
	require.NoError(t, err)
	*g, err = g.After(1)
	require.NoError(t, err)
	return float64(g.Heads) * day.Fed
}

// TestGrowthIsTheTrapezoid sums a growing bird's intake by the rates at short steps.
func TestGrowthIsTheTrapezoid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := anyGroup(t)
		weeks, ok := feed.Grows(g.Kind, g.Stage)
		if !ok {
			t.Skip("does not grow")
		}
		g.Heads = 1
		days := rapid.IntRange(7, 60).Draw(t, "days")
		got, err := feed.Grow(g, float64(days))
		require.NoError(t, err)
		const steps = 10
		sum, at := 0.0, g
		for range days * steps {
			before, err := feed.Need(at, feed.Weather{})
			require.NoError(t, err)
			at, err = at.After(1.0 / steps)
			require.NoError(t, err)
			after, err := feed.Need(at, feed.Weather{})
			require.NoError(t, err)
			sum += (before.Fed.Typical + after.Fed.Typical) / 2 / steps
		}
		require.InEpsilon(t, sum, got.Fed, 0.02)
		if weeks {
			require.InDelta(t, got.End, at.Weeks, 1e-6)
			return
		}
		require.InDelta(t, got.End, at.Weight, 1e-6)
	})
}

// TestGrowingInParts: some days and then some more are all of the days.
func TestGrowingInParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := anyGroup(t)
		if _, ok := feed.Grows(g.Kind, g.Stage); !ok {
			t.Skip("does not grow")
		}
		a, b := rapid.Float64Range(0, 200).Draw(t, "a"), rapid.Float64Range(0, 200).Draw(t, "b")
		first, err := feed.Grow(g, a)
		require.NoError(t, err)
		later, err := g.After(a)
		require.NoError(t, err)
		second, err := feed.Grow(later, b)
		require.NoError(t, err)
		whole, err := feed.Grow(g, a+b)
		require.NoError(t, err)
		require.InDelta(t, whole.Fed, first.Fed+second.Fed, 1e-6)
		require.InDelta(t, whole.End, second.End, 1e-6)
	})
}

// TestMixHasItsProtein: the parts come to 1 and give what was asked; outside there is none.
func TestMixHasItsProtein(t *testing.T) {
	mixed, refused := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		share := rapid.Float64Range(0, 1)
		a, b, target := share.Draw(t, "a"), share.Draw(t, "b"), share.Draw(t, "target")
		premix := rapid.Float64Range(0, 0.5).Draw(t, "premix")
		m, err := feed.Square(a, b, target, premix)
		left := target / (1 - premix)
		if left <= min(a, b) || left >= max(a, b) {
			refused++
			require.ErrorIs(t, err, feed.ErrMix)
			return
		}
		mixed++
		require.NoError(t, err)
		require.Greater(t, m.A, 0.0)
		require.Greater(t, m.B, 0.0)
		require.InDelta(t, 1, m.A+m.B+m.Premix, 1e-9)
		require.InDelta(t, target, m.A*a+m.B*b, 1e-9)
	})
	require.Positive(t, mixed)
	require.Positive(t, refused)
}

// TestWaterBetweenPoints: between any two temperatures the figure lies between those of the
// ends, and it never falls as it gets hotter.
func TestWaterBetweenPoints(t *testing.T) {
	more := 0
	rapid.Check(t, func(t *rapid.T) {
		g := anyGroup(t)
		c := rapid.Float64Range(-20, 45)
		low, high := c.Draw(t, "low"), c.Draw(t, "high")
		if low > high {
			low, high = high, low
		}
		a, err := feed.Water(g, feed.At(low))
		require.NoError(t, err)
		b, err := feed.Water(g, feed.At(high))
		require.NoError(t, err)
		require.GreaterOrEqual(t, b.Litres.Typical, a.Litres.Typical-1e-9)
		require.LessOrEqual(t, b.Litres.Low, b.Litres.Typical+1e-9)
		require.LessOrEqual(t, b.Litres.Typical, b.Litres.High+1e-9)
		require.Positive(t, a.Litres.Low)
		mid, err := feed.Water(g, feed.At((low+high)/2))
		require.NoError(t, err)
		require.GreaterOrEqual(t, mid.Litres.Typical, a.Litres.Typical-1e-9)
		require.LessOrEqual(t, mid.Litres.Typical, b.Litres.Typical+1e-9)
		if b.Litres.Typical > a.Litres.Typical {
			more++
		}
	})
	require.Positive(t, more)
}

// TestUseGoesOn: a household that uses a steady share more than the table is forecast to run
// out when a stock that is eaten at that rate does.
func TestUseGoesOn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := anyGroup(t)
		factor := rapid.Float64Range(0.5, 2).Draw(t, "factor")
		days := rapid.IntRange(1, 40).Draw(t, "days")
		first, then := 0.0, g
		for range days {
			first += eaten(t, &then, new(int)) * factor
		}
		second := first * rapid.Float64Range(0.1, 5).Draw(t, "left")
		readings := []feed.Reading{{Day: day0.AddDate(0, 0, days), Mass: second}, {Day: day0, Mass: first + second}}
		use, err := feed.Used(readings, feed.All, []feed.Group{g}, feed.Weather{})
		require.NoError(t, err)
		require.InEpsilon(t, factor, use.Factor, 1e-6)
		require.InEpsilon(t, first/float64(days), use.Daily, 1e-6)
		got, err := feed.RunsOut(use.Stock(feed.All), []feed.Group{then}, feed.Weather{})
		require.NoError(t, err)
		want, err := feed.RunsOut(feed.Stock{Day: use.Last.Day, Mass: second / factor}, []feed.Group{then}, feed.Weather{})
		require.NoError(t, err)
		require.InDelta(t, want.Days, got.Days, 1e-4)
	})
}

// TestBuyByIsOpen: the day is open, not after the day that the lead asks for, and every day
// between is shut.
func TestBuyByIsOpen(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		shut := rapid.SliceOfN(rapid.Bool(), 20, 20).Draw(t, "shut")
		closed := func(d time.Time) bool {
			n := int(math.Round(day0.Sub(d).Hours() / 24))
			return n >= 0 && n < len(shut) && shut[n]
		}
		lead := rapid.IntRange(0, 10).Draw(t, "lead")
		got, err := feed.BuyBy(day0, lead, closed)
		require.NoError(t, err)
		require.False(t, closed(got))
		for d := day0.AddDate(0, 0, -lead); d.After(got); d = d.AddDate(0, 0, -1) {
			require.True(t, closed(d))
		}
		require.False(t, got.After(day0.AddDate(0, 0, -lead)))
	})
}

func TestCountHoldsAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mass, bale := rapid.Float64Range(0, 1e5).Draw(t, "mass"), rapid.Float64Range(1, 1000).Draw(t, "bale")
		n, err := feed.Count(mass, bale)
		require.NoError(t, err)
		require.GreaterOrEqual(t, float64(n)*bale, mass-1e-3)
		require.Less(t, float64(n-1)*bale, mass+1e-9)
	})
}
