package garden

import (
	"slices"
	"strings"
	"unicode"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

// courtesy are words that may stand in any line that tells or asks.
var courtesy = []string{
	"the", "a", "an", "of", "our", "my", "all", "some", "i", "we", "i've", "we've", "and", "just", "now", "already", "today", "hi", "hey", "hello", "thanks", "thank", "thx", "ta", "cheers", "please", "pls", "x",
}

// leftOver are the words of a line that are neither read nor among those that belong
// to what is told: with any of them a plain line is talk. What every desk passes over,
// such as "there", "for" and "with", is left over here.
func leftOver(req *desk.Request, belong ...string) []phrase.Token {
	_, first, past := gardenPlace(req)
	return leftBeside(req, first, past, belong)
}

// leftBeside are the words left over beside a place, which is given by its tokens.
func leftBeside(req *desk.Request, first, past int, belong []string) []phrase.Token {
	toks := req.Reading.Tokens
	read := func(i int) bool {
		return i >= first && i < past || slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool { return i >= s.First && i < s.Past })
	}
	var out []phrase.Token
	for i, t := range toks {
		thanked := t.Low == "you" && i > 0 && toks[i-1].Low == "thank"
		if t.Kind == phrase.Break || t.Kind != phrase.Word && t.Kind != phrase.Num || read(i) || thanked || slices.Contains(courtesy, t.Low) || slices.Contains(belong, t.Low) {
			continue
		}
		out = append(out, t)
	}
	return out
}

// gardenPlace is the place that a line names, when it is one of a garden.
func gardenPlace(req *desk.Request) (place string, first, past int) {
	place, first, past = placeSaid(req)
	if past == 0 || !slices.ContainsFunc(req.Reading.Tokens[first:past], func(t phrase.Token) bool { return slices.Contains(containers, t.Low) }) {
		return "", 0, 0
	}
	return place, first, past
}

// kindSaid is the name of a variety that stands right before its crop, written with a
// capital: "30 Amber tomatoes".
func kindSaid(req *desk.Request, crop phrase.Span) (name string, first int) {
	toks := req.Reading.Tokens
	first = crop.First
	for first > 0 && len(toks[first:crop.First]) < 3 {
		t := toks[first-1]
		unknown := slices.ContainsFunc(req.Reading.Unknown, func(u phrase.Token) bool { return u.Start == t.Start })
		if !unknown || t.Kind != phrase.Word || !unicode.IsUpper([]rune(t.Text)[0]) {
			break
		}
		first--
	}
	var words []string
	for _, t := range toks[first:crop.First] {
		words = append(words, t.Text)
	}
	return strings.Join(words, " "), first
}

// surely reports that every crop and place of a line is read as written, or a slip away
// from a long name whose first letter is right: "carots", and not "dress" for cress.
func surely(req *desk.Request) bool {
	return !slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool {
		t, is := s.Value.(phrase.Term)
		if !is || t.Match != phrase.Slip {
			return false
		}
		return slices.ContainsFunc(req.Reading.Terms("places"), func(p phrase.Span) bool { return p.Start == s.Start }) || len(s.Text) < 5
	})
}
