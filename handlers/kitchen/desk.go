// Package kitchen is the kitchen desk: recipes as the household writes them, scaled
// into measures that exist; meals with their timetables and food-safety bells, the
// sourdough jar, the list for the shop, conversions and safe limits.
package kitchen

import (
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// Desk returns the kitchen desk.
func Desk() desk.Desk {
	named := []desk.Need{{Kind: phrase.KindTerm, List: "recipes"}}
	return desk.Desk{
		Name:  "kitchen",
		About: "recipes, meals, the jar, the list, what is safe",
		Today: todayLines,
		Jobs:  openJobs,
		Taken: inUse,
		Dated: mealDays,
		Sheet: sheetParts,
		Done:  map[string]func(*desk.Request, storage.Bell, time.Time) ([]string, error){"pan": cooled, "meal": mealDone, "hot": held},
		Lists: map[string]desk.WordList{"recipes": recipeList},
		Asks: slices.Concat([]desk.Ask{
			{
				Name: "recipe", Command: "recipe", TakesLines: true, Doubt: true, Lists: []string{"recipes"}, Help: "keep, list or show recipes",
				Forms: []string{"^recipe|recipes", "recipe$", "which|what|list|our recipes", "^save|keep * recipe", "^new recipe", "^here's|heres * recipe"}, Fill: []string{"which", "list", "all", "recipe", "recipes", "kept", "what", "save", "keep", "new", "heres", "here's"},
				Examples: []desk.Example{
					{Line: "recipe Oatcakes for 8\n400 g oatmeal\n60 g lard\n1/2 tsp salt\n\n1. Rub in the lard.\n2. Wet it, roll it, bake it."},
					{Line: "recipe"},
					{Setup: []string{oatcakes}, Line: "recipe oatcakes"},
				},
				Plain: plainRecipe, Do: recipe,
			},
			{
				Name: "recipe", Command: "recipe", Doubt: true, Needs: named, Lists: []string{"recipes"}, Question: true, Help: "show a recipe",
				Forms: []string{"^show", "what|what's|whats in the", "how do|to i|we|you make|cook", "^let me see", "^read me|out", "recipe for"}, Fill: []string{"show", "what", "whats", "in", "the", "how", "do", "to", "make", "cook", "let", "see", "read", "recipe", "for", "me", "out", "again"},
				Examples: []desk.Example{{Setup: []string{oatcakes}, Line: "how do I make oatcakes"}, {Setup: []string{oatcakes}, Line: "show the oatcakes"}},
				Plain: func(req *desk.Request) bool {
					return slipsOnly(req) && !req.Mentions("oven", "fridge", "freezer")
				}, Do: recipe,
			},
			{
				Name: "scale", Command: "scale", Doubt: true, Lists: []string{"recipes"}, Needs: append(named, desk.Need{Kind: phrase.KindNumber}),
				Kinds: []phrase.Kind{phrase.KindNumber, phrase.KindShare, phrase.KindQuantity}, Question: true, Help: "a recipe by a factor, for people, for a pan, to a weight, or by what is short",
				Forms: []string{"^scale", "^double|dubble|triple|treble|quadruple|halve|twice", "double|triple|halve the", "half|twice|times the", "times", "of the", "for", "from * to", "x", "double|dubble|triple|treble|quadruple|halve", "increase|reduce", "in|with grams|weights", "but i|we", "^i|we only|have|got", "^only got|have", "for * and", "for all|everyone|everybody", "doubled|halved$", "to", "by half", "%|percent", "%|percent more|less|bigger|smaller", "only", "have|got", "without counting", "how much can"},
				Fill: []string{
					"times", "servings", "serving", "people", "portions", "recipe", "make", "feed", "feeds", "serves", "half", "halve", "double", "doubled",
					"halved", "triple", "treble", "quadruple", "twice", "scale", "scaled", "how", "much", "dubble", "u", "give", "away", "plus", "guests", "guest", "more", "extra", "neighbours", "everyone", "everybody", "all", "us", "here", "who", "kids", "children", "from", "to", "cm", "inch", "inches", "in", "round", "rounds", "square", "squares", "tin", "tins", "pan", "pans", "dish", "tray", "by", "only", "have", "got", "left", "but", "eggs", "dough", "loaves", "loaf", "increase", "percent", "third", "thirds", "quarters", "quarter", "can", "make", "take", "total", "adults", "young", "little", "visitors", "share", "what", "would", "be", "the", "grams", "weights", "weight", "bigger", "smaller", "less", "thx", "thanks", "ta", "pls", "please", "reduce", "for", "neighbors", "neighbour", "family", "home", "i", "we", "and",
				},
				Examples: []desk.Example{
					{Setup: []string{oatcakes}, Line: "scale oatcakes x3"},
					{Setup: []string{oatcakes}, Line: "double the oatcakes"},
					{Setup: []string{oatcakes}, Line: "oatcakes for 12"},
				},
				Plain: plainScale, Do: scale,
			},
			{
				Name: "scale", Command: "scale", Text: true, Lists: []string{"recipes"}, Help: "a recipe for whoever is at the table", Forms: []string{"^scale * for everyone|everybody|all|us"},
				Examples: []desk.Example{{Setup: []string{oatcakes}, Line: "scale oatcakes for everyone"}}, Plain: func(req *desk.Request) bool { return len(req.Reading.Unknown) <= 3 }, Do: scale,
			},
		}, bookAsks(), []desk.Ask{editAsk()}, mealAsks(), []desk.Ask{appetiteAsk()}, allergyAsks(), []desk.Ask{amountOfAsk()}, safeAsks(), []desk.Ask{foodQuestionAsk(), spoiledAsk()}, convertAsks(), jarAsks(), shopAsks(), []desk.Ask{cookedAsk()}),
	}
}

const oatcakes = "recipe Oatcakes for 8\n400 g oatmeal\n1/3 cup lard\n1/2 tsp salt"

func plainRecipe(req *desk.Request) bool {
	if len(req.More) > 0 {
		return strings.HasPrefix(req.Form, "^")
	}
	if len(req.Reading.Terms("recipes")) > 0 {
		return len(req.Reading.Unknown) == 0
	}
	return len(req.Reading.Unknown) == 0 && req.Form != "recipe$"
}

// sizeSaid reports that a line says by how much: figures, a word such as double, or
// who eats. Without it "can I have a flapjack" is talk.
func sizeSaid(req *desk.Request) bool {
	word := slices.ContainsFunc(req.Reading.Tokens, func(t phrase.Token) bool { return factorWords[t.Low] != nil })
	return word || len(amountsSaid(req))+len(req.Reading.Of(phrase.KindShare)) > 0 || forAll(req) || forChildren(req) || inGrams(req)
}

// slipsOnly reports that each word nobody understood is a slip in a word of the recipe
// that the line names.
func slipsOnly(req *desk.Request) bool {
	terms := req.Reading.Terms("recipes")
	for _, t := range req.Reading.Unknown {
		if len(terms) == 0 || !slices.ContainsFunc(phrase.Words(terms[0].Value.(phrase.Term).Name), func(w string) bool { return len(w) >= 4 && phrase.Distance(strings.ToLower(w), t.Low) == 1 }) {
			return false
		}
	}
	return true
}

// plainScale lets talk with a number in it pass: without a recipe that is known,
// only a line that begins with the command and names a factor is meant.
func plainScale(req *desk.Request) bool {
	toks := req.Reading.Tokens
	if slices.ContainsFunc(toks, func(t phrase.Token) bool { return t.Low == ":" }) { // a time of day: a meal
		return false
	}
	if len(req.Reading.Terms("recipes")) > 0 {
		return req.Form == "^scale" || len(strangers(req)) == 0 && sizeSaid(req)
	}
	times := slices.ContainsFunc(toks, func(t phrase.Token) bool { return t.Low == "x" || t.Low == "times" })
	return req.Form == "^scale" && (times || forAll(req)) && len(req.Reading.Unknown) <= 2
}
