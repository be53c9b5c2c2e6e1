// Package daylight knows how long the day is at a latitude. The formulae are NOAA's
// solar method after Meeus; the sun is up while any part of its disc is above a flat
// horizon, 0.833 degrees below it for its centre: refraction and half its diameter.
package daylight

import (
	"errors"
	"fmt"
	"math"
	"time"
)

// ErrPlace is returned for a latitude or longitude that cannot be.
var ErrPlace = errors.New("no such place")

// horizon is how far below it the sun's centre is when its edge shows, in degrees.
const horizon = 0.833

const (
	day       = 24 * time.Hour
	perDegree = 4 * time.Minute // the sun moves a degree in four minutes
)

// Length is how long the sun is up on a date at a latitude in degrees, north
// positive: 0 in the polar night, 24 h in the polar day. Within a minute, but for
// hills and height.
func Length(lat float64, date time.Time) (time.Duration, error) {
	if !(lat >= -90 && lat <= 90) {
		return 0, fmt.Errorf("%w: latitude %g", ErrPlace, lat)
	}
	h := hourAngle(lat, sunOn(noon(date)).declination)
	return min(max(2*degrees(h), 0), day), nil
}

func degrees(d float64) time.Duration { return time.Duration(d * float64(perDegree)) }

// Sun is when the sun rises and sets on a date. Up is true in the polar day, Down in
// the polar night; then there is no rise and no set.
type Sun struct {
	Rise, Set time.Time
	Up, Down  bool
}

// SunOn is the sun's day at a place, degrees north and east positive, as instants.
func SunOn(lat, lon float64, date time.Time) (Sun, error) {
	if !(lon >= -180 && lon <= 180) {
		return Sun{}, fmt.Errorf("%w: longitude %g", ErrPlace, lon)
	}
	long, err := Length(lat, date)
	if err != nil {
		return Sun{}, err
	}
	at := noon(date).Add(-degrees(lon))
	culmination := at.Add(-time.Duration(sunOn(at).equation * float64(time.Minute)))
	return Sun{Rise: culmination.Add(-long / 2), Set: culmination.Add(long / 2), Up: long == day, Down: long == 0}, nil
}

// noon is the noon of a date at longitude 0.
func noon(date time.Time) time.Time {
	return time.Date(date.Year(), date.Month(), date.Day(), 12, 0, 0, 0, time.UTC)
}

// sun is where the sun stands: its declination in degrees, and the equation of time
// in minutes.
type sun struct{ declination, equation float64 }

func sunOn(at time.Time) sun {
	const toRad = math.Pi / 180
	sin := func(d float64) float64 { return math.Sin(d * toRad) }
	cos := func(d float64) float64 { return math.Cos(d * toRad) }
	t := (float64(at.Unix())/86400 + 2440587.5 - 2451545) / 36525
	l := math.Mod(280.46646+t*(36000.76983+0.0003032*t), 360)
	m := 357.52911 + t*(35999.05029-0.0001537*t)
	e := 0.016708634 - t*(0.000042037+0.0000001267*t)
	c := sin(m)*(1.914602-t*(0.004817+0.000014*t)) + sin(2*m)*(0.019993-0.000101*t) + 0.000289*sin(3*m)
	omega := 125.04 - 1934.136*t
	lambda := l + c - 0.00569 - 0.00478*sin(omega)
	epsilon := 23 + (26+(21.448-t*(46.815+t*(0.00059-0.001813*t)))/60)/60 + 0.00256*cos(omega)
	y := math.Pow(math.Tan(epsilon/2*toRad), 2)
	equation := 4 / toRad * (y*sin(2*l) - 2*e*sin(m) + 4*e*y*sin(m)*cos(2*l) - y*y/2*sin(4*l) - 1.25*e*e*sin(2*m))
	return sun{declination: math.Asin(sin(epsilon)*sin(lambda)) / toRad, equation: equation}
}

// hourAngle is half the day, in degrees: 0 in the polar night, 180 in the polar day.
func hourAngle(lat, declination float64) float64 {
	const toRad = math.Pi / 180
	phi, delta := lat*toRad, declination*toRad
	c := (math.Sin(-horizon*toRad) - math.Sin(phi)*math.Sin(delta)) / (math.Cos(phi) * math.Cos(delta))
	switch {
	case c <= -1:
		return 180
	case c >= 1:
		return 0
	}
	return math.Acos(c) / toRad
}

// Span is a run of dates, both ends in it.
type Span struct{ First, Last time.Time }

// Short are the runs of days with less than so many hours of sun that touch the
// year after a date. There is none near the equator, and it may go beyond the year.
func Short(lat, hours float64, from time.Time) ([]Span, error) {
	limit := time.Duration(hours * float64(time.Hour))
	var out []Span
	open := false
	for d := noon(from); d.Before(noon(from).AddDate(1, 6, 0)); d = d.AddDate(0, 0, 1) {
		long, err := Length(lat, d)
		if err != nil {
			return nil, err
		}
		date := d.Add(-12 * time.Hour)
		switch {
		case long >= limit:
			open = false
		case open:
			out[len(out)-1].Last = date
		case d.Before(noon(from).AddDate(1, 0, 0)):
			out, open = append(out, Span{date, date}), true
		}
	}
	return out, nil
}

// OnionClass is the day-length class of bulb onions that suits a latitude, with why:
// long-day ones bulb at 14 h and more, intermediate at 12 to 14 h, short-day at 10 to
// 12 h (Iowa State University Extension); the bands of latitude are common practice.
func OnionClass(lat float64) (class, why string, err error) {
	switch a := math.Abs(lat); {
	case !(a <= 90):
		return "", "", fmt.Errorf("%w: latitude %g", ErrPlace, lat)
	case a >= 42:
		return "long-day", "they bulb at 14 hours and more, which summer here has", nil
	case a >= 37:
		return "long-day or intermediate", "they bulb at 14 hours, or at 12 to 14", nil
	case a >= 32:
		return "intermediate", "they bulb at 12 to 14 hours", nil
	}
	return "short-day", "they bulb at 10 to 12 hours, sown in autumn", nil
}
