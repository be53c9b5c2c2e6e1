package phrase

import "time"

// DateSpan is a run of days, both ends in it. From is zero where only the end
// was said ("until friday").
type DateSpan struct{ From, To time.Time }

// dateSpan reads 3-10 July, from 3 to 10 july, july 3-10, friday to sunday,
// until friday, this weekend. Dates are read towards the future, the second
// after the first.
func (l *line) dateSpan(i int) (DateSpan, int, bool) {
	for _, read := range []func(int) (DateSpan, int, bool){l.daysOfMonth, l.monthDays, l.dateToDate, l.untilDate, l.weekendSpan} {
		if s, next, ok := read(i); ok {
			return s, next, true
		}
	}
	return DateSpan{}, i, false
}

// toWord reads what joins the two ends of a span.
func (l *line) toWord(i int) bool {
	switch l.low(i) {
	case "-", "to", "until", "till", "til", "through", "thru":
		return true
	}
	return false
}

// daysOfMonth reads "3-10 July", "the 3rd to the 10th of July".
func (l *line) daysOfMonth(i int) (DateSpan, int, bool) {
	at := i
	if l.low(at) == "from" {
		at++
	}
	first, next, ok := l.dayNumber(at)
	if !ok || !l.toWord(next) {
		return DateSpan{}, i, false
	}
	last, after, ok := l.dayMonth(next + 1)
	if !ok || first < 1 || first > 31 {
		return DateSpan{}, i, false
	}
	from, ok := valid(last.Next.Year(), last.Next.Month(), first)
	if !ok || from.After(last.Next) {
		return DateSpan{}, i, false
	}
	return DateSpan{from, last.Next}, after, true
}

// monthDays reads "July 3-10".
func (l *line) monthDays(i int) (DateSpan, int, bool) {
	at := i
	if l.low(at) == "from" {
		at++
	}
	first, next, ok := l.monthDay(at)
	if !ok || !l.toWord(next) {
		return DateSpan{}, i, false
	}
	last, after, ok := l.dayNumber(next + 1)
	if _, month := l.month(after); !ok || month {
		return DateSpan{}, i, false
	}
	to, ok := valid(first.Next.Year(), first.Next.Month(), last)
	if !ok || to.Before(first.Next) {
		return DateSpan{}, i, false
	}
	return DateSpan{first.Next, to}, after, true
}

// dateToDate reads "3 july to 2 august", "from friday to sunday".
func (l *line) dateToDate(i int) (DateSpan, int, bool) {
	at := i
	if l.low(at) == "from" {
		at++
	}
	first, next, ok := l.date(at)
	if !ok || !l.toWord(next) {
		return DateSpan{}, i, false
	}
	ahead := *l
	ahead.ctx.Now = first.Next // the end is counted from the beginning
	last, after, ok := ahead.date(next + 1)
	if !ok || last.Next.Before(first.Next) {
		return DateSpan{}, i, false
	}
	return DateSpan{first.Next, last.Next}, after, true
}

func (l *line) untilDate(i int) (DateSpan, int, bool) {
	d, next, ok := l.until(i)
	return DateSpan{To: d.Next}, next, ok
}

// weekendSpan reads "this weekend", "at the weekend": the next Saturday and Sunday,
// or what is left of them.
func (l *line) weekendSpan(i int) (DateSpan, int, bool) {
	at := i
	for l.low(at) == "this" || l.low(at) == "the" || l.low(at) == "at" || l.low(at) == "over" {
		at++
	}
	if l.low(at) != "weekend" {
		return DateSpan{}, i, false
	}
	today := l.today()
	if today.Weekday() == time.Sunday {
		return DateSpan{today, today}, at + 1, true
	}
	saturday := today.AddDate(0, 0, (6-int(today.Weekday())+7)%7)
	return DateSpan{saturday, saturday.AddDate(0, 0, 1)}, at + 1, true
}

// clocks reads two or more times joined: "at 8 and 18", "8am and 6pm", "7, 12 and 19:30".
func (l *line) clocks(i int) ([]Clock, int, bool) {
	first, next, ok := l.clock(i)
	if !ok {
		return nil, i, false
	}
	out := []Clock{first}
	for {
		j := next
		for l.low(j) == "," || l.low(j) == "and" || l.low(j) == "&" {
			j++
		}
		if j == next {
			break
		}
		c, after, ok := l.clock(j)
		if !ok {
			c, after, ok = l.bareHour(j)
		}
		if !ok {
			break
		}
		out, next = append(out, c), after
	}
	return out, next, len(out) > 1
}

// bareHour reads a figure as an hour, where the words around it say that it is one.
func (l *line) bareHour(i int) (Clock, int, bool) {
	h, next, ok := l.wholeNumber(i)
	if !ok || l.measured(next) {
		return Clock{}, i, false
	}
	switch w := l.low(next); {
	case w == "daily", w == "every", w == "remind", w == "ring", w == "until", w == "till", w == "except", w == "again":
	case l.isWord(next) && !fillers[w]:
		return Clock{}, i, false // "at 9 and 5 buckets"
	}
	return openHour(h, 0, next)
}

// hour reads a clock time, or a figure as an hour.
func (l *line) hour(i int) (Clock, int, bool) {
	if c, next, ok := l.clock(i); ok {
		return c, next, true
	}
	h, next, ok := l.wholeNumber(i)
	if !ok || l.measured(next) {
		return Clock{}, i, false
	}
	return openHour(h, 0, next)
}

// plainHour reads a time without "to" or "past" in it, so that "from 9 to 5" is
// two.
func (l *line) plainHour(i int) (Clock, int, bool) {
	if c, next, ok := l.namedClock(i); ok {
		return c, next, true
	}
	if c, next, ok := l.digital(i); ok {
		return c, next, true
	}
	h, next, ok := l.wholeNumber(i)
	if !ok || l.measured(next) {
		return Clock{}, i, false
	}
	return openHour(h, 0, next)
}

// toClock reads "to 8" and "to 6.45": the time that something is moved to.
func (l *line) toClock(i int) (Clock, int, bool) {
	if l.low(i) != "to" {
		return Clock{}, i, false
	}
	if l.isNum(i + 1) {
		if h, m, ok := pointed(l.low(i + 1)); ok && h < 24 && m < 60 && !l.measured(i+2) {
			return Clock{Hour: h, Minute: m, Open: h >= 1 && h <= 12}, i + 2, true
		}
	}
	return l.hour(i + 1)
}
