package soap

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/calc/lye"
	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// clear is the question to put when a line is not clear.
type unclear struct{ reply desk.Reply }

func (u unclear) Error() string { return u.reply.Head }

func ask(format string, args ...any) error {
	return unclear{desk.AskBack(fmt.Sprintf(format, args...))}
}

func refuse(format string, args ...any) error {
	return unclear{desk.Refuse(fmt.Sprintf(format, args...))}
}

// readRecipe puts a recipe together or says what is not clear. It never
// guesses: an unknown name, a missing unit or two possible readings is asked.
func readRecipe(req *desk.Request) (recipe, error) {
	r := recipe{superfat: -1, sodaPure: -1, share: 1, water: lye.DefaultWater, startC: usualStart}
	list, err := r.takeTemperature(req, beforeName(req, items(req.Reading)))
	if err != nil {
		return r, err
	}
	for _, it := range list {
		r.confirmed = r.confirmed || it.label == wordConfirm
		r.doubt = r.doubt || it.label == wordDoubt
	}
	if err := readAsNamed(req, &r, list); err != nil {
		return r, err
	}
	for _, doubt := range []func(*desk.Request, []item) error{hedged, notThatFat, doubtfulAmount} {
		if err := doubt(req, list); err != nil {
			return r, err
		}
	}
	if err := twoAmounts(list); err != nil {
		return r, err
	}
	pairs, ok := pairUp(list)
	if !ok {
		return r, notClear(req, list)
	}
	if err := strange(req, list); err != nil {
		return r, err
	}
	if lyeOrFat(list, pairs) {
		return r, ask("Is %s the lye or the %s? Put a comma behind the lye's weight, and give each name one amount: lye 160 g, 1200 g lard", list[1].span.Text, list[2].span.Text)
	}
	if err := r.twice(pairs); err != nil {
		return r, err
	}
	if err := r.fill(req, list, pairs); err != nil {
		return r, err
	}
	r.settle()
	if reply, unsure := r.askPotash(); unsure {
		return r, unclear{reply}
	}
	return r, nil
}

// twoAmounts asks about "tallow 1 kg 500 g water": one weight in two units, or two
// weights side by side. Where the amounts stand first there is no doubt.
func twoAmounts(list []item) error {
	first := slices.IndexFunc(list, func(it item) bool { return !it.named })
	for i := 1; i+1 < len(list); i++ {
		q, ok := list[i].span.Value.(phrase.Quantity)
		before, after := list[i-1], list[i+1]
		if !ok || !q.Joined || before.label == "" || after.label == "" || before.named || before.parted || list[i].parted || list[i].span.Past != after.span.First {
			continue
		}
		if list[first].label != "" || i < 2 || list[i-2].label != "" {
			return ask("Is %s one weight, or two? Put a comma between things: 1 kg tallow, 500 g water.", desk.Quote(list[i].span.Text))
		}
	}
	return nil
}

// takeTemperature takes the temperature of the water out of the line, and the word
// "water" right before it with it: "water at 5C".
func (r *recipe) takeTemperature(req *desk.Request, list []item) ([]item, error) {
	at := slices.IndexFunc(list, func(it item) bool {
		q, ok := it.span.Value.(phrase.Quantity)
		return ok && q.Unit.Dim == measure.Temperature
	})
	if at < 0 {
		return list, nil
	}
	q := list[at].span.Value.(phrase.Quantity)
	r.startC = q.Float()
	if q.Top != nil || r.startC < 0 || r.startC > 40 {
		return list, refuse("Lye goes into cold water: 0 to 40 C (32 to 104 F) at most, and %s is not that.", desk.Quote(list[at].span.Text))
	}
	list = slices.Delete(list, at, at+1)
	if at > 0 && list[at-1].label == wordWater && (at < 2 || list[at-2].label != "") {
		list = slices.Delete(list, at-1, at)
	}
	return list, nil
}

// beforeName drops the words of a batch's name: "poured ... called lavender oats".
func beforeName(req *desk.Request, list []item) []item {
	called := slices.IndexFunc(req.Reading.Tokens, func(t phrase.Token) bool { return t.Low == "called" || t.Low == "named" })
	if called < 0 {
		return list
	}
	inName := true
	return slices.DeleteFunc(list, func(it item) bool {
		if it.span.First < called {
			return false
		}
		inName = inName && it.label != ""
		return inName
	})
}

// readAsNamed notes fats that were taken with a slip, and asks where a name is
// too far from any single one.
func readAsNamed(req *desk.Request, r *recipe, list []item) error {
	for _, it := range list {
		t, ok := it.span.Value.(phrase.Term)
		if !ok {
			continue
		}
		if len(t.Others) > 0 && it.fat {
			return unclear{desk.AskBack(fmt.Sprintf("Which fat is %s?", desk.Quote(it.span.Text)), meaning(req, it, append([]string{t.Name}, t.Others...)...)...)}
		}
		if t.Match != phrase.Slip {
			continue
		}
		if it.fat && (t.Slips > 1 || firstLetterOff(it.span.Text, t.Name)) {
			names := fatsLike(it.span.Text, t.Name)
			return unclear{desk.AskBack(fmt.Sprintf("I do not know the fat %s. Did you mean %s?", desk.Quote(it.span.Text), strings.Join(names, " or ")), meaning(req, it, names...)...)}
		}
		if _, acid := lye.AcidNamed(t.Name); isLye(t.Name) || acid || t.Slips > 1 {
			return unclear{desk.AskBack(fmt.Sprintf("Did you mean %s by %s?", t.Name, desk.Quote(it.span.Text)), meaning(req, it, t.Name)...)}
		}
		r.readAs = append(r.readAs, fmt.Sprintf("%s read as %s", desk.Quote(it.span.Text), t.Name))
	}
	return nil
}

// firstLetterOff reports a slip in the first letter of a name, where people hardly
// make one: grape oil is as likely grapeseed as rape.
func firstLetterOff(typed, name string) bool {
	first := strings.ToLower(typed[:1])
	for _, e := range fatEntries() {
		if e.Name == name {
			return !slices.ContainsFunc(append(e.Aliases, name), func(n string) bool { return strings.HasPrefix(n, first) })
		}
	}
	return !strings.HasPrefix(name, first)
}

// fatsLike are the names that a fat typed with a slip may stand for: the nearest
// one, and those that begin as it does.
func fatsLike(typed, nearest string) []string {
	word := phrase.Words(typed)[0]
	out := []string{nearest}
	for _, e := range fatEntries() {
		begins := slices.ContainsFunc(append(e.Aliases, e.Name), func(n string) bool { return strings.HasPrefix(n, word) })
		if begins && e.Name != nearest {
			out = append(out, e.Name)
		}
	}
	return out
}

// meaning makes a button for each name that a word may stand for: the same line
// with the name in its place.
func meaning(req *desk.Request, it item, names ...string) []storage.Button {
	var out []storage.Button
	for _, name := range names {
		out = append(out, desk.Labelled(name, req.Text[:it.span.Start]+name+req.Text[it.span.End:]))
	}
	return out
}

// notClear says why the amounts and names do not pair.
func notClear(req *desk.Request, list []item) error {
	if len(req.Reading.Unknown) > 0 {
		return unknownFat(req)
	}
	for i, it := range list {
		if it.extra && !hasAmountBeside(list, i) {
			return unclear{howMuch(it)}
		}
		if it.fat && !hasAmountBeside(list, i) {
			return ask("How much %s? Give each fat its mass, for example: 900 g %s.", it.label, it.label)
		}
	}
	return ask("I cannot tell which amount belongs to which name. Write it like: lye 900 g lard 300 g coconut superfat 5%%")
}

// howMuch asks for the amount of an additive, with what is usual.
func howMuch(it item) desk.Reply {
	if a, ok := lye.AcidNamed(it.label); ok && a.Usual > 0 && a.Usual < 0.5 {
		return desk.AskBack(fmt.Sprintf("How much %s? It takes up lye, so it has to have a weight, in place of water too: write 300 g %s.", it.label, it.label))
	}
	if a, ok := lye.AdditiveNamed(it.label); ok {
		return desk.AskBack(fmt.Sprintf("How much %s? %s to %s of the fats is usual: write %s %s, or a weight.", it.label, short(a.Low), short(a.High), short(a.Low), it.label))
	}
	return desk.AskBack(fmt.Sprintf("How much %s? 1%% to 2%% of the fats is usual: write 1%% %s, or a weight.", it.label, it.label))
}

func hasAmountBeside(list []item, i int) bool {
	return i > 0 && list[i-1].label == "" || i+1 < len(list) && list[i+1].label == ""
}

func unknownFat(req *desk.Request) error {
	u := req.Reading.Unknown
	last := u[len(u)-1]
	return ask("I do not know %s in: %s\nName each fat as in a fat table, for example lard, tallow, coconut, olive.",
		desk.Quote(desk.UnknownWords(u)), desk.Pointed(req.Text, u[0].Start, last.End))
}

// hedges are words that change what an amount means. Lye is not worked out on a
// line that takes something back or leaves it open.
var hedges = []string{
	"actually", "instead", "no", "not", "without", "double", "twice", "triple", "thrice", "times", "half", "third", "quarter", "tenth", "least", "most", "under", "over", "than", "maybe", "or", "only",
	"which", "less", "minus", "including", "incl", "rest", "remainder", "remaining", "except",
}

// partly reports "100 g of it", "200 g of them": a part of what was weighed before.
func partly(toks []phrase.Token, i int) bool {
	return toks[i].Low == "of" && i+1 < len(toks) && slices.Contains([]string{"it", "them", "that", "those", "these"}, toks[i+1].Low)
}

// hedged asks about a line that changes its mind, and about a fat whose name goes
// on in a way that makes something else of it: coconut milk, peanut butter.
func hedged(req *desk.Request, list []item) error {
	toks := req.Reading.Tokens
	liquid := slices.ContainsFunc(list, func(it item) bool { return it.extra && (isLiquid(it.label) || isAcid(it.label)) })
	for i, t := range toks {
		if t.Low == "instead" && liquid && i+1 < len(toks) && toks[i+1].Low == "of" {
			continue // of water
		}
		if (slices.Contains(hedges, t.Low) || partly(toks, i)) && !insideSpan(req, i) {
			return ask("%s leaves it open. Say the recipe anew with one amount for each thing.", desk.Quote(t.Text))
		}
	}
	for i, it := range list {
		if !it.fat {
			continue
		}
		if i+1 < len(list) && list[i+1].label == wordFat && list[i+1].span.First == it.span.Past {
			return ask("%s is not a fat of the table that I know for certain. Name it as in the table, for example %s.", desk.Quote(it.span.Text+" "+list[i+1].span.Text), it.label)
		}
		if p := it.span.Past; p < len(toks) && slices.ContainsFunc(req.Reading.Unknown, func(t phrase.Token) bool { return t.Start == toks[p].Start }) {
			return unknownFat(req)
		}
	}
	return nil
}

func insideSpan(req *desk.Request, i int) bool {
	return slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool { return i >= s.First && i < s.Past })
}

// twice asks where a line gives the same thing two amounts.
func (r *recipe) twice(pairs []pair) error {
	seen := map[string]bool{}
	for _, p := range pairs {
		if p.label == nil {
			continue
		}
		name := p.label.label
		switch name {
		case wordRatio, wordStrength:
			name = wordWater
		case wordSoda:
			name = wordLye
		case wordMixBack:
			name = wordMix
		}
		if seen[name] && isLye(name) && p.amount.kind == phrase.KindShare { // 120 g naoh, naoh 98%
			continue
		}
		if seen[name] {
			return ask("There are two amounts for %s. Which one?", name)
		}
		seen[name] = true
	}
	return nil
}

// strange asks about a word that nobody knows behind the first thing that is named
// or weighed, or right before an amount: it may be the name of a fat, or change what
// the amount means.
func strange(req *desk.Request, list []item) error {
	toks := req.Reading.Tokens
	first := slices.IndexFunc(list, func(it item) bool { return !isLye(it.label) })
	named := slices.IndexFunc(toks, func(t phrase.Token) bool { return t.Low == "called" || t.Low == "named" })
	for i, t := range toks {
		if named >= 0 && i > named {
			return nil // the name of a batch
		}
		if _, person := req.Person(t.Text); person || forBatch(toks, i) {
			continue
		}
		unknown := slices.ContainsFunc(req.Reading.Unknown, func(u phrase.Token) bool { return u.Start == t.Start })
		if unknown && (first >= 0 && t.Start > list[first].span.Start || rightBefore(toks, i, list)) {
			return unknownFat(req)
		}
	}
	return nil
}

// forBatch reports a word of what a batch is for: "for the christmas batch".
func forBatch(toks []phrase.Token, i int) bool {
	if i < 2 || i+1 >= len(toks) || toks[i-2].Low != "for" || !slices.Contains([]string{"the", "a", "our", "my"}, toks[i-1].Low) {
		return false
	}
	return slices.Contains([]string{"batch", "soap", "bars"}, toks[i+1].Low)
}

// rightBefore reports that nothing but joining words stands between a token and an
// amount behind it.
func rightBefore(toks []phrase.Token, i int, list []item) bool {
	for i++; i < len(toks); i++ {
		if slices.ContainsFunc(list, func(it item) bool { return it.span.First == i }) {
			return slices.ContainsFunc(list, func(it item) bool { return it.span.First == i && it.label == "" })
		}
		if toks[i].Kind == phrase.Word && !phrase.IsFiller(toks[i].Low) {
			return false
		}
	}
	return false
}

// notThatFat asks about a milk, juice or tea of a plant whose oil is a fat of the
// table: almond milk, or milk of almond, is neither almond oil nor a liquid that is
// known.
func notThatFat(req *desk.Request, list []item) error {
	for i := 0; i+1 < len(list); i++ {
		a, b := list[i], list[i+1]
		of := b.span.First == a.span.Past+1 && req.Reading.Tokens[a.span.Past].Low == "of"
		if !(a.fat && plainLiquid(b) && b.span.First == a.span.Past || plainLiquid(a) && b.fat && of) {
			continue
		}
		return ask("I do not know %s as a liquid. Name one of these, or give the fat and the liquid apart, with a comma: goat milk, coconut milk, oat milk, soy milk, beer, wine, juice, tea.",
			desk.Quote(req.Text[a.span.Start:b.span.End]))
	}
	return nil
}

// plainLiquid is a liquid that is named by one word, so that a plant before it
// belongs to its name.
func plainLiquid(it item) bool {
	return it.extra && isLiquid(it.label) && len(phrase.Words(it.span.Text)) == 1
}

// heardAlike are joining words that dictation writes for a number: for and four.
var heardAlike = []string{"for", "to", "too", "ate", "won", "tree"}

// doubtfulAmount asks about an amount that may have lost its beginning: a decimal
// mark that stands alone, or a hundred behind a word that sounds like a number.
func doubtfulAmount(req *desk.Request, list []item) error {
	toks := req.Reading.Tokens
	for n, it := range list {
		i := it.span.First
		if it.label != "" || i == 0 {
			continue
		}
		before, text := toks[i-1], it.span.Text
		hundred := toks[i].Low == "hundred" || toks[i].Low == "thousand"
		switch {
		case hundred && slices.Contains(heardAlike, before.Low):
			return ask("%s: how much is it? Write it in figures.", desk.Quote(before.Text+" "+text))
		case before.Low == "," && toks[i].Glued && !before.Glued:
			return ask("Is %s a part of one, as in 0.5? Write it out: 0.5 kg or 5 kg.", desk.Quote(","+text))
		case before.Low == "-" && !listed(toks, i-1) && (n == 0 || list[n-1].label == "" || isLye(list[n-1].label) || list[n-1].span.Past != i-1):
			return ask("What does the dash before %s mean? Write the amount without it.", desk.Quote(text))
		}
	}
	return nil
}

// listed reports a dash that begins a line of a list.
func listed(toks []phrase.Token, i int) bool {
	return i > 0 && slices.Contains([]string{",", ":", "\n"}, toks[i-1].Low)
}
