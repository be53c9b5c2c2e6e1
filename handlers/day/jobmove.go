package day

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

func moveJobAsk() desk.Ask {
	fence := []string{"job fence by the sow, Tom, dry day, 2 hours, no children"}
	return desk.Ask{
		Name: "job", Command: "job", Text: true, Keep: true, Kinds: []phrase.Kind{phrase.KindDate, phrase.KindClock, phrase.KindPart, phrase.KindBad}, Help: "a job is put off, or goes to another day",
		Forms:    []string{"^move|put|shift|push|leave * to|on|until|till", "^do * on|tomorrow", "not today$", "^not doing", "can|will|must wait", "on", "to", "later$", "^put off", "tomorrow$", "^can|could * be"},
		Examples: []desk.Example{{Setup: fence, Line: "move the fence to friday"}, {Setup: fence, Line: "fence not today"}, {Setup: fence, Line: "the fence can wait"}},
		Plain:    func(req *desk.Request) bool { _, ok := moveSaid(req); return ok }, Do: moveJob,
	}
}

// moveWords are the words around the name of a job that goes to another day.
var moveWords = strings.Fields("move put shift push leave do doing not today tomorrow can could will must wait be instead then job till until to on for we i'm i am are off please it is isn't morning afternoon later off")

// jobNumbered is a job called by its number.
var jobNumbered = phrase.NewPattern(`(?i)\bjob\s+(\d+)\b`)

// moved is a job that a line puts elsewhere.
type moved struct {
	job  storage.Job
	said jobSaid
}

// moveSaid reads a line that puts an open job off; it says nothing but the job and when.
func moveSaid(req *desk.Request) (moved, bool) {
	asks := strings.Contains(req.Text, "?")
	if asks && !strings.HasPrefix(req.Form, "^can") {
		return moved{}, false
	}
	var name []string
	for i, t := range req.Reading.Tokens {
		covered := slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool { return i >= s.First && i < s.Past })
		if t.Kind == phrase.Word && !covered && !phrase.IsFiller(t.Low) && !slices.Contains(moveWords, t.Low) {
			name = append(name, t.Low)
		}
	}
	open, err := req.Tx.Jobs(req.House.ID)
	number := jobNumbered.FindStringSubmatch(req.Text)
	if err != nil || len(name) == 0 && number == nil {
		return moved{}, false
	}
	found := jobsNamed(open, strings.Join(name, " "))
	if len(name) == 0 {
		found = slices.DeleteFunc(open, func(j storage.Job) bool { return strconv.Itoa(j.Num) != number[1] })
	}
	if len(found) != 1 {
		return moved{}, false
	}
	m := moved{job: found[0]}
	tomorrow := reminders.Day(req.Wall).AddDate(0, 0, 1)
	if off := req.Mentions("later") || strings.HasPrefix(strings.ToLower(req.Text), "put off"); req.Mentions("not", "wait") || off && !daySaid(req) {
		m.said.From, m.said.By, m.said.Pin, m.said.dated = laterOf(m.job.From, tomorrow), m.job.By, m.job.Pin, true
		if m.job.Pin.Before(tomorrow) {
			m.said.Pin = time.Time{}
		}
		if !m.said.By.IsZero() {
			m.said.By = laterOf(m.said.By, m.said.From)
		}
		return m, true
	}
	m.said.whenOf(req, func(int, int) {})
	return m, m.said.dated && !m.said.From.IsZero() || len(req.Reading.Of(phrase.KindBad)) > 0
}

// moveJob gives an open job another day.
func moveJob(req *desk.Request) (desk.Reply, error) {
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
		return desk.Refuse(bad[0].Value.(string) + " Nothing was changed."), nil
	}
	m, ok := moveSaid(req)
	if !ok {
		return desk.AskBack("Which job, and to when? For example: move the fence to friday", desk.Button("jobs")), nil
	}
	if m.said.From.Before(reminders.Day(req.Wall)) {
		return desk.Refuse("That day is over. Nothing was changed."), nil
	}
	return changeJob(req, m.job, m.said)
}
