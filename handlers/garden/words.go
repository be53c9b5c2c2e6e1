package garden

import (
	"slices"
	"strings"
	"sync"

	"yardbell/calc/sowing"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// shortNames are how people call the crops of the table, the name in answers first. A
// word that stands for several crops is with each of them, unless one is usual.
var shortNames = map[string][]string{
	"artichoke, globe (grown as annual)": {"artichoke", "globe artichoke"},
	"arugula":                            {"rocket"},
	"bean, snap bush":                    {"bush bean", "french bean", "dwarf bean", "green bean", "snap bean", "bean"},
	"bean, snap pole":                    {"pole bean", "climbing bean", "climbing french bean"},
	"bean, scarlet runner":               {"runner bean", "scarlet runner"},
	"broad bean (fava)":                  {"broad bean", "fava bean", "fava"},
	"beet":                               {"beetroot"},
	"Brussels sprouts":                   {"Brussels sprout", "brussel sprout", "sprouts"},
	"cabbage, early":                     {"early cabbage", "cabbage", "spring cabbage", "summer cabbage"},
	"cabbage, late storage":              {"late cabbage", "winter cabbage", "storage cabbage", "cabbage"},
	"Chinese cabbage (napa)":             {"chinese cabbage", "napa"},
	"chard, Swiss":                       {"chard", "swiss chard"},
	"chicory (radicchio)":                {"chicory", "radicchio"},
	"corn, sweet":                        {"sweet corn", "sweetcorn", "corn", "maize"},
	"corn, pop":                          {"popcorn"},
	"corn salad (mache)":                 {"corn salad", "lamb's lettuce", "lambs lettuce", "mache"},
	"cress, garden":                      {"cress"},
	"cucumber, slicing":                  {"cucumber", "cuke"},
	"cucumber, pickling":                 {"gherkin", "pickling cucumber"},
	"eggplant":                           {"aubergine", "egg plant"},
	"broccoli":                           {"broccoli", "calabrese"},
	"endive and escarole":                {"endive", "escarole"},
	"fennel, Florence":                   {"fennel", "florence fennel"},
	"garlic (cloves)":                    {"garlic"},
	"lettuce, head (crisphead)":          {"head lettuce", "crisphead", "iceberg"},
	"lettuce, leaf and butterhead":       {"leaf lettuce", "lettuce", "butterhead"},
	"melon (muskmelon)":                  {"melon", "muskmelon"},
	"mustard greens":                     {"mustard"},
	"onion, bulb":                        {"onion", "bulb onion"},
	"onion, bunching (scallion)":         {"spring onion", "scallion", "bunching onion", "salad onion"},
	"shallot (from seed)":                {"shallot"},
	"pak choi":                           {"bok choy", "pak choy"},
	"pea, shelling":                      {"pea", "garden pea", "shelling pea"},
	"pea, edible-podded":                 {"sugar snap pea", "sugar snap", "mangetout", "snap pea", "snow pea"},
	"pepper, sweet":                      {"sweet pepper", "pepper", "bell pepper"},
	"pepper, hot":                        {"hot pepper", "chilli", "chili"},
	"potato (seed tubers)":               {"potato", "seed potato", "spud"},
	"radish, spring":                     {"radish", "spring radish", "radishes"},
	"radish, winter (daikon)":            {"daikon", "winter radish"},
	"rhubarb (from seed)":                {"rhubarb"},
	"rutabaga":                           {"swede"},
	"sorrel, garden":                     {"sorrel"},
	"soybean, vegetable (edamame)":       {"edamame", "soybean"},
	"squash, summer and zucchini":        {"summer squash", "courgette", "zucchini", "squash", "marrow"},
	"squash, winter":                     {"winter squash", "squash", "butternut"},
	"sweet potato (slips)":               {"sweet potato"},
	"chamomile, German":                  {"chamomile", "camomile"},
	"cilantro (coriander)":               {"coriander", "cilantro"},
	"marjoram, sweet":                    {"marjoram"},
	"savory, summer":                     {"savory", "summer savory"},
	"asparagus (from seed)":              {"asparagus"},
	"alyssum, sweet":                     {"alyssum"},
	"aster, China":                       {"aster", "china aster"},
	"bachelor's button":                  {"cornflower"},
	"celosia (cockscomb)":                {"celosia"},
	"marigold, French":                   {"marigold", "french marigold"},
	"pansy and viola":                    {"pansy", "viola"},
	"salvia, scarlet":                    {"salvia"},
	"statice, annual":                    {"statice"},
}

// flowers are the crops of the table that are not eaten.
var flowers = map[string]bool{
	"ageratum": true, "alyssum, sweet": true, "aster, China": true, "bachelor's button": true, "calendula": true, "celosia (cockscomb)": true, "coleus": true, "cosmos": true, "impatiens": true, "marigold, French": true,
	"nasturtium": true, "pansy and viola": true, "petunia": true, "salvia, scarlet": true, "snapdragon": true, "statice, annual": true, "strawflower": true, "sunflower": true, "sweet pea": true, "zinnia": true,
}

// americanNames are the names in answers where they differ in a household of US units.
var americanNames = map[string]string{
	"arugula": "arugula", "beet": "beet", "eggplant": "eggplant", "rutabaga": "rutabaga", "cilantro (coriander)": "cilantro", "broad bean (fava)": "fava bean",
	"squash, summer and zucchini": "summer squash", "onion, bunching (scallion)": "scallion", "pak choi": "bok choy", "potato (seed tubers)": "potato",
}

// called is a crop's name in answers to a household.
func called(req *desk.Request, name string) string {
	if us, is := americanNames[name]; is && req.House.US {
		return us
	}
	return plain(name)
}

// tableEntries are the crops of the table with the ways to call them.
var tableEntries = sync.OnceValue(func() []phrase.Entry {
	var entries []phrase.Entry
	for _, c := range sowing.Crops() {
		aliases := append(plurals(shortNames[c.Name]), plurals([]string{plain(c.Name), turned(c.Name)})...)
		entries = append(entries, phrase.Entry{Name: c.Name, Aliases: aliases})
	}
	return entries
})

// variety is a kind of a crop that the household has a name for.
type variety struct{ crop, name string }

// varieties are those that the household has given figures, has seed of or has sown,
// each once, in a fixed order.
func varieties(tx *storage.Tx, household int64) ([]variety, error) {
	own, err := tx.OwnCrops(household)
	if err != nil {
		return nil, err
	}
	packets, err := tx.Packets(household)
	if err != nil {
		return nil, err
	}
	sowings, err := tx.Sowings(household)
	if err != nil {
		return nil, err
	}
	var out []variety
	add := func(crop, name string) {
		same := func(v variety) bool { return v.crop == crop && strings.EqualFold(v.name, name) }
		if name != "" && !slices.ContainsFunc(out, same) {
			out = append(out, variety{crop, name})
		}
	}
	for _, o := range own {
		add(o.Crop, o.Variety)
	}
	for _, p := range packets {
		add(p.Crop, p.Variety)
	}
	for _, s := range sowings {
		add(s.Crop, s.Variety)
	}
	return out, nil
}

// cropList is the crops of the table and the household's own varieties; the number
// of a variety is its place among them, from 1.
func cropList(tx *storage.Tx, household int64) (*phrase.List, error) {
	mine, err := varieties(tx, household)
	if err != nil {
		return nil, err
	}
	if len(mine) == 0 {
		return tableList(), nil
	}
	entries := slices.Clone(tableEntries())
	for i, v := range mine {
		e := phrase.Entry{Name: v.name + " " + plain(v.crop), ID: int64(i + 1)}
		for _, crop := range append(plurals(shortNames[v.crop]), plurals([]string{plain(v.crop)})...) {
			e.Aliases = append(e.Aliases, v.name+" "+crop, crop+" "+v.name)
		}
		if words := phrase.Words(v.name); len(words) > 1 || len(v.name) >= 4 && !phrase.IsFiller(strings.ToLower(v.name)) {
			e.Aliases = append(e.Aliases, v.name)
		}
		entries = append(entries, e)
	}
	return phrase.NewList("crops", entries), nil
}

var tableList = sync.OnceValue(func() *phrase.List { return phrase.NewList("crops", tableEntries()) })

// plurals adds the plurals, so that a slip in one is forgiven too: tomatoes, onions,
// cherries.
func plurals(names []string) []string {
	out := slices.Clone(names)
	for _, n := range names {
		if !strings.HasSuffix(n, "s") {
			out = append(out, n+"s")
		}
		if rest, is := strings.CutSuffix(n, "y"); is {
			out = append(out, rest+"ies")
		}
		if strings.HasSuffix(n, "o") {
			out = append(out, n+"es")
		}
	}
	return out
}

// plain is a crop's name as people write it: "squash, winter" is "winter squash".
func plain(name string) string {
	if short := shortNames[name]; len(short) > 0 {
		return short[0]
	}
	return turned(name)
}

// turned is a crop's name in the table with its words in the order of speech.
func turned(name string) string {
	name, _, _ = strings.Cut(name, " (")
	if head, kind, is := strings.Cut(name, ", "); is {
		return kind + " " + head
	}
	return name
}
