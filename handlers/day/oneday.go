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

// Blocks of one day or of some days: "block grandma tomorrow 9-5 kids out". A block that is
// taken to be of every day, and takes the children elsewhere, would be a time for lye work
// on days on which they are at home.

// dayInWords tells a day that has come or comes once from a day of every week.
var dayInWords = phrase.NewPattern(`(?i)\d|\b(?:today|tomorrow|tonight|next|this|until|till|through)\b`)

// onceSaid are the days that a line about a block names, and the line without them; ok is
// false for none.
func onceSaid(req *desk.Request) (from, to time.Time, rest string, ok bool) {
	text := []byte(req.Text)
	for _, s := range req.Reading.Spans {
		if s.Kind != phrase.KindDate && s.Kind != phrase.KindDays || !dayInWords.MatchString(s.Text) {
			continue
		}
		first, last := daysOfSpan(req, s)
		if ok && !first.Equal(from) { // the second of two readings, or a second day
			continue
		}
		from, to, ok = first, last, true
		for i := s.Start; i < s.End; i++ {
			text[i] = ' '
		}
	}
	rest = onceWords.Re().ReplaceAllStringFunc(string(text), func(m string) string { return strings.Repeat(" ", len(m)) })
	return from, to, rest, ok
}

// onceWords are words by which a line says that a block is of that day alone.
var onceWords = phrase.NewPattern(`(?i)\b(?:only|just)\b|\bon\b(?:\s*$| {2,})`)

func daysFromTo(from, to time.Time) (out []time.Time) {
	for day := from; !day.After(to); day = day.AddDate(0, 0, 1) {
		out = append(out, day)
	}
	return out
}

func daysOfSpan(req *desk.Request, s phrase.Span) (from, to time.Time) {
	if d, run := s.Value.(phrase.DateSpan); run {
		return laterOf(d.From, reminders.Day(req.Wall)), d.To
	}
	day := s.Value.(phrase.Date).Next
	return day, day
}

// seldom are days on which a block cannot be kept.
var seldom = phrase.NewPattern(`(?i)\bevery (?:other|second|third)\b|\b(?:first|second|third|last) (?:mon|tues|wednes|thurs|fri|satur|sun)day\b|\bfortnight(?:ly)?\b|\bmonthly\b|\bfrom (?:january|february|march|april|june|july|august|september|october|november|december)\b`)

// mostBlockDays is for how many days in a row a block of some days is.
const mostBlockDays = 31

// onceLacks asks what cannot be kept of the days of a block, and on which days one is that
// takes children elsewhere: every day is never taken for granted there.
func onceLacks(req *desk.Request, b blockSaid) (desk.Reply, bool) {
	today := reminders.Day(req.Wall)
	switch {
	case overDays.MatchString(req.Text):
		return desk.AskBack(fmt.Sprintf("That goes from one day to another. Who is away is said so: %s away from friday to sunday. A block is of hours of a day: block %s 9:00-17:00 from 5 to 7 March", reminders.SayWhom(b.Whom, req.People, req.Now), firstWord(b.Title))), true
	case severalDays(req) || vagueWeek.MatchString(req.Text):
		return desk.AskBack(fmt.Sprintf("On which days? One day, or from one to another, for example: block %s from 5 to 7 March %s-%s %s", firstWord(b.Title), b.First, b.Past, reminders.SayWhom(b.Whom, req.People, req.Now))), true
	case seldom.MatchString(req.Text):
		return desk.AskBack(fmt.Sprintf("A block is of every week, or of days that are named. For example: block %s tomorrow %s-%s %s", firstWord(b.Title), b.First, b.Past, reminders.SayWhom(b.Whom, req.People, req.Now))), true
	case b.Dated() && b.Until.Before(reminders.Day(req.Wall)):
		return desk.Refuse("That day is over. Nothing was changed."), true
	case b.Dated() && b.Until.Sub(b.Since) > mostBlockDays*24*time.Hour:
		return desk.AskBack(fmt.Sprintf("That is more than %d days. Is it of every week? For example: block %s weekdays %s-%s %s", mostBlockDays, b.Title, b.First, b.Past, reminders.SayWhom(b.Whom, req.People, req.Now))), true
	case b.Dated() || b.lessons() || hasWord(b.Title, bedTitles) || !takesChildren(req, b.Block):
		return desk.Reply{}, false
	}
	one := b.orEveryDay()
	switch days := b.days; {
	case days == 0:
		reply := desk.AskBack(fmt.Sprintf("On which days is that: %s?", sayBlock(req, one)))
		if reminders.AtMinutes(today, b.First).After(req.Wall) {
			reply.Buttons = append(reply.Buttons, desk.Labelled("Only today", "block "+sayOn(req, one, today, today)))
		}
		for _, set := range []storage.Weekdays{storage.Working, storage.EveryDay} {
			one.Days = set
			label := sayWeekdays(set)
			if label == "" {
				label = "every day"
			}
			reply.Buttons = append(reply.Buttons, desk.Labelled(desk.Upper(label), "block "+everyDaySaid(req, one)))
		}
		return reply, true
	case unbroken(days) && !req.Mentions(strings.Split(everyWeek, "|")...) && !req.Mentions("weekday", "weekend"):
		return onceOrWeekly(req, one), true
	}
	return desk.Reply{}, false
}

func firstWord(title string) string { return first(strings.Fields(title)) }

// onceOrWeekly asks of a block whose days of the week were named whether it is of every week.
func onceOrWeekly(req *desk.Request, b storage.Block) desk.Reply {
	day := reminders.Day(req.Wall)
	for !b.Days.Has(day.Weekday()) {
		day = day.AddDate(0, 0, 1)
	}
	last := day
	for next := day.AddDate(0, 0, 1); b.Days.Has(next.Weekday()) && next.Sub(day) < 7*24*time.Hour; next = next.AddDate(0, 0, 1) {
		last = next
	}
	weekly := "block " + strings.Replace(everyDaySaid(req, b), b.Title+" ", b.Title+" every ", 1)
	reply := desk.AskBack(fmt.Sprintf("%s: every week, or once?", desk.Upper(sayWeekdays(b.Days))))
	if runs := daysFromTo(day, last); len(runs) == daysIn7(b.Days) {
		reply.Buttons = append(reply.Buttons, desk.Labelled("Only "+sayFromTo(req, day, last), "block "+sayOn(req, b, day, last)))
	}
	reply.Buttons = append(reply.Buttons, desk.Labelled("Every week", weekly))
	return reply
}

// unbroken reports one day of the week, or some that follow each other: what is on Tuesdays
// and Thursdays is of every week.
func unbroken(w storage.Weekdays) bool {
	if w == storage.EveryDay {
		return false
	}
	begins := 0
	for d := time.Sunday; d <= time.Saturday; d++ {
		if w.Has(d) && !w.Has((d+6)%7) {
			begins++
		}
	}
	return begins == 1
}

// daysIn7 is on how many days of a week a block is.
func daysIn7(w storage.Weekdays) (n int) {
	for d := time.Sunday; d <= time.Saturday; d++ {
		if w.Has(d) {
			n++
		}
	}
	return n
}

// overDays is a stretch from an hour of one day to an hour of another.
var overDays = phrase.NewPattern(`(?i)(?:\b(?:mon|tue|wed|thu|fri|sat|sun)(?:s|nes|r|rs|ur)?(?:day)?|\d{1,2} (?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*)\s+(?:at\s+)?\d{1,2}(?:[:.]\d\d)?\s*(?:am|pm)?\s*(?:to|until|till|-)\s*(?:\b(?:mon|tue|wed|thu|fri|sat|sun)(?:s|nes|r|rs|ur)?(?:day)?|\d{1,2} (?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*)\b`)

// vagueWeek is a week whose days are not named.
var vagueWeek = phrase.NewPattern(`(?i)\b(?:next|this) week\b`)

// severalDays reports days of the calendar that do not follow each other: "tomorrow and
// friday".
func severalDays(req *desk.Request) bool {
	var first time.Time
	several, calendar := false, false
	for _, s := range req.Reading.Spans {
		if s.Kind != phrase.KindDate && s.Kind != phrase.KindDays {
			continue
		}
		from, _ := daysOfSpan(req, s)
		several = several || !first.IsZero() && !from.Equal(first)
		calendar = calendar || dayInWords.MatchString(s.Text)
		first = from
	}
	return several && calendar
}

// everyDaySaid is a block with its days in words, those of every day too.
func everyDaySaid(req *desk.Request, b storage.Block) string {
	text := sayBlock(req, b)
	if b.Days == storage.EveryDay {
		return b.Title + " every day " + strings.TrimPrefix(text, b.Title+" ")
	}
	return text
}

// sayOn is a block with days of the calendar in the place of its days of the week.
func sayOn(req *desk.Request, b storage.Block, from, to time.Time) string {
	b.Days, b.Since, b.Until = storage.EveryDay, time.Time{}, time.Time{}
	days := from.Format(time.DateOnly)
	if to.After(from) {
		days += " to " + to.Format(time.DateOnly)
	}
	return b.Title + " " + days + " " + strings.TrimPrefix(sayBlock(req, b), b.Title+" ")
}

// lessons reports school and the like, which is of weekdays when no day is said.
func (b blockSaid) lessons() bool { return isLessons(b.Block) || isSchool(b.Title) }

// takesChildren reports a block that has children elsewhere.
func takesChildren(req *desk.Request, b storage.Block) bool {
	kids := idsOf(req, reminders.Kids)
	return isAway(b) && slices.ContainsFunc(idsOf(req, b.Whom), func(id int64) bool { return slices.Contains(kids, id) })
}

// putOnce writes a block of some days down. One that there is on that day anyhow is at
// these hours then.
func putOnce(req *desk.Request, is storage.Block, old *storage.Block) (desk.Reply, error) {
	if old != nil && strings.EqualFold(old.Title, is.Title) && old.Whom == is.Whom && !old.Dated() {
		text := fmt.Sprintf("%s is %s-%s, %s", old.Title, is.First, is.Past, sayFromTo(req, is.Since, is.Until))
		return changeDays(req, *old, daysFromTo(is.Since, is.Until), text, storage.DayWord{Kind: storage.DayMoved, First: is.First, Past: is.Past})
	}
	text := sayBlock(req, is)
	if err := req.Record(storage.Entry{Kind: "block", About: "block:" + is.Title, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.AddBlock(is); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(desk.Upper(text) + ".")
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	reply, err := sayChildren(req, is, reply)
	if err != nil {
		return desk.Reply{}, err
	}
	return laidAnew(req, reply)
}
