package soap

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"yardbell/calc/cure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/handlers/picture"
	"yardbell/reminders"
	"yardbell/storage"
)

// dryShare is the loss of a week under which a bar is dry enough (common practice).
const dryShare = 0.01

// leastCure is how long every bar cures, however fast it dries (common practice).
const leastCure = 4 * cure.Week

// drying says what the last weighing of a batch means: what it lost since the one
// before and, from three on, when it settles, with a picture.
func drying(req *desk.Request, b storage.Batch, ws []storage.Weighing) ([]string, []storage.File, error) {
	if len(ws) < 2 {
		return []string{"The first weighing: weigh again in a week."}, nil, nil
	}
	lines := sinceLast(req, ws)
	gone, err := req.Tx.Outgoes(b.ID)
	if err != nil {
		return nil, nil, err
	}
	whole := wholeBatch(b, ws, gone)
	d, err := cure.Fit(whole, noise(req, b))
	if errors.Is(err, cure.ErrNotDrying) {
		return append(lines, "The weights do not fall as drying bars do: same bars, same scale, nothing damp?"), nil, nil
	}
	if err != nil {
		return lines, nil, nil //nolint:nilerr // too few weighings to say when
	}
	said, marks, band := forecast(req, b, d)
	lines = append(lines, said...)
	order, err := picture.Order(picture.Curve{
		Title: heading(b) + ": " + finding(ws), XLabel: "days since the pour", YLabel: "grams", Points: dots(whole), Line: d.At,
		To: math.Max(42, whole[len(whole)-1].Days+7), Mark: marks, Band: band,
	})
	if err != nil {
		return nil, nil, fmt.Errorf("picture of %s: %w", title(b.Num, b.Name), err)
	}
	return lines, []storage.File{{Name: fmt.Sprintf("cure-%d.png", b.Num), Type: "image/png", Drawing: order}}, nil
}

// weekLoss is the share of its weight that a batch loses in a week, by two weighings.
func weekLoss(last, now storage.Weighing) float64 {
	return (last.Grams - now.Grams) / last.Grams * 7 * 24 / now.At.Sub(last.At).Hours()
}

// finding says what the last two weighings show: the title of their picture.
func finding(ws []storage.Weighing) string {
	last, now := ws[len(ws)-2], ws[len(ws)-1]
	if now.At.Sub(last.At).Hours() < 12 || now.Grams > last.Grams {
		return "drying"
	}
	week := weekLoss(last, now)
	if week < dryShare {
		return "dry, it loses " + percent(week, 1) + " a week"
	}
	return "still drying, " + percent(week, 1) + " a week"
}

// sinceLast compares a weighing with the one before it.
func sinceLast(req *desk.Request, ws []storage.Weighing) []string {
	last, now := ws[len(ws)-2], ws[len(ws)-1]
	days := now.At.Sub(last.At).Hours() / 24
	loss := last.Grams - now.Grams
	if days < 0.5 {
		return nil
	}
	if loss < 0 {
		return []string{fmt.Sprintf("%s more than last time: was it damp, or another scale?", req.Scale().Nearest(-loss))}
	}
	week := weekLoss(last, now)
	text := fmt.Sprintf("%s less than %s ago: %s a week.", req.Scale().Nearest(loss), reminders.SayDuration(now.At.Sub(last.At)), percent(week, 1))
	if week < dryShare {
		return []string{text, "Under 1% a week: dry enough, once four weeks have passed and the check finds no lye."}
	}
	return []string{text, "Still drying: under 1% a week is dry enough."}
}

// wholeBatch are the weighings as of the whole batch: bars that left before one
// are put back at the weight that the others have.
func wholeBatch(b storage.Batch, ws []storage.Weighing, gone []storage.Outgo) []cure.Weighing {
	var out []cure.Weighing
	for _, w := range ws {
		left := b.Bars
		for _, o := range gone {
			if o.At.Before(w.At) {
				left -= o.Bars
			}
		}
		grams := w.Grams
		if b.Bars > 0 && left > 0 && left < b.Bars {
			grams *= float64(b.Bars) / float64(left)
		}
		out = append(out, cure.Weighing{Days: w.At.Sub(b.Poured).Hours() / 24, Grams: grams})
	}
	return out
}

// noise is how far off one weighing may be, in grams: the scale's step, and the
// handling of the bars.
func noise(req *desk.Request, b storage.Batch) float64 {
	return math.Max(0.5, req.Scale().Grams()/math.Sqrt(12)) + 0.1*math.Sqrt(float64(max(b.Bars, 1)))
}

// forecast says when the batch settles, not before every bar has cured for four
// weeks. A day that the weighings do not bound is not said.
func forecast(req *desk.Request, b storage.Batch, d cure.Drying) ([]string, []picture.VLine, *[2]float64) {
	f := d.Settled(dryShare)
	if math.IsInf(f.Late, 0) || math.IsNaN(f.Day) || f.Late > 730 {
		return []string{"When it settles cannot be said yet: weigh again in a week."}, nil, nil
	}
	day := func(days float64) time.Time { return b.Poured.Add(time.Duration(days * 24 * float64(time.Hour))) }
	lines := []string{fmt.Sprintf("By its weighings it loses under 1%% a week from %s (likely between %s and %s).", req.SayDay(day(f.Day)), req.SayDay(day(f.Early)), req.SayDay(day(f.Late)))}
	if f.Day < leastCure.Hours()/24 {
		lines = append(lines, fmt.Sprintf("Not before %s all the same: every bar cures four weeks.", req.SayDay(b.Poured.Add(leastCure))))
	}
	if d.Aside != nil {
		lines = append(lines, fmt.Sprintf("The weighing of %s stands out and was left aside.", req.SayDay(day(d.Aside.Days))))
	}
	return lines, []picture.VLine{{Day: f.Day, Label: "settles " + req.WallOf(day(f.Day)).Format("2 Jan")}}, &[2]float64{f.Early, f.Late}
}

// mostUnsure is how wide a forecast may be to move the day of a batch, in days.
const mostUnsure = 60.0

// moveReady moves the day on which a batch is called ready to the one on which it
// has settled by its weighings, but never before its six weeks, and has it weighed
// on until then.
func moveReady(req *desk.Request, b storage.Batch, ws []storage.Weighing) ([]string, error) {
	gone, err := req.Tx.Outgoes(b.ID)
	if err != nil {
		return nil, err
	}
	d, err := cure.Fit(wholeBatch(b, ws, gone), noise(req, b))
	if err != nil {
		return nil, nil //nolint:nilerr // nothing to go by yet
	}
	f := d.Settled(dryShare)
	bell, ok, err := stepBell(req, b, cure.Ready)
	if err != nil || !ok || bell.Next.IsZero() || !(f.Late-f.Day < mostUnsure) {
		return nil, err
	}
	wall := req.WallOf(b.Poured)
	settled := reminders.RoundOn(req.House, wall.Add(time.Duration(f.Day*24*float64(time.Hour))).AddDate(0, 0, 1))
	if planned := reminders.RoundOn(req.House, wall.Add(6*cure.Week)); settled.Before(planned) {
		settled = planned
	}
	if settled.Equal(bell.Next) {
		return nil, nil
	}
	if err := weighOn(req, b, settled); err != nil {
		return nil, err
	}
	return []string{fmt.Sprintf("Ready moves to %s, when it has settled.", req.SayDay(settled))}, req.Tx.MoveBell(bell.ID, settled, bell.Due, bell.Remain)
}

// weighOn has a batch weighed weekly until a day, when its weighings have run out.
func weighOn(req *desk.Request, b storage.Batch, until time.Time) error {
	bell, ok, err := stepBell(req, b, cure.Weigh)
	if err != nil || !ok || !bell.Next.IsZero() || !until.After(req.Now) {
		return err
	}
	weeks := int(until.Sub(req.Now)/cure.Week) + 1
	next := reminders.RoundOn(req.House, req.Wall.Add(cure.Week))
	return req.Tx.RescheduleBell(bell.ID, weekly(req, next), next, weeks)
}

func dots(ws []cure.Weighing) []picture.Point {
	out := make([]picture.Point, 0, len(ws))
	for _, w := range ws {
		out = append(out, picture.Point{Day: w.Days, Value: w.Grams})
	}
	return out
}

// cureOf answers "how is batch 1 drying".
func cureOf(req *desk.Request) (desk.Reply, error) {
	b, reply, ok, err := find(req, func(storage.Batch) (bool, error) { return true, nil })
	if err != nil || !ok {
		return reply, err
	}
	ws, err := req.Tx.Weighings(b.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(ws) == 0 {
		return desk.Answer(fmt.Sprintf("%s has not been weighed yet: weigh batch %d 1320 g", heading(b), b.Num)), nil
	}
	lines, files, err := drying(req, b, ws)
	last := ws[len(ws)-1]
	out := desk.Answer(fmt.Sprintf("%s weighed %s %s.", heading(b), req.Scale().Nearest(last.Grams), req.SayDay(last.At)), lines...)
	out.Files = files
	return out, err
}

func dryingAsk(thing []phrase.Kind) desk.Ask {
	setup := []string{"poured 1200 g lard 160 g lye 456 g water", "weigh batch 1 1620 g"}
	return desk.Ask{
		Name: "drying", Command: "weigh", Needs: ofBatch, Help: "how a batch dries, and when it settles", Kinds: thing, Lists: []string{"batches"},
		Forms: []string{"how * drying", "is * dry", "when * dry|settle|settles", "^drying", "picture of"}, Fill: slices.Concat(soapy, []string{"how", "is", "enough", "when", "will", "be", "yet", "curve", "picture"}),
		Examples: []desk.Example{{Setup: setup, Line: "how is batch 1 drying"}}, Do: cureOf,
	}
}
