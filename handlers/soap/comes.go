package soap

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

// A child that comes home while lye is open is told first to stay out, whoever types it and
// however, and whoever has the lye is told with the keepers. Such a line is read widely: one
// that is heard too many costs a sentence, one that is missed may cost an eye.

// coming is who comes home by a line.
type coming struct {
	kids   []storage.Person
	others bool // children who are not the household's
}

// Words of such lines.
var (
	someChild   = strings.Fields("kids children boys girls twins ones")
	otherChild  = strings.Fields("friend friends cousin cousins niece nieces nephew nephews grandchildren grandkids visitors playmate playmates toddler toddlers")
	schoolNames = strings.Fields("school schools nursery playgroup bus lessons")
	schoolShut  = strings.Fields("closing closed closes close shut shuts shutting cancelled canceled early home strike off flooded missed")
	comesStrong = strings.Fields("home doorstep coming arriving arrived suspended bunking skiving ill sick poorly unwell fever vomiting threw throwing upstairs downstairs awake woke")
	comesWeak   = strings.Fields("back here up in about around") // behind a word of beforeWeak, or the child
	comesNear   = strings.Fields("garden outside yard porch door")
	comesWith   = strings.Fields("picked pick picking fetching fetched collecting collected bringing brought") // before the child
	beforeWeak  = strings.Fields("walked ran popped wandered is are am i'm im we're come comes came coming get got gets now just already")
	beforeNear  = append(strings.Fields("playing running waiting standing sitting went gone goes walking"), beforeWeak...)
	afterOwned  = slices.Concat(strings.Fields("not at on off out near by just already now got been being going playing in running waiting"), comesStrong, comesWeak, comesNear)
	wantsIn     = []string{"to come in", "to come home"}
	staysAway   = []string{"to come in", "let out", "not going", "isn't going", "aren't going", "won't be going", "won't go", "not in", "isn't in", "not at", "isn't at"}
	writesDown  = strings.Fields("note ring remind bell job block day chore rota house next list book meal recipe") // what is noted or planned is not told
	notThat     = []string{"was home", "was at home", "sick of", "not home", "not at home", "isn't home", "not back", "isn't back", "not here", "isn't here", "not coming", "isn't coming"}
	notComing   = strings.Fields("when if unless yesterday tomorrow tonight were used might next last weekend want wants wanted likes loves hates left forgot lost homework homemade made remember")
)

// longestComing is how many words such a line has at the most.
const longestComing = 20

// soonHome is how far ahead a time may be that such a line names: later the lye is done.
const soonHome = 2 * time.Hour

// toldFor is for how long all are told once of the same child.
const toldFor = 10 * time.Minute

func comesAsk() desk.Ask {
	return desk.Ask{
		Name: "day", Command: "rope", Text: true, Help: "a child comes home while a room is roped off: who has the lye is told",
		Forms: []string{"home|back|here|door|garden|coming|school"}, Examples: []desk.Example{{Setup: []string{"rope off the kitchen"}, Line: "Pim is home"}},
		Urgent: saysComing, Also: true, Plain: never, Strict: true, Do: comes,
	}
}

// never keeps an ask out of what a line may mean besides: it is urgent or nothing.
func never(*desk.Request) bool { return false }

// saysComing reports a line that says that a child is or comes home, or near, while a room
// is roped off.
func saysComing(req *desk.Request) bool {
	roped, err := req.Tx.Roped(req.House.ID)
	if err != nil || len(roped) == 0 {
		return false
	}
	c := comingIn(req)
	return len(c.kids) > 0 || c.others
}

// comingIn reads who comes home by a line, nobody for any other line.
func comingIn(req *desk.Request) coming {
	words, owned := spoken(req)
	if len(words) == 0 || len(words) > longestComing || isQuestion(req, words) || saysOther(words) || laterToday(req) {
		return coming{}
	}
	c, at := whoComes(req, words, owned)
	school := hasAny(words, schoolNames...)
	switch {
	case len(c.kids) > 0 || c.others:
	case school && (hasAny(words, schoolShut...) || hasRun(words, "no school", "not at school", "not in school")):
		return coming{kids: children(req)}
	default:
		return coming{}
	}
	home := hasAny(words, comesStrong...) || hasRun(words, staysAway...) || school && hasAny(words, append([]string{"not", "no"}, schoolShut...)...)
	if home || isBehind(words, owned, at) {
		return c
	}
	return coming{}
}

// saysOther reports a line that is written down, or is of another time, or says the opposite.
func saysOther(words []string) bool {
	return slices.Contains(writesDown, words[0]) || hasAny(words, notComing...) && !hasRun(words, wantsIn...) || hasRun(words, notThat...)
}

// whoComes are the children whom a line names, or who speak for themselves, and the place of
// the last one among its words.
func whoComes(req *desk.Request, words []string, owned []bool) (c coming, at int) {
	at = -1
	for i, w := range words {
		p, person := req.Person(w)
		switch {
		case owned[i] && i+1 < len(words) && !slices.Contains(afterOwned, words[i+1]): // Pim's coat
		case person && p.Child(req.Now):
			at = i
			if !slices.ContainsFunc(c.kids, func(k storage.Person) bool { return k.ID == p.ID }) {
				c.kids = append(c.kids, p)
			}
		case slices.Contains(someChild, w):
			c.kids, at = children(req), i
		case slices.Contains(otherChild, w):
			c.others, at = true, i
		}
	}
	first := hasAny(words, "i", "i'm", "im", "am", "we", "we're", "us")
	switch {
	case at >= 0:
	case req.Who.Child(req.Now) && (first || len(words) <= 3):
		c.kids = []storage.Person{req.Who}
	case req.Shared && req.Who.ID == 0 && first: // some child, on the tablet by the door
		c.others = true
	}
	return c, at
}

// isBehind reports a word that says where a child is by what stands before it: "is back",
// "is in the garden", "fetching Pim".
func isBehind(words []string, owned []bool, child int) bool {
	for i, w := range words {
		switch {
		case slices.Contains(comesWith, w) && (child > i || hasAny(words[i:], "him", "her", "them")):
			return true
		case slices.Contains(comesNear, w) && (hasAny(words[:i], beforeNear...) || slices.Contains(owned[:i], true)):
			return true
		case !slices.Contains(comesWeak, w) || w != "back" && w != "here" && i+1 < len(words):
		case len(words) == 1, i > 0 && (i-1 == child || slices.Contains(beforeWeak, words[i-1])):
			return true
		}
	}
	return false
}

// laterToday reports a line that names a time at which lye is long put away.
func laterToday(req *desk.Request) bool {
	text := dotted.ReplaceAllString(req.Text, "$1:$2")
	read := phrase.Read(text, phrase.Tokens(text), req.Context(), phrase.Query{Kinds: []phrase.Kind{phrase.KindClock, phrase.KindAfter}})
	for _, s := range read.Of(phrase.KindAfter) {
		if d, ok := s.Value.(time.Duration); ok && d > soonHome {
			return true
		}
	}
	for _, s := range read.Of(phrase.KindClock) {
		c, ok := s.Value.(phrase.Clock)
		at := reminders.Day(req.Wall).Add(time.Duration(c.Hour)*time.Hour + time.Duration(c.Minute)*time.Minute)
		if c.Hour < 12 && req.Wall.Sub(at) > soonHome { // half past three is in the afternoon
			at = at.Add(12 * time.Hour)
		}
		if ok && at.Sub(req.Wall) > soonHome {
			return true
		}
	}
	return false
}

// dotted is a time of day written with a point.
var dotted = phrase.NewPattern(`\b(\d{1,2})\.(\d{2})\b`)

// comes answers that the room is closed, tells all, and has the child count as at home.
func comes(req *desk.Request) (desk.Reply, error) {
	c := comingIn(req)
	roped, err := req.Tx.Roped(req.House.ID)
	if err != nil || len(roped) == 0 {
		return desk.Reply{}, err
	}
	r, names := roped[0], namesOf(c.kids)
	who := "them"
	if !c.others {
		who = desk.List(names)
	}
	self := len(names) == 1 && req.Who.ID == c.kids[0].ID && !c.others
	stay := "keep " + who + " out"
	if self {
		stay = "stay out"
	}
	reply := desk.Answer(fmt.Sprintf("%s, lye may be open: %s until a keeper says all clear, %s.", desk.Upper(req.SayRoped(r)), stay, req.Keepers()))
	told, err := toldOf(req, c, r)
	if err != nil || told {
		return reply, err
	}
	fresh, err := newlyHome(req, c)
	if err != nil || len(fresh) == 0 && !c.others && !nearRoom(req) {
		return reply, err // who is at home anyway was told of when the room was closed
	}
	if reply, err = countHome(req, fresh, reply); err != nil {
		return reply, err
	}
	note := storage.Message{At: req.Now, Kind: storage.KindNotice, Head: fmt.Sprintf("%s %s. %s, lye may be open: keep %s out until a keeper says all clear.", whoCares(req), said(req, c, self), desk.Upper(req.SayRoped(r)), who)}
	if err := req.Tx.Post(req.House.ID, req.Inbox, note); err != nil {
		return reply, err
	}
	reply.Lines = append(reply.Lines, "All are told.")
	if req.Guest || req.Who.ID == 0 {
		return reply, nil
	}
	return reply, req.Record(storage.Entry{Kind: "told", About: ropeOf(r.Room), Text: c.telling(req), Fixed: true})
}

// whoCares names who has the lye and the keepers, to speak to them.
func whoCares(req *desk.Request) string {
	var names []string
	for _, p := range req.People {
		if (p.Keeper || poursNow(req, p)) && !p.Gone {
			names = append(names, p.Name)
		}
	}
	return desk.List(names) + ":"
}

// said tells what was said of whom, and by whom.
func said(req *desk.Request, c coming, self bool) string {
	switch {
	case self:
		return c.kids[0].Name + " says: " + desk.Quote(req.Text)
	case len(c.kids) == 0 || c.others:
		return speakerOf(req) + " says: " + desk.Quote(req.Text)
	}
	return fmt.Sprintf("%s at home, says %s: %s", isAre(namesOf(c.kids)), speakerOf(req), desk.Quote(req.Text))
}

func isAre(names []string) string {
	if len(names) == 1 {
		return names[0] + " is"
	}
	return desk.List(names) + " are"
}

// telling is the entry that all were told: the same for the same children in the same place.
func (c coming) telling(req *desk.Request) string {
	who := namesOf(c.kids)
	if c.others {
		who = []string{desk.Quote(req.Text)}
	}
	where := "at home"
	if nearRoom(req) {
		where = "near"
	}
	return "told all of " + desk.List(who) + ", " + where
}

// nearRoom reports a line that names the closed room, or a door.
func nearRoom(req *desk.Request) bool {
	words, _ := spoken(req)
	return hasAny(words, "door", "doorstep", "porch") || hasAny(words, roomNames...)
}

// toldOf reports that all have just been told of it.
func toldOf(req *desk.Request, c coming, r storage.Rope) (bool, error) {
	from := req.Now.Add(-toldFor)
	if from.Before(r.Since) {
		from = r.Since
	}
	found, err := req.Tx.Book(req.House.ID, storage.BookQuery{About: ropeOf(r.Room), From: from, Limit: 10})
	return slices.ContainsFunc(found, func(e storage.Entry) bool { return e.Kind == "told" && e.Text == c.telling(req) }), err
}

// newlyHome are the children of the household who come home by a line and would not be there
// anyway.
func newlyHome(req *desk.Request, c coming) ([]string, error) {
	home, err := req.Roster.AtHome(req, req.Wall.Add(time.Minute))
	home = slices.DeleteFunc(home, func(h desk.AtHome) bool { return h.Maybe })
	return slices.DeleteFunc(namesOf(c.kids), func(n string) bool { return slices.Contains(namesAtHome(home), n) }), err
}

// countHome has children count as at home for the day.
func countHome(req *desk.Request, names []string, reply desk.Reply) (desk.Reply, error) {
	if req.Guest || req.Who.ID == 0 || len(names) == 0 {
		return reply, nil
	}
	today := reminders.Day(req.Wall)
	text := fmt.Sprintf("%s at home, %s", isAre(names), reminders.SayDay(today, req.Wall, req.House.DayFirst))
	if err := req.Record(storage.Entry{Kind: "day", About: "person:" + names[0], Text: text}); err != nil {
		return reply, err
	}
	for _, name := range names {
		if err := req.Tx.AddDayWord(req.House.ID, storage.ChildHome(today, name)); err != nil {
			return reply, err
		}
	}
	reply.Lines = append(reply.Lines, text+".")
	return req.Roster.Relay(req, reply)
}
