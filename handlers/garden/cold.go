package garden

import (
	"fmt"
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
		Forms: []string{"^frost tonight|tomorrow", "^frost on|forecast", "^forecast", "^low tonight|tomorrow", "^frost", "^tonight|tomorrow * frost|low", "^cold tonight|tomorrow", "frost tonight|tomorrow"}, Lists: []string{"crops"},
		Kinds: []phrase.Kind{phrase.KindDate, phrase.KindPart, phrase.KindQuantity, phrase.KindNumber}, Needs: []desk.Need{{Kind: phrase.KindNumber}, {Kind: phrase.KindQuantity}},
		Fill:     []string{"frost", "forecast", "low", "lows", "minus", "negative", "below", "degrees", "degree", "night", "cold", "tonight", "tomorrow", "down", "f", "c", "say", "says", "they", "giving", "expected", "coming", "warning", "freezing", "celsius", "fahrenheit", "will", "be", "alright", "ok", "all", "right", "safe", "survive"},
		Examples: []desk.Example{{Line: "frost tonight -1"}, {Line: "frost tomorrow 30F"}, {Line: "forecast low tonight minus 2"}},
		Plain:    func(req *desk.Request) bool { return len(req.Reading.Unknown) == 0 && onlyOne(req) }, Do: cold,
	}
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
	noonMinutes  = 12 * 60
)

// cold takes a forecast low: what it would hurt, what waits, and a bell at dusk.
func cold(req *desk.Request) (desk.Reply, error) {
	low, ok := degreesSaid(req)
	if !ok {
		return desk.AskBack("How cold is it to be? For example: " + lowExample(req)), nil
	}
	night := nightSaid(req)
	if night.Before(dayOf(req)) || night.After(dayOf(req).AddDate(0, 0, 14)) {
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
	if err := req.Record(storage.Entry{Kind: "cold", About: "frost:" + night.Format(time.DateOnly), Text: said}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SetCold(req.House.ID, night, low); err != nil {
		return desk.Reply{}, err
	}
	hurt := harmed(all, low)
	waits, err := holdBack(req, all, night, low)
	if err != nil {
		return desk.Reply{}, err
	}
	out, err := warning(req, night, low, hurt)
	if err != nil {
		return desk.Reply{}, err
	}
	out.Lines = append(out.Lines, waits...)
	out.Assumed = []string{"the low is that of the forecast, at head height: on a still clear night the ground is 2 to 4 C (4 to 7 F) colder", "what each stands by its kind (common practice)"}
	return out, nil
}

// nightSaid is the day on whose evening the night begins. The small hours of a date
// belong to the night before it only where "tonight" says so.
func nightSaid(req *desk.Request) time.Time {
	if w := req.Reading.Moment(req.Context(), phrase.Future); w.Count > 0 {
		return reminders.Day(w.Wall)
	}
	if hasWord(req, "tomorrow") {
		return dayOf(req).AddDate(0, 0, 1)
	}
	return dayOf(req)
}

// at risk is one sowing that a low would hurt.
type threatened struct {
	sown
	harm sowing.Harm
}

// harmed are the sowings outside that a low puts at risk, the worst first.
func harmed(all []sown, low float64) []threatened {
	var hurt, risk []threatened
	for _, s := range all {
		if !s.outside() {
			continue
		}
		switch h := sowing.HarmAt(s.kind.Crop, low, s.hardening()); h {
		case sowing.Hurt:
			hurt = append(hurt, threatened{s, h})
		case sowing.AtRisk:
			risk = append(risk, threatened{s, h})
		}
	}
	return append(hurt, risk...)
}

// warning tells what the night would hurt and sets the bell at dusk, in place of an
// earlier one for the same night.
func warning(req *desk.Request, night time.Time, low float64, hurt []threatened) (desk.Reply, error) {
	subject := "frost:" + night.Format(time.DateOnly)
	bells, err := req.Tx.SubjectBells(req.House.ID, subject)
	if err != nil {
		return desk.Reply{}, err
	}
	for _, b := range bells {
		if !b.Stopped {
			if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
				return desk.Reply{}, err
			}
		}
	}
	head := fmt.Sprintf("%s the night of %s.", sayLow(req, low), sayDate(req, night))
	if len(hurt) == 0 {
		return desk.Answer(head + " Nothing that is written down as standing outside would be hurt."), nil
	}
	var names []string
	out := desk.Answer(head + " Cover or bring in:")
	for _, h := range hurt {
		names = append(names, h.title())
		line := h.title() + ": would be hurt"
		switch {
		case h.harm == sowing.AtRisk:
			line = h.title() + ": at risk"
		case h.hardening():
			line = h.title() + ": in for the night"
		}
		out.Lines = append(out.Lines, line)
	}
	when := dusk(req, night)
	if !when.After(req.Now) {
		out.Lines = append(out.Lines, "Now: it is past dusk.")
		return out, nil
	}
	_, err = req.Tx.AddBell(storage.Bell{
		Household: req.House.ID, Title: "cover against frost: " + desk.List(names), Hint: fmt.Sprintf("A low of %s is forecast. Fleece, sacks or boxes, off again in the morning; trays come in.", sayLow(req, low)), Whom: reminders.Keepers,
		Next: when, Useful: 8 * time.Hour, Subject: subject, Step: "cover", Why: "a low of " + sayLow(req, low) + " was forecast", Made: req.Now, Care: true,
	})
	out.Lines = append(out.Lines, fmt.Sprintf("A bell rings at dusk, %s.", req.Say(when)))
	return out, err
}

// dusk is when the bell of a night rings: before the sun is down, and before the
// household's quiet hours would hold it back until the plants are dead.
func dusk(req *desk.Request, night time.Time) time.Time {
	when := req.Instant(night.Add(usualDusk))
	if lat, lon, ok := place(req); ok {
		if sun, err := daylight.SunOn(lat, lon, night); err == nil && !sun.Up && !sun.Down {
			when = sun.Set.Add(-beforeSunset).Truncate(5 * time.Minute)
		}
	}
	if q := req.House.Quiet; q.On {
		if last := req.Instant(reminders.AtMinutes(night, q.From)).Add(-beforeQuiet); q.From >= noonMinutes && when.After(last) {
			return last
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
