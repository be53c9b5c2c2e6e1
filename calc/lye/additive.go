package lye

// When an additive goes in.
const (
	InLyeWater = "dissolved in the water before the lye"
	AtTrace    = "stirred in at trace"
	InFats     = "melted or stirred into the fats"
)

// Additive is something that takes up no lye to speak of. Low and High are its
// usual share of the fats (common practice; none is a safety limit).
type Additive struct {
	Name      string
	Aliases   []string
	Low, High float64
	When      string
	Note      string
	Label     string // its usual name on a label; empty when not certain
	Scent     bool
}

// Additives that soap makers use. Shares of fats and notes are common practice;
// label names from memory.
var Additives = []Additive{
	{"clay", []string{"kaolin", "white clay", "green clay", "pink clay", "bentonite", "kaolin clay", "rhassoul"}, 0.005, 0.02, AtTrace, "stir it into a little water first", "Kaolin", false},
	{"salt", []string{"sea salt", "table salt", "fine salt"}, 0.005, 0.015, InLyeWater, "a harder bar, a little less foam", "Sodium Chloride", false},
	{"sugar", []string{"white sugar", "cane sugar", "sorbitol"}, 0.005, 0.02, InLyeWater, "more foam, more heat", "Sucrose", false},
	{"honey", []string{"runny honey"}, 0.005, 0.02, AtTrace, "heats and browns; keep the mould cool", "Mel", false},
	{"oats", []string{"oat", "oatmeal", "ground oats", "colloidal oatmeal", "rolled oats", "oat flour", "porridge oats"}, 0.01, 0.03, AtTrace, "ground fine", "Avena Sativa Kernel Flour", false},
	{"herbs", []string{"dried herbs", "dried flowers", "flowers", "petals", "calendula", "calendula petals", "marigold petals", "nettle", "dried nettle", "rosemary leaves", "lavender buds", "lavender flowers", "mint leaves"}, 0.005, 0.02, AtTrace, "most turn brown; calendula keeps its colour", "", false},
	{"coffee", []string{"ground coffee", "coffee grounds"}, 0.01, 0.03, AtTrace, "scratchy", "Coffea Arabica Seed Powder", false},
	{"pumice", nil, 0.01, 0.03, AtTrace, "scratchy", "Pumice", false},
	{"charcoal", []string{"activated charcoal", "charcoal powder"}, 0.003, 0.01, AtTrace, "stir it into a little oil first", "Charcoal Powder", false},
	{"sodium lactate", nil, 0.01, 0.03, InLyeWater, "a firmer bar", "Sodium Lactate", false},
	{"silk", []string{"tussah silk", "silk fibres"}, 0.0005, 0.002, InLyeWater, "it has to dissolve before the lye cools", "", false},
	{"rosemary extract", []string{"rosemary oleoresin"}, 0.0005, 0.002, InFats, "slows rancidity", "Rosmarinus Officinalis Leaf Extract", false},
	{"scent", []string{
		"essential oil", "essential oils", "eo", "eos", "fragrance", "fragrance oil", "perfume", "lavender essential oil", "lavender eo", "lavender oil", "lavender", "peppermint oil", "peppermint",
		"peppermint eo", "tea tree", "tea tree oil", "rosemary oil", "rosemary eo", "cedarwood", "cedarwood oil", "lemongrass", "lemongrass oil", "lemon oil", "orange oil", "sweet orange oil", "eucalyptus", "eucalyptus oil",
		"patchouli", "patchouli oil", "clove oil", "cinnamon oil", "litsea", "geranium oil", "spearmint oil",
	}, 0.005, 0.03, AtTrace, "use far less of clove, cinnamon, citrus peel and peppermint", "Parfum", true},
}

// AdditiveNamed returns the additive of that exact name.
func AdditiveNamed(name string) (Additive, bool) {
	for _, a := range Additives {
		if a.Name == name {
			return a, true
		}
	}
	return Additive{}, false
}
