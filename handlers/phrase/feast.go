package phrase

import (
	"strings"

	"yardbell/calc/feast"
)

// feasts are the words of the days that have a name, by the first of them: each word of a line
// asks.
var feasts = func() map[string][]namedDay {
	out := map[string][]namedDay{}
	for _, d := range feast.Days {
		words := strings.Fields(d.Name)
		out[words[0]] = append(out[words[0]], namedDay{d, words})
	}
	return out
}()

type namedDay struct {
	feast.Day
	words []string
}

// feastDate reads good friday, boxing day, presidents day: days that have a name.
func (l *line) feastDate(i int) (Date, int, bool) {
	for _, d := range feasts[l.low(i)] {
		next, ok := l.words(i, d.words...)
		if !ok {
			continue
		}
		now := l.today()
		year, after := l.year(next)
		if year != 0 {
			return fixed(d.In(year)), after, true
		}
		var out Date
		for y := now.Year() - 1; y <= now.Year()+1; y++ {
			t := d.In(y)
			if !t.After(now) {
				out.Last = t
			}
			if !t.Before(now) && out.Next.IsZero() {
				out.Next = t
			}
		}
		return out, next, true
	}
	return Date{}, i, false
}
