package phrase

// usualTimes is how often "again every 5 min" stands for.
const usualTimes = 3

// again reads how a ring is said again while nobody answers: "again every 5 min",
// "again after 10 min twice", "again every 10 min 4 times", "again in the rounds",
// "no repeats".
func (l *line) again(i int) (Again, int, bool) {
	if w := l.low(i); w == "no" || w == "without" || w == "don't" {
		next := i + 1
		if w := l.low(next); w == "repeats" || w == "repeat" || w == "repeating" || w == "nagging" {
			return Again{Never: true}, next + 1, true
		}
		return Again{}, i, false
	}
	if l.low(i) != "again" {
		return Again{}, i, false
	}
	next := i + 1
	if l.low(next) == "never" {
		return Again{Never: true}, next + 1, true
	}
	if l.low(next) == "in" || l.low(next) == "with" || l.low(next) == "at" {
		after := next + 1
		if l.low(after) == "the" {
			after++
		}
		if w := l.low(after); w == "round" || w == "rounds" {
			return Again{}, after + 1, true
		}
	}
	times := 1
	switch l.low(next) {
	case "every":
		times = usualTimes
	case "after", "in":
	default:
		return Again{}, i, false
	}
	wait, next, ok := l.duration(next + 1)
	if !ok {
		return Again{}, i, false
	}
	if n, after, ok := l.times(next); ok {
		times, next = n, after
	} else if l.low(next) == "twice" {
		times, next = 2, next+1
	}
	return Again{Wait: wait, Times: times}, next, true
}
