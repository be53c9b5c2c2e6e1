package childwork

import (
	_ "embed"
	"encoding/csv"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync"
)

//go:embed work.csv
var workCSV string

// row is a line of the table: work whose name holds a word of each group and none
// of the words in not.
type row struct {
	Tag    string
	groups [][]string
	not    []string
	Least  int
	What   string
}

// works is the table with its rows by the words of their first group.
type works struct {
	rows    []row
	byFirst map[string][]row
}

var table = sync.OnceValue(func() works {
	t, err := read(workCSV)
	if err != nil {
		panic(err) // the file is part of the program; TestTable reads it
	}
	return t
})

func read(text string) (works, error) {
	lines, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		return works{}, fmt.Errorf("work.csv: %w", err)
	}
	t := works{byFirst: map[string][]row{}}
	for i, fields := range lines[1:] {
		r, err := readRow(fields)
		if err != nil {
			return works{}, fmt.Errorf("work.csv line %d: %w", i+2, err)
		}
		t.rows = append(t.rows, r)
		for _, p := range r.groups[0] {
			first, _, _ := strings.Cut(p, "_")
			t.byFirst[first] = append(t.byFirst[first], r)
		}
	}
	return t, nil
}

func readRow(fields []string) (row, error) {
	least, err := strconv.Atoi(fields[3])
	if err != nil {
		return row{}, err
	}
	r := row{Tag: fields[0], not: strings.Fields(fields[2]), Least: least, What: fields[4]}
	for group := range strings.SplitSeq(fields[1], " + ") {
		r.groups = append(r.groups, strings.Split(group, "|"))
	}
	if r.What == "" || fields[5] == "" || fields[6] == "" || r.groups[0][0] == "" {
		return row{}, errors.New("a row says what it is and where it comes from")
	}
	return r, nil
}
