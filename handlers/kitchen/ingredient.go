package kitchen

import (
	"math/big"
	"slices"
	"strings"

	"yardbell/calc/measure"
	"yardbell/handlers/phrase"
)

// ingredient is a line of a recipe, understood as far as it can be. Amount is nil for
// a line without one.
type ingredient struct {
	text     string
	heading  bool
	amount   *big.Rat
	top      *big.Rat         // the upper end of a range
	unit     *measure.Unit    // nil for a count
	each     string           // what is counted: "clove", "tin", "pinch"; empty for the thing itself
	size     *phrase.Quantity // of a tin or packet
	what     string           // the thing, without amount and preparation
	note     string           // preparation, alternatives, what part of it
	optional bool             // may be left out, or is to taste
}

// understood reports a line whose amount can be scaled.
func (in ingredient) understood() bool { return in.amount != nil }

// inexact reports an amount that nobody measures: a pinch, a handful.
func (in ingredient) inexact() bool { return slices.Contains(vaguePieces, in.each) }

// vaguePieces are amounts that nobody measures.
var vaguePieces = []string{"pinch", "dash", "knob", "handful", "splash", "drizzle", "dusting", "grating", "squeeze", "glug", "dollop", "twist", "grind", "drop", "scraping"}

// packed are the pieces that have a size of their own.
var packed = []string{"tin", "can", "packet", "jar", "bag", "carton", "tub", "block", "sachet", "bottle", "box", "pot", "punnet", "envelope"}

// pieces are the words for what is counted, with the plural's singular.
var pieces = func() map[string]string {
	m := map[string]string{}
	for _, w := range append(strings.Fields(`clove bunch sprig stick head slice rasher sheet stalk ear fillet cube rib bulb wedge strip piece chunk tube pat scoop stem cob leg breast thigh joint loaf ball bar square round
		dessertspoon teacup breakfastcup glass mug envelope inch`), append(vaguePieces, packed...)...) {
		m[w], m[w+"s"] = w, w
	}
	for w, one := range map[string]string{
		"bunches": "bunch", "boxes": "box", "loaves": "loaf", "pinches": "pinch", "dashes": "dash", "splashes": "splash", "glasses": "glass", "inches": "inch", "can": "tin", "cans": "tin",
		"pkt": "packet", "pkts": "packet", "pkg": "packet", "pack": "packet", "packs": "packet", "package": "packet", "packages": "packet", "dessertspoons": "dessertspoon", "dsp": "dessertspoon",
	} {
		m[w] = one
	}
	return m
}()

// states are words before a thing that say how it is prepared, and not what it is.
var states = wordsOf(`large medium small big fat thick thin whole fresh freshly finely roughly coarsely cold hot warm tepid lukewarm boiling chilled chopped diced sliced grated melted softened crushed minced packed sifted peeled
	beaten shredded cubed mashed washed ripe heaped heaping level rounded scant generous good about approx approximately roughly around`)

func wordsOf(s string) map[string]bool {
	m := map[string]bool{}
	for w := range strings.FieldsSeq(s) {
		m[w] = true
	}
	return m
}

var (
	leadBullet = phrase.NewPattern(`^\s*(?:[-*•·–]|\[ ?\]|\d+\.)\s+`)
	leadAbout  = phrase.NewPattern(`(?i)^(about|approx\.?|approximately|roughly|around|circa|ca\.|up to|at least|a scant|a heaped|a heaping|a level|a rounded|a generous|a good|scant|heaped|heaping|level|rounded|generous|good)\s+`)
	leadOption = phrase.NewPattern(`(?i)^optional\s*[:,-]?\s+`)
	midAbout   = phrase.NewPattern(`(?i)^((?:a|an|one|\d[\d/ .½¼¾⅓⅔]*)\s*)(scant|heaped|heaping|level|rounded|generous|good|full)\s+`)
	betweenTwo = phrase.NewPattern(`(?i)^between\s+(\S+)\s+and\s+`)
	partOf     = phrase.NewPattern(`(?i)^((?:the\s+)?(?:finely\s+|freshly\s+)?(?:grated\s+)?(?:zest|juice|rind|peel)(?:\s+and\s+(?:grated\s+)?(?:zest|juice|rind))?)\s+of\s+`)
	plusSign   = phrase.NewPattern(`^(\d+)\s*\+\s*(\d+/\d+)`)
	dashFrac   = phrase.NewPattern(`^(\d+)-(\d+/\d+)`)
	commaFrac  = phrase.NewPattern(`^(\d),(\d{1,2})(\s*(?:l|L|kg|dl)\b)`)
	times      = phrase.NewPattern(`^\s*(?:x|×|\*)\s*`)
	bracketed  = phrase.NewPattern(`^\s*\(([^()]{1,40})\)\s*`)
	slashed    = phrase.NewPattern(`^\s*/\s*`)
	toTaste    = phrase.NewPattern(`(?i)\s*[,(]?\s*\b(to taste|optional|if you have (?:them|it|any)|if you like|if liked)\b\)?`)
	orTaste    = phrase.NewPattern(`(?i)\bor to taste\b`)
	purpose    = phrase.NewPattern(`(?i)\s*[,(]?\s*\b((?:to (?:serve|garnish|glaze|cover|finish|sprinkle|dust|grease|decorate)|for (?:greasing|dusting|frying|brushing|serving|sprinkling|rolling|the tin))(?:\s*\(?optional\)?)?)\)?$`)
	alternates = phrase.NewPattern(`(?i)\s+(or|and/or)\s+`)
	plus       = phrase.NewPattern(`(?i)\s*,?\s*\bplus\b\s+`)
	someOf     = phrase.NewPattern(`(?i)^((?:a few|some|a little|enough|plenty of|a bit of|lots of|a couple of)(?:\s+(?:sprigs?|leaves|slices|drops))?)\s+(?:of\s+)?`)
	sizeOf2    = phrase.NewPattern(`(?i)^(?:y[e']?|the)?\s*size of (?:an?|ye)\s+\w+\s+of\s+|\s+(?:the|ye)\s+size of (?:an?|ye)\s+\w+$`)
	sized      = phrase.NewPattern(`(?i)^([a-z]+-sized)\s+`)
	trailing   = phrase.NewPattern(`^(\p{L}[\p{L} '-]*?)\s*(?:,|:|-|–|\bx\b|\s)\s*([\d½¼¾⅓⅔⅛].*)$`)
	aFigure    = phrase.NewPattern(`(?i)^a \d`)
	headLine   = phrase.NewPattern(`(?i)^(?:for|to make)\s+the\s+[\p{L} '-]{2,40}$|^ingredients$`)
)

// spellings are ways to write a unit that the reader of amounts does not know.
var spellings = []struct {
	old *phrase.Pattern
	new string
}{
	{phrase.NewPattern(`^([\d/.\s½¼¾⅓⅔⅛-]+)T\s`), "${1}tbsp "},
	{phrase.NewPattern(`^([\d/.\s½¼¾⅓⅔⅛-]+)t\s`), "${1}tsp "},
	{phrase.NewPattern(`(?i)\btablespoonfuls?\b`), "tbsp"},
	{phrase.NewPattern(`(?i)\bteaspoonfuls?\b`), "tsp"},
	{phrase.NewPattern(`(?i)\bteasp\.`), "tsp"},
	{phrase.NewPattern(`(?i)\btablesp\.`), "tbsp"},
	{phrase.NewPattern(`(?i)\b(tbsp|tsp|oz|lb|lbs)\.`), "$1"},
	{phrase.NewPattern(`(?i)(\d)-(oz|ounce|g|gram|ml)\b`), "$1 $2"},
}

// understand reads an ingredient line as people write it.
func understand(text string, ctx phrase.Context) ingredient {
	in := ingredient{text: text, what: strings.TrimSpace(text)}
	rest := strings.TrimSpace(leadBullet.ReplaceAllString(strings.TrimSpace(text), ""))
	if isHeading(rest) {
		in.heading, in.what = true, strings.TrimSuffix(rest, ":")
		return in
	}
	rest = in.asides(spelled(rest))
	after, ok := in.readAmount(rest, ctx)
	if !ok { // the thing first: "plain flour, 500 g"
		if m := trailing.FindStringSubmatch(rest); m != nil {
			probe := in
			if left, ok := probe.readAmount(m[2], ctx); ok && strings.TrimSpace(left) == "" {
				in, after = probe, m[1]
			}
		}
	}
	in.readThing(after)
	if in.what == "" || in.amount != nil && in.amount.Sign() <= 0 {
		return ingredient{text: text, what: strings.TrimSpace(text)}
	}
	return in
}

func spelled(rest string) string {
	for _, s := range spellings {
		rest = s.old.ReplaceAllString(rest, s.new)
	}
	rest = plusSign.ReplaceAllString(rest, "$1 $2")
	rest = dashFrac.ReplaceAllString(rest, "$1 $2")
	rest = commaFrac.ReplaceAllString(rest, "$1.$2$3")
	return betweenTwo.ReplaceAllString(rest, "$1 to ")
}

// asides takes out of a line what is neither amount nor thing.
func (in *ingredient) asides(rest string) string {
	if leadOption.MatchString(rest) {
		in.optional = true
		rest = leadOption.ReplaceAllString(rest, "")
	}
	if m := toTaste.FindStringSubmatch(rest); m != nil && !orTaste.MatchString(rest) {
		in.optional = true
		if !strings.EqualFold(m[1], "optional") {
			in.note = strings.ToLower(m[1])
		}
		rest = strings.TrimSpace(strings.Replace(rest, m[0], "", 1))
	}
	if m := purpose.FindStringSubmatch(rest); m != nil && len(m[0]) < len(rest) {
		in.note = joined(in.note, strings.ToLower(m[1]))
		rest = strings.TrimSpace(strings.TrimSuffix(rest, m[0]))
	}
	if m := partOf.FindString(rest); m != "" {
		in.note = joined(strings.ToLower(strings.TrimSuffix(strings.TrimSpace(m), " of")), in.note)
		rest = rest[len(m):]
	}
	if m := someOf.FindStringSubmatch(rest); m != nil {
		in.note = joined(strings.ToLower(m[1]), in.note)
		rest = rest[len(m[0]):]
	}
	if m := sizeOf2.FindString(rest); m != "" {
		in.note = joined(in.note, strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(m), " of")))
		rest = strings.TrimSpace(strings.Replace(rest, m, "", 1))
	}
	for {
		m := leadAbout.FindStringSubmatch(rest)
		if m == nil {
			break
		}
		about, one := strings.CutPrefix(strings.ToLower(m[1]), "a ")
		in.note = joined(in.note, about)
		rest = rest[len(m[0]):]
		if one && !strings.ContainsAny(rest[:1], "0123456789½¼¾⅓⅔⅛") {
			rest = "a " + rest
		}
	}
	if m := aFigure.FindString(rest); m != "" { // a 400 g tin
		rest = rest[2:]
	}
	if m := midAbout.FindStringSubmatch(rest); m != nil {
		in.note = joined(in.note, strings.ToLower(m[2]))
		rest = m[1] + rest[len(m[0]):]
	}
	return rest
}

func joined(a, b string) string {
	switch {
	case a == "":
		return b
	case b == "":
		return a
	}
	return a + ", " + b
}

// isHeading reports "For the filling:" and its like.
func isHeading(line string) bool {
	if strings.ContainsAny(line, "0123456789½¼¾⅓⅔⅛") {
		return false
	}
	return strings.HasSuffix(line, ":") && len(phrase.Words(line)) <= 6 || headLine.MatchString(line)
}

// readAmount reads the amount at the front of a line and returns what is left; ok is
// false when there is none.
func (in *ingredient) readAmount(rest string, ctx phrase.Context) (left string, ok bool) {
	if left, ok := in.readPieces(rest, big.NewRat(1, 1), ctx); ok { // "pinch of saffron", "small bunch of"
		return left, true
	}
	value, top, after, isNumber := leadingNumber(rest, ctx)
	if q, left, ok := leadingQuantity(rest, ctx); ok {
		return in.measured(q, left, ctx)
	}
	if !isNumber {
		return rest, false
	}
	in.amount, in.top = value, top
	if m := times.FindString(after); m != "" && len(after) > len(m) {
		after = after[len(m):]
	}
	if m := bracketed.FindStringSubmatch(after); m != nil { // 1 (15 oz) can
		if q, tail, ok := leadingQuantity(m[1], ctx); ok && strings.TrimSpace(tail) == "" {
			behind := after[len(m[0]):]
			if isPacked(behind) {
				in.size = &q
				after = behind
			}
		}
	}
	if q, tail, ok := leadingQuantity(after, ctx); ok { // 2 x 400 g tins; 1 2.4 kg chicken
		if isPacked(tail) {
			in.size = &q
		} else {
			in.note = joined(in.note, strings.TrimSpace(strings.TrimSuffix(after, tail))+" each")
		}
		after = tail
	}
	if left, ok := in.readPieces(after, value, ctx); ok {
		in.top = top
		return left, true
	}
	return strings.TrimPrefix(after, "of "), true
}

// measured takes a quantity at the front: of the thing, or the size of one tin.
func (in *ingredient) measured(q phrase.Quantity, left string, ctx phrase.Context) (string, bool) {
	if isPacked(left) && !strings.HasPrefix(left, "of ") {
		in.size = &q
		if after, ok := in.readPieces(left, big.NewRat(1, 1), ctx); ok {
			return after, true
		}
	}
	in.amount, in.top, in.unit = q.Amount, q.Top, q.Unit
	if m := slashed.FindString(left); m != "" { // 225 g/8 oz
		if other, tail, ok := leadingQuantity(left[len(m):], ctx); ok {
			in.note = joined(in.note, decimal(other.Amount, 2)+" "+other.Unit.Name)
			left = tail
		}
	}
	return strings.TrimPrefix(left, "of "), true
}

// readPieces reads what is counted, with an adjective before it: "large bunch of".
func (in *ingredient) readPieces(rest string, n *big.Rat, ctx phrase.Context) (string, bool) {
	rest = strings.TrimSpace(rest)
	words := strings.Fields(rest)
	at := 0
	for at < len(words) && at < 3 && (slices.Contains([]string{"a", "an", "good", "large", "small", "medium", "big", "generous", "fat", "thick", "thin", "heaped", "level"}, strings.ToLower(words[at])) || sized.MatchString(words[at]+" ")) {
		at++
	}
	if at+1 >= len(words) {
		return rest, false
	}
	piece, is := pieces[strings.ToLower(strings.Trim(words[at], ",."))]
	if !is {
		return rest, false
	}
	for _, w := range words[:at] {
		if low := strings.ToLower(w); low != "a" && low != "an" {
			in.note = joined(in.note, low)
		}
	}
	left := rest
	for range at + 1 {
		left = strings.TrimSpace(left[strings.IndexByte(left+" ", ' '):])
	}
	in.amount, in.each = n, piece
	if m := bracketed.FindStringSubmatch(left); m != nil && in.size == nil && slices.Contains(packed, piece) {
		if q, tail, ok := leadingQuantity(m[1], ctx); ok && strings.TrimSpace(tail) == "" {
			in.size = &q
			left = left[len(m[0]):]
		}
	}
	left = strings.TrimPrefix(left, "of ")
	if piece == "inch" {
		left = strings.TrimPrefix(strings.TrimPrefix(left, "piece "), "of ")
	}
	return left, left != ""
}

// isPacked reports a text that begins with a tin, a packet or the like.
func isPacked(rest string) bool {
	words := phrase.Words(rest)
	return len(words) > 0 && slices.Contains(packed, pieces[words[0]])
}

// readThing parts the thing from its preparation.
func (in *ingredient) readThing(rest string) {
	rest = strings.Trim(strings.TrimSpace(rest), ".,;: -")
	for {
		i := strings.IndexByte(rest, '(')
		j := strings.IndexByte(rest, ')')
		if i < 0 || j < i {
			break
		}
		in.note = joined(in.note, strings.TrimSpace(rest[i+1:j]))
		rest = strings.TrimSpace(strings.TrimSpace(rest[:i]) + " " + strings.TrimSpace(rest[j+1:]))
	}
	if head, prep, ok := strings.Cut(rest, ","); ok {
		in.note = joined(in.note, strings.TrimSpace(prep))
		rest = head
	}
	for _, cut := range []*phrase.Pattern{plus, alternates} {
		if loc := cut.FindStringIndex(rest); loc != nil && loc[0] > 0 {
			in.note = joined(in.note, strings.TrimSpace(strings.TrimLeft(rest[loc[0]:], " ,")))
			rest = rest[:loc[0]]
		}
	}
	words := strings.Fields(rest)
	for len(words) > 1 && states[strings.ToLower(words[0])] {
		in.note = joined(in.note, strings.ToLower(words[0]))
		words = words[1:]
	}
	if n := len(words); n > 1 && in.each == "" && in.unit == nil && in.amount != nil { // 3 garlic cloves
		if p := pieces[strings.ToLower(words[n-1])]; p == "clove" || p == "stick" || p == "stalk" {
			in.each = p
			words = words[:n-1]
		}
	}
	in.what = strings.Join(words, " ")
}

// leadingNumber reads a number, or a range of them, at the front.
func leadingNumber(text string, ctx phrase.Context) (v, top *big.Rat, rest string, ok bool) {
	s, ok := leading(text, ctx, phrase.KindNumber)
	if !ok {
		return nil, nil, text, false
	}
	v = s.Value.(*big.Rat)
	rest = strings.TrimSpace(text[s.End:])
	for _, joint := range []string{"-", "–", "—", "to ", "or "} {
		after, is := strings.CutPrefix(rest, joint)
		if !is {
			continue
		}
		after = strings.TrimSpace(after)
		if t, ok := leading(after, ctx, phrase.KindNumber); ok {
			return v, t.Value.(*big.Rat), strings.TrimSpace(after[t.End:]), true
		}
	}
	for _, of := range []string{"of a ", "of an ", "a ", "an "} {
		if after, is := strings.CutPrefix(rest, of); is && v.Cmp(big.NewRat(1, 1)) < 0 {
			return v, nil, after, true
		}
	}
	return v, nil, rest, true
}

func leadingQuantity(text string, ctx phrase.Context) (phrase.Quantity, string, bool) {
	text = strings.TrimSpace(strings.Replace(text, "–", "-", 1))
	s, ok := leading(text, ctx, phrase.KindQuantity)
	if !ok {
		return phrase.Quantity{}, text, false
	}
	q := s.Value.(phrase.Quantity)
	return q, strings.TrimSpace(text[s.End:]), q.Unit.Dim == measure.Mass || q.Unit.Dim == measure.Volume
}

// leading is the span of a kind with which a text begins.
func leading(text string, ctx phrase.Context, kind phrase.Kind) (phrase.Span, bool) {
	if text == "" {
		return phrase.Span{}, false
	}
	r := phrase.Read(text, phrase.Tokens(text), ctx, phrase.Query{Kinds: []phrase.Kind{kind}})
	if len(r.Spans) == 0 || r.Spans[0].First != 0 {
		return phrase.Span{}, false
	}
	return r.Spans[0], true
}
