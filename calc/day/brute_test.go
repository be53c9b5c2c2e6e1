package day_test

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/day"
)

// score is the stated objective, smaller is better, level by level.
type score []int

// ranked are the jobs in the order of how pressing they are.
func ranked(h day.House, jobs []day.Job) []day.Job {
	out := slices.Clone(jobs)
	due := func(j day.Job) int64 {
		if j.Due.IsZero() {
			return 1 << 60
		}
		return j.Due.Unix()
	}
	slices.SortFunc(out, func(a, b day.Job) int {
		if a.Pin.IsZero() != b.Pin.IsZero() {
			return b.Pin.Compare(a.Pin)
		}
		return cmp.Or(cmp.Compare(b.Pressure(h.Now), a.Pressure(h.Now)), cmp.Compare(due(a), due(b)), cmp.Compare(a.ID, b.ID))
	})
	return out
}

// scored works the objective out for placements of ranked jobs.
func scored(h day.House, jobs []day.Job, placed map[string][]day.Placement) score {
	var laid, stay, when score
	late, moves := 0, 0
	for _, j := range jobs {
		parts := placed[j.ID]
		switch len(parts) {
		case 0:
			laid = append(laid, 1_000_000)
		case 1:
			laid = append(laid, 0)
		default:
			laid = append(laid, len(parts)*1000-int(parts[0].To.Sub(parts[0].From)/time.Minute))
		}
		for i, p := range parts {
			if i == len(parts)-1 && !j.Due.IsZero() {
				due, done := j.Due.Truncate(24*time.Hour), rounded(p.Span).To.Add(-1).Truncate(24*time.Hour)
				late += max(j.Cost, 1) * max(0, int(done.Sub(due)/(24*time.Hour)))
			}
			stays := 1
			if i < len(j.Was) {
				if p.From.Equal(j.Was[i].From) && slices.Equal(p.Who, j.Was[i].Who) {
					stays = 0
				} else {
					moves++
				}
			}
			stay = append(stay, stays)
			when = append(when, int(p.From.Unix()/60))
			when = append(when, order(h, p.Who)...)
		}
	}
	return slices.Concat(laid, score{late, moves}, stay, when)
}

// order is the order in which people are taken: adults by name, then children by name.
func order(h day.House, who []string) score {
	names := []string{}
	for _, child := range []bool{false, true} {
		var some []string
		for _, p := range h.People {
			if p.Child == child {
				some = append(some, p.Name)
			}
		}
		slices.Sort(some)
		names = append(names, some...)
	}
	var out score
	for _, w := range who {
		out = append(out, slices.Index(names, w))
	}
	slices.Sort(out)
	return out
}

// mostTried bounds how much best tries; the days with more are passed over.
const mostTried = 400_000

// best tries everything; false when that is too much.
func best(h day.House, jobs []day.Job, from, to time.Time) (score, bool) {
	jobs = ranked(h, jobs)
	tried := 0
	var top score
	placed := map[string][]day.Placement{}
	fits := map[string]bool{}
	var flat []day.Placement
	var try func(i int)
	var lay func(j day.Job, lengths []time.Duration, part, i int)
	lay = func(j day.Job, lengths []time.Duration, part, i int) {
		if part == len(lengths) {
			try(i + 1)
			return
		}
		for t := from; t.Before(to) && tried < mostTried; t = t.Add(day.Grain) {
			if !j.Pin.IsZero() && !t.Equal(from) {
				break
			}
			s := day.Span{From: t, To: t.Add(lengths[part])}
			if !j.Pin.IsZero() {
				s = day.Span{From: j.Pin, To: j.Pin.Add(lengths[part])}
			}
			if part > 0 && s.From.Before(rounded(placed[j.ID][part-1].Span).To) {
				continue
			}
			for _, who := range teams(h, max(j.Hands, 1, len(j.By))) {
				key := fmt.Sprint(i, part, len(lengths), lengths[part], s.From.Unix(), who)
				if _, known := fits[key]; !known {
					fits[key] = alone(h, j, s, who) == ""
				}
				tried++
				if !fits[key] {
					continue
				}
				if slices.ContainsFunc(flat, func(p day.Placement) bool {
					return both(h, j, jobOf(jobs, p.Job), s, p.Span, who, p.Who) != ""
				}) {
					continue
				}
				p := day.Placement{Job: j.ID, Part: part + 1, Span: s, Who: who}
				flat = append(flat, p)
				placed[j.ID] = append(placed[j.ID], p)
				lay(j, lengths, part+1, i)
				flat = flat[:len(flat)-1]
				placed[j.ID] = placed[j.ID][:part]
			}
		}
	}
	try = func(i int) {
		if i == len(jobs) {
			if s := scored(h, jobs, placed); top == nil || slices.Compare(s, top) < 0 {
				top = s
			}
			return
		}
		j := jobs[i]
		lay(j, []time.Duration{j.Takes}, 0, i)
		if j.Part > 0 && j.Pin.IsZero() && j.Need&day.Lye == 0 {
			for _, lengths := range cuts(j) {
				lay(j, lengths, 0, i)
			}
		}
		if top == nil || slices.Compare(scored(h, jobs[:i], placed)[:i], top[:i]) <= 0 {
			try(i + 1)
		}
	}
	try(0)
	return top, tried < mostTried
}

// cuts lists the ways to cut a job that may be split.
func cuts(j day.Job) [][]time.Duration {
	var out [][]time.Duration
	for step := 0; j.Takes >= 2*j.Part; step++ {
		first := max(j.Takes-j.Part-time.Duration(step)*15*time.Minute, j.Part)
		out = append(out, []time.Duration{first, j.Takes - first})
		if first == j.Part {
			break
		}
	}
	for n := 3; n <= 6; n++ {
		even := (j.Takes/time.Duration(n) + day.Grain - 1).Truncate(day.Grain)
		last := j.Takes - even*time.Duration(n-1)
		if j.Takes/time.Duration(n) < j.Part || last < j.Part {
			continue
		}
		lengths := make([]time.Duration, n)
		for i := range lengths {
			lengths[i] = even
		}
		lengths[n-1] = last
		out = append(out, lengths)
	}
	return out
}

func byJob(p day.Plan) map[string][]day.Placement {
	out := map[string][]day.Placement{}
	for _, l := range p.Placed {
		out[l.Job] = append(out[l.Job], l)
	}
	for _, parts := range out {
		slices.SortFunc(parts, func(a, b day.Placement) int { return cmp.Compare(a.Part, b.Part) })
	}
	return out
}

var eve = time.Date(2027, 3, 1, 23, 0, 0, 0, time.UTC)

func fives(n int) time.Time { return eve.Add(time.Duration(n) * day.Grain) }

// anySpan draws a span within the first n grains.
func anySpan(t *rapid.T, n int, name string) day.Span {
	from := rapid.IntRange(0, n-1).Draw(t, name+" from")
	return day.Span{From: fives(from), To: fives(rapid.IntRange(from+1, n).Draw(t, name+" to"))}
}

func maybeSpans(t *rapid.T, n int, name string) []day.Span {
	if rapid.IntRange(0, 5).Draw(t, name) > 0 {
		return nil
	}
	return []day.Span{anySpan(t, n, name)}
}

func subset(t *rapid.T, names []string, name string) []string {
	var out []string
	for _, n := range names {
		if rapid.Bool().Draw(t, name+" "+n) {
			out = append(out, n)
		}
	}
	return out
}

// smallHouse draws a house of n grains about midnight.
func smallHouse(t *rapid.T, n int) day.House {
	h := day.House{Now: eve}
	for i, p := range []day.Person{{Name: "Maren"}, {Name: "Tom"}, {Name: "Ivo", Child: true, Age: 13}, {Name: "Pim", Child: true, Age: 6}} {
		if i == 0 || rapid.Bool().Draw(t, p.Name) {
			p.Busy, p.Out = maybeSpans(t, n, p.Name+" busy"), maybeSpans(t, n, p.Name+" out")
			h.People = append(h.People, p)
		}
	}
	var names []string
	for _, p := range h.People {
		names = append(names, p.Name)
	}
	for i := range rapid.IntRange(1, 4).Draw(t, "blocks") {
		name := string(rune('a' + i))
		b := day.Block{Name: name, Span: anySpan(t, n, "block "+name), Open: rapid.IntRange(0, 5).Draw(t, name+" open") > 0, Away: rapid.Bool().Draw(t, name+" away")}
		if rapid.Bool().Draw(t, name+" named") {
			b.Who = subset(t, names, name+" who")
		}
		h.Blocks = append(h.Blocks, b)
	}
	if rapid.IntRange(0, 3).Draw(t, "long") > 0 { // most days have a stretch for everybody
		h.Blocks[0] = day.Block{Name: "a", Span: day.Span{From: fives(0), To: fives(rapid.IntRange(n/2, n).Draw(t, "long to"))}, Open: true, Away: h.Blocks[0].Away}
	}
	h.Kitchen, h.Oven, h.Wet = maybeSpans(t, n, "kitchen"), maybeSpans(t, n, "oven"), maybeSpans(t, n, "wet")
	h.Light = []day.Span{anySpan(t, n, "light")}
	return h
}

func smallJob(t *rapid.T, h day.House, id string, n int) day.Job {
	var names, grown []string
	for _, p := range h.People {
		names = append(names, p.Name)
		if !p.Child {
			grown = append(grown, p.Name)
		}
	}
	draw := func(what string, most int) int { return rapid.IntRange(0, most).Draw(t, id+" "+what) }
	j := day.Job{ID: id, Takes: time.Duration(5+draw("takes", 25)) * time.Minute, Cost: draw("cost", 4)}
	j.Need = rapid.SampledFrom([]day.Need{0, 0, 0, day.Kitchen, day.Oven, day.Light, day.Dry, day.Elsewhere, day.Lye, day.Lye | day.Kitchen, day.Kitchen | day.Oven}).Draw(t, id+" need")
	dangerous := j.Need&(day.Elsewhere|day.Lye) != 0
	switch draw("who", 5) {
	case 0:
		j.Children, j.LeastAge = true, []int{0, 10}[draw("age", 1)]
	case 1:
		pool := names
		if dangerous {
			pool = grown
		}
		j.Of = subset(t, pool, id+" of")
	case 2:
		j.By = []string{grown[draw("by", len(grown)-1)]}
	case 3:
		if !dangerous {
			j.Hands, j.Children = 2, true
		}
	}
	if draw("due?", 2) == 0 {
		j.Due = fives(0).AddDate(0, 0, draw("due", 1)-draw("overdue", 1))
	}
	if draw("earliest?", 4) == 0 {
		j.Earliest = fives(draw("earliest", n))
	}
	if draw("latest?", 4) == 0 {
		j.Latest = fives(draw("latest", n))
	}
	if draw("part?", 4) == 0 {
		j.Part = time.Duration(5+5*draw("part", 2)) * time.Minute
		j.Takes = j.Takes.Truncate(5*time.Minute) + 0
	}
	if draw("pin?", 6) == 0 {
		j.Pin = fives(draw("pin", n-1))
	}
	if draw("was?", 1) == 0 {
		j.Was = []day.Stand{{Span: day.Span{From: fives(draw("was", n-1))}, Who: []string{names[draw("was who", len(names)-1)]}}}
		j.Was[0].To = j.Was[0].From.Add(j.Takes)
	}
	return j
}

// TestBestIsBest lays small random days and tries everything beside it.
func TestBestIsBest(t *testing.T) {
	exact, all, judged, laid := 0, 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(8, 20).Draw(t, "grains")
		h := smallHouse(t, n)
		var jobs []day.Job
		for i := range rapid.IntRange(2, 4).Draw(t, "jobs") {
			jobs = append(jobs, smallJob(t, h, strings.Repeat("j", i+1), n))
		}
		plan, err := day.Lay(h, jobs)
		require.NoError(t, err)
		require.Empty(t, broken(h, jobs, plan))
		all++
		laid += len(plan.Placed)
		got := scored(h, ranked(h, jobs), byJob(plan))
		want, ok := best(h, jobs, eve, fives(n))
		if !ok {
			return
		}
		judged++
		require.LessOrEqual(t, slices.Compare(want, got), 0, "better than the best")
		if !plan.Exact {
			return
		}
		exact++
		require.Equal(t, want, got)
	})
	t.Logf("%d days, %d of them shown to be best, %d tried in every way, %d pieces laid", all, exact, judged, laid)
	require.Greater(t, judged, all/2)
	require.GreaterOrEqual(t, exact*100, judged*97)
	require.Greater(t, laid, all/2)
}
