package day

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// Which children are in a block that takes children elsewhere, and whether a block does.

// schoolAge is the age from which "the kids" of school are meant to hold a child: one that
// is younger goes where it is said to go.
const schoolAge = 4

// leftAtHome reports a child that is not among "the kids" who are elsewhere: it came to the
// household after they were told of, or is too young, and nobody said that it goes along.
func leftAtHome(req *desk.Request, b storage.Block, id int64) bool {
	return (b.Whom == reminders.Kids || b.Whom == reminders.Everyone) && slices.Contains(req.House.AtHome, id) && isAway(b)
}

// sayChildren adds to the answer about a block where the children in it count as being, and
// leaves those out of it who are too young for it.
func sayChildren(req *desk.Request, b storage.Block, reply desk.Reply) (desk.Reply, error) {
	kids := slices.DeleteFunc(children(req), func(p storage.Person) bool { return !slices.Contains(idsOf(req, b.Whom), p.ID) })
	if len(kids) == 0 || b.Open {
		return reply, nil
	}
	line := "block " + sayBlock(req, storage.Block{Title: b.Title, Days: b.Days, First: b.First, Past: b.Past, Whom: b.Whom, Since: b.Since, Until: b.Until})
	switch {
	case isAway(b) && isSchool(b.Title) && b.Place == "":
		reply.Assumed = append(reply.Assumed, "the children are out of the house then")
		reply.Buttons = append(reply.Buttons, desk.Labelled("They learn at home", line+" at home"))
	case !isAway(b) && b.Place == "" && hasWord(b.Title, eitherTitles) && len(kids) == len(idsOf(req, b.Whom)):
		reply.Lines = append(reply.Lines, "Are they out of the house then? Until that is said they count as at home: no lye. For example: "+line+" elsewhere")
		reply.Buttons = append(reply.Buttons, desk.Labelled("They are elsewhere", line+" elsewhere"))
	}
	if !isAway(b) {
		return reply, nil
	}
	return leaveYoung(req, b, kids, reply)
}

// leaveYoung has children who are too young for school stay at home when the kids are told
// to be elsewhere as one.
func leaveYoung(req *desk.Request, b storage.Block, kids []storage.Person, reply desk.Reply) (desk.Reply, error) {
	if b.Whom != reminders.Kids || hasWord(b.Title, bedTitles) {
		return reply, nil
	}
	home := slices.Clone(req.House.AtHome)
	for _, p := range kids {
		if p.AgeAt(req.Now) < schoolAge && !slices.Contains(home, p.ID) {
			home = append(home, p.ID)
		}
	}
	if len(home) > len(req.House.AtHome) {
		if err := req.Tx.SetHome(req.House.ID, home); err != nil {
			return reply, err
		}
		req.House.AtHome = home
	}
	for _, p := range kids {
		if slices.Contains(home, p.ID) {
			goes := fmt.Sprintf("%s goes to %s", p.Name, b.Title)
			reply.Lines = append(reply.Lines, fmt.Sprintf("%s counts as at home meanwhile. If not: %s", p.Name, goes))
			reply.Buttons = append(reply.Buttons, desk.Labelled(desk.Upper(goes), goes))
		}
	}
	return reply, nil
}

// alongAsk is a child that is elsewhere with the others after all.
func alongAsk() desk.Ask {
	return desk.Ask{
		Name: "day", Command: "block", Text: true, Lists: []string{"people"}, Keep: true, Help: "a child goes along to school with the others from now on", Forms: []string{"* goes to", "* goes too"},
		Examples: []desk.Example{{Setup: []string{"day school weekdays 9:30-12:30 kids", "house add Otto child 5"}, Line: "Otto goes to school"}}, Plain: plainAlong, Do: along,
	}
}

// leftIn are the children that a line names, all of whom count as at home.
func leftIn(req *desk.Request) []storage.Person {
	whom, _ := peopleIn(req)
	ids := idsOf(req, whom)
	if slices.ContainsFunc(ids, func(id int64) bool { return !slices.Contains(req.House.AtHome, id) }) {
		return nil
	}
	return slices.DeleteFunc(children(req), func(p storage.Person) bool { return !slices.Contains(ids, p.ID) })
}

func plainAlong(req *desk.Request) bool {
	b := namedIn(req)
	return b != nil && !asks(req) && len(leftIn(req)) > 0 && onlyWords(req, b.Title, strings.Fields("goes go to too and now with the others")...)
}

// along has children be with the others in what takes them elsewhere.
func along(req *desk.Request) (desk.Reply, error) {
	if !plainAlong(req) {
		return desk.Reply{}, desk.ErrSilent
	}
	if reply, no := mayNot(req, "the blocks of the day"); no {
		return reply, nil
	}
	var names []string
	left := slices.Clone(req.House.AtHome)
	for _, p := range leftIn(req) {
		names = append(names, p.Name)
		left = slices.DeleteFunc(left, func(id int64) bool { return id == p.ID })
	}
	text := fmt.Sprintf("%s with the others when the kids are elsewhere", isAre(names))
	if err := req.Record(storage.Entry{Kind: "day", About: "person:" + names[0], Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SetHome(req.House.ID, left); err != nil {
		return desk.Reply{}, err
	}
	req.House.AtHome = left
	reply := desk.Answer(desk.Upper(text) + ".")
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return laidAnew(req, reply)
}

// placeAsk is school or lessons said to be at home, or elsewhere, for good.
func placeAsk() desk.Ask {
	lessons := []string{"block lessons weekdays 9-12 kids"}
	return desk.Ask{
		Name: "day", Command: "block", Text: true, Kinds: []phrase.Kind{phrase.KindDate, phrase.KindDays, phrase.KindPart}, Lists: []string{"people"}, Help: "school or lessons are at home, or elsewhere: lye waits for the first",
		Forms:    []string{"is|are at home", "is|are elsewhere|out", "learn|learns at home", "homeschool|homeschooled", "home schooled", "do|does|have|has * at home"},
		Examples: []desk.Example{{Setup: lessons, Line: "lessons are elsewhere"}, {Setup: []string{"day school weekdays 9:30-12:30 kids"}, Line: "the kids learn at home"}}, Plain: plainPlace, Do: setPlace,
	}
}

// plainPlace takes "lessons are elsewhere" and "we learn at home", and nothing of one day.
func plainPlace(req *desk.Request) bool {
	if asks(req) || daySaid(req) || placed(req) == nil {
		return false
	}
	return onlyWords(req, placed(req).Title, strings.Fields("is are at home elsewhere out of the house learn learns we do does have has all homeschool homeschooled schooled our children they always are in")...)
}

// placed is the block that such a line is about.
func placed(req *desk.Request) *storage.Block {
	if b := namedIn(req); b != nil && (isLessons(*b) || hasWord(b.Title, eitherTitles)) {
		return b
	}
	if req.Mentions("learn", "learns", "homeschool", "homeschooled", "schooled") {
		return lessonsBlock(req)
	}
	return nil
}

// setPlace writes down where a block is.
func setPlace(req *desk.Request) (desk.Reply, error) {
	if !plainPlace(req) {
		return desk.Reply{}, desk.ErrSilent
	}
	if reply, no := mayNot(req, "the blocks of the day"); no {
		return reply, nil
	}
	b := *placed(req)
	if b.Place = "elsewhere"; req.Mentions("home", "homeschool", "homeschooled") {
		b.Place = "home"
	}
	return putBlock(req, b, false)
}
