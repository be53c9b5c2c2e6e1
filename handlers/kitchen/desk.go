// Package kitchen is the kitchen desk: recipes as the household writes them, and
// scaling them into measures that exist.
package kitchen

import (
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

// Desk returns the kitchen desk.
func Desk() desk.Desk {
	named := []desk.Need{{Kind: phrase.KindTerm, List: "recipes"}}
	return desk.Desk{
		Name:  "kitchen",
		About: "recipes and scaling them",
		Lists: map[string]func(*desk.Request) (*phrase.List, error){"recipes": recipeList},
		Asks: []desk.Ask{
			{
				Name: "recipe", Command: "recipe", TakesLines: true, Doubt: true, Lists: []string{"recipes"}, Help: "keep, list or show recipes",
				Forms: []string{"^recipe|recipes", "recipe$", "which|what|list|our recipes"}, Fill: []string{"which", "list", "all", "recipe", "recipes", "kept", "what"},
				Examples: []desk.Example{
					{Line: "recipe Oatcakes for 8\n400 g oatmeal\n60 g lard\n1/2 tsp salt\n\n1. Rub in the lard.\n2. Wet it, roll it, bake it."},
					{Line: "recipe"},
					{Setup: []string{oatcakes}, Line: "recipe oatcakes"},
				},
				Plain: plainRecipe, Do: recipe,
			},
			{
				Name: "scale", Command: "scale", Doubt: true, Lists: []string{"recipes"}, Needs: append(named, desk.Need{Kind: phrase.KindNumber}),
				Kinds: []phrase.Kind{phrase.KindNumber, phrase.KindShare}, Help: "a recipe by a factor or for a number of people",
				Forms: []string{"^scale", "^double|triple|treble|quadruple|halve|twice", "half|twice|times the", "for", "x", "doubled|halved$", "to * servings|people"},
				Fill: []string{
					"times", "servings", "serving", "people", "portions", "recipe", "make", "feed", "feeds", "serves", "half", "halve", "double", "doubled",
					"halved", "triple", "treble", "quadruple", "twice", "scale", "scaled", "tonight", "how", "much",
				},
				Examples: []desk.Example{
					{Setup: []string{oatcakes}, Line: "scale oatcakes x3"},
					{Setup: []string{oatcakes}, Line: "double the oatcakes"},
					{Setup: []string{oatcakes}, Line: "oatcakes for 12"},
				},
				Plain: plainScale, Do: scale,
			},
		},
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

// plainScale lets talk with a number in it pass: without a recipe that is known,
// only a line that begins with the command and names a factor is meant.
func plainScale(req *desk.Request) bool {
	if len(req.Reading.Terms("recipes")) > 0 {
		return len(req.Reading.Unknown) == 0 || req.Form == "^scale"
	}
	times := slices.ContainsFunc(req.Reading.Tokens, func(t phrase.Token) bool { return t.Low == "x" || t.Low == "times" })
	return req.Form == "^scale" && times && len(req.Reading.Unknown) <= 2
}
