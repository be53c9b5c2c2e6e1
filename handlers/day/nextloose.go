package day

import (
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

// What a line about next time hangs on that no desk has under its name: the barley soup
// whose recipe nobody kept. It is kept by its name and shown when that name comes round.

// Ways to name it, in lower case: "more salt in the barley soup", "the bread needs 10 more
// minutes", "butcher day: more buckets", "we do butcher day start at 6", "plant fewer
// dahlias".
var (
	inThing    = phrase.NewPattern(`\b(?:in|for|with|on|of) (?:the|our) ([a-z' -]{3,40})$`)
	thingNeeds = phrase.NewPattern(`^(?:that )?(?:the|our) ([a-z' -]{3,40}?) (?:needs?|wants?|takes?|should|must|has to|have to|could do with|can have|can do with)\b`)
	thingSaid  = phrase.NewPattern(`^(?:the |our )?([a-z' -]{3,40}?)\s*:\s*\S`)
	weDo       = phrase.NewPattern(`^(?:that )?(?:we|i) (?:do|make|bake|cook|have|hold|run|brew|bottle|go to|are at|get|buy|order) (?:the |a |an |our )?(.+)$`)
	grown      = phrase.NewPattern(`^(?:plant|sow|grow|make|bake|cook|brew|bottle|pickle|order|buy) (?:a )?(?:lot |bit |few |little )?(?:fewer|less|more|no|twice as many|half as many|half the|double the) ([a-z' -]{3,40})$`)
)

// doing are words with which what is to be done begins, behind the name of a day.
var doing = append([]string{"start", "begin", "have", "bring", "take", "use", "make", "add", "put", "get", "buy", "don't", "do", "ask", "order", "remember", "leave", "set", "keep", "not", "let's", "we", "it", "i", "give", "cook", "hire", "borrow", "book"}, wishes...)

// notThings are names of nothing that comes round.
var notThings = strings.Fields("kids children morning evening afternoon house end way back front meantime future world day time")

// plainText is what a line says, in lower case.
func plainText(text string) string {
	return strings.TrimSpace(strings.TrimRight(strings.ToLower(strings.ReplaceAll(text, "’", "'")), " .!"))
}

// dayMeant is what "we do butcher day start at 6" is about.
func dayMeant(text string) string {
	m := weDo.FindStringSubmatch(plainText(text))
	if m == nil {
		return ""
	}
	return beforeDoing(m[1])
}

// wish is what is to be otherwise, without the name that stood before it.
func wish(text, name string) string {
	if m := thingSaid.FindStringSubmatch(plainText(text)); m != nil {
		_, text, _ = strings.Cut(text, ":")
	}
	if name != "" && dayMeant(text) == name {
		if i := strings.Index(strings.ToLower(text), name); i >= 0 {
			text = text[i+len(name):]
		}
	}
	text = strings.TrimLeft(text, " ,:")
	if rest, is := strings.CutPrefix(text, "that "); is {
		return rest
	}
	return text
}

// looseThing is the name of what a line about next time is about, empty for none.
func looseThing(req *desk.Request, text string) string {
	low := plainText(text)
	name := dayMeant(text)
	for _, p := range []*phrase.Pattern{thingSaid, thingNeeds, grown, inThing} {
		if m := p.FindStringSubmatch(low); name == "" && m != nil {
			name = strings.TrimSpace(m[1])
		}
	}
	words := strings.Fields(name)
	_, somebody := req.Person(name)
	if len(words) == 0 || len(words) > 4 || somebody || len(words) == 1 && slices.Contains(notThings, name) || slices.ContainsFunc(words, phrase.IsFiller) && len(words) < 3 {
		return ""
	}
	return name
}

// beforeDoing is the name at the beginning of "butcher day start at 6 and have more
// buckets"; empty when nothing is said of it.
func beforeDoing(text string) string {
	text, _, _ = strings.Cut(text, ",")
	words := strings.Fields(text)
	i := slices.IndexFunc(words, func(w string) bool { return slices.Contains(doing, w) })
	if i < 1 {
		return ""
	}
	return strings.Join(words[:i], " ")
}

// wishedLoosely reports a line that says how a thing is to be otherwise, and speaks to
// nobody.
func wishedLoosely(req *desk.Request, text string) bool {
	if noted(req) {
		return true
	}
	low := strings.ToLower(text)
	return req.Mentions(wishes...) || req.Mentions("start", "begin", "needs", "need", "wants") || thingSaid.MatchString(low)
}

// noted reports a line that asks in so many words for a thing to be remembered.
func noted(req *desk.Request) bool {
	return req.Mentions("remember", "note") || strings.HasPrefix(req.Form, "^for")
}

// notOf reports a recipe that a line does not mean though it has a word of its name: "in
// the barley soup" where the bean soup is kept.
func notOf(req *desk.Request, at int, name string) bool {
	toks := req.Reading.Tokens
	own := phrase.Words(name)
	for i := at - 1; i >= 0 && toks[i].Kind == phrase.Word; i-- {
		switch w := toks[i].Low; {
		case slices.Contains([]string{"the", "our", "a", "in", "of", "with", "for"}, w):
			return i < at-1
		case slices.Contains(own, w), slices.Contains(own, strings.TrimSuffix(w, "s")), slices.Contains(wishes, w), i < at-3:
			return false
		}
	}
	return false
}

// dishOf reports a crop that is the first word of a dish: "in the bean soup".
func dishOf(req *desk.Request, s phrase.Span) bool {
	toks := req.Reading.Tokens
	if s.Past >= len(toks) || !behindIn(req, s.First) || strings.HasSuffix(strings.ToLower(s.Text), "s") {
		return false
	}
	next := toks[s.Past]
	return next.Kind == phrase.Word && !phrase.IsFiller(next.Low) && !slices.Contains(wishes, next.Low)
}
