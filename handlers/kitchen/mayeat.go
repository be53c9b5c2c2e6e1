package kitchen

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/calc/food"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// mayEatWords belong to a question whether somebody may eat a dish.
var mayEatWords = strings.Fields("can could may can't cannot mustn't cant mustnt not eat have is are ok okay safe alright fine for what what's whats 's allergic to who the a an of some any our she he they it tonight today tomorrow please again remind me and in that there which")

// plainMayEat takes a line whose every word asks that: of somebody whose allergies are
// written down, or who lives here, and of a dish of the book.
func plainMayEat(req *desk.Request) bool {
	_, person := eaterSaid(req)
	dish := len(req.Reading.Terms("recipes")) > 0
	if who, _ := eaterSaid(req); person && !dish && clash(req, who) {
		return true
	}
	who := req.Mentions("who")
	if !person && !(who && dish) || !dish && !strings.HasPrefix(req.Form, "what") {
		return false
	}
	for _, t := range req.Reading.Tokens {
		named := slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool { return t.Start >= s.Start && t.Start < s.End && !s.Near })
		if t.Kind == phrase.Word && !named && !slices.Contains(mayEatWords, t.Low) && !isEater(req, t.Low) {
			return false
		}
	}
	return true
}

// bought is a thing that is eaten, no dish of the book, whose name tells of an allergen:
// mayonnaise. It is empty where other words are left over.
func bought(req *desk.Request) string {
	var words []string
	for _, t := range req.Reading.Tokens {
		if t.Kind == phrase.Word && !slices.Contains(mayEatWords, t.Low) && !isEater(req, t.Low) {
			words = append(words, t.Low)
		}
	}
	name := strings.Join(words, " ")
	if len(words) > 3 || len(food.Allergens(name)) == 0 || strings.HasPrefix(req.Form, "what") || strings.HasPrefix(req.Form, "who") {
		return ""
	}
	return name
}

// clash reports that a bought thing of the line holds what somebody must not have: the one
// answer that is worth giving where nobody asked for it.
func clash(req *desk.Request, who string) bool {
	name := bought(req)
	all, err := req.Tx.Allergies(req.House.ID)
	return err == nil && name != "" && len(kept(who, name, all)) > 0
}

// kept is what of a bought thing somebody must not have.
func kept(who, name string, all []storage.Allergy) (what []string) {
	held := food.Allergens(name)
	for _, a := range all {
		if strings.EqualFold(a.Name, who) && slices.Contains(held, food.Allergen(a.What)) {
			what = append(what, a.What)
		}
	}
	return what
}

// eaterSaid is the person of whom a question is: of the household, or a guest whose
// allergies are known.
func eaterSaid(req *desk.Request) (string, bool) {
	for _, t := range req.Reading.Tokens {
		if name, ok := eater(req, t.Low); ok {
			return name, true
		}
	}
	return "", false
}

func isEater(req *desk.Request, word string) bool {
	_, ok := eater(req, word)
	return ok
}

func eater(req *desk.Request, word string) (string, bool) {
	word = strings.TrimSuffix(word, "'s")
	for _, p := range req.People {
		if !p.Gone && strings.EqualFold(p.Name, word) {
			return p.Name, true
		}
	}
	all, err := req.Tx.Allergies(req.House.ID)
	if err != nil {
		return "", false
	}
	for _, a := range all {
		if strings.EqualFold(a.Name, word) {
			return a.Name, true
		}
	}
	return "", false
}

// mayEat answers whether somebody may eat a dish, or what somebody must not eat.
func mayEat(req *desk.Request) (desk.Reply, error) {
	all, err := req.Tx.Allergies(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	who, asked := eaterSaid(req)
	if len(req.Reading.Terms("recipes")) == 0 {
		if name := bought(req); asked && name != "" {
			return mayEatBought(who, name, all), nil
		}
		return mustNot(who, all), nil
	}
	recipes, err := req.Tx.Recipes(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	r, reply, ok := pick(req, recipes)
	if !ok {
		return reply, nil
	}
	held := heldIn(r, req.Context())
	all = slices.DeleteFunc(all, func(a storage.Allergy) bool {
		return !slices.Contains(held, a.What) || asked && !strings.EqualFold(a.Name, who)
	})
	var out desk.Reply
	switch {
	case asked && len(all) > 0:
		var what []string
		for _, a := range all {
			what = append(what, a.What)
		}
		out = desk.Answer(fmt.Sprintf("No: %s holds %s, which %s must not have.", r.Name, sayAllergens(what), who))
	case asked:
		out = desk.Answer(fmt.Sprintf("By its words %s holds nothing that is written down for %s.", r.Name, who))
	case len(all) > 0:
		out = desk.Answer(fmt.Sprintf("Not for all: %s.", r.Name))
		for _, a := range all {
			out.Lines = append(out.Lines, fmt.Sprintf("%s: it holds %s", a.Name, sayAllergens([]string{a.What})))
		}
	default:
		out = desk.Answer(fmt.Sprintf("By its words %s holds nothing that is written down for anybody.", r.Name))
	}
	out.Cautions = []string{"By the words of the recipe only: the labels of what goes in decide."}
	return out, nil
}

// mustNot lists what one person must not eat.
func mustNot(who string, all []storage.Allergy) desk.Reply {
	var what []string
	for _, a := range all {
		if strings.EqualFold(a.Name, who) {
			what = append(what, a.What)
		}
	}
	if len(what) == 0 {
		return desk.Answer(fmt.Sprintf("Nothing is written down for %s.", who), fmt.Sprintf("Tell me: %s is allergic to nuts", who))
	}
	return desk.Answer(fmt.Sprintf("%s must not have %s.", who, sayAllergens(what)))
}

// mayEatBought holds a bought thing, by its name, against what somebody must not have.
func mayEatBought(who, name string, all []storage.Allergy) desk.Reply {
	out := desk.Answer(fmt.Sprintf("By its name %s holds nothing that is written down for %s.", name, who))
	if what := kept(who, name, all); len(what) > 0 {
		out = desk.Answer(fmt.Sprintf("No: by its name %s holds %s, which %s must not have.", name, sayAllergens(what), who))
	}
	out.Cautions = []string{"By the name only: read the label."}
	return out
}
