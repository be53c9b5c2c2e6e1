package growth

import (
	"errors"
	"fmt"
	"slices"
	"time"
)

// Errors of the labels and treatments.
var (
	ErrLabel = errors.New("withdrawal time")
	ErrDose  = errors.New("dose")
)

// Product is what an animal gives to eat.
type Product uint8

// The products.
const (
	Milk Product = iota
	Meat
	Eggs
)

// AsEntered is what to say with any release; it is never called safe.
const AsEntered = "Earliest, if the label was entered as it stands. The label and the vet decide."

// Products returns all of them.
func Products() []Product { return []Product{Milk, Meat, Eggs} }

// String returns milk, meat or eggs.
func (p Product) String() string {
	names := []string{"milk", "meat", "eggs"}
	if int(p) >= len(names) {
		return "unknown"
	}
	return names[p]
}

// LongestLabel is the longest withdrawal time that is taken for one.
const LongestLabel = 2 * 365 * 24 * time.Hour

type said uint8

const (
	unknown said = iota
	given
	prohibited
)

// Label is what the label, or the vet in writing, says of one product. The zero value
// is unknown, which is never released; a length of zero is valid.
type Label struct {
	said said
	wait time.Duration
	vet  bool
}

// Prohibited is the label of a product that may not be used where this is eaten ("not
// for use in laying hens").
var Prohibited = Label{said: prohibited}

// Hours is a label in hours, as of milk. The error wraps ErrLabel.
func Hours(n float64) (Label, error) { return label(n, time.Hour) }

// Days is a label in days, each a full 24 hours. The error wraps ErrLabel.
func Days(n float64) (Label, error) { return label(n, 24*time.Hour) }

func label(n float64, unit time.Duration) (Label, error) {
	if !(n >= 0 && n*float64(unit) <= float64(LongestLabel)) {
		return Label{}, fmt.Errorf("%w: want 0 to 730 days", ErrLabel)
	}
	return Label{said: given, wait: time.Duration(n * float64(unit))}, nil
}

// FromVet marks what the vet said in writing, which holds for a use off the label too.
func (l Label) FromVet() Label {
	l.vet = true
	return l
}

// Known tells whether the label gives a length, and which.
func (l Label) Known() (time.Duration, bool) { return l.wait, l.said == given }

// Forbids tells whether the label prohibits the use.
func (l Label) Forbids() bool { return l.said == prohibited }

// Treatment is one course of one product for one animal or group, with the labels as
// the keeper typed them. There is no table of drugs here and there must be none.
type Treatment struct {
	Doses            []time.Time // every dose, in any order
	Milk, Meat, Eggs Label

	// OffLabel is set when it was used on another animal, in another dose, in another
	// way or for longer than the label says: the label's times are void, only the vet's
	// hold.
	OffLabel bool
}

func (t Treatment) label(p Product) Label {
	l := map[Product]Label{Milk: t.Milk, Meat: t.Meat, Eggs: t.Eggs}[p]
	if t.OffLabel && l.said == given && !l.vet {
		return Label{}
	}
	return l
}

// Last is the last dose, from which the time counts.
func (t Treatment) Last() time.Time {
	if len(t.Doses) == 0 {
		return time.Time{}
	}
	return slices.MaxFunc(t.Doses, time.Time.Compare)
}

// Clearance is when a product may be used again at the earliest, if the labels are as
// they were typed.
type Clearance struct {
	// At is the instant of release, in the zone of the last dose; the zero time when
	// there was no treatment. It means nothing when Unknown or Never is set.
	At      time.Time
	Unknown bool // a label was not given: not released
	Never   bool // a label prohibits it: not released
}

// Free tells whether the product is released at that instant. Milk of a milking that
// began before it is withheld: ask with the time at which the milking began.
func (c Clearance) Free(at time.Time) bool {
	return !c.Unknown && !c.Never && !at.Before(c.At)
}

// Release returns when the product may be used again: elapsed time from the last dose
// of each treatment, and of several the latest. A prohibition counts before an unknown
// label, an unknown label before any date. A treatment without a dose is ErrDose.
func Release(p Product, treatments ...Treatment) (Clearance, error) {
	var c Clearance
	for _, t := range treatments {
		if t.Last().IsZero() {
			return Clearance{}, fmt.Errorf("%w: a treatment has none", ErrDose)
		}
		l := t.label(p)
		c.Never = c.Never || l.said == prohibited
		c.Unknown = c.Unknown || l.said == unknown
		if at := t.Last().Add(l.wait); at.After(c.At) {
			c.At = at
		}
	}
	c.Unknown = c.Unknown && !c.Never
	return c, nil
}
