package feed_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/calc/feed"
)

const (
	pound  = 0.45359237
	gallon = 3.785411784
)

// row is one line of the check table.
type row struct {
	in, want  map[string]string
	tolerance float64
}

// TestChecks runs testdata/checks/feed.csv; every row names its source.
func TestChecks(t *testing.T) {
	f, err := os.Open("../../testdata/checks/feed.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	run := map[string]func(*testing.T, row){
		"need": checkNeed, "within": checkNeed, "gestation": checkGestation, "grow": checkGrow, "growwithin": checkGrow,
		"water": checkWater, "waterwithin": checkWater, "runsout": checkRunsOut, "buyby": checkBuyBy, "used": checkUsed,
		"square": checkSquare, "hay": checkHay, "asfed": checkAsFed, "bale": checkBale, "bales": checkBales,
		"coat": checkCoat, "cold": checkCold, "heater": checkHeater,
	}
	seen := map[string]bool{}
	for _, r := range rows[1:] {
		require.False(t, seen[r[0]], "%s is there twice", r[0])
		seen[r[0]] = true
		t.Run(r[0]+" "+r[1], func(t *testing.T) {
			require.NotEmpty(t, r[5])
			require.NotEmpty(t, r[6])
			require.Contains(t, run, r[1])
			run[r[1]](t, row{fields(r[2]), fields(r[3]), number(t, r[4])})
		})
	}
	t.Logf("%d rows ran", len(rows)-1)
	require.Len(t, rows, 163)
}

func fields(text string) map[string]string {
	out := map[string]string{}
	for part := range strings.SplitSeq(text, ";") {
		name, value, _ := strings.Cut(part, "=")
		out[name] = value
	}
	return out
}

func number(t require.TestingT, text string) float64 {
	f, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return f
}

func date(t require.TestingT, text string) time.Time {
	d, err := time.Parse(time.DateOnly, text)
	require.NoError(t, err)
	return d
}

// num is a figure of the row, 0 where it has none.
func (r row) num(t *testing.T, name string) float64 {
	if r.in[name] == "" {
		return 0
	}
	return number(t, r.in[name])
}

func (r row) whole(t *testing.T, name string) int { return int(r.num(t, name)) }

func (r row) group(t *testing.T) feed.Group {
	return feed.Group{
		Kind: r.in["kind"], Stage: r.in["stage"], Heads: r.whole(t, "heads"), Young: r.whole(t, "young"),
		Weight: r.num(t, "weight_kg") + pound*r.num(t, "weight_lb"), Weeks: r.num(t, "weeks"),
		Milk: r.num(t, "milk"), Fat: r.num(t, "fat"), Lactation: r.num(t, "week"),
	}
}

func (r row) weather(t *testing.T) feed.Weather {
	if r.in["f"] == "" {
		return feed.Weather{}
	}
	w := feed.At((r.num(t, "f") - 32) * 5 / 9)
	w.Wet, w.Coat = r.in["wet"] == "yes", r.in["coat"]
	return w
}

// holds compares every figure that the row wants with those there are: one figure to the
// tolerance, "4..5" as bounds.
func (r row) holds(t *testing.T, got map[string]float64) {
	t.Helper()
	for name, text := range r.want {
		require.Contains(t, got, name)
		low, high, bounds := strings.Cut(text, "..")
		if !bounds {
			require.InDelta(t, number(t, text), got[name], r.tolerance, name)
			continue
		}
		require.GreaterOrEqual(t, got[name], number(t, low), name)
		require.LessOrEqual(t, got[name], number(t, high), name)
	}
}

// figures puts a band into figures of a unit: low_lb, lb, high_lb.
func figures(out map[string]float64, unit string, size float64, b feed.Band) {
	out["low_"+unit], out[unit], out["high_"+unit] = b.Low/size, b.Typical/size, b.High/size
}

func checkNeed(t *testing.T, r row) {
	n, err := feed.Need(r.group(t), r.weather(t))
	require.NoError(t, err)
	got := map[string]float64{}
	for name, b := range map[string]feed.Band{"": n.Fed, "dry_": n.Dry, "hay_": n.Hay, "grain_": n.Grain} {
		figures(got, name+"lb", pound, b)
		figures(got, name+"kg", 1, b)
	}
	r.holds(t, got)
}

func checkGestation(t *testing.T, r row) {
	sum := 0.0
	for days, stage := range map[string]string{"first": "gestating", "last": "late gestation"} {
		n, err := feed.Need(feed.Group{Kind: "sow", Stage: stage, Heads: 1}, feed.Weather{})
		require.NoError(t, err)
		sum += r.num(t, days) * n.Fed.Typical / pound
	}
	r.holds(t, map[string]float64{"lb": sum})
}

func checkGrow(t *testing.T, r row) {
	g := r.group(t)
	g.Weeks, g.Weight = r.num(t, "from"), r.num(t, "from")
	got, err := feed.GrowTo(g, r.num(t, "to"))
	require.NoError(t, err)
	r.holds(t, map[string]float64{"days": got.Days, "kg": got.Fed, "lb": got.Fed / pound})
	back, err := feed.Grow(g, got.Days)
	require.NoError(t, err)
	require.InDelta(t, r.num(t, "to"), back.End, 1e-6)
	require.InDelta(t, got.Fed, back.Fed, 1e-6)
}

func checkWater(t *testing.T, r row) {
	d, err := feed.Water(r.group(t), r.weather(t))
	require.NoError(t, err)
	require.Equal(t, r.num(t, "f") > 80, d.Hot)
	delete(r.want, "hot")
	got := map[string]float64{}
	figures(got, "gal", gallon, d.Litres)
	figures(got, "litres", 1, d.Litres)
	r.holds(t, got)
}

func checkRunsOut(t *testing.T, r row) {
	s := feed.Stock{Day: date(t, r.in["start"]), Mass: r.num(t, "kg") + pound*r.num(t, "lb"), Waste: r.num(t, "waste")}
	got, err := feed.RunsOut(s, []feed.Group{r.group(t)}, feed.Weather{})
	require.NoError(t, err)
	require.Equal(t, r.want["last"], got.Last.Format(time.DateOnly))
	delete(r.want, "last")
	r.holds(t, map[string]float64{"days": got.Days})
}

func checkBuyBy(t *testing.T, r row) {
	shut := strings.Split(r.in["closed"], ",")
	closed := func(d time.Time) bool {
		for _, s := range shut {
			if s == d.Format(time.DateOnly) || s == "weekend" && feed.Weekend(d) {
				return true
			}
		}
		return false
	}
	got, err := feed.BuyBy(date(t, r.in["last"]), r.whole(t, "lead"), closed)
	require.NoError(t, err)
	require.Equal(t, r.want["day"], got.Format(time.DateOnly))
}

func checkUsed(t *testing.T, r row) {
	first := date(t, "2026-11-01")
	got, err := feed.Used([]feed.Reading{
		{Day: first, Mass: r.num(t, "from_kg")},
		{Day: first.AddDate(0, 0, r.whole(t, "days")), Mass: r.num(t, "to_kg"), Added: 0},
	}, feed.All, []feed.Group{r.group(t)}, feed.Weather{})
	if r.num(t, "added_kg") > 0 {
		require.ErrorIs(t, err, feed.ErrUse)
		half := first.AddDate(0, 0, 2)
		got, err = feed.Used([]feed.Reading{
			{Day: first, Mass: r.num(t, "from_kg")},
			{Day: half, Mass: r.num(t, "from_kg") - 5 + r.num(t, "added_kg"), Added: r.num(t, "added_kg")},
			{Day: first.AddDate(0, 0, r.whole(t, "days")), Mass: r.num(t, "to_kg")},
		}, feed.All, []feed.Group{r.group(t)}, feed.Weather{})
	}
	require.NoError(t, err)
	r.holds(t, map[string]float64{"daily": got.Daily, "factor": got.Factor})
}

func checkSquare(t *testing.T, r row) {
	m, err := feed.Square(r.num(t, "a")/100, r.num(t, "b")/100, r.num(t, "target")/100, r.num(t, "premix")/100)
	if r.want["none"] == "yes" {
		require.ErrorIs(t, err, feed.ErrMix)
		return
	}
	require.NoError(t, err)
	r.holds(t, map[string]float64{"a": 100 * m.A, "b": 100 * m.B, "parts_a": m.PartsA, "parts_b": m.PartsB, "target": 100 * m.Target})
}

func checkHay(t *testing.T, r row) {
	got, err := feed.HayFor([]feed.Group{r.group(t)}, r.whole(t, "days"), r.num(t, "waste"), feed.Weather{})
	require.NoError(t, err)
	r.holds(t, map[string]float64{"low_lb": got.Low / pound})
}

func checkAsFed(t *testing.T, r row) {
	fed, err := feed.AsFed(r.num(t, "dry"), r.num(t, "share"))
	require.NoError(t, err)
	out, err := feed.WithWaste(fed, r.num(t, "waste"))
	require.NoError(t, err)
	r.holds(t, map[string]float64{"fed": fed, "out": out})
}

// checkBale: a published bale lies in the table's band.
func checkBale(t *testing.T, r row) {
	b, ok := feed.BaleOf(r.in["of"], r.in["size"])
	require.True(t, ok)
	require.GreaterOrEqual(t, number(t, r.want["lb"])*pound, b.Mass.Low)
	require.LessOrEqual(t, number(t, r.want["lb"])*pound, b.Mass.High)
}

func checkBales(t *testing.T, r row) {
	n, err := feed.Count(r.num(t, "lb"), r.num(t, "each"))
	require.NoError(t, err)
	r.holds(t, map[string]float64{"n": float64(n)})
}

func checkCoat(t *testing.T, r row) {
	c, ok := feed.CoatIn(r.in["kind"], feed.Weather{Coat: r.in["coat"], Wet: r.in["coat"] == "wet"})
	require.True(t, ok)
	require.Equal(t, r.in["coat"], c.Name)
	r.holds(t, map[string]float64{"f": c.Low*9/5 + 32})
}

// checkCold: the share that the cold adds, and that all of the ration has grown by it.
func checkCold(t *testing.T, r row) {
	g := r.group(t)
	g.Heads = 3
	mild, err := feed.Need(g, feed.Weather{})
	require.NoError(t, err)
	cold, err := feed.Need(g, r.weather(t))
	require.NoError(t, err)
	r.holds(t, map[string]float64{"share": cold.Cold})
	require.InDelta(t, mild.Fed.Typical*(1+cold.Cold), cold.Fed.Typical, 1e-9)
}

func checkHeater(t *testing.T, r row) {
	got, err := feed.HeaterEnergy(r.num(t, "watts"), r.num(t, "on"), r.num(t, "days"))
	require.NoError(t, err)
	r.holds(t, map[string]float64{"kwh": got})
}
