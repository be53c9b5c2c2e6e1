package feed_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/calc/feed"
)

var (
	nan = math.NaN()
	inf = math.Inf(1)
)

// TestHouseholdWords: what a household says, and what of the tables it means.
func TestHouseholdWords(t *testing.T) {
	for word, want := range map[string]string{
		"Hens": "laying hen", "the hens": "", "chicks": "pullet", "broilers": "meat chick", "ducklings": "meat duckling",
		"hogs": "pig", "sow": "sow", "does": "goat", "doe rabbit": "rabbit", "sheep": "ewe", "house cow": "cow",
		"cattle": "beef cow", "heifers": "young cattle", "mare": "horse", "cavies": "guinea pig", "unicorn": "", "": "",
	} {
		k, ok := feed.KindNamed(word)
		require.Equal(t, want != "", ok, word)
		require.Equal(t, want, k.Name, word)
	}
	for word, want := range map[string]string{
		"layers pellets": "layers pellets", "Layer Mash": "layers pellets", "growers crumb": "growers pellets", "chick crumb": "chick crumb",
		"sow rolls": "sow rolls", "hay": "hay", "straw": "straw", "corn": "corn", "maize": "corn", "scratch": "mixed corn",
		"barley": "barley", "soya": "soybean meal", "swill": "kitchen scraps", "gold": "", "": "",
	} {
		f, ok := feed.FeedNamed(word)
		require.Equal(t, want != "", ok, word)
		require.Equal(t, want, f.Name, word)
	}
}

func TestStageWords(t *testing.T) {
	for _, c := range []struct{ kind, word, want string }{
		{"sow", "", "gestating"},
		{"sows", "with piglets", "lactating"},
		{"sow", "In Pig", "gestating"},
		{"goat", "in milk", "milking"},
		{"goats", "", "maintenance"},
		{"ewe", "in lamb", "late pregnancy"},
		{"cow", "fresh", "milking"},
		{"hen", "heavy", "heavy breed"},
		{"boar", "", ""},
	} {
		got, ok := feed.StageNamed(c.kind, c.word)
		require.True(t, ok, c)
		require.Equal(t, c.want, got, c)
	}
	for _, c := range []struct{ kind, word string }{{"boar", "milking"}, {"hen", "in pig"}, {"unicorn", ""}} {
		_, ok := feed.StageNamed(c.kind, c.word)
		require.False(t, ok, c)
	}
}

// TestTablesAreCopies: whoever changes what was given changes nothing of the tables.
func TestTablesAreCopies(t *testing.T) {
	feed.Kinds()[0].Words[0] = "x"
	k, _ := feed.KindNamed("hen")
	k.Words[0] = "x"
	feed.Feeds()[0].Words[0] = "x"
	feed.FeedsFor("goat")[0].For[0] = "x"
	feed.Bales()[0].Words[0] = "x"
	feed.Heaters()[0].Words[0] = "x"
	w, _ := feed.WasteOf("feeder")
	w.Words[0] = "x"
	feed.Cautions()[0].Text = "x"
	require.NotEqual(t, "x", feed.Kinds()[0].Words[0])
	require.NotEqual(t, "x", feed.Feeds()[0].Words[0])
	require.NotEqual(t, "x", feed.FeedsFor("goat")[0].For[0])
	require.NotEqual(t, "x", feed.Bales()[0].Words[0])
	require.NotEqual(t, "x", feed.Heaters()[0].Words[0])
	again, _ := feed.WasteOf("feeder")
	require.NotEqual(t, "x", again.Words[0])
	require.NotEqual(t, "x", feed.Cautions()[0].Text)
}

func TestRefused(t *testing.T) {
	hens := feed.Group{Kind: "hens", Heads: 12}
	for name, c := range map[string]struct {
		g    feed.Group
		w    feed.Weather
		want error
	}{
		"no such animal":  {g: feed.Group{Kind: "unicorn", Heads: 1}, want: feed.ErrKind},
		"no such stage":   {g: feed.Group{Kind: "hens", Stage: "in pig", Heads: 1}, want: feed.ErrKind},
		"by the label":    {g: feed.Group{Kind: "dog", Heads: 1}, want: feed.ErrLabel},
		"fewer than none": {g: feed.Group{Kind: "hens", Heads: -1}, want: feed.ErrAmount},
		"too many":        {g: feed.Group{Kind: "hens", Heads: 2_000_000}, want: feed.ErrAmount},
		"young below 0":   {g: feed.Group{Kind: "sow", Heads: 1, Young: -1}, want: feed.ErrAmount},
		"weight":          {g: feed.Group{Kind: "goat", Heads: 1, Weight: nan}, want: feed.ErrAmount},
		"weight below 0":  {g: feed.Group{Kind: "goat", Heads: 1, Weight: -3}, want: feed.ErrAmount},
		"a whale":         {g: feed.Group{Kind: "cow", Heads: 1, Weight: 30_000}, want: feed.ErrAmount},
		"age":             {g: feed.Group{Kind: "chick", Heads: 1, Weeks: inf}, want: feed.ErrAmount},
		"milk":            {g: feed.Group{Kind: "cow", Heads: 1, Milk: -1}, want: feed.ErrAmount},
		"fat":             {g: feed.Group{Kind: "cow", Heads: 1, Fat: 4}, want: feed.ErrShare},
		"daily":           {g: feed.Group{Kind: "cow", Heads: 1, Daily: nan}, want: feed.ErrAmount},
		"weather":         {g: hens, w: feed.At(nan), want: feed.ErrAmount},
		"hotter than air": {g: hens, w: feed.At(80), want: feed.ErrAmount},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := feed.Need(c.g, c.w)
			require.ErrorIs(t, err, c.want)
			if name != "by the label" {
				_, err = feed.Water(c.g, c.w)
				require.ErrorIs(t, err, c.want)
			}
			_, err = feed.RunsOut(feed.Stock{Day: day0, Mass: 20}, []feed.Group{c.g}, c.w)
			require.ErrorIs(t, err, c.want)
			_, err = feed.HayFor([]feed.Group{c.g}, 10, 0, c.w)
			require.ErrorIs(t, err, c.want)
		})
	}
}

func TestStockRefused(t *testing.T) {
	hens := []feed.Group{{Kind: "hens", Heads: 12}}
	for name, c := range map[string]struct {
		s      feed.Stock
		groups []feed.Group
		want   error
	}{
		"nobody":         {feed.Stock{Mass: 20}, nil, feed.ErrNobody},
		"no hens left":   {feed.Stock{Mass: 20}, []feed.Group{{Kind: "hens"}}, feed.ErrNobody},
		"hens eat hay":   {feed.Stock{Mass: 20, Part: feed.Hay}, hens, feed.ErrNobody},
		"goats at grass": {feed.Stock{Mass: 20, Part: feed.Grain}, []feed.Group{{Kind: "goat", Heads: 2}}, feed.ErrNobody},
		"mass":           {feed.Stock{Mass: -1}, hens, feed.ErrAmount},
		"no mass":        {feed.Stock{Mass: nan}, hens, feed.ErrAmount},
		"endless":        {feed.Stock{Mass: inf}, hens, feed.ErrAmount},
		"factor":         {feed.Stock{Mass: 20, Factor: -1}, hens, feed.ErrAmount},
		"all wasted":     {feed.Stock{Mass: 20, Waste: 1}, hens, feed.ErrShare},
		"part":           {feed.Stock{Mass: 20, Part: "oats"}, hens, feed.ErrKind},
		"lasts too long": {feed.Stock{Mass: 1e6}, hens, feed.ErrDays},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := feed.RunsOut(c.s, c.groups, feed.Weather{})
			require.ErrorIs(t, err, c.want)
		})
	}
}

// TestNothingLeft: an empty stock ran out the day before.
func TestNothingLeft(t *testing.T) {
	got, err := feed.RunsOut(feed.Stock{Day: day0}, []feed.Group{{Kind: "hens", Heads: 12}}, feed.Weather{})
	require.NoError(t, err)
	require.Zero(t, got.Days)
	require.Equal(t, "2026-11-24", got.Last.Format(time.DateOnly))
}

// TestExactStocks: a stock of whole days is whole days, whatever the sums leave over.
func TestExactStocks(t *testing.T) {
	for heads := 1; heads <= 40; heads++ {
		hens := []feed.Group{{Kind: "hens", Heads: heads}}
		for days := 1; days <= 40; days++ {
			s := feed.Stock{Day: day0, Mass: float64(heads*days) / 4 * pound}
			got, err := feed.RunsOut(s, hens, feed.Weather{})
			require.NoError(t, err)
			require.Equal(t, days, got.Whole, "%d hens", heads)
		}
	}
	for n := 1; n <= 100; n++ {
		got, err := feed.Count(0.1*float64(n), 0.1)
		require.NoError(t, err)
		require.Equal(t, n, got)
	}
}

// TestTwinsAreUsual: the table's share of grain is meant for twins; three get more.
func TestTwinsAreUsual(t *testing.T) {
	grain := func(young int) float64 {
		n, err := feed.Need(feed.Group{Kind: "ewe", Stage: "in lamb", Heads: 1, Young: young}, feed.Weather{})
		require.NoError(t, err)
		return n.Grain.Typical
	}
	require.InDelta(t, grain(0), grain(2), 1e-12)
	require.Greater(t, grain(3), grain(2))
}

// TestBeyondTheTable: before its first and after its last row a growing animal eats as there.
func TestBeyondTheTable(t *testing.T) {
	for _, c := range []struct{ at, as feed.Group }{
		{feed.Group{Kind: "pig", Weight: 200}, feed.Group{Kind: "pig", Weight: 134}},
		{feed.Group{Kind: "pig", Weight: 2}, feed.Group{Kind: "pig", Weight: 5}},
		{feed.Group{Kind: "chick", Weeks: 60}, feed.Group{Kind: "chick", Weeks: 24}},
	} {
		c.at.Heads, c.as.Heads = 1, 1
		at, err := feed.Need(c.at, feed.Weather{})
		require.NoError(t, err)
		as, err := feed.Need(c.as, feed.Weather{})
		require.NoError(t, err)
		require.InDelta(t, as.Fed.Typical, at.Fed.Typical, 1e-12)
	}
}

// TestSeenUseHoldsWaste: what was seen is with what was wasted, which is not taken off again.
func TestSeenUseHoldsWaste(t *testing.T) {
	hens := []feed.Group{{Kind: "hens", Heads: 10}}
	got, err := feed.RunsOut(feed.Stock{Day: day0, Mass: 50 * pound, Waste: 0.2, Factor: 2}, hens, feed.Weather{})
	require.NoError(t, err)
	require.InDelta(t, 10, got.Days, 1e-9)
}

// TestEarlyAndLate: hens eat 0.20 to 0.30 lb, so that 60 lb for ten last 20 to 30 days. A use
// that was seen has no spread, and a low figure never counts beyond ten years.
func TestEarlyAndLate(t *testing.T) {
	hens := []feed.Group{{Kind: "hens", Heads: 10}}
	s := feed.Stock{Day: day0, Mass: 60 * pound}
	got, err := feed.RunsOut(s, hens, feed.Weather{})
	require.NoError(t, err)
	require.InDelta(t, 20, got.Early, 1e-6)
	require.InDelta(t, 24, got.Days, 1e-6)
	require.InDelta(t, 30, got.Late, 1e-6)
	s.Factor = 1
	seen, err := feed.RunsOut(s, hens, feed.Weather{})
	require.NoError(t, err)
	require.InDelta(t, 24, seen.Early, 1e-6)
	require.InDelta(t, 24, seen.Late, 1e-6)
	long, err := feed.RunsOut(feed.Stock{Day: day0, Mass: 2.5 * pound * 3600}, hens, feed.Weather{})
	require.NoError(t, err)
	require.InDelta(t, feed.MostDays, long.Late, 0)
}

// TestOwnFigure: what a household gives stands before the table, in any part and any cold.
func TestOwnFigure(t *testing.T) {
	goats := feed.Group{Kind: "goats", Heads: 2, Daily: 0.4}
	n, err := feed.Need(goats, feed.At(-30))
	require.NoError(t, err)
	require.InDelta(t, 0.8, n.Fed.Typical, 1e-9)
	require.Zero(t, n.Cold)
	for _, part := range []feed.Part{feed.All, feed.Hay, feed.Grain} {
		got, err := feed.RunsOut(feed.Stock{Day: day0, Mass: 20, Part: part}, []feed.Group{goats}, feed.Weather{})
		require.NoError(t, err)
		require.InDelta(t, 25, got.Days, 1e-9)
	}
	pigs := feed.Group{Kind: "pigs", Heads: 2, Weight: 30, Daily: 2}
	got, err := feed.RunsOut(feed.Stock{Day: day0, Mass: 40}, []feed.Group{pigs}, feed.Weather{})
	require.NoError(t, err)
	require.InDelta(t, 10, got.Days, 1e-9)
	d, err := feed.Water(pigs, feed.Weather{})
	require.NoError(t, err)
	require.InDelta(t, 10, d.Litres.Typical, 1e-9)
}

// TestSomeEatIt: of several groups only those count that the stock feeds.
func TestSomeEatIt(t *testing.T) {
	groups := []feed.Group{{Kind: "hens", Heads: 24}, {Kind: "goats", Heads: 2}, {Kind: "pigs", Heads: 2, Weight: 40}}
	hay, err := feed.RunsOut(feed.Stock{Day: day0, Mass: 100, Part: feed.Hay}, groups, feed.Weather{})
	require.NoError(t, err)
	goats, err := feed.RunsOut(feed.Stock{Day: day0, Mass: 100, Part: feed.Hay}, groups[1:2], feed.Weather{})
	require.NoError(t, err)
	require.Equal(t, goats, hay)
}

func TestUsedRefused(t *testing.T) {
	hens := []feed.Group{{Kind: "hens", Heads: 12}}
	later := day0.AddDate(0, 0, 5)
	for name, c := range map[string]struct {
		readings []feed.Reading
		groups   []feed.Group
		want     error
	}{
		"none":           {nil, hens, feed.ErrUse},
		"one":            {[]feed.Reading{{Day: day0, Mass: 20}}, hens, feed.ErrUse},
		"one day":        {[]feed.Reading{{Day: day0, Mass: 20}, {Day: day0, Mass: 15}}, hens, feed.ErrUse},
		"grew":           {[]feed.Reading{{Day: day0, Mass: 20}, {Day: later, Mass: 25}}, hens, feed.ErrUse},
		"grew before":    {[]feed.Reading{{Day: day0, Mass: 20}, {Day: later, Mass: 65, Added: 40}, {Day: later.AddDate(0, 0, 1), Mass: 1}}, hens, feed.ErrUse},
		"below 0":        {[]feed.Reading{{Day: day0, Mass: 20}, {Day: later, Mass: -1}}, hens, feed.ErrAmount},
		"added too much": {[]feed.Reading{{Day: day0, Mass: 20}, {Day: later, Mass: 5, Added: 20}}, hens, feed.ErrAmount},
		"nobody":         {[]feed.Reading{{Day: day0, Mass: 20}, {Day: later, Mass: 15}}, nil, feed.ErrNobody},
		"no animal":      {[]feed.Reading{{Day: day0, Mass: 20}, {Day: later, Mass: 15}}, []feed.Group{{Kind: "unicorn"}}, feed.ErrKind},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := feed.Used(c.readings, feed.All, c.groups, feed.Weather{})
			require.ErrorIs(t, err, c.want)
		})
	}
}

// TestNothingUsed: a household that used nothing has no rate, and the table goes on.
func TestNothingUsed(t *testing.T) {
	hens := []feed.Group{{Kind: "hens", Heads: 10}}
	use, err := feed.Used([]feed.Reading{{Day: day0, Mass: 20}, {Day: day0.AddDate(0, 0, 3), Mass: 20}}, feed.All, hens, feed.Weather{})
	require.NoError(t, err)
	require.Zero(t, use.Factor)
	got, err := feed.RunsOut(use.Stock(feed.All), hens, feed.Weather{})
	require.NoError(t, err)
	require.InDelta(t, 20/(2.5*pound), got.Days, 1e-9)
}

func TestBuyByRefused(t *testing.T) {
	_, err := feed.BuyBy(day0, -1, nil)
	require.ErrorIs(t, err, feed.ErrAmount)
	_, err = feed.BuyBy(day0, 1, func(time.Time) bool { return true })
	require.ErrorIs(t, err, feed.ErrClosed)
	got, err := feed.BuyBy(day0, 3, nil)
	require.NoError(t, err)
	require.Equal(t, "2026-11-22", got.Format(time.DateOnly))
}

func TestSquareRefused(t *testing.T) {
	for name, c := range map[string]struct {
		a, b, target, premix float64
		want                 error
	}{
		"the same feed twice":  {0.1, 0.1, 0.1, 0, feed.ErrMix},
		"as the weaker":        {0.085, 0.44, 0.085, 0, feed.ErrMix},
		"per cent, not shares": {8.5, 44, 16, 0, feed.ErrShare},
		"no number":            {nan, 0.44, 0.16, 0, feed.ErrShare},
		"below 0":              {0.085, 0.44, -0.1, 0, feed.ErrShare},
		"all premix":           {0.085, 0.44, 0.16, 1, feed.ErrShare},
		"premix thins it out":  {0.085, 0.2, 0.16, 0.3, feed.ErrMix},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := feed.Square(c.a, c.b, c.target, c.premix)
			require.ErrorIs(t, err, c.want)
		})
	}
}

func TestGrowRefused(t *testing.T) {
	pig := feed.Group{Kind: "pig", Weight: 30}
	_, err := feed.Grow(feed.Group{Kind: "sow"}, 10)
	require.ErrorIs(t, err, feed.ErrKind)
	_, err = feed.Grow(feed.Group{Kind: "unicorn"}, 10)
	require.ErrorIs(t, err, feed.ErrKind)
	_, err = feed.GrowTo(feed.Group{Kind: "sow"}, 10)
	require.ErrorIs(t, err, feed.ErrKind)
	_, err = feed.GrowTo(pig, 20)
	require.ErrorIs(t, err, feed.ErrAmount)
	_, err = feed.GrowTo(pig, 300)
	require.ErrorIs(t, err, feed.ErrAmount)
	for _, days := range []float64{-1, nan, inf, 1e9} {
		_, err = feed.Grow(pig, days)
		require.ErrorIs(t, err, feed.ErrAmount)
		_, err = pig.After(days)
		require.ErrorIs(t, err, feed.ErrAmount)
	}
	_, err = feed.Group{Kind: "unicorn"}.After(3)
	require.ErrorIs(t, err, feed.ErrKind)
	same, err := feed.Group{Kind: "sow", Heads: 1}.After(3)
	require.NoError(t, err)
	require.Equal(t, feed.Group{Kind: "sow", Heads: 1}, same)
	_, ok := feed.Grows("unicorn", "")
	require.False(t, ok)
}

func TestSmallRefusals(t *testing.T) {
	for name, err := range map[string]error{
		"dry matter":       second(feed.AsFed(-1, 0.9)),
		"count of nothing": second(feed.Count(10, 0)),
		"count":            second(feed.Count(nan, 10)),
		"count too many":   second(feed.Count(1e12, 1)),
		"eaten":            second(feed.WithWaste(nan, 0)),
		"hay days":         second(feed.HayFor(nil, -1, 0, feed.Weather{})),
		"bedding days":     second(feed.Bedding(feed.Group{Kind: "sow", Heads: 1}, -1)),
		"heater":           second(feed.HeaterEnergy(-1, 1, 1)),
	} {
		require.ErrorIs(t, err, feed.ErrAmount, name)
	}
	for name, err := range map[string]error{
		"dry share": second(feed.AsFed(1, 0)),
		"all waste": second(feed.WithWaste(1, 1)),
		"hay waste": second(feed.HayFor(nil, 1, 1, feed.Weather{})),
		"heater on": second(feed.HeaterEnergy(1, 1.5, 1)),
	} {
		require.ErrorIs(t, err, feed.ErrShare, name)
	}
	require.ErrorIs(t, second(feed.Bedding(feed.Group{Kind: "dog", Heads: 1}, 3)), feed.ErrKind)
	require.ErrorIs(t, second(feed.Bedding(feed.Group{Kind: "unicorn"}, 3)), feed.ErrKind)
	_, ok := feed.BaleOf("hay", "round as a cheese")
	require.False(t, ok)
	_, ok = feed.WasteOf("in the sea")
	require.False(t, ok)
	require.Empty(t, feed.Coats("hamster"))
	_, ok = feed.CoatIn("quail", feed.At(-20))
	require.False(t, ok)
}

func second[T any](_ T, err error) error { return err }

// TestCoats: the usual coat stands first and for a coat that the kind does not have.
func TestCoats(t *testing.T) {
	require.Equal(t, "winter", feed.Coats("ewes")[0].Name)
	c, ok := feed.CoatIn("ewes", feed.Weather{Coat: "striped"})
	require.True(t, ok)
	require.Equal(t, "winter", c.Name)
	c, ok = feed.CoatIn("hens", feed.Weather{Wet: true})
	require.True(t, ok)
	require.Equal(t, "feathered", c.Name)
}

// TestCautions: the dangerous pairs are said, harmless ones are not.
func TestCautions(t *testing.T) {
	require.Len(t, feed.Cautions(), 7)
	for _, c := range []struct{ feed, kind, want string }{
		{"layers pellets", "pullet", "calcium"},
		{"pig growers", "ewe", "copper"},
		{"cattle mineral", "ewe", "copper"},
		{"medicated feed", "horse", "monensin"},
		{"cattle nuts", "donkey", "monensin"},
		{"raw soybeans", "pig", "raw soya"},
		{"barley", "goat", "acidosis"},
		{"kitchen scraps", "pig", "kitchen waste"},
	} {
		names := []string{}
		for _, x := range feed.CautionsFor(c.feed, c.kind) {
			names = append(names, x.Name)
			require.NotEmpty(t, x.Text)
		}
		require.Contains(t, names, c.want, c)
	}
	require.Empty(t, feed.CautionsFor("layers pellets", "laying hen"))
	require.Empty(t, feed.CautionsFor("sow rolls", "sow"))
	require.Empty(t, feed.CautionsFor("hay", "goat"))
}

// TestBedding: 30 days of a sow's straw, and the bales that hold it.
func TestBedding(t *testing.T) {
	b, err := feed.Bedding(feed.Group{Kind: "sow", Heads: 1}, 30)
	require.NoError(t, err)
	require.InDelta(t, 75, b.Typical, 1e-9)
	bale, ok := feed.BaleOf("Straw", "small")
	require.True(t, ok)
	n, err := feed.Count(b.Typical, bale.Mass.Typical)
	require.NoError(t, err)
	require.Equal(t, 5, n)
}

// TestHot: above 80 °F the water is to be looked at twice.
func TestHot(t *testing.T) {
	hens := feed.Group{Kind: "hens", Heads: 12}
	for c, want := range map[float64]bool{26.6: false, 26.7: true, 35: true, -10: false} {
		d, err := feed.Water(hens, feed.At(c))
		require.NoError(t, err)
		require.Equal(t, want, d.Hot, c)
	}
	d, err := feed.Water(hens, feed.Weather{})
	require.NoError(t, err)
	require.False(t, d.Hot)
}

// TestHeaters: hard cold runs a thermostat half of the time.
func TestHeaters(t *testing.T) {
	require.Len(t, feed.Heaters(), 4)
	require.InDelta(t, 0.5, feed.HardCold().Typical, 1e-9)
	f, ok := feed.WasteOf("rack")
	require.True(t, ok)
	require.InDelta(t, 0.1, f.Share.High, 1e-9)
}
