package kitchen

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// amountOfAsk answers for one ingredient of a recipe: "how many eggs for pancakes for 10".
func amountOfAsk() desk.Ask {
	return desk.Ask{
		Name: "scale", Command: "scale", Question: true, Text: true, Lists: []string{"recipes"}, Needs: []desk.Need{{Kind: phrase.KindTerm, List: "recipes"}},
		Kinds: []phrase.Kind{phrase.KindNumber}, Help: "how much of one ingredient a recipe takes, for so many",
		Forms:    []string{"how much|many * for|in|into|to|does|do"},
		Examples: []desk.Example{{Setup: []string{oatcakes}, Line: "how much oatmeal for oatcakes for 12"}},
		Plain: func(req *desk.Request) bool {
			all, err := req.Tx.Recipes(req.House.ID)
			if err != nil {
				return false
			}
			r, _, ok := pick(req, all)
			return ok && len(ingredientsAsked(req, r)) > 0 && len(leftOver(req, r)) == 0
		},
		Do: amountOf,
	}
}

// amountWords belong to a question for an amount.
var amountWords = strings.Fields("how much many for in into to does do i we need needed take takes go goes the a an of make making people servings portions need's will would should want us use is are there be please thanks and")

// leftOver are the words of a line that are neither of the question nor of the recipe.
func leftOver(req *desk.Request, r storage.Recipe) (out []string) {
	for _, t := range req.Reading.Tokens {
		inSpan := slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool { return t.Start >= s.Start && t.Start < s.End })
		if t.Kind == phrase.Word && !inSpan && !slices.Contains(amountWords, t.Low) && !ingredientCalled(r, t.Low, req.Context()) {
			out = append(out, t.Low)
		}
	}
	return out
}

// ingredientsAsked are the ingredient lines of a recipe that a question is about.
func ingredientsAsked(req *desk.Request, r storage.Recipe) (out []string) {
	var asked []string
	for _, t := range req.Reading.Tokens {
		inDish := slices.ContainsFunc(req.Reading.Terms("recipes"), func(s phrase.Span) bool { return t.Start >= s.Start && t.Start < s.End })
		if t.Kind == phrase.Word && !inDish && !slices.Contains(amountWords, t.Low) {
			asked = append(asked, t.Low)
		}
	}
	ingredients, _ := parts(r.Body)
	for _, l := range ingredients {
		what := phrase.Words(understand(l, req.Context()).what)
		if slices.ContainsFunc(asked, func(w string) bool { return slices.ContainsFunc(what, func(o string) bool { return sameWord(o, w) }) }) {
			out = append(out, l)
		}
	}
	return out
}

func amountOf(req *desk.Request) (desk.Reply, error) {
	all, err := req.Tx.Recipes(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	r, reply, ok := pick(req, all)
	if !ok {
		return reply, nil
	}
	asked := ingredientsAsked(req, r)
	if len(asked) == 0 {
		return desk.AskBack(fmt.Sprintf("Of which ingredient? %s takes what stands here: recipe %s", r.Name, r.Name)), nil
	}
	k, away, why := big.NewRat(1, 1), (*big.Rat)(nil), []string(nil)
	if len(req.Reading.Of(phrase.KindNumber)) > 0 || forAll(req) {
		if k, away, why, reply, err = factorOf(req, r); err != nil || reply.Head != "" {
			return reply, err
		}
	}
	if k.Cmp(leastFactor) < 0 || k.Cmp(mostFactor) > 0 {
		return desk.Refuse("That cannot be: scale by 1/50 to 100 times. For example: scale " + r.Name + " x3"), nil
	}
	one := r
	one.Body = strings.Join(asked, "\n")
	out := scaled(req, one, k, away, why...)
	out.Lines = slices.DeleteFunc(out.Lines, func(l string) bool { return strings.TrimSpace(l) == "" })
	out.Head = fmt.Sprintf("%s: %s.", strings.Join(out.Lines, ", "), out.Head)
	out.Lines, out.Buttons = nil, nil
	out.Assumed = slices.DeleteFunc(out.Assumed, func(a string) bool { return !strings.HasPrefix(a, "egg") }) // pots and ovens are not asked about
	return out, nil
}
