package storage

import (
	"context"
	"encoding/base64"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// Names of the files of an export beside those of the tables.
const (
	contentsFile = "contents.csv"
	pageFile     = "COLUMNS.txt"
	recordsFile  = "records.txt"
	schemaRow    = "schema"
)

// Export writes every table into a folder that is empty or not there yet: as CSV that
// Import brings back, as plain text, and a page that says what each column is. Keys are
// not in it. It returns the names of the tables.
func (s *Store) Export(ctx context.Context, dir string) ([]string, error) {
	if err := emptyFolder(dir); err != nil {
		return nil, err
	}
	err := s.Do(ctx, func(tx *Tx) error {
		var schema int64
		if _, err := tx.One(`SELECT max(version_id) FROM goose_db_version WHERE is_applied`, nil, &schema); err != nil {
			return err
		}
		contents := [][]string{{"file", "rows"}, {schemaRow, strconv.FormatInt(schema, 10)}}
		for _, t := range Tables() {
			n, err := tx.exportTable(t, filepath.Join(dir, t+".csv"))
			if err != nil {
				return fmt.Errorf("export %s: %w", t, err)
			}
			contents = append(contents, []string{t + ".csv", strconv.Itoa(n)})
		}
		if err := tx.writeRecords(filepath.Join(dir, recordsFile)); err != nil {
			return fmt.Errorf("export as text: %w", err)
		}
		if err := os.WriteFile(filepath.Join(dir, pageFile), []byte(columnsPage()), 0o600); err != nil {
			return err
		}
		return create(filepath.Join(dir, contentsFile), func(w io.Writer) error { return csv.NewWriter(w).WriteAll(contents) })
	})
	return Tables(), err
}

// emptyFolder makes a folder, or finds it empty.
func emptyFolder(dir string) error {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	all, err := os.ReadDir(dir)
	if err == nil && len(all) > 0 {
		err = fmt.Errorf("%s: %w", dir, ErrExists)
	}
	return err
}

// create writes a file that only its owner reads.
func create(name string, write func(io.Writer) error) (err error) {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	return write(f)
}

// field is a column as the file has it.
type field struct {
	name string
	kind string // INTEGER, REAL, TEXT or BLOB
	none bool   // may be NULL
}

func (tx *Tx) fields(table string) ([]field, error) {
	return collect(tx, scanField, fieldsQuery, table)
}

const fieldsQuery = `SELECT name, type, NOT "notnull" AND NOT pk FROM pragma_table_info(?) ORDER BY cid`

func scanField(r scanner) (f field, err error) {
	return f, r.Scan(&f.name, &f.kind, &f.none)
}

func names(fields []field) (out []string) {
	for _, f := range fields {
		out = append(out, f.name)
	}
	return out
}

func (tx *Tx) exportTable(table, name string) (n int, err error) {
	fields, err := tx.fields(table)
	if err != nil {
		return 0, err
	}
	return n, create(name, func(out io.Writer) error {
		w := csv.NewWriter(out)
		if err := w.Write(names(fields)); err != nil {
			return err
		}
		err := tx.eachRow(table, fields, func(row []any) error {
			n++
			record := make([]string, len(row))
			for i, v := range row {
				record[i] = cell(v, fields[i].none)
			}
			return w.Write(record)
		})
		w.Flush()
		return errors.Join(err, w.Error())
	})
}

// eachRow goes through a table in the order of its row numbers.
func (tx *Tx) eachRow(table string, fields []field, each func([]any) error) error {
	rows, err := tx.store.conn.QueryContext(tx.ctx, `SELECT "`+strings.Join(names(fields), `", "`)+`" FROM "`+table+`" ORDER BY id`)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		row, refs := make([]any, len(fields)), make([]any, len(fields))
		for i := range row {
			refs[i] = &row[i]
		}
		if err := rows.Scan(refs...); err != nil {
			return err
		}
		if err := each(row); err != nil {
			return err
		}
	}
	return rows.Err()
}

// cell writes a value so that value reads it back; none says that the column can also
// be NULL.
func cell(v any, none bool) string {
	switch v := v.(type) {
	case nil:
		return ""
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	case []byte:
		return base64.StdEncoding.EncodeToString(v)
	case string:
		if v == "" && none {
			return `\`
		}
		if strings.HasPrefix(v, `\`) || strings.ContainsAny(v, "\r\x00") { // what CSV does not keep
			return `\` + escape.Replace(v)
		}
		return v
	}
	return fmt.Sprint(v)
}

var (
	escape   = strings.NewReplacer(`\`, `\\`, "\r", `\r`, "\x00", `\0`)
	unescape = strings.NewReplacer(`\\`, `\`, `\r`, "\r", `\0`, "\x00")
)

// writeRecords writes every record for reading: times on the household's clock, people
// by name, what is empty left out.
func (tx *Tx) writeRecords(name string) error {
	people := map[int64]string{}
	zones := map[int64]*time.Location{}
	ids, err := tx.Households()
	if err != nil {
		return err
	}
	for _, id := range ids {
		h, err := tx.Household(id)
		if err != nil {
			return err
		}
		zones[id] = h.Zone
		all, err := tx.People(id)
		if err != nil {
			return err
		}
		for _, p := range all {
			people[p.ID] = p.Name
		}
	}
	return create(name, func(w io.Writer) error {
		for _, t := range described() {
			if t.never {
				continue
			}
			if err := tx.writeTable(w, t, people, zones); err != nil {
				return err
			}
		}
		return nil
	})
}

func (tx *Tx) writeTable(w io.Writer, t describedTable, people map[int64]string, zones map[int64]*time.Location) error {
	fields, err := tx.fields(t.name)
	if err != nil {
		return err
	}
	first := true
	return tx.eachRow(t.name, fields, func(row []any) error {
		var b strings.Builder
		if first {
			fmt.Fprintf(&b, "== %s: %s\n\n", t.name, t.says)
			first = false
		}
		zone := time.UTC
		for i, f := range fields {
			if id, ok := row[i].(int64); ok && f.name == "household" && zones[id] != nil {
				zone = zones[id]
			}
		}
		for i, f := range fields {
			if text := readable(row[i], t.kindOf(f.name), people, zone); text != "" {
				fmt.Fprintf(&b, "%s: %s\n", f.name, strings.ReplaceAll(text, "\n", "\n    "))
			}
		}
		b.WriteByte('\n')
		_, err := io.WriteString(w, b.String())
		return err
	})
}

// readable writes a value for a person, empty for nothing worth a line.
func readable(v any, kind string, people map[int64]string, zone *time.Location) string {
	n, whole := v.(int64)
	switch {
	case whole && kind == kindInstant && n == 0, whole && kind == kindFlag && n == 0:
		return ""
	case whole && kind == kindInstant:
		return time.Unix(n, 0).In(zone).Format("Mon 2006-01-02 15:04:05")
	case whole && kind == kindFlag:
		return "yes"
	case whole && kind == kindPerson && people[n] != "":
		return people[n]
	}
	if b, ok := v.([]byte); ok {
		return fmt.Sprintf("%d bytes", len(b))
	}
	return cell(v, false)
}
