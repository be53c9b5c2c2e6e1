package kitchen

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"yardbell/calc/food"
	"yardbell/calc/measure"
	"yardbell/calc/starter"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// A ratio in words: "one to two to two".
var (
	unitWords  = strings.Fields("one two three four five six seven eight nine ten")
	ratioWords = phrase.NewPattern(`(?i)\b(` + strings.Join(unitWords, "|") + `) to (` + strings.Join(unitWords, "|") + `) to (` + strings.Join(unitWords, "|") + `)\b`)
)

// withoutRatio is a reading without the spans of a ratio in words: "two to two" is no
// time of day there.
func withoutRatio(req *desk.Request) phrase.Reading {
	r := req.Reading
	if at := ratioWords.FindStringIndex(req.Text); at != nil {
		r.Spans = slices.DeleteFunc(slices.Clone(r.Spans), func(s phrase.Span) bool { return s.Start < at[1] && s.End > at[0] })
	}
	return r
}

// ratioSaid reads 1:2:2, in figures or in words.
func ratioSaid(req *desk.Request) (r starter.Ratio, ok, two bool) {
	if m := ratioWords.FindStringSubmatch(req.Text); m != nil {
		var v [3]float64
		for i := range v {
			v[i] = float64(slices.Index(unitWords, strings.ToLower(m[i+1])) + 1)
		}
		return starter.Ratio{Starter: v[0], Flour: v[1], Water: v[2]}, true, false
	}
	var v []float64
	numbers := req.Reading.Of(phrase.KindNumber)
	toks := req.Reading.Tokens
	for i, s := range numbers {
		if i > 0 {
			between := toks[numbers[i-1].Past:s.First]
			joined := len(between) == 1 && (between[0].Low == ":" || between[0].Low == "to" || between[0].Low == "part" || between[0].Low == "parts" || between[0].Low == "and") || len(between) == 0
			if !joined {
				if len(v) >= 3 {
					break
				}
				v = v[:0]
			}
		}
		f, _ := s.Value.(*big.Rat).Float64()
		v = append(v, f)
	}
	if len(v) == 2 {
		return r, false, true
	}
	if len(v) != 3 {
		return r, false, false
	}
	return starter.Ratio{Starter: v[0], Flour: v[1], Water: v[2]}, true, false
}

// fed notes a feed, and says when it peaks.
func fed(req *desk.Request) (desk.Reply, error) {
	j, reply, err := jarOf(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	at := req.Wall
	if w := withoutRatio(req).Moment(req.Context(), phrase.Past); w.HasClock {
		at = w.Wall
	}
	if at.After(req.Wall) {
		return desk.AskBack(fmt.Sprintf("%s has not come yet. When was it fed?", reminders.SayTime(at, req.Wall, req.House.DayFirst))), nil
	}
	r, after, said, reply := feedSaid(req, j)
	if reply.Head != "" {
		return reply, nil
	}
	kept := after.Grams / (1 + (r.Flour+r.Water)/r.Starter)
	left := j.Grams - kept
	j.Seed = kept
	j.Grams, j.Hydration, j.Ratio, j.Fed = after.Grams, after.Hydration, sayRatio(r), req.Instant(at)
	if err := req.Record(storage.Entry{Kind: "jar", About: "jar", Happened: j.Fed, Text: "fed the jar " + said}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SetJar(req.House.ID, j); err != nil {
		return desk.Reply{}, err
	}
	if err := feedBell(req, j); err != nil {
		return desk.Reply{}, err
	}
	lines, err := next(req, j)
	out := desk.Answer(fmt.Sprintf("Fed %s: %.0f g at %.0f%%.", said, j.Grams, 100*j.Hydration), lines...)
	if left >= 1 {
		out.Lines = append(out.Lines, fmt.Sprintf("%.0f g of the old is left over: discard, good for crackers.", left))
		if len(req.Reading.Of(phrase.KindQuantity)) == 0 {
			out.Assumed = []string{fmt.Sprintf("%.0f g of it was kept, as the time before; else say the weights: fed the jar 50 g 100 g 100 g", kept)}
		}
	}
	return out, err
}

// fedOf is what of the jar a feed goes to: as much as was kept the time before, the rest
// is discard.
func fedOf(j storage.Jar) storage.Jar {
	if j.Seed > 0 && j.Seed < j.Grams {
		j.Grams = j.Seed
	}
	return j
}

// feedSaid is the feed of a line: a ratio on what there is, three weights, or cups.
func feedSaid(req *desk.Request, j storage.Jar) (r starter.Ratio, after starter.Jar, said string, reply desk.Reply) {
	var masses []float64
	var cups []phrase.Quantity
	for _, s := range req.Reading.Of(phrase.KindQuantity) {
		switch q := s.Value.(phrase.Quantity); q.Unit.Dim {
		case measure.Mass:
			masses = append(masses, q.Float())
		case measure.Volume:
			cups = append(cups, q)
		}
	}
	if named, is := weightsByName(req); is {
		masses = named
	}
	ratio, ok, two := ratioSaid(req)
	switch {
	case len(masses) == 3:
		r = starter.Ratio{Starter: masses[0], Flour: masses[1], Water: masses[2]}
		if masses[0] > j.Grams*1.001 {
			return r, after, "", desk.AskBack(fmt.Sprintf("There were only %.0f g in the jar. How much of it was kept?", j.Grams))
		}
		old := starter.Jar{Grams: masses[0], Hydration: j.Hydration}
		after = starter.Jar{Grams: masses[0] + masses[1] + masses[2], Hydration: (old.Water() + masses[2]) / (old.Flour() + masses[1])}
		return starter.Ratio{Starter: 1, Flour: masses[1] / masses[0], Water: masses[2] / masses[0]}, after, fmt.Sprintf("%.0f g + %.0f g flour + %.0f g water", masses[0], masses[1], masses[2]), reply
	case len(cups) == 2:
		return cupsFed(fedOf(j), cups)
	case two:
		return r, after, "", desk.AskBack("Starter to flour to water: three figures. For example: fed the jar 1:2:2")
	case !ok:
		return r, after, "", desk.AskBack("How was it fed? For example: fed the jar 1:2:2, or: fed the jar 50 g 100 g 100 g")
	case ratio.Starter <= 0 || ratio.Flour <= 0 || ratio.Water < 0 || ratio.Flour/ratio.Starter > 25:
		return r, after, "", desk.Refuse("A feed has some of the old starter, and flour up to 25 times that. For example: fed the jar 1:2:2")
	}
	j = fedOf(j)
	part := j.Grams / ratio.Starter
	old := contents(j)
	flour, water := part*ratio.Flour, part*ratio.Water
	after = starter.Jar{Grams: j.Grams + flour + water, Hydration: (old.Water() + water) / (old.Flour() + flour)}
	return ratio, after, sayRatio(ratio), reply
}

// weightsByName are starter, flour and water of a feed, where each weight has its name:
// "90 g flour 60 g water 30 g starter".
func weightsByName(req *desk.Request) ([]float64, bool) {
	out := make([]float64, 3)
	found := 0
	toks := req.Reading.Tokens
	for _, s := range req.Reading.Of(phrase.KindQuantity) {
		q := s.Value.(phrase.Quantity)
		if q.Unit.Dim != measure.Mass {
			continue
		}
		at := -1
		for i := s.Past; i < min(s.Past+3, len(toks)) && at < 0 && toks[i].Kind == phrase.Word; i++ {
			at = feedPart(toks[i].Low)
		}
		if at < 0 {
			at = feedPart(wordBefore(req, s))
		}
		if at >= 0 && out[at] == 0 {
			out[at] = q.Float()
			found++
		}
	}
	return out, found == 3
}

// feedPart is the place of a part of a feed: starter, flour, water.
func feedPart(w string) int {
	switch w {
	case "starter", "old", "kept", "keep", "levain", "seed":
		return 0
	case "flour", "rye", "wheat":
		return 1
	case "water":
		return 2
	}
	return -1
}

// cupsFed is a feed by volume: the first cup is the flour.
func cupsFed(j storage.Jar, cups []phrase.Quantity) (r starter.Ratio, after starter.Jar, said string, reply desk.Reply) {
	f, ok := food.Named("all-purpose flour")
	if !ok {
		return r, after, "", desk.AskBack("By weight, please: fed the jar 50 g 100 g 100 g")
	}
	in := func(q phrase.Quantity) float64 { return q.Float() / 236.5882365 }
	after, err := starter.ByVolume(in(cups[0]), in(cups[1]), f.PerCup, contents(j))
	if err != nil {
		return r, after, "", desk.AskBack("Those cups cannot be: flour first, then water. For example: fed the jar 3/8 cup flour and 1/4 cup water")
	}
	flour := in(cups[0]) * f.PerCup
	water := after.Grams - j.Grams - flour
	return starter.Ratio{Starter: 1, Flour: flour / j.Grams, Water: water / j.Grams}, after, fmt.Sprintf("%.0f g flour + %.0f g water by the cup", flour, water), reply
}
