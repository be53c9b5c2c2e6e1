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

// What a short line says of a block that there is: "supper is at 6", "school now ends at 1",
// "no school on fridays", "drop supper". Whether it is so today or from now on is asked
// where the line does not say it.

func blockTimeAsks() []desk.Ask {
	kinds := []phrase.Kind{phrase.KindDate, phrase.KindDays, phrase.KindPart}
	supper := []string{"block supper 18:00-19:00 everyone"}
	school := []string{"day school weekdays 9:30-12:30 kids"}
	ask := func(help string, forms []string, plain func(*desk.Request) bool, do func(*desk.Request) (desk.Reply, error), setup []string, line string) desk.Ask {
		return desk.Ask{
			Name: "block", Command: "block", Text: true, Keep: true, Kinds: kinds, Lists: []string{"people"}, Help: help,
			Forms: forms, Examples: []desk.Example{{Setup: setup, Line: line}}, Plain: plain, Strict: true, Do: do,
		}
	}
	return []desk.Ask{
		ask("a block has other hours from now on, or on a day of every week", []string{"at", "is|are", "now", "starts|begins|ends|finishes", usualBlocks, everyWeek}, plainHours, blockHours, supper, "supper is at 6"),
		ask("a block is not on some days of the week", []string{"^no", "not|isn't|aren't|doesn't|don't", "off", "never"}, plainNotOn, blockNotOn, school, "no school on fridays"),
		ask("a block is off, and no day is said", []string{"off", "cancelled|canceled", "^cancel"}, plainOffSometime, blockOffSometime, supper, "supper is off for good"),
		ask("take a block out of the day by its name", []string{"^drop|remove|delete", "^no more"}, plainDrop, dropBlock, supper, "drop supper"),
	}
}

// lasting are words by which a change holds from now on.
var lasting = phrase.NewPattern(`(?i)\bnow\b|\bfrom now on\b|\bfor good\b`)

// hoursWords are the words of a line that gives a block its hours.
var hoursWords = append(dayWords(), strings.Fields("we eat have us 's s to from until till o'clock am pm half past quarter one two three four five six seven eight nine ten eleven twelve noon midday midnight now starts begins finishes ends start begin finish end every each good always evening evenings morning mornings afternoon afternoons mondays tuesdays wednesdays thursdays fridays saturdays sundays weekdays weekends monday tuesday wednesday thursday friday saturday sunday")...)

// saysOnly reports a line of a block's name, people and the given words; people of the
// line must be in the block.
func saysOnly(req *desk.Request, b storage.Block, words ...string) bool {
	who, _ := peopleIn(req)
	in := idsOf(req, b.Whom)
	for _, s := range req.Reading.Terms("people") {
		words = append(words, phrase.Words(s.Text)...)
	}
	stranger := slices.ContainsFunc(idsOf(req, who), func(id int64) bool { return !slices.Contains(in, id) })
	return !stranger && onlyWords(req, b.Title, words...)
}

// weeklyDays are the days of the week on which a line says that something always is so:
// "on fridays", "every friday". "Friday" alone is the next.
func weeklyDays(req *desk.Request) storage.Weekdays {
	if !req.Mentions(strings.Split(everyWeek, "|")...) {
		return 0
	}
	days, _ := weekdaysIn(req.Text)
	return days
}

// plainHours takes a line that names a block, gives it hours and says nothing else.
func plainHours(req *desk.Request) bool {
	b := namedIn(req)
	if b == nil || asks(req) || strings.Contains(req.Text, "!") || weeklyDays(req) == 0 && daySaid(req) && !lasting.MatchString(req.Text) || !saysOnly(req, *b, hoursWords...) {
		return false
	}
	who, _ := peopleIn(req)
	_, ok := newTimes(req, *b)
	return ok && (who == "" || weeklyDays(req) != 0)
}

// blockHours gives a block its hours: on some days of the week, from now on, or asks.
func blockHours(req *desk.Request) (desk.Reply, error) {
	if !plainHours(req) {
		return desk.Reply{}, desk.ErrSilent
	}
	b := namedIn(req)
	if days := weeklyDays(req); days != 0 {
		return hoursOnDays(req, b.Title, days)
	}
	if lasting.MatchString(req.Text) {
		return fromNowOn(req, b.Title)
	}
	all, err := blocksMeant(req, b.Title)
	if err != nil {
		return desk.Reply{}, err
	}
	return sinceWhen(req, all), nil
}

// sinceWhen asks whether the blocks of a name have other hours from now on, or on one day.
func sinceWhen(req *desk.Request, all []storage.Block) desk.Reply {
	b := all[0]
	to, _ := newTimes(req, b)
	if len(all) == 1 && to.first == b.First && to.past == b.Past {
		return desk.Answer(desk.Upper(sayBlock(req, b))+".", "as it stands")
	}
	reply := desk.AskBack(fmt.Sprintf("%s at %s: from now on, or on one day?", desk.Upper(b.Title), to.first))
	for _, one := range all {
		reply.Lines = append(reply.Lines, "now: "+sayBlock(req, one))
	}
	if day, one, ok := nextOf(req, all); ok {
		to, _ := newTimes(req, one)
		reply.Buttons = append(reply.Buttons, desk.Labelled(onlyOn(req, day), fmt.Sprintf("block %s is from %s to %s on %s", b.Title, to.first, to.past, reminders.SayDay(day, req.Wall, req.House.DayFirst))))
	}
	for _, one := range all {
		to, _ := newTimes(req, one)
		label := "From now on"
		if len(all) > 1 {
			label += ", " + sayDaysWhom(req, one)
		}
		reply.Buttons = append(reply.Buttons, desk.Labelled(label, "block "+sayBlock(req, withHours(one, to))))
	}
	return reply
}

// sayDaysWhom tells a block from others of its name: "Sun, everyone".
func sayDaysWhom(req *desk.Request, b storage.Block) string {
	days := sayWeekdays(b.Days)
	if days == "" {
		days = "every day"
	}
	return days + ", " + reminders.SayWhom(b.Whom, req.People, req.Now)
}

// nextOf is the next day on which one of some blocks takes place.
func nextOf(req *desk.Request, all []storage.Block) (day time.Time, b storage.Block, ok bool) {
	for _, one := range all {
		if on, is := nextOn(req, one); is && (!ok || on.Before(day)) {
			day, b, ok = on, one, true
		}
	}
	return day, b, ok
}

// hoursOnDays has a block at other hours on some days of the week; the others stay.
func hoursOnDays(req *desk.Request, title string, days storage.Weekdays) (desk.Reply, error) {
	if reply, no := mayNot(req, "the blocks of the day"); no {
		return reply, nil
	}
	all, err := blocksMeant(req, title)
	if err != nil || len(all) == 0 {
		return desk.Reply{}, err
	}
	b := all[0]
	if who, _ := peopleIn(req); who != "" {
		b.Whom = who
	}
	to, _ := newTimes(req, b)
	b.Days = days
	return putBlock(req, withHours(b, to), false)
}

// nextOn is the next day on which a block takes place and is not over.
func nextOn(req *desk.Request, b storage.Block) (time.Time, bool) {
	today := reminders.Day(req.Wall)
	for n := range ahead {
		day := today.AddDate(0, 0, n)
		words, err := req.Tx.DayWords(req.House.ID, day, day)
		if err != nil {
			return day, false
		}
		if s, takes := takesPlace(req, b, day, words); takes && s.to.After(req.Wall) {
			return day, true
		}
	}
	return today, false
}

// onlyOn writes the label of a button for one day.
func onlyOn(req *desk.Request, day time.Time) string {
	if day.Equal(reminders.Day(req.Wall)) {
		return "Only today"
	}
	return "Only " + reminders.SayDay(day, req.Wall, req.House.DayFirst)
}

// plainNotOn takes "no school on fridays", "school is off on fridays for Pim".
func plainNotOn(req *desk.Request) bool {
	b := namedIn(req)
	return b != nil && !asks(req) && !strings.Contains(req.Text, "!") && weeklyDays(req) != 0 && saysOnly(req, *b, append(slices.Clone(hoursWords), "not", "isn't", "aren't", "doesn't", "don't", "go", "have", "has", "any", "more", "longer", "anymore", "never", "at", "in")...)
}

func blockNotOn(req *desk.Request) (desk.Reply, error) {
	if !plainNotOn(req) {
		return desk.Reply{}, desk.ErrSilent
	}
	all, err := blocksCalled(req, namedIn(req).Title)
	if err != nil {
		return desk.Reply{}, err
	}
	who, _ := peopleIn(req)
	return takeOut(req, all, who, weeklyDays(req))
}

// plainOffSometime takes "tutoring is off", when no day is said. What is off for lessons
// is off today, see heardOff.
func plainOffSometime(req *desk.Request) bool {
	b := namedIn(req)
	return b != nil && !isLessons(*b) && !(isAway(*b) && stillToday(req, *b) && !lasting.MatchString(req.Text)) && !asks(req) && !daySaid(req) && weeklyDays(req) == 0 && !strings.Contains(req.Text, "!") && onlyWords(req, b.Title, "is", "are", "off", "cancelled", "canceled", "cancel", "the", "been", "has", "now", "for", "good") && !strings.HasPrefix(strings.ToLower(req.Text), "block")
}

func blockOffSometime(req *desk.Request) (desk.Reply, error) {
	if !plainOffSometime(req) {
		return desk.Reply{}, desk.ErrSilent
	}
	b := namedIn(req)
	if lasting.MatchString(req.Text) {
		return dropBlock(req)
	}
	reply := desk.AskBack(fmt.Sprintf("%s is off: on one day, or for good?", desk.Upper(b.Title)))
	if day, ok := nextOn(req, *b); ok {
		reply.Buttons = append(reply.Buttons, desk.Labelled(onlyOn(req, day), fmt.Sprintf("block %s is off on %s", b.Title, reminders.SayDay(day, req.Wall, req.House.DayFirst))))
	}
	reply.Buttons = append(reply.Buttons, desk.Labelled("For good", "block drop "+b.Title))
	return reply, nil
}

// plainDrop takes "drop supper", "no more school for Pim on fridays".
func plainDrop(req *desk.Request) bool {
	b := namedIn(req)
	return b != nil && !asks(req) && !strings.Contains(req.Text, "!") && (!daySaid(req) || weeklyDays(req) != 0) && saysOnly(req, *b, append(slices.Clone(hoursWords), "drop", "remove", "delete", "more", "block", "blocks", "all", "both", "out", "of", "our", "and")...)
}
