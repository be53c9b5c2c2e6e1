package bells

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

// changeAsks are the ways to say that a bell is to ring otherwise than it does.
func changeAsks() []desk.Ask {
	daily := []string{"ring me feed the hens daily at 7"}
	kinds := append([]phrase.Kind{phrase.KindThing, phrase.KindToClock}, phrase.Whenever...)
	lists := []string{"bells", "people"}
	fill := []string{"moved", "changed", "shifted", "reschedule", "instead", "turn", "turns", "in", "by", "take", "taking", "bell", "bells", "ring", "now", "on", "rings", "make", "be", "onwards", "time"}
	return []desk.Ask{
		{
			Name: "change", Command: "ring", Kinds: kinds, Lists: lists, Fill: fill, Doubt: true, Keep: true, Help: "let a bell ring at another time, or for somebody else",
			Forms: []string{
				"^ring|remind * instead", "^move|change|shift * bell", "^move|change|shift bell|ring", "bell * from now on$", "^from now on * bell", "^give * bell to", "^give bell * to", "bell * instead$",
			},
			Examples: []desk.Example{
				{Setup: daily, Line: "ring the hens at 8 instead"}, {Setup: daily, Line: "move the hens bell to 8:30am"}, {Setup: daily, Line: "change bell 1 to saturdays at 9"},
			},
			Plain: plainChange, Do: change,
		},
		{
			Name: "change", Command: "ring", Kinds: kinds, Lists: lists, Fill: fill, Keep: true, Help: "let a bell ring at another time, called by its name alone",
			Forms:    []string{"^move|change|shift|put|reschedule the|my|our", "moved|changed|shifted to", "is|are now at|on", "^reschedule"},
			Examples: []desk.Example{{Setup: []string{"ring me call the vet at 10am tomorrow"}, Line: "move the vet call to 11am tomorrow"}},
			Plain:    func(req *desk.Request) bool { return timed(req) && plainChange(req) && oneOwn(req) }, Strict: true, Do: change,
		},
		{
			Name: "change", Command: "ring", Kinds: []phrase.Kind{phrase.KindThing}, Lists: []string{"bells"}, Keep: true, Fill: []string{"bell", "can", "wait", "cannot", "can't", "always"},
			Help: "whether a bell waits on a bare day, or when its person is away", Forms: []string{"^bell * can wait$", "* bell can wait$", "^bell * can't|cannot wait$", "* bell can't|cannot wait$"},
			Examples: []desk.Example{{Setup: daily, Line: "bell 1 can wait"}, {Setup: daily, Line: "the hens bell can't wait"}}, Do: canWait,
		},
	}
}

// plainChange lets a line that was not addressed to the bot change a bell only
// when it names one that there is.
func plainChange(req *desk.Request) bool {
	if req.Mentions("did", "should", "shall", "why", "was", "has", "have") {
		return false
	}
	_, numbered := numberSaid(req)
	return numbered || len(req.Reading.Terms("bells")) > 0
}

// edit is a bell as it is to be, with its open ring where that is to be put off.
type edit struct {
	storage.Bell
	ring *storage.Ring
}

// change lets a bell ring at another time, on other days, or for other people.
func change(req *desk.Request) (desk.Reply, error) {
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
		return desk.Refuse(bad[0].Value.(string) + " Nothing was changed."), nil
	}
	b, reply, ok, err := theBell(req, "Change which bell?", "move bell %d to")
	if err != nil || !ok {
		return reply, err
	}
	e := edit{Bell: b}
	was := sayWhen(req, b) + ", " + reminders.SayWhom(b.Whom, req.People, req.Now)
	reply, changed := newWhom(req, &e.Bell)
	if reply.Head != "" {
		return reply, nil
	}
	reply, timed := newTime(req, &e)
	if reply.Head != "" {
		return reply, nil
	}
	if strange := desk.UnknownWords(req.Reading.Unknown); strange != "" {
		return desk.Refuse(fmt.Sprintf("I do not know what %s means there. Nothing was changed. The household: %s.", desk.Quote(strange), peopleNames(req))), nil
	}
	if !changed && !timed {
		return desk.AskBack(fmt.Sprintf("To when, or for whom? For example: move bell %d to 8:30, or: give bell %d to Ivo", b.Num, b.Num)), nil
	}
	old, b := b, e.Bell
	to := reminders.SayWhom(b.Whom, req.People, req.Now)
	text := fmt.Sprintf("bell %d, %s: %s, %s (was %s)", b.Num, b.Title, sayWhen(req, b), to, was)
	if err := req.Record(storage.Entry{Kind: "change", About: fmt.Sprintf("bell:%d", b.Num), Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if err := e.save(req, changed); err != nil {
		return desk.Reply{}, err
	}
	reply = desk.Answer(fmt.Sprintf("Bell %d for %s: %s, %s.", b.Num, to, b.Title, sayWhen(req, b)), "Was "+was+".")
	if !b.Next.IsZero() {
		reply.Lines = []string{"Next " + req.Say(b.Next) + "; was " + was + "."}
	}
	if e.ring != nil {
		reply.Lines = append(reply.Lines, "What rings now is put off until "+req.Say(e.ring.Wake)+".")
	}
	if b.Again != old.Again {
		reply.Lines = append(reply.Lines, "Unanswered it is said "+reminders.ParseLadder(b.Again).Say()+".")
	}
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo"), desk.Labelled("Bells", "bells")}
	return reply, nil
}

// theBell is the bell that a line names, when there is exactly one and the
// speaker may change it.
func theBell(req *desk.Request, question, again string) (storage.Bell, desk.Reply, bool, error) {
	coming, err := live(req.Tx, req.House.ID)
	if err != nil {
		return storage.Bell{}, desk.Reply{}, false, err
	}
	fit, given := pick(req, coming)
	if len(fit) == 0 && !req.Direct {
		return storage.Bell{}, desk.Reply{}, false, desk.ErrSilent
	}
	if len(fit) != 1 {
		if len(fit) == 0 {
			fit = coming
		}
		if given && len(fit) == 0 || len(coming) == 0 {
			return storage.Bell{}, desk.AskBack("No bell of that name is set.", desk.Button("bells")), false, nil
		}
		reply := desk.AskBack(question)
		for _, b := range fit[:min(len(fit), 6)] {
			reply.Lines = append(reply.Lines, bellLine(req, b))
			reply.Buttons = append(reply.Buttons, desk.Labelled(b.Title, fmt.Sprintf(again, b.Num)))
		}
		return storage.Bell{}, reply, false, nil
	}
	b := fit[0]
	if reminders.IsChore(b) {
		return b, ofChore(b), false, nil
	}
	if own := b.Whom == reminders.People(req.Who.ID) && !b.Safety; !own && !req.May() {
		return b, desk.Refuse("Only a keeper changes bells of others, and safety bells."), false, nil
	}
	return b, desk.Reply{}, true, nil
}

// newWhom reads for whom the bell is to ring from now on.
func newWhom(req *desk.Request, b *storage.Bell) (desk.Reply, bool) {
	t := target{turn: turnWords(req.Reading.Tokens)}
	t.spans = req.Reading.Terms("people")
	if len(t.spans) == 0 {
		return desk.Reply{}, false
	}
	t.said = true
	t, reply, ok := resolved(req, t)
	if ok && len(t.turn) > 0 {
		t, reply, ok = inTurn(req, t)
	}
	if !ok {
		return reply, false
	}
	kid := slices.ContainsFunc(reminders.Expand(t.spec, req.People, req.Now), func(p storage.Person) bool { return p.Child(req.Now) })
	if kid && reminders.NotForChild(*b) {
		return desk.Refuse("That is not work for a child: it stays with an adult."), false
	}
	if t.spec != reminders.People(req.Who.ID) && !req.May() {
		return desk.Refuse("Only a keeper sets bells for others."), false
	}
	changed := b.Whom != t.spec
	b.Whom = t.spec
	return desk.Reply{}, changed
}

// save writes the bell back, and its open ring where that is to go to others or to
// be put off.
func (e *edit) save(req *desk.Request, given bool) error {
	if err := req.Tx.SaveBell(e.Bell); err != nil {
		return err
	}
	if e.ring != nil {
		return req.Tx.SaveRing(*e.ring)
	}
	open, err := req.Tx.RingsOf(e.ID)
	if err != nil || !given || len(open) == 0 || reminders.OneOf(e.Whom) {
		return err
	}
	g := open[len(open)-1]
	g.Giver, g.Given, g.Whom = g.Whom, storage.GivenTaken, e.Whom
	g.Wake, g.Said, g.Held = req.Now, 0, time.Time{}
	return req.Tx.SaveRing(g)
}

// newTime reads when the bell is to ring from now on.
func newTime(req *desk.Request, b *edit) (desk.Reply, bool) {
	if again := req.Reading.Of(phrase.KindAgain); len(again) > 0 && !b.Safety {
		l, reply, ok := ladderOf(again[0].Value.(phrase.Again))
		if !ok {
			return reply, false
		}
		b.Again = l.String()
		if !timed(req) || len(again) == len(slices.DeleteFunc(slices.Clone(req.Reading.Spans), notWhen)) {
			return desk.Reply{}, true
		}
	}
	rules := req.Reading.Of(phrase.KindRule)
	times, _ := req.Reading.DayTimes()
	if two := twoTimes(req); two != "" && !(len(req.Reading.Of(phrase.KindClocks)) > 0 && b.Schedule != "") {
		return desk.AskBack("When exactly: " + two + "? Name one time."), false
	}
	switch {
	case len(rules) > 0:
		return newRule(req, b, rules[0].Value.(phrase.Rule), times)
	case b.Schedule == "":
		return newMoment(req, b)
	case len(req.Reading.Of(phrase.KindDate)) > 0 || len(req.Reading.Of(phrase.KindAfter)) > 0:
		return desk.AskBack(fmt.Sprintf("Bell %d repeats: %s. Say a time of day or days of the week; for this once only, set another bell.", b.Num, sayWhen(req, b.Bell))), false
	case len(times) > 0:
		var clocks []storage.Minutes
		for _, c := range times {
			clocks = append(clocks, storage.Minutes(c.Hour*60+c.Minute))
		}
		spec := reminders.AtClocks(b.Schedule, clocks...)
		if b.Elapsed || spec == b.Schedule && !b.Daily {
			return desk.AskBack(fmt.Sprintf("Bell %d is %s. Say how it is to repeat, for example: move bell %d to daily at 8", b.Num, sayWhen(req, b.Bell), b.Num)), false
		}
		b.Schedule, b.Daily = spec, false
		return end(req, b)
	}
	return desk.Reply{}, false
}

// notWhen drops the spans that say which bell and for whom, not when.
func notWhen(s phrase.Span) bool { return s.Kind == phrase.KindTerm || s.Kind == phrase.KindThing }

// newRule gives a bell other days; the time of day stays unless one is said.
func newRule(req *desk.Request, b *edit, rule phrase.Rule, times []phrase.Clock) (desk.Reply, bool) {
	if reply, ok := enough(rule, times, req); !ok {
		return reply, false
	}
	if len(times) == 0 && !b.Daily && rule.Freq != "HOURLY" && rule.Freq != "MINUTELY" {
		at := req.WallOf(b.Next)
		times = []phrase.Clock{{Hour: at.Hour(), Minute: at.Minute()}}
	}
	o := order{bell: b.Bell}
	o.bell.Daily, o.bell.Elapsed = false, false
	o.bell.Schedule = o.spec(req, rule, times, reminders.Day(req.Wall))
	o.bell.Useful = desk.UsefulFor(rule)
	b.Bell = o.bell
	return end(req, b)
}

// end reads how often or until when a changed bell rings, and sets its next time.
func end(req *desk.Request, b *edit) (desk.Reply, bool) {
	if s := req.Reading.Of(phrase.KindTimes); len(s) > 0 {
		b.Remain = s[0].Value.(int)
	}
	if s := req.Reading.Of(phrase.KindUntil); len(s) > 0 {
		b.Until = endOf(req, s[0].Value.(phrase.Date).Next)
	}
	return nextOf(req, b), true
}

// nextOf sets when a changed bell falls due next: not again on a day on which it
// has been answered already.
func nextOf(req *desk.Request, b *edit) desk.Reply {
	home := reminders.House{Household: req.House}
	s, err := home.Schedule(b.Bell)
	if err != nil {
		return desk.Refuse("I could not make a schedule of that. Try: move the hens bell to 8:30")
	}
	from := req.Now
	if onceADay(b.Schedule) && !b.Due.IsZero() && reminders.Day(req.WallOf(b.Due)).Equal(reminders.Day(req.Wall)) {
		if from, err = restOfToday(req, b, s.Next(req.Now)); err != nil {
			return desk.Refuse("The ring could not be moved.")
		}
	}
	b.Next = s.Next(from)
	if b.Next.IsZero() || !b.Until.IsZero() && b.Next.After(b.Until) {
		return desk.Refuse("It would never ring again. Nothing was changed.")
	}
	return desk.Reply{}
}

// onceADay reports a schedule that falls due at most once on a day.
func onceADay(spec string) bool {
	kind, rest, _ := strings.Cut(spec, " ")
	hour := strings.Fields(rest + " x x")[1]
	return (kind == "rrule" || kind == "cron" && !strings.ContainsAny(hour, "-,/")) && !strings.Contains(spec, "|")
}

// restOfToday deals with a bell that has rung today already: an open ring is put
// off until the new time, if that is today; the bell itself goes on tomorrow.
func restOfToday(req *desk.Request, b *edit, next time.Time) (from time.Time, err error) {
	midnight := req.Instant(reminders.Day(req.Wall).AddDate(0, 0, 1))
	open, err := req.Tx.RingsOf(b.ID)
	if err == nil && len(open) > 0 && next.Before(midnight) {
		g := open[len(open)-1]
		g.Wake, g.Said, g.Held = next, 0, time.Time{}
		b.ring = &g
	}
	return midnight.Add(-time.Second), err
}

// newMoment moves a bell that rings once; a time alone keeps its day.
func newMoment(req *desk.Request, b *edit) (desk.Reply, bool) {
	when := req.Reading.Moment(req.Context(), phrase.Future)
	if when.Count == 0 {
		return desk.Reply{}, false
	}
	if b.Next.IsZero() {
		return desk.AskBack(fmt.Sprintf("It rings now. To put it off: later %s", req.Reading.Spans[len(req.Reading.Spans)-1].Text)), false
	}
	if b.Step == stepAppointment && len(req.Reading.Of(phrase.KindAfter)) == 0 {
		return moveAppointment(req, b, when)
	}
	next, elapsed := req.At(when), len(req.Reading.Of(phrase.KindAfter)) > 0
	if day := reminders.Day(req.WallOf(b.Next)); when.HasClock && !when.HasDate && !elapsed {
		next = req.Instant(reminders.AtMinutes(day, storage.Minutes(when.Wall.Hour()*60+when.Wall.Minute())))
	}
	b.Daily = when.HasDate && !when.HasClock
	if b.Daily {
		next = reminders.RoundOn(req.House, when.Wall)
	}
	if !next.After(req.Now) {
		return desk.Refuse(fmt.Sprintf("%s has passed. Nothing was changed.", req.Say(next))), false
	}
	b.Next, b.Elapsed = next, elapsed
	return desk.Reply{}, true
}

// canWait says whether a bell waits on a bare day and while its person is away.
func canWait(req *desk.Request) (desk.Reply, error) {
	b, reply, ok, err := theBell(req, "Which bell?", "bell %d can wait")
	if err != nil || !ok {
		return reply, err
	}
	if b.Safety {
		return desk.Refuse("A safety bell does not wait."), nil
	}
	care := req.Mentions("can't", "cannot")
	said := "waits on a bare day, and until its person is back"
	if care {
		said = "rings on a bare day too, and goes to others when its person is away"
	}
	if err := req.Record(storage.Entry{Kind: "change", About: fmt.Sprintf("bell:%d", b.Num), Text: fmt.Sprintf("bell %d, %s: %s", b.Num, b.Title, said)}); err != nil {
		return desk.Reply{}, err
	}
	b.Care = care
	if err := req.Tx.SaveBell(b); err != nil {
		return desk.Reply{}, err
	}
	return desk.Answer(fmt.Sprintf("Bell %d, %s: it %s.", b.Num, b.Title, said)), req.Tx.Stir(req.House.ID)
}
