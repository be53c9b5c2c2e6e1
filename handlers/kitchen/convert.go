package kitchen

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"

	"yardbell/calc/food"
	"yardbell/calc/measure"
	"yardbell/calc/scaling"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

func convertAsks() []desk.Ask {
	figures := []phrase.Kind{phrase.KindQuantity, phrase.KindNumber}
	few := func(n int) func(*desk.Request) bool {
		return func(req *desk.Request) bool {
			return len(req.Reading.Tokens) <= n && !req.Mentions("soap", "lye", "batch")
		}
	}
	ask := func(help string, forms []string, example string, plain func(*desk.Request) bool, do func(*desk.Request) (desk.Reply, error)) desk.Ask {
		return desk.Ask{Name: "convert", Command: "convert", Text: true, Question: true, Keep: true, Kinds: figures, Help: help, Forms: forms, Examples: []desk.Example{{Line: example}}, Plain: plain, Do: do}
	}
	amount := ask("cups, spoons and weights of an ingredient, and oven temperatures", []string{
		"^convert", "in|to grams|gram|g|kg|cups|cup|ml|litres|liters|ounces|oz|pounds|lb|tbsp|tablespoons|tsp|teaspoons|celsius|fahrenheit|c|f|pints|fl$", "how many|much grams|cups|ounces|ml|g|spoons|tablespoons|teaspoons in|is|are", "cups|cup|grams|ounces|tablespoons|spoons in", "how much|heavy is", "what is * in celsius|fahrenheit|grams|cups|ml|c|f", "weigh$", "how much|what does|do * weigh",
	}, "2 cups flour in grams", plainConvert, convert)
	amount.Needs = []desk.Need{{Kind: phrase.KindQuantity}, {Kind: phrase.KindNumber}}
	return []desk.Ask{
		amount,
		ask("gas marks", []string{"^gas mark|gas", "gas mark"}, "gas mark 4", few(8), func(req *desk.Request) (desk.Reply, error) { return gasMark(req), nil }),
		ask("a fan oven", []string{"fan oven", "in a fan"}, "fan oven for 200 C", few(10), fanOven),
		ask("sticks of butter", []string{"stick|sticks of butter", "stick|sticks butter"}, "a stick of butter in grams", func(req *desk.Request) bool { return len(thingsUnknown(req)) == 0 }, func(req *desk.Request) (desk.Reply, error) { return sticks(req), nil }),
		ask("eggs by weight", []string{"how many eggs", "how many * eggs in|for|is|make|makes"}, "how many eggs in 500 g", func(req *desk.Request) bool { return massSaid(req) > 0 }, func(req *desk.Request) (desk.Reply, error) { return eggs(req), nil }),
		ask("one pan for another", []string{"^convert", "round|rounds|square|tin|pan|inch|cm to|in|into|for", "to", "how much * in a"}, "convert 20 cm round tin to 20x30 cm", func(req *desk.Request) bool {
			return len(pansOf(req)) == 2 && len(req.Reading.Tokens) <= 16 && len(req.Reading.Unknown) <= 8
		}, convertPans),
		ask("dry and cooked grain, beans and pasta", []string{"cooked * dry|dried|uncooked", "dry|dried|uncooked * cooked"}, "8 cups cooked rice, how much dry", func(req *desk.Request) bool {
			return len(req.Reading.Of(phrase.KindQuantity)) > 0 && len(req.Reading.Tokens) <= 14
		}, dryCooked),
	}
}

// thingsUnknown are the words of a question about butter that have nothing to do there.
func thingsUnknown(req *desk.Request) []string {
	var out []string
	for _, w := range strings.Fields(thingOf(req)) {
		if w != "stick" && w != "sticks" && w != "butter" {
			out = append(out, w)
		}
	}
	return out
}

func plainConvert(req *desk.Request) bool {
	numbers := req.Reading.Of(phrase.KindNumber)
	amount := len(req.Reading.Of(phrase.KindQuantity)) > 0
	if !amount && len(numbers) > 0 {
		_, amount = pieceWeight(req, numbers[0])
	}
	return amount && len(req.Reading.Tokens) <= 14 && !req.Mentions("shed", "barn", "batch", "soap", "hens", "pigs", "lye")
}

// convert turns an amount into another measure.
func convert(req *desk.Request) (desk.Reply, error) {
	switch {
	case req.Mentions("gas"):
		return gasMark(req), nil
	case req.Mentions("stick", "sticks") && req.Mentions("butter"):
		return sticks(req), nil
	case len(pansOf(req)) == 2:
		return convertPans(req)
	}
	qs := req.Reading.Of(phrase.KindQuantity)
	if len(qs) == 0 {
		if n := req.Reading.Of(phrase.KindNumber); len(n) > 0 {
			if reply, ok := pieceWeight(req, n[0]); ok {
				return reply, nil
			}
		}
		return desk.AskBack("Convert what? For example: 2 cups flour in grams, 350 F in C, gas mark 4"), nil
	}
	s := qs[0]
	q := s.Value.(phrase.Quantity)
	toHeat, toLength := wantsOther(req, s, "celsius", "fahrenheit", "c", "f"), wantsOther(req, s, "inch", "inches", "cm", "centimetres", "feet", "metres")
	switch {
	case q.Unit.Dim == measure.Temperature && strings.HasSuffix(s.Text, "degrees"):
		return desk.AskBack(fmt.Sprintf("%s of which: C or F?", s.Text), desk.Labelled("C", "convert "+decimal(q.Amount, 1)+" C"), desk.Labelled("F", "convert "+decimal(q.Amount, 1)+" F")), nil
	case q.Unit.Dim == measure.Temperature:
		return temperature(req, q), nil
	case toHeat, toLength && q.Unit.Dim != measure.Length:
		return desk.Refuse("Those two do not measure the same. For example: 2 cups flour in grams, 350 F in C"), nil
	}
	if q.Amount.Sign() < 0 {
		return desk.Refuse("Less than nothing cannot be measured. For example: 2 cups flour in grams"), nil
	}
	to, ok := unitWanted(req, s)
	_, known := food.Find(thingOf(req, s))
	if (known || req.Mentions("weigh", "weight")) && q.Unit.Dim == measure.Volume && !ok {
		to, ok = weighed(req), true
	}
	if !ok {
		to = usualOther(q, req.House.US)
	}
	if to.Dim == q.Unit.Dim {
		return sameMeasure(req, q, to), nil
	}
	return byIngredient(req, q, to), nil
}

// weighed is the unit that the household weighs small amounts in.
func weighed(req *desk.Request) *measure.Unit {
	if req.House.US {
		return measure.Ounce
	}
	return measure.Gram
}

// wantsOther reports that a line names one of the units outside the amount itself.
func wantsOther(req *desk.Request, s phrase.Span, words ...string) bool {
	for i, t := range req.Reading.Tokens {
		if i >= s.Past && slices.Contains(words, t.Low) {
			return true
		}
	}
	return false
}

// sameMeasure is one unit in another that measures the same. In a metric kitchen the
// spoons are those of 5 and 15 ml.
func sameMeasure(req *desk.Request, q phrase.Quantity, to *measure.Unit) desk.Reply {
	out, err := q.In(to)
	if err != nil {
		return desk.Refuse("Those two do not measure the same.")
	}
	spoons := map[*measure.Unit]int64{measure.Teaspoon: 5, measure.Tablespoon: 15}
	if ml, is := spoons[q.Unit]; is && !req.House.US && (to == measure.Millilitre || to == measure.Litre) {
		v := new(big.Rat).Mul(q.Amount, big.NewRat(ml, 1))
		return desk.Answer(fmt.Sprintf("%s %s is %s mL.", decimal(q.Amount, 3), q.Unit.Name, places(v)), fmt.Sprintf("A metric %s is %d mL.", q.Unit.Name, ml))
	}
	return desk.Answer(fmt.Sprintf("%s is %s %s.", sayAmount(q, 3), places(out.Amount), to.Name))
}

// convertPans says by how much a recipe of one pan is scaled for another.
func convertPans(req *desk.Request) (desk.Reply, error) {
	if len(pansOf(req)) != 2 {
		return desk.AskBack("From which pan to which? For example: convert 20 cm round tin to 20x30 cm"), nil
	}
	k, why, reply := panFactor(req)
	if reply.Head != "" {
		return reply, nil
	}
	out := desk.Answer(fmt.Sprintf("Scale what fills the first by %s for the second.", decimal(k, 2)))
	out.Assumed = why
	return out, nil
}

// dryCooked goes between the dry and the cooked measure of grain, beans and pasta.
func dryCooked(req *desk.Request) (desk.Reply, error) {
	s := req.Reading.Of(phrase.KindQuantity)[0]
	q := s.Value.(phrase.Quantity)
	thing := strings.TrimSpace(strings.NewReplacer("cooked", "", "uncooked", "", "dried", "", "dry", "").Replace(thingOf(req, s)))
	f, ok := food.Find(thing + " dry")
	if !ok {
		f, ok = food.Find(thing)
	}
	mass, cups, known := food.Cooked(f)
	if !ok || !known {
		return desk.AskBack(fmt.Sprintf("How %s swells in cooking is not in the table.", desk.Quote(thing))), nil
	}
	if cookedFirst(req) {
		return fromCooked(q, f, mass, cups), nil
	}
	return fromDry(q, f, mass, cups), nil
}

// cookedFirst reports that the amount of a line is of what is cooked.
func cookedFirst(req *desk.Request) bool {
	for _, t := range req.Reading.Tokens {
		switch t.Low {
		case "cooked":
			return true
		case "dry", "dried", "uncooked":
			return false
		}
	}
	return false
}

func fromCooked(q phrase.Quantity, f food.Food, mass, cups float64) desk.Reply {
	if q.Unit.Dim == measure.Mass {
		return swollen(fmt.Sprintf("%s %s cooked is about %.0f g of dry %s.", decimal(q.Amount, 2), q.Unit.Name, q.Float()/mass, f.Name))
	}
	c, err := q.In(measure.Cup)
	if err != nil || cups <= 0 {
		return desk.AskBack(fmt.Sprintf("The table has no cups of cooked %s. Ask by weight.", f.Name))
	}
	v, _ := c.Amount.Float64()
	text := fmt.Sprintf("%s cooked is about %.1f cups of dry %s", sayAmount(q, 2), v/cups, f.Name)
	if w, ok := f.Weigh(new(big.Rat).SetFloat64(48 * v / cups)); ok {
		text += fmt.Sprintf(", %.0f g", w.Grams)
	}
	return swollen(text + ".")
}

func fromDry(q phrase.Quantity, f food.Food, mass, cups float64) desk.Reply {
	dry := 0.0 // cups
	text := fmt.Sprintf("%s of dry %s", sayAmount(q, 2), f.Name)
	if c, err := q.In(measure.Cup); err == nil {
		dry, _ = c.Amount.Float64()
	} else if tsp, ok := f.Teaspoons(q.Float()); ok {
		dry = tsp / 48
	}
	text += " cooks to about"
	if q.Unit.Dim == measure.Mass {
		text += fmt.Sprintf(" %.0f g", q.Float()*mass)
	}
	if dry > 0 && cups > 0 {
		if q.Unit.Dim == measure.Mass {
			text += ","
		}
		text += fmt.Sprintf(" %.1f cups", dry*cups)
	}
	return swollen(text + ".")
}

func swollen(text string) desk.Reply {
	out := desk.Answer(text)
	out.Assumed = []string{"drained; the table of dry and cooked"}
	return out
}

// fanOven is the setting of an oven with a fan.
func fanOven(req *desk.Request) (desk.Reply, error) {
	c, ok := heat(req)
	if !ok {
		return desk.AskBack("For which temperature? For example: fan oven for 200 C"), nil
	}
	low, high, err := scaling.Fan(c)
	if err != nil {
		return desk.Refuse("An oven is from about 90 to 290 C."), nil //nolint:nilerr // said to the person
	}
	return desk.Answer(fmt.Sprintf("With a fan %s to %s instead of %s.", sayTemp(req, low), sayTemp(req, high), sayTemp(req, c))), nil
}

// places writes a converted amount to three figures or so.
func places(v *big.Rat) string {
	f, _ := v.Float64()
	switch {
	case f >= 100:
		return decimal(v, 0)
	case f >= 10:
		return decimal(v, 1)
	}
	return decimal(v, 3)
}

// wantedUnits maps the word of a question to its unit; a household of the kingdom has
// its own pint.
func unitWanted(req *desk.Request, s phrase.Span) (*measure.Unit, bool) {
	units := map[string]*measure.Unit{
		"grams": measure.Gram, "gram": measure.Gram, "g": measure.Gram, "gm": measure.Gram, "kg": measure.Kilogram, "kilos": measure.Kilogram, "cups": measure.Cup, "cup": measure.Cup, "ml": measure.Millilitre, "millilitres": measure.Millilitre, "litres": measure.Litre, "liters": measure.Litre, "l": measure.Litre,
		"ounces": measure.Ounce, "ounce": measure.Ounce, "oz": measure.Ounce, "pounds": measure.Pound, "pound": measure.Pound, "lb": measure.Pound, "lbs": measure.Pound, "tbsp": measure.Tablespoon, "tablespoons": measure.Tablespoon, "tablespoon": measure.Tablespoon, "tsp": measure.Teaspoon, "teaspoons": measure.Teaspoon, "teaspoon": measure.Teaspoon,
	}
	toks := req.Reading.Tokens
	for i, t := range toks {
		if i >= s.First && i < s.Past {
			continue
		}
		if u := units[t.Low]; u != nil {
			return u, true
		}
	}
	return nil, false
}

func usualOther(q phrase.Quantity, us bool) *measure.Unit {
	switch {
	case q.Unit.Dim == measure.Volume && (q.Unit == measure.Millilitre || q.Unit == measure.Litre):
		return measure.Cup
	case q.Unit.Dim == measure.Volume:
		return measure.Millilitre
	case q.Unit == measure.Gram || q.Unit == measure.Kilogram:
		return measure.Ounce
	}
	return measure.Gram
}

// thingOf is the ingredient of a question, without the words of asking.
func thingOf(req *desk.Request, spans ...phrase.Span) string {
	var words []string
	for i, t := range req.Reading.Tokens {
		inside := false
		for _, s := range spans {
			inside = inside || i >= s.First && i < s.Past
		}
		if inside || t.Kind != phrase.Word || phrase.IsFiller(t.Low) || convertWords[t.Low] {
			continue
		}
		words = append(words, t.Low)
	}
	return strings.Join(words, " ")
}

var convertWords = func() map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields("convert grams gram g kg cups cup ml litres liters l ounces ounce oz pounds pound lb lbs tbsp tablespoons tablespoon tsp teaspoons teaspoon how many much weigh weighs weight what whats") {
		m[w] = true
	}
	return m
}()

// byIngredient goes between volume and weight by the table of ingredients.
func byIngredient(req *desk.Request, q phrase.Quantity, to *measure.Unit) desk.Reply {
	thing := thingOf(req, req.Reading.Of(phrase.KindQuantity)[0])
	if thing == "" {
		return desk.AskBack("Of what? A cup of flour and a cup of honey weigh differently. For example: 2 cups flour in grams")
	}
	f, ok := food.Find(thing)
	if !ok {
		return desk.AskBack(fmt.Sprintf("What %s weighs is not in the table of ingredients. Weigh a cup of it once.", desk.Quote(thing)))
	}
	if q.Unit.Dim == measure.Volume {
		tsp, err := q.In(measure.Teaspoon)
		if err != nil {
			return desk.AskBack("That is no volume.")
		}
		w, ok := f.Weigh(tsp.Amount)
		if !ok {
			return desk.AskBack(fmt.Sprintf("The table has no weight by volume for %s.", f.Name))
		}
		return weightAnswer(q, f, w, to)
	}
	tsp, ok := f.Teaspoons(q.Float())
	if !ok {
		return desk.AskBack(fmt.Sprintf("The table has no weight by volume for %s.", f.Name))
	}
	v := new(big.Rat).SetFloat64(math.Round(tsp*1000) / 1000)
	out, err := measure.Quantity{Amount: v, Unit: measure.Teaspoon}.In(to)
	if err != nil {
		return desk.AskBack("Those two do not measure the same.")
	}
	reply := desk.Answer(fmt.Sprintf("%s of %s is about %s %s.", sayAmount(q, 2), f.Name, places(out.Amount), to.Name))
	if m, err := scaling.UsualKit().Measure(v, 0.02); err == nil {
		reply.Lines = []string{"In measures: " + m.String() + "."}
	}
	reply.Assumed = []string{"the open table of household weights; a scale is surer"}
	return reply
}

func weightAnswer(q phrase.Quantity, f food.Food, w food.Weight, to *measure.Unit) desk.Reply {
	in := func(g float64) string {
		v, err := measure.Quantity{Amount: new(big.Rat).SetFloat64(g), Unit: measure.Gram}.In(to)
		if err != nil {
			return fmt.Sprintf("%.0f g", g)
		}
		return places(v.Amount) + " " + to.Name
	}
	reply := desk.Answer(fmt.Sprintf("%s of %s is about %s.", sayAmount(q, 3), f.Name, in(w.Grams)))
	if w.High > 1.02*w.Low {
		reply.Lines = []string{fmt.Sprintf("From %s to %s by how the cup is filled.", in(w.Low), in(w.High))}
	}
	reply.Assumed = []string{"the open table of household weights; a scale is surer"}
	return reply
}

func temperature(req *desk.Request, q phrase.Quantity) desk.Reply {
	c := q.Float()
	f := c*9/5 + 32
	reply := desk.Answer(fmt.Sprintf("%s %s is %.0f F.", decimal(q.Amount, 1), q.Unit.Name, f))
	if q.Unit == measure.Fahrenheit {
		reply = desk.Answer(fmt.Sprintf("%s F is %.0f C.", decimal(q.Amount, 1), c))
	}
	if f >= 200 && f <= 500 {
		if g, err := scaling.NearestMark(f); err == nil {
			reply.Lines = append(reply.Lines, fmt.Sprintf("Gas mark %s.", mark(g)))
		}
		if low, high, err := scaling.Fan(c); err == nil {
			reply.Lines = append(reply.Lines, fmt.Sprintf("In a fan oven %s to %s.", sayTemp(req, low), sayTemp(req, high)))
		}
	}
	return reply
}

// sayAmount writes an amount with its unit.
func sayAmount(q phrase.Quantity, n int) string {
	name := q.Unit.Name
	if slices.Contains([]string{"cup", "pint", "quart", "gallon"}, strings.TrimPrefix(name, "imp ")) && q.Amount.Cmp(big.NewRat(1, 1)) > 0 {
		name += "s"
	}
	return decimal(q.Amount, n) + " " + name
}

func mark(g scaling.Gas) string { return mixed(new(big.Rat).SetFloat64(g.Mark)) }

func gasMark(req *desk.Request) desk.Reply {
	if c, ok := heat(req); ok {
		g, err := scaling.NearestMark(c*9/5 + 32)
		if err != nil {
			return desk.AskBack("Gas marks go from 1/4 to 9, 110 to 245 C.")
		}
		return desk.Answer(fmt.Sprintf("%s is nearest to gas mark %s (%.0f C, %.0f F).", sayTemp(req, c), mark(g), g.C(), g.F))
	}
	if numbers := req.Reading.Of(phrase.KindNumber); len(numbers) > 0 {
		n, _ := numbers[0].Value.(*big.Rat).Float64()
		g, err := scaling.GasMark(n)
		if err != nil {
			return desk.AskBack("Gas marks go from 1/4 to 9.")
		}
		return desk.Answer(fmt.Sprintf("Gas mark %s is %.0f F, %.0f C.", mark(g), g.F, g.C()), fmt.Sprintf("On a dial of round figures: %s C.", dial(g)))
	}
	return desk.AskBack("Which gas mark? For example: gas mark 4")
}

// dial is the round figure that ovens show, to the nearest ten.
func dial(g scaling.Gas) string { return fmt.Sprintf("%.0f", math.Round(g.C()/10)*10) }

// stickGrams is a stick of butter: a quarter of a pound.
const stickGrams = 113.3980925

func sticks(req *desk.Request) desk.Reply {
	n := big.NewRat(1, 1)
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		n = s.Value.(*big.Rat)
	}
	f, _ := n.Float64()
	return desk.Answer(fmt.Sprintf("%s of butter: %.0f g, %s cup, %s tbsp.", stickText(n), f*stickGrams, mixed(new(big.Rat).Quo(n, big.NewRat(2, 1))), mixed(new(big.Rat).Mul(n, big.NewRat(8, 1)))))
}

func stickText(n *big.Rat) string {
	if n.Cmp(big.NewRat(1, 1)) <= 0 {
		return mixed(n) + " stick"
	}
	return mixed(n) + " sticks"
}

func eggs(req *desk.Request) desk.Reply {
	size := "large"
	for _, s := range []string{"small", "medium", "large", "jumbo", "duck", "goose"} {
		if req.Mentions(s) {
			size = s
		}
	}
	for _, s := range req.Reading.Of(phrase.KindQuantity) {
		q := s.Value.(phrase.Quantity)
		if q.Unit.Dim != measure.Mass {
			continue
		}
		n, ok := food.EggsFor(q.Float(), size)
		if !ok {
			break
		}
		each, _ := food.EggGrams(size)
		return desk.Answer(fmt.Sprintf("%.1f %s eggs, so %.0f: %.0f g each without the shell.", n, size, math.Round(n), each))
	}
	return desk.AskBack("In how much? For example: how many eggs in 500 g")
}

// pieceWeight answers what so many of a thing weigh.
func pieceWeight(req *desk.Request, s phrase.Span) (desk.Reply, bool) {
	thing := thingOf(req, s)
	f, ok := food.Find(thing)
	if !ok {
		return desk.Reply{}, false
	}
	w, ok := f.WeighEach(s.Value.(*big.Rat), "")
	if !ok {
		return desk.Reply{}, false
	}
	out := desk.Answer(fmt.Sprintf("%s %s: about %.0f g.", mixed(s.Value.(*big.Rat)), thing, w.Grams))
	out.Assumed = []string{"the open table of household weights, without peel, core or shell"}
	return out, true
}
