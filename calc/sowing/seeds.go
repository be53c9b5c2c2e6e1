package sowing

import (
	"errors"
	"fmt"
	"math"
	"sort"
)

// ErrFigure is returned for a figure out of its range, NaN and infinities among them.
var ErrFigure = errors.New("figure out of range")

// Limits of the seed counts.
const (
	MostPlants  = 1_000_000
	leastKept   = 0.001 // share of seeds that become plants
	mostPerCell = 100
)

// TestFirst is the germination below which a packet is tested before it is sown
// (common practice).
const TestFirst = 0.3

// SeedsFor returns the least number of seeds that give so many plants to keep with
// the assurance sure: exact binomial, each seed coming up with the given germination
// and a share cull of the seedlings discarded, independently. Plants are 1 to
// MostPlants, sure lies between 0 and 1, germination is above 0, cull below 1, and a
// thousandth of the seeds at least must be kept; else ErrFigure.
func SeedsFor(plants int, sure, germination, cull float64) (int, error) {
	if !within(germination, 0, 1) || !within(cull, 0, 1) {
		return 0, fmt.Errorf("germination %g, cull %g: %w", germination, cull, ErrFigure)
	}
	return trials(plants, sure, germination*(1-cull))
}

// CellsFor returns the cells to sow with perCell seeds each, thinned to one seedling,
// for so many plants. perCell is 1 to 100, the rest as SeedsFor.
func CellsFor(plants, perCell int, sure, germination float64) (int, error) {
	if perCell < 1 || perCell > mostPerCell || !within(germination, 0, 1) {
		return 0, fmt.Errorf("%d a cell, germination %g: %w", perCell, germination, ErrFigure)
	}
	return trials(plants, sure, -math.Expm1(float64(perCell)*math.Log1p(-germination)))
}

func trials(plants int, sure, p float64) (int, error) {
	if plants < 1 || plants > MostPlants {
		return 0, fmt.Errorf("%d plants: %w", plants, ErrFigure)
	}
	if !(sure > 0 && sure < 1) || !within(p, leastKept, 1) {
		return 0, fmt.Errorf("assurance %g, share kept %g: %w", sure, p, ErrFigure)
	}
	span := 1
	for Assured(plants+span, plants, p) < sure {
		span *= 2
	}
	return plants + sort.Search(span, func(i int) bool { return Assured(plants+i, plants, p) >= sure }), nil
}

// Assured returns the chance that n seeds, each a plant with chance p, give so many
// plants or more. It is 1 for no plants, 0 for more plants than seeds, and NaN when p
// is not 0 to 1 or n is negative.
func Assured(n, plants int, p float64) float64 {
	switch {
	case n < 0 || !within(p, 0, 1):
		return math.NaN()
	case plants <= 0:
		return 1
	case plants > n || p == 0:
		return 0
	case p == 1:
		return 1
	}
	if float64(plants) > float64(n)*p { // sum the smaller tail
		return tail(n, plants, p)
	}
	return 1 - tail(n, n-plants+1, 1-p)
}

// tail is P(X >= k), k above the mean, summed from the largest term down.
func tail(n, k int, p float64) float64 {
	term := math.Exp(logChoose(n, k) + float64(k)*math.Log(p) + float64(n-k)*math.Log1p(-p))
	sum, odds := 0.0, p/(1-p)
	for ; k <= n && term > sum*1e-18; k++ {
		sum += term
		term *= odds * float64(n-k) / float64(k+1)
	}
	return min(sum, 1)
}

func logChoose(n, k int) float64 {
	return logFactorial(n) - logFactorial(k) - logFactorial(n-k)
}

func logFactorial(n int) float64 {
	x, _ := math.Lgamma(float64(n) + 1)
	return x
}

// PerCell returns how many seeds go in a cell (common practice): one from 0.9 up, two
// from 0.6, three below; 0 when germination is not 0 to 1.
func PerCell(germination float64) int {
	switch {
	case !within(germination, 0, 1):
		return 0
	case germination >= 0.9:
		return 1
	case germination >= 0.6:
		return 2
	}
	return 3
}

// Aged returns the germination to reckon with of seed so many years old, kept cool and
// dry, life being the years it is good for (common practice): whole to half its life,
// nine tenths to the end of it, and 0.7 of that for each year more. NaN when
// germination is not 0 to 1, life not above 0 or age negative.
func Aged(germination, life, age float64) float64 {
	switch {
	case !within(germination, 0, 1) || !(life > 0) || math.IsInf(life, 0) || !(age >= 0) || math.IsInf(age, 0):
		return math.NaN()
	case age <= life/2:
		return germination
	case age <= life:
		return 0.9 * germination
	}
	return 0.9 * germination * math.Pow(0.7, age-life)
}
