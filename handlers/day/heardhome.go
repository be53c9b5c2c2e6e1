package day

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

// What a household says in passing of a child that is at home, and of school that is off or
// not as always. Lye work stands on where the children are, so a line of which only half is
// understood is asked and not passed over.

func heardAsks() []desk.Ask {
	kinds := []phrase.Kind{phrase.KindDate, phrase.KindDays, phrase.KindPart, phrase.KindDuration, phrase.KindClock}
	school := []string{"day school weekdays 9:30-12:30 kids"}
	ask := func(help string, forms []string, plain func(*desk.Request) bool, do func(*desk.Request) (desk.Reply, error), examples ...desk.Example) desk.Ask {
		return desk.Ask{Name: "day", Command: "block", Text: true, Keep: true, Kinds: kinds, Lists: []string{"people", "selves"}, Help: help, Forms: forms, Examples: examples, Plain: plain, Do: do}
	}
	of := func(line string) desk.Example { return desk.Example{Setup: school, Line: line} }
	return []desk.Ask{
		ask("school is off: closed, a holiday, a strike", []string{"school|school's|schools|nursery|lessons", "half term", "half-term", "holidays|break|inset|strike|flooded|floods", "snowed in", "training day", "workday", "professional|pd day", "last day", "kids|children off"}, plainHeardOff, heardOff, of("school is closed today"), of("half term next week")),
		ask("school begins late or ends early on a day", []string{"school|school's|schools|nursery|lessons|class", "early release|dismissal", "delay|delayed", "half|minimum day", "gets|get|goes|only|finishes|finish|out", "pick up", "pickup|collect|fetch|taking|bringing|collecting|fetching|picking", "back by|at"}, plainHeardHours, heardHours, of("school is only till 11 today"), of("half day at school tomorrow, till 11")),
		ask("a child is at home on a day; what is half understood is asked", homeForms, func(req *desk.Request) bool { return plainHeardHome(req) || plainHalfHeard(req) }, heardHome, of("Lise is home today"), of("Pim's not well")),
		nobodyHomeAsk(),
	}
}

var homeForms = []string{
	"home|ill|sick|poorly|unwell|well|back|off|fever|temperature|flu|chickenpox|ache|bug|vomiting|headache", "threw|throwing|throws up", "not|isn't|isnt|aren't|arent|won't|wont", "picked|picking|pick|coming|fetching|collecting|keeping|kept|staying|stays",
	"school|school's|schools|holidays|inset|strike", "half term", "half-term", "missed|misses", "return|returns|returning", "bunking|skiving|suspended|excluded|expelled", "dentist|dentist's|doctor|doctor's|doctors|hospital|orthodontist|orthodontist's|optician|optician's", "heating|water|electricity|power|teacher|teachers|staff", "isolating|isolation|quarantine", "study|exam leave", "home ed|schooling|learning", "remote|distance|online learning|lessons|school", "school|lessons|learning online", "feel|hurts|asleep|sofa|upstairs|great|right|himself|herself|sore|coughing|nits|rash|conjunctivitis|tonsillitis|impetigo", "up all night", "under the weather", "pink eye", "hand foot and mouth", "late|later|instead", "finished early", "let out early", "closing|shutting", "for the day", "school run", "flooded|floods|snow|ice|icy|stuck", "can't|cant|cannot get", "training day", "power cut", "going|goes|in late", "to|in school", "starts|start", "here", "bus", "get him|her|them", "fell|hurt|refuses|refusing", "in bed", "with me",
}

// heard is a line in plain words: its children, and its words with the children, days and
// times of day left out.
type heard struct {
	kids  []storage.Person
	words []string
	text  string // the words, with a blank around each
}

func hear(req *desk.Request) heard {
	var h heard
	var ids []int64
	covered := func(i int, kinds ...phrase.Kind) *phrase.Span {
		for k, s := range req.Reading.Spans {
			if i >= s.First && i < s.Past && slices.Contains(kinds, s.Kind) && (!s.Near || s.Kind != phrase.KindTerm) {
				return &req.Reading.Spans[k]
			}
		}
		return nil
	}
	said := daysIn(req)
	for i, t := range req.Reading.Tokens {
		if t.Kind != phrase.Word || said.Covered[i] {
			continue
		}
		s := covered(i, phrase.KindTerm)
		switch {
		case s == nil:
			h.words = append(h.words, strings.Fields(strings.ReplaceAll(t.Low, "-", " "))...)
		default:
			named := childrenOf(req, s.Value.(phrase.Term))
			for _, p := range named {
				if !slices.Contains(ids, p.ID) {
					ids, h.kids = append(ids, p.ID), append(h.kids, p)
				}
			}
			if len(named) == 0 {
				h.words = append(h.words, "somebody")
			}
		}
	}
	h.text = " " + strings.Join(h.words, " ") + " "
	all := children(req)
	if len(h.kids) == 0 && h.has("all three", "all of them", "all home") && len(all) > 0 {
		h.kids = all
	}
	if len(h.kids) == 0 && req.Who.Child(req.Now) && (h.only(heardFill, sickFill, homeFill) || h.has("we", "we're")) && !h.has("somebody") && h.has(ownWords...) {
		h.kids = []storage.Person{req.Who}
	}
	if len(h.kids) == 0 && said.Said() && h.has("we're back", "we are back", "we'll be back", "we're home", "we are home", "we'll be home", "we're coming home", "we are coming home") {
		h.kids = slices.DeleteFunc(children(req), func(p storage.Person) bool { return !awayToday(req, []storage.Person{p}) })
	}
	return h
}

// ownWords are what a child says of itself without a word for itself.
var ownWords = []string{"back home", "home early", "back early", "home now", "home too", "sent home", "got sent home", "finished early", "let out early", "out early", "bus home", "train home", "coming home", "my tummy hurts", "my head hurts", "my throat hurts", "my belly hurts", "my ear hurts", "tummy hurts", "feel sick", "feel ill"}

// childrenOf are the children whom a word for people names.
func childrenOf(req *desk.Request, t phrase.Term) []storage.Person {
	switch t.Name {
	case "@kids", "@everyone":
		return children(req)
	case "@me", "self":
		if req.Who.Child(req.Now) {
			return []storage.Person{req.Who}
		}
		return nil
	}
	if p, ok := req.Person(t.Name); ok && p.Child(req.Now) {
		return []storage.Person{p}
	}
	return nil
}

// has reports one of some words, or runs of words.
func (h heard) has(some ...string) bool {
	return slices.ContainsFunc(some, func(w string) bool { return strings.Contains(h.text, " "+w+" ") })
}

// only reports that a line holds no words but those of some lists.
func (h heard) only(lists ...[]string) bool {
	return !slices.ContainsFunc(h.words, func(w string) bool {
		return !slices.ContainsFunc(lists, func(list []string) bool { return slices.Contains(list, w) })
	})
}

// Words of such lines.
var (
	heardFill = strings.Fields("the a an is are am be been being was has have had got with and so it's its it at on of for to in all day today this that's there there's we we're were i i'm i'll he he's she she's they they're him her them no now already just please sorry again because still only next week off too from until till morning afternoon evening night whole early three somebody both nobody anywhere going am pm")
	sickWords = []string{"ill", "sick", "poorly", "unwell", "not well", "not very well", "not feeling well", "don't feel well", "dont feel well", "don't feel very well", "feel sick", "feel ill", "feel poorly", "tummy hurts", "head hurts", "throat hurts", "belly hurts", "ear hurts", "fever", "temperature", "flu", "chickenpox", "chicken pox", "threw up", "throwing up", "throws up", "vomiting", "tummy ache", "stomach ache", "tummy bug", "stomach bug", "bug", "headache", "sore throat", "covid", "measles"}
	sickFill  = strings.Fields("ill sick poorly unwell not well very feeling fever temperature flu chickenpox chicken pox threw throwing throws up vomiting tummy stomach ache bug headache sore throat covid measles cold cough high bad don't dont feel hurts my head belly ear really so")
	homeWords = []string{
		"home", "return", "returns", "returning", "finished early", "let out early", "out early", "off school", "off today", "off", "staying", "stays", "stay", "keeping", "kept", "picked up", "picking up", "picking", "picked", "coming to get", "fetching", "collecting", "back early", "back already", "not going", "isn't going", "aren't going", "won't be going", "won't be in", "wont be going", "wont be in", "won't go",
		"not in school", "not at school", "isn't in school", "isn't at school", "isnt at school", "aren't at school", "arent at school", "aren't in school", "not in", "no school", "missed the bus", "missed bus", "missed his bus", "missed her bus", "missed their bus", "missed the school bus", "missed the train", "bunking", "skiving", "suspended", "excluded", "expelled",
	}
	homeFill = strings.Fields("home after return returns returning we'll school school's off staying stays stay keeping keep kept picked picking up coming get fetching collecting collect back not isn't isnt aren't arent won't wont be go going in sent rang called phoned nursery no missed bus train finished early let already his her their bunking skiving suspended excluded expelled")
	offWords = []string{"closed", "shut", "off", "cancelled", "canceled", "called off", "no school", "no nursery", "no lessons", "inset day", "training day", "teacher workday", "teachers workday", "professional day", "pd day", "strike", "half term", "holidays", "holiday", "spring break", "winter break", "snowed in", "snow day", "out for"}
	offFill  = strings.Fields("school school's schools nursery lessons closed shut off called cancelled canceled inset training teacher teachers strike half term holidays holiday break spring winter summer easter christmas snow snowed ice icy floods flood flooded flooding storm workday professional pd out boiler heating broke broken burst pipe power cut water bus isn't not running begins begin starts start again back home")
	hourFill = strings.Fields("school school's schools nursery lessons class day half minimum get ends end finishes finish finished closes closing shuts shutting over out gets lets goes go release dismissal dismissed delay hour hours delayed o'clock noon midday by late later start starts begin begins open opens pick pickup collect fetch taking take bringing bring collecting fetching picking will back up starting opening instead")
	lessons  = []string{"school", "school's", "schools", "nursery", "lessons", "class"}
)

// talkAbout are turns of speech that name school or illness and mean neither.
var talkAbout = []string{"sick of", "great at", "great in", "great with", "ill at ease", "off limits", "off to", "would", "could", "should", "used to", "when", "if", "was never", "yesterday", "home made", "homework", "left", "forgot", "back to school", "back at school", "back in school", "over school", "think", "says", "said", "wants", "hates", "loves", "way home", "walk home", "walked home", "home time", "take home", "brought", "brings", "bringing", "took home", "way off", "kept busy", "the hook", "can't come", "cant come", "report", "a con", "to visitors", "fever free", "free of", "home alone", "no school like", "i wish", "wish", "once", "yet", "feels", "plans", "home and dry", "off milk", "off his", "off her", "off their", "old school", "my school", "closing down", "on my phone", "can't come soon", "cant come soon", "report", "jumper", "is a con", "off the hook"}

// schoolThings are what is called after school and is not school.
var schoolThings = strings.Fields("fair dinner dinners lunch lunches meals trip play concert uniform shoes photo photos report bag bags book books run gate gates roof choir band nurse board fees table pond garden kitchen milk disco bell")

// ofSchool reports a word for school that is not the beginning of another thing's name.
func (h heard) ofSchool() bool {
	for i, w := range h.words {
		if slices.Contains(lessons, w) && (i+1 == len(h.words) || !slices.Contains(schoolThings, h.words[i+1])) {
			return true
		}
	}
	return false
}

// notThat reports a line that takes back what its words seem to say: "Lise is not ill".
func (h heard) notThat() bool {
	no := h.has("not", "isn't", "aren't", "never", "won't", "wont")
	return no && !h.has("isn't great", "not great", "isn't right", "not right", "not himself", "not herself", "not well", "not very well", "not feeling", "not going", "isn't going", "aren't going", "not in", "isn't in", "aren't in", "not at", "not running", "isn't running", "isn't well", "isn't at", "aren't at", "never came", "not come", "won't be in", "won't be going", "won't go", "wont be in", "wont be going")
}

// stateWords are further words for how somebody is, and no things of theirs.
var stateWords = strings.Fields("asleep upstairs coughing isolating helping here")

// ofAThing reports a line about what belongs to a child: "Pim's hat is at home". "Pim's not
// well" is of the child.
func ofAThing(req *desk.Request) bool {
	toks := req.Reading.Tokens
	known := slices.Concat(heardFill, sickFill, homeFill, offFill, stateWords)
	return slices.ContainsFunc(req.Reading.Terms("people"), func(s phrase.Span) bool {
		owns := strings.HasSuffix(strings.ToLower(s.Text), "'s") || s.Past < len(toks) && toks[s.Past].Low == "'s"
		at := s.Past
		if at < len(toks) && toks[at].Low == "'s" {
			at++
		}
		return owns && at < len(toks) && toks[at].Kind == phrase.Word && !slices.Contains(known, toks[at].Low)
	})
}

// elsewhereOn are the blocks of a day that take children elsewhere and are not over.
func elsewhereOn(req *desk.Request, date time.Time) []stretch {
	d, err := dayOf(req, date)
	if err != nil {
		return nil
	}
	kids := idsOf(req, reminders.Kids)
	return slices.DeleteFunc(d.blocks, func(b stretch) bool {
		return !isAway(b.Block) || !b.to.After(req.Wall) || !slices.ContainsFunc(b.who, func(id int64) bool { return slices.Contains(kids, id) })
	})
}

// lessonsBlock is the block of school, or the one that a line names.
func lessonsBlock(req *desk.Request) *storage.Block {
	if b := namedIn(req); b != nil && isLessons(*b) {
		return b
	}
	all, err := blocksOf(req)
	if err != nil {
		return nil
	}
	for i, b := range all {
		if isLessons(b) && slices.ContainsFunc(idsOf(req, b.Whom), func(id int64) bool { return slices.Contains(idsOf(req, reminders.Kids), id) }) {
			return &all[i]
		}
	}
	return nil
}

// plainHeardOff takes "school is closed", "half term next week", "kids off today".
func plainHeardOff(req *desk.Request) bool {
	h := hear(req)
	b := lessonsBlock(req)
	if b == nil || asks(req) || saidOn(req) || h.has("school bus", "the bus is off") || h.notThat() || h.has(talkAbout...) || h.has(sickWords...) || h.has("somebody") || !h.only(heardFill, offFill) {
		return false
	}
	if outDays(req, h) || startsBack(req, h) || daysIn(req).Break && h.has(lessons...) {
		return true
	}
	if !h.has(offWords...) {
		return false
	}
	some := len(h.kids) > 0 && len(h.kids) < len(idsOf(req, b.Whom))
	breaks := h.has("half term", "holidays", "holiday", "spring break", "winter break", "inset day", "training day", "teacher workday", "teachers workday", "professional day", "pd day", "snowed in", "strike")
	return !some && (breaks || h.has(lessons...) || h.has("off") && len(h.kids) > 0 && daySaid(req)) && !(h.has("snowed in") && len(h.words) < 5 && !h.has("nobody"))
}

// outDays takes "school's out from wednesday to friday", and no hour at which it is out.
func outDays(req *desk.Request, h heard) bool {
	_, hour := hourHeard(req)
	return h.has("school's out", "schools out", "school is out") && len(h.kids) == 0 && len(daysIn(req).Days) > 1 && !hour
}

// startsBack takes "school starts back on the 12th of april".
func startsBack(req *desk.Request, h heard) bool {
	return h.has("starts back", "start back", "begins again", "starts again") && h.has(lessons...) && len(h.kids) == 0 && len(daysIn(req).Days) == 1
}

// offUntil asks whether school is off until the day on which it starts again.
func offUntil(req *desk.Request, b storage.Block) desk.Reply {
	back := daysIn(req).Days[0]
	today := reminders.Day(req.Wall)
	if !back.After(today) {
		return desk.AskBack(fmt.Sprintf("Is %s on today? For example: %s is on today, or: %s is off today", b.Title, b.Title, b.Title))
	}
	off := daysFromTo(today, back.AddDate(0, 0, -1))
	reply := desk.AskBack(fmt.Sprintf("From when is %s off until then? Nothing was changed. For example: %s is off from %s to %s", b.Title, b.Title, typedDay(req, today), typedDay(req, back.AddDate(0, 0, -1))),
		desk.Labelled("Off from today", b.Title+" is off on "+typedDays(off)))
	reply.Begun = b.Title + " is off"
	return reply
}

// heardOff takes school off on the days that a line names.
func heardOff(req *desk.Request) (desk.Reply, error) {
	if !plainHeardOff(req) {
		return desk.Reply{}, desk.ErrSilent
	}
	h := hear(req)
	b := lessonsBlock(req)
	if startsBack(req, h) {
		return offUntil(req, *b), nil
	}
	said := daysIn(req)
	runs := h.has("half term", "holidays", "out for", "spring break", "winter break", "easter break", "christmas break")
	if runs && (!said.Said() || len(said.Days) == 1 && h.has("start", "starts", "begin", "begins")) {
		reply := desk.AskBack(fmt.Sprintf("From when until when is %s off? For example: %s is off from 8 to 12 March", b.Title, b.Title))
		if reply.Begun = b.Title + " is off"; len(said.Days) == 1 {
			reply.Begun += " from " + typedDay(req, said.Days[0])
		}
		return reply, nil
	}
	days, reply, ok := settleDays(req, b.Title+" is off")
	if !ok {
		return reply, nil
	}
	if !req.May() {
		return believed(req, *b)
	}
	return changeDays(req, *b, days, fmt.Sprintf("%s is off, %s", b.Title, sayDays(req, days)), storage.DayWord{Kind: storage.DayOff})
}

var (
	endSaid  = phrase.NewPattern(`(?i)\b(?:till|until|to|at|by)\s+(\d{1,2})(?:[:.](\d{2}))?\s*(am|pm)?\b`)
	isHour   = phrase.NewPattern(`(?i)\bis\s+(\d{1,2})(?:[:.](\d{2}))?\s*(am|pm)?\b`)
	bareTime = phrase.NewPattern(`(?i)\b(\d{1,2})[:.](\d{2})\s*(am|pm)?\b`)
)

// plainHeardHours takes "school is only till 11 today" and "Lise only goes till 11".
func plainHeardHours(req *desk.Request) bool {
	h := hear(req)
	about := h.has(talkAbout...) && !h.fetched()
	if lessonsBlock(req) == nil || asks(req) || lasting.MatchString(req.Text) || h.notThat() || about || h.has("off", "no") || !h.only(heardFill, hourFill, strings.Fields("one two three four five six seven eight nine ten eleven twelve quarter past half")) {
		return false
	}
	if h.has("late for", "was late", "late again") || h.fetched() && !fetchedEarly(req, h) {
		return false
	}
	early := h.fetched() || h.has("opens", "opening", "starting", "open at", "instead of") || h.has("late", "later") && len(h.kids) == 0 || h.has("till", "until", "ends", "end", "finishes", "finish", "closes", "closing", "shuts", "over", "release", "dismissal", "dismissed", "half day", "minimum day", "gets out", "get out", "lets out", "out at", "delay", "delayed") || h.has("only") && h.has("morning", "afternoon") || h.has("school", "nursery", "lessons") && spanOf(req.Text).said && daySaid(req)
	return early && (len(h.kids) > 0 || h.has(lessons...) || h.has("release", "dismissal", "delay", "minimum day", "pick up", "pickup"))
}

// fetched reports words for children who are fetched, or brought home.
func (h heard) fetched() bool {
	brought := len(h.kids) > 0 && h.has("back") && h.has("bringing", "have", "having", "back by")
	return brought || h.has("collect", "fetch", "pick up", "pickup", "collecting", "fetching", "picking up") || h.has("out of school", "out of nursery")
}

// fetchedEarly reports that a line has an hour, and that it is before the children would
// come home anyhow.
func fetchedEarly(req *desk.Request, h heard) bool {
	kids := h.kids
	if len(kids) == 0 {
		kids = children(req)
	}
	at, ok := hourHeard(req)
	if !ok || !takesFrom(req, kids) {
		return false
	}
	b := lessonsBlock(req)
	return at > b.First && at < b.Past || awayToday(req, kids)
}

// hourHeard is the hour that a line has.
func hourHeard(req *desk.Request) (storage.Minutes, bool) {
	text := figures(req.Text)
	for _, p := range []*phrase.Pattern{endSaid, bareTime, isHour} {
		if m := p.FindStringSubmatch(text); m != nil {
			return minutes(m[1], m[2], strings.ToLower(m[3]), false)
		}
	}
	return 0, false
}

// heardHours has school begin late or end early on a day; where only some of the children
// do, they count as at home that day.
func heardHours(req *desk.Request) (desk.Reply, error) {
	if !plainHeardHours(req) {
		return desk.Reply{}, desk.ErrSilent
	}
	h := hear(req)
	b := lessonsBlock(req)
	if len(h.kids) > 0 && (len(h.kids) < len(idsOf(req, b.Whom)) || awayToday(req, h.kids)) {
		return countHome(req, h.kids, 0)
	}
	if !req.May() {
		return believed(req, *b)
	}
	is, ok := hoursHeard(req, h, *b)
	if !ok {
		on := "today"
		if said := daysIn(req); len(said.Days) > 0 && !said.Days[0].Equal(reminders.Day(req.Wall)) {
			on = "on " + typedDay(req, said.Days[0])
		}
		example := "ends at 11"
		if h.has("late", "later", "delay", "delayed", "starts", "starting", "begins", "opens") {
			example = "starts at 10:30"
		}
		reply := desk.AskBack(fmt.Sprintf("From when until when is %s then? For example: %s %s %s", b.Title, b.Title, example, on))
		reply.Begun = b.Title + " is only … " + on
		return reply, nil
	}
	return hoursOn(req, *b, is)
}

// hoursHeard are the hours of school as a line has them.
func hoursHeard(req *desk.Request, h heard, b storage.Block) (span, bool) {
	if d := req.Reading.Of(phrase.KindDuration); h.has("delay", "delayed") || h.has("late", "later") && len(d) > 0 {
		if len(d) == 0 {
			return span{}, false
		}
		first := b.First + storage.Minutes(d[0].Value.(time.Duration)/time.Minute)
		return span{first: first, past: b.Past}, first < b.Past
	}
	if s := spanOf(req.Text); s.said {
		return s, s.why == "" && s.past > s.first
	}
	at, ok := hourHeard(req)
	if h.has("opens", "open", "opening", "starts", "start", "starting", "begins", "begin") {
		return span{first: at, past: b.Past}, ok && at < b.Past
	}
	return span{first: b.First, past: at}, ok && at > b.First
}

// plainHeardHome takes "Lise is home today", "Pim's not well", "picking Pim up at 10".
func plainHeardHome(req *desk.Request) bool {
	h := hear(req)
	if len(h.kids) == 0 || asks(req) || h.notThat() || h.has(talkAbout...) || h.has("somebody") && !h.has("home") {
		return false
	}
	sick := h.has(sickWords...)
	if !sick && !h.has(homeWords...) && !h.has("back") || !h.only(heardFill, sickFill, homeFill) || h.has("both", "day early", "days early") {
		return false
	}
	return takesFrom(req, h.kids)
}

// takesFrom reports that children would be elsewhere on the days of a line, and so it
// matters that they are not. Days that could not be read may be such days.
func takesFrom(req *desk.Request, kids []storage.Person) bool {
	home, err := homeToday(req)
	if err != nil {
		return false
	}
	is := func(id int64) bool {
		return slices.ContainsFunc(kids, func(p storage.Person) bool { return p.ID == id })
	}
	said := daysIn(req)
	days := said.Days
	switch today := reminders.Day(req.Wall); {
	case said.Open, said.Weekly, said.Last, said.Trouble != "":
		for k := range ahead {
			days = append(days, today.AddDate(0, 0, k))
		}
	case len(days) == 0 || said.Either:
		days = append(days, today)
	}
	for _, day := range days[:min(len(days), mostDays)] {
		if slices.ContainsFunc(elsewhereOn(req, day), func(b stretch) bool { return slices.ContainsFunc(b.who, is) }) {
			return true
		}
	}
	from, to := slices.MinFunc(days, time.Time.Compare), slices.MaxFunc(days, time.Time.Compare)
	return slices.ContainsFunc(home.Away, func(a storage.Absence) bool {
		return is(a.Person) && a.Kind != storage.Ill && a.Since.Before(req.Instant(to.AddDate(0, 0, 1))) && (a.Until.IsZero() || a.Until.After(laterOf(req.Instant(from), req.Now)))
	})
}

// heardHome counts children as at home on the days that a line names. Who is ill is at home
// the next day too where no day is named.
func heardHome(req *desk.Request) (desk.Reply, error) {
	if !plainHeardHome(req) {
		return halfHeard(req)
	}
	h := hear(req)
	if !daysIn(req).Said() && h.has(sickWords...) {
		return countHome(req, h.kids, 1)
	}
	return countHome(req, h.kids, 0)
}

// countHome writes down that children are at home on the days of a line, and some days more:
// nothing counts on their being elsewhere.
func countHome(req *desk.Request, kids []storage.Person, more int) (desk.Reply, error) {
	var names []string
	for _, p := range kids {
		names = append(names, p.Name)
	}
	days, reply, ok := settleDays(req, isAre(names)+" home")
	if awayToday(req, kids) && daysIn(req).Either { // who is away now comes home today, not in a week
		days, ok = phrase.ReadDays(req.Text, req.Reading.Tokens, req.Context(), true).Days, true
	}
	if !ok {
		return reply, nil
	}
	for range more {
		days = append(days, days[len(days)-1].AddDate(0, 0, 1))
	}
	text := fmt.Sprintf("%s at home, %s", isAre(names), sayDays(req, days))
	if err := req.Record(storage.Entry{Kind: "day", About: "person:" + names[0], Text: text}); err != nil {
		return desk.Reply{}, err
	}
	for _, day := range days {
		for _, name := range names {
			if err := req.Tx.AddDayWord(req.House.ID, storage.ChildHome(day, name)); err != nil {
				return desk.Reply{}, err
			}
		}
	}
	back, err := awayNoMore(req, kids, days[0])
	if err != nil {
		return desk.Reply{}, err
	}
	reply = desk.Answer(desk.Upper(text)+".", append(back, noLyeThen)...)
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	if len(kids) == 1 && hear(req).has(sickWords...) {
		reply.Lines = append(reply.Lines, fmt.Sprintf("The bells are as they were; to send them to others: %s is ill", names[0]))
	}
	return laidAnew(req, reply)
}

// believed has the children of a block count as at home when somebody says that it is off,
// or not as always, who may not change it: on that side anybody is believed.
func believed(req *desk.Request, b storage.Block) (desk.Reply, error) {
	var kids []storage.Person
	for _, p := range children(req) {
		if slices.Contains(idsOf(req, b.Whom), p.ID) {
			kids = append(kids, p)
		}
	}
	if len(kids) == 0 || req.Guest {
		reply, _ := mayNot(req, "the blocks of the day")
		return reply, nil
	}
	reply, err := countHome(req, kids, 0)
	if err == nil && reply.Status == storage.OK {
		reply.Lines = append(reply.Lines, "So that nobody is in harm's way. Whether "+b.Title+" is off, "+keeperNames(req)+" say.")
	}
	return reply, err
}

// awayToday reports that one of some children is away now.
func awayToday(req *desk.Request, kids []storage.Person) bool {
	home, err := req.Home()
	return err == nil && slices.ContainsFunc(kids, func(p storage.Person) bool {
		a, is := home.Absent(p.ID, req.Now)
		return is && a.Kind == storage.Away
	})
}

// awayNoMore ends what is written of children's being away on a day on which they are said
// to be at home: who has come back early does not go again by itself.
func awayNoMore(req *desk.Request, kids []storage.Person, day time.Time) ([]string, error) {
	home, err := req.Home()
	if err != nil {
		return nil, err
	}
	from := req.Instant(day)
	var names []string
	for _, a := range home.Away {
		i := slices.IndexFunc(kids, func(p storage.Person) bool { return p.ID == a.Person })
		ends := !a.Until.IsZero() && !a.Until.After(from.Add(24*time.Hour))
		if i < 0 || a.Kind != storage.Away || ends || !a.Since.Before(from.Add(24*time.Hour)) {
			continue
		}
		if err := req.Tx.EndAbsence(a, laterOf(from, req.Now)); err != nil {
			return nil, err
		}
		names = append(names, kids[i].Name)
	}
	if len(names) == 0 {
		return nil, nil
	}
	return []string{fmt.Sprintf("%s back for good from then on, and no longer away.", isAre(names))}, nil
}

// shortLine is how many words a line has at the most that tells of lessons at home and of
// nobody.
const shortLine = 5

// longestHeard is how many words a line has at the most after which it is asked.
const longestHeard = 14

// schoolTrouble are words for what keeps children from school where school is named, and
// childTrouble where only a child is.
var (
	schoolTrouble = []string{
		"home", "late", "later", "instead of", "early", "closed", "shut", "shuts", "closes", "closing", "cancelled", "canceled", "called off", "strike", "half term", "holidays", "inset day", "training day", "snowed in", "snow", "ice", "icy", "flooded", "floods", "power cut", "no school", "can't get", "cant get", "cannot get", "stuck", "rang", "fell", "hurt", "refuses", "refusing", "breaks up", "dismissal", "delayed", "delay", "off", "keeping", "kept",
		"suspended", "excluded", "expelled", "no heating", "no heat", "no water", "no power", "no electricity", "no gas", "no boiler", "no teacher", "no teachers", "no staff", "picking up", "picked up", "coming to get", "fetching", "collecting", "not going", "isn't going", "aren't going", "won't be going", "won't be in", "not at school", "aren't at school", "isn't at school", "isn't in school", "aren't in school",
	}
	childTrouble = []string{
		"home", "back early", "out early", "strike", "half term", "holidays", "inset day", "snowed in", "off today", "is off", "are off", "off sick", "day off", "keeping him", "keeping her", "keeping them", "kept off", "kept in", "staying in bed", "to get him", "to get her", "to get them", "pick up", "in late", "in at", "to school at", "starts at", "starts late", "in school by", "picking up", "picked up", "coming to get", "fetching him", "fetching her", "fetching them", "collecting him", "collecting her", "collecting them",
		"not going", "isn't going", "aren't going", "won't be going", "won't be in", "missed the bus", "missed bus", "missed his bus", "missed her bus", "bunking off", "skiving", "got suspended", "is suspended", "was suspended", "been suspended", "been excluded", "been expelled", "dentist", "dentist's", "doctor's", "doctors", "the doctor", "hospital", "orthodontist", "orthodontist's", "optician", "optician's", "isolating", "in isolation", "quarantine", "study leave", "exam leave", "here today", "here all day", "all here", "sore tummy", "coughing", "up all night", "staying with somebody", "isn't great", "not great", "isn't right", "not right", "not himself", "not herself", "nits", "a rash", "under the weather", "conjunctivitis", "pink eye", "tonsillitis", "impetigo", "hand foot and mouth", "somebody for the day", "somebody have for the day",
	}
)

// lessonsHere says that there are lessons, and that they are at home.
var lessonsHere = []string{"home ed", "home education", "home schooling", "home school", "homeschooling", "home learning", "learning from home", "remote learning", "remote school", "remote lessons", "distance learning", "online learning", "online school", "online lessons", "school online", "lessons online", "learning online"}

// theyAreHome says of those who were spoken of before that they are at home.
var theyAreHome = []string{"they're home", "they are home", "they're all home", "they're at home", "they are at home", "he's home", "she's home", "he's at home", "she's at home"}

// theyClose is school that sends the children home, where it is not named.
var theyClose = []string{"they're closing", "they are closing", "they're shutting", "they are shutting", "they're sending home"}

// busTrouble says that nobody has gone to school by the bus, and hereWords that somebody is
// at home, which tells something while school is on.
var (
	busTrouble = []string{"bus never came", "bus didn't come", "bus did not come", "bus hasn't come", "no bus", "bus broke down", "bus has broken down", "bus didn't turn up", "bus did not turn up", "bus hasn't turned up", "bus never turned up", "bus isn't coming", "bus is not coming", "no school run", "the school run is off", "bus is cancelled", "bus is canceled", "bus cancelled", "bus isn't running", "bus is not running"}
	hereWords  = []string{"is here", "are here", "still here", "all here", "with somebody", "asleep", "on the sofa", "in bed", "in his room", "in her room", "upstairs"}
)

// underWay reports that something takes children elsewhere just now.
func underWay(req *desk.Request) bool {
	return slices.ContainsFunc(elsewhereOn(req, reminders.Day(req.Wall)), func(b stretch) bool { return !b.from.After(req.Wall) && !hasWord(b.Title, bedTitles) })
}

// plainHalfHeard takes a line that names a child or school, and home, illness or a change
// of the day, on a day on which children are to be elsewhere.
func plainHalfHeard(req *desk.Request) bool {
	h := hear(req)
	if asks(req) || ofAThing(req) || h.has("late for", "was late", "late again") || h.notThat() && !h.has(busTrouble...) || h.has(talkAbout...) && !h.has("in school by") || h.has("somebody") && len(h.kids) == 0 || len(h.words) > longestHeard || plainHeardOff(req) || plainHeardHours(req) {
		return false
	}
	group := h.has("girls", "boys", "twins", "little one", "little ones")
	school := h.ofSchool() || daysIn(req).Last || h.has("half term", "inset day", "training day")
	child := len(h.kids) > 0 || group
	told := h.has(sickWords...) || school && h.has(schoolTrouble...) || child && h.has(childTrouble...) || daysIn(req).Last
	told = told || child && h.has(hereWords...) && underWay(req) || child && h.has("with somebody") && daySaid(req)
	unnamed := h.has(busTrouble...) || h.has(lessonsHere...) && (child || len(h.words) <= shortLine) || h.has(lessons...) && h.has(theyAreHome...) ||
		h.has(theyClose...) && h.only(heardFill, hourFill, []string{"lunch", "lunchtime", "shutting", "sending", "home"})
	if !unnamed && (!child && !school || !told) {
		return false
	}
	kids := h.kids
	if len(kids) == 0 {
		kids = children(req)
	}
	return takesFrom(req, kids)
}

// homeHead begins the question whether a child is at home.
const homeHead = "Is a child at home"

// halfHeard asks; nothing is changed.
func halfHeard(req *desk.Request) (desk.Reply, error) {
	if !plainHalfHeard(req) {
		return desk.Reply{}, desk.ErrSilent
	}
	h := hear(req)
	on := " today"
	if said := daysIn(req); said.Said() {
		told := "school is off"
		if len(h.kids) > 0 {
			told = h.kids[0].Name + " is home"
		}
		days, reply, ok := settleDays(req, told)
		if !ok {
			return reply, nil
		}
		if len(days) > 1 || !days[0].Equal(reminders.Day(req.Wall)) {
			on = " on " + typedDays(days)
		}
	}
	reply := desk.AskBack("")
	kids := h.kids
	if len(kids) == 0 {
		kids = children(req)
	}
	if b := lessonsBlock(req); b != nil && len(h.kids) != 1 {
		reply.Buttons = append(reply.Buttons, desk.Labelled(desk.Upper(b.Title)+" is off", b.Title+" is off"+on))
	}
	for _, p := range kids {
		reply.Buttons = append(reply.Buttons, desk.Labelled(p.Name+" is at home", p.Name+" is home"+on))
	}
	reply.Head = fmt.Sprintf(homeHead+"%s? Say it so that lye waits, for example: %s", map[bool]string{true: " today", false: " then"}[on == " today"], reply.Buttons[0].Say)
	if on == " today" {
		for _, p := range kids {
			reply.MayHome = append(reply.MayHome, p.Name)
		}
		reply.Buttons = append(reply.Buttons, desk.Labelled("Nobody is at home", nobodyHome))
	}
	return reply, nil
}

// nobodyHome answers no to the question whether a child is at home today.
const nobodyHome = "nobody is at home"

func nobodyHomeAsk() desk.Ask {
	return desk.Ask{
		Name: "day", Command: "block", Text: true, Adult: true, Help: "no to the question whether a child is at home", Forms: []string{"^nobody|none is|are at home|here", "^no one is at home"},
		Examples: []desk.Example{{Setup: []string{"day school weekdays 9:30-12:30 kids", "the school rang, Pim has bumped his head, fetching him"}, Line: nobodyHome}},
		Plain: func(req *desk.Request) bool {
			q, err := req.HomeAsked()
			return err == nil && len(q.Home) > 0 && len(req.Reading.Tokens) <= 5
		},
		Strict: true, Do: notHome,
	}
}

// notHome leaves the day as it is; the question is answered.
func notHome(req *desk.Request) (desk.Reply, error) {
	q, err := req.HomeAsked()
	if err != nil {
		return desk.Reply{}, err
	}
	if len(q.Home) == 0 {
		return desk.Answer("Nothing is asked. Where the children are today: today"), nil
	}
	text := "not at home: " + desk.List(q.Home)
	if err := req.Record(storage.Entry{Kind: "day", Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.Ask(req.House.ID, storage.OfHome, req.Now, storage.Question{}); err != nil {
		return desk.Reply{}, err
	}
	return desk.Answer("Noted: " + text + ". The day stays as it is."), nil
}
