package day

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// atSchoolAsk is a child that was said to be at home, or is ill, and goes to school after all.
func atSchoolAsk() desk.Ask {
	school := []string{"day school weekdays 9:30-12:30 kids", "Lise is home today"}
	return desk.Ask{
		Name: "day", Command: "block", Text: true, Keep: true, Kinds: []phrase.Kind{phrase.KindDate, phrase.KindDays, phrase.KindPart}, Lists: []string{"people", "selves"}, Help: "a child that was to be at home is at school after all",
		Forms:    []string{"at|to|in school|nursery", "is|are going in", "went|gone in|to"},
		Examples: []desk.Example{{Setup: school, Line: "Lise is at school after all"}}, Plain: func(req *desk.Request) bool { return len(backIn(req)) > 0 }, Do: atSchool,
	}
}

var backWords = strings.Fields("is are at in to school nursery after all went gone back going goes now today tomorrow has have and scrap that no")

// backIn are the children of a line that says only that they are at school, who are down as
// at home or ill on its days.
func backIn(req *desk.Request) []storage.Person {
	h := hear(req)
	if len(h.kids) == 0 || asks(req) || !h.only(backWords, heardFill) || h.notThat() || h.has("no", "home", "off", "till", "until", "only", "early", "late") || !h.has("school", "nursery", "in") {
		return nil
	}
	home, err := req.Home()
	if err != nil {
		return nil
	}
	return slices.DeleteFunc(h.kids, func(p storage.Person) bool {
		a, is := home.Absent(p.ID, req.Now)
		return !(is && a.Kind == storage.Ill) && len(homeDays(req, p)) == 0
	})
}

func namesOfAll(people []storage.Person) []string {
	var out []string
	for _, p := range people {
		out = append(out, p.Name)
	}
	return out
}

// homeDays are the days of a line on which a child is down as at home.
func homeDays(req *desk.Request, p storage.Person) []time.Time {
	days := daysIn(req).Days
	if len(days) == 0 {
		days = []time.Time{reminders.Day(req.Wall)}
	}
	words, err := req.Tx.DayWords(req.House.ID, slices.MinFunc(days, time.Time.Compare), slices.MaxFunc(days, time.Time.Compare))
	if err != nil {
		return nil
	}
	return slices.DeleteFunc(days, func(day time.Time) bool {
		return !slices.ContainsFunc(words, func(w storage.DayWord) bool { return w.Child() == p.Name && w.Day.Equal(day) })
	})
}

// atSchool takes back that children are at home, and ends their being ill.
func atSchool(req *desk.Request) (desk.Reply, error) {
	kids := backIn(req)
	if len(kids) == 0 {
		return desk.Reply{}, desk.ErrSilent
	}
	if req.Who.Child(req.Now) && (len(kids) > 1 || kids[0].ID != req.Who.ID) {
		return desk.Refuse("A grown-up says that: until then "+isAre(namesOfAll(kids))+" at home.", "Ask "+keeperNames(req)+" to type it."), nil
	}
	days, reply, ok := settleDays(req, "school is on")
	if !ok {
		return reply, nil
	}
	names := namesOfAll(kids)
	text := fmt.Sprintf("%s not kept at home, %s", isAre(names), sayDays(req, days))
	if err := req.Record(storage.Entry{Kind: "day", About: "person:" + names[0], Text: text}); err != nil {
		return desk.Reply{}, err
	}
	home, err := req.Home()
	if err != nil {
		return desk.Reply{}, err
	}
	for _, p := range kids {
		for _, day := range homeDays(req, p) {
			if err := req.Tx.DropDayWord(req.House.ID, day, storage.ChildHome(day, p.Name).Title); err != nil {
				return desk.Reply{}, err
			}
		}
		if a, is := home.Absent(p.ID, req.Now); is && a.Kind == storage.Ill {
			if err := req.Tx.EndAbsence(a, req.Now); err != nil {
				return desk.Reply{}, err
			}
		}
	}
	reply = desk.Answer(desk.Upper(text) + ".")
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return laidAnew(req, reply)
}
