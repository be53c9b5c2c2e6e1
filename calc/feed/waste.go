package feed

import (
	_ "embed"
	"slices"
)

//go:embed waste.csv
var wasteCSV string

// Waste is the share of a feed that animals usually waste, by how it is fed.
type Waste struct {
	How    string
	Words  []string
	Share  Band
	Source string
	Mark   string
}

var wastes = load(&wasteCSV, func(r record) Waste {
	return Waste{How: r["how"], Words: r.words("words"), Share: r.band(), Source: r["source"], Mark: r["mark"]}
})

// WasteOf returns the usual waste of a way to feed: "feeder", "on the ground", "grain".
// It returns false for a way that the table does not have.
func WasteOf(how string) (Waste, bool) {
	how = fold(how)
	for _, w := range wastes() {
		if w.How == how || slices.Contains(w.Words, how) {
			w.Words = slices.Clone(w.Words)
			return w, true
		}
	}
	return Waste{}, false
}
