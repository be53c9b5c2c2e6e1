package telegram_test

import (
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/bot/telegram/apiserver"
)

// drops sends a file with a caption.
func (c *chat) drops(who apiserver.User, caption, id, text string) {
	c.api.AddFile(id, text)
	c.api.Type(group, who, "", map[string]any{"caption": caption, "document": map[string]any{"file_id": id, "file_unique_id": "u", "file_size": len(text)}})
}

const barley = "200 g barley\n2 cups stock\n\n1. Boil."

// TestFilesThatAreNotOurs: a file is fetched only for a line that takes one, of
// somebody who may write. Nothing of any other is read or kept.
func TestFilesThatAreNotOurs(t *testing.T) {
	c := newChat(t)
	c.joined()
	much := strings.Repeat("/today\n", 30_000)
	c.drops(anna, "look", "f1", much)
	c.drops(maren, "look", "f2", much)
	c.drops(maren, "/who", "f3", much)
	c.drops(anna, "/recipe Barley soup for 4", "f4", barley)
	c.drops(anna, "recipe Barley soup for 4", "f5", barley)
	c.sees("The household:")
	c.still()
	require.NotContains(t, c.all(group), "Kept")
	for _, call := range c.api.Calls() {
		require.NotEqual(t, "getFile", call.Method)
	}
	require.Less(t, c.number(`SELECT max(length(text)) FROM inbox`), 100)
}

// TestSlowFile: a file that is long on its way holds up nobody else; of the line
// only its caption is kept.
func TestSlowFile(t *testing.T) {
	c := newChat(t)
	arrives := make(chan struct{})
	c.api.SetFails(func(method string) apiserver.Fault {
		if method == "getFile" {
			<-arrives
		}
		return apiserver.OK
	})
	c.joined()
	c.drops(maren, "/recipe Barley soup for 4", "f1", barley)
	c.api.Type(group, maren, "/who")
	c.sees("The household:")
	close(arrives)
	c.sees("Kept Barley soup")
	c.still()
	require.Zero(t, c.number(`SELECT count(*) FROM inbox WHERE text LIKE '%stock%'`))
	require.Zero(t, c.number(`SELECT count(*) FROM document`))
}

// TestFileIsTriedAgain: a call that fails loses no file, nor does the end of the
// program meanwhile.
func TestFileIsTriedAgain(t *testing.T) {
	c := newChat(t)
	var calls, fails atomic.Int64
	fails.Store(1 << 40)
	c.api.SetFails(func(method string) apiserver.Fault {
		if method == "getFile" && calls.Add(1) <= fails.Load() {
			return apiserver.Internal
		}
		return apiserver.OK
	})
	c.joined()
	c.drops(maren, "/recipe Barley soup for 4", "f1", barley)
	c.until("tried", func() bool { return calls.Load() > 1 })
	c.down()
	fails.Store(calls.Load() + 2)
	c.up()
	c.sees("Kept Barley soup")
	require.Len(t, c.messagesWith("Barley soup"), 1)
}

// TestFileThatCannotBeRead: a file that is not there, or is no text, is told, and
// nothing is written.
func TestFileThatCannotBeRead(t *testing.T) {
	c := newChat(t)
	c.joined()
	c.drops(maren, "/recipe Pea soup for 4", "f1", "\xff\xfe\x00")
	c.sees("it is no text")
	c.api.Type(group, maren, "", map[string]any{"caption": "/recipe Pea soup for 4", "document": map[string]any{"file_id": "gone", "file_unique_id": "u"}})
	c.sees("the service does not have it")
	c.api.Type(group, maren, "", map[string]any{"caption": "/recipe Pea soup for 4", "document": map[string]any{"file_id": "f1", "file_unique_id": "u", "file_size": 21 << 20}})
	c.sees("larger than 20 MB")
	require.Zero(t, c.number(`SELECT count(*) FROM recipe`))
}

// TestManyLines: of a message of very many lines a guest's first few are answered,
// and how many were left out is said.
func TestManyLines(t *testing.T) {
	c := newChat(t)
	c.joined()
	begun := time.Now()
	c.api.Type(group, anna, strings.TrimSpace(strings.Repeat("/help\n", 682)))
	c.sees("the last 677 lines were left out")
	c.still()
	require.Less(t, len(c.api.Shown(group)), 6)
	require.Less(t, time.Since(begun), 2*time.Second)
}
