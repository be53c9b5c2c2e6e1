package feed

import (
	_ "embed"
	"fmt"
	"math"
	"slices"
)

var (
	//go:embed bales.csv
	balesCSV string
	//go:embed bedding.csv
	beddingCSV string
)

// Bale is a usual size of bale. They vary much: weigh five of your own.
type Bale struct {
	Of     string   // "hay" or "straw"
	Name   string   // "small square"
	Words  []string // what a household calls it
	Mass   Band     // kg
	Source string
	Mark   string
}

var bales = load(&balesCSV, func(r record) Bale {
	return Bale{Of: r["of"], Name: r["bale"], Words: r.words("words"), Mass: r.band(), Source: r["source"], Mark: r["mark"]}
})

// Bales returns the sizes of the table, the usual one of a smallholding first.
func Bales() []Bale {
	out := slices.Clone(bales())
	for i := range out {
		out[i].Words = slices.Clone(out[i].Words)
	}
	return out
}

// BaleOf returns the bale of hay or straw of that size; no size means the small square one.
func BaleOf(of, size string) (Bale, bool) {
	of, size = fold(of), fold(size)
	for _, b := range Bales() {
		if b.Of == of && (size == "" || b.Name == size || slices.Contains(b.Words, size)) {
			return b, true
		}
	}
	return Bale{}, false
}

// Count returns how many whole bales of that mass in kg hold so many kg. ErrAmount unless
// the bale weighs something.
func Count(mass, bale float64) (int, error) {
	if !finite(mass) || !finite(bale) || bale == 0 || mass/bale > math.MaxInt32 {
		return 0, fmt.Errorf("%w: %v kg in bales of %v kg", ErrAmount, mass, bale)
	}
	return int(math.Ceil(mass/bale - dust)), nil
}

// HayFor returns the hay in kg that must be there for the groups to eat for so many days, in
// that weather, with a share wasted. ErrShare, ErrAmount, else as Need.
func HayFor(groups []Group, days int, waste float64, w Weather) (Band, error) {
	if days < 0 {
		return Band{}, fmt.Errorf("%w: %d days", ErrAmount, days)
	}
	if !(waste >= 0 && waste < 1) {
		return Band{}, fmt.Errorf("%w: waste %v", ErrShare, waste)
	}
	sum := Band{}
	for _, g := range groups {
		r, err := Need(g, w)
		if err != nil {
			return Band{}, err
		}
		sum = sum.plus(r.part(Hay))
	}
	return sum.times(float64(days) / (1 - waste)), nil
}

// bed is the straw that one head of a kind lies on in a day.
type bed struct {
	kind  string
	straw Band
}

var beds = load(&beddingCSV, func(r record) bed { return bed{r["kind"], r.band()} })

// Bedding returns the straw in kg that a group takes for so many days under cover. ErrKind
// for a kind that the table has no bedding of.
func Bedding(g Group, days int) (Band, error) {
	s, err := g.settle()
	if err != nil {
		return Band{}, err
	}
	if days < 0 {
		return Band{}, fmt.Errorf("%w: %d days", ErrAmount, days)
	}
	for _, b := range beds() {
		if b.kind == s.Kind {
			return b.straw.times(float64(s.Heads * days)), nil
		}
	}
	return Band{}, fmt.Errorf("%w: no bedding of a %s", ErrKind, s.Kind)
}
