package garden

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/daylight"
	"yardbell/calc/sowing"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

var (
	ofCrop = []desk.Need{{Kind: phrase.KindTerm, List: "crops"}}
	dayed  = []phrase.Kind{phrase.KindDate, phrase.KindPart, phrase.KindAfter}
)

func planAsks() []desk.Ask {
	fill := []string{
		"when", "whens", "wen", "do", "does", "should", "can", "i", "we", "start", "started", "starting", "sow", "sown", "sowing", "sowed", "plant", "planted", "planting", "out", "outside", "outdoors", "indoors", "transplant", "transplanted", "harden", "hardening", "off", "pick", "picking", "harvest", "is", "it", "too", "late", "latest",
		"early", "still", "now", "will", "does", "ripen", "ripe", "ready", "fit", "here", "make", "crop", "how", "seeds", "seed", "my", "our", "of", "in", "time", "this", "year", "day", "days", "variety", "go", "goes", "get", "begin", "set", "date", "dates", "what", "whats", "last", "first", "long", "take", "takes", "many",
		"need", "needs", "if", "today", "yet", "next", "prick", "pricked", "pricking", "pot", "potted", "missed", "have", "has", "ready", "by", "the", "they", "them", "were", "thank", "hi", "be", "would", "before", "frost", "for", "whole", "season", "on", "as",
	}
	return []desk.Ask{{
		Name: "crop", Command: "crop", Needs: ofCrop, Doubt: true, Help: "one crop's dates with their reasons, and whether it ripens here",
		Forms: []string{
			"^crop", "^sow", "when|whens|wen|when's * start|started|starting|sow|sown|plant|planted|transplant|prick|pot|harden|hardening|pick|harvest|ripe|go|goes|in|out|ready", "what|which date|day", "start|sowing|planting date", "too late|early", "can|could i|we still|now", "^can|could|may|should * yet", "will|does|do|would * ripen|fit|make|ready",
			"last|latest|first sowing|planting|date", "latest", "sow|sown|start|started * when", "how long|many * take|takes|need|needs", "missed", "^if i|we sow|sowed|start|plant", "when", "dates for|of", "how late",
		},
		Kinds: slices.Concat(dayed, []phrase.Kind{phrase.KindDuration}), Lists: []string{"crops"}, Fill: fill,
		Examples: []desk.Example{
			{Setup: dated, Line: "crop tomato"},
			{Setup: dated, Line: "when do I sow peas"},
			{Setup: dated, Line: "will a 110 day winter squash ripen"},
			{Setup: dated, Line: "is it too late for carrots"},
			{Setup: dated, Line: "when do the tomatoes go out"},
			{Setup: dated, Line: "last sowing of radishes"},
		},
		Plain: plainPlan, Do: crop,
	}, {
		Name: "crop", Command: "crop", Needs: ofCrop, Question: true, Help: "how far apart and how deep a crop goes", Lists: []string{"crops"},
		Forms: []string{"how far apart", "how deep", "how far * apart", "how much room|space"}, Fill: []string{"how", "far", "apart", "deep", "much", "room", "space", "plant", "sow", "do", "does", "are", "need", "needs", "seed", "seeds", "go"},
		Examples: []desk.Example{{Line: "how far apart are leeks"}, {Line: "how deep do I sow peas"}},
		Plain:    func(req *desk.Request) bool { return len(req.Reading.Unknown) == 0 && !spokenTo(req) }, Do: room,
	}}
}

// room says how far apart and how deep a crop goes.
func room(req *desk.Request) (desk.Reply, error) {
	p, reply, err := cropSaid(req, "how far apart are leeks")
	if err != nil || reply.Head != "" {
		return reply, err
	}
	us := req.House.US
	text := fmt.Sprintf("%s: %s apart, in rows %s apart", desk.Upper(p.label()), roomText(p.InRow, us), roomText(p.RowGap, us))
	if p.Depth > 0 {
		text += fmt.Sprintf("; %s deep", roomText(p.Depth/10, us))
	}
	out := desk.Answer(text + ".")
	out.Assumed = []string{"from the table of crops; a packet's own go before"}
	if p.own != nil && p.own.InRow.Valid {
		out.Assumed = figures(p, 0)
	}
	return out, nil
}

// planting are the words of work on what grows: with none of them a question about a
// vegetable is one for the kitchen.
var planting = []string{"sow", "sown", "sowing", "start", "started", "starting", "plant", "planted", "planting", "transplant", "transplanted", "grow", "harden", "set"}

// plainPlan keeps talk of vegetables for talk: it has to ask for a date, and of nobody
// in the room.
func plainPlan(req *desk.Request) bool {
	if len(req.Reading.Unknown) > 0 || hasWord(req, "might", "did", "don't", "dont", "who", "ate", "eat", "supper", "dinner", "tea", "shop", "want", "soup") || spokenTo(req) {
		return false
	}
	switch {
	case hasWord(req, "yet") && !hasWord(req, planting...) && !hasWord(req, "go"):
		return false // "are the peas ready yet" is asked of whoever stands at the stove
	case strings.HasPrefix(req.Form, "^sow"):
		return hasWord(req, "when", "whens", "wen", "when's") || len(req.Reading.Tokens) <= 3
	case req.Form == "when":
		return hasWord(req, planting...)
	case strings.HasPrefix(req.Form, "can|could i|we still"):
		return hasWord(req, planting...)
	case hasWord(req, "many") && !hasWord(req, "days", "weeks"):
		return false
	case strings.HasPrefix(req.Form, "how long|many"):
		return hasWord(req, "days", "weeks", "ready", "ripen", "ripe", "harvest", "pick", "grow", "mature", "sowing", "transplant", "seed") || !theOne(req)
	}
	return true
}

// spokenTo reports a line that asks somebody in the room, or sends them for something.
func spokenTo(req *desk.Request) bool {
	toks := req.Reading.Tokens
	for i, t := range toks {
		thanked := i > 0 && toks[i-1].Low == "thank"
		begun := i+1 < len(toks) && toks[i+1].Low == "started"
		if t.Low == "you" && !thanked || t.Low == "get" && !begun {
			return true
		}
	}
	return false
}

// theOne reports a crop with its article: the potatoes are those on the stove.
func theOne(req *desk.Request) bool {
	return slices.ContainsFunc(req.Reading.Terms("crops"), func(s phrase.Span) bool {
		return s.First > 0 && req.Reading.Tokens[s.First-1].Low == "the"
	})
}

// crop answers for one crop: what the line asks first, then the whole line of dates.
func crop(req *desk.Request) (desk.Reply, error) {
	p, reply, err := cropSaid(req, "crop tomato")
	if err != nil || reply.Head != "" {
		return reply, err
	}
	day := dayAsked(req)
	f, now, next, reply, err := seasonOf(req, p, day)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if tellsFigures(req, p) {
		return own(req)
	}
	if n := daysSaid(req); n > 0 {
		p.MaturityMin, p.MaturityMax = n, n
	}
	if asksTime(req) {
		return takes(p), nil
	}
	if p.Check() != nil {
		return desk.Refuse(fmt.Sprintf("With those figures %s cannot be: days to maturity are from 1 to 1500.", p.label())), nil
	}
	if out, is, err := standingDates(req, p); err != nil || is {
		return out, err
	}
	about, err := answerAbout(req, p, now, next, day)
	if err != nil {
		return desk.Reply{}, err
	}
	now = about.season
	out, whole := about.reply, about.whole
	out.Lines = append(out.Lines, fitLines(req, f, p, now, about)...)
	hints, err := req.NextTimes(desk.OfCrop(p.table.Name))
	if err != nil {
		return desk.Reply{}, err
	}
	out.Lines = append(out.Lines, hints...)
	out.Assumed = append([]string{f.said}, figures(p, daysSaid(req))...)
	if !whole {
		out.Buttons = append(out.Buttons, desk.Labelled("The whole season", "crop "+p.label()))
		return out, nil
	}
	if every, ok := sowing.Succession(p.table); ok {
		out.Lines = append(out.Lines, supply(every))
	}
	ago, err := lastYear(req, p, now)
	if err != nil {
		return desk.Reply{}, err
	}
	out.Lines = append(out.Lines, ago...)
	return out, nil
}

// tellsFigures reports a line of a keeper that gives a variety its days: "crop tomato
// Ruby 62 days from transplant".
func tellsFigures(req *desk.Request, p plant) bool {
	return strings.HasPrefix(req.Form, "^crop") && daysSaid(req) > 0 && p.variety != "" && !strings.Contains(req.Text, "?") && req.May()
}

// asksTime reports a question for days to maturity, and not for a date.
func asksTime(req *desk.Request) bool { return strings.HasPrefix(req.Form, "how long|many") }

func takes(p plant) desk.Reply {
	from := "sowing"
	if p.FromTransplant {
		from = "setting out"
	}
	out := desk.Answer(fmt.Sprintf("%s: %s days from %s to the first picking.", desk.Upper(p.label()), span(p.MaturityMin, p.MaturityMax), from))
	out.Assumed = figures(p, 0)
	return out
}

func span(from, to int) string {
	if from == to {
		return fmt.Sprint(from)
	}
	return fmt.Sprintf("%d to %d", from, to)
}

func stepLine(req *desk.Request, s sowing.Step) string {
	text := sayDays(req, s.From, s.To) + " " + string(s.Kind)
	if s.Why != "" {
		text += ": " + s.Why
	}
	return text
}

// supply says how often to sow again.
func supply(every sowing.Interval) string {
	text := fmt.Sprintf("For a steady supply sow again every %s days", span(every.From, every.To))
	if every.Stop != "" {
		text += "; limit: " + every.Stop
	}
	return text + "."
}

// asked maps words of a question to the work that it is about.
var asked = []struct {
	kinds []sowing.StepKind
	words []string
}{
	{[]sowing.StepKind{sowing.Harden}, []string{"harden", "hardening"}},
	{[]sowing.StepKind{sowing.PotUp}, []string{"prick", "pricked", "pricking", "pot", "potted"}},
	{[]sowing.StepKind{sowing.Harvest}, []string{"pick", "picking", "harvest", "ripe", "ready"}},
	{[]sowing.StepKind{sowing.SetOut, sowing.Plant, sowing.SowOut}, []string{"out", "outside", "outdoors", "transplant", "transplanted"}},
	{[]sowing.StepKind{sowing.Start}, []string{"indoors"}},
	{[]sowing.StepKind{sowing.SowLast}, []string{"last", "latest"}},
	{[]sowing.StepKind{sowing.Start, sowing.SowOut, sowing.Plant}, []string{"start", "started", "starting", "begin"}},
	{[]sowing.StepKind{sowing.SowOut, sowing.Start, sowing.Plant}, []string{"sow", "sown", "sowing", "plant", "planted", "planting", "go", "in"}},
}

// about is the answer to what a line asks of a crop.
type about struct {
	reply   desk.Reply
	season  sowing.Frosts // the season that it is about
	whole   bool          // it asked for nothing less than the whole season
	begin   time.Time     // of the course that the answer is about
	indoors bool
	judged  bool // the answer says itself whether it ripens
}

// answerAbout gives the answer to what the line asks: whether there is still time,
// whether it ripens, or the dates of a piece of work.
func answerAbout(req *desk.Request, p plant, now, next sowing.Frosts, day time.Time) (about, error) {
	a := about{season: now}
	a.begin, a.indoors = beginning(p, now)
	yet := apart(req, "yet") && !apart(req, "out", "outside", "outdoors") // of going out its days are told
	if (yet || apart(req, "late", "still", "missed", "early")) && !apart(req, "latest") {
		t, ok := nextTask(req, p, now, next, day)
		if ok && (t.State == sowing.Late || t.State == sowing.InWindow) {
			a.begin, a.indoors = day, t.Kind == sowing.Start
		}
		a.reply, a.judged = stillTime(req, p, now, next, day), true
		return a, nil
	}
	if apart(req, "ripen", "fit", "make", "if") || daysSaid(req) > 0 {
		return ripens(req, p, now, day, a)
	}
	if kinds := kindsOfAsk(req); kinds != nil {
		if a, ok, err := datesAsked(req, p, a, next, day, kinds); err != nil || ok {
			return a, err
		}
	}
	steps, err := sowing.Plan(p.Crop, now)
	if err != nil {
		return a, fmt.Errorf("plan of %s: %w", p.label(), err)
	}
	a.reply, a.whole = desk.Answer(fmt.Sprintf("%s, this season:", desk.Upper(p.label()))), true
	for _, s := range steps {
		a.reply.Lines = append(a.reply.Lines, stepLine(req, s))
	}
	return a, nil
}

// kindsOfAsk is the work that a question is about, nil where it names none.
func kindsOfAsk(req *desk.Request) []sowing.StepKind {
	for _, q := range asked {
		if apart(req, q.words...) {
			return q.kinds
		}
	}
	return nil
}

// datesAsked gives the dates of the first of some kinds of work that the crop knows:
// this season's, with how late it is, or the next one's when this season's are over.
func datesAsked(req *desk.Request, p plant, a about, next sowing.Frosts, day time.Time, kinds []sowing.StepKind) (about, bool, error) {
	steps, err := sowing.Plan(p.Crop, a.season)
	if err != nil {
		return a, false, fmt.Errorf("plan of %s: %w", p.label(), err)
	}
	for _, kind := range kinds {
		out, ok := datesOf(req, p, steps, kind)
		if !ok {
			continue
		}
		late, over := lateness(req, p, a.season, next, steps, kind, day)
		if over {
			a.season = next
			a.begin, a.indoors = beginning(p, next)
			if steps, err = sowing.Plan(p.Crop, next); err != nil {
				return a, false, fmt.Errorf("plan of %s: %w", p.label(), err)
			}
			out, _ = datesOf(req, p, steps, kind)
		}
		if late != "" {
			out.Lines = append([]string{late}, out.Lines...)
		}
		if kind == sowing.SowLast {
			a.begin, a.indoors = lastOf(steps), p.Method == sowing.Indoor
		}
		a.reply = withOther(req, p, steps, kind, kinds, out)
		return a, true, nil
	}
	return a, false, nil
}

// lastOf is the last useful sowing among steps.
func lastOf(steps []sowing.Step) time.Time {
	i := slices.IndexFunc(steps, func(s sowing.Step) bool { return s.Kind == sowing.SowLast })
	return steps[i].From
}

// lateness says that the dates of a piece of work have gone by, and whether they are
// over for this season.
func lateness(req *desk.Request, p plant, now, next sowing.Frosts, steps []sowing.Step, kind sowing.StepKind, day time.Time) (said string, over bool) {
	for _, s := range steps {
		if s.Kind == kind && !s.To.Before(day) {
			return "", false
		}
	}
	for _, t := range sowing.Tasks(p.Crop, now, next, day) {
		if t.Kind != kind {
			continue
		}
		switch t.State {
		case sowing.Late:
			return fmt.Sprintf("Late by %s now, but still worth it: %s.", desk.Plural(-t.Slack, "day"), lateCost(req, t)), false
		case sowing.InWindow, sowing.Ahead: // the autumn's window
			return fmt.Sprintf("For autumn: %s.", sayDays(req, t.From, t.To)), false
		}
	}
	return "This season's day has gone by: these are the next one's dates.", true
}

// standingDates answers when what stands in a tray or a bed goes out or is ready, by
// what has really happened to it; false for a question that is about none.
func standingDates(req *desk.Request, p plant) (desk.Reply, bool, error) {
	step := map[sowing.StepKind]string{sowing.PotUp: stepPotUp, sowing.SetOut: stepSetOut, sowing.Harden: stepHarden, sowing.Harvest: stepPick}
	kinds := kindsOfAsk(req)
	if len(kinds) == 0 || step[kinds[0]] == "" || daysSaid(req) > 0 || apart(req, "late", "latest", "last", "early", "still", "ripen", "fit", "make", "if", "missed", "sow", "start") || !dayAsked(req).Equal(dayOf(req)) {
		return desk.Reply{}, false, nil
	}
	all, err := standingNow(req)
	if err != nil {
		return desk.Reply{}, false, err
	}
	var out []string
	for _, s := range all {
		if s.kind.table.Name != p.table.Name || p.variety != "" && !strings.EqualFold(s.Variety, p.variety) {
			continue
		}
		due, err := s.plan(req)
		if err != nil {
			return desk.Reply{}, false, err
		}
		if day, is := due[step[kinds[0]]]; is {
			out = append(out, fmt.Sprintf("%s, sowing %d: %s %s", desk.Upper(s.title()), s.Num, standingStep[kinds[0]], sayDate(req, laterDay(day, dayOf(req)))))
		}
	}
	if len(out) == 0 {
		return desk.Reply{}, false, nil
	}
	reply := desk.Answer(out[0]+".", out[1:]...)
	reply.Assumed = []string{"by what has happened to it so far, and days to maturity from the table of crops"}
	reply.Buttons = []storage.Button{desk.Labelled("The whole season", "crop "+p.label())}
	return reply, true, nil
}

// standingStep is how the work on a sowing that stands is called before its day.
var standingStep = map[sowing.StepKind]string{sowing.PotUp: "pot up about", sowing.SetOut: "set out from", sowing.Harden: "harden off from", sowing.Harvest: "the first ready about"}

// withOther adds the other way of beginning a crop, where there is one.
func withOther(req *desk.Request, p plant, steps []sowing.Step, kind sowing.StepKind, kinds []sowing.StepKind, out desk.Reply) desk.Reply {
	other := map[sowing.StepKind]sowing.StepKind{sowing.Start: sowing.SowOut, sowing.SowOut: sowing.Start}[kind]
	if other == "" || !slices.Contains(kinds, other) {
		return out
	}
	if also, ok := datesOf(req, p, steps, other); ok {
		out.Lines = append(out.Lines, "Or "+strings.TrimPrefix(also.Head, desk.Upper(p.label())+": "))
	}
	return out
}

// datesOf gives the dates of one piece of work with their reasons; a crop that is begun
// in two ways has two.
func datesOf(req *desk.Request, p plant, steps []sowing.Step, kind sowing.StepKind) (desk.Reply, bool) {
	var out desk.Reply
	for _, s := range steps {
		if s.Kind != kind {
			continue
		}
		if out.Head == "" {
			out = desk.Answer(fmt.Sprintf("%s: %s %s.", desk.Upper(p.label()), kind, sayDays(req, s.From, s.To)))
			out.Lines = append(out.Lines, desk.Upper(s.Why)+".")
			continue
		}
		out.Lines = append(out.Lines, fmt.Sprintf("Or %s: %s.", sayDays(req, s.From, s.To), s.Why))
	}
	return out, out.Head != ""
}

// nextTask is the work that begins a crop as it stands on a day: what can be done,
// else what is late, ahead or over.
func nextTask(req *desk.Request, p plant, now, next sowing.Frosts, day time.Time) (sowing.Task, bool) {
	tasks := sowing.Tasks(p.Crop, now, next, day)
	sowing.Sort(tasks)
	for _, state := range []sowing.State{sowing.InWindow, sowing.Late, sowing.Ahead, sowing.Over} {
		for _, t := range tasks {
			if t.State == state && !waitsInTray(t.Kind) && (t.Kind != sowing.Start || !hasWord(req, "outside", "outdoors")) {
				return t, true
			}
		}
	}
	return sowing.Task{}, false
}

// stillTime answers whether there is time to begin a crop.
func stillTime(req *desk.Request, p plant, now, next sowing.Frosts, day time.Time) desk.Reply {
	best, ok := nextTask(req, p, now, next, day)
	name := desk.Upper(p.label())
	if !ok {
		return desk.Answer(name + ":")
	}
	until := lastDay(req, p, now)
	switch best.State {
	case sowing.InWindow:
		to := best.To
		if best.Kind == sowing.SowOut && until.Before(to) && !until.Before(day) { // the slow ones would not ripen
			to = until
		}
		text := fmt.Sprintf("There is time: %s %s until %s.", best.Kind, p.label(), sayDate(req, to))
		if best.Kind == sowing.SowOut && until.After(best.To) {
			text += fmt.Sprintf(" The last useful sowing is %s.", sayDate(req, until))
		}
		return desk.Answer(text)
	case sowing.Late:
		text := fmt.Sprintf("Late by %s, but still worth it: %s %s today, %s.", desk.Plural(-best.Slack, "day"), best.Kind, p.label(), lateCost(req, best))
		if until.After(day) {
			text += fmt.Sprintf(" The last useful sowing is %s.", sayDate(req, until))
		}
		return desk.Answer(text)
	case sowing.Ahead:
		return desk.Answer(fmt.Sprintf("Not yet: %s %s from %s.", best.Kind, p.label(), sayDate(req, best.From)))
	}
	return desk.Answer(fmt.Sprintf("Too late this season: begun now %s would be ripe %s, after the frost. Next: %s from %s.", p.label(), harvestToday(req, p, now, day), best.Kind, sayDate(req, best.From)))
}

// lastDay is the last useful sowing of the season, in the light of the place.
func lastDay(req *desk.Request, p plant, now sowing.Frosts) time.Time {
	day, err := sowing.LastSowing(p.Crop, now, lastTenHours(req, now))
	if err != nil {
		return time.Time{}
	}
	return day
}

// lastTenHours is the last day of ten hours' light of a season, zero where the place
// is not known or its days never are so short.
func lastTenHours(req *desk.Request, now sowing.Frosts) time.Time {
	lat, _, ok := place(req)
	if !ok {
		return time.Time{}
	}
	short, err := daylight.Short(lat, 10, now.Last.AddDate(0, 1, 0))
	if err != nil || len(short) == 0 {
		return time.Time{}
	}
	return short[0].First.AddDate(0, 0, -1)
}

func harvestToday(req *desk.Request, p plant, now sowing.Frosts, day time.Time) string {
	c, err := sowing.Follow(p.Crop, now, day, p.Method == sowing.Indoor)
	if err != nil {
		return "too late"
	}
	return harvestDays(req, c)
}

// figures says by whose figures an answer goes: with the household's own, both.
func figures(p plant, said int) []string {
	if said > 0 {
		return []string{fmt.Sprintf("%d days to maturity, as you say; weeks from the table", said)}
	}
	if p.own == nil {
		return []string{"days to maturity and weeks from the table of crops; a packet's own go before"}
	}
	var own []string
	add := func(differs bool, text string) {
		if differs {
			own = append(own, text)
		}
	}
	t := p.table
	add(p.own.DaysMin.Valid, fmt.Sprintf("%s days to maturity (table: %s)", span(p.MaturityMin, p.MaturityMax), span(t.MaturityMin, t.MaturityMax)))
	add(p.own.StartMin.Valid, fmt.Sprintf("start %s weeks before the last frost (table: %s)", weekSpan(p.StartMin, p.StartMax), weekSpan(t.StartMin, t.StartMax)))
	add(p.own.SetOut.Valid, fmt.Sprintf("set out %s weeks after it (table: %s)", weekSpan(p.Transplant, p.Transplant), weekSpan(t.Transplant, t.Transplant)))
	add(p.own.SowOut.Valid, fmt.Sprintf("sow out %s weeks after it (table: %s)", weekSpan(p.Direct, p.Direct), weekSpan(t.Direct, t.Direct)))
	add(p.own.Germination.Valid, fmt.Sprintf("%.0f%% germination (table: %.0f%%)", 100*p.Germination, 100*t.Germination))
	add(p.own.Life.Valid, fmt.Sprintf("seed keeps %.3g years (table: %.3g)", p.SeedLife, t.SeedLife))
	add(p.own.InRow.Valid, fmt.Sprintf("%s apart (table: %s)", spaceText(p.InRow), spaceText(t.InRow)))
	if len(own) == 0 {
		return []string{"days to maturity and weeks from the table of crops; a packet's own go before"}
	}
	return []string{"your own figures: " + strings.Join(own, ", ")}
}

func weekSpan(a, b sowing.Weeks) string {
	switch {
	case !a.Known && !b.Known:
		return "none"
	case a == b || !a.Known || !b.Known:
		return fmt.Sprintf("%.4g", max(a.N, b.N))
	}
	return fmt.Sprintf("%.4g to %.4g", a.N, b.N)
}

// ripens answers whether a crop fits the season.
func ripens(req *desk.Request, p plant, now sowing.Frosts, day time.Time, a about) (about, error) {
	if apart(req, "if", "today") || req.Reading.Moment(req.Context(), phrase.Future).Count > 0 {
		a.begin, a.indoors = day, p.Method == sowing.Indoor
	}
	c, err := sowing.Follow(p.Crop, now, a.begin, a.indoors)
	if errors.Is(err, sowing.ErrMethod) {
		a.reply = desk.AskBack(fmt.Sprintf("%s is not begun that way.", desk.Upper(p.label())))
		return a, nil
	}
	if err != nil {
		return a, fmt.Errorf("course of %s: %w", p.label(), err)
	}
	a.judged = true
	how := "sown"
	if a.indoors {
		how = "started"
	}
	course := fmt.Sprintf("%s %s it is ripe %s", how, sayDate(req, a.begin), harvestDays(req, c))
	switch c.Class {
	case sowing.TooLong:
		a.reply = desk.Answer(fmt.Sprintf("No: %s, %s after the frost ends it (%s).", course, desk.Plural(-c.MarginQuick, "day"), sayDate(req, c.Limit)))
	case sowing.QuickOnly:
		a.reply = desk.Answer(fmt.Sprintf("Only a quick variety: %s, and the frost ends it %s.", course, sayDate(req, c.Limit)))
	case sowing.Risky:
		a.reply = desk.Answer(fmt.Sprintf("Yes, but risky: %s, %s to spare before %s.", course, desk.Plural(c.Margin, "day"), sayDate(req, c.Limit)))
	default:
		a.reply = desk.Answer(fmt.Sprintf("Yes: %s, %s to spare before %s.", course, desk.Plural(c.Margin, "day"), sayDate(req, c.Limit)))
	}
	return a, nil
}

// beginning is the planned day and way of beginning a crop: started indoors where that
// serves, at the late end of its window.
func beginning(p plant, now sowing.Frosts) (begin time.Time, indoors bool) {
	steps, err := sowing.Plan(p.Crop, now)
	if err != nil {
		return now.Last, false
	}
	for _, kind := range []sowing.StepKind{sowing.Start, sowing.SowOut, sowing.Plant} {
		if i := slices.IndexFunc(steps, func(s sowing.Step) bool { return s.Kind == kind }); i >= 0 {
			if kind == sowing.Start {
				return steps[i].To, true
			}
			return steps[i].From, false
		}
	}
	return now.Last, p.Method == sowing.Indoor
}
