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

// While a room is roped off, whoever asks about it or says that somebody is in it is
// answered before anything else that the line may mean, whoever it is and however it is
// worded. For some hours after the all clear such a question is answered too.

func ropedAsks() []desk.Ask {
	closed := []string{"rope off the kitchen"}
	return []desk.Ask{
		{
			Name: "roped", Command: "rope", Text: true, Question: true, Help: "somebody is in a room that is roped off: told to all",
			Forms: []string{"in|into|inside|near|with the"}, Examples: []desk.Example{{Setup: closed, Line: "Pim is in the kitchen"}},
			Urgent: saysInside, Plain: saysInside, Strict: true, Do: inside,
		},
		{
			Name: "roped", Command: "rope", Text: true, Question: true, Help: "whether a room is roped off",
			Forms: []string{"the|is|it|in|lye|safe|clear"}, Examples: []desk.Example{{Setup: closed, Line: "is the kitchen safe"}, {Setup: closed, Line: "can I make toast in the kitchen"}},
			Urgent: asksOfRope, Plain: asksOfRope, Strict: true, Do: roped,
		},
		{
			Name: "roped", Command: "rope", Text: true, Question: true, Help: "whether a room is clear again",
			Forms: []string{"can|may|could i|we", "am|are i|we", "is|are it|the|we"}, Examples: []desk.Example{{Setup: append(slices.Clone(closed), "all clear"), Line: "is the kitchen clear"}},
			Plain: asksOfClear, Strict: true, Do: clearSince,
		},
	}
}

// longestAsk is how many words such a line has at the most.
const longestAsk = 16

// ropeWords stand in such a line and name nothing else.
var ropeWords = phrase.Words("can may could i we he she they is are it it's its the a in into to get got go going come coming have my our safe open clear roped off shut still why now yet ok okay again please mum dad mummy daddy from with near lye am i'm im we're out all drink water something snack there here back inside and just ran walked gone kids children baby room you allowed when will be soon everyone everybody someone somebody anyone anybody guys whens let me free how long what about put away closed till until")

// asksOfRope reports a line that asks of a closed room, or whether one may go in.
func asksOfRope(req *desk.Request) bool {
	words, _ := spoken(req)
	if len(words) == 0 || len(words) > longestAsk {
		return false
	}
	plain := onlyOf(req, words, ropeWords, roomNames)
	helps := hasAny(words, "soap") && hasAny(words, "help", "watch", "see", "try", "stir") && asksLeave(req, words) && !req.Grown()
	if !plain && !helps && !hasAny(words, roomNames...) {
		return false
	}
	all, err := req.Tx.Roped(req.House.ID)
	if err != nil || len(all) == 0 || saysClear(req, words) {
		return false
	}
	if roomAlone(req, words) {
		return false
	}
	named := hasAny(words, roomWords(all)...)
	if !named && hasAny(words, roomNames...) {
		return false // another room
	}
	if hasAny(words, "lye") && !named && req.Grown() && hasAny(words, "when", "whens", "can", "could", "may", "we") {
		return false // the next time for lye is told with it
	}
	if plain && !isQuestion(req, words) && slices.ContainsFunc(words, func(w string) bool { p, ok := req.Person(w); return ok && !p.Child(req.Now) }) {
		return false // Maren is in the kitchen
	}
	return helps || named && asksLeave(req, words) || plain && (named || needsNoRoom(req, words))
}

// roomAlone reports a grown-up's bare word for a room, which answers a question: "shed".
func roomAlone(req *desk.Request, words []string) bool {
	return req.Grown() && !isQuestion(req, words) && onlyOf(req, words, roomNames, []string{"the", "in"})
}

// needsNoRoom reports that the words of such a line do without the room: "is it safe", "can
// I come in".
func needsNoRoom(req *desk.Request, words []string) bool {
	switch {
	case hasAny(words, "safe", "clear", "inside", "allowed", "let"):
		return true
	case hasAny(words, "lye"):
		return isQuestion(req, words)
	}
	return hasAny(words, "in") && hasAny(words, "can", "may", "could", "come", "coming", "am", "i'm", "im", "we're")
}

// asksLeave reports "can I make toast in the kitchen", "is it ok to go in the kitchen".
func asksLeave(req *desk.Request, words []string) bool {
	if !hasAny(words, "can", "may", "could", "am", "are", "is", "should", "shall", "let") {
		return false
	}
	who := hasAny(words, "i", "we", "he", "she", "they", "us", "me", "somebody", "someone", "anybody", "anyone", "kids", "children") || slices.ContainsFunc(words, func(w string) bool {
		_, person := req.Person(w)
		return person
	})
	leave := hasAny(words, "can", "may", "could", "allowed", "should", "shall", "let") && who || hasRun(words, "it ok", "it okay", "it safe", "it all right")
	return leave && isQuestion(req, words) || hasAny(words, "let") && who
}

// roped answers who asks.
func roped(req *desk.Request) (desk.Reply, error) {
	all, err := req.Tx.Roped(req.House.ID)
	if err != nil || len(all) == 0 {
		return desk.Reply{}, err
	}
	words, _ := spoken(req)
	head := fmt.Sprintf("%s, lye may be open. Stay out until a keeper says all clear: %s.", req.SayRoped(ropeSaid(words, all)), req.Keepers())
	if hasAny(words, "shut", "roped", "closed", "still", "why", "when", "how", "lye") { // a no would say that it is open
		return desk.Answer(desk.Upper(head)), nil
	}
	return desk.Answer("No: " + head), nil
}

// ropeSaid is the closed room that a line names, the first where it names none.
func ropeSaid(words []string, all []storage.Rope) storage.Rope {
	for _, r := range all {
		if namesRoom(words, r) {
			return r
		}
	}
	return all[0]
}

// movesIn are the words between somebody and a room that they are in.
var movesIn = strings.Fields("is are am i'm im we're ran run runs running walked walks walking went gone goes got getting came come comes coming crept wandered climbed sitting standing playing stuck just back now right still all has been have over straight")

// saysInside reports a line that says that somebody is in a closed room, or near the lye:
// not a question, and not the word of who pours.
func saysInside(req *desk.Request) bool {
	words, owned := spoken(req)
	if len(words) > longestAsk || isQuestion(req, words) || hasAny(words, "not", "don't", "dont", "nobody", "when", "if") {
		return false
	}
	at := slices.IndexFunc(words, func(w string) bool { return slices.Contains(roomNames, w) || w == "lye" })
	if at < 0 {
		return false
	}
	all, err := req.Tx.Roped(req.House.ID)
	if err != nil || len(all) == 0 || words[at] != "lye" && !slices.Contains(roomWords(all), words[at]) {
		return false
	}
	in := at - 1
	for in >= 0 && slices.Contains([]string{"the", "our", "my"}, words[in]) {
		in--
	}
	way := []string{"in", "into", "inside"}
	if words[at] == "lye" {
		way = []string{"with", "near", "at", "by"}
	}
	if in < 0 || !slices.Contains(way, words[in]) {
		return false
	}
	who := in - 1
	for who >= 0 && slices.Contains(movesIn, words[who]) {
		who--
	}
	moved := who < in-1
	if who < 0 {
		first := hasAny(words[:in], "i'm", "im", "am", "we're") || moved
		return first && !pours(req)
	}
	p, person := req.Person(words[who])
	switch {
	case words[who] == "i" || words[who] == "we":
		return moved && !pours(req)
	case person:
		return (moved || owned[who]) && !p.Keeper && !poursNow(req, p)
	}
	return moved && slices.Contains(someChild, words[who]) || moved && hasAny(words[who:who+1], "somebody", "someone", "dog", "cat")
}

func pours(req *desk.Request) bool { return poursNow(req, req.Who) }

// poursNow reports somebody who has the lye open.
func poursNow(req *desk.Request, who storage.Person) bool {
	p, under, err := req.Tx.PouringNow(req.House.ID)
	return err == nil && under && !p.Opened.IsZero() && p.Person == who.ID
}

// inside gets somebody out, and tells all.
func inside(req *desk.Request) (desk.Reply, error) {
	all, err := req.Tx.Roped(req.House.ID)
	if err != nil || len(all) == 0 {
		return desk.Reply{}, err
	}
	words, _ := spoken(req)
	r := ropeSaid(words, all)
	out := desk.Answer(fmt.Sprintf("Out of the %s now, and touch nothing: lye may be open. Tell %s.", r.Room, req.Keepers()))
	out.Cautions = []string{"If anything wet or white got on skin or in an eye: running water at once, and call out. All of it: help burn"}
	return out, req.Tx.Post(req.House.ID, req.Inbox, storage.Message{
		At: req.Now, Kind: storage.KindNotice, Head: fmt.Sprintf("Somebody is in the %s while it is roped off: get them out. %s says: %s", r.Room, desk.Upper(speakerOf(req)), desk.Quote(req.Text)),
	})
}

// speakerOf names who typed a line.
func speakerOf(req *desk.Request) string {
	if req.TypedBy.Name == "" {
		return "somebody"
	}
	return req.TypedBy.Name
}

// How long after an all clear a line about the room is still about it: one that names the
// room, and one that does not.
const (
	clearAsked = 12 * time.Hour
	clearJust  = time.Hour
)

// clearedLately is the newest all clear of today that a line can be about, when nothing is
// roped off.
func clearedLately(req *desk.Request) (storage.Entry, bool) {
	if knownRoom(req, "") != "" {
		return clearedWithin(req, clearAsked)
	}
	return clearedWithin(req, clearJust)
}

// clearedWithin is the same for a stretch of time.
func clearedWithin(req *desk.Request, within time.Duration) (storage.Entry, bool) {
	roped, err := req.Tx.Roped(req.House.ID)
	if err != nil || len(roped) > 0 {
		return storage.Entry{}, false
	}
	room := knownRoom(req, "")
	q := storage.BookQuery{From: req.Now.Add(-within), Words: []string{clearIn}, Limit: 8}
	if room != "" {
		q.About = ropeOf(room)
	}
	found, err := req.Tx.Book(req.House.ID, q)
	if err != nil {
		return storage.Entry{}, false
	}
	for _, e := range found {
		if e.Kind == "rope" && reminders.Day(req.WallOf(e.Happened)).Equal(reminders.Day(req.Wall)) {
			return e, true
		}
	}
	return storage.Entry{}, false
}

// asksOfClear reports a question about a room that was roped off today and is clear.
func asksOfClear(req *desk.Request) bool {
	words, _ := spoken(req)
	if len(words) > longestAsk || !isQuestion(req, words) || hasAny(words, "lye", "when", "why") {
		return false
	}
	named, plain := hasAny(words, roomNames...), onlyOf(req, words, ropeWords, roomNames)
	asks := plain && (hasAny(words, "clear", "safe", "allowed") || hasAny(words, "in", "into") && hasAny(words, "can", "may", "could")) && !hasAny(words, "all")
	if !asks { // to make toast in it: for as long as it is fresh
		_, is := clearedWithin(req, clearJust)
		return is && named && hasAny(words, "i", "we") && asksLeave(req, words)
	}
	_, is := clearedLately(req)
	return is
}

// clearSince tells since when a room is clear, and by whose word.
func clearSince(req *desk.Request) (desk.Reply, error) {
	e, is := clearedLately(req)
	if !is {
		return desk.Reply{}, desk.ErrSilent
	}
	return desk.Answer(fmt.Sprintf("Yes: the %s is clear since %s, says %s.", roomOf(e), req.WallOf(e.Happened).Format("15:04"), req.NameOf(e.Person))), nil
}
