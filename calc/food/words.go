package food

import (
	"slices"
	"strings"
	"sync"
	"unicode"
)

// mended are the plurals that no rule makes single, and other spellings of one word.
var mended = map[string]string{
	"leaves": "leaf", "loaves": "loaf", "halves": "half", "calves": "calf", "knives": "knife",
	"radishes": "radish", "squashes": "squash", "peaches": "peach", "dishes": "dish", "bunches": "bunch",
	"anchovies": "anchovy", "sandwiches": "sandwich", "cookies": "cookie", "brownies": "brownie", "boxes": "box",
	"tomatos": "tomato", "potatos": "potato", "mangoes": "mango", "yoghurt": "yogurt", "yoghourt": "yogurt",
	"chilli": "chili", "chillies": "chili", "chilies": "chili", "chile": "chili", "chiles": "chili", "chillis": "chili",
	"jalapeño": "jalapeno", "jalapeños": "jalapeno", "crème": "creme", "purée": "puree", "puréed": "pureed", "gruyère": "gruyere",
	"tin": "canned", "tins": "canned", "tinned": "canned", "can": "canned", "cans": "canned",
	"dried": "dry", "grey": "gray", "liter": "litre", "omelette": "omelet", "tortillas": "tortilla",
	"molasses": "molasses", "couscous": "couscous", "hummus": "hummus", "houmous": "hummus", "asparagus": "asparagus",
	"citrus": "citrus", "schnapps": "schnapps", "swiss": "swiss", "octopus": "octopus",
}

// single returns the word without its plural.
func single(w string) string {
	if m, ok := mended[w]; ok {
		return m
	}
	if strings.HasSuffix(w, "ies") && len(w) > 4 {
		return w[:len(w)-3] + "y"
	}
	if strings.HasSuffix(w, "oes") {
		return w[:len(w)-2]
	}
	if strings.HasSuffix(w, "ss") || strings.HasSuffix(w, "us") || len(w) < 4 {
		return w
	}
	return strings.TrimSuffix(w, "s")
}

// words cuts a text into lower-case words without plurals. Apostrophes vanish, every
// other mark parts words; a per cent sign is a word of its own.
func words(text string) []string {
	text = strings.NewReplacer("'", "", "’", "", "%", " percent ", "&", " and ").Replace(strings.ToLower(text))
	out := strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	for i, w := range out {
		out[i] = single(w)
	}
	return out
}

// set is words sorted, each once.
func set(ws []string) []string {
	out := slices.Clone(ws)
	slices.Sort(out)
	return slices.Compact(out)
}

// without drops the words that are in gone.
func without(ws []string, gone map[string]bool) []string {
	var out []string
	for _, w := range ws {
		if !gone[w] && !measured(w) {
			out = append(out, w)
		}
	}
	return out
}

// measured says whether the word is a figure, as in "400g tin".
func measured(w string) bool { return w[0] >= '0' && w[0] <= '9' }

func wordSet(text string) func() map[string]bool {
	return sync.OnceValue(func() map[string]bool {
		out := map[string]bool{}
		for _, w := range words(text) {
			out[w] = true
		}
		return out
	})
}

// joints mean nothing beside a food's name.
var joints = wordSet("of the a an")

// softWords are words of preparing, size and quality, which leave the food what it is.
// Where a name of a food has such a word the name still needs it: egg beaten.
var softWords = wordSet(`
	and about approximately more less not too very really well just if needed necessary preferably optional divided each
	cut into to taste in at room temperature warm lukewarm tepid cold chilled ice iced hot boiling
	chopped roughly coarsely finely fine thinly thickly lightly freshly loosely firmly gently slightly tightly
	packed sliced slice slices diced dice cubed cubes minced crushed quartered halved torn shredded grated crumbled
	chunks chunk pieces piece bite sized size inch cm mm thick thin long strips rings wedges rounds matchsticks batons
	peeled unpeeled trimmed cored deseeded seeded stoned pitted stemmed washed rinsed scrubbed drained unsifted sifted
	sieved softened melted beaten whisked lightly separated deveined skinned boned zested julienned
	squeezed strained toasted level levelled leveled spooned dipped heaped rounded scant generous good quality best ripe firm young old baby
	large medium small big extra jumbo tiny organic local farm homemade own new season
	raw uncooked fresh salted unsalted plain bunch head packet pack bag bottle carton tub pot jar knob block dollop handful
	soaked overnight discarded reserved removed ends tops topped tailed hulled shelled
	weight prepared skin on off your choice any kind plus`)

// keptWords are the forms of a food that is no longer fresh.
var keptWords = wordSet("dry canned frozen cooked powder powdered instant evaporated condensed baked boiled roasted fried smoked pickled")

// tailWords begin a tail that speaks of preparing, though in front they make another
// food: cream, whipped is measured before it is whipped cream.
var tailWords = wordSet("whipped")
