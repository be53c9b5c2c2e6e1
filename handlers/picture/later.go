package picture

import (
	"encoding/json"
	"fmt"
	"math"
	"sort"
)

// order is a picture as data, to be drawn when it is sent: drawing takes a while,
// and a household's file is not held for it.
type order struct {
	Curve    Curve
	Course   []Point   `json:",omitempty"` // the line, sampled
	Timeline *Timeline `json:",omitempty"` // drawn instead, when there is one
}

// samplesKept is how many points of the line go into an order.
const samplesKept = 120

// Order writes a curve down for Render. It returns ErrCurve for what cannot be drawn.
func Order(c Curve) ([]byte, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	o := order{Curve: c}
	from, to := c.days()
	for i := 0; c.Line != nil && i <= samplesKept; i++ {
		day := from + (to-from)*float64(i)/samplesKept
		o.Course = append(o.Course, Point{day, c.Line(day)})
	}
	o.Curve.Line = nil
	if c.Band != nil { // JSON has no infinity
		o.Curve.Band = &[2]float64{math.Max(c.Band[0], -1e12), math.Min(c.Band[1], 1e12)}
	}
	return json.Marshal(o)
}

// Render draws what Order or OrderTimeline wrote down.
func Render(text []byte) ([]byte, error) {
	var o order
	if err := json.Unmarshal(text, &o); err != nil {
		return nil, fmt.Errorf("order of a picture: %w", err)
	}
	if o.Timeline != nil {
		return DrawTimeline(*o.Timeline)
	}
	if len(o.Course) > 1 {
		o.Curve.Line = func(day float64) float64 { return between(o.Course, day) }
	}
	return Draw(o.Curve)
}

// between reads a sampled line between its points.
func between(course []Point, day float64) float64 {
	i := sort.Search(len(course), func(i int) bool { return course[i].Day >= day })
	if i == 0 {
		return course[0].Value
	}
	if i == len(course) {
		return course[i-1].Value
	}
	a, b := course[i-1], course[i]
	if b.Day == a.Day {
		return b.Value
	}
	return a.Value + (b.Value-a.Value)*(day-a.Day)/(b.Day-a.Day)
}

// Content is the bytes of a file: its content, or what its order draws.
func Content(content, order []byte) ([]byte, error) {
	if len(order) == 0 {
		return content, nil
	}
	return Render(order)
}
