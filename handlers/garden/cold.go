package garden

import (
	"fmt"
	"slices"
	"time"

	"yardbell/calc/daylight"
	"yardbell/calc/sowing"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

func coldAsk() desk.Ask {
	return desk.Ask{
		Name: "cold", Command: "frost", Help: "a forecast low: what stands outside that it would hurt, and a bell at dusk",
		Forms: []string{"^frost tonight|tomorrow", "^frost on|forecast", "^forecast", "^low tonight|tomorrow", "^low|lows of * tonight|tomorrow", "^low|lows of", "^frost", "^tonight|tomorrow * frost|low", "^cold tonight|tomorrow", "frost tonight|tomorrow", "tonight|tomorrow"}, Lists: []string{"crops"},
		Kinds: []phrase.Kind{phrase.KindDate, phrase.KindPart, phrase.KindQuantity, phrase.KindNumber}, Needs: []desk.Need{{Kind: phrase.KindNumber}, {Kind: phrase.KindQuantity}},
		Fill:     []string{"frost", "forecast", "low", "lows", "minus", "negative", "below", "degrees", "degree", "night", "cold", "tonight", "tomorrow", "down", "f", "c", "say", "says", "they", "giving", "expected", "coming", "warning", "freezing", "celsius", "fahrenheit", "will", "be", "alright", "ok", "all", "right", "safe", "survive", "going", "gonna"},
		Examples: []desk.Example{{Line: "frost tonight -1"}, {Line: "frost tomorrow 30F"}, {Line: "forecast low tonight minus 2"}},
		Plain:    plainCold, Do: cold,
	}
}

// noCold is the warmest night, in degrees Celsius, that a plain line tells of.
const noCold = 10

// plainCold takes a plain line for a forecast: one figure, a cold one, and below zero
// where nothing but the night is named ("-2 tonight").
func plainCold(req *desk.Request) bool {
	low, ok := degreesSaid(req)
	if len(req.Reading.Unknown) > 0 || !onlyOne(req) || !ok || low > noCold {
		return false
	}
	return req.Form != "tonight|tomorrow" || low < 0 && len(leftOver(req, "tonight", "tomorrow", "minus", "it", "its", "it's", "is", "going", "gonna", "to", "be", "will", "night", "down", "degrees", "c", "f", "they", "say", "says")) == 0
}

// onlyOne keeps "frost 2 dozen" and the like for talk: a low is one figure.
func onlyOne(req *desk.Request) bool {
	return len(req.Reading.Of(phrase.KindNumber))+len(req.Reading.Of(phrase.KindQuantity)) == 1
}

// dusk is when somebody goes out to cover, before the sun is down.
const (
	beforeSunset = 45 * time.Minute
	usualDusk    = 18 * time.Hour // where the place is not known
	beforeQuiet  = 15 * time.Minute
)

// cold takes a forecast low: what it would hurt, what waits, and a bell at dusk.
func cold(req *desk.Request) (desk.Reply, error) {
	low, ok := degreesSaid(req)
	if !ok {
		return desk.AskBack("How cold is it to be? For example: " + lowExample(req)), nil
	}
	night, ok := nightSaid(req)
	if !ok {
		return desk.AskBack("Which night? For example: " + lowExample(req)), nil
	}
	if low > 15 {
		return desk.AskBack(fmt.Sprintf("%s is no cold night. The low, please: %s", sayLow(req, low), lowExample(req))), nil
	}
	all, err := standingNow(req)
	if err != nil {
		return desk.Reply{}, err
	}
	said := fmt.Sprintf("a low of %s is forecast for the night of %s", sayLow(req, low), sayDate(req, night))
	if err := req.Record(storage.Entry{Kind: "cold", About: nightSubject(night), Text: said}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SetCold(req.House.ID, night, low); err != nil {
		return desk.Reply{}, err
	}
	waits, err := holdBack(req, all, night, low)
	if err != nil {
		return desk.Reply{}, err
	}
	out, err := warning(req, storage.Cold{Night: night, Low: low}, all)
	if err != nil {
		return desk.Reply{}, err
	}
	out.Lines = append(out.Lines, waits...)
	out.Assumed = []string{"the low is that of the forecast, at head height: on a still clear night the ground is 2 to 4 C (4 to 7 F) colder", "what each stands by its kind (common practice)"}
	return out, nil
}

// smallHours is until when a night that began the evening before is still "tonight".
const smallHours = 5

// nightsAhead is how far ahead a forecast low is taken.
const nightsAhead = 14

// tonight is the day on whose evening the night that runs, or comes next, begins.
func tonight(req *desk.Request) time.Time {
	if req.Wall.Hour() < smallHours {
		return dayOf(req).AddDate(0, 0, -1)
	}
	return dayOf(req)
}

// nightSaid is the day on whose evening the night begins that a line tells of: a date
// and "tomorrow" go before the part of the day, and what names no day is tonight. False
// for a night that is over or too far off.
func nightSaid(req *desk.Request) (time.Time, bool) {
	night := tonight(req)
	for _, s := range req.Reading.Spans {
		if part, is := s.Value.(phrase.Part); is && part.Fixed && part.Days < 0 {
			return night, false // last night
		}
	}
	switch dates := req.Reading.Of(phrase.KindDate); {
	case len(dates) > 0:
		night = dates[0].Value.(phrase.Date).Next
	case hasWord(req, "tomorrow"):
		night = dayOf(req).AddDate(0, 0, 1)
	}
	return night, !night.Before(tonight(req)) && !night.After(dayOf(req).AddDate(0, 0, nightsAhead))
}

// threatened is one sowing that a low would hurt.
type threatened struct {
	sown
	harm sowing.Harm
}

// harmed are the sowings that stand outside in a night and that its low puts at risk,
// the worst first.
func harmed(all []sown, c storage.Cold) []threatened {
	var hurt, risk []threatened
	for _, s := range all {
		if !s.outside(c.Night) {
			continue
		}
		switch h := sowing.HarmAt(s.kind.Crop, c.Low, s.hardening()); h {
		case sowing.Hurt:
			hurt = append(hurt, threatened{s, h})
		case sowing.AtRisk:
			risk = append(risk, threatened{s, h})
		}
	}
	return append(hurt, risk...)
}

// says is the line of a warning.
func (h threatened) says() string {
	title := h.title()
	if h.Outdoors && h.Up.IsZero() {
		title += ", if it is up"
	}
	switch {
	case h.hardening():
		return title + ": in for the night"
	case h.harm == sowing.AtRisk:
		return title + ": at risk"
	}
	return title + ": would be hurt"
}

// warning tells what the night would hurt, and when its bell rings.
func warning(req *desk.Request, c storage.Cold, all []sown) (desk.Reply, error) {
	hurt := harmed(all, c)
	when, err := settleNight(req, c, hurt)
	if err != nil {
		return desk.Reply{}, err
	}
	head := fmt.Sprintf("%s the night of %s.", sayLow(req, c.Low), sayDate(req, c.Night))
	if len(hurt) == 0 {
		return desk.Answer(head + " Nothing that is written down as standing outside would be hurt."), nil
	}
	out := desk.Answer(head + " Cover or bring in:")
	for _, h := range hurt {
		out.Lines = append(out.Lines, h.says())
	}
	if when.IsZero() {
		out.Lines = append(out.Lines, nowSaid(req, c.Night))
		return out, nil
	}
	out.Lines = append(out.Lines, fmt.Sprintf("A bell rings at dusk, %s.", req.Say(when)))
	return out, nil
}

// nowSaid says why no bell rings any more: dusk is past, or the quiet hours come first.
func nowSaid(req *desk.Request, night time.Time) string {
	if req.Now.Before(sundown(req, night)) {
		return "Now: the quiet hours come before dusk."
	}
	return "Now: it is past dusk."
}

// settleNight makes the bell of a night that was told agree with what stands outside
// in it, and says when it rings; zero when dusk is past. A bell that has rung goes on
// ringing while there is anything to cover.
func settleNight(req *desk.Request, c storage.Cold, hurt []threatened) (time.Time, error) {
	when := dusk(req, c.Night)
	b, has, err := nightBell(req, c.Night)
	if err != nil {
		return when, err
	}
	if len(hurt) == 0 {
		if has {
			err = req.Tx.StopBell(b.ID, req.Now)
		}
		return when, err
	}
	late := !when.After(req.Now)
	want := coverBell(req, c, hurt, when)
	switch {
	case late && !has:
		return time.Time{}, nil
	case late:
		b.Title = want.Title
		return time.Time{}, req.Tx.SaveBell(b)
	case has && b.Title == want.Title && b.Hint == want.Hint:
		return when, nil
	case has:
		if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
			return when, err
		}
	}
	_, err = req.Tx.AddBell(want)
	return when, err
}

// nightBell is the bell of a night that is not stopped.
func nightBell(req *desk.Request, night time.Time) (storage.Bell, bool, error) {
	bells, err := req.Tx.SubjectBells(req.House.ID, nightSubject(night))
	for _, b := range slices.Backward(bells) {
		if !b.Stopped {
			return b, true, err
		}
	}
	return storage.Bell{}, false, err
}

// nightSubject is what the bell and the day book tie to a night.
func nightSubject(night time.Time) string { return "frost:" + night.Format(time.DateOnly) }

func coverBell(req *desk.Request, c storage.Cold, hurt []threatened, when time.Time) storage.Bell {
	var names []string
	for _, h := range hurt {
		names = append(names, h.title())
	}
	return storage.Bell{
		Household: req.House.ID, Title: "cover against frost: " + desk.List(names), Hint: fmt.Sprintf("A low of %s is forecast. Fleece, sacks or boxes, off again in the morning; trays come in.", sayLow(req, c.Low)), Whom: reminders.Keepers,
		Next: when, Useful: 8 * time.Hour, Subject: nightSubject(c.Night), Step: "cover", Why: "a low of " + sayLow(req, c.Low) + " was forecast", Made: req.Now, Care: true,
	}
}

// settleNights works the warning of every night that was told out again, after
// something went out, was lost or ended. It says what a sowing that now stands outside
// has before it.
func settleNights(req *desk.Request, s sown) ([]string, error) {
	told, err := req.Tx.ColdsFrom(req.House.ID, tonight(req))
	if err != nil || len(told) == 0 {
		return nil, err
	}
	all, err := standingNow(req)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, c := range told {
		hurt := harmed(all, c)
		when, err := settleNight(req, c, hurt)
		if err != nil {
			return nil, err
		}
		i := slices.IndexFunc(hurt, func(h threatened) bool { return h.Num == s.Num })
		if i < 0 {
			continue
		}
		text := fmt.Sprintf("A low of %s is forecast for the night of %s: cover %s", sayLow(req, c.Low), sayDate(req, c.Night), s.title())
		if hurt[i].hardening() {
			text = fmt.Sprintf("A low of %s is forecast for the night of %s: %s comes in", sayLow(req, c.Low), sayDate(req, c.Night), s.title())
		}
		if when.IsZero() {
			out = append(out, text+" now.")
			continue
		}
		out = append(out, text+"; a bell rings at dusk.")
	}
	return out, nil
}

// dusk is when the bell of a night rings: before the sun is down, and before the
// household's quiet hours would hold it back until the plants are dead.
func dusk(req *desk.Request, night time.Time) time.Time {
	when := sundown(req, night)
	if q := req.House.Quiet; q.On {
		last := req.Instant(reminders.AtMinutes(night, q.From)).Add(-beforeQuiet)
		runsOn := q.From > q.To // past midnight
		if runsOn && when.After(last) {
			return last
		}
	}
	return when
}

// sundown is shortly before the sun sets, or the usual hour where the place is not known.
func sundown(req *desk.Request, night time.Time) time.Time {
	when := req.Instant(night.Add(usualDusk))
	if lat, lon, ok := place(req); ok {
		if sun, err := daylight.SunOn(lat, lon, night); err == nil && !sun.Up && !sun.Down {
			when = sun.Set.Add(-beforeSunset).Truncate(5 * time.Minute)
		}
	}
	return when
}

// holdBack moves the setting out of what a cold night would hurt to the day after it.
func holdBack(req *desk.Request, all []sown, night time.Time, low float64) ([]string, error) {
	var out []string
	for _, s := range all {
		if !s.Planted.IsZero() || s.Outdoors || sowing.HarmAt(s.kind.Crop, low, false) == sowing.Safe {
			continue
		}
		b, ok, err := stepBell(req, s.Sowing, stepSetOut)
		if err != nil {
			return nil, err
		}
		day := night.AddDate(0, 0, 2)
		waits, err := waitUntil(req, b, ok, reminders.RoundOn(req.House, day))
		if err != nil {
			return nil, err
		}
		if !waits {
			continue
		}
		out = append(out, fmt.Sprintf("Do not set out %s before %s: its bell waits.", s.title(), sayDate(req, day)))
	}
	return out, nil
}

// waitUntil moves a bell that is due before an instant to it, or the ring of it that is
// open; false when neither has to wait.
func waitUntil(req *desk.Request, b storage.Bell, is bool, until time.Time) (bool, error) {
	if !is {
		return false, nil
	}
	if !b.Next.IsZero() {
		if !b.Next.Before(until) {
			return false, nil
		}
		return true, req.Tx.MoveBell(b.ID, until, b.Due, b.Remain)
	}
	open, err := req.Tx.RingsOf(b.ID)
	if err != nil {
		return false, err
	}
	for _, g := range open {
		g.Wake, g.Said, g.Held = until, 0, time.Time{}
		if err := req.Tx.SaveRing(g); err != nil {
			return false, err
		}
	}
	return len(open) > 0, nil
}
