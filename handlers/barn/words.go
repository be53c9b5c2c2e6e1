package barn

import (
	"slices"
	"sync"

	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// age is the time of life that a kind of animal stands for.
type age uint8

// Times of life. A male is grown.
const (
	grown age = iota
	male
	young
)

// beast is a kind of animal as the flock book keeps it.
type beast struct {
	name, plural string
	family       string // what it belongs to: hen, goat, pig
	age          age
	lays         bool
	words        []string // other ways to call it
}

// beasts are the kinds that a household keeps, in the order in which they are listed.
var beasts = []beast{
	{"hen", "hens", "hen", grown, true, []string{"chicken", "chook", "layer", "laying hen", "hybrid hen", "biddy", "chuck"}},
	{"bantam", "bantams", "hen", grown, true, []string{"banty", "bantam hen"}},
	{"pullet", "pullets", "hen", young, false, []string{"point of lay pullet", "pol pullet", "young hen"}},
	{"cockerel", "cockerels", "hen", male, false, []string{"rooster", "cock", "roo", "cock bird"}},
	{"chick", "chicks", "hen", young, false, []string{"baby chick", "day old chick"}},
	{"meat bird", "meat birds", "hen", young, false, []string{"broiler", "table bird", "meat chicken", "meat chick"}},
	{"duck", "ducks", "duck", grown, true, []string{"laying duck", "muscovy", "muscovy duck"}},
	{"drake", "drakes", "duck", male, false, nil},
	{"duckling", "ducklings", "duck", young, false, nil},
	{"goose", "geese", "goose", grown, true, []string{"gooses"}},
	{"gander", "ganders", "goose", male, false, nil},
	{"gosling", "goslings", "goose", young, false, nil},
	{"turkey", "turkeys", "turkey", grown, true, []string{"turkey hen"}},
	{"stag", "stags", "turkey", male, false, []string{"tom turkey", "turkey stag", "gobbler"}},
	{"poult", "poults", "turkey", young, false, []string{"turkey poult"}},
	{"guinea fowl", "guinea fowl", "guinea fowl", grown, true, []string{"guineafowl", "guinea hen"}},
	{"keet", "keets", "guinea fowl", young, false, nil},
	{"quail", "quail", "quail", grown, true, []string{"quails", "coturnix"}},
	{"pigeon", "pigeons", "pigeon", grown, false, nil},
	{"goat", "goats", "goat", grown, false, []string{"nanny", "nanny goat", "doe", "doe goat", "milking goat", "milk goat", "nannies"}},
	{"billy", "billies", "goat", male, false, []string{"billy goat", "buck", "buck goat"}},
	{"goat kid", "goat kids", "goat", young, false, []string{"kid goat", "goatling"}},
	{"sow", "sows", "pig", grown, false, []string{"brood sow"}},
	{"gilt", "gilts", "pig", grown, false, nil},
	{"boar", "boars", "pig", male, false, nil},
	{"pig", "pigs", "pig", grown, false, []string{"hog", "porker", "baconer", "fattener", "fattening pig", "grower pig"}},
	{"weaner", "weaners", "pig", young, false, []string{"weaner pig"}},
	{"piglet", "piglets", "pig", young, false, []string{"suckling pig"}},
	{"cow", "cows", "cow", grown, false, []string{"milk cow", "house cow", "milking cow"}},
	{"heifer", "heifers", "cow", grown, false, nil},
	{"bull", "bulls", "cow", male, false, nil},
	{"steer", "steers", "cow", grown, false, []string{"bullock"}},
	{"calf", "calves", "cow", young, false, []string{"calfs"}},
	{"ewe", "ewes", "sheep", grown, false, nil},
	{"sheep", "sheep", "sheep", grown, false, []string{"wether"}},
	{"ram", "rams", "sheep", male, false, []string{"tup"}},
	{"lamb", "lambs", "sheep", young, false, nil},
	{"mare", "mares", "horse", grown, false, nil},
	{"horse", "horses", "horse", grown, false, []string{"pony", "ponies", "gelding", "cob"}},
	{"stallion", "stallions", "horse", male, false, nil},
	{"foal", "foals", "horse", young, false, nil},
	{"donkey", "donkeys", "donkey", grown, false, []string{"jenny"}},
	{"rabbit", "rabbits", "rabbit", grown, false, []string{"doe rabbit", "rabbit doe"}},
	{"buck rabbit", "buck rabbits", "rabbit", male, false, []string{"rabbit buck"}},
	{"young rabbit", "young rabbits", "rabbit", young, false, []string{"rabbit kit", "fryer rabbit"}},
	{"alpaca", "alpacas", "alpaca", grown, false, nil},
	{"llama", "llamas", "llama", grown, false, nil},
	{"guinea pig", "guinea pigs", "guinea pig", grown, false, nil},
	{"dog", "dogs", "dog", grown, false, []string{"bitch"}},
	{"cat", "cats", "cat", grown, false, []string{"queen cat", "barn cat"}},
}

// beastNamed is a kind by the name under which it is kept.
func beastNamed(name string) (beast, bool) {
	i := slices.IndexFunc(beasts, func(b beast) bool { return b.name == name })
	if i < 0 {
		return beast{}, false
	}
	return beasts[i], true
}

// counted is so many of a kind: 1 hen, 24 hens.
func (b beast) counted(n int) string { return counted(n, b.name, b.plural) }

// livestock is the list of the kinds.
var livestock = sync.OnceValue(func() *phrase.List {
	var entries []phrase.Entry
	for _, b := range beasts {
		e := phrase.Entry{Name: b.name, Aliases: []string{b.plural}}
		for _, w := range b.words {
			e.Aliases = append(e.Aliases, w, w+"s")
		}
		entries = append(entries, e)
	}
	return phrase.NewList("livestock", entries)
})

// herdList is the animals and groups of the household that have a name.
func herdList(tx *storage.Tx, household int64) (*phrase.List, error) {
	herds, err := tx.Herds(household)
	if err != nil {
		return nil, err
	}
	var entries []phrase.Entry
	for _, h := range herds {
		if h.Name == "" {
			continue
		}
		e := phrase.Entry{Name: h.Name, ID: h.ID}
		if b, ok := beastNamed(h.Kind); ok {
			e.Aliases = []string{h.Name + " the " + b.name, "the " + h.Name, h.Name + " " + b.plural}
		}
		entries = append(entries, e)
	}
	return phrase.NewList("herds", entries), nil
}

// called is what an animal or a group is called in a sentence: Berta, the bantams,
// the sow, the hens.
func called(h storage.Herd) string {
	if h.Name != "" {
		return h.Name
	}
	b, _ := beastNamed(h.Kind)
	if h.Head == 1 {
		return "the " + b.name
	}
	return "the " + b.plural
}
