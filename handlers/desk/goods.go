package desk

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"yardbell/calc/food"
	"yardbell/calc/measure"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// Goods is an amount of a thing as the larder counts it: grams, millilitres, or
// pieces that may be tins of a size.
type Goods struct {
	Item    string
	Amount  float64
	Dim     storage.Dimension
	Each    string            // of what is counted: "tin"; empty for the thing itself
	Size    float64           // what one piece holds, 0 when not said
	SizeDim storage.Dimension // Mass or Volume
	Bare    bool              // no amount was said: one is taken
}

// Trouble is why goods could not be read.
type Trouble uint8

// The troubles.
const (
	NoTrouble Trouble = iota
	NoThing           // an amount of nothing
	NotOne            // several amounts, a range, or none that the larder counts
	NoUnit            // a bare number of what is not counted: 5 lard
	EachOrAll         // 3 bags potatoes 30 kg
)

// GoodsOf are the goods of a lot, all that is left of it.
func GoodsOf(l storage.Lot) Goods {
	return Goods{Item: l.Item, Amount: l.Left, Dim: l.Dim, Each: l.Each, Size: l.Size, SizeDim: l.SizeDim}
}

// ReadGoods reads "6 tins tomatoes", "24 eggs", "2 dozen eggs", "4 l of milk", "3 bags
// flour 1.5 kg each", "6 x 400 g tins tomatoes", "the pie dish".
func ReadGoods(text string, ctx phrase.Context) (Goods, Trouble) {
	text = dozens(text)
	toks := phrase.Tokens(text)
	r := phrase.Read(text, toks, ctx, phrase.Query{Kinds: []phrase.Kind{phrase.KindNumber, phrase.KindQuantity}})
	ns, qs := r.Of(phrase.KindNumber), r.Of(phrase.KindQuantity)
	g := Goods{Dim: storage.Count, Amount: 1, Bare: len(ns)+len(qs) == 0}
	gone := make([]bool, len(toks))
	for _, s := range append(slices.Clone(ns), qs...) {
		for i := s.First; i < s.Past; i++ {
			gone[i] = true
		}
	}
	if len(ns) > 1 || len(qs) > 1 {
		g.Item = itemOf(toks, gone)
		return g, NotOne
	}
	if len(ns) == 1 {
		g.Amount, _ = ns[0].Value.(*big.Rat).Float64()
	}
	g.Each, gone = eachIn(toks, gone)
	each := saysEach(toks, gone)
	if len(qs) == 1 {
		amount, dim, ok := measured(qs[0])
		sized := len(ns) == 1 || g.Each != "" && qs[0].Past < len(toks) && containers[toks[qs[0].Past].Low] != ""
		switch {
		case !ok:
			return g, NotOne
		case !sized:
			g.Amount, g.Dim, g.Each = amount, dim, ""
		default:
			g.Size, g.SizeDim = amount, dim
		}
	}
	g.Item = itemOf(toks, gone)
	if g.Item == "" && g.Each != "" { // 3 loaves
		g.Item, g.Each = Counted(2, g.Each), ""
	}
	switch {
	case g.Item == "":
		return g, NoThing
	case g.Amount < 0 || g.Size < 0:
		return g, NotOne
	case g.Size > 0 && !each && g.Amount != 1 && !besideNumber(ns, qs[0], toks):
		return g, EachOrAll
	case g.Dim == storage.Count && g.Each == "" && !g.Bare && !countable(g.Item, g.Amount):
		return g, NoUnit
	}
	return g, NoTrouble
}

// dozens writes doz and dz out.
func dozens(text string) string {
	fields := strings.Fields(text)
	for i, w := range fields {
		switch strings.ToLower(strings.Trim(w, ".,")) {
		case "doz", "dz":
			fields[i] = "dozen"
		}
	}
	return strings.Join(fields, " ")
}

// measured is a span's amount in grams or millilitres.
func measured(s phrase.Span) (amount float64, dim storage.Dimension, ok bool) {
	q := s.Value.(phrase.Quantity)
	switch {
	case q.Top != nil:
		return 0, 0, false
	case q.Unit.Dim == measure.Mass:
		return q.Float(), storage.Mass, true
	case q.Unit.Dim == measure.Volume:
		return q.Float(), storage.Volume, true
	}
	return 0, 0, false
}

// besideNumber reports that a size stands where the size of one piece stands: right
// behind the number, before a container, or behind one and "of".
func besideNumber(ns []phrase.Span, q phrase.Span, toks []phrase.Token) bool {
	if len(ns) == 0 || q.Past < len(toks) && containers[toks[q.Past].Low] != "" {
		return true
	}
	between := toks[min(ns[0].Past, q.First):q.First]
	return !slices.ContainsFunc(between, func(t phrase.Token) bool {
		return containers[t.Low] == "" && !slices.Contains([]string{"x", "of", "(", "*"}, t.Low)
	})
}

// eachIn finds the container that is counted and marks its token: the first word behind
// the amount that is one.
func eachIn(toks []phrase.Token, gone []bool) (string, []bool) {
	out := slices.Clone(gone)
	for i, t := range toks {
		one := containers[t.Low]
		if one == "" || gone[i] || i > 0 && slices.Contains([]string{"a", "per", "each"}, toks[i-1].Low) && slices.Contains(gone[:i], true) && (i < 2 || toks[i-2].Low != "half" && toks[i-2].Low != "quarter") {
			continue
		}
		if i+1 < len(toks) && toks[i+1].Kind == phrase.Word && toks[i+1].Joined { // bag-in-box
			continue
		}
		out[i] = true
		return one, out
	}
	return "", out
}

// saysEach reports "1.5 kg each", "1.5 kg a bag", and marks those words.
func saysEach(toks []phrase.Token, gone []bool) bool {
	for i, t := range toks {
		last := i == 0 || !gone[i-1]
		switch {
		case t.Low == "each" || t.Low == "apiece":
			gone[i] = true
			return true
		case !last && (t.Low == "a" || t.Low == "per") && i+1 < len(toks) && containers[toks[i+1].Low] != "":
			gone[i], gone[i+1] = true, true
			return true
		}
	}
	return false
}

// goodsFill are words that say nothing of a thing.
var goodsFill = []string{"of", "the", "a", "an", "some", "our", "my", "x", "more", "another", "his", "her", "their", "your", "us", "them", "and", "or", "about", "please", "thanks", "in", "all", "few", "good"}

// itemOf is the thing: the words that nothing else explains.
func itemOf(toks []phrase.Token, gone []bool) string {
	var words []string
	for i, t := range toks {
		if gone[i] || t.Kind != phrase.Word || slices.Contains(goodsFill, t.Low) && (len(words) == 0 || t.Low != "and" && t.Low != "of" && t.Low != "all") {
			continue
		}
		if t.Joined && len(words) > 0 { // self-raising flour
			words[len(words)-1] += "-" + t.Low
			continue
		}
		words = append(words, t.Low)
	}
	for len(words) > 0 && slices.Contains(goodsFill, words[len(words)-1]) {
		words = words[:len(words)-1]
	}
	return strings.Join(words, " ")
}

// countable tells 24 eggs from 5 lard and 5 oats: what has pieces by the table of foods,
// or is a plural that the table does not know as poured.
func countable(item string, n float64) bool {
	if f, ok := food.Find(item); ok {
		return f.EachGrams > 0
	}
	last := item[strings.LastIndexByte(item, ' ')+1:]
	plural := strings.HasSuffix(last, "s") && !strings.HasSuffix(last, "ss") || slices.Contains([]string{"mice", "geese", "sheep", "fish", "trout", "salmon", "grouse", "deer", "loaves", "candles"}, last)
	return plural || n == 1
}

// containers maps how people write what things are counted in to one of it.
var containers = func() map[string]string {
	m := map[string]string{}
	for w := range strings.FieldsSeq(`tin packet jar bag carton tub block sachet bottle pot punnet sack bale tray crate net head bar roll slab wheel bundle bucket barrel drum bulb clove stick string pack
		case tube can pair brace dozen joint`) {
		m[w], m[w+"s"] = w, w
	}
	for w, one := range map[string]string{"boxes": "box", "box": "box", "loaves": "loaf", "loaf": "loaf", "bunches": "bunch", "bunch": "bunch", "can": "tin", "cans": "tin", "pkt": "packet", "pkts": "packet", "pack": "packet", "packs": "packet"} {
		m[w] = one
	}
	return m
}()

// Singular and its plural: what ends otherwise than in s.
var oddPlurals = map[string]string{"loaf": "loaves", "box": "boxes", "bunch": "bunches", "dish": "dishes", "goose": "geese", "tomato": "tomatoes", "potato": "potatoes", "radish": "radishes", "peach": "peaches", "calf": "calves", "knife": "knives", "leaf": "leaves", "swede": "swedes"}

// One is the singular of the last word of a name.
func One(noun string) string {
	head, last := "", noun
	if i := strings.LastIndexByte(noun, ' '); i >= 0 {
		head, last = noun[:i+1], noun[i+1:]
	}
	for one, many := range oddPlurals {
		if last == many {
			return head + one
		}
	}
	switch {
	case strings.HasSuffix(last, "ies") && len(last) > 4:
		return head + last[:len(last)-3] + "y"
	case strings.HasSuffix(last, "s") && !strings.HasSuffix(last, "ss") && len(last) > 3:
		return head + last[:len(last)-1]
	}
	return noun
}

// Counted is a name as it stands behind a number: 1 egg, 2 eggs.
func Counted(n float64, noun string) string {
	if head, rest, ok := strings.Cut(noun, " of "); ok { // 2 legs of lamb
		return Counted(n, head) + " of " + rest
	}
	one := One(noun)
	if n == 1 {
		return one
	}
	head, last := "", one
	if i := strings.LastIndexByte(one, ' '); i >= 0 {
		head, last = one[:i+1], one[i+1:]
	}
	switch many := oddPlurals[last]; {
	case many != "":
		return head + many
	case one != noun: // was a plural
		return noun
	case slices.Contains([]string{"geese", "sheep", "fish", "trout", "salmon", "grouse", "deer"}, last) || strings.HasSuffix(last, "s"):
		return one
	case strings.HasSuffix(last, "y") && len(last) > 2 && !strings.ContainsRune("aeiou", rune(last[len(last)-2])):
		return head + last[:len(last)-1] + "ies"
	}
	return one + "s"
}

// SayAmount writes how much without the thing: "5000 g", "24", "6 tins", "3 x 1500 g
// bags".
func (r *Request) SayAmount(g Goods) string {
	switch g.Dim {
	case storage.Mass:
		return r.Scale().Nearest(g.Amount)
	case storage.Volume:
		return r.sayVolume(g.Amount)
	}
	n := number(g.Amount)
	switch {
	case g.Each == "" && g.Size == 0:
		return n
	case g.Size == 0:
		return n + " " + Counted(g.Amount, g.Each)
	}
	if g.Amount != math.Trunc(g.Amount) { // one of them is begun
		return r.SayAmount(Goods{Dim: g.SizeDim, Amount: g.Amount * g.Size})
	}
	size := r.SayAmount(Goods{Dim: g.SizeDim, Amount: g.Size})
	return strings.TrimSpace(fmt.Sprintf("%s x %s %s", n, size, Counted(g.Amount, g.Each)))
}

// usVolumes are the measures of a US household, largest first, in millilitres.
var usVolumes = []struct {
	name string
	size float64
}{{"gallon", 3785.411784}, {"quart", 946.352946}, {"pint", 473.176473}, {"cup", 236.5882365}}

// sayVolume writes millilitres, or in a US household whole cups and what holds them.
func (r *Request) sayVolume(millilitres float64) string {
	for _, u := range usVolumes {
		if n := millilitres / u.size; r.House.US && n >= 1 && math.Abs(n-math.Round(n)) < 0.01 {
			return fmt.Sprintf("%.0f %s", n, Counted(math.Round(n), u.name))
		}
	}
	return fmt.Sprintf("%.0f mL", millilitres)
}

// SayGoods writes an amount with its thing: "24 eggs", "6 tins tomatoes".
func (r *Request) SayGoods(g Goods) string {
	item := g.Item
	if g.Dim == storage.Count && g.Each == "" {
		item = Counted(g.Amount, item)
	}
	return strings.TrimSpace(r.SayAmount(g) + " " + item)
}

// number writes a count: 24, 2.5.
func number(v float64) string {
	return strings.TrimSuffix(strings.TrimRight(strconv.FormatFloat(v, 'f', 2, 64), "0"), ".")
}
