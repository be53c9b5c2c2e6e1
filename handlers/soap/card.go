package soap

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"yardbell/calc/lye"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// card answers how much lye a blend takes, or checks a recipe that names its lye.
func card(req *desk.Request) (desk.Reply, error) {
	reply, err := cardOf(req)
	if err == nil && reply.Status != storage.OK {
		err = putAside(req)
	}
	return reply, err
}

// putAside puts the card of before aside when a newer recipe was refused or has to
// be asked: "poured it" must not write the older one.
func putAside(req *desk.Request) error {
	if !req.Has(anyFat[0]) && !req.Has(anyFat[1]) {
		return nil
	}
	_, _, carded, err := waitingCard(req)
	if err != nil || !carded {
		return err
	}
	return req.Tx.PutCardAside(req.House.ID, req.Who.Name, req.Now)
}

func cardOf(req *desk.Request) (desk.Reply, error) {
	r, err := readRecipe(req)
	if reply, ok := statusOf(err); ok {
		return reply, nil
	}
	if err != nil {
		return desk.Reply{}, err
	}
	if r.blend || asksForFat(req) {
		return r.fatFor(req), nil
	}
	if len(r.fats) == 0 {
		if !req.Direct && !r.given() && len(r.extras)+len(r.acids) == 0 && r.liquid == "" {
			return desk.Reply{}, desk.ErrSilent
		}
		return desk.AskBack("For which fats, and how much of each? For example: lye 900 g tallow 300 g coconut",
			desk.Labelled("Examples", "help lye")), nil
	}
	reply, k, err := r.weighOut(req)
	if err != nil || reply.Status != storage.OK {
		return reply, err
	}
	return keepCard(req, reply, k)
}

// keepCard keeps a card to pour from.
func keepCard(req *desk.Request, reply desk.Reply, k kept) (desk.Reply, error) {
	text, err := k.json()
	if err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SaveCard(req.House.ID, req.Who.Name, req.Now, text); err != nil {
		return desk.Reply{}, err
	}
	before, err := comesRound(req, k)
	if err != nil {
		return desk.Reply{}, err
	}
	reply.Lines = append(reply.Lines, before...)
	reply.Buttons = []storage.Button{desk.Labelled("Begin weighing", "batch begin"), desk.Labelled("Poured it", "batch"), desk.Labelled("What bar", "what will the bar be like")}
	if !k.bars() {
		reply.Buttons = reply.Buttons[:2]
	}
	return reply, nil
}

// asksForFat tells the question the other way round: "how much lard for 66 g lye".
func asksForFat(req *desk.Request) bool {
	toks := req.Reading.Tokens
	return slices.ContainsFunc(req.Reading.Terms("fats"), func(s phrase.Span) bool {
		return s.First > 0 && (toks[s.First-1].Low == "much" || toks[s.First-1].Low == "many")
	})
}

// fatFor answers how much of a fat, or of a blend, so much lye can take.
func (r recipe) fatFor(req *desk.Request) desk.Reply {
	if !r.blend { // "how much lard for 66 g lye": the weight stands beside both names
		if len(r.fats) != 1 || r.given() {
			return desk.AskBack("How much of one fat for how much lye? For example: how much lard for 66 g lye")
		}
		if has(items(req.Reading), wordPotash) {
			r.potash = r.fats[0].Grams
		} else {
			r.soda = r.fats[0].Grams
		}
		r.fats[0].Grams = 1000
	}
	if len(r.acids) > 0 {
		return desk.AskBack("Without the acid, please: ask how much fat the lye takes first, then for the card with the acid in it.")
	}
	a := r.alkali()
	grams, err := lye.FatFor(r.fats, a, r.superfat)
	if err != nil {
		return refusal(err)
	}
	scale, factor := req.Scale(), grams/lye.TotalFat(r.fats)
	for i := range r.fats {
		r.fats[i].Grams *= factor
	}
	var names []string
	for _, p := range r.fats {
		names = append(names, scale.Nearest(p.Grams)+" "+p.Fat.Name)
	}
	reply := desk.Answer(fmt.Sprintf("%s for %s.", desk.List(names), briefLye(a, scale.Nearest)))
	reply.Assumed = slices.DeleteFunc(r.assumed, func(a string) bool { return strings.HasPrefix(a, "water") || strings.HasPrefix(a, "superfat") })
	reply.Assumed = append(reply.Assumed, "superfat "+short(r.superfat))
	for i := range r.fats {
		r.fats[i].Grams = math.Round(r.fats[i].Grams)
	}
	r.soda, r.potash, r.blend = 0, 0, false
	reply.Buttons = []storage.Button{desk.Labelled("Card", r.line("superfat "+short(r.superfat)))}
	return reply
}

// alkali is the lye that the line gives.
func (r recipe) alkali() lye.Alkali {
	return lye.Alkali{Sodium: r.soda, Potassium: r.potash, SodiumPurity: r.sodaPure, PotassiumPurity: r.potashPure}
}

// work computes the lye, rounded down to the scale: too much burns, too little
// is only a little more superfat.
func (r recipe) work(req *desk.Request) (lye.Alkali, desk.Reply, bool) {
	if r.given() {
		return r.alkali(), desk.Reply{}, true
	}
	exact, err := lye.Lye(r.fats, r.superfat, r.mix(), r.acids...)
	if err != nil {
		return lye.Alkali{}, refusal(err), false
	}
	a, scale := exact, req.Scale()
	a.Sodium, a.Potassium = scale.DownGrams(exact.Sodium), scale.DownGrams(exact.Potassium)
	if a.Sodium <= 0 && exact.Sodium > 0 || a.Potassium <= 0 && exact.Potassium > 0 {
		least := exact.Sodium
		if least == 0 || exact.Potassium > 0 && exact.Potassium < least {
			least = exact.Potassium
		}
		return lye.Alkali{}, desk.Refuse(fmt.Sprintf("That is too little fat for your scale: it would take %.2f g of lye. Make a larger batch, or tell me a finer scale: house scale 0.1 g", least)), false
	}
	return a, desk.Reply{}, true
}

// weighOut computes the card and judges it. A reply that is not ok carries why.
func (r recipe) weighOut(req *desk.Request) (desk.Reply, kept, error) {
	a, reply, ok := r.work(req)
	if !ok {
		return reply, kept{}, nil
	}
	band, err := lye.BandOf(r.fats, a, r.acids...)
	if err != nil {
		return refusal(err), kept{}, nil
	}
	k, err := r.keep(a, band)
	if err != nil {
		return badWater(a, err), kept{}, nil
	}
	if reply, stop := r.judge(req, a, band); stop {
		return reply, kept{}, nil
	}
	return r.write(req, k, band), k, nil
}

// keep puts the recipe together as it is weighed: what of the water a liquid or a
// dilute acid brings is taken off the plain water, unless that was given by mass.
func (r recipe) keep(a lye.Alkali, band lye.Band) (kept, error) {
	k := kept{Lye: a.Sodium, Purity: a.SodiumPurity, Potash: a.Potassium, PotashPur: a.PotassiumPurity, Extras: r.extras, Superfat: band.Typical, Asked: r.superfat, Confirmed: r.confirmed}
	if r.given() {
		k.Asked = math.Max(band.Typical, 0)
	}
	for _, p := range r.fats {
		k.Fats = append(k.Fats, keptFat{p.Fat.Name, p.Grams})
	}
	for _, p := range r.acids {
		k.Acids = append(k.Acids, keptExtra{Name: p.Acid.Name, Grams: p.Grams, Strength: p.Strength})
	}
	if r.liquidG > 0 {
		k.Liquid = &keptExtra{Name: r.liquid, Grams: r.liquidG}
	}
	brought := k.dissolving()
	w := r.water
	if w.Kind == lye.ByMass && (r.liquid == "" || r.liquidG > 0) {
		w.Value += brought
	}
	need, err := w.Grams(a.Grams(), lye.TotalFat(r.fats))
	if err != nil {
		return k, err
	}
	if r.liquid != "" && r.liquidG == 0 {
		l, _ := lye.LiquidNamed(r.liquid)
		g, err := lye.ForWater(math.Max(need-brought, 1), l.Solids)
		k.Liquid = &keptExtra{Name: r.liquid, Grams: g}
		return k, err
	}
	k.Water = math.Max(need-brought, 0)
	_, err = lye.Water{Kind: lye.ByMass, Value: k.dissolving()}.Grams(a.Grams(), lye.TotalFat(r.fats))
	return k, err
}

func refusal(err error) desk.Reply {
	switch {
	case errors.Is(err, lye.ErrMass):
		return desk.Refuse(fmt.Sprintf("An amount cannot be: each has to be above 0 and at most %d kg.", lye.MaxFat/1000))
	case errors.Is(err, lye.ErrPurity):
		return desk.Refuse("The purity of the lye has to be from 50% to 100%.")
	case errors.Is(err, lye.ErrSuperfat):
		return desk.Refuse("The superfat has to be from 0% to 40%.")
	case errors.Is(err, lye.ErrAcid):
		return desk.Refuse("The acid would take up all of the lye: 1% to 2% of the fats is usual.")
	}
	return desk.Refuse("That recipe cannot be worked out: name each fat with its weight.")
}

func badWater(a lye.Alkali, err error) desk.Reply {
	if !errors.Is(err, lye.ErrWater) {
		return refusal(err)
	}
	g := a.Grams()
	return desk.Refuse(fmt.Sprintf("That water does not go with %.0f g of lye: the solution has to be between 5%% and 50%% lye, 25%% to 40%% is usual.", g),
		fmt.Sprintf("Use at least %.0f g water, or the lye does not all dissolve; %.0f g makes a 30%% solution.", math.Ceil(g), g*0.7/0.3))
}

// judge refuses what is lye-heavy and asks about what may be. Potassium hydroxide
// of unknown purity is judged as the purest there is.
func (r recipe) judge(req *desk.Request, a lye.Alkali, band lye.Band) (desk.Reply, bool) {
	worst, mix, usual := band, r.mix(), lye.Alkali{}
	if r.given() { // the other amounts that are named keep the proportion of the given ones
		mix.Share = a.Sodium * a.SodiumPurity / a.Pure()
	}
	if r.doubt {
		a.PotassiumPurity, mix.PotassiumPurity = purestPotash, purestPotash
		var err error
		if worst, err = lye.BandOf(r.fats, a, r.acids...); err != nil {
			return refusal(err), true
		}
	}
	safe, err := lye.SafeLye(r.fats, mix, r.acids...)
	if err == nil {
		usual, err = lye.Lye(r.fats, max(r.superfat, 0.03), mix, r.acids...)
	}
	if err != nil {
		return refusal(err), true
	}
	scale := req.Scale()
	switch worst.Verdict() {
	case lye.LyeHeavy:
		reply := desk.Refuse("Lye-heavy: do not make this. It would burn skin.", sayBand("Superfat", worst),
			fmt.Sprintf("%s leaves %s of these fats over; %s is the most that is safe whatever the fats.", briefLye(usual, scale.Down), short(max(r.superfat, 0.03)), briefLye(safe, scale.Down)))
		if r.doubt {
			reply.Lines = append(reply.Lines, sayBand("Were it 90% pure: superfat", band), "Judged as if the potassium hydroxide were 95% pure, since nobody knows: count it so, koh purity 95%, or find out.")
		}
		return reply, true
	case lye.MayBeHeavy:
		if r.confirmed {
			return desk.Reply{}, false
		}
		return r.askHeavy(worst, briefLye(safe, scale.Down)), true
	}
	return desk.Reply{}, false
}

// askHeavy asks about a recipe that is lye-heavy at the low end of its fats.
func (r recipe) askHeavy(band lye.Band, safe string) desk.Reply {
	least, err := lye.LeastSuperfat(r.fats)
	if err != nil {
		return refusal(err)
	}
	least = math.Ceil(least*1000) / 1000
	safer := r
	safer.soda, safer.potash, safer.poured = 0, 0, false
	if r.given() {
		safer.share = 1
		if r.potash > 0 {
			a := r.alkali()
			safer.share = a.Sodium * a.SodiumPurity / a.Pure()
		}
	}
	if safer.doubt {
		safer.doubt, safer.potashPure = false, purestPotash
	}
	reply := desk.AskBack("This may be lye-heavy: these fats vary more than the superfat allows.",
		desk.Labelled("Superfat "+short(least), safer.line("superfat "+short(least))),
		desk.Labelled("As it is", r.line("superfat "+short(r.superfat), wordConfirm)))
	reply.Lines = []string{
		sayBand("Superfat", band),
		fmt.Sprintf("%s is the most that is safe whatever the fats (superfat %s). Use that, or as it is?", safe, short(least)),
	}
	return reply
}
