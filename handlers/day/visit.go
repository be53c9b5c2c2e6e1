package day

import (
	"slices"
	"strings"
	"time"

	plan "yardbell/calc/day"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// A child from outside the household counts like one of its own that is at home: no lye
// while it may be there.

// visitor is the name under which it is kept that a child visits.
const visitor = "a visiting child"

// visitorIn is a visiting child as the planner takes it, for days of which one was told;
// it has no hand in any work.
func visitorIn(words []storage.DayWord, from, end time.Time) (plan.Person, bool) {
	if !slices.ContainsFunc(words, func(w storage.DayWord) bool { return w.Child() == visitor }) {
		return plan.Person{}, false
	}
	always := plan.Span{From: from, To: end}
	return plan.Person{Name: visitor, Child: true, Busy: []plan.Span{always}, Out: surelyOut(always, storage.Absence{}, storage.Person{Name: visitor}, words)}, true
}

func visitAsk() desk.Ask {
	return desk.Ask{
		Name: "day", Command: "block", Text: true, Keep: true, Kinds: []phrase.Kind{phrase.KindDate, phrase.KindDays, phrase.KindPart, phrase.KindClock, phrase.KindDuration}, Lists: []string{"people", "selves"}, Help: "a child visits: lye waits until it has gone",
		Forms:    []string{"child|children * visits|visit|visiting", "visiting child|children", "cousin|cousins|niece|nieces|nephew|nephews|grandchild|grandchildren|grandkids|playdate|sleepover|godchild|godson|goddaughter", "friend|friends|friend's", "visitors|guests with", "neighbour's|neighbours|neighbor's kids|children|boy|girl", "play date", "twins", "visitors|guests", "little|young ones|one", "grandson|grandsons|granddaughter|granddaughters", "their|her baby", "toddler|toddlers|baby|babies group", "playgroup|childminding|babysitting|minding", "class is|are|comes|visits|coming", "her|his|their two|three|kids|lot|children"},
		Examples: []desk.Example{{Setup: []string{"day school weekdays 9:30-12:30 kids"}, Line: "a child visits today"}, {Setup: []string{"day school weekdays 9:30-12:30 kids"}, Line: "a child visits until friday"}}, Plain: func(req *desk.Request) bool { return plainVisit(req) || plainMayVisit(req) }, Do: visit,
	}
}

// plainVisit takes "a child visits until friday" and nothing that says more.
func plainVisit(req *desk.Request) bool {
	return !asks(req) && req.Mentions("child", "children") && req.Mentions("visits", "visit", "visiting") && onlyWords(req, "", strings.Fields("a some the child children visits visit visiting is are no here us with today on at from until till and")...) && !req.Mentions("no")
}

var (
	visitorWords = []string{"cousin", "cousins", "niece", "nieces", "nephew", "nephews", "grandchild", "grandchildren", "grandkids", "playdate", "play date", "sleepover", "godchild", "godson", "goddaughter", "friend", "friends", "friend's", "with kids", "with children", "neighbour's", "neighbours", "neighbor's", "their little ones", "her little ones", "with little ones", "their young ones", "grandson", "grandsons", "granddaughter", "granddaughters", "their baby", "her baby", "toddler group", "toddlers", "baby group", "playgroup", "childminding", "babysitting", "school class", "her two", "his two", "their two", "her three", "his three", "their three", "her kids", "his kids", "their kids", "her children", "his children", "their children"}
	visitWords   = []string{"is here", "are here", "here today", "here for", "here until", "here till", "coming", "comes", "come", "staying", "stays", "stay", "visiting", "visit", "visits", "over", "to play", "playdate", "play date", "sleepover", "arrives", "arriving", "arrive", "dropping", "drops", "bringing", "brings", "round at", "round to", "here this", "at ours", "till", "until", "for lunch", "for tea"}
)

// plainMayVisit takes a line that tells of somebody from outside who may be a child, or
// bring one, on a day on which lye could be counted on.
func plainMayVisit(req *desk.Request) bool {
	h := heard{kids: hear(req).kids, words: phrase.Words(req.Text)}
	h.text = " " + strings.Join(h.words, " ") + " "
	if asks(req) || h.has(talkAbout...) && !h.has("bringing", "brings") || h.has("gone", "left", "was", "were", "went") || len(h.words) > longestHeard || !h.has(visitorWords...) && !h.minded() {
		return false
	}
	if h.has("friend", "friends", "friend's") && len(h.kids) == 0 && !h.has("to play", "their baby", "her baby", "with kids", "with children", "with the kids") {
		return false // a grown one, for all that is said
	}
	here := h.minded() || h.has(visitWords...) || len(daysIn(req).Days) > 0
	return here && takesFrom(req, children(req))
}

// minded reports words for children who are plainly not the household's own where they are
// minded, or come over: these words may be of its own as well.
func (h heard) minded() bool {
	comes := h.has("coming", "come", "comes", "over", "round", "to play", "visiting") && !h.has("home")
	return h.has("twins") && comes || h.has("little one", "little ones") && h.has("minding", "looking after")
}

// visit writes down that a child visits, or asks whether one does.
func visit(req *desk.Request) (desk.Reply, error) {
	switch {
	case plainVisit(req):
	case plainMayVisit(req):
		return mayVisit(req)
	default:
		return desk.Reply{}, desk.ErrSilent
	}
	days, reply, ok := settleDays(req, "a child visits")
	if !ok {
		return reply, nil
	}
	text := "a child visits, " + sayDays(req, days)
	if err := req.Record(storage.Entry{Kind: "day", About: "visit", Text: text}); err != nil {
		return desk.Reply{}, err
	}
	for _, day := range days {
		if err := req.Tx.AddDayWord(req.House.ID, storage.ChildHome(day, visitor)); err != nil {
			return desk.Reply{}, err
		}
	}
	reply = desk.Answer(desk.Upper(text)+".", noLyeThen)
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return laidAnew(req, reply)
}

// noLyeThen says what comes of a child's being at home.
const noLyeThen = "No lye then, at no hour of the day."

// mayVisit asks; nothing is changed.
func mayVisit(req *desk.Request) (desk.Reply, error) {
	days, reply, ok := settleNamed(req, "a child visits")
	if !ok {
		return reply, nil
	}
	today := len(days) == 1 && days[0].Equal(reminders.Day(req.Wall))
	line := "a child visits on " + typedDays(days)
	if today {
		line = "a child visits today"
	}
	reply = desk.AskBack(visitHead+" Say it so that lye waits, for example: "+line, desk.Labelled("A child visits", line))
	if today {
		reply.MayHome = []string{visitor}
		reply.Buttons = append(reply.Buttons, desk.Labelled("No child comes", nobodyHome))
	}
	return reply, nil
}

// visitHead begins the question whether a child visits.
const visitHead = "Does a child come from outside?"
