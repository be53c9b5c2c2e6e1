package kitchen

import (
	"fmt"
	"math"
	"math/big"
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

// mealTimes are the hours of meals of which only the name is said.
var mealTimes = []struct {
	word string
	at   time.Duration
}{{"breakfast", 8 * time.Hour}, {"lunch", 12*time.Hour + 30*time.Minute}, {"dinner", 18 * time.Hour}, {"supper", 18 * time.Hour}, {"tea", 17*time.Hour + 30*time.Minute}}

// meal plans a meal: with a time, the bells of its work; with a day alone, a line of the
// week. Several dishes in one line are as many meals.
func meal(req *desk.Request) (desk.Reply, error) {
	if len(req.Reading.Tokens) == 1 { // the bare word asks
		return meals(req)
	}
	dishes, reply, err := dishesSaid(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if reply, ok := oneEach(req, dishes); !ok {
		return reply, nil
	}
	m, reply, err := mealSaid(req, dishes[0].Name)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	var out desk.Reply
	for i, r := range dishes {
		m.Recipe = r.Name
		one, err := planMeal(req, m, r)
		if err != nil || one.Status != storage.OK {
			return one, err
		}
		if i == 0 {
			out = one
			continue
		}
		out.Lines = append(append(out.Lines, one.Head), one.Lines...)
		out.Cautions = addNew(out.Cautions, one.Cautions...)
		out.Buttons = append(out.Buttons, one.Buttons...)
	}
	return out, nil
}

// addNew appends what is not said yet: two dishes may call for one caution.
func addNew(all []string, more ...string) []string {
	for _, m := range more {
		if !slices.Contains(all, m) {
			all = append(all, m)
		}
	}
	return all
}

// oneEach asks for a line a dish where a line says more than one meal can hold: two
// numbers of people, or a dish that is not in the book beside one that is.
func oneEach(req *desk.Request, dishes []storage.Recipe) (desk.Reply, bool) {
	heads := 0
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		if wordBefore(req, s) == "for" {
			heads++
		}
	}
	if len(dishes) > 1 && heads > 1 {
		return desk.AskBack("A line a dish, please: each has its own number. For example: meal tonight 18:00 " + dishes[0].Name + " for 6"), false
	}
	for _, t := range req.Reading.Unknown {
		i := slices.IndexFunc(req.Reading.Tokens, func(o phrase.Token) bool { return o.Start == t.Start })
		if dishes[0].ID > 0 && i > 0 && t.Text == t.Low && slices.Contains([]string{"and", "with", "plus"}, req.Reading.Tokens[i-1].Low) {
			return desk.AskBack(fmt.Sprintf("There is no recipe %s. A line a dish, please.", desk.Quote(t.Text))), false
		}
	}
	return desk.Reply{}, true
}

// mealSaid reads when a meal is, for how many, and how it is cooked.
func mealSaid(req *desk.Request, dish string) (m storage.Meal, reply desk.Reply, err error) {
	serving, ahead := splitAhead(req)
	w := serving.Moment(req.Context(), phrase.Future)
	if !w.HasDate && !w.HasClock {
		return m, desk.AskBack(fmt.Sprintf("When? For example: meal tonight 17:45 %s", dish)), nil
	}
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
		return m, desk.AskBack(fmt.Sprintf("%s For example: meal tonight 17:45 %s", desk.Upper(fmt.Sprint(bad[0].Value)), dish)), nil
	}
	w = evening(req, w)
	m = storage.Meal{Household: req.House.ID, Day: reminders.Day(w.Wall), Way: waySaid(req)}
	if hour := bareHour(req); hour > 0 && !w.HasClock {
		return m, desk.AskBack(fmt.Sprintf("At %d in the morning or the evening? For example: meal %s %d:00 %s", hour, w.Wall.Format("2 Jan"), hour%12+12, dish)), nil
	}
	if w.HasClock && !w.Vague {
		m.At = req.Instant(w.Wall)
	} else if at, ok := mealTime(req); ok && w.HasClock {
		m.At = req.Instant(m.Day.Add(at))
	}
	if !ahead.IsZero() && !m.At.IsZero() {
		m.Ahead = req.Instant(ahead)
	}
	if m.Ahead.After(m.At) {
		return m, desk.AskBack(fmt.Sprintf("Cooked %s, after it is served? For example: meal thursday 18:00 %s, cook it wednesday at 10", req.Say(m.Ahead), dish)), nil
	}
	switch {
	case m.At.IsZero() && w.Vague && strings.HasPrefix(req.Form, "^meal"):
		return m, desk.AskBack(fmt.Sprintf("At what time is it served? For example: meal %s 17:45 %s", w.Wall.Format("2 Jan"), dish)), nil
	case !m.At.IsZero() && !m.At.After(req.Now):
		return m, desk.AskBack(fmt.Sprintf("%s has gone by. When is it served?", req.Say(m.At))), nil
	case m.Day.Before(reminders.Day(req.Wall)):
		return m, desk.AskBack("That day has gone by. For when?"), nil
	}
	reply, err = portionsSaid(req, &m)
	return m, reply, err
}

// evening reads an hour of which nobody said morning or evening as that of a meal:
// supper "at half six" is no breakfast.
func evening(req *desk.Request, w phrase.When) phrase.When {
	if w.Assumed && w.HasClock && !w.Vague && w.Wall.Hour() < 9 && !req.Mentions("breakfast", "morning", "am") {
		w.Wall = w.Wall.Add(12 * time.Hour)
	}
	return w
}

// bareHour is a number that may be an hour: neither people nor portions.
func bareHour(req *desk.Request) int64 {
	away := awaySaid(req)
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		v := s.Value.(*big.Rat)
		counted := wordBefore(req, s) == "for" || wordBefore(req, s) == "plus" || wordBefore(req, s) == "and" || follows(req, s, "people", "portions", "servings", "guests", "adults", "kids", "children", "more", "to", "times", "x")
		if v != away && !counted && v.IsInt() && v.Sign() > 0 && v.Cmp(big.NewRat(12, 1)) <= 0 {
			return v.Num().Int64()
		}
	}
	return 0
}

// portionsSaid reads for how many a meal is: a number, or whoever is at the table.
func portionsSaid(req *desk.Request, m *storage.Meal) (desk.Reply, error) {
	away := awaySaid(req)
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		v := s.Value.(*big.Rat)
		if v == away || wordBefore(req, s) == "not" || wordBefore(req, s) != "for" && !follows(req, s, "people", "portions", "servings") {
			continue
		}
		if v.Sign() <= 0 {
			return desk.Refuse("For how many? A number above 0."), nil
		}
		m.Portions, _ = v.Float64()
	}
	if away != nil && !away.IsInt() {
		return desk.AskBack("How many portions are to give? For example: for 8 and 4 to give"), nil
	}
	if away != nil {
		m.Away, _ = away.Float64()
	}
	if m.Portions > 1000 || m.Away > 1000 {
		return desk.Refuse("At most 1000 portions."), nil
	}
	if m.Portions > 0 || !forAll(req) && guests(req) == 0 {
		return desk.Reply{}, nil
	}
	at := m.At
	if at.IsZero() {
		at = req.Instant(m.Day.Add(18 * time.Hour))
	}
	adults, children := guestsSaid(req)
	t, err := atTable(req, at, adults, children)
	m.Portions = math.Round(10*t.portions) / 10
	return desk.Reply{}, err
}

// planMeal lays a meal's work back from serving and keeps both. A recipe that does not
// say how long its cooking takes is kept without bells of the work, and that is said.
func planMeal(req *desk.Request, m storage.Meal, r storage.Recipe) (desk.Reply, error) {
	if old, is, err := timedBefore(req, m); err != nil || is {
		if err != nil {
			return desk.Reply{}, err
		}
		return saveMoved(req, old)
	}
	if m.At.IsZero() {
		return keepMeal(req, m, nil, r)
	}
	steps, known := mealSteps(req, m, r)
	if !known && r.ID == 0 {
		return desk.AskBack(fmt.Sprintf("How long does %s take? For example: meal %s %s, 2 hours; or in the slow cooker on low 8 hours", m.Recipe, req.WallOf(m.At).Format("2 Jan 15:04"), m.Recipe)), nil
	}
	if !known && !m.Ahead.IsZero() {
		return desk.AskBack(fmt.Sprintf("%s does not say how long it cooks, and I am to ring for it. How long? For example: %s, 1 hour", m.Recipe, strings.TrimRight(strings.TrimPrefix(req.Text, "/"), " .!"))), nil
	}
	if !known {
		return keepMeal(req, m, nil, r)
	}
	slots, err := laidFor(req, m, steps)
	if reply, works := aheadWorks(req, m, slots); err == nil && !works {
		return reply, nil
	}
	if err != nil {
		return desk.Refuse("Those times cannot be laid back from serving. How long does it take?"), nil //nolint:nilerr // said to the person
	}
	return keepMeal(req, m, slots, r)
}

func mealTime(req *desk.Request) (time.Duration, bool) {
	for _, t := range mealTimes {
		if req.Mentions(t.word) {
			return t.at, true
		}
	}
	return 0, false
}

// dishSaid is what is cooked: a recipe of the book, or plain words.
func dishSaid(req *desk.Request) (name string, r storage.Recipe, reply desk.Reply, err error) {
	all, err := req.Tx.Recipes(req.House.ID)
	if err != nil {
		return "", r, reply, err
	}
	r, reply, ok := pick(req, all)
	if ok {
		return r.Name, r, desk.Reply{}, nil
	}
	if reply.Head != "" {
		return "", r, reply, nil
	}
	var words []string
	for _, t := range req.Reading.Unknown {
		if t.Kind == phrase.Word {
			words = append(words, t.Text)
		}
	}
	if req.Mentions("roast") {
		words = append([]string{"roast"}, words...)
	}
	if len(words) == 0 || len(words) > 6 {
		return "", r, desk.AskBack("Which dish? For example: meal tonight 17:45 barley soup for 8 and 6 to give"), nil
	}
	return strings.Join(words, " "), storage.Recipe{}, desk.Reply{}, nil
}

// dishesSaid are the recipes that a line names, each by words of its own; or the one
// dish that it is about.
func dishesSaid(req *desk.Request) ([]storage.Recipe, desk.Reply, error) {
	all, err := req.Tx.Recipes(req.House.ID)
	if err != nil {
		return nil, desk.Reply{}, err
	}
	if found := named(req, all); len(found) > 1 {
		return found, desk.Reply{}, nil
	}
	name, r, reply, err := dishSaid(req)
	if r.Name == "" {
		r.Name = name
	}
	if err == nil && reply.Head == "" && r.ID == 0 && strings.HasPrefix(req.Form, "^put") {
		return nil, unknown(all, name), nil
	}
	return []storage.Recipe{r}, reply, err
}

// named are the several recipes that a line names, each by words that are no other's.
func named(req *desk.Request, all []storage.Recipe) (found []storage.Recipe) {
	for _, s := range req.Reading.Terms("recipes") {
		t := s.Value.(phrase.Term)
		i := slices.IndexFunc(all, func(r storage.Recipe) bool { return r.Name == t.Name })
		if i < 0 || len(t.Others) > 0 {
			return nil
		}
		if !slices.ContainsFunc(found, func(r storage.Recipe) bool { return r.Name == t.Name }) {
			found = append(found, all[i])
		}
	}
	return found
}

// waySaid is how a line says that the dish is cooked, as it is kept.
func waySaid(req *desk.Request) string {
	var w way
	for _, s := range req.Reading.Of(phrase.KindDuration) {
		d := s.Value.(time.Duration)
		if d < time.Minute || d > 24*time.Hour {
			continue
		}
		switch {
		case wordBefore(req, s) == "rest" || wordBefore(req, s) == "resting" || follows(req, s, "rest", "resting", "of"):
			w.rest = d
		case wordBefore(req, s) == "loading" || wordBefore(req, s) == "load" || follows(req, s, "to", "loading", "load"):
			w.load = d
		case w.cook == 0:
			w.cook = d
		}
	}
	slow := req.Mentions("slow", "cooker")
	switch {
	case w.cook == 0:
		return ""
	case req.Mentions("high") && (slow || req.Mentions("load", "loading", "on")):
		w.kind = wayHigh
	case slow || req.Mentions("low"):
		w.kind = wayLow
	default:
		w.kind = wayPot
	}
	return w.String()
}

func mealSteps(req *desk.Request, m storage.Meal, r storage.Recipe) ([]dayplan.Step, bool) {
	if w, ok := parseWay(m.Way); ok {
		return w.steps(), true
	}
	return stepsOf(r, req.Context())
}

func mealSubject(m storage.Meal) string { return fmt.Sprintf("meal:%d", m.Num) }

// keepMeal writes a meal down with its bells. The same dish on the same day is the same
// meal: what was planned of it gives way.
func keepMeal(req *desk.Request, m storage.Meal, slots []dayplan.Slot, r storage.Recipe) (desk.Reply, error) {
	if err := giveWay(req, m); err != nil {
		return desk.Reply{}, err
	}
	num, err := req.Tx.NextMeal(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	m.Num = num
	text := m.Recipe + forWhom(m)
	if err := req.Record(storage.Entry{Kind: "meal", About: mealSubject(m), Text: fmt.Sprintf("planned %s, %s", text, mealDay(req, m))}); err != nil {
		return desk.Reply{}, err
	}
	if m, err = req.Tx.AddMeal(m); err != nil {
		return desk.Reply{}, err
	}
	return announce(req, m, slots, r)
}

// giveWay takes an earlier plan of the same dish on the same day off, with its bells:
// one without a time, or of the same time. Two hours are two meals.
func giveWay(req *desk.Request, m storage.Meal) error {
	all, err := req.Tx.Meals(req.House.ID, m.Day, m.Day)
	if err != nil {
		return err
	}
	for _, o := range all {
		if !strings.EqualFold(o.Recipe, m.Recipe) || !o.At.IsZero() && !o.At.Equal(m.At) {
			continue
		}
		o.Over = true
		if err := req.Tx.SaveMeal(o); err != nil {
			return err
		}
		if err := stopBells(req, o); err != nil {
			return err
		}
	}
	return nil
}

// timedBefore is a meal of the same dish on the same day that has a time, where the line
// gives none: it is that meal that the line is about.
func timedBefore(req *desk.Request, m storage.Meal) (storage.Meal, bool, error) {
	if !m.At.IsZero() {
		return m, false, nil
	}
	all, err := req.Tx.Meals(req.House.ID, m.Day, m.Day)
	if err != nil {
		return m, false, err
	}
	for _, o := range all {
		if strings.EqualFold(o.Recipe, m.Recipe) && o.At.After(req.Now) {
			if m.Portions > 0 {
				o.Portions, o.Away = m.Portions, m.Away
			}
			return o, true, nil
		}
	}
	return m, false, nil
}

// mealDay says when a meal is: with its time where it has one.
func mealDay(req *desk.Request, m storage.Meal) string {
	if m.At.IsZero() {
		return reminders.SayDay(m.Day, req.Wall, req.House.DayFirst)
	}
	return req.Say(m.At)
}

// announce sets the bells of a meal's work and says what comes when, with what to look
// out for.
func announce(req *desk.Request, m storage.Meal, slots []dayplan.Slot, r storage.Recipe) (out desk.Reply, err error) {
	text := m.Recipe + forWhom(m)
	out = desk.Answer(fmt.Sprintf("%s, %s.", text, mealDay(req, m)))
	switch {
	case len(slots) > 0:
		if out, err = timetable(req, m, slots, text); err != nil {
			return desk.Reply{}, err
		}
	case !m.At.IsZero():
		out.Lines = append(out.Lines, fmt.Sprintf("Its recipe does not say how long the cooking takes, so I ring for no work. Say it: meal %s %s, 2 hours", req.WallOf(m.At).Format("2 Jan 15:04"), m.Recipe))
		if err := keptBell(req, m, req.WallOf(m.At)); err != nil {
			return desk.Reply{}, err
		}
	}
	if _, told := parseWay(m.Way); !told && len(slots) > 0 {
		if none := untimed(r, req.Context()); len(none) > 0 {
			out.Lines = append(out.Lines, fmt.Sprintf("No time is given for, so not counted: %s.", strings.Join(none, "; ")))
		}
	}
	if m.Portions > 0 && m.Away > 0 {
		out.Lines = append(out.Lines, fmt.Sprintf("%s portions in all, %s of them to give%s.", number(m.Portions+m.Away), number(m.Away), toWhom(req)))
	}
	hints, err := hintsOf(req, m.Recipe)
	if err != nil {
		return desk.Reply{}, err
	}
	out.Lines = append(out.Lines, hints...)
	warn, err := allergyWarnings(req, r.Body+" "+m.Recipe)
	if err != nil {
		return desk.Reply{}, err
	}
	out.Cautions = append(out.Cautions, warn...)
	for _, rule := range safety.Rules(m.Recipe + " " + r.Body + " " + cookerWords(m)) {
		if !everyPot[rule.Name] {
			out.Cautions = append(out.Cautions, rule.Text)
		}
	}
	if r.ID > 0 && (m.Portions > 0 || m.Away > 0) {
		out.Buttons = append(out.Buttons, desk.Labelled("Weigh out", "scale "+m.Recipe+forWhom(m)))
	}
	return out, nil
}

// everyPot are the rules that hold for each pot alike. They are told where they are asked
// for, not at each meal: what is printed every day is read on none.
var everyPot = map[string]bool{"not on warm": true, "not started": true, "power lost": true, "not cooled in the crock": true, "cooling depth": true, "soups to a boil": true, "low-acid canning": true}

// cookerWords is how a meal is cooked, as the rules have it.
func cookerWords(m storage.Meal) string {
	if w, ok := parseWay(m.Way); ok && w.kind != wayPot {
		return "slow cooker"
	}
	return ""
}

// toWhom names who gets what is given: "6 to give to Ruth".
func toWhom(req *desk.Request) string {
	toks := req.Reading.Tokens
	for i := 1; i+1 < len(toks); i++ {
		if toks[i].Low == "to" && toks[i-1].Low == "give" && toks[i+1].Kind == phrase.Word && toks[i+1].Text != toks[i+1].Low {
			return " to " + toks[i+1].Text
		}
	}
	return ""
}

func forWhom(m storage.Meal) string {
	text := ""
	if m.Portions > 0 {
		text = " for " + number(m.Portions)
	}
	if m.Away > 0 {
		text += fmt.Sprintf(" and %s to give", number(m.Away))
	}
	return text
}

func number(f float64) string { return strings.TrimSuffix(fmt.Sprintf("%.1f", f), ".0") }
