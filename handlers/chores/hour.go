package chores

import (
	"fmt"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// bareHour is an hour that stands behind its days with no more: "sundays 10".
var bareHour = phrase.NewPattern(`(?i)\b((?:mon|tues|wednes|thurs|fri|satur|sun)days?|daily|every day|weekdays|weekends|nightly) (\d{1,2})(,|\.|$)`)

// dayParts are "thursday nights".
var dayParts = phrase.NewPattern(`(?i)\b((?:mon|tues|wednes|thurs|fri|satur|sun)day) (morning|afternoon|evening|night)s\b`)

// withAt writes "sundays 10" as "sundays at 10", and "thursday nights" as "every thursday
// night".
func withAt(text string) string {
	return dayParts.ReplaceAllString(bareHour.ReplaceAllString(text, "$1 at $2$3"), "every $1 $2")
}

// hourless reports a plain sentence that gives work out by its days and says no hour, or
// how often a day and not when: "Ivo mucks out the goats daily, 40 min".
func (o *order) hourless(r *reader) bool {
	if !o.started || r.timed() || o.sun != "" || !daysOnly(r) || !o.isWork(r) {
		return false
	}
	all := o.everyone()
	return r.req.May() || len(all) == 1 && all[0].ID == r.req.Who.ID
}

// wholess reports an order to nobody: "feed the cat every day at 8".
func (o *order) wholess(r *reader) bool {
	return o.verb && !o.subject && o.how == "" && r.req.May() && !r.req.Mentions("your", "you", "yourself") && daysOnly(r) && len(phrase.Words(o.name)) > 1 && o.isWork(r) && len(r.reading.Of(phrase.KindUntil))+len(r.reading.Of(phrase.KindTimes)) == 0
}

// daysOnly reports a repeat by days, weeks or months, and no date beside it.
func daysOnly(r *reader) bool {
	rule := ruleOf(r.reading)
	return rule != nil && rule.Freq != "HOURLY" && rule.Freq != "MINUTELY" && len(r.reading.Of(phrase.KindDate)) == 0
}

// askHour asks at what hour a chore comes round of which a plain sentence says the days
// alone; what is to be refused or asked otherwise goes first.
func askHour(req *desk.Request) (desk.Reply, bool, error) {
	o, r, _, ok := read(req, req.Text)
	if !ok || !o.hourless(r) {
		return desk.Reply{}, false, nil
	}
	if _, reply, ok, err := o.whole(r); err != nil || !ok {
		return reply, true, err
	}
	return desk.AskBack(fmt.Sprintf("At what hour? For example: %s, at 7", asCommand(req.Text)), desk.Labelled("In the morning round", asCommand(req.Text))), true, nil
}

// plainOneDay wants a chore, an hour and one day: "hens at 9 tomorrow only".
func plainOneDay(req *desk.Request) bool {
	times, _ := req.Reading.DayTimes()
	return len(times) == 1 && len(daysSaid(req)) == 1 && len(req.Reading.Of(phrase.KindClock)) == 1 && req.May() && !strings.ContainsAny(req.Text, "?!")
}

// oneDay says how one day gets another hour: a chore has the hours of all its days.
func oneDay(req *desk.Request) (desk.Reply, error) {
	return changing(func(req *desk.Request, c storage.Chore) (desk.Reply, error) {
		bells, err := bellsOf(req, c)
		times, _ := req.Reading.DayTimes()
		days := daysSaid(req)
		if err != nil || len(times) != 1 || len(days) != 1 {
			return desk.Reply{}, silentOr(err)
		}
		day := days[0].Format("2 January")
		return desk.AskBack(fmt.Sprintf("%s: %s, %s. Its hour is that of all its days; for %s alone, two lines:", desk.Upper(c.Name), sayTo(req, c, bells), sayWhen(req, bells), reminders.SayDay(days[0], req.Wall, req.House.DayFirst)),
			desk.Labelled("Not on that day", fmt.Sprintf("pause %s on %s", c.Name, day)),
			desk.Labelled("Once at "+clocks(times), fmt.Sprintf("chore %s %s on %s at %s, as well", c.Name, sayTo(req, c, bells), day, clocks(times)))), nil
	})(req)
}
