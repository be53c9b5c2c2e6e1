package picture_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/handlers/picture"
)

// TestOrderDrawsTheSame: what is drawn later looks as it would have at once, but
// for the line's straight pieces; a straight line has none.
func TestOrderDrawsTheSame(t *testing.T) {
	c := picture.Curve{
		Title: "Batch 1", Points: []picture.Point{{Day: 7, Value: 1655}, {Day: 14, Value: 1590}, {Day: 21, Value: 1562}},
		Line: func(day float64) float64 { return 1700 - 6*day }, To: 42, Mark: []picture.VLine{{Day: 36, Label: "dry 6 Apr"}}, Band: &[2]float64{33, math.Inf(1)},
	}
	now, err := picture.Draw(c)
	require.NoError(t, err)
	order, err := picture.Order(c)
	require.NoError(t, err)
	later, err := picture.Render(order)
	require.NoError(t, err)
	require.Equal(t, now, later)
}

func TestOrderRefuses(t *testing.T) {
	_, err := picture.Order(picture.Curve{})
	require.ErrorIs(t, err, picture.ErrCurve)
	for _, text := range []string{"", "{", "null", `{"Curve":{"Points":[{"Day":1}]}}`} {
		_, err := picture.Render([]byte(text))
		require.Error(t, err, text)
	}
}
