package garden

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"yardbell/calc/sowing"
	"yardbell/handlers/desk"
	"yardbell/reminders"
	"yardbell/storage"
)

// Steps of a sowing that have a bell, as they are kept.
const (
	stepLook   = "look"
	stepPotUp  = "pot up"
	stepFeed   = "feed"
	stepThin   = "thin"
	stepHarden = "harden"
	stepSetOut = "set out"
	stepPick   = "pick"
)

// steps in their order.
var steps = []string{stepLook, stepPotUp, stepFeed, stepThin, stepHarden, stepSetOut, stepPick}

// Days and warmth where nobody has told them (common practice).
const (
	indoorWarm  = 20.0 // C, a windowsill or a warmed tray
	outdoorWarm = 12.0 // C, spring soil
	usualUp     = 10   // days to come up, where the table does not know
	potUpDays   = 10   // from coming up to the first true leaves: 7 to 14
	feedDays    = 21   // from coming up to the first weak feed
	thinDays    = 14   // from coming up outdoors
	lookAgain   = 3    // days, when nothing was up
	ripeAgain   = 7    // days, when nothing was ripe
)

var stepTitle = map[string]string{
	stepLook: "look whether %s is up", stepPotUp: "pot up %s", stepFeed: "feed %s", stepThin: "thin %s", stepHarden: "harden off %s", stepSetOut: "set out %s", stepPick: "look whether %s is ready to pick",
}

// hint is what is said with the ring of a step.
func (s sown) hint(step string, us bool) string {
	switch step {
	case stepLook:
		if s.Outdoors {
			return fmt.Sprintf("Say: %s up", s.name())
		}
		return fmt.Sprintf("Lid or film off on the day that the first ones show, and into the light. Say: %s up, or 18 %s up", s.name(), s.name())
	case stepPotUp:
		return "At the first true leaves; hold by a leaf and not by the stem."
	case stepFeed:
		return "Weak: a quarter to half of what the label says, once a week."
	case stepThin:
		return fmt.Sprintf("To about %s apart; the strongest stay. Water first.", roomText(s.kind.InRow, us))
	case stepHarden:
		return hardenDay(s, s.Hardened+1, us)
	case stepSetOut:
		text := "On a dull evening, and not into a frost that is forecast: tell me the low that is."
		if s.Hardened < sowing.HardenLeast {
			text += fmt.Sprintf(" Not hardened off yet? Say: hardening off the %s, and this waits.", s.name())
		}
		return text
	case stepPick:
		ready, _, _, ok := sowing.Keeping(s.kind.table)
		if ok {
			return "Ready when " + ready + "."
		}
	}
	return ""
}

// name is how a line can name the sowing.
func (s sown) name() string { return s.kind.label() }

// spaceText writes a spacing as it is measured, in centimetres.
func spaceText(cm float64) string { return fmt.Sprintf("%.3g cm", cm) }

// roomText writes a spacing in the household's units.
func roomText(cm float64, us bool) string {
	if us {
		return strconv.FormatFloat(math.Round(10*cm/2.54)/10, 'f', -1, 64) + " in"
	}
	return spaceText(cm)
}

// lower begins a phrase that goes on a sentence with a small letter.
func lower(text string) string { return strings.ToLower(text[:1]) + text[1:] }

// hardenDay is what is done on a day of hardening off: a step a day (common practice
// on the frame of extension pages, 7 to 10 days).
func hardenDay(s sown, n int, us bool) string {
	nights := 10.0
	if s.kind.Hardiness <= sowing.HalfHardy {
		nights = 0
	}
	switch {
	case n <= 2:
		return "Out for 1 to 2 hours, in the shade and out of the wind."
	case n <= 4:
		return "Out for 3 to 4 hours, some of the morning sun."
	case n <= 6:
		return "Out for half the day."
	case n == 7:
		return "Out all day, in at night."
	}
	return fmt.Sprintf("Out all day, and the night too if it stays above %s.", airText(nights, us))
}

// plan is when each step of a sowing falls due, by what has happened to it so far.
func (s sown) plan(req *desk.Request) (map[string]time.Time, error) {
	due := map[string]time.Time{}
	up := s.Up
	if up.IsZero() {
		up = s.Sown.AddDate(0, 0, s.daysToUp())
		due[stepLook] = up
	}
	out, pick, err := s.outAndPick(req)
	if err != nil {
		return nil, err
	}
	if !pick.IsZero() && s.Picked.IsZero() {
		due[stepPick] = pick
	}
	if s.Outdoors {
		if thin := up.AddDate(0, 0, thinDays); s.Planted.IsZero() && s.thins() && (pick.IsZero() || thin.Before(pick)) {
			due[stepThin] = thin
		}
		return due, nil
	}
	if !s.Planted.IsZero() {
		return due, nil
	}
	if s.potsUp() && s.Potted.IsZero() {
		due[stepPotUp] = up.AddDate(0, 0, potUpDays)
	}
	if out.IsZero() {
		return due, nil
	}
	if feed := up.AddDate(0, 0, feedDays); feed.Before(out.AddDate(0, 0, -7)) {
		due[stepFeed] = feed
	}
	if s.Hardening.IsZero() {
		due[stepHarden] = out.AddDate(0, 0, -sowing.HardenDays)
	}
	due[stepSetOut] = out
	return due, nil
}

// daysToUp is how long a sowing takes to come up, by the handbook table at the usual
// warmth.
func (s sown) daysToUp() int {
	warm := indoorWarm
	if s.Outdoors {
		warm = outdoorWarm
	}
	if e, err := sowing.Emergence(s.kind.Crop, warm); err == nil {
		return int(e.Days + 0.5)
	}
	if s.planted() {
		return 3 * usualUp
	}
	return usualUp
}

// thins reports a crop that is sown closer than it grows.
func (s sown) thins() bool {
	return !s.planted() && s.kind.InRow < 30 && s.kind.Family != "Fabaceae" && s.kind.Family != "Poaceae"
}

// potsUp reports seedlings that are moved into pots of their own: not those that
// resent it, nor onions and leeks, which stand close until they go out.
func (s sown) potsUp() bool {
	return !s.kind.table.Resents() && s.kind.Family != "Amaryllidaceae" && s.kind.Family != "Poaceae"
}

// outAndPick are the days of setting out and of the first picking; zero where the
// frosts are not known, or the crop knows no such day.
func (s sown) outAndPick(req *desk.Request) (out, pick time.Time, err error) {
	now, known, err := s.season(req)
	if err != nil || !known {
		return out, pick, err
	}
	c, ferr := s.course(now)
	if ferr != nil {
		return out, pick, nil //nolint:nilerr // begun in a way that the table does not know
	}
	if !s.Outdoors {
		out = c.SetOut
	}
	if hardy := s.Hardening.AddDate(0, 0, sowing.HardenLeast); s.hardening() && out.Before(hardy) {
		out = hardy
	}
	pick = c.Early
	if !s.Planted.IsZero() && s.kind.FromTransplant {
		pick = s.Planted.AddDate(0, 0, s.kind.MaturityMin)
	}
	if s.kind.MaturityMin > 400 { // of later years
		pick = time.Time{}
	}
	return out, pick, nil
}

// season is the frosts that a sowing grows between; false where they are not known.
// Seed that is begun under cover and too late to be set out before the first frost is of
// the season after.
func (s sown) season(req *desk.Request) (now sowing.Frosts, known bool, err error) {
	_, now, next, reply, err := seasonOf(req, s.kind, s.Sown)
	if err != nil || reply.Head != "" {
		return now, false, err
	}
	if !s.Outdoors && !s.bought() && s.Sown.AddDate(0, 0, s.kind.Youngest()).After(now.First) {
		return next, true, nil
	}
	return now, true, nil
}

// course is what a sowing leads to. Plants that were bought have the usual age.
func (s sown) course(now sowing.Frosts) (sowing.Course, error) {
	if s.bought() {
		return sowing.FollowSetOut(s.kind.Crop, now, s.Planted)
	}
	return sowing.Follow(s.kind.Crop, now, s.Sown, !s.Outdoors && s.kind.Method != sowing.Direct)
}

// setSteps sets the bells of a new sowing and says when each is.
func setSteps(req *desk.Request, s sown) ([]string, error) {
	due, err := s.plan(req)
	if err != nil {
		return nil, err
	}
	var gone []string
	for _, step := range steps {
		day, is := due[step]
		switch {
		case !is:
			continue
		case day.Before(dayOf(req).AddDate(0, 0, -mostStale)) && slices.Contains(passing, step):
			gone = append(gone, fmt.Sprintf("%s since %s", goneBy[step], sayDate(req, day)))
			continue
		}
		if err := addStep(req, s, step, laterDay(day, dayOf(req)), due[stepSetOut]); err != nil {
			return nil, err
		}
	}
	lines, err := stepLines(req, s)
	if len(gone) > 0 {
		lines = append([]string{fmt.Sprintf("By now likely: %s. Say what has happened: %s up", strings.Join(gone, ", "), s.name())}, lines...)
	}
	return lines, err
}

// mostStale is how many days late a step of a sowing that is told of late still rings.
const mostStale = 7

// passing are the steps that a sowing does without once their day is long gone.
var passing = []string{stepLook, stepFeed, stepThin, stepPick}

var goneBy = map[string]string{stepLook: "up", stepFeed: "to be fed", stepThin: "to be thinned", stepPick: "ready to pick"}

func laterDay(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// addStep sets the bell of a step. Feeding goes on weekly until the day of setting out.
func addStep(req *desk.Request, s sown, step string, day, out time.Time) error {
	b := storage.Bell{
		Household: req.House.ID, Title: s.stepTitle(step), Hint: s.hint(step, req.House.US), Whom: s.whom(), Next: reminders.RoundOn(req.House, day),
		Daily: true, Useful: reminders.UsefulDaily, Subject: s.subject(), Step: step, Why: fmt.Sprintf("%s, sown %s", s.title(), sayDate(req, s.Sown)), Made: req.Now,
	}
	switch step {
	case stepFeed:
		b.Schedule = reminders.Recurrence{Freq: "WEEKLY", Interval: 1, Start: req.WallOf(b.Next)}.Spec()
		b.Useful, b.Until, b.Again = 3*24*time.Hour, req.Instant(out), reminders.Ladder{Never: true}.String()
	case stepHarden:
		b.Cost = "it goes out a day later"
	case stepSetOut:
		b.Cost = "it grows on in the tray, and is picked as much later"
	case stepLook:
		b.Cost = "seedlings under a lid grow long and damp off"
	}
	_, err := req.Tx.AddBell(b)
	return err
}

func (s sown) stepTitle(step string) string {
	text := fmt.Sprintf(stepTitle[step], s.title())
	if step == stepHarden {
		text += fmt.Sprintf(", day %d of about %d", s.Hardened+1, sowing.HardenDays)
	}
	return text
}

func (s sown) whom() string {
	if s.Person == 0 {
		return reminders.Keepers
	}
	return reminders.People(s.Person)
}

func stepBell(req *desk.Request, s storage.Sowing, step string) (storage.Bell, bool, error) {
	bells, err := req.Tx.SubjectBells(req.House.ID, fmt.Sprintf("sowing:%d", s.Num))
	for _, b := range slices.Backward(bells) {
		if b.Step == step && !b.Stopped {
			return b, true, err
		}
	}
	return storage.Bell{}, false, err
}

// resettle moves every step of a sowing to where it belongs by what has happened: it
// ends those that are over, moves those that have not rung, and sets those that are new.
func resettle(req *desk.Request, s sown) ([]string, error) {
	due, err := s.plan(req)
	if err != nil {
		return nil, err
	}
	if !s.Over.IsZero() {
		due = nil
	}
	for _, step := range steps {
		if err := resettleStep(req, s, step, due); err != nil {
			return nil, err
		}
	}
	return stepLines(req, s)
}

func resettleStep(req *desk.Request, s sown, step string, due map[string]time.Time) error {
	b, has, err := stepBell(req, s.Sowing, step)
	if err != nil {
		return err
	}
	day, wanted := due[step]
	switch {
	case !wanted && has && !(step == stepHarden && s.hardening() && s.Over.IsZero()):
		return endBell(req, b)
	case !wanted:
		return nil
	case !has:
		if step == stepThin {
			if over, err := done(req, s, step); err != nil || over {
				return err
			}
		}
		return addStep(req, s, step, laterDay(day, dayOf(req)), due[stepSetOut])
	case step == stepFeed:
		b.Until = req.Instant(due[stepSetOut])
		return req.Tx.SaveBell(b)
	case b.Next.IsZero() || !b.Due.IsZero(): // it has rung: whoever has it answers it, unless it has to wait
		return putOff(req, s, b, day)
	}
	b.Title, b.Next = s.stepTitle(step), reminders.RoundOn(req.House, laterDay(day, dayOf(req)))
	return req.Tx.SaveBell(b)
}

// done reports a step that was ended once: nothing else keeps that a row was thinned.
func done(req *desk.Request, s sown, step string) (bool, error) {
	bells, err := req.Tx.SubjectBells(req.House.ID, s.subject())
	return slices.ContainsFunc(bells, func(b storage.Bell) bool { return b.Step == step && b.Stopped }), err
}

// resettleAll moves the bells of everything that stands after the frosts or a crop's
// figures have changed, and says which trays are set out on another day.
func resettleAll(req *desk.Request) ([]string, error) {
	house, err := req.Tx.Household(req.House.ID)
	if err != nil {
		return nil, err
	}
	req.House = house
	all, err := standingNow(req)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, s := range all {
		before, _, err := stepBell(req, s.Sowing, stepSetOut)
		if err != nil {
			return nil, err
		}
		if _, err := resettle(req, s); err != nil {
			return nil, err
		}
		after, has, err := stepBell(req, s.Sowing, stepSetOut)
		if err != nil {
			return nil, err
		}
		if has && !after.Next.IsZero() && !after.Next.Equal(before.Next) {
			out = append(out, fmt.Sprintf("%s is set out %s now.", desk.Upper(s.title()), req.SayDay(after.Next)))
		}
	}
	if more := len(out) - mostMoved; more > 0 {
		out = append(out[:mostMoved], fmt.Sprintf("and %d more", more))
	}
	return out, nil
}

// mostMoved is how many moved trays are named.
const mostMoved = 6

// putOff lets a step whose ring is open ring anew on a day that has not come.
func putOff(req *desk.Request, s sown, b storage.Bell, day time.Time) error {
	open, err := req.Tx.RingsOf(b.ID)
	if err != nil || len(open) == 0 || !day.After(dayOf(req)) {
		return err
	}
	if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
		return err
	}
	return addStep(req, s, b.Step, day, time.Time{})
}

// endBell answers the open rings of a bell as done and stops it.
func endBell(req *desk.Request, b storage.Bell) error {
	open, err := req.Tx.RingsOf(b.ID)
	if err != nil {
		return err
	}
	for _, g := range open {
		g.Wake, g.Answer, g.Answered, g.AnsweredBy = time.Time{}, storage.AnswerDone, req.Now, req.Who.ID
		if err := req.Tx.SaveRing(g); err != nil {
			return err
		}
	}
	return req.Tx.StopBell(b.ID, req.Now)
}

// stepLines says what comes next for a sowing, and when.
func stepLines(req *desk.Request, s sown) ([]string, error) {
	bells, err := req.Tx.SubjectBells(req.House.ID, s.subject())
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(bells, func(a, b storage.Bell) int { return a.Next.Compare(b.Next) })
	var out []string
	for _, b := range bells {
		if b.Stopped || b.Next.IsZero() {
			continue
		}
		text := fmt.Sprintf("%s %s", req.SayDay(b.Next), shortStep(b))
		if b.Step == stepFeed {
			text = fmt.Sprintf("from %s feed weekly", req.SayDay(b.Next))
		}
		out = append(out, text)
	}
	return out, nil
}

// shortStep is a step without the name of its sowing.
func shortStep(b storage.Bell) string {
	switch b.Step {
	case stepLook:
		return "look whether it is up"
	case stepHarden:
		if !strings.Contains(b.Title, "day 1 ") {
			return "harden off, the next day"
		}
		return "begin to harden off"
	case stepPick:
		return "look whether it is ready to pick"
	}
	return b.Step
}

// nextStep is the next thing to do for a sowing, for a list.
func nextStep(req *desk.Request, s storage.Sowing) (string, error) {
	bells, err := req.Tx.SubjectBells(req.House.ID, fmt.Sprintf("sowing:%d", s.Num))
	if err != nil {
		return "", err
	}
	var first storage.Bell
	for _, b := range bells {
		if !b.Stopped && !b.Next.IsZero() && (first.Next.IsZero() || b.Next.Before(first.Next)) {
			first = b
		}
	}
	if first.Next.IsZero() {
		return "", nil
	}
	return fmt.Sprintf("; next %s %s", req.SayDay(first.Next), shortStep(first)), nil
}

// stepDone is what follows when the ring of a step was answered done.
func stepDone(req *desk.Request, b storage.Bell, done time.Time) ([]string, error) {
	all, err := sowings(req)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(all, func(s sown) bool { return s.subject() == b.Subject })
	if i < 0 || !all[i].Over.IsZero() {
		return nil, nil
	}
	s, day := all[i], reminders.Day(req.WallOf(done))
	switch b.Step {
	case stepLook:
		return lookedAt(req, s, b, day)
	case stepPotUp:
		s.Potted = day
	case stepHarden:
		return hardened(req, s, b, day)
	case stepSetOut:
		s.Planted = day
	case stepPick:
		return lookedRipe(req, s, b, day)
	default:
		return nil, nil
	}
	if err := req.Tx.SaveSowing(s.Sowing); err != nil {
		return nil, err
	}
	lines, err := resettle(req, s)
	if err != nil {
		return nil, err
	}
	cold, err := settleNights(req, s)
	return append(cold, lines...), err
}

// lookedAt has nothing told yet: it looks again in a few days.
func lookedAt(req *desk.Request, s sown, b storage.Bell, day time.Time) ([]string, error) {
	if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
		return nil, err
	}
	if !s.Up.IsZero() {
		return nil, nil
	}
	again := day.AddDate(0, 0, lookAgain)
	if err := addStep(req, s, stepLook, again, time.Time{}); err != nil {
		return nil, err
	}
	out := []string{fmt.Sprintf("Up? Say: %s up. Not yet: I ask again %s.", s.name(), sayDate(req, again))}
	if gone := int(day.Sub(s.Sown).Hours() / 24); gone >= 2*s.daysToUp() {
		out = append(out, fmt.Sprintf("It has had %d days, twice the usual. Gone? Say: nothing came up of the %s", gone, s.name()))
	}
	return out, nil
}

// lookedRipe has nothing picked yet: it looks again, until the first is told of or the
// crop has had its longest time.
func lookedRipe(req *desk.Request, s sown, b storage.Bell, day time.Time) ([]string, error) {
	if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
		return nil, err
	}
	_, pick, err := s.outAndPick(req)
	if err != nil || !s.Picked.IsZero() {
		return nil, err
	}
	again := day.AddDate(0, 0, ripeAgain)
	if last := pick.AddDate(0, 0, s.kind.MaturityMax-s.kind.MaturityMin+ripeAgain); again.After(last) {
		return []string{fmt.Sprintf("Picked? Say: picked the first %s", s.name())}, nil
	}
	if err := addStep(req, s, stepPick, again, time.Time{}); err != nil {
		return nil, err
	}
	return []string{fmt.Sprintf("Picked? Say: picked the first %s. Not ripe yet: I ask again %s.", s.name(), sayDate(req, again))}, nil
}

// hardened counts a day out and sets the next, until it has had enough.
func hardened(req *desk.Request, s sown, b storage.Bell, day time.Time) ([]string, error) {
	if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
		return nil, err
	}
	if s.Hardening.IsZero() {
		s.Hardening = day
	}
	s.Hardened++
	if err := req.Tx.SaveSowing(s.Sowing); err != nil {
		return nil, err
	}
	cold, err := settleNights(req, s)
	if err != nil {
		return nil, err
	}
	if s.Hardened >= sowing.HardenDays-1 {
		lines, err := resettle(req, s)
		return slices.Concat([]string{"Hardened off: out it goes, on a dull evening, when no frost is forecast."}, cold, lines), err
	}
	next := day.AddDate(0, 0, 1)
	if err := addStep(req, s, stepHarden, next, time.Time{}); err != nil {
		return nil, err
	}
	if _, err := resettle(req, s); err != nil {
		return nil, err
	}
	told := fmt.Sprintf("Day %d of about %d done. Tomorrow: %s", s.Hardened, sowing.HardenDays, lower(hardenDay(s, s.Hardened+1, req.House.US)))
	return append([]string{told}, cold...), nil
}
