package scaling

import (
	_ "embed"
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"
	"sync"
	"unicode"
)

//go:embed words.csv
var wordsCSV string

// Kind is what an ingredient is where it matters for scaling.
type Kind int

// The kinds of ingredients.
const (
	Plain     Kind = iota // flour, liquid, meat, sugar, beans, fresh herbs: straight
	Salt                  // salt that seasons
	Spice                 // strong spice, garlic, fresh chilli
	Herb                  // dried leafy herbs
	HotPepper             // ground or dried hot pepper
	Leavener              // baking powder, baking soda
	Yeast                 // yeast, levain, starter
	Thickener             // starch, roux, gelatin
	Curing                // nitrite, nitrate, curing salt
	Pectin                // pectin and acid for jars
	Fat                   // fat that may be for the pan
	Egg                   // whole, yolk or white
)

var kindNames = [...]string{
	"plain", "salt", "spice", "herb", "hot pepper", "leavener", "yeast", "thickener", "curing", "pectin", "fat", "egg",
}

// String is the kind's name in lower case.
func (k Kind) String() string {
	if k < 0 || int(k) >= len(kindNames) {
		return "unknown kind"
	}
	return kindNames[k]
}

// kindWords are the words of the table that name kinds, by their first word.
var kindWords = sync.OnceValue(func() map[string][]kindWord {
	words, err := readKindWords(wordsCSV)
	if err != nil {
		panic(err) // the file is part of the program; TestWordTable reads it
	}
	return words
})

type kindWord struct {
	words []string
	kind  Kind
}

func readKindWords(text string) (map[string][]kindWord, error) {
	rows, err := readTable(text, "words", "kind")
	if err != nil {
		return nil, fmt.Errorf("words: %w", err)
	}
	out := map[string][]kindWord{}
	for _, row := range rows {
		kind := slices.Index(kindNames[:], row[1])
		words := wordsOf(row[0])
		if kind < 0 || len(words) == 0 {
			return nil, fmt.Errorf("words %q: no kind %q", row[0], row[1])
		}
		out[words[0]] = append(out[words[0]], kindWord{words, Kind(kind)})
	}
	return out, nil
}

// KindOf returns the kind of an ingredient from its words as a recipe has them,
// British or American, whole words only and in any case: "salted butter" is no
// salt. The longest name known wins, then the first; words from an "in", "with",
// "without", "for" or "plus" on do not count unless it comes first. Herbs said to
// be fresh are Plain, as the rule is for dried ones. What it does not know is
// Plain.
func KindOf(ingredientWords string) Kind {
	words := headWords(wordsOf(ingredientWords))
	kind := longestName(words)
	if kind == Herb && isFresh(words) {
		return Plain
	}
	return kind
}

// isFresh reports whether words speak of fresh leaves.
func isFresh(words []string) bool {
	if slices.Contains(words, "dried") {
		return false
	}
	return slices.ContainsFunc(words, func(w string) bool {
		return slices.Contains([]string{"fresh", "frozen", "bunch", "bunches", "sprig", "sprigs", "handful", "handfuls"}, w)
	})
}

// longestName is the kind of the longest name among the words.
func longestName(words []string) Kind {
	best, length := Plain, 0
	for i := range words {
		for _, known := range named(words[i]) {
			if len(known.words) > length && begins(words[i:], known.words) {
				best, length = known.kind, len(known.words)
			}
		}
	}
	return best
}

// named are the names that begin with this word, as it is and then without its
// plural ending.
func named(word string) []kindWord {
	var out []kindWord
	for _, w := range forms(word) {
		out = append(out, kindWords()[w]...)
	}
	return out
}

// begins reports whether words begin with a name.
func begins(words, name []string) bool {
	if len(words) < len(name) {
		return false
	}
	for i, n := range name {
		if !slices.Contains(forms(words[i]), n) {
			return false
		}
	}
	return true
}

// forms are a word and what it may be the plural of.
func forms(word string) []string {
	out := []string{word}
	for _, end := range []struct{ plural, single string }{{"ies", "y"}, {"aves", "af"}, {"es", ""}, {"s", ""}} {
		if stem, ok := strings.CutSuffix(word, end.plural); ok {
			out = append(out, stem+end.single)
		}
	}
	return out
}

// wordsOf are the words of a text in lower case: runs of letters, with an
// apostrophe inside kept out.
func wordsOf(text string) []string {
	text = strings.NewReplacer("'", "", "’", "").Replace(strings.ToLower(text))
	return strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsMark(r) })
}

// headWords are the words that name the thing: those before "in", "for" and so on.
func headWords(words []string) []string {
	for i, w := range words {
		if i == 0 {
			continue
		}
		switch w {
		case "in", "with", "without", "for", "plus":
			return words[:i]
		}
	}
	return words
}

// Tolerance is how far a rounded measure of this kind may be off, as a share of
// the amount (common practice): 2 % for what is plain, 4 % for spices and dried
// herbs, 3 % for salt, leavening and yeast, nothing for what cures or sets, which
// is weighed or taken from a tested recipe.
func (k Kind) Tolerance() float64 {
	switch k {
	case Curing, Pectin:
		return 0
	case Spice, Herb, HotPepper:
		return 0.04
	case Salt, Leavener, Yeast:
		return 0.03
	}
	return 0.02
}

// potPower: twice the recipe takes 1.5 times the salt, four times takes 2.25
// (common practice, from the rule that doubling asks for half as much again).
const potPower = 0.585

// Start is how many times the written amount to begin with in a recipe taken k
// times. Where ok, that is less than k, and the cook tastes and adds: salt and
// strong spice in a pot k^0.585; dried herbs twice for k = 2 and half of the
// written amount more for each further one; ground hot pepper the same with a
// quarter (common practice). Otherwise the factor is k itself. A formula by
// weight (dough, sausage, brine) keeps to k for salt. It is 0 for a factor that
// is not above 0 or is above MaxFactor.
func (k Kind) Start(factor *big.Rat) (start float64, ok bool) {
	if checkFactor(factor) != nil {
		return 0, false
	}
	straight, _ := factor.Float64()
	switch k {
	case Salt, Spice:
		start = math.Pow(straight, potPower)
	case Herb:
		start = 2 + (straight-2)/2
	case HotPepper:
		start = 2 + (straight-2)/4
	default:
		return straight, false
	}
	if start >= straight {
		return straight, false
	}
	return start, true
}

// Notes says what does not go straight in a recipe of these kinds taken k times,
// deeper when it is baked deeper than written: a sentence for each thing that
// applies, always in the same order. All are common practice, except that curing
// salt follows the meat (9 CFR 424.21) and that jars take tested recipes only
// (USDA Complete Guide to Home Canning). None for a factor out of range.
func Notes(kinds []Kind, k *big.Rat, deeper bool) []string {
	if checkFactor(k) != nil {
		return nil
	}
	var out []string
	for _, note := range notes {
		if note.applies(kinds, k) {
			out = append(out, note.say(k))
		}
	}
	return append(out, timeNotes(k, deeper)...)
}

func timeNotes(k *big.Rat, deeper bool) []string {
	switch {
	case deeper:
		return []string{"Deeper: about a quarter more time, 25 °F (15 °C) lower. Test for doneness."}
	case k.Cmp(big.NewRat(1, 1)) > 0:
		return []string{"Same depth, same time; a full oven takes 5 to 15 % more."}
	}
	return nil
}

// note is one sentence: for which kinds, above which factor, or for every factor
// but 1 when that is 0.
type note struct {
	kinds []Kind
	above int64
	say   func(k *big.Rat) string
}

func (n note) applies(kinds []Kind, k *big.Rat) bool {
	if !slices.ContainsFunc(kinds, func(k Kind) bool { return slices.Contains(n.kinds, k) }) {
		return false
	}
	if n.above == 0 {
		return k.Cmp(big.NewRat(1, 1)) != 0
	}
	return k.Cmp(big.NewRat(n.above, 1)) > 0
}

var notes = []note{
	{[]Kind{Curing}, 0, fixed("Curing salt: weigh it, exactly in step with the meat. Never by spoon, never rounded up.")},
	{[]Kind{Pectin}, 0, fixed("Pectin and acid for jars: do not scale. Use a tested recipe of the size wanted.")},
	{[]Kind{Salt, Spice}, 1, begin(Salt, "Salt and strong spice in a pot: start with %s times the written amount and taste. In dough, sausage or brine: straight, by weight.")},
	{[]Kind{Herb}, 2, begin(Herb, "Dried herbs: start with %s times the written amount and taste.")},
	{[]Kind{HotPepper}, 2, begin(HotPepper, "Hot pepper: start with %s times the written amount and taste.")},
	{[]Kind{Leavener}, 4, fixed("Baking powder and soda: mix several batches of the written size, or use 10 to 15 % less.")},
	{[]Kind{Yeast}, 1, fixed("Yeast: above 10 kg of dough, use 10 to 20 % less.")},
	{[]Kind{Thickener}, 0, fixed("Thickener: go by the liquid left at the end, not by what went in.")},
	{[]Kind{Fat}, 0, fixed("Fat to sear or grease: go by the pan, not by the factor.")},
	{[]Kind{Egg}, 0, fixed("Eggs: part of one by weight, 50 g beaten for a large egg.")},
}

func fixed(sentence string) func(*big.Rat) string {
	return func(*big.Rat) string { return sentence }
}

func begin(kind Kind, sentence string) func(*big.Rat) string {
	return func(k *big.Rat) string {
		start, _ := kind.Start(k)
		return fmt.Sprintf(sentence, twoDigits(start))
	}
}

// twoDigits writes 1.5, 2.25, 12.
func twoDigits(f float64) string {
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.2f", f), "0"), ".")
}
