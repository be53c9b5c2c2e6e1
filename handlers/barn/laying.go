package barn

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"yardbell/calc/daylight"
	"yardbell/calc/flock"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/handlers/picture"
	"yardbell/reminders"
	"yardbell/storage"
)

// lookBack is how many days of counts a judgement is given.
const lookBack = 120

// record is how a family of birds has laid: one day after the other, the last one being
// the day asked for.
type record struct {
	from  time.Time
	days  []flock.Day
	times []int // collections of each day
}

// record reads how birds have laid up to a day.
func (b book) record(req *desk.Request, family string, day time.Time) (record, error) {
	sums, err := req.Tx.EggDays(req.House.ID, family, 0, day.AddDate(0, 0, -lookBack))
	if err != nil || len(sums) == 0 || sums[0].Day.After(day) {
		return record{from: day}, err
	}
	r := record{from: sums[0].Day}
	gap := 0
	for d, i := r.from, 0; !d.After(day); d = d.AddDate(0, 0, 1) {
		one, times := flock.Day{Hens: b.layersOn(family, d)}, 0
		if i < len(sums) && sums[i].Day.Equal(d) {
			one.Eggs, one.Counted, times = sums[i].Laid, true, sums[i].Collections
			if one.Eggs > one.Hens && gap > 0 { // the nests had not been emptied
				one.Over = min(gap, mostGap) + 1
			}
			i, gap = i+1, 0
		} else {
			gap++
		}
		r.days, r.times = append(r.days, one), append(r.times, times)
	}
	return r, nil
}

// mostGap is how many days without a count the eggs of one may be of.
const mostGap = 2

// usualTimes is how often a day eggs are usually collected: the middle of the last two
// weeks that were counted.
func (r record) usualTimes() int {
	var counts []int
	for i := len(r.times) - 2; i >= 0 && len(counts) < 14; i-- {
		if r.times[i] > 0 {
			counts = append(counts, r.times[i])
		}
	}
	if len(counts) == 0 {
		return 1
	}
	slices.Sort(counts)
	return counts[(len(counts)-1)/2]
}

// upTo is the record without its last days.
func (r record) upTo(n int) record {
	return record{r.from, r.days[:len(r.days)-n], r.times[:len(r.times)-n]}
}

// watch says after a collection whatever in it calls for a look: more eggs than hens, or
// a drop that was not told before. A day is judged when it has had its usual collections,
// else on the next.
func (b book) watch(req *desk.Request, day time.Time, family string, total storage.EggDay) ([]string, error) {
	hens := b.layersOn(family, day)
	if hens == 0 {
		return nil, nil
	}
	var out []string
	if total.Laid > hens && total.Collections > 0 {
		out = append(out, fmt.Sprintf("%s from %s of laying age: more than one a hen. Are some of another day, or is the number of hens wrong?", eggsOf(total.Laid, family), b.counted(family, hens)))
	}
	if day.Before(dayOf(req).AddDate(0, 0, -1)) {
		return out, nil
	}
	r, err := b.record(req, family, day)
	if err != nil || len(r.days) <= flock.Least {
		return out, err
	}
	whole := total.Collections >= r.usualTimes() || day.Before(dayOf(req))
	for back := 1; back >= 0; back-- {
		if back == 0 && !whole {
			break
		}
		said, err := b.judge(req, family, r.upTo(back), day.AddDate(0, 0, -back))
		if err != nil || len(said) > 0 {
			return append(out, said...), err
		}
	}
	return out, nil
}

// counted is so many birds of a family.
func (b book) counted(family string, n int) string {
	k, _ := beastNamed(family)
	return k.counted(n)
}

// judge says a drop of a day that has not been told yet, and writes that it was.
func (b book) judge(req *desk.Request, family string, r record, day time.Time) ([]string, error) {
	v, err := flock.Judge(r.days, b.season(req, family, day))
	if err != nil || !v.Ring {
		return nil, nil //nolint:nilerr // days that cannot be judged give no alarm
	}
	told, err := req.Tx.AlarmsFrom(req.House.ID, day)
	if err != nil || slices.ContainsFunc(told, func(a storage.Alarm) bool { return a.Kind == family && a.Day.Equal(day) }) {
		return nil, err
	}
	lines := dropLines(req, family, v, day)
	before, err := req.Tx.SubjectBells(req.House.ID, "laying:"+family)
	if err != nil {
		return nil, err
	}
	for _, old := range before { // one look is enough
		if old.Stopped {
			continue
		}
		if err := endBell(req, old); err != nil {
			return nil, err
		}
	}
	if err := req.Tx.AddAlarm(req.House.ID, storage.Alarm{Kind: family, Day: day, Why: lines[0]}); err != nil {
		return nil, err
	}
	b2 := storage.Bell{
		Household: req.House.ID, Title: "look the " + flockName(family) + " over: fewer eggs than usual", Whom: reminders.Keepers, Daily: true, Care: true, Useful: reminders.UsefulDaily,
		Next: reminders.House{Household: req.House}.NextRound(req.Now), Subject: "laying:" + family, Step: "look", Why: lines[0], Made: req.Now,
		Hint: "Count them first. Water, feed, the nests; the perches after dark.",
	}
	_, err = req.Tx.AddBell(b2)
	return lines, err
}

// takeBack takes alarms back, with their bells, that a count put right since no longer
// gives.
func (b book) takeBack(req *desk.Request, family string, day time.Time) error {
	told, err := req.Tx.AlarmsFrom(req.House.ID, day)
	if err != nil {
		return err
	}
	for _, a := range told {
		if a.Kind != family {
			continue
		}
		r, err := b.record(req, family, a.Day)
		if err != nil {
			return err
		}
		if v, err := flock.Judge(r.days, b.season(req, family, a.Day)); err == nil && v.State == flock.Drop {
			continue
		}
		if err := req.Tx.DropAlarm(req.House.ID, a); err != nil {
			return err
		}
		bells, err := req.Tx.SubjectBells(req.House.ID, "laying:"+family)
		if err != nil {
			return err
		}
		for _, bell := range bells {
			if bell.Stopped || bell.Why != a.Why {
				continue
			}
			if err := endBell(req, bell); err != nil {
				return err
			}
		}
	}
	return nil
}

func flockName(family string) string {
	k, _ := beastNamed(family)
	return k.plural
}

// mostCauses is how many usual causes are named.
const mostCauses = 4

// dropLines say a drop: what was found, against what, by which test, and where to look.
func dropLines(req *desk.Request, family string, v flock.Verdict, day time.Time) []string {
	head := fmt.Sprintf("Fewer eggs than usual: %d from %s %s, where about %.0f are usual.", v.Eggs, countedHens(family, v.Hens), onDay(req, day), v.Expected)
	if !v.Sudden() {
		head = fmt.Sprintf("The %s lay less and less: %.0f a day now, where %.0f were usual.", flockName(family), v.Smoothed, v.Expected)
	} else if !slices.Contains(v.Fired, flock.ByDay) {
		head = fmt.Sprintf("Fewer eggs than usual: %d in three days, where about %.0f are usual.", v.Sum, v.SumExpected)
	}
	lines := []string{head, fmt.Sprintf("Chance alone rings this two or three times a year, %d at most. Look at:", flock.FalseAYear)}
	return append(lines, causeLines(v.Causes)...)
}

// causeLines are the usual causes: what to look at for the likely ones, and the names of
// the others.
func causeLines(all []flock.Cause) []string {
	var lines, others []string
	for i, c := range all {
		if i < mostCauses {
			lines = append(lines, c.Look)
			continue
		}
		others = append(others, strings.Replace(c.Name, "short days", "too little light", 1))
	}
	if len(others) > 0 {
		lines = append(lines, "Then: "+desk.List(others))
	}
	return append(lines, flock.VetToday)
}

func countedHens(family string, n int) string {
	k, _ := beastNamed(family)
	return k.counted(n)
}

func lowerFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

// Settings of the barn.
const (
	setMoult = "moult seen" // the day, 2027-10-04
	setLamp  = "coop light" // hours of light that the hens get
)

// moultLasts is how long a moult that was seen explains fewer eggs (Oregon State Univ.
// Extension, quoted: 8 to 16 weeks).
const moultLasts = 16 * 7

// season is what is known of the light and the birds on a day.
func (b book) season(req *desk.Request, family string, day time.Time) flock.Season {
	s := flock.Season{Light: light(req, day), LightBefore: light(req, day.AddDate(0, 0, -21))}
	if born := b.born(family, day); !born.IsZero() {
		s.Weeks = days(born, day) / 7
	}
	if seen, err := time.Parse(time.DateOnly, setting(req, setMoult)); err == nil && family == "hen" {
		s.Moulting = !day.Before(seen) && days(seen, day) <= moultLasts
	}
	return s
}

func setting(req *desk.Request, key string) string {
	value, err := req.Tx.Setting(req.House.ID, key)
	if err != nil {
		return ""
	}
	return value
}

// light is the hours of light on a day: the sun's, or the lamp's where that is longer;
// 0 where neither is known.
func light(req *desk.Request, day time.Time) float64 {
	lamp, _ := strconv.ParseFloat(setting(req, setLamp), 64)
	lat, ok := latitude(req)
	if !ok {
		return lamp
	}
	sun, err := daylight.Length(lat, day)
	if err != nil {
		return lamp
	}
	return math.Max(sun.Hours(), lamp)
}

// latitude is the household's, false where its place is not known.
func latitude(req *desk.Request) (float64, bool) {
	text, _, _ := strings.Cut(req.House.Place, " ")
	lat, err := strconv.ParseFloat(text, 64)
	return lat, err == nil && req.House.Place != ""
}

// eggAskWords belong to a question for eggs.
var eggAskWords = []string{
	"how", "many", "much", "eggs", "egg", "did", "do", "have", "has", "we", "got", "get", "today", "this", "week", "last", "month", "year", "so", "far", "any", "the", "count", "total", "tally", "what", "what's", "whats", "is", "are", "there", "been", "laid", "lay", "collected", "collect",
	"anyone", "anybody", "already", "who", "yet", "in", "of", "on", "for", "from", "yesterday's", "today's", "todays", "altogether", "was", "were", "our", "book", "since", "past", "now", "morning", "all", "had", "it", "best", "worst", "day", "average", "per", "a", "most",
	"january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december",
}

var months = []string{"january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"}

func plainEggAsk(req *desk.Request) bool {
	if len(strangers(req, eggAskWords...)) > 0 || hasWord(req, "for") && !hasWord(req, "best", "worst") {
		return false
	}
	switch req.Form {
	case "^eggs$":
		return len(req.Reading.Tokens) <= 2 // "I got the eggs in" tells that they are in
	case "best|worst day * eggs", "average eggs":
		return true
	case "who got|collected * eggs", "^who * eggs":
		return hasWord(req, "got", "collected", "collect", "did")
	case "^eggs":
		return len(req.Reading.Spans) > 0 || hasWord(req, "week", "month", "year", "far")
	case "any eggs", "did * eggs", "^what|whats|what's * egg|eggs":
		return len(req.Reading.Spans) > 0 || hasWord(req, "week", "month", "collected", "collect", "count", "total", "today", "yet", "laid")
	}
	if hasWord(req, "have", "are", "there") && !hasWord(req, "laid", "lay", "got", "collected", "had", "been") {
		return len(req.Reading.Spans) > 0 || hasWord(req, "week", "month", "year", "today") // "how many eggs have we" is the larder's
	}
	return len(req.Reading.Spans) > 0 || hasWord(req, "week", "month", "year", "today", "laid", "lay", "collected", "got", "get", "far") || hasWord(req, months...)
}

// stretch is a run of days that a question is about, both ends in it.
type stretch struct {
	from, to time.Time
	said     string
}

// stretchAsked is the days that a question names, today when it names none.
func stretchAsked(req *desk.Request) stretch {
	today := dayOf(req)
	week := today.AddDate(0, 0, -(int(today.Weekday())+6)%7)
	last := hasWord(req, "last", "past")
	for _, s := range req.Reading.Of(phrase.KindDuration) {
		if n := int(s.Value.(time.Duration).Hours() / 24); n > 0 {
			return stretch{today.AddDate(0, 0, 1-n), today, fmt.Sprintf("the last %d days", n)}
		}
	}
	for _, t := range req.Reading.Tokens {
		for m := time.January; m <= time.December; m++ {
			if t.Low == months[m-1] && len(req.Reading.Of(phrase.KindDate)) == 0 {
				first := time.Date(today.Year(), m, 1, 0, 0, 0, 0, time.UTC)
				if first.After(today) {
					first = first.AddDate(-1, 0, 0)
				}
				return stretch{first, first.AddDate(0, 1, -1), "in " + m.String()}
			}
		}
	}
	switch {
	case hasWord(req, "week") && last:
		return stretch{week.AddDate(0, 0, -7), week.AddDate(0, 0, -1), "last week"}
	case hasWord(req, "week"):
		return stretch{week, today, "this week"}
	case hasWord(req, "month") && last:
		first := time.Date(today.Year(), today.Month(), 1, 0, 0, 0, 0, time.UTC)
		return stretch{first.AddDate(0, -1, 0), first.AddDate(0, 0, -1), "last month"}
	case hasWord(req, "month"):
		return stretch{time.Date(today.Year(), today.Month(), 1, 0, 0, 0, 0, time.UTC), today, "this month"}
	case hasWord(req, "year") && last:
		return stretch{time.Date(today.Year()-1, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(today.Year()-1, 12, 31, 0, 0, 0, 0, time.UTC), "last year"}
	case hasWord(req, "year"):
		return stretch{time.Date(today.Year(), 1, 1, 0, 0, 0, 0, time.UTC), today, "this year"}
	}
	if ds := req.Reading.Of(phrase.KindDays); len(ds) > 0 {
		if d := ds[0].Value.(phrase.DateSpan); !d.From.IsZero() {
			from, to := d.From, d.To
			if from.After(today) {
				from, to = from.AddDate(-1, 0, 0), to.AddDate(-1, 0, 0)
			}
			return stretch{from, to, sayDate(req, from) + " to " + sayDate(req, to)}
		}
	}
	day := today
	if w := req.Reading.Moment(req.Context(), phrase.Past); w.Count > 0 {
		day = reminders.Day(w.Wall)
	}
	if hasWord(req, "since") {
		return stretch{day, today, "since " + sayDate(req, day)}
	}
	return stretch{day, day, onDay(req, day)}
}

// eggsAsked answers how many eggs there were.
func eggsAsked(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	s := stretchAsked(req)
	family, herd := b.layers(groupIn(req, 0, len(req.Reading.Tokens)))
	sums, err := req.Tx.EggDays(req.House.ID, family, herd, s.from)
	if err != nil {
		return desk.Reply{}, err
	}
	sums = slices.DeleteFunc(sums, func(d storage.EggDay) bool { return d.Day.After(s.to) })
	total, broken, aside := 0, 0, 0
	for _, d := range sums {
		total, broken, aside = total+d.Laid, broken+d.Broken, aside+d.Aside
	}
	lately, err := b.lately(req, family)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(sums) == 0 && !hasWord(req, "average") {
		out := desk.Answer(fmt.Sprintf("No eggs are written down %s.", s.said), "Write them down: eggs 14")
		if s.from.Equal(dayOf(req)) {
			out.Lines = append(lately, out.Lines...)
		}
		return out, nil
	}
	head := fmt.Sprintf("%s %s", eggsOf(total, family), s.said)
	if herd != 0 {
		h, _ := b.numbered(herd)
		head += " from " + called(h)
	}
	if hasWord(req, "best", "worst") {
		return bestDay(req, sums, family), nil
	}
	if hasWord(req, "average") {
		s, err = b.averaged(req, s, &sums, family)
		if err != nil {
			return desk.Reply{}, err
		}
		n := 0
		for _, d := range sums {
			n += d.Laid
		}
		head = fmt.Sprintf("%.1f eggs a day, %s", float64(n)/float64(max(len(sums), 1)), s.said)
	}
	out := desk.Answer(head + ".")
	out.Lines, err = b.eggLines(req, s, sums, family, herd)
	if s.from.Equal(dayOf(req)) && len(req.Reading.Tokens) <= 2 {
		out.Lines = append(out.Lines, lately...)
	}
	if broken > 0 {
		out.Lines = append(out.Lines, fmt.Sprintf("%d broken", broken))
	}
	if aside > 0 {
		out.Lines = append(out.Lines, fmt.Sprintf("%d set aside to hatch", aside))
	}
	return out, err
}

// lately is the rate of the seven days before today, empty where it is not known.
func (b book) lately(req *desk.Request, family string) ([]string, error) {
	r, err := b.record(req, family, dayOf(req).AddDate(0, 0, -1))
	if err != nil {
		return nil, err
	}
	week := r.days[max(len(r.days)-7, 0):]
	rate, err := flock.HenDay(week)
	if err != nil {
		return nil, nil //nolint:nilerr // nothing to reckon with
	}
	return []string{fmt.Sprintf("%.1f%% over the last %s", 100*rate, desk.Plural(countedDays(week), "counted day"))}, nil
}

// bestDay answers on which day there were the most eggs, or the fewest.
func bestDay(req *desk.Request, sums []storage.EggDay, family string) desk.Reply {
	best := sums[0]
	for _, d := range sums {
		if hasWord(req, "worst") && d.Laid < best.Laid || !hasWord(req, "worst") && d.Laid > best.Laid {
			best = d
		}
	}
	return desk.Answer(fmt.Sprintf("%s: %s.", sayDate(req, best.Day), eggsOf(best.Laid, family)))
}

// averaged widens a question for an average that names no days to the last four weeks.
func (b book) averaged(req *desk.Request, s stretch, sums *[]storage.EggDay, family string) (stretch, error) {
	if !s.from.Equal(s.to) {
		return s, nil
	}
	s = stretch{dayOf(req).AddDate(0, 0, -28), dayOf(req).AddDate(0, 0, -1), "over the last four weeks"}
	all, err := req.Tx.EggDays(req.House.ID, family, 0, s.from)
	*sums = slices.DeleteFunc(all, func(d storage.EggDay) bool { return d.Day.After(s.to) })
	return s, err
}

// eggLines are the days of a stretch, or the collections of one day.
func (b book) eggLines(req *desk.Request, s stretch, sums []storage.EggDay, family string, herd int64) ([]string, error) {
	if s.from.Equal(s.to) {
		all, err := req.Tx.EggsOn(req.House.ID, s.from)
		var out []string
		for _, e := range all {
			if e.Kind == family && (herd == 0 || e.Herd == herd) && (len(all) > 1 || e.Person != 0) {
				out = append(out, fmt.Sprintf("%d %s %s", e.Laid, req.NameOf(e.Person), req.WallOf(e.At).Format("15:04")))
			}
		}
		return out, err
	}
	var out []string
	if len(sums) <= 8 {
		for _, d := range sums {
			out = append(out, fmt.Sprintf("%d %s", d.Laid, sayDate(req, d.Day)))
		}
	}
	if herd != 0 {
		return out, nil
	}
	r, err := b.record(req, family, s.to)
	if err != nil {
		return out, err
	}
	if n := days(s.from, s.to) + 1; len(r.days) > n {
		r.days = r.days[len(r.days)-n:]
	}
	if rate, err := flock.HenDay(r.days); err == nil {
		out = append(out, fmt.Sprintf("%.0f eggs a day per 100 hens on %s", 100*rate, desk.Plural(countedDays(r.days), "counted day")))
	}
	return out, nil
}

func countedDays(all []flock.Day) int {
	n := 0
	for _, d := range all {
		if d.Counted {
			n++
		}
	}
	return n
}

func layingAsks() []desk.Ask {
	have := []string{"we have 24 hens", "eggs 18 yesterday", "eggs 19"}
	words := []string{"how", "are", "is", "the", "hens", "laying", "well", "lay", "rate", "doing", "picture", "chart", "graph", "curve", "egg", "eggs", "week", "weekly", "of", "show", "us", "me", "this", "our", "enough", "do", "any", "good", "ok", "okay", "today", "still", "weeks", "last", "month", "what", "what's", "whats", "for", "down", "dropped", "now"}
	return []desk.Ask{
		{
			Name: "laying", Command: "eggs", Question: true, Keep: true, Help: "how the hens lay: their rate, what is usual, and a picture of the last weeks",
			Forms: []string{"how * laying", "^are|is * laying", "lay rate", "laying rate", "^laying$", "egg|eggs|laying picture|chart|graph|curve|rate", "picture|chart|graph of * eggs|egg|laying", "^why * laying|eggs", "hens|hen|ducks doing for eggs", "gone|went|go|going off lay", "^why * lay|laying", "stopped laying"},
			Lists: []string{"livestock", "herds"}, Fill: append(words, "why", "not", "fewer", "aren't", "arent", "so", "few", "stopped", "have", "there"),
			Examples: []desk.Example{{Setup: have, Line: "how are the hens laying"}, {Setup: have, Line: "egg picture"}},
			Plain: func(req *desk.Request) bool {
				return len(strangers(req, append(words, "why", "not", "fewer", "aren't", "arent", "so", "few", "stopped", "have", "there", "less", "they", "they're", "went", "gone", "off", "go", "going", "chickens", "all", "my")...)) == 0
			}, Do: laying,
		},
		{
			Name: "laying", Command: "eggs", Keep: true, Help: "that hens are broody: what it means for the eggs", Forms: []string{"hen|hens|is|are|gone|went|going broody", "^broody"}, Lists: []string{"livestock"}, Kinds: []phrase.Kind{phrase.KindNumber},
			Examples: []desk.Example{{Setup: have, Line: "2 hens are broody"}},
			Plain: func(req *desk.Request) bool {
				return !asksOrDoubts(req) && len(strangers(req, "hen", "hens", "is", "are", "gone", "went", "going", "broody", "one", "of", "some", "again", "have", "has", "chickens", "now", "today")) == 0
			}, Do: broodyHens,
		},
		{
			Name: "moult", Command: "eggs", Keep: true, Help: "that the hens moult, or how long their light burns: a slow decline is then explained", Forms: []string{"hens|hen|chickens are|is moulting|molting", "^hens|chickens moulting|molting", "moult|molt has|have|is started|begun|over|done|finished", "hens have|has finished|stopped moulting|molting", "^coop|hen light|lights|lamp", "lamp|light|lights in the coop|henhouse"},
			Lists: []string{"livestock"}, Kinds: []phrase.Kind{phrase.KindDuration, phrase.KindDate, phrase.KindBad},
			Examples: []desk.Example{{Line: "the hens are moulting"}, {Line: "coop light 14 hours"}},
			Plain: func(req *desk.Request) bool {
				return !asksOrDoubts(req) && len(strangers(req, "hens", "are", "is", "moulting", "molting", "moult", "molt", "has", "have", "started", "begun", "over", "done", "finished", "stopped", "the", "coop", "light", "lights", "lamp", "in", "henhouse", "on", "off", "today", "for", "until", "hours", "chickens", "been", "since", "day", "per")) == 0
			}, Do: moulting,
		},
	}
}

// broodyHens says what broody hens mean for the eggs, and what can be done with them.
func broodyHens(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(b.herds) == 0 && !req.Direct {
		return desk.Reply{}, desk.ErrSilent
	}
	return desk.Answer("A broody hen lays no eggs until it passes, about three weeks (common practice).",
		"To hatch: set 12 eggs under the broody", "Not to hatch: lift her off each day, take every egg, shut the nest at night; a wire floor and light for some days end it.",
		"Broody or ill? One that sits hunched and away from the nest is ill."), nil
}

// moulting keeps what explains a slow decline.
func moulting(req *desk.Request) (desk.Reply, error) {
	if hasWord(req, "light", "lights", "lamp") {
		return coopLight(req)
	}
	when, reply := happened(req)
	if reply.Head != "" {
		return reply, nil
	}
	value, text := reminders.Day(when).Format(time.DateOnly), "the hens are moulting"
	if hasWord(req, "over", "done", "finished", "stopped") {
		value, text = "", "the moult is over"
	}
	if err := req.Record(storage.Entry{Kind: "moult", Happened: at(req, when), Text: text}); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(desk.Upper(text) + ", written down.")
	if value != "" {
		out.Lines = []string{"A slow decline rings no alarm for 16 weeks; a sudden drop does.", "They stop for 8 to 16 weeks: full feed, no drafts, and leave them be."}
	}
	return out, req.Tx.Set(req.House.ID, setMoult, value)
}

func coopLight(req *desk.Request) (desk.Reply, error) {
	hours := 0.0
	for _, s := range req.Reading.Of(phrase.KindDuration) {
		hours = s.Value.(time.Duration).Hours()
	}
	if hours <= 0 && !hasWord(req, "off") || hours > 24 {
		return desk.AskBack("How many hours of light do they get, the day in it? For example: coop light 14 hours"), nil
	}
	text := fmt.Sprintf("the hens get %.3g hours of light", hours)
	if hours == 0 {
		text = "the hens get the sun's light only"
	}
	if err := req.Record(storage.Entry{Kind: "moult", Text: text}); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(desk.Upper(text) + ".")
	if hours > 0 {
		out.Lines = []string{"Light in the morning, weak and steady; 14 to 16 hours hold the lay, and it must not get shorter."}
		out.Cautions = []string{"A lamp over litter burns barns down: cage, chain and its own circuit, hung by an adult."}
	}
	return out, req.Tx.Set(req.House.ID, setLamp, strconv.FormatFloat(hours, 'f', -1, 64))
}

// laying says how the birds lay, with a picture.
func laying(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	family, _ := b.layers(groupIn(req, 0, len(req.Reading.Tokens)))
	today := dayOf(req)
	r, err := b.record(req, family, today)
	if err != nil {
		return desk.Reply{}, err
	}
	why := hasWord(req, "why", "off", "stopped")
	if len(r.days) == 0 {
		out := desk.Answer("No eggs are written down yet.", "Write them down: eggs 14")
		if why {
			out.Lines = append([]string{"The usual causes:"}, append(causeLines(b.season(req, family, today).Causes(false)), out.Lines...)...)
		}
		return out, nil
	}
	if n := len(r.times); r.times[n-1] < r.usualTimes() && n > 1 { // today is not over
		r, today = r.upTo(1), today.AddDate(0, 0, -1)
	}
	if r.days[len(r.days)-1].Hens == 0 {
		return desk.AskBack("How many hens are there? For example: we have 24 hens"), nil
	}
	out, err := b.layingReply(req, family, r, today)
	if why && err == nil && !slices.Contains(out.Lines, flock.VetToday) {
		out.Lines = append(out.Lines, append([]string{"The usual causes:"}, causeLines(b.season(req, family, today).Causes(false))...)...)
	}
	return out, err
}

func (b book) layingReply(req *desk.Request, family string, r record, day time.Time) (desk.Reply, error) {
	week := r.days[max(len(r.days)-7, 0):]
	rate, err := flock.HenDay(week)
	if err != nil {
		return desk.Answer(fmt.Sprintf("No eggs are written down in the last week up to %s.", sayDate(req, day))), nil //nolint:nilerr // nothing to reckon with
	}
	season := b.season(req, family, day)
	v, err := flock.Judge(r.days, season)
	if err != nil {
		return desk.Answer("These counts cannot be: is the number of hens right? flock"), nil //nolint:nilerr // said to the person
	}
	hens := r.days[len(r.days)-1].Hens
	out := desk.Answer(fmt.Sprintf("%.1f%%: %.1f eggs a day from %s, over %s up to %s.", 100*rate, rate*float64(hens), b.counted(family, hens), desk.Plural(countedDays(week), "day"), sayDate(req, day)))
	out.Lines = append(stateLines(family, v), b.ageLine(family, day)...)
	if season.ShortDays() {
		out.Lines = append(out.Lines, fmt.Sprintf("The day has %.1f h of light: under 14 h hens slow down.", season.Light))
	}
	if len(r.days) >= 3 {
		file, err := layPicture(req, family, r, v, day)
		if err != nil {
			return desk.Reply{}, err
		}
		out.Files = file
	}
	return out, nil
}

// stateLines say what the judgement of the last day comes to.
func stateLines(family string, v flock.Verdict) []string {
	switch v.State {
	case flock.Learn:
		return []string{fmt.Sprintf("%s more and I can tell a drop from chance.", desk.Plural(v.Short, "counted day"))}
	case flock.Uneven:
		return []string{"The counts are too uneven to judge single days: collect at the same time each day, and look for hidden nests."}
	case flock.Slide:
		lines := []string{fmt.Sprintf("Slowly less than the usual %.0f%%, as the season has it: no alarm.", 100*v.Usual)}
		if len(v.Causes) > 0 {
			lines = append(lines, v.Causes[0].Look)
		}
		return lines
	case flock.Drop:
		lines := []string{fmt.Sprintf("That is a drop: %.0f%% are usual. Look at:", 100*v.Usual)}
		return append(lines, causeLines(v.Causes)...)
	case flock.Steady:
		return []string{fmt.Sprintf("As usual: %.0f%% over the weeks before.", 100*v.Usual)}
	}
	return nil
}

// ageLine says what hens of that age are expected to lay.
func (b book) ageLine(family string, day time.Time) []string {
	born := b.born(family, day)
	if family != "hen" || born.IsZero() {
		return nil
	}
	weeks := float64(days(born, day)) / 7
	hybrid, err := flock.Expect(flock.Hybrid, weeks)
	heritage, err2 := flock.Expect(flock.Heritage, weeks)
	if err != nil || err2 != nil {
		return nil
	}
	return []string{fmt.Sprintf("At %.0f weeks about %.0f to %.0f%% is usual, hybrids more than old breeds.", weeks, 100*heritage.Low, 100*hybrid.High)}
}

// layFinding says in a few words what the picture of the eggs shows.
func layFinding(v flock.Verdict) string {
	switch v.State {
	case flock.Slide:
		return fmt.Sprintf("Slowly fewer eggs than the usual %.0f%%", 100*v.Usual)
	case flock.Drop:
		return fmt.Sprintf("A drop below the usual %.0f%%", 100*v.Usual)
	case flock.Steady:
		return fmt.Sprintf("Laying as usual, %.0f%%", 100*v.Usual)
	}
	return "Eggs a day"
}

// pictureWeeks is how far back the picture shows.
const pictureWeeks = 4

// layPicture draws the last weeks with what is usual.
func layPicture(req *desk.Request, family string, r record, v flock.Verdict, day time.Time) ([]storage.File, error) {
	from := max(len(r.days)-7*pictureWeeks, 0)
	var points []picture.Point
	for i := from; i < len(r.days); i++ {
		if d := r.days[i]; d.Counted {
			points = append(points, picture.Point{Day: float64(i - len(r.days) + 1), Value: float64(d.Eggs)})
		}
	}
	if len(points) < 2 {
		return nil, nil
	}
	first := r.from.AddDate(0, 0, from)
	c := picture.Curve{
		Title:  layFinding(v) + fmt.Sprintf(": %s to %s", first.Format("2 Jan"), day.Format("2 Jan")),
		XLabel: "days up to " + sayDate(req, day), YLabel: "eggs", Points: points,
	}
	if v.Usual > 0 {
		c.Line = func(x float64) float64 {
			i := min(max(len(r.days)-1+int(math.Round(x)), 0), len(r.days)-1)
			return v.Usual * float64(r.days[i].Hens)
		}
	}
	order, err := picture.Order(c)
	if err != nil {
		return nil, fmt.Errorf("picture of the eggs: %w", err)
	}
	return []storage.File{{Name: fmt.Sprintf("eggs-%s.png", day.Format("2006-01-02")), Type: "image/png", Drawing: order}}, nil
}
