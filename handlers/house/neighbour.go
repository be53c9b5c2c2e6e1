package house

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/calc/food"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// notNames are words in the place of a neighbour's name that name none.
var notNames = strings.Fields(`a an the of to for with from in on at and or our my your his her their its me us you him them it he she they we i this that these those who what some any more all up out off back away over
	down not no yes so if then now today yesterday tomorrow here there home everyone everybody someone somebody nobody people kids children dog cat hens hen pigs pig sow goat goats chickens birds lamb calf bees
	mine yours ours myself himself herself each both lots few work school church market gate way nothing something everything anything town bed road rid birth rise`)

// bodies are what may stand behind "the" and be dealt with like a neighbour.
var bodies = strings.Fields(`school church hall market neighbours neighbors neighbour neighbor vet butcher baker foodbank shop cafe pub hotel postman minister farm estate nursery village fair co-op coop`)

// relatives are whose names people seldom type: Tom's mum.
var relatives = strings.Fields(`mum mom mother dad father parents sister brother gran granny grandma grandmother nan nana grandad granddad grandpa grandfather aunt auntie uncle cousin wife husband son daughter partner boyfriend girlfriend friend mate boss teacher neighbour neighbor family`)

// isAnimal reports the name of an animal or a group of the flock book: what goes to it is
// no dealing, and what comes from it the barn writes down.
func isAnimal(req *desk.Request, name string) bool {
	herds, err := req.Tx.Herds(req.House.ID)
	name = strings.TrimPrefix(strings.ToLower(name), "the ")
	return err == nil && slices.ContainsFunc(herds, func(h storage.Herd) bool {
		return name != "" && (strings.EqualFold(h.Name, name) || strings.EqualFold(h.Kind, name) || strings.EqualFold(h.Kind+"s", name))
	})
}

// nameAt reads the name of a person or a neighbour at a place of a line; n is 0 for none.
func nameAt(req *desk.Request, w words, i int) (name string, n int) {
	if i < 0 || i >= len(w) || w[i].Kind != phrase.Word {
		return "", 0
	}
	if w.low(i) == "the" && slices.Contains(bodies, w.low(i+1)) {
		return "the " + w.low(i+1), 2
	}
	all, err := req.Tx.Neighbours(req.House.ID)
	if err != nil {
		return "", 0
	}
	for _, long := range []int{3, 2, 1} {
		if i+long > len(w) {
			continue
		}
		said := w[i : i+long].text()
		if p, ours := req.Person(said); ours {
			return p.Name, long
		}
		for _, o := range all {
			if strings.EqualFold(o.Name, said) {
				return o.Name, long
			}
		}
	}
	if slices.Contains(notNames, w.low(i)) || numberWord(w.low(i)) || dealVerbs[w.low(i)] != "" {
		return "", 0
	}
	if _, isFood := food.Find(w.low(i)); isFood && w[i].Text == w.low(i) {
		return "", 0
	}
	name, n = named(w[i].Text), 1
	if strings.HasSuffix(w.low(i), "'s") && slices.Contains(relatives, w.low(i+1)) { // Tom's mum
		return name + " " + w.low(i+1), 2
	}
	if (w.low(i) == "mr" || w.low(i) == "mrs" || w.low(i) == "ms" || w.low(i) == "old" || w.low(i) == "auntie" || w.low(i) == "uncle") && i+1 < len(w) && w[i+1].Kind == phrase.Word {
		return name + " " + named(w[i+1].Text), 2
	}
	if w[i].Text != w.low(i) && i+1 < len(w) && w[i+1].Kind == phrase.Word && isTitled(w[i+1].Text) && isTitled(w[i].Text) && dealVerbs[w.low(i+1)] == "" { // Ann Bell
		return name + " " + w[i+1].Text, 2
	}
	return name, n
}

func nameLength(req *desk.Request, w words, i int) int {
	_, n := nameAt(req, w, i)
	return n
}

// pressed writes a line so that a button may type it: its first word names what is asked.
func pressed(line string) string {
	first := phrase.Tokens(line)[0]
	switch {
	case dealVerbs[first.Low] != "":
		return line
	case first.Kind == phrase.Num || numberWord(first.Low):
		return "gave " + line
	}
	return "got " + line
}

// isTitled reports a word with a capital and small letters behind it.
func isTitled(s string) bool {
	return len(s) > 1 && strings.ToLower(s[1:]) == s[1:] && strings.ToUpper(s[:1]) == s[:1]
}

// known reports the name of a neighbour or of one of the household.
func known(req *desk.Request, name string) bool {
	if _, ours := req.Person(name); ours {
		return true
	}
	_, ok, err := neighbourNamed(req, name)
	return err == nil && ok
}

func neighbourNamed(req *desk.Request, name string) (storage.Neighbour, bool, error) {
	all, err := req.Tx.Neighbours(req.House.ID)
	if err != nil {
		return storage.Neighbour{}, false, err
	}
	for _, n := range all {
		if strings.EqualFold(n.Name, name) {
			return n, true, nil
		}
	}
	return storage.Neighbour{}, false, nil
}

// nearName asks whether a new name is a slip of a known one; ok is true when it is not.
func nearName(req *desk.Request, name string) (reply desk.Reply, ok bool, err error) {
	all, err := req.Tx.Neighbours(req.House.ID)
	if err != nil {
		return desk.Reply{}, false, err
	}
	for _, n := range all {
		if len(n.Name) < 4 || phrase.Distance(strings.ToLower(n.Name), strings.ToLower(name)) != 1 {
			continue
		}
		at := strings.Index(strings.ToLower(req.Text), strings.ToLower(name))
		if at < 0 || at+len(name) > len(req.Text) {
			continue
		}
		return desk.AskBack(fmt.Sprintf("Is that %s, or somebody new?", n.Name),
			desk.Labelled(n.Name, pressed(strings.TrimPrefix(req.Text[:at]+n.Name+req.Text[at+len(name):], "/"))), desk.Labelled(name+" is new", "neighbours add "+name)), false, nil
	}
	return desk.Reply{}, true, nil
}

// mustNot says which allergens of a thing somebody must not have.
func mustNot(req *desk.Request, name, item string) (out []string, err error) {
	all, err := req.Tx.Allergies(req.House.ID)
	if err != nil {
		return nil, err
	}
	held := food.Allergens(item)
	for _, a := range all {
		if strings.EqualFold(a.Name, name) && slices.Contains(held, food.Allergen(a.What)) {
			out = append(out, sayAllergen(a.What))
		}
	}
	return out, nil
}

// sayAllergen is an allergen as the household says it.
func sayAllergen(what string) string {
	if what == string(food.TreeNut) {
		return "nuts"
	}
	return what
}
