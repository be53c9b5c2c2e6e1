package soap

import (
	"fmt"
	"slices"
	"time"

	"yardbell/calc/cure"
	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// rack lists the batches with their age and what comes next.
func rack(req *desk.Request) (desk.Reply, error) {
	poured, err := req.Tx.Batches(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	all, err := onRack(req, poured)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(poured) == 0 {
		return desk.Answer("The rack is empty: no batch has been poured yet."), nil
	}
	if len(all) == 0 {
		return desk.Answer("The rack is empty: what was poured has been thrown out."), nil
	}
	reply := desk.Answer(fmt.Sprintf("%d on the rack:", len(all)))
	if len(all) == 1 {
		reply.Head = "1 on the rack:"
	}
	for _, b := range all {
		line, err := rackLine(req, b)
		if err != nil {
			return desk.Reply{}, err
		}
		reply.Lines = append(reply.Lines, line)
	}
	return reply, nil
}

func rackLine(req *desk.Request, b storage.Batch) (string, error) {
	out, err := req.Tx.Outgoes(b.ID)
	if err != nil {
		return "", err
	}
	if slices.ContainsFunc(out, func(o storage.Outgo) bool { return o.How == thrownOut }) {
		return fmt.Sprintf("%s: poured %s, thrown out", title(b.Num, b.Name), req.SayDay(b.Poured)), nil
	}
	days := int(reminders.Day(req.Wall).Sub(reminders.Day(req.WallOf(b.Poured))).Hours() / 24)
	text := fmt.Sprintf("%s: poured %s, day %d", title(b.Num, b.Name), req.SayDay(b.Poured), days)
	ws, err := req.Tx.Weighings(b.ID)
	if err != nil {
		return "", err
	}
	if len(ws) > 0 {
		text += ", " + req.Scale().Nearest(ws[len(ws)-1].Grams)
	}
	text += barsLeft(b, out)
	next, ready, err := comingSteps(req, b)
	if err != nil {
		return "", err
	}
	if next != "" {
		text += "; next " + next
	}
	if ready.After(req.Now) {
		return text + "; ready " + req.SayDay(ready), nil
	}
	return text + "; ready since " + req.SayDay(ready), nil
}

// comingSteps returns the next step and when the batch is ready.
func comingSteps(req *desk.Request, b storage.Batch) (next string, ready time.Time, err error) {
	bells, err := req.Tx.SubjectBells(req.House.ID, subject(b))
	if err != nil {
		return "", ready, err
	}
	var soonest time.Time
	for _, bell := range bells {
		at := bell.Next
		if len(openOf(req, bell)) > 0 && !bell.Due.IsZero() {
			at = bell.Due
		}
		if cure.Step(bell.Step) == cure.Ready {
			ready = at
			if at.IsZero() {
				ready = bell.Due
			}
			continue
		}
		if !at.IsZero() && (soonest.IsZero() || at.Before(soonest)) {
			soonest, next = at, stepNames[cure.Step(bell.Step)]+" "+req.SayDay(at)
		}
	}
	return next, ready, nil
}

// when answers "when is batch 3 ready" and "when do we cut the lavender batch".
func when(req *desk.Request) (desk.Reply, error) {
	b, reply, ok, err := find(req, func(b storage.Batch) (bool, error) {
		gone, err := scrapped(req, b)
		return !gone, err
	})
	if err != nil || !ok {
		return reply, err
	}
	if gone, err := scrapped(req, b); err != nil || gone {
		return desk.Answer(fmt.Sprintf("%s was thrown out.", heading(b))), err
	}
	bells, err := req.Tx.SubjectBells(req.House.ID, subject(b))
	if err != nil {
		return desk.Reply{}, err
	}
	if req.Form == "how old" {
		line, err := rackLine(req, b)
		return desk.Answer(desk.Upper(line) + "."), err
	}
	step := cure.Ready
	if said, ok := stepSaid(req); ok {
		step = said
	}
	for _, bell := range bells {
		if cure.Step(bell.Step) == step {
			return sayWhen(req, b, bell, step), nil
		}
	}
	return desk.Answer(fmt.Sprintf("%s was poured %s.", heading(b), req.SayDay(b.Poured))), nil
}

func sayWhen(req *desk.Request, b storage.Batch, bell storage.Bell, step cure.Step) desk.Reply {
	at := bell.Next
	if at.IsZero() {
		return desk.Answer(fmt.Sprintf("%s: %s was %s.", heading(b), stepNames[step], req.Say(bell.Due)))
	}
	if step == cure.Ready && bell.Daily && liquidSoap(b) {
		return desk.Answer(fmt.Sprintf("%s is ready %s, two weeks after it was thinned.", heading(b), req.SayDay(at)))
	}
	if step == cure.Ready {
		why := "six weeks after the pour"
		if at.Sub(b.Poured) > 6*cure.Week+2*cure.Day {
			why = "when it has settled, by its weighings"
		}
		reply := desk.Answer(fmt.Sprintf("%s is ready %s, %s.", heading(b), req.SayDay(at), why))
		reply.Assumed = []string{"four to six weeks of cure; it is done when a week takes less than 1% of its weight"}
		return reply
	}
	day := req.Say(at)
	if bell.Daily {
		day = req.SayDay(at)
	}
	return desk.Answer(fmt.Sprintf("%s: %s %s.", heading(b), stepNames[step], day))
}

// weigh notes the mass of a batch on the rack.
func weigh(req *desk.Request) (desk.Reply, error) {
	b, reply, ok, err := find(req, func(storage.Batch) (bool, error) { return true, nil })
	if err != nil || !ok {
		return reply, err
	}
	if reply, no, err := notYetForChild(req, b); err != nil || no {
		return reply, err
	}
	if reply, no := dayToCome(req); no {
		return reply, nil
	}
	grams, reply, ok := massSaid(req, b)
	if !ok {
		return reply, nil
	}
	fresh, err := freshMass(b)
	if err != nil {
		return desk.Reply{}, err
	}
	if grams > fresh*maxDrawn {
		return desk.Refuse(fmt.Sprintf("%s was poured at %s: it cannot weigh %s now. Weigh it again.", heading(b), req.Scale().Nearest(fresh), req.Scale().Nearest(grams))), nil
	}
	at := req.Now
	if w := req.Reading.Moment(req.Context(), phrase.Past); w.Count > 0 {
		at = req.Instant(w.Wall)
	}
	if at.After(req.Now) || at.Before(b.Poured) {
		return desk.AskBack(fmt.Sprintf("%s was poured %s. When was it weighed?", heading(b), req.Say(b.Poured))), nil
	}
	text := fmt.Sprintf("%s weighs %s", title(b.Num, b.Name), req.Scale().Nearest(grams))
	if err := req.Record(storage.Entry{Kind: "weigh", About: subject(b), Happened: at, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.AddWeighing(req.House.ID, b.ID, storage.Weighing{At: at, Grams: grams}); err != nil {
		return desk.Reply{}, err
	}
	if err := closeWeighRing(req, b, at); err != nil {
		return desk.Reply{}, err
	}
	ws, err := req.Tx.Weighings(b.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	lines, files, err := drying(req, b, ws)
	if err != nil {
		return desk.Reply{}, err
	}
	later, err := moveReady(req, b, ws)
	lines = append(lines, later...)
	out := desk.Answer(fmt.Sprintf("%s weighs %s.", heading(b), req.Scale().Nearest(grams)), lines...)
	out.Files = files
	return out, err
}

func massSaid(req *desk.Request, b storage.Batch) (float64, desk.Reply, bool) {
	qs := req.Reading.Of(phrase.KindQuantity)
	if len(qs) != 1 {
		reply := desk.AskBack(fmt.Sprintf("How much does %s weigh, with its unit? For example: weigh batch %d 1320 g", title(b.Num, b.Name), b.Num))
		if ns := req.Reading.Of(phrase.KindNumber); len(qs) == 0 && len(ns) == 1 {
			reply.Buttons = []storage.Button{
				desk.Labelled("grams", fmt.Sprintf("weigh batch %d %s g", b.Num, ns[0].Text)),
				desk.Labelled("ounces", fmt.Sprintf("weigh batch %d %s oz", b.Num, ns[0].Text)),
			}
		}
		return 0, reply, false
	}
	q := qs[0].Value.(phrase.Quantity)
	if q.Unit.Dim != measure.Mass || q.Top != nil {
		return 0, desk.AskBack(fmt.Sprintf("%s is not one weight. For example: weigh batch %d 1320 g", desk.Quote(qs[0].Text), b.Num)), false
	}
	g := q.Float()
	if g <= 0 {
		return 0, desk.Refuse(fmt.Sprintf("%s cannot be the weight of a batch.", desk.Quote(qs[0].Text))), false
	}
	return g, desk.Reply{}, true
}

func closeWeighRing(req *desk.Request, b storage.Batch, at time.Time) error {
	bell, ok, err := stepBell(req, b, cure.Weigh)
	if err != nil || !ok {
		return err
	}
	return closeBell(req, bell, at)
}
