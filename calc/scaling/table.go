package scaling

import (
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// ErrRange is wrapped by every refusal of a figure: not a number, infinite, not
// above zero, or outside the range that the function's comment gives.
var ErrRange = errors.New("out of range")

// inRange refuses a figure outside [from, to], NaN included.
func inRange(what string, value, from, to float64) error {
	if value >= from && value <= to {
		return nil
	}
	return fmt.Errorf("%s %g, from %g to %g: %w", what, value, from, to, ErrRange)
}

// above refuses a figure that is not above zero or is above the most, NaN included.
func above(what string, value, most float64) error {
	if value > 0 && value <= most {
		return nil
	}
	return fmt.Errorf("%s %g, above 0 to %g: %w", what, value, most, ErrRange)
}

// readTable reads a table with exactly this head, without its head. The last
// two columns are source and mark; no row may leave them empty, and none may
// have the key (first column) of another.
func readTable(text string, head ...string) ([][]string, error) {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		return nil, err
	}
	head = append(head, "source", "mark")
	if len(rows) < 2 || !slices.Equal(rows[0], head) {
		return nil, fmt.Errorf("no table of %s", strings.Join(head, ","))
	}
	seen := map[string]bool{}
	for _, row := range rows[1:] {
		if row[0] == "" || seen[row[0]] {
			return nil, fmt.Errorf("row %q: empty or there twice", row[0])
		}
		if row[len(row)-2] == "" || row[len(row)-1] == "" {
			return nil, fmt.Errorf("row %q: no source or mark", row[0])
		}
		seen[row[0]] = true
	}
	return rows[1:], nil
}

// figures reads cells that are numbers of zero or more; an empty one is 0.
func figures(cells []string) ([]float64, error) {
	out := make([]float64, len(cells))
	for i, cell := range cells {
		if cell == "" {
			continue
		}
		f, err := strconv.ParseFloat(cell, 64)
		if err != nil || math.IsNaN(f) || math.IsInf(f, 0) || f < 0 {
			return nil, fmt.Errorf("%q: %w", cell, ErrRange)
		}
		out[i] = f
	}
	return out, nil
}
