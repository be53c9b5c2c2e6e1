package reminders

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"yardbell/storage"
)

// Dated is what a calendar shows of a bell: once, or again and again by a rule of
// RFC 5545 that begins at Start.
type Dated struct {
	Bell   storage.Bell
	Part   string      // tells the entries of one bell apart; the same each time that it is asked for
	Start  time.Time   // on the household's clock; midnight of its day where the bell belongs to a day
	At     time.Time   // the instant of Start
	Odd    bool        // only At says when it is: the household's clock shows Start twice, or not at all, or does not count
	Rule   string      // empty for once
	Until  time.Time   // the last instant that the rule may give, zero for no end
	Except []time.Time // on the household's clock: what the rule gives and the bell does not
	Whom   string      // for whom it is: the bell's own, or whose turn it is
}

// MostSingles is how many times a bell is written that repeats by no rule.
const MostSingles = 500

// Reach says what of a household's time to come is asked for.
type Reach struct {
	To    time.Time         // what is written time by time ends here
	Ends  bool              // rules end there too
	Shows func(string) bool // whether a thing for some people (a whom) is shown
}

// Dated returns what a calendar shows of bells from their next time on. What repeats
// by the clock is a rule for each time of the day. What counts hours is written time
// by time, and so are turns of which some are not asked for.
func (h House) Dated(bells []storage.Bell, r Reach) ([]Dated, error) {
	var out []Dated
	some := map[int64]bool{}
	for _, b := range bells {
		if OneOf(b.Whom) && slices.ContainsFunc(Roll(b.Whom, h.People), func(p storage.Person) bool { return !r.Shows(People(p.ID)) }) {
			some[b.ID] = true
			continue
		}
		dated, err := h.dated(b, r)
		if err != nil {
			return nil, fmt.Errorf("bell %d: %w", b.Num, err)
		}
		out = append(out, dated...)
	}
	if len(some) == 0 {
		return out, nil
	}
	turns, err := h.turnsOf(bells, some, r)
	return append(out, turns...), err
}

// turnsOf writes those turns of some bells that are asked for. All bells are looked at:
// what one person is called to may decide who is called to the next.
func (h House) turnsOf(bells []storage.Bell, some map[int64]bool, r Reach) ([]Dated, error) {
	h.ledger = nil // what is booked here has not happened
	all, err := h.fallsDue(bells, r.To)
	if err != nil {
		return nil, err
	}
	var out []Dated
	written := map[int64]int{}
	for _, f := range all {
		one := *f.bell
		one.Whom = h.turn(f.bell, f.due, f.due)
		f.bell.Due = f.due
		if some[one.ID] && r.Shows(one.Whom) && written[one.ID] < MostSingles {
			written[one.ID]++
			out = append(out, h.single(one, f.due, stepPart(one, f.due)))
		}
	}
	return out, nil
}

// stepPart tells the times of a bell apart that are written one by one.
func stepPart(b storage.Bell, due time.Time) string {
	if b.Schedule == "" {
		return ""
	}
	return due.UTC().Format("20060102T1504")
}

func (h House) dated(b storage.Bell, r Reach) ([]Dated, error) {
	switch {
	case b.Next.IsZero() || !r.Shows(b.Whom) || r.Ends && b.Next.After(r.To):
		return nil, nil
	case b.Schedule == "":
		return h.singles(b, r)
	}
	rules, ok := rulesOf(b.Schedule)
	if !ok || len(rules) > 1 && (b.Daily || b.Remain > 0) {
		return h.singles(b, r)
	}
	if r.Ends && (b.Until.IsZero() || r.To.Before(b.Until)) {
		b.Until = r.To
	}
	out, b, err := h.offBeat(b)
	if err != nil {
		return nil, err
	}
	for i, rule := range rules {
		part := ""
		if i > 0 {
			part = strconv.Itoa(i + 1)
		}
		some, err := h.ruled(b, rule, part, r.To)
		if err != nil {
			return nil, err
		}
		out = append(out, some...)
	}
	return out, nil
}

// offBeat takes out the next time of a bell when its schedule does not give it, because
// somebody moved that one, and returns the bell from there on.
func (h House) offBeat(b storage.Bell) ([]Dated, storage.Bell, error) {
	s, err := h.Schedule(b)
	if err != nil || s.Next(b.Next.Add(-time.Second)).Equal(b.Next) {
		return nil, b, err
	}
	out := []Dated{h.single(b, b.Next, "next")}
	if b.Next = s.Next(b.Next); b.Remain == 1 {
		b.Next = time.Time{}
	}
	b.Remain = max(b.Remain-1, 0)
	return out, b, nil
}

func (h House) single(b storage.Bell, at time.Time, part string) Dated {
	d := Dated{Bell: b, Part: part, At: at, Start: Wall(at, h.Zone), Whom: b.Whom}
	if b.Daily {
		d.Start = Day(d.Start)
		return d
	}
	d.Odd = b.Elapsed || unsure(d.Start, h.Zone)
	return d
}

// singles writes a bell time by time.
func (h House) singles(b storage.Bell, r Reach) ([]Dated, error) {
	if b.Schedule == "" { // once, however far ahead
		r.To = later(r.To, b.Next)
	}
	dues, err := h.fallsDue([]storage.Bell{b}, r.To)
	if err != nil {
		return nil, err
	}
	var out []Dated
	for _, f := range dues[:min(len(dues), MostSingles)] {
		out = append(out, h.single(b, f.due, stepPart(b, f.due)))
	}
	return out, nil
}

// ruled writes a bell as one rule. Times that the household's clock passes over or
// shows twice are taken out of it and written by themselves, because programs read
// those differently.
func (h House) ruled(b storage.Bell, r clockRule, part string, to time.Time) ([]Dated, error) {
	b.Schedule = r.spec
	s, err := h.Schedule(b)
	if err != nil || b.Next.IsZero() {
		return nil, err
	}
	next := func(after time.Time) time.Time {
		if t := s.Next(after); b.Until.IsZero() || !t.After(b.Until) {
			return t
		}
		return time.Time{}
	}
	main := h.single(b, next(b.Next.Add(-time.Second)), part)
	if main.At.IsZero() {
		return nil, nil
	}
	main.Rule, main.Until = r.rule, b.Until
	switch last := Wall(b.Until, h.Zone); {
	case !b.Daily:
		main.Start = AtMinutes(main.Start, r.clock)
	case !b.Until.IsZero() && h.RoundOn(last).After(b.Until): // the round of its last day is too late
		main.Until = h.RoundOn(last.AddDate(0, 0, -1))
	}
	last := b.Until
	if b.Remain > 0 {
		n := 1
		for last = main.At; n < b.Remain && !next(last).IsZero(); n++ {
			last = next(last)
		}
		main.Rule, main.Until = r.rule+";COUNT="+strconv.Itoa(n), time.Time{} // a rule has a count or an end, never both
	}
	out := []Dated{main}
	for at := main.At; b.Rest != "" && !at.IsZero() && !at.After(to) && (last.IsZero() || !at.After(last)); at = next(at) {
		if day := Day(Wall(at, h.Zone)); b.Rest.Has(day) {
			out[0].Except = append(out[0].Except, AtMinutes(day, r.clock))
		}
	}
	for _, w := range unsureTimes(r.clock, h.Zone, main.At, to) {
		at := Instant(w, h.Zone)
		if b.Daily || b.Rest.Has(Day(w)) || at.Before(main.At) || !last.IsZero() && at.After(last) || !next(at.Add(-time.Second)).Equal(at) {
			continue
		}
		out[0].Except = append(out[0].Except, w)
		d := h.single(b, at, strings.TrimPrefix(part+"-"+w.Format("20060102"), "-"))
		d.Odd = true
		out = append(out, d)
	}
	out[0].Odd = false // its start is one of the rule's times, whatever the clock does that day
	return out, nil
}

// clockRule is a schedule for one time of the day, and the same as a rule.
type clockRule struct {
	spec  string
	rule  string
	clock storage.Minutes
}

// rulesOf writes a stored schedule as rules, one for each time of the day. It reports
// false for one that is no rule of the clock.
func rulesOf(spec string) (out []clockRule, ok bool) {
	seen := map[storage.Minutes]bool{}
	for one := range strings.SplitSeq(spec, joint) {
		rules, ok := ruleOf(one)
		if !ok {
			return nil, false
		}
		for _, r := range rules {
			if seen[r.clock] { // two that could give the same time twice
				return nil, false
			}
			seen[r.clock] = true
		}
		out = append(out, rules...)
	}
	return out, true
}

func ruleOf(spec string) ([]clockRule, bool) {
	kind, rest, _ := strings.Cut(spec, " ")
	switch kind {
	case "rrule":
		start, rule, _ := strings.Cut(rest, " ")
		at, err := time.Parse(stamp, start)
		return []clockRule{{spec, rule, storage.Minutes(at.Hour()*60 + at.Minute())}}, err == nil
	case "cron":
		return cronRules(rest)
	}
	return nil, false
}

// cronRules reads a cron spec such as Recurrence.Spec and HoursOfDay write it.
func cronRules(spec string) (out []clockRule, ok bool) {
	f := strings.Fields(spec)
	if len(f) != 5 || f[3] != "*" || f[2] != "*" && f[4] != "*" {
		return nil, false
	}
	rule := "FREQ=DAILY"
	switch {
	case f[2] != "*":
		rule = "FREQ=MONTHLY;BYMONTHDAY=" + f[2]
	case f[4] != "*":
		var days []string
		for d := range strings.SplitSeq(f[4], ",") {
			n, err := strconv.Atoi(d)
			if err != nil || n < 0 || n >= len(byDay) {
				return nil, false
			}
			days = append(days, byDay[n])
		}
		rule = "FREQ=WEEKLY;BYDAY=" + strings.Join(days, ",")
	}
	minute, err := strconv.Atoi(f[0])
	hours, ok := cronHours(f[1])
	for _, hour := range hours {
		out = append(out, clockRule{strings.Join([]string{"cron", f[0], strconv.Itoa(hour), f[2], "*", f[4]}, " "), rule, storage.Minutes(hour*60 + minute)})
	}
	return out, ok && err == nil
}

// cronHours reads "7" and "8-18/2".
func cronHours(field string) (out []int, ok bool) {
	span, by, stepped := strings.Cut(field, "/")
	low, high, ranged := strings.Cut(span, "-")
	from, err := strconv.Atoi(low)
	if err != nil {
		return nil, false
	}
	to, step := from, 1
	if ranged {
		if to, err = strconv.Atoi(high); err != nil {
			return nil, false
		}
	}
	if stepped {
		if step, err = strconv.Atoi(by); err != nil || step < 1 {
			return nil, false
		}
	}
	for h := from; h <= to; h += step {
		out = append(out, h)
	}
	return out, true
}

// unsure reports a time that a zone's clock shows twice or not at all.
func unsure(wall time.Time, zone *time.Location) bool {
	first := Instant(wall, zone)
	if !Wall(first, zone).Equal(wall) {
		return true
	}
	_, end := first.In(zone).ZoneBounds()
	if end.IsZero() {
		return false
	}
	_, before := end.Add(-time.Second).In(zone).Zone()
	_, after := end.In(zone).Zone()
	return Wall(first.Add(time.Duration(before-after)*time.Second), zone).Equal(wall) && after < before
}

// unsureTimes returns the times at which a clock says so many minutes and that a zone
// shows twice or not at all, between two instants.
func unsureTimes(clock storage.Minutes, zone *time.Location, from, to time.Time) (out []time.Time) {
	at := from.Add(-48 * time.Hour)
	for {
		_, change := at.In(zone).ZoneBounds()
		if change.IsZero() || change.After(to) {
			return out
		}
		day := Day(Wall(change, zone)).AddDate(0, 0, -1)
		for d := range 3 {
			if w := AtMinutes(day.AddDate(0, 0, d), clock); unsure(w, zone) {
				out = append(out, w)
			}
		}
		at = change
	}
}
