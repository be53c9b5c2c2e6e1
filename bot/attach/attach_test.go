package attach_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/bot/attach"
)

func TestCut(t *testing.T) {
	for text, want := range map[string][2]string{
		"frost @station.csv":           {"frost", "station.csv"},
		"frost  @my files/station.csv": {"frost", "my files/station.csv"},
		"@yardbell frost":              {"@yardbell frost", ""},
		"frost @":                      {"frost @", ""},
		"frost":                        {"frost", ""},
		"mail ruth@example.org":        {"mail ruth@example.org", ""},
	} {
		line, name, ok := attach.Cut(text)
		require.Equal(t, want, [2]string{line, name}, text)
		require.Equal(t, want[1] != "", ok, text)
	}
}

func TestRead(t *testing.T) {
	dir := t.TempDir()
	write := func(name, body string) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(body), 0o600))
	}
	write("good.csv", "date,min\n2027-01-01,-3\n")
	write("binary.csv", "\xff\xfe\x00")
	write("empty.csv", "")
	write("large.csv", strings.Repeat("x", attach.Most+1))
	text, why := attach.Read(dir, "good.csv")
	require.Empty(t, why)
	require.Contains(t, text, "2027-01-01")
	for name, want := range map[string]string{"none.csv": "none of that name", "binary.csv": "no text", "empty.csv": "empty", "large.csv": "20 MB", ".": "does not open"} {
		text, why := attach.Read(dir, name)
		require.Empty(t, text, name)
		require.Contains(t, why, want, name)
	}
	text, _ = attach.Read("elsewhere", filepath.Join(dir, "good.csv"))
	require.NotEmpty(t, text)
}
