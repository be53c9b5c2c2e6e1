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

// absentAsks are further words for somebody who is not there, or who is after all: where
// they are, what has happened to them, and that it was not so.
func absentAsks() []desk.Ask {
	when := []phrase.Kind{phrase.KindDate, phrase.KindDays, phrase.KindDuration, phrase.KindBad}
	people := []string{"people", "selves"}
	fill := []string{"is", "are", "am", "i'm", "i", "be", "i'll", "will", "in", "at", "and", "both", "the", "on", "gone", "all", "us"}
	denial := []string{"haha", "lol", "joking", "kidding", "really", "actually", "any", "more", "anymore", "longer", "after", "all", "now", "away", "not", "just", "only", "ok", "okay"}
	unasked := func(req *desk.Request) bool { return !strings.ContainsAny(req.Text, "?") }
	return []desk.Ask{
		{
			Name: "away", Command: "away", Kinds: when, Lists: people, Fill: fill, Doubt: true, Keep: true, Help: "somebody is elsewhere for some days: the same as away",
			Forms: []string{"is|are|am|i'm|im|be in|at|on", "be gone", "is|are gone"}, Needs: []desk.Need{{Kind: phrase.KindDays}}, Plain: plainElsewhere, Do: elsewhere,
			Examples: []desk.Example{{Line: "Tom and Edda are in Leeds friday to sunday"}, {Line: "I'll be gone friday to sunday"}},
		},
		{
			Name: "away", Command: "away", Help: "away alone: from when until when is asked", Forms: []string{"^away$"}, Plain: func(req *desk.Request) bool { return !strings.ContainsAny(req.Text, "?!") },
			Do: away(storage.Away), Examples: []desk.Example{{Line: "away until friday"}},
		},
		{
			Name: "away", Command: "away", Kinds: when, Lists: people, Fill: append(slices.Clone(fill), denial...), Help: "somebody is not away, or not ill, after all",
			Forms: []string{ownDenial, "* not ill|sick|poorly|unwell", "* not away", "* isn't|isnt|aren't|arent away|ill|sick|poorly"}, Plain: unasked, Do: notAbsent(false),
			Examples: []desk.Example{{Setup: []string{"Ivo is ill"}, Line: "Ivo is not ill"}, {Setup: []string{"away 3-10 July"}, Line: "I'm not away any more"}},
		},
		{
			Name: "away", Command: "away", Kinds: when, Lists: people, Fill: append(slices.Clone(fill), "my", "cancel", "delete", "remove", "away"), Help: "take back that somebody is or will be away",
			Forms: []string{"^cancel|delete|remove my away", "^cancel|delete|remove * away"}, Plain: unasked, Do: notAbsent(true), Examples: []desk.Example{{Setup: []string{"away 3-10 July"}, Line: "cancel my away"}},
		},
		{
			Name: "away", Command: "away", Lists: people, Fill: []string{"feeling", "feel", "i", "i'm", "much", "all", "lot", "a", "now", "thanks", "again"}, Help: "whoever is ill feels better", Forms: []string{"^feeling|feel * better", "^feeling|feel better", "^all better"},
			Plain: feelsBetter, Do: back, Examples: []desk.Example{{Setup: []string{"Ivo is ill"}, By: "Ivo", Line: "feeling better"}},
		},
		{
			Name: "away", Command: "away", Kinds: when, Lists: people, Fill: append(slices.Clone(fill), "broke", "broken", "sprained", "twisted", "has", "have", "i've", "his", "her", "my", "no", "work", "chores", "for"), Help: "somebody is hurt: for how long it is asked",
			Forms: []string{"broke|broken|sprained|twisted * arm|leg|wrist|ankle|foot|hand|finger|knee|collarbone|toe"}, Plain: func(req *desk.Request) bool {
				return !asking(req) && len(req.Reading.Terms("people"))+len(req.Reading.Terms("selves")) == 1
			}, Do: hurt, Examples: []desk.Example{{Line: "Ivo is ill for 6 weeks"}},
		},
		{
			Name: "away", Command: "away", Kinds: []phrase.Kind{phrase.KindDate}, Question: true, Fill: []string{"who", "who's", "whos", "is", "here", "around", "on", "today", "now"}, Help: "who is here on a day", Needs: []desk.Need{{Kind: phrase.KindDate}},
			Forms: []string{"^who's|whos here|around", "^who is here|around"}, Do: whoHere, Examples: []desk.Example{{Line: "who's here on saturday"}},
		},
	}
}

// ownDenial is what whoever is down as ill says of themselves.
const ownDenial = "^not ill|sick|poorly|unwell"

// elsewhereWords are places that are no name and still not home.
var elsewhereWords = []string{"camp", "hospital", "holiday", "vacation", "grandma's", "granny's", "gran's", "grandad's", "college", "uni", "conference", "course"}

// plainElsewhere takes "Tom is in Leeds friday to sunday": days, and words nobody knows
// that are names of places.
func plainElsewhere(req *desk.Request) bool {
	if asking(req) || !subjectSaid(req) || len(req.Reading.Of(phrase.KindDays)) != 1 || req.Mentions("bed", "charge", "garden", "barn", "kitchen") {
		return false
	}
	if len(req.Reading.Unknown) == 0 {
		return strings.HasSuffix(req.Form, "gone")
	}
	return !slices.ContainsFunc(req.Reading.Unknown, func(t phrase.Token) bool { return t.Text == t.Low && !slices.Contains(elsewhereWords, t.Low) })
}

// elsewhere writes down that somebody is away, wherever that is.
func elsewhere(req *desk.Request) (desk.Reply, error) {
	req.Reading.Unknown = nil // the place
	return away(storage.Away)(req)
}

// feelsBetter reports that whoever speaks is down as ill.
func feelsBetter(req *desk.Request) bool {
	home, err := req.Home()
	return err == nil && !strings.ContainsAny(req.Text, "?") && len(req.Reading.Unknown) == 0 && slices.ContainsFunc(home.Away, func(a storage.Absence) bool {
		return a.Person == req.Who.ID && a.Kind == storage.Ill && a.Covers(req.Now)
	})
}

// notAbsent takes back absences of somebody that are not over: those of the kind and of the
// day that a line says, or all of one's being away.
func notAbsent(all bool) func(*desk.Request) (desk.Reply, error) {
	return func(req *desk.Request) (desk.Reply, error) {
		denies := req.Mentions("not", "isn't", "isnt", "aren't", "arent") // and no "now", a slip away
		if len(req.Reading.Unknown) > 0 || !all && (!subjectSaid(req) && req.Form != ownDenial || !denies) {
			return desk.Reply{}, desk.ErrSilent
		}
		who, _, reply, ok := whoIsAway(req)
		home, err := req.Home()
		if err != nil {
			return desk.Reply{}, err
		}
		kind := storage.Ill
		if all || req.Mentions("away") {
			kind = storage.Away
		}
		var ended []storage.Absence
		for _, a := range home.Away {
			if a.Kind == kind && onDaySaid(req, a) && slices.ContainsFunc(who, func(p storage.Person) bool { return p.ID == a.Person }) {
				ended = append(ended, a)
			}
		}
		switch {
		case ok && len(ended) == 0 && all:
			return desk.Answer(names(who) + " is not down as away."), nil
		case ok && len(ended) == 0:
			return desk.Reply{}, desk.ErrSilent
		case !ok:
			return reply, nil
		}
		for _, a := range ended {
			if len(req.Reading.Of(phrase.KindDate)) > 0 && a.Until.Sub(later(a.Since, req.Now)) > 25*time.Hour {
				return desk.AskBack(fmt.Sprintf("%s is %s. Not at all? For fewer days say them anew: away from friday to sunday", req.NameOf(a.Person), sayAbsence(req, home, a)),
					desk.Labelled("Not away at all", "cancel "+req.NameOf(a.Person)+"'s away")), nil
			}
		}
		return endAbsences(req, who, ended, fmt.Sprintf("%s is not %s", names(who), kind))
	}
}

// onDaySaid reports an absence that covers part of the day that a line says; any where it
// says none.
func onDaySaid(req *desk.Request, a storage.Absence) bool {
	dates := req.Reading.Of(phrase.KindDate)
	if len(dates) == 0 {
		return true
	}
	from := req.Instant(dates[0].Value.(phrase.Date).Next)
	return overlaps(a, storage.Absence{Since: from, Until: from.Add(24 * time.Hour)})
}

// endAbsences takes absences back under an entry, with what had waited.
func endAbsences(req *desk.Request, who []storage.Person, ended []storage.Absence, said string) (desk.Reply, error) {
	if len(who) > 1 {
		said = strings.Replace(said, " is not ", " are not ", 1)
	}
	if err := req.Record(storage.Entry{Kind: "away", About: "person:" + who[0].Name, Text: said}); err != nil {
		return desk.Reply{}, err
	}
	for _, a := range ended {
		if err := req.Tx.EndAbsence(a, req.Now); err != nil {
			return desk.Reply{}, err
		}
	}
	home, err := req.Home()
	if err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(said + ".")
	for _, p := range who {
		lines, err := waited(req, home, p)
		if err != nil {
			return desk.Reply{}, err
		}
		reply.Lines = append(reply.Lines, lines...)
	}
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return req.Roster.Relay(req, reply)
}

// hurt asks whether somebody is to be left out of bells and chores, and for how long.
func hurt(req *desk.Request) (desk.Reply, error) {
	who, _, reply, ok := whoIsAway(req)
	if !ok {
		return reply, nil
	}
	if len(who) != 1 {
		return desk.Reply{}, desk.ErrSilent
	}
	if d := req.Reading.Of(phrase.KindDuration); len(d) == 1 {
		last := req.Now.Add(d[0].Value.(time.Duration))
		return desk.AskBack(fmt.Sprintf("No bells and chores for %s until %s? They go to others meanwhile.", who[0].Name, req.SayDay(last)),
			desk.Labelled("Yes", fmt.Sprintf("%s is ill for %s", who[0].Name, d[0].Text))), nil
	}
	return desk.AskBack(fmt.Sprintf("For how long are %s's bells and chores to go to others? For example: %s is ill for 6 weeks", who[0].Name, who[0].Name)), nil
}

// whoHere answers who is here on a day, and who is not.
func whoHere(req *desk.Request) (desk.Reply, error) {
	dates := req.Reading.Of(phrase.KindDate)
	home, err := req.Home()
	if err != nil || len(dates) != 1 {
		return desk.Reply{}, silently(err)
	}
	noon := req.Instant(dates[0].Value.(phrase.Date).Next.Add(12 * time.Hour))
	var here, gone []string
	for _, p := range reminders.Expand(reminders.Everyone, req.People, req.Now) {
		if a, is := home.Absent(p.ID, noon); is && a.Kind == storage.Away {
			gone = append(gone, fmt.Sprintf("%s is %s.", p.Name, sayAbsence(req, home, a)))
			continue
		}
		here = append(here, p.Name)
	}
	if len(here) == 0 {
		here = []string{"nobody"}
	}
	return desk.Answer(fmt.Sprintf("Here on %s, as far as it was told: %s.", req.SayDay(noon), desk.List(here)), gone...), nil
}

func silently(err error) error {
	if err != nil {
		return err
	}
	return desk.ErrSilent
}
