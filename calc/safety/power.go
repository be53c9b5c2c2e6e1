package safety

import (
	"fmt"
	"time"
)

// Cut is how long cold lasts without power, the door kept shut.
type Cut struct{ Fridge, FreezerFull, FreezerHalf time.Duration }

// PowerLimits returns these limits: refrigerator 4 h, full freezer 48 h, half full 24 h
// (FSIS, from memory).
func PowerLimits() Cut {
	return Cut{Fridge: 4 * time.Hour, FreezerFull: 48 * time.Hour, FreezerHalf: 24 * time.Hour}
}

// Places of Item.
const (
	Fridge  = "fridge"
	Freezer = "freezer"
)

// Item is the verdict on a kind of food after a power cut.
type Item struct {
	Kind   string
	Place  string // Fridge or Freezer
	Keep   bool   // false: discard it
	Text   string
	Source string
	Mark   string

	spoils bool
}

var powerItems = load("power.csv", &powerCSV, func(r record) (Item, error) {
	if r["place"] != Fridge && r["place"] != Freezer {
		return Item{}, fmt.Errorf("%w: place %q", ErrTable, r["place"])
	}
	if r["spoils"] != "yes" && r["spoils"] != "no" {
		return Item{}, fmt.Errorf("%w: spoils %q", ErrTable, r["spoils"])
	}
	return Item{Kind: r["kind"], Place: r["place"], Source: r["source"], Mark: r["mark"], spoils: r["spoils"] == "yes"}, nil
})

// PowerCut gives the verdict on each kind of food after that many hours without power;
// full is the freezer's, a freezer less than half full has no figure and is to be
// called opened. The limits hold for a shut door only: after one that was opened the 2 h
// for food out of the cold are all that is left to go by. What need not be cold for
// safety is kept. ErrTime unless 0 <= hours <= 8760.
func PowerCut(hours float64, opened, full bool) ([]Item, error) {
	if !(hours >= 0 && hours <= 8760) {
		return nil, fmt.Errorf("%w: %v h without power", ErrTime, hours)
	}
	var out []Item
	for _, it := range powerItems() {
		it.Keep, it.Text = true, "keep it"
		if it.spoils && hours > powerLimit(it.Place, opened, full).Hours() {
			it.Keep, it.Text = false, string(Discard)
		}
		if it.Place == Freezer && !it.Keep && opened {
			it.Text = "discard it, unless it still has hard ice all through or a thermometer in it shows 4.4 °C (40 °F) or below"
		}
		out = append(out, it)
	}
	return out, nil
}

func powerLimit(place string, opened, full bool) time.Duration {
	limits := PowerLimits()
	switch {
	case opened:
		return 2 * time.Hour
	case place == Fridge:
		return limits.Fridge
	case full:
		return limits.FreezerFull
	}
	return limits.FreezerHalf
}
