package bells

import (
	"slices"
	"strings"
	"unicode"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

type target struct {
	spec   string
	people []storage.Person
	spans  []phrase.Span
	said   bool
	turn   []int // tokens that say that they take turns
}

// whom reads for whom a bell is: the people named right after the word that
// names the ask; nobody named is the speaker.
func whom(req *desk.Request) (target, desk.Reply, bool) {
	t := target{}
	at := 0
	for i, used := range req.Reading.Used {
		if used {
			at = i + 1
		}
	}
	or := false
	for _, s := range req.Reading.Terms("people") {
		gap := req.Reading.Tokens[min(at, s.First):s.First]
		if strings.HasSuffix(s.Text, "'s") || s.First < at || !joining(gap) {
			continue
		}
		or = or || slices.ContainsFunc(gap, func(t phrase.Token) bool { return t.Low == "or" })
		t.spans = append(t.spans, s)
		at = s.Past
	}
	if or {
		return t, desk.AskBack("For which of them? Name one person, or both with \"and\"."), false
	}
	t.said = len(t.spans) > 0
	t.turn = turnWords(req.Reading.Tokens)
	t, reply, ok := resolved(req, t)
	if !ok || len(t.turn) == 0 {
		return t, reply, ok
	}
	return inTurn(req, t)
}

// turnWords finds "in turn", "in turns", "by turns", "take turns", "taking turns".
func turnWords(toks []phrase.Token) []int {
	for i := 0; i+1 < len(toks); i++ {
		if w := toks[i+1].Low; w != "turn" && w != "turns" {
			continue
		}
		switch toks[i].Low {
		case "in", "by", "take", "taking":
			return []int{i, i + 1}
		}
	}
	return nil
}

// inTurn makes the people of a target take turns, in the order in which they
// were named.
func inTurn(req *desk.Request, t target) (target, desk.Reply, bool) {
	var ids []int64
	for _, p := range t.people {
		ids = append(ids, p.ID)
	}
	if len(t.people) == 0 {
		for _, p := range reminders.Expand(t.spec, req.People, req.Now) {
			ids = append(ids, p.ID)
		}
	}
	if len(ids) < 2 {
		return t, desk.AskBack("Who takes turns? Name at least two, for example: ring Ivo and Lise in turn feed the hens daily at 7"), false
	}
	t.spec = reminders.InTurn(ids...)
	return t, desk.Reply{}, true
}

func joining(gap []phrase.Token) bool {
	for _, t := range gap {
		if t.Kind != phrase.Mark && !phrase.IsFiller(t.Low) || t.Low == "to" || t.Low == "for" && len(gap) > 1 {
			return false
		}
	}
	return true
}

// resolved turns the name spans into the whom of a bell.
func resolved(req *desk.Request, t target) (target, desk.Reply, bool) {
	if !t.said {
		t.people = []storage.Person{req.Who}
	}
	for _, s := range t.spans {
		switch name := s.Value.(phrase.Term).Name; name {
		case "@me":
			t.people = append(t.people, req.Who)
		case "@kids":
			t.spec = reminders.Kids
		case "@everyone":
			t.spec = reminders.Everyone
		case "@keepers":
			t.spec = reminders.Keepers
		default:
			if p, ok := req.Person(name); ok {
				t.people = append(t.people, p)
			}
		}
	}
	if t.spec != "" && len(t.people) > 0 {
		return t, desk.AskBack("For whom: a group, or people by name? Not both at once."), false
	}
	if t.spec == "" {
		var ids []int64
		for _, p := range t.people {
			if !slices.Contains(ids, p.ID) {
				ids = append(ids, p.ID)
			}
		}
		t.spec = reminders.People(ids...)
	}
	if t.spec == reminders.Kids && len(reminders.Expand(t.spec, req.People, req.Now)) == 0 {
		return t, desk.Refuse("There are no children in the household yet. Add one: house add Ivo child 13"), false
	}
	return t, desk.Reply{}, true
}

// stranger finds a name right after the asking word that is nobody's: a
// capital in the middle of a line that is not all capitals.
func stranger(req *desk.Request, o *order) string {
	if o.people != nil && len(req.Reading.Terms("people")) > 0 || strings.ToUpper(req.Text) == req.Text {
		return ""
	}
	last := -1
	for i, used := range req.Reading.Used {
		if used {
			last = i
		}
	}
	if last+1 >= len(req.Reading.Tokens) || last < 0 {
		return ""
	}
	t := req.Reading.Tokens[last+1]
	if t.Kind != phrase.Word || !unicode.IsUpper([]rune(t.Text)[0]) || strings.ToUpper(t.Text) == t.Text {
		return ""
	}
	if !strings.HasPrefix(o.title, t.Text) {
		return ""
	}
	return t.Text
}

func peopleNames(req *desk.Request) string {
	var names []string
	for _, p := range req.People {
		if !p.Gone {
			names = append(names, p.Name)
		}
	}
	return desk.List(names)
}
