package feed

import (
	_ "embed"
	"fmt"
	"math"
)

//go:embed coats.csv
var coatsCSV string

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
	Each   float64 // share of feed more for each °C below it
	Source string
	Mark   string
}

const wetCoat = "wet"

var coats = load(&coatsCSV, func(r record) Coat {
	return Coat{r["kind"], r["coat"], celsius(r.number("low_f")), r.number("each_f") / 100 * 9 / 5, r["source"], r["mark"]}
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

// CoatIn returns the coat in which the kind stands in that weather: the wet one when it is
// wet through, the usual winter coat when none is named or the kind has none such. It
// returns false where the table has none.
func CoatIn(kind string, w Weather) (Coat, bool) {
	all := Coats(kind)
	if len(all) == 0 {
		return Coat{}, false
	}
	name := w.Coat
	if w.Wet {
		name = wetCoat
	}
	for _, c := range all {
		if c.Name == name {
			return c, true
		}
	}
	return all[0], true
}

// cold is the share that the cold adds to a need.
func (s settled) cold(w Weather) float64 {
	c, ok := CoatIn(s.Kind, w)
	if !ok || !w.Known {
		return 0
	}
	return c.Each * math.Max(0, c.Low-w.Celsius)
}
