package replay_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/bot/replay"
)

func TestParse(t *testing.T) {
	s, err := replay.Parse(strings.NewReader("# a comment\n2027-03-01 09:00 Maren: recipe Soup\n  2 cups stock\n  \n  1. Boil.\ncrash\nuntil 2027-03-02 10:00\n"))
	require.NoError(t, err)
	require.Len(t, s, 3)
	require.Equal(t, "recipe Soup\n2 cups stock\n\n1. Boil.", s[0].Text)
	require.True(t, s[1].Crash)
	require.True(t, s[2].Until)
}

// FuzzParse reads any file: a script or a line number, never a panic, and times
// never run backward in a script that was taken.
func FuzzParse(f *testing.F) {
	f.Add("2027-03-01 09:00 Maren: rack\nuntil 2027-03-02 10:00\ncrash\n")
	f.Add("  x\n\t\n# \nuntil\n2027-99-99 99:99 a: b")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := replay.Parse(strings.NewReader(text))
		if err != nil {
			require.Nil(t, s)
			return
		}
		for i := 1; i < len(s); i++ {
			if !s[i].Crash && !s[i-1].Crash {
				require.False(t, s[i].Wall.Before(s[i-1].Wall))
			}
		}
	})
}

func TestParseNamesTheLine(t *testing.T) {
	_, err := replay.Parse(strings.NewReader("\ufeff2027-03-01 09:00 Maren: rack\n2027-03-01 09:01 Maren: " + strings.Repeat("x", 2<<20) + "\n"))
	var bad *replay.BadLine
	require.ErrorAs(t, err, &bad)
	require.Equal(t, 2, bad.Line)
}
