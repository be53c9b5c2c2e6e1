package day

import (
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// jobSaid is a job as a line tells it.
type jobSaid struct {
	storage.Job
	nearSaid bool   // whether children may be near was said
	people   bool   // somebody was named
	dated    bool   // a day was said
	cannot   string // a time that was said and cannot be kept
}

// Needs of a job as they are kept, one word each.
const (
	needDry      = "dry"
	needDaylight = "daylight"
	needKitchen  = "kitchen"
	needOven     = "oven"
	needLye      = "lye"
	needHelp     = "help"
)

// wording is how a need is typed.
type wording struct {
	need string
	said *phrase.Pattern
}

var wordings = []wording{
	{needDry, phrase.NewPattern(`(?i)\b(?:needs?\s+|on\s+|in\s+|when\s+|if\s+)?(?:an?\s+|it(?:'s| is)\s+)?dry(?:\s+(?:day|weather|spell))?\b|\bwhen dry\b`)},
	{needDaylight, phrase.NewPattern(`(?i)\b(?:needs?\s+|in\s+|by\s+)?(?:the\s+)?daylight\b`)},
	{needOven, phrase.NewPattern(`(?i)\bneeds?\s+(?:the\s+)?oven\b|,\s*(?:the\s+)?oven\s*(?:,|$)`)},
	{needKitchen, phrase.NewPattern(`(?i)\bneeds?\s+(?:the\s+)?kitchen(?:\s+free)?\b|\b(?:the\s+)?kitchen (?:free|to myself|empty)\b|,\s*(?:the\s+)?kitchen\s*(?:,|$)`)},
	{needHelp, phrase.NewPattern(`(?i)\b(?:the\s+)?(?:kids|children)\s+(?:can|may|could)?\s*help\b`)},
}

// What is said of children being near.
var (
	notNear = phrase.NewPattern(`(?i)\b(?:no|without|away from|not near)\s+(?:the\s+)?(?:kids|children|little ones)(?:\s+near(?:by)?|\s+about|\s+around)?\b|\b(?:the\s+)?(?:kids|children)\s+(?:(?:have to be|must be|should be|are|being)\s+)?(?:elsewhere|out of the way|away)\b|\b(?:the\s+)?(?:kids|children)\s+(?:may not|must not|can't|cannot|not)\s+(?:be\s+)?(?:near|about|around)(?:by)?\b`)
	near    = phrase.NewPattern(`(?i)\b(?:the\s+)?(?:kids|children)\s+(?:(?:may|can)\s+)?(?:be\s+)?(?:near|about|around)(?:by)?(?:\s+(?:is|are))?(?:\s+(?:ok|okay|fine|allowed))?\b|\b(?:kids|children)\s+(?:ok|okay|fine|welcome)\b`)
	timing  = phrase.NewPattern(`(?i)\b(by|before|until|from|after|not before|not on|not|on|this|for|at)\s*$`)
	vague   = phrase.NewPattern(`(?i)\b(?:in the|this|on|every) (?:morning|afternoon|evening)s?\b|\b(?:when|if|once|as soon as) (?:it|the) [a-z' ]+|\bafter (?:school|supper|dinner|lunch|breakfast|tea|bed|bedtime|church|work|milking|dark)\b`)
	partly  = phrase.NewPattern(`(?i)[\s,]((?:morning|afternoon|evening|night)s?)\s*[,.]?\s*$`)
)

// readJob reads what a line says of a job: "fence by the sow, Tom, dry day, 2 hours".
func readJob(req *desk.Request) jobSaid {
	j := jobSaid{Job: storage.Job{Household: req.House.ID, Made: req.Now}}
	end := 0
	for i, used := range req.Reading.Used {
		if used {
			end = req.Reading.Tokens[i].End
		}
	}
	text := []byte(req.Text)
	blank := func(from, to int) {
		for i := from; i < to; i++ {
			text[i] = ' '
		}
	}
	blank(0, end)
	j.whomOf(req, blank)
	j.whenOf(req, blank)
	for _, s := range req.Reading.Of(phrase.KindDuration) {
		if s.Start >= end {
			j.Length += s.Value.(time.Duration)
			blank(s.Start, s.End)
		}
	}
	rest := j.afterBlock(req, string(text))
	if m := notNear.FindString(rest); m != "" {
		j.nearSaid, rest = true, strings.Replace(rest, m, " ", 1)
	}
	var needs []string
	for _, w := range wordings {
		if m := w.said.FindString(rest); m != "" {
			needs, rest = append(needs, w.need), strings.Replace(rest, m, " , ", 1)
		}
	}
	if slices.Contains(needs, needHelp) && !j.nearSaid {
		j.nearSaid, j.Near = true, true
	}
	if m := near.FindString(rest); m != "" {
		j.nearSaid, j.Near, rest = true, true, strings.Replace(rest, m, " ", 1)
	}
	if m := vague.FindString(rest); m != "" {
		j.cannot, rest = m, strings.Replace(rest, m, " ", 1)
	}
	if m := partly.FindStringSubmatch(rest); m != nil && j.dated && j.Pin.IsZero() { // friday evening
		j.cannot, rest = m[1], strings.TrimSuffix(rest, m[0])
	}
	j.Title = tidy(rest)
	if lyeWork(j.Title) {
		needs = append(needs, needLye, needKitchen)
	}
	if lyeWork(j.Title) || reminders.Dangerous(j.Title) {
		j.nearSaid, j.Near = true, false
	}
	slices.Sort(needs)
	j.Needs = strings.Join(slices.Compact(needs), " ")
	return j
}

// whomOf takes the people out of a line about a job.
func (j *jobSaid) whomOf(req *desk.Request, blank func(from, to int)) {
	var ids []int64
	for _, s := range req.Reading.Terms("people") {
		if s.Near && s.Text == strings.ToLower(s.Text) || strings.HasSuffix(s.Text, "'s") || ofNear(req, s) {
			continue
		}
		blank(s.Start, s.End)
		j.people = true
		switch name := s.Value.(phrase.Term).Name; name {
		case "@me":
			ids = append(ids, req.Who.ID)
		case "@kids":
			ids = append(ids, idsOf(req, reminders.Kids)...)
		case "@everyone":
			ids = append(ids, idsOf(req, reminders.Everyone)...)
		case "@keepers":
			ids = append(ids, idsOf(req, reminders.Keepers)...)
		default:
			if p, ok := req.Person(name); ok {
				ids = append(ids, p.ID)
			}
		}
	}
	slices.Sort(ids)
	j.Whom = reminders.People(slices.Compact(ids)...)
}

// afterBlock has a job begin when a block of its day ends: "after school". The day is the
// next on which that is still to come where none is said.
func (j *jobSaid) afterBlock(req *desk.Request, text string) string {
	low := strings.ToLower(text)
	all, err := blocksOf(req)
	if err != nil || !j.Pin.IsZero() {
		return text
	}
	today := reminders.Day(req.Wall)
	for _, b := range all {
		i := strings.Index(low, "after "+strings.ToLower(b.Title))
		if i < 0 {
			continue
		}
		from, to := today, today.AddDate(0, 0, ahead)
		if j.dated && j.From.Equal(j.By) {
			from, to = j.From, j.From.AddDate(0, 0, 1)
		}
		for day := from; day.Before(to); day = day.AddDate(0, 0, 1) {
			d, err := dayOf(req, day)
			k := slices.IndexFunc(d.blocks, func(s stretch) bool { return s.ID == b.ID && s.Title == b.Title && s.to.After(req.Wall) })
			if err == nil && k >= 0 {
				j.From, j.By, j.Pin, j.dated = day, day, d.blocks[k].to, true
				return text[:i] + text[i+len("after ")+len(b.Title):]
			}
		}
	}
	return text
}

// ofNear tells "children may be near" from children who do the job.
func ofNear(req *desk.Request, s phrase.Span) bool {
	if s.Value.(phrase.Term).Name != "@kids" {
		return false
	}
	toks := req.Reading.Tokens
	after := []string{"may", "can", "near", "elsewhere", "help", "must", "have", "about", "around", "ok", "okay", "fine", "not", "away", "out", "could", "are", "should", "being", "welcome", "be"}
	before := []string{"no", "without", "from", "near"}
	return s.Past < len(toks) && slices.Contains(after, toks[s.Past].Low) || s.First > 0 && slices.Contains(before, toks[s.First-1].Low)
}

// whenOf takes the days out of a line about a job: by saturday, from friday, on thursday
// at 10.
func (j *jobSaid) whenOf(req *desk.Request, blank func(from, to int)) {
	at := -1
	for _, s := range req.Reading.Of(phrase.KindClock) {
		at = s.Value.(phrase.Clock).Hour*60 + s.Value.(phrase.Clock).Minute
		if c := s.Value.(phrase.Clock); c.Open && c.Hour < 6 {
			at += 12 * 60
		}
		start := s.Start
		if m := timing.FindStringIndex(req.Text[:s.Start]); m != nil {
			start = m[0]
		}
		blank(start, s.End)
	}
	for _, s := range req.Reading.Of(phrase.KindDate) {
		day := s.Value.(phrase.Date).Next
		word, start := "on", s.Start
		if m := timing.FindStringIndex(req.Text[:s.Start]); m != nil {
			word, start = strings.ToLower(strings.TrimSpace(req.Text[m[0]:s.Start])), m[0]
		}
		for _, w := range []string{"by", "until", "before", "from"} { // read with the day
			if strings.HasPrefix(strings.ToLower(s.Text), w+" ") {
				word = w
			}
		}
		blank(start, s.End)
		j.dated = true
		switch word {
		case "by", "until":
			j.By = day
		case "before":
			j.By = day.AddDate(0, 0, -1)
		case "from", "after", "not before":
			j.From = day
		case "not", "not on":
			if !day.Equal(reminders.Day(req.Wall)) {
				j.cannot = "not " + s.Text
			}
			j.From = day.AddDate(0, 0, 1)
		default:
			j.From, j.By = day, day
			if at >= 0 {
				j.Pin = onClock(req, day, at)
			}
		}
	}
	if at >= 0 && !j.dated {
		j.From = reminders.Day(req.Wall)
		j.By, j.dated = j.From, true
		j.Pin = onClock(req, j.From, at)
	}
}

// onClock is so many minutes after midnight of a day, as the household's clock shows it: an
// hour that a clock change leaves out is the one after.
func onClock(req *desk.Request, day time.Time, at int) time.Time {
	return req.WallOf(req.Instant(day.Add(time.Duration(at) * time.Minute)))
}

// tidy makes a title of what is left of a line.
func tidy(text string) string {
	var parts []string
	for part := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == ',' || r == ';' }) {
		words := strings.Fields(part)
		for len(words) > 0 && slices.Contains(edge, strings.ToLower(strings.Trim(words[0], ".:-!"))) {
			words = words[1:]
		}
		for len(words) > 0 && slices.Contains(edge, strings.ToLower(strings.Trim(words[len(words)-1], ".:-!"))) {
			words = words[:len(words)-1]
		}
		if len(words) > 0 {
			parts = append(parts, strings.Trim(strings.Join(words, " "), ".:! "))
		}
	}
	return strings.Join(parts, ", ")
}

var edge = []string{"to", "and", "for", "with", "by", "on", "at", "in", "about", "takes", "take", "needs", "need", "it", "please", "is", "a", "an", "ok", "fine", "of", "from", "", "will", "thanks", "only", "job", "new", "add", "that", "me"}

// lyeWork reports that lye is open in a job of that title.
func lyeWork(title string) bool {
	words := phrase.Words(title)
	if slices.Contains(words, "lye") || slices.Contains(words, "caustic") {
		return true
	}
	if !slices.Contains(words, "soap") {
		return false
	}
	return len(words) <= 2 && (words[len(words)-1] == "soap") || reminders.Dangerous(title)
}

// has reports a need of a job.
func has(j storage.Job, need string) bool { return slices.Contains(strings.Fields(j.Needs), need) }
