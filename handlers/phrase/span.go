package phrase

import (
	"math/big"
	"time"

	"yardbell/calc/measure"
)

// Kind is what a span means.
type Kind uint8

// The kinds of span.
const (
	KindNumber   Kind = iota + 1 // *big.Rat
	KindQuantity                 // Quantity
	KindShare                    // *big.Rat, as a fraction of one
	KindRatio                    // Ratio
	KindDate                     // Date
	KindClock                    // Clock
	KindPart                     // Part
	KindDuration                 // time.Duration
	KindAfter                    // time.Duration from now, negative for "ago"
	KindRule                     // Rule
	KindTimes                    // int: "5 times"
	KindUntil                    // Date
	KindThing                    // Thing
	KindTerm                     // Term
	KindDays                     // DateSpan
	KindClocks                   // []Clock, two or more
	KindAgain                    // Again
	KindToClock                  // Clock: "to 8"
	KindExcept                   // []time.Weekday: "except sundays"
	KindBad                      // string: a date or time that cannot be, and why
)

// Span is a stretch of the line and one reading of it.
type Span struct {
	Kind        Kind
	First, Past int // tokens [First, Past)
	Start, End  int // bytes in the text
	Text        string
	Value       any
	Near        bool // read with a slip forgiven
}

// Quantity is an amount with its unit. Top is not nil for a range such as 2-3 g.
// Joined means that it was put together from two: 2 lb 10 oz.
type Quantity struct {
	measure.Quantity
	Top    *big.Rat
	Joined bool
}

// Ratio is "2:1" or "2 to 1".
type Ratio struct{ Left, Right *big.Rat }

// Date is a day, read towards the future and towards the past. The two are the
// same when the year was given or the day is counted from today.
type Date struct{ Next, Last time.Time }

// Clock is a wall-clock time. Open means that morning or afternoon was not
// said: the hour is then 1 to 12.
type Clock struct {
	Hour, Minute int
	Open         bool
}

// Part is a part of the day with the hour it stands for when no other is given.
// Fixed means that the day was said with it: this morning, tonight, last night.
type Part struct {
	Name  string
	Hour  int
	PM    bool
	Fixed bool
	Days  int // from today, when fixed
}

// Thing is "batch 3" or "#3"; the noun may be empty.
type Thing struct {
	Noun string
	N    int
}

// Rule is a recurrence in the terms of RFC 5545.
type Rule struct {
	Freq      string // DAILY, WEEKLY, MONTHLY, YEARLY, HOURLY, MINUTELY
	Interval  int
	Days      []time.Weekday
	Nth       int // -1 for "last friday monthly"
	MonthDays []int
	PerDay    int     // "twice a day" wants two times
	Hours     []Clock // "every 2 hours from 8 to 18": the first and the last
}

// Again is how often a ring is to be said again: times after a wait each, never,
// or with no times in the rounds only.
type Again struct {
	Wait  time.Duration
	Times int
	Never bool
}

// Context is what a reading depends on besides the text.
type Context struct {
	Now      time.Time // wall time
	DayFirst bool      // 6/7 is 6 July
	US       bool      // plain pints and gallons are US ones, plain degrees Fahrenheit
}
