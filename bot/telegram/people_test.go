package telegram_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/bot/telegram/apiserver"
	"yardbell/storage"
)

var (
	june   = apiserver.User{ID: 66, Name: "June"}
	tablet = apiserver.User{ID: 77, Name: "Tablet"}
)

// still waits until everything that was typed or pressed has been taken and told.
func (c *chat) still() {
	c.t.Helper()
	c.until("all taken", func() bool { return c.api.Waiting() == 0 })
	c.quiet()
}

// number reads a count out of the file.
func (c *chat) number(query string, args ...any) (n int) {
	c.t.Helper()
	c.do(func(tx *storage.Tx) error { _, err := tx.One(query, args, &n); return err })
	return n
}

// press presses the button of a message whose line begins so.
func (c *chat) press(who apiserver.User, m apiserver.Message, line string) {
	c.t.Helper()
	for _, row := range m.Buttons {
		for _, b := range row {
			if strings.HasPrefix(b.Data, line) {
				c.api.Press(who, m, b.Data)
				return
			}
		}
	}
	require.Fail(c.t, "no such button", "%s in %v", line, m.Buttons)
}

// known ties an account to somebody of the household, as Maren says.
func (c *chat) known(who apiserver.User, name string) {
	c.t.Helper()
	c.api.Type(group, who, "/house me "+name)
	c.press(maren, c.sees("says: I am "+name), "tie:")
	c.sees(name + " is known by that account now")
}

// shared makes the tablet everyone's.
func (c *chat) shared() {
	c.t.Helper()
	c.api.Type(group, tablet, "/house shared")
	c.press(maren, c.sees("a tablet that everyone uses?"), "tie:")
	c.sees("the tablet for everyone now")
}

// in waits until a chat shows a text, and returns the message.
func (c *chat) in(chat int64, text string) (found apiserver.Message) {
	c.t.Helper()
	c.until("waiting for "+text, func() bool {
		for _, m := range c.api.Shown(chat) {
			if strings.Contains(m.Plain, text) {
				found = m
				return true
			}
		}
		return false
	})
	return found
}

// replyTo are the fields of a message that replies to one of ours.
func replyTo(chat int64, message int) map[string]any {
	kind := "supergroup"
	if chat > 0 {
		kind = "private"
	}
	return map[string]any{"reply_to_message": map[string]any{
		"message_id": message, "date": 1, "chat": map[string]any{"id": chat, "type": kind}, "from": map[string]any{"id": apiserver.Bot, "is_bot": true, "first_name": "Yardbell"},
	}}
}

// TestRemovedReadsNoMore: the private chat of somebody who has gone is a stranger's.
func TestRemovedReadsNoMore(t *testing.T) {
	c := newChat(t)
	c.api.AddChat(ivo.ID, "private")
	c.joined()
	c.known(ivo, "Ivo")
	c.api.Type(ivo.ID, ivo, "who")
	c.in(ivo.ID, "The household")
	c.api.Type(group, maren, "/house remove Ivo")
	c.api.Type(group, maren, "/note the key is under the third pot")
	c.api.Type(ivo.ID, ivo, "book")
	c.in(ivo.ID, "I talk in a household's group")
	c.still()
	require.NotContains(t, c.all(ivo.ID), "third pot")
}

// TestNameComesBackWithoutItsAccount: a name that is added again is somebody new
// until a keeper says who; a removal that is taken back is the same person.
func TestNameComesBackWithoutItsAccount(t *testing.T) {
	c := newChat(t)
	bram := apiserver.User{ID: 44, Name: "Bram"}
	c.joined()
	c.api.Type(group, maren, "/house add Bram keeper")
	c.sees("Added Bram, keeper")
	c.known(bram, "Bram")
	c.api.Type(group, maren, "/house remove Bram")
	c.api.Type(group, maren, "/undo")
	c.api.Type(group, bram, "/house add Tom")
	c.sees("Added Tom")
	c.api.Type(group, maren, "/house remove Bram")
	c.api.Type(group, maren, "/house add Bram keeper")
	c.api.Type(group, bram, "/house add Mallory keeper")
	c.sees("Only a keeper may do that")
	require.Zero(t, c.number(`SELECT count(*) FROM person WHERE name = 'Mallory'`))
}

// TestOneHouseholdOfTwo: in a private chat with somebody of two households a press
// and a reply count where the message is from, and a line of its own is asked.
func TestOneHouseholdOfTwo(t *testing.T) {
	c := newChat(t)
	c.api.AddChat(-66, "group")
	c.api.AddChat(maren.ID, "private")
	c.joined()
	c.key("cedar")
	c.api.Type(-66, maren, "/house join cedar")
	c.in(-66, "Maren its keeper")
	c.api.Type(maren.ID, maren, "note for whom")
	c.in(maren.ID, "Which household is that for?")
	require.Zero(t, c.number(`SELECT count(*) FROM inbox WHERE text LIKE '%for whom%'`), "it may be the other's")
	for _, chat := range []int64{group, -66} {
		c.api.Type(chat, maren, "/ring me work alone in 1 min")
		c.api.Type(chat, maren, "/ring me more work in 1 min")
	}
	c.still()
	c.tick(61 * time.Second)
	c.still()
	c.until("a copy of each", func() bool { return strings.Count(c.all(maren.ID), "ork alone") == 2 })
	var copies []apiserver.Message
	for _, m := range c.api.Shown(maren.ID) {
		if strings.Contains(m.Plain, "ork alone") {
			copies = append(copies, m)
		}
	}
	from := func(m apiserver.Message) int {
		return c.number(`SELECT household FROM shown WHERE chat = ? AND message = ?`, fmt.Sprint("tg:", maren.ID), m.ID)
	}
	slices.SortFunc(copies, func(a, b apiserver.Message) int { return from(a) - from(b) }) // each household's is sent for itself
	done := func(household int) int {
		return c.number(`SELECT count(*) FROM ring WHERE household = ? AND answer = 'done'`, household)
	}
	c.press(maren, copies[1], "done")
	c.still()
	require.Equal(t, []int{0, 1}, []int{done(1), done(2)})
	c.api.Type(maren.ID, maren, "done all", replyTo(maren.ID, copies[0].ID))
	c.still()
	require.Equal(t, []int{2, 1}, []int{done(1), done(2)})
}

// TestOneHouseholdLeft: who has gone from one household and is of another speaks to
// that one, and not through what the first told.
func TestOneHouseholdLeft(t *testing.T) {
	c := newChat(t)
	c.api.AddChat(-66, "group")
	c.api.AddChat(ivo.ID, "private")
	c.joined()
	c.known(ivo, "Ivo")
	c.api.Type(ivo.ID, ivo, "/bells")
	c.still()
	old := c.api.Shown(ivo.ID)[0]
	c.api.Type(group, maren, "/house remove Ivo")
	c.key("cedar")
	c.api.Type(-66, ivo, "/house join cedar")
	c.in(-66, "Ivo its keeper")
	c.api.Type(ivo.ID, ivo, "who")
	m := c.in(ivo.ID, "The household")
	require.NotContains(t, m.Plain, "Maren")
	c.api.Type(ivo.ID, ivo, "who", replyTo(ivo.ID, old.ID))
	c.still()
	require.NotContains(t, c.all(ivo.ID), "Maren")
}

// TestReplyToCopy: "done" in reply to a copy means the ring that it tells, though
// another is open too.
func TestReplyToCopy(t *testing.T) {
	c := newChat(t)
	c.api.AddChat(maren.ID, "private")
	c.joined()
	c.api.Type(maren.ID, maren, "/ring me phone the vet in 1 min")
	c.api.Type(maren.ID, maren, "/ring me shut the gate in 3 min")
	c.still()
	c.tick(61 * time.Second)
	c.still()
	c.tick(182 * time.Second)
	c.still()
	c.in(maren.ID, "Shut the gate (")
	c.api.Type(maren.ID, maren, "done", replyTo(maren.ID, c.in(maren.ID, "Phone the vet (").ID))
	c.still()
	require.Equal(t, 1, c.number(`SELECT count(*) FROM entry WHERE kind = 'done' AND text LIKE '%vet%'`))
}

// TestReplyIsOfItsChat: the number of a message in a private chat is not that of
// the board which has the same in the group.
func TestReplyIsOfItsChat(t *testing.T) {
	c := newChat(t)
	c.api.AddChat(maren.ID, "private")
	c.joined()
	c.api.Type(group, maren, "/ring Ivo feed the hens in 1 min")
	c.sees("feed the hens")
	c.tick(61 * time.Second)
	c.still()
	m := c.sees("Ivo: feed the hens (")
	c.api.Type(maren.ID, maren, "done", replyTo(maren.ID, m.ID))
	require.Equal(t, "feed the hens", c.in(maren.ID, "Which one?").Buttons[0][0].Text)
	require.Zero(t, c.number(`SELECT count(*) FROM entry WHERE kind = 'done'`))
}

// TestLastKeeperStays: the only keeper cannot give their own account away, and
// where there is another nobody is their own witness.
func TestLastKeeperStays(t *testing.T) {
	c := newChat(t)
	tom := apiserver.User{ID: 12, Name: "Tom"}
	c.joined()
	for _, line := range []string{"/house shared", "/house me Ivo"} {
		id := c.api.Type(group, maren, line)
		c.still()
		for _, m := range c.api.Shown(group) {
			if m.ReplyTo == id {
				c.press(maren, m, "tie:")
			}
		}
	}
	c.until("two refusals", func() bool {
		return strings.Count(strings.Join(c.api.Answers(), "|"), "the only keeper's account") == 2
	})
	c.api.Type(group, maren, "/house add Tom keeper")
	c.sees("Added Tom, keeper")
	c.known(tom, "Tom")
	c.api.Type(group, tom, "/house me Ivo")
	m := c.sees("Tom says: I am Ivo")
	c.press(tom, m, "tie:")
	c.until("a refusal", func() bool { return strings.Contains(strings.Join(c.api.Answers(), "|"), "another keeper presses") })
	c.press(maren, m, "tie:")
	c.sees("Ivo is known by that account now")
}

// TestTiedOnce: a tie that is pressed again, by whatever update, changes nothing.
func TestTiedOnce(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.api.Type(group, ivo, "/house me Ivo")
	m := c.sees("I am Ivo")
	for range 3 {
		c.press(maren, m, "tie:")
	}
	c.still()
	require.Len(t, c.messagesWith("Ivo is known by"), 1)
	require.Equal(t, 1, c.number(`SELECT count(*) FROM entry WHERE text LIKE 'tied%'`))
}

// TestTabletIsNoAdult: on the tablet a child can type anybody's name, so what is for
// adults only is not done there.
func TestTabletIsNoAdult(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.shared()
	c.api.Type(group, tablet, "Maren: lye 900 g tallow 300 g coconut superfat 6% 2:1 water")
	c.sees("Not from the tablet")
	c.api.Type(group, maren, "/ring me take the oven off in 1 min, safety")
	c.do(func(tx *storage.Tx) error { _, err := tx.Exec(`UPDATE bell SET safety = 1`); return err })
	c.still()
	c.tick(61 * time.Second)
	c.still()
	c.sees("take the oven off")
	c.api.Type(group, tablet, "Maren: done 2")
	c.sees("is a safety bell: an adult says when it is done")
	require.Zero(t, c.number(`SELECT count(*) FROM ring WHERE answer IS NOT NULL`))
}

// TestKeyOfAnotherHousehold: a key for the neighbours founds a household; the one
// that lives in the terminal moves by the key that was made for it.
func TestKeyOfAnotherHousehold(t *testing.T) {
	c := newChat(t)
	c.api.AddChat(-66, "group")
	c.up()
	c.do(func(tx *storage.Tx) error {
		id, err := tx.Found("console", "UTC", "Maren", time.Now())
		require.NoError(t, err)
		_, err = tx.Record(storage.Entry{Household: id, Person: 1, Happened: time.Now(), Written: time.Now(), Kind: "note", Text: "the key is under the third pot"})
		return err
	})
	c.key("neighbours")
	c.ownKey("ours")
	c.api.Type(-66, june, "/house join neighbours")
	c.in(-66, "June its keeper")
	c.api.Type(-66, june, "/book")
	c.api.Type(group, maren, "/house join ours")
	c.api.Type(group, maren, "/book")
	c.sees("third pot")
	c.still()
	require.NotContains(t, c.all(-66), "third pot")
}

// TestKeyTypedAtHome: a key that is typed in a household's own group has been seen
// by everybody there, so it counts no more, and is not kept.
func TestKeyTypedAtHome(t *testing.T) {
	c := newChat(t)
	c.api.AddChat(-66, "group")
	c.joined()
	c.key("cedar")
	c.api.Type(group, maren, "/house join cedar")
	c.sees("a household's chat already")
	c.api.Type(-66, june, "/house join cedar")
	c.in(-66, "under their own name")
	require.Zero(t, c.number(`SELECT count(*) FROM inbox WHERE text LIKE '%cedar%'`))
}

// TestWritingAsTheGroup: somebody who hides behind the group is told why they are
// not heard, and never becomes anybody: all such have one account.
func TestWritingAsTheGroup(t *testing.T) {
	c := newChat(t)
	c.api.AddChat(-66, "group")
	c.joined()
	c.key("cedar")
	say := func(chat int64, id int, text string) {
		c.api.Push(map[string]any{"message": map[string]any{
			"message_id": id, "date": time.Now().Unix(), "chat": map[string]any{"id": chat, "type": "supergroup"}, "sender_chat": map[string]any{"id": chat, "type": "supergroup"},
			"from": map[string]any{"id": 1087968824, "is_bot": true, "first_name": "Group"}, "text": text,
		}})
	}
	say(group, 900, "/house me Maren")
	say(group, 901, "the hens are in")
	say(-66, 902, "/house join cedar")
	c.sees("You write as the group itself")
	c.in(-66, "under their own name")
	c.still()
	require.Len(t, c.messagesWith("You write as the group itself"), 1)
	require.Equal(t, 1, c.number(`SELECT count(*) FROM account`))
	require.Equal(t, 1, c.number(`SELECT count(*) FROM household`))
}
