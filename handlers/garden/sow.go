package garden

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/sowing"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

func sowAsks() []desk.Ask {
	return []desk.Ask{{
		Name: "sow", Command: "sow", Help: "what to start, sow out or set out now, or on a day",
		Forms: []string{
			"^sow$", "^sow", "what|anything * start|sow|plant|sowing|starting|planting", "what goes * ground|in|out", "^what is|are|what's|whats late$", "what * late * sow|start|sowing", "what * late with",
		},
		Kinds: []phrase.Kind{phrase.KindDate, phrase.KindPart, phrase.KindAfter},
		Fill: []string{
			"what", "can", "should", "do", "i", "we", "start", "starting", "sow", "sowing", "plant", "planting", "this", "week", "now", "today", "need", "seeds", "indoors", "inside", "outdoors", "out", "outside", "garden", "anything", "still",
			"late", "goes", "ground", "next", "weekend", "shall", "month", "more", "be", "all", "everything", "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december",
		},
		Examples: []desk.Example{{Setup: dated, Line: "sow"}, {Setup: dated, Line: "what do I start this week"}, {Setup: dated, Line: "/sow 10 April"}, {Setup: dated, Line: "what should we be sowing in march"}},
		Plain:    plainSow, Do: sow,
	}}
}

// dated is the set-up of the examples: a place whose frosts are known.
var dated = []string{"house zone Europe/London", "frost last 28 May", "frost first 24 Sep"}

// sowWords are what may stand behind the word sow in a line that asks what to sow.
var sowWords = []string{"sow", "indoors", "inside", "outdoors", "outside", "more", "everything", "week", "weekend", "month", "next", "this", "late", "on", "in", "for", "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"}

// plainSow keeps "what do I start with" for talk: without an object of its own, only a
// question for the garden, or one of a household that has told its frosts, is meant.
func plainSow(req *desk.Request) bool {
	if len(req.Reading.Unknown) > 0 {
		return false
	}
	if req.Form == "^sow$" || req.Form == "^sow" { // a sow is an animal too
		return req.Reading.Tokens[0].Low == "sow" && len(leftOver(req, sowWords...)) == 0
	}
	if len(req.Reading.Tokens) < 3 {
		return false
	}
	if hasWord(req, "with", "from") && !hasWord(req, "late") {
		return false
	}
	return hasWord(req, "sow", "sowing", "plant", "planting", "ground", "seeds") || req.Reading.Moment(req.Context(), phrase.Future).Count > 0 || hasWord(req, "week", "now", "today", "weekend", "late", "indoors", "month")
}

// How many lines a list has at first, where more are asked for, and for the trays; with
// its head and what was assumed it fits a phone.
const (
	mostRows  = 6
	moreRows  = 30
	mostTrays = 2
)

// soon is how far ahead the list looks for what must still wait.
const soon = 14 * 24 * time.Hour

// job is a task with the plant that it is for.
type job struct {
	plant
	sowing.Task
	ours bool
}

// sow says what to start, sow out, harden off and set out on a day, ordered by how
// little slack is left.
func sow(req *desk.Request) (desk.Reply, error) {
	day := dayAsked(req)
	f, _, _, reply, err := season(req, day)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	jobs, err := jobsOn(req, f, day)
	if err != nil {
		return desk.Reply{}, err
	}
	out := sayJobs(req, f, day, jobs)
	if hasWord(req, "late") {
		return out, nil
	}
	trays, err := trayLines(req, day)
	if n := len(trays) - mostTrays; n > 0 && !hasWord(req, "more", "all", "everything") {
		trays = append(trays[:mostTrays-1], fmt.Sprintf("%s, and %d more for the trays: sown", strings.TrimSuffix(trays[mostTrays-1], "."), n))
	}
	if err != nil {
		return out, err
	}
	hints, err := hintsOf(req, jobs)
	out.Lines = slices.Concat(out.Lines, trays, hints)
	return out, err
}

// trayLines say what is due for the seedlings that stand in trays, by what has really
// happened to them.
func trayLines(req *desk.Request, day time.Time) ([]string, error) {
	all, err := standingNow(req)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, s := range all {
		due, err := s.plan(req)
		if err != nil {
			return nil, err
		}
		for _, step := range []string{stepPotUp, stepHarden, stepSetOut} {
			when, is := due[step]
			switch {
			case !is || when.After(day.Add(soon)):
			case when.After(day):
				out = append(out, fmt.Sprintf("%s: %s from %s", desk.Upper(s.title()), stepName[step], sayDate(req, when)))
			default:
				out = append(out, fmt.Sprintf("%s: %s, due since %s", desk.Upper(s.title()), stepName[step], sayDate(req, when)))
			}
		}
	}
	return out, nil
}

// stepName is how a list calls the work on seedlings.
var stepName = map[string]string{stepPotUp: "pot up", stepHarden: "begin to harden off", stepSetOut: "set out"}

// jobsOn are the tasks of a day: of everything that the household grows, and of the
// table's other crops what is begun from seed.
func jobsOn(req *desk.Request, f frosts, day time.Time) ([]job, error) {
	plants, err := ourPlants(req)
	if err != nil {
		return nil, err
	}
	all, err := sowings(req)
	if err != nil {
		return nil, err
	}
	var out []job
	for _, p := range plants {
		now, next := f.seasonsFor(p, day)
		for _, t := range sowing.Tasks(p.Crop, now, next, day) {
			if waitsInTray(t.Kind) || begun(all, p, now, day) {
				continue
			}
			out = append(out, job{p, t, true})
		}
	}
	now, next := f.seasons(day)
	for _, c := range sowing.Crops() {
		if slices.ContainsFunc(plants, func(p plant) bool { return p.table.Name == c.Name }) {
			continue
		}
		for _, t := range sowing.Tasks(c, now, next, day) {
			if worthTelling(t) {
				out = append(out, job{plant{Crop: c, table: c, called: called(req, c.Name)}, t, false})
			}
		}
	}
	return sortJobs(out), nil
}

// mostLate is how late a crop that the household does not grow is still spoken of.
const mostLate = 21

// worthTelling reports a task of a crop that the household does not grow (yet): what
// is begun from seed, ripens here, and is not late beyond reason.
func worthTelling(t sowing.Task) bool {
	if waitsInTray(t.Kind) || t.Course.Class == sowing.TooLong {
		return false
	}
	return t.State != sowing.Late || -t.Slack <= mostLate && t.Course.Class < sowing.QuickOnly
}

// ourPlants are the crops and varieties that the household grows, with its figures.
func ourPlants(req *desk.Request) ([]plant, error) {
	crops, err := grownHere(req)
	if err != nil {
		return nil, err
	}
	kinds, err := varieties(req.Tx, req.House.ID)
	if err != nil {
		return nil, err
	}
	var out []plant
	for _, crop := range crops {
		named := false
		for _, v := range kinds {
			if v.crop != crop {
				continue
			}
			p, err := plantOf(req, v.crop, v.name)
			if err != nil {
				return nil, err
			}
			if p.own != nil && p.own.Variety != "" { // a variety of its own dates
				out, named = append(out, p), true
			}
		}
		if named {
			continue
		}
		p, err := plantOf(req, crop, "")
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, nil
}

// waitsInTray reports work on seedlings that have to be there.
func waitsInTray(k sowing.StepKind) bool {
	return k == sowing.Harden || k == sowing.SetOut || k == sowing.PotUp
}

// begun reports a plant that is sown already this season. One that is sown again and
// again is due when its interval is over.
func begun(all []sown, p plant, season sowing.Frosts, day time.Time) bool {
	since := season.Last.AddDate(0, -7, 0)
	if every, ok := sowing.Succession(p.table); ok {
		since = day.AddDate(0, 0, -every.From)
	}
	return slices.ContainsFunc(all, func(s sown) bool {
		same := s.kind.table.Name == p.table.Name && (p.variety == "" || strings.EqualFold(s.Variety, p.variety))
		return same && s.Sown.After(since) && s.Fate != noneCame && !strings.HasPrefix(s.Fate, "lost")
	})
}

func sortJobs(jobs []job) []job {
	tasks := make([]sowing.Task, len(jobs))
	for i, j := range jobs {
		tasks[i] = j.Task
		tasks[i].Crop.Name = fmt.Sprintf("%s\x00%d", j.label(), i) // finds the job again
	}
	sowing.Sort(tasks)
	out := make([]job, 0, len(jobs))
	for _, t := range tasks {
		_, at, _ := strings.Cut(t.Crop.Name, "\x00")
		i := 0
		fmt.Sscan(at, &i) //nolint:errcheck // written above
		out = append(out, jobs[i])
	}
	return out
}

// kindsAsked narrows a list to what the line asks for; nil is everything.
func kindsAsked(req *desk.Request) []sowing.StepKind {
	switch {
	case hasWord(req, "indoors", "inside"):
		return []sowing.StepKind{sowing.Start}
	case hasWord(req, "outdoors", "outside", "ground"):
		return []sowing.StepKind{sowing.SowOut, sowing.Plant, sowing.SetOut}
	}
	return nil
}

func sayJobs(req *desk.Request, f frosts, day time.Time, jobs []job) desk.Reply {
	kinds := kindsAsked(req)
	due := slices.DeleteFunc(slices.Clone(jobs), func(j job) bool {
		return j.State != sowing.InWindow && j.State != sowing.Late || kinds != nil && !slices.Contains(kinds, j.Kind) || hasWord(req, "late") && j.State != sowing.Late
	})
	slices.SortStableFunc(due, func(a, b job) int { return a.turn() - b.turn() })
	out := desk.Answer(fmt.Sprintf("%s, the most pressing first:", headOf(req, day, due)))
	if len(due) == 0 {
		out = desk.Answer(fmt.Sprintf("Nothing is to be started %s.", onDay(req, day)))
	}
	due = eitherWay(due)
	more := hasWord(req, "more", "all", "everything")
	rows, cut := rowsOf(req, due, more)
	if cut {
		out.Buttons = append(out.Buttons, desk.Labelled("More", strings.TrimSpace("sow more "+dayWords(req, day))))
	}
	out.Lines = rows
	if text := waiting(req, day, jobs, kinds); text != "" {
		out.Lines = append(out.Lines, text)
	}
	out.Assumed = []string{f.said}
	if len(due) > 0 {
		out.Cautions = []string{"Frost dates are averages: watch the forecast. A packet's own figures go before these."}
	}
	return out
}

// rowsOf writes what is due in a few lines that a phone shows, or in more where they are
// asked for; cut tells that something was left out.
func rowsOf(req *desk.Request, due []job, more bool) (rows []string, cut bool) {
	names, most := mostNames, mostRows
	if more {
		names, most = moreNames, moreRows
	}
	rows, cut = grouped(req, due, names)
	if len(rows) <= most {
		return rows, cut
	}
	return append(rows[:most-1], fmt.Sprintf("and %s more", desk.Plural(len(rows)-most+1, "line"))), true
}

// turn puts what the household grows first; then what else could be begun in time,
// then what is late, and flowers after what is eaten.
func (j job) turn() int {
	turn := 0
	switch {
	case j.ours:
		return 0
	case j.State == sowing.Late:
		turn = 2
	default:
		turn = 1
	}
	if flowers[j.table.Name] {
		turn += 2
	}
	return turn
}

func headOf(req *desk.Request, day time.Time, due []job) string {
	what := "To start, sow or set out " + onDay(req, day)
	if len(due) > 0 && !slices.ContainsFunc(due, func(j job) bool { return j.State != sowing.Late }) {
		what = "Late, but still worth it " + onDay(req, day)
	}
	return what
}

func onDay(req *desk.Request, day time.Time) string {
	if day.Equal(dayOf(req)) {
		return "now"
	}
	return "on " + sayDate(req, day)
}

func dayWords(req *desk.Request, day time.Time) string {
	if day.Equal(dayOf(req)) {
		return ""
	}
	return day.Format(dayLayout(req) + " 2006")
}

// How many crops stand in one line, at first and where more are asked for.
const (
	mostNames = 20
	mostLates = 8
	moreNames = 40
)

// bothWays is the work of a crop that may as well be started indoors as sown outdoors.
const bothWays sowing.StepKind = "start indoors or sow outdoors"

// eitherWay makes one task of two that are one crop's, by the same day.
func eitherWay(due []job) []job {
	same := func(a, b job) bool {
		return a.label() == b.label() && a.State == sowing.InWindow && b.State == sowing.InWindow && a.To.Equal(b.To)
	}
	var out []job
	for _, j := range due {
		other := func(o job) bool { return same(j, o) && o.Kind != j.Kind }
		switch {
		case j.Kind == sowing.Start && slices.ContainsFunc(due, other):
			j.Kind = bothWays
		case j.Kind == sowing.SowOut && slices.ContainsFunc(due, func(o job) bool { return other(o) && o.Kind == sowing.Start }):
			continue
		}
		out = append(out, j)
	}
	return out
}

// grouped writes tasks in lines, those of one kind of work in one: each with its last
// day, or with how late it is. Cut tells that a line left some out.
func grouped(req *desk.Request, due []job, names int) (rows []string, cut bool) {
	done := make([]bool, len(due))
	for i, j := range due {
		if done[i] {
			continue
		}
		var group []job
		for k := i; k < len(due); k++ {
			if o := due[k]; !done[k] && o.Kind == j.Kind && o.State == j.State && o.turn() == j.turn() && (o.Course.Class == sowing.TooLong) == (j.Course.Class == sowing.TooLong) {
				group, done[k] = append(group, o), true
			}
		}
		most := names
		if j.State == sowing.Late && names == mostNames {
			most = mostLates
		}
		left := len(group) - most
		if left > 0 {
			group, cut = group[:most], true
		}
		row := groupLine(req, group)
		if left > 0 {
			row += fmt.Sprintf("; %d more", left)
		}
		rows = append(rows, row)
	}
	return rows, cut
}

// doubt marks late work whose harvest may not come before the frost.
func doubt(j job) string {
	switch j.Course.Class {
	case sowing.Risky:
		return ", risky"
	case sowing.QuickOnly:
		return ", only a quick variety"
	}
	return ""
}

// groupLine is the line of one kind of work.
func groupLine(req *desk.Request, group []job) string {
	j := group[0]
	if len(group) == 1 {
		return jobLine(req, j)
	}
	if j.State == sowing.Late {
		var parts []string
		for _, o := range group {
			parts = append(parts, fmt.Sprintf("%s (%s%s)", o.label(), desk.Plural(-o.Slack, "day"), doubt(o)))
		}
		return fmt.Sprintf("%s, late but still worth it: %s", desk.Upper(string(j.Kind)), strings.Join(parts, ", "))
	}
	if !slices.ContainsFunc(group, func(o job) bool { return !o.To.Equal(j.To) }) {
		var labels []string
		for _, o := range group {
			labels = append(labels, o.label())
		}
		return fmt.Sprintf("%s%s: %s", desk.Upper(string(j.Kind)), slackOf(req, j), strings.Join(labels, ", "))
	}
	var parts []string
	for i := 0; i < len(group); {
		var labels []string
		to := group[i].To
		for ; i < len(group) && group[i].To.Equal(to); i++ {
			labels = append(labels, group[i].label())
		}
		parts = append(parts, fmt.Sprintf("%s until %s", strings.Join(labels, ", "), sayDate(req, to)))
	}
	head := desk.Upper(string(j.Kind))
	if j.Course.Class == sowing.TooLong {
		head += ", but it does not ripen here"
	}
	return head + ": " + strings.Join(parts, "; ")
}

// jobLine says one task with its slack, and what being late costs.
func jobLine(req *desk.Request, j job) string {
	text := fmt.Sprintf("%s: %s", desk.Upper(j.label()), j.Kind)
	if j.State == sowing.Late {
		return text + fmt.Sprintf(", late by %s: %s", desk.Plural(-j.Slack, "day"), lateCost(req, j.Task))
	}
	return text + slackOf(req, j)
}

// slackOf says how long there is for a task.
func slackOf(req *desk.Request, j job) string {
	text := fmt.Sprintf(" until %s (%s left)", sayDate(req, j.To), desk.Plural(j.Slack, "day"))
	if j.Slack == 0 {
		text = ", today is the last day"
	}
	if j.Course.Class == sowing.TooLong {
		text += ", but it does not ripen here"
	}
	return text
}

// lateCost is what beginning late leads to.
func lateCost(req *desk.Request, t sowing.Task) string {
	if t.Crop.MaturityMin > 400 {
		return fmt.Sprintf("the first picking is in %d either way", t.Course.Early.Year())
	}
	text := "ripe " + harvestDays(req, t.Course)
	if t.Delay > 0 {
		text += fmt.Sprintf(", %s later than in time", desk.Plural(t.Delay, "day"))
	}
	switch t.Course.Class {
	case sowing.QuickOnly:
		text += ", and only a quick variety before the frost"
	case sowing.Risky:
		text += fmt.Sprintf(", %s before the frost ends it: risky", desk.Plural(t.Course.Margin, "day"))
	default:
		text += ", still well before the frost"
	}
	return text
}

func harvestDays(req *desk.Request, c sowing.Course) string {
	if c.Late.Sub(c.Early) < 48*time.Hour {
		return "about " + sayDate(req, c.Late)
	}
	return sayDays(req, c.Early, c.Late)
}

// waiting names what must still wait, and until when.
func waiting(req *desk.Request, day time.Time, jobs []job, kinds []sowing.StepKind) string {
	var parts []string
	for _, ours := range []bool{true, false} {
		for _, j := range jobs {
			if j.ours == ours && (ours || !flowers[j.table.Name]) && j.State == sowing.Ahead && j.From.Sub(day) <= soon && len(parts) < 5 && (kinds == nil || slices.Contains(kinds, j.Kind)) {
				parts = append(parts, fmt.Sprintf("%s %s from %s", j.label(), j.Kind, sayDate(req, j.From)))
			}
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "Not yet: " + strings.Join(parts, "; ") + "."
}
