package main

import (
	"context"
	"fmt"
	"log/slog"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/bot/replay"
	"yardbell/storage"
)

var sessionBlock = regexp.MustCompile("(?s)```session\n(.*?)```")

// TestReadmeSessions plays the sessions that README shows: every line behind a
// ">" is what the program says. With -update they are written anew.
func TestReadmeSessions(t *testing.T) {
	const file = "../README.md"
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	blocks := sessionBlock.FindAllSubmatch(text, -1)
	require.NotEmpty(t, blocks)
	played := sessionBlock.ReplaceAllStringFunc(string(text), func(block string) string {
		return "```session\n" + playSession(t, sessionBlock.FindStringSubmatch(block)[1]) + "```"
	})
	if *update {
		require.NoError(t, os.WriteFile(file, []byte(played), 0o644))
		return
	}
	require.Equal(t, string(text), played, "README shows what the program does not say; run with -update and read the change")
}

// playSession returns a session with its answers.
func playSession(t *testing.T, block string) string {
	t.Helper()
	var typed, out strings.Builder
	for l := range strings.Lines(block) {
		if !strings.HasPrefix(l, ">") {
			typed.WriteString(l)
		}
	}
	script, err := replay.Parse(strings.NewReader(typed.String()))
	require.NoError(t, err)
	p := &replay.Player{Path: storage.Memory, Chat: localChat, Zone: "Europe/London", Log: slog.New(slog.DiscardHandler)}
	p.Typed = func(at time.Time, name, text string) error {
		fmt.Fprintf(&out, "%s %s: %s\n", at.In(p.Household()).Format("2006-01-02 15:04"), name, strings.ReplaceAll(text, "\n", "\n  "))
		return nil
	}
	p.Say = func(m storage.Message) error {
		said := m.Text()
		if m.Kind != storage.KindReply {
			said = m.At.In(p.Household()).Format("Mon 15:04 ") + strings.TrimSuffix(m.Kind+" for "+m.To, " for ") + ": " + said
		}
		out.WriteString("> " + strings.ReplaceAll(said, "\n", "\n> ") + "\n")
		return nil
	}
	require.NoError(t, p.Play(context.Background(), script))
	return out.String()
}

// TestReadmeHasTwoCommands keeps the set-up at two commands, and both real.
func TestReadmeHasTwoCommands(t *testing.T) {
	text, err := os.ReadFile("../README.md")
	require.NoError(t, err)
	setUp := regexp.MustCompile("(?s)```sh\n(.*?)```").FindAllSubmatch(text, -1)
	require.NotEmpty(t, setUp)
	require.Equal(t, "go run ./bot demo\ngo test ./...\n", string(setUp[0][1]))
	run, err := os.ReadFile("../.ci/run")
	require.NoError(t, err)
	for _, command := range []string{"go run ./bot demo", "go test ./..."} {
		require.Contains(t, string(run), command, "the checks run README's commands")
	}
}
