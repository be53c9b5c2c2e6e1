// Package feed counts what the animals of a yard eat and drink in a day, when a stock of
// feed or hay is gone, how two feeds are mixed to a protein, how many bales a winter
// takes and what a heater draws. Masses are kg, water L, temperatures °C, shares 0 to 1;
// dates are midnights in UTC, and the caller says which day it is.
//
// These are planning numbers: a ration, a sick animal or one near its time is a matter
// for the vet or a nutritionist. The tables stand beside the code as CSV, with figures as
// their source prints them and one source for each row.
package feed

import (
	_ "embed"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
)

//go:embed kinds.csv
var kindsCSV string

// The errors, each with a text that says what was wrong.
var (
	ErrKind   = errors.New("kind of animal")     // a kind or stage that the tables do not have
	ErrLabel  = errors.New("fed by the label")   // a kind that eats by the label of its food
	ErrAmount = errors.New("amount")             // not a number, not finite, or below what makes sense
	ErrShare  = errors.New("share")              // a share that does not lie where it must
	ErrNobody = errors.New("nobody eats of it")  // a stock that no group takes from
	ErrClosed = errors.New("no open day")        // no day to buy on in the last year
	ErrUse    = errors.New("readings of stock")  // readings that give no use
	ErrMix    = errors.New("no mix of these")    // a protein that two feeds cannot give
	ErrDays   = errors.New("lasts beyond count") // a stock that lasts longer than MostDays
)

// Band is a low, a typical and a high figure of the same thing.
type Band struct{ Low, Typical, High float64 }

func (b Band) times(f float64) Band { return Band{b.Low * f, b.Typical * f, b.High * f} }

func (b Band) plus(o Band) Band {
	return Band{b.Low + o.Low, b.Typical + o.Typical, b.High + o.High}
}

func (b Band) low() float64     { return b.Low }
func (b Band) typical() float64 { return b.Typical }
func (b Band) high() float64    { return b.High }

// same is a figure that has no spread.
func same(f float64) Band { return Band{f, f, f} }

// Kind is one kind of animal of the table.
type Kind struct {
	Name   string   // "laying hen"
	Words  []string // what a household calls it, singular and plural, lower case
	Weight float64  // kg of one when nobody says
	Stages []string // "gestating", "milking"; the first is meant when none is said; may be empty
	Source string
	Mark   string
}

var kinds = load(&kindsCSV, func(r record) Kind {
	return Kind{Name: r["kind"], Words: r.words("words"), Weight: r.number("weight_kg"), Stages: stagesOf(r["kind"]), Source: r["source"], Mark: r["mark"]}
})

// Kinds returns every kind of animal of the table, in its order.
func Kinds() []Kind {
	out := slices.Clone(kinds())
	for i := range out {
		out[i] = out[i].clone()
	}
	return out
}

func (k Kind) clone() Kind {
	k.Words, k.Stages = slices.Clone(k.Words), slices.Clone(k.Stages)
	return k
}

// KindNamed returns the kind of that name or word; case does not matter. It returns
// false when the table has none.
func KindNamed(word string) (Kind, bool) {
	word = fold(word)
	for _, k := range kinds() {
		if k.Name == word || slices.Contains(k.Words, word) {
			return k.clone(), true
		}
	}
	return Kind{}, false
}

func fold(word string) string { return strings.Join(strings.Fields(strings.ToLower(word)), " ") }

// Group is a number of like animals and what their need depends on. What is left 0 or
// empty is taken from the table; what does not matter for the kind is passed over.
type Group struct {
	Kind   string  // name or word of a Kind
	Stage  string  // name or word of one of its stages
	Heads  int     // 0 to a million
	Weight float64 // kg of one, today
	Weeks  float64 // age of birds that grow, today
	Young  int     // pigs at a sow; kids or lambs carried or at foot
	Milk   float64 // kg a day of one that is milked
	Fat    float64 // share of fat in it, 0.04 when 0
	// Lactation is the week since calving. With Milk it gives a cow's intake by formula.
	Lactation float64
	// Daily is what one head gets a day of the feed in question as this household feeds it,
	// kg as fed; above 0 it stands before the table and before any cold.
	Daily float64
}

// The most that a figure of a group may be, beyond which it is a slip.
const (
	mostHeads  = 1_000_000
	mostYoung  = 40
	mostWeight = 2000 // kg
	mostWeeks  = 52 * 40
	mostMilk   = 100 // kg a day
	mostDaily  = 200 // kg
)

// check returns ErrAmount or ErrShare for a group that cannot be.
func (g Group) check() error {
	for _, c := range []struct {
		what     string
		is, most float64
	}{
		{"kg of weight", g.Weight, mostWeight},
		{"weeks of age", g.Weeks, mostWeeks},
		{"kg of milk", g.Milk, mostMilk},
		{"weeks since calving", g.Lactation, mostWeeks},
		{"kg of feed a day", g.Daily, mostDaily},
		{"animals", float64(g.Heads), mostHeads},
		{"young", float64(g.Young), mostYoung},
	} {
		if !(c.is >= 0 && c.is <= c.most) {
			return fmt.Errorf("%w: %v %s, it must lie between 0 and %v", ErrAmount, c.is, c.what, c.most)
		}
	}
	if !(g.Fat >= 0 && g.Fat <= 1) {
		return fmt.Errorf("%w: fat %v", ErrShare, g.Fat)
	}
	return nil
}

// finite says whether f is a number, finite and not negative.
func finite(f float64) bool { return !math.IsNaN(f) && !math.IsInf(f, 0) && f >= 0 }
