package phrase

import (
	"math/big"
	"slices"
	"strings"
	"time"
)

// fillers are words that carry nothing for an ask.
var fillers = wordSet(`a an the of for to with and or in on at by from into is are was were be it its this that these those
	i we you he she they my our your us me please pls plz thanks thank ta cheers sorry im ok okay hi hey hello bot yardbell can could
	would will shall should do does did so then now just about as if there here some any also plus
	have has got get want need like d'you i'd we'd i'm we're what's how's when's who's let let's lets give show tell up out
	love dear x xx ty thx kindly it's`)

// notNames are plain words that are never a slip for a name.
var notNames = wordSet(`help here hear have home more make take tell till time today need
	after eggs half cake dress post cook book meal deal heat seat peel peal pair mine line corner`)

func wordSet(s string) map[string]bool {
	m := map[string]bool{}
	for w := range strings.FieldsSeq(s) {
		m[w] = true
	}
	return m
}

// IsFiller reports a word that carries nothing by itself.
func IsFiller(w string) bool { return fillers[w] }

// Query says what to look for in a line.
type Query struct {
	Kinds []Kind
	Lists []*List
	Used  []bool // tokens that are taken already
	Fill  []string
}

// Reading is a line with the spans that explain most of it.
type Reading struct {
	Text    string
	Tokens  []Token
	Spans   []Span  // in order, not overlapping
	Unknown []Token // words that nothing explains
	Used    []bool  // tokens taken before the reading
	Named   []bool  // tokens that named the ask, taken or not
}

// Line is a line to be read for many queries: what one of them had looked for at a
// place the others are given.
type Line struct{ line line }

// NewLine prepares a line for reading.
func NewLine(text string, toks []Token, ctx Context) *Line {
	says := make([]bool, len(toks))
	for i, t := range toks {
		says[i] = t.Kind == Word && !fillers[t.Low]
	}
	return &Line{line{text: text, toks: toks, ctx: ctx, says: says, terms: map[*List]sought{}}}
}

// Read finds the spans asked for and keeps those that together explain most. A list
// must not change between two readings of a line.
func (l *Line) Read(q Query) Reading {
	used := q.Used
	if used == nil {
		used = make([]bool, len(l.line.toks))
	}
	r := Reading{Text: l.line.text, Tokens: l.line.toks, Used: used}
	r.Spans, r.Unknown = l.line.cover(q, used)
	return r
}

// Read reads a line for one query, see Line.Read.
func Read(text string, toks []Token, ctx Context, q Query) Reading {
	return NewLine(text, toks, ctx).Read(q)
}

const (
	worthToken   = 10
	costUnknown  = 8
	costSlip     = 3
	costSpan     = 2 // one long span beats several short ones
	costNumber   = 4 // a bare number is the poorest reading of figures
	bonusTerm    = 2
	bonusQuality = 1
)

// cover is a dynamic programme from the end of the line: best[i] is the most
// that tokens i.. can be worth.
func (l *line) cover(q Query, used []bool) ([]Span, []Token) {
	n := len(l.toks)
	best := make([]int, n+1)
	pick := make([]*Span, n+1)
	for i := n - 1; i >= 0; i-- {
		best[i] = best[i+1]
		if used[i] {
			continue
		}
		if l.says[i] && !slices.Contains(q.Fill, l.low(i)) {
			best[i] -= costUnknown
		}
		for _, s := range l.spansAt(i, q) {
			if slices.Contains(used[s.First:s.Past], true) {
				continue
			}
			if v := s.worth() + best[s.Past]; v > best[i] {
				best[i], pick[i] = v, s
			}
		}
	}
	var spans []Span
	unknown := make([]Token, 0, n)
	for i := 0; i < n; {
		if s := pick[i]; s != nil {
			spans = append(spans, *s)
			i = s.Past
			continue
		}
		if t := l.toks[i]; !used[i] && (t.Kind == Num || l.says[i] && !slices.Contains(q.Fill, t.Low)) {
			unknown = append(unknown, t)
		}
		i++
	}
	return spans, unknown
}

func (s *Span) worth() int {
	w := worthToken*(s.Past-s.First) - costSpan
	switch s.Kind {
	case KindNumber:
		w -= costNumber
	case KindTerm:
		w += bonusTerm
	case KindQuantity, KindRule, KindDate:
		w += bonusQuality
	case KindBad: // says more than the pieces that it is made of
		w += 2 * bonusQuality
	}
	if s.Near {
		w -= costSlip
	}
	return w
}

// sought is what one kind or list was found to mean at each token, so that it is looked
// for once.
type sought []struct {
	looked bool
	span   *Span // nil for nothing
}

// spansAt returns every reading that begins at token i.
func (l *line) spansAt(i int, q Query) []*Span {
	if t := l.toks[i]; t.Kind == Break {
		return nil
	}
	var out []*Span
	for _, k := range q.Kinds {
		if s := l.kindSpan(k, i); s != nil {
			out = append(out, s)
		}
	}
	for _, list := range q.Lists {
		if s := l.termSpan(list, i); s != nil {
			out = append(out, s)
		}
	}
	return out
}

func (l *line) kindSpan(k Kind, i int) *Span {
	if l.kinds[k] == nil {
		l.kinds[k] = make(sought, len(l.toks))
	}
	at := &l.kinds[k][i]
	if !at.looked {
		at.looked = true
		if v, next, ok := l.readKind(k, i); ok && next > i {
			at.span = l.span(k, i, next, v, false)
		}
	}
	return at.span
}

func (l *line) termSpan(list *List, i int) *Span {
	if l.terms[list] == nil {
		l.terms[list] = make(sought, len(l.toks))
	}
	at := &l.terms[list][i]
	if !at.looked {
		at.looked = true
		if t, next, ok := l.term(list, i); ok {
			at.span = l.span(KindTerm, i, next, t, t.Match == Slip)
		}
	}
	return at.span
}

func (l *line) span(k Kind, i, next int, v any, near bool) *Span {
	next = min(next, len(l.toks))
	start, end := l.toks[i].Start, l.toks[next-1].End
	return &Span{Kind: k, First: i, Past: next, Start: start, End: end, Text: l.text[start:end], Value: v, Near: near}
}

func (l *line) readKind(k Kind, i int) (any, int, bool) {
	switch k {
	case KindNumber:
		return some[*big.Rat](l.number(i))
	case KindQuantity:
		return some[Quantity](l.quantity(i))
	case KindShare:
		return some[*big.Rat](l.share(i))
	case KindRatio:
		return some[Ratio](l.ratio(i))
	case KindDate:
		return some[Date](l.date(i))
	case KindClock:
		return some[Clock](l.clock(i))
	case KindPart:
		return some[Part](l.part(i))
	case KindDuration:
		v, next, ok := l.duration(i)
		return v, next, ok
	case KindAfter:
		v, next, ok := l.after(i)
		return v, next, ok
	case KindRule:
		return some[Rule](l.rule(i))
	case KindTimes:
		v, next, ok := l.times(i)
		return v, next, ok
	case KindUntil:
		return some[Date](l.until(i))
	case KindThing:
		return some[Thing](l.thing(i))
	case KindDays:
		return some[DateSpan](l.dateSpan(i))
	case KindClocks:
		return some[[]Clock](l.clocks(i))
	case KindExcept:
		return some[[]time.Weekday](l.except(i))
	case KindToClock:
		return some[Clock](l.toClock(i))
	case KindAgain:
		return some[Again](l.again(i))
	case KindBad:
		return some[string](l.impossible(i))
	}
	return nil, i, false
}

func some[T any](v T, next int, ok bool) (any, int, bool) {
	if !ok {
		return nil, next, false
	}
	return v, next, true
}

// things are the nouns that carry a number.
var things = wordSet("batch bell ring recipe number no sowing")

// thing reads "batch 3", "batch three", "no. 3", "#3".
func (l *line) thing(i int) (Thing, int, bool) {
	noun := strings.TrimSuffix(l.low(i), "es")
	next := i + 1
	if l.low(i) == "#" {
		noun = ""
	} else if noun = strings.TrimSuffix(noun, "s"); noun == "batch" || things[noun] || things[l.low(i)] {
		if l.low(next) == "." || l.low(next) == "#" {
			next++
		}
		if w := l.low(next); w == "number" || w == "no" {
			next++
		}
	} else {
		return Thing{}, i, false
	}
	if noun == "number" || noun == "no" {
		noun = ""
	}
	n, after, ok := l.wholeNumber(next)
	if !ok || n < 1 || l.isNum(next) && !isDigits(l.low(next)) {
		return Thing{}, i, false
	}
	if _, _, unit := l.unitAt(after); after < len(l.toks) && unit || l.low(after) == "%" || l.low(after) == ":" {
		return Thing{}, i, false
	}
	return Thing{noun, n}, after, true
}

// Of returns the spans of one kind in order.
func (r Reading) Of(k Kind) []Span {
	var out []Span
	for _, s := range r.Spans {
		if s.Kind == k {
			out = append(out, s)
		}
	}
	return out
}

// Terms returns the spans that came from one list.
func (r Reading) Terms(list string) []Span {
	var out []Span
	for _, s := range r.Spans {
		if t, ok := s.Value.(Term); ok && t.List == list {
			out = append(out, s)
		}
	}
	return out
}

// Rest returns the text that neither the used tokens nor the spans that taken
// accepts cover, as typed, with the words that only join things cut off its ends.
func (r Reading) Rest(taken func(Span) bool) string {
	gone := slices.Clone(r.Used)
	for _, s := range r.Spans {
		if taken(s) {
			for i := s.First; i < s.Past; i++ {
				gone[i] = true
			}
		}
	}
	var runs []string
	for i := 0; i < len(gone); {
		if gone[i] {
			i++
			continue
		}
		j := i
		for j < len(gone) && !gone[j] {
			j++
		}
		if run := r.trimmed(i, j); run != "" {
			runs = append(runs, run)
		}
		i = j
	}
	return strings.Join(runs, " ")
}

var edges = wordSet("to about that at on in by for and of please thanks pls with the a , . : - ! ? ( ) \"")

// trimmed cuts joining words off both ends of a run of tokens; an article stays
// at the front.
func (r Reading) trimmed(i, j int) string {
	for i < j && edges[r.Tokens[i].Low] && r.Tokens[i].Low != "the" && r.Tokens[i].Low != "a" {
		i++
	}
	for j > i && edges[r.Tokens[j-1].Low] {
		j--
	}
	if i == j {
		return ""
	}
	return strings.TrimSpace(r.Text[r.Tokens[i].Start:r.Tokens[j-1].End])
}
