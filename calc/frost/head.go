package frost

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
)

// head is which column of a table is which; -1 for one that is not there.
type head struct {
	date, low, high     int
	lowFlags, highFlags int
	place, name         int
	named               bool // the first row holds the names
	unit                Unit
}

// needs is the last column that every row must have.
func (h head) needs() int { return max(h.date, h.low, h.high) }

// findHead finds the columns by the first row: by names, or, where that is a row of
// values, by their order of date, minimum, maximum.
func findHead(first string, delim byte) (head, error) {
	columns, ok := split(nil, first, delim)
	if !ok {
		return head{}, fmt.Errorf("%w: a quotation in the first row does not end", ErrNoMinima)
	}
	if _, ok := parseDate(columns[0]); ok {
		return unnamed(len(columns))
	}
	h := head{
		date: dateColumn(columns), place: columnOf(columns, "station", "stationid", "id", "location", "site", "place"),
		name: columnOf(columns, "name", "stationname"), named: true,
	}
	if h.date < 0 {
		return head{}, fmt.Errorf("%w: no column is called date, seen are %s", ErrNoMinima, list(columns))
	}
	var err error
	if h.low, err = temperature(columns, lowWords, lowNames); err != nil {
		return head{}, err
	}
	if h.low < 0 {
		return head{}, fmt.Errorf("%w: no column is called min, tmin or low, seen are %s", ErrNoMinima, list(columns))
	}
	if h.high, err = temperature(columns, highWords, highNames); err != nil {
		return head{}, err
	}
	h.lowFlags, h.highFlags = flagsOf(columns, h.low), flagsOf(columns, h.high)
	h.unit, err = headUnit(columns, h.low, h.high)
	return h, err
}

func unnamed(columns int) (head, error) {
	h := head{date: 0, low: 1, high: -1, lowFlags: -1, highFlags: -1, place: -1, name: -1}
	switch columns {
	case 3:
		h.high = 2
		return h, nil
	case 2:
		return h, nil
	}
	return head{}, fmt.Errorf("%w: date, minimum and perhaps maximum wanted, in a table without names; columns seen: %d", ErrNoMinima, columns)
}

var (
	lowWords  = []string{"min", "tmin", "minimum", "minima", "low", "lowest", "tn", "mintemp", "tempmin", "mintemperature"}
	lowNames  = []string{"min", "tmin", "tempmin", "mintemp", "minimum", "low", "mintemperature", "temperaturemin", "minimumtemperature"}
	highWords = []string{"max", "tmax", "maximum", "maxima", "high", "highest", "tx", "maxtemp", "tempmax", "maxtemperature"}
	highNames = []string{"max", "tmax", "tempmax", "maxtemp", "maximum", "high", "maxtemperature", "temperaturemax", "maximumtemperature"}

	// otherwise are words of columns that are not the air's temperature, or not a temperature.
	otherwise = []string{
		"attributes", "flag", "flags", "quality", "qc", "time", "hour", "humidity", "rh", "dew", "dewpoint", "wet", "bulb", "wind", "gust",
		"pressure", "soil", "ground", "grass", "rain", "precip", "precipitation", "snow", "sun", "solar", "uv", "sea", "water", "indoor",
		"inside", "feels", "apparent", "chill", "index",
	}
)

func dateColumn(columns []string) int {
	if i := columnOf(columns, "date"); i >= 0 {
		return i
	}
	for _, name := range []string{"date", "day", "datetime", "time"} {
		for i, c := range columns {
			if slices.Contains(words(c), name) && columnOf(columns, "year", "month") < 0 {
				return i
			}
		}
	}
	return -1
}

// temperature is the column whose name has one of the words; where several have, the
// one that is called nothing else.
func temperature(columns, has, called []string) (int, error) {
	var found, exact []int
	for i, c := range columns {
		w := words(c)
		if !overlap(w, has) || overlap(w, otherwise) {
			continue
		}
		found = append(found, i)
		if slices.Contains(called, strings.Join(w, "")) {
			exact = append(exact, i)
		}
	}
	switch {
	case len(found) == 0:
		return -1, nil
	case len(found) == 1:
		return found[0], nil
	case len(exact) == 1:
		return exact[0], nil
	}
	return -1, fmt.Errorf("%w: more than one column could be the %s, seen are %s", ErrNoMinima, has[0], list(columns))
}

func overlap(a, b []string) bool {
	return slices.ContainsFunc(a, func(s string) bool { return slices.Contains(b, s) })
}

// columnOf is the first column with one of the names, capitals and signs aside.
func columnOf(columns []string, names ...string) int {
	return slices.IndexFunc(columns, func(c string) bool { return slices.Contains(names, strings.Join(words(c), "")) })
}

// flagsOf is the column of GHCN's flags for a column.
func flagsOf(columns []string, of int) int {
	if of < 0 {
		return -1
	}
	return slices.IndexFunc(columns, func(c string) bool { return strings.EqualFold(c, columns[of]+"_ATTRIBUTES") })
}

// headUnit is the unit in the names of the two columns.
func headUnit(columns []string, low, high int) (Unit, error) {
	unit := unitIn(columns[low])
	if high < 0 {
		return unit, nil
	}
	other := unitIn(columns[high])
	if unit != Unsaid && other != Unsaid && unit != other {
		return Unsaid, fmt.Errorf("%w: the column names say %s and %s", ErrUnit, unit, other)
	}
	return max(unit, other), nil
}

func unitIn(name string) Unit {
	for _, w := range words(name) {
		if u := unitOf(w); u != Unsaid {
			return u
		}
	}
	return Unsaid
}

func unitOf(word string) Unit {
	switch word {
	case "c", "celsius", "centigrade", "degc":
		return Celsius
	case "f", "fahrenheit", "degf":
		return Fahrenheit
	}
	return Unsaid
}

// words are the words of a name in small letters: tmin_F, "Tmin (F)" and tminF are tmin and f.
func words(name string) []string {
	var out []string
	small := false
	start := true
	for _, r := range name {
		if !isWord(r) {
			start = true
			continue
		}
		if start || small && unicode.IsUpper(r) {
			out = append(out, "")
		}
		start, small = false, unicode.IsLower(r)
		out[len(out)-1] += string(unicode.ToLower(r))
	}
	return out
}

// isWord is whether a rune is part of a word. The bytes of an older coding are not.
func isWord(r rune) bool {
	return r != unicode.ReplacementChar && (unicode.IsLetter(r) || unicode.IsDigit(r))
}

// list is column names fit to be shown: twelve of them at most.
func list(columns []string) string {
	var out []string
	for i, c := range columns {
		if i == 12 {
			out = append(out, fmt.Sprintf("and %d more", len(columns)-i))
			break
		}
		out = append(out, short(c))
	}
	return strings.Join(out, ", ")
}
