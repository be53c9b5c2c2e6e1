// Package picture draws a measured course with its curve as a PNG for a phone:
// few things, large letters, dark ink on white. Whatever a reader acts on has to be
// in words beside it. It knows nothing of desks, storage or time.
package picture

import (
	"bytes"
	"errors"
	"fmt"
	"image/png"
	"math"
)

// Width and Height of every picture, in pixels.
const (
	Width  = 1000
	Height = 700
)

// ErrCurve is returned for a curve that cannot be drawn.
var ErrCurve = errors.New("cannot draw that curve")

// Point is a measured value on a day.
type Point struct{ Day, Value float64 }

// VLine marks a day with a few words, such as its date.
type VLine struct {
	Day   float64
	Label string
}

// Curve is what to draw. Days and values may be of any unit, within 1e12 either way.
type Curve struct {
	Title, XLabel, YLabel string
	Points                []Point                   // two or more, drawn as dots
	Line                  func(day float64) float64 `json:"-"` // the curve through them, may be nil
	From, To              float64                   // days shown, widened to hold points and marks
	Mark                  []VLine                   // the first three, say; each label takes a line
	Band                  *[2]float64               // days to shade; an end may be infinite
}

// samples is how often Line is asked: once for every other pixel.
const samples = Width / 2

// Draw returns the picture as a PNG: the same bytes for the same curve. It returns
// ErrCurve for fewer than two points, and for what is no number or has no width.
func Draw(c Curve) ([]byte, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	line, err := c.sampled()
	if err != nil {
		return nil, err
	}
	s, err := newSheet(c, line)
	if err != nil {
		return nil, err
	}
	s.band(c.Band)
	s.axes()
	s.words(c)
	s.marks(c.Mark)
	s.curve(line)
	s.dots(c.Points)
	var out bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.DefaultCompression}).Encode(&out, reduced(s.img)); err != nil {
		return nil, fmt.Errorf("encode: %w", err)
	}
	return out.Bytes(), nil
}

func (c Curve) check() error {
	if len(c.Points) < 2 {
		return fmt.Errorf("%w: %d points", ErrCurve, len(c.Points))
	}
	numbers := []float64{c.From, c.To}
	for _, p := range c.Points {
		numbers = append(numbers, p.Day, p.Value)
	}
	for _, m := range c.Mark {
		numbers = append(numbers, m.Day)
	}
	for _, v := range numbers {
		if !sane(v) {
			return fmt.Errorf("%w: %g", ErrCurve, v)
		}
	}
	if c.Band != nil && !(c.Band[0] <= c.Band[1]) {
		return fmt.Errorf("%w: shaded from %g to %g", ErrCurve, c.Band[0], c.Band[1])
	}
	if from, to := c.days(); !(to-from > 1e-6) {
		return fmt.Errorf("%w: from %g to %g", ErrCurve, from, to)
	}
	return nil
}

func sane(v float64) bool { return math.Abs(v) <= 1e12 }

// days returns the range of days to show.
func (c Curve) days() (from, to float64) {
	from, to = c.From, c.To
	if from >= to {
		from, to = c.Points[0].Day, c.Points[0].Day
	}
	for _, p := range c.Points {
		from, to = min(from, p.Day), max(to, p.Day)
	}
	for _, m := range c.Mark {
		from, to = min(from, m.Day), max(to, m.Day)
	}
	return from, to
}

// sampled returns the curve as points from end to end.
func (c Curve) sampled() ([]Point, error) {
	if c.Line == nil {
		return nil, nil
	}
	from, to := c.days()
	out := make([]Point, samples+1)
	for i := range out {
		day := from + (to-from)*float64(i)/samples
		out[i] = Point{day, c.Line(day)}
		if !sane(out[i].Value) {
			return nil, fmt.Errorf("%w: %g on day %g", ErrCurve, out[i].Value, day)
		}
	}
	return out, nil
}
