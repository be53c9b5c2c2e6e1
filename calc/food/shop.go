package food

import (
	_ "embed"
	"math/big"
	"slices"
	"strings"
	"sync"
)

//go:embed purchase.csv
var purchaseCSV string

// Purchase is what to put into the basket for one amount of a need.
type Purchase struct {
	Text string // number, size, unit and plain words: "2 x 1.5 kg bag"
	// Buy and Over are what is bought and what of it is left over, in one unit: grams, US
	// teaspoons or pieces. Both are nil for what is vague.
	Buy, Over *big.Rat
}

// mostPacks is how many small packs one buys before taking a larger one.
const mostPacks = 6

// pack is a unit in which a shop sells something.
type pack struct {
	kind Kind
	of   string   // of a count: the unit counted
	size *big.Rat // grams, US teaspoons or pieces
	step *big.Rat // the size in its own unit
	unit string   // kg, lb, ml; each for a count
	word string   // bag, loose, "box of 12"
}

func (p pack) loose() bool { return p.word == "loose" }

// shopUnits are the units of the table of packs in grams, US teaspoons or pieces; exact:
// 1 lb is 453.59237 g, a US teaspoon 4.92892159375 ml.
var shopUnits = map[string]*big.Rat{
	"g": big.NewRat(1, 1), "kg": big.NewRat(1000, 1),
	"oz": big.NewRat(45359237, 1600000), "lb": big.NewRat(45359237, 100000),
	"ml": big.NewRat(32000000, 157725491), "l": big.NewRat(32000000000, 157725491),
	"floz": big.NewRat(6, 1), "pt": big.NewRat(96, 1), "qt": big.NewRat(192, 1), "gal": big.NewRat(768, 1),
	"each": big.NewRat(1, 1),
}

// packs leads from system and name to what shops sell.
var packs = sync.OnceValue(func() map[[2]string][]pack {
	kinds := map[string]Kind{"mass": Mass, "volume": Volume, "count": Count}
	out := map[[2]string][]pack{}
	for _, r := range read(purchaseCSV) {
		step := exact(number(r["size"]))
		key := [2]string{r["system"], r["name"]}
		out[key] = append(out[key], pack{
			kind: kinds[r["kind"]], of: r["of"], step: step, unit: r["unit"], word: r["word"],
			size: new(big.Rat).Mul(step, shopUnits[r["unit"]]),
		})
	}
	return out
})

// Shop returns what to buy for a need, one purchase for each of its amounts: what is
// lost in trimming added, rounded up to what shops sell, British packs if metric and
// else US ones. Eggs are bought by the box. What shops have no size for stands as it is;
// pieces are rounded up to whole ones.
func Shop(n Need, metric bool) []Purchase {
	out := make([]Purchase, 0, len(n.Amounts))
	for _, a := range n.Amounts {
		out = append(out, purchase(n, tidy(a), metric))
	}
	return out
}

func purchase(n Need, a Amount, metric bool) Purchase {
	if a.Kind == Vague {
		return Purchase{Text: strings.TrimSpace("some " + a.Unit)}
	}
	system := "us"
	if metric {
		system = "metric"
	}
	if n.Known {
		all := packs()[[2]string{system, n.Name}]
		for _, way := range []func(Need, Amount, []pack) ([]pack, Amount){asAsked, byMass, byVolume, byEgg} {
			if ps, b := way(n, a, all); len(ps) > 0 {
				return choose(ps, trimmed(n.Food, b).Value)
			}
		}
		a = trimmed(n.Food, a)
	}
	return stands(a, metric)
}

// asAsked returns the packs that measure as the amount does.
func asAsked(_ Need, a Amount, all []pack) ([]pack, Amount) {
	return kept(all, func(p pack) bool { return p.kind == a.Kind && (a.Kind != Count || p.of == counted(a.Unit)) }), a
}

// byMass returns the packs sold by weight, and the amount in grams. What is counted in
// whole pieces stays so.
func byMass(n Need, a Amount, all []pack) ([]pack, Amount) {
	ps := kept(all, func(p pack) bool { return p.kind == Mass })
	g, ok := bucket{n.Food, true, a}.grams()
	if !ok || a.Kind == Count && counted(a.Unit) == "" {
		return nil, a
	}
	return ps, Amount{Kind: Mass, Value: g}
}

// byVolume returns the packs sold by volume, and the amount in teaspoons.
func byVolume(n Need, a Amount, all []pack) ([]pack, Amount) {
	g, ok := bucket{n.Food, true, a}.grams()
	if !ok {
		return nil, a
	}
	grams, _ := g.Float64()
	t, ok := n.Food.Teaspoons(grams)
	v := new(big.Rat).SetFloat64(t)
	if !ok || v == nil {
		return nil, a
	}
	return kept(all, func(p pack) bool { return p.kind == Volume }), Amount{Kind: Volume, Value: v}
}

// byEgg returns the boxes of eggs, and the amount in large eggs.
func byEgg(n Need, a Amount, all []pack) ([]pack, Amount) {
	g, ok := bucket{n.Food, true, a}.grams()
	if !ok {
		return nil, a
	}
	g.Quo(g, exact(eggs()["large"]))
	return kept(all, func(p pack) bool { return p.kind == Count && p.of == "" }), Amount{Kind: Count, Value: g}
}

// counted is the unit of a count as the packs have it: size words say nothing.
func counted(unit string) string {
	if slices.Contains([]string{"small", "medium", "large", "extra large", "jumbo", "whole", "piece"}, unit) {
		return ""
	}
	return unit
}

func kept(all []pack, keep func(pack) bool) []pack {
	var out []pack
	for _, p := range all {
		if keep(p) {
			out = append(out, p)
		}
	}
	return out
}

// trimmed adds to a prepared mass or volume what is lost of it; pieces are whole.
func trimmed(f Food, a Amount) Amount {
	t, ok := TrimOf(f)
	if !ok || a.Kind == Count {
		return a
	}
	a.Value = new(big.Rat).Quo(a.Value, new(big.Rat).Sub(big.NewRat(1, 1), exact(t.Refuse)))
	return a
}

// choose returns the packs of one size that leave least over; of two ways the one with
// fewer packs.
func choose(ps []pack, want *big.Rat) Purchase {
	largest := slices.MaxFunc(ps, func(a, b pack) int { return a.size.Cmp(b.size) })
	var best pack
	var number, total *big.Rat
	for _, p := range ps {
		n := up(new(big.Rat).Quo(want, p.size))
		if n.Cmp(big.NewRat(mostPacks, 1)) > 0 && !p.loose() && p.size != largest.size {
			continue
		}
		t := new(big.Rat).Mul(n, p.size)
		if total == nil || t.Cmp(total) < 0 || t.Cmp(total) == 0 && n.Cmp(number) < 0 {
			best, number, total = p, n, t
		}
	}
	return Purchase{best.text(number), total, new(big.Rat).Sub(total, want)}
}

// text writes so many of a pack.
func (p pack) text(n *big.Rat) string {
	if p.loose() {
		return written(new(big.Rat).Mul(n, p.step), 2) + " " + p.unit + " loose"
	}
	if p.unit == "each" {
		return written(n, 0) + " x " + p.word
	}
	unit := strings.Replace(p.unit, "floz", "fl oz", 1)
	return written(n, 0) + " x " + written(p.step, 2) + " " + unit + " " + p.word
}

// stands is an amount bought as it is, pieces whole.
func stands(a Amount, metric bool) Purchase {
	v := new(big.Rat).Set(a.Value)
	if a.Kind == Count {
		v = up(v)
		return Purchase{strings.TrimSpace(written(v, 0) + " " + withX(a.Unit)), v, new(big.Rat).Sub(v, a.Value)}
	}
	return Purchase{asMeasured(v, a.Kind, metric), v, new(big.Rat)}
}

// withX sets a unit that is a pack behind its number: 2 x tin 400 g.
func withX(unit string) string {
	if unit == "" {
		return ""
	}
	return "x " + unit
}

// standUnits are the units in which an amount is written that stands as it is, by kind:
// the smaller one and, from a whole one on, the larger.
var standUnits = map[bool]map[Kind][2]string{
	true:  {Mass: {"g", "kg"}, Volume: {"ml", "l"}},
	false: {Mass: {"oz", "lb"}, Volume: {"floz", "qt"}},
}

// asMeasured writes grams or teaspoons in the household's units, rounded up.
func asMeasured(v *big.Rat, kind Kind, metric bool) string {
	units := standUnits[metric][kind]
	small, large := shopUnits[units[0]], shopUnits[units[1]]
	if v.Cmp(large) >= 0 {
		return upTo(new(big.Rat).Quo(v, large), 100) + " " + units[1]
	}
	finest := int64(1)
	if !metric || v.Cmp(new(big.Rat).Mul(small, big.NewRat(10, 1))) < 0 {
		finest = 10
	}
	return strings.Replace(upTo(new(big.Rat).Quo(v, small), finest)+" "+units[0], "floz", "fl oz", 1)
}

// upTo writes a value rounded up to a part in so many.
func upTo(v *big.Rat, parts int64) string {
	n := up(new(big.Rat).Mul(v, big.NewRat(parts, 1)))
	return written(n.Quo(n, big.NewRat(parts, 1)), 2)
}

// up rounds a value up to a whole one.
func up(v *big.Rat) *big.Rat {
	q, m := new(big.Int).DivMod(v.Num(), v.Denom(), new(big.Int))
	if m.Sign() > 0 {
		q.Add(q, big.NewInt(1))
	}
	return new(big.Rat).SetInt(q)
}

// written is a value with so many places at most.
func written(v *big.Rat, places int) string {
	text := v.FloatString(places)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}
