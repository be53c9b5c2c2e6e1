package flock

import (
	"cmp"
	_ "embed"
	"fmt"
	"slices"
)

// Season is what is known of the light and the flock on the day judged. The zero
// value knows nothing and explains nothing.
type Season struct {
	Light       float64 // hours of light the hens get, lamps included, 0 to 24; 0 is not known
	LightBefore float64 // three weeks before; 0 is not known
	Weeks       int     // age of the flock; 0 is not known
	Moulting    bool    // feathers were seen to fall
	AirC        float64 // warmest of the last days, °C; 0 is not known
}

const lightDays = 21.0 // from LightBefore to Light

func (s Season) check() error {
	ok := s.Light >= 0 && s.Light <= 24 && s.LightBefore >= 0 && s.LightBefore <= 24 &&
		s.Weeks >= 0 && s.Weeks <= 1500 && s.AirC >= -90 && s.AirC <= 60
	if !ok {
		return fmt.Errorf("%w: a season of %g h and %g h of light, %d weeks of age, %g °C", ErrDays, s.Light, s.LightBefore, s.Weeks, s.AirC)
	}
	return nil
}

// Light by which laying sags: under shortDay always, under longDay when the days grow
// shorter by losing or more in three weeks. US extension (from memory): 14 to 16 h hold
// lay, under about 12 it sags in the next two to four weeks.
const (
	shortDay = 12.0
	longDay  = 14.0
	losing   = 0.5
)

// moultWeeks is the age from which hens moult as days shorten: 15 to 18 months
// (Hermes, Oregon State University Extension, quoted).
const moultWeeks = 60

// ShortDays tells whether the light explains a slow decline.
func (s Season) ShortDays() bool {
	if s.Light == 0 {
		return false
	}
	return s.Light < shortDay || s.Light < longDay && s.LightBefore-s.Light >= losing
}

// Moult tells whether a moult explains one: seen, or of an age for it in shortening days.
func (s Season) Moult() bool {
	return s.Moulting || s.Weeks >= moultWeeks && s.Light > 0 && s.Light < s.LightBefore && s.Light < longDay
}

// back is the season that many days before, the light moving on as it did in three weeks.
func (s Season) back(days int) Season {
	if s.Light > 0 && s.LightBefore > 0 {
		move := (s.LightBefore - s.Light) / lightDays
		s.Light = min(max(s.Light+move*float64(days), 0.1), 24)
		s.LightBefore = s.Light + move*lightDays
	}
	s.Weeks = max(s.Weeks-days/7, 0)
	return s
}

// seasonal tells whether the season explains a slow decline on a day.
func (w *watch) seasonal(day int) bool {
	s := w.season.back(w.last - day)
	return s.ShortDays() || s.Moult()
}

// The course of the days before, for a season that explains a decline.
const (
	courseDays = 14
	courseMin  = 7
	steepest   = 0.04 // of the rate a day: a whole flock in moult stops in about three weeks
	offChance  = 0.01
)

// A moult that was seen may take the flock at a run: from its last days on, a step of so
// much of the rate a day is its course and no sudden drop.
const (
	moultStep = 0.09
	moultDays = 5
)

// fastest is the steepest course on which a flock in moult may go on from the last counts.
func fastest(before []count) line {
	last := before[max(len(before)-moultDays, 0):]
	l, now := lineOf(last), float64(last[len(last)-1].day)
	l.slope = min(max(l.slope, -moultStep), 0)
	l.rate, l.mean, l.slope = max(l.at(now), 0), now-l.first, -moultStep
	return l
}

// offCourse tells whether the last n counts are low also against the course of those
// before them. Without enough of them there is no course, and they are.
func (w *watch) offCourse(n int, u usual) bool {
	end := max(len(w.counts)-n, 0)
	before := w.usable(end, courseDays)
	if len(before) < courseMin {
		return true
	}
	l := lineOf(before)
	switch {
	case !w.season.Moulting:
		l.slope = min(max(l.slope, -steepest), 0)
	default:
		l = fastest(before)
		if now := w.counts[len(w.counts)-1]; n == 1 && now.eggs == 0 { // a moult takes steps: none at all after some is no step
			return Tail(now.henDays, 0, l.rate) <= offChance
		}
	}
	eggs, henDays, mean, day := 0, 0, 0.0, 0.0
	for _, c := range w.counts[end:] {
		eggs += c.eggs
		henDays += c.henDays
		mean += float64(c.henDays) * min(max(l.at(float64(c.day)), 0), u.rate)
		day += float64(c.henDays) * float64(c.day)
	}
	course := usual{rate: mean / float64(henDays)}
	course.spread = u.spread * (1 + float64(henDays)*l.doubt(day/float64(henDays)))
	return course.chance(henDays, eggs) <= offChance
}

// Cause is a usual cause of a drop and what to look at.
type Cause struct {
	Name   string
	Look   string // what to look at, a sentence
	Source string
	Mark   string

	sudden, slow int // its place among the causes of a sudden and a slow drop
}

//go:embed causes.csv
var causesCSV string

var causes = load("causes.csv", &causesCSV, func(r record) (Cause, error) {
	n, err := r.wholes("sudden", "slow")
	if err != nil {
		return Cause{}, err
	}
	return Cause{Name: r["name"], Look: r["look"], Source: r["source"], Mark: r["mark"], sudden: n[0], slow: n[1]}, nil
})

// hotC is the air above which hens lay less, 90 °F.
const hotC = 32.2

// Causes are the usual causes of a drop in laying, the likely ones first. What the
// season explains leads for a slow drop; for a sudden one it never does, except heat,
// which acts in a day.
func (s Season) Causes(sudden bool) []Cause {
	out := slices.Clone(causes())
	slices.SortStableFunc(out, func(a, b Cause) int { return cmp.Compare(s.place(a, sudden), s.place(b, sudden)) })
	return out
}

func (s Season) place(c Cause, sudden bool) int {
	const first = -100
	switch {
	case c.Name == "heat" && s.AirC > hotC:
		return first
	case sudden:
		return c.sudden
	case c.Name == "moult" && s.Moulting:
		return first + c.slow - 10
	case c.Name == "moult" && s.Moult(), c.Name == "short days" && s.ShortDays(), c.Name == "age" && s.Weeks >= oldWeeks:
		return first + c.slow
	}
	return c.slow
}

// oldWeeks is the age from which a hybrid lays noticeably less (the curve by age).
const oldWeeks = 72

// VetToday goes before every list of causes when birds are ill.
const VetToday = "If birds are dull, cough, gasp or die, call the vet today."
