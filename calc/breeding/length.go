// Package breeding counts the dates of a barn's young: when an animal that was served
// is due, when eggs that were set hatch, the work that runs up to it and follows it,
// and when it is time to call the vet. Its figures are for planning; medicines,
// vaccines and animals in trouble are the vet's, and no dose stands here. Dates are
// midnights in UTC; the day of service and the day on which eggs are set are day 0. It
// reads no clock.
package breeding

import (
	_ "embed"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
)

//go:embed gestation.csv
var gestationCSV string

// Errors of this package; what is returned wraps one of them and says what was wrong.
var (
	ErrLength = errors.New("length of pregnancy or incubation")
	ErrDates  = errors.New("dates of service")
)

// Kind tells how the young come.
type Kind uint8

// The kinds.
const (
	Gestation  Kind = iota // born
	Incubation             // hatched
)

var kinds = []string{"gestation", "incubation"}

// String returns gestation or incubation.
func (k Kind) String() string {
	if int(k) >= len(kinds) {
		return "unknown"
	}
	return kinds[k]
}

// Range is a lowest and a highest value.
type Range struct{ Low, High float64 }

// Length is one row of the gestation table: how many days from service or setting to
// the young. It is a plain value: a household with its own figure changes Typical, Min
// and Max of a copy.
type Length struct {
	Species           string // as in AllSpecies: "sow", "doe goat", "Muscovy duck"
	Breed             string // "Jersey", "dwarf", "bantam"; empty for the species as a whole
	Kind              Kind
	Min, Typical, Max int    // days
	Event             string // farrowing, kidding, hatch

	// Incubation only.
	Candle       []int // days on which to candle
	StopTurning  int   // the day of the last turning: three days before the hatch
	TempF        Range // forced air, °F
	Humidity     Range // per cent, until turning stops
	HumidityLast Range // per cent, from then on

	Note   string
	Source string
	Mark   string

	usual bool
	words []string
}

var lengths = load("gestation.csv", &gestationCSV, readLength)

func readLength(r *record) Length {
	l := Length{
		Species: r.needed("species"), Breed: r.text("breed"), words: r.list("words"), usual: r.yes("usual"),
		Min: r.whole("days_min"), Typical: r.whole("days_typical"), Max: r.whole("days_max"),
		Kind: Kind(r.choice("kind", kinds)), Event: r.needed("event"),
		Note: r.text("note"), Source: r.needed("source"), Mark: r.needed("mark"),
	}
	if l.Kind == Incubation {
		readIncubation(r, &l)
	}
	if err := l.Check(); err != nil {
		r.fail("%v", err)
	}
	return l
}

func readIncubation(r *record, l *Length) {
	for day := range strings.SplitSeq(r.text("candle_days"), ";") {
		l.Candle = append(l.Candle, int(r.span(day).Low))
	}
	l.StopTurning = r.whole("stop_turning_day")
	l.TempF = r.span(r.text("temp_F"))
	first, last, _ := strings.Cut(r.text("humidity_pct"), " then ")
	l.Humidity, l.HumidityLast = r.span(first), r.span(last)
}

// Lengths returns a copy of the table in file order.
func Lengths() []Length { return copies(lengths()) }

func copies(ls []Length) []Length {
	out := slices.Clone(ls)
	for i := range out {
		out[i].Candle = slices.Clone(out[i].Candle)
	}
	return out
}

// Check says what in the length cannot be true; the error wraps ErrLength.
func (l Length) Check() error {
	switch {
	case l.Min < 1 || l.Max > 500:
		return fmt.Errorf("%w: %s: want 1 to 500 days", ErrLength, l.Name())
	case l.Min > l.Typical || l.Typical > l.Max:
		return fmt.Errorf("%w: %s: the days must rise from least to usual to most", ErrLength, l.Name())
	case l.Kind == Incubation && l.StopTurning != l.Typical-lastTurn:
		return fmt.Errorf("%w: %s: turning stops three days before the hatch", ErrLength, l.Name())
	}
	return nil
}

// Name is the species with its breed: "cow (Jersey)".
func (l Length) Name() string {
	if l.Breed == "" {
		return l.Species
	}
	return l.Species + " (" + l.Breed + ")"
}

// WithDays returns the length with the household's own usual days; least and most
// move with it. The error wraps ErrLength.
func (l Length) WithDays(days int) (Length, error) {
	shift := days - l.Typical
	l.Min, l.Typical, l.Max = l.Min+shift, days, l.Max+shift
	l.StopTurning += shift
	if l.Kind == Gestation {
		l.StopTurning = 0
	}
	return l, l.Check()
}

// Expected is when young are to come.
type Expected struct {
	First, Last      time.Time // the first and the last day that may count: service, or the day set
	Due              time.Time // what is planned for
	Earliest, Latest time.Time // the window, both ends inclusive

	// OneDate is false when an animal ran with a male: then show Earliest and Latest,
	// never Due alone.
	OneDate bool
}

// Due returns when the young of one service, or of eggs set on that day, come.
func Due(l Length, service time.Time) Expected {
	return Expected{
		First: service, Last: service, OneDate: true,
		Due: plus(service, l.Typical), Earliest: plus(service, l.Min), Latest: plus(service, l.Max),
	}
}

// Served returns what several services of one animal lead to: the work is planned
// from the last of them, and the window opens with the first. A service after which she
// came back into heat is void and is left out by the caller. The error wraps ErrDates.
func Served(l Length, services ...time.Time) (Expected, error) {
	if len(services) == 0 {
		return Expected{}, fmt.Errorf("%w: there is none", ErrDates)
	}
	first, last := slices.MinFunc(services, time.Time.Compare), slices.MaxFunc(services, time.Time.Compare)
	e := Due(l, last)
	e.First, e.Earliest = first, plus(first, l.Min)
	return e, nil
}

// Exposed returns what follows when a male ran with her from one day to another. The
// work is planned for the first day's young, so that it is done in time. The error wraps
// ErrDates.
func Exposed(l Length, in, out time.Time) (Expected, error) {
	if in.IsZero() || out.Before(in) {
		return Expected{}, fmt.Errorf("%w: he must come in before he goes out", ErrDates)
	}
	e := Due(l, in)
	e.Last, e.Latest, e.OneDate = out, plus(out, l.Max), in.Equal(out)
	return e, nil
}

func plus(day time.Time, days int) time.Time { return day.AddDate(0, 0, days) }
