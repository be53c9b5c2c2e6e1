package storage_test

import (
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/storage"
)

// TestUndoOfAnAddLeavesNothing: whatever bells, absences and settings an entry
// adds and changes, taking it back leaves every journaled table as it was.
func TestUndoOfAnAddLeavesNothing(t *testing.T) {
	s, err := storage.Open(t.Context(), filepath.Join(t.TempDir(), "house.db"))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	var house int64
	now := time.Date(2027, 3, 1, 6, 0, 0, 0, time.UTC)
	require.NoError(t, s.Do(t.Context(), func(tx *storage.Tx) (err error) {
		house, err = tx.Found("home", "UTC", "Maren", now)
		return err
	}))
	dump := func(tx *storage.Tx) (out [][]string) {
		for _, table := range storage.Journaled() {
			rows, err := tx.Dump(table)
			require.NoError(t, err)
			out = append(out, rows)
		}
		return out
	}
	rapid.Check(t, func(r *rapid.T) {
		require.NoError(r, s.Do(t.Context(), func(tx *storage.Tx) error {
			before := dump(tx)
			_, err := tx.Record(storage.Entry{Household: house, Person: 1, Happened: now, Written: now, Kind: "ring", Text: "x"})
			require.NoError(r, err)
			var last storage.Bell
			for step := range rapid.IntRange(1, 6).Draw(r, "steps") {
				switch rapid.SampledFrom([]string{"bell", "change", "stop", "absence", "setting", "ring"}).Draw(r, "step") {
				case "change":
					last.Title, last.Care = rapid.String().Draw(r, "title"), true
					require.NoError(r, tx.SaveBell(last))
				case "stop":
					require.NoError(r, tx.StopBell(last.ID, now))
				case "absence":
					require.NoError(r, tx.AddAbsence(storage.Absence{Household: house, Person: 1, Kind: storage.Away, Since: now}))
				case "setting":
					require.NoError(r, tx.Set(house, rapid.SampledFrom([]string{"quiet", "name"}).Draw(r, "key"), "off"))
				case "ring":
					if last.ID != 0 {
						_, err := tx.AddRing(storage.Ring{Household: house, Bell: last.ID, Due: now.Add(time.Duration(step) * time.Hour), Whom: "1"})
						require.NoError(r, err)
					}
				default:
					last, err = tx.AddBell(storage.Bell{
						Household: house, Title: rapid.String().Draw(r, "title"), Whom: "keepers", Next: now.Add(time.Duration(rapid.IntRange(1, 1<<30).Draw(r, "next")) * time.Second),
						Schedule: rapid.StringMatching(`cron [0-5]?[0-9] 1?[0-9] \* \* \*`).Draw(r, "schedule"), Useful: time.Hour, Made: now, Safety: rapid.Bool().Draw(r, "safety"),
						Again: "10 x3", Remain: rapid.IntRange(0, 9).Draw(r, "remain"),
					})
					require.NoError(r, err)
				}
			}
			e, ok, err := tx.LastEntry(house, 1)
			require.NoError(r, err)
			require.True(r, ok)
			require.NoError(r, tx.Undo(e, now))
			require.Equal(r, before, dump(tx))
			return nil
		}))
	})
}
