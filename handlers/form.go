package handlers

import (
	"math/bits"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

// form is a compiled form of an ask, see desk.Ask.Forms.
type form struct {
	ask   *desk.Ask
	text  string
	parts [][]string // alternatives; nil is a gap
	words parts      // those that are no gaps
	start bool
	end   bool
}

// parts is a set of the parts of a form. One beyond the sixty-fourth is in none.
type parts uint64

func compile(ask *desk.Ask, text string) form {
	f := form{ask: ask, text: text}
	rest, start := strings.CutPrefix(text, "^")
	rest, end := strings.CutSuffix(rest, "$")
	f.start, f.end = start, end
	f.parts = make([][]string, 0, strings.Count(rest, " ")+1)
	for w := range strings.FieldsSeq(rest) {
		if w == "*" {
			f.parts = append(f.parts, nil)
			continue
		}
		f.words |= 1 << len(f.parts)
		f.parts = append(f.parts, strings.Split(w, "|"))
	}
	return f
}

// first is the first part that is no gap.
func (f form) first() int { return bits.TrailingZeros64(uint64(f.words)) }

// size is how many words the form has.
func (f form) size() int {
	n := 0
	for _, p := range f.parts {
		if p != nil {
			n++
		}
	}
	return n
}

// slips says which slips are forgiven in the first word of a form.
type slips uint8

const (
	asWritten slips = iota
	swaps           // two neighbouring letters the wrong way round
	anySlip         // one letter added, left out, changed or swapped
)

// match finds the form in the tokens and returns which ones it takes.
func (f form) match(toks []phrase.Token, slip slips) ([]bool, bool) {
	if len(toks) == 0 {
		return nil, false
	}
	first := firstContent(toks)
	for i := range toks {
		if f.start && i > first {
			return nil, false
		}
		if f.parts[0] != nil && !wordIn(toks[i].Low, f.parts[0], slip) {
			continue
		}
		used := make([]bool, len(toks))
		if f.matchFrom(toks, i, 0, slip, used) && (!f.end || onlyFiller(toks, used)) {
			return used, true
		}
	}
	return nil, false
}

func (f form) matchFrom(toks []phrase.Token, i, part int, slip slips, used []bool) bool {
	if part == len(f.parts) {
		return true
	}
	if f.parts[part] == nil {
		for j := i; j <= len(toks); j++ {
			if f.matchFrom(toks, j, part+1, slip, used) {
				return true
			}
		}
		return false
	}
	if i >= len(toks) || toks[i].Kind == phrase.Break || !wordIn(toks[i].Low, f.parts[part], slip) {
		return false
	}
	slip = asWritten
	used[i] = true
	if f.matchFrom(toks, i+1, part+1, slip, used) {
		return true
	}
	used[i] = false
	return false
}

func wordIn(w string, alternatives []string, slip slips) bool {
	for _, a := range alternatives {
		switch {
		case w == a:
			return true
		case slip == asWritten || !phrase.OneSlip(w, a):
		case sameLetters(w, a):
			return true
		case slip == anySlip && len(w) >= 4 && len(a) >= 4:
			return true
		}
	}
	return false
}

// sameLetters tells a swap from the other slips: no letter was added or lost.
func sameLetters(w, a string) bool {
	x, y := []byte(w), []byte(a)
	slices.Sort(x)
	slices.Sort(y)
	return slices.Equal(x, y)
}

// firstContent is the first token that is not a joining word or a mark.
func firstContent(toks []phrase.Token) int {
	for i, t := range toks {
		if t.Kind == phrase.Num || t.Kind == phrase.Word && !phrase.IsFiller(t.Low) {
			return i
		}
	}
	return 0
}

// onlyFiller reports that nothing but joining words follows the last used token.
func onlyFiller(toks []phrase.Token, used []bool) bool {
	last := -1
	for i := range used {
		if used[i] {
			last = i
		}
	}
	for _, t := range toks[last+1:] {
		if t.Kind == phrase.Num || t.Kind == phrase.Word && !phrase.IsFiller(t.Low) {
			return false
		}
	}
	return true
}
