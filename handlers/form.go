package handlers

import (
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

// form is a compiled form of an ask, see desk.Ask.Forms.
type form struct {
	ask   *desk.Ask
	text  string
	parts [][]string // alternatives; nil is a gap
	start bool
	end   bool
}

func compile(ask *desk.Ask, text string) form {
	f := form{ask: ask, text: text}
	rest, start := strings.CutPrefix(text, "^")
	rest, end := strings.CutSuffix(rest, "$")
	f.start, f.end = start, end
	for w := range strings.FieldsSeq(rest) {
		if w == "*" {
			f.parts = append(f.parts, nil)
			continue
		}
		f.parts = append(f.parts, strings.Split(w, "|"))
	}
	return f
}

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

// match finds the form in the tokens and returns which ones it takes. A slip in
// its first word is forgiven only where slip is set.
func (f form) match(toks []phrase.Token, slip bool) ([]bool, bool) {
	if len(toks) == 0 {
		return nil, false
	}
	first := firstContent(toks)
	for i := range toks {
		if f.start && i > first {
			return nil, false
		}
		used := make([]bool, len(toks))
		if f.matchFrom(toks, i, 0, slip, used) && (!f.end || onlyFiller(toks, used)) {
			return used, true
		}
	}
	return nil, false
}

func (f form) matchFrom(toks []phrase.Token, i, part int, slip bool, used []bool) bool {
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
	if i >= len(toks) || toks[i].Kind == phrase.Break || !wordIn(toks[i].Low, f.parts[part], slip && part == 0) {
		return false
	}
	used[i] = true
	if f.matchFrom(toks, i+1, part+1, slip, used) {
		return true
	}
	used[i] = false
	return false
}

func wordIn(w string, alternatives []string, slip bool) bool {
	for _, a := range alternatives {
		if w == a {
			return true
		}
		if slip && len(w) >= 4 && len(a) >= 3 && abs(len(w)-len(a)) <= 1 && phrase.Distance(w, a) == 1 {
			return true
		}
		if slip && len(w) == 3 && len(a) == 3 && swapped(w, a) {
			return true
		}
	}
	return false
}

// swapped reports two neighbouring letters the wrong way round.
func swapped(w, a string) bool { return w != a && phrase.Distance(w, a) == 1 && w[0] == a[0] && w[1] == a[2] && w[2] == a[1] }

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
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
