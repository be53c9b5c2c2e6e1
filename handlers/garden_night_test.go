package handlers_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/reminders"
	"yardbell/storage"
)

// garden is a household whose place and frosts are known, and that is asked once only.
func garden(t *testing.T) *home {
	t.Helper()
	h := newHome(t)
	for _, line := range []string{"house at 57.2 -3.7", "last frost 28 May, first frost 24 Sep", "house evening off", "house again never"} {
		h.tell("2027-02-20 08:00 " + line)
	}
	return h
}

// tell types a line of Maren's at the time before it, and returns what she is answered.
func (h *home) tell(line string) string {
	h.t.Helper()
	replies := h.say(wallTime(h.t, line[:16]), "Maren", line[17:])
	if len(replies) == 0 {
		return ""
	}
	return replies[len(replies)-1].Text()
}

// rings lets the clock run to a wall time and returns what rang for Maren.
func (h *home) rings(until string) string {
	h.t.Helper()
	to := reminders.Instant(wallTime(h.t, until), h.zone)
	h.drain()
	require.NoError(h.t, reminders.Play(h.t.Context(), h.store, h.now, to, func(time.Time) error { return nil }))
	h.now = to
	var out []string
	for _, m := range h.drain() {
		if m.Kind == storage.KindRing {
			out = append(out, m.Text())
		}
	}
	return strings.Join(out, "\n")
}

func TestFrostBellFollowsWhatStands(t *testing.T) {
	h := garden(t)
	h.tell("2027-06-07 09:00 planted 12 tomatoes in the north bed")
	h.tell("2027-06-07 10:00 frost tomorrow -1")
	h.tell("2027-06-08 10:00 planted 6 peppers in the east bed")
	h.tell("2027-06-08 11:00 lost the tomatoes to slugs")
	got := h.rings("2027-06-08 22:00")
	require.Contains(t, got, "sweet pepper in the east bed", "set out after the warning")
	require.NotContains(t, got, "tomato", "what is lost is not covered")

	h.tell("2027-06-09 10:00 lost the peppers to slugs")
	h.tell("2027-06-09 10:05 frost tonight -1")
	h.tell("2027-06-09 11:00 planted 3 cucumbers in the east bed")
	h.tell("2027-06-09 11:01 undo")
	require.NotContains(t, h.rings("2027-06-09 23:00"), "over against frost", "taken back with its bell")
}

func TestFrostTellingAgainDoesNotEndTheRing(t *testing.T) {
	h := garden(t)
	h.tell("2027-06-08 08:00 house again 10 min x3")
	h.tell("2027-06-08 09:00 planted 12 tomatoes in the north bed")
	h.tell("2027-06-08 10:00 frost tonight -1")
	require.Contains(t, h.rings("2027-06-08 21:21"), "over against frost")
	require.Contains(t, h.tell("2027-06-08 21:25 frost tonight -2"), "Now: it is past dusk")
	require.Contains(t, h.rings("2027-06-08 21:45"), "over against frost", "nobody has answered it")
}

func TestThinningIsNotToldAgain(t *testing.T) {
	h := garden(t)
	h.tell("2027-05-14 09:00 sowed carrots in bed 3")
	h.tell("2027-05-27 09:00 carrots up")
	h.tell("2027-06-01 09:00 thinned the carrots")
	for _, line := range []string{"2027-06-02 09:00 80 carrots up", "2027-06-03 09:00 lost 10 carrots"} {
		got := h.tell(line)
		require.NotEmpty(t, got, line)
		require.NotContains(t, got, "thin", line)
	}
}

func TestHardeningWaitsForAnAnswer(t *testing.T) {
	h := garden(t)
	h.tell("2027-04-05 09:00 sowed 24 tomatoes in the blue tray")
	h.tell("2027-04-14 09:00 tomatoes up")
	h.rings("2027-06-04 08:00")
	require.Contains(t, h.tell("2027-06-04 09:00 bells"), "now: harden off tomato", "ten days unanswered, and still asked")
	h.tell("2027-06-08 09:00 hardening off the tomatoes")
	got := h.tell("2027-06-08 09:01 bells")
	require.NotContains(t, got, "now: set out", "not while it hardens")
	require.Contains(t, got, "Tue 15 Jun 07:00: set out tomato")
}

// TestSowFitsAPhone: the list is a dozen lines on any day of the year, with trays too.
func TestSowFitsAPhone(t *testing.T) {
	h := garden(t)
	for i, line := range []string{"sown 24 tomatoes in the blue tray", "sown 12 peppers in pots", "sown 90 leeks in the long flat", "sown kale in the frame"} {
		h.tell(fmt.Sprintf("2027-03-1%d 09:00 %s", i, line))
	}
	for day := wallTime(t, "2027-03-20 08:00"); day.Month() < time.October; day = day.AddDate(0, 0, 9) {
		got := h.tell(day.Format("2006-01-02 15:04") + " sow")
		require.LessOrEqual(t, strings.Count(got, "\n")+1, 12, got)
	}
}

// TestLookedAtIsNotPicked: who has looked at what is not ripe is asked again.
func TestLookedAtIsNotPicked(t *testing.T) {
	h := garden(t)
	h.tell("2027-04-24 09:00 sowed peas in the north bed")
	h.tell("2027-05-06 09:00 peas up")
	require.Contains(t, h.rings("2027-06-19 08:00"), "ready to pick")
	require.Contains(t, h.tell("2027-06-19 08:01 done"), "I ask again Sat 26 Jun")
	require.NotContains(t, h.tell("2027-06-19 08:02 sowing 1"), "picked Sat 19 Jun")
	require.Contains(t, h.rings("2027-06-26 08:00"), "ready to pick")
	h.tell("2027-06-26 08:01 picked the first peas")
	require.Empty(t, h.rings("2027-09-01 08:00"), "picked, and asked no more")
}

// TestStepsThatMakeNoSense: what resents moving is not potted up, nor is what is picked
// so soon thinned.
func TestStepsThatMakeNoSense(t *testing.T) {
	h := garden(t)
	for _, line := range []string{"sown 6 sunflowers in pots", "sown 6 nasturtiums in pots", "sown dill in pots"} {
		require.NotContains(t, h.tell("2027-04-10 09:00 "+line), "pot up", line)
	}
	require.Contains(t, h.tell("2027-04-10 09:00 sown 6 basil in pots"), "pot up")
	require.NotContains(t, h.tell("2027-06-10 09:00 sowed cress in bed 1"), "thin")
}
