package main

import (
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/storage"
)

// keptHouse is a household in a file, with a session in it.
func keptHouse(t *testing.T, lines ...string) *session {
	t.Helper()
	t.Setenv("TZ", "Europe/London")
	a := &app{ctx: t.Context(), flags: common{DB: house(t), As: "Maren", At: "2027-03-01T09:00"}, out: &strings.Builder{}, log: slog.New(slog.DiscardHandler)}
	s, err := a.open()
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.store.Close()) })
	for _, line := range append([]string{"note founded"}, lines...) {
		_, err := s.hear(t.Context(), s.now(), line)
		require.NoError(t, err)
	}
	s.said(t)
	return s
}

// said takes what waits to be said.
func (s *session) said(t *testing.T) []storage.Message {
	t.Helper()
	var out []storage.Message
	require.NoError(t, s.drain(t.Context(), storage.Which{}, s.now(), func(m storage.Message) error {
		out = append(out, m)
		return nil
	}))
	return out
}

// due makes what is due at a wall time of London.
func (s *session) due(t *testing.T, at string) (told bool) {
	t.Helper()
	now, err := parseAt(at, s.zone)
	require.NoError(t, err)
	told, err = s.backups(t.Context(), now)
	require.NoError(t, err)
	return told
}

func copiesIn(t *testing.T, dir string) (out []string) {
	t.Helper()
	all, err := os.ReadDir(dir)
	if os.IsNotExist(err) {
		return nil
	}
	require.NoError(t, err)
	for _, f := range all {
		out = append(out, f.Name())
	}
	return out
}

// TestBackupsBySchedule: the first at once, then by the household's clock through a
// clock change, one for a time that was missed, the oldest given up.
func TestBackupsBySchedule(t *testing.T) {
	s := keptHouse(t, "house backup daily 03:00 to backups, keep 3")
	dir := s.store.Folder("backups")
	for _, step := range []struct {
		at   string
		made string
	}{
		{"2027-03-01T09:01", "house-20270301-090100.backup"},
		{"2027-03-01T23:00", ""},
		{"2027-03-02T02:59", ""},
		{"2027-03-02T03:00", "house-20270302-030000.backup"},
		{"2027-03-02T03:01", ""},
		{"2027-03-27T08:00", "house-20270327-080000.backup"}, // nobody was there for weeks
		{"2027-03-28T02:59", ""},
		{"2027-03-28T03:00", "house-20270328-020000.backup"}, // summer time since an hour
	} {
		before := copiesIn(t, dir)
		require.False(t, s.due(t, step.at), "what works is not told")
		if step.made == "" {
			require.Equal(t, before, copiesIn(t, dir), step.at)
			continue
		}
		require.Contains(t, copiesIn(t, dir), step.made, step.at)
	}
	require.Equal(t, []string{"house-20270302-030000.backup", "house-20270327-080000.backup", "house-20270328-020000.backup"}, copiesIn(t, dir))
	require.Empty(t, s.said(t))

	_, err := s.hear(t.Context(), s.now(), "house backup daily 03:00 to elsewhere")
	require.NoError(t, err)
	s.due(t, "2027-03-28T04:00")
	require.Len(t, copiesIn(t, s.store.Folder("elsewhere")), 1, "another folder is tried at once")
	_, err = s.hear(t.Context(), s.now(), "house backup off")
	require.NoError(t, err)
	s.due(t, "2027-05-01T04:00")
	require.Len(t, copiesIn(t, s.store.Folder("elsewhere")), 1)
}

// TestABackupThatFailsIsToldOnce, tried again every hour, and told once when it works.
func TestABackupThatFailsIsToldOnce(t *testing.T) {
	s := keptHouse(t, "house backup daily 03:00 to backups")
	dir := s.store.Folder("backups")
	require.NoError(t, os.WriteFile(dir, []byte("in the way"), 0o600))
	require.True(t, s.due(t, "2027-03-01T09:01"))
	said := s.said(t)
	require.Len(t, said, 1)
	require.Equal(t, storage.KindNotice, said[0].Kind)
	require.Contains(t, said[0].Text(), "The backup failed: ")
	require.Contains(t, said[0].Text(), dir)
	for _, at := range []string{"2027-03-01T09:30", "2027-03-01T10:01", "2027-03-01T11:01", "2027-03-02T03:00"} {
		require.False(t, s.due(t, at), at)
	}
	require.Empty(t, s.said(t))
	out, _, code := yardbell(t, "", "doctor", "--db", s.store.Path(), "--at", "2027-03-02T03:30")
	require.Equal(t, exitFailed, code)
	require.Contains(t, out, "backup     none was made yet\n           failed Tue 2027-03-02 03:00: ")
	require.Contains(t, out, "what to do: make the folder writable")

	require.NoError(t, os.Remove(dir))
	require.False(t, s.due(t, "2027-03-02T03:59"), "not before the hour is over")
	require.True(t, s.due(t, "2027-03-02T04:00"))
	said = s.said(t)
	require.Len(t, said, 1)
	require.Contains(t, said[0].Text(), "The backup works again: "+dir)
	require.False(t, s.due(t, "2027-03-03T03:00"))
	out, _, code = yardbell(t, "", "doctor", "--db", s.store.Path(), "--at", "2027-03-03T09:00")
	require.Zero(t, code, out)
	require.Contains(t, out, "backup     last Wed 2027-03-03 03:00, ")
	out, _, code = yardbell(t, "", "doctor", "--db", s.store.Path(), "--at", "2027-03-06T09:00")
	require.Equal(t, exitFailed, code)
	require.Contains(t, out, "overdue since Thu 2027-03-04 03:00")
}

// TestABackupIsSentToItsKeeperAlone: into the chat of their own, read when it is sent,
// and never while the file holds another household.
func TestABackupIsSentToItsKeeperAlone(t *testing.T) {
	s := keptHouse(t)
	tie := func(fn func(tx *storage.Tx) error) { require.NoError(t, s.store.Do(t.Context(), fn)) }
	tie(func(tx *storage.Tx) error {
		require.NoError(t, tx.SetChat(1, "tg:-100"))
		return tx.TieAccount(1, 1, "tg:11")
	})
	s.chat = "tg:-100"
	_, err := s.hear(t.Context(), s.now(), "house backup daily 03:00 to backups and to me")
	require.NoError(t, err)
	require.Equal(t, storage.Refused, s.said(t)[0].Status, "no chat of her own yet")
	tie(func(tx *storage.Tx) error { return tx.SetPrivate("tg:11") })
	_, err = s.hear(t.Context(), s.now(), "house backup daily 03:00 to backups and to me")
	require.NoError(t, err)
	require.Equal(t, storage.OK, s.said(t)[0].Status)
	require.True(t, s.due(t, "2027-03-01T09:01"))
	tie(func(tx *storage.Tx) error {
		chats, err := tx.Waiting()
		require.NoError(t, err)
		require.Len(t, chats, 1)
		require.Equal(t, "tg:11", chats[0].Alone, "hers, not the group's")
		return nil
	})
	sent := s.said(t)
	require.Len(t, sent, 1)
	require.Equal(t, "Maren", sent[0].To)
	require.Empty(t, sent[0].Files[0].Content, "a copy in the file would double with every copy")
	content, err := storage.ReadCopy(sent[0].Files[0].Copy)
	require.NoError(t, err)
	require.True(t, strings.HasPrefix(string(content), "SQLite format 3"))

	tie(func(tx *storage.Tx) error {
		_, err := tx.Found("tg:-200", "Europe/London", "Ruth", s.now())
		return err
	})
	require.False(t, s.due(t, "2027-03-02T03:00"))
	require.Len(t, copiesIn(t, s.store.Folder("backups")), 2)
	require.Empty(t, s.said(t), "it holds Ruth's records now")
	_, err = s.hear(t.Context(), s.now(), "house backup daily 03:00 to backups and to me")
	require.NoError(t, err)
	require.Equal(t, storage.Refused, s.said(t)[0].Status)
}

// TestClockMakesBackups: by the loop that rings, and by nothing that a line waits for.
func TestClockMakesBackups(t *testing.T) {
	dir := t.TempDir()
	synctest.Test(t, func(t *testing.T) {
		c, clk, _ := liveChat(t)
		_, err := c.line(clk, fmt.Sprintf("house backup daily 03:00 to %s keep 2", dir))
		require.NoError(t, err)
		time.Sleep(2 * time.Minute)
		synctest.Wait()
		require.Len(t, copiesIn(t, dir), 1)
		time.Sleep(72 * time.Hour)
		synctest.Wait()
		require.Len(t, copiesIn(t, dir), 2)
		c.end(t, clk)
	})
	for _, name := range copiesIn(t, dir) {
		_, errOut, code := yardbell(t, "", "restore", "--db", house(t), filepath.Join(dir, name))
		require.Zero(t, code, errOut)
	}
}
