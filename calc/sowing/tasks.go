package sowing

import (
	"cmp"
	"errors"
	"math"
	"slices"
	"strings"
	"time"
)

// State is where a day stands in the window of a piece of work.
type State uint8

// The states.
const (
	InWindow State = iota
	Late           // past it, and still worth doing
	Ahead          // before it
	Over           // past for this season
)

// String returns the state in a word or two.
func (s State) String() string {
	return word([]string{"in its window", "late", "ahead", "over"}, int(s))
}

const (
	springLate = 42 // a window is given up so many days after it when heat follows or an autumn one
	cloveLate  = 28 // cloves may still go in so long after their window
)

// Task is one kind of work on one crop as it stands on a day.
type Task struct {
	Crop     Crop
	Kind     StepKind
	State    State
	From, To time.Time // the window; the next season's when Over
	Slack    int       // days left in the window; negative: late by so many

	// Course is what comes of doing it on the day or, when it is Ahead or Over, on
	// From. Within the window it may say TooLong: then the crop never fits here.
	Course Course
	Delay  int // days that the harvest is later than by the last day of the window
}

// Tasks returns every kind of work that belongs to the crop (start, harden, set out,
// sow outdoors, plant) as it stands on that day of the season f; next is the season
// after, reckoned a year later when it is not a season. A crop that is also for autumn
// has a second window where the season is long enough. Once the next season has opened
// for the crop the work is that season's. The zero value of a crop or a
// season has no tasks, nor has one that Check or Plan refuses.
func Tasks(c Crop, f Frosts, next Frosts, day time.Time) []Task {
	if errors.Join(c.Check(), f.check()) != nil {
		return nil
	}
	if next.check() != nil || !next.Last.After(f.Last) {
		next = Frosts{f.Last.AddDate(1, 0, 0), f.First.AddDate(1, 0, 0)}
	}
	day = time.Unix(floorDay(day)*86400, 0).UTC()
	if Opened(c, next, day) {
		f, next = next, Frosts{next.Last.AddDate(1, 0, 0), next.First.AddDate(1, 0, 0)}
	}
	var out []Task
	for _, kind := range kindsOf(c) {
		out = append(out, taskOn(c, f, next, kind, day))
	}
	return out
}

// Opened reports that the first work of a season has come for a crop. Where winters are
// mild that is before the season before it has ended. False for what has no plan.
func Opened(c Crop, f Frosts, day time.Time) bool {
	steps, err := Plan(c, f)
	return err == nil && !day.Before(steps[0].From)
}

func kindsOf(c Crop) []StepKind {
	var kinds []StepKind
	if c.Method != Direct {
		kinds = append(kinds, Start, Harden, outKind(c))
	}
	if c.Method != Indoor {
		kinds = append(kinds, sowKind(c))
	}
	return kinds
}

func taskOn(c Crop, f, next Frosts, kind StepKind, day time.Time) Task {
	windows := windowsOf(c, f, kind)
	for i, w := range windows {
		t := Task{Crop: c, Kind: kind, From: w.from, To: w.to, Slack: between(day, w.to)}
		if day.Before(w.from) {
			t.State, t.Course = Ahead, begun(c, f, kind, w.from)
			return t
		}
		t.Course = begun(c, f, kind, day)
		if !day.After(w.to) {
			t.State = InWindow
			return t
		}
		if -t.Slack <= lateFor(c, i+1 < len(windows)) && t.Course.Class != TooLong {
			t.State = Late
			t.Delay = max(0, between(begun(c, f, kind, w.to).Late, t.Course.Late))
			return t
		}
	}
	w := windowsOf(c, next, kind)[0]
	return Task{
		Crop: c, Kind: kind, State: Over, From: w.from, To: w.to, Slack: between(day, w.to),
		Course: begun(c, next, kind, w.from),
	}
}

// lateFor is how many days after its window a piece of work is still spoken of.
func lateFor(c Crop, another bool) int {
	if c.afterFrost() {
		return cloveLate
	}
	if another || c.ofSpring() {
		return springLate
	}
	return math.MaxInt
}

// windowsOf returns the window of the season, and the autumn one where there is one.
func windowsOf(c Crop, f Frosts, kind StepKind) []window {
	switch {
	case kind == Start:
		return withAutumn(c, springStart(c, f), lastIndoors(c, f.First))
	case kind == Harden:
		var out []window
		for _, w := range setOutWindows(c, f) {
			out = append(out, window{plus(w.from, -HardenDays), plus(w.from, -HardenLeast)})
		}
		return out
	case c.Method != Direct && kind == outKind(c):
		return setOutWindows(c, f)
	case c.afterFrost():
		return []window{springSow(c, f)}
	}
	return withAutumn(c, springSow(c, f), lastOutdoors(c, f.First))
}

func setOutWindows(c Crop, f Frosts) []window {
	out := plannedOut(c, f)
	return withAutumn(c, window{out, plus(out, setOutDays)}, plus(lastIndoors(c, f.First), c.age()))
}

// withAutumn adds the three weeks up to the last useful day, unless they follow so
// closely on the spring window that there is only one season.
func withAutumn(c Crop, spring window, last time.Time) []window {
	from := plus(last, -primeDays)
	if !c.Autumn || between(spring.to, from) < springLate {
		return []window{spring}
	}
	return []window{spring, {from, last}}
}

// begun is the course of the work done on a day.
func begun(c Crop, f Frosts, kind StepKind, day time.Time) Course {
	switch {
	case kind == Start:
		return followIndoors(c, f, day)
	case kind == Harden:
		return followSetOut(c, f, later(plannedOut(c, f), plus(day, HardenLeast)))
	case c.Method != Direct && kind == outKind(c):
		return followSetOut(c, f, day)
	}
	return followOutdoors(c, f, day)
}

// Sort puts first what is lost soonest: late work by the days until no variety would
// ripen, then what is in its window by the days left, then what is in its window and
// never ripens here, then what is ahead and what is over by its first day. Equals
// stand by name.
func Sort(tasks []Task) {
	slices.SortStableFunc(tasks, func(a, b Task) int {
		return cmp.Or(
			cmp.Compare(rank(a), rank(b)),
			cmp.Compare(left(a), left(b)),
			cmp.Compare(a.Slack, b.Slack),
			strings.Compare(a.Crop.Name, b.Crop.Name),
		)
	})
}

func rank(t Task) int {
	switch {
	case t.State == Late:
		return 0
	case t.State == InWindow && t.Course.Class != TooLong:
		return 1
	case t.State == InWindow:
		return 2
	case t.State == Ahead:
		return 3
	}
	return 4
}

// left is the days until a task is lost, or late, or until it comes.
func left(t Task) int {
	switch t.State {
	case Late:
		return t.Course.MarginQuick
	case InWindow:
		return t.Slack
	}
	return int(floorDay(t.From))
}
