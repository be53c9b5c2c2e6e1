package outbox_test

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"path/filepath"
	"testing"
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

// service is a chat service that fails in every way it can, by a seed.
type service struct {
	rnd   *rand.Rand
	now   time.Time
	got   map[string][]string
	times map[string][]time.Time
	waits map[string]time.Time // not before, as it told
}

func (s *service) send(_ context.Context, to storage.Chat, p storage.Posted) error {
	chat, m := to.Chat, p.Message
	if s.now.Before(s.waits[chat]) {
		panic(chat + " was told to wait and did not")
	}
	switch s.rnd.IntN(10) {
	case 0:
		return errors.New("the connection was reset")
	case 1:
		wait := time.Duration(1+s.rnd.IntN(30)) * time.Second
		s.waits[chat] = s.now.Add(wait)
		return outbox.Wait{For: wait}
	}
	if m.Head == "13" {
		return fmt.Errorf("send: %w", outbox.Refused{Reason: "markup"})
	}
	s.got[chat], s.times[chat] = append(s.got[chat], m.Head), append(s.times[chat], s.now)
	return nil
}

// TestSenderKeepsOrderAndLosesNothing: with errors, waits and refusals by a seed,
// each chat gets every message once, in order, and no faster than its limit;
// what is refused is set aside and holds nothing up.
func TestSenderKeepsOrderAndLosesNothing(t *testing.T) {
	for seed := range uint64(20) {
		s, err := storage.Open(t.Context(), filepath.Join(t.TempDir(), "house.db"))
		require.NoError(t, err)
		const houses, each = 3, 40
		post(t, s, houses, each)
		svc := &service{rnd: rand.New(rand.NewPCG(seed, 7)), now: begun, got: map[string][]string{}, times: map[string][]time.Time{}, waits: map[string]time.Time{}}
		limit := outbox.Limit{Every: 3 * time.Second, Burst: 4}
		to := outbox.Transport{Send: svc.send, Chat: limit, All: outbox.Limit{Every: time.Second / 2, Burst: 5}}
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
	sender := outbox.NewSender(s, outbox.Transport{Chat: outbox.Limit{Every: 3 * time.Second, Burst: 5}, Send: func(_ context.Context, to storage.Chat, _ storage.Posted) error {
		chat := to.Chat
		sent[chat] = append(sent[chat], now)
		return nil
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
	sender := outbox.NewSender(s, outbox.Transport{Send: func(_ context.Context, to storage.Chat, _ storage.Posted) error {
		chat := to.Chat
		if chat == "chat 1" {
			return errors.New("gone")
		}
		got++
		return nil
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
	sender := outbox.NewSender(s, outbox.Transport{Send: func(_ context.Context, _ storage.Chat, p storage.Posted) error {
		m := p.Message
		got = append(got, m.Head)
		if m.Head == "4" && len(got) == 5 {
			require.NoError(t, s.Close()) // the power goes
		}
		return nil
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
	to.Boards = true
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
		to.Boards = boards
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
