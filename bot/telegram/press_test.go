package telegram_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestRefusedPressUsesNothingUp: a guest's press, or the tablet's before anybody
// has said who, leaves the button to those who may; the guest alone is told.
func TestRefusedPressUsesNothingUp(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.shared()
	c.api.Type(group, maren, "/ring me phone the vet in 1 min")
	c.sees("phone the vet")
	c.tick(61 * time.Second)
	c.still()
	board := c.sees("Maren: phone the vet (")
	c.press(anna, board, "done")
	c.until("the guest is told", func() bool {
		return strings.Contains(strings.Join(c.api.Answers(), "|"), "Only people of the household")
	})
	c.press(tablet, board, "done")
	c.sees("Who is it?")
	require.Empty(t, c.messagesWith("Only people of the household"), "the group need not hear of it")
	c.press(maren, board, "done")
	c.until("done", func() bool { return strings.Contains(c.sees("Maren: phone the vet (").Plain, "done") })
	c.press(maren, board, "done")
	c.until("used up now", func() bool { return strings.Contains(strings.Join(c.api.Answers(), "|"), "Pressed already.") })
	require.Equal(t, 1, c.number(`SELECT count(*) FROM entry WHERE kind = 'done'`))
}

// TestRefusedPressLeavesTheButtons: what somebody may not press stays for those who
// may.
func TestRefusedPressLeavesTheButtons(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.api.Type(group, maren, "/house remove Ivo")
	m := c.sees("has gone from the household")
	c.press(anna, m, "undo")
	c.until("the guest is told", func() bool { return len(c.api.Answers()) == 1 })
	c.still()
	c.press(maren, c.sees("has gone from the household"), "undo")
	c.until("marked", func() bool { return strings.HasPrefix(c.sees("has gone from the household").Buttons[0][0].Text, "✓") })
	marks := 0
	for _, call := range c.api.Calls() {
		if call.Method == "editMessageReplyMarkup" {
			marks++
		}
	}
	require.Equal(t, 1, marks)
}

// TestSamePressOnce: a press that is brought again is not told again.
func TestSamePressOnce(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.shared()
	m := c.sees("Added Ivo")
	press := map[string]any{"callback_query": map[string]any{
		"id": "q1", "from": map[string]any{"id": tablet.ID, "first_name": "Tablet"}, "data": "note the hens are in", "chat_instance": "x",
		"message": map[string]any{"message_id": m.ID, "date": 1, "chat": map[string]any{"id": group, "type": "supergroup"}},
	}}
	c.api.Push(press)
	c.api.Push(press)
	c.still()
	require.Len(t, c.messagesWith("Who is it?"), 1)
}

// TestPressOnAnOldMessage: of a message that the service shows no more only number
// and chat come with a press; that is enough.
func TestPressOnAnOldMessage(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.api.Type(group, maren, "/ring me phone the vet in 1 min")
	c.sees("phone the vet")
	c.tick(61 * time.Second)
	c.still()
	m := c.sees("Maren: phone the vet (")
	c.api.Push(map[string]any{"callback_query": map[string]any{
		"id": "q1", "from": map[string]any{"id": maren.ID, "first_name": "Maren"}, "data": "done 2", "chat_instance": "x",
		"message": map[string]any{"message_id": m.ID, "date": 0, "chat": map[string]any{"id": group, "type": "supergroup"}},
	}})
	c.until("done", func() bool { return strings.Contains(c.sees("Maren: phone the vet (").Plain, "done") })
}

// TestDeletedBoard: when a board was deleted, what is open on it is shown anew with
// the next answer.
func TestDeletedBoard(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.api.Type(group, maren, "/ring me phone the vet in 1 min")
	c.api.Type(group, maren, "/ring me shut the gate in 1 min")
	c.still()
	c.tick(61 * time.Second)
	c.still()
	c.api.Delete(group, c.sees("phone the vet (").ID)
	c.api.Type(group, maren, "/done 3")
	m := c.sees("shut the gate (")
	require.Contains(t, m.Plain, "done")
	c.press(maren, m, "done 4")
	c.until("edited in place again", func() bool { return strings.Count(c.sees("shut the gate (").Plain, "done") == 2 })
	require.Len(t, c.messagesWith("shut the gate ("), 1)
}
