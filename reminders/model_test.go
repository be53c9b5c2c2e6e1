package reminders_test

import (
	"sort"
	"time"

	"yardbell/storage"
)

// The model of the proof: what has to ring in a year, worked out another way. It
// shares no code with the package: a day is asked whether a bell belongs to it,
// and a wall time is looked up in a list of all minutes of the zone.

// minuteOf lists, for a zone, the first instant at which its clock shows a wall
// minute.
type minuteOf map[int64]int64

func listMinutes(zone *time.Location, from, to time.Time) minuteOf {
	m := minuteOf{}
	for t := from.Unix(); t < to.Unix(); t += 60 {
		_, offset := time.Unix(t, 0).In(zone).Zone()
		if _, seen := m[t+int64(offset)]; !seen {
			m[t+int64(offset)] = t
		}
	}
	return m
}

// instant looks a wall time up; one that does not exist comes as long after the
// last that does as it says.
func (m minuteOf) instant(w time.Time) time.Time {
	for back := int64(0); back < 6*3600; back += 60 {
		if t, ok := m[w.Unix()-back]; ok {
			return time.Unix(t+back, 0).UTC()
		}
	}
	panic("no such wall time: " + w.String())
}

// kind is a bell with what the model needs to know of it.
type kind struct {
	bell  storage.Bell
	on    func(day time.Time) bool // the days of a repeating bell
	at    []int                    // minutes after midnight
	once  time.Time                // wall time of a bell that rings once
	from  time.Time                // instant of an elapsed one
	step  time.Duration            // of an elapsed one that repeats
	times int                      // at most, 0 for no end
	until time.Time                // last day, zero for no end
	to    []string                 // who hears it
	turn  bool                     // one of them at a time
	extra int                      // by how many more the turn goes on with each monday
}

// occurrence is one time that a bell falls due.
type occurrence struct {
	due  time.Time
	seen time.Time // when the engine can first know of it: after an outage, later
}

// rung is a ring that has to be said: when, to whom, for which occurrence.
type rung struct {
	Title string
	Due   time.Time
	Said  time.Time
	To    string
}

// year is all that happens to the household in the year of the proof.
type year struct {
	from, to   time.Time
	moved      time.Time
	before     minuteOf
	after      minuteOf
	zoneBefore *time.Location
	zoneAfter  *time.Location
	outages    [][2]time.Time
	quiet      [2]int
	bare       time.Time // wall date
	away       string
	awayFrom   time.Time
	awayUntil  time.Time
	keepers    []string
}

func (y *year) zone(t time.Time) (*time.Location, minuteOf) {
	if t.Before(y.moved) {
		return y.zoneBefore, y.before
	}
	return y.zoneAfter, y.after
}

// instant turns a wall time into the instant at which it falls due: a wall time
// that had come before the household moved keeps the zone it had then.
func (y *year) instant(w time.Time) time.Time {
	if t := y.before.instant(w); !t.After(y.moved) {
		return t
	}
	return y.after.instant(w)
}

// dues lists when a bell falls due in the year.
func (y *year) dues(k kind) []time.Time {
	var out []time.Time
	switch {
	case !k.once.IsZero():
		return []time.Time{y.instant(k.once)}
	case !k.from.IsZero() && k.step == 0:
		return []time.Time{k.from}
	case k.step > 0:
		for t := k.from; t.Before(y.to); t = t.Add(k.step) {
			out = append(out, t)
		}
	default:
		for day := date(y.from); day.Before(y.to.AddDate(0, 0, 2)) && (k.until.IsZero() || !day.After(k.until)); day = day.AddDate(0, 0, 1) {
			if !k.on(day) {
				continue
			}
			for _, m := range k.at {
				if t := y.instant(day.Add(time.Duration(m) * time.Minute)); t.After(y.from) {
					out = append(out, t)
				}
			}
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Before(out[j]) })
	if k.times > 0 && len(out) > k.times {
		out = out[:k.times]
	}
	return out
}

func date(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)
}

// awake returns the first instant from t on at which the machine runs.
func (y *year) awake(t time.Time) time.Time {
	for _, o := range y.outages {
		if !t.Before(o[0]) && t.Before(o[1]) {
			return o[1]
		}
	}
	return t
}

// free returns the first instant from t on at which nothing holds a ring back.
func (y *year) free(k kind, t time.Time) time.Time {
	if k.bell.Safety {
		return y.awake(t)
	}
	for {
		zone, minutes := y.zone(t)
		local := t.In(zone)
		wall := time.Date(local.Year(), local.Month(), local.Day(), local.Hour(), local.Minute(), 0, 0, time.UTC)
		m := wall.Hour()*60 + wall.Minute()
		next := t
		switch {
		case !k.bell.Care && date(wall).Equal(y.bare):
			next = minutes.instant(y.bare.AddDate(0, 0, 1).Add(7 * time.Hour))
		case !k.bell.Care && !k.turn && len(k.to) == 1 && k.to[0] == y.away && !t.Before(y.awayFrom) && t.Before(y.awayUntil):
			next = y.awayUntil
		case m >= y.quiet[0]:
			next = minutes.instant(date(wall).AddDate(0, 0, 1).Add(time.Duration(y.quiet[1]) * time.Minute))
		case m < y.quiet[1]:
			next = minutes.instant(date(wall).Add(time.Duration(y.quiet[1]) * time.Minute))
		}
		if next = y.awake(next); next.Equal(t) {
			return t
		}
		t = next
	}
}

// predict works out what a bell has to ring in the year, and how many of its
// occurrences are passed over, replaced before they were said, or missed.
func (y *year) predict(k kind) (rings []rung, passed, merged, missed int) {
	var due []occurrence
	for _, t := range y.dues(k) {
		if t.Before(y.to) {
			due = append(due, occurrence{t, y.awake(t)})
		}
	}
	turn, last := 0, time.Time{}
	for i, o := range due {
		if i+1 < len(due) && due[i+1].seen.Equal(o.seen) {
			passed++
			continue
		}
		to := k.to
		if k.turn {
			if !last.IsZero() {
				turn += k.extra * y.mondays(last, o.due)
			}
			last = o.due
			for y.gone(k.to[turn%len(k.to)], o.seen) {
				turn++
			}
			to = []string{k.to[turn%len(k.to)]}
			turn++
		}
		if !k.bell.Safety && o.seen.Sub(o.due) > k.bell.Useful {
			missed++
			continue
		}
		said := y.free(k, o.seen)
		switch {
		case i+1 < len(due) && !due[i+1].seen.After(said):
			merged++
			continue
		case !k.bell.Safety && said.Sub(o.due) > k.bell.Useful:
			missed++
			continue
		case !said.Before(y.to):
			continue
		}
		for _, name := range y.hearers(k, to, said) {
			rings = append(rings, rung{k.bell.Title, o.due, said, name})
		}
	}
	return rings, passed, merged, missed
}

// mondays counts the days from one instant to another that are one.
func (y *year) mondays(from, to time.Time) (n int) {
	zone, _ := y.zone(to)
	local := func(t time.Time) time.Time { return date(t.In(zone)) }
	for day := local(from).AddDate(0, 0, 1); !day.After(local(to)); day = day.AddDate(0, 0, 1) {
		if day.Weekday() == time.Monday {
			n++
		}
	}
	return n
}

func (y *year) gone(name string, t time.Time) bool {
	return name == y.away && !t.Before(y.awayFrom) && t.Before(y.awayUntil)
}

// hearers are those of a ring who are there; when none is, what is care goes to
// the keepers.
func (y *year) hearers(k kind, to []string, t time.Time) []string {
	var here []string
	for _, name := range to {
		if !y.gone(name, t) {
			here = append(here, name)
		}
	}
	if len(here) == 0 && (k.bell.Care || k.bell.Safety) {
		return y.keepers
	}
	return here
}
