package house

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"
	"unicode"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// who lists the household.
func who(req *desk.Request) (desk.Reply, error) {
	home, err := req.Home()
	if err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer("The household:")
	for _, p := range req.People {
		if !p.Gone {
			line := p.Name + ", " + roleOf(p, req.Now)
			if a, is := home.Absent(p.ID, req.Now); is {
				line += ", " + home.SayAbsence(a, req.Now)
			}
			reply.Lines = append(reply.Lines, line)
		}
	}
	return reply, nil
}

func roleOf(p storage.Person, now time.Time) string {
	switch {
	case p.Keeper:
		return "keeper"
	case p.Child(now):
		return fmt.Sprintf("child, %d", p.AgeAt(now))
	case p.Age > 0:
		return fmt.Sprintf("hand, %d", p.AgeAt(now))
	}
	return "hand"
}

// reserved are words that cannot be names, because they mean others.
var reserved = []string{"me", "myself", "kids", "children", "everyone", "everybody", "keepers", "all", "bot", "yardbell", "child", "keeper", "hand"}

// add writes a person down: house add Ivo child 13.
func add(req *desk.Request) (desk.Reply, error) {
	name, p, reply, ok := personSaid(req)
	if !ok {
		return reply, nil
	}
	if slices.Contains(reserved, strings.ToLower(name)) {
		return desk.Refuse(fmt.Sprintf("%s cannot be a name here: it means others. Use another.", desk.Quote(name))), nil
	}
	if old, known := req.Person(name); known && old.Keeper == p.Keeper && old.Age == p.Age {
		return desk.Answer(fmt.Sprintf("%s is in the household already, %s.", old.Name, roleOf(old, req.Now))), nil
	} else if known && old.Child(req.Now) && (p.Age == 0 || p.Keeper) {
		return desk.Refuse(fmt.Sprintf("%s is in the household already, %s. To correct the age: house add %s child %d", old.Name, roleOf(old, req.Now), old.Name, old.AgeAt(req.Now))), nil
	} else if known && old.Keeper && !p.Keeper && keepersLeft(req, old) == 0 {
		return desk.Refuse(fmt.Sprintf("%s is the only keeper. Make another keeper first: house add NAME keeper", old.Name)), nil
	}
	p.Household, p.Name, p.AgeOn = req.House.ID, name, req.Wall.Format(time.DateOnly)
	if err := req.Record(storage.Entry{Kind: "house", About: "person:" + name, Text: fmt.Sprintf("added %s, %s", name, roleOf(p, req.Now))}); err != nil {
		return desk.Reply{}, err
	}
	id, err := req.Tx.AddPerson(p)
	if err != nil {
		return desk.Reply{}, err
	}
	reply = desk.Answer(fmt.Sprintf("Added %s, %s.", name, roleOf(p, req.Now)))
	if littleSaid(req) != "" {
		reply.Lines = append(reply.Lines, fmt.Sprintf("A %s is written down as %d until the age is told: house add %s child %d", littleSaid(req), p.Age, name, p.Age+1))
	}
	if _, known := req.Person(name); known || !p.Child(req.Now) {
		return reply, nil
	}
	if p.Age >= schoolAge {
		if up, err := settingUp(req); err != nil || up {
			return reply, err
		}
	}
	return stays(req, id, name, reply)
}

// schoolAge is the age below which no child is among the kids at school unless it is said.
const schoolAge = 4

// settingUp reports that the household was told of today where "the kids" are, before it had
// any child: those who are added next are the kids that were meant.
func settingUp(req *desk.Request) (bool, error) {
	today, err := req.Tx.Book(req.House.ID, storage.BookQuery{From: req.Instant(reminders.Day(req.Wall)), Limit: mostSettingUp})
	if err != nil || len(today) == mostSettingUp {
		return false, err
	}
	first := int64(0) // the entry of the child that was added first
	for _, p := range req.People {
		if p.Gone || !p.Child(req.Now) {
			continue
		}
		i := slices.IndexFunc(today, func(e storage.Entry) bool {
			return e.About == "person:"+p.Name && strings.HasPrefix(e.Text, "added ")
		})
		if i < 0 {
			return false, nil
		}
		if first == 0 || today[i].ID < first {
			first = today[i].ID
		}
	}
	told := slices.ContainsFunc(today, func(e storage.Entry) bool {
		return first > 0 && e.ID > first && (e.Kind == "block" || strings.HasPrefix(strings.ToLower(e.Text), "school hours"))
	})
	return !told, nil
}

// mostSettingUp is how many entries a day has at the most on which a household is made.
const mostSettingUp = 200

// little are words for a small child, with the age under which it is written down when none
// is told; 1 is the least.
var little = map[string]int{"baby": 1, "infant": 1, "newborn": 1, "toddler": 2}

// littleSaid is the word for a small child by which a line gives the age, empty where it
// gives a number or no such word.
func littleSaid(req *desk.Request) string {
	if len(req.Reading.Of(phrase.KindNumber)) > 0 {
		return ""
	}
	for _, t := range req.Reading.Unknown {
		if little[t.Low] > 0 {
			return t.Low
		}
	}
	return ""
}

// stays has a child that comes to the household count as at home while the other children
// are elsewhere as one: nobody has said yet that it goes along.
func stays(req *desk.Request, id int64, name string, reply desk.Reply) (desk.Reply, error) {
	blocks, err := req.Tx.Blocks(req.House.ID)
	if err != nil {
		return reply, err
	}
	together := ""
	for _, b := range blocks {
		if b.Whom == reminders.Kids {
			together = b.Title
		}
	}
	if req.House.School.On {
		together = "school"
	}
	if together == "" {
		return reply, nil
	}
	if err := req.Tx.SetHome(req.House.ID, append(slices.Clone(req.House.AtHome), id)); err != nil {
		return reply, err
	}
	goes := fmt.Sprintf("%s goes to %s", name, together)
	reply.Lines = append(reply.Lines, fmt.Sprintf("%s counts as at home while the others are elsewhere. Once that is otherwise: %s", name, goes))
	reply.Buttons = append(reply.Buttons, desk.Labelled(goes, goes))
	return reply, nil
}

// noName begins the answer to a line that names nobody.
const noName = "I see no name there."

// personSaid reads "NAME [child AGE | keeper | hand]".
func personSaid(req *desk.Request) (string, storage.Person, desk.Reply, bool) {
	const example = "For example: house add Ivo child 13, or house add Tom keeper"
	var p storage.Person
	var words []string
	child, numbers, gap := false, 0, false
	past := 0
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		v := s.Value.(*big.Rat)
		numbers++
		if !v.IsInt() || v.Sign() <= 0 || v.Cmp(big.NewRat(120, 1)) > 0 {
			return "", p, desk.Refuse("An age is a whole number of years from 1 to 120. " + example), false
		}
		p.Age = int(v.Num().Int64())
	}
	for _, t := range req.Reading.Unknown {
		switch t.Low {
		case "child", "kid", "boy", "girl", "son", "daughter", "teenager", "baby", "infant", "newborn", "toddler":
			child = true
		case "keeper":
			p.Keeper = true
		case "hand", "adult", "house", "aged", "age", "years", "old":
		default:
			gap = gap || len(words) > 0 && t.Start > past+1
			words, past = append(words, t.Text), t.End
		}
	}
	name := strings.Join(words, " ")
	if said := littleSaid(req); said != "" {
		p.Age, numbers = little[said], 1
	}
	switch {
	case gap:
		return "", p, desk.AskBack(noName + " " + example), false
	case name == "":
		return "", p, desk.AskBack("Who? " + example), false
	case len(words) > 3 || len([]rune(name)) > 40 || strings.ContainsFunc(name, unicode.IsControl):
		return "", p, desk.AskBack("That is a long name. " + example), false
	case articleFirst(req):
		return "", p, desk.AskBack(noName + " " + example), false
	case child && numbers == 0:
		return "", p, desk.AskBack(fmt.Sprintf("How old is %s? For example: house add %s child 9", name, name)), false
	case numbers > 1:
		return "", p, desk.AskBack("One person a line. " + example), false
	case child && p.Age >= 18:
		return "", p, desk.Refuse(fmt.Sprintf("A child is under 18. For an adult: house add %s", name)), false
	case p.Keeper && p.Age > 0 && p.Age < 18:
		return "", p, desk.Refuse("A keeper is an adult."), false
	}
	return named(name), p, desk.Reply{}, true
}

// named writes a name typed all in capitals or all small as a name.
func named(name string) string {
	if name != strings.ToUpper(name) && name != strings.ToLower(name) {
		return name
	}
	var out []string
	for w := range strings.FieldsSeq(strings.ToLower(name)) {
		out = append(out, desk.Upper(w))
	}
	return strings.Join(out, " ")
}

// articleFirst tells "add a room" from a name.
func articleFirst(req *desk.Request) bool {
	for i, t := range req.Reading.Tokens {
		if t.Low == "add" && i+1 < len(req.Reading.Tokens) {
			next := req.Reading.Tokens[i+1].Low
			return next == "a" || next == "an" || next == "the" || next == "some" || next == "my"
		}
	}
	return false
}

func keepersLeft(req *desk.Request, without storage.Person) int {
	n := 0
	for _, p := range req.People {
		if p.Keeper && !p.Gone && p.ID != without.ID {
			n++
		}
	}
	return n
}

// remove lets a person go; the day book keeps the name.
func remove(req *desk.Request) (desk.Reply, error) {
	name := rest(req)
	if name == "" {
		return desk.AskBack("Who has gone? For example: house remove Bram"), nil
	}
	p, ok := req.Person(name)
	if !ok {
		return desk.Refuse(fmt.Sprintf("I know nobody called %s here.", desk.Quote(name))), nil
	}
	if p.Keeper && keepersLeft(req, p) == 0 {
		return desk.Refuse(fmt.Sprintf("%s is the only keeper. Make another keeper first: house add NAME keeper", p.Name)), nil
	}
	if err := req.Record(storage.Entry{Kind: "house", About: "person:" + p.Name, Text: "removed " + p.Name}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.RemovePerson(p.ID); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(fmt.Sprintf("%s has gone from the household. The day book keeps the name.", p.Name))
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return reply, nil
}
