package day

import (
	"fmt"
	"strings"
	"time"

	plan "yardbell/calc/day"
	"yardbell/handlers/desk"
	"yardbell/reminders"
)

// mostReasons is how many blocks are told of in which a job does not fit.
const mostReasons = 3

// why says why a job is laid where it is.
func (l *laying) why(p plan.Placement) string {
	var out []string
	asked := l.job(p.Job)
	for _, r := range p.Why {
		if r.Cause == plan.TooEarly && !asked.From.IsZero() && asked.Pin.IsZero() { // said once, as the day that was asked for
			continue
		}
		if text := l.reason(p.Job, r); text != "" && len(out) < mostReasons && !contains(out, text) {
			out = append(out, text)
		}
	}
	if day := asked.From; !day.IsZero() {
		text := "it was asked for from " + reminders.SayDay(day, l.req.Wall, l.req.House.DayFirst) + " on"
		if day.Equal(asked.Due) {
			text = "it was asked for on " + reminders.SayDay(day, l.req.Wall, l.req.House.DayFirst)
		}
		out = append([]string{text}, out...)
	}
	if len(out) == 0 {
		return "it is the first time that suits"
	}
	return strings.Join(out, "; ")
}

func contains(all []string, s string) bool {
	for _, a := range all {
		if a == s {
			return true
		}
	}
	return false
}

func (l *laying) when(t time.Time) string {
	return reminders.SayTime(t, l.req.Wall, l.req.House.DayFirst)
}

// in names a block with its day.
func (l *laying) in(r plan.Reason) string {
	name := r.Block
	if name == "" {
		name = restOfDay
	}
	if r.At.IsZero() {
		return name
	}
	if reminders.Day(r.At).Equal(reminders.Day(l.req.Wall)) {
		return name
	}
	return reminders.SayDay(r.At, l.req.Wall, l.req.House.DayFirst)
}

// reason writes one reason for people; empty for what says nothing to them.
func (l *laying) reason(key string, r plan.Reason) string {
	at := l.in(r)
	switch r.Cause {
	case plan.First:
		return "it is the first time that suits"
	case plan.Pinned:
		return "somebody set the time"
	case plan.Stayed:
		return "it stood there before"
	case plan.CameFrom:
		return "it stood at " + l.when(r.At) + " before"
	case plan.Replaced:
		return "others do it than before"
	case plan.LateBy:
		return fmt.Sprintf("it is %s late", desk.Plural(r.Days, "day"))
	case plan.Often:
		return "it has moved " + times(r.Times)
	case plan.IfDry:
		return "it needs dry weather, and nobody said how it will be"
	case plan.Parted:
		return fmt.Sprintf("in %d parts", r.Times)
	case plan.Passed:
		return ""
	case plan.TooEarly:
		if l.job(key).Help {
			return at + ": the children could not help"
		}
		return fmt.Sprintf("%s is before it may begin", at)
	case plan.TooLate:
		return fmt.Sprintf("%s is too late for it", at)
	case plan.TooShort:
		return fmt.Sprintf("%s is too short", at)
	case plan.NobodyIn:
		if len(r.People) > 0 {
			return fmt.Sprintf("%s: %s not free for so long", at, isAre(r.People))
		}
		return at + ": nobody is free for so long"
	case plan.About:
		if len(r.People) > 0 {
			return fmt.Sprintf("%s: %s about", at, isAre(r.People))
		}
		return at + ": children are about"
	case plan.KitchenIn:
		return at + ": the kitchen is in use"
	case plan.OvenIn:
		return at + ": the oven is in use"
	case plan.Dark:
		return at + ": it is dark"
	case plan.WetOut:
		return at + ": it is wet"
	case plan.Together:
		return at + ": what it needs does not come together for so long"
	case plan.TakenBy:
		return at + ": " + l.job(r.Job).Title + " comes first"
	case plan.NoBlock:
		return "no time is open for jobs"
	}
	return ""
}

func isAre(names []string) string {
	if len(names) == 1 {
		return names[0] + " is"
	}
	return desk.List(names) + " are"
}

// waits reports a job for a day after those that are laid.
func (l *laying) waits(key string) bool {
	return !l.job(key).From.Before(reminders.Day(l.req.Wall).AddDate(0, 0, ahead))
}

// sayLeft says that a job does not fit, why, and what would have to give.
func (l *laying) sayLeft(left plan.Left) string {
	j := l.job(left.Job)
	if l.waits(left.Job) {
		return fmt.Sprintf("%s waits for %s: it is laid in the week before", j.Title, reminders.SayDay(j.From, l.req.Wall, l.req.House.DayFirst))
	}
	text := fmt.Sprintf("no room in %d days for %s (%s)", ahead, j.Title, reminders.SayDuration(j.Takes))
	if j.Latest.IsZero() && left.Lost {
		text = fmt.Sprintf("no room any more for %s (%s)", j.Title, reminders.SayDuration(j.Takes))
	}
	var why []string
	for _, r := range left.Why {
		if r.Cause == plan.TooEarly && !j.From.IsZero() {
			continue
		}
		if s := l.reason(left.Job, r); s != "" && len(why) < 2 && !contains(why, s) {
			why = append(why, s)
		}
	}
	if len(why) > 0 {
		text += ": " + strings.Join(why, "; ")
	}
	if len(left.Give) > 0 {
		text += ". It would fit " + l.give(left.Give[0])
	}
	return text
}

// give writes what would have to give for a job to fit.
func (l *laying) give(g plan.Give) string {
	at := fmt.Sprintf("%s %s", reminders.SayDay(g.From, l.req.Wall, l.req.House.DayFirst), g.From.Format("15:04"))
	switch g.Change {
	case plan.Split:
		return fmt.Sprintf("%s in %d parts", at, g.Parts)
	case plan.Ask:
		return fmt.Sprintf("%s if %s did it", at, desk.List(g.People))
	case plan.Slip:
		return at + ", after its last day"
	case plan.Sooner:
		return at + ", before it was to begin"
	case plan.Chance:
		return at + ", if it may get wet"
	case plan.SendOut:
		return fmt.Sprintf("%s if %s elsewhere from %s to %s", at, areOf(g.People), g.Kept.From.Format("15:04"), g.Kept.To.Format("15:04"))
	case plan.Open:
		return fmt.Sprintf("%s if %s gave way", at, g.Block)
	case plan.Drop:
		return fmt.Sprintf("%s without %s", at, l.job(g.Job).Title)
	}
	return at
}

func areOf(names []string) string {
	if len(names) == 1 {
		return names[0] + " were"
	}
	return desk.List(names) + " were"
}
