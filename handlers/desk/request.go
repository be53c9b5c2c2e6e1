package desk

import (
	"errors"
	"slices"
	"strings"
	"time"

	"yardbell/calc/measure"
	"yardbell/handlers/paper"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// Roster is what an ask may want of the other desks.
type Roster interface {
	// Done tells the desk that owns the bell's subject that it was done.
	Done(*Request, storage.Bell, time.Time) ([]string, error)
	// Held gathers until when a thing is not to be eaten or drunk, see Desk.Held.
	Held(req *Request, item string) ([]string, error)
	// Moved tells the desks of goods that went out or came in, see Desk.Moved.
	Moved(req *Request, g Goods, out bool, when time.Time) ([]string, error)
	// Today gathers what the desks have to say about the day.
	Today(*Request) ([]string, error)
	// Jobs gathers the open work of all desks.
	Jobs(*Request) ([]Job, error)
	// Relay lays the day anew after a change, see Desk.Relay.
	Relay(*Request, Reply) (Reply, error)
	// AtHome gathers which children are at home, see Desk.AtHome.
	AtHome(r *Request, until time.Time) ([]AtHome, error)
	// Taken gathers when the kitchen and the oven are in use, and who is at work at an hour.
	Taken(r *Request, from, to time.Time) ([]Taken, error)
	// Dated gathers what the desks know by its day and have no bell for.
	Dated(req *Request, until time.Time) ([]Dated, error)
	// Sheet gathers what the desks have for the page on the wall.
	Sheet(*Request) ([]paper.Part, error)
	// Help answers help for a word, or for nothing.
	Help(req *Request, word string) (Reply, bool)
	// Commands lists all command words.
	Commands() []string
}

// Request is one ask with everything it needs to be answered.
type Request struct {
	Tx      *storage.Tx
	House   storage.Household
	People  []storage.Person
	Who     storage.Person // for whom it counts
	TypedBy storage.Person
	Now     time.Time // instant
	Wall    time.Time // the same on the household's clock
	Inbox   int64
	Direct  bool   // plainly for the bot: slash, mention, reply, button
	Slash   bool   // typed with a slash or pressed as a button
	Answers int    // number of the ring that the line replies to, 0 for none
	Guest   bool   // in the chat, but nobody of the household: may ask, not write
	Shared  bool   // from a tablet that everyone uses: who speaks is only what the line says
	Text    string // the line
	More    []string
	File    any    // what the ask's Digest made of a file, nil for none
	Form    string // the form that named the ask
	Reading phrase.Reading
	Roster  Roster
}

// ErrSilent is returned by an ask that finds that the line was not for it.
var ErrSilent = errors.New("not for the bot")

// Context returns what phrases are read with.
func (r *Request) Context() phrase.Context {
	return phrase.Context{Now: r.Wall, DayFirst: r.House.DayFirst, US: r.House.US}
}

// Home returns the household with who is away, for asking whom a ring reaches.
func (r *Request) Home() (reminders.House, error) {
	return reminders.Home(r.Tx, r.House, r.People, r.Now)
}

// Instant turns a wall time of the household into an instant.
func (r *Request) Instant(wall time.Time) time.Time { return reminders.Instant(wall, r.House.Zone) }

// WallOf returns the household's clock at an instant.
func (r *Request) WallOf(t time.Time) time.Time { return reminders.Wall(t, r.House.Zone) }

// After returns the household's clock so long after it showed wall, in time that really
// passes: the night of a clock change is an hour short or long.
func (r *Request) After(wall time.Time, d time.Duration) time.Time {
	return r.WallOf(r.Instant(wall).Add(d))
}

// At is the instant that a line speaks of: hours and minutes from now really pass, through
// a clock change too; a date and a time of day are those of the clock on the wall.
func (r *Request) At(w phrase.When) time.Time {
	if after := r.Reading.Of(phrase.KindAfter); len(after) == 1 && w.Count == 1 {
		if d, ok := after[0].Value.(time.Duration); ok && d.Abs() < 24*time.Hour {
			return r.Now.Add(d)
		}
	}
	return r.Instant(w.Wall)
}

// Keepers names the keepers, to say who may: "Maren or Tom".
func (r *Request) Keepers() string {
	var names []string
	for _, p := range r.People {
		if p.Keeper && !p.Gone {
			names = append(names, p.Name)
		}
	}
	if len(names) > 1 {
		return strings.Join(names[:len(names)-1], ", ") + " or " + names[len(names)-1]
	}
	return List(names)
}

// Say writes an instant for people, with its date.
func (r *Request) Say(t time.Time) string {
	return reminders.SayLong(r.WallOf(t), r.Wall, r.House.DayFirst)
}

// SayDay writes the date of an instant for people.
func (r *Request) SayDay(t time.Time) string {
	return reminders.SayDay(r.WallOf(t), r.Wall, r.House.DayFirst)
}

// SayTo names whom a planned ring reaches: the bell's own words for a group that is all
// there, else the people.
func (r *Request) SayTo(p reminders.Planned) string {
	all := reminders.Expand(p.Bell.Whom, r.People, r.Now)
	same := slices.EqualFunc(all, p.To, func(a, b storage.Person) bool { return a.ID == b.ID })
	if same && !reminders.OneOf(p.Bell.Whom) {
		return reminders.SayWhom(p.Bell.Whom, r.People, r.Now)
	}
	var names []string
	for _, to := range p.To {
		names = append(names, to.Name)
	}
	return List(names)
}

// Scale returns the household's kitchen scale.
func (r *Request) Scale() measure.Scale {
	system := measure.Metric
	if r.House.US {
		system = measure.US
	}
	s := measure.DefaultScale(system)
	if r.House.ScaleStep > 0 {
		s.Step = r.House.ScaleStep
	}
	return s
}

// ErrGuest is returned when somebody who is nobody of the household would write.
var ErrGuest = errors.New("a guest may not write")

// Record writes a line into the day book about something that happened.
func (r *Request) Record(e storage.Entry) error {
	if r.Guest {
		return ErrGuest
	}
	e.Household, e.Inbox, e.Person, e.Written = r.House.ID, r.Inbox, r.Who.ID, r.Now
	if r.TypedBy.ID != r.Who.ID {
		e.TypedBy = r.TypedBy.ID
	}
	if e.Happened.IsZero() {
		e.Happened = r.Now
	}
	_, err := r.Tx.Record(e)
	return err
}

// Person finds somebody by name.
func (r *Request) Person(name string) (storage.Person, bool) {
	for _, p := range r.People {
		if strings.EqualFold(p.Name, name) && !p.Gone {
			return p, true
		}
	}
	return storage.Person{}, false
}

// NameOf returns a person's name by id, those who have gone too.
func (r *Request) NameOf(id int64) string {
	for _, p := range r.People {
		if p.ID == id {
			return p.Name
		}
	}
	return ""
}

// May reports whether the person who typed may change what is others'.
func (r *Request) May() bool { return r.TypedBy.Keeper }

// Grown reports whether an adult of the household speaks, for certain: on a tablet
// that everyone uses a child can type anybody's name.
func (r *Request) Grown() bool {
	return !r.Guest && !r.Shared && !r.TypedBy.Child(r.Now)
}

// Alone reports that nobody but the speaker reads the answer: a chat of their own, or a
// terminal of a household that has no chat.
func (r *Request) Alone() (bool, error) { return r.Tx.Alone(r.House.ID, r.Inbox) }

// Has reports whether the reading holds a span of that need.
func (r *Request) Has(n Need) bool {
	if n.Kind == phrase.KindTerm {
		return len(r.Reading.Terms(n.List)) > 0
	}
	return len(r.Reading.Of(n.Kind)) > 0
}

// Mentions reports whether any of the words was typed.
func (r *Request) Mentions(words ...string) bool {
	return slices.ContainsFunc(r.Reading.Tokens, func(t phrase.Token) bool { return slices.Contains(words, t.Low) })
}

// AfterForm returns the text behind the words that named the ask, as typed.
func (r *Request) AfterForm() string {
	end := 0
	for i, used := range r.Reading.Used {
		if used {
			end = r.Reading.Tokens[i].End
		}
	}
	return strings.TrimSpace(strings.TrimLeft(r.Text[end:], " :,-"))
}
