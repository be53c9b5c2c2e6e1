package phrase

import (
	"math/big"
	"time"
)

const day = 24 * time.Hour

// timeUnits are the units of a length of time; months and years stand for the
// calendar ones only in dates ("in 2 months"), see relativeDate.
var timeUnits = map[string]time.Duration{
	"s": time.Second, "sec": time.Second, "secs": time.Second, "second": time.Second, "seconds": time.Second,
	"min": time.Minute, "mins": time.Minute, "minute": time.Minute, "minutes": time.Minute, "m": time.Minute,
	"h": time.Hour, "hr": time.Hour, "hrs": time.Hour, "hour": time.Hour, "hours": time.Hour,
	"d": day, "day": day, "days": day, "week": 7 * day, "weeks": 7 * day, "wk": 7 * day, "wks": 7 * day,
	"w": 7 * day, "fortnight": 14 * day, "fortnights": 14 * day,
}

// maxDuration keeps arithmetic far from overflow.
const maxDuration = 50 * 366 * day

// duration reads 40 min, an hour and a half, half an hour, 2h30, two and a half hours.
func (l *line) duration(i int) (time.Duration, int, bool) {
	total, next, unit, ok := l.oneDuration(i)
	if !ok {
		return 0, i, false
	}
	for {
		j := next
		if l.low(j) == "and" {
			j++
			if p, after, ok := l.spelledPart(j); ok {
				if _, isUnit := timeUnits[l.low(after)]; !isUnit {
					total += scaled(unit, p)
					next = after
					continue
				}
			}
		}
		more, after, smaller, ok := l.oneDuration(j)
		if ok && smaller < unit && l.low(j) != "a" {
			total, next, unit = total+more, after, smaller
			continue
		}
		if unit == time.Hour && l.isNum(next) && l.glued(next) && len(l.low(next)) == 2 && l.low(next+1) != ":" {
			if m, after, ok := l.wholeNumber(next); ok && m < 60 {
				total, next = total+time.Duration(m)*time.Minute, after
			}
		}
		break
	}
	if total > maxDuration || total < 0 {
		return 0, i, false
	}
	return total, next, true
}

func (l *line) oneDuration(i int) (d time.Duration, next int, unit time.Duration, ok bool) {
	v, next, ok := l.number(i)
	if !ok {
		if w := l.low(i); w != "a" && w != "an" && w != "another" {
			return 0, i, 0, false
		}
		v, next = big.NewRat(1, 1), i+1
	}
	if l.low(next) == "of" && (l.low(next+1) == "a" || l.low(next+1) == "an") {
		next++
	}
	if w := l.low(next); w == "a" || w == "an" {
		next++
	}
	unit, ok = unitOfTime(l.low(next))
	if !ok || v.Sign() < 0 || v.Cmp(big.NewRat(1_000_000, 1)) > 0 {
		return 0, i, 0, false
	}
	return scaled(unit, v), next + 1, unit, true
}

// unitOfTime reads a unit of time, with a slip forgiven in a longer word.
func unitOfTime(w string) (time.Duration, bool) {
	if d, ok := timeUnits[w]; ok {
		return d, true
	}
	for _, name := range []string{"minutes", "minute", "hours", "weeks", "seconds"} {
		if _, near := isNear(w, name); near && w[0] == name[0] { // "40 leeks" are no weeks
			return timeUnits[name], true
		}
	}
	return 0, false
}

func scaled(unit time.Duration, v *big.Rat) time.Duration {
	r := new(big.Rat).Mul(v, new(big.Rat).SetInt64(int64(unit)))
	f, _ := r.Float64()
	if f > float64(maxDuration)+1 {
		return maxDuration + 1
	}
	return time.Duration(f).Round(time.Second)
}

// after reads "in 40 min", "40 min from now", "2 hours ago".
func (l *line) after(i int) (time.Duration, int, bool) {
	start := i
	if l.low(i) == "in" || l.low(i) == "for" {
		start = i + 1
		if w := l.low(start); w == "about" || w == "another" {
			start++
		}
	}
	d, next, ok := l.duration(start)
	if unit, _ := unitOfTime(l.low(next - 1)); !ok || unit >= day { // days and weeks are dates, which keep the wall clock
		return 0, i, false
	}
	switch l.low(next) {
	case "ago", "earlier":
		return -d, next + 1, true
	case "from":
		if l.low(next+1) == "now" {
			return d, next + 2, true
		}
	case "time", "later":
		if l.low(i) == "in" || l.low(next) == "later" {
			return d, next + 1, true
		}
	}
	return d, next, l.low(i) == "in"
}
