package breeding

import (
	"encoding/csv"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// ErrTable is returned for a table that does not hold together.
var ErrTable = errors.New("breeding table")

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

func (r *record) text(name string) string {
	cell, ok := r.cells[name]
	if !ok {
		r.fail("no column %s", name)
	}
	return cell
}

// needed is a text that must not be empty.
func (r *record) needed(name string) string {
	cell := r.text(name)
	if cell == "" {
		r.fail("%s is empty", name)
	}
	return cell
}

// list is the parts of a cell between bars.
func (r *record) list(name string) []string {
	cell := r.text(name)
	if cell == "" {
		return nil
	}
	return strings.Split(cell, "|")
}

// whole reads a whole number.
func (r *record) whole(name string) int {
	n, err := strconv.Atoi(r.text(name))
	if err != nil {
		r.fail("%s is %q", name, r.text(name))
	}
	return n
}

// span reads "99.5" or "99.5-100".
func (r *record) span(text string) Range {
	low, high, two := strings.Cut(text, "-")
	if !two {
		high = low
	}
	a, errA := strconv.ParseFloat(low, 64)
	b, errB := strconv.ParseFloat(high, 64)
	if errA != nil || errB != nil || !(a <= b) {
		r.fail("%q is no range", text)
	}
	return Range{a, b}
}

func (r *record) yes(name string) bool { return r.choice(name, []string{"no", "yes"}) == 1 }

func (r *record) choice(name string, words []string) int {
	i := slices.Index(words, r.text(name))
	if i < 0 {
		r.fail("%s: %q is none of %s", name, r.text(name), strings.Join(words, ", "))
	}
	return max(i, 0)
}
