package garden

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/sowing"
	"yardbell/handlers/desk"
	"yardbell/handlers/picture"
	"yardbell/storage"
)

func timelineAsk() desk.Ask {
	return desk.Ask{
		Name: "season", Command: "sow", Doubt: true, Help: "a picture of the season: each crop on the frosts of the place", Lists: []string{"crops"},
		Forms: []string{"season picture|chart|timeline", "picture|chart|timeline * season", "^season$", "garden picture|timeline|chart", "picture|timeline * garden"}, Fill: []string{"season", "picture", "chart", "timeline", "the", "of", "show", "draw", "garden", "our", "this", "year", "with"},
		Examples: []desk.Example{{Setup: slices.Concat(dated, []string{"plan 24 tomatoes"}), Line: "season picture"}, {Setup: dated, Line: "picture of the season with tomatoes, leeks and peas"}},
		Plain:    func(req *desk.Request) bool { return len(req.Reading.Unknown) == 0 && req.Form != "^season$" }, Do: timeline,
	}
}

// mostBars is how many crops a picture shows.
const mostBars = 16

// timeline draws the season of what the household grows, or of the crops that the line
// names, and says the same dates in words.
func timeline(req *desk.Request) (desk.Reply, error) {
	day := dayOf(req)
	f, now, _, reply, err := season(req, day)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	plants, reply, err := cropsSaid(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if len(plants) == 0 {
		if plants, err = ourPlants(req); err != nil {
			return desk.Reply{}, err
		}
	}
	if len(plants) == 0 {
		return desk.AskBack("Of which crops? Say what you grow: plan 24 tomatoes; or name them: season picture tomatoes, leeks and peas"), nil
	}
	out := desk.Answer(fmt.Sprintf("The season of %d:", now.Last.Year()))
	if len(plants) > mostBars {
		out.Lines = append(out.Lines, fmt.Sprintf("The first %d of %d crops.", mostBars, len(plants)))
		plants = plants[:mostBars]
	}
	all, err := sowings(req)
	if err != nil {
		return desk.Reply{}, err
	}
	pic := picture.Timeline{
		Title: fmt.Sprintf("Garden %d: last frost %s, first %s", now.Last.Year(), now.Last.Format(dayLayout(req)), now.First.Format(dayLayout(req))),
		Today: picture.VLine{Day: number(day), Label: "today"},
	}
	from, to := now.Last, now.First.AddDate(0, 0, 21)
	var first time.Time // to be picked
	for _, p := range plants {
		l := lineOf(req, p, all, now)
		if l.begin.IsZero() {
			continue
		}
		if !l.pick.IsZero() && (first.IsZero() || l.pick.Before(first)) {
			first = l.pick
			pic.Title = fmt.Sprintf("Garden %d: first to pick %s, %s", now.Last.Year(), p.label(), first.Format(dayLayout(req)))
		}
		from = earlier(from, l.begin)
		pic.Rows = append(pic.Rows, picture.Row{Label: p.label(), Bars: l.bars(now)})
		out.Lines = append(out.Lines, desk.Upper(p.label())+": "+l.say(req))
	}
	if len(pic.Rows) == 0 {
		return desk.AskBack("None of these has dates in a season."), nil
	}
	from = from.AddDate(0, 0, -7)
	pic.From, pic.To = number(from), number(to)
	pic.Months, pic.Cold = months(from, to), [][2]float64{{number(from), number(now.Last)}, {number(now.First), number(to)}}
	if day.Before(from) || day.After(to) {
		pic.Today = picture.VLine{}
	}
	order, err := picture.OrderTimeline(pic)
	if err != nil {
		return desk.Reply{}, fmt.Errorf("picture of the season: %w", err)
	}
	out.Files = []storage.File{{Name: fmt.Sprintf("season-%d.png", now.Last.Year()), Type: "image/png", Drawing: order}}
	out.Assumed = []string{f.said, "planned dates where nothing has happened yet"}
	return out, nil
}

// number counts days, for a picture.
func number(d time.Time) float64 { return float64(d.Unix()) / 86400 }

func earlier(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}

func months(from, to time.Time) []picture.VLine {
	var out []picture.VLine
	for m := time.Date(from.Year(), from.Month(), 1, 0, 0, 0, 0, time.UTC); !m.After(to); m = m.AddDate(0, 1, 0) {
		out = append(out, picture.VLine{Day: max(number(m), number(from)), Label: m.Format("Jan")})
	}
	return out
}

// course is the days of a crop in a season: as they were, and else as planned.
type course struct {
	begin, harden, out, pick, end time.Time
	indoors, real, planted        bool
}

// lineOf is a crop's season: that of its newest sowing in it, or the planned one.
func lineOf(req *desk.Request, p plant, all []sown, now sowing.Frosts) course {
	for _, s := range slices.Backward(all) {
		if s.kind.table.Name != p.table.Name || p.variety != "" && !strings.EqualFold(s.Variety, p.variety) || s.Sown.Before(now.Last.AddDate(0, -7, 0)) {
			continue
		}
		out, pick, err := s.outAndPick(req)
		if err != nil {
			return course{}
		}
		c := course{begin: s.Sown, indoors: !s.Outdoors, out: out, pick: pick, real: true, planted: s.planted()}
		if !s.Planted.IsZero() {
			c.out = s.Planted
		}
		if !s.Picked.IsZero() {
			c.pick = s.Picked
		}
		c.harden = c.out.AddDate(0, 0, -sowing.HardenDays)
		if !s.Hardening.IsZero() {
			c.harden = s.Hardening
		}
		c.end = laterDay(now.First.AddDate(0, 0, 14), c.pick)
		if !s.Over.IsZero() {
			c.end = s.Over
		}
		return c
	}
	begin, indoors := beginning(p, now)
	f, err := sowing.Follow(p.Crop, now, begin, indoors)
	if err != nil || f.Early.Sub(begin) > 400*24*time.Hour {
		return course{}
	}
	return course{begin: begin, indoors: indoors, planted: p.Germination == 0, out: f.SetOut, harden: f.SetOut.AddDate(0, 0, -sowing.HardenDays), pick: f.Early, end: f.Limit}
}

func (c course) bars(now sowing.Frosts) []picture.Bar {
	bar := func(a, b time.Time, s picture.Stage) picture.Bar {
		return picture.Bar{From: number(a), To: number(laterDay(b, a)), Stage: s}
	}
	var out []picture.Bar
	outside := c.begin
	if c.indoors && !c.out.IsZero() {
		out = append(out, bar(c.begin, c.harden, picture.UnderCover), bar(c.harden, c.out, picture.Hardening))
		outside = c.out
	}
	if c.pick.IsZero() {
		return append(out, bar(outside, c.end, picture.Outside))
	}
	return append(out, bar(outside, earlier(c.pick, laterDay(c.end, outside)), picture.Outside), bar(c.pick, c.end, picture.Harvest))
}

func (c course) say(req *desk.Request) string {
	verb := "sow"
	switch {
	case c.planted:
		verb = "plant"
	case c.indoors:
		verb = "start"
	}
	if c.real {
		verb = map[string]string{"sow": "sown", "start": "started", "plant": "planted"}[verb]
	}
	text := fmt.Sprintf("%s %s", verb, c.begin.Format(dayLayout(req)))
	if c.indoors && !c.out.IsZero() {
		text += ", out " + c.out.Format(dayLayout(req))
	}
	if !c.pick.IsZero() {
		text += ", pick from " + c.pick.Format(dayLayout(req))
	}
	return text
}
