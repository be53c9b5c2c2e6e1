package main

import (
	"context"
	"log/slog"
	"sync"
	"time"

	"github.com/robfig/cron/v3"

	"yardbell/storage"
)

// idle is the longest sleep: a clock that was set, or a machine that slept, is
// noticed within it.
const idle = time.Minute

// clock fires the engine when something is due. It is one cron entry whose
// schedule is the household's own next due time.
type clock struct {
	ctx  context.Context //nolint:containedctx // the life of the chat
	s    *session
	log  *slog.Logger
	fire func(now time.Time) error

	keeping sync.Mutex     // held while a backup is made
	kept    sync.WaitGroup // the backup in hand

	mu    sync.Mutex
	cron  *cron.Cron
	entry cron.EntryID
	due   time.Time // on the session's clock
}

// startClock begins to ring; stop it before the session is closed.
func startClock(ctx context.Context, s *session, fire func(now time.Time) error) *clock {
	c := &clock{ctx: ctx, s: s, log: s.app.log, fire: fire, cron: cron.New(cron.WithChain(cron.Recover(cronLog{s.app.log})))}
	c.entry = c.cron.Schedule(c, cron.FuncJob(c.tick))
	c.cron.Start()
	c.wake()
	return c
}

// Next satisfies cron.Schedule: the due time when it is near, else a minute on.
func (c *clock) Next(t time.Time) time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	next := t.Add(idle)
	if c.due.IsZero() {
		return next
	}
	wait := max(c.due.Sub(c.s.now()), time.Millisecond)
	if at := t.Add(wait); at.Before(next) {
		return at
	}
	return next
}

// tick rings what is due and learns what comes next. When nothing is due it
// costs one query.
func (c *clock) tick() {
	now := c.s.now()
	next, rang, err := c.s.tick(c.ctx, now)
	if err != nil {
		c.log.Error("the bells could not ring", "err", err)
	}
	if rang {
		if err := c.fire(now); err != nil {
			c.log.Error("the rings could not be shown", "err", err)
		}
	}
	c.mu.Lock()
	c.due = next
	c.mu.Unlock()
	c.backUp(now)
}

// backUp makes the backups that are due beside the clock: bells ring and lines are
// answered while a large file is copied.
func (c *clock) backUp(now time.Time) {
	if !c.keeping.TryLock() {
		return
	}
	c.kept.Go(func() {
		defer c.keeping.Unlock()
		told, err := c.s.backups(c.ctx, now)
		if err != nil && c.ctx.Err() == nil {
			c.log.Error("the backup could not be made", "err", err)
		}
		if !told {
			return
		}
		if err := c.fire(now); err != nil {
			c.log.Error("what came of the backup could not be shown", "err", err)
		}
	})
}

// wake is called after a line: a new bell may be due earlier than the sleep ends.
func (c *clock) wake() {
	before := c.dueAt()
	c.learn()
	if now := c.dueAt(); now.Equal(before) || now.IsZero() {
		return
	}
	c.mu.Lock()
	old := c.entry
	c.mu.Unlock()
	c.cron.Remove(old)
	entry := c.cron.Schedule(c, cron.FuncJob(c.tick))
	c.mu.Lock()
	c.entry = entry
	c.mu.Unlock()
}

func (c *clock) dueAt() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.due
}

func (c *clock) learn() {
	var due time.Time
	err := c.s.store.Do(c.ctx, func(tx *storage.Tx) (err error) {
		due, err = c.s.next(tx, c.s.now())
		return err
	})
	if err != nil {
		c.log.Error("the next bell could not be read", "err", err)
		return
	}
	c.mu.Lock()
	c.due = due
	c.mu.Unlock()
}

// stop waits for a ring and a backup in hand.
func (c *clock) stop() {
	<-c.cron.Stop().Done()
	c.kept.Wait()
}

// cronLog hands cron's own reports to the log.
type cronLog struct{ log *slog.Logger }

func (l cronLog) Info(msg string, kv ...any) { l.log.Debug(msg, kv...) }
func (l cronLog) Error(err error, msg string, kv ...any) {
	l.log.Error(msg, append(kv, "err", err)...)
}
