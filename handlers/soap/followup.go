package soap

import (
	"fmt"
	"math/big"
	"strings"

	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// followUpAsk takes what is said next to a card: another superfat, or less of one fat.
func followUpAsk() desk.Ask {
	card := []string{"lye 500 g lard 250 g coconut 250 g olive, 2:1 water"}
	return desk.Ask{
		Name: "lye", Command: "lye", Adult: true, Keep: true, Question: true, Kinds: amounts, Lists: []string{"fats", "settings"},
		Help:     "the last card with another superfat, or sized by the one fat that is short",
		Forms:    []string{"^same", "^the same|again|now|but with|but|at", "^again|now|but with|at", "^with|at", "^what if|about|with", "^i|we|there only have|got|is", "^only have|got", "only * left$"},
		Fill:     []string{"same", "but", "with", "again", "superfat", "at", "make", "what", "if", "about", "only", "have", "got", "is", "there", "left", "recipe", "card", "now", "instead"},
		Examples: []desk.Example{{Setup: card, Line: "same but 8% superfat"}, {Setup: card, Line: "what if I only have 200 g coconut"}},
		Plain:    plainFollowUp, Strict: true, Do: followUp,
	}
}

// plainFollowUp needs a card of the speaker's and a line with nothing else in it.
func plainFollowUp(req *desk.Request) bool {
	k, c, ok, err := lastCard(req)
	if err != nil || !ok || c.By != req.Who.Name || len(req.Reading.Unknown) > 0 {
		return false
	}
	_, superfat := superfatSaid(req)
	_, short := shortFat(req, k)
	return superfat != short
}

// superfatSaid is the one share of a line that names no fat.
func superfatSaid(req *desk.Request) (float64, bool) {
	shares := req.Reading.Of(phrase.KindShare)
	if len(shares) != 1 || len(req.Reading.Terms("fats")) > 0 || req.Mentions("purity", "pure", "water", "solution") {
		return 0, false
	}
	f, _ := shares[0].Value.(*big.Rat).Float64()
	return f, true
}

// shortFat is by what the card is multiplied so that it takes as much of one of its fats
// as the line says.
func shortFat(req *desk.Request, k kept) (float64, bool) {
	fats, amounts := req.Reading.Terms("fats"), req.Reading.Of(phrase.KindQuantity)
	if len(fats) != 1 || len(amounts) != 1 {
		return 0, false
	}
	q := amounts[0].Value.(phrase.Quantity)
	if q.Unit.Dim != measure.Mass {
		return 0, false
	}
	name := fats[0].Value.(phrase.Term).Name
	for _, f := range k.Fats {
		if f.Grams > 0 && (strings.EqualFold(f.Name, name) || strings.HasPrefix(strings.ToLower(f.Name), strings.ToLower(firstWord(name)))) {
			return q.Float() / f.Grams, true
		}
	}
	return 0, false
}

func firstWord(s string) string {
	w, _, _ := strings.Cut(s, " ")
	return w
}

// followUp works the last card out anew with what was said.
func followUp(req *desk.Request) (desk.Reply, error) {
	k, _, ok, err := lastCard(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if !ok {
		return desk.AskBack("Of which recipe? There is no card of the last day. For example: lye 500 g lard 500 g olive"), nil
	}
	exact, err := k.unrounded(req)
	if err != nil {
		return desk.Reply{}, err
	}
	superfat, other := superfatSaid(req)
	factor, short := shortFat(req, exact)
	if !other && !short {
		return desk.AskBack("What is to be otherwise? For example: same but 8% superfat, or: what if I only have 200 g coconut"), nil
	}
	if !short {
		factor = 1
	}
	r, err := recipeOf(req, exact, factor)
	if err != nil {
		return desk.Reply{}, err
	}
	if other {
		r.superfat, r.confirmed = superfat, false
	}
	out, scaled, err := r.weighOut(req)
	if err != nil || out.Status != storage.OK {
		return out, err
	}
	if short {
		out.Lines = append(out.Lines, fmt.Sprintf("Everything times %.3g.", factor))
	}
	return keepCard(req, out, scaled)
}
