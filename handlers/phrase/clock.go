package phrase

// clock reads a wall-clock time. A bare number is a time only after "at", "by",
// "from" or "till".
func (l *line) clock(i int) (Clock, int, bool) {
	at := i
	if w := l.low(i); w == "at" || w == "by" || w == "@" || w == "around" || w == "about" {
		at = i + 1
	}
	if c, next, ok := l.namedClock(at); ok {
		return c, next, true
	}
	if c, next, ok := l.pastOrTo(at); ok {
		return c, next, true
	}
	if c, next, ok := l.digital(at); ok {
		return c, next, true
	}
	if c, next, ok := l.hourWithHalf(at); ok {
		return c, next, true
	}
	if at == i {
		return Clock{}, i, false
	}
	h, next, ok := l.wholeNumber(at)
	if !ok || l.measured(next) {
		return Clock{}, i, false
	}
	if h >= 100 && h < 2400 && h%100 < 60 {
		return Clock{Hour: h / 100, Minute: h % 100, Open: h < 1300 && l.low(at)[0] != '0'}, next, true
	}
	return openHour(h, 0, next)
}

// measured reports that the number before i counts something else than hours.
func (l *line) measured(i int) bool {
	if _, _, unit := l.unitAt(i); unit && i < len(l.toks) {
		return true
	}
	switch l.low(i) {
	case "%", "degrees", "°", ":", "/", "percent", "days", "weeks", "times":
		return true
	}
	_, isTime := timeUnits[l.low(i)]
	return isTime
}

func openHour(h, m, next int) (Clock, int, bool) {
	if h < 0 || h > 23 || m < 0 || m > 59 {
		return Clock{}, next, false
	}
	return Clock{Hour: h, Minute: m, Open: h >= 1 && h <= 12}, next, true
}

func (l *line) namedClock(i int) (Clock, int, bool) {
	switch l.low(i) {
	case "noon", "midday":
		return Clock{Hour: 12}, i + 1, true
	case "midnight":
		return Clock{Hour: 0}, i + 1, true
	}
	return Clock{}, i, false
}

// half reads am, pm, a.m., "in the morning", "at night".
func (l *line) half(i int) (pm bool, next int, ok bool) {
	switch l.low(i) {
	case "am":
		return false, i + 1, true
	case "pm":
		return true, i + 1, true
	case "a", "p":
		next := i + 1
		if l.low(next) == "." {
			next++
		}
		if l.low(next) != "m" {
			return false, i, false
		}
		next++
		if l.low(next) == "." && l.glued(next) {
			next++
		}
		return l.low(i) == "p", next, true
	case "in":
		if l.low(i+1) != "the" {
			return false, i, false
		}
		switch l.low(i + 2) {
		case "morning":
			return false, i + 3, true
		case "afternoon", "evening":
			return true, i + 3, true
		}
	case "at":
		if l.low(i+1) == "night" {
			return true, i + 2, true
		}
	}
	return false, i, false
}

// fix applies am or pm to an hour of 1 to 12.
func fix(h, m int, pm bool, next int) (Clock, int, bool) {
	if h < 1 || h > 12 || m < 0 || m > 59 {
		return Clock{}, next, false
	}
	h %= 12
	if pm {
		h += 12
	}
	return Clock{Hour: h, Minute: m}, next, true
}

// digital reads 17:30, 7.30 pm, 7am, seven pm, seven o'clock, 0730.
func (l *line) digital(i int) (Clock, int, bool) {
	h, m, next, minutes, ok := l.hourMinute(i)
	if !ok {
		return Clock{}, i, false
	}
	next, oclock := l.oclock(next)
	if pm, after, ok := l.half(next); ok {
		return fix(h, m, pm, after)
	}
	if oclock {
		return openHour(h, m, next)
	}
	if minutes == ':' {
		if h > 23 || m > 59 {
			return Clock{}, i, false
		}
		return Clock{Hour: h, Minute: m, Open: h >= 1 && h <= 12 && l.low(i)[0] != '0'}, next, true
	}
	if w := l.low(next); minutes == '4' && (w == "hrs" || w == "h" || w == "hours") {
		next++
	}
	if minutes == '4' {
		return Clock{Hour: h, Minute: m, Open: false}, next, true
	}
	return Clock{}, i, false
}

func (l *line) oclock(i int) (int, bool) {
	switch {
	case l.low(i) == "o'clock" || l.low(i) == "oclock":
		return i + 1, true
	case l.low(i) == "o" && l.low(i+1) == "clock":
		return i + 2, true
	}
	return i, false
}

// hourMinute reads the figures of a time and says how the minutes were parted:
// ':' by a colon, '.' by a point, '4' as four figures, 0 when there were none.
func (l *line) hourMinute(i int) (h, m, next int, minutes byte, ok bool) {
	if l.isNum(i) {
		t := l.toks[i]
		if l.low(i+1) == ":" && l.glued(i+1) && l.isNum(i+2) && l.glued(i+2) && len(l.low(i+2)) == 2 && len(t.Low) <= 2 {
			m, _, ok = l.wholeNumber(i + 2)
			h = int(t.Value.Num().Int64())
			return h, m, i + 3, ':', ok && t.Value.IsInt()
		}
		if h, m, ok := pointed(t.Low); ok {
			if _, _, half := l.half(i + 1); half || l.low(i-1) == "at" || l.low(i-1) == "by" || h > 12 && h < 24 && m < 60 && !l.measured(i+1) {
				return h, m, i + 1, l.pointKind(i + 1), true
			}
			return 0, 0, i, 0, false
		}
		hrs := l.low(i+1) == "hrs" || l.low(i+1) == "h" || l.low(i+1) == "hours"
		if len(t.Low) == 4 && isDigits(t.Low) && (hrs || !l.measured(i+1)) {
			n := int(t.Value.Num().Int64())
			if n/100 < 24 && n%100 < 60 && (n < 2020 || n > 2059) {
				return n / 100, n % 100, i + 1, '4', true
			}
			return 0, 0, i, 0, false
		}
	}
	h, next, ok = l.wholeNumber(i)
	return h, 0, next, 0, ok && !l.measuredBare(next)
}

func (l *line) pointKind(next int) byte {
	if _, _, half := l.half(next); half {
		return '.'
	}
	return ':'
}

func (l *line) measuredBare(i int) bool { return l.low(i) == ":" || l.low(i) == "/" }

// pointed splits "7.30".
func pointed(s string) (h, m int, ok bool) {
	for j := 0; j < len(s); j++ {
		if s[j] == '.' && j > 0 && j <= 2 && len(s)-j == 3 && isDigits(s[:j]) && isDigits(s[j+1:]) {
			return atoi(s[:j]), atoi(s[j+1:]), true
		}
	}
	return 0, 0, false
}

func isDigits(s string) bool {
	for j := 0; j < len(s); j++ {
		if s[j] < '0' || s[j] > '9' {
			return false
		}
	}
	return s != ""
}

func atoi(s string) int {
	n := 0
	for j := 0; j < len(s) && j < 9; j++ {
		n = n*10 + int(s[j]-'0')
	}
	return n
}

// hourWithHalf reads "seven thirty", "half seven" and "seven fifteen".
func (l *line) hourWithHalf(i int) (Clock, int, bool) {
	if l.low(i) == "half" {
		if h, next, ok := l.wholeNumber(i + 1); ok && h >= 1 && h <= 12 && !l.measured(next) {
			return l.halved(h, 30, next)
		}
		return Clock{}, i, false
	}
	h, ok := smallNumbers[l.low(i)]
	if !ok || h < 1 || h > 12 {
		return Clock{}, i, false
	}
	m, ok := tens[l.low(i+1)]
	next := i + 2
	if !ok {
		m, ok = smallNumbers[l.low(i+1)]
		ok = ok && m >= 10
	} else if unit, more := smallNumbers[l.low(next)]; more && unit > 0 && unit < 10 {
		m, next = m+unit, next+1
	}
	if !ok || m > 59 || l.measured(next) {
		return Clock{}, i, false
	}
	return l.halved(int(h), int(m), next)
}

// halved takes am or pm when it follows, and leaves the hour open when not.
func (l *line) halved(h, m, next int) (Clock, int, bool) {
	if pm, after, ok := l.half(next); ok {
		return fix(h, m, pm, after)
	}
	return openHour(h, m, next)
}

// pastOrTo reads half past five, quarter to seven, twenty past 8, ten to six.
func (l *line) pastOrTo(i int) (Clock, int, bool) {
	m, next, ok := l.minutesSaid(i)
	if !ok {
		return Clock{}, i, false
	}
	to := l.low(next) == "to" || l.low(next) == "til" || l.low(next) == "till"
	if !to && l.low(next) != "past" && l.low(next) != "after" {
		return Clock{}, i, false
	}
	if c, after, ok := l.namedClock(next + 1); ok {
		return shiftClock(c, m, to), after, true
	}
	h, after, ok := l.wholeNumber(next + 1)
	if !ok || h < 1 || h > 12 {
		return Clock{}, i, false
	}
	c, after, ok := l.halved(h, 0, after)
	if !ok {
		return Clock{}, i, false
	}
	open := c.Open
	c = shiftClock(c, m, to)
	if open && c.Hour == 0 {
		c.Hour = 12
	}
	c.Open = open
	return c, after, true
}

func shiftClock(c Clock, m int, to bool) Clock {
	total := c.Hour*60 + c.Minute + m
	if to {
		total = c.Hour*60 + c.Minute - m
	}
	total = (total + 24*60) % (24 * 60)
	return Clock{Hour: total / 60, Minute: total % 60}
}

func (l *line) minutesSaid(i int) (int, int, bool) {
	if l.low(i) == "a" {
		i++
	}
	switch l.low(i) {
	case "half":
		return 30, i + 1, l.low(i+1) == "past"
	case "quarter":
		return 15, i + 1, true
	}
	m, next, ok := l.wholeNumber(i)
	if !ok || m < 1 || m > 59 {
		return 0, i, false
	}
	w := l.low(next)
	if w == "minutes" || w == "mins" || w == "min" {
		return m, next + 1, true
	}
	if before := l.low(i - 1); before == "from" || before == "between" { // "out from 2 to 4", "from 5 to 6"
		return 0, i, false
	}
	return m, next, true
}

// partsOfDay gives the hour that each word stands for when no other is said.
var partsOfDay = map[string]Part{
	"morning": {Name: "morning", Hour: 8}, "breakfast": {Name: "breakfast", Hour: 8}, "lunchtime": {Name: "lunchtime", Hour: 12, PM: true},
	"afternoon": {Name: "afternoon", Hour: 15, PM: true}, "evening": {Name: "evening", Hour: 19, PM: true}, "night": {Name: "night", Hour: 21, PM: true},
	"tonight": {Name: "tonight", Hour: 20, PM: true, Fixed: true}, "teatime": {Name: "teatime", Hour: 17, PM: true}, "bedtime": {Name: "bedtime", Hour: 20, PM: true},
}

// part reads morning, this evening, tonight.
func (l *line) part(i int) (Part, int, bool) {
	if next, ok := l.words(i, "last", "night"); ok {
		return Part{Name: "last night", Hour: 21, PM: true, Fixed: true, Days: -1}, next, true
	}
	next := i
	if w := l.low(i); w == "this" || w == "in" || w == "the" || w == "at" {
		next++
		if l.low(next) == "the" {
			next++
		}
	}
	p, ok := partsOfDay[l.low(next)]
	if !ok && l.isWord(next) && next == i {
		name, near := nearest(l.low(next), []string{"morning", "afternoon", "evening", "tonight"})
		p, ok = partsOfDay[name]
		ok = ok && near
	}
	if !ok {
		return Part{}, i, false
	}
	p.Fixed = p.Fixed || l.low(i) == "this"
	return p, next + 1, true
}
