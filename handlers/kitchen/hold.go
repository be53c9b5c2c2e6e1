package kitchen

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/safety"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// holdCheck is how often food that is kept hot is measured: what is too cool by then can
// still be heated again (common practice where food is served, with four hours as the
// end).
const holdCheck = 2 * time.Hour

// holdAsk keeps a dish hot until a time, with a bell that asks for its temperature.
func holdAsk() desk.Ask {
	return desk.Ask{
		Name: "hold", Command: "meal", Text: true, Lists: []string{"recipes"}, Kinds: []phrase.Kind{phrase.KindClock, phrase.KindDate, phrase.KindPart, phrase.KindAfter, phrase.KindDuration, phrase.KindNumber}, Help: "keep a dish hot until a time, measured on the way",
		Forms:    []string{"^keep * hot|warm until|till|to|for", "^keeping * hot|warm until|till|for", "^hold * hot|warm until|till|for", "^holding * hot|warm until|till|for"},
		Examples: []desk.Example{{Setup: []string{oatcakes, soupText}, Line: "keep the barley soup hot for 3 hours"}},
		Plain: func(req *desk.Request) bool {
			return !strings.Contains(req.Text, "?") && len(req.Reading.Terms("recipes")) > 0 && len(req.Reading.Unknown) == 0
		},
		Do: hold,
	}
}

// howHot begins the title of a bell that asks for the temperature of what is kept hot.
const howHot = "how hot is the "

func holdSubject(dish string) string { return "hot:" + strings.ToLower(dish) }

func hold(req *desk.Request) (desk.Reply, error) {
	dish, r, reply, err := dishSaid(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	end, ok := holdEnd(req)
	if !ok {
		return desk.AskBack(fmt.Sprintf("Until when? For example: keep the %s hot until 20:00", dish)), nil
	}
	if m, gone, err := outTooLong(req, dish); err != nil || gone {
		return desk.Refuse(fmt.Sprintf("It was served %s: what stood out for more than two hours is thrown out, not kept hot.", req.Say(m.At))), err
	}
	hot := sayTemp(req, safety.HoldHot().C)
	long := end.Sub(req.Now)
	if long > 12*time.Hour {
		return desk.Refuse(fmt.Sprintf("That is %s: cool it and heat it again instead. When it comes off: the %s is off the heat", reminders.SayDuration(long), dish)), nil
	}
	if err := req.Record(storage.Entry{Kind: "hold", About: holdSubject(dish), Text: fmt.Sprintf("%s kept hot until %s", dish, req.Say(end))}); err != nil {
		return desk.Reply{}, err
	}
	if err := stopSubject(req, holdSubject(dish)); err != nil {
		return desk.Reply{}, err
	}
	if err := insteadOfKept(req, dish); err != nil {
		return desk.Reply{}, err
	}
	next, err := holdBell(req, dish, req.Now, end)
	if err != nil {
		return desk.Reply{}, err
	}
	if err := afterHolding(req, dish, end); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(fmt.Sprintf("%s stays at %s or more until %s.", desk.Upper(dish), hot, reminders.SayTime(req.WallOf(end), req.Wall, req.House.DayFirst)))
	out.Lines = append(out.Lines, fmt.Sprintf("%s measure it; I ask.", reminders.SayTime(req.WallOf(next), req.Wall, req.House.DayFirst)))
	for _, rule := range safety.Rules(dish + " " + r.Body + " slow cooker") {
		if rule.Name == "not on warm" {
			out.Cautions = append(out.Cautions, rule.Text)
		}
	}
	return out, nil
}

// holdEnd is until when food is kept hot: a time to come, or so long from now.
func holdEnd(req *desk.Request) (time.Time, bool) {
	for _, s := range req.Reading.Spans {
		if d, ok := s.Value.(time.Duration); ok && d > 0 {
			return req.Now.Add(d), true
		}
	}
	if hour := bareHour(req); hour > 0 {
		at := reminders.Day(req.Wall).Add(time.Duration(hour) * time.Hour)
		for !at.After(req.Wall) {
			at = at.Add(12 * time.Hour)
		}
		return req.Instant(at), true
	}
	w := evening(req, req.Reading.Moment(req.Context(), phrase.Future))
	if at := req.Instant(w.Wall); w.HasClock && !w.Vague && at.After(req.Now) {
		return at, true
	}
	return time.Time{}, false
}

// holdBell asks for the temperature of what is kept hot, two hours on or at the end.
func holdBell(req *desk.Request, dish string, from, end time.Time) (time.Time, error) {
	at := from.Add(holdCheck)
	if at.After(end) {
		at = end
	}
	_, err := req.Tx.AddBell(storage.Bell{
		Household: req.House.ID, Title: howHot + dish, Whom: cook(req), Next: at, Until: end,
		Hint:   fmt.Sprintf("%s or more, measured in the middle. Below that for less than two hours: to %s at once. Longer, or nobody knows: throw it out.", sayTemp(req, safety.HoldHot().C), sayTemp(req, safety.Reheat().C)),
		Safety: true, Firm: true, Useful: foodUseful, Subject: holdSubject(dish), Again: untilHourPast(0), Why: "food safety: kept hot until " + req.Say(end), Made: req.Now,
	})
	return at, err
}

// afterHolding rings for what is left once nothing keeps it hot any more.
func afterHolding(req *desk.Request, dish string, end time.Time) error {
	by := end.Add(putAway)
	_, err := req.Tx.AddBell(storage.Bell{
		Household: req.House.ID, Title: "what is left of the " + dish + " into the fridge", Hint: fmt.Sprintf("Two hours out at the most (one above 32 C): by %s. In shallow boxes; thrown after that.", reminders.SayTime(req.WallOf(by), req.Wall, req.House.DayFirst)),
		Whom: cook(req), Next: by.Add(-beforeEnd), Safety: true, Firm: true, Useful: foodUseful, Subject: holdSubject(dish), Step: "kept", Again: untilHourPast(beforeEnd), Why: "food safety: the two-hour rule", Made: req.Now,
	})
	return err
}

// outTooLong reports a dish of today that was served more than two hours ago and is not
// kept hot.
func outTooLong(req *desk.Request, dish string) (storage.Meal, bool, error) {
	pans, err := cooling(req)
	if err != nil || slices.ContainsFunc(pans, func(p pan) bool { return p.hot && strings.EqualFold(p.dish, dish) }) {
		return storage.Meal{}, false, err
	}
	day := reminders.Day(req.Wall)
	all, err := req.Tx.Meals(req.House.ID, day, day)
	for _, m := range all {
		if strings.EqualFold(m.Recipe, dish) && !m.At.IsZero() && req.Now.Sub(m.At) > putAway {
			return m, true, err
		}
	}
	return storage.Meal{}, false, err
}

// held sets the next bell of what is kept hot, once one is answered.
func held(req *desk.Request, b storage.Bell, at time.Time) ([]string, error) {
	end := b.Until
	if b.Step == "kept" || !end.After(at) {
		return nil, nil
	}
	dish := strings.TrimPrefix(b.Title, howHot)
	next, err := holdBell(req, dish, at, end)
	if err != nil {
		return nil, err
	}
	return []string{fmt.Sprintf("Measured again %s.", reminders.SayTime(req.WallOf(next), req.Wall, req.House.DayFirst))}, nil
}

// stopSubject ends what rings about a subject.
func stopSubject(req *desk.Request, subject string) error {
	bells, err := req.Tx.SubjectBells(req.House.ID, subject)
	if err != nil {
		return err
	}
	for _, b := range slices.DeleteFunc(bells, func(b storage.Bell) bool { return b.Stopped }) {
		if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
			return err
		}
	}
	return nil
}
