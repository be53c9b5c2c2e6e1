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

const butcher = "run-up butcher day\n-14 d call the butcher\n-1 d no feed after noon\n0 load the pig at 7"

func runUpAsks() []desk.Ask {
	kept := []string{butcher}
	forms := []string{"^runup|runups", "^run up|ups"}
	return []desk.Ask{{
		Name: "runup", Command: "runup", TakesLines: true, Text: true, Kinds: []phrase.Kind{phrase.KindDate, phrase.KindBad}, Help: "a list of what is to be done so many days before a day, kept and used again",
		Forms:    forms,
		Examples: []desk.Example{{Line: butcher}, {Setup: kept, Line: "run-up butcher 22 march"}, {Setup: kept, Line: "run-ups"}, {Setup: kept, Line: "run-up butcher"}, {Setup: kept, Line: "run-up butcher drop"}},
		Plain:    plainRunUp, Do: runUp,
	}}
}

// offset reads a line of a run-up: "-14 d call the butcher", "2 weeks before: book the
// van", "day load", "+3 days wash the crates".
var offset = phrase.NewPattern(`(?i)^[\s*•]*(?:(?:(on )?the day|day|same day)\b|([+\-–−]?)\s*(\d{1,3})\s*(d|days?|w|wks?|weeks?)?\b\s*(before|after|ahead|later)?)\s*[:,.)\-–]?\s+(.+?)\s*$`)

// stepUnits is a step with nothing to do in it.
var stepUnits = phrase.NewPattern(`(?i)^(?:d|days?|w|wks?|weeks?)$`)

// readStep reads one line of a run-up; a bare number is days, and days before where
// nothing says after.
func readStep(line string) (storage.RunUpStep, bool) {
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

// runUpName is the name that a line gives, without its date and the words around it.
func runUpName(req *desk.Request) string {
	text := req.Text
	for _, s := range slices.Backward(req.Reading.Of(phrase.KindDate)) {
		text = text[:s.Start] + " " + text[s.End:]
	}
	end := 0
	for i, used := range req.Reading.Used {
		if used && i < len(req.Reading.Tokens) {
			end = req.Reading.Tokens[i].End
		}
	}
	var words []string
	for _, w := range phrase.Words(text[min(end, len(text)):]) {
		if len(words) == 0 && slices.Contains([]string{"for", "the", "a", "to", "on"}, w) {
			continue
		}
		words = append(words, w)
	}
	for len(words) > 0 && slices.Contains([]string{"on", "for", "at", "the", "is", "please", "drop", "off", "forget"}, words[len(words)-1]) {
		words = words[:len(words)-1]
	}
	return strings.Join(words, " ")
}

// kept finds a run-up by its name, or by the beginning of it.
func runUpNamed(req *desk.Request, name string) (storage.RunUp, bool, error) {
	all, err := req.Tx.RunUps(req.House.ID)
	if err != nil || name == "" {
		return storage.RunUp{}, false, err
	}
	for _, same := range []func(storage.RunUp) bool{
		func(r storage.RunUp) bool { return strings.EqualFold(r.Name, name) },
		func(r storage.RunUp) bool { return strings.HasPrefix(strings.ToLower(r.Name), name+" ") },
		func(r storage.RunUp) bool { return strings.HasPrefix(name, strings.ToLower(r.Name)+" ") },
	} {
		if i := slices.IndexFunc(all, same); i >= 0 {
			return all[i], true, nil
		}
	}
	return storage.RunUp{}, false, nil
}

// plainRunUp takes a plain line when it brings its list, or names a run-up that is kept.
func plainRunUp(req *desk.Request) bool {
	if strings.Contains(req.Text, "?") {
		return false
	}
	if len(req.More) > 0 {
		_, ok := readStep(req.More[0])
		return ok
	}
	name := runUpName(req)
	if name == "" {
		return req.Mentions("runups", "ups", "runup") && len(phrase.Words(req.Text)) <= 2
	}
	_, ok, err := runUpNamed(req, name)
	dated := len(req.Reading.Of(phrase.KindDate)) > 0 && (strings.Contains(strings.ToLower(req.Text), "run-up") || req.Mentions("runup")) && len(strings.Fields(name)) <= 3
	return err == nil && (ok || dated)
}

// runUp keeps a run-up, lists them, shows one, drops one, or sets its bells for a day.
func runUp(req *desk.Request) (desk.Reply, error) {
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 && len(req.More) == 0 {
		return desk.Refuse(bad[0].Value.(string) + " Nothing was set."), nil
	}
	name := runUpName(req)
	if len(req.More) > 0 {
		return keepRunUp(req, name)
	}
	if name == "" {
		return listRunUps(req)
	}
	r, ok, err := runUpNamed(req, name)
	if err != nil {
		return desk.Reply{}, err
	}
	if !ok {
		return desk.AskBack(fmt.Sprintf("There is no run-up %s. Paste one: run-up %s, and below it a line a step, for example: -14 d call the butcher", desk.Quote(name), name), desk.Button("run-ups")), nil
	}
	dates := req.Reading.Of(phrase.KindDate)
	switch {
	case req.Mentions("drop", "off", "forget"):
		return dropRunUp(req, r)
	case len(dates) == 0:
		reply := desk.Answer(desk.Upper(r.Name)+":", sayRunUp(r)...)
		hints, err := req.NextTimes(desk.OfDay(r.Name))
		reply.Lines = append(reply.Lines, hints...)
		return reply, err
	}
	return useRunUp(req, r, dates[0].Value.(phrase.Date).Next)
}

func sayRunUp(r storage.RunUp) (out []string) {
	for _, s := range r.Steps {
		out = append(out, sayOffset(s.Days)+": "+s.Text)
	}
	return out
}

func sayOffset(days int) string {
	switch {
	case days == 0:
		return "on the day"
	case days < 0:
		return desk.Plural(-days, "day") + " before"
	}
	return desk.Plural(days, "day") + " after"
}

func listRunUps(req *desk.Request) (desk.Reply, error) {
	all, err := req.Tx.RunUps(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(all) == 0 {
		return desk.Answer("No run-up is kept. Paste one: run-up butcher day, and below it a line a step, for example: -14 d call the butcher"), nil
	}
	reply := desk.Answer("Run-ups that are kept:")
	for _, r := range all {
		reply.Lines = append(reply.Lines, fmt.Sprintf("%s, %s, from %s", r.Name, desk.Plural(len(r.Steps), "step"), sayOffset(r.Steps[0].Days)))
	}
	return reply, nil
}

// mostSteps bounds a run-up.
const mostSteps = 60

// keepRunUp keeps a pasted list of offsets. A line that cannot be read is named, and
// then nothing is kept.
func keepRunUp(req *desk.Request, name string) (desk.Reply, error) {
	if name == "" {
		return desk.AskBack("What is it called? For example: run-up butcher day, and below it a line a step"), nil
	}
	if reply, no := mayNot(req, "the run-ups"); no {
		return reply, nil
	}
	r := storage.RunUp{Name: name}
	for n, line := range req.More {
		if strings.TrimSpace(line) == "" {
			continue
		}
		s, ok := readStep(line)
		if !ok {
			return desk.AskBack(fmt.Sprintf("I cannot read line %d: %s. A step is, for example: -14 d call the butcher. Nothing was kept.", n+2, desk.Quote(line))), nil
		}
		r.Steps = append(r.Steps, s)
	}
	if len(r.Steps) == 0 || len(r.Steps) > mostSteps {
		return desk.Refuse(fmt.Sprintf("A run-up has 1 to %d steps. Nothing was kept.", mostSteps)), nil
	}
	slices.SortStableFunc(r.Steps, func(a, b storage.RunUpStep) int { return a.Days - b.Days })
	if err := req.Record(storage.Entry{Kind: "runup", About: "runup:" + name, Text: fmt.Sprintf("kept the run-up %s, %s", name, desk.Plural(len(r.Steps), "step"))}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SaveRunUp(req.House.ID, r); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(fmt.Sprintf("Kept: %s, %s.", name, desk.Plural(len(r.Steps), "step")), sayRunUp(r)...)
	reply.Lines = append(reply.Lines, fmt.Sprintf("To use it: run-up %s and the day", name))
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return reply, nil
}

func dropRunUp(req *desk.Request, r storage.RunUp) (desk.Reply, error) {
	if reply, no := mayNot(req, "the run-ups"); no {
		return reply, nil
	}
	if err := req.Record(storage.Entry{Kind: "runup", About: "runup:" + r.Name, Text: "dropped the run-up " + r.Name}); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer("Dropped: the run-up "+r.Name+".", "Bells that it has set stay.")
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return reply, req.Tx.DropRunUp(r.ID)
}

// useRunUp sets the bells of a run-up for a day. Steps whose day is past are said and not
// set.
func useRunUp(req *desk.Request, r storage.RunUp, day time.Time) (desk.Reply, error) {
	if reply, no := mayNot(req, "the run-ups"); no {
		return reply, nil
	}
	today := reminders.Day(req.Wall)
	if day.Before(today) {
		return desk.Refuse("That day is over. Nothing was set."), nil
	}
	say := func(t time.Time) string { return reminders.SayDay(t, req.Wall, req.House.DayFirst) }
	if err := req.Record(storage.Entry{Kind: "runup", About: "runup:" + r.Name, Text: fmt.Sprintf("run-up %s for %s", r.Name, day.Format(time.DateOnly))}); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(fmt.Sprintf("%s, %s:", desk.Upper(r.Name), say(day)))
	for _, s := range r.Steps {
		b, past := runUpBell(req, r, s, day)
		if past {
			reply.Lines = append(reply.Lines, fmt.Sprintf("%s %s: that day is past, not set", say(day.AddDate(0, 0, s.Days)), s.Text))
			continue
		}
		made, err := req.Tx.AddBell(b)
		if err != nil {
			return desk.Reply{}, err
		}
		at := say(day.AddDate(0, 0, s.Days))
		if !made.Daily {
			at = reminders.SayLong(req.WallOf(made.Next), req.Wall, req.House.DayFirst)
		}
		reply.Lines = append(reply.Lines, fmt.Sprintf("%s %s, %s (bell %d)", at, made.Title, reminders.SayWhom(made.Whom, req.People, req.Now), made.Num))
	}
	hints, err := req.NextTimes(desk.OfDay(r.Name))
	if err != nil {
		return desk.Reply{}, err
	}
	before, err := lastYears(req, r.Name, day)
	reply.Lines = append(append(reply.Lines, hints...), before...)
	reply.Buttons = []storage.Button{desk.Labelled("Bells", "bells"), desk.Labelled("Undo", "undo")}
	return reply, err
}

// runUpBell is the bell of one step: in the round of its day, or at the time that its
// text says.
func runUpBell(req *desk.Request, r storage.RunUp, s storage.RunUpStep, day time.Time) (b storage.Bell, past bool) {
	on := day.AddDate(0, 0, s.Days)
	b = storage.Bell{
		Household: req.House.ID, Title: s.Text, Whom: reminders.Keepers, Next: reminders.RoundOn(req.House, on), Daily: true,
		Useful: reminders.UsefulDaily, Subject: "runup:" + r.Name, Step: strconv.Itoa(s.Days), Why: fmt.Sprintf("run-up %s, %s", r.Name, sayOffset(s.Days)), Made: req.Now,
	}
	if at, rest, ok := stepTime(s.Text); ok {
		b.Title, b.Daily = strings.Join(strings.Fields(rest), " "), false
		b.Next, b.Useful = req.Instant(reminders.AtMinutes(on, at)), reminders.UsefulOnce
	}
	if who, ok := stepWhom(req, s.Text); ok {
		b.Whom = who
	}
	reminders.Classify(&b)
	today := reminders.Day(req.Wall)
	if on.Equal(today) && !b.Next.After(req.Now) {
		b.Next = req.Now.Add(time.Minute)
	}
	return b, on.Before(today)
}

// hourAhead is a step that begins with its hour: "05:30 sharpen".
var hourAhead = phrase.NewPattern(`(?i)^\s*(\d{1,2})[:.](\d{2})\s*(am|pm)?\s+(\S.*)$`)

// stepTime is the hour of a step, before its words or among them, and the step without it.
func stepTime(text string) (storage.Minutes, string, bool) {
	if m := hourAhead.FindStringSubmatch(text); m != nil {
		at, ok := minutes(m[1], m[2], strings.ToLower(m[3]), false)
		return at, m[4], ok
	}
	return timeOf(text, false)
}

// stepWhom is who a step names: "Tom: call the butcher", "Ivo and Lise wash the crates".
func stepWhom(req *desk.Request, text string) (string, bool) {
	var ids []int64
	for _, w := range phrase.Words(text) {
		if p, ok := req.Person(w); ok {
			ids = append(ids, p.ID)
		}
	}
	return reminders.People(ids...), len(ids) > 0
}

// lastYears tells for which days a run-up was used before.
func lastYears(req *desk.Request, name string, day time.Time) ([]string, error) {
	found, err := req.Tx.Book(req.House.ID, storage.BookQuery{About: "runup:" + name, To: req.Now, Limit: 20})
	if err != nil {
		return nil, err
	}
	for _, e := range found {
		when, ok := strings.CutPrefix(e.Text, "run-up "+name+" for ")
		before, err := time.Parse(time.DateOnly, when)
		if ok && err == nil && before.Before(day) {
			return []string{fmt.Sprintf("Last time: %s", before.Format("2 Jan 2006"))}, nil
		}
	}
	return nil, nil
}
