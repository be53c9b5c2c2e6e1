// Package day lays a household's open jobs into the blocks of its days, says why each
// stands where it stands, and what would have to give for those that do not fit.
//
// Times are wall times as the rest of the house keeps them (a time.Time whose fields are
// what the kitchen clock shows), or instants, but never both in one House. Work is laid on
// the five minutes (Grain); what is taken is rounded outward, what is free inward.
//
// # Hard rules
//
// A job lies within one open block, is done by people who are in that block and free for
// its whole length, not before Now or Earliest and not past Latest. A person does one job
// at a time, the oven and the kitchen hold one at a time. Light, dry weather and children
// elsewhere hold for the whole length. While children have to be elsewhere no child works
// at another job, and no child ever does such a job. Lye work has one adult on it. The
// children, that adult and the kitchen, where it is needed, are kept for it from BeforeLye
// ahead until AfterLye behind, and it is never split. A pinned job starts when it is pinned
// and asks no block and no Busy: whoever pinned it knew the day. The rest holds for it too.
//
// # Objective
//
// In this order, each only where all before it are equal:
//
//  1. The most pressing jobs are laid: pinned ones first, then by Pressure, Due and ID. For
//     each in turn whole is better than in two parts (the first as long as can be), two
//     parts better than more, any better than not at all; no number of lesser jobs
//     outweighs a more pressing one.
//  2. Least lateness: the sum of Cost times days after Due.
//  3. Fewest moves: pieces whose start or people are others than they Was; of equal
//     numbers the more pressing pieces stay.
//  4. Earliest: the most pressing job as early as it can be, then the next; of two people
//     who could, the one earlier in the alphabet, children last.
//
// # Method
//
// Jobs go in one by one, most pressing first: into a gap, else by moving one that stands,
// else by a complete search as long as there are no more than ten pieces and the effort
// allowed lasts. Lateness and moves are brought down the same way. Plan.Exact says that
// every step was shown to be the best there is; crowded days of many jobs are laid by the
// repairs alone, and then a better plan may exist. The effort is counted, not timed, so
// that the same day always gives the same plan.
package day

import (
	"errors"
	"time"
)

// Grain is the step on which work is laid.
const Grain = 5 * time.Minute

// The margin around lye work for which the children stay elsewhere and its adult stays
// with it: to set out before, to wash up and put the mould out of reach after. The room
// stays roped off until a keeper says all clear, however long that is. Common practice.
const (
	BeforeLye = 10 * time.Minute
	AfterLye  = 30 * time.Minute
)

// OftenMoved is how many times a job moves on before somebody should be asked about it.
const OftenMoved = 3

// Bounds of what Lay takes.
const (
	MostPeople = 32
	MostJobs   = 500
	MostDays   = 31
)

// ErrInput is wrapped by every error of this package; the error says what was wrong.
var ErrInput = errors.New("day plan")

// Span is a stretch of time; To is the first moment after it.
type Span struct{ From, To time.Time }

// Person is somebody of the household.
type Person struct {
	Name  string // unique
	Child bool
	Age   int    // years, of a child; 0 when not known, and then no least age is reached
	Busy  []Span // here but not to be given work: ill, on the phone, a lesson
	Out   []Span // not at home; a child that is out is elsewhere
}

// Block is a stretch of the day that is fixed by custom: school, dinner, quiet work time.
// Blocks may overlap when different people are in them.
type Block struct {
	Name string
	Span
	Open  bool     // jobs may be laid into it; in any other the people in it are busy
	Who   []string // who is in it; nobody named: everyone whom no other block names at that time
	Away  bool     // children in it are elsewhere: out of the house, in bed, in a room of their own
	Place string   // where, for the explanation
}

// House is who there is, the blocks of one day or several, and what the place allows.
type House struct {
	Now     time.Time // nothing is laid before it
	People  []Person
	Blocks  []Block
	Kitchen []Span // when the kitchen is taken, besides by jobs
	Oven    []Span // when the oven is taken, besides by jobs
	Light   []Span // daylight, a span a day
	Dry     []Span // when it is sure to be dry
	Wet     []Span // when it will be wet; what is in neither is not known
}

// Need is what a job needs besides people and time; several are joined with |.
type Need uint8

// The needs.
const (
	Elsewhere Need = 1 << iota // every child elsewhere
	Lye                        // lye work: Elsewhere, with its margin and one adult
	Kitchen                    // the kitchen to itself
	Oven                       // the oven to itself
	Light                      // daylight
	Dry                        // dry weather; unknown weather is taken, and said
)

// Job is an open piece of work.
type Job struct {
	ID       string        // unique
	Takes    time.Duration // 1 minute to 24 hours
	By       []string      // all of these are on it
	Of       []string      // whom to take the rest of Hands from; nobody named: any adult
	Hands    int           // how many people; 0 is one, or as many as By
	Children bool          // children may be taken too where Of names nobody
	LeastAge int           // of a child who does it; those named in By or Of are asked no age
	Help     bool          // children can help: who is about is named with the placement
	Need     Need
	Earliest time.Time     // not before; zero: any time
	Latest   time.Time     // done by then or not at all; zero: whenever
	Due      time.Time     // late after this day; zero: never late
	Cost     int           // of a day of waiting, in any unit that the jobs share; 0 is 1
	Part     time.Duration // the shortest piece worth beginning; 0: not to be split
	Pin      time.Time     // the start that a person set; zero: free
	Was      []Stand       // where its pieces stood in the plan before; none: it did not
	Moved    int           // how many times it moved on undone
}

// Stand is where a piece of a job stood.
type Stand struct {
	Span
	Who []string
}

// Plan is what Lay makes of a house and its jobs.
type Plan struct {
	Placed []Placement // by start, then job
	Left   []Left      // most pressing first
	Late   int         // the sum of Cost times days after Due
	Moves  int         // pieces that stand elsewhere than they did
	Exact  bool        // that no better plan exists was shown; else none was found
}

// Placement is a job, or a part of one, laid into a block.
type Placement struct {
	Job         string
	Part, Parts int    // 1 of 1 when it is whole
	Block       string // "" when it is pinned outside all
	Span
	Who     []string // who does it
	Helpers []string // children about who can help, youngest last; only where the job has Help
	Why     []Reason // why here: first what fixed it, then block by block why not earlier
}

// Left is a job that was not laid.
type Left struct {
	Job  string
	Lost bool     // its Latest falls within the days laid: this was its last chance
	Why  []Reason // block by block
	Give []Give   // what would make it fit with nothing else moved, smallest change first
}

// Cause is the kind of a Reason.
type Cause uint8

// The causes. The comment says what else of the Reason is set.
const (
	First     Cause = iota // it is the first place that suits
	Pinned                 // a person set the time
	Stayed                 // it stood here before
	CameFrom               // At: where it stood before
	Replaced               // At: it stands when it stood, but others do it
	LateBy                 // Days: after it was due
	Often                  // Times: it moved on at least OftenMoved times; ask what to do
	IfDry                  // it needs dry weather and nobody knows the weather
	Parted                 // Times: parts that it was split into
	Passed                 // Block, At: over before now
	TooEarly               // Block, At: before Earliest
	TooLate                // Block, At: past Latest
	TooShort               // Block, At: the block is shorter than the job
	NobodyIn               // Block, At: none of those who can do it is free in it for so long; People: those who would do
	About                  // Block, At: People: children who are not elsewhere
	KitchenIn              // Block, At: the kitchen is taken
	OvenIn                 // Block, At: the oven is taken
	Dark                   // Block, At: no daylight
	WetOut                 // Block, At: it is wet
	Together               // Block, At: each need is met at some time in it, but never all for so long
	TakenBy                // Block, At: Job: the most pressing of the jobs that take its place
	NoBlock                // there is no open block
)

// Reason says, in data, why a job is here or not there.
type Reason struct {
	Cause  Cause
	Block  string
	At     time.Time // start of Block, or a time as Cause says
	Job    string
	People []string
	Days   int
	Times  int
}

// Change is the kind of a Give.
type Change uint8

// The changes, smallest first. The comment says what else of the Give is set.
const (
	Split   Change = iota // Parts: do it in parts
	Ask                   // People: let these do it
	Slip                  // let it wait past Latest
	Sooner                // begin before Earliest
	Chance                // do it though it may be wet
	SendOut               // People: children who would have to be elsewhere, Kept: from when to when
	Open                  // Block: let work into this block
	Drop                  // Job: leave out this one, the least pressing that is enough
)

// Give is one change that would be enough for a job to fit where Span says.
type Give struct {
	Change Change
	Span   // where it would stand
	Block  string
	Job    string
	People []string
	Parts  int
	Kept   Span
}

// Window is a time for lye work.
type Window struct {
	Span            // the longest stretch that is safe, within one block
	Kept     Span   // Span with the margin: so long the children stay elsewhere
	Block    string // where the work is
	Who      []string
	Children []Whereabouts // where each child is when it begins
	Tell     []string      // everybody else: who must know that the room is closed
}

// Whereabouts is where a child is.
type Whereabouts struct {
	Child, Block, Place string // Block is "" for a child that is out
}
