package day

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/childwork"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// What a line about a job says and the job cannot keep is asked: never swallowed into its
// name, and the job is not laid meanwhile.

var (
	again   = phrase.NewPattern(`(?i)\b(?:(?:every|each)\s+(?:other\s+|second\s+)?[a-z]+|daily|weekly|monthly|nightly|fortnightly|once a (?:day|week|month))\b`)
	asMeant = phrase.NewPattern(`(?i)[\s,]*\bas meant\b`)
	aged    = phrase.NewPattern(`\s*\(\s*\d{1,2}\s*\)`)
	// halfDay is not the twelve hours that half of a day has by the clock.
	halfDay = phrase.NewPattern(`(?i)\bhalf[\s-]+(?:a\s+|of\s+a\s+)?day\b`)
)

// workingHalf is half of a day's work.
const workingHalf = 4 * time.Hour

// partOf are the hours that are offered for a part of the day, by a word of it.
var partOf = []struct {
	words  []string
	clocks []string
}{
	{[]string{"morning", "mornings", "am"}, []string{"09:00", "10:00"}},
	{[]string{"afternoon", "afternoons", "pm", "lunch", "dinner"}, []string{"14:00", "15:00"}},
	{[]string{"evening", "evenings", "tonight", "night", "nights", "tea", "supper"}, []string{"19:00", "20:00"}},
}

// unclear asks what of a line is not understood, or cannot be kept.
func (j jobSaid) unclear(req *desk.Request, line string) (desk.Reply, bool) {
	switch {
	case j.again != "":
		reply := desk.AskBack(fmt.Sprintf("A job is done once. What comes %s is a chore, for example: chore %s %s, Tom", desk.Quote(strings.ToLower(j.again)), j.Title, strings.ToLower(j.again)))
		reply.Buttons = []storage.Button{desk.Labelled("As a chore", j.asChore(req)), desk.Labelled("Once", leftOut(line, j.again))}
		return reply, true
	case j.notBy != "":
		reply := desk.AskBack(fmt.Sprintf("Not %s: who does %s?", j.notBy, desk.Quote(j.Title)))
		return j.offer(req, reply, line, j.notBy), true
	case j.oneOf != "":
		reply := desk.AskBack(fmt.Sprintf("%s: which of them does %s?", desk.Upper(j.oneOf), desk.Quote(j.Title)))
		return j.offer(req, reply, line, ""), true
	case j.cannot != "":
		reply := desk.AskBack(fmt.Sprintf("I cannot keep a job to %s. Say a day or an hour, for example: job %s, from wednesday; or: at 14:00", desk.Quote(strings.ToLower(j.cannot)), j.Title))
		for _, p := range partOf {
			if slices.ContainsFunc(phrase.Words(j.cannot), func(w string) bool { return slices.Contains(p.words, w) }) {
				for _, c := range p.clocks {
					reply.Buttons = append(reply.Buttons, desk.Labelled("At "+c, leftOut(line, j.cannot)+", at "+c))
				}
			}
		}
		return reply, true
	case j.unread != "" && !j.meant:
		reply := desk.AskBack(fmt.Sprintf("What is %s? I know nobody and no time of that name. Part of the job's name, or left out?", desk.Quote(j.unread)))
		reply.Buttons = []storage.Button{desk.Labelled("Part of the name", line+", as meant"), desk.Labelled("Left out", leftOut(line, j.unread))}
		return reply, true
	}
	return desk.Reply{}, false
}

// leftOut takes words out of a line, and the comma that they leave.
func leftOut(line, words string) string {
	i := strings.Index(strings.ToLower(line), strings.ToLower(strings.TrimSpace(words)))
	if i < 0 {
		return line
	}
	before, after := strings.TrimRight(line[:i], " "), strings.TrimSpace(line[i+len(strings.TrimSpace(words)):])
	if strings.HasSuffix(before, ",") || after == "" {
		before, after = strings.TrimRight(before, ", "), strings.TrimLeft(after, ", ")
		if after != "" {
			before += ","
		}
	}
	return strings.TrimSpace(before + " " + after)
}

// asChore is the line that makes a chore of a job.
func (j jobSaid) asChore(req *desk.Request) string {
	who := reminders.SayWhom(j.Whom, req.People, req.Now)
	if j.Whom == "" {
		who = req.TypedBy.Name
	}
	return fmt.Sprintf("chore %s %s %s", who, j.Title, strings.ToLower(j.again))
}

// offer adds a button for each adult, or for each of those named, with what was said of
// people taken out.
func (j jobSaid) offer(req *desk.Request, reply desk.Reply, line, not string) desk.Reply {
	line = leftOut(line, j.whoSaid)
	for _, p := range reminders.Expand(reminders.Everyone, req.People, req.Now) {
		named := slices.Contains(idsOf(req, j.Whom), p.ID)
		if not == "" && named || not != "" && !named && !p.Child(req.Now) {
			reply.Buttons = append(reply.Buttons, desk.Labelled(p.Name, line+", "+p.Name))
		}
	}
	if not == "" {
		reply.Buttons = append(reply.Buttons, desk.Labelled("Together", line+", "+reminders.SayWhom(j.Whom, req.People, req.Now)))
	}
	return reply
}

// Hours in which children do jobs, where nothing else is said: common practice.
const (
	childFrom = 6 * 60
	childTill = 21 * 60
)

// childHours asks before a child works for longer than is usual in one go, in school hours,
// or at night.
func childHours(req *desk.Request, j *jobSaid, whom []int64) (desk.Reply, bool, error) {
	if j.meant {
		return desk.Reply{}, false, nil
	}
	line := strings.TrimRight(strings.TrimPrefix(req.Text, "/"), " .,")
	meant := desk.Labelled("As it is", line+", as meant")
	for _, p := range children(req) {
		if !slices.Contains(whom, p.ID) || j.Length == 0 {
			continue
		}
		age := p.AgeAt(req.Now)
		if most := childwork.Stretch(age); j.Length > most {
			reply := desk.AskBack(fmt.Sprintf("%s in one go is long for %s (%d): %s is usual. Shorter, or as it is?", reminders.SayDuration(j.Length), p.Name, age, reminders.SayDuration(most)))
			if j.lengthSaid != "" {
				reply.Buttons = append(reply.Buttons, desk.Labelled(reminders.SayDuration(most), strings.Replace(line, j.lengthSaid, reminders.SayDuration(most), 1)))
			}
			reply.Buttons = append(reply.Buttons, meant)
			return reply, true, nil
		}
		if j.Pin.IsZero() {
			continue
		}
		end := j.Pin.Add(j.Length)
		if from, to := childClock(j.Pin, childFrom), childClock(j.Pin, childTill); j.Pin.Before(from) || end.After(to) {
			reply := desk.AskBack(fmt.Sprintf("%s-%s is late or early for %s (%d). Another hour, or as it is?", j.Pin.Format("15:04"), end.Format("15:04"), p.Name, age))
			reply.Buttons = []storage.Button{meant}
			return reply, true, nil
		}
		d, err := dayOf(req, reminders.Day(j.Pin))
		if err != nil {
			return desk.Reply{}, false, err
		}
		for _, b := range d.blocks {
			if strings.EqualFold(b.Title, "school") && slices.Contains(b.who, p.ID) && b.from.Before(end) && b.to.After(j.Pin) {
				reply := desk.AskBack(fmt.Sprintf("%s is at school then, %s-%s. Another hour, or as it is?", p.Name, b.from.Format("15:04"), b.to.Format("15:04")))
				if j.clockSaid != "" {
					reply.Buttons = append(reply.Buttons, desk.Labelled("At "+b.to.Format("15:04"), strings.Replace(line, j.clockSaid, b.to.Format("15:04"), 1)))
				}
				reply.Buttons = append(reply.Buttons, meant)
				return reply, true, nil
			}
		}
	}
	return desk.Reply{}, false, nil
}

func childClock(day time.Time, minutes int) time.Time {
	return reminders.AtMinutes(day, storage.Minutes(minutes))
}
