package outbox_test

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/bot/outbox"
	"yardbell/storage"
)

var begun = time.Date(2027, 3, 1, 6, 0, 0, 0, time.UTC)

// post founds households and puts messages into their outboxes, in turn.
func post(t *testing.T, s *storage.Store, houses, each int) {
	t.Helper()
	require.NoError(t, s.Do(t.Context(), func(tx *storage.Tx) error {
		for h := range houses {
			_, err := tx.Found(fmt.Sprintf("chat %d", h+1), "UTC", "Maren", begun)
			require.NoError(t, err)
		}
		for m := range each {
			for h := range houses {
				require.NoError(t, tx.Post(int64(h+1), 0, storage.Message{At: begun, Kind: storage.KindReply, Head: fmt.Sprint(m)}))
			}
		}
		return nil
	}))
}

// at bounds every chat alike.
func at(l outbox.Limit) func(storage.Chat) outbox.Limit {
	return func(storage.Chat) outbox.Limit { return l }
}

// service is a chat service that fails in every way it can, by a seed.
type service struct {
	rnd   *rand.Rand
	now   time.Time
	got   map[string][]string
	times map[string][]time.Time
	waits map[string]time.Time // not before, as it told
	errs  map[string]int       // errors in a row: a message that fails longer is overtaken by design
}

// inARow is how many passing errors a message gets at the most here, one fewer than
// after which the one behind it is tried.
const inARow = 3

func (s *service) send(_ context.Context, to storage.Chat, p storage.Posted) (more bool, err error) {
	chat, m := to.Chat, p.Message
	if s.now.Before(s.waits[chat]) {
		panic(chat + " was told to wait and did not")
	}
	switch n := s.rnd.IntN(10); {
	case n == 0 && s.errs[chat] < inARow:
		s.errs[chat]++
		return false, errors.New("the connection was reset")
	case n == 1:
		wait := time.Duration(1+s.rnd.IntN(30)) * time.Second
		s.waits[chat] = s.now.Add(wait)
		return false, outbox.Wait{For: wait}
	}
	if m.Head == "13" {
		return false, fmt.Errorf("send: %w", outbox.Refused{Reason: "markup"})
	}
	s.errs[chat] = 0
	s.got[chat], s.times[chat] = append(s.got[chat], m.Head), append(s.times[chat], s.now)
	return false, nil
}

// TestSenderKeepsOrderAndLosesNothing: with errors, waits and refusals by a seed,
// each chat gets every message once, in order, and no faster than its limit;
// what is refused is set aside and holds nothing up.
func TestSenderKeepsOrderAndLosesNothing(t *testing.T) {
	seeds := uint64(20)
	if testing.Short() {
		seeds = 3
	}
	for seed := range seeds {
		s, err := storage.Open(t.Context(), filepath.Join(t.TempDir(), "house.db"))
		require.NoError(t, err)
		const houses, each = 3, 40
		post(t, s, houses, each)
		svc := &service{rnd: rand.New(rand.NewPCG(seed, 7)), now: begun, got: map[string][]string{}, times: map[string][]time.Time{}, waits: map[string]time.Time{}, errs: map[string]int{}}
		limit := outbox.Limit{Every: 3 * time.Second, Burst: 4}
		to := outbox.Transport{Send: svc.send, Pace: at(limit), All: outbox.Limit{Every: time.Second / 2, Burst: 5}}
		sender := outbox.NewSender(s, to, slog.New(slog.DiscardHandler))
		passes := 0
		for ; ; passes++ {
			require.Less(t, passes, 5000, "sending never ends")
			next, err := sender.Pass(t.Context(), storage.Which{}, svc.now)
			require.NoError(t, err)
			if next.IsZero() {
				break
			}
			require.True(t, next.After(svc.now), "no busy loop")
			svc.now = next
			if passes%17 == 16 { // the process is restarted
				sender = outbox.NewSender(s, to, slog.New(slog.DiscardHandler))
				for chat, until := range svc.waits { // a new process does not know what it was told
					if until.After(svc.now) {
						delete(svc.waits, chat)
					}
				}
			}
		}
		for h := range houses {
			chat := fmt.Sprintf("chat %d", h+1)
			var want []string
			for m := range each {
				if m != 13 {
					want = append(want, fmt.Sprint(m))
				}
			}
			require.Equal(t, want, svc.got[chat], "seed %d, %s", seed, chat)
		}
		require.NoError(t, s.Do(t.Context(), func(tx *storage.Tx) error {
			waiting, err := tx.Waiting()
			require.Empty(t, waiting)
			return err
		}))
		require.NoError(t, s.Close())
	}
}

// TestSenderKeepsToTheLimit counts messages in every window of a minute.
func TestSenderKeepsToTheLimit(t *testing.T) {
	s, err := storage.Open(t.Context(), storage.Memory)
	require.NoError(t, err)
	defer s.Close()
	post(t, s, 2, 100)
	now := begun
	sent := map[string][]time.Time{}
	sender := outbox.NewSender(s, outbox.Transport{Pace: at(outbox.Limit{Every: 3 * time.Second, Burst: 5}), Send: func(_ context.Context, to storage.Chat, _ storage.Posted) (bool, error) {
		chat := to.Chat
		sent[chat] = append(sent[chat], now)
		return false, nil
	}}, slog.New(slog.DiscardHandler))
	for {
		next, err := sender.Pass(t.Context(), storage.Which{}, now)
		require.NoError(t, err)
		if next.IsZero() {
			break
		}
		now = next
	}
	for chat, times := range sent {
		require.Len(t, times, 100)
		for i := range times {
			for j := i; j < len(times) && times[j].Sub(times[i]) < time.Minute; j++ {
				require.LessOrEqual(t, j-i+1, 5+20, "%s at %s", chat, times[i])
			}
		}
		require.Less(t, times[99].Sub(begun), 6*time.Minute, "and no slower than it has to be")
	}
}

// TestSenderDoesNotHoldOthersUp: one chat that always fails does not delay another.
func TestSenderDoesNotHoldOthersUp(t *testing.T) {
	s, err := storage.Open(t.Context(), storage.Memory)
	require.NoError(t, err)
	defer s.Close()
	post(t, s, 2, 3)
	got := 0
	sender := outbox.NewSender(s, outbox.Transport{Send: func(_ context.Context, to storage.Chat, _ storage.Posted) (bool, error) {
		chat := to.Chat
		if chat == "chat 1" {
			return false, errors.New("gone")
		}
		got++
		return false, nil
	}}, slog.New(slog.DiscardHandler))
	last := time.Duration(0)
	now := begun
	for range 30 {
		next, err := sender.Pass(t.Context(), storage.Which{}, now)
		require.NoError(t, err)
		require.Equal(t, 3, got)
		wait := next.Sub(now)
		require.LessOrEqual(t, wait, 3*time.Minute, "it never gives up for long")
		last, now = wait, next
	}
	require.Greater(t, last, time.Minute, "the waits grow")
}

// TestSenderSaysTwiceOnlyAtTheWorstInstant: a process that dies between the
// service's taking a message and our mark says that one again, and no other.
func TestSenderSaysTwiceOnlyAtTheWorstInstant(t *testing.T) {
	path := filepath.Join(t.TempDir(), "house.db")
	s, err := storage.Open(t.Context(), path)
	require.NoError(t, err)
	post(t, s, 1, 10)
	var got []string
	sender := outbox.NewSender(s, outbox.Transport{Send: func(_ context.Context, _ storage.Chat, p storage.Posted) (bool, error) {
		m := p.Message
		got = append(got, m.Head)
		if m.Head == "4" && len(got) == 5 {
			require.NoError(t, s.Close()) // the power goes
		}
		return false, nil
	}}, slog.New(slog.DiscardHandler))
	_, err = sender.Pass(t.Context(), storage.Which{}, begun)
	require.Error(t, err)
	s, err = storage.Open(t.Context(), path)
	require.NoError(t, err)
	defer s.Close()
	_, err = outbox.NewSender(s, outbox.Terminal(func(m storage.Message) error { got = append(got, m.Head); return nil }), slog.New(slog.DiscardHandler)).Pass(t.Context(), storage.Which{}, begun)
	require.NoError(t, err)
	require.Equal(t, []string{"0", "1", "2", "3", "4", "4", "5", "6", "7", "8", "9"}, got)
}

// TestReplacedOnItsWay: a board that is drawn anew while it is being sent is sent
// again as it is now.
func TestReplacedOnItsWay(t *testing.T) {
	s, err := storage.Open(t.Context(), storage.Memory)
	require.NoError(t, err)
	defer s.Close()
	draw := func(text string) {
		require.NoError(t, s.Do(t.Context(), func(tx *storage.Tx) error {
			return tx.Post(1, 0, storage.Message{At: begun, Kind: storage.KindBoard, Head: text, Key: "k"})
		}))
	}
	post(t, s, 1, 0)
	draw("waits")
	var got []string
	to := outbox.Terminal(func(m storage.Message) error {
		if got = append(got, m.Head); len(got) == 1 {
			draw("done")
		}
		return nil
	})
	to.Skip = nil
	_, err = outbox.NewSender(s, to, slog.New(slog.DiscardHandler)).Pass(t.Context(), storage.Which{}, begun)
	require.NoError(t, err)
	require.Equal(t, []string{"waits", "done"}, got)
}

// TestBoardsAndRings: boards go only to a chat that shows them.
func TestBoardsAndRings(t *testing.T) {
	for _, boards := range []bool{false, true} {
		s, err := storage.Open(t.Context(), storage.Memory)
		require.NoError(t, err)
		require.NoError(t, s.Do(t.Context(), func(tx *storage.Tx) error {
			_, err := tx.Found("chat", "UTC", "Maren", begun)
			require.NoError(t, err)
			for _, m := range []storage.Message{{Kind: storage.KindRing, Head: "ring"}, {Kind: storage.KindBoard, Head: "old", Key: "k"}, {Kind: storage.KindBoard, Head: "board", Key: "k"}} {
				require.NoError(t, tx.Post(1, 0, m))
			}
			return nil
		}))
		var got []string
		to := outbox.Terminal(func(m storage.Message) error { got = append(got, m.Head); return nil })
		if boards {
			to.Skip = nil
		}
		_, err = outbox.NewSender(s, to, slog.New(slog.DiscardHandler)).Pass(t.Context(), storage.Which{}, begun)
		require.NoError(t, err)
		if boards {
			require.Equal(t, []string{"ring", "board"}, got, "a later board replaces an unsent earlier one")
		} else {
			require.Equal(t, []string{"ring"}, got)
		}
		require.NoError(t, s.Close())
	}
}

// sim sends the outbox of one household on a simulated clock.
type sim struct {
	t     *testing.T
	store *storage.Store
	out   *outbox.Sender
	now   time.Time
	mu    sync.Mutex
	got   []string // what was taken, in order
	log   strings.Builder
}

func newSim(t *testing.T, to outbox.Transport, send func(s *sim, to storage.Chat, p storage.Posted) error) *sim {
	t.Helper()
	store, err := storage.Open(t.Context(), storage.Memory)
	require.NoError(t, err)
	t.Cleanup(func() { store.Close() })
	s := &sim{t: t, store: store, now: begun}
	to.Send = func(_ context.Context, chat storage.Chat, p storage.Posted) (bool, error) {
		if err := send(s, chat, p); err != nil {
			return false, err
		}
		s.mu.Lock()
		defer s.mu.Unlock()
		s.got = append(s.got, p.Message.Head)
		return false, nil
	}
	to.Apart = true
	s.out = outbox.NewSender(store, to, slog.New(slog.NewTextHandler(&s.log, nil)))
	post(t, store, 1, 0)
	return s
}

// post puts a message into the outbox of the first household.
func (s *sim) post(kind, text string) {
	s.t.Helper()
	require.NoError(s.t, s.store.Do(s.t.Context(), func(tx *storage.Tx) error {
		return tx.Post(1, 0, storage.Message{At: s.now, Kind: kind, Head: text, Key: strings.TrimPrefix(kind, storage.KindReply)})
	}))
}

// until plays the clock forward to a time, or until nothing waits any more.
func (s *sim) until(end time.Time) {
	s.t.Helper()
	for {
		next, err := s.out.Pass(s.t.Context(), storage.Which{}, s.now)
		require.NoError(s.t, err)
		if next.IsZero() || next.After(end) {
			s.now = end
			return
		}
		s.now = next
	}
}

// TestOneMessageThatAlwaysFails: those after it are told, it is set aside after some
// more, and the log has that once and not its text.
func TestOneMessageThatAlwaysFails(t *testing.T) {
	tries := 0
	s := newSim(t, outbox.Transport{}, func(_ *sim, _ storage.Chat, p storage.Posted) error {
		if p.Message.Head == "poison" {
			tries++
			return errors.New("error 500")
		}
		return nil
	})
	s.post(storage.KindReply, "first")
	s.post(storage.KindReply, "poison")
	s.post(storage.KindReply, "next")
	s.until(begun.Add(time.Minute))
	require.Equal(t, []string{"first", "next"}, s.got)
	for i := range 10 {
		s.post(storage.KindReply, fmt.Sprint(i))
		s.until(s.now.Add(10 * time.Minute))
	}
	require.Len(t, s.got, 12)
	require.Less(t, tries, 40)
	require.Equal(t, 1, strings.Count(s.log.String(), "is set aside"))
	require.NotContains(t, s.log.String(), "poison")
}

// TestRefusedTogether: of answers that were joined only the one at fault is set aside.
func TestRefusedTogether(t *testing.T) {
	join := func(a, b storage.Posted) (storage.Posted, bool) {
		a.Message.Head += "+" + b.Message.Head
		return a, true
	}
	s := newSim(t, outbox.Transport{Pace: at(outbox.Limit{Every: time.Second, Burst: 1}), Merge: join}, func(_ *sim, _ storage.Chat, p storage.Posted) error {
		if strings.Contains(p.Message.Head, "c") {
			return outbox.Refused{Reason: "too long"}
		}
		return nil
	})
	for _, text := range []string{"a", "b", "c", "d", "e"} {
		s.post(storage.KindReply, text)
	}
	s.until(begun.Add(time.Minute))
	require.Equal(t, "a b d+e", strings.Join(s.got, " "))
}

// TestLongSilence: days without an answer lose nothing and turn nothing round; a chat
// that the service fails for days lets go of a message a day, so that it ends.
func TestLongSilence(t *testing.T) {
	for _, silent := range []bool{true, false} {
		up := false
		s := newSim(t, outbox.Transport{}, func(*sim, storage.Chat, storage.Posted) error {
			switch err := errors.New("no"); {
			case up:
				return nil
			case silent:
				return fmt.Errorf("send: %w", outbox.Silence{Err: err})
			default:
				return err
			}
		})
		for i := range 9 {
			s.post(storage.KindReply, fmt.Sprint(i))
		}
		s.until(begun.Add(80 * time.Hour))
		up = true
		s.until(s.now.Add(time.Hour))
		if silent {
			require.ElementsMatch(t, strings.Split("012345678", ""), s.got)
			require.Equal(t, strings.Split("2345678", ""), slices.DeleteFunc(s.got, func(m string) bool { return m < "2" }), "only the two that were tried may change places")
		} else {
			require.Len(t, s.got, 6)
		}
	}
}

// TestToldWaitIsCountedFromTheAnswer: also when the send before it was slow.
func TestToldWaitIsCountedFromTheAnswer(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		told := time.Time{}
		s := newSim(t, outbox.Transport{}, func(_ *sim, _ storage.Chat, p storage.Posted) error {
			require.False(t, time.Now().Before(told), "a call inside the told wait")
			if p.Message.Head == "slow" {
				time.Sleep(20 * time.Second)
			}
			if p.Message.Head == "told" && told.IsZero() {
				told = time.Now().Add(10 * time.Second)
				return outbox.Wait{For: 10 * time.Second}
			}
			return nil
		})
		s.post(storage.KindReply, "slow")
		s.post(storage.KindReply, "told")
		ctx, stop := context.WithTimeout(t.Context(), time.Minute)
		defer stop()
		s.out.Run(ctx, nil, time.Now)
		require.Equal(t, []string{"slow", "told"}, s.got)
	})
}

// typed takes a line in and posts an answer to it.
func (s *sim) typed(name, chat, text string) {
	s.t.Helper()
	require.NoError(s.t, s.store.Do(s.t.Context(), func(tx *storage.Tx) error {
		line, _, err := tx.Claim(1, storage.Line{Transport: "t", Ext: chat + text, Chat: chat, Name: name, At: s.now})
		require.NoError(s.t, err)
		return tx.Post(1, line, storage.Message{At: s.now, Kind: storage.KindReply, To: name, Head: text})
	}))
}

// TestWhatRingsGoesFirst: a guest's questions hold up neither a bell nor an answer to
// the household, and only some answers wait for a guest.
func TestWhatRingsGoesFirst(t *testing.T) {
	s := newSim(t, outbox.Transport{Pace: at(outbox.Limit{Every: 6 * time.Second, Burst: 10})}, func(*sim, storage.Chat, storage.Posted) error { return nil })
	for i := range 60 {
		s.typed("Anna", "", fmt.Sprint("guest ", i))
	}
	s.until(begun)
	require.Len(t, s.got, 5)
	for i := range 9 {
		s.typed("Maren", "", fmt.Sprint("answer ", i))
	}
	s.until(begun)
	s.post(storage.KindBoard, "lye off the heat")
	s.until(begun)
	require.Equal(t, []string{"answer 0", "answer 1", "answer 2", "lye off the heat"}, s.got[5:], "at once, whatever waits")
	s.until(begun.Add(time.Hour))
	require.Len(t, s.got, 20, "what a guest asked beyond ten can be asked again")
	require.Equal(t, "answer 8", s.got[14])
}

// TestChatsWaitForThemselves: a chat that hangs and one that is told to wait hold up
// no other, not even of their own household.
func TestChatsWaitForThemselves(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		begun := time.Now()
		s := newSim(t, outbox.Transport{}, func(_ *sim, to storage.Chat, _ storage.Posted) error {
			require.False(t, to == storage.Chat{Household: 1, Chat: "chat 1"} && time.Since(begun) > time.Second, "the group had to wait")
			switch {
			case to.Alone == "tg:1":
				return outbox.Wait{For: 10 * time.Minute}
			case to.Household == 2:
				time.Sleep(30 * time.Second)
			}
			return nil
		})
		require.NoError(t, s.store.Do(t.Context(), func(tx *storage.Tx) error {
			_, err := tx.Found("chat 2", "UTC", "Anna", begun)
			require.NoError(t, err)
			return tx.Post(2, 0, storage.Message{At: begun, Kind: storage.KindNotice, Head: "hangs"})
		}))
		s.typed("Maren", "tg:1", "told to wait")
		ctx, stop := context.WithTimeout(t.Context(), time.Minute)
		defer stop()
		kick := make(chan struct{}, 1)
		time.AfterFunc(time.Second/2, func() {
			s.typed("Maren", "", "in the group")
			kick <- struct{}{}
		})
		s.out.Run(ctx, kick, time.Now)
		require.Equal(t, []string{"in the group", "hangs"}, s.got)
	})
}

// TestStepsCountAndAreKept: each part of a long message takes a place in the limit,
// and a new process goes on where the last one stopped.
func TestStepsCountAndAreKept(t *testing.T) {
	store, err := storage.Open(t.Context(), storage.Memory)
	require.NoError(t, err)
	defer store.Close()
	post(t, store, 1, 3)
	var got []string
	to := outbox.Transport{Apart: true, Pace: at(outbox.Limit{Every: 6 * time.Second, Burst: 10}), Send: func(_ context.Context, _ storage.Chat, p storage.Posted) (bool, error) {
		got = append(got, fmt.Sprint(p.Message.Head, ".", p.Step))
		return p.Step < 6, nil
	}}
	now, counts := begun, []int{8, 16, 21}
	for _, want := range counts {
		sender := outbox.NewSender(store, to, slog.New(slog.DiscardHandler))
		_, err := sender.Pass(t.Context(), storage.Which{}, now)
		require.NoError(t, err)
		require.Len(t, got, want)
		now = now.Add(time.Minute)
	}
	require.Len(t, got, len(slices.Compact(slices.Sorted(slices.Values(got)))), "no part is told twice: %s", got)
}

// TestSpare: what can be left out takes no place that something else may need.
func TestSpare(t *testing.T) {
	s := outbox.NewSender(nil, outbox.Transport{Pace: at(outbox.Limit{Every: 6 * time.Second, Burst: 10})}, nil)
	n := 0
	for range 30 {
		if s.Spare(storage.Chat{Household: 1}, begun) {
			n++
		}
	}
	require.Equal(t, 5, n)
}
