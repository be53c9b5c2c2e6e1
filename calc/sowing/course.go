package sowing

import (
	"errors"
	"fmt"
	"time"
)

// ErrMethod is returned for a crop begun in a way that is not its own.
var ErrMethod = errors.New("the crop is not begun that way")

// Class says how well a harvest fits the season (common practice).
type Class uint8

// The classes.
const (
	Comfortable Class = iota // 14 days or more to spare
	Risky                    // 0 to 13
	QuickOnly                // only a quick variety ripens
	TooLong                  // none does
)

// String returns the class in a few words.
func (c Class) String() string {
	return word([]string{"comfortable", "risky", "only a quick variety", "too long"}, int(c))
}

const comfortable = 14 // days

// Course is what a sowing leads to.
type Course struct {
	Begin  time.Time
	SetOut time.Time // zero when sown where it grows
	Early  time.Time // first harvest by MaturityMin
	Late   time.Time // first harvest by MaturityMax

	// Limit is the first frost and its grace: 14 days for hardy, 7 for half-hardy, 0
	// for tender crops. For one cropped in later years it is that year's, less the 8
	// weeks that a seedling wants to root.
	Limit       time.Time
	Margin      int // days from Late to Limit
	MarginQuick int // days from Early to Limit
	Class       Class
	Age         int // days at setting out
}

// Follow counts seed sown on a day to its harvest, indoors or where it grows. Started
// indoors it is set out on the planned date, or when it has the least age for it;
// what is sown before its window gains nothing by it, and nothing is ripe before it is
// set out. Days to maturity count from setting out or from sowing; from sowing, a cucurbit that is moved loses 7 days, and
// a crop counted from setting out needs its usual age more when it is sown outdoors.
// Errors wrap ErrCrop, ErrFrosts and ErrMethod.
func Follow(c Crop, f Frosts, begin time.Time, indoors bool) (Course, error) {
	if err := errors.Join(c.Check(), f.check()); err != nil {
		return Course{}, fmt.Errorf("follow: %w", err)
	}
	if indoors && c.Method == Direct || !indoors && c.Method == Indoor {
		return Course{}, fmt.Errorf("%s: %w", c.Name, ErrMethod)
	}
	if indoors {
		return followIndoors(c, f, begin), nil
	}
	return followOutdoors(c, f, begin), nil
}

func followIndoors(c Crop, f Frosts, begin time.Time) Course {
	out := later(plannedOut(c, f), plus(begin, c.youngest()))
	from := plus(later(begin, springStart(c, f).from), c.check())
	if c.FromTransplant {
		from = out
	}
	return judged(c, f, Course{Begin: begin, SetOut: out, Age: between(begin, out)}, from)
}

func followOutdoors(c Crop, f Frosts, begin time.Time) Course {
	from := begin
	if c.FromTransplant {
		from = plus(begin, c.age())
	}
	return judged(c, f, Course{Begin: begin}, from)
}

// FollowSetOut counts a seedling of the usual age, set out on a day, to its harvest.
// Errors wrap ErrCrop, ErrFrosts and ErrMethod.
func FollowSetOut(c Crop, f Frosts, out time.Time) (Course, error) {
	if err := errors.Join(c.Check(), f.check()); err != nil {
		return Course{}, fmt.Errorf("follow: %w", err)
	}
	if c.Method == Direct {
		return Course{}, fmt.Errorf("%s: %w", c.Name, ErrMethod)
	}
	return followSetOut(c, f, out), nil
}

// followSetOut is the course of a seedling of the usual age set out on a day.
func followSetOut(c Crop, f Frosts, out time.Time) Course {
	begin := plus(out, -c.age())
	from := plus(begin, c.check())
	if c.FromTransplant {
		from = out
	}
	return judged(c, f, Course{Begin: begin, SetOut: out, Age: c.age()}, from)
}

// judged counts the days to maturity from a day and holds them against the frost.
func judged(c Crop, f Frosts, course Course, from time.Time) Course {
	course.Early = later(plus(from, c.MaturityMin), course.SetOut)
	course.Late = later(plus(from, c.MaturityMax), course.SetOut)
	course.Limit = limit(c, f, course.Begin)
	course.Margin = between(course.Late, course.Limit)
	course.MarginQuick = between(course.Early, course.Limit)
	if c.lasting() { // the year is a matter of the variety, the frost of this one
		course.MarginQuick = course.Margin
	}
	course.Class = classOf(course.Margin, course.MarginQuick)
	return course
}

func classOf(margin, quick int) Class {
	switch {
	case margin >= comfortable:
		return Comfortable
	case margin >= 0:
		return Risky
	case quick >= 0:
		return QuickOnly
	}
	return TooLong
}

func limit(c Crop, f Frosts, begin time.Time) time.Time {
	switch {
	case c.lasting():
		return plus(f.First.AddDate((c.MaturityMax+182)/365, 0, 0), -rootDays)
	case c.afterFrost() && !begin.Before(f.First):
		return plus(f.First.AddDate(1, 0, 0), grace(c))
	}
	return plus(f.First, grace(c))
}

// grace is the days that a crop goes on after the first frost (common practice).
func grace(c Crop) int {
	switch c.Hardiness {
	case Hardy:
		return 14
	case HalfHardy:
		return 7
	}
	return 0
}

// LongestDays returns the most days to maturity, 0 if none, with which seed sown on
// that day ripens and leaves so many days to spare. For one cropped in later years the
// days are those of its years. Errors as Follow.
func LongestDays(c Crop, f Frosts, begin time.Time, indoors bool, spare int) (int, error) {
	course, err := Follow(c, f, begin, indoors)
	if err != nil {
		return 0, err
	}
	if between(course.SetOut, course.Limit) < spare {
		return 0, nil
	}
	if !c.lasting() { // days so many that setting out does not hold up the harvest
		c.MaturityMin, c.MaturityMax = 359, 359
		course, err = Follow(c, f, begin, indoors)
	}
	return max(0, c.MaturityMax+course.Margin-spare), err
}

const (
	shortDays = 14 // growth is slower in the short days of autumn
	pickDays  = 14 // what the first frost kills must be picked before it
)

// LastSowingBy returns the last useful day for sowing: days to maturity, the slowing
// of the short days (sdf) and the time for picking before the first frost, plus the
// grace after it. All are days.
func LastSowingBy(days, sdf, pick, grace int, first time.Time) time.Time {
	return plus(first, grace-days-sdf-pick)
}

// LastSowing returns the last useful day for sowing outdoors, or for starting
// indoors a crop that is not sown outdoors, reckoned with its slow varieties.
// tenHours is the last day with ten hours of daylight, which bounds autumn crops; the
// zero time is ignored. What is planted after the first frost may be for 5 weeks, and
// a perennial until 8 weeks before it. Errors wrap ErrCrop and ErrFrosts.
func LastSowing(c Crop, f Frosts, tenHours time.Time) (time.Time, error) {
	if err := errors.Join(c.Check(), f.check()); err != nil {
		return time.Time{}, fmt.Errorf("last sowing: %w", err)
	}
	first := f.First
	if c.Autumn && !c.afterFrost() && !tenHours.IsZero() && tenHours.Before(first) {
		first = tenHours
	}
	if c.Method == Indoor {
		return lastIndoors(c, first), nil
	}
	return lastOutdoors(c, first), nil
}

func lastOutdoors(c Crop, first time.Time) time.Time {
	switch {
	case c.afterFrost():
		return plus(first, cloveLast)
	case c.lasting():
		return plus(first, -rootDays)
	case c.FromTransplant:
		return lastBy(c, c.MaturityMax+c.age(), first)
	}
	return lastBy(c, c.MaturityMax, first)
}

func lastIndoors(c Crop, first time.Time) time.Time {
	switch {
	case c.lasting():
		return plus(first, -rootDays-c.age())
	case c.FromTransplant:
		return lastBy(c, c.MaturityMax+c.age(), first)
	}
	return lastBy(c, c.MaturityMax+c.check(), first)
}

func lastBy(c Crop, days int, first time.Time) time.Time {
	pick := 0
	if c.Hardiness >= Tender {
		pick = pickDays
	}
	return LastSowingBy(days, shortDays, pick, grace(c), first)
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}
