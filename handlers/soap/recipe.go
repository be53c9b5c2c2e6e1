package soap

import (
	"fmt"
	"strings"

	"yardbell/calc/lye"
	"yardbell/handlers/desk"
	"yardbell/storage"
)

// recipe is what a line says about a batch before anything is computed.
type recipe struct {
	fats       []lye.Portion
	soda       float64 // g of sodium hydroxide, 0 when it is to be worked out
	potash     float64 // g of potassium hydroxide, the same
	share      float64 // of the work done by sodium hydroxide, by moles
	shareText  string  // how the share was said, for the card
	sodaPure   float64
	potashPure float64
	doubt      bool // nobody knows how pure the potassium hydroxide is
	superfat   float64
	water      lye.Water
	startC     float64 // temperature of the water before the lye, C
	stock      float64 // strength of a stock solution that the lye is taken from, 0 for none
	liquid     string  // in place of water; empty for plain water
	liquidG    float64
	acids      []lye.AcidPortion
	extras     []keptExtra
	confirmed  bool
	poured     bool // a pour is being written, not a card asked for
	blend      bool // the fats stand for their shares only: how much of them does this lye take
	assumed    []string
	readAs     []string // names taken with a slip forgiven
}

// Purities of potassium hydroxide when nobody knows it: weighed for the usual
// one, judged by the highest plausible one (common practice).
const (
	usualPotash  = 0.90
	purestPotash = 0.95
)

// usualStart is the temperature of tap water in a kitchen, in C.
const usualStart = 20.0

// given reports that the line says how much lye there is.
func (r recipe) given() bool { return r.soda > 0 || r.potash > 0 }

func (r recipe) usesPotash() bool { return r.potash > 0 || !r.given() && r.share < 1 }

func (r recipe) usesSoda() bool { return r.soda > 0 || !r.given() && r.share > 0 }

func (r recipe) mix() lye.Mix {
	return lye.Mix{Share: r.share, SodiumPurity: r.sodaPure, PotassiumPurity: r.potashPure}
}

// settle takes what was not said for granted, and says so.
func (r *recipe) settle() {
	if r.superfat < 0 {
		r.superfat = 0.05
		if !r.usesSoda() {
			r.superfat = 0.03 // liquid soap: 0 to 3 % is usual, more clouds it
		}
		if !r.given() {
			r.assumed = append(r.assumed, "superfat "+short(r.superfat))
		}
	}
	if r.sodaPure < 0 {
		r.sodaPure = 1
		if r.usesSoda() {
			what := "lye"
			if r.usesPotash() {
				what = "sodium hydroxide"
			}
			r.assumed = append(r.assumed, what+" 100% pure, the safe figure when the tin does not say")
		}
	}
	if r.doubt {
		r.potashPure = usualPotash
		r.assumed = append(r.assumed, "potassium hydroxide 90% pure, the usual figure, and judged as if it were 95%")
	}
	if r.water == lye.DefaultWater {
		r.assumed = append(r.assumed, "water for a 30% lye solution")
	}
	if r.usesPotash() && r.usesSoda() && !r.given() && r.shareText == "" {
		r.shareText = fmt.Sprintf("%s of the work by sodium hydroxide, counted by moles", short(r.share))
	}
}

// askPotash asks how pure the potassium hydroxide is: it is sold at 85 to 92 %,
// and no figure is safe for all of it.
func (r recipe) askPotash() (desk.Reply, bool) {
	if !r.usesPotash() || r.potashPure > 0 || r.doubt {
		return desk.Reply{}, false
	}
	return desk.AskBack("How pure is the potassium hydroxide? The tin says; 85% to 92% is usual.",
		desk.Labelled("90%", r.line("koh purity 90%")), desk.Labelled("85%", r.line("koh purity 85%")), desk.Labelled("It does not say", r.line("koh purity unknown"))), true
}

// line writes the recipe as a typed line that asks for it again.
func (r recipe) line(settings ...string) string {
	parts := r.fatParts()
	if r.soda > 0 {
		parts = append(parts, fmt.Sprintf("%.10g g naoh", r.soda))
	}
	if r.potash > 0 {
		parts = append(parts, fmt.Sprintf("%.10g g koh", r.potash))
	}
	if !r.given() && r.share < 1 {
		if r.share == 0 {
			parts = append(parts, "koh")
		} else {
			parts = append(parts, fmt.Sprintf("%.10g:%.10g naoh to koh by moles", 100*r.share, 100-100*r.share))
		}
	}
	parts = append(parts, r.extraParts()...)
	parts = append(parts, settings...)
	if r.usesSoda() && r.sodaPure > 0 {
		parts = append(parts, "naoh purity "+short(r.sodaPure))
	}
	if r.usesPotash() && r.potashPure > 0 && !r.doubt {
		parts = append(parts, "koh purity "+short(r.potashPure))
	}
	if r.doubt {
		parts = append(parts, "koh purity unknown")
	}
	verb := "lye "
	if r.poured {
		verb = "poured "
	}
	if r.stock > 0 {
		parts = append(parts, short(r.stock)+" stock")
	}
	if r.startC != usualStart {
		parts = append(parts, fmt.Sprintf("water at %.4gC", r.startC))
	}
	return verb + strings.Join(append(parts, r.waterPart()), ", ")
}

func (r recipe) fatParts() []string {
	var parts []string
	for _, p := range r.fats {
		parts = append(parts, fmt.Sprintf("%.10g g %s", p.Grams, p.Fat.Name))
	}
	return parts
}

func (r recipe) extraParts() []string {
	var parts []string
	for _, a := range r.acids {
		text := fmt.Sprintf("%.10g g %s", a.Grams, a.Acid.Name)
		if a.Strength != a.Acid.Usual {
			text = fmt.Sprintf("%.10g g %s %s", a.Grams, short(a.Strength), a.Acid.Name)
		}
		parts = append(parts, text)
	}
	for _, e := range r.extras {
		text := e.Text + " " + e.Name
		if e.Text == "" {
			text = fmt.Sprintf("%.10g g %s", e.Grams, e.Name)
		}
		parts = append(parts, text)
	}
	switch {
	case r.liquidG > 0:
		parts = append(parts, fmt.Sprintf("%.10g g %s", r.liquidG, r.liquid))
	case r.liquid != "":
		parts = append(parts, r.liquid+" instead of water")
	}
	return parts
}

func (r recipe) waterPart() string {
	switch w := r.water; w.Kind {
	case lye.ByRatio:
		return fmt.Sprintf("%.4g:1 water to lye", w.Value)
	case lye.ByShareOfFats:
		return short(w.Value) + " water"
	case lye.ByMass:
		return fmt.Sprintf("%.10g g water", w.Value)
	}
	return short(r.water.Value) + " lye solution"
}

func percent(share float64, places int) string {
	return fmt.Sprintf("%.*f%%", places, 100*share)
}

// short writes 5% and not 5.0%.
func short(share float64) string {
	s := fmt.Sprintf("%.2f", 100*share)
	for s[len(s)-1] == '0' {
		s = s[:len(s)-1]
	}
	if s[len(s)-1] == '.' {
		s = s[:len(s)-1]
	}
	return s + "%"
}

func statusOf(err error) (storage.Message, bool) {
	u, ok := err.(unclear) //nolint:errorlint // made here and never wrapped
	return u.reply, ok
}
