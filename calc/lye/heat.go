package lye

import (
	"errors"
	"fmt"
	"math"
	"time"
)

// ErrHeat is returned for a solution or a water temperature that the table of
// heats does not reach.
var ErrHeat = errors.New("out of the range of the heat table")

// heats are the temperatures, in C, that a solution of sodium hydroxide reaches
// by itself when water and lye start at 20 C, nothing is lost and all dissolves:
// by the older and the newer heat of solution, and with half of the water as ice.
// Computed from the enthalpy correlation of Olsson, Jernqvist and Aly, Int. J.
// Thermophysics 18 (1997) 779, with the heats of solution of NBS Circular 500 and
// of the NBS tables of 1982.
var heats = []struct{ strength, low, high, ice float64 }{
	{0.25, 90, 92, 47},
	{0.30, 100, 103, 59},
	{1.0 / 3, 105, 108, 66},
	{0.40, 110, 115, 74},
	{0.50, 107, 113, 74},
}

// Peak is how hot a lye solution gets by itself, in C.
type Peak struct{ Low, High float64 }

// perKelvin is how much a degree of the water changes the peak, in K: from the
// same correlation with water at 5 C, within 1 K over the table.
const perKelvin = 1.06

// PeakOf returns the peak of a solution of that strength (lye as a share of lye
// and water, 0.25 to 0.50) made with water of 0 to 40 C. In an open jug, with the
// lye added slowly, it stays 10 to 25 K lower (common practice).
func PeakOf(strength, waterC float64) (Peak, error) {
	if !(waterC >= 0 && waterC <= 40) {
		return Peak{}, fmt.Errorf("%w: water of %g C", ErrHeat, waterC)
	}
	low, err := between(strength, func(i int) float64 { return heats[i].low })
	if err != nil {
		return Peak{}, err
	}
	high, err := between(strength, func(i int) float64 { return heats[i].high })
	shift := perKelvin * (waterC - 20)
	return Peak{low + shift, high + shift}, err
}

// IcePeak returns the peak, in C, with half of the water as ice and the rest at 20 C.
func IcePeak(strength float64) (float64, error) {
	return between(strength, func(i int) float64 { return heats[i].ice })
}

// between reads the table between its rows.
func between(strength float64, value func(int) float64) (float64, error) {
	for i := 1; i < len(heats); i++ {
		a, b := heats[i-1].strength, heats[i].strength
		if strength >= a-slack && strength <= b+slack {
			f := (strength - a) / (b - a)
			return value(i-1) + f*(value(i)-value(i-1)), nil
		}
	}
	return 0, fmt.Errorf("%w: a solution of %.0f %% lye", ErrHeat, 100*strength)
}

// ErrCooling is returned for readings that do not show something cooling towards
// its room.
var ErrCooling = errors.New("the readings do not show it cooling")

// Cooling follows Newton's law: the difference to the room falls by the same share
// in the same time.
type Cooling struct {
	Room float64 // C
	Last float64 // the later reading, C
	Rate float64 // per minute
}

// CoolingOf takes two readings in C, a time apart, in a room of that temperature.
// The law holds when both are above the room and the second is below the first;
// from near 100 C real lye cools faster at first.
func CoolingOf(room, first, last float64, apart time.Duration) (Cooling, error) {
	if !(apart > 0) || !(first > last) || !(last > room) {
		return Cooling{}, fmt.Errorf("%w: %g C, then %g C after %s, in a room of %g C", ErrCooling, first, last, apart, room)
	}
	return Cooling{Room: room, Last: last, Rate: math.Log((first-room)/(last-room)) / apart.Minutes()}, nil
}

// Until returns how long after the later reading a temperature is reached, 0 when
// it has been passed by then.
func (c Cooling) Until(target float64) (time.Duration, error) {
	switch {
	case !(target > c.Room):
		return 0, fmt.Errorf("%w: %g C is not above the room", ErrCooling, target)
	case target >= c.Last:
		return 0, nil
	}
	return time.Duration(math.Log((c.Last-c.Room)/(target-c.Room)) / c.Rate * float64(time.Minute)), nil
}

// After returns the temperature, in C, some time after the later reading.
func (c Cooling) After(d time.Duration) float64 {
	return c.Room + (c.Last-c.Room)*math.Exp(-c.Rate*d.Minutes())
}
