package barn

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/breeding"
	"yardbell/handlers/desk"
	"yardbell/reminders"
	"yardbell/storage"
)

// course is a service, or eggs that were set, with what the table says of it.
type course struct {
	storage.Mating
	length breeding.Length
}

// Ways in which a mating came about, or eggs are kept warm.
const (
	ran       = "ran"    // a male ran with her
	stillRuns = "ran on" // and is still with her
	broody    = "broody"
	incubator = "incubator"
	stillAir  = "still air"
)

// courseOf joins a mating with its length.
func courseOf(m storage.Mating) (course, error) {
	found := breeding.Lookup(strings.TrimSpace(m.Species + " " + m.Breed))
	for _, l := range found {
		if l.Species == m.Species && strings.EqualFold(l.Breed, m.Breed) {
			return course{m, l}, nil
		}
	}
	for _, l := range breeding.Lengths() {
		if l.Species == m.Species && (l.Breed == "" || strings.EqualFold(l.Breed, m.Breed)) {
			return course{m, l}, nil
		}
	}
	return course{}, fmt.Errorf("no length of %s %s", m.Species, m.Breed)
}

// hatching reports eggs that were set.
func (c course) hatching() bool { return c.length.Kind == breeding.Incubation }

// subject is what the bells and the day book tie to it.
func (c course) subject() string {
	if c.hatching() {
		return fmt.Sprintf("hatch:%d", c.Num)
	}
	return fmt.Sprintf("birth:%d", c.Num)
}

// expected is when the young are to come.
func (c course) expected() (breeding.Expected, error) {
	switch {
	case c.hatching():
		return breeding.Due(c.length, c.Since), nil
	case c.Under == ran || c.Under == stillRuns:
		return breeding.Exposed(c.length, c.Since, c.Until)
	case !c.Since.Equal(c.Until):
		return breeding.Served(c.length, c.Since, c.Until)
	}
	return breeding.Due(c.length, c.Since), nil
}

// window says when the young are to come: the day, with the days around it.
func (c course) window(req *desk.Request) string {
	e, err := c.expected()
	if err != nil {
		return ""
	}
	switch {
	case c.Under == stillRuns:
		return fmt.Sprintf("from %s on, while he is with her", sayDate(req, e.Earliest))
	case !e.OneDate:
		return fmt.Sprintf("between %s and %s", sayDate(req, e.Earliest), sayDate(req, e.Latest))
	}
	return fmt.Sprintf("%s (%s)", sayDate(req, e.Due), spanText(req, e.Earliest, e.Latest))
}

// spanText writes a run of days without their weekdays: 22 Mar to 28 Mar.
func spanText(req *desk.Request, from, to time.Time) string {
	layout := "Jan 2"
	if req.House.DayFirst {
		layout = "2 Jan"
	}
	return from.Format(layout) + " to " + to.Format(layout)
}

// courses are all of the household's, oldest first.
func courses(req *desk.Request) ([]course, error) {
	all, err := req.Tx.Matings(req.House.ID)
	if err != nil {
		return nil, err
	}
	var out []course
	for _, m := range all {
		c, err := courseOf(m)
		if err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	return out, nil
}

// expecting are the courses that are not over.
func expecting(req *desk.Request) ([]course, error) {
	all, err := courses(req)
	return slices.DeleteFunc(all, func(c course) bool { return !c.Over.IsZero() }), err
}

// stepOverdue is the bell of a course of which nothing was told when its window closed.
const stepOverdue = "overdue"

// step is a piece of work of a course with its days.
type step struct {
	name, title, hint string
	from, to          time.Time
	adult             bool
}

// plan is every piece of work of a course by what has happened to it so far.
func (c course) plan() ([]step, error) {
	if c.Fate == storage.FateReturned || c.Fate == storage.FateLost {
		return nil, nil
	}
	e, err := c.expected()
	if err != nil {
		return nil, err
	}
	var dated []breeding.Dated
	switch {
	case c.Over.IsZero():
		dated = breeding.RunUp(c.length, e)
	case c.Born == 0:
		return nil, nil
	case !c.Weaned.IsZero():
		dated = breeding.AfterWeaning(c.length, c.Weaned)
	default:
		dated = breeding.AfterBirth(c.length, c.Over)
	}
	var out []step
	for _, d := range dated {
		if c.Under == broody && c.ofIncubator(d.Name) {
			continue
		}
		out = append(out, step{name: d.Name, title: c.title(d.Title), hint: d.Do, from: d.From, to: d.To, adult: d.Adult || !c.hatching()})
	}
	if c.Over.IsZero() && c.Under != stillRuns {
		late := e.Latest.AddDate(0, 0, 1)
		out = append(out, step{name: stepOverdue, title: c.title("Overdue: has it come?"), hint: c.overdueHint(), from: late, to: late.AddDate(0, 0, 14), adult: true})
	}
	return out, nil
}

// ofIncubator reports work that a broody hen does herself.
func (c course) ofIncubator(name string) bool {
	for _, own := range []string{"-stop", "-brooder", "-week-", "-heat-off", "-humidity", "-turn"} {
		if strings.Contains(name, own) {
			return true
		}
	}
	return false
}

func (c course) overdueHint() string {
	if c.hatching() {
		return "Two days past the last day nothing more comes: a float or a candle tells, then the nest is cleared. Say what hatched: hatched 9 of 12, or: none hatched"
	}
	return "Past her window: have the vet look at her. Say what happened: " + c.example()
}

// example is a line that tells of the birth.
func (c course) example() string {
	s, _ := breeding.SpeciesNamed(c.length.Species)
	return fmt.Sprintf("%s %s %d %s", c.Name, s.Birth.Past, exampleYoung(c.length.Species), s.Young[0].Many)
}

func exampleYoung(species string) int {
	switch species {
	case "sow":
		return 11
	case "rabbit", "dog", "cat":
		return 6
	}
	return 2
}

// title is a piece of work with the name of the one it is for.
func (c course) title(work string) string {
	if c.hatching() && strings.HasPrefix(work, "Heat off") {
		work = "Brooder heat off, if they are feathered"
	}
	return fmt.Sprintf("%s (%s)", lowerFirst(work), c.whom())
}

// whom is what a piece of work is for: once hatched, no eggs but chicks.
func (c course) whom() string {
	if !c.hatching() || c.Over.IsZero() {
		return c.Name
	}
	s, _ := breeding.SpeciesNamed(c.length.Species)
	return counted(c.Born, s.Young[0].One, s.Young[0].Many)
}

// resettle makes the bells of a course agree with what has happened: it ends those that
// are over, moves those that have not rung, and sets those that are new.
func (c course) resettle(req *desk.Request) error {
	want, err := c.plan()
	if err != nil {
		return err
	}
	bells, err := req.Tx.SubjectBells(req.House.ID, c.subject())
	if err != nil {
		return err
	}
	for _, b := range bells {
		if !b.Stopped && !slices.ContainsFunc(want, func(s step) bool { return s.name == b.Step }) {
			if err := endBell(req, b); err != nil {
				return err
			}
		}
	}
	for _, s := range want {
		i := slices.IndexFunc(bells, func(b storage.Bell) bool { return b.Step == s.name })
		if err := c.resettleStep(req, s, bells, i); err != nil {
			return err
		}
	}
	return nil
}

func (c course) resettleStep(req *desk.Request, s step, bells []storage.Bell, i int) error {
	day := s.from
	if day.Before(dayOf(req)) {
		day = dayOf(req)
	}
	passed := s.to.Before(dayOf(req))
	switch {
	case i < 0 && passed && !c.stillHelps(s):
		return nil
	case i < 0:
		return c.addStep(req, s, day)
	case bells[i].Stopped || bells[i].Next.IsZero() || !bells[i].Due.IsZero(): // it has rung, or was done
		return nil
	case !bells[i].Daily: // it counts the hours from the birth
		return nil
	}
	b := bells[i]
	b.Title, b.Next, b.Useful = s.title, c.ringOn(req, day), useful(s)
	return req.Tx.SaveBell(b)
}

// helpsLate are the endings of the names of work that is worth doing late, as long as
// the young have not come.
var helpsLate = []string{"-box", "-kit", "-pen", "-move", "-lamp", "-feed-down", "-energy", "-watch", "-stop", "-brooder"}

// stillHelps reports work of the run-up that is done today when its day is past.
func (c course) stillHelps(s step) bool {
	return c.Over.IsZero() && slices.ContainsFunc(helpsLate, func(end string) bool { return strings.HasSuffix(s.name, end) })
}

// tooLate are the lines of the run-up that was past when the service was told and is the
// vet's to make good.
func (c course) tooLate(req *desk.Request) ([]string, error) {
	all, err := c.plan()
	if err != nil || !c.Over.IsZero() {
		return nil, err
	}
	var out []string
	for _, s := range all {
		if s.to.Before(dayOf(req)) && (strings.Contains(s.name, "-vaccine") || strings.HasSuffix(s.name, "-booster")) {
			out = append(out, fmt.Sprintf("past: %s, was due %s: ask the vet whether it still helps", c.work(s.title), sayDate(req, s.from)))
		}
	}
	return out, nil
}

// work is a title without the animal.
func (c course) work(title string) string { return strings.TrimSuffix(title, " ("+c.whom()+")") }

// ringOn is the round of a day, the next one when that of today is over.
func (c course) ringOn(req *desk.Request, day time.Time) time.Time {
	next := reminders.RoundOn(req.House, day)
	if !next.After(req.Now) {
		return reminders.House{Household: req.House}.NextRound(req.Now)
	}
	return next
}

// useful is how long a piece of work still makes sense: to the end of its last day.
func useful(s step) time.Duration {
	return time.Duration(days(s.from, s.to)+1+slack) * 24 * time.Hour
}

// slack is how many days after its last day a piece of work still rings.
const slack = 2

func (c course) addStep(req *desk.Request, s step, day time.Time) error {
	whom := reminders.Keepers
	if !s.adult && req.Who.ID != 0 {
		whom = reminders.People(req.Who.ID)
	}
	b := storage.Bell{
		Household: req.House.ID, Title: s.title, Hint: s.hint, Whom: whom, Next: c.ringOn(req, day), Daily: true, Care: true, Useful: useful(s),
		Subject: c.subject(), Step: s.name, Why: fmt.Sprintf("%s, %s", c.Name, c.since(req)), Made: req.Now,
	}
	_, err := req.Tx.AddBell(b)
	return err
}

// since says how a course began.
func (c course) since(req *desk.Request) string {
	switch {
	case c.hatching():
		return "set " + sayDate(req, c.Since)
	case c.Under == stillRuns:
		return "with the male from " + sayDate(req, c.Since)
	case c.Under == ran:
		return fmt.Sprintf("with the male %s to %s", sayDate(req, c.Since), sayDate(req, c.Until))
	case !c.Since.Equal(c.Until):
		return fmt.Sprintf("served %s and %s", sayDate(req, c.Since), sayDate(req, c.Until))
	}
	return "served " + sayDate(req, c.Since)
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

// stepLines says what comes next for a course, at most so many lines.
func (c course) stepLines(req *desk.Request, most int) ([]string, error) {
	bells, err := req.Tx.SubjectBells(req.House.ID, c.subject())
	if err != nil {
		return nil, err
	}
	bells = slices.DeleteFunc(bells, func(b storage.Bell) bool { return b.Stopped || b.Next.IsZero() || b.Step == stepOverdue })
	slices.SortStableFunc(bells, func(x, y storage.Bell) int { return x.Next.Compare(y.Next) })
	all, err := c.plan()
	if err != nil {
		return nil, err
	}
	var out []string
	for i, b := range bells {
		if i == most && len(bells) > most+1 {
			out = append(out, fmt.Sprintf("and %d more", len(bells)-most))
			break
		}
		when := req.SayDay(b.Next)
		if !b.Daily {
			when = req.Say(b.Next)
		}
		line := when + " " + c.work(b.Title)
		if j := slices.IndexFunc(all, func(s step) bool { return s.name == b.Step }); j >= 0 && all[j].from.Before(dayOf(req)) && b.Due.IsZero() {
			line = fmt.Sprintf("now: %s, was due %s", c.work(b.Title), sayDate(req, all[j].from))
		}
		out = append(out, line)
	}
	return out, nil
}
