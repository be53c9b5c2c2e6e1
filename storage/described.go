package storage

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"strings"
	"sync"
)

// columnsFile says of each table and each of its columns what it is. A table whose
// kind is never is not taken along; the others are brought back in this order, those
// that triggers write to last.
//
//go:embed columns.csv
var columnsFile string

// Kinds of a column.
const (
	kindInstant = "instant" // seconds UTC
	kindPerson  = "person"  // the row number of a person
	kindFlag    = "flag"    // 1 or 0
	kindJSON    = "json"
	kindNever   = "never" // of a table: not taken along
)

type describedColumn struct{ name, kind, says string }

type describedTable struct {
	name, says string
	never      bool
	columns    []describedColumn
}

// described returns the tables as columns.csv has them.
var described = sync.OnceValue(func() []describedTable {
	rows, err := csv.NewReader(strings.NewReader(columnsFile)).ReadAll()
	if err != nil {
		panic(err) // the file is part of the program
	}
	var out []describedTable
	for _, r := range rows[1:] {
		if r[1] == "" {
			out = append(out, describedTable{name: r[0], says: r[3], never: r[2] == kindNever})
			continue
		}
		t := &out[len(out)-1]
		t.columns = append(t.columns, describedColumn{r[1], r[2], r[3]})
	}
	return out
})

// kindOf returns what a column of a table holds.
func (t describedTable) kindOf(column string) string {
	for _, c := range t.columns {
		if c.name == column {
			return c.kind
		}
	}
	return ""
}

// Tables are the tables that hold households' records, in the order in which they are
// taken along.
func Tables() (out []string) {
	for _, t := range described() {
		if !t.never {
			out = append(out, t.name)
		}
	}
	return out
}

// columnsHead begins the page that says what each column is.
const columnsHead = `The records of the households of a Yardbell file: one CSV file a table, first row the column names.
records.txt holds the same for reading, contents.csv how many rows each file has and for which schema.
All of it can be brought back with: yardbell import FOLDER

An empty cell is none. A text that begins with a backslash is written so: \ alone an empty text where a column can
also be none, else behind the first one \\ a backslash, \r a carriage return, \0 a zero byte.
instant   seconds since 1970-01-01 00:00 UTC
person    the id of a row in person.csv
flag      1 yes, 0 no
json      JSON

`

// columnsPage says what each column of each file is.
func columnsPage() string {
	var b strings.Builder
	b.WriteString(columnsHead)
	for _, t := range described() {
		if t.never {
			continue
		}
		fmt.Fprintf(&b, "%s.csv  %s\n", t.name, t.says)
		for _, c := range t.columns {
			fmt.Fprintf(&b, "    %-12s %-8s %s\n", c.name, c.kind, c.says)
		}
		b.WriteByte('\n')
	}
	b.WriteString("Not taken along:\n")
	for _, t := range described() {
		if t.never {
			fmt.Fprintf(&b, "    %s: %s\n", t.name, t.says)
		}
	}
	return b.String()
}
