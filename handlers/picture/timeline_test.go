package picture_test

import (
	"bytes"
	"image/png"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/handlers/picture"
)

func season() picture.Timeline {
	return picture.Timeline{
		Title: "The season", From: 0, To: 270, Months: []picture.VLine{{Day: 0, Label: "Feb"}, {Day: 28, Label: "Mar"}, {Day: 59, Label: "Apr"}},
		Cold: [][2]float64{{0, 117}, {236, 270}}, Today: picture.VLine{Day: 60, Label: "today"},
		Rows: []picture.Row{
			{Label: "tomato", Bars: []picture.Bar{{From: 61, To: 114, Stage: picture.UnderCover}, {From: 114, To: 124, Stage: picture.Hardening}, {From: 124, To: 236, Stage: picture.Outside}, {From: 180, To: 236, Stage: picture.Harvest}}},
			{Label: "a crop with a name that is much too long for its column", Bars: []picture.Bar{{From: 90, To: 90, Stage: picture.Outside}}},
		},
	}
}

// TestTimeline: the bars lie where their days are, in the colours of their stages, on
// ground that is shaded where it is cold.
func TestTimeline(t *testing.T) {
	body, err := picture.DrawTimeline(season())
	require.NoError(t, err)
	img, err := png.Decode(bytes.NewReader(body))
	require.NoError(t, err)
	require.Equal(t, picture.Width, img.Bounds().Dx())
	at := func(day, row float64) [3]uint32 {
		left := 286.0 + (picture.Width-36-286)*day/270
		r, g, b, _ := img.At(int(left), int(150+50*row+25)).RGBA()
		return [3]uint32{r >> 8, g >> 8, b >> 8}
	}
	require.Equal(t, at(70, 0), at(100, 0), "one bar, one colour")
	colours := map[[3]uint32]string{}
	for day, what := range map[float64]string{100: "under cover", 119: "hardening", 150: "outside", 200: "picking", 30: "cold"} {
		other, seen := colours[at(day, 0)]
		require.False(t, seen, "%s looks like %s", what, other)
		colours[at(day, 0)] = what
	}
	require.NotEqual(t, at(30, 1), at(150, 1), "cold ground is shaded")
	require.Less(t, len(body), 40_000)

	order, err := picture.OrderTimeline(season())
	require.NoError(t, err)
	later, err := picture.Render(order)
	require.NoError(t, err)
	require.Equal(t, body, later)
}

func TestTimelineRefuses(t *testing.T) {
	for name, spoil := range map[string]func(*picture.Timeline){
		"no rows":   func(s *picture.Timeline) { s.Rows = nil },
		"many rows": func(s *picture.Timeline) { s.Rows = make([]picture.Row, 17) },
		"no width":  func(s *picture.Timeline) { s.To = s.From },
		"no number": func(s *picture.Timeline) { s.From = math.NaN() },
		"a bar":     func(s *picture.Timeline) { s.Rows[0].Bars[0].To = math.Inf(1) },
		"a stage":   func(s *picture.Timeline) { s.Rows[0].Bars[0].Stage = 9 },
	} {
		s := season()
		spoil(&s)
		_, err := picture.DrawTimeline(s)
		require.ErrorIs(t, err, picture.ErrTimeline, name)
		_, err = picture.OrderTimeline(s)
		require.ErrorIs(t, err, picture.ErrTimeline, name)
	}
}
