package barn

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"
	"time"

	"yardbell/calc/feed"
	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// feedList is the feeds of the table and the household's own; the number of one that the
// household has is its own.
func feedList(tx *storage.Tx, household int64) (*phrase.List, error) {
	mine, err := tx.Fodders(household)
	if err != nil {
		return nil, err
	}
	var entries []phrase.Entry
	for _, f := range feed.Feeds() {
		entries = append(entries, phrase.Entry{Name: f.Name, Aliases: slices.DeleteFunc(slices.Clone(f.Words), func(w string) bool {
			return w == "layer" || w == "layers" || w == "grit" || w == "scraps" || w == "leftovers"
		})})
	}
	for _, f := range mine {
		i := slices.IndexFunc(entries, func(e phrase.Entry) bool { return strings.EqualFold(e.Name, f.Name) })
		if i < 0 {
			entries = append(entries, phrase.Entry{Name: f.Name})
			i = len(entries) - 1
		}
		entries[i].ID = f.ID
	}
	return phrase.NewList("feeds", entries), nil
}

// kinds of feed by a word that may mean any of several.
var looseFeed = []string{"feed", "pellets", "pellet", "crumb", "crumbs", "nuts", "mash", "meal", "grower", "growers", "corn"}

// pack words, with what they are kept as.
var packWords = map[string]string{"sack": "sack", "sacks": "sack", "bag": "sack", "bags": "sack", "bale": "bale", "bales": "bale", "tub": "sack", "tubs": "sack"}

// fodderSaid is the feed that a line names. Its ID is 0 for one that the household has
// not had yet; its name is empty when none is named.
func fodderSaid(req *desk.Request) (storage.Fodder, desk.Reply, error) {
	mine, err := req.Tx.Fodders(req.House.ID)
	if err != nil {
		return storage.Fodder{}, desk.Reply{}, err
	}
	for _, t := range termsOf(req, "feeds") {
		for _, f := range mine {
			if strings.EqualFold(f.Name, t.Name) {
				return f, desk.Reply{}, nil
			}
		}
		if _, loose := looselyNamed(req); !loose || len(mine) == 0 || len(strings.Fields(t.Name)) > 1 {
			return storage.Fodder{Household: req.House.ID, Name: t.Name, Lead: usualLead}, desk.Reply{}, nil
		}
	}
	word, loose := looselyNamed(req)
	if !loose {
		if hasWord(req, "bales", "bale") && len(mine) > 0 {
			mine = slices.DeleteFunc(mine, func(f storage.Fodder) bool { return f.Pack != "bale" })
			return oneOf(mine)
		}
		return storage.Fodder{}, desk.Reply{}, nil
	}
	var fits []storage.Fodder
	for _, f := range mine {
		if f.Pack == "bale" && word == "feed" || word != "feed" && !strings.Contains(f.Name, strings.TrimSuffix(word, "s")) {
			continue
		}
		fits = append(fits, f)
	}
	if families := familiesSaid(req); len(families) > 0 {
		fits = slices.DeleteFunc(fits, func(f storage.Fodder) bool {
			return !slices.ContainsFunc(eatersOf(f), func(k string) bool { b, _ := beastNamed(k); return slices.Contains(families, b.family) })
		})
	}
	return oneOf(fits)
}

func oneOf(fits []storage.Fodder) (storage.Fodder, desk.Reply, error) {
	switch len(fits) {
	case 0:
		return storage.Fodder{}, desk.Reply{}, nil
	case 1:
		return fits[0], desk.Reply{}, nil
	}
	var names []string
	for _, f := range fits {
		names = append(names, f.Name)
	}
	return storage.Fodder{}, desk.AskBack("Which: " + strings.Join(names, " or ") + "?"), nil
}

func looselyNamed(req *desk.Request) (string, bool) {
	for _, w := range looseFeed {
		for i, t := range req.Reading.Tokens {
			if t.Low == w && !(i == 0 && w == "feed") {
				return w, true
			}
		}
	}
	return "", false
}

func familiesSaid(req *desk.Request) []string {
	var out []string
	for _, t := range termsOf(req, "livestock") {
		b, _ := beastNamed(t.Name)
		out = append(out, b.family)
	}
	return out
}

// usualLead is how many days before a feed runs out it is bought.
const usualLead = 4

// eatersOf are the kinds that eat a feed: as told, else those that the table says it is
// made for.
func eatersOf(f storage.Fodder) []string {
	if f.Eaters != "" {
		return strings.Split(f.Eaters, ",")
	}
	made, ok := feed.FeedNamed(f.Name)
	if !ok {
		return nil
	}
	var out []string
	for _, b := range beasts {
		if k, ok := feed.KindNamed(b.name); ok && slices.Contains(made.For, k.Name) {
			out = append(out, b.name)
		}
	}
	return out
}

// part is what of a ration a feed is.
func part(f storage.Fodder) feed.Part {
	made, _ := feed.FeedNamed(f.Name)
	return made.Part
}

// groupsFor are the living groups that eat a feed, as the calculator takes them.
func (b book) groupsFor(req *desk.Request, f storage.Fodder) ([]feed.Group, error) {
	eaters := eatersOf(f)
	var out []feed.Group
	for _, h := range b.alive() {
		if !slices.Contains(eaters, h.Kind) {
			continue
		}
		g, ok, err := b.group(req, h)
		if err != nil {
			return nil, err
		}
		if ok {
			out = append(out, g)
		}
	}
	return out, nil
}

// group is a group of the flock book with its age, and how far gone or in milk it is.
func (b book) group(req *desk.Request, h storage.Herd) (feed.Group, bool, error) {
	k, ok := feed.KindNamed(h.Kind)
	if !ok {
		return feed.Group{}, false, nil
	}
	g := feed.Group{Kind: k.Name, Heads: h.Head}
	if !h.Born.IsZero() {
		g.Weeks = float64(days(h.Born, dayOf(req))) / 7
	}
	weights, err := req.Tx.Weights(req.House.ID)
	if err != nil {
		return g, false, err
	}
	for _, w := range weights {
		if w.Herd == h.ID {
			g.Weight = w.Grams / 1000
		}
	}
	return b.withStage(req, h, g)
}

// lateDays is how long before the day an animal eats as one that is heavy with young.
const lateDays = 42

// withStage sets how far gone an animal is, or that it suckles.
func (b book) withStage(req *desk.Request, h storage.Herd, g feed.Group) (feed.Group, bool, error) {
	all, err := courses(req)
	if err != nil {
		return g, false, err
	}
	for _, c := range all {
		if c.Herd != h.ID || c.Herd == 0 || c.hatching() {
			continue
		}
		e, err := c.expected()
		switch {
		case err != nil:
		case c.Over.IsZero():
			stage := "gestating"
			late := lateDays
			if c.Species == "sow" {
				late = 25
			}
			if days(dayOf(req), e.Due) <= late {
				stage = "late"
			}
			if s, ok := feed.StageNamed(g.Kind, stage); ok {
				g.Stage = s
			}
		case c.Fate == storage.FateBorn && c.Weaned.IsZero() && c.Born > 0:
			if s, ok := feed.StageNamed(g.Kind, "nursing"); ok {
				g.Stage, g.Young = s, c.Born
			}
		}
	}
	return g, true, nil
}

// stock is a feed as it stands.
type stock struct {
	storage.Fodder
	flows  []storage.FodderFlow
	groups []feed.Group
	day    time.Time // of the last reading
	mass   float64   // kg then
	closed float64   // packs not opened then
	use    feed.Use  // what was really used, zero when not known
}

// stockOf reads what has happened to a feed.
func (b book) stockOf(req *desk.Request, f storage.Fodder) (stock, error) {
	s := stock{Fodder: f, day: dayOf(req)}
	var err error
	if s.groups, err = b.groupsFor(req, f); err != nil || f.ID == 0 {
		return s, err
	}
	if s.flows, err = req.Tx.FodderFlows(req.House.ID, f.ID); err != nil {
		return s, err
	}
	daily := s.daily()
	var readings []feed.Reading
	for i, w := range s.flows {
		if i > 0 {
			s.mass = math.Max(s.mass-daily*float64(days(s.day, w.Day)), 0)
		}
		s.day = w.Day
		switch w.How {
		case storage.FodderBought:
			s.mass, s.closed = s.mass+w.Grams/1000, s.closed+w.Packs
		case storage.FodderUsed:
			s.mass = math.Max(s.mass-w.Grams/1000, 0)
			s.closed = math.Max(s.closed-w.Packs, 0)
		case storage.FodderLeft:
			s.mass, s.closed = w.Grams/1000, w.Packs
			readings = append(readings, feed.Reading{Day: w.Day, Mass: s.mass})
		case storage.FodderOpened:
			s.mass, s.closed = w.Grams/1000, math.Max(s.closed-1, 0)
			readings = append(readings, feed.Reading{Day: w.Day, Mass: s.mass})
		}
		if w.How == storage.FodderBought && len(readings) > 0 {
			readings = append(readings, feed.Reading{Day: w.Day, Mass: s.mass, Added: w.Grams / 1000})
		}
	}
	s.use = used(readings, f, s.groups)
	return s, nil
}

// leastDays is how long readings have to lie apart to say what is really used.
const leastDays = 5

// used is what the household used between readings, against the table. A delivery that
// was not weighed in tells nothing of the use by itself.
func used(readings []feed.Reading, f storage.Fodder, groups []feed.Group) feed.Use {
	var weighed []feed.Reading
	added := 0.0
	for _, r := range readings {
		if r.Added > 0 {
			added += r.Added
			continue
		}
		r.Added = added
		if len(weighed) == 0 {
			r.Added = 0
		}
		added, weighed = 0, append(weighed, r)
	}
	if len(weighed) < 2 || weighed[len(weighed)-1].Day.Sub(weighed[0].Day) < leastDays*24*time.Hour {
		return feed.Use{}
	}
	u, err := feed.Used(weighed, part(f), groups, feed.Weather{})
	if err != nil || u.Factor < 0.3 || u.Factor > 3 {
		return feed.Use{}
	}
	return u
}

// daily is what is eaten of a feed in a day by the table, in kg; 0 for what is bedded
// with, and for bales, which are counted as they go.
func (s stock) daily() float64 {
	if s.Pack == "bale" {
		return 0
	}
	f, err := feed.RunsOut(feed.Stock{Day: s.day, Mass: 1000, Part: part(s.Fodder)}, s.groups, feed.Weather{})
	if err != nil {
		return 0
	}
	return f.Daily
}

// forecast is when a feed runs out, false where nobody eats it.
func (s stock) forecast() (feed.Forecast, bool) {
	f, err := feed.RunsOut(feed.Stock{Day: s.day, Mass: s.mass, Part: part(s.Fodder), Factor: s.use.Factor}, s.groups, feed.Weather{})
	return f, err == nil && len(s.groups) > 0
}

// now is what is left today, in kg.
func (s stock) now(req *desk.Request) float64 {
	f, ok := s.forecast()
	if !ok || s.Pack == "bale" {
		return s.mass
	}
	return math.Max(s.mass-f.Daily*float64(days(s.day, dayOf(req))), 0)
}

// bales is how many bales are left.
func (s stock) bales() float64 { return s.closed }

// sayKg writes a mass of feed in the household's units.
func sayKg(req *desk.Request, kg float64) string {
	unit := "kg"
	if req.House.US {
		kg, unit = kg/poundKg, "lb"
	}
	switch {
	case !req.House.US && kg > 0 && kg < 1:
		return fmt.Sprintf("%.0f g", kg*1000)
	case req.House.US && kg > 0 && kg < 2: // 0.25 lb a head
		return fmt.Sprintf("%s %s", strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.2f", kg), "0"), "."), unit)
	case kg >= 100:
		return fmt.Sprintf("%.0f %s", kg, unit)
	}
	return fmt.Sprintf("%s %s", strings.TrimSuffix(fmt.Sprintf("%.1f", kg), ".0"), unit)
}

// sackSize is an example of what a sack holds, in the household's units.
func sackSize(req *desk.Request) string {
	if req.House.US {
		return "50 lb"
	}
	return "20 kg"
}

// poundKg is a pound in kilograms.
const poundKg = 0.45359237

// saySize is what is left of a feed, in bales or by mass.
func (s stock) saySize(req *desk.Request) string {
	if s.Pack == "bale" {
		return strings.TrimSuffix(fmt.Sprintf("%.1f", s.bales()), ".0") + " " + plural(s.bales(), "bale")
	}
	kg := s.now(req)
	if days(s.day, dayOf(req)) > 0 {
		return "about " + sayKg(req, kg)
	}
	return sayKg(req, kg)
}

func plural(n float64, noun string) string {
	if n == 1 {
		return noun
	}
	return noun + "s"
}

// line is a feed in one line: what is left, and until when it lasts.
func (s stock) line(req *desk.Request) string {
	text := fmt.Sprintf("%s of %s", s.saySize(req), s.Name)
	f, ok := s.forecast()
	switch {
	case s.mass <= 0:
		return "No " + s.Name + " left"
	case !ok && s.Pack == "bale":
		return text
	case !ok && len(s.groups) > 0:
		return fmt.Sprintf("%s for %s: how much of it they get is yours to say, so tell what is left in a week", text, s.eaterText())
	case !ok:
		return text + "; who eats it? Say: feed " + s.Name + " for the hens"
	case f.Last.Before(dayOf(req)):
		return text + ", used up by the count: how much is left?"
	}
	return fmt.Sprintf("%s, enough for every day up to %s", text, sayDate(req, f.Last))
}

// rate says at what rate a feed is eaten.
func (s stock) rate(req *desk.Request) string {
	f, ok := s.forecast()
	if !ok {
		return ""
	}
	text := fmt.Sprintf("%s a day for %s", sayKg(req, f.Daily), s.eaterText())
	if s.use.Factor > 0 {
		return fmt.Sprintf("%s: as you really used it over %.0f days, %.0f%% of the table's", text, s.use.Days, 100*s.use.Factor)
	}
	return text + " by the table"
}

func (s stock) eaterText() string {
	var parts []string
	for _, g := range s.groups {
		one, many := g.Kind, g.Kind+"s"
		if b, ok := beastOfKind(g.Kind); ok {
			one, many = b.name, b.plural
		}
		parts = append(parts, counted(g.Heads, one, many))
	}
	return desk.List(parts)
}

func beastOfKind(kind string) (beast, bool) {
	for _, b := range beasts {
		if k, ok := feed.KindNamed(b.name); ok && k.Name == kind {
			return b, true
		}
	}
	return beast{}, false
}

// resettle sets the bell before a feed runs out to where it belongs.
func (s stock) resettle(req *desk.Request) (time.Time, error) {
	subject := fmt.Sprintf("feed:%d", s.ID)
	bells, err := req.Tx.SubjectBells(req.House.ID, subject)
	if err != nil {
		return time.Time{}, err
	}
	for _, b := range bells {
		if !b.Stopped {
			if err := endBell(req, b); err != nil {
				return time.Time{}, err
			}
		}
	}
	f, ok := s.forecast()
	if !ok || len(s.flows) == 0 || f.Last.After(dayOf(req).AddDate(1, 0, 0)) {
		return time.Time{}, nil
	}
	shut, err := closedDays(req)
	if err != nil {
		return time.Time{}, err
	}
	day, err := feed.BuyBy(f.Last, s.Lead, shut)
	if err != nil {
		return time.Time{}, nil //nolint:nilerr // every day is shut: there is no day to ring on
	}
	next := reminders.RoundOn(req.House, day)
	if !next.After(req.Now) {
		next = reminders.House{Household: req.House}.NextRound(req.Now)
	}
	why := "it lasts up to " + sayDate(req, f.Last)
	if f.Last.Before(dayOf(req)) {
		why = "it is used up"
	}
	if days(dayOf(req), day) <= listDays {
		if _, err := req.Tx.PutOnList(req.House.ID, storage.ToGet{Item: s.Name, Wanted: s.Name, Shop: "feed store", Why: why}, req.Now); err != nil {
			return day, err
		}
	}
	_, err = req.Tx.AddBell(storage.Bell{
		Household: req.House.ID, Title: "get " + s.Name + ", " + why, Whom: reminders.Keepers, Daily: true, Care: true, Useful: time.Duration(s.Lead+2) * 24 * time.Hour,
		Next: next, Subject: subject, Step: "buy", Why: s.rate(req), Made: req.Now, Hint: "Bought? Say: bought 2 sacks of " + sackSize(req) + " " + s.Name,
	})
	return day, err
}

// listDays is how many days before it is to be bought a feed goes on the household's list.
const listDays = 7

// closedDays says on which days nothing can be bought.
func closedDays(req *desk.Request) (func(time.Time) bool, error) {
	all, err := req.Tx.ClosedDays(req.House.ID)
	return func(day time.Time) bool {
		return slices.ContainsFunc(all, func(c storage.Closed) bool {
			return c.Day.IsZero() && c.Weekday == day.Weekday() || !c.Day.IsZero() && c.Day.Equal(day)
		})
	}, err
}

// load is an amount of feed that a line tells.
type load struct {
	kg    float64
	packs float64
	each  float64 // kg of one pack, 0 when not told
	pack  string
}

// loadSaid reads "3 sacks of 20 kg", "2 x 25 kg", "a 50 lb bag", "40 bales", "12 kg". Ok
// is false for several amounts, for none, and for what no feed is measured in.
func loadSaid(req *desk.Request, f storage.Fodder) (load, bool) {
	var l load
	var mass []phrase.Span
	for _, s := range req.Reading.Of(phrase.KindQuantity) {
		if q := s.Value.(phrase.Quantity); q.Unit.Dim == measure.Mass && q.Top == nil {
			mass = append(mass, s)
		}
	}
	toks := req.Reading.Tokens
	for i, t := range toks {
		if p, is := packWords[t.Low]; is && l.pack == "" {
			l.pack = p
			l.packs = packsBefore(req, i)
		}
	}
	if len(mass) > 1 {
		return l, false
	}
	if l.packs == 0 && l.pack != "" && len(mass) == 1 && packWords[word(req, mass[0].Past)] != "" { // a 25 kg bag
		l.packs = 1
	}
	if l.packs == 0 && len(mass) == 1 && mass[0].First >= 2 && word(req, mass[0].First-1) == "x" {
		l.packs, l.pack = packsBefore(req, mass[0].First-1), "sack"
	}
	switch {
	case len(mass) == 1:
		kg := mass[0].Value.(phrase.Quantity).Float() / 1000
		if kg <= 0 || kg > 100_000 {
			return l, false
		}
		if l.packs > 0 {
			l.each, l.kg = kg, kg*l.packs
			if onHalf(req) {
				l.packs, l.kg = 0, kg
			}
			return l, true
		}
		l.kg = kg
		return l, true
	case l.packs > 0 && f.Grams > 0:
		l.each, l.kg = f.Grams/1000, l.packs*f.Grams/1000
		return l, true
	case l.packs > 0 && l.pack == "bale":
		l.each = baleMass(f.Name)
		l.kg = l.packs * l.each
		return l, true
	}
	return l, false
}

// onHalf reports a mass that is of what is left and not of each pack.
func onHalf(req *desk.Request) bool { return hasWord(req, "left", "down") && !hasWord(req, "each") }

// packsBefore is how many packs stand before a word: 3 sacks, a new sack, half a sack.
func packsBefore(req *desk.Request, i int) float64 {
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		if s.Past <= i && i-s.Past <= 2 {
			v := ratOf(s.Value.(*big.Rat))
			if v > 0 {
				return v
			}
			return 0
		}
	}
	for j := i - 1; j >= 0 && j >= i-4; j-- {
		switch word(req, j) {
		case "a", "an", "another", "one", "the", "last":
			return 1
		}
	}
	return 0
}

// baleMass is the usual mass of a bale in kg, where the household has not weighed its own.
func baleMass(name string) float64 {
	of := "hay"
	if strings.Contains(name, "straw") {
		of = "straw"
	}
	b, ok := feed.BaleOf(of, "")
	if !ok {
		return 20
	}
	return b.Mass.Typical
}
