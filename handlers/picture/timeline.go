package picture

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
)

// ErrTimeline is returned for a timeline that cannot be drawn.
var ErrTimeline = errors.New("cannot draw that timeline")

// Stage is what a bar of a timeline stands for; each has its colour and its word in
// the legend.
type Stage int

// The stages, in the order in which a crop goes through them.
const (
	UnderCover Stage = iota
	Hardening
	Outside
	Harvest
)

var stages = []struct {
	word string
	fill color.RGBA
}{{"under cover", stroke}, {"hardening", amber}, {"outside", leaf}, {"picking", signal}}

// Bar is a run of days at one stage.
type Bar struct {
	From, To float64
	Stage    Stage
}

// Row is one line of a timeline.
type Row struct {
	Label string
	Bars  []Bar
}

// Timeline is bars over days, on ground that is shaded where it is cold. Days are
// numbers that grow by one a day.
type Timeline struct {
	Title    string
	From, To float64
	Months   []VLine // where a month begins, with its name
	Cold     [][2]float64
	Rows     []Row
	Today    VLine // no label, no line
}

// Most rows that can be told apart on a phone.
const mostRows = 16

// Measures of a timeline in pixels.
const (
	rowHigh   = 50.0
	barHigh   = 34.0
	labelWide = 250.0
	rowsTop   = 150.0
	legend    = 120.0
)

func (t Timeline) check() error {
	if !sane(t.From) || !sane(t.To) || !(t.To-t.From >= 1) || len(t.Rows) == 0 || len(t.Rows) > mostRows {
		return fmt.Errorf("%w: %d rows from %g to %g", ErrTimeline, len(t.Rows), t.From, t.To)
	}
	for _, r := range t.Rows {
		for _, b := range r.Bars {
			if !sane(b.From) || !sane(b.To) || b.Stage < UnderCover || b.Stage > Harvest {
				return fmt.Errorf("%w: a bar from %g to %g", ErrTimeline, b.From, b.To)
			}
		}
	}
	return nil
}

// DrawTimeline returns the timeline as a PNG, as high as its rows need. It returns
// ErrTimeline for no rows or too many, and for what is no number.
func DrawTimeline(t Timeline) ([]byte, error) {
	if err := t.check(); err != nil {
		return nil, err
	}
	s, err := t.sheet()
	if err != nil {
		return nil, err
	}
	end := rowsTop + rowHigh*float64(len(t.Rows))
	for _, c := range t.Cold {
		s.box(chill, s.day(c[0]), rowsTop-20, s.day(c[1]), end)
	}
	s.write(s.head, margin, 58, fitted(s.head, t.Title, Width-2*margin), ink)
	for i, m := range t.Months {
		x := s.day(m.Day)
		room := s.x.b - x
		if i+1 < len(t.Months) {
			room = s.day(t.Months[i+1].Day) - x
		}
		s.segment(x, rowsTop-20, x, end, 2, faint)
		if width(s.plain, m.Label)+8 < room {
			s.write(s.plain, x+6, rowsTop-32, m.Label, ink)
		}
	}
	for i, r := range t.Rows {
		s.row(r, rowsTop+rowHigh*float64(i))
	}
	if t.Today.Label != "" {
		x := s.day(t.Today.Day)
		s.segment(x, rowsTop-20, x, end, 4, ink)
	}
	s.legend(end)
	var out bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.DefaultCompression}).Encode(&out, reduced(s.img)); err != nil {
		return nil, fmt.Errorf("encode: %w", err)
	}
	return out.Bytes(), nil
}

func (t Timeline) sheet() (*sheet, error) {
	f, err := typeface()
	if err != nil {
		return nil, fmt.Errorf("typeface: %w", err)
	}
	high := int(rowsTop + rowHigh*float64(len(t.Rows)) + legend)
	s := &sheet{img: image.NewRGBA(image.Rect(0, 0, Width, high))}
	draw.Draw(s.img, s.img.Bounds(), image.NewUniform(white), image.Point{}, draw.Src)
	if s.plain, err = face(f, letters); err != nil {
		return nil, err
	}
	if s.head, err = face(f, heading); err != nil {
		return nil, err
	}
	s.x = axis{low: t.From, high: t.To, a: margin + labelWide, b: Width - margin}
	return s, nil
}

// day is where a day stands, within the field.
func (s *sheet) day(d float64) float64 { return s.x.at(min(max(d, s.x.low), s.x.high)) }

func (s *sheet) box(c color.RGBA, x0, y0, x1, y1 float64) {
	if x1 > x0 {
		s.fill(c, [2]float64{x0, y0}, [2]float64{x1, y0}, [2]float64{x1, y1}, [2]float64{x0, y1})
	}
}

// row draws the bars of a row, each at least a few pixels wide.
func (s *sheet) row(r Row, y float64) {
	s.segment(margin, y+rowHigh, s.x.b, y+rowHigh, 1, faint)
	s.write(s.plain, margin, y+rowHigh/2+letters/3, fitted(s.plain, r.Label, labelWide-gap), ink)
	for _, b := range r.Bars {
		x0, x1 := s.day(b.From), s.day(b.To)
		if b.To < s.x.low || b.From > s.x.high || b.To < b.From {
			continue
		}
		s.box(stages[b.Stage].fill, x0, y+(rowHigh-barHigh)/2, max(x1, x0+6), y+(rowHigh+barHigh)/2)
	}
}

// legend says below the rows which colour is which.
func (s *sheet) legend(end float64) {
	x, y := margin, end+36
	for _, st := range stages {
		s.box(st.fill, x, y, x+34, y+30)
		s.write(s.plain, x+44, y+26, st.word, ink)
		x += 44 + width(s.plain, st.word) + 30
	}
	s.box(chill, x, y, x+34, y+30)
	s.write(s.plain, x+44, y+26, "frost", ink)
}

// OrderTimeline writes a timeline down for Render.
func OrderTimeline(t Timeline) ([]byte, error) {
	if err := t.check(); err != nil {
		return nil, err
	}
	return json.Marshal(order{Timeline: &t})
}
