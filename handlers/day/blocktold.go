package day

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// Blocks that a sentence tells of: "the kids have football thursdays 4 to 5.30". Such a
// line says from when until when, who, and that it is so every week, or it names what
// blocks are usually called.

// everyWeek are words by which a line is about all weeks.
const everyWeek = "mondays|tuesdays|wednesdays|thursdays|fridays|saturdays|sundays|weekdays|weekends|daily|mornings|afternoons|evenings|nights|every|each"

func toldAsk() desk.Ask {
	return desk.Ask{
		Name: "block", Command: "block", Text: true, Keep: true, Lists: []string{"people"}, Kinds: []phrase.Kind{phrase.KindDate, phrase.KindDays}, Help: "a fixed block of the day, told in a sentence",
		Forms:    []string{everyWeek, usualBlocks, "works|working", "^i|i've|i'm"},
		Examples: []desk.Example{{Line: "the kids have football thursdays 4 to 5.30"}, {Line: "baking Edda mondays 9-12 in the kitchen"}},
		Plain:    plainTold, Do: blockTold,
	}
}

var (
	selfSaid = phrase.NewPattern(`(?i)\bi(?:'m|'ve)?\b`)
	// halfHour is how half past is often said: "half six", "half 12".
	halfHour = phrase.NewPattern(`(?i)\bhalf\s+(\d{1,2}|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve)\b`)
	allParts = phrase.NewPattern(`(?i)\b(?:(?:every|each)\s+(morning|afternoon|evening|night)|(?:every\s+)?(morning|afternoon|evening|night)s)\b`)
	byNight  = phrase.NewPattern(`(?i)\bnights?\b|\bevenings?\b`)
	// vagueDays are words for about now, which are no days of the week.
	vagueDays = phrase.NewPattern(`(?i)\b(?:these days|nowadays|lately|at the moment|from now on|for now)\b`)
	aboutNow  = phrase.NewPattern(`(?i)\b(?:these days|nowadays|lately|at the moment|for now)\b`)
)

// halves writes "half six" as half past six. "Half an hour" stays.
func halves(text string) string { return halfHour.ReplaceAllString(text, "half past $1") }

// evenings are blocks that begin in the evening, on a weekday, where nobody says so.
var evenings = phrase.NewPattern(`(?i)\b(?:scouts|guides|cubs|brownies|choir|band|practice|training|rehearsals?|club|football|soccer)\b`)

var amOrPM = phrase.NewPattern(`(?i)\d\s*[ap]m\b|\bmornings?\b`)

// hoursSaid reads from when until when; a night shift begins in the evening and ends in the
// morning, and choir on a Thursday at 7 is taken to be in the evening.
func hoursSaid(text string, days storage.Weekdays) (s span, assumed string) {
	text = halves(text)
	s = oneSpan(spanOf(text))
	club := days&storage.Working != 0 && evenings.MatchString(text) && s.first >= 6*60 && s.first < 9*60 && !amOrPM.MatchString(text)
	night := byNight.MatchString(text)
	if !s.said || s.why != "" || !club && !night {
		return s, ""
	}
	s = spanOf("evening " + text)
	s.rest = strings.TrimPrefix(s.rest, "evening ")
	if night && s.first >= 18*60 && s.past < s.first && s.past >= 12*60 {
		s.past -= 12 * 60
	}
	if club {
		assumed = fmt.Sprintf("%s in the evening", s.first)
	}
	return s, assumed
}

// oneSpan refuses hours that are said twice: "every morning 6-7 and every evening 5-6".
func oneSpan(s span) span {
	if s.said && s.why == "" && spanOf(s.rest).said {
		s.why = "That gives hours twice: one block a line."
	}
	return s
}

// partSaid reads "every evening" and "mornings", and returns the line without them.
func partSaid(text string) (part, rest string) {
	m := allParts.FindStringSubmatch(text)
	if m == nil {
		return "", text
	}
	return strings.ToLower(m[1] + m[2]), strings.Replace(text, m[0], " ", 1)
}

// talkOfBlocks are words of a sentence that tells a story or an opinion, and sets nothing.
var talkOfBlocks = strings.Fields("had was were used would could should might if when because never always hate hates love loves like likes liked want wants wanted need needs needed miss misses think thinks say says said not don't doesn't didn't can't won't than but it they he she you what who why how about so too very really just only last")

// toldBlock is a block that a sentence tells of, and whether it is so beyond doubt.
func toldBlock(req *desk.Request) (b blockSaid, sure, ok bool) {
	if strings.ContainsAny(req.Text, "?!") || asks(req) || req.Mentions(talkOfBlocks...) {
		return b, false, false
	}
	b = readBlock(req)
	n := len(strings.Fields(b.Title))
	if _, open := b.beginning(req); open {
		return b, false, true
	}
	if !b.span.said || b.span.why != "" || b.stranger != "" || n == 0 || n > 3 {
		return b, false, false
	}
	weekly := b.days != 0 && req.Mentions(strings.Split(everyWeek, "|")...)
	usual := usualTitle(req, b.Title)
	switch {
	case b.Whom == "":
		return b, false, usual && (weekly || slices.Contains(meals, b.Title)) && blockNamed(req, b.Title) == nil
	case usual:
		return b, true, true
	}
	return b, !verbOf(req, b.Title), weekly && !isState(req, b.Title)
}

// meals are blocks that a line may give hours without saying who eats.
var meals = []string{"breakfast", "lunch", "dinner", "supper", "tea", "elevenses"}

// follows are the words behind the names of people in a line.
func follows(req *desk.Request) (out []string) {
	toks := req.Reading.Tokens
	for _, s := range req.Reading.Terms("people") {
		if s.Past < len(toks) && toks[s.Past].Kind == phrase.Word {
			out = append(out, toks[s.Past].Low)
		}
	}
	return out
}

// verbOf reports a title that may be what somebody does: "the kids fight evenings 5-7".
func verbOf(req *desk.Request, title string) bool {
	w := first(strings.Fields(title))
	return slices.Contains(follows(req), w) && !strings.HasSuffix(w, "ing")
}

// isState reports a title that may be how somebody is: "Tom is grumpy mondays 9-12".
func isState(req *desk.Request, title string) bool {
	is := slices.ContainsFunc(follows(req), func(w string) bool { return w == "is" || w == "are" })
	return is && !strings.HasSuffix(first(strings.Fields(title)), "ing") && !req.Mentions("at", "in")
}

func plainTold(req *desk.Request) bool {
	_, _, ok := toldBlock(req)
	return ok
}

// blockTold writes a told block down, or asks whether it is one.
func blockTold(req *desk.Request) (desk.Reply, error) {
	b, sure, ok := toldBlock(req)
	if !ok {
		return desk.Reply{}, desk.ErrSilent
	}
	if one, open := b.beginning(req); open {
		return untilWhen(req, one), nil
	}
	if sure || b.Whom == "" {
		return setBlock(req)
	}
	said := sayBlock(req, b.orEveryDay())
	return desk.AskBack(fmt.Sprintf("Is that a block of the day: %s?", said), desk.Labelled("Yes", "block "+said)), nil
}

// beginning is a block of every week of which only the beginning was said: "Lise has piano
// at 4 on wednesdays".
func (b blockSaid) beginning(req *desk.Request) (one storage.Block, ok bool) {
	_, text := peopleIn(req)
	_, text = weekdaysIn(text)
	at, rest, timed := timeOf(halves(text), b.part == "evening")
	_, rest = partSaid(rest)
	title, stranger := titleOf(strings.TrimRight(rest, " ,.!"))
	if b.span.said || !timed || req.Mentions("start", "starts", "starting", "begins") || b.Whom == "" || b.days == 0 || stranger != "" || !usualTitle(req, title) || !req.Mentions(strings.Split(everyWeek, "|")...) {
		return one, false
	}
	one = b.orEveryDay()
	one.Title, one.First, one.Place = title, at, ""
	return one, true
}

// untilWhen asks how long a block lasts.
func untilWhen(req *desk.Request, b storage.Block) desk.Reply {
	reply := desk.AskBack(fmt.Sprintf("Until when is %s, %s from %s?", b.Title, sayDaysWhom(req, b), b.First))
	for _, length := range []storage.Minutes{30, 60, 90, 120} {
		b.Past = (b.First + length) % (24 * 60)
		reply.Buttons = append(reply.Buttons, desk.Labelled(b.Past.String(), "block "+sayBlock(req, b)))
	}
	return reply
}

// orEveryDay is the block on the days that were said, or on every day.
func (b blockSaid) orEveryDay() storage.Block {
	out := b.Block
	if out.Days = b.days; out.Days == 0 {
		out.Days = storage.EveryDay
	}
	return out
}

// daysLack asks on which days a block is that is so "these days".
func daysLack(req *desk.Request, b blockSaid) (desk.Reply, bool) {
	if b.days != 0 || !aboutNow.MatchString(req.Text) {
		return desk.Reply{}, false
	}
	one := b.orEveryDay()
	reply := desk.AskBack(fmt.Sprintf("On which days is that: %s?", sayBlock(req, one)))
	for _, days := range []storage.Weekdays{storage.Working, storage.EveryDay} {
		one.Days = days
		label := sayWeekdays(days)
		if label == "" {
			label = "every day"
		}
		say := "block " + sayBlock(req, one)
		if days == storage.EveryDay {
			say = strings.Replace(say, one.Title+" ", one.Title+" daily ", 1)
		}
		reply.Buttons = append(reply.Buttons, desk.Labelled(desk.Upper(label), say))
	}
	return reply, true
}

// careful settles what a line leaves open, and returns what was assumed: who has lessons
// in the mornings has none at the weekend, and a new school of no days is of weekdays, as is
// work of which a sentence tells.
func (b *blockSaid) careful(isNew, told bool) (assumed []string) {
	weekdays := isLessons(b.Block) || told && b.Title == "work"
	switch {
	case b.part != "" && b.days == storage.EveryDay && weekdays:
		b.days = storage.Working
		assumed = append(assumed, b.part+"s are those of weekdays")
	case b.days == 0 && isNew && weekdays:
		b.days = storage.Working
		assumed = append(assumed, "weekdays")
	}
	if b.assumed != "" {
		assumed = append(assumed, b.assumed)
	}
	return assumed
}

// otherPart reports a block of another part of the day: milking in the evening is not
// milking in the morning.
func otherPart(a, b storage.Block) bool {
	part := func(b storage.Block) int {
		switch {
		case b.First < 12*60:
			return 0
		case b.First < 17*60:
			return 1
		}
		return 2
	}
	return part(a) != part(b)
}

// overnight tells what a shift through the night leaves open: when its people sleep.
func overnight(req *desk.Request, b storage.Block) []string {
	if b.Past > b.First || b.Past == 0 || b.Past > 12*60 || !isShift(b) {
		return nil
	}
	after := b
	after.Days = (b.Days<<1 | b.Days>>6) & storage.EveryDay
	after.Title, after.First, after.Past, after.Place = "sleep", b.Past+60, b.Past+8*60, ""
	return []string{fmt.Sprintf("until %s the morning after. To keep the sleep after it free: block %s", b.Past, sayBlock(req, after))}
}

// isShift reports work away from the household's own.
func isShift(b storage.Block) bool {
	return slices.ContainsFunc(strings.Fields(b.Title), func(w string) bool { return w == "work" || w == "shift" || w == "night" })
}
