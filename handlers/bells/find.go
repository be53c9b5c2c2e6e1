package bells

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

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
	open, err := openRings(req.Tx, req.House.ID)
	if err != nil {
		return meant{}, desk.Reply{}, false, err
	}
	if terms := req.Reading.Terms("rings"); len(terms) > 0 {
		return one(req, verb, named(open, terms))
	}
	own := slices.DeleteFunc(slices.Clone(open), func(m meant) bool { return !isFor(req, m) || req.Now.Sub(m.ring.LastSaid) > lastHours })
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
	return one(req, verb, withoutRopes(own))
}

// withoutRopes leaves out rooms that are roped off when something else rings too:
// they wait for all clear, and "done" beside them is about the other thing.
func withoutRopes(open []meant) []meant {
	rest := slices.DeleteFunc(slices.Clone(open), func(m meant) bool { return strings.HasPrefix(m.bell.Subject, "rope:") })
	if len(rest) == 0 {
		return open
	}
	return rest
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
	if verb == "done" && !slices.ContainsFunc(fit, func(m meant) bool { return m.bell.Safety }) {
		reply.Buttons = append(reply.Buttons, desk.Labelled("All of mine", "done all"))
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

// openRings returns what rings now in the household: said, held back, or put off.
func openRings(tx *storage.Tx, household int64) ([]meant, error) {
	rings, err := tx.OpenRings(household)
	if err != nil {
		return nil, err
	}
	var out []meant
	for _, g := range rings {
		b, ok, err := tx.Bell(g.Bell)
		if err != nil {
			return nil, err
		}
		if ok && (g.Said > 0 || !g.Held.IsZero() || !g.LastSaid.IsZero()) {
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
func ringWords(tx *storage.Tx, household int64) (*phrase.List, error) {
	open, err := openRings(tx, household)
	if err != nil {
		return nil, err
	}
	var titles []string
	for _, m := range open {
		titles = append(titles, m.bell.Title)
	}
	return wordList("rings", titles), nil
}

func bellWords(tx *storage.Tx, household int64) (*phrase.List, error) {
	coming, err := live(tx, household)
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
	text := reminders.AnswerWords[m.ring.Answer]
	if by != "" {
		text += " by " + by
	}
	return desk.Answer(fmt.Sprintf("%s was %s already, %s. Nothing changed.", m.bell.Title, text, req.Say(m.ring.Answered))), true
}
