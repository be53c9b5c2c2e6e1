// Package frost finds when it freezes at a place, out of years of daily minima: when
// the last freeze of spring and the first of autumn came, and how early and late they
// come one year in ten. It reads the files that weather services give.
package frost

import (
	"errors"
	"fmt"
	"slices"
	"time"
)

// Thresholds in tenths of a degree C; a day whose minimum is as low or lower counts.
const (
	Freeze     = 0   // 32 F
	Frost      = 22  // 36 F: the shelter's air, with white frost on the ground
	HardFreeze = -22 // 28 F
)

const (
	tooMany = 10 // missing days that spoil a season (Utah Climate Center)
	fewest  = 10 // seasons for any date at all (NOAA's normals 1961-90 ask so many years)
	enough  = 20 // seasons for dates that are not rough
)

// ErrFewSeasons is returned where less than ten seasons are known from both ends.
var ErrFewSeasons = errors.New("too few seasons")

// MonthDay is a date of no year. Its zero value stands for a date that does not exist.
type MonthDay struct {
	Month time.Month
	Day   int
}

// In is the date in a year, zero for the zero MonthDay; 29 February is 1 March in a
// year without it.
func (m MonthDay) In(year int) time.Time {
	if m == (MonthDay{}) {
		return time.Time{}
	}
	return time.Date(year, m.Month, m.Day, 0, 0, 0, 0, time.UTC)
}

// Spread is when one of the two freezes comes. Early is the date that one year in ten
// comes before, Late the one that one year in ten comes after, Middle the one of half
// the years. Years without a freeze count as earlier than any last and later than any
// first one; a level that falls among them does not exist and is the zero MonthDay.
// The level a garden is safe with is rounded to the safe side: the last freeze's Late
// up, the first one's Early down; the others to the nearest day.
type Spread struct {
	Early, Middle, Late MonthDay
	N                   int // years that are known
	None                int // of them without a freeze
}

// Lengths is how many days lie between last and first freeze: one year in ten has
// fewer than Shorter, half have fewer than Middle, nine in ten fewer than Longer. A
// level that falls among years that lack one of the two freezes is -1: no end.
type Lengths struct{ Shorter, Middle, Longer float64 }

// GrowingSeason is one summer between two freezes. Year is the calendar year in which
// its spring begins. Last is the latest freeze of the cold season before it, First the
// earliest of the one after it, which may be in the next calendar year; zero for none.
type GrowingSeason struct {
	Year        int
	Last, First time.Time
}

// Normals are the frost dates of a place for one threshold. A cold season runs from
// 1 August to 31 July, in the south from 1 February to 31 January.
type Normals struct {
	Threshold   int // tenths of a degree C
	South       bool
	Last, First Spread
	Length      Lengths         // of Seasons
	Seasons     []GrowingSeason // the years that are known from both ends, in order
	Rough       bool            // under 20 seasons
	Invalid     int             // years within the record with too many days missing at either end
}

// Compute finds the frost dates for a threshold in tenths of a degree C (-650 to 650,
// else ErrTemperature). A freeze counts when less than 10 days are missing between it
// and midsummer, no freeze when none is. Levels are quantiles of type 7 of Hyndman and
// Fan (1996). Under ten seasons known from both ends it is ErrFewSeasons.
func Compute(s Series, threshold int, south bool) (Normals, error) {
	if threshold < -limit || threshold > limit {
		return Normals{}, fmt.Errorf("%w: threshold of %d tenths", ErrTemperature, threshold)
	}
	n := gather(s, threshold, south)
	if len(n.Seasons) < fewest {
		return Normals{}, fmt.Errorf("%w: %d known from both ends, %d spoilt by missing days, %d wanted",
			ErrFewSeasons, len(n.Seasons), n.Invalid, fewest)
	}
	return n, nil
}

// gather is Compute for any number of seasons.
func gather(s Series, threshold int, south bool) Normals {
	n := Normals{Threshold: threshold, South: south}
	var lasts, firsts, lengths []int
	for _, y := range summers(s, threshold, south) {
		if y.last.valid {
			n.Last.N++
			lasts = y.last.add(lasts, south)
		}
		if y.first.valid {
			n.First.N++
			firsts = y.first.add(firsts, south)
		}
		switch {
		case y.last.valid && y.first.valid:
			n.Seasons = append(n.Seasons, GrowingSeason{Year: y.year, Last: y.last.date(), First: y.first.date()})
			if y.last.found && y.first.found {
				lengths = append(lengths, y.first.day-y.last.day-1)
			}
		case y.inside:
			n.Invalid++
		}
	}
	n.Last = n.Last.spring(lasts, south)
	n.First = n.First.autumn(firsts, south)
	n.Length = lengthsOf(lengths, len(n.Seasons))
	n.Rough = len(n.Seasons) < enough
	return n
}

// summer is what one midsummer has on either side: the last freeze before it and the
// first one after. It is inside when the series has days on both sides.
type summer struct {
	year        int
	last, first event
	inside      bool
}

// event is a freeze that was looked for. Valid and not found is: there was none.
type event struct {
	day          int
	found, valid bool
}

func (e event) date() time.Time {
	if !e.found {
		return time.Time{}
	}
	return date(e.day)
}

// add appends the event's day of the cold season, if there is one.
func (e event) add(days []int, south bool) []int {
	if !e.found {
		return days
	}
	return append(days, seasonDay(date(e.day), south))
}

// summers are all midsummers that the series reaches from at least one side.
func summers(s Series, threshold int, south bool) []summer {
	first, last := s.Span()
	var out []summer
	for year := first.Year() - 1; year <= last.Year(); year++ {
		at, before, after := pivot(year, south), pivot(year-1, south), pivot(year+1, south)
		if at < s.first || at > s.last()+1 {
			continue
		}
		out = append(out, summer{
			year:   year,
			last:   s.look(at-1, before, -1, threshold),
			first:  s.look(at, after-1, 1, threshold),
			inside: at > s.first && at <= s.last(),
		})
	}
	return out
}

// pivot is the first day after the midsummer of the growing season of a year.
func pivot(year int, south bool) int {
	if south {
		return number(year+1, time.February, 1)
	}
	return number(year, time.August, 1)
}

// look walks from midsummer to the next or last one, and stops at the first freeze.
func (s Series) look(from, to, step, threshold int) event {
	missing := 0
	for d := from; d != to+step; d += step {
		v, ok := s.at(s.min, d)
		if !ok {
			missing++
			continue
		}
		if v <= threshold {
			return event{day: d, found: true, valid: missing < tooMany}
		}
	}
	return event{valid: missing == 0}
}

// yearDay is a date's place in a year of 365 days, 1 to 365; 29 February is 1 March's.
func yearDay(m time.Month, d int) int { return time.Date(2001, m, d, 0, 0, 0, 0, time.UTC).YearDay() }

// season is the first day of the cold season as a yearDay.
func season(south bool) int {
	if south {
		return yearDay(time.February, 1)
	}
	return yearDay(time.August, 1)
}

// seasonDay is a date's day in its cold season, 0 to 364, so that winter never wraps
// and leap years do not shift.
func seasonDay(t time.Time, south bool) int {
	return (yearDay(t.Month(), t.Day()) - season(south) + 365) % 365
}

func monthDay(seasonDay int, south bool) MonthDay {
	t := time.Date(2001, time.January, (seasonDay+season(south)-1)%365+1, 0, 0, 0, 0, time.UTC)
	return MonthDay{t.Month(), t.Day()}
}

// spring fills in the levels of the last freeze; days are those of the years with one.
// With had of n years freezing, a freeze later than d comes in the share
// had/n * (1 - F(d)) of the years.
func (p Spread) spring(days []int, south bool) Spread {
	slices.Sort(days)
	had := len(days)
	p.None = p.N - had
	level := func(tenths int, round func(fraction) int) MonthDay {
		if tenths*p.N >= 10*had {
			return MonthDay{}
		}
		return monthDay(round(quantile(days, 10*had-tenths*p.N, 10*had)), south)
	}
	p.Early, p.Middle, p.Late = level(9, fraction.near), level(5, fraction.near), level(1, fraction.up)
	return p
}

// autumn is spring for the first freeze: one by d comes in had/n * F(d) of the years.
func (p Spread) autumn(days []int, south bool) Spread {
	slices.Sort(days)
	p.None = p.N - len(days)
	level := func(tenths int, round func(fraction) int) MonthDay {
		q, ok := share(days, p.N, tenths)
		if !ok {
			return MonthDay{}
		}
		return monthDay(round(q), south)
	}
	p.Early, p.Middle, p.Late = level(1, fraction.down), level(5, fraction.near), level(9, fraction.near)
	return p
}

// share is the value that so many tenths of n are not above, when the values are known
// of some and the rest are above all of these.
func share(sorted []int, n, tenths int) (fraction, bool) {
	if tenths*n >= 10*len(sorted) {
		return fraction{}, false
	}
	return quantile(sorted, tenths*n, 10*len(sorted)), true
}

func lengthsOf(days []int, n int) Lengths {
	slices.Sort(days)
	level := func(tenths int) float64 {
		q, ok := share(days, n, tenths)
		if !ok {
			return -1
		}
		return q.value()
	}
	return Lengths{Shorter: level(1), Middle: level(5), Longer: level(9)}
}

// fraction is whole + part/of, 0 <= part < of: exact, so that a quantile which is a
// whole day is not rounded away from it.
type fraction struct{ whole, part, of int }

// quantile is type 7 at num/den of sorted values, 0 <= num <= den.
func quantile(sorted []int, num, den int) fraction {
	h := (len(sorted) - 1) * num
	i, rest := h/den, h%den
	if rest == 0 {
		return fraction{sorted[i], 0, den}
	}
	d := (sorted[i+1] - sorted[i]) * rest
	return fraction{sorted[i] + d/den, d % den, den}
}

func (f fraction) value() float64 { return float64(f.whole) + float64(f.part)/float64(f.of) }

func (f fraction) down() int { return f.whole }

func (f fraction) up() int {
	if f.part > 0 {
		return f.whole + 1
	}
	return f.whole
}

// near rounds half up.
func (f fraction) near() int {
	if 2*f.part >= f.of {
		return f.whole + 1
	}
	return f.whole
}
