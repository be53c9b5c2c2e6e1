package frost

import (
	"fmt"
	"iter"
	"strconv"
	"strings"
)

// table reads a plain table, or GHCN-Daily with a row a day.
type table struct {
	*builder
	head
	delim    byte
	unit     Unit
	carried  bool // the unit stands beside the values
	inTenths bool // as GHCN-Daily writes them
	order    func() (dayFirst bool, err error)
}

func (b *builder) table(text string, said Unit) error {
	first, second := firstRows(text)
	t := &table{builder: b, delim: delimiter(first)}
	b.report.Format = "plain table"
	h, err := findHead(first, t.delim)
	if err != nil {
		return err
	}
	t.head = h
	if h.named && second == "" {
		return fmt.Errorf("%w: column names and no rows under them", ErrEmpty)
	}
	if h.unit != Unsaid && said != Unsaid && h.unit != said {
		return fmt.Errorf("%w: the column names say %s, but %s was said", ErrUnit, h.unit, said)
	}
	t.unit = max(h.unit, said)
	t.order = t.orderOnce(text)
	if t.lowFlags >= 0 {
		b.report.Format = "GHCN-Daily CSV, a row a day"
		t.inTenths = t.looksTenths(text)
	}
	err = t.eachRow(text, t.row)
	b.report.Unit = t.unit
	if t.inTenths {
		b.report.Unit = Celsius
	}
	return err
}

func delimiter(first string) byte {
	for _, d := range []byte(";\t") {
		if strings.IndexByte(first, d) >= 0 {
			return d
		}
	}
	return ','
}

// dataRows are the rows under the names.
func (t *table) dataRows(text string) iter.Seq2[int, string] {
	return func(yield func(int, string) bool) {
		skip := t.named
		for n, line := range rows(text) {
			if !skip && !yield(n, line) {
				return
			}
			skip = false
		}
	}
}

// eachRow gives the fields of every one of them; none where they cannot be told apart.
func (t *table) eachRow(text string, row func(n int, line string, fields []string) error) error {
	var fields []string
	for n, line := range t.dataRows(text) {
		var ok bool
		fields, ok = split(fields[:0], line, t.delim)
		if !ok {
			fields = fields[:0]
		}
		if err := row(n, line, fields); err != nil {
			return err
		}
	}
	return nil
}

func (t *table) row(n int, line string, fields []string) error {
	if len(fields) <= t.needs() {
		t.bad(n, line, "%d columns wanted", t.needs()+1)
		return nil
	}
	if err := t.station(n, cell(fields, t.place), cell(fields, t.name)); err != nil {
		return err
	}
	day, ok, err := t.day(fields[t.date])
	if err != nil {
		return err
	}
	if !ok {
		t.bad(n, line, "%q is no date like 2027-05-01", short(fields[t.date]))
		return nil
	}
	return t.values(n, line, fields, day)
}

func (t *table) values(n int, line string, fields []string, day int) error {
	bad := t.report.bad()
	low, lowOK, err := t.value(n, line, fields, false)
	if err != nil || t.report.bad() > bad {
		return err
	}
	high, highOK, err := t.value(n, line, fields, true)
	if err != nil || t.report.bad() > bad {
		return err
	}
	if lowOK && highOK && low > high && !t.inTenths {
		t.bad(n, line, "the minimum is above the maximum")
		return nil
	}
	if lowOK {
		t.put(n, line, false, day, low)
	}
	if highOK {
		t.put(n, line, true, day, high)
	}
	return nil
}

func cell(fields []string, i int) string {
	if i < 0 || i >= len(fields) {
		return ""
	}
	return fields[i]
}

// value is a row's minimum or maximum in tenths of a degree C, if there is one to keep.
func (t *table) value(n int, line string, fields []string, isMax bool) (int, bool, error) {
	text, flags := cell(fields, t.low), cell(fields, t.lowFlags)
	if isMax {
		text, flags = cell(fields, t.high), cell(fields, t.highFlags)
	}
	switch {
	case isMissing(text) && !(t.inTenths && text == "-99"): // -9.9 C
		t.absent(isMax)
		return 0, false, nil
	case qualityFlag(flags) != "":
		t.doubted(isMax)
		return 0, false, nil
	case t.inTenths:
		return t.whole(n, line, text)
	}
	v, own, ok := degrees(text, t.delim != ',')
	if !ok {
		t.bad(n, line, "%q is no temperature", short(text))
		return 0, false, nil
	}
	if err := t.scale(n, own); err != nil {
		return 0, false, err
	}
	c, ok := tenths(v, t.unit)
	if !ok {
		return 0, false, fmt.Errorf("%w: line %d has %s, which is no air temperature in %s", ErrUnit, n, short(text), t.unit)
	}
	return c, true, nil
}

// whole is a value written in tenths.
func (t *table) whole(n int, line, text string) (int, bool, error) {
	v, err := strconv.Atoi(text)
	if err != nil {
		t.bad(n, line, "%q is no number of tenths", short(text))
		return 0, false, nil
	}
	if v < -limit || v > limit {
		return 0, false, fmt.Errorf("%w: line %d has %d, which cannot be tenths of a degree C", ErrUnit, n, v)
	}
	return v, true, nil
}

// scale holds the unit beside a value against the file's; the first one may set it.
func (t *table) scale(n int, own Unit) error {
	switch {
	case t.unit == Unsaid && own == Unsaid:
		return fmt.Errorf("%w: the file does not say if its degrees are C or F", ErrUnit)
	case t.unit == Unsaid:
		t.unit, t.carried = own, true
	case own == Unsaid && t.carried:
		return fmt.Errorf("%w: line %d has none, others have %s", ErrUnit, n, t.unit)
	case own != Unsaid && own != t.unit:
		return fmt.Errorf("%w: line %d has %s, and %s was said before", ErrUnit, n, own, t.unit)
	}
	return nil
}

// isMissing is whether a field holds one of the usual words or numbers for no value.
func isMissing(text string) bool {
	switch strings.ToLower(text) {
	case "", "-", "m", "na", "n/a", "nan", "null", "none", "missing", "-9999", "-999", "-99", "-9999.0", "-999.9", "-999.0", "-99.9", "-99.0":
		return true
	}
	return false
}

// qualityFlag is the second of the flags of GHCN-Daily in one field.
func qualityFlag(flags string) string {
	_, after, _ := strings.Cut(flags, ",")
	flag, _, _ := strings.Cut(after, ",")
	return strings.TrimSpace(flag)
}

// degrees is a temperature as people write it, with the unit that stands beside it.
func degrees(text string, comma bool) (v float64, unit Unit, ok bool) {
	text = strings.Replace(text, "\u2212", "-", 1)
	end := strings.LastIndexAny(text, "0123456789.") + 1
	digits, after := text[:end], text[end:]
	if comma {
		digits = strings.Replace(digits, ",", ".", 1)
	}
	if len(digits) > 12 || strings.Trim(digits, "0123456789.+-") != "" {
		return 0, Unsaid, false
	}
	v, err := strconv.ParseFloat(digits, 64)
	if err != nil {
		return 0, Unsaid, false
	}
	unit, ok = suffix(after)
	return v, unit, ok
}

// suffix is the unit in what comes after a number: nothing, or C or F in some dress.
func suffix(after string) (Unit, bool) {
	words := words(after)
	if len(words) > 0 && (words[0] == "deg" || words[0] == "degrees") {
		words = words[1:]
	}
	switch len(words) {
	case 0:
		return Unsaid, strings.IndexFunc(after, isWord) < 0
	case 1:
		u := unitOf(words[0])
		return u, u != Unsaid
	}
	return Unsaid, false
}

// looksTenths is whether the values of a GHCN file with a row a day are tenths, as the
// archive has them. A copy in whole degrees C or F has decimals, or goes through a year
// without a value beyond 130.
func (t *table) looksTenths(text string) bool {
	days, biggest, points := 0, 0, false
	_ = t.eachRow(text, func(_ int, _ string, fields []string) error {
		days++
		for _, i := range []int{t.low, t.high} {
			value := cell(fields, i)
			v, err := strconv.Atoi(value)
			if err == nil && v != -9999 {
				biggest = max(biggest, v, -v)
			}
			points = points || strings.Contains(value, ".")
		}
		return nil
	})
	return !points && (biggest > 130 || days < 365)
}
