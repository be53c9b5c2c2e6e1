// Package exposure says what cold and wind, or heat and damp, do to people and stock
// outdoors: wind chill, frostbite, heat index, and what they mean for a child's time
// out. It reads no clock and no weather: temperature, wind and humidity are given.
//
// Figures are the published ones, their source beside them. Where the household is
// stricter than they are, the advice says that this is our own rule.
package exposure

import (
	"errors"
	"fmt"
	"math"
)

// ErrWeather is returned for a temperature, wind or humidity that no place on earth has.
var ErrWeather = errors.New("weather")

// Units are those in which temperature and wind are given and answered.
type Units int

// The two systems of units.
const (
	Metric Units = iota // °C and km/h
	US                  // °F and mph
)

// Range of what is taken: somewhat beyond what was ever measured on the ground.
const (
	coldest, hottest = -95.0, 62.0 // °C
	windiest         = 410.0       // km/h
)

const kmPerMile = 1.609344

// Chill is the wind chill of a temperature and a wind.
type Chill struct {
	Air, Wind float64 // as given
	Index     float64 // how cold it feels on bare skin; the air's temperature when not Applies
	Applies   bool    // from 50 °F (10 °C) down and 3 mph (4.8 km/h) up
	Units     Units
}

// WindChill is the index of the US National Weather Service and Environment Canada of
// 2001, for a wind measured 10 m (33 ft) above open ground:
//
//	°F, mph:  35.74 + 0.6215 T - 35.75 V^0.16 + 0.4275 T V^0.16
//	°C, km/h: 13.12 + 0.6215 T - 11.37 V^0.16 + 0.3965 T V^0.16
//
// ErrWeather for what is no weather, NaN included.
func WindChill(air, wind float64, u Units) (Chill, error) {
	c, kmh := air, wind
	if u == US {
		c, kmh = celsius(air), wind*kmPerMile
	}
	if !(c >= coldest && c <= hottest) {
		return Chill{}, fmt.Errorf("%w: %s of air", ErrWeather, u.degrees(air))
	}
	if !(kmh >= 0 && kmh <= windiest) {
		return Chill{}, fmt.Errorf("%w: a wind of %s", ErrWeather, u.speed(wind))
	}
	out := Chill{Air: air, Wind: wind, Index: air, Units: u, Applies: chills(air, wind, u)}
	if out.Applies {
		out.Index = index(air, wind, u)
	}
	return out, nil
}

func chills(air, wind float64, u Units) bool {
	if u == US {
		return air <= 50 && wind >= 3
	}
	return air <= 10 && wind >= 4.8
}

func index(t, v float64, u Units) float64 {
	w := math.Pow(v, 0.16)
	if u == US {
		return 35.74 + 0.6215*t - 35.75*w + 0.4275*t*w
	}
	return 13.12 + 0.6215*t - 11.37*w + 0.3965*t*w
}

// Rounded is the index in whole degrees as the charts print it, half up.
func (c Chill) Rounded() int { return halfUp(c.Index) }

// C is the index in °C.
func (c Chill) C() float64 { return c.Units.toC(c.Index) }

// F is the index in °F.
func (c Chill) F() float64 { return c.Units.toF(c.Index) }

func halfUp(x float64) int { return int(math.Floor(x + 0.5)) }

func celsius(f float64) float64    { return (f - 32) / 1.8 }
func fahrenheit(c float64) float64 { return c*1.8 + 32 }

func (u Units) toC(t float64) float64 {
	if u == US {
		return celsius(t)
	}
	return t
}

func (u Units) toF(t float64) float64 {
	if u == US {
		return t
	}
	return fahrenheit(t)
}

func (u Units) degrees(t float64) string {
	if u == US {
		return fmt.Sprintf("%g °F", t)
	}
	return fmt.Sprintf("%g °C", t)
}

func (u Units) speed(v float64) string {
	if u == US {
		return fmt.Sprintf("%g mph", v)
	}
	return fmt.Sprintf("%g km/h", v)
}

// Frostbite is how soon bare skin can freeze, in minutes. The zero value is no
// particular risk, which is not none: wet or tight gloves, metal and long stays freeze
// skin sooner.
type Frostbite struct {
	Min, Max int // Min 0 with a Max: in less than Max
}

// frostbite is Environment Canada's table of the wind chill index, read in copies. The
// zones of 30, 10 and 5 minutes of the US chart are no stricter (from memory).
var frostbite = []struct {
	c  int // from this index down, whole °C
	in Frostbite
}{
	{-55, Frostbite{0, 2}},
	{-48, Frostbite{2, 5}},
	{-40, Frostbite{5, 10}},
	{-28, Frostbite{10, 30}},
}

// gale is the wind above which skin freezes sooner than the index says, km/h (the same
// table): the next zone is taken.
const gale = 50.0

// Frostbite is the zone of the index, the next colder one when the wind is above
// 50 km/h (31 mph).
func (c Chill) Frostbite() Frostbite {
	at := halfUp(c.C())
	for i, z := range frostbite {
		if at <= z.c {
			if c.kmh() > gale && i > 0 {
				return frostbite[i-1].in
			}
			return z.in
		}
	}
	return Frostbite{}
}

// Freezes tells whether bare skin can freeze within half an hour.
func (f Frostbite) Freezes() bool { return f.Max > 0 }

func (c Chill) kmh() float64 {
	if c.Units == US {
		return c.Wind * kmPerMile
	}
	return c.Wind
}
