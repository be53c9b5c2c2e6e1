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

// awayAsks are the ways to say that somebody is not to be rung for a while.
func awayAsks() []desk.Ask {
	when := []phrase.Kind{phrase.KindDate, phrase.KindDays, phrase.KindClock, phrase.KindPart, phrase.KindDuration, phrase.KindBad}
	people := []string{"people", "selves"}
	somebody := []desk.Need{{Kind: phrase.KindTerm, List: "people"}, {Kind: phrase.KindTerm, List: "selves"}}
	fill := []string{"away", "is", "i'm", "am", "i", "be", "i'll", "will", "gone", "covers", "cover", "stands", "stand", "in", "instead", "mine", "does", "of", "all", "day", "whole"}
	return []desk.Ask{
		{
			Name: "away", Command: "away", Kinds: when, Lists: people, Fill: fill, Doubt: true, Help: "somebody is away: whose bells go to whom meanwhile",
			Forms:    []string{"^away", "* away"},
			Needs:    []desk.Need{{Kind: phrase.KindDate}, {Kind: phrase.KindDays}, {Kind: phrase.KindDuration}, {Kind: phrase.KindBad}},
			Examples: []desk.Example{{Line: "away 3-10 July"}, {Line: "Tom is away from friday to sunday"}, {Line: "I'm away tomorrow, Tom covers"}},
			Plain:    plainAway, Do: away(storage.Away),
		},
		{
			Name: "away", Command: "away", Kinds: when, Lists: people, Fill: append(fill, "in", "bed", "still", "feeling"), Help: "somebody is ill: the same until they are better",
			Forms: []string{"^ill", "* ill|sick|poorly|unwell"}, Examples: []desk.Example{{Line: "Ivo is ill"}, {Line: "Lise is poorly today"}},
			Needs: somebody, Plain: func(req *desk.Request) bool { return !asking(req) }, Do: away(storage.Ill),
		},
		{
			Name: "away", Command: "away", Kinds: when, Lists: people, Fill: append(fill, "back", "home", "late", "running", "only", "not", "before", "then"), Help: "somebody is out and home at a time",
			Forms:    []string{"* back at|by|around", "* home at|by|around", "* late * home at|by", "* late * back at|by", "* not back|home until|before", "* late until|till"},
			Needs:    []desk.Need{{Kind: phrase.KindClock}, {Kind: phrase.KindPart}, {Kind: phrase.KindBad}},
			Examples: []desk.Example{{Line: "Tom back at 8pm"}, {Line: "Tom is late, home at 20:30"}}, Keep: true,
			Plain: plainLate, Do: late,
		},
		{
			Name: "away", Command: "away", Lists: people, Fill: append(fill, "again", "now", "home", "well", "feeling", "at", "last"), Help: "somebody is back",
			Forms:    []string{"* back", "* better", "* well again", "* home again", "* not away", "^away off"},
			Examples: []desk.Example{{Setup: []string{"Ivo is ill"}, Line: "Ivo is better"}, {Setup: []string{"away 3-10 July"}, Line: "I'm back"}},
			Needs:    somebody, Do: back,
		},
	}
}

// selves are the words by which somebody speaks of themselves.
func selves(*desk.Request) (*phrase.List, error) {
	return phrase.NewList("selves", []phrase.Entry{{Name: "self", Aliases: []string{"i", "i'm", "im", "i am", "i'll", "i'll be", "ill be", "i've", "ive"}}}), nil
}

// subjectSaid reports that somebody is named, or that the speaker speaks of
// themselves.
func subjectSaid(req *desk.Request) bool {
	return len(req.Reading.Terms("people"))+len(req.Reading.Terms("selves")) > 0
}

// asking tells a question, a wish or what was from a report.
func asking(req *desk.Request) bool {
	return strings.Contains(req.Text, "?") || req.Mentions("was", "were", "isn't", "not", "never", "why", "who", "if", "when", "think", "looks", "looked", "might", "may", "unless")
}

func plainAway(req *desk.Request) bool {
	return !asking(req) && (subjectSaid(req) || req.Form == "^away")
}

func plainLate(req *desk.Request) bool {
	if strings.Contains(req.Text, "?") || req.Mentions("was", "were", "if", "when", "who") {
		return false
	}
	return len(req.Reading.Terms("selves")) > 0 || len(req.Reading.Terms("people")) > 0 && !req.Mentions("be")
}

// whoIsAway returns the person that a line is about and the one who covers.
func whoIsAway(req *desk.Request) (who, cover storage.Person, reply desk.Reply, ok bool) {
	who = req.Who
	if strange := desk.UnknownWords(req.Reading.Unknown); strange != "" {
		return who, cover, desk.Refuse(fmt.Sprintf("I know nobody called %s here. Nothing was written.", strange)), false
	}
	named := req.Reading.Terms("people")
	for i, s := range named {
		p, known := req.Person(s.Value.(phrase.Term).Name)
		if s.Value.(phrase.Term).Name == "@me" {
			p, known = req.Who, true
		}
		if !known {
			return who, cover, desk.AskBack("One person at a time, by name. For example: Ivo is ill"), false
		}
		if i > 0 || covers(req, s) {
			if cover.ID != 0 {
				return who, cover, desk.AskBack("One stand-in at a time, please. For example: away 3-10 July, Tom covers"), false
			}
			cover = p
			continue
		}
		who = p
	}
	if who.ID == cover.ID {
		cover = storage.Person{}
	}
	if who.ID != req.Who.ID && !req.May() {
		return who, cover, desk.Refuse(fmt.Sprintf("Only a keeper says that for others. %s can type it: away until friday", who.Name)), false
	}
	return who, cover, desk.Reply{}, true
}

// covers reports that a name is that of the stand-in: "Tom covers", "Tom does mine".
func covers(req *desk.Request, s phrase.Span) bool {
	toks := req.Reading.Tokens
	if s.Past < len(toks) {
		switch toks[s.Past].Low {
		case "covers", "cover", "does", "stands", "stand", "instead":
			return true
		}
	}
	return s.First > 0 && (toks[s.First-1].Low == "to" || toks[s.First-1].Low == "by")
}

// away writes an absence of whole days down.
func away(kind string) func(*desk.Request) (desk.Reply, error) {
	return func(req *desk.Request) (desk.Reply, error) {
		if reply, is := bad(req); is {
			return reply, nil
		}
		who, cover, reply, ok := whoIsAway(req)
		if !ok {
			return reply, nil
		}
		a := storage.Absence{Household: req.House.ID, Person: who.ID, Kind: kind, Since: req.Now, StandIn: cover.ID}
		today := reminders.Day(req.Wall)
		from, to, said := daysSaid(req, today)
		if said && from.After(today) {
			a.Since = req.Instant(from)
		}
		if said && !to.IsZero() {
			a.Until = req.Instant(to.AddDate(0, 0, 1))
		}
		if said && !to.IsZero() && to.Before(today) || said && from.Before(today) && to.IsZero() {
			return desk.Refuse("That is over already. Nothing was written."), nil
		}
		if d := req.Reading.Of(phrase.KindDuration); !said && len(d) > 0 {
			a.Until = req.Now.Add(d[0].Value.(time.Duration))
		}
		return writeAbsence(req, who, a)
	}
}

// daysSaid returns the first and the last day that a line names; the last is zero
// when only the first is known.
func daysSaid(req *desk.Request, today time.Time) (from, to time.Time, said bool) {
	if s := req.Reading.Of(phrase.KindDays); len(s) > 0 {
		d := s[0].Value.(phrase.DateSpan)
		if d.From.IsZero() { // until friday: friday is in it, who is back earlier says so
			return today, d.To, true
		}
		return d.From, d.To, true
	}
	ds := req.Reading.Of(phrase.KindDate)
	switch len(ds) {
	case 0:
		return today, today, false
	case 1:
		d := ds[0].Value.(phrase.Date).Next
		return d, d, true
	}
	return ds[0].Value.(phrase.Date).Next, ds[len(ds)-1].Value.(phrase.Date).Next, true
}

// late writes down that somebody is home at a time today.
func late(req *desk.Request) (desk.Reply, error) {
	if reply, is := bad(req); is {
		return reply, nil
	}
	who, cover, reply, ok := whoIsAway(req)
	if !ok {
		return reply, nil
	}
	when := req.Reading.Moment(req.Context(), phrase.Future)
	if !when.HasClock {
		return desk.AskBack("Home at what time? For example: Tom back at 20:00"), nil
	}
	until := req.Instant(when.Wall)
	if !until.After(req.Now) {
		return desk.Refuse(req.Say(until) + " has passed. Nothing was written."), nil
	}
	return writeAbsence(req, who, storage.Absence{Household: req.House.ID, Person: who.ID, Kind: storage.Late, Since: req.Now, Until: until, StandIn: cover.ID})
}

// writeAbsence keeps an absence and says what becomes of the bells meanwhile.
func writeAbsence(req *desk.Request, who storage.Person, a storage.Absence) (desk.Reply, error) {
	home, err := req.Home()
	if err != nil {
		return desk.Reply{}, err
	}
	said := fmt.Sprintf("%s is %s", who.Name, sayAbsence(req, home, a))
	if err := req.Record(storage.Entry{Kind: "away", About: "person:" + who.Name, Text: said}); err != nil {
		return desk.Reply{}, err
	}
	for _, old := range home.Away { // the newest word counts
		if old.Person == who.ID && overlaps(old, a) {
			if err := req.Tx.EndAbsence(old, later(a.Since, old.Since)); err != nil {
				return desk.Reply{}, err
			}
		}
	}
	if err := req.Tx.AddAbsence(a); err != nil {
		return desk.Reply{}, err
	}
	if home, err = req.Home(); err != nil {
		return desk.Reply{}, err
	}
	if !a.Since.After(req.Now) {
		if err := reminders.Reroute(req.Tx, home, who, req.Now); err != nil {
			return desk.Reply{}, err
		}
	}
	if a.StandIn != 0 {
		said += "; " + req.NameOf(a.StandIn) + " covers"
	}
	reply := desk.Answer(said + ".")
	lines, err := meanwhile(req, home, who, a)
	reply.Lines = lines
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return reply, err
}

func overlaps(a, b storage.Absence) bool {
	return (b.Until.IsZero() || a.Since.Before(b.Until)) && (a.Until.IsZero() || b.Since.Before(a.Until))
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

func sayAbsence(req *desk.Request, home reminders.House, a storage.Absence) string {
	if !a.Since.After(req.Now) {
		return home.SayAbsence(a, req.Now)
	}
	return a.Kind + " from " + req.SayDay(a.Since) + strings.TrimPrefix(home.SayAbsence(a, req.Now), a.Kind)
}

// lookAhead is how far the bells of somebody who is away with no end are told.
const lookAhead = 7 * 24 * time.Hour

// meanwhile says which bells go to whom and which wait until somebody is back.
func meanwhile(req *desk.Request, home reminders.House, who storage.Person, a storage.Absence) ([]string, error) {
	until := a.Until
	if until.IsZero() {
		until = a.Since.Add(lookAhead)
	}
	bells, err := req.Tx.ComingBells(req.House.ID)
	if err != nil {
		return nil, err
	}
	goes, waits := map[string][]string{}, []string{}
	var order []string
	for _, b := range bells {
		whom := reminders.Expand(b.Whom, req.People, req.Now)
		if !slices.ContainsFunc(whom, func(p storage.Person) bool { return p.ID == who.ID }) || b.Next.After(until) {
			continue
		}
		at := later(b.Next, a.Since)
		c := home.Call(b, b.Whom, at)
		switch {
		case reminders.IsTurn(b.Whom):
			order = gather(goes, order, "the others in turn", b.Title)
		case c.Whom != b.Whom:
			order = gather(goes, order, reminders.SayWhom(c.Whom, req.People, req.Now), b.Title)
		case len(whom) == 1:
			waits = append(waits, b.Title)
		}
	}
	var out []string
	for _, to := range order {
		out = append(out, "to "+to+" meanwhile: "+desk.List(goes[to]))
	}
	if len(waits) > 0 {
		out = append(out, "waits until "+who.Name+" is back: "+desk.List(waits))
	}
	return out, nil
}

func gather(goes map[string][]string, order []string, to, title string) []string {
	if len(goes[to]) == 0 {
		order = append(order, to)
	}
	goes[to] = append(goes[to], title)
	return order
}

// back ends an absence; what waited rings at once, in one list.
func back(req *desk.Request) (desk.Reply, error) {
	if asking(req) && !req.Direct {
		return desk.Reply{}, desk.ErrSilent
	}
	who, _, reply, ok := whoIsAway(req)
	home, err := req.Home()
	if err != nil {
		return desk.Reply{}, err
	}
	a, is := absenceOf(home, who, req.Now)
	switch {
	case !is && !req.Direct:
		return desk.Reply{}, desk.ErrSilent
	case !ok:
		return reply, nil
	case !is:
		return desk.Answer(who.Name + " is not written down as away."), nil
	}
	if err := req.Record(storage.Entry{Kind: "away", About: "person:" + who.Name, Text: who.Name + " is back"}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.EndAbsence(a, req.Now); err != nil {
		return desk.Reply{}, err
	}
	if home, err = req.Home(); err != nil {
		return desk.Reply{}, err
	}
	comes, held, err := reminders.Waiting(req.Tx, home, who, req.Now)
	reply = desk.Answer(who.Name + " is back.")
	if comes > 0 {
		reply.Lines = append(reply.Lines, desk.Plural(comes, "ring")+" waited: now.")
	}
	if held > 0 {
		reply.Lines = append(reply.Lines, desk.Plural(held, "ring")+" held back still: bells shows when.")
	}
	return reply, err
}

// absenceOf returns the absence of somebody that holds now, else the next one.
func absenceOf(home reminders.House, who storage.Person, now time.Time) (storage.Absence, bool) {
	if a, is := home.Absent(who.ID, now); is {
		return a, true
	}
	for _, a := range home.Away {
		if a.Person == who.ID {
			return a, true
		}
	}
	return storage.Absence{}, false
}
