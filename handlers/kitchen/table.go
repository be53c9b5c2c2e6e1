package kitchen

import (
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"yardbell/calc/headcount"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// usualAge is that of an adult whose age nobody told.
const usualAge = 40

// table is who eats: their portions, one being an adult of 2000 kcal a day.
type table struct {
	portions float64
	said     []string // who is counted, and as how much
	away     []string // who is not there
}

// atTable counts the people of the household who are there at a time, and guests.
func atTable(req *desk.Request, at time.Time, adults, children int) (table, error) {
	return tableAt(req, at, adults, children, false)
}

// tableAt counts as atTable does, or only the children of the house.
func tableAt(req *desk.Request, at time.Time, adults, children int, onlyChildren bool) (table, error) {
	var t table
	home, err := req.Home()
	if err != nil {
		return t, err
	}
	told, err := req.Tx.Appetites(req.House.ID)
	if err != nil {
		return t, err
	}
	for _, p := range req.People {
		if p.Gone || onlyChildren && !p.Child(req.Now) {
			continue
		}
		if _, away := home.Absent(p.ID, at); away {
			t.away = append(t.away, p.Name)
			continue
		}
		share, err := portion(req, p, told)
		if errors.Is(err, headcount.ErrInfant) {
			continue
		}
		if err != nil {
			return t, fmt.Errorf("portion of %s: %w", p.Name, err)
		}
		t.portions += share
		t.said = append(t.said, fmt.Sprintf("%s %.2g", p.Name, share))
	}
	t.portions += float64(adults)*headcount.GuestAdult + float64(children)*headcount.GuestChild
	if adults > 0 {
		t.said = append(t.said, desk.Plural(adults, "guest"))
	}
	if children > 0 {
		t.said = append(t.said, fmt.Sprintf("%d young guests", children))
	}
	return t, nil
}

// portion is how much a person eats, by the table for the age and what was told.
func portion(req *desk.Request, p storage.Person, told []storage.Appetite) (float64, error) {
	e := headcount.Eater{Age: p.AgeAt(req.Now), Activity: headcount.Moderate, Appetite: 1}
	if e.Age == 0 {
		e.Age = usualAge
	}
	for _, a := range told {
		if a.Person != p.ID {
			continue
		}
		e.Appetite = a.Factor
		e.Sex = map[string]headcount.Sex{"male": headcount.Male, "female": headcount.Female}[a.Sex]
		if act, ok := activities[a.Activity]; ok {
			e.Activity = act
		}
	}
	return headcount.Equivalent(e)
}

var activities = map[string]headcount.Activity{"sedentary": headcount.Sedentary, "moderate": headcount.Moderate, "active": headcount.Active}

// say writes who is counted.
func (t table) say() string {
	text := fmt.Sprintf("%.2g portions at the table: %s", t.portions, strings.Join(t.said, ", "))
	if len(t.away) > 0 {
		text += "; away: " + strings.Join(t.away, ", ")
	}
	return text
}

// guestsSaid reads "plus 2 guests", "and three children more".
func guestsSaid(req *desk.Request) (adults, children int) {
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		v, _ := s.Value.(*big.Rat)
		if v == nil || !v.IsInt() || v.Sign() <= 0 || v.Num().Int64() > 200 {
			continue
		}
		n := int(v.Num().Int64())
		switch {
		case follows(req, s, "guest", "guests", "visitors", "more", "extra", "adults", "friends", "neighbours", "others"):
			adults += n
		case follows(req, s, "children", "kids", "child", "little", "young"):
			children += n
		}
	}
	for _, tok := range req.Reading.Unknown { // "all of us and Ruth"
		if guestName(req, tok) && forAll(req) {
			adults++
		}
	}
	return adults, children
}

// everyone are the words for whoever is there.
var everyone = []string{"everyone", "everybody", "all", "us", "here", "family", "home", "table"}

func forAll(req *desk.Request) bool { return req.Mentions(everyone...) }

func appetiteAsk() desk.Ask {
	return desk.Ask{
		Name: "appetite", Command: "meal", Keeper: true, Text: true, Lists: []string{"people"}, Kinds: []phrase.Kind{phrase.KindShare, phrase.KindNumber}, Needs: []desk.Need{{Kind: phrase.KindTerm, List: "people"}},
		Help:     "how much somebody eats, against what the table says for the age",
		Forms:    []string{"appetite", "eats for|like", "is a boy|girl|man|woman", "eats half|twice|double"},
		Examples: []desk.Example{{Line: "appetite of Maren 130%"}, {Setup: []string{"house add Ivo child 13"}, Line: "Ivo is a boy, active"}},
		Plain:    plainAppetite, Do: appetite,
	}
}

func plainAppetite(req *desk.Request) bool {
	if strings.Contains(req.Text, "?") || req.Mentions("lovely", "good", "bad", "clever", "great") {
		return false
	}
	people := req.Reading.Terms("people")
	return len(people) == 1 && (len(req.Reading.Of(phrase.KindShare)) > 0 || req.Mentions("boy", "girl", "man", "woman") && req.Mentions("active", "moderate", "sedentary", "eats", "appetite") || req.Mentions("for") && len(req.Reading.Of(phrase.KindNumber)) > 0)
}

// appetite writes down how much a person eats.
func appetite(req *desk.Request) (desk.Reply, error) {
	people := req.Reading.Terms("people")
	if len(people) != 1 || people[0].Value.(phrase.Term).ID == 0 {
		return desk.AskBack("Whose? For example: appetite of Ivo 130%"), nil
	}
	who := people[0].Value.(phrase.Term)
	a := storage.Appetite{Person: who.ID, Factor: 1}
	told, err := req.Tx.Appetites(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if i := slices.IndexFunc(told, func(o storage.Appetite) bool { return o.Person == who.ID }); i >= 0 {
		a = told[i]
	}
	for _, s := range req.Reading.Of(phrase.KindShare) {
		a.Factor, _ = s.Value.(*big.Rat).Float64()
	}
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		if wordBefore(req, s) == "for" || follows(req, s, "times") {
			a.Factor, _ = s.Value.(*big.Rat).Float64()
		}
	}
	switch {
	case req.Mentions("boy", "man"):
		a.Sex = "male"
	case req.Mentions("girl", "woman"):
		a.Sex = "female"
	}
	for word := range activities {
		if req.Mentions(word) {
			a.Activity = word
		}
	}
	if !(a.Factor >= 0.1 && a.Factor <= 5) {
		return desk.Refuse("An appetite is from 10% to 500% of the usual. For example: appetite of Ivo 130%"), nil
	}
	text := fmt.Sprintf("%s eats %.0f%% of what is usual", who.Name, 100*a.Factor)
	if a.Sex != "" {
		text += ", " + a.Sex
	}
	if a.Activity != "" {
		text += ", " + a.Activity
	}
	if err := req.Record(storage.Entry{Kind: "appetite", Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SetAppetite(req.House.ID, a); err != nil {
		return desk.Reply{}, err
	}
	t, err := atTable(req, req.Now, 0, 0)
	if err != nil {
		return desk.Reply{}, err
	}
	return desk.Answer(desk.Upper(text)+".", t.say()+"."), nil
}
