// Package barn is the barn desk: the flock book, eggs and how the hens lay, feed and
// water, breeding and hatching, weight and growth, treatments with their withdrawal, and
// what cold and heat mean for the children and the stock.
package barn

import (
	"slices"
	"strings"
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
		Lists: map[string]desk.WordList{
			"livestock": desk.Fixed(livestock), "herds": herdList, "feeds": feedList,
		},
		Held:  heldBack,
		Moved: feedMoved,
		Today: todayLines,
		Dated: daysToCome,
		Jobs:  openJobs,
		Sheet: sheetParts,
		Done:  map[string]func(*desk.Request, storage.Bell, time.Time) ([]string, error){"birth": stepDone, "hatch": stepDone},
		Asks:  tidied(distressAsks(), eggAsks(), layingAsks(), needAsks(), feedAsks(), bredAsks(), hatchAsks(), brooderAsks(), birthAsks(), lostAsks(), weightAsks(), chillAsks(), treatAsks(), milkAsks(), flockAsks()),
	}
}

// tidied lets every ask see its line without names that a short word is only a slip away
// from: "back in heat" has no buck in it.
func tidied(asks ...[]desk.Ask) []desk.Ask {
	all := slices.Concat(asks...)
	for i := range all {
		plain, do := all[i].Plain, all[i].Do
		if plain != nil {
			all[i].Plain = func(req *desk.Request) bool {
				tidy(req)
				return plain(req)
			}
		}
		all[i].Do = func(req *desk.Request) (desk.Reply, error) {
			tidy(req)
			return do(req)
		}
	}
	return all
}

// tidy drops the names that are read out of short or twice mistaken words.
func tidy(req *desk.Request) {
	req.Reading.Spans = slices.DeleteFunc(slices.Clone(req.Reading.Spans), func(s phrase.Span) bool {
		t, is := s.Value.(phrase.Term)
		if !is || t.List != "livestock" && t.List != "herds" && t.List != "feeds" {
			return false
		}
		low := strings.ToLower(s.Text)
		if t.Match == phrase.Slip && slices.Contains(notAnimals, low) {
			return true
		}
		if low == "does" || low == "kids" { // a verb, and the children
			return len(req.Reading.Of(phrase.KindNumber)) == 0 || hasWord(req, "how", "what", "when")
		}
		return t.Match == phrase.Slip && (len(s.Text) < 5 && !swapped(req, low, t) || t.Slips > 1)
	})
}

// notAnimals are words of their own, a letter away from an animal.
var notAnimals = []string{"whens", "when's", "socks", "sock", "rocks", "locks", "docks", "clocks", "mart", "marts", "books", "boars'", "coats", "coat", "boats", "boat", "beans", "hands", "benches", "hours"}

// swapped reports a short name with two letters the wrong way round: hnes.
func swapped(req *desk.Request, typed string, t phrase.Term) bool {
	same := func(name string) bool {
		a, b := []byte(typed), []byte(strings.ToLower(name))
		slices.Sort(a)
		slices.Sort(b)
		return slices.Equal(a, b)
	}
	b, _ := beastNamed(t.Name)
	return same(t.Name) || same(b.plural)
}
