// Package chores is the chores desk: work that comes round, who does it, what each
// has done, and what is never a child's.
package chores

import (
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// Desk returns the chores desk.
func Desk() desk.Desk {
	return desk.Desk{
		Name:  "chores",
		About: "who does what and when, in turn or by who has done least",
		Lists: map[string]desk.WordList{"chores": words, "stopped": stoppedWords},
		Done:  map[string]func(*desk.Request, storage.Bell, time.Time) ([]string, error){"chore": answered},
		Today: today,
		Jobs:  openJobs,
		Taken: atWork,
		Sheet: sheetParts,
		Asks:  slices.Concat(giveAsks(), mayAsks(), tellAsks(), denyAsks(), swapAsks(), handOverAsks(), changeAsks(), stopAsks(), lookAsks()),
	}
}

var (
	hens   = []string{"chore feed the hens Ivo daily at 7am"}
	dishes = []string{"rota dishes Ivo Lise Pim daily at 19:00"}
	both   = []string{"people", "chores"}
	chore  = []desk.Need{{Kind: phrase.KindTerm, List: "chores"}}
)

func giveAsks() []desk.Ask {
	kinds := append([]phrase.Kind{phrase.KindDuration, phrase.KindToClock}, phrase.Whenever...)
	fill := []string{"now", "from", "on", "instead", "time"}
	return []desk.Ask{
		{
			Name: "chore", Command: "chore", Text: true, Keep: true, Kinds: kinds, Lists: both, Help: "give out work that comes round: what, who, when",
			Forms: []string{"^chore"}, Plain: plainCommand, Do: command,
			Examples: []desk.Example{
				{Line: "chore feed the hens Ivo daily at 7"},
				{Line: "chore wash up daily 18:30 whoever has done least, 15 min"},
				{Line: "chore sweep the porch Lise saturdays at 10, 20 min, effort 30, from age 8"},
			},
		},
		{
			Name: "chore", Command: "chore", Text: true, Keep: true, Kinds: kinds, Lists: both, Fill: fill, Help: "the same in plain words",
			Forms: []string{
				"every|each|daily|nightly|weekly|fortnightly|monthly|weekdays|weekends", "mondays|tuesdays|wednesdays|thursdays|fridays|saturdays|sundays",
				"monday|tuesday|wednesday|thursday|friday|saturday|sunday", "mon|tue|tues|wed|thu|thur|thurs|fri|sat|sun", "tomorrow|tonight|today", "turns|turn|alternate", "whoever", "at", "twice a",
			},
			Examples: []desk.Example{{Line: "Ivo feeds the sow every morning at 7"}, {Line: "Pim and Lise set the table every evening"}, {Line: "whoever is free brings the washing in daily at 4pm"}},
			Plain:    plainSentence, Do: sentence,
		},
		{
			Name: "rota", Command: "rota", Text: true, Keep: true, Kinds: kinds, Lists: both, Help: "let a chore go round: in turn, by day, by least done",
			Forms: []string{"^rota"}, Plain: plainRota, Do: rotaCommand,
			Examples: []desk.Example{
				{Line: "rota dishes daily 7pm: Ivo, Lise, Pim"},
				{Line: "rota hens by day: Ivo mon tue wed, Lise thu fri, Tom sat sun, at 7am"},
				{Line: "rota wash up daily 18:30 by least done Ivo Lise"},
			},
		},
		{
			Name: "rota", Command: "rota", TakesLines: true, Lists: []string{"chores"}, Kinds: []phrase.Kind{phrase.KindDate}, Help: "what goes round and who is next; or a list of chores, a line each",
			Forms: []string{"^rota$", "^chores$", "^chore list$", "^rota list$", "^the rota$", "^chore rota$"}, Fill: []string{"list", "chores", "chore", "this", "week"},
			Examples: []desk.Example{{Setup: dishes, Line: "rota"}, {Line: "chores:\nIvo feed the hens daily 7am\nLise feed the goats daily 7:30am"}},
			Do:       listOrPaste,
		},
		{
			Name: "chore", Command: "chore", Lists: both, Kinds: []phrase.Kind{phrase.KindNumber, phrase.KindShare}, Help: "of how much of a full share somebody is asked", Fill: []string{"half", "full", "quarter", "whole", "none", "share", "percent"},
			Forms: []string{"^chore share"}, Examples: []desk.Example{{Line: "chore share Pim half"}}, Do: portion,
		},
	}
}

// listOrPaste gives out the lines below "chores:", or shows what there is.
func listOrPaste(req *desk.Request) (desk.Reply, error) {
	if w := phrase.Words(req.Text); !req.Direct && w[0] != "chores" && w[0] != "rota" && w[0] != "chore" && w[0] != "the" {
		return desk.Reply{}, desk.ErrSilent
	}
	switch {
	case len(req.More) > 0:
		return paste(req)
	case req.Form == "^chores$" || req.Form == "^chore list$":
		return overview(req)
	}
	return rotas(req)
}

func hasChores(req *desk.Request) bool {
	all, err := live(req)
	return err == nil && len(all) > 0
}

// plainCommand lets a line that opens with the word give work out only when it
// says when or who.
func plainCommand(req *desk.Request) bool {
	words := phrase.Words(req.Text)
	if strings.Contains(req.Text, "?") || len(words) == 0 || phrase.Distance(words[0], "chore") > 1 || len(words) > 1 && (words[1] == "chart" || words[1] == "sheet" || words[1] == "list") {
		return false
	}
	when := len(req.Reading.Of(phrase.KindRule))+len(req.Reading.Of(phrase.KindClock))+len(req.Reading.Of(phrase.KindDate))+len(req.Reading.Of(phrase.KindClocks)) > 0
	return len(words) == 1 || when || req.Mentions("age") || len(words) > 2 && len(req.Reading.Terms("people")) > 0
}

func plainRota(req *desk.Request) bool {
	if strings.Contains(req.Text, "?") {
		return false
	}
	return len(req.Reading.Of(phrase.KindRule))+len(req.Reading.Of(phrase.KindClock)) > 0 || len(req.Reading.Terms("chores")) > 0 && len(req.Reading.Unknown) == 0
}

// rotaCommand gives out a rota, or shows one that is named alone.
func rotaCommand(req *desk.Request) (desk.Reply, error) {
	if len(phrase.Words(req.Text)) == 1 {
		return rotas(req)
	}
	named := len(req.Reading.Terms("chores")) > 0 && len(req.Reading.Unknown) == 0
	if named && len(req.Reading.Terms("people")) == 0 && len(req.Reading.Of(phrase.KindClock)) == 0 {
		return rotas(req)
	}
	return give(req, req.Text)
}

func tellAsks() []desk.Ask {
	kinds := []phrase.Kind{phrase.KindDate, phrase.KindClock, phrase.KindPart, phrase.KindAfter, phrase.KindBad}
	fill := []string{"already", "finally", "sorry", "forgot", "say", "told", "just", "now", "all", "myself", "did", "done", "has", "have", "not", "didn't", "didnt", "hasn't", "hasnt", "finished", "given", "i've", "ive", "we've", "to", "set", "fed", "both", "but", "was", "who", "that", "it", "no", "together", "instead", "chore", "chores", "nobody", "noone", "no-one", "one", "due", "this"}
	fill = append(fill, tellWords()...)
	return []desk.Ask{
		{
			Name: "done", Command: "done", Kinds: kinds, Lists: both, Needs: chore, Fill: fill, Keep: true, Help: "a chore was done, by whom and when",
			Forms:    []string{told, "hasn't|didn't|didnt", "^no it|that was * who|that", "^it was * who|that"},
			Examples: []desk.Example{{Setup: hens, Line: "Ivo did the hens at 8am"}, {Setup: hens, Line: "done hens"}, {Setup: hens, Line: "I fed the hens"}},
			Plain:    plainTold, Do: done,
		},
	}
}

// plainTold tells a report from a question, a wish, or what is to be.
func plainTold(req *desk.Request) bool {
	if strings.Contains(req.Form, "was * who") {
		return tells(req) && !strings.Contains(req.Text, "?") && len(req.Reading.Terms("people")) > 0
	}
	return tells(req) && !strings.Contains(req.Text, "?") && !req.Mentions("if", "when", "who", "whose", "will", "would", "should", "could", "can", "what", "how", "why", "always", "wrong", "is", "isn't", "be", "get", "gets",
		"let", "wish", "wishes", "hope", "hopes", "suppose", "imagine", "every", "daily", "each", "times", "never", "was", "much", "many", "with", "that", "these", "those", "like", "you", "he", "she", "they", "we") && !req.Mentions(partly...) && !pointed(req) && !asksFirst(req) && !orders(req) && !ruined(req)
}

// pointed reports a "this" that is of no time: not of "this morning".
func pointed(req *desk.Request) bool {
	toks := req.Reading.Tokens
	for i, t := range toks {
		if t.Low == "this" && (i+1 == len(toks) || !slices.Contains([]string{"morning", "afternoon", "evening"}, toks[i+1].Low)) {
			return true
		}
	}
	return false
}

// orders reports "shut the hens in": a verb that is the same in what was done opens the
// line, and nothing else in it tells of something done.
func orders(req *desk.Request) bool {
	words := slices.DeleteFunc(phrase.Words(req.Text), func(w string) bool { return w == "please" || w == "now" || w == "just" })
	if len(words) == 0 || pasts[words[0]] != words[0] {
		return false
	}
	if _, _, _, passed := toldAt(req); passed && len(req.Reading.Of(phrase.KindClock)) > 0 {
		return false // "shut the hens in at 19:30", typed after that
	}
	return !slices.ContainsFunc(words[1:], func(w string) bool { return slices.Contains(tellWords(), w) })
}

// ruined reports "the hens are done for".
func ruined(req *desk.Request) bool {
	return strings.HasSuffix(strings.TrimRight(strings.ToLower(req.Text), " .!"), "done for")
}

// tells reports a word of what was done as it is written: a slip away from "baked"
// stands "bake", which asks for it.
func tells(req *desk.Request) bool {
	return req.Mentions(tellWords()...) || req.Mentions("didn't", "didnt", "hasn't", "hasnt")
}

// asksFirst reports a line that opens like a question: "has Ivo done the hens", "are the
// hens shut in".
func asksFirst(req *desk.Request) bool {
	words := strings.Fields(strings.ToLower(req.Text))
	if len(words) < 2 {
		return false
	}
	switch words[0] {
	case "has", "have", "are", "is", "were", "was", "do", "does", "isn't", "aren't", "hasn't", "haven't":
		return true
	case "did", "didn't":
		return len(req.Reading.Terms("people")) > 0 || slices.Contains([]string{"anyone", "anybody", "someone", "somebody"}, words[1])
	}
	return false
}

func swapAsks() []desk.Ask {
	kinds := []phrase.Kind{phrase.KindDate, phrase.KindPart, phrase.KindClock, phrase.KindBad}
	fill := []string{"swap", "swop", "trade", "swapping", "trading", "are", "and", "want", "like", "turn", "turns", "chore", "take", "takes", "do", "does", "instead", "my", "mine", "i'll", "ill", "with", "tonight", "tonight's", "tomorrow's", "today's", "go", "on", "cover", "covers"}
	asked := append(slices.Clone(dishes), "Ivo: swap dishes with Lise")
	return []desk.Ask{
		{
			Name: "swap", Command: "swap", Kinds: kinds, Lists: both, Doubt: true, Fill: fill, Keep: true, Help: "take turns of each other, when the other says yes or a keeper does",
			Forms: []string{"^swap|swop", "^i want * swap", "^can we|i swap", "^trade", "and i are|am swapping|trading", "and me are swapping|trading"},
			Examples: []desk.Example{
				{Setup: dishes, By: "Ivo", Line: "swap dishes with Lise"},
				{Setup: dishes, By: "Ivo", Line: "swap tonight's dishes with Lise's tomorrow"},
				{Setup: dishes, Line: "swap Ivo and Lise on the dishes"},
			},
			Plain: func(req *desk.Request) bool {
				return len(req.Reading.Terms("chores")) > 0 && (len(req.Reading.Terms("people")) > 0 || strangeName(req) != "")
			}, Do: swap,
		},
		{
			Name: "swap", Command: "swap", Kinds: kinds, Lists: both, Needs: chore, Fill: fill, Keep: true, Help: "do somebody's turn, or ask somebody to do yours",
			Forms:    []string{"^i'll|ill do|take|bring|get", "^i will do|take|bring|get", "^can|could * do my", "can do my", "instead of", "takes|take"},
			Examples: []desk.Example{{Setup: dishes, By: "Lise", Line: "I'll do Ivo's dishes tonight"}, {Setup: dishes, By: "Ivo", Line: "can Lise do my dishes tonight"}, {Setup: dishes, Line: "Lise does the dishes tonight instead of Ivo"}},
			Plain:    plainGift, Do: swap,
		},
		{
			Name: "swap", Command: "swap", Kinds: []phrase.Kind{phrase.KindNumber}, Lists: []string{"people"}, Fill: []string{"yes", "no", "ok", "sorry", "can't", "cant", "fine", "i'll", "ill", "do", "it", "that", "thanks"}, Help: "the answer to a swap",
			Forms: []string{"^yes", "^no", "^swap yes|no", "^ok$"}, Plain: func(req *desk.Request) bool { return !strings.Contains(req.Text, "?") },
			Examples: []desk.Example{{Setup: asked, By: "Lise", Line: "yes"}, {Setup: asked, By: "Lise", Line: "no"}}, Do: consent,
		},
	}
}

// plainGift wants somebody's turn named beside the chore: "I'll do the dishes" is
// talk.
func plainGift(req *desk.Request) bool {
	if strings.Contains(req.Text, "?") && !strings.HasPrefix(strings.ToLower(req.Text), "can") || req.Mentions("if", "when", "was", "every", "daily") {
		return false
	}
	others := len(othersNamed(req))
	switch req.Form {
	case "takes|take":
		return others == 2 && req.May() && len(req.Reading.Of(phrase.KindDuration)) == 0
	case "instead of":
		return others == 2 || others == 1 && req.Mentions("me", "i'll", "i")
	}
	if others == 0 && !req.Mentions("my") {
		fit, err := meant(req)
		return err == nil && len(fit) == 1 && fit[0].How == storage.ChoreFree
	}
	return others == 1
}

func changeAsks() []desk.Ask {
	kinds := append([]phrase.Kind{phrase.KindToClock, phrase.KindDays, phrase.KindDuration}, phrase.Whenever...)
	fill := []string{"chore", "rota", "chores", "from", "now", "on", "onwards", "move", "shift", "change", "instead", "time", "only", "is", "are", "does", "do", "takes", "take", "give", "over", "for", "good", "the", "rota"}
	change := func(help string, do func(*desk.Request, storage.Chore) (desk.Reply, error), forms []string, examples []desk.Example, more ...string) desk.Ask {
		return desk.Ask{
			Name: "chore", Command: "chore", Kinds: kinds, Lists: both, Needs: chore, Fill: append(slices.Clone(fill), more...), Keep: true, Help: help, Forms: forms, Examples: examples,
			Plain: func(req *desk.Request) bool {
				return !strings.Contains(req.Text, "?") && !req.Mentions("if", "why", "who", "when", "did", "was", "must")
			}, Do: changing(do),
		}
	}
	return []desk.Ask{
		func() desk.Ask {
			a := change("another time or other days", retime, []string{"^move|shift|change", "^move|shift|change * to|at", "from now on", "on weekdays|weekends", "at weekends", "is|are at * now", "is|are at * instead|onwards", "at|on * instead$"}, []desk.Example{{Setup: dishes, Line: "move the dishes to 8pm"}, {Setup: dishes, Line: "dishes at 20:00 from now on"}})
			a.Do = func(req *desk.Request) (desk.Reply, error) { return changing(retime, moveTo(req))(req) }
			return a
		}(),
		change("give a chore to somebody else for good", giveTo, []string{"^give * to", "^hand|pass * chore|job to", "does|do|has * from now on", "does|do|has * now$"}, []desk.Example{{Setup: hens, Line: "give the hens to Lise"}, {Setup: hens, Line: "Lise does the hens from now on"}}, "hand", "pass", "job"),
		func() desk.Ask {
			a := change("somebody takes a chore over", giveTo, []string{"takes|take over", "is|are * now$", "is|are * job$"}, []desk.Example{{Setup: hens, Line: "Lise takes over the hens"}, {Setup: hens, Line: "the hens are Lise's now"}}, "takes", "take", "over", "job", "is", "are")
			plain := a.Plain
			a.Plain = func(req *desk.Request) bool { return plain(req) && handsOver(req) }
			a.Do = func(req *desk.Request) (desk.Reply, error) {
				if to := othersNamed(req); len(to) == 1 {
					return changing(giveTo, "give % to "+to[0].Name)(req)
				}
				return desk.Reply{}, desk.ErrSilent
			}
			return a
		}(),
		ofSomebody(change("somebody has no part in a chore any more", leaves, []string{"doesn't|doesnt|don't|dont * any more|longer", "doesn't|doesnt|don't|dont * anymore", "no longer"}, []desk.Example{{Setup: dishes, Line: "Pim doesn't do the dishes any more"}}, "doesn't", "doesnt", "don't", "dont", "any", "more", "anymore", "longer", "no")),
		needing(phrase.KindDuration, change("how long it takes", lasts, []string{"take|takes|lasts|last"}, []desk.Example{{Setup: dishes, Line: "the dishes take 25 minutes"}}, "only", "about", "each", "time", "minutes", "really", "lasts", "last")),
		func() desk.Ask {
			a := change("what it counts for, in minutes of ordinary work", weigh, []string{"effort"}, []desk.Example{{Setup: dishes, Line: "dishes effort 40"}}, "effort", "is", "counts")
			a.Kinds = append(slices.Clone(a.Kinds), phrase.KindNumber)
			return a
		}(),
		func() desk.Ask {
			a := change("a least age", fromAge, []string{"from|least|minimum age"}, []desk.Example{{Setup: hens, Line: "hens from age 10"}}, "age", "least", "minimum")
			a.Kinds = append(slices.Clone(a.Kinds), phrase.KindNumber)
			return a
		}(),
		change("end a chore for good", stop, []string{"^stop|cancel|end|delete|remove * chore|rota", "^no more * chore|rota", "no longer"}, []desk.Example{{Setup: dishes, Line: "stop the dishes chore"}}, "stop", "cancel", "end", "delete", "remove", "no", "more", "longer"),
		orStranger(change("take somebody into a rota, or out of it", join, []string{"^add|put * to|in|on|into", "^take|remove * out|off|from", "off the * rota", "^take me off|out"}, []desk.Example{{Setup: dishes, Line: "add Edda to the dishes rota"}, {Setup: dishes, Line: "take Pim out of the dishes rota"}},
			"add", "put", "take", "remove", "out", "off", "into")),
		change("by turns or by least done from now on", shareBy, []string{"by|in least|turns|turn", "by the least"}, []desk.Example{{Setup: dishes, Line: "dishes by least done from now on"}}, "by", "least", "done", "turns", "turn", "go", "goes"),
		{
			Name: "chore", Command: "chore", Lists: []string{"chores"}, Needs: chore, Text: true, Keep: true, Help: "call it something else", Forms: []string{"^rename|call"},
			Examples: []desk.Example{{Setup: dishes, Line: "rename the dishes chore washing up"}}, Plain: func(req *desk.Request) bool { return strings.HasPrefix(strings.ToLower(req.Text), "rename") }, Do: called,
		},
		{
			Name: "chore", Command: "chore", Kinds: kinds, Lists: both, Keep: true, Help: "a pause: of one chore, of all that can wait, or of somebody's",
			Forms: []string{"^no chores|chore", "has|gets|have * off$", "has|gets|have a|the day off", "^a|the day off for", "^day off for", "^no * on|for|this|next|until|till|today|tonight|tomorrow", "^pause|rest", "^skip * on|for|this|next|until|till|today|tonight|tomorrow"}, Fill: []string{"no", "chores", "chore", "pause", "skip", "for", "next", "this", "week", "it's", "his", "her", "their", "birthday", "off", "rota", "rest", "today", "tonight", "all", "day", "has", "gets", "have", "a", "the", "off"},
			Examples: []desk.Example{{Setup: dishes, Line: "no chores on saturday"}, {Setup: dishes, Line: "pause the dishes until friday"}, {Setup: dishes, Line: "no chores for Lise tomorrow"}, {Setup: dishes, Line: "no dishes on sundays"}},
			Plain: func(req *desk.Request) bool {
				return hasChores(req) && !strings.ContainsAny(req.Text, "?") && !req.Mentions("because", "if")
			}, Do: rest,
		},
		{
			Name: "chore", Command: "chore", Kinds: kinds, Lists: both, Needs: chore, Fill: append(slices.Clone(fill), "just", "tomorrow", "today", "tonight", "day"), Keep: true, Help: "another hour on one day alone: how to give it out",
			Forms: []string{"only|just$", "only|just * tomorrow|today|tonight|on"}, Plain: plainOneDay, Do: oneDay, Examples: []desk.Example{{Setup: dishes, Line: "move the dishes to 8pm"}},
		},
		{
			Name: "birthday", Command: "chore", Kinds: []phrase.Kind{phrase.KindDate}, Lists: []string{"people"}, Keep: true, Needs: []desk.Need{{Kind: phrase.KindDate}}, Help: "a birthday: no chores fall on it",
			Forms: []string{"birthday", "was born"}, Fill: []string{"birthday", "is", "on", "it's", "his", "her", "my", "no", "chores", "was", "born"}, Examples: []desk.Example{{Line: "Lise's birthday is 5 March"}},
			Plain: func(req *desk.Request) bool {
				return !strings.Contains(req.Text, "?") && (!req.Mentions("was") || req.Form == "was born") && !req.Mentions("party", "cake", "when") && len(req.Reading.Terms("people")) == 1
			}, Do: birthday,
		},
		{
			Name: "birthday", Command: "chore", Kinds: []phrase.Kind{phrase.KindNumber}, Lists: []string{"people"}, Needs: []desk.Need{{Kind: phrase.KindNumber}}, Keep: true, Help: "how old a child is now",
			Forms: []string{"is * now$", "is * today$", "turned", "is"}, Fill: []string{"is", "now", "today", "turned", "years", "old"}, Examples: []desk.Example{{Setup: []string{"house add Ivo child 13"}, Line: "Ivo is 14 now"}},
			Plain: plainOlder, Do: older,
		},
	}
}

// handsOver reports "Lise takes over the hens" and "the hens are Lise's now": one person,
// who comes first or to whom they belong.
func handsOver(req *desk.Request) bool {
	terms := req.Reading.Terms("people")
	if len(terms) != 1 || len(othersNamed(req)) != 1 {
		return false
	}
	if req.Form == "takes|take over" {
		return terms[0].First == 0
	}
	return possessive(terms[0])
}

// ofSomebody keeps a change to lines that name somebody.
func ofSomebody(a desk.Ask) desk.Ask {
	plain := a.Plain
	a.Plain = func(req *desk.Request) bool { return plain(req) && len(req.Reading.Terms("people")) == 1 }
	return a
}

// needing keeps a change to lines that say a thing of some kind.
func needing(kind phrase.Kind, a desk.Ask) desk.Ask {
	plain := a.Plain
	a.Plain = func(req *desk.Request) bool { return plain(req) && len(req.Reading.Of(kind)) > 0 }
	return a
}

// orStranger lets a change name somebody whom nobody knows, to say so.
func orStranger(a desk.Ask) desk.Ask {
	plain := a.Plain
	a.Doubt = true
	a.Plain = func(req *desk.Request) bool {
		return plain(req) && (len(req.Reading.Unknown) == 0 || strangeName(req) != "")
	}
	return a
}

func lookAsks() []desk.Ask {
	kinds := []phrase.Kind{phrase.KindDate, phrase.KindPart}
	common := []string{"who", "whos", "who's", "whose", "turn", "tonight", "today", "do", "does", "doing", "did", "done", "has", "have", "is", "on", "them", "it", "what", "time", "get", "next", "this", "week", "last", "chore", "chores", "rota", "now", "job", "and", "morning", "evening", "when", "my", "yet", "still", "left", "not", "been", "there", "to", "be", "remaining", "all", "of", "fed", "feeds", "feed", "feeding", "gone", "washed", "cleaned"}
	common = append(common, tellWords()...)
	common = append(common, "anyone", "anybody", "someone", "somebody", "in")
	plain := func(req *desk.Request) bool {
		return (req.Form != "this|next|last week" || !tells(req) && (!req.Mentions("does", "takes") || req.Mentions("who", "what"))) && verbKnown(req) && !req.Mentions("if", "why", "because", "always", "anyway", "think", "said", "how", "with", "like", "let", "you", "wants", "put")
	}
	ivoDid := append(slices.Clone(hens), "Ivo did the hens")
	return []desk.Ask{
		{
			Name: "who", Command: "rota", Kinds: kinds, Lists: both, Needs: chore, Question: true, Keep: true, Fill: common, Help: "who has a chore, when, whose turn it is",
			Forms: []string{"who|whos|who's|whose", "what time", "this|next|last week", "when do|does|is|are * get|done|due", "when are|is the"}, Examples: []desk.Example{{Setup: hens, Line: "who feeds the hens tonight"}, {Setup: dishes, Line: "whose turn is it for the dishes"}, {Setup: hens, Line: "who did the hens yesterday"}},
			Plain: plain, Do: who,
		},
		{
			Name: "who", Command: "rota", Kinds: kinds, Lists: both, Needs: chore, Question: true, Keep: true, Fill: common, Help: "when your turn is",
			Forms: []string{"when is|am|do|does|are * turn|i|next", "when do|does|is", "is it my turn", "when's my turn", "my turn"}, Examples: []desk.Example{{Setup: dishes, By: "Lise", Line: "when is my turn for the dishes"}}, Plain: plain, Do: mine,
		},
		{
			Name: "who", Command: "rota", Kinds: kinds, Lists: both, Needs: chore, Question: true, Keep: true, Fill: common, Help: "whether a chore is done",
			Forms: []string{"^has|have|did", "^is|are * done|fed|finished", "^is|are|were * " + told, told + "$"}, Examples: []desk.Example{{Setup: hens, Line: "has Ivo done the hens"}},
			Plain: func(req *desk.Request) bool {
				return plain(req) && (strings.Contains(req.Text, "?") || asksFirst(req) || strings.HasPrefix(req.Form, "^is|are"))
			}, Do: doneYet,
		},
		{
			Name: "chores", Command: "rota", Kinds: kinds, Lists: both, Question: true, Keep: true, Fill: append(slices.Clone(common), "i", "show", "list", "for", "the", "are", "outstanding", "undone", "hasn't", "what's", "whats", "see", "remains", "day"), Help: "the chores of a day, a week, or somebody's",
			Forms:    []string{"^chores", "^chore list", "what|whats|what's * chores|chore", "chores$", "my chores", "chores today|tomorrow|tonight|this|next|on|for", "what do|does * do|to", "what|whats|what's * done|left", "who does|is|do what", "show * chores", "^whats|what's my job|jobs", "^what is|are my job|jobs", "what do|does|have|has * have|got", "what's|whats * got"},
			Examples: []desk.Example{{Setup: hens, Line: "what are Ivo's chores"}, {Setup: hens, Line: "chores today"}, {Setup: hens, Line: "what's left to do today"}}, Plain: plainChores, Do: dayOf,
		},
		{
			Name: "sheet", Command: "rota", Kinds: kinds, Help: "the week's chores by person, to print", Forms: []string{"^chore|chores sheet", "chores|chore sheet", "^print * chores", "^sheet * chores"}, Fill: []string{"chore", "chores", "sheet", "print", "wall", "for", "next", "week", "this", "of", "the", "weeks", "week's"},
			Examples: []desk.Example{{Setup: hens, Line: "chore sheet"}}, Plain: plain, Do: sheet,
		},
		{
			Name: "account", Command: "rota", Kinds: kinds, Lists: both, Question: true, Keep: true, Fill: append(slices.Clone(common), "how", "much", "many", "times", "tally", "account", "fair", "even", "for", "are", "i", "month", "effort", "often", "work", "so", "far", "least", "most", "the"), Help: "what each has done",
			Forms:    []string{"how much", "how many times", "how often", "how fair|even", "^tally", "chores|chore account|tally", "what has|did|have * done|do", "who has|have|did * least|most", "when did * last", "^account"},
			Examples: []desk.Example{{Setup: ivoDid, Line: "how much has Ivo done this week"}, {Setup: ivoDid, Line: "chores account"}, {Setup: ivoDid, Line: "how fair are the chores"}}, Plain: plainAccount, Do: account,
		},
		{
			Name: "age", Command: "rota", Text: true, Lists: both, Question: true, Keep: true, Help: "from what age some work is usual", Forms: []string{"is|are * old enough", "^am i old enough", "^is|are * allowed to", "old enough to|for", "^can * do at his|her age"},
			Examples: []desk.Example{{Line: "is Pim old enough to feed the goats"}}, Plain: func(req *desk.Request) bool {
				return (len(req.Reading.Terms("people")) > 0 || req.Form == "^am i old enough") && knownWork(workAsked(req))
			}, Do: oldEnough,
		},
	}
}

// verbKnown reports that what a question says was done is the work of some chore: "who
// broke the dishes" asks for none.
func verbKnown(req *desk.Request) bool {
	all, err := live(req)
	return err == nil && !slices.ContainsFunc(req.Reading.Tokens, func(t phrase.Token) bool {
		if !slices.Contains(tellWords(), t.Low) || slices.Contains([]string{"done", "did", "finished", "set"}, t.Low) {
			return false
		}
		usual := slices.Contains([]string{"fed", "washed", "cleaned"}, t.Low) // of a chore that is called after its thing: dishes
		return !slices.ContainsFunc(all, func(c storage.Chore) bool {
			verb := phrase.Words(c.Name)[0]
			return usual && baseVerbs()[verb] != verb || slices.Contains(formsOf(verb), t.Low) || alike(t.Low, c.Name)
		})
	})
}

func plainChores(req *desk.Request) bool {
	if req.Mentions("if", "why", "because", "wait", "always", "think", "you", "we", "they") || !hasChores(req) {
		return false
	}
	if strings.HasSuffix(req.Form, "have|got") && !dayAsked(req) {
		return false
	}
	if words := phrase.Words(req.Text); len(words) > 1 && (words[0] == words[1] || words[1] == "a") {
		return false
	}
	first, _, _ := strings.Cut(strings.ToLower(req.Text), " ")
	return len(req.Reading.Unknown) == 0 && (req.Mentions("chores", "chore", "what", "whats", "what's") || first == "who")
}

func plainAccount(req *desk.Request) bool {
	if !hasChores(req) || req.Mentions("if", "because", "you", "we", "they", "longer") {
		return false
	}
	return req.Mentions("chores", "chore", "done", "tally", "account") && !req.Mentions("not", "left") || len(req.Reading.Terms("chores")) > 0
}
