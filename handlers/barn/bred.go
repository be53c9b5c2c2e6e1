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

// speciesOf is how the table of gestation calls a family.
var speciesOf = map[string]string{
	"pig": "sow", "goat": "doe goat", "sheep": "ewe", "cow": "cow", "horse": "mare", "donkey": "donkey", "rabbit": "rabbit", "alpaca": "alpaca", "llama": "llama", "guinea pig": "guinea pig", "dog": "dog", "cat": "cat",
	"hen": "chicken", "duck": "duck", "goose": "goose", "turkey": "turkey", "guinea fowl": "guinea fowl", "quail": "quail", "pigeon": "pigeon",
}

var ofAnimal = []desk.Need{{Kind: phrase.KindTerm, List: "livestock"}, {Kind: phrase.KindTerm, List: "herds"}}

const males = "boar|billy|bull|ram|tup|buck|stallion|jack|drake"

// bredWords belong to a line that tells of a service.
var bredWords = []string{
	"bred", "served", "covered", "mated", "inseminated", "inseminate", "ai", "ai'd", "tupped", "was", "were", "has", "been", "got", "went", "goes", "taken", "took", "put", "in", "with", "out", "to", "by", "again", "today", "this", "last", "night", "on", "from", "is", "are", "at", "until", "till", "visited", "both", "boy", "dr", "breed", "standing", "twice", "once",
	"back", "heat", "season", "returned", "came", "come", "not", "holding", "hold", "didn't", "take", "didnt", "her", "she", "again", "actually", "correction", "sorry",
}

func bredAsks() []desk.Ask {
	kinds := slices.Concat(dayed, []phrase.Kind{phrase.KindDays, phrase.KindNumber})
	lists := []string{"livestock", "herds"}
	sow := []string{"we have a sow", "bred the sow 20 feb"}
	dueWords := []string{
		"when", "is", "are", "due", "will", "does", "do", "the", "what", "what's", "whats", "next", "farrow", "kid", "lamb", "calve", "foal", "kindle", "whelp", "birth", "give", "have", "her", "their", "piglets", "kids", "lambs", "calf", "calves", "foal", "young", "babies", "litter", "going", "to", "how", "long", "till", "until", "pigs", "soon", "whens", "when's",
		"she", "dates", "date", "anything", "we", "dry", "off", "who", "in", "for", "days", "left", "expecting", "expected", "coming", "arrive", "go", "in", "bred", "farrowing", "kidding", "lambing", "calving", "now", "before", "should", "move", "nest", "box", "pen", "wean", "first", "then", "come", "be", "up",
	}
	return []desk.Ask{
		{
			Name: "bred", Command: "bred", Keep: true, Text: true, Needs: ofAnimal, Help: "a service, or a male with the females: the due window, and what runs up to it",
			Forms: []string{"^bred", "bred|served|covered|mated|inseminated|tupped", "to|by the " + males, "to|by * " + males, "ai'd", males + " in|out|with|is|went|goes", "in heat|season", "ran with"}, Kinds: kinds, Lists: lists,
			Examples: []desk.Example{
				{Setup: []string{"we have a sow"}, Line: "bred the sow today"},
				{Setup: []string{"Clover the doe"}, Line: "Clover to the billy yesterday"},
				{Setup: []string{"we have 2 sows"}, Line: "boar in with the sows from 1 to 20 feb"},
			},
			Plain: plainBred, Do: bred,
		},
		{
			Name: "bred", Command: "bred", Question: true, Help: "who is due, and when", Keep: true,
			Forms: []string{"^bred$", "^due$", "^due dates", "when|whens|when's * due|farrow|kid|lamb|calve|foal|kindle|whelp|farrowing|kidding|lambing|calving", "^is|are * due", "what|whats|what's|anything|who * due|expecting", "due when|date", "due$", "due soon", "how long till|until", "^what|whats|what's bred|due", "when|whens|when's are|do|will * coming|come|arrive", "when|whens|when's * pen", "when|whens|when's * dry off", "when|whens|when's * dry * off", "when|whens|when's * wean", "when|whens|when's * nest box"},
			Lists: lists, Kinds: []phrase.Kind{phrase.KindDate}, Fill: dueWords,
			Examples: []desk.Example{{Setup: sow, Line: "when is the sow due"}, {Setup: sow, Line: "bred"}},
			Plain:    func(req *desk.Request) bool { return len(strangers(req, dueWords...)) == 0 }, Do: whenDue,
		},
		{
			Name: "bred", Command: "bred", Question: true, Keep: true, Needs: ofAnimal, Help: "how long they carry, or when one would be due", Kinds: []phrase.Kind{phrase.KindDate, phrase.KindBad}, Lists: lists,
			Forms: []string{"how long * pregnant|carry|carries|gestation|sit|hatch|incubate|take", "gestation of|for", "^gestation", "if * bred|served|covered|set", "due if|from", "served|mated|bred|covered|tupped * due", "due * served|mated|bred|covered|tupped", "^due date", "when due$"}, Fill: carryWords,
			Examples: []desk.Example{{Line: "how long is a sow pregnant"}, {Line: "how long do duck eggs take to hatch"}},
			Plain: func(req *desk.Request) bool {
				return len(strangers(req, carryWords...)) == 0
			}, Do: carries,
		},
	}
}

func plainBred(req *desk.Request) bool {
	left := strangers(req, slices.Concat(bredWords, breedWords)...)
	left = slices.DeleteFunc(left, func(w string) bool { return strings.HasSuffix(w, "s") && beforeMale(req, w) }) // Ruth's boar
	return !asksOrDoubts(req) && len(left) == 0 && len(animalTerms(req)) > 0
}

// carryWords belong to a question of how long animals carry, or when one would be due.
var carryWords = []string{
	"how", "long", "is", "are", "pregnant", "carry", "carries", "gestation", "sit", "hatch", "incubate", "take", "to", "for", "eggs", "egg", "do", "does", "if", "bred", "served", "mated", "covered", "tupped", "set", "due", "date", "when", "whens", "would", "be", "on", "today", "she", "her", "was", "were",
	"farrow", "kid", "lamb", "calve", "from", "days", "will", "the",
}

// beforeMale reports a word right before a male: whose he is.
func beforeMale(req *desk.Request, w string) bool {
	return slices.ContainsFunc(req.Reading.Terms("livestock"), func(s phrase.Span) bool {
		k, _ := beastNamed(s.Value.(phrase.Term).Name)
		return k.age == male && word(req, s.First-1) == w
	})
}

// pair is the female and the male that a line tells of.
type pair struct {
	her  storage.Herd
	kind beast
	name string
	sire string
	many bool
}

// pairSaid reads who was served and by whom. Reply asks where it is not plain.
func pairSaid(req *desk.Request, b book) (pair, desk.Reply) {
	var p pair
	for _, s := range req.Reading.Spans {
		t, is := s.Value.(phrase.Term)
		if !is {
			continue
		}
		kind, herd := beast{}, storage.Herd{}
		switch t.List {
		case "herds":
			herd, _ = b.numbered(t.ID)
			kind, _ = beastNamed(herd.Kind)
		case "livestock":
			kind, _ = beastNamed(t.Name)
		default:
			continue
		}
		switch {
		case kind.age == male && p.sire == "":
			p.sire = "the " + kind.name
			if herd.Name != "" {
				p.sire = herd.Name
			}
		case (p.kind.name == "" || herd.ID != 0 && p.her.ID == 0) && kind.age != male:
			p.kind, p.her = kind, herd
			p.many = strings.HasSuffix(strings.ToLower(s.Text), "s") && kind.name != kind.plural && herd.ID == 0
			p.name = herd.Name
		}
	}
	if p.name == "" && p.kind.name != "" {
		groups := b.of(p.kind.name)
		p.name = "the " + p.kind.name
		if p.many {
			p.name = "the " + p.kind.plural
		}
		switch {
		case len(groups) == 1 && !p.many:
			p.her = groups[0]
			if p.her.Name != "" {
				p.name = p.her.Name
			}
		case len(groups) > 1 && !p.many:
			return p, whichOf(req, groups)
		}
	}
	return p, desk.Reply{}
}

// whichOf asks which of several animals is meant.
func whichOf(req *desk.Request, groups []storage.Herd) desk.Reply {
	var names []string
	var buttons []storage.Button
	for _, g := range groups {
		names = append(names, called(g))
		if t := req.Reading.Terms("livestock"); len(t) > 0 && g.Name != "" {
			start := t[0].Start
			if rest := strings.TrimRight(req.Text[:start], " "); strings.HasSuffix(strings.ToLower(rest), "the") {
				start = len(rest) - 3
			}
			buttons = append(buttons, desk.Labelled(g.Name, req.Text[:start]+g.Name+req.Text[t[0].End:]))
		}
	}
	return desk.AskBack("Which: "+strings.Join(names, " or ")+"?", buttons...)
}

// bred writes a service down.
func bred(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	p, reply := pairSaid(req, b)
	if reply.Head != "" {
		return reply, nil
	}
	if p.name == "" && p.sire != "" && hasWord(req, "out") {
		return maleOut(req, p)
	}
	if p.name == "" {
		return desk.AskBack("Who was served? For example: bred the sow on 1 dec"), nil
	}
	if hasWord(req, "heat", "season", "returned") || hasWord(req, "didn't", "didnt") && hasWord(req, "take", "hold") {
		return returned(req, p)
	}
	if p.sire != "" && hasWord(req, "out") {
		return maleOut(req, p)
	}
	if !toldService(req, p) && !req.Direct {
		return desk.Reply{}, desk.ErrSilent
	}
	length, reply := lengthOf(req, p)
	if reply.Head != "" {
		return reply, nil
	}
	if length.Kind == breeding.Incubation {
		return desk.AskBack("Eggs that are set: hatch 12 eggs under the broody"), nil
	}
	m := storage.Mating{Household: req.House.ID, Herd: p.her.ID, Species: length.Species, Breed: length.Breed, Name: p.name, Sire: p.sire}
	if reply, err := serviceDays(req, &m, length); err != nil || reply.Head != "" {
		return reply, err
	}
	return serveAll(req, b, course{m, length})
}

// serveAll writes the same service down for every female that a line names.
func serveAll(req *desk.Request, b book, first course) (desk.Reply, error) {
	all := []course{first}
	for _, t := range termsOf(req, "herds") {
		h, _ := b.numbered(t.ID)
		k, _ := beastNamed(h.Kind)
		if k.age == male || h.ID == first.Herd || speciesOf[k.family] != first.Species {
			continue
		}
		m := first.Mating
		m.Herd, m.Name = h.ID, h.Name
		all = append(all, course{m, first.length})
	}
	var texts []string
	for _, c := range all {
		if reply, err := servedBefore(req, c); err != nil || reply.Head != "" {
			return reply, err
		}
		texts = append(texts, c.text(req))
	}
	if err := req.Record(storage.Entry{Kind: "bred", Happened: at(req, whenOf(req, first.Since)), Text: strings.Join(texts, "; ")}); err != nil {
		return desk.Reply{}, err
	}
	var out desk.Reply
	for i, c := range all {
		one, err := serve(req, c)
		if err != nil {
			return desk.Reply{}, err
		}
		if i == 0 {
			out = one
			continue
		}
		out.Lines = append(out.Lines, one.Head)
	}
	return out, nil
}

// servedBefore tells of a service that is written down already.
func servedBefore(req *desk.Request, c course) (desk.Reply, error) {
	open, err := expecting(req)
	if err != nil {
		return desk.Reply{}, err
	}
	for _, o := range open {
		if o.Species == c.Species && strings.EqualFold(o.Name, c.Name) && o.Since.Equal(c.Since) && o.Until.Equal(c.Until) && o.Under == c.Under {
			return desk.AskBack(fmt.Sprintf("That is written down: %s, %s; %s %s.", o.Name, o.since(req), o.length.Event, o.window(req))), nil
		}
		mixed := o.Species == c.Species && strings.EqualFold(o.Name, c.Name) && (o.Under == "") != (c.Under == "") && !c.Since.After(o.lastDay())
		if mixed && !hasWord(req, "actually", "correction", "not", "sorry") {
			return desk.AskBack(fmt.Sprintf("%s, %s: %s %s. Did she come back in heat? Say that first, then this again; if not, it stands.", desk.Upper(o.Name), o.since(req), o.length.Event, o.window(req)),
				desk.Labelled("Back in heat", fmt.Sprintf("%s back in heat %s", o.Name, c.Since.Format("2 Jan 2006")))), nil
		}
	}
	return desk.Reply{}, nil
}

// toldService reports a line that says what was done, not only who there is.
func toldService(req *desk.Request, p pair) bool {
	return hasWord(req, "bred", "served", "covered", "mated", "inseminated", "ai", "ai'd", "tupped", "ran") || p.sire != "" && hasWord(req, "to", "by", "with")
}

// lengthOf is the length of pregnancy of the one who was served, by her breed where one
// is told.
func lengthOf(req *desk.Request, p pair) (breeding.Length, desk.Reply) {
	species := speciesOf[p.kind.family]
	if species == "" {
		return breeding.Length{}, desk.Refuse(fmt.Sprintf("I have no table of how long %s carry.", p.kind.plural))
	}
	found := breeding.Lookup(species + " " + p.her.Breed + " " + req.Text)
	found = slices.DeleteFunc(found, func(l breeding.Length) bool { return l.Species != species })
	if len(found) == 0 {
		found = breeding.Lookup(species)
	}
	if len(found) != 1 {
		return ofSeveral(req, found)
	}
	return found[0], desk.Reply{}
}

func ofSeveral(req *desk.Request, found []breeding.Length) (breeding.Length, desk.Reply) {
	var names []string
	var buttons []storage.Button
	for _, l := range found {
		names = append(names, fmt.Sprintf("%s (%d days)", l.Name(), l.Typical))
		if l.Breed != "" {
			buttons = append(buttons, desk.Labelled(desk.Upper(l.Breed), req.Text+" "+l.Breed))
		}
	}
	return breeding.Length{}, desk.AskBack("Which: "+strings.Join(names, " or ")+"?", buttons...)
}

// serviceDays sets on which day or days a service was, or the male was with her.
func serviceDays(req *desk.Request, m *storage.Mating, l breeding.Length) (desk.Reply, error) {
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
		return desk.Refuse(bad[0].Value.(string) + " Nothing was written down."), nil
	}
	if span := req.Reading.Of(phrase.KindDays); len(span) > 0 {
		d := span[0].Value.(phrase.DateSpan)
		if d.From.IsZero() {
			return desk.AskBack("From which day? For example: boar in with the sows from 1 to 20 nov"), nil
		}
		for d.From.After(dayOf(req)) && d.From.AddDate(-1, 0, 0).After(dayOf(req).AddDate(0, 0, -longBack)) {
			d.From, d.To = d.From.AddDate(-1, 0, 0), d.To.AddDate(-1, 0, 0)
		}
		m.Since, m.Until, m.Under = d.From, d.To, ran
		if m.Since.After(dayOf(req)) {
			return desk.AskBack(fmt.Sprintf("%s has not come yet. Say it when he goes in.", sayDate(req, m.Since))), nil
		}
		return desk.Reply{}, nil
	}
	when, reply := happened(req)
	if reply.Head != "" {
		if len(req.Reading.Of(phrase.KindDate)) > 0 {
			reply.Lines = []string{wouldBe(req, l, reminders.Day(when))}
		}
		return reply, nil
	}
	m.Since = reminders.Day(when)
	m.Until = m.Since
	if m.Sire != "" && hasWord(req, "in", "with") && !hasWord(req, "served", "bred", "covered", "mated") {
		m.Under = stillRuns
	}
	return desk.Reply{}, nil
}

// longBack is how far back a run with the male may lie, in days.
const longBack = 250

// wouldBe says when a service of a day would bring young.
func wouldBe(req *desk.Request, l breeding.Length, day time.Time) string {
	e := breeding.Due(l, day)
	return fmt.Sprintf("Served %s, %s would be due %s (%s to %s).", sayDate(req, day), l.Event, sayDate(req, e.Due), sayDate(req, e.Earliest), sayDate(req, e.Latest))
}

// sameHeat is how many days apart services are of one heat.
const sameHeat = 5

// serve writes a service down, and sets what runs up to the birth.
func serve(req *desk.Request, c course) (desk.Reply, error) {
	open, err := expecting(req)
	if err != nil {
		return desk.Reply{}, err
	}
	var before *course
	for i := range open {
		if open[i].Species == c.Species && strings.EqualFold(open[i].Name, c.Name) {
			before = &open[i]
		}
	}
	var lines []string
	switch {
	case before == nil:
	case hasWord(req, "actually", "correction", "not", "sorry"): // told wrong before
		m := before.Mating
		m.Since, m.Until, m.Under = c.Since, c.Until, c.Under
		if err := req.Tx.SaveMating(m); err != nil {
			return desk.Reply{}, err
		}
		return course{m, before.length}.told(req, []string{fmt.Sprintf("Not %s, as it was written.", sayDate(req, before.Since))})
	case before.Under == "" && c.Under == "" && !c.Since.After(before.lastDay()):
		return before.servedAgain(req, c)
	default:
		m := before.Mating
		m.Fate, m.Over = storage.FateReturned, c.Since
		if err := req.Tx.SaveMating(m); err != nil {
			return desk.Reply{}, err
		}
		if err := (course{m, before.length}).resettle(req); err != nil {
			return desk.Reply{}, err
		}
		lines = []string{fmt.Sprintf("The service of %s counts no more.", sayDate(req, m.Since))}
	}
	if c.Mating, err = req.Tx.AddMating(c.Mating); err != nil {
		return desk.Reply{}, err
	}
	return c.told(req, lines)
}

// lastDay is the last day of a course's window.
func (c course) lastDay() time.Time {
	e, err := c.expected()
	if err != nil {
		return c.Until
	}
	return e.Latest
}

// servedAgain joins another service to one that was written down and did not come to
// nothing for certain: planned from the last, watched from the first one's window.
func (c course) servedAgain(req *desk.Request, again course) (desk.Reply, error) {
	m := c.Mating
	gap := days(m.Until, again.Since)
	if again.Since.Before(m.Since) {
		m.Since = again.Since
	}
	if again.Until.After(m.Until) {
		m.Until = again.Until
	}
	if m.Sire != again.Sire {
		m.Sire = ""
	}
	if err := req.Tx.SaveMating(m); err != nil {
		return desk.Reply{}, err
	}
	line := fmt.Sprintf("Served before on %s: planned from the last, the window opens with the first.", sayDate(req, m.Since))
	if gap <= sameHeat {
		return course{m, c.length}.told(req, []string{line})
	}
	out, err := course{m, c.length}.told(req, []string{line, fmt.Sprintf("Was she back in heat %s? Then the service of %s counts no more: say so.", onDay(req, m.Until), sayDate(req, m.Since))})
	out.Buttons = append(out.Buttons, desk.Labelled("She was back in heat", fmt.Sprintf("%s back in heat %s", m.Name, m.Until.Format("2 Jan 2006"))))
	return out, err
}

// text is a service for the day book.
func (c course) text(req *desk.Request) string {
	text := fmt.Sprintf("%s, %s", c.Name, c.since(req))
	if c.Sire != "" {
		text += ", " + c.Sire
	}
	return text
}

// mostSteps is how many pieces of work an answer names.
const mostSteps = 5

// told sets the bells of a course and says when it is due and what comes before.
func (c course) told(req *desk.Request, lines []string) (desk.Reply, error) {
	if err := c.resettle(req); err != nil {
		return desk.Reply{}, err
	}
	steps, err := c.stepLines(req, mostSteps)
	if err != nil {
		return desk.Reply{}, err
	}
	late, err := c.tooLate(req)
	if err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(fmt.Sprintf("%s, %s: %s %s.", desk.Upper(c.Name), c.since(req), c.length.Event, c.window(req)), slices.Concat(lines, late, steps)...)
	out.Assumed = []string{c.assumed()}
	if kept := keptAway[c.Species]; kept {
		out.Cautions = append(out.Cautions, breeding.Expecting)
	}
	out.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return out, nil
}

// keptAway are the species whose births nobody who is expecting goes near.
var keptAway = map[string]bool{"ewe": true, "doe goat": true, "cow": true}

// assumed says which length was taken.
func (c course) assumed() string {
	l := c.length
	return fmt.Sprintf("%s: %d days, from %d to %d", l.Name(), l.Typical, l.Min, l.Max)
}

// returned writes down that a service did not take.
func returned(req *desk.Request, p pair) (desk.Reply, error) {
	c, reply, err := courseFor(req, p.name, p.kind)
	if err != nil || reply.Head != "" {
		if !req.Direct {
			return desk.Reply{}, errors.Join(err, desk.ErrSilent)
		}
		return reply, err
	}
	when, reply := happened(req)
	if reply.Head != "" {
		return reply, nil
	}
	if err := req.Record(storage.Entry{Kind: "bred", Happened: at(req, when), Text: fmt.Sprintf("%s back in heat: the service of %s did not take", c.Name, sayDate(req, c.Since))}); err != nil {
		return desk.Reply{}, err
	}
	if c.Under == "" && c.Since.Before(c.Until) && !reminders.Day(when).After(c.Until) { // and was served again then
		first := c.Since
		c.Since = c.Until
		if err := req.Tx.SaveMating(c.Mating); err != nil {
			return desk.Reply{}, err
		}
		return c.told(req, []string{fmt.Sprintf("The service of %s counts no more.", sayDate(req, first))})
	}
	c.Fate, c.Over = storage.FateReturned, reminders.Day(when)
	if err := req.Tx.SaveMating(c.Mating); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(fmt.Sprintf("%s is back in heat: the service of %s did not take. Its bells are ended.", desk.Upper(c.Name), sayDate(req, c.Since)), "When she is served again: bred "+c.Name)
	return out, c.resettle(req)
}

// maleOut ends the time of a male with the females.
func maleOut(req *desk.Request, p pair) (desk.Reply, error) {
	all, err := expecting(req)
	if err != nil {
		return desk.Reply{}, err
	}
	i := slices.IndexFunc(all, func(c course) bool {
		return c.Under == stillRuns && (p.name == "" || strings.EqualFold(c.Name, p.name)) && (c.Sire == "" || strings.EqualFold(c.Sire, p.sire))
	})
	if i < 0 {
		if !req.Direct {
			return desk.Reply{}, desk.ErrSilent
		}
		return desk.AskBack("No male is written down as being with the females. For example: boar in with the sows from 1 to 20 nov"), nil
	}
	when, reply := happened(req)
	if reply.Head != "" {
		return reply, nil
	}
	c := all[i]
	c.Until, c.Under = reminders.Day(when), ran
	if c.Until.Before(c.Since) {
		return desk.AskBack(fmt.Sprintf("He went in %s. When did he come out?", sayDate(req, c.Since))), nil
	}
	if err := req.Record(storage.Entry{Kind: "bred", Happened: at(req, when), Text: c.text(req)}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SaveMating(c.Mating); err != nil {
		return desk.Reply{}, err
	}
	return c.told(req, nil)
}

// courseFor is the course of an animal that is not over. Reply says that there is none,
// or asks which.
func courseFor(req *desk.Request, name string, kind beast) (course, desk.Reply, error) {
	all, err := expecting(req)
	if err != nil {
		return course{}, desk.Reply{}, err
	}
	found := slices.DeleteFunc(slices.Clone(all), func(c course) bool { return c.hatching() || !strings.EqualFold(c.Name, name) })
	if len(found) == 0 {
		found = slices.DeleteFunc(all, func(c course) bool {
			return c.hatching() || c.Species != speciesOf[kind.family] || c.Herd != 0 && !strings.HasPrefix(c.Name, "the ") && name != "" && !strings.HasPrefix(name, "the ")
		})
	}
	switch len(found) {
	case 0:
		return course{}, desk.AskBack(fmt.Sprintf("No service of %s is written down. For example: bred %s on 1 dec", name, name)), nil
	case 1:
		return found[0], desk.Reply{}, nil
	}
	var names []string
	for _, c := range found {
		names = append(names, fmt.Sprintf("%s (%s)", c.Name, c.since(req)))
	}
	return found[len(found)-1], desk.AskBack("Which: " + strings.Join(names, " or ") + "?"), nil
}

// whenDue answers who is due and when.
func whenDue(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	all, err := expecting(req)
	if err != nil {
		return desk.Reply{}, err
	}
	p, _ := pairSaid(req, b)
	if p.kind.age == young && p.her.ID == 0 { // "when do the goats kid" has kids in it
		if mothers, ok := beastNamed(p.kind.family); ok {
			p.kind, p.name = mothers, "the "+mothers.plural
		}
	}
	found := all
	if p.kind.name != "" {
		found = slices.DeleteFunc(slices.Clone(all), func(c course) bool {
			if p.her.Name != "" {
				return !strings.EqualFold(c.Name, p.her.Name)
			}
			return c.Species != speciesOf[p.kind.family] && !(c.hatching() && speciesOf[p.kind.family] == c.length.Species)
		})
	}
	if hasWord(req, "wean") || len(found) == 0 && hasWord(req, "piglets", "kids", "lambs") {
		if reply, err := whenWeaned(req, p); err != nil || reply.Head != "" {
			return reply, err
		}
	}
	switch len(found) {
	case 0:
		name := p.name
		if !req.Direct && (name == "" || b.count(p.kind.name) == 0) {
			return desk.Reply{}, desk.ErrSilent
		}
		if name == "" {
			return desk.Answer("Nobody is due: no service and no eggs are written down.", "For example: bred the sow on 1 dec; hatch 12 eggs under the broody"), nil
		}
		return desk.Answer(fmt.Sprintf("No service of %s is written down.", name), "Write it down: bred "+name+" on 1 dec"), nil
	case 1:
		return found[0].state(req)
	}
	out := desk.Answer("Due:")
	for _, c := range found {
		out.Lines = append(out.Lines, fmt.Sprintf("%s: %s %s", desk.Upper(c.Name), c.length.Event, c.window(req)))
	}
	return out, nil
}

// state says when one course is due, how far it is, and what comes next.
func (c course) state(req *desk.Request) (desk.Reply, error) {
	out := desk.Answer(fmt.Sprintf("%s: %s %s.", desk.Upper(c.Name), c.length.Event, c.window(req)))
	gone := days(c.Since, dayOf(req))
	if e, err := c.expected(); err == nil && e.OneDate && gone >= 0 {
		left := days(dayOf(req), e.Due)
		text := fmt.Sprintf("Day %d of %d, %s.", gone, c.length.Typical, c.since(req))
		switch {
		case left < 0:
			text = fmt.Sprintf("Day %d, %s past the day, %s.", gone, desk.Plural(-left, "day"), c.since(req))
		case c.Until.After(c.Since):
			text = desk.Upper(c.since(req)) + "."
		}
		out.Lines = []string{text}
	}
	steps, err := c.stepLines(req, mostSteps)
	out.Lines = append(out.Lines, steps...)
	if e, err := c.expected(); err == nil && !dayOf(req).Before(e.Earliest.AddDate(0, 0, -7)) {
		out.Cautions = c.help()
	}
	return out, err
}

// help is when the vet is called at a birth, in the published words.
func (c course) help() []string {
	var out []string
	for _, l := range breeding.Help(c.length.Species) {
		out = append(out, desk.Upper(l.Sign)+": "+lowerFirst(l.Act))
	}
	if len(out) > 0 {
		out = append(out, breeding.Uneasy)
	}
	if keptAway[c.Species] {
		out = append(out, breeding.Expecting)
	}
	return out
}

// carries answers how long animals carry or eggs take, and when one would be due.
func carries(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	family, breed := "", ""
	for _, p := range patients(req, b) {
		family, breed = p.kind.family, p.herd.Breed
	}
	found := breeding.Lookup(speciesOf[family] + " " + breed + " " + req.Text)
	found = slices.DeleteFunc(found, func(l breeding.Length) bool {
		return l.Species != speciesOf[family] && !(family == "duck" && l.Species == "Muscovy duck")
	})
	if len(found) == 0 {
		return desk.Reply{}, desk.ErrSilent
	}
	dates := req.Reading.Of(phrase.KindDate)
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
		return desk.Refuse(bad[0].Value.(string)), nil
	}
	if len(dates) > 0 && !hasWord(req, "how", "gestation") {
		return desk.Answer(wouldBe(req, found[0], stillToCome(req, found[0], dates[0].Value.(phrase.Date))), "Nothing was written down: to keep it, say bred, who and when."), nil
	}
	var out desk.Reply
	for i, l := range found {
		text := fmt.Sprintf("%s: %d days, from %d to %d.", desk.Upper(l.Name()), l.Typical, l.Min, l.Max)
		if i == 0 {
			out = desk.Answer(text)
			continue
		}
		out.Lines = append(out.Lines, text)
	}
	if len(dates) > 0 {
		out.Lines = append(out.Lines, wouldBe(req, found[0], dates[0].Value.(phrase.Date).Next))
	}
	return out, nil
}

// stillToCome is the service that a date without its year means: the last, as long as its
// young are still to come.
func stillToCome(req *desk.Request, l breeding.Length, d phrase.Date) time.Time {
	if d.Last.AddDate(0, 0, l.Max).Before(dayOf(req)) {
		return d.Next
	}
	return d.Last
}
