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

// wordAsks are what is said of one day: a block is off or at another time, wet or dry.
func wordAsks() []desk.Ask {
	days := []phrase.Kind{phrase.KindDate, phrase.KindDays, phrase.KindPart, phrase.KindBad}
	school := []string{"day school weekdays 9:30-12:30 kids"}
	supper := []string{"block supper 18:00-19:00 everyone"}
	fence := []string{"job fence by the sow, Tom, dry day, 2 hours, no children"}
	return []desk.Ask{
		offOneAsk(days, school),
		{
			Name: "day", Command: "block", Text: true, Kinds: days, Help: "a block is off on a day: the day is laid anew", Forms: []string{"off", "^no", "cancelled|canceled", "snowed in$", "snow day", "^block * is off on"},
			Examples: []desk.Example{{Setup: school, Line: "school is off today"}, {Setup: school, Line: "no school tomorrow"}}, Plain: func(req *desk.Request) bool { return plainOff(req) || plainSnowed(req) }, Do: blockOff,
		},
		{
			Name: "day", Command: "block", Text: true, Kinds: days, Help: "a block is at another time on a day", Forms: []string{"at", "from * today|tomorrow|tonight", "starts|begins|finishes|ends at", "is over at", "is|are", "^block * is from * to * on"},
			Examples: []desk.Example{{Setup: supper, Line: "supper at 19:30 today"}}, Plain: plainMoved, Do: moveToday,
		},
		{
			Name: "day", Command: "block", Text: true, Kinds: days, Help: "a block is on after all", Forms: []string{"is|are on", "on after all", "back on"},
			Examples: []desk.Example{{Setup: append(slices.Clone(school), "school is off today"), Line: "school is on after all"}}, Plain: plainOn, Do: blockOn,
		},
		{
			Name: "day", Command: "today", Text: true, Kinds: days, Help: "a day is wet, or dry: jobs that need dry weather move", Forms: []string{"^wet", "^dry", "is|be wet|dry", "it's|its wet|dry", "^today|tomorrow wet|dry", "it's|its raining", "^raining", "^rain", "going to rain", "will rain"},
			Examples: []desk.Example{{Setup: fence, Line: "wet tomorrow"}}, Plain: plainWeather, Do: weather,
		},
	}
}

// offOneAsk is somebody who is not in a block on a day: at home from school.
func offOneAsk(days []phrase.Kind, school []string) desk.Ask {
	return desk.Ask{
		Name: "day", Command: "block", Text: true, Kinds: days, Lists: []string{"people"}, Keep: true, Help: "somebody is not in a block on a day: at home from school", Forms: []string{"off", "home|staying from", "not at|in|going", "stays|staying home"},
		Examples: []desk.Example{{Setup: school, Line: "Pim is off school today"}, {Setup: school, Line: "Lise is home from school today"}}, Plain: plainOffOne, Do: offOne,
	}
}

// plainOffOne takes "Pim is off school today" and nothing that says more.
func plainOffOne(req *desk.Request) bool {
	b := namedIn(req)
	who, _ := peopleIn(req)
	if b == nil || who == "" || asks(req) || !daySaid(req) {
		return false
	}
	ids := idsOf(req, who)
	return !slices.Equal(ids, idsOf(req, b.Whom)) && !slices.ContainsFunc(ids, func(id int64) bool { return !slices.Contains(idsOf(req, b.Whom), id) }) && onlyWords(req, b.Title, append(dayWords(), "home", "from", "not", "at", "in", "going", "to", "and", "staying", "stays", "stay")...)
}

// offOne leaves somebody out of a block on some days.
func offOne(req *desk.Request) (desk.Reply, error) {
	if !plainOffOne(req) {
		return desk.Reply{}, desk.ErrSilent
	}
	who, _ := peopleIn(req)
	names := namesOf(req, idsOf(req, who))
	b, days, reply := dayReady(req, "is off for "+desk.List(names))
	if b == nil {
		return reply, nil
	}
	text := fmt.Sprintf("%s not in %s, %s", isAre(names), b.Title, sayDays(req, days))
	if err := req.Record(storage.Entry{Kind: "day", About: "block:" + b.Title, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	for _, day := range days {
		for _, name := range names {
			title := without(b.Title, name)
			err := req.Tx.DropDayWord(req.House.ID, day, title)
			if err == nil {
				err = req.Tx.AddDayWord(req.House.ID, storage.DayWord{Day: day, Kind: storage.DayOff, Title: title})
			}
			if err != nil {
				return desk.Reply{}, err
			}
		}
	}
	reply = desk.Answer(desk.Upper(text) + ".")
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return laidAnew(req, reply)
}

// without is the title under which it is kept that somebody is not in a block.
func without(block, name string) string { return block + ": " + name }

// plainSnowed takes a line that says only that snow keeps everybody at home.
func plainSnowed(req *desk.Request) bool {
	d, err := dayOf(req, reminders.Day(req.Wall))
	return err == nil && onlyWords(req, "", strings.Fields("we're we are it's its a an snow snowed in day today again no school")...) && req.Mentions("snow", "snowed") && !strings.Contains(req.Text, "?") &&
		slices.ContainsFunc(d.blocks, func(b stretch) bool { return b.to.After(req.Wall) && isAway(b.Block) })
}

// offHead begins the question whether everything is off.
const offHead = "Off today:"

// snowed offers to take the blocks off that are not at home; nothing is changed unasked.
func snowed(req *desk.Request) (desk.Reply, error) {
	d, err := dayOf(req, reminders.Day(req.Wall))
	if err != nil {
		return desk.Reply{}, err
	}
	var off []string
	reply := desk.AskBack("")
	for _, b := range d.blocks {
		if b.to.After(req.Wall) && isAway(b.Block) {
			off = append(off, b.Title)
			reply.Buttons = append(reply.Buttons, desk.Labelled(desk.Upper(b.Title)+" is off", b.Title+" is off today"))
		}
	}
	if len(reply.Buttons) == 0 {
		return desk.Reply{}, desk.ErrSilent
	}
	reply.Head = fmt.Sprintf(offHead+" %s? Say for example: %s is off today", desk.List(off), off[0])
	return reply, nil
}

// onlyWords reports that a line holds nothing but the given words, the block's name and
// spans that were read.
func onlyWords(req *desk.Request, title string, words ...string) bool {
	words = append(words, phrase.Words(title)...)
	for _, w := range phrase.Words(title) {
		words = append(words, w+"'s", w+"s")
	}
	said := daysIn(req)
	for i, t := range req.Reading.Tokens {
		covered := said.Covered[i] || slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool { return i >= s.First && i < s.Past })
		if t.Kind == phrase.Word && !covered && !slices.Contains(words, t.Low) {
			return false
		}
	}
	return true
}

func dayWords() []string {
	return []string{"is", "are", "off", "no", "on", "the", "for", "please", "today", "tomorrow", "tonight", "at", "it's", "all", "day", "cancelled", "canceled", "so"}
}

// plainOff takes "no school tomorrow" and passes over "no school for me i'm 40".
func plainOff(req *desk.Request) bool {
	b := namedIn(req)
	words := append(dayWords(), "kids", "children", "they're", "they")
	return b != nil && !asks(req) && !saidOn(req) && (isLessons(*b) || !lasting.MatchString(req.Text)) && req.Mentions("off", "no", "cancelled", "canceled") && (daySaid(req) || isAway(*b) && stillToday(req, *b)) && onlyWords(req, b.Title, words...)
}

// asks tells a question from a report: it ends as one, or begins as one.
func asks(req *desk.Request) bool {
	return strings.Contains(req.Text, "?") || slices.Contains(askWords, first(phrase.Words(req.Text)))
}

var askWords = strings.Fields("is are was were does do did will would can could should shall has have who when what where why how if")

// daySaid reports that a line names a day.
func daySaid(req *desk.Request) bool {
	said := daysIn(req)
	return said.Said() && !said.Always || len(req.Reading.Of(phrase.KindDate))+len(req.Reading.Of(phrase.KindDays)) > 0 || slices.ContainsFunc(req.Reading.Of(phrase.KindPart), func(s phrase.Span) bool { return s.Value.(phrase.Part).Fixed })
}

func plainMoved(req *desk.Request) bool {
	b := namedIn(req)
	if b == nil || asks(req) || !daySaid(req) {
		return false
	}
	_, ok := newTimes(req, *b)
	return ok && onlyWords(req, b.Title, append(dayWords(), "to", "from", "until", "till", "o'clock", "am", "pm", "s", "half", "past", "quarter", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "noon", "move", "starts", "begins", "finishes", "ends", "over")...)
}

// stillToday reports a block that takes place today and is not over.
func stillToday(req *desk.Request, b storage.Block) bool {
	d, err := dayOf(req, reminders.Day(req.Wall))
	return err == nil && slices.ContainsFunc(d.blocks, func(s stretch) bool { return s.Title == b.Title && s.to.After(req.Wall) })
}

// saidOn reports "is on": with a no before it, it says one thing and the other.
func saidOn(req *desk.Request) bool {
	text := " " + strings.Join(phrase.Words(req.Text), " ") + " "
	return strings.Contains(text, " is on ") || strings.Contains(text, " are on ")
}

func plainOn(req *desk.Request) bool {
	b := namedIn(req)
	return b != nil && !asks(req) && onlyWords(req, b.Title, append(dayWords(), "after", "back", "yes")...) && (req.Mentions("after", "back") || daySaid(req) || saidOn(req) && isOffToday(req, *b))
}

// isOffToday reports a block that was said to be off today, or to be at other hours.
func isOffToday(req *desk.Request, b storage.Block) bool {
	words, err := req.Tx.DayWords(req.House.ID, reminders.Day(req.Wall), reminders.Day(req.Wall))
	return err == nil && slices.ContainsFunc(words, func(w storage.DayWord) bool { return strings.EqualFold(w.Title, b.Title) })
}

// daysMeant are the days that a line names; today when it names none.
func daysMeant(req *desk.Request) (from, to time.Time) {
	today := reminders.Day(req.Wall)
	if s := req.Reading.Of(phrase.KindDays); len(s) > 0 {
		d := s[0].Value.(phrase.DateSpan)
		if d.From.IsZero() {
			d.From = today
		}
		return d.From, d.To
	}
	if s := req.Reading.Of(phrase.KindDate); len(s) > 0 {
		d := s[0].Value.(phrase.Date).Next
		return d, d
	}
	return today, today
}

// mostDays is how many days a block is off at once.
const mostDays = 100

// dayReady finds the block and the days of a line that changes them. Told is what is said of
// the block: "is off".
func dayReady(req *desk.Request, told string) (b *storage.Block, days []time.Time, reply desk.Reply) {
	b, reply = whichBlock(req)
	if b == nil {
		return nil, nil, reply
	}
	days, reply, ok := settleDays(req, b.Title+" "+told)
	if !ok {
		return nil, nil, reply
	}
	b = ofDay(req, b, days[0])
	if reply, no := mayNot(req, "the blocks of the day"); no {
		return nil, nil, reply
	}
	return b, days, desk.Reply{}
}

// ofDay is the block of a name on a day of the week, where there are several.
func ofDay(req *desk.Request, b *storage.Block, day time.Time) *storage.Block {
	all, err := blocksMeant(req, b.Title)
	if err != nil {
		return b
	}
	if i := slices.IndexFunc(all, func(o storage.Block) bool { return o.On(day) }); i >= 0 {
		return &all[i]
	}
	return b
}

func sayFromTo(req *desk.Request, from, to time.Time) string {
	text := reminders.SayDay(from, req.Wall, req.House.DayFirst)
	if !to.Equal(from) {
		text += " to " + reminders.SayDay(to, req.Wall, req.House.DayFirst)
	}
	return text
}

// blockOff leaves a block out on some days.
func blockOff(req *desk.Request) (desk.Reply, error) {
	if namedIn(req) == nil && plainSnowed(req) {
		return snowed(req)
	}
	if namedIn(req) == nil {
		return desk.Reply{}, desk.ErrSilent
	}
	if b := namedIn(req); !req.May() && takesChildren(req, *b) {
		return believed(req, *b)
	}
	b, days, reply := dayReady(req, "is off")
	if b == nil {
		return reply, nil
	}
	text := fmt.Sprintf("%s is off, %s", b.Title, sayDays(req, days))
	reply, err := changeDays(req, *b, days, text, storage.DayWord{Kind: storage.DayOff})
	if err == nil && !daySaid(req) { // lye may be counted on it today: that is not left to an answer
		reply.Lines = append(reply.Lines, fmt.Sprintf("Only today. For good: block %s off", b.Title))
	}
	return reply, err
}

// moveToday puts a block at another time on some days.
func moveToday(req *desk.Request) (desk.Reply, error) {
	if namedIn(req) == nil {
		return desk.Reply{}, desk.ErrSilent
	}
	b, reply := whichBlock(req)
	if b == nil {
		return reply, nil
	}
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 && daysIn(req).Trouble == "" {
		return desk.Refuse(bad[0].Value.(string) + " Nothing was changed."), nil
	}
	at, ok := newTimes(req, *b)
	if !ok {
		return desk.AskBack(fmt.Sprintf("At what time? For example: %s at 14:00 today", b.Title)), nil
	}
	return hoursOn(req, *b, at)
}

// hoursOn has a block be at other hours on the days that a line names; from now on, or every
// week, is a change of the block.
func hoursOn(req *desk.Request, b storage.Block, at span) (desk.Reply, error) {
	told := fmt.Sprintf("%s %s-%s", b.Title, at.first, at.past)
	if lasting.MatchString(req.Text) {
		return fromNowOn(req, b.Title)
	}
	if said := daysIn(req); said.Open || said.Weekly {
		days := weeklyDays(req)
		if days != 0 && plainHours(req) {
			return hoursOnDays(req, b.Title, days)
		}
		if days&b.Days != 0 {
			b.Days &= days
		}
		b.First, b.Past = at.first, at.past
		if said.Weekly {
			return desk.AskBack(fmt.Sprintf("Every week? Then the block itself changes. For example: block %s. Nothing was changed.", sayBlock(req, b))), nil
		}
		reply := desk.AskBack(fmt.Sprintf("For good? Then the block itself changes: block %s. Nothing was changed.", sayBlock(req, b)))
		if said.Days[0].Equal(reminders.Day(req.Wall)) {
			reply.Buttons = []storage.Button{desk.Labelled("From now on", "block "+sayBlock(req, b)), desk.Labelled("Only today", told+" today")}
		}
		return reply, nil
	}
	days, reply, ok := settleDays(req, told)
	if !ok {
		return reply, nil
	}
	if reply, no := mayNot(req, "the blocks of the day"); no {
		return reply, nil
	}
	text := fmt.Sprintf("%s is %s-%s, %s", b.Title, at.first, at.past, sayDays(req, days))
	return changeDays(req, b, days, text, storage.DayWord{Kind: storage.DayMoved, First: at.first, Past: at.past})
}

// blockOn takes back what was said of a block on some days.
func blockOn(req *desk.Request) (desk.Reply, error) {
	if namedIn(req) == nil {
		return desk.Reply{}, desk.ErrSilent
	}
	b, days, reply := dayReady(req, "is on")
	if b == nil {
		return reply, nil
	}
	if req.Mentions("no") {
		on := b.Title + " is on " + typedDays(days)
		off := b.Title + " is off on " + typedDays(days)
		return desk.AskBack(fmt.Sprintf("Is %s on or off, %s? Nothing was changed. Say for example: %s", b.Title, sayDays(req, days), off), desk.Labelled("It is on", on), desk.Labelled("It is off", off)), nil
	}
	return changeDays(req, *b, days, fmt.Sprintf("%s is on, %s", b.Title, sayDays(req, days)), storage.DayWord{})
}

// changeDays writes down what becomes of a block on some days, and lays them anew.
func changeDays(req *desk.Request, b storage.Block, days []time.Time, text string, w storage.DayWord) (desk.Reply, error) {
	if err := req.Record(storage.Entry{Kind: "day", About: "block:" + b.Title, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	for _, day := range days {
		w.Day, w.Title = day, b.Title
		err := req.Tx.DropDayWord(req.House.ID, day, b.Title)
		if err == nil && w.Kind != "" {
			err = req.Tx.AddDayWord(req.House.ID, w)
		}
		if err != nil {
			return desk.Reply{}, err
		}
	}
	if err := quietWithSchool(req, b, days, w.Kind == storage.DayOff); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(desk.Upper(text) + ".")
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return laidAnew(req, reply)
}

// quietWithSchool lets the children's bells ring in school hours on days without school.
func quietWithSchool(req *desk.Request, b storage.Block, days []time.Time, off bool) error {
	if !strings.EqualFold(b.Title, schoolTitle) {
		return nil
	}
	today := reminders.Day(req.Wall)
	var set storage.DaySet
	for _, run := range req.House.NoSchool {
		for day := run.From; !day.After(run.To); day = day.AddDate(0, 0, 1) {
			if !day.Before(today) && !slices.ContainsFunc(days, day.Equal) {
				set = append(set, storage.Days{From: day, To: day})
			}
		}
	}
	if off {
		set = append(set, runsOf(days)...)
	}
	if err := req.Tx.Set(req.House.ID, storage.SetNoSchool, set.String()); err != nil {
		return err
	}
	req.House.NoSchool = set
	return nil
}

func sayDayWord(req *desk.Request, w storage.DayWord) string {
	day := reminders.SayDay(w.Day, req.Wall, req.House.DayFirst)
	if child := w.Child(); child != "" {
		return fmt.Sprintf("%s: %s at home", day, child)
	}
	switch w.Kind {
	case storage.DayOff:
		return fmt.Sprintf("%s: no %s", day, w.Title)
	case storage.DayMoved:
		return fmt.Sprintf("%s: %s %s-%s", day, w.Title, w.First, w.Past)
	}
	return day + ": " + w.Kind
}

// plainWeather takes "wet tomorrow" from talk only when something waits for the weather.
func plainWeather(req *desk.Request) bool {
	if strings.ContainsAny(req.Text, "?!") || !onlyWords(req, "", "wet", "dry", "it", "is", "it's", "its", "a", "will", "be", "day", "today", "tomorrow", "after", "all", "on", "raining", "rain", "going", "to", "again") || !(daySaid(req) || req.Mentions("day", "raining")) {
		return false
	}
	jobs, err := openWork(req)
	return err == nil && slices.ContainsFunc(jobs, func(j desk.Job) bool { return j.Needs.Dry })
}

// weather writes down that a day is wet or dry.
func weather(req *desk.Request) (desk.Reply, error) {
	kind := storage.DayWet
	if req.Mentions("dry") {
		kind = storage.DayDry
	}
	from, to := daysMeant(req)
	if to.Before(reminders.Day(req.Wall)) {
		return desk.Refuse("That day is over. Nothing was changed."), nil
	}
	text := fmt.Sprintf("%s is %s", sayFromTo(req, from, to), kind)
	if err := req.Record(storage.Entry{Kind: "day", About: "weather", Text: text}); err != nil {
		return desk.Reply{}, err
	}
	for day := from; !day.After(to); day = day.AddDate(0, 0, 1) {
		if err := req.Tx.AddDayWord(req.House.ID, storage.DayWord{Day: day, Kind: kind}); err != nil {
			return desk.Reply{}, err
		}
	}
	reply := desk.Answer(text + ".")
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return laidAnew(req, reply)
}
