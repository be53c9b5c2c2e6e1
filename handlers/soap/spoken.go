package soap

import (
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// Lines about a room that is roped off are heard however they are worded, so they are read
// by their words and not by a form.

// spoken are the words of a line; "pim's" is pim, and owned of it is true.
func spoken(req *desk.Request) (words []string, owned []bool) {
	for _, t := range req.Reading.Tokens {
		if t.Kind == phrase.Mark || t.Kind == phrase.Break {
			continue
		}
		w, own := strings.CutSuffix(t.Low, "'s")
		words, owned = append(words, w), append(owned, own)
	}
	return words, owned
}

// hasAny reports one of some words.
func hasAny(words []string, some ...string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(some, w) })
}

// hasRun reports one of some runs of words.
func hasRun(words []string, runs ...string) bool {
	text := " " + strings.Join(words, " ") + " "
	return slices.ContainsFunc(runs, func(r string) bool { return strings.Contains(text, " "+r+" ") })
}

// askers are the words that a question begins with.
var askers = strings.Fields("can may could is are am was were do does did has have will would shall should when whens why what whats where who whos how which if")

// called are the words that a question may begin with before it asks.
var called = strings.Fields("please hey hi mum mom dad mummy mommy daddy ma pa gran granny grandma nan and so ok okay but um")

// isQuestion reports a line that asks, also one without its mark; who is called comes first:
// "mum can I", "Tom could you", and not "Pim is".
func isQuestion(req *desk.Request, words []string) bool {
	if strings.Contains(req.Text, "?") {
		return true
	}
	i := 0
	for i < len(words) && slices.Contains(called, words[i]) {
		i++
	}
	if i+1 < len(words) && hasAny(words[i+1:i+2], "can", "may", "could", "shall", "should", "will", "would", "when", "where", "how") {
		if p, ok := req.Person(words[i]); ok && !p.Child(req.Now) {
			return true
		}
	}
	return i < len(words) && slices.Contains(askers, words[i])
}

// onlyOf reports that a line has no words but those of some lists and the names of the
// household.
func onlyOf(req *desk.Request, words []string, lists ...[]string) bool {
	return !slices.ContainsFunc(words, func(w string) bool {
		_, person := req.Person(w)
		return !person && !slices.ContainsFunc(lists, func(list []string) bool { return slices.Contains(list, w) })
	})
}

// roomWords are the words for some closed rooms.
func roomWords(all []storage.Rope) (out []string) {
	for _, r := range all {
		out = append(out, phrase.Words(r.Room)...)
	}
	return out
}

// children are the household's.
func children(req *desk.Request) []storage.Person {
	return reminders.Expand(reminders.Kids, req.People, req.Now)
}

func namesOf(people []storage.Person) (out []string) {
	for _, p := range people {
		out = append(out, p.Name)
	}
	return out
}
