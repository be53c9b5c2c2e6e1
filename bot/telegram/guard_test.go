package telegram

import (
	"context"
	"fmt"
	"log/slog"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/storage"
)

// TestGuarded: what can never be handled is passed over with a word in the log;
// what may pass is tried again.
func TestGuarded(t *testing.T) {
	var log strings.Builder
	s := &Service{cfg: Config{Token: "1:x", Log: slog.New(slog.NewTextHandler(&log, nil))}}
	store, err := storage.Open(context.Background(), storage.Memory)
	require.NoError(t, err)
	defer store.Close()
	twice := func() error {
		return store.Do(context.Background(), func(tx *storage.Tx) error {
			for range 2 {
				if _, err := tx.Found("tg:-5", "UTC", "Maren", time.Unix(0, 0)); err != nil {
					return err
				}
			}
			return nil
		})
	}
	passing := fmt.Errorf("commit: %w", context.DeadlineExceeded)
	for number, c := range []struct {
		do      func() error
		want    error
		skipped bool
	}{
		{twice, nil, true},
		{func() error { panic("a fault of ours") }, nil, true},
		{func() error { return passing }, passing, false},
		{func() error { return nil }, nil, false},
	} {
		log.Reset()
		require.Equal(t, c.want, s.guarded(int64(number), c.do))
		require.Equal(t, c.skipped, strings.Contains(log.String(), "passed over"), log.String())
	}
}
