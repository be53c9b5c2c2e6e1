package storage_test

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/storage"
)

// TestNameComesBackWithoutItsAccount: whoever is added under the name of somebody
// who had gone has no account yet; a tablet that everyone uses stays.
func TestNameComesBackWithoutItsAccount(t *testing.T) {
	s := open(t, filepath.Join(t.TempDir(), "house.db"))
	house := found(t, s, "tg:-1")
	require.NoError(t, s.Do(context.Background(), func(tx *storage.Tx) error {
		bram := storage.Person{Household: house, Name: "Bram"}
		id, err := tx.AddPerson(bram)
		require.NoError(t, err)
		require.NoError(t, tx.TieAccount(house, id, "tg:44"))
		require.NoError(t, tx.TieAccount(house, id, "tg:77"))
		require.NoError(t, tx.ShareAccount(house, "tg:77"))
		require.NoError(t, tx.RemovePerson(id))
		again, err := tx.AddPerson(storage.Person{Household: house, Name: "bram", Keeper: true})
		require.NoError(t, err)
		require.Equal(t, id, again)
		_, tied, err := tx.AccountOf(house, "tg:44")
		require.NoError(t, err)
		require.False(t, tied)
		_, tied, err = tx.AccountOf(house, "tg:77")
		require.True(t, tied)
		return err
	}))
}
