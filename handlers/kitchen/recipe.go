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

// Limits of a pasted recipe.
const (
	maxTitle = 80
	maxBody  = 12_000
)

var (
	numbered = phrase.NewPattern(`^\s*\d+\s*[.)]\s`)
	// order matches a line that says what to do: it is no ingredient, even right below them.
	order           = phrase.NewPattern(`(?i)^\s*(?:[-*•]\s+)?(?:pre-?heat|heat|mix|stir|whisk|beat|fold|add|pour|bake|roast|boil|simmer|fry|cook|serve|knead|melt|combine|place|put|bring|leave|cover|drain|soak|sprinkle|spread|grease|let|transfer|remove|turn|blend|toss|shape|divide|brown|soften|strain|bottle)\s+\S+\s+\S`)
	heading         = phrase.NewPattern(`(?i)^\s*(steps|method|directions)\s*:?\s*$`)
	ingredientsHead = phrase.NewPattern(`(?i)^\s*ingredients?\s*(?::|\t.*)?\s*$`)
	serving         = phrase.NewPattern(`(?i)^\s*(?:serves|for|makes|yields?|servings|portions)\s*:?\s+(.+?)\s*(?:people|servings|portions)?\s*$`)
	inTime          = phrase.NewPattern(`(?i)\b(?:minutes?|mins?|hours?|hrs?|overnight)\b`)
)

// parts cuts a recipe's body into its ingredient lines and its steps. Headings decide;
// without one the first block of lines is the ingredients, the next blocks as far as
// they are sections or read like ingredients too, and "1." begins the steps. A block of
// prose above the ingredients is steps.
func parts(body string) (ingredients, steps []string) {
	blocks := blocksOf(body)
	listed := slices.ContainsFunc(blocks, readsListed)
	inSteps, told := false, false
	for _, block := range blocks {
		if !told {
			inSteps = len(ingredients) > 0 && !isSection(block[0]) && !readsListed(block) || len(ingredients) == 0 && listed && !readsListed(block) && !isSection(block[0])
		}
		for _, l := range block {
			switch {
			case heading.MatchString(l):
				inSteps, told = true, true
				continue
			case ingredientsHead.MatchString(l):
				inSteps, told = false, true
				continue
			case (numbered.MatchString(l) || order.MatchString(l)) && len(ingredients) > 0 && !inSteps:
				inSteps, told = true, true
			}
			if inSteps {
				steps = append(steps, strings.TrimSpace(l))
				continue
			}
			ingredients = append(ingredients, columns(strings.TrimSpace(leadBullet.ReplaceAllString(l, "")))...)
		}
		told = told && !(!inSteps && len(ingredients) > 0) // an ingredients' heading holds for its block
	}
	return ingredients, steps
}

// blocksOf are the runs of lines between empty ones.
func blocksOf(body string) (out [][]string) {
	var cur []string
	for l := range strings.SplitSeq(body+"\n", "\n") {
		if strings.TrimSpace(l) != "" {
			cur = append(cur, l)
			continue
		}
		if len(cur) > 0 {
			out, cur = append(out, cur), nil
		}
	}
	return out
}

// isSection reports the heading of a part of the ingredients: "For the top:".
func isSection(l string) bool {
	l = strings.TrimSpace(l)
	return isHeading(l) && !heading.MatchString(l)
}

// readsListed reports that at least half of a block's lines read like ingredients: an
// amount in front or at the end, short, no full stop, no time.
func readsListed(block []string) bool {
	n, of := 0, 0
	for _, l := range block {
		l = strings.TrimSpace(l)
		if isSection(l) || ingredientsHead.MatchString(l) {
			continue
		}
		of++
		if len([]rune(l)) <= 80 && !strings.HasSuffix(l, ".") && !numbered.MatchString(l) && !inTime.MatchString(l) && understand(l, phrase.Context{}).understood() {
			n++
		}
	}
	return of > 0 && 2*n >= of
}

// columns reads a line of a table: two ingredients side by side, or a thing and its
// amount.
func columns(l string) []string {
	left, right, is := strings.Cut(l, "\t")
	left, right = strings.TrimSpace(left), strings.TrimSpace(right)
	switch {
	case !is || right == "":
		return []string{strings.TrimSpace(left)}
	case understand(left, phrase.Context{}).understood() || !strings.ContainsAny(right, "0123456789½¼¾⅓⅔⅛"):
		if understand(left, phrase.Context{}).understood() {
			return []string{left, right}
		}
		return []string{left + " " + right}
	}
	return []string{right + " " + left}
}

// recipe lists, shows or keeps recipes.
func recipe(req *desk.Request) (desk.Reply, error) {
	if len(req.More) > 0 {
		return keepAll(req)
	}
	all, err := req.Tx.Recipes(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	r, reply, ok := pick(req, all)
	if ok {
		reply = show(req, r)
		hints, err := hintsOf(req, r.Name)
		reply.Lines = append(reply.Lines, hints...)
		return reply, err
	}
	if reply.Head != "" {
		return reply, nil
	}
	if len(req.Reading.Unknown) > 0 {
		if !req.Direct {
			return desk.Reply{}, desk.ErrSilent
		}
		return unknown(all, desk.UnknownWords(req.Reading.Unknown)), nil
	}
	return listed(all), nil
}

func listed(all []storage.Recipe) desk.Reply {
	if len(all) == 0 {
		return desk.Answer("No recipes are kept yet. Paste one: recipe and its title, then the ingredients a line each, an empty line, and the steps.")
	}
	reply := desk.Answer(fmt.Sprintf("%d kept:", len(all)))
	for _, r := range all {
		line := r.Name
		if r.Serves > 0 {
			line += fmt.Sprintf(", for %d", r.Serves)
		}
		if len(r.Tags) > 0 {
			line += " (" + sayTags(r.Tags) + ")"
		}
		reply.Lines = append(reply.Lines, line)
	}
	return reply
}

func unknown(all []storage.Recipe, name string) desk.Reply {
	reply := desk.AskBack("There is no recipe " + desk.Quote(name) + ".")
	for _, r := range all[:min(len(all), 4)] {
		reply.Buttons = append(reply.Buttons, desk.Labelled(r.Name, "recipe "+r.Name))
	}
	return reply
}

// pick returns the one recipe that the line names.
func pick(req *desk.Request, all []storage.Recipe) (storage.Recipe, desk.Reply, bool) {
	var fit []storage.Recipe
	terms := req.Reading.Terms("recipes")
	for _, r := range all {
		if len(terms) > 0 && !slices.ContainsFunc(terms, func(s phrase.Span) bool { return !means(s.Value.(phrase.Term), r.Name) }) {
			fit = append(fit, r)
		}
	}
	for _, r := range fit {
		if len(terms) == 1 && strings.EqualFold(strings.Join(phrase.Words(terms[0].Text), " "), strings.Join(phrase.Words(r.Name), " ")) {
			return r, desk.Reply{}, true
		}
	}
	switch len(fit) {
	case 0:
		return storage.Recipe{}, desk.Reply{}, false
	case 1:
		return fit[0], desk.Reply{}, true
	}
	reply := desk.AskBack("Which one?")
	for _, r := range fit {
		say := req.Text
		for _, t := range terms {
			say = strings.Replace(say, t.Text, r.Name, 1)
		}
		reply.Lines = append(reply.Lines, r.Name)
		reply.Buttons = append(reply.Buttons, desk.Labelled(r.Name, say))
	}
	return storage.Recipe{}, reply, false
}

func means(t phrase.Term, name string) bool { return t.Name == name || slices.Contains(t.Others, name) }

// recipeList names each recipe by its title and by each word of it.
func recipeList(tx *storage.Tx, household int64) (*phrase.List, error) {
	all, err := tx.RecipeNames(household)
	if err != nil {
		return nil, err
	}
	var entries []phrase.Entry
	for _, r := range all {
		e := phrase.Entry{Name: r.Name, ID: r.ID}
		for _, w := range phrase.Words(r.Name) {
			if !phrase.IsFiller(w) && len(w) > 2 {
				e.Aliases = append(e.Aliases, w)
			}
		}
		entries = append(entries, e)
	}
	return phrase.NewList("recipes", entries), nil
}

// hintsOf are what was to be otherwise with a dish this time.
func hintsOf(req *desk.Request, dish string) ([]string, error) {
	return req.NextTimes(desk.OfRecipe(dish))
}

func show(req *desk.Request, r storage.Recipe) desk.Reply {
	head := r.Name
	if r.Serves > 0 {
		head += fmt.Sprintf(", for %d", r.Serves)
	}
	reply := desk.Answer(head)
	for l := range strings.SplitSeq(r.Body, "\n") {
		if strings.TrimSpace(l) != "" {
			reply.Lines = append(reply.Lines, l)
		}
	}
	if held := heldIn(r, req.Context()); len(held) > 0 {
		reply.Lines = append(reply.Lines, "Holds "+sayAllergens(held)+".")
	}
	if len(r.Tags) > 0 {
		reply.Lines = append(reply.Lines, "Tags: "+sayTags(r.Tags))
	}
	reply.Buttons = []storage.Button{desk.Labelled("x 2", "scale "+r.Name+" x2"), desk.Labelled("Half", "halve the "+r.Name)}
	return reply
}

// keep writes a pasted recipe down as it was typed.
func keep(req *desk.Request) (desk.Reply, error) {
	name, serves, reply, ok := titleSaid(req)
	if !ok {
		return reply, nil
	}
	body := req.More
	if m := serving.FindStringSubmatch(body[0]); m != nil && serves == 0 {
		n, bad, is := servings(req, m[1])
		switch {
		case is:
			serves, body = n, body[1:]
		case bad.Head != "":
			return bad, nil
		}
	}
	var tags []string
	if len(body) > 0 {
		if rest, is := strings.CutPrefix(strings.ToLower(strings.TrimSpace(body[0])), "tags:"); is {
			tags, body = strings.Fields(rest), body[1:]
		}
	}
	text := strings.Trim(strings.Join(body, "\n"), "\n ")
	ingredients, steps := parts(text)
	if len(ingredients) == 0 {
		return desk.AskBack("I see no ingredients. A line each below the title, then an empty line, then the steps."), nil
	}
	if slices.ContainsFunc(phrase.Words(name+" "+text), func(w string) bool {
		return w == "lye" || w == "naoh" || w == "koh" || w == "caustic" || w == "hydroxide"
	}) {
		return desk.Refuse("That is soap, not food: lye is never scaled here. Check it at the soap desk: check 1200 g lard 160 g lye 456 g water"), nil
	}
	if len(text) > maxBody {
		return desk.Refuse(fmt.Sprintf("That recipe is too long: at most %d characters.", maxBody)), nil
	}
	understood, strange := 0, []string(nil)
	for _, l := range ingredients {
		switch in := understand(l, req.Context()); {
		case in.understood():
			understood++
		case !in.heading:
			strange = append(strange, l)
		}
	}
	if understood == 0 && !req.Direct {
		return desk.Reply{}, desk.ErrSilent
	}
	if err := req.Record(storage.Entry{Kind: "recipe", About: "recipe:" + name, Text: "kept the recipe " + name}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SaveRecipe(req.House.ID, storage.Recipe{Name: name, Serves: serves, Body: text, Tags: tags}); err != nil {
		return desk.Reply{}, err
	}
	reply = desk.Answer(fmt.Sprintf("Kept %s: %s, %s.", name, desk.Plural(len(ingredients), "ingredient"), desk.Plural(len(steps), "step")))
	if serves > 0 {
		reply.Head = fmt.Sprintf("Kept %s for %d: %s, %s.", name, serves, desk.Plural(len(ingredients), "ingredient"), desk.Plural(len(steps), "step"))
	}
	for _, l := range strange {
		reply.Lines = append(reply.Lines, "kept as it stands, not scaled: "+l)
	}
	reply.Buttons = []storage.Button{desk.Labelled("Show", "recipe "+name), desk.Labelled("Undo", "undo")}
	return reply, nil
}

var titleServes = phrase.NewPattern(`(?i)^(.*?)[\s,(–-]+(?:enough for|for|serves|makes)\s+(?:about\s+)?([\w\s½-]+?)\)?$`)

// titleSaid reads "recipe Leek pie serves 6".
func titleSaid(req *desk.Request) (name string, serves int, reply desk.Reply, ok bool) {
	name = strings.TrimSpace(strings.TrimLeft(req.AfterForm(), ":- "))
	if at := strings.Index(name, ". "); len([]rune(name)) > maxTitle && at > 0 { // a title with its method behind it
		req.More = slices.Concat([]string{strings.TrimSpace(name[at+2:]), ""}, req.More)
		name = name[:at]
	}
	if m := titleServes.FindStringSubmatch(name); m != nil {
		if n, bad, is := servings(req, m[2]); is {
			name, serves = m[1], n
		} else if bad.Status == storage.Refused {
			return "", 0, bad, false
		}
	}
	if name == "" {
		return "", 0, desk.AskBack("What is the recipe called? Write its title after the word recipe."), false
	}
	if len([]rune(name)) > maxTitle {
		return "", 0, desk.Refuse(fmt.Sprintf("That title is too long: at most %d letters.", maxTitle)), false
	}
	if name == strings.ToUpper(name) {
		name = strings.ToLower(name)
	}
	r := []rune(name)
	return strings.ToUpper(string(r[0])) + string(r[1:]), serves, desk.Reply{}, true
}

// servings reads a number of people.
func servings(req *desk.Request, text string) (int, desk.Reply, bool) {
	r := phrase.Read(text, phrase.Tokens(text), req.Context(), phrase.Query{Kinds: []phrase.Kind{phrase.KindNumber}})
	if len(r.Spans) == 0 {
		return 0, desk.Reply{}, false
	}
	v := r.Spans[0].Value.(*big.Rat)
	if !v.IsInt() || v.Sign() <= 0 || v.Cmp(big.NewRat(1000, 1)) > 0 {
		return 0, desk.Refuse("For how many? A whole number from 1 to 1000."), false
	}
	return int(v.Num().Int64()), desk.Reply{}, true
}
