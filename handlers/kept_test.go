package handlers_test

import (
	"context"
	"fmt"
	"log/slog"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/handlers"
	"yardbell/storage"
)

// TestWarmAnswersAsCold types lines of all desks into two households of one process that
// goes on, and into the same two of one that comes up anew for each line and has nothing
// kept: both answer the same.
func TestWarmAnswersAsCold(t *testing.T) {
	oneAtATime(t)
	roster := handlers.NewRoster(slog.New(slog.NewTextHandler(testLog{t}, nil)))
	warm, cold := openFile(t, freshFile(t)), openFile(t, freshFile(t))
	at, answers := wallTime(t, "2027-03-01 09:00"), 0
	for n, text := range linesOfAllDesks(t) {
		chat := []string{"home", "home", "away"}[n%3]
		at = at.Add(time.Minute)
		path := cold.Path()
		require.NoError(t, cold.Close())
		cold = openFile(t, path)
		want := heard(t, roster, cold, chat, n, at, text)
		require.Equal(t, want, heard(t, roster, warm, chat, n, at, text), "line %d in %s: %s", n, chat, text)
		answers += len(want)
	}
	require.NoError(t, cold.Close())
	require.NoError(t, warm.Close())
	require.Greater(t, answers, 250)
	t.Logf("%d answers", answers)
}

func openFile(t *testing.T, path string) *storage.Store {
	s, err := storage.Open(context.Background(), path)
	require.NoError(t, err)
	return s
}

// linesOfAllDesks are some lines of each table with what was typed before them; people
// come and go and much is taken back.
func linesOfAllDesks(t *testing.T) (lines []string) {
	files, err := filepath.Glob("../testdata/lines/*.csv")
	require.NoError(t, err)
	for _, file := range files {
		for n, row := range readTable(t, file) {
			if n%80 > 0 {
				continue
			}
			for item := range strings.SplitSeq(row[3], " ; ") {
				if m := setupLine.FindStringSubmatch(item); m != nil {
					lines = append(lines, m[3])
				}
			}
			lines = append(lines, row[0])
			switch n / 80 % 4 {
			case 0:
				lines = append(lines, "undo")
			case 1:
				lines = append(lines, fmt.Sprintf("house add Guest%d child 9", n), fmt.Sprintf("chore dusting Guest%d daily at 7", n), "undo", "undo", fmt.Sprintf("Guest%d away tomorrow", n))
			case 2:
				lines = append(lines, fmt.Sprintf("recipe Pie%d\n500 g flour", n), fmt.Sprintf("scale pie%d by 2", n), "undo", fmt.Sprintf("scale pie%d by 2", n))
			}
		}
	}
	return lines
}

// heard types a line and returns what it was answered with.
func heard(t *testing.T, roster *handlers.Roster, s *storage.Store, chat string, n int, at time.Time, text string) (replies []storage.Message) {
	inbox, err := roster.Hear(t.Context(), s, handlers.Heard{
		Line: storage.Line{Transport: "test", Ext: fmt.Sprint(n), Name: "Maren", At: at, Text: text}, Chat: chat, Zone: "Europe/London", Direct: true,
	})
	require.NoError(t, err)
	require.NoError(t, s.Do(t.Context(), func(tx *storage.Tx) error {
		posted, err := tx.Replies(inbox)
		for _, p := range posted {
			replies = append(replies, p.Message)
		}
		return err
	}))
	return replies
}
