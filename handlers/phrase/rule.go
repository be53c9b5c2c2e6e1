package phrase

import (
	"slices"
	"strings"
	"time"
)

// rule reads a recurrence.
func (l *line) rule(i int) (Rule, int, bool) {
	for _, read := range []func(int) (Rule, int, bool){
		l.nthWeekday, l.perDay, l.everyRule, l.adverb, l.weekdayList, l.monthDayRule,
	} {
		if r, next, ok := read(i); ok {
			return r, next, true
		}
	}
	return Rule{}, i, false
}

// perDay reads "twice a day", "three times daily".
func (l *line) perDay(i int) (Rule, int, bool) {
	n, next := 2, i+1
	if l.low(i) != "twice" {
		var ok bool
		if n, next, ok = l.wholeNumber(i); !ok || n < 2 || n > 6 || l.low(next) != "times" {
			return Rule{}, i, false
		}
		next++
	}
	switch w := l.low(next); {
	case w == "daily":
		next++
	case (w == "a" || w == "each" || w == "every" || w == "per") && l.low(next+1) == "day":
		next += 2
	default:
		return Rule{}, i, false
	}
	return Rule{Freq: "DAILY", Interval: 1, PerDay: n}, next, true
}

// Except takes days out of a daily or weekly rule; a rule that cannot be without
// them is returned as it is.
func (r Rule) Except(out []time.Weekday) Rule {
	if r.Freq != "DAILY" && r.Freq != "WEEKLY" && r.Freq != "HOURLY" || r.Interval != 1 && r.Freq != "HOURLY" || r.Freq == "HOURLY" && len(r.Hours) == 0 {
		return r
	}
	days := r.Days
	if len(days) == 0 {
		days = []time.Weekday{1, 2, 3, 4, 5, 6, 0}
	}
	left := slices.DeleteFunc(slices.Clone(days), func(d time.Weekday) bool { return slices.Contains(out, d) })
	if len(left) == 0 || len(left) == len(days) {
		return r
	}
	if r.Days = left; r.Freq == "DAILY" {
		r.Freq = "WEEKLY"
	}
	return r
}

// except reads "except sundays", "but not on saturday or sunday".
func (l *line) except(i int) ([]time.Weekday, int, bool) {
	next := i
	switch w := l.low(i); {
	case w == "except" || w == "excluding" || w == "but":
		next++
		if l.low(next) == "not" || l.low(next) == "for" {
			next++
		}
	case w == "apart" && l.low(i+1) == "from":
		next += 2
	default:
		return nil, i, false
	}
	if l.low(next) == "on" {
		next++
	}
	out, next, ok := l.days(next)
	if w := l.low(next); ok && (w == "or" || w == "nor") {
		if d, is := l.weekday(next + 1); is {
			out, next = append(out, d), next+2
		}
	}
	if w := l.low(next); !ok && (w == "weekends" || w == "weekend") {
		out, next, ok = weekend, next+1, true
	}
	return out, next, ok
}

// hoursFrom reads the part of the day of an hourly rule: "from 8 to 18".
func (l *line) hoursFrom(i int) ([]Clock, int, bool) {
	next := i
	if w := l.low(i); w == "from" || w == "between" {
		next++
	} else if !l.isNum(i) {
		return nil, i, false
	}
	var out []Clock
	for k := range 2 {
		c, after, ok := l.plainHour(next)
		if !ok || k == 0 && !l.toWord(after) && l.low(after) != "and" {
			return nil, i, false
		}
		out, next = append(out, c), after
		if k == 0 {
			next++
		}
	}
	if first, last := &out[0], &out[1]; last.Open && last.Hour <= first.Hour && last.Hour < 12 {
		last.Hour += 12
	}
	return out, next, out[0].Hour < out[1].Hour
}

// adverb reads daily, weekly, weekdays, fortnightly, monthly; a weekly one may
// name its day ("weekly on fridays").
func (l *line) adverb(i int) (Rule, int, bool) {
	w := l.low(i)
	if name, ok := nearest(w, []string{"weekdays", "weekends", "fortnightly"}); ok && w != "weekend" { // the one that comes
		w = name
	}
	r, ok := map[string]Rule{
		"daily": {Freq: "DAILY", Interval: 1}, "nightly": {Freq: "DAILY", Interval: 1}, "hourly": {Freq: "HOURLY", Interval: 1},
		"weekly": {Freq: "WEEKLY", Interval: 1}, "fortnightly": {Freq: "WEEKLY", Interval: 2},
		"monthly": {Freq: "MONTHLY", Interval: 1}, "yearly": {Freq: "YEARLY", Interval: 1},
		"weekdays": {Freq: "WEEKLY", Interval: 1, Days: workdays}, "weekends": {Freq: "WEEKLY", Interval: 1, Days: weekend},
	}[w]
	if !ok {
		return Rule{}, i, false
	}
	next := i + 1
	if days, after, ok := l.daysAfter(next); ok && r.Freq == "WEEKLY" && r.Days == nil {
		r.Days, next = days, after
	}
	if n, after, ok := l.monthDayAfter(next); ok && r.Freq == "MONTHLY" {
		r.MonthDays, next = []int{n}, after
	}
	return r, next, true
}

var (
	workdays = []time.Weekday{1, 2, 3, 4, 5}
	weekend  = []time.Weekday{6, 0}
)

// everyRule reads every day, every weekday, every other saturday, every 3 days,
// every 2 weeks on tue, every mon wed and fri, every morning.
func (l *line) everyRule(i int) (Rule, int, bool) {
	if l.low(i) == "on" {
		i++
	}
	if w := l.low(i); w != "every" && w != "each" && w != "evry" && w != "ever" {
		return Rule{}, i, false
	}
	next, interval := i+1, 1
	switch l.low(next) {
	case "other", "second", "alternate":
		if _, isUnit := timeUnits[l.low(next+1)]; isUnit || l.dayWord(next+1) {
			next, interval = next+1, 2
		}
	case "single":
		next++
	default:
		if n, after, ok := l.wholeNumber(next); ok && n >= 1 && n <= 1000 && !l.glued(after) {
			next, interval = after, n
		} else if n, after, ok := l.ordinal(next); ok && n > 1 && (l.low(after) == "day" || l.low(after) == "week" || l.low(after) == "month") {
			next, interval = after, n
		} else if n, after, ok := l.dayNumber(next); ok && after == next+2 && l.dayWord(after) {
			next, interval = after, n // "every 3rd friday" as an interval of weeks
		}
	}
	return l.everyUnit(next, interval)
}

func (l *line) dayWord(i int) bool {
	_, ok := l.weekday(i)
	return ok
}

func (l *line) everyUnit(i, interval int) (Rule, int, bool) {
	if days, next, ok := l.days(i); ok {
		return Rule{Freq: "WEEKLY", Interval: interval, Days: days}, next, true
	}
	r := Rule{Interval: interval}
	next := i + 1
	switch w := l.low(i); w {
	case "day", "days":
		r.Freq = "DAILY"
	case "morning", "afternoon", "evening", "night":
		return Rule{Freq: "DAILY", Interval: interval}, i, true // the part of the day is read by itself
	case "weekday", "weekdays", "schoolday", "schooldays":
		r.Freq, r.Days = "WEEKLY", workdays
	case "school":
		if l.low(next) != "day" && l.low(next) != "morning" {
			return Rule{}, i, false
		}
		r.Freq, r.Days = "WEEKLY", workdays
		next++
	case "weekend", "weekends":
		r.Freq, r.Days = "WEEKLY", weekend
	case "week", "weeks":
		r.Freq = "WEEKLY"
		if days, after, ok := l.daysAfter(next); ok {
			r.Days, next = days, after
		}
	case "fortnight":
		r.Freq, r.Interval = "WEEKLY", 2
	case "month", "months":
		r.Freq = "MONTHLY"
		if n, after, ok := l.monthDayAfter(next); ok {
			r.MonthDays, next = []int{n}, after
		}
	case "year", "years":
		r.Freq = "YEARLY"
	case "hour", "hours", "hrs", "h":
		r.Freq = "HOURLY"
		if hours, after, ok := l.hoursFrom(next); ok {
			r.Hours, next = hours, after
		}
	case "minutes", "minute", "mins", "min":
		r.Freq = "MINUTELY"
		if hours, after, ok := l.hoursFrom(next); ok {
			r.Hours, next = hours, after
		}
	default:
		return Rule{}, i, false
	}
	return r, next, true
}

// daysAfter reads "on tue", "tue and thu" after a weekly word.
func (l *line) daysAfter(i int) ([]time.Weekday, int, bool) {
	if l.low(i) == "on" {
		i++
	}
	return l.days(i)
}

// days reads a list of weekdays: mon wed fri, tuesdays and thursdays, mon-fri.
func (l *line) days(i int) ([]time.Weekday, int, bool) {
	first, ok := l.weekday(i)
	if !ok {
		return nil, i, false
	}
	if i+1 < len(l.toks) && l.toks[i+1].Joined {
		if last, ok := l.weekday(i + 1); ok {
			return dayRange(first, last), i + 2, true
		}
	}
	if l.low(i+1) == "to" {
		if last, ok := l.weekday(i + 2); ok {
			return dayRange(first, last), i + 3, true
		}
	}
	days := []time.Weekday{first}
	next := i + 1
	for {
		j := next
		for l.low(j) == "," || l.low(j) == "and" || l.low(j) == "&" || l.low(j) == "/" {
			j++
		}
		d, ok := l.weekday(j)
		if !ok {
			return days, next, true
		}
		days, next = append(days, d), j+1
	}
}

func dayRange(first, last time.Weekday) []time.Weekday {
	days := []time.Weekday{first}
	for d := first; d != last; {
		d = (d + 1) % 7
		days = append(days, d)
	}
	return days
}

// weekdayList reads a list of two or more weekdays, or a plural one, as weekly.
func (l *line) weekdayList(i int) (Rule, int, bool) {
	at := i
	if l.low(i) == "on" {
		at++
	}
	days, next, ok := l.days(at)
	if !ok || (len(days) == 1 && !strings.HasSuffix(l.low(at), "days")) {
		return Rule{}, i, false
	}
	if l.low(next) == "weekly" {
		next++
	}
	return Rule{Freq: "WEEKLY", Interval: 1, Days: days}, next, true
}

// nthWeekday reads last friday monthly, first monday of every month, every 2nd
// tuesday of the month.
func (l *line) nthWeekday(i int) (Rule, int, bool) {
	at := i
	for l.low(at) == "on" || l.low(at) == "every" || l.low(at) == "the" || l.low(at) == "each" {
		at++
	}
	n := -1
	next := at + 1
	if l.low(at) != "last" {
		var ok bool
		if n, next, ok = l.dayNumber(at); !ok || n < 1 || n > 5 {
			return Rule{}, i, false
		}
	}
	d, ok := l.weekday(next)
	if !ok {
		return Rule{}, i, false
	}
	after, ok := l.monthly(next + 1)
	if !ok {
		return Rule{}, i, false
	}
	return Rule{Freq: "MONTHLY", Interval: 1, Days: []time.Weekday{d}, Nth: n}, after, true
}

// monthly reads "monthly", "of the month", "of every month", "each month".
func (l *line) monthly(i int) (int, bool) {
	if l.low(i) == "monthly" {
		return i + 1, true
	}
	if w := l.low(i); w == "of" || w == "in" {
		i++
	}
	if w := l.low(i); w == "the" || w == "every" || w == "each" || w == "a" {
		if l.low(i+1) == "month" {
			return i + 2, true
		}
	}
	return i, false
}

// monthDayRule reads "on the 15th monthly", "the 1st of every month".
func (l *line) monthDayRule(i int) (Rule, int, bool) {
	n, next, ok := l.monthDayAfter(i)
	if !ok {
		return Rule{}, i, false
	}
	after, ok := l.monthly(next)
	if !ok {
		return Rule{}, i, false
	}
	return Rule{Freq: "MONTHLY", Interval: 1, MonthDays: []int{n}}, after, true
}

// monthDayAfter reads "on the 3rd", "the last day".
func (l *line) monthDayAfter(i int) (int, int, bool) {
	if l.low(i) == "on" {
		i++
	}
	start := i
	if l.low(i) == "the" {
		start++
	}
	if next, ok := l.words(start, "last", "day"); ok {
		return -1, next, true
	}
	n, next, ok := l.dayNumber(i)
	if !ok || n < 1 || n > 31 || next == start+1 && l.isNum(start) {
		return 0, i, false // a bare figure without "th" is not a day of the month
	}
	return n, next, true
}

// times reads "5 times", "three times", "once".
func (l *line) times(i int) (int, int, bool) {
	if l.low(i) == "for" {
		i++
	}
	n, next, ok := l.wholeNumber(i)
	if !ok || n < 1 || n > 10_000 || (l.low(next) != "times" && l.low(next) != "x") {
		return 0, i, false
	}
	return n, next + 1, true
}

// until reads "until 1 sep", "till friday".
func (l *line) until(i int) (Date, int, bool) {
	switch l.low(i) {
	case "until", "till", "til", "untill", "through", "thru":
		return l.date(i + 1)
	}
	return Date{}, i, false
}
