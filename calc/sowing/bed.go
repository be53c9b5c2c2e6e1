package sowing

import (
	"fmt"
	"math"
)

const (
	mostBed  = 100_000 // cm
	nearly   = 1e-9    // a plant is not lost to rounding
	leastGap = 0.5     // cm
)

// InBed returns how many plants a bed of that width and length holds at one spacing
// both ways, in a square and in an offset pattern, half a spacing from the edges. All
// are cm, at most 1 km; spacing is 0.5 cm at least; else ErrFigure. In small beds the
// offset pattern may hold fewer.
func InBed(width, length, spacing float64) (square, offset int, err error) {
	if err := bedFigures(width, length, spacing, spacing); err != nil {
		return 0, 0, err
	}
	square = floor(width/spacing) * floor(length/spacing)
	if width < spacing || length < spacing {
		return square, 0, nil
	}
	rows := floor((width-spacing)/(spacing*math.Sqrt(3)/2)) + 1
	odd := floor(length / spacing)
	even := odd
	if length-float64(odd)*spacing < spacing/2-nearly {
		even--
	}
	return square, (rows+1)/2*odd + rows/2*even, nil
}

// InRows returns how many plants a bed holds in rows, with inRow between plants and
// rowGap between rows. All are cm, as for InBed.
func InRows(width, length, inRow, rowGap float64) (plants int, err error) {
	if err := bedFigures(width, length, inRow, rowGap); err != nil {
		return 0, err
	}
	return floor(length/inRow) * floor(width/rowGap), nil
}

func bedFigures(width, length, a, b float64) error {
	if !within(width, 0, mostBed) || !within(length, 0, mostBed) {
		return fmt.Errorf("bed of %g by %g cm: %w", width, length, ErrFigure)
	}
	if !within(a, leastGap, mostBed) || !within(b, leastGap, mostBed) {
		return fmt.Errorf("spacing of %g and %g cm: %w", a, b, ErrFigure)
	}
	return nil
}

func floor(x float64) int { return int(math.Floor(x + nearly)) }

// SeedsPerMetre returns the seeds to sow in a metre of row for plants at a spacing in
// cm (0.5 up), with a germination and a factor for losses in the field (0.7 to 0.9 is
// common practice), both above 0 and 1 at most; else ErrFigure.
func SeedsPerMetre(spacingCM, germination, factor float64) (float64, error) {
	if !within(spacingCM, leastGap, mostBed) {
		return 0, fmt.Errorf("spacing of %g cm: %w", spacingCM, ErrFigure)
	}
	if !within(germination, leastKept, 1) || !within(factor, leastKept, 1) {
		return 0, fmt.Errorf("germination %g, factor %g: %w", germination, factor, ErrFigure)
	}
	return 100 / spacingCM / (germination * factor), nil
}
