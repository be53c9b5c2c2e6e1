package kitchen

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/calc/food"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

func allergyAsks() []desk.Ask {
	return []desk.Ask{
		{
			Name: "allergy", Command: "meal", Text: true, Keeper: true, Lists: []string{"people"}, Help: "what somebody must not eat: warned of at every meal that holds it",
			Forms:    []string{"is|are allergic to", "^allergy", "must|can not|never eat", "can't|cannot|mustn't eat|have", "is coeliac|celiac", "is lactose intolerant", "is intolerant to", "has a|an * allergy", "am allergic to", "i'm allergic to", "is no longer|not allergic to", "is not allergic to", "isn't allergic to"},
			Examples: []desk.Example{{Line: "Ruth is allergic to nuts"}, {Line: "Maren can't eat wheat"}, {Setup: []string{"Ruth is allergic to nuts"}, Line: "Ruth is no longer allergic to nuts"}},
			Plain:    plainAllergy, Do: allergy,
		},
		{
			Name: "allergy", Command: "meal", Question: true, Text: true, Lists: []string{"recipes"}, Needs: []desk.Need{{Kind: phrase.KindTerm, List: "recipes"}}, Help: "whether a recipe holds an allergen, and who at the table must not have it",
			Forms: []string{"^does|do|has|is|are|can * nuts|nut|milk|dairy|egg|eggs|wheat|gluten|soy|soya|fish|shellfish|sesame|peanuts|peanut|coconut|allergens", "allergens in", "what|whats|what's in the * can't|cannot|mustn't|not have|eat", "can * eat|have the", "is * free|safe for"}, Examples: []desk.Example{{Setup: []string{oatcakes}, Line: "do the oatcakes have nuts"}}, Plain: func(req *desk.Request) bool {
				if _, asked := eaterSaid(req); asked {
					return false // whether somebody may: mayEat
				}
				near := slices.ContainsFunc(req.Reading.Terms("recipes"), func(s phrase.Span) bool { return s.Near })
				if toks := req.Reading.Tokens; strings.HasPrefix(req.Form, "can") && len(allergensSaid(req)) == 0 && (len(toks) < 2 || toks[1].Text == toks[1].Low || toks[1].Low == "i") {
					return false // "can I have the last pancake"
				}
				return !near && !req.Mentions("out", "left", "since", "ok", "okay", "good", "fridge")
			}, Do: holds,
		},
		{
			Name: "allergy", Command: "meal", Question: true, Text: true, Lists: []string{"recipes", "people"}, Help: "whether somebody may eat a dish, and what somebody must not eat",
			Forms:    []string{"can|could|may * eat|have", "is|are * ok|okay|safe|alright|fine for", "what can't|cannot|mustn't|cant|mustnt|can * eat|have", "what|whats|what's in * can't|cannot|mustn't|not have|eat", "what is|are|'s * allergic to", "whats|what's * allergic to", "who can't|cannot|mustn't|cant|mustnt eat|have", "what * not eat|have"},
			Examples: []desk.Example{{Setup: []string{oatcakes, "house add Lise child 10", "Lise is allergic to milk"}, Line: "can Lise eat the oatcakes"}, {Setup: []string{"Ruth is allergic to nuts"}, Line: "what can't Ruth eat"}},
			Plain:    plainMayEat, Do: mayEat,
		},
		{
			Name: "allergy", Command: "meal", Question: true, Help: "who must not eat what", Forms: []string{"who is|are|'s allergic", "who's allergic", "^allergies$", "^allergies", "who can't|cannot eat what"}, Fill: []string{"to", "what", "is", "list", "the"},
			Examples: []desk.Example{{Setup: []string{"Ruth is allergic to nuts"}, Line: "who is allergic to what"}}, Plain: func(req *desk.Request) bool { return len(req.Reading.Unknown) == 0 }, Do: allergies,
		},
	}
}

// allergies lists who must not eat what.
func allergies(req *desk.Request) (desk.Reply, error) {
	all, err := req.Tx.Allergies(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(all) == 0 {
		return desk.Answer("None are written down. Tell me: Ruth is allergic to nuts"), nil
	}
	out := desk.Answer("Written down:")
	for _, a := range all {
		out.Lines = append(out.Lines, a.Name+": no "+sayAllergens([]string{a.What}))
	}
	return out, nil
}

// allergenWords maps how people say an allergen to what it is. Whoever says nuts is kept
// from peanuts too.
var allergenWords = func() map[string][]food.Allergen {
	m := map[string][]food.Allergen{}
	for words, of := range map[string][]food.Allergen{
		"milk dairy lactose cheese butter cream": {food.Milk}, "egg eggs": {food.Egg}, "fish": {food.Fish},
		"shellfish prawn prawns shrimp shrimps crab lobster mussel mussels oyster oysters clam clams scallop scallops squid": {food.Shellfish},
		"nut nuts": {food.TreeNut, food.Peanut}, "almond almonds walnut walnuts hazelnut hazelnuts cashew cashews pecan pecans pistachio pistachios": {food.TreeNut},
		"peanut peanuts": {food.Peanut}, "wheat": {food.Wheat}, "gluten coeliac celiac oats barley rye": {food.Gluten}, "soy soya": {food.Soy}, "sesame": {food.Sesame}, "coconut": {food.Coconut},
	} {
		for w := range strings.FieldsSeq(words) {
			m[w] = of
		}
	}
	return m
}()

func allergensSaid(req *desk.Request) []food.Allergen {
	var out []food.Allergen
	for _, t := range req.Reading.Tokens {
		for _, a := range allergenWords[t.Low] {
			if !slices.Contains(out, a) {
				out = append(out, a)
			}
		}
	}
	return out
}

// isOf are the words that join a person to an allergy.
var isOf = []string{"is", "are", "am", "can't", "cannot", "can", "must", "mustn't", "has", "have", "isn't", "cant", "mustnt", "i'm"}

// nobody are words in the place of a name that name no one.
var nobody = []string{"who", "nobody", "half", "hopefully", "someone", "somebody", "everyone", "everybody", "what", "if", "mum", "dad", "gran", "she", "he", "they", "it", "we", "you", "anyone", "mother", "father", "friend", "sister", "brother"}

// whoSaid is of whom a line tells: the name right before "is allergic", "can't eat".
func whoSaid(req *desk.Request) string {
	toks := req.Reading.Tokens
	if toks[0].Low == "i" || toks[0].Low == "i'm" {
		return req.Who.Name
	}
	i := slices.IndexFunc(toks, func(t phrase.Token) bool { return slices.Contains(isOf, t.Low) })
	if i < 1 || slices.Contains(nobody, toks[i-1].Low) {
		return ""
	}
	for _, s := range req.Reading.Terms("people") {
		if t := s.Value.(phrase.Term); t.ID > 0 && s.Past == i {
			return t.Name
		}
	}
	if name := toks[i-1]; name.Kind == phrase.Word && name.Text != name.Low && len(name.Text) > 1 {
		if i > 1 && toks[i-2].Low == "mr" || i > 1 && toks[i-2].Low == "mrs" {
			return toks[i-2].Text + " " + name.Text
		}
		return name.Text
	}
	return ""
}

// tailWords may stand behind an allergen in a line that tells of it; anything else makes
// it talk: "can't eat eggs for toffee".
var tailWords = []string{"please", "thanks", "any", "longer", "more", "anymore", "again", "now", "at", "all", "or", "and", "intolerant", "allergy", "ever"}

// plainAllergy keeps talk for talk: a statement, of somebody by name, and nothing behind.
func plainAllergy(req *desk.Request) bool {
	text := strings.ToLower(req.Text)
	if strings.Contains(text, "?") || tagQuestion.MatchString(text) || req.Mentions("think", "wonder", "if", "said", "says", "another", "maybe") {
		return false
	}
	if whoSaid(req) == "" {
		return false
	}
	said, behind := false, 0
	for _, t := range req.Reading.Tokens {
		switch {
		case allergenWords[t.Low] != nil || slices.Contains(unwatched, t.Low):
			said = true
		case said && t.Kind == phrase.Word && !slices.Contains(tailWords, t.Low):
			behind++
		}
	}
	if strings.Contains(text, "allergic") || strings.Contains(text, "allergy") || strings.Contains(text, "intolerant") {
		return said && behind <= 2
	}
	return said && behind == 0
}

// unwatched are allergens that no table here knows: said, so that nobody relies on it.
var unwatched = []string{"mustard", "celery", "lupin", "sulphites", "sulfites", "strawberries", "strawberry", "tomatoes", "kiwi", "corn", "maize", "garlic", "onions", "buckwheat", "bananas", "peaches", "apples"}

// tagQuestion matches a statement that asks: "isn't allergic to nuts is she".
var tagQuestion = phrase.NewPattern(`\b(?:is|isn't|are|aren't|can|can't) (?:she|he|they|it)$`)

// liftsAllergy matches the few wordings that take an allergy away: "cannot eat nuts any
// longer" is one that has come.
var liftsAllergy = phrase.NewPattern(`(?i)\b(?:no longer|not|isn't|isnt|aren't)\s+allergic\b`)

// allergy writes down what somebody must not eat.
func allergy(req *desk.Request) (desk.Reply, error) {
	who, what := whoSaid(req), allergensSaid(req)
	if lifts := liftsAllergy.Re().FindAllString(req.Text, -1); len(lifts) > 0 && strings.Count(strings.ToLower(req.Text), "allergic") > len(lifts) {
		return desk.AskBack("One at a time, please. For example: Ruth is allergic to nuts"), nil
	}
	if who != "" && len(what) == 0 {
		return desk.AskBack(fmt.Sprintf("That I cannot watch for. I know milk, egg, fish, shellfish, nuts, peanuts, wheat, gluten, soya, sesame and coconut: %s has to be told of the rest by a person.", who)), nil
	}
	if who == "" || len(what) == 0 {
		return desk.AskBack("Who, and to what? For example: Ruth is allergic to nuts. I know milk, egg, fish, shellfish, nuts, peanuts, wheat, gluten, soya, sesame and coconut."), nil
	}
	for _, t := range req.Reading.Tokens {
		if len(what) > 0 && slices.Contains(unwatched, t.Low) {
			return desk.AskBack(fmt.Sprintf("I can watch for %s, not for %s. One line for what I know: %s is allergic to %s", sayAllergens(asText(what)), t.Low, who, sayAllergens(asText(what)[:1]))), nil
		}
	}
	on := !liftsAllergy.MatchString(req.Text)
	var names []string
	for _, a := range what {
		names = append(names, string(a))
	}
	text := fmt.Sprintf("%s must not have %s", who, sayAllergens(names))
	if !on {
		text = fmt.Sprintf("%s may have %s", who, sayAllergens(names))
	}
	if err := req.Record(storage.Entry{Kind: "allergy", Text: text}); err != nil {
		return desk.Reply{}, err
	}
	for _, a := range names {
		if err := req.Tx.SetAllergy(req.House.ID, storage.Allergy{Name: who, What: a}, on); err != nil {
			return desk.Reply{}, err
		}
	}
	out := desk.Answer(text + ".")
	if on {
		out.Lines = []string{"I warn at every meal whose recipe holds it. I read the words of a recipe, not the labels: read those."}
		planned, err := plannedHolding(req, names)
		if err != nil {
			return desk.Reply{}, err
		}
		for _, p := range planned {
			out.Cautions = append(out.Cautions, p+" is planned and holds it.")
		}
	}
	return out, nil
}

func asText(all []food.Allergen) (out []string) {
	for _, a := range all {
		out = append(out, string(a))
	}
	return out
}

// plannedHolding are the planned meals whose recipe holds one of some allergens.
func plannedHolding(req *desk.Request, what []string) (out []string, err error) {
	recipes, err := req.Tx.Recipes(req.House.ID)
	if err != nil {
		return nil, err
	}
	day := reminders.Day(req.Wall)
	meals, err := req.Tx.Meals(req.House.ID, day, day.AddDate(0, 0, 28))
	if err != nil {
		return nil, err
	}
	for _, m := range meals {
		for _, r := range recipes {
			if strings.EqualFold(r.Name, m.Recipe) && slices.ContainsFunc(heldInText(r.Body+"\n"+r.Name, req.Context()), func(h string) bool { return slices.Contains(what, h) }) {
				out = append(out, mealLine(req, m))
			}
		}
	}
	return out, nil
}

// sayAllergens names allergens as the household says them.
func sayAllergens(all []string) string {
	var out []string
	for _, a := range all {
		if a == string(food.TreeNut) {
			a = "nuts"
		}
		out = append(out, a)
	}
	return desk.List(out)
}

// heldIn are the allergens that a recipe's ingredients name.
func heldIn(r storage.Recipe, ctx phrase.Context) []string {
	ingredients, _ := parts(r.Body)
	return heldInText(strings.Join(ingredients, "\n"), ctx)
}

func heldInText(text string, _ phrase.Context) []string {
	var out []string
	for l := range strings.SplitSeq(text, "\n") {
		for _, a := range food.Allergens(l) {
			if !slices.Contains(out, string(a)) {
				out = append(out, string(a))
			}
		}
	}
	slices.Sort(out)
	return out
}

// allergyWarnings names who must not eat what a text holds.
func allergyWarnings(req *desk.Request, text string) ([]string, error) {
	all, err := req.Tx.Allergies(req.House.ID)
	if err != nil {
		return nil, err
	}
	held := heldInText(text, req.Context())
	var out []string
	for _, a := range all {
		if slices.Contains(held, a.What) {
			out = append(out, fmt.Sprintf("It holds %s: not for %s.", sayAllergens([]string{a.What}), a.Name))
		}
	}
	return out, nil
}

// holds answers whether a recipe holds an allergen.
func holds(req *desk.Request) (desk.Reply, error) {
	all, err := req.Tx.Recipes(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	r, reply, ok := pick(req, all)
	if !ok {
		return reply, nil
	}
	held := heldIn(r, req.Context())
	ingredients, _ := parts(r.Body)
	out := desk.Answer(fmt.Sprintf("%s holds none of the common allergens by its words.", r.Name))
	if len(held) > 0 {
		out = desk.Answer(fmt.Sprintf("%s holds %s.", r.Name, sayAllergens(held)))
	}
	var yes, no []string
	for _, a := range allergensSaid(req) {
		if !slices.Contains(held, string(a)) {
			no = append(no, string(a))
			continue
		}
		yes = append(yes, string(a))
		for _, l := range ingredients {
			if slices.Contains(food.Allergens(l), a) {
				out.Lines = append(out.Lines, l)
			}
		}
	}
	switch {
	case len(yes) > 0:
		out.Head = fmt.Sprintf("Yes: %s holds %s.", r.Name, sayAllergens(yes))
		if req.Mentions("free", "safe") {
			out.Head = fmt.Sprintf("No, not free of it: %s holds %s.", r.Name, sayAllergens(yes))
		}
	case len(no) > 0:
		out.Head = fmt.Sprintf("No %s by the words of %s.", strings.Join(strings.Split(sayAllergens(no), " and "), " and no "), r.Name)
	}
	if len(yes) > 0 && len(no) > 0 {
		out.Lines = append(out.Lines, fmt.Sprintf("No %s by its words.", sayAllergens(no)))
	}
	warn, err := allergyWarnings(req, strings.Join(ingredients, "\n"))
	out.Cautions = append(warn, "By the words of the recipe only: the labels of what goes in decide.")
	return out, err
}
