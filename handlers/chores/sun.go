package chores

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"yardbell/calc/daylight"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
)

// The ends of the day by which people name an hour.
const (
	dusk = "dusk"
	dawn = "dawn"
)

// sun takes "at dusk" and "at dawn", in the words that people have for them.
func (r *reader) sun() string {
	switch {
	case r.any("at|by|before dusk|dark|sunset|nightfall|sundown", "dusk|sunset|nightfall|sundown"):
		return dusk
	case r.any("at|by dawn|sunrise|daybreak", "at first light", "dawn|sunrise|daybreak"):
		return dawn
	}
	return ""
}

// byTheSun is the hour of dusk or dawn today, by the place where the household is. A chore
// has one fixed hour, so that is said; where the place is not known the hour is asked.
func (o *order) byTheSun(req *desk.Request) (phrase.Clock, desk.Reply, bool) {
	lat, lon, known := placeOf(req)
	sun, err := daylight.SunOn(lat, lon, reminders.Day(req.Wall))
	if !known || err != nil || sun.Up || sun.Down {
		hour := "18:00"
		if o.sun == dawn {
			hour = "7:00"
		}
		return phrase.Clock{}, desk.AskBack(fmt.Sprintf("At what hour is that? A chore has one fixed hour, for example: %s", clockFor(asCommand(req.Text), hour)),
			desk.Labelled("At "+hour, clockFor(asCommand(req.Text), hour))), false
	}
	at, what := sun.Set, "sunset"
	if o.sun == dawn {
		at, what = sun.Rise, "sunrise"
	}
	w := req.WallOf(at.Truncate(5 * time.Minute))
	o.note(fmt.Sprintf("%s is at %s today. A chore has one fixed hour and does not follow the sun: move it as the days change, for example: move %s to %s",
		what, req.WallOf(at).Format("15:04"), o.name, w.Add(30*time.Minute).Format("15:04")))
	return phrase.Clock{Hour: w.Hour(), Minute: w.Minute()}, desk.Reply{}, true
}

var sunWords = phrase.NewPattern(`(?i)\b(?:(?:at|by|before) )?(?:dusk|dark|sunset|nightfall|sundown|dawn|sunrise|daybreak|first light)\b`)

// clockFor puts an hour in the place of the end of the day.
func clockFor(text, hour string) string { return sunWords.ReplaceAllString(text, "at "+hour) }

// placeOf is where the household is, as far as it was told.
func placeOf(req *desk.Request) (lat, lon float64, ok bool) {
	fields := strings.Fields(req.House.Place)
	if len(fields) < 2 {
		return 0, 0, false
	}
	lat, err1 := strconv.ParseFloat(fields[0], 64)
	lon, err2 := strconv.ParseFloat(fields[1], 64)
	return lat, lon, err1 == nil && err2 == nil
}
