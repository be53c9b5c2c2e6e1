package phrase

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestNearIsByDistance holds the short way, by the letters of the words, against the
// distance alone.
func TestNearIsByDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		letter := rapid.SampledFrom([]rune("abcdeéßжы'"))
		word := []rune(rapid.StringOfN(letter, 0, 12, -1).Draw(t, "word"))
		other := slip(t, slip(t, word, letter), letter)
		a, b := string(word), string(other)
		allowed := slips(min(len(a), len(b)))
		d := Distance(a, b)
		want := d > 0 && d <= allowed && len(a)-len(b) <= allowed && len(b)-len(a) <= allowed
		_, near := isNear(a, b)
		require.Equal(t, want, near, "%q and %q are %d apart", a, b, d)
	})
}

// slip makes one slip in a word, or none.
func slip(t *rapid.T, word []rune, letter *rapid.Generator[rune]) []rune {
	at := rapid.IntRange(0, len(word)).Draw(t, "at")
	in := letter.Draw(t, "letter")
	switch kind := rapid.IntRange(0, 3).Draw(t, "slip"); {
	case kind == 0:
		return slices.Insert(slices.Clone(word), at, in)
	case kind == 1 && at < len(word):
		return slices.Delete(slices.Clone(word), at, at+1)
	case kind == 2 && at < len(word):
		return slices.Replace(slices.Clone(word), at, at+1, in)
	case kind == 3 && at+1 < len(word):
		swapped := slices.Clone(word)
		swapped[at], swapped[at+1] = swapped[at+1], swapped[at]
		return swapped
	}
	return word
}

// TestNoSlipIsPassedOver: the letters of its first word keep no name of a list from being
// found that a slip is forgiven in.
func TestNoSlipIsPassedOver(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		letter := rapid.SampledFrom([]rune("abcdeéosy"))
		name := []rune(rapid.StringOfN(letter, 3, 10, -1).Draw(t, "name"))
		ending := rapid.SampledFrom([]string{"", "s", "es", "'s", "s's", "es's"}).Draw(t, "ending")
		text := string(slip(t, slip(t, name, letter), letter)) + ending + " ecoop"
		list := NewList("names", []Entry{{Name: string(name) + rapid.SampledFrom([]string{"", " scoop"}).Draw(t, "second")}})
		l := NewLine(text, Tokens(text), Context{}).line
		_, matches := l.matchForm(&list.forms[0], 0, true)
		_, found := l.bestForm(list, 0, nil, true)
		require.Equal(t, matches, len(found) > 0, "%q in %q", name, text)
	})
}
