package breeding

import (
	_ "embed"
	"slices"
)

//go:embed signs.csv
var signsCSV string

//go:embed fever.csv
var feverCSV string

// Sign is something seen of an animal for which the vet is called, at a birth or not.
type Sign struct {
	Name    string
	Words   []string // as people say it
	Species []string // of which it is so; none for all
	Now     bool     // at once; else today
	Act     string   // until the vet is there

	Source, Mark string
}

var signs = load("signs.csv", &signsCSV, func(r *record) Sign {
	return Sign{
		Name: r.needed("name"), Words: r.list("words"), Species: r.list("species"), Now: r.yes("now"),
		Act: r.needed("act"), Source: r.needed("source"), Mark: r.needed("mark"),
	}
})

// Signs returns those of a species, the graver first.
func Signs(speciesName string) []Sign {
	var out []Sign
	for _, s := range signs() {
		if len(s.Species) == 0 || slices.Contains(s.Species, speciesName) {
			out = append(out, s)
		}
	}
	return out
}

// Fever is the range of a species' usual body temperature; outside it the vet is called.
type Fever struct {
	Species      string
	F            Range // °F, by the rectum
	Source, Mark string
}

var fevers = load("fever.csv", &feverCSV, func(r *record) Fever {
	return Fever{r.needed("species"), r.span(r.needed("low_f") + "-" + r.needed("high_f")), r.needed("source"), r.needed("mark")}
})

// FeverOf returns the usual temperature of a species; false where the table has none.
func FeverOf(speciesName string) (Fever, bool) {
	i := slices.IndexFunc(fevers(), func(f Fever) bool { return f.Species == speciesName })
	if i < 0 {
		return Fever{}, false
	}
	return fevers()[i], true
}

// AllSigns returns the whole table in file order.
func AllSigns() []Sign { return slices.Clone(signs()) }
