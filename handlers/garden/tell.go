package garden

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/sowing"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// named are the ways in which a line names a sowing.
var named = []desk.Need{{Kind: phrase.KindTerm, List: "crops"}, {Kind: phrase.KindTerm, List: "places"}, {Kind: phrase.KindThing}}

func tellAsks() []desk.Ask {
	kinds := slices.Concat(dayed, []phrase.Kind{phrase.KindNumber, phrase.KindClock, phrase.KindThing})
	tell := func(help string, forms, fill []string, example string, do func(*desk.Request) (desk.Reply, error), fits func(sown) bool) desk.Ask {
		return desk.Ask{
			Name: "sown", Command: "sown", Needs: named, Text: true, Help: help, Forms: forms, Kinds: kinds, Lists: []string{"crops", "places"}, Fill: fill,
			Examples: []desk.Example{{Setup: onTray, Line: example}}, Plain: plainTold(fits), Do: do,
		}
	}
	again := func(s sown) bool { return s.Planted.IsZero() } // a count may be told again
	return []desk.Ask{
		tell("seedlings are up", []string{"up$", "* up * now|today|already|yesterday$", "came|come|coming up", "are|is up", "up * in|of", "sprouted|germinated|emerged"},
			[]string{"are", "is", "the", "of", "up", "now", "already", "seedlings", "first", "have", "come", "came", "today", "all", "in", "just", "showing", "sowing"}, "18 tomatoes up", up, again),
		tell("seedlings were potted up", []string{"^potted", "potted up", "^pricked out", "^potted * on"}, []string{"potted", "up", "on", "pricked", "out", "the", "all", "into", "pots", "sowing", "today"}, "potted up the tomatoes", potted, inTrayNow),
		tell("hardening off has begun", []string{"^hardening", "^started|began hardening", "hardening off", "^hardened"}, []string{"started", "began", "hardening", "hardened", "off", "the", "today", "sowing", "are", "is", "we're", "now"}, "hardening off the tomatoes", harden, inTrayNow),
		tell("seedlings were set out", []string{"^transplanted", "^planted out", "^planted * out", "^set * out", "went out", "^put * out"}, []string{"transplanted", "planted", "set", "out", "the", "in", "bed", "today", "all", "went", "put", "into", "sowing", "this", "garden", "outside"}, "transplanted the tomatoes", setOut, inTrayNow),
		tell("a row was thinned", []string{"^thinned"}, []string{"thinned", "out", "the", "all", "sowing"}, "thinned the tomatoes", thinned, standingStill),
		tell("the first was picked", []string{"^picked * first", "^first|picked * picked$", "^first * picked"}, []string{"picked", "first", "the", "of", "our", "today", "sowing"}, "picked the first tomatoes", picked, standingStill),
		tell("a sowing is lost, or some of it", []string{"^lost", "got|ate|had|killed|eaten", "^nothing|none came|come", "^nothing|none * came|come", "finished|over$", "died|dead"},
			[]string{"lost", "the", "all", "to", "frost", "slugs", "slug", "snails", "mice", "pigeons", "hens", "damping", "off", "got", "ate", "had", "killed", "eaten", "nothing", "none", "came", "come", "up", "of", "are", "is", "finished", "over", "died", "dead", "by", "sowing", "rabbits", "deer", "blight", "last", "night"}, "lost the tomatoes to slugs", lost, standingStill),
		{
			Name: "sown", Command: "sown", Needs: named, Keeper: true, Help: "give a tray to somebody: its bells are theirs", Forms: []string{"^give|gave", "is|are|belongs * now$", "^hand"},
			Kinds: []phrase.Kind{phrase.KindThing}, Lists: []string{"crops", "places", "people"}, Fill: []string{"give", "gave", "to", "the", "is", "are", "now", "hand", "over", "belongs", "looks", "after", "tray", "s"},
			Examples: []desk.Example{{Setup: append(slices.Clone(onTray), "house add Lise child 10"), Line: "give the tomatoes to Lise"}}, Plain: plainGiven, Do: give,
		},
	}
}

func notUp(s sown) bool         { return s.Up.IsZero() && s.Planted.IsZero() }
func inTrayNow(s sown) bool     { return s.Planted.IsZero() && !s.Outdoors }
func standingStill(s sown) bool { return s.Over.IsZero() }

// plainTold takes a plain line about a crop only while one is sown that it can tell of.
func plainTold(fits func(sown) bool) func(*desk.Request) bool {
	return func(req *desk.Request) bool {
		if strange(req) || asks(req) {
			return false
		}
		all, err := standingNow(req)
		if err != nil {
			return false
		}
		found, _, reply, err := namedOf(req, all)
		return err == nil && reply.Head == "" && slices.ContainsFunc(found, fits)
	}
}

// strange reports words that nobody understands, beside those that name a place.
func strange(req *desk.Request) bool {
	_, first, past := placeSaid(req)
	if past > 0 && !slices.ContainsFunc(req.Reading.Tokens[first:past], func(t phrase.Token) bool { return slices.Contains(containers, t.Low) }) {
		past = 0 // no place of a garden
	}
	return slices.ContainsFunc(req.Reading.Unknown, func(t phrase.Token) bool {
		i := slices.IndexFunc(req.Reading.Tokens, func(o phrase.Token) bool { return o.Start == t.Start })
		return i < first || i >= past
	})
}

func plainGiven(req *desk.Request) bool {
	if len(req.Reading.Unknown) > 0 || asks(req) || len(req.Reading.Terms("people")) != 1 {
		return false
	}
	return plainTold(standingStill)(req)
}

// told writes down what happened to the sowing that a line names, and moves what hangs
// on it. Change does it, and returns what the day book says; a reply with a head asks.
func told(req *desk.Request, say string, fits func(sown) bool, change func(*sown, time.Time) (string, desk.Reply)) (sown, desk.Reply, error) {
	s, reply, err := which(req, say, fits)
	if err != nil || reply.Head != "" {
		return s, reply, err
	}
	day, reply := happened(req)
	if reply.Head != "" {
		return s, reply, nil
	}
	if day.Before(s.Sown) {
		return s, desk.AskBack(fmt.Sprintf("It was sown only %s. When was it?", sayDate(req, s.Sown))), nil
	}
	text, reply := change(&s, day)
	if reply.Head != "" {
		return s, reply, nil
	}
	if err := req.Record(storage.Entry{Kind: "sown", About: s.subject(), Happened: at(req, day), Text: text}); err != nil {
		return s, desk.Reply{}, err
	}
	if err := req.Tx.SaveSowing(s.Sowing); err != nil {
		return s, desk.Reply{}, err
	}
	lines, err := resettle(req, s)
	if err != nil {
		return s, desk.Reply{}, err
	}
	return s, desk.Answer(desk.Upper(text)+".", lines...), nil
}

// up notes that seedlings are up, and how many.
func up(req *desk.Request) (desk.Reply, error) {
	n := countSaid(req)
	if ns := req.Reading.Of(phrase.KindNumber); len(ns) == 2 { // "18 of 24 up"
		n = min(whole(ns[0]), whole(ns[1]))
	}
	fits := notUp
	if n > 0 {
		fits = func(s sown) bool { return s.Planted.IsZero() }
	}
	s, out, err := told(req, "%s up", fits, func(s *sown, day time.Time) (string, desk.Reply) {
		if n > 0 && s.Seeds > 0 && n > s.Seeds {
			return "", desk.AskBack(fmt.Sprintf("Only %s of %s were sown. How many are up?", desk.Plural(s.Seeds, "seed"), s.title()))
		}
		again := !s.Up.IsZero()
		if !again {
			s.Up = day
		}
		if n == 0 {
			return s.title() + " is up", desk.Reply{}
		}
		s.Came = n
		return s.counted(n) + " " + isAre(n) + " up", desk.Reply{}
	})
	if err != nil || out.Status != storage.OK {
		return out, err
	}
	first := fmt.Sprintf("%s after sowing.", desk.Plural(int(s.Up.Sub(s.Sown).Hours()/24), "day"))
	if s.Came > 0 && s.Seeds > 0 {
		first += " " + cameUp(s)
	}
	if !s.Outdoors {
		first += " Lid or film off today, and light."
	}
	out.Lines = append([]string{first}, out.Lines...)
	return out, nil
}

func isAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// potted notes that seedlings went into pots of their own.
func potted(req *desk.Request) (desk.Reply, error) {
	n := countSaid(req)
	_, out, err := told(req, "potted up %s", inTrayNow, func(s *sown, day time.Time) (string, desk.Reply) {
		s.Potted = day
		if s.Up.IsZero() {
			s.Up = day
		}
		if n > 0 {
			s.Came = n
			return "potted up " + s.counted(n), desk.Reply{}
		}
		return "potted up " + s.title(), desk.Reply{}
	})
	return out, err
}

// harden notes that a tray was carried out for the first time, or another day.
func harden(req *desk.Request) (desk.Reply, error) {
	s, out, err := told(req, "hardening off %s", inTrayNow, func(s *sown, day time.Time) (string, desk.Reply) {
		if s.Hardening.IsZero() {
			s.Hardening = day
		}
		if s.Up.IsZero() {
			s.Up = day
		}
		s.Hardened = max(s.Hardened+1, int(day.Sub(s.Hardening).Hours()/24)+1)
		if hasWord(req, "hardened") && !hasWord(req, "started", "began") {
			s.Hardened = sowing.HardenDays
			return "hardened off " + s.title(), desk.Reply{}
		}
		return fmt.Sprintf("hardening off %s, day %d", s.title(), s.Hardened), desk.Reply{}
	})
	if err != nil || out.Status != storage.OK {
		return out, err
	}
	if b, has, err := stepBell(req, s.Sowing, stepHarden); err != nil {
		return desk.Reply{}, err
	} else if has {
		if err := endBell(req, b); err != nil {
			return desk.Reply{}, err
		}
	}
	today := "Today: " + hardenDay(s, s.Hardened)
	if s.Hardened < sowing.HardenDays-1 {
		if err := addStep(req, s, stepHarden, laterDay(dayOf(req).AddDate(0, 0, 1), s.Hardening), time.Time{}); err != nil {
			return desk.Reply{}, err
		}
		today += " A bell says each day what comes next."
	}
	lines, err := stepLines(req, s)
	out.Lines = append([]string{today}, lines...)
	return out, err
}

// setOut notes that seedlings were set out into the ground.
func setOut(req *desk.Request) (desk.Reply, error) {
	n := countSaid(req)
	where, _, _ := placeSaid(req)
	var left string
	s, out, err := told(req, "transplanted %s", inTrayNow, func(s *sown, day time.Time) (string, desk.Reply) {
		s.Planted = day
		if s.Up.IsZero() {
			s.Up = day
		}
		text := "set out " + s.title()
		if n > 0 {
			text = "set out " + s.counted(n)
			if s.Came > n {
				left = fmt.Sprintf("%d stay in the tray: give them away, or plant them too.", s.Came-n)
			}
			s.Came = n
		}
		s.Place = where // the tray is free again
		if where != "" {
			text += ", " + where
		}
		return text, desk.Reply{}
	})
	if err != nil || out.Status != storage.OK {
		return out, err
	}
	if left != "" {
		out.Lines = append(out.Lines, left)
	}
	return out, coldNights(req, s, &out)
}

// coldNights warns when what was set out stands before a cold night that was told.
func coldNights(req *desk.Request, s sown, out *desk.Reply) error {
	for d := range 3 {
		night := dayOf(req).AddDate(0, 0, d)
		low, ok, err := req.Tx.Cold(req.House.ID, night)
		if err != nil {
			return err
		}
		if ok && sowing.HarmAt(s.kind.Crop, low, false) != sowing.Safe {
			out.Cautions = append(out.Cautions, fmt.Sprintf("A low of %s is forecast for the night of %s: cover them.", sayLow(req, low), sayDate(req, night)))
		}
	}
	return nil
}

// thinned notes a thinning.
func thinned(req *desk.Request) (desk.Reply, error) {
	s, out, err := told(req, "thinned %s", standingStill, func(s *sown, day time.Time) (string, desk.Reply) {
		if s.Up.IsZero() {
			s.Up = day
		}
		return "thinned " + s.title(), desk.Reply{}
	})
	if err != nil || out.Status != storage.OK {
		return out, err
	}
	b, has, err := stepBell(req, s.Sowing, stepThin)
	if err != nil || !has {
		return out, err
	}
	if err := endBell(req, b); err != nil {
		return desk.Reply{}, err
	}
	out.Lines, err = stepLines(req, s)
	return out, err
}

// picked notes the first harvest.
func picked(req *desk.Request) (desk.Reply, error) {
	s, out, err := told(req, "picked the first of %s", standingStill, func(s *sown, day time.Time) (string, desk.Reply) {
		if s.Picked.IsZero() {
			s.Picked = day
		}
		return "picked the first " + s.title(), desk.Reply{}
	})
	if err != nil || out.Status != storage.OK {
		return out, err
	}
	from, counted := s.Sown, "sowing"
	if s.kind.FromTransplant && !s.Planted.IsZero() {
		from, counted = s.Planted, "setting out"
	}
	out.Lines = append([]string{fmt.Sprintf("%s after %s; the table says %s.", desk.Plural(int(s.Picked.Sub(from).Hours()/24), "day"), counted, span(s.kind.table.MaturityMin, s.kind.table.MaturityMax))}, out.Lines...)
	return out, nil
}

// noneCame is how a sowing ends of which nothing came up.
const noneCame = "nothing came up"

// lost notes that a sowing has ended, or that some of it is gone.
func lost(req *desk.Request) (desk.Reply, error) {
	n := countSaid(req)
	nothing := hasWord(req, "nothing", "none")
	s, out, err := told(req, "lost %s", standingStill, func(s *sown, day time.Time) (string, desk.Reply) {
		how := causeSaid(req)
		if n > 0 && !nothing {
			have := s.Came
			if have == 0 {
				have = s.Seeds
			}
			if have > 0 && n > have {
				return "", desk.AskBack(fmt.Sprintf("There were only %d of %s. How many are lost?", have, s.title()))
			}
			if have > n {
				s.Came = have - n
				return fmt.Sprintf("lost %s%s, %d left", s.counted(n), how, s.Came), desk.Reply{}
			}
			if have == 0 {
				return "lost " + s.counted(n) + how, desk.Reply{}
			}
		}
		s.Over = day
		switch {
		case nothing:
			s.Fate = noneCame
			return "nothing came up of " + s.title(), desk.Reply{}
		case hasWord(req, "finished", "over"):
			s.Fate = "finished"
			return s.title() + " is finished", desk.Reply{}
		}
		s.Fate = "lost" + how
		return "lost " + s.title() + how, desk.Reply{}
	})
	if err != nil || out.Status != storage.OK || s.Over.IsZero() || s.Fate == "finished" {
		return out, err
	}
	_, now, next, reply, err := season(req, dayOf(req))
	if err != nil || reply.Head != "" {
		return out, err
	}
	out.Lines = append(out.Lines, stillTime(req, s.kind, now, next, dayOf(req)).Head)
	return out, nil
}

// causeSaid is what a line says it was lost to, with a space before it.
func causeSaid(req *desk.Request) string {
	for _, cause := range []string{"frost", "slugs", "snails", "mice", "pigeons", "hens", "rabbits", "deer", "blight", "damping"} {
		if hasWord(req, cause, strings.TrimSuffix(cause, "s")) {
			if cause == "damping" {
				cause = "damping off"
			}
			return " to " + cause
		}
	}
	return ""
}

// give has somebody else look after a sowing: its bells are theirs.
func give(req *desk.Request) (desk.Reply, error) {
	people := req.Reading.Terms("people")
	if len(people) != 1 || people[0].Value.(phrase.Term).ID == 0 {
		return desk.AskBack("To whom? For example: give the tomatoes to Lise"), nil
	}
	person := people[0].Value.(phrase.Term)
	all, err := standingNow(req)
	if err != nil {
		return desk.Reply{}, err
	}
	found, what, reply, err := namedOf(req, all)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if len(found) == 0 {
		return desk.AskBack(fmt.Sprintf("No %s is written down as sown.", what)), nil
	}
	var titles []string
	for _, s := range found {
		titles = append(titles, s.title())
	}
	text := fmt.Sprintf("%s looks after %s", person.Name, desk.List(titles))
	if err := req.Record(storage.Entry{Kind: "sown", About: found[0].subject(), Text: text}); err != nil {
		return desk.Reply{}, err
	}
	for _, s := range found {
		s.Person = person.ID
		if err := req.Tx.SaveSowing(s.Sowing); err != nil {
			return desk.Reply{}, err
		}
		bells, err := req.Tx.SubjectBells(req.House.ID, s.subject())
		if err != nil {
			return desk.Reply{}, err
		}
		for _, b := range bells {
			if b.Stopped {
				continue
			}
			b.Whom = reminders.People(person.ID)
			if err := req.Tx.SaveBell(b); err != nil {
				return desk.Reply{}, err
			}
		}
	}
	return desk.Answer(desk.Upper(text) + ": its bells are " + person.Name + "'s."), nil
}
