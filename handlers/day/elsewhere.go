package day

import (
	"slices"
	"strings"
	"time"

	plan "yardbell/calc/day"
	"yardbell/handlers/desk"
	"yardbell/reminders"
	"yardbell/storage"
)

// Who is elsewhere, and for how long that is sure. Lye work stands on it: a child that may
// be at home counts as at home.

// homeToday is the household with who is away, those too who came back or got well today:
// a child that came home while school goes on is not in it.
func homeToday(req *desk.Request) (reminders.House, error) {
	home, err := req.Home()
	if err == nil {
		home.Away, err = req.Tx.Absences(req.House.ID, req.Instant(reminders.Day(req.Wall)))
	}
	return home, err
}

// personOf is somebody of the household with when they are away or ill.
func personOf(req *desk.Request, home reminders.House, p storage.Person, words []storage.DayWord, end time.Time) plan.Person {
	out := plan.Person{Name: p.Name, Child: p.Child(req.Now), Age: p.AgeAt(req.Now)}
	for _, a := range home.Away {
		if a.Person != p.ID {
			continue
		}
		s := plan.Span{From: req.WallOf(a.Since), To: end}
		if !a.Until.IsZero() {
			s.To = req.WallOf(a.Until)
		}
		switch {
		case !s.To.After(s.From):
		case a.Kind == storage.Ill:
			out.Busy = append(out.Busy, s)
		case out.Child:
			out.Out = append(out.Out, surelyOut(s, a, p, words)...)
		default:
			out.Out = append(out.Out, s)
		}
	}
	return out
}

// surelyOut is a child's absence without the days of which nobody knows at what hour it
// comes home: the last of an absence told in whole days, and those on which it is said to
// be at home.
func surelyOut(s plan.Span, a storage.Absence, p storage.Person, words []storage.DayWord) []plan.Span {
	if a.Kind == storage.Away && s.To.Equal(reminders.Day(s.To)) {
		s.To = s.To.AddDate(0, 0, -1)
	}
	var out []plan.Span
	for _, w := range words {
		if w.Child() != p.Name || !w.Day.Before(s.To) || !w.Day.AddDate(0, 0, 1).After(s.From) {
			continue
		}
		if w.Day.After(s.From) {
			out = append(out, plan.Span{From: s.From, To: w.Day})
		}
		s.From = w.Day.AddDate(0, 0, 1)
	}
	if s.To.After(s.From) {
		out = append(out, s)
	}
	return out
}

// inBlock are the names of those who are in a block for the whole of it; who is ill or away,
// or comes home meanwhile, is not, nor is a child that came home from afar that day in what
// would take it out again.
func inBlock(req *desk.Request, home reminders.House, b stretch) []string {
	var out []string
	from, to := req.Instant(b.from), req.Instant(b.to)
	for _, id := range b.who {
		p, _ := req.Person(req.NameOf(id))
		restful := p.Child(req.Now) && isAway(b.Block)
		if !slices.ContainsFunc(home.Away, func(a storage.Absence) bool {
			cameHome := restful && a.Kind == storage.Away && !a.Until.After(from) && a.Until.After(req.Instant(reminders.Day(b.from)))
			return a.Person == id && (keepsFrom(a, from, to) || cameHome)
		}) {
			out = append(out, req.NameOf(id))
		}
	}
	return out
}

// keepsFrom reports that an absence keeps somebody from a block: it holds when the block
// begins, ends while it lasts, or is an illness that begins in it.
func keepsFrom(a storage.Absence, from, to time.Time) bool {
	ends := a.Until.After(from) && a.Until.Before(to)
	return a.Covers(from) || ends || a.Kind == storage.Ill && a.Since.Before(to) && !a.Since.Before(from)
}

// awayTitles are words for blocks in which children are plainly out of the kitchen's way.
var awayTitles = []string{"club", "church", "chapel", "mass", "swimming", "scouts", "guides", "cubs", "brownies", "football", "soccer", "nursery", "playgroup", "preschool", "kindergarten", "bed", "bedtime", "out"}

// eitherTitles are words for blocks that some households have at home and others elsewhere.
var eitherTitles = []string{"lessons", "lesson", "class", "classes", "piano", "violin", "band", "choir", "practice", "training", "tuition", "study", "homework", "reading", "work", "walk", "play"}

// roomWords are words for places of the household's own: whoever is there is at home.
var roomWords = strings.Fields("kitchen scullery home house room rooms bedroom bedrooms lounge parlour parlor study attic loft cellar playroom schoolroom living sitting dining den hallway porch conservatory upstairs downstairs table bed garden yard orchard barn stable shed workshop greenhouse field meadow paddock")

// isAway reports that children in a block are elsewhere: said to be out or at a place that
// is not the household's, or plainly so by the block's name. What may be either counts as
// at home.
func isAway(b storage.Block) bool {
	switch {
	case b.Place != "":
		return !ownPlace(b.Place)
	case isSchool(b.Title):
		return true
	}
	return hasWord(b.Title, awayTitles)
}

// ownPlace reports a place of the household: "the playroom", and not "Ruth's kitchen".
func ownPlace(place string) bool {
	words := strings.Fields(strings.ToLower(place))
	whose := slices.ContainsFunc(words, func(w string) bool { return strings.HasSuffix(w, "'s") || strings.HasSuffix(w, "s'") })
	if whose {
		return strings.Contains(words[len(words)-1], "room")
	}
	return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(roomWords, w) })
}

// isSchool reports a block of school, and neither school work nor home school.
func isSchool(title string) bool {
	words := strings.Fields(strings.ToLower(title))
	return len(words) > 0 && words[len(words)-1] == schoolTitle && words[0] != "home"
}

// hasWord reports a title that has one of some words.
func hasWord(title string, some []string) bool {
	return slices.ContainsFunc(strings.Fields(strings.ToLower(title)), func(w string) bool { return slices.Contains(some, w) })
}

// bedTitles are the blocks of awayTitles that the household itself begins.
var bedTitles = []string{"bed", "bedtime"}

// lessonTitles are blocks whose hours others set.
var lessonTitles = []string{"lessons", "lesson", "nursery", "playgroup", "preschool", "kindergarten"}

// isLessons reports a block whose hours others set.
func isLessons(b storage.Block) bool {
	words := strings.Fields(strings.ToLower(b.Title))
	return isSchool(b.Title) || len(words) > 0 && slices.Contains(lessonTitles, words[len(words)-1])
}

// inKitchen reports a block that takes the kitchen.
func inKitchen(b storage.Block) bool {
	return slices.ContainsFunc(strings.Fields(strings.ToLower(b.Place)), func(w string) bool { return w == "kitchen" || w == "scullery" })
}

// runsLate moves a block of a day that runs late. School and what else is outside keeps
// other people's time; children who are put to bed late get up as always.
func runsLate(b storage.Block, from, to time.Time, by time.Duration) (time.Time, time.Time) {
	switch {
	case hasWord(b.Title, bedTitles):
		return earlierOf(from.Add(by), to.Add(-plan.Grain)), to
	case isAway(b), b.Title == "work", strings.Contains(b.Title, "shift"):
		return from, to
	}
	return from.Add(by), to.Add(by)
}
