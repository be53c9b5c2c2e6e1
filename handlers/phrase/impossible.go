package phrase

import (
	"fmt"
	"time"
)

// impossible reads what has the shape of a date, time or recurrence and cannot
// be one, and says why: 31 June, 25:00, every 0 days.
func (l *line) impossible(i int) (string, int, bool) {
	for _, read := range []func(int) (string, int, bool){l.backwardDays, l.badDayMonth, l.badISO, l.badSlash, l.badClock, l.badEvery} {
		if why, next, ok := read(i); ok {
			return why, next, true
		}
	}
	return "", i, false
}

// backwardDays reads "10-3 July".
func (l *line) backwardDays(i int) (string, int, bool) {
	first, next, ok := l.dayNumber(i)
	if !ok || l.low(next) != "-" && l.low(next) != "to" {
		return "", i, false
	}
	last, after, ok := l.dayMonth(next + 1)
	if !ok || first <= last.Next.Day() || first > 31 {
		return "", i, false
	}
	return fmt.Sprintf("%d to %d %s runs backward.", first, last.Next.Day(), last.Next.Month()), after, true
}

func (l *line) badDayMonth(i int) (string, int, bool) {
	at := i
	named, said := l.weekday(i)
	if said {
		at++
	}
	d, next, ok := l.dayNumber(at)
	if ok {
		if l.low(next) == "of" {
			next++
		}
		m, isMonth := l.month(next)
		if day, after, alone := l.dayAlone(at); said && alone && !isMonth {
			return fmt.Sprintf("%s %s is a %s, not a %s.", l.text[l.toks[at].Start:l.toks[after-1].End], day.Next.Month(), day.Next.Weekday(), named), after, day.Next.Weekday() != named && day.Last.Weekday() != named
		}
		if !isMonth {
			return "", i, false
		}
		if why, after, bad := l.noSuchDay(d, m, next+1); bad || !said {
			return why, after, bad
		}
		year, after := l.year(next + 1)
		date, _ := l.yearly(year, m, d)
		return fmt.Sprintf("%d %s is a %s, not a %s.", d, m, date.Next.Weekday(), named), after, date.Next.Weekday() != named
	}
	m, ok := l.month(i)
	if !ok {
		return "", i, false
	}
	d, next, ok = l.dayNumber(i + 1)
	if !ok || l.low(next) == ":" {
		return "", i, false
	}
	return l.noSuchDay(d, m, next)
}

func (l *line) noSuchDay(d int, m time.Month, next int) (string, int, bool) {
	year, next := l.year(next)
	if _, ok := l.yearly(year, m, d); ok {
		return "", next, false
	}
	if year != 0 {
		return fmt.Sprintf("%d %s %d is not a date: that month has %d days.", d, m, year, lastDay(year, m).Day()), next, true
	}
	if m == time.February {
		return fmt.Sprintf("%d February is not a date: it has 28 days, 29 in a leap year.", d), next, true
	}
	return fmt.Sprintf("%d %s is not a date: %s has %d days.", d, m, m, lastDay(2028, m).Day()), next, true
}

func (l *line) badISO(i int) (string, int, bool) {
	if _, next, ok := l.isoDate(i); !ok && next == i+5 {
		return fmt.Sprintf("%s-%s-%s is not a date.", l.low(i), l.low(i+2), l.low(i+4)), next, true
	}
	return "", i, false
}

func (l *line) badSlash(i int) (string, int, bool) {
	if l.low(i+1) != "/" {
		return "", i, false
	}
	_, next, ok := l.slashDate(i)
	if ok || next == i {
		return "", i, false
	}
	order := "month/day"
	if l.ctx.DayFirst {
		order = "day/month"
	}
	return fmt.Sprintf("%s is not a date, read as %s.", l.text[l.toks[i].Start:l.toks[next-1].End], order), next, true
}

func (l *line) badClock(i int) (string, int, bool) {
	at := i
	if l.low(i) == "at" {
		at++
	}
	if !l.isNum(at) || !isDigits(l.low(at)) {
		return "", i, false
	}
	if l.low(at+1) == ":" && l.glued(at+1) && l.isNum(at+2) && l.glued(at+2) && len(l.low(at+2)) == 2 && len(l.low(at)) == 2 {
		h, m := atoi(l.low(at)), atoi(l.low(at+2))
		if h > 23 || m > 59 {
			return fmt.Sprintf("%s:%s is not a time: the day runs from 00:00 to 23:59.", l.low(at), l.low(at+2)), at + 3, true
		}
		return "", i, false
	}
	if _, next, ok := l.half(at + 1); ok && l.glued(at+1) && atoi(l.low(at)) > 12 && len(l.low(at)) <= 2 {
		return fmt.Sprintf("%s%s is not a time.", l.low(at), l.low(at+1)), next, true
	}
	return "", i, false
}

func (l *line) badEvery(i int) (string, int, bool) {
	if l.low(i) != "every" {
		return "", i, false
	}
	n, next, ok := l.wholeNumber(i + 1)
	if !ok || n >= 1 && n <= 1000 {
		return "", i, false
	}
	if _, unit := timeUnits[l.low(next)]; !unit {
		return "", i, false
	}
	return fmt.Sprintf("Every %d %s cannot be: every 1 to 1000.", n, l.low(next)), next + 1, true
}
