package soap

import (
	"fmt"
	"strings"

	"yardbell/calc/lye"
	"yardbell/handlers/desk"
)

// sayLye names the hydroxides with their masses. Sodium hydroxide alone is lye.
func sayLye(a lye.Alkali, weigh func(float64) string) string {
	switch {
	case a.Potassium == 0:
		return weigh(a.Sodium) + " lye (sodium hydroxide)"
	case a.Sodium == 0:
		return weigh(a.Potassium) + " potassium hydroxide"
	}
	return weigh(a.Sodium) + " sodium hydroxide and " + weigh(a.Potassium) + " potassium hydroxide"
}

// briefLye is sayLye where it was said before what lye is.
func briefLye(a lye.Alkali, weigh func(float64) string) string {
	if a.Potassium == 0 {
		return weigh(a.Sodium) + " lye"
	}
	return sayLye(a, weigh)
}

func sayBand(what string, b lye.Band) string {
	return fmt.Sprintf("%s %s typical, from %s to %s over the natural range of these fats.", what, percent(b.Typical, 1), percent(b.Low, 1), percent(b.High, 1))
}

// write lays the card out: the answer, then what is weighed, then the superfat,
// then the solution and its heat.
func (r recipe) write(req *desk.Request, k kept, band lye.Band) desk.Reply {
	scale := req.Scale()
	into := k.into(req)
	reply := desk.Answer(fmt.Sprintf("%s into %s.", sayLye(k.alkali(), scale.Down), into))
	if r.given() {
		reply.Head = fmt.Sprintf("Not lye-heavy: %s for these fats leaves a superfat of %s.", sayLye(k.alkali(), scale.Nearest), percent(band.Typical, 1))
		reply.Lines = append(reply.Lines, into)
	}
	for _, p := range r.fats {
		line := scale.Nearest(p.Grams) + " " + p.Fat.Name
		if strings.Contains(p.Fat.Mark, ownMark) {
			line += ", by your own figure " + sayOwn(p.Fat)
		}
		reply.Lines = append(reply.Lines, line)
	}
	reply.Lines = append(reply.Lines, r.extraLines(req, k)...)
	reply.Lines = append(reply.Lines, r.superfatLines(band)...)
	strength := lye.Strength(k.alkali().Grams(), k.dissolving())
	reply.Lines = append(reply.Lines, fmt.Sprintf("Solution %s lye, water %.2f : 1 lye; %s in all.", percent(strength, 1), k.dissolving()/k.alkali().Grams(), scale.Nearest(k.total())))
	reply.Lines = append(reply.Lines, r.stockLines(req, k)...)
	reply.Lines = append(reply.Lines, r.heatLines(req, k, strength)...)
	reply.Lines = append(reply.Lines, r.purityLines(k)...)
	reply.Lines = append(reply.Lines, r.readAs...)
	reply.Assumed = r.assumed
	reply.Cautions = append(warnings(band, strength, k), cautions...)
	return reply
}

// into is what the lye goes into.
func (k kept) into(req *desk.Request) string {
	scale := req.Scale()
	switch {
	case k.Liquid == nil:
		return scale.Nearest(k.Water) + " water"
	case k.Water < 0.5:
		return scale.Nearest(k.Liquid.Grams) + " " + k.Liquid.Name
	}
	return scale.Nearest(k.Water) + " water and " + scale.Nearest(k.Liquid.Grams) + " " + k.Liquid.Name
}

func (r recipe) superfatLines(band lye.Band) []string {
	line := sayBand("Superfat", band)
	if !r.given() {
		line = fmt.Sprintf("Superfat %s asked; as weighed %s, from %s to %s over the natural range of these fats.",
			short(r.superfat), percent(band.Typical, 1), percent(band.Low, 1), percent(band.High, 1))
	}
	least, err := lye.LeastSuperfat(r.fats)
	if err != nil {
		return []string{line}
	}
	if len(r.fats) > 1 {
		return []string{line, fmt.Sprintf("Likely %s to %s. A superfat of %s keeps even the worst case at zero.", percent(band.LikelyLow, 1), percent(band.LikelyHigh, 1), percent(ceil(least), 1))}
	}
	return []string{line, fmt.Sprintf("A superfat of %s keeps even the worst case at zero.", percent(ceil(least), 1))}
}

// purityLines say what was counted with, and what another purity would do.
func (r recipe) purityLines(k kept) []string {
	var out []string
	if r.shareText != "" && !r.given() {
		out = append(out, r.shareText+".")
	}
	if r.usesSoda() && r.sodaPure < 1 {
		out = append(out, fmt.Sprintf("Counted with lye of %s purity: purer lye would make it stronger.", short(r.sodaPure)))
	}
	if !r.usesPotash() {
		return out
	}
	out = append(out, fmt.Sprintf("Counted with potassium hydroxide of %s purity: purer would make it stronger.", short(r.potashPure)))
	if r.doubt {
		pure := k.alkali()
		pure.PotassiumPurity = purestPotash
		if b, err := lye.BandOf(r.fats, pure, r.acids...); err == nil {
			out = append(out, "Should it be 95% pure: "+sayBand("superfat", b))
		}
	}
	return out
}

// stockLines say how much of a stock solution holds the lye, and how much water is
// still to come. Lye in stock counts as weighed, like lye in the jug.
func (r recipe) stockLines(req *desk.Request, k kept) []string {
	if r.stock == 0 {
		return nil
	}
	g := k.alkali().Grams()
	stock, water, err := lye.StockAndWater(g, r.stock, lye.Strength(g, k.dissolving()))
	if err != nil {
		return []string{fmt.Sprintf("A %s stock does not make a solution of %s.", short(r.stock), percent(lye.Strength(g, k.dissolving()), 1))}
	}
	return []string{fmt.Sprintf("From a %s stock: %s of it and %s more water, in place of the lye and water above.", short(r.stock), req.Scale().Down(stock), req.Scale().Nearest(water))}
}

// heatLines say how hot the lye gets by itself, so that the pot can be chosen. The
// heat of solution of potassium hydroxide, 57.6 kJ/mol against 44.5, is from memory.
func (r recipe) heatLines(req *desk.Request, k kept, strength float64) []string {
	if r.stock > 0 {
		return nil // it was let cool when it was made
	}
	if k.Potash > 0 {
		return []string{"Potassium hydroxide heats the water about as much as sodium hydroxide: choose the pot for boiling hot lye."}
	}
	if line := peakLine(req, strength, r.startC); line != "" {
		return []string{line}
	}
	return nil
}

// extraLines are the acids, the liquid's order of work and the additives, each
// with its share of the fats and when it goes in.
func (r recipe) extraLines(req *desk.Request, k kept) []string {
	var out []string
	scale, fat := req.Scale(), k.fat()
	for i, p := range r.acids {
		takes := p.Grams * p.Strength * p.Acid.Takes() / k.alkali().Pure() * k.alkali().Grams()
		out = append(out, fmt.Sprintf("%s, into the water before the lye: it takes up about %s of the lye, which is counted", k.Acids[i].say(req), scale.Nearest(takes)))
	}
	if without, err := lye.BandOf(r.fats, k.alkali()); err == nil && len(r.acids) > 0 {
		line := fmt.Sprintf("Without the acid this lye would leave a superfat of %s.", percent(without.Typical, 1))
		if without.Low < 0 {
			line = strings.TrimSuffix(line, ".") + ": never leave it out."
		}
		out = append(out, line)
	}
	for _, e := range r.extras {
		out = append(out, e.line(req, fat))
	}
	for _, e := range r.extras {
		out = append(out, e.advice(fat, k.total())...)
	}
	if k.Liquid != nil {
		out = append(out, liquidLines(k)...)
	}
	return out
}

// additive finds what an extra is, by its own name or as a scent.
func (e keptExtra) additive() lye.Additive {
	for _, a := range lye.Additives {
		if a.Name == e.Name {
			return a
		}
		for _, alias := range a.Aliases {
			if alias == strings.ToLower(e.Name) {
				return a
			}
		}
	}
	return lye.Additive{When: lye.AtTrace}
}

func (e keptExtra) line(req *desk.Request, fat float64) string {
	a := e.additive()
	when := a.When
	if e.Grams >= 0.25*fat && a.Name == "salt" {
		when = lye.AtTrace
	}
	if e.Grams == 0 {
		return e.say(req) + ", " + when
	}
	text := fmt.Sprintf("%s (%s of fats), %s", e.say(req), percent(e.Grams/fat, 1), when)
	if a.Note != "" && !a.Scent {
		text += "; " + a.Note
	}
	return text
}

// advice says what is beyond the usual, and what a scent has to be checked for.
func (e keptExtra) advice(fat, total float64) []string {
	a, share := e.additive(), e.Grams/fat
	var out []string
	switch {
	case a.Name == "salt" && share >= 0.25:
		out = append(out, "A salt bar: cut it within 3 to 12 hours; made with 80% or more coconut and 15% to 20% superfat (common practice).")
	case a.High > 0 && share > a.High+1e-9:
		out = append(out, fmt.Sprintf("%s of %s is more than usual: %s to %s of the fats (common practice).", percent(share, 1), e.Name, short(a.Low), short(a.High)))
	}
	if a.Scent {
		out = append(out,
			fmt.Sprintf("The %s is %s of the finished soap. Its limit stands in the supplier's certificate, for rinse-off products (IFRA Category 9): the lower figure counts. %s.", e.Name, percent(e.Grams/total, 1), desk.Upper(a.Note)),
			"Scent is not for everybody: ask first for infants, in pregnancy, with asthma, and near pets.")
	}
	return out
}

// liquidLines are the order of work that keeps a liquid from scorching.
func liquidLines(k kept) []string {
	l, ok := lye.LiquidNamed(k.Liquid.Name)
	if !ok {
		return nil
	}
	out := []string{fmt.Sprintf("%.0f g of the %s is water (taken as %s; it varies), which is what dissolves the lye.", k.Liquid.Grams*(1-l.Solids), l.Name, short(1-l.Solids))}
	if l.Boil {
		out = append(out, fmt.Sprintf("Boil the %s first to drive off gas and alcohol, let it go cold and flat, then weigh it.", l.Name))
	}
	if l.Sugars {
		out = append(out, fmt.Sprintf("Freeze the %s to slush, stand the jug in ice, and add the lye a spoonful at a time, waiting in between: it scorches orange and smells of ammonia when it gets hot.", l.Name),
			"Its sugars and lye give off carbon monoxide: open window or outdoors, never a closed vessel. Mix at 25 to 35 C.")
	}
	return out
}

func warnings(band lye.Band, strength float64, k kept) []string {
	var out []string
	switch band.Verdict() {
	case lye.MayBeHeavy:
		out = append(out, "May be lye-heavy if the fats are at the low end of their range; confirmed by you. Keep it off skin if the cure check finds any pocket of lye.")
	case lye.VeryFatty:
		out = append(out, "Very fatty: the soap will be soft and may go rancid.")
	}
	if strength > lye.WarnStrength+1e-9 && k.bars() {
		out = append(out, "Strong solution: below about 16 C it can form crystals, and it may hide undissolved lye. Stir until clear.")
	}
	if strength < lye.WeakStrength && k.bars() {
		out = append(out, "Weak solution: soft soap, a long cure, and it may separate.")
	}
	return out
}
