package kitchen

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/dayplan"
	"yardbell/handlers/desk"
	"yardbell/reminders"
	"yardbell/storage"
)

// twoHours is how long cooked food may stand out, and how long before that the bell rings.
const (
	putAway   = 2 * time.Hour
	beforeEnd = 30 * time.Minute
)

// timetable sets the bells of the work and says them; what has begun by the plan
// already is told.
func timetable(req *desk.Request, m storage.Meal, slots []dayplan.Slot, text string) (desk.Reply, error) {
	begin := slots[0].Start
	out := desk.Answer(fmt.Sprintf("%s, served %s. Begin %s.", text, req.Say(m.At), reminders.SayTime(begin, req.Wall, req.House.DayFirst)))
	if first := slots[0].Latest; begin.Sub(first) >= 30*time.Minute && first.After(req.Wall) {
		out.Lines = append(out.Lines, fmt.Sprintf("Should all of it take its longest: begin %s.", reminders.SayTime(first, req.Wall, req.House.DayFirst)))
	}
	if !m.Ahead.IsZero() && cookedAt(slots).Before(req.Wall) { // cooked already: only the heating is left
		slots = slots[len(slots)-1:]
		out = desk.Answer(fmt.Sprintf("%s, served %s.", text, req.Say(m.At)))
	} else if begin.Before(req.Wall) {
		late, err := lateHead(req, slots, 0)
		if err != nil {
			return desk.Reply{}, err
		}
		out.Lines = append(out.Lines, late)
		slots = laidNow(req, slots, 0)
	}
	for i, s := range slots {
		if s.Step.Kind == dayplan.Reheat && i > 0 {
			off := slots[i-1].End
			out.Lines = append(out.Lines, fmt.Sprintf("%s off the heat, into shallow pans; tell me done, and I ring for its two limits.", reminders.SayTime(off, req.Wall, req.House.DayFirst)))
			if err := cookedBell(req, m, off); err != nil {
				return desk.Reply{}, err
			}
		}
		out.Lines = append(out.Lines, slotLine(req.Wall, s, req.House.DayFirst))
		if err := mealBell(req, m, s); err != nil {
			return desk.Reply{}, err
		}
	}
	served := slots[len(slots)-1].End
	ready := m
	ready.At = req.Instant(served)
	if err := serveBell(req, ready); err != nil {
		return desk.Reply{}, err
	}
	out.Lines = append(out.Lines, reminders.SayTime(served, req.Wall, req.House.DayFirst)+" serve")
	clash, err := clashes(req, m, slots)
	if err != nil {
		return desk.Reply{}, err
	}
	out.Cautions = append(out.Cautions, clash...)
	if err := keptBell(req, m, served); err != nil {
		return desk.Reply{}, err
	}
	out.Lines = append(out.Lines, fmt.Sprintf("%s what is left goes into the fridge: two hours out at the most.", reminders.SayTime(req.After(served, putAway-beforeEnd), req.Wall, req.House.DayFirst)))
	return out, nil
}

// laidNow lays the rest of the work from now on.
func laidNow(req *desk.Request, slots []dayplan.Slot, done int) []dayplan.Slot {
	left, _, _, err := forward(req, req.Wall, done, slots)
	if err != nil {
		return slots
	}
	return left
}

// lateHead says what beginning now comes to.
func lateHead(req *desk.Request, slots []dayplan.Slot, done int) (string, error) {
	_, ready, high, err := forward(req, req.Wall, done, slots)
	if err != nil {
		return "", fmt.Errorf("a late start: %w", err)
	}
	served := slots[len(slots)-1].End
	if !ready.After(served) {
		return "It is in time still.", nil
	}
	text := fmt.Sprintf("Late: begun now it is ready %s.", reminders.SayTime(ready, req.Wall, req.House.DayFirst))
	if high {
		text += " On high instead of low it is ready in time."
	}
	return text, nil
}

// mealBell rings when a piece of work begins.
func mealBell(req *desk.Request, m storage.Meal, s dayplan.Slot) error {
	at := req.Instant(s.Start)
	if at.Before(req.Now) {
		return nil
	}
	b := storage.Bell{
		Household: req.House.ID, Title: mealTitle(m, s), Whom: reminders.People(req.Who.ID), Next: at, Useful: 2 * time.Hour,
		Subject: mealSubject(m), Step: s.Step.Kind.String(), Why: fmt.Sprintf("%s is served %s", m.Recipe, req.Say(m.At)), Made: req.Now, Care: true,
	}
	if s.Step.Likely > 0 && !saysHowLong.MatchString(s.Step.Name) {
		b.Hint = "For " + reminders.SayDuration(s.Step.Likely) + "."
	}
	if s.Step.Kind == dayplan.Reheat {
		b.Hint = "On the hob or in the oven, never in a slow cooker; a soup to a rolling boil. Measured in the middle; once only."
		b.Safety, b.Firm, b.Again, b.Useful = true, true, untilHourPast(s.Step.Likely), foodUseful
	}
	if reminders.NotForChild(b) {
		b.Whom = cook(req)
	}
	_, err := req.Tx.AddBell(b)
	return err
}

// serveBell rings when a dish is ready: a pot that stays on burns.
func serveBell(req *desk.Request, m storage.Meal) error {
	b := storage.Bell{
		Household: req.House.ID, Title: "serve the " + m.Recipe, Hint: "Off the heat, or to warm.", Whom: cook(req), Next: m.At, Useful: time.Hour, Subject: mealSubject(m), Step: dayplan.Serve.String(),
		Why: fmt.Sprintf("%s is planned for %s", m.Recipe, req.Say(m.At)), Made: req.Now, Care: true,
	}
	if m.Away > 0 {
		b.Hint += fmt.Sprintf(" %s of the portions are to give: into a pan of their own.", number(m.Away))
	}
	_, err := req.Tx.AddBell(b)
	return err
}

// cook is who is rung for what no child does: who planned the meal, or the keepers.
func cook(req *desk.Request) string {
	if req.Who.Child(req.Now) {
		return reminders.Keepers
	}
	return reminders.People(req.Who.ID)
}

// keptBell does not give up: what is left may stand out for two hours at the most.
func keptBell(req *desk.Request, m storage.Meal, served time.Time) error {
	end := req.After(served, putAway)
	_, err := req.Tx.AddBell(storage.Bell{
		Household: req.House.ID, Title: "what is left of the " + m.Recipe + " into the fridge", Hint: fmt.Sprintf("Two hours out at the most (one above 32 C): by %s. In shallow boxes; thrown after that.", reminders.SayTime(end, req.Wall, req.House.DayFirst)),
		Whom: cook(req), Next: req.Instant(served).Add(putAway - beforeEnd), Safety: true, Firm: true, Useful: foodUseful, Subject: mealSubject(m), Step: "kept", Again: untilHourPast(beforeEnd), Why: "food safety: the two-hour rule", Made: req.Now,
	})
	return err
}

// clashes holds a meal against the others of its day.
func clashes(req *desk.Request, m storage.Meal, slots []dayplan.Slot) ([]string, error) {
	all, err := req.Tx.Meals(req.House.ID, m.Day, m.Day)
	if err != nil {
		return nil, err
	}
	recipes, err := req.Tx.Recipes(req.House.ID)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, o := range all {
		if o.Num == m.Num || o.At.IsZero() {
			continue
		}
		r := storage.Recipe{}
		if i := slices.IndexFunc(recipes, func(r storage.Recipe) bool { return strings.EqualFold(r.Name, o.Recipe) }); i >= 0 {
			r = recipes[i]
		}
		steps, ok := mealSteps(req, o, r)
		if !ok {
			continue
		}
		theirs, err := laidFor(req, o, steps)
		if err != nil {
			continue
		}
		for _, c := range dayplan.Clashes(slots, theirs) {
			if c.Why == dayplan.Hands {
				continue // two pots want one cook every day
			}
			out = append(out, fmt.Sprintf("With %s: %s, %s to %s.", o.Recipe, c.Why, reminders.SayTime(c.From, req.Wall, req.House.DayFirst), c.To.Format("15:04")))
		}
	}
	return out, nil
}

// mealTitle names a piece of work with its dish.
func mealTitle(m storage.Meal, s dayplan.Slot) string {
	if s.Step.Kind == dayplan.Reheat { // which says its dish
		return s.Step.Name
	}
	return m.Recipe + ": " + s.Step.Name
}
