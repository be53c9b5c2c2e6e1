// Package sowing counts a garden's dates from its frosts: when a crop is started,
// hardened, set out and sown, whether it ripens in the season, how many seeds it
// takes, how long they need to come up, and what a cold night does to it.
// Temperatures are °C, lengths cm (depths mm), shares 0 to 1; dates are midnights
// in UTC, and the caller says which day it is.
//
// The tables name their sources by short codes:
//
//	CP    common practice
//	CSU   Colorado State University Extension, CMG GardenNotes 720
//	FSA   US Federal Seed Act regulations, 7 CFR 201.29 and 201.31
//	HM54  Harrington and Minges, Vegetable Seed Germination, Univ. of California, 1954
//	ISU   Iowa State University Extension, Horticulture and Home Pest News
//	K     Maynard and Hochmuth, Knott's Handbook for Vegetable Growers, 4th ed. 1997
//	NCSU  Peet, Sustainable Practices for Vegetable Production in the South
//	TAMU  Texas A&M AgriLife, Aggie Horticulture
//	UCMG  Univ. of California Master Gardeners of Sonoma County
//	UD    Univ. of Delaware, Weekly Crop Update
//	UMN   University of Minnesota Extension
//	VCE   Virginia Cooperative Extension
package sowing

import (
	_ "embed"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
)

//go:embed crops.csv
var cropsCSV string

// ErrCrop is returned for a crop whose figures cannot be true.
var ErrCrop = errors.New("crop")

// Weeks is a number of weeks that may be unknown. Those before the last frost count
// back; those relative to it are signed, negative before.
type Weeks struct {
	N     float64
	Known bool
}

// days is the same in whole days, 0 when unknown.
func (w Weeks) days() int {
	if !w.Known {
		return 0
	}
	return int(math.Round(7 * w.N))
}

// Method is how a crop is begun.
type Method uint8

// The methods.
const (
	Indoor Method = iota // started under cover and set out
	Direct               // sown or planted where it grows
	Either               // both ways serve
)

// String returns the word of the table: indoor, direct or either.
func (m Method) String() string { return word(methods, int(m)) }

// Hardiness is what cold a crop stands.
type Hardiness uint8

// The groups, hardiest first.
const (
	Hardy      Hardiness = iota // stands frost
	HalfHardy                   // stands a light frost
	Tender                      // killed by frost
	VeryTender                  // harmed by cold above freezing
)

// String returns the word of the table: hardy, half-hardy, tender or very tender.
func (h Hardiness) String() string { return word(hardinesses, int(h)) }

var (
	methods     = []string{"indoor", "direct", "either"}
	hardinesses = []string{"hardy", "half-hardy", "tender", "very tender"}
)

func word(words []string, i int) string {
	if i < 0 || i >= len(words) {
		return "unknown"
	}
	return words[i]
}

// Crop is one crop's figures, a plain value: a household changes those of a copy for
// its own variety and keeps the Name, by which the other tables are found.
type Crop struct {
	Name      string
	Family    string // botanical
	Method    Method
	Hardiness Hardiness

	StartMin   Weeks // before the last frost, the later end of the window
	StartMax   Weeks // before the last frost, the earlier end
	Transplant Weeks // setting out, after the last frost (negative: before)
	Direct     Weeks // sowing outdoors, the same way; unknown for a Direct crop: planted after the first frost

	MaturityMin    int  // days to the first harvest, quick varieties
	MaturityMax    int  // slow ones
	FromTransplant bool // days count from setting out, not from sowing

	MinSoil float64 // °C, below which the seed does not come up
	OptSoil float64
	MaxSoil float64

	Depth  float64 // mm
	InRow  float64 // cm between plants
	RowGap float64 // cm between rows

	Germination float64 // share, 0..1; 0 for what is not grown from seed (cloves, tubers, slips)
	SeedLife    float64 // years, kept cool and dry; 0 as above

	Light      string // needs light to come up: yes, no or either
	BottomHeat bool
	Autumn     bool   // worth sowing for an autumn crop
	DayLength  string // what the length of the day does
	Source     string // short codes of the package comment
	Mark       string // which figures were verified and which are from memory
}

var table = sync.OnceValue(func() []Crop {
	crops, err := readCrops(cropsCSV)
	if err != nil {
		panic(err) // the file is part of the program; TestCropTable reads it
	}
	return crops
})

// Crops returns a copy of the table in file order.
func Crops() []Crop { return slices.Clone(table()) }

// Named returns the crop of that exact table name.
func Named(name string) (Crop, bool) {
	i := slices.IndexFunc(table(), func(c Crop) bool { return c.Name == name })
	if i < 0 {
		return Crop{}, false
	}
	return table()[i], true
}

// Check says what in the crop cannot be true; the error wraps ErrCrop.
func (c Crop) Check() error {
	if c.Name == "" {
		return fmt.Errorf("%w without a name", ErrCrop)
	}
	for _, check := range []func(Crop) string{wrongKind, wrongWeeks, wrongDays, wrongSoil, wrongRoom, wrongSeed} {
		if what := check(c); what != "" {
			return fmt.Errorf("%w %s: %s", ErrCrop, c.Name, what)
		}
	}
	return nil
}

func wrongKind(c Crop) string {
	if c.Method > Either {
		return "no such method"
	}
	if c.Hardiness > VeryTender {
		return "no such hardiness"
	}
	return ""
}

func wrongWeeks(c Crop) string {
	for _, w := range []Weeks{c.StartMin, c.StartMax, c.Transplant, c.Direct} {
		if w.Known && !within(w.N, -60, 60) {
			return "weeks must lie within 60 of the last frost"
		}
	}
	if c.Method == Either && !c.Direct.Known {
		return "the week of sowing outdoors is missing"
	}
	if c.Method == Direct {
		return ""
	}
	if !c.StartMin.Known || !c.StartMax.Known || !c.Transplant.Known {
		return "the weeks of starting and setting out are missing"
	}
	if c.StartMin.N > c.StartMax.N {
		return "the least weeks before the frost are more than the most"
	}
	if c.StartMin.days()+c.Transplant.days() < 1 {
		return "it would be set out before it is sown"
	}
	return ""
}

func wrongDays(c Crop) string {
	if c.MaturityMin < 1 || c.MaturityMax > 5000 {
		return "days to maturity must be 1 to 5000"
	}
	if c.MaturityMin > c.MaturityMax {
		return "the least days to maturity are more than the most"
	}
	if c.FromTransplant && c.Method == Direct {
		return "days count from setting out, yet it is not set out"
	}
	return ""
}

func wrongSoil(c Crop) string {
	for _, t := range []float64{c.MinSoil, c.OptSoil, c.MaxSoil} {
		if !within(t, -5, 60) {
			return "soil temperatures must be -5 to 60 °C"
		}
	}
	if c.MinSoil > c.OptSoil || c.OptSoil > c.MaxSoil {
		return "soil temperatures must rise from least to best to most"
	}
	return ""
}

func wrongRoom(c Crop) string {
	if !within(c.Depth, 0, 500) {
		return "depth must be 0 to 500 mm"
	}
	for _, cm := range []float64{c.InRow, c.RowGap} {
		if !within(cm, 0.5, 2000) {
			return "spacing must be 0.5 to 2000 cm"
		}
	}
	return ""
}

func wrongSeed(c Crop) string {
	if !within(c.Germination, 0, 1) {
		return "germination must be 0 to 1"
	}
	if !within(c.SeedLife, 0, 100) {
		return "seed life must be 0 to 100 years"
	}
	return ""
}

// within is false for NaN.
func within(x, low, high float64) bool { return x >= low && x <= high }

// seedless is true for what is planted as cloves, tubers or slips.
func (c Crop) seedless() bool { return c.Germination == 0 }

// afterFrost is true for what is planted when the first frost is past: garlic.
func (c Crop) afterFrost() bool { return c.Method == Direct && !c.Direct.Known }

// lasting is true for a perennial from seed, cropped in later years.
func (c Crop) lasting() bool { return c.MaturityMin >= 360 }

// Resents is true for a crop whose roots resent moving (common practice).
func (c Crop) Resents() bool {
	return c.Family == "Cucurbitaceae" || c.Family == "Fabaceae" ||
		slices.Contains([]string{"dill", "nasturtium", "sunflower"}, c.Name)
}

// check is the days that moving costs a cucurbit (common practice).
func (c Crop) check() int {
	if c.Family == "Cucurbitaceae" && !c.FromTransplant {
		return 7
	}
	return 0
}

// Youngest is the least age in days at which a seedling is set out, 0 for what is sown
// where it grows.
func (c Crop) Youngest() int {
	if c.Method == Direct {
		return 0
	}
	return c.youngest()
}

// youngest is the least age for setting out and age the usual one, in days.
func (c Crop) youngest() int { return c.StartMin.days() + c.Transplant.days() }

func (c Crop) age() int {
	return (c.StartMin.days()+c.StartMax.days())/2 + c.Transplant.days()
}

func readCrops(text string) ([]Crop, error) {
	rows, err := rowsOf("crop table", text)
	if err != nil {
		return nil, err
	}
	crops := make([]Crop, 0, len(rows))
	for _, r := range rows {
		c := readCrop(&r)
		if r.err != nil {
			return nil, fmt.Errorf("crop table: %s: %w", c.Name, r.err)
		}
		if err := c.Check(); err != nil {
			return nil, fmt.Errorf("crop table: %w", err)
		}
		crops = append(crops, c)
	}
	return crops, nil
}

func readCrop(r *record) Crop {
	return Crop{
		Name: r.text("crop"), Family: r.text("family"),
		Method:      Method(r.choice("method", methods)),
		Hardiness:   Hardiness(r.choice("hardiness", hardinesses)),
		StartMin:    r.weeks("start_weeks_before_last_frost_min"),
		StartMax:    r.weeks("start_weeks_before_last_frost_max"),
		Transplant:  r.weeks("transplant_weeks_rel_last_frost"),
		Direct:      r.weeks("direct_sow_weeks_rel_last_frost"),
		MaturityMin: int(r.number("days_to_maturity_min")), MaturityMax: int(r.number("days_to_maturity_max")),
		FromTransplant: r.choice("counted_from", []string{"sow", "transplant"}) == 1,
		MinSoil:        r.number("min_soil_C"), OptSoil: r.number("opt_soil_C"), MaxSoil: r.number("max_soil_C"),
		Depth: r.number("sow_depth_mm"), InRow: r.number("in_row_spacing_cm"), RowGap: r.number("row_spacing_cm"),
		Germination: r.number("typical_germination_pct") / 100, SeedLife: r.number("seed_life_years"),
		Light: r.text("light_needed"), BottomHeat: r.yes("bottom_heat"), Autumn: r.yes("fall_crop"),
		DayLength: r.text("daylength_class"), Source: r.text("source"), Mark: r.text("mark"),
	}
}

// record is one row of a table by column name; the first fault stays in err.
type record struct {
	cells map[string]string
	err   error
}

func rowsOf(what, text string) ([]record, error) {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	if len(rows) < 2 {
		return nil, fmt.Errorf("%s: no rows", what)
	}
	out := make([]record, 0, len(rows)-1)
	for _, row := range rows[1:] {
		cells := map[string]string{}
		for i, name := range rows[0] {
			cells[name] = row[i]
		}
		out = append(out, record{cells: cells})
	}
	return out, nil
}

func (r *record) text(name string) string {
	cell, ok := r.cells[name]
	if !ok {
		r.fail(fmt.Errorf("no column %s", name))
	}
	return cell
}

// number reads a blank as 0.
func (r *record) number(name string) float64 {
	cell := r.text(name)
	if cell == "" {
		return 0
	}
	x, err := strconv.ParseFloat(cell, 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		r.fail(fmt.Errorf("%s is not a number: %q", name, cell))
		return 0
	}
	return x
}

func (r *record) weeks(name string) Weeks {
	return Weeks{N: r.number(name), Known: r.text(name) != ""}
}

func (r *record) yes(name string) bool { return r.choice(name, []string{"no", "yes"}) == 1 }

func (r *record) choice(name string, words []string) int {
	i := slices.Index(words, r.text(name))
	if i < 0 {
		r.fail(fmt.Errorf("%s: %q is none of %s", name, r.text(name), strings.Join(words, ", ")))
		return 0
	}
	return i
}

func (r *record) fail(err error) {
	if r.err == nil {
		r.err = err
	}
}
