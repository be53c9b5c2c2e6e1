package growth

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"
)

// Errors of growth.
var (
	ErrWeighing = errors.New("weighing")
	ErrTooFew   = errors.New("too few weighings: want two, on different days")
	ErrNoGain   = errors.New("no gain between the weighings")
	ErrTarget   = errors.New("target weight")
)

// How far off a weighing is, as a share of the weight (one standard deviation).
const (
	TapeError  = TapeBand / 2 // by girth: within 10 % in nineteen of twenty
	ScaleError = 0.01         // on a scale: gut fill alone is some per cent
)

// Weighing is one weight of one animal.
type Weighing struct {
	Day   time.Time // midnight UTC
	KG    float64
	Error float64 // share of KG: TapeError, ScaleError; 0 counts as ScaleError
}

func (w Weighing) check() error {
	if w.Day.IsZero() || !(w.KG > 0 && w.KG <= 3000) || !(w.Error >= 0 && w.Error <= 0.5) {
		return fmt.Errorf("%w: %.1f kg; want a day and 0 to 3000 kg", ErrWeighing, w.KG)
	}
	return nil
}

// DailyGain returns the kg a day between two weighings, in any order; negative for a
// loss. The error wraps ErrWeighing or ErrTooFew.
func DailyGain(a, b Weighing) (float64, error) {
	if err := errors.Join(a.check(), b.check()); err != nil {
		return 0, err
	}
	d := days(a.Day, b.Day)
	if d == 0 {
		return 0, ErrTooFew
	}
	return (b.KG - a.KG) / d, nil
}

// Forecast is when a weight is reached if growth goes on as it has.
type Forecast struct {
	Gain     float64 // kg a day
	GainBand Range   // kg a day, nineteen times in twenty
	Day      time.Time
	Early    time.Time
	Late     time.Time // zero when it may never be reached at the low end
	Reached  bool      // the last weighing is at the target or above: Day is its day
	Far      bool      // further ahead than what was watched: growth bends, weigh again
}

// Reach returns when an animal comes to a target weight in kg: the straight line of
// least squares through its weighings, the band from the greater of the error of
// weighing and the scatter about the line, at two standard deviations. Growth is
// straight only for a while: weigh again, and leave the first weeks out. Errors wrap
// ErrWeighing, ErrTooFew, ErrTarget and ErrNoGain.
func Reach(weighings []Weighing, target float64) (Forecast, error) {
	if !(target > 0 && target <= 3000) {
		return Forecast{}, fmt.Errorf("%w: want 0 to 3000 kg", ErrTarget)
	}
	l, err := fit(weighings)
	if err != nil {
		return Forecast{}, err
	}
	last := slices.MaxFunc(weighings, func(a, b Weighing) int { return a.Day.Compare(b.Day) })
	f := Forecast{Gain: l.slope, GainBand: Range{l.slope - l.slopeError(), l.slope + l.slopeError()}}
	if last.KG >= target {
		f.Reached, f.Day, f.Early, f.Late = true, last.Day, last.Day, last.Day
		return f, nil
	}
	if l.slope <= 0 {
		return f, ErrNoGain
	}
	early, late, ends := l.band(target)
	f.Day = later(l.day(l.meanDay+(target-l.meanKG)/l.slope), last.Day)
	f.Early = later(l.day(early), last.Day)
	if ends {
		f.Late = later(l.day(late), f.Day)
	}
	f.Far = days(last.Day, f.Day) > days(l.origin, last.Day)
	return f, nil
}

// line is a straight line through weighings, its days counted from the first.
type line struct {
	origin          time.Time
	n               float64
	meanDay, meanKG float64
	slope           float64 // kg a day
	spread          float64 // sum of squares of the days about their mean
	sigma           float64 // kg, of one weighing
}

const deviations = 2 // of the band

func fit(ws []Weighing) (line, error) {
	if len(ws) < 2 {
		return line{}, ErrTooFew
	}
	l := line{n: float64(len(ws)), origin: slices.MinFunc(ws, func(a, b Weighing) int { return a.Day.Compare(b.Day) }).Day}
	for _, w := range ws {
		if err := w.check(); err != nil {
			return line{}, err
		}
		l.meanDay += days(l.origin, w.Day) / l.n
		l.meanKG += w.KG / l.n
	}
	var along, stated float64
	for _, w := range ws {
		d := days(l.origin, w.Day) - l.meanDay
		l.spread += d * d
		along += d * (w.KG - l.meanKG)
		stated += square(w.KG*w.share()) / l.n
	}
	if l.spread == 0 {
		return line{}, ErrTooFew
	}
	l.slope = along / l.spread
	l.sigma = math.Sqrt(max(stated, l.scatter(ws)))
	return l, nil
}

// scatter is the variance about the line, 0 where two points leave none.
func (l line) scatter(ws []Weighing) float64 {
	if len(ws) < 3 {
		return 0
	}
	var sum float64
	for _, w := range ws {
		sum += square(w.KG - l.meanKG - l.slope*(days(l.origin, w.Day)-l.meanDay))
	}
	return sum / (l.n - 2)
}

func (w Weighing) share() float64 {
	if w.Error == 0 {
		return ScaleError
	}
	return w.Error
}

func (l line) slopeError() float64 { return deviations * l.sigma / math.Sqrt(l.spread) }

// band returns between which days the line may cross the target, by Fieller's
// theorem; false, and no late day, when the gain may be nothing.
func (l line) band(target float64) (early, late float64, ok bool) {
	gap := target - l.meanKG
	k := square(deviations * l.sigma)
	a := square(l.slope) - k/l.spread
	b := l.slope * gap
	c := square(gap) - k/l.n
	root := math.Sqrt(max(0, b*b-a*c))
	if a <= 0 {
		high := l.slope + l.slopeError()
		return l.meanDay + (gap-deviations*l.sigma/math.Sqrt(l.n))/high, 0, false
	}
	return l.meanDay + (b-root)/a, l.meanDay + (b+root)/a, true
}

// longest is the farthest forecast in days, so that no date overflows.
const longest = 36500

func (l line) day(at float64) time.Time {
	return l.origin.AddDate(0, 0, int(math.Round(min(max(at, -longest), longest))))
}

func days(from, to time.Time) float64 { return math.Round(to.Sub(from).Hours() / 24) }

func square(x float64) float64 { return x * x }

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}
