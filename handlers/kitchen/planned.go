package kitchen

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/dayplan"
	"yardbell/calc/safety"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// meals lists what is cooked, today or in the week.
func meals(req *desk.Request) (desk.Reply, error) {
	from := reminders.Day(req.Wall)
	to := from
	if req.Mentions("week", "meals", "menu") {
		to = from.AddDate(0, 0, 6)
	}
	if w := req.Reading.Moment(req.Context(), phrase.Future); w.HasDate {
		from, to = reminders.Day(w.Wall), reminders.Day(w.Wall)
	}
	all, err := req.Tx.Meals(req.House.ID, from, to)
	if err != nil {
		return desk.Reply{}, err
	}
	if next, err := nextPlanned(req, from, to); err != nil || len(all) == 0 && next.Head != "" {
		return next, err
	}
	if len(all) == 0 && !req.Direct && !req.Mentions("week", "meals", "menu") {
		return desk.Reply{}, desk.ErrSilent
	}
	if len(all) == 0 {
		return desk.Answer("Nothing is planned.", "Plan a meal: meal tonight 17:45 barley soup for 8; or for a day: thursday barley soup"), nil
	}
	out := desk.Answer("Planned:")
	for _, m := range all {
		out.Lines = append(out.Lines, mealLine(req, m))
	}
	return out, nil
}

func mealLine(req *desk.Request, m storage.Meal) string {
	day := reminders.SayDay(m.Day, req.Wall, req.House.DayFirst)
	if !m.At.IsZero() {
		day += " " + req.WallOf(m.At).Format("15:04")
	}
	return fmt.Sprintf("%s %s%s", day, m.Recipe, forWhom(m))
}

// nextPlanned names the first meal of the days behind a day without one.
func nextPlanned(req *desk.Request, from, to time.Time) (desk.Reply, error) {
	if !from.Equal(to) {
		return desk.Reply{}, nil
	}
	all, err := req.Tx.Meals(req.House.ID, from, to.AddDate(0, 0, weekAhead))
	if err != nil || len(all) == 0 || !all[0].Day.After(to) {
		return desk.Reply{}, err
	}
	return desk.Answer(fmt.Sprintf("Nothing is planned for %s. The next: %s.", reminders.SayDay(from, req.Wall, req.House.DayFirst), mealLine(req, all[0]))), nil
}

// mealWork says of today's meals when each is served and what of the work is to come.
func mealWork(req *desk.Request) (desk.Reply, error) {
	day := reminders.Day(req.Wall)
	last := day.AddDate(0, 0, 1)
	if w := req.Reading.Moment(req.Context(), phrase.Future); w.HasDate {
		day, last = reminders.Day(w.Wall), reminders.Day(w.Wall)
	}
	all, err := req.Tx.Meals(req.House.ID, day, last)
	if err != nil {
		return desk.Reply{}, err
	}
	if named := slices.DeleteFunc(slices.Clone(all), func(m storage.Meal) bool { return !dishWord(req, m) }); len(named) > 0 {
		all = named
	}
	var out desk.Reply
	for _, m := range all {
		slots, _, err := slotsOf(req, m)
		if err != nil {
			return desk.Reply{}, err
		}
		if out.Head == "" {
			out = desk.Answer(mealLine(req, m) + ".")
		} else {
			out.Lines = append(out.Lines, mealLine(req, m)+".")
		}
		for _, s := range slots {
			out.Lines = append(out.Lines, slotLine(req.Wall, s, req.House.DayFirst))
		}
	}
	if out.Head == "" {
		return desk.Answer(fmt.Sprintf("Nothing is planned for %s.", reminders.SayDay(day, req.Wall, req.House.DayFirst))), nil
	}
	return out, nil
}

// slotsOf is a planned meal's work, with the recipe that it follows; none without a time.
func slotsOf(req *desk.Request, m storage.Meal) ([]dayplan.Slot, storage.Recipe, error) {
	recipes, err := req.Tx.Recipes(req.House.ID)
	if err != nil {
		return nil, storage.Recipe{}, err
	}
	r := storage.Recipe{}
	if i := slices.IndexFunc(recipes, func(r storage.Recipe) bool { return strings.EqualFold(r.Name, m.Recipe) }); i >= 0 {
		r = recipes[i]
	}
	steps, ok := mealSteps(req, m, r)
	if !ok || m.At.IsZero() {
		return nil, r, nil
	}
	slots, err := laidFor(req, m, steps)
	if err != nil {
		return nil, r, fmt.Errorf("timetable of %s: %w", m.Recipe, err)
	}
	return slots, r, nil
}

// moveMeal changes when a planned meal is, or for how many.
func moveMeal(req *desk.Request) (desk.Reply, error) {
	all, reply, err := mealsNamed(req, false)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if len(all) > 1 && !oneTable(req, all) {
		return whichMeal(req, all), nil
	}
	out := desk.Reply{}
	for i, m := range all {
		one, err := moveOne(req, m)
		if err != nil || one.Status != storage.OK {
			return one, err
		}
		if i == 0 {
			out = one
			continue
		}
		out.Lines = append(append(out.Lines, one.Head), one.Lines...)
		out.Cautions = addNew(out.Cautions, one.Cautions...)
	}
	return out, nil
}

// oneTable reports that meals are the dishes of one table, and that the line names none
// of them: "move supper to 18:30" moves them all.
func oneTable(req *desk.Request, all []storage.Meal) bool {
	return !slices.ContainsFunc(all, func(m storage.Meal) bool {
		return m.At.IsZero() || !m.At.Equal(all[0].At) || dishWord(req, m)
	})
}

func moveOne(req *desk.Request, m storage.Meal) (desk.Reply, error) {
	on, err := underWay(req, m)
	if err != nil {
		return desk.Reply{}, err
	}
	reply, err := portionsSaid(req, &m)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	w := lastMoment(req)
	switch later := laterSaid(req); {
	case later != 0 && m.At.IsZero():
		return desk.AskBack(fmt.Sprintf("No time is set for %s. When is it? For example: move the %s to 18:30", m.Recipe, m.Recipe)), nil
	case later != 0:
		m.At = m.At.Add(later)
	case w.HasClock && !w.Vague && !w.HasDate:
		m.At = req.Instant(time.Date(m.Day.Year(), m.Day.Month(), m.Day.Day(), w.Wall.Hour(), w.Wall.Minute(), 0, 0, time.UTC))
	case w.HasClock && !w.Vague:
		m.Day, m.At = reminders.Day(w.Wall), req.Instant(w.Wall)
	case w.HasDate && strings.HasPrefix(req.Form, "^move"):
		m = onDay(req, m, reminders.Day(w.Wall))
	case !strings.Contains(req.Form, "for"):
		return desk.AskBack(fmt.Sprintf("To when? For example: move the %s to 18:30", m.Recipe)), nil
	}
	if !m.At.IsZero() && !m.At.After(req.Now) || m.Day.Before(reminders.Day(req.Wall)) {
		return desk.AskBack(fmt.Sprintf("%s has gone by. When is it served?", mealDay(req, m))), nil
	}
	if on {
		return saveOn(req, m)
	}
	return saveMoved(req, m)
}

// underWay reports that a meal's longest cooking has begun, by what was told or by its
// plan.
func underWay(req *desk.Request, m storage.Meal) (bool, error) {
	slots, _, err := slotsOf(req, m)
	if err != nil || len(slots) == 0 {
		return false, err
	}
	return !m.Began.IsZero() || !slots[longest(slots)].Start.After(req.Wall), nil
}

// saveOn keeps a change of a meal that is cooking: its work stands as it is, only when
// it is served moves.
func saveOn(req *desk.Request, m storage.Meal) (desk.Reply, error) {
	if err := req.Record(storage.Entry{Kind: "meal", About: mealSubject(m), Text: fmt.Sprintf("now %s%s, %s", m.Recipe, forWhom(m), mealDay(req, m))}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SaveMeal(m); err != nil {
		return desk.Reply{}, err
	}
	bells, err := req.Tx.SubjectBells(req.House.ID, mealSubject(m))
	if err != nil {
		return desk.Reply{}, err
	}
	for _, b := range bells {
		if b.Stopped || b.Step != "kept" && b.Step != dayplan.Serve.String() {
			continue
		}
		if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
			return desk.Reply{}, err
		}
	}
	out := desk.Answer(fmt.Sprintf("%s%s, served %s. It is on already.", m.Recipe, forWhom(m), req.Say(m.At)))
	if !m.Began.IsZero() {
		slots, _, err := slotsOf(req, m)
		if err != nil {
			return desk.Reply{}, err
		}
		_, ready, _, err := forward(req, req.WallOf(m.Began), longest(slots), slots)
		if err == nil && ready.After(req.WallOf(m.At)) {
			out.Lines = append(out.Lines, fmt.Sprintf("On since %s it is ready %s only.", req.WallOf(m.Began).Format("15:04"), reminders.SayTime(ready, req.Wall, req.House.DayFirst)))
			m.At = req.Instant(ready)
		}
	}
	if err := serveBell(req, m); err != nil {
		return desk.Reply{}, err
	}
	return out, keptBell(req, m, req.WallOf(m.At))
}

// onDay is a meal on another day, at the time that it had.
func onDay(req *desk.Request, m storage.Meal, day time.Time) storage.Meal {
	at := func(t time.Time) time.Time {
		if t.IsZero() {
			return t
		}
		w := req.WallOf(t)
		return req.Instant(time.Date(day.Year(), day.Month(), day.Day(), w.Hour(), w.Minute(), 0, 0, time.UTC))
	}
	m.At, m.Ahead, m.Day = at(m.At), at(m.Ahead), day
	return m
}

// lastMoment is the time or day behind "to" in a line that moves a meal: what stands
// before it names the meal.
func lastMoment(req *desk.Request) phrase.When {
	from := 0
	for i, t := range req.Reading.Tokens {
		if t.Low == "to" {
			from = i
		}
	}
	r := req.Reading
	r.Spans = slices.DeleteFunc(slices.Clone(r.Spans), func(s phrase.Span) bool { return s.First < from })
	return r.Moment(req.Context(), phrase.Future)
}

// laterSaid is by how much later a meal is; earlier is negative.
func laterSaid(req *desk.Request) time.Duration {
	if !req.Mentions("later", "earlier") {
		return 0
	}
	for _, s := range req.Reading.Spans {
		if d, ok := s.Value.(time.Duration); ok {
			if req.Mentions("earlier") {
				return -d.Abs()
			}
			return d.Abs()
		}
	}
	return 0
}

// saveMoved keeps a changed meal, with its bells laid anew.
func saveMoved(req *desk.Request, m storage.Meal) (desk.Reply, error) {
	if err := recordMeal(req, m); err != nil {
		return desk.Reply{}, err
	}
	return relay(req, m)
}

func recordMeal(req *desk.Request, m storage.Meal) error {
	return req.Record(storage.Entry{Kind: "meal", About: mealSubject(m), Text: fmt.Sprintf("now %s%s, %s", m.Recipe, forWhom(m), mealDay(req, m))})
}

// relay saves a changed meal and lays its bells anew.
func relay(req *desk.Request, m storage.Meal) (desk.Reply, error) {
	if err := req.Tx.SaveMeal(m); err != nil {
		return desk.Reply{}, err
	}
	if err := stopBells(req, m); err != nil {
		return desk.Reply{}, err
	}
	slots, r, err := slotsOf(req, m)
	if err != nil {
		return desk.Reply{}, err
	}
	return announce(req, m, slots, r)
}

// swapMeals changes the meals of two days.
func swapMeals(req *desk.Request) (desk.Reply, error) {
	dates := req.Reading.Of(phrase.KindDate)
	if len(dates) != 2 {
		return desk.AskBack("Which two days? For example: swap tuesday and thursday's meals"), nil
	}
	a, b := reminders.Day(dates[0].Value.(phrase.Date).Next), reminders.Day(dates[1].Value.(phrase.Date).Next)
	first, err := req.Tx.Meals(req.House.ID, a, a)
	if err != nil {
		return desk.Reply{}, err
	}
	second, err := req.Tx.Meals(req.House.ID, b, b)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(first)+len(second) == 0 {
		return desk.AskBack("Neither day has a meal. What is planned: meals this week"), nil
	}
	for i := range first {
		first[i] = onDay(req, first[i], b)
	}
	for i := range second {
		second[i] = onDay(req, second[i], a)
	}
	out := desk.Answer("Changed about:")
	for _, m := range append(first, second...) {
		if !m.At.IsZero() && !m.At.After(req.Now) {
			return desk.AskBack(fmt.Sprintf("%s would be %s: that has gone by.", m.Recipe, req.Say(m.At))), nil
		}
	}
	if err := req.Record(storage.Entry{Kind: "meal", About: "meals", Text: fmt.Sprintf("the meals of %s and %s changed about", reminders.SayDay(a, req.Wall, req.House.DayFirst), reminders.SayDay(b, req.Wall, req.House.DayFirst))}); err != nil {
		return desk.Reply{}, err
	}
	for _, m := range append(first, second...) {
		one, err := relay(req, m)
		if err != nil {
			return desk.Reply{}, err
		}
		out.Lines = append(out.Lines, one.Head)
		out.Cautions = addNew(out.Cautions, one.Cautions...)
	}
	return out, nil
}

// mealNamed is the meal that a line is about: of the recipe, or of the day and time, or
// the only one of the coming days.
func mealNamed(req *desk.Request, timed bool) (storage.Meal, desk.Reply, error) {
	all, reply, err := mealsNamed(req, timed)
	if err != nil || reply.Head != "" {
		return storage.Meal{}, reply, err
	}
	if len(all) > 1 {
		return storage.Meal{}, whichMeal(req, all), nil
	}
	return all[0], desk.Reply{}, nil
}

func whichMeal(req *desk.Request, all []storage.Meal) desk.Reply {
	out := desk.AskBack("Which meal?")
	for _, m := range all {
		out.Lines = append(out.Lines, fmt.Sprintf("%s %s", reminders.SayDay(m.Day, req.Wall, req.House.DayFirst), m.Recipe))
	}
	return out
}

// mealsNamed are the meals that a line may be about, one at least.
func mealsNamed(req *desk.Request, timed bool) ([]storage.Meal, desk.Reply, error) {
	from := reminders.Day(req.Wall)
	all, err := req.Tx.Meals(req.House.ID, from, from.AddDate(0, 0, 14))
	if err != nil {
		return nil, desk.Reply{}, err
	}
	if w := firstMoment(req); w.HasDate && !timed {
		all = slices.DeleteFunc(all, func(m storage.Meal) bool { return !m.Day.Equal(reminders.Day(w.Wall)) })
	}
	if timed {
		all = slices.DeleteFunc(all, func(m storage.Meal) bool { return m.At.IsZero() || !m.Day.Equal(from) })
	}
	most := 0
	for _, m := range all {
		most = max(most, dishWords(req, m))
	}
	if most == 0 && len(all) > 0 && otherDish(req) {
		return nil, desk.AskBack("That dish is not planned then. What is: meals this week"), nil
	}
	for _, fits := range []func(storage.Meal) bool{
		func(m storage.Meal) bool { return dishWords(req, m) == most },
		func(m storage.Meal) bool { return most > 0 && most == len(phrase.Words(m.Recipe)) },
		func(m storage.Meal) bool { return ofTheDay(req, m) },
		func(m storage.Meal) bool { return m.At.IsZero() || m.At.After(req.Now) },
	} {
		if named := slices.DeleteFunc(slices.Clone(all), func(m storage.Meal) bool { return !fits(m) }); len(named) > 0 {
			all = named
		}
	}
	if len(all) == 0 {
		return nil, desk.AskBack("No such meal is planned. What is: meals this week"), nil
	}
	return all, desk.Reply{}, nil
}

// otherDish reports that a line names a recipe, as it is written.
func otherDish(req *desk.Request) bool {
	return slices.ContainsFunc(req.Reading.Terms("recipes"), func(s phrase.Span) bool { return !s.Near })
}

// ofTheDay reports that a line's word for a meal fits the hour at which one is served.
func ofTheDay(req *desk.Request, m storage.Meal) bool {
	if m.At.IsZero() {
		return false
	}
	hour := req.WallOf(m.At).Hour()
	switch {
	case req.Mentions("breakfast"):
		return hour < 11
	case req.Mentions("lunch"):
		return hour >= 11 && hour < 15
	case req.Mentions("supper", "dinner", "tea"):
		return hour >= 15
	}
	return true
}

// firstMoment is the day that names a meal: of a line that moves it, what stands before
// "to".
func firstMoment(req *desk.Request) phrase.When {
	r := req.Reading
	if strings.HasPrefix(req.Form, "^move") {
		to := slices.IndexFunc(r.Tokens, func(t phrase.Token) bool { return t.Low == "to" })
		r.Spans = slices.DeleteFunc(slices.Clone(r.Spans), func(s phrase.Span) bool { return s.First >= to })
	}
	return r.Moment(req.Context(), phrase.Future)
}

// startedLate lays the rest of a meal's work from when the cooking really began.
func startedLate(req *desk.Request) (desk.Reply, error) {
	m, reply, err := mealNamed(req, true)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	began := req.Wall
	if w := req.Reading.Moment(req.Context(), phrase.Past); w.HasClock && !w.Vague {
		began = w.Wall
	} else if at, ok := struck(req, "at"); ok {
		began = at
	} else if !req.Mentions("now", "just") {
		return desk.AskBack(fmt.Sprintf("When did it go on? For example: the %s went on at %s", strings.ToLower(m.Recipe), req.Wall.Format("15:04"))), nil
	}
	if began.After(req.Wall) || began.Before(reminders.Day(req.Wall)) {
		return desk.AskBack(fmt.Sprintf("%s has not come yet today. When did it go on?", began.Format("15:04"))), nil
	}
	slots, _, err := slotsOf(req, m)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(slots) == 0 {
		return desk.AskBack("I do not know how long it takes."), nil
	}
	left, ready, high, err := forward(req, began, longest(slots), slots)
	if err != nil {
		return desk.Reply{}, fmt.Errorf("timetable of %s: %w", m.Recipe, err)
	}
	if err := req.Record(storage.Entry{Kind: "meal", About: mealSubject(m), Text: fmt.Sprintf("%s went on at %s", m.Recipe, began.Format("15:04"))}); err != nil {
		return desk.Reply{}, err
	}
	if err := stopBells(req, m); err != nil {
		return desk.Reply{}, err
	}
	m.Began = req.Instant(began)
	if err := req.Tx.SaveMeal(m); err != nil {
		return desk.Reply{}, err
	}
	served, on := req.WallOf(m.At), slots[longest(slots)].Step
	moved := m
	if ready.After(served) {
		moved.At = req.Instant(ready)
		if err := req.Tx.SaveMeal(moved); err != nil {
			return desk.Reply{}, err
		}
	}
	if err := serveBell(req, moved); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(fmt.Sprintf("%s on since %s: in time for %s.", desk.Upper(m.Recipe), began.Format("15:04"), served.Format("15:04")))
	if early := req.After(began, on.Likely); req.Instant(served).Sub(req.Instant(early)) >= 20*time.Minute && longest(slots) == len(slots)-1 {
		out.Lines = append(out.Lines, fmt.Sprintf("Ready %s already: keep it at %s or more until it is served.", reminders.SayTime(early, req.Wall, req.House.DayFirst), sayTemp(req, safety.HoldHot().C)))
		if req.Instant(served).Sub(req.Instant(early)) >= holdCheck {
			if _, err := holdBell(req, m.Recipe, req.Instant(early), m.At); err != nil {
				return desk.Reply{}, err
			}
		}
	}
	if ready.After(served) {
		out = desk.Answer(fmt.Sprintf("%s on since %s is ready %s, %s late.", desk.Upper(m.Recipe), began.Format("15:04"), reminders.SayTime(ready, req.Wall, req.House.DayFirst), reminders.SayDuration(req.Instant(ready).Sub(req.Instant(served)))))
		if high {
			out.Lines = append(out.Lines, fmt.Sprintf("On high from now it is ready in time, %s: two hours on low are one on high.", served.Format("15:04")))
		}
		served = ready
	}
	for _, s := range left {
		if !s.Start.After(req.Wall) || s.Step == on {
			continue
		}
		out.Lines = append(out.Lines, slotLine(req.Wall, s, req.House.DayFirst))
		if err := mealBell(req, m, s); err != nil {
			return desk.Reply{}, err
		}
	}
	return out, keptBell(req, m, served)
}

func stopBells(req *desk.Request, m storage.Meal) error { return stopSubject(req, mealSubject(m)) }

// callOff takes a meal off the plan, with its bells.
func callOff(req *desk.Request) (desk.Reply, error) {
	if req.Who.Child(req.Now) {
		return desk.Refuse("A grown-up calls a meal off."), nil
	}
	m, reply, err := mealNamed(req, false)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	text := fmt.Sprintf("called off %s, %s", m.Recipe, reminders.SayDay(m.Day, req.Wall, req.House.DayFirst))
	if err := req.Record(storage.Entry{Kind: "meal", About: mealSubject(m), Text: text}); err != nil {
		return desk.Reply{}, err
	}
	m.Over = true
	if err := req.Tx.SaveMeal(m); err != nil {
		return desk.Reply{}, err
	}
	return desk.Answer(desk.Upper(text) + "."), stopBells(req, m)
}
