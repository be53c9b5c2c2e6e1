package frost

import (
	"fmt"
	"strings"
)

// parts is a date as it is written: year, month and day, or, where slashed, two
// numbers of unknown order and the year.
type parts struct {
	a, b, c int
	slashed bool
}

// parseDate takes a date apart: 2027-05-01, 20270501 or 01/05/2027, with -, / or . and
// perhaps a time of day after it, which does not matter.
func parseDate(text string) (parts, bool) {
	if i := strings.IndexAny(text, " T"); i >= 0 {
		text = text[:i]
	}
	if len(text) == 8 && isDigits(text) {
		return parts{a: atoi(text[:4]), b: atoi(text[4:6]), c: atoi(text[6:])}, true
	}
	i := strings.IndexAny(text, "-/.")
	if i < 0 || len(text) > 10 {
		return parts{}, false
	}
	f := strings.Split(text, text[i:i+1])
	if len(f) != 3 || !isDigits(f[0]) || !isDigits(f[1]) || !isDigits(f[2]) {
		return parts{}, false
	}
	p := parts{a: atoi(f[0]), b: atoi(f[1]), c: atoi(f[2]), slashed: len(f[2]) == 4}
	return p, p.slashed != (len(f[0]) == 4)
}

// day is the day of a date as the file writes them.
func (t *table) day(text string) (day int, ok bool, err error) {
	p, ok := parseDate(text)
	if !ok {
		return 0, false, nil
	}
	if !p.slashed {
		day, ok = civil(p.a, p.b, p.c)
		return day, ok, nil
	}
	dayFirst, err := t.order()
	if err != nil {
		return 0, false, err
	}
	if dayFirst {
		p.a, p.b = p.b, p.a
	}
	day, ok = civil(p.c, p.a, p.b)
	return day, ok, nil
}

// orderOnce is whether the dates of the text are day first: some row must show it by a
// number above 12. It looks when it is asked first.
func (t *table) orderOnce(text string) func() (bool, error) {
	asked := false
	var dayFirst bool
	var err error
	return func() (bool, error) {
		if !asked {
			asked = true
			dayFirst, err = t.findOrder(text)
		}
		return dayFirst, err
	}
}

func (t *table) findOrder(text string) (dayFirst bool, err error) {
	days, months := 0, 0 // the first lines that show one and the other
	for n, line := range t.dataRows(text) {
		fields, _ := split(nil, line, t.delim)
		p, ok := parseDate(cell(fields, t.date))
		switch {
		case !ok || !p.slashed:
		case p.a > 12 && p.a <= 31 && p.b <= 12 && days == 0:
			days = n
		case p.b > 12 && p.b <= 31 && p.a <= 12 && months == 0:
			months = n
		}
	}
	switch {
	case days > 0 && months > 0:
		return false, fmt.Errorf("%w: line %d has the day first, line %d the month", ErrDateOrder, days, months)
	case days == 0 && months == 0:
		return false, fmt.Errorf("%w: no date has a number above 12; write them like 2027-05-01", ErrDateOrder)
	}
	return days > 0, nil
}
