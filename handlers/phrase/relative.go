package phrase

import (
	"strings"
	"time"
)

// dayAlone reads "the 15th" and "on the 31st": the next month that has that day.
func (l *line) dayAlone(i int) (Date, int, bool) {
	at := i
	if l.low(at) == "the" {
		at++
	}
	n, next, ok := l.dayNumber(at)
	if !ok || !l.isNum(at) || next != at+2 || n < 1 || n > 31 {
		return Date{}, i, false
	}
	if _, isDay := l.weekday(next); isDay || l.low(next) == "of" || l.low(next) == "monthly" {
		return Date{}, i, false
	}
	now := l.today()
	out := Date{}
	for k := -12; k <= 12; k++ {
		first := addMonths(time.Date(now.Year(), now.Month(), 1, 0, 0, 0, 0, time.UTC), k)
		t, ok := valid(first.Year(), first.Month(), n)
		if ok && !t.After(now) {
			out.Last = t
		}
		if ok && !t.Before(now) && out.Next.IsZero() {
			out.Next = t
		}
	}
	return out, next, true
}

// weekOn reads "a week on friday", "friday week", "a week today".
func (l *line) weekOn(i int) (Date, int, bool) {
	if d, ok := l.weekday(i); ok && l.low(i+1) == "week" {
		return fixed(l.nextWeekday(d).AddDate(0, 0, 7)), i + 2, true
	}
	weeks := 0
	next := i
	switch {
	case l.low(i) == "a" && l.low(i+1) == "week":
		weeks, next = 1, i+2
	case l.low(i) == "week" && l.low(i+1) == "on":
		weeks, next = 1, i+1
	case l.low(i) == "two" && l.low(i+1) == "weeks":
		weeks, next = 2, i+2
	case l.low(i) == "a" && l.low(i+1) == "fortnight":
		weeks, next = 2, i+2
	default:
		return Date{}, i, false
	}
	if w := l.low(next); w == "on" || w == "from" {
		next++
	}
	switch l.low(next) {
	case "today":
		return fixed(l.today().AddDate(0, 0, 7*weeks)), next + 1, true
	case "tomorrow":
		return fixed(l.today().AddDate(0, 0, 7*weeks+1)), next + 1, true
	}
	d, ok := l.weekday(next)
	if !ok {
		return Date{}, i, false
	}
	return fixed(l.nextWeekday(d).AddDate(0, 0, 7*weeks)), next + 1, true
}

// relativeDay reads today, tomorrow, the day after tomorrow, yesterday.
func (l *line) relativeDay(i int) (Date, int, bool) {
	if l.low(i) == "the" {
		i++
	}
	for _, tomorrow := range []string{"tomorrow", "tmrw"} {
		if next, ok := l.words(i, "day", "after", tomorrow); ok {
			return fixed(l.today().AddDate(0, 0, 2)), next, true
		}
	}
	if next, ok := l.words(i, "day", "before", "yesterday"); ok {
		return fixed(l.today().AddDate(0, 0, -2)), next, true
	}
	offsets := map[string]int{"today": 0, "tomorrow": 1, "tmrw": 1, "tomoz": 1, "yesterday": -1}
	w := l.low(i)
	if name, ok := nearest(w, []string{"tomorrow", "yesterday"}); ok {
		w = name
	}
	n, ok := offsets[w]
	if !ok {
		return Date{}, i, false
	}
	return fixed(l.today().AddDate(0, 0, n)), i + 1, true
}

// relativeDate reads in 3 weeks, 3 days ago, in two months. "Next week" is no day:
// it has to be asked.
func (l *line) relativeDate(i int) (Date, int, bool) {
	if next, ok := l.words(i, "last", "week"); ok {
		return fixed(l.today().AddDate(0, 0, -7)), next, true
	}
	at, in := i, l.low(i) == "in"
	if in {
		at++
	}
	n, next, ok := l.wholeNumber(at)
	if w := l.low(at); !ok && (w == "a" || w == "an") {
		n, next, ok = 1, at+1, true
	}
	if !ok || n < 0 || n > 5000 {
		return Date{}, i, false
	}
	t, ok := l.counted(n, l.low(next))
	if !ok {
		return Date{}, i, false
	}
	next++
	if l.low(next) == "time" || l.low(next) == "later" || l.low(next) == "hence" {
		return fixed(t(n)), next + 1, true
	}
	if l.low(next) == "from" && (l.low(next+1) == "now" || l.low(next+1) == "today") {
		return fixed(t(n)), next + 2, true
	}
	if l.low(next) == "ago" {
		return fixed(t(-n)), next + 1, true
	}
	return fixed(t(n)), next, in
}

func (l *line) counted(n int, unit string) (func(int) time.Time, bool) {
	now := l.today()
	unit = strings.TrimSuffix(unit, "s")
	if _, near := isNear(unit+"s", "weeks"); near && unit[0] == 'w' {
		unit = "week"
	}
	switch unit {
	case "day":
		return func(n int) time.Time { return now.AddDate(0, 0, n) }, true
	case "week", "wk":
		return func(n int) time.Time { return now.AddDate(0, 0, 7*n) }, true
	case "fortnight":
		return func(n int) time.Time { return now.AddDate(0, 0, 14*n) }, true
	case "month":
		return func(n int) time.Time { return addMonths(now, n) }, true
	case "year":
		return func(n int) time.Time { return addMonths(now, 12*n) }, true
	}
	return nil, false
}

// addMonths keeps to the last day of a shorter month instead of running over.
func addMonths(t time.Time, n int) time.Time {
	first := time.Date(t.Year(), t.Month()+time.Month(n), 1, 0, 0, 0, 0, time.UTC)
	return first.AddDate(0, 0, min(t.Day(), lastDay(first.Year(), first.Month()).Day())-1)
}

// weekdayDate reads tue, next tue, this friday, last friday. A weekday alone is
// the next one after today; "next" is the one of next week, Monday first.
func (l *line) weekdayDate(i int) (Date, int, bool) {
	mod := ""
	at := i
	if w := l.low(i); w == "next" || w == "this" || w == "last" || w == "coming" {
		mod, at = w, i+1
	}
	d, ok := l.weekday(at)
	if !ok || strings.HasSuffix(l.low(at), "days") {
		return Date{}, i, false
	}
	now := l.today()
	monday := now.AddDate(0, 0, -(int(now.Weekday())+6)%7)
	past := now.AddDate(0, 0, -1-(int(now.Weekday())-int(d)+6)%7)
	switch mod {
	case "next":
		return fixed(monday.AddDate(0, 0, 7+(int(d)+6)%7)), at + 1, true
	case "last":
		return fixed(past), at + 1, true
	case "this":
		if t := monday.AddDate(0, 0, (int(d)+6)%7); !t.Before(now) {
			return Date{t, t}, at + 1, true
		}
	}
	return Date{Next: l.nextWeekday(d), Last: past}, at + 1, true
}

// weekdayNumber reads "friday 19th" where the next 19th, or the last, is a Friday.
func (l *line) weekdayNumber(i int) (Date, int, bool) {
	d, ok := l.weekday(i)
	if !ok {
		return Date{}, i, false
	}
	day, next, ok := l.dayAlone(i + 1)
	if _, month := l.month(next); !ok || month {
		return Date{}, i, false
	}
	switch next, last := day.Next.Weekday() == d, day.Last.Weekday() == d; {
	case next && !last:
		day.Last = day.Next
	case last && !next:
		day.Next = day.Last
	case !next:
		return Date{}, i, false
	}
	return day, next, true
}

// nextWeekday is strictly after today.
func (l *line) nextWeekday(d time.Weekday) time.Time {
	now := l.today()
	return now.AddDate(0, 0, 1+(int(d)-int(now.Weekday())+6)%7)
}
