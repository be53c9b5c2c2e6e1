package house

import (
	"fmt"
	"slices"
	"strings"
	"sync"
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
	fill := []string{"away", "is", "i'm", "am", "i", "be", "i'll", "will", "gone", "covers", "cover", "stands", "stand", "in", "instead", "mine", "does", "of", "all", "day", "whole", "only", "just"}
	return []desk.Ask{
		{
			Name: "away", Command: "away", Kinds: when, Lists: append(people, "chores"), Fill: fill, Doubt: true, Help: "somebody is away: whose bells go to whom meanwhile",
			Forms:    []string{"^away", "* away"},
			Needs:    []desk.Need{{Kind: phrase.KindDate}, {Kind: phrase.KindDays}, {Kind: phrase.KindDuration}, {Kind: phrase.KindBad}},
			Examples: []desk.Example{{Line: "away 3-10 July"}, {Line: "Tom is away from friday to sunday"}, {Line: "I'm away tomorrow, Tom covers"}},
			Plain:    plainAway, Do: away(storage.Away),
		},
		{
			Name: "away", Command: "away", Kinds: when, Lists: people, Fill: append(slices.Clone(fill), "in", "bed", "still", "feeling", "off", "too", "also", "as", "well", "now", "home", "from", "school", "no", "today", "and", "are", "both"), Help: "somebody is ill: the same until they are better",
			Forms: []string{"^ill", "* ill|sick|poorly|unwell"}, Examples: []desk.Example{{Line: "Ivo is ill"}, {Line: "Lise is poorly today"}},
			Needs: somebody, Plain: func(req *desk.Request) bool { return !asking(req) && illSaid(req) }, Do: away(storage.Ill),
		},
		{
			Name: "away", Command: "away", Kinds: when, Lists: append(people, "chores"), Fill: append(slices.Clone(fill), "next", "this", "week", "all", "the", "are", "and", "both"), Help: "somebody is away for a week of the calendar, or everybody is",
			Forms: []string{"^away * next|this week", "* away next|this week", "* away all week", "* away all|the this|next|whole week", "^we are|all all|are away", "^we're|were all away", "^we're away", "^we are away"}, Examples: []desk.Example{{Line: "Tom is away next week"}, {Line: "we are all away 10-12 March"}},
			Plain: plainWeek, Do: weekAway,
		},
		{
			Name: "away", Command: "away", Kinds: when, Lists: people, Fill: append(slices.Clone(fill), "has", "got", "with", "the", "bed", "temperature", "fever", "flu", "again", "no", "school", "work", "can't", "cant", "milk", "come", "today", "strep", "throat", "down"), Help: "a fever counts as ill",
			Forms: []string{"has|got|with * " + fevers, "* 've|'s got * " + fevers, "* " + fevers}, Needs: somebody, Examples: []desk.Example{{Line: "Ivo has a temperature"}, {Line: "Ivo is in bed with flu"}},
			Plain: func(req *desk.Request) bool {
				return !asking(req) && len(req.Reading.Terms("people"))+len(req.Reading.Terms("selves")) == 1 && req.Mentions("has", "got", "bed", "ivo's", "with", "is", "i've", "have")
			}, Do: away(storage.Ill),
		},
		{
			Name: "away", Command: "away", Kinds: []phrase.Kind{phrase.KindDate}, Lists: people, Question: true, Fill: append(slices.Clone(fill), "who", "who's", "whos", "ill", "off", "now", "today", "out", "are", "next", "this", "week"), Help: "who is away or ill, and until when",
			Forms: []string{"^who|who's|whos away|ill|sick", "^who is away|ill|sick"}, Examples: []desk.Example{{Setup: []string{"Ivo is ill"}, Line: "who is away"}},
			Do: whoAway,
		},
		{
			Name: "away", Command: "away", Kinds: when, Lists: people, Fill: append(fill, "back", "home", "on", "by", "not", "before", "until", "only"), Needs: []desk.Need{{Kind: phrase.KindDate}}, Help: "the day on which somebody who is away is back",
			Forms: []string{"* back", "* home"}, Examples: []desk.Example{{Setup: []string{"Lise is away until friday"}, Line: "Lise is back on thursday"}},
			Plain: func(req *desk.Request) bool {
				return !asking(req) && subjectSaid(req) && len(req.Reading.Of(phrase.KindDate)) == 1 && len(req.Reading.Of(phrase.KindClock)) == 0
			}, Do: backOn,
		},
		{
			Name: "away", Command: "away", Kinds: when, Lists: people, Fill: append(fill, "back", "home", "late", "running", "only", "not", "before", "then"), Help: "somebody is out and home at a time",
			Forms:    []string{"* back at|by|around", "* home at|by|around", "* late * home at|by", "* late * back at|by", "* not back|home until|before", "* late until|till", "^back|home at|by|around", "^late|running * back|home at|by"},
			Needs:    []desk.Need{{Kind: phrase.KindClock}, {Kind: phrase.KindPart}, {Kind: phrase.KindBad}},
			Examples: []desk.Example{{Line: "Tom back at 8pm"}, {Line: "Tom is late, home at 20:30"}}, Keep: true,
			Plain: plainLate, Do: late,
		},
		{
			Name: "away", Command: "away", Lists: people, Fill: append(fill, "again", "now", "home", "well", "feeling", "at", "last", "already", "early", "back", "fine", "okay", "are", "we", "we're", "all"), Help: "somebody is back",
			Forms:    []string{"* back", "* better", "* fine|okay again", "* fine|okay", "* well again", "* home again", "* home", "* not away"},
			Examples: []desk.Example{{Setup: []string{"Ivo is ill"}, Line: "Ivo is better"}, {Setup: []string{"away until friday"}, Line: "I'm back"}},
			Needs:    somebody, Do: back,
		},
		{
			Name: "away", Command: "away", Fill: []string{"we", "we're", "were", "are", "all", "everyone", "everybody", "is", "back", "home", "again", "now"}, Help: "everybody is back", Forms: []string{"^we are back|home", "^we're back|home", "^we * all back|home", "^we're all back|home"},
			Examples: []desk.Example{{Setup: []string{"we are all away until friday"}, Line: "we're all back"}}, Plain: func(req *desk.Request) bool { return !asking(req) && len(gone(req)) > 0 }, Do: back,
		},
		{
			Name: "away", Command: "away", Lists: people, Fill: fill, Help: "take back that somebody is or will be away", Forms: []string{"^away off", "* not away after all"},
			Examples: []desk.Example{{Setup: []string{"away 3-10 July"}, Line: "away off"}}, Do: back,
		},
	}
}

// fevers are illnesses by their names.
const fevers = "temperature|fever|flu|strep|chickenpox|tonsillitis|norovirus|covid"

// selves are the words by which somebody speaks of themselves.
var selves = sync.OnceValue(func() *phrase.List {
	return phrase.NewList("selves", []phrase.Entry{{Name: "self", Aliases: []string{"i", "i'm", "im", "i am", "i'll", "i'll be", "ill be", "i've", "ive"}}})
})

// subjectSaid reports that somebody is named, or that the speaker speaks of
// themselves.
func subjectSaid(req *desk.Request) bool {
	return len(req.Reading.Terms("people"))+len(req.Reading.Terms("selves")) > 0
}

// asking tells a question, a wish or what was from a report.
func asking(req *desk.Request) bool {
	first, _, _ := strings.Cut(strings.ToLower(req.Text), " ")
	switch first {
	case "is", "are", "does", "do", "did", "will", "would", "can", "has", "should":
		return true
	}
	return strings.Contains(req.Text, "?") || req.Mentions("was", "were", "isn't", "not", "never", "why", "who", "if", "when", "think", "looks", "looked", "might", "may", "unless")
}

func plainAway(req *desk.Request) bool {
	return !asking(req) && (subjectSaid(req) || req.Form == "^away") && !req.Mentions("we", "we're", "with", "they") && !nearly(req)
}

// illSaid reports a word for being ill as it is written: a slip away from "sick" stands
// "pick", and "will" from "ill".
func illSaid(req *desk.Request) bool {
	toks := req.Reading.Tokens
	for i, t := range toks { // of school, of the weather
		if t.Low == "sick" && i+1 < len(toks) && toks[i+1].Low == "of" {
			return false
		}
	}
	return req.Mentions("ill", "sick") || slices.ContainsFunc(req.Reading.Tokens, func(t phrase.Token) bool {
		return phrase.Distance(t.Low, "poorly") <= 1 || phrase.Distance(t.Low, "unwell") <= 1
	})
}

// nearly reports "5 minutes away", which is how far off somebody is.
func nearly(req *desk.Request) bool {
	return slices.ContainsFunc(req.Reading.Of(phrase.KindDuration), func(s phrase.Span) bool {
		return s.Past < len(req.Reading.Tokens) && req.Reading.Tokens[s.Past].Low == "away"
	})
}

func plainLate(req *desk.Request) bool {
	if strings.Contains(req.Text, "?") || req.Mentions("was", "were", "if", "when", "who") {
		return false
	}
	return len(req.Reading.Terms("selves")) > 0 || len(req.Reading.Terms("people")) > 0 && !req.Mentions("be") || !subjectSaid(req) && outNow(req)
}

// outNow reports that whoever speaks is down as out: "home at 9" is of them.
func outNow(req *desk.Request) bool {
	home, err := req.Home()
	return err == nil && len(req.Reading.Unknown) == 0 && slices.ContainsFunc(home.Away, func(a storage.Absence) bool {
		return a.Person == req.Who.ID && a.Kind == storage.Late && a.Covers(req.Now)
	})
}

// plainWeek takes "Ivo is away next week", and "we are all away" with its days.
func plainWeek(req *desk.Request) bool {
	if asking(req) || req.Mentions("with", "they") {
		return false
	}
	if strings.HasPrefix(req.Form, "^we") {
		return len(req.Reading.Of(phrase.KindDays))+len(req.Reading.Of(phrase.KindDate))+len(req.Reading.Of(phrase.KindDuration)) > 0 || req.Mentions("week")
	}
	return subjectSaid(req) || req.Form == "^away * next|this week"
}

// weekAway asks who "we" are where nobody says all.
func weekAway(req *desk.Request) (desk.Reply, error) {
	if strings.HasPrefix(req.Form, "^we") && !req.Mentions("all") {
		return desk.AskBack("All of you? For example: we are all away from friday to sunday, or by name: Tom is away from friday to sunday"), nil
	}
	return away(storage.Away)(req)
}

// allOfUs reports "we are all away" and "everybody is away".
func allOfUs(req *desk.Request) bool {
	return strings.HasPrefix(req.Form, "^we") || slices.ContainsFunc(req.Reading.Terms("people"), func(s phrase.Span) bool { return s.Value.(phrase.Term).Name == "@everyone" })
}

// safeSide reports that a child is said to be at home, or by a grown-up to be ill. That is
// believed whoever says it: lye work stands on it, and a keeper can say otherwise.
func safeSide(req *desk.Request, p storage.Person) bool {
	if req.Guest || !p.Child(req.Now) || req.Mentions("away", "out", "off", "gone", "left", "leaving") {
		return false
	}
	return !req.Who.Child(req.Now) || req.Mentions("home", "back", "here")
}

// whoIsAway returns the people that a line is about and the one who covers.
func whoIsAway(req *desk.Request) (who []storage.Person, cover storage.Person, reply desk.Reply, ok bool) {
	if strange := desk.UnknownWords(req.Reading.Unknown); strange != "" {
		return nil, cover, desk.Refuse(fmt.Sprintf("I know nobody called %s here. Nothing was written.", strange)), false
	}
	if allOfUs(req) {
		if !req.May() {
			return nil, cover, desk.Refuse("Only a keeper says that for others."), false
		}
		return reminders.Expand(reminders.Everyone, req.People, req.Now), cover, desk.Reply{}, true
	}
	for _, s := range req.Reading.Terms("people") {
		if s.Value.(phrase.Term).Name == "@kids" {
			who = append(who, reminders.Expand(reminders.Kids, req.People, req.Now)...)
			continue
		}
		p, known := req.Person(s.Value.(phrase.Term).Name)
		if s.Value.(phrase.Term).Name == "@me" {
			p, known = req.Who, true
		}
		switch {
		case !known:
			return nil, cover, desk.AskBack("Who? By name, for example: Ivo is ill"), false
		case !covers(req, s):
			who = append(who, p)
		case cover.ID != 0:
			return nil, cover, desk.AskBack("One stand-in at a time, please. For example: away 3-10 July, Tom covers"), false
		default:
			cover = p
		}
	}
	if len(who) == 0 || len(req.Reading.Terms("selves")) > 0 && !slices.ContainsFunc(who, func(p storage.Person) bool { return p.ID == req.Who.ID }) {
		who = append(who, req.Who)
	}
	for _, p := range who {
		if p.ID == cover.ID {
			return nil, cover, desk.AskBack("Who covers for " + p.Name + "? Somebody else, please."), false
		}
		if p.ID != req.Who.ID && !req.May() && !safeSide(req, p) && req.Who.Child(req.Now) {
			return nil, cover, desk.Refuse("Only a keeper says that for others: " + req.Keepers() + "."), false
		}
		if p.ID != req.Who.ID && !req.May() && !safeSide(req, p) {
			return nil, cover, desk.Refuse(fmt.Sprintf("Only a keeper says that for others. %s can type it: away until friday", p.Name)), false
		}
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
		a := storage.Absence{Household: req.House.ID, Kind: kind, Since: req.Now, StandIn: cover.ID}
		if reply, ok := days(req, &a); !ok {
			return reply, nil
		}
		return writeAbsences(req, who, a)
	}
}

// longest is how long an absence is believed without asking.
const longest = 120 * 24 * time.Hour

// fromPart is a part of today from which somebody is away.
var fromPart = phrase.NewPattern(`(?i)\bfrom (?:this )?(tonight|evening|afternoon|noon|lunchtime)\b`)

// partBegins is when such a part begins, late rather than early: until then they count as at
// home.
var partBegins = map[string]time.Duration{"noon": 12 * time.Hour, "lunchtime": 13 * time.Hour, "afternoon": 14 * time.Hour, "evening": 19 * time.Hour, "tonight": 20 * time.Hour}

// days reads from when until when somebody is away.
func days(req *desk.Request, a *storage.Absence) (desk.Reply, bool) {
	today := reminders.Day(req.Wall)
	dates, spans, lengths := req.Reading.Of(phrase.KindDate), req.Reading.Of(phrase.KindDays), req.Reading.Of(phrase.KindDuration)
	from, to := today, time.Time{}
	switch {
	case len(spans) > 1 || len(dates) > 1 || len(spans) > 0 && len(dates) > 0:
		return desk.AskBack("From when until when? For example: away from friday to sunday, or two lines for two times."), false
	case len(spans) == 1:
		if d := spans[0].Value.(phrase.DateSpan); d.From.IsZero() {
			to = d.To // until friday: friday is in it, who is back earlier says so
		} else {
			from, to = d.From, d.To
		}
	case len(dates) == 1:
		from = dates[0].Value.(phrase.Date).Next
		if to = from; req.Mentions("from", "since", "starting") {
			to = time.Time{}
		}
	case req.Mentions("week") && len(lengths) == 0:
		from, to = weekSaid(req, today)
	}
	if from.After(today) {
		a.Since = req.Instant(from)
	} else if m := fromPart.FindStringSubmatch(req.Text); m != nil { // at home until then
		a.Since = later(req.Now, req.Instant(today.Add(partBegins[strings.ToLower(m[1])])))
	}
	if !to.IsZero() {
		a.Until = req.Instant(to.AddDate(0, 0, 1))
	}
	if len(lengths) == 1 && to.IsZero() {
		a.Until = a.Since.Add(lengths[0].Value.(time.Duration))
	}
	switch {
	case from.Before(today) && len(spans) == 0 || !to.IsZero() && to.Before(today):
		return desk.Refuse("That is over already. Nothing was written."), false
	case a.Until.IsZero() && (a.Kind == storage.Away || from.After(today)):
		return desk.AskBack("Until when? For example: away from friday to sunday, away until friday"), false
	case a.Until.Sub(a.Since) > longest:
		return desk.AskBack(fmt.Sprintf("Until %s? Say it with the first and the last day, in two parts if it is that long.", reminders.SayDay(to, req.Wall, req.House.DayFirst))), false
	}
	return desk.Reply{}, true
}

// weekSaid is the rest of this week, or next week from Monday.
func weekSaid(req *desk.Request, today time.Time) (from, to time.Time) {
	monday := today.AddDate(0, 0, -(int(today.Weekday())+6)%7)
	if req.Mentions("next") {
		return monday.AddDate(0, 0, 7), monday.AddDate(0, 0, 13)
	}
	return today, monday.AddDate(0, 0, 6)
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
	if leavesLater(req, who, when.Wall) {
		return desk.Reply{}, desk.ErrSilent
	}
	who, here, err := stillOut(req, who)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(who) == 0 {
		return desk.Answer(fmt.Sprintf("%s, as was said before. Nothing was written.", herePhrase(here))), nil
	}
	if !until.After(req.Now) {
		return desk.Refuse(req.Say(until) + " has passed. Nothing was written."), nil
	}
	reply, err = writeAbsences(req, who, storage.Absence{Household: req.House.ID, Kind: storage.Late, Since: req.Now, Until: until, StandIn: cover.ID})
	if err == nil && len(here) > 0 {
		reply.Lines = append([]string{herePhrase(here) + ", as was said before."}, reply.Lines...)
	}
	return reply, err
}

// stillOut parts the children whom a line names together, as "the kids", into those who may
// be out and those who came home today: these are not sent out again with the others.
func stillOut(req *desk.Request, who []storage.Person) (out, here []storage.Person, err error) {
	if len(who) < 2 || !slices.ContainsFunc(req.Reading.Terms("people"), func(s phrase.Span) bool { return s.Value.(phrase.Term).Name == "@kids" }) {
		return who, nil, nil
	}
	today := reminders.Day(req.Wall)
	past, err := req.Tx.Absences(req.House.ID, req.Instant(today))
	if err != nil {
		return nil, nil, err
	}
	words, err := req.Tx.DayWords(req.House.ID, today, today)
	if err != nil {
		return nil, nil, err
	}
	for _, p := range who {
		came := slices.ContainsFunc(past, func(a storage.Absence) bool {
			return a.Person == p.ID && a.Kind != storage.Ill && !a.Until.IsZero() && !a.Until.After(req.Now)
		})
		told := slices.ContainsFunc(words, func(w storage.DayWord) bool { return w.Child() == p.Name })
		still := slices.ContainsFunc(past, func(a storage.Absence) bool { return a.Person == p.ID && a.Kind != storage.Ill && a.Covers(req.Now) })
		if (came || told) && !still {
			here = append(here, p)
			continue
		}
		out = append(out, p)
	}
	return out, here, nil
}

// herePhrase tells who is at home: "Lise is at home".
func herePhrase(who []storage.Person) string { return beOut(who) + " at home" }

// leavesLater reports children who are still at home, and go to school or elsewhere with the
// others before the time at which they are to be home: they come home early, and are not
// out until then.
func leavesLater(req *desk.Request, who []storage.Person, until time.Time) bool {
	today := reminders.Day(req.Wall)
	blocks, err := req.Tx.Blocks(req.House.ID)
	if err != nil || !reminders.Day(until).Equal(today) {
		return false
	}
	if s := req.House.School; s.On && !req.House.NoSchool.Has(today) {
		school := storage.Block{First: s.From, Past: s.To, Days: storage.EveryDay, Whom: reminders.Kids}
		if s.Weekdays {
			school.Days = storage.Working
		}
		blocks = append(blocks, school)
	}
	return slices.ContainsFunc(blocks, func(b storage.Block) bool {
		first, past := reminders.AtMinutes(today, b.First), reminders.AtMinutes(today, b.Past)
		if !b.Days.Has(today.Weekday()) || !first.After(req.Wall) || !until.After(first) || until.After(past) {
			return false
		}
		return slices.ContainsFunc(reminders.Expand(b.Whom, req.People, req.Now), func(p storage.Person) bool {
			return p.Child(req.Now) && slices.ContainsFunc(who, func(w storage.Person) bool { return w.ID == p.ID })
		})
	})
}

// writeAbsences keeps the absence of each and says what becomes of their bells
// meanwhile.
func writeAbsences(req *desk.Request, who []storage.Person, a storage.Absence) (desk.Reply, error) {
	var names []string
	for _, p := range who {
		names = append(names, p.Name)
	}
	home, err := req.Home()
	if err != nil {
		return desk.Reply{}, err
	}
	is := " is "
	if len(who) > 1 {
		is = " are "
	}
	said := desk.List(names) + is + sayAbsence(req, home, a)
	if a.StandIn != 0 {
		said += "; " + req.NameOf(a.StandIn) + " covers"
	}
	if err := req.Record(storage.Entry{Kind: "away", About: "person:" + who[0].Name, Text: said}); err != nil {
		return desk.Reply{}, err
	}
	for _, p := range who {
		a.Person = p.ID
		if err := keepAbsence(req, home, a); err != nil {
			return desk.Reply{}, err
		}
	}
	if home, err = req.Home(); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(said + ".")
	for _, p := range who {
		if !a.Since.After(req.Now) {
			if err := reminders.Reroute(req.Tx, home, p, req.Now); err != nil {
				return desk.Reply{}, err
			}
		}
		if allOfUs(req) {
			continue // nobody is left to tell of
		}
		lines, err := meanwhile(req, home, p, a)
		if err != nil {
			return desk.Reply{}, err
		}
		reply.Lines = append(reply.Lines, lines...)
	}
	if a.StandIn != 0 && !slices.ContainsFunc(reply.Lines, func(l string) bool { return strings.HasPrefix(l, "to "+req.NameOf(a.StandIn)+" ") }) {
		reply.Lines = append(reply.Lines, fmt.Sprintf("Nothing of it goes to %s.", req.NameOf(a.StandIn)))
	}
	if allOfUs(req) && a.Kind == storage.Ill {
		reply.Lines = []string{"Animals, fire and medicine ring on for the keepers: ask somebody to come in."}
	} else if allOfUs(req) {
		reply.Lines = []string{"Nobody is here then. Animals, fire and medicine ring on for the keepers: ask somebody to come in."}
	}
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return req.Roster.Relay(req, reply)
}

// keepAbsence writes an absence down. It takes the place of one of the same kind,
// unless it lies wholly within it: then it only counts first.
func keepAbsence(req *desk.Request, home reminders.House, a storage.Absence) error {
	for _, old := range home.Away {
		if old.Person != a.Person || old.Kind != a.Kind || !overlaps(old, a) {
			continue
		}
		inside := a.Since.After(old.Since) && a.Since.After(req.Now) && !a.Until.IsZero() && (old.Until.IsZero() || a.Until.Before(old.Until))
		if inside {
			continue
		}
		if err := req.Tx.EndAbsence(old, later(a.Since, old.Since)); err != nil {
			return err
		}
	}
	return req.Tx.AddAbsence(a)
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
	if !a.Until.IsZero() && req.WallOf(a.Until).Equal(reminders.Day(req.WallOf(a.Since)).AddDate(0, 0, 1)) && a.Kind != storage.Late {
		return a.Kind + " on " + req.SayDay(a.Since)
	}
	if a.Kind == storage.Late {
		return "out from " + req.Say(a.Since) + strings.TrimPrefix(home.SayAbsence(a, req.Now), "out")
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
		at, err := home.FirstFrom(b, a.Since)
		if err != nil {
			return nil, err
		}
		if !slices.ContainsFunc(whom, func(p storage.Person) bool { return p.ID == who.ID }) || at.IsZero() || at.After(until) {
			continue
		}
		c := home.Call(b, b.Whom, at)
		switch {
		case reminders.OneOf(b.Whom) && c.Whom == b.Whom && !c.Open:
			order = gather(goes, order, names(c.To)+" by turns", b.Title)
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

func names(people []storage.Person) string {
	var out []string
	for _, p := range people {
		out = append(out, p.Name)
	}
	return desk.List(out)
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
	if strings.HasPrefix(req.Form, "^we") {
		if who = gone(req); !req.May() {
			who, ok = goneAlong(req, home), true
		}
	}
	fine := req.Mentions("fine", "okay")
	ended := slices.DeleteFunc(slices.Clone(home.Away), func(a storage.Absence) bool {
		about := slices.ContainsFunc(who, func(p storage.Person) bool { return p.ID == a.Person })
		return !about || fine && a.Kind != storage.Ill || !a.Covers(req.Now) && !req.Mentions("off")
	})
	switch {
	case ok && len(ended) == 0 && !req.Direct:
		return desk.Reply{}, desk.ErrSilent
	case !ok:
		return reply, nil
	case len(ended) == 0:
		return desk.Answer("Nobody of those is away now."), nil
	}
	if err := req.Record(storage.Entry{Kind: "away", About: "person:" + who[0].Name, Text: names(who) + " back"}); err != nil {
		return desk.Reply{}, err
	}
	for _, a := range ended {
		if err := req.Tx.EndAbsence(a, req.Now); err != nil {
			return desk.Reply{}, err
		}
	}
	if home, err = req.Home(); err != nil {
		return desk.Reply{}, err
	}
	reply = desk.Answer(names(who) + " is back.")
	if len(who) > 1 {
		reply.Head = names(who) + " are back."
	}
	for _, p := range who {
		lines, err := waited(req, home, p)
		if err != nil {
			return desk.Reply{}, err
		}
		reply.Lines = append(reply.Lines, lines...)
	}
	return req.Roster.Relay(req, reply)
}

// gone are the people who are away or out now.
func gone(req *desk.Request) []storage.Person {
	home, err := req.Home()
	if err != nil {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(req.People), func(p storage.Person) bool {
		a, is := home.Absent(p.ID, req.Now)
		return p.Gone || !is || a.Kind == storage.Ill
	})
}

// goneAlong are whoever speaks and the children who are away with them: "we are back" of one
// who is no keeper counts for these, so that none is taken to be elsewhere who stands in the
// kitchen.
func goneAlong(req *desk.Request, home reminders.House) []storage.Person {
	own, is := home.Absent(req.Who.ID, req.Now)
	if !is || own.Kind == storage.Ill {
		return nil
	}
	return slices.DeleteFunc(gone(req), func(p storage.Person) bool {
		a, _ := home.Absent(p.ID, req.Now)
		along := p.Child(req.Now) && a.Kind == own.Kind && a.Until.Equal(own.Until)
		return p.ID != req.Who.ID && !along
	})
}

// backOn sets the day on which somebody who is away is there again, earlier or later than
// was written.
func backOn(req *desk.Request) (desk.Reply, error) {
	dates := req.Reading.Of(phrase.KindDate)
	if len(dates) != 1 {
		return desk.Reply{}, desk.ErrSilent
	}
	who, _, reply, ok := whoIsAway(req)
	if !ok {
		return reply, nil
	}
	home, err := req.Home()
	if err != nil {
		return desk.Reply{}, err
	}
	day := req.Instant(dates[0].Value.(phrase.Date).Next)
	i := slices.IndexFunc(home.Away, func(a storage.Absence) bool {
		return a.Kind != storage.Late && a.Since.Before(day) && slices.ContainsFunc(who, func(p storage.Person) bool { return p.ID == a.Person })
	})
	if i < 0 || len(who) != 1 || !day.After(req.Now) {
		return desk.Reply{}, desk.ErrSilent
	}
	old := home.Away[i]
	said := fmt.Sprintf("%s is back on %s", who[0].Name, req.SayDay(day))
	if old.Until.Equal(day) {
		return desk.Answer(said + ", as written."), nil
	}
	if err := req.Record(storage.Entry{Kind: "away", About: "person:" + who[0].Name, Text: said}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.EndAbsence(old, day); err != nil {
		return desk.Reply{}, err
	}
	if who[0].Child(req.Now) { // nobody said at what hour
		word := storage.ChildHome(dates[0].Value.(phrase.Date).Next, who[0].Name)
		if err := req.Tx.AddDayWord(req.House.ID, word); err != nil {
			return desk.Reply{}, err
		}
	}
	reply = desk.Answer(said+".", fmt.Sprintf("%s until the end of %s.", desk.Upper(old.Kind), req.SayDay(day.Add(-time.Hour))))
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return req.Roster.Relay(req, reply)
}

// soonAway is how far ahead it is told who will be away.
const soonAway = 14 * 24 * time.Hour

// whoAway answers who is away or ill, and until when, those of the next two weeks too.
func whoAway(req *desk.Request) (desk.Reply, error) {
	home, err := req.Home()
	if err != nil {
		return desk.Reply{}, err
	}
	var lines []string
	week := req.Mentions("week")
	from, to := weekSaid(req, reminders.Day(req.Wall))
	of := storage.Absence{Since: req.Instant(from), Until: req.Instant(to.AddDate(0, 0, 1))}
	for _, a := range home.Away {
		if week && overlaps(a, of) || !week && !a.Since.After(req.Now.Add(soonAway)) {
			lines = append(lines, fmt.Sprintf("%s is %s.", req.NameOf(a.Person), sayAbsence(req, home, a)))
		}
	}
	if len(lines) > 0 {
		return desk.Answer(lines[0], lines[1:]...), nil
	}
	if week {
		return desk.Answer(fmt.Sprintf("Nobody is down as away or ill from %s to %s.", req.SayDay(of.Since), req.SayDay(req.Instant(to)))), nil
	}
	return desk.Answer("Nobody is down as away or ill."), nil
}

// waited says what waited for somebody who is back, and when they are away next.
func waited(req *desk.Request, home reminders.House, who storage.Person) ([]string, error) {
	comes, held, err := reminders.Waiting(req.Tx, home, who, req.Now)
	var out []string
	if comes > 0 {
		out = append(out, desk.Plural(comes, "ring")+" waited: now.")
	}
	if held > 0 {
		out = append(out, desk.Plural(held, "ring")+" held back still: bells shows when.")
	}
	for _, a := range home.Away {
		if a.Person == who.ID {
			out = append(out, fmt.Sprintf("%s is %s as written before; away off takes that back.", who.Name, sayAbsence(req, home, a)))
		}
	}
	return out, err
}
