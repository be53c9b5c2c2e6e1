package telegram_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/bot/outbox"
	"yardbell/bot/telegram/apiserver"
	"yardbell/storage"
)

// faulty fails a share of all calls in every way, by a seed.
func faulty(share float64) func(string) apiserver.Fault {
	var mu sync.Mutex
	rnd := rand.New(rand.NewPCG(4, 4))
	kinds := []apiserver.Fault{apiserver.Internal, apiserver.TooMany, apiserver.Reset, apiserver.Garbage, apiserver.Unsaid}
	return func(string) apiserver.Fault {
		mu.Lock()
		defer mu.Unlock()
		if rnd.Float64() >= share {
			return apiserver.OK
		}
		return kinds[rnd.IntN(len(kinds))]
	}
}

// TestEveryFaultAtOnce: a tenth of all calls fails in one of five ways while 1000
// lines are typed. Each is written once and answered; what is said twice was taken
// by a service that did not say so; no message goes out inside a told wait.
func TestEveryFaultAtOnce(t *testing.T) {
	if testing.Short() {
		t.Skip("waits for the service's own waits")
	}
	c := newChat(t)
	c.joined()
	c.api.SetFails(faulty(0.10))
	ids := map[int]string{}
	for i := range 1000 {
		text := fmt.Sprintf("note number%03d of many", i)
		if i%10 == 0 {
			text = "/house add Person" + letters(i)
		}
		ids[c.api.Type(group, maren, text)] = text
	}
	c.patient(120*time.Second, func() bool { return c.api.Waiting() == 0 })
	c.patient(120*time.Second, func() bool {
		for id, text := range ids {
			if strings.HasPrefix(text, "note") && c.api.Reaction(group, id) == "" {
				return false
			}
		}
		return true
	})
	c.quietFor(60 * time.Second)
	replies := map[int]int{}
	for _, m := range c.api.Shown(group) {
		replies[m.ReplyTo]++
	}
	for id, text := range ids {
		if strings.HasPrefix(text, "/house") {
			require.Positive(t, replies[id], "no answer to %s", text)
		}
	}
	c.writtenOnce(ids)
	for _, call := range c.api.Calls() {
		if strings.HasPrefix(call.Method, "send") || strings.HasPrefix(call.Method, "edit") {
			require.False(t, call.Waited, "%s was called inside a time it was told to wait", call.Method)
		}
	}
}

// letters writes a number as a name has it.
func letters(n int) string {
	return string([]byte{'a' + byte(n/26/26%26), 'a' + byte(n/26%26), 'a' + byte(n%26)})
}

// writtenOnce checks that each line that was typed is in the day book once.
func (c *chat) writtenOnce(ids map[int]string) {
	c.t.Helper()
	c.do(func(tx *storage.Tx) error {
		entries, err := tx.Book(1, storage.BookQuery{Limit: 100_000})
		count := map[string]int{}
		for _, e := range entries {
			count[e.Text]++
		}
		for _, text := range ids {
			want := strings.TrimPrefix(text, "note ")
			if name, is := strings.CutPrefix(text, "/house add "); is {
				want = "added " + name + ", hand"
			}
			require.Equal(c.t, 1, count[want], text)
		}
		return err
	})
}

func (c *chat) patient(most time.Duration, holds func() bool) {
	c.t.Helper()
	for end := time.Now().Add(most); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		if holds() {
			return
		}
	}
	require.True(c.t, holds(), "not within %s", most)
}

func (c *chat) quietFor(most time.Duration) {
	c.t.Helper()
	c.patient(most, func() bool {
		empty := false
		c.do(func(tx *storage.Tx) error {
			waiting, err := tx.Waiting()
			empty = len(waiting) == 0
			return err
		})
		return empty
	})
}

// TestBurst: two hundred lines at once in a group that takes twenty messages a
// minute: answers are joined, none goes out inside a told wait, none is lost.
func TestBurst(t *testing.T) {
	if testing.Short() {
		t.Skip("keeps to a limit of messages a minute")
	}
	c := newChat(t)
	c.joined()
	c.down()
	c.limit = outbox.Limit{Every: 3 * time.Second, Burst: 5}
	c.api.PerMinute = 20
	c.up()
	for i := range 200 {
		c.api.Type(group, maren, "/house add Hand"+letters(i))
		if i%2 == 0 {
			c.api.Type(group, maren, fmt.Sprintf("/ring me look at pen %d tomorrow at 9am", i))
		}
	}
	c.until("all taken", func() bool { return c.api.Waiting() == 0 })
	c.quietFor(90 * time.Second)
	all := c.all(group)
	for i := range 200 {
		require.Contains(t, all, "Added Hand"+letters(i))
	}
	for _, call := range c.api.Calls() {
		require.False(t, call.Waited, "%s was called inside a time it was told to wait", call.Method)
	}
}

// TestNoService: while no connection is taken, what is typed before and after is
// kept, and rings wait.
func TestNoService(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.api.Type(group, maren, "/ring me phone the vet in 1 min")
	c.sees("phone the vet")
	c.api.SetFails(func(string) apiserver.Fault { return apiserver.Reset })
	c.tick(61 * time.Second)
	c.api.Type(group, maren, "note typed in the dark")
	time.Sleep(1500 * time.Millisecond)
	c.api.SetFails(nil)
	c.sees("Maren: phone the vet (")
	c.until("the note", func() bool {
		found := false
		c.do(func(tx *storage.Tx) error {
			e, err := tx.Book(1, storage.BookQuery{Words: []string{"dark"}, Limit: 3})
			found = len(e) == 1
			return err
		})
		return found
	})
}
