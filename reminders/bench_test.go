package reminders_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/reminders"
	"yardbell/storage"
)

// fullHouse is sixty bells of every kind, as a full household has them.
func fullHouse() []storage.Bell {
	var bells []storage.Bell
	start := wall("2027-03-01 07:00")
	for i := range 60 {
		rec := reminders.Recurrence{Freq: "DAILY", Interval: 1, Start: start.Add(time.Duration(i) * 7 * time.Minute)}
		switch i % 6 {
		case 3:
			rec.Freq, rec.Days = "WEEKLY", []time.Weekday{1, 3, 5}
		case 4:
			rec.Freq, rec.Interval, rec.Days = "WEEKLY", 2, []time.Weekday{6}
		case 5:
			rec.Freq, rec.Days, rec.Nth = "MONTHLY", []time.Weekday{5}, -1
		}
		bells = append(bells, storage.Bell{Num: i, Title: fmt.Sprint("bell ", i), Whom: reminders.Everyone, Schedule: rec.Spec(), Next: rec.Start, Useful: reminders.UsefulOnce})
	}
	return bells
}

// BenchmarkRehearseYear rehearses a year of a full household; it should take at
// most a second.
func BenchmarkRehearseYear(b *testing.B) {
	h := storage.Household{Zone: zone(b, "Europe/London"), Quiet: storage.Span{On: true, From: 21 * 60, To: 6*60 + 30}, Rounds: [2]storage.Minutes{420, 960}}
	home := reminders.House{Household: h, People: []storage.Person{{ID: 1, Name: "Maren", Keeper: true}, {ID: 2, Name: "Ivo", Age: 13}}}
	bells := fullHouse()
	rings := 0
	for b.Loop() {
		planned, err := home.Rehearse(bells, wall("2027-03-01 06:00"), wall("2028-03-01 06:00"))
		require.NoError(b, err)
		rings = len(planned)
	}
	b.ReportMetric(float64(rings), "rings")
}

// BenchmarkTick measures a tick with 100 rings due among many stored bells
// against the same among a few.
func BenchmarkTick(b *testing.B) {
	few, many := loaded(b, 1_000), loaded(b, 100_000)
	var small, large time.Duration
	now := at("2027-03-02 09:00")
	for b.Loop() {
		small += tickOnce(b, few, now)
		large += tickOnce(b, many, now)
		now = now.Add(24 * time.Hour)
	}
	b.ReportMetric(float64(large)/float64(small), "ratio-100000-to-1000")
	b.ReportMetric(float64(large.Microseconds())/float64(b.N), "us/tick")
}

// loaded stores n bells far ahead and 100 daily ones.
func loaded(b *testing.B, n int) *storage.Store {
	s, err := storage.Open(ctx, storage.Memory)
	require.NoError(b, err)
	b.Cleanup(func() { s.Close() })
	require.NoError(b, s.Do(ctx, func(tx *storage.Tx) error {
		id, err := tx.Found("home", "UTC", "Maren", at("2027-03-01 06:00"))
		require.NoError(b, err)
		daily := reminders.Recurrence{Freq: "DAILY", Interval: 1, Start: wall("2027-03-02 09:00")}.Spec()
		for i := range n + 100 {
			bell := storage.Bell{Household: id, Title: "feed", Whom: "keepers", Next: at("2099-01-01 00:00"), Useful: reminders.UsefulOnce, Made: at("2027-03-01 06:00")}
			if i >= n {
				bell.Next, bell.Schedule = at("2027-03-02 09:00"), daily
			}
			_, err := tx.AddBell(bell)
			require.NoError(b, err)
		}
		return nil
	}))
	return s
}

func tickOnce(b *testing.B, s *storage.Store, now time.Time) time.Duration {
	begun := time.Now()
	require.NoError(b, s.Do(ctx, func(tx *storage.Tx) error {
		_, err := reminders.Tick(tx, now)
		return err
	}))
	return time.Since(begun)
}
