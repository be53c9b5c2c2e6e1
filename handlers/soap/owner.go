package soap

import (
	"math/big"
	"slices"

	"yardbell/calc/lye"
	"yardbell/handlers/phrase"
)

// A purity or a strength belongs to the thing it stands beside: to the lye only
// where lye, or nothing else, is named there.

// lyePurities sets the lye apart from its purity: "140 g naoh purity 97" is a mass
// and a purity, and so is "70 g 97% lye".
func lyePurities(list []item) []item {
	for i := 1; i < len(list); i++ {
		if name := lyeInside(list[i]); name != "" && massBefore(list, i) {
			list = slices.Insert(list, i, item{span: list[i].span, label: name})
			i++
			continue
		}
		share := i > 1 && list[i-1].kind == phrase.KindShare && list[i-2].kind == phrase.KindQuantity && !list[i-1].parted && !list[i-2].parted
		if !share || !isLye(list[i].label) || list[i-1].number.Cmp(big.NewRat(1, 2)) <= 0 {
			continue
		}
		purity := item{span: list[i].span, label: wordPurity, parted: list[i].parted}
		list[i-1], list[i] = list[i], list[i-1]
		list[i-1].parted, list[i].parted = false, false
		list = slices.Insert(list, i+1, purity)
	}
	return list
}

// lyeInside is the lye that the name of a purity holds: "koh purity".
func lyeInside(it item) string {
	switch {
	case it.label == wordSodaPure:
		return wordSoda
	case it.label == wordPotashPur, it.label == wordDoubt && len(phrase.Words(it.span.Text)) > 2:
		return wordPotash
	case it.label == wordPurity && saysLye(it):
		return wordLye
	}
	return ""
}

// saysLye reports a setting that names the lye itself: "lye concentration".
func saysLye(it item) bool { return slices.Contains(phrase.Words(it.span.Text), "lye") }

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

// owners gives a purity or a strength that names no lye to what it stands beside:
// to an acid as its strength where it can be nothing else; else it is asked whose it
// is.
func owners(list []item) []item {
	for i := 1; i < len(list); i++ {
		if list[i].label != wordPurity && list[i].label != wordStrength || saysLye(list[i]) {
			continue
		}
		own, ok := ownFigureOf(list, i)
		if !ok {
			continue
		}
		at, beside := ownerOf(list, i, own)
		if at < 0 || lyeBehind(list, max(i, own)) {
			continue
		}
		_, acid := lye.AcidNamed(list[at].label)
		switch {
		case acid && beside && onlyOfAcid(list, i, own):
			list[at].strong = shareOf(list[own])
			list[max(at, min(i, own)-1)].parted = list[max(i, own)].parted
			list = slices.Delete(list, min(i, own), max(i, own)+1)
			i = at
		case beside && (list[i].label == wordPurity || list[at].extra), acid && list[i].label == wordStrength:
			list[i].whose = &list[at].span
		}
	}
	return list
}

// lyeBehind reports that the lye is named right behind: "98% pure lye".
func lyeBehind(list []item, i int) bool {
	return i+1 < len(list) && !list[i].parted && isLye(list[i+1].label)
}

// onlyOfAcid reports a figure beside an acid that no lye can have.
func onlyOfAcid(list []item, i, own int) bool {
	share, _ := shareOf(list[own]).Float64()
	if list[i].label == wordStrength {
		return share > lye.MaxStrength
	}
	if _, potash := named(list); potash {
		return share < leastPotash
	}
	return share < leastSoda
}

// massBefore reports a mass right before a name that is no other name's: in "lard
// 300 g naoh purity 96%" it is the lard's.
func massBefore(list []item, i int) bool {
	if i == 0 || list[i-1].kind != phrase.KindQuantity || list[i-1].parted {
		return false
	}
	other := i > 1 && (list[i-2].fat || list[i-2].extra) && !list[i-2].parted
	return !other || i > 2 && list[i-3].kind == phrase.KindQuantity && !list[i-3].parted
}

// ownFigureOf is where the figure of the setting at i stands: "50% pure", "purity 50%".
func ownFigureOf(list []item, i int) (int, bool) {
	figure := func(j int) bool {
		return j < len(list) && (list[j].kind == phrase.KindShare || list[j].kind == phrase.KindNumber)
	}
	takenAfter := i+2 < len(list) && list[i+2].label != "" && !list[i+1].parted
	switch {
	case figure(i+1) && !list[i].parted && !(figure(i-1) && takenAfter):
		return i + 1, true
	case figure(i-1) && !list[i-1].parted:
		return i - 1, true
	}
	return 0, false
}

// ownerOf is the acid, fat or additive before a setting, with at most its mass in
// between; beside says that no comma parts the two. It is -1 where there is none.
func ownerOf(list []item, i, own int) (at int, beside bool) {
	at, beside = min(i, own)-1, true
	for at >= 0 && list[at].label == "" {
		beside = beside && !list[at].parted
		at--
	}
	if at < 0 || !list[at].fat && !list[at].extra {
		return -1, false
	}
	return at, beside && !list[at].parted
}

// shareOf reads a bare figure as a percentage.
func shareOf(it item) *big.Rat {
	if it.kind == phrase.KindShare {
		return it.number
	}
	return new(big.Rat).Quo(it.number, big.NewRat(100, 1))
}

var slashed = phrase.NewPattern(`^(\d+)\s*/\s*(\d+)$`)

// asRatio makes a ratio of two parts of a hundred with a slash between them,
// "koh/naoh 90/10", and reports whether the item is one.
func (it *item) asRatio() bool {
	if it.kind == phrase.KindRatio {
		return true
	}
	m := slashed.FindStringSubmatch(it.span.Text)
	if it.kind != phrase.KindNumber || m == nil {
		return false
	}
	left, _ := new(big.Rat).SetString(m[1])
	right, _ := new(big.Rat).SetString(m[2])
	if right.Sign() == 0 || new(big.Rat).Add(left, right).Cmp(big.NewRat(100, 1)) != 0 {
		return false
	}
	it.kind, it.number, it.span.Value = phrase.KindRatio, new(big.Rat).Quo(left, right), phrase.Ratio{Left: left, Right: right}
	return true
}
