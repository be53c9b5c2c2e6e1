// Package handlers turns a typed line into an answer, a record and a bell: it
// takes the line in once, finds what it asks, does that in one transaction, and
// puts the reply into the outbox. What can be asked stands in the desks' tables.
package handlers

import (
	"fmt"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"time"

	"yardbell/handlers/barn"
	"yardbell/handlers/bells"
	"yardbell/handlers/chores"
	"yardbell/handlers/day"
	"yardbell/handlers/desk"
	"yardbell/handlers/garden"
	"yardbell/handlers/house"
	"yardbell/handlers/kitchen"
	"yardbell/handlers/paper"
	"yardbell/handlers/phrase"
	"yardbell/handlers/soap"
	"yardbell/storage"
)

// Roster is the list of desks, compiled for reading.
type Roster struct {
	Log       *slog.Logger
	desks     []desk.Desk
	forms     []form
	words     index
	aliases   map[string][]string // further spellings of a command word
	byCommand map[string]*desk.Ask
	lists     map[string]desk.WordList
}

// NewRoster lists the desks.
func NewRoster(log *slog.Logger) *Roster {
	return newRoster(log, house.Desk(), day.Desk(), bells.Desk(), soap.Desk(), garden.Desk(), kitchen.Desk(), barn.Desk(), chores.Desk())
}

func newRoster(log *slog.Logger, desks ...desk.Desk) *Roster {
	r := &Roster{
		words: newIndex(),
		Log:   log, desks: desks, byCommand: map[string]*desk.Ask{}, aliases: map[string][]string{"ring": {"remind"}, "batch": {"pour", "poured"}},
		lists: map[string]desk.WordList{"people": peopleList},
	}
	for d := range r.desks {
		for name, list := range r.desks[d].Lists {
			r.lists[name] = list
		}
		for a := range r.desks[d].Asks {
			ask := &r.desks[d].Asks[a]
			if r.byCommand[ask.Command] == nil {
				r.byCommand[ask.Command] = ask
			}
			for _, text := range ask.Forms {
				f := compile(ask, text)
				for p, words := range f.parts {
					for _, w := range words {
						r.words.add(w, len(r.forms), p)
					}
				}
				r.forms = append(r.forms, f)
			}
		}
	}
	return r
}

// Desks returns the tables, to list and test what can be asked.
func (r *Roster) Desks() []desk.Desk { return r.desks }

// Commands lists all command words in alphabetical order.
func (r *Roster) Commands() []string {
	var out []string
	for name := range r.byCommand {
		out = append(out, name)
	}
	slices.Sort(out)
	return out
}

// About says in a line what a command is for, empty for none of that name.
func (r *Roster) About(command string) string {
	if ask := r.byCommand[command]; ask != nil {
		return ask.Help
	}
	return ""
}

// wordsOf is what a household's word list is kept by.
type wordsOf struct {
	household int64
	list      string
}

// list returns a word list of a household, nil where no desk has one of that name.
func (r *Roster) list(tx *storage.Tx, household int64, name string) (*phrase.List, error) {
	made := r.lists[name]
	if made == nil {
		return nil, nil
	}
	list, err := storage.Kept(tx, wordsOf{household, name}, func() (*phrase.List, error) { return made(tx, household) })
	if err != nil {
		return nil, fmt.Errorf("word list %s: %w", name, err)
	}
	return list, nil
}

// groups are the words for more than one person, and for oneself.
var groups = sync.OnceValue(func() *phrase.List {
	return phrase.NewList("people", []phrase.Entry{
		{Name: "@me", Aliases: []string{"me", "myself"}},
		{Name: "@kids", Aliases: []string{"kids", "the kids", "children", "the children", "all the kids"}},
		{Name: "@everyone", Aliases: []string{"everyone", "everybody", "all of us", "us all", "us"}},
		{Name: "@keepers", Aliases: []string{"keepers", "the keepers"}},
	})
})

// peopleList holds the names of the household and the words for groups.
func peopleList(tx *storage.Tx, household int64) (*phrase.List, error) {
	people, err := tx.People(household)
	if err != nil {
		return nil, err
	}
	var entries []phrase.Entry
	for _, p := range people {
		if !p.Gone {
			entries = append(entries, phrase.Entry{Name: p.Name, ID: p.ID})
		}
	}
	return groups().With(entries), nil
}

// Done tells the desk that owns a bell's subject that it was done.
func (r *Roster) Done(req *desk.Request, b storage.Bell, at time.Time) ([]string, error) {
	kind, _, _ := strings.Cut(b.Subject, ":")
	for _, d := range r.desks {
		if done := d.Done[kind]; done != nil {
			return done(req, b, at)
		}
	}
	return nil, nil
}

// Held gathers until when a thing is not to be eaten or drunk, by the desks that know.
func (r *Roster) Held(req *desk.Request, item string) (out []string, err error) {
	for _, d := range r.desks {
		if d.Held == nil {
			continue
		}
		text, err := d.Held(req, item)
		if err != nil {
			return nil, err
		}
		if text != "" {
			out = append(out, text)
		}
	}
	return out, nil
}

// Moved tells the desks of goods that went out or came in.
func (r *Roster) Moved(req *desk.Request, g desk.Goods, out bool, when time.Time) (lines []string, err error) {
	for _, d := range r.desks {
		if d.Moved == nil {
			continue
		}
		line, err := d.Moved(req, g, out, when)
		if err != nil {
			return nil, err
		}
		if line != "" {
			lines = append(lines, line)
		}
	}
	return lines, nil
}

// Sheet gathers what the desks have for the page on the wall.
func (r *Roster) Sheet(req *desk.Request) ([]paper.Part, error) {
	var out []paper.Part
	for _, d := range r.desks {
		if d.Sheet == nil {
			continue
		}
		parts, err := d.Sheet(req)
		if err != nil {
			return nil, err
		}
		out = append(out, parts...)
	}
	return out, nil
}

// Today gathers what the desks have to say about the day.
func (r *Roster) Today(req *desk.Request) ([]string, error) {
	var out []string
	for _, d := range r.desks {
		if d.Today == nil {
			continue
		}
		lines, err := d.Today(req)
		if err != nil {
			return nil, err
		}
		out = append(out, lines...)
	}
	return out, nil
}

// Jobs gathers the open work of all desks.
func (r *Roster) Jobs(req *desk.Request) ([]desk.Job, error) {
	var out []desk.Job
	for _, d := range r.desks {
		if d.Jobs == nil {
			continue
		}
		jobs, err := d.Jobs(req)
		if err != nil {
			return nil, err
		}
		out = append(out, jobs...)
	}
	return out, nil
}

// Relay lays the day anew after a line that changes it.
func (r *Roster) Relay(req *desk.Request, reply desk.Reply) (desk.Reply, error) {
	for _, d := range r.desks {
		if d.Relay == nil {
			continue
		}
		var err error
		if reply, err = d.Relay(req, reply); err != nil {
			return reply, err
		}
	}
	return reply, nil
}

// AtHome gathers which children are, or may be, at home between now and a wall time.
func (r *Roster) AtHome(req *desk.Request, until time.Time) ([]desk.AtHome, error) {
	var out []desk.AtHome
	for _, d := range r.desks {
		if d.AtHome == nil {
			continue
		}
		some, err := d.AtHome(req, until)
		if err != nil {
			return nil, err
		}
		out = append(out, some...)
	}
	return out, nil
}

// Taken gathers when the kitchen and the oven are in use.
func (r *Roster) Taken(req *desk.Request, from, to time.Time) ([]desk.Taken, error) {
	var out []desk.Taken
	for _, d := range r.desks {
		if d.Taken == nil {
			continue
		}
		taken, err := d.Taken(req, from, to)
		if err != nil {
			return nil, err
		}
		out = append(out, taken...)
	}
	return out, nil
}

// Dated gathers what the desks know by its day and have no bell for.
func (r *Roster) Dated(req *desk.Request, until time.Time) ([]desk.Dated, error) {
	var out []desk.Dated
	for _, d := range r.desks {
		if d.Dated == nil {
			continue
		}
		some, err := d.Dated(req, until)
		if err != nil {
			return nil, err
		}
		out = append(out, some...)
	}
	return out, nil
}
