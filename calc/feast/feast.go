// Package feast reckons the days of a year that are known by a name and not by a date:
// Easter and what hangs on it, days of a month, and the nth weekday of a month.
package feast

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"time"
)

// First and Last are the years for which days are reckoned: the Gregorian calendar from its
// first whole year on.
const (
	First = 1583
	Last  = 4099
)

// Easter is the Sunday of Easter in the Western churches, by the Gregorian computus as it was
// printed in Nature on 20 April 1876 (the reckoning of the "anonymous" computus). Zero
// outside the years from First to Last.
func Easter(year int) time.Time {
	if year < First || year > Last {
		return time.Time{}
	}
	golden, century, rest := year%19, year/100, year%100
	lunar := (century - (century+8)/25 + 1) / 3
	epact := (19*golden + century - century/4 - lunar + 15) % 30
	sunday := (32 + 2*(century%4) + 2*(rest/4) - epact - rest%4) % 7
	late := (golden + 11*epact + 22*sunday) / 451
	days := epact + sunday - 7*late + 114
	return time.Date(year, time.Month(days/31), days%31+1, 0, 0, 0, 0, time.UTC)
}

// A Day is a day with a name: some days after Easter, a day of a month, or the nth weekday
// of a month, the last for -1.
type Day struct {
	Name    string
	easter  bool
	after   int
	month   time.Month
	nth     int
	weekday time.Weekday
	of      int
}

//go:embed days.csv
var table string

// Days are the days that are known by a name.
var Days = read()

func read() []Day {
	rows, err := csv.NewReader(strings.NewReader(table)).ReadAll()
	if err != nil {
		panic(err) // the file is part of the program, and read when it is tested
	}
	var out []Day
	for _, row := range rows[1:] {
		d, err := parse(row[0], strings.Fields(row[1]))
		if err != nil {
			panic(err)
		}
		out = append(out, d)
	}
	return out
}

// parse reads "easter -2", "12 25" and "2 monday 3", which is the third Monday of February.
func parse(name string, rule []string) (Day, error) {
	d := Day{Name: name}
	last, err := strconv.Atoi(rule[len(rule)-1])
	switch {
	case err != nil:
		return d, fmt.Errorf("day %s: %w", name, err)
	case rule[0] == "easter":
		d.easter, d.after = true, last
		return d, nil
	}
	month, err := strconv.Atoi(rule[0])
	if err != nil {
		return d, fmt.Errorf("day %s: %w", name, err)
	}
	d.month = time.Month(month)
	if len(rule) == 2 {
		d.of = last
		return d, nil
	}
	d.nth = last
	for w := time.Sunday; w <= time.Saturday; w++ {
		if strings.EqualFold(w.String(), rule[1]) {
			d.weekday = w
		}
	}
	return d, nil
}

// In is the date of the day in a year; zero outside the years from First to Last.
func (d Day) In(year int) time.Time {
	first := time.Date(year, d.month, 1, 0, 0, 0, 0, time.UTC)
	switch {
	case year < First || year > Last:
		return time.Time{}
	case d.easter:
		return Easter(year).AddDate(0, 0, d.after)
	case d.nth < 0:
		last := first.AddDate(0, 1, -1)
		return last.AddDate(0, 0, -(int(last.Weekday())-int(d.weekday)+7)%7)
	case d.nth > 0:
		return first.AddDate(0, 0, (int(d.weekday)-int(first.Weekday())+7)%7+7*(d.nth-1))
	}
	return first.AddDate(0, 0, d.of-1)
}
