package food

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"sync"
)

//go:embed trim.csv
var trimCSV string

//go:embed cooked.csv
var cookedCSV string

//go:embed eggs.csv
var eggsCSV string

// Trim is what is lost of a food between the shop and the pot.
type Trim struct {
	Food         string  // as the table of trims has it: "apple, cored and peeled"
	Refuse       float64 // share of the mass bought, 0 to 1
	Lost, Source string  // what is lost, and who says so
}

// trims leads from a food of the table of ingredients to its trim.
var trims = sync.OnceValue(func() map[string]Trim {
	out := map[string]Trim{}
	for _, r := range read(trimCSV) {
		for _, name := range append(list(r["rows"]), r["food"]) {
			out[name] = Trim{r["food"], number(r["refuse"]), r["lost"], r["source"]}
		}
	}
	return out
})

// TrimOf returns what is lost of f. It returns false for a food of which nothing is
// known to be lost. A Food with only the Name of a row of the table of trims does too:
// "asparagus".
func TrimOf(f Food) (Trim, bool) {
	t, ok := trims()[f.Name]
	return t, ok
}

// ToBuy returns the mass to buy for a prepared mass, in the same unit, when the refuse
// is lost of it: a share from 0 to less than 1. It returns ErrAmount for a mass that is
// negative or not finite, ErrShare for another share.
func ToBuy(prepared, refuse float64) (float64, error) {
	if err := amount("prepared", prepared); err != nil {
		return 0, err
	}
	if !finite(refuse) || refuse >= 1 {
		return 0, fmt.Errorf("%w: refuse %v", ErrShare, refuse)
	}
	return prepared / (1 - refuse), nil
}

// boil is what cooking makes of a dry food.
type boil struct {
	dry, cooked string
	mass, cups  float64
}

var boils = sync.OnceValue(func() []boil {
	var out []boil
	for _, r := range read(cookedCSV) {
		out = append(out, boil{r["dry"], r["cooked"], number(r["mass"]), number(r["cups"])})
	}
	return out
})

// Cooked returns what boiling makes of a dry grain, pasta or pulse: grams cooked from a
// gram dry and cups cooked from a cup dry. It returns false for any other food.
func Cooked(f Food) (mass, cups float64, ok bool) {
	for _, b := range boils() {
		if b.dry == f.Name {
			return b.mass, b.cups, true
		}
	}
	return 0, 0, false
}

// dryOf returns the dry food that f is cooked from, and the mass factor.
func dryOf(f Food) (Food, float64, bool) {
	i := slices.IndexFunc(boils(), func(b boil) bool { return b.cooked != "" && b.cooked == f.Name })
	if i < 0 {
		return Food{}, 0, false
	}
	b := boils()[i]
	return byName()[b.dry], b.mass, true
}

var eggs = sync.OnceValue(func() map[string]float64 {
	out := map[string]float64{}
	for _, r := range read(eggsCSV) {
		out[r["size"]] = number(r["grams"])
	}
	return out
})

// EggGrams returns the grams of an egg without its shell: small, medium, large, extra
// large, jumbo (US classes), duck or goose. It returns false for another word.
func EggGrams(size string) (float64, bool) {
	g, ok := eggs()[strings.ToLower(strings.TrimSpace(size))]
	return g, ok
}

// EggsFor returns how many eggs of a size make so many grams without shell, not
// rounded. It returns false for a mass that is negative or not finite and for a size
// that EggGrams does not know.
func EggsFor(grams float64, size string) (exact float64, ok bool) {
	g, ok := EggGrams(size)
	if !ok || !finite(grams) {
		return 0, false
	}
	return grams / g, true
}

// Butter returns the grams of butter churned from so many grams of milk or cream. All
// but the grams are shares above 0 and up to 1: the fat of the milk, what skimming and
// churning keep of it (0.985 in a plant; skimming by hand 0.8 to 0.9 and churning 0.95
// to 0.98), and the fat of the butter (0.80 to 0.82). It returns ErrAmount or ErrShare
// for anything else.
func Butter(grams, fat, kept, butterfat float64) (float64, error) {
	if err := amount("milk", grams); err != nil {
		return 0, err
	}
	for _, s := range []float64{fat, kept, butterfat} {
		if !finite(s) || s == 0 || s > 1 {
			return 0, fmt.Errorf("%w: %v", ErrShare, s)
		}
	}
	return grams * fat * kept / butterfat, nil
}
