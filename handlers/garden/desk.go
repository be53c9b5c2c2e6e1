// Package garden is the garden desk: what to start and when by the household's frost
// dates, whether a crop ripens, how many seeds, how long the day is, the record of
// what was sown with what comes next, and the seed tin.
package garden

import (
	"slices"
	"time"

	"yardbell/handlers/desk"
	"yardbell/storage"
)

// Desk returns the garden desk.
func Desk() desk.Desk {
	return desk.Desk{
		Name:  "garden",
		About: "frost, sowing, seeds and what stands in the trays",
		Lists: map[string]desk.WordList{"crops": cropList, "places": placeList},
		Done:  map[string]func(*desk.Request, storage.Bell, time.Time) ([]string, error){"sowing": stepDone},
		Jobs:  openJobs,
		Dated: daysToCome,
		Sheet: sheetParts,
		Asks:  slices.Concat(frostAsks(), sowAsks(), []desk.Ask{timelineAsk()}, planAsks(), ownAsks(), seedAsks(), lightAsks(), standingAsks(), []desk.Ask{sownAsk()}, tellAsks(), tinAsks(), questionAsks()),
	}
}
