package food

import (
	"cmp"
	"math/big"
	"slices"
	"strings"
)

// Kind is what an amount counts.
type Kind uint8

// The kinds.
const (
	Mass   Kind = iota // grams
	Volume             // US teaspoons
	Count              // pieces
	Vague              // a pinch, to taste: never summed
)

// Amount is how much of a thing a recipe asks for. The value is not negative; nil is
// vague.
type Amount struct {
	Kind  Kind
	Value *big.Rat // grams, US teaspoons or pieces; nil when vague
	Unit  string   // of a count: "clove", "tin 400 g"; of what is vague: "pinch"
}

// Item is one ingredient of one recipe.
type Item struct {
	Name   string // the words of the line without the amount
	Amount Amount
	From   string // which recipe
}

// Need is one thing to buy and how much of it, before trim.
type Need struct {
	Name    string // in the shop's words; for an unknown thing in those of its first line
	Food    Food   // of those that join under the name, the one that loses most
	Known   bool   // whether Food is set
	Amounts []Amount
	From    []string // the recipes that ask for it, sorted
}

// bucket is what is summed without asking what it weighs: one food in one unit.
type bucket struct {
	food  Food
	known bool
	Amount
}

// pile is all that joins under one name.
type pile struct {
	name    string
	buckets []bucket
	vague   []Amount
	foods   []Food
	from    []string
}

// Sum adds up what recipes ask for: the same thing to buy is one need, sorted by name.
// Forms stay apart, tinned from fresh; a cooked grain or pulse joins the dry one by the
// mass that it is cooked from. One kind of amount adds exactly; several become grams if
// each can, else they stay apart; what is vague is kept as it is. An amount without a
// value or below zero counts as vague.
func Sum(items []Item) []Need {
	piles := map[string]*pile{}
	for _, it := range items {
		key, name, b := place(it)
		p := piles[key]
		if p == nil {
			p = &pile{name: name}
			piles[key] = p
		}
		p.add(b, it.From)
	}
	out := make([]Need, 0, len(piles))
	for _, p := range piles {
		out = append(out, p.need())
	}
	slices.SortFunc(out, func(a, b Need) int { return cmp.Compare(a.Name, b.Name) })
	return out
}

// place returns under which key and name an item is summed, and as what.
func place(it Item) (key, name string, b bucket) {
	f, ok := Find(it.Name)
	b = bucket{f, ok, tidy(it.Amount)}
	if !ok {
		return unknownKey(it.Name), strings.Join(strings.Fields(it.Name), " "), b
	}
	b, joins := b.uncooked()
	if !joins {
		return f.Name, f.Name, b
	}
	return shelves()[f.Name].name, shelves()[f.Name].name, b
}

// unknownKey is the key of a thing that the table does not have: its words, those of
// preparing left out.
func unknownKey(line string) string {
	ws := set(without(without(words(line), joints()), softWords()))
	if len(ws) == 0 {
		return "? " + strings.ToLower(strings.Join(strings.Fields(line), " "))
	}
	return "? " + strings.Join(ws, " ")
}

// tidy makes an amount safe to sum: a copy, with its unit in single words.
func tidy(a Amount) Amount {
	if a.Value == nil || a.Value.Sign() < 0 || a.Kind > Vague {
		a.Kind = Vague
	}
	if a.Value != nil {
		a.Value = new(big.Rat).Set(a.Value)
	}
	if a.Kind == Mass || a.Kind == Volume {
		a.Unit = ""
	}
	if a.Kind == Count {
		a.Unit = unit(a.Unit)
	}
	return a
}

// unit writes the unit of a count without its plural: "cloves" is "clove".
func unit(text string) string {
	fields := strings.Fields(strings.ToLower(text))
	for i, w := range fields {
		if s := single(w); s != "canned" {
			fields[i] = s
		}
	}
	return strings.Join(fields, " ")
}

// uncooked turns a mass or volume of a cooked food into the mass of the dry one. It
// returns false for a cooked food that cannot be turned, which stays a need of its own.
func (b bucket) uncooked() (bucket, bool) {
	dry, mass, ok := dryOf(b.food)
	if !ok {
		return b, true
	}
	grams, ok := b.grams()
	if !ok {
		return b, false
	}
	grams.Quo(grams, exact(mass))
	return bucket{dry, true, Amount{Kind: Mass, Value: grams}}, true
}

// grams is the bridge of a bucket: what it weighs.
func (b bucket) grams() (*big.Rat, bool) {
	if b.Kind == Mass {
		return new(big.Rat).Set(b.Value), true
	}
	if !b.known || b.Kind == Vague {
		return nil, false
	}
	if b.Kind == Count {
		each, ok := b.food.piece(strings.Join(words(b.Unit), " "))
		return new(big.Rat).Mul(b.Value, exact(each)), ok
	}
	n, _ := b.Value.Float64()
	m, ok := b.food.by(n)
	if !ok {
		return nil, false
	}
	return new(big.Rat).Mul(m.exactRate(), b.Value), true
}

func (p *pile) add(b bucket, from string) {
	if b.known {
		p.foods = append(p.foods, b.food)
	}
	if from != "" && !slices.Contains(p.from, from) {
		p.from = append(p.from, from)
	}
	if b.Kind == Vague {
		p.vague = append(p.vague, b.Amount)
		return
	}
	for i, old := range p.buckets {
		if old.food.Name == b.food.Name && old.Kind == b.Kind && old.Unit == b.Unit {
			p.buckets[i].Value.Add(old.Value, b.Value)
			return
		}
	}
	p.buckets = append(p.buckets, b)
}

func (p *pile) need() Need {
	slices.Sort(p.from)
	slices.SortFunc(p.vague, byKind)
	n := Need{Name: p.name, Amounts: append(p.amounts(), p.vague...), From: p.from}
	if len(p.foods) > 0 {
		n.Food, n.Known = slices.MaxFunc(p.foods, byLoss), true
	}
	return n
}

// byLoss orders foods by what is lost of them, then by name.
func byLoss(a, b Food) int {
	x, _ := TrimOf(a)
	y, _ := TrimOf(b)
	return cmp.Or(cmp.Compare(x.Refuse, y.Refuse), cmp.Compare(b.Name, a.Name))
}

// amounts are the buckets as few amounts as may be: those that count the same pieces
// together, several in grams if each has a bridge, else those of one kind and unit
// together.
func (p *pile) amounts() []Amount {
	if len(p.buckets) == 1 || p.pieces() {
		return p.merged()
	}
	if grams, ok := p.grams(); ok {
		return []Amount{{Kind: Mass, Value: grams}}
	}
	return p.merged()
}

// pieces says whether all buckets count pieces of one unit and none is of a size of its
// own, as eggs are: an apple is an apple, peeled or not.
func (p *pile) pieces() bool {
	return !slices.ContainsFunc(p.buckets, func(b bucket) bool {
		return b.Kind != Count || b.Unit != p.buckets[0].Unit || strings.HasPrefix(b.food.Name, "egg ")
	})
}

// merged are the buckets, those of one kind and unit together.
func (p *pile) merged() []Amount {
	var out []Amount
	for _, b := range p.buckets {
		i := slices.IndexFunc(out, func(a Amount) bool { return a.Kind == b.Kind && a.Unit == b.Unit })
		if i < 0 {
			out = append(out, Amount{b.Kind, new(big.Rat).Set(b.Value), b.Unit})
			continue
		}
		out[i].Value.Add(out[i].Value, b.Value)
	}
	slices.SortFunc(out, byKind)
	return out
}

func byKind(a, b Amount) int {
	return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Unit, b.Unit), byValue(a.Value, b.Value))
}

// byValue orders values, nil first.
func byValue(a, b *big.Rat) int {
	switch {
	case a == nil && b == nil:
		return 0
	case a == nil:
		return -1
	case b == nil:
		return 1
	}
	return a.Cmp(b)
}

// grams is the sum of the buckets in grams, if each has a bridge.
func (p *pile) grams() (*big.Rat, bool) {
	sum := new(big.Rat)
	for _, b := range p.buckets {
		g, ok := b.grams()
		if !ok {
			return nil, false
		}
		sum.Add(sum, g)
	}
	return sum, len(p.buckets) > 0
}
