package handlers_test

import (
	"log/slog"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/handlers"
)

// TestSubjectsHaveOneDesk: what follows when a bell is done goes by the kind of its
// subject. Lye that cools and soup that cools are not to be told the same, so a kind that
// one desk answers for is made by no other.
func TestSubjectsHaveOneDesk(t *testing.T) {
	oneAtATime(t)
	owner := map[string]string{}
	for _, d := range handlers.NewRoster(slog.New(slog.DiscardHandler)).Desks() {
		for kind := range d.Done {
			require.Empty(t, owner[kind], "%s and %s both answer for %q", owner[kind], d.Name, kind)
			owner[kind] = d.Name
		}
	}
	require.NotEmpty(t, owner)
	for kind, name := range owner {
		made := regexp.MustCompile(`(?:Subject: |[sS]ubject := |subject = )"` + kind + `[:"]`)
		files, err := filepath.Glob("*/*.go")
		require.NoError(t, err)
		for _, file := range files {
			if filepath.Dir(file) == name {
				continue
			}
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			require.False(t, made.Match(text), "%s makes bells of %q, which is the desk's of the %s", file, kind, name)
		}
	}
}
