package cure_test

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/cure"
)

// readChecks returns the rows of a file of testdata/checks by column name.
func readChecks(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("../../testdata/checks/" + name)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, cell := range row {
			m[rows[0][i]] = cell
		}
		require.NotEmpty(t, m["source"], m["id"])
		require.NotEmpty(t, m["mark"], m["id"])
		out = append(out, m)
	}
	return out
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

// values reads "a=1;b=2".
func values(t *testing.T, s string) map[string]float64 {
	t.Helper()
	out := map[string]float64{}
	for _, part := range strings.Split(s, ";") {
		name, value, ok := strings.Cut(part, "=")
		require.True(t, ok, part)
		out[name] = number(t, value)
	}
	return out
}

// TestDryingTable runs every row of soap.csv about drying.
func TestDryingTable(t *testing.T) {
	ran := 0
	for _, row := range readChecks(t, "soap.csv") {
		if row["what"] != "drying" {
			continue
		}
		ran++
		t.Run(row["id"], func(t *testing.T) {
			got := dryingRow(t, values(t, row["inputs"]))
			for name, want := range values(t, row["expect"]) {
				require.Contains(t, got, name)
				require.InDelta(t, want, got[name], number(t, row["tolerance"]), name)
			}
		})
	}
	t.Logf("%d rows ran", ran)
	require.Equal(t, 9, ran)
}

func dryingRow(t *testing.T, in map[string]float64) map[string]float64 {
	if pour, ok := in["pour"]; ok {
		dry, err := cure.DryWeight(pour, in["solids"], in["final_water"])
		require.NoError(t, err)
		return map[string]float64{"weight": dry, "loss": 1 - dry/pour}
	}
	d, err := cure.ThreePoint(in["m0"], in["m1"], in["m2"], in["gap"])
	require.NoError(t, err)
	return map[string]float64{
		"limit": d.Limit, "tau": d.Tau, "day42": d.At(42), "day56": d.At(56),
		"next_week": d.WeekLoss(2 * in["gap"]),
	}
}

// weighings reads "day=grams;...".
func weighings(t *testing.T, s string) []cure.Weighing {
	t.Helper()
	var ws []cure.Weighing
	for _, part := range strings.Split(s, ";") {
		day, grams, _ := strings.Cut(part, "=")
		ws = append(ws, cure.Weighing{Days: number(t, day), Grams: number(t, grams)})
	}
	return ws
}

// TestFitTable compares with fits, and with intervals found another way, of a
// general library: drying.csv says which.
func TestFitTable(t *testing.T) {
	rows := readChecks(t, "drying.csv")
	require.GreaterOrEqual(t, len(rows), 8)
	for _, row := range rows {
		t.Run(row["id"]+" "+row["what"], func(t *testing.T) {
			d, err := cure.Fit(weighings(t, row["weighings"]), number(t, row["noise"]))
			require.NoError(t, err)
			require.Nil(t, d.Aside)
			f := d.Settled(0.01)
			for name, got := range map[string]float64{"limit": d.Limit, "lost": d.Lost, "tau": d.Tau} {
				require.InEpsilon(t, number(t, row[name]), got, 1e-6, name)
			}
			for name, got := range map[string]float64{"day": f.Day, "early": f.Early, "late": f.Late} {
				require.InDelta(t, number(t, row[name]), got, 0.02, name)
			}
		})
	}
}

// weekly returns the weights of a drying batch on day first and every week after.
func weekly(d cure.Drying, first float64, n int) []cure.Weighing {
	ws := make([]cure.Weighing, n)
	for i := range ws {
		day := first + 7*float64(i)
		ws[i] = cure.Weighing{Days: day, Grams: d.At(day)}
	}
	return ws
}

// shaken returns the same with noise, and the scale's step of a gram if asked.
func shaken(ws []cure.Weighing, noise float64, rng *rand.Rand, whole bool) []cure.Weighing {
	out := slices.Clone(ws)
	for i := range out {
		out[i].Grams += noise * rng.NormFloat64()
		if whole {
			out[i].Grams = math.Round(out[i].Grams)
		}
	}
	return out
}

// trials runs f over batches of 1.5 kg as they are weighed at home: 10 to 16 % lost,
// Tau of 14 to 28 days, that many weekly weighings from the cut.
func trials(repeats int, counts []int, f func(truth cure.Drying, n int)) {
	if testing.Short() {
		repeats = repeats / 3
	}
	for range repeats {
		for _, n := range counts {
			for _, tau := range []float64{14, 21, 28} {
				for _, loss := range []float64{0.10, 0.13, 0.16} {
					f(cure.Drying{Limit: 1500 * (1 - loss), Lost: 1500 * loss, Tau: tau}, n)
				}
			}
		}
	}
}

// full are the counts of weighings of a whole cure.
var full = []int{5, 6, 7}

// TestCoverage: of the nominal 90 % intervals, 80 to 98 % hold the true day. Where the
// noise is twice what it is taken for, the scatter of a few weighings makes up for
// most of it: noise alone would give 59 %.
func TestCoverage(t *testing.T) {
	tests := []struct {
		name         string
		counts       []int
		noise, given float64
		whole        bool
		least, open  float64 // share that must hold the day, share that may be without end
	}{
		{"0.5 g", full, 0.5, 0.5, false, 0.8, 0},
		{"1 g", full, 1, 1, false, 0.8, 0},
		{"2 g", full, 2, 2, false, 0.8, 0.1},
		{"1 g and a scale of whole grams", full, 1, math.Sqrt(1 + 1.0/12), true, 0.8, 0},
		{"early, 1 g", []int{3, 4}, 1, 1, false, 0.8, 0.5},
		{"2 g taken for 1 g", full, 2, 1, false, 0.7, 0.1},
	}
	for i, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(1, uint64(i)))
			all, held, early, late, open := 0, 0, 0, 0, 0
			trials(12*3/len(tt.counts), tt.counts, func(truth cure.Drying, n int) {
				all++
				d, err := cure.Fit(shaken(weekly(truth, 2, n), tt.noise, rng, tt.whole), tt.given)
				require.NoError(t, err)
				want, got := truth.Settled(0.01).Day, d.Settled(0.01)
				switch {
				case want < got.Early:
					early++
				case want > got.Late:
					late++
				default:
					held++
				}
				if math.IsInf(got.Late, 1) {
					open++
				}
			})
			share := float64(held) / float64(all)
			t.Logf("%d of %d held (%.1f %%), %d below, %d above, %d open", held, all, 100*share, early, late, open)
			require.GreaterOrEqual(t, share, tt.least)
			require.LessOrEqual(t, share, 0.98)
			require.LessOrEqual(t, float64(open), tt.open*float64(all), "an interval without end tells nothing")
		})
	}
}

// curves draws drying batches of any size that can be weighed.
func curves(t *rapid.T) cure.Drying {
	limit := rapid.Float64Range(50, 20000).Draw(t, "limit")
	return cure.Drying{
		Limit: limit,
		Lost:  limit * rapid.Float64Range(0.05, 0.4).Draw(t, "share lost"),
		Tau:   rapid.Float64Range(5, 60).Draw(t, "tau"),
	}
}

// TestNoiseFree: weights from a curve give the curve back, and the day with it.
func TestNoiseFree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		truth := curves(t)
		ws := weekly(truth, rapid.Float64Range(0, 30).Draw(t, "first"), rapid.IntRange(3, 12).Draw(t, "weighings"))
		ws = rapid.Permutation(ws).Draw(t, "order")
		d, err := cure.Fit(ws, 0.001)
		require.NoError(t, err)
		require.Nil(t, d.Aside)
		require.InEpsilon(t, truth.Tau, d.Tau, 1e-5)
		require.InEpsilon(t, truth.Limit, d.Limit, 1e-5)
		require.InEpsilon(t, truth.Lost, d.Lost, 1e-5)
		want, got := truth.Settled(0.01), d.Settled(0.01)
		require.InDelta(t, want.Day, got.Day, 1e-2)
		require.LessOrEqual(t, got.Early, got.Day)
		require.GreaterOrEqual(t, got.Late, got.Day)
	})
}

// TestScale: the unit of weight does not matter.
func TestScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		truth := cure.Drying{Limit: 1300, Lost: 200, Tau: rapid.Float64Range(14, 28).Draw(t, "tau")}
		ws := shaken(weekly(truth, 2, 6), 1, rng, false)
		k := rapid.Float64Range(0.01, 100).Draw(t, "factor")
		scaled := slices.Clone(ws)
		for i := range scaled {
			scaled[i].Grams *= k
		}
		a, err := cure.Fit(ws, 1)
		require.NoError(t, err)
		b, err := cure.Fit(scaled, k)
		require.NoError(t, err)
		require.InEpsilon(t, a.Tau, b.Tau, 1e-6)
		require.InEpsilon(t, k*a.Limit, b.Limit, 1e-6)
		require.InEpsilon(t, k*a.Lost, b.Lost, 1e-6)
		fa, fb := a.Settled(0.01), b.Settled(0.01)
		require.InDelta(t, fa.Day, fb.Day, 1e-3)
		require.InDelta(t, fa.Early, fb.Early, 0.03)
		if !math.IsInf(fa.Late, 1) {
			require.InDelta(t, fa.Late, fb.Late, 0.03)
		}
	})
}

// TestSlowerIsLater: a longer Tau settles later as long as the day is well over Tau
// away; beyond that the batch dries so slowly that the week's loss is small early.
func TestSlowerIsLater(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := curves(t)
		day := d.Settled(0.01).Day
		d.Tau *= rapid.Float64Range(1.01, 1.5).Draw(t, "slower")
		if later := d.Settled(0.01).Day; later > 1.2*d.Tau {
			require.Greater(t, later, day)
		}
	})
	slow := cure.Drying{Limit: 1350, Lost: 150, Tau: 28}.Settled(0.01).Day
	slower := cure.Drying{Limit: 1350, Lost: 150, Tau: 56}.Settled(0.01).Day
	require.Less(t, slower, slow)
}

// TestSettledIsWhereTheWeekTakesTheShare: the day is the first with so small a loss.
func TestSettledIsWhereTheWeekTakesTheShare(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := curves(t)
		share := rapid.Float64Range(0.002, 0.05).Draw(t, "share")
		day := d.Settled(share).Day
		if day == 0 {
			require.LessOrEqual(t, d.WeekLoss(0), share*(1+1e-9))
			return
		}
		require.InEpsilon(t, share, d.WeekLoss(day), 1e-6)
		require.Greater(t, d.WeekLoss(day-0.5), share)
		require.Less(t, d.WeekLoss(day+0.5), share)
	})
}

// TestThreePointIsFit: with three weighings at equal gaps both go through all three.
func TestThreePointIsFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		truth := curves(t)
		gap := rapid.Float64Range(5, 20).Draw(t, "gap")
		ws := []cure.Weighing{{0, truth.At(0)}, {gap, truth.At(gap)}, {2 * gap, truth.At(2 * gap)}}
		exact, err := cure.ThreePoint(ws[0].Grams, ws[1].Grams, ws[2].Grams, gap)
		require.NoError(t, err)
		fitted, err := cure.Fit(ws, 1)
		require.NoError(t, err)
		require.InEpsilon(t, exact.Tau, fitted.Tau, 1e-4)
		require.InEpsilon(t, exact.Limit, fitted.Limit, 1e-4)
		require.InEpsilon(t, exact.Lost, fitted.Lost, 1e-4)
	})
}

var usual = cure.Drying{Limit: 1300, Lost: 200, Tau: 21}

// TestDampDay: a rise of 15 g is put aside and changes next to nothing; with too few
// weighings to tell, the interval grows instead.
func TestDampDay(t *testing.T) {
	clean := shaken(weekly(usual, 2, 7), 1, rand.New(rand.NewPCG(3, 4)), false)
	for i := 3; i < 6; i++ {
		damp := slices.Clone(clean)
		damp[i].Grams = damp[i-1].Grams + 15
		d, err := cure.Fit(damp, 1)
		require.NoError(t, err)
		require.NotNil(t, d.Aside)
		require.Equal(t, damp[i], *d.Aside)
		rest, err := cure.Fit(slices.Delete(slices.Clone(damp), i, i+1), 1)
		require.NoError(t, err)
		require.InEpsilon(t, rest.Tau, d.Tau, 1e-9)
	}
	few := weekly(usual, 2, 4)
	before, err := cure.Fit(few, 1)
	require.NoError(t, err)
	few[2].Grams += 45
	after, err := cure.Fit(few, 1)
	require.NoError(t, err)
	require.Nil(t, after.Aside)
	require.Greater(t, width(after), 3*width(before))
}

func width(d cure.Drying) float64 {
	f := d.Settled(0.01)
	return f.Late - f.Early
}

// TestKeptAll: nothing is put aside where the weight does not rise (bars that were wet
// outside at first), where two weighings are off, or where too few are left to tell
// which of two on a day is.
func TestKeptAll(t *testing.T) {
	wet := weekly(usual, 2, 7)
	wet[0].Grams += 15
	two := weekly(usual, 2, 7)
	two[3].Grams += 60
	two[5].Grams += 60
	days := []cure.Weighing{{2, 1480}, {2, 1481}, {9, 1430}, {9, 1460}, {16, 1393}, {23, 1367}}
	for name, ws := range map[string][]cure.Weighing{"wet": wet, "two": two, "days": days} {
		d, err := cure.Fit(ws, 1)
		require.NoError(t, err, name)
		require.Nil(t, d.Aside, name)
	}
}

// TestNothingAsideWithoutReason: of clean batches hardly one in a hundred loses a
// weighing.
func TestNothingAsideWithoutReason(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	all, aside := 0, 0
	trials(8, full, func(truth cure.Drying, n int) {
		d, err := cure.Fit(shaken(weekly(truth, 2, n), 1, rng, false), 1)
		require.NoError(t, err)
		all++
		if d.Aside != nil {
			aside++
		}
	})
	require.LessOrEqual(t, aside, all/100)
}

func TestSameDayRepeats(t *testing.T) {
	once := weekly(usual, 2, 5)
	var twice []cure.Weighing
	for _, w := range once {
		twice = append(twice, cure.Weighing{w.Days, w.Grams + 1}, cure.Weighing{w.Days, w.Grams - 1})
	}
	d, err := cure.Fit(twice, 1)
	require.NoError(t, err)
	require.InEpsilon(t, usual.Tau, d.Tau, 1e-5)
	single, err := cure.Fit(once, 1)
	require.NoError(t, err)
	require.Less(t, width(d), width(single), "two weighings tell more than one")
}

// TestOrderAndInput: the order does not change a bit of the answer, and the caller's
// slice stays as it was.
func TestOrderAndInput(t *testing.T) {
	ws := shaken(weekly(usual, 2, 6), 1, rand.New(rand.NewPCG(7, 8)), false)
	a, err := cure.Fit(ws, 1)
	require.NoError(t, err)
	slices.Reverse(ws)
	kept := slices.Clone(ws)
	b, err := cure.Fit(ws, 1)
	require.NoError(t, err)
	require.Equal(t, a, b)
	require.Equal(t, kept, ws)
	ws[0].Grams = 1
	require.Equal(t, a.Settled(0.01), b.Settled(0.01))
}

// TestOpen: three weighings of a week's drying do not say when it ends.
func TestOpen(t *testing.T) {
	d, err := cure.Fit([]cure.Weighing{{2, usual.At(2)}, {5, usual.At(5)}, {9, usual.At(9)}}, 2)
	require.NoError(t, err)
	require.True(t, math.IsInf(d.Settled(0.01).Late, 1))
	f := cure.Drying{Limit: 110, Lost: 20, Tau: 27.4}.Settled(0.01)
	require.Zero(t, f.Early)
	require.Positive(t, f.Day)
	require.True(t, math.IsInf(f.Late, 1), "a curve without weighings")
	for _, share := range []float64{0, -1, math.NaN()} {
		require.True(t, math.IsInf(d.Settled(share).Early, 1), share)
	}
	require.Equal(t, cure.Forecast{}, d.Settled(1))
}

// TestDone: a batch that was dry when it was first weighed is settled before that.
func TestDone(t *testing.T) {
	ws := shaken(weekly(usual, 90, 5), 1, rand.New(rand.NewPCG(9, 9)), false)
	d, err := cure.Fit(ws, 1)
	require.NoError(t, err)
	require.Less(t, d.Settled(0.01).Late, 90.0)
}

// TestLongAgo: for bars first weighed after decades the loss since the pour is beyond
// all numbers; the forecast is a number nevertheless.
func TestLongAgo(t *testing.T) {
	var ws []cure.Weighing
	for i := range 5 {
		day := 7 * float64(i)
		ws = append(ws, cure.Weighing{Days: 9800 + day, Grams: 1 + 0.5*math.Exp(-day/13.85)})
	}
	d, err := cure.Fit(ws, 1e-4)
	require.NoError(t, err)
	f := d.Settled(0.001)
	require.Less(t, f.Day, 1e4)
	require.Greater(t, f.Day, 9800.0)
	require.LessOrEqual(t, f.Early, f.Day)
}

func TestFitRefuses(t *testing.T) {
	good := weekly(usual, 2, 4)
	with := func(w cure.Weighing) []cure.Weighing { return append(slices.Clone(good), w) }
	tests := []struct {
		name  string
		ws    []cure.Weighing
		noise float64
		want  error
	}{
		{"none", nil, 1, cure.ErrFewWeighings},
		{"two", good[:2], 1, cure.ErrFewWeighings},
		{"three of two days", []cure.Weighing{{2, 1480}, {9, 1430}, {9, 1431}}, 1, cure.ErrFewWeighings},
		{"rising", []cure.Weighing{{2, 1400}, {9, 1410}, {16, 1430}}, 1, cure.ErrNotDrying},
		{"level", []cure.Weighing{{2, 1400}, {9, 1400}, {16, 1400}}, 1, cure.ErrNotDrying},
		{"weight that is no number", with(cure.Weighing{30, math.NaN()}), 1, cure.ErrWeighing},
		{"weight without end", with(cure.Weighing{30, math.Inf(1)}), 1, cure.ErrWeighing},
		{"no weight", with(cure.Weighing{30, 0}), 1, cure.ErrWeighing},
		{"day that is no number", with(cure.Weighing{math.NaN(), 1300}), 1, cure.ErrWeighing},
		{"day without end", with(cure.Weighing{math.Inf(1), 1300}), 1, cure.ErrWeighing},
		{"day before the pour", with(cure.Weighing{-1, 1500}), 1, cure.ErrWeighing},
		{"no noise", good, 0, cure.ErrWeighing},
		{"noise below nothing", good, -1, cure.ErrWeighing},
		{"noise that is no number", good, math.NaN(), cure.ErrWeighing},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d, err := cure.Fit(tt.ws, tt.noise)
			require.ErrorIs(t, err, tt.want)
			require.Equal(t, cure.Drying{}, d)
		})
	}
}

// TestAnyWeighings: whatever is weighed, the answer is an error or numbers in order.
func TestAnyWeighings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 8).Draw(t, "weighings")
		ws := make([]cure.Weighing, n)
		for i := range ws {
			ws[i].Days = rapid.Float64Range(0, 1e4).Draw(t, "day")
			ws[i].Grams = rapid.Float64Range(1e-3, 1e7).Draw(t, "grams")
		}
		d, err := cure.Fit(ws, rapid.Float64Range(1e-3, 100).Draw(t, "noise"))
		if err != nil {
			return
		}
		require.Positive(t, d.Limit)
		require.Positive(t, d.Lost)
		require.GreaterOrEqual(t, d.Tau, 2.0-1e-9)
		require.LessOrEqual(t, d.Tau, 200.0+1e-9)
		f := d.Settled(rapid.Float64Range(0.001, 0.2).Draw(t, "share"))
		require.False(t, math.IsNaN(f.Day) || math.IsInf(f.Day, 0))
		require.GreaterOrEqual(t, f.Early, 0.0)
		require.LessOrEqual(t, f.Early, f.Day)
		require.GreaterOrEqual(t, f.Late, f.Day)
	})
}

func TestThreePointRefuses(t *testing.T) {
	tests := []struct {
		name            string
		m0, m1, m2, gap float64
		want            error
	}{
		{"losses that do not shrink", 130, 122, 114, 14, cure.ErrNotDrying},
		{"losses that grow", 130, 122, 110, 14, cure.ErrNotDrying},
		{"a rise", 130, 122, 123, 14, cure.ErrNotDrying},
		{"less than nothing at the end", 130, 70, 11, 14, cure.ErrNotDrying},
		{"no gap", 130, 122, 117.2, 0, cure.ErrWeighing},
		{"a gap backwards", 130, 122, 117.2, -14, cure.ErrWeighing},
		{"no number", 130, math.NaN(), 117.2, 14, cure.ErrWeighing},
		{"no weight", 130, 122, 0, 14, cure.ErrWeighing},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := cure.ThreePoint(tt.m0, tt.m1, tt.m2, tt.gap)
			require.ErrorIs(t, err, tt.want)
		})
	}
}

func TestDryWeightRefuses(t *testing.T) {
	for _, tt := range []struct{ pour, solids, water float64 }{
		{1435.89, 1145.3, 1},           // all water
		{1435.89, 1145.3, -0.1},        // less than none
		{1435.89, 1145.3, math.NaN()},  // no number
		{1435.89, 1500, 0.1},           // more solids than soap
		{1435.89, 0, 0.1},              // no soap
		{math.Inf(1), 1145.3, 0.1},     // no weight
		{1435.89, 1145.3, 0.25},        // wetter than the pour, which held 20 %
		{math.NaN(), 1145.3, 0.1},      // no number
		{1435.89, math.NaN(), 0.1},     // no number
		{1435.89, 1145.3, math.Inf(1)}, // no share
	} {
		_, err := cure.DryWeight(tt.pour, tt.solids, tt.water)
		require.ErrorIs(t, err, cure.ErrDryWeight, "%v", tt)
	}
}

func BenchmarkFitAndSettled(b *testing.B) {
	ws := shaken(weekly(usual, 2, 7), 1, rand.New(rand.NewPCG(1, 1)), false)
	for b.Loop() {
		d, err := cure.Fit(ws, 1)
		if err != nil {
			b.Fatal(err)
		}
		d.Settled(0.01)
	}
}
