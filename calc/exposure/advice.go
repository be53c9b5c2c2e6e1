package exposure

import "fmt"

// Out is what the weather means for a child out of doors.
type Out int

// The bands, each stricter than the one before.
const (
	Free       Out = iota // the weather sets no limit
	Breaks                // with breaks, at the latest after Advice.Minutes
	StayIn                // no child's chores or play outdoors
	Essentials            // nobody goes out alone, and only for what the animals need
)

// Advice is what the weather means, with what to say of it.
type Advice struct {
	Out     Out
	Minutes int    // longest time between breaks for Breaks, else 0
	Lines   []Line // in the order in which to say them
}

// Line is a sentence with where it comes from.
type Line struct {
	Text   string
	Source string
	Mark   string // Ours where the household is stricter than the sources
}

// Ours marks a rule of our own.
const Ours = "ours"

// breakMinutes is the longest time out between breaks: the shorter end of the
// published 20 to 30.
const breakMinutes = 20

// Sources of the bands.
const (
	iowa     = "Iowa Department of Public Health, Child Care Weather Watch"
	aap      = "American Academy of Pediatrics"
	caring   = "Caring for Our Children, standard 3.1.3.2"
	cps      = "Canadian Paediatric Society"
	ec       = "Environment Canada, wind chill hazards"
	nws      = "US National Weather Service"
	verified = "verified"
	copied   = "verified (copy)"
)

// Bounds of the wind chill, whole °F: as the sources draw them.
const (
	freeF  = 32
	inF    = 13
	neverF = -15
)

// Child is what the wind chill means for a child. Wet clothes count as one band colder.
// Small children chill faster than the bands say.
func (c Chill) Child(wet bool) Advice {
	a := Advice{Out: c.band()}
	if wet && a.Out < Essentials {
		a.Out++
	}
	if a.Out == Breaks {
		a.Minutes = breakMinutes
	}
	a.Lines = c.childLines(a.Out)
	if wet {
		a.add("Wet clothes count as one band colder: change them first.", "", Ours)
	}
	if f := c.Frostbite(); f.Freezes() {
		a.add(f.text(), ec, copied)
	}
	if a.Out >= StayIn {
		a.Lines = append(a.Lines, ColdFirstAid())
	}
	return a
}

func (c Chill) band() Out {
	switch f := halfUp(c.F()); {
	case f < neverF:
		return Essentials
	case f < inF:
		return StayIn
	case f < freeF:
		return Breaks
	}
	return Free
}

func (c Chill) childLines(out Out) []Line {
	switch out {
	case Breaks:
		return []Line{
			{"Children may be out, with a break indoors every 20 to 30 min.", iowa, copied},
			{fmt.Sprintf("We take %d min, and someone looks in on them.", breakMinutes), "", Ours},
		}
	case StayIn:
		return []Line{
			{fmt.Sprintf("Children stay in below a wind chill of %s.", c.Units.both(inF)), iowa, copied},
			{"Their outdoor chores go to a grown-up.", "", Ours},
		}
	case Essentials:
		return []Line{
			{fmt.Sprintf("No child outdoors below a wind chill of %s.", c.Units.both(neverF)), aap + "; " + caring + "; " + cps + " (-27 °C)", copied},
			{"Nobody goes out alone, and only for what the animals need.", "", Ours},
		}
	}
	return []Line{{"Fine to be out, dressed for it.", iowa, copied}}
}

func (a *Advice) add(text, source, mark string) {
	a.Lines = append(a.Lines, Line{text, source, mark})
}

// both writes a temperature of whole °F in both units, the asked ones first.
func (u Units) both(f int) string {
	c := halfUp(celsius(float64(f)))
	if u == US {
		return fmt.Sprintf("%d °F (%d °C)", f, c)
	}
	return fmt.Sprintf("%d °C (%d °F)", c, f)
}

func (f Frostbite) text() string {
	if f.Min == 0 {
		return fmt.Sprintf("Bare skin can freeze in less than %d min.", f.Max)
	}
	return fmt.Sprintf("Bare skin can freeze in %d to %d min.", f.Min, f.Max)
}

// ColdFirstAid is what to do for a child that is too cold.
func ColdFirstAid() Line {
	return Line{
		"Numb, white or grey skin: indoors, dry clothes, warm (not hot) water for 20 to 30 min, no rubbing, no stove or hot pad; still numb or sore after that: a doctor. " +
			"Clumsy, slurred, confused, or shivering that stops: call the emergency number.",
		aap + ", winter safety, read in a newspaper", copied,
	}
}

// Bounds of the heat index, whole °F, and what full sun may add.
const (
	shadeF  = 80
	tooHotF = 90
	peril   = 103
	stockF  = 85
	sunF    = 15
)

// Child is what the heat index means for a child. In full sun the index may be up to
// 15 °F higher, and that is reckoned with.
func (h Heat) Child(sun bool) Advice {
	feels := h.F()
	if sun {
		feels += sunF
	}
	a := Advice{}
	switch f := halfUp(feels); {
	case f >= peril:
		a.Out = Essentials
		a.add("Grown-ups too: only what the animals need, in the cool of the day, never alone.", "", Ours)
		a.add(fmt.Sprintf("From %s on heat illness is likely for whoever works in it.", h.Units.both(peril)), nws, copied)
	case f >= tooHotF:
		a.Out = StayIn
		a.add(fmt.Sprintf("From a heat index of %s on the heat is a significant risk for children.", h.Units.both(tooHotF)), caring, verified)
		a.add("Their outdoor chores wait for the cool of morning or evening, heavy ones for another day.", "", Ours)
	case f >= shadeF:
		a.Out, a.Minutes = Breaks, breakMinutes
		a.add("Tiring in the heat: shade, water and light work.", nws, copied)
		a.add(fmt.Sprintf("We take a break in the shade every %d min.", breakMinutes), "", Ours)
	default:
		a.add("Fine to be out; take water along.", nws, copied)
	}
	if sun {
		a.add(fmt.Sprintf("Full sun can add up to %d °F (8 °C) and is counted in.", sunF), nws, copied)
	}
	if halfUp(h.F()) >= stockF {
		a.add("Check water and shade of the animals twice as often.", "", Ours)
	}
	if a.Out >= StayIn {
		a.Lines = append(a.Lines, HeatFirstAid())
	}
	return a
}

// HeatFirstAid is what to do for someone who is too hot.
func HeatFirstAid() Line {
	return Line{
		"Dizzy, sick, pale and sweating: a cool place, loose clothes, wet cloths, sips of water. " +
			"Confused, hot to the touch or passing out: call the emergency number, cool with water at once, nothing to drink.",
		"US Centers for Disease Control and Prevention, read at a hospital's", copied,
	}
}
