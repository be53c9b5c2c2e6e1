package outbox

import (
	"context"
	"time"

	"yardbell/storage"
)

const (
	// workers is how many chats are sent to at a time: one in which messages hang does
	// not hold up the others.
	workers = 16
	// idle is how long the outbox is left alone when nothing is known to wait: another
	// program may have put something in.
	idle = time.Minute
)

// Run empties the outbox until the context ends, whenever it is kicked and when a
// wait is over: several chats at a time, each in its order. What is in hand then is
// finished first.
func (s *Sender) Run(ctx context.Context, kick <-chan struct{}, now func() time.Time) {
	r := &run{Sender: s, now: now, busy: map[lane]bool{}, rest: map[lane]time.Time{}, done: make(chan left)}
	timer := time.NewTimer(0)
	defer timer.Stop()
	for {
		select {
		case <-ctx.Done():
			for range r.busy {
				<-r.done
			}
			return
		case <-kick:
			clear(r.rest) // something may have come that need not wait
		case <-timer.C:
		case l := <-r.done:
			r.leave(ctx, l)
		}
		timer.Reset(r.look(ctx))
	}
}

// run is what Run knows of its workers.
type run struct {
	*Sender
	now  func() time.Time
	busy map[lane]bool
	rest map[lane]time.Time // chats in which there is nothing to do before
	done chan left
}

// left is how a worker left its chat.
type left struct {
	lane
	again time.Time
	err   error
}

func (r *run) leave(ctx context.Context, l left) {
	delete(r.busy, l.lane)
	r.rest[l.lane] = l.again
	if l.err != nil && ctx.Err() == nil {
		r.log.Error("the outbox could not be emptied", "household", l.household, "err", l.err)
		r.rest[l.lane] = r.now().Add(idle)
	}
}

// look sets a worker to each chat that has none and in which something may go out
// now, and returns how long there is nothing more to do.
func (r *run) look(ctx context.Context) time.Duration {
	waiting, err := r.waiting(ctx)
	if err != nil {
		if ctx.Err() == nil {
			r.log.Error("the outbox could not be read", "err", err)
		}
		return idle
	}
	var next time.Time
	now := r.now()
	for _, to := range waiting {
		at := lane{to.Household, to.Alone}
		switch {
		case r.busy[at] || len(r.busy) == workers: // looked at again when a worker is done
		case now.Before(r.rest[at]):
			next = sooner(next, r.rest[at])
		default:
			r.busy[at] = true
			go r.work(ctx, at, to)
		}
	}
	if next.IsZero() {
		return idle
	}
	return min(next.Sub(now), idle)
}

func (r *run) work(ctx context.Context, at lane, to storage.Chat) {
	again, err := r.empty(ctx, to, storage.Which{}, r.now)
	r.done <- left{at, again, err}
}
