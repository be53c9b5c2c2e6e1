package reminders_test

import (
	"fmt"
	"path/filepath"
	"runtime"
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

// BenchmarkTick measures a tick with 100 rings due among a million stored bells
// against the same among a thousand. It should cost at most 1.3 times as much.
func BenchmarkTick(b *testing.B) {
	few, many := loaded(b, 1, 1_000), loaded(b, 1, 1_000_000)
	dueDaily(b, few, 1, 100)
	dueDaily(b, many, 1, 100)
	var small, large time.Duration
	now := at("2027-03-02 09:00")
	for b.Loop() {
		small += tickOnce(b, few, now)
		large += tickOnce(b, many, now)
		now = now.Add(24 * time.Hour)
	}
	b.ReportMetric(float64(large)/float64(small), "ratio-1000000-to-1000")
	b.ReportMetric(float64(large.Microseconds())/float64(b.N), "us/tick")
}

// BenchmarkHouseholds measures ten thousand households of sixty bells in one
// process: opening the file and finding what is due next, the memory for it, and
// a tick in which a hundred of them have a ring, against a file of one household.
func BenchmarkHouseholds(b *testing.B) {
	const houses = 10_000
	path := filepath.Join(b.TempDir(), "houses.db")
	s := loadedAt(b, path, houses, houses*60)
	for h := range 100 {
		dueDaily(b, s, int64(h*100+1), 1)
	}
	one := loaded(b, 1, 60)
	dueDaily(b, one, 1, 100)
	require.NoError(b, s.Close())
	runtime.GC()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	begun := time.Now()
	s, err := storage.Open(ctx, path)
	require.NoError(b, err)
	defer s.Close()
	require.NoError(b, s.Do(ctx, func(tx *storage.Tx) error {
		_, err := reminders.Next(tx, at("2027-03-01 06:00"))
		return err
	}))
	started := time.Since(begun)
	runtime.GC()
	runtime.ReadMemStats(&after)
	var many, single time.Duration
	now := at("2027-03-02 09:00")
	for b.Loop() {
		many += tickOnce(b, s, now)
		single += tickOnce(b, one, now)
		now = now.Add(24 * time.Hour)
	}
	b.ReportMetric(float64(many)/float64(single), "ratio-100-houses-to-one")
	b.ReportMetric(float64(many.Microseconds())/float64(b.N), "us/tick")
	b.ReportMetric(float64(started.Microseconds()), "us-start")
	b.ReportMetric(float64(int64(after.HeapAlloc)-int64(before.HeapAlloc))/1024, "KiB-heap")
}

// BenchmarkPrecision prints how late the last of a thousand rings due in the same
// second is queued, on a real file: it should be well under two seconds.
func BenchmarkPrecision(b *testing.B) {
	s := loadedAt(b, filepath.Join(b.TempDir(), "house.db"), 1, 60)
	dueDaily(b, s, 1, 1000)
	now := at("2027-03-02 09:00")
	var worst, all time.Duration
	for b.Loop() {
		took := tickOnce(b, s, now)
		worst, all = max(worst, took), all+took
		now = now.Add(24 * time.Hour)
	}
	b.ReportMetric(worst.Seconds(), "s-worst")
	b.ReportMetric(all.Seconds()/float64(b.N), "s-mean")
}

func loaded(b *testing.B, houses, bells int) *storage.Store {
	return loadedAt(b, storage.Memory, houses, bells)
}

// loadedAt stores bells that ring far ahead, spread over households and years.
func loadedAt(b *testing.B, path string, houses, bells int) *storage.Store {
	s, err := storage.Open(ctx, path)
	require.NoError(b, err)
	b.Cleanup(func() { s.Close() })
	require.NoError(b, s.Do(ctx, func(tx *storage.Tx) error {
		for h := range houses {
			_, err := tx.Found(fmt.Sprint("home ", h), "UTC", "Maren", at("2027-03-01 06:00"))
			require.NoError(b, err)
		}
		_, err := tx.Exec(`WITH RECURSIVE n(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i + 1 < ?2)
			INSERT INTO bell (household, num, title, whom, next, useful, made)
			SELECT 1 + i % ?1, 1000000 + i, 'feed', 'keepers', 4070908800 + i * 61, 604800, 0 FROM n`, houses, bells)
		require.NoError(b, err)
		return nil
	}))
	return s
}

// dueDaily gives a household bells that ring daily at nine.
func dueDaily(b *testing.B, s *storage.Store, house int64, n int) {
	require.NoError(b, s.Do(ctx, func(tx *storage.Tx) error {
		daily := reminders.Recurrence{Freq: "DAILY", Interval: 1, Start: wall("2027-03-02 09:00")}.Spec()
		for range n {
			_, err := tx.AddBell(storage.Bell{
				Household: house, Title: "feed", Whom: "keepers", Next: at("2027-03-02 09:00"), Schedule: daily, Useful: reminders.UsefulOnce, Made: at("2027-03-01 06:00"),
			})
			require.NoError(b, err)
		}
		return nil
	}))
}

func tickOnce(b *testing.B, s *storage.Store, now time.Time) time.Duration {
	begun := time.Now()
	for more := true; more; {
		require.NoError(b, s.Do(ctx, func(tx *storage.Tx) (err error) {
			more, err = reminders.Tick(tx, now)
			return err
		}))
	}
	return time.Since(begun)
}
