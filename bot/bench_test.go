package main

import (
	"io"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// BenchmarkStart measures a process from its start to the first byte of its
// answer against a bare program that opens the same file and reads a row, in turn.
func BenchmarkStart(b *testing.B) {
	dir := b.TempDir()
	bin, bare, db := filepath.Join(dir, "yardbell"), filepath.Join(dir, "bare"), filepath.Join(dir, "house.db")
	for out, pkg := range map[string]string{bin: ".", bare: "./testdata/bare"} {
		text, err := exec.Command("go", "build", "-o", out, pkg).CombinedOutput()
		require.NoError(b, err, string(text))
	}
	start := func(args ...string) time.Duration {
		cmd := command(args[0], args[1:]...)
		out, err := cmd.StdoutPipe()
		require.NoError(b, err)
		begun := time.Now()
		require.NoError(b, cmd.Start())
		_, err = out.Read(make([]byte, 1))
		took := time.Since(begun)
		require.NoError(b, err)
		_, _ = io.Copy(io.Discard, out)
		require.NoError(b, cmd.Wait())
		return took
	}
	start(bin, "say", "--db", db, "--as", "Maren", "/note founded")
	var ours, theirs time.Duration
	for b.Loop() {
		ours += start(bin, "say", "--db", db, "rack")
		theirs += start(bare, db)
	}
	b.ReportMetric(float64(ours)/float64(theirs), "ratio-to-bare")
	b.ReportMetric(float64(ours.Milliseconds())/float64(b.N), "ms/start")
	b.ReportMetric(float64(theirs.Milliseconds())/float64(b.N), "ms/bare")
}
