package soap

import (
	"math/big"
	"slices"
	"strings"

	"yardbell/calc/lye"
	"yardbell/calc/measure"
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
	named  bool         // it is the word that named the ask
	apart  bool         // a word such as "for" parts it from what follows
	parted bool         // a comma or an "and" parts it from the next item
	whose  *phrase.Span // of a purity or a strength: the thing it stands beside, that is no lye
}

// pair is an amount with the label that it belongs to. Label is empty for a
// mass that is the total of the fats.
type pair struct{ amount, label *item }

// items turns the reading into amounts and labels.
func items(r phrase.Reading) []item {
	out := bareItems(r)
	for i := range out {
		s := out[i].span
		out[i].named = s.Past <= len(r.Named) && slices.Contains(r.Named[s.First:s.Past], true)
		out[i].apart = s.Past < len(r.Tokens) && slices.Contains([]string{"for", "with", "on", "goes"}, r.Tokens[s.Past].Low)
		out[i].parted = i+1 < len(out) && partedBetween(r, s, out[i+1].span)
	}
	return strengths(owners(purities(lyePurities(joinMix(plantMilk(joinOunces(out)))))))
}

// partedBetween reports that a comma, the end of a line or a joining word stands
// between two spans: what is on either side is not of one thing.
func partedBetween(r phrase.Reading, a, b phrase.Span) bool {
	if strings.ContainsAny(r.Text[a.End:b.Start], ",;\n") {
		return true
	}
	return slices.ContainsFunc(r.Tokens[a.Past:b.First], func(t phrase.Token) bool {
		return slices.Contains([]string{"and", "with", "at", "on", "goes", "plus"}, t.Low)
	})
}

// joinOunces takes "5 lb, 4 oz" for the one weight that it is, where no other name
// could have either part: phones write the comma.
func joinOunces(list []item) []item {
	for i := 0; i+1 < len(list); i++ {
		pounds, ok := list[i].span.Value.(phrase.Quantity)
		ounces, also := list[i+1].span.Value.(phrase.Quantity)
		if !ok || !also || pounds.Unit != measure.Pound || ounces.Unit != measure.Ounce || pounds.Top != nil || ounces.Top != nil || pounds.Joined {
			continue
		}
		sixteenth := new(big.Rat).Quo(ounces.Amount, big.NewRat(16, 1))
		nameBefore := i > 0 && list[i-1].label != "" && !list[i-1].parted && !list[i-1].named
		nameAfter := i+2 < len(list) && list[i+2].label != "" && !list[i+1].parted
		if !pounds.Amount.IsInt() || sixteenth.Cmp(big.NewRat(1, 1)) >= 0 || nameBefore == nameAfter {
			continue
		}
		pounds.Amount, pounds.Joined = new(big.Rat).Add(pounds.Amount, sixteenth), true
		list[i].number, list[i].span.Value, list[i].parted = pounds.Amount, pounds, list[i+1].parted
		list[i].span.Past, list[i].span.End = list[i+1].span.Past, list[i+1].span.End
		list[i].span.Text += ", " + list[i+1].span.Text
		list = slices.Delete(list, i+1, i+2)
	}
	return list
}

// plantMilk takes the name of a fat and "milk" or "water" side by side for the one
// thing that they are: coconut milk is no coconut oil.
func plantMilk(list []item) []item {
	for i := 0; i+1 < len(list); i++ {
		a, b := list[i], list[i+1]
		name := strings.ToLower(a.span.Text + " " + b.span.Text)
		if !a.fat || !b.extra && b.label != wordWater || a.span.Past != b.span.First || !isLiquid(name) {
			continue
		}
		list[i].fat, list[i].extra, list[i].label = false, true, name
		list[i].span.Past, list[i].span.End, list[i].span.Text, list[i].parted = b.span.Past, b.span.End, name, b.parted
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
		ratio := func(j int) bool { return j >= 0 && j < len(list) && list[j].asRatio() }
		if label == "" || b.span.First-a.span.Past > 1 || !ratio(i-1) && !ratio(i+2) {
			continue
		}
		list[i].label, list[i].span.Past, list[i].parted = label, b.span.Past, b.parted
		list = slices.Delete(list, i+1, i+2)
	}
	return list
}

// leastStrength tells how strong an acid is from how much of the fats it is: a
// batch takes one or two per cent of acid. Vinegar is the weak one.
func leastStrength(a lye.Acid) *big.Rat {
	if a.Usual == 0.05 {
		return big.NewRat(4, 100)
	}
	return big.NewRat(15, 100)
}

// strengths takes a share that stands right beside an acid with a mass as how
// strong the acid is: "25 g 80% lactic acid", "80% lactic acid 25 g", "25 g lactic
// acid 80%".
func strengths(list []item) []item {
	for i := 0; i < len(list); i++ {
		acid, ok := lye.AcidNamed(list[i].label)
		if !ok || !list[i].extra {
			continue
		}
		at, ok := strengthBeside(list, i)
		if !ok || list[at].number.Cmp(leastStrength(acid)) < 0 {
			continue
		}
		list[i].strong = list[at].number
		if at > i {
			list[i].parted = list[at].parted
		}
		list = slices.Delete(list, at, at+1)
		if at < i {
			i--
		}
	}
	return list
}

// strengthBeside finds the share that can only be the strength of the acid at i.
func strengthBeside(list []item, i int) (int, bool) {
	kind := func(j int) phrase.Kind {
		if j < 0 || j >= len(list) {
			return 0
		}
		return list[j].kind
	}
	touches := func(j int) bool { return list[j].span.Past == list[j+1].span.First }
	if kind(i-1) == phrase.KindShare && touches(i-1) {
		massBefore := kind(i-2) == phrase.KindQuantity && touches(i-2)
		// behind another name the share may be its own: "water 38% vinegar 10 g"
		massAfter := kind(i+1) == phrase.KindQuantity && (i < 2 || list[i-2].label == "")
		return i - 1, massBefore || massAfter
	}
	ends := i+2 >= len(list) || list[i+1].parted || list[i+2].label == ""
	if kind(i+1) == phrase.KindShare && !list[i].parted && ends {
		return i + 1, kind(i-1) == phrase.KindQuantity && touches(i-1)
	}
	return 0, false
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
	steps, bare := 0, bareLye(list)
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
			if fits(a, l) && !(isLye(l.label) && l.apart && list[i].label != "") && !(i == 0 && bare) {
				try(i+2, solution{append(slices.Clip(s.pairs), pair{a, l}), s.cost + unlikely(a, l) + acrossCost(list[i])})
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

// costAcross is what it costs to pair an amount and a name across a comma.
const costAcross = 2

func acrossCost(first item) int {
	if first.parted {
		return costAcross
	}
	return 0
}

// bareLye reports that the word for lye which leads a line has no weight of its
// own: a later one has it.
func bareLye(list []item) bool {
	if len(list) == 0 || !isLye(list[0].label) {
		return false
	}
	for i := 2; i < len(list); i++ {
		if !isLye(list[i].label) {
			continue
		}
		before := list[i-1].kind == phrase.KindQuantity && !list[i-1].parted
		after := i+1 < len(list) && list[i+1].kind == phrase.KindQuantity && !list[i].parted && !list[i].apart
		if before || after {
			return true
		}
	}
	return false
}

// lyeOrFat finds the amount that the leading word for lye would take from the fat
// right behind it: "lye 100 g castor 900 g olive" with one amount too many.
func lyeOrFat(list []item, pairs []pair) bool {
	if len(list) < 3 || !isLye(list[0].label) || list[1].parted || !list[2].fat && !list[2].extra {
		return false
	}
	return slices.ContainsFunc(pairs, func(p pair) bool {
		return p.label != nil && p.label.span.Start == list[0].span.Start && p.amount.span.Start == list[1].span.Start
	})
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
