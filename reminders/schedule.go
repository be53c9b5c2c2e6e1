package reminders

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/robfig/cron/v3"
	"github.com/teambition/rrule-go"

	"yardbell/storage"
)

// Recurrence is a repeat in the terms of RFC 5545, on the household's clock.
type Recurrence struct {
	Freq      string // DAILY, WEEKLY, MONTHLY, YEARLY; HOURLY and MINUTELY count elapsed time
	Interval  int    // at least 1
	Days      []time.Weekday
	Nth       int   // with Days and MONTHLY: which one, -1 for the last
	MonthDays []int // -1 for the last day
	Start     time.Time
	HasClock  bool
}

// Spec writes the schedule as it is stored: a cron spec where the clock alone
// decides, an RFC 5545 rule where the start matters, a step for hours. It is
// made here and never from typed text.
func (r Recurrence) Spec() string {
	w := r.Start
	switch {
	case r.Freq == "HOURLY":
		return fmt.Sprintf("hours %s %d", w.Format(stamp), r.Interval)
	case r.Freq == "MINUTELY":
		return fmt.Sprintf("minutes %s %d", w.Format(stamp), r.Interval)
	case r.Interval == 1 && r.Freq == "DAILY":
		return fmt.Sprintf("cron %d %d * * *", w.Minute(), w.Hour())
	case r.Interval == 1 && r.Freq == "WEEKLY":
		return fmt.Sprintf("cron %d %d * * %s", w.Minute(), w.Hour(), joinDays(r.weekdays()))
	case r.Interval == 1 && r.Freq == "MONTHLY" && r.Nth == 0 && len(r.MonthDays) == 1 && r.MonthDays[0] > 0:
		return fmt.Sprintf("cron %d %d %d * *", w.Minute(), w.Hour(), r.MonthDays[0])
	}
	return "rrule " + w.Format(stamp) + " " + r.rule()
}

const stamp = "2006-01-02T15:04:05"

func (r Recurrence) weekdays() []time.Weekday {
	if len(r.Days) == 0 {
		return []time.Weekday{r.Start.Weekday()}
	}
	return r.Days
}

func joinDays(days []time.Weekday) string {
	var out []string
	for _, d := range days {
		out = append(out, strconv.Itoa(int(d)))
	}
	return strings.Join(out, ",")
}

var byDay = []string{"SU", "MO", "TU", "WE", "TH", "FR", "SA"}

func (r Recurrence) rule() string {
	parts := []string{"FREQ=" + r.Freq, "INTERVAL=" + strconv.Itoa(max(r.Interval, 1))}
	if len(r.Days) > 0 {
		var days []string
		for _, d := range r.Days {
			prefix := ""
			if r.Nth != 0 {
				prefix = strconv.Itoa(r.Nth)
			}
			days = append(days, prefix+byDay[d])
		}
		parts = append(parts, "BYDAY="+strings.Join(days, ","))
	}
	if len(r.MonthDays) > 0 {
		var days []string
		for _, d := range r.MonthDays {
			days = append(days, strconv.Itoa(d))
		}
		parts = append(parts, "BYMONTHDAY="+strings.Join(days, ","))
	}
	return strings.Join(parts, ";")
}

// HoursOfDay writes the schedule of every so many hours of each day, from one
// hour to another; on some days of the week only when they are given.
func HoursOfDay(every, from, to, minute int, days ...time.Weekday) string {
	on := "*"
	if len(days) > 0 {
		on = joinDays(days)
	}
	return fmt.Sprintf("cron %d %d-%d/%d * * %s", minute, from, to, max(every, 1), on)
}

// AtClocks returns a schedule that keeps its days and rings at other times of
// the day. One that is counted in hours is not on the clock and stays.
func AtClocks(spec string, clocks ...storage.Minutes) string {
	one, _, _ := strings.Cut(spec, joint)
	kind, rest, _ := strings.Cut(one, " ")
	var out []string
	for _, c := range clocks {
		switch fields := strings.Fields(rest); {
		case kind == "cron" && len(fields) == 5:
			out = append(out, fmt.Sprintf("cron %d %d %s %s %s", int(c)%60, int(c)/60, fields[2], fields[3], fields[4]))
		case kind == "rrule":
			start, rule, _ := strings.Cut(rest, " ")
			at, err := time.Parse(stamp, start)
			if err != nil {
				return spec
			}
			out = append(out, "rrule "+AtMinutes(at, c).Format(stamp)+" "+rule)
		default:
			return spec
		}
	}
	return Several(out...)
}

// Several joins schedules into one that falls due when any of them does.
func Several(specs ...string) string { return strings.Join(specs, joint) }

const joint = " | "

// Schedule returns when a bell of the household repeats. What belongs to a day
// falls due in the morning round of its day, whatever clock its spec was made with.
func (h House) Schedule(b storage.Bell) (cron.Schedule, error) {
	s, err := Parse(b.Schedule, h.Zone)
	if w, ok := s.(onWall); ok && b.Daily {
		w.round = &h.Rounds[0]
		return w, err
	}
	return s, err
}

// Parse reads a stored schedule for a household's zone. The result gives
// instants; recurrence itself runs on wall times, so that seven in the morning
// stays seven in the morning.
func Parse(spec string, zone *time.Location) (cron.Schedule, error) {
	if first, rest, several := strings.Cut(spec, joint); several {
		a, err := Parse(first, zone)
		if err != nil {
			return nil, err
		}
		b, err := Parse(rest, zone)
		return earlier{a, b}, err
	}
	kind, rest, _ := strings.Cut(spec, " ")
	switch kind {
	case "cron":
		inner, err := cronParser.Parse(rest)
		if err != nil {
			return nil, fmt.Errorf("schedule %q: %w", spec, err)
		}
		return onWall{next: inner.Next, zone: zone}, nil
	case "rrule":
		return parseRule(rest, zone)
	case "hours":
		return parseSteps(rest, zone, time.Hour)
	case "minutes":
		return parseSteps(rest, zone, time.Minute)
	}
	return nil, fmt.Errorf("schedule %q: unknown kind", spec)
}

var cronParser = cron.NewParser(cron.Minute | cron.Hour | cron.Dom | cron.Month | cron.Dow)

func parseRule(rest string, zone *time.Location) (cron.Schedule, error) {
	start, rule, _ := strings.Cut(rest, " ")
	at, err := time.Parse(stamp, start)
	if err != nil {
		return nil, fmt.Errorf("schedule start %q: %w", start, err)
	}
	opt, err := rrule.StrToROption(rule)
	if err != nil {
		return nil, fmt.Errorf("rule %q: %w", rule, err)
	}
	opt.Dtstart = at
	r, err := rrule.NewRRule(*opt)
	if err != nil {
		return nil, fmt.Errorf("rule %q: %w", rule, err)
	}
	return onWall{next: func(t time.Time) time.Time { return r.After(t, false) }, zone: zone}, nil
}

func parseSteps(rest string, zone *time.Location, unit time.Duration) (cron.Schedule, error) {
	start, n, _ := strings.Cut(rest, " ")
	at, err := time.Parse(stamp, start)
	if err != nil {
		return nil, fmt.Errorf("schedule start %q: %w", start, err)
	}
	steps, err := strconv.Atoi(n)
	if err != nil || steps < 1 {
		return nil, fmt.Errorf("step %q", n)
	}
	return everyStep{Instant(at, zone), time.Duration(steps) * unit}, nil
}

// earlier is two schedules in one.
type earlier struct{ a, b cron.Schedule }

// Next returns the first instant strictly after t at which either falls due.
func (s earlier) Next(t time.Time) time.Time {
	a, b := s.a.Next(t), s.b.Next(t)
	if a.IsZero() || !b.IsZero() && b.Before(a) {
		return b
	}
	return a
}

// onWall runs a recurrence on wall times and turns each into an instant last.
type onWall struct {
	next  func(time.Time) time.Time
	zone  *time.Location
	round *storage.Minutes // instead of the clock of the recurrence
}

// Next returns the first instant strictly after t, or zero when there is none.
func (s onWall) Next(t time.Time) time.Time {
	// Start early enough that a wall time moved by a gap is not passed over.
	w := Wall(t, s.zone).Add(-3 * time.Hour)
	if s.round != nil {
		w = Day(w).Add(-time.Second)
	}
	for {
		w = s.next(w)
		if w.IsZero() {
			return time.Time{}
		}
		on := w
		if s.round != nil {
			on = AtMinutes(w, *s.round)
		}
		if at := Instant(on, s.zone); at.After(t) {
			return at
		}
	}
}

// everyStep counts elapsed hours, whatever the clocks do.
type everyStep struct {
	start time.Time
	step  time.Duration
}

func (s everyStep) Next(t time.Time) time.Time {
	if t.Before(s.start) {
		return s.start
	}
	return s.start.Add((t.Sub(s.start)/s.step + 1) * s.step)
}
