// Package bells is the bells desk: making bells in plain words, answering rings,
// and seeing what is coming.
package bells

import (
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// Desk returns the bells desk.
func Desk() desk.Desk {
	return desk.Desk{
		Name:  "bells",
		About: "things to be reminded of, and the answers to them",
		Lists: map[string]desk.WordList{"rings": ringWords, "bells": bellWords},
		Asks:  slices.Concat(makeAsks(), everydayAsks(), changeAsks(), answerAsks(), consentAsks()),
	}
}

func makeAsks() []desk.Ask {
	daily := []string{"ring me feed the hens daily at 7"}
	return []desk.Ask{
		{
			Name: "ring", Command: "ring", Text: true, Help: "remind somebody, once or again and again (remind works too)",
			Forms: []string{"^ring", "^remind", "remind", "* ring", "^set|make a bell|reminder", "^set|make bell|reminder"}, Kinds: phrase.Whenever, Lists: []string{"people"},
			Examples: []desk.Example{
				{Line: "ring Ivo feed the hens daily at 7"},
				{Line: "remind me to check the oven in 40 min"},
				{Line: "ring the keepers every other saturday 9:00 order feed"},
			},
			Plain: plainRing, Do: ring,
		},
		{
			Name: "bells", Command: "bells", Help: "what rings now and what is coming",
			Lists: []string{"people"}, Kinds: []phrase.Kind{phrase.KindDate, phrase.KindPart}, Forms: []string{"^bells", "^bells all$", "^bell list$", "what|which bells", "^the bells$", "^all bells$", "whats|what's ringing$", "what rings"},
			Fill: []string{"for", "does", "set", "coming", "show", "list", "all", "what", "which", "next", "today", "tomorrow"}, Examples: []desk.Example{{Line: "bells"}, {Line: "what bells are set?"}, {Line: "bells all"}},
			Do: list,
		},
		{
			Name: "stop", Command: "stop", Help: "end a bell for good", Kinds: []phrase.Kind{phrase.KindThing, phrase.KindNumber}, Lists: []string{"bells", "people"},
			Forms:    []string{"^stop", "^stop * bell", "^stop ringing|reminding", "^cancel|delete|remove * bell", "^no more bells|bell|rings", "^don't|dont ring|remind * any more|longer", "^don't|dont ring|remind * anymore"},
			Fill:     []string{"bell", "ringing", "reminding", "reminder", "ring", "bells", "any", "more", "anymore", "longer", "no", "don't", "dont"},
			Examples: []desk.Example{{Setup: daily, Line: "stop the hens bell"}, {Setup: daily, Line: "stop ringing about the hens"}, {Setup: daily, Line: "/stop bell 1"}},
			Plain: func(req *desk.Request) bool {
				return req.Mentions("bell", "bells", "ring", "rings", "ringing", "remind", "reminding", "reminder")
			}, Do: stop,
		},
		{
			Name: "stop", Command: "stop", Help: "end a bell for good, called by its name alone", Lists: []string{"bells", "people"}, Forms: []string{"^cancel|delete|remove|drop|stop the|my|our|that", "^cancel|delete|remove", "is|was cancelled|canceled$", "cancelled|canceled$"},
			Examples: []desk.Example{{Setup: []string{"dentist 12 march 14:30"}, Line: "cancel the dentist"}},
			Plain:    someOwn, Strict: true, Do: stop,
		},
		{
			Name: "bells", Command: "bells", Question: true, Help: "when a bell rings next", Lists: []string{"bells"}, Keep: true, Fill: []string{"when", "when's", "whens", "next", "does", "do", "ring", "rings", "bell", "day", "go", "goes", "out"},
			Forms: []string{"when is|are|does|do", "when's|whens"}, Examples: []desk.Example{{Setup: daily, Line: "when do the hens ring next"}},
			Plain: func(req *desk.Request) bool {
				return oneOwn(req) && (req.Mentions("next", "ring", "rings", "bell") || fitting(req)[0].Step == stepAppointment)
			}, Strict: true, Do: whenNext,
		},
	}
}

// someOwn reports that the words of a line, and no others, name bells that are no other
// desk's, few enough to be asked about.
func someOwn(req *desk.Request) bool {
	fit := fitting(req)
	return len(fit) > 0 && len(fit) <= 4 && !slices.ContainsFunc(fit, func(b storage.Bell) bool { return b.Subject != "" })
}

// fitting are the bells that the words of a line name, when it has no other words.
func fitting(req *desk.Request) []storage.Bell {
	coming, err := live(req.Tx, req.House.ID)
	if err != nil || len(req.Reading.Terms("bells")) == 0 || len(req.Reading.Unknown) > 0 {
		return nil
	}
	fit, _ := pick(req, coming)
	return fit
}

// oneOwn reports that the words of a line, and no others, name exactly one bell that is
// no other desk's.
func oneOwn(req *desk.Request) bool {
	fit := fitting(req)
	return len(fit) == 1 && fit[0].Subject == ""
}

// plainRing lets a line that was not addressed to the bot make a bell only when
// it has the shape of one: somebody of the household named, or "remind", and
// when. "Ring mum when you get there" is talk.
func plainRing(req *desk.Request) bool {
	if req.Mentions("if", "when", "unless", "because") || remembers(req) {
		return false
	}
	named := slices.Index(req.Reading.Used, true)
	people := slices.ContainsFunc(req.Reading.Terms("people"), func(s phrase.Span) bool {
		return s.First > named && !strings.HasSuffix(s.Text, "'s")
	})
	switch req.Form {
	case "* ring", "remind":
		return people && timed(req) && startsWithWhen(req)
	case "^ring":
		return timed(req) && (people || capitalAfterRing(req) && repeats(req))
	}
	return people || timed(req)
}

// remembers tells "you remind me of your dad" and "remind me what we said" from an order.
func remembers(req *desk.Request) bool {
	toks := req.Reading.Tokens
	for i, t := range toks {
		if t.Low != "remind" && t.Low != "reminds" {
			continue
		}
		if i > 0 && (toks[i-1].Low == "you" && i == 1 || toks[i-1].Low == "it" || toks[i-1].Low == "that") {
			return true
		}
		return i+2 < len(toks) && slices.Contains([]string{"of", "what", "who", "how", "why", "where", "which", "whose"}, toks[i+2].Low)
	}
	return false
}

// startsWithWhen tells "every other saturday ring Tom ..." from talk with a ring
// in it: nothing but when, or a polite word, stands before the asking word.
func startsWithWhen(req *desk.Request) bool {
	first := slices.Index(req.Reading.Used, true)
	for i := range first {
		covered := slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool {
			return s.Kind != phrase.KindTerm && i >= s.First && i < s.Past
		})
		if t := req.Reading.Tokens[i]; !covered && t.Kind == phrase.Word && !phrase.IsFiller(t.Low) {
			return false
		}
	}
	return true
}

func capitalAfterRing(req *desk.Request) bool {
	toks := req.Reading.Tokens
	return len(toks) > 1 && toks[1].Text != toks[1].Low
}

func repeats(req *desk.Request) bool { return len(req.Reading.Of(phrase.KindRule)) > 0 }

func answerAsks() []desk.Ask {
	named := []string{"rings"}
	numbered := []phrase.Kind{phrase.KindThing, phrase.KindNumber}
	past := append([]phrase.Kind{phrase.KindDate, phrase.KindClock, phrase.KindPart, phrase.KindAfter}, numbered...)
	future := append([]phrase.Kind{phrase.KindDuration}, past...)
	hens := []string{"ring me feed the hens in 1 min", "+2m"} // the clock runs on for two minutes
	withIvo := append([]string{"house add Ivo child 13"}, hens...)
	return []desk.Ask{
		{
			Name: "done", Command: "done", Kinds: past, Lists: named, Help: "a ring was answered: the thing is done, now or earlier",
			Forms: []string{"^done", "done$", "^finished", "finished$"}, Fill: []string{"all", "sorry", "already", "finally"},
			Examples: []desk.Example{{Setup: hens, Line: "done"}, {Setup: hens, Line: "done hens"}, {Setup: hens, Line: "/done"}},
			Do:       answer("done", done),
		},
		{
			Name: "done", Command: "done", Help: "all that rings for you is done", Forms: []string{"^done all$", "^done all of them|it$", "^all of them done$"}, Fill: []string{"all", "them", "it"},
			Examples: []desk.Example{{Setup: slices.Concat(hens, []string{"ring me shut the gate in 1 min", "+2m"}), Line: "done all"}}, Do: doneAll,
		},
		{
			Name: "later", Command: "later", Kinds: future, Lists: named, Help: "put a ring off: 20 min, 5pm, tomorrow",
			Forms: []string{"^later", "later$", "^snooze", "^not now$"}, Fill: []string{"until", "till", "not", "now", "again"},
			Examples: []desk.Example{{Setup: hens, Line: "later 30 min"}, {Setup: hens, Line: "later 22:30 hens"}, {Setup: hens, Line: "later tomorrow"}},
			Do:       answer("later", later),
		},
		{
			Name: "pass", Command: "pass", Kinds: numbered, Lists: []string{"rings", "people"}, Help: "hand a ring on to somebody", Doubt: true,
			Forms: []string{"^pass", "^hand * on|over to", "^hand on|over", "^hand * bell|ring to"}, Fill: []string{"hand", "over"},
			Examples: []desk.Example{{Setup: withIvo, Line: "pass hens to Ivo"}, {Setup: withIvo, Line: "pass it to Ivo please"}, {Setup: withIvo, Line: "/pass 2 to Ivo"}},
			Plain: func(req *desk.Request) bool {
				return (len(req.Reading.Terms("rings")) > 0 || len(req.Reading.Terms("people")) > 0 && req.Mentions("to")) &&
					(len(req.Reading.Unknown) == 0 || len(req.Reading.Terms("rings")) > 0 && req.Mentions("to"))
			},
			Do: answer("pass", pass),
		},
		{
			Name: "skip", Command: "skip", Kinds: numbered, Lists: named, Help: "not needed this time: closed without fault or credit",
			Forms: []string{"^skip", "skip$"}, Fill: []string{"today", "time"}, Examples: []desk.Example{{Setup: hens, Line: "skip"}, {Setup: hens, Line: "skip hens"}, {Setup: hens, Line: "/skip 2"}},
			Do: answer("skip", skip),
		},
		{
			Name: "onit", Command: "onit", Kinds: future, Lists: named, Help: "busy with it: quiet for as long as the job takes",
			Forms: []string{"^onit", "^on it", "on it$"}, Examples: []desk.Example{{Setup: hens, Line: "on it"}, {Setup: hens, Line: "/onit"}, {Setup: hens, Line: "on it hens"}},
			Do: answer("onit", onIt),
		},
	}
}
