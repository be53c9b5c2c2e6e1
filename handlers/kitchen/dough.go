package kitchen

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"slices"

	"yardbell/calc/measure"
	"yardbell/calc/starter"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

// usualSalt and usualLevain are shares of all flour where nobody says (common practice).
const (
	usualSalt   = 0.02
	usualLevain = 0.20
)

// dough works out a dough by its weight, by loaves, or by its flour.
func dough(req *desk.Request) (desk.Reply, error) {
	d, err := doughSaid(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if d.hydration == 0 {
		return desk.AskBack("How wet? For example: dough 4 loaves of 850 g, 72% hydration"), nil
	}
	var m starter.Mix
	more := 0.0
	for _, e := range d.extras {
		more += e.share
	}
	if d.total > 0 { // what else goes in is part of the dough's weight
		d.total *= (1 + d.hydration + d.salt) / (1 + d.hydration + d.salt + more)
	}
	switch {
	case d.flour > 0:
		m, err = starter.Dough(d.flour, d.hydration, d.salt, starter.Jar{Grams: d.starter, Hydration: d.wet})
	case d.total > 0:
		m, err = starter.DoughFor(d.total, d.hydration, d.salt, d.levain, d.wet)
	default:
		return desk.AskBack("How much dough? For example: dough 4 loaves of 850 g, 72% hydration"), nil
	}
	if errors.Is(err, starter.ErrTooMuch) {
		return desk.Refuse("That much starter holds more flour or water than the dough."), nil
	}
	if err != nil {
		return desk.Refuse("That dough cannot be: water 30% to 300% of the flour, salt up to 10%."), nil //nolint:nilerr // said to the person
	}
	allFlour := m.Flour + m.Starter/(1+d.wet)
	out := desk.Answer(fmt.Sprintf("%.0f g of dough:", m.Total+more*allFlour))
	out.Lines = []string{fmt.Sprintf("%.0f g flour", m.Flour), fmt.Sprintf("%.0f g water", m.Water)}
	if m.Starter > 0 {
		out.Lines = append(out.Lines, fmt.Sprintf("%.0f g starter at %.0f%%", m.Starter, 100*d.wet))
	}
	out.Lines = append(out.Lines, fmt.Sprintf("%.0f g salt", m.Salt))
	for _, e := range d.extras {
		out.Lines = append(out.Lines, fmt.Sprintf("%.0f g %s", e.share*allFlour, e.name))
	}
	out.Assumed = append(d.assumed, "shares are of all flour, that in the starter included")
	return out, nil
}

// doughWanted is what a line says of a dough.
type doughWanted struct {
	total, flour, starter   float64
	hydration, salt, levain float64
	wet                     float64 // the starter's own water to flour
	extras                  []extra
	assumed                 []string
}

// extra is something else in a dough, as a share of all flour.
type extra struct {
	name  string
	share float64
}

// doughExtras are what else is said of a dough in shares of its flour.
var doughExtras = []string{"yeast", "butter", "oil", "fat", "sugar", "honey", "milk", "egg", "eggs", "malt", "seeds", "lard", "raisins", "nuts"}

func doughSaid(req *desk.Request) (doughWanted, error) {
	d := doughWanted{salt: -1, levain: -1}
	near := func(s phrase.Span, words ...string) bool {
		toks := req.Reading.Tokens
		for i := s.Past; i < min(s.Past+2, len(toks)); i++ { // what stands behind an amount is meant before what stands in front
			if slices.Contains([]string{"flour", "starter", "levain"}, toks[i].Low) {
				return slices.Contains(words, toks[i].Low)
			}
		}
		return s.First > 0 && slices.Contains(words, toks[s.First-1].Low)
	}
	for _, s := range req.Reading.Of(phrase.KindShare) {
		v, _ := s.Value.(*big.Rat).Float64()
		toks := req.Reading.Tokens
		behind := ""
		if s.Past < len(toks) {
			behind = toks[s.Past].Low
		}
		if behind == "" || toks[s.Past].Kind != phrase.Word { // "salt 2 %": the name stands in front only where none follows
			behind = wordBefore(req, s)
		}
		switch {
		case behind != "salt" && d.wet == 0 && ofStarter(req, s):
			d.wet = v
		case behind == "salt":
			d.salt = v
		case behind == "starter" || behind == "levain":
			d.levain = v
		case slices.Contains(doughExtras, behind):
			d.extras = append(d.extras, extra{behind, v})
		case d.hydration == 0:
			d.hydration = v
		}
	}
	for _, s := range req.Reading.Of(phrase.KindQuantity) {
		q := s.Value.(phrase.Quantity)
		if q.Unit.Dim != measure.Mass {
			continue
		}
		switch {
		case near(s, "flour"):
			d.flour = q.Float()
		case near(s, "starter", "levain"):
			d.starter = q.Float()
		default:
			d.total += q.Float() * piecesOf(req, s)
		}
	}
	if d.levain > 0 && d.flour > 0 && d.starter == 0 {
		d.starter = d.levain * d.flour
	}
	if d.salt < 0 {
		d.salt = usualSalt
		d.assumed = append(d.assumed, "2% salt")
	}
	if d.levain < 0 {
		d.levain = usualLevain
		switch {
		case req.Mentions("no", "without"):
			d.levain = 0
		case slices.ContainsFunc(d.extras, func(e extra) bool { return e.name == "yeast" }):
			d.levain = 0 // yeast raises it
		case d.flour == 0:
			d.assumed = append(d.assumed, "20% starter")
		}
	}
	return d, d.readStarter(req)
}

// stiff is the water to flour of a stiff starter (common practice).
const stiff = 0.5

// readStarter settles how wet the starter is: as the line says, else as the jar stands.
func (d *doughWanted) readStarter(req *desk.Request) error {
	switch {
	case d.wet > 0:
		return nil
	case req.Mentions("stiff"):
		d.wet = stiff
		d.assumed = append(d.assumed, "a stiff starter is 50% water to flour")
		return nil
	}
	d.wet = 1
	j, ok, err := req.Tx.JarOf(req.House.ID)
	if err == nil && ok && j.Hydration > 0 && math.Abs(j.Hydration-1) > 0.005 && (d.starter > 0 || d.levain > 0) {
		d.wet = j.Hydration
		d.assumed = append(d.assumed, fmt.Sprintf("starter out of the jar, at %.0f%%", 100*j.Hydration))
	}
	return err
}

// ofStarter reports that a share is the starter's own water to flour: "200 g starter at
// 50%".
func ofStarter(req *desk.Request, s phrase.Span) bool {
	toks := req.Reading.Tokens
	return s.First >= 2 && slices.Contains([]string{"at", "of"}, toks[s.First-1].Low) && slices.Contains([]string{"starter", "levain"}, toks[s.First-2].Low)
}

// piecesOf is how many pieces of a weight a line wants: "4 loaves of 850 g", "2 x 800 g",
// "two 800 g loaves".
func piecesOf(req *desk.Request, q phrase.Span) float64 {
	for _, n := range req.Reading.Of(phrase.KindNumber) {
		between := req.Reading.Tokens[min(n.Past, q.First):q.First]
		fits := n.Past <= q.First && len(between) <= 3 && !slices.ContainsFunc(between, func(t phrase.Token) bool {
			return !slices.Contains([]string{"x", "×", "*", "of", "at", "loaves", "loaf", "rolls", "roll", "pieces", "buns", "bun", "balls", "bread", "breads", "baguettes"}, t.Low)
		})
		if v, ok := n.Value.(*big.Rat); ok && fits {
			f, _ := v.Float64()
			return f
		}
	}
	return 1
}

// doughWater says how warm the water must be.
func doughWater(req *desk.Request) (desk.Reply, error) {
	t := map[string]float64{}
	unit := measure.Celsius
	if req.House.US {
		unit = measure.Fahrenheit
	}
	for _, s := range req.Reading.Spans { // a bare figure is in the unit of the line
		if q, ok := s.Value.(phrase.Quantity); ok && q.Unit.Dim == measure.Temperature {
			unit = q.Unit
		}
	}
	before := 0 < len(slices.DeleteFunc(slices.Clone(req.Reading.Spans), func(s phrase.Span) bool { return nameBefore(req, s) == "" || nameBefore(req, s) == "dough" }))
	for _, s := range req.Reading.Spans {
		var v *big.Rat
		switch x := s.Value.(type) {
		case phrase.Quantity:
			v = x.Amount
		case *big.Rat:
			v = x
		}
		if v == nil || s.Kind == phrase.KindShare {
			continue
		}
		name := nameBefore(req, s)
		if name == "" && !before {
			name = namedTemp(behindWord(req, s))
		}
		if name == "" {
			name = "dough"
		}
		f, _ := v.Float64()
		if name != "friction" {
			f = measure.Quantity{Amount: v, Unit: unit}.Float()
		} else if unit == measure.Fahrenheit {
			f = f * 5 / 9
		}
		if _, has := t[name]; !has {
			t[name] = f
		}
	}
	for _, name := range []string{"dough", "room", "flour"} {
		if _, ok := t[name]; !ok {
			return desk.AskBack("I need the dough's, the room's and the flour's. For example: water temperature for dough at 25 C, room 20, flour 18, starter 22"), nil
		}
	}
	friction, said := t["friction"]
	mixer := req.Mentions("mixer", "machine")
	switch {
	case !said && mixer:
		friction = starter.FrictionMixer
	case !said:
		friction = starter.FrictionHand
	}
	pre, has := t["starter"]
	c, err := starter.WaterTemp(t["dough"], t["room"], t["flour"], pre, has, friction)
	switch {
	case errors.Is(err, starter.ErrHot):
		return desk.Refuse(fmt.Sprintf("That would want water at %s, which kills yeast: warm the flour or the room instead.", degree(c, unit))), nil
	case errors.Is(err, starter.ErrIce):
		return desk.Answer(fmt.Sprintf("Water at %s: ice in it, counted as water.", degree(c, unit))), nil
	case err != nil:
		return desk.AskBack("Those temperatures cannot be. For example: water temperature for dough at 25 C, room 20, flour 18, starter 22"), nil
	}
	out := desk.Answer(fmt.Sprintf("Water at %s.", degree(c, unit)))
	if !said && mixer {
		out.Assumed = []string{"kneaded in a mixer: 11 C (20 F) of friction; by hand 3 C (5 F) (common practice)"}
	} else if !said {
		out.Assumed = []string{"kneaded by hand: 3 C (5 F) of friction; a mixer 11 C (20 F) (common practice)"}
	}
	return out, nil
}

// nameBefore is what a temperature is of, where its name stands before it: "room 20".
func nameBefore(req *desk.Request, s phrase.Span) string {
	for i := s.First - 1; i >= 0 && i >= s.First-2; i-- {
		if w := req.Reading.Tokens[i].Low; !slices.Contains([]string{"at", "is", "of", ":", "=", "the"}, w) {
			return namedTemp(w)
		}
	}
	return ""
}

// namedTemp is the name of a temperature that a word stands for, or empty.
func namedTemp(w string) string {
	switch w {
	case "levain", "preferment":
		return "starter"
	case "dough", "room", "flour", "starter", "friction":
		return w
	}
	return ""
}

func behindWord(req *desk.Request, s phrase.Span) string {
	if s.Past < len(req.Reading.Tokens) {
		return req.Reading.Tokens[s.Past].Low
	}
	return ""
}

func degree(c float64, unit *measure.Unit) string {
	if unit == measure.Fahrenheit {
		return fmt.Sprintf("%.0f F", c*9/5+32)
	}
	return fmt.Sprintf("%.0f C", c)
}
