package reminders

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"yardbell/storage"
)

// Whom of a bell is a word for a group, or person ids parted by commas: all of
// them, or one at a time where "turn:" stands before them.
const (
	Keepers  = "keepers"
	Everyone = "everyone"
	Kids     = "kids"

	turnMark = "turn:"
)

// People writes the whom of certain people.
func People(ids ...int64) string {
	var out []string
	for _, id := range ids {
		out = append(out, strconv.FormatInt(id, 10))
	}
	return strings.Join(out, ",")
}

// InTurn writes the whom of people who take turns, in their order.
func InTurn(ids ...int64) string { return turnMark + People(ids...) }

// IsTurn reports a whom of people who take turns.
func IsTurn(whom string) bool { return strings.HasPrefix(whom, turnMark) }

// NextTurn returns whose turn it is after the one who had it last: the next in
// the order who is in the household and there at the instant, and the next of
// all when nobody is.
func (h House) NextTurn(whom string, last int64, at time.Time) (storage.Person, bool) {
	order := turnOrder(whom, h.People)
	if len(order) == 0 {
		return storage.Person{}, false
	}
	from := slices.IndexFunc(order, func(p storage.Person) bool { return p.ID == last }) + 1
	order = append(slices.Clone(order[from:]), order[:from]...)
	if here, _ := h.present(order, at); len(here) > 0 {
		return here[0], true
	}
	return order[0], true
}

// turnOrder returns the people of a turn in their order, those who have gone left out.
func turnOrder(whom string, people []storage.Person) []storage.Person {
	var order []storage.Person
	for id := range strings.SplitSeq(strings.TrimPrefix(whom, turnMark), ",") {
		for _, p := range people {
			if strconv.FormatInt(p.ID, 10) == id && !p.Gone {
				order = append(order, p)
			}
		}
	}
	return order
}

// Expand returns the people that a whom names, those who have gone left out.
func Expand(whom string, people []storage.Person, now time.Time) []storage.Person {
	ids := strings.Split(strings.TrimPrefix(whom, turnMark), ",")
	var out []storage.Person
	for _, p := range people {
		in := false
		switch whom {
		case Keepers:
			in = p.Keeper
		case Everyone:
			in = true
		case Kids:
			in = p.Child(now)
		default:
			in = slices.Contains(ids, strconv.FormatInt(p.ID, 10))
		}
		if in && !p.Gone {
			out = append(out, p)
		}
	}
	return out
}

// SayWhom writes a whom for people: "Ivo and Lise", "the keepers", "Ivo and Lise
// in turn".
func SayWhom(whom string, people []storage.Person, now time.Time) string {
	switch whom {
	case Keepers:
		return "the keepers"
	case Everyone:
		return "everyone"
	case Kids:
		return "the kids"
	}
	if IsTurn(whom) {
		return names(turnOrder(whom, people)) + " in turn"
	}
	return names(Expand(whom, people, now))
}

func names(people []storage.Person) string {
	var out []string
	for _, p := range people {
		out = append(out, p.Name)
	}
	switch len(out) {
	case 0:
		return "nobody"
	case 1:
		return out[0]
	}
	return strings.Join(out[:len(out)-1], ", ") + " and " + out[len(out)-1]
}

func ids(people []storage.Person) []int64 {
	var out []int64
	for _, p := range people {
		out = append(out, p.ID)
	}
	return out
}

func without(people []storage.Person, drop func(storage.Person) bool) []storage.Person {
	return slices.DeleteFunc(slices.Clone(people), drop)
}

func has(people []storage.Person, id int64) bool {
	return slices.ContainsFunc(people, func(p storage.Person) bool { return p.ID == id })
}
