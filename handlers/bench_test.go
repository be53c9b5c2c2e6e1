package handlers_test

import (
	"context"
	"database/sql"
	"fmt"
	"io"
	"log/slog"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/handlers"
	"yardbell/storage"
)

// BenchmarkRecord measures a typed record, durable when answered, against one
// bare durable commit of a row on the same disk, in turn.
func BenchmarkRecord(b *testing.B) {
	ctx := context.Background()
	s, err := storage.Open(ctx, filepath.Join(b.TempDir(), "house.db"))
	require.NoError(b, err)
	defer s.Close()
	bare, err := sql.Open("sqlite", "file:"+filepath.Join(b.TempDir(), "bare.db")+"?_journal_mode=WAL&_synchronous=FULL")
	require.NoError(b, err)
	defer bare.Close()
	bare.SetMaxOpenConns(1)
	_, err = bare.Exec(`CREATE TABLE t (id INTEGER PRIMARY KEY, x TEXT)`)
	require.NoError(b, err)
	insert, err := bare.Prepare(`INSERT INTO t (x) VALUES (?)`)
	require.NoError(b, err)

	roster := handlers.NewRoster(slog.New(slog.NewTextHandler(io.Discard, nil)))
	at := time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)
	n := 0
	record := func() {
		n++
		_, err := roster.Hear(ctx, s, handlers.Heard{
			Line: storage.Line{Transport: "bench", Ext: fmt.Sprint(n), Name: "Maren", At: at, Text: "note the sow is off her feed"}, Chat: "home", Zone: "UTC",
		})
		require.NoError(b, err)
	}
	record() // founds the household
	var ours, theirs time.Duration
	for b.Loop() {
		begun := time.Now()
		record()
		middle := time.Now()
		_, err := insert.Exec("the sow is off her feed")
		require.NoError(b, err)
		ours += middle.Sub(begun)
		theirs += time.Since(middle)
	}
	b.ReportMetric(float64(ours)/float64(theirs), "ratio-to-commit")
	b.ReportMetric(float64(ours.Microseconds())/float64(b.N), "us/record")
	b.ReportMetric(float64(theirs.Microseconds())/float64(b.N), "us/commit")
}
