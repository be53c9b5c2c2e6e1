package handlers

import (
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

// Help lists the commands by desk, or shows examples of one: those of work that the
// person may do.
func (r *Roster) Help(req *desk.Request, word string) (desk.Reply, bool) {
	if word == "" {
		return r.helpAll(), true
	}
	name := r.commandNamed(word)
	if name == "" {
		return desk.Reply{}, false
	}
	reply := desk.Answer(name + ": " + r.byCommand[name].Help)
	for _, ask := range r.asksOf(name) {
		if refusal, no := forbidden(req, ask); no && ask.Adult {
			if ask == r.byCommand[name] {
				reply = refusal
			}
			continue
		}
		for _, e := range ask.Examples {
			reply.Lines = append(reply.Lines, "  "+strings.ReplaceAll(e.Line, "\n", "\n  "))
		}
	}
	return reply, true
}

func (r *Roster) helpAll() desk.Reply {
	reply := desk.Answer("Type a line, with or without the slash. help WORD shows examples.")
	for _, d := range r.desks {
		var names []string
		for _, a := range d.Asks {
			if !slices.Contains(names, a.Command) {
				names = append(names, a.Command)
			}
		}
		reply.Lines = append(reply.Lines, d.Name+": "+strings.Join(names, " "))
	}
	reply.Buttons = append(reply.Buttons, desk.Labelled("Lye", "help lye"), desk.Labelled("Ring", "help ring"), desk.Labelled("House", "help house"))
	return reply
}

func (r *Roster) asksOf(command string) []*desk.Ask {
	var out []*desk.Ask
	for d := range r.desks {
		for a := range r.desks[d].Asks {
			if ask := &r.desks[d].Asks[a]; ask.Command == command {
				out = append(out, ask)
			}
		}
	}
	return out
}

// commandNamed finds a command by its word, another spelling, or a slip.
func (r *Roster) commandNamed(word string) string {
	word = strings.TrimPrefix(strings.ToLower(word), "/")
	if r.byCommand[word] != nil {
		return word
	}
	for name, others := range r.aliases {
		if slices.Contains(others, word) {
			return name
		}
	}
	for _, name := range r.Commands() {
		if len(word) >= 4 && phrase.Distance(word, name) == 1 {
			return name
		}
	}
	return ""
}
