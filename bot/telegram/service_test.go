package telegram_test

import (
	"context"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/bot/outbox"
	"yardbell/bot/telegram"
	"yardbell/bot/telegram/apiserver"
	"yardbell/handlers"
	"yardbell/reminders"
	"yardbell/storage"
)

const group = int64(-100200)

var (
	maren = apiserver.User{ID: 11, Name: "Maren"}
	ivo   = apiserver.User{ID: 13, Name: "Ivo"}
	anna  = apiserver.User{ID: 99, Name: "Anna"}
)

// chat is a service that talks to a test server, with a household's file.
type chat struct {
	t       *testing.T
	api     *apiserver.Server
	path    string
	store   *storage.Store
	service *telegram.Service
	stop    context.CancelFunc
	ended   chan error
	log     *strings.Builder
	limit   outbox.Limit
	token   string
	hook    string // where updates are brought, empty when they are asked for
}

// fresh is a household file with its schema and nothing in it, made once for all tests.
var fresh = sync.OnceValues(func() ([]byte, error) {
	dir, err := os.MkdirTemp("", "fresh-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "house.db")
	s, err := storage.Open(context.Background(), path)
	if err != nil {
		return nil, err
	}
	if err := s.Close(); err != nil {
		return nil, err
	}
	return os.ReadFile(path)
})

func newChat(t *testing.T) *chat {
	t.Helper()
	c := &chat{t: t, api: apiserver.New(), path: filepath.Join(t.TempDir(), "house.db"), log: &strings.Builder{}}
	body, err := fresh()
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(c.path, body, 0o600))
	c.token = c.api.Token
	c.api.AddChat(group, "supergroup")
	t.Cleanup(func() { c.down(); c.api.Close() })
	return c
}

// up starts the service on the file.
func (c *chat) up() {
	c.t.Helper()
	s, err := storage.Open(context.Background(), c.path)
	require.NoError(c.t, err)
	c.store = s
	log := slog.New(slog.NewTextHandler(&locked{b: c.log}, &slog.HandlerOptions{Level: slog.LevelDebug}))
	c.service, err = telegram.New(telegram.Config{
		Token: c.token, APIURL: c.api.HTTP.URL, Zone: "UTC", Store: s, Roster: handlers.NewRoster(log), Log: log, Now: func() time.Time { return time.Now().UTC() },
		Retry: 20 * time.Millisecond, Poll: 2 * time.Second, Limits: func(bool) outbox.Limit { return c.limit },
	})
	require.NoError(c.t, err)
	if c.hook != "" {
		require.NoError(c.t, c.service.UseWebhook("https://farm.example/hook", c.hook))
	}
	ctx, stop := context.WithCancel(context.Background())
	c.stop, c.ended = stop, make(chan error, 1)
	go func() { c.ended <- c.service.Run(ctx) }()
}

// down stops the service as a service manager does.
func (c *chat) down() {
	if c.stop == nil {
		return
	}
	c.stop()
	select {
	case <-c.ended:
	case <-time.After(5 * time.Second):
		c.t.Error("the service did not stop within five seconds")
	}
	c.stop = nil
	require.NoError(c.t, c.store.Close())
	c.until("the service notices", func() bool { return c.api.Polling() == 0 })
}

// joined makes the group the household's, with Maren as its keeper.
func (c *chat) joined() {
	c.t.Helper()
	c.up()
	c.key("tallow")
	c.api.Type(group, maren, "/house join tallow")
	c.sees("the household's chat now, and Maren its keeper")
	c.api.Type(group, maren, "/house add Ivo child 13")
	c.sees("Added Ivo, child, 13")
}

// key keeps a house key for another household, ownKey one for that which lives in
// the terminal.
func (c *chat) key(key string) {
	c.do(func(tx *storage.Tx) error { return tx.AddKey(telegram.Hash(key), false, time.Now()) })
}

func (c *chat) ownKey(key string) {
	c.do(func(tx *storage.Tx) error { return tx.AddKey(telegram.Hash(key), true, time.Now()) })
}

func (c *chat) do(fn func(*storage.Tx) error) {
	c.t.Helper()
	require.NoError(c.t, c.store.Do(context.Background(), fn))
}

// until waits for a condition.
func (c *chat) until(what string, holds func() bool) {
	c.t.Helper()
	ctx, stop := context.WithTimeout(context.Background(), 8*time.Second)
	defer stop()
	if !c.api.Until(ctx, holds) {
		require.FailNow(c.t, what, "the group shows: %s\n%s", c.all(group), c.log)
	}
}

// sees waits until the group shows a text, and returns the message.
func (c *chat) sees(text string) (found apiserver.Message) {
	c.t.Helper()
	c.until("waiting for "+text, func() bool {
		for _, m := range c.api.Shown(group) {
			if strings.Contains(m.Plain, text) {
				found = m
				return true
			}
		}
		return false
	})
	return found
}

func (c *chat) all(id int64) string {
	var out []string
	for _, m := range c.api.Shown(id) {
		out = append(out, m.Plain)
	}
	return strings.Join(out, "\n---\n")
}

// quiet waits until everything that was typed has been taken and told.
func (c *chat) quiet() {
	c.t.Helper()
	c.until("waiting for the outbox to be empty", func() bool {
		empty := false
		c.do(func(tx *storage.Tx) error {
			waiting, err := tx.Waiting()
			empty = len(waiting) == 0
			return err
		})
		return empty
	})
}

func TestJoinAndTalk(t *testing.T) {
	c := newChat(t)
	c.joined()
	id := c.api.Type(group, maren, "/lye 900 g tallow 300 g coconut superfat 6% 2:1 water")
	m := c.sees("170 g lye")
	require.Equal(t, id, m.ReplyTo, "an answer threads to the line")
	require.Contains(t, m.Text, "<b>170 g lye", "the answer stands out")
	require.Contains(t, m.Plain, "⚠ Lye into cold water")
	c.api.Type(group, maren, "who left the gate open")
	note := c.api.Type(group, maren, "note the sow is off her feed")
	c.until("a reaction", func() bool { return c.api.Reaction(group, note) == "👍" })
	c.quiet()
	require.NotContains(t, c.all(group), "Noted", "a record that needs no words is a reaction")
	require.NotContains(t, c.all(group), "gate")
	require.Contains(t, c.api.Commands, `"command":"today"`)
}

func TestRingsAreBoardsEditedInPlace(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.api.Type(group, maren, "/ring Ivo feed the hens in 1 min")
	c.api.Type(group, maren, "/ring me phone the vet in 1 min")
	c.sees("phone the vet")
	c.tick(61 * time.Second)
	m := c.sees("Ivo: feed the hens (")
	require.Contains(t, m.Plain, "Maren: phone the vet", "a line a person, one message")
	var done string
	for _, row := range m.Buttons {
		for _, b := range row {
			if b.Text == "Done: feed the hens" {
				done = b.Data
			}
		}
	}
	require.NotEmpty(t, done)
	q := c.api.Press(maren, m, done)
	c.sees("by Maren")
	require.Len(t, c.messagesWith("Ivo: feed the hens ("), 1, "edited in place, not sent anew")
	c.until("the press is answered "+q, func() bool { return c.api.Unanswered() == 0 })
	require.Contains(t, c.api.Answers()[0], "Done: feed the hens")
	c.api.Press(maren, m, done)
	c.until("the second press", func() bool { return len(c.api.Answers()) == 2 })
	require.Equal(t, "Pressed already.", c.api.Answers()[1])
	c.api.Type(group, maren, "done", map[string]any{"reply_to_message": map[string]any{"message_id": m.ID, "date": 1, "chat": map[string]any{"id": group, "type": "supergroup"}, "from": map[string]any{"id": apiserver.Bot, "is_bot": true, "first_name": "Yardbell"}}})
	c.until("done as a reply to the ring", func() bool { return strings.Count(c.sees("Ivo: feed the hens (").Plain, "done") == 2 })
}

func (c *chat) messagesWith(text string) (out []apiserver.Message) {
	for _, m := range c.api.Shown(group) {
		if strings.Contains(m.Plain, text) {
			out = append(out, m)
		}
	}
	return out
}

// tick lets the bells ring as if that much time had gone by.
func (c *chat) tick(after time.Duration) {
	c.t.Helper()
	c.do(func(tx *storage.Tx) error {
		_, err := reminders.Tick(tx, time.Now().Add(after))
		return err
	})
	c.service.Kick()
}

func TestWhoIsLetIn(t *testing.T) {
	c := newChat(t)
	c.api.AddChat(-55, "group")
	c.api.AddChat(anna.ID, "private")
	c.api.AddChat(ivo.ID, "private")
	c.joined()

	// a foreign group and a foreign person get one polite line each, and no more
	for range 3 {
		c.api.Type(-55, anna, "/today")
		c.api.Type(-55, anna, "/house join wrong-key-here")
		c.api.Type(anna.ID, anna, "today")
	}
	c.until("polite lines", func() bool { return len(c.api.Shown(-55)) == 1 && len(c.api.Shown(anna.ID)) == 1 })
	require.NotContains(t, c.all(-55)+c.all(anna.ID), "Maren")
	require.NotContains(t, c.all(-55)+c.all(anna.ID), "Ivo")

	// a guest in the group may ask and not write
	c.api.Type(group, anna, "/today")
	c.sees("Today")
	c.api.Type(group, anna, "/note the gate is open")
	c.sees("Only people of the household write here")
	c.api.Type(group, anna, "/lye 500 g lard")
	c.sees("I do not know who you are")

	// an account is tied by a keeper's button and by nobody else's
	c.api.Type(group, ivo, "/house me Ivo")
	m := c.sees("says: I am Ivo")
	c.api.Press(ivo, m, m.Buttons[0][0].Data)
	c.until("refusal", func() bool { return strings.Contains(strings.Join(c.api.Answers(), "|"), "Only a keeper") })
	c.api.Press(maren, m, m.Buttons[0][0].Data)
	c.sees("Ivo is known by that account now")
	c.api.Type(group, ivo, "/lye 500 g lard")
	c.sees("Not for a child")

	// and works in a private chat then
	c.api.Type(ivo.ID, ivo, "today")
	c.until("an answer in the private chat", func() bool { return strings.Contains(c.all(ivo.ID), "Today") })

	// the key is used up
	c.api.Type(-55, anna, "/house join tallow")
	c.quiet()
	require.Len(t, c.api.Shown(-55), 1)
}

// TestChatsOfTheirOwn: who has written to the bot alone is told there too, and can
// answer there.
func TestChatsOfTheirOwn(t *testing.T) {
	c := newChat(t)
	c.api.AddChat(maren.ID, "private")
	c.joined()
	c.api.Type(maren.ID, maren, "who")
	c.until("an answer alone", func() bool { return strings.Contains(c.all(maren.ID), "Ivo, child, 13") })
	c.api.Type(group, maren, "/ring me phone the vet in 1 min")
	c.api.Type(group, maren, "/ring Ivo feed the hens in 1 min")
	c.sees("feed the hens")
	c.tick(61 * time.Second)
	c.sees("Maren: phone the vet (")
	c.until("a copy", func() bool { return strings.Contains(c.all(maren.ID), "Phone the vet (") })
	require.NotContains(t, c.all(maren.ID), "hens")
	shown := c.api.Shown(maren.ID)
	c.api.Press(maren, shown[len(shown)-1], shown[len(shown)-1].Buttons[0][0].Data)
	c.until("the board", func() bool { return strings.Contains(c.sees("Maren: phone the vet (").Plain, "done") })
}

// TestTwoHouseholds: two groups in one process, each with its own key; neither
// sees anything of the other.
func TestTwoHouseholds(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.api.AddChat(-66, "group")
	c.key("cedar")
	c.api.Type(-66, june, "/house join cedar")
	c.until("joined", func() bool { return strings.Contains(c.all(-66), "June its keeper") })
	c.api.Type(group, maren, "/note the hollin is cut")
	c.api.Type(-66, june, "/note the cedar is felled")
	c.api.Type(-66, june, "/ring me split the cedar in 1 min")
	c.until("the bell", func() bool { return strings.Contains(c.all(-66), "split the cedar") })
	c.tick(61 * time.Second)
	for _, line := range []string{"/book", "/who", "/bells all", "/house", "/today", "/undo", "/done 2"} {
		c.api.Type(-66, june, line)
		c.api.Type(group, maren, line)
	}
	c.api.Type(-66, maren, "/who") // somebody of the one is a guest of the other
	c.until("all taken", func() bool { return c.api.Waiting() == 0 })
	c.quiet()
	require.NotContains(t, c.all(group), "cedar")
	require.NotContains(t, c.all(group), "June")
	require.NotContains(t, c.all(-66), "hollin")
	require.NotContains(t, c.all(-66), "Ivo, child, 13")
}

// TestSharedTablet: a tablet says who speaks, and is nobody's keeper.
func TestSharedTablet(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.api.Type(group, tablet, "/house shared")
	m := c.sees("a tablet that everyone uses?")
	c.api.Press(tablet, m, m.Buttons[0][0].Data)
	c.until("refusal", func() bool { return strings.Contains(strings.Join(c.api.Answers(), "|"), "Only a keeper") })
	c.api.Press(maren, m, m.Buttons[0][0].Data)
	c.sees("the tablet for everyone now")
	c.api.Type(group, tablet, "/note the gate is mended")
	ask := c.sees("Who is it?")
	c.api.Press(tablet, ask, ask.Buttons[0][1].Data)
	c.api.Type(group, tablet, "Maren: house add Zoe")
	c.sees("Only a keeper")
	c.api.Type(group, tablet, "Ivo: note the hens are in")
	c.until("two notes of Ivo's", func() bool {
		n := 0
		c.do(func(tx *storage.Tx) error {
			found, err := tx.Book(1, storage.BookQuery{Limit: 50})
			for _, e := range found {
				if e.Kind == "note" && e.Person == 2 {
					n++
				}
			}
			return err
		})
		return n == 2
	})
}

// TestWrongKeysAreSlowedDown: after wrong keys even the right one has to wait.
func TestWrongKeysAreSlowedDown(t *testing.T) {
	c := newChat(t)
	c.api.AddChat(-55, "group")
	c.up()
	c.key("tallow")
	for i := range 5 {
		c.api.Type(-55, anna, fmt.Sprintf("/house join wrong%d", i))
	}
	c.api.Type(-55, anna, "/house join tallow")
	c.until("all taken", func() bool { return c.api.Waiting() == 0 })
	require.NotContains(t, c.all(-55), "keeper")
}

func TestHostileText(t *testing.T) {
	c := newChat(t)
	c.joined()
	for _, text := range []string{
		"/note <b>bold & \"quoted\" </i>", "/frob <script>&amp;</b>", "/note \u202eevil\u202c \u200b\u200d", "/" + strings.Repeat("x", 4000), "/note " + strings.Repeat("<&>", 1200), "/help &lt;",
		"/lye 500 g <unicorn> fat", "/ring me at 9:30pm <i>x</b> & so on", "/book", strings.Repeat("🐔", 2000), "/note 🐔 " + strings.Repeat("é", 3000), "/house name <b>&", "/house", "\x00\x01", "/",
	} {
		c.api.Type(group, maren, text)
	}
	c.until("all taken", func() bool { return c.api.Waiting() == 0 })
	c.quiet()
	c.do(func(tx *storage.Tx) error {
		var failed int
		_, err := tx.One(`SELECT count(*) FROM outbox WHERE failed IS NOT NULL`, nil, &failed)
		require.Zero(t, failed, "nothing was refused by the service")
		return err
	})
}

func TestLinesAsPeopleSendThem(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.api.Type(group, maren, "/note@some_other_bot not ours")
	c.api.Type(group, maren, "/note@yardbell_test_bot ours by name")
	c.api.Type(group, maren, "@yardbell_test_bot note ours by mention")
	c.api.Type(group, maren, "/note forwarded words", map[string]any{"forward_origin": map[string]any{"type": "user", "date": 1, "sender_user": map[string]any{"id": 5, "first_name": "X"}}})
	id := c.api.Type(group, maren, "/note first version")
	c.until("the note", func() bool { return c.api.Reaction(group, id) != "" })
	c.api.Edit(group, maren, id, "/note second version")
	c.sees("What was written stays as it was")
	silent := c.api.Type(group, maren, "ryng Ivo")
	c.api.Edit(group, maren, silent, "/note read anew after a slip")
	c.api.AddFile("doc1", "200 g barley\n2 cups stock\n\n1. Boil.")
	c.api.Type(group, maren, "", map[string]any{"caption": "/recipe Barley soup for 4", "document": map[string]any{"file_id": "doc1", "file_unique_id": "u", "file_size": 40}})
	c.sees("Kept Barley soup")
	c.api.Type(group, maren, "", map[string]any{"location": map[string]any{"latitude": 57.2, "longitude": -3.7}})
	c.sees("The place is 57.2 -3.7")
	c.api.Type(group, maren, "/book", map[string]any{"message_thread_id": 7, "is_topic_message": true})
	m := c.sees("The day book")
	require.Equal(t, 7, m.Thread, "an answer stays in its topic")
	for _, want := range []string{"ours by name", "ours by mention", "first version", "read anew after a slip"} {
		require.Contains(t, m.Plain, want)
	}
	for _, not := range []string{"not ours", "forwarded words", "second version"} {
		require.NotContains(t, m.Plain, not)
	}
}

// TestSameUpdateOnce: an update that comes twice acts once.
func TestSameUpdateOnce(t *testing.T) {
	c := newChat(t)
	c.joined()
	body := map[string]any{"message": map[string]any{
		"message_id": 5000, "date": time.Now().Unix(), "chat": map[string]any{"id": group, "type": "supergroup"}, "from": map[string]any{"id": maren.ID, "first_name": "Maren"}, "text": "/note once only",
	}}
	for range 3 {
		c.api.Push(body)
	}
	c.until("all taken", func() bool { return c.api.Waiting() == 0 })
	c.do(func(tx *storage.Tx) error {
		found, err := tx.Book(1, storage.BookQuery{Words: []string{"once"}, Limit: 10})
		require.Len(t, found, 1)
		return err
	})
}

func TestSupergroup(t *testing.T) {
	for _, told := range []bool{true, false} {
		c := newChat(t)
		c.api.AddChat(-7, "group")
		c.up()
		c.key("tallow")
		c.api.Type(-7, maren, "/house join tallow")
		c.until("joined", func() bool { return strings.Contains(c.all(-7), "keeper") })
		c.api.Migrate(-7, -1007, told)
		if told {
			c.until("all taken", func() bool { return c.api.Waiting() == 0 })
			c.api.Type(-1007, maren, "/house add Tom")
		} else { // only the refused message tells
			c.api.Type(-7, maren, "/house add Tom")
		}
		c.until("an answer in the new group", func() bool { return strings.Contains(c.all(-1007), "Added Tom") })
	}
}

func TestKickedOut(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.api.Remove(group)
	c.api.Push(map[string]any{"my_chat_member": map[string]any{
		"chat": map[string]any{"id": group, "type": "supergroup"}, "from": map[string]any{"id": maren.ID, "first_name": "Maren"}, "date": 1,
		"old_chat_member": map[string]any{"status": "member", "user": map[string]any{"id": apiserver.Bot}}, "new_chat_member": map[string]any{"status": "kicked", "user": map[string]any{"id": apiserver.Bot}, "until_date": 0},
	}})
	c.api.Type(group, maren, "/house")
	c.until("all taken", func() bool { return c.api.Waiting() == 0 })
	c.quiet()
	c.down()
	require.Contains(t, c.log.String(), "removed from a chat; its records are kept")
	require.Contains(t, c.log.String(), "not in that chat any more")
}

// TestTheTokenIsNowhere looks for it in the log, the file and the errors.
func TestTheTokenIsNowhere(t *testing.T) {
	c := newChat(t)
	var calls atomic.Int64
	c.api.SetFails(func(string) apiserver.Fault {
		n := calls.Add(1)
		if n > 15 {
			return apiserver.OK
		}
		return []apiserver.Fault{apiserver.OK, apiserver.Reset, apiserver.OK, apiserver.Garbage, apiserver.Internal}[n%5]
	})
	c.up()
	c.key("tallow")
	c.api.Type(group, maren, "/house join tallow")
	c.sees("keeper")
	c.down()
	secret := strings.SplitN(c.api.Token, ":", 2)[1]
	require.NotContains(t, c.log.String(), secret)
	s, err := storage.Open(context.Background(), c.path)
	require.NoError(t, err)
	defer s.Close()
	_, err = s.Export(context.Background(), t.TempDir())
	require.NoError(t, err)
	require.NoError(t, s.Do(context.Background(), func(tx *storage.Tx) error {
		for _, table := range storage.Tables() {
			rows, err := tx.Dump(table)
			require.NoError(t, err)
			require.NotContains(t, strings.Join(rows, "\n"), secret)
		}
		return nil
	}))
}

func TestWrongToken(t *testing.T) {
	c := newChat(t)
	c.token = "777000111:another"
	c.up()
	select {
	case err := <-c.ended:
		require.ErrorIs(t, err, telegram.ErrToken)
		require.NotContains(t, err.Error(), "another")
	case <-time.After(10 * time.Second):
		t.Fatal("a wrong token must end the program")
	}
	c.stop = nil
	require.NoError(t, c.store.Close())
}

// locked lets the log be written from several goroutines.
type locked struct {
	mu sync.Mutex
	b  *strings.Builder
}

func (l *locked) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

// TestWebhook: with the right secret an update is answered for when it is in the
// file; anything else is turned away and writes nothing.
func TestWebhook(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.down()
	c.hook = "127.0.0.1:0"
	ln, err := net.Listen("tcp", c.hook)
	require.NoError(t, err)
	c.hook = ln.Addr().String()
	require.NoError(t, ln.Close())
	c.up()
	c.until("the webhook is set", func() bool { url, _ := c.api.Hook(); return url != "" })
	_, secret := c.api.Hook()
	post := func(method, secret, body string) int {
		req, err := http.NewRequestWithContext(t.Context(), method, "http://"+c.hook+"/", strings.NewReader(body))
		require.NoError(t, err)
		req.Header.Set("X-Telegram-Bot-Api-Secret-Token", secret)
		resp, err := http.DefaultClient.Do(req)
		require.NoError(t, err)
		resp.Body.Close()
		return resp.StatusCode
	}
	update := func(n int) string {
		return fmt.Sprintf(`{"update_id":%d,"message":{"message_id":%d,"date":%d,"chat":{"id":%d,"type":"supergroup"},"from":{"id":11,"first_name":"Maren"},"text":"/note hooked%d"}}`, n, n, time.Now().Unix(), group, n)
	}
	require.Equal(t, 404, post("POST", "wrong", update(1)))
	require.Equal(t, 404, post("GET", secret, ""))
	require.Equal(t, 413, post("POST", secret, strings.Repeat("x", 2<<20)))
	require.Equal(t, 200, post("POST", secret, "no json"))
	require.Equal(t, 200, post("POST", secret, update(2)))
	require.Equal(t, 200, post("POST", secret, update(2)))
	c.do(func(tx *storage.Tx) error {
		found, err := tx.Book(1, storage.BookQuery{Words: []string{"hooked"}, Limit: 10})
		for _, e := range found {
			if e.Kind == "note" {
				require.Equal(t, "hooked2", e.Text)
			}
		}
		require.Len(t, found, 1)
		return err
	})
}
