package phrase

import "time"

// Whenever is the kinds of span that say when.
var Whenever = []Kind{KindDate, KindClock, KindClocks, KindPart, KindAfter, KindRule, KindTimes, KindUntil, KindAgain, KindExcept, KindBad}

// When is a moment put together from the spans of a line.
type When struct {
	Wall     time.Time // wall time; at 00:00 when no clock time was said
	HasDate  bool
	HasClock bool
	Assumed  bool // morning or afternoon was not said and was chosen
	Vague    bool // only a part of the day was said
	Count    int  // spans used: 0 means that nothing was said about when
}

// Tense says which way an unfinished date or time is read.
type Tense uint8

// The tenses.
const (
	Future Tense = iota
	Past
)

// Moment reads the date, clock, part of day and "in 40 min" of a line together.
func (r Reading) Moment(ctx Context, tense Tense) When {
	var w When
	var clock *Clock
	var part *Part
	today := (&line{ctx: ctx}).today()
	w.Wall = today
	for _, s := range r.Spans {
		switch v := s.Value.(type) {
		case Date:
			if s.Kind != KindDate {
				continue
			}
			w.HasDate = true
			w.Wall = v.Next
			if tense == Past {
				w.Wall = v.Last
			}
		case Clock:
			clock = &v
		case Part:
			part = &v
		case time.Duration:
			if s.Kind != KindAfter {
				continue
			}
			return When{Wall: ctx.Now.Add(v), HasDate: true, HasClock: true, Count: 1}
		default:
			continue
		}
		w.Count++
	}
	w.settle(ctx.Now, today, clock, part, tense)
	return w
}

func (w *When) settle(now, today time.Time, clock *Clock, part *Part, tense Tense) {
	if part != nil && part.Fixed && !w.HasDate {
		w.HasDate, w.Wall = true, today.AddDate(0, 0, part.Days)
	}
	if clock == nil && part != nil {
		clock = &Clock{Hour: part.Hour}
		w.Vague = true
		if tense == Past && !w.HasDate && today.Add(time.Duration(part.Hour)*time.Hour).After(now) {
			w.Wall, w.HasDate = now.Truncate(time.Minute), true
			w.HasClock = true
			return
		}
	}
	if clock == nil {
		return
	}
	w.HasClock = true
	if w.Vague {
		w.Wall = at(w.Wall, clock.Hour, clock.Minute)
		if !w.HasDate && tense == Future && !w.Wall.After(now) {
			w.Wall = w.Wall.AddDate(0, 0, 1)
		}
		return
	}
	hours := clock.hours(part)
	onToday := !w.HasDate || w.Wall.Equal(today)
	if !onToday {
		w.Assumed = len(hours) > 1
		w.Wall = at(w.Wall, clock.likely(hours), clock.Minute)
		return
	}
	w.Assumed = len(hours) > 1
	w.Wall = clock.near(today, now, hours, tense, w.HasDate)
}

func at(d time.Time, h, m int) time.Time {
	return time.Date(d.Year(), d.Month(), d.Day(), h, m, 0, 0, time.UTC)
}

// hours returns the hours of the day that the clock may mean.
func (c Clock) hours(part *Part) []int {
	if !c.Open {
		return []int{c.Hour}
	}
	if part != nil {
		if part.PM {
			return []int{c.Hour%12 + 12}
		}
		return []int{c.Hour % 12}
	}
	return []int{c.Hour % 24, (c.Hour + 12) % 24}
}

// likely reads an open hour on another day: one to five is the afternoon, the
// rest as the figure says.
func (c Clock) likely(hours []int) int {
	if len(hours) > 1 && c.Hour <= 5 {
		return c.Hour + 12
	}
	return hours[0]
}

// near picks the first time after now, or the last one before it.
func (c Clock) near(today, now time.Time, hours []int, tense Tense, fixed bool) time.Time {
	var best time.Time
	for _, h := range hours {
		for _, days := range []int{-1, 0, 1} {
			if fixed && days != 0 {
				continue
			}
			t := at(today.AddDate(0, 0, days), h, c.Minute)
			if tense == Past && !t.After(now) && (best.IsZero() || t.After(best)) {
				best = t
			}
			if tense == Future && t.After(now) && (best.IsZero() || t.Before(best)) {
				best = t
			}
		}
	}
	if best.IsZero() {
		return at(today, hours[0], c.Minute)
	}
	return best
}

// DayTimes returns the times of day of a repeating thing, in the order said, with
// the hour settled; assumed tells that one of them was a guess. None were said
// when it returns nil.
func (r Reading) DayTimes() (times []Clock, assumed bool) {
	lists := r.Of(KindClocks)
	if len(lists) == 0 {
		h, m, assumed, ok := r.Daily()
		if !ok {
			return nil, false
		}
		return []Clock{{Hour: h, Minute: m}}, assumed
	}
	for _, c := range lists[0].Value.([]Clock) {
		hours := c.hours(nil)
		h := c.likely(hours)
		if n := len(times); n > 0 && len(hours) > 1 && h <= times[n-1].Hour && h < 12 {
			h += 12
		}
		times = append(times, Clock{Hour: h, Minute: c.Minute})
		assumed = assumed || len(hours) > 1 && h != c.Hour
	}
	return times, assumed
}

// Daily returns the wall time of day of a repeating thing: the clock as said,
// one to five without more being the afternoon.
func (r Reading) Daily() (h, m int, assumed, ok bool) {
	var clock *Clock
	var part *Part
	for _, s := range r.Spans {
		switch v := s.Value.(type) {
		case Clock:
			clock = &v
		case Part:
			part = &v
		}
	}
	switch {
	case clock == nil && part == nil:
		return 0, 0, false, false
	case clock == nil:
		return part.Hour, 0, false, true
	}
	hours := clock.hours(part)
	return clock.likely(hours), clock.Minute, len(hours) > 1 && clock.Hour <= 5, true
}
