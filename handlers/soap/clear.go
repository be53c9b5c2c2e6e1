package soap

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// The all clear is a keeper's word, and stands alone: a room is not clear while lye is
// open of which nobody knows where it went, and it can be called back by anybody.

// clearWords stand in the word that a room is clear, and name nothing else.
var clearWords = phrase.Words("all clear allclear it its it's is the a now ok okay yes right so everyone everybody thanks thank you please again here room rooms both in everywhere done washed up poured put away and mould mold covered tools lye we're were we all guys folks kids children again at last finally")

// saysClear tells the word that a room is safe from asking whether it is, or
// that it will be.
func saysClear(req *desk.Request, words []string) bool {
	if !hasAny(words, "clear", "allclear") || strings.Contains(req.Text, "?") || hasAny(words, "are", "was", "were", "will", "would", "be", "can", "could", "should", "when", "if", "do", "does", "not", "soon", "let") {
		return false
	}
	toks := req.Reading.Tokens
	for i, t := range toks {
		if t.Low == "is" && (i == 0 || toks[i-1].Kind != phrase.Word || i+1 == len(toks) || toks[i+1].Low == "it") {
			return false
		}
	}
	return true
}

// plainClear takes the word from whoever says it while a room is closed: only a keeper's
// counts, and nobody else's meets with silence.
func plainClear(req *desk.Request) bool {
	words, _ := spoken(req)
	if !saysClear(req, words) || !onlyOf(req, words, clearWords, roomNames) {
		return false
	}
	roped, err := req.Tx.Roped(req.House.ID)
	return err == nil && (len(roped) > 0 || req.Direct)
}

// allClear opens the rooms that are roped off. Only a keeper's word counts.
func allClear(req *desk.Request) (desk.Reply, error) {
	roped, err := req.Tx.Roped(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	words, _ := spoken(req)
	switch {
	case len(roped) == 0:
		return desk.Answer("Nothing is roped off."), nil
	case !req.TypedBy.Keeper || req.Who.ID != req.TypedBy.ID:
		return desk.Refuse("Only a keeper can say all clear: "+req.Keepers()+".", "Until then the room stays shut."), nil
	}
	meant, reply := roomsMeant(req, words, roped)
	switch {
	case reply.Head != "":
		return reply, nil
	case !hasRun(words, "all clear", "allclear"):
		say := "allclear"
		if len(roped) > 1 {
			say += " in the " + meant[0].Room
		}
		return desk.AskClear(meant[0].Room, say), nil
	}
	lines, reply, err := whereLyeWent(req, words, meant)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	var rooms []string
	for _, r := range meant {
		if err := openRoom(req, r); err != nil {
			return desk.Reply{}, err
		}
		rooms = append(rooms, r.Room)
	}
	if len(meant) == len(roped) || len(lines) > 0 {
		if err := endLyeBells(req); err != nil {
			return desk.Reply{}, err
		}
	}
	for _, r := range roped {
		if !slices.Contains(rooms, r.Room) {
			lines = append(lines, desk.Upper(req.SayRoped(r))+": that stays.")
		}
	}
	return desk.Answer("Noted: all clear in the "+desk.List(rooms)+".", lines...), nil
}

// roomsMeant are the closed rooms that an all clear is of: those it names, all of them by such
// a word, or the only one. A reply with a head asks which.
func roomsMeant(req *desk.Request, words []string, roped []storage.Rope) ([]storage.Rope, desk.Reply) {
	named := slices.DeleteFunc(slices.Clone(roped), func(r storage.Rope) bool { return !namesRoom(words, r) })
	if len(named) > 0 {
		return named, desk.Reply{}
	}
	if room := knownRoom(req, ""); room != "" {
		return nil, whichRoom(fmt.Sprintf("The %s is not roped off. Is it all clear elsewhere, and where?", room), roped)
	}
	if len(roped) == 1 || hasAny(words, "everywhere", "both") {
		return roped, desk.Reply{}
	}
	return nil, whichRoom("All clear where? More than one room is roped off.", roped)
}

// whichRoom asks for the room of an all clear.
func whichRoom(head string, roped []storage.Rope) desk.Reply {
	reply := desk.AskBack(head)
	for _, r := range roped {
		reply.Buttons = append(reply.Buttons, desk.Labelled(desk.Upper(r.Room), "all clear in the "+r.Room))
	}
	if len(roped) > 1 {
		reply.Buttons = append(reply.Buttons, desk.Labelled("Everywhere", "all clear everywhere"))
	}
	reply.Lines = []string{"Until then each stays roped off."}
	return reply
}

// whereLyeWent ends a pour whose lye stands open: it is poured, or put away. A reply with a
// head asks which.
func whereLyeWent(req *desk.Request, words []string, meant []storage.Rope) ([]string, desk.Reply, error) {
	p, open, err := lyeOpen(req)
	if err != nil || !open || !slices.ContainsFunc(meant, func(r storage.Rope) bool { return r.Room == p.Room }) {
		return nil, desk.Reply{}, err
	}
	switch {
	case hasAny(words, "poured"):
		k, reply, err := pourRecipe(req)
		if err != nil || reply.Head != "" {
			return nil, reply, err
		}
		reply, err = writeBatch(req, k, "", req.Now, phrase.When{})
		return append([]string{reply.Head}, reply.Lines...), desk.Reply{}, err
	case hasRun(words, "put away"):
		if err := req.Record(storage.Entry{Kind: "pouring", About: "pouring", Text: "put the lye away, nothing poured"}); err != nil {
			return nil, desk.Reply{}, err
		}
		return []string{"The lye is put away, nothing was poured."}, desk.Reply{}, endPouring(req)
	}
	all := "all clear"
	if hasAny(words, "everywhere", "both") {
		all += " everywhere"
	} else if len(meant) == 1 && namesRoom(words, meant[0]) {
		all += " in the " + meant[0].Room
	}
	reply := desk.AskBack(fmt.Sprintf("The lye was opened at %s, and nobody said poured. Is it poured, or put away?", req.WallOf(p.Opened).Format("15:04")),
		desk.Labelled("Poured, and clear", all+", poured"), desk.Labelled("Put away, washed", all+", put away"))
	reply.Lines = []string{fmt.Sprintf("Until then the %s stays roped off.", p.Room)}
	return nil, reply, nil
}

// lyeOpen is the pour whose lye stands open: its room is closed, and nobody has said where
// it went.
func lyeOpen(req *desk.Request) (storage.Pouring, bool, error) {
	p, under, err := req.Tx.PouringNow(req.House.ID)
	if err != nil || !under || p.Opened.IsZero() {
		return p, false, err
	}
	_, closed, err := ropeIn(req, p.Room)
	return p, closed, err
}

func openRoom(req *desk.Request, r storage.Rope) error {
	if err := req.Record(storage.Entry{Kind: "rope", About: ropeOf(r.Room), Text: clearIn + r.Room, Fixed: true}); err != nil {
		return err
	}
	if err := req.Tx.Clear(r.ID, req.Now); err != nil {
		return err
	}
	if err := req.Tx.StopBell(r.Bell, req.Now); err != nil {
		return err
	}
	return req.Tx.Post(req.House.ID, req.Inbox, storage.Message{
		At: req.Now, Kind: storage.KindNotice, Head: fmt.Sprintf("All clear in the %s, says %s.", r.Room, req.TypedBy.Name),
	})
}

// ropeAnswered is a rope's ring answered done: a keeper's done is all clear.
func ropeAnswered(req *desk.Request, bell storage.Bell, _ time.Time) ([]string, error) {
	roped, err := req.Tx.Roped(req.House.ID)
	if err != nil {
		return nil, err
	}
	_, open, err := lyeOpen(req)
	if err != nil {
		return nil, err
	}
	for _, r := range roped {
		if r.Bell != bell.ID {
			continue
		}
		if len(roped) == 1 {
			if err := endLyeBells(req); err != nil {
				return nil, err
			}
		}
		var lines []string
		if open {
			lines = []string{"Nobody said what became of the lye. In the mould: poured. Put away: batch drop"}
		}
		return lines, openRoom(req, r)
	}
	return nil, nil
}

// notClearWords stand in a line that says that a room is not clear, and name nothing else.
var notClearWords = phrase.Words("no not isn't isnt aint ain't it its it's the is all clear safe yet wait stop hang on sorry false alarm still out stay don't dont come go in at now please again actually after everyone everybody kids children that wasn't wasnt was cancel take back")

// notClearAsk takes an all clear back, whoever says so.
func notClearAsk() desk.Ask {
	return desk.Ask{
		Name: "rope", Command: "rope", Text: true, Help: "an all clear that was false: the room is roped off again",
		Forms: []string{"not|isn't|isnt * clear|safe"}, Examples: []desk.Example{{Setup: []string{"rope off the kitchen", "all clear"}, Line: "no not clear, wait"}},
		Urgent: saysNotClear, Plain: saysNotClear, Strict: true, Do: ropeAgain,
	}
}

// saysNotClear reports a line that says that a room is not clear which is closed, or was
// until a short while ago.
func saysNotClear(req *desk.Request) bool {
	words, _ := spoken(req)
	if isQuestion(req, words) || !deniesClear(req, words) && !lyeAbout(words) {
		return false
	}
	if _, is := takenBack(req, words); is {
		return !req.Guest
	}
	roped, err := req.Tx.Roped(req.House.ID)
	return err == nil && len(roped) > 0
}

// takenBack is the all clear that such a line calls back: lye that lies about does so for as
// long as an all clear is remembered.
func takenBack(req *desk.Request, words []string) (storage.Entry, bool) {
	if hasAny(words, "lye") {
		return clearedWithin(req, clearAsked)
	}
	return clearedLately(req)
}

// deniesClear reports "not clear, wait", "that wasn't all clear", "take back the all clear".
func deniesClear(req *desk.Request, words []string) bool {
	no := hasAny(words, "not", "isn't", "isnt", "aint", "ain't", "wasn't", "wasnt", "cancel") || hasRun(words, "wait no", "take back")
	return no && hasAny(words, "clear", "safe") && (hasAny(words, "lye") || onlyOf(req, words, notClearWords, roomNames))
}

// lyeAbout reports lye that somebody has found: "there's still lye on the worktop".
func lyeAbout(words []string) bool {
	return hasRun(words, "lye on", "lye out", "still lye", "lye still", "lye left", "lye all over", "lye everywhere") && len(words) <= longestAsk &&
		!hasAny(words, "list", "shelf", "hand", "order", "shop", "not", "no", "isn't", "don't", "if", "when", "put", "need")
}

// ropeAgain ropes the room off again.
func ropeAgain(req *desk.Request) (desk.Reply, error) {
	words, _ := spoken(req)
	e, is := takenBack(req, words)
	if !is {
		roped, err := req.Tx.Roped(req.House.ID)
		if err != nil || len(roped) == 0 {
			return desk.Reply{}, err
		}
		return desk.Answer(fmt.Sprintf("The %s stays roped off, until a keeper says all clear: %s.", roped[0].Room, req.Keepers())), nil
	}
	if err := closeRoom(req, roomOf(e), " again: it is not clear, says "+speakerOf(req)); err != nil {
		return desk.Reply{}, err
	}
	return desk.Answer(fmt.Sprintf("The %s is roped off again, and all are told. Children and animals stay out until a keeper says all clear: %s.", roomOf(e), req.Keepers())), nil
}

// spilled are the words of lye on the floor.
var spilled = []string{"spill", "spilled", "spilt", "spilling"}

// ropeSpill ropes the room off in which lye was spilled, and returns what is to be said of
// it below the first aid: that it is closed, and how it is cleaned up. A question is no spill.
func ropeSpill(req *desk.Request) ([]string, error) {
	words, _ := spoken(req)
	if !isSpill(words) || isQuestion(req, words) || hasAny(words, "don't", "dont", "if", "help") || req.Guest || req.Who.ID == 0 && !req.Shared {
		return nil, nil
	}
	room, again := knownRoom(req, ""), ""
	e, was := clearedLately(req)
	if was && (room == "" || room == roomOf(e)) {
		room, again = roomOf(e), " again"
	}
	if room == "" {
		room = "kitchen"
		if roped, err := req.Tx.Roped(req.House.ID); err != nil {
			return nil, err
		} else if len(roped) > 0 {
			room = roped[0].Room
		}
	}
	_, closed, err := ropeIn(req, room)
	if err != nil {
		return nil, err
	}
	said := fmt.Sprintf("The %s is roped off%s: children and animals out, until a keeper says all clear.", room, again)
	if closed {
		said = fmt.Sprintf("The %s stays roped off: children and animals out.", room)
		err = req.Tx.Post(req.House.ID, req.Inbox, storage.Message{
			At: req.Now, Kind: storage.KindNotice, Head: fmt.Sprintf("Lye is spilled, says %s. %s", speakerOf(req), said),
		})
		if err != nil {
			return nil, err
		}
	} else if err := closeRoom(req, room, again+": lye is spilled, says "+speakerOf(req)); err != nil {
		return nil, err
	}
	if !req.Grown() {
		return []string{said, "Touch nothing and clean nothing up: tell " + req.Keepers() + "."}, nil
	}
	return slices.Concat([]string{said}, cleanUp), nil
}
