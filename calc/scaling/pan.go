package scaling

import (
	_ "embed"
	"fmt"
	"math"
	"strings"
	"sync"
)

//go:embed pans.csv
var pansCSV string

const (
	cmPerInch = 2.54          // exact, NIST Handbook 44 Appendix C
	mlPerCup  = 236.5882365   // exact, 1/16 US gallon of 231 in³, NIST Handbook 44 Appendix C
	maxPanCM  = 300           // no pan of a household is wider or deeper
	maxMl     = 4_000_000     // somewhat above MaxTeaspoons
	sameCM    = 0.4           // a size in inches and its usual name in centimetres differ by up to this
	rimCM     = 1 * cmPerInch // left free above a casserole (common practice)
)

// Pan is a pan's inside in centimetres. A round one has its diameter as Length
// and no Width (or the same again). Hole is the diameter of a ring's hole, 0 for
// none. Depth may be 0 where only the area is wanted. All are at most 300 cm.
type Pan struct {
	Round                      bool
	Length, Width, Depth, Hole float64
}

func (p Pan) check() error {
	if err := above("length", p.Length, maxPanCM); err != nil {
		return err
	}
	if err := inRange("depth", p.Depth, 0, maxPanCM); err != nil {
		return err
	}
	if p.Round {
		return p.checkRound()
	}
	if p.Hole != 0 {
		return fmt.Errorf("hole %g in a pan that is not round: %w", p.Hole, ErrRange)
	}
	return above("width", p.Width, maxPanCM)
}

func (p Pan) checkRound() error {
	if p.Width != 0 && p.Width != p.Length {
		return fmt.Errorf("width %g of a round pan of %g: %w", p.Width, p.Length, ErrRange)
	}
	if p.Hole >= 0 && p.Hole < p.Length {
		return nil
	}
	return fmt.Errorf("hole %g in a pan of %g: %w", p.Hole, p.Length, ErrRange)
}

// Area is the pan's area in cm²: length times width, or that of the circle less
// its hole (plane geometry).
func (p Pan) Area() (float64, error) {
	if err := p.check(); err != nil {
		return 0, err
	}
	if !p.Round {
		return p.Length * p.Width, nil
	}
	return math.Pi * (p.Length - p.Hole) * (p.Length + p.Hole) / 4, nil
}

// Volume is the pan's volume to the brim in millilitres, as if its sides were
// upright; a real one holds less, see PanCups. The depth must be known.
func (p Pan) Volume() (float64, error) {
	area, err := p.Area()
	if err != nil {
		return 0, err
	}
	if err := above("depth", p.Depth, maxPanCM); err != nil {
		return 0, err
	}
	return area * p.Depth, nil
}

// PanFactor is what to multiply a recipe for one pan with to fill another: by
// area where the depth should stay (cakes, bars, casseroles), by volume where it
// may change (soups, loaves). Common practice.
func PanFactor(from, to Pan, byVolume bool) (float64, error) {
	size := Pan.Area
	if byVolume {
		size = Pan.Volume
	}
	old, err := size(from)
	if err != nil {
		return 0, fmt.Errorf("from: %w", err)
	}
	wanted, err := size(to)
	if err != nil {
		return 0, fmt.Errorf("to: %w", err)
	}
	k := wanted / old
	if err := above("factor", k, MaxFactor); err != nil {
		return 0, err
	}
	return k, nil
}

// KnownPan is a row of the pan table.
type KnownPan struct {
	Name string
	// Pan is its size, and Sized says whether it has one: casseroles are known
	// by what they hold. The hole of a fluted tube is not known and left at 0.
	Pan   Pan
	Sized bool
	Tube  bool
	// From and To are the US cups to the brim by published charts, 0 when
	// there is none. They differ where charts do.
	From, To     float64
	Source, Mark string
}

// Pans returns the pan table in file order. It must not be changed.
var Pans = sync.OnceValue(func() []KnownPan {
	pans, err := readPans(pansCSV)
	if err != nil {
		panic(err) // the file is part of the program; TestPanTable reads it
	}
	return pans
})

func readPans(text string) ([]KnownPan, error) {
	rows, err := readTable(text, "name", "shape", "length_in", "width_in", "depth_in", "cups_from", "cups_to")
	if err != nil {
		return nil, fmt.Errorf("pan table: %w", err)
	}
	var out []KnownPan
	for _, row := range rows {
		p, err := readPan(row)
		if err != nil {
			return nil, fmt.Errorf("pan table, %q: %w", row[0], err)
		}
		out = append(out, p)
	}
	return out, nil
}

func readPan(row []string) (KnownPan, error) {
	f, err := figures(row[2:7])
	if err != nil {
		return KnownPan{}, err
	}
	if f[4] < f[3] {
		return KnownPan{}, fmt.Errorf("cups from %g to %g: %w", f[3], f[4], ErrRange)
	}
	p := KnownPan{Name: row[0], From: f[3], To: f[4], Source: row[7], Mark: row[8]}
	switch row[1] {
	case "none":
		return p, above("cups", p.From, maxMl)
	case "round", "rectangle", "tube":
		p.Sized, p.Tube = true, row[1] == "tube"
		p.Pan = Pan{Round: row[1] != "rectangle", Length: f[0] * cmPerInch, Width: f[1] * cmPerInch, Depth: f[2] * cmPerInch}
		_, err = p.Pan.Volume()
		return p, err
	}
	return KnownPan{}, fmt.Errorf("shape %q", row[1])
}

// PanCups returns the US cups that a pan holds to the brim: by geometry, and by
// published charts when one lists a pan of this size to within 4 mm. Charts give
// less, because sides slope and corners are round; where they disagree it is the
// least. Geometry is 0 for a pan that Volume refuses.
func PanCups(p Pan) (geometric, published float64, known bool) {
	ml, err := p.Volume()
	if err != nil {
		return 0, 0, false
	}
	geometric = ml / mlPerCup
	for _, row := range Pans() {
		if row.From > 0 && row.same(p) {
			return geometric, row.From, true
		}
	}
	return geometric, 0, false
}

func (k KnownPan) same(p Pan) bool {
	if !k.Sized || k.Pan.Round != p.Round || k.Tube != (p.Hole > 0) {
		return false
	}
	if !near(k.Pan.Depth, p.Depth) {
		return false
	}
	if p.Round {
		return near(k.Pan.Length, p.Length)
	}
	return near(k.Pan.Length, p.Length) && near(k.Pan.Width, p.Width) ||
		near(k.Pan.Length, p.Width) && near(k.Pan.Width, p.Length)
}

func near(a, b float64) bool { return math.Abs(a-b) <= sameCM }

// Vessel is what food is cooked in, for how far to fill it.
type Vessel int

// The vessels that Fill knows.
const (
	BatterPan       Vessel = iota // cake, quick bread, muffin
	Pot                           // soup, stew
	SlowCooker                    // electric, covered
	PressureCooker                // anything that does not foam
	PressureFoaming               // pressure cooker with beans, grains or what else foams
)

var vesselNames = [...]string{"batter pan", "pot", "slow cooker", "pressure cooker", "pressure cooker, foaming"}

// String is the vessel's name in lower case.
func (v Vessel) String() string {
	if v < 0 || int(v) >= len(vesselNames) {
		return "unknown vessel"
	}
	return vesselNames[v]
}

// Fill is the least and the most of a vessel's brim volume to fill, in the unit
// the volume is given in, at most 4,000,000. Common practice: batter 1/2 to 2/3,
// slow cooker 1/2 to 2/3, pot and pressure cooker to 2/3, foaming food under
// pressure to 1/2; the least is 0 where there is none.
func (v Vessel) Fill(volume float64) (least, most float64, err error) {
	if err := above("volume", volume, maxMl); err != nil {
		return 0, 0, err
	}
	switch v {
	case BatterPan, SlowCooker:
		return volume / 2, volume * 2 / 3, nil
	case Pot, PressureCooker:
		return 0, volume * 2 / 3, nil
	case PressureFoaming:
		return 0, volume / 2, nil
	}
	return 0, 0, fmt.Errorf("%s: %w", v, ErrRange)
}

// CasseroleFill is what a casserole dish takes in millilitres when it is filled
// to 1 inch below the rim (common practice). It has to be deeper than that.
func CasseroleFill(p Pan) (float64, error) {
	if err := inRange("depth", p.Depth, 0, maxPanCM); err != nil {
		return 0, err
	}
	p.Depth -= rimCM
	ml, err := p.Volume()
	if err != nil {
		return 0, fmt.Errorf("less the rim of %g cm: %w", rimCM, err)
	}
	return ml, nil
}

// PanNamed returns the row of the pan table of that name, in any case.
func PanNamed(name string) (KnownPan, bool) {
	for _, p := range Pans() {
		if strings.EqualFold(p.Name, name) {
			return p, true
		}
	}
	return KnownPan{}, false
}
