package sowing

import (
	_ "embed"
	"fmt"
	"sync"
)

//go:embed seedweight.csv
var weightCSV string

//go:embed heat.csv
var heatCSV string

//go:embed keeping.csv
var keepingCSV string

var (
	weights  = named("seed weight table", &weightCSV, "from_per_g", "to_per_g")
	heats    = named("heat table", &heatCSV, "base_C", "sum_C_days")
	keepings = named("keeping table", &keepingCSV)
)

// entry is a row of one of the small tables: two numbers, or words.
type entry struct {
	a, b                       float64
	ready, cure, store, source string
}

func named(what string, text *string, numbers ...string) func() map[string]entry {
	return sync.OnceValue(func() map[string]entry {
		out, err := readEntries(what, *text, numbers...)
		if err != nil {
			panic(err) // the files are part of the program; TestOwnTables reads them
		}
		return out
	})
}

func readEntries(what, text string, numbers ...string) (map[string]entry, error) {
	rows, err := rowsOf(what, text)
	if err != nil {
		return nil, err
	}
	out := map[string]entry{}
	for _, r := range rows {
		e := entry{source: r.text("source")}
		if len(numbers) == 2 {
			e.a, e.b = r.number(numbers[0]), r.number(numbers[1])
		} else {
			e.ready, e.cure, e.store = r.text("ready"), r.text("cure"), r.text("store")
		}
		if r.err != nil {
			return nil, fmt.Errorf("%s: %w", what, r.err)
		}
		out[r.text("crop")] = e
	}
	return out, nil
}

// SeedsPerGram returns the range of seeds in a gram, of clusters for beet and chard;
// false where it is not known. Varieties differ much.
func SeedsPerGram(c Crop) (from, to float64, ok bool) {
	e, ok := weights()[c.Name]
	return e.a, e.b, ok
}

// HeatNeed returns the base temperature of growth in °C and the °C-days above it to
// maturity, by the simple average of the day's extremes; the sum is 0 where only the
// base is known.
func HeatNeed(c Crop) (base, sum float64, source string, ok bool) {
	e, ok := heats()[c.Name]
	return e.a, e.b, e.source, ok
}

// Keeping returns when a crop for storing is ready, how it is cured and how it is
// stored, in words; false for what is not stored.
func Keeping(c Crop) (ready, cure, store string, ok bool) {
	e, ok := keepings()[c.Name]
	return e.ready, e.cure, e.store, ok
}
