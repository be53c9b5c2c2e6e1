package kitchen

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"yardbell/calc/food"
	"yardbell/calc/measure"
	"yardbell/calc/starter"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

func jarAsks() []desk.Ask {
	kinds := []phrase.Kind{phrase.KindQuantity, phrase.KindNumber, phrase.KindShare, phrase.KindDate, phrase.KindClock, phrase.KindPart, phrase.KindAfter, phrase.KindDuration}
	stands := []string{"jar 40 g at 100%", "the jar is at 24 C", "fed the jar 1:2:2 at 3am"}
	ask := func(help string, question bool, forms []string, example string, do func(*desk.Request) (desk.Reply, error), plain func(*desk.Request) bool) desk.Ask {
		return desk.Ask{
			Name: "jar", Command: "jar", Text: true, Question: question, Kinds: kinds, Help: help, Forms: forms,
			Examples: []desk.Example{{Setup: stands, Line: example}}, Do: do,
			Plain: func(req *desk.Request) bool {
				told := !slices.Contains(asks, req.Reading.Tokens[0].Low) && !req.Mentions("says", "said") && (!req.Mentions("was") || req.Mentions("fed", "peaked"))
				return (question || told) && plain(req)
			},
		}
	}
	few := func(n int) func(*desk.Request) bool {
		return func(req *desk.Request) bool { return len(req.Reading.Unknown) <= n && !strings.Contains(req.Text, "?") }
	}
	return []desk.Ask{
		ask("the sourdough jar was fed, by a ratio or by weights", false, []string{"^fed the jar", "^fed jar|starter", "^feed the jar", "^feed jar|starter", "^jar fed|feed", "the jar was fed"}, "fed the jar 1:2:2", fed, func(req *desk.Request) bool { return !strings.Contains(req.Text, "?") }),
		ask("the jar peaked: its own pace is learnt", false, []string{"jar|starter peaked|doubled"}, "the jar peaked after 5 hours", peaked, few(2)),
		ask("so much starter by a time, from what there is", false, []string{"^need * starter|levain", "^jar need", "^starter * for|at|by", "^build * starter|levain"}, "need 300 g starter tomorrow at 8, 1:2:2, keep 25", build, func(req *desk.Request) bool {
			return few(3)(req) && (massSaid(req) > 0 || req.Mentions("jar", "levain"))
		}),
		ask("where the jar stands and how warm", false, []string{"^jar in|on|into|at", "^put the jar", "^put * jar in|on|back|into", "^took|take the jar", "the jar is at|in|on|back", "^the jar is|stands", "^jar is at|in|on"}, "jar in the fridge", stand, func(req *desk.Request) bool {
			_, hot := heat(req)
			return few(2)(req) && (hot || req.Mentions("fridge", "counter", "shelf", "out"))
		}),
		ask("more or less water in the jar", false, []string{"^bring the jar to", "^jar to"}, "bring the jar to 80%", rehydrate, few(1)),
		ask("when to feed it, when it peaks", true, []string{"when * feed|peak|peaks|feeding * jar|starter", "when|how * jar|starter * feed|feeding|peak|fed|need|ready", "when will the jar|starter"}, "when do I feed the jar", feeding, func(req *desk.Request) bool { return req.Mentions("jar", "starter") && len(req.Reading.Unknown) <= 4 }),
		ask("rescue: it was forgotten, or looks wrong", false, []string{"forgot|neglected the jar|starter", "^jar has", "jar|starter * pink|orange|red|mould|mouldy|mold|hooch|grey|gray", "pink|orange|red|mould|mold|hooch|grey|gray * jar|starter", "^rescue"}, "forgot the jar for two weeks", rescue, func(req *desk.Request) bool {
			return req.Mentions("forgot", "neglected", "pink", "orange", "red", "mould", "mouldy", "mold", "hooch", "rescue", "grey", "gray") && !req.Mentions("jam", "sweets", "honey") && few(4)(req)
		}),
		ask("what discard can go to", true, []string{"discard"}, "what can I do with the discard", discard, func(req *desk.Request) bool {
			return req.Mentions("what", "how", "use") && len(req.Reading.Unknown) <= 3
		}),
		{
			Name: "dough", Command: "jar", Text: true, Kinds: kinds, Help: "a dough by its weight or its flour, in baker's percentages", Forms: []string{"^dough", "hydration * dough", "dough * hydration", "dough for * loaves", "^hydration"},
			Examples: []desk.Example{{Line: "dough 4 loaves of 850 g, 72% hydration, 2% salt, 20% starter"}}, Plain: func(req *desk.Request) bool {
				return len(req.Reading.Of(phrase.KindShare)) > 0 && len(req.Reading.Unknown) <= 8
			}, Do: dough,
		},
		{
			Name: "dough", Command: "jar", Text: true, Kinds: kinds, Question: true, Help: "how warm the water must be for a dough", Forms: []string{"water temperature|temp", "how warm|hot|cold * water * dough", "dough * water temperature"},
			Examples: []desk.Example{{Line: "water temperature for dough at 25 C, room 20, flour 18, starter 22"}}, Plain: func(req *desk.Request) bool { return req.Mentions("dough", "bread") }, Do: doughWater,
		},
		ask("set the jar's weight and hydration; alone, how it is", true, []string{"^jar", "^the jar$", "how is|how's the jar|starter"}, "jar 40 g at 100%", setJar, func(req *desk.Request) bool {
			return len(req.Reading.Unknown) == 0 && (req.Form != "^jar" || len(req.Reading.Of(phrase.KindQuantity)) > 0 || len(req.Reading.Tokens) <= 2)
		}),
	}
}

// jarOf is the household's jar; a reply asks for it when none was told.
func jarOf(req *desk.Request) (storage.Jar, desk.Reply, error) {
	j, ok, err := req.Tx.JarOf(req.House.ID)
	if err != nil {
		return j, desk.Reply{}, err
	}
	if !ok {
		return j, desk.AskBack("What is in the jar? For example: jar 40 g at 100%"), nil
	}
	return j, desk.Reply{}, nil
}

func contents(j storage.Jar) starter.Jar { return starter.Jar{Grams: j.Grams, Hydration: j.Hydration} }

// setJar sets what is in the jar, or says how it is.
func setJar(req *desk.Request) (desk.Reply, error) {
	grams := massSaid(req)
	if grams == 0 {
		return howIsJar(req)
	}
	j, ok, err := req.Tx.JarOf(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if !ok {
		j = storage.Jar{Hydration: 1, Place: "counter", Celsius: 20, Since: req.Now}
	}
	j.Grams = grams
	for _, s := range req.Reading.Of(phrase.KindShare) {
		j.Hydration, _ = s.Value.(*big.Rat).Float64()
	}
	if !(j.Grams > 0 && j.Grams <= 50_000) || !(j.Hydration >= 0.3 && j.Hydration <= 3) {
		return desk.Refuse("A jar holds from 1 g to 50 kg, at 30% to 300% of water to flour."), nil
	}
	if j.Seed == 0 || j.Grams < j.Seed {
		j.Seed = j.Grams
	}
	text := fmt.Sprintf("the jar holds %.0f g at %.0f%% water to flour", j.Grams, 100*j.Hydration)
	return saveJar(req, j, text)
}

func saveJar(req *desk.Request, j storage.Jar, text string, lines ...string) (desk.Reply, error) {
	if err := req.Record(storage.Entry{Kind: "jar", About: "jar", Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SetJar(req.House.ID, j); err != nil {
		return desk.Reply{}, err
	}
	return desk.Answer(desk.Upper(text)+".", lines...), nil
}

func massSaid(req *desk.Request) float64 {
	for _, s := range req.Reading.Of(phrase.KindQuantity) {
		if q := s.Value.(phrase.Quantity); q.Unit.Dim == measure.Mass {
			return q.Float()
		}
	}
	return 0
}

// howIsJar says what is in the jar, when it was fed, and what comes.
func howIsJar(req *desk.Request) (desk.Reply, error) {
	j, reply, err := jarOf(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	where := "on the counter at " + sayTemp(req, j.Celsius)
	if j.Place == inFridge {
		where = "in the fridge"
	}
	out := desk.Answer(fmt.Sprintf("%.0f g at %.0f%%, %s.", j.Grams, 100*j.Hydration, where))
	if !j.Fed.IsZero() {
		text := "Fed " + req.Say(j.Fed)
		if j.Ratio != "" {
			text += ", " + j.Ratio
		}
		out.Lines = append(out.Lines, text+".")
	}
	lines, err := next(req, j)
	out.Lines = append(out.Lines, lines...)
	return out, err
}

const inFridge = "fridge"

// model is the jar's own pace, as far as it has been logged.
func model(req *desk.Request) (starter.Model, error) {
	logged, err := req.Tx.Peaks(req.House.ID)
	if err != nil {
		return starter.Usual, err
	}
	var logs []starter.Log
	for _, p := range logged {
		if r, ok := parseRatio(p.Ratio); ok {
			logs = append(logs, starter.Log{Ratio: r, Celsius: p.Celsius, Hours: p.Hours})
		}
	}
	m, err := starter.Refit(logs)
	if err != nil {
		return starter.Usual, nil //nolint:nilerr // a log that cannot be is passed over
	}
	return m, nil
}

func parseRatio(text string) (starter.Ratio, bool) {
	parts := strings.Split(text, ":")
	if len(parts) != 3 {
		return starter.Ratio{}, false
	}
	var v [3]float64
	for i, p := range parts {
		f, err := strconv.ParseFloat(p, 64)
		if err != nil || f < 0 {
			return starter.Ratio{}, false
		}
		v[i] = f
	}
	return starter.Ratio{Starter: v[0], Flour: v[1], Water: v[2]}, v[0] > 0 && v[1] > 0
}

func sayRatio(r starter.Ratio) string {
	return fmt.Sprintf("%.3g:%.3g:%.3g", r.Starter, r.Flour, r.Water)
}

// next says when the jar peaks and when it is hungry.
func next(req *desk.Request, j storage.Jar) ([]string, error) {
	var out []string
	if j.Fed.IsZero() {
		out = append(out, "When it was fed is not told: fed the jar 1:2:2")
	} else if j.Place != inFridge {
		line, err := peakLine(req, j)
		if err != nil {
			return nil, err
		}
		if line != "" {
			out = append(out, line)
		}
	}
	due, ok := hungry(req, j)
	if ok {
		out = append(out, "Feed it "+req.Say(due)+".")
	}
	return out, nil
}

// peakLine says when the last feed peaks, or peaked.
func peakLine(req *desk.Request, j storage.Jar) (string, error) {
	r, ok := parseRatio(j.Ratio)
	if !ok {
		return "", nil
	}
	m, err := model(req)
	if err != nil {
		return "", err
	}
	span, err := starter.Peak(r, j.Celsius, m)
	if err != nil {
		return fmt.Sprintf("At %s it does not rise: too cold or too hot.", sayTemp(req, j.Celsius)), nil //nolint:nilerr // said to the person
	}
	at := func(h float64) string {
		return reminders.SayTime(req.WallOf(j.Fed.Add(time.Duration(h*float64(time.Hour)))).Round(5*time.Minute), req.Wall, req.House.DayFirst)
	}
	own := "a usual jar; tell me when yours peaks, and I learn its pace"
	if m.Logged >= 3 {
		own = fmt.Sprintf("by its own %d peaks", m.Logged)
	} else if m.Logged > 0 {
		own = "partly by its own peaks"
	}
	return fmt.Sprintf("Peaks about %s (%s to %s), %s.", at(span.Likely), at(span.Early), at(span.Late), own), nil
}

// hungry is when the jar wants its next feed.
func hungry(req *desk.Request, j storage.Jar) (time.Time, bool) {
	place, c := starter.Counter, j.Celsius
	if j.Place == inFridge {
		place, c = starter.Fridge, 4
	}
	due, err := starter.NextFeed(place, c, 0)
	from := j.Fed
	if from.IsZero() && j.Place == inFridge { // nobody told the feed: counted from when it went in
		from = j.Since
	}
	if err != nil || from.IsZero() {
		return time.Time{}, false
	}
	return from.Add(time.Duration(due.Every * float64(time.Hour))), true
}

// feedBell sets the bell of the next feed in place of the one before.
func feedBell(req *desk.Request, j storage.Jar) error {
	bells, err := req.Tx.SubjectBells(req.House.ID, "jar")
	if err != nil {
		return err
	}
	for _, b := range bells {
		if !b.Stopped {
			if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
				return err
			}
		}
	}
	due, ok := hungry(req, j)
	if !ok {
		return nil
	}
	b := storage.Bell{
		Household: req.House.ID, Title: "feed the jar", Hint: "Say how: fed the jar 1:2:2", Whom: reminders.People(req.Who.ID), Next: due, Useful: reminders.UsefulDaily, Subject: "jar", Step: "feed",
		Why: fedWhen(req, j), Made: req.Now, Cost: "a hungry jar goes sour and slow",
	}
	if j.Place == inFridge {
		b.Daily, b.Next = true, reminders.RoundOn(req.House, req.WallOf(due))
	}
	_, err = req.Tx.AddBell(b)
	return err
}

func fedWhen(req *desk.Request, j storage.Jar) string {
	if j.Fed.IsZero() {
		return "the jar is in the fridge since " + req.Say(j.Since)
	}
	return "the jar was fed " + req.Say(j.Fed)
}

// A ratio in words: "one to two to two".
var (
	unitWords  = strings.Fields("one two three four five six seven eight nine ten")
	ratioWords = regexp.MustCompile(`(?i)\b(` + strings.Join(unitWords, "|") + `) to (` + strings.Join(unitWords, "|") + `) to (` + strings.Join(unitWords, "|") + `)\b`)
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

// peaked logs a peak: the jar's own pace is learnt from it.
func peaked(req *desk.Request) (desk.Reply, error) {
	j, reply, err := jarOf(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if _, ok := parseRatio(j.Ratio); !ok || j.Fed.IsZero() {
		return desk.AskBack("When and how was it fed? For example: fed the jar 1:2:2 at 9am"), nil
	}
	hours := gone(req).Hours()
	if ds := req.Reading.Of(phrase.KindDuration); len(ds) > 0 {
		hours = ds[0].Value.(time.Duration).Hours()
	} else if w := req.Reading.Moment(req.Context(), phrase.Past); w.HasClock {
		hours = req.Instant(w.Wall).Sub(j.Fed).Hours()
	} else if hours == 0 {
		hours = req.Now.Sub(j.Fed).Hours()
	}
	early := j.Fed.Add(time.Duration(hours * float64(time.Hour))).After(req.Now.Add(30 * time.Minute)) // it has not been that long
	if !(hours > 0.2 && hours < 96) || early {
		return desk.AskBack(fmt.Sprintf("It was fed %s. How many hours later did it peak?", req.Say(j.Fed))), nil
	}
	text := fmt.Sprintf("the jar peaked %s after a feed of %s at %s", reminders.SayDuration(time.Duration(hours*float64(time.Hour)).Round(time.Minute)), j.Ratio, sayTemp(req, j.Celsius))
	if err := req.Record(storage.Entry{Kind: "jar", About: "jar", Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.AddPeak(req.House.ID, storage.Peak{At: req.Now, Ratio: j.Ratio, Celsius: j.Celsius, Hours: hours}); err != nil {
		return desk.Reply{}, err
	}
	m, err := model(req)
	if err != nil {
		return desk.Reply{}, err
	}
	return desk.Answer(desk.Upper(text)+".", fmt.Sprintf("Its pace: 1:1:1 in %.1f hours at 24 C, by %s (a usual jar takes 4).", m.Hours, desk.Plural(m.Logged, "peak"))), nil
}

// stand notes where the jar stands, and how warm it is there.
func stand(req *desk.Request) (desk.Reply, error) {
	j, reply, err := jarOf(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	c, hot := heat(req)
	switch {
	case hot && !(c >= 0 && c <= 45):
		return desk.Refuse(fmt.Sprintf("%s is no place for a jar: yeast lives from 8 to 35 C.", sayTemp(req, c))), nil
	case !hot && len(req.Reading.Of(phrase.KindNumber)) > 0:
		return desk.AskBack("In Celsius or Fahrenheit? For example: the jar is at 21 C"), nil
	case hot:
		j.Celsius = c
	}
	was := j.Place
	text := "the jar stands at " + sayTemp(req, j.Celsius)
	switch {
	case req.Mentions("fridge") && !req.Mentions("out", "took", "take"):
		j.Place, text = inFridge, "the jar is in the fridge"
	case req.Mentions("counter", "shelf", "out", "took", "side", "worktop"):
		j.Place, text = "counter", "the jar is on the counter"
	case !hot:
		return desk.AskBack("Where does it stand? For example: jar in the fridge, or: the jar is at 21 C"), nil
	}
	if j.Place != was {
		j.Since = req.Now
	}
	if err := req.Record(storage.Entry{Kind: "jar", About: "jar", Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SetJar(req.House.ID, j); err != nil {
		return desk.Reply{}, err
	}
	if err := feedBell(req, j); err != nil {
		return desk.Reply{}, err
	}
	lines, err := next(req, j)
	if j.Place == inFridge && err == nil {
		lines = append(lines, "Weekly in the fridge; two to four weeks do it no lasting harm. An hour or more on the counter after a feed first.")
	}
	return desk.Answer(desk.Upper(text)+".", lines...), err
}

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
		if r, ferr = starter.FeedFor(w.Wall.Sub(req.Wall).Hours(), j.Celsius, m); ferr == nil {
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
		begin := w.Wall.Add(-time.Duration(span.Likely * float64(time.Hour))).Round(5 * time.Minute)
		ready := reminders.SayTime(w.Wall, req.Wall, req.House.DayFirst)
		if begin.Before(req.Wall) {
			out.Lines = append(out.Lines, fmt.Sprintf("Feed it now: at its peak %s, and wanted %s.", reminders.SayTime(req.Wall.Add(time.Duration(span.Likely*float64(time.Hour))).Round(5*time.Minute), req.Wall, req.House.DayFirst), ready))
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

// feeding answers when the jar is hungry and when it peaks.
func feeding(req *desk.Request) (desk.Reply, error) {
	j, reply, err := jarOf(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if j.Fed.IsZero() && j.Place != inFridge {
		return desk.AskBack("When was it fed last? For example: fed the jar 1:2:2 at 9am"), nil
	}
	due, ok := hungry(req, j)
	peak, err := peakLine(req, j)
	if err != nil {
		return desk.Reply{}, err
	}
	if req.Mentions("peak", "peaks", "ready") && peak != "" && j.Place != inFridge {
		return desk.Answer(peak), nil
	}
	if !ok {
		return desk.Answer(fmt.Sprintf("At %s it does not grow.", sayTemp(req, j.Celsius))), nil
	}
	out := desk.Answer("Feed it " + req.Say(due) + ".")
	if due.Before(req.Now) {
		out = desk.Answer("Feed it now: it was due " + req.Say(due) + ".")
	}
	if peak != "" && j.Place != inFridge {
		out.Lines = append(out.Lines, peak)
	}
	out.Assumed = []string{"every 12 hours at 21 to 26 C, every 24 at 18, weekly in the fridge (common practice)"}
	return out, nil
}

// rescue says what to do with a jar that was forgotten or looks wrong.
func rescue(req *desk.Request) (desk.Reply, error) {
	if req.Mentions("pink", "orange", "red", "mould", "mouldy", "mold", "moldy", "furry") && !req.Mentions("forgot", "neglected") {
		return desk.Answer("Throw it out, jar and all that touched it washed hot: pink, orange or red streaks and mould are not starter.", "Begin again from a dried or frozen back-up, or from a neighbour's jar."), nil
	}
	days := int(gone(req).Hours() / 24)
	n, err := starter.Waking(max(days, 0))
	if err != nil {
		return desk.Reply{}, fmt.Errorf("waking the jar: %w", err)
	}
	out := desk.Answer(fmt.Sprintf("Feed it %s, 12 hours apart on the counter, 1:5:5 at first, until it doubles in its time.", timesText(n)))
	out.Lines = []string{"Grey water on top is hunger only: pour it off or stir it in.", "Throw it out if there are pink, orange or red streaks, mould, or a rotten smell."}
	out.Assumed = []string{"common practice"}
	return out, nil
}

func timesText(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

// discard says what it can go to.
func discard(*desk.Request) (desk.Reply, error) {
	c := starter.Crackers()
	keep := starter.DiscardKeeps()
	out := desk.Answer(fmt.Sprintf("Into crackers: fat %.0f to %.0f%% of all flour, salt %.1f to %.1f%%, flour until the water is %.0f to %.0f%%; rolled %.0f to %.0f mm thin, pricked, baked at %.0f to %.0f C until dry through.",
		100*c.Fat.Low, 100*c.Fat.High, 100*c.Salt.Low, 100*c.Salt.High, 100*c.Hydration.Low, 100*c.Hydration.High, c.Thickness.Low, c.Thickness.High, c.Oven.Low, c.Oven.High))
	out.Lines = []string{"At 100% it is half flour and half water by weight: count both in any dough, pancake or batter.", fmt.Sprintf("It waits in the fridge for %.0f to %.0f days.", keep.Low, keep.High)}
	out.Cautions = []string{"Raw flour and raw starter are raw food: bake before eating. Wheat, rye and barley hold gluten."}
	return out, nil
}
