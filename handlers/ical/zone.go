package ical

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"
)

// yearsKnown is how many years of a zone's changes are looked at to find their rule.
const yearsKnown = 12

// onset is an instant from which a zone's clock differs from UTC by so much.
type onset struct {
	wall   time.Time // what the clock showed until then, as a UTC time
	from   int       // seconds east of UTC before
	to     int       // and from then on
	name   string
	summer bool
}

// timezone describes a zone's clock from an instant on.
func timezone(zone *time.Location, from time.Time) *ics.VTimezone {
	tz := ics.NewTimezone(zone.String())
	for _, same := range alike(onsets(zone, from)) {
		rule, ok := yearly(same)
		if ok {
			tz.Components = append(tz.Components, observance(same[0], rule))
			continue
		}
		for _, o := range same {
			tz.Components = append(tz.Components, observance(o, ""))
		}
	}
	return tz
}

// onsets lists the changes of a zone's clock, beginning with the one that was in force.
func onsets(zone *time.Location, from time.Time) (out []onset) {
	start, _ := from.In(zone).ZoneBounds()
	at := start
	if start.IsZero() { // it was never otherwise
		at = time.Date(1970, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	for limit := from.AddDate(yearsKnown, 0, 0); !at.After(limit); {
		name, offset := at.In(zone).Zone()
		before := offset
		if !start.IsZero() {
			_, before = at.Add(-time.Second).In(zone).Zone()
		}
		if before != offset || len(out) == 0 { // a zone's tables are also cut where nothing changes
			out = append(out, onset{at.UTC().Add(time.Duration(before) * time.Second), before, offset, name, at.In(zone).IsDST()})
		}
		if start, at = at.In(zone).ZoneBounds(); at.IsZero() {
			break
		}
	}
	return out
}

// alike puts changes of one kind together, in the order in which the kinds begin.
func alike(all []onset) (out [][]onset) {
	place := map[string]int{}
	for _, o := range all {
		key := fmt.Sprint(o.from, o.to, o.name, o.summer)
		i, known := place[key]
		if !known {
			i = len(out)
			place[key], out = i, append(out, nil)
		}
		out[i] = append(out[i], o)
	}
	return out
}

// yearly returns the rule by which changes come once a year: the first, second, third
// or last of a weekday in a month, at one time. It reports false when they follow none.
func yearly(same []onset) (rule string, ok bool) {
	if len(same) < 3 {
		return "", false
	}
	first := same[0].wall
	nth, last := (first.Day()-1)/7+1, true
	for i, o := range same {
		w := o.wall
		if w.Year() != first.Year()+i || w.Month() != first.Month() || w.Weekday() != first.Weekday() || w.Format("150405") != first.Format("150405") {
			return "", false
		}
		if (w.Day()-1)/7+1 != nth {
			nth = 0
		}
		last = last && w.AddDate(0, 0, 7).Month() != w.Month()
	}
	if last {
		nth = -1
	}
	if nth == 0 {
		return "", false
	}
	day := strings.ToUpper(first.Weekday().String()[:2])
	return fmt.Sprintf("FREQ=YEARLY;BYMONTH=%d;BYDAY=%s%s", first.Month(), strconv.Itoa(nth), day), true
}

func observance(o onset, rule string) ics.Component {
	var c ics.ComponentBase
	c.SetProperty(ics.ComponentPropertyDtStart, o.wall.Format(wallForm))
	c.SetProperty(ics.ComponentProperty(ics.PropertyTzoffsetfrom), offset(o.from))
	c.SetProperty(ics.ComponentProperty(ics.PropertyTzoffsetto), offset(o.to))
	c.SetProperty(ics.ComponentProperty(ics.PropertyTzname), o.name)
	if rule != "" {
		c.AddRrule(rule)
	}
	if o.summer {
		return &ics.Daylight{ComponentBase: c}
	}
	return &ics.Standard{ComponentBase: c}
}

// offset writes seconds east of UTC: +0100, -0600.
func offset(seconds int) string {
	sign := '+'
	if seconds < 0 {
		sign, seconds = '-', -seconds
	}
	text := fmt.Sprintf("%c%02d%02d", sign, seconds/3600, seconds/60%60)
	if s := seconds % 60; s != 0 {
		text += fmt.Sprintf("%02d", s)
	}
	return text
}
