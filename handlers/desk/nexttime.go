package desk

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
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

// ofThing begins what a lesson hangs on that no desk has under its name.
const ofThing = "thing:"

// OfThing names what no desk keeps, or not yet: the barley soup before its recipe is.
func OfThing(name string) string { return ofThing + strings.ToLower(name) }

// Lessons are what was to be otherwise with a thing, the oldest first: what hangs on it, and
// what was said by its name alone before a desk knew it.
func (r *Request) Lessons(about string) ([]storage.NextTime, error) {
	all, err := r.Tx.NextTimes(r.House.ID, "")
	_, name, named := strings.Cut(about, ":")
	if !named {
		name = about
	}
	return slices.DeleteFunc(all, func(n storage.NextTime) bool {
		thing, loose := strings.CutPrefix(n.About, ofThing)
		return n.About != about && !(loose && isCalled(name, thing))
	}), err
}

// isCalled reports that a name is that of a thing: white bread of bread, butcher day of
// butcher day; bread and butter pudding is no bread.
func isCalled(name, thing string) bool {
	one := func(text string) string {
		words := phrase.Words(text)
		for i, w := range words {
			words[i] = strings.TrimSuffix(w, "s")
		}
		return " " + strings.Join(words, " ") + " "
	}
	n, t := one(name), one(thing)
	if strings.Count(t, " ") > 2 {
		return strings.Contains(n, t)
	}
	return strings.HasSuffix(n, t)
}

// NextTimes are the lines that tell what was to be otherwise when a thing comes round.
func (r *Request) NextTimes(about string) ([]string, error) {
	return r.NextTimesBefore(about, r.Now.Add(time.Second))
}

// NextTimesBefore are those that were said before an instant.
func (r *Request) NextTimesBefore(about string, before time.Time) ([]string, error) {
	all, err := r.Lessons(about)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, n := range all {
		if n.Made.Before(before) {
			out = append(out, fmt.Sprintf("Next time, said %s: %s", reminders.SayDay(r.WallOf(n.Made), r.Wall, r.House.DayFirst), n.Text))
		}
	}
	return out, nil
}
