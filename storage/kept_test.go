package storage

import (
	"database/sql"
	"errors"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestEveryWriteIsSeen: whatever table something was read from, a statement that writes
// the table has it read anew; one that writes another table has not.
func TestEveryWriteIsSeen(t *testing.T) {
	s, err := Open(t.Context(), Memory)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	require.NoError(t, s.Do(t.Context(), func(tx *Tx) error {
		tables, err := collect(tx, scanText, `SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name`)
		require.NoError(t, err)
		require.Greater(t, len(tables), 60)
		reads := map[string]int{}
		count := func(table string) {
			_, err := Kept(tx, table, func() (n int, err error) {
				reads[table]++
				_, err = tx.One("SELECT count(*) FROM "+table, nil, &n)
				return n, err
			})
			require.NoError(t, err)
		}
		for _, table := range tables {
			clear(s.kept.values)
			clear(reads)
			other := tables[0]
			if other == table {
				other = tables[1]
			}
			count(table)
			count(other)
			_, err := tx.Exec("DELETE FROM " + table)
			require.NoError(t, err, table)
			count(table)
			require.Equal(t, 2, reads[table], "%s was written", table)
			count(table)
			require.Equal(t, 2, reads[table], "%s was not written since", table)
		}
		return nil
	}))
}

// TestWritesBesideTheStatement: what triggers and foreign keys write is seen, and what a
// statement writes that is run once.
func TestWritesBesideTheStatement(t *testing.T) {
	s, err := Open(t.Context(), Memory)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	require.NoError(t, s.Do(t.Context(), func(tx *Tx) error {
		for _, c := range []struct{ write, table string }{
			{"UPDATE setting SET value = value", "stir"},
			{"UPDATE setting SET value = value", "change"},
			{"INSERT INTO inbox (household, transport, ext, chat, name, at, text) SELECT 1, '', '', '', '', 0, '' FROM household", "clock"},
			{"UPDATE ring SET answer = answer", "redraw"},
			{"DELETE FROM bell", "ring"},
			{"DELETE FROM batch", "weighing"},
			{"DELETE FROM herd", "egg"},
			{"INSERT OR REPLACE INTO herd (id, household, num, kind) SELECT 1, 1, 1, '' FROM household", "headcount"},
		} {
			for _, once := range []bool{false, true} {
				reads := 0
				count := func() {
					_, err := Kept(tx, c.table, func() (n int, err error) {
						reads++
						_, err = tx.One("SELECT count(*) FROM "+c.table, nil, &n)
						return n, err
					})
					require.NoError(t, err)
				}
				clear(s.kept.values)
				count()
				if once {
					_, err = s.conn.ExecContext(t.Context(), c.write)
				} else {
					_, err = tx.Exec(c.write)
				}
				require.NoError(t, err)
				count()
				require.Equal(t, 2, reads, "%s writes %s", c.write, c.table)
			}
		}
		return nil
	}))
}

func scanText(r scanner) (s string, err error) { return s, r.Scan(&s) }

// TestKeptIsWhatIsRead writes at random into two households, takes back, fails, and has
// another process write into the file: what is kept is always what is in the file.
func TestKeptIsWhatIsRead(t *testing.T) {
	now := time.Date(2027, 3, 1, 6, 0, 0, 0, time.UTC)
	fails := errors.New("fails")
	path := filepath.Join(t.TempDir(), "house.db")
	s, err := Open(t.Context(), path)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	beside, err := sql.Open("sqlite", "file:"+path+"?_busy_timeout=5000")
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, beside.Close()) })
	founded := 0
	rapid.Check(t, func(r *rapid.T) {
		houses := [2]int64{}
		require.NoError(r, s.Do(t.Context(), func(tx *Tx) error {
			for i := range houses {
				founded++
				houses[i], err = tx.Found(fmt.Sprint("home ", founded), "UTC", "Maren", now)
				require.NoError(r, err)
			}
			return nil
		}))
		step := func(tx *Tx) {
			house := houses[rapid.IntRange(0, 1).Draw(r, "house")]
			name := rapid.SampledFrom([]string{"Maren", "Tom", "Ivo"}).Draw(r, "name")
			switch rapid.SampledFrom([]string{"add", "remove", "set", "herd", "head", "ask", "answer", "entry", "undo", "move", "board"}).Draw(r, "step") {
			case "add":
				_, err = tx.AddPerson(Person{Household: house, Name: name, Age: rapid.IntRange(0, 3).Draw(r, "age"), AgeOn: "2027-03-01"})
			case "remove":
				people, readErr := tx.People(house)
				require.NoError(r, readErr)
				err = tx.RemovePerson(people[len(people)-1].ID)
			case "set":
				err = tx.Set(house, SetName, name)
			case "herd":
				_, err = tx.AddHerd(Herd{Household: house, Kind: "hen", Name: name})
			case "head":
				herds, readErr := tx.Herds(house)
				require.NoError(r, readErr)
				if len(herds) > 0 {
					err = tx.AddHeadcount(house, Headcount{Herd: herds[0].ID, Day: now, Change: 1})
				}
			case "ask":
				err = tx.Ask(house, name, now, Question{Options: []Button{{Label: name, Say: name}}})
			case "answer":
				err = tx.Ask(house, name, now, Question{})
			case "entry":
				_, err = tx.Record(Entry{Household: house, Person: 1, Happened: now, Written: now, Kind: "note"})
			case "undo":
				e, ok, readErr := tx.LastEntry(house, 1)
				require.NoError(r, readErr)
				if ok {
					err = tx.Undo(e, now)
				}
			case "move":
				_, err = tx.Exec(`UPDATE household SET chat = ? WHERE id = ?`, fmt.Sprint(name, house), house)
			case "board":
				_, err = tx.Exec(`INSERT INTO redraw (household, board) VALUES (?, ?) ON CONFLICT DO NOTHING`, house, name)
			}
			require.NoError(r, err)
		}
		steps := func(tx *Tx) {
			for range rapid.IntRange(0, 3).Draw(r, "steps") {
				step(tx)
				requireFresh(r, tx, houses)
			}
		}
		for range rapid.IntRange(1, 8).Draw(r, "transactions") {
			way := rapid.SampledFrom([]string{"done", "failed", "tried", "try failed", "beside"}).Draw(r, "way")
			if way == "beside" {
				_, err := beside.Exec(rapid.SampledFrom([]string{
					`UPDATE person SET gone = NOT gone WHERE household = ?`, `INSERT INTO person (household, name, role) VALUES (?, 'Pim', 'hand') ON CONFLICT DO NOTHING`,
					`UPDATE household SET chat = 'elsewhere ' || id WHERE id = ?`, `DELETE FROM question WHERE household = ?`,
				}).Draw(r, "beside"), houses[0])
				require.NoError(r, err)
			}
			err := s.Do(t.Context(), func(tx *Tx) error {
				requireFresh(r, tx, houses)
				steps(tx)
				switch way {
				case "failed":
					return fails
				case "tried":
					require.NoError(r, tx.Try(func() error { steps(tx); return nil }))
				case "try failed":
					require.ErrorIs(r, tx.Try(func() error {
						steps(tx)
						require.NoError(r, tx.Try(func() error { steps(tx); return nil }))
						steps(tx)
						return fails
					}), fails)
				}
				requireFresh(r, tx, houses)
				return nil
			})
			if way == "failed" {
				require.ErrorIs(r, err, fails)
				continue
			}
			require.NoError(r, err)
		}
	})
}

type namesOf int64

// requireFresh holds all that is kept against what is in the file.
func requireFresh(t require.TestingT, tx *Tx, houses [2]int64) {
	look := func() (out []any) {
		for _, house := range houses {
			for _, chat := range []string{fmt.Sprint("home ", house), fmt.Sprint("Tom", house), fmt.Sprint("elsewhere ", house)} {
				h, ok, err := tx.HouseholdOf(chat)
				require.NoError(t, err)
				out = append(out, h, ok)
			}
			h, err := tx.Household(house)
			require.NoError(t, err)
			people, err := tx.People(house)
			require.NoError(t, err)
			herds, err := tx.Herds(house)
			require.NoError(t, err)
			names, err := Kept(tx, namesOf(house), func() (names []string, err error) { // kept of what is kept
				people, err := tx.People(house)
				for _, p := range people {
					names = append(names, p.Name)
				}
				return names, err
			})
			require.NoError(t, err)
			out = append(out, h, people, herds, names)
			for _, name := range []string{"Maren", "Tom", "Ivo"} {
				options, err := tx.Asked(house, name, time.Time{})
				require.NoError(t, err)
				out = append(out, options)
			}
			boards, err := Kept(tx, redrawOf(house), func() ([]string, error) {
				return collect(tx, scanText, `SELECT board FROM redraw WHERE household = ? ORDER BY id`, house)
			})
			require.NoError(t, err)
			out = append(out, boards)
		}
		return out
	}
	kept := look()
	clear(tx.store.kept.values)
	require.Equal(t, look(), kept)
	delete(tx.store.kept.values, namesOf(houses[0])) // to be made of people who are kept
	require.Equal(t, look(), kept)
}
