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

// meant is the ring that an answer is about, with its bell.
type meant struct {
	ring storage.Ring
	bell storage.Bell
}

// about ties an answer to what the bell is about, or else to the ring itself.
func (m meant) about() string {
	if strings.HasPrefix(m.bell.Subject, "batch:") {
		return m.bell.Subject
	}
	return fmt.Sprintf("ring:%d", m.ring.Num)
}

// find returns the ring that a line answers: the one it replies to, the one it
// numbers or names, or the only one that is open for the speaker. Ok is false
// when reply has to be given first; an empty reply means that the line was talk.
func find(req *desk.Request, verb string) (meant, desk.Reply, bool, error) {
	if n, given := numberSaid(req); given {
		return byNumber(req, n)
	}
	open, err := openRings(req)
	if err != nil {
		return meant{}, desk.Reply{}, false, err
	}
	if terms := req.Reading.Terms("rings"); len(terms) > 0 {
		return one(req, verb, named(open, terms))
	}
	own := slices.DeleteFunc(open, func(m meant) bool { return !isFor(req, m) || req.Now.Sub(m.ring.LastSaid) > lastHours })
	if len(own) == 0 && !req.Direct {
		return meant{}, desk.Reply{}, false, nil
	}
	if len(own) == 0 {
		own = slices.DeleteFunc(open, func(m meant) bool { return !isFor(req, m) && !req.May() })
		if len(own) == 0 {
			return meant{}, desk.AskBack(fmt.Sprintf("Nothing is ringing for you. Name it: %s hens, or its number.", verb), desk.Button("bells")), false, nil
		}
		if !req.May() || len(own) > 1 || !isFor(req, own[0]) {
			return meant{}, choose(verb, own), false, nil
		}
	}
	return one(req, verb, own)
}

func one(req *desk.Request, verb string, fit []meant) (meant, desk.Reply, bool, error) {
	switch len(fit) {
	case 0:
		if !req.Direct {
			return meant{}, desk.Reply{}, false, nil
		}
		return meant{}, desk.AskBack("Nothing of that name is ringing.", desk.Button("bells")), false, nil
	case 1:
		return fit[0], desk.Reply{}, true, nil
	}
	return meant{}, choose(verb, fit), false, nil
}

func choose(verb string, fit []meant) desk.Reply {
	reply := desk.AskBack("Which one?")
	for _, m := range fit {
		reply.Lines = append(reply.Lines, fmt.Sprintf("%d %s", m.ring.Num, m.bell.Title))
		reply.Buttons = append(reply.Buttons, desk.Labelled(m.bell.Title, fmt.Sprintf("%s %d", verb, m.ring.Num)))
	}
	return reply
}

// numberSaid returns the number of a ring or bell in the line, or the one that
// the line replies to.
func numberSaid(req *desk.Request) (int, bool) {
	for _, s := range req.Reading.Of(phrase.KindThing) {
		if noun := s.Value.(phrase.Thing).Noun; noun == "" || noun == "ring" || noun == "bell" {
			return s.Value.(phrase.Thing).N, true
		}
	}
	for _, s := range req.Reading.Spans {
		if n, ok := bareNumber(s); ok {
			return n, true
		}
	}
	return req.Answers, req.Answers != 0
}

func byNumber(req *desk.Request, n int) (meant, desk.Reply, bool, error) {
	g, ok, err := req.Tx.RingNumbered(req.House.ID, n)
	if err != nil {
		return meant{}, desk.Reply{}, false, err
	}
	if ok {
		b, _, err := req.Tx.Bell(g.Bell)
		return meant{g, b}, desk.Reply{}, true, err
	}
	b, ok, err := req.Tx.BellNumbered(req.House.ID, n)
	if err != nil {
		return meant{}, desk.Reply{}, false, err
	}
	if ok {
		open, err := req.Tx.RingsOf(b.ID)
		if err != nil || len(open) > 0 {
			return meant{open[len(open)-1], b}, desk.Reply{}, err == nil, err
		}
		return meant{}, desk.AskBack(fmt.Sprintf("Bell %d (%s) is not ringing now.", n, b.Title), desk.Button("bells")), false, nil
	}
	return meant{}, desk.AskBack(fmt.Sprintf("There is no ring %d.", n), desk.Button("bells")), false, nil
}

// openRings returns what rings now in the household and has been said.
func openRings(req *desk.Request) ([]meant, error) {
	rings, err := req.Tx.OpenRings(req.House.ID)
	if err != nil {
		return nil, err
	}
	var out []meant
	for _, g := range rings {
		b, ok, err := req.Tx.Bell(g.Bell)
		if err != nil {
			return nil, err
		}
		if ok && g.Said > 0 {
			out = append(out, meant{g, b})
		}
	}
	return out, nil
}

// isFor reports whether the ring is for the one who speaks; a ring that several
// keepers hear is for each of them.
func isFor(req *desk.Request, m meant) bool {
	return slices.ContainsFunc(reminders.Expand(m.ring.Whom, req.People, req.Now), func(p storage.Person) bool { return p.ID == req.Who.ID })
}

// named keeps the rings that every typed word is a word of.
func named(open []meant, terms []phrase.Span) []meant {
	return slices.DeleteFunc(slices.Clone(open), func(m meant) bool {
		return slices.ContainsFunc(terms, func(s phrase.Span) bool {
			return !slices.Contains(phrase.Words(m.bell.Title), s.Value.(phrase.Term).Name)
		})
	})
}

// ringWords is the word list of what rings now and of the bells to come: each
// word of a title by itself, so that "done hens" and "hens done" both find it.
func ringWords(req *desk.Request) (*phrase.List, error) {
	open, err := openRings(req)
	if err != nil {
		return nil, err
	}
	var titles []string
	for _, m := range open {
		titles = append(titles, m.bell.Title)
	}
	return wordList("rings", titles), nil
}

func bellWords(req *desk.Request) (*phrase.List, error) {
	coming, err := req.Tx.ComingBells(req.House.ID)
	if err != nil {
		return nil, err
	}
	var titles []string
	for _, b := range coming {
		titles = append(titles, b.Title)
	}
	return wordList("bells", titles), nil
}

func wordList(name string, titles []string) *phrase.List {
	var entries []phrase.Entry
	seen := map[string]bool{}
	for _, t := range titles {
		for _, w := range phrase.Words(t) {
			if !seen[w] && !phrase.IsFiller(w) && len(w) > 2 {
				seen[w] = true
				entries = append(entries, phrase.Entry{Name: w})
			}
		}
	}
	return phrase.NewList(name, entries)
}

// closed says who answered a ring before, when it is answered again.
func closed(req *desk.Request, m meant) (desk.Reply, bool) {
	if m.ring.Answer == "" {
		return desk.Reply{}, false
	}
	by := req.NameOf(m.ring.AnsweredBy)
	text := map[string]string{
		storage.AnswerDone: "done", storage.AnswerSkip: "skipped", storage.AnswerMissed: "missed", storage.AnswerStopped: "stopped",
		storage.AnswerMerged: "replaced by a later ring",
	}[m.ring.Answer]
	if by != "" {
		text += " by " + by
	}
	return desk.Answer(fmt.Sprintf("%s was %s already, %s. Nothing changed.", m.bell.Title, text, req.Say(m.ring.Answered))), true
}

// answer runs one of the ways to answer a ring.
func answer(verb string, do func(*desk.Request, meant) (desk.Reply, error)) func(*desk.Request) (desk.Reply, error) {
	return func(req *desk.Request) (desk.Reply, error) {
		m, reply, ok, err := find(req, verb)
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

func done(req *desk.Request, m meant) (desk.Reply, error) {
	if strings.HasPrefix(m.bell.Subject, "rope") && (!req.TypedBy.Keeper || req.Who.ID != req.TypedBy.ID) {
		return desk.Refuse("Only a keeper can say all clear."), nil
	}
	at := req.Now
	if when := req.Reading.Moment(req.Context(), phrase.Past); when.Count > 0 {
		at = req.Instant(when.Wall)
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
		wake = req.Instant(when.Wall)
		if !when.HasClock {
			wake = reminders.RoundOn(req.House, when.Wall)
		}
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
	g := m.ring
	g.Wake, g.Said = wake, 0
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
	g := m.ring
	g.Wake = req.Now.Add(job)
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
	words := phrase.Words(m.bell.Title)
	if to.Child(req.Now) && (m.bell.Safety || slices.ContainsFunc(words, func(w string) bool { return slices.Contains(unsafe, w) }) || adultWork(m.bell)) {
		return desk.Refuse("That is not work for a child. Hand it to an adult."), nil
	}
	if err := req.Record(storage.Entry{Kind: "pass", About: m.about(), Text: fmt.Sprintf("handed on to %s: %s", to.Name, m.bell.Title)}); err != nil {
		return desk.Reply{}, err
	}
	g := m.ring
	g.Whom, g.Wake, g.Said = reminders.People(to.ID), req.Now, 0
	if err := req.Tx.SaveRing(g); err != nil {
		return desk.Reply{}, err
	}
	return desk.Answer(fmt.Sprintf("Handed on to %s: %s.", to.Name, m.bell.Title)), nil
}

// adultWork are the steps of a batch in which the soap is still caustic.
func adultWork(b storage.Bell) bool {
	return strings.HasPrefix(b.Subject, "batch") && (b.Step == "unmould" || b.Step == "cut" || b.Step == "check")
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
