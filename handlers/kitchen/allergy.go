package kitchen

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"yardbell/calc/food"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

func allergyAsks() []desk.Ask {
	return []desk.Ask{
		{
			Name: "allergy", Command: "meal", Text: true, Keeper: true, Lists: []string{"people"}, Help: "what somebody must not eat: warned of at every meal that holds it",
			Forms:    []string{"is|are allergic to", "^allergy", "must|can not|never eat", "can't|cannot|mustn't eat|have", "is no longer|not allergic to", "is not allergic to", "isn't allergic to"},
			Examples: []desk.Example{{Line: "Ruth is allergic to nuts"}, {Line: "Maren can't eat wheat"}, {Setup: []string{"Ruth is allergic to nuts"}, Line: "Ruth is no longer allergic to nuts"}},
			Plain: func(req *desk.Request) bool {
				return !strings.Contains(req.Text, "?") && len(allergensSaid(req)) > 0 && whoSaid(req) != ""
			}, Do: allergy,
		},
		{
			Name: "allergy", Command: "meal", Question: true, Text: true, Lists: []string{"recipes"}, Needs: []desk.Need{{Kind: phrase.KindTerm, List: "recipes"}}, Help: "whether a recipe holds an allergen, and who at the table must not have it",
			Forms: []string{"^does|do|has|is|are|can * nuts|nut|milk|dairy|egg|eggs|wheat|gluten|soy|soya|fish|shellfish|sesame|peanuts|peanut|coconut|allergens", "allergens in", "what|whats|what's in the * can't|cannot|mustn't|not have|eat", "can * eat|have the", "is * free|safe for"}, Examples: []desk.Example{{Setup: []string{oatcakes}, Line: "do the oatcakes have nuts"}}, Plain: func(req *desk.Request) bool {
				near := slices.ContainsFunc(req.Reading.Terms("recipes"), func(s phrase.Span) bool { return s.Near })
				return !near && !req.Mentions("out", "left", "since", "ok", "okay", "good", "fridge")
			}, Do: holds,
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

// allergenWords maps how people say an allergen to what it is.
var allergenWords = map[string]food.Allergen{
	"milk": food.Milk, "dairy": food.Milk, "lactose": food.Milk, "egg": food.Egg, "eggs": food.Egg, "fish": food.Fish, "shellfish": food.Shellfish, "prawns": food.Shellfish, "nut": food.TreeNut, "nuts": food.TreeNut, "almonds": food.TreeNut, "walnuts": food.TreeNut, "hazelnuts": food.TreeNut,
	"peanut": food.Peanut, "peanuts": food.Peanut, "wheat": food.Wheat, "gluten": food.Gluten, "soy": food.Soy, "soya": food.Soy, "sesame": food.Sesame, "coconut": food.Coconut,
}

func allergensSaid(req *desk.Request) []food.Allergen {
	var out []food.Allergen
	for _, t := range req.Reading.Tokens {
		if a, is := allergenWords[t.Low]; is && !slices.Contains(out, a) {
			out = append(out, a)
		}
	}
	return out
}

// whoSaid is of whom a line tells: somebody of the household, or a neighbour by name.
func whoSaid(req *desk.Request) string {
	for _, s := range req.Reading.Terms("people") {
		if t := s.Value.(phrase.Term); t.ID > 0 {
			return t.Name
		}
	}
	first := req.Reading.Tokens[0]
	if first.Low == "i" || first.Low == "i'm" {
		return req.Who.Name
	}
	if first.Kind == phrase.Word && first.Text != first.Low && !phrase.IsFiller(first.Low) && len(first.Text) > 1 {
		return first.Text
	}
	return ""
}

// liftsAllergy matches the few wordings that take an allergy away: "cannot eat nuts any
// longer" is one that has come.
var liftsAllergy = regexp.MustCompile(`(?i)\b(?:no longer|not|isn't|isnt|aren't)\s+allergic\b`)

// allergy writes down what somebody must not eat.
func allergy(req *desk.Request) (desk.Reply, error) {
	who, what := whoSaid(req), allergensSaid(req)
	if who == "" || len(what) == 0 {
		return desk.AskBack("Who, and to what? For example: Ruth is allergic to nuts. I know milk, egg, fish, shellfish, nuts, peanuts, wheat, gluten, soya, sesame and coconut."), nil
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
