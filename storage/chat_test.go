package storage_test

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/storage"
)

// TestMoveChat: a move to a chat that is another household's is refused; one that
// is told twice is made once, and takes no numbers of messages along.
func TestMoveChat(t *testing.T) {
	s := open(t, filepath.Join(t.TempDir(), "house.db"))
	ours := found(t, s, "tg:-1")
	found(t, s, "tg:-2")
	require.NoError(t, s.Do(context.Background(), func(tx *storage.Tx) error {
		require.NoError(t, tx.SetShown(ours, "tg:-1", "rings 1", 7))
		require.ErrorIs(t, tx.MoveChat("tg:-1", "tg:-2"), storage.ErrTaken)
		require.NoError(t, tx.MoveChat("tg:-1", "tg:-1"))
		_, shown, err := tx.Shown(ours, "tg:-1", "rings 1")
		require.NoError(t, err)
		require.True(t, shown)
		require.NoError(t, tx.MoveChat("tg:-1", "tg:-3"))
		require.NoError(t, tx.MoveChat("tg:-1", "tg:-3"))
		id, is, err := tx.HouseholdNumber("tg:-3")
		require.NoError(t, err)
		require.True(t, is)
		require.Equal(t, ours, id)
		for _, chat := range []string{"tg:-1", "tg:-3"} {
			_, shown, err := tx.Shown(ours, chat, "rings 1")
			require.NoError(t, err)
			require.False(t, shown)
		}
		return nil
	}))
}

// TestShown: of several messages with one key the newest counts, each within its
// chat and its household.
func TestShown(t *testing.T) {
	s := open(t, filepath.Join(t.TempDir(), "house.db"))
	ours, theirs := found(t, s, "tg:-1"), found(t, s, "tg:-2")
	require.NoError(t, s.Do(context.Background(), func(tx *storage.Tx) error {
		for _, message := range []int{7, 8} {
			require.NoError(t, tx.SetShown(ours, "tg:-1", "rings 1", message))
		}
		require.NoError(t, tx.SetShown(theirs, "tg:11", "copy 3", 7))
		message, _, err := tx.Shown(ours, "tg:-1", "rings 1")
		require.NoError(t, err)
		require.Equal(t, 8, message)
		_, is, err := tx.Shown(ours, "tg:-9", "rings 1")
		require.NoError(t, err)
		require.False(t, is)
		key, _, err := tx.ShownKey(ours, "tg:-1", 7)
		require.NoError(t, err)
		require.Equal(t, "rings 1", key)
		_, is, err = tx.ShownKey(ours, "tg:11", 7)
		require.NoError(t, err)
		require.False(t, is)
		by, is, err := tx.ShownBy("tg:11", 7)
		require.NoError(t, err)
		require.True(t, is)
		require.Equal(t, theirs, by)
		return nil
	}))
}

// TestHouseholdsOfAnAccount: those in which somebody is still, and those of which
// it is the tablet.
func TestHouseholdsOfAnAccount(t *testing.T) {
	s := open(t, filepath.Join(t.TempDir(), "house.db"))
	require.NoError(t, s.Do(context.Background(), func(tx *storage.Tx) error {
		var ids []int64
		for _, chat := range []string{"tg:-1", "tg:-2", "tg:-3"} {
			id, err := tx.Found(chat, "UTC", "Maren", noon)
			require.NoError(t, err)
			person, err := tx.AddPerson(storage.Person{Household: id, Name: "Ivo"})
			require.NoError(t, err)
			require.NoError(t, tx.TieAccount(id, person, "tg:13"))
			if chat == "tg:-2" {
				require.NoError(t, tx.ShareAccount(id, "tg:13"))
			}
			if chat != "tg:-1" {
				require.NoError(t, tx.RemovePerson(person))
			}
			ids = append(ids, id)
		}
		homes, err := tx.HouseholdsOf("tg:13")
		require.NoError(t, err)
		require.Equal(t, []storage.Chat{{Household: ids[0], Chat: "tg:-1"}, {Household: ids[1], Chat: "tg:-2"}}, homes)
		keepers, err := tx.KeeperAccounts(ids[0])
		require.NoError(t, err)
		require.Empty(t, keepers)
		return nil
	}))
}

// TestLasting tells what waiting cannot mend from what it may.
func TestLasting(t *testing.T) {
	s := open(t, filepath.Join(t.TempDir(), "house.db"))
	found(t, s, "tg:-1")
	err := s.Do(context.Background(), func(tx *storage.Tx) error {
		_, err := tx.Found("tg:-1", "UTC", "Maren", noon)
		return err
	})
	require.True(t, storage.Lasting(err), err)
	ctx, stop := context.WithCancel(context.Background())
	stop()
	require.False(t, storage.Lasting(s.Do(ctx, func(*storage.Tx) error { return nil })))
	require.False(t, storage.Lasting(nil))
	err = s.Do(context.Background(), func(tx *storage.Tx) error {
		if err := tx.Set(1, storage.SetZone, "Nowhere/Else"); err != nil {
			return err
		}
		_, err := tx.Household(1)
		return err
	})
	require.True(t, storage.Lasting(err), err)
	require.NoError(t, s.Close())
	require.False(t, storage.Lasting(s.Do(context.Background(), func(*storage.Tx) error { return nil })), "a file that is closed")
}

// TestKeys: a key is used once; one that is set anew for the terminal's household
// is that household's.
func TestKeys(t *testing.T) {
	s := open(t, filepath.Join(t.TempDir(), "house.db"))
	require.NoError(t, s.Do(context.Background(), func(tx *storage.Tx) error {
		require.NoError(t, tx.AddKey("a", false, noon))
		require.NoError(t, tx.AddKey("a", true, noon))
		own, ok, err := tx.UseKey("a", noon)
		require.NoError(t, err)
		require.True(t, own && ok)
		require.NoError(t, tx.AddKey("a", true, noon))
		_, ok, err = tx.UseKey("a", noon)
		require.False(t, ok)
		return err
	}))
}
