package main

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/bot/telegram/apiserver"
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

// BenchmarkIdle prints the memory of the program in service while nothing happens;
// it should be at most 30 MB.
func BenchmarkIdle(b *testing.B) {
	if runtime.GOOS != "linux" {
		b.Skip("reads /proc")
	}
	api := apiserver.New()
	defer api.Close()
	api.AddChat(groupChat, "supergroup")
	dir := b.TempDir()
	bin := filepath.Join(dir, "yardbell")
	text, err := exec.Command("go", "build", "-o", bin, ".").CombinedOutput()
	require.NoError(b, err, string(text))
	cmd := serving(bin, filepath.Join(dir, "house.db"), api)
	require.NoError(b, cmd.Start())
	defer func() { _ = cmd.Process.Kill(); _ = cmd.Wait() }()
	api.Type(groupChat, apiserver.User{ID: 1, Name: "Maren"}, "/house join tallow")
	require.True(b, eventually(10*time.Second, func() bool { return len(api.Shown(groupChat)) > 0 }))
	time.Sleep(2 * time.Second)
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", cmd.Process.Pid))
	require.NoError(b, err)
	var rss, anon float64
	for l := range strings.Lines(string(status)) {
		_, _ = fmt.Sscanf(l, "VmRSS: %f", &rss)
		_, _ = fmt.Sscanf(l, "RssAnon: %f", &anon)
	}
	for b.Loop() { // measured once; the loop only satisfies the framework
		_ = rss
	}
	b.ReportMetric(rss/1024, "MB-resident")
	b.ReportMetric(anon/1024, "MB-own")
}
