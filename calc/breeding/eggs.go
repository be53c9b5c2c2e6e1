package breeding

import (
	_ "embed"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"
)

//go:embed brooder.csv
var brooderCSV string

// ErrEggs is returned for counts of eggs that cannot be.
var ErrEggs = errors.New("count of eggs")

// Of the incubator. Too warm is worse than too cool (Virginia Tech Extension).
const (
	StillAirF = 102.0 // still air, read level with the tops of the eggs (Mississippi State Univ. Extension)
	TooHotF   = 103.0 // above it for hours, embryos die (Virginia Tech Extension)

	lastTurn = 3 // turning stops so many days before the hatch
)

// Celsius converts °F to °C.
func Celsius(f float64) float64 { return (f - 32) * 5 / 9 }

// Celsius converts a range of °F to °C.
func (r Range) Celsius() Range { return Range{Celsius(r.Low), Celsius(r.High)} }

// Hatching is the calendar of eggs set on one day.
type Hatching struct {
	Set              time.Time
	Candle           []time.Time
	StopTurning      time.Time // and raise the humidity
	Hatch            time.Time
	Earliest, Latest time.Time
}

// Incubate returns the calendar of eggs. The error wraps ErrLength for an animal that
// lays none.
func Incubate(l Length, set time.Time) (Hatching, error) {
	if l.Kind != Incubation {
		return Hatching{}, fmt.Errorf("%w: %s lays no eggs", ErrLength, l.Name())
	}
	e := Due(l, set)
	h := Hatching{Set: set, StopTurning: plus(set, l.StopTurning), Hatch: e.Due, Earliest: e.Earliest, Latest: e.Latest}
	for _, day := range l.Candle {
		h.Candle = append(h.Candle, plus(set, day))
	}
	return h, nil
}

// eggTasks are the tasks of an incubator and, from the hatch, of a brooder.
func eggTasks(l Length) []Task {
	young := "chicks"
	if s, ok := SpeciesNamed(l.Species); ok {
		young = s.Young[0].Many
	}
	task := func(name string, a Anchor, day int, title, do string) Task {
		return Task{Name: slug(l.Species) + "-" + name, Species: l.Species, Anchor: a, FromDay: day, ToDay: day, Title: title, Do: do, Source: l.Source, Mark: l.Mark}
	}
	var out []Task
	for i, day := range l.Candle {
		out = append(out, task("candle-"+strconv.Itoa(i+1), FromService, day, "Candle the eggs, day "+strconv.Itoa(day), candling(i)))
	}
	out = append(out, task("stop", FromService, l.StopTurning, "Stop turning, raise the humidity",
		fmt.Sprintf("Humidity %s %% from now on. Leave the lid shut until they are out.", spanText(l.HumidityLast))))
	before := -1 // the day before the first may be out
	if l.Min < l.Typical-1 {
		before = l.Min - l.Typical - 1
	}
	warm := task("brooder", FromDue, before, "Warm the brooder", "Run it a day before the "+young+" move in. "+Lamps)
	warm.Adult = true
	open := task("open", FromEarliest, 0, "The hatch may begin", "Pipping takes a day; leave them to it.")
	open.ToDay = l.Max - l.Min
	return append(append(out, warm, open), brooderTasks(l, young)...)
}

func candling(i int) string {
	if i == 0 {
		return "Veins or a dark spot: growing. Clear: take it out, it was not fertile or died early."
	}
	return "Take out what is clear, has a blood ring or does not grow: a bad egg bursts."
}

func brooderTasks(l Length, young string) []Task {
	var out []Task
	weeks := Brooder(l.Species)
	for _, w := range weeks {
		out = append(out, Task{
			Name: slug(l.Species) + "-week-" + strconv.Itoa(w.Week), Species: l.Species, Anchor: FromBirth,
			FromDay: 7 * (w.Week - 1), ToDay: 7 * (w.Week - 1), Adult: true,
			Title:  fmt.Sprintf("Brooder week %d: %s F (%s C)", w.Week, spanText(w.F), spanText(rounded(w.F.Celsius()))),
			Do:     "Measured at the height of the " + young + ". Huddled: too cold; spread to the walls and panting: too hot.",
			Source: w.Source, Mark: w.Mark,
		})
	}
	if len(weeks) == 0 {
		return nil
	}
	last := weeks[len(weeks)-1]
	return append(out, Task{
		Name: slug(l.Species) + "-heat-off", Species: l.Species, Anchor: FromBirth, FromDay: 7 * last.Week, ToDay: 7 * last.Week, Adult: true,
		Title: "Heat off if they are feathered", Do: "Feathered, and 65 to 70 F (18 to 21 C) or more where they are; otherwise a little longer.",
		Source: last.Source, Mark: last.Mark,
	})
}

func rounded(r Range) Range { return Range{math.Round(r.Low), math.Round(r.High)} }

// spanText is "95" or "85 to 90".
func spanText(r Range) string {
	low := strconv.FormatFloat(r.Low, 'f', -1, 64)
	if r.Low == r.High {
		return low
	}
	return low + " to " + strconv.FormatFloat(r.High, 'f', -1, 64)
}

// Week is the warmth of a brooder in one week of life, the first being 1.
type Week struct {
	Species      string
	Week         int
	F            Range // °F at the height of the young
	Source, Mark string
}

var weeks = load("brooder.csv", &brooderCSV, func(r *record) Week {
	return Week{
		Species: r.needed("species"), Week: r.whole("week"), F: Range{float64(r.whole("low_f")), float64(r.whole("high_f"))},
		Source: r.needed("source"), Mark: r.needed("mark"),
	}
})

// Brooder returns the weeks of a brooder in order; none for a species whose young its
// parents keep warm. After the last of them the heat is off, if they are feathered.
func Brooder(speciesName string) []Week {
	var out []Week
	for _, w := range weeks() {
		if w.Species == speciesName {
			out = append(out, w)
		}
	}
	return slices.Clip(out)
}

// BrooderOn returns the week in which young that hatched on a day are on another;
// false before the hatch, and when they need no more heat.
func BrooderOn(speciesName string, hatched, day time.Time) (Week, bool) {
	days := int(math.Round(day.Sub(hatched).Hours() / 24))
	all := Brooder(speciesName)
	if days < 0 || days/7 >= len(all) {
		return Week{}, false
	}
	return all[days/7], true
}

// Rate is how a hatch went. Shares are 0 to 1.
type Rate struct {
	OfSet     float64 // hatched of all eggs set
	Fertile   float64 // eggs that were not clear, of all set
	OfFertile float64 // hatched of those; 0 when all were clear
	Few       bool    // under 12 fertile eggs: one egg more or less changes the picture
	Means     string  // in a sentence
}

// What a hatch means (hatch of commercial hatcheries: US extension sheet in a copy; the
// rest common practice).
const (
	goodHatch   = 0.80
	poorHatch   = 0.60
	poorFertile = 0.75
	fewEggs     = 12
)

// HatchRate returns what came of eggs: how many were set, how many were clear (barren) at
// candling, how many hatched. The error wraps ErrEggs.
func HatchRate(set, barren, hatched int) (Rate, error) {
	if set < 1 || barren < 0 || hatched < 0 || barren+hatched > set {
		return Rate{}, fmt.Errorf("%w: %d set, %d clear, %d hatched; clear and hatched are of those set", ErrEggs, set, barren, hatched)
	}
	fertile := set - barren
	r := Rate{OfSet: share(hatched, set), Fertile: share(fertile, set), OfFertile: share(hatched, fertile), Few: fertile < fewEggs}
	r.Means = meaning(r)
	return r, nil
}

func share(part, of int) float64 {
	if of == 0 {
		return 0
	}
	return float64(part) / float64(of)
}

func meaning(r Rate) string {
	switch {
	case r.Fertile < poorFertile:
		return "Many were clear: look at the male, the number of hens for him, and how old the eggs were."
	case r.OfFertile >= goodHatch:
		return "A good hatch: hatcheries have about 80 %."
	case r.OfFertile >= poorHatch:
		return "A usual hatch for a small incubator."
	}
	return "A poor hatch of fertile eggs: check the thermometer, the humidity, the turning and how the eggs were kept."
}
