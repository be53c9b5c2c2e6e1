// Package house is the house desk: the household's people and settings, its day
// and week, the day book and taking things back.
package house

import (
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// Desk returns the house desk.
func Desk() desk.Desk {
	return desk.Desk{
		Name:  "house",
		About: "people, settings, the day and the day book",
		Asks:  slices.Concat(peopleAsks(), settingAsks(), awayAsks(), absentAsks(), outAsks(), bareAsks(), larderAsks(), larderAskedAsks(), listAsks(), dealAsks(), dealAskedAsks(), loanAsks(), owedAsks(), helpAsks(), calendarAsks(), backupAsks(), sheetAsks(), bookAsks(), lastAsks()),
		Today: openNow,
		Lists: map[string]desk.WordList{"selves": desk.Fixed(selves)},
	}
}

func peopleAsks() []desk.Ask {
	numbers := []phrase.Kind{phrase.KindNumber}
	return []desk.Ask{
		{
			Name: "house", Command: "house", Help: "the household's settings and people; keepers change them",
			Forms: []string{"^house$", "house settings$", "^settings$"}, Fill: []string{"show", "the", "house"},
			Examples: []desk.Example{{Line: "house"}}, Do: show,
		},
		{
			Name: "house", Command: "house", Keeper: true, Kinds: numbers, Doubt: true, Help: "write a person down",
			Forms: []string{"^house add", "^add * house"}, Examples: []desk.Example{{Line: "house add Ivo child 13"}, {Line: "house add Tom keeper"}},
			Plain: plainAdd, Do: add,
		},
		{
			Name: "house", Command: "house", Keeper: true, Text: true, Help: "a person has gone", Forms: []string{"^house remove"},
			Examples: []desk.Example{{Setup: []string{"house add Bram"}, Line: "house remove Bram"}}, Do: remove,
		},
		expectingAsk(),
		{
			Name: "who", Command: "who", Question: true, Help: "who is in the household",
			Forms: []string{"^who$", "^who lives * here$", "^who|who's * in|of the house|household$", "^who lives here now$"}, Fill: []string{"now"},
			Plain:    func(req *desk.Request) bool { return !req.Mentions("up", "out") },
			Examples: []desk.Example{{Line: "who"}, {Line: "who is in the house"}, {Line: "/who"}}, Do: who,
		},
	}
}

// plainAdd tells a person from "add some milk to the porridge": a name stands in
// one piece.
func plainAdd(req *desk.Request) bool {
	_, _, reply, ok := personSaid(req)
	return ok || !strings.HasPrefix(reply.Head, noName)
}

func settingAsks() []desk.Ask {
	clock := []phrase.Kind{phrase.KindClock, phrase.KindBad}
	setting := func(form []string, example string, kinds []phrase.Kind, do func(*desk.Request) (desk.Reply, error)) desk.Ask {
		return desk.Ask{
			Name: "house", Command: "house", Keeper: true, Text: true, Help: "change a setting", Forms: form, Kinds: kinds,
			Examples: []desk.Example{{Line: example}}, Do: do,
		}
	}
	return []desk.Ask{
		setting([]string{"^house name", "^house called"}, "house name Hollin Bank", nil, setName),
		setting([]string{"^house emergency"}, "house emergency 999, poison line 111", nil, setEmergency),
		setting([]string{"^house zone", "^house timezone"}, "house zone Europe/London", nil, setZone),
		setting([]string{"^house units"}, "house units us", nil, setUnits),
		setting([]string{"^house dates"}, "house dates day-first", nil, setDates),
		setting([]string{"^house scale"}, "house scale 1 g", []phrase.Kind{phrase.KindQuantity}, setScale),
		setting([]string{"^house at", "^house place"}, "house at 57.2 -3.7", []phrase.Kind{phrase.KindNumber}, setPlace),
		setting([]string{"^house quiet"}, "house quiet 21:00-06:30", clock, setSpan(storage.SetQuiet, "quiet", "house quiet 21:00-06:30")),
		setting([]string{"^house school"}, "house school weekdays 9:30-12:30", clock, setSpan(storage.SetSchool, "school", "house school weekdays 9:30-12:30")),
		setting([]string{"^house rounds"}, "house rounds 07:00 16:00", clock, setRounds),
		setting([]string{"^house evening"}, "house evening 19:30", clock, setEvening),
		setting([]string{"^house again"}, "house again 10 min 3 times", []phrase.Kind{phrase.KindDuration, phrase.KindTimes}, setAgain),
	}
}

func helpAsks() []desk.Ask {
	return []desk.Ask{
		{
			Name: "help", Command: "help", Text: true, Help: "what can be typed; help WORD shows examples", Forms: []string{"^help", "^what can you do$"},
			Examples: []desk.Example{{Line: "help"}, {Line: "help lye"}, {Line: "what can you do"}}, Plain: plainHelp, Do: help,
		},
	}
}

func bookAsks() []desk.Ask {
	return []desk.Ask{
		{
			Name: "note", Command: "note", Text: true, Help: "write anything down", Kinds: []phrase.Kind{phrase.KindThing}, Forms: []string{"^note", "^write down"},
			Examples: []desk.Example{{Line: "note the sow is off her feed"}, {Line: "note batch 1 smells sweet"}, {Line: "/note an owl in the barn"}}, Plain: plainNote, Do: note,
		},
		{
			Name: "book", Command: "book", Doubt: true, Help: "read the day book back, by thing, person or day",
			Kinds: []phrase.Kind{phrase.KindDate, phrase.KindThing}, Lists: []string{"people"}, Forms: []string{"^book", "in the book", "^day book|daybook", "^what did we write"},
			Fill:     []string{"whats", "what", "day", "daybook", "says", "say", "written", "write", "did", "about"},
			Examples: []desk.Example{{Line: "book"}, {Setup: []string{"note lavender pot moved to the porch"}, Line: "book lavender"}, {Line: "/book yesterday"}},
			Plain:    plainBook, Do: book,
		},
		{
			Name: "undo", Command: "undo", Help: "take back the last thing you wrote; keepers anyone's", Forms: []string{"^undo$", "^undo that|it|last$", "^undo before$", "^undo mine$", "^undo theirs$", "^scratch that$", "^take that back$", "^take back * last|that|it", "^take back$"},
			Fill: []string{"last", "that", "mine", "theirs", "scratch", "one", "thing"}, Examples: []desk.Example{{Setup: []string{"note wrong thing"}, Line: "undo"}, {Setup: []string{"note a wrong thing"}, Line: "/undo"}, {Setup: []string{"note a mistake"}, Line: "undo that please"}}, Do: undo,
		},
	}
}
