// Package cure knows what a batch of cold-process soap needs after the pour,
// and when.
package cure

import "time"

// Step is one thing to do to a batch.
type Step string

// The steps in the order in which they come.
const (
	Unmould Step = "unmould"
	Cut     Step = "cut"
	Turn    Step = "turn"  // every week until ready
	Weigh   Step = "weigh" // every week until ready
	Check   Step = "check"
	Ready   Step = "ready"
	Paste   Step = "paste"  // of potassium soap: has all of it become soap
	Dilute  Step = "dilute" // the paste into water
)

// Day and week as elapsed time; the caller turns whole days into dates.
const (
	Day  = 24 * time.Hour
	Week = 7 * Day
)

// Due is when a step falls due, counted from the end of the step before it that
// is named in After (the pour when empty). Every step but the first two belongs
// to a day and not to a minute. Every is not zero for a step that repeats.
type Due struct {
	Step  Step
	After Step
	Wait  time.Duration
	Every time.Duration
	Times int // how often a repeating step falls due
	Daily bool
}

// Plan returns the steps of a batch. All waits are common practice: out of the
// mould after 18 to 48 h and cut then or soon after, turned weekly with air on
// all sides, used after four to six weeks.
func Plan() []Due {
	return []Due{
		{Step: Unmould, Wait: Day},
		{Step: Cut, After: Unmould, Wait: Day},
		{Step: Turn, After: Cut, Wait: Week, Every: Week, Times: 5, Daily: true},
		{Step: Weigh, After: Cut, Wait: Week, Every: Week, Times: 5, Daily: true},
		{Step: Check, Wait: 4 * Week, Daily: true},
		{Step: Ready, Wait: 6 * Week, Daily: true},
	}
}

// PastePlan returns the steps of a batch of potassium soap, which is cooked or
// left to become a paste and thinned with water. All waits are common practice:
// the paste is looked at after a day, thinned then, and rests for two weeks.
func PastePlan() []Due {
	return []Due{
		{Step: Paste, Wait: Day},
		{Step: Dilute, After: Paste, Wait: Day},
		{Step: Ready, After: Dilute, Wait: 2 * Week, Daily: true},
	}
}
