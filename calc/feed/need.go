package feed

import (
	_ "embed"
	"fmt"
	"math"
	"slices"
)

//go:embed needs.csv
var needsCSV string

// Dry-matter shares by which a need in dry matter becomes one as fed, the middle of what
// extension feed tables print (hay 0.85 to 0.90, grain 0.88 to 0.90; from memory).
const (
	HayDry   = 0.88
	GrainDry = 0.89
)

// grainFrom is the litter from which each young one carried is worth a pound of grain
// (Univ. of Maryland Extension, Getting ready for lambing and kidding).
const grainFrom = 3

// The ways in which the table says a need.
const (
	perHead   = "head"   // kg as fed
	perWeight = "weight" // dry matter, share of body weight
	perMilk   = "milk"   // milk drunk, share of body weight
	perLitter = "litter" // a base and as much again for each young one
	perGrowth = "growth" // by age or weight, see growth.csv
	perLabel  = "label"
)

// stage is a row of the table of needs.
type stage struct {
	kind, name   string
	words        []string
	per          string
	feed         Band
	each         float64 // kg for each young one
	grain        float64 // share of the dry matter that is grain or pellets
	source, mark string
}

var stages = load(&needsCSV, func(r record) stage {
	return stage{
		kind: r["kind"], name: r["stage"], words: r.words("words"), per: r["per"],
		feed: r.band(), each: r.number("each") * pound, grain: r.number("grain"), source: r["source"], mark: r["mark"],
	}
})

func stagesOf(kind string) []string {
	var out []string
	for _, s := range stages() {
		if s.kind == kind && s.name != "" && !slices.Contains(out, s.name) {
			out = append(out, s.name)
		}
	}
	return out
}

// StageNamed returns the stage of a kind that a word means: "in milk" of a goat is
// "milking". No word means the first stage. It returns false when the kind has none such.
func StageNamed(kind, word string) (string, bool) {
	k, ok := KindNamed(kind)
	if !ok {
		return "", false
	}
	word = fold(word)
	for _, s := range stages() {
		if s.kind == k.Name && (word == "" || s.name == word || slices.Contains(s.words, word)) {
			return s.name, true
		}
	}
	return "", false
}

// settled is a group with its kind, its stage and its weight found.
type settled struct {
	Group
	stage stage
}

// settle looks a group up. ErrKind for a kind or a stage that is not there, ErrAmount
// for figures that cannot be.
func (g Group) settle() (settled, error) {
	if err := g.check(); err != nil {
		return settled{}, err
	}
	k, ok := KindNamed(g.Kind)
	if !ok {
		return settled{}, fmt.Errorf("%w: %q is not in the table", ErrKind, g.Kind)
	}
	name, ok := StageNamed(k.Name, g.Stage)
	if !ok {
		return settled{}, fmt.Errorf("%w: a %s has no stage %q", ErrKind, k.Name, g.Stage)
	}
	g.Kind, g.Stage = k.Name, name
	if g.Weight == 0 {
		g.Weight = k.Weight
	}
	return settled{g, g.row()}, nil
}

// row is the row of the table for the group, that of the litter where young are known.
func (g Group) row() stage {
	var out stage
	for _, s := range stages() {
		if s.kind != g.Kind || s.name != g.Stage || s.per == perLitter && g.Young == 0 {
			continue
		}
		out = s
	}
	return out
}

// Ration is what a group eats in a day.
type Ration struct {
	Group  Group   // with its kind, stage and weight as they were found
	Fed    Band    // kg as fed, all heads: Hay, Grain and Milk together, without what is wasted
	Hay    Band    // kg as fed
	Grain  Band    // kg as fed of grain, pellets or any other bought feed
	Milk   Band    // kg, of a calf
	Dry    Band    // kg of dry matter where the table counts in it, else 0
	Cold   float64 // share that the cold has added, 0.08 for 8 %
	Source string
	Mark   string
}

// Need returns what a group eats in a day: as the household feeds it where Group.Daily
// says so, else by the table and the weather. ErrKind, ErrLabel, ErrAmount, ErrShare.
func Need(g Group, w Weather) (Ration, error) {
	s, err := g.settle()
	if err != nil {
		return Ration{}, err
	}
	if err := w.check(); err != nil {
		return Ration{}, err
	}
	if g.Daily > 0 {
		return Ration{Group: s.Group, Fed: same(g.Daily * float64(g.Heads)), Source: "the household's own figure", Mark: "own"}, nil
	}
	if s.stage.per == perLabel {
		return Ration{}, fmt.Errorf("%w: a %s", ErrLabel, s.Kind)
	}
	r := s.one()
	r.Cold = s.cold(w)
	return r.times(float64(g.Heads) * (1 + r.Cold)), nil
}

// one is the ration of one head in mild weather.
func (s settled) one() Ration {
	r := Ration{Group: s.Group, Source: s.stage.source, Mark: s.stage.mark}
	switch s.stage.per {
	case perHead:
		r.Grain = s.stage.feed
	case perLitter:
		r.Grain = s.stage.feed.plus(same(s.stage.each * float64(s.Young)))
	case perMilk:
		r.Milk = s.stage.feed.times(s.Weight)
	case perGrowth:
		rate, seg := s.course().at(s.start())
		r.Grain, r.Source, r.Mark = same(rate), seg.source, seg.mark
	default:
		r.Dry = s.dry()
		r.Hay, r.Grain = s.split(r.Dry)
	}
	r.Fed = r.Hay.plus(r.Grain).plus(r.Milk)
	return r
}

// dry is the dry matter of one head: a cow's by the formula where her milk and the week
// are known.
func (s settled) dry() Band {
	if s.Kind == "cow" && s.stage.name == "milking" && s.Milk > 0 && s.Lactation > 0 {
		fat := s.Fat
		if fat == 0 {
			fat = 0.04
		}
		return same(CowDry(s.Weight, s.Milk, fat, s.Lactation))
	}
	return s.stage.feed.times(s.Weight)
}

// CowDry returns the dry matter in kg that a cow in milk eats a day: her weight in kg, kg
// of milk of so much fat (a share), week of lactation. NRC, Nutrient Requirements of Dairy
// Cattle, 7th ed. 2001, ch. 1 (from memory).
func CowDry(weight, milk, fat, week float64) float64 {
	corrected := 0.4*milk + 15*milk*fat // to 4 % fat
	return (0.372*corrected + 0.0968*math.Pow(weight, 0.75)) * (1 - math.Exp(-0.192*(week+3.67)))
}

// split parts dry matter into hay and grain as fed: by the table's share, or a pound of
// grain for each young one where there are three or more.
func (s settled) split(dry Band) (hay, grain Band) {
	grain = dry.times(s.stage.grain / GrainDry)
	if s.stage.each > 0 && s.Young >= grainFrom {
		grain = same(s.stage.each * float64(s.Young))
	}
	left := func(dry, grain float64) float64 { return math.Max(0, dry-grain*GrainDry) / HayDry }
	return Band{left(dry.Low, grain.Low), left(dry.Typical, grain.Typical), left(dry.High, grain.High)}, grain
}

func (r Ration) times(f float64) Ration {
	r.Fed, r.Hay, r.Grain, r.Milk, r.Dry = r.Fed.times(f), r.Hay.times(f), r.Grain.times(f), r.Milk.times(f), r.Dry.times(f)
	return r
}

// AsFed returns the mass of a feed with so much dry matter in it, kg from kg. ErrShare
// unless 0 < share <= 1.
func AsFed(dry, share float64) (float64, error) {
	if !finite(dry) {
		return 0, fmt.Errorf("%w: dry matter %v", ErrAmount, dry)
	}
	if !(share > 0 && share <= 1) {
		return 0, fmt.Errorf("%w: dry matter %v", ErrShare, share)
	}
	return dry / share, nil
}

// WithWaste returns what must be put out so that so much is eaten, kg from kg, where a
// share of it is wasted. ErrShare unless 0 <= waste < 1.
func WithWaste(eaten, waste float64) (float64, error) {
	if !finite(eaten) {
		return 0, fmt.Errorf("%w: eaten %v", ErrAmount, eaten)
	}
	if !(waste >= 0 && waste < 1) {
		return 0, fmt.Errorf("%w: waste %v", ErrShare, waste)
	}
	return eaten / (1 - waste), nil
}
