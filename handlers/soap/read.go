package soap

import (
	"fmt"
	"slices"

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
	if err := hedged(req, list); err != nil {
		return r, err
	}
	if err := twoAmounts(list); err != nil {
		return r, err
	}
	pairs, ok := pairUp(list)
	if !ok {
		return r, notClear(req, list)
	}
	if err := strangeInside(req, pairs); err != nil {
		return r, err
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
		if !ok || !q.Joined || before.label == "" || after.label == "" || before.named || list[i].span.Past != after.span.First {
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
		if t.Slips > 1 && it.fat {
			return unclear{desk.AskBack(fmt.Sprintf("I do not know the fat %s. Did you mean %s?", desk.Quote(it.span.Text), t.Name), meaning(req, it, t.Name)...)}
		}
		if _, acid := lye.AcidNamed(t.Name); isLye(t.Name) || acid || t.Slips > 1 {
			return unclear{desk.AskBack(fmt.Sprintf("Did you mean %s by %s?", t.Name, desk.Quote(it.span.Text)), meaning(req, it, t.Name)...)}
		}
		r.readAs = append(r.readAs, fmt.Sprintf("%s read as %s", desk.Quote(it.span.Text), t.Name))
	}
	return nil
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
var hedges = []string{"actually", "instead", "no", "not", "without", "double", "twice", "half", "least", "most", "under", "over", "than", "maybe", "or", "only"}

// hedged asks about a line that changes its mind, and about a fat whose name goes
// on in a way that makes something else of it: coconut milk, peanut butter.
func hedged(req *desk.Request, list []item) error {
	toks := req.Reading.Tokens
	liquid := slices.ContainsFunc(list, func(it item) bool { _, ok := lye.LiquidNamed(it.label); return ok && it.extra })
	for i, t := range toks {
		if t.Low == "instead" && liquid && i+1 < len(toks) && toks[i+1].Low == "of" {
			continue // of water
		}
		if slices.Contains(hedges, t.Low) && !insideSpan(req, i) {
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

// strangeInside asks about a word that nobody knows right behind an amount or
// between an amount and its name: it may be the name of a fat.
func strangeInside(req *desk.Request, pairs []pair) error {
	toks := req.Reading.Tokens
	for _, p := range pairs {
		past := p.amount.span.Past
		for past < len(toks) && (toks[past].Low == "of" || toks[past].Low == "the" || toks[past].Low == "my") {
			past++
		}
		from, to := p.amount.span.Start, p.amount.span.End
		if past < len(toks) {
			to = toks[past].End
		}
		if p.label != nil {
			from, to = min(from, p.label.span.Start), max(to, p.label.span.End)
		}
		if slices.ContainsFunc(req.Reading.Unknown, func(t phrase.Token) bool { return t.Start >= from && t.Start < to }) {
			return unknownFat(req)
		}
	}
	return nil
}
