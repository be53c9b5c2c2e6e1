package soap

import (
	"fmt"
	"math"
	"slices"
	"time"

	"yardbell/calc/cure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// stepTitles is what the bell of each step says.
var stepTitles = map[cure.Step]string{
	cure.Unmould: "unmould %s",
	cure.Cut:     "cut %s",
	cure.Turn:    "turn the bars of %s",
	cure.Weigh:   "weigh %s",
	cure.Check:   "cure check of %s",
	cure.Ready:   "%s is ready",
	cure.Paste:   "look at the paste of %s",
	cure.Dilute:  "thin the paste of %s with water",
}

// stepHints is what is said along with the bell.
var stepHints = map[cure.Step]string{
	cure.Unmould: "With gloves: fresh soap is still caustic.",
	cure.Cut:     "With gloves: fresh soap is still caustic.",
	cure.Check: "Cut a bar through: no clear, wet or crunchy pockets inside (they are lye: throw the batch out), no powder but soda ash, weight steady. " +
		"Free alkali is measured by titration (ISO 456); phenolphthalein on a fresh cut only hints. Never the tongue.",
	cure.Ready:  "The cure is over. Ready to use if the check was good.",
	cure.Paste:  "With gloves: it is still caustic. A gram of paste in 10 g of hot water has to be clear: cloudy or oily, cook or leave it longer and look again tomorrow.",
	cure.Dilute: "With gloves. Start with as much hot water as paste, by weight, and add until it pours as you like it.",
}

// stepNames is how the day book and the rack call each step.
var stepNames = map[cure.Step]string{
	cure.Unmould: "unmould", cure.Cut: "cut", cure.Turn: "turn the bars", cure.Weigh: "weigh", cure.Check: "cure check", cure.Ready: "ready",
	cure.Paste: "look at the paste", cure.Dilute: "thin the paste",
}

// setBells sets the bells of a new batch. A step that was due long before a pour
// told late gets no bell.
func setBells(req *desk.Request, b storage.Batch) error {
	plan, err := planOf(b)
	if err != nil {
		return err
	}
	ends := map[cure.Step]time.Time{"": b.Poured}
	for _, d := range plan {
		at := dueAt(req, d, ends[d.After])
		ends[d.Step] = at
		bell := storage.Bell{
			Household: req.House.ID, Title: fmt.Sprintf(stepTitles[d.Step], title(b.Num, b.Name)), Hint: stepHints[d.Step], Whom: reminders.People(b.PouredBy),
			Next: at, Daily: d.Daily, Useful: reminders.UsefulDaily, Subject: subject(b), Step: string(d.Step),
			Why: fmt.Sprintf("%s, poured %s", title(b.Num, b.Name), req.SayDay(b.Poured)), Made: req.Now,
		}
		if d.Every > 0 {
			bell.Schedule, bell.Remain = weekly(req, at), d.Times
		}
		if d.Step == cure.Ready || d.Step == cure.Check {
			bell.Useful = reminders.UsefulEver
		}
		if tooLate(req, d, at) {
			bell.Next = time.Time{}
		}
		if _, err := req.Tx.AddBell(bell); err != nil {
			return err
		}
	}
	return nil
}

// planOf is the plan of hard or of liquid soap.
func planOf(b storage.Batch) ([]cure.Due, error) {
	k, err := readKept(b.Recipe)
	if err != nil {
		return nil, err
	}
	if !k.bars() {
		return cure.PastePlan(), nil
	}
	return cure.Plan(), nil
}

func subject(b storage.Batch) string { return fmt.Sprintf("batch:%d", b.Num) }

// dueAt counts a step from the end of the one before it. What belongs to a day
// is told in that day's morning round; the rest keeps the minute, and the wall
// clock across a clock change.
func dueAt(req *desk.Request, d cure.Due, from time.Time) time.Time {
	wall := req.WallOf(from).Add(d.Wait)
	if d.Daily {
		return reminders.RoundOn(req.House, wall)
	}
	return req.Instant(wall)
}

func weekly(req *desk.Request, at time.Time) string {
	return reminders.Recurrence{Freq: "WEEKLY", Interval: 1, Start: req.WallOf(at)}.Spec()
}

// moveAfter moves every step that hangs on one that happened at another time
// than planned, as far as it has not rung yet.
func moveAfter(req *desk.Request, b storage.Batch, step cure.Step, at time.Time) error {
	bells, err := req.Tx.SubjectBells(req.House.ID, subject(b))
	if err != nil {
		return err
	}
	plan, err := planOf(b)
	if err != nil {
		return err
	}
	ends := map[cure.Step]time.Time{step: at}
	for _, d := range plan {
		from, ok := ends[d.After]
		if !ok {
			continue
		}
		next := dueAt(req, d, from)
		ends[d.Step] = next
		for _, bell := range bells {
			if bell.Step != string(d.Step) || bell.Stopped || !bell.Due.IsZero() {
				continue
			}
			if bell.Schedule != "" {
				if err := req.Tx.RescheduleBell(bell.ID, weekly(req, next), next, bell.Remain); err != nil {
					return err
				}
				continue
			}
			if err := req.Tx.MoveBell(bell.ID, next, bell.Due, bell.Remain); err != nil {
				return err
			}
		}
	}
	return nil
}

// seatAnew sets the bells of a batch by a corrected time of its pour: those of steps
// that nobody has done yet ring by the new time, whether or not they rang by the old.
func seatAnew(req *desk.Request, b storage.Batch) error {
	plan, err := planOf(b)
	if err != nil {
		return err
	}
	ends := map[cure.Step]time.Time{"": b.Poured}
	for _, d := range plan {
		at := dueAt(req, d, ends[d.After])
		ends[d.Step] = at
		bell, ok, err := stepBell(req, b, d.Step)
		if err != nil {
			return err
		}
		if !ok {
			continue
		}
		when, done, err := doneAt(req, bell)
		if err != nil {
			return err
		}
		if done {
			ends[d.Step] = when
			continue
		}
		if err := seat(req, bell, d, at); err != nil {
			return err
		}
	}
	return nil
}

// doneAt is when a step that comes once was done, by a ring that was answered or by
// being told before it rang.
func doneAt(req *desk.Request, bell storage.Bell) (time.Time, bool, error) {
	if bell.Schedule != "" || bell.Due.IsZero() {
		return time.Time{}, false, nil
	}
	last, rang, err := req.Tx.LastRing(bell.ID)
	if err != nil || !rang {
		return bell.Due, !rang && bell.Next.IsZero(), err
	}
	return last.Answered, last.Answer == storage.AnswerDone, nil
}

// seat gives a bell the time that a step falls due, and stops what it rang before.
func seat(req *desk.Request, bell storage.Bell, d cure.Due, at time.Time) error {
	if err := stopRings(req, bell); err != nil {
		return err
	}
	if d.Every > 0 {
		times := d.Times
		for ; times > 1 && at.Before(req.Now); times-- {
			at = dueAt(req, cure.Due{Wait: d.Every, Daily: d.Daily}, at)
		}
		return req.Tx.RescheduleBell(bell.ID, weekly(req, at), at, times)
	}
	if tooLate(req, d, at) {
		at = time.Time{}
	}
	return req.Tx.MoveBell(bell.ID, at, time.Time{}, 0)
}

func stopRings(req *desk.Request, bell storage.Bell) error {
	for _, g := range openOf(req, bell) {
		g.Wake, g.Answer, g.Answered = time.Time{}, storage.AnswerStopped, req.Now
		if err := req.Tx.SaveRing(g); err != nil {
			return err
		}
	}
	return nil
}

// tooLate reports a step that was due long before a pour told late: it gets no bell.
func tooLate(req *desk.Request, d cure.Due, at time.Time) bool {
	return at.Before(req.Now) && !d.Daily && req.Now.Sub(at) > cure.Week
}

// stepLines says what comes next for a batch and when.
func stepLines(req *desk.Request, b storage.Batch) ([]string, error) {
	bells, err := req.Tx.SubjectBells(req.House.ID, subject(b))
	if err != nil {
		return nil, err
	}
	var out []string
	for _, bell := range bells {
		if bell.Next.IsZero() {
			continue
		}
		when := req.SayDay(bell.Next)
		if !bell.Daily {
			when = req.Say(bell.Next)
		}
		if bell.Schedule != "" {
			when += " and weekly"
		}
		out = append(out, fmt.Sprintf("%s %s", when, stepNames[cure.Step(bell.Step)]))
	}
	return out, nil
}

// stepWords maps a typed verb to the step it tells.
var stepWords = map[string]cure.Step{
	"unmoulded": cure.Unmould, "unmolded": cure.Unmould, "demoulded": cure.Unmould, "demolded": cure.Unmould, "unmould": cure.Unmould,
	"unmold": cure.Unmould, "cut": cure.Cut, "sliced": cure.Cut, "turned": cure.Turn, "turn": cure.Turn,
	"thinned": cure.Dilute, "diluted": cure.Dilute,
}

// told writes down that a step was done, perhaps some time ago; what hangs on it
// moves.
func told(req *desk.Request) (desk.Reply, error) {
	step, ok := stepSaid(req)
	if !ok {
		return desk.Reply{}, desk.ErrSilent
	}
	if (req.Who.Child(req.Now) || !req.Grown()) && step != cure.Turn {
		return desk.Refuse("Not for a child: fresh soap is still caustic. An adult does it and says so."), nil
	}
	waits := func(b storage.Batch) (bool, error) {
		bell, ok, err := stepBell(req, b, step)
		return ok && (!bell.Next.IsZero() || len(openOf(req, bell)) > 0), err
	}
	b, reply, ok, err := find(req, waits)
	if err != nil || !ok {
		return reply, err
	}
	if reply, no, err := notYetForChild(req, b); err != nil || no {
		return reply, err
	}
	if reply, no := dayToCome(req); no {
		return reply, nil
	}
	at := req.Now
	when := req.Reading.Moment(req.Context(), phrase.Past)
	if when.Count > 0 {
		at = req.Instant(when.Wall)
	}
	if at.After(req.Now) {
		return desk.AskBack(fmt.Sprintf("%s has not come yet. When was it?", req.Say(at))), nil
	}
	if at.Before(b.Poured) {
		return desk.AskBack(fmt.Sprintf("%s was poured only %s. When was it?", heading(b), req.Say(b.Poured))), nil
	}
	text := fmt.Sprintf("%s: %s", title(b.Num, b.Name), stepNames[step])
	bars, reply, ok := barsSaid(req, step)
	if !ok {
		return reply, nil
	}
	if bars > 0 {
		text += fmt.Sprintf(" into %s", desk.Plural(bars, "bar"))
	}
	if err := req.Record(storage.Entry{Kind: "batch", About: subject(b), Happened: at, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if bars > 0 {
		b.Bars = bars
		if err := req.Tx.SaveBatch(b); err != nil {
			return desk.Reply{}, err
		}
	}
	reply, err = finishStep(req, b, step, at)
	if when.Vague {
		reply.Assumed = append(reply.Assumed, "the time read as about "+req.WallOf(at).Format("15:04"))
	}
	return reply, err
}

// notYetForChild keeps children off a batch that has not been cut, or whose paste is
// not thinned: it is still caustic.
func notYetForChild(req *desk.Request, b storage.Batch) (desk.Reply, bool, error) {
	if req.Grown() && !req.Who.Child(req.Now) {
		return desk.Reply{}, false, nil
	}
	for _, step := range []cure.Step{cure.Cut, cure.Dilute} {
		bell, ok, err := stepBell(req, b, step)
		if err != nil {
			return desk.Reply{}, false, err
		}
		if ok && (!bell.Next.IsZero() || len(openOf(req, bell)) > 0) {
			return desk.Refuse(fmt.Sprintf("Not for a child yet: %s is still caustic. An adult does it and says so.", title(b.Num, b.Name))), true, nil
		}
	}
	return desk.Reply{}, false, nil
}

// dayToCome asks about a day that the calendar has still before it and that can only
// be last year's otherwise: "2 march" on the first.
func dayToCome(req *desk.Request) (desk.Reply, bool) {
	for _, s := range req.Reading.Of(phrase.KindDate) {
		d := s.Value.(phrase.Date)
		if d.Next.After(req.Wall) && req.Wall.Sub(d.Last) > lastYear {
			return desk.AskBack(fmt.Sprintf("%s has not come yet. When was it? Last year's is told with its year.", desk.Quote(s.Text))), true
		}
	}
	return desk.Reply{}, false
}

// lastYear is how far back a day told without its year is not taken to be.
const lastYear = 300 * 24 * time.Hour

func stepSaid(req *desk.Request) (cure.Step, bool) {
	for _, t := range req.Reading.Tokens {
		if step, ok := stepWords[t.Low]; ok {
			return step, true
		}
	}
	return "", false
}

func stepBell(req *desk.Request, b storage.Batch, step cure.Step) (storage.Bell, bool, error) {
	bells, err := req.Tx.SubjectBells(req.House.ID, subject(b))
	for _, bell := range bells {
		if bell.Step == string(step) && !bell.Stopped {
			return bell, true, err
		}
	}
	return storage.Bell{}, false, err
}

func openOf(req *desk.Request, bell storage.Bell) []storage.Ring {
	open, err := req.Tx.RingsOf(bell.ID)
	if err != nil {
		return nil
	}
	return open
}

// finishStep closes the ring and the bell of a step and moves the rest.
func finishStep(req *desk.Request, b storage.Batch, step cure.Step, at time.Time) (desk.Reply, error) {
	bell, ok, err := stepBell(req, b, step)
	if err != nil {
		return desk.Reply{}, err
	}
	if ok {
		if err := closeBell(req, bell, at); err != nil {
			return desk.Reply{}, err
		}
	}
	if err := closeBefore(req, b, step, at); err != nil {
		return desk.Reply{}, err
	}
	if err := moveAfter(req, b, step, at); err != nil {
		return desk.Reply{}, err
	}
	lines, err := stepLines(req, b)
	if err != nil {
		return desk.Reply{}, err
	}
	past := pastName[step]
	if step == cure.Cut && b.Bars > 0 {
		past += " into " + desk.Plural(b.Bars, "bar")
	}
	return desk.Answer(fmt.Sprintf("%s: %s %s.", heading(b), past, req.Say(at)), lines...), nil
}

// closeBefore closes the steps that one hangs on: what is cut has been unmoulded.
func closeBefore(req *desk.Request, b storage.Batch, step cure.Step, at time.Time) error {
	plan, err := planOf(b)
	if err != nil {
		return err
	}
	for i := slices.IndexFunc(plan, func(d cure.Due) bool { return d.Step == step }); i >= 0 && plan[i].After != ""; {
		step = plan[i].After
		i = slices.IndexFunc(plan, func(d cure.Due) bool { return d.Step == step })
		bell, ok, err := stepBell(req, b, step)
		if err != nil {
			return err
		}
		if !ok || bell.Next.IsZero() && len(openOf(req, bell)) == 0 {
			continue
		}
		if err := closeBell(req, bell, at); err != nil {
			return err
		}
	}
	return nil
}

// barsSaid is the number of bars that a batch was cut into, 0 when it was not said.
func barsSaid(req *desk.Request, step cure.Step) (int, desk.Reply, bool) {
	ns := req.Reading.Of(phrase.KindNumber)
	if step != cure.Cut || len(ns) == 0 {
		return 0, desk.Reply{}, true
	}
	n := numberOf(ns[0])
	if len(ns) > 1 || n < 1 || n > 2000 || n != math.Trunc(n) {
		return 0, desk.AskBack("Cut into how many bars? For example: cut batch 1 into 12 bars"), false
	}
	return int(n), desk.Reply{}, true
}

var pastName = map[cure.Step]string{cure.Unmould: "unmoulded", cure.Cut: "cut", cure.Turn: "bars turned", cure.Weigh: "weighed", cure.Check: "checked", cure.Ready: "ready", cure.Paste: "paste looked at", cure.Dilute: "thinned"}

// closeBell answers the open rings of a bell; one that rings once rings no more.
func closeBell(req *desk.Request, bell storage.Bell, at time.Time) error {
	for _, g := range openOf(req, bell) {
		g.Wake, g.Answer, g.Answered, g.AnsweredBy = time.Time{}, storage.AnswerDone, at, req.Who.ID
		if err := req.Tx.SaveRing(g); err != nil {
			return err
		}
	}
	if bell.Schedule != "" {
		return nil
	}
	due := bell.Due
	if due.IsZero() {
		due = at
	}
	return req.Tx.MoveBell(bell.ID, time.Time{}, due, 0)
}

// answered is what follows when the ring of a step was answered done.
func answered(req *desk.Request, bell storage.Bell, at time.Time) ([]string, error) {
	all, err := req.Tx.Batches(req.House.ID)
	if err != nil {
		return nil, err
	}
	for _, b := range all {
		if subject(b) != bell.Subject {
			continue
		}
		step := cure.Step(bell.Step)
		if err := moveAfter(req, b, step, at); err != nil {
			return nil, err
		}
		switch step {
		case cure.Cut:
			lines, err := stepLines(req, b)
			if b.Bars == 0 {
				lines = append([]string{fmt.Sprintf("Into how many bars? cut batch %d into 12 bars", b.Num)}, lines...)
			}
			return lines, err
		case cure.Unmould, cure.Paste, cure.Dilute:
			return stepLines(req, b)
		case cure.Weigh:
			return []string{fmt.Sprintf("Its weight? weigh batch %d 1320 g", b.Num)}, nil
		}
	}
	return nil, nil
}
