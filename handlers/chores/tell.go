package chores

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

// done writes down that a chore was done, or several were, as a line tells it.
func done(req *desk.Request) (desk.Reply, error) {
	if !tells(req) {
		return desk.Reply{}, desk.ErrSilent
	}
	if rest := beforeBut(req); rest != nil {
		return done(rest)
	}
	if parts := apartBy(req); len(parts) > 1 {
		return doneSeveral(req, parts)
	}
	d, reply, err := deedOf(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if !setsRight(req) && (req.Mentions("not", "didn't", "didnt", "never", "hasn't", "hasnt") || nobodyDid(req)) {
		return retract(req, d.turn)
	}
	if len(d.turn.doers) > 0 {
		return again(req, d.turn, d.doers)
	}
	if why := d.barred(req); why != "" {
		return desk.Refuse(why + " An adult says when it is done."), nil
	}
	return write(req, d)
}

// deed is a turn that somebody did.
type deed struct {
	turn  turn
	doers []storage.Person
	at    time.Time
}

// deedOf reads which turn a line tells of, by whom and when it was done.
func deedOf(req *desk.Request) (deed, desk.Reply, error) {
	fit, err := meant(req)
	if err != nil || len(fit) == 0 {
		return deed{}, desk.Reply{}, silentOr(err)
	}
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
		return deed{}, desk.Refuse(bad[0].Value.(string) + " Nothing was written."), nil
	}
	if !req.Direct && req.Mentions("week", "weeks") {
		return deed{}, desk.Reply{}, desk.ErrSilent // a week is no turn
	}
	if reply, is := otherVerb(req, fit); is {
		return deed{}, reply, nil
	}
	at, dated, reply, ok := toldAt(req)
	if !ok {
		return deed{}, reply, nil
	}
	t, reply, err := turnTold(req, fit, at, dated)
	if err != nil || reply.Head != "" {
		return deed{}, reply, err
	}
	return deed{t, doersTold(req, t), at}, desk.Reply{}, nil
}

// barred says why one of those who did it may not.
func (d deed) barred(req *desk.Request) string {
	for _, p := range d.doers {
		if why, never := reminders.Unfit(d.turn.chore, p, req.Now); never {
			return why
		}
	}
	return ""
}

// beforeBut is the line up to "but not the goats": what was not done stays as it is.
func beforeBut(req *desk.Request) *desk.Request {
	toks := req.Reading.Tokens
	but := slices.IndexFunc(toks, func(t phrase.Token) bool { return t.Low == "but" })
	if but < 1 || but+1 >= len(toks) || toks[but+1].Low != "not" {
		return nil
	}
	rest := *req
	rest.Text = strings.TrimRight(req.Text[:toks[but].Start], " ,")
	rest.Reading.Text, rest.Reading.Tokens = rest.Text, toks[:but]
	rest.Reading.Spans = slices.DeleteFunc(slices.Clone(req.Reading.Spans), func(s phrase.Span) bool { return s.Past > but })
	return &rest
}

// apartBy splits a line that tells of several chores, "did the hens and the goats", into
// one for each, where no chore has the words of two of them.
func apartBy(req *desk.Request) []*desk.Request {
	terms := slices.DeleteFunc(slices.Clone(req.Reading.Terms("chores")), func(s phrase.Span) bool { return req.Reading.Named[s.First] })
	var groups [][]phrase.Span
	for i, s := range terms {
		if i == 0 || slices.ContainsFunc(req.Reading.Tokens[terms[i-1].Past:s.First], func(t phrase.Token) bool { return t.Low == "and" || t.Low == "&" || t.Low == "," }) {
			groups = append(groups, nil)
		}
		groups[len(groups)-1] = append(groups[len(groups)-1], s)
	}
	all, err := live(req)
	if err != nil || len(groups) < 2 {
		return nil
	}
	var out []*desk.Request
	for _, g := range groups {
		part := *req
		part.Reading.Spans = slices.DeleteFunc(slices.Clone(req.Reading.Spans), func(s phrase.Span) bool {
			t, is := s.Value.(phrase.Term)
			return is && t.List == "chores" && !req.Reading.Named[s.First] && !slices.ContainsFunc(g, func(o phrase.Span) bool { return o.First == s.First })
		})
		out = append(out, &part)
	}
	first, second := fitting(all, groups[0]), fitting(all, groups[1])
	if slices.ContainsFunc(first, func(c storage.Chore) bool {
		return slices.ContainsFunc(second, func(o storage.Chore) bool { return o.ID == c.ID })
	}) {
		return nil
	}
	return out
}

// doneSeveral writes several chores down under one entry: all of them or, where one has
// to be asked about, none.
func doneSeveral(req *desk.Request, parts []*desk.Request) (desk.Reply, error) {
	if req.Mentions("not", "didn't", "didnt", "never", "hasn't", "hasnt") {
		return desk.AskBack("Which of them was not done? One at a time, for example: Ivo did not do the hens"), nil
	}
	var deeds []deed
	var said []string
	for _, part := range parts {
		d, reply, err := deedOf(part)
		if err != nil || reply.Head != "" {
			return reply, err
		}
		if why := d.barred(req); why != "" {
			return desk.Refuse(why + " An adult says when it is done."), nil
		}
		if len(d.turn.doers) > 0 {
			said = append(said, d.turn.chore.Name+" was done already, "+namesOf(req, d.turn.doers))
			continue
		}
		deeds = append(deeds, d)
	}
	if len(deeds) == 0 {
		return desk.Answer(desk.Upper(desk.List(said)) + ". Nothing changed."), nil
	}
	var text []string
	for _, d := range deeds {
		text = append(text, fmt.Sprintf("%s, %s", d.turn.chore.Name, names(d.doers)))
	}
	if err := req.Record(storage.Entry{Kind: "done", Happened: deeds[0].at, Text: "done: " + strings.Join(text, "; ")}); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Quietly("Done: " + strings.Join(text, "; ") + ".")
	for _, d := range deeds {
		if err := d.close(req); err != nil {
			return desk.Reply{}, err
		}
		said = append(said, whoseWasIt(req, d.turn.chore, d.turn.to, d.doers)...)
	}
	reply.Lines, reply.Quiet = said, len(said) == 0
	return reply, nil
}

// otherVerb asks where a line tells of another work with the same thing: "hens shut" is
// not the feeding of them.
func otherVerb(req *desk.Request, fit []storage.Chore) (desk.Reply, bool) {
	toks := req.Reading.Tokens
	i := slices.IndexFunc(toks, func(t phrase.Token) bool { return slices.Contains(tellWords(), t.Low) })
	if i < 0 || slices.Contains([]string{"done", "did", "finished", "given"}, toks[i].Low) || req.Mentions("done", "did", "finished", "didn't", "didnt", "not", "hasn't", "hasnt") {
		return desk.Reply{}, false
	}
	for _, c := range fit {
		verb := phrase.Words(c.Name)[0]
		if baseVerbs()[verb] != verb || len(phrase.Words(c.Name)) == 1 || slices.Contains(formsOf(verb), toks[i].Low) {
			return desk.Reply{}, false
		}
	}
	if slices.ContainsFunc(fit, func(c storage.Chore) bool { return alike(toks[i].Low, c.Name) }) {
		return desk.Reply{}, false
	}
	if len(fit) > 1 {
		_, reply, _ := one(req, fit, "done %")
		return reply, true
	}
	return desk.AskBack(fmt.Sprintf("Is %s done?", fit[0].Name), desk.Labelled("Yes", "done "+fit[0].Name)), true
}

// alike are verbs that tell of the same work in other words.
func alike(past, name string) bool {
	for _, same := range []string{"clean muck scrub wash wipe scrape rinse strip", "fill refill top water", "shut close lock", "collect gather pick fetch bring", "put take carry", "tidy clear sort", "hoover vacuum sweep", "lay set"} {
		verbs := strings.Fields(same)
		if slices.ContainsFunc(verbs, func(v string) bool { return pastOf(v) == past }) && slices.Contains(verbs, phrase.Words(name)[0]) {
			return true
		}
	}
	return false
}

// setsRight reports "Ivo washed up, not Lise": the not is somebody's, and another did it.
func setsRight(req *desk.Request) bool {
	spans := req.Reading.Terms("people")
	return len(spans) > 1 && slices.ContainsFunc(spans, func(s phrase.Span) bool {
		return s.First > 0 && req.Reading.Tokens[s.First-1].Low == "not"
	})
}

// soonToBe is how far ahead an hour without a day is taken for today's, and not for
// yesterday's.
const soonToBe = 4 * time.Hour

// toldAt is when a thing was done as a line says, now when it does not.
func toldAt(req *desk.Request) (at time.Time, dated bool, reply desk.Reply, ok bool) {
	when := req.Reading.Moment(req.Context(), phrase.Past)
	if s := req.Reading.Of(phrase.KindDate); len(s) > 0 {
		if d := s[0].Value.(phrase.Date); !d.Next.Before(reminders.Day(req.Wall).AddDate(0, 0, 1)) && d.Last.Equal(d.Next) {
			return at, false, desk.AskBack(fmt.Sprintf("%s has not come yet. When was it done?", req.SayDay(req.Instant(d.Next)))), false
		}
	}
	at = req.Now
	if when.Count > 0 && !req.Mentions("due") {
		at = req.Instant(when.Wall)
		if when.HasDate && !when.HasClock {
			at = req.Instant(when.Wall.Add(12 * time.Hour))
			if reminders.Day(when.Wall).Equal(reminders.Day(req.Wall)) {
				at = req.Now
			}
		}
	}
	if ahead := at.AddDate(0, 0, 1); when.HasClock && !when.HasDate && !req.Mentions("due") && ahead.Sub(req.Now) < soonToBe && ahead.After(req.Now) {
		at = ahead // "shut the hens in at 20:30", typed at half past seven
	}
	if at.After(req.Now) {
		return at, false, desk.AskBack(fmt.Sprintf("%s has not come yet. When was it done?", req.Say(at))), false
	}
	return at, when.HasDate, desk.Reply{}, true
}

// soon is how long before its time a chore that comes round several times a day is
// taken to be meant, and not the one before it.
const soon = 3 * time.Hour

// turnTold finds the turn that was done: one that rings, else the day's next one,
// else one that was closed.
func turnTold(req *desk.Request, fit []storage.Chore, at time.Time, dated bool) (turn, desk.Reply, error) {
	day := reminders.Day(req.WallOf(at))
	from, to := req.Instant(day), req.Instant(day.AddDate(0, 0, 1))
	if !dated {
		from = req.Instant(day.AddDate(0, 0, -1))
	}
	list, err := turns(req, fit, from, to)
	if err != nil {
		return turn{}, desk.Reply{}, err
	}
	ahead := func(t turn) bool {
		return !t.rung && t.open() && t.due.Equal(t.bell.Next) && !t.due.Before(req.Instant(day))
	}
	for _, is := range []func(turn) bool{
		func(t turn) bool { return t.rung && t.open() && (dated || !t.due.After(at.Add(2*time.Hour))) },
		func(t turn) bool { return ahead(t) && t.due.Before(at.Add(soon)) },
		func(t turn) bool { return len(t.doers) > 0 && !t.due.Before(req.Instant(day)) },
		ahead,
		func(t turn) bool { return t.rung && !t.due.Before(req.Instant(day)) },
		func(t turn) bool { return len(t.doers) > 0 },
	} {
		var some []turn
		for _, t := range list {
			if is(t) {
				some = append(some, t)
			}
		}
		if len(some) == 0 {
			continue
		}
		if other := slices.IndexFunc(some, func(t turn) bool { return t.chore.ID != some[0].chore.ID }); other > 0 {
			if mine := ofPerson(some, req.Who.ID); len(mine) == 1 {
				return mine[0], desk.Reply{}, nil
			}
			_, reply, _ := one(req, fit, "done %")
			return turn{}, reply, nil
		}
		t := some[len(some)-1]
		if hours := clocksOf(req, t.bell); len(hours) > 1 && ahead(t) && !t.due.Before(at.Add(soon)) && !dueSaid(req, t) {
			return hourTold(req, t, hours, list, at)
		}
		return t, desk.Reply{}, nil
	}
	if !setsRight(req) && req.Mentions("not", "didn't", "didnt", "hasn't", "hasnt") {
		return turn{}, desk.Answer(fmt.Sprintf("%s was not due then, and is not down as done.", desk.Upper(fit[0].Name))), nil
	}
	c, reply, ok := one(req, fit, "done %")
	if !ok {
		return turn{}, reply, nil
	}
	return besides(req, c, day, at)
}

// dueSaid reports "due 17:00", which a button says of a turn ahead of its time.
func dueSaid(req *desk.Request, t turn) bool {
	times, _ := req.Reading.DayTimes()
	w := req.WallOf(t.due)
	return req.Mentions("due") && len(times) == 1 && times[0] == (phrase.Clock{Hour: w.Hour(), Minute: w.Minute()})
}

// hourTold finds which of a chore's hours of the day a report is of that comes long before
// the next one: the last that has come, or the first where it was done ahead of that. Where
// none has come yet it is asked. An hour for which the bell was made too late, or which was
// skipped, counts without closing the one to come.
func hourTold(req *desk.Request, next turn, hours []phrase.Clock, list []turn, at time.Time) (turn, desk.Reply, error) {
	day := reminders.Day(req.WallOf(at))
	var of time.Time
	for _, h := range hours {
		due := req.Instant(reminders.AtMinutes(day, storage.Minutes(h.Hour*60+h.Minute)))
		if !due.After(at) || of.IsZero() && !due.After(req.Now) {
			of = due
		}
	}
	if of.IsZero() {
		return turn{}, desk.AskBack(fmt.Sprintf("%s comes round at %s, and none of it has come yet today. Which was done?", desk.Upper(next.chore.Name), clocks(hours)),
			desk.Labelled(req.WallOf(next.due).Format("15:04"), fmt.Sprintf("done %s due %s", next.chore.Name, req.WallOf(next.due).Format("15:04")))), nil
	}
	if i := slices.IndexFunc(list, func(t turn) bool { return t.rung && t.due.Equal(of) && t.chore.ID == next.chore.ID }); i >= 0 {
		return list[i], desk.Reply{}, nil
	}
	t, reply, err := besides(req, next.chore, day, at)
	t.next = next.due
	return t, reply, err
}

// besides is a chore done on a day on which it was not due: it counts all the same,
// once a day.
func besides(req *desk.Request, c storage.Chore, day, at time.Time) (turn, desk.Reply, error) {
	if since := reminders.Day(req.WallOf(c.Made)); day.Before(since) {
		return turn{}, desk.Refuse(fmt.Sprintf("%s comes round since %s only. Nothing was written.", desk.Upper(c.Name), req.SayDay(c.Made))), nil
	}
	w, ok, err := req.Tx.WorkOf(req.House.ID, c.Num, req.Instant(day.AddDate(0, 0, 1)).Add(-time.Second))
	if err != nil {
		return turn{}, desk.Reply{}, err
	}
	t := turn{chore: c, due: at, besides: true}
	if ok && w.Ring == 0 && !w.Due.Before(req.Instant(day)) {
		t.due, t.doers = w.Due, w.Doers
	}
	return t, desk.Reply{}, nil
}

// doersTold are those who did it, as the line says: whoever is named before the
// verb, else the speaker; what several do together counts for all of them.
func doersTold(req *desk.Request, t turn) []storage.Person {
	var out []storage.Person
	toks := req.Reading.Tokens
	for _, s := range req.Reading.Terms("people") {
		before := s.First > 0 && slices.Contains([]string{"for", "of", "not"}, toks[s.First-1].Low)
		possessive := strings.HasSuffix(s.Text, "'s") || strings.EqualFold(s.Text, "my") || s.Value.(phrase.Term).Match == phrase.Inflected
		if before || possessive {
			continue
		}
		for _, p := range named(req, s) {
			if p.ID != 0 && !slices.ContainsFunc(out, func(q storage.Person) bool { return q.ID == p.ID }) {
				out = append(out, p)
			}
		}
	}
	if len(out) > 0 {
		return out
	}
	return doersOf(req, t.chore, t.to)
}

// doersOf are those for whom it counts that the speaker says it is done.
func doersOf(req *desk.Request, c storage.Chore, to []storage.Person) []storage.Person {
	mine := slices.ContainsFunc(to, func(p storage.Person) bool { return p.ID == req.Who.ID })
	if c.How == storage.ChoreSeveral && mine {
		return to
	}
	return []storage.Person{req.Who}
}

// write closes the turn that was done under an entry of its own.
func write(req *desk.Request, d deed) (desk.Reply, error) {
	t, doers, at := d.turn, d.doers, d.at
	text := fmt.Sprintf("done: %s, due %s, by %s", t.chore.Name, req.Say(t.due), names(doers))
	about := fmt.Sprintf("chore:%d %d", t.chore.Num, t.due.Unix())
	if t.rung {
		about = fmt.Sprintf("ring:%d", t.ring.Num)
	}
	if err := req.Record(storage.Entry{Kind: "done", About: about, Happened: at, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if err := d.close(req); err != nil {
		return desk.Reply{}, err
	}
	if t.besides && !t.next.IsZero() {
		return desk.Answer(fmt.Sprintf("Done: %s, %s. The next is still to do: %s.", t.chore.Name, names(doers), req.Say(t.next))), nil
	}
	if t.besides {
		return desk.Answer(fmt.Sprintf("Done: %s, %s. It was not due then; it counts all the same.", t.chore.Name, names(doers))), nil
	}
	head := fmt.Sprintf("Done: %s, %s.", t.chore.Name, names(doers))
	if req.Now.Sub(at) >= time.Minute {
		head = fmt.Sprintf("Done: %s, %s at %s.", t.chore.Name, names(doers), reminders.SayTime(req.WallOf(at), req.Wall, req.House.DayFirst))
	}
	reply := desk.Quietly(head)
	if reply.Lines = whoseWasIt(req, t.chore, t.to, doers); len(reply.Lines) > 0 {
		reply.Quiet = false
	}
	return reply, nil
}

// close ends the ring of a turn, or makes it where it had not rung, and credits whoever
// did it.
func (d deed) close(req *desk.Request) error {
	t, g := d.turn, d.turn.ring
	if t.besides {
		return credit(req, t.chore, storage.Ring{Due: t.due}, d.doers, d.at)
	}
	if !t.rung {
		home, err := req.Home()
		if err != nil {
			return err
		}
		if g, err = reminders.Ahead(req.Tx, home, t.bell, d.doers[0].ID, req.Now); err != nil {
			return err
		}
	}
	g.Wake, g.Answer, g.Answered, g.AnsweredBy = time.Time{}, storage.AnswerDone, d.at, d.doers[0].ID
	if err := req.Tx.SaveRing(g); err != nil {
		return err
	}
	return credit(req, t.chore, g, d.doers, d.at)
}

// whoseWasIt tells a keeper who says that a child's chore is done, and not by whom,
// for whom it counts.
func whoseWasIt(req *desk.Request, c storage.Chore, to, doers []storage.Person) []string {
	if !req.Who.Keeper || len(to) != 1 || !to[0].Child(req.Now) || len(doers) != 1 || doers[0].ID != req.Who.ID || len(othersNamed(req)) > 0 {
		return nil
	}
	return []string{fmt.Sprintf("It counts for you. Was it %s? Type: %s did %s", to[0].Name, to[0].Name, short(c.Name))}
}

// credit writes the work down: for whoever did it, owed by all who were there for
// it and could have done it.
func credit(req *desk.Request, c storage.Chore, g storage.Ring, doers []storage.Person, at time.Time) error {
	free, err := freeFor(req, c, g.Due)
	if err != nil {
		return err
	}
	if err := endOnce(req, c); err != nil {
		return err
	}
	return req.Tx.AddWork(storage.Work{
		Household: req.House.ID, Chore: c.Num, Ring: g.ID, Due: g.Due, At: at, Effort: c.Counts(), Doers: ids(doers), Free: free,
	})
}

// endOnce ends a chore that was to be done once.
func endOnce(req *desk.Request, c storage.Chore) error {
	bells, err := bellsOf(req, c)
	if err != nil || slices.ContainsFunc(bells, func(b storage.Bell) bool { return b.Schedule != "" || !b.Next.IsZero() }) {
		return err
	}
	for _, b := range bells {
		if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
			return err
		}
	}
	return req.Tx.StopChore(c.ID, req.Now)
}

// freeFor are those of the household who have chores, were there when one fell due,
// and may do it.
func freeFor(req *desk.Request, c storage.Chore, due time.Time) ([]storage.Share, error) {
	all, err := live(req)
	if err != nil {
		return nil, err
	}
	takes := map[int64]bool{}
	for _, some := range all {
		if some.How == storage.ChoreFree && some.ID != c.ID {
			continue // whoever is free has not taken anything on yet
		}
		bells, err := bellsOf(req, some)
		if err != nil {
			return nil, err
		}
		for _, b := range bells {
			for _, p := range reminders.Expand(b.Whom, req.People, req.Now) {
				takes[p.ID] = true
			}
		}
	}
	home, err := req.Home()
	if err != nil {
		return nil, err
	}
	var out []storage.Share
	for _, p := range req.People {
		why, _ := reminders.Unfit(c, p, req.Now)
		_, gone := home.Absent(p.ID, due)
		if takes[p.ID] && why == "" && !gone && !home.DayOff(p, due) && !p.Gone {
			out = append(out, storage.Share{Person: p.ID, Percent: p.Share})
		}
	}
	return out, nil
}

// again answers a second report of the same turn: the first counts, and a keeper
// sets right who it was.
func again(req *desk.Request, t turn, doers []storage.Person) (desk.Reply, error) {
	w, _, err := req.Tx.WorkOf(req.House.ID, t.chore.Num, t.due)
	if err != nil {
		return desk.Reply{}, err
	}
	by := fmt.Sprintf("%s, %s", namesOf(req, w.Doers), reminders.SayTime(req.WallOf(w.At), req.Wall, req.House.DayFirst))
	same := slices.Equal(w.Doers, ids(doers))
	if same {
		return desk.Answer(fmt.Sprintf("%s was done already: %s. Nothing changed.", desk.Upper(t.chore.Name), by)), nil
	}
	own := len(doers) == 1 && doers[0].ID == req.Who.ID && req.Mentions("i", "i've", "ive")
	over := t.due.Before(req.Instant(reminders.Day(req.Wall)))
	switch named := len(req.Reading.Terms("people")) > 0; {
	case req.May() && own && !over: // both may have been at it today
		return desk.AskBack(fmt.Sprintf("%s was done already: %s. Was it you, and not %s?", desk.Upper(t.chore.Name), by, namesOf(req, w.Doers)),
			desk.Labelled("It was me", fmt.Sprintf("%s did %s", req.Who.Name, short(t.chore.Name)))), nil
	case !req.May() || !named && !own:
		return desk.Answer(fmt.Sprintf("%s was done already: %s. Thank you, %s; it counts once, for whoever told it first.", desk.Upper(t.chore.Name), by, names(doers))), nil
	}
	return setRight(req, t, w, doers)
}

// setRight writes down on a keeper's word that others did a turn than was told.
func setRight(req *desk.Request, t turn, w storage.Work, doers []storage.Person) (desk.Reply, error) {
	text := fmt.Sprintf("set right: %s, due %s, was done by %s, not %s", t.chore.Name, req.Say(t.due), names(doers), namesOf(req, w.Doers))
	if err := req.Record(storage.Entry{Kind: "done", About: fmt.Sprintf("chore:%d %d", t.chore.Num, t.due.Unix()), Text: text}); err != nil {
		return desk.Reply{}, err
	}
	was := namesOf(req, w.Doers)
	w.Doers = ids(doers)
	if err := req.Tx.SaveWork(w); err != nil {
		return desk.Reply{}, err
	}
	if t.rung {
		t.ring.AnsweredBy = doers[0].ID
		if err := req.Tx.SaveRing(t.ring); err != nil {
			return desk.Reply{}, err
		}
	}
	return desk.Answer(fmt.Sprintf("Set right: %s was %s, not %s.", t.chore.Name, names(doers), was)), nil
}

// retract takes back, on a keeper's word, that a chore was done: it rings again.
func retract(req *desk.Request, t turn) (desk.Reply, error) {
	if len(t.doers) == 0 {
		return desk.Answer(fmt.Sprintf("%s is not down as done.", desk.Upper(t.chore.Name))), nil
	}
	w, _, err := req.Tx.WorkOf(req.House.ID, t.chore.Num, t.due)
	if err != nil {
		return desk.Reply{}, err
	}
	own := slices.Equal(w.Doers, []int64{req.Who.ID}) && len(othersNamed(req)) == 0 // somebody else may have said so
	if !req.May() && !own {
		return desk.Refuse("Only a keeper takes back that something was done: " + keepers(req) + "."), nil
	}
	if err := req.Record(storage.Entry{Kind: "done", About: fmt.Sprintf("chore:%d %d", t.chore.Num, t.due.Unix()), Text: fmt.Sprintf("not done: %s, due %s", t.chore.Name, req.Say(t.due))}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.DropWork(w.ID); err != nil {
		return desk.Reply{}, err
	}
	over := t.due.Before(req.Instant(reminders.Day(req.Wall).AddDate(0, 0, -1))) || t.due.Before(req.Instant(reminders.Day(req.Wall))) && nobodyDid(req)
	if t.rung {
		g := t.ring
		g.Wake, g.Answer, g.Answered, g.AnsweredBy, g.Said = req.Now, "", time.Time{}, 0, 0
		if over {
			g.Wake, g.Answer = time.Time{}, storage.AnswerMissed
		}
		if err := req.Tx.SaveRing(g); err != nil {
			return desk.Reply{}, err
		}
	}
	switch {
	case t.besides:
		return desk.Answer(fmt.Sprintf("Not done then: %s. It was not due.", t.chore.Name)), nil
	case over:
		return desk.Answer(fmt.Sprintf("Not done then: %s, due %s. It is over and rings no more.", t.chore.Name, req.Say(t.due))), nil
	}
	return desk.Answer(fmt.Sprintf("Not done then: %s, due %s. It rings for %s again.", t.chore.Name, req.Say(t.due), names(t.to))), nil
}

// answered credits a chore whose ring was answered done by its bell.
func answered(req *desk.Request, b storage.Bell, at time.Time) ([]string, error) {
	c, ok, err := reminders.ChoreOf(req.Tx, b)
	if err != nil || !ok {
		return nil, err
	}
	g, ok, err := req.Tx.LastRing(b.ID)
	if err != nil || !ok || g.Answer != storage.AnswerDone {
		return nil, err
	}
	to := reminders.Expand(g.Whom, req.People, req.Now)
	doers := doersOf(req, c, to)
	return whoseWasIt(req, c, to, doers), credit(req, c, g, doers, at)
}
