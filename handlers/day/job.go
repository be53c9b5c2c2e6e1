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

func jobAsks() []desk.Ask {
	kinds := []phrase.Kind{phrase.KindDuration, phrase.KindDate, phrase.KindClock, phrase.KindBad}
	people := []string{"people"}
	fence := []string{"job fence by the sow, Tom, dry day, 2 hours, no children"}
	ask := func(help string, forms []string, plain func(*desk.Request) bool, do func(*desk.Request) (desk.Reply, error), examples ...desk.Example) desk.Ask {
		return desk.Ask{Name: "job", Command: "job", Text: true, Kinds: kinds, Lists: people, Help: help, Forms: forms, Examples: examples, Plain: plain, Do: do}
	}
	list := ask("the household's open jobs", []string{"^jobs$", "^job$", "^what's|whats left", "^jobs for", "jobs$", "^what is left", "^what|which jobs are|is open|left", "^what|which jobs", "^open jobs$", "^list|show * jobs$"}, plainListJobs, listJobs,
		desk.Example{Setup: fence, Line: "jobs"})
	list.Question = true
	return []desk.Ask{
		list,
		ask("an open job, laid into the day where it fits: how long it takes, who, what it needs, by when", []string{"^job"}, plainJob, addJob,
			desk.Example{Line: "job fence by the sow, Tom, dry day, 2 hours, no children"}, desk.Example{Line: "job mend the gate 45 min, children may be near"}, desk.Example{Line: "job bake for the fair, 3 hours, needs the oven, kids can help, by saturday"}),
		ask("a job is done", append(doneForms(), "^job * done", "^job * done by", "^job done", "^done with", "is|are done$", "done", "^did", "^finished with", "is|are|all finished$", "^done", "^i|we did|finished|done", "^i've|we've done|finished"), namesJob, jobDone,
			desk.Example{Setup: fence, Line: "job 1 done"}, desk.Example{Setup: fence, Line: "the fence is done"}),
		moveJobAsk(),
		ask("a job is dropped", []string{"^job drop", "^job * drop$", "^drop * job", "^drop job", "^drop", "not needed", "no longer needed", "^forget"}, namesJob, jobDropped, desk.Example{Setup: fence, Line: "job drop fence"}),
	}
}

func plainListJobs(req *desk.Request) bool {
	words := []string{"what", "what's", "whats", "which", "job", "jobs", "are", "is", "open", "left", "to", "do", "list", "show", "the", "all", "our", "there", "for", "my"}
	for _, s := range req.Reading.Terms("people") {
		words = append(words, phrase.Words(s.Text)...)
	}
	return !slices.ContainsFunc(phrase.Words(req.Text), func(w string) bool { return !slices.Contains(words, w) })
}

// plainJob takes a plain line that begins with "job" only when it says how long, when,
// who, or what the job needs. "Job done" and "job lot of wool" are talk.
func plainJob(req *desk.Request) bool {
	if strings.ContainsAny(req.Text, "?!") {
		return false
	}
	j := readJob(req)
	return j.Title != "" && (workVerbs[first(phrase.Words(j.Title))] && !strings.Contains(j.Title, ".") || j.Length > 0 || j.nearSaid || j.people && strings.Contains(req.Text, ",") || j.dated && changed(req, j) != nil)
}

// longestJob is the longest that a job may take: what takes longer is several.
const longestJob = 16 * time.Hour

// changed is the open job that a line names that says no new one's length, nil for none.
func changed(req *desk.Request, j jobSaid) *storage.Job {
	open, err := req.Tx.Jobs(req.House.ID)
	if err != nil {
		return nil
	}
	n, numbered := numberSaid(j.Title)
	for i, o := range open {
		if numbered && o.Num == n || !numbered && strings.EqualFold(o.Title, j.Title) {
			return &open[i]
		}
	}
	if numbered || j.Length > 0 {
		return nil
	}
	work, err := ownJobs(req)
	if err != nil {
		return nil
	}
	if found := calledBy(work, phrase.Words(j.Title)); len(found) == 1 {
		return &open[slices.IndexFunc(open, func(o storage.Job) bool { return jobKey(o) == found[0].Key })]
	}
	return nil
}

// handedMeant is the job of a desk that a line about a job is about: it is not laid twice.
func handedMeant(req *desk.Request, j jobSaid) (desk.Job, bool) {
	open, err := openWork(req)
	if err != nil {
		return desk.Job{}, false
	}
	i := slices.IndexFunc(open, func(o desk.Job) bool { return o.Loose && calledOnly(o, phrase.Words(j.Title)) })
	if i < 0 {
		return desk.Job{}, false
	}
	return open[i], true
}

// numberSaid reads a title that is a number alone: job 3.
func numberSaid(title string) (int, bool) {
	n, err := strconv.Atoi(strings.TrimSpace(title))
	return n, err == nil
}

// addJob writes a job down, or changes one that is open. Only how long it takes and
// whether children may be near are asked.
func addJob(req *desk.Request) (desk.Reply, error) {
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
		return desk.Refuse(bad[0].Value.(string) + " Nothing was written."), nil
	}
	j := readJob(req)
	if j.Title == "" {
		return desk.AskBack("Which job? For example: job fence by the sow, Tom, dry day, 2 hours"), nil
	}
	today := reminders.Day(req.Wall)
	switch {
	case j.Length > 0 && j.Length < time.Minute:
		return desk.Refuse("A job takes a minute at least. Nothing was written."), nil
	case j.Length > longestJob:
		return desk.Refuse(fmt.Sprintf("%s is more than a day's work: at most %s. Make several jobs of it.", reminders.SayDuration(j.Length), reminders.SayDuration(longestJob))), nil
	case !j.By.IsZero() && j.By.Before(today):
		return desk.Refuse("That day is over. Nothing was written."), nil
	}
	if old := changed(req, j); old != nil {
		return changeJob(req, *old, j)
	}
	if n, numbered := numberSaid(j.Title); numbered {
		return noJob(req, n)
	}
	if handed, is := handedMeant(req, j); is {
		return changeWork(req, handed, j)
	}
	if reply, no := ofChildren(req, &j); no {
		return reply, nil
	}
	if reply, lacks := j.lacks(req); lacks {
		reply.Pends = true
		return reply, nil
	}
	text := sayJob(req, j.Job)
	if err := req.Record(storage.Entry{Kind: "job", About: "job:" + strings.ToLower(j.Title), Text: "job: " + text}); err != nil {
		return desk.Reply{}, err
	}
	added, err := req.Tx.AddJob(j.Job)
	if err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(fmt.Sprintf("Job %d: %s.", added.Num, text))
	reply.Assumed = j.assumed
	reply.Buttons = []storage.Button{desk.Labelled("Today", "today"), desk.Labelled("Undo", "undo")}
	if has(added, needLye) {
		reply.Lines = []string{"lye work: never a child's, and the children are elsewhere while it is open"}
	} else if reminders.Dangerous(added.Title) {
		reply.Lines = []string{"never a child's, and the children are elsewhere meanwhile"}
	}
	return laidAnew(req, reply)
}

// lacks asks how long a job takes and whether children may be near.
func (j jobSaid) lacks(req *desk.Request) (desk.Reply, bool) {
	line := strings.TrimRight(strings.TrimPrefix(req.Text, "/"), " .,")
	if reply, is := j.unclear(req, line); is {
		return reply, true
	}
	switch {
	case j.Length == 0:
		reply := desk.AskBack(fmt.Sprintf("How long does %s take? For example: %s, 1 hour", desk.Quote(j.Title), line))
		for _, l := range []string{"30 min", "1 hour", "2 hours", "4 hours"} {
			reply.Buttons = append(reply.Buttons, desk.Labelled(l, line+", "+l))
		}
		return reply, true
	case !j.nearSaid && len(children(req)) > 0:
		return desk.AskBack(fmt.Sprintf("May children be near at %s?", desk.Quote(j.Title)), desk.Labelled("Yes", line+", children may be near"), desk.Labelled("They can help", line+", children can help"), desk.Labelled("No", line+", no children")), true
	}
	return desk.Reply{}, false
}

// ofChildren keeps dangerous work from children, and children to jobs of their own.
func ofChildren(req *desk.Request, j *jobSaid) (desk.Reply, bool) {
	kids := idsOf(req, reminders.Kids)
	child := slices.Contains(kids, req.TypedBy.ID)
	if child && j.Whom == "" {
		j.Whom = reminders.People(req.TypedBy.ID)
	}
	whom := idsOf(req, j.Whom)
	if !child && j.Whom == "" && (reminders.Dangerous(j.Title) || has(j.Job, needLye)) {
		j.Whom = reminders.People(req.TypedBy.ID) // nobody is sent to it unasked
		whom = []int64{req.TypedBy.ID}
	}
	theirs := slices.ContainsFunc(whom, func(id int64) bool { return slices.Contains(kids, id) })
	if theirs && (reminders.Dangerous(j.Title) || has(j.Job, needLye)) {
		return desk.Refuse(fmt.Sprintf("Never a child's: %s. Name an adult.", j.Title)), true
	}
	for _, p := range children(req) {
		if !slices.Contains(whom, p.ID) {
			continue
		}
		why, _, err := reminders.UnfitHere(req.Tx, storage.Chore{Name: j.Title}, p, req.Now)
		if err != nil || why != "" {
			return desk.Refuse(strings.TrimSpace(why + " Name somebody older.")), true
		}
	}
	if help := has(j.Job, needHelp); help && (reminders.Dangerous(j.Title) || has(j.Job, needLye)) {
		alone := helpSaid.ReplaceAllString(strings.TrimPrefix(req.Text, "/"), "no children")
		return desk.Refuse(fmt.Sprintf("Children cannot help: %s is never work for a child, and they are elsewhere meanwhile.", j.Title), "Without them: "+alone), true
	}
	if reply, no, err := childHours(req, j, whom); err != nil || no {
		reply.Pends = true
		return reply, true
	}
	if child && !slices.Equal(whom, []int64{req.TypedBy.ID}) {
		return desk.Refuse("A child writes down jobs of its own. Ask " + keeperNames(req) + " for others."), true
	}
	if theirs && len(whom) > 0 {
		j.nearSaid, j.Near = true, true
	}
	return desk.Reply{}, false
}

// changeJob changes what a line says of an open job, and leaves the rest.
func changeJob(req *desk.Request, old storage.Job, j jobSaid) (desk.Reply, error) {
	if reply, no := mayNot(req, "a job"); no && !slices.Contains(idsOf(req, old.Whom), req.TypedBy.ID) && !volunteers(req, old, j) {
		return reply, nil
	}
	is := old
	if j.Length > 0 {
		is.Length = j.Length
	}
	if j.nearSaid {
		is.Near = j.Near
	}
	if j.people {
		is.Whom = j.Whom
	}
	if j.Needs != "" {
		needs := append(strings.Fields(is.Needs), strings.Fields(j.Needs)...)
		slices.Sort(needs)
		is.Needs = strings.Join(slices.Compact(needs), " ")
	}
	if j.dated {
		is.From, is.By, is.Pin = j.From, j.By, j.Pin
	}
	probe := jobSaid{Job: is, nearSaid: true, meant: j.meant, lengthSaid: j.lengthSaid, clockSaid: j.clockSaid}
	if reply, no := ofChildren(req, &probe); no {
		return reply, nil
	}
	if is == old {
		return desk.Answer(fmt.Sprintf("Job %d: %s. Nothing changed.", old.Num, sayJob(req, old))), nil
	}
	text := sayJob(req, is)
	if err := req.Record(storage.Entry{Kind: "job", About: "job:" + strings.ToLower(is.Title), Text: "job: " + text}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SaveJob(is); err != nil {
		return desk.Reply{}, err
	}
	if j.dated { // given a day, it begins anew: it has not moved from that
		if err := req.Tx.ForgetLaid(req.House.ID, jobKey(is)); err != nil {
			return desk.Reply{}, err
		}
	}
	reply := desk.Answer(fmt.Sprintf("Job %d: %s.", is.Num, text))
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return laidFor(req, reply, jobKey(is))
}

// sayJob writes a job with what it needs.
func sayJob(req *desk.Request, j storage.Job) string {
	parts := []string{j.Title}
	if j.Whom != "" {
		parts = append(parts, reminders.SayWhom(j.Whom, req.People, req.Now))
	}
	parts = append(parts, reminders.SayDuration(j.Length))
	for _, n := range []struct{ need, say string }{
		{needDry, "dry weather"}, {needDaylight, "daylight"}, {needOven, "the oven"}, {needKitchen, "the kitchen to itself"}, {needHelp, "children can help"},
	} {
		if has(j, n.need) {
			parts = append(parts, n.say)
		}
	}
	if !j.Near && len(children(req)) > 0 {
		parts = append(parts, "children elsewhere")
	}
	say := func(t time.Time) string { return reminders.SayDay(t, req.Wall, req.House.DayFirst) }
	switch {
	case !j.Pin.IsZero():
		parts = append(parts, say(j.Pin)+" at "+j.Pin.Format("15:04"))
	case !j.From.IsZero() && j.From.Equal(j.By):
		parts = append(parts, "on "+say(j.From))
	case !j.From.IsZero():
		parts = append(parts, "from "+say(j.From))
	}
	if !j.By.IsZero() && !j.From.Equal(j.By) {
		parts = append(parts, "by "+say(j.By))
	}
	return strings.Join(parts, ", ")
}

// listJobs shows the open jobs of the household.
func listJobs(req *desk.Request) (desk.Reply, error) {
	open, err := req.Tx.Jobs(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	whom, _ := peopleIn(req)
	if of := idsOf(req, whom); whom != "" {
		open = slices.DeleteFunc(open, func(j storage.Job) bool {
			return j.Whom != "" && !slices.ContainsFunc(idsOf(req, j.Whom), func(id int64) bool { return slices.Contains(of, id) })
		})
	}
	if len(open) == 0 && whom != "" {
		return desk.Answer("No job is open for " + reminders.SayWhom(whom, req.People, req.Now) + "."), nil
	}
	if len(open) == 0 {
		return desk.Answer("No job is open. For example: job fence by the sow, Tom, dry day, 2 hours"), nil
	}
	l, err := layJobs(req)
	if err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(desk.Upper(desk.Plural(len(open), "job")) + " open:")
	for _, j := range open {
		reply.Lines = append(reply.Lines, fmt.Sprintf("%d. %s%s", j.Num, sayJob(req, j), l.standing(jobKey(j))))
		reply.Buttons = append(reply.Buttons, desk.Labelled("Done: "+j.Title, fmt.Sprintf("job %d done", j.Num)))
	}
	for _, j := range l.jobs { // what a line may move as well
		if j.Loose && whom == "" {
			reply.Lines = append(reply.Lines, "- "+sayJob(req, asOwn(j))+l.standing(j.Key))
		}
	}
	return reply, nil
}

// standing says where a job is laid, how often it has moved, and that it is late.
func (l *laying) standing(key string) string {
	text := ""
	for _, p := range l.plan.Placed {
		if p.Job == key {
			text = "; laid " + l.when(p.From)
		}
	}
	if n := l.moved(key); n > 0 {
		text += "; moved " + times(n)
	}
	return text + l.late(key)
}

// late says that the day by which a job was wanted is over.
func (l *laying) late(key string) string {
	if due := l.job(key).Due; !due.IsZero() && due.Before(reminders.Day(l.req.Wall)) {
		return "; it was wanted by " + reminders.SayDay(due, l.req.Wall, l.req.House.DayFirst)
	}
	return ""
}

func times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

func jobKey(j storage.Job) string { return fmt.Sprintf("job:%d", j.Num) }

// numberOf is the number of the household's own job, 0 for what a desk handed in.
func numberOf(j desk.Job) int {
	num, own := strings.CutPrefix(j.Key, "job:")
	n, err := strconv.Atoi(num)
	if !own || err != nil {
		return 0
	}
	return n
}

// jobWords are the words of a line that may name a job.
func jobWords(req *desk.Request) []string {
	var out []string
	for i, t := range req.Reading.Tokens {
		if _, by := doneBy(req, i); by {
			continue
		}
		dated := slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool {
			return i >= s.First && i < s.Past && slices.Contains([]phrase.Kind{phrase.KindDate, phrase.KindClock, phrase.KindDuration, phrase.KindPart}, s.Kind)
		})
		if t.Kind == phrase.Word && !dated && !phrase.IsFiller(t.Low) && !slices.Contains(jobFill, t.Low) {
			out = append(out, t.Low)
		}
	}
	return out
}

var jobFill = []string{"job", "done", "drop", "dropped", "finished", "all", "i", "we", "did", "i've", "we've", "not", "needed", "after", "isn't", "no", "longer", "forget"}

// workMeant finds the open job that a line names by number or words.
func workMeant(req *desk.Request, verb string) (desk.Job, desk.Reply, error) {
	open, err := openWork(req)
	if err != nil {
		return desk.Job{}, desk.Reply{}, err
	}
	words := jobWords(req)
	if n, numbered := numberMeant(req.Text); numbered && len(words) == 0 {
		if i := slices.IndexFunc(open, func(j desk.Job) bool { return j.Key == fmt.Sprintf("job:%d", n) }); i >= 0 {
			return open[i], desk.Reply{}, nil
		}
		reply, err := noJob(req, n)
		return desk.Job{}, reply, err
	}
	found := calledBy(open, words)
	switch len(found) {
	case 1:
		return found[0], desk.Reply{}, nil
	case 0:
		return desk.Job{}, desk.AskBack("No open job of that name. What is open: jobs", desk.Button("jobs")), nil
	}
	reply := desk.AskBack("Which job?")
	for _, j := range found {
		say := "job " + strings.TrimPrefix(j.Key, "job:") + " " + verb
		if !isOwn(j) {
			say = "job " + j.Title + " " + verb
		}
		reply.Buttons = append(reply.Buttons, desk.Labelled(j.Title, say))
	}
	return desk.Job{}, reply, nil
}

// numberMeant reads "job 3" out of a line.
func numberMeant(text string) (int, bool) {
	m := jobNumbered.FindStringSubmatch(text)
	if m == nil {
		return 0, false
	}
	return numberSaid(m[1])
}

func noJob(_ *desk.Request, n int) (desk.Reply, error) {
	return desk.AskBack(fmt.Sprintf("There is no job %d open. What is open: jobs", n), desk.Button("jobs")), nil
}

// namesJob lets a plain line end a job only when it names one that is open.
func namesJob(req *desk.Request) bool {
	if strings.Contains(req.Text, "?") || req.Mentions("if", "when", "was", "were") || req.Mentions("not") && !req.Mentions("needed") {
		return false
	}
	if first(phrase.Words(req.Text)) == "did" && (req.Mentions("you", "he", "she", "they", "i", "we", "anyone", "anybody", "somebody", "someone") || len(req.Reading.Terms("people")) > 0) {
		return false // a question
	}
	j, reply, err := workMeant(req, "done")
	_, numbered := numberMeant(req.Text)
	return err == nil && (j.Key != "" && surely(req, j, jobWords(req)) || len(reply.Buttons) > 1 || numbered && len(phrase.Words(req.Text)) <= 4)
}

// jobDone ends a job that is done, by whoever is said to have done it.
func jobDone(req *desk.Request) (desk.Reply, error) {
	for i := range req.Reading.Tokens {
		if p, by := doneBy(req, i); by && p.ID != 0 {
			one := *req
			one.Who = p
			req = &one
		}
	}
	return closeJob(req, storage.JobDone)
}

// doneBy reports a word of "done by Edda", and whom it names.
func doneBy(req *desk.Request, i int) (storage.Person, bool) {
	toks := req.Reading.Tokens
	if i > 0 && toks[i].Low == "by" && toks[i-1].Low == "done" {
		return storage.Person{}, i+1 < len(toks) && known(req, toks[i+1])
	}
	if i > 1 && toks[i-1].Low == "by" && toks[i-2].Low == "done" {
		p, ok := req.Person(toks[i].Low)
		return p, ok
	}
	return storage.Person{}, false
}

func known(req *desk.Request, t phrase.Token) bool {
	_, ok := req.Person(t.Low)
	return ok
}

func jobDropped(req *desk.Request) (desk.Reply, error) { return closeJob(req, storage.JobDropped) }

// closeJob ends a job. A child ends its own jobs only, and those at which children help.
func closeJob(req *desk.Request, outcome string) (desk.Reply, error) {
	verb := map[string]string{storage.JobDone: "done", storage.JobDropped: "drop"}[outcome]
	w, reply, err := workMeant(req, verb)
	if err != nil || w.Key == "" {
		return reply, err
	}
	if len(req.Reading.Of(phrase.KindDuration)) > 0 && outcome == storage.JobDone && !req.Direct {
		return desk.Reply{}, desk.ErrSilent
	}
	when := reminders.Day(req.Wall)
	if d := req.Reading.Of(phrase.KindDate); len(d) > 0 && outcome == storage.JobDone {
		when = d[0].Value.(phrase.Date).Last
	}
	if when.After(req.Wall) {
		return desk.Refuse("That day has not come yet. Nothing was changed."), nil
	}
	if !isOwn(w) {
		if outcome == storage.JobDone {
			return doneWork(w), nil
		}
		return dropWork(req, w)
	}
	j, _ := ownJob(req, w.Key)
	own := slices.Contains(w.By, req.TypedBy.ID)
	child := req.TypedBy.Child(req.Now)
	switch {
	case outcome == storage.JobDropped && !req.May() && !(own && len(w.By) == 1):
		return desk.Refuse("Only a keeper drops a job: "+keeperNames(req)+".", "Ask one of them to type it."), nil
	case child && !own && !has(j, needHelp):
		return desk.Refuse(fmt.Sprintf("That is no job of %s's: who did it says so, or %s.", req.TypedBy.Name, keeperNames(req))), nil
	}
	entry := storage.Entry{Kind: "job", About: "job:" + strings.ToLower(j.Title), Text: "job " + outcome + ": " + j.Title}
	if when.Before(reminders.Day(req.Wall)) {
		entry.Happened = req.Instant(when.Add(12 * time.Hour))
	}
	if err := req.Record(entry); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.CloseJob(j.ID, outcome, req.Now); err != nil {
		return desk.Reply{}, err
	}
	if outcome == storage.JobDone {
		reply = desk.Quietly("Done: " + j.Title + ".")
		if req.Who.ID != req.TypedBy.ID {
			reply = desk.Answer("Done: " + j.Title + ", by " + req.Who.Name + ".")
		}
	} else {
		reply = desk.Answer("Job dropped: " + j.Title + ".")
		reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	}
	return laidAnew(req, reply)
}

// ownJobs hands the household's own jobs to the day.
func ownJobs(req *desk.Request) ([]desk.Job, error) {
	open, err := req.Tx.Jobs(req.House.ID)
	if err != nil {
		return nil, err
	}
	var out []desk.Job
	for _, j := range open {
		out = append(out, desk.Job{
			Key: jobKey(j), Title: j.Title, Takes: j.Length, By: idsOf(req, j.Whom), Help: has(j, needHelp),
			Needs: desk.Needs{Elsewhere: !j.Near, Lye: has(j, needLye), Kitchen: has(j, needKitchen), Oven: has(j, needOven), Daylight: has(j, needDaylight) || has(j, needDry), Dry: has(j, needDry)},
			From:  j.From, Due: j.By, Pin: j.Pin, Done: fmt.Sprintf("job %d done", j.Num),
		})
	}
	return out, nil
}
