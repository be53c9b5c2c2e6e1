package storage

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"github.com/pressly/goose/v3"
)

//go:embed migrations/*.sql
var migrationFiles embed.FS

// migrate brings the schema up to date and lays the journal triggers anew. The
// file's user_version says for which schema they were laid, so that a process
// killed between the two does not leave a household without its journal. A file
// that is up to date costs one small query.
func migrate(ctx context.Context, db *sql.DB) error {
	want, err := latestMigration()
	if err != nil || upToDate(ctx, db, want) {
		return err
	}
	have, err := schemaVersion(ctx, db)
	if err != nil {
		return err
	}
	if have > want {
		return fmt.Errorf("%w: version %d, this program knows %d", errNewer, have, want)
	}
	if have < want {
		if err := migrateUp(ctx, db); err != nil {
			return err
		}
	}
	var laid int64
	if err := db.QueryRowContext(ctx, `PRAGMA user_version`).Scan(&laid); err != nil || laid == want {
		return err
	}
	return layTriggers(ctx, db, want)
}

// upToDate is the short way for a file that needs nothing; on any doubt the long
// way finds out why.
func upToDate(ctx context.Context, db *sql.DB, want int64) bool {
	var have, laid int64
	err := db.QueryRowContext(ctx, `SELECT (SELECT max(version_id) FROM goose_db_version WHERE is_applied), user_version FROM pragma_user_version`).Scan(&have, &laid)
	return err == nil && have == want && laid == want
}

func migrateUp(ctx context.Context, db *sql.DB) error {
	p, err := provider(db)
	if err != nil {
		return err
	}
	_, err = p.Up(ctx)
	return err
}

// provider runs the migrations.
func provider(db *sql.DB) (*goose.Provider, error) {
	dir, err := fs.Sub(migrationFiles, "migrations")
	if err != nil {
		return nil, err
	}
	return goose.NewProvider(goose.DialectSQLite3, db, dir, goose.WithDisableGlobalRegistry(true))
}

// schemaVersion returns 0 for an empty file and refuses one that holds other
// people's tables.
func schemaVersion(ctx context.Context, db *sql.DB) (int64, error) {
	var tables, ours int
	err := db.QueryRowContext(ctx, `SELECT count(*), coalesce(sum(name = 'goose_db_version'), 0) FROM sqlite_master WHERE type = 'table'`).Scan(&tables, &ours)
	if err != nil {
		return 0, err
	}
	if tables == 0 {
		return 0, nil
	}
	if ours == 0 {
		return 0, &OpenError{Reason: "it belongs to another program", Advice: "choose another place with --db"}
	}
	var v sql.NullInt64
	err = db.QueryRowContext(ctx, `SELECT max(version_id) FROM goose_db_version WHERE is_applied`).Scan(&v)
	return v.Int64, err
}

func latestMigration() (int64, error) {
	entries, err := migrationFiles.ReadDir("migrations")
	if err != nil {
		return 0, err
	}
	var latest int64
	for _, e := range entries {
		v, err := goose.NumericComponent(e.Name())
		if err != nil {
			return 0, err
		}
		latest = max(latest, v)
	}
	return latest, nil
}

// journaled are the tables whose changes an entry of the day book can take back.
var journaled = slices.Concat([]string{"setting", "person", "bell", "ring", "batch", "weighing", "recipe", "absence", "lot", "draw", "ownfat", "pouring", "outgo", "sowing", "packet", "wanted", "owncrop", "station", "cold", "meal", "jar", "peak", "toget", "allergy", "appetite", "neighbour", "dealing", "loan", "chore", "work", "trade"}, barnTables, dayTables)

// layTriggers writes, for each journaled table, the triggers that note how to
// undo a change. They are made from the columns that the table has now, so a
// migration that adds a column cannot forget them.
func layTriggers(ctx context.Context, db *sql.DB, version int64) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback() //nolint:errcheck // after a commit there is nothing to roll back
	for _, table := range journaled {
		cols, err := columns(ctx, tx, table)
		if err != nil {
			return err
		}
		for _, q := range triggers(table, cols) {
			if _, err := tx.ExecContext(ctx, q); err != nil {
				return fmt.Errorf("journal of %s: %w", table, err)
			}
		}
	}
	if _, err := tx.ExecContext(ctx, fmt.Sprintf(`PRAGMA user_version = %d`, version)); err != nil {
		return err
	}
	return tx.Commit()
}

func columns(ctx context.Context, tx *sql.Tx, table string) ([]string, error) {
	rows, err := tx.QueryContext(ctx, `SELECT name FROM pragma_table_info(?)`, table)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var cols []string
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			return nil, err
		}
		cols = append(cols, name)
	}
	return cols, rows.Err()
}

func triggers(table string, cols []string) []string {
	var names, quoted, sets []string
	for _, c := range cols {
		names = append(names, c)
		quoted = append(quoted, "quote(OLD."+c+")")
		sets = append(sets, "'"+c+" = ' || quote(OLD."+c+")")
	}
	undo := map[string]string{
		"INSERT": fmt.Sprintf("'DELETE FROM %s WHERE id = ' || NEW.id", table),
		"UPDATE": fmt.Sprintf("'UPDATE %s SET ' || %s || ' WHERE id = ' || OLD.id", table, strings.Join(sets, " || ', ' || ")),
		"DELETE": fmt.Sprintf("'INSERT INTO %s (%s) VALUES (' || %s || ')'", table, strings.Join(names, ", "), strings.Join(quoted, " || ', ' || ")),
	}
	var out []string
	for _, event := range []string{"INSERT", "UPDATE", "DELETE"} {
		row := "OLD"
		if event == "INSERT" {
			row = "NEW"
		}
		name := fmt.Sprintf("journal_%s_%s", table, strings.ToLower(event))
		out = append(out, "DROP TRIGGER IF EXISTS "+name, fmt.Sprintf(
			`CREATE TRIGGER %s AFTER %s ON %s WHEN (SELECT entry FROM writing) IS NOT NULL BEGIN
				INSERT INTO change (household, entry, tbl, row, undo)
				VALUES (%s.household, (SELECT entry FROM writing), '%s', %s.id, %s);
			END`, name, event, table, row, table, row, undo[event]))
	}
	return out
}
