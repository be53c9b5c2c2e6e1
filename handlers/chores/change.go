package chores

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/childwork"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// changing runs a change of one chore that exists, on the word of whoever may. Where
// several are meant, each is offered by the line again or, where one is given, by the
// words to say, with its name for the mark.
func changing(do func(*desk.Request, storage.Chore) (desk.Reply, error), say ...string) func(*desk.Request) (desk.Reply, error) {
	return func(req *desk.Request) (desk.Reply, error) {
		fit, err := meant(req)
		if err != nil {
			return desk.Reply{}, err
		}
		if len(fit) == 0 && !req.Direct {
			return desk.Reply{}, desk.ErrSilent
		}
		if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
			return desk.Refuse(bad[0].Value.(string) + " Nothing was changed."), nil
		}
		if name := strangeName(req); name != "" {
			return desk.Refuse(fmt.Sprintf("I know nobody called %s here. The household: %s.", name, everybody(req))), nil
		}
		again := strings.Join(say, "")
		if again == "" {
			again = withName(req)
		}
		c, reply, ok := one(req, fit, again)
		if !ok {
			return reply, nil
		}
		if own, err := ownAlone(req, c); err != nil || !own && !req.May() {
			return desk.Refuse("Only a keeper changes chores: "+keepers(req)+".", "A turn can be swapped: swap "+c.Name+" with NAME"), err
		}
		return do(req, c)
	}
}

// withName is the line with a place for the chore's whole name.
func withName(req *desk.Request) string {
	terms := req.Reading.Terms("chores")
	text := strings.ReplaceAll(req.Text, "%", "")
	if len(terms) == 0 || len(text) != len(req.Text) || terms[0].First < 2 && req.Reading.Tokens[0].Low == "the" || terms[0].First == 0 {
		return "" // a button's line opens with the word that says what is to be done
	}
	return text[:terms[0].Start] + "%" + text[terms[len(terms)-1].End:]
}

// ownAlone reports a chore that an adult has given to nobody but themselves.
func ownAlone(req *desk.Request, c storage.Chore) (bool, error) {
	bells, err := bellsOf(req, c)
	return err == nil && !req.Who.Child(req.Now) && len(bells) == 1 && bells[0].Whom == reminders.People(req.Who.ID), err
}

// save records a change and writes the chore and its bells back.
func save(req *desk.Request, c storage.Chore, bells []storage.Bell, said string) (desk.Reply, error) {
	if err := req.Record(storage.Entry{Kind: "chore", About: c.Subject(), Text: fmt.Sprintf("%s: %s", c.Name, said)}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SaveChore(c); err != nil {
		return desk.Reply{}, err
	}
	for _, b := range bells {
		if b.ID == 0 {
			if _, err := req.Tx.AddBell(b); err != nil {
				return desk.Reply{}, err
			}
			continue
		}
		if err := req.Tx.SaveBell(b); err != nil {
			return desk.Reply{}, err
		}
	}
	reply := desk.Answer(fmt.Sprintf("%s: %s.", desk.Upper(c.Name), said))
	if len(bells) == 1 {
		if at := nextOf(req, bells[0]); !at.IsZero() {
			reply.Lines = append(reply.Lines, "Next "+req.Say(at)+".")
		}
	}
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo"), desk.Labelled("Chores", "chores")}
	return reply, nil
}

// nextOf is when a bell falls due next on a day on which it rings.
func nextOf(req *desk.Request, b storage.Bell) time.Time {
	sched, err := reminders.House{Household: req.House}.Schedule(b)
	if b.Schedule == "" || err != nil {
		return b.Next
	}
	at := b.Next
	for !at.IsZero() && b.Rest.Has(reminders.Day(req.WallOf(at))) {
		at = sched.Next(at)
	}
	return at
}

// retime gives a chore another time of day, or other days.
func retime(req *desk.Request, c storage.Chore) (desk.Reply, error) {
	bells, err := bellsOf(req, c)
	if err != nil {
		return desk.Reply{}, err
	}
	times, _ := req.Reading.DayTimes()
	rule := ruleOf(req.Reading)
	if rule != nil && rule.PerDay > 0 && rule.PerDay != len(times) {
		return desk.AskBack(fmt.Sprintf("At which %d times of the day?", rule.PerDay)), nil
	}
	moment := req.Reading.Moment(req.Context(), phrase.Future)
	if len(times) == 0 && rule == nil && !moment.HasDate && len(req.Reading.Terms("people")) > 0 {
		return giveTo(req, c)
	}
	if len(times) == 0 && rule == nil && !moment.HasDate {
		return desk.AskBack(fmt.Sprintf("To when? For example: move %s to 8:30", c.Name)), nil
	}
	if rule != nil && dropsDays(req, bells, *rule) {
		return askDays(req, c, bells, *rule), nil
	}
	for i := range bells {
		b := &bells[i]
		switch {
		case b.Schedule == "" && rule == nil:
			if b.Next = req.Instant(moment.Wall); !moment.HasDate {
				b.Next = req.Instant(reminders.AtMinutes(reminders.Day(req.WallOf(bells[i].Due)), storage.Minutes(times[0].Hour*60+times[0].Minute)))
			}
			if !b.Next.After(req.Now) {
				return desk.Refuse(req.Say(b.Next) + " has passed. Nothing was changed."), nil
			}
			continue
		case rule != nil:
			at := times
			if len(at) == 0 && !b.Next.IsZero() && !b.Daily {
				w := req.WallOf(b.Next)
				at = []phrase.Clock{{Hour: w.Hour(), Minute: w.Minute()}}
			}
			rep := req.Repeat(*rule, at, reminders.Day(req.Wall))
			b.Schedule, b.Daily, b.Useful = rep.Spec, rep.Daily, desk.UsefulFor(*rule)
		case moment.HasDate:
			return desk.AskBack(fmt.Sprintf("%s comes round: %s. Say a time of day or days of the week; for one time only, swap it or skip it.", desk.Upper(c.Name), sayWhen(req, bells))), nil
		case len(times) == 1 && len(clocksOf(req, *b)) > 1:
			return whichTime(c, clocksOf(req, *b), times[0]), nil
		default:
			var minutes []storage.Minutes
			for _, t := range times {
				minutes = append(minutes, storage.Minutes(t.Hour*60+t.Minute))
			}
			b.Schedule, b.Daily = reminders.AtClocks(b.Schedule, minutes...), false
		}
		if reply, ok := reseat(req, b); !ok {
			return reply, nil
		}
		b.Whom = rewhom(req, c, *b)
	}
	return save(req, c, bells, sayWhen(req, bells))
}

// dropsDays reports days of the week that would be lost, where a line speaks of some of
// them and does not say that the others go: "hens an hour later at weekends".
func dropsDays(req *desk.Request, bells []storage.Bell, rule phrase.Rule) bool {
	if len(bells) != 1 || len(rule.Days) == 0 || !strings.HasPrefix(bells[0].Schedule, "cron ") {
		return false
	}
	if req.Mentions("only", "instead") || req.Mentions("move", "change", "shift", "now") && !req.Mentions("later", "earlier") {
		return false
	}
	had := cronDays(bells[0].Schedule)
	if strings.Contains(bells[0].Schedule, "|") || len(had) == 0 {
		return len(rule.Days) < 7
	}
	return slices.ContainsFunc(had, func(d time.Weekday) bool { return !slices.Contains(rule.Days, d) })
}

// askDays asks what becomes of the other days, and how some days get an hour of their own.
func askDays(req *desk.Request, c storage.Chore, bells []storage.Bell, rule phrase.Rule) desk.Reply {
	var days []string
	for _, d := range rule.Days {
		days = append(days, strings.ToLower(d.String()))
	}
	reply := desk.AskBack(fmt.Sprintf("%s is %s. What of the other days?", desk.Upper(c.Name), sayWhen(req, bells)),
		desk.Labelled("Only on these", fmt.Sprintf("move %s to %s only", c.Name, strings.Join(days, " "))))
	reply.Lines = []string{"For another hour on these days alone:"}
	if had := cronDays(bells[0].Schedule); len(had) == 0 || slices.ContainsFunc(rule.Days, func(d time.Weekday) bool { return slices.Contains(had, d) }) {
		reply.Lines = append(reply.Lines, fmt.Sprintf("no %s on %s", c.Name, strings.Join(days, " ")))
	}
	reply.Lines = append(reply.Lines, fmt.Sprintf("chore %s %s %s at %s, as well", c.Name, sayTo(req, c, bells), strings.Join(days, " "), hourMeant(req, bells[0])))
	return reply
}

// hourMeant is the hour that a line says for some days, as it is or by how much later than
// the one there is.
func hourMeant(req *desk.Request, b storage.Bell) string {
	if times, _ := req.Reading.DayTimes(); len(times) > 0 {
		return clocks(times)
	}
	at, by := req.WallOf(b.Next), time.Hour
	if strings.Contains(strings.ToLower(req.Text), "half an hour") {
		by = 30 * time.Minute
	}
	switch {
	case req.Mentions("earlier") && req.Mentions("hour"):
		return at.Add(-by).Format("15:04")
	case req.Mentions("later") && req.Mentions("hour"):
		return at.Add(by).Format("15:04")
	}
	return "9:00"
}

// clocksOf are the times of day at which a bell comes round.
func clocksOf(req *desk.Request, b storage.Bell) []phrase.Clock {
	sched, err := reminders.House{Household: req.House}.Schedule(b)
	if err != nil || b.Schedule == "" || b.Daily || b.Elapsed || b.Next.IsZero() {
		return nil
	}
	day := reminders.Day(req.WallOf(b.Next))
	var out []phrase.Clock
	for at := sched.Next(req.Instant(day).Add(-time.Second)); !at.IsZero() && len(out) < 6 && reminders.Day(req.WallOf(at)).Equal(day); at = sched.Next(at) {
		w := req.WallOf(at)
		out = append(out, phrase.Clock{Hour: w.Hour(), Minute: w.Minute()})
	}
	return out
}

// whichTime asks which of the times of a chore another is to take the place of.
func whichTime(c storage.Chore, had []phrase.Clock, to phrase.Clock) desk.Reply {
	reply := desk.AskBack(fmt.Sprintf("%s comes round at %s. Which of them at %s?", desk.Upper(c.Name), clocks(had), clocks([]phrase.Clock{to})))
	for i := range had {
		moved := slices.Clone(had)
		moved[i] = to
		reply.Buttons = append(reply.Buttons, desk.Labelled(fmt.Sprintf("%s, not %s", clocks([]phrase.Clock{to}), clocks(had[i:i+1])), fmt.Sprintf("move %s to %s", c.Name, clocks(sortedClocks(moved)))))
	}
	return reply
}

func sortedClocks(all []phrase.Clock) []phrase.Clock {
	slices.SortFunc(all, func(a, b phrase.Clock) int { return a.Hour*60 + a.Minute - b.Hour*60 - b.Minute })
	return slices.Compact(all)
}

// reseat sets when a changed bell falls due next: not again on a day on which it
// has rung already.
func reseat(req *desk.Request, b *storage.Bell) (desk.Reply, bool) {
	sched, err := reminders.House{Household: req.House}.Schedule(*b)
	if err != nil {
		return desk.Refuse("I could not make a schedule of that. Nothing was changed."), false
	}
	from := req.Now
	if !b.Due.IsZero() && reminders.Day(req.WallOf(b.Due)).Equal(reminders.Day(req.Wall)) && !strings.Contains(b.Schedule, "|") {
		from = req.Instant(reminders.Day(req.Wall).AddDate(0, 0, 1)).Add(-time.Second)
	}
	if b.Next = sched.Next(from); b.Next.IsZero() || !b.Until.IsZero() && b.Next.After(b.Until) {
		return desk.Refuse("It would never come round again. Nothing was changed."), false
	}
	return desk.Reply{}, true
}

// rewhom keeps the people of a rota when its times have changed.
func rewhom(req *desk.Request, c storage.Chore, b storage.Bell) string {
	if !reminders.OneOf(b.Whom) {
		return b.Whom
	}
	return whomOf(req, c.How, b, ids(reminders.Roll(b.Whom, req.People)))
}

// giveTo gives a chore to somebody else for good.
func giveTo(req *desk.Request, c storage.Chore) (desk.Reply, error) {
	var who []storage.Person
	for _, s := range req.Reading.Terms("people") {
		if possessive(s) && len(req.Reading.Terms("people")) > 1 {
			continue
		}
		who = append(who, named(req, s)...)
	}
	if len(who) == 0 {
		return desk.AskBack(fmt.Sprintf("Give %s to whom?", c.Name)), nil
	}
	for _, p := range who {
		if why, _, err := reminders.UnfitHere(req.Tx, c, p, req.Now); err != nil || why != "" {
			return desk.Refuse(why, desk.Upper(c.Name)+" stays as it is."), err
		}
	}
	bells, err := bellsOf(req, c)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(bells) > 1 {
		return desk.AskBack(fmt.Sprintf("%s goes by day: %s. Stop it and give it out anew.", desk.Upper(c.Name), sayTo(req, c, bells))), nil
	}
	if c.How = storage.ChoreOne; len(who) > 1 {
		c.How = storage.ChoreSeveral
	}
	bells[0].Whom = reminders.People(ids(who)...)
	return save(req, c, bells, fmt.Sprintf("%s, %s", sayTo(req, c, bells), sayWhen(req, bells)))
}

func possessive(s phrase.Span) bool {
	return strings.HasSuffix(s.Text, "'s") || strings.EqualFold(s.Text, "my") || s.Value.(phrase.Term).Match == phrase.Inflected
}

// lasts sets how long a chore takes.
func lasts(req *desk.Request, c storage.Chore) (desk.Reply, error) {
	d := req.Reading.Of(phrase.KindDuration)
	if len(d) != 1 {
		return desk.Reply{}, desk.ErrSilent
	}
	c.Minutes = int(d[0].Value.(time.Duration) / time.Minute)
	if c.Minutes < 1 || c.Minutes > 720 {
		return desk.AskBack("How long does it take? From 1 min to 12 h."), nil
	}
	return save(req, c, nil, fmt.Sprintf("%d min each time", c.Minutes))
}

// weigh sets the effort of a chore.
func weigh(req *desk.Request, c storage.Chore) (desk.Reply, error) {
	n := numbers(req)
	if len(n) != 1 || n[0] < 1 || n[0] > 1000 {
		return desk.AskBack("What is its effort, in minutes of ordinary work? For example: " + c.Name + " effort 30"), nil
	}
	c.Effort = n[0]
	return save(req, c, nil, fmt.Sprintf("effort %d", c.Effort))
}

func numbers(req *desk.Request) []int {
	var out []int
	for _, t := range req.Reading.Tokens {
		if t.Kind == phrase.Num && t.Value != nil && t.Value.IsInt() {
			out = append(out, int(t.Value.Num().Int64()))
		}
	}
	return out
}

// limit sets the least age of a chore, when a line does that: it holds beside what
// is usual, and never lifts what is never a child's.
func limit(req *desk.Request) (desk.Reply, bool, error) {
	o, r, _, ok := read(req, req.Text)
	if !ok || o.least == 0 || r.timed() || len(r.reading.Terms("people")) > 0 || len(r.reading.Of(phrase.KindRule)) > 0 {
		return desk.Reply{}, false, nil
	}
	if childwork.Never(o.name) {
		why, _ := reminders.Unfit(storage.Chore{Name: o.name}, storage.Person{Name: "a child", Age: 17}, req.Now)
		return desk.Refuse(why, fmt.Sprintf("A least age of %d does not lift that.", o.least)), true, nil
	}
	reply, err := changing(fromAge)(req)
	return reply, true, err
}

func fromAge(req *desk.Request, c storage.Chore) (desk.Reply, error) {
	n := numbers(req)
	if len(n) != 1 || n[0] < 1 || n[0] > 99 {
		return desk.AskBack("From what age? For example: " + c.Name + " from age 10"), nil
	}
	if childwork.Never(c.Name) {
		return desk.Refuse(desk.Upper(c.Name) + " is never work for a child, and no age lifts that."), nil
	}
	c.Least = n[0]
	bells, err := bellsOf(req, c)
	if err != nil {
		return desk.Reply{}, err
	}
	for _, b := range bells {
		for _, p := range reminders.Expand(b.Whom, req.People, req.Now) {
			if why, _ := reminders.Unfit(c, p, req.Now); why != "" {
				return desk.Refuse(fmt.Sprintf("%s has it, and is %d. First: give %s to somebody else, or take %s out of it.", p.Name, p.AgeAt(req.Now), c.Name, p.Name)), nil
			}
		}
	}
	return save(req, c, nil, fmt.Sprintf("from age %d", c.Least))
}

// stop ends a chore for good.
func stop(req *desk.Request, c storage.Chore) (desk.Reply, error) {
	bells, err := bellsOf(req, c)
	if err != nil {
		return desk.Reply{}, err
	}
	if err := req.Record(storage.Entry{Kind: "chore", About: c.Subject(), Text: "stopped the chore: " + c.Name}); err != nil {
		return desk.Reply{}, err
	}
	for _, b := range bells {
		if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
			return desk.Reply{}, err
		}
	}
	if err := req.Tx.StopChore(c.ID, req.Now); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(fmt.Sprintf("Stopped: %s. What was done of it stays in the account.", c.Name))
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return reply, nil
}

// join takes somebody into a rota, or out of it.
func join(req *desk.Request, c storage.Chore) (desk.Reply, error) {
	return inOrOut(req, c, req.Mentions("out", "off", "remove", "from"))
}

func takeOut(req *desk.Request, c storage.Chore) (desk.Reply, error) { return inOrOut(req, c, true) }

func inOrOut(req *desk.Request, c storage.Chore, out bool) (desk.Reply, error) {
	bells, err := bellsOf(req, c)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(bells) != 1 {
		return desk.AskBack(fmt.Sprintf("%s goes by day: %s. Stop it and give it out anew.", desk.Upper(c.Name), sayTo(req, c, bells))), nil
	}
	who, _ := personAsked(req)
	if who.ID == 0 {
		return desk.AskBack("Who? For example: add Edda to the " + c.Name + " rota"), nil
	}
	roll := ids(reminders.Roll(bells[0].Whom, req.People))
	in, said := slices.Contains(roll, who.ID), "with "+who.Name+": "
	if out {
		roll = slices.DeleteFunc(roll, func(id int64) bool { return id == who.ID })
		switch {
		case !in:
			return desk.Answer(fmt.Sprintf("%s is not in it: %s.", who.Name, sayTo(req, c, bells))), nil
		case len(roll) == 0:
			return desk.AskBack(fmt.Sprintf("Nobody would be left. To end it: stop the %s chore", c.Name)), nil
		}
		said = "without " + who.Name + ": "
		bells[0].Swaps = bells[0].Swaps.Without(who.ID, req.Now)
		if bells[0].Turn == who.ID {
			bells[0].Turn = before(roll, reminders.Roll(bells[0].Whom, req.People), who.ID)
		}
	} else {
		if why, _, err := reminders.UnfitHere(req.Tx, c, who, req.Now); err != nil || why != "" {
			return desk.Refuse(why, desk.Upper(c.Name)+" stays as it is."), err
		}
		if in {
			return desk.Answer(fmt.Sprintf("%s is in it already: %s.", who.Name, sayTo(req, c, bells))), nil
		}
		roll = append(roll, who.ID)
	}
	switch {
	case len(roll) == 1 && c.How != storage.ChoreLeast:
		c.How = storage.ChoreOne
	case c.How == storage.ChoreOne:
		c.How = storage.ChoreTurn
	}
	bells[0].Whom = whomOf(req, c.How, bells[0], roll)
	return save(req, c, bells, said+sayTo(req, c, bells))
}

// before is who stands before somebody who leaves an order: the next turn is then
// whose it was to be.
func before(left []int64, order []storage.Person, gone int64) int64 {
	i := slices.IndexFunc(order, func(p storage.Person) bool { return p.ID == gone })
	for k := range order {
		p := order[(i-k+len(order))%len(order)].ID
		if slices.Contains(left, p) {
			return p
		}
	}
	return 0
}

// shareBy lets a chore go by turns or by who has done least from now on.
func shareBy(req *desk.Request, c storage.Chore) (desk.Reply, error) {
	bells, err := bellsOf(req, c)
	if err != nil {
		return desk.Reply{}, err
	}
	var roll []int64
	for _, b := range bells {
		for _, p := range reminders.Roll(b.Whom, req.People) {
			if !slices.Contains(roll, p.ID) {
				roll = append(roll, p.ID)
			}
		}
	}
	if len(bells) != 1 || len(roll) < 2 {
		return desk.AskBack(fmt.Sprintf("Among whom? Stop it and give it out anew, for example: rota %s by least done Ivo Lise daily at 19:00", c.Name)), nil
	}
	if c.How = storage.ChoreTurn; req.Mentions("least") {
		c.How = storage.ChoreLeast
	}
	bells[0].Whom = whomOf(req, c.How, bells[0], roll)
	return save(req, c, bells, sayTo(req, c, bells))
}

// called renames the chore that stands before "to" or "chore": the words behind it
// may be those of another.
func called(req *desk.Request) (desk.Reply, error) {
	end := slices.IndexFunc(req.Reading.Tokens, func(t phrase.Token) bool { return t.Low == "to" || t.Low == "chore" || t.Low == "rota" })
	if end > 0 {
		req.Reading.Spans = slices.DeleteFunc(slices.Clone(req.Reading.Spans), func(s phrase.Span) bool { return s.First >= end })
	}
	return changing(rename)(req)
}

// rename calls a chore something else.
func rename(req *desk.Request, c storage.Chore) (desk.Reply, error) {
	name := newName(req)
	if name == "" {
		return desk.AskBack(fmt.Sprintf("What shall it be called? For example: rename %s to washing up", c.Name)), nil
	}
	bells, err := bellsOf(req, c)
	if err != nil {
		return desk.Reply{}, err
	}
	was := c.Name
	c.Name = name
	for i := range bells {
		for _, p := range reminders.Expand(bells[i].Whom, req.People, req.Now) {
			if why, _, err := reminders.UnfitHere(req.Tx, c, p, req.Now); err != nil || why != "" {
				return desk.Refuse(why, "It stays "+was+"."), err
			}
		}
		bells[i].Title = name
	}
	return save(req, c, bells, "was "+was)
}

// newName is what stands behind "to", or behind "chore", or behind the chore's old
// name.
func newName(req *desk.Request) string {
	toks, terms := req.Reading.Tokens, req.Reading.Terms("chores")
	at := terms[0].Past
	for i := at; i < len(toks); i++ {
		if w := toks[i].Low; w == "to" || w == "as" || w == "into" {
			at = i + 1
			break
		} else if w == "chore" || w == "rota" {
			at = i + 1
		}
	}
	if at >= len(toks) {
		return ""
	}
	name := nameOf(req.Text[toks[at].Start:])
	if strings.HasPrefix(name, "to ") {
		name = nameOf(name[3:])
	}
	return name
}

// changes reports a plain line that names a chore and a time, and nobody: "dishes
// at 8pm from now on".
func changes(req *desk.Request) (bool, error) {
	timed := len(req.Reading.Of(phrase.KindClock))+len(req.Reading.Of(phrase.KindClocks)) > 0
	lasting := len(req.Reading.Of(phrase.KindRule)) > 0 || req.Mentions("now", "instead") || bare(req)
	return timed && lasting && !req.Mentions("i", "me", "my") && len(req.Reading.Unknown) == 0 && len(req.Reading.Terms("chores")) > 0 && len(req.Reading.Terms("people")) == 0 &&
		!req.Mentions("chore", "rota", "tomorrow", "today", "tonight"), nil
}

// bare reports "goats at 8": a chore, "at" and a time, and no more.
func bare(req *desk.Request) bool {
	terms, clocks := req.Reading.Terms("chores"), req.Reading.Of(phrase.KindClock)
	if len(terms) == 0 || len(clocks) != 1 || !req.May() || !strings.HasPrefix(clocks[0].Text, "at ") && !req.Mentions("at") {
		return false
	}
	toks := req.Reading.Tokens
	first := slices.IndexFunc(toks, func(t phrase.Token) bool { return t.Low != "the" })
	return first == terms[0].First && clocks[0].Past == len(toks)
}

func changed(req *desk.Request) (desk.Reply, bool, error) {
	if is, err := changes(req); err != nil || !is {
		return desk.Reply{}, false, err
	}
	if bare(req) && !req.Mentions("now", "instead") && len(req.Reading.Of(phrase.KindRule)) == 0 {
		reply, err := changing(askMove, moveTo(req))(req)
		return reply, true, err
	}
	reply, err := changing(retime, moveTo(req))(req)
	return reply, true, err
}

// moveTo is the line that moves a chore to the times that a line says, with a mark for
// its name; empty where it says days too.
func moveTo(req *desk.Request) string {
	times, _ := req.Reading.DayTimes()
	if len(times) == 0 || len(req.Reading.Of(phrase.KindRule)) > 0 {
		return ""
	}
	return "move % to " + clocks(times)
}

// askMove asks whether "goats at 8" is to move the chore.
func askMove(req *desk.Request, c storage.Chore) (desk.Reply, error) {
	bells, err := bellsOf(req, c)
	times, _ := req.Reading.DayTimes()
	if err != nil || len(bells) == 0 || len(times) != 1 || !bells[0].Care {
		return desk.Reply{}, silentOr(err) // "dishes at 8" is talk; animals wait for nobody
	}
	had := clocksOf(req, bells[0])
	if slices.Contains(had, times[0]) {
		return desk.Answer(fmt.Sprintf("%s is at that time: %s, %s.", desk.Upper(c.Name), sayTo(req, c, bells), sayWhen(req, bells))), nil
	}
	if len(had) > 1 {
		return whichTime(c, had, times[0]), nil
	}
	at := clocks(times)
	return desk.AskBack(fmt.Sprintf("Move %s to %s? It is %s.", c.Name, at, sayWhen(req, bells)), desk.Labelled("Move it", fmt.Sprintf("move %s to %s", c.Name, at))), nil
}
