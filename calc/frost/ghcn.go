package frost

import (
	"strconv"
	"strings"
)

// The fixed-width form: a line holds a station's month of one element, and from
// column 22 for each of 31 days a value of five columns and three flags, of which the
// second is the quality flag (GHCN-Daily readme).
const (
	fixedHead  = 21
	fixedDay   = 8
	fixedWidth = 269
)

// isFixed is whether a line begins like one of the fixed-width form.
func isFixed(line string) bool {
	return len(line) >= fixedHead && isName(line[:11]) && isDigits(line[11:17]) && isName(line[17:21])
}

// isName is whether a text is made of capital letters, digits, _ and -.
func isName(text string) bool {
	for _, c := range []byte(text) {
		if (c < 'A' || c > 'Z') && (c < '0' || c > '9') && c != '_' && c != '-' {
			return false
		}
	}
	return text != ""
}

func isDigits(text string) bool {
	for _, c := range []byte(text) {
		if c < '0' || c > '9' {
			return false
		}
	}
	return text != ""
}

// atoi is the number of a few digits, which have been looked at.
func atoi(digits string) int {
	n := 0
	for _, c := range []byte(digits) {
		n = 10*n + int(c-'0')
	}
	return n
}

func (b *builder) fixed(n int, line string) error {
	if !isFixed(line) {
		b.bad(n, line, "it does not begin with station, year, month and element")
		return nil
	}
	if err := b.station(n, line[:11], ""); err != nil {
		return err
	}
	year, month := atoi(line[11:15]), atoi(line[15:17])
	if _, ok := civil(year, month, 1); !ok {
		b.bad(n, line, "there is no month %s-%s", line[11:15], line[15:17])
		return nil
	}
	isMax, wanted := b.element(line[17:21])
	if !wanted {
		return nil
	}
	if len(line) > fixedWidth {
		b.bad(n, line, "it is longer than %d columns", fixedWidth)
		return nil
	}
	return b.fixedDays(n, line, isMax, year, month)
}

// fixedDays reads the 31 values of a line, up to the first that is wrong.
func (b *builder) fixedDays(n int, line string, isMax bool, year, month int) error {
	for d := 1; d <= 31; d++ {
		at := fixedHead + fixedDay*(d-1)
		field, flag := columns(line, at, at+5), columns(line, at+6, at+7)
		day, ok := civil(year, month, d)
		if !ok {
			if v := strings.TrimSpace(field); v != "" && v != "-9999" {
				b.bad(n, line, "it has a value for day %d, which this month lacks", d)
				return nil
			}
			continue
		}
		// Values end in the fifth column: a number that does not is cut short.
		if len(field) < 5 {
			b.bad(n, line, "it is cut short at day %d", d)
			return nil
		}
		v, err := strconv.Atoi(strings.TrimLeft(field, " "))
		if err != nil {
			b.bad(n, line, "%q for day %d is no number of tenths", short(field), d)
			return nil
		}
		if err := b.ghcn(n, line, isMax, day, v, flag); err != nil {
			return err
		}
	}
	return nil
}

// columns is a part of a line that may end before it.
func columns(line string, from, to int) string {
	return line[min(from, len(line)):min(to, len(line))]
}

// isLong is whether a row is one of the CSV form with a row a value: station, date,
// element, value, and flags, the second of which is the quality flag.
func isLong(line string) bool {
	f, ok := split(nil, line, ',')
	return ok && len(f) >= 4 && len(f[1]) == 8 && isDigits(f[1]) && len(f[2]) == 4 && isName(f[2])
}

// long reads rows of that form, but for column names in the first one.
func (b *builder) long(names bool) func(n int, line string) error {
	var fields []string
	return func(n int, line string) error {
		if names {
			names = false
			return nil
		}
		var ok bool
		fields, ok = split(fields[:0], line, ',')
		if !ok || len(fields) < 4 || len(fields) > 8 {
			b.bad(n, line, "station, date, element, value and four more wanted")
			return nil
		}
		return b.longRow(n, line, fields)
	}
}

func (b *builder) longRow(n int, line string, fields []string) error {
	if err := b.station(n, fields[0], ""); err != nil {
		return err
	}
	if fields[0] == "" || !isName(fields[2]) {
		b.bad(n, line, "it has no station or no element")
		return nil
	}
	day, ok := compactDate(fields[1])
	if !ok {
		b.bad(n, line, "%q is no date like 20270501", short(fields[1]))
		return nil
	}
	isMax, wanted := b.element(fields[2])
	if !wanted {
		return nil
	}
	v, err := strconv.Atoi(fields[3])
	if err != nil {
		b.bad(n, line, "%q is no number of tenths", short(fields[3]))
		return nil
	}
	flag := ""
	if len(fields) > 5 {
		flag = fields[5]
	}
	return b.ghcn(n, line, isMax, day, v, flag)
}

func compactDate(text string) (int, bool) {
	if len(text) != 8 || !isDigits(text) {
		return 0, false
	}
	return civil(atoi(text[:4]), atoi(text[4:6]), atoi(text[6:]))
}

// split cuts a line of CSV into fields without blanks around them, and appends them to
// out. It is false for a quotation that does not end on its line, and for a line that
// is too long to be one of weather.
func split(out []string, line string, delim byte) ([]string, bool) {
	if len(line) > longest {
		return out, false
	}
	for {
		line = strings.TrimLeft(line, " ")
		if strings.HasPrefix(line, `"`) {
			value, rest, ok := unquote(line[1:])
			if !ok {
				return out, false
			}
			out = append(out, strings.TrimSpace(value))
			i := strings.IndexByte(rest, delim)
			if i < 0 {
				return out, strings.TrimSpace(rest) == ""
			}
			if strings.TrimSpace(rest[:i]) != "" {
				return out, false
			}
			line = rest[i+1:]
			continue
		}
		i := strings.IndexByte(line, delim)
		if i < 0 {
			return append(out, strings.TrimSpace(line)), true
		}
		out = append(out, strings.TrimSpace(line[:i]))
		line = line[i+1:]
	}
}

// unquote is the text up to the closing quotation mark, two of which stand for one,
// and what comes after it.
func unquote(text string) (value, rest string, ok bool) {
	var whole strings.Builder
	for {
		i := strings.IndexByte(text, '"')
		if i < 0 {
			return "", "", false
		}
		if !strings.HasPrefix(text[i+1:], `"`) {
			if whole.Len() == 0 {
				return text[:i], text[i+1:], true
			}
			whole.WriteString(text[:i])
			return whole.String(), text[i+1:], true
		}
		whole.WriteString(text[:i+1])
		text = text[i+2:]
	}
}
