package food

import (
	_ "embed"
	"slices"
	"sync"
)

//go:embed shelf.csv
var shelfCSV string

// Section is the part of a shop where a thing stands.
type Section string

// The sections, in the order of a walk through the shop.
const (
	Greengrocer Section = "greengrocer"
	Meat        Section = "meat and fish"
	Dairy       Section = "dairy and eggs"
	Baking      Section = "baking"
	DryGoods    Section = "dry goods"
	Tins        Section = "tins and jars"
	Spices      Section = "spices"
	Frozen      Section = "frozen"
	Other       Section = "other"
)

// shelf is what a shop calls a food and where it stands; foods with one name are one
// thing to buy.
type shelf struct {
	name     string
	section  Section
	misleads bool
}

var shelves = sync.OnceValue(func() map[string]shelf {
	out := map[string]shelf{}
	for _, r := range read(shelfCSV) {
		out[r["food"]] = shelf{r["name"], Section(r["section"]), r["misleads"] == "yes"}
	}
	return out
})

// standing are words that place a food which the table does not have; the first row
// with one of its words decides, the forms before the foods.
var standing = []struct {
	section Section
	words   func() map[string]bool
}{
	{Frozen, wordSet("frozen")},
	{Tins, wordSet("canned jar passata pickle pickled jam marmalade chutney olive olives capers caper sauce stock broth bouillon syrup")},
	{Spices, wordSet("spice seasoning masala turmeric cumin coriander cayenne saffron cardamom anise cinnamon peppercorn chili powder dry")},
	{Meat, wordSet(`beef chicken pork lamb mutton mince ham sausage steak turkey duck goose veal venison rabbit liver kidney suet
		gammon chorizo salami fish cod haddock salmon trout mackerel sardine herring plaice pollock prawn shrimp crab mussel anchovy tuna`)},
	{Dairy, wordSet("milk cream cheese butter yogurt egg creme kefir quark mascarpone brie camembert stilton gruyere halloumi")},
	{Baking, wordSet("flour sugar yeast chocolate almond nut walnut pecan marzipan currant sultana cherry extract vanilla icing")},
	{DryGoods, wordSet("rice pasta spaghetti noodle lentil bean pea oat cereal oil vinegar tea coffee cracker couscous polenta bread")},
	{Greengrocer, wordSet(`fresh leaf sprig herb basil mint thyme rosemary sage dill chive coriander cilantro parsley tarragon bay
		lemon lime orange apple pear plum grape melon mango pineapple avocado apricot fig berry currant
		aubergine eggplant fennel radish lettuce salad rocket arugula watercress chard artichoke asparagus celeriac kohlrabi
		pumpkin squash shallot pepper chicory endive okra sprout tomato potato onion cabbage vegetable fruit`)},
}

// SectionOf returns the section in which the shop keeps what is needed; Other when
// nothing in its name tells.
func SectionOf(n Need) Section {
	if s, ok := shelves()[n.Food.Name]; n.Known && ok {
		return s.section
	}
	ws := words(n.Name)
	for _, s := range standing {
		if slices.ContainsFunc(ws, func(w string) bool { return s.words()[w] }) {
			return s.section
		}
	}
	return Other
}
