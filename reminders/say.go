package reminders

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/teambition/rrule-go"
)

// SaySchedule writes a stored schedule for people, in plain words.
func SaySchedule(spec string) string {
	if strings.Contains(spec, joint) {
		return saySeveral(strings.Split(spec, joint))
	}
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
	case "minutes":
		_, n, _ := strings.Cut(rest, " ")
		return "every " + n + " min"
	}
	return "once"
}

// saySeveral writes several schedules: where they differ in the clock alone, the
// rest is said once.
func saySeveral(specs []string) string {
	var said, clocks []string
	rest := ""
	for i, spec := range specs {
		text := SaySchedule(spec)
		said = append(said, text)
		before, clock, _ := strings.Cut(text, " at ")
		clocks = append(clocks, clock)
		if i > 0 && before != rest {
			rest = ""
			continue
		}
		rest = before
	}
	if rest == "" {
		return strings.Join(said, " and ")
	}
	return rest + " at " + strings.Join(clocks, " and ")
}

func sayCron(f []string) string {
	if len(f) != 5 {
		return ""
	}
	m, _ := strconv.Atoi(f[0])
	if from, rest, ok := strings.Cut(f[1], "-"); ok {
		return saySpan(from, rest, m) + sayCronDays(f[4])
	}
	h, _ := strconv.Atoi(f[1])
	clock := fmt.Sprintf("%02d:%02d", h, m)
	switch {
	case f[2] != "*":
		return "monthly on day " + f[2] + " at " + clock
	case f[4] == "*":
		return "daily at " + clock
	}
	if strings.HasPrefix(sayCronDays(f[4]), " on weekdays") {
		return "weekdays at " + clock
	}
	return "every " + strings.TrimPrefix(sayCronDays(f[4]), " on ") + " at " + clock
}

// sayCronDays writes the weekdays of a spec: " on Mon Wed".
func sayCronDays(f string) string {
	if f == "*" {
		return ""
	}
	var days []string
	for d := range strings.SplitSeq(f, ",") {
		n, _ := strconv.Atoi(d)
		days = append(days, time.Weekday(n % 7).String()[:3])
	}
	if strings.Join(days, " ") == "Mon Tue Wed Thu Fri" {
		return " on weekdays"
	}
	return " on " + strings.Join(days, " ")
}

// saySpan writes the hours of a spec: every 2 hours from 08:00 to 18:00.
func saySpan(from, rest string, minute int) string {
	to, step, ok := strings.Cut(rest, "/")
	first, _ := strconv.Atoi(from)
	last, _ := strconv.Atoi(to)
	text := "every hour"
	if n, err := strconv.Atoi(step); ok && err == nil && n > 1 {
		text = fmt.Sprintf("every %d hours", n)
	}
	return fmt.Sprintf("%s from %02d:%02d to %02d:%02d", text, first, minute, last, minute)
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
