package safety

import "fmt"

// CanningRefer is where every question about a canning process goes. This package
// gives no process times.
const CanningRefer = "Processing times: the USDA Complete Guide to Home Canning (AIB 539) or the state extension service, by product, jar size, pack and altitude. They are never computed or adapted."

const foot = 0.3048 // m

// Gauge is the pressure of a canner at a height, for products whose table is written
// for 11 psi (dial) or 10 psi (weighted) at sea level.
type Gauge struct {
	DialPSI, WeightedPSI int
	Note, Source, Mark   string
}

// dialSteps are the heights in feet up to which a dial gauge setting holds.
var dialSteps = []struct {
	ft  float64
	psi int
}{{2000, 11}, {4000, 12}, {6000, 13}, {8000, 14}}

// Canner returns the gauge settings at that height in metres above the sea: facts of
// the official guide, not a process. ErrHeight below 0, above 8,000 ft (2438.4 m),
// where the guide has no setting, and for a height that is not a number.
func Canner(heightM float64) (Gauge, error) {
	if !(heightM >= 0) {
		return Gauge{}, fmt.Errorf("%w: %v m", ErrHeight, heightM)
	}
	for _, s := range dialSteps {
		if heightM > s.ft*foot {
			continue
		}
		g := Gauge{
			DialPSI: s.psi, WeightedPSI: 15, Note: CanningRefer,
			Source: "USDA Complete Guide to Home Canning; university extension",
			Mark:   "dial 11 psi and weighted gauge verified; dial 12 to 14 psi from memory",
		}
		if heightM <= 1000*foot {
			g.WeightedPSI = 10
		}
		return g, nil
	}
	return Gauge{}, fmt.Errorf("%w: %v m; the guide's settings end at 8,000 ft (2438 m)", ErrHeight, heightM)
}
