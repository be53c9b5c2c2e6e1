package storage

import (
	"context"
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestEveryColumnIsDescribed fails for a table or a column that columns.csv says nothing
// of, and for one that it tells of and that is not there. Describe a new table there;
// export, import and the page COLUMNS.txt then know it.
func TestEveryColumnIsDescribed(t *testing.T) {
	s, err := Open(t.Context(), Memory)
	require.NoError(t, err)
	defer s.Close()
	require.NoError(t, s.Do(t.Context(), func(tx *Tx) error {
		all, err := collect(tx, func(r scanner) (string, error) {
			var name string
			return name, r.Scan(&name)
		}, `SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name`)
		require.NoError(t, err)
		var told []string
		for _, d := range described() {
			require.NotEmpty(t, d.says, d.name)
			told = append(told, d.name)
			fields, err := tx.fields(d.name)
			require.NoError(t, err)
			if d.never {
				require.Empty(t, d.columns, d.name)
				continue
			}
			var columns []string
			for _, c := range d.columns {
				require.NotEmpty(t, c.says, "%s.%s", d.name, c.name)
				require.Contains(t, []string{"", kindInstant, kindPerson, kindFlag, kindJSON}, c.kind, "%s.%s", d.name, c.name)
				columns = append(columns, c.name)
			}
			require.Equal(t, names(fields), columns, "columns of %s", d.name)
		}
		slices.Sort(told)
		require.Equal(t, all, told)
		return nil
	}))
}

func TestColumnsPageNamesThemAll(t *testing.T) {
	page := columnsPage()
	for _, d := range described() {
		require.Contains(t, page, d.says)
		for _, c := range d.columns {
			require.Contains(t, page, c.says)
		}
	}
}

// TestCellsAreReadBack: any value of any column, through a CSV file.
func TestCellsAreReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := field{kind: rapid.SampledFrom([]string{"INTEGER", "REAL", "TEXT", "BLOB"}).Draw(t, "kind"), none: rapid.Bool().Draw(t, "none")}
		var v any
		switch f.kind {
		case "INTEGER":
			v = rapid.Int64().Draw(t, "v")
		case "REAL":
			v = rapid.Float64().Draw(t, "v")
		case "TEXT":
			v = rapid.OneOf(rapid.String(), rapid.StringMatching(`[\\r0\r\n",' \x00]{0,8}`)).Draw(t, "v")
		case "BLOB":
			v = rapid.SliceOfN(rapid.Byte(), 1, 20).Draw(t, "v")
		}
		if f.none && rapid.Bool().Draw(t, "null") {
			v = nil
		}
		var b strings.Builder
		w := csv.NewWriter(&b)
		require.NoError(t, w.Write([]string{"1", cell(v, f.none)}))
		w.Flush()
		record, err := csv.NewReader(strings.NewReader(b.String())).Read()
		require.NoError(t, err)
		back, err := value(record[1], f)
		require.NoError(t, err)
		require.Equal(t, v, back)
	})
}

func TestPutsBack(t *testing.T) {
	for _, good := range []string{
		"DELETE FROM bell WHERE id = 3",
		"UPDATE bell SET id = 3, title = 'it''s; late', next = NULL, useful = -1, low = 1.5e+20, hint = '' WHERE id = 3",
		"INSERT INTO bell (id, title, series) VALUES (3, 'x, '') VALUES (''', X'00FF')",
	} {
		require.True(t, putsBack(good, "bell", "3"), good)
	}
	for _, bad := range []string{
		"DELETE FROM bell", "DELETE FROM bell WHERE id = 3 OR 1", "DELETE FROM bell WHERE id = 4", "DELETE FROM person WHERE id = 3",
		"UPDATE bell SET title = (SELECT text FROM inbox) WHERE id = 3", "UPDATE bell SET title = 'x' WHERE id = 3; DROP TABLE bell",
		"UPDATE bell SET title = 'x' || 'y' WHERE id = 3", "UPDATE bell SET  WHERE id = 3", "UPDATE bell SET title = 'x WHERE id = 3",
		"INSERT INTO bell (id) VALUES (4)", "INSERT INTO bell (id) SELECT 3", "INSERT INTO bell (id, title) VALUES (3)",
		"ATTACH 'x' AS y", "", "DROP TABLE bell",
	} {
		require.False(t, putsBack(bad, "bell", "3"), bad)
	}
	require.False(t, putsBack("DELETE FROM inbox WHERE id = 3", "inbox", "3"), "not a table of the journal")
}

// exported writes a household out whose texts are as awkward as texts get.
func exported(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "house.db")
	s, err := Open(t.Context(), path)
	require.NoError(t, err)
	defer s.Close()
	require.NoError(t, s.Do(t.Context(), func(tx *Tx) error {
		id, err := tx.Found("home", "Europe/London", "Maren", at("2027-03-01 08:00"))
		require.NoError(t, err)
		e, err := tx.Record(Entry{Household: id, Person: 1, Happened: at("2027-03-01 09:00"), Written: at("2027-03-01 09:00"), Kind: "note", Text: "a\r\n\"b\", \\c;\n=1+1 \x00 ü"})
		require.NoError(t, err)
		require.NotZero(t, e)
		_, err = tx.AddBell(Bell{Household: id, Title: "it's, \"late\"", Whom: "1", Next: at("2027-03-02 09:00"), Made: at("2027-03-01 09:00")})
		require.NoError(t, err)
		require.NoError(t, tx.AddKey("5ecre7", false, at("2027-03-01 09:00")))
		return nil
	}))
	dir := filepath.Join(t.TempDir(), "out")
	_, err = s.Export(t.Context(), dir)
	require.NoError(t, err)
	return dir
}

// at is an instant, written in UTC.
func at(text string) time.Time {
	t, err := time.Parse("2006-01-02 15:04", text)
	if err != nil {
		panic(err)
	}
	return t
}

func files(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	all, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, f := range all {
		b, err := os.ReadFile(filepath.Join(dir, f.Name()))
		require.NoError(t, err)
		out[f.Name()] = string(b)
	}
	return out
}

func TestExportRoundTrip(t *testing.T) {
	dir := exported(t)
	path := filepath.Join(t.TempDir(), "new.db")
	rows, err := Import(t.Context(), dir, path)
	require.NoError(t, err)
	require.Greater(t, rows, 5)
	s, err := Open(t.Context(), path)
	require.NoError(t, err)
	defer s.Close()
	again := filepath.Join(t.TempDir(), "again")
	_, err = s.Export(t.Context(), again)
	require.NoError(t, err)
	require.Equal(t, files(t, dir), files(t, again))
	for name, text := range files(t, dir) {
		require.NotContains(t, text, "5ecre7", name)
	}
	require.NoError(t, s.Do(t.Context(), func(tx *Tx) error { // what was written can still be taken back
		e, ok, err := tx.LastEntry(1, 1)
		require.NoError(t, err)
		require.True(t, ok)
		require.Equal(t, "a\r\n\"b\", \\c;\n=1+1 \x00 ü", e.Text)
		require.NoError(t, tx.Undo(e, at("2027-03-01 10:00")))
		bells, err := tx.ComingBells(1)
		require.Empty(t, bells)
		return err
	}))
	_, err = s.Export(t.Context(), again)
	require.ErrorIs(t, err, ErrExists, "nothing is written over")
	_, err = Import(t.Context(), dir, path)
	require.ErrorIs(t, err, ErrExists, "nor is a household")
}

// TestBadExports spoils an export in every way, one at a time: each is named with its
// line, and nothing is left behind.
func TestBadExports(t *testing.T) {
	for _, bad := range []struct{ file, old, new, says string }{
		{"bell.csv", "1803978000,", "soon,", "bell.csv line 2: column next"},
		{"bell.csv", ",1,\"it's", ",,\"it's", "bell.csv line 2: column num: it must not be empty"},
		{"bell.csv", "id,household", "id,house", "bell.csv line 1: its columns are"},
		{"bell.csv", "\"it's", "\"it\"s", "bell.csv line 2"},
		{"person.csv", ",keeper,", ",lord,", "person.csv line 2"},
		{"person.csv", "1,1,Maren", "1,7,Maren", "person.csv line 2: it names a row of household.csv that is not there"},
		{"setting.csv", "Europe/London", "Europe/Lodnon", "setting.csv line 2: the setting zone cannot be"},
		{"change.csv", "DELETE FROM bell WHERE id = 1", "DELETE FROM bell", "change.csv line 2: column undo"},
		{"contents.csv", "person.csv,1", "person.csv,2", "person.csv: it has 1 rows"},
		{"contents.csv", "person.csv,1", "parson.csv,1", "person.csv: it has 1 rows"},
		{"contents.csv", "schema,", "schema,9", "newer version"},
		{"contents.csv", "schema,", "scheme,", "it does not say for which schema"},
		{"contents.csv", "person.csv,1\n", "person.csv,1\nperson.csv,1\n", "person.csv is in it twice"},
		{"entry.csv", "1,1,", "1,1,\n1,1,", "entry.csv line 2"},
		{"entry.csv", ",0,", ",2,", "entry.csv line 2: column fixed"},
		{"lot.csv", "", "gone", "lot.csv: it is missing"},
		{"clock.csv", "*", "empty", "clock.csv: it is empty"},
	} {
		t.Run(bad.file+" "+bad.new, func(t *testing.T) {
			dir := exported(t)
			name := filepath.Join(dir, bad.file)
			switch bad.new {
			case "gone":
				require.NoError(t, os.Remove(name))
			case "empty":
				require.NoError(t, os.Truncate(name, 0))
			default:
				text := files(t, dir)[bad.file]
				require.Contains(t, text, bad.old)
				require.NoError(t, os.WriteFile(name, []byte(strings.Replace(text, bad.old, bad.new, 1)), 0o600))
			}
			home := t.TempDir()
			_, err := Import(context.Background(), dir, filepath.Join(home, "new.db"))
			require.ErrorContains(t, err, bad.says)
			require.Empty(t, files(t, home), "nothing half brought in")
		})
	}
}
