package sowing

import (
	_ "embed"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"
	"time"
)

//go:embed germination.csv
var germinationCSV string

//go:embed thermal.csv
var thermalCSV string

// Errors of the emergence of seed.
var (
	ErrNoTable = errors.New("no emergence table for the crop")
	ErrCold    = errors.New("soil too cold: slow or none")
	ErrHot     = errors.New("soil too hot: slow or none")
)

// Sprout is the time from sowing to emergence, seed 13 mm deep at constant soil
// temperature (Harrington & Minges 1954).
type Sprout struct {
	Days         float64
	From, To     float64 // days, 25 % either way: home soil is not constant
	Percent      float64 // normal seedlings, 0..100
	PercentKnown bool
	TableCrop    string // the row of the table, of the same kind as the crop
}

const (
	tableStep = 5 // °C between the columns
	tableLast = 8 // index of the last column, 40 °C
)

// soilRow is one row: days and percent at 0, 5 … 40 °C, NaN where not tested or none
// came up.
type soilRow struct{ days, percent [tableLast + 1]float64 }

// tableCrops maps crops to rows of the same species.
var tableCrops = map[string]string{
	"asparagus (from seed)": "asparagus",
	"bean, lima":            "bean, lima",
	"bean, snap bush":       "bean, snap", "bean, snap pole": "bean, snap", "bean, dry": "bean, snap",
	"beet": "beet", "chard, Swiss": "beet",
	"broccoli": "cabbage", "Brussels sprouts": "cabbage", "cabbage, early": "cabbage",
	"cabbage, late storage": "cabbage", "collards": "cabbage", "kale": "cabbage", "kohlrabi": "cabbage",
	"carrot": "carrot", "cauliflower": "cauliflower",
	"celery": "celery", "celeriac": "celery",
	"corn, sweet": "corn, sweet", "corn, pop": "corn, sweet",
	"cucumber, slicing": "cucumber", "cucumber, pickling": "cucumber",
	"eggplant":                  "eggplant",
	"lettuce, head (crisphead)": "lettuce", "lettuce, leaf and butterhead": "lettuce",
	"melon (muskmelon)": "muskmelon",
	"okra":              "okra",
	"onion, bulb":       "onion", "onion, bunching (scallion)": "onion", "shallot (from seed)": "onion",
	"parsley": "parsley", "parsnip": "parsnip",
	"pea, shelling": "pea", "pea, edible-podded": "pea",
	"pepper, sweet": "pepper", "pepper, hot": "pepper",
	"radish, spring": "radish", "radish, winter (daikon)": "radish",
	"spinach": "spinach", "tomato": "tomato",
	"turnip": "turnip", "Chinese cabbage (napa)": "turnip", "pak choi": "turnip",
	"watermelon": "watermelon",
}

var soilRows = sync.OnceValue(func() map[string]soilRow {
	out, err := readSoilRows(germinationCSV)
	if err != nil {
		panic(err) // the file is part of the program; TestGerminationTable reads it
	}
	return out
})

func readSoilRows(text string) (map[string]soilRow, error) {
	rows, err := rowsOf("germination table", text)
	if err != nil {
		return nil, err
	}
	out := map[string]soilRow{}
	for _, r := range rows {
		var row soilRow
		for i := range row.days {
			row.days[i] = cell(&r, fmt.Sprintf("days_%dC", i*tableStep))
			row.percent[i] = cell(&r, fmt.Sprintf("pct_normal_%dC", i*tableStep))
		}
		if r.err != nil {
			return nil, fmt.Errorf("germination table: %w", r.err)
		}
		out[r.text("crop")] = row
	}
	return out, nil
}

// cell reads a number; blank and NG are NaN.
func cell(r *record, name string) float64 {
	text := strings.TrimSpace(r.text(name))
	if text == "" || text == "NG" {
		return math.NaN()
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || !within(x, 0, 1000) {
		r.fail(fmt.Errorf("%s is not a number: %q", name, text))
	}
	return x
}

// Emergence returns the time to emergence at a constant soil temperature in °C: from
// the table, between its points by 1/days linear in the temperature. ErrNoTable for a
// crop not in it, ErrCold and ErrHot outside the temperatures at which seed came up,
// ErrFigure for NaN and infinities.
func Emergence(c Crop, soilC float64) (Sprout, error) {
	if math.IsNaN(soilC) || math.IsInf(soilC, 0) {
		return Sprout{}, fmt.Errorf("soil at %g °C: %w", soilC, ErrFigure)
	}
	name, ok := tableCrops[c.Name]
	if !ok {
		return Sprout{}, fmt.Errorf("%s: %w", c.Name, ErrNoTable)
	}
	row := soilRows()[name]
	low, high := row.tested()
	if soilC < low {
		return Sprout{}, fmt.Errorf("%s at %g °C: %w", c.Name, soilC, ErrCold)
	}
	if soilC > high {
		return Sprout{}, fmt.Errorf("%s at %g °C: %w", c.Name, soilC, ErrHot)
	}
	return row.at(soilC, name), nil
}

// tested returns the range of temperatures with days, which has no gaps.
func (r soilRow) tested() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for i, d := range r.days {
		if !math.IsNaN(d) {
			t := float64(i * tableStep)
			low, high = min(low, t), max(high, t)
		}
	}
	return low, high
}

func (r soilRow) at(soilC float64, name string) Sprout {
	i := min(int(soilC/tableStep), tableLast)
	part := soilC/tableStep - float64(i)
	days, percent := r.days[i], r.percent[i]
	if part > 0 {
		days = 1 / ((1-part)/r.days[i] + part/r.days[i+1])
		percent = (1-part)*r.percent[i] + part*r.percent[i+1]
	}
	s := Sprout{Days: days, From: 0.75 * days, To: 1.25 * days, TableCrop: name}
	if !math.IsNaN(percent) {
		s.Percent, s.PercentKnown = percent, true
	}
	return s
}

// heatRow is the thermal-time fit of one row of the table.
type heatRow struct{ top, base, sum float64 } // °C, °C, °C-days

var heatRows = sync.OnceValue(func() map[string]heatRow {
	out, err := readHeatRows(thermalCSV)
	if err != nil {
		panic(err) // the file is part of the program; TestOwnTables reads it
	}
	return out
})

func readHeatRows(text string) (map[string]heatRow, error) {
	rows, err := rowsOf("thermal table", text)
	if err != nil {
		return nil, err
	}
	out := map[string]heatRow{}
	for _, r := range rows {
		row := heatRow{r.number("to_C"), r.number("base_C"), r.number("sum_C_days")}
		if r.err != nil {
			return nil, fmt.Errorf("thermal table: %w", r.err)
		}
		out[r.text("crop")] = row
	}
	return out, nil
}

// SproutDay returns on which day seed comes up, 1 being the day of the first of the
// daily soil means (°C) and of sowing. Heat above the base temperature of the crop
// adds up to its sum; a day below the least soil temperature of the crop adds nothing
// and one above the fitted range no more than its top. It is false when the means end
// before that. ErrNoTable for a crop not fitted; ErrFigure for NaN and infinities and
// for no sowing day.
func SproutDay(c Crop, sown time.Time, soilMeans []float64) (day int, ok bool, err error) {
	name, known := tableCrops[c.Name]
	if !known {
		return 0, false, fmt.Errorf("%s: %w", c.Name, ErrNoTable)
	}
	if sown.IsZero() {
		return 0, false, fmt.Errorf("no day of sowing: %w", ErrFigure)
	}
	fit, heat := heatRows()[name], 0.0
	for i, t := range soilMeans {
		if math.IsNaN(t) || math.IsInf(t, 0) {
			return 0, false, fmt.Errorf("soil mean %g °C of day %d: %w", t, i+1, ErrFigure)
		}
		if t >= c.MinSoil {
			heat += max(0, min(t, fit.top)-fit.base)
		}
		if heat >= fit.sum {
			return i + 1, true, nil
		}
	}
	return 0, false, nil
}
