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
	"slices"
	"sync"
	"time"

	"golang.org/x/time/rate"

	"yardbell/storage"
)

// Transport is where messages go, with what its service allows.
type Transport struct {
	// Send hands over the next step of a message, such as one part of a long one, and
	// says whether another follows. An error of another type than the ones below is
	// passing: the step is tried again after a while.
	Send func(ctx context.Context, to storage.Chat, p storage.Posted) (more bool, err error)
	// Serves says which households' chats are this transport's; nil for all.
	Serves func(chat string) bool
	// Skip says which messages the chat shows in another form; nil for none.
	Skip func(to storage.Chat, p storage.Posted) bool
	// Apart says that people have chats of their own, which wait for themselves, and
	// that in each what rings goes before what only answers. A terminal says
	// everything in its order.
	Apart bool
	// Merge joins two messages to one chat that wait because the limit is near; nil
	// when messages are never joined.
	Merge func(a, b storage.Posted) (storage.Posted, bool)
	// Free says whether the service does not count the next step of a message.
	Free func(to storage.Chat, p storage.Posted) bool
	// FirstWait is the wait after a first error, 0 for a second; it doubles.
	FirstWait time.Duration
	// Pace bounds the rate of messages to a chat, nil for no bound; All that to all
	// chats together.
	Pace func(to storage.Chat) Limit
	All  Limit
}

// Terminal is a transport that prints: nothing holds it up, and when it cannot
// print any more, that is the end.
func Terminal(say func(storage.Message) error) Transport {
	return Transport{
		Skip: func(_ storage.Chat, p storage.Posted) bool { return p.Message.Kind == storage.KindBoard },
		Send: func(_ context.Context, _ storage.Chat, p storage.Posted) (bool, error) {
			if err := say(p.Message); err != nil {
				return false, Broken{err}
			}
			return false, nil
		},
	}
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

// Silence is returned by Send when no answer came. It says nothing against the
// message, however long it lasts.
type Silence struct{ Err error }

func (n Silence) Error() string { return n.Err.Error() }
func (n Silence) Unwrap() error { return n.Err }

// Broken is returned by Send when the transport itself is gone, such as a closed
// pipe: sending ends.
type Broken struct{ Err error }

func (b Broken) Error() string { return b.Err.Error() }
func (b Broken) Unwrap() error { return b.Err }

const (
	// longest is the longest wait after errors that follow each other, before jitter.
	longest = 2 * time.Minute
	// patience is how often a chat's first message is tried before the one after it is
	// tried in turn, to see whose fault it is.
	patience = 4
	// What fails right after another was taken is at fault itself: as often as behind,
	// it lets all others go first; as often as aside, it is let go of.
	behind, aside = 2, 5
	// hopeless is how long a chat in which nothing is taken, though the service
	// answers, is tried with one message.
	hopeless = 24 * time.Hour
	// few is how many messages of a chat are looked at together; many, when they may be
	// joined or when some fail.
	few, many = 5, 50
	// spared is how many places of a chat's limit answers leave to what rings; near, how
	// many there are still when waiting answers are joined.
	spared, near = 2, 4
)

// Sender empties the outbox. Use one a transport.
type Sender struct {
	store *storage.Store
	to    Transport
	log   *slog.Logger
	all   *rate.Limiter

	mu    sync.Mutex
	chats map[lane]*chat
}

// lane names a chat for as long as the process runs: a group that becomes another
// keeps its place.
type lane struct {
	household int64
	alone     string
}

// chat is what is known of one chat since the process began. It is one worker's at
// a time, but for its pace.
type chat struct {
	pace  *rate.Limiter
	until time.Time     // no message before
	tries int           // errors in a row
	works bool          // the last message was taken
	since time.Time     // of the first error in a row, zero for none
	fault map[int64]int // messages that failed right after another was taken, and how often
}

// took notes that a message was taken.
func (c *chat) took(p storage.Posted) {
	c.tries, c.works, c.since = 0, true, time.Time{}
	delete(c.fault, p.ID)
}

// next returns the place of the message that is tried next.
func (c *chat) next(some []storage.Posted) int {
	sound := func(p storage.Posted) bool { return c.fault[p.ID] < behind }
	first := slices.IndexFunc(some, sound)
	if first < 0 {
		return 0
	}
	if c.tries < patience || (c.tries-patience)%2 != 0 {
		return first
	}
	return first + 1 + slices.IndexFunc(some[first+1:], sound) // the first itself when there is no other
}

// NewSender makes a sender.
func NewSender(s *storage.Store, to Transport, log *slog.Logger) *Sender {
	if to.FirstWait == 0 {
		to.FirstWait = time.Second
	}
	if to.Pace == nil {
		to.Pace = func(storage.Chat) Limit { return Limit{} }
	}
	return &Sender{store: s, to: to, log: log, all: to.All.limiter(), chats: map[lane]*chat{}}
}

func (s *Sender) chat(to storage.Chat) *chat {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.chats[lane{to.Household, to.Alone}]
	if c == nil {
		c = &chat{pace: s.to.Pace(to).limiter(), fault: map[int64]int{}}
		s.chats[lane{to.Household, to.Alone}] = c
	}
	return c
}

// Spare takes a place in a chat's limit for something that can as well be left out,
// and reports whether there was one to spare: half of the places are kept for what
// waits.
func (s *Sender) Spare(to storage.Chat, now time.Time) bool {
	pace := s.chat(to).pace
	return pace.Limit() == rate.Inf || pace.TokensAt(now) > float64(pace.Burst())/2 && pace.AllowN(now, 1)
}

// Pass hands over all that may go out now, one chat after another, and returns when
// there will be more to do: zero when nothing waits. Which keeps it to some, so that
// two programs on one file do not give out each other's answers. Its errors are
// those of the file, and a Broken transport.
func (s *Sender) Pass(ctx context.Context, which storage.Which, now time.Time) (next time.Time, err error) {
	waiting, err := s.waiting(ctx)
	if err != nil {
		return time.Time{}, err
	}
	clock := func() time.Time { return now }
	for _, to := range waiting {
		again, err := s.empty(ctx, to, which, clock)
		if err != nil {
			return time.Time{}, err
		}
		next = sooner(next, again)
	}
	return next, nil
}

// sooner returns the earlier of two times, of which zero is none.
func sooner(a, b time.Time) time.Time {
	if a.IsZero() || !b.IsZero() && b.Before(a) {
		return b
	}
	return a
}

func (s *Sender) waiting(ctx context.Context) (out []storage.Chat, err error) {
	err = s.store.Do(ctx, func(tx *storage.Tx) error {
		all, err := tx.Waiting()
		for _, to := range all {
			if s.to.Serves == nil || s.to.Serves(to.Chat) {
				out = append(out, to)
			}
		}
		return err
	})
	return out, err
}

// empty sends what waits for one chat, in order, until something holds it up.
func (s *Sender) empty(ctx context.Context, to storage.Chat, which storage.Which, now func() time.Time) (again time.Time, err error) {
	c := s.chat(to)
	if now().Before(c.until) {
		return c.until, nil
	}
	some, err := s.change(ctx, to, which, nothing, s.depth(c, now()))
	for len(some) > 0 && err == nil && ctx.Err() == nil {
		p, all := s.joined(c, to, some, now())
		if again := s.held(c, to, p, now()); !again.IsZero() {
			return again, nil
		}
		var mark func(*storage.Tx) error
		if mark, err = s.one(ctx, c, to, p, all, now); err != nil {
			return time.Time{}, err
		}
		if some, err = s.change(context.WithoutCancel(ctx), to, which, mark, s.depth(c, now())); now().Before(c.until) {
			return c.until, err
		}
	}
	return time.Time{}, err
}

func nothing(*storage.Tx) error { return nil }

// change marks what has become of a message, and reads what goes next: something
// that matters more may have been posted meanwhile.
func (s *Sender) change(ctx context.Context, to storage.Chat, which storage.Which, mark func(*storage.Tx) error, depth int) (some []storage.Posted, err error) {
	err = s.store.Do(ctx, func(tx *storage.Tx) (err error) {
		if err := mark(tx); err != nil {
			return err
		}
		if s.to.Apart {
			some, err = tx.UnsentTo(to, depth)
		} else {
			some, err = tx.Unsent(to.Household, which, depth)
		}
		return err
	})
	return some, err
}

// joined returns the next message, with those after it that it can be joined with
// when the limit is near, and all that it is made of.
func (s *Sender) joined(c *chat, to storage.Chat, some []storage.Posted, now time.Time) (storage.Posted, []storage.Posted) {
	some = some[c.next(some):]
	p := some[0]
	if !s.crowded(c, now) || s.skips(to, p) || c.tries > 0 || c.fault[p.ID] > 0 {
		return p, some[:1] // one that failed is told by itself, so that others do not fail with it
	}
	n := 1
	for ; n < len(some) && c.fault[some[n].ID] == 0; n++ {
		both, ok := s.to.Merge(p, some[n])
		if !ok {
			break
		}
		p = both
	}
	return p, some[:n]
}

// crowded reports that a chat's messages are joined because the limit is near.
func (s *Sender) crowded(c *chat, now time.Time) bool {
	return s.to.Merge != nil && c.pace.Limit() != rate.Inf && c.pace.TokensAt(now) < near
}

// depth is how many of a chat's messages are looked at.
func (s *Sender) depth(c *chat, now time.Time) int {
	if s.crowded(c, now) || len(c.fault) > 0 {
		return many
	}
	return few
}

// kept is how many places of a chat's limit a message leaves to what goes before it:
// a bell that falls due is not to wait for a place.
func (c *chat) kept(r storage.Rank) float64 {
	kept := 0
	switch r {
	case storage.RankReply:
		kept = spared
	case storage.RankGuest:
		kept = c.pace.Burst() / 2
	}
	return float64(min(kept, c.pace.Burst()-1))
}

// held takes a message's place in each limit that it counts against, or returns
// when there will be one.
func (s *Sender) held(c *chat, to storage.Chat, p storage.Posted, now time.Time) (again time.Time) {
	if s.skips(to, p) {
		return time.Time{}
	}
	counts := c.pace.Limit() != rate.Inf && (s.to.Free == nil || !s.to.Free(to, p))
	if missing := 1 + c.kept(p.Rank) - c.pace.TokensAt(now); counts && missing > 0 {
		return now.Add(time.Duration(missing/float64(c.pace.Limit())*float64(time.Second)) + time.Millisecond)
	}
	all := s.all.ReserveN(now, 1)
	if wait := all.DelayFrom(now); wait > 0 {
		all.CancelAt(now)
		return now.Add(wait + time.Millisecond)
	}
	if counts {
		c.pace.ReserveN(now, 1)
	}
	return time.Time{}
}

// one sends the next step of a message, and returns how to note what became of it.
// What holds up its chat stands in the chat then.
func (s *Sender) one(ctx context.Context, c *chat, to storage.Chat, p storage.Posted, all []storage.Posted, now func() time.Time) (mark func(*storage.Tx) error, err error) {
	if s.skips(to, p) {
		return sent(all, "", now()), nil
	}
	more, err := s.to.Send(ctx, to, p)
	var wait Wait
	var refused Refused
	var broken Broken
	switch {
	case err == nil && more:
		c.took(p)
		return func(tx *storage.Tx) error { return tx.MarkStep(p) }, nil
	case err == nil:
		c.took(p)
		return sent(all, "", now()), nil
	case errors.As(err, &broken), ctx.Err() != nil:
		return nil, err
	case errors.As(err, &refused) && len(all) > 1: // one of them is at fault: told one by one it shows which
		c.fault[p.ID]++
		return nothing, nil
	case errors.As(err, &refused):
		delete(c.fault, p.ID)
		s.log.Error("a message was refused for good and is set aside", "household", to.Household, "message", p.ID, "reason", refused.Reason)
		return sent(all, refused.Reason, now()), nil
	case errors.As(err, &wait):
		c.until = now().Add(jitter(wait.For))
		return nothing, nil
	}
	return s.failed(c, to, all, err, now()), nil
}

// failed deals with a passing error: the chat waits, longer each time, and a message
// that fails where others are taken is let go of in the end.
func (s *Sender) failed(c *chat, to storage.Chat, all []storage.Posted, err error, now time.Time) (mark func(*storage.Tx) error) {
	p := all[0]
	if c.works {
		c.fault[p.ID]++
	}
	c.works = false
	if c.since.IsZero() {
		c.since = now
	}
	var silence Silence
	if c.fault[p.ID] >= aside || !errors.As(err, &silence) && now.Sub(c.since) > hopeless {
		s.log.Error("a message fails again and again and is set aside", "household", to.Household, "message", p.ID, "err", err)
		delete(c.fault, p.ID)
		c.since = time.Time{}
		return sent(all, "failed again and again", now)
	}
	if c.tries == 0 {
		s.log.Warn("a message could not be sent; it is tried again", "household", to.Household, "message", p.ID, "err", err)
	}
	c.until = now.Add(jitter(min(s.to.FirstWait<<min(c.tries, 10), longest)))
	c.tries++
	return nothing
}

// sent notes that messages were taken, or set aside for a reason.
func sent(all []storage.Posted, failed string, now time.Time) func(*storage.Tx) error {
	return func(tx *storage.Tx) error {
		for _, p := range all {
			if err := tx.MarkSent(p, failed, now); err != nil {
				return err
			}
		}
		return nil
	}
}

func (s *Sender) skips(to storage.Chat, p storage.Posted) bool {
	return s.to.Skip != nil && s.to.Skip(to, p)
}

// jitter lengthens a wait by up to a fifth, so that not all come back at once.
func jitter(d time.Duration) time.Duration {
	return d + rand.N(d/5+1)
}
