package house

import (
	"math/big"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// price is what a line says of money.
type price struct {
	said   bool
	amount float64
	per    string // what the amount is for: each, dozen, kg, lb, jar; empty for all
	unpaid bool
	doubt  bool // 6 or 7
}

// coins are the words for money, and how many of a whole one is.
var coins = map[string]float64{"pounds": 1, "pound": 1, "quid": 1, "euros": 1, "euro": 1, "dollars": 1, "dollar": 1, "bucks": 1, "p": 100, "pence": 100, "cents": 100, "cent": 100, "ct": 100}

// takePrice cuts money out of a line: for 6, at 2.50 a dozen, 25p each, six pounds, and
// whether it is still to be paid.
func takePrice(text string, w words) (words, price) {
	var p price
	w, p.unpaid = takeUnpaid(w)
	at := w.find("sold", "bought", "traded", "swapped")
	if at < 0 || w.low(at) == "swapped" || w.low(at) == "traded" {
		return w, p
	}
	for i := at + 1; i < len(w); i++ {
		lead := w.low(i) == "for" || w.low(i) == "at" || w.low(i) == "@"
		from := i
		if lead {
			from = i + 1
		}
		v, next, ok := numberAt(w, from)
		if !ok {
			continue
		}
		coin := coins[w.low(next)]
		if coin > 0 {
			next++
		}
		per, after := perAt(w, next)
		if w.low(next) == "of" {
			continue
		}
		if !lead && coin == 0 && !(next == len(w) && i > at+1 && written(text, w[i])) { // 12 eggs each had one
			continue
		}
		p.said, p.amount, p.per = true, v, per
		if coin > 0 {
			p.amount /= coin
		}
		if lead && w.low(i) != "for" && per == "" {
			p.per = "each"
		}
		if o := w.low(after); o == "or" || o == "-" {
			p.doubt = true
			_, after, _ = numberAt(w, after+1)
		}
		if i > 0 && w.low(i-1) == "," {
			i--
		}
		return w.without(i, after), p
	}
	return w, p
}

// written reports a number that is written as money: £6, 1.50.
func written(text string, t phrase.Token) bool {
	_, cents, ok := strings.Cut(t.Text, ".")
	before := text[:min(t.Start, len(text))]
	return ok && len(cents) == 2 || strings.HasSuffix(before, "£") || strings.HasSuffix(before, "$") || strings.HasSuffix(before, "€")
}

// takeUnpaid cuts "not paid yet" off, and "paid" or "cash".
func takeUnpaid(w words) (words, bool) {
	for _, say := range [][]string{{"not", "paid", "for", "yet"}, {"not", "paid", "yet"}, {"not", "yet", "paid"}, {"not", "paid"}, {"unpaid"}, {"to", "pay"}, {"on", "tick"}, {"hasn't", "paid"}, {"will", "pay", "later"}, {"paid"}, {"cash"}} {
		n := len(say)
		for i := 2; i+n <= len(w); i++ {
			match := true
			for j, s := range say {
				match = match && w.low(i+j) == s
			}
			if !match || i+n != len(w) {
				continue
			}
			start := i
			if w.low(i-1) == "," || w.low(i-1) == "and" || w.low(i-1) == "-" {
				start--
			}
			return w[:start], say[0] != "paid" && say[0] != "cash"
		}
	}
	for i := 2; i < len(w); i++ { // she'll pay on friday
		later := slices.Contains([]string{"she'll", "he'll", "they'll", "will", "to", "pays", "paying", "shell", "hell"}, w.low(i)) && w.low(i+1) == "pay" || w.low(i) == "pays" || w.low(i) == "paying"
		if !later {
			continue
		}
		start := i
		for start > 0 && slices.Contains([]string{",", "and", "-", "she", "he", "they"}, w.low(start-1)) {
			start--
		}
		return w[:start], true
	}
	return w, false
}

// perAt reads each, a dozen, per kg behind a price.
func perAt(w words, i int) (string, int) {
	switch w.low(i) {
	case "each", "apiece":
		return "each", i + 1
	case "a", "per":
		if i+1 < len(w) && w[i+1].Kind == phrase.Word {
			return desk.One(w.low(i + 1)), i + 2
		}
	}
	return "", i
}

// numberAt reads a number, in figures or words.
func numberAt(w words, i int) (float64, int, bool) {
	if i < 0 || i >= len(w) {
		return 0, i, false
	}
	if w[i].Kind == phrase.Num {
		v, _ := w[i].Value.Float64()
		return v, i + 1, true
	}
	text := w[i:].text()
	toks := phrase.Tokens(text)
	r := phrase.Read(text, toks, phrase.Context{}, phrase.Query{Kinds: []phrase.Kind{phrase.KindNumber}})
	ns := r.Of(phrase.KindNumber)
	if len(ns) == 0 || ns[0].First != 0 {
		return 0, i, false
	}
	v, _ := ns[0].Value.(*big.Rat).Float64()
	return v, i + ns[0].Past, true
}

// total is the whole price of goods; ok is false when what it is for is not counted so.
func (p price) total(req *desk.Request, goods []desk.Goods) (sum float64, ok bool) {
	if p.per == "" {
		return p.amount, true
	}
	for _, g := range goods {
		n, counts := g.Amount, g.Dim == storage.Count
		switch {
		case p.per == "dozen":
			n /= 12
		case p.per == "kg" || p.per == "kilo" || p.per == "each" && g.Dim == storage.Mass && !req.House.US:
			n, counts = n/1000, g.Dim == storage.Mass
		case p.per == "lb" || p.per == "pound" || p.per == "each" && g.Dim == storage.Mass:
			n, counts = n/pound, g.Dim == storage.Mass
		case p.per == "litre" || p.per == "l" || p.per == "liter":
			n, counts = n/1000, g.Dim == storage.Volume
		case p.per != "each" && p.per != g.Each && !sameThing(p.per, g.Item):
			counts = false
		}
		if !counts {
			return 0, false
		}
		sum += n * p.amount
	}
	return sum, true
}

func numberWord(w string) bool {
	return slices.Contains([]string{"one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty", "thirty", "forty", "fifty", "hundred", "half", "dozen", "couple"}, w)
}
