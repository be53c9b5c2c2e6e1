package barn

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/breeding"
	"yardbell/calc/growth"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// lostWords belong to a line that tells that a pregnancy came to nothing, or that young died.
var lostWords = []string{
	"scanned", "scan", "empty", "not", "in", "kid", "lamb", "calf", "pig", "foal", "lost", "her", "their", "kids", "lambs", "piglets", "pregnancy", "litter", "aborted", "miscarried", "slipped", "early", "today", "last", "night", "this", "morning", "she", "has", "is", "was", "open", "barren", "vet", "says",
	"one", "died", "dead", "of", "found", "both", "have", "are", "two", "born", "didn't", "make", "it", "lay", "laid", "on", "squashed", "crushed", "overlaid",
}

func lostAsks() []desk.Ask {
	kinds := slices.Concat(dayed, []phrase.Kind{phrase.KindNumber})
	lists := []string{"livestock", "herds"}
	served := []string{"Clover is a doe", "bred Clover 20 feb"}
	return []desk.Ask{
		{
			Name: "bred", Command: "bred", Keep: true, Text: true, Needs: ofAnimal, Help: "that a service came to nothing: scanned empty, or the young lost before their time", Kinds: kinds, Lists: lists,
			Forms:    []string{"scanned|is|was empty|barren|open", "scanned not", "aborted|miscarried", "slipped her", "lost her|their kids|lambs|litter|pregnancy|kid|lamb|calf|foal|piglets"},
			Examples: []desk.Example{{Setup: served, Line: "Clover scanned empty"}, {Setup: served, Line: "Clover aborted"}},
			Plain:    func(req *desk.Request) bool { return !asksOrDoubts(req) && len(strangers(req, lostWords...)) == 0 }, Do: cameToNothing,
		},
		{
			Name: "birth", Command: "bred", Keep: true, Text: true, Help: "that young died before they were weaned", Kinds: kinds, Lists: lists,
			Forms:    []string{"kid|kids died|dead|is|was|has|have", "lost|lay|laid|squashed|crushed * kid|kids|piglet|piglets|lamb|lambs|calf|pig|pigs"},
			Examples: []desk.Example{{Setup: []string{"Clover is a doe", "bred Clover 1 oct 2026", "Clover kidded 3 on 28 feb"}, Line: "one kid died"}},
			Plain:    func(req *desk.Request) bool { return !asksOrDoubts(req) && len(strangers(req, lostWords...)) == 0 }, Do: youngDied,
		},
	}
}

// cameToNothing ends a course of which nothing comes.
func cameToNothing(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	p, reply := pairSaid(req, b)
	if reply.Head != "" {
		return reply, nil
	}
	c, reply, err := courseFor(req, p.name, p.kind)
	if err != nil {
		return desk.Reply{}, err
	}
	if reply.Head != "" {
		if !req.Direct && c.Num == 0 {
			return desk.Reply{}, desk.ErrSilent
		}
		return reply, nil
	}
	when, reply := happened(req)
	if reply.Head != "" {
		return reply, nil
	}
	empty := hasWord(req, "empty", "barren", "open", "scanned")
	what, fate := "lost her young", storage.FateLost
	if empty {
		what, fate = "is not with young", storage.FateReturned
	}
	if err := req.Record(storage.Entry{Kind: "bred", Happened: at(req, when), Text: fmt.Sprintf("%s %s, %s", c.Name, what, c.since(req))}); err != nil {
		return desk.Reply{}, err
	}
	if err := c.end(req, fate, reminders.Day(when)); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(fmt.Sprintf("%s %s (%s). The bells of it are ended.", desk.Upper(c.Name), what, c.since(req)), "When she is served again: bred "+c.Name)
	if !empty {
		out.Cautions = []string{"Call the vet today: the cause may spread to the others and to people. Gloves; keep her apart, and what she lost for the vet to see.", breeding.Expecting}
	}
	out.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return out, nil
}

// end closes a course of which nothing comes; its bells end.
func (c course) end(req *desk.Request, fate string, day time.Time) error {
	c.Fate, c.Over = fate, day
	if err := req.Tx.SaveMating(c.Mating); err != nil {
		return err
	}
	return c.resettle(req)
}

// youngDied takes young that died out of the flock book.
func youngDied(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	all, err := suckling(req)
	if err != nil {
		return desk.Reply{}, err
	}
	low := strings.ToLower(req.Text)
	all = slices.DeleteFunc(all, func(c course) bool {
		s, _ := breeding.SpeciesNamed(c.Species)
		of := slices.ContainsFunc(phrase.Words(low), func(w string) bool {
			return w == s.Young[0].One || w == s.Young[0].Many || c.Species == "sow" && (w == "pig" || w == "pigs")
		})
		h, ok := b.numbered(c.Young)
		return !of || !ok || h.Head == 0
	})
	if len(all) == 0 {
		return desk.Reply{}, desk.ErrSilent
	}
	c := all[len(all)-1]
	h, _ := b.numbered(c.Young)
	n := 1
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		if v, ok := whole(s); ok {
			n = v
		}
	}
	if hasWord(req, "both") {
		n = 2
	}
	if n < 1 || n > h.Head {
		return desk.AskBack(fmt.Sprintf("%s are written down. How many died?", c.youngOf(h.Head))), nil
	}
	when, reply := happened(req)
	if reply.Head != "" {
		return reply, nil
	}
	text := fmt.Sprintf("%s of %s died", c.youngOf(n), c.Name)
	if err := req.Record(storage.Entry{Kind: "birth", Happened: at(req, when), Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.AddHeadcount(req.House.ID, storage.Headcount{Herd: h.ID, Day: reminders.Day(when), Change: -n, How: "died"}); err != nil {
		return desk.Reply{}, err
	}
	c.Born, c.Dead = c.Born-n, c.Dead+n
	if err := req.Tx.SaveMating(c.Mating); err != nil {
		return desk.Reply{}, err
	}
	if err := c.resettle(req); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(fmt.Sprintf("%s: %s left.", desk.Upper(text), c.youngOf(h.Head-n)))
	out.Cautions = []string{"Gloves, and have the vet look at why, before a second is lost."}
	out.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return out, nil
}

// youngOf is so many young of a course's species: 2 kids.
func (c course) youngOf(n int) string {
	s, _ := breeding.SpeciesNamed(c.Species)
	return counted(n, s.Young[0].One, s.Young[0].Many)
}

// goneFor ends what was to come of animals that are there no more: the run-up to a birth,
// and the bells of when their milk and meat are free again.
func goneFor(req *desk.Request, moves []change, day time.Time) error {
	after, err := openBook(req)
	if err != nil {
		return err
	}
	open, err := expecting(req)
	if err != nil {
		return err
	}
	for _, m := range moves {
		h, ok := after.numbered(m.herd.ID)
		if !ok || m.by >= 0 || h.Head > 0 {
			continue
		}
		k, _ := beastNamed(h.Kind)
		for _, c := range open {
			if !c.hatching() && (c.Herd == h.ID || c.Herd == 0 && c.Species == speciesOf[k.family] && after.count(k.name) == 0) {
				if err := c.end(req, storage.FateLost, day); err != nil {
					return err
				}
			}
		}
		for _, p := range growth.Products() {
			bells, err := req.Tx.SubjectBells(req.House.ID, heldSubject(p, k.family, h.ID))
			if err != nil {
				return err
			}
			for _, b := range bells {
				if b.Stopped {
					continue
				}
				if err := endBell(req, b); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// heldSubject ties the bell of a release to the product and whom it comes from.
func heldSubject(p growth.Product, family string, herd int64) string {
	return fmt.Sprintf("held:%s:%s:%d", p, family, herd)
}
