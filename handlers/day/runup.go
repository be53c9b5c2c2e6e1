package day

import (
	"cmp"
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
	}, runUpDayAsk()}
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
	for len(words) > 0 && slices.Contains([]string{"on", "for", "at", "the", "is", "please", "drop", "off", "forget", "also", "again", "too"}, words[len(words)-1]) {
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
	case req.Mentions("off", "cancel", "cancelled", "canceled"):
		return offRunUp(req, r)
	case req.Mentions("drop", "forget"):
		return forgetRunUp(req, r)
	case len(dates) == 0:
		lines, _ := sayRunUp(req, r)
		reply := desk.Answer(desk.Upper(r.Name)+":", lines...)
		hints, err := req.NextTimes(desk.OfDay(r.Name))
		reply.Lines = append(reply.Lines, hints...)
		return reply, err
	}
	day := dates[0].Value.(phrase.Date).Next
	set, is, err := setFor(req, r)
	if err != nil {
		return desk.Reply{}, err
	}
	if is && req.Mentions("moves") {
		return moveRunUp(req, r, set, day)
	}
	return useRunUp(req, r, day)
}

func sayRunUp(req *desk.Request, r storage.RunUp) (lines, assumed []string) {
	for _, s := range r.Steps {
		said := stepSaid(req, s.Text)
		lines = append(lines, sayOffset(s.Days)+": "+said.say(req))
		assumed = assume(assumed, said)
	}
	return lines, assumed
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
		said := stepSaid(req, s.Text)
		job := jobSaid{Job: said.job(req, time.Time{})}
		if reply, no := ofChildren(req, &job); said.isJob() && no {
			reply.Head = fmt.Sprintf("Line %d: %s Nothing was kept.", n+2, reply.Head)
			return reply, nil
		}
		r.Steps = append(r.Steps, s)
	}
	if len(r.Steps) == 0 || len(r.Steps) > mostSteps {
		return desk.Refuse(fmt.Sprintf("A run-up has 1 to %d steps. Nothing was kept.", mostSteps)), nil
	}
	slices.SortStableFunc(r.Steps, func(a, b storage.RunUpStep) int {
		return cmp.Or(a.Days-b.Days, int(stepSaid(req, a.Text).at-stepSaid(req, b.Text).at))
	})
	if err := req.Record(storage.Entry{Kind: "runup", About: "runup:" + name, Text: fmt.Sprintf("kept the run-up %s, %s", name, desk.Plural(len(r.Steps), "step"))}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SaveRunUp(req.House.ID, r); err != nil {
		return desk.Reply{}, err
	}
	lines, assumed := sayRunUp(req, r)
	reply := desk.Answer(fmt.Sprintf("Kept: %s, %s.", name, desk.Plural(len(r.Steps), "step")), lines...)
	reply.Assumed = assumed
	reply.Lines = append(reply.Lines, fmt.Sprintf("To use it: run-up %s and the day", name))
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return reply, nil
}

// forgetRunUp drops the list; of one that is set for a day it is asked which is meant.
func forgetRunUp(req *desk.Request, r storage.RunUp) (desk.Reply, error) {
	set, is, err := setFor(req, r)
	if err != nil {
		return desk.Reply{}, err
	}
	if is && !req.Mentions("forget") {
		return desk.AskBack(fmt.Sprintf("%s is set for %s. Is the day off, or is the list to be forgotten?", desk.Upper(r.Name), reminders.SayDay(set.day, req.Wall, req.House.DayFirst)),
			desk.Labelled("The day is off", "run-up "+r.Name+" is off"), desk.Labelled("Forget the list", "run-up "+r.Name+" forget")), nil
	}
	return dropRunUp(req, r)
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

// useRunUp sets the bells and jobs of a run-up for a day. One that is set for another day
// already is not set twice unasked.
func useRunUp(req *desk.Request, r storage.RunUp, day time.Time) (desk.Reply, error) {
	if reply, no := mayNot(req, "the run-ups"); no {
		return reply, nil
	}
	if day.Before(reminders.Day(req.Wall)) {
		return desk.Refuse("That day is over. Nothing was set."), nil
	}
	say := func(t time.Time) string { return reminders.SayDay(t, req.Wall, req.House.DayFirst) }
	set, is, err := setFor(req, r)
	if err != nil {
		return desk.Reply{}, err
	}
	switch again := req.Mentions("again", "also", "too", "another"); {
	case is && set.day.Equal(day) && !again:
		return desk.Answer(fmt.Sprintf("%s is set for %s already.", desk.Upper(r.Name), say(day))), nil
	case is && !again:
		on := day.Format("2 Jan 2006")
		return desk.AskBack(fmt.Sprintf("%s is set for %s. Does it move to %s?", desk.Upper(r.Name), say(set.day), say(day)),
			desk.Labelled("It moves", fmt.Sprintf("run-up %s moves to %s", r.Name, on)), desk.Labelled("Set it also", fmt.Sprintf("run-up %s also %s", r.Name, on))), nil
	}
	if err := recordRunUp(req, r, "for "+day.Format(time.DateOnly)); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(fmt.Sprintf("%s, %s:", desk.Upper(r.Name), say(day)))
	for _, s := range r.Steps {
		if day.AddDate(0, 0, s.Days).Before(reminders.Day(req.Wall)) {
			reply.Lines = append(reply.Lines, fmt.Sprintf("%s %s: that day is past, not set", say(day.AddDate(0, 0, s.Days)), stepSaid(req, s.Text).say(req)))
			continue
		}
		if err := setStep(req, &reply, r, s, day); err != nil {
			return desk.Reply{}, err
		}
	}
	hints, err := req.NextTimes(desk.OfDay(r.Name))
	if err != nil {
		return desk.Reply{}, err
	}
	before, err := lastYears(req, r.Name, day)
	if err != nil {
		return desk.Reply{}, err
	}
	reply.Lines = append(append(reply.Lines, hints...), before...)
	reply.Buttons = []storage.Button{desk.Labelled("Bells", "bells"), desk.Labelled("Undo", "undo")}
	return relayJobs(req, r, reply)
}

// relayJobs lays the day anew where a run-up has work to lay.
func relayJobs(req *desk.Request, r storage.RunUp, reply desk.Reply) (desk.Reply, error) {
	if !slices.ContainsFunc(r.Steps, func(s storage.RunUpStep) bool { return stepSaid(req, s.Text).isJob() }) {
		return reply, nil
	}
	return relay(req, reply)
}

// setStep sets one step for a day: a job where it says who does it and how long it takes,
// else a bell.
func setStep(req *desk.Request, reply *desk.Reply, r storage.RunUp, s storage.RunUpStep, day time.Time) error {
	said := stepSaid(req, s.Text)
	reply.Assumed = assume(reply.Assumed, said)
	if said.isJob() {
		j, err := req.Tx.AddJob(said.job(req, day.AddDate(0, 0, s.Days)))
		reply.Lines = append(reply.Lines, fmt.Sprintf("job %d: %s", j.Num, sayJob(req, j)))
		return err
	}
	b, err := req.Tx.AddBell(runUpBell(req, r, s, day))
	reply.Lines = append(reply.Lines, sayStepBell(req, b))
	return err
}

// sayStepBell writes the bell of a step: "Thu 18 Mar call the butcher, the keepers (bell 3)".
func sayStepBell(req *desk.Request, b storage.Bell) string {
	at := reminders.SayDay(req.WallOf(b.Next), req.Wall, req.House.DayFirst)
	if !b.Daily {
		at = reminders.SayLong(req.WallOf(b.Next), req.Wall, req.House.DayFirst)
	}
	return fmt.Sprintf("%s %s, %s (bell %d)", at, b.Title, reminders.SayWhom(b.Whom, req.People, req.Now), b.Num)
}

// recordRunUp writes into the day book what becomes of a run-up.
func recordRunUp(req *desk.Request, r storage.RunUp, what string) error {
	return req.Record(storage.Entry{Kind: "runup", About: runUpSubject(r), Text: "run-up " + r.Name + " " + what})
}

// runUpBell is the bell of one step: in the round of its day, or at the hour that it says.
func runUpBell(req *desk.Request, r storage.RunUp, s storage.RunUpStep, day time.Time) storage.Bell {
	on := day.AddDate(0, 0, s.Days)
	said := stepSaid(req, s.Text)
	b := storage.Bell{
		Household: req.House.ID, Title: said.title, Whom: reminders.Keepers, Next: reminders.RoundOn(req.House, on), Daily: true,
		Useful: reminders.UsefulDaily, Subject: runUpSubject(r), Step: strconv.Itoa(s.Days), Why: fmt.Sprintf("run-up %s, %s", r.Name, sayOffset(s.Days)), Made: req.Now,
	}
	if said.timed {
		b.Daily, b.Next, b.Useful = false, req.Instant(reminders.AtMinutes(on, said.at)), reminders.UsefulOnce
	}
	if said.whom != "" {
		b.Whom = said.whom
	}
	reminders.Classify(&b)
	if !b.Next.After(req.Now) {
		b.Next = req.Now.Add(time.Minute)
	}
	return b
}

func runUpSubject(r storage.RunUp) string { return "runup:" + r.Name }

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
