package reminders

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"yardbell/storage"
)

// Whom of a bell is a word for a group, or person ids parted by commas.
const (
	Keepers  = "keepers"
	Everyone = "everyone"
	Kids     = "kids"
)

// People writes the whom of certain people.
func People(ids ...int64) string {
	var out []string
	for _, id := range ids {
		out = append(out, strconv.FormatInt(id, 10))
	}
	return strings.Join(out, ",")
}

// Expand returns the people that a whom names, those who have gone left out.
func Expand(whom string, people []storage.Person, now time.Time) []storage.Person {
	ids := strings.Split(whom, ",")
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

// SayWhom writes a whom for people: "Ivo and Lise", "the keepers".
func SayWhom(whom string, people []storage.Person, now time.Time) string {
	switch whom {
	case Keepers:
		return "the keepers"
	case Everyone:
		return "everyone"
	case Kids:
		return "the kids"
	}
	var names []string
	for _, p := range Expand(whom, people, now) {
		names = append(names, p.Name)
	}
	switch len(names) {
	case 0:
		return "nobody"
	case 1:
		return names[0]
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}
