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

	again      string // how often it was said to come round, which a job does not
	notBy      string // who was said not to do it, and nobody else
	oneOf      string // "tom or edda"
	unread     string // what stands between commas and is neither
	whoSaid    string // the words that name people, where these are to be chosen from
	lengthSaid string // the words of its length
	clockSaid  string // the words of its hour
	meant      bool   // said to be as it is meant, after a question
	assumed    []string
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
	{needDry, phrase.NewPattern(`(?i)\b(?:needs?|on|in|when|if|while)\s+(?:an?\s+|it(?:'s| is)\s+)?dry(?:\s+(?:day|weather|spell))?\b|\b(?:an?\s+)?dry\s+(?:day|weather|spell)\b`)},
	{needDaylight, phrase.NewPattern(`(?i)\b(?:needs?\s+|in\s+|by\s+)?(?:the\s+)?daylight\b`)},
	{needOven, phrase.NewPattern(`(?i)\bneeds?\s+(?:the\s+)?oven\b|,\s*(?:the\s+)?oven\s*(?:,|$)`)},
	{needKitchen, phrase.NewPattern(`(?i)\bneeds?\s+(?:the\s+)?kitchen(?:\s+free)?\b|\b(?:the\s+)?kitchen (?:free|to myself|empty)\b|,\s*(?:the\s+)?kitchen\s*(?:,|$)`)},
	{needHelp, helpSaid},
}

var helpSaid = phrase.NewPattern(`(?i)\b(?:the\s+)?(?:kids|children)\s+(?:can|may|could)?\s*help\b`)

// dryAlone is dry weather in one word: dishes that are to dry, or that somebody is to dry,
// are work.
var dryAlone = phrase.NewPattern(`(?i)[\s,]dry\s*(?:,|$)`)

// takeDry takes dry weather in one word out of a line.
func takeDry(text string) (rest string, is bool) {
	at := dryAlone.FindStringIndex(text)
	if at == nil {
		return text, false
	}
	before := strings.Fields(text[:at[0]])
	if len(before) == 0 || strings.EqualFold(before[len(before)-1], "to") {
		return text, false
	}
	return text[:at[0]] + " , " + text[at[1]:], true
}

// What is said of children being near.
var (
	notNear = phrase.NewPattern(`(?i)\b(?:no|without|away from|not near)\s+(?:the\s+)?(?:kids|children|little ones)(?:\s+near(?:by)?|\s+about|\s+around)?\b|\b(?:the\s+)?(?:kids|children)\s+(?:(?:have to be|must be|should be|are|being)\s+)?(?:elsewhere|out of the way|away)\b|\b(?:the\s+)?(?:kids|children)\s+(?:may not|must not|can't|cannot|not)\s+(?:be\s+)?(?:near|about|around)(?:by)?\b`)
	near    = phrase.NewPattern(`(?i)\b(?:the\s+)?(?:kids|children)\s+(?:(?:may|can)\s+)?(?:be\s+)?(?:near|about|around)(?:by)?(?:\s+(?:is|are))?(?:\s+(?:ok|okay|fine|allowed))?\b|\b(?:kids|children)\s+(?:ok|okay|fine|welcome)\b`)
	timing  = phrase.NewPattern(`(?i)\b(by|before|until|from|after|not before|not on|not|on|this|for|at)\s*$`)
	vague   = phrase.NewPattern(`(?i)\b(?:in the|this|on|every) (?:morning|afternoon|evening)s?\b|\b(?:tonight|next (?:month|year|weekend)|this (?:month|year)|soon|asap)\b|\b(?:before|by|after|until|till|around|about) \d{1,2}(?::\d\d)?\s*(?:am|pm)?\b|\b(?:at|by|before|after|over|until|for) (?:easter|christmas|xmas|new year|whitsun|pentecost|thanksgiving|half[- ]term|winter|spring|summer|autumn|harvest)\b|\b(?:when|if|once|as soon as) (?:it|the) [a-z' ]+|\bafter (?:school|supper|dinner|lunch|breakfast|tea|bed|bedtime|church|work|milking|dark)\b`)
	partly  = phrase.NewPattern(`(?i)[\s,]((?:morning|afternoon|evening|night)s?|am|pm)\s*(?:[,.]|$)`)
	inWeek  = phrase.NewPattern(`(?i)\b(?:(?:(?:at|on|over)\s+the|this|on)\s+weekend|(?:in\s+|during\s+)?(?:next|this)\s+week)\b`)
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
	for _, p := range []*phrase.Pattern{asMeant, aged} {
		if at := p.FindStringIndex(string(text)); at != nil {
			j.meant = j.meant || p == asMeant
			blank(at[0], at[1])
		}
	}
	j.whomOf(req, blank)
	if at := again.FindStringIndex(string(text)); at != nil {
		j.again = strings.Trim(req.Text[at[0]:at[1]], " ,")
		blank(at[0], at[1])
	}
	gone := func(s phrase.Span) bool { return strings.TrimSpace(string(text[s.Start:s.End])) == "" }
	j.whenOf(req, blank)
	for _, s := range req.Reading.Of(phrase.KindDuration) {
		if s.Start < end || gone(s) {
			continue
		}
		length := s.Value.(time.Duration)
		if halfDay.MatchString(s.Text) {
			length, j.assumed = workingHalf, append(j.assumed, "half a day is "+reminders.SayDuration(workingHalf))
		}
		j.Length, j.lengthSaid = j.Length+length, s.Text
		blank(s.Start, s.End)
	}
	rest := j.weekOf(req, j.afterBlock(req, string(text)))
	if m := notNear.FindString(rest); m != "" {
		j.nearSaid, rest = true, strings.Replace(rest, m, " ", 1)
	}
	var needs []string
	for _, w := range wordings {
		if m := w.said.FindString(rest); m != "" {
			needs, rest = append(needs, w.need), strings.Replace(rest, m, " , ", 1)
		}
	}
	if dry, is := takeDry(rest); is {
		needs, rest = append(needs, needDry), dry
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
		j.cannot, rest = m[1], strings.Replace(rest, m[0], ",", 1)
	}
	j.Title, j.unread = tidy(rest)
	if lyeWork(j.Title) {
		needs = append(needs, needLye)
	}
	if words := strings.ToLower(j.Title); lyeWork(j.Title) || strings.Contains(words, "kitchen") && !strings.Contains(words, "kitchen garden") {
		needs = append(needs, needKitchen)
	}
	if lyeWork(j.Title) || reminders.Dangerous(j.Title) {
		j.nearSaid, j.Near = true, false
	}
	slices.Sort(needs)
	j.Needs = strings.Join(slices.Compact(needs), " ")
	return j
}

// What stands before a person and makes another thing of it.
var (
	notPerson = phrase.NewPattern(`(?i)\b(?:not|except|(?:any|every)(?:one|body)\s+(?:but|except)|but not)\s+(?:for\s+|by\s+)?$`)
	orPerson  = phrase.NewPattern(`(?i)^\s*,?\s*or\s+$`)
	either    = phrase.NewPattern(`(?i)\beither\s+$`)
)

// whomOf takes the people out of a line about a job.
func (j *jobSaid) whomOf(req *desk.Request, blank func(from, to int)) {
	var ids []int64
	named := slices.DeleteFunc(slices.Clone(req.Reading.Terms("people")), func(s phrase.Span) bool {
		return s.Near && s.Text == strings.ToLower(s.Text) || strings.HasSuffix(s.Text, "'s") || ofNear(req, s)
	})
	first := 0 // where the people begin of whom one is to be chosen
	for i, s := range named {
		before := req.Text[:s.Start]
		switch m := notPerson.FindStringIndex(before); {
		case m != nil:
			j.notBy, j.whoSaid = s.Text, req.Text[m[0]:s.End]
			blank(m[0], s.End)
		case i > 0 && orPerson.MatchString(req.Text[named[i-1].End:s.Start]):
			j.oneOf, j.whoSaid = req.Text[named[first].Start:s.End], req.Text[named[first].Start:s.End]
			if e := either.FindStringIndex(req.Text[:named[first].Start]); e != nil {
				j.whoSaid = req.Text[e[0]:s.End]
				blank(e[0], s.End)
			}
			blank(named[first].Start, s.End)
		default:
			first = i
			blank(s.Start, s.End)
		}
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
		if m := untilClock.FindStringIndex(req.Text[:s.Start]); m != nil { // when it is to be over, or not yet begun
			j.cannot = req.Text[m[0]:s.End]
			blank(m[0], s.End)
			continue
		}
		j.clockSaid = s.Text // with the "at" before it, where one stands apart
		if before := strings.TrimRight(req.Text[:s.Start], " "); strings.HasSuffix(before, " at") {
			j.clockSaid = req.Text[len(before)-len("at") : s.End]
		}
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
		if strings.Contains(j.again, s.Text) {
			continue
		}
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

var untilClock = phrase.NewPattern(`(?i)\b(?:before|by|until|till|after)\s+$`)

// weekOf takes a week or a weekend out of a line about a job: it has all of those days.
func (j *jobSaid) weekOf(req *desk.Request, text string) string {
	m := inWeek.FindString(text)
	if m == "" || j.dated {
		return text
	}
	today := reminders.Day(req.Wall)
	sunday := today.AddDate(0, 0, (7-int(today.Weekday()))%7)
	words := phrase.Words(m)
	switch {
	case slices.Contains(words, "weekend"):
		j.From, j.By = laterOf(today, sunday.AddDate(0, 0, -1)), sunday
	case slices.Contains(words, "next"):
		j.From, j.By = sunday.AddDate(0, 0, 1), sunday.AddDate(0, 0, 7)
	default:
		j.From, j.By = today, sunday
	}
	j.dated = true
	return strings.Replace(text, m, " ", 1)
}

// onClock is so many minutes after midnight of a day, as the household's clock shows it: an
// hour that a clock change leaves out is the one after.
func onClock(req *desk.Request, day time.Time, at int) time.Time {
	return req.WallOf(req.Instant(day.Add(time.Duration(at) * time.Minute)))
}

// tidy makes a title of what is left of a line, and says what stands behind a comma and is
// no part of it that is known.
func tidy(text string) (title, unread string) {
	var parts []string
	heard := ""
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
			heard = strings.Join(strings.Fields(part), " ")
		}
	}
	if len(parts) > 1 && !whereabouts.MatchString(heard) {
		unread = heard
	}
	return strings.Join(parts, ", "), unread
}

// whereabouts begins the words that say where: part of a job's name behind a comma, too.
var whereabouts = phrase.NewPattern(`(?i)^(?:by|at|in|behind|near|under|on|along|beside|round|around|up|down|into|onto|to|for|with) [a-z]+ ?`)

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
