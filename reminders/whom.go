package reminders

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"yardbell/storage"
)

// Whom of a bell is a word for a group, or person ids parted by commas: all of
// them, or one at a time: in turn where "turn:" stands before them, "turn2:" where
// the order goes on by two more at the turn of each week, and whoever has done
// least where "least:" does.
const (
	Keepers  = "keepers"
	Everyone = "everyone"
	Kids     = "kids"

	turnMark  = "turn"
	leastMark = "least:"
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
func InTurn(ids ...int64) string { return turnMark + ":" + People(ids...) }

// InTurnBy writes the whom of people who take turns in an order that goes on by so
// many more at the turn of each week, see rota.Extra.
func InTurnBy(extra int, ids ...int64) string {
	if extra == 0 {
		return InTurn(ids...)
	}
	return turnMark + strconv.Itoa(extra) + ":" + People(ids...)
}

// ByLeast writes the whom of people of whom the one who has done least is called.
func ByLeast(ids ...int64) string { return leastMark + People(ids...) }

// IsTurn reports a whom of people who take turns.
func IsTurn(whom string) bool { return strings.HasPrefix(whom, turnMark) }

// IsLeast reports a whom of whoever has done least.
func IsLeast(whom string) bool { return strings.HasPrefix(whom, leastMark) }

// OneOf reports a whom of which one person is called at a time.
func OneOf(whom string) bool { return IsTurn(whom) || IsLeast(whom) }

// members is the part of a whom that names people.
func members(whom string) string {
	if _, people, ok := strings.Cut(whom, ":"); ok {
		return people
	}
	return whom
}

// weekly is by how many more the order of a turn goes on at the turn of a week.
func weekly(whom string) int {
	mark, _, _ := strings.Cut(whom, ":")
	n, err := strconv.Atoi(strings.TrimPrefix(mark, turnMark))
	if err != nil {
		return 0
	}
	return n
}

// NextTurn returns whose turn it is for a ring of a bell due at an instant: the next
// in the order after the one who had it last who is in the household and there at
// another, and the next of all when nobody is.
func (h House) NextTurn(b storage.Bell, due, at time.Time) (storage.Person, bool) {
	order := Roll(b.Whom, h.People)
	if len(order) == 0 {
		return storage.Person{}, false
	}
	from := slices.IndexFunc(order, func(p storage.Person) bool { return p.ID == b.Turn }) + 1
	if b.Turn != 0 && !b.Due.IsZero() {
		from += weekly(b.Whom) * h.weeksBetween(b.Due, due)
	}
	from %= len(order)
	order = append(slices.Clone(order[from:]), order[:from]...)
	if here, _ := h.free(b, order, at); len(here) > 0 {
		return here[0], true
	}
	return order[0], true
}

// weeksBetween counts the mondays between two instants.
func (h House) weeksBetween(from, to time.Time) int {
	monday := func(t time.Time) time.Time {
		day := Day(Wall(t, h.Zone))
		return day.AddDate(0, 0, -(int(day.Weekday())+6)%7)
	}
	return max(int(monday(to).Sub(monday(from)).Hours())/(7*24), 0)
}

// Roll returns the people that a whom names by number, in its order, those who have
// gone left out.
func Roll(whom string, people []storage.Person) []storage.Person {
	var order []storage.Person
	for id := range strings.SplitSeq(members(whom), ",") {
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
	ids := strings.Split(members(whom), ",")
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
	switch {
	case IsTurn(whom):
		return names(Roll(whom, people)) + " in turn"
	case IsLeast(whom):
		return "whoever of " + names(Roll(whom, people)) + " has done least"
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
