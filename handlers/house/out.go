package house

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// outAsks are of somebody who is out for part of a day, told by when it ends, or not at all: then
// until the end of the day.
func outAsks() []desk.Ask {
	named := outAsk()
	mine := named
	mine.Forms, mine.Needs, mine.Help = []string{"^out until|till|til", "^out from"}, nil, "whoever speaks is out for part of a day"
	mine.Examples = []desk.Example{{By: "Tom", Line: "out till 3"}}
	return []desk.Ask{named, mine}
}

func outAsk() desk.Ask {
	return desk.Ask{
		Name: "away", Command: "away", Text: true, Kinds: []phrase.Kind{phrase.KindDate, phrase.KindClock, phrase.KindPart, phrase.KindDuration}, Lists: []string{"people", "selves"}, Keep: true,
		Fill:     []string{"is", "are", "i'm", "i'll", "be", "am", "all", "day", "out", "in", "at", "the", "town", "market", "work", "for", "whole", "and", "today", "till", "until", "til", "now", "still"},
		Help:     "somebody is out for part of a day",
		Forms:    []string{"* out until|till|til", "* out all|today", "* is|are|i'm|im out", "i'm|im out", "* out from", "* in|at town|market|work until|till|til|all|today"},
		Needs:    []desk.Need{{Kind: phrase.KindTerm, List: "people"}, {Kind: phrase.KindTerm, List: "selves"}},
		Examples: []desk.Example{{Line: "Tom out until 15:00"}, {Line: "Edda is out all day"}},
		Plain:    plainOut, Do: out,
	}
}

// plainOut takes "Tom is out till 3": nothing but who, out, and until when.
func plainOut(req *desk.Request) bool {
	return !asking(req) && !letOut.MatchString(req.Text) && len(req.Reading.Of(phrase.KindDuration)) == 0 && !strings.ContainsAny(req.Text, "!") && !slices.ContainsFunc(req.Reading.Unknown, func(t phrase.Token) bool { return t.Kind == phrase.Word })
}

// letOut is an hour at which somebody comes out, as of school, and not one until which they
// are out.
var letOut = phrase.NewPattern(`(?i)\bout\s+at\s+\d`)

// tillSaid is a bare hour, "till 3".
var tillSaid = phrase.NewPattern(`(?i)\b(?:until|till|til)\s+(?:about\s+)?(\d{1,2})(?:[:.](\d{2}))?\s*$`)

// outUntil is until when somebody is out today: the next time that the clock shows a bare
// hour, the time that was told, or zero.
func outUntil(req *desk.Request) time.Time {
	today := reminders.Day(req.Wall)
	m := tillSaid.FindStringSubmatch(req.Text)
	if m == nil {
		if when := req.Reading.Moment(req.Context(), phrase.Future); when.HasClock {
			return when.Wall
		}
		return time.Time{}
	}
	hour, _ := strconv.Atoi(m[1]) // two digits
	minute, _ := strconv.Atoi("0" + m[2])
	at := today.Add(time.Duration(hour)*time.Hour + time.Duration(minute)*time.Minute)
	if !at.After(req.Wall) && hour < 12 {
		at = at.Add(12 * time.Hour)
	}
	return at
}

// beOut writes who is out: "Tom is", "Ivo and Lise are".
func beOut(who []storage.Person) string {
	if len(who) > 1 {
		return names(who) + " are"
	}
	return names(who) + " is"
}

// hoursSaid is from when until when, "from 2 to 4".
var hoursSaid = phrase.NewPattern(`(?i)\bfrom\s+(\d{1,2})(?:[:.](\d{2}))?\s*(am|pm)?\s*(?:-|to|till|until|til)\s*(\d{1,2})(?:[:.](\d{2}))?\s*(am|pm)?\b`)

// soonOver is how long ago a bare hour may be and still mean the one that has passed.
const soonOver = 2 * time.Hour

// outHours are the hours from when until when somebody is out: bare ones are the next that
// the clock shows, or those of the waking day on a day to come.
func outHours(req *desk.Request) (since, until time.Time, told bool) {
	m := hoursSaid.FindStringSubmatch(req.Text)
	if m == nil {
		return since, until, false
	}
	day := reminders.Day(req.Wall)
	if dates := req.Reading.Of(phrase.KindDate); len(dates) > 0 {
		day = dates[0].Value.(phrase.Date).Next
	}
	from, bare := hourOf(day, m[1], m[2], m[3])
	if early := req.Wall.Add(-soonOver); bare && (day.Equal(reminders.Day(req.Wall)) && from.Before(early) || from.Hour() < 6) {
		from = from.Add(12 * time.Hour)
	}
	to, bare := hourOf(day, m[4], m[5], m[6])
	if bare && !to.After(from) {
		to = to.Add(12 * time.Hour)
	}
	return req.Instant(from), req.Instant(to), to.After(from)
}

// hourOf is a time of a day as it is typed; bare where it may be of the afternoon too.
func hourOf(day time.Time, hour, minute, half string) (at time.Time, bare bool) {
	h, _ := strconv.Atoi(hour) // two digits
	m, _ := strconv.Atoi("0" + minute)
	switch strings.ToLower(half) {
	case "am":
		h %= 12
	case "pm":
		h = h%12 + 12
	}
	return day.Add(time.Duration(h)*time.Hour + time.Duration(m)*time.Minute), half == "" && h < 12
}

func out(req *desk.Request) (desk.Reply, error) {
	if !plainOut(req) {
		return desk.Reply{}, desk.ErrSilent
	}
	req.Reading.Unknown = nil // only the hour is left
	who, _, reply, ok := whoIsAway(req)
	if !ok {
		return reply, nil
	}
	if since, until, told := outHours(req); told {
		switch {
		case !until.After(req.Now):
			return desk.Refuse(req.Say(until) + " has passed. Nothing was written."), nil
		case since.Before(req.Now):
			since = req.Now
		}
		return writeAbsences(req, who, storage.Absence{Household: req.House.ID, Kind: storage.Late, Since: since, Until: until})
	}
	child := slices.ContainsFunc(who, func(p storage.Person) bool { return p.Child(req.Now) })
	today := reminders.Day(req.Wall)
	until := req.Instant(today.AddDate(0, 0, 1))
	switch dates := req.Reading.Of(phrase.KindDate); {
	case len(dates) > 0 && !dates[0].Value.(phrase.Date).Next.Equal(today) && !outUntil(req).IsZero():
		return desk.AskBack(fmt.Sprintf("From what time? For example: %s out %s from 9 to 14:00", beOut(who), dates[0].Text)), nil
	case !outUntil(req).IsZero():
		until = req.Instant(outUntil(req))
	case len(dates) > 0 && !dates[0].Value.(phrase.Date).Next.Equal(today):
		return desk.AskBack("Out from when until when? For example: away until friday, or on the day itself: Tom out until 15:00"), nil
	case len(req.Reading.Terms("selves")) > 0 && !req.Mentions("all", "today", "day", "whole", "work", "market", "town"): // or out of a game
		return desk.AskBack("Out until when? For example: I'm out till 15:00, or: I'm out all day"), nil
	case child: // out at nobody knows what hour is no word to count on
		return desk.AskBack("Out until what time? For example: " + who[0].Name + " home at 16:00"), nil
	}
	if !until.After(req.Now) || until.After(req.Now.Add(24*time.Hour)) {
		return desk.Refuse(req.Say(until) + " is no time to come today. Nothing was written."), nil
	}
	return writeAbsences(req, who, storage.Absence{Household: req.House.ID, Kind: storage.Late, Since: req.Now, Until: until})
}
