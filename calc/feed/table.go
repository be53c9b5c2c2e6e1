package feed

import (
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"sync"
)

// The units that the tables are printed in, in kg, L and shares: figures stand in the
// tables as their sources print them.
const (
	pound  = 0.45359237  // kg, exact
	ounce  = pound / 16  // kg
	gallon = 3.785411784 // L, the US gallon of 231 cubic inches
)

var units = map[string]float64{
	"": 1, "kg": 1, "g": 0.001, "lb": pound, "oz": ounce, "%": 0.01, "L": 1, "gal": gallon, "fl oz": gallon / 128,
	"kg a day": 1, "g a week": 0.001 / 7, "lb a week": pound / 7,
}

// record is one row of a table by its column names.
type record map[string]string

// load reads a table once. A table that cannot be read is a fault of the program, which
// its tests find.
func load[T any](text *string, row func(record) T) func() []T {
	return sync.OnceValue(func() []T {
		var out []T
		for _, r := range records(*text) {
			out = append(out, row(r))
		}
		return out
	})
}

func records(text string) []record {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		panic(fmt.Sprintf("feed: table: %v", err))
	}
	out := make([]record, 0, len(rows))
	for _, row := range rows[1:] {
		r := record{}
		for i, name := range rows[0] {
			r[name] = row[i]
		}
		out = append(out, r)
	}
	return out
}

// number is a figure of a column, 0 where the cell is empty.
func (r record) number(column string) float64 {
	if r[column] == "" {
		return 0
	}
	f, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		panic(fmt.Sprintf("feed: table: %s: %v", column, err))
	}
	return f
}

// band is the three figures of a row in the package's own units.
func (r record) band() Band {
	u, ok := units[r["unit"]]
	if !ok {
		panic(fmt.Sprintf("feed: table: unit %q", r["unit"]))
	}
	return Band{r.number("low"), r.number("typical"), r.number("high")}.times(u)
}

// words cuts a cell at its semicolons.
func (r record) words(column string) []string {
	if r[column] == "" {
		return nil
	}
	return strings.Split(r[column], ";")
}

// celsius converts °F to °C.
func celsius(f float64) float64 { return (f - 32) * 5 / 9 }
