package feed

import (
	_ "embed"
	"fmt"
	"slices"
)

//go:embed heaters.csv
var heatersCSV string

// Heater is a usual heater of winter water. Its cable and the breaker before it are
// a grown-up's work.
type Heater struct {
	Name   string
	Words  []string
	Watts  Band
	Source string
	Mark   string
}

var heaters = load(&heatersCSV, func(r record) Heater {
	return Heater{Name: r["heater"], Words: r.words("words"), Watts: r.band(), Source: r["source"], Mark: r["mark"]}
})

// Heaters returns the heaters of the table.
func Heaters() []Heater {
	out := slices.Clone(heaters())
	for i := range out {
		out[i].Words = slices.Clone(out[i].Words)
	}
	return out
}

// HardCold is the share of the time that a thermostat runs in hard cold (common practice).
func HardCold() Band { return Band{0.3, 0.5, 0.7} }

// HeaterEnergy returns the kWh that a heater of so many watts takes in so many days, on
// for a share of the time. ErrAmount, ErrShare.
func HeaterEnergy(watts, on, days float64) (float64, error) {
	if !finite(watts) || !finite(days) {
		return 0, fmt.Errorf("%w: %v W for %v days", ErrAmount, watts, days)
	}
	if !(on >= 0 && on <= 1) {
		return 0, fmt.Errorf("%w: on for %v of the time", ErrShare, on)
	}
	return watts * on * days * 24 / 1000, nil
}
