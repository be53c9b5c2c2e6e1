package starter

import (
	"errors"
	"fmt"
)

// The friction of kneading, °C by which it warms a dough: common practice, 5, 20
// and 25 °F.
const (
	FrictionHand      = 5 * 5.0 / 9
	FrictionMixer     = 20 * 5.0 / 9
	FrictionProcessor = 25 * 5.0 / 9
)

// HottestWater is the temperature, °C, above which water harms yeast: 130 °F.
const HottestWater = (130 - 32) * 5.0 / 9

var (
	// ErrHot is returned for water above HottestWater.
	ErrHot = errors.New("starter: water that harms yeast")
	// ErrIce is returned for water that would be below freezing: use ice.
	ErrIce = errors.New("starter: water below freezing")
)

// Mix is a dough in grams: Flour, Water, Salt and Starter make up Total.
type Mix struct {
	Flour        float64 // to add, besides that in the starter
	Water        float64 // to add, besides that in the starter
	Salt         float64
	Starter      float64
	Total        float64
	Prefermented float64 // share of all flour that is in the starter, 0 to 1
}

// Dough is what to add to the starter for a dough of so much flour in all, g, that
// in the starter included. Hydration, 0.001 to MaxHydration, and salt, 0 to 0.1
// (0.018 to 0.022 is usual), are shares of all flour. It returns ErrTooMuch when the
// starter holds more flour or water than the dough.
//
// Added flour is F - S/(1+h), added water H·F - S·h/(1+h).
func Dough(flour, hydration, salt float64, starter Jar) (Mix, error) {
	if err := checkFormula(hydration, salt); err != nil {
		return Mix{}, err
	}
	if err := within("flour", flour, minPart, maxGrams); err != nil {
		return Mix{}, err
	}
	if err := starter.check(); err != nil {
		return Mix{}, err
	}
	m := Mix{
		Flour: flour - starter.Flour(), Water: hydration*flour - starter.Water(),
		Salt: salt * flour, Starter: starter.Grams, Prefermented: starter.Flour() / flour,
	}
	if m.Flour < -tiny*flour || m.Water < -tiny*flour {
		return Mix{}, fmt.Errorf("%w: %.1f g of flour and %.1f g of water to add", ErrTooMuch, m.Flour, m.Water)
	}
	m.Flour, m.Water = max(m.Flour, 0), max(m.Water, 0)
	m.Total = m.Flour + m.Water + m.Salt + m.Starter
	return m, nil
}

// DoughFor is Dough by its whole weight, g. Levain is the starter as a share of all
// flour, that in the starter included, 0 to 2; levainHydration is its own.
//
// F = total / (1 + hydration + salt).
func DoughFor(total, hydration, salt, levain, levainHydration float64) (Mix, error) {
	if err := checkFormula(hydration, salt); err != nil {
		return Mix{}, err
	}
	if err := within("dough", total, 0.01, maxGrams); err != nil {
		return Mix{}, err
	}
	if err := within("levain", levain, 0, 2); err != nil {
		return Mix{}, err
	}
	flour := total / (1 + hydration + salt)
	return Dough(flour, hydration, salt, Jar{Grams: levain * flour, Hydration: levainHydration})
}

func checkFormula(hydration, salt float64) error {
	if err := within("hydration", hydration, minPart, MaxHydration); err != nil {
		return err
	}
	return within("salt", salt, 0, 0.1)
}

// WaterTemp is how warm the water must be, °C, for a dough of the temperature
// wanted; common practice. Has says whether there is a preferment, whose
// temperature is then counted. Temperatures are -40 to 100 °C, friction is 0 to
// 50 °C (see FrictionHand). With ErrHot and ErrIce, the limits, the temperature
// reckoned is returned beside the error.
//
// water = 3·wanted - room - flour - friction, or with a preferment
// 4·wanted - room - flour - preferment - friction.
func WaterTemp(wanted, room, flour, preferment float64, has bool, friction float64) (float64, error) {
	if !has {
		preferment = wanted
	}
	for _, celsius := range []float64{wanted, room, flour, preferment} {
		if err := checkCelsius("temperature", celsius); err != nil {
			return 0, err
		}
	}
	if err := within("friction", friction, 0, 50); err != nil {
		return 0, err
	}
	water := 4*wanted - room - flour - preferment - friction
	if water > HottestWater+tiny {
		return water, fmt.Errorf("%w: %.1f °C", ErrHot, water)
	}
	if water < -tiny {
		return water, fmt.Errorf("%w: %.1f °C", ErrIce, water)
	}
	return water, nil
}
