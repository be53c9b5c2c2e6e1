// Package ical writes a calendar file as RFC 5545 has it. It knows nothing of desks.
package ical

import (
	"bytes"
	"fmt"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"
)

// Event is one entry of a calendar: once, or again and again by a rule.
type Event struct {
	UID    string    // the same for the same thing each time that a file is made
	Title  string    // one line
	Notes  []string  // more lines
	Start  time.Time // a wall time, as a UTC time; midnight of the day where Day is set
	Day    bool      // of a whole day
	At     time.Time // the instant; taken instead of Start where Exact is set
	Exact  bool
	Rule   string      // an RFC 5545 rule without an end, empty for once
	Until  time.Time   // the last instant that the rule may give, zero for no end
	Except []time.Time // wall times that the rule gives and that are left out
}

// Calendar is what a file holds.
type Calendar struct {
	Name    string
	Zone    *time.Location
	Made    time.Time // stamped on every entry
	Version int       // counts up with every file made: a newer entry takes the place of an older one
	Events  []Event
}

// How RFC 5545 writes dates and times.
const (
	dayForm  = "20060102"
	wallForm = "20060102T150405"
	utcForm  = "20060102T150405Z"
)

// Bytes writes the file. There are no alarms in it: Yardbell rings.
func (c Calendar) Bytes() ([]byte, error) {
	cal := ics.NewCalendar()
	cal.SetProductId("-//Yardbell//Household calendar//EN")
	cal.SetCalscale("GREGORIAN")
	cal.SetMethod(ics.MethodPublish)
	cal.SetXWRCalName(clean(c.Name))
	if from, needed := c.first(); needed {
		cal.AddVTimezone(timezone(c.Zone, from))
	}
	for _, e := range c.Events {
		cal.AddVEvent(c.event(e))
	}
	var b bytes.Buffer
	if err := cal.SerializeTo(&b, ics.WithNewLine("\r\n")); err != nil {
		return nil, fmt.Errorf("calendar: %w", err)
	}
	return b.Bytes(), nil
}

// first returns the earliest instant that is written on the zone's clock.
func (c Calendar) first() (from time.Time, any bool) {
	for _, e := range c.Events {
		if e.Day || e.Exact || utc(c.Zone) {
			continue
		}
		if !any || e.At.Before(from) {
			from, any = e.At, true
		}
	}
	return from, any
}

func utc(zone *time.Location) bool { return zone.String() == "UTC" }

func (c Calendar) event(e Event) *ics.VEvent {
	out := ics.NewEvent(clean(e.UID))
	out.SetProperty(ics.ComponentPropertyDtstamp, c.Made.UTC().Format(utcForm))
	out.SetSequence(c.Version)
	start, params := c.when(e, e.Start)
	out.SetProperty(ics.ComponentPropertyDtStart, start, params...)
	if e.Rule != "" {
		out.AddRrule(e.Rule + c.end(e))
	}
	for _, w := range e.Except {
		value, params := c.when(e, w)
		out.AddExdate(value, params...)
	}
	out.SetSummary(clean(e.Title))
	if len(e.Notes) > 0 {
		out.SetDescription(clean(strings.Join(e.Notes, "\n")))
	}
	out.SetTimeTransparency(ics.TransparencyTransparent)
	return out
}

// when writes a time of an event in the event's own way.
func (c Calendar) when(e Event, wall time.Time) (string, []ics.PropertyParameter) {
	switch {
	case e.Day:
		return wall.Format(dayForm), []ics.PropertyParameter{ics.WithValue(string(ics.ValueDataTypeDate))}
	case e.Exact:
		return e.At.UTC().Format(utcForm), nil
	case utc(c.Zone):
		return wall.Format(utcForm), nil
	}
	return wall.Format(wallForm), []ics.PropertyParameter{ics.WithTZID(c.Zone.String())}
}

// end writes the end of a rule: a date for what belongs to a day, else in UTC, as
// RFC 5545 section 3.3.10 wants it.
func (c Calendar) end(e Event) string {
	switch {
	case e.Until.IsZero():
		return ""
	case e.Day:
		return ";UNTIL=" + e.Until.In(c.Zone).Format(dayForm)
	}
	return ";UNTIL=" + e.Until.UTC().Format(utcForm)
}

// clean keeps a text to what a line of the file may hold.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' && r != '\n' {
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, ""))
}
