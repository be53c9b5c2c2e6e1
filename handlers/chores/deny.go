package chores

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// denyAsks are the ways to say that what was just told is not so: not done, done by
// somebody else, or done in part.
func denyAsks() []desk.Ask {
	unmarked := func(req *desk.Request) bool { return !strings.ContainsAny(req.Text, "?!") }
	ivoDid := append(slices.Clone(hens), "Ivo did the hens")
	return []desk.Ask{
		{
			Name: "done", Command: "done", Keep: true, Help: "I did not: takes back what was just told of you", Fill: []string{"actually", "sorry", "yet", "oops", "no", "i", "it", "that", "done", "not", "have", "has", "been"},
			Forms: []string{"^i did not$", "^i didn't|didnt$", "^no i didn't|didnt$", "^no i did not$", "^i didn't|didnt do it|that$", "^i did not do it|that$", "^no i haven't|havent", "^i haven't|havent$", "^actually no i haven't|havent|didn't|didnt", "^actually i haven't|havent|didn't|didnt", "^not done yet", "^actually not done"},
			Plain: unmarked, Do: denied, Examples: []desk.Example{{Setup: ivoDid, By: "Ivo", Line: "I did not"}, {Setup: hens, By: "Ivo", Line: "I did not do the hens"}},
		},
		{
			Name: "done", Command: "done", Keep: true, Help: "it was I, not whoever has just told it: a keeper's word settles it", Fill: []string{"no", "you", "didn't", "didnt", "i", "did", "it", "that", "was", "me", "not"},
			Forms: []string{"^no you didn't|didnt * i did$", "^you didn't|didnt * i did$", "^no i did$", "^no it|that was me$", "^it|that was me not you$"},
			Plain: unmarked, Do: claimed, Examples: []desk.Example{{Setup: []string{hens[0], "Ivo: I did the hens"}, Line: "no you didn't, I did"}},
		},
		{
			Name: "done", Command: "done", Kinds: []phrase.Kind{phrase.KindDate, phrase.KindPart}, Lists: both, Needs: chore, Keep: true, Help: "a chore is done in part, or badly: nothing is closed, and what was closed is asked about",
			Fill:  []string{"half", "nearly", "almost", "partly", "mostly", "done", "finished", "properly", "right", "well", "only", "just", "is", "are", "was", "were", "not", "isn't", "aren't", "wasn't", "weren't", "isnt", "arent", "wasnt", "werent", "it", "i've", "ive", "have", "has", "i", "did", "yet", "still", "at", "all"},
			Forms: []string{"half|nearly|almost|partly|mostly done|finished", "half|nearly|almost|partly|mostly did|" + told, "isn't|aren't|wasn't|weren't|isnt|arent|wasnt|werent done|finished|" + told, "is|are|was|were not done|finished|" + told, "not|isn't|aren't|wasn't|weren't|isnt|arent|wasnt|werent|didn't|didnt * properly|right|well"},
			Plain: unmarked, Do: inPart, Examples: []desk.Example{{Setup: hens, Line: "the hens are half done"}},
		},
	}
}

// partly are words of work that is not done, or not as it should be.
var partly = []string{"half", "halfway", "nearly", "almost", "partly", "mostly", "properly"}

// nobodyDid reports "nobody did the dishes last night".
func nobodyDid(req *desk.Request) bool {
	text := " " + strings.Join(phrase.Words(req.Text), " ") + " "
	return req.Mentions("nobody", "noone") || strings.Contains(text, " no one ") || strings.Contains(text, " no-one ")
}

// fresh is how long after a report a bare "I did not" is about it.
const fresh = time.Hour

// justTold is the report that was typed last, where it is fresh, and the turns that it
// closed. What it tells of may have happened the day before.
func justTold(req *desk.Request) (storage.Entry, []storage.Work, error) {
	from, to := req.Now.AddDate(0, 0, -2), req.Now.AddDate(0, 0, 1)
	all, err := req.Tx.Book(req.House.ID, storage.BookQuery{From: from, To: to, Limit: 200})
	if err != nil || len(all) == 0 {
		return storage.Entry{}, nil, err
	}
	told := slices.MaxFunc(all, func(a, b storage.Entry) int { return cmp.Compare(a.ID, b.ID) })
	if told.Kind != "done" || told.Written.Before(req.Now.Add(-fresh)) {
		return storage.Entry{}, nil, nil
	}
	works, err := req.Tx.Works(req.House.ID, from, to)
	return told, slices.DeleteFunc(works, func(w storage.Work) bool { return !w.At.Equal(told.Happened) }), err
}

// turnOf is the turn that a work row closed.
func turnOf(req *desk.Request, w storage.Work) (turn, error) {
	c, ok, err := req.Tx.ChoreNumbered(req.House.ID, w.Chore)
	if err != nil || !ok {
		return turn{}, silentOr(err)
	}
	list, err := turns(req, []storage.Chore{c}, w.Due.Add(-time.Minute), w.Due.Add(time.Minute))
	if err != nil {
		return turn{}, err
	}
	list = append(list, turn{chore: c, due: w.Due, doers: w.Doers, besides: true}) // one that was not due stands alone
	return list[0], nil
}

// denied takes back what was just told of the speaker, who says no more than "I did not".
// A bare no after a report of one's own may be the answer to somebody, and is asked about.
func denied(req *desk.Request) (desk.Reply, error) {
	told, works, err := justTold(req)
	if err != nil {
		return desk.Reply{}, err
	}
	works = slices.DeleteFunc(works, func(w storage.Work) bool { return !slices.Equal(w.Doers, []int64{req.Who.ID}) })
	switch len(works) {
	case 0:
		return desk.Reply{}, desk.ErrSilent
	case 1:
	default:
		return desk.AskBack("Which of them was it not? For example: I did not do the hens"), nil
	}
	t, err := turnOf(req, works[0])
	if err != nil {
		return desk.Reply{}, err
	}
	if told.Person == req.Who.ID && !req.Mentions("actually", "yet") {
		return desk.AskBack(fmt.Sprintf("Is it not done then: %s?", t.chore.Name), desk.Labelled("Not done", "not done "+t.chore.Name)), nil
	}
	return retract(req, t)
}

// claimed writes down, on a keeper's word, that it was they who did what somebody else has
// just told as their own.
func claimed(req *desk.Request) (desk.Reply, error) {
	told, works, err := justTold(req)
	if err != nil || told.Person == req.Who.ID || len(works) != 1 || slices.Contains(works[0].Doers, req.Who.ID) {
		return desk.Reply{}, silentOr(err)
	}
	t, err := turnOf(req, works[0])
	if err != nil {
		return desk.Reply{}, err
	}
	if !req.May() {
		return desk.Refuse(fmt.Sprintf("%s is down for %s. A keeper sets it right: %s.", desk.Upper(t.chore.Name), namesOf(req, works[0].Doers), keepers(req))), nil
	}
	return setRight(req, t, works[0], []storage.Person{req.Who})
}

// inPart answers a report of work that is half done, or badly: what is open stays open,
// and of what is closed it is asked.
func inPart(req *desk.Request) (desk.Reply, error) {
	fit, err := meant(req)
	if err != nil || len(fit) == 0 {
		return desk.Reply{}, silentOr(err)
	}
	s := about(req)
	from, to := s.instants(req)
	list, err := turns(req, fit, from, to)
	if err != nil {
		return desk.Reply{}, err
	}
	for _, t := range slices.Backward(list) {
		if len(t.doers) > 0 {
			by := namesOf(req, t.doers)
			return desk.AskBack(fmt.Sprintf("%s is down as done by %s. Is it to be done again?", desk.Upper(t.chore.Name), by), desk.Labelled("Open it again", "not done "+t.chore.Name)), nil
		}
	}
	list = slices.DeleteFunc(list, func(t turn) bool { return !t.open() })
	if len(list) == 0 {
		reply, err := next(req, fit)
		reply.Head = "Nothing is closed. " + reply.Head
		return reply, err
	}
	t := list[0]
	return desk.Answer(fmt.Sprintf("Still open: %s, %s, due %s.", t.chore.Name, t.who(), reminders.SayTime(req.WallOf(t.due), req.Wall, req.House.DayFirst))), nil
}
