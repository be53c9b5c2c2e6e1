package lye

// Makeup is the fatty acids of a fat, or of a blend, as shares of all of them by
// mass. The typical profile of a row of the fat table; "other" is what has no
// column, from butyric to erucic acid.
type Makeup struct {
	Lauric, Myristic, Palmitic, Stearic    float64
	Oleic, Linoleic, Linolenic, Ricinoleic float64
	Other                                  float64
}

func (m Makeup) times(k float64) Makeup {
	for _, v := range m.all() {
		*v *= k
	}
	return m
}

func (m *Makeup) all() []*float64 {
	return []*float64{&m.Lauric, &m.Myristic, &m.Palmitic, &m.Stearic, &m.Oleic, &m.Linoleic, &m.Linolenic, &m.Ricinoleic, &m.Other}
}

// Sum is 1 for a fat whose make-up is known, 0 for one whose is not.
func (m Makeup) Sum() float64 {
	sum := 0.0
	for _, v := range m.all() {
		sum += *v
	}
	return sum
}

// Foaming are the acids whose soaps dissolve readily and foam in cold water;
// Hard the saturated long ones, which make a firm bar that lasts; Drying those
// with two double bonds or more, which turn rancid first. What each does in the
// bar is common practice.
func (m Makeup) Foaming() float64 { return m.Lauric + m.Myristic }

// Hard is palmitic and stearic acid.
func (m Makeup) Hard() float64 { return m.Palmitic + m.Stearic }

// Drying is linoleic and linolenic acid.
func (m Makeup) Drying() float64 { return m.Linoleic + m.Linolenic }

// MakeupOf is the make-up of a blend, over the fats whose own is known, and the
// share of the blend, by mass, that those are.
func MakeupOf(fats []Portion) (Makeup, float64, error) {
	if _, err := DemandOf(fats); err != nil {
		return Makeup{}, 0, err
	}
	var sum Makeup
	var known float64
	for _, p := range fats {
		if p.Fat.Makeup.Sum() == 0 {
			continue
		}
		known += p.Grams
		part := p.Fat.Makeup.times(p.Grams)
		to := sum.all()
		for i, v := range part.all() {
			*to[i] += *v
		}
	}
	if known == 0 {
		return Makeup{}, 0, nil
	}
	return sum.times(1 / known), known / TotalFat(fats), nil
}

// Iodine is the range of the iodine value of a blend, in g per 100 g: the higher,
// the softer and the sooner rancid (ISO 3961 measures it).
func Iodine(fats []Portion) (low, high float64) {
	total := TotalFat(fats)
	for _, p := range fats {
		low += p.Fat.IodMin * p.Grams / total
		high += p.Fat.IodMax * p.Grams / total
	}
	return low, high
}
