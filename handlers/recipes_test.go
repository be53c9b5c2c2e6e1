package handlers_test

import (
	"context"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/storage"
)

// kept are the recipes of a home, without their numbers.
func (h *home) kept() []storage.Recipe {
	h.t.Helper()
	var all []storage.Recipe
	require.NoError(h.t, h.store.Do(context.Background(), func(tx *storage.Tx) (err error) {
		all, err = tx.Recipes(1)
		return err
	}))
	for i := range all {
		all[i].ID = 0
	}
	return all
}

// TestRecipeFiles keeps a file of recipes as people write them, whole: each with its
// ingredients, none of them lost.
func TestRecipeFiles(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../testdata/checks/recipe-files.txt")
	require.NoError(t, err)
	h := newHome(t)
	at := time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)
	replies := h.say(at, "Maren", "recipe\n"+string(text))
	require.NotEmpty(t, replies)
	require.Equal(t, storage.OK, replies[0].Status, replies[0].Text())
	all := h.kept()
	require.Len(t, all, 6, replies[0].Text())
	for _, r := range all {
		for line := range strings.Lines(r.Body) {
			require.Contains(t, string(text), strings.TrimRight(line, "\n"), "as it was written")
		}
	}
	for name, line := range map[string]string{"Hollin Bank mutton hotpot": "neck of mutton", "Tom's Sunday bread": "white flour", "Cedar Fork skillet supper": "ground beef"} {
		shown := h.say(at.Add(time.Minute), "Maren", "recipe "+name)
		require.NotEmpty(t, shown, name)
		require.Contains(t, shown[0].Text(), line)
	}
}

// TestRecipesOutAndBack writes a book out and reads it into an empty house: nothing is
// lost and nothing is added.
func TestRecipesOutAndBack(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	at := time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)
	for i, line := range []string{
		"recipe Barley soup for 4\n200 g barley\n2 1/4 cups stock\nsalt to taste\n\n1. Boil it.\n\n2. Eat it.",
		"recipe Feast pie\nFor the filling:\n2-3 carrots\n1 (15 oz) tin beans\nFor the top:\n1 packet pastry\n\nBake 40 minutes.",
		"recipe Flapjack for 10\n500 g oats\n250 g butter",
		"tag barley soup winter cheap",
	} {
		require.Equal(t, storage.OK, h.say(at.Add(time.Duration(i)*time.Minute), "Maren", line)[0].Status, line)
	}
	out := h.say(at.Add(time.Hour), "Maren", "export recipes")
	require.Len(t, out, 1)
	require.Len(t, out[0].Files, 1, out[0].Text())

	other := newHome(t)
	replies := other.say(at, "Maren", "recipe\n"+string(out[0].Files[0].Content))
	require.Equal(t, storage.OK, replies[0].Status, replies[0].Text())
	require.Equal(t, h.kept(), other.kept())
}
