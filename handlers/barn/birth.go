package barn

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/breeding"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

const gaveBirth = "farrowed|kidded|lambed|calved|foaled|kindled|whelped|kittened|littered|pupped"

// birthWords belong to a line that tells of a birth.
var birthWords = []string{
	"farrowed", "kidded", "lambed", "calved", "foaled", "kindled", "whelped", "kittened", "littered", "pupped", "had", "has", "have", "gave", "birth", "to", "piglets", "piglet", "pigs", "kids", "kid", "lambs", "lamb", "calf", "calves", "foal", "kits", "kit", "kittens", "puppies", "pups", "babies", "young", "born", "alive", "live", "dead", "stillborn", "still", "living", "healthy", "fine", "well",
	"twins", "triplets", "single", "quads", "last", "night", "this", "today", "of", "which", "them", "all", "both", "one", "at", "in", "with", "and", "doe", "buck", "heifer", "bull", "ewe", "ram", "gilt", "boar", "male", "female", "girls", "boys", "girl", "boy", "lost", "early", "late", "a", "she", "her", "litter", "good", "small", "big", "here", "out", "them", "were", "was", "are", "is", "finally", "up", "drinking", "more", "no", "lay", "laid", "overlaid", "squashed", "crushed", "on",
}

func birthAsks() []desk.Ask {
	kinds := slices.Concat(dayed, []phrase.Kind{phrase.KindNumber})
	lists := []string{"livestock", "herds"}
	served := []string{"we have a sow", "bred the sow 7 nov 2026"}
	return []desk.Ask{
		{
			Name: "birth", Command: "bred", Keep: true, Text: true, Needs: ofAnimal, Help: "what came of it: the young, alive and dead; the bells before it end, those after it begin",
			Forms: []string{gaveBirth, "gave birth", "had", "has had", "piglets|lambs|kids|calf|calves|foal|kittens|puppies are|is here|born"}, Kinds: kinds, Lists: lists,
			Examples: []desk.Example{{Setup: served, Line: "sow farrowed 11 piglets last night, 1 dead"}},
			Plain: func(req *desk.Request) bool {
				return !asksOrDoubts(req) && !hasWord(req, "called", "named") && len(strangers(req, birthWords...)) == 0 && (req.Form == gaveBirth || req.Form == "gave birth" || youngSaid(req) > 0 || hasWord(req, "had") && len(req.Reading.Of(phrase.KindNumber)) > 0)
			}, Do: birth,
		},
		{
			Name: "weaned", Command: "bred", Keep: true, Text: true, Help: "that the young are weaned: then comes the next round", Forms: []string{"weaned", "^wean"}, Kinds: kinds, Lists: lists,
			Examples: []desk.Example{{Setup: []string{"we have a sow", "bred the sow 1 oct 2026", "sow farrowed 11 piglets 24 jan"}, Line: "weaned the piglets"}},
			Plain: func(req *desk.Request) bool {
				return !asksOrDoubts(req) && len(strangers(req, "weaned", "wean", "piglets", "pigs", "kids", "lambs", "calf", "calves", "foal", "kits", "litter", "from", "today", "all", "are", "were", "have", "been", "is", "kittens", "pups", "this", "off", "now")) == 0
			}, Do: weaned,
		},
	}
}

// bornSaid is how many young a line tells of, alive and dead.
type bornSaid struct{ alive, dead int }

// fewWords are numbers of young that have a word of their own.
var fewWords = map[string]int{"twins": 2, "triplets": 3, "quads": 4, "single": 1, "singleton": 1}

// youngSaid is the number of young that a line gives, 0 for none.
func youngSaid(req *desk.Request) int {
	n := births(req)
	return n.alive + n.dead
}

// births reads "11 piglets, 1 dead", "9 alive 2 dead", "twins", "a heifer calf". A dead
// one is among those that came, unless the living are counted by themselves.
func births(req *desk.Request) bornSaid {
	all, alive, dead := 0, -1, 0
	toks := req.Reading.Tokens
	numbers := req.Reading.Of(phrase.KindNumber)
	for i, s := range numbers {
		n, ok := whole(s)
		if !ok || n < 0 || n > mostYoung {
			return bornSaid{}
		}
		end := len(toks)
		if i+1 < len(numbers) {
			end = numbers[i+1].First
		}
		said := func(words ...string) bool {
			for j := s.Past; j < end; j++ {
				if slices.Contains(words, word(req, j)) {
					return true
				}
			}
			return slices.Contains(words, word(req, s.First-1))
		}
		before := word(req, s.First-1)
		switch {
		case said("dead", "stillborn", "lost", "died"), before == "on" && slices.Contains([]string{"lay", "laid"}, word(req, s.First-2)), slices.Contains([]string{"overlaid", "squashed", "crushed"}, before):
			dead += n
		case said("alive", "live", "living"):
			alive = max(alive, 0) + n
		default:
			all += n
		}
	}
	for i, t := range toks {
		if n, is := fewWords[t.Low]; is {
			all += n
		}
		if t.Low == "one" && (word(req, i+1) == "dead" || word(req, i+1) == "stillborn") && dead == 0 {
			dead, all = 1, max(all-1, 0)
		}
	}
	if all == 0 && alive < 0 && dead == 0 && hasWord(req, "calf", "foal", "lamb", "kid", "cria") {
		all = 1
	}
	switch {
	case alive >= 0:
		return bornSaid{alive, max(dead, all-alive)}
	case hasWord(req, "all") && hasWord(req, "dead", "stillborn"):
		return bornSaid{0, all + dead}
	case hasWord(req, "dead", "stillborn") && dead == 0 && all > 0 && len(numbers) == 1 && hasWord(req, "both"):
		return bornSaid{0, all}
	}
	return bornSaid{max(all-dead, 0), dead}
}

// mostYoung is more than any animal of the table has at once; mostOf is for those that
// have few.
const mostYoung = 30

var mostOf = map[string]int{"doe goat": 6, "ewe": 6, "cow": 4, "mare": 2, "donkey": 2, "alpaca": 2, "llama": 2, "rabbit": 16, "guinea pig": 9, "dog": 18, "cat": 12}

// youngOf is the kind of the young of a species.
var youngOf = map[string]string{
	"sow": "piglet", "doe goat": "goat kid", "ewe": "lamb", "cow": "calf", "mare": "foal", "rabbit": "young rabbit", "donkey": "foal", "dog": "dog", "cat": "cat", "alpaca": "alpaca", "llama": "llama", "guinea pig": "guinea pig",
	"chicken": "chick", "duck": "duckling", "Muscovy duck": "duckling", "goose": "gosling", "turkey": "poult", "guinea fowl": "keet", "quail": "quail", "pigeon": "pigeon",
}

// birth writes down what came of a service.
func birth(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	p, reply := pairSaid(req, b)
	if reply.Head != "" {
		if !req.Direct && req.Form == "had" {
			return desk.Reply{}, desk.ErrSilent
		}
		return reply, nil
	}
	c, reply, err := courseFor(req, p.name, p.kind)
	if err != nil {
		return desk.Reply{}, err
	}
	explicit := strings.Contains(req.Form, "|") || req.Form == "gave birth"
	if reply.Head != "" {
		if !explicit && !req.Direct {
			return desk.Reply{}, desk.ErrSilent
		}
		if c.Num != 0 || speciesOf[p.kind.family] == "" {
			return reply, nil
		}
		return unplanned(req, b, p)
	}
	when, reply := happened(req)
	if reply.Head != "" {
		return reply, nil
	}
	day := reminders.Day(when)
	n := births(req)
	if most := mostOf[c.Species]; n.alive+n.dead == 0 || most > 0 && n.alive+n.dead > most {
		return desk.AskBack(fmt.Sprintf("How many came, alive and dead? For example: %s", c.example())), nil
	}
	e, err := c.expected()
	if err != nil {
		return desk.Reply{}, err
	}
	if day.Before(e.Earliest.AddDate(0, 0, -mostEarly)) {
		if !explicit && !req.Direct {
			return desk.Reply{}, desk.ErrSilent
		}
		if !hasWord(req, "early") {
			return desk.AskBack(fmt.Sprintf("%s is due %s: %d days early? Then say it so, and call the vet.", desk.Upper(c.Name), c.window(req), days(day, e.Due)), desk.Labelled("Yes, early", req.Text+" early")), nil
		}
	}
	return born(req, c, when, n)
}

// mostEarly is how many days before its window a birth is asked about.
const mostEarly = 10

// unplanned is a birth of which no service was written down.
func unplanned(req *desk.Request, b book, p pair) (desk.Reply, error) {
	n := births(req)
	if n.alive+n.dead == 0 {
		return desk.AskBack("How many came, alive and dead? For example: sow farrowed 11, 1 dead"), nil
	}
	when, reply := happened(req)
	if reply.Head != "" {
		return reply, nil
	}
	l, reply := lengthOf(req, p)
	if reply.Head != "" {
		return reply, nil
	}
	day := reminders.Day(when)
	m := storage.Mating{Household: req.House.ID, Herd: p.her.ID, Species: l.Species, Breed: l.Breed, Name: p.name, Since: day.AddDate(0, 0, -l.Typical), Until: day.AddDate(0, 0, -l.Typical)}
	c := course{m, l}
	if err := req.Record(storage.Entry{Kind: "birth", Happened: at(req, when), Text: birthText(c, n)}); err != nil {
		return desk.Reply{}, err
	}
	var err error
	if c.Mating, err = req.Tx.AddMating(c.Mating); err != nil {
		return desk.Reply{}, err
	}
	return c.afterBirth(req, when, n)
}

func birthText(c course, n bornSaid) string {
	s, _ := breeding.SpeciesNamed(c.length.Species)
	text := fmt.Sprintf("%s %s: %s alive", c.Name, s.Birth.Past, counted(n.alive, s.Young[0].One, s.Young[0].Many))
	if n.dead > 0 {
		text += fmt.Sprintf(", %d dead", n.dead)
	}
	return text
}

// born writes a birth down: the bells before it end, those after it begin, the young
// come into the flock book.
func born(req *desk.Request, c course, when time.Time, n bornSaid) (desk.Reply, error) {
	if err := req.Record(storage.Entry{Kind: "birth", Happened: at(req, when), Text: birthText(c, n)}); err != nil {
		return desk.Reply{}, err
	}
	return c.afterBirth(req, when, n)
}

func (c course) afterBirth(req *desk.Request, when time.Time, n bornSaid) (desk.Reply, error) {
	day := reminders.Day(when)
	c.Over, c.Fate, c.Born, c.Dead = day, storage.FateBorn, n.alive, n.dead
	if err := c.addYoung(req, day, n.alive); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SaveMating(c.Mating); err != nil {
		return desk.Reply{}, err
	}
	if err := c.resettle(req); err != nil {
		return desk.Reply{}, err
	}
	if err := c.firstHours(req, when); err != nil {
		return desk.Reply{}, err
	}
	steps, err := c.stepLines(req, mostSteps)
	if err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(fmt.Sprintf("%s, %s.", desk.Upper(birthText(c, n)), onDay(req, day)), steps...)
	if c.Dead > 0 && c.Born == 0 || c.Species != "sow" && c.Dead > 1 {
		out.Cautions = append(out.Cautions, "Dead young: gloves, and have the vet look at why before they are gone.")
	}
	out.Cautions = append(out.Cautions, c.help()...)
	out.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return out, nil
}

// drinkWithin is how soon after a birth it is looked whether the young have drunk.
const drinkWithin = 2 * time.Hour

// firstHours has the bell of the first milk ring two hours after the birth, and not in
// the round of the next morning. Told later than that, it rings at once. At night it
// rings through the quiet hours: young without the first milk die of it.
func (c course) firstHours(req *desk.Request, when time.Time) error {
	bells, err := req.Tx.SubjectBells(req.House.ID, c.subject())
	if err != nil {
		return err
	}
	home, err := req.Home()
	if err != nil {
		return err
	}
	for _, b := range bells {
		if b.Stopped || !strings.HasSuffix(b.Step, "-colostrum") && !strings.HasSuffix(b.Step, "-123") {
			continue
		}
		b.Next, b.Daily, b.Useful = at(req, when).Add(drinkWithin), false, 24*time.Hour
		if !b.Next.After(req.Now) {
			b.Next = req.Now.Add(time.Minute)
		}
		b.Safety = home.Call(b, b.Whom, b.Next).At.After(b.Next)
		if err := req.Tx.SaveBell(b); err != nil {
			return err
		}
	}
	return nil
}

// addYoung puts the young into the flock book.
func (c *course) addYoung(req *desk.Request, day time.Time, alive int) error {
	kind := youngOf[c.length.Species]
	if kind == "" || alive == 0 {
		return nil
	}
	h, err := req.Tx.AddHerd(storage.Herd{Household: req.House.ID, Kind: kind, Born: day})
	if err != nil {
		return err
	}
	c.Young = h.ID
	how := "born"
	if c.hatching() {
		how = "hatched"
	}
	return req.Tx.AddHeadcount(req.House.ID, storage.Headcount{Herd: h.ID, Day: day, Change: alive, How: how})
}

// suckling are the courses whose young are not weaned yet, oldest first.
func suckling(req *desk.Request) ([]course, error) {
	all, err := courses(req)
	return slices.DeleteFunc(all, func(c course) bool {
		return c.hatching() || c.Fate != storage.FateBorn || c.Born == 0 || !c.Weaned.IsZero()
	}), err
}

// weaned writes down that young are weaned, and sets what follows.
func weaned(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	all, err := suckling(req)
	if err != nil {
		return desk.Reply{}, err
	}
	families := map[string]bool{}
	for _, t := range termsOf(req, "livestock") {
		k, _ := beastNamed(t.Name)
		families[speciesOf[k.family]] = true
	}
	if hasWord(req, "kids", "kid") {
		families["doe goat"] = true
	}
	names := map[string]bool{}
	for _, t := range termsOf(req, "herds") {
		if h, ok := b.numbered(t.ID); ok {
			names[h.Name] = true
		}
	}
	all = slices.DeleteFunc(all, func(c course) bool {
		return len(names) > 0 && !names[c.Name] || len(names) == 0 && len(families) > 0 && !families[c.Species]
	})
	switch {
	case len(all) == 0 && !req.Direct:
		return desk.Reply{}, desk.ErrSilent
	case len(all) == 0:
		return desk.AskBack("No young are written down that are not weaned yet."), nil
	case len(all) > 1:
		var which []string
		for _, c := range all {
			which = append(which, fmt.Sprintf("%s's of %s", c.Name, sayDate(req, c.Over)))
		}
		return desk.AskBack("Whose: " + strings.Join(which, " or ") + "?"), nil
	}
	when, reply := happened(req)
	if reply.Head != "" {
		return reply, nil
	}
	return all[0].wean(req, when)
}

func (c course) wean(req *desk.Request, when time.Time) (desk.Reply, error) {
	s, _ := breeding.SpeciesNamed(c.length.Species)
	day := reminders.Day(when)
	if day.Before(c.Over) {
		return desk.AskBack(fmt.Sprintf("They were born %s. When were they weaned?", sayDate(req, c.Over))), nil
	}
	text := fmt.Sprintf("the %s of %s weaned, %s old", s.Young[0].Many, c.Name, counted(days(c.Over, day)/7, "week", "weeks"))
	if err := req.Record(storage.Entry{Kind: "weaned", Happened: at(req, when), Text: text}); err != nil {
		return desk.Reply{}, err
	}
	return c.setWeaned(req, day, desk.Upper(text)+".")
}

func (c course) setWeaned(req *desk.Request, day time.Time, head string) (desk.Reply, error) {
	c.Weaned = day
	if err := req.Tx.SaveMating(c.Mating); err != nil {
		return desk.Reply{}, err
	}
	if err := c.resettle(req); err != nil {
		return desk.Reply{}, err
	}
	steps, err := c.stepLines(req, mostSteps)
	out := desk.Answer(head, steps...)
	if c.Species == "sow" && days(c.Over, day) < 28 {
		out.Cautions = []string{"Under 4 weeks is early: creep feed, warmth, and the vet's advice."}
	}
	return out, err
}

// whenWeaned answers when the young of a line are to be weaned.
func whenWeaned(req *desk.Request, p pair) (desk.Reply, error) {
	all, err := suckling(req)
	if err != nil {
		return desk.Reply{}, err
	}
	for _, c := range slices.Backward(all) {
		if p.kind.name != "" && speciesOf[p.kind.family] != c.Species {
			continue
		}
		for _, d := range breeding.AfterBirth(c.length, c.Over) {
			if strings.HasSuffix(d.Name, "-wean") {
				return desk.Answer(fmt.Sprintf("%s: %s to %s (born %s).", d.Title, sayDate(req, d.From), sayDate(req, d.To), sayDate(req, c.Over)), d.Do), nil
			}
		}
	}
	return desk.Reply{}, nil
}

// stepDone is what follows when the bell of a course was answered done.
func stepDone(req *desk.Request, b storage.Bell, done time.Time) ([]string, error) {
	all, err := courses(req)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(all, func(c course) bool { return c.subject() == b.Subject })
	if i < 0 {
		return nil, nil
	}
	c := all[i]
	switch {
	case strings.HasSuffix(b.Step, "-wean") && c.Weaned.IsZero():
		reply, err := c.setWeaned(req, reminders.Day(req.WallOf(done)), "Weaned.")
		return reply.Lines, errors.Join(err)
	case b.Step == stepOverdue || strings.HasSuffix(b.Step, "-watch") && !c.hatching():
		return []string{"When they have come, say: " + c.example()}, nil
	case strings.HasSuffix(b.Step, "-open"):
		return []string{fmt.Sprintf("When they are out, say: hatched %d of %d", max(c.Eggs-c.Eggs/4, 1), c.Eggs)}, nil
	}
	return nil, nil
}
