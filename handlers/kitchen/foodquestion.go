package kitchen

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/safety"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
)

// foodQuestionAsk takes the plain questions about a food that no narrower ask knows: is
// it still good, may it be frozen again, is it done. It answers only when every word of
// the line is one of a question about food, or names the food.
func foodQuestionAsk() desk.Ask {
	return desk.Ask{
		Name: "safe", Command: "safe", Text: true, Question: true, Keep: true, Lists: []string{"recipes", "people"}, Help: "whether a food is still good, by the published charts",
		Forms: []string{"is|are|was|can|could|may|should|will|do|does", "how long|old|many", "mould|mold|mouldy|moldy", "ok|okay|safe|fine|done|good|alright", "been|sat", "refreeze"},
		Kinds: []phrase.Kind{phrase.KindDuration, phrase.KindAfter, phrase.KindClock, phrase.KindPart, phrase.KindDate, phrase.KindQuantity, phrase.KindNumber},
		Examples: []desk.Example{
			{Line: "is 6 day old soup ok"}, {Line: "can I scrape the mould off the jam"}, {Line: "can I refreeze mince"},
		},
		Plain: func(req *desk.Request) bool {
			q, ok := readFoodQuestion(req)
			return ok && q.answer != nil
		},
		Do: func(req *desk.Request) (desk.Reply, error) {
			q, ok := readFoodQuestion(req)
			if !ok || q.answer == nil {
				return desk.AskBack("Of which food, and how old is it? For example: is 3 day old soup ok"), nil
			}
			return q.answer(req, q)
		},
	}
}

// foodQuestion is a plain question about a food.
type foodQuestion struct {
	food   string
	days   int // how old it is; below 0 when nothing is said
	answer func(*desk.Request, foodQuestion) (desk.Reply, error)
}

// foodQuestionWords belong to a question about food and name none.
var foodQuestionWords = func() map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields(`is are was were can can't could may should will would do does did i we you it they them that this these those the a an some any our my your
		how long old many days day week weeks hours hour minutes ok okay safe fine done good alright still yet to eat eaten use used keep keeps kept last lasts stay stays be been being have has had
		in at on of from since for after with and or if left leave over out side counter table worktop bench fridge freezer larder frozen freeze freezing refreeze refrozen again thawed defrosted
		mould mold mouldy moldy scrape scraped cut off bit spot spots inside pink middle warm hot cold slow cooker crock low high overnight all night yesterday made cooked cook opened open there just only about please
		thanks now what when reads says set degrees degree c f celsius fahrenheit think throw away bin it's thats that's whats need needs hold temp temperature get got raw enough
		smells smell looks look tastes taste gone went has week fortnight month months year years since than more no not only twice it'll`) {
		m[w] = true
	}
	return m
}()

// readFoodQuestion reads a line as a question about a food; ok is false where a word is
// left over.
func readFoodQuestion(req *desk.Request) (q foodQuestion, ok bool) {
	if len(req.Reading.Tokens) > longestQuestion {
		return q, false
	}
	var food []string
	for _, t := range req.Reading.Tokens {
		if t.Kind != phrase.Word || covered(req, t, phrase.KindTerm) || isEater(req, t.Low) {
			continue
		}
		if w := charted(t.Low); !foodQuestionWords[t.Low] && !phrase.IsFiller(t.Low) {
			food = append(food, w)
		}
	}
	if slices.ContainsFunc(food, func(w string) bool { return !foodWord(w) }) {
		return q, false
	}
	for _, s := range req.Reading.Terms("recipes") {
		food = append(food, s.Value.(phrase.Term).Name)
	}
	q.food, q.days = strings.Join(food, " "), daysOld(req)
	if len(food) > 4 {
		return q, false
	}
	q.answer = answerTo(req, q)
	return q, true
}

// foodParts stand in names of foods beside the words of the charts.
var foodParts = strings.Fields("pie casserole curry sauce green hard boiled roast roasted smoked minced fried fresh sour cream creamed strawberry blackcurrant apple white brown red cheese cheddar leftover leftovers ice cream yogurt yoghurt brie salami bread dough shepherds cottage whole pulled baked loaf breast thigh thighs leg joint chop chops steak steaks ham gammon food")

// foodWord reports that a word names a food of the charts, or a part of such a name.
func foodWord(w string) bool {
	if slices.Contains(foodParts, w) {
		return true
	}
	if _, ok := safety.Storage(w); ok {
		return true
	}
	if _, ok := safety.Internal(w); ok {
		return true
	}
	_, ok := safety.Mouldy(w)
	return ok
}

// covered reports that a token lies in a span of the reading, those of one kind left out.
func covered(req *desk.Request, t phrase.Token, but phrase.Kind) bool {
	return slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool {
		return s.Kind != but && t.Start >= s.Start && t.Start < s.End
	}) || but == phrase.KindTerm && slices.ContainsFunc(req.Reading.Terms("recipes"), func(s phrase.Span) bool { return t.Start >= s.Start && t.Start < s.End })
}

// answerTo chooses by what a question is about; nil where it is about nothing known.
func answerTo(req *desk.Request, q foodQuestion) func(*desk.Request, foodQuestion) (desk.Reply, error) {
	_, chart := safety.Storage(q.food)
	_, cooked := safety.Internal(q.food)
	_, hot := degrees(req)
	switch {
	case req.Mentions("mould", "mold", "mouldy", "moldy") && q.food != "" && asksOfMould(req):
		return mouldy
	case req.Mentions("refreeze", "refrozen", "refreezing") || req.Mentions("freeze", "frozen") && req.Mentions("again", "thawed", "defrosted"):
		return frozenAgain
	case chart && q.days >= 30 && req.Mentions("frozen", "freezer"):
		return longFrozen
	case q.food == "" && req.Mentions("fridge", "freezer") && hot:
		return howCold
	case req.Mentions("warm") && req.Mentions("overnight", "night", "day", "long", "hours") && (req.Mentions("slow", "cooker", "crock") || chart || strings.Contains(strings.ToLower(req.Text), "on warm")):
		return onWarm
	case cooked && req.Mentions("pink", "done", "ok", "okay", "safe", "enough") && (hot || req.Mentions("pink", "inside")):
		return func(req *desk.Request, _ foodQuestion) (desk.Reply, error) { return inside(req) }
	case chart && req.Mentions("out", "counter", "side", "table", "worktop", "bench") && req.Mentions("ok", "okay", "safe", "fine", "good", "still", "alright", "eat"):
		return func(req *desk.Request, _ foodQuestion) (desk.Reply, error) { return leftOut(req) }
	case chart && q.days >= 0 && !req.Mentions("freezer", "frozen") && req.Mentions("still", "ok", "okay", "safe", "good", "fine", "eat", "old", "been", "alright", "keep"):
		return func(req *desk.Request, _ foodQuestion) (desk.Reply, error) { return keeping(req) }
	case chart && (req.Mentions("keep", "freeze", "freezer", "stay") && req.Mentions("how", "long", "can", "freeze") || req.Mentions("last") && req.Mentions("how", "long") || req.Mentions("old") && req.Mentions("can", "may", "get")):
		return func(req *desk.Request, _ foodQuestion) (desk.Reply, error) { return keeping(req) }
	}
	return nil
}

// asksOfMould tells a question, or the bare "mould on the brie", from a tale of it.
func asksOfMould(req *desk.Request) bool {
	first := req.Reading.Tokens[0].Low
	return strings.Contains(req.Text, "?") || strings.HasPrefix(first, "moul") || strings.HasPrefix(first, "mold") ||
		req.Mentions("can", "could", "ok", "okay", "safe", "scrape", "still", "throw")
}

// daysOld is how old a food is by the line, in days begun; -1 when it does not say.
func daysOld(req *desk.Request) int {
	for _, s := range req.Reading.Spans {
		if d, ok := s.Value.(time.Duration); ok && d.Abs() >= 24*time.Hour {
			return int(d.Abs() / (24 * time.Hour))
		}
	}
	if w := req.Reading.Moment(req.Context(), phrase.Past); w.HasDate {
		if days := int(reminders.Day(req.Wall).Sub(reminders.Day(w.Wall)) / (24 * time.Hour)); days > 0 {
			return days
		}
	}
	switch {
	case req.Mentions("yesterday"):
		return 1
	case req.Mentions("old") && req.Mentions("week"):
		return 7
	case req.Mentions("old") && req.Mentions("fortnight"):
		return 14
	case req.Mentions("old") && req.Mentions("month"):
		return 30
	case req.Mentions("old") && req.Mentions("year"):
		return 365
	}
	return -1
}

// mouldy says what the published advice is for a food with mould on it.
func mouldy(req *desk.Request, q foodQuestion) (desk.Reply, error) {
	m, ok := safety.Mouldy(q.food)
	out := desk.Answer("Throw it out: what is not on the short list of foods that may be trimmed is not kept.")
	switch {
	case !ok && strings.Contains(q.food, "cheese"):
		out = desk.Answer("A hard cheese in the piece: cut off at least 2.5 cm (1 in) round and below the spot. Soft, sliced, grated or crumbled cheese: throw it out.")
	case ok && m.Keep:
		out = desk.Answer(fmt.Sprintf("%s: may be kept. %s", desk.Upper(m.Food), m.Text))
	case ok:
		out = desk.Answer(fmt.Sprintf("No, throw it out. %s: %s", desk.Upper(m.Food), lowered(m.Text)))
	}
	out.Lines = []string{"Do not sniff at it. Clean where it stood, and look at what lay beside it."}
	out.Assumed = []string{"the food-safety authority's advice on mould"}
	out.Cautions = []string{safety.Doubt}
	return out, nil
}

// againFrozen are the foods with a word of their own on freezing again, first found first
// taken, with the verdict and the name of the rule.
var againFrozen = []struct {
	words         []string
	verdict, rule string
}{
	{[]string{"counter", "side", "table", "worktop", "bench", "overnight", "night"}, "No, if it was out of the cold for more than two hours.", "refreeze"},
	{[]string{"ice"}, "No: throw it out.", "thawed ice"},
	{[]string{"bread", "loaf", "roll", "rolls", "bun", "buns", "pancakes", "pancake", "cake", "cakes"}, "Yes.", "thawed bread"},
	{[]string{"cheese", "cheddar"}, "A hard cheese, yes.", "thawed hard cheese"},
	{[]string{"cooked"}, "Yes, if it thawed in the cold.", "cooked after thawing"},
}

// frozenAgain says when thawed food may be frozen again.
func frozenAgain(req *desk.Request, _ foodQuestion) (desk.Reply, error) {
	out, rule := desk.Answer("Only if it thawed in the fridge."), "refreeze"
	for _, a := range againFrozen {
		if req.Mentions(a.words...) {
			out, rule = desk.Answer(a.verdict), a.rule
			break
		}
	}
	for _, r := range safety.Rules(rule) {
		out.Lines = append(out.Lines, r.Text)
	}
	out.Cautions = []string{safety.Doubt}
	return out, nil
}

// longFrozen holds months in the freezer against the chart: it counts for quality only.
func longFrozen(req *desk.Request, q foodQuestion) (desk.Reply, error) {
	rows, ok := safety.Storage(q.food)
	if !ok {
		return keeping(req)
	}
	k := rows[0]
	out := desk.Answer("Yes, if it was frozen hard all the time.")
	if k.FreezerHigh > 0 && q.days > 30*k.FreezerHigh {
		out = desk.Answer(fmt.Sprintf("Safe, if it was frozen hard all the time, but past its best: %s is good for %s.", lowered(k.Food), spanOfDays(k.FreezerLow, k.FreezerHigh, "month")))
	}
	for _, r := range safety.Rules("long frozen") {
		out.Lines = append(out.Lines, r.Text)
	}
	out.Cautions = []string{safety.Doubt}
	return out, nil
}

// howCold holds a fridge's or a freezer's temperature against what it has to be.
func howCold(req *desk.Request, _ foodQuestion) (desk.Reply, error) {
	c, _ := degrees(req)
	if req.Mentions("freezer") {
		head := fmt.Sprintf("%s is cold enough for a freezer.", sayTemp(req, c))
		if c > freezer+0.5 {
			head = fmt.Sprintf("Not cold enough: a freezer stands at %s. Food keeps its quality for a shorter time; at %s or above it is thawing.", bothTemps(req, freezer, freezer*9/5+32), sayTemp(req, 0))
		}
		return desk.Answer(head), nil
	}
	limit := safety.HoldCold().C
	if c <= limit+0.1 {
		return desk.Answer(fmt.Sprintf("%s is cold enough for a fridge: %s or colder.", sayTemp(req, c), bothTemps(req, limit, limit*9/5+32))), nil
	}
	out := desk.Answer(fmt.Sprintf("Too warm: a fridge stands at %s or colder. Turn it down and measure again.", bothTemps(req, limit, limit*9/5+32)),
		"Above that for more than two hours: throw out meat, fish, milk, eggs, leftovers and what is made of them. Nobody knows how long: throw them out.")
	out.Cautions = []string{safety.Doubt}
	return out, nil
}

// onWarm says what keeping warm is and is not.
func onWarm(req *desk.Request, _ foodQuestion) (desk.Reply, error) {
	hot := sayTemp(req, safety.HoldHot().C)
	out := desk.Answer(fmt.Sprintf("Only at %s or more, measured in the middle, and only what was cooked through before.", hot))
	if req.Mentions("overnight", "night") {
		out.Head = "Not overnight: nobody measures it then. " + out.Head
	}
	for _, r := range safety.Rules("slow cooker") {
		if r.Name == "not on warm" {
			out.Lines = append(out.Lines, r.Text)
		}
	}
	out.Lines = append(out.Lines, fmt.Sprintf("Measured every two hours; say until when, and I ask: keep the soup hot until 20:00. Below %s for more than two hours: throw it out.", hot))
	out.Cautions = []string{safety.Doubt}
	return out, nil
}
