package garden

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
)

// dayOf is the household's date now.
func dayOf(req *desk.Request) time.Time { return reminders.Day(req.Wall) }

// dayAsked is the day that a question is about, today when it names none. The middle
// of a month stands for a month.
func dayAsked(req *desk.Request) time.Time {
	w := req.Reading.Moment(req.Context(), phrase.Future)
	if w.Count > 0 {
		return reminders.Day(w.Wall)
	}
	today := dayOf(req)
	for _, t := range req.Reading.Tokens {
		switch t.Low {
		case "weekend":
			return today.AddDate(0, 0, (int(time.Saturday)-int(today.Weekday())+7)%7)
		case "month", "months":
			continue
		}
		if m, ok := monthNamed(t.Low); ok {
			day := time.Date(today.Year(), m, 15, 0, 0, 0, 0, time.UTC)
			if m < today.Month() {
				day = day.AddDate(1, 0, 0)
			}
			if m == today.Month() {
				return today
			}
			return day
		}
	}
	if i := slices.IndexFunc(req.Reading.Tokens, func(t phrase.Token) bool { return t.Low == "next" }); i >= 0 && i+1 < len(req.Reading.Tokens) && req.Reading.Tokens[i+1].Low == "week" {
		return today.AddDate(0, 0, 7)
	} else if i >= 0 && i+1 < len(req.Reading.Tokens) && req.Reading.Tokens[i+1].Low == "year" {
		return time.Date(today.Year()+1, time.January, 1, 0, 0, 0, 0, time.UTC)
	}
	return today
}

func monthNamed(word string) (time.Month, bool) {
	for m := time.January; m <= time.December; m++ {
		if name := strings.ToLower(m.String()); word == name || len(word) == 3 && m != time.May && word == name[:3] {
			return m, true
		}
	}
	return 0, false
}

// longAgo is how far back a date without its year may lie.
const longAgo = 200 * 24 * time.Hour

// daySaid is the day that a line tells of, today when it names none.
func daySaid(req *desk.Request) time.Time {
	day := dayOf(req)
	if w := req.Reading.Moment(req.Context(), phrase.Past); w.Count > 0 {
		day = reminders.Day(w.Wall)
	}
	for _, s := range req.Reading.Of(phrase.KindDate) { // a date of the coming weeks is no date of last year
		if d := s.Value.(phrase.Date); !d.Next.Equal(d.Last) && day.Equal(d.Last) && dayOf(req).Sub(d.Last) > longAgo {
			day = d.Next
		}
	}
	return day
}

// happened is the day that a line tells of. Reply asks for it when it has not come, or
// when only its month was named.
func happened(req *desk.Request) (time.Time, desk.Reply) {
	day := daySaid(req)
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
		return day, desk.AskBack(bad[0].Value.(string))
	}
	if m, is := monthOnly(req); is {
		return day, desk.AskBack(fmt.Sprintf("On which day in %s?", m))
	}
	if day.After(dayOf(req)) {
		return day, desk.AskBack(fmt.Sprintf("%s has not come yet. When was it?", sayDate(req, day)))
	}
	return day, desk.Reply{}
}

// monthOnly is a month that a line names without a day: "sown kale in March".
func monthOnly(req *desk.Request) (time.Month, bool) {
	if len(req.Reading.Of(phrase.KindDate)) > 0 {
		return 0, false
	}
	for i, t := range req.Reading.Tokens {
		if m, is := monthNamed(t.Low); is && i > 0 && slices.Contains([]string{"in", "during", "last", "early", "late", "mid"}, req.Reading.Tokens[i-1].Low) {
			return m, true
		}
	}
	return 0, false
}

// at is the instant under which the day book keeps what happened on a day: now for
// today, noon for an earlier one.
func at(req *desk.Request, day time.Time) time.Time {
	if day.Equal(dayOf(req)) {
		return req.Now
	}
	return req.Instant(day.Add(12 * time.Hour))
}

// degreesSaid is the temperature that a line names, in degrees Celsius; without a
// unit it is in the household's.
func degreesSaid(req *desk.Request) (float64, bool) {
	for _, s := range req.Reading.Spans {
		v, unit, ok := degrees(req, s)
		if !ok {
			continue
		}
		if negative(req, s) {
			v = new(big.Rat).Neg(v)
		}
		c := measure.Quantity{Amount: v, Unit: unit}.Float()
		return c, c > -90 && c < 60
	}
	return 0, false
}

func degrees(req *desk.Request, s phrase.Span) (*big.Rat, *measure.Unit, bool) {
	unit := measure.Celsius
	if req.House.US {
		unit = measure.Fahrenheit
	}
	switch v := s.Value.(type) {
	case phrase.Quantity:
		if v.Unit.Dim == measure.Temperature {
			return v.Amount, v.Unit, true
		}
		if (v.Unit == measure.Cup || strings.HasSuffix(s.Text, "c")) && strings.HasSuffix(strings.ToLower(s.Text), "c") { // "10c"
			return v.Amount, measure.Celsius, true
		}
	case *big.Rat:
		if s.Kind != phrase.KindNumber {
			return nil, nil, false
		}
		if s.Past < len(req.Reading.Tokens) && req.Reading.Tokens[s.Past].Low == "f" {
			unit = measure.Fahrenheit
		}
		return v, unit, true
	}
	return nil, nil, false
}

// negative reports a minus before a figure, as a sign or in words.
func negative(req *desk.Request, s phrase.Span) bool {
	before := strings.TrimRight(req.Text[:s.Start], " ")
	for _, sign := range []string{"-", "−", "–"} {
		if strings.HasSuffix(before, sign) {
			return true
		}
	}
	return s.First > 0 && (req.Reading.Tokens[s.First-1].Low == "minus" || req.Reading.Tokens[s.First-1].Low == "negative") ||
		s.Past < len(req.Reading.Tokens) && req.Reading.Tokens[s.Past].Low == "below"
}

// countSaid is a whole number that a line gives, 0 when it gives none; dozens count, and
// the number of a bed does not.
func countSaid(req *desk.Request) int {
	_, first, past := placeSaid(req)
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		if n := whole(s); n > 0 && (s.First < first || s.First >= past) {
			return n
		}
	}
	return 0
}

// mostPlants bounds what is counted.
const mostPlants = 100_000

func whole(s phrase.Span) int {
	r, ok := s.Value.(*big.Rat)
	if !ok || !r.IsInt() || r.Sign() <= 0 || !r.Num().IsInt64() || r.Num().Int64() > mostPlants {
		return 0
	}
	return int(r.Num().Int64())
}

// daysSaid is a length of time in days that a line gives, 0 when it gives none.
func daysSaid(req *desk.Request) int {
	for _, s := range req.Reading.Of(phrase.KindDuration) {
		if d, ok := s.Value.(time.Duration); ok && d >= 24*time.Hour {
			return int(d / (24 * time.Hour))
		}
	}
	return 0
}

// hasWord reports a word of the line in any of its forms.
func hasWord(req *desk.Request, words ...string) bool { return req.Mentions(words...) }

// apart reports a word of the line that is no part of a crop's name: "early" asks, and
// the early cabbage does not.
func apart(req *desk.Request, words ...string) bool {
	crops := req.Reading.Terms("crops")
	for i, t := range req.Reading.Tokens {
		named := slices.ContainsFunc(crops, func(s phrase.Span) bool { return i >= s.First && i < s.Past })
		if !named && slices.Contains(words, t.Low) {
			return true
		}
	}
	return false
}

// asks reports a line that asks or doubts, and does not tell that something happened.
func asks(req *desk.Request) bool {
	return strings.Contains(req.Text, "?") || hasWord(req, "did", "have", "has", "will", "should", "would", "could", "can", "might", "when", "if", "not", "don't", "dont", "anyone", "who", "why", "didn't", "haven't", "hasn't", "never", "wait", "until")
}

// ratValue is the number of a span, zero for none.
func ratValue(s phrase.Span) *big.Rat {
	if v, ok := s.Value.(*big.Rat); ok {
		return v
	}
	return new(big.Rat)
}

// ratOf is a share or a number as a float.
func ratOf(v *big.Rat) float64 {
	f, _ := v.Float64()
	return f
}

var ratOne = big.NewRat(1, 1)
