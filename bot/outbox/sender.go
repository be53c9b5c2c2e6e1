// Package outbox empties the household's outbox into a transport: in order for
// each chat, as fast as the transport's service allows, again after an error,
// and nothing twice but what was accepted right before a power cut.
package outbox

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"time"

	"golang.org/x/time/rate"

	"yardbell/storage"
)

// Transport is where messages go, with what its service allows.
type Transport struct {
	// Send hands one message over. An error of another type than the ones below is
	// passing: the message is tried again after a while.
	Send func(ctx context.Context, to storage.Chat, p storage.Posted) error
	// Serves says which chats are this transport's; nil for all.
	Serves func(chat string) bool
	// Boards says that a chat shows one board to the group; what of the rings it
	// tells besides is for Send to know.
	Boards bool
	// Merge joins two messages to one chat that wait because the limit is near; nil
	// when messages are never joined.
	Merge func(a, b storage.Posted) (storage.Posted, bool)
	// Free says which messages the service does not count.
	Free func(p storage.Posted) bool
	// FirstWait is the wait after a first error, 0 for a second; it doubles.
	FirstWait time.Duration
	// Chat and All bound the rate of messages to one chat and to all together; zero
	// is no bound.
	Chat, All Limit
}

// Terminal is a transport that prints: nothing holds it up, and when it cannot
// print any more, that is the end.
func Terminal(say func(storage.Message) error) Transport {
	return Transport{Send: func(_ context.Context, _ storage.Chat, p storage.Posted) error {
		if err := say(p.Message); err != nil {
			return Broken{err}
		}
		return nil
	}}
}

// Limit is a steady rate of messages and how many may come at once.
type Limit struct {
	Every time.Duration // one message in this time
	Burst int
}

func (l Limit) limiter() *rate.Limiter {
	if l.Every <= 0 {
		return rate.NewLimiter(rate.Inf, 0)
	}
	return rate.NewLimiter(rate.Every(l.Every), max(l.Burst, 1))
}

// Wait is returned by Send when the service asks to come back later.
type Wait struct{ For time.Duration }

func (w Wait) Error() string { return fmt.Sprintf("asked to wait %s", w.For) }

// Refused is returned by Send when the service will never take the message: it
// is set aside and does not block what comes after it.
type Refused struct{ Reason string }

func (r Refused) Error() string { return "refused: " + r.Reason }

// Broken is returned by Send when the transport itself is gone, such as a closed
// pipe: sending ends.
type Broken struct{ Err error }

func (b Broken) Error() string { return b.Err.Error() }
func (b Broken) Unwrap() error { return b.Err }

// longest is the longest wait after errors that follow each other, before jitter.
const longest = 2 * time.Minute

// Sender empties the outbox. Use one a transport; its methods are not for
// several goroutines at once.
type Sender struct {
	store *storage.Store
	to    Transport
	log   *slog.Logger
	rnd   *rand.Rand
	all   *rate.Limiter
	chats map[int64]*chat
}

// chat is what is known of one chat since the process began.
type chat struct {
	pace  *rate.Limiter
	until time.Time // no message before
	tries int       // errors in a row
}

// NewSender makes a sender.
func NewSender(s *storage.Store, to Transport, log *slog.Logger) *Sender {
	if to.FirstWait == 0 {
		to.FirstWait = time.Second
	}
	return &Sender{store: s, to: to, log: log, rnd: rand.New(rand.NewPCG(1, 1)), all: to.All.limiter(), chats: map[int64]*chat{}}
}

// Pass hands over all that may go out now, and returns when there will be more to
// do: zero when nothing waits. Which keeps it to some, so that two programs on
// one file do not give out each other's answers. Its errors are those of the file, and a Broken transport.
func (s *Sender) Pass(ctx context.Context, which storage.Which, now time.Time) (next time.Time, err error) {
	var waiting []pile
	if err := s.store.Do(ctx, func(tx *storage.Tx) (err error) {
		waiting, err = s.piles(tx, which)
		return err
	}); err != nil {
		return time.Time{}, err
	}
	for _, w := range waiting {
		again, err := s.chat(ctx, w, which, now)
		if err != nil {
			return time.Time{}, err
		}
		if !again.IsZero() && (next.IsZero() || again.Before(next)) {
			next = again
		}
	}
	return next, nil
}

// pile is what waits for one chat, the first of it read already.
type pile struct {
	storage.Chat
	some []storage.Posted
}

func (s *Sender) piles(tx *storage.Tx, which storage.Which) ([]pile, error) {
	chats, err := tx.Waiting()
	if err != nil {
		return nil, err
	}
	var out []pile
	for _, c := range chats {
		if s.to.Serves != nil && !s.to.Serves(c.Chat) {
			continue
		}
		some, err := tx.Unsent(c.Household, which, atOnce)
		if err != nil {
			return nil, err
		}
		out = append(out, pile{c, some})
	}
	return out, nil
}

// atOnce is how many messages are read from the outbox together.
const atOnce = 50

// chat sends what waits for one chat, in order, until something holds it up.
func (s *Sender) chat(ctx context.Context, p pile, which storage.Which, now time.Time) (again time.Time, err error) {
	to, some := p.Chat, p.some
	c := s.chats[to.Household]
	if c == nil {
		c = &chat{pace: s.to.Chat.limiter()}
		s.chats[to.Household] = c
	}
	for len(some) > 0 {
		if now.Before(c.until) {
			return c.until, nil
		}
		for len(some) > 0 && ctx.Err() == nil {
			p, all := s.joined(c, some, now)
			if again, err := s.one(ctx, c, to, p, all, now); err != nil || !again.IsZero() {
				return again, err
			}
			some = some[len(all):]
		}
		if err := s.store.Do(ctx, func(tx *storage.Tx) (err error) { // what was written meanwhile
			some, err = tx.Unsent(to.Household, which, atOnce)
			return err
		}); err != nil {
			return time.Time{}, err
		}
	}
	return time.Time{}, nil
}

// near is how many messages may still go out at once when waiting ones are joined.
const near = 2

// joined returns the next message, with those after it that it can be joined with
// when the limit is near, and all that it is made of.
func (s *Sender) joined(c *chat, some []storage.Posted, now time.Time) (storage.Posted, []storage.Posted) {
	p := some[0]
	if s.to.Merge == nil || c.pace.Limit() == rate.Inf || c.pace.TokensAt(now) >= near || s.passedOver(p.Message) {
		return p, some[:1]
	}
	n := 1
	for ; n < len(some); n++ {
		both, ok := s.to.Merge(p, some[n])
		if !ok {
			break
		}
		p = both
	}
	return p, some[:n]
}

// one sends a message and marks it, or says when to come back for it.
func (s *Sender) one(ctx context.Context, c *chat, to storage.Chat, p storage.Posted, all []storage.Posted, now time.Time) (again time.Time, err error) {
	if s.passedOver(p.Message) {
		return time.Time{}, s.mark(ctx, all, "", now)
	}
	for _, pace := range s.paces(c, p) {
		if t := pace.TokensAt(now); t < 1 && pace.Limit() != rate.Inf {
			return now.Add(time.Duration((1 - t) / float64(pace.Limit()) * float64(time.Second))).Add(time.Millisecond), nil
		}
	}
	for _, pace := range s.paces(c, p) {
		pace.AllowN(now, 1)
	}
	err = s.to.Send(ctx, to, p)
	var wait Wait
	var refused Refused
	var broken Broken
	switch {
	case err == nil:
		c.tries = 0
		return time.Time{}, s.mark(ctx, all, "", now)
	case errors.As(err, &broken), ctx.Err() != nil:
		return time.Time{}, err
	case errors.As(err, &refused):
		s.log.Error("a message was refused for good and is set aside", "household", to.Household, "message", p.ID, "reason", refused.Reason)
		return time.Time{}, s.mark(ctx, all, refused.Reason, now)
	case errors.As(err, &wait):
		c.until = now.Add(s.jitter(wait.For))
	default:
		c.until = now.Add(s.jitter(min(s.to.FirstWait<<min(c.tries, 10), longest)))
		c.tries++
		s.log.Warn("a message could not be sent; it is tried again", "household", to.Household, "message", p.ID, "tries", c.tries, "err", err)
	}
	return c.until, nil
}

// paces are the limits that a message counts against.
func (s *Sender) paces(c *chat, p storage.Posted) []*rate.Limiter {
	if s.to.Free != nil && s.to.Free(p) {
		return []*rate.Limiter{s.all}
	}
	return []*rate.Limiter{c.pace, s.all}
}

// passedOver reports a message that this transport shows in another form.
func (s *Sender) passedOver(m storage.Message) bool {
	return m.Kind == storage.KindBoard && !s.to.Boards
}

// mark notes what was taken, also when the program is asked to stop meanwhile.
func (s *Sender) mark(ctx context.Context, all []storage.Posted, failed string, now time.Time) error {
	return s.store.Do(context.WithoutCancel(ctx), func(tx *storage.Tx) error {
		for _, p := range all {
			if err := tx.MarkSent(p, failed, now); err != nil {
				return err
			}
		}
		return nil
	})
}

// jitter lengthens a wait by up to a fifth, so that not all come back at once.
func (s *Sender) jitter(d time.Duration) time.Duration {
	return d + time.Duration(s.rnd.Int64N(int64(d)/5+1))
}
