package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/storage"
)

// built is the program as it is shipped, so that a test can really kill it.
func built(t *testing.T) string {
	t.Helper()
	bin := filepath.Join(t.TempDir(), "yardbell")
	out, err := exec.Command("go", "build", "-o", bin, ".").CombinedOutput()
	require.NoError(t, err, string(out))
	return bin
}

func command(bin string, args ...string) *exec.Cmd {
	cmd := exec.Command(bin, args...)
	cmd.Env = append(os.Environ(), "TZ=Europe/London", "YARDBELL_DB=", "YARDBELL_LOG=")
	return cmd
}

// dump returns everything that a household holds, sending times left out: they
// are when the machine managed to send.
func dump(t *testing.T, db string) map[string][]string {
	t.Helper()
	ctx := context.Background()
	s, err := storage.Open(ctx, db)
	require.NoError(t, err)
	defer s.Close()
	out := map[string][]string{}
	require.NoError(t, s.Do(ctx, func(tx *storage.Tx) error {
		for _, table := range []string{"entry", "setting", "person", "bell", "ring", "batch", "weighing", "rope", "recipe", "inbox"} {
			rows, err := tx.Dump(table)
			require.NoError(t, err)
			out[table] = rows
		}
		return nil
	}))
	return out
}

// TestKillReplay kills the program at random moments of a conversation, many
// times, and starts it again: in the end nothing is lost, nothing is doubled,
// and everything was said.
func TestKillReplay(t *testing.T) {
	bin, script := built(t), "../testdata/conversations/first-batch.txt"
	whole := house(t)
	want, err := command(bin, "replay", "--json", "--db", whole, script).Output()
	require.NoError(t, err)
	reference := strings.Split(strings.TrimSpace(string(want)), "\n")
	rng := rand.New(rand.NewPCG(1, 2))
	kills := 0
	for range 8 {
		db := house(t)
		said, killed := killUntilDone(t, rng, bin, db, script)
		kills += killed
		checkSaid(t, reference, said)
		require.Equal(t, dump(t, whole), dump(t, db))
	}
	require.Greater(t, kills, 20, "the program has to be killed often enough to prove something")
	t.Logf("killed %d times", kills)
}

// killUntilDone runs the conversation and kills it, each time a little later,
// until it comes through.
func killUntilDone(t *testing.T, rng *rand.Rand, bin, db, script string) (said []string, kills int) {
	t.Helper()
	for n := 1; ; n++ {
		var out bytes.Buffer
		cmd := command(bin, "replay", "--json", "--db", db, script)
		cmd.Stdout = &out
		require.NoError(t, cmd.Start())
		done := make(chan error, 1)
		go func() { done <- cmd.Wait() }()
		select {
		case err := <-done:
			require.NoError(t, err)
			return append(said, lines(out.String())...), kills
		case <-time.After(time.Duration(rng.IntN(4*n+8)) * time.Millisecond):
			killErr := cmd.Process.Kill()
			waitErr := <-done
			if errors.Is(killErr, os.ErrProcessDone) { // it came through just before the blow
				require.NoError(t, waitErr)
				return append(said, lines(out.String())...), kills
			}
			require.NoError(t, killErr)
			kills++
		}
		said = append(said, lines(out.String())...)
	}
}

// lines returns the whole lines of an output that may have been cut.
func lines(out string) []string {
	var whole []string
	for l := range strings.Lines(out) {
		if strings.HasSuffix(l, "\n") {
			whole = append(whole, strings.TrimSuffix(l, "\n"))
		}
	}
	return whole
}

// checkSaid wants the reference in order; what a kill made the program say again
// must be something that it had said before.
func checkSaid(t *testing.T, reference, said []string) {
	t.Helper()
	next := 0
	seen := map[string]bool{}
	for _, l := range said {
		if next < len(reference) && l == reference[next] {
			seen[l] = true
			next++
			continue
		}
		require.True(t, seen[l], "said out of turn: %s", l)
	}
	require.Equal(t, len(reference), next, "not everything was said: %s", strings.Join(reference[next:], "\n"))
}

// TestKillChat kills a chat while lines are typed: every line that was answered
// is in the day book once, and none is there twice.
func TestKillChat(t *testing.T) {
	bin, db := built(t), house(t)
	rng := rand.New(rand.NewPCG(3, 4))
	typed, answered := 0, map[string]bool{}
	for range 12 {
		typed = typeAndKill(t, rng, bin, db, typed, answered)
	}
	require.Greater(t, len(answered), 20)
	count := map[string]int{}
	for _, row := range dump(t, db)["entry"] {
		for n := range typed {
			if strings.Contains(row, thing(n)) {
				count[thing(n)]++
			}
		}
	}
	for n := range typed {
		require.LessOrEqual(t, count[thing(n)], 1, "%s was doubled", thing(n))
		if answered[thing(n)] {
			require.Equal(t, 1, count[thing(n)], "%s was answered and lost", thing(n))
		}
	}
	t.Logf("%d lines typed, %d answered", typed, len(answered))
}

func thing(n int) string { return fmt.Sprintf("thing number %05d", n) }

// typeAndKill types lines one after the other until the program is killed.
func typeAndKill(t *testing.T, rng *rand.Rand, bin, db string, from int, answered map[string]bool) int {
	t.Helper()
	cmd := command(bin, "chat", "--db", db, "--as", "Maren", "--json")
	in, err := cmd.StdinPipe()
	require.NoError(t, err)
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	kill := time.AfterFunc(time.Duration(60+rng.IntN(150))*time.Millisecond, func() { _ = cmd.Process.Kill() })
	defer kill.Stop()
	sc := bufio.NewScanner(out)
	for {
		line := thing(from)
		from++
		if _, err := io.WriteString(in, "ring me "+line+" in 5 hours\n"); err != nil {
			break
		}
		if !answeredBy(sc, line) {
			break
		}
		answered[line] = true
	}
	_ = cmd.Wait()
	return from
}

// answeredBy waits for the answer to the line that was just typed; a ring or the
// answer to an earlier line that a kill left unsaid does not count.
func answeredBy(sc *bufio.Scanner, line string) bool {
	for sc.Scan() {
		var m struct {
			Kind string `json:"kind"`
			Text string `json:"text"`
		}
		if json.Unmarshal(sc.Bytes(), &m) == nil && m.Kind == storage.KindReply && strings.Contains(m.Text, line) {
			return true
		}
	}
	return false
}
