package phrase

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// DaysSaid are all the days that a line names, one by one.
type DaysSaid struct {
	Days    []time.Time // in order; none where the line names none
	Open    bool        // they begin on the first of these, and nobody said when they end
	Always  bool        // from now on, and no day is named
	Weekly  bool        // every week: no days of the calendar
	Last    bool        // the first of these is the last day of something
	Break   bool        // these come after the last day of something
	Trouble string      // what has the shape of a day and is none
	Either  bool        // a day of the week is today's: it may mean today
	Covered []bool      // the tokens that say all this
}

// Said reports that a line speaks of days, whether or not they could be read.
func (d DaysSaid) Said() bool { return len(d.Days) > 0 || d.Weekly || d.Trouble != "" }

// mostDaysSaid bounds a run of days: two years.
const mostDaysSaid = 731

// ReadDays reads every day that a line names: "monday and tuesday", "5, 8 and 9 march", "this
// week and next", "from the 22nd". A day of the week that is today's means the one in a week,
// or today where today is set.
func ReadDays(text string, toks []Token, ctx Context, today bool) DaysSaid {
	r := dayReader{line: &NewLine(text, toks, ctx).line, today: today}
	r.out.Covered = make([]bool, len(toks))
	for i := 0; i < len(toks); {
		next := r.at(i)
		for k := i; k < next; k++ {
			r.out.Covered[k] = true
		}
		i = max(next, i+1)
	}
	slices.SortFunc(r.out.Days, time.Time.Compare)
	r.out.Days = slices.Compact(r.out.Days)
	if !r.named.IsZero() && len(r.out.Days) > 1 && slices.ContainsFunc(r.out.Days, func(d time.Time) bool { return d.Weekday() == r.named.Weekday() && !d.Equal(r.named) }) {
		r.out.Trouble = fmt.Sprintf("That day is %s as I reckon it.", r.named.Format("Mon 2 Jan 2006"))
	}
	return r.out
}

// dayReader reads the days of a line from its beginning to its end.
type dayReader struct {
	*line
	today bool
	last  time.Time // the day of the week read last, which the next one follows
	named time.Time // the day that a name stands for, as good friday

	list     []time.Time // the days of the week that were read last, one joined to the next
	listPast int         // the token after them
	out      DaysSaid
}

// at reads what says days at a token and returns where it ends; the token itself for nothing.
func (r *dayReader) at(i int) int {
	for _, read := range []func(int) int{r.noEnd, r.weekly, r.lastDay, r.weeks, r.length, r.ofMonth, r.run, r.one, r.none} {
		if next := read(i); next > i {
			return next
		}
	}
	return i
}

func (r *dayReader) add(days ...time.Time) { r.out.Days = append(r.out.Days, days...) }

func (r *dayReader) addRun(from, to time.Time) {
	for day := from; !day.After(to) && len(r.out.Days) < mostDaysSaid; day = day.AddDate(0, 0, 1) {
		r.add(day)
	}
}

// noEnd reads "from now on", "until further notice", and "from friday" with no end.
func (r *dayReader) noEnd(i int) int {
	for _, words := range [][]string{{"from", "now", "on"}, {"from", "today", "on"}, {"until", "further", "notice"}, {"till", "further", "notice"}, {"til", "further", "notice"}, {"for", "good"}, {"from", "now"}} {
		if next, ok := r.words(i, words...); ok {
			if len(r.out.Days) == 0 {
				r.add(r.line.today())
				r.out.Always = true
			}
			r.out.Open = true
			return next
		}
	}
	at := i + 1
	switch r.low(i) {
	case "from", "starting", "since", "beginning":
	case "as":
		if r.low(at) != "of" && r.low(at) != "from" {
			return i
		}
		at++
	default:
		return i
	}
	if _, _, isRun := r.dateSpan(i); isRun {
		return i
	}
	d, next, ok := r.day(at)
	if !ok {
		return i
	}
	if w := r.low(next); w == "on" || w == "onwards" || w == "onward" {
		next++
	}
	r.add(d)
	r.out.Always = false
	if n, past, ok := r.lengthAt(next); ok {
		r.addRun(d, d.AddDate(0, 0, n-1))
		return past
	}
	if until, past, ok := r.until(next); ok {
		r.addRun(d, until.Next)
		return past
	}
	r.out.Open = true
	return next
}

// weekly reads "every friday", "on fridays".
func (r *dayReader) weekly(i int) int {
	if w := r.low(i); w == "every" || w == "each" {
		_, isDay := r.weekday(i + 1)
		if w := r.low(i + 1); !isDay && w != "day" && w != "week" && w != "weekday" && w != "morning" && w != "afternoon" {
			return i
		}
		r.out.Weekly = true
		return i + 2
	}
	if slices.Contains(weekdays, strings.TrimSuffix(r.low(i), "s")) && strings.HasSuffix(r.low(i), "s") || r.low(i) == "weekdays" || r.low(i) == "weekends" {
		r.out.Weekly = true
		return i + 1
	}
	return i
}

// lastDay reads "breaks up on the 26th": the days begin after it.
func (r *dayReader) lastDay(i int) int {
	at := i + 2
	if past, ok := r.words(i, "last", "day", "of", "school", "is"); ok {
		at = past
	} else if past, ok := r.words(i, "last", "day", "of", "term", "is"); ok {
		at = past
	} else if w := r.low(i); w != "break" && w != "breaks" || r.low(i+1) != "up" {
		return i
	}
	d, next, ok := r.day(at)
	if !ok {
		return i
	}
	off := d.AddDate(0, 0, 1)
	if n, past, long := r.lengthAt(next); long {
		r.addRun(off, d.AddDate(0, 0, n))
		r.out.Break = true
		return past
	}
	if to, past, ends := r.until(next); ends && to.Next.After(d) {
		r.addRun(off, to.Next)
		r.out.Break = true
		return past
	}
	r.add(d)
	r.out.Last = true
	return next
}

// weeks reads "next week", "this week and next", "the rest of the week", "the week after next".
func (r *dayReader) weeks(i int) int {
	monday := r.line.today().AddDate(0, 0, -(int(r.line.today().Weekday())+6)%7)
	week := func(n int) { r.addRun(later(monday.AddDate(0, 0, 7*n), r.line.today()), monday.AddDate(0, 0, 7*n+6)) }
	for _, words := range [][]string{{"the", "week", "after", "next"}, {"week", "after", "next"}} {
		if next, ok := r.words(i, words...); ok {
			week(2)
			return next
		}
	}
	if next, ok := r.words(i, "next", "week"); ok {
		if r.listPast == i && len(r.list) > 0 {
			r.toWeek(monday.AddDate(0, 0, 7))
			return next
		}
		week(1)
		return next
	}
	for _, words := range [][]string{{"this", "week"}, {"this", "whole", "week"}, {"all", "this", "week"}, {"all", "week"}, {"the", "whole", "week"}, {"rest", "of", "the", "week"}, {"rest", "of", "this", "week"}, {"the", "week"}} {
		next, ok := r.words(i, words...)
		if !ok {
			continue
		}
		week(0)
		for _, more := range [][]string{{"and", "next", "week"}, {"and", "next"}} {
			if after, ok := r.words(next, more...); ok {
				week(1)
				return after
			}
		}
		return next
	}
	if next, ok := r.words(i, "next", "two", "weeks"); ok {
		week(1)
		week(2)
		return next
	}
	return i
}

// toWeek has the days of the week that were read last be of the week that begins on a Monday:
// "monday or tuesday next week".
func (r *dayReader) toWeek(monday time.Time) {
	for _, day := range r.list {
		if i := slices.Index(r.out.Days, day); i >= 0 {
			r.out.Days[i] = monday.AddDate(0, 0, sinceMonday(day.Weekday()))
		}
	}
	r.out.Either = false
}

// length reads "for 2 weeks" and "for three days", from the day that was said, or today.
func (r *dayReader) length(i int) int {
	n, next, ok := r.lengthAt(i)
	if !ok {
		return i
	}
	from := r.line.today()
	if len(r.out.Days) > 0 {
		from = r.out.Days[len(r.out.Days)-1]
	}
	r.addRun(from, from.AddDate(0, 0, n-1))
	return next
}

// lengthAt reads a number of days.
func (r *dayReader) lengthAt(i int) (int, int, bool) {
	at, said := i, false
	if r.low(at) == "for" {
		at, said = at+1, true
	}
	if w := r.low(at); said && (w == "the" || w == "another") && (r.low(at+1) == "next" || w == "another") {
		at++
	}
	if r.low(at) == "next" {
		at, said = at+1, true
	}
	n, next, ok := r.wholeNumber(at)
	if w := r.low(at); !ok && (w == "a" || w == "one") {
		n, next, ok = 1, at+1, true
	}
	if !ok || !said || n < 1 || n > 100 {
		return 0, i, false
	}
	switch strings.TrimSuffix(r.low(next), "s") {
	case "day":
		return n, next + 1, true
	case "week":
		return 7 * n, next + 1, true
	case "fortnight":
		return 14 * n, next + 1, true
	}
	return 0, i, false
}

// ofMonth reads several days of one month: "5, 8 and 9 march", "1st and 2nd of april", "march
// 5, 8 and 9", "between 8 and 12 march".
func (r *dayReader) ofMonth(i int) int {
	at, between := i, r.low(i) == "between"
	if between || r.low(at) == "on" || r.low(at) == "the" {
		at++
	}
	if first, next, ok := r.monthDay(at); ok && !between {
		days, end := []time.Time{first.Next}, next
		for {
			n, past, ok := r.joined(end)
			day, is := valid(first.Next.Year(), first.Next.Month(), n)
			if !ok || !is || r.low(past) == ":" || r.isHalf(past) {
				break
			}
			days, end = append(days, day), past
		}
		if len(days) < 2 {
			return i
		}
		r.add(days...)
		return end
	}
	n, next, ok := r.dayNumber(at)
	if !ok {
		return i
	}
	numbers, end := []int{n}, next
	for {
		if last, past, ok := r.dayMonth(r.skipJoin(end)); ok && past > end {
			return r.listed(numbers, last.Next, between, i, past)
		}
		n, past, ok := r.joined(end)
		if !ok {
			return i
		}
		numbers, end = append(numbers, n), past
	}
}

// listed adds the days of a list that ends with its month.
func (r *dayReader) listed(numbers []int, last time.Time, between bool, from, past int) int {
	var days []time.Time
	for _, n := range numbers {
		day, ok := valid(last.Year(), last.Month(), n)
		if !ok {
			r.out.Trouble = fmt.Sprintf("%d %s is not a date.", n, last.Month())
			return past
		}
		if day.Before(r.line.today()) && !last.Before(r.line.today()) && day.After(last) {
			return from
		}
		days = append(days, day)
	}
	if between {
		r.addRun(days[0], last)
		return past
	}
	r.add(append(days, last)...)
	return past
}

// skipJoin passes over what joins the days of a list.
func (r *dayReader) skipJoin(i int) int {
	for r.low(i) == "," || r.low(i) == "and" || r.low(i) == "&" || r.low(i) == "+" {
		i++
	}
	return i
}

// joined reads the next number of a list.
func (r *dayReader) joined(i int) (int, int, bool) {
	at := r.skipJoin(i)
	if at == i {
		return 0, i, false
	}
	n, next, ok := r.dayNumber(at)
	return n, next, ok && n >= 1 && n <= 31
}

func (r *dayReader) isHalf(i int) bool { return r.low(i) == "am" || r.low(i) == "pm" }

// run reads a run of days with both its ends, or until a day.
func (r *dayReader) run(i int) int {
	s, next, ok := r.dateSpan(i)
	if !ok {
		return i
	}
	if s.From.IsZero() {
		s.From = r.line.today()
		if n := len(r.out.Days); n > 0 {
			s.From = r.out.Days[n-1]
			r.out.Open = false
		}
	} else if named, is := r.weekday(r.skipFrom(i)); is && named == r.line.today().Weekday() && s.From.Equal(r.line.today().AddDate(0, 0, 7)) {
		r.out.Either = true
		if r.today {
			s.From, s.To = r.line.today(), s.To.AddDate(0, 0, -7)
		}
	}
	r.addRun(s.From, s.To)
	return next
}

func (r *dayReader) skipFrom(i int) int {
	if r.low(i) == "from" || r.low(i) == "on" {
		return i + 1
	}
	return i
}

// one reads a day by itself.
func (r *dayReader) one(i int) int {
	d, next, ok := r.day(i)
	if !ok {
		switch r.low(i) {
		case "tonight":
			d, next = r.line.today(), i+1
		case "this":
			if w := r.low(i + 1); w != "morning" && w != "afternoon" && w != "evening" {
				return i
			}
			d, next = r.line.today(), i+2
		default:
			return i
		}
	}
	r.add(d)
	r.out.Always = false
	return next
}

// day reads a date; a bare day of the week that comes after another in a list follows it.
func (r *dayReader) day(i int) (time.Time, int, bool) {
	d, next, ok := r.date(i)
	if !ok {
		return time.Time{}, i, false
	}
	at := r.skipFrom(i)
	if f, _, is := r.feastDate(at); is {
		r.named = f.Next
	}
	w, named := r.weekday(at)
	if !named || next != at+1 {
		return d.Next, next, true
	}
	day, today := d.Next, r.line.today()
	if w == today.Weekday() {
		if r.out.Either = true; r.today {
			day = today
		}
	}
	if !r.last.IsZero() && sinceMonday(w) > sinceMonday(r.last.Weekday()) {
		day = r.last.AddDate(0, 0, sinceMonday(w)-sinceMonday(r.last.Weekday()))
	}
	r.last = day
	if joined := r.skipJoin(r.listPast); joined != i && (r.low(joined) != "or" || joined+1 != i) {
		r.list = nil
	}
	r.list, r.listPast = append(r.list, day), next
	return day, next, true
}

func sinceMonday(w time.Weekday) int { return (int(w) + 6) % 7 }

// none reads what has the shape of a day and is none: 3/15 where the day comes first, "in
// april", 31 june.
func (r *dayReader) none(i int) int {
	for _, read := range []func(int) (string, int, bool){r.backwardDays, r.badDayMonth, r.badISO, r.badSlash} {
		if why, next, ok := read(i); ok {
			r.out.Trouble = why
			return next
		}
	}
	at := i
	if r.low(at) == "in" || r.low(at) == "of" {
		at++
	}
	if slices.Contains(months, r.low(at)) && (at > i || r.low(at) != "march" && r.low(at) != "may") {
		r.out.Trouble = "Which days of " + r.text[r.toks[at].Start:r.toks[at].End] + "?"
		return at + 1
	}
	return i
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}
