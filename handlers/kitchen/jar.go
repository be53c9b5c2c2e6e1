package kitchen

import (
	"fmt"
	"math/big"
	"slices"
	"strconv"
	"strings"
	"time"

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
		ask("rescue: it was forgotten, or looks wrong", false, []string{"forgot|neglected the jar|starter", "^jar has", "jar|starter * pink|orange|red|mould|mouldy|mold|hooch|grey|gray", "pink|orange|red|mould|mold|hooch|grey|gray * jar|starter", "black|dark|brown|clear liquid|water * jar|starter", "jar|starter * liquid|water on", "^rescue"}, "forgot the jar for two weeks", rescue, func(req *desk.Request) bool {
			return req.Mentions("forgot", "neglected", "pink", "orange", "red", "mould", "mouldy", "mold", "hooch", "rescue", "grey", "gray", "liquid", "water") && !req.Mentions("jam", "sweets", "honey") && few(4)(req)
		}),
		ask("what discard can go to", true, []string{"discard"}, "what can I do with the discard", discard, func(req *desk.Request) bool {
			return req.Mentions("what", "how", "use") && len(req.Reading.Unknown) <= 3
		}),
		{
			Name: "jar", Command: "jar", Question: true, Help: "the jar's peaks as a picture", Forms: []string{"^jar picture", "^picture of the jar|starter", "^draw the jar|starter", "^show me the jar|starter"}, Fill: []string{"picture", "jar", "starter", "peaks", "the", "of", "draw", "show", "me"},
			Examples: []desk.Example{{Setup: []string{"jar 40 g at 100%", "the jar is at 24 C", "fed the jar 1:1:1 at 1am", "the jar peaked at 5am", "fed the jar 1:2:2 at 5:30am", "the jar peaked at 9am"}, Line: "jar picture"}},
			Plain:    func(req *desk.Request) bool { return len(req.Reading.Unknown) == 0 }, Do: jarPicture,
		},
		{
			Name: "dough", Command: "jar", Text: true, Kinds: kinds, Help: "a dough by its weight or its flour, in baker's percentages", Forms: []string{"^dough", "hydration * dough", "dough * hydration", "dough for * loaves", "^hydration", "hydration * loaf|loaves|bread", "loaf|loaves|bread * hydration"},
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
