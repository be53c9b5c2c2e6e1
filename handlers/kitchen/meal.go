package kitchen

import (
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

func mealAsks() []desk.Ask {
	when := []phrase.Kind{phrase.KindDate, phrase.KindClock, phrase.KindPart, phrase.KindAfter, phrase.KindDuration, phrase.KindNumber, phrase.KindQuantity, phrase.KindBad}
	fill := []string{
		"meal", "tonight", "tonight's", "tonights", "today", "tomorrow", "for", "and", "to", "give", "away", "at", "supper", "dinner", "tea", "lunch", "breakfast", "in", "the", "slow", "cooker", "on", "low", "high", "serve", "served", "serving", "people", "portions", "put", "plan", "cook", "make", "with", "guests", "guest", "everyone", "everybody", "us", "all", "share", "rest", "loading", "load", "oven", "bake", "roast", "cooked", "cooking", "making", "made", "start", "starting", "begin", "morning", "it", "let's", "lets", "have", "having", "eating", "eat", "do", "we're", "we", "are",
	}
	days := "monday|mon|tuesday|tue|tues|wednesday|wed|thursday|thu|thur|thurs|friday|fri|saturday|sat|sunday|sun"
	setup := []string{oatcakes, soupText}
	planned := append(slices.Clone(setup), "meal tomorrow 17:45 barley soup")
	named := func(req *desk.Request) bool {
		return anyMeal(req) && mealWords(req) && len(req.Reading.Unknown) <= 5 && !slices.Contains(asks, req.Reading.Tokens[0].Low) && !req.Mentions("if", "said", "says", "was", "shall", "he", "she", "gran's")
	}
	return []desk.Ask{
		{
			Name: "meal", Command: "meal", Text: true, Keep: true, Kinds: when, Lists: []string{"recipes"}, Fill: fill, Help: "a meal at a time: a timetable of bells back from serving, and what has to be kept cold or hot",
			Forms:    []string{"^meal", "for supper|dinner|tea|lunch|breakfast", "^supper|dinner|tea|lunch|breakfast", "tonight|today|tomorrow at|for|on|in", "^" + days, days + "$", "^put|plan * on|for", "^let's|lets have|do|eat|make|cook", "^we're|we having|eating", "^we are having|eating", "on", "for", "^roast"},
			Examples: []desk.Example{{Setup: setup, Line: "meal tonight 17:45 barley soup for 8 and 6 to give"}, {Line: "meal stew for supper at 18:00 in the slow cooker on low 8 hours"}, {Setup: setup, Line: "thursday barley soup for 7"}},
			Plain:    plainMeal, Do: meal,
		},
		{
			Name: "meal", Command: "meal", Question: true, Help: "what is cooked today and this week", Kinds: []phrase.Kind{phrase.KindDate, phrase.KindPart},
			Forms: []string{"^meal$", "^meals$", "^meals * week", "what's|whats|what * for tea|supper|dinner|lunch|breakfast", "what's|whats|what is cooking tonight|today", "what * we|i cooking|eating|having", "^menu$", "^the menu$"}, Fill: []string{"meals", "this", "week", "what", "is", "for", "tea", "supper", "dinner", "lunch", "breakfast", "are", "we", "cooking", "eating", "tonight", "today", "next", "having"},
			Examples: []desk.Example{{Line: "meals this week"}, {Setup: planned, Line: "what's for tea"}}, Plain: func(req *desk.Request) bool { return len(req.Reading.Unknown) == 0 }, Do: meals,
		},
		{
			Name: "meal", Command: "meal", Question: true, Text: true, Lists: []string{"recipes"}, Kinds: when, Help: "when a meal is served and what of its work comes when", Forms: []string{"when is|are supper|dinner|tea|lunch|breakfast", "when's|whens supper|dinner|tea|lunch|breakfast", "what time's|times supper|dinner|tea|lunch|breakfast", "when does|do|must|should * go|begin|start|on|in", "what do|must|should|have * prepare|soak|thaw|start|cook * today|tonight|morning|now", "what time is supper|dinner|tea|lunch|breakfast"},
			Examples: []desk.Example{{Setup: append(slices.Clone(setup), "meal today 20:00 barley soup"), Line: "when is supper"}}, Plain: func(req *desk.Request) bool {
				return anyMeal(req) && (mealWords(req) || req.Mentions("prepare", "soak", "thaw", "cook"))
			}, Do: mealWork,
		},
		{
			Name: "meal", Command: "meal", Text: true, Lists: []string{"recipes"}, Kinds: when, Help: "the cooking began late: when it will be ready now, and whether high saves it",
			Forms: []string{"only went on at", "went on at", "went on now|just", "just went on", "started|start late", "went in at|late", "is late|behind"}, Examples: []desk.Example{{Setup: []string{"meal today 20:00 stew in the slow cooker on low 6 hours"}, Line: "the stew only went on now"}},
			Plain: func(req *desk.Request) bool {
				return !strings.Contains(req.Text, "?") && todaysMeal(req) && (mealWords(req) || req.Mentions("we", "it")) && !req.Mentions("meeting", "keep", "hold")
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
		measuredAsk(),
		holdAsk(),
	}
}

const soupText = "recipe Barley soup for 4\n200 g barley\n2 1/4 cups stock\n3 carrots\n\n1. Boil the barley in the stock for 50 minutes.\n2. Add the carrots and simmer for 25 minutes."

// mealTalk are words of a line that tells of a meal and plans none.
var mealTalk = []string{
	"was", "were", "had", "ate", "lovely", "burnt", "maybe", "might", "could", "should", "what", "who", "when", "ring", "remind", "late", "leftovers", "later", "earlier", "not", "only", "have", "scale", "recipe", "sold", "is", "smells", "off", "without", "can", "how", "no", "did", "does", "don't", "dont", "shall", "if", "said", "out", "went", "he", "she",
}

// plainMeal keeps talk of meals for talk: a plan has a time or a day, and a dish.
func plainMeal(req *desk.Request) bool {
	said := slices.DeleteFunc(slices.Clone(mealTalk), func(w string) bool {
		return w == "is" && req.Form == "^supper|dinner|tea|lunch|breakfast" || w == "have" && strings.HasPrefix(req.Form, "^let's")
	})
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

var onAt = phrase.NewPattern(`(?i)^put\b.*\bon at\b`)

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
