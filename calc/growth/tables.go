package growth

import (
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"
)

// ErrTable is returned for a table that does not hold together.
var ErrTable = errors.New("growth table")

// record is one row of a table by its column names; the first fault stays in err.
type record struct {
	cells map[string]string
	err   error
}

// load reads a table once. It panics on a fault, since the files are part of the
// program; TestTables reads them all.
func load[T any](name string, text *string, row func(*record) T) func() []T {
	return sync.OnceValue(func() []T {
		out, err := readTable(*text, row)
		if err != nil {
			panic(fmt.Sprintf("%s: %v", name, err))
		}
		return out
	})
}

func readTable[T any](text string, row func(*record) T) ([]T, error) {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrTable, err)
	}
	if len(rows) < 2 {
		return nil, fmt.Errorf("%w: no rows", ErrTable)
	}
	var out []T
	for i, cells := range rows[1:] {
		r := record{cells: map[string]string{}}
		for j, name := range rows[0] {
			r.cells[name] = cells[j]
		}
		v := row(&r)
		if r.err != nil {
			return nil, fmt.Errorf("line %d: %w", i+2, r.err)
		}
		out = append(out, v)
	}
	return out, nil
}

func (r *record) fail(format string, a ...any) {
	if r.err == nil {
		r.err = fmt.Errorf("%w: "+format, append([]any{ErrTable}, a...)...)
	}
}

// needed is a text that must not be empty.
func (r *record) needed(name string) string {
	if r.cells[name] == "" {
		r.fail("%s is empty", name)
	}
	return r.cells[name]
}

// list is the parts of a cell between bars.
func (r *record) list(name string) []string { return strings.Split(r.needed(name), "|") }

func (r *record) number(name string) float64 {
	x, err := strconv.ParseFloat(r.cells[name], 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		r.fail("%s is %q", name, r.cells[name])
	}
	return x
}
