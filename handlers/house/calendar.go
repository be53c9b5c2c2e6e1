package house

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/ical"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

func calendarAsks() []desk.Ask {
	return []desk.Ask{{
		Name: "calendar", Command: "calendar", Help: "everything ahead as a calendar file, for a phone or a computer",
		Forms: []string{"^calendar", "^send|give|make|export * calendar", "^the calendar as", "^our calendar as"},
		Kinds: []phrase.Kind{phrase.KindDuration, phrase.KindUntil, phrase.KindBad}, Lists: []string{"people"},
		Fill:     []string{"file", "as", "next", "ahead", "whole", "everything", "all", "send", "give", "make", "export", "our", "us", "only", "ics"},
		Examples: []desk.Example{{Line: "calendar"}, {Line: "calendar for Ivo"}, {Line: "calendar 4 weeks"}, {Line: "send us the calendar"}}, Plain: plainCalendar, Do: calendar,
	}}
}

// plainCalendar tells an order from talk: "it is on the calendar", "calendar!".
func plainCalendar(req *desk.Request) bool {
	words := phrase.Words(req.Text)
	first := len(words) > 0 && slices.Contains([]string{"calendar", "send", "give", "make", "export", "the", "our", "please", "can", "could"}, words[0])
	return first && !strings.HasSuffix(strings.TrimSpace(req.Text), "!") && (!strings.HasSuffix(strings.TrimSpace(req.Text), "?") || len(words) > 2)
}

const (
	// usualAhead is how far ahead is written what repeats by no rule, when no span is said.
	usualAhead = 366 * 24 * time.Hour
	mostAhead  = 5 * usualAhead
)

// calendar sends what is ahead as a file. It is made of bells, of rings that were put
// off, and of days that the desks know of. What is private has no bell and no day of
// a desk, and so is never in it.
func calendar(req *desk.Request) (desk.Reply, error) {
	if req.Guest {
		return desk.Refuse("Only people of the household get its calendar. Say who you are: house me NAME; a keeper confirms it."), nil
	}
	if b := req.Reading.Of(phrase.KindBad); len(b) > 0 {
		return desk.Refuse(b[0].Value.(string)), nil
	}
	until, said := until(req)
	switch {
	case len(req.Reading.Unknown) > 0:
		return desk.AskBack(fmt.Sprintf("I could not read %s. For example: calendar 4 weeks, calendar until 1 june, calendar for Ivo", desk.Quote(desk.UnknownWords(req.Reading.Unknown)))), nil
	case until.Before(req.Now):
		return desk.AskBack("Until which day ahead? For example: calendar 4 weeks, or calendar until 1 june"), nil
	case until.Sub(req.Now) > mostAhead:
		return desk.Refuse("Five years ahead at most. For example: calendar 4 weeks"), nil
	}
	people := calendarFor(req)
	c := calendarOf(req, people)
	ahead := reminders.Reach{To: until, Ends: said, Shows: func(whom string) bool { return shows(req, people, whom) }}
	if err := c.addBells(ahead); err != nil {
		return desk.Reply{}, err
	}
	if err := c.addPutOff(ahead); err != nil {
		return desk.Reply{}, err
	}
	if len(people) == 0 {
		if err := c.addDays(until); err != nil {
			return desk.Reply{}, err
		}
	}
	if len(c.Events) == 0 {
		return desk.Answer("Nothing is ahead"+c.whose+", so there is no calendar to send.", "The blocks of the days are not in it: blocks."), nil
	}
	content, err := c.Bytes()
	if err != nil {
		return desk.Reply{}, err
	}
	return c.reply(until, said, content), nil
}

// until is how far ahead the calendar goes, to the end of that day, and whether that was said.
func until(req *desk.Request) (time.Time, bool) {
	wall, said := req.Wall.Add(usualAhead), false
	for _, s := range req.Reading.Of(phrase.KindDuration) {
		wall, said = req.Wall.Add(s.Value.(time.Duration)), true
	}
	for _, s := range req.Reading.Of(phrase.KindUntil) {
		wall, said = s.Value.(phrase.Date).Next, true
	}
	return req.Instant(reminders.Day(wall).AddDate(0, 0, 1)).Add(-time.Second), said
}

// calendarFor are the people for whom the calendar is: those named behind "for"; nobody for
// the whole household.
func calendarFor(req *desk.Request) []storage.Person {
	var out []storage.Person
	behind := len(req.Reading.Tokens) > 0 && strings.Contains(req.Form, "^calendar") // calendar Ivo
	for i, t := range req.Reading.Tokens {
		behind = behind || t.Low == "for"
		for _, s := range req.Reading.Terms("people") {
			if s.First == i && behind {
				out = append(out, peopleMeant(req, s.Value.(phrase.Term))...)
			}
		}
	}
	return out
}

// peopleMeant are the people of a term of the word list of people.
func peopleMeant(req *desk.Request, t phrase.Term) []storage.Person {
	switch t.Name {
	case "@me":
		return []storage.Person{req.Who}
	case "@everyone":
		return nil
	case "@kids":
		return reminders.Expand(reminders.Kids, req.People, req.Now)
	case "@keepers":
		return reminders.Expand(reminders.Keepers, req.People, req.Now)
	}
	return slices.DeleteFunc(slices.Clone(req.People), func(p storage.Person) bool { return p.ID != t.ID })
}

// shows reports whether a thing for some people is to be in the calendar.
func shows(req *desk.Request, people []storage.Person, whom string) bool {
	return len(people) == 0 || slices.ContainsFunc(reminders.Expand(whom, req.People, req.Now), func(p storage.Person) bool {
		return slices.ContainsFunc(people, func(o storage.Person) bool { return o.ID == p.ID })
	})
}

// calendarBook is a calendar that is being filled.
type calendarBook struct {
	ical.Calendar
	req    *desk.Request
	whose  string // " for Ivo", empty for the whole household
	bells  int
	putOff int      // rings
	days   int      // of desks
	short  []string // what repeats so often that it is not all in it
	ruled  bool     // something in it repeats by a rule without an end
	timely bool     // something in it is written time by time
}

func calendarOf(req *desk.Request, people []storage.Person) *calendarBook {
	name := req.House.Name
	if name == "" {
		name = "Household"
	}
	c := &calendarBook{req: req}
	if len(people) > 0 {
		var names []string
		for _, p := range people {
			names = append(names, p.Name)
		}
		c.whose = " for " + desk.List(names)
	}
	c.Calendar = ical.Calendar{
		Name: name + c.whose, Zone: req.House.Zone, Made: req.Now, Version: int(max(req.Now.Sub(req.House.Founded), 0) / time.Minute),
	}
	return c
}

// uid names a thing the same way in every file of the household, and no other's.
func (c *calendarBook) uid(thing, part string) string {
	if part != "" {
		thing += "-" + part
	}
	return fmt.Sprintf("%s.h%d-%d@yardbell", thing, c.req.House.ID, c.req.House.Founded.Unix())
}

func (c *calendarBook) addBells(ahead reminders.Reach) error {
	bells, err := c.req.Tx.ComingBells(c.req.House.ID)
	if err != nil {
		return err
	}
	home, err := c.req.Home()
	if err != nil {
		return err
	}
	dated, err := home.Dated(bells, ahead)
	if err != nil {
		return err
	}
	times := map[int64]int{}
	for _, d := range dated {
		b := d.Bell
		if times[b.ID]++; times[b.ID] == 1 {
			c.bells++
		}
		c.ruled = c.ruled || d.Rule != "" && d.Until.IsZero() && b.Remain == 0
		c.timely = c.timely || d.Rule == "" && b.Schedule != ""
		if times[b.ID] == reminders.MostSingles {
			c.short = append(c.short, fmt.Sprintf("%s is in it until %s only: it rings so often.", desk.Upper(b.Title), c.req.SayDay(d.At)))
		}
		c.add(d)
	}
	return nil
}

func (c *calendarBook) add(d reminders.Dated) {
	b := d.Bell
	to := reminders.SayWhom(d.Whom, c.req.People, c.req.Now)
	e := ical.Event{
		UID: c.uid(fmt.Sprintf("bell-%d", b.Num), d.Part), Title: desk.Upper(b.Title) + ", " + to,
		Start: d.Start, Day: b.Daily, At: d.At, Exact: d.Odd, Rule: d.Rule, Until: d.Until, Except: d.Except,
	}
	if b.Hint != "" {
		e.Notes = append(e.Notes, b.Hint)
	}
	e.Notes = append(e.Notes, fmt.Sprintf("Bell %d, for %s.", b.Num, to))
	c.Events = append(c.Events, e)
}

// addPutOff adds rings that were put off and are still to come.
func (c *calendarBook) addPutOff(ahead reminders.Reach) error {
	rings, err := c.req.Tx.OpenRings(c.req.House.ID)
	if err != nil {
		return err
	}
	for _, g := range rings {
		if g.Said > 0 || !g.Wake.After(c.req.Now) || g.Wake.After(ahead.To) || !ahead.Shows(g.Whom) {
			continue
		}
		b, ok, err := c.req.Tx.Bell(g.Bell)
		if err != nil {
			return err
		}
		if !ok {
			continue
		}
		c.putOff++
		to := reminders.SayWhom(g.Whom, c.req.People, c.req.Now)
		c.Events = append(c.Events, ical.Event{
			UID: c.uid(fmt.Sprintf("ring-%d", g.Num), ""), Title: desk.Upper(b.Title) + ", " + to, At: g.Wake, Exact: true,
			Notes: []string{fmt.Sprintf("Ring %d, put off, for %s.", g.Num, to)},
		})
	}
	return nil
}

// addDays adds what the desks know by its day.
func (c *calendarBook) addDays(until time.Time) error {
	days, err := c.req.Roster.Dated(c.req, reminders.Day(c.req.WallOf(until)))
	if err != nil {
		return err
	}
	c.days = len(days)
	for _, d := range days {
		c.Events = append(c.Events, ical.Event{UID: c.uid(strings.ReplaceAll(d.ID, ":", "-"), ""), Title: desk.Upper(d.Title), Start: d.Day, Day: true})
	}
	return nil
}

func (c *calendarBook) reply(until time.Time, said bool, content []byte) desk.Reply {
	var holds []string
	for _, of := range []struct {
		n    int
		noun string
	}{{c.bells, "bell"}, {c.putOff, "ring"}, {c.days, "day"}} {
		if of.n > 0 {
			holds = append(holds, desk.Plural(of.n, of.noun))
		}
	}
	head := fmt.Sprintf("The calendar%s: %s", c.whose, desk.List(holds))
	if said {
		head += ", until " + c.req.SayDay(until)
	}
	out := desk.Answer(head+".", c.short...)
	if !said && c.ruled {
		out.Assumed = append(out.Assumed, "what repeats by the clock goes on without an end")
	}
	if !said && c.timely {
		out.Assumed = append(out.Assumed, "what is written time by time ends "+c.req.SayDay(until))
	}
	out.Assumed = append(out.Assumed, "no alarms in it, the bells ring here; a newer file takes the place of an older one, entry by entry")
	out.Files = []storage.File{{Name: "yardbell.ics", Type: "text/calendar", Content: content}}
	return out
}
