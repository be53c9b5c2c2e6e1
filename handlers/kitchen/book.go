package kitchen

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// between parts the recipes of a file, as they are written out.
const between = "----"

var partLine = phrase.NewPattern(`^\s*(?:-{4,}|={4,})\s*$`)

// keepAll keeps a pasted recipe, or the several of a file that was written out before.
func keepAll(req *desk.Request) (desk.Reply, error) {
	texts := split(req)
	if len(texts) == 1 {
		return keep(req)
	}
	var kept []string
	var out desk.Reply
	for _, lines := range texts {
		one := *req
		one.Text, one.More = lines[0], lines[1:]
		if !startsRecipe(one.Text) {
			one.Text = "recipe " + one.Text
		}
		toks := phrase.Tokens(one.Text)
		one.Reading = phrase.Reading{Text: one.Text, Tokens: toks, Used: used(toks)}
		one.Direct = true
		reply, err := keep(&one)
		if err != nil {
			return desk.Reply{}, err
		}
		if reply.Status != storage.OK {
			out.Lines = append(out.Lines, fmt.Sprintf("%s: %s", desk.Quote(lines[0]), reply.Head))
			continue
		}
		kept = append(kept, reply.Head)
	}
	head := fmt.Sprintf("Kept %s.", desk.Plural(len(kept), "recipe"))
	if len(kept) == 0 {
		return desk.AskBack("None of these could be kept.", desk.Button("help recipe")), nil
	}
	lines := append(kept, out.Lines...)
	return desk.Answer(head, lines...), nil
}

func used(toks []phrase.Token) []bool {
	out := make([]bool, len(toks))
	if len(out) > 0 {
		out[0] = true
	}
	return out
}

func startsRecipe(line string) bool {
	return strings.HasPrefix(strings.ToLower(strings.TrimSpace(line)), "recipe ")
}

// split cuts what was pasted or dropped into recipes; the first has its title in the
// line itself, or else in the first line below.
func split(req *desk.Request) [][]string {
	var out [][]string
	cur := []string{req.Text}
	if req.AfterForm() == "" && len(req.More) > 0 {
		cur = nil
	}
	for _, l := range req.More {
		if partLine.MatchString(l) {
			out, cur = append(out, cur), nil
			continue
		}
		if cur == nil && strings.TrimSpace(l) == "" {
			continue
		}
		cur = append(cur, l)
	}
	out = append(out, cur)
	out = slices.DeleteFunc(out, func(lines []string) bool { return len(lines) < 2 })
	if len(out) == 0 {
		return [][]string{{req.Text}}
	}
	if len(out) == 1 && req.AfterForm() == "" { // a file with its title in the first line
		req.Text = "recipe " + strings.TrimSpace(strings.TrimPrefix(strings.ToLower(out[0][0])[:0]+out[0][0], "recipe "))
		req.More = out[0][1:]
		toks := phrase.Tokens(req.Text)
		req.Reading = phrase.Reading{Text: req.Text, Tokens: toks, Used: used(toks)}
	}
	return out
}

func bookAsks() []desk.Ask {
	named := []desk.Need{{Kind: phrase.KindTerm, List: "recipes"}}
	lists := []string{"recipes"}
	kept := []string{oatcakes}
	return []desk.Ask{
		{
			Name: "recipe", Command: "recipe", Needs: named, Text: true, Lists: lists, Help: "rename a recipe, tag it, or take it out of the book",
			Forms:    []string{"^rename", "^call", "^delete|forget|remove * recipe", "^delete|forget recipe", "^recipe delete|forget", "^throw away|out * recipe", "^delete the", "^tag|untag", "is now called"},
			Examples: []desk.Example{{Setup: kept, Line: "rename the oatcakes to Plain oatcakes"}, {Setup: kept, Line: "tag the oatcakes breakfast cheap"}, {Setup: kept, Line: "delete the recipe oatcakes"}},
			Plain: func(req *desk.Request) bool {
				return !strings.Contains(req.Text, "?") && (!strings.HasPrefix(req.Form, "^call") || req.Mentions("recipe"))
			}, Do: change,
		},
		{
			Name: "recipe", Command: "recipe", Question: true, Text: true, Help: "recipes by what is in them, or by a tag",
			Forms:    []string{"which|what recipes * have|has|with|use|using|contain|need", "^recipes|recipe with|using|tagged|under", "what have we|i got with|using", "what * with * in it", "what can i|we make|cook with|from", "^find|search recipes|recipe", "^recipes tagged"},
			Examples: []desk.Example{{Setup: kept, Line: "which recipes have oatmeal"}, {Setup: kept, Line: "recipes with lard"}}, Plain: func(req *desk.Request) bool { return len(req.Reading.Unknown) <= 4 }, Do: search,
		},
		{
			Name: "recipe", Command: "recipe", Question: true, Lists: lists, Help: "write the recipes out as plain text, to keep or to give away",
			Forms: []string{"^export * recipes|recipe", "^recipe|recipes export", "^recipes as text|file", "^write out * recipes|recipe"}, Fill: []string{"export", "recipes", "recipe", "all", "the", "as", "text", "file", "write", "out"},
			Examples: []desk.Example{{Setup: kept, Line: "export the recipes"}}, Do: export,
		},
	}
}

var (
	renameTo = phrase.NewPattern(`(?i)\b(?:to|as|is now called|now called)\s+(.+?)(?:\s+(?:please|thanks|thank you))?$`)
	tagWords = phrase.NewPattern(`[\p{L}\d-]+`)
)

// change renames, tags or deletes a recipe.
func change(req *desk.Request) (desk.Reply, error) {
	all, err := req.Tx.Recipes(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	verb := strings.TrimLeft(req.Form, "^")
	if strings.HasPrefix(verb, "rename") || strings.HasPrefix(verb, "call") || strings.Contains(verb, "is now called") {
		return rename(req, all)
	}
	r, reply, ok := pick(req, all)
	if !ok {
		if reply.Head == "" {
			reply = unknown(all, req.AfterForm())
		}
		return reply, nil
	}
	if strings.HasPrefix(verb, "tag") {
		return tag(req, r)
	}
	if req.Who.Child(req.Now) || !req.Grown() {
		return desk.Refuse("A grown-up takes recipes out of the book."), nil
	}
	if err := req.Record(storage.Entry{Kind: "recipe", About: "recipe:" + r.Name, Text: "took the recipe " + r.Name + " out of the book"}); err != nil {
		return desk.Reply{}, err
	}
	return desk.Answer("Taken out of the book: " + r.Name + ". It is still in the day book's undo."), req.Tx.DropRecipe(r.ID)
}

func rename(req *desk.Request, all []storage.Recipe) (desk.Reply, error) {
	m := renameTo.Re().FindStringSubmatchIndex(req.Text)
	if m == nil {
		return desk.AskBack("Rename it to what? For example: rename the soup to Barley broth"), nil
	}
	name := strings.Trim(req.Text[m[2]:m[3]], " .\"'")
	terms := slices.DeleteFunc(req.Reading.Terms("recipes"), func(s phrase.Span) bool { return s.Start >= m[0] })
	one := *req
	one.Reading.Spans = terms
	r, reply, ok := pick(&one, all)
	if !ok {
		if reply.Head == "" {
			reply = desk.AskBack("Which recipe? For example: rename the soup to Barley broth")
		}
		return reply, nil
	}
	if name == "" || len([]rune(name)) > maxTitle {
		return desk.AskBack(fmt.Sprintf("A name of at most %d letters, please.", maxTitle)), nil
	}
	if slices.ContainsFunc(all, func(o storage.Recipe) bool { return o.ID != r.ID && strings.EqualFold(o.Name, name) }) {
		return desk.Refuse(fmt.Sprintf("There is a recipe %s already.", desk.Quote(name))), nil
	}
	name = desk.Upper(name)
	if err := req.Record(storage.Entry{Kind: "recipe", About: "recipe:" + name, Text: fmt.Sprintf("the recipe %s is now called %s", r.Name, name)}); err != nil {
		return desk.Reply{}, err
	}
	day := reminders.Day(req.Wall)
	meals, err := req.Tx.Meals(req.House.ID, day, day.AddDate(1, 0, 0))
	if err != nil {
		return desk.Reply{}, err
	}
	for _, m := range meals { // planned meals go on with their recipe
		if !strings.EqualFold(m.Recipe, r.Name) {
			continue
		}
		m.Recipe = name
		if err := req.Tx.SaveMeal(m); err != nil {
			return desk.Reply{}, err
		}
	}
	if err := req.Tx.MoveNextTimes(req.House.ID, desk.OfRecipe(r.Name), desk.OfRecipe(name)); err != nil {
		return desk.Reply{}, err
	}
	return desk.Answer(fmt.Sprintf("%s is now called %s.", r.Name, name)), req.Tx.RenameRecipe(r.ID, name)
}

// tag adds words to a recipe, or with untag takes them away.
func tag(req *desk.Request, r storage.Recipe) (desk.Reply, error) {
	terms := req.Reading.Terms("recipes")
	rest := req.Text[terms[len(terms)-1].End:]
	words := tagsSaid(rest)
	if len(words) == 0 || len(words) > 8 {
		return desk.AskBack("With which words? For example: tag the soup winter cheap"), nil
	}
	for _, w := range words {
		has := slices.Contains(r.Tags, w)
		switch {
		case req.Mentions("untag"):
			r.Tags = slices.DeleteFunc(r.Tags, func(t string) bool { return t == w })
		case !has:
			r.Tags = append(r.Tags, w)
		}
	}
	if err := req.Record(storage.Entry{Kind: "recipe", About: "recipe:" + r.Name, Text: fmt.Sprintf("tags of %s: %s", r.Name, sayTags(r.Tags))}); err != nil {
		return desk.Reply{}, err
	}
	head := fmt.Sprintf("%s: %s.", r.Name, sayTags(r.Tags))
	if req.Mentions("untag") {
		head = fmt.Sprintf("%s: %s taken off.", r.Name, sayTags(words))
	}
	return desk.Answer(head), req.Tx.SaveRecipe(req.House.ID, r)
}

// tagsSaid are the tags of a line: words parted by commas or "and"; several words
// together are one tag, kept with a low line between them.
func tagsSaid(text string) []string {
	var out []string
	parts := desk.Things(strings.ToLower(text))
	for _, part := range parts {
		words := slices.DeleteFunc(tagWords.Re().FindAllString(part, -1), func(w string) bool {
			return phrase.IsFiller(w) || w == "recipe" || w == "as"
		})
		if len(parts) == 1 && len(words) > 1 && !strings.ContainsAny(text, ",") { // "winter cheap"
			return words
		}
		if len(words) > 0 && len(words) <= 3 {
			out = append(out, strings.Join(words, "_"))
		}
	}
	return out
}

// sayTags writes tags for people.
func sayTags(tags []string) string { return strings.ReplaceAll(strings.Join(tags, ", "), "_", " ") }

// search finds recipes by what is in them, by a tag, or by a word of the title.
func search(req *desk.Request) (desk.Reply, error) {
	all, err := req.Tx.Recipes(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	var words []string
	for _, w := range phrase.Words(req.AfterForm()) {
		if !phrase.IsFiller(w) && w != "recipe" && w != "recipes" && w != "what" && len(w) > 2 {
			words = append(words, w)
		}
	}
	if len(words) == 0 && req.Mentions("can") {
		return desk.Reply{}, desk.ErrSilent // "with what we have": what is missing is asked of one recipe
	}
	if len(words) == 0 {
		return listed(all), nil
	}
	var found []storage.Recipe
	for _, r := range all {
		if !slices.ContainsFunc(words, func(w string) bool { return !holdsWord(r, w) }) {
			found = append(found, r)
		}
	}
	if len(found) == 0 {
		return desk.Answer(fmt.Sprintf("No recipe has %s.", desk.List(words))), nil
	}
	out := listed(found)
	out.Head = fmt.Sprintf("With %s:", desk.List(words))
	return out, nil
}

// holdsWord reports a word in a recipe's title, tags or ingredients, in either number.
func holdsWord(r storage.Recipe, word string) bool {
	ingredients, _ := parts(r.Body)
	for _, text := range append([]string{r.Name, sayTags(r.Tags)}, ingredients...) {
		for _, w := range phrase.Words(text) {
			if sameWord(w, word) {
				return true
			}
		}
	}
	return false
}

// sameWord compares two words whatever their number.
func sameWord(a, b string) bool {
	if a == b {
		return true
	}
	for _, suffix := range []string{"s", "es"} {
		if a+suffix == b || b+suffix == a {
			return true
		}
	}
	return strings.HasSuffix(a, "y") && strings.TrimSuffix(a, "y")+"ies" == b || strings.HasSuffix(b, "y") && strings.TrimSuffix(b, "y")+"ies" == a
}

// export writes recipes out so that dropping the file in the chat keeps them again.
func export(req *desk.Request) (desk.Reply, error) {
	all, err := req.Tx.Recipes(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if r, _, ok := pick(req, all); ok {
		all = []storage.Recipe{r}
	}
	if len(all) == 0 {
		return desk.Answer("No recipes are kept yet."), nil
	}
	var texts []string
	for _, r := range all {
		text := "recipe " + r.Name
		if r.Serves > 0 {
			text += fmt.Sprintf(" for %d", r.Serves)
		}
		text += "\n" + r.Body + "\n"
		if len(r.Tags) > 0 {
			text = strings.Replace(text, "\n", "\ntags: "+strings.Join(r.Tags, " ")+"\n", 1)
		}
		texts = append(texts, text)
	}
	out := desk.Answer(fmt.Sprintf("%s, as plain text. Sent to me with the line recipe, they are kept again.", desk.Plural(len(all), "recipe")))
	out.Files = []storage.File{{Name: "recipes.txt", Type: "text/plain", Content: []byte(strings.Join(texts, between+"\n"))}}
	return out, nil
}
