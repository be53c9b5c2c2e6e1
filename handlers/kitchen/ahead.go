package kitchen

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/dayplan"
	"yardbell/calc/safety"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// Steps of a meal that is cooked hours before it is served. cooked is the pot coming
// off the heat, reheat the heating again.
const (
	stepCooked = "cooked"
	stepReheat = "reheat"
)

const (
	// heatAgain is how long a pot takes to come back to the heat (common practice).
	heatAgain = 30 * time.Minute
	// worthCooling is the shortest wait for which a pot is cooled: what is served within
	// it is kept hot instead.
	worthCooling = 3 * time.Hour
	// aheadHour is when the work begins that is said to be done "in the morning".
	aheadHour = 9 * time.Hour
)

// cookWords stand before the time at which a dish is cooked, not served.
var cookWords = []string{"cook", "cooked", "cooking", "make", "made", "making", "start", "starting", "begin", "ahead"}

// splitAhead parts what a line says of cooking ahead from when the meal is: "soup tonight
// at 6, cook it at 10". The reading that is left tells of the serving.
func splitAhead(req *desk.Request) (serving phrase.Reading, ahead time.Time) {
	serving = req.Reading
	cooks := req.Reading
	cooks.Spans = nil
	serving.Spans = nil
	for _, s := range req.Reading.Spans {
		if len(cooks.Spans) > 0 && timeSpan(s) && s.First <= cooks.Spans[len(cooks.Spans)-1].Past+1 || behindCooking(req, s) {
			cooks.Spans = append(cooks.Spans, s)
			continue
		}
		serving.Spans = append(serving.Spans, s)
	}
	if len(cooks.Spans) == 0 || !slices.ContainsFunc(serving.Spans, timeSpan) {
		return req.Reading, time.Time{}
	}
	day := reminders.Day(serving.Moment(req.Context(), phrase.Future).Wall)
	when := cooks.Moment(req.Context(), phrase.Future)
	if when.HasDate && len(cooks.Of(phrase.KindDate)) > 0 {
		day = reminders.Day(when.Wall)
	}
	if len(cooks.Of(phrase.KindClock)) == 0 {
		return serving, day.Add(aheadHour)
	}
	w := when.Wall
	if w.Hour() >= 12 && strings.Contains(strings.ToLower(req.Text), "morning") {
		w = w.Add(-12 * time.Hour)
	}
	return serving, time.Date(day.Year(), day.Month(), day.Day(), w.Hour(), w.Minute(), 0, 0, time.UTC)
}

func timeSpan(s phrase.Span) bool {
	return s.Kind == phrase.KindClock || s.Kind == phrase.KindPart || s.Kind == phrase.KindDate
}

// behindCooking reports that a time of a line is that of cooking: one of cookWords
// stands before it, with nothing between but small words.
func behindCooking(req *desk.Request, s phrase.Span) bool {
	if !timeSpan(s) {
		return false
	}
	if s.Kind == phrase.KindPart && !strings.Contains(strings.ToLower(s.Text), "morning") {
		return false
	}
	for i := s.First - 1; i >= 0; i-- {
		low := req.Reading.Tokens[i].Low
		if slices.ContainsFunc(req.Reading.Terms("recipes"), func(t phrase.Span) bool { return i >= t.First && i < t.Past }) {
			continue
		}
		if slices.Contains(cookWords, low) {
			return true
		}
		if !phrase.IsFiller(low) && !slices.Contains([]string{"it", "that", "them", "at", "from", "in", "the", "this", "on", "about"}, low) {
			return false
		}
	}
	return false
}

// laidFor lays a meal's work: back from serving, or, of a meal that is cooked ahead, on
// from when its work begins, with the heating again before it is served.
func laidFor(req *desk.Request, m storage.Meal, steps []dayplan.Step) ([]dayplan.Slot, error) {
	if m.Ahead.IsZero() {
		return laid(req, m.At, steps)
	}
	total := time.Duration(0)
	for _, s := range steps {
		total += s.Likely
	}
	slots, err := laid(req, m.Ahead.Add(total), steps)
	if err != nil {
		return nil, err
	}
	again, err := laid(req, m.At, []dayplan.Step{{
		Name: fmt.Sprintf("heat the %s to %s all through", m.Recipe, sayTemp(req, safety.Reheat().C)), Kind: dayplan.Reheat, Uses: dayplan.Hob, Min: heatAgain, Likely: heatAgain, Max: heatAgain * 3 / 2,
	}})
	return append(slots, again...), err
}

// cookedAt is when a meal that is cooked ahead comes off the heat, by its plan.
func cookedAt(slots []dayplan.Slot) time.Time {
	for i := len(slots) - 1; i >= 0; i-- {
		if slots[i].Step.Kind != dayplan.Reheat {
			return slots[i].End
		}
	}
	return time.Time{}
}

// aheadWorks asks where a meal that is cooked ahead is ready too late to be cooled.
func aheadWorks(req *desk.Request, m storage.Meal, slots []dayplan.Slot) (desk.Reply, bool) {
	if m.Ahead.IsZero() {
		return desk.Reply{}, true
	}
	off, served := cookedAt(slots), req.WallOf(m.At)
	if req.Instant(served).Sub(req.Instant(off)) >= worthCooling {
		return desk.Reply{}, true
	}
	return desk.AskBack(fmt.Sprintf("Begun %s it is ready %s, too near %s to cool it and heat it again. Cook it for %s and keep it hot (%s or more), or begin earlier.",
		req.WallOf(m.Ahead).Format("15:04"), off.Format("15:04"), served.Format("15:04"), served.Format("15:04"), sayTemp(req, safety.HoldHot().C)),
		desk.Button(fmt.Sprintf("meal %s %s", served.Format("2 Jan 15:04"), m.Recipe))), false
}

// cookedBell rings when a pot that is cooked ahead comes off the heat. What follows it,
// done, are the limits of cooling.
func cookedBell(req *desk.Request, m storage.Meal, off time.Time) error {
	due := safety.CoolingDue()
	at := req.Instant(off)
	if at.Before(req.Now) {
		return nil
	}
	_, err := req.Tx.AddBell(storage.Bell{
		Household: req.House.ID, Title: fmt.Sprintf("the %s off the heat and into shallow pans", m.Recipe), Whom: cook(req), Next: at,
		Hint:   fmt.Sprintf("Below %s within %s of that, below %s within %s, stirred in cold water or ice.", sayTemp(req, due[0].C), hours(due[0].Within), sayTemp(req, due[1].C), hours(due[1].Within)),
		Safety: true, Firm: true, Useful: foodUseful, Subject: mealSubject(m), Step: stepCooked, Again: untilHourPast(0), Why: "food safety: cooling in two stages", Made: req.Now,
	})
	return err
}

// mealDone is what follows a meal's bell: a pot that came off the heat cools.
func mealDone(req *desk.Request, b storage.Bell, at time.Time) ([]string, error) {
	switch b.Step {
	case stepReheat:
		return []string{fmt.Sprintf("%s in the middle, measured? If not: back on the heat. What is left of it is not heated a third time.", sayTemp(req, safety.Reheat().C))}, nil
	case stepCooked:
		m, ok, err := req.Tx.MealOf(req.House.ID, b.Subject)
		if err != nil || !ok {
			return nil, err
		}
		out, err := setCooling(req, m.Recipe, req.WallOf(at))
		return out.Lines, err
	}
	return nil, nil
}
