package soap

import (
	"fmt"
	"slices"

	"yardbell/calc/lye"
	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

// setAlkali reads which hydroxides a line names, how much of each, or which part
// of the work each does. Whatever can be read two ways is asked.
func (r *recipe) setAlkali(req *desk.Request, list []item, lyes []pair) error {
	soda, potash := named(list)
	for _, p := range lyes {
		if p.amount.kind == phrase.KindNumber {
			return ask("%s lye of what unit? Say grams or ounces for every amount.", p.amount.span.Text)
		}
	}
	if done, err := r.bothShares(lyes, list); done || err != nil {
		return err
	}
	for _, p := range lyes {
		if err := r.setLye(req, p, soda, potash); err != nil {
			return err
		}
	}
	mixed := r.shareText != ""
	switch {
	case mixed && r.given():
		return ask("Give the weight of each hydroxide, or the part of the work that each does, not both.")
	case r.given() && (potash && r.potash == 0 || soda && r.soda == 0):
		return ask("How much of the other hydroxide? Give the weight of both, or leave its name out.")
	case mixed || r.given():
		return nil
	case soda && potash:
		return ask("Both hydroxides: which part of the work does each do? For example: 90:10 naoh to koh")
	case potash:
		r.share = 0
	}
	return nil
}

// named reports which hydroxides a line names, if only by how pure they are.
func named(list []item) (soda, potash bool) {
	both := has(list, wordMix) || has(list, wordMixBack)
	return both || has(list, wordSoda) || has(list, wordSodaPure), both || has(list, wordPotash) || has(list, wordPotashPur)
}

// bothShares reads "90% naoh 10% koh": parts of the work when they add up to all
// of it, purities when both are high.
func (r *recipe) bothShares(lyes []pair, list []item) (bool, error) {
	shares := map[string]float64{}
	for _, p := range lyes {
		if p.amount.kind == phrase.KindShare && p.label.label != wordLye {
			shares[p.label.label], _ = p.amount.number.Float64()
		}
	}
	na, k := shares[wordSoda], shares[wordPotash]
	if len(shares) < 2 {
		return false, nil
	}
	if sum := na + k; sum > 0.9999 && sum < 1.0001 {
		return true, r.workShared(list, na)
	}
	if na < leastPotash || k < leastPotash {
		return true, ask("Sodium %s and potassium %s: are those parts of the work (they have to add up to 100%%), or how pure each is?", short(na), short(k))
	}
	r.potashPure = k
	if err := r.setSodaPurity(na); err != nil {
		return true, err
	}
	if err := checkPurity(k); err != nil {
		return true, err
	}
	if r.shareText == "" {
		return true, ask("Both hydroxides: which part of the work does each do? For example: 90:10 naoh to koh")
	}
	return true, nil
}

// setMix reads "90:10 naoh to koh".
func (r *recipe) setMix(list []item, p pair) error {
	ratio, ok := p.amount.span.Value.(phrase.Ratio)
	if !ok {
		return ask("Which part of the work does each hydroxide do? For example: 90:10 naoh to koh")
	}
	left, _ := ratio.Left.Float64()
	right, _ := ratio.Right.Float64()
	if p.label.label == wordMixBack {
		left, right = right, left
	}
	if left < 0 || right < 0 || left+right <= 0 {
		return refuse("The parts of the two hydroxides cannot be %s.", desk.Quote(p.amount.span.Text))
	}
	return r.workShared(list, left/(left+right))
}

// workShared sets the part of the work that sodium hydroxide does. Without a word
// it is counted by moles, as the trade does.
func (r *recipe) workShared(list []item, share float64) error {
	r.share = share
	r.shareText = fmt.Sprintf("%s of the work by sodium hydroxide, counted by moles (%s of the pure lye by mass)", short(share), short(lye.MassOfMoles(share)))
	if has(list, wordByMass) {
		r.share = lye.MolesOfMass(share)
		r.shareText = fmt.Sprintf("%s of the pure lye by mass is sodium hydroxide (%s of the work)", short(share), short(r.share))
	}
	return nil
}

// setLye reads a mass of lye, or the share written beside it: above 85 % that
// can only be its purity, up to 50 % only the strength of the solution.
func (r *recipe) setLye(req *desk.Request, p pair, soda, potash bool) error {
	label := p.label.label
	if p.amount.kind == phrase.KindQuantity {
		if label == wordLye && potash {
			return ask("Is %s lye sodium or potassium hydroxide? Name it: %s naoh, or %s koh.", p.amount.span.Text, p.amount.span.Text, p.amount.span.Text)
		}
		g, err := grams(req, p, "lye")
		if label == wordPotash {
			r.potash = g
		} else {
			r.soda = g
		}
		return err
	}
	v, _ := p.amount.number.Float64()
	if label == wordPotash || label == wordLye && potash && !soda {
		if v < leastPotash {
			return ask("Is %s the part of the work done by potassium hydroxide? Then say for example: 90:10 naoh to koh. Or how pure it is: koh purity 90%%.", p.amount.span.Text)
		}
		r.potashPure = v
		return checkPurity(v)
	}
	if potash {
		return ask("Which part of the work does each hydroxide do? For example: 90:10 naoh to koh")
	}
	switch {
	case v > 0.85:
		return r.setSodaPurity(v)
	case v <= lye.MaxStrength:
		r.water = lye.Water{Kind: lye.ByStrength, Value: v}
		return nil
	}
	return ask("Is %s the purity of the lye, or the strength of the solution? Say: purity %s, or %s solution.", p.amount.span.Text, p.amount.span.Text, p.amount.span.Text)
}

// addExtras reads acids, liquids and additives, by mass or by share of the fats.
func (r *recipe) addExtras(req *desk.Request, list []item, extras []pair) error {
	for _, p := range extras {
		var err error
		switch name := p.label.label; {
		case isAcid(name):
			err = r.addAcid(req, p)
		case isLiquid(name):
			err = r.addLiquid(req, p)
		default:
			err = r.addAdditive(req, p)
		}
		if err != nil {
			return err
		}
	}
	for _, it := range list {
		paired := slices.ContainsFunc(extras, func(p pair) bool { return p.label.span.Start == it.span.Start })
		if it.extra && isLiquid(it.label) && !paired {
			if r.liquid != "" {
				return ask("Two liquids in place of water: give the weight of one of them at most by its name alone.")
			}
			r.liquid = it.label
		}
	}
	return nil
}

func isAcid(name string) bool { _, ok := lye.AcidNamed(name); return ok }

func isLiquid(name string) bool { _, ok := lye.LiquidNamed(name); return ok }

func (r *recipe) addAcid(req *desk.Request, p pair) error {
	acid, _ := lye.AcidNamed(p.label.label)
	g, err := r.massOrShare(req, p)
	if err != nil {
		return err
	}
	strength := acid.Usual
	if p.label.strong != nil {
		strength, _ = p.label.strong.Float64()
	}
	if strength == 0 {
		text := p.label.span.Text
		return ask("How strong is the %s? The bottle says: write it like %s 80%% %s", acid.Name, p.amount.span.Text, text)
	}
	if strength < 0 || strength > 1 {
		return refuse("%s cannot be the strength of %s.", short(strength), acid.Name)
	}
	if g*strength > 0.2*max(lye.TotalFat(r.fats), 1) {
		return refuse("%s %s is more than a fifth of the fats: 1%% to 2%% is usual.", p.amount.span.Text, acid.Name)
	}
	r.acids = append(r.acids, lye.AcidPortion{Acid: acid, Grams: g, Strength: strength})
	return nil
}

func (r *recipe) addLiquid(req *desk.Request, p pair) error {
	if r.liquid != "" {
		return ask("One liquid in place of water at a time, please: %s or %s?", r.liquid, p.label.label)
	}
	if p.amount.kind == phrase.KindShare {
		return ask("%s %s: give its weight, or its name alone to use it for all the water.", p.amount.span.Text, p.label.label)
	}
	g, err := grams(req, p, p.label.label)
	r.liquid, r.liquidG = p.label.label, g
	return err
}

func (r *recipe) addAdditive(req *desk.Request, p pair) error {
	a, _ := lye.AdditiveNamed(p.label.label)
	e := keptExtra{Name: a.Name}
	if text := p.label.span.Text; a.Scent || !slices.Contains(phrase.Words(text), a.Name) {
		e.Name = text
	}
	if q, ok := p.amount.span.Value.(phrase.Quantity); ok && p.amount.kind == phrase.KindQuantity && q.Unit.Dim == measure.Volume && !a.Scent {
		e.Text = p.amount.span.Text
		r.extras = append(r.extras, e)
		return nil
	}
	g, err := r.massOrShare(req, p)
	if err != nil {
		return err
	}
	if g > 1.5*lye.TotalFat(r.fats) {
		return refuse("%s %s is more than the soap itself.", p.amount.span.Text, e.Name)
	}
	e.Grams = g
	r.extras = append(r.extras, e)
	return nil
}

// massOrShare reads a mass, or a share of the fats.
func (r *recipe) massOrShare(req *desk.Request, p pair) (float64, error) {
	if p.amount.kind != phrase.KindShare {
		return grams(req, p, p.label.label)
	}
	v, _ := p.amount.number.Float64()
	if v <= 0 {
		return 0, refuse("%s %s cannot be.", p.amount.span.Text, p.label.label)
	}
	return v * lye.TotalFat(r.fats), nil
}
