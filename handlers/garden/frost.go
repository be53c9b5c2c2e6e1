package garden

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"yardbell/calc/frost"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

func frostAsks() []desk.Ask {
	date := []phrase.Kind{phrase.KindDate, phrase.KindShare, phrase.KindBad}
	onDate := []desk.Need{{Kind: phrase.KindDate}, {Kind: phrase.KindBad}}
	return []desk.Ask{
		{
			Name: "frost", Command: "frost", Keeper: true, Help: "set the place's frost dates", Forms: []string{"^frost last|first", "^last|first frost"}, Kinds: date, Needs: onDate,
			Fill:     []string{"date", "around", "usually", "frost", "last", "first"},
			Examples: []desk.Example{{Line: "frost last 28 May"}, {Line: "frost first 24 Sep"}, {Line: "last frost 28 May, first frost 24 Sep"}, {Line: "frost last 10% 8 June"}}, Do: setFrosts,
		},
		{
			Name: "frost", Command: "frost", Keeper: true, Help: "go by the middle date, or by one that fails only 1 year in 10", Question: true,
			Forms: []string{"^frost safe|middle$", "^frost risk", "^frost * by the safe|middle"}, Fill: []string{"safe", "middle", "date", "dates", "in", "year"}, Kinds: []phrase.Kind{phrase.KindShare, phrase.KindNumber},
			Examples: []desk.Example{{Line: "frost safe"}, {Line: "frost middle"}}, Do: setRisk,
		},
		{
			Name: "frost", Command: "frost", Keeper: true, Help: "what counts as frost in the weather file: 0, 2.2 or -2.2 C",
			Forms: []string{"^frost at"}, Kinds: []phrase.Kind{phrase.KindQuantity, phrase.KindNumber}, Examples: []desk.Example{{Line: "frost at 2.2 C"}}, Do: setFrostAt,
		},
		{
			Name: "frost", Command: "frost", TakesLines: true, Digest: readWeather, Help: "the frost dates; with a weather file, computed from it",
			Forms:    []string{"^frost$", "what|what's|whats * frost dates$", "when|whens|when's * last|first frost", "^frost dates$", "^frost fahrenheit|celsius|f|c$"},
			Fill:     []string{"when", "what", "usually", "normally", "year", "dates", "fahrenheit", "celsius", "f", "c"},
			Examples: []desk.Example{{Setup: dated, Line: "frost"}, {Setup: dated, Line: "when is the last frost"}}, Plain: plainFrost, Do: showFrost,
		},
		coldAsk(),
	}
}

// plainFrost keeps "the frost got me" for talk.
func plainFrost(req *desk.Request) bool {
	return req.Form != "^frost$" || len(leftOver(req, "frost")) == 0
}

// record writes a setting with its line in the day book.
func record(req *desk.Request, said string, settings map[string]string) error {
	if err := req.Record(storage.Entry{Kind: "frost", About: "house", Text: said}); err != nil {
		return err
	}
	for _, key := range slices.Sorted(maps.Keys(settings)) {
		if err := req.Tx.Set(req.House.ID, key, settings[key]); err != nil {
			return err
		}
	}
	return nil
}

// setFrosts keeps typed frost dates as day and month.
func setFrosts(req *desk.Request) (desk.Reply, error) {
	if b := req.Reading.Of(phrase.KindBad); len(b) > 0 {
		return desk.Refuse(b[0].Value.(string) + " Nothing was changed."), nil
	}
	which, edge, reply := frostsSaid(req)
	if reply.Head != "" || which == nil {
		if reply.Head == "" {
			return desk.Reply{}, desk.ErrSilent // "first frost today!" tells of the weather
		}
		return reply, nil
	}
	keys := [2]string{storage.SetLastFrost, storage.SetFirst}
	if edge {
		keys = [2]string{storage.SetLastEdge, storage.SetFirstEdge}
	}
	var said []string
	settings := map[string]string{}
	for i, name := range []string{"last frost", "first frost"} {
		day, is := which[i]
		if !is {
			continue
		}
		settings[keys[i]] = day
		text := name + " is about " + day
		if edge {
			text = fmt.Sprintf("1 year in 10 the %s is %s or %s", name, day, []string{"later", "earlier"}[i])
		}
		said = append(said, text)
	}
	if noSeason(req, which, edge) {
		return desk.Refuse("The last frost of spring and the first of autumn are less than a month apart then. Nothing was changed."), nil
	}
	head := strings.Join(said, "; ")
	if err := record(req, head, settings); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(desk.Upper(head) + ".")
	if name, _, ok, err := req.Tx.Station(req.House.ID); err != nil {
		return desk.Reply{}, err
	} else if ok {
		out.Lines = []string{fmt.Sprintf("It goes before what the weather file (%s) says.", name)}
	}
	return withMoved(req, out)
}

// The shortest frost-free season and the shortest time of frosts, in days, that are
// believed.
const (
	leastSeason = 30
	leastWinter = 1
)

// noSeason reports frost dates that would leave next to no season between them, or
// next to no winter.
func noSeason(req *desk.Request, which map[int]string, edge bool) bool {
	days := req.House.Frost
	if edge {
		days = req.House.FrostEdge
	}
	for i, d := range which {
		days[i] = d
	}
	last, ok1 := monthDay(days[0])
	first, ok2 := monthDay(days[1])
	if !ok1 || !ok2 {
		return false
	}
	season := frosts{last: last, first: first}.in(2027)
	between := int(season.First.Sub(season.Last).Hours() / 24)
	return between < leastSeason || between > 365-leastWinter
}

// withMoved moves the bells of what stands to other frost dates, and says so.
func withMoved(req *desk.Request, out desk.Reply) (desk.Reply, error) {
	moved, err := resettleAll(req)
	out.Lines = append(out.Lines, moved...)
	return out, err
}

// frostsSaid reads which frost is on which date; edge tells the date that one year in
// ten goes beyond. Nil without a question when the line tells of the weather.
func frostsSaid(req *desk.Request) (which map[int]string, edge bool, ask desk.Reply) {
	dates := req.Reading.Of(phrase.KindDate)
	example := "frost last 28 May"
	if !req.Mentions("last") {
		example = "frost first 24 Sep"
	}
	for _, s := range dates {
		if d := s.Value.(phrase.Date); d.Next.Equal(d.Last) && !strings.ContainsAny(s.Text, "0123456789") || strings.Contains(s.Text, "ago") {
			if !req.Direct {
				return nil, false, desk.Reply{}
			}
			return nil, false, desk.AskBack("On which day of the year? For example: " + example)
		}
	}
	var order []int // the frosts in the order named, one for each word
	for _, t := range req.Reading.Tokens {
		switch t.Low {
		case "last":
			order = append(order, 0)
		case "first":
			order = append(order, 1)
		}
	}
	if len(dates) != len(order) || len(dates) > 2 || len(dates) == 2 && order[0] == order[1] {
		return nil, false, desk.AskBack("On which day? For example: " + example)
	}
	for _, s := range req.Reading.Of(phrase.KindShare) {
		v := s.Value.(*big.Rat)
		if v.Cmp(big.NewRat(1, 10)) != 0 && v.Cmp(big.NewRat(9, 10)) != 0 && v.Cmp(big.NewRat(1, 2)) != 0 {
			return nil, false, desk.AskBack("I keep two dates for each frost: that of 1 year in 2 (50%) and that of 1 year in 10 (10%).")
		}
		edge = v.Cmp(big.NewRat(1, 2)) != 0
	}
	which = map[int]string{}
	for i, s := range dates {
		which[order[i]] = s.Value.(phrase.Date).Next.Format(dayLayout(req))
	}
	return which, edge, desk.Reply{}
}

// setRisk chooses which of the frost dates the garden goes by.
func setRisk(req *desk.Request) (desk.Reply, error) {
	safe := req.Mentions("safe") || req.Mentions("10")
	if !safe && !req.Mentions("middle", "50", "2") {
		return desk.AskBack("By which date? The middle one, which half the years go beyond, or the safe one, which 1 year in 10 goes beyond.", desk.Button("frost middle"), desk.Button("frost safe")), nil
	}
	value, said := "middle", "the garden goes by the middle frost dates: half the years go beyond them"
	if safe {
		value, said = "safe", "the garden goes by the safe frost dates: 1 year in 10 goes beyond them"
	}
	if err := record(req, said, map[string]string{storage.SetFrostRisk: value}); err != nil {
		return desk.Reply{}, err
	}
	req.House.FrostSafe = safe
	f, err := frostsOf(req)
	if err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(desk.Upper(said) + ".")
	if f.known {
		out.Lines = []string{desk.Upper(f.said) + "."}
	}
	return withMoved(req, out)
}

// thresholds are what may count as frost, in tenths of a degree Celsius.
var thresholds = []int{frost.Freeze, frost.Frost, frost.HardFreeze}

func setFrostAt(req *desk.Request) (desk.Reply, error) {
	low, ok := degreesSaid(req)
	at := slices.IndexFunc(thresholds, func(t int) bool { return math.Abs(low*10-float64(t)) < 3 })
	if !ok || at < 0 {
		return desk.AskBack("What counts as frost: 0 C (freezing), 2.2 C (36 F, white frost on the grass) or -2.2 C (28 F, a hard freeze)?", desk.Button("frost at 0 C"), desk.Button("frost at 2.2 C"), desk.Button("frost at -2.2 C")), nil
	}
	said := fmt.Sprintf("in the weather file frost is %s or colder", sayLow(req, float64(thresholds[at])/10))
	if err := record(req, said, map[string]string{storage.SetFrostAt: strconv.Itoa(thresholds[at])}); err != nil {
		return desk.Reply{}, err
	}
	return withMoved(req, desk.Answer(desk.Upper(said)+"."))
}

// sayLow writes a temperature of the air in the household's units.
func sayLow(req *desk.Request, c float64) string { return airText(c, req.House.US) }

// airText writes a temperature of the air, in Fahrenheit where that is used.
func airText(c float64, us bool) string {
	if us {
		return fmt.Sprintf("%.0f F", c*9/5+32)
	}
	return strings.TrimSuffix(strconv.FormatFloat(math.Round(c*10)/10, 'f', 1, 64), ".0") + " C"
}

// weatherFile is what a file that came with the line was read as.
type weatherFile struct {
	text   string
	series frost.Series
	report frost.Report
	err    error
}

// readWeather reads a weather file as it says itself. What needs the household's word
// for the unit is read again.
func readWeather(text string) any {
	w := weatherFile{text: text}
	w.series, w.report, w.err = frost.Read(text, frost.Unsaid)
	return w
}

// showFrost shows the frost dates; with a file, they are computed from it.
func showFrost(req *desk.Request) (desk.Reply, error) {
	if w, is := req.File.(weatherFile); is {
		return takeWeather(req, w)
	}
	if len(req.More) > 0 {
		return takeWeather(req, readWeather(strings.Join(req.More, "\n")).(weatherFile))
	}
	f, err := frostsOf(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if !f.known && f.normals == nil {
		return desk.AskBack("No frost dates are known yet. A keeper types them: " + dateExample(req) + "; or sends a weather file (GHCN-Daily, or date,min) with the line: frost"), nil
	}
	out := desk.Answer(desk.Upper(f.said) + ".")
	if f.known {
		now, _ := f.seasons(dayOf(req))
		out.Lines = append(out.Lines, fmt.Sprintf("%s between them this season.", desk.Plural(int(now.First.Sub(now.Last).Hours()/24)-1, "day")))
	}
	table, err := normalsTable(req)
	if err != nil {
		return desk.Reply{}, err
	}
	out.Lines = append(out.Lines, table...)
	out.Cautions = []string{averages(req)}
	out.Buttons = []storage.Button{desk.Button("frost safe"), desk.Button("frost middle")}
	return out, nil
}

// averages is the caution with every frost date.
func averages(req *desk.Request) string {
	return "Frost dates are of one spot and of years gone by: watch the forecast, and know your own hollows. Tell me a low that is forecast: " + lowExample(req)
}

func lowExample(req *desk.Request) string {
	if req.House.US {
		return "frost tonight 30F"
	}
	return "frost tonight -1"
}

// dateExample is how a keeper types the frost dates.
func dateExample(req *desk.Request) string {
	if req.House.DayFirst {
		return "frost last 28 May, and frost first 24 Sep"
	}
	return "frost last May 28, and frost first Sep 24"
}

// normalsTable are the computed dates at each threshold.
func normalsTable(req *desk.Request) ([]string, error) {
	series, name, ok, err := weather(req)
	if err != nil || !ok {
		return nil, err
	}
	from, to := series.Span()
	out := []string{fmt.Sprintf("Weather file: %s, %s to %s. Early / middle / late: 1 year in 10 is earlier, half are, 1 in 10 is later:", name, from.Format("2006"), to.Format("2006"))}
	for _, t := range thresholds {
		n, err := frost.Compute(series, t, southern(req, series))
		if errors.Is(err, frost.ErrFewSeasons) {
			out = append(out, fmt.Sprintf("%s: too few whole seasons.", sayLow(req, float64(t)/10)))
			continue
		}
		if err != nil {
			return nil, fmt.Errorf("frost dates of %s: %w", name, err)
		}
		if n.Last.Middle == (frost.MonthDay{}) && n.First.Middle == (frost.MonthDay{}) {
			out = append(out, sayLow(req, float64(t)/10)+": in most years it is never so cold.")
			continue
		}
		line := fmt.Sprintf("%s: last %s / %s / %s; first %s / %s / %s", sayLow(req, float64(t)/10),
			sayMonthDay(req, n.Last.Early), sayMonthDay(req, n.Last.Middle), sayMonthDay(req, n.Last.Late), sayMonthDay(req, n.First.Early), sayMonthDay(req, n.First.Middle), sayMonthDay(req, n.First.Late))
		if n.Length.Middle > 0 {
			line += fmt.Sprintf("; %.0f days between, %.0f in a short year", n.Length.Middle, n.Length.Shorter)
		}
		if n.Rough {
			line += fmt.Sprintf(" (rough: only %d seasons)", len(n.Seasons))
		}
		out = append(out, line+".")
	}
	return out, nil
}

// takeWeather keeps a weather file and goes by its dates.
func takeWeather(req *desk.Request, w weatherFile) (desk.Reply, error) {
	if !req.May() {
		return desk.Refuse("Only a keeper may change the frost dates."), nil
	}
	if errors.Is(w.err, frost.ErrUnit) && req.Mentions("f", "fahrenheit", "c", "celsius") {
		unit := frost.Celsius
		if req.Mentions("f", "fahrenheit") {
			unit = frost.Fahrenheit
		}
		w.series, w.report, w.err = frost.Read(w.text, unit)
	}
	if w.err != nil {
		return refusedFile(w), nil
	}
	south := southern(req, w.series)
	n, err := frost.Compute(w.series, req.House.FrostAt, south)
	if errors.Is(err, frost.ErrFewSeasons) {
		return desk.Refuse(fmt.Sprintf("That file is too short for frost dates: %s to %s, and at least 10 whole seasons are needed. Nothing was changed.", sayDate(req, w.report.First), sayDate(req, w.report.Last))), nil
	}
	if err != nil {
		return desk.Reply{}, fmt.Errorf("frost dates of a file: %w", err)
	}
	name := w.report.Station
	if name == "" {
		name = "a table of your own"
	}
	settings := map[string]string{storage.SetLastFrost: "", storage.SetFirst: "", storage.SetLastEdge: "", storage.SetFirstEdge: ""}
	if err := record(req, "frost dates from a weather file: "+name, settings); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SetStation(req.House.ID, name, w.series.Pack()); err != nil {
		return desk.Reply{}, err
	}
	moved, err := resettleAll(req)
	if err != nil {
		return desk.Reply{}, err
	}
	out, err := toldWeather(req, w.report, n)
	out.Lines = append(out.Lines, moved...)
	return out, err
}

func toldWeather(req *desk.Request, r frost.Report, n frost.Normals) (desk.Reply, error) {
	f, err := frostsOf(req)
	if err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(desk.Upper(f.said) + ".")
	if !f.known {
		out = desk.Answer("The file is kept, but in most years it has no frost: type the dates to go by.")
	}
	table, err := normalsTable(req)
	if err != nil {
		return desk.Reply{}, err
	}
	out.Lines = append([]string{"Read as " + r.Format + ": " + readOf(r) + "."}, table...)
	half, hemisphere := "1 August", "northern"
	if n.South {
		half, hemisphere = "1 February", "southern"
	}
	out.Assumed = []string{fmt.Sprintf("%s hemisphere, seasons parted at %s", hemisphere, half), "a day is one of frost when its low is at or below the figure", "quantiles of the seasons, between the two nearest"}
	if n.Invalid > 0 {
		out.Assumed = append(out.Assumed, fmt.Sprintf("%s left out for missing days", desk.Plural(n.Invalid, "season")))
	}
	out.Cautions = []string{averages(req)}
	out.Buttons = []storage.Button{desk.Button("frost safe"), desk.Button("frost middle")}
	return out, nil
}

// readOf says what of a file was taken and what was dropped.
func readOf(r frost.Report) string {
	text := desk.Plural(r.Kept, "day")
	for _, d := range []struct {
		n    int
		what string
	}{{r.Missing, "missing"}, {r.Flagged, "dropped for a quality flag"}, {r.Doubled, "given twice"}, {r.OtherElements, "of other elements passed over"}} {
		if d.n > 0 {
			text += fmt.Sprintf(", %d %s", d.n, d.what)
		}
	}
	return text
}

// refusedFile says what is wrong with a file. Nothing was changed.
func refusedFile(w weatherFile) desk.Reply {
	says := "Nothing was changed."
	switch {
	case errors.Is(w.err, frost.ErrUnit) && w.report.Unit == frost.Unsaid:
		return desk.AskBack("Are its temperatures Celsius or Fahrenheit? Send the file again with the line: frost celsius, or frost fahrenheit. " + says)
	case errors.Is(w.err, frost.ErrBadRows):
		out := desk.Refuse("That file has rows I cannot read. " + says)
		for _, b := range w.report.Bad[:min(len(w.report.Bad), mostBad)] {
			out.Lines = append(out.Lines, fmt.Sprintf("line %d: %s: %s", b.Line, b.Why, desk.Quote(b.Text)))
		}
		if more := len(w.report.Bad) + w.report.BadMore - len(out.Lines); more > 0 {
			out.Lines = append(out.Lines, fmt.Sprintf("and %d more", more))
		}
		return out
	}
	return desk.Refuse(desk.Upper(w.err.Error())+". "+says, "It can be GHCN-Daily (.dly or .csv), or rows of date,min with a header that names the unit: date,min_c")
}

// mostBad is how many bad rows are shown.
const mostBad = 8
