package chores

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/childwork"
	"yardbell/calc/rota"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// command gives out a chore that was typed with its word, or shows them.
func command(req *desk.Request) (desk.Reply, error) {
	if len(phrase.Words(req.Text)) == 1 {
		return overview(req)
	}
	if reply, is, err := limit(req); is || err != nil {
		return reply, err
	}
	return give(req, req.Text)
}

// give gives one line out.
func give(req *desk.Request, text string) (desk.Reply, error) {
	text = strings.TrimPrefix(strings.TrimSpace(text), "/")
	o, r, reply, ok := read(req, text)
	if !ok {
		return reply, nil
	}
	bells, reply, ok, err := o.whole(r)
	if err != nil || !ok {
		return reply, err
	}
	return o.write(req, bells)
}

// sentence gives out what a plain sentence says, or changes what it names.
func sentence(req *desk.Request) (desk.Reply, error) {
	if reply, is, err := changed(req); is || err != nil {
		return reply, err
	}
	if reply, is, err := askHour(req); is || err != nil {
		return reply, err
	}
	return give(req, req.Text)
}

// plainSentence lets a line that was not addressed to the bot give work out only
// when it is built like one: somebody, a verb of work, and when, with a time.
func plainSentence(req *desk.Request) bool {
	if is, _ := changes(req); is && req.Mentions("instead") && !strings.ContainsAny(req.Text, "?!") && !req.Mentions("if", "when", "why", "who", "would", "could", "not") {
		return true
	}
	if strings.ContainsAny(req.Text, "?!") || req.Mentions("if", "unless", "because", "when", "why", "who", "whose", "was", "were", "will", "would", "could", "might", "did",
		"never", "not", "don't", "isn't", "had", "has", "always", "remind", "ring", "says", "said", "think", "i'll", "we", "they", "he", "she", "instead") && !sharing(req) {
		return false
	}
	if ok, _ := changes(req); ok {
		return true
	}
	o, r, _, ok := read(req, req.Text)
	if ok && o.name != "" && o.wholess(r) {
		return true
	}
	if !o.subject || o.name == "" && ok || letsSomebody(r) {
		return false
	}
	if !ok {
		return len(r.reading.Of(phrase.KindBad)) > 0 && len(r.reading.Terms("people")) > 0 && verbLine(r)
	}
	if o.hourless(r) {
		return true
	}
	timed := r.timed() || o.sun != ""
	repeats := len(r.reading.Of(phrase.KindRule)) > 0 || o.how == storage.ChoreDays && len(o.slots) > 1
	dated := len(r.reading.Of(phrase.KindDate))+len(r.reading.Of(phrase.KindPart))+len(r.reading.Of(phrase.KindClocks)) > 0
	imperative := o.verb && repeats && req.May() && len(o.slots[0].people) > 0 && !req.Mentions("your", "you")
	if !o.started && !imperative || !timed || !repeats && !dated {
		return false
	}
	if o.how == storage.ChoreFree && !repeats || !o.isWork(r) {
		return false
	}
	return repeats || req.May()
}

// letsSomebody reports "let Lise feed the hens", which hands a turn on.
func letsSomebody(r *reader) bool {
	spans := r.reading.Terms("people")
	return r.first() == "let" && len(spans) > 0 && spans[0].First == 1
}

// vague are verbs that give work out only with certain things, or are said of it
// where it is dangerous, which is answered in any case.
var vague = map[string]map[string]bool{
	"go": {}, "help": {}, "get": {}, "use": {}, "give": {},
	"drive":  set("hens chickens ducks geese goats sheep cows cattle pigs sow stock kids children bins bin rubbish recycling trailer milk eggs"),
	"watch":  set("hens chickens chicks ducks goats sheep cows pigs sow lambs kids children baby jar bread oven pot pan stove fire kiln still gate milk dog"),
	"run":    set("bath baths washing wash dishwasher machine hoover tap generator errands errand water hose sprinkler pump"),
	"tend":   set("bees hives garden hens goats sheep pigs lambs stock animals plants beds"),
	"boil":   set("kettle egg eggs water potatoes milk jars pasta rice ham bones pudding bottles"),
	"drill":  {},
	"spread": set("muck manure compost mulch straw hay lime slurry gravel sand"),
	"pick":   set("toys clothes eggs apples plums pears berries fruit beans peas flowers stones rubbish litter up"),
	"lead":   set("goat goats pony donkey horse halter"),
	"take":   set("bins bin rubbish trash recycling compost ashes slops scraps"),
	"put":    set("bins bin rubbish trash recycling washing hens chickens ducks goats away"),
	"make":   set("bed beds breakfast lunch supper dinner tea bread butter cheese porridge sandwiches packed coffee soup"),
}

// owned are things of one's own that are work to see to: "his room", and not "his hair".
var owned = set("room bed toys clothes plate bag boots shoes things desk")

// isWork tells what somebody is given to do from what somebody does: "Tom makes me
// laugh", "Ivo washes his hair".
func (o *order) isWork(r *reader) bool {
	words := phrase.Words(o.name)
	if len(words) == 0 || words[0] == "sit" && !slices.Contains(words, "with") && !slices.Contains(words, "on") {
		return false // by the fire
	}
	if childwork.Never(o.name) || o.how == storage.ChoreTurn || o.how == storage.ChoreDays || o.how == storage.ChoreLeast {
		return true
	}
	if len(r.reading.Terms("people")) > len(o.everyone()) && len(o.everyone()) == 1 {
		return false // somebody else is in it
	}
	for i, w := range words {
		if w == "his" || w == "her" || w == "their" || w == "my" || w == "me" || w == "him" || w == "them" {
			return i+1 < len(words) && owned[words[i+1]]
		}
	}
	things, is := vague[words[0]]
	is = is || slices.Contains(strings.Fields(risky), words[0])
	if is && !slices.ContainsFunc(words[1:], func(w string) bool { return things[w] }) {
		return false
	}
	return len(words) > 1 || baseVerbs()[words[0]] == "" || r.marked()
}

// marked reports "Ivo - logs - daily 4pm".
func (r *reader) marked() bool { return r.has("-", ":") }

// sharing reports "whoever has done least", in which "has" and "who" ask nothing.
func sharing(req *desk.Request) bool { return req.Mentions("whoever") }

func verbLine(r *reader) bool {
	return slices.ContainsFunc(r.toks, func(t phrase.Token) bool { return baseVerbs()[t.Low] != "" && baseVerbs()[t.Low] != t.Low })
}

func (r *reader) timed() bool {
	for _, k := range []phrase.Kind{phrase.KindClock, phrase.KindClocks, phrase.KindPart, phrase.KindToClock} {
		if len(r.reading.Of(k)) > 0 {
			return true
		}
	}
	return slices.ContainsFunc(r.reading.Of(phrase.KindRule), func(s phrase.Span) bool { return len(s.Value.(phrase.Rule).Hours) > 0 })
}

// paste gives out a list of chores, a line each: what can be given out is written
// under one entry, and what cannot is told with its line.
func paste(req *desk.Request) (desk.Reply, error) {
	var given []order
	var bells [][]storage.Bell
	var said []string
	var trouble []desk.Reply
	for _, line := range req.More {
		if strings.TrimSpace(line) == "" {
			continue
		}
		if strings.Contains(req.Form, "rota") {
			line = "rota " + line
		}
		one := *req
		one.More, one.Text = nil, line
		o, r, reply, ok := read(&one, line)
		var own []storage.Bell
		if ok {
			var err error
			if own, reply, ok, err = o.whole(r); err != nil {
				return desk.Reply{}, err
			}
		}
		if !ok {
			reply.Head = desk.Quote(strings.TrimPrefix(line, "rota ")) + " was left out: " + reply.Head
			trouble = append(trouble, reply)
			continue
		}
		given, bells, said = append(given, o), append(bells, own), append(said, o.name)
	}
	if len(given) == 0 {
		return joined(trouble, desk.Reply{Status: storage.Asked, Kind: storage.KindReply}), nil
	}
	if err := req.Record(storage.Entry{Kind: "chore", Text: desk.Plural(len(given), "chore") + ": " + desk.List(said)}); err != nil {
		return desk.Reply{}, err
	}
	var out []desk.Reply
	for i := range given {
		reply, err := given[i].keep(req, bells[i])
		if err != nil {
			return desk.Reply{}, err
		}
		out = append(out, reply)
	}
	reply := joined(append(out, trouble...), desk.Answer(""))
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo"), desk.Labelled("Chores", "chores")}
	return reply, nil
}

// joined makes one reply of several, with what they assume and warn of told once.
func joined(replies []desk.Reply, out desk.Reply) desk.Reply {
	add := func(to, more []string) []string {
		for _, m := range more {
			if !slices.Contains(to, m) {
				to = append(to, m)
			}
		}
		return to
	}
	for _, r := range replies {
		if out.Head == "" {
			out.Head = r.Head
		} else {
			out.Lines = append(out.Lines, r.Head)
		}
		out.Lines = append(out.Lines, r.Lines...)
		out.Assumed, out.Cautions = add(out.Assumed, r.Assumed), add(out.Cautions, r.Cautions)
	}
	return out
}

// whole asks for what is missing, refuses what must not be, and makes the bells.
func (o *order) whole(r *reader) ([]storage.Bell, desk.Reply, bool, error) {
	req := r.req
	if reply, ok := o.named(r); !ok {
		return nil, reply, false, nil
	}
	o.pool(req)
	if reply, ok := o.may(req); !ok {
		return nil, reply, false, nil
	}
	if reply, ok := o.alone(r); !ok {
		return nil, reply, false, nil
	}
	if reply, ok, err := o.fit(req); err != nil || !ok {
		return nil, reply, false, err
	}
	bells, reply, ok := o.when(r)
	return bells, reply, ok, nil
}

// named asks for what a chore needs: what, who.
func (o *order) named(r *reader) (desk.Reply, bool) {
	if name := r.stranger(o); name != "" {
		return desk.Refuse(fmt.Sprintf("I know nobody called %s here. The household: %s. A keeper can type: house add %s", name, everybody(r.req), name)), false
	}
	if r.either() {
		return desk.AskBack("Which of the two? Name one person and one time, or several with \"and\"."), false
	}
	if o.two {
		return desk.AskBack("That reads like two chores. One a line, please."), false
	}
	if o.name == "" {
		return desk.AskBack("What is to be done? For example: chore feed the hens Ivo daily at 7"), false
	}
	if len([]rune(o.name)) > 80 {
		return desk.Refuse("That is too long for the name of a chore: at most 80 letters."), false
	}
	if !o.subject {
		return desk.AskBack(fmt.Sprintf("Who does it? Somebody by name, several in turn, or whoever has done least, for example: %s", o.withName(r)),
			desk.Labelled("Whoever is free", asCommand(r.req.Text)+", whoever is free")), false
	}
	if (o.how == storage.ChoreTurn || o.rota && o.how == "") && len(o.slots) == 1 && len(o.slots[0].people) < 2 {
		return desk.AskBack(fmt.Sprintf("Who takes turns? Name at least two, for example: rota %s Ivo Lise daily at 19:00", o.name)), false
	}
	if o.how == storage.ChoreDays && len(o.slots) < 2 {
		return desk.AskBack(fmt.Sprintf("Who has which days? For example: rota %s Ivo mon wed fri, Lise tue thu at 7", o.name)), false
	}
	return desk.Reply{}, true
}

// withName is the line with somebody in it, as an example of how to give it out.
func (o *order) withName(r *reader) string {
	if ruleOf(r.reading) != nil {
		return asCommand(r.req.Text) + ", " + r.req.Who.Name
	}
	return fmt.Sprintf("chore %s %s daily at 7", o.name, r.req.Who.Name)
}

// pool settles how the chore is shared and among whom, where the line leaves it
// open.
func (o *order) pool(req *desk.Request) {
	s := &o.slots[0]
	if o.how == "" {
		switch {
		case o.rota:
			o.how = storage.ChoreTurn
		case len(s.people) > 1:
			o.how = storage.ChoreSeveral
		default:
			o.how = storage.ChoreOne
		}
	}
	if (o.how != storage.ChoreLeast && o.how != storage.ChoreFree) || len(s.people) > 0 {
		return
	}
	all := reminders.Expand(reminders.Kids, req.People, req.Now)
	if !o.kids && (len(all) < 2 || childwork.Never(o.name) || o.how == storage.ChoreFree) {
		all = reminders.Expand(reminders.Everyone, req.People, req.Now)
	}
	for _, p := range all {
		if why, _ := reminders.Unfit(o.chore(req), p, req.Now); why == "" || o.kids {
			s.people = append(s.people, p)
		}
	}
	o.notes = append(o.notes, "among "+names(s.people))
}

func (o *order) everyone() []storage.Person {
	var out []storage.Person
	for _, s := range o.slots {
		for _, p := range s.people {
			if !slices.ContainsFunc(out, func(q storage.Person) bool { return q.ID == p.ID }) {
				out = append(out, p)
			}
		}
	}
	return out
}

// may lets keepers give work to anybody and everybody else to themselves alone.
func (o *order) may(req *desk.Request) (desk.Reply, bool) {
	all := o.everyone()
	if req.May() || len(all) == 1 && all[0].ID == req.Who.ID {
		return desk.Reply{}, true
	}
	return desk.Refuse("Only a keeper gives chores to others. For yourself: chore "+o.name+" me daily at 7", "Ask "+keepers(req)+" to type it."), false
}

// alone keeps children from standing by at what is never a child's: "with Ivo
// watching".
func (o *order) alone(r *reader) (desk.Reply, bool) {
	if !childwork.Never(o.name) {
		return desk.Reply{}, true
	}
	for _, s := range r.reading.Terms("people") {
		beside := s.First > 0 && slices.Contains([]string{"with", "while"}, r.toks[s.First-1].Low)
		watching := s.Past < len(r.toks) && slices.Contains([]string{"watching", "watches", "helping", "helps", "beside", "along", "looking"}, r.toks[s.Past].Low)
		for _, p := range named(r.req, s) {
			if (beside || watching) && p.Child(r.req.Now) {
				return desk.Refuse(fmt.Sprintf("%s is never work for a child, not to watch either: no child in the room. Give it out without %s.", desk.Upper(childwork.Judge(o.name).What), p.Name)), false
			}
		}
	}
	return desk.Reply{}, true
}

// fit keeps from children what is not for them.
func (o *order) fit(req *desk.Request) (desk.Reply, bool, error) {
	c := o.chore(req)
	for _, p := range o.everyone() {
		why, never, err := reminders.UnfitHere(req.Tx, c, p, req.Now)
		switch {
		case err != nil:
			return desk.Reply{}, false, err
		case why == "":
		case never:
			reply := desk.Refuse(why)
			if childwork.Never(c.Name) {
				reply.Lines = []string{"No rota, swap or vote changes that; it is for an adult: " + desk.List(adults(req)) + "."}
				if o.least > 0 {
					reply.Lines = append(reply.Lines, fmt.Sprintf("A least age of %d does not lift it.", o.least))
				}
			}
			return reply, false, nil
		case o.adult && req.May():
		default:
			reply := desk.AskBack(why+" With an adult beside, or somebody older?", desk.Labelled("With an adult", asCommand(req.Text)+", with an adult"))
			return reply, false, nil
		}
	}
	return desk.Reply{}, true, nil
}

func asCommand(text string) string {
	text = strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(text), "/"))
	first, _, _ := strings.Cut(strings.ToLower(text), " ")
	if first == "chore" || first == "rota" {
		return text
	}
	return "chore " + text
}

// chore is the record that the order makes.
func (o *order) chore(req *desk.Request) storage.Chore {
	c := storage.Chore{Household: req.House.ID, Name: o.name, Minutes: o.minutes, Effort: o.effort, Least: o.least, Place: o.place, How: o.how, Made: req.Now}
	if c.Minutes == 0 {
		c.Minutes = usualMinutes
	}
	if o.adult && req.May() {
		for _, p := range o.everyone() {
			if p.Child(req.Now) {
				c.Allowed = append(c.Allowed, p.ID)
			}
		}
	}
	return c
}

// when makes a bell for each of the chore's slots.
func (o *order) when(r *reader) ([]storage.Bell, desk.Reply, bool) {
	var out []storage.Bell
	for i := range o.slots {
		b, reply, ok := o.bell(r, &o.slots[i])
		if !ok {
			return nil, reply, false
		}
		out = append(out, b)
	}
	return out, desk.Reply{}, true
}

func (o *order) bell(r *reader, s *slot) (storage.Bell, desk.Reply, bool) {
	req := r.req
	b := storage.Bell{Household: req.House.ID, Title: o.name, Made: req.Now, Useful: reminders.UsefulOnce, Hint: o.hint()}
	reminders.Classify(&b)
	b.Care = b.Care || b.Safety
	rule := ruleOf(r.reading)
	if len(s.days) > 0 {
		rule = &phrase.Rule{Freq: "WEEKLY", Interval: 1, Days: s.days}
	}
	times, assumed := r.reading.DayTimes()
	moment := r.reading.Moment(req.Context(), phrase.Future)
	if o.sun != "" && len(r.reading.Of(phrase.KindClock))+len(r.reading.Of(phrase.KindClocks)) == 0 {
		at, reply, ok := o.byTheSun(req)
		if !ok {
			return b, reply, false
		}
		times, assumed = []phrase.Clock{at}, false
		moment.Wall, moment.HasClock = reminders.AtMinutes(reminders.Day(moment.Wall), storage.Minutes(at.Hour*60+at.Minute)), true
	}
	switch {
	case rule == nil && moment.HasDate:
		if reply, ok := o.once(req, &b, moment); !ok {
			return b, reply, false
		}
		b.Whom = o.whom(req, b, *s)
		return b, desk.Reply{}, true
	case rule == nil && len(times) == 0:
		return b, desk.AskBack(fmt.Sprintf("When? For example: %s, daily at 7", asCommand(req.Text))), false
	case rule == nil:
		rule = &phrase.Rule{Freq: "DAILY", Interval: 1}
		o.note("every day; for once only say today or tomorrow")
	}
	if rule.PerDay > 0 && rule.PerDay != len(times) {
		return b, desk.AskBack(fmt.Sprintf("At which %d times of the day? For example: at 7 and 18:00.", rule.PerDay)), false
	}
	if rule.Freq == "MINUTELY" {
		return b, desk.AskBack("A chore comes round by days or hours, for example: daily at 7. For every few minutes set a bell: ring me ..."), false
	}
	if assumed {
		o.note("read as " + clocks(times) + "; for the morning say am")
	}
	if reply, ok := o.repeat(req, r.reading, &b, *rule, times); !ok {
		return b, reply, false
	}
	b.Whom = o.whom(req, b, *s)
	return b, desk.Reply{}, true
}

// ruleOf puts together what a line says of a repeat; nil when it says nothing.
func ruleOf(reading phrase.Reading) *phrase.Rule {
	rules := reading.Of(phrase.KindRule)
	if len(rules) == 0 {
		return nil
	}
	rule := rules[0].Value.(phrase.Rule)
	for _, s := range rules[1:] { // "daily" and "on weekdays" in one line: the days are the narrower
		if v := s.Value.(phrase.Rule); len(v.Days) > 0 && len(rule.Days) == 0 {
			rule.Freq, rule.Days = v.Freq, v.Days
		}
	}
	if except := reading.Of(phrase.KindExcept); len(except) > 0 {
		rule = rule.Except(except[0].Value.([]time.Weekday))
	}
	return &rule
}

func (o *order) once(req *desk.Request, b *storage.Bell, moment phrase.When) (desk.Reply, bool) {
	b.Next = req.Instant(moment.Wall)
	if !moment.HasClock {
		b.Daily, b.Useful = true, reminders.UsefulDaily
		if b.Next = reminders.RoundOn(req.House, moment.Wall); !b.Next.After(req.Now) {
			b.Next = reminders.House{Household: req.House}.NextRound(req.Now)
		}
	}
	if !b.Next.After(req.Now) {
		return desk.Refuse(fmt.Sprintf("%s has passed. Nothing was set.", req.Say(b.Next))), false
	}
	if moment.Assumed {
		o.note("read as " + req.WallOf(b.Next).Format("15:04"))
	}
	return desk.Reply{}, true
}

func (o *order) repeat(req *desk.Request, reading phrase.Reading, b *storage.Bell, rule phrase.Rule, times []phrase.Clock) (desk.Reply, bool) {
	start := reminders.Day(req.Wall)
	if d := reading.Of(phrase.KindDate); len(d) > 0 {
		if _, weekday := weekdayOf(d[0].Text); !weekday {
			start = d[0].Value.(phrase.Date).Next
		}
	}
	rep := req.Repeat(rule, times, start)
	b.Schedule, b.Daily, b.Elapsed, b.Useful = rep.Spec, rep.Daily, rep.Elapsed, desk.UsefulFor(rule)
	if n := reading.Of(phrase.KindTimes); len(n) > 0 {
		b.Remain = n[0].Value.(int)
	}
	if until := reading.Of(phrase.KindUntil); len(until) > 0 {
		b.Until = req.Instant(until[0].Value.(phrase.Date).Next.AddDate(0, 0, 1)).Add(-time.Second)
	}
	from := req.Now
	if start.After(reminders.Day(req.Wall)) {
		from = req.Instant(start).Add(-time.Second)
	}
	sched, err := reminders.House{Household: req.House}.Schedule(*b)
	if err != nil {
		return desk.Refuse("I could not make a schedule of that. Try: chore feed the hens Ivo daily at 7"), false
	}
	if b.Next = sched.Next(from); b.Next.IsZero() || !b.Until.IsZero() && b.Next.After(b.Until) {
		return desk.Refuse("That never comes. Nothing was set."), false
	}
	return desk.Reply{}, true
}

// whom is the whom of a bell of the chore.
func (o *order) whom(req *desk.Request, b storage.Bell, s slot) string {
	return whomOf(req, o.how, b, ids(s.people))
}

// whomOf writes for whom a bell rings, by how its chore is shared.
func whomOf(req *desk.Request, how string, b storage.Bell, who []int64) string {
	switch how {
	case storage.ChoreTurn:
		return reminders.InTurnBy(rota.Extra(len(who), perWeek(req, b)), who...)
	case storage.ChoreLeast:
		return reminders.ByLeast(who...)
	}
	return reminders.People(who...)
}

// perWeek is how often a bell falls due in a week, 0 where weeks differ.
func perWeek(req *desk.Request, b storage.Bell) int {
	if b.Schedule == "" {
		return 0
	}
	sched, err := reminders.House{Household: req.House}.Schedule(b)
	if err != nil {
		return 0
	}
	count := func(from time.Time) (n int) {
		for at := sched.Next(from); at.Before(from.AddDate(0, 0, 7)) && !at.IsZero() && n < 100; at = sched.Next(at) {
			n++
		}
		return n
	}
	from := req.Instant(reminders.Day(req.WallOf(b.Next)))
	if n := count(from); n == count(from.AddDate(0, 0, 7)) {
		return n
	}
	return 0
}

// hint is said with the ring: how long and where, as far as it was told.
func (o *order) hint() string {
	var parts []string
	if o.minutes > 0 {
		parts = append(parts, fmt.Sprintf("%d min", o.minutes))
	}
	if o.place != "" {
		parts = append(parts, o.place)
	}
	return strings.Join(parts, ", ")
}

func (o *order) note(text string) {
	if !slices.Contains(o.notes, text) {
		o.notes = append(o.notes, text)
	}
}

// write keeps the chore with its bells, under an entry of its own.
func (o *order) write(req *desk.Request, bells []storage.Bell) (desk.Reply, error) {
	c := o.chore(req)
	if other, err := o.bellAlready(req, bells); err != nil || other.Head != "" {
		return other, err
	}
	if twin, err := o.twin(req, c, bells); err != nil || twin.Head != "" {
		return twin, err
	}
	if err := req.Record(storage.Entry{Kind: "chore", Text: fmt.Sprintf("chore: %s, %s, %s", c.Name, sayTo(req, c, bells), sayWhen(req, bells))}); err != nil {
		return desk.Reply{}, err
	}
	return o.keep(req, bells)
}

// keep writes the chore and its bells under the entry that is open.
func (o *order) keep(req *desk.Request, bells []storage.Bell) (desk.Reply, error) {
	c, err := req.Tx.AddChore(o.chore(req))
	if err != nil {
		return desk.Reply{}, err
	}
	for i, b := range bells {
		b.Subject, b.Why = c.Subject(), "chore"
		if bells[i], err = req.Tx.AddBell(b); err != nil {
			return desk.Reply{}, err
		}
	}
	head := fmt.Sprintf("%s: %s, %s.", desk.Upper(c.Name), sayTo(req, c, bells), sayWhen(req, bells))
	if c.How == storage.ChoreDays {
		head = fmt.Sprintf("%s, by day.", desk.Upper(c.Name))
	}
	reply := desk.Answer(head)
	if reply.Lines, err = firstLines(req, c, bells); err != nil {
		return desk.Reply{}, err
	}
	reply.Lines = append(reply.Lines, o.counts(c)...)
	reply.Assumed = o.notes
	if o.minutes == 0 && o.effort == 0 {
		reply.Assumed = append(reply.Assumed, fmt.Sprintf("%d min each time", usualMinutes))
	}
	reply.Cautions = cautions(req, c, o.everyone())
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo"), desk.Labelled("Chores", "chores")}
	return reply, nil
}

// counts says what was told of length, effort, age and place.
func (o *order) counts(c storage.Chore) []string {
	var parts []string
	if o.minutes > 0 {
		parts = append(parts, fmt.Sprintf("%d min", o.minutes))
	}
	if o.effort > 0 {
		parts = append(parts, fmt.Sprintf("effort %d", o.effort))
	}
	if c.Least > 0 {
		parts = append(parts, fmt.Sprintf("from age %d", c.Least))
	}
	if c.Place != "" {
		parts = append(parts, c.Place)
	}
	if len(parts) == 0 {
		return nil
	}
	return []string{desk.Upper(strings.Join(parts, ", ")) + "."}
}

// firstLines says when it comes first and to whom, and how a turn goes round.
func firstLines(req *desk.Request, c storage.Chore, bells []storage.Bell) ([]string, error) {
	home, err := req.Home()
	if err != nil {
		return nil, err
	}
	var out []string
	if c.How == storage.ChoreDays {
		for _, b := range bells {
			out = append(out, fmt.Sprintf("%s: %s", reminders.SayWhom(b.Whom, req.People, req.Now), reminders.SaySchedule(b.Schedule)))
		}
		return out, nil
	}
	b := bells[0]
	who, called := home.Called(b, b.Next, b.Next)
	switch {
	case called:
		out = append(out, fmt.Sprintf("First %s, %s.", req.Say(b.Next), who.Name))
	case b.Schedule != "":
		out = append(out, "First "+req.Say(b.Next)+".")
	}
	if reminders.IsTurn(b.Whom) {
		n, per := len(reminders.Roll(b.Whom, req.People)), perWeek(req, b)
		weeks, all := rota.Cycle(n, per, rota.Extra(n, per))
		if per > 1 && all {
			out = append(out, fmt.Sprintf("In %d weeks each has had every time of the week.", weeks))
		}
	}
	call := home.Call(b, b.Whom, b.Next)
	switch {
	case call.Shut != "":
		out = append(out, fmt.Sprintf("The %s is roped off: while it is, this waits.", call.Shut))
	case call.At.After(b.Next) && !reminders.OneOf(b.Whom):
		out = append(out, "Until "+req.Say(call.At)+" it is held back: "+home.Why(b, b.Whom, b.Next)+".")
	}
	return out, nil
}

// cautions say who stands by where a child does work with animals or tools.
func cautions(req *desk.Request, c storage.Chore, who []storage.Person) []string {
	v := childwork.Judge(c.Name)
	if v.What == "" || v.Never {
		return nil
	}
	var out []string
	for _, p := range who {
		if p.Child(req.Now) {
			out = append(out, fmt.Sprintf("%s (%d): %s.", p.Name, p.AgeAt(req.Now), childwork.StandBy(p.AgeAt(req.Now))))
		}
	}
	if len(out) > 0 && strings.Contains(v.What, "from outside") {
		out = append(out, desk.Upper(v.What[strings.Index(v.What, "from outside"):])+"; once there are young it is an adult's.")
	}
	return out
}
