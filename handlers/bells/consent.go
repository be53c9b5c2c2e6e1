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

// consentAsks are the answers to being handed a ring.
func consentAsks() []desk.Ask {
	numbered := []phrase.Kind{phrase.KindThing, phrase.KindNumber}
	offered := []string{"house add Ivo child 13", "house add Lise child 10", "ring Ivo feed the hens in 1 min", "+2m", "Ivo: pass hens to Lise"}
	return []desk.Ask{
		{
			Name: "no", Command: "pass", Kinds: numbered, Help: "a ring handed on to you goes back", Forms: []string{"^no$", "^no * sorry", "^no can't|cant$", "^can't|cant|cannot$", "^can't|cant|cannot do it|that", "^sorry * can't|cant$", "^no"},
			Lists: []string{"people"}, Plain: anyhow, Fill: []string{"sorry", "can't", "cant", "cannot", "do", "it", "that", "now", "thanks"},
			Examples: []desk.Example{{Setup: offered, By: "Lise", Line: "no"}, {Setup: offered, By: "Lise", Line: "can't do it"}}, Do: sayNo,
		},
		{
			Name: "yes", Command: "pass", Kinds: numbered, Help: "take a ring that was handed on to you", Forms: []string{"^yes$", "^yes ok$", "^yes * do it$", "^yes"},
			Lists: []string{"people"}, Plain: anyhow, Fill: []string{"ok", "i'll", "ill", "do", "it", "will", "fine"}, Examples: []desk.Example{{Setup: offered, By: "Lise", Line: "yes"}}, Do: sayYes,
		},
	}
}

// anyhow lets a word called out count too: the ask itself finds out whether
// anything was handed on to the speaker.
func anyhow(req *desk.Request) bool { return !strings.Contains(req.Text, "?") }

// handOn gives a ring to somebody, who hears of it at once. A keeper's word
// settles it; from a hand, the receiver may say no.
func handOn(req *desk.Request, m meant, to storage.Person) (desk.Reply, error) {
	g := m.ring
	g.Giver, g.Given = g.Whom, storage.GivenOffer
	head := fmt.Sprintf("Handed on to %s, who may say no: %s.", to.Name, m.bell.Title)
	if req.May() || to.ID == req.Who.ID {
		g.Given = storage.GivenTaken
		head = fmt.Sprintf("Handed on to %s: %s.", to.Name, m.bell.Title)
	}
	g.Whom, g.Wake, g.Said, g.Held = reminders.People(to.ID), req.Now, 0, time.Time{}
	return desk.Answer(head), req.Tx.SaveRing(g)
}

// taken is a ring after somebody has dealt with it whom it was offered to.
func taken(req *desk.Request, g storage.Ring) storage.Ring {
	if g.Given == storage.GivenOffer && g.Whom == reminders.People(req.Who.ID) {
		g.Given = storage.GivenTaken
	}
	return g
}

// offer finds the ring that a yes or no is about: one that was handed on to the
// speaker. Anything else is people talking.
func offer(req *desk.Request) (meant, desk.Reply, error) {
	open, err := openRings(req.Tx, req.House.ID)
	if err != nil {
		return meant{}, desk.Reply{}, err
	}
	n, numbered := numberSaid(req)
	mine := slices.DeleteFunc(open, func(m meant) bool {
		handed := m.ring.Given == storage.GivenOffer || numbered && m.ring.Given == storage.GivenTaken
		return !handed || m.ring.Whom != reminders.People(req.Who.ID) || numbered && m.ring.Num != n
	})
	switch {
	case len(mine) == 1:
		return mine[0], desk.Reply{}, nil
	case len(mine) > 1:
		return meant{}, choose(req.Reading.Tokens[0].Low, mine), nil
	case !req.Direct:
		return meant{}, desk.Reply{}, desk.ErrSilent
	}
	return meant{}, desk.AskBack("Nothing was handed on to you.", desk.Button("bells")), nil
}

// sayNo gives an offered ring back to the one who handed it on.
func sayNo(req *desk.Request) (desk.Reply, error) {
	m, reply, err := offer(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	from := reminders.SayWhom(m.ring.Giver, req.People, req.Now)
	if m.ring.Given == storage.GivenTaken {
		return desk.Refuse(fmt.Sprintf("That is settled: %s is yours. Ask a keeper, or hand it on: pass %d to NAME", m.bell.Title, m.ring.Num)), nil
	}
	if err := req.Record(storage.Entry{Kind: "no", About: m.about(), Text: fmt.Sprintf("said no to %s: back to %s", m.bell.Title, from)}); err != nil {
		return desk.Reply{}, err
	}
	g := m.ring
	g.Whom, g.Giver, g.Given = g.Giver, g.Whom, storage.GivenBack
	g.Wake, g.Said = req.Now, 0
	return desk.Answer(fmt.Sprintf("Back to %s: %s.", from, m.bell.Title)), req.Tx.SaveRing(g)
}

// sayYes takes an offered ring for good.
func sayYes(req *desk.Request) (desk.Reply, error) {
	m, reply, err := offer(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if m.ring.Given == storage.GivenTaken {
		return desk.Quietly(fmt.Sprintf("It is yours already: %s.", m.bell.Title)), nil
	}
	if err := req.Record(storage.Entry{Kind: "yes", About: m.about(), Text: "took over: " + m.bell.Title}); err != nil {
		return desk.Reply{}, err
	}
	return desk.Quietly(fmt.Sprintf("Taken: %s, %s.", m.bell.Title, req.Who.Name)), req.Tx.SaveRing(taken(req, m.ring))
}

// doneAll answers all that rings for the speaker, safety bells excepted.
func doneAll(req *desk.Request) (desk.Reply, error) {
	open, err := openRings(req.Tx, req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	open = slices.DeleteFunc(open, func(m meant) bool { return !isFor(req, m) || req.Now.Sub(m.ring.LastSaid) > lastHours })
	own := slices.DeleteFunc(slices.Clone(open), func(m meant) bool { return m.bell.Safety })
	if len(own) == 0 && len(open) > 0 {
		return desk.Refuse(fmt.Sprintf("%s is a safety bell: name it, done %d.", desk.Upper(open[0].bell.Title), open[0].ring.Num)), nil
	}
	if len(own) == 0 && !req.Direct {
		return desk.Reply{}, desk.ErrSilent
	}
	if len(own) == 0 {
		return desk.AskBack("Nothing is ringing for you.", desk.Button("bells")), nil
	}
	out := desk.Quietly("")
	for _, m := range own {
		reply, err := done(req, m)
		if err != nil || reply.Status != storage.OK {
			return reply, err
		}
		if out.Head == "" {
			out.Head = reply.Head
		} else {
			out.Lines = append(out.Lines, reply.Head)
		}
		out.Lines = append(out.Lines, reply.Lines...)
	}
	return out, nil
}
