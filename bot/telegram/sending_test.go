package telegram_test

import (
	"fmt"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/bot/outbox"
	"yardbell/bot/telegram/apiserver"
	"yardbell/handlers/picture"
	"yardbell/storage"
)

// limited starts the service again with a limit.
func (c *chat) limited(l outbox.Limit) {
	c.t.Helper()
	c.quiet()
	c.down()
	c.limit = l
	c.up()
}

// setAside counts messages that were.
func (c *chat) setAside() (n int) {
	c.t.Helper()
	c.do(func(tx *storage.Tx) error {
		_, err := tx.One(`SELECT count(*) FROM outbox WHERE failed IS NOT NULL`, nil, &n)
		return err
	})
	return n
}

// counted returns the calls of a chat that count against its limit.
func (c *chat) counted(chat int64) (out []apiserver.Call) {
	for _, call := range c.api.Calls() {
		if call.Chat == chat && (strings.HasPrefix(call.Method, "send") || strings.HasPrefix(call.Method, "edit")) {
			out = append(out, call)
		}
	}
	return out
}

// topic is a line of a topic, or of a thread of replies that is none.
func topic(n int, is bool) map[string]any {
	return map[string]any{"message_thread_id": n, "is_topic_message": is}
}

// TestNoSuchTopic: where the service knows no such topic the answer comes without it.
func TestNoSuchTopic(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.api.Type(group, maren, "/who", topic(104, false))
	c.sees("The household:")
	c.api.CloseTopic(group, 7)
	c.api.Push(map[string]any{"message": map[string]any{
		"message_id": 900, "date": time.Now().Unix(), "chat": map[string]any{"id": group, "type": "supergroup"}, "from": map[string]any{"id": maren.ID, "first_name": "Maren"},
		"text": "/house", "message_thread_id": 7, "is_topic_message": true,
	}})
	require.Contains(t, c.sees("zone UTC, now").Text, "<b>", "and keeps its markup")
	require.Zero(t, c.setAside())
}

// TestNoReactions: in a group that allows none, records are told in words, joined,
// and within the limit.
func TestNoReactions(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.limited(outbox.Limit{Every: 50 * time.Millisecond, Burst: 3})
	c.api.SetAnswers(func(call apiserver.Call) *apiserver.Answer {
		if call.Method == "setMessageReaction" {
			return &apiserver.Answer{Code: 400}
		}
		return nil
	})
	before, begun := len(c.counted(group)), time.Now()
	for i := range 40 {
		c.api.Type(group, maren, fmt.Sprintf("/note thing number %d", i))
	}
	c.until("all taken", func() bool { return c.api.Waiting() == 0 })
	c.quiet()
	sent := len(c.counted(group)) - before
	require.LessOrEqual(t, sent, 3+1+int(time.Since(begun)/(50*time.Millisecond)))
	require.Less(t, sent, 30, "joined")
	require.Equal(t, 40, strings.Count(c.all(group), "Noted"))
}

// TestMarksKeepToTheLimit: a pressed button is marked only where the limit leaves room.
func TestMarksKeepToTheLimit(t *testing.T) {
	c := newChat(t)
	c.joined()
	for i := range 12 {
		c.api.Type(group, maren, "/house add Hand"+letters(i))
		c.api.Type(group, maren, "/house remove Hand"+letters(i))
	}
	c.until("all taken", func() bool { return c.api.Waiting() == 0 })
	c.limited(outbox.Limit{Every: time.Minute, Burst: 10})
	before := len(c.counted(group))
	for _, m := range c.messagesWith("has gone") {
		c.api.Press(maren, m, m.Buttons[0][0].Data)
	}
	c.until("all answered", func() bool { return len(c.api.Answers()) == 12 })
	c.down()
	require.LessOrEqual(t, len(c.counted(group))-before, 10)
}

// TestJoinedWithinATopic: what waits is joined, but not with what belongs elsewhere.
func TestJoinedWithinATopic(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.limited(outbox.Limit{Every: 50 * time.Millisecond, Burst: 3})
	for i := range 20 {
		c.api.Type(group, maren, "/house add Hand"+letters(i), topic(7+i/10, true))
	}
	c.until("all taken", func() bool { return c.api.Waiting() == 0 })
	c.quiet()
	told := c.messagesWith("Added Hand")
	require.Less(t, len(told), 20)
	for i := range 20 {
		require.Equal(t, 7+i/10, c.sees("Added Hand"+letters(i)).Thread)
	}
}

// TestNumbersOfTheOldGroup: a line typed right before its group became another is
// answered in words: its number means nothing there.
func TestNumbersOfTheOldGroup(t *testing.T) {
	c := newChat(t)
	c.api.AddChat(-7, "group")
	c.up()
	c.key("tallow")
	c.api.Type(-7, maren, "/house join tallow")
	c.until("joined", func() bool { return strings.Contains(c.all(-7), "keeper") })
	c.api.Migrate(-7, -1007, false)
	note := c.api.Type(-7, maren, "/note typed right before")
	c.api.Type(-7, maren, "/who")
	c.until("the answer", func() bool { return strings.Contains(c.all(-1007), "The household:") })
	c.quiet()
	require.Empty(t, c.api.Reaction(-1007, note))
	require.Contains(t, c.all(-1007), "Noted")
	for _, m := range c.api.Shown(-1007) {
		require.Zero(t, m.ReplyTo)
	}
}

// TestPartsAcrossARestart: a new process goes on with the part that was not taken.
func TestPartsAcrossARestart(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.quiet()
	var parts atomic.Int64
	c.api.SetAnswers(func(call apiserver.Call) *apiserver.Answer {
		if call.Method == "sendMessage" && parts.Add(1) > 2 {
			return &apiserver.Answer{Code: 429, Body: `{"ok":false,"error_code":429,"description":"Too Many Requests: retry after 60","parameters":{"retry_after":60}}`}
		}
		return nil
	})
	before := len(c.api.Shown(group))
	c.do(func(tx *storage.Tx) error {
		long := strings.Split(strings.Repeat(strings.Repeat("x", 3000)+"\n", 5), "\n")
		return tx.Post(1, 0, storage.Message{At: time.Now(), Kind: storage.KindNotice, Head: "long", Lines: long})
	})
	c.service.Kick()
	c.until("two parts", func() bool { return parts.Load() == 3 })
	c.down()
	c.api.SetAnswers(nil)
	c.up()
	c.quiet()
	require.Len(t, c.api.Shown(group), before+5)
}

// TestOneMessageThatIsNotTaken: others are told, whatever the service says to it.
func TestOneMessageThatIsNotTaken(t *testing.T) {
	for _, code := range []int{404, 413, 500} {
		c := newChat(t)
		c.api.SetAnswers(func(call apiserver.Call) *apiserver.Answer {
			if strings.Contains(call.Text, "Added Poison") {
				return &apiserver.Answer{Code: code}
			}
			return nil
		})
		c.joined()
		c.api.Type(group, maren, "/house add Poison")
		c.api.Type(group, maren, "/who")
		c.sees("The household:")
		if code != 500 { // that may pass
			require.Equal(t, 1, c.setAside())
		}
	}
}

// TestOtherChatsGoOn: a person's chat that is told to wait, and a household's in which
// messages hang, hold up nobody else.
func TestOtherChatsGoOn(t *testing.T) {
	c := newChat(t)
	c.api.AddChat(maren.ID, "private")
	c.api.AddChat(-66, "group")
	c.joined()
	c.key("cedar")
	c.api.Type(-66, anna, "/house join cedar")
	c.until("joined", func() bool { return strings.Contains(c.all(-66), "Anna its keeper") })
	c.quiet()
	var held atomic.Int64
	c.api.SetAnswers(func(call apiserver.Call) *apiserver.Answer {
		switch call.Chat {
		case maren.ID:
			held.Add(1)
			return &apiserver.Answer{Code: 429, Body: `{"ok":false,"error_code":429,"description":"Too Many Requests: retry after 600","parameters":{"retry_after":600}}`}
		case -66:
			held.Add(1)
			return &apiserver.Answer{}
		}
		return nil
	})
	c.api.Type(maren.ID, maren, "today")
	c.api.Type(-66, anna, "/who")
	c.until("both are held", func() bool { return held.Load() == 2 })
	c.api.Type(group, maren, "/who")
	c.sees("The household:")
	c.api.SetAnswers(nil)
}

// TestStopsWhileAPressHangs: a courtesy is not waited for when the program is asked to
// stop.
func TestStopsWhileAPressHangs(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.api.SetAnswers(func(call apiserver.Call) *apiserver.Answer {
		if call.Method == "answerCallbackQuery" {
			return &apiserver.Answer{}
		}
		return nil
	})
	c.api.Type(group, maren, "/house remove Ivo")
	m := c.sees("has gone from the household")
	c.api.Press(maren, m, m.Buttons[0][0].Data)
	c.sees("Taken back")
	begun := time.Now()
	c.down()
	require.Less(t, time.Since(begun), 2*time.Second)
}

// TestPicture: a picture is drawn when it is sent, and sent as one.
func TestPicture(t *testing.T) {
	c := newChat(t)
	c.joined()
	order, err := picture.Order(picture.Curve{Title: "Batch 1 drying", Points: []picture.Point{{Day: 7, Value: 1655}, {Day: 14, Value: 1590}}})
	require.NoError(t, err)
	c.do(func(tx *storage.Tx) error {
		return tx.Post(1, 0, storage.Message{At: time.Now(), Kind: storage.KindNotice, Head: "weighed", Files: []storage.File{{Name: "cure-1.png", Type: "image/png", Drawing: order}}})
	})
	c.service.Kick()
	c.until("the picture", func() bool {
		return slices.ContainsFunc(c.api.Shown(group), func(m apiserver.Message) bool { return m.Document == "cure-1.png" })
	})
}
