package garden

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
	"unicode"

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
	tell := func(help string, forms, words []string, example string, do func(*desk.Request) (desk.Reply, error), fits func(sown) bool) desk.Ask {
		return desk.Ask{
			Name: "sown", Command: "sown", Needs: named, Text: true, Help: help, Forms: forms, Kinds: kinds, Lists: []string{"crops", "places"}, Fill: words,
			Examples: []desk.Example{{Setup: onTray, Line: example}}, Plain: plainTold(words, fits), Do: do,
		}
	}
	again := func(s sown) bool { return s.Planted.IsZero() } // a count may be told again
	return []desk.Ask{
		tell("seedlings are up", []string{"up$", "* up * now|today|already|yesterday$", "came|come|coming up", "are|is|were up", "up * in|of|on", "sprouted|germinated|emerged|showing"},
			[]string{"are", "is", "were", "up", "seedlings", "first", "have", "has", "come", "came", "coming", "showing", "sprouted", "germinated", "emerged", "in", "on", "sowing"}, "18 tomatoes up", up, again),
		tell("seedlings were potted up", []string{"^potted", "potted up", "^pricked out", "^potted * on"}, []string{"potted", "up", "on", "pricked", "out", "into", "in", "pots", "were", "are", "sowing"}, "potted up the tomatoes", potted, inTray),
		tell("hardening off has begun", []string{"^hardening", "^started|began hardening", "hardening off", "^hardened", "^harden off", "put * out to harden"},
			[]string{"started", "began", "hardening", "hardened", "harden", "off", "are", "is", "we're", "sowing", "put", "out", "to", "on"}, "hardening off the tomatoes", harden, inTray),
		tell("seedlings were set out", []string{"^transplanted", "^planted out", "^planted * out", "^set * out", "went out", "^put * out", "are|is out$"},
			[]string{"transplanted", "planted", "set", "out", "in", "went", "put", "into", "on", "sowing", "garden", "outside", "are", "is", "were"}, "transplanted the tomatoes", setOut, inTrayNow),
		tell("a row was thinned", []string{"^thinned"}, []string{"thinned", "out", "in", "sowing", "on"}, "thinned the tomatoes", thinned, standingStill),
		tell("the first was picked", []string{"^picked * first", "^first|picked * picked$", "^first * picked", "^had * first"}, []string{"picked", "had", "first", "in", "from", "sowing", "on"}, "picked the first tomatoes", picked, standingStill),
		tell("a sowing is lost, or some of it", []string{"^lost", "got|ate|had|killed|eaten", "^nothing|none came|come", "^nothing|none * came|come", "finished|over$", "died|dead", "^pulled up|out"},
			slices.Concat(causes, []string{"lost", "to", "got", "ate", "had", "have", "has", "killed", "eaten", "nothing", "none", "came", "come", "up", "out", "are", "is", "were", "finished", "over", "died", "dead", "by", "sowing", "night", "last", "half", "pulled", "damping", "off", "in", "on"}), "lost the tomatoes to slugs", lost, standingStill),
		{
			Name: "sown", Command: "sown", Needs: named, Keeper: true, Help: "give a tray to somebody: its bells are theirs", Forms: []string{"^give|gave", "is|are|belongs * now$", "^hand"},
			Kinds: []phrase.Kind{phrase.KindThing}, Lists: []string{"crops", "places", "people"}, Fill: givingWords,
			Examples: []desk.Example{{Setup: append(slices.Clone(onTray), "house add Lise child 10"), Line: "give the blue tray to Lise"}}, Plain: plainGiven, Do: give,
		},
	}
}

// eaters are the animals that seedlings are lost to, causes all that they are lost to.
var (
	eaters = []string{
		"slugs", "slug", "snails", "snail", "mice", "mouse", "pigeons", "pigeon", "hens", "hen", "rabbits", "rabbit", "deer", "goats", "goat", "birds", "caterpillars", "cutworms", "voles", "rats", "cat", "dog", "sheep", "cow", "cows", "pig", "pigs",
	}
	causes = slices.Concat(eaters, []string{"frost", "blight", "cold", "heat", "wind", "hail", "drought"})
)

var givingWords = []string{"give", "gave", "to", "is", "are", "hand", "over", "belongs", "looks", "after", "tray", "flat", "sowing", "s"}

func notUp(s sown) bool         { return s.Up.IsZero() && s.Planted.IsZero() }
func inTray(s sown) bool        { return !s.Outdoors }
func inTrayNow(s sown) bool     { return s.Planted.IsZero() && !s.Outdoors }
func standingStill(s sown) bool { return s.Over.IsZero() }

// askers begin a line that asks and does not tell.
var askers = []string{"have", "has", "had", "are", "is", "was", "were", "did", "do", "does", "will", "when", "if", "who", "why", "what", "where", "how", "which", "can", "could", "should", "anyone"}

// tells reports a line that tells that something happened, and the whole of it: nothing
// is asked, and nothing is left over beside the words that belong.
func tells(req *desk.Request, belong ...string) bool {
	if strings.Contains(req.Text, "?") || len(req.Reading.Tokens) == 0 || slices.Contains(askers, req.Reading.Tokens[0].Low) {
		return false
	}
	return surely(req) && len(leftOver(req, belong...)) == 0
}

// plainTold takes a plain line about a crop only while one is sown that it can tell of,
// and only when the whole of it tells.
func plainTold(words []string, fits func(sown) bool) func(*desk.Request) bool {
	return func(req *desk.Request) bool {
		if !tells(req, words...) || !doneBy(req) {
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

// doneBy reports a line that says who ate or killed something, or that tells of neither.
func doneBy(req *desk.Request) bool {
	switch {
	case hasWord(req, "ate", "eaten"):
		return hasWord(req, eaters...)
	case hasWord(req, "got", "killed") || hasWord(req, "had") && !hasWord(req, "first"):
		return hasWord(req, causes...)
	case hasWord(req, "died", "dead"):
		return !calledByName(req)
	}
	return true
}

// calledByName reports a line that begins with a crop as with the name of somebody:
// "Pepper died last night" tells of the cow.
func calledByName(req *desk.Request) bool {
	crops := req.Reading.Terms("crops")
	return len(crops) > 0 && crops[0].First == 0 && unicode.IsUpper([]rune(crops[0].Text)[0]) && !strings.HasSuffix(crops[0].Text, "s")
}

// plainGiven takes a plain line that names a tray, a bed or a sowing. "Give Pim a
// carrot" is said at every table; the seedlings of a tray are asked about.
func plainGiven(req *desk.Request) bool {
	if len(req.Reading.Terms("people")) != 1 || !plainTold(givingWords, standingStill)(req) {
		return false
	}
	return namesPlace(req) || hasWord(req, "the") && hasWord(req, "to") && strings.HasSuffix(req.Reading.Terms("crops")[0].Text, "s") && plainTold(givingWords, inTrayNow)(req) && !plainTold(givingWords, inGround)(req)
}

// namesPlace reports a line that names a sowing by its number or its place.
func namesPlace(req *desk.Request) bool {
	return len(req.Reading.Terms("places")) > 0 || req.Has(desk.Need{Kind: phrase.KindThing})
}

// told writes down what happened to the sowing that a line names, and moves what hangs
// on it. Change does it, and returns what the day book says; a reply with a head asks.
func told(req *desk.Request, say string, c choice, change func(*sown, time.Time) (string, desk.Reply)) (sown, desk.Reply, error) {
	s, reply, err := which(req, say, c)
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
	out := desk.Answer(desk.Upper(text)+".", lines...)
	out.Cautions, err = settleNights(req, s)
	return s, out, err
}

// up notes that seedlings are up, and how many.
func up(req *desk.Request) (desk.Reply, error) {
	n := countSaid(req)
	if ns := req.Reading.Of(phrase.KindNumber); len(ns) == 2 { // "18 of 24 up"
		n = min(whole(ns[0]), whole(ns[1]))
	}
	day := daySaid(req)
	fits := func(s sown) bool { return notUp(s) || n > 0 && s.Planted.IsZero() || day.Before(s.Up) }
	s, out, err := told(req, sprouted(n)+" %s", choice{fits: fits}, func(s *sown, day time.Time) (string, desk.Reply) {
		if n > 0 && s.Seeds > 0 && n > s.Seeds {
			return "", desk.AskBack(fmt.Sprintf("Only %s of %s were sown. How many are up?", desk.Plural(s.Seeds, "seed"), s.title()))
		}
		if gone := int(day.Sub(s.Sown).Hours() / 24); !req.Direct && gone < s.daysToUp()/3 {
			return "", desk.AskBack(fmt.Sprintf("Up only %s after sowing? %s is usual.", desk.Plural(gone, "day"), desk.Plural(s.daysToUp(), "day")), desk.Labelled("Yes, up", fmt.Sprintf("%s sowing %d", sprouted(n), s.Num)))
		}
		if s.Up.IsZero() || day.Before(s.Up) {
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

// sprouted begins the line of a button that tells that so many are up, 0 for uncounted.
func sprouted(n int) string {
	if n == 0 {
		return "sprouted"
	}
	return fmt.Sprintf("sprouted %d of", n)
}

func isAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// before is for what is done in the tray: it fits while they stand there, and for a day
// before they were set out.
func before(req *desk.Request) func(sown) bool {
	day := daySaid(req)
	return func(s sown) bool { return !s.Outdoors && (s.Planted.IsZero() || day.Before(s.Planted)) }
}

// potted notes that seedlings went into pots of their own.
func potted(req *desk.Request) (desk.Reply, error) {
	n := countSaid(req)
	_, out, err := told(req, "potted up %s", choice{fits: before(req)}, func(s *sown, day time.Time) (string, desk.Reply) {
		s.Potted = day
		if s.Up.IsZero() || s.Up.After(day) {
			s.Up = day
		}
		if n > 0 && s.Planted.IsZero() {
			s.Came = n
			return "potted up " + s.counted(n), desk.Reply{}
		}
		return "potted up " + s.title(), desk.Reply{}
	})
	return out, err
}

// harden notes that a tray was carried out for the first time, or another day.
func harden(req *desk.Request) (desk.Reply, error) {
	s, out, err := told(req, "hardening off %s", choice{fits: before(req)}, func(s *sown, day time.Time) (string, desk.Reply) {
		if s.Hardening.IsZero() {
			s.Hardening = day
		}
		if s.Up.IsZero() {
			s.Up = day
		}
		s.Hardened = max(s.Hardened, int(day.Sub(s.Hardening).Hours()/24)+1)
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
	if !s.Planted.IsZero() { // told late
		return out, nil
	}
	today := "Today: " + hardenDay(s, s.Hardened, req.House.US)
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

// setOut notes that seedlings were set out into the ground, all of them or so many.
func setOut(req *desk.Request) (desk.Reply, error) {
	n := countSaid(req)
	where, _, _ := placeSaid(req)
	var part *sown // what went out, where some stay behind
	s, out, err := told(req, "transplanted %s", choice{fits: inTrayNow}, func(s *sown, day time.Time) (string, desk.Reply) {
		if s.Up.IsZero() {
			s.Up = day
		}
		if n > 0 && s.standing() > n {
			part = s.takeOut(n, where, day)
			return fmt.Sprintf("set out %s, %s", part.counted(n), s.staying()), desk.Reply{}
		}
		text := "set out " + s.title()
		if n > 0 {
			text = "set out " + s.counted(n)
			s.Came = n
		}
		s.Planted, s.Place = day, where // the tray is free again
		return in(text, where), desk.Reply{}
	})
	if err != nil || out.Status != storage.OK {
		return out, err
	}
	if part == nil {
		early, err := tooEarly(req, s)
		out.Cautions = append(out.Cautions, early...)
		return out, err
	}
	return setOutPart(req, *part, out)
}

// in adds a place to what was set out.
func in(text, where string) string {
	if where == "" {
		return text
	}
	return text + ", " + where
}

// staying says how many stay where they were: "12 stay in the blue tray".
func (s sown) staying() string {
	if s.Place == "" {
		return fmt.Sprintf("%d stay in the tray", s.Came)
	}
	return fmt.Sprintf("%d stay %s", s.Came, s.Place)
}

// standing is how many plants a sowing has at the most, 0 when nobody counted.
func (s sown) standing() int {
	if s.Came > 0 {
		return s.Came
	}
	return s.Seeds
}

// takeOut takes so many plants out of a tray as a sowing of their own; those that stay
// are counted, and the seed of both is shared out in proportion.
func (s *sown) takeOut(n int, where string, day time.Time) *sown {
	part := *s
	stay := s.standing() - n
	part.Planted, part.Place, part.Came, part.Seeds = day, where, n, 0
	if s.Came > 0 && s.Seeds > 0 {
		part.Seeds = (n*s.Seeds + s.Came/2) / s.Came
		s.Seeds -= part.Seeds
	}
	s.Came = stay
	return &part
}

// setOutPart writes down the sowing that a part of a tray has become.
func setOutPart(req *desk.Request, part sown, out desk.Reply) (desk.Reply, error) {
	var err error
	if part.Sowing, err = req.Tx.AddSowing(part.Sowing); err != nil {
		return out, err
	}
	lines, err := setSteps(req, part)
	if err != nil {
		return out, err
	}
	cold, err := settleNights(req, part)
	if err != nil {
		return out, err
	}
	early, err := tooEarly(req, part)
	if err != nil {
		return out, err
	}
	for i, l := range out.Lines {
		out.Lines[i] = "Those in the tray: " + l
	}
	out.Lines = append(lines, out.Lines...)
	out.Head = strings.TrimSuffix(out.Head, ".") + fmt.Sprintf(". Sowing %d.", part.Num)
	out.Cautions = slices.Concat(out.Cautions, cold, early)
	return out, nil
}

// mostEarly is how many days before their day plants go out without a word.
const mostEarly = 3

// tooEarly warns of plants that stand outside before the frosts are over.
func tooEarly(req *desk.Request, s sown) ([]string, error) {
	now, known, err := s.season(req)
	if err != nil || !known || s.kind.Method == sowing.Direct || !s.outside(s.Planted) {
		return nil, err
	}
	planned := now.Last.AddDate(0, 0, int(math.Round(7*s.kind.Transplant.N)))
	before := int(now.Last.Sub(s.Planted).Hours() / 24)
	if before <= 0 || before > 200 || !planned.After(s.Planted.AddDate(0, 0, mostEarly)) {
		return nil, nil
	}
	return []string{fmt.Sprintf("%s before the last frost (%s): cover them on cold nights; their day is %s.", desk.Plural(before, "day"), sayDate(req, now.Last), sayDate(req, planned))}, nil
}

// thinned notes a thinning.
func thinned(req *desk.Request) (desk.Reply, error) {
	s, out, err := told(req, "thinned %s", choice{standingStill, inGround}, func(s *sown, day time.Time) (string, desk.Reply) {
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
	s, out, err := told(req, "picked the first of %s", choice{standingStill, inGround}, func(s *sown, day time.Time) (string, desk.Reply) {
		if gone := int(day.Sub(s.Sown).Hours() / 24); !req.Direct && !s.bought() && gone < s.kind.MaturityMin/2 {
			return "", desk.AskBack(fmt.Sprintf("Picked only %s after sowing? %s are usual.", desk.Plural(gone, "day"), desk.Plural(s.kind.MaturityMin, "day")), desk.Labelled("Yes, picked", fmt.Sprintf("picked the first of sowing %d", s.Num)))
		}
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
	half := hasWord(req, "half")
	nothing := hasWord(req, "nothing", "none")
	s, out, err := told(req, "lost %s", choice{fits: standingStill}, func(s *sown, day time.Time) (string, desk.Reply) {
		how := causeSaid(req)
		if half {
			n = (s.standing() + 1) / 2
		}
		if half && n == 0 {
			return "", desk.AskBack(fmt.Sprintf("How many of %s are lost? Nobody has counted them.", s.title()))
		}
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
		if finished(req) && !req.Direct && s.Picked.IsZero() && !s.pickedBy(req, day) {
			return "", desk.AskBack(fmt.Sprintf("%s was not picked yet. Is it over for this year?", desk.Upper(s.title())), desk.Labelled("Yes, over", fmt.Sprintf("lost sowing %d, finished", s.Num)))
		}
		s.Over = day
		switch {
		case nothing:
			s.Fate = noneCame
			return "nothing came up of " + s.title(), desk.Reply{}
		case finished(req):
			s.Fate = "finished"
			return s.title() + " is finished", desk.Reply{}
		}
		s.Fate = "lost" + how
		return "lost " + s.title() + how, desk.Reply{}
	})
	if err != nil || out.Status != storage.OK || s.Over.IsZero() || s.Fate == "finished" {
		return out, err
	}
	_, now, next, reply, err := seasonOf(req, s.kind, dayOf(req))
	if err != nil || reply.Head != "" {
		return out, err
	}
	out.Lines = append(out.Lines, stillTime(req, s.kind, now, next, dayOf(req)).Head)
	return out, nil
}

// finished reports a line that a crop has had its time.
func finished(req *desk.Request) bool { return hasWord(req, "finished", "over", "pulled") }

// pickedBy reports a sowing that is likely to have been picked by a day.
func (s sown) pickedBy(req *desk.Request, day time.Time) bool {
	_, pick, err := s.outAndPick(req)
	return err == nil && !pick.IsZero() && !day.Before(pick)
}

// causeSaid is what a line says it was lost to, with a space before it.
func causeSaid(req *desk.Request) string {
	if hasWord(req, "damping") {
		return " to damping off"
	}
	for _, t := range req.Reading.Tokens {
		if slices.Contains(causes, t.Low) {
			return " to " + t.Low
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
	if !req.Direct && !namesPlace(req) {
		return desk.AskBack(fmt.Sprintf("The sowing, with its bells? That is %s.", found[0].title()), desk.Button(fmt.Sprintf("give sowing %d to %s", found[0].Num, person.Name))), nil
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
