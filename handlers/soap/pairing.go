package soap

import (
	"math/big"
	"slices"
	"strings"

	"yardbell/calc/lye"
	"yardbell/handlers/phrase"
)

// item is an amount or a label of the line, in order.
type item struct {
	span   phrase.Span
	label  string // a setting or fat name; empty for an amount
	fat    bool
	extra  bool
	number *big.Rat // of an amount
	strong *big.Rat // how strong an acid is, when the line says so beside its mass
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
	return strengths(purities(joinMix(plantMilk(out))))
}

// plantMilk takes the name of a fat and "milk" side by side for the one thing that
// they are: coconut milk is no coconut oil.
func plantMilk(list []item) []item {
	for i := 0; i+1 < len(list); i++ {
		a, b := list[i], list[i+1]
		name := strings.ToLower(a.span.Text + " " + b.span.Text)
		if !a.fat || !b.extra || a.span.Past != b.span.First || !isLiquid(name) {
			continue
		}
		list[i].fat, list[i].extra, list[i].label = false, true, name
		list[i].span.Past, list[i].span.End, list[i].span.Text = b.span.Past, b.span.End, name
		list = slices.Delete(list, i+1, i+2)
	}
	return list
}

// joinMix takes the two hydroxides side by side, with a ratio beside them, for
// the shares of the work: "90:10 naoh to koh", "koh/naoh 5:95".
func joinMix(list []item) []item {
	for i := 0; i+1 < len(list); i++ {
		a, b := list[i], list[i+1]
		label := map[string]string{wordSoda + wordPotash: wordMix, wordPotash + wordSoda: wordMixBack}[a.label+b.label]
		ratio := func(j int) bool { return j >= 0 && j < len(list) && list[j].kind == phrase.KindRatio }
		if label == "" || b.span.First-a.span.Past > 1 || !ratio(i-1) && !ratio(i+2) {
			continue
		}
		list[i].label, list[i].span.Past = label, b.span.Past
		list = slices.Delete(list, i+1, i+2)
	}
	return list
}

// purities gives a purity to the hydroxide that is named before it: "koh is 90%
// pure" and "koh purity 90%" are not the purity of all the lye.
func purities(list []item) []item {
	specific := map[string]string{wordSoda: wordSodaPure, wordPotash: wordPotashPur}
	for i := 1; i < len(list); i++ {
		if list[i].label != wordPurity {
			continue
		}
		before := list[i-1].label
		if i > 1 && before == "" && list[i-1].kind != phrase.KindQuantity {
			before = list[i-2].label
		}
		if name := specific[before]; name != "" {
			list[i].label = name
		}
	}
	return list
}

// leastStrength tells how strong an acid is from how much of the fats it is: a
// batch takes one or two per cent of acid. Vinegar is the weak one.
var leastStrength = big.NewRat(15, 100)

// strengths takes a share that stands right beside an acid with a mass as how
// strong the acid is: "25 g 80% lactic acid", "80% lactic acid 25 g".
func strengths(list []item) []item {
	for i := 0; i < len(list); i++ {
		acid, ok := lye.AcidNamed(list[i].label)
		if !ok || !list[i].extra || i == 0 || list[i-1].kind != phrase.KindShare {
			continue
		}
		beside := list[i-1].span.Past == list[i].span.First
		massBefore := i > 1 && list[i-2].kind == phrase.KindQuantity && list[i-2].span.Past == list[i-1].span.First
		// behind another name the share may be its own: "water 38% vinegar 10 g"
		massAfter := i+1 < len(list) && list[i+1].kind == phrase.KindQuantity && (i < 2 || list[i-2].label == "")
		weak := list[i-1].number.Cmp(leastStrength) < 0 && acid.Usual != 0.05
		if beside && (massBefore || massAfter) && !weak {
			list[i].strong = list[i-1].number
			list = slices.Delete(list, i-1, i)
			i--
		}
	}
	return list
}

func bareItems(r phrase.Reading) []item {
	var out []item
	for _, s := range r.Spans {
		switch v := s.Value.(type) {
		case phrase.Term:
			out = append(out, item{span: s, label: v.Name, fat: v.List == "fats", extra: v.List == "extras"})
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
			if fits(a, l) && !(isLye(l.label) && l.apart && list[i].label != "") {
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

func isLye(label string) bool { return label == wordLye || label == wordSoda || label == wordPotash }

// fits reports whether an amount can be of that label at all.
func fits(a, l *item) bool {
	switch l.label {
	case wordConfirm, wordDoubt, wordByMass, wordByMoles:
		return false
	case wordSuperfat, wordPurity, wordStrength, wordSodaPure, wordPotashPur, wordStock:
		return a.kind == phrase.KindShare || a.kind == phrase.KindNumber
	case wordRatio:
		return a.kind == phrase.KindRatio || a.kind == phrase.KindNumber
	case wordMix, wordMixBack:
		return a.kind == phrase.KindRatio
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
	case isLye(it.label) && it.named:
		return 0, true
	case isLye(it.label), it.label == wordFat, it.label == wordConfirm, it.label == wordDoubt, it.label == wordByMass, it.label == wordByMoles, it.label == wordMix, it.label == wordMixBack:
		return 1, true
	case it.label == wordWater:
		return 3, true
	case it.extra:
		_, liquid := lye.LiquidNamed(it.label)
		return 1, liquid
	case it.label == "" && it.kind == phrase.KindQuantity:
		return 4, true
	}
	return 0, false
}
