package sowing_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/sowing"
)

// anyFrosts draws a season of 60 to 330 days, of either half of the world.
func anyFrosts(t *rapid.T) sowing.Frosts {
	last := time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, rapid.IntRange(0, 3650).Draw(t, "last"))
	return sowing.Frosts{Last: last, First: last.AddDate(0, 0, rapid.IntRange(60, 330).Draw(t, "season"))}
}

func anyCrop(t *rapid.T) sowing.Crop { return rapid.SampledFrom(sowing.Crops()).Draw(t, "crop") }

func anyDay(t *rapid.T, f sowing.Frosts) time.Time {
	return f.Last.AddDate(0, 0, rapid.IntRange(-200, 400).Draw(t, "day"))
}

// ways are the ways in which the crop may be begun.
func ways(c sowing.Crop) []bool {
	switch c.Method {
	case sowing.Indoor:
		return []bool{true}
	case sowing.Direct:
		return []bool{false}
	}
	return []bool{true, false}
}

func TestMorePlantsMoreSeeds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		plants := rapid.IntRange(1, 3000).Draw(t, "plants")
		sure := rapid.Float64Range(0.01, 0.999).Draw(t, "sure")
		germination := rapid.Float64Range(0.02, 1).Draw(t, "germination")
		cull := rapid.Float64Range(0, 0.9).Draw(t, "cull")
		n, err := sowing.SeedsFor(plants, sure, germination, cull)
		require.NoError(t, err)
		more, err := sowing.SeedsFor(plants+1, sure, germination, cull)
		require.NoError(t, err)
		require.Greater(t, more, n)
		p := germination * (1 - cull)
		require.GreaterOrEqual(t, sowing.Assured(n, plants, p), sure)
		require.Less(t, sowing.Assured(n-1, plants, p), sure)
	})
}

// TestAssuredSums: the chance of so many plants or more, and that of so many seeds
// failing or fewer, are the same thing counted from the other end.
func TestAssuredSums(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 20_000).Draw(t, "n")
		k := rapid.IntRange(0, n+1).Draw(t, "k")
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		require.InDelta(t, 1, sowing.Assured(n, k, p)+sowing.Assured(n, n-k+1, 1-p), 1e-9)
	})
}

func TestAgedNeverRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		germination := rapid.Float64Range(0, 1).Draw(t, "germination")
		life := rapid.Float64Range(0.5, 12).Draw(t, "life")
		age := rapid.Float64Range(0, 30).Draw(t, "age")
		older := age + rapid.Float64Range(0, 5).Draw(t, "more")
		a, b := sowing.Aged(germination, life, age), sowing.Aged(germination, life, older)
		require.LessOrEqual(t, b, a)
		require.GreaterOrEqual(t, b, 0.0)
		require.LessOrEqual(t, a, germination)
	})
}

// TestEmergenceBetweenPoints: between two tested temperatures the days lie between theirs.
func TestEmergenceBetweenPoints(t *testing.T) {
	between := 0
	rapid.Check(t, func(t *rapid.T) {
		c := anyCrop(t)
		low := float64(5 * rapid.IntRange(0, 7).Draw(t, "column"))
		a, errA := sowing.Emergence(c, low)
		b, errB := sowing.Emergence(c, low+5)
		got, err := sowing.Emergence(c, low+rapid.Float64Range(0.001, 4.999).Draw(t, "part"))
		if errA != nil || errB != nil {
			require.Error(t, err)
			return
		}
		between++
		require.NoError(t, err)
		require.GreaterOrEqual(t, got.Days, min(a.Days, b.Days)-1e-9)
		require.LessOrEqual(t, got.Days, max(a.Days, b.Days)+1e-9)
		if got.PercentKnown {
			require.GreaterOrEqual(t, got.Percent, min(a.Percent, b.Percent)-1e-9)
			require.LessOrEqual(t, got.Percent, max(a.Percent, b.Percent)+1e-9)
		}
	})
	require.Positive(t, between)
}

func TestPlanIsOrdered(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := anyFrosts(t)
		for _, c := range sowing.Crops() {
			checkPlan(t, c, f)
		}
	})
}

// TestPlanFrosts: a short season, a long one, two southern ones, leap days at both ends.
func TestPlanFrosts(t *testing.T) {
	for _, f := range [][2]string{
		{"2027-05-30", "2027-09-03"},
		{"2027-02-15", "2027-12-10"},
		{"2027-10-20", "2028-04-25"},
		{"2026-08-30", "2027-07-01"},
		{"2028-02-29", "2028-11-01"},
		{"2027-09-10", "2028-02-29"},
	} {
		for _, c := range sowing.Crops() {
			checkPlan(t, c, sowing.Frosts{Last: date(t, f[0]), First: date(t, f[1])})
		}
	}
}

func checkPlan(t require.TestingT, c sowing.Crop, f sowing.Frosts) {
	steps, err := sowing.Plan(c, f)
	require.NoError(t, err)
	count := map[sowing.StepKind]int{}
	for i, s := range steps {
		count[s.Kind]++
		require.False(t, s.To.Before(s.From), "%s: %+v", c.Name, s)
		require.NotEmpty(t, s.Why)
		if i > 0 {
			require.False(t, s.From.Before(steps[i-1].From), "%s: %+v", c.Name, s)
		}
	}
	require.Equal(t, len(ways(c)), count[sowing.Harvest], c.Name)
	if c.Method != sowing.Direct {
		checkIndoorOrder(t, c, steps)
	}
}

// checkIndoorOrder holds the indoor line to its sense: start, pot up, harden, set out, harvest.
func checkIndoorOrder(t require.TestingT, c sowing.Crop, steps []sowing.Step) {
	at := map[sowing.StepKind]sowing.Step{}
	for _, s := range steps {
		if _, there := at[s.Kind]; !there || s.Kind == sowing.Harvest {
			at[s.Kind] = s
		}
	}
	out, ok := at[sowing.SetOut]
	if !ok {
		out, ok = at[sowing.Plant]
	}
	require.True(t, ok, c.Name)
	require.True(t, at[sowing.Start].To.Before(out.From), c.Name)
	require.True(t, at[sowing.Start].From.Before(at[sowing.Harden].From), c.Name)
	require.True(t, at[sowing.Harden].To.Before(out.From), c.Name)
	require.True(t, out.From.Before(at[sowing.Harvest].To), c.Name)
	if up, potted := at[sowing.PotUp]; potted {
		require.True(t, up.To.Before(at[sowing.Harden].From), c.Name)
		require.True(t, up.From.After(at[sowing.Start].From), c.Name)
	}
}

// TestLaterNeverRipensEarlier: begun later, a crop is never ripe, nor set out, earlier.
func TestLaterNeverRipensEarlier(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, c := anyFrosts(t), anyCrop(t)
		day := anyDay(t, f)
		after := day.AddDate(0, 0, rapid.IntRange(1, 60).Draw(t, "later"))
		for _, indoors := range ways(c) {
			a, err := sowing.Follow(c, f, day, indoors)
			require.NoError(t, err)
			b, err := sowing.Follow(c, f, after, indoors)
			require.NoError(t, err)
			require.False(t, b.Early.Before(a.Early))
			require.False(t, b.Late.Before(a.Late))
			require.False(t, b.SetOut.Before(a.SetOut))
			require.False(t, a.Late.Before(a.Early))
			require.False(t, a.Early.Before(a.SetOut))
			require.LessOrEqual(t, a.Margin, a.MarginQuick)
			require.Equal(t, indoors, a.Age > 0)
		}
	})
}

// TestLongestDaysIsTheLongest: with those days there is the time to spare, with a day more not.
func TestLongestDaysIsTheLongest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, c := anyFrosts(t), anyCrop(t)
		if c.MaturityMin >= 360 { // its limit moves with the years
			return
		}
		day, spare := anyDay(t, f), rapid.IntRange(0, 40).Draw(t, "spare")
		for _, indoors := range ways(c) {
			days, err := sowing.LongestDays(c, f, day, indoors, spare)
			require.NoError(t, err)
			if days == 0 || days > 350 {
				continue
			}
			c.MaturityMin, c.MaturityMax = days, days
			course, err := sowing.Follow(c, f, day, indoors)
			require.NoError(t, err)
			require.Equal(t, spare, course.Margin)
		}
	})
}

// TestTasksEveryDay: every crop has its tasks on every day of ten years, north and south.
func TestTasksEveryDay(t *testing.T) {
	for _, first := range []sowing.Frosts{
		{Last: date(t, "2024-05-30"), First: date(t, "2024-09-03")},
		{Last: date(t, "2024-03-20"), First: date(t, "2024-11-20")},
		{Last: date(t, "2024-10-20"), First: date(t, "2025-04-25")},
	} {
		states := map[sowing.State]int{}
		for year := range 10 {
			f := sowing.Frosts{Last: first.Last.AddDate(year, 0, 0), First: first.First.AddDate(year, 0, 0)}
			next := sowing.Frosts{Last: first.Last.AddDate(year+1, 0, 0), First: first.First.AddDate(year+1, 0, 0)}
			for day := f.Last.AddDate(0, 0, -150); day.Before(next.Last.AddDate(0, 0, -150)); day = day.AddDate(0, 0, 1) {
				for _, c := range sowing.Crops() {
					checkTasks(t, c, sowing.Tasks(c, f, next, day), day, states)
				}
			}
		}
		for state := sowing.InWindow; state <= sowing.Over; state++ {
			require.Positive(t, states[state], state.String())
		}
	}
}

func checkTasks(t *testing.T, c sowing.Crop, tasks []sowing.Task, day time.Time, states map[sowing.State]int) {
	if len(tasks) == 0 {
		t.Fatalf("%s has no tasks on %s", c.Name, day)
	}
	for _, k := range tasks {
		states[k.State]++
		if !taskHolds(k, day) {
			t.Fatalf("%s on %s: %s, %s, %s to %s, slack %d, %s", c.Name, day, k.Kind, k.State, k.From, k.To, k.Slack, k.Course.Class)
		}
	}
}

// taskHolds: the state is what the window and the course say.
func taskHolds(k sowing.Task, day time.Time) bool {
	if k.To.Before(k.From) || k.Course.Late.IsZero() || k.Slack != int(k.To.Sub(day).Hours()/24) {
		return false
	}
	switch k.State {
	case sowing.InWindow:
		return !day.Before(k.From) && !day.After(k.To) && k.Delay == 0
	case sowing.Late:
		return day.After(k.To) && k.Course.Class != sowing.TooLong && k.Delay >= 0
	}
	return day.Before(k.From) && k.Delay == 0
}

func TestSortKeepsAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := anyFrosts(t)
		day := anyDay(t, f)
		var tasks []sowing.Task
		for _, c := range sowing.Crops() {
			tasks = append(tasks, sowing.Tasks(c, f, sowing.Frosts{}, day)...)
		}
		before := len(tasks)
		sowing.Sort(tasks)
		require.Len(t, tasks, before)
		rank := func(k sowing.Task) int {
			return map[sowing.State]int{sowing.Late: 0, sowing.InWindow: 1, sowing.Ahead: 2, sowing.Over: 3}[k.State]
		}
		for i := 1; i < len(tasks); i++ {
			require.LessOrEqual(t, rank(tasks[i-1]), rank(tasks[i]))
			if tasks[i].State == sowing.Late && tasks[i-1].State == sowing.Late {
				require.LessOrEqual(t, tasks[i-1].Course.MarginQuick, tasks[i].Course.MarginQuick)
			}
		}
	})
}

func TestBedNeverOverfull(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		width := rapid.Float64Range(0, 400).Draw(t, "width")
		length := rapid.Float64Range(0, 2000).Draw(t, "length")
		gap := rapid.Float64Range(1, 100).Draw(t, "gap")
		square, offset, err := sowing.InBed(width, length, gap)
		require.NoError(t, err)
		require.LessOrEqual(t, float64(square)*gap*gap, width*length+1e-6)
		require.LessOrEqual(t, float64(offset)*gap*gap*0.8660, (width+gap)*(length+gap))
		rows, err := sowing.InRows(width, length, gap, gap)
		require.NoError(t, err)
		require.Equal(t, square, rows)
		wider, _, err := sowing.InBed(width+gap, length, gap)
		require.NoError(t, err)
		require.GreaterOrEqual(t, wider, square)
	})
}

func TestColderIsNeverSafer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, tray := anyCrop(t), rapid.Bool().Draw(t, "tray")
		low := rapid.Float64Range(-20, 25).Draw(t, "low")
		colder := low - rapid.Float64Range(0, 10).Draw(t, "colder")
		require.GreaterOrEqual(t, sowing.HarmAt(c, colder, tray), sowing.HarmAt(c, low, tray))
		require.GreaterOrEqual(t, sowing.HarmAt(c, low, true), sowing.HarmAt(c, low, false))
	})
}
