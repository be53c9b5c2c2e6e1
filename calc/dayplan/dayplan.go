// Package dayplan counts the steps of a meal back from the time of serving, counts
// them forward again when the work began late, and says where two dishes get in each
// other's way. Times are passed in; lengths are time.Duration; temperatures are °C,
// masses kg. The figures stand in figures.csv, each with its source.
//
// The clock is only an estimate: meat, egg dishes and leftovers are done by their
// temperature inside.
package dayplan

import (
	"errors"
	"fmt"
	"math"
	"time"
)

// Errors of this package; the returned error wraps one of them and says what was wrong.
var (
	ErrStep  = errors.New("step of a meal")
	ErrPlan  = errors.New("plan of a meal")
	ErrInput = errors.New("figure for a meal")
)

// longest is the longest a single step may take: dry ageing and curing are not meals.
const longest = 30 * 24 * time.Hour

// Kind is what is done in a step.
type Kind uint8

// The kinds, in the usual order of work.
const (
	Thaw Kind = iota
	Soak
	Prep
	Preheat
	ComeUp
	Cook
	Turn
	Reheat
	Rest
	Carve
	Serve
)

var kinds = [...]string{"thaw", "soak", "prep", "preheat", "come up", "cook", "turn", "reheat", "rest", "carve", "serve"}

// String returns the word for the kind.
func (k Kind) String() string {
	if int(k) >= len(kinds) {
		return "unknown"
	}
	return kinds[k]
}

// Appliances that Clashes knows. An oven and a hob take several dishes at once; any
// other named appliance holds one.
const (
	Oven           = "oven"
	Hob            = "hob"
	SlowCooker     = "slow cooker"
	PressureCooker = "pressure cooker"
)

// Step is one step of the work on a dish.
type Step struct {
	Name             string
	Min, Likely, Max time.Duration // 0 <= Min <= Likely <= Max <= 30 days; the plan counts on Likely
	Uses             string        // Oven, Hob, SlowCooker, PressureCooker, another appliance, or ""
	TempC            float64       // of the oven, 0 when it does not matter
	Whole            bool          // leaves no room in the oven or on the hob for another dish
	Low              bool          // a slow cooker on low, that could be turned to high
	Attended         bool          // keeps the cook at it
	Kind             Kind
}

// Slot is a step with its times.
type Slot struct {
	Step       Step
	Start, End time.Time
	Latest     time.Time // start by this and it is ready at the serving time though every step from here on takes its longest; never after Start of BackFrom
}

// BackFrom lays the steps, given in order of work, so that each ends where the next
// begins and the last ends at serving. Steps whose lengths are not in order, or a
// temperature that is no oven's, are ErrStep; no steps at all are ErrPlan.
func BackFrom(serve time.Time, steps []Step) ([]Slot, error) {
	if len(steps) == 0 {
		return nil, fmt.Errorf("%w: no steps", ErrPlan)
	}
	slots := make([]Slot, len(steps))
	end, latest := serve, serve
	for i := len(steps) - 1; i >= 0; i-- {
		s := steps[i]
		if err := s.check(); err != nil {
			return nil, err
		}
		latest = latest.Add(-s.Max)
		slots[i] = Slot{Step: s, Start: end.Add(-s.Likely), End: end, Latest: latest}
		end = slots[i].Start
	}
	return slots, nil
}

// check refuses what cannot be a step.
func (s Step) check() error {
	if s.Min < 0 || s.Likely < s.Min || s.Max < s.Likely || s.Max > longest {
		return fmt.Errorf("%w: %q takes %v, %v, %v; want least, likely, most in that order, up to %v", ErrStep, s.Name, s.Min, s.Likely, s.Max, longest)
	}
	if !(s.TempC >= 0 && s.TempC <= 500) {
		return fmt.Errorf("%w: %q at %v °C; want 0 to 500", ErrStep, s.Name, s.TempC)
	}
	if int(s.Kind) >= len(kinds) {
		return fmt.Errorf("%w: %q is of no known kind", ErrStep, s.Name)
	}
	return nil
}

// Forward tells what becomes of a plan of BackFrom when, at now, its first done steps
// are finished and the next one begins: the new times of the steps that are left,
// when the dish is ready, and whether turning the steps that are on low to high (half
// the time) brings it back to its serving time. A step is not begun before the plan
// says. Latest stays as planned. A plan that is in time returns false. A number of
// steps that the plan does not have, or an empty plan, is ErrPlan.
func Forward(now time.Time, done int, slots []Slot) (left []Slot, ready time.Time, high bool, err error) {
	if done < 0 || done > len(slots) || len(slots) == 0 {
		return nil, time.Time{}, false, fmt.Errorf("%w: %d steps done of %d", ErrPlan, done, len(slots))
	}
	serve := slots[len(slots)-1].End
	left = forward(now, slots[done:])
	if len(left) == 0 {
		return nil, now, false, nil
	}
	ready = left[len(left)-1].End
	if !ready.After(serve) {
		return left, ready, false, nil
	}
	return left, ready, !readyOnHigh(now, slots[done:]).After(serve), nil
}

// forward lays slots from now on, none before its planned start.
func forward(now time.Time, slots []Slot) []Slot {
	out := make([]Slot, len(slots))
	for i, s := range slots {
		if s.Start.After(now) {
			now = s.Start
		}
		out[i] = Slot{Step: s.Step, Start: now, End: now.Add(s.Step.Likely), Latest: s.Latest}
		now = out[i].End
	}
	return out
}

// readyOnHigh is when slots begun now are ready with all that is on low on high.
func readyOnHigh(now time.Time, slots []Slot) time.Time {
	for _, s := range slots {
		if s.Step.Low {
			now = now.Add(s.Step.Likely / slowCookerRatio)
			continue
		}
		now = now.Add(s.Step.Likely)
	}
	return now
}

// Why is the reason of a clash.
type Why string

// The reasons.
const (
	Temperature Why = "two oven temperatures at once"
	Room        Why = "no room for both"
	Hands       Why = "both keep the cook at it"
)

// Clash is two steps that cannot both be done from From to To.
type Clash struct {
	A, B     Slot
	From, To time.Time
	Why      Why
}

// ovenSpreadC is how far two dishes' oven temperatures may lie apart, °C: 25 °F (13.9),
// the ordinary error of a domestic thermostat (common practice), rounded up for
// temperatures that are themselves rounded.
const ovenSpreadC = 14.0

// Clashes returns where two dishes get in each other's way: in one oven at
// temperatures more than 14 °C (25 °F) apart, in an appliance without room for both,
// or both in need of the one cook. In order of a, then of b.
func Clashes(a, b []Slot) []Clash {
	var out []Clash
	for _, x := range a {
		for _, y := range b {
			from, to := later(x.Start, y.Start), earlier(x.End, y.End)
			if !from.Before(to) {
				continue
			}
			for _, why := range reasons(x.Step, y.Step) {
				out = append(out, Clash{A: x, B: y, From: from, To: to, Why: why})
			}
		}
	}
	return out
}

// reasons are those for which two steps cannot go on at once.
func reasons(a, b Step) []Why {
	var out []Why
	if a.Uses != "" && a.Uses == b.Uses {
		if a.Uses == Oven && a.TempC > 0 && b.TempC > 0 && math.Abs(a.TempC-b.TempC) > ovenSpreadC {
			out = append(out, Temperature)
		}
		if a.Whole || b.Whole || (a.Uses != Oven && a.Uses != Hob) {
			out = append(out, Room)
		}
	}
	if a.Attended && b.Attended {
		out = append(out, Hands)
	}
	return out
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}
