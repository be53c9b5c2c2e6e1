package reminders_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/reminders"
	"yardbell/storage"
)

// TestRecurrences holds check values made with python dateutil 2.9.0 and
// zoneinfo (tz 2025b); local times are given with the instants they mean.
func TestRecurrences(t *testing.T) {
	daily := func(interval int) reminders.Recurrence {
		return reminders.Recurrence{Freq: "DAILY", Interval: interval}
	}
	for _, c := range []struct {
		name, zone, start string
		rec               reminders.Recurrence
		utc               []string
	}{
		{"daily over a gap", "America/Chicago", "2027-03-12 02:30", daily(1), []string{"03-12 08:30", "03-13 08:30", "03-14 08:30", "03-15 07:30"}},
		{"daily at six", "America/Chicago", "2027-03-12 06:00", daily(1), []string{"03-12 12:00", "03-13 12:00", "03-14 11:00", "03-15 11:00"}},
		{"daily over a doubled hour", "America/Chicago", "2026-10-30 01:30", daily(1), []string{"10-30 06:30", "10-31 06:30", "11-01 06:30", "11-02 07:30"}},
		{
			"sundays over a gap", "Europe/London", "2027-03-21 01:15",
			reminders.Recurrence{Freq: "WEEKLY", Interval: 1, Days: []time.Weekday{0}},
			[]string{"03-21 01:15", "03-28 01:15", "04-04 00:15"},
		},
		{
			"sundays over a doubled hour", "Europe/London", "2027-10-24 01:30",
			reminders.Recurrence{Freq: "WEEKLY", Interval: 1, Days: []time.Weekday{0}},
			[]string{"10-24 00:30", "10-31 00:30", "11-07 01:30"},
		},
		{"half an hour that does not exist", "Australia/Lord_Howe", "2026-10-03 02:15", daily(1), []string{"10-02 15:45", "10-03 15:45", "10-04 15:15"}},
		{"half an hour twice", "Australia/Lord_Howe", "2027-04-03 01:45", daily(1), []string{"04-02 14:45", "04-03 14:45", "04-04 15:15"}},
		{
			"mondays and thursdays", "Asia/Kathmandu", "2026-11-26 06:00",
			reminders.Recurrence{Freq: "WEEKLY", Interval: 1, Days: []time.Weekday{1, 4}},
			[]string{"11-26 00:15", "11-30 00:15", "12-03 00:15", "12-07 00:15"},
		},
		{
			"every other saturday", "America/Chicago", "2026-10-03 09:00",
			reminders.Recurrence{Freq: "WEEKLY", Interval: 2, Days: []time.Weekday{6}},
			[]string{"10-03 14:00", "10-17 14:00", "10-31 14:00", "11-14 15:00", "11-28 15:00", "12-12 15:00"},
		},
		{
			"last friday", "America/Chicago", "2026-10-30 18:00",
			reminders.Recurrence{Freq: "MONTHLY", Interval: 1, Days: []time.Weekday{5}, Nth: -1},
			[]string{"10-30 23:00", "11-28 00:00", "12-26 00:00", "01-30 00:00", "02-27 00:00", "03-26 23:00"},
		},
		{
			"last day", "America/Chicago", "2026-11-30 20:00",
			reminders.Recurrence{Freq: "MONTHLY", Interval: 1, MonthDays: []int{-1}},
			[]string{"12-01 02:00", "01-01 02:00", "02-01 02:00", "03-01 02:00", "04-01 01:00", "05-01 01:00"},
		},
		{
			"the 31st skips short months", "America/Chicago", "2026-10-31 08:00",
			reminders.Recurrence{Freq: "MONTHLY", Interval: 1, MonthDays: []int{31}},
			[]string{"10-31 13:00", "12-31 14:00", "01-31 14:00", "03-31 13:00", "05-31 13:00"},
		},
		{
			"second tuesday", "Europe/London", "2026-12-08 19:30",
			reminders.Recurrence{Freq: "MONTHLY", Interval: 1, Days: []time.Weekday{2}, Nth: 2},
			[]string{"12-08 19:30", "01-12 19:30", "02-09 19:30", "03-09 19:30"},
		},
		{"every 3 days", "Asia/Kathmandu", "2027-02-24 06:30", daily(3), []string{"02-24 00:45", "02-27 00:45", "03-02 00:45", "03-05 00:45"}},
		{
			"every 3 months", "Australia/Lord_Howe", "2026-12-01 08:00",
			reminders.Recurrence{Freq: "MONTHLY", Interval: 3, MonthDays: []int{1}},
			[]string{"11-30 21:00", "02-28 21:00", "05-31 21:30", "08-31 21:30"},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			z := zone(t, c.zone)
			c.rec.Start = wall(c.start)
			s, err := reminders.Parse(c.rec.Spec(), z)
			require.NoError(t, err)
			at := reminders.Instant(c.rec.Start, z).Add(-time.Second)
			for _, want := range c.utc {
				at = s.Next(at)
				require.Equal(t, want, at.UTC().Format("01-02 15:04"), c.rec.Spec())
			}
			require.NotEmpty(t, reminders.SaySchedule(c.rec.Spec()))
		})
	}
}

// drawRecurrence draws any recurrence that a line can ask for.
func drawRecurrence(t *rapid.T) reminders.Recurrence {
	r := reminders.Recurrence{
		Freq:     rapid.SampledFrom([]string{"DAILY", "WEEKLY", "MONTHLY", "HOURLY", "MINUTELY"}).Draw(t, "freq"),
		Interval: rapid.IntRange(1, 9).Draw(t, "interval"),
		Start:    wall("2026-01-01 00:00").Add(time.Duration(rapid.IntRange(0, 366*96).Draw(t, "start")) * 15 * time.Minute),
	}
	switch r.Freq {
	case "WEEKLY":
		for _, d := range rapid.SliceOfNDistinct(rapid.IntRange(0, 6), 1, 4, rapid.ID).Draw(t, "days") {
			r.Days = append(r.Days, time.Weekday(d))
		}
	case "MONTHLY":
		r.MonthDays = []int{rapid.SampledFrom([]int{-1, 1, 15, 28, 31}).Draw(t, "day")}
	}
	return r
}

// TestNextIsStrictlyLater: Next is after its argument, and nothing lies between:
// asking from any instant before an occurrence gives that occurrence.
func TestNextIsStrictlyLater(t *testing.T) {
	zones := []string{"America/Chicago", "Europe/London", "Australia/Lord_Howe", "UTC"}
	rapid.Check(t, func(t *rapid.T) {
		z := zone(t, rapid.SampledFrom(zones).Draw(t, "zone"))
		spec := drawRecurrence(t).Spec()
		if rapid.Bool().Draw(t, "several") {
			spec = reminders.Several(spec, drawRecurrence(t).Spec())
		}
		h := reminders.House{Household: storage.Household{Zone: z, Rounds: [2]storage.Minutes{150, 960}}}
		s, err := h.Schedule(storage.Bell{Schedule: spec, Daily: rapid.Bool().Draw(t, "daily")})
		require.NoError(t, err)
		at := wall("2026-06-01 00:00").Add(time.Duration(rapid.IntRange(0, 300*24*60).Draw(t, "from")) * time.Minute)
		next := s.Next(at)
		if next.IsZero() {
			return
		}
		require.True(t, next.After(at))
		between := at.Add(time.Duration(rapid.Int64Range(0, int64(next.Sub(at))-1).Draw(t, "between")))
		require.Equal(t, next, s.Next(between))
	})
}

func TestParseRefusesStrangers(t *testing.T) {
	for _, spec := range []string{"", "cron x", "cron * * * *", "rrule", "rrule 2027-03-01T09:00:00 FREQ=NEVER", "hours 2027-03-01T09:00:00 0", "moon full"} {
		_, err := reminders.Parse(spec, time.UTC)
		require.Error(t, err, spec)
	}
}
