// Package barn is the barn desk: the flock book, eggs and how the hens lay, feed and
// water, breeding and hatching, weight and growth, treatments with their withdrawal, and
// what cold and heat mean for the children and the stock.
package barn

import (
	"slices"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// Desk returns the barn desk.
func Desk() desk.Desk {
	return desk.Desk{
		Name:  "barn",
		About: "animals, eggs, feed, breeding, weight, cold and heat",
		Lists: map[string]func(*desk.Request) (*phrase.List, error){
			"livestock": func(*desk.Request) (*phrase.List, error) { return livestock(), nil },
			"herds":     herdList,
		},
		Done: map[string]func(*desk.Request, storage.Bell, time.Time) ([]string, error){"birth": stepDone, "hatch": stepDone},
		Asks: slices.Concat(eggAsks(), layingAsks(), hatchAsks(), bredAsks(), birthAsks(), flockAsks()),
	}
}
