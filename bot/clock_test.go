package main

import (
	"bytes"
	"log/slog"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/storage"
)

// liveChat is a piped chat in a bubble of simulated time.
func liveChat(t *testing.T) (*chat, *clock, *bytes.Buffer) {
	t.Helper()
	t.Setenv("TZ", "Europe/London")
	var out bytes.Buffer
	a := &app{ctx: t.Context(), flags: common{DB: storage.Memory, As: "Maren"}, out: &out, log: slog.New(slog.DiscardHandler)}
	s, err := a.open()
	require.NoError(t, err)
	c := &chat{session: s, out: &out}
	clk := startClock(a.ctx, s, c.show)
	return c, clk, &out
}

func (c *chat) end(t *testing.T, clk *clock) {
	clk.stop()
	require.NoError(t, c.store.Close())
}

// output reads what was printed so far, without racing the clock.
func (c *chat) output(out *bytes.Buffer) string {
	c.mu.Lock()
	defer c.mu.Unlock()
	return out.String()
}

// TestClockRings: a bell rings within two seconds of its time, and one that is
// due earlier than the clock sleeps wakes it.
func TestClockRings(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c, clk, out := liveChat(t)
		defer c.end(t, clk)
		_, err := c.line(clk, "ring me stir the jam in 50 min")
		require.NoError(t, err)
		time.Sleep(10 * time.Minute)
		_, err = c.line(clk, "ring me check the oven in 20 seconds")
		require.NoError(t, err)

		time.Sleep(19 * time.Second)
		synctest.Wait()
		require.NotContains(t, c.output(out), "* Maren: Check the oven")
		time.Sleep(3 * time.Second)
		synctest.Wait()
		require.Contains(t, c.output(out), "* Maren: Check the oven")

		time.Sleep(39*time.Minute + 35*time.Second)
		synctest.Wait()
		require.NotContains(t, c.output(out), "\nStir the jam (")
		time.Sleep(5 * time.Second)
		synctest.Wait()
		require.Contains(t, c.output(out), "\nStir the jam (")
	})
}

// TestClockRingsAgain: an unanswered ring comes back after 20 minutes; an answer
// ends it.
func TestClockRingsAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c, clk, out := liveChat(t)
		defer c.end(t, clk)
		_, err := c.line(clk, "ring me shut the hens in 1 min")
		require.NoError(t, err)
		time.Sleep(time.Minute + 20*time.Minute + 2*time.Second)
		synctest.Wait()
		require.Equal(t, 2, strings.Count(c.output(out), "* Maren: Shut the hens"))
		_, err = c.line(clk, "done")
		require.NoError(t, err)
		time.Sleep(48 * time.Hour)
		synctest.Wait()
		require.Equal(t, 2, strings.Count(c.output(out), "* Maren: Shut the hens"))
	})
}
