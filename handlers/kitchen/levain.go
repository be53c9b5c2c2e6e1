package kitchen

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"time"

	"yardbell/calc/measure"
	"yardbell/calc/starter"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// seed is what is kept for the next time, where nobody says (common practice).
const seed = 30.0

// build says how to come to so much starter by a time.
func build(req *desk.Request) (desk.Reply, error) {
	j, reply, err := jarOf(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	need, keep := 0.0, seed
	said := false
	for _, s := range req.Reading.Of(phrase.KindQuantity) {
		q := s.Value.(phrase.Quantity)
		if q.Unit.Dim != measure.Mass {
			continue
		}
		if w := wordBefore(req, s); w == "keep" || w == "keeping" || w == "kept" {
			keep, said = q.Float(), true
		} else if need == 0 {
			need = q.Float()
		}
	}
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		if w := wordBefore(req, s); w == "keep" || w == "keeping" {
			keep, _ = s.Value.(*big.Rat).Float64()
			said = true
		}
	}
	if need == 0 {
		return desk.AskBack("How much starter? For example: need 300 g starter tomorrow at 8"), nil
	}
	m, err := model(req)
	if err != nil {
		return desk.Reply{}, err
	}
	w := req.Reading.Moment(req.Context(), phrase.Future)
	r, ok, _ := ratioSaid(req)
	var feed starter.Feed
	var ferr error
	switch {
	case req.Mentions("all"):
		feed, ferr = starter.FromAll(contents(j), need, keep, 1)
	case ok:
		feed, ferr = starter.Build(contents(j), need, keep, r)
	case w.HasClock:
		if r, ferr = starter.FeedFor(req.Instant(w.Wall).Sub(req.Now).Hours(), j.Celsius, m); ferr == nil {
			feed, ferr = starter.Build(contents(j), need, keep, r)
		}
	default:
		feed, ferr = starter.Build(contents(j), need, keep, starter.Ratio{Starter: 1, Flour: 2, Water: 2})
	}
	if ferr != nil {
		return tooLittle(req, j, need, keep, m, w, ferr)
	}
	return sayBuild(req, j, feed, need, keep, said, m, w)
}

// mostAtOnce is how much a feed may multiply a jar: 1:5:5.
const mostAtOnce = 11

// tooLittle says in how many feeds there is enough, where one cannot do it.
func tooLittle(req *desk.Request, j storage.Jar, need, keep float64, m starter.Model, w phrase.When, ferr error) (desk.Reply, error) {
	if !errors.Is(ferr, starter.ErrTooLittle) {
		return desk.AskBack("That cannot be built from what is in the jar. What is in it? For example: jar 40 g at 100%"), nil
	}
	n, each, err := starter.Steps(j.Grams, need+keep, mostAtOnce)
	if err != nil {
		return desk.AskBack("That cannot be built from what is in the jar."), nil //nolint:nilerr // said to the person
	}
	if n <= 1 {
		feed, err := starter.FromAll(contents(j), need, keep, 1)
		if err != nil {
			return desk.AskBack("That cannot be built from what is in the jar."), nil //nolint:nilerr // said to the person
		}
		return sayBuild(req, j, feed, need, keep, true, m, w)
	}
	out := desk.Answer(fmt.Sprintf("In %d feeds: there are only %.0f g in the jar.", n, j.Grams))
	grams := j.Grams
	for i := range n {
		next := grams * each
		add := (next - grams) / 2
		out.Lines = append(out.Lines, fmt.Sprintf("%d. all %.0f g with %.0f g flour and %.0f g water: %.0f g; wait until it peaks", i+1, grams, add, add, next))
		grams = next
	}
	out.Assumed = []string{fmt.Sprintf("%.0f g kept for the next time; a feed of 1:5:5 at the most", keep)}
	return out, nil
}

func sayBuild(req *desk.Request, j storage.Jar, feed starter.Feed, need, keep float64, said bool, m starter.Model, w phrase.When) (desk.Reply, error) {
	out := desk.Answer(fmt.Sprintf("%.0f g starter with %.0f g flour and %.0f g water makes %.0f g.", feed.Old, feed.Flour, feed.Water, feed.Total))
	out.Lines = append(out.Lines, fmt.Sprintf("%.0f g to use, %.0f g kept.", need, keep))
	if feed.Discard >= 1 {
		out.Lines = append(out.Lines, fmt.Sprintf("%.0f g of the old is left over: discard, good for crackers.", feed.Discard))
	}
	r := feed.Ratio()
	out.Lines = append(out.Lines, "A feed of "+sayRatio(starter.Ratio{Starter: 1, Flour: math.Round(10*r.Flour) / 10, Water: math.Round(10*r.Water) / 10})+".")
	span, err := starter.Peak(r, j.Celsius, m)
	if err != nil {
		out.Lines = append(out.Lines, fmt.Sprintf("At %s it does not rise.", sayTemp(req, j.Celsius)))
		return out, nil //nolint:nilerr // said to the person
	}
	if w.HasClock {
		begin := req.After(w.Wall, -time.Duration(span.Likely*float64(time.Hour))).Round(5 * time.Minute)
		ready := reminders.SayTime(w.Wall, req.Wall, req.House.DayFirst)
		if begin.Before(req.Wall) {
			out.Lines = append(out.Lines, fmt.Sprintf("Feed it now: at its peak %s, and wanted %s.", reminders.SayTime(req.After(req.Wall, time.Duration(span.Likely*float64(time.Hour))).Round(5*time.Minute), req.Wall, req.House.DayFirst), ready))
		} else {
			at := reminders.SayTime(begin, req.Wall, req.House.DayFirst)
			out.Lines = append(out.Lines, fmt.Sprintf("Feed it %s, and it peaks %s.", at, ready))
			out.Buttons = append(out.Buttons, desk.Labelled("Ring me then", "ring me "+begin.Format("2006-01-02 15:04")+" feed the jar"))
		}
	}
	out.Assumed = []string{fmt.Sprintf("%s to the peak at %s, %s to %s", hoursText(span.Likely), sayTemp(req, j.Celsius), hoursText(span.Early), hoursText(span.Late))}
	if !said {
		out.Assumed = append(out.Assumed, fmt.Sprintf("%.0f g kept for the next time", keep))
	}
	return out, nil
}

func hoursText(h float64) string {
	return reminders.SayDuration(time.Duration(h * float64(time.Hour)).Round(10 * time.Minute))
}

// rehydrate says what to add for another share of water.
func rehydrate(req *desk.Request) (desk.Reply, error) {
	j, reply, err := jarOf(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	shares := req.Reading.Of(phrase.KindShare)
	if len(shares) != 1 {
		return desk.AskBack("To how much water to flour? For example: bring the jar to 80%"), nil
	}
	to, _ := shares[0].Value.(*big.Rat).Float64()
	flour, water, err := starter.Rehydrate(contents(j), to)
	if err != nil {
		return desk.Refuse("Water to flour from 30% to 300%, please."), nil //nolint:nilerr // said to the person
	}
	add := fmt.Sprintf("%.0f g flour", flour)
	if water > flour {
		add = fmt.Sprintf("%.0f g water", water)
	}
	return desk.Answer(fmt.Sprintf("Add %s: %.0f g at %.0f%%.", add, j.Grams+flour+water, 100*to), "Tell me when it is done: "+fmt.Sprintf("jar %.0f g at %.0f%%", j.Grams+flour+water, 100*to)), nil
}
