package reminders

import (
	"context"
	"time"

	"yardbell/storage"
)

// Play runs a simulated clock from one instant to another: it ticks at every
// instant at which something is due, in order, and calls each after every tick.
// What is overdue at from is ticked at from.
func Play(ctx context.Context, s *storage.Store, from, to time.Time, each func(time.Time) error, watches ...Watch) error {
	for {
		var now time.Time
		more := false
		err := s.Do(ctx, func(tx *storage.Tx) error {
			next, err := Next(tx, from, watches...)
			if err != nil || next.IsZero() || next.After(to) {
				return err
			}
			now, more = next, true
			if now.Before(from) {
				now = from
			}
			_, err = Tick(tx, now, watches...)
			return err
		})
		if err != nil || !more {
			return err
		}
		from = now
		if err := each(now); err != nil {
			return err
		}
	}
}
