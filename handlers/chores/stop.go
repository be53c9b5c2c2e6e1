package chores

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// stopAsks are the ways to say that a chore ends, for good or for a while, and that
// it begins again.
func stopAsks() []desk.Ask {
	kinds := append([]phrase.Kind{phrase.KindDays, phrase.KindDuration}, phrase.Whenever...)
	ends := []string{"stop", "cancel", "end", "delete", "remove", "drop", "scrap", "chore", "chores", "rota", "the", "doing", "all", "every", "whole", "for", "good", "month", "week", "weeks", "next", "this", "today's", "tonight's", "tomorrow's"}
	return []desk.Ask{
		{
			Name: "chore", Command: "chore", Kinds: kinds, Lists: []string{"chores"}, Needs: chore, Fill: ends, Keep: true, Help: "end a chore for good, or pause it for some days",
			Forms: []string{"^stop|cancel|end|delete|remove|drop|scrap", "^stop doing"}, Plain: plainStop, Do: stopNamed,
			Examples: []desk.Example{{Setup: dishes, Line: "delete the dishes"}, {Setup: dishes, Line: "stop the dishes for a week"}},
		},
		{
			Name: "chore", Command: "chore", Kinds: kinds, Fill: append(slices.Clone(ends), "today", "tonight"), Keep: true, Help: "all of them for some days; for good is asked back",
			Forms: []string{"^stop|cancel|end|delete|remove|drop|scrap * chores"}, Plain: func(req *desk.Request) bool { return plainStop(req) && hasChores(req) }, Do: stopAll,
			Examples: []desk.Example{{Setup: dishes, Line: "stop all chores today"}},
		},
		{
			Name: "chore", Command: "chore", Kinds: kinds, Lists: []string{"chores", "stopped"}, Keep: true, Help: "a chore that was paused or stopped begins again",
			Needs: []desk.Need{{Kind: phrase.KindTerm, List: "chores"}, {Kind: phrase.KindTerm, List: "stopped"}},
			Forms: []string{"^resume|restart|unpause", "^start|begin * again"}, Fill: []string{"again", "start", "begin", "chore", "rota", "the", "now", "doing", "today", "tomorrow"},
			Plain: plainStop, Do: resume, Examples: []desk.Example{{Setup: append(slices.Clone(dishes), "pause the dishes until friday"), Line: "resume the dishes"}},
		},
	}
}

// plainStop tells an order from a cry and a question: "stop the goats!" is one.
func plainStop(req *desk.Request) bool {
	return !strings.ContainsAny(req.Text, "?!") && !req.Mentions("if", "why", "who", "when", "did", "was", "must", "you", "he", "she", "they", "bell", "bells", "ringing", "reminding") &&
		(req.May() || req.Mentions("chore", "chores", "rota"))
}

// stopNamed ends the chore that a line names, or pauses it for the days it says. Where
// "stop washing up" may be meant for today, or for whoever is at it, it is asked.
func stopNamed(req *desk.Request) (desk.Reply, error) {
	if rule := ruleOf(req.Reading); rule != nil && len(rule.Days) > 0 {
		return rest(req) // "stop the dishes on sundays"
	}
	if _, ok := daysOff(req); ok {
		return rest(req)
	}
	if other, is, err := bellToo(req); is || err != nil {
		return other, err
	}
	plainly := req.Mentions("chore", "rota", "delete", "remove", "cancel", "scrap") || req.Mentions("good")
	return changing(func(req *desk.Request, c storage.Chore) (desk.Reply, error) {
		if plainly && !timedAtAll(req) {
			return stop(req, c)
		}
		return desk.AskBack(fmt.Sprintf("Stop %s for good, or for some days?", c.Name),
			desk.Labelled("For good", "stop the "+c.Name+" chore"), desk.Labelled("Today", "pause "+c.Name+" today"), desk.Labelled("A week", "pause "+c.Name+" for a week")), nil
	}, "stop the % chore")(req)
}

// timedAtAll reports a time in a line of which no days off come: "stop the hens at 8".
func timedAtAll(req *desk.Request) bool {
	return slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool { return s.Kind != phrase.KindTerm && s.Kind != phrase.KindNumber })
}

// bellToo asks which is meant where a bell has the chore's words in its title.
func bellToo(req *desk.Request) (desk.Reply, bool, error) {
	if req.Mentions("chore", "rota") {
		return desk.Reply{}, false, nil
	}
	fit, err := meant(req)
	if err != nil || len(fit) == 0 {
		return desk.Reply{}, false, err
	}
	coming, err := req.Tx.ComingBells(req.House.ID)
	if err != nil {
		return desk.Reply{}, false, err
	}
	var reply desk.Reply
	for _, b := range coming {
		if reminders.IsChore(b) || !calls(b.Title, req.Reading.Terms("chores")) {
			continue
		}
		if reply.Head == "" {
			reply = desk.AskBack("Stop the chore or the bell?")
			for _, c := range fit {
				reply.Buttons = append(reply.Buttons, desk.Labelled("Chore: "+c.Name, "stop the "+c.Name+" chore"))
			}
		}
		reply.Buttons = append(reply.Buttons, desk.Labelled("Bell: "+b.Title, fmt.Sprintf("stop bell %d", b.Num)))
	}
	return reply, reply.Head != "", nil
}

// calls reports that a title has all the words of some terms.
func calls(title string, terms []phrase.Span) bool {
	words := phrase.Words(title)
	return !slices.ContainsFunc(terms, func(s phrase.Span) bool { return !slices.Contains(words, s.Value.(phrase.Term).Name) })
}

// stopAll asks what is meant: nobody ends everything by one line.
func stopAll(req *desk.Request) (desk.Reply, error) {
	if _, ok := daysOff(req); ok {
		return rest(req)
	}
	all, err := live(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(all) == 0 {
		return desk.Answer("There are no chores."), nil
	}
	reply := desk.AskBack("For how long? For good each is stopped by itself: "+choreNames(all)+".",
		desk.Labelled("Today", "no chores today"), desk.Labelled("This week", "no chores this week"))
	for _, c := range all[:min(len(all), 6)] {
		reply.Buttons = append(reply.Buttons, desk.Labelled("Stop "+c.Name, "stop the "+c.Name+" chore"))
	}
	return reply, nil
}

// resume lets a chore that is paused go on from today, and says how one that was
// stopped is given out anew.
func resume(req *desk.Request) (desk.Reply, error) {
	if len(req.Reading.Terms("chores")) == 0 {
		return anew(req)
	}
	return changing(func(req *desk.Request, c storage.Chore) (desk.Reply, error) {
		bells, err := bellsOf(req, c)
		if err != nil {
			return desk.Reply{}, err
		}
		paused := false
		for i := range bells {
			left, was := bells[i].Rest.Before(reminders.Day(req.Wall))
			bells[i].Rest, paused = left, paused || was
		}
		if !paused {
			return desk.Answer(fmt.Sprintf("%s is not paused: %s, %s.", desk.Upper(c.Name), sayTo(req, c, bells), sayWhen(req, bells))), nil
		}
		return save(req, c, bells, "goes on: "+sayTo(req, c, bells)+", "+sayWhen(req, bells))
	}, "resume %")(req)
}

// anew offers to give out again what was stopped.
func anew(req *desk.Request) (desk.Reply, error) {
	all, err := req.Tx.Chores(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	fit := fitting(slices.DeleteFunc(all, func(c storage.Chore) bool { return !c.Stopped }), req.Reading.Terms("stopped"))
	if len(fit) == 0 {
		return desk.Reply{}, desk.ErrSilent
	}
	c := fit[len(fit)-1]
	bells, err := req.Tx.SubjectBells(req.House.ID, c.Subject())
	if err != nil {
		return desk.Reply{}, err
	}
	return desk.AskBack(fmt.Sprintf("%s was stopped: %s, %s. Give it out anew, for example: chore %s NAME daily at 7", desk.Upper(c.Name), sayTo(req, c, bells), sayWhen(req, bells), c.Name),
		desk.Button("chores")), nil
}

// stoppedWords is the word list of the chores that were stopped.
func stoppedWords(tx *storage.Tx, household int64) (*phrase.List, error) {
	all, err := tx.Chores(household)
	return wordList("stopped", slices.DeleteFunc(all, func(c storage.Chore) bool { return !c.Stopped })), err
}

// leaves takes somebody out of a chore: "Pim doesn't wash up any more".
func leaves(req *desk.Request, c storage.Chore) (desk.Reply, error) {
	bells, err := bellsOf(req, c)
	if err != nil {
		return desk.Reply{}, err
	}
	who, _ := personAsked(req)
	if len(bells) == 1 && who.ID != 0 && slices.Equal(ids(reminders.Roll(bells[0].Whom, req.People)), []int64{who.ID}) {
		return desk.AskBack(fmt.Sprintf("%s is %s's alone. Who has it then? For example: give %s to NAME", desk.Upper(c.Name), who.Name, c.Name),
			desk.Labelled("Nobody: stop it", "stop the "+c.Name+" chore")), nil
	}
	return takeOut(req, c)
}
