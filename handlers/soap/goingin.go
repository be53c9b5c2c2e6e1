package soap

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// Whoever types of going into a room that is roped off, or of doing something there, is told
// to stay out before the line is answered as always. A child's line is read most widely: to
// name the room is enough, or work that is done there.

func goingInAsk() desk.Ask {
	return desk.Ask{
		Name: "roped", Command: "rope", Text: true, Help: "somebody is on the way into a room that is roped off, or works there",
		Forms: []string{"to|into|in|from the"}, Examples: []desk.Example{{Setup: []string{"rope off the kitchen"}, Line: "popping into the kitchen"}},
		Urgent: goesIn, Also: true, Plain: never, Strict: true, Do: stayOut,
	}
}

// Words of such lines.
var (
	childNeeds = []string{"thirsty", "hungry", "starving", "glass of water", "cup of water", "drink of water", "a drink", "something to eat", "something to drink", "some water", "tap water"}
	wayIn      = strings.Fields("in into inside to from through at by near of")
	doesIn     = strings.Fields("get getting fetch fetching grab grabbing pop popping go going gonna come coming run running need needs want left cook cooking make making clean cleaning wash washing sweep sweeping mop mopping tidy tidying bring bringing put putting take taking carry carrying use using start starting open opening do doing back off heading head nip nipping dash dashing")
	notGoing   = strings.Fields("when if unless yesterday tomorrow tonight might next last weekend don't dont nobody not never no isn't clear allclear roped rope off poured pour lye batch stay keep closed shut")
	cleansUpIn = strings.Fields("cleaning washing wiping mopping clearing rinsing airing") // by a keeper, before the all clear
	didIt      = strings.Fields("made cooked baked had ate boiled washed was were been did done fried")
)

// goesIn reports a line of somebody on the way into a room that is roped off, or at work there.
func goesIn(req *desk.Request) bool {
	_, is := wantsRoom(req)
	return is
}

// wantsRoom is the closed room that a line would take somebody into.
func wantsRoom(req *desk.Request) (storage.Rope, bool) {
	words, _ := spoken(req)
	if len(words) == 0 || len(words) > longestComing || req.Slash || strings.HasPrefix(req.Text, "/") {
		return storage.Rope{}, false
	}
	all, err := req.Tx.Roped(req.House.ID)
	if err != nil || len(all) == 0 {
		return storage.Rope{}, false
	}
	if hasAny(words, "clear", "allclear") || pours(req) || roomAlone(req, words) {
		return storage.Rope{}, false
	}
	child := req.Who.Child(req.Now) || req.Shared && req.Who.ID == 0
	for _, r := range all {
		if child && (namesRoom(words, r) || reminders.WorkIn(req.Text, r.Room)) || !child && adultIn(req, words, r) {
			return r, true
		}
	}
	if child && hasRun(words, childNeeds...) {
		for _, r := range all {
			if r.Room == "kitchen" {
				return r, true
			}
		}
	}
	return storage.Rope{}, false
}

// namesRoom reports a closed room by its name, or by a word for it.
func namesRoom(words []string, r storage.Rope) bool {
	return hasRun(words, strings.Join(phrase.Words(r.Room), " ")) || slices.ContainsFunc(words, func(w string) bool { return rooms[w] == r.Room })
}

// adultIn reports a line of a grown-up: the room behind a word of the way there or of work,
// or work of the room that is under way or asked for. What is noted, planned or said of
// whoever has the lye goes by.
func adultIn(req *desk.Request, words []string, r storage.Rope) bool {
	if req.Who.Keeper && hasAny(words, cleansUpIn...) || slices.Contains(writesDown, words[0]) || hasAny(words, notGoing...) || laterToday(req) || othersThere(req, words) {
		return false
	}
	if namesRoom(words, r) {
		return hasAny(words, doesIn...) || slices.ContainsFunc(words, func(w string) bool { return slices.Contains(wayIn, w) })
	}
	if !reminders.WorkIn(req.Text, r.Room) || hasAny(words, didIt...) {
		return false
	}
	under := hasAny(words[:1], "i'm", "im", "i'll", "ill", "we're", "gonna") || hasRun(words, "i am", "i will", "we are") || strings.HasSuffix(words[0], "ing") && words[0] != "washing"
	return asksLeave(req, words) && isQuestion(req, words) || under && hasAny(words, doesIn...)
}

// othersThere reports a line about a keeper, or whoever has the lye: they know of it.
func othersThere(req *desk.Request, words []string) bool {
	first := hasAny(words, "i", "i'm", "im", "we", "we're", "i'll", "me")
	p, ok := req.Person(words[0])
	return ok && !first && (p.Keeper || poursNow(req, p)) && hasAny(words, "is", "was", "has", "says", "said")
}

// stayOut answers who is on the way in.
func stayOut(req *desk.Request) (desk.Reply, error) {
	r, is := wantsRoom(req)
	if !is {
		return desk.Reply{}, desk.ErrSilent
	}
	return desk.Answer(fmt.Sprintf("Stay out: %s, lye may be open. Nobody goes in until a keeper says all clear: %s.", req.SayRoped(r), req.Keepers())), nil
}
