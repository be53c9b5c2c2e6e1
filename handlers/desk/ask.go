// Package desk is what every desk is made of: the table of what can be asked of
// it, the request that an ask's function gets, and the ways to answer. It knows
// no desk.
package desk

import (
	"time"

	"yardbell/handlers/paper"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// Reply is what a typed line is answered with.
type Reply = storage.Message

// Ask is one thing that can be asked of a desk.
type Ask struct {
	// Name is the kind under which the day book keeps what the ask writes.
	Name string
	// Command is the word after the slash; several asks may share one.
	Command string
	// Forms are the word sequences that name the ask. "a|b" is either word, "*"
	// any words between, a leading "^" the start of the line, a trailing "$" its end.
	Forms []string
	// Kinds and Lists are the spans and word lists that the ask takes.
	Kinds []phrase.Kind
	Lists []string
	// Fill are further words that mean nothing to this ask.
	Fill []string
	// Needs are the kinds (or lists) of which a plain line must hold at least
	// one before it can be meant for the ask at all.
	Needs []Need
	// Keep leaves the words of the form to be read as spans too.
	Keep bool
	// Text says that the rest of the line is free text.
	Text bool
	// TakesLines says that the lines below belong to the ask.
	TakesLines bool
	// Digest makes of a file that comes with the line what the ask works on, before
	// the transaction: reading may take a while. Nil has the file's text read as
	// lines below.
	Digest func(file string) any
	// Joins says that lines below which ask nothing by themselves go on with it.
	Joins bool
	// Doubt says that a plain line with words nobody understood is asked back
	// and not passed over, as long as a form and a need were found.
	Doubt bool
	// Urgent reports a line that is answered with this ask before anything else it
	// may mean, whoever types it. Nil for the asks that can wait their turn.
	Urgent func(*Request) bool
	// Also says that an urgent answer comes first and does not stand alone: the line is
	// then answered as always too.
	Also bool
	// Question says that its bare word with a question mark is still the ask.
	Question bool
	// Plain is asked last, before a plain line acts. Nil allows.
	Plain func(*Request) bool
	// Strict asks Plain of a line for the bot too: the forms are words that other asks
	// have as well.
	Strict bool
	// Keeper says that only keepers may, Adult that children may not.
	Keeper, Adult bool
	// Help is one line; Examples are lines that work, see Example.
	Help     string
	Examples []Example
	Do       func(*Request) (Reply, error)
}

// WordList makes a word list out of a household's records alone, whoever asks and when: it
// is kept until one of those records is written.
type WordList func(tx *storage.Tx, household int64) (*phrase.List, error)

// Fixed is a word list that is the same in every household.
func Fixed(list func() *phrase.List) WordList {
	return func(*storage.Tx, int64) (*phrase.List, error) { return list(), nil }
}

// Need is a kind of span, or a list of words when the kind is KindTerm.
type Need struct {
	Kind phrase.Kind
	List string
}

// Example is a line that works after the lines of its setup.
type Example struct {
	Setup []string
	By    string // who types the line; empty for a keeper
	Line  string
}

// Desk is one part of the household's work.
type Desk struct {
	Name  string
	About string // one line for the help
	Asks  []Ask
	// Lists are the desk's word lists, made when they are first needed.
	Lists map[string]WordList
	// Done maps the kind of a bell's subject ("batch") to what follows when one
	// of its bells is answered done.
	Done map[string]func(*Request, storage.Bell, time.Time) ([]string, error)
	// Held says until when what is called so is not to be eaten or drunk, and why, of what
	// the desk knows beside the larder: "eggs: not before 11 Mar, the hens were treated".
	// Empty when it is free.
	Held func(req *Request, item string) (string, error)
	// Moved tells a desk that keeps a stock of its own that goods of the house went out, or
	// came in: feed that was lent. It returns how that stands now, empty for none of its.
	Moved func(req *Request, g Goods, out bool, when time.Time) (string, error)
	// Today adds lines to the household's day.
	Today func(*Request) ([]string, error)
	// Jobs hands in the desk's open work, to be laid into the household's day.
	Jobs func(*Request) ([]Job, error)
	// Watch is what the desk does when the household's day is told in the morning and
	// looked back on in the evening, see reminders.Watch.
	Watch func(*Request) error
	// Relay lays the household's day anew after a line that changes who is there or how
	// the day goes, and adds to the answer what of the plan is otherwise.
	Relay func(*Request, Reply) (Reply, error)
	// AtHome tells which children are, or may be, at home between now and a wall time; of a
	// household that has said nothing of them, nobody.
	AtHome func(r *Request, until time.Time) ([]AtHome, error)
	// Taken tells when the kitchen or the oven is in use, and who is at work at an hour.
	Taken func(r *Request, from, to time.Time) ([]Taken, error)
	// Sheet adds tables to the page for the wall.
	Sheet func(*Request) ([]paper.Part, error)
	// Dated returns what the desk knows by its day and has no bell for, up to a day.
	Dated func(req *Request, until time.Time) ([]Dated, error)
}

// Dated is a thing of a day that no bell rings for.
type Dated struct {
	ID    string    // "meal:4": the same for the same thing
	Day   time.Time // midnight on the household's clock
	Title string
}
