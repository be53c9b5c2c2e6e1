package bells

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// choreAlready asks where a chore of the same words rings one of the same people already:
// they would be rung twice for one piece of work.
func (o *order) choreAlready(req *desk.Request) (desk.Reply, error) {
	if o.bell.Schedule == "" {
		return desk.Reply{}, nil
	}
	coming, err := req.Tx.ComingBells(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	for _, b := range coming {
		if !reminders.IsChore(b) || b.Schedule == "" || !oneWork(b, o.bell) || !rungBoth(req, b.Whom, o.whom) {
			continue
		}
		return desk.AskBack(fmt.Sprintf("There is a chore already: %s, %s, %s. A bell would ring beside it. For another time: move %s to 8:30", b.Title,
			reminders.SayWhom(b.Whom, req.People, req.Now), sayWhen(req, b), b.Title), desk.Button("chores")), nil
	}
	return desk.Reply{}, nil
}

// roundAlready asks where the same thing goes out on the same day already: "trash every
// thursday" and "take out the trash every thursday night" are one.
func (o *order) roundAlready(req *desk.Request) (desk.Reply, error) {
	coming, err := req.Tx.ComingBells(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	for _, b := range coming {
		if b.Subject != "" || b.Whom != o.whom || b.Schedule == "" || !sameRound(b.Title, o.title) || req.WallOf(b.Next).Weekday() != req.WallOf(o.bell.Next).Weekday() || !weekly(b) || !weekly(o.bell) {
			continue
		}
		reply := desk.AskBack(fmt.Sprintf("There is a bell already: %s, %s.", b.Title, sayWhen(req, b)))
		was, is := req.WallOf(b.Next).Format("15:04"), req.WallOf(o.bell.Next).Format("15:04")
		if was != is {
			reply.Head += fmt.Sprintf(" At %s instead, or at both?", is)
			reply.Buttons = []storage.Button{desk.Labelled(is+" instead", fmt.Sprintf("move bell %d to %s", b.Num, is)), desk.Labelled("Both", fmt.Sprintf("move bell %d to %s and %s", b.Num, min(was, is), max(was, is)))}
		}
		return reply, nil
	}
	return desk.Reply{}, nil
}

// sameRound reports two titles that have a word of the rounds in common.
func sameRound(a, b string) bool {
	other := phrase.Words(b)
	return slices.ContainsFunc(phrase.Words(a), func(w string) bool { return slices.Contains(rounds, w) && slices.Contains(other, w) })
}

// weekly reports a bell of some days of the week.
func weekly(b storage.Bell) bool {
	f := strings.Fields(b.Schedule)
	return len(f) == 6 && f[0] == "cron" && f[5] != "*"
}

// oneWork reports titles of the same words, or of which one has all words of the other
// where both ring at the same times: "hens" and "feed the hens", daily at 7:30.
func oneWork(a, b storage.Bell) bool {
	one, two := strings.Fields(workWords(a.Title)), strings.Fields(workWords(b.Title))
	if len(one) > len(two) {
		one, two = two, one
	}
	within := len(one) > 0 && !slices.ContainsFunc(one, func(w string) bool { return !slices.Contains(two, w) })
	return within && (len(one) == len(two) || a.Schedule == b.Schedule)
}

// workWords is a title without the small words in which two titles of one work differ.
func workWords(title string) string {
	return strings.Join(slices.DeleteFunc(phrase.Words(title), func(w string) bool {
		return slices.Contains([]string{"the", "a", "an", "our", "my", "to", "in", "out", "up"}, w)
	}), " ")
}

// rungBoth reports somebody who is rung for both.
func rungBoth(req *desk.Request, a, b string) bool {
	rung := reminders.Expand(a, req.People, req.Now)
	return slices.ContainsFunc(reminders.Expand(b, req.People, req.Now), func(p storage.Person) bool {
		return slices.ContainsFunc(rung, func(q storage.Person) bool { return p.ID == q.ID })
	})
}
