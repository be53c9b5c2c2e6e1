package handlers_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/reminders"
	"yardbell/storage"
)

// openBells are the bells that are still to ring, each with its time on the household's
// clock and its title.
func (h *home) openBells() []string {
	var out []string
	require.NoError(h.t, h.store.Do(context.Background(), func(tx *storage.Tx) error {
		all, err := tx.ComingBells(1)
		for _, b := range all {
			if !b.Stopped && !b.Next.IsZero() {
				out = append(out, b.Next.In(h.zone).Format("2006-01-02 15:04 ")+b.Title)
			}
		}
		return err
	}))
	return out
}

// has counts the bells that have a word in them.
func has(bells []string, word string) int {
	n := 0
	for _, b := range bells {
		if strings.Contains(b, word) {
			n++
		}
	}
	return n
}

// lines types lines one minute after another from a time on.
func (h *home) told(at string, lines ...string) string {
	h.t.Helper()
	last := ""
	for i, line := range lines {
		replies := h.say(wallTime(h.t, at).Add(time.Duration(i)*time.Minute), "Maren", line)
		last = ""
		for _, m := range replies {
			last += m.Text()
		}
	}
	return last
}

// TestRunUpEndsWithTheAnimal: nobody is rung to raise the feed of a goat that is dead or
// sold; taken back, the bells are there again.
func TestRunUpEndsWithTheAnimal(t *testing.T) {
	for _, gone := range []string{"killed Nettle for meat", "Nettle died", "sold Nettle to Ruth"} {
		t.Run(gone, func(t *testing.T) {
			h := newHome(t)
			h.told("2027-03-02 09:00", "our goats are called Nettle and Bramble", "bred Nettle 20 oct", "bred Bramble 20 oct")
			before := h.openBells()
			require.Positive(t, has(before, "(Nettle)"))
			h.told("2027-03-02 09:10", gone)
			require.Zero(t, has(h.openBells(), "(Nettle)"))
			require.Equal(t, has(before, "(Bramble)"), has(h.openBells(), "(Bramble)"))
			h.told("2027-03-02 09:11", "undo")
			require.Equal(t, before, h.openBells())
		})
	}
}

// TestFirstMilkRingsInTwoHours and not in the next morning's round, also where something
// else is told of the litter in between, and through the night.
func TestFirstMilkRingsInTwoHours(t *testing.T) {
	h := newHome(t)
	h.told("2027-03-02 09:00", "we have a goat called Bramble", "bred Bramble 5 oct 2026")
	require.Contains(t, h.told("2027-03-02 09:10", "Bramble kidded 3"), "11:10 every kid has drunk colostrum")
	h.told("2027-03-02 09:20", "one kid died")
	require.Equal(t, 1, has(h.openBells(), "2027-03-02 11:10 every kid has drunk colostrum"))

	h = newHome(t)
	h.told("2027-03-02 09:00", "house quiet 21:00-06:30", "we have a goat called Bramble", "bred Bramble 5 oct 2026")
	h.told("2027-03-02 22:00", "Bramble kidded 3")
	h.say(wallTime(t, "2027-03-03 00:05"), "Maren", "the clock runs on")
	rings := 0
	require.NoError(t, h.store.Do(context.Background(), func(tx *storage.Tx) error {
		all, err := tx.SubjectBells(1, "birth:1")
		for _, b := range all {
			if strings.HasSuffix(b.Step, "-colostrum") && !b.Due.IsZero() && b.Safety {
				rings++
			}
		}
		return err
	}))
	require.Equal(t, 1, rings, "rung at midnight, past the quiet hours")
}

// TestLateToldBoxRingsToday: what is past and still helps is for today.
func TestLateToldBoxRingsToday(t *testing.T) {
	h := newHome(t)
	h.told("2027-03-02 09:00", "we have a rabbit", "rabbit bred 1 feb")
	require.Equal(t, 1, has(h.openBells(), "2027-03-02 16:00 nest box in"))
}

// hens lay evenly for three weeks from 1 March on.
func (h *home) hens() {
	h.told("2027-03-01 08:00", "we have 24 hens")
	for i := range 21 {
		h.told(fmt.Sprintf("2027-03-%02d 17:00", 1+i), fmt.Sprintf("eggs %d", 17+i%3))
	}
}

// TestCorrectedCountTakesItsAlarmBack, with the bell that came of it.
func TestCorrectedCountTakesItsAlarmBack(t *testing.T) {
	h := newHome(t)
	h.hens()
	require.Contains(t, h.told("2027-03-22 17:00", "eggs 5"), "Fewer eggs than usual")
	require.Equal(t, 1, has(h.openBells(), "look the hens over"))
	h.told("2027-03-22 17:10", "no, 15 eggs")
	require.Zero(t, has(h.openBells(), "look the hens over"))
	require.Contains(t, h.told("2027-03-23 17:00", "eggs 4"), "Fewer eggs than usual", "the next one is told")
}

// TestAlarmSaysHowOftenChanceRings: as calc/flock states it for its tests together.
func TestAlarmSaysHowOftenChanceRings(t *testing.T) {
	h := newHome(t)
	h.hens()
	require.Contains(t, h.told("2027-03-22 17:00", "eggs 5"), "two or three times a year, 4 at most")
}

// TestDropInTheQuietWeek: a second drop after a day back inside is told, and has the one
// open bell; so is none at all.
func TestDropInTheQuietWeek(t *testing.T) {
	h := newHome(t)
	h.hens()
	require.Contains(t, h.told("2027-03-22 17:00", "eggs 5"), "Fewer eggs")
	h.told("2027-03-23 17:00", "eggs 18")
	h.told("2027-03-24 17:00", "eggs 19")
	require.Contains(t, h.told("2027-03-25 17:00", "no eggs today"), "Fewer eggs")
	require.Equal(t, 1, has(h.openBells(), "look the hens over"))
}

// TestMilkFollowsTheLabel: milk drawn since a dose is held, whether the label is told
// before or after, and never becomes free by the date.
func TestMilkFollowsTheLabel(t *testing.T) {
	h := newHome(t)
	h.told("2027-03-02 07:00", "our goats are called Nettle and Bramble", "milked Nettle 1 l", "wormed Nettle")
	require.Contains(t, h.told("2027-03-02 18:00", "milked Nettle 2 l"), "not to be drunk")
	require.NotContains(t, h.told("2027-03-02 18:05", "milked Bramble 4 l"), "not to be drunk")
	require.Contains(t, h.told("2027-03-02 18:10", "used 6 l milk"), "Not out of the larder")
	h.told("2027-03-02 18:20", "label says milk 96 hours, meat 28 days")
	h.told("2027-03-07 09:00", "used 5 l milk")
	require.Contains(t, h.told("2027-03-07 09:05", "used 1 l milk"), "drawn before Sat 6 Mar", "what is left was drawn under the hold")
	require.NotContains(t, h.told("2027-03-07 09:10", "milked Nettle 2 l"), "not to be drunk")

	h = newHome(t)
	h.told("2027-03-02 07:00", "we have a goat called Nettle", "wormed Nettle")
	h.told("2027-03-02 18:00", "milked Nettle 2 l", "label says milk nil, meat 28 days")
	require.NotContains(t, h.told("2027-03-02 18:30", "used 1 l milk"), "Not out")
}

// TestMotherWithYoungIsNoChilds: a child fed the sow so far; on the day after she had her
// piglets the bell is the keepers'.
func TestMotherWithYoungIsNoChilds(t *testing.T) {
	h := newHome(t)
	h.told("2027-03-01 08:00", "a sow called Berta", "Ivo feeds Berta daily at 17:00")
	rung := func(from, to string) map[string]bool {
		out := map[string]bool{}
		at := reminders.Instant(wallTime(t, to), h.zone)
		h.say(wallTime(t, from), "Maren", "the clock runs on")
		require.NoError(t, reminders.Play(context.Background(), h.store, h.now, at, func(time.Time) error { return nil }, h.roster.Watch))
		h.now = at
		for _, m := range h.drain() {
			if m.Kind == storage.KindRing && strings.Contains(strings.ToLower(m.Text()), "feed berta") {
				out[m.To] = true
			}
		}
		return out
	}
	require.Equal(t, map[string]bool{"Ivo": true}, rung("2027-03-01 16:59", "2027-03-01 17:05"))
	h.told("2027-03-02 08:00", "feed berta done", "Berta farrowed last night 9 piglets")
	require.Equal(t, map[string]bool{"Maren": true, "Tom": true}, rung("2027-03-02 16:59", "2027-03-02 17:05"))
}
