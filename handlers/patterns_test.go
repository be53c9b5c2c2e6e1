package handlers

import (
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/handlers/phrase"
)

// TestPatternsCompile compiles every pattern of the desks: one that does not would
// panic at the first line that needs it.
func TestPatternsCompile(t *testing.T) {
	all := phrase.Patterns()
	require.Greater(t, len(all), 50)
	for _, p := range all {
		require.NotPanics(t, func() { p.Re() })
	}
}
