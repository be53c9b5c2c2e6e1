// Package reminders keeps bells: when they fall due on the household's clock,
// for whom, what is held back, and what rings again. It holds no state of its
// own between two ticks: everything is in storage, so a power cut loses nothing.
package reminders

import "time"

// Wall returns the fields that a zone's clock shows at an instant, as a UTC
// time. Wall times can be compared and counted without any zone.
func Wall(t time.Time, zone *time.Location) time.Time {
	l := t.In(zone)
	return time.Date(l.Year(), l.Month(), l.Day(), l.Hour(), l.Minute(), l.Second(), 0, time.UTC)
}

// Instant turns a wall time into an instant by RFC 5545 section 3.3.5: a time
// that occurs twice means the first, a time that does not exist is read with
// the offset in force before the gap. time.Date promises neither.
func Instant(wall time.Time, zone *time.Location) time.Time {
	wall = time.Date(wall.Year(), wall.Month(), wall.Day(), wall.Hour(), wall.Minute(), wall.Second(), 0, time.UTC)
	_, before := wall.Add(-36 * time.Hour).In(zone).Zone()
	_, after := wall.Add(36 * time.Hour).In(zone).Zone()
	first := wall.Add(-time.Duration(before) * time.Second)
	if before == after {
		return first
	}
	second := wall.Add(-time.Duration(after) * time.Second)
	if second.Before(first) {
		first, second = second, first
	}
	for _, t := range []time.Time{first, second} {
		if Wall(t, zone).Equal(wall) {
			return t
		}
	}
	return wall.Add(-time.Duration(before) * time.Second)
}

// Day returns the date of a wall time at midnight.
func Day(wall time.Time) time.Time {
	return time.Date(wall.Year(), wall.Month(), wall.Day(), 0, 0, 0, 0, time.UTC)
}
