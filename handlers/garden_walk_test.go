package handlers_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/storage"
)

// walkLines are what a household tells of its sowings, in no order that makes sense.
var walkLines = []string{
	"sown 24 tomatoes in the blue tray", "started 60 leeks", "sowed peas in the north bed", "sowed carrots in the east bed", "sown 12 tomatoes in the red tray", "planted 20 potatoes in the south bed",
	"tomatoes up", "18 tomatoes up", "leeks up", "peas up", "carrots up", "tomatoes up in the red tray", "potted up the tomatoes", "potted up 10 tomatoes in the red tray", "hardening off the tomatoes", "hardened off the leeks",
	"transplanted the tomatoes", "planted out 40 leeks in the south bed", "planted out the leeks yesterday", "thinned the carrots", "lost 3 tomatoes to slugs", "lost the tomatoes in the red tray to frost", "nothing came up of the carrots", "picked the first peas", "the peas are finished",
	"give the blue tray to Lise", "planted out 8 tomatoes in the north bed", "frost tonight -1", "frost tomorrow night -2", "frost safe", "frost tomorrow 2", "undo", "undo", "done all", "skip", "later 2 days", "sown", "sow", "crop tomato", "today", "frost last 20 May", "crop tomato Ruby 62 days from transplant", "packet tomato Ruby 40 seeds 2025", "season picture",
}

// TestGardenWalk: whatever is told in whatever order, late, twice or taken back, the
// bells agree with what has happened, and nothing goes wrong.
func TestGardenWalk(t *testing.T) {
	oneAtATime(t)
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		h := newHome(t)
		wall := time.Date(2027, 3, 1, 8, 0, 0, 0, time.UTC)
		h.say(wall, "Maren", "last frost 28 May, first frost 24 Sep")
		h.say(wall, "Maren", "house at 57.2 -3.7")
		for range rapid.IntRange(3, 14).Draw(rt, "lines") {
			wall = wall.Add(time.Duration(rapid.IntRange(1, 9*24).Draw(rt, "hours")) * time.Hour)
			line := rapid.SampledFrom(walkLines).Draw(rt, "line")
			for _, m := range h.say(wall, "Maren", line) {
				require.NotContains(rt, m.Text(), "went wrong", line)
			}
			agree(rt, h, line)
		}
	})
}

// agree holds the bells of each sowing against what has happened to it.
func agree(rt *rapid.T, h *home, line string) {
	require.NoError(rt, h.store.Do(context.Background(), func(tx *storage.Tx) error {
		all, err := tx.Sowings(1)
		require.NoError(rt, err)
		for _, s := range all {
			bells, err := tx.SubjectBells(1, fmt.Sprintf("sowing:%d", s.Num))
			require.NoError(rt, err)
			live := map[string]int{}
			for _, b := range bells {
				open, err := tx.RingsOf(b.ID)
				require.NoError(rt, err)
				if !b.Stopped && (!b.Next.IsZero() || len(open) > 0) {
					live[b.Step]++
				}
				require.False(rt, b.Stopped && len(open) > 0, "after %q a stopped bell rings: %s", line, b.Title)
			}
			for step, n := range live {
				require.Equal(rt, 1, n, "after %q: %s of sowing %d", line, step, s.Num)
			}
			require.False(rt, !s.Over.IsZero() && len(live) > 0, "after %q sowing %d is over and rings: %v", line, s.Num, live)
			for _, step := range []string{"look", "pot up", "feed", "harden", "set out"} {
				require.False(rt, !s.Planted.IsZero() && live[step] > 0, "after %q sowing %d is set out and rings: %s", line, s.Num, step)
			}
			require.False(rt, !s.Up.IsZero() && live["look"] > 0, "after %q sowing %d is up and is looked for", line, s.Num)
			require.False(rt, strings.Contains(s.Place, "  "))
		}
		return nil
	}))
}
