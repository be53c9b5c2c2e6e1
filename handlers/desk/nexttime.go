package desk

import (
	"fmt"
	"time"

	"yardbell/reminders"
)

// OfSoap is what a lesson about any batch of soap hangs on.
const OfSoap = "soap"

// OfCrop, OfRecipe and OfDay are what a lesson hangs on: a crop of the table, a recipe by
// its name, a run-up or a block of the day.
func OfCrop(name string) string { return "crop:" + name }

// OfRecipe names a recipe, see OfCrop.
func OfRecipe(name string) string { return "recipe:" + name }

// OfDay names a run-up or a block, see OfCrop.
func OfDay(name string) string { return "day:" + name }

// NextTimes are the lines that tell what was to be otherwise when a thing comes round.
func (r *Request) NextTimes(about string) ([]string, error) {
	return r.NextTimesBefore(about, r.Now.Add(time.Second))
}

// NextTimesBefore are those that were said before an instant.
func (r *Request) NextTimesBefore(about string, before time.Time) ([]string, error) {
	all, err := r.Tx.NextTimes(r.House.ID, about)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, n := range all {
		if !n.Made.Before(before) {
			continue
		}
		out = append(out, fmt.Sprintf("Next time, said %s: %s", reminders.SayDay(r.WallOf(n.Made), r.Wall, r.House.DayFirst), n.Text))
	}
	return out, nil
}
