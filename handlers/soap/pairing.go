package soap

import (
	"math/big"
	"slices"

	"yardbell/handlers/phrase"
)

// item is an amount or a label of the line, in order.
type item struct {
	span   phrase.Span
	label  string // a setting or fat name; empty for an amount
	fat    bool
	number *big.Rat // of an amount
	kind   phrase.Kind
	named  bool // it is the word that named the ask
	apart  bool // a word such as "for" parts it from what follows
}

// pair is an amount with the label that it belongs to. Label is empty for a
// mass that is the total of the fats.
type pair struct{ amount, label *item }

// items turns the reading into amounts and labels.
func items(r phrase.Reading) []item {
	out := bareItems(r)
	for i := range out {
		s := out[i].span
		out[i].named = s.First < len(r.Named) && r.Named[s.First]
		out[i].apart = s.Past < len(r.Tokens) && slices.Contains([]string{"for", "with", "on", "goes"}, r.Tokens[s.Past].Low)
	}
	return out
}

func bareItems(r phrase.Reading) []item {
	var out []item
	for _, s := range r.Spans {
		switch v := s.Value.(type) {
		case phrase.Term:
			out = append(out, item{span: s, label: v.Name, fat: v.List == "fats"})
		case phrase.Quantity:
			out = append(out, item{span: s, kind: s.Kind, number: v.Amount})
		case *big.Rat:
			out = append(out, item{span: s, kind: s.Kind, number: v})
		case phrase.Ratio:
			out = append(out, item{span: s, kind: s.Kind, number: new(big.Rat).Quo(v.Left, v.Right)})
		}
	}
	return out
}

// pairUp gives every amount its label. People write either the amount or the
// name first, and keep to it, so neighbours belong together; a second word for
// the lye, a word such as "fats", or one total may stand alone. Two ways that
// leave out equally little mean that the line is not clear: ok is false.
func pairUp(list []item) (pairs []pair, ok bool) {
	type solution struct {
		pairs []pair
		cost  int
	}
	best, count := solution{cost: 1 << 30}, 0
	steps := 0
	var try func(i int, s solution)
	try = func(i int, s solution) {
		if steps++; steps > 20_000 || s.cost > best.cost {
			return
		}
		if i == len(list) {
			switch {
			case s.cost < best.cost:
				best, count = solution{slices.Clone(s.pairs), s.cost}, 1
			case s.cost == best.cost && !samePairs(best.pairs, s.pairs):
				count++
			}
			return
		}
		if i+1 < len(list) && (list[i].label == "") != (list[i+1].label == "") {
			a, l := &list[i], &list[i+1]
			if a.label != "" {
				a, l = l, a
			}
			if fits(a, l) && !(l.label == wordLye && l.apart && list[i].label != "") {
				try(i+2, solution{append(slices.Clip(s.pairs), pair{a, l}), s.cost + unlikely(a, l)})
			}
		}
		if c, may := skipCost(list[i]); may {
			next := s.pairs
			if list[i].label == "" {
				next = append(slices.Clip(next), pair{&list[i], nil})
			}
			try(i+1, solution{next, s.cost + c})
		}
	}
	try(0, solution{})
	return best.pairs, count == 1
}

func samePairs(a, b []pair) bool {
	return slices.EqualFunc(a, b, func(x, y pair) bool { return x.amount == y.amount && x.label == y.label })
}

// fits reports whether an amount can be of that label at all.
func fits(a, l *item) bool {
	switch l.label {
	case wordConfirm, wordPotash:
		return false
	case wordSuperfat, wordPurity, wordStrength:
		return a.kind == phrase.KindShare || a.kind == phrase.KindNumber
	case wordRatio:
		return a.kind == phrase.KindRatio || a.kind == phrase.KindNumber
	case wordLye:
		return a.kind != phrase.KindRatio
	case wordWater:
		return true
	}
	return a.kind != phrase.KindRatio
}

// unlikely prefers a whole reading of "38 % water of fats".
func unlikely(a, l *item) int {
	if l.label == wordFat && a.kind == phrase.KindShare {
		return 2
	}
	return 0
}

// skipCost says whether an item may stand alone, and how much that is disliked.
func skipCost(it item) (int, bool) {
	switch {
	case it.label == wordLye && it.named:
		return 0, true
	case it.label == wordLye, it.label == wordFat, it.label == wordConfirm, it.label == wordPotash:
		return 1, true
	case it.label == wordWater:
		return 3, true
	case it.label == "" && it.kind == phrase.KindQuantity:
		return 4, true
	}
	return 0, false
}
