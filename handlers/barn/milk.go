package barn

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/growth"
	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// milkWords belong to a line that tells of a milking.
var milkWords = []string{"milked", "milk", "got", "had", "gave", "from", "of", "this", "today", "in", "the", "goat's", "goats", "cow's", "ewe's", "morning", "evening", "from", "fresh", "again", "out", "off", "pail", "bucket", "she", "her", "it", "was"}

func milkAsks() []desk.Ask {
	return []desk.Ask{{
		Name: "milk", Command: "milk", Keep: true, Text: true, Needs: []desk.Need{{Kind: phrase.KindQuantity}}, Help: "milk of the household's own animals, into the larder: held back while a treatment says so",
		Forms: []string{"^milk", "milked", "milk from|of", "got|had * from", "gave", "milk"}, Kinds: slices.Concat(dayed, []phrase.Kind{phrase.KindQuantity, phrase.KindNumber}), Lists: []string{"livestock", "herds", "people"},
		Examples: []desk.Example{
			{Setup: []string{"Clover is a doe"}, Line: "milked Clover, 2 l"},
			{Setup: []string{"we have 2 goats"}, Line: "got 3 litres of milk from the goats"},
			{Setup: []string{"we have a cow"}, Line: "milk 9 l"},
		},
		Plain: plainMilk, Do: milked,
	}}
}

// plainMilk takes a plain line only when the whole of it tells of a milking.
func plainMilk(req *desk.Request) bool {
	if asksOrDoubts(req) || len(strangers(req, milkWords...)) > 0 || !hasWord(req, "milk", "milked") && !hasWord(req, "gave") {
		return false
	}
	if i := slices.IndexFunc(req.Reading.Tokens, func(t phrase.Token) bool { return t.Low == "gave" }); i >= 0 { // Nettle gave 2 l
		terms := animalTerms(req)
		return len(terms) == 1 && terms[0].Past == i
	}
	return len(animalTerms(req)) > 0 || hasWord(req, "milked") || word(req, 0) == "milk" && len(req.Reading.Tokens) <= 4
}

// milked puts the milk of a milking into the larder.
func milked(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	from, reply := b.milkedOf(req)
	if reply.Head != "" {
		return reply, nil
	}
	if from.name == "" {
		return desk.Reply{}, desk.ErrSilent
	}
	when, reply := happened(req)
	if reply.Head != "" {
		return reply, nil
	}
	amount, dim, reply := milkSaid(req)
	if reply.Head != "" {
		return reply, nil
	}
	l := storage.Lot{Household: req.House.ID, Item: "milk", Got: at(req, when), Amount: amount, Left: amount, Dim: dim, Cost: -1, Whence: ofOwn + from.name}
	if l.Hold, l.HoldWhy, err = holdOfMilk(req, from.kind.family, from.herd.ID, l.Got); err != nil {
		return desk.Reply{}, err
	}
	text := fmt.Sprintf("%s of %s", milkText(req, l), from.name)
	if err := req.Record(storage.Entry{Kind: "milk", About: "larder:milk", Happened: l.Got, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if _, err := req.Tx.AddLot(l); err != nil {
		return desk.Reply{}, err
	}
	if l.Held(req.Now) {
		return heldMilk(req, l, text), nil
	}
	return desk.Quietly(desk.Upper(text) + ", in the larder."), nil
}

// heldMilk says of milk that was drawn under a hold that nobody is to drink it.
func heldMilk(req *desk.Request, l storage.Lot, text string) desk.Reply {
	out := desk.Answer(desk.Upper(text) + ": not to be drunk.")
	out.Cautions = []string{
		fmt.Sprintf("Held back: %s. Keep it apart, and throw it out or do as the vet says: the date frees only what is milked after it.", l.HoldWhy),
		"Not for calves, kids, lambs or the pigs either, unless the vet says so.",
	}
	out.Buttons = []storage.Button{desk.Labelled("Thrown out", "larder threw out "+milkText(req, l)), desk.Labelled("Undo", "undo")}
	return out
}

// milkText writes an amount of milk as people speak of it: 2 L milk.
func milkText(req *desk.Request, l storage.Lot) string {
	if l.Dim == storage.Volume && !req.House.US && l.Amount >= 1000 {
		return fmt.Sprintf("%.4g L milk", l.Amount/1000)
	}
	return req.SayGoods(desk.GoodsOf(l))
}

// milkSaid is the amount of milk that a line tells, in millilitres or grams.
func milkSaid(req *desk.Request) (float64, storage.Dimension, desk.Reply) {
	said := req.Reading.Of(phrase.KindQuantity)
	if len(said) == 1 {
		q := said[0].Value.(phrase.Quantity)
		switch {
		case q.Top != nil || q.Float() <= 0:
		case q.Unit.Dim == measure.Volume:
			return q.Float(), storage.Volume, desk.Reply{}
		case q.Unit.Dim == measure.Mass:
			return q.Float(), storage.Mass, desk.Reply{}
		}
	}
	return 0, 0, desk.AskBack("How much milk, as one amount? For example: milked Clover, 2 l")
}

// milkedOf is whose milk a line tells of: the animal or the group that it names, else the
// only kind that gives milk. Without any it has no name.
func (b book) milkedOf(req *desk.Request) (patient, desk.Reply) {
	if who := patients(req, b); len(who) > 0 {
		p := who[0]
		switch {
		case !slices.Contains(gives(p.kind.family), growth.Milk) || p.kind.age != grown:
			return patient{}, desk.AskBack(fmt.Sprintf("Milk of %s? For example: milked Clover, 2 l", p.kind.plural))
		case b.count(p.kind.name) == 0 && p.herd.ID == 0:
			return patient{}, desk.AskBack(fmt.Sprintf("No %s are in the flock book. Say first what there is: we have 2 goats", p.kind.plural))
		}
		return p, desk.Reply{}
	}
	var out []patient
	for _, h := range b.alive() {
		k, _ := beastNamed(h.Kind)
		if slices.Contains(gives(k.family), growth.Milk) && k.age == grown && k.name != "steer" && !slices.ContainsFunc(out, func(p patient) bool { return p.kind.family == k.family }) {
			family, _ := beastNamed(k.family)
			out = append(out, patient{kind: k, name: "the " + family.plural})
		}
	}
	switch len(out) {
	case 0:
		return patient{}, desk.Reply{}
	case 1:
		return out[0], desk.Reply{}
	}
	var names []string
	for _, p := range out {
		names = append(names, p.name)
	}
	return patient{}, desk.AskBack(fmt.Sprintf("Of %s? For example: milked %s, 2 l", strings.Join(names, " or of "), names[0]))
}

// ofOwn begins the Whence of milk of the household's own animals; the name follows.
const ofOwn = "our own: "

// holdOfMilk is the hold of milk of an animal, or of a whole family, that was drawn at an
// instant. Milk drawn while a treatment holds it back never becomes free by the date.
func holdOfMilk(req *desk.Request, family string, herd int64, drawn time.Time) (time.Time, string, error) {
	all, err := req.Tx.Treatments(req.House.ID)
	if err != nil {
		return time.Time{}, "", err
	}
	for _, t := range slices.Backward(all) {
		if t.Kind != family || t.Herd != 0 && herd != 0 && t.Herd != herd || drawn.Before(t.At) {
			continue
		}
		g, err := courseOfDose(t)
		if err != nil {
			return time.Time{}, "", err
		}
		c, err := growth.Release(growth.Milk, g)
		if err != nil {
			return time.Time{}, "", err
		}
		why := t.Name + ": " + t.What
		switch {
		case c.Unknown:
			return t.At.Add(untold), why + ", the label's time not told", nil
		case c.Never:
			return t.At.Add(untold), why, nil
		case drawn.Before(c.At):
			return t.At.Add(untold), fmt.Sprintf("%s, drawn before %s", why, req.Say(c.At)), nil
		}
	}
	return time.Time{}, "", nil
}

// holdMilk holds back the milk of a family that was drawn since a dose, or sets it free
// when the label told since says so.
func holdMilk(req *desk.Request, family string) error {
	lots, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return err
	}
	b, err := openBook(req)
	if err != nil {
		return err
	}
	for _, l := range lots {
		name, own := strings.CutPrefix(l.Whence, ofOwn)
		if !own || l.Item != "milk" {
			continue
		}
		of, herd := b.drawnFrom(name)
		if of != family {
			continue
		}
		until, why, err := holdOfMilk(req, family, herd, l.Got)
		if err != nil {
			return err
		}
		if err := req.Tx.HoldLot(l.ID, until, why); err != nil {
			return err
		}
	}
	return nil
}

// drawnFrom is the family and the animal that milk is from, by the name that was written
// with it.
func (b book) drawnFrom(name string) (family string, herd int64) {
	for _, h := range b.herds {
		if k, ok := beastNamed(h.Kind); ok && strings.EqualFold(h.Name, name) {
			return k.family, h.ID
		}
	}
	for _, k := range beasts {
		if name == "the "+k.plural || name == "the "+k.name {
			return k.family, 0
		}
	}
	return "", 0
}
