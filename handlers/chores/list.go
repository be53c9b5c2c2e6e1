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
func words(tx *storage.Tx, household int64) (*phrase.List, error) {
	all, err := tx.Chores(household)
	return wordList("chores", slices.DeleteFunc(all, func(c storage.Chore) bool { return c.Stopped })), err
}

func wordList(name string, all []storage.Chore) *phrase.List {
	var order []string
	verbs := map[string]bool{}
	for _, c := range all {
		for i, w := range phrase.Words(c.Name) {
			if phrase.IsFiller(w) && w != "up" || len(w) < 2 {
				continue
			}
			if !slices.Contains(order, w) {
				order = append(order, w)
			}
			verbs[w] = verbs[w] || i == 0 && baseVerbs()[w] == w
		}
	}
	var entries []phrase.Entry
	for _, w := range order {
		e := phrase.Entry{Name: w}
		if verbs[w] {
			e.Aliases = slices.DeleteFunc(formsOf(w), func(form string) bool { return slices.Contains(order, form) })
		}
		entries = append(entries, e)
	}
	return phrase.NewList(name, entries)
}

// meant returns the chores that a line names: those of whose names it has most.
func meant(req *desk.Request) ([]storage.Chore, error) {
	all, err := live(req)
	if err != nil {
		return nil, err
	}
	terms := req.Reading.Terms("chores")
	beside := slices.DeleteFunc(slices.Clone(terms), func(s phrase.Span) bool { return req.Reading.Named[s.First] })
	if len(beside) > 0 && len(fitting(all, beside)) > 0 { // "take" names the ask in "take Pim off the hens"
		fit := fitting(all, beside)
		if closer := fitting(fit, terms); len(closer) > 0 { // "fed" names the ask in "hens fed", and says which of the hens' chores
			return closer, nil
		}
		return fit, nil
	}
	return fitting(all, terms), nil
}

// fitting keeps the chores of whose names the terms have most: a thing says more
// than a verb, and a whole name more than a part of it.
func fitting(all []storage.Chore, terms []phrase.Span) []storage.Chore {
	most, best := 0, []storage.Chore(nil)
	for _, c := range all {
		n, own := 0, phrase.Words(c.Name)
		for _, s := range terms {
			switch i := slices.Index(own, s.Value.(phrase.Term).Name); {
			case i < 0:
			case i == 0 && len(own) > 1:
				n += 2
			default:
				n += 4
			}
		}
		if n > 0 && len(own) == len(terms) {
			n++
		}
		switch {
		case n > most:
			most, best = n, []storage.Chore{c}
		case n == most && n > 0:
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
	if !strings.Contains(say, "%") {
		return storage.Chore{}, reply, false
	}
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
