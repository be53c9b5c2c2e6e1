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

// barnLines are what a household tells of its animals, in no order that makes sense.
var barnLines = []string{
	"we have 24 hens", "24 hens, two goats, a sow", "Berta is a sow", "bought 6 pullets hatched 1 jan", "fox took 3 hens", "sold a goat to Ruth", "we have 20 hens now", "the sow died", "flock",
	"eggs 14", "eggs 9 morning", "no, eggs 16", "eggs yesterday 18", "14 eggs, 2 broken", "set 6 eggs aside to hatch", "broke 2 eggs", "no eggs today", "eggs", "how are the hens laying", "the hens are moulting",
	"bought 3 sacks of 20 kg layers pellets", "opened a new sack", "pellets are down to 5 kg", "used 3 kg of pellets", "we have 40 bales of hay", "used 2 bales of hay", "feed", "feed lead 6 days", "feed shop closed on sunday",
	"bred the sow", "bred the sow yesterday", "sow back in heat", "boar in with the sow", "boar out", "sow farrowed 11 piglets, 1 dead", "weaned the piglets", "bred the goat 20 oct", "the goat kidded twins", "bred",
	"set 12 eggs under the broody", "hatch 24 duck eggs in the incubator", "candled, 3 clear", "hatched 9", "none hatched", "hatch",
	"wormed the hens, eggs 7 days, meat 14 days", "wormed the hens", "label says eggs 7 days", "treated the goats, milk 96 hours", "can we eat the eggs", "rendered 3.2 kg lard from 4 kg back fat",
	"undo", "undo", "done all", "skip", "today", "larder", "chill -6 wind 30",
}

// TestBarnWalk: whatever is told in whatever order, twice or taken back, the bells agree
// with what has happened, nobody is fewer than none, and nothing goes wrong.
func TestBarnWalk(t *testing.T) {
	oneAtATime(t)
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		h := newHome(t)
		wall := time.Date(2027, 3, 1, 8, 0, 0, 0, time.UTC)
		h.say(wall, "Maren", "we have 24 hens, two goats and a sow")
		for range rapid.IntRange(3, 14).Draw(rt, "lines") {
			wall = wall.Add(time.Duration(rapid.IntRange(1, 12*24).Draw(rt, "hours")) * time.Hour)
			line := rapid.SampledFrom(barnLines).Draw(rt, "line")
			for _, m := range h.say(wall, "Maren", line) {
				require.NotContains(rt, m.Text(), "went wrong", line)
			}
			barnAgrees(rt, h, line)
		}
	})
}

// barnAgrees holds the bells of every birth, hatch and feed against what has happened.
func barnAgrees(rt *rapid.T, h *home, line string) {
	require.NoError(rt, h.store.Do(context.Background(), func(tx *storage.Tx) error {
		herds, err := tx.Herds(1)
		require.NoError(rt, err)
		for _, g := range herds {
			require.GreaterOrEqual(rt, g.Head, 0, "after %q: %s %s", line, g.Kind, g.Name)
		}
		all, err := tx.Matings(1)
		require.NoError(rt, err)
		for _, m := range all {
			subject := fmt.Sprintf("birth:%d", m.Num)
			if m.Eggs > 0 {
				subject = fmt.Sprintf("hatch:%d", m.Num)
			}
			live := liveSteps(rt, tx, subject, line)
			gone := m.Fate == storage.FateReturned || m.Fate == storage.FateLost
			require.False(rt, gone && len(live) > 0, "after %q: %s is over and rings: %v", line, m.Name, live)
			for step := range live {
				before := strings.HasSuffix(step, "-return") || strings.HasSuffix(step, "-watch") || strings.HasSuffix(step, "-stop") || step == "overdue"
				require.False(rt, before && !m.Over.IsZero(), "after %q: %s has come and rings: %s", line, m.Name, step)
				require.False(rt, strings.HasSuffix(step, "-wean") && !m.Weaned.IsZero(), "after %q: weaned and rings: %s", line, step)
			}
		}
		fodders, err := tx.Fodders(1)
		require.NoError(rt, err)
		for _, f := range fodders {
			liveSteps(rt, tx, fmt.Sprintf("feed:%d", f.ID), line)
		}
		lots, err := tx.Lots(1, false)
		require.NoError(rt, err)
		for _, l := range lots {
			require.GreaterOrEqual(rt, l.Left, 0.0, "after %q: %s", line, l.Item)
		}
		return nil
	}))
}

// liveSteps are the bells of a subject that ring or will, of each step one at most.
func liveSteps(rt *rapid.T, tx *storage.Tx, subject, line string) map[string]int {
	bells, err := tx.SubjectBells(1, subject)
	require.NoError(rt, err)
	live := map[string]int{}
	for _, b := range bells {
		open, err := tx.RingsOf(b.ID)
		require.NoError(rt, err)
		require.False(rt, b.Stopped && len(open) > 0, "after %q a stopped bell rings: %s", line, b.Title)
		if !b.Stopped && (!b.Next.IsZero() || len(open) > 0) {
			live[b.Step]++
		}
	}
	for step, n := range live {
		require.Equal(rt, 1, n, "after %q: %s of %s", line, step, subject)
	}
	return live
}

// TestDropIsToldOnce plays a flock that lays steadily and then hardly: one alarm, on the
// day, and none in the week after; and a steady month with none at all.
func TestDropIsToldOnce(t *testing.T) {
	h := newHome(t)
	day := time.Date(2027, 6, 1, 17, 0, 0, 0, time.UTC)
	h.say(day, "Maren", "we have 24 hens")
	counts := []int{18, 17, 19, 18, 18, 17, 19, 18, 20, 18, 17, 18, 19, 18, 17, 18, 19, 17, 18, 18, 19, 18, 17, 18, 19, 18, 18, 17}
	say := func(n int) string {
		day = day.AddDate(0, 0, 1)
		replies := h.say(day, "Pim", fmt.Sprintf("eggs %d", n))
		require.Len(t, replies, 1)
		return replies[0].Text()
	}
	for _, n := range counts {
		require.NotContains(t, say(n), "Fewer eggs")
	}
	require.Contains(t, say(6), "Fewer eggs than usual: 6 from 24 hens")
	for range 5 {
		require.NotContains(t, say(7), "Fewer eggs")
	}
}

// TestHalfADayIsNoDrop: where eggs are collected twice a day, the first collection is
// never taken for the whole.
func TestHalfADayIsNoDrop(t *testing.T) {
	h := newHome(t)
	day := time.Date(2027, 6, 1, 8, 0, 0, 0, time.UTC)
	h.say(day, "Maren", "we have 24 hens")
	for n := range 24 {
		day = day.AddDate(0, 0, 1)
		for _, m := range h.say(day, "Lise", fmt.Sprintf("eggs %d", 5+n%2)) {
			require.NotContains(t, m.Text(), "Fewer eggs", "morning of day %d", n)
		}
		for _, m := range h.say(day.Add(9*time.Hour), "Ivo", "eggs 13") {
			require.NotContains(t, m.Text(), "Fewer eggs", "evening of day %d", n)
		}
	}
}
