package reminders_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/reminders"
	"yardbell/storage"
)

// TestWatches lets a household's watch be kept at its time, once, and a watch that does not
// move itself on again only a day later.
func TestWatches(t *testing.T) {
	ctx := t.Context()
	s, err := storage.Open(ctx, storage.Memory)
	require.NoError(t, err)
	defer s.Close()
	from := time.Date(2027, 3, 1, 6, 0, 0, 0, time.UTC)
	require.NoError(t, s.Do(ctx, func(tx *storage.Tx) error {
		id, err := tx.Found("home", "UTC", "Maren", from)
		require.NoError(t, err)
		return tx.SetWatch(id, from.Add(time.Hour))
	}))
	var kept []time.Time
	lazy := func(_ *storage.Tx, household int64, now time.Time) error {
		require.EqualValues(t, 1, household)
		kept = append(kept, now)
		return nil
	}
	each := func(time.Time) error { return nil }
	require.NoError(t, reminders.Play(ctx, s, from, from.Add(72*time.Hour), each, lazy))
	require.Equal(t, []time.Time{from.Add(time.Hour), from.Add(25 * time.Hour), from.Add(49 * time.Hour)}, kept)

	require.NoError(t, reminders.Play(ctx, s, from.Add(72*time.Hour), from.Add(200*time.Hour), each), "with nobody to keep it, it waits")
	over := func(tx *storage.Tx, household int64, now time.Time) error { return tx.SetWatch(household, time.Time{}) }
	require.NoError(t, reminders.Play(ctx, s, from.Add(200*time.Hour), from.Add(300*time.Hour), each, over))
	require.NoError(t, s.Do(ctx, func(tx *storage.Tx) error {
		_, _, waits, err := tx.NextWatch()
		require.False(t, waits)
		return err
	}))
}
