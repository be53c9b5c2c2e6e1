package feed

import (
	_ "embed"
	"fmt"
)

//go:embed water.csv
var waterCSV string

// hotFrom is 80 °F, the last temperature of most tables: above it there is never less than
// the last figure, and the water is looked at twice a day.
var hotFrom = celsius(80)

// mildAt is the temperature that is taken when nobody says: 60 °F.
var mildAt = celsius(60)

// The ways in which the table says what is drunk.
const (
	perHundred = "100 head"
	perPounds  = "100 lb"      // of body weight
	perFeed    = "feed"        // kg of water a kg of feed eaten
	perMilked  = "milk"        // kg of water a kg of milk, all that is drunk
	perBeside  = "beside milk" // kg of water a kg of milk, beside what is drunk dry
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
	out := Drink{Group: s.Group, Hot: at > hotFrom}
	for _, rows := range s.drinks() {
		one, row := between(rows, at)
		out.Litres = out.Litres.plus(one.times(s.drinkers(row.per)))
		if out.Source == "" {
			out.Source, out.Mark = row.source, row.mark
		}
	}
	if out.Source == "" {
		return Drink{}, fmt.Errorf("%w: no water of a %s", ErrKind, s.Kind)
	}
	return out, nil
}

// drinks is the rows whose figures come together: by the milk where it is known, else
// those of the stage, else those of any stage.
func (s settled) drinks() [][]drinking {
	stage := s.stage.name
	if s.Milk > 0 {
		if rows := s.rows(stage, perMilked); rows != nil {
			return [][]drinking{rows}
		}
		if rows := s.rows(stage, perBeside); rows != nil {
			return [][]drinking{s.rows("", ""), rows}
		}
	}
	if rows := s.rows(stage, ""); rows != nil {
		return [][]drinking{rows}
	}
	if rows := s.rows("", ""); rows != nil {
		return [][]drinking{rows}
	}
	return nil
}

// rows is the rows of a stage; no per means all that do not hang on milk.
func (s settled) rows(stage, per string) []drinking {
	var out []drinking
	for _, d := range drinks() {
		milk := d.per == perMilked || d.per == perBeside
		if d.kind == s.Kind && d.stage == stage && (d.per == per || per == "" && !milk) {
			out = append(out, d)
		}
	}
	return out
}

// drinkers is what a figure of the table is multiplied by.
func (s settled) drinkers(per string) float64 {
	heads := float64(s.Heads)
	switch per {
	case perPounds:
		return heads * s.Weight
	case perFeed:
		return heads * s.daily()
	case perMilked, perBeside:
		return heads * s.Milk
	}
	return heads
}

// daily is what one head eats in mild weather, kg as fed.
func (s settled) daily() float64 {
	if s.Daily > 0 {
		return s.Daily
	}
	return s.one().Fed.Typical
}

// between is the figure at a temperature, and the row that it leans on.
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
