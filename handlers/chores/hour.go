package chores

import (
	"fmt"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

// bareHour is an hour that stands behind its days with no more: "sundays 10".
var bareHour = phrase.NewPattern(`(?i)\b((?:mon|tues|wednes|thurs|fri|satur|sun)days?|daily|every day|weekdays|weekends|nightly) (\d{1,2})(,|\.|$)`)

// withAt writes "sundays 10" as "sundays at 10".
func withAt(text string) string { return bareHour.ReplaceAllString(text, "$1 at $2$3") }

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
	return o.verb && !o.subject && o.how == "" && r.req.May() && daysOnly(r) && len(phrase.Words(o.name)) > 1 && o.isWork(r) && len(r.reading.Of(phrase.KindUntil))+len(r.reading.Of(phrase.KindTimes)) == 0
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
