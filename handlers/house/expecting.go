package house

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

func expectingAsk() desk.Ask {
	return desk.Ask{
		Name: "private", Command: "house", Kinds: []phrase.Kind{phrase.KindDate, phrase.KindUntil, phrase.KindBad}, Lists: []string{"people", "selves"}, Fill: []string{"expecting", "no", "longer", "not", "until", "off", "anymore", "more", "baby", "child", "due"},
		Help: "somebody expects a child: kept private, and from lambing, kidding and calving", Forms: []string{"^house expecting", "^house no longer expecting", "^house not expecting", "^expecting", "^no longer expecting"},
		Needs:    []desk.Need{{Kind: phrase.KindTerm, List: "people"}},
		Examples: []desk.Example{{Line: "house expecting Maren until 1 june"}, {Setup: []string{"house expecting Maren"}, Line: "house no longer expecting Maren"}}, Do: expecting,
	}
}

// privately is the entry of the day book: anybody may read that, so it says nothing.
const privately = "something private"

// expecting writes down that a person expects a child, or no longer does. Herself and
// keepers may; what is answered where others read says nothing of it.
func expecting(req *desk.Request) (desk.Reply, error) {
	named := slices.DeleteFunc(req.Reading.Terms("people"), func(s phrase.Span) bool { t := s.Value.(phrase.Term); return t.ID == 0 && t.Name != "@me" })
	if len(named) != 1 {
		return desk.AskBack("Who? One person of the household, for example: house expecting Maren until 1 june"), nil
	}
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
		return desk.Refuse(bad[0].Value.(string)), nil
	}
	p := req.Who
	if t := named[0].Value.(phrase.Term); t.ID > 0 {
		p = req.People[slices.IndexFunc(req.People, func(o storage.Person) bool { return o.ID == t.ID })]
	}
	if req.Shared || p.ID != req.TypedBy.ID && !req.May() {
		return desk.Refuse("That is for the person herself or a keeper to say, from an account of their own."), nil
	}
	on := !req.Mentions("no", "not", "off")
	until, reply, ok := dueSaid(req)
	if !ok {
		return reply, nil
	}
	if err := req.Record(storage.Entry{Kind: "private", Text: privately}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SetExpecting(p.ID, on, until); err != nil {
		return desk.Reply{}, err
	}
	alone, err := req.Alone()
	if err != nil {
		return desk.Reply{}, err
	}
	told := expectingTold(req, p, on, until)
	if alone {
		return told, nil
	}
	if err := tellAlone(req, p, told); err != nil {
		return desk.Reply{}, err
	}
	return desk.Quietly("Kept, and told to nobody here."), nil
}

// dueSaid is the day behind until.
func dueSaid(req *desk.Request) (until time.Time, reply desk.Reply, ok bool) {
	for _, s := range append(req.Reading.Of(phrase.KindUntil), req.Reading.Of(phrase.KindDate)...) {
		until = s.Value.(phrase.Date).Next
	}
	if !until.IsZero() && until.After(req.Wall.AddDate(1, 0, 0)) {
		return until, desk.AskBack("Until which day within the year? For example: house expecting Maren until 1 june"), false
	}
	return until, desk.Reply{}, true
}

// expectingTold is what she is told, where nobody else reads.
func expectingTold(req *desk.Request, p storage.Person, on bool, until time.Time) desk.Reply {
	if !on {
		return desk.Answer(fmt.Sprintf("Taken off for %s: lambing, kidding and calving ring for %s again.", p.Name, p.Name))
	}
	head := fmt.Sprintf("Kept for %s, in no list and in no book", p.Name)
	if !until.IsZero() {
		head += ", until " + reminders.SayDay(until, req.Wall, req.House.DayFirst)
	}
	out := desk.Answer(head+".", fmt.Sprintf("Bells of lambing, kidding and calving go to another adult, without a word why. To end it: house no longer expecting %s", p.Name))
	out.Cautions = expectingCautions
	return out
}

// expectingCautions is the published advice in short: the public health services of
// Britain (UKHSA, on lambing season) and the United States (CDC, on Q fever,
// toxoplasmosis, listeria and backyard poultry). From memory.
var expectingCautions = []string{
	"Stay away from ewes, goats and cows that give birth or have just done so, and from their newborn, afterbirth and bedding. Do not milk them then.",
	"Do not wash or handle clothes and boots that have been there: whoever was there takes them off and washes them.",
	"Leave cats' trays and chicks to others; gloves for soil, hands washed after.",
	"No raw milk. Fever, or flu-like illness after contact: ring the doctor or midwife at once and say that you were near lambing animals.",
}

// tellAlone tells a person in a chat of her own, if she has one.
func tellAlone(req *desk.Request, p storage.Person, told desk.Reply) error {
	chat, err := req.Tx.PrivateOf(req.House.ID, p.Name)
	if err != nil || chat == "" {
		return err
	}
	told.Kind, told.Status, told.To, told.At = storage.KindRing, "", p.Name, req.Now
	told.Head = strings.TrimSpace(told.Head)
	return req.Tx.Post(req.House.ID, 0, told)
}
