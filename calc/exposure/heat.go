package exposure

import (
	"fmt"
	"math"
)

// Heat is the heat index of a temperature and a humidity, in the shade.
type Heat struct {
	Air, Humidity float64 // as given, humidity in %
	Index         float64 // how hot it feels
	Units         Units
}

// HeatIndex is that of the US National Weather Service (Rothfusz 1990, with the two
// adjustments of the Weather Prediction Center). Humidity is relative, 0 to 100 %. Full
// sun can add up to 15 °F (8 °C). ErrWeather for what is no weather, NaN included.
//
// Where it is cooler than about 80 °F (27 °C) the index is that of a simple formula,
// close to the air's own temperature; below 40 °F (4 °C), where nobody asks for it, it
// is the air's.
func HeatIndex(air, humidity float64, u Units) (Heat, error) {
	if c := u.toC(air); !(c >= coldest && c <= hottest) {
		return Heat{}, fmt.Errorf("%w: %s of air", ErrWeather, u.degrees(air))
	}
	if !(humidity >= 0 && humidity <= 100) {
		return Heat{}, fmt.Errorf("%w: a humidity of %g %%", ErrWeather, humidity)
	}
	f := heatF(u.toF(air), humidity)
	if u == Metric {
		f = celsius(f)
	}
	return Heat{Air: air, Humidity: humidity, Index: f, Units: u}, nil
}

// heatF is the index in °F.
func heatF(t, rh float64) float64 {
	if t < 40 {
		return t
	}
	simple := 0.5 * (t + 61 + (t-68)*1.2 + rh*0.094)
	if mean := (simple + t) / 2; mean < 80 {
		return mean
	}
	hi := -42.379 + 2.04901523*t + 10.14333127*rh - 0.22475541*t*rh - 0.00683783*t*t -
		0.05481717*rh*rh + 0.00122874*t*t*rh + 0.00085282*t*rh*rh - 0.00000199*t*t*rh*rh
	switch {
	case rh < 13 && t >= 80 && t <= 112:
		hi -= (13 - rh) / 4 * math.Sqrt((17-math.Abs(t-95))/17)
	case rh > 85 && t >= 80 && t <= 87:
		hi += (rh - 85) / 10 * (87 - t) / 5
	}
	return hi
}

// Rounded is the index in whole degrees, half up.
func (h Heat) Rounded() int { return halfUp(h.Index) }

// F is the index in °F.
func (h Heat) F() float64 { return h.Units.toF(h.Index) }

// C is the index in °C.
func (h Heat) C() float64 { return h.Units.toC(h.Index) }

// Danger is a band of the heat index.
type Danger string

// The bands of the National Weather Service, from 80, 90, 103 and 125 °F up.
const (
	NoDanger       Danger = ""
	Caution        Danger = "caution"
	ExtremeCaution Danger = "extreme caution"
	Dangerous      Danger = "danger"
	ExtremeDanger  Danger = "extreme danger"
)

// Danger is the band of the index in whole °F.
func (h Heat) Danger() Danger {
	switch f := halfUp(h.F()); {
	case f >= 125:
		return ExtremeDanger
	case f >= 103:
		return Dangerous
	case f >= 90:
		return ExtremeCaution
	case f >= 80:
		return Caution
	}
	return NoDanger
}

// Stress is how heat bears on cattle.
type Stress string

// The bands of the index: stress from 68, marked from 72, danger above 80.
const (
	NoStress     Stress = ""
	MildStress   Stress = "mild stress"
	MarkedStress Stress = "stress"
	StockDanger  Stress = "danger"
)

// THI is the temperature humidity index for cattle of the National Research Council,
// 1971 (from memory): (1.8T+32) - (0.55 - 0.0055 RH)(1.8T - 26), the air in °C and the
// humidity in %. ErrWeather for what is no weather, NaN included.
func THI(airC, humidity float64) (float64, error) {
	if _, err := HeatIndex(airC, humidity, Metric); err != nil {
		return 0, err
	}
	return (1.8*airC + 32) - (0.55-0.0055*humidity)*(1.8*airC-26), nil
}

// StressOf is the band of a THI: dairy cattle suffer from 68 to 72 on, above 80 is
// dangerous (from memory; the bounds of copies are 68, 72 and 80 too).
func StressOf(thi float64) Stress {
	switch {
	case thi > 80:
		return StockDanger
	case thi >= 72:
		return MarkedStress
	case thi >= 68:
		return MildStress
	}
	return NoStress
}
