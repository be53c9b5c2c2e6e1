package desk

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/reminders"
	"yardbell/storage"
)

// SayRoped tells of a room that is closed: "the kitchen is roped off since 09:42".
func (r *Request) SayRoped(rope storage.Rope) string {
	return "the " + rope.Room + " is roped off since " + reminders.SayTime(r.WallOf(rope.Since), r.Wall, r.House.DayFirst)
}

// AskClear asks for the all clear of a room, with the line that gives it.
func AskClear(room, say string) Reply {
	return AskBack(fmt.Sprintf("Is it all clear in the %s: lye put away, mould covered and out of reach, tools washed?", room), Labelled("All clear", say))
}

// AtHome is a child that is, or may be, at home from a wall time on.
type AtHome struct {
	Child storage.Person
	From  time.Time
	Maybe bool // asked today, and not answered
}

// SayAtHome tells who is at home: "Pim is at home; Ivo and Lise come home at 12:30".
func (r *Request) SayAtHome(all []AtHome) string {
	var times []time.Time
	names := map[time.Time][]string{}
	var maybe []string
	for _, h := range all {
		if h.Maybe {
			maybe = append(maybe, h.Child.Name)
			continue
		}
		if names[h.From] == nil {
			times = append(times, h.From)
		}
		names[h.From] = append(names[h.From], h.Child.Name)
	}
	slices.SortFunc(times, time.Time.Compare)
	var out []string
	for _, at := range times {
		switch some := names[at]; {
		case !at.After(r.Wall):
			out = append(out, List(some)+isOrAre(some)+"at home")
		case len(some) == 1:
			out = append(out, some[0]+" comes home at "+at.Format("15:04"))
		default:
			out = append(out, List(some)+" come home at "+at.Format("15:04"))
		}
	}
	if len(maybe) > 0 {
		out = append(out, List(maybe)+" may be at home")
	}
	return strings.Join(out, "; ")
}

func isOrAre(names []string) string {
	if len(names) == 1 {
		return " is "
	}
	return " are "
}

// Them is how to speak of people who were named before: one by name, several as them.
func Them(names []string) string {
	if len(names) == 1 {
		return names[0]
	}
	return "them"
}
