package main

import (
	"bytes"
	"context"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden files anew")

// yardbell runs the whole program in process.
func yardbell(t *testing.T, stdin string, args ...string) (out, errOut string, code int) {
	t.Helper()
	t.Setenv("TZ", "Europe/London")
	t.Setenv("YARDBELL_DB", "")
	t.Setenv("YARDBELL_LOG", "")
	require.NoError(t, os.Unsetenv("YARDBELL_DB"))
	var o, e bytes.Buffer
	code = run(context.Background(), args, strings.NewReader(stdin), &o, &e)
	return o.String(), e.String(), code
}

// golden compares text with a golden file, or writes it.
func golden(t *testing.T, file, got string) {
	t.Helper()
	if *update {
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
		return
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(want), got, "%s differs; if that is meant, run with -update and read the change", file)
}

func TestConversations(t *testing.T) {
	files, err := filepath.Glob("../testdata/conversations/*.txt")
	require.NoError(t, err)
	played := 0
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".txt")
		if name == "README" || testing.Short() && name != "first-batch" { // the race detector's run
			continue
		}
		played++
		t.Run(name, func(t *testing.T) { playConversation(t, file, name) })
	}
	require.Positive(t, played)
}

func playConversation(t *testing.T, file, name string) {
	out, errOut, code := yardbell(t, "", "replay", file)
	require.Zero(t, code, errOut)
	golden(t, "../testdata/conversations/"+name+".golden", out)

	onFile, _, code := yardbell(t, "", "replay", "--db", filepath.Join(t.TempDir(), "house.db"), file)
	require.Zero(t, code)
	require.Equal(t, out, onFile, "a real file and memory must say the same")

	text, err := os.ReadFile(file)
	require.NoError(t, err)
	stations, err := filepath.Abs("../testdata/stations") // a conversation on standard input lies in no folder
	require.NoError(t, err)
	calm := strings.ReplaceAll(strings.ReplaceAll(string(text), "\ncrash\n", "\n"), "@../stations", "@"+stations)
	withoutCrash, _, code := yardbell(t, calm, "replay", "-")
	require.Zero(t, code)
	require.Equal(t, out, withoutCrash, "a crash must change nothing")
}

// TestCrashAfterEveryLine drops the process state after each line of the first batch
// and of a season in the garden, on a real file.
func TestCrashAfterEveryLine(t *testing.T) {
	for _, name := range []string{"first-batch", "garden-season"} {
		if testing.Short() && name != "first-batch" {
			continue
		}
		t.Run(name, func(t *testing.T) { crashAfterEveryLine(t, name) })
	}
}

func crashAfterEveryLine(t *testing.T, name string) {
	text, err := os.ReadFile("../testdata/conversations/" + name + ".txt")
	require.NoError(t, err)
	want, _, code := yardbell(t, string(text), "replay", "-")
	require.Zero(t, code)
	var crashing strings.Builder
	lines := strings.Split(string(text), "\n")
	for i, l := range lines {
		crashing.WriteString(l + "\n")
		if i+1 < len(lines) && !strings.HasPrefix(lines[i+1], "  ") {
			crashing.WriteString("crash\n")
		}
	}
	got, errOut, code := yardbell(t, crashing.String(), "replay", "--db", filepath.Join(t.TempDir(), "house.db"), "-")
	require.Zero(t, code, errOut)
	require.Equal(t, want, got)
}

// mostDemo bounds the demo, in lines: more is not read to the end.
const mostDemo = 165

// TestDemo holds the demo that a newcomer sees first.
func TestDemo(t *testing.T) {
	out, errOut, code := yardbell(t, "", "demo")
	require.Zero(t, code, errOut)
	require.Less(t, strings.Count(out, "\n"), mostDemo)
	golden(t, "../testdata/conversations/demo.golden", out)
}
