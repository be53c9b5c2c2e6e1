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

func editAsk() desk.Ask {
	kept := []string{oatcakes}
	return desk.Ask{
		Name: "recipe", Command: "recipe", Text: true, Lists: []string{"recipes"}, Help: "change a line of a recipe",
		Forms: []string{"instead of", "serves|feeds * now", "now serves|feeds", "^the * takes|has|needs * not", "^add * to", "^put * in", "^leave out", "^leave * out", "^without", "^take * out of", "^no more * in", "^change|replace|swap * to|with|by|for", "^the * takes|has|needs"},
		Examples: []desk.Example{
			{Setup: kept, Line: "in the oatcakes 450 g oatmeal instead of 400 g"}, {Setup: kept, Line: "add 1 tbsp honey to the oatcakes"}, {Setup: kept, Line: "leave out the salt in the oatcakes"},
		},
		Plain: plainEdit, Do: edit,
	}
}

// plainEdit keeps "add two carrots to the soup, will you" for a change of the book only
// where it names a recipe and an amount, or a line of it.
func plainEdit(req *desk.Request) bool {
	if strings.Contains(req.Text, "?") || req.Mentions("list", "shopping", "tonight", "tomorrow", "please", "could", "can", "you", "tin", "pot") {
		return false
	}
	if req.Mentions("recipe") && len(req.Reading.Terms("recipes")) == 0 {
		return true
	}
	c, reply, ok := readChange(req)
	return ok && reply.Head == "" && (c.at >= 0 || c.serves > 0 || c.add != "" && (strings.ContainsAny(c.add, "0123456789½¼¾") || understand(c.add, req.Context()).understood()))
}

// amend is one change of a recipe's lines.
type amend struct {
	recipe storage.Recipe
	at     int    // the ingredient line that changes, -1 for none
	line   string // what it becomes; empty for out
	add    string // a line that is added
	serves int    // what it feeds from now on
}

var (
	insteadOf = phrase.NewPattern(`(?i)^(.*?)\s+instead of\s+(.*)$`)
	addTo     = phrase.NewPattern(`(?i)^(?:/?recipe\s+)?(?:add|put)\s+(.*?)\s+(?:to|in|into)(?:\s+the)?\s*(?:recipe)?$`)
	takesNot  = phrase.NewPattern(`(?i)^(?:the\s+)?(?:takes|has|needs|wants)\s+(.*?),?\s+(?:and )?not\s+(.*)$`)
	servesNow = phrase.NewPattern(`(?i)\b(?:serves|feeds|makes)\s+(\w+)`)
	leaveOut  = phrase.NewPattern(`(?i)^(?:/?recipe\s+)?(?:leave out|without|no more)\s+(.*?)\s*(?:in|from|of|out of)?\s*(?:the\s*)?$|^(?:leave|take)\s+(.*?)\s+out(?:\s+of)?\s*(?:the\s*)?$`)
	swapFor   = phrase.NewPattern(`(?i)^(?:change|replace|swap)\s+(.*?)\s+(?:to|with|by|for)\s+(.*)$`)
	inTheFor  = phrase.NewPattern(`(?i)^\s*(?:in|for|the)?\s*(?:the\s+)?[,:]?\s*|\s*[,:]?\s*\b(?:in|of|for|to)\s+(?:the\s+)?$`)
)

// edit changes a line of a recipe.
func edit(req *desk.Request) (desk.Reply, error) {
	c, reply, ok := readChange(req)
	if !ok {
		return reply, nil
	}
	body, was := c.applied()
	if err := req.Record(storage.Entry{Kind: "recipe", About: "recipe:" + c.recipe.Name, Text: fmt.Sprintf("%s: %s", c.recipe.Name, was)}); err != nil {
		return desk.Reply{}, err
	}
	c.recipe.Body = body
	if c.serves > 0 {
		c.recipe.Serves = c.serves
	}
	if err := req.Tx.SaveRecipe(req.House.ID, c.recipe); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(fmt.Sprintf("%s: %s.", c.recipe.Name, was))
	out.Buttons = []storage.Button{desk.Labelled("Show", "recipe "+c.recipe.Name), desk.Labelled("Undo", "undo")}
	warn, err := allergyWarnings(req, body+"\n"+c.recipe.Name)
	out.Cautions = warn
	return out, err
}

// applied returns the recipe with the change, and what it was.
func (c amend) applied() (body, said string) {
	lines := strings.Split(c.recipe.Body, "\n")
	if c.serves > 0 {
		return c.recipe.Body, fmt.Sprintf("for %d from now on", c.serves)
	}
	if c.add != "" {
		at := lastIngredient(lines)
		lines = slices.Insert(lines, at+1, c.add)
		return strings.Join(lines, "\n"), "added " + c.add
	}
	old := strings.TrimSpace(lines[c.at])
	if c.line == "" {
		return strings.Join(slices.Delete(lines, c.at, c.at+1), "\n"), "left out " + old
	}
	lines[c.at] = c.line
	return strings.Join(lines, "\n"), fmt.Sprintf("%s instead of %s", c.line, old)
}

// lastIngredient is the place of the last ingredient line among all lines.
func lastIngredient(lines []string) int {
	ingredients, _ := parts(strings.Join(lines, "\n"))
	at := -1
	for i, l := range lines {
		if len(ingredients) > 0 && strings.TrimSpace(leadBullet.ReplaceAllString(l, "")) == ingredients[len(ingredients)-1] {
			at = i
		}
	}
	return at
}

// readChange reads what a line changes of which recipe.
func readChange(req *desk.Request) (amend, desk.Reply, bool) {
	c := amend{at: -1}
	all, err := req.Tx.Recipes(req.House.ID)
	if err != nil {
		return c, desk.Reply{}, false
	}
	terms := req.Reading.Terms("recipes")
	if len(terms) == 0 {
		return c, unknown(all, req.Text), false
	}
	// A word of a title may be an ingredient as well: the recipe is the last one named
	// behind "to", "in", "from", or else the first.
	at := terms[0]
	for _, s := range terms {
		if s.First > 0 && slices.Contains([]string{"the", "to", "in", "from", "of"}, req.Reading.Tokens[s.First-1].Low) {
			at = s
		}
	}
	one := *req
	one.Reading.Spans = []phrase.Span{at}
	r, reply, ok := pick(&one, all)
	if !ok {
		return c, reply, false
	}
	c.recipe = r
	text := strings.TrimSpace(req.Text[:at.Start] + req.Text[at.End:])
	switch {
	case req.Mentions("now") && servesNow.MatchString(text):
		n, reply, ok := servings(req, servesNow.FindStringSubmatch(text)[1])
		c.serves = n
		return c, reply, ok
	case takesNot.MatchString(text):
		m := takesNot.FindStringSubmatch(text)
		return c.swap(req, m[1], m[2])
	case insteadOf.MatchString(text):
		m := insteadOf.FindStringSubmatch(text)
		return c.swap(req, inTheFor.ReplaceAllString(m[1], ""), inTheFor.ReplaceAllString(m[2], ""))
	case leaveOut.MatchString(text):
		m := leaveOut.FindStringSubmatch(text)
		return c.drop(req, strings.TrimSpace(m[1]+m[2]))
	case addTo.MatchString(text):
		c.add = strings.TrimSpace(addTo.FindStringSubmatch(text)[1])
		if in := understand(c.add, req.Context()); !in.understood() {
			return c, desk.AskBack(fmt.Sprintf("How much? For example: add 200 g %s to the %s", c.add, r.Name)), false
		}
		return c, desk.Reply{}, true
	case swapFor.MatchString(text):
		m := swapFor.FindStringSubmatch(text)
		return c.swap(req, inTheFor.ReplaceAllString(m[2], ""), inTheFor.ReplaceAllString(m[1], ""))
	}
	return c, desk.AskBack(fmt.Sprintf("What changes in %s? For example: in the %s 250 g barley instead of 200 g", r.Name, r.Name)), false
}

// swap puts one line in place of another: "250 g barley" for "200 g".
func (c amend) swap(req *desk.Request, now, was string) (amend, desk.Reply, bool) {
	newLine, oldLine := understand(now, req.Context()), understand(was, req.Context())
	things := []string{oldLine.what, newLine.what}
	if oldLine.understood() && oldLine.what == was { // only an amount: the thing is in the new line
		things = []string{newLine.what}
	}
	for _, thing := range things {
		if i, n := c.lineOf(req, thing); n == 1 {
			c.at = i
			break
		}
	}
	if c.at < 0 {
		return c, desk.AskBack(fmt.Sprintf("Which line of %s is that? Its ingredients: %s", c.recipe.Name, strings.Join(first(parts(c.recipe.Body)), "; "))), false
	}
	c.line = figure(req, strings.TrimSpace(now))
	if !newLine.understood() { // another thing in the same amount
		old := understand(strings.Split(c.recipe.Body, "\n")[c.at], req.Context())
		c.line = strings.Replace(old.text, old.what, strings.TrimSpace(now), 1)
	}
	if newLine.understood() && newLine.what == "" {
		old := understand(strings.Split(c.recipe.Body, "\n")[c.at], req.Context())
		c.line = figure(req, strings.TrimSpace(now)) + " " + old.what
	}
	return c, desk.Reply{}, true
}

// figure writes a number in words at the head of a line as a figure.
func figure(req *desk.Request, line string) string {
	r := phrase.Read(line, phrase.Tokens(line), req.Context(), phrase.Query{Kinds: []phrase.Kind{phrase.KindNumber}})
	if s := r.Spans; len(s) > 0 && s[0].Start == 0 && s[0].Text != "a" && s[0].Text != "an" {
		return mixed(s[0].Value.(*big.Rat)) + line[s[0].End:]
	}
	return line
}

func (c amend) drop(req *desk.Request, thing string) (amend, desk.Reply, bool) {
	i, n := c.lineOf(req, inTheFor.ReplaceAllString(thing, ""))
	if n != 1 {
		return c, desk.AskBack(fmt.Sprintf("Which line of %s? Its ingredients: %s", c.recipe.Name, strings.Join(first(parts(c.recipe.Body)), "; "))), false
	}
	c.at = i
	return c, desk.Reply{}, true
}

// lineOf is the ingredient line that holds all the words of a thing, and how many do.
func (c amend) lineOf(req *desk.Request, thing string) (at, n int) {
	var want []string
	for _, w := range phrase.Words(thing) {
		if !phrase.IsFiller(w) {
			want = append(want, w)
		}
	}
	if len(want) == 0 {
		return -1, 0
	}
	lines := strings.Split(c.recipe.Body, "\n")
	last := lastIngredient(lines)
	for i, l := range lines[:last+1] {
		has := phrase.Words(understand(l, req.Context()).what)
		if !slices.ContainsFunc(want, func(w string) bool {
			return !slices.ContainsFunc(has, func(h string) bool { return sameWord(h, w) })
		}) {
			at, n = i, n+1
		}
	}
	return at, n
}

func first(a, _ []string) []string { return a }
