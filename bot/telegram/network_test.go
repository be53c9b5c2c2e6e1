package telegram_test

import (
	"strings"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/bot/telegram/apiserver"
)

// once answers one call of a method, the nth, in another way.
func once(method string, nth int64, a apiserver.Answer) func(apiserver.Call) *apiserver.Answer {
	var n atomic.Int64
	return func(c apiserver.Call) *apiserver.Answer {
		if c.Method == method && n.Add(1) == nth {
			return &a
		}
		return nil
	}
}

// TestOneFaultOfAnUpdateCall: neither one word about another program, nor an answer of
// which the library can read nothing, ends the fetching of updates.
func TestOneFaultOfAnUpdateCall(t *testing.T) {
	for _, a := range []apiserver.Answer{
		{Code: 409},
		{Body: `{"ok":true,"parameters":[],"result":[{"update_id":5}]}`},
		{Body: `{"ok":true,"result":[null,{"update_id":"x"},{"update_id":7,"message":[]}]}`},
		{Body: `{"ok":true,"result":{}}`},
		{Body: `{"ok":true,"result":[{"update`},
	} {
		c := newChat(t)
		c.api.SetAnswers(once("getUpdates", 3, a))
		c.joined()
		c.api.Type(group, maren, "/who")
		c.sees("The household:")
		c.down()
	}
}

// TestWebhookTakenOff: an earlier webhook that cannot be taken off at once is taken
// off later; until then nothing is asked for.
func TestWebhookTakenOff(t *testing.T) {
	c := newChat(t)
	var off atomic.Bool
	first := once("deleteWebhook", 1, apiserver.Answer{Code: 500})
	c.api.SetAnswers(func(call apiserver.Call) *apiserver.Answer {
		switch a := first(call); {
		case a != nil:
			return a
		case call.Method == "deleteWebhook":
			off.Store(true)
		case call.Method == "getUpdates" && !off.Load():
			return &apiserver.Answer{Code: 409}
		}
		return nil
	})
	c.joined()
	c.down()
	require.NotContains(t, c.log.String(), "updates could not be fetched")
}

// TestWebhookSetLater: a fault of the service when the webhook is set is waited out.
func TestWebhookSetLater(t *testing.T) {
	c := newChat(t)
	c.hook = "127.0.0.1:0"
	c.api.SetAnswers(once("setWebhook", 1, apiserver.Answer{Code: 500}))
	c.up()
	c.until("the webhook is set", func() bool { url, _ := c.api.Hook(); return url != "" })
}

// TestTextStaysOutOfTheLog: also when the service's answer to a message breaks off.
func TestTextStaysOutOfTheLog(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.api.Type(group, maren, "/note the key is under the third pot")
	c.quiet()
	c.api.SetAnswers(once("sendMessage", 1, apiserver.Answer{Body: `{"ok":true,"result":{"message_id":5,"text":"the key is under the third pot`}))
	c.api.Type(group, maren, "/book")
	c.sees("third pot")
	c.down()
	require.NotContains(t, c.log.String(), "third pot")
	require.Equal(t, 1, strings.Count(c.log.String(), "no answer of the service"))
}
