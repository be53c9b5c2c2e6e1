package soap

import (
	"fmt"
	"math/big"
	"slices"

	"yardbell/calc/lye"
	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

// parts are the pairs of a line by what they say, before anything is set.
type parts struct {
	total  *item
	shares []pair // of the fats
	extras []pair
	lyes   []pair // of either hydroxide
	whose  []pair // purities and strengths beside something else
}

// fill sets what each pair says.
func (r *recipe) fill(req *desk.Request, list []item, pairs []pair) error {
	var of parts
	for _, p := range pairs {
		if q, ok := p.amount.span.Value.(phrase.Quantity); ok && q.Top != nil {
			return ask("%s is a range. Weigh it and give one amount.", desk.Quote(p.amount.span.Text))
		}
		switch {
		case p.label == nil || p.label.label == wordFat && p.amount.kind == phrase.KindQuantity:
			if of.total != nil {
				return ask("Which fat is %s? Name each one.", desk.Quote(p.amount.span.Text))
			}
			of.total = p.amount
		case p.label.fat && p.amount.kind == phrase.KindShare:
			of.shares = append(of.shares, p)
		case p.label.fat:
			if err := r.addFat(req, p); err != nil {
				return err
			}
		case p.label.extra:
			of.extras = append(of.extras, p)
		case p.label.whose != nil:
			of.whose = append(of.whose, p)
		case isLye(p.label.label):
			of.lyes = append(of.lyes, p)
		default:
			if err := r.set(req, list, p); err != nil {
				return err
			}
		}
	}
	if err := r.setAlkali(req, list, of.lyes); err != nil {
		return err
	}
	for _, p := range of.whose {
		if err := r.giveToAcid(req, p, of.extras); err != nil {
			return err
		}
	}
	if of.total == nil && len(of.shares) > 0 {
		if p, ok := lyeOrTotal(pairs); ok {
			text, end := p.amount.span.Text, p.amount.span.End
			return unclear{desk.AskBack(fmt.Sprintf("Is %s the weight of the fats in all, or of the lye?", text),
				desk.Labelled("the fats in all", req.Text[:end]+" total"+req.Text[end:]))}
		}
	}
	if err := r.addShares(req, of.total, of.shares); err != nil {
		return err
	}
	return r.addExtras(req, list, of.extras)
}

// lyeOrTotal finds the mass right behind the word that named the ask: "lye 1 kg,
// 60 % tallow 40 % coconut" may give the fats in all or the lye.
func lyeOrTotal(pairs []pair) (pair, bool) {
	for _, p := range pairs {
		if p.label != nil && p.label.label == wordLye && p.label.named && p.amount.kind == phrase.KindQuantity && p.label.span.Start < p.amount.span.Start {
			return p, true
		}
	}
	return pair{}, false
}

// improper is 11/2: it may be a slip for 1 1/2.
var improper = phrase.NewPattern(`^\d\d+/\d`)

// grams reads a mass, asking for the unit when there is none.
func grams(req *desk.Request, p pair, what string) (float64, error) {
	q, ok := p.amount.span.Value.(phrase.Quantity)
	if !ok {
		text := p.amount.span.Text
		rest := func(unit string) string { return req.Text[:p.amount.span.End] + unit + req.Text[p.amount.span.End:] }
		return 0, unclear{desk.AskBack(fmt.Sprintf("%s %s: grams or ounces? Give every amount its unit.", text, what),
			desk.Labelled("grams", rest(" g")), desk.Labelled("ounces", rest(" oz")))}
	}
	switch q.Unit.Dim {
	case measure.Mass:
	case measure.Volume:
		if _, liquid := lye.LiquidNamed(what); liquid || what == "water" {
			return q.Float(), nil // 1 mL of water weighs 1 g within 0.3 % from 0 to 25 C, of milk within 4 %
		}
		return 0, ask("%s is a volume. Lye and fats are weighed: give %s in grams or ounces.", desk.Quote(p.amount.span.Text), what)
	default:
		return 0, ask("%s is not a weight of %s.", desk.Quote(p.amount.span.Text), what)
	}
	g := q.Float()
	if improper.MatchString(p.amount.span.Text) {
		return 0, ask("%s is an odd fraction. Write it like 1 1/2 or 1.5.", desk.Quote(p.amount.span.Text))
	}
	if g <= 0 || g > lye.MaxFat {
		return 0, refuse("%s of %s cannot be: give an amount above 0 and up to %d kg.", desk.Quote(p.amount.span.Text), what, lye.MaxFat/1000)
	}
	return g, nil
}

func (r *recipe) addFat(req *desk.Request, p pair) error {
	f, ok, err := fatNamed(req, p.label.label)
	if err != nil || !ok {
		return fmt.Errorf("no fat %q in the table: %w", p.label.label, err)
	}
	g, err := grams(req, p, f.Name)
	if err != nil {
		return err
	}
	r.fats = append(r.fats, lye.Portion{Fat: f, Grams: g})
	return nil
}

// addShares spreads a total over fats given by share.
func (r *recipe) addShares(req *desk.Request, total *item, shares []pair) error {
	if len(shares) == 0 {
		if total != nil {
			return ask("Which fat is %s? Name each one, for example: 900 g tallow and 300 g coconut.", desk.Quote(total.span.Text))
		}
		return nil
	}
	if len(r.fats) > 0 {
		return ask("Give all fats by weight, or all of them as shares of one total.")
	}
	if total == nil && r.given() {
		r.blend = true // the shares of a blend, to be filled up to what the lye takes
	} else if total == nil {
		return ask("How much fat in all? For example: 1 kg, 60%% tallow 40%% coconut.")
	}
	inAll := 1000.0
	if total != nil {
		q := total.span.Value.(phrase.Quantity)
		if q.Unit.Dim != measure.Mass || q.Amount.Sign() <= 0 || q.Float() > lye.MaxFat {
			return refuse("%s cannot be the weight of the fats.", desk.Quote(total.span.Text))
		}
		inAll = q.Float()
	}
	sum := new(big.Rat)
	for _, p := range shares {
		sum.Add(sum, p.amount.number)
	}
	if s, _ := sum.Float64(); s < 0.999 || s > 1.001 {
		return ask("The shares of the fats add up to %.4g%%, not 100%%. Which is right?", 100*s)
	}
	for _, p := range shares {
		f, ok, err := fatNamed(req, p.label.label)
		if err != nil {
			return err
		}
		share, _ := p.amount.number.Float64()
		if !ok || share <= 0 {
			return refuse("A share of %s has to be above 0%%.", p.label.label)
		}
		r.fats = append(r.fats, lye.Portion{Fat: f, Grams: inAll * share})
	}
	return nil
}

// set reads a setting. A bare figure beside superfat, purity or strength is a
// percentage: nobody writes them otherwise.
func (r *recipe) set(req *desk.Request, list []item, p pair) error {
	v, _ := p.amount.number.Float64()
	share := v
	if p.amount.kind == phrase.KindNumber {
		share = v / 100
	}
	switch p.label.label {
	case wordSuperfat:
		if p.amount.kind == phrase.KindNumber && v > 0 && v < 1 {
			return unclear{desk.AskBack(fmt.Sprintf("A superfat of %s, or of %s?", short(100*share), short(share)),
				desk.Labelled(short(100*share), replaced(req, p, short(100*share))), desk.Labelled(short(share), replaced(req, p, short(share))))}
		}
		r.superfat = share
		if share < 0 || share > lye.MaxSuperfat {
			return refuse("A superfat of %s cannot be: 0%% to %.0f%% make soap, 5%% is usual for bars.", percent(share, 1), 100*lye.MaxSuperfat)
		}
	case wordPurity:
		return r.setPurity(list, share)
	case wordSodaPure:
		return r.setSodaPurity(share)
	case wordPotashPur:
		r.potashPure = share
		return checkPurity(share)
	case wordStock:
		r.stock = share
		if share <= 0 || share > lye.MaxStrength {
			return refuse("A stock solution of %s cannot be: at most 50%% lye stays dissolved.", percent(share, 1))
		}
	case wordMix, wordMixBack:
		return r.setMix(list, p)
	case wordStrength:
		r.water = lye.Water{Kind: lye.ByStrength, Value: share}
	case wordRatio:
		r.water = lye.Water{Kind: lye.ByRatio, Value: v}
	case wordWater:
		return r.setWater(p, v)
	case wordFat:
		return ask("Which fat is %s? Name each one.", desk.Quote(p.amount.span.Text))
	}
	return nil
}

// giveToAcid takes the strength beside an acid as the acid's where the lye is weighed:
// by that reading a recipe is the more lye-heavy. Without that it is asked what a
// purity or a strength is of.
func (r *recipe) giveToAcid(req *desk.Request, p pair, extras []pair) error {
	share := shareOf(*p.amount)
	if v, _ := share.Float64(); v > 1 {
		return checkPurity(v)
	}
	for _, acid := range extras {
		if r.given() && p.label.label == wordStrength && acid.label.span.Start == p.label.whose.Start && isAcid(acid.label.label) {
			acid.label.strong = share
			return nil
		}
	}
	at := p.label.span.Start
	return unclear{desk.AskBack(fmt.Sprintf("Is %s that of the lye, or of the %s? How strong an acid is stands before its name: 20 g 50%% citric acid.", p.amount.span.Text, p.label.whose.Text),
		desk.Labelled("the lye", req.Text[:at]+"lye "+req.Text[at:]))}
}

// setPurity takes a purity that names no hydroxide: of the only one there is.
func (r *recipe) setPurity(list []item, share float64) error {
	soda, potash := named(list)
	switch {
	case soda && potash:
		return ask("Which of the two is %s pure? Say naoh purity %s, or koh purity %s.", short(share), short(share), short(share))
	case potash:
		r.potashPure = share
	default:
		return r.setSodaPurity(share)
	}
	return checkPurity(share)
}

// The least purities that are taken without asking: a tin of sodium hydroxide says
// 97 to 99 %, one of potassium hydroxide 85 to 92 %.
const (
	leastSoda   = 0.95
	leastPotash = 0.80
)

// setSodaPurity takes the purity of sodium hydroxide. Less than any tin says is
// most likely the strength of a solution, or of something else.
func (r *recipe) setSodaPurity(share float64) error {
	r.sodaPure = share
	if err := checkPurity(share); err != nil || share >= leastSoda {
		return err
	}
	return ask("Is the lye %s pure? Tins of sodium hydroxide say 97%% to 99%%. For a solution of that strength say: %s lye solution. If the tin really says less than 95%%, leave the purity out: counted as pure it cannot be too strong.", short(share), short(share))
}

// replaced writes the line with another amount in a pair.
func replaced(req *desk.Request, p pair, text string) string {
	return req.Text[:p.amount.span.Start] + text + req.Text[p.amount.span.End:]
}

func has(list []item, label string) bool {
	return slices.ContainsFunc(list, func(it item) bool { return it.label == label })
}

func checkPurity(share float64) error {
	if share > 1 || share < lye.MinPurity {
		return refuse("Lye of %s purity cannot be: a tin of sodium hydroxide says 97%% to 99%%, and 100%% is the safe figure when it does not say; potassium hydroxide is 85%% to 92%%.", percent(share, 1))
	}
	return nil
}

func (r *recipe) setWater(p pair, v float64) error {
	switch p.amount.kind {
	case phrase.KindShare:
		r.water = lye.Water{Kind: lye.ByShareOfFats, Value: v}
	case phrase.KindRatio:
		r.water = lye.Water{Kind: lye.ByRatio, Value: v}
	case phrase.KindQuantity:
		g, err := grams(nil, p, "water")
		if err != nil {
			return err
		}
		r.water = lye.Water{Kind: lye.ByMass, Value: g}
	default:
		return ask("%s water: grams, a share of the fats (38%% water), or water to lye (2:1 water)?", p.amount.span.Text)
	}
	return nil
}
