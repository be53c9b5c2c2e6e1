package soap

import (
	"fmt"
	"math"

	"yardbell/calc/lye"
)

// ownMark marks a fat whose figure is the household's own.
const ownMark = "the household's own figure"

// sayOwn writes a fat's own range.
func sayOwn(f lye.Fat) string {
	if f.Min == f.Max {
		return fmt.Sprintf("%.4g mg/g", f.Typical)
	}
	return fmt.Sprintf("%.4g to %.4g mg/g", f.Min, f.Max)
}

// ceil rounds a share up to a tenth of a percent.
func ceil(share float64) float64 { return math.Ceil(share*1000-1e-9) / 1000 }
