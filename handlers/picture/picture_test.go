package picture_test

import (
	"bytes"
	"image"
	"image/png"
	"math"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/handlers/picture"
)

// drying is a batch as a household has weighed it.
func drying() picture.Curve {
	return picture.Curve{
		Title: "Batch 3: drying", XLabel: "days since the pour", YLabel: "grams",
		Points: []picture.Point{{2, 1479.9}, {9, 1429.9}, {16, 1394.5}, {23, 1367.9}},
		Line:   func(day float64) float64 { return 1294.5 + 202.5*math.Exp(-day/22.5) },
		From:   0, To: 42,
		Mark: []picture.VLine{{31.3, "settles 7 Jan"}},
		Band: &[2]float64{28.4, 35.9},
	}
}

func drawn(t require.TestingT, c picture.Curve) (image.Image, []byte) {
	b, err := picture.Draw(c)
	require.NoError(t, err)
	img, err := png.Decode(bytes.NewReader(b))
	require.NoError(t, err)
	require.Equal(t, image.Rect(0, 0, picture.Width, picture.Height), img.Bounds())
	require.LessOrEqual(t, len(b), 60_000)
	return img, b
}

// dark says that a pixel is of the ink of dots and letters.
func dark(img image.Image, x, y int) bool {
	r, g, b, _ := img.At(x, y).RGBA()
	return r < 0x4000 && g < 0x4000 && b < 0x4000
}

// blots returns the middles of all round dark places of a dot's size.
func blots(img image.Image) []image.Point {
	var out []image.Point
	seen := map[image.Point]bool{}
	for y := range picture.Height {
		for x := range picture.Width {
			if seen[image.Pt(x, y)] || !dark(img, x, y) {
				continue
			}
			area, box := spread(img, image.Pt(x, y), seen)
			if area > 200 && box.Dx() > 15 && box.Dx() < 24 && box.Dy() > 15 && box.Dy() < 24 {
				out = append(out, box.Min.Add(box.Max).Div(2))
			}
		}
	}
	return out
}

// spread follows the dark pixels that hang together.
func spread(img image.Image, from image.Point, seen map[image.Point]bool) (area int, box image.Rectangle) {
	todo := []image.Point{from}
	seen[from] = true
	for len(todo) > 0 {
		p := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		area++
		box = box.Union(image.Rectangle{p, p.Add(image.Pt(1, 1))})
		for _, d := range []image.Point{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
			if q := p.Add(d); !seen[q] && q.In(img.Bounds()) && dark(img, q.X, q.Y) {
				seen[q] = true
				todo = append(todo, q)
			}
		}
	}
	return area, box
}

// TestDots: a dot for each point, to scale in both directions.
func TestDots(t *testing.T) {
	c := drying()
	img, _ := drawn(t, c)
	got := blots(img)
	require.Len(t, got, len(c.Points))
	toScale := func(v func(p picture.Point) float64, px func(p image.Point) int) {
		first, last := 0, len(got)-1
		unit := float64(px(got[last])-px(got[first])) / (v(c.Points[last]) - v(c.Points[first]))
		for i, p := range c.Points {
			want := float64(px(got[first])) + unit*(v(p)-v(c.Points[first]))
			require.InDelta(t, want, px(got[i]), 2)
		}
	}
	require.Less(t, got[0].X, got[3].X, "days run to the right")
	require.Less(t, got[0].Y, got[3].Y, "a falling weight falls")
	toScale(func(p picture.Point) float64 { return p.Day }, func(p image.Point) int { return p.X })
	toScale(func(p picture.Point) float64 { return p.Value }, func(p image.Point) int { return p.Y })
}

// changed returns the box of what differs between two pictures.
func changed(a, b image.Image) image.Rectangle {
	var box image.Rectangle
	for y := range picture.Height {
		for x := range picture.Width {
			if a.At(x, y) != b.At(x, y) {
				box = box.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return box
}

// TestParts: each part of a curve leaves its trace where it belongs.
func TestParts(t *testing.T) {
	all, _ := drawn(t, drying())
	without := func(f func(c *picture.Curve)) image.Rectangle {
		c := drying()
		f(&c)
		img, _ := drawn(t, c)
		return changed(all, img)
	}
	dots := blots(all)
	unit := float64(dots[3].X-dots[0].X) / 21
	x := func(day float64) float64 { return float64(dots[0].X) + unit*(day-2) }

	band := without(func(c *picture.Curve) { c.Band = nil })
	require.InDelta(t, x(28.4), band.Min.X, 3)
	require.InDelta(t, x(35.9), band.Max.X, 3)
	mark := without(func(c *picture.Curve) { c.Mark = nil })
	require.InDelta(t, x(31.3), mark.Min.X, 4)
	label := without(func(c *picture.Curve) { c.Mark[0].Label = "" })
	require.Greater(t, label.Dx(), 100)
	require.Greater(t, label.Dy(), 20)
	edge, atEdge := drying(), drying()
	edge.Mark[0].Day, atEdge.Mark[0] = 42, picture.VLine{Day: 42}
	a, _ := drawn(t, edge)
	b, _ := drawn(t, atEdge)
	require.InDelta(t, label.Dx(), changed(a, b).Dx(), 2, "a label is whole at the right edge too")
	title := without(func(c *picture.Curve) { c.Title = "" })
	require.Less(t, title.Max.Y, 90)
	require.Greater(t, title.Dy(), 25)
	days := without(func(c *picture.Curve) { c.XLabel = "" })
	require.Greater(t, days.Min.Y, picture.Height-80)
	require.False(t, without(func(c *picture.Curve) { c.YLabel = "" }).Empty())
	line := without(func(c *picture.Curve) { c.Line = func(float64) float64 { return 1300 } })
	require.Greater(t, line.Dx(), 700, "the curve runs from end to end")
}

// TestLineMeetsDots: a curve through the points is drawn through the dots' middles.
func TestLineMeetsDots(t *testing.T) {
	c := drying()
	c.Points = []picture.Point{{5, c.Line(5)}, {15, c.Line(15)}, {40, c.Line(40)}}
	img, _ := drawn(t, c)
	for _, p := range blots(img) {
		right, left := tinted(img, p.X+20, p.Y), tinted(img, p.X-20, p.Y)
		require.InDelta(t, p.Y, (right+left)/2, 4)
	}
}

// TestFrame: two axes, with numbers below the one and left of the other.
func TestFrame(t *testing.T) {
	img, _ := drawn(t, drying())
	rows, columns := map[int]int{}, map[int]int{}
	for y := range picture.Height {
		for x := range picture.Width {
			if dark(img, x, y) {
				rows[y]++
				columns[x]++
			}
		}
	}
	below, left := 0, 0
	for y, n := range rows {
		if n > 800 {
			below = max(below, y)
		}
	}
	for x, n := range columns {
		if n > 400 {
			left = max(left, x)
		}
	}
	require.Positive(t, below)
	require.Positive(t, left)
	ink := func(box image.Rectangle) (n int) {
		for y := box.Min.Y; y < box.Max.Y; y++ {
			for x := box.Min.X; x < box.Max.X; x++ {
				if dark(img, x, y) {
					n++
				}
			}
		}
		return n
	}
	require.Greater(t, ink(image.Rect(left, below+12, picture.Width, below+50)), 300, "days")
	require.Greater(t, ink(image.Rect(0, 200, left-6, below)), 600, "values")
}

// tinted returns the middle of the pixels of the curve's colour in a column, near y.
func tinted(img image.Image, x, y int) int {
	n, sum := 0, 0
	for at := y - 60; at < y+60; at++ {
		if r, g, _, _ := img.At(x, at).RGBA(); r < 0x5000 && g > 0x5800 {
			n++
			sum += at
		}
	}
	return sum / max(n, 1)
}

func TestSameBytes(t *testing.T) {
	_, want := drawn(t, drying())
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			got, err := picture.Draw(drying())
			if err != nil || !bytes.Equal(want, got) {
				t.Errorf("another picture: %v", err)
			}
		})
	}
	wg.Wait()
}

func TestRefuses(t *testing.T) {
	tests := map[string]func(c *picture.Curve){
		"no point":                  func(c *picture.Curve) { c.Points = nil },
		"one point":                 func(c *picture.Curve) { c.Points = c.Points[:1] },
		"a value that is none":      func(c *picture.Curve) { c.Points[1].Value = math.NaN() },
		"a value without end":       func(c *picture.Curve) { c.Points[1].Value = math.Inf(-1) },
		"a day that is none":        func(c *picture.Curve) { c.Points[1].Day = math.NaN() },
		"a curve that is none":      func(c *picture.Curve) { c.Line = func(float64) float64 { return math.NaN() } },
		"a curve without end":       func(c *picture.Curve) { c.Line = func(d float64) float64 { return 1 / (d - d) } },
		"a start that is none":      func(c *picture.Curve) { c.From = math.NaN() },
		"an end that is far":        func(c *picture.Curve) { c.To = math.Inf(1) },
		"a mark that is none":       func(c *picture.Curve) { c.Mark[0].Day = math.NaN() },
		"a band that is none":       func(c *picture.Curve) { c.Band[0] = math.NaN() },
		"a band from late to early": func(c *picture.Curve) { c.Band[0] = 40 },
		"all of one day": func(c *picture.Curve) {
			*c = picture.Curve{Points: []picture.Point{{2, 1}, {2, 3}}}
		},
	}
	for name, spoil := range tests {
		t.Run(name, func(t *testing.T) {
			c := drying()
			spoil(&c)
			b, err := picture.Draw(c)
			require.ErrorIs(t, err, picture.ErrCurve)
			require.Nil(t, b)
		})
	}
}

// TestOddButFine: what a chat may well ask for.
func TestOddButFine(t *testing.T) {
	tests := map[string]func(c *picture.Curve){
		"a band without end":  func(c *picture.Curve) { c.Band[1] = math.Inf(1) },
		"a band out of sight": func(c *picture.Curve) { *c.Band = [2]float64{900, 1000} },
		"no curve":            func(c *picture.Curve) { c.Line = nil },
		"all alike":           func(c *picture.Curve) { c.Line = nil; c.Points = []picture.Point{{1, 5}, {2, 5}} },
		"a long title":        func(c *picture.Curve) { c.Title = strings.Repeat("lavender and oats ", 900) },
		"other alphabets":     func(c *picture.Curve) { c.Title = "Мыло\nσαπούνι 🧼 \xff\x00" },
		"many marks": func(c *picture.Curve) {
			c.Mark = nil
			for i := range 40 {
				c.Mark = append(c.Mark, picture.VLine{Day: float64(i), Label: "turn"})
			}
		},
		"a mark at the right edge": func(c *picture.Curve) { c.Mark[0].Day = 42 },
	}
	for name, change := range tests {
		t.Run(name, func(t *testing.T) {
			c := drying()
			change(&c)
			drawn(t, c)
		})
	}
}

// TestAnyCurve: nothing that passes the checks panics or fails.
func TestAnyCurve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 6).Draw(t, "points")
		size := math.Pow(10, rapid.Float64Range(-8, 12).Draw(t, "size"))
		c := picture.Curve{Title: rapid.String().Draw(t, "title")}
		for range n {
			c.Points = append(c.Points, picture.Point{
				Day:   rapid.Float64Range(-1000, 1000).Draw(t, "day"),
				Value: rapid.Float64Range(-1, 1).Draw(t, "value") * size,
			})
		}
		c.From, c.To = -1, 1
		drawn(t, c)
	})
}

func BenchmarkDraw(b *testing.B) {
	for b.Loop() {
		if _, err := picture.Draw(drying()); err != nil {
			b.Fatal(err)
		}
	}
}
