package day

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// Which days a line about school or a child is of. Lye work stands on them: a day that
// cannot be read is asked, and never taken for today.

// daysIn are all the days that a line names: "thursday, not sunday" names the first.
func daysIn(req *desk.Request) phrase.DaysSaid {
	toks := req.Reading.Tokens
	read := func(toks []phrase.Token) phrase.DaysSaid {
		return phrase.ReadDays(req.Text, toks, req.Context(), false)
	}
	i := slices.IndexFunc(toks, func(t phrase.Token) bool { return t.Low == "not" })
	if i < 1 || !read(toks[:i]).Said() {
		return read(toks)
	}
	past := i + 1
	for denied := read(toks[past:]).Covered; past < len(toks) && denied[past-i-1]; past++ {
		continue
	}
	if past == i+1 {
		return read(toks)
	}
	said := read(slices.Concat(toks[:i], toks[past:]))
	said.Covered = slices.Insert(said.Covered, i, slices.Repeat([]bool{true}, past-i)...)
	return said
}

// settleDays returns the days that a line is about, today where it names none, or the
// question which. Told is what is said of them, as it would be typed: "school is off".
func settleDays(req *desk.Request, told string) ([]time.Time, desk.Reply, bool) {
	if said := daysIn(req); said.Trouble == "" && unreadNumber(req, said) != "" {
		return nil, desk.AskBack(fmt.Sprintf("Which day is %s? Nothing was changed. For example: %s on %s", desk.Quote(unreadNumber(req, said)), told, typedDay(req, reminders.Day(req.Wall).AddDate(0, 0, 14)))), false
	}
	return settleNamed(req, told)
}

// settleNamed is the same where a figure may be something else, as an age.
func settleNamed(req *desk.Request, told string) ([]time.Time, desk.Reply, bool) {
	said := daysIn(req)
	today := reminders.Day(req.Wall)
	say := func(day time.Time) string { return reminders.SayDay(day, req.Wall, req.House.DayFirst) }
	example := fmt.Sprintf("For example: %s on %s", told, typedDay(req, today.AddDate(0, 0, 14)))
	switch {
	case said.Trouble != "":
		return nil, desk.AskBack(strings.TrimSuffix(said.Trouble, "?") + map[bool]string{true: "?", false: " Which day?"}[strings.HasSuffix(said.Trouble, "?")] + " Nothing was changed. " + example), false
	case said.Weekly:
		return nil, desk.AskBack(fmt.Sprintf("Every week? That is a change of the block: blocks shows it, and block begins the line that sets it anew. Nothing was changed. For days of the calendar: %s on %s and %s", told, typedDay(req, today.AddDate(0, 0, 7)), typedDay(req, today.AddDate(0, 0, 14)))), false
	case said.Last:
		from := said.Days[0].AddDate(0, 0, 1)
		reply := desk.AskBack(fmt.Sprintf("From %s until when? Nothing was changed. For example: %s from %s to %s", say(from), told, typedDay(req, from), typedDay(req, from.AddDate(0, 0, 14))))
		reply.Begun = told + " from " + typedDay(req, from)
		return nil, reply, false
	case said.Open:
		from := said.Days[0]
		reply := desk.AskBack(fmt.Sprintf("From %s until when? Nothing was changed. For example: %s from %s to %s", say(from), told, typedDay(req, from), typedDay(req, from.AddDate(0, 0, 7))),
			desk.Labelled("Only "+say(from), told+" on "+from.Format(time.DateOnly)))
		reply.Begun = told + " from " + typedDay(req, from)
		return nil, reply, false
	case said.Either && req.Wall.Hour() < lateToday:
		return nil, whichWeek(req, said, told), false
	case len(said.Days) == 0:
		return []time.Time{today}, desk.Reply{}, true
	}
	days := slices.DeleteFunc(said.Days, func(day time.Time) bool { return day.Before(today) })
	switch {
	case len(days) == 0:
		return nil, desk.Refuse("That day is over. Nothing was changed."), false
	case len(days) > mostDays:
		return nil, desk.AskBack(fmt.Sprintf("That is more than %d days. Say it in two parts, each with its first and its last day.", mostDays)), false
	}
	return days, desk.Reply{}, true
}

// lateToday is the hour from which "monday" said on a Monday is the next.
const lateToday = 15

// whichWeek asks whether a day of the week that is today's means today.
func whichWeek(req *desk.Request, said phrase.DaysSaid, told string) desk.Reply {
	today := phrase.ReadDays(req.Text, req.Reading.Tokens, req.Context(), true)
	reply := desk.AskBack(fmt.Sprintf("Which days: %s, or %s? Nothing was changed.", sayDays(req, today.Days), sayDays(req, said.Days)))
	for _, days := range [][]time.Time{today.Days, said.Days} {
		reply.Buttons = append(reply.Buttons, desk.Labelled(sayDays(req, days), told+" on "+typedDays(days)))
	}
	return reply
}

// typedDay is a date as the household would type it.
func typedDay(req *desk.Request, day time.Time) string {
	if req.House.DayFirst {
		return day.Format("2 January")
	}
	return day.Format("January 2")
}

// typedDays writes days so that they are read again as the same.
func typedDays(days []time.Time) string {
	var out []string
	for _, run := range runsOf(days) {
		text := run.From.Format(time.DateOnly)
		if run.To.After(run.From) {
			text += " to " + run.To.Format(time.DateOnly)
		}
		out = append(out, text)
	}
	return strings.Join(out, " and ")
}

// runsOf puts days that follow each other together.
func runsOf(days []time.Time) []storage.Days {
	var out []storage.Days
	for _, day := range days {
		if n := len(out); n > 0 && day.Equal(out[n-1].To.AddDate(0, 0, 1)) {
			out[n-1].To = day
			continue
		}
		out = append(out, storage.Days{From: day, To: day})
	}
	return out
}

// sayDays tells days, those that follow each other as a run.
func sayDays(req *desk.Request, days []time.Time) string {
	var out []string
	for _, run := range runsOf(days) {
		out = append(out, sayFromTo(req, run.From, run.To))
	}
	return desk.List(out)
}

// timeWords stand before or after a figure that is a time of day or a length.
var timeWords = strings.Fields("at is till until til by to from around about before after past hours hour hrs hr minutes min mins am pm o'clock half quarter : . -")

// unreadNumber is a figure of a line that is no day, no time and no length.
func unreadNumber(req *desk.Request, said phrase.DaysSaid) string {
	toks := req.Reading.Tokens
	for i, t := range toks {
		covered := said.Covered[i] || slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool { return i >= s.First && i < s.Past })
		beside := i > 0 && slices.Contains(timeWords, toks[i-1].Low) || i+1 < len(toks) && slices.Contains(timeWords, toks[i+1].Low)
		if t.Kind == phrase.Num && !covered && !beside && !bareTime.MatchString(t.Text) {
			return t.Text
		}
	}
	return ""
}
