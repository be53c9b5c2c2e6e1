package barn

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
)

// dayed are the kinds of span that say when something was.
var dayed = []phrase.Kind{phrase.KindDate, phrase.KindPart, phrase.KindAfter, phrase.KindClock, phrase.KindBad}

// dayOf is the household's date now.
func dayOf(req *desk.Request) time.Time { return reminders.Day(req.Wall) }

// longAgo is how far back a date without its year may lie.
const longAgo = 300 * 24 * time.Hour

// happened is the moment that a line tells of, on the household's wall, now when it
// names none. Reply asks for it when it has not come.
func happened(req *desk.Request) (time.Time, desk.Reply) {
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
		return req.Wall, desk.Refuse(bad[0].Value.(string) + " Nothing was written down.")
	}
	when := req.Wall
	if w := req.Reading.Moment(req.Context(), phrase.Past); w.Count > 0 {
		when = w.Wall
	}
	if day, is := weekdaySaid(req); is && len(req.Reading.Of(phrase.KindDate)) == 0 {
		when = day
	}
	for _, s := range req.Reading.Of(phrase.KindDate) { // a date of the coming weeks is no date of last year
		if d := s.Value.(phrase.Date); !d.Next.Equal(d.Last) && reminders.Day(when).Equal(d.Last) && dayOf(req).Sub(d.Last) > longAgo {
			when = d.Next
		}
	}
	if reminders.Day(when).After(dayOf(req)) {
		return when, desk.AskBack(fmt.Sprintf("%s has not come yet. When was it?", sayDate(req, when)))
	}
	return when, desk.Reply{}
}

// weekdaySaid reads "saturday's eggs": the last day of that name.
func weekdaySaid(req *desk.Request) (time.Time, bool) {
	for _, t := range req.Reading.Tokens {
		name := strings.TrimSuffix(strings.TrimSuffix(t.Low, "s"), "'")
		for back := 0; back < 7; back++ {
			if day := dayOf(req).AddDate(0, 0, -back); name != t.Low && strings.EqualFold(day.Weekday().String(), name) {
				return day, true
			}
		}
	}
	return time.Time{}, false
}

// at is the instant under which the day book keeps what happened on a day: now for
// today, noon for an earlier one.
func at(req *desk.Request, wall time.Time) time.Time {
	switch {
	case reminders.Day(wall).Equal(dayOf(req)):
		return req.Now
	case wall.Equal(reminders.Day(wall)):
		return req.Instant(wall.Add(12 * time.Hour))
	}
	return req.Instant(wall)
}

// sayDate writes a day for people.
func sayDate(req *desk.Request, day time.Time) string {
	return reminders.SayDay(day, req.Wall, req.House.DayFirst)
}

// onDay says a day in a sentence: today, yesterday, on Fri 5 Mar.
func onDay(req *desk.Request, day time.Time) string {
	switch days(day, dayOf(req)) {
	case 0:
		return "today"
	case 1:
		return "yesterday, " + sayDate(req, day)
	}
	return "on " + sayDate(req, day)
}

// days is how many days lie from one to another.
func days(from, to time.Time) int {
	return int(reminders.Day(to).Sub(reminders.Day(from)).Hours() / 24)
}

// mostCount bounds what is counted.
const mostCount = 100_000

// whole is the whole number of a span.
func whole(s phrase.Span) (int, bool) {
	r, ok := s.Value.(*big.Rat)
	if !ok || s.Kind != phrase.KindNumber || !r.IsInt() || !r.Num().IsInt64() || r.Num().Int64() > mostCount || r.Num().Int64() < -mostCount {
		return 0, false
	}
	return int(r.Num().Int64()), true
}

// ratOf is a number as a float.
func ratOf(v *big.Rat) float64 {
	f, _ := v.Float64()
	return f
}

// word is the token at a place, in small letters; empty beyond the ends.
func word(req *desk.Request, i int) string {
	if i < 0 || i >= len(req.Reading.Tokens) {
		return ""
	}
	return req.Reading.Tokens[i].Low
}

// hasWord reports a word of the line.
func hasWord(req *desk.Request, words ...string) bool { return req.Mentions(words...) }

// counted writes a number with its noun in the right form.
func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// courtesy are words that may stand in any line that tells or asks.
var courtesy = []string{
	"the", "a", "an", "of", "our", "my", "all", "i", "we", "i've", "we've", "and", "just", "now", "already", "hi", "hey", "hello", "thanks", "thank", "thx", "ta", "cheers", "please", "pls", "plz", "x", "xx",
	"ok", "okay", "so", "then", "well", "oh", "mum", "mummy", "dad", "daddy", "ty", "love", "sorry", "btw", "um", "er",
}

// strangers are the words of a line that are neither read nor among those that belong
// to what is told or asked: with any of them a plain line is talk. What every desk
// passes over, such as "there", "need" and "for", is a stranger here.
func strangers(req *desk.Request, belong ...string) []string {
	toks := req.Reading.Tokens
	var out []string
	for i, t := range toks {
		read := slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool { return i >= s.First && i < s.Past })
		thanked := t.Low == "you" && i > 0 && toks[i-1].Low == "thank"
		named := req.Reading.Named != nil && i < len(req.Reading.Named) && req.Reading.Named[i]
		if t.Kind != phrase.Word && t.Kind != phrase.Num || read || named || thanked || slices.Contains(courtesy, t.Low) || slices.Contains(belong, t.Low) {
			continue
		}
		out = append(out, t.Low)
	}
	return out
}

// asksOrDoubts reports a line that does not tell that something happened.
func asksOrDoubts(req *desk.Request) bool {
	first := ""
	for _, t := range req.Reading.Tokens {
		if t.Kind == phrase.Word && !slices.Contains(courtesy, t.Low) {
			first = t.Low
			break
		}
	}
	if slices.Contains([]string{"are", "is", "do", "does", "was", "were", "am", "isn't", "aren't", "shall", "has", "any"}, first) || first == "have" && (hasWord(req, "you", "they", "been", "had") || strings.Contains(strings.ToLower(req.Text), "have we")) {
		return true
	}
	return strings.Contains(req.Text, "?") || hasWord(req, "did", "will", "should", "would", "could", "can", "might", "when", "if", "don't", "dont", "anyone", "who", "why", "how", "what", "didn't", "haven't", "hasn't",
		"never", "wait", "until", "maybe", "perhaps", "wish", "hope", "think", "remember", "imagine", "almost", "nearly", "going", "gonna", "want", "wants", "wanted", "let's", "lets", "must", "where")
}

// termsOf are the spans of a list with their names.
func termsOf(req *desk.Request, list string) []phrase.Term {
	var out []phrase.Term
	for _, s := range req.Reading.Terms(list) {
		out = append(out, s.Value.(phrase.Term))
	}
	return out
}
