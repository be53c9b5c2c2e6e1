package soap

import (
	"encoding/json"
	"fmt"
	"strings"

	"yardbell/calc/lye"
	"yardbell/handlers/desk"
)

// kept is a weighed-out recipe as it is stored with a card or a batch. What a
// field that is not there means does not change: old batches have few of them.
type kept struct {
	Fats      []keptFat   `json:"fats"`
	Lye       float64     `json:"lye_g"` // sodium hydroxide
	Purity    float64     `json:"purity"`
	Potash    float64     `json:"potash_g,omitempty"` // potassium hydroxide
	PotashPur float64     `json:"potash_purity,omitempty"`
	Water     float64     `json:"water_g"` // plain water
	Liquid    *keptExtra  `json:"liquid,omitempty"`
	Acids     []keptExtra `json:"acids,omitempty"`
	Extras    []keptExtra `json:"extras,omitempty"`
	Superfat  float64     `json:"superfat"` // at the typical value
	Asked     float64     `json:"asked,omitempty"`
	Confirmed bool        `json:"confirmed,omitempty"` // as it is, though the worst case is lye-heavy
}

type keptFat struct {
	Name  string  `json:"name"`
	Grams float64 `json:"g"`
}

// keptExtra is something besides fats, lye and water. One without grams was
// measured otherwise, as Text says.
type keptExtra struct {
	Name     string  `json:"name"`
	Grams    float64 `json:"g"`
	Strength float64 `json:"strength,omitempty"` // of an acid
	Text     string  `json:"text,omitempty"`
}

// bars reports that the soap sets hard: some of its lye is sodium hydroxide.
func (k kept) bars() bool { return k.Lye > 0 }

func (k kept) fat() float64 {
	sum := 0.0
	for _, f := range k.Fats {
		sum += f.Grams
	}
	return sum
}

// total is the whole mass at the pour, in grams.
func (k kept) total() float64 {
	sum := k.Lye + k.Potash + k.Water + k.fat()
	for _, e := range k.additions() {
		sum += e.Grams
	}
	return sum
}

// additions are the liquid, the acids and the extras.
func (k kept) additions() []keptExtra {
	var out []keptExtra
	if k.Liquid != nil {
		out = append(out, *k.Liquid)
	}
	return append(append(out, k.Acids...), k.Extras...)
}

// dissolving is the water that the lye dissolves in, in grams, that of a liquid
// and of dilute acids too.
func (k kept) dissolving() float64 {
	water := k.Water
	if k.Liquid != nil {
		if l, ok := lye.LiquidNamed(k.Liquid.Name); ok {
			water += k.Liquid.Grams * (1 - l.Solids)
		}
	}
	for _, a := range k.Acids {
		water += a.Grams * (1 - a.Strength)
	}
	return water
}

func (k kept) alkali() lye.Alkali {
	return lye.Alkali{Sodium: k.Lye, SodiumPurity: k.Purity, Potassium: k.Potash, PotassiumPurity: k.PotashPur}
}

func (k kept) acids() []lye.AcidPortion {
	var out []lye.AcidPortion
	for _, a := range k.Acids {
		if acid, ok := lye.AcidNamed(a.Name); ok {
			out = append(out, lye.AcidPortion{Acid: acid, Grams: a.Grams, Strength: a.Strength})
		}
	}
	return out
}

// times multiplies every mass.
func (k kept) times(f float64) kept {
	k.Fats = append([]keptFat(nil), k.Fats...)
	for i := range k.Fats {
		k.Fats[i].Grams *= f
	}
	scale := func(all []keptExtra) []keptExtra {
		all = append([]keptExtra(nil), all...)
		for i := range all {
			all[i].Grams *= f
		}
		return all
	}
	k.Acids, k.Extras = scale(k.Acids), scale(k.Extras)
	if k.Liquid != nil {
		k.Liquid = &scale([]keptExtra{*k.Liquid})[0]
	}
	k.Lye, k.Potash, k.Water = k.Lye*f, k.Potash*f, k.Water*f
	return k
}

func (k kept) json() (string, error) {
	b, err := json.Marshal(k)
	return string(b), err
}

func readKept(s string) (kept, error) {
	var k kept
	err := json.Unmarshal([]byte(s), &k)
	return k, err
}

// say lists what went in, in one line.
func (k kept) say(req *desk.Request) string {
	scale := req.Scale()
	var fats, rest []string
	for _, f := range k.Fats {
		fats = append(fats, scale.Nearest(f.Grams)+" "+f.Name)
	}
	if k.Lye > 0 {
		rest = append(rest, scale.Nearest(k.Lye)+" lye")
	}
	if k.Potash > 0 {
		rest = append(rest, scale.Nearest(k.Potash)+" potassium hydroxide")
	}
	if k.Water > 0 {
		rest = append(rest, scale.Nearest(k.Water)+" water")
	}
	for _, e := range k.additions() {
		rest = append(rest, e.say(req))
	}
	return strings.Join(fats, ", ") + "; " + strings.Join(rest, ", ")
}

func (e keptExtra) say(req *desk.Request) string {
	if e.Text != "" {
		return e.Text + " " + e.Name
	}
	name := e.Name
	if e.Strength > 0 && e.Strength < 1 {
		name = fmt.Sprintf("%s %s", short(e.Strength), e.Name)
	}
	return req.Scale().Nearest(e.Grams) + " " + name
}
