package breeding

import (
	_ "embed"
	"slices"
	"time"
)

//go:embed help.csv
var helpCSV string

// Limit is a sign at which somebody calls the vet: no later than this, and sooner
// whenever anybody is uneasy.
type Limit struct {
	Species string
	Sign    string
	After   time.Duration // how long it may have lasted, 0 for at once
	Act     string

	Source, Mark string
}

var limits = load("help.csv", &helpCSV, func(r *record) Limit {
	l := Limit{
		Species: r.needed("species"), Sign: r.needed("sign"), After: time.Duration(r.whole("minutes")) * time.Minute,
		Act: r.needed("act"), Source: r.needed("source"), Mark: r.needed("mark"),
	}
	if l.After < 0 {
		r.fail("%s: a negative time", l.Species)
	}
	return l
})

// Help returns the limits of a species in the order in which they come up; none for
// birds.
func Help(speciesName string) []Limit {
	var out []Limit
	for _, l := range limits() {
		if l.Species == speciesName {
			out = append(out, l)
		}
	}
	return slices.Clip(out)
}

// Cautions are the sentences that go with any help at a birth.
const (
	Uneasy    = "Call sooner if you are uneasy: too early is seldom wrong."
	Expecting = "Whoever is or may be expecting keeps away from animals giving birth, their young, afterbirth, bedding and the clothes worn there (sheep, goats and cattle above all)."
	Lamps     = "A heat lamp hangs by a chain, not its cord, away from litter and out of reach; moving it is never a child's job. Heat lamps are a leading cause of barn fires."
)
