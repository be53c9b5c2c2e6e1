// Package day is the household's day: its fixed blocks, the open jobs that are laid into
// them, what comes round, and what was to be otherwise next time.
package day

import (
	"slices"

	"yardbell/handlers/desk"
)

// Desk returns the day desk.
func Desk() desk.Desk {
	return desk.Desk{
		Name:   "day",
		About:  "the blocks of the day, jobs and run-ups",
		Jobs:   jobsWithHints,
		Sheet:  sheetParts,
		Watch:  watch,
		Relay:  relay,
		Dated:  laidDays,
		AtHome: atHome,
		Asks: slices.Concat(todayAsks(), dayQuestions(), []desk.Ask{whyAsk(), lyeAsk(), fitAsk(), yearAgoAsk()}, weekAsks(), jobAsks(), blockAsks(), blockTimeAsks(),
			[]desk.Ask{alongAsk(), placeAsk(), visitAsk(), yesAsk(), atSchoolAsk()}, wordAsks(), heardAsks(), runUpAsks(), nextTimeAsks()),
	}
}
