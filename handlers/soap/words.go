package soap

import (
	"strings"
	"sync"

	"yardbell/calc/lye"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// shortNames are how people call the fats of the table.
var shortNames = map[string][]string{
	"lard":                     {"pork lard", "leaf lard"},
	"beef tallow":              {"tallow", "beef fat", "beef suet", "suet"},
	"mutton tallow":            {"sheep fat", "lamb tallow"},
	"butterfat":                {"ghee"},
	"coconut oil 76":           {"coconut oil", "coconut", "coco oil"},
	"fractionated coconut oil": {"fractionated coconut", "mct oil"},
	"palm oil":                 {"palm"},
	"palm kernel oil":          {"palm kernel"},
	"babassu oil":              {"babassu"},
	"olive oil":                {"olive", "extra virgin olive oil"},
	"olive pomace oil":         {"olive pomace", "pomace oil", "pomace"},
	"sunflower oil":            {"sunflower"},
	"sunflower oil high-oleic": {"high oleic sunflower oil", "high oleic sunflower", "sunflower high oleic"},
	"safflower oil":            {"safflower"},
	"safflower oil high-oleic": {"high oleic safflower oil", "high oleic safflower"},
	"canola oil":               {"canola", "rapeseed oil", "rapeseed", "rape oil"},
	"soybean oil":              {"soybean", "soya oil", "soy oil"},
	"corn oil":                 {"corn"},
	"peanut oil":               {"peanut", "groundnut"},
	"rice bran oil":            {"rice bran"},
	"grapeseed oil":            {"grapeseed", "grape seed oil"},
	"almond oil":               {"almond"},
	"avocado oil":              {"avocado"},
	"apricot kernel oil":       {"apricot kernel"},
	"flaxseed oil":             {"linseed oil", "linseed", "flaxseed", "flax oil"},
	"hemp seed oil":            {"hemp oil", "hemp", "hemp seed"},
	"castor oil":               {"castor"},
	"cocoa butter":             {"cacao butter"},
	"shea butter":              {"shea"},
	"mango kernel fat":         {"mango butter", "mango"},
	"kokum butter":             {"kokum"},
	"jojoba oil":               {"jojoba"},
	"beeswax":                  {"bees wax"},
	"vegetable shortening":     {"shortening"},
	"neem oil":                 {"neem"},
	"camelina oil":             {"camelina"},
	"wheat germ oil":           {"wheatgerm oil", "wheat germ", "wheatgerm"},
}

var fatList = sync.OnceValue(func() *phrase.List { return phrase.NewList("fats", fatEntries()) })

// fatsOf is the fat table with the fats that only this household has.
func fatsOf(tx *storage.Tx, household int64) (*phrase.List, error) {
	own, err := ownFats(tx, household)
	if err != nil || len(own) == 0 {
		return fatList(), err
	}
	entries := fatEntries()
	for _, name := range own {
		entries = append(entries, phrase.Entry{Name: name})
	}
	return phrase.NewList("fats", entries), nil
}

func fatEntries() []phrase.Entry {
	var entries []phrase.Entry
	for _, f := range lye.Fats() {
		var names []string
		for _, a := range f.Aliases {
			if !strings.Contains(a, " fat oil") && !vagueWord(a) {
				names = append(names, a)
			}
		}
		entries = append(entries, phrase.Entry{Name: f.Name, Aliases: append(names, shortNames[f.Name]...)})
	}
	return entries
}

func vagueWord(a string) bool { return a == "common vegetable oil" }

// Names of the words that set something in a recipe.
const (
	wordSuperfat  = "superfat"
	wordPurity    = "purity"
	wordWater     = "water"
	wordLye       = "lye" // either hydroxide: sodium unless potassium is named
	wordSoda      = "sodium hydroxide"
	wordSodaPure  = "sodium hydroxide purity"
	wordStrength  = "strength"
	wordRatio     = "water to lye"
	wordPotash    = "potassium hydroxide"
	wordPotashPur = "potassium hydroxide purity"
	wordDoubt     = "purity unknown"
	wordMix       = "sodium to potassium"
	wordMixBack   = "potassium to sodium"
	wordByMass    = "by mass"
	wordByMoles   = "by moles"
	wordFat       = "fat"
	wordStock     = "stock"
	wordConfirm   = "confirmed"
)

var settingList = sync.OnceValue(func() *phrase.List {
	return phrase.NewList("settings", []phrase.Entry{
		{Name: wordSuperfat, Aliases: []string{"sf", "super fat", "superfatted", "superfatting", "lye discount"}},
		{Name: wordPurity, Aliases: []string{"pure", "lye purity", "purity of lye", "lye pure"}},
		{Name: wordSodaPure, Aliases: []string{"naoh purity", "purity naoh", "purity of naoh", "caustic soda purity", "purity of the naoh"}},
		{Name: wordPotashPur, Aliases: []string{"koh purity", "purity koh", "purity of koh", "potash purity", "purity of potash", "purity of the koh"}},
		{Name: wordDoubt, Aliases: []string{"unknown purity", "koh purity unknown", "potassium hydroxide purity unknown"}},
		{Name: wordWater, Aliases: []string{"h2o", "distilled water", "rain water", "rainwater"}},
		{Name: wordLye, Aliases: []string{"hydroxide"}},
		{Name: wordSoda, Aliases: []string{"naoh", "caustic soda", "caustic", "sodium"}},
		{Name: wordStrength, Aliases: []string{"lye concentration", "concentration", "lye solution", "solution", "lye strength", "conc"}},
		{Name: wordRatio, Aliases: []string{
			"water lye", "water : lye", "water / lye", "water lye ratio", "water : lye ratio", "water to lye ratio", "water to koh", "water to naoh", "water to hydroxide",
		}},
		{Name: wordPotash, Aliases: []string{"koh", "caustic potash", "potash", "potassium", "potassium lye", "koh lye", "liquid soap", "soft soap"}},
		{Name: wordMix, Aliases: []string{"dual lye", "two lyes", "mixed lye"}},
		{Name: wordByMass, Aliases: []string{"by weight"}},
		{Name: wordByMoles, Aliases: []string{"by mole", "by mols", "molar"}},
		{Name: wordFat, Aliases: []string{"fats", "oil", "oils", "butter", "grease", "total fat", "total fats", "total oils", "total", "vegetable oil", "veg oil"}},
		{Name: wordStock, Aliases: []string{"stock solution", "lye stock", "masterbatch"}},
		{Name: wordConfirm, Aliases: []string{"confirm"}},
	})
})

// extraList is what goes into soap besides fats, lye and water.
var extraList = sync.OnceValue(func() *phrase.List {
	var entries []phrase.Entry
	for _, a := range lye.Acids {
		entries = append(entries, phrase.Entry{Name: a.Name, Aliases: a.Aliases})
	}
	for _, l := range lye.Liquids {
		entries = append(entries, phrase.Entry{Name: l.Name, Aliases: l.Aliases})
	}
	for _, a := range lye.Additives {
		entries = append(entries, phrase.Entry{Name: a.Name, Aliases: a.Aliases})
	}
	return phrase.NewList("extras", entries)
})

// batchList holds the household's batches by the names they were given.
func batchList(tx *storage.Tx, household int64) (*phrase.List, error) {
	batches, err := tx.Batches(household)
	if err != nil {
		return nil, err
	}
	var entries []phrase.Entry
	for _, b := range batches {
		if b.Name != "" {
			entries = append(entries, phrase.Entry{
				Name: b.Name, ID: b.ID,
				Aliases: []string{b.Name + " batch", b.Name + " soap", "the " + b.Name + " batch", "batch " + b.Name, b.Name + " bars"},
			})
		}
	}
	return phrase.NewList("batches", entries), nil
}
