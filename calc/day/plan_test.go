package day_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/calc/day"
)

// oneJob lays a single job into a house that the change has changed.
func oneJob(t *testing.T, j day.Job, change func(*day.House)) day.Plan {
	h := hollinBank()
	if change != nil {
		change(&h)
	}
	if j.Takes == 0 {
		j.Takes = time.Hour
	}
	j.ID = "job"
	return lay(t, h, []day.Job{j})
}

// TestCauses has a job that cannot stand for each cause, and names block and cause.
func TestCauses(t *testing.T) {
	for _, c := range []struct {
		name   string
		job    day.Job
		change func(*day.House)
		block  string
		cause  day.Cause
	}{
		{"too short", day.Job{Takes: 4 * time.Hour}, nil, "quiet work", day.TooShort},
		{"over", day.Job{Takes: 2 * time.Hour}, func(h *day.House) { h.Now = clock(11, 0) }, "quiet work", day.Passed},
		{"too early", day.Job{Earliest: clock(12, 0)}, nil, "quiet work", day.TooEarly},
		{"too late", day.Job{Latest: clock(9, 30)}, nil, "chores", day.TooLate},
		{"nobody", day.Job{By: []string{"Tom"}}, nil, "chores", day.NobodyIn},
		{"children", day.Job{Need: day.Elsewhere, By: []string{"Edda"}}, nil, "chores", day.About},
		{"kitchen", day.Job{Need: day.Kitchen}, func(h *day.House) { h.Kitchen = []day.Span{hours(8, 12)} }, "quiet work", day.KitchenIn},
		{"oven", day.Job{Need: day.Oven}, func(h *day.House) { h.Oven = []day.Span{hours(8, 12)} }, "quiet work", day.OvenIn},
		{"dark", day.Job{Need: day.Light}, func(h *day.House) { h.Light = []day.Span{hours(13, 15)} }, "quiet work", day.Dark},
		{"wet", day.Job{Need: day.Dry}, func(h *day.House) { h.Wet = []day.Span{hours(0, 12)} }, "quiet work", day.WetOut},
		{"never together", day.Job{Takes: 90 * time.Minute, Need: day.Kitchen | day.Oven}, func(h *day.House) {
			h.Kitchen, h.Oven = []day.Span{hours(9, 10)}, []day.Span{hours(11, 12)}
		}, "quiet work", day.Together},
	} {
		t.Run(c.name, func(t *testing.T) {
			plan := oneJob(t, c.job, c.change)
			var why []day.Reason
			for _, p := range plan.Placed {
				why = append(why, p.Why...)
			}
			for _, l := range plan.Left {
				why = append(why, l.Why...)
			}
			require.True(t, slices.ContainsFunc(why, func(r day.Reason) bool { return r.Block == c.block && r.Cause == c.cause }), "%+v", why)
		})
	}
}

// TestWhyItStands has the causes that name no block.
func TestWhyItStands(t *testing.T) {
	first := func(j day.Job) day.Reason { return oneJob(t, j, nil).Placed[0].Why[0] }
	monday := clock(0, 0)
	require.Equal(t, day.Reason{Cause: day.First}, first(day.Job{}))
	require.Equal(t, day.Reason{Cause: day.Pinned, At: clock(14, 0)}, first(day.Job{Pin: clock(14, 0)}))
	require.Equal(t, day.Reason{Cause: day.Often, Times: 3}, first(day.Job{Moved: 3}))
	require.Equal(t, day.First, first(day.Job{Moved: 2}).Cause)
	require.Equal(t, day.Reason{Cause: day.LateBy, Days: 4}, first(day.Job{Due: monday.AddDate(0, 0, -4), Cost: 7}))
	require.Equal(t, day.Reason{Cause: day.IfDry}, first(day.Job{Need: day.Dry}))
	was := []day.Stand{{Span: hours(13, 14), Who: []string{"Edda"}}}
	require.Equal(t, day.Reason{Cause: day.Stayed, At: clock(13, 0)}, first(day.Job{Was: was}))
	was[0].Span = hours(12, 13)
	require.Equal(t, day.Reason{Cause: day.CameFrom, At: clock(12, 0)}, first(day.Job{Was: was}))
	was[0].Span, was[0].Who = hours(9, 10), []string{"Edda"}
	require.Equal(t, day.Reason{Cause: day.Replaced, At: clock(9, 0), People: []string{"Edda"}}, first(day.Job{Was: was}))
}

// TestTakenBy names the more pressing job.
func TestTakenBy(t *testing.T) {
	h := hollinBank()
	plan := lay(t, h, []day.Job{
		{ID: "seeds", Takes: 3 * time.Hour, By: []string{"Maren"}, Cost: 2},
		{ID: "fence", Takes: time.Hour, By: []string{"Maren"}, Cost: 1},
	})
	require.Equal(t, "fence", plan.Placed[1].Job)
	require.Equal(t, []day.Reason{{Cause: day.TakenBy, Block: "quiet work", At: clock(9, 0), Job: "seeds"}}, plan.Placed[1].Why)
}

// TestHelpers: who is about and not at another job, youngest last.
func TestHelpers(t *testing.T) {
	h := hollinBank()
	plan := lay(t, h, []day.Job{
		{ID: "sow", Takes: time.Hour, By: []string{"Edda"}, Help: true, LeastAge: 6},
		{ID: "hens", Takes: time.Hour, Of: []string{"Ivo"}},
	})
	require.Equal(t, []string{"Lise", "Pim"}, plan.Placed[slices.IndexFunc(plan.Placed, func(p day.Placement) bool { return p.Job == "sow" })].Helpers)
}

// TestGivesInOrder: smallest change first.
func TestGivesInOrder(t *testing.T) {
	h := hollinBank()
	plan := lay(t, h, []day.Job{
		{ID: "fence", Takes: 3 * time.Hour, By: []string{"Maren"}, Cost: 9},
		{ID: "beds", Takes: 3 * time.Hour, By: []string{"Maren"}, Cost: 8},
		{ID: "mend", Takes: time.Hour, By: []string{"Maren"}, Cost: 1},
	})
	require.Len(t, plan.Left, 1)
	var got []string
	for _, g := range plan.Left[0].Give {
		got = append(got, fmt.Sprint(g.Change, g.Block, g.Job, g.People, g.From.Format(" 15:04")))
	}
	require.Equal(t, []string{
		fmt.Sprint(day.Ask, "chores", "", []string{"Edda"}, " 13:00"),
		fmt.Sprint(day.Open, "dinner", "", []string{}, " 12:00"),
		fmt.Sprint(day.Drop, "chores", "beds", []string{}, " 13:00"),
	}, got)
}

// TestEveryChange has a job that each change lets in.
func TestEveryChange(t *testing.T) {
	for _, c := range []struct {
		name   string
		job    day.Job
		change func(*day.House)
		want   day.Give
	}{
		{
			"split",
			day.Job{Takes: 4 * time.Hour, By: []string{"Maren"}},
			nil,
			day.Give{Change: day.Split, Block: "quiet work", Span: hours(9, 12), Parts: 2},
		},
		{
			"ask",
			day.Job{By: []string{"Tom"}},
			nil,
			day.Give{Change: day.Ask, Block: "quiet work", Span: hours(9, 10), People: []string{"Maren"}},
		},
		{
			"slip",
			day.Job{Latest: clock(9, 30)},
			nil,
			day.Give{Change: day.Slip, Block: "quiet work", Span: hours(9, 10)},
		},
		{
			"sooner",
			day.Job{Earliest: clock(15, 30)},
			nil,
			day.Give{Change: day.Sooner, Block: "quiet work", Span: hours(9, 10)},
		},
		{
			"chance",
			day.Job{Need: day.Dry},
			func(h *day.House) { h.Wet = []day.Span{hours(0, 24)} },
			day.Give{Change: day.Chance, Block: "quiet work", Span: hours(9, 10)},
		},
		{
			"send out",
			day.Job{Need: day.Lye, By: []string{"Edda"}},
			nil,
			day.Give{
				Change: day.SendOut, Block: "chores", Span: day.Span{From: clock(13, 10), To: clock(14, 10)},
				People: []string{"Ivo", "Lise", "Pim"}, Kept: day.Span{From: clock(13, 0), To: clock(14, 40)},
			},
		},
		{
			"open",
			day.Job{By: []string{"Edda"}, Latest: clock(13, 0)},
			nil,
			day.Give{Change: day.Open, Block: "dinner", Span: hours(12, 13)},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			plan := oneJob(t, c.job, c.change)
			require.Len(t, plan.Left, 1)
			require.Contains(t, plan.Left[0].Give, c.want)
		})
	}
}

// TestLost: a job whose last chance lies in the days laid is lost when it is left.
func TestLost(t *testing.T) {
	require.True(t, oneJob(t, day.Job{By: []string{"Tom"}, Latest: clock(15, 0)}, nil).Left[0].Lost)
	require.False(t, oneJob(t, day.Job{By: []string{"Tom"}, Latest: clock(15, 0).AddDate(0, 0, 3)}, nil).Left[0].Lost)
	require.False(t, oneJob(t, day.Job{By: []string{"Tom"}}, nil).Left[0].Lost)
}

// TestWindowBesideWhatIsLaid: what is over or on another day is no hindrance, what stands is.
func TestWindowBesideWhatIsLaid(t *testing.T) {
	h := hollinBank()
	h.Now = clock(9, 0)
	jobs := []day.Job{{ID: "bread", Takes: time.Hour, Need: day.Oven | day.Kitchen}}
	from := func(laid ...day.Span) string {
		var placed []day.Placement
		for _, s := range laid {
			placed = append(placed, day.Placement{Job: "bread", Span: s, Who: []string{"Edda"}})
		}
		w, ok, err := day.NextWindow(h, jobs, placed, time.Hour)
		require.NoError(t, err)
		if !ok {
			return "none"
		}
		return w.From.Format("15:04")
	}
	require.Equal(t, "09:10", from())
	require.Equal(t, "09:10", from(hours(7, 8), hours(7, 9)))
	require.Equal(t, "10:10", from(hours(9, 10)))
	require.Equal(t, "none", from(hours(9, 10), hours(11, 12)))
	require.Equal(t, "09:10", from(day.Span{From: clock(9, 0).AddDate(0, 0, 3), To: clock(10, 0).AddDate(0, 0, 3)}))
}

// TestMoveOn: what is over moves on and is counted, what is under way stays, what is ahead
// is left as it is.
func TestMoveOn(t *testing.T) {
	was := func(from, to int) []day.Stand { return []day.Stand{{Span: hours(from, to), Who: []string{"Maren"}}} }
	got := day.MoveOn([]day.Job{
		{ID: "over", Takes: time.Hour, Was: was(9, 10), Pin: clock(9, 0), Moved: 2},
		{ID: "under way", Takes: time.Hour, Was: was(10, 12)},
		{ID: "ahead", Takes: time.Hour, Was: was(13, 14)},
		{ID: "new", Takes: time.Hour},
	}, clock(11, 0))
	require.Equal(t, day.Job{ID: "over", Takes: time.Hour, Moved: 3}, got[0])
	require.Equal(t, clock(10, 0), got[1].Pin)
	require.Equal(t, []string{"Maren"}, got[1].By)
	require.Equal(t, was(13, 14), got[2].Was)
	require.Zero(t, got[3].Moved)
}

// TestPressure against the sentence that describes it.
func TestPressure(t *testing.T) {
	now := clock(12, 0)
	for _, c := range []struct {
		job  day.Job
		want float64
	}{
		{day.Job{}, 1},
		{day.Job{Cost: 5}, 5},
		{day.Job{Cost: 5, Due: clock(0, 0)}, 5},
		{day.Job{Cost: 5, Due: clock(0, 0).AddDate(0, 0, -2)}, 15},
		{day.Job{Cost: 6, Due: clock(0, 0).AddDate(0, 0, 2)}, 2},
		{day.Job{Cost: 6, Due: clock(0, 0).AddDate(0, 0, 5), Latest: clock(18, 0)}, 6},
	} {
		require.InDelta(t, c.want, c.job.Pressure(now), 1e-9)
	}
}

// TestRefusals: what is wrong is said, and nothing is laid.
func TestRefusals(t *testing.T) {
	h := hollinBank()
	ok := day.Job{ID: "a", Takes: time.Hour}
	for name, jobs := range map[string][]day.Job{
		"no ID":              {{Takes: time.Hour}},
		"the same ID":        {ok, ok},
		"no length":          {{ID: "a"}},
		"two days":           {{ID: "a", Takes: 48 * time.Hour}},
		"a stranger":         {{ID: "a", Takes: time.Hour, By: []string{"Ruth"}}},
		"a child at lye":     {{ID: "a", Takes: time.Hour, By: []string{"Ivo"}, Need: day.Lye}},
		"a child at hot fat": {{ID: "a", Takes: time.Hour, Of: []string{"Ivo"}, Need: day.Elsewhere}},
		"two at lye":         {{ID: "a", Takes: time.Hour, Hands: 2, Need: day.Lye}},
		"too many hands":     {{ID: "a", Takes: time.Hour, Hands: 9}},
		"too many jobs":      make([]day.Job, day.MostJobs+1),
	} {
		t.Run(name, func(t *testing.T) {
			plan, err := day.Lay(h, jobs)
			require.ErrorIs(t, err, day.ErrInput)
			require.Zero(t, plan)
		})
	}
	for name, change := range map[string]func(*day.House){
		"nobody":        func(h *day.House) { h.People = nil },
		"twins":         func(h *day.House) { h.People = append(slices.Clone(h.People), day.Person{Name: "Tom"}) },
		"no now":        func(h *day.House) { h.Now = time.Time{} },
		"a block ahead": func(h *day.House) { h.Blocks = []day.Block{{Span: day.Span{From: clock(9, 0), To: clock(9, 0)}}} },
		"a long year": func(h *day.House) {
			h.Blocks = []day.Block{{Span: day.Span{From: clock(9, 0), To: clock(9, 0).AddDate(1, 0, 0)}}}
		},
		"a turned span": func(h *day.House) { h.Oven = []day.Span{{From: clock(9, 0), To: clock(8, 0)}} },
	} {
		t.Run(name, func(t *testing.T) {
			bad := hollinBank()
			change(&bad)
			_, err := day.Lay(bad, []day.Job{ok})
			require.ErrorIs(t, err, day.ErrInput)
			_, _, err = day.NextWindow(bad, nil, nil, time.Hour)
			require.ErrorIs(t, err, day.ErrInput)
		})
	}
}
