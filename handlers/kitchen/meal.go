package kitchen

import (
	"fmt"
	"math"
	"math/big"
	"regexp"
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

func mealAsks() []desk.Ask {
	when := []phrase.Kind{phrase.KindDate, phrase.KindClock, phrase.KindPart, phrase.KindAfter, phrase.KindDuration, phrase.KindNumber, phrase.KindQuantity, phrase.KindBad}
	fill := []string{
		"meal", "tonight", "tonight's", "tonights", "today", "tomorrow", "for", "and", "to", "give", "away", "at", "supper", "dinner", "tea", "lunch", "breakfast", "in", "the", "slow", "cooker", "on", "low", "high", "serve", "served", "serving", "people", "portions", "put", "plan", "cook", "make", "with", "guests", "guest", "everyone", "everybody", "us", "all", "share", "rest", "loading", "load", "oven", "bake", "roast",
	}
	days := "monday|mon|tuesday|tue|tues|wednesday|wed|thursday|thu|thur|thurs|friday|fri|saturday|sat|sunday|sun"
	setup := []string{oatcakes, soupText}
	planned := append(slices.Clone(setup), "meal tomorrow 17:45 barley soup")
	named := func(req *desk.Request) bool {
		return anyMeal(req) && mealWords(req) && len(req.Reading.Unknown) <= 5 && !slices.Contains(asks, req.Reading.Tokens[0].Low) && !req.Mentions("if", "said", "says", "was", "shall", "he", "she", "gran's")
	}
	return []desk.Ask{
		{
			Name: "meal", Command: "meal", Question: true, Help: "what is cooked today and this week", Kinds: []phrase.Kind{phrase.KindDate, phrase.KindPart},
			Forms: []string{"^meal$", "^meals$", "^meals * week", "what's|whats|what * for tea|supper|dinner|lunch|breakfast", "what * we|i cooking|eating|having", "^menu$", "^the menu$"}, Fill: []string{"meals", "this", "week", "what", "is", "for", "tea", "supper", "dinner", "lunch", "breakfast", "are", "we", "cooking", "eating", "tonight", "today", "next", "having"},
			Examples: []desk.Example{{Line: "meals this week"}, {Setup: planned, Line: "what's for tea"}}, Plain: func(req *desk.Request) bool { return len(req.Reading.Unknown) == 0 }, Do: meals,
		},
		{
			Name: "meal", Command: "meal", Text: true, Keep: true, Kinds: when, Lists: []string{"recipes"}, Fill: fill, Help: "a meal at a time: a timetable of bells back from serving, and what has to be kept cold or hot",
			Forms:    []string{"^meal", "for supper|dinner|tea|lunch|breakfast", "^supper|dinner|tea|lunch|breakfast", "tonight|today|tomorrow at|for|on|in", "^" + days, "^put|plan * on|for", "on", "for", "^roast"},
			Examples: []desk.Example{{Setup: setup, Line: "meal tonight 17:45 barley soup for 8 and 6 to give"}, {Line: "meal stew for supper at 18:00 in the slow cooker on low 8 hours"}, {Setup: setup, Line: "thursday barley soup for 7"}},
			Plain:    plainMeal, Do: meal,
		},
		{
			Name: "meal", Command: "meal", Question: true, Text: true, Lists: []string{"recipes"}, Kinds: when, Help: "when a meal is served and what of its work comes when", Forms: []string{"when is|are supper|dinner|tea|lunch|breakfast", "when does|do|must|should * go|begin|start|on|in", "what do|must|should|have * prepare|soak|thaw|start|cook * today|tonight|morning|now", "what time is supper|dinner|tea|lunch|breakfast"},
			Examples: []desk.Example{{Setup: append(slices.Clone(setup), "meal today 20:00 barley soup"), Line: "when is supper"}}, Plain: func(req *desk.Request) bool {
				return anyMeal(req) && (mealWords(req) || req.Mentions("prepare", "soak", "thaw", "cook"))
			}, Do: mealWork,
		},
		{
			Name: "meal", Command: "meal", Text: true, Lists: []string{"recipes"}, Kinds: when, Help: "the cooking began late: when it will be ready now, and whether high saves it",
			Forms: []string{"only went on at", "went on at", "went on now|just", "just went on", "started|start late", "went in at|late", "is late|behind"}, Examples: []desk.Example{{Setup: []string{"meal today 20:00 stew in the slow cooker on low 6 hours"}, Line: "the stew only went on now"}},
			Plain: func(req *desk.Request) bool {
				return !strings.Contains(req.Text, "?") && todaysMeal(req) && (mealWords(req) || req.Mentions("we", "it")) && !req.Mentions("meeting")
			}, Do: startedLate,
		},
		{
			Name: "meal", Command: "meal", Text: true, Lists: []string{"recipes"}, Kinds: when, Help: "a planned meal to another time or day, or for another number",
			Forms:    []string{"^move * to", "^move * later|earlier", "supper|dinner|tea|lunch|breakfast|meal * later|earlier", "is|are|now for * not", "is now for", "is|are later|earlier"},
			Examples: []desk.Example{{Setup: planned, Line: "move tomorrow's soup to 18:30"}, {Setup: planned, Line: "tomorrow's soup is for 10 not 8"}},
			Plain:    func(req *desk.Request) bool { return !strings.Contains(req.Text, "?") && named(req) }, Do: moveMeal,
		},
		{
			Name: "meal", Command: "meal", Text: true, Kinds: []phrase.Kind{phrase.KindDate}, Help: "two days change their meals", Forms: []string{"^swap|change * and * meals|meal|suppers|dinners|teas", "^swap"},
			Examples: []desk.Example{{Setup: planned, Line: "swap tomorrow's and sunday's meals"}}, Plain: func(req *desk.Request) bool {
				return anyMeal(req) && len(req.Reading.Of(phrase.KindDate)) == 2
			}, Do: swapMeals,
		},
		{
			Name: "meal", Command: "meal", Text: true, Lists: []string{"recipes"}, Kinds: when, Help: "call a meal off", Forms: []string{"^cancel * meal|supper|dinner|tea|lunch|breakfast", "^cancel", "^no supper|dinner|tea|lunch tonight|today", "^call off", "^take * off " + days + "|today|tonight", "^no * tonight|today|" + days, "^scrap * on " + days, "^meal cancel"},
			Examples: []desk.Example{{Setup: planned, Line: "cancel tomorrow's meal"}}, Plain: named, Do: callOff,
		},
		coolAsk(),
	}
}

const soupText = "recipe Barley soup for 4\n200 g barley\n2 1/4 cups stock\n3 carrots\n\n1. Boil the barley in the stock for 50 minutes.\n2. Add the carrots and simmer for 25 minutes."

// mealTalk are words of a line that tells of a meal and plans none.
var mealTalk = []string{
	"was", "were", "had", "ate", "lovely", "burnt", "maybe", "might", "could", "should", "what", "who", "when", "ring", "remind", "late", "leftovers", "later", "earlier", "not", "only", "have", "scale", "recipe", "sold", "is", "smells", "off", "without", "can", "how", "no", "did", "does", "don't", "dont", "shall", "if", "said", "out", "went", "he", "she",
}

// plainMeal keeps talk of meals for talk: a plan has a time or a day, and a dish.
func plainMeal(req *desk.Request) bool {
	said := slices.DeleteFunc(slices.Clone(mealTalk), func(w string) bool { return w == "is" && req.Form == "^supper|dinner|tea|lunch|breakfast" })
	if strings.Contains(req.Text, "?") || req.Mentions(said...) {
		return false
	}
	if onAt.MatchString(req.Text) { // "put the stew on at 10" is when it goes on
		return false
	}
	w := req.Reading.Moment(req.Context(), phrase.Future)
	dish := len(req.Reading.Terms("recipes")) > 0
	switch {
	case strings.HasPrefix(req.Form, "^meal"):
		return w.Count > 0 && len(req.Reading.Unknown) <= 6
	case dish && (w.HasDate || w.HasClock && !w.Vague):
		return len(req.Reading.Unknown) == 0 || req.Mentions("cooker", "oven") && len(req.Reading.Unknown) <= 3
	case strings.HasPrefix(req.Form, "^put"): // a dish of no recipe is asked about
		return w.HasDate && weekday(req) && len(req.Reading.Unknown) == 1 && len(req.Reading.Tokens) <= 5 && someRecipes(req)
	}
	return w.HasClock && !w.Vague && req.Mentions("cooker") && len(req.Reading.Unknown) <= 3
}

var onAt = regexp.MustCompile(`(?i)^put\b.*\bon at\b`)

func weekday(req *desk.Request) bool {
	return req.Mentions("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
}

func someRecipes(req *desk.Request) bool {
	all, err := req.Tx.Recipes(req.House.ID)
	return err == nil && len(all) > 0
}

// mealWords reports that a line names a meal, or a dish that is planned.
func mealWords(req *desk.Request) bool {
	if req.Mentions("meal", "meals", "supper", "dinner", "tea", "lunch", "breakfast") {
		return true
	}
	day := reminders.Day(req.Wall)
	all, err := req.Tx.Meals(req.House.ID, day, day.AddDate(0, 0, 14))
	return err == nil && slices.ContainsFunc(all, func(m storage.Meal) bool { return dishWord(req, m) })
}

// dishWord reports that a line has a word of a meal's dish.
func dishWord(req *desk.Request, m storage.Meal) bool { return dishWords(req, m) > 0 }

// dishWords is how many words of a meal's dish a line has.
func dishWords(req *desk.Request, m storage.Meal) (n int) {
	for _, w := range phrase.Words(m.Recipe) {
		if len(w) > 2 && !phrase.IsFiller(w) && slices.ContainsFunc(req.Reading.Tokens, func(t phrase.Token) bool { return sameWord(t.Low, w) }) {
			n++
		}
	}
	return n
}

func todaysMeal(req *desk.Request) bool {
	all, err := req.Tx.Meals(req.House.ID, reminders.Day(req.Wall), reminders.Day(req.Wall))
	return err == nil && slices.ContainsFunc(all, func(m storage.Meal) bool { return !m.At.IsZero() })
}

func anyMeal(req *desk.Request) bool {
	all, err := req.Tx.Meals(req.House.ID, reminders.Day(req.Wall), reminders.Day(req.Wall).AddDate(0, 0, 14))
	return err == nil && len(all) > 0
}

// mealTimes are the hours of meals of which only the name is said.
var mealTimes = []struct {
	word string
	at   time.Duration
}{{"breakfast", 8 * time.Hour}, {"lunch", 12*time.Hour + 30*time.Minute}, {"dinner", 18 * time.Hour}, {"supper", 18 * time.Hour}, {"tea", 17*time.Hour + 30*time.Minute}}

// meal plans a meal: with a time, the bells of its work; with a day alone, a line of the
// week. Several dishes in one line are as many meals.
func meal(req *desk.Request) (desk.Reply, error) {
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
		out.Cautions = append(out.Cautions, one.Cautions...)
		out.Buttons = append(out.Buttons, one.Buttons...)
	}
	return out, nil
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
	w := req.Reading.Moment(req.Context(), phrase.Future)
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
	if !known {
		return keepMeal(req, m, nil, r)
	}
	slots, err := laid(req, m.At, steps)
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

// twoHours is how long cooked food may stand out, and how long before that the bell rings.
const (
	putAway   = 2 * time.Hour
	beforeEnd = 30 * time.Minute
)

// timetable sets the bells of the work and says them; what has begun by the plan
// already is told.
func timetable(req *desk.Request, m storage.Meal, slots []dayplan.Slot, text string) (desk.Reply, error) {
	begin := slots[0].Start
	out := desk.Answer(fmt.Sprintf("%s, served %s. Begin %s.", text, req.Say(m.At), reminders.SayTime(begin, req.Wall, req.House.DayFirst)))
	if first := slots[0].Latest; begin.Sub(first) >= 30*time.Minute && first.After(req.Wall) {
		out.Lines = append(out.Lines, fmt.Sprintf("Should all of it take its longest: begin %s.", reminders.SayTime(first, req.Wall, req.House.DayFirst)))
	}
	if begin.Before(req.Wall) {
		late, err := lateHead(req, slots, 0)
		if err != nil {
			return desk.Reply{}, err
		}
		out.Lines = append(out.Lines, late)
		slots = laidNow(req, slots, 0)
	}
	for _, s := range slots {
		out.Lines = append(out.Lines, slotLine(req.Wall, s, req.House.DayFirst))
		if err := mealBell(req, m, s); err != nil {
			return desk.Reply{}, err
		}
	}
	served := slots[len(slots)-1].End
	ready := m
	ready.At = req.Instant(served)
	if err := serveBell(req, ready); err != nil {
		return desk.Reply{}, err
	}
	out.Lines = append(out.Lines, reminders.SayTime(served, req.Wall, req.House.DayFirst)+" serve")
	clash, err := clashes(req, m, slots)
	if err != nil {
		return desk.Reply{}, err
	}
	out.Cautions = append(out.Cautions, clash...)
	if err := keptBell(req, m, served); err != nil {
		return desk.Reply{}, err
	}
	out.Lines = append(out.Lines, fmt.Sprintf("%s what is left goes into the fridge: two hours out at the most.", reminders.SayTime(served.Add(putAway-beforeEnd), req.Wall, req.House.DayFirst)))
	return out, nil
}

// laidNow lays the rest of the work from now on.
func laidNow(req *desk.Request, slots []dayplan.Slot, done int) []dayplan.Slot {
	left, _, _, err := dayplan.Forward(req.Wall, done, slots)
	if err != nil {
		return slots
	}
	return left
}

// lateHead says what beginning now comes to.
func lateHead(req *desk.Request, slots []dayplan.Slot, done int) (string, error) {
	_, ready, high, err := dayplan.Forward(req.Wall, done, slots)
	if err != nil {
		return "", fmt.Errorf("a late start: %w", err)
	}
	served := slots[len(slots)-1].End
	if !ready.After(served) {
		return "It is in time still.", nil
	}
	text := fmt.Sprintf("Late: begun now it is ready %s.", reminders.SayTime(ready, req.Wall, req.House.DayFirst))
	if high {
		text += " On high instead of low it is ready in time."
	}
	return text, nil
}

// mealBell rings when a piece of work begins.
func mealBell(req *desk.Request, m storage.Meal, s dayplan.Slot) error {
	at := req.Instant(s.Start)
	if at.Before(req.Now) {
		return nil
	}
	b := storage.Bell{
		Household: req.House.ID, Title: m.Recipe + ": " + s.Step.Name, Whom: reminders.People(req.Who.ID), Next: at, Useful: 2 * time.Hour,
		Subject: mealSubject(m), Step: s.Step.Kind.String(), Why: fmt.Sprintf("%s is served %s", m.Recipe, req.Say(m.At)), Made: req.Now, Care: true,
	}
	if s.Step.Likely > 0 && !saysHowLong.MatchString(s.Step.Name) {
		b.Hint = "For " + reminders.SayDuration(s.Step.Likely) + "."
	}
	if reminders.NotForChild(b) {
		b.Whom = cook(req)
	}
	_, err := req.Tx.AddBell(b)
	return err
}

// serveBell rings when a dish is ready: a pot that stays on burns.
func serveBell(req *desk.Request, m storage.Meal) error {
	b := storage.Bell{
		Household: req.House.ID, Title: "serve the " + m.Recipe, Hint: "Off the heat, or to warm.", Whom: cook(req), Next: m.At, Useful: time.Hour, Subject: mealSubject(m), Step: dayplan.Serve.String(),
		Why: fmt.Sprintf("%s is planned for %s", m.Recipe, req.Say(m.At)), Made: req.Now, Care: true,
	}
	if m.Away > 0 {
		b.Hint += fmt.Sprintf(" %s of the portions are to give: into a pan of their own.", number(m.Away))
	}
	_, err := req.Tx.AddBell(b)
	return err
}

// cook is who is rung for what no child does: who planned the meal, or the keepers.
func cook(req *desk.Request) string {
	if req.Who.Child(req.Now) {
		return reminders.Keepers
	}
	return reminders.People(req.Who.ID)
}

// keptBell does not give up: what is left may stand out for two hours at the most.
func keptBell(req *desk.Request, m storage.Meal, served time.Time) error {
	end := served.Add(putAway)
	_, err := req.Tx.AddBell(storage.Bell{
		Household: req.House.ID, Title: "what is left of the " + m.Recipe + " into the fridge", Hint: fmt.Sprintf("Two hours out at the most (one above 32 C): by %s. In shallow boxes; thrown after that.", reminders.SayTime(end, req.Wall, req.House.DayFirst)),
		Whom: cook(req), Next: req.Instant(end.Add(-beforeEnd)), Safety: true, Firm: true, Useful: reminders.UsefulOnce, Subject: mealSubject(m), Step: "kept", Why: "food safety: the two-hour rule", Made: req.Now,
	})
	return err
}

// clashes holds a meal against the others of its day.
func clashes(req *desk.Request, m storage.Meal, slots []dayplan.Slot) ([]string, error) {
	all, err := req.Tx.Meals(req.House.ID, m.Day, m.Day)
	if err != nil {
		return nil, err
	}
	recipes, err := req.Tx.Recipes(req.House.ID)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, o := range all {
		if o.Num == m.Num || o.At.IsZero() {
			continue
		}
		r := storage.Recipe{}
		if i := slices.IndexFunc(recipes, func(r storage.Recipe) bool { return strings.EqualFold(r.Name, o.Recipe) }); i >= 0 {
			r = recipes[i]
		}
		steps, ok := mealSteps(req, o, r)
		if !ok {
			continue
		}
		theirs, err := laid(req, o.At, steps)
		if err != nil {
			continue
		}
		for _, c := range dayplan.Clashes(slots, theirs) {
			if c.Why == dayplan.Hands {
				continue // two pots want one cook every day
			}
			out = append(out, fmt.Sprintf("With %s: %s, %s to %s.", o.Recipe, c.Why, reminders.SayTime(c.From, req.Wall, req.House.DayFirst), c.To.Format("15:04")))
		}
	}
	return out, nil
}
