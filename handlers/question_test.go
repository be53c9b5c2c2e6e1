package handlers_test

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestAJobAskedBackIsNotLost: a line in between puts the question once more and no more
// often, and what is said of a burn stands alone.
func TestAJobAskedBackIsNotLost(t *testing.T) {
	const still = `Not kept yet, and still asked: May children be near at "mend the gate"?`
	h := newHome(t)
	at := wallTime(t, "2027-03-01 07:30")
	ask := func(line string) string {
		replies := h.say(at, "Maren", line)
		require.Len(t, replies, 1, line)
		return replies[0].Text()
	}
	require.Contains(t, ask("job mend the gate, Edda, 45 min"), "May children be near")
	require.NotContains(t, ask("lye on Lise's hand"), "mend the gate")
	require.Contains(t, ask("eggs 14"), still)
	require.NotContains(t, ask("eggs 12 more"), "mend the gate")
	require.NotContains(t, ask("job mend the gate, Edda, 45 min, no children"), still)
}
