package kitchen

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"

	"yardbell/calc/food"
	"yardbell/calc/headcount"
	"yardbell/calc/measure"
	"yardbell/calc/scaling"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// factorOf is by how much a line scales a recipe, what of it is given away, and where
// the factor comes from: a factor or servings, who is at the table, a pan, a total
// mass, or the ingredient that is short.
func factorOf(req *desk.Request, r storage.Recipe) (k, away *big.Rat, why []string, reply desk.Reply, err error) {
	switch {
	case pansSaid(req):
		k, why, reply = panFactor(req)
	case shortSaid(req, r):
		k, why, reply = shortFactor(req, r)
	case totalSaid(req):
		k, why, reply = totalFactor(req, r)
	case awaySaid(req) != nil || forAll(req) || forChildren(req) || guests(req) > 0:
		k, away, why, reply, err = tableFactor(req, r)
	default:
		var ok bool
		if k, reply, ok = factor(req, r); ok {
			reply = desk.Reply{}
		}
	}
	return k, away, why, reply, err
}

func guests(req *desk.Request) int {
	adults, children := guestsSaid(req)
	return adults + children
}

// forChildren reports that only the children of the house eat.
func forChildren(req *desk.Request) bool {
	return req.Mentions("kids", "children") && !forAll(req) && guests(req) == 0
}

// awaySaid is what is to be given away, in portions: "6 to give", "and 6 for Ruth".
func awaySaid(req *desk.Request) *big.Rat {
	var sum *big.Rat
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		toks := req.Reading.Tokens
		next := func(i int) string {
			if i < len(toks) {
				return toks[i].Low
			}
			return ""
		}
		at := s.Past
		if next(at) == "portions" || next(at) == "servings" {
			at++
		}
		given := next(at) == "to" && slices.Contains([]string{"give", "share", "gift", "take"}, next(at+1)) || next(at) == "away"
		if given || next(at) == "for" && s.First > 0 && givenTo(toks, at+1) {
			if sum == nil { // the very number, so that callers know which one it was
				sum = s.Value.(*big.Rat)
				continue
			}
			sum = new(big.Rat).Add(sum, s.Value.(*big.Rat))
		}
	}
	return sum
}

// givenTo reports that a name or the neighbours stand there: "2 for Ruth".
func givenTo(toks []phrase.Token, i int) bool {
	for i < len(toks) && phrase.IsFiller(toks[i].Low) {
		i++
	}
	return i < len(toks) && (toks[i].Kind == phrase.Word && toks[i].Text != toks[i].Low || slices.Contains([]string{"neighbours", "neighbors", "neighbour", "neighbor"}, toks[i].Low))
}

// tableFactor counts who eats, and what is given.
func tableFactor(req *desk.Request, r storage.Recipe) (k, away *big.Rat, why []string, reply desk.Reply, err error) {
	away = awaySaid(req)
	eat := new(big.Rat)
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		v := s.Value.(*big.Rat)
		if (wordBefore(req, s) == "for" || follows(req, s, "people", "servings", "portions")) && (away == nil || v != away) && !follows(req, s, "to") {
			eat = v
		}
	}
	if away != nil && !away.IsInt() {
		return nil, nil, nil, desk.AskBack("How many portions are to give? For example: for 8 and 4 to give"), nil
	}
	if _, children := guestsSaid(req); eat.Sign() > 0 && children > 0 && !forAll(req) { // "for 7 adults and 4 kids"
		eat = new(big.Rat).Add(eat, ratio(float64(children)*headcount.GuestChild))
		why = []string{fmt.Sprintf("a child counts as %.2g of an adult", headcount.GuestChild)}
	}
	if eat.Sign() == 0 || forAll(req) || guests(req) > 0 {
		adults, children := guestsSaid(req)
		t, terr := tableAt(req, req.Now, adults, children, forChildren(req))
		if terr != nil {
			return nil, nil, nil, reply, terr
		}
		if eat.Sign() == 0 {
			eat.SetFloat64(math.Round(100*t.portions) / 100)
			why = []string{t.say() + " (by age, at 2000 kcal a day a portion)"}
		}
	}
	total := new(big.Rat).Set(eat)
	if away != nil {
		total.Add(total, away)
	}
	k, reply, ok := perServing(r, total)
	if ok {
		reply = desk.Reply{}
	}
	return k, away, why, reply, nil
}

// pansSaid reports two pans in a line.
func pansSaid(req *desk.Request) bool {
	return req.Mentions("round", "rounds", "square", "tin", "pan", "dish", "tray", "inch", "in", "cm") && len(pansOf(req)) == 2
}

// pans is so many of one pan.
type pans struct {
	scaling.Pan
	count float64
}

// side is a length of a pan that a line gives; bare when it has no unit of its own.
type side struct {
	cm   float64
	bare bool
	span phrase.Span
}

// pansOf reads pans: "20 cm round", "23 x 33 cm", "8x8", "two 8 inch rounds".
func pansOf(req *desk.Request) []pans {
	sides := sidesOf(req)
	toks := req.Reading.Tokens
	var out []pans
	for i := 0; i < len(sides); i++ {
		s, count := sides[i], 1.0
		if i+1 < len(sides) && s.bare && sides[i+1].span.First == s.span.Past { // "two 8 inch rounds"
			v, _ := s.span.Value.(*big.Rat).Float64()
			i, count, s = i+1, v, sides[i+1]
		}
		if i+1 < len(sides) && sides[i+1].span.First-s.span.Past == 1 && slices.Contains([]string{"x", "by", "*", "×"}, toks[s.span.Past].Low) {
			out = append(out, pans{scaling.Pan{Length: s.cm, Width: sides[i+1].cm}, count})
			i++
			continue
		}
		switch shapeBehind(toks, s.span.Past) {
		case "square", "squares":
			out = append(out, pans{scaling.Pan{Length: s.cm, Width: s.cm}, count})
		case "round", "rounds", "cake", "cakes":
			out = append(out, pans{scaling.Pan{Round: true, Length: s.cm}, count})
		}
	}
	return out
}

// shapeBehind is the word of a pan's shape just behind its side.
func shapeBehind(toks []phrase.Token, from int) string {
	for j := from; j < min(from+3, len(toks)); j++ {
		if w := toks[j].Low; slices.Contains([]string{"round", "rounds", "square", "squares", "cake", "cakes"}, w) {
			return w
		}
	}
	return ""
}

// sidesOf are the lengths of a line; a bare number is in the unit that another gives.
func sidesOf(req *desk.Request) []side {
	var sides []side
	unit := measure.Centimetre
	if req.House.US || req.Mentions("inch", "inches") {
		unit = measure.Inch
	}
	for _, s := range req.Reading.Spans {
		switch v := s.Value.(type) {
		case phrase.Quantity:
			if v.Unit.Dim == measure.Length {
				sides = append(sides, side{v.Float(), false, s})
				unit = v.Unit
			}
		case *big.Rat:
			if s.Kind == phrase.KindNumber {
				f, _ := v.Float64()
				sides = append(sides, side{f, true, s})
			}
		}
	}
	one := measure.Quantity{Amount: big.NewRat(1, 1), Unit: unit}.Float()
	for i := range sides {
		if sides[i].bare {
			sides[i].cm *= one
		}
	}
	return sides
}

func panFactor(req *desk.Request) (*big.Rat, []string, desk.Reply) {
	all := pansOf(req)
	f, err := scaling.PanFactor(all[0].Pan, all[1].Pan, false)
	if err != nil || all[0].count <= 0 || all[1].count <= 0 {
		return nil, nil, desk.Refuse("Those pans cannot be: a round one by its width, another by two sides. For example: the sponge from 20 cm round to 23 x 33 cm")
	}
	f *= all[1].count / all[0].count
	k := ratio(f)
	why := []string{fmt.Sprintf("x %.2f by area, for the same depth and the same time", f)}
	if nice, ok := scaling.Nice(k); ok && nice.Cmp(k) != 0 {
		why = append(why, fmt.Sprintf("x %s is near enough in a kitchen: a little deeper or thinner", mixed(nice)))
	}
	return k, why, desk.Reply{}
}

// ratio is a float as a rational of three places.
func ratio(f float64) *big.Rat { return big.NewRat(int64(math.Round(f*1000)), 1000) }

// shortWords reports words of having little.
func shortWords(req *desk.Request) bool { return req.Mentions("only", "short", "left", "have", "got") }

// shortSaid reports a line that says what there is of an ingredient, or how much of it
// there shall be: "I only have 300 g flour", "to 500 g barley".
func shortSaid(req *desk.Request, r storage.Recipe) bool {
	for _, s := range amountsSaid(req) {
		if shortWords(req) || wordBefore(req, s) == "to" {
			if thing := thingBehind(req, s); thing != "" && ingredientCalled(r, thing, req.Context()) {
				return true
			}
		}
	}
	return req.Mentions("only", "short") && len(req.Reading.Of(phrase.KindQuantity)) > 0
}

func amountsSaid(req *desk.Request) []phrase.Span {
	return append(req.Reading.Of(phrase.KindQuantity), req.Reading.Of(phrase.KindNumber)...)
}

// shortFactor scales to the ingredient that is short.
func shortFactor(req *desk.Request, r storage.Recipe) (*big.Rat, []string, desk.Reply) {
	ingredients, _ := parts(r.Body)
	for _, s := range amountsSaid(req) {
		thing := thingBehind(req, s)
		for _, text := range ingredients {
			in := understand(text, req.Context())
			if thing == "" || !in.understood() || !slices.ContainsFunc(phrase.Words(in.what), func(w string) bool { return sameWord(w, thing) }) {
				continue
			}
			k, ok := in.against(s)
			if !ok {
				return nil, nil, desk.AskBack(fmt.Sprintf("%s is written as %s: how much of it is that? Say it in the same unit.", desk.Upper(in.what), in.text))
			}
			return k, []string{fmt.Sprintf("it is the %s that decides", in.what)}, desk.Reply{}
		}
	}
	return nil, nil, desk.AskBack(fmt.Sprintf("Which ingredient of %s is short? Its ingredients: %s", r.Name, strings.Join(ingredients, "; ")))
}

// thingBehind is the word behind an amount that names the thing.
func thingBehind(req *desk.Request, s phrase.Span) string {
	toks := req.Reading.Tokens
	for i := s.Past; i < min(s.Past+4, len(toks)); i++ {
		if w := toks[i].Low; !phrase.IsFiller(w) && w != "left" {
			return w
		}
	}
	return ""
}

// against is what there is of an ingredient over what is written; by weight where the
// two are in different measures and the thing is known.
func (in ingredient) against(s phrase.Span) (*big.Rat, bool) {
	have, isQuantity := s.Value.(phrase.Quantity)
	if !isQuantity {
		n, ok := s.Value.(*big.Rat)
		if !ok || in.unit != nil {
			return nil, false
		}
		return new(big.Rat).Quo(n, in.amount), true
	}
	if in.unit != nil && in.unit.Dim == have.Unit.Dim {
		return new(big.Rat).Quo(have.Base(), measure.Quantity{Amount: in.amount, Unit: in.unit}.Base()), true
	}
	written, ok := in.grams(big.NewRat(1, 1))
	if !ok || written <= 0 || have.Unit.Dim != measure.Mass {
		return nil, false
	}
	return ratio(have.Float() / written), true
}

// totalSaid reports a total to scale to: "to 4 kg".
func totalSaid(req *desk.Request) bool {
	qs := req.Reading.Of(phrase.KindQuantity)
	if len(qs) != 1 {
		return false
	}
	counted := slices.ContainsFunc(req.Reading.Of(phrase.KindNumber), func(n phrase.Span) bool { return n.Past == qs[0].First })
	return (counted || wordBefore(req, qs[0]) == "to" || wordBefore(req, qs[0]) == "for" || wordBefore(req, qs[0]) == "of" || req.Mentions("total")) && qs[0].Value.(phrase.Quantity).Unit.Dim == measure.Mass
}

func totalFactor(req *desk.Request, r storage.Recipe) (*big.Rat, []string, desk.Reply) {
	s := req.Reading.Of(phrase.KindQuantity)[0]
	want := s.Value.(phrase.Quantity).Float()
	for _, n := range req.Reading.Of(phrase.KindNumber) { // "two 800 g loaves"
		if n.Past == s.First {
			v, _ := n.Value.(*big.Rat).Float64()
			want *= v
		}
	}
	if want <= 0 {
		return nil, nil, desk.Refuse(fmt.Sprintf("Nothing cannot be made. For example: scale %s to 2 kg", r.Name))
	}
	ingredients, _ := parts(r.Body)
	sum := 0.0
	var unknown []string
	for _, text := range ingredients {
		in := understand(text, req.Context())
		g, ok := in.grams(big.NewRat(1, 1))
		if !ok && in.understood() {
			unknown = append(unknown, in.text)
		}
		sum += g
	}
	if sum <= 0 || len(unknown) > 0 {
		return nil, nil, desk.AskBack(fmt.Sprintf("What %s weighs I cannot add up: %s. Scale it by a factor.", r.Name, strings.Join(unknown, "; ")))
	}
	return ratio(want / sum), []string{fmt.Sprintf("all that goes in weighs %.0f g as written; cooking drives off some", sum)}, desk.Reply{}
}

// grams is what an ingredient weighs k times, where that is known.
func (in ingredient) grams(k *big.Rat) (float64, bool) {
	if in.amount == nil {
		return 0, false
	}
	v := new(big.Rat).Mul(in.amount, k)
	switch {
	case in.size != nil && in.size.Unit.Dim == measure.Mass:
		f, _ := new(big.Rat).Mul(v, in.size.Base()).Float64()
		return f, true
	case in.unit != nil && in.unit.Dim == measure.Mass:
		return measure.Quantity{Amount: v, Unit: in.unit}.Float(), true
	}
	f, ok := food.Find(in.what)
	if !ok {
		if in.unit != nil && in.unit.Dim == measure.Volume && slices.Contains([]string{"water", "hot water", "cold water", "warm water", "boiling water"}, strings.ToLower(in.what)) {
			return measure.Quantity{Amount: v, Unit: in.unit}.Float(), true
		}
		return 0, false
	}
	if in.unit == nil {
		if in.each != "" && !strings.Contains(f.Each, in.each) {
			return 0, false
		}
		w, ok := f.WeighEach(v, sizeOf(in.note))
		return w.Grams, ok
	}
	tsp, err := measure.Quantity{Amount: v, Unit: in.unit}.In(measure.Teaspoon)
	if err != nil {
		return 0, false
	}
	w, ok := f.Weigh(tsp.Amount)
	return w.Grams, ok
}

func sizeOf(note string) string {
	for _, w := range phrase.Words(note) {
		if slices.Contains([]string{"small", "medium", "large"}, w) {
			return w
		}
	}
	return ""
}

// beside is the weight beside a volume, where volume misleads and the thing is known.
func (in ingredient) beside(k *big.Rat) string {
	if in.unit == nil || in.unit.Dim != measure.Volume || in.top != nil {
		return ""
	}
	f, ok := food.Find(in.what)
	if !ok || !food.Misleads(f) {
		return ""
	}
	g, ok := in.grams(k)
	if !ok || g < 5 {
		return ""
	}
	return fmt.Sprintf(" (%.0f g)", g)
}
