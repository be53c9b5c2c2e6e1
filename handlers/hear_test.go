package handlers_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/storage"
)

var morning = time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)

// TestWhichOneOfOthers: a keeper for whom nothing rings is asked which of the
// others' rings is meant, by name and number.
func TestWhichOneOfOthers(t *testing.T) {
	h := newHome(t)
	h.say(morning, "Maren", "ring Ivo feed the hens in 1 min")
	replies := h.say(morning.Add(2*time.Minute), "Maren", "/done")
	require.Equal(t, "Which one?", replies[0].Head)
	require.Equal(t, storage.Button{Label: "feed the hens", Say: "done 2"}, replies[0].Buttons[0])
}
