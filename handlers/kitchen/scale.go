package kitchen

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"yardbell/calc/measure"
	"yardbell/calc/scaling"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// Bounds of a factor: beyond them a household recipe means something else.
var (
	leastFactor = big.NewRat(1, 50)
	mostFactor  = big.NewRat(100, 1)
)

// words that name a factor by themselves.
var factorWords = map[string]*big.Rat{
	"double": big.NewRat(2, 1), "twice": big.NewRat(2, 1), "triple": big.NewRat(3, 1), "treble": big.NewRat(3, 1), "tripel": big.NewRat(3, 1),
	"quadruple": big.NewRat(4, 1), "halve": big.NewRat(1, 2), "dubble": big.NewRat(2, 1), "half": big.NewRat(1, 2), "doubled": big.NewRat(2, 1), "halved": big.NewRat(1, 2),
}

// scale answers a recipe for another number of people or by a factor.
func scale(req *desk.Request) (desk.Reply, error) {
	all, err := req.Tx.Recipes(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	r, reply, ok := pick(req, all)
	if !ok && reply.Head != "" {
		return reply, nil
	}
	if !ok {
		if name := desk.UnknownWords(req.Reading.Unknown); name != "" {
			return unknown(all, name), nil
		}
		return desk.AskBack("Scale which recipe, and by how much? For example: scale soup x3, or soup for 12"), nil
	}
	if strange := strangers(req); len(strange) > 0 {
		return desk.AskBack(fmt.Sprintf("I do not know %s there. For example: scale %s x3, or %s for 12", desk.Quote(desk.UnknownWords(strange)), r.Name, r.Name)), nil
	}
	k, away, why, reply, err := factorOf(req, r)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if k.Cmp(leastFactor) < 0 || k.Cmp(mostFactor) > 0 {
		return desk.Refuse("That cannot be: scale by 1/50 to 100 times. For example: scale " + r.Name + " x3"), nil
	}
	out := scaled(req, r, k, away, why...)
	hints, err := hintsOf(req, r.Name)
	if err != nil {
		return desk.Reply{}, err
	}
	out.Lines = append(out.Lines, hints...)
	warn, err := allergyWarnings(req, r.Body+"\n"+r.Name)
	out.Cautions = append(out.Cautions, warn...)
	return out, err
}

// strangers are the words of a line that neither the desk nor the recipe knows: its
// ingredients may be named, and who comes to eat.
func strangers(req *desk.Request) []phrase.Token {
	out := slices.Clone(req.Reading.Unknown)
	all, err := req.Tx.Recipes(req.House.ID)
	if err != nil {
		return out
	}
	r, _, ok := pick(req, all)
	return slices.DeleteFunc(out, func(t phrase.Token) bool { return ok && ingredientCalled(r, t.Low, req.Context()) || guestName(req, t) })
}

// ingredientCalled reports that an ingredient of a recipe is called so.
func ingredientCalled(r storage.Recipe, word string, ctx phrase.Context) bool {
	ingredients, _ := parts(r.Body)
	return slices.ContainsFunc(ingredients, func(l string) bool {
		return slices.ContainsFunc(phrase.Words(understand(l, ctx).what), func(w string) bool { return sameWord(w, word) })
	})
}

// guestName reports a name behind "and", "for", "to" or "plus".
func guestName(req *desk.Request, t phrase.Token) bool {
	i := slices.IndexFunc(req.Reading.Tokens, func(o phrase.Token) bool { return o.Start == t.Start })
	return i > 0 && t.Text != t.Low && slices.Contains([]string{"and", "for", "to", "plus", "with"}, req.Reading.Tokens[i-1].Low)
}

// byShare reads "increase by half", "reduce by a third": what is named is added or taken.
func byShare(req *desk.Request, v *big.Rat) *big.Rat {
	one := big.NewRat(1, 1)
	share := slices.ContainsFunc(req.Reading.Tokens, func(t phrase.Token) bool { return t.Low == "%" || t.Low == "percent" })
	switch {
	case share && req.Mentions("more", "extra", "bigger"):
		return one.Add(one, v)
	case share && req.Mentions("less", "smaller", "fewer"):
		return one.Sub(one, v)
	case req.Mentions("increase", "increased", "raise") && req.Mentions("by"):
		return one.Add(one, v)
	case req.Mentions("reduce", "decrease", "cut") && req.Mentions("by"):
		return one.Sub(one, v)
	}
	return v
}

// factor reads x3, double, 50 %, for 12.
func factor(req *desk.Request, r storage.Recipe) (*big.Rat, desk.Reply, bool) {
	var found []*big.Rat
	for _, s := range req.Reading.Of(phrase.KindShare) {
		found = append(found, byShare(req, s.Value.(*big.Rat)))
	}
	numbers := req.Reading.Of(phrase.KindNumber)
	for _, t := range req.Reading.Tokens {
		if f := factorWords[t.Low]; f != nil && !insideNumber(numbers, t) {
			found = append(found, byShare(req, f))
		}
	}
	people := 0
	for _, s := range numbers {
		v := s.Value.(*big.Rat)
		switch before := wordBefore(req, s); {
		case before == "for" || before == "to" || before == "serves" || before == "feed" || before == "feeds" || follows(req, s, "servings", "people", "portions"):
			people++
			n, reply, ok := perServing(r, v)
			if !ok {
				return nil, reply, false
			}
			found = append(found, n)
		case follows(req, s, "%", "percent"):
			found = append(found, byShare(req, new(big.Rat).Quo(v, big.NewRat(100, 1))))
		case before == "x" || before == "by" || before == "times" || follows(req, s, "times", "x") || !v.IsInt() || v.Cmp(big.NewRat(4, 1)) <= 0:
			found = append(found, byShare(req, v))
		default:
			return nil, desk.AskBack(fmt.Sprintf("%s times the recipe, or for %s people?", s.Text, s.Text),
				desk.Labelled("x "+s.Text, fmt.Sprintf("scale %s x%s", r.Name, s.Text)), desk.Labelled("for "+s.Text, fmt.Sprintf("scale %s for %s", r.Name, s.Text))), false
		}
	}
	if len(found) == 0 && inGrams(req) {
		return big.NewRat(1, 1), desk.Reply{}, true
	}
	switch len(found) {
	case 1:
		return found[0], desk.Reply{}, true
	case 0:
		return nil, desk.AskBack(fmt.Sprintf("By how much? For example: scale %s x3, or %s for 12", r.Name, r.Name),
			desk.Labelled("x 2", "scale "+r.Name+" x2"), desk.Labelled("half", "halve the "+r.Name)), false
	}
	return nil, desk.AskBack("Which of the two? Give one factor, or one number of people."), false
}

func insideNumber(numbers []phrase.Span, t phrase.Token) bool {
	return slices.ContainsFunc(numbers, func(s phrase.Span) bool { return t.Start >= s.Start && t.End <= s.End })
}

func wordBefore(req *desk.Request, s phrase.Span) string {
	if s.First == 0 {
		return ""
	}
	return req.Reading.Tokens[s.First-1].Low
}

func follows(req *desk.Request, s phrase.Span, words ...string) bool {
	return s.Past < len(req.Reading.Tokens) && slices.Contains(words, req.Reading.Tokens[s.Past].Low)
}

func perServing(r storage.Recipe, wanted *big.Rat) (*big.Rat, desk.Reply, bool) {
	if wanted.Sign() <= 0 {
		return nil, desk.Refuse("For how many? A number above 0."), false
	}
	if r.Serves == 0 {
		return nil, desk.AskBack(fmt.Sprintf("%s does not say how many it feeds. Scale it by a factor: scale %s x2", r.Name, r.Name),
			desk.Labelled("x 2", "scale "+r.Name+" x2")), false
	}
	return new(big.Rat).Quo(wanted, big.NewRat(int64(r.Serves), 1)), desk.Reply{}, true
}

// scaled writes the recipe times k. Away is what is to be given, in portions; why says
// where the factor comes from.
func scaled(req *desk.Request, r storage.Recipe, k *big.Rat, away *big.Rat, why ...string) desk.Reply {
	reply := desk.Answer(fmt.Sprintf("%s x %s", r.Name, mixed(k)))
	if r.Serves > 0 {
		reply.Head += fmt.Sprintf(", for %s", roundly(new(big.Rat).Mul(k, big.NewRat(int64(r.Serves), 1))))
	}
	ingredients, _ := parts(r.Body)
	var kinds []scaling.Kind
	grams, all := 0.0, true
	for _, text := range ingredients {
		in := understand(text, req.Context())
		reply.Lines = append(reply.Lines, in.line(k, inGrams(req)))
		kinds = append(kinds, scaling.KindOf(in.what))
		g, ok := in.grams(k)
		grams, all = grams+g, all && (ok || in.heading || in.amount == nil)
	}
	reply.Lines = append(reply.Lines, share(r, k, away, grams, all)...)
	reply.Assumed = append([]string{}, why...)
	for _, note := range scaling.Notes(kinds, k, false) {
		reply.Assumed = append(reply.Assumed, lowered(strings.TrimSuffix(note, ".")))
	}
	reply.Buttons = []storage.Button{desk.Labelled("As written", "recipe "+r.Name)}
	return reply
}

// lowered begins a sentence as the part of another.
func lowered(text string) string {
	r, n := utf8.DecodeRuneInString(text)
	return string(unicode.ToLower(r)) + text[n:]
}

// inGrams reports that a recipe is wanted by weight throughout.
func inGrams(req *desk.Request) bool {
	return req.Mentions("grams", "weights", "weight") && len(req.Reading.Of(phrase.KindQuantity)) == 0
}

// line is an ingredient k times, by weight where that is wanted and known.
func (in ingredient) line(k *big.Rat, weighed bool) string {
	if weighed && in.unit != nil && in.unit.Dim == measure.Volume && in.top == nil {
		if g, ok := in.grams(k); ok {
			return fmt.Sprintf("%.0f g %s", g, in.what)
		}
	}
	return in.times(k) + in.beside(k)
}

// roundly writes portions: a third of a person is nobody's.
func roundly(v *big.Rat) string {
	if v.Denom().Cmp(big.NewInt(4)) <= 0 {
		return mixed(v)
	}
	return "about " + decimal(v, 1)
}

// share says how much of the pot is to be given away.
func share(r storage.Recipe, k, away *big.Rat, grams float64, all bool) []string {
	if away == nil || away.Sign() <= 0 || r.Serves == 0 {
		return nil
	}
	whole := new(big.Rat).Mul(k, big.NewRat(int64(r.Serves), 1))
	part, _ := new(big.Rat).Quo(away, whole).Float64()
	text := fmt.Sprintf("To give: %s of the %s portions, %.0f%% of the pot", mixed(away), mixed(whole), 100*part)
	if all && grams > 0 {
		text += fmt.Sprintf(", about %.0f g before cooking", part*grams)
	}
	return []string{text + ". A pan of its own cools faster and keeps clean."}
}
