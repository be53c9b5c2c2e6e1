package frost_test

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/frost"
)

// weather is minima in tenths of a degree C by date; a record of it can be read.
type weather map[time.Time]int

// mild is so many tenths on every date from one to another, both in it.
func mild(t require.TestingT, from, to string, tenths int) weather {
	w := weather{}
	for d := day(t, from); !d.After(day(t, to)); d = d.AddDate(0, 0, 1) {
		w[d] = tenths
	}
	return w
}

func (w weather) set(t require.TestingT, tenths int, dates ...string) {
	for _, d := range dates {
		w[day(t, d)] = tenths
	}
}

func (w weather) drop(t require.TestingT, from string, days int) {
	for i := range days {
		delete(w, day(t, from).AddDate(0, 0, i))
	}
}

func (w weather) series(t require.TestingT) frost.Series {
	var b strings.Builder
	for d, v := range w {
		fmt.Fprintf(&b, "%s,%.1f,%.1f\n", d.Format(time.DateOnly), float64(v)/10, float64(v)/10+10)
	}
	s, _, err := frost.Read(b.String(), frost.Celsius)
	require.NoError(t, err)
	return s
}

func eachYear(from, to int, monthDay string) []string {
	var out []string
	for y := from; y <= to; y++ {
		out = append(out, fmt.Sprintf("%d-%s", y, monthDay))
	}
	return out
}

// twelve is twelve whole summers, 2001 to 2012, with freezes on 10 May and 20 September.
func twelve(t require.TestingT) weather {
	w := mild(t, "2000-08-01", "2013-07-31", 50)
	w.set(t, 0, eachYear(2001, 2013, "05-10")...)
	w.set(t, -5, eachYear(2000, 2012, "09-20")...)
	return w
}

func monthDay(m time.Month, d int) frost.MonthDay { return frost.MonthDay{Month: m, Day: d} }

func TestCompute(t *testing.T) {
	n, err := frost.Compute(twelve(t).series(t), frost.Freeze, false)
	require.NoError(t, err)
	require.Equal(t, frost.Spread{Early: monthDay(5, 10), Middle: monthDay(5, 10), Late: monthDay(5, 10), N: 13}, n.Last)
	require.Equal(t, frost.Spread{Early: monthDay(9, 20), Middle: monthDay(9, 20), Late: monthDay(9, 20), N: 13}, n.First)
	require.Equal(t, frost.Lengths{Shorter: 132, Middle: 132, Longer: 132}, n.Length)
	require.Len(t, n.Seasons, 12)
	require.Equal(t, frost.GrowingSeason{Year: 2001, Last: day(t, "2001-05-10"), First: day(t, "2001-09-20")}, n.Seasons[0])
	require.Equal(t, 2012, n.Seasons[11].Year)
	require.True(t, n.Rough)
	require.Zero(t, n.Invalid)
	require.Equal(t, frost.Freeze, n.Threshold)
	// An equal minimum counts, one tenth more does not: without its last freezes a
	// spring's is that of the autumn before.
	n, err = frost.Compute(twelve(t).series(t), -1, false)
	require.NoError(t, err)
	require.Equal(t, monthDay(9, 20), n.Last.Middle)
	require.Equal(t, day(t, "2000-09-20"), n.Seasons[0].Last)
}

// TestMissing: nine days on the way to a freeze may be missing, ten may not, and none
// where no freeze was found; days beyond the freeze do not matter.
func TestMissing(t *testing.T) {
	for _, c := range []struct {
		name, from           string
		days                 int
		warm                 bool // without the freezes of the cold season 2005-06
		lasts, firsts, nones int
		seasons, spoilt      int
	}{
		{name: "nine before autumn", from: "2005-08-05", days: 9, lasts: 13, firsts: 13, seasons: 12},
		{name: "ten before autumn", from: "2005-08-05", days: 10, lasts: 13, firsts: 12, seasons: 11, spoilt: 1},
		{name: "ten after spring", from: "2005-05-11", days: 10, lasts: 12, firsts: 13, seasons: 11, spoilt: 1},
		{name: "ten around midsummer", from: "2005-07-27", days: 10, lasts: 13, firsts: 13, seasons: 12},
		{name: "ninety in winter", from: "2005-12-01", days: 90, lasts: 13, firsts: 13, seasons: 12},
		{name: "no freeze", warm: true, from: "2005-12-01", lasts: 13, firsts: 13, nones: 1, seasons: 12},
		{name: "no freeze, one missing", warm: true, from: "2005-12-01", days: 1, lasts: 12, firsts: 12, seasons: 10, spoilt: 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := twelve(t)
			if c.warm {
				w.set(t, 50, "2005-09-20", "2006-05-10")
			}
			w.drop(t, c.from, c.days)
			n, err := frost.Compute(w.series(t), frost.Freeze, false)
			require.NoError(t, err)
			require.Equal(t, []int{c.lasts, c.firsts, c.nones, c.nones}, []int{n.Last.N, n.First.N, n.Last.None, n.First.None})
			require.Equal(t, []int{c.seasons, c.spoilt}, []int{len(n.Seasons), n.Invalid})
		})
	}
}

// TestWithoutFreeze: twelve cold seasons, of which the first so many freeze, on
// 1 February, on the 2nd, and so on. Years without a freeze are years, and a level that
// falls among them does not exist: of h freezing ones, a last freeze that comes later in
// a tenth of all twelve is at 1 - 0.1 * 12/h of their list.
func TestWithoutFreeze(t *testing.T) {
	february := func(d int) frost.MonthDay { return monthDay(2, d) }
	never := frost.MonthDay{}
	for freezing, want := range map[int]struct {
		last, first frost.Spread
		length      frost.Lengths
	}{
		11: {
			frost.Spread{Early: february(1), Middle: february(6), Late: february(10), N: 12, None: 1},
			frost.Spread{Early: february(2), Middle: february(6), Late: february(11), N: 12, None: 1},
			frost.Lengths{Shorter: 365, Middle: 365, Longer: 366},
		},
		6: {
			frost.Spread{Early: never, Middle: never, Late: february(5), N: 12, None: 6},
			frost.Spread{Early: february(2), Middle: never, Late: never, N: 12, None: 6},
			frost.Lengths{Shorter: 365, Middle: -1, Longer: -1},
		},
		1: {frost.Spread{N: 12, None: 11}, frost.Spread{N: 12, None: 11}, frost.Lengths{Shorter: -1, Middle: -1, Longer: -1}},
		0: {frost.Spread{N: 12, None: 12}, frost.Spread{N: 12, None: 12}, frost.Lengths{Shorter: -1, Middle: -1, Longer: -1}},
	} {
		w := mild(t, "2000-08-01", "2012-07-31", 50)
		for i := range freezing {
			w.set(t, 0, fmt.Sprintf("%d-02-%02d", 2001+i, 1+i))
		}
		n, err := frost.Compute(w.series(t), frost.Freeze, false)
		require.NoError(t, err)
		require.Equal(t, want.last, n.Last, "%d freezing", freezing)
		require.Equal(t, want.first, n.First, "%d freezing", freezing)
		require.Equal(t, want.length, n.Length, "%d freezing", freezing)
		require.Len(t, n.Seasons, 11)
		require.Equal(t, freezing < 12, n.Seasons[10].First.IsZero())
	}
}

// TestFewSeasons: ten summers known from both ends are enough, nine are not, and twenty
// are not rough.
func TestFewSeasons(t *testing.T) {
	for whole, want := range map[string]error{"2010-07-31": frost.ErrFewSeasons, "2010-12-31": nil} {
		w := mild(t, "2000-08-01", whole, 50)
		w.set(t, 0, eachYear(2000, 2010, "10-01")...)
		if want != nil {
			delete(w, day(t, "2010-10-01"))
		}
		n, err := frost.Compute(w.series(t), frost.Freeze, false)
		require.ErrorIs(t, err, want)
		if want != nil {
			require.ErrorContains(t, err, "9 known")
			continue
		}
		require.Len(t, n.Seasons, 10)
		require.True(t, n.Rough)
	}
	w := mild(t, "2000-08-01", "2021-07-31", 50)
	n, err := frost.Compute(w.series(t), frost.Freeze, false)
	require.NoError(t, err)
	require.Len(t, n.Seasons, 20)
	require.False(t, n.Rough)
}

// TestSafeSide: the date that a garden is safe after is rounded up, the one that it is
// safe before down, the others to the nearest day.
func TestSafeSide(t *testing.T) {
	w := mild(t, "2001-01-01", "2010-12-31", 50)
	for i := range 10 {
		w.set(t, 0, fmt.Sprintf("%d-05-%02d", 2001+i, 1+2*i), fmt.Sprintf("%d-09-%02d", 2001+i, 1+2*i))
	}
	n, err := frost.Compute(w.series(t), frost.Freeze, false)
	require.NoError(t, err)
	// Days 1, 3 ... 19: at 0.1 it is 2.8, at 0.5 10, at 0.9 17.2.
	require.Equal(t, frost.Spread{Early: monthDay(5, 3), Middle: monthDay(5, 10), Late: monthDay(5, 18), N: 10}, n.Last)
	require.Equal(t, frost.Spread{Early: monthDay(9, 2), Middle: monthDay(9, 10), Late: monthDay(9, 17), N: 10}, n.First)
}

// TestSouth: the year of a southern season is that of its spring.
func TestSouth(t *testing.T) {
	w := mild(t, "2000-02-01", "2012-01-31", 80)
	w.set(t, 0, eachYear(2000, 2011, "10-20")...)
	w.set(t, 0, eachYear(2000, 2011, "04-25")...)
	n, err := frost.Compute(w.series(t), frost.Freeze, true)
	require.NoError(t, err)
	require.True(t, n.South)
	require.Len(t, n.Seasons, 11)
	require.Equal(t, frost.GrowingSeason{Year: 2000, Last: day(t, "2000-10-20"), First: day(t, "2001-04-25")}, n.Seasons[0])
	require.Equal(t, monthDay(10, 20), n.Last.Late)
	require.Equal(t, monthDay(4, 25), n.First.Early)
	require.Equal(t, float64(187), n.Length.Longer, "with 29 February")
	require.Equal(t, float64(186), n.Length.Middle)
	yes, of := w.series(t).Reached(n, monthDay(1, 10), 10, 30, 0)
	require.Equal(t, []int{11, 11}, []int{yes, of}, "January is that of the year after")
	sum, missing := w.series(t).Heat(day(t, "2001-01-10"), day(t, "2001-04-24"), 10, 30)
	require.Zero(t, missing)
	yes, _ = w.series(t).Reached(n, monthDay(1, 10), 10, 30, sum)
	require.Equal(t, 11, yes)
	yes, _ = w.series(t).Reached(n, monthDay(1, 10), 10, 30, sum+3)
	require.Equal(t, 2, yes, "2004 and 2008 have 29 February")
}

func TestComputeRefuses(t *testing.T) {
	for _, threshold := range []int{-651, 651, math.MaxInt, math.MinInt} {
		_, err := frost.Compute(twelve(t).series(t), threshold, false)
		require.ErrorIs(t, err, frost.ErrTemperature)
	}
	_, err := frost.Compute(frost.Series{}, 0, false)
	require.ErrorIs(t, err, frost.ErrFewSeasons)
}

// TestAgainstSlow: the freezes of every year are those that a plain search through the
// dates finds, and the levels those of sorted lists of floats.
func TestAgainstSlow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		south := rapid.Bool().Draw(t, "south")
		w := weather{}
		from := day(t, "1980-01-01").AddDate(0, 0, rapid.IntRange(0, 400).Draw(t, "from"))
		for i, end := 0, rapid.IntRange(12*365, 26*365).Draw(t, "days"); i < end; i++ {
			d := from.AddDate(0, 0, i)
			season := 90 - 110*math.Cos(2*math.Pi*float64(d.YearDay()-15)/365.25)
			if south {
				season = 180 - season
			}
			w[d] = int(season) + (i*i*7919+i*131)%97 - 48
		}
		for range rapid.IntRange(0, 6).Draw(t, "gaps") {
			w.drop(t, from.AddDate(0, 0, rapid.IntRange(1, 12*365-40).Draw(t, "gap")).Format(time.DateOnly), rapid.IntRange(1, 30).Draw(t, "long"))
		}
		threshold := rapid.IntRange(-60, 40).Draw(t, "threshold")
		want := slowly(w, threshold, south)
		n, err := frost.Compute(w.series(t), threshold, south)
		if len(want) < 10 {
			require.ErrorIs(t, err, frost.ErrFewSeasons)
			return
		}
		require.NoError(t, err)
		require.Equal(t, want, n.Seasons)
		require.Equal(t, len(want) < 20, n.Rough)
		var lengths []float64
		for _, g := range want {
			if g.Last.IsZero() || g.First.IsZero() {
				return
			}
			lengths = append(lengths, g.First.Sub(g.Last).Hours()/24-1)
		}
		sort.Float64s(lengths)
		for p, got := range map[float64]float64{0.1: n.Length.Shorter, 0.5: n.Length.Middle, 0.9: n.Length.Longer} {
			h := float64(len(lengths)-1) * p
			i := int(h)
			q := lengths[i]
			if i+1 < len(lengths) {
				q += (h - float64(i)) * (lengths[i+1] - lengths[i])
			}
			require.InDelta(t, q, got, 1e-6)
		}
	})
}

// slowly finds the seasons day by day on the calendar.
func slowly(w weather, threshold int, south bool) []frost.GrowingSeason {
	var out []frost.GrowingSeason
	for y := 1978; y < 2012; y++ {
		at := time.Date(y, 8, 1, 0, 0, 0, 0, time.UTC)
		if south {
			at = time.Date(y+1, 2, 1, 0, 0, 0, 0, time.UTC)
		}
		last, ok := search(w, threshold, at.AddDate(0, 0, -1), at.AddDate(-1, 0, 0), -1)
		first, okToo := search(w, threshold, at, at.AddDate(1, 0, -1), 1)
		if ok && okToo {
			out = append(out, frost.GrowingSeason{Year: y, Last: last, First: first})
		}
	}
	return out
}

func search(w weather, threshold int, from, to time.Time, step int) (time.Time, bool) {
	missing := 0
	for d := from; ; d = d.AddDate(0, 0, step) {
		if v, ok := w[d]; !ok {
			missing++
		} else if v <= threshold {
			return d, missing < 10
		}
		if d.Equal(to) {
			return time.Time{}, missing == 0
		}
	}
}

// TestColder: a lower threshold never has a later spring, an earlier autumn or a
// shorter season.
func TestColder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := mild(t, "1990-01-01", "2003-12-31", 0)
		seed := rapid.IntRange(1, 1000).Draw(t, "seed")
		i := seed
		for d := day(t, "1990-01-01"); !d.After(day(t, "2003-12-31")); d = d.AddDate(0, 0, 1) {
			i++
			w[d] = int(40-160*math.Cos(2*math.Pi*float64(d.YearDay()-15)/365.25)) + (i*i*7919+i*131)%97 - 48
		}
		s := w.series(t)
		warm := rapid.IntRange(-30, 30).Draw(t, "warm")
		a, err := frost.Compute(s, warm, false)
		require.NoError(t, err)
		b, err := frost.Compute(s, warm-rapid.IntRange(0, 40).Draw(t, "colder"), false)
		require.NoError(t, err)
		require.LessOrEqual(t, a.Length.Shorter, a.Length.Middle)
		require.LessOrEqual(t, a.Length.Middle, a.Length.Longer)
		require.LessOrEqual(t, a.Length.Middle, b.Length.Middle)
		require.False(t, b.Last.Late.In(2001).After(a.Last.Late.In(2001)))
		require.False(t, b.First.Early.In(2001).Before(a.First.Early.In(2001)))
		require.False(t, a.Last.Middle.In(2001).After(a.Last.Late.In(2001)))
		require.False(t, a.Last.Early.In(2001).After(a.Last.Middle.In(2001)))
	})
}

func TestMonthDay(t *testing.T) {
	require.True(t, frost.MonthDay{}.In(2027).IsZero())
	require.Equal(t, day(t, "2028-02-29"), monthDay(2, 29).In(2028))
	require.Equal(t, day(t, "2027-03-01"), monthDay(2, 29).In(2027))
}

func TestPack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := weather{}
		for _, i := range rapid.SliceOfN(rapid.IntRange(-90000, 70000), 1, 50).Draw(t, "days") {
			w[day(t, "2000-01-01").AddDate(0, 0, i)] = rapid.IntRange(-650, 550).Draw(t, "tenths")
		}
		s := w.series(t)
		require.Equal(t, len(w), s.Days())
		got, err := frost.Unpack(s.Pack())
		require.NoError(t, err)
		require.Equal(t, s, got)
		for d, v := range w {
			low, ok := got.Min(d)
			require.True(t, ok)
			require.Equal(t, v, low)
		}
		whole := s.Pack()
		cut := rapid.IntRange(0, len(whole)-1).Draw(t, "cut")
		_, err = frost.Unpack(whole[:cut])
		require.ErrorIs(t, err, frost.ErrPack)
		_, err = frost.Unpack(append(whole, 0))
		require.ErrorIs(t, err, frost.ErrPack)
	})
	s, err := frost.Unpack(frost.Series{}.Pack())
	require.NoError(t, err)
	require.Equal(t, frost.Series{}, s)
	first, last := s.Span()
	require.True(t, first.IsZero() && last.IsZero())
}

// TestUnpackRefuses: version, days, first day, maxima or not, and then the values, of
// which 0 is none, 1 the same as before and 101 is 5 degrees more.
func TestUnpackRefuses(t *testing.T) {
	good := []byte{1, 2, 0, 1, 101, 1, 101, 1}
	s, err := frost.Unpack(good)
	require.NoError(t, err)
	low, ok := s.Min(day(t, "1970-01-02"))
	require.True(t, ok)
	require.Equal(t, 50, low)
	for name, b := range map[string][]byte{
		"nothing":               nil,
		"another version":       {2, 2, 0, 1, 101, 1, 101, 1},
		"no days at all":        {1},
		"days without values":   {1, 3, 0, 1, 101, 1, 101, 1},
		"a third sort of value": {1, 2, 0, 2, 101, 1},
		"maxima that are none":  {1, 2, 0, 1, 101, 1, 0, 0},
		"no first minimum":      {1, 2, 0, 0, 0, 101},
		"no last minimum":       {1, 2, 0, 0, 101, 0},
		"beyond all weather":    {1, 1, 0, 0, 0xff, 0x7f},
		"before all records":    {1, 1, 0xff, 0xff, 0x7f, 0, 101},
	} {
		s, err := frost.Unpack(b)
		require.ErrorIs(t, err, frost.ErrPack, name)
		require.Equal(t, frost.Series{}, s, name)
	}
}

func FuzzUnpack(f *testing.F) {
	f.Add(frost.Series{}.Pack())
	f.Add(mild(f, "2027-05-01", "2027-05-09", 50).series(f).Pack())
	f.Add([]byte{2, 0})
	f.Add([]byte{1, 5, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 1, 0, 1, 1, 1, 1, 1})
	f.Add([]byte{1, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 1, 0, 0, 1})
	f.Fuzz(func(t *testing.T, b []byte) {
		s, err := frost.Unpack(b)
		if err != nil {
			require.ErrorIs(t, err, frost.ErrPack)
			require.Equal(t, frost.Series{}, s)
			return
		}
		again, err := frost.Unpack(s.Pack())
		require.NoError(t, err)
		require.Equal(t, s, again)
		require.LessOrEqual(t, s.Days(), len(b))
		_, err = frost.Compute(s, frost.Freeze, false)
		if err != nil {
			require.ErrorIs(t, err, frost.ErrFewSeasons)
		}
	})
}

// century is a made-up plain table of a hundred years, 36,524 rows.
func century() string {
	var b strings.Builder
	b.WriteString("date,min,max\n")
	for i := range 36524 {
		d := time.Date(1900, 1, 1+i, 0, 0, 0, 0, time.UTC)
		v := 5 - 12*math.Cos(2*math.Pi*float64(d.YearDay()-15)/365.25) + float64((i*7919)%97-48)/10
		fmt.Fprintf(&b, "%s,%.1f,%.1f\n", d.Format(time.DateOnly), v, v+10)
	}
	return b.String()
}

// BenchmarkCentury reads a hundred years and computes all three thresholds.
func BenchmarkCentury(b *testing.B) {
	text := century()
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		s, _, err := frost.Read(text, frost.Celsius)
		require.NoError(b, err)
		for _, t := range []int{frost.Frost, frost.Freeze, frost.HardFreeze} {
			n, err := frost.Compute(s, t, false)
			require.NoError(b, err)
			require.Len(b, n.Seasons, 100)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Milliseconds())/float64(b.N), "ms/op")
}

// ExampleCompute prints the dates of a made-up place.
func ExampleCompute() {
	s, report, err := frost.Read(century(), frost.Celsius)
	if err != nil {
		fmt.Println(err)
		return
	}
	n, err := frost.Compute(s, frost.Freeze, false)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(report.Kept, "days,", len(n.Seasons), "seasons")
	fmt.Println("safe from", n.Last.Late.Month, n.Last.Late.Day, "to", n.First.Early.Month, n.First.Early.Day)
	// Output:
	// 36524 days, 100 seasons
	// safe from April 12 to October 19
}
