package scaling

import (
	_ "embed"
	"fmt"
	"math"
	"sync"
)

//go:embed gasmarks.csv
var gasMarksCSV string

const (
	maxMinutes = 2880 // two days
	maxKW      = 100
	maxKg      = 1000
	maxHours   = 48
)

// RoastTime is the time in minutes for a roast of the same shape whose mass is
// massRatio times that of one that takes the given minutes: time grows with
// mass^(2/3), as heat has farther to go. It is an estimate; a thermometer
// decides. Minutes above 0 to 2880, ratio from 1/5 to 5.
func RoastTime(minutes, massRatio float64) (float64, error) {
	if err := above("minutes", minutes, maxMinutes); err != nil {
		return 0, err
	}
	if err := inRange("mass ratio", massRatio, 0.2, 5); err != nil {
		return 0, err
	}
	return minutes * math.Pow(massRatio, 2.0/3), nil
}

// DepthTime is the longest time in minutes for a filling depthRatio times as
// deep in the same oven: conduction grows toward the square of the depth. In
// practice a pan one size deeper takes about a quarter more time at 25 °F less
// (common practice), so look early. Minutes above 0 to 2880, ratio from 1/4 to 4.
func DepthTime(minutes, depthRatio float64) (float64, error) {
	if err := above("minutes", minutes, maxMinutes); err != nil {
		return 0, err
	}
	if err := inRange("depth ratio", depthRatio, 0.25, 4); err != nil {
		return 0, err
	}
	return minutes * depthRatio * depthRatio, nil
}

// waterHeat is the heat that warms 1 kg of water by 1 °C, in kJ (textbook
// figure at room temperature); soup and stew are taken as water.
const waterHeat = 4.186

// HeatUp is how long in minutes kg of water, soup or stew take from one
// temperature to another at a power in kW, of which the share efficiency reaches
// the food: 0.5 to 0.8 on a stove, 0.8 to 0.95 in an electric appliance (common
// practice). Above 0 to 1000 kg, 0 to 100 °C and rising, above 0 to 100 kW,
// above 0 to 1. A pot that boils or food that is frozen needs more.
func HeatUp(kg, fromC, toC, kW, efficiency float64) (float64, error) {
	for _, err := range []error{
		above("kg", kg, maxKg), inRange("from °C", fromC, 0, 100), inRange("to °C", toC, 0, 100),
		above("kW", kW, maxKW), above("efficiency", efficiency, 1),
	} {
		if err != nil {
			return 0, err
		}
	}
	if toC <= fromC {
		return 0, fmt.Errorf("from %g to %g °C: %w", fromC, toC, ErrRange)
	}
	minutes := kg * waterHeat * (toC - fromC) / (kW * efficiency) / 60
	return minutes, inRange("minutes", minutes, 0, math.MaxFloat64)
}

// boilingOff is the heat that boils 1 kg of water away, in kJ (latent heat at
// 100 °C, textbook figure).
const boilingOff = 2257

// Evaporation is the water in kg that an open boil loses when kW reach the
// liquid for some hours: 1.595 kg for each kWh, whatever the size of the batch.
// 0 to 100 kW, 0 to 48 hours.
func Evaporation(kW, hours float64) (float64, error) {
	if err := inRange("kW", kW, 0, maxKW); err != nil {
		return 0, err
	}
	if err := inRange("hours", hours, 0, maxHours); err != nil {
		return 0, err
	}
	return kW * hours * 3600 / boilingOff, nil
}

// Boiling is the temperature in °C at which water boils at a height in metres
// above the sea: pressure by the ICAO standard atmosphere, temperature by the
// Antoine equation for water of 1 to 100 °C (at the sea it gives 99.997, at the ends it reaches a little past its range). The
// weather moves it by about half a degree. From -430 m (the Dead Sea) to 9000 m.
func Boiling(heightM float64) (float64, error) {
	if err := inRange("height", heightM, -430, 9000); err != nil {
		return 0, err
	}
	pascal := 101325 * math.Pow(1-2.25577e-5*heightM, 5.25588)
	const pascalPerTorr = 133.322
	return 1730.63/(8.07131-math.Log10(pascal/pascalPerTorr)) - 233.426, nil
}

// Celsius is a temperature of °F in °C (exact, NIST SP 811). From absolute zero,
// -459.67 °F, to 10,000.
func Celsius(f float64) (float64, error) {
	if err := inRange("°F", f, -459.67, 10_000); err != nil {
		return 0, err
	}
	return CelsiusRise(f - 32), nil
}

// CelsiusRise is a rise, fall or tolerance of °F in °C: 5/9 of it, with no 32
// (exact). It takes any figure, and gives NaN or an infinity back as it is.
func CelsiusRise(f float64) float64 { return f * 5 / 9 }

// Gas is a mark of a gas oven.
type Gas struct {
	Mark float64 // 1/4, 1/2, 1 to 9
	F    float64 // nominal °F
	// DialFrom and DialTo are the °C found on dials for it.
	DialFrom, DialTo float64
	Source, How      string // where the row is from, and how sure that is
}

// C is the mark's nominal temperature in °C, unrounded.
func (g Gas) C() float64 { return CelsiusRise(g.F - 32) }

// GasMarks returns the marks from 1/4 to 9. It must not be changed.
var GasMarks = sync.OnceValue(func() []Gas {
	marks, err := readGasMarks(gasMarksCSV)
	if err != nil {
		panic(err) // the file is part of the program; TestGasTable reads it
	}
	return marks
})

func readGasMarks(text string) ([]Gas, error) {
	rows, err := readTable(text, "gas", "fahrenheit", "dial_c_from", "dial_c_to")
	if err != nil {
		return nil, fmt.Errorf("gas marks: %w", err)
	}
	var out []Gas
	for _, row := range rows {
		f, err := figures(row[:4])
		if err != nil {
			return nil, fmt.Errorf("gas marks: %w", err)
		}
		g := Gas{Mark: f[0], F: f[1], DialFrom: f[2], DialTo: f[3], Source: row[4], How: row[5]}
		if g.F == 0 || g.DialFrom == 0 || g.DialTo < g.DialFrom {
			return nil, fmt.Errorf("gas mark %g: %w", g.Mark, ErrRange)
		}
		out = append(out, g)
	}
	return out, nil
}

// GasMark returns the mark 1/4, 1/2 or 1 to 9; there are no others.
func GasMark(mark float64) (Gas, error) {
	for _, g := range GasMarks() {
		if g.Mark == mark {
			return g, nil
		}
	}
	return Gas{}, fmt.Errorf("gas mark %g: %w", mark, ErrRange)
}

// NearestMark returns the mark nearest to a temperature in °F, the lower of two.
// From 212.5 to 487.5 °F: no farther from a mark than marks are apart.
func NearestMark(f float64) (Gas, error) {
	if err := inRange("°F", f, 212.5, 487.5); err != nil {
		return Gas{}, err
	}
	best := GasMarks()[0]
	for _, g := range GasMarks() {
		if math.Abs(g.F-f) < math.Abs(best.F-f) {
			best = g
		}
	}
	return best, nil
}

// OvenWord is a word for how hot an oven is, with its °F (common practice).
type OvenWord struct {
	Word     string
	From, To float64
}

// OvenWords are the words from the coolest up. It must not be changed.
var OvenWords = []OvenWord{
	{"very slow", 250, 275},
	{"slow", 300, 325},
	{"moderate", 350, 350},
	{"moderately hot", 375, 400},
	{"hot", 400, 450},
	{"very hot", 450, 500},
}

// OvenWordFor is the word whose range is nearest to a temperature in °F, the
// cooler of two. From 237.5 to 512.5 °F.
func OvenWordFor(f float64) (OvenWord, error) {
	if err := inRange("°F", f, 237.5, 512.5); err != nil {
		return OvenWord{}, err
	}
	best := OvenWords[0]
	for _, w := range OvenWords {
		if w.off(f) < best.off(f) {
			best = w
		}
	}
	return best, nil
}

// off is how many °F a temperature lies outside the word's range.
func (w OvenWord) off(f float64) float64 { return max(w.From-f, f-w.To, 0) }

// Fan is the range in °C to set a fan (convection) oven to for a recipe that
// gives a temperature without one: 15 to 20 °C (about 25 °F) lower, or else the
// same and 20 to 25 % less time (common practice). From 80 to 300 °C.
func Fan(tempC float64) (from, to float64, err error) {
	if err := inRange("°C", tempC, 80, 300); err != nil {
		return 0, 0, err
	}
	return tempC - 20, tempC - 15, nil
}
