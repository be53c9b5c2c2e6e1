package telegram_test

import (
	"context"
	"database/sql"
	"fmt"
	"log/slog"
	"path/filepath"
	"runtime"
	"slices"
	"testing"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"
	"github.com/stretchr/testify/require"

	"yardbell/bot/outbox"
	"yardbell/bot/telegram"
	"yardbell/bot/telegram/apiserver"
	"yardbell/handlers"
	"yardbell/storage"
)

// newBench is a service in a household's group, with no limit on messages.
func newBench(b testing.TB) (*apiserver.Server, *storage.Store) {
	api := apiserver.New()
	b.Cleanup(api.Close)
	api.AddChat(group, "supergroup")
	s, err := storage.Open(context.Background(), filepath.Join(b.TempDir(), "house.db"))
	require.NoError(b, err)
	log := slog.New(slog.DiscardHandler)
	service, err := telegram.New(telegram.Config{
		Token: api.Token, APIURL: api.HTTP.URL, Zone: "UTC", Store: s, Roster: handlers.NewRoster(log), Log: log, Now: func() time.Time { return time.Now().UTC() },
		Poll: 20 * time.Second, Limits: func(bool) outbox.Limit { return outbox.Limit{} },
	})
	require.NoError(b, err)
	require.NoError(b, s.Do(context.Background(), func(tx *storage.Tx) error { return tx.AddKey(telegram.Hash("tallow"), false, time.Now()) }))
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- service.Run(ctx) }()
	b.Cleanup(func() { stop(); <-ended; s.Close() })
	api.Type(group, maren, "/house join tallow")
	require.True(b, api.Until(context.Background(), func() bool { return len(api.Shown(group)) > 0 }))
	return api, s
}

// newEcho is a bot on the same library that says back what it hears.
func newEcho(b *testing.B) *apiserver.Server {
	api := apiserver.New()
	b.Cleanup(api.Close)
	api.AddChat(group, "supergroup")
	bot, err := tg.New(api.Token, tg.WithServerURL(api.HTTP.URL), tg.WithSkipGetMe(), tg.WithNotAsyncHandlers(), tg.WithDefaultHandler(func(ctx context.Context, bot *tg.Bot, u *models.Update) {
		if u.Message != nil {
			_, _ = bot.SendMessage(ctx, &tg.SendMessageParams{ChatID: u.Message.Chat.ID, Text: u.Message.Text})
		}
	}))
	require.NoError(b, err)
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan struct{})
	go func() { defer close(ended); bot.Start(ctx) }()
	b.Cleanup(func() { stop(); <-ended })
	return api
}

// BenchmarkLine measures a typed line from its arrival to its answer in the chat,
// against an echo bot on the same library plus one bare durable commit.
func BenchmarkLine(b *testing.B) {
	api, _ := newBench(b)
	echo := newEcho(b)
	bare, err := sql.Open("sqlite", "file:"+filepath.Join(b.TempDir(), "bare.db")+"?_journal_mode=WAL&_synchronous=FULL")
	require.NoError(b, err)
	defer bare.Close()
	bare.SetMaxOpenConns(1)
	_, err = bare.Exec(`CREATE TABLE t (id INTEGER PRIMARY KEY, x TEXT)`)
	require.NoError(b, err)
	insert, err := bare.Prepare(`INSERT INTO t (x) VALUES (?)`)
	require.NoError(b, err)
	ctx := context.Background()
	var ours, theirs, commits time.Duration
	n := 0
	for b.Loop() {
		n++
		begun := time.Now()
		id := api.Type(group, maren, "/note the sow is off her feed")
		api.Until(ctx, func() bool { return api.Reaction(group, id) != "" })
		ours += time.Since(begun)

		begun = time.Now()
		echo.Type(group, maren, "/note the sow is off her feed")
		echo.Until(ctx, func() bool { return len(echo.Shown(group)) == n })
		theirs += time.Since(begun)

		begun = time.Now()
		_, err := insert.Exec("the sow is off her feed")
		require.NoError(b, err)
		commits += time.Since(begun)
	}
	b.ReportMetric(float64(ours)/float64(theirs+commits), "ratio-to-echo-and-commit")
	b.ReportMetric(float64(ours.Microseconds())/float64(b.N), "us/line")
	b.ReportMetric(float64(theirs.Microseconds())/float64(b.N), "us/echo")
	b.ReportMetric(float64(commits.Microseconds())/float64(b.N), "us/commit")
}

// TestTwoThousandLines types two thousand lines as five people and prints how long
// each waited for its answer, and what memory the process holds after.
func TestTwoThousandLines(t *testing.T) {
	if testing.Short() {
		t.Skip("a measurement")
	}
	api, s := newBench(t)
	people := []int64{maren.ID, 21, 22, 23, 24}
	require.NoError(t, s.Do(t.Context(), func(tx *storage.Tx) error {
		for _, id := range people[1:] {
			person, err := tx.AddPerson(storage.Person{Household: 1, Name: fmt.Sprint("Hand", id)})
			require.NoError(t, err)
			require.NoError(t, tx.TieAccount(1, person, fmt.Sprint("tg:", id)))
		}
		return nil
	}))
	var waits []time.Duration
	for i := range 2000 {
		begun := time.Now()
		id := api.Type(group, apiserver.User{ID: people[i%5], Name: "Maren"}, fmt.Sprintf("/note line %d", i))
		require.True(t, api.Until(t.Context(), func() bool { return api.Reaction(group, id) != "" }))
		waits = append(waits, time.Since(begun))
	}
	slices.Sort(waits)
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	t.Logf("2000 lines: p50 %s, p99 %s, worst %s; heap with the test's own service in it %d KiB", waits[1000], waits[1980], waits[1999], m.HeapAlloc>>10)
}
