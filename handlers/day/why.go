package day

import (
	"fmt"
	"slices"

	plan "yardbell/calc/day"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

func whyAsk() desk.Ask {
	setup := []string{"day school weekdays 9:30-12:30 kids", "job fence by the sow, Tom, dry day, 2 hours, no children"}
	return desk.Ask{
		Name: "why", Command: "today", Text: true, Question: true, Kinds: []phrase.Kind{phrase.KindDate, phrase.KindClock, phrase.KindPart}, Help: "why a job is laid where it is",
		Forms: []string{"^why is|are", "^why's", "^why not", "^why isn't|isnt", "^why", "^when is"}, Examples: []desk.Example{{Setup: setup, Line: "why is the fence tomorrow?"}}, Plain: plainWhy, Do: why,
	}
}

// whyFill are words of a question why that name no job.
var whyFill = []string{"why", "when", "always", "by", "again", "why's", "is", "isn't", "isnt", "not", "laid", "put", "job", "then", "time", "day", "there", "planned", "today", "tomorrow", "are", "later", "earlier", "moved", "sooner", "soon", "late", "next", "week"}

// jobsAsked are the open jobs that a question names.
func jobsAsked(req *desk.Request, jobs []desk.Job) []desk.Job {
	var want []string
	for i, t := range req.Reading.Tokens {
		covered := slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool { return i >= s.First && i < s.Past })
		if !covered && t.Kind == phrase.Word && !phrase.IsFiller(t.Low) && !slices.Contains(whyFill, t.Low) {
			want = append(want, t.Low)
		}
	}
	if m := jobNumbered.FindStringSubmatch(req.Text); m != nil && len(want) == 0 {
		return slices.DeleteFunc(slices.Clone(jobs), func(j desk.Job) bool { return j.Key != "job:"+m[1] })
	}
	if len(want) == 0 {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(jobs), func(j desk.Job) bool { return !calledOnly(j, want) })
}

func plainWhy(req *desk.Request) bool {
	jobs, err := openWork(req)
	return err == nil && len(jobsAsked(req, jobs)) > 0
}

// why tells why a job stands where it does, or why it fits nowhere.
func why(req *desk.Request) (desk.Reply, error) {
	l, err := layJobs(req)
	if err != nil {
		return desk.Reply{}, err
	}
	found := jobsAsked(req, l.jobs)
	if len(found) == 0 {
		if !req.Direct {
			return desk.Reply{}, desk.ErrSilent
		}
		return desk.AskBack("Why is which job? What is open: jobs", desk.Button("jobs")), nil
	}
	keeps, err := hasDay(req)
	if err != nil {
		return desk.Reply{}, err
	}
	var lines []string
	for _, j := range found {
		lines = append(lines, l.whyJob(j, keeps)...)
	}
	return desk.Answer(lines[0], lines[1:]...), nil
}

func (l *laying) whyJob(j desk.Job, keeps bool) (out []string) {
	if !keeps {
		return []string{desk.Upper(j.Title) + ": the day has no blocks yet, and nothing is laid. For example: block supper 18:00-19:00 everyone"}
	}
	for _, p := range l.plan.Placed {
		if p.Job != j.Key {
			continue
		}
		reason := l.why(p)
		if was := l.stood(p.Job); was.First.Equal(l.req.Instant(p.From)) && was.Why != "" {
			reason = was.Why
		}
		out = append(out, desk.Upper(l.place(p))+".", "because "+reason)
		if !p.From.IsZero() && j.Needs.Lye {
			out = append(out, fmt.Sprintf("lye needs the children elsewhere from %s to %s, and one adult all that time", p.From.Add(-plan.BeforeLye).Format("15:04"), p.To.Add(plan.AfterLye).Format("15:04")))
		}
		if n := l.moved(j.Key); n > 0 {
			out = append(out, "not done before: moved "+times(n))
		}
	}
	for _, left := range l.plan.Left {
		if left.Job == j.Key {
			out = append(out, desk.Upper(l.sayLeft(left))+".")
		}
	}
	if len(out) == 0 {
		out = []string{desk.Upper(j.Title) + " is not laid."}
	}
	return out
}
