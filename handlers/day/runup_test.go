package day

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/storage"
)

func TestStepTime(t *testing.T) {
	for _, c := range []struct {
		text, rest string
		at         storage.Minutes
	}{
		{"05:30 sharpen", "sharpen", 5*60 + 30},
		{"6.00 pm leave", "leave", 18 * 60},
		{"load the pig at 7", "load the pig", 7 * 60},
	} {
		at, rest, ok := stepTime(c.text)
		require.True(t, ok, c.text)
		require.Equal(t, c.at, at, c.text)
		require.Equal(t, c.rest, strings.TrimSpace(rest), c.text)
	}
	for _, text := range []string{"12 crates to the yard", "1.5 kg salt", "call the butcher"} {
		_, _, ok := stepTime(text)
		require.False(t, ok, text)
	}
}
