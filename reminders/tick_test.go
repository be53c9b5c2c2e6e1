package reminders_test

import (
	"context"
	"fmt"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/reminders"
	"yardbell/storage"
)

var ctx = context.Background()

// ringer is a household in London whose messages are read as they are posted.
type ringer struct {
	t     *testing.T
	s     *storage.Store
	house int64
	ids   map[string]int64
}

func newRinger(t *testing.T) *ringer {
	t.Helper()
	s, err := storage.Open(ctx, storage.Memory)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	r := &ringer{t: t, s: s, ids: map[string]int64{}}
	r.do(func(tx *storage.Tx) {
		r.house, err = tx.Found("home", "Europe/London", "Maren", at("2027-03-01 06:00"))
		require.NoError(t, err)
		r.ids["Maren"] = 1
		r.ids["Ivo"], err = tx.AddPerson(storage.Person{Household: r.house, Name: "Ivo", Age: 13, AgeOn: "2027-01-01"})
		require.NoError(t, err)
	})
	return r
}

func at(s string) time.Time { return wall(s) } // London keeps UTC until 28 March

func (r *ringer) do(fn func(*storage.Tx)) {
	r.t.Helper()
	require.NoError(r.t, r.s.Do(ctx, func(tx *storage.Tx) error { fn(tx); return nil }))
}

func (r *ringer) bell(b storage.Bell) storage.Bell {
	r.t.Helper()
	b.Household, b.Made = r.house, at("2027-03-01 06:00")
	if b.Whom == "" {
		b.Whom = reminders.People(r.ids["Ivo"])
	}
	if b.Useful == 0 {
		b.Useful = reminders.UsefulOnce
	}
	r.do(func(tx *storage.Tx) {
		var err error
		b, err = tx.AddBell(b)
		require.NoError(r.t, err)
	})
	return b
}

// tick lets everything due by a time ring at once, as after an outage, and
// returns what was said.
func (r *ringer) tick(s string) []string {
	r.t.Helper()
	for more := true; more; {
		r.do(func(tx *storage.Tx) {
			var err error
			more, err = reminders.Tick(tx, at(s))
			require.NoError(r.t, err)
		})
	}
	return r.said(at(s))
}

// play lets the clock run and returns what was said, with the time of each.
func (r *ringer) play(from, to string) []string {
	r.t.Helper()
	var out []string
	require.NoError(r.t, reminders.Play(ctx, r.s, at(from), at(to), func(now time.Time) error {
		out = append(out, r.said(now)...)
		return nil
	}))
	return out
}

func (r *ringer) said(now time.Time) []string {
	var out []string
	r.do(func(tx *storage.Tx) {
		posted, err := tx.Unsent(r.house, storage.Which{}, 1000)
		require.NoError(r.t, err)
		for _, p := range posted {
			if p.Message.Kind == storage.KindBoard {
				require.NoError(r.t, tx.MarkSent(p, "", now))
				continue
			}
			out = append(out, fmt.Sprintf("%s %s: %s", p.Message.At.Format("02 15:04"), p.Message.To, p.Message.Text()))
			require.NoError(r.t, tx.MarkSent(p, "", now))
		}
	})
	return out
}

func (r *ringer) answerAll(how string, now time.Time) {
	r.do(func(tx *storage.Tx) {
		open, err := tx.OpenRings(r.house)
		require.NoError(r.t, err)
		for _, g := range open {
			if g.Said == 0 {
				continue
			}
			g.Wake, g.Answer, g.Answered = time.Time{}, how, now
			require.NoError(r.t, tx.SaveRing(g))
		}
	})
}

// TestLadder: once more after 20 minutes, then in the next round where a keeper
// hears of it, then once a day.
func TestLadder(t *testing.T) {
	r := newRinger(t)
	r.bell(storage.Bell{Title: "feed the hens", Next: at("2027-03-01 09:00")})
	require.Equal(t, []string{
		"01 09:00 Ivo: Feed the hens (2)",
		"01 09:20 Ivo: Feed the hens (2)\nasked 2 times, due 09:00",
		"01 16:00 Ivo: Feed the hens (2)\nasked 3 times, due 09:00",
		"01 16:00 Maren: Ivo has not answered: feed the hens (2)\nasked 3 times, due 09:00",
		"01 19:30 Ivo: Left over from today: feed the hens (2)\nasked 4 times, due 09:00",
		"01 19:30 Maren: Left over from today, Ivo: feed the hens (2)\nasked 4 times, due 09:00",
		"02 07:00 Ivo: Feed the hens (2)\nasked 5 times, due Mon 1 Mar 09:00",
		"02 07:00 Maren: Ivo has not answered: feed the hens (2)\nasked 5 times, due Mon 1 Mar 09:00",
	}, r.play("2027-03-01 06:00", "2027-03-02 23:00"))
	r.answerAll(storage.AnswerDone, at("2027-03-02 23:00"))
	require.Empty(t, r.play("2027-03-02 23:00", "2027-04-02 23:00"))
}

// TestSafetyNeverGivesUp rings every ten minutes through quiet hours.
func TestSafetyNeverGivesUp(t *testing.T) {
	r := newRinger(t)
	r.do(func(tx *storage.Tx) { require.NoError(t, tx.Set(r.house, storage.SetQuiet, "21:00-06:30")) })
	r.bell(storage.Bell{Title: "lye is open", Next: at("2027-03-01 20:00"), Safety: true, Whom: reminders.Keepers})
	require.Len(t, r.play("2027-03-01 20:00", "2027-03-02 20:00"), 24*6+1)
}

func TestQuietHoursHoldBack(t *testing.T) {
	r := newRinger(t)
	r.do(func(tx *storage.Tx) {
		require.NoError(t, tx.Set(r.house, storage.SetQuiet, "21:00-06:30"))
		require.NoError(t, tx.Set(r.house, storage.SetSchool, "weekdays 09:30-12:30"))
	})
	r.bell(storage.Bell{Title: "shut the hens", Next: at("2027-03-01 22:00")})
	r.bell(storage.Bell{Title: "stir the jam", Next: at("2027-03-02 10:00")})
	r.bell(storage.Bell{Title: "phone the vet", Next: at("2027-03-02 10:00"), Whom: reminders.Keepers})
	said := r.play("2027-03-01 21:00", "2027-03-02 12:45")
	require.Equal(t, "02 06:30 Ivo: Shut the hens (4)\nlate by 8 h 30 min: due Mon 1 Mar 22:00", said[0])
	require.Contains(t, said, "02 10:00 Maren: Phone the vet (6)", "school hours are the children's")
	require.Contains(t, said, "02 12:30 Ivo: Stir the jam (5)\nlate by 2 h 30 min: due 10:00")
}

// TestOutage: down from 26 November 05:00 to 29 November 10:00 in Chicago, a
// daily bell at 06:00 (chore sheet, part 3.4): four fell due, one rings.
func TestOutage(t *testing.T) {
	r := newRinger(t)
	r.do(func(tx *storage.Tx) { require.NoError(t, tx.Set(r.house, storage.SetZone, "America/Chicago")) })
	daily := reminders.Recurrence{Freq: "DAILY", Interval: 1, Start: wall("2026-11-26 06:00")}
	r.bell(storage.Bell{Title: "feed the hens", Schedule: daily.Spec(), Next: at("2026-11-26 12:00"), Useful: 24 * time.Hour})
	r.bell(storage.Bell{Title: "bring in the washing", Next: at("2026-11-26 13:00"), Useful: 3 * time.Hour})
	require.Equal(t, []string{
		"29 16:00 Ivo: Feed the hens (3)\nlate by 4 h: due 06:00\n3 rings before this one were missed",
		"29 16:00 : Missed, and too late to ring: bring in the washing (Ivo, Thu 26 Nov 07:00)",
	}, r.tick("2026-11-29 16:00"))
	require.Empty(t, r.tick("2026-11-29 16:00"), "each is accounted for once")
	require.Empty(t, r.tick("2026-11-27 08:00"), "a clock that runs back repeats nothing")
}

func TestTimesAndUntil(t *testing.T) {
	r := newRinger(t)
	daily := reminders.Recurrence{Freq: "DAILY", Interval: 1, Start: wall("2027-03-02 08:00")}.Spec()
	r.bell(storage.Bell{Title: "three times", Schedule: daily, Next: at("2027-03-02 08:00"), Remain: 3})
	r.bell(storage.Bell{Title: "until the fourth", Schedule: daily, Next: at("2027-03-02 08:00"), Until: at("2027-03-04 23:59")})
	r.bell(storage.Bell{Title: "once", Next: at("2027-03-02 08:00")})
	rung := map[string]int{}
	require.NoError(t, reminders.Play(ctx, r.s, at("2027-03-01 08:00"), at("2027-03-20 08:00"), func(now time.Time) error {
		for _, s := range r.said(now) {
			for _, title := range []string{"Three times", "Until the fourth", "Once"} {
				rung[title] += strings.Count(s, title+" (")
			}
		}
		r.answerAll(storage.AnswerDone, now)
		return nil
	}))
	require.Equal(t, map[string]int{"Three times": 3, "Until the fourth": 3, "Once": 1}, rung)
}

var bellNumbered = regexp.MustCompile(`Bell \d`)

// TestRehearseAgreesWithTheClock: what is rehearsed is what rings.
func TestRehearseAgreesWithTheClock(t *testing.T) {
	r := newRinger(t)
	r.do(func(tx *storage.Tx) { require.NoError(t, tx.Set(r.house, storage.SetQuiet, "21:00-06:30")) })
	for i, rec := range []reminders.Recurrence{
		{Freq: "DAILY", Interval: 1, Start: wall("2027-03-02 06:00")},
		{Freq: "WEEKLY", Interval: 2, Days: []time.Weekday{6}, Start: wall("2027-03-06 09:00")},
		{Freq: "DAILY", Interval: 3, Start: wall("2027-03-02 22:30")},
	} {
		r.bell(storage.Bell{Title: fmt.Sprint("bell ", i), Schedule: rec.Spec(), Next: at(rec.Start.Format("2006-01-02 15:04"))})
	}
	var planned []string
	r.do(func(tx *storage.Tx) {
		h, err := reminders.Load(tx, r.house, at("2027-03-01 12:00"))
		require.NoError(t, err)
		bells, err := tx.ComingBells(r.house)
		require.NoError(t, err)
		list, err := h.Rehearse(bells, at("2027-03-01 12:00"), at("2027-06-01 12:00"))
		require.NoError(t, err)
		for _, p := range list {
			planned = append(planned, p.At.UTC().Format("01-02 15:04 ")+p.Bell.Title)
		}
	})
	var rung []string
	require.NoError(t, reminders.Play(ctx, r.s, at("2027-03-01 12:00"), at("2027-06-01 12:00"), func(now time.Time) error {
		r.do(func(tx *storage.Tx) {
			posted, err := tx.Unsent(r.house, storage.Which{}, 100)
			require.NoError(t, err)
			for _, p := range posted {
				if p.Message.Kind == storage.KindBoard {
					continue
				}
				for _, title := range bellNumbered.FindAllString(p.Message.Text(), -1) {
					rung = append(rung, p.Message.At.UTC().Format("01-02 15:04 b")+title[1:])
				}
				require.NoError(t, tx.MarkSent(p, "", now))
			}
		})
		r.answerAll(storage.AnswerDone, now)
		return nil
	}))
	require.ElementsMatch(t, planned, rung)
	require.Greater(t, len(rung), 100)
}

// TestUnansweredIsWritten: a ring that the next one of its bell replaces is in
// the day book as unanswered.
func TestUnansweredIsWritten(t *testing.T) {
	r := newRinger(t)
	daily := reminders.Recurrence{Freq: "DAILY", Interval: 1, Start: wall("2027-03-02 08:00")}.Spec()
	r.bell(storage.Bell{Title: "feed the hens", Schedule: daily, Next: at("2027-03-02 08:00")})
	r.play("2027-03-01 08:00", "2027-03-04 08:30")
	r.do(func(tx *storage.Tx) {
		entries, err := tx.Book(r.house, storage.BookQuery{Limit: 10})
		require.NoError(t, err)
		require.Len(t, entries, 2)
		require.Equal(t, "unanswered: feed the hens, due Wed 3 Mar 08:00", entries[0].Text)
	})
}
