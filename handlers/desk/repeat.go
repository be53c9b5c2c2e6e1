package desk

import (
	"slices"
	"time"

	"yardbell/handlers/phrase"
	"yardbell/reminders"
)

// Repeat is the schedule of something that comes again and again.
type Repeat struct {
	Spec    string // see reminders.Parse
	Daily   bool   // no time of day was said: it belongs to a day, and is told in the round
	Elapsed bool   // counted in hours
}

// Repeat makes a schedule of a recurrence and the times of day that were said with
// it, one recurrence for each; start is the day from which it is counted.
func (r *Request) Repeat(rule phrase.Rule, times []phrase.Clock, start time.Time) Repeat {
	var out Repeat
	stepped := rule.Freq == "HOURLY" || rule.Freq == "MINUTELY"
	switch {
	case len(rule.Hours) == 2:
		out.Spec = reminders.HoursOfDay(rule.Interval, rule.Hours[0].Hour, rule.Hours[1].Hour, rule.Hours[0].Minute, rule.Days...)
		return out
	case stepped && len(times) == 0:
		out.Elapsed = true
		out.Spec = reminders.Recurrence{Freq: rule.Freq, Interval: max(rule.Interval, 1), Start: r.Wall.Truncate(time.Minute)}.Spec()
		return out
	case len(times) == 0:
		out.Daily = true
		m := r.House.Rounds[0]
		times = []phrase.Clock{{Hour: int(m) / 60, Minute: int(m) % 60}}
	}
	out.Elapsed = stepped
	var specs []string
	for _, c := range times {
		first := firstDay(rule, start, c.Hour, c.Minute, r.Wall)
		specs = append(specs, reminders.Recurrence{
			Freq: rule.Freq, Interval: max(rule.Interval, 1), Days: rule.Days, Nth: rule.Nth, MonthDays: rule.MonthDays,
			Start: time.Date(first.Year(), first.Month(), first.Day(), c.Hour, c.Minute, 0, 0, time.UTC),
		}.Spec())
	}
	out.Spec = reminders.Several(specs...)
	return out
}

// UsefulFor lets a repeating ring be said late until about the next one.
func UsefulFor(rule phrase.Rule) time.Duration {
	switch rule.Freq {
	case "MINUTELY":
		return time.Duration(rule.Interval) * time.Minute
	case "HOURLY":
		return time.Duration(rule.Interval) * time.Hour
	case "DAILY":
		return time.Duration(rule.Interval) * 24 * time.Hour
	}
	return reminders.UsefulOnce
}

// firstDay is the day from which "every other" is counted: the first that the
// rule can fall on and whose time has not passed.
func firstDay(rule phrase.Rule, start time.Time, h, m int, now time.Time) time.Time {
	day := start
	if !time.Date(day.Year(), day.Month(), day.Day(), h, m, 0, 0, time.UTC).After(now) {
		day = day.AddDate(0, 0, 1)
	}
	if rule.Freq != "WEEKLY" || len(rule.Days) == 0 {
		return day
	}
	for !slices.Contains(rule.Days, day.Weekday()) {
		day = day.AddDate(0, 0, 1)
	}
	return day
}
