package telegram

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestConflictsLast: single words about another program, however many in a day, are no
// other program; half a minute of them is.
func TestConflictsLast(t *testing.T) {
	now := time.Date(2027, 3, 1, 6, 0, 0, 0, time.UTC)
	var c conflicts
	for range 100 {
		now = now.Add(25 * time.Second)
		require.False(t, c.lasts(now))
	}
	for range 2 {
		now = now.Add(10 * time.Second)
		require.False(t, c.lasts(now))
	}
	require.True(t, c.lasts(now.Add(10*time.Second)))
}
