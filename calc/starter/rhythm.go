package starter

import (
	"errors"
	"fmt"
)

// Place is where a jar stands.
type Place uint8

// The places.
const (
	Counter Place = iota
	Fridge
)

// The rhythm of feeding, common practice. Temperatures are °C.
const (
	counterHours = 12.0      // at 70 to 78 °F
	coolHours    = 24.0      // at 65 °F, after a feed of 1:5:5
	fridgeHours  = 7 * 24.0  // at 40 °F and below
	standsFrom   = 14 * 24.0 // a jar in the fridge stands two weeks
	standsTo     = 28 * 24.0 // and at most four
	cool         = (65 - 32) * 5.0 / 9
	warmFrom     = (70 - 32) * 5.0 / 9
	warmTo       = (78 - 32) * 5.0 / 9
	cold         = (40 - 32) * 5.0 / 9
	best         = 28.0
)

// ErrNotCold is returned for a fridge above 4.4 °C (40 °F), which does not hold a
// starter.
var ErrNotCold = errors.New("starter: the fridge is too warm")

// Due is when a jar wants its next feed, in hours.
type Due struct {
	In     float64 // from now; less than 0 is how long it has been hungry
	Every  float64 // from one feed to the next
	Stands Range   // how long since the feed it is known to stand, in the fridge; else 0
}

// NextFeed is when a jar is hungry that was fed since hours ago, 0 to 100,000, and
// stands at a temperature.
//
// On the counter it is fed every 12 hours at 21.1 to 25.6 °C (70 to 78 °F), every
// 24 hours at 18.3 °C (65 °F) and below, which wants a feed of 1:5:5, and in
// between by the temperature; in more warmth as much sooner as the yeast is faster,
// down to 28 °C. It returns ErrNoGrowth for a counter where yeast does not grow. In
// the fridge, at 4.4 °C or less, it is fed weekly and stands two to four weeks; a
// warmer one is ErrNotCold. The figures are common practice; the slope between them
// is drawn here.
func NextFeed(p Place, celsius, since float64) (Due, error) {
	if err := checkCelsius("temperature", celsius); err != nil {
		return Due{}, err
	}
	if err := within("hours since the feed", since, 0, 1e5); err != nil {
		return Due{}, err
	}
	switch p {
	case Counter:
		every, err := onCounter(celsius)
		if err != nil {
			return Due{}, err
		}
		return Due{In: every - since, Every: every}, nil
	case Fridge:
		if celsius > cold+tiny {
			return Due{}, fmt.Errorf("%w: %g °C", ErrNotCold, celsius)
		}
		return Due{In: fridgeHours - since, Every: fridgeHours, Stands: Range{standsFrom, standsTo}}, nil
	}
	return Due{}, fmt.Errorf("%w: place %d", ErrInput, p)
}

// onCounter is the hours from feed to feed.
func onCounter(celsius float64) (float64, error) {
	switch {
	case Rate(celsius) == 0:
		return 0, fmt.Errorf("%w: %g °C", ErrNoGrowth, celsius)
	case celsius <= cool:
		return coolHours, nil
	case celsius < warmFrom:
		return coolHours + (counterHours-coolHours)*(celsius-cool)/(warmFrom-cool), nil
	case celsius <= warmTo:
		return counterHours, nil
	}
	return counterHours * Rate(warmTo) / Rate(min(celsius, best)), nil
}

// Waking is how many feeds, 12 hours apart on the counter, wake a jar that was so
// many days in the fridge, 0 or more: one up to a week, two up to two weeks, three
// beyond; it is awake when it doubles in the time expected. One to three is common
// practice; the steps between are drawn here.
func Waking(days int) (int, error) {
	switch {
	case days < 0:
		return 0, fmt.Errorf("%w: %d days", ErrInput, days)
	case days <= 7:
		return 1, nil
	case days <= 14:
		return 2, nil
	}
	return 3, nil
}
