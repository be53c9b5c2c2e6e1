package sowing

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"time"
)

// ErrFrosts is returned for frosts that do not bound one growing season.
var ErrFrosts = errors.New("the first frost must follow the last one within a year")

// Frosts are the dates of one growing season: the last frost of its spring and the
// first of its autumn, which lies in the next calendar year in the south.
type Frosts struct{ Last, First time.Time }

func (f Frosts) check() error {
	if f.Last.IsZero() || !f.First.After(f.Last) || between(f.Last, f.First) > 366 {
		return ErrFrosts
	}
	return nil
}

// StepKind is one kind of work on a crop.
type StepKind string

// The kinds.
const (
	Start   StepKind = "start indoors"
	PotUp   StepKind = "pot up"
	Harden  StepKind = "harden off"
	SetOut  StepKind = "set out"
	SowOut  StepKind = "sow outdoors"
	Harvest StepKind = "harvest"
	SowLast StepKind = "last sowing"
	Plant   StepKind = "plant" // cloves, tubers, slips
)

// Days of the common ways of working (common practice; hardening: extension pages).
const (
	HardenDays  = 10 // days of hardening before setting out
	HardenLeast = 7  // the fewest
	setOutDays  = 7  // the window of setting out
	primeDays   = 21 // the best part of the window for sowing outdoors
	cloveFirst  = 14 // cloves are planted so many days after the first frost
	cloveLast   = 35
	rootDays    = 56 // a perennial's seedling wants so long before the frost
	trayDays    = 10 // to come up, where the table does not know
)

// Step is one piece of work and its window, both ends inclusive.
type Step struct {
	Kind     StepKind
	From, To time.Time
	Why      string // what it is counted from, in a few words
}

// Plan returns the whole line of dates in time order. An Either crop has both ways,
// with a harvest for each. Errors wrap ErrCrop and ErrFrosts.
func Plan(c Crop, f Frosts) ([]Step, error) {
	if err := errors.Join(c.Check(), f.check()); err != nil {
		return nil, fmt.Errorf("plan: %w", err)
	}
	var steps []Step
	if c.Method != Direct {
		steps = append(steps, indoorSteps(c, f)...)
	}
	if c.Method != Indoor {
		steps = append(steps, outdoorSteps(c, f)...)
	}
	slices.SortStableFunc(steps, func(a, b Step) int {
		if d := a.From.Compare(b.From); d != 0 {
			return d
		}
		return a.To.Compare(b.To)
	})
	return steps, nil
}

func indoorSteps(c Crop, f Frosts) []Step {
	start := springStart(c, f)
	out := plannedOut(c, f)
	steps := []Step{{Start, start.from, start.to, span(c.StartMin.N, c.StartMax.N) + " weeks before the last frost"}}
	steps = append(steps, potSteps(c, start, out)...)
	early := followIndoors(c, f, start.from)
	late := followIndoors(c, f, start.to)
	return append(steps,
		Step{Harden, plus(out, -HardenDays), plus(out, -1), "the 10 days before setting out"},
		Step{outKind(c), out, plus(out, setOutDays), "from " + around(c.Transplant)},
		Step{Harvest, early.Early, late.Late, daysWhy(c, true)},
	)
}

// potSteps is empty for what resents moving and for what stands in an open flat.
func potSteps(c Crop, start window, out time.Time) []Step {
	if c.Resents() || c.seedless() || c.Family == "Amaryllidaceae" {
		return nil
	}
	up := trayDays
	if s, err := Emergence(c, c.OptSoil); err == nil {
		up = int(s.Days + 0.5)
	}
	w := window{plus(start.from, up+7), plus(start.to, up+14)}
	if last := plus(out, -HardenDays-1); w.to.After(last) {
		w.to = last
	}
	if w.to.Before(w.from) {
		return nil
	}
	return []Step{{PotUp, w.from, w.to, "when the first true leaves are open"}}
}

func outdoorSteps(c Crop, f Frosts) []Step {
	w := springSow(c, f)
	first, last := followOutdoors(c, f, w.from), followOutdoors(c, f, w.from)
	why := "from " + around(c.Direct)
	if c.afterFrost() {
		why = "2 to 5 weeks after the first frost"
		last = followOutdoors(c, f, w.to)
	}
	steps := []Step{
		{sowKind(c), w.from, w.to, why},
		{Harvest, first.Early, last.Late, daysWhy(c, false)},
	}
	if c.afterFrost() {
		return steps
	}
	if by := lastOutdoors(c, f.First); by.After(w.from) {
		steps = append(steps, Step{SowLast, by, by, lastWhy(c)})
	}
	return steps
}

func lastWhy(c Crop) string {
	if c.lasting() {
		return "8 weeks to root before the first frost"
	}
	return fmt.Sprintf("%d days, and more for the short days, before the first frost", c.MaturityMax)
}

// window is a stretch of days, both ends inclusive.
type window struct{ from, to time.Time }

func springStart(c Crop, f Frosts) window {
	return window{plus(f.Last, -c.StartMax.days()), plus(f.Last, -c.StartMin.days())}
}

func plannedOut(c Crop, f Frosts) time.Time { return plus(f.Last, c.Transplant.days()) }

// springSow is the window for sowing outdoors that follows the last frost.
func springSow(c Crop, f Frosts) window {
	if c.afterFrost() {
		return window{plus(f.First, cloveFirst), plus(f.First, cloveLast)}
	}
	from := plus(f.Last, c.Direct.days())
	to := plus(from, 7) // be the season ever so short
	if last := lastOutdoors(c, f.First); last.After(from) {
		to = last
	}
	if prime := plus(from, primeDays); !c.anytime() && to.After(prime) {
		to = prime
	}
	return window{from, to}
}

// anytime is true for what may be sown until its last sowing without being late.
func (c Crop) anytime() bool {
	_, again := Succession(c)
	return !c.ofSpring() && (c.Autumn || again)
}

// springCrops are those that heat or long days stop (common practice).
var springCrops = []string{
	"broad bean (fava)", "onion, bulb", "pea, edible-podded", "pea, shelling",
	"shallot (from seed)", "spinach", "sweet pea",
}

func (c Crop) ofSpring() bool { return slices.Contains(springCrops, c.Name) }

func outKind(c Crop) StepKind {
	if c.seedless() {
		return Plant
	}
	return SetOut
}

func sowKind(c Crop) StepKind {
	if c.seedless() {
		return Plant
	}
	return SowOut
}

func daysWhy(c Crop, indoors bool) string {
	days := span(float64(c.MaturityMin), float64(c.MaturityMax)) + " days"
	switch {
	case !indoors && c.FromTransplant:
		return fmt.Sprintf("%s, and %d more to the age of setting out, after sowing outdoors", days, c.age())
	case !indoors && c.seedless():
		return days + " after planting"
	case !indoors:
		return days + " after sowing outdoors"
	case c.FromTransplant && c.seedless():
		return days + " after planting"
	case c.FromTransplant:
		return days + " after setting out"
	case c.check() > 0:
		return fmt.Sprintf("%s after starting indoors, and %d for the move", days, c.check())
	}
	return days + " after starting indoors"
}

func around(w Weeks) string {
	switch {
	case w.N == 0:
		return "the last frost"
	case w.N < 0:
		return plural(-w.N, "week") + " before the last frost"
	}
	return plural(w.N, "week") + " after the last frost"
}

func plural(n float64, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return figure(n) + " " + what + "s"
}

func span(low, high float64) string {
	if low == high {
		return figure(low)
	}
	return figure(low) + " to " + figure(high)
}

func figure(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func plus(t time.Time, days int) time.Time { return t.AddDate(0, 0, days) }

// between is the days from a to b.
func between(a, b time.Time) int { return int(floorDay(b) - floorDay(a)) }

// floorDay numbers the UTC days.
func floorDay(t time.Time) int64 {
	s := t.Unix()
	if s < 0 {
		s -= 86399
	}
	return s / 86400
}
