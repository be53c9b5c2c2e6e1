package day

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

func moveJobAsk() desk.Ask {
	fence := []string{"job fence by the sow, Tom, dry day, 2 hours, no children"}
	work := workForms(func(w string) []string { return []string{w, w + "s", gerund(w)} })
	return desk.Ask{
		Name: "job", Command: "job", Text: true, Keep: true, Lists: []string{"people", "selves"}, Kinds: []phrase.Kind{phrase.KindDate, phrase.KindClock, phrase.KindPart, phrase.KindDuration, phrase.KindBad},
		Help: "a job is put off, goes to another day, to somebody, or takes longer",
		Forms: []string{
			"^move|put|shift|push|leave * to|on|until|till", "^do|doing * on|tomorrow", "not today$", "not tomorrow$", "^not", "can|will|must wait", "on", "to", "later$", "^put off", "tomorrow$", "^can|could * be",
			"^give|hand|pass * to", "needs|takes|need another|more|longer", "needs|takes", "^i'll|ill|i'm", "^let", "does|do|takes|doing", strings.Join(work, "|"),
		},
		Examples: []desk.Example{
			{Setup: fence, Line: "move the fence to friday"},
			{Setup: fence, Line: "fence not today"},
			{Setup: fence, Line: "the fence can wait"},
			{Setup: fence, Line: "give the fence to Edda"},
			{Setup: fence, Line: "I'll do the fence tomorrow"},
			{Setup: fence, Line: "the fence needs another hour"},
		},
		Plain: func(req *desk.Request) bool { _, ok := moveSaid(req); return ok }, Strict: true, Do: moveJob,
	}
}

// moveWords are the words around the name of a job that goes to another day or to
// somebody.
var moveWords = strings.Fields("move put shift push leave do does doing not today tomorrow can could will must wait be instead then job till until to on for we i'm i am are off please it is isn't morning afternoon later off give hand pass let take takes i'll ill needs need another more longer")

// jobNumbered is a job called by its number.
var jobNumbered = phrase.NewPattern(`(?i)\bjob\s+(\d+)\b`)

// moved is a job that a line puts elsewhere.
type moved struct {
	job  desk.Job
	said jobSaid
	also []desk.Job // further jobs that the line may mean
}

// moveSaid reads a line that puts an open job off, gives it to somebody or has it take
// longer; it says nothing but the job and that.
func moveSaid(req *desk.Request) (moved, bool) {
	asks := strings.Contains(req.Text, "?") || slices.Contains([]string{"when", "why", "what", "is", "was", "did", "does", "should"}, first(phrase.Words(req.Text)))
	if asks && !strings.HasPrefix(req.Form, "^can") || req.Mentions("did", "if") {
		return moved{}, false
	}
	open, err := openWork(req)
	if err != nil {
		return moved{}, false
	}
	name := nameWords(req)
	found := calledBy(open, name)
	if n, numbered := numberMeant(req.Text); numbered && len(name) == 0 {
		found = slices.DeleteFunc(open, func(j desk.Job) bool { return numberOf(j) != n })
	}
	if len(found) == 0 {
		return moved{}, false
	}
	m := moved{job: found[0], also: found[1:]}
	m.lengthSaid(req)
	if m.whomSaid(req); m.said.people && m.said.Length == 0 && req.Mentions("takes", "take") && !surely(req, desk.Job{}, name) {
		return moved{}, false // "Edda takes the car" is said at the door
	}
	if !m.dateSaid(req) || !surely(req, m.job, name) && (m.said.people || !m.job.Needs.Lye) {
		return moved{}, false
	}
	return m, m.said.dated && !m.said.From.IsZero() || m.said.people || m.said.Length > 0 || len(req.Reading.Of(phrase.KindBad)) > 0
}

// nameWords are the words of a line that name the job.
func nameWords(req *desk.Request) []string {
	var name []string
	for i, t := range req.Reading.Tokens {
		covered := slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool {
			return i >= s.First && i < s.Past && (s.Kind != phrase.KindTerm || !s.Near)
		})
		if t.Kind == phrase.Word && !covered && !phrase.IsFiller(t.Low) && !slices.Contains(moveWords, t.Low) {
			name = append(name, t.Low)
		}
	}
	return name
}

// whomSaid has the job go to whom a line names.
func (m *moved) whomSaid(req *desk.Request) {
	m.said.whomOf(req, func(int, int) {})
	if req.Mentions("i'll", "ill", "i'm") && !m.said.people {
		m.said.Whom, m.said.people = reminders.People(req.Who.ID), true
	}
}

// lengthSaid reads "needs another hour" and "takes 3 hours".
func (m *moved) lengthSaid(req *desk.Request) {
	d := req.Reading.Of(phrase.KindDuration)
	if len(d) != 1 || !req.Mentions("needs", "need", "takes", "take") {
		return
	}
	m.said.Length = d[0].Value.(time.Duration)
	if req.Mentions("another", "more", "longer") {
		m.said.Length += m.job.Takes
	}
}

// dateSaid reads to when the job goes. False is a line that says of the day what cannot be
// kept.
func (m *moved) dateSaid(req *desk.Request) bool {
	words := phrase.Words(req.Text)
	off := req.Mentions("later") || first(words) == "put" && req.Mentions("off")
	not := req.Mentions("not", "wait", "isn't")
	d := req.Reading.Of(phrase.KindDuration)
	switch {
	case m.said.Length > 0:
		return true
	case off && len(d) == 1 && d[0].Value.(time.Duration) < 24*time.Hour:
		return m.byHours(req, d[0].Value.(time.Duration))
	case len(d) > 0:
		return false
	case not && (daySaid(req) || !m.said.people) || off && !daySaid(req):
		m.notBefore(laterOf(m.job.From, m.dayAfter(req, not && daySaid(req), off)))
		return true
	}
	m.said.whenOf(req, func(int, int) {})
	if stands, is := standOf(req, m.job.Key); is && !daySaid(req) && !m.said.Pin.IsZero() { // another hour of its day
		day := laterOf(reminders.Day(stands), reminders.Day(req.Wall))
		m.said.Pin = day.Add(m.said.Pin.Sub(reminders.Day(m.said.Pin)))
		m.said.From, m.said.By = day, day
	}
	return true
}

// dayAfter is the day from which a job that is put off may be laid: after the day that was
// ruled out, after the one on which it stands, or tomorrow.
func (m *moved) dayAfter(req *desk.Request, ruledOut, off bool) time.Time {
	day := reminders.Day(req.Wall)
	if ruledOut {
		day = laterOf(day, dateMeant(req))
	}
	if stands, is := standOf(req, m.job.Key); is && off {
		day = laterOf(day, reminders.Day(stands))
	}
	return day.AddDate(0, 0, 1)
}

// notBefore puts a job off to a day or later.
func (m *moved) notBefore(day time.Time) {
	m.said.From, m.said.By, m.said.Pin, m.said.dated = day, m.job.Due, m.job.Pin, true
	if m.job.Pin.Before(day) {
		m.said.Pin = time.Time{}
	}
	switch {
	case m.job.Due.Equal(m.job.From): // it was asked for on that day, and is not any more
		m.said.By = time.Time{}
	case !m.said.By.IsZero():
		m.said.By = laterOf(m.said.By, day)
	}
}

// byHours puts a job off by some hours from where it stands.
func (m *moved) byHours(req *desk.Request, d time.Duration) bool {
	stands, is := standOf(req, m.job.Key)
	if !is {
		return false
	}
	pin := laterOf(stands, req.Wall).Add(d)
	m.said.From, m.said.By, m.said.Pin, m.said.dated = reminders.Day(pin), reminders.Day(pin), pin, true
	return true
}

// standOf is when a job is laid, on the household's clock.
func standOf(req *desk.Request, key string) (time.Time, bool) {
	laid, err := req.Tx.LaidJobs(req.House.ID)
	i := slices.IndexFunc(laid, func(l storage.Laid) bool { return l.Key == key && !l.First.IsZero() })
	if err != nil || i < 0 {
		return time.Time{}, false
	}
	return req.WallOf(laid[i].First), true
}

// which asks which of several jobs is meant.
func (m moved) which(req *desk.Request) desk.Reply {
	reply := desk.AskBack("Which job?")
	for _, j := range append([]desk.Job{m.job}, m.also...) {
		name := j.Title
		if isOwn(j) {
			name = fmt.Sprintf("job %d", numberOf(j))
		}
		say := "put off " + name
		switch {
		case m.said.people:
			say = fmt.Sprintf("give %s to %s", name, desk.List(namesOf(req, idsOf(req, m.said.Whom))))
		case !m.said.Pin.IsZero():
			say = fmt.Sprintf("move %s to %s at %s", name, m.said.Pin.Format(time.DateOnly), m.said.Pin.Format("15:04"))
		case m.said.dated && m.said.From.Equal(m.said.By):
			say = fmt.Sprintf("move %s to %s", name, m.said.From.Format(time.DateOnly))
		}
		reply.Buttons = append(reply.Buttons, desk.Labelled(j.Title, say))
	}
	return reply
}

// strayNumber is a number that belongs to nothing in a line, empty for none.
func strayNumber(req *desk.Request) string {
	number := jobNumbered.FindStringSubmatch(req.Text)
	for i, t := range req.Reading.Tokens {
		covered := slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool { return i >= s.First && i < s.Past })
		if t.Kind == phrase.Num && !covered && (number == nil || number[1] != t.Text) {
			return t.Text
		}
	}
	return ""
}

// moveJob gives an open job another day, somebody else, or more time.
func moveJob(req *desk.Request) (desk.Reply, error) {
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
		return desk.Refuse(bad[0].Value.(string) + " Nothing was changed."), nil
	}
	m, ok := moveSaid(req)
	stray := strayNumber(req)
	switch {
	case ok && len(m.also) > 0:
		return m.which(req), nil
	case ok && stray != "":
		return desk.AskBack(fmt.Sprintf("What is %s? For example: move %s to wednesday at 10", stray, m.job.Title)), nil
	case !ok && !req.Direct:
		return desk.Reply{}, desk.ErrSilent
	case !ok:
		return desk.AskBack("Which job, and to when? For example: move the fence to friday", desk.Button("jobs")), nil
	case m.said.dated && m.said.From.Before(reminders.Day(req.Wall)):
		return desk.Refuse("That day is over. Nothing was changed."), nil
	case m.said.Length > longestJob:
		return desk.Refuse("That is more than a day's work. Nothing was changed."), nil
	}
	return changeWork(req, m.job, m.said)
}
