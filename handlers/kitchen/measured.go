package kitchen

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"

	"yardbell/calc/measure"
	"yardbell/calc/scaling"
	"yardbell/handlers/phrase"
)

// times writes an ingredient k times: measures that exist for cups and spoons, the
// written unit for the rest.
func (in ingredient) times(k *big.Rat) string {
	switch {
	case in.heading:
		return in.what + ":"
	case in.amount == nil:
		return strings.TrimSpace(leadBullet.ReplaceAllString(in.text, "")) + " (as it stands)"
	}
	text := in.amountTimes(k)
	if text != "" {
		text += " "
	}
	text += in.what
	if note := in.noteFor(k); note != "" {
		text += ", " + note
	}
	return text
}

// noteFor is what stands beside an ingredient; the second amount of "225 g/8 oz" and the
// weight in "2 onions (about 300 g)" are true of the written amount only.
func (in ingredient) noteFor(k *big.Rat) string {
	if k.Cmp(big.NewRat(1, 1)) == 0 {
		return in.note
	}
	var kept []string
	for part := range strings.SplitSeq(in.note, ", ") {
		if more, is := in.plusPart(part); is {
			kept = append(kept, "plus "+more.times(k))
			continue
		}
		if strings.HasSuffix(part, " each") {
			kept = append(kept, part)
			continue
		}
		part = strings.ReplaceAll(part, "imp ", "")
		r := phrase.Read(part, phrase.Tokens(part), phrase.Context{}, phrase.Query{Kinds: []phrase.Kind{phrase.KindQuantity}})
		if !slices.ContainsFunc(r.Of(phrase.KindQuantity), func(s phrase.Span) bool {
			d := s.Value.(phrase.Quantity).Unit.Dim
			return d == measure.Mass || d == measure.Volume
		}) {
			kept = append(kept, part)
		}
	}
	return strings.Join(kept, ", ")
}

// plusPart reads the second amount of "1 egg plus 2 yolks", "1 cup plus 2 tbsp flour":
// it goes with the factor as the first does.
func (in ingredient) plusPart(part string) (ingredient, bool) {
	rest, is := strings.CutPrefix(part, "plus ")
	if !is {
		return ingredient{}, false
	}
	more := understand(rest, phrase.Context{})
	if more.understood() && more.what != rest {
		return more, true
	}
	more = understand(rest+" "+in.what, phrase.Context{})
	return more, more.understood()
}

func (in ingredient) amountTimes(k *big.Rat) string {
	if in.unit == nil {
		return in.countTimes(k)
	}
	low := oneAmount(measure.Quantity{Amount: in.amount, Unit: in.unit}, k, in.what)
	if in.top == nil {
		return low
	}
	return low + " to " + oneAmount(measure.Quantity{Amount: in.top, Unit: in.unit}, k, in.what)
}

// countTimes writes a count: pieces with their size, and what part of one is left over
// by weight where that is known.
func (in ingredient) countTimes(k *big.Rat) string {
	v := nearly(new(big.Rat).Mul(in.amount, k))
	text := mixed(v)
	if in.top != nil {
		text += " to " + mixed(new(big.Rat).Mul(in.top, k))
	}
	if in.size != nil {
		text += " x " + decimal(in.size.Amount, 2) + " " + in.size.Unit.Name
		if !v.IsInt() {
			whole := new(big.Rat).Mul(v, in.size.Amount)
			text += fmt.Sprintf(" (%s %s)", decimal(whole, sizePlaces(in.size.Unit)), in.size.Unit.Name)
		}
	}
	if in.each != "" {
		text += " " + plural(in.each, v)
	}
	if in.each == "" && in.size == nil && !v.IsInt() && isEgg(in.what) {
		grams, _ := new(big.Rat).Mul(v, big.NewRat(eggMass, 1)).Float64()
		return fmt.Sprintf("%s (%.0f g beaten, at %d g each)", text, grams, eggMass)
	}
	return text
}

// nearly is a count that is a whole or a half within one in a hundred: nobody counts
// 3.01 leeks.
func nearly(v *big.Rat) *big.Rat {
	f, _ := v.Float64()
	half := math.Round(2*f) / 2
	if half < 1 || math.Abs(f-half) > 0.01*f {
		return v
	}
	return new(big.Rat).SetFloat64(half)
}

// sizePlaces is how many places the size of an opened tin is written with.
func sizePlaces(u *measure.Unit) int {
	if u == measure.Gram || u == measure.Millilitre {
		return 0
	}
	return 1
}

func isEgg(what string) bool {
	words := phrase.Words(what)
	return slices.Contains(words, "egg") || slices.Contains(words, "eggs")
}

func plural(noun string, n *big.Rat) string {
	if n.Cmp(big.NewRat(1, 1)) <= 0 {
		return noun
	}
	switch {
	case noun == "leaf":
		return "leaves"
	case noun == "loaf":
		return "loaves"
	case strings.HasSuffix(noun, "ch"), strings.HasSuffix(noun, "x"):
		return noun + "es"
	}
	return noun + "s"
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
	return decimal(v, 2) + " " + strings.TrimPrefix(q.Unit.Name, "imp ")
}

// spoons writes a volume in measures that a kitchen has and says the error when
// there is one.
func spoons(q measure.Quantity, what string) string {
	tsp, err := q.In(measure.Teaspoon)
	if err != nil {
		return decimal(q.Amount, 2) + " " + q.Unit.Name
	}
	m, err := scaling.UsualKit().Measure(tsp.Amount, 0)
	if err == nil && m.Within {
		return m.String()
	}
	m, err = scaling.UsualKit().Measure(tsp.Amount, scaling.KindOf(what).Tolerance())
	if err != nil {
		return decimal(q.Amount, 2) + " " + q.Unit.Name
	}
	if m.Within {
		return m.String()
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
