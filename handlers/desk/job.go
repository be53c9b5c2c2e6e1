package desk

import (
	"time"
)

// Job is a piece of open work that a desk hands in to the household's day, where it is
// laid among the blocks. Days are wall dates; a zero field says nothing.
type Job struct {
	Key      string        // the same from day to day: "garden:leek:sow", "job:3"
	Title    string        // what people call it: "sow leeks"
	Takes    time.Duration // how long it takes
	By       []int64       // all of these are on it
	Kids     int           // from this age a child can do it alone; 0 for never
	Help     bool          // children can help
	Needs    Needs
	From     time.Time // not before this day
	Due      time.Time // late after this day
	Latest   time.Time // of no use after this day
	Pin      time.Time // the wall time at which somebody set it
	Pressure int       // more goes first; 0 is usual
	Say      string    // how its desk tells of it where no day is laid; empty for not at all
	Detail   string    // what else is to be known of it: the recipe of a pour
	Hints    []string  // what was to be otherwise this time
	Done     string    // the line that says that it is done; empty for none
	Bell     int       // the bell that rings for it, which asks again by itself; 0 for none
	Loose    bool      // a line may give it a day or somebody, or drop it
	Also     []string  // words beside those of its title that people call it by
	Made     time.Time // when it came up; dropped before then, it is open again
}

// Needs are what a job needs besides people and time.
type Needs struct {
	Elsewhere bool // every child elsewhere
	Lye       bool // lye is open: children elsewhere, and the room is closed
	Kitchen   bool // the kitchen to itself
	Oven      bool
	Daylight  bool
	Dry       bool // dry weather
}

// Taken is a stretch in which the kitchen, or the oven, is in use, or people are at work
// that has its hour; wall times.
type Taken struct {
	Oven     bool    // the oven
	Who      []int64 // these people; else the oven or the kitchen
	From, To time.Time
}

// Worth is the shortest work at an hour for which whoever does it is taken: less is done
// between two others.
const Worth = 15 * time.Minute
