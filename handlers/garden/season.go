package garden

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"yardbell/calc/frost"
	"yardbell/calc/sowing"
	"yardbell/handlers/desk"
	"yardbell/storage"
)

// frosts is what the household knows of the frosts at its place.
type frosts struct {
	last, first frost.MonthDay // the dates that the garden goes by
	said        string         // what they are and how they were come by
	normals     *frost.Normals // of the weather file, nil for none
	known       bool
}

// frostsOf returns the frost dates that the garden goes by: those typed, or those of
// the weather file; of these the ones for the risk that the household has chosen.
func frostsOf(req *desk.Request) (frosts, error) {
	var f frosts
	normals, err := fileNormals(req)
	if err != nil {
		return f, err
	}
	f.normals = normals
	var how [2]string
	var ok [2]bool
	f.last, how[0], ok[0] = oneFrost(req.House, 0, normals)
	f.first, how[1], ok[1] = oneFrost(req.House, 1, normals)
	f.known = ok[0] && ok[1]
	last, first := sayMonthDay(req, f.last), sayMonthDay(req, f.first)
	if how[0] == how[1] {
		f.said = fmt.Sprintf("last frost %s, first frost %s, %s", last, first, how[0])
	} else {
		f.said = fmt.Sprintf("last frost %s, %s; first frost %s, %s", last, how[0], first, how[1])
	}
	return f, nil
}

// oneFrost is the date to go by of the last (0) or the first (1) frost.
func oneFrost(h storage.Household, which int, n *frost.Normals) (day frost.MonthDay, how string, ok bool) {
	if h.FrostSafe {
		if day, ok := monthDay(h.FrostEdge[which]); ok {
			return day, "1 year in 10 goes beyond, as you set it", true
		}
	}
	if day, ok := monthDay(h.Frost[which]); ok {
		if h.FrostSafe {
			return day, "as you set it (no date for 1 year in 10 is known)", true
		}
		return day, "as you set it", true
	}
	if n == nil {
		return day, "", false
	}
	spread, edge := n.Last, n.Last.Late
	if which == 1 {
		spread, edge = n.First, n.First.Early
	}
	if h.FrostSafe {
		return edge, "1 year in 10 goes beyond, by the weather file", edge != frost.MonthDay{}
	}
	return spread.Middle, "1 year in 2, by the weather file", spread.Middle != frost.MonthDay{}
}

// fileNormals computes the frost dates of the weather file that is kept.
func fileNormals(req *desk.Request) (*frost.Normals, error) {
	series, _, ok, err := weather(req)
	if err != nil || !ok {
		return nil, err
	}
	n, err := frost.Compute(series, req.House.FrostAt, southern(req, series))
	if errors.Is(err, frost.ErrFewSeasons) {
		return nil, nil //nolint:nilerr // at this threshold there are none: the file says nothing
	}
	return &n, err
}

func weather(req *desk.Request) (frost.Series, string, bool, error) {
	name, packed, ok, err := req.Tx.Station(req.House.ID)
	if err != nil || !ok {
		return frost.Series{}, "", false, err
	}
	s, err := frost.Unpack(packed)
	if err != nil {
		return frost.Series{}, "", false, fmt.Errorf("the weather file that is kept: %w", err)
	}
	return s, name, true, nil
}

// southern tells the hemisphere by the place or, where none is set, by which of
// January and July is the colder.
func southern(req *desk.Request, s frost.Series) bool {
	if lat, _, ok := place(req); ok {
		return lat < 0
	}
	first, last := s.Span()
	sum, n := map[time.Month]int{}, map[time.Month]int{}
	for d := first; !d.After(last); d = d.AddDate(0, 0, 1) {
		if v, ok := s.Min(d); ok {
			sum[d.Month()] += v
			n[d.Month()]++
		}
	}
	mean := func(m time.Month) float64 { return float64(sum[m]) / float64(max(n[m], 1)) }
	return mean(time.July) < mean(time.January)
}

// afterFrost is how long after its first frost a season still goes on: garlic goes in.
const afterFrost = 42 * 24 * time.Hour

// in is the season whose last frost is in a year.
func (f frosts) in(year int) sowing.Frosts {
	s := sowing.Frosts{Last: f.last.In(year), First: f.first.In(year)}
	if !s.First.After(s.Last) { // the south: the first frost comes in the year after
		s.First = f.first.In(year + 1)
	}
	return s
}

// seasons returns the running season of a day, or the coming one in winter, and the
// one after it.
func (f frosts) seasons(day time.Time) (now, next sowing.Frosts) {
	for year := day.Year() - 1; ; year++ {
		if now = f.in(year); !now.First.Add(afterFrost).Before(day) {
			return now, f.in(year + 1)
		}
	}
}

// season is the frosts of the season that a day belongs to. Reply asks for them when
// they are not known.
func season(req *desk.Request, day time.Time) (f frosts, now, next sowing.Frosts, reply desk.Reply, err error) {
	f, err = frostsOf(req)
	if err != nil {
		return f, now, next, reply, err
	}
	if !f.known {
		return f, now, next, desk.AskBack("When are the frosts at your place? A keeper types them once: " + dateExample(req) + "; or sends a weather file with the line: frost"), nil
	}
	now, next = f.seasons(day)
	return f, now, next, reply, nil
}

// seasonOf is the frosts of the season that a crop is in on a day: the next season's,
// once that has opened for it.
func seasonOf(req *desk.Request, p plant, day time.Time) (f frosts, now, next sowing.Frosts, reply desk.Reply, err error) {
	f, now, next, reply, err = season(req, day)
	if err == nil && reply.Head == "" {
		now, next = f.seasonsFor(p, day)
	}
	return f, now, next, reply, err
}

// seasonsFor is the season that a crop is in on a day, and the one after it.
func (f frosts) seasonsFor(p plant, day time.Time) (now, next sowing.Frosts) {
	now, next = f.seasons(day)
	if sowing.Opened(p.Crop, next, day) {
		return next, f.in(next.Last.Year() + 1)
	}
	return now, next
}

// monthDay reads a day of the year as it is kept in the settings.
func monthDay(text string) (frost.MonthDay, bool) {
	for _, layout := range []string{"2 Jan", "Jan 2"} {
		if t, err := time.Parse(layout, text); err == nil {
			return frost.MonthDay{Month: t.Month(), Day: t.Day()}, true
		}
	}
	return frost.MonthDay{}, false
}

func sayMonthDay(req *desk.Request, m frost.MonthDay) string {
	if m == (frost.MonthDay{}) {
		return "none"
	}
	return m.In(2028).Format(dayLayout(req))
}

func dayLayout(req *desk.Request) string {
	if req.House.DayFirst {
		return "2 Jan"
	}
	return "Jan 2"
}

// sayDate writes a date with its weekday, and with its year when it is not this one.
func sayDate(req *desk.Request, d time.Time) string {
	layout := "Mon " + dayLayout(req)
	if d.Year() != req.Wall.Year() {
		layout += " 2006"
	}
	return d.Format(layout)
}

// sayDays writes a run of dates.
func sayDays(req *desk.Request, from, to time.Time) string {
	if !to.After(from) {
		return sayDate(req, from)
	}
	return sayDate(req, from) + " to " + sayDate(req, to)
}

// place reads the household's latitude and longitude.
func place(req *desk.Request) (lat, lon float64, ok bool) {
	fields := strings.Fields(req.House.Place)
	if len(fields) < 2 {
		return 0, 0, false
	}
	lat, err1 := strconv.ParseFloat(fields[0], 64)
	lon, err2 := strconv.ParseFloat(fields[1], 64)
	return lat, lon, err1 == nil && err2 == nil
}
