package barn

import (
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// book is the flock book as it is read for one line.
type book struct {
	herds []storage.Herd
	moves []storage.Headcount
}

// openBook reads the flock book.
func openBook(req *desk.Request) (book, error) {
	herds, err := req.Tx.Herds(req.House.ID)
	if err != nil || len(herds) == 0 {
		return book{}, err
	}
	moves, err := req.Tx.Headcounts(req.House.ID)
	return book{herds, moves}, err
}

// alive are the groups of which any is there, the largest kinds of the table first.
func (b book) alive() []storage.Herd {
	out := slices.DeleteFunc(slices.Clone(b.herds), func(h storage.Herd) bool { return h.Head <= 0 })
	slices.SortStableFunc(out, func(x, y storage.Herd) int { return place(x.Kind) - place(y.Kind) })
	return out
}

func place(kind string) int {
	return slices.IndexFunc(beasts, func(b beast) bool { return b.name == kind })
}

// numbered is the group with that id.
func (b book) numbered(id int64) (storage.Herd, bool) {
	i := slices.IndexFunc(b.herds, func(h storage.Herd) bool { return h.ID == id })
	if i < 0 {
		return storage.Herd{}, false
	}
	return b.herds[i], true
}

// count is how many of a kind there are, in all its groups.
func (b book) count(kind string) int {
	n := 0
	for _, h := range b.herds {
		if h.Kind == kind {
			n += h.Head
		}
	}
	return n
}

// headOn is how many of a group there were at the end of a day. Those that were counted
// first, and not bought or hatched, had been there before.
func (b book) headOn(herd int64, day time.Time) int {
	n, first := 0, true
	for _, m := range b.moves {
		if m.Herd == herd && first {
			first = false
			if m.How == "counted" && m.Day.After(day) {
				return m.Change
			}
		}
		if m.Herd == herd && !m.Day.After(day) {
			n += m.Change
		}
	}
	return n
}

// layWeeks is the age at which pullets count as hens (trade table: first eggs at 18 to
// 20 weeks, 20 to 26 in heritage breeds).
const layWeeks = 20

// lays reports a group that is of laying age on a day.
func lays(h storage.Herd, day time.Time) bool {
	k, _ := beastNamed(h.Kind)
	grownUp := h.Born.IsZero() || days(h.Born, day) >= 7*layWeeks
	return k.lays && grownUp || k.name == "pullet" && !h.Born.IsZero() && grownUp
}

// layersOn is how many of a family were of laying age on a day.
func (b book) layersOn(family string, day time.Time) int {
	n := 0
	for _, h := range b.herds {
		if k, _ := beastNamed(h.Kind); k.family == family && lays(h, day) {
			n += b.headOn(h.ID, day)
		}
	}
	return n
}

// layers is whose eggs a line tells of: the kind of bird, and the group where the line
// names one. Without a name it is the hens', or the only birds' that lay.
func (b book) layers(named phrase.Term) (family string, herd int64) {
	if named.List == "herds" {
		if h, ok := b.numbered(named.ID); ok {
			k, _ := beastNamed(h.Kind)
			return k.family, h.ID
		}
	}
	if k, ok := beastNamed(named.Name); ok {
		if k.name != k.family { // the bantams are hens too
			for _, h := range b.alive() {
				if h.Kind == k.name {
					return k.family, h.ID
				}
			}
		}
		return k.family, 0
	}
	var families []string
	for _, h := range b.alive() {
		k, _ := beastNamed(h.Kind)
		if k.lays && !slices.Contains(families, k.family) {
			families = append(families, k.family)
		}
	}
	if len(families) == 1 {
		return families[0], 0
	}
	return "hen", 0
}

// of are the living groups of a kind, those without a name first, the oldest first.
func (b book) of(kind string) []storage.Herd {
	out := slices.DeleteFunc(b.alive(), func(h storage.Herd) bool { return h.Kind != kind })
	slices.SortStableFunc(out, func(x, y storage.Herd) int { return strings.Compare(x.Name, y.Name) })
	return out
}

// born is the day of hatch of a family's layers where one is known: of the largest group.
func (b book) born(family string, day time.Time) time.Time {
	var best storage.Herd
	for _, h := range b.alive() {
		if k, _ := beastNamed(h.Kind); k.family == family && lays(h, day) && !h.Born.IsZero() && h.Head > best.Head {
			best = h
		}
	}
	return best.Born
}
