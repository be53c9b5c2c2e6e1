package kitchen

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"yardbell/calc/measure"
	"yardbell/calc/scaling"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// How far a rounded measure may be off (common practice).
const (
	tolerance      = 0.02
	spiceTolerance = 0.04
)

// Bounds of a factor: beyond them a household recipe means something else.
var (
	leastFactor = big.NewRat(1, 50)
	mostFactor  = big.NewRat(100, 1)
)

// words that name a factor by themselves.
var factorWords = map[string]*big.Rat{
	"double": big.NewRat(2, 1), "twice": big.NewRat(2, 1), "triple": big.NewRat(3, 1), "treble": big.NewRat(3, 1), "tripel": big.NewRat(3, 1),
	"quadruple": big.NewRat(4, 1), "halve": big.NewRat(1, 2), "half": big.NewRat(1, 2), "doubled": big.NewRat(2, 1), "halved": big.NewRat(1, 2),
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
	if len(req.Reading.Unknown) > 0 {
		return desk.AskBack(fmt.Sprintf("I do not know %s there. For example: scale %s x3, or %s for 12", desk.Quote(desk.UnknownWords(req.Reading.Unknown)), r.Name, r.Name)), nil
	}
	k, reply, ok := factor(req, r)
	if !ok {
		return reply, nil
	}
	if k.Cmp(leastFactor) < 0 || k.Cmp(mostFactor) > 0 {
		return desk.Refuse("That cannot be: scale by 1/50 to 100 times. For example: scale " + r.Name + " x3"), nil
	}
	return scaled(req, r, k), nil
}

// factor reads x3, double, 50 %, for 12.
func factor(req *desk.Request, r storage.Recipe) (*big.Rat, desk.Reply, bool) {
	var found []*big.Rat
	for _, s := range req.Reading.Of(phrase.KindShare) {
		found = append(found, s.Value.(*big.Rat))
	}
	numbers := req.Reading.Of(phrase.KindNumber)
	for _, t := range req.Reading.Tokens {
		if f := factorWords[t.Low]; f != nil && !insideNumber(numbers, t) {
			found = append(found, f)
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
		case before == "x" || before == "by" || before == "times" || follows(req, s, "times", "x") || !v.IsInt() || v.Cmp(big.NewRat(4, 1)) <= 0:
			found = append(found, v)
		default:
			return nil, desk.AskBack(fmt.Sprintf("%s times the recipe, or for %s people?", s.Text, s.Text),
				desk.Labelled("x "+s.Text, fmt.Sprintf("scale %s x%s", r.Name, s.Text)), desk.Labelled("for "+s.Text, fmt.Sprintf("scale %s for %s", r.Name, s.Text))), false
		}
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

// scaled writes the recipe times k.
func scaled(req *desk.Request, r storage.Recipe, k *big.Rat) desk.Reply {
	reply := desk.Answer(fmt.Sprintf("%s x %s", r.Name, mixed(k)))
	if r.Serves > 0 {
		reply.Head += fmt.Sprintf(", for %s", mixed(new(big.Rat).Mul(k, big.NewRat(int64(r.Serves), 1))))
	}
	ingredients, _ := parts(r.Body)
	kinds := map[string]bool{}
	for _, text := range ingredients {
		in := understand(text, req.Context())
		reply.Lines = append(reply.Lines, in.times(k))
		kinds[kindOf(in.what)] = true
	}
	reply.Assumed = straight(kinds, k)
	reply.Buttons = []storage.Button{desk.Labelled("As written", "recipe "+r.Name)}
	return reply
}

// times writes an ingredient k times: measures that exist for cups and spoons,
// the written unit for the rest.
func (in ingredient) times(k *big.Rat) string {
	switch {
	case in.quantity != nil:
		return amountText(*in.quantity, k, in.what) + " " + in.what
	case in.count != nil:
		return countText(in, k)
	}
	return in.text + " (as it stands)"
}

func amountText(q phrase.Quantity, k *big.Rat, what string) string {
	low := oneAmount(q.Quantity, k, what)
	if q.Top == nil {
		return low
	}
	return low + " to " + oneAmount(measure.Quantity{Amount: q.Top, Unit: q.Unit}, k, what)
}

func oneAmount(q measure.Quantity, k *big.Rat, what string) string {
	v := new(big.Rat).Mul(q.Amount, k)
	switch q.Unit {
	case measure.Teaspoon, measure.Tablespoon, measure.Cup:
		return spoons(measure.Quantity{Amount: v, Unit: q.Unit}, what)
	case measure.Pound:
		return pounds(v)
	case measure.Kilogram, measure.Litre:
		return decimal(v, 3) + " " + q.Unit.Name
	case measure.Gram, measure.Millilitre:
		switch f, _ := v.Float64(); {
		case f < 10:
			return decimal(v, 1) + " " + q.Unit.Name
		case f >= 10_000:
			return decimal(new(big.Rat).Quo(v, big.NewRat(1000, 1)), 3) + " " + map[*measure.Unit]string{measure.Gram: "kg", measure.Millilitre: "L"}[q.Unit]
		}
		return decimal(v, 0) + " " + q.Unit.Name
	}
	return decimal(v, 2) + " " + q.Unit.Name
}

// spoons writes a volume in measures that a kitchen has and says the error when
// there is one.
func spoons(q measure.Quantity, what string) string {
	tsp, err := q.In(measure.Teaspoon)
	if err != nil {
		return decimal(q.Amount, 2) + " " + q.Unit.Name
	}
	within := tolerance
	if kindOf(what) == spice {
		within = spiceTolerance
	}
	m, err := scaling.UsualKit().Measure(tsp.Amount, 0)
	if err == nil && m.Within {
		return m.String()
	}
	m, err = scaling.UsualKit().Measure(tsp.Amount, within)
	if err != nil {
		return decimal(q.Amount, 2) + " " + q.Unit.Name
	}
	return fmt.Sprintf("%s (exact %s %s, %+.1f%%)", m, decimal(q.Amount, 3), q.Unit.Name, 100*m.Error)
}

func pounds(v *big.Rat) string {
	whole := new(big.Int).Quo(v.Num(), v.Denom())
	oz := new(big.Rat).Mul(new(big.Rat).Sub(v, new(big.Rat).SetInt(whole)), big.NewRat(16, 1))
	ozText := decimal(oz, 1)
	if ozText == "16" {
		whole.Add(whole, big.NewInt(1))
		ozText = "0"
	}
	switch {
	case ozText == "0":
		return whole.String() + " lb"
	case whole.Sign() == 0:
		return ozText + " oz"
	}
	return whole.String() + " lb " + ozText + " oz"
}

// eggMass is the edible part of one large egg (USDA SR28, NDB 01123).
const eggMass = 50

func countText(in ingredient, k *big.Rat) string {
	v := new(big.Rat).Mul(in.count, k)
	text := mixed(v)
	if in.top != nil {
		return text + " to " + mixed(new(big.Rat).Mul(in.top, k)) + " " + in.what
	}
	if !v.IsInt() && slices.ContainsFunc(phrase.Words(in.what), func(w string) bool { return w == "egg" || w == "eggs" }) {
		grams, _ := new(big.Rat).Mul(v, big.NewRat(eggMass, 1)).Float64()
		return fmt.Sprintf("%s %s (%.0f g beaten, at %d g an egg)", text, in.what, grams, eggMass)
	}
	return text + " " + in.what
}

// mixed writes a rational as people do: 2 1/2; decimals when the fraction is not
// one that a kitchen has.
func mixed(v *big.Rat) string {
	if v.IsInt() {
		return v.Num().String()
	}
	if d := v.Denom(); d.IsInt64() && slices.Contains([]int64{2, 3, 4, 8}, d.Int64()) {
		whole := new(big.Int).Quo(v.Num(), v.Denom())
		frac := new(big.Rat).Sub(v, new(big.Rat).SetInt(whole))
		if whole.Sign() == 0 {
			return frac.RatString()
		}
		return whole.String() + " " + frac.RatString()
	}
	return decimal(v, 2)
}

func decimal(v *big.Rat, places int) string {
	s := v.FloatString(places)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// Kinds of ingredient that do not scale in a straight line.
const (
	spice  = "spice"
	salt   = "salt"
	raiser = "raiser"
)

var kindWords = map[string]string{
	"salt": salt, "pepper": spice, "chilli": spice, "chili": spice, "nutmeg": spice, "cinnamon": spice, "cloves": spice, "ginger": spice,
	"allspice": spice, "cumin": spice, "paprika": spice, "cayenne": spice, "mace": spice, "cardamom": spice, "turmeric": spice, "curry": spice,
	"mustard": spice, "garlic": spice, "thyme": spice, "sage": spice, "rosemary": spice, "oregano": spice, "herbs": spice,
	"baking": raiser, "bicarbonate": raiser, "soda": raiser,
}

func kindOf(what string) string {
	for _, w := range phrase.Words(what) {
		if k := kindWords[w]; k != "" {
			return k
		}
	}
	return ""
}

// straight says what does not go in a straight line (common practice).
func straight(kinds map[string]bool, k *big.Rat) []string {
	var out []string
	big2, small := k.Cmp(big.NewRat(2, 1)) >= 0, k.Cmp(big.NewRat(1, 2)) <= 0
	if big2 && (kinds[spice] || kinds[salt]) {
		out = append(out, "salt and spice in a pot or soup: start at about three quarters of that and taste; in dough by weight, as it stands")
	}
	if kinds[raiser] && k.Cmp(big.NewRat(4, 1)) > 0 {
		out = append(out, "raising agents: better several batches of the written size")
	}
	if big2 || small {
		out = append(out, "the time stays for the same depth; a deeper pan takes longer")
	}
	return out
}
