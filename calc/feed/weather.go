package feed

import (
	_ "embed"
	"fmt"
	"math"
)

//go:embed coats.csv
var coatsCSV string

// The cold asks for so much more feed for each °F below the lower critical temperature
// (US extension, beef cattle; from memory).
const (
	coldDry = 0.01
	coldWet = 0.02
)

// Weather is what the animals stand in. The zero value is weather that asks for nothing.
type Weather struct {
	Known   bool
	Celsius float64 // air indoors, wind chill outdoors
	Wet     bool    // the coat is wet through
	Coat    string  // one of Coats; empty: the kind's usual winter coat
}

// At is dry weather of so many °C.
func At(celsius float64) Weather { return Weather{Known: true, Celsius: celsius} }

func (w Weather) check() error {
	if w.Known && !(w.Celsius >= -90 && w.Celsius <= 60) {
		return fmt.Errorf("%w: %v °C", ErrAmount, w.Celsius)
	}
	return nil
}

// Coat is the lower critical temperature of a kind in one coat: below it an animal burns
// feed to keep warm.
type Coat struct {
	Kind   string
	Name   string  // "winter"; "wet" holds when the coat is wet through
	Low    float64 // °C
	Source string
	Mark   string
}

const wetCoat = "wet"

var coats = load(&coatsCSV, func(r record) Coat {
	return Coat{r["kind"], r["coat"], celsius(r.number("low_f")), r["source"], r["mark"]}
})

// Coats returns the coats of a kind, the usual winter coat first; none for a kind whose
// need the table does not count by the cold.
func Coats(kind string) []Coat {
	k, _ := KindNamed(kind)
	var out []Coat
	for _, c := range coats() {
		if c.Kind == k.Name {
			out = append(out, c)
		}
	}
	return out
}

// LowerCritical returns the temperature in °C below which the kind needs more feed in
// that weather's coat; false where the table has none.
func LowerCritical(kind string, w Weather) (float64, bool) {
	all := Coats(kind)
	name := w.Coat
	if w.Wet {
		name = wetCoat
	}
	for _, c := range all {
		if name == "" || c.Name == name {
			return c.Low, true
		}
	}
	if len(all) == 0 {
		return 0, false
	}
	return all[0].Low, true
}

// cold is the share that the cold adds to a need.
func (s settled) cold(w Weather) float64 {
	low, ok := LowerCritical(s.Kind, w)
	if !ok || !w.Known {
		return 0
	}
	each := coldDry
	if w.Wet {
		each = coldWet
	}
	return each * math.Max(0, low-w.Celsius) * 9 / 5
}
