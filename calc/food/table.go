package food

import (
	"encoding/csv"
	"fmt"
	"math/big"
	"strconv"
	"strings"
)

// read returns the rows of one of the package's own tables by column name. A table that
// cannot be read is a fault of the program, which its tests find.
func read(text string) []map[string]string {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		panic(fmt.Sprintf("food: table: %v", err))
	}
	out := make([]map[string]string, 0, len(rows))
	for _, row := range rows[1:] {
		r := map[string]string{}
		for i, name := range rows[0] {
			r[name] = row[i]
		}
		out = append(out, r)
	}
	return out
}

// number is a figure of a table, 0 where the cell is empty.
func number(text string) float64 {
	if text == "" {
		return 0
	}
	f, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic(fmt.Sprintf("food: table: %v", err))
	}
	return f
}

// exact is the rational that a figure of a table is written as: 0.1 is 1/10.
func exact(f float64) *big.Rat {
	r, ok := new(big.Rat).SetString(strconv.FormatFloat(f, 'f', -1, 64))
	if !ok {
		return new(big.Rat)
	}
	return r
}

// list cuts a cell at its semicolons.
func list(cell string) []string {
	if cell == "" {
		return nil
	}
	return strings.Split(cell, ";")
}
