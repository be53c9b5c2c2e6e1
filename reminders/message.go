package reminders

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/storage"
)

// lateFrom is the delay from which a ring says how late it is.
const lateFrom = 5 * time.Minute

// ringMessage is what one person is told of the rings that are said to them: one
// ring in full, several a line each.
func (t *tick) ringMessage(to storage.Person, all []saying) storage.Message {
	m := storage.Message{At: t.now, Kind: storage.KindRing, To: to.Name}
	for _, s := range all {
		m.Rings = append(m.Rings, s.ring.Num)
	}
	if len(all) == 1 {
		m.Head = t.headline(to, all[0])
		if t.evening(all) {
			m.Head = t.leftOver(to, all[0])
		}
		m.Lines = append(t.details(to, all[0]), t.stayOut(to, all)...)
		m.Buttons = t.buttons(all[0], "")
		return m
	}
	m.Head = t.severalHead(len(all), all)
	together := true
	for _, s := range all {
		line := t.headline(to, s)
		if more := t.details(to, s); len(more) > 0 {
			for _, m := range more {
				line = strings.TrimSuffix(line, ".") + ". " + m
			}
		}
		m.Lines = append(m.Lines, line)
		m.Buttons = append(m.Buttons, t.buttons(s, ": "+s.bell.Title)...)
		together = together && !s.bell.Safety && t.named(s, to)
	}
	if together && !t.evening(all) {
		m.Buttons = append(m.Buttons, storage.Button{Label: "All done", Say: "done all"})
	}
	m.Lines = append(m.Lines, t.stayOut(to, all)...)
	return m
}

// stayOut is the last line of whatever rings a child while a room is roped off, and of what
// would take another there who is no keeper.
func (t *tick) stayOut(to storage.Person, all []saying) []string {
	there := !to.Keeper && slices.ContainsFunc(all, func(s saying) bool { return t.RopedRoom(s.bell) != "" })
	if text := StayOut(t.Roped); text != "" && (there || to.Child(t.now)) {
		return []string{upper(text) + "."}
	}
	return nil
}

// leftOver names a ring in the evening look.
func (t *tick) leftOver(to storage.Person, s saying) string {
	whose := ""
	if !t.named(s, to) {
		whose = ", " + SayWhom(s.ring.Whom, t.People, t.now)
	}
	return fmt.Sprintf("Left over from today%s: %s (%d)", whose, s.bell.Title, s.ring.Num)
}

func (t *tick) severalHead(n int, all []saying) string {
	things := fmt.Sprintf("%d things", n)
	wall := Wall(t.now, t.Zone)
	minute := storage.Minutes(wall.Hour()*60 + wall.Minute())
	switch {
	case t.evening(all):
		return "Left over from today: " + things
	case minute == t.Rounds[0]:
		return "Morning round: " + things
	case minute == t.Rounds[1]:
		return "Afternoon round: " + things
	}
	return things + " now"
}

// evening reports that rings come in the evening look: each was said before.
func (t *tick) evening(all []saying) bool {
	for _, s := range all {
		if s.ring.Said < 2 || s.bell.Safety {
			return false
		}
	}
	return t.InEvening(t.now)
}

func (t *tick) named(s saying, p storage.Person) bool {
	return has(Expand(s.ring.Whom, t.People, t.now), p.ID)
}

// headline names a ring: "Feed the hens (12)".
func (t *tick) headline(to storage.Person, s saying) string {
	if len(Expand(s.ring.Whom, t.People, t.now)) == 0 {
		return fmt.Sprintf("For nobody any more: %s (%d)", s.bell.Title, s.ring.Num)
	}
	if !t.named(s, to) {
		return fmt.Sprintf("%s has not answered: %s (%d)", SayWhom(s.ring.Whom, t.People, t.now), s.bell.Title, s.ring.Num)
	}
	return fmt.Sprintf("%s (%d)", upper(s.bell.Title), s.ring.Num)
}

// details are the lines below a ring that is told to somebody: what to mind, for whom it is,
// how late.
func (t *tick) details(to storage.Person, s saying) []string {
	var out []string
	if s.bell.Hint != "" {
		out = append(out, s.bell.Hint)
	}
	if s.ring.Giver != "" && !t.privateWhy(s) && !(s.ring.Given == storage.GivenAway && s.ring.Giver == People(to.ID)) {
		out = append(out, t.sayGiven(s.bell, s.ring))
	}
	due, planned := t.sayTime(s.ring.Due), t.behind(s.bell, s.ring.Due)
	switch late := t.now.Sub(planned); {
	case s.waited != "" && s.ring.Said == 1: // nobody's fault, and so not called late
		out = append(out, s.waited+"; due "+due)
	case s.ring.Said > 1:
		if s.waited != "" {
			out = append(out, s.waited)
		}
		out = append(out, fmt.Sprintf("asked %d times, due %s", s.ring.Said, due))
	case late >= lateFrom:
		out = append(out, fmt.Sprintf("late by %s: due %s", SayDuration(late), due))
	case planned.After(s.ring.Due):
		out = append(out, fmt.Sprintf("moved with the day, was %s", due))
	}
	if s.passed > 0 {
		out = append(out, fmt.Sprintf("%s before this one were missed", count(s.passed, "ring")))
	}
	return out
}

// privateWhy reports a ring that went to others for a reason that is nobody's business.
func (t *tick) privateWhy(s saying) bool {
	return NearBirth(s.bell) && slices.ContainsFunc(Expand(s.ring.Giver, t.People, t.now), func(p storage.Person) bool {
		return p.ExpectingOn(Day(Wall(t.now, t.Zone)))
	})
}

// sayGiven says from whom a ring comes.
func (t *tick) sayGiven(b storage.Bell, g storage.Ring) string {
	from := SayWhom(g.Giver, t.People, t.now)
	switch g.Given {
	case storage.GivenOffer:
		return fmt.Sprintf("handed on by %s; no %d gives it back", from, g.Num)
	case storage.GivenBack:
		return from + " said no to it"
	case storage.GivenTaken:
		return "handed on by " + from
	}
	givers := Expand(g.Giver, t.People, t.now)
	if len(t.keptOut(b, givers, t.now)) > 0 {
		return "for " + from + ": the " + t.shut(b, t.now) + " is roped off, children stay out"
	}
	for _, p := range givers {
		if a, is := t.Absent(p.ID, t.now); is {
			return "for " + from + ", " + t.SayAbsence(a, t.now)
		}
	}
	return "for " + from
}

// SayAbsence writes an absence: "away until Sun 11 Jul".
func (h House) SayAbsence(a storage.Absence, now time.Time) string {
	wall := Wall(now, h.Zone)
	text := a.Kind
	if a.Kind == storage.Late {
		text = "out"
	}
	if a.Until.IsZero() {
		return text
	}
	until := Wall(a.Until, h.Zone)
	if a.Kind == storage.Late && until.Equal(Day(wall).AddDate(0, 0, 1)) {
		return text + " for the rest of today"
	}
	if until.Hour() == 0 && until.Minute() == 0 && a.Kind != storage.Late { // the whole day before is still away
		return text + " until the end of " + SayDay(until.AddDate(0, 0, -1), wall, h.DayFirst)
	}
	return text + " until " + SayTime(until, wall, h.DayFirst)
}

// buttons are the ways to answer a ring. Of names it where a message has several.
func (t *tick) buttons(s saying, of string) []storage.Button {
	if t.evening([]saying{s}) {
		return eveningButtons(s.ring.Num, of, len(t.say) <= fewLeft)
	}
	return ringButtons(s.bell, s.ring, of)
}

func ringButtons(b storage.Bell, g storage.Ring, of string) []storage.Button {
	n := fmt.Sprint(g.Num)
	if strings.HasPrefix(b.Subject, "rope") {
		return []storage.Button{{Label: "All clear", Say: "allclear"}}
	}
	done := storage.Button{Label: "Done" + of, Say: "done " + n}
	switch {
	case b.Safety:
		return []storage.Button{done, {Label: "On it" + of, Say: "onit " + n}}
	case of != "":
		return []storage.Button{done}
	case g.Given == storage.GivenOffer:
		return []storage.Button{done, {Label: "Yes", Say: "yes " + n}, {Label: "No", Say: "no " + n}}
	}
	return []storage.Button{done, {Label: "Later", Say: "later " + n + " 20 min"}, {Label: "Skip", Say: "skip " + n}}
}

// fewLeft is how many things left over get every button.
const fewLeft = 3

func eveningButtons(num int, of string, few bool) []storage.Button {
	n := fmt.Sprint(num)
	out := []storage.Button{{Label: "Done" + of, Say: "done " + n}}
	if few {
		out = append(out, storage.Button{Label: "Tonight" + of, Say: "later " + n + " tonight"})
	}
	return append(out, storage.Button{Label: "Tomorrow" + of, Say: "later " + n + " tomorrow"}, storage.Button{Label: "Drop" + of, Say: "skip " + n})
}

func upper(s string) string {
	if s == "" {
		return s
	}
	r := []rune(s)
	return strings.ToUpper(string(r[0])) + string(r[1:])
}

// list joins what has commas of its own.
func list(items []string) string { return strings.Join(items, "; ") }
