package sowing

import (
	_ "embed"
	"fmt"
	"sync"
	"time"
)

//go:embed succession.csv
var successionCSV string

// Interval is how often a crop is sown again (common practice).
type Interval struct {
	From, To int    // days
	Stop     string // what ends it
}

var successions = sync.OnceValue(func() map[string]Interval {
	out, err := readSuccessions(successionCSV)
	if err != nil {
		panic(err) // the file is part of the program; TestOwnTables reads it
	}
	return out
})

func readSuccessions(text string) (map[string]Interval, error) {
	rows, err := rowsOf("succession table", text)
	if err != nil {
		return nil, err
	}
	out := map[string]Interval{}
	for _, r := range rows {
		every := Interval{int(r.number("from_days")), int(r.number("to_days")), r.text("stop")}
		if r.err != nil {
			return nil, fmt.Errorf("succession table: %w", r.err)
		}
		out[r.text("crop")] = every
	}
	return out, nil
}

// Succession returns how often the crop is sown again; false when it is sown once.
func Succession(c Crop) (Interval, bool) {
	every, ok := successions()[c.Name]
	return every, ok
}

const mostSowings = 400

// SuccessionDates returns the sowing days from first, so many days apart, none after
// last and 400 at the most. There are none when every is below 1.
func SuccessionDates(first, last time.Time, every int) []time.Time {
	if every < 1 {
		return nil
	}
	var dates []time.Time
	for d := first; !d.After(last) && len(dates) < mostSowings; d = plus(d, every) {
		dates = append(dates, d)
	}
	return dates
}
