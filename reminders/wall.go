// Package reminders keeps bells: when they fall due on the household's clock,
// for whom, what is held back, and what rings again. It holds no state of its
// own between two ticks: everything is in storage, so a power cut loses nothing.
package reminders

import (
	"fmt"
	"time"
)

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

// SayDay writes a date the way the household reads it: "Tue 2 Mar", with the
// year when it is not the one of now.
func SayDay(wall, now time.Time, dayFirst bool) string {
	layout := "Mon Jan 2"
	if dayFirst {
		layout = "Mon 2 Jan"
	}
	if wall.Year() != now.Year() {
		layout += " 2006"
	}
	return wall.Format(layout)
}

// SayTime writes a moment: "07:00" today, else "Tue 2 Mar 07:00".
func SayTime(wall, now time.Time, dayFirst bool) string {
	if Day(wall).Equal(Day(now)) {
		return wall.Format("15:04")
	}
	return SayDay(wall, now, dayFirst) + wall.Format(" 15:04")
}

// SayLong writes a moment with its date always.
func SayLong(wall, now time.Time, dayFirst bool) string {
	return SayDay(wall, now, dayFirst) + wall.Format(" 15:04")
}

// SayDuration writes a length of time in its two largest units: "3 h 20 min".
func SayDuration(d time.Duration) string {
	d = d.Round(time.Minute)
	days, hours, minutes := int(d.Hours())/24, int(d.Hours())%24, int(d.Minutes())%60
	switch {
	case days > 0 && hours > 0:
		return fmt.Sprintf("%s %d h", count(days, "day"), hours)
	case days > 0:
		return count(days, "day")
	case hours > 0 && minutes > 0:
		return fmt.Sprintf("%d h %d min", hours, minutes)
	case hours > 0:
		return fmt.Sprintf("%d h", hours)
	}
	return fmt.Sprintf("%d min", minutes)
}

func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
