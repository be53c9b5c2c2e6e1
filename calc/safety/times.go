package safety

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"
)

// Temperatures of the rules in °C, exact conversions of the sources' °F.
const (
	HoldHotC   = (140.0 - 32) * 5 / 9 // hot food is held at this or above
	HoldColdC  = (40.0 - 32) * 5 / 9  // the refrigerator is at this or below
	FreezerC   = (0.0 - 32) * 5 / 9
	ReheatC    = (165.0 - 32) * 5 / 9
	HotAirC    = (90.0 - 32) * 5 / 9 // above it, food may stay out 1 h instead of 2
	coolFromC  = (135.0 - 32) * 5 / 9
	coolStage1 = (70.0 - 32) * 5 / 9
	coolStage2 = (41.0 - 32) * 5 / 9

	stage1By = 2 * time.Hour
	stage2By = 6 * time.Hour

	readingSlack = 1e-9 // °C, for what was converted from °F
)

// Figure is a stated limit: a temperature and, where it has one, the time for it.
type Figure struct {
	Name   string
	C, F   float64
	Within time.Duration // 0 when the figure has no time
	Text   string
	Source string
	Mark   string
}

var figures = load("figures.csv", &figuresCSV, func(r record) (Figure, error) {
	n, err := r.wholes("f", "minutes")
	if err != nil {
		return Figure{}, err
	}
	return Figure{
		Name: r["name"], F: float64(n[0]), C: celsius(float64(n[0])), Within: time.Duration(n[1]) * time.Minute,
		Text: r["text"], Source: r["source"], Mark: r["mark"],
	}, nil
})

// Figures returns the stated limits of holding, reheating and cooling in file order.
func Figures() []Figure { return slices.Clone(figures()) }

// HoldHot is the least temperature at which hot food is held: 60 °C.
func HoldHot() Figure { return figure("hold hot") }

// HoldCold is the highest temperature of a refrigerator: 4.4 °C.
func HoldCold() Figure { return figure("hold cold") }

// Reheat is the temperature that leftovers must reach, and within which time: 73.9 °C
// in 2 h.
func Reheat() Figure { return figure("reheat") }

// CoolingDue returns the limits of the two stages of cooling, for bells, counted from
// the food passing 57.2 °C (135 °F) on its way down.
func CoolingDue() [2]Figure {
	return [2]Figure{figure("cooling stage 1"), figure("cooling stage 2")}
}

func figure(name string) Figure {
	i := slices.IndexFunc(figures(), func(f Figure) bool { return f.Name == name })
	return figures()[i]
}

// Action is what to do with a food.
type Action string

// The actions, mildest first.
const (
	Ready      Action = "it is cold: done"
	SoFar      Action = "so far within the limits"
	ReheatOnce Action = "reheat to 73.9 °C (165 °F) now and start cooling again, once only; otherwise discard it"
	Discard    Action = "discard it"
)

// Verdict is what the rules say of a food. It is never milder than the readings prove.
type Verdict struct {
	OK    bool          // within the limits as far as the readings go
	Stage int           // of cooling: 1 and 2, 3 when done; 0 where there are no stages
	By    time.Duration // the limit now in force, on the clock of what was passed in; 0 when there is none left
	Do    Action
}

// Reading is a thermometer reading in a cooling food.
type Reading struct {
	After time.Duration // since the food came off the heat, not negative
	C     float64       // in its middle, °C
}

// Cooling judges a log of readings, in any order, by the two-stage rule: from 57.2 °C
// (135 °F) to 21.1 °C (70 °F) in 2 h, to 5 °C (41 °F) in 6 h in all (FDA Food Code
// 3-501.14, read in a state's copy). The clock starts at the last reading of 57.2 °C or
// above before the food fell below it, at 0 when there is none. A stage counts as
// reached only when the last reading within its time shows it: nothing is read between
// readings. A stage 1 that is missed at its 2 h mark may be mended once by reheating to
// 73.9 °C, no later than that mark, and the clock starts again (regulators' guidance,
// from memory); anything else past a limit is Discard. No readings, negative times and
// temperatures that are not finite or outside -60 to 150 °C are ErrReading.
func Cooling(log []Reading) (Verdict, error) {
	log, err := inOrder(log)
	if err != nil {
		return Verdict{}, err
	}
	start, rest := hotEnd(log)
	reheated := false
	for i := 0; i < len(rest); i++ {
		r := rest[i]
		if r.C < ReheatC-readingSlack {
			continue
		}
		if reheated || r.After-start > stage1By {
			return Verdict{Stage: 1, Do: Discard}, nil
		}
		reheated = true
		from, tail := hotEnd(rest[i:])
		start, rest, i = from, tail, -1
	}
	return judge(rest, start, log[len(log)-1], reheated), nil
}

// inOrder checks the readings and sorts a copy by time, the warmest of one moment last.
func inOrder(log []Reading) ([]Reading, error) {
	if len(log) == 0 {
		return nil, fmt.Errorf("%w: none", ErrReading)
	}
	for _, r := range log {
		if r.After < 0 || !(r.C >= -60 && r.C <= 150) {
			return nil, fmt.Errorf("%w: %v °C after %v; want -60 to 150 °C and a time that is not negative", ErrReading, r.C, r.After)
		}
	}
	log = slices.Clone(log)
	slices.SortStableFunc(log, func(a, b Reading) int {
		return cmp.Or(cmp.Compare(a.After, b.After), cmp.Compare(a.C, b.C))
	})
	return log, nil
}

// hotEnd returns the time of the last reading of the hot run at the head of the log,
// and what follows it; 0 and all of the log when it does not begin hot.
func hotEnd(log []Reading) (time.Duration, []Reading) {
	n := 0
	for n < len(log) && log[n].C >= coolFromC-readingSlack {
		n++
	}
	if n == 0 {
		return 0, log
	}
	return log[n-1].After, log[n:]
}

// judge applies the two stages to the readings that follow start.
func judge(rest []Reading, start time.Duration, last Reading, reheated bool) Verdict {
	now := last.After - start
	one := reached(rest, start, stage1By, coolStage1)
	switch {
	case !one && now < stage1By:
		return Verdict{OK: true, Stage: 1, By: start + stage1By, Do: SoFar}
	case !one && now == stage1By && !reheated:
		return Verdict{Stage: 1, By: start + stage1By, Do: ReheatOnce}
	case !one, warmAfter(rest, start, stage1By, coolStage1):
		return Verdict{Stage: 1, Do: Discard}
	}
	two := reached(rest, start, stage2By, coolStage2)
	switch {
	case !two && now < stage2By:
		return Verdict{OK: true, Stage: 2, By: start + stage2By, Do: SoFar}
	case !two, warmAfter(rest, start, stage2By, coolStage2):
		return Verdict{Stage: 2, Do: Discard}
	}
	return Verdict{OK: true, Stage: 3, Do: Ready}
}

// reached tells whether the last reading within the limit is cold enough.
func reached(rest []Reading, start, limit time.Duration, c float64) bool {
	ok := false
	for _, r := range rest {
		if r.After-start <= limit {
			ok = r.C <= c+readingSlack
		}
	}
	return ok
}

// warmAfter tells whether a reading past the limit is warmer than it.
func warmAfter(rest []Reading, start, limit time.Duration, c float64) bool {
	return slices.ContainsFunc(rest, func(r Reading) bool {
		return r.After-start > limit && r.C > c+readingSlack
	})
}

// TwoHours is how long food that spoils may be out of the cold or the heat in all: 2 h,
// and 1 h when the air is above 32.2 °C (90 °F) or its temperature is not a number
// (FSIS, verified copy).
func TwoHours(airC float64) time.Duration {
	if !finite(airC) || airC > HotAirC+readingSlack {
		return time.Hour
	}
	return 2 * time.Hour
}

// OutOfFridge judges food that was out of the refrigerator for those spells, in air as
// warm as the warmest of them. The spells add up: chilling between them gives no time
// back. By is the limit for all of them together. An air temperature that is not
// finite or outside -60 to 60 °C is ErrReading, a negative spell ErrTime.
func OutOfFridge(airC float64, spells ...time.Duration) (Verdict, error) {
	if !(airC >= -60 && airC <= 60) {
		return Verdict{}, fmt.Errorf("%w: air at %v °C", ErrReading, airC)
	}
	var total time.Duration
	for _, s := range spells {
		if s < 0 {
			return Verdict{}, fmt.Errorf("%w: out for %v", ErrTime, s)
		}
		total += min(s, math.MaxInt64-total)
	}
	limit := TwoHours(airC)
	if total > limit {
		return Verdict{By: limit, Do: Discard}, nil
	}
	return Verdict{OK: true, By: limit, Do: SoFar}, nil
}
