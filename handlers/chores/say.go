package chores

import (
	"fmt"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// sayTo says for whom a chore is.
func sayTo(req *desk.Request, c storage.Chore, bells []storage.Bell) string {
	if len(bells) == 0 {
		return "nobody"
	}
	if c.How == storage.ChoreDays {
		var out []string
		for _, b := range bells {
			out = append(out, reminders.SayWhom(b.Whom, req.People, req.Now)+" "+daysOf(b))
		}
		return strings.Join(out, ", ")
	}
	whom := reminders.SayWhom(bells[0].Whom, req.People, req.Now)
	if c.How == storage.ChoreFree && len(reminders.Roll(bells[0].Whom, req.People)) > 3 {
		return "whoever is free"
	}
	if c.How == storage.ChoreFree {
		return "whoever is free of " + whom
	}
	return whom
}

// daysOf writes the days of a weekly bell: "Mon Wed Fri".
func daysOf(b storage.Bell) string {
	text, _, _ := strings.Cut(reminders.SaySchedule(b.Schedule), " at ")
	return strings.TrimPrefix(text, "every ")
}

// sayWhen says when a chore comes round.
func sayWhen(req *desk.Request, bells []storage.Bell) string {
	if len(bells) == 0 {
		return "never"
	}
	b := bells[0]
	switch {
	case b.Schedule == "" && b.Next.IsZero():
		return "once, " + req.Say(b.Due)
	case b.Schedule == "" && b.Daily:
		return req.SayDay(b.Next) + " in the round"
	case b.Schedule == "":
		return req.Say(b.Next)
	case len(bells) > 1:
		_, at, _ := strings.Cut(reminders.SaySchedule(b.Schedule), " at ")
		return "at " + at
	}
	text := reminders.SaySchedule(b.Schedule)
	if days, _, ok := strings.Cut(text, " at "); ok && b.Daily {
		text = days + " in the round at " + req.House.Rounds[0].String()
	}
	if b.Remain > 0 {
		text += fmt.Sprintf(", %d times", b.Remain)
	}
	if !b.Until.IsZero() {
		text += ", until " + req.SayDay(b.Until)
	}
	return text
}

// short is a chore without its verb, where a thing is left: "the hens".
func short(name string) string {
	verb, rest, several := strings.Cut(name, " ")
	switch {
	case several && baseVerbs()[verb] == verb && strings.HasPrefix(rest, "the "):
		return rest
	case !several:
		return "the " + name
	}
	return name
}

func clocks(times []phrase.Clock) string {
	var out []string
	for _, c := range times {
		out = append(out, fmt.Sprintf("%02d:%02d", c.Hour, c.Minute))
	}
	return desk.List(out)
}

func names(who []storage.Person) string {
	var out []string
	for _, p := range who {
		out = append(out, p.Name)
	}
	return desk.List(out)
}

func ids(who []storage.Person) []int64 {
	var out []int64
	for _, p := range who {
		out = append(out, p.ID)
	}
	return out
}

func everybody(req *desk.Request) string {
	return names(reminders.Expand(reminders.Everyone, req.People, req.Now))
}

func keepers(req *desk.Request) string {
	all := names(reminders.Expand(reminders.Keepers, req.People, req.Now))
	return strings.ReplaceAll(all, " and ", " or ")
}

func adults(req *desk.Request) []string {
	var out []string
	for _, p := range req.People {
		if !p.Gone && !p.Child(req.Now) {
			out = append(out, p.Name)
		}
	}
	return out
}

// spend writes minutes for people: 45 min, 1 h 35 min.
func spend(minutes int) string {
	switch {
	case minutes < 60:
		return fmt.Sprintf("%d min", minutes)
	case minutes%60 == 0:
		return fmt.Sprintf("%d h", minutes/60)
	}
	return fmt.Sprintf("%d h %d min", minutes/60, minutes%60)
}
