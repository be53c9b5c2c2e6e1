package kitchen

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/measure"
	"yardbell/calc/safety"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

func coolAsk() desk.Ask {
	return desk.Ask{
		Name: "cool", Command: "meal", Text: true, Lists: []string{"recipes"}, Kinds: []phrase.Kind{phrase.KindClock, phrase.KindPart, phrase.KindDate, phrase.KindAfter, phrase.KindQuantity, phrase.KindNumber}, Help: "cooked ahead: the two limits of cooling, as bells that do not give up",
		Forms:    []string{"off the heat|stove|hob", "is|are cooked and cooling", "^cool the", "is|are cooling", "out of the oven to cool"},
		Examples: []desk.Example{{Setup: []string{oatcakes, soupText}, Line: "the barley soup is off the heat"}},
		Plain: func(req *desk.Request) bool {
			first := req.Reading.Tokens[0].Low
			return !strings.Contains(req.Text, "?") && len(req.Reading.Terms("recipes")) > 0 && !req.Mentions("lye", "please", "overnight", "nicely", "your", "mum", "dad") && !slices.Contains(notTold, first)
		},
		Do: cool,
	}
}

// asks begin a question; notTold an order too: nothing has happened by either.
var (
	asks    = []string{"can", "is", "are", "has", "have", "should", "will", "would", "could", "did", "do", "does", "who", "when", "if", "why", "may", "was", "shall"}
	notTold = append([]string{"take", "get", "bring"}, asks...)
)

// cool sets the bells of cooling: the two stages of the published rule.
func cool(req *desk.Request) (desk.Reply, error) {
	dish, _, reply, err := dishSaid(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	off := req.Wall
	if w := req.Reading.Moment(req.Context(), phrase.Past); w.HasClock && !w.Vague {
		off = w.Wall
	} else if w.Count > 0 {
		return desk.AskBack("At what time did it come off the heat? For example: the soup came off the heat at 13:10"), nil
	}
	due := safety.CoolingDue()
	if req.Now.Sub(req.Instant(off)) > due[0].Within {
		return desk.Answer(fmt.Sprintf("Off the heat since %s, the first limit (%s within %s) has passed.", reminders.SayTime(off, req.Wall, req.House.DayFirst), sayTemp(req, due[0].C), hours(due[0].Within)),
			fmt.Sprintf("Throw it out, unless it was measured below %s in time; then say the readings: the soup was 60 C at 13:10, 20 C at 15:00", sayTemp(req, due[0].C))), nil
	}
	if off.After(req.Wall) {
		return desk.AskBack(fmt.Sprintf("%s has not come yet. When did it come off the heat?", off.Format("15:04"))), nil
	}
	if reply, is, err := coolingAlready(req, dish); err != nil || is {
		return reply, err
	}
	if err := req.Record(storage.Entry{Kind: "cool", About: panSubject(dish), Text: dish + " is off the heat and cooling", Happened: req.Instant(off)}); err != nil {
		return desk.Reply{}, err
	}
	if err := insteadOfKept(req, dish); err != nil {
		return desk.Reply{}, err
	}
	return setCooling(req, dish, off)
}

// coolingAlready keeps the first limits of a dish that cools, unless the line says that it
// was heated again: a second "is cooling" adds no time.
func coolingAlready(req *desk.Request, dish string) (desk.Reply, bool, error) {
	pans, err := cooling(req)
	if err != nil || req.Mentions("again", "reheated", "reboiled") {
		return desk.Reply{}, false, err
	}
	i := slices.IndexFunc(pans, func(p pan) bool { return !p.hot && strings.EqualFold(p.dish, dish) })
	if i < 0 {
		return desk.Reply{}, false, nil
	}
	due := safety.CoolingDue()
	out := desk.Answer(fmt.Sprintf("%s is cooling already: the first limits stand.", desk.Upper(dish)))
	for _, b := range pans[i].open {
		c := due[0].C
		if b.Step == stage(2) {
			c = due[1].C
		}
		out.Lines = append(out.Lines, fmt.Sprintf("%s below %s", reminders.SayTime(req.WallOf(b.Until), req.Wall, req.House.DayFirst), sayTemp(req, c)))
	}
	out.Lines = append(out.Lines, fmt.Sprintf("Heated to %s all through again, once: the %s is off the heat again", sayTemp(req, safety.Reheat().C), strings.ToLower(dish)))
	return out, true, nil
}

// panSubject is what the bells of a cooling dish are about; "cooling" is the soap desk's,
// of lye.
func panSubject(dish string) string { return "pan:" + strings.ToLower(dish) }

// setCooling sets the bells of the two limits of a dish that came off the heat.
func setCooling(req *desk.Request, dish string, off time.Time) (desk.Reply, error) {
	due, subject := safety.CoolingDue(), panSubject(dish)
	again, err := coolsAgain(req, subject)
	if err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(fmt.Sprintf("%s is cooling since %s.", desk.Upper(dish), off.Format("15:04")))
	for i, f := range due {
		end := req.After(off, f.Within)
		ring := req.Instant(off).Add(f.Within - 15*time.Minute)
		hint := fmt.Sprintf("Below %s by %s, measured in the middle. Not there by then: back on the heat to %s at once, once only, and cool it again in shallow pans in an ice bath; later than that: throw it out.", sayTemp(req, f.C), end.Format("15:04"), sayTemp(req, safety.Reheat().C))
		if i == 1 {
			hint = fmt.Sprintf("Below %s by %s, measured in the middle. Not there: throw it out.", sayTemp(req, f.C), end.Format("15:04"))
		}
		if ring.Before(req.Now) {
			ring = req.Now.Add(time.Minute)
		}
		if _, err := req.Tx.AddBell(storage.Bell{
			Household: req.House.ID, Title: fmt.Sprintf("how cold is the %s", dish), Hint: hint, Whom: reminders.People(req.Who.ID), Next: ring,
			Until:  req.Instant(off).Add(f.Within), // the limit itself; the bell rings before it
			Safety: true, Firm: true, Useful: foodUseful, Subject: subject, Step: stage(i + 1), Again: untilHourPast(15 * time.Minute), Why: "food safety: cooling in two stages", Made: req.Now,
		}); err != nil {
			return desk.Reply{}, err
		}
		out.Lines = append(out.Lines, fmt.Sprintf("%s below %s", end.Format("15:04"), sayTemp(req, f.C)))
	}
	out.Lines = append(out.Lines, "Shallow pans, 5 cm of thick food at the most, in cold water or ice, stirred every 10 minutes; not in the crock.")
	if again {
		out.Cautions = append(out.Cautions, fmt.Sprintf("It was cooling before: the clock starts again only after %s all through, and once only. Otherwise undo this: the first limits hold.", sayTemp(req, safety.Reheat().C)))
	}
	return out, nil
}

// foodUseful is how long after a limit of food safety somebody is asked about it: a day
// later the pot has been eaten or thrown out, and the day book says that nobody answered.
const foodUseful = 24 * time.Hour

// untilHourPast is the ladder of a limit of food safety that rings so long before it:
// every ten minutes until an hour past the limit. Then the food is to be thrown out, and
// the rounds say so until somebody answers: nobody is woken all night for it.
func untilHourPast(before time.Duration) string {
	return reminders.Ladder{Wait: reminders.SafetyAgain, Times: int((before + time.Hour) / reminders.SafetyAgain)}.String()
}

// coolsAgain stops the bells of an earlier cooling of a dish, and reports that there were.
func coolsAgain(req *desk.Request, subject string) (bool, error) {
	bells, err := req.Tx.SubjectBells(req.House.ID, subject)
	if err != nil {
		return false, err
	}
	open := false
	for _, b := range bells {
		if b.Stopped {
			continue
		}
		open = true
		if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
			return false, err
		}
	}
	return open, nil
}

// cooled says with the done of a limit what it has to have been.
func cooled(req *desk.Request, b storage.Bell, _ time.Time) ([]string, error) {
	due := safety.CoolingDue()
	if b.Step == stage(1) {
		return []string{fmt.Sprintf("Below %s? If not: to %s at once, once only, or thrown out.", sayTemp(req, due[0].C), sayTemp(req, safety.Reheat().C))}, nil
	}
	return []string{fmt.Sprintf("Below %s? Into the fridge. If not: thrown out.", sayTemp(req, due[1].C))}, nil
}

// stage names a limit of cooling among a bell's steps.
func stage(n int) string { return fmt.Sprint("stage ", n) }

// insteadOfKept stops today's bell for what is left of a dish that is cooling now: the
// two limits of cooling take its place.
func insteadOfKept(req *desk.Request, dish string) error {
	day := reminders.Day(req.Wall)
	all, err := req.Tx.Meals(req.House.ID, day, day)
	if err != nil {
		return err
	}
	for _, m := range all {
		if !strings.EqualFold(m.Recipe, dish) {
			continue
		}
		bells, err := req.Tx.SubjectBells(req.House.ID, mealSubject(m))
		if err != nil {
			return err
		}
		for _, b := range bells {
			if b.Step != "kept" || b.Stopped {
				continue
			}
			if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
				return err
			}
		}
	}
	return nil
}

// sayTemp writes a temperature of food in the household's scale.
func sayTemp(req *desk.Request, c float64) string {
	if req.House.US {
		return fmt.Sprintf("%.0f F", c*9/5+32)
	}
	return fmt.Sprintf("%.0f C", c)
}

// heat is a temperature that a line names, in degrees Celsius.
func heat(req *desk.Request) (float64, bool) {
	for _, s := range req.Reading.Of(phrase.KindQuantity) {
		if q := s.Value.(phrase.Quantity); q.Unit.Dim == measure.Temperature {
			return q.Float(), true
		}
	}
	return 0, false
}
