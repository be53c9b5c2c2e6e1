// Package outbox empties the household's outbox into a transport.
package outbox

import (
	"context"
	"time"

	"yardbell/storage"
)

// batch is how many messages are taken at once.
const batch = 200

// Drain hands the waiting messages of every household to say, in order, and
// marks them sent afterwards: a crash in between says one again and loses none.
// Line keeps it to the answers of one line and to rings, so that two programs on
// one file do not give out each other's answers.
func Drain(ctx context.Context, s *storage.Store, line int64, now time.Time, say func(storage.Message) error) error {
	var ids []int64
	if err := s.Do(ctx, func(tx *storage.Tx) (err error) {
		ids, err = tx.Households()
		return err
	}); err != nil {
		return err
	}
	for _, id := range ids {
		if err := drainOne(ctx, s, id, line, now, say); err != nil {
			return err
		}
	}
	return nil
}

func drainOne(ctx context.Context, s *storage.Store, house, line int64, now time.Time, say func(storage.Message) error) error {
	for {
		var waiting []storage.Posted
		if err := s.Do(ctx, func(tx *storage.Tx) (err error) {
			waiting, err = tx.Unsent(house, line, batch)
			return err
		}); err != nil || len(waiting) == 0 {
			return err
		}
		for _, w := range waiting {
			if w.Message.Kind == storage.KindBoard {
				continue // a terminal tells each person by itself
			}
			if err := say(w.Message); err != nil {
				return err
			}
		}
		last := waiting[len(waiting)-1].ID
		if err := s.Do(ctx, func(tx *storage.Tx) error { return tx.MarkSent(house, line, last, now) }); err != nil {
			return err
		}
	}
}
