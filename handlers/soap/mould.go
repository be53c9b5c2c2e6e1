package soap

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"yardbell/calc/lye"
	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

func mouldAsks() []desk.Ask {
	card := []string{"lye 500 g lard 250 g coconut 250 g olive, 2:1 water"}
	return []desk.Ask{{
		Name: "mould", Command: "mould", Adult: true, Keep: true, Text: true,
		Help:  "resize the last card to a mould, to bars, to a total, or to what the larder holds",
		Forms: []string{"^mould|mold", "fit * mould|mold", "fill * mould|mold", "^resize", "card|recipe|soap for * bars"},
		Kinds: []phrase.Kind{phrase.KindQuantity, phrase.KindNumber},
		Examples: []desk.Example{
			{Setup: card, Line: "mould 24 x 9 x 6.5 cm"},
			{Setup: card, Line: "mould round 7.5 cm across, 20 cm deep"},
			{Setup: card, Line: "mould 12 bars of 110 g"},
			{Setup: card, Line: "mould 2 kg of fats"},
		},
		Plain: plainMould, Do: mould,
	}}
}

// plainMould needs sizes or amounts: there is mould on bread too.
func plainMould(req *desk.Request) bool {
	if _, _, ok, err := lastCard(req); err != nil || !ok {
		return false
	}
	_, boxed := sizesSaid(req.Text)
	larder := strings.Contains(strings.ToLower(req.Text), "larder")
	return boxed || larder || len(req.Reading.Of(phrase.KindQuantity)) > 0
}

// lastCard is the card that there is to pour from or to resize.
func lastCard(req *desk.Request) (kept, storage.Card, bool, error) {
	return cardSince(req, req.Who.Name, cardLasts)
}

// waitingCard is the card that waits to be poured: the last one, or the newest that has no
// batch yet.
func waitingCard(req *desk.Request) (kept, storage.Card, bool, error) {
	k, c, ok, err := lastCard(req)
	if ok || err != nil || cardAside(req) {
		return k, c, ok, err
	}
	return newestCard(req)
}

// newestCard is the newest card that has no batch yet, whoever made it.
func newestCard(req *desk.Request) (kept, storage.Card, bool, error) {
	return cardSince(req, "", cardWaits)
}

func cardSince(req *desk.Request, name string, ago time.Duration) (kept, storage.Card, bool, error) {
	c, ok, err := req.Tx.LastCard(req.House.ID, name, req.Now.Add(-ago))
	if err != nil || !ok {
		return kept{}, c, false, err
	}
	k, err := readKept(c.Recipe)
	return k, c, err == nil, err
}

// cardAside reports that the person's last recipe was refused or asked, so that
// there is none to pour from.
func cardAside(req *desk.Request) bool {
	c, ok, err := req.Tx.LastCard(req.House.ID, req.Who.Name, req.Now.Add(-cardLasts))
	return err == nil && !ok && strings.EqualFold(c.By, req.Who.Name)
}

// mould resizes the last card and judges it anew.
func mould(req *desk.Request) (desk.Reply, error) {
	k, _, ok, err := lastCard(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if !ok {
		return desk.AskBack("Which recipe? There is no card of the last day. Ask for one first, in any size: lye 500 g lard 250 g coconut 250 g olive"), nil
	}
	exact, err := k.unrounded(req)
	if err != nil {
		return desk.Reply{}, err
	}
	factor, why, reply, err := fillSaid(req, exact)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if factor*k.total() > lye.MaxFat {
		return desk.Refuse("That is more than a household makes: at most 500 kg."), nil
	}
	r, err := recipeOf(req, k, factor)
	if err != nil {
		return desk.Reply{}, err
	}
	out, scaled, err := r.weighOut(req)
	if err != nil || out.Status != storage.OK {
		return out, err
	}
	out.Lines = append(out.Lines, why(scaled)...)
	return keepCard(req, out, scaled)
}

// unrounded is the recipe with its lye as it was before it was rounded down to the
// scale: a small card would otherwise be sized by a figure that is far off.
func (k kept) unrounded(req *desk.Request) (kept, error) {
	r, err := recipeOf(req, k, 1)
	if err != nil {
		return k, err
	}
	a, err := lye.Lye(r.fats, r.superfat, r.mix(), r.acids...)
	if err != nil {
		return k, err
	}
	band, err := lye.BandOf(r.fats, a, r.acids...)
	if err != nil {
		return k, err
	}
	return r.keep(a, band)
}

// recipeOf makes a recipe anew from a weighed-out one, every mass times a factor.
func recipeOf(req *desk.Request, k kept, factor float64) (recipe, error) {
	k = k.times(factor)
	r := recipe{share: 1, sodaPure: k.Purity, potashPure: k.PotashPur, confirmed: k.Confirmed, extras: k.Extras, startC: usualStart}
	if k.Potash > 0 {
		a := k.alkali()
		r.share = a.Sodium * a.SodiumPurity / a.Pure()
	}
	if k.Lye == 0 {
		r.share, r.sodaPure = 0, 1
	}
	for _, f := range k.Fats {
		fat, ok, err := fatNamed(req, f.Name)
		if err != nil || !ok {
			return r, fmt.Errorf("fat %q of a card: %w", f.Name, err)
		}
		r.fats = append(r.fats, lye.Portion{Fat: fat, Grams: f.Grams})
	}
	r.acids = k.acids()
	if r.superfat = math.Min(k.Asked, lye.MaxSuperfat); k.Asked == 0 { // a card from before it was kept, or nothing to spare
		b, err := lye.BandOf(r.fats, k.alkali(), r.acids...)
		if err != nil {
			return r, err
		}
		r.superfat = math.Max(b.Typical, 0)
	}
	r.water = lye.Water{Kind: lye.ByRatio, Value: k.dissolving() / k.alkali().Grams()}
	if k.Liquid != nil {
		r.liquid = k.Liquid.Name
		if k.Water > 0 {
			r.liquidG, r.water = k.Liquid.Grams, lye.Water{Kind: lye.ByMass, Value: k.Water}
		}
	}
	return r, nil
}

// fillSaid reads what the batch is to fill. The function returned says what came
// of it; a reply with a head has to be given first.
func fillSaid(req *desk.Request, k kept) (float64, func(kept) []string, desk.Reply, error) {
	low := strings.ToLower(req.Text)
	if strings.Contains(low, "larder") {
		return larderFactor(req, k)
	}
	if sides, ok := sizesSaid(req.Text); ok {
		return volumeFactor(req, k, sides)
	}
	qs := req.Reading.Of(phrase.KindQuantity)
	if len(qs) != 1 {
		return 0, nil, desk.AskBack("Which mould? Its inside sizes, for example: mould 24 x 9 x 6.5 cm. Or: mould 1.4 l, mould 12 bars of 110 g, mould 2 kg"), nil
	}
	q := qs[0].Value.(phrase.Quantity)
	switch {
	case q.Top != nil || q.Float() <= 0:
		return 0, nil, desk.AskBack(fmt.Sprintf("%s is not one size.", desk.Quote(qs[0].Text))), nil
	case q.Unit.Dim == measure.Volume:
		return mlFactor(req, k, q.Float(), "")
	case q.Unit.Dim != measure.Mass:
		return 0, nil, desk.AskBack("A box has three sides, a round mould a width and a depth: mould 24 x 9 x 6.5 cm, or mould round 7.5 cm across, 20 cm deep"), nil
	case req.Mentions("bars", "bar"):
		ns := req.Reading.Of(phrase.KindNumber)
		if len(ns) != 1 || numberOf(ns[0]) < 1 {
			return 0, nil, desk.AskBack("How many bars, of which weight each? For example: mould 12 bars of 110 g"), nil
		}
		return barsFactor(req, k, numberOf(ns[0]), q.Float())
	case req.Mentions("fat", "fats", "oil", "oils"):
		return q.Float() / k.fat(), func(kept) []string { return nil }, desk.Reply{}, nil
	}
	return q.Float() / k.total(), func(kept) []string { return nil }, desk.Reply{}, nil
}

func volumeFactor(req *desk.Request, k kept, sides []float64) (float64, func(kept) []string, desk.Reply, error) {
	ml, err := 0.0, error(nil)
	if len(sides) == 2 {
		ml, err = lye.Cylinder(sides[0], sides[1])
	} else {
		ml, err = lye.Box(sides[0], sides[1], sides[2])
	}
	if err != nil {
		return 0, nil, desk.Refuse("A mould of that size cannot be. Give its inside sizes, each with its unit: mould 24 x 9 x 6.5 cm"), nil
	}
	return mlFactor(req, k, ml, "The mould holds "+volumeText(req, ml)+"; ")
}

func mlFactor(req *desk.Request, k kept, ml float64, start string) (float64, func(kept) []string, desk.Reply, error) {
	f, err := lye.FillFactor(ml, k.total(), lye.BatterDensity)
	if err != nil {
		return 0, nil, desk.Refuse("A mould of that size cannot be."), nil
	}
	why := func(kept) []string {
		return []string{
			start + densityText(req) + ", a little less than it does, so that the mould is not overfilled.",
			"Fill 5% less if it is to gel: it swells. Salt or oats above 5% of the fats take room of their own.",
		}
	}
	return f, why, desk.Reply{}, nil
}

// Cubic inches are exact: 2.54 cm cubed is 16.387064 mL.
const mlPerCubicInch = 16.387064

func volumeText(req *desk.Request, ml float64) string {
	if req.House.US {
		return fmt.Sprintf("%.1f cubic inches", ml/mlPerCubicInch)
	}
	return fmt.Sprintf("%.0f mL", ml)
}

func densityText(req *desk.Request) string {
	if req.House.US {
		return fmt.Sprintf("fresh soap is counted with %.2f oz a cubic inch", lye.BatterDensity*mlPerCubicInch/measure.GramsPerOunce)
	}
	return fmt.Sprintf("fresh soap is counted with %.2f g/mL", lye.BatterDensity)
}

func barsFactor(req *desk.Request, k kept, bars, grams float64) (float64, func(kept) []string, desk.Reply, error) {
	why := func(k kept) []string {
		low, high := k.cured()
		scale := req.Scale()
		return []string{fmt.Sprintf("%.0f bars of %s when cut; about %s to %s each when cured (10%% to 12%% water).", bars, scale.Nearest(grams), scale.Nearest(low/bars), scale.Nearest(high/bars))}
	}
	return bars * grams / k.total(), why, desk.Reply{}, nil
}

// cured is what the batch will weigh when dry: at 10 and at 12 % of water (common
// practice for the end point).
func (k kept) cured() (low, high float64) {
	solids := k.total() - k.dissolving()
	return solids / 0.90, math.Min(solids/0.88, k.total())
}

func numberOf(s phrase.Span) float64 {
	if r, ok := s.Value.(interface{ Float64() (float64, bool) }); ok {
		f, _ := r.Float64()
		return f
	}
	return 0
}

var (
	sizeNumber = `(\d+\s+\d+/\d+|\d+/\d+|\d*\.?\d+)\s*(cm|mm|m|inches|inch|in|")?`
	boxSizes   = phrase.NewPattern(`(?i)` + sizeNumber + `\s*(?:x|×|by|\*)\s*` + sizeNumber + `\s*(?:x|×|by|\*)\s*` + sizeNumber)
	tubeSizes  = phrase.NewPattern(`(?i)` + sizeNumber + `\s*(?:across|wide|diameter|dia)\D{0,8}?` + sizeNumber + `\s*(?:deep|high|tall|long)`)
	tubeTold   = phrase.NewPattern(`(?i)(?:diameter|across|dia)\s*` + sizeNumber + `\D{1,16}?` + sizeNumber)
	tubeTimes  = phrase.NewPattern(`(?i)(?:round|tube|pipe|cylinder)\D{0,12}?` + sizeNumber + `\s*(?:x|×|by|\*)\s*` + sizeNumber)
)

// sizesSaid reads the inside of a mould in cm: three sides of a box, or the width
// and the depth of a round one. A side without a unit has the unit of the last.
func sizesSaid(text string) ([]float64, bool) {
	for _, form := range []*phrase.Pattern{boxSizes, tubeSizes, tubeTold, tubeTimes} {
		m := form.FindStringSubmatch(text)
		if m == nil {
			continue
		}
		return inCentimetres(m[1:])
	}
	return nil, false
}

func inCentimetres(pairs []string) ([]float64, bool) {
	unit := pairs[len(pairs)-1]
	var out []float64
	for i := 0; i < len(pairs); i += 2 {
		n, ok := fraction(pairs[i])
		if pairs[i+1] == "" {
			pairs[i+1] = unit
		}
		cm, known := map[string]float64{"cm": 1, "mm": 0.1, "m": 100, "in": 2.54, "inch": 2.54, "inches": 2.54, `"`: 2.54}[strings.ToLower(pairs[i+1])]
		if !ok || !known {
			return nil, false
		}
		out = append(out, n*cm)
	}
	return out, true
}

// fraction reads 3 1/2, 1/2 and 3.5.
func fraction(text string) (float64, bool) {
	whole, part := 0.0, text
	if i := strings.LastIndexAny(text, " \t"); i > 0 {
		w, err := strconv.ParseFloat(strings.TrimSpace(text[:i]), 64)
		if err != nil {
			return 0, false
		}
		whole, part = w, text[i+1:]
	}
	over, under, is := strings.Cut(part, "/")
	n, err := strconv.ParseFloat(over, 64)
	if err != nil {
		return 0, false
	}
	if is {
		d, err := strconv.ParseFloat(under, 64)
		if err != nil || d == 0 {
			return 0, false
		}
		n /= d
	}
	return whole + n, true
}
