package frost

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"time"
)

// ErrPack is returned for bytes that are not a packed series.
var ErrPack = errors.New("not a kept weather series")

const (
	none  = math.MinInt16 // no value for this day
	limit = 650           // tenths of a degree C, either way: beyond it no air has been where gardens are
)

// The days a series may hold, counted from 1970-01-01.
var (
	earliest = number(1700, time.January, 1)
	latest   = number(2199, time.December, 31)
)

// Series is a weather record: one minimum a date and, where there is one, a maximum,
// in tenths of a degree C. Its zero value is empty.
type Series struct {
	first    int     // the day of min[0], counted from 1970-01-01
	min, max []int16 // one a day without a break; max is nil where there is none at all
}

// number is a civil date as days from 1970-01-01.
func number(y int, m time.Month, d int) int {
	return int(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

func numberOf(t time.Time) int { return number(t.Year(), t.Month(), t.Day()) }

func date(n int) time.Time { return time.Unix(int64(n)*86400, 0).UTC() }

// last is the last day of the series; one before the first if it is empty.
func (s Series) last() int { return s.first + len(s.min) - 1 }

// Span is the first and the last date with a minimum; both zero for an empty series.
func (s Series) Span() (first, last time.Time) {
	if len(s.min) == 0 {
		return time.Time{}, time.Time{}
	}
	return date(s.first), date(s.last())
}

// Days is how many dates have a minimum.
func (s Series) Days() int { return known(s.min) }

func known(values []int16) int {
	n := 0
	for _, v := range values {
		if v != none {
			n++
		}
	}
	return n
}

// Min is the minimum of a date in tenths of a degree C, if it is known.
func (s Series) Min(day time.Time) (tenths int, ok bool) { return s.at(s.min, numberOf(day)) }

// Max is the maximum of a date in tenths of a degree C, if it is known.
func (s Series) Max(day time.Time) (tenths int, ok bool) { return s.at(s.max, numberOf(day)) }

func (s Series) at(values []int16, day int) (int, bool) {
	i := day - s.first
	if i < 0 || i >= len(values) || values[i] == none {
		return 0, false
	}
	return int(values[i]), true
}

// trimmed is a series out of values by day, the first of them that of day first; it
// begins and ends with a minimum.
func trimmed(first int, lows, highs []int16) Series {
	from, to := 0, len(lows)
	for from < to && lows[from] == none {
		from++
	}
	for to > from && lows[to-1] == none {
		to--
	}
	if from == to {
		return Series{}
	}
	s := Series{first: first + from, min: append([]int16(nil), lows[from:to]...)}
	if known(highs[from:to]) > 0 {
		s.max = append([]int16(nil), highs[from:to]...)
	}
	return s
}

// packed is the version of the form that Pack writes: version, days, first day, 1 if
// maxima follow the minima, then a number a day: 0 for none, else one more than the
// difference from the value before.
const packed = 1

// Pack is the series in few bytes, the first of them the version of the form.
func (s Series) Pack() []byte {
	out := binary.AppendUvarint([]byte{packed}, uint64(len(s.min)))
	if len(s.min) == 0 {
		return out
	}
	out = binary.AppendVarint(out, int64(s.first))
	out = append(out, byte(min(len(s.max), 1)))
	return packValues(packValues(out, s.min), s.max)
}

func packValues(out []byte, values []int16) []byte {
	before := 0
	for _, v := range values {
		if v == none {
			out = append(out, 0)
			continue
		}
		d := int64(v) - int64(before)
		out = binary.AppendUvarint(out, uint64(d<<1^d>>63)+1)
		before = int(v)
	}
	return out
}

// Unpack is the series that Pack made these bytes of, or ErrPack.
func Unpack(b []byte) (Series, error) {
	if len(b) == 0 || b[0] != packed {
		return Series{}, fmt.Errorf("%w: of no known version", ErrPack)
	}
	r := reader{rest: b[1:]}
	s := r.series()
	if r.wrong || len(r.rest) > 0 {
		return Series{}, fmt.Errorf("%w: damaged", ErrPack)
	}
	return s, nil
}

// reader takes numbers off the front of bytes; wrong is set by the first that is not
// there or cannot be, and stays.
type reader struct {
	rest  []byte
	wrong bool
}

func (r *reader) series() Series {
	days := r.unsigned()
	if days == 0 || r.wrong {
		return Series{}
	}
	first, highs := r.signed(), r.unsigned()
	// A day takes a byte at least: a false count cannot ask for more memory than it sent.
	if highs > 1 || days > uint64(len(r.rest)) || first < int64(earliest) || first > int64(latest)-int64(days)+1 {
		r.wrong = true
		return Series{}
	}
	s := Series{first: int(first), min: r.values(int(days))}
	if highs == 1 {
		s.max = r.values(int(days))
		r.wrong = r.wrong || known(s.max) == 0
	}
	r.wrong = r.wrong || s.min[0] == none || s.min[days-1] == none
	return s
}

func (r *reader) values(days int) []int16 {
	out := make([]int16, days)
	before := int64(0)
	for i := range out {
		u := r.unsigned()
		if u == 0 {
			out[i] = none
			continue
		}
		u--
		before += int64(u>>1) ^ -int64(u&1)
		if before < -limit || before > limit {
			r.wrong = true
			before = 0
		}
		out[i] = int16(before)
	}
	return out
}

func (r *reader) unsigned() uint64 {
	v, n := binary.Uvarint(r.rest)
	return v * r.taken(n)
}

func (r *reader) signed() int64 {
	v, n := binary.Varint(r.rest)
	return v * int64(r.taken(n))
}

// taken drops n bytes off the front: 1 if they were there, else 0.
func (r *reader) taken(n int) uint64 {
	if n <= 0 {
		r.wrong, r.rest = true, nil
		return 0
	}
	r.rest = r.rest[n:]
	return 1
}
