package soap

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"yardbell/calc/lye"
	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// card answers how much lye a blend takes, or checks a recipe that names its lye.
func card(req *desk.Request) (desk.Reply, error) {
	r, err := readRecipe(req)
	if reply, ok := statusOf(err); ok {
		return reply, nil
	}
	if err != nil {
		return desk.Reply{}, err
	}
	if reply, is := fatFor(req, r); is {
		return reply, nil
	}
	if len(r.fats) == 0 {
		if !req.Direct && r.lye == 0 {
			return desk.Reply{}, desk.ErrSilent
		}
		return desk.AskBack("For which fats, and how much of each? For example: lye 900 g tallow 300 g coconut",
			desk.Labelled("Examples", "help lye")), nil
	}
	reply, k, err := r.weighOut(req)
	if err != nil || reply.Status != storage.OK {
		return reply, err
	}
	text, err := k.json()
	if err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SaveCard(req.House.ID, req.Who.Name, req.Now, text); err != nil {
		return desk.Reply{}, err
	}
	reply.Buttons = []storage.Button{desk.Labelled("Rope off the kitchen", "rope off the kitchen"), desk.Labelled("Poured it", "batch")}
	return reply, nil
}

// fatFor answers the question the other way round: "how much lard for 66 g lye".
func fatFor(req *desk.Request, r recipe) (desk.Reply, bool) {
	asked := false
	toks := req.Reading.Tokens
	for _, s := range req.Reading.Terms("fats") {
		asked = asked || s.First > 0 && (toks[s.First-1].Low == "much" || toks[s.First-1].Low == "many")
	}
	if !asked {
		return desk.Reply{}, false
	}
	q := req.Reading.Of(phrase.KindQuantity)
	name := req.Reading.Terms("fats")[0].Value.(phrase.Term).Name
	f, ok := lye.FatNamed(name)
	if len(req.Reading.Terms("fats")) != 1 || len(q) != 1 || !ok {
		return desk.AskBack("How much of one fat for how much lye? For example: how much lard for 66 g lye"), true
	}
	v := q[0].Value.(phrase.Quantity)
	if v.Unit.Dim != measure.Mass || v.Top != nil || v.Amount.Sign() <= 0 || v.Float() > lye.MaxFat {
		return desk.AskBack("How much lye, by weight? For example: how much lard for 66 g lye"), true
	}
	grams, err := lye.FatFor([]lye.Portion{{Fat: f, Grams: 1000}}, v.Float(), max(r.superfat, 0.05), r.purity)
	if err != nil {
		return refusal(err), true
	}
	reply := desk.Answer(fmt.Sprintf("%s %s for %s lye (sodium hydroxide).", req.Scale().Nearest(grams), name, req.Scale().Nearest(v.Float())))
	reply.Assumed = []string{"superfat " + short(max(r.superfat, 0.05)), "lye " + short(r.purity) + " pure"}
	reply.Buttons = []storage.Button{desk.Labelled("Card", fmt.Sprintf("lye %.10g g %s", math.Round(grams), name))}
	return reply, true
}

// weighOut computes the card and judges it. A reply that is not ok carries why.
func (r recipe) weighOut(req *desk.Request) (desk.Reply, kept, error) {
	scale := req.Scale()
	given := r.lye > 0
	lyeGrams := r.lye
	if !given {
		exact, err := lye.Lye(r.fats, r.superfat, r.purity)
		if err != nil {
			return refusal(err), kept{}, nil
		}
		if lyeGrams = scale.DownGrams(exact); lyeGrams <= 0 {
			return desk.Refuse(fmt.Sprintf("That is too little fat for your scale: it would take %.2f g of lye. Make a larger batch, or tell me a finer scale: house scale 0.1 g", exact)), kept{}, nil
		}
	}
	band, err := lye.BandOf(r.fats, lyeGrams, r.purity)
	if err != nil {
		return refusal(err), kept{}, nil
	}
	water, err := r.water.Grams(lyeGrams, lye.TotalFat(r.fats))
	if err != nil {
		return badWater(r, lyeGrams, err), kept{}, nil
	}
	if reply, stop := r.judge(req, band); stop {
		return reply, kept{}, nil
	}
	k := kept{Lye: lyeGrams, Water: water, Purity: r.purity}
	for _, p := range r.fats {
		k.Fats = append(k.Fats, keptFat{p.Fat.Name, p.Grams})
	}
	return r.write(req, k, band, given), k, nil
}

func refusal(err error) desk.Reply {
	switch {
	case errors.Is(err, lye.ErrMass):
		return desk.Refuse(fmt.Sprintf("An amount cannot be: each has to be above 0 and at most %d kg.", lye.MaxFat/1000))
	case errors.Is(err, lye.ErrPurity):
		return desk.Refuse("The purity of the lye has to be from 50% to 100%.")
	case errors.Is(err, lye.ErrSuperfat):
		return desk.Refuse("The superfat has to be from 0% to 40%.")
	}
	return desk.Refuse("That recipe cannot be worked out: name each fat with its weight.")
}

func badWater(r recipe, lyeGrams float64, err error) desk.Reply {
	if !errors.Is(err, lye.ErrWater) {
		return refusal(err)
	}
	return desk.Refuse(fmt.Sprintf("That water does not go with %.0f g of lye: the solution has to be between 5%% and 50%% lye, 25%% to 40%% is usual.", lyeGrams),
		fmt.Sprintf("Use at least %.0f g water; %.0f g makes a 30%% solution.", math.Ceil(lyeGrams), lyeGrams*0.7/0.3))
}

// judge refuses what is lye-heavy and asks about what may be.
func (r recipe) judge(req *desk.Request, band lye.Band) (desk.Reply, bool) {
	safe, err := lye.SafeLye(r.fats, r.purity)
	if err != nil {
		return refusal(err), true
	}
	usual, err := lye.Lye(r.fats, max(r.superfat, 0.05), r.purity)
	if err != nil {
		return refusal(err), true
	}
	scale := req.Scale()
	switch band.Verdict() {
	case lye.LyeHeavy:
		return desk.Refuse("Lye-heavy: do not make this. It would burn skin.",
			sayBand("Superfat", band),
			fmt.Sprintf("%s lye leaves 5%% of these fats over; %s is the most that is safe whatever the fats.", scale.Down(usual), scale.Down(safe))), true
	case lye.MayBeHeavy:
		if r.confirmed {
			return desk.Reply{}, false
		}
		least, err := lye.LeastSuperfat(r.fats)
		if err != nil {
			return refusal(err), true
		}
		least = math.Ceil(least*1000) / 1000
		safer := r
		safer.lye, safer.poured = 0, false
		reply := desk.AskBack("This may be lye-heavy: these fats vary more than the superfat allows.",
			desk.Labelled("Superfat "+short(least), safer.line(fmt.Sprintf("superfat %s", short(least)))),
			desk.Labelled("As it is", r.line(fmt.Sprintf("superfat %s confirmed", short(r.superfat)))))
		reply.Lines = []string{
			sayBand("Superfat", band),
			fmt.Sprintf("%s lye is the most that is safe whatever the fats (superfat %s). Use that, or as it is?", scale.Down(safe), short(least)),
		}
		return reply, true
	}
	return desk.Reply{}, false
}

// line writes the recipe as a typed line that asks for it again.
func (r recipe) line(settings string) string {
	var parts []string
	for _, p := range r.fats {
		parts = append(parts, fmt.Sprintf("%.10g g %s", p.Grams, p.Fat.Name))
	}
	if r.lye > 0 {
		parts = append(parts, fmt.Sprintf("%.10g g lye", r.lye))
	}
	parts = append(parts, settings, fmt.Sprintf("purity %s", short(r.purity)))
	switch w := r.water; w.Kind {
	case lye.ByStrength:
		parts = append(parts, short(w.Value)+" solution")
	case lye.ByRatio:
		parts = append(parts, fmt.Sprintf("%.4g:1 water to lye", w.Value))
	case lye.ByShareOfFats:
		parts = append(parts, short(w.Value)+" water")
	case lye.ByMass:
		parts = append(parts, fmt.Sprintf("%.10g g water", w.Value))
	}
	if r.poured {
		return "poured " + strings.Join(parts, ", ")
	}
	return "lye " + strings.Join(parts, ", ")
}

func sayBand(what string, b lye.Band) string {
	return fmt.Sprintf("%s %s typical, from %s to %s over the natural range of these fats.", what, percent(b.Typical, 1), percent(b.Low, 1), percent(b.High, 1))
}

// write lays the card out: the answer, then what is weighed, then the superfat.
func (r recipe) write(req *desk.Request, k kept, band lye.Band, given bool) desk.Reply {
	scale := req.Scale()
	lyeText := scale.Down(k.Lye)
	if given {
		lyeText = scale.Nearest(k.Lye)
	}
	reply := desk.Answer(fmt.Sprintf("%s lye (sodium hydroxide) into %s water.", lyeText, scale.Nearest(k.Water)))
	if given {
		reply.Head = fmt.Sprintf("Not lye-heavy: %s lye for these fats leaves a superfat of %s.", lyeText, percent(band.Typical, 1))
		reply.Lines = append(reply.Lines, scale.Nearest(k.Water)+" water")
	}
	for _, p := range r.fats {
		reply.Lines = append(reply.Lines, scale.Nearest(p.Grams)+" "+p.Fat.Name)
	}
	reply.Lines = append(reply.Lines, r.superfatLine(band, given))
	strength := lye.Strength(k.Lye, k.Water)
	reply.Lines = append(reply.Lines, fmt.Sprintf("Solution %s lye, water %.2f : 1 lye; %s in all.", percent(strength, 1), k.Water/k.Lye, scale.Nearest(k.total())))
	if peak := peakLine(req, strength); peak != "" {
		reply.Lines = append(reply.Lines, peak)
	}
	if r.purity < 1 {
		reply.Lines = append(reply.Lines, fmt.Sprintf("Counted with lye of %s purity: purer lye would make it stronger.", short(r.purity)))
	}
	reply.Lines = append(reply.Lines, r.readAs...)
	reply.Assumed = r.assumed
	reply.Cautions = append(warnings(band, strength), cautions...)
	return reply
}

func (r recipe) superfatLine(band lye.Band, given bool) string {
	if given {
		return sayBand("Superfat", band)
	}
	return fmt.Sprintf("Superfat %s asked; as weighed %s, from %s to %s over the natural range of these fats.",
		short(r.superfat), percent(band.Typical, 1), percent(band.Low, 1), percent(band.High, 1))
}

func warnings(band lye.Band, strength float64) []string {
	var out []string
	switch band.Verdict() {
	case lye.MayBeHeavy:
		out = append(out, "May be lye-heavy if the fats are at the low end of their range; confirmed by you. Keep it off skin if the cure check finds any pocket of lye.")
	case lye.VeryFatty:
		out = append(out, "Very fatty: the soap will be soft and may go rancid.")
	}
	if strength > lye.WarnStrength+1e-9 {
		out = append(out, "Strong solution: below about 16 C it can form crystals, and it may hide undissolved lye. Stir until clear.")
	}
	if strength < lye.WeakStrength {
		out = append(out, "Weak solution: soft soap, a long cure, and it may separate.")
	}
	return out
}
