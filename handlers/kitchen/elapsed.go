package kitchen

import (
	"math/big"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
)

// fromTo matches a stretch of the clock: "from 9 pm to 6 am".
var fromTo = phrase.NewPattern(`(?i)\b(?:from|between)\b.*\b(?:to|till|until|and)\b`)

// lasted is how long something went on; not sure where a line has several times, of
// which taking one would be a guess.
func lasted(req *desk.Request) (d time.Duration, sure bool) {
	var clocks []phrase.Span
	times := 0
	for _, s := range req.Reading.Spans {
		switch s.Kind {
		case phrase.KindClock:
			clocks = append(clocks, s)
			times++
		case phrase.KindDuration, phrase.KindAfter:
			times++
		case phrase.KindPart:
			return 0, false
		}
	}
	if len(clocks) == 2 && times == 2 && fromTo.MatchString(req.Text) {
		at := func(s phrase.Span) time.Time {
			one := req.Reading
			one.Spans = []phrase.Span{s}
			return one.Moment(req.Context(), phrase.Past).Wall
		}
		d := req.Instant(at(clocks[1])).Sub(req.Instant(at(clocks[0])))
		for d <= 0 {
			d += 24 * time.Hour
		}
		return d % (24 * time.Hour), true
	}
	return gone(req), times <= 1
}

// struck is the last time that it was an hour said as a bare number behind a word:
// "since 10", "at 11".
func struck(req *desk.Request, behind string) (time.Time, bool) {
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		v := s.Value.(*big.Rat)
		if wordBefore(req, s) != behind || !v.IsInt() || v.Sign() <= 0 || v.Cmp(big.NewRat(24, 1)) >= 0 {
			continue
		}
		at := reminders.Day(req.Wall).Add(time.Duration(v.Num().Int64()) * time.Hour)
		for at.After(req.Wall) {
			at = at.Add(-12 * time.Hour)
		}
		return at, true
	}
	return time.Time{}, false
}

// gone is how long ago something was, or how long it took.
func gone(req *desk.Request) time.Duration {
	for _, s := range req.Reading.Of(phrase.KindAfter) {
		return s.Value.(time.Duration).Abs()
	}
	for _, s := range req.Reading.Of(phrase.KindDuration) {
		return s.Value.(time.Duration)
	}
	if w := req.Reading.Moment(req.Context(), phrase.Past); w.HasClock && w.Wall.Before(req.Wall) {
		return req.Now.Sub(req.Instant(w.Wall))
	}
	if at, ok := struck(req, "since"); ok {
		return req.Now.Sub(req.Instant(at))
	}
	return 0
}
