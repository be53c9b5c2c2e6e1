package flock

import (
	"fmt"
	"slices"
)

// State is what a day's judgement comes to.
type State string

// The states.
const (
	NoCount State = "no count" // the day has no count, or no hens
	Learn   State = "learning" // fewer than Least days to compare with
	Uneven  State = "uneven"   // too uneven to judge: look at when eggs are collected
	Steady  State = "steady"   // within the limits
	Slide   State = "slide"    // slowly down, as the season explains: no alarm
	Drop    State = "drop"     // below a limit: look into it
)

// Test is one of the three tests of a drop.
type Test string

// The tests, in the order in which they are named.
const (
	ByDay       Test = "day"        // the count against the exact binomial limit
	ByThreeDays Test = "three days" // the last three counts together, which a late collection does not upset
	BySmoothed  Test = "smoothed"   // the smoothed mean, for slow slides
)

// How the days are looked at.
const (
	Least      = 14  // counts that a usual rate needs
	FalseAYear = 4   // drops rung in a year with nothing wrong, at most, on average
	Quiet      = 7   // days for which a drop once rung stays quiet
	TooUneven  = 2.5 // spread in binomial variances above which single days are not judged

	most     = 28 // counts the usual rate is taken from
	reach    = 56 // days back that they may lie
	recent   = 7  // counts at the end that are judged and not part of it
	newUsual = 21 // counts below the limit in a row that are what is usual now
	weight   = 0.2
	sigmas   = 3
)

// Verdict is the judgement of the last day.
type Verdict struct {
	State State
	Ring  bool   // say it now: a drop not rung before, or again after Quiet days
	Fired []Test // the tests below their limit
	Short int    // counts still missing to Least

	Hens, Eggs int     // of the count judged; Hens is hen-days where it covers several days
	Usual      float64 // usual hen-day rate, 0 to 1
	Days       int     // counts that Usual is taken from
	Spread     float64 // their variance in binomial variances, 1 or more
	Expected   float64 // eggs of these hens at the usual rate
	Limit      int     // the count at or below which ByDay fires; -1: no count does
	Chance     float64 // of so few eggs or fewer when nothing is wrong

	Sum, SumLimit int     // eggs of the last three counts and their limit, -1 as in Limit
	SumExpected   float64 // eggs of the three at the usual rate

	Smoothed, SmoothedLimit float64 // smoothed mean and its limit, in eggs of these hens

	TooMany bool // more eggs than hens: eggs of other days, or a wrong number of hens

	Causes []Cause // the usual causes, likely ones first, for Drop and Slide
}

// Judge judges the last day by the days before it. Days follow one another, the
// oldest first, none left out; a day that nobody counted is there as not Counted. The
// more of them the better: give at least 90 where there are as many.
//
// The usual rate comes from the 14 to 28 counts before the last seven (before fewer,
// while there are not so many), those flagged as a drop left out. Three tests are held
// against it, each for the hens of that day: the exact day test and three-day sum at a
// chance of OneIn, and the smoothed mean at three standard deviations. Where the counts
// scatter more than hens that lay by themselves would, the limits move out. A drop is
// rung once and then is quiet until a day is back inside, or for Quiet days; a day without
// any egg after one within its limit rings in any case. After three weeks below, the low
// rate is the usual one.
//
// With nothing wrong, 6 to 50 hens laying 60 to 85 % ring two to three times a year, at
// most FalseAYear (half as often again where good and bad days move all hens by 15 %).
// Of 12 hens at 75 % a loss of half the eggs rings on the second day on average, of three
// in ten on the fourth (TestFalseAlarms, TestDelay).
//
// A season that explains a slow decline makes one a Slide, which does not ring. It does
// not excuse a sudden drop: what is low against the course of the fortnight before rings
// too. In a fast moult of a few hens the counts cannot tell the two apart, and such a
// drop stays a Slide (TestSeason).
//
// It returns ErrDays for days that cannot be, among them none at all.
func Judge(days []Day, season Season) (Verdict, error) {
	course, err := Course(days, season)
	if err != nil {
		return Verdict{}, err
	}
	if len(course) == 0 {
		return Verdict{}, fmt.Errorf("%w: none", ErrDays)
	}
	return course[len(course)-1], nil
}

// Course is the judgement of each of the days by those before it, for a picture or a
// table of the weeks. The season is that of the last day; for those before it the light
// is taken to have moved on evenly, as it did in the last three weeks.
func Course(days []Day, season Season) ([]Verdict, error) {
	if err := check(days); err != nil {
		return nil, err
	}
	if err := season.check(); err != nil {
		return nil, err
	}
	out := make([]Verdict, len(days))
	for i, d := range days {
		out[i] = Verdict{State: NoCount, Hens: d.Hens, Limit: -1, SumLimit: -1}
	}
	w := watch{season: season, last: len(days) - 1}
	for _, c := range counts(days) {
		out[c.day] = w.next(c)
	}
	return out, nil
}

// Sudden tells whether a day or three days were low, not only the smoothed mean.
func (v Verdict) Sudden() bool {
	return slices.Contains(v.Fired, ByDay) || slices.Contains(v.Fired, ByThreeDays)
}

// watch goes through the counts and remembers what was flagged and rung.
type watch struct {
	season Season
	last   int // the day that season is of

	counts  []count
	flagged []bool
	from    int // the first count that a usual rate may come from
	low     int // counts flagged in a row

	rung, rungSudden int // the day after the one last rung, 0 when none

	recovered bool // the count before was within its own day's limit
}

func (w *watch) next(c count) Verdict {
	w.counts = append(w.counts, c)
	v := w.judge()
	w.flagged = append(w.flagged, v.State == Drop)
	w.ring(&v, c.day+1)
	w.settle(v)
	w.recovered = v.Eggs > v.Limit
	return v
}

// ring rings a drop unless it was rung and is not over. A sudden one is rung also when
// only a slow one was.
func (w *watch) ring(v *Verdict, day int) {
	switch {
	case v.State == Steady:
		w.rung, w.rungSudden = 0, 0
		return
	case v.State != Drop:
		return
	}
	before := w.rung
	if v.Sudden() {
		before = w.rungSudden
	}
	none := v.Eggs == 0 && w.recovered
	if before > 0 && day-before < Quiet && !none {
		return
	}
	v.Ring, w.rung = true, day
	if v.Sudden() {
		w.rungSudden = day
	}
}

// settle takes the low rate for the usual one when it has lasted.
func (w *watch) settle(v Verdict) {
	if v.State != Drop {
		w.low = 0
		return
	}
	if w.low++; w.low == newUsual {
		w.from, w.low = len(w.counts)-newUsual, 0
		for i := w.from; i < len(w.flagged); i++ {
			w.flagged[i] = false
		}
	}
}

// usual returns the usual rate for the newest count, and the place of the first one
// that is not part of it.
func (w *watch) usual() (usual, int) {
	now := len(w.counts) - 1
	split := max(now-recent+1, 0)
	before := w.usable(split, most)
	for ; len(before) < Least && split < now; split++ {
		before = w.usable(split+1, most)
	}
	return usualOf(before), split
}

// usable are the last counts before a place that tell what is usual, at most so many.
func (w *watch) usable(end, most int) []count {
	out := make([]count, 0, most)
	for i := end - 1; i >= w.from && len(out) < most; i-- {
		c := w.counts[i]
		if !c.loose && !w.flagged[i] && c.day >= w.counts[len(w.counts)-1].day-reach {
			out = append(out, c)
		}
	}
	slices.Reverse(out)
	return out
}

func (w *watch) judge() Verdict {
	now := w.counts[len(w.counts)-1]
	u, split := w.usual()
	v := Verdict{
		State: Learn, Hens: now.henDays, Eggs: now.eggs, Usual: u.rate, Days: u.days, Spread: u.spread,
		Limit: -1, SumLimit: -1, Short: max(Least-u.days, 0),
		TooMany: now.eggs > now.henDays,
	}
	if v.Short > 0 {
		return v
	}
	v.measure(u, w.counts, split)
	v.Fired = w.fired(v, u)
	switch {
	case v.Sudden() || len(v.Fired) > 0 && !w.seasonal(now.day):
		v.State = Drop
	case len(v.Fired) > 0:
		v.State = Slide
	case u.spread > TooUneven:
		v.State = Uneven
	default:
		v.State = Steady
	}
	if len(v.Fired) > 0 {
		v.Causes = w.season.back(w.last - now.day).Causes(v.Sudden())
	}
	return v
}

// measure fills in the counts and their limits.
func (v *Verdict) measure(u usual, cs []count, split int) {
	n := float64(v.Hens)
	v.Expected, v.Limit, v.Chance = n*u.rate, u.limit(v.Hens), u.chance(v.Hens, v.Eggs)
	z, lower := u.smoothed(cs[split:])
	v.Smoothed, v.SmoothedLimit = n*z, n*lower
	three, henDays := lastThree(cs)
	v.Sum, v.SumLimit, v.SumExpected = three, u.limit(henDays), float64(henDays)*u.rate
}

// lastThree are the eggs and hen-days of the last three counts. What a count holds
// beyond an egg a hen after a gap is of the days not counted.
func lastThree(cs []count) (eggs, henDays int) {
	for _, c := range cs[max(len(cs)-3, 0):] {
		if c.loose {
			c.eggs = min(c.eggs, c.henDays)
		}
		eggs += c.eggs
		henDays += c.henDays
	}
	return eggs, henDays
}

// fired are the tests that a count fails. In a season that explains a decline, a low
// day or three low days have to be low against the course of the days before them too;
// else they are part of the slide.
func (w *watch) fired(v Verdict, u usual) []Test {
	uneven := u.spread > TooUneven
	day := !uneven && v.Eggs <= v.Limit
	three := v.Sum <= v.SumLimit
	slide := !uneven && v.Smoothed < v.SmoothedLimit
	if now := w.counts[len(w.counts)-1]; (day || three) && w.seasonal(now.day) {
		slide = true
		day = day && w.offCourse(1, u)
		three = three && w.offCourse(3, u)
	}
	var out []Test
	for _, t := range []struct {
		test  Test
		fired bool
	}{{ByDay, day}, {ByThreeDays, three}, {BySmoothed, slide}} {
		if t.fired {
			out = append(out, t.test)
		}
	}
	return out
}
