package soap

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// ropedAsk answers whoever asks about a room while it is roped off, or says that they are
// in it: the one question of a child that must not meet with silence.
func ropedAsk() desk.Ask {
	return desk.Ask{
		Name: "roped", Command: "rope", Text: true, Question: true, Lists: []string{"people"}, Help: "whether a room is roped off",
		Forms: []string{
			"can|may|could i|we|he|she|they", "is|are * safe|open|clear|roped|shut", "is|are it|we * ok|okay|safe", "is|are|i'm|im|am|we're * in the", "^in the", "still|why roped|shut",
			"get|got|going|gone|ran|walked into the", "with the lye$", "near the lye$",
		},
		Examples: []desk.Example{{Setup: []string{"rope off the kitchen"}, By: "", Line: "is the kitchen safe"}},
		Plain:    asksOfRope, Strict: true, Do: roped,
	}
}

// ropeWords stand in such a line and name nothing else.
var ropeWords = phrase.Words("can may could i we he she they is are it's its it the a in into to get got go going come have my our safe open clear roped off shut still why now yet ok okay again please mum dad mummy daddy from with near lye am i'm im we're out all drink water something snack there here back inside and just ran walked gone kids children baby room are you")

func asksOfRope(req *desk.Request) bool {
	all, err := req.Tx.Roped(req.House.ID)
	if err != nil || len(all) == 0 || len(req.Reading.Tokens) > 12 {
		return false
	}
	rooms := roomWords(all)
	if req.TypedBy.Keeper && (req.Mentions("all") || !req.Mentions(rooms...)) {
		return false // a keeper who says or asks "all clear" is asking the others
	}
	for _, t := range req.Reading.Tokens {
		if _, person := req.Person(strings.TrimSuffix(t.Low, "'s")); t.Kind == phrase.Word && !person && !slices.Contains(ropeWords, t.Low) && !slices.Contains(rooms, t.Low) {
			return false
		}
	}
	return req.Mentions(rooms...) || req.Mentions("in", "safe", "clear", "inside", "lye")
}

func roomWords(all []storage.Rope) (out []string) {
	for _, r := range all {
		out = append(out, phrase.Words(r.Room)...)
	}
	return out
}

// insideSaid reports a line that says that somebody is in the room.
func insideSaid(req *desk.Request) bool {
	return !strings.Contains(req.Text, "?") && !req.Mentions("can", "may", "could", "safe") && req.Mentions("in", "into", "inside", "near") && (req.Mentions("i'm", "im", "am", "we're", "ran", "walked", "got", "gone") || len(req.Reading.Terms("people")) > 0)
}

// roped answers; somebody inside is told to all.
func roped(req *desk.Request) (desk.Reply, error) {
	all, err := req.Tx.Roped(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(all) == 0 {
		return desk.Answer("Nothing is roped off."), nil
	}
	r := all[0]
	keepers := req.Keepers()
	if !insideSaid(req) {
		return desk.Answer(fmt.Sprintf("No: the %s is roped off since %s, lye may be open. Stay out until a keeper says all clear: %s.", r.Room, req.WallOf(r.Since).Format("15:04"), keepers)), nil
	}
	out := desk.Answer(fmt.Sprintf("Out of the %s now, and touch nothing: lye may be open. Tell %s.", r.Room, keepers))
	out.Cautions = []string{"If anything wet or white got on skin or in an eye: running water at once, and call out. All of it: help burn"}
	return out, req.Tx.Post(req.House.ID, req.Inbox, storage.Message{
		At: req.Now, Kind: storage.KindNotice, Head: fmt.Sprintf("Somebody is in the %s while it is roped off, says %s: get them out.", r.Room, req.TypedBy.Name),
	})
}
