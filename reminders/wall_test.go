package reminders_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/reminders"
)

func zone(t require.TestingT, name string) *time.Location {
	z, err := time.LoadLocation(name)
	require.NoError(t, err)
	return z
}

func wall(s string) time.Time {
	w, err := time.Parse("2006-01-02 15:04", s)
	if err != nil {
		panic(err)
	}
	return w
}

// TestInstant holds RFC 5545 section 3.3.5 for skipped and doubled local times.
// Expected values: python dateutil 2.9.0 with zoneinfo (tz 2025b); New York rows
// are the RFC's own examples.
func TestInstant(t *testing.T) {
	for _, c := range []struct{ zone, wall, utc string }{
		{"America/Chicago", "2027-03-14 02:30", "2027-03-14 08:30"},     // does not exist
		{"America/Chicago", "2027-03-13 02:30", "2027-03-13 08:30"},     // the day before
		{"America/Chicago", "2027-03-15 02:30", "2027-03-15 07:30"},     // the day after
		{"America/Chicago", "2026-11-01 01:30", "2026-11-01 06:30"},     // twice: the first
		{"America/New_York", "2007-11-04 01:30", "2007-11-04 05:30"},    // twice
		{"America/New_York", "2007-03-11 02:30", "2007-03-11 07:30"},    // does not exist
		{"Europe/London", "2027-03-28 01:15", "2027-03-28 01:15"},       // does not exist
		{"Europe/London", "2027-10-31 01:30", "2027-10-31 00:30"},       // twice
		{"Australia/Lord_Howe", "2026-10-04 02:15", "2026-10-03 15:45"}, // half an hour that does not exist
		{"Australia/Lord_Howe", "2027-04-04 01:45", "2027-04-03 14:45"}, // half an hour twice
		{"Asia/Kathmandu", "2026-11-26 06:00", "2026-11-26 00:15"},
	} {
		got := reminders.Instant(wall(c.wall), zone(t, c.zone))
		require.Equal(t, c.utc, got.UTC().Format("2006-01-02 15:04"), "%s %s", c.zone, c.wall)
	}
}

// TestInstantReadsBack: a wall time that exists reads back as itself, and one
// that does not exist comes out later by the gap.
func TestInstantReadsBack(t *testing.T) {
	zones := []string{"America/Chicago", "Europe/London", "Australia/Lord_Howe", "Asia/Kathmandu", "America/Santiago", "UTC"}
	rapid.Check(t, func(t *rapid.T) {
		z := zone(t, rapid.SampledFrom(zones).Draw(t, "zone"))
		w := wall("2026-01-01 00:00").Add(time.Duration(rapid.IntRange(0, 3*366*24*4).Draw(t, "quarter")) * 15 * time.Minute)
		back := reminders.Wall(reminders.Instant(w, z), z)
		if !back.Equal(w) {
			gap := back.Sub(w)
			require.True(t, gap == time.Hour || gap == 30*time.Minute, "%s %s came back as %s", z, w, back)
		}
	})
}

func TestSayTimes(t *testing.T) {
	now := wall("2027-03-01 09:30")
	require.Equal(t, "17:00", reminders.SayTime(wall("2027-03-01 17:00"), now, true))
	require.Equal(t, "Tue 2 Mar 07:00", reminders.SayTime(wall("2027-03-02 07:00"), now, true))
	require.Equal(t, "Tue Jan 4 2028", reminders.SayDay(wall("2028-01-04 07:00"), now, false))
	require.Equal(t, "3 h 20 min", reminders.SayDuration(200*time.Minute))
	require.Equal(t, "1 day 1 h", reminders.SayDuration(25*time.Hour))
	require.Equal(t, "20 min", reminders.SayDuration(20*time.Minute))
}
