package bells

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

// lastHours is how long after it was said a ring is what a plain "done" means.
const lastHours = 12 * time.Hour

// answer runs one of the ways to answer a ring.
func answer(verb string, do func(*desk.Request, meant) (desk.Reply, error)) func(*desk.Request) (desk.Reply, error) {
	return func(req *desk.Request) (desk.Reply, error) {
		if !req.Direct && speaksOfIt(req) {
			return desk.Reply{}, desk.ErrSilent
		}
		m, reply, ok, err := find(req, verb)
		if err == nil && !ok && verb == "onit" {
			if other, is, err := claimedNow(req); is || err != nil {
				return other, err
			}
		}
		if err != nil {
			return desk.Reply{}, err
		}
		if !ok && reply.Head == "" {
			return desk.Reply{}, desk.ErrSilent
		}
		if !ok {
			return reply, nil
		}
		if reply, was := closed(req, m); was {
			return reply, nil
		}
		return do(req, m)
	}
}

// speaksOfIt tells an answer from a question, from what is to be, and from
// talking to or about others.
func speaksOfIt(req *desk.Request) bool {
	return strings.Contains(req.Text, "?") || req.Mentions("is", "are", "was", "were", "will", "would", "be", "can", "could", "shall", "should", "when", "if",
		"has", "have", "you", "he", "she", "they", "we", "not", "for", "let's", "lets", "need") || loose(req, "in", "up")
}

// loose reports one of some small words that does not end the name of a ring, as the up
// of "skip wash up" does.
func loose(req *desk.Request, words ...string) bool {
	return slices.ContainsFunc(req.Reading.Tokens, func(t phrase.Token) bool {
		return slices.Contains(words, t.Low) && !slices.ContainsFunc(req.Reading.Terms("rings"), func(s phrase.Span) bool {
			return s.First > 0 && req.Reading.Tokens[s.Past-1].End+1 >= t.Start && s.Start < t.End
		})
	})
}

func done(req *desk.Request, m meant) (desk.Reply, error) {
	_, numbered := numberSaid(req)
	plain := strings.HasPrefix(m.bell.Subject, "rope") && !req.Direct && len(req.Reading.Tokens) > 1
	if plain && !numbered {
		return desk.Reply{}, desk.ErrSilent // "all done" is not the word that a room is safe
	}
	if strings.HasPrefix(m.bell.Subject, "rope") && (!req.TypedBy.Keeper || req.Who.ID != req.TypedBy.ID) {
		return desk.Refuse("Only a keeper can say all clear."), nil
	}
	if plain {
		room := strings.TrimPrefix(m.bell.Subject, "rope:")
		return desk.AskClear(room, "allclear in the "+room), nil
	}
	if reminders.NotForChild(m.bell) && !req.Grown() {
		return forAdults(req, m), nil
	}
	if m.bell.Safety && !req.Direct && req.Mentions("all") {
		return desk.Reply{}, desk.ErrSilent // "all done" names nothing
	}
	at := req.Now
	if when := req.Reading.Moment(req.Context(), phrase.Past); when.Count > 0 {
		at = req.At(when)
	}
	if at.After(req.Now) {
		return desk.AskBack(fmt.Sprintf("%s has not come yet. When was it done?", req.Say(at))), nil
	}
	text := fmt.Sprintf("done: %s, due %s", m.bell.Title, req.Say(m.ring.Due))
	if err := req.Record(storage.Entry{Kind: "done", About: m.about(), Happened: at, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if err := closeRing(req, m, storage.AnswerDone, at); err != nil {
		return desk.Reply{}, err
	}
	lines, err := req.Roster.Done(req, m.bell, at)
	if err != nil {
		return desk.Reply{}, err
	}
	head := fmt.Sprintf("Done: %s, %s.", m.bell.Title, req.Who.Name)
	if req.Now.Sub(at) >= time.Minute {
		head = fmt.Sprintf("Done: %s, %s at %s.", m.bell.Title, req.Who.Name, reminders.SayTime(req.WallOf(at), req.Wall, req.House.DayFirst))
	}
	reply := desk.Quietly(head)
	reply.Lines, reply.Quiet = lines, len(lines) == 0
	return reply, nil
}

func forAdults(req *desk.Request, m meant) desk.Reply {
	why := fmt.Sprintf("%s is not work for a child: an adult says when it is done.", desk.Upper(m.bell.Title))
	if m.bell.Safety {
		why = fmt.Sprintf("%s is a safety bell: an adult says when it is done.", desk.Upper(m.bell.Title))
	}
	if req.Shared {
		why += " Not here: on the tablet I cannot see who types."
	}
	return desk.Refuse(why)
}

func closeRing(req *desk.Request, m meant, how string, at time.Time) error {
	g := m.ring
	g.Wake, g.Answer, g.Answered, g.AnsweredBy = time.Time{}, how, at, req.Who.ID
	return req.Tx.SaveRing(g)
}

func skip(req *desk.Request, m meant) (desk.Reply, error) {
	if m.bell.Safety {
		return stillRings(m), nil
	}
	if err := req.Record(storage.Entry{Kind: "skip", About: m.about(), Text: fmt.Sprintf("skipped: %s, due %s", m.bell.Title, req.Say(m.ring.Due))}); err != nil {
		return desk.Reply{}, err
	}
	if err := closeRing(req, m, storage.AnswerSkip, req.Now); err != nil {
		return desk.Reply{}, err
	}
	return desk.Quietly(fmt.Sprintf("Skipped: %s.", m.bell.Title)), nil
}

func stillRings(m meant) desk.Reply {
	if strings.HasPrefix(m.bell.Subject, "rope") {
		return desk.Refuse("A safety bell rings until a keeper says all clear.", "Busy with it? on it keeps it quiet for half an hour.")
	}
	return desk.Refuse(fmt.Sprintf("%s is a safety bell: it rings until it is done.", m.bell.Title), "Busy with it? on it keeps it quiet for half an hour.")
}

// usualLater is how long a plain "later" puts a ring off.
const usualLater = 20 * time.Minute

func later(req *desk.Request, m meant) (desk.Reply, error) {
	if m.bell.Safety {
		return stillRings(m), nil
	}
	wake := req.Now.Add(usualLater)
	when := req.Reading.Moment(req.Context(), phrase.Future)
	if d := req.Reading.Of(phrase.KindDuration); len(d) > 0 {
		wake = req.Now.Add(d[0].Value.(time.Duration))
	} else if when.Count > 0 {
		wake = req.At(when)
		if !when.HasClock {
			wake = reminders.RoundOn(req.House, when.Wall)
		}
	}
	if !wake.After(req.Now) && req.Mentions("tonight") {
		wake = req.Now.Add(time.Hour)
	}
	if !wake.After(req.Now) {
		return desk.Refuse(fmt.Sprintf("%s has passed. Until when?", req.Say(wake))), nil
	}
	if wake.Sub(m.ring.Due) > m.bell.Useful {
		return desk.Refuse(fmt.Sprintf("By %s that makes no sense any more. Skip it instead?", req.Say(wake))), nil
	}
	if err := req.Record(storage.Entry{Kind: "later", About: m.about(), Text: fmt.Sprintf("put off: %s, until %s", m.bell.Title, req.Say(wake))}); err != nil {
		return desk.Reply{}, err
	}
	g := taken(req, m.ring)
	g.Wake, g.Said, g.Held = wake, 0, time.Time{}
	if err := req.Tx.SaveRing(g); err != nil {
		return desk.Reply{}, err
	}
	return desk.Answer(fmt.Sprintf("Later: %s, %s.", m.bell.Title, reminders.SayTime(req.WallOf(wake), req.Wall, req.House.DayFirst))), nil
}

// On it keeps a ring quiet for as long as the job takes.
const (
	usualJob  = time.Hour
	safetyJob = 30 * time.Minute
)

func onIt(req *desk.Request, m meant) (desk.Reply, error) {
	if reply, is := claimed(req, m); is {
		return reply, nil
	}
	job := usualJob
	if d := req.Reading.Of(phrase.KindDuration); len(d) > 0 {
		job = d[0].Value.(time.Duration)
	}
	if m.bell.Safety {
		job = min(job, safetyJob)
	}
	if err := req.Record(storage.Entry{Kind: "onit", About: m.about(), Text: "on it: " + m.bell.Title}); err != nil {
		return desk.Reply{}, err
	}
	g := taken(req, m.ring)
	g.Wake, g.Held = req.Now.Add(job), time.Time{}
	if shared(req, m) {
		g.Giver, g.Given, g.Whom = g.Whom, storage.GivenTaken, reminders.People(req.Who.ID)
	}
	if err := req.Tx.SaveRing(g); err != nil {
		return desk.Reply{}, err
	}
	return desk.Quietly(fmt.Sprintf("%s is on it: %s. Quiet until %s.", req.Who.Name, m.bell.Title, req.WallOf(g.Wake).Format("15:04"))), nil
}

// pass hands a ring on to somebody, who hears of it at once.
func pass(req *desk.Request, m meant) (desk.Reply, error) {
	to, reply, ok := receiver(req)
	if !ok {
		if reply.Head == "" {
			return desk.Reply{}, desk.ErrSilent
		}
		return reply, nil
	}
	if !isFor(req, m) && !req.May() {
		return desk.Refuse("Only " + reminders.SayWhom(m.ring.Whom, req.People, req.Now) + " or a keeper can hand that on."), nil
	}
	if to.Child(req.Now) && reminders.NotForChild(m.bell) {
		return desk.Refuse(fmt.Sprintf("%s is not work for a child. Hand it to an adult.", desk.Upper(m.bell.Title))), nil
	}
	if why, err := reminders.UnfitFor(req.Tx, m.bell, to, req.Now); err != nil || why != "" {
		return desk.Refuse(why, "Hand it to somebody else."), err
	}
	home, err := req.Home()
	if err != nil {
		return desk.Reply{}, err
	}
	if a, is := home.Absent(to.ID, req.Now); is {
		return desk.Refuse(fmt.Sprintf("%s is %s. Hand it on to somebody else.", to.Name, home.SayAbsence(a, req.Now))), nil
	}
	if m.ring.Whom == reminders.People(to.ID) {
		return desk.Answer(fmt.Sprintf("It is %s's already: %s.", to.Name, m.bell.Title)), nil
	}
	if err := req.Record(storage.Entry{Kind: "pass", About: m.about(), Text: fmt.Sprintf("handed on to %s: %s", to.Name, m.bell.Title)}); err != nil {
		return desk.Reply{}, err
	}
	return handOn(req, m, to)
}

func receiver(req *desk.Request) (storage.Person, desk.Reply, bool) {
	for _, s := range req.Reading.Terms("people") {
		name := s.Value.(phrase.Term).Name
		if name == "@me" {
			return req.Who, desk.Reply{}, true
		}
		if p, ok := req.Person(name); ok {
			return p, desk.Reply{}, true
		}
	}
	if to := wordAfterTo(req); to != "" {
		return storage.Person{}, desk.Refuse(fmt.Sprintf("I know nobody called %s here. The household: %s.", to, peopleNames(req))), false
	}
	return storage.Person{}, desk.AskBack("Hand it on to whom? For example: pass hens to Lise"), false
}

func wordAfterTo(req *desk.Request) string {
	toks := req.Reading.Tokens
	for i := 0; i+1 < len(toks); i++ {
		if toks[i].Low == "to" && toks[i+1].Kind == phrase.Word {
			return toks[i+1].Text
		}
	}
	return ""
}
