package sowing_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/calc/sowing"
)

var (
	nan    = math.NaN()
	inf    = math.Inf(1)
	season = sowing.Frosts{
		Last:  time.Date(2027, 5, 30, 0, 0, 0, 0, time.UTC),
		First: time.Date(2027, 9, 3, 0, 0, 0, 0, time.UTC),
	}
)

func task(t *testing.T, c sowing.Crop, f sowing.Frosts, kind sowing.StepKind, day string) sowing.Task {
	t.Helper()
	for _, k := range sowing.Tasks(c, f, sowing.Frosts{}, date(t, day)) {
		if k.Kind == kind {
			return k
		}
	}
	require.Fail(t, "no such task", "%s: %s", c.Name, kind)
	return sowing.Task{}
}

// TestTaskStates: single days as a gardener reads them.
func TestTaskStates(t *testing.T) {
	long := sowing.Frosts{Last: date(t, "2027-03-20"), First: date(t, "2027-11-20")}
	for _, c := range []struct {
		crop  string
		f     sowing.Frosts
		kind  sowing.StepKind
		day   string
		state sowing.State
		from  string
		slack int
		delay int
	}{
		{"tomato", season, sowing.Start, "2027-04-01", sowing.Ahead, "2027-04-04", 17, 0},
		{"tomato", season, sowing.Start, "2027-04-04", sowing.InWindow, "2027-04-04", 14, 0},
		{"tomato", season, sowing.Start, "2027-04-18", sowing.InWindow, "2027-04-04", 0, 0},
		{"tomato", season, sowing.Start, "2027-04-28", sowing.Late, "2027-04-04", -10, 10},
		{"tomato", season, sowing.Start, "2027-07-01", sowing.Over, "2028-04-04", 292, 0},
		{"tomato", season, sowing.SetOut, "2027-06-10", sowing.InWindow, "2027-06-06", 3, 0},
		{"pea, shelling", season, sowing.SowOut, "2027-05-10", sowing.InWindow, "2027-04-25", 6, 0},
		{"pea, shelling", season, sowing.SowOut, "2027-05-23", sowing.Late, "2027-04-25", -7, 7},
		{"pea, shelling", season, sowing.SowOut, "2027-08-01", sowing.Over, "2028-04-25", 289, 0},
		{"pea, shelling", long, sowing.SowOut, "2027-03-14", sowing.Late, "2027-02-13", -8, 8},
		{"pea, shelling", long, sowing.SowOut, "2027-04-17", sowing.Late, "2027-02-13", -42, 42},
		{"pea, shelling", long, sowing.SowOut, "2027-04-18", sowing.Ahead, "2027-08-16", 141, 0},
		{"pea, shelling", long, sowing.SowOut, "2027-06-01", sowing.Ahead, "2027-08-16", 97, 0},
		{"pea, shelling", long, sowing.SowOut, "2027-08-20", sowing.InWindow, "2027-08-16", 17, 0},
		{"carrot", long, sowing.SowOut, "2027-07-15", sowing.InWindow, "2027-03-06", 26, 0},
		{"beet", long, sowing.SowOut, "2027-07-15", sowing.InWindow, "2027-03-06", 51, 0},
		{"lettuce, leaf and butterhead", long, sowing.SowOut, "2027-07-15", sowing.InWindow, "2027-02-20", 58, 0},
		{"onion, bulb", long, sowing.Start, "2027-04-15", sowing.Over, "2027-12-27", 270, 0},
		{"garlic (cloves)", season, sowing.Plant, "2027-05-01", sowing.Ahead, "2027-09-17", 160, 0},
		{"garlic (cloves)", season, sowing.Plant, "2027-10-01", sowing.InWindow, "2027-09-17", 7, 0},
		{"garlic (cloves)", season, sowing.Plant, "2027-10-20", sowing.Late, "2027-09-17", -12, 12},
		{"garlic (cloves)", season, sowing.Plant, "2027-11-20", sowing.Over, "2028-09-17", 323, 0},
		{"potato (seed tubers)", season, sowing.Plant, "2027-05-20", sowing.InWindow, "2027-05-16", 3, 0},
		{"sweet potato (slips)", long, sowing.Plant, "2027-04-10", sowing.InWindow, "2027-04-10", 7, 0},
	} {
		t.Run(c.crop+" "+c.day, func(t *testing.T) {
			k := task(t, crop(t, c.crop), c.f, c.kind, c.day)
			require.Equal(t, c.state.String(), k.State.String())
			require.Equal(t, c.from, k.From.Format(time.DateOnly))
			require.Equal(t, c.slack, k.Slack)
			require.Equal(t, c.delay, k.Delay)
		})
	}
}

// TestQuickOnlyIsLate: past its window, with only quick varieties in time, a crop is late.
func TestQuickOnlyIsLate(t *testing.T) {
	k := task(t, crop(t, "tomato"), season, sowing.Start, "2027-05-10")
	require.Equal(t, sowing.Late, k.State)
	require.Equal(t, sowing.QuickOnly, k.Course.Class)
	require.Negative(t, k.Course.Margin)
	require.GreaterOrEqual(t, k.Course.MarginQuick, 0)
	require.Equal(t, 22, k.Delay)
}

// TestNeverFits: what never ripens here says so in its window too.
func TestNeverFits(t *testing.T) {
	k := task(t, crop(t, "celery"), season, sowing.SetOut, "2027-06-06")
	require.Equal(t, sowing.InWindow, k.State)
	require.Equal(t, sowing.TooLong, k.Course.Class)
}

func TestTasksTakeTheNextSeason(t *testing.T) {
	next := sowing.Frosts{Last: date(t, "2028-05-16"), First: date(t, "2028-09-10")}
	for _, k := range sowing.Tasks(crop(t, "tomato"), season, next, date(t, "2027-08-20")) {
		require.Equal(t, sowing.Over, k.State)
		if k.Kind == sowing.Start {
			require.Equal(t, "2028-03-21", k.From.Format(time.DateOnly))
		}
	}
	require.Empty(t, sowing.Tasks(sowing.Crop{}, season, next, season.Last))
	require.Empty(t, sowing.Tasks(crop(t, "tomato"), sowing.Frosts{}, next, season.Last))
}

func TestSort(t *testing.T) {
	c := func(name string) sowing.Crop { return sowing.Crop{Name: name} }
	late := func(name string, quick int) sowing.Task {
		return sowing.Task{Crop: c(name), State: sowing.Late, Course: sowing.Course{MarginQuick: quick}}
	}
	open := func(name string, slack int, class sowing.Class) sowing.Task {
		return sowing.Task{Crop: c(name), State: sowing.InWindow, Slack: slack, Course: sowing.Course{Class: class}}
	}
	tasks := []sowing.Task{
		{Crop: c("over"), State: sowing.Over, From: date(t, "2027-01-01")},
		{Crop: c("ahead b"), State: sowing.Ahead, From: date(t, "2027-06-02")},
		{Crop: c("ahead a"), State: sowing.Ahead, From: date(t, "2027-06-01")},
		open("hopeless", 0, sowing.TooLong), open("open 5", 5, sowing.Risky),
		open("open 1 b", 1, sowing.Comfortable), open("open 1 a", 1, sowing.Comfortable),
		late("late 30", 30), late("late 2", 2),
	}
	sowing.Sort(tasks)
	var names []string
	for _, k := range tasks {
		names = append(names, k.Crop.Name)
	}
	require.Equal(t, []string{"late 2", "late 30", "open 1 a", "open 1 b", "open 5", "hopeless", "ahead a", "ahead b", "over"}, names)
}

func TestPlanOfGarlicAndAsparagus(t *testing.T) {
	steps, err := sowing.Plan(crop(t, "garlic (cloves)"), season)
	require.NoError(t, err)
	require.Len(t, steps, 2)
	require.Equal(t, sowing.Step{sowing.Plant, date(t, "2027-09-17"), date(t, "2027-10-08"), "2 to 5 weeks after the first frost"}, steps[0])
	require.Equal(t, sowing.Step{sowing.Harvest, date(t, "2028-05-14"), date(t, "2028-08-03"), "240 to 300 days after planting"}, steps[1])
	course, err := sowing.Follow(crop(t, "asparagus (from seed)"), season, date(t, "2027-02-21"), true)
	require.NoError(t, err)
	require.Equal(t, sowing.Comfortable, course.Class)
	course, err = sowing.Follow(crop(t, "asparagus (from seed)"), season, date(t, "2027-08-01"), false)
	require.NoError(t, err)
	require.Equal(t, sowing.TooLong, course.Class)
	course, err = sowing.Follow(crop(t, "garlic (cloves)"), season, date(t, "2027-10-08"), false)
	require.NoError(t, err)
	require.Equal(t, "2028-09-17", course.Limit.Format(time.DateOnly))
	require.Equal(t, sowing.Comfortable, course.Class)
}

func TestPlanWords(t *testing.T) {
	for _, c := range []struct{ crop, kind, why string }{
		{"onion, bulb", "start indoors", "10 to 12 weeks before the last frost"},
		{"ageratum", "start indoors", "7 weeks before the last frost"},
		{"onion, bulb", "harden off", "the 10 days before setting out"},
		{"onion, bulb", "set out", "from 3 weeks before the last frost"},
		{"tomato", "set out", "from 1 week after the last frost"},
		{"petunia", "set out", "from the last frost"},
		{"tomato", "harvest", "55 to 90 days after setting out"},
		{"carrot", "harvest", "55 to 95 days after sowing outdoors"},
		{"sweet potato (slips)", "harvest", "90 to 150 days after planting"},
		{"sweet potato (slips)", "plant", "from 3 weeks after the last frost"},
	} {
		steps, err := sowing.Plan(crop(t, c.crop), season)
		require.NoError(t, err)
		require.Equal(t, c.why, step(t, steps, c.kind).Why)
	}
}

// TestPotUpOnlyWhatBearsIt: cucurbits stand in single pots, onions in open flats.
func TestPotUpOnlyWhatBearsIt(t *testing.T) {
	for name, want := range map[string]bool{"tomato": true, "celery": true, "squash, winter": false, "onion, bulb": false, "sweet potato (slips)": false} {
		steps, err := sowing.Plan(crop(t, name), season)
		require.NoError(t, err)
		got := false
		for _, s := range steps {
			got = got || s.Kind == sowing.PotUp
		}
		require.Equal(t, want, got, name)
	}
}

// TestPotUpDates: tomatoes are up in 6 days at 29 °C, what the table lacks in 10.
func TestPotUpDates(t *testing.T) {
	for name, want := range map[string]string{"tomato": "2027-04-17", "ground cherry": "2027-04-21"} {
		steps, err := sowing.Plan(crop(t, name), season)
		require.NoError(t, err)
		require.Equal(t, want, step(t, steps, "pot up").From.Format(time.DateOnly), name)
	}
}

func TestCheckSaysWhatIsWrong(t *testing.T) {
	known := func(n float64) sowing.Weeks { return sowing.Weeks{N: n, Known: true} }
	for name, change := range map[string]func(*sowing.Crop){
		"no name":            func(c *sowing.Crop) { c.Name = "" },
		"method":             func(c *sowing.Crop) { c.Method = 9 },
		"hardiness":          func(c *sowing.Crop) { c.Hardiness = 9 },
		"weeks turned":       func(c *sowing.Crop) { c.StartMin = known(20) },
		"weeks NaN":          func(c *sowing.Crop) { c.StartMin = known(nan) },
		"weeks Inf":          func(c *sowing.Crop) { c.Transplant = known(inf) },
		"weeks missing":      func(c *sowing.Crop) { c.StartMax = sowing.Weeks{} },
		"set out unborn":     func(c *sowing.Crop) { c.Transplant = known(-6) },
		"either, no direct":  func(c *sowing.Crop) { c.Method = sowing.Either },
		"direct, transplant": func(c *sowing.Crop) { c.Method = sowing.Direct },
		"zero days":          func(c *sowing.Crop) { c.MaturityMin = 0 },
		"days turned":        func(c *sowing.Crop) { c.MaturityMin = 100 },
		"endless":            func(c *sowing.Crop) { c.MaturityMax = 5001 },
		"soil NaN":           func(c *sowing.Crop) { c.OptSoil = nan },
		"soil turned":        func(c *sowing.Crop) { c.MinSoil = 30 },
		"depth":              func(c *sowing.Crop) { c.Depth = -1 },
		"spacing":            func(c *sowing.Crop) { c.InRow = 0 },
		"rows":               func(c *sowing.Crop) { c.RowGap = inf },
		"germination":        func(c *sowing.Crop) { c.Germination = 1.01 },
		"seed life":          func(c *sowing.Crop) { c.SeedLife = -1 },
	} {
		t.Run(name, func(t *testing.T) {
			c := crop(t, "tomato")
			change(&c)
			require.ErrorIs(t, c.Check(), sowing.ErrCrop)
			_, err := sowing.Plan(c, season)
			require.ErrorIs(t, err, sowing.ErrCrop)
			_, err = sowing.Follow(c, season, season.Last, true)
			require.ErrorIs(t, err, sowing.ErrCrop)
			_, err = sowing.LastSowing(c, season, time.Time{})
			require.ErrorIs(t, err, sowing.ErrCrop)
			require.Empty(t, sowing.Tasks(c, season, season, season.Last))
		})
	}
}

func TestFrostsRefused(t *testing.T) {
	for _, f := range []sowing.Frosts{
		{},
		{First: season.First},
		{Last: season.Last, First: season.Last},
		{Last: season.First, First: season.Last},
		{Last: season.Last, First: season.Last.AddDate(0, 0, 367)},
	} {
		_, err := sowing.Plan(crop(t, "tomato"), f)
		require.ErrorIs(t, err, sowing.ErrFrosts)
		_, err = sowing.Follow(crop(t, "tomato"), f, season.Last, true)
		require.ErrorIs(t, err, sowing.ErrFrosts)
		_, err = sowing.LastSowing(crop(t, "tomato"), f, time.Time{})
		require.ErrorIs(t, err, sowing.ErrFrosts)
	}
}

func TestMethodRefused(t *testing.T) {
	_, err := sowing.Follow(crop(t, "carrot"), season, season.Last, true)
	require.ErrorIs(t, err, sowing.ErrMethod)
	_, err = sowing.Follow(crop(t, "tomato"), season, season.Last, false)
	require.ErrorIs(t, err, sowing.ErrMethod)
	_, err = sowing.LongestDays(crop(t, "tomato"), season, season.Last, false, 14)
	require.ErrorIs(t, err, sowing.ErrMethod)
}

func TestLongestDays(t *testing.T) {
	days, err := sowing.LongestDays(crop(t, "squash, winter"), season, date(t, "2027-06-06"), false, 14)
	require.NoError(t, err)
	require.Equal(t, 75, days)
	days, err = sowing.LongestDays(crop(t, "squash, winter"), season, date(t, "2027-09-06"), false, 14)
	require.NoError(t, err)
	require.Zero(t, days)
}

func TestFiguresRefused(t *testing.T) {
	for name, run := range map[string]func() error{
		"no plants":        func() error { _, err := sowing.SeedsFor(0, 0.9, 0.8, 0); return err },
		"many plants":      func() error { _, err := sowing.SeedsFor(sowing.MostPlants+1, 0.9, 0.8, 0); return err },
		"sure 1":           func() error { _, err := sowing.SeedsFor(5, 1, 0.8, 0); return err },
		"sure 0":           func() error { _, err := sowing.SeedsFor(5, 0, 0.8, 0); return err },
		"sure NaN":         func() error { _, err := sowing.SeedsFor(5, nan, 0.8, 0); return err },
		"germination 0":    func() error { _, err := sowing.SeedsFor(5, 0.9, 0, 0); return err },
		"germination NaN":  func() error { _, err := sowing.SeedsFor(5, 0.9, nan, 0); return err },
		"germination over": func() error { _, err := sowing.SeedsFor(5, 0.9, 1.1, 0); return err },
		"cull 1":           func() error { _, err := sowing.SeedsFor(5, 0.9, 0.8, 1); return err },
		"cull negative":    func() error { _, err := sowing.SeedsFor(5, 0.9, 0.8, -0.1); return err },
		"no seed a cell":   func() error { _, err := sowing.CellsFor(5, 0, 0.9, 0.8); return err },
		"cells NaN":        func() error { _, err := sowing.CellsFor(5, 2, 0.9, nan); return err },
		"soil NaN":         func() error { _, err := sowing.Emergence(crop(t, "tomato"), nan); return err },
		"soil Inf":         func() error { _, err := sowing.Emergence(crop(t, "tomato"), -inf); return err },
		"means NaN": func() error {
			_, _, err := sowing.SproutDay(crop(t, "tomato"), season.Last, []float64{15, nan})
			return err
		},
		"no sowing day": func() error { _, _, err := sowing.SproutDay(crop(t, "tomato"), time.Time{}, nil); return err },
		"bed NaN":       func() error { _, _, err := sowing.InBed(nan, 100, 10); return err },
		"bed negative":  func() error { _, err := sowing.InRows(-1, 100, 10, 10); return err },
		"spacing 0":     func() error { _, _, err := sowing.InBed(100, 100, 0); return err },
		"gap Inf":       func() error { _, err := sowing.InRows(100, 100, 10, inf); return err },
		"metre spacing": func() error { _, err := sowing.SeedsPerMetre(0, 0.5, 0.8); return err },
		"metre factor":  func() error { _, err := sowing.SeedsPerMetre(5, 0.5, 0); return err },
	} {
		require.ErrorIs(t, run(), sowing.ErrFigure, name)
	}
	_, _, err := sowing.SproutDay(crop(t, "squash, winter"), season.Last, []float64{20})
	require.ErrorIs(t, err, sowing.ErrNoTable)
	for _, got := range []float64{
		sowing.Aged(nan, 4, 1), sowing.Aged(0.8, 0, 1), sowing.Aged(0.8, nan, 1), sowing.Aged(0.8, 4, -1),
		sowing.Aged(0.8, inf, 1), sowing.Aged(0.8, 4, nan), sowing.Aged(1.2, 4, 1),
		sowing.Assured(-1, 1, 0.5), sowing.Assured(5, 1, nan), sowing.Assured(5, 1, 1.5),
	} {
		require.True(t, math.IsNaN(got))
	}
	require.Zero(t, sowing.PerCell(nan))
	require.Empty(t, sowing.SuccessionDates(season.Last, season.First, 0))
	require.Len(t, sowing.SuccessionDates(season.Last, season.Last.AddDate(50, 0, 0), 1), 400)
	require.Equal(t, sowing.AtRisk, sowing.HarmAt(crop(t, "kale"), nan, false))
}

func TestAssuredEnds(t *testing.T) {
	require.InDelta(t, 1, sowing.Assured(5, 0, 0.5), 0)
	require.InDelta(t, 0, sowing.Assured(5, 6, 0.5), 0)
	require.InDelta(t, 0, sowing.Assured(5, 1, 0), 0)
	require.InDelta(t, 1, sowing.Assured(5, 5, 1), 0)
}

// TestManyPlantsQuickly: a hundred thousand plants agree with the normal approximation.
func TestManyPlantsQuickly(t *testing.T) {
	began := time.Now()
	n, err := sowing.SeedsFor(100_000, 0.95, 0.7, 0.1)
	require.NoError(t, err)
	p := 0.63
	want := 100_000/p + 1.644854*math.Sqrt(100_000*(1-p))/p
	require.InEpsilon(t, want, float64(n), 0.0001)
	require.Less(t, time.Since(began), 2*time.Second)
}

func TestKeeping(t *testing.T) {
	ready, cure, store, ok := sowing.Keeping(crop(t, "onion, bulb"))
	require.True(t, ok)
	require.Contains(t, ready, "tops")
	require.Contains(t, cure, "2 to 3 weeks")
	require.Contains(t, store, "0 to 4 °C")
	_, _, _, ok = sowing.Keeping(crop(t, "basil"))
	require.False(t, ok)
	_, _, ok = sowing.SeedsPerGram(crop(t, "basil"))
	require.False(t, ok)
	_, _, _, ok = sowing.HeatNeed(crop(t, "basil"))
	require.False(t, ok)
	_, ok = sowing.Succession(crop(t, "tomato"))
	require.False(t, ok)
}

// TestCropsIsACopy: a household that changes its copy changes nothing else.
func TestCropsIsACopy(t *testing.T) {
	crops := sowing.Crops()
	require.Len(t, crops, 101)
	crops[0].MaturityMax = 1
	require.NotEqual(t, 1, sowing.Crops()[0].MaturityMax)
	_, ok := sowing.Named("Tomato")
	require.False(t, ok)
}

// TestMildSeasons: where the first frost comes late, what is started in early winter is
// the next season's, and garlic still this one's.
func TestMildSeasons(t *testing.T) {
	mild := sowing.Frosts{Last: date(t, "2026-02-15"), First: date(t, "2026-12-05")}
	for _, c := range []struct {
		crop  string
		kind  sowing.StepKind
		day   string
		state sowing.State
		from  string
	}{
		{"onion, bulb", sowing.Start, "2026-11-22", sowing.Over, "2026-11-23"},
		{"onion, bulb", sowing.Start, "2026-11-23", sowing.InWindow, "2026-11-23"},
		{"onion, bulb", sowing.Start, "2026-12-20", sowing.Late, "2026-11-23"},
		{"tomato", sowing.Start, "2027-01-04", sowing.InWindow, "2026-12-21"},
		{"tomato", sowing.Start, "2027-01-05", sowing.Late, "2026-12-21"},
		{"garlic (cloves)", sowing.Plant, "2026-12-20", sowing.InWindow, "2026-12-19"},
	} {
		crop, _ := sowing.Named(c.crop)
		got := task(t, crop, mild, c.kind, c.day)
		require.Equal(t, c.state, got.State, "%s on %s", c.crop, c.day)
		require.Equal(t, c.from, got.From.Format(time.DateOnly), "%s on %s", c.crop, c.day)
	}
	require.False(t, sowing.Opened(sowing.Crop{}, mild, date(t, "2027-01-01")), "what has no plan does not open")
}

// TestSowingEndsWithTheLastUsefulDay: no week of sowing goes beyond the last sowing.
func TestSowingEndsWithTheLastUsefulDay(t *testing.T) {
	for _, c := range sowing.Crops() {
		steps, err := sowing.Plan(c, season)
		require.NoError(t, err)
		ends := map[sowing.StepKind]time.Time{}
		for _, s := range steps {
			ends[s.Kind] = s.To
		}
		if last, is := ends[sowing.SowLast]; is {
			require.False(t, ends[sowing.SowOut].After(last), c.Name)
		}
	}
}

// TestFollowSetOut: plants that were bought are as old as is usual.
func TestFollowSetOut(t *testing.T) {
	tomato, _ := sowing.Named("tomato")
	got, err := sowing.FollowSetOut(tomato, season, date(t, "2027-06-08"))
	require.NoError(t, err)
	require.Equal(t, "2027-08-02", got.Early.Format(time.DateOnly))
	carrot, _ := sowing.Named("carrot")
	_, err = sowing.FollowSetOut(carrot, season, date(t, "2027-06-08"))
	require.ErrorIs(t, err, sowing.ErrMethod)
	_, err = sowing.FollowSetOut(tomato, sowing.Frosts{}, date(t, "2027-06-08"))
	require.ErrorIs(t, err, sowing.ErrFrosts)
	require.Zero(t, carrot.Youngest())
	require.Positive(t, tomato.Youngest())
}
