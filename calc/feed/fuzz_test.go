package feed_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/calc/feed"
)

// FuzzNames: any word is a thing of the tables or none, and a thing is found by its own name.
func FuzzNames(f *testing.F) {
	for _, s := range []string{"hens", "  Layers   Pellets ", "in milk", "hay", "small square", "\xff", "", "İ"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, word string) {
		if k, ok := feed.KindNamed(word); ok {
			again, ok := feed.KindNamed(k.Name)
			require.True(t, ok)
			require.Equal(t, k, again)
			_, ok = feed.StageNamed(word, "")
			require.True(t, ok)
		}
		if x, ok := feed.FeedNamed(word); ok {
			again, ok := feed.FeedNamed(x.Name)
			require.True(t, ok)
			require.Equal(t, x, again)
		}
		if s, ok := feed.StageNamed("goat", word); ok {
			k, _ := feed.KindNamed("goat")
			require.Contains(t, k.Stages, s)
		}
		_, _ = feed.BaleOf("hay", word)
		_, _ = feed.WasteOf(word)
		_, err := feed.Need(feed.Group{Kind: word, Heads: 1}, feed.Weather{Coat: word})
		if _, ok := feed.KindNamed(word); !ok {
			require.ErrorIs(t, err, feed.ErrKind)
		}
	})
}
