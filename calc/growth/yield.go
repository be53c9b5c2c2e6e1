package growth

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
)

var (
	//go:embed dressing.csv
	dressingCSV string
	//go:embed rendering.csv
	renderingCSV string
	//go:embed pigfat.csv
	pigFatCSV string
)

// Band is a usual value between a low and a high one; what they measure is said where
// it is returned.
type Band struct{ Low, Typical, High float64 }

// times is a band of shares of a band of weights.
func (b Band) times(c Band) Band { return Band{b.Low * c.Low, b.Typical * c.Typical, b.High * c.High} }

func (b Band) plus(c Band) Band { return Band{b.Low + c.Low, b.Typical + c.Typical, b.High + c.High} }

func exactly(x float64) Band { return Band{x, x, x} }

// Share is one row of the tables of dressing and rendering: what becomes of a weight,
// as shares 0 to 1.
type Share struct {
	Name   string
	Words  []string
	Of     Band
	Note   string
	Source string
	Mark   string
}

var (
	dressings  = load("dressing.csv", &dressingCSV, shareOf("kind"))
	renderings = load("rendering.csv", &renderingCSV, shareOf("fat"))
)

func shareOf(name string) func(*record) Share {
	return func(r *record) Share {
		return Share{
			Name: r.needed(name), Words: r.list("words"), Of: r.band(),
			Note: r.cells["note"], Source: r.needed("source"), Mark: r.needed("mark"),
		}
	}
}

// band reads three shares that rise.
func (r *record) band() Band {
	b := Band{r.number("low"), r.number("typical"), r.number("high")}
	if !(b.Low > 0 && b.Low <= b.Typical && b.Typical <= b.High && b.High <= 1) {
		r.fail("shares must rise from low to high within 0 and 1: %v", b)
	}
	return b
}

// Dressings returns the shares of the hot carcass in the live weight.
func Dressings() []Share { return slices.Clone(dressings()) }

// Renderings returns the shares of rendered lard or tallow in the raw fat.
func Renderings() []Share { return slices.Clone(renderings()) }

// DressingOf returns the row that a word names ("hog", "steer", "lamb").
func DressingOf(word string) (Share, bool) { return named(dressings(), word) }

// RenderingOf returns the row that words name ("leaf fat", "suet", "trimmings").
func RenderingOf(word string) (Share, bool) { return named(renderings(), word) }

func named(list []Share, word string) (Share, bool) {
	word = strings.ToLower(strings.TrimSpace(word))
	i := slices.IndexFunc(list, func(s Share) bool { return s.Name == word || slices.Contains(s.Words, word) })
	if i < 0 {
		return Share{}, false
	}
	return list[i], true
}

// Carcass returns the hot carcass of a live weight, in the unit of the weight. The
// error wraps ErrKind or ErrWeighing.
func Carcass(word string, live float64) (Band, error) {
	s, ok := DressingOf(word)
	if !ok {
		return Band{}, fmt.Errorf("%w: no dressing figure for %q", ErrKind, word)
	}
	return s.From(live)
}

// Rendered returns the lard or tallow that raw fat gives, in the unit of the weight.
// Weigh your own batches and keep your own share. The error wraps ErrKind or
// ErrWeighing.
func Rendered(fat string, raw float64) (Band, error) {
	s, ok := RenderingOf(fat)
	if !ok {
		return Band{}, fmt.Errorf("%w: no rendering figure for %q; there is one for leaf fat, back fat, trimmings and suet", ErrKind, fat)
	}
	return s.From(raw)
}

// From returns the share of a weight, in its unit. The error wraps ErrWeighing.
func (s Share) From(weight float64) (Band, error) {
	if !(weight > 0 && weight <= 5000) {
		return Band{}, fmt.Errorf("%w: want a weight above 0 and at most 5000", ErrWeighing)
	}
	return s.Of.times(exactly(weight)), nil
}

// PigYield is what a pig gives, in the unit of its live weight.
type PigYield struct {
	Carcass Band
	Cuts    Band // cut and wrapped, bone in
	Fat     Band // back and leaf fat, raw
	Lard    Band // rendered of it
}

// cutShare is what is cut and wrapped of a carcass: 144 of 180 lb in a US hog-yield
// brochure, 140 of 184 lb at the Univ. of Kentucky; the low end is common practice.
var cutShare = Band{0.72, 0.78, 0.80}

type pigFat struct {
	kind, part string
	of         Band
}

var pigFats = load("pigfat.csv", &pigFatCSV, func(r *record) pigFat {
	r.needed("source")
	r.needed("mark")
	return pigFat{r.needed("type"), r.needed("part"), r.band()}
})

// Pig returns the way from a live weight to lard, for a lean pig of today or for one
// of the old lard types, which carry two to three times the fat. The breed and the
// feeding decide: it is a rough figure. The error wraps ErrWeighing.
func Pig(live float64, lardType bool) (PigYield, error) {
	carcass, err := Carcass("pig", live)
	if err != nil {
		return PigYield{}, err
	}
	y := PigYield{Carcass: carcass, Cuts: carcass.times(cutShare)}
	kind := "lean"
	if lardType {
		kind = "lard"
	}
	for _, p := range pigFats() {
		if p.kind != kind {
			continue
		}
		fat := carcass.times(p.of)
		share, _ := RenderingOf(p.part)
		y.Fat = y.Fat.plus(fat)
		y.Lard = y.Lard.plus(fat.times(share.Of))
	}
	return y, nil
}
