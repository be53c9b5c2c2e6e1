package reminders_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/reminders"
)

// TestStoredRules holds rules beyond those that a line can ask for, as another
// program or a later desk may store them. Expected values: python dateutil 2.9.0
// with zoneinfo (tz 2025b); the New York rows are examples of RFC 5545 section
// 3.8.5.3 (from memory, reproduced by that library).
func TestStoredRules(t *testing.T) {
	for _, c := range []struct {
		name, zone, start, rule string
		wall                    []string
	}{
		{"three days a week over a change", "America/Chicago", "2026-10-28T07:00:00", "FREQ=WEEKLY;BYDAY=MO,WE,FR", []string{"2026-10-28", "2026-10-30", "2026-11-02", "2026-11-04", "2026-11-06", "2026-11-09", "2026-11-11"}},
		{"leap days", "Europe/London", "2024-02-29T12:00:00", "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29", []string{"2024-02-29", "2028-02-29", "2032-02-29"}},
		{"until", "UTC", "2026-11-25T06:00:00", "FREQ=DAILY;UNTIL=20261128T120000Z", []string{"2026-11-25", "2026-11-26", "2026-11-27", "2026-11-28", ""}},
		{"week starts on monday", "America/New_York", "1997-08-05T09:00:00", "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO", []string{"1997-08-05", "1997-08-10", "1997-08-19", "1997-08-24", ""}},
		{"week starts on sunday", "America/New_York", "1997-08-05T09:00:00", "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU", []string{"1997-08-05", "1997-08-17", "1997-08-19", "1997-08-31", ""}},
		{"last working day", "America/Chicago", "2026-11-30T17:00:00", "FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-1", []string{"2026-11-30", "2026-12-31", "2027-01-29", "2027-02-26"}},
		{"election day", "America/New_York", "1996-11-05T09:00:00", "FREQ=YEARLY;INTERVAL=4;BYMONTH=11;BYDAY=TU;BYMONTHDAY=2,3,4,5,6,7,8", []string{"1996-11-05", "2000-11-07", "2004-11-02"}},
		{"friday the 13th", "America/New_York", "1998-02-13T09:00:00", "FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13", []string{"1998-02-13", "1998-03-13", "1998-11-13", "1999-08-13", "2000-10-13"}},
		{"monday of week 20", "America/New_York", "1997-05-12T09:00:00", "FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO", []string{"1997-05-12", "1998-05-11", "1999-05-17"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			z := zone(t, c.zone)
			s, err := reminders.Parse("rrule "+c.start+" "+c.rule, z)
			require.NoError(t, err)
			start, err := time.Parse("2006-01-02T15:04:05", c.start)
			require.NoError(t, err)
			at := reminders.Instant(start, z).Add(-time.Second)
			for _, want := range c.wall {
				at = s.Next(at)
				if want == "" {
					require.True(t, at.IsZero())
					break
				}
				require.Equal(t, want+start.Format(" 15:04"), reminders.Wall(at, z).Format("2006-01-02 15:04"))
			}
		})
	}
}

// TestElapsed: hours counted from an event do not follow the clock. Expected
// values: python zoneinfo (tz 2025b).
func TestElapsed(t *testing.T) {
	for _, c := range []struct {
		zone, from string
		hours      int
		wall       string
	}{
		{"America/Chicago", "2026-10-31 06:00", 96, "2026-11-04 05:00"},
		{"America/Chicago", "2027-03-13 18:00", 24, "2027-03-14 19:00"},
		{"Europe/London", "2027-03-27 18:00", 12, "2027-03-28 07:00"},
		{"Australia/Lord_Howe", "2026-10-03 20:00", 12, "2026-10-04 08:30"},
		{"Australia/Lord_Howe", "2027-04-03 20:00", 12, "2027-04-04 07:30"},
	} {
		z := zone(t, c.zone)
		start := wall(c.from)
		s, err := reminders.Parse(reminders.Recurrence{Freq: "HOURLY", Interval: c.hours, Start: start}.Spec(), z)
		require.NoError(t, err)
		require.Equal(t, c.wall, reminders.Wall(s.Next(reminders.Instant(start, z)), z).Format("2006-01-02 15:04"), "%s %s", c.zone, c.from)
	}
}

// TestSayAndKeepSchedules: what a schedule is called, and that another clock
// keeps its days.
func TestSayAndKeepSchedules(t *testing.T) {
	start := wall("2027-03-06 07:15")
	daily := reminders.Recurrence{Freq: "DAILY", Interval: 1, Start: start}.Spec()
	evening := reminders.Recurrence{Freq: "DAILY", Interval: 1, Start: wall("2027-03-06 18:00")}.Spec()
	fortnight := reminders.Recurrence{Freq: "WEEKLY", Interval: 2, Days: []time.Weekday{6}, Start: start}.Spec()
	for _, c := range []struct{ spec, said, moved string }{
		{daily, "daily at 07:15", "daily at 08:00"},
		{reminders.Several(daily, evening), "daily at 07:15 and 18:00", "daily at 08:00"},
		{reminders.Several(daily, fortnight), "daily at 07:15 and every 2 weeks on Sat at 07:15", "daily at 08:00"},
		{fortnight, "every 2 weeks on Sat at 07:15", "every 2 weeks on Sat at 08:00"},
		{reminders.Recurrence{Freq: "WEEKLY", Interval: 1, Days: []time.Weekday{1, 2, 3, 4, 5}, Start: start}.Spec(), "weekdays at 07:15", "weekdays at 08:00"},
		{reminders.Recurrence{Freq: "MONTHLY", Interval: 1, MonthDays: []int{15}, Start: start}.Spec(), "monthly on day 15 at 07:15", "monthly on day 15 at 08:00"},
		{reminders.HoursOfDay(2, 8, 18, 0), "every 2 hours from 08:00 to 18:00", "daily at 08:00"},
		{reminders.Recurrence{Freq: "MINUTELY", Interval: 30, Start: start}.Spec(), "every 30 min", "every 30 min"},
		{reminders.Recurrence{Freq: "HOURLY", Interval: 1, Start: start}.Spec(), "every hour", "every hour"},
	} {
		require.Equal(t, c.said, reminders.SaySchedule(c.spec))
		require.Equal(t, c.moved, reminders.SaySchedule(reminders.AtClocks(c.spec, 8*60)))
	}
}

// TestHoursOfDay rings within its part of the day only.
func TestHoursOfDay(t *testing.T) {
	s, err := reminders.Parse(reminders.HoursOfDay(2, 8, 18, 0), zone(t, "Europe/London"))
	require.NoError(t, err)
	at := wall("2027-03-02 00:00")
	var got []string
	for range 7 {
		at = s.Next(at)
		got = append(got, at.Format("02 15:04"))
	}
	require.Equal(t, []string{"02 08:00", "02 10:00", "02 12:00", "02 14:00", "02 16:00", "02 18:00", "03 08:00"}, got)
}
