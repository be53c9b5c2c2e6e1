package reminders

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/robfig/cron/v3"
	"github.com/teambition/rrule-go"
)

// Recurrence is a repeat in the terms of RFC 5545, on the household's clock.
type Recurrence struct {
	Freq      string // DAILY, WEEKLY, MONTHLY, YEARLY, HOURLY
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

// Parse reads a stored schedule for a household's zone. The result gives
// instants; recurrence itself runs on wall times, so that seven in the morning
// stays seven in the morning.
func Parse(spec string, zone *time.Location) (cron.Schedule, error) {
	kind, rest, _ := strings.Cut(spec, " ")
	switch kind {
	case "cron":
		inner, err := cronParser.Parse(rest)
		if err != nil {
			return nil, fmt.Errorf("schedule %q: %w", spec, err)
		}
		return onWall{inner.Next, zone}, nil
	case "rrule":
		return parseRule(rest, zone)
	case "hours":
		return parseHours(rest, zone)
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
	return onWall{func(t time.Time) time.Time { return r.After(t, false) }, zone}, nil
}

func parseHours(rest string, zone *time.Location) (cron.Schedule, error) {
	start, n, _ := strings.Cut(rest, " ")
	at, err := time.Parse(stamp, start)
	if err != nil {
		return nil, fmt.Errorf("schedule start %q: %w", start, err)
	}
	hours, err := strconv.Atoi(n)
	if err != nil || hours < 1 {
		return nil, fmt.Errorf("hours %q", n)
	}
	return everyHours{Instant(at, zone), time.Duration(hours) * time.Hour}, nil
}

// onWall runs a recurrence on wall times and turns each into an instant last.
type onWall struct {
	next func(time.Time) time.Time
	zone *time.Location
}

// Next returns the first instant strictly after t, or zero when there is none.
func (s onWall) Next(t time.Time) time.Time {
	// Start early enough that a wall time moved by a gap is not passed over.
	w := Wall(t, s.zone).Add(-3 * time.Hour)
	for {
		w = s.next(w)
		if w.IsZero() {
			return time.Time{}
		}
		if at := Instant(w, s.zone); at.After(t) {
			return at
		}
	}
}

// everyHours counts elapsed hours, whatever the clocks do.
type everyHours struct {
	start time.Time
	step  time.Duration
}

func (s everyHours) Next(t time.Time) time.Time {
	if t.Before(s.start) {
		return s.start
	}
	return s.start.Add((t.Sub(s.start)/s.step + 1) * s.step)
}

// SaySchedule writes a stored schedule for people, in plain words.
func SaySchedule(spec string) string {
	kind, rest, _ := strings.Cut(spec, " ")
	switch kind {
	case "cron":
		return sayCron(strings.Fields(rest))
	case "rrule":
		start, rule, _ := strings.Cut(rest, " ")
		at, err := time.Parse(stamp, start)
		if err != nil {
			return ""
		}
		return sayRule(rule, at)
	case "hours":
		_, n, _ := strings.Cut(rest, " ")
		if n == "1" {
			return "every hour"
		}
		return "every " + n + " hours"
	}
	return "once"
}

func sayCron(f []string) string {
	if len(f) != 5 {
		return ""
	}
	m, _ := strconv.Atoi(f[0])
	h, _ := strconv.Atoi(f[1])
	clock := fmt.Sprintf("%02d:%02d", h, m)
	switch {
	case f[2] != "*":
		return "monthly on day " + f[2] + " at " + clock
	case f[4] == "*":
		return "daily at " + clock
	}
	var days []string
	for d := range strings.SplitSeq(f[4], ",") {
		n, _ := strconv.Atoi(d)
		days = append(days, time.Weekday(n % 7).String()[:3])
	}
	if strings.Join(days, " ") == "Mon Tue Wed Thu Fri" {
		return "weekdays at " + clock
	}
	return "every " + strings.Join(days, " ") + " at " + clock
}

func sayRule(rule string, start time.Time) string {
	opt, err := rrule.StrToROption(rule)
	if err != nil {
		return ""
	}
	unit := map[rrule.Frequency]string{rrule.DAILY: "day", rrule.WEEKLY: "week", rrule.MONTHLY: "month", rrule.YEARLY: "year"}[opt.Freq]
	text := "every " + unit
	if opt.Interval > 1 {
		text = fmt.Sprintf("every %d %ss", opt.Interval, unit)
	}
	var days []string
	for _, d := range opt.Byweekday {
		name := time.Weekday((d.Day() + 1) % 7).String()[:3]
		if d.N() != 0 {
			name = sayNth(d.N()) + " " + name
		}
		days = append(days, name)
	}
	for _, d := range opt.Bymonthday {
		if d == -1 {
			days = append(days, "the last day")
			continue
		}
		days = append(days, "day "+strconv.Itoa(d))
	}
	if len(days) > 0 {
		text += " on " + strings.Join(days, ", ")
	}
	return text + " at " + start.Format("15:04")
}

func sayNth(n int) string {
	switch n {
	case -1:
		return "last"
	case 1:
		return "first"
	case 2:
		return "second"
	case 3:
		return "third"
	case 4:
		return "fourth"
	}
	return strconv.Itoa(n) + "th"
}
