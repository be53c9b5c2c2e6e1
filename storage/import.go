package storage

import (
	"context"
	"database/sql"
	"encoding/base64"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// ImportError is a file of an export that cannot be brought back, and where.
type ImportError struct {
	File   string
	Line   int // 0 for the file as a whole
	Reason string
}

// Error says where and why.
func (e *ImportError) Error() string {
	if e.Line == 0 {
		return e.File + ": " + e.Reason
	}
	return fmt.Sprintf("%s line %d: %s", e.File, e.Line, e.Reason)
}

func badFile(file string, line int, format string, args ...any) error {
	return &ImportError{file, line, fmt.Sprintf(format, args...)}
}

// Import makes a household file out of an export, wholly or not at all. Where a file is
// already, it must hold no household. An export of an older schema is brought up to date.
func Import(ctx context.Context, dir, path string) (rows int, err error) {
	if err := vacant(ctx, path); err != nil {
		return 0, err
	}
	schema, want, err := readContents(dir)
	if err != nil {
		return 0, err
	}
	fresh := path + ".importing"
	drop := func(name string) error {
		return errors.Join(os.RemoveAll(name), os.RemoveAll(name+"-wal"), os.RemoveAll(name+"-shm"))
	}
	if err := drop(fresh); err != nil {
		return 0, err
	}
	if rows, err = fill(ctx, dir, fresh, schema, want); err != nil {
		return 0, errors.Join(err, drop(fresh))
	}
	s, err := Open(ctx, fresh)
	if err != nil {
		return 0, errors.Join(err, drop(fresh))
	}
	if err := s.Close(); err != nil {
		return 0, err
	}
	if err := drop(path); err != nil {
		return 0, err
	}
	return rows, os.Rename(fresh, path)
}

// vacant finds no household at a path.
func vacant(ctx context.Context, path string) error {
	if !exists(path) {
		return nil
	}
	s, err := Open(ctx, path)
	if err != nil {
		return err
	}
	var ids []int64
	err = s.Do(ctx, func(tx *Tx) (err error) {
		ids, err = tx.Households()
		return err
	})
	if err == nil && len(ids) > 0 {
		err = fmt.Errorf("%s: %w", path, ErrExists)
	}
	return errors.Join(err, s.Close())
}

// readContents reads for which schema an export was written, and how many rows each of
// its files has.
func readContents(dir string) (schema int64, want map[string]int, err error) {
	want = map[string]int{}
	err = eachRecord(dir, contentsFile, func(line int, record []string) error {
		n, err := strconv.Atoi(record[len(record)-1])
		switch {
		case len(record) != 2 || err != nil || n < 0:
			return badFile(contentsFile, line, "it wants a file and its number of rows")
		case record[0] == schemaRow:
			schema = int64(n)
			return nil
		}
		if _, twice := want[record[0]]; twice {
			return badFile(contentsFile, line, "%s is in it twice", record[0])
		}
		want[record[0]] = n
		return nil
	})
	if err != nil {
		return 0, nil, err
	}
	latest, err := latestMigration()
	switch {
	case err != nil:
		return 0, nil, err
	case schema > latest:
		return 0, nil, badFile(contentsFile, 2, "it was written by a newer version of Yardbell (schema %d, this program knows %d); install that version", schema, latest)
	case schema < 1:
		return 0, nil, badFile(contentsFile, 0, "it does not say for which schema it is")
	}
	return schema, want, nil
}

// eachRecord reads a CSV file, its first row left out. Each gets the line in the file.
func eachRecord(dir, file string, each func(line int, record []string) error, head ...*[]string) (err error) {
	f, err := os.Open(filepath.Join(dir, file))
	if errors.Is(err, os.ErrNotExist) {
		return badFile(file, 0, "it is missing")
	}
	if err != nil {
		return err
	}
	defer f.Close()
	r := csv.NewReader(f)
	for n := 0; ; n++ {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			if n == 0 {
				return badFile(file, 0, "it is empty")
			}
			return nil
		}
		var bad *csv.ParseError
		if errors.As(err, &bad) {
			return badFile(file, bad.StartLine, "%v", bad.Err)
		}
		if err != nil {
			return err
		}
		if n == 0 {
			for _, h := range head {
				*h = record
			}
			continue
		}
		line, _ := r.FieldPos(0)
		if err := each(line, record); err != nil {
			return err
		}
	}
}

// fill makes a file of a schema and writes all rows into it.
func fill(ctx context.Context, dir, path string, schema int64, want map[string]int) (rows int, err error) {
	db, err := sql.Open("sqlite", dsn(path))
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	db.SetMaxOpenConns(1)
	if err := migrateTo(ctx, db, schema); err != nil {
		return 0, err
	}
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return 0, err
	}
	defer tx.Rollback() //nolint:errcheck // after a commit there is nothing to roll back
	if _, err := tx.ExecContext(ctx, `PRAGMA defer_foreign_keys = ON`); err != nil {
		return 0, err
	}
	i := &importer{ctx: ctx, tx: tx, dir: dir}
	for _, t := range described() {
		fields, err := i.fields(t.name)
		if err != nil {
			return 0, err
		}
		if t.never || len(fields) == 0 { // a table that came later
			continue
		}
		n, err := i.table(t, fields)
		if err != nil {
			return 0, err
		}
		file := t.name + ".csv"
		if has, listed := want[file]; !listed || has != n {
			return 0, badFile(file, 0, "it has %d rows, and %s says %d", n, contentsFile, has)
		}
		delete(want, file)
		rows += n
	}
	for file := range want {
		return 0, badFile(file, 0, "it is in %s, and is no table of Yardbell", contentsFile)
	}
	if err := i.references(); err != nil {
		return 0, err
	}
	return rows, tx.Commit()
}

// migrateTo makes the tables of a schema.
func migrateTo(ctx context.Context, db *sql.DB, schema int64) error {
	p, err := provider(db)
	if err != nil {
		return err
	}
	if _, err := p.UpTo(ctx, schema); err != nil {
		return err
	}
	has, err := p.GetDBVersion(ctx)
	if err == nil && has != schema {
		err = badFile(contentsFile, 2, "there is no schema %d", schema)
	}
	return err
}

// importer writes the rows of an export.
type importer struct {
	ctx context.Context //nolint:containedctx // lives for one call of Import
	tx  *sql.Tx
	dir string
}

func (i *importer) fields(table string) (out []field, err error) {
	rows, err := i.tx.QueryContext(i.ctx, fieldsQuery, table)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		f, err := scanField(rows)
		if err != nil {
			return nil, err
		}
		out = append(out, f)
	}
	return out, rows.Err()
}

// table writes the rows of one table in the place of those that a new file has.
func (i *importer) table(t describedTable, fields []field) (n int, err error) {
	if _, err := i.tx.ExecContext(i.ctx, `DELETE FROM "`+t.name+`"`); err != nil {
		return 0, err
	}
	insert, err := i.tx.PrepareContext(i.ctx, fmt.Sprintf(`INSERT INTO "%s" ("%s") VALUES (?%s)`, t.name, strings.Join(names(fields), `", "`), strings.Repeat(", ?", len(fields)-1)))
	if err != nil {
		return 0, err
	}
	defer insert.Close()
	file := t.name + ".csv"
	var head []string
	err = eachRecord(i.dir, file, func(line int, record []string) error {
		if !slices.Equal(head, names(fields)) {
			return badFile(file, 1, "its columns are %s, and should be %s", strings.Join(head, ","), strings.Join(names(fields), ","))
		}
		row := make([]any, len(fields))
		for c, f := range fields {
			v, err := value(record[c], f)
			if err == nil {
				err = fits(t.kindOf(f.name), record[c])
			}
			if err != nil {
				return badFile(file, line, "column %s: %v", f.name, err)
			}
			row[c] = v
		}
		if err := sound(t.name, fields, row); err != nil {
			return badFile(file, line, "%v", err)
		}
		n++
		if _, err := insert.ExecContext(i.ctx, row...); err != nil {
			return badFile(file, line, "%v", err)
		}
		return nil
	}, &head)
	return n, err
}

// value reads what cell wrote.
func value(text string, f field) (any, error) {
	switch {
	case text == "" && f.none:
		return nil, nil
	case text == "" && f.kind != "TEXT" && f.kind != "BLOB":
		return nil, errors.New("it must not be empty")
	}
	switch f.kind {
	case "INTEGER":
		n, err := strconv.ParseInt(text, 10, 64)
		if err != nil {
			return nil, fmt.Errorf("%.40q is not a whole number", text)
		}
		return n, nil
	case "REAL":
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsNaN(v) {
			return nil, fmt.Errorf("%.40q is not a number", text)
		}
		return v, nil
	case "BLOB":
		b, err := base64.StdEncoding.DecodeString(text)
		if err != nil {
			return nil, errors.New("it is not base64")
		}
		return b, nil
	}
	if rest, escaped := strings.CutPrefix(text, `\`); escaped {
		return unescape.Replace(rest), nil
	}
	return text, nil
}

// fits holds a cell against what its column is for.
func fits(kind, text string) error {
	switch {
	case text == "":
		return nil
	case kind == kindFlag && text != "0" && text != "1":
		return fmt.Errorf("%.40q is neither 1 nor 0", text)
	case kind == kindJSON && !json.Valid([]byte(text)):
		return errors.New("it is not JSON")
	}
	return nil
}

// sound refuses rows that would do harm later: a setting that cannot be read keeps the
// household from being opened, and what takes an entry back is run as it stands.
func sound(table string, fields []field, row []any) error {
	text := func(name string) string {
		at := slices.IndexFunc(fields, func(f field) bool { return f.name == name })
		return fmt.Sprint(row[at])
	}
	switch table {
	case "setting":
		if err := new(Household).apply(text("key"), text("value")); err != nil {
			return fmt.Errorf("the setting %s cannot be %q", text("key"), text("value"))
		}
	case "change":
		if !putsBack(text("undo"), text("tbl"), text("row")) {
			return errors.New("column undo: it does not put that row back")
		}
	}
	return nil
}

// references finds a row that names another which is not there.
func (i *importer) references() error {
	var table, parent string
	var row sql.NullInt64
	err := i.tx.QueryRowContext(i.ctx, `SELECT "table", rowid, parent FROM pragma_foreign_key_check LIMIT 1`).Scan(&table, &row, &parent)
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	if err != nil {
		return err
	}
	file, at := table+".csv", 0
	err = eachRecord(i.dir, file, func(line int, record []string) error {
		if record[0] == strconv.FormatInt(row.Int64, 10) {
			at = line
		}
		return nil
	})
	return errors.Join(err, badFile(file, at, "it names a row of %s.csv that is not there", parent))
}
