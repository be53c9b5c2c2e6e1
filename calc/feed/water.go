package feed

import (
	_ "embed"
	"fmt"
)

//go:embed water.csv
var waterCSV string

// hotFrom is 80 °F, the last temperature of most tables: above it there is never less than
// the last figure, and the water is looked at twice a day.
const hotFrom = 80.0/9*5 - 160.0/9

// mildAt is the temperature that is taken when nobody says: 60 °F.
const mildAt = 60.0/9*5 - 160.0/9

// The ways in which the table says what is drunk.
const (
	perHundred = "100 head"
	perPounds  = "100 lb" // of body weight
	perMilked  = "milk"   // kg of water a kg of milk
)

// drinking is a figure of the table of water at one temperature.
type drinking struct {
	kind, stage, per string
	at               float64
	litres           Band
	source, mark     string
}

var drinks = load(&waterCSV, func(r record) drinking {
	d := drinking{kind: r["kind"], stage: r["stage"], per: r["per"], at: celsius(r.number("at_f")), litres: r.band(), source: r["source"], mark: r["mark"]}
	switch d.per {
	case perHundred:
		d.litres = d.litres.times(1.0 / 100)
	case perPounds:
		d.litres = d.litres.times(1 / (100 * pound)) // a kg of body weight
	}
	return d
})

// Drink is what a group drinks in a day.
type Drink struct {
	Group  Group
	Litres Band // all heads
	// Hot says that it is above 80 °F (26.7 °C): carry at least High, look twice a day.
	Hot    bool
	Source string
	Mark   string
}

// Water returns what a group drinks in a day, straight between the temperatures of the
// table, at 60 °F when the weather is not known. ErrKind for a kind of which the table has
// no water, ErrAmount.
func Water(g Group, w Weather) (Drink, error) {
	s, err := g.settle()
	if err != nil {
		return Drink{}, err
	}
	if err := w.check(); err != nil {
		return Drink{}, err
	}
	at := mildAt
	if w.Known {
		at = w.Celsius
	}
	rows := s.drinks()
	if len(rows) == 0 {
		return Drink{}, fmt.Errorf("%w: no water of a %s", ErrKind, s.Kind)
	}
	one, row := between(rows, at)
	return Drink{
		Group: s.Group, Litres: one.times(s.drinkers(row.per)), Hot: at > hotFrom, Source: row.source, Mark: row.mark,
	}, nil
}

// drinks is the rows for the group: by the milk where it is known, else those of its
// stage, else those of any stage.
func (s settled) drinks() []drinking {
	var milked, staged, plain []drinking
	for _, d := range drinks() {
		switch {
		case d.kind != s.Kind:
		case d.stage == s.stage.name && d.per == perMilked:
			milked = append(milked, d)
		case d.stage == "":
			plain = append(plain, d)
		case d.stage == s.stage.name:
			staged = append(staged, d)
		}
	}
	if s.Milk > 0 && len(milked) > 0 {
		return milked
	}
	if len(staged) > 0 {
		return staged
	}
	return plain
}

// drinkers is what a figure of the table is multiplied by.
func (s settled) drinkers(per string) float64 {
	heads := float64(s.Heads)
	switch per {
	case perPounds:
		return heads * s.Weight
	case perMilked:
		return heads * s.Milk
	}
	return heads
}

// between is the figure at a temperature, and the row nearest below it.
func between(rows []drinking, at float64) (Band, drinking) {
	if at <= rows[0].at {
		return rows[0].litres, rows[0]
	}
	for i, next := range rows[1:] {
		if at <= next.at {
			last := rows[i]
			f := (at - last.at) / (next.at - last.at)
			return last.litres.times(1 - f).plus(next.litres.times(f)), next
		}
	}
	last := rows[len(rows)-1]
	return last.litres, last
}
