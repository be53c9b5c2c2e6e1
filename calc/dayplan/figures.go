package dayplan

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
)

//go:embed figures.csv
var figuresCSV string

// Span is how long something takes: at least, likely and at most.
type Span struct{ Min, Likely, Max time.Duration }

// Figure is a usual length from the table.
type Figure struct {
	Name               string
	Kind               Kind
	Span               Span
	Note, Source, Mark string
}

var figures = sync.OnceValue(func() []Figure {
	out, err := readFigures(figuresCSV)
	if err != nil {
		panic(err) // the file is part of the program; TestFigureTable reads it
	}
	return out
})

// Figures returns a copy of the table in file order.
func Figures() []Figure { return slices.Clone(figures()) }

// Usual returns the figure of that exact table name, such as "oven preheat" or "rest
// whole bird".
func Usual(name string) (Figure, bool) {
	i := slices.IndexFunc(figures(), func(f Figure) bool { return f.Name == name })
	if i < 0 {
		return Figure{}, false
	}
	return figures()[i], true
}

func readFigures(text string) ([]Figure, error) {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("figures.csv: %w", err)
	}
	var out []Figure
	for i, r := range rows {
		if i == 0 {
			continue
		}
		f, err := readFigure(r)
		if err != nil {
			return nil, fmt.Errorf("figures.csv line %d: %w", i+1, err)
		}
		out = append(out, f)
	}
	return out, nil
}

func readFigure(r []string) (Figure, error) {
	if len(r) != 8 {
		return Figure{}, fmt.Errorf("%w: %d columns", ErrInput, len(r))
	}
	kind := slices.Index(kinds[:], r[1])
	if kind < 0 {
		return Figure{}, fmt.Errorf("%w: kind %q", ErrInput, r[1])
	}
	var minutes [3]time.Duration
	for i, text := range r[2:5] {
		n, err := strconv.Atoi(text)
		if err != nil {
			return Figure{}, fmt.Errorf("minutes: %w", err)
		}
		minutes[i] = time.Duration(n) * time.Minute
	}
	return Figure{
		Name: r[0], Kind: Kind(kind), Span: Span{Min: minutes[0], Likely: minutes[1], Max: minutes[2]},
		Note: r[5], Source: r[6], Mark: r[7],
	}, nil
}

const (
	lb              = 0.45359237 // kg
	slowCookerRatio = 2          // low to high, common practice
	maxKg           = 200.0      // no household pot, bird or joint is heavier
	waterHeat       = 4.186      // kJ/(kg·K)
)

// Method is a way to thaw.
type Method uint8

// The ways. The counter is none.
const (
	InFridge    Method = iota // safe to keep a day or two thawed
	InColdWater               // bagged, water changed every 30 min, cooked at once
)

// ThawTime returns how long kg of meat or poultry in one piece takes to thaw: in the
// fridge 24 h for 4 to 5 lb, likely 24 h for 2 kg; in cold water 30 min a lb (FSIS,
// from memory). ErrInput unless 0 < kg <= 200.
func ThawTime(kg float64, m Method) (Span, error) {
	if !(kg > 0 && kg <= maxKg) {
		return Span{}, fmt.Errorf("%w: %v kg to thaw; want above 0, up to %v", ErrInput, kg, maxKg)
	}
	switch m {
	case InFridge:
		day := 24 * time.Hour
		return Span{Min: part(day, kg/(5*lb)), Likely: part(day, kg/2), Max: part(day, kg/(4*lb))}, nil
	case InColdWater:
		d := part(30*time.Minute, kg/lb)
		return Span{Min: d, Likely: d, Max: d}, nil
	}
	return Span{}, fmt.Errorf("%w: no such way to thaw", ErrInput)
}

func part(d time.Duration, share float64) time.Duration {
	return time.Duration(math.Round(float64(d) * share))
}

// HighFor returns the time on high that a slow cooker needs for what takes low on
// low: half (common practice). ErrInput unless 0 < low <= 24 h.
func HighFor(low time.Duration) (time.Duration, error) {
	if low <= 0 || low > 24*time.Hour {
		return 0, fmt.Errorf("%w: %v on low; want above 0, up to 24 h", ErrInput, low)
	}
	return low / slowCookerRatio, nil
}

// LowFor returns the time on low for what takes high on high: twice (common
// practice). ErrInput unless 0 < high <= 12 h.
func LowFor(high time.Duration) (time.Duration, error) {
	if high <= 0 || high > 12*time.Hour {
		return 0, fmt.Errorf("%w: %v on high; want above 0, up to 12 h", ErrInput, high)
	}
	return high * slowCookerRatio, nil
}

// Fill returns the least and the most a slow cooker of that capacity should hold, in
// the same unit: a half to two thirds (FSIS and university extension, verified copy).
// ErrInput for a capacity that is not positive and finite.
func Fill(capacity float64) (from, to float64, err error) {
	if !(capacity > 0) || math.IsInf(capacity, 0) {
		return 0, 0, fmt.Errorf("%w: capacity %v; want above 0", ErrInput, capacity)
	}
	return capacity / 2, capacity / 3 * 2, nil
}

// HeatUp returns how long kg of a watery food takes from one temperature to another,
// °C, at kW of which that share (0.4 to 0.5 for a pan in hot air, 0.5 to 0.8 on a
// stove, 0.8 to 0.95 in an electric pot; common practice) reaches it: m·c·ΔT/(P·η)
// with water's 4.186 kJ/(kg·K). It counts no boiling away: ErrInput unless
// 0 <= fromC <= toC <= 100, 0 < kg <= 200, 0.01 <= kW <= 50, 0.01 <= share <= 1.
func HeatUp(kg, fromC, toC, kW, share float64) (time.Duration, error) {
	if !(kg > 0 && kg <= maxKg && fromC >= 0 && toC >= fromC && toC <= 100) {
		return 0, fmt.Errorf("%w: %v kg from %v to %v °C", ErrInput, kg, fromC, toC)
	}
	if !(kW >= 0.01 && kW <= 50 && share >= 0.01 && share <= 1) {
		return 0, fmt.Errorf("%w: %v kW of which %v reaches the food", ErrInput, kW, share)
	}
	return part(time.Second, kg*waterHeat*(toC-fromC)/(kW*share)), nil
}

// Roast returns the time of a roast of kg when one of the same shape of fromKg takes
// that long: it grows with the power 2/3 of the mass. An estimate; the thermometer
// decides. ErrInput unless both masses lie above 0, up to 200 kg and within a factor
// of 4 of each other, and the time above 0, up to 24 h.
func Roast(takes time.Duration, fromKg, kg float64) (time.Duration, error) {
	if takes <= 0 || takes > 24*time.Hour {
		return 0, fmt.Errorf("%w: a roast of %v", ErrInput, takes)
	}
	if !(fromKg > 0 && fromKg <= maxKg && kg > 0 && kg <= maxKg && kg <= 4*fromKg && fromKg <= 4*kg) {
		return 0, fmt.Errorf("%w: a roast of %v kg after one of %v", ErrInput, kg, fromKg)
	}
	return part(takes, math.Pow(kg/fromKg, 2.0/3)), nil
}
