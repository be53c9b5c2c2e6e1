package picture

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

var (
	white  = color.RGBA{255, 255, 255, 255}
	ink    = color.RGBA{24, 32, 44, 255}
	faint  = color.RGBA{214, 218, 224, 255}
	shade  = color.RGBA{250, 232, 200, 255}
	stroke = color.RGBA{20, 104, 110, 255}
	signal = color.RGBA{168, 62, 20, 255}
	amber  = color.RGBA{226, 164, 44, 255}
	leaf   = color.RGBA{104, 158, 72, 255}
	chill  = color.RGBA{220, 230, 243, 255}
)

// Sizes in pixels. A phone shows the picture at about a third of its width.
const (
	letters = 30.0
	heading = 38.0
	margin  = 36.0
	top     = 136.0 // of the field of the curve
	bottom  = Height - 110.0
	dot     = 10.0
	gap     = 12.0
)

// typeface is read when first needed: a program that draws nothing pays nothing.
var typeface = sync.OnceValues(func() (*opentype.Font, error) { return opentype.Parse(goregular.TTF) })

// sheet is a picture being drawn.
type sheet struct {
	img         *image.RGBA
	plain, head font.Face // not safe for two pictures at once, hence of one sheet
	x, y        axis
}

func newSheet(c Curve, line []Point) (*sheet, error) {
	f, err := typeface()
	if err != nil {
		return nil, fmt.Errorf("typeface: %w", err)
	}
	s := &sheet{img: image.NewRGBA(image.Rect(0, 0, Width, Height))}
	draw.Draw(s.img, s.img.Bounds(), image.NewUniform(white), image.Point{}, draw.Src)
	if s.plain, err = face(f, letters); err != nil {
		return nil, err
	}
	if s.head, err = face(f, heading); err != nil {
		return nil, err
	}
	s.lay(c, line)
	return s, nil
}

func face(f *opentype.Font, size float64) (font.Face, error) {
	out, err := opentype.NewFace(f, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		return nil, fmt.Errorf("typeface: %w", err)
	}
	return out, nil
}

// lay sets the axes: the values' range widened to round numbers, the days as asked.
func (s *sheet) lay(c Curve, line []Point) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, ps := range [][]Point{c.Points, line} {
		for _, p := range ps {
			low, high = min(low, p.Value), max(high, p.Value)
		}
	}
	s.y = widened(low, high, 6)
	s.y.a, s.y.b = bottom, top
	left := 0.0
	for _, v := range s.y.ticks() {
		left = max(left, width(s.plain, s.y.label(v)))
	}
	from, to := c.days()
	room := (to - from) / 50 // so that no dot lies on the frame
	s.x = axis{low: from - room, high: to + room, a: margin + left + gap, b: Width - margin, step: roundStep(to-from, 8)}
}

// axes draws the grid, the numbers and the frame's two sides.
func (s *sheet) axes() {
	for _, v := range s.y.ticks() {
		y := s.y.at(v)
		s.segment(s.x.a, y, s.x.b, y, 2, faint)
		label := s.y.label(v)
		s.write(s.plain, s.x.a-gap-width(s.plain, label), y+letters/3, label, ink)
	}
	for _, v := range s.x.ticks() {
		x := s.x.at(v)
		s.segment(x, bottom, x, bottom+10, 3, ink)
		label := s.x.label(v)
		s.write(s.plain, x-width(s.plain, label)/2, bottom+gap+letters, label, ink)
	}
	s.segment(s.x.a, bottom, s.x.b, bottom, 3, ink)
	s.segment(s.x.a, top, s.x.a, bottom, 3, ink)
}

// words writes the title, and the axes' names: that of the values lies above its
// axis, so that nobody has to turn the head.
func (s *sheet) words(c Curve) {
	s.write(s.head, margin, 58, fitted(s.head, c.Title, Width-2*margin), ink)
	s.write(s.plain, margin, top-32, fitted(s.plain, c.YLabel, Width-2*margin), ink)
	label := fitted(s.plain, c.XLabel, s.x.b-s.x.a)
	s.write(s.plain, (s.x.a+s.x.b-width(s.plain, label))/2, Height-26, label, ink)
}

// band shades days.
func (s *sheet) band(days *[2]float64) {
	if days == nil {
		return
	}
	a, b := s.x.at(max(days[0], s.x.low)), s.x.at(min(days[1], s.x.high))
	if a < b {
		s.fill(shade, [2]float64{a, top}, [2]float64{b, top}, [2]float64{b, bottom}, [2]float64{a, bottom})
	}
}

// marks draws the marked days dashed, each label on a line of its own, on the side
// with room for it.
func (s *sheet) marks(ms []VLine) {
	for _, m := range ms {
		x := s.x.at(m.Day)
		for y := top; y < bottom; y += 22 {
			s.segment(x, y, x, min(y+13, bottom), 4, signal)
		}
	}
	for i, m := range ms {
		y := top + (letters+gap)*float64(i+1)
		if y > bottom-letters {
			return
		}
		x := s.x.at(m.Day)
		label := fitted(s.plain, m.Label, max(x-s.x.a, s.x.b-x)-2*gap)
		w := width(s.plain, label)
		left := x + gap
		if left+w > s.x.b {
			left = x - gap - w
		}
		s.write(s.plain, left, y, label, signal)
	}
}

func (s *sheet) curve(line []Point) {
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		s.segment(s.x.at(a.Day), s.y.at(a.Value), s.x.at(b.Day), s.y.at(b.Value), 5, stroke)
	}
}

// dots draws the points with a white rim, to stand out of the curve.
func (s *sheet) dots(ps []Point) {
	for _, p := range ps {
		s.disc(s.x.at(p.Day), s.y.at(p.Value), dot+3, white)
		s.disc(s.x.at(p.Day), s.y.at(p.Value), dot, ink)
	}
}

func (s *sheet) disc(x, y, r float64, c color.Color) {
	const corners = 40
	ring := make([][2]float64, corners)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
		ring[i] = [2]float64{x + r*cos, y + r*sin}
	}
	s.fill(c, ring...)
}

// segment draws a straight stroke of that thickness, a little over its ends, so that
// joined ones leave no gap.
func (s *sheet) segment(x0, y0, x1, y1, thick float64, c color.Color) {
	long := math.Hypot(x1-x0, y1-y0)
	if long == 0 {
		return
	}
	dx, dy := (x1-x0)/long, (y1-y0)/long
	nx, ny := -dy*thick/2, dx*thick/2
	x0, y0, x1, y1 = x0-dx/2, y0-dy/2, x1+dx/2, y1+dy/2
	s.fill(c, [2]float64{x0 + nx, y0 + ny}, [2]float64{x1 + nx, y1 + ny}, [2]float64{x1 - nx, y1 - ny}, [2]float64{x0 - nx, y0 - ny})
}

// fill paints a closed shape. Only its own box is worked on, for speed.
func (s *sheet) fill(c color.Color, shape ...[2]float64) {
	box := image.Rectangle{Min: s.img.Bounds().Max}
	for _, p := range shape {
		x, y := int(math.Floor(p[0])), int(math.Floor(p[1]))
		box.Min.X, box.Min.Y = min(box.Min.X, x), min(box.Min.Y, y)
		box.Max.X, box.Max.Y = max(box.Max.X, x+1), max(box.Max.Y, y+1)
	}
	r := vector.NewRasterizer(box.Dx(), box.Dy())
	for i, p := range shape {
		x, y := float32(p[0]-float64(box.Min.X)), float32(p[1]-float64(box.Min.Y))
		if i == 0 {
			r.MoveTo(x, y)
			continue
		}
		r.LineTo(x, y)
	}
	r.ClosePath()
	r.Draw(s.img, box, image.NewUniform(c), image.Point{})
}

// write puts words with their left end and base line at x, y.
func (s *sheet) write(f font.Face, x, y float64, words string, c color.Color) {
	d := font.Drawer{Dst: s.img, Src: image.NewUniform(c), Face: f, Dot: fixed.P(int(math.Round(x)), int(math.Round(y)))}
	d.DrawString(words)
}

func width(f font.Face, words string) float64 {
	return float64(font.MeasureString(f, words)) / 64
}

// fitted returns the words on one line, cut short where they are wider than room.
func fitted(f font.Face, words string, room float64) string {
	runes := []rune(strings.Join(strings.FieldsFunc(words, func(r rune) bool {
		return unicode.IsSpace(r) || unicode.IsControl(r)
	}), " "))
	if len(runes) > 200 {
		runes = runes[:200] // more than fits, whatever the letters
	}
	if width(f, string(runes)) <= room {
		return string(runes)
	}
	for len(runes) > 0 && width(f, string(runes)+"…") > room {
		runes = runes[:len(runes)-1]
	}
	return strings.TrimSpace(string(runes)) + "…"
}
