package storage

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestBackupWaitsForNoLine: a copy is made while a transaction is open, and holds what
// was committed before it.
func TestBackupWaitsForNoLine(t *testing.T) {
	dir := t.TempDir()
	s, err := Open(t.Context(), filepath.Join(dir, "house.db"))
	require.NoError(t, err)
	defer s.Close()
	write := func(tx *Tx, text string) {
		_, err := tx.Record(Entry{Household: 1, Happened: at("2027-03-01 09:00"), Written: at("2027-03-01 09:00"), Kind: "note", Text: text})
		require.NoError(t, err)
	}
	require.NoError(t, s.Do(t.Context(), func(tx *Tx) error {
		_, err := tx.Found("home", "Europe/London", "Maren", at("2027-03-01 08:00"))
		write(tx, "before")
		return err
	}))
	require.NoError(t, s.Do(t.Context(), func(tx *Tx) error {
		write(tx, "meanwhile")
		return s.Backup(t.Context(), filepath.Join(dir, "copy.backup"))
	}))
	require.Equal(t, []string{"before"}, notes(t, filepath.Join(dir, "copy.backup")))
	require.Equal(t, []string{"before", "meanwhile"}, notes(t, s.Path()))
}

func notes(t *testing.T, path string) (out []string) {
	t.Helper()
	s, err := Open(t.Context(), path)
	require.NoError(t, err)
	defer s.Close()
	require.NoError(t, s.Do(t.Context(), func(tx *Tx) error {
		out, err = collect(tx, func(r scanner) (string, error) {
			var text string
			return text, r.Scan(&text)
		}, `SELECT text FROM entry ORDER BY id`)
		return err
	}))
	return out
}

// TestRestoreFromABackupTakenUnderLoad writes pairs of entries, a pair a commit, while
// copies are taken. Each copy, brought back, is whole, holds every commit up to one and
// nothing of the next, and each later one no fewer.
func TestRestoreFromABackupTakenUnderLoad(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "house.db")
	s, err := Open(t.Context(), path)
	require.NoError(t, err)
	require.NoError(t, s.Do(t.Context(), func(tx *Tx) error {
		_, err := tx.Found("home", "Europe/London", "Maren", at("2027-03-01 08:00"))
		return err
	}))
	stop := make(chan struct{})
	written := make(chan error, 1)
	started := make(chan struct{})
	go func() {
		var err error
		for n := 0; err == nil; n++ {
			select {
			case <-stop:
				written <- nil
				return
			default:
			}
			err = s.Do(t.Context(), func(tx *Tx) error {
				for _, half := range []string{"a", "b"} {
					if _, err := tx.Record(Entry{Household: 1, Happened: at("2027-03-01 09:00"), Written: at("2027-03-01 09:00"), Kind: "note", Text: fmt.Sprint(n, half)}); err != nil {
						return err
					}
				}
				return nil
			})
			if n == 20 {
				close(started)
			}
		}
		written <- err
	}()
	<-started
	var copies []string
	for n := range 8 {
		file := filepath.Join(dir, fmt.Sprintf("copy-%d.backup", n))
		require.NoError(t, s.Backup(t.Context(), file))
		copies = append(copies, file)
	}
	close(stop)
	require.NoError(t, <-written)
	require.NoError(t, s.Close())
	whole := notes(t, path)
	before := 0
	for _, file := range copies {
		_, err := Restore(t.Context(), file, path, at("2027-03-02 09:00"))
		require.NoError(t, err)
		got := notes(t, path)
		require.Equal(t, whole[:len(got)], got, "every commit up to one, in order")
		require.Zero(t, len(got)%2, "a commit is in it whole or not at all")
		require.GreaterOrEqual(t, len(got), before)
		require.Greater(t, len(got), 40)
		before = len(got)
		require.NoFileExists(t, file+".part")
	}
	require.Greater(t, before, len(whole)/20, "there was load")
}

func TestCopiesKept(t *testing.T) {
	dir := t.TempDir()
	s, err := Open(t.Context(), filepath.Join(dir, "house.db"))
	require.NoError(t, err)
	defer s.Close()
	folder := filepath.Join(dir, "deep", "backups")
	require.NoError(t, os.MkdirAll(folder, 0o700))
	others := []string{"house.db", "house-20270101-030000.db", "other-20270101-030000.backup", "house-letters.backup", "house-20270101-030000.backup.part"}
	for _, name := range others {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte("mine"), 0o600))
	}
	for day := 1; day <= 6; day++ {
		file, bytes, err := s.Copy(t.Context(), "deep/backups", 3, at(fmt.Sprintf("2027-03-%02d 03:00", day)))
		require.NoError(t, err)
		require.Positive(t, bytes)
		require.Equal(t, filepath.Join(folder, fmt.Sprintf("house-202703%02d-030000.backup", day)), file)
	}
	have := files(t, folder)
	require.Len(t, have, len(others)+3)
	for _, name := range append(others, "house-20270304-030000.backup", "house-20270306-030000.backup") {
		require.Contains(t, have, name)
	}
	_, _, err = s.Copy(t.Context(), folder, 3, at("2027-03-06 03:00"))
	require.ErrorIs(t, err, ErrExists)
	_, _, err = s.Copy(t.Context(), filepath.Join(folder, "house.db"), 3, at("2027-03-07 03:00"))
	require.Error(t, err, "a file is no folder")
	_, err = ReadCopy(filepath.Join(folder, "house.db"))
	require.Error(t, err)
	require.False(t, errors.Is(err, os.ErrNotExist))
}
