package feed

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"
)

// MostDays is the longest that a stock is counted ahead: ten years.
const MostDays = 3652

// Part is what of a ration a stock is.
type Part string

// The parts.
const (
	All   Part = ""      // everything that the group eats
	Hay   Part = "hay"   // hay or other long forage
	Grain Part = "grain" // grain, pellets, any bought feed
)

// Stock is a heap of feed on one day, before that day's feeding.
type Stock struct {
	Day   time.Time // midnight in UTC
	Mass  float64   // kg
	Waste float64   // share that is not eaten
	Part  Part
	// Factor is the use that was seen against the table (Use.Factor), 0 when none was. It
	// holds what is wasted, so that Waste does not count beside it.
	Factor float64
}

// Forecast is when a stock is gone.
type Forecast struct {
	Days  float64   // from Stock.Day on, with the part of the last day
	Daily float64   // kg that the stock loses on its first day
	Whole int       // days for which there is all
	Last  time.Time // the last of those; the day before Stock.Day when there is none
	// Early and Late are Days by the high and the low figures of the table, at most MostDays.
	// They are Days where the table has one figure or the use was seen.
	Early, Late float64
}

// RunsOut returns when the groups have eaten the stock, in a weather that holds on. Groups
// that grow are taken day by day. ErrNobody when nobody eats of it, ErrDays when it lasts
// beyond MostDays, else as Need.
func RunsOut(s Stock, groups []Group, w Weather) (Forecast, error) {
	if err := s.check(); err != nil {
		return Forecast{}, err
	}
	out, err := s.eatenBy(groups, w, Band.typical)
	if err != nil {
		return Forecast{}, err
	}
	out.Early, out.Late = out.Days, out.Days
	if s.Factor > 0 {
		return out, nil
	}
	early, err := s.eatenBy(groups, w, Band.high)
	if err != nil {
		return Forecast{}, err
	}
	out.Early = early.Days
	late, err := s.eatenBy(groups, w, Band.low)
	if errors.Is(err, ErrDays) {
		late.Days, err = MostDays, nil
	}
	out.Late = late.Days
	return out, err
}

// eatenBy lets the groups eat by one figure of the table until there is not enough for a day.
func (s Stock) eatenBy(groups []Group, w Weather, figure func(Band) float64) (Forecast, error) {
	eaters, err := eatersOf(s, groups, w, figure)
	if err != nil {
		return Forecast{}, err
	}
	out := Forecast{}
	for left := s.Mass; ; out.Whole++ {
		if out.Whole > MostDays {
			return Forecast{}, fmt.Errorf("%w: more than %d days", ErrDays, MostDays)
		}
		need := eatDay(eaters)
		if need <= 0 {
			return Forecast{}, fmt.Errorf("%w: the table gives these animals none", ErrNobody)
		}
		if out.Whole == 0 {
			out.Daily = need
		}
		if left < need*(1-dust) {
			out.Days = float64(out.Whole) + max(0, left/need)
			break
		}
		left -= need
	}
	out.Last = s.Day.AddDate(0, 0, out.Whole-1)
	return out, nil
}

// dust is what the sums of floating point may be short of a day's need, as a part of it:
// 20 days of an exact stock are 20 days.
const dust = 1e-9

func (s Stock) check() error {
	if !finite(s.Mass) || !finite(s.Factor) {
		return fmt.Errorf("%w: a stock of %v kg, factor %v", ErrAmount, s.Mass, s.Factor)
	}
	if !(s.Waste >= 0 && s.Waste < 1) {
		return fmt.Errorf("%w: waste %v", ErrShare, s.Waste)
	}
	if s.Part != All && s.Part != Hay && s.Part != Grain {
		return fmt.Errorf("%w: no part %q of a ration", ErrKind, s.Part)
	}
	return nil
}

// scale is what the stock loses for each kg that the table says is eaten.
func (s Stock) scale() float64 {
	if s.Factor > 0 {
		return s.Factor
	}
	return 1 / (1 - s.Waste)
}

// eater takes a day's feed and is a day older.
type eater func() float64

func eatersOf(s Stock, groups []Group, w Weather, figure func(Band) float64) ([]eater, error) {
	var out []eater
	for _, g := range groups {
		r, err := Need(g, w)
		if err != nil {
			return nil, err
		}
		out = append(out, eaterOf(r, figure(r.part(s.Part)), s))
	}
	return out, nil
}

// eaterOf eats the same every day, or as it grows where the table has its growth.
func eaterOf(r Ration, daily float64, s Stock) eater {
	g, err := r.Group.growing()
	if err != nil || r.Group.Daily > 0 || daily == 0 {
		daily *= s.scale()
		return func() float64 { return daily }
	}
	c, x := g.course(), g.start()
	scale := float64(g.Heads) * (1 + r.Cold) * s.scale()
	return func() float64 {
		var fed float64
		fed, x = c.eat(x, 1)
		return fed * scale
	}
}

// part is what of the ration a stock gives; a household's own figure is all of that stock.
func (r Ration) part(p Part) Band {
	switch {
	case r.Group.Daily > 0 || p == All:
		return r.Fed
	case p == Hay:
		return r.Hay
	}
	return r.Grain
}

func eatDay(eaters []eater) float64 {
	sum := 0.0
	for _, eat := range eaters {
		sum += eat()
	}
	return sum
}

// BuyBy returns the last open day on which to buy, so many days of lead before the last
// full day. Closed says which days are shut, nil: none. The day may be past already.
// ErrAmount for a lead below 0, ErrClosed when a whole year before it is shut.
func BuyBy(last time.Time, lead int, closed func(time.Time) bool) (time.Time, error) {
	if lead < 0 {
		return time.Time{}, fmt.Errorf("%w: a lead of %d days", ErrAmount, lead)
	}
	day := last.AddDate(0, 0, -lead)
	for range 366 {
		if closed == nil || !closed(day) {
			return day, nil
		}
		day = day.AddDate(0, 0, -1)
	}
	return time.Time{}, fmt.Errorf("%w: in the year before %s", ErrClosed, last.Format(time.DateOnly))
}

// Weekend says whether a day is a Saturday or a Sunday.
func Weekend(day time.Time) bool {
	return day.Weekday() == time.Saturday || day.Weekday() == time.Sunday
}

// Reading is a stock as somebody saw it. A new sack that is opened when the old one is empty
// is a reading of which Mass and Added are both the sack.
type Reading struct {
	Day   time.Time // midnight in UTC, before that day's feeding
	Mass  float64   // kg there, with what was added
	Added float64   // kg added since the reading before; of the first it does not matter
}

// Use is what was used between the first and the last of several readings.
type Use struct {
	Days   float64
	Mass   float64 // kg
	Daily  float64 // kg a day
	Table  float64 // kg a day by the table in those days, without waste
	Factor float64 // Daily / Table
	Last   Reading // where a forecast goes on
}

// Used returns what a household used against the table: the groups as they were on the day
// of the first reading, those that grow grown on day by day. Readings may come in any order.
// ErrUse for fewer than two days with a reading and for a stock that grew by itself, else
// as Need; ErrNobody when the table gives the animals none.
func Used(readings []Reading, part Part, groups []Group, w Weather) (Use, error) {
	rs, err := ordered(readings)
	if err != nil {
		return Use{}, err
	}
	first, last := rs[0], rs[len(rs)-1]
	days := int(math.Round(last.Day.Sub(first.Day).Hours() / 24))
	if days < 1 {
		return Use{}, fmt.Errorf("%w: two days are needed", ErrUse)
	}
	used := first.Mass
	for i, r := range rs[1:] {
		if r.Mass-r.Added > rs[i].Mass {
			return Use{}, fmt.Errorf("%w: on %s there is more than was left before; what was bought is missing", ErrUse, r.Day.Format(time.DateOnly))
		}
		used += r.Added
	}
	used -= last.Mass
	eaters, err := eatersOf(Stock{Part: part}, groups, w, Band.typical)
	if err != nil {
		return Use{}, err
	}
	table := 0.0
	for range days {
		table += eatDay(eaters)
	}
	if table <= 0 {
		return Use{}, fmt.Errorf("%w: the table gives these animals none", ErrNobody)
	}
	return Use{float64(days), used, used / float64(days), table / float64(days), used / table, last}, nil
}

func ordered(readings []Reading) ([]Reading, error) {
	rs := slices.Clone(readings)
	slices.SortStableFunc(rs, func(a, b Reading) int { return a.Day.Compare(b.Day) })
	for _, r := range rs {
		if !finite(r.Mass) || !finite(r.Added) || r.Added > r.Mass {
			return nil, fmt.Errorf("%w: %v kg of which %v kg were added", ErrAmount, r.Mass, r.Added)
		}
	}
	if len(rs) < 2 {
		return nil, fmt.Errorf("%w: two days are needed", ErrUse)
	}
	return rs, nil
}

// Stock is the stock of the last reading, from which a forecast goes on at the rate that
// was seen. A use of nothing gives no rate, and the table's holds. Groups that grow must be
// those of that day, see Group.After.
func (u Use) Stock(part Part) Stock {
	return Stock{Day: u.Last.Day, Mass: u.Last.Mass, Part: part, Factor: u.Factor}
}
