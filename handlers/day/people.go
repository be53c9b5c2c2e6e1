package day

import (
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// peopleIn reads whom a line names, as the whom of a bell, and returns the line without
// them; empty when it names nobody.
func peopleIn(req *desk.Request) (whom, rest string) {
	rest = req.Text
	var ids []int64
	spans := req.Reading.Terms("people")
	for _, s := range slices.Backward(spans) {
		if s.Near && s.Text == strings.ToLower(s.Text) { // "fence" is no slip for a name
			continue
		}
		switch name := s.Value.(phrase.Term).Name; name {
		case "@me":
			ids = append(ids, req.Who.ID)
		case "@kids":
			whom = reminders.Kids
		case "@everyone":
			whom = reminders.Everyone
		case "@keepers":
			whom = reminders.Keepers
		default:
			if p, ok := req.Person(name); ok {
				ids = append(ids, p.ID)
			}
		}
		rest = rest[:s.Start] + " " + rest[s.End:]
	}
	if whom == reminders.Everyone || len(ids) == 0 {
		return whom, rest
	}
	if whom != "" {
		for _, p := range reminders.Expand(whom, req.People, req.Now) {
			ids = append(ids, p.ID)
		}
	}
	slices.Sort(ids)
	return reminders.People(slices.Compact(ids)...), rest
}

// idsOf are the people of a whom who are in the household.
func idsOf(req *desk.Request, whom string) []int64 {
	var out []int64
	for _, p := range reminders.Expand(whom, req.People, req.Now) {
		out = append(out, p.ID)
	}
	return out
}

// namesOf writes the names of people by their ids.
func namesOf(req *desk.Request, ids []int64) []string {
	var out []string
	for _, id := range ids {
		out = append(out, req.NameOf(id))
	}
	return out
}

// children are the household's, the oldest first as they were added.
func children(req *desk.Request) []storage.Person {
	return reminders.Expand(reminders.Kids, req.People, req.Now)
}

// keeperNames lists who may change the day.
func keeperNames(req *desk.Request) string {
	return reminders.SayWhom(reminders.People(idsOf(req, reminders.Keepers)...), req.People, req.Now)
}

// mayNot refuses what only keepers change.
func mayNot(req *desk.Request, what string) (desk.Reply, bool) {
	if req.May() {
		return desk.Reply{}, false
	}
	return desk.Refuse("Only a keeper changes "+what+": "+keeperNames(req)+".", "Ask one of them to type it."), true
}
