package phrase

import (
	"strings"
	"time"
)

var months = []string{
	"january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
	"november", "december",
}

var weekdays = []string{"sunday", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday"}

var weekdayShort = map[string]time.Weekday{
	"sun": 0, "mon": 1, "tue": 2, "tues": 2, "wed": 3, "weds": 3, "thu": 4, "thur": 4, "thurs": 4, "fri": 5, "sat": 6,
}

// month reads a month by name, short name, or near-miss of a long name.
func (l *line) month(i int) (time.Month, bool) {
	w := l.low(i)
	if len(w) < 3 {
		return 0, false
	}
	for m, name := range months {
		if w == name || (len(w) == 3 && strings.HasPrefix(name, w)) || (w == "sept" && m == 8) {
			return time.Month(m + 1), true
		}
	}
	if name, ok := nearest(w, months); ok {
		for m := range months {
			if months[m] == name {
				return time.Month(m + 1), true
			}
		}
	}
	return 0, false
}

// weekday reads a day of the week, plural too.
func (l *line) weekday(i int) (time.Weekday, bool) {
	w := l.low(i)
	if d, ok := weekdayShort[w]; ok {
		return d, true
	}
	w = strings.TrimSuffix(strings.TrimSuffix(w, "s"), "'")
	for d, name := range weekdays {
		if w == name {
			return time.Weekday(d), true
		}
	}
	if name, ok := nearest(w, weekdays); ok {
		for d := range weekdays {
			if weekdays[d] == name {
				return time.Weekday(d), true
			}
		}
	}
	return 0, false
}

func (l *line) today() time.Time {
	y, m, d := l.ctx.Now.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

func fixed(t time.Time) Date { return Date{t, t} }

// valid returns the day, refusing the 31st of June instead of moving it.
func valid(y int, m time.Month, d int) (time.Time, bool) {
	t := time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
	return t, y >= 1900 && y <= 2199 && t.Month() == m && t.Day() == d
}

// date reads a day.
func (l *line) date(i int) (Date, int, bool) {
	at := i
	if w := l.low(i); w == "on" || w == "by" || w == "from" || w == "starting" {
		at = i + 1
	}
	for _, read := range []func(int) (Date, int, bool){
		l.feastDate, l.isoDate, l.slashDate, l.dottedDate, l.endOfMonth, l.nthOfMonth, l.dayMonth, l.monthDay, l.weekOn, l.relativeDay, l.relativeDate, l.weekdayNumber, l.weekdayDate, l.dayAlone,
	} {
		if d, next, ok := read(at); ok {
			return d, next, true
		}
	}
	return Date{}, i, false
}

func (l *line) isoDate(i int) (Date, int, bool) {
	if !l.isNum(i) || len(l.low(i)) != 4 || l.low(i+1) != "-" || !l.isNum(i+2) || l.low(i+3) != "-" || !l.isNum(i+4) {
		return Date{}, i, false
	}
	t, ok := valid(atoi(l.low(i)), time.Month(atoi(l.low(i+2))), atoi(l.low(i+4)))
	return fixed(t), i + 5, ok && isDigits(l.low(i+2)) && isDigits(l.low(i+4))
}

// slashDate reads 6/7 and 6/7/2027 in the household's order.
func (l *line) slashDate(i int) (Date, int, bool) {
	sep := l.low(i + 1)
	if !l.isNum(i) || (sep != "/" && sep != "." && sep != "-") || !l.glued(i+1) || !l.isNum(i+2) || !l.glued(i+2) {
		return Date{}, i, false
	}
	if !isDigits(l.low(i)) || !isDigits(l.low(i+2)) || len(l.low(i)) > 2 || len(l.low(i+2)) > 2 {
		return Date{}, i, false
	}
	d, m := atoi(l.low(i)), atoi(l.low(i+2))
	if !l.ctx.DayFirst {
		d, m = m, d
	}
	next, year := i+3, 0
	if l.low(next) == sep && l.isNum(next+1) && isDigits(l.low(next+1)) {
		year, next = fullYear(atoi(l.low(next+1)), len(l.low(next+1))), next+2
	}
	if year == 0 && sep != "/" {
		return Date{}, i, false
	}
	out, ok := l.yearly(year, time.Month(m), d)
	return out, next, ok
}

// dottedDate reads 06.06.2027, which the tokens hold as 06.06 and 2027.
func (l *line) dottedDate(i int) (Date, int, bool) {
	if !l.isNum(i) || l.low(i+1) != "." || !l.glued(i+1) || !l.isNum(i+2) || !l.glued(i+2) || !isDigits(l.low(i+2)) {
		return Date{}, i, false
	}
	a, b, ok := strings.Cut(l.low(i), ".")
	if !ok || !isDigits(a) || !isDigits(b) || len(a) > 2 || len(b) > 2 {
		return Date{}, i, false
	}
	d, m := atoi(a), atoi(b)
	if !l.ctx.DayFirst {
		d, m = m, d
	}
	out, ok := l.yearly(fullYear(atoi(l.low(i+2)), len(l.low(i+2))), time.Month(m), d)
	return out, i + 3, ok
}

// nthOfMonth reads "first monday in april" and "last friday of march".
func (l *line) nthOfMonth(i int) (Date, int, bool) {
	if l.low(i) == "the" {
		i++
	}
	n, next := -1, i+1
	if l.low(i) != "last" {
		var ok bool
		if n, next, ok = l.dayNumber(i); !ok || n < 1 || n > 5 {
			return Date{}, i, false
		}
	}
	d, ok := l.weekday(next)
	if w := l.low(next + 1); !ok || w != "in" && w != "of" {
		return Date{}, i, false
	}
	m, ok := l.month(next + 2)
	if !ok {
		return Date{}, i, false
	}
	now := l.today()
	year, after := l.year(next + 3)
	if year != 0 {
		t, ok := nthWeekdayOf(year, m, d, n)
		return fixed(t), after, ok
	}
	out := Date{}
	for y := now.Year() - 1; y <= now.Year()+1; y++ {
		t, ok := nthWeekdayOf(y, m, d, n)
		if ok && t.Before(now) {
			out.Last = t
		}
		if ok && !t.Before(now) && out.Next.IsZero() {
			out.Next = t
		}
	}
	return out, after, !out.Next.IsZero() && !out.Last.IsZero()
}

func nthWeekdayOf(y int, m time.Month, d time.Weekday, n int) (time.Time, bool) {
	if n < 0 {
		last := lastDay(y, m)
		return last.AddDate(0, 0, -(int(last.Weekday())-int(d)+7)%7), true
	}
	first := time.Date(y, m, 1, 0, 0, 0, 0, time.UTC)
	t := first.AddDate(0, 0, (int(d)-int(first.Weekday())+7)%7+7*(n-1))
	return t, t.Month() == m
}

func fullYear(y, digits int) int {
	if digits == 2 {
		return 2000 + y
	}
	return y
}

// yearly makes a date of a day and month whose year may be missing (0).
func (l *line) yearly(year int, m time.Month, d int) (Date, bool) {
	if year != 0 {
		t, ok := valid(year, m, d)
		return fixed(t), ok
	}
	now := l.today()
	var out Date
	foundNext, foundLast := false, false
	for n := 0; n <= 8 && !(foundNext && foundLast); n++ { // 8: a leap day across 2100
		if t, ok := valid(now.Year()+n, m, d); ok && !foundNext && !t.Before(now) {
			out.Next, foundNext = t, true
		}
		if t, ok := valid(now.Year()-n, m, d); ok && !foundLast && !t.After(now) {
			out.Last, foundLast = t, true
		}
	}
	return out, foundNext && foundLast
}

// dayNumber reads 6, 6th, sixth and the sixth of a month.
func (l *line) dayNumber(i int) (int, int, bool) {
	if l.low(i) == "the" {
		i++
	}
	if l.isNum(i) && isDigits(l.low(i)) && len(l.low(i)) <= 2 {
		next := i + 1
		switch l.low(next) {
		case "st", "nd", "rd", "th":
			if l.glued(next) {
				next++
			}
		}
		return atoi(l.low(i)), next, true
	}
	return l.ordinal(i)
}

var ordinals = map[string]int{
	"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "seventh": 7, "eighth": 8, "ninth": 9,
	"tenth": 10, "eleventh": 11, "twelfth": 12, "thirteenth": 13, "fourteenth": 14, "fifteenth": 15,
	"sixteenth": 16, "seventeenth": 17, "eighteenth": 18, "nineteenth": 19, "twentieth": 20, "thirtieth": 30,
}

func (l *line) ordinal(i int) (int, int, bool) {
	if n, ok := ordinals[l.low(i)]; ok {
		return n, i + 1, true
	}
	if t, ok := tens[l.low(i)]; ok {
		if n, ok := ordinals[l.low(i+1)]; ok && n < 10 {
			return int(t) + n, i + 2, true
		}
	}
	return 0, i, false
}

// year reads a year of four figures after a day and month.
func (l *line) year(i int) (int, int) {
	j := i
	if l.low(j) == "," {
		j++
	}
	if l.isNum(j) && len(l.low(j)) == 4 && isDigits(l.low(j)) {
		if y := atoi(l.low(j)); y >= 1900 && y <= 2199 && l.low(j+1) != ":" {
			if _, _, unit := l.unitAt(j + 1); j+1 >= len(l.toks) || !unit {
				return y, j + 1
			}
		}
	}
	return 0, i
}

// dayMonth reads 6 June, 6th of june 2028, tue 6 june.
func (l *line) dayMonth(i int) (Date, int, bool) {
	named, said := l.weekday(i)
	if said {
		i++
		if l.low(i) == "," {
			i++
		}
	}
	d, next, ok := l.dayNumber(i)
	if !ok {
		return Date{}, i, false
	}
	if w := l.low(next); w == "of" || w == "." && l.glued(next) {
		next++
	}
	m, ok := l.month(next)
	if !ok {
		return Date{}, i, false
	}
	y, next := l.year(next + 1)
	out, ok := l.yearly(y, m, d)
	if ok && said && out.Next.Weekday() != named {
		return Date{}, i, false // the day and the date do not agree: see impossible
	}
	return out, next, ok
}

// monthDay reads June 6 and june 6th, 2028.
func (l *line) monthDay(i int) (Date, int, bool) {
	m, ok := l.month(i)
	if !ok {
		return Date{}, i, false
	}
	d, next, ok := l.dayNumber(i + 1)
	if !ok {
		return Date{}, i, false
	}
	if l.low(next) == ":" || l.toWord(next) && l.dayBefore(i) {
		return Date{}, i, false
	}
	y, next := l.year(next)
	out, ok := l.yearly(y, m, d)
	return out, next, ok
}

// dayBefore reports that a month has its day before it: "13 march 9-5" is 9 to 5 on the
// 13th.
func (l *line) dayBefore(i int) bool {
	return i > 0 && l.isNum(i-1) && isDigits(l.low(i-1)) && len(l.low(i-1)) <= 2 && atoi(l.low(i-1)) >= 1 && atoi(l.low(i-1)) <= 31
}

// endOfMonth reads "end of march" and "the end of the month".
func (l *line) endOfMonth(i int) (Date, int, bool) {
	if l.low(i) == "the" {
		i++
	}
	next, ok := l.words(i, "end", "of")
	if !ok {
		return Date{}, i, false
	}
	now := l.today()
	if after, ok := l.words(next, "the", "month"); ok {
		return fixed(lastDay(now.Year(), now.Month())), after, true
	}
	m, ok := l.month(next)
	if !ok {
		return Date{}, i, false
	}
	y, after := l.year(next + 1)
	if y != 0 {
		return fixed(lastDay(y, m)), after, true
	}
	out := Date{lastDay(now.Year(), m), lastDay(now.Year(), m)}
	if out.Next.Before(now) {
		out.Next = lastDay(now.Year()+1, m)
	}
	if out.Last.After(now) {
		out.Last = lastDay(now.Year()-1, m)
	}
	return out, after, true
}

func lastDay(y int, m time.Month) time.Time { return time.Date(y, m+1, 0, 0, 0, 0, 0, time.UTC) }
