package telegram_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/bot/telegram/apiserver"
	"yardbell/storage"
)

// edits changes a message some seconds after it was typed, to other words or to
// another place.
func (c *chat) edits(who apiserver.User, message int, typed time.Time, seconds int64, what map[string]any) {
	m := map[string]any{
		"message_id": message, "date": typed.Unix(), "edit_date": time.Now().Unix() + seconds,
		"chat": map[string]any{"id": group, "type": "supergroup"}, "from": map[string]any{"id": who.ID, "first_name": who.Name},
	}
	for k, v := range what {
		m[k] = v
	}
	c.api.Push(map[string]any{"edited_message": m})
}

func words(text string) map[string]any { return map[string]any{"text": text} }

// TestEdits: a line is written once however often it is changed, is read as of when
// it was changed, and may be about accounts.
func TestEdits(t *testing.T) {
	c := newChat(t)
	c.joined()
	now := time.Now()
	id := c.api.Type(group, maren, "notte")
	c.edits(maren, id, now, 5, words("/note the sow is off feed"))
	c.edits(maren, id, now, 9, words("/note the sow is off her feed"))
	c.sees("What was written stays as it was")
	require.Equal(t, 1, c.number(`SELECT count(*) FROM entry WHERE kind = 'note'`))

	c.edits(maren, 50, now.Add(-24*time.Hour), 0, words("/ring me call the smith tomorrow at 9am"))
	m := c.sees("call the smith")
	require.Contains(t, m.Plain, now.UTC().AddDate(0, 0, 1).Format("2 Jan"))

	id = c.api.Type(group, ivo, "/house me Ivvo")
	c.sees("I know nobody called")
	c.edits(ivo, id, now, 3, words("/house me Ivo"))
	c.sees("I am Ivo")
}

// TestPlaces: a location that a keeper sends is where the household is; a shop's,
// one that moves along, and anybody else's is talk.
func TestPlaces(t *testing.T) {
	c := newChat(t)
	c.joined()
	now := time.Now()
	at := func(latitude float64, more map[string]any) map[string]any {
		location := map[string]any{"latitude": latitude, "longitude": -3.7}
		for k, v := range more {
			location[k] = v
		}
		return map[string]any{"location": location}
	}
	live := map[string]any{"live_period": 900}
	id := c.api.Type(group, maren, "", at(51, live))
	c.edits(maren, id, now, 10, at(52, live))
	c.edits(maren, id, now, 20, at(53, nil))
	shop := at(54, nil)
	shop["venue"] = map[string]any{"title": "The vet", "address": "x", "location": shop["location"]}
	c.api.Type(group, maren, "", shop)
	c.api.Type(group, anna, "", at(55, nil))
	c.still()
	before := c.all(group)
	require.NotContains(t, before, "The place is")
	require.NotContains(t, before, "Only a keeper")
	c.api.Type(group, maren, "", at(57.2, nil))
	c.sees("The place is 57.2 -3.7")
}

// TestReplyIsNoTopic: in a supergroup without topics a reply has a thread too, which
// the service knows nothing of when it is written to.
func TestReplyIsNoTopic(t *testing.T) {
	c := newChat(t)
	c.joined()
	reply := replyTo(group, 104)
	reply["message_thread_id"] = 104
	c.api.Type(group, maren, "/who", reply)
	require.Zero(t, c.sees("The household:").Thread)
	c.api.Type(group, ivo, "/house me Ivo", reply)
	require.Zero(t, c.sees("I am Ivo").Thread)
}

// TestGroupMovesToATakenNumber: the move is refused and said in the log; what comes
// after it is answered.
func TestGroupMovesToATakenNumber(t *testing.T) {
	c := newChat(t)
	c.api.AddChat(-7, "group")
	c.api.AddChat(-1007, "supergroup")
	c.joined()
	for chat, key := range map[int64]string{-7: "cedar", -1007: "alder"} {
		c.key(key)
		c.api.Type(chat, june, "/house join "+key)
		c.in(chat, "June its keeper")
	}
	c.api.Migrate(-7, -1007, true)
	c.api.Type(group, maren, "/who")
	c.sees("The household:")
	c.still()
	c.down()
	require.Contains(t, c.log.String(), "a group moved to a number that is another household's")
}

// TestMovedGroupHasNewNumbers: after a move a board is told anew, for its old number
// is another message's now.
func TestMovedGroupHasNewNumbers(t *testing.T) {
	c := newChat(t)
	c.api.AddChat(-7, "group")
	c.up()
	c.key("tallow")
	c.api.Type(-7, maren, "/house join tallow")
	c.api.Type(-7, maren, "/ring me phone the vet in 1 min")
	c.in(-7, "phone the vet")
	c.tick(61 * time.Second)
	c.still()
	c.in(-7, "Maren: phone the vet (")
	c.api.Migrate(-7, -1007, true)
	c.api.Type(-1007, maren, "/done")
	require.Contains(t, c.in(-1007, "Maren: phone the vet (").Plain, "done")
	for _, call := range c.api.Calls() {
		require.False(t, call.Method == "editMessageText" && call.Chat == -1007)
	}
}

// TestHouseholdThatCannotBeRead: a household whose settings cannot be read is not
// answered; another is.
func TestHouseholdThatCannotBeRead(t *testing.T) {
	c := newChat(t)
	c.api.AddChat(-66, "group")
	c.joined()
	c.key("cedar")
	c.api.Type(-66, june, "/house join cedar")
	c.in(-66, "June its keeper")
	c.do(func(tx *storage.Tx) error { return tx.Set(2, storage.SetQuiet, "whenever") })
	c.api.Type(-66, june, "/who")
	c.api.Type(group, maren, "/who")
	c.sees("The household:")
	c.down()
	require.Contains(t, c.log.String(), "could not be handled and is passed over")
	require.NotContains(t, c.log.String(), "/who")
}
