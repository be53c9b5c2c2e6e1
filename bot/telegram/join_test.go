package telegram

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestKeyGuard: somebody who mistypes a key may type it again at once; who goes on
// waits longer each time.
func TestKeyGuard(t *testing.T) {
	g, now := newKeyGuard(), time.Unix(1_800_000_000, 0)
	try := func() bool {
		now = now.Add(time.Second)
		if !g.may("a", now) {
			return false
		}
		g.failed("a", now)
		return true
	}
	require.True(t, try())
	require.True(t, try(), "a second after a slip")
	looked := 0
	for range 600 {
		if try() {
			looked++
		}
	}
	require.Less(t, looked, 10)
	require.True(t, g.may("b", now.Add(time.Second)), "another chat's keys are looked at")
	g.failed("b", now)
	require.False(t, g.may("c", now.Add(100*time.Millisecond)), "all chats together are slowed down too")
}
