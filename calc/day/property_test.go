package day_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/day"
)

// someDay draws days and jobs as a household has them, more than can be tried in every way.
func someDay(t *rapid.T) (day.House, []day.Job) {
	h := fullHouse(rapid.IntRange(1, 3).Draw(t, "days"))
	jobs := manyJobs(rapid.IntRange(1, 25).Draw(t, "jobs"), rapid.SampledFrom([]int{5, 20, 60}).Draw(t, "minutes"))
	for i := range jobs {
		jobs[i].Cost = rapid.IntRange(0, 9).Draw(t, "cost")
		jobs[i].Takes = time.Duration(rapid.IntRange(3, 120).Draw(t, "takes")) * time.Minute
	}
	for i := range h.Blocks {
		if rapid.IntRange(0, 9).Draw(t, "closed") == 0 {
			h.Blocks[i].Open = false
		}
	}
	return h, jobs
}

func lay(t require.TestingT, h day.House, jobs []day.Job) day.Plan {
	plan, err := day.Lay(h, jobs)
	require.NoError(t, err)
	require.Empty(t, broken(h, jobs, plan))
	return plan
}

// TestOrderOfInputsIsNothing turns everything round: the plan is the same to the last reason.
func TestOrderOfInputsIsNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, jobs := someDay(t)
		plan := lay(t, h, jobs)
		turned := h
		turned.People = rapid.Permutation(h.People).Draw(t, "people")
		turned.Blocks = rapid.Permutation(h.Blocks).Draw(t, "blocks")
		turned.Kitchen = rapid.Permutation(h.Kitchen).Draw(t, "kitchen")
		require.Equal(t, plan, lay(t, turned, rapid.Permutation(jobs).Draw(t, "order")))
	})
}

// TestUnchangedDayMovesNothing lays a plan again.
func TestUnchangedDayMovesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, jobs := someDay(t)
		plan := lay(t, h, jobs)
		again := lay(t, h, day.Keep(jobs, plan))
		require.Zero(t, again.Moves)
		require.Equal(t, places(plan), places(again))
	})
}

func places(p day.Plan) []string {
	var out []string
	for _, l := range p.Placed {
		out = append(out, l.Job+" "+l.From.String()+" "+strings.Join(l.Who, "+"))
	}
	return out
}

// TestClosedBlockMovesOnlyItsOwn: where the jobs of a block that is closed find room beside
// all others as they stand, the others stay.
func TestClosedBlockMovesOnlyItsOwn(t *testing.T) {
	moved, stayed := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		h, jobs := someDay(t)
		for i := range jobs {
			jobs[i].Due, jobs[i].Part = time.Time{}, 0
		}
		plan := lay(t, h, jobs)
		kept := day.Keep(jobs, plan)
		kept = slices.DeleteFunc(kept, func(j day.Job) bool { return len(j.Was) == 0 })
		closed := rapid.IntRange(0, len(h.Blocks)-1).Draw(t, "closed")
		h.Blocks = slices.Clone(h.Blocks)
		h.Blocks[closed].Open = false
		own := 0
		pinned := slices.Clone(kept)
		for i, j := range kept {
			if alone(h, j, j.Was[0].Span, j.Was[0].Who) != "" {
				own++
				continue
			}
			pinned[i].Pin, pinned[i].By, pinned[i].Of, pinned[i].Hands = j.Was[0].From, j.Was[0].Who, nil, 0
		}
		if len(lay(t, h, pinned).Left) > 0 {
			return
		}
		again := lay(t, h, kept)
		require.Empty(t, again.Left)
		require.Equal(t, own, again.Moves)
		moved += own
		stayed += len(kept) - own
	})
	t.Logf("%d pieces moved, %d stayed", moved, stayed)
	require.Positive(t, moved)
}

// TestMoreTimeLosesNothing opens a block: of the most pressing jobs at which the plans
// differ, the new plan lays the better.
func TestMoreTimeLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, jobs := someDay(t)
		plan := lay(t, h, jobs)
		h.Blocks = slices.Clone(h.Blocks)
		h.Blocks[rapid.IntRange(0, len(h.Blocks)-1).Draw(t, "opened")].Open = true
		again := lay(t, h, day.Keep(jobs, plan))
		order := ranked(h, jobs)
		before, after := scored(h, order, byJob(plan))[:len(jobs)], scored(h, order, byJob(again))[:len(jobs)]
		require.LessOrEqual(t, slices.Compare(after, before), 0)
	})
}

// TestGivesAreEnough makes each change that a plan names: the job then has a place with all
// others where they stand.
func TestGivesAreEnough(t *testing.T) {
	tried := map[day.Change]int{}
	rapid.Check(t, func(t *rapid.T) {
		h, jobs := fullHouse(1), manyJobs(30, 60)
		for i := range jobs {
			jobs[i].Cost = rapid.IntRange(0, 9).Draw(t, "cost")
		}
		plan := lay(t, h, jobs)
		for _, left := range plan.Left {
			for _, g := range left.Give {
				tried[g.Change]++
				changed, j := h, jobOf(jobs, left.Job)
				switch g.Change {
				case day.Open:
					changed.Blocks = slices.Clone(h.Blocks)
					for i, b := range changed.Blocks {
						changed.Blocks[i].Open = b.Open || b.Name == g.Block && touch(b.Span, g.Span)
					}
				case day.Ask:
					j.By, j.Of = nil, nil
				case day.Chance:
					j.Need &^= day.Dry
				case day.SendOut:
					changed.People = slices.Clone(h.People)
					for i, p := range changed.People {
						if slices.Contains(g.People, p.Name) {
							changed.People[i].Out = append(slices.Clone(p.Out), g.Kept)
						}
					}
				case day.Split:
					continue // its parts are judged by TestBestIsBest
				}
				stands := slices.DeleteFunc(slices.Clone(plan.Placed), func(p day.Placement) bool {
					return g.Change == day.Drop && p.Job == g.Job
				})
				require.True(t, slices.ContainsFunc(teams(h, max(1, j.Hands, len(j.By))), func(who []string) bool {
					if alone(changed, j, g.Span, who) != "" {
						return false
					}
					return !slices.ContainsFunc(stands, func(p day.Placement) bool {
						return both(changed, j, jobOf(jobs, p.Job), g.Span, p.Span, who, p.Who) != ""
					})
				}), "%s: %+v", left.Job, g)
			}
		}
	})
	t.Logf("changes tried: %v", tried)
	for _, c := range []day.Change{day.Open, day.Drop} {
		require.Positive(t, tried[c], "change %d", c)
	}
}

// TestWindowIsSafe lays a lye job into each window that is found: it stands, and none
// stands earlier.
func TestWindowIsSafe(t *testing.T) {
	found := 0
	rapid.Check(t, func(t *rapid.T) {
		h, jobs := someDay(t)
		plan := lay(t, h, jobs)
		takes := time.Duration(rapid.IntRange(10, 120).Draw(t, "lye")) * time.Minute
		w, ok, err := day.NextWindow(h, jobs, plan.Placed, takes)
		require.NoError(t, err)
		probe := day.Job{ID: "probe", Takes: takes, Need: day.Lye | day.Kitchen}
		stands := func(s day.Span, who string) bool {
			return alone(h, probe, s, []string{who}) == "" && !slices.ContainsFunc(plan.Placed, func(p day.Placement) bool {
				return both(h, probe, jobOf(jobs, p.Job), s, p.Span, []string{who}, p.Who) != ""
			})
		}
		end := h.Blocks[len(h.Blocks)-1].To
		if ok {
			found++
			require.GreaterOrEqual(t, w.To.Sub(w.From), takes)
			for _, who := range w.Who {
				require.True(t, stands(day.Span{From: w.From, To: w.From.Add(takes)}, who))
				require.NotContains(t, w.Tell, w.Who[0])
			}
			require.True(t, slices.ContainsFunc(w.Who, func(who string) bool { return stands(w.Span, who) }))
			end = w.From
		}
		for at := h.Now; at.Before(end); at = at.Add(day.Grain) {
			for _, p := range h.People[:3] {
				require.False(t, stands(day.Span{From: at, To: at.Add(takes)}, p.Name), "%v %s", at, p.Name)
			}
		}
	})
	require.Positive(t, found)
}
