package flock

import (
	_ "embed"
	"fmt"
)

// Kind is a kind of laying hen by its curve.
type Kind string

// The kinds.
const (
	Hybrid   Kind = "hybrid"   // egg-type hybrids
	Heritage Kind = "heritage" // dual-purpose and heritage breeds
)

// Range is a hen-day rate of hens of an age, a starting guess until there are Least
// own counts: light, breed and feed move it.
type Range struct {
	Low, High float64 // 0 to 1
	Note      string
	Source    string
	Mark      string
}

type curvePoint struct {
	kind  Kind
	weeks float64
	Range
}

//go:embed curve.csv
var curveCSV string

var curve = load("curve.csv", &curveCSV, func(r record) (curvePoint, error) {
	n, err := r.numbers("weeks", "low", "high")
	if err != nil {
		return curvePoint{}, err
	}
	return curvePoint{Kind(r["kind"]), n[0], Range{Low: n[1], High: n[2], Note: r["note"], Source: r["source"], Mark: r["mark"]}}, nil
})

// Expect is what hens of that age lay in their first year, by a straight line between
// the ages of the table; 0 before it. After its last age, 72 weeks, hens moult, and it
// returns ErrDays: the year after is SecondYear of the first. So it does for an unknown
// kind and a negative age.
func Expect(kind Kind, weeks float64) (Range, error) {
	var before *curvePoint
	for _, p := range curve() {
		switch {
		case p.kind != kind || !(weeks >= 0):
			continue
		case weeks == p.weeks:
			return p.Range, nil
		case weeks > p.weeks:
			before = &p
			continue
		case before == nil:
			return Range{Note: p.Note, Source: p.Source, Mark: p.Mark}, nil
		}
		share := (weeks - before.weeks) / (p.weeks - before.weeks)
		out := p.Range
		out.Low = before.Low + share*(p.Low-before.Low)
		out.High = before.High + share*(p.High-before.High)
		return out, nil
	}
	return Range{}, fmt.Errorf("%w: no curve for %s hens of %g weeks", ErrDays, kind, weeks)
}

// SecondYear is the share of the first year's eggs that hens lay in the second, after
// their moult (common practice); ErrDays for an unknown kind.
func SecondYear(kind Kind) (Range, error) {
	switch kind {
	case Hybrid:
		return Range{Low: 0.80, High: 0.90, Note: "of the first year", Source: "keepers' practice", Mark: "common practice"}, nil
	case Heritage:
		return Range{Low: 0.75, High: 0.85, Note: "of the first year", Source: "keepers' practice", Mark: "common practice"}, nil
	}
	return Range{}, fmt.Errorf("%w: no such kind of hen %q", ErrDays, kind)
}
