package day

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

var (
	// offset reads a line of a run-up: "-14 d call the butcher", "2 weeks before: book the
	// van", "day load", "+3 days wash the crates".
	offset = phrase.NewPattern(`(?i)^[\s*•]*(?:(?:(on )?the day|day|same day)\b|([+\-–−]?)\s*(\d{1,3})\s*(d|days?|w|wks?|weeks?)?\b\s*(before|after|ahead|later)?)\s*[:,.)\-–]?\s+(.+?)\s*$`)
	// nextTo reads "the evening before: fill the bath", "day after wash the crates".
	nextTo = phrase.NewPattern(`(?i)^[\s*•]*(?:the\s+)?(day|night|evening|afternoon|morning|week)\s+(before|after)\s*[:,.)\-–]?\s+(.+?)\s*$`)
	// clockAhead is a line that begins with its hour or its part of the day, on the day itself.
	clockAhead = phrase.NewPattern(`(?i)^[\s*•]*((?:(?:in the\s+)?(?:morning|afternoon|evening)\b\s*[:,.)\-–]?|at\s+\d{1,2}\b|\d{1,2}:\d{2}|\d{1,2}(?:[:.]\d{2})?\s*[ap]m\b)\s*\S.*?)\s*$`)
	// stepUnits is a step with nothing to do in it.
	stepUnits = phrase.NewPattern(`(?i)^(?:d|days?|w|wks?|weeks?)$`)
)

// readStep reads one line of a run-up; a bare number is days, and days before where
// nothing says after.
func readStep(line string) (storage.RunUpStep, bool) {
	if m := nextTo.FindStringSubmatch(line); m != nil {
		n := map[bool]int{true: 1, false: -1}[strings.EqualFold(m[2], "after")]
		text := m[3]
		switch part := strings.ToLower(m[1]); part {
		case "week":
			n *= 7
		case "night":
			text = "evening: " + text
		case "evening", "afternoon", "morning":
			text = part + ": " + text
		}
		return storage.RunUpStep{Days: n, Text: text}, true
	}
	if m := clockAhead.FindStringSubmatch(line); m != nil {
		return storage.RunUpStep{Text: m[1]}, true
	}
	m := offset.FindStringSubmatch(line)
	if m == nil || stepUnits.MatchString(m[6]) {
		return storage.RunUpStep{}, false
	}
	if m[3] == "" {
		return storage.RunUpStep{Text: m[6]}, true
	}
	n, err := strconv.Atoi(m[3])
	if err != nil {
		return storage.RunUpStep{}, false
	}
	if strings.HasPrefix(strings.ToLower(m[4]), "w") {
		n *= 7
	}
	after := m[2] == "+" || strings.EqualFold(m[5], "after") || strings.EqualFold(m[5], "later")
	if !after {
		n = -n
	}
	return storage.RunUpStep{Days: n, Text: m[6]}, true
}

// step is what a line of a run-up says.
type step struct {
	title   string
	whom    string // empty for the keepers
	timed   bool
	at      storage.Minutes
	length  time.Duration
	apart   bool   // children are to be elsewhere
	near    bool   // it was said that children may be near
	assumed string // of its hour
}

// isJob reports a step that is work of somebody's, to be laid into the day.
func (s step) isJob() bool { return s.whom != "" && s.length > 0 }

var (
	// hourAhead is a step that begins with its hour: "05:30 sharpen", "6am: leave".
	hourAhead = phrase.NewPattern(`(?i)^\s*(?:at\s+)?(\d{1,2})(?:[:.](\d{2})\s*(am|pm)?|\s*(am|pm))\s*[:,\-–]?\s+(\S.*)$`)
	// hourWithin is an hour among the words of a step: "light the fire 5:30".
	hourWithin = phrase.NewPattern(`(?i)(?:\s|^)(?:at\s+)?(\d{1,2})(?::(\d{2})\s*(am|pm)?|\s*(am|pm))(?:[\s,.]|$)`)
	partAhead  = phrase.NewPattern(`(?i)^\s*(?:in the\s+)?(morning|afternoon|evening)\b\s*[:,.)\-–]?\s*`)
	// atHour is "at 7": whether in the morning is taken for granted.
	atHour = phrase.NewPattern(`(?i)\bat\s+(\d{1,2})(?:[:.](\d{2}))?(?:\s*(am|pm|o'clock))?\b`)
)

// stepParts are when a part of the day begins where a step says no hour; the morning has
// the round.
var stepParts = map[string]storage.Minutes{"afternoon": 14 * 60, "evening": 18 * 60}

// stepSaid reads the text of a step.
func stepSaid(req *desk.Request, text string) step {
	s := step{}
	part := ""
	if m := partAhead.FindStringSubmatch(text); m != nil {
		part, text = strings.ToLower(m[1]), text[len(m[0]):]
	}
	text = s.lengthIn(req, text)
	if m := notNear.FindString(text); m != "" {
		s.apart, text = true, strings.Replace(text, m, " ", 1)
	} else if m := near.FindString(text); m != "" {
		s.near, text = true, strings.Replace(text, m, " ", 1)
	}
	text = s.hourIn(text, part)
	s.title = s.whomIn(req, text)
	return s
}

// lengthIn takes how long a step lasts out of it.
func (s *step) lengthIn(req *desk.Request, text string) string {
	reading := phrase.NewLine(text, phrase.Tokens(text), req.Context()).Read(phrase.Query{Kinds: []phrase.Kind{phrase.KindDuration}})
	for _, d := range slices.Backward(reading.Of(phrase.KindDuration)) {
		s.length += d.Value.(time.Duration)
		text = strings.TrimRight(strings.TrimSuffix(strings.TrimRight(text[:d.Start], " ,"), " for"), " ,") + " , " + text[d.End:]
	}
	return text
}

// hourIn takes the hour out of a step.
func (s *step) hourIn(text, part string) string {
	hour, rest := "", text
	m := hourAhead.FindStringSubmatch(text)
	if m == nil {
		m = hourWithin.FindStringSubmatch(text)
		if m != nil {
			rest = strings.Replace(text, m[0], " , ", 1)
		}
	} else {
		rest = m[5]
	}
	if m == nil {
		if m = atHour.FindStringSubmatch(text); m == nil {
			s.at, s.timed = stepParts[part]
			return text
		}
		m, rest = []string{m[0], m[1], m[2], strings.ToLower(strings.TrimSuffix(m[3], "o'clock")), ""}, strings.Replace(text, m[0], " , ", 1)
	}
	half := strings.ToLower(m[3] + m[4])
	if part == "morning" && half == "" {
		half = "am"
	}
	at, ok := minutes(m[1], m[2], half, part == "evening")
	if !ok && part == "morning" { // 13:00 in the morning
		at, ok = minutes(m[1], m[2], "", false)
	}
	if !ok {
		return text
	}
	s.at, s.timed = at, true
	if n, err := strconv.Atoi(m[1]); err == nil && n <= 12 && half == "" && part == "" && !strings.HasPrefix(m[1], "0") {
		hour = m[1]
		if m[2] != "" {
			hour += ":" + m[2]
		}
		s.assumed = fmt.Sprintf("at %s is %s", hour, at)
	}
	return rest
}

// whomIn takes whose a step is out of it: who stands before it, or at its end. "Give the
// keys to Tom" is nobody's.
func (s *step) whomIn(req *desk.Request, text string) string {
	words := strings.Fields(strings.NewReplacer(",", " , ", ";", " , ").Replace(text))
	name := func(w string) (int64, bool) {
		p, ok := req.Person(strings.Trim(w, ":.,"))
		return p.ID, ok
	}
	joins := func(w string) bool { return w == "," || w == "and" || w == "&" }
	var ids []int64
	first, past := 0, len(words)
	for first < past {
		id, ok := name(words[first])
		if !ok && !joins(words[first]) {
			break
		}
		if ok {
			ids = append(ids, id)
		}
		first++
	}
	if len(ids) == 0 {
		first = 0
		for past > 0 {
			id, ok := name(words[past-1])
			if !ok && !joins(words[past-1]) {
				break
			}
			if ok {
				ids = append(ids, id)
			}
			past--
		}
	}
	if past > 0 && past < len(words) && slices.Contains([]string{"to", "for", "with", "from", "at", "of", "by"}, strings.ToLower(words[past-1])) {
		ids, past = nil, len(words)
	}
	slices.Sort(ids)
	s.whom = reminders.People(slices.Compact(ids)...)
	title := strings.Join(words[first:past], " ")
	for strings.Contains(title, ", ,") {
		title = strings.ReplaceAll(title, ", ,", ",")
	}
	return strings.Trim(strings.ReplaceAll(title, " ,", ","), " ,.:")
}

// say writes a step: "05:30 light the fire, Tom".
func (s step) say(req *desk.Request) string {
	text := s.title
	if s.timed {
		text = s.at.String() + " " + text
	}
	if s.whom != "" {
		text += ", " + reminders.SayWhom(s.whom, req.People, req.Now)
	}
	if s.length > 0 {
		text += ", " + reminders.SayDuration(s.length)
	}
	return text
}

// job is a step as a job of a day.
func (s step) job(req *desk.Request, on time.Time) storage.Job {
	j := storage.Job{Household: req.House.ID, Title: s.title, Length: s.length, Whom: s.whom, Near: !s.apart && !s.dangerous(), From: on, By: on, Made: req.Now}
	if lyeWork(s.title) {
		j.Needs = needKitchen + " " + needLye
	}
	if s.timed {
		j.Pin = reminders.AtMinutes(on, s.at)
	}
	return j
}

func (s step) dangerous() bool { return lyeWork(s.title) || reminders.Dangerous(s.title) }

// childrenNear is what a list takes for granted, that asks nothing of each of its jobs.
const childrenNear = "children may be near at the jobs; where not, write no children behind the step"

// assume adds what a step took for granted.
func assume(all []string, s step) []string {
	if s.assumed != "" && !slices.Contains(all, s.assumed) {
		all = append(all, s.assumed)
	}
	if s.isJob() && !s.near && !s.apart && !s.dangerous() && !slices.Contains(all, childrenNear) {
		all = append(all, childrenNear)
	}
	return all
}
