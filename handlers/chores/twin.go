package chores

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

// twin asks where a chore of that name is there already: the same again, or with
// another time or for somebody else. Two of one name ring twice for one piece of work.
func (o *order) twin(req *desk.Request, c storage.Chore, bells []storage.Bell) (desk.Reply, error) {
	all, err := live(req)
	if err != nil {
		return desk.Reply{}, err
	}
	for _, old := range all {
		if !sameWork(old.Name, c.Name) {
			continue
		}
		had, err := bellsOf(req, old)
		if err != nil {
			return desk.Reply{}, err
		}
		there := fmt.Sprintf("There is %s already: %s, %s.", old.Name, sayTo(req, old, had), sayWhen(req, had))
		switch {
		case sameTimes(req, had, bells):
			return desk.AskBack(fmt.Sprintf("%s To change who: give %s to NAME; when: move %s to 8.", there, old.Name, old.Name), o.instead(req, old, had)...), nil
		case o.second || apart(req, had, bells):
		default:
			return desk.AskBack(there+" Another time for it, or one beside it?", o.ways(req, old, had, bells)...), nil
		}
	}
	return desk.Reply{}, nil
}

// sameWork reports two names that differ in small words alone.
func sameWork(a, b string) bool {
	bare := func(name string) string {
		return strings.Join(slices.DeleteFunc(phrase.Words(name), func(w string) bool { return w == "the" || w == "a" || w == "an" || w == "our" || w == "my" }), " ")
	}
	return bare(a) == bare(b)
}

// sameTimes reports a bell of both that falls due together, or a time that the chore
// has among others.
func sameTimes(req *desk.Request, had, bells []storage.Bell) bool {
	return slices.ContainsFunc(had, func(b storage.Bell) bool {
		return slices.ContainsFunc(bells, func(n storage.Bell) bool {
			if n.Schedule == b.Schedule && n.Next.Equal(b.Next) {
				return true
			}
			times, own := clocksOf(req, n), clocksOf(req, b)
			among := len(times) > 0 && len(own) > 1 && !slices.ContainsFunc(times, func(t phrase.Clock) bool { return !slices.Contains(own, t) })
			return among && slices.Equal(cronDays(n.Schedule), cronDays(b.Schedule)) && daysAlike(n, b)
		})
	})
}

// daysAlike reports schedules of a plain daily or weekly kind.
func daysAlike(a, b storage.Bell) bool {
	return strings.HasPrefix(a.Schedule, "cron ") && strings.HasPrefix(b.Schedule, "cron ")
}

// apart reports chores that never fall on one day: once each on other days, or on other
// days of the week.
func apart(req *desk.Request, had, bells []storage.Bell) bool {
	for _, b := range had {
		for _, n := range bells {
			if !b.Next.IsZero() && !daysDiffer(req, b, n) {
				return false
			}
		}
	}
	return true
}

func daysDiffer(req *desk.Request, b, n storage.Bell) bool {
	if b.Schedule == "" && n.Schedule == "" {
		return !reminders.Day(req.WallOf(b.Next)).Equal(reminders.Day(req.WallOf(n.Next)))
	}
	one, two := cronDays(b.Schedule), cronDays(n.Schedule)
	return len(one) > 0 && len(two) > 0 && !slices.ContainsFunc(one, func(d time.Weekday) bool { return slices.Contains(two, d) })
}

// ways are the buttons: the other time in place of the old or beside it, somebody else,
// or a chore of its own.
func (o *order) ways(req *desk.Request, old storage.Chore, had, bells []storage.Bell) []storage.Button {
	var out []storage.Button
	if len(had) == 1 && len(bells) == 1 && daysAlike(had[0], bells[0]) && slices.Equal(cronDays(had[0].Schedule), cronDays(bells[0].Schedule)) {
		own, times := clocksOf(req, had[0]), clocksOf(req, bells[0])
		to := "move " + old.Name + " to "
		if len(own) > 1 && len(cronDays(had[0].Schedule)) == 0 {
			to += "daily at " // all of its times, and not the one that is asked for
		}
		if len(own) > 0 && len(times) > 0 {
			out = append(out, desk.Labelled(clocks(times)+" instead", to+clocks(times)))
		}
		if len(out) > 0 && had[0].Whom == bells[0].Whom {
			return append(out, desk.Labelled(clocks(times)+" too", fmt.Sprintf("move %s to %s", old.Name, clocks(sortedClocks(append(own, times...))))))
		}
	}
	other := o.instead(req, old, had)
	if len(other) > 0 && len(bells) == 1 && bells[0].Schedule == "" {
		other = []storage.Button{desk.Labelled("This once", fmt.Sprintf("let %s do %s on %s", o.everyone()[0].Name, old.Name, req.WallOf(bells[0].Next).Format("2 January")))}
	}
	return append(append(out, other...), desk.Labelled("Beside it", asCommand(req.Text)+", as well"))
}

// instead offers one person's chore to the one other to whom it was given.
func (o *order) instead(req *desk.Request, old storage.Chore, had []storage.Bell) []storage.Button {
	who := o.everyone()
	if len(who) != 1 || len(had) != 1 || old.How != storage.ChoreOne || had[0].Whom == reminders.People(who[0].ID) {
		return nil
	}
	return []storage.Button{desk.Labelled(who[0].Name+" instead", fmt.Sprintf("give %s to %s", old.Name, who[0].Name))}
}

// bellAlready asks where a bell rings somebody for the same words already: they would be
// rung twice for one piece of work.
func (o *order) bellAlready(req *desk.Request, bells []storage.Bell) (desk.Reply, error) {
	if o.second {
		return desk.Reply{}, nil
	}
	coming, err := req.Tx.ComingBells(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	for _, b := range coming {
		if b.Subject != "" || b.Schedule == "" || !slices.ContainsFunc(bells, func(n storage.Bell) bool {
			return n.Schedule != "" && sharePeople(req, b, n) && (sameWork(b.Title, o.name) || n.Schedule == b.Schedule && within(b.Title, o.name))
		}) {
			continue
		}
		to := reminders.SayWhom(b.Whom, req.People, req.Now)
		return desk.AskBack(fmt.Sprintf("There is a bell for %s already: %s, %s. A chore would ring beside it: stop the bell first.", to, b.Title, sayWhen(req, []storage.Bell{b})),
			desk.Labelled("Stop the bell", fmt.Sprintf("stop bell %d", b.Num)), desk.Labelled("Beside it", asCommand(req.Text)+", as well")), nil
	}
	return desk.Reply{}, nil
}

// within reports a title all of whose words a chore's name has: "hens" in "feed the hens".
func within(title, name string) bool {
	own := phrase.Words(name)
	return !slices.ContainsFunc(phrase.Words(title), func(w string) bool { return !slices.Contains(own, w) })
}

// sharePeople reports two bells that ring one person.
func sharePeople(req *desk.Request, a, b storage.Bell) bool {
	rung := reminders.Expand(a.Whom, req.People, req.Now)
	return slices.ContainsFunc(reminders.Expand(b.Whom, req.People, req.Now), func(p storage.Person) bool {
		return slices.ContainsFunc(rung, func(q storage.Person) bool { return p.ID == q.ID })
	})
}
