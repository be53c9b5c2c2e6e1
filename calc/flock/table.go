package flock

import (
	"encoding/csv"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync"
)

// errTable is a fault of the embedded tables.
var errTable = errors.New("flock table")

// record is one row of a table by its column names.
type record map[string]string

// load reads a table once. It panics on a fault, since the files are part of the
// program; TestTables reads them all.
func load[T any](name string, text *string, row func(record) (T, error)) func() []T {
	return sync.OnceValue(func() []T {
		out, err := readTable(*text, row)
		if err != nil {
			panic(fmt.Sprintf("%s: %v", name, err))
		}
		return out
	})
}

func readTable[T any](text string, row func(record) (T, error)) ([]T, error) {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%w: %w", errTable, err)
	}
	var out []T
	for i, cells := range rows[1:] {
		r := record{}
		for j, name := range rows[0] {
			r[name] = cells[j]
		}
		v, err := row(r)
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", i+2, err)
		}
		out = append(out, v)
	}
	return out, nil
}

// wholes reads columns of whole numbers that are not negative.
func (r record) wholes(names ...string) ([]int, error) {
	out := make([]int, len(names))
	for i, name := range names {
		n, err := strconv.Atoi(r[name])
		if err != nil || n < 0 {
			return nil, fmt.Errorf("%w: %s is %q", errTable, name, r[name])
		}
		out[i] = n
	}
	return out, nil
}

// numbers reads columns of numbers.
func (r record) numbers(names ...string) ([]float64, error) {
	out := make([]float64, len(names))
	for i, name := range names {
		f, err := strconv.ParseFloat(r[name], 64)
		if err != nil {
			return nil, fmt.Errorf("%w: %s is %q", errTable, name, r[name])
		}
		out[i] = f
	}
	return out, nil
}
