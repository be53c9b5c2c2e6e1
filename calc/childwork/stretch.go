package childwork

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"sync"
	"time"
)

//go:embed stretch.csv
var stretchCSV string

// stretch is how long somebody from an age on works in one go.
type stretch struct {
	from    int
	longest time.Duration
}

var stretches = sync.OnceValue(func() []stretch {
	all, err := readStretches(stretchCSV)
	if err != nil {
		panic(err) // the file is part of the program; TestStretch reads it
	}
	return all
})

func readStretches(text string) ([]stretch, error) {
	lines, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("stretch.csv: %w", err)
	}
	var out []stretch
	for i, fields := range lines[1:] {
		from, err := strconv.Atoi(fields[0])
		minutes, err2 := strconv.Atoi(fields[1])
		if err != nil || err2 != nil || minutes < 1 || len(out) > 0 && from <= out[len(out)-1].from {
			return nil, fmt.Errorf("stretch.csv line %d: an age above the one before, and minutes", i+2)
		}
		out = append(out, stretch{from, time.Duration(minutes) * time.Minute})
	}
	return out, nil
}

// Stretch is how long a child of an age in years works at most in one go by what is usual:
// a quarter of an hour for the smallest, four hours from 13. The sources stand beside the
// rows of stretch.csv. Longer is to be asked, not refused.
func Stretch(age int) time.Duration {
	longest := time.Duration(0)
	for _, s := range stretches() {
		if age >= s.from {
			longest = s.longest
		}
	}
	return longest
}
