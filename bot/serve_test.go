package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/bot/telegram/apiserver"
	"yardbell/storage"
)

const groupChat = int64(-100300)

// serving is the program as a service manager runs it, against a test service.
func serving(bin, db string, api *apiserver.Server) *exec.Cmd {
	cmd := command(bin, "serve", "--db", db)
	cmd.Env = append(cmd.Env, "YARDBELL_TOKEN="+api.Token, "YARDBELL_API_URL="+api.HTTP.URL, "YARDBELL_HOUSE_KEY=tallow")
	return cmd
}

// TestKillServe kills the service with SIGKILL at random moments while five
// people type, and starts it again: every line is written once and acknowledged.
func TestKillServe(t *testing.T) {
	const kills, typed = 200, 500 // and one line more at the end
	if testing.Short() {
		t.Skip("starts the program two hundred times")
	}
	bin, db, api := built(t), house(t), apiserver.New()
	defer api.Close()
	api.AddChat(groupChat, "supergroup")
	people := []apiserver.User{{ID: 1, Name: "Maren"}, {ID: 2, Name: "Tom"}, {ID: 3, Name: "Edda"}, {ID: 4, Name: "Ivo"}, {ID: 5, Name: "Lise"}}
	first := serving(bin, db, api)
	require.NoError(t, first.Start())
	api.Type(groupChat, people[0], "/house join tallow")
	require.True(t, eventually(10*time.Second, func() bool { return len(api.Shown(groupChat)) > 0 }))
	require.NoError(t, first.Process.Kill())
	_ = first.Wait()
	tie(t, db, people)

	var done atomic.Bool
	ids := map[int]string{}
	finished := make(chan struct{})
	go func() {
		defer close(finished)
		for n := range typed {
			who := people[n%len(people)]
			text := fmt.Sprintf("/note line%03d of %s", n, who.Name)
			ids[api.Type(groupChat, who, text)] = text
			time.Sleep(20 * time.Millisecond)
		}
		done.Store(true)
	}()
	rnd := rand.New(rand.NewPCG(7, 7))
	for range kills {
		cmd := serving(bin, db, api)
		require.NoError(t, cmd.Start())
		time.Sleep(time.Duration(5+rnd.IntN(110)) * time.Millisecond)
		require.NoError(t, cmd.Process.Kill())
		_ = cmd.Wait()
	}
	<-finished
	last := serving(bin, db, api)
	require.NoError(t, last.Start())
	ids[api.Type(groupChat, people[0], fmt.Sprintf("/note line%03d of the last", typed))] = fmt.Sprintf("/note line%03d of the last", typed)
	require.True(t, eventually(60*time.Second, func() bool {
		for id := range ids {
			if api.Reaction(groupChat, id) == "" {
				return false
			}
		}
		return done.Load()
	}), "every line is acknowledged")
	require.NoError(t, last.Process.Signal(os.Interrupt))
	require.NoError(t, last.Wait(), "a service that is asked to stop ends well")

	s, err := storage.Open(context.Background(), db)
	require.NoError(t, err)
	defer s.Close()
	require.NoError(t, s.Do(context.Background(), func(tx *storage.Tx) error {
		entries, err := tx.Book(1, storage.BookQuery{Limit: 100_000})
		count, last := map[string]int{}, 0
		for i := len(entries) - 1; i >= 0; i-- { // oldest first
			if e := entries[i]; e.Kind == "note" {
				count[e.Text]++
				var n int
				_, scanErr := fmt.Sscanf(e.Text, "line%03d", &n)
				require.NoError(t, scanErr)
				require.GreaterOrEqual(t, n, last, "in the order in which they were typed")
				last = n
			}
		}
		for _, text := range ids {
			require.Equal(t, 1, count[strings.TrimPrefix(text, "/note ")], text)
		}
		require.Len(t, count, typed+1)
		return err
	}))
	t.Logf("%d kills, %d lines typed, each written and acknowledged", kills, typed)
}

// tie makes the accounts the household's people, as keepers' buttons would.
func tie(t *testing.T, db string, people []apiserver.User) {
	t.Helper()
	s, err := storage.Open(context.Background(), db)
	require.NoError(t, err)
	defer s.Close()
	require.NoError(t, s.Do(context.Background(), func(tx *storage.Tx) error {
		for _, u := range people[1:] {
			id, err := tx.AddPerson(storage.Person{Household: 1, Name: u.Name})
			require.NoError(t, err)
			require.NoError(t, tx.TieAccount(1, id, fmt.Sprintf("tg:%d", u.ID)))
		}
		return nil
	}))
}

func eventually(most time.Duration, holds func() bool) bool {
	for end := time.Now().Add(most); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		if holds() {
			return true
		}
	}
	return holds()
}
