package main

import (
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// BenchmarkStart measures a whole process from start to its first answer against
// a bare program that opens the same file and reads a row, in turn.
func BenchmarkStart(b *testing.B) {
	dir := b.TempDir()
	bin, bare, db := filepath.Join(dir, "yardbell"), filepath.Join(dir, "bare"), filepath.Join(dir, "house.db")
	for out, pkg := range map[string]string{bin: ".", bare: "./testdata/bare"} {
		text, err := exec.Command("go", "build", "-o", out, pkg).CombinedOutput()
		require.NoError(b, err, string(text))
	}
	start := func(args ...string) time.Duration {
		cmd := command(args[0], args[1:]...)
		begun := time.Now()
		require.NoError(b, cmd.Run())
		return time.Since(begun)
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
