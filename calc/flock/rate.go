// Package flock judges how hens lay: the rate, what is to be expected of it, and
// whether a drop is worth looking into. It is pure and reads no clock: days are
// given in order, one after the other, the last one being the day that is judged.
//
// The judgement is about egg counts and nothing else. Birds that are dull, cough,
// gasp or die are for the vet today, whatever the counts say (VetToday).
package flock

import (
	"errors"
	"fmt"
)

// ErrDays is returned for days that cannot be or that give nothing to reckon with.
var ErrDays = errors.New("egg days")

// Bounds of what is taken for a household's or a small farm's flock.
const (
	maxHens = 100_000
	maxOver = 14
)

// Day is one day of a flock. A day on which nobody counted is a gap, not a zero.
type Day struct {
	Hens    int  // hens of laying age alive on the day, 0 or more
	Eggs    int  // laid on the day, broken ones too
	Counted bool // false: nobody counted, Eggs is not looked at
	Over    int  // days whose eggs are in this count, itself and the gaps before it; 0 is 1
}

// over is the number of days in the count.
func (d Day) over() int { return max(d.Over, 1) }

// check refuses what no flock has.
func check(days []Day) error {
	gaps := 0
	for i, d := range days {
		switch {
		case d.Hens < 0 || d.Hens > maxHens:
			return fmt.Errorf("%w: %d hens on day %d", ErrDays, d.Hens, i+1)
		case !d.Counted:
			gaps++
			continue
		case d.Eggs < 0 || d.Eggs > 2*maxOver*maxHens:
			return fmt.Errorf("%w: %d eggs on day %d", ErrDays, d.Eggs, i+1)
		case d.Eggs > 0 && d.Hens == 0 && d.over() == 1:
			return fmt.Errorf("%w: %d eggs of no hens on day %d", ErrDays, d.Eggs, i+1)
		case d.Over < 0 || d.over() > maxOver || d.over() > gaps+1:
			return fmt.Errorf("%w: day %d cannot hold the eggs of %d days, %d days before it are without a count", ErrDays, i+1, d.Over, gaps)
		}
		gaps = 0
	}
	return nil
}

// count is what was collected at once: eggs of so many hen-days.
type count struct {
	eggs, henDays int
	day           int  // its place among the days
	loose         bool // may hold eggs of uncounted days before it
}

// counts are the counted days in order. Days without hens say nothing of the rate.
func counts(days []Day) []count {
	var out []count
	gaps := 0
	for i, d := range days {
		if !d.Counted {
			gaps++
			continue
		}
		c := count{eggs: d.Eggs, day: i, loose: gaps >= d.over()}
		for _, before := range days[i+1-d.over() : i+1] {
			c.henDays += before.Hens
		}
		gaps = 0
		if c.henDays > 0 {
			out = append(out, c)
		}
	}
	return out
}

// HenDay is the hen-day rate: eggs by hens alive, summed over the counted days. It is
// the one to watch health by. Above 1 a count holds eggs of another day or the number
// of hens is wrong. ErrDays when no day with hens was counted. Standard definition of
// poultry texts (from memory).
func HenDay(days []Day) (float64, error) {
	if err := check(days); err != nil {
		return 0, err
	}
	return rate(counts(days))
}

func rate(cs []count) (float64, error) {
	eggs, henDays := 0, 0
	for _, c := range cs {
		eggs += c.eggs
		henDays += c.henDays
	}
	if henDays == 0 {
		return 0, fmt.Errorf("%w: none with hens was counted", ErrDays)
	}
	return float64(eggs) / float64(henDays), nil
}

// HenHoused is the hen-housed rate: eggs by the hens there were on the first day, for
// money and for comparing years; hens that died stay in it. Days without a count are
// left out. ErrDays when none was counted or the flock began with no hen.
func HenHoused(days []Day) (float64, error) {
	if err := check(days); err != nil {
		return 0, err
	}
	if len(days) == 0 || days[0].Hens == 0 {
		return 0, fmt.Errorf("%w: no hens on the first day", ErrDays)
	}
	eggs, n := 0, 0
	for _, d := range days {
		if d.Counted {
			eggs += d.Eggs
			n += d.over()
		}
	}
	if n == 0 {
		return 0, fmt.Errorf("%w: none was counted", ErrDays)
	}
	return float64(eggs) / float64(n*days[0].Hens), nil
}
