package frost

import (
	"errors"
	"fmt"
	"iter"
	"math"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// What can be wrong with a weather file. Nothing is kept of a file that has any of these.
var (
	// ErrEmpty is a file without a row.
	ErrEmpty = errors.New("there is no weather in the file")
	// ErrNotText is a file that is not text: a picture, a spreadsheet, a compressed file.
	ErrNotText = errors.New("the file is not plain text")
	// ErrNoMinima is a file in which no daily minima are found.
	ErrNoMinima = errors.New("no daily minima found")
	// ErrBadRows is a file with rows that cannot be read; the report lists them.
	ErrBadRows = errors.New("rows that cannot be read")
	// ErrUnit is a file whose degrees are not known, or not what they are said to be.
	ErrUnit = errors.New("the unit of the temperatures is not clear")
	// ErrDateOrder is a file whose dates may be day first or month first.
	ErrDateOrder = errors.New("day first or month first is not clear")
	// ErrStations is a file of more than one place.
	ErrStations = errors.New("more than one station in the file")
)

// Unit is a scale of temperature.
type Unit uint8

// The scales.
const (
	Unsaid Unit = iota
	Celsius
	Fahrenheit
)

// String is the scale's name.
func (u Unit) String() string {
	switch u {
	case Celsius:
		return "Celsius"
	case Fahrenheit:
		return "Fahrenheit"
	}
	return "unsaid"
}

// Report is what Read saw. Missing, Flagged and Doubled are of minima alone.
type Report struct {
	Format        string    // in plain words
	Station       string    // its id and name, if the file has one
	Kept          int       // dates with a minimum
	Missing       int       // dates in the file whose minimum is not there
	Flagged       int       // minima that the weather service doubts, not kept
	Doubled       int       // minima given again
	OtherElements int       // rows of rain, snow and the like
	First, Last   time.Time // dates with a minimum
	Bad           []Bad     // the first 20 rows that cannot be read
	BadMore       int       // how many more there are
	Unit          Unit      // the scale of the file
}

// Bad is a row that cannot be read.
type Bad struct {
	Line int    // from 1
	Text string // at most 40 characters of it
	Why  string
}

const (
	badShown = 20
	longest  = 10_000 // characters in a row of weather
)

func (r Report) bad() int { return len(r.Bad) + r.BadMore }

// Read reads the text of a weather file: GHCN-Daily as fixed width (.dly) or as CSV with
// a row a value or a row a day, or a plain table of date, minimum and perhaps maximum
// with comma, semicolon or tab. Unit is the scale of a plain table that does not say
// it, and of a copy of GHCN-Daily that was turned from tenths into degrees. A plain table may begin with a row of column names, and lines that begin with #
// are passed over. A file is read whole or not at all; the report is filled in as far
// as it was read.
func Read(text string, unit Unit) (Series, Report, error) {
	b := newBuilder()
	text = strings.TrimPrefix(text, "\ufeff")
	err := isText(text)
	if unit > Fahrenheit {
		err = fmt.Errorf("%w: there is no unit %d", ErrUnit, unit)
	}
	if err == nil {
		err = b.read(text, unit)
	}
	if err != nil {
		return Series{}, b.report, err
	}
	return b.finish()
}

func isText(text string) error {
	for _, magic := range []struct{ start, what string }{
		{"\x1f\x8b", "compressed with gzip, unpack it first"},
		{"PK\x03\x04", "a zip file or a spreadsheet, save the table as CSV"},
		{"%PDF", "a PDF"},
	} {
		if strings.HasPrefix(text, magic.start) {
			return fmt.Errorf("%w: it is %s", ErrNotText, magic.what)
		}
	}
	if strings.IndexByte(text, 0) >= 0 {
		return fmt.Errorf("%w: it holds zero bytes", ErrNotText)
	}
	if utf8.ValidString(text) {
		return nil
	}
	// A degree sign in an older coding does no harm.
	if wrong := badBytes(text); wrong > len(text)/10 {
		return fmt.Errorf("%w: %d bytes of %d are no letters", ErrNotText, wrong, len(text))
	}
	return nil
}

func badBytes(text string) int {
	n := 0
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRuneInString(text[i:])
		if r == utf8.RuneError && size == 1 {
			n++
		}
		i += size
	}
	return n
}

// rows are the lines with something on them, with their numbers from 1 and without
// blanks at the end.
func rows(text string) iter.Seq2[int, string] {
	return func(yield func(int, string) bool) {
		n := 0
		for line := range strings.SplitSeq(text, "\n") {
			n++
			line = strings.TrimRight(line, " \t\r")
			if line == "" || line[0] == '#' {
				continue
			}
			if !yield(n, line) {
				return
			}
		}
	}
}

// firstRows are the first two rows; empty where there is none.
func firstRows(text string) (first, second string) {
	for _, line := range rows(text) {
		if first == "" {
			first = line
			continue
		}
		return first, line
	}
	return first, ""
}

// builder gathers a series. It keeps the days of all the years that can be, so that a
// date given twice is seen at once and their order does not matter.
type builder struct {
	report      Report
	lows, highs []int16 // by day from earliest
	id          string
	elements    []string // seen
}

func newBuilder() *builder {
	b := &builder{lows: make([]int16, latest-earliest+1), highs: make([]int16, latest-earliest+1)}
	for i := range b.lows {
		b.lows[i], b.highs[i] = none, none
	}
	return b
}

func (b *builder) read(text string, unit Unit) error {
	first, second := firstRows(text)
	switch {
	case first == "":
		return ErrEmpty
	case len(first) > longest:
		return fmt.Errorf("%w: the first row has %d characters", ErrNoMinima, len(first))
	case strings.HasPrefix(strings.TrimLeft(first, " \t"), "<"):
		return fmt.Errorf("%w: this is a web page and not the data", ErrNoMinima)
	case isFixed(first):
		b.report.Format, b.report.Unit = "GHCN-Daily, fixed width", Celsius
		return b.each(text, b.fixed)
	case isLong(first) || isLong(second):
		b.report.Format, b.report.Unit = "GHCN-Daily CSV, a row a value", Celsius
		return b.each(text, b.long(!strings.ContainsAny(first, "0123456789")))
	}
	return b.table(text, unit)
}

// each reads row by row until one of them is enough to refuse the file.
func (b *builder) each(text string, row func(n int, line string) error) error {
	for n, line := range rows(text) {
		if err := row(n, line); err != nil {
			return err
		}
	}
	return nil
}

func (b *builder) finish() (Series, Report, error) {
	if len(b.report.Bad) > 0 {
		bad := b.report.Bad[0]
		return Series{}, b.report, fmt.Errorf("%w: %d, the first is line %d: %s",
			ErrBadRows, b.report.bad(), bad.Line, bad.Why)
	}
	s := trimmed(earliest, b.lows, b.highs)
	b.report.Kept = s.Days()
	b.report.First, b.report.Last = s.Span()
	switch {
	case b.report.Kept > 0:
		return s, b.report, nil
	case b.report.Missing+b.report.Flagged > 0:
		return Series{}, b.report, fmt.Errorf("%w: all of them are missing or flagged", ErrNoMinima)
	case len(b.elements) > 0:
		return Series{}, b.report, fmt.Errorf("%w: TMIN wanted, seen are %s", ErrNoMinima, strings.Join(b.elements, ", "))
	}
	return Series{}, b.report, fmt.Errorf("%w: column names and no rows under them", ErrEmpty)
}

func (b *builder) bad(line int, text, why string, args ...any) {
	if len(b.report.Bad) == badShown {
		b.report.BadMore++
		return
	}
	b.report.Bad = append(b.report.Bad, Bad{Line: line, Text: short(text), Why: fmt.Sprintf(why, args...)})
}

// short is at most 40 characters of a text from outside, fit to be shown.
func short(text string) string {
	var out strings.Builder
	n := 0
	for _, r := range text {
		if n == 40 {
			break
		}
		if !unicode.IsPrint(r) {
			r = ' '
		}
		out.WriteRune(r)
		n++
	}
	return out.String()
}

// station notes where a row is from; a second place is refused.
func (b *builder) station(n int, id, name string) error {
	if id == "" || id == b.id {
		return nil
	}
	if b.id != "" {
		return fmt.Errorf("%w: %s, and in line %d %s", ErrStations, short(b.id), n, short(id))
	}
	b.id = strings.Clone(id)
	b.report.Station = strings.TrimSpace(short(id) + " " + short(name))
	return nil
}

// element notes what a row of GHCN is about, and whether it is a minimum or maximum.
func (b *builder) element(name string) (isMax, wanted bool) {
	if name == "TMIN" || name == "TMAX" {
		if name == "TMAX" {
			b.saw(name)
		}
		return name == "TMAX", true
	}
	b.report.OtherElements++
	b.saw(name)
	return false, false
}

func (b *builder) saw(name string) {
	if len(b.elements) < 12 && !slices.Contains(b.elements, name) {
		b.elements = append(b.elements, strings.Clone(name))
	}
}

// absent and doubted count a value that is not kept.
func (b *builder) absent(isMax bool) {
	if !isMax {
		b.report.Missing++
	}
}

func (b *builder) doubted(isMax bool) {
	if !isMax {
		b.report.Flagged++
	}
}

// ghcn keeps a value of GHCN-Daily in tenths of a degree C unless it is missing or has a quality flag.
func (b *builder) ghcn(n int, line string, isMax bool, day, tenths int, flag string) error {
	switch {
	case tenths == -9999:
		b.absent(isMax)
	case strings.TrimSpace(flag) != "":
		b.doubted(isMax)
	case tenths < -limit || tenths > limit:
		return fmt.Errorf("%w: line %d has %d, which cannot be tenths of a degree C", ErrUnit, n, tenths)
	default:
		b.put(n, line, isMax, day, tenths)
	}
	return nil
}

func (b *builder) put(n int, line string, isMax bool, day, tenths int) {
	values := b.lows
	if isMax {
		values = b.highs
	}
	switch old := &values[day-earliest]; {
	case *old == none:
		*old = int16(tenths)
	case int(*old) != tenths:
		b.bad(n, line, "%s was there before with another value", date(day).Format(time.DateOnly))
	case !isMax:
		b.report.Doubled++
	}
}

// civil is the day of a date, if there is such a date and weather was kept then.
func civil(y, m, d int) (int, bool) {
	if y < 1700 || y > 2199 || m < 1 || m > 12 || d < 1 || d > daysIn(y, m) {
		return 0, false
	}
	return number(y, time.Month(m), d), true
}

func daysIn(y, m int) int { return time.Date(y, time.Month(m)+1, 0, 0, 0, 0, 0, time.UTC).Day() }

// tenths is a temperature in tenths of a degree C, if it can be one.
func tenths(v float64, unit Unit) (int, bool) {
	if unit == Fahrenheit {
		v = (v - 32) * 5 / 9
	}
	v = math.Round(v * 10)
	return int(v), math.Abs(v) <= limit
}
