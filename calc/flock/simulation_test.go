package flock_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/calc/flock"
)

// hens is a flock that is drawn: so many hens laying at a rate that may change by day.
type hens struct {
	n     int
	rate  func(day int) float64
	mood  float64 // share by which all hens of a day go up or down together, evenly drawn
	gaps  float64 // share of days that nobody counts
	chick *rand.Rand
}

func (h hens) days(n int) []flock.Day {
	out := make([]flock.Day, n)
	for i := range out {
		p := h.rate(i) * (1 + h.mood*(2*h.chick.Float64()-1))
		out[i] = flock.Day{Hens: h.n, Counted: h.chick.Float64() >= h.gaps}
		for range h.n {
			if h.chick.Float64() < p && out[i].Counted {
				out[i].Eggs++
			}
		}
	}
	return out
}

func evenly(p float64) func(int) float64 { return func(int) float64 { return p } }

// ringsAfter are the days from that one on, counted from 1, on which a drop rang.
func ringsAfter(t *testing.T, days []flock.Day, season flock.Season, from int) []int {
	t.Helper()
	course, err := flock.Course(days, season)
	require.NoError(t, err)
	var out []int
	for i, v := range course[from:] {
		if v.Ring {
			out = append(out, i+1)
		}
	}
	return out
}

// settled is how long a drawn flock lays evenly before it is looked at.
const settled = 42

// TestFalseAlarms holds the stated rate of false alarms: nothing is wrong, and the flock
// is watched for years. About two to three a year is what comes out, and up to half as
// many again for hens whose days go up and down together by 15 %.
func TestFalseAlarms(t *testing.T) {
	const years = 25
	for _, n := range []int{6, 12, 24, 50} {
		for _, p := range []float64{0.60, 0.75, 0.85} {
			for _, kind := range []hens{{}, {gaps: 0.1}, {mood: 0.15}} {
				t.Run(fmt.Sprintf("%d hens at %g, gaps %g, mood %g", n, p, kind.gaps, kind.mood), func(t *testing.T) {
					t.Parallel()
					kind.n, kind.rate, kind.chick = n, evenly(p), rand.New(rand.NewPCG(8, uint64(n)))
					rung := 0
					for range years {
						rung += len(ringsAfter(t, kind.days(settled+365), flock.Season{}, settled))
					}
					t.Logf("%.1f a year", float64(rung)/years)
					most := flock.FalseAYear
					if kind.mood > 0 {
						most += 2 // the spread of such days is only known from 28 of them
					}
					require.LessOrEqual(t, float64(rung)/years, float64(most))
					require.Positive(t, rung, "a test that never fires says nothing")
				})
			}
		}
	}
}

// TestDelay holds how soon a real drop rings, at 75 %: the share that rings within three
// days and within a fortnight.
func TestDelay(t *testing.T) {
	const runs = 300
	tests := []struct {
		hens              int
		drop              float64
		inThree, inTwoWks float64
	}{
		{6, 0.5, 0.60, 0.99},
		{12, 0.3, 0.50, 0.97},
		{12, 0.5, 0.90, 1},
		{24, 0.3, 0.80, 1},
		{24, 0.5, 0.99, 1},
		{50, 0.3, 0.95, 1},
		{50, 0.5, 0.99, 1},
	}
	for _, tt := range tests {
		t.Run(fmt.Sprintf("%d hens less %g", tt.hens, tt.drop), func(t *testing.T) {
			t.Parallel()
			h := hens{n: tt.hens, chick: rand.New(rand.NewPCG(9, uint64(tt.hens)))}
			h.rate = func(day int) float64 {
				if day < settled {
					return 0.75
				}
				return 0.75 * (1 - tt.drop)
			}
			three, fortnight, sum := 0, 0, 0
			for range runs {
				rung := append(ringsAfter(t, h.days(settled+14), flock.Season{}, settled), 15)
				sum += rung[0]
				if rung[0] <= 3 {
					three++
				}
				if rung[0] <= 14 {
					fortnight++
				}
			}
			t.Logf("mean day %.1f, within three %d of %d", float64(sum)/runs, three, runs)
			require.GreaterOrEqual(t, float64(three)/runs, tt.inThree)
			require.GreaterOrEqual(t, float64(fortnight)/runs, tt.inTwoWks)
		})
	}
}

// autumn is short and shortening days with hens old enough to moult.
var autumn = flock.Season{Light: 9, LightBefore: 10.5, Weeks: 75}

// slide falls from 80 % by so much a day for 45 days, down to 15 %; less from fox on.
func slide(perDay float64, fox int) func(int) float64 {
	return func(day int) float64 {
		p := min(0.8, max(0.8-perDay*float64(day-settled+1), 0.15))
		if day >= fox {
			p *= 0.4
		}
		return p
	}
}

// TestSeason holds what a season that explains a decline changes: slow slides seldom
// ring (without a season nearly all do), a sudden loss of three in five eggs in the
// middle of one does as far as the counts can show it.
func TestSeason(t *testing.T) {
	const runs, never = 200, 10_000
	tests := []struct {
		hens         int
		perDay       float64
		slidesRing   float64 // at most this share of slides rings within 45 days
		foxInThree   float64 // at least this share of sudden losses rings within three days
		slidesUnsaid float64 // at least this share rings when no season is known
	}{
		{12, 0, 0.05, 0.90, 0},
		{12, 0.005, 0.10, 0.80, 0.85},
		{12, 0.01, 0.15, 0.60, 0.97},
		{24, 0, 0.08, 0.98, 0},
		{24, 0.005, 0.20, 0.95, 0.97},
		{24, 0.01, 0.30, 0.88, 0.99},
		{24, 0.02, 0.33, 0.65, 0.99},
	}
	for _, tt := range tests {
		t.Run(fmt.Sprintf("%d hens, %g a day", tt.hens, tt.perDay), func(t *testing.T) {
			t.Parallel()
			h := hens{n: tt.hens, chick: rand.New(rand.NewPCG(10, uint64(tt.hens)))}
			slides, unsaid, fox := 0, 0, 0
			for range runs {
				h.rate = slide(tt.perDay, never)
				days := h.days(settled + 45)
				slides += min(len(ringsAfter(t, days, autumn, settled)), 1)
				unsaid += min(len(ringsAfter(t, days, flock.Season{}, settled)), 1)
				h.rate = slide(tt.perDay, settled+15)
				if rung := ringsAfter(t, h.days(settled+18), autumn, settled+15); len(rung) > 0 {
					fox++
				}
			}
			t.Logf("slides that ring %d, unsaid %d, losses that ring %d, of %d", slides, unsaid, fox, runs)
			require.LessOrEqual(t, float64(slides)/runs, tt.slidesRing)
			require.GreaterOrEqual(t, float64(unsaid)/runs, tt.slidesUnsaid)
			require.GreaterOrEqual(t, float64(fox)/runs, tt.foxInThree)
		})
	}
}
