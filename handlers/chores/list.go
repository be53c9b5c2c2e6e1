package chores

import (
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// live returns the chores that come round still.
func live(req *desk.Request) ([]storage.Chore, error) {
	all, err := req.Tx.Chores(req.House.ID)
	return slices.DeleteFunc(all, func(c storage.Chore) bool { return c.Stopped }), err
}

// bellsOf returns the bells of a chore that are not stopped.
func bellsOf(req *desk.Request, c storage.Chore) ([]storage.Bell, error) {
	all, err := req.Tx.SubjectBells(req.House.ID, c.Subject())
	return slices.DeleteFunc(all, func(b storage.Bell) bool { return b.Stopped }), err
}

// words is the word list of the chores: each word of a name, with the forms in
// which its verb is typed.
func words(req *desk.Request) (*phrase.List, error) {
	all, err := live(req)
	if err != nil {
		return nil, err
	}
	var entries []phrase.Entry
	seen := map[string]bool{}
	for _, c := range all {
		for _, w := range phrase.Words(c.Name) {
			if seen[w] || phrase.IsFiller(w) && w != "up" || len(w) < 2 {
				continue
			}
			seen[w] = true
			e := phrase.Entry{Name: w}
			if base, verb := bases[w]; verb && base == w {
				e.Aliases = formsOf(w)
			}
			entries = append(entries, e)
		}
	}
	return phrase.NewList("chores", entries), nil
}

// meant returns the chores that a line names: those whose name has every word of
// the list that was typed.
func meant(req *desk.Request) ([]storage.Chore, error) {
	all, err := live(req)
	if err != nil {
		return nil, err
	}
	return fitting(all, req.Reading.Terms("chores")), nil
}

// fitting keeps the chores that all terms are words of. A word that every one of
// them lacks beside the others (the verb of another chore) is passed over.
func fitting(all []storage.Chore, terms []phrase.Span) []storage.Chore {
	if len(terms) == 0 {
		return nil
	}
	most, best := 0, []storage.Chore(nil)
	for _, c := range all {
		n, noun := 0, false
		for _, s := range terms {
			if name := s.Value.(phrase.Term).Name; slices.Contains(phrase.Words(c.Name), name) {
				n++
				noun = noun || bases[name] == "" || len(phrase.Words(c.Name)) <= 2
			}
		}
		switch {
		case n == 0 || !noun:
		case n > most:
			most, best = n, []storage.Chore{c}
		case n == most:
			best = append(best, c)
		}
	}
	return best
}

// one asks which of several chores is meant, or tells the ones there are.
func one(req *desk.Request, fit []storage.Chore, say string) (storage.Chore, desk.Reply, bool) {
	switch len(fit) {
	case 1:
		return fit[0], desk.Reply{}, true
	case 0:
		all, err := live(req)
		if err != nil || len(all) == 0 {
			return storage.Chore{}, desk.AskBack("There are no chores yet. For example: chore feed the hens Ivo daily at 7"), false
		}
		return storage.Chore{}, desk.AskBack("Which chore? There are: " + choreNames(all) + "."), false
	}
	reply := desk.AskBack("Which one: " + strings.ReplaceAll(choreNames(fit), " and ", " or ") + "?")
	for _, c := range fit[:min(len(fit), 6)] {
		reply.Buttons = append(reply.Buttons, desk.Labelled(c.Name, strings.Replace(say, "%", c.Name, 1)))
	}
	return storage.Chore{}, reply, false
}

func choreNames(all []storage.Chore) string {
	var out []string
	for _, c := range all {
		if !slices.Contains(out, c.Name) {
			out = append(out, c.Name)
		}
	}
	return desk.List(out)
}
