package breeding

import (
	"cmp"
	_ "embed"
	"slices"
	"strings"
	"time"
)

//go:embed tasks.csv
var tasksCSV string

//go:embed returns.csv
var returnsCSV string

// Anchor is the day from which a task counts.
type Anchor uint8

// The anchors.
const (
	FromService  Anchor = iota // the last service; the day eggs were set
	FromFirst                  // the first service that may count
	FromDue                    // the day planned for
	FromEarliest               // the first day of the window
	FromBirth                  // the day the young came
	FromWeaning                // the day the young were weaned
)

var anchors = []string{"service", "first", "due", "earliest", "birth", "weaning"}

// String returns the word of the table: service, first, due, earliest, birth or weaning.
func (a Anchor) String() string {
	if int(a) >= len(anchors) {
		return "unknown"
	}
	return anchors[a]
}

// Task is one piece of work around a birth or a hatch.
type Task struct {
	Name           string // stays the same: "sow-pen", "doe-goat-kit"
	Species        string
	Anchor         Anchor
	FromDay, ToDay int    // from the anchor, negative before it
	Milked         bool   // only for an animal that is milked
	Title          string // a short line for a bell
	Do             string // what to do, in a sentence or two
	Adult          bool   // not a child's: mothers with young, medicine, heat lamps
	KeepAway       bool   // not for a person who is expecting
	Source, Mark   string
}

// Dated is a task with its days, both ends inclusive.
type Dated struct {
	Task
	From, To time.Time
}

var tasks = load("tasks.csv", &tasksCSV, func(r *record) Task {
	return Task{
		Name: r.needed("name"), Species: r.needed("species"), Anchor: Anchor(r.choice("anchor", anchors)),
		FromDay: r.whole("from_day"), ToDay: r.whole("to_day"), Milked: r.choice("only", []string{"", "milked"}) == 1,
		Title: r.needed("title"), Do: r.needed("do"), Adult: r.yes("adult"), KeepAway: r.yes("keep_away"),
		Source: r.needed("source"), Mark: r.needed("mark"),
	}
})

// Tasks returns the whole table of animals in file order. The work on eggs is
// reckoned from their length, see RunUp.
func Tasks() []Task { return slices.Clone(tasks()) }

// RunUp returns the work up to the birth or hatch in time order: what counts from the
// services, the window and the day planned for.
func RunUp(l Length, e Expected) []Dated {
	at := map[Anchor]time.Time{FromService: e.Last, FromFirst: e.First, FromDue: e.Due, FromEarliest: e.Earliest}
	all := append(returnTasks(l, e), tasksOf(l)...)
	if !e.OneDate || e.First.Equal(e.Last) {
		return dated(all, at)
	}
	return dated(readyForFirst(all, int(e.Last.Sub(e.First).Hours()/24)), at)
}

// readyFor are the endings of the names of what has to stand ready when the young come.
var readyFor = []string{"-kit", "-pen", "-box", "-move", "-lamp"}

// readyForFirst brings what has to stand ready forward by the days between the first
// service and the last, since the young may be of the first.
func readyForFirst(all []Task, days int) []Task {
	for i := range all {
		ready := slices.ContainsFunc(readyFor, func(end string) bool { return strings.HasSuffix(all[i].Name, end) })
		if ready && all[i].Anchor == FromDue {
			all[i].FromDay, all[i].ToDay = all[i].FromDay-days, all[i].ToDay-days
		}
	}
	return all
}

// AfterBirth returns the work that counts from the day the young came or hatched, in
// time order.
func AfterBirth(l Length, born time.Time) []Dated {
	return dated(tasksOf(l), map[Anchor]time.Time{FromBirth: born})
}

// AfterWeaning returns the work that counts from the day the young were weaned.
func AfterWeaning(l Length, weaned time.Time) []Dated {
	return dated(tasksOf(l), map[Anchor]time.Time{FromWeaning: weaned})
}

func tasksOf(l Length) []Task {
	if l.Kind == Incubation {
		return eggTasks(l)
	}
	var out []Task
	for _, t := range tasks() {
		if t.Species == l.Species {
			out = append(out, t)
		}
	}
	return out
}

// slug is a species as the names of its tasks have it.
func slug(speciesName string) string {
	return strings.ReplaceAll(strings.ToLower(speciesName), " ", "-")
}

// dated lays the tasks whose anchor is given on the calendar.
func dated(list []Task, at map[Anchor]time.Time) []Dated {
	var out []Dated
	for _, t := range list {
		if day, ok := at[t.Anchor]; ok {
			out = append(out, Dated{Task: t, From: plus(day, t.FromDay), To: plus(day, t.ToDay)})
		}
	}
	slices.SortStableFunc(out, func(a, b Dated) int {
		return cmp.Or(a.From.Compare(b.From), a.To.Compare(b.To))
	})
	return out
}

// Return is when an animal that did not take comes back into heat, in days after
// service. It tells nothing certain: a vet can.
type Return struct {
	Species       string
	From, Day, To int
	Source, Mark  string
}

var returns = load("returns.csv", &returnsCSV, func(r *record) Return {
	return Return{r.needed("species"), r.whole("from_day"), r.whole("day"), r.whole("to_day"), r.needed("source"), r.needed("mark")}
})

// ReturnToHeat returns the days to look for heat after a service; false where the
// table has none (rabbits, cats, dogs, camelids, birds).
func ReturnToHeat(l Length) (Return, bool) {
	i := slices.IndexFunc(returns(), func(r Return) bool { return r.Species == l.Species })
	if i < 0 {
		return Return{}, false
	}
	return returns()[i], true
}

// returnTasks is empty when she ran with a male: he serves her again himself.
func returnTasks(l Length, e Expected) []Task {
	r, ok := ReturnToHeat(l)
	if !ok || !e.OneDate {
		return nil
	}
	return []Task{{
		Name: slug(l.Species) + "-return", Species: l.Species, Anchor: FromService, FromDay: r.From, ToDay: r.To,
		Title: "See whether she is back in heat",
		Do:    "If she is, she did not take: have her served again and say so. If not, it is a good sign and no proof.",
		Adult: true, Source: r.Source, Mark: r.Mark,
	}}
}
