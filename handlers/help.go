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
	if reply, ok := r.helpDesk(req, word); ok {
		return reply, true
	}
	name := r.commandNamed(word)
	if name == "" {
		return r.helpAbout(req, word)
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

// helpDesk shows what one desk is for: an example of each of its commands. A word that is
// a command too is left to the command.
func (r *Roster) helpDesk(req *desk.Request, word string) (desk.Reply, bool) {
	word = strings.ToLower(word)
	i := slices.IndexFunc(r.desks, func(d desk.Desk) bool { return d.Name == word })
	if i < 0 || r.byCommand[word] != nil || !req.Direct && len(phrase.Words(req.Text)) > 2 { // "help me in the kitchen"
		return desk.Reply{}, false
	}
	d := &r.desks[i]
	reply := desk.Answer(d.Name + ": " + d.About)
	seen := map[string]bool{}
	for a := range d.Asks {
		ask := &d.Asks[a]
		if _, no := forbidden(req, ask); no || seen[ask.Command] || len(ask.Examples) == 0 {
			continue
		}
		seen[ask.Command] = true
		reply.Lines = append(reply.Lines, "  "+firstLine(ask.Examples[0].Line))
		if len(reply.Buttons) < 6 {
			reply.Buttons = append(reply.Buttons, desk.Labelled(desk.Upper(ask.Command), "help "+ask.Command))
		}
	}
	return reply, true
}

// mostExamples is how many examples are shown for a word that names no command.
const mostExamples = 8

// helpAbout shows the examples in which a word stands that names no command: "help eggs".
func (r *Roster) helpAbout(req *desk.Request, word string) (desk.Reply, bool) {
	word = strings.ToLower(word)
	reply := desk.Answer("With " + desk.Quote(word) + ", for example:")
	for _, f := range r.desks {
		for a := range f.Asks {
			ask := &f.Asks[a]
			if _, no := forbidden(req, ask); no {
				continue
			}
			for _, e := range ask.Examples {
				line := "  " + firstLine(e.Line)
				if len(reply.Lines) < mostExamples && slices.Contains(phrase.Words(e.Line), word) && !slices.Contains(reply.Lines, line) {
					reply.Lines = append(reply.Lines, line)
				}
			}
		}
	}
	return reply, req.Direct && len(reply.Lines) > 0 && len(word) > 2
}

func firstLine(s string) string {
	line, _, _ := strings.Cut(s, "\n")
	return line
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
