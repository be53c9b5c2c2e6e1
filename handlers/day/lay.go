package day

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"yardbell/calc/childwork"
	plan "yardbell/calc/day"
	"yardbell/calc/daylight"
	"yardbell/handlers/desk"
	"yardbell/reminders"
	"yardbell/storage"
)

// ahead is how many days are laid at once: what does not fit today goes to the next of
// these that suits.
const ahead = 7

// laying is the household's open jobs laid into its days.
type laying struct {
	req   *desk.Request
	house plan.House
	jobs  []desk.Job
	tasks []plan.Job
	plan  plan.Plan
	was   []storage.Laid
	aside []string // keys of jobs that the planner refused
}

// hasDay reports that the household keeps a day: a block, school hours, or a job of its own. Without, no
// job is laid.
func hasDay(req *desk.Request) (bool, error) {
	if req.House.School.On {
		return true, nil
	}
	return saidDay(req)
}

// saidDay reports that the household has typed a block or a job that is open.
func saidDay(req *desk.Request) (bool, error) {
	blocks, err := req.Tx.Blocks(req.House.ID)
	if err != nil || len(blocks) > 0 {
		return true, err
	}
	jobs, err := req.Tx.Jobs(req.House.ID)
	return len(jobs) > 0, err
}

// layJobs lays the open jobs as near to where they stood as can be. What stood and is
// over moves on.
func layJobs(req *desk.Request) (*laying, error) {
	l := &laying{req: req}
	var err error
	if l.jobs, err = openWork(req); err != nil {
		return nil, err
	}
	if l.was, err = req.Tx.LaidJobs(req.House.ID); err != nil {
		return nil, err
	}
	if l.house, err = houseOf(req); err != nil {
		return nil, err
	}
	seen := map[string]bool{}
	for _, j := range l.jobs {
		if !seen[j.Key] && len(l.tasks) < plan.MostJobs {
			l.tasks = append(l.tasks, l.task(j))
		}
		seen[j.Key] = true
	}
	for i, t := range l.tasks {
		standing := len(t.Was) > 0 && t.Was[0].From.Equal(t.Pin)
		if !t.Pin.IsZero() && t.Pin.Before(req.Wall) && !standing {
			l.tasks[i].Pin = time.Time{} // its time is past: it moves on like any other
		}
	}
	l.tasks = plan.MoveOn(l.tasks, req.Wall)
	for i := range l.tasks {
		if was := l.stood(l.tasks[i].ID); was.Counted.Equal(reminders.Day(req.Wall)) { // once a day
			l.tasks[i].Moved = was.Moved
		}
	}
	l.plan, err = plan.Lay(l.house, l.tasks)
	if errors.Is(err, plan.ErrInput) { // one job that cannot be laid must not keep the others from it
		l.setAside()
		l.plan, err = plan.Lay(l.house, l.tasks)
	}
	if err != nil {
		return nil, fmt.Errorf("lay the jobs of household %d: %w", req.House.ID, err)
	}
	for _, key := range l.aside {
		l.plan.Left = append(l.plan.Left, plan.Left{Job: key})
	}
	return l, nil
}

// setAside takes the jobs out that the planner refuses by themselves; they are said to fit
// nowhere.
func (l *laying) setAside() {
	l.tasks = slices.DeleteFunc(l.tasks, func(t plan.Job) bool {
		_, err := plan.Lay(l.house, []plan.Job{t})
		if err != nil {
			l.aside = append(l.aside, t.ID)
		}
		return err != nil
	})
}

// task is a job as the planner takes it.
func (l *laying) task(j desk.Job) plan.Job {
	t := plan.Job{
		ID: j.Key, Takes: j.Takes, By: namesOf(l.req, j.By), Children: j.Kids > 0, LeastAge: j.Kids, Help: j.Help,
		Earliest: j.From, Due: j.Due, Cost: 1 + j.Pressure, Pin: j.Pin,
	}
	if j.Needs.Lye && len(t.By) > 1 { // one of them is with the lye
		t.Of, t.By, t.Hands = t.By, nil, 1
	}
	if j.Help && t.Earliest.IsZero() && len(j.By) == 0 {
		t.Earliest = l.helpersFrom(j)
	}
	if !j.Latest.IsZero() {
		t.Latest = j.Latest.AddDate(0, 0, 1)
	}
	for need, wanted := range map[plan.Need]bool{
		plan.Elsewhere: j.Needs.Elsewhere && !slices.ContainsFunc(t.By, l.isChild), plan.Lye: j.Needs.Lye, plan.Kitchen: j.Needs.Kitchen, plan.Oven: j.Needs.Oven, plan.Light: j.Needs.Daylight, plan.Dry: j.Needs.Dry,
	} {
		if wanted {
			t.Need |= need
		}
	}
	for _, w := range l.was {
		if w.Key != j.Key {
			continue
		}
		t.Moved = w.Moved
		if !w.First.IsZero() {
			t.Was = append(t.Was, plan.Stand{Span: plan.Span{From: l.req.WallOf(w.First), To: l.req.WallOf(w.Past)}, Who: namesOf(l.req, w.Who)})
		}
	}
	return t
}

// helpersFrom is when children are free first for a job at which they can help, today or
// tomorrow; zero when they are not, and then it is done without them.
func (l *laying) helpersFrom(j desk.Job) time.Time {
	day := reminders.Day(l.req.Wall)
	for _, date := range []time.Time{day, day.AddDate(0, 0, 1)} {
		from, end := laterOf(reminders.AtMinutes(date, l.req.House.Rounds[0]), l.req.Wall), reminders.AtMinutes(date, eveningOf(l.req))
		for again := true; again; {
			again = false
			for _, b := range l.house.Blocks {
				holds := !b.Open && b.From.Before(from.Add(j.Takes)) && b.To.After(from)
				if holds && slices.ContainsFunc(b.Who, l.isChild) {
					from, again = b.To, true
				}
			}
		}
		if !from.Add(j.Takes).After(end) {
			return from
		}
	}
	return time.Time{}
}

func (l *laying) isChild(name string) bool {
	p, ok := l.req.Person(name)
	return ok && p.Child(l.req.Now)
}

// houseOf is the household's next days as the planner takes them, in wall times.
func houseOf(req *desk.Request) (plan.House, error) {
	today := reminders.Day(req.Wall)
	end := today.AddDate(0, 0, ahead)
	h := plan.House{Now: req.Wall}
	if d := req.House.Behind; d.By > 0 && req.Now.Before(d.To) { // still busy with what ran late
		h.Now = laterOf(h.Now, req.WallOf(d.From.Add(d.By)))
	}
	home, err := homeToday(req)
	if err != nil {
		return h, err
	}
	words, err := req.Tx.DayWords(req.House.ID, today, end)
	if err != nil {
		return h, err
	}
	for _, p := range req.People {
		if !p.Gone {
			h.People = append(h.People, personOf(req, home, p, words, end))
		}
	}
	if v, visits := visitorIn(words, today, end); visits {
		h.People = append(h.People, v)
	}
	for date := today; date.Before(end); date = date.AddDate(0, 0, 1) {
		if err := addDay(req, home, &h, date); err != nil {
			return h, err
		}
	}
	taken, err := req.Roster.Taken(req, today, end.AddDate(0, 0, -1))
	if err != nil {
		return h, err
	}
	for _, t := range taken {
		s := plan.Span{From: t.From, To: t.To}
		switch {
		case !t.To.After(t.From):
		case len(t.Who) > 0:
			occupy(&h, namesOf(req, t.Who), s)
		case t.Oven:
			h.Oven = append(h.Oven, s)
		default:
			h.Kitchen = append(h.Kitchen, s)
		}
	}
	return h, nil
}

// occupy has people at work for a stretch.
func occupy(h *plan.House, names []string, s plan.Span) {
	for i := range h.People {
		if slices.Contains(names, h.People[i].Name) {
			h.People[i].Busy = append(h.People[i].Busy, s)
		}
	}
}

// addDay puts a day's blocks, light and weather into the house. What of the day no block
// holds is open to jobs, from the morning round to the evening look; on a bare day nothing
// is.
func addDay(req *desk.Request, home reminders.House, h *plan.House, date time.Time) error {
	d, err := dayOf(req, date)
	if err != nil {
		return err
	}
	bare := req.House.Bare.Has(date)
	kept := map[string]bool{} // people who have a block that is kept for jobs
	for _, b := range d.blocks {
		s := plan.Span{From: laterOf(b.from, date), To: earlierOf(b.to, date.AddDate(0, 0, 1))}
		who := inBlock(req, home, b)
		if len(who) == 0 || !s.To.After(s.From) {
			continue
		}
		open := b.Open && !bare
		for _, name := range who {
			if open {
				kept[name] = true
			}
		}
		h.Blocks = append(h.Blocks, plan.Block{Name: b.Title, Span: s, Open: open, Who: who, Away: isAway(b.Block), Place: b.Place})
		if !open && inKitchen(b.Block) {
			h.Kitchen = append(h.Kitchen, s)
		}
	}
	rest := plan.Block{Name: restOfDay, Span: plan.Span{From: reminders.AtMinutes(date, req.House.Rounds[0]), To: reminders.AtMinutes(date, eveningOf(req))}, Open: true}
	if len(kept) > 0 {
		for _, p := range h.People {
			if !kept[p.Name] {
				rest.Who = append(rest.Who, p.Name)
			}
		}
	}
	if !bare && rest.To.After(rest.From) && (len(kept) == 0 || len(rest.Who) > 0) {
		h.Blocks = append(h.Blocks, rest)
	}
	h.Light = append(h.Light, lightOn(req, date))
	whole := plan.Span{From: date, To: date.AddDate(0, 0, 1)}
	switch d.weather() {
	case storage.DayWet:
		h.Wet = append(h.Wet, whole)
	case storage.DayDry:
		h.Dry = append(h.Dry, whole)
	}
	return nil
}

// restOfDay is the name of the time that no block holds.
const restOfDay = "the rest of the day"

// lastWork is when jobs end where the household has no evening look.
const lastWork storage.Minutes = 20 * 60

func eveningOf(req *desk.Request) storage.Minutes {
	if req.House.Evening < 0 {
		return lastWork
	}
	return req.House.Evening
}

// lightOn is from when until when it is light on a day: by the place, or as much as a
// short winter day has where the place is not known.
func lightOn(req *desk.Request, date time.Time) plan.Span {
	usual := plan.Span{From: date.Add(8 * time.Hour), To: date.Add(16 * time.Hour)}
	var lat, lon float64
	if _, err := fmt.Sscan(req.House.Place, &lat, &lon); err != nil {
		return usual
	}
	sun, err := daylight.SunOn(lat, lon, date)
	switch {
	case err != nil:
		return usual
	case sun.Up:
		return plan.Span{From: date, To: date.AddDate(0, 0, 1)}
	case sun.Down:
		return plan.Span{From: date.Add(12 * time.Hour), To: date.Add(12*time.Hour + plan.Grain)}
	}
	return plan.Span{From: req.WallOf(sun.Rise), To: req.WallOf(sun.Set)}
}

func laterOf(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

func earlierOf(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

// job is the job of a key.
func (l *laying) job(key string) desk.Job {
	i := slices.IndexFunc(l.jobs, func(j desk.Job) bool { return j.Key == key })
	if i < 0 {
		return desk.Job{Key: key, Title: key}
	}
	return l.jobs[i]
}

// moved is how often a job was not done and moved on.
func (l *laying) moved(key string) int {
	i := slices.IndexFunc(l.tasks, func(t plan.Job) bool { return t.ID == key })
	if i < 0 {
		return 0
	}
	return l.tasks[i].Moved
}

// counted is the last day on which a job moved on.
func (l *laying) counted(key string) time.Time {
	was := l.stood(key)
	if l.moved(key) > was.Moved {
		return reminders.Day(l.req.Wall)
	}
	return was.Counted
}

// stood is where a job stood in the plan before; zero where it did not.
func (l *laying) stood(key string) storage.Laid {
	for _, w := range l.was {
		if w.Key == key {
			return w
		}
	}
	return storage.Laid{}
}

// keep writes down where the jobs are laid now.
func (l *laying) keep() error {
	var out []storage.Laid
	for _, p := range l.plan.Placed {
		j := l.job(p.Job)
		is := storage.Laid{Key: p.Job, Title: j.Title, First: l.req.Instant(p.From), Past: l.req.Instant(p.To), Who: l.ids(p.Who), Moved: l.moved(p.Job), Counted: l.counted(p.Job), Why: l.why(p)}
		if was := l.stood(p.Job); was.First.Equal(is.First) && slices.Equal(was.Who, is.Who) && was.Why != "" {
			is.Why = was.Why // why it came here, not that it stayed
		}
		out = append(out, is)
	}
	for _, left := range l.plan.Left {
		out = append(out, storage.Laid{Key: left.Job, Title: l.job(left.Job).Title, Moved: l.moved(left.Job), Counted: l.counted(left.Job)})
	}
	if err := l.forgetWords(); err != nil {
		return err
	}
	return l.req.Tx.SetLaid(l.req.House.ID, out)
}

func (l *laying) ids(names []string) []int64 {
	var out []int64
	for _, n := range names {
		if p, ok := l.req.Person(n); ok {
			out = append(out, p.ID)
		}
	}
	return out
}

// laidAnew lays the days again after a line that changes them, and says what of the plan
// is otherwise.
func laidAnew(req *desk.Request, reply desk.Reply) (desk.Reply, error) {
	return laidFor(req, reply, "")
}

// laidFor lays the days again after a line about one job.
func laidFor(req *desk.Request, reply desk.Reply, key string) (desk.Reply, error) {
	house, err := req.Tx.Household(req.House.ID)
	if err != nil {
		return reply, err
	}
	req.House = house // as the line has left it
	if req.People, err = req.Tx.People(house.ID); err != nil {
		return reply, err
	}
	is, err := hasDay(req)
	if err != nil {
		return reply, err
	}
	if err := setWatch(req, is); err != nil || !is {
		return reply, err
	}
	l, err := layJobs(req)
	if err != nil {
		return reply, err
	}
	lines := l.changes(key)
	if len(lines) > 0 {
		reply.Lines = append(reply.Lines, lines...)
		reply.Quiet = false
	}
	return reply, l.keep()
}

// relay lays the days again after a line of another desk that changes who is there or how
// a day goes; only for a household whose day is told, or whose only job is open again.
func relay(req *desk.Request, reply desk.Reply) (desk.Reply, error) {
	told, err := req.Tx.Watched(req.House.ID)
	if err == nil && !told {
		told, err = saidDay(req)
	}
	if err != nil || !told {
		return reply, err
	}
	return laidAnew(req, reply)
}

// changes says what of a plan is otherwise than it was: laid, moved, or without room now;
// of the job that the line was about in any case.
func (l *laying) changes(about string) (out []string) {
	for _, p := range l.plan.Placed {
		was := l.stood(p.Job)
		at := l.req.Instant(p.From)
		switch {
		case was.First.Equal(at) && slices.Equal(was.Who, l.ids(p.Who)) && was.PutBack():
			out = append(out, "put back "+l.place(p))
		case was.First.Equal(at) && slices.Equal(was.Who, l.ids(p.Who)):
		case was.First.IsZero():
			out = append(out, "laid "+l.place(p))
		default:
			out = append(out, fmt.Sprintf("moved %s, was %s", l.place(p), l.req.Say(was.First)))
		}
	}
	out = append(out, l.unfit()...)
	for _, left := range l.plan.Left {
		if was := l.stood(left.Job); was.Key == "" || !was.First.IsZero() || left.Job == about {
			out = append(out, l.sayLeft(left))
		}
	}
	return out
}

// unfit tells of jobs whose hour somebody set, and whose people have just been said to be ill
// or away then: they stand, and somebody has to decide.
func (l *laying) unfit() (out []string) {
	home, err := l.req.Home()
	if err != nil {
		return nil
	}
	for _, p := range l.plan.Placed {
		j := l.job(p.Job)
		was := l.stood(p.Job)
		if p.From.Equal(j.Pin) && !was.First.Equal(l.req.Instant(p.From)) {
			out = append(out, l.clashes(p)...)
		}
		for _, id := range l.ids(p.Who) {
			if a, is := home.Absent(id, l.req.Instant(p.From)); is && !j.Pin.IsZero() && a.Since.Equal(l.req.Now) {
				is := map[bool]string{true: "out", false: a.Kind}[a.Kind == storage.Late]
				out = append(out, fmt.Sprintf("%s stays %s, and %s is %s then: move it, or name somebody else", j.Title, l.req.Say(l.req.Instant(p.From)), l.req.NameOf(id), is))
			}
		}
	}
	return out
}

// clashes tells of blocks that hold somebody at the hour that was set for their job.
func (l *laying) clashes(p plan.Placement) (out []string) {
	for _, b := range l.house.Blocks {
		busy := slices.DeleteFunc(slices.Clone(b.Who), func(name string) bool { return !slices.Contains(p.Who, name) })
		if !b.Open && len(busy) > 0 && b.From.Before(p.To) && b.To.After(p.From) {
			out = append(out, fmt.Sprintf("%s at %s then, %s-%s", isAre(busy), b.Name, b.From.Format("15:04"), b.To.Format("15:04")))
		}
	}
	return out
}

// place writes where a job is laid: "fence by the sow: Tue 2 Mar 10:00-12:00, Tom".
func (l *laying) place(p plan.Placement) string {
	j := l.job(p.Job)
	return fmt.Sprintf("%s: %s %s-%s, %s%s", j.Title, reminders.SayDay(p.From, l.req.Wall, l.req.House.DayFirst), p.From.Format("15:04"), p.To.Format("15:04"), desk.List(p.Who), l.notes(p))
}

// helpers are the children about who are old enough to help.
func (l *laying) helpers(p plan.Placement) []string {
	return slices.DeleteFunc(slices.Clone(p.Helpers), func(name string) bool {
		child, ok := l.req.Person(name)
		return !ok || child.AgeAt(l.req.Now) < childwork.Youngest
	})
}

// notes are what is to be minded at a job: if it is dry, who can help.
func (l *laying) notes(p plan.Placement) string {
	text := ""
	for _, r := range p.Why {
		if r.Cause == plan.IfDry {
			text += ", if it is dry"
		}
	}
	if helpers := l.helpers(p); len(helpers) > 0 {
		text += "; can help: " + desk.List(helpers)
	}
	return text
}
