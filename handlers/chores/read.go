package chores

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// usualMinutes is how long a chore takes of which nobody said so.
const usualMinutes = 15

// order is a chore as a line gives it out.
type order struct {
	name    string
	verb    bool   // the line opens with a verb of work: "feed the hens Ivo daily at 7"
	two     bool   // it reads like two chores in one
	how     string // empty until it is known
	slots   []slot
	kids    bool // "whoever of the kids"
	rota    bool // the line opens with the word, which means turns where it says no more
	minutes int
	effort  int
	least   int
	place   string
	adult   bool   // "with an adult"
	sun     string // dusk or dawn, where the hour is named by it
	second  bool   // "as well": beside one of the same name
	started bool   // the line opens with the verb, a mark or a way of sharing: it reads as an ask
	subject bool   // somebody was named, or a way to find them
	notes   []string
}

// slot is who does it when: one for most chores, one a person where each has days.
type slot struct {
	people []storage.Person
	days   []time.Weekday // of a slot by day
}

// reader goes over the words of a line.
type reader struct {
	req     *desk.Request
	text    string
	toks    []phrase.Token
	used    []bool
	reading phrase.Reading
}

// take marks the first place where some words stand in a row and returns it, -1
// for none. "a|b" is either word.
func (r *reader) take(words string) int {
	want := strings.Fields(words)
	for i := 0; i+len(want) <= len(r.toks); i++ {
		fits := true
		for k, w := range want {
			fits = fits && !r.used[i+k] && slices.Contains(strings.Split(w, "|"), r.toks[i+k].Low)
		}
		if fits {
			for k := range want {
				r.used[i+k] = true
			}
			return i
		}
	}
	return -1
}

// command takes the word with which a line may open, with two letters the wrong way
// round too.
func (r *reader) command() string {
	if len(r.toks) == 0 {
		return ""
	}
	for _, w := range []string{"chore", "chores", "rota"} {
		typed := []byte(r.toks[0].Low)
		swapped := phrase.Distance(string(typed), w) == 1 && len(typed) == len(w) && sorted(typed) == sorted([]byte(w))
		if string(typed) == w || swapped {
			r.used[0] = true
			return w
		}
	}
	return ""
}

func sorted(letters []byte) string {
	letters = slices.Clone(letters)
	slices.Sort(letters)
	return string(letters)
}

// any takes the first of several runs of words that is there.
func (r *reader) any(runs ...string) bool {
	return slices.ContainsFunc(runs, func(words string) bool { return r.take(words) >= 0 })
}

// working takes a word behind which a verb of work stands: "somebody feeds".
func (r *reader) working(word string) bool {
	i := r.take(word)
	if i < 0 {
		return false
	}
	if i+1 < len(r.toks) && baseVerbs()[r.toks[i+1].Low] != "" {
		return true
	}
	r.used[i] = false
	return false
}

// number takes words with a whole number behind them.
func (r *reader) number(words string) (n int, ok bool) {
	i := r.take(words)
	if i < 0 {
		return 0, false
	}
	at := i + len(strings.Fields(words))
	if at < len(r.toks) && r.toks[at].Low == ":" {
		r.used[at] = true
		at++
	}
	if at >= len(r.toks) || r.toks[at].Value == nil || !r.toks[at].Value.IsInt() {
		return 0, false
	}
	r.used[at] = true
	return int(r.toks[at].Value.Num().Int64()), true
}

var whenKinds = append([]phrase.Kind{phrase.KindDuration, phrase.KindToClock}, phrase.Whenever...)

// people is the list of names with the words for oneself and for groups.
func people(req *desk.Request) *phrase.List {
	entries := []phrase.Entry{
		{Name: "@me", Aliases: []string{"me", "myself", "i", "i'm"}},
		{Name: "@kids", Aliases: []string{"kids", "the kids", "children", "the children", "all the kids"}},
		{Name: "@everyone", Aliases: []string{"everyone", "everybody", "all of us", "us all"}},
		{Name: "@keepers", Aliases: []string{"keepers", "the keepers", "the adults", "grown-ups", "the grown-ups"}},
	}
	for _, p := range req.People {
		if !p.Gone {
			entries = append(entries, phrase.Entry{Name: p.Name, ID: p.ID})
		}
	}
	return phrase.NewList("people", entries)
}

// named returns whom a span of the people list means.
func named(req *desk.Request, s phrase.Span) []storage.Person {
	switch name := s.Value.(phrase.Term).Name; name {
	case "@me":
		return []storage.Person{req.Who}
	case "@kids":
		return reminders.Expand(reminders.Kids, req.People, req.Now)
	case "@everyone":
		return reminders.Expand(reminders.Everyone, req.People, req.Now)
	case "@keepers":
		return reminders.Expand(reminders.Keepers, req.People, req.Now)
	default:
		p, _ := req.Person(name)
		return []storage.Person{p}
	}
}

// read reads a line as a chore that is given out. Ok is false when the reply has to
// be given first.
func read(req *desk.Request, text string) (order, *reader, desk.Reply, bool) {
	text = withAt(text)
	r := &reader{req: req, text: text, toks: phrase.Tokens(text)}
	r.used = make([]bool, len(r.toks))
	o := order{}
	o.rota = r.command() == "rota"
	r.options(&o)
	r.reading = phrase.Read(text, r.toks, req.Context(), phrase.Query{Kinds: whenKinds, Lists: []*phrase.List{people(req)}, Used: r.used})
	if bad := r.reading.Of(phrase.KindBad); len(bad) > 0 {
		return o, r, desk.Refuse(bad[0].Value.(string) + " Nothing was set."), false
	}
	whose := r.share(&o)
	o.name = r.title(whose)
	if reply, ok := r.measures(&o); !ok {
		return o, r, reply, false
	}
	o.started = r.reads(&o, whose)
	return o, r, desk.Reply{}, true
}

// options reads what a line says of how the chore is shared, its effort, age and
// place.
func (r *reader) options(o *order) {
	switch {
	case r.any("whoever|who has|have|is|'s done the least", "whoever|who has|have done least", "whoever's done least", "whoever's done the least", "by the least done", "by least done", "least done"):
		o.how, o.subject = storage.ChoreLeast, true
		if r.any("of the kids|children", "among the kids|children") {
			o.kids = true
		}
		r.any("out of", "among", "of")
	case r.any("whoever is|'s free", "whoever's free") || r.working("whoever|anyone|anybody|somebody|someone"):
		o.how, o.subject = storage.ChoreFree, true
		r.any("of", "out of", "among")
	case r.any("switch|switching|switches|trade|trading|swap|swapping|take|taking off|about|turns", "take|takes|taking it in turns|turn", "take|takes|taking turns", "in|by turns|turn", "alternate|alternating weeks", "alternate", "turns|turn"):
		o.how = storage.ChoreTurn
	case r.any("by day|days"):
		o.how = storage.ChoreDays
	}
	r.any("together")
	o.sun = r.sun()
	o.second = r.any("as well", "as a second one")
	o.adult = r.any("with an adult", "with a grown-up|grownup", "with an adult beside")
	for _, words := range []string{"from age", "least age", "minimum|min age", "age"} {
		if n, ok := r.number(words); ok {
			o.least = n
			break
		}
	}
	if n, ok := r.number("effort"); ok {
		o.effort = n
	}
	for i := 0; i+2 < len(r.toks); i++ {
		in := r.toks[i].Low == "in" || r.toks[i].Low == "at"
		if in && r.toks[i+1].Low == "the" && places[r.toks[i+2].Low] && i > 0 {
			o.place = r.toks[i].Low + " the " + r.toks[i+2].Low
			r.used[i], r.used[i+1], r.used[i+2] = true, true, true
		}
	}
}

var places = set("barn yard kitchen garden byre stable dairy greenhouse house shed field orchard porch scullery pantry workshop polytunnel")

func set(words string) map[string]bool {
	out := map[string]bool{}
	for w := range strings.FieldsSeq(words) {
		out[w] = true
	}
	return out
}

// share finds who does it and when each has it, and returns the spans that name
// them.
func (r *reader) share(o *order) []phrase.Span {
	spans := r.reading.Terms("people")
	days := r.dayish()
	switch {
	case len(spans) > 1 && len(days) > 1 && o.how != storage.ChoreTurn && o.how != storage.ChoreLeast:
		o.how, o.subject = storage.ChoreDays, true
		r.pair(o, spans, days)
		return spans
	case o.how == "" || o.how == storage.ChoreDays:
		spans = r.together(spans)
	}
	s := slot{}
	for _, span := range spans {
		for _, p := range named(r.req, span) {
			if !slices.ContainsFunc(s.people, func(q storage.Person) bool { return q.ID == p.ID }) {
				s.people = append(s.people, p)
			}
		}
	}
	o.subject = o.subject || len(s.people) > 0
	o.slots = []slot{s}
	return spans
}

// together keeps the names that stand in one row: "Pim and Lise set the table for
// Edda" is for two.
func (r *reader) together(spans []phrase.Span) []phrase.Span {
	for i := 1; i < len(spans); i++ {
		for _, t := range r.toks[spans[i-1].Past:spans[i].First] {
			if t.Kind != phrase.Mark && t.Low != "and" && t.Low != "&" && t.Low != "or" && t.Low != "then" {
				return spans[:i]
			}
		}
	}
	return spans
}

// day is a span that names days of the week.
type day struct {
	span phrase.Span
	days []time.Weekday
}

// dayish are the spans that name days of the week, a single one too.
func (r *reader) dayish() []day {
	var out []day
	for _, s := range r.reading.Spans {
		switch v := s.Value.(type) {
		case phrase.Rule:
			if v.Freq == "WEEKLY" && v.Interval == 1 && len(v.Days) > 0 {
				out = append(out, day{s, v.Days})
			}
		case phrase.Date:
			if d, ok := weekdayOf(s.Text); ok && s.Kind == phrase.KindDate {
				out = append(out, day{s, []time.Weekday{d}})
			}
		}
	}
	return out
}

// weekdayOf reads a day of the week by its name alone.
func weekdayOf(text string) (time.Weekday, bool) {
	w := strings.TrimPrefix(strings.ToLower(text), "on ")
	for d := time.Sunday; d <= time.Saturday; d++ {
		name := strings.ToLower(d.String())
		if w == name || w == name[:3] || w == name[:4] || w == name+"s" || w == "thurs" && d == time.Thursday {
			return d, true
		}
	}
	return 0, false
}

// pair gives each person the days that stand beside the name: behind it where a
// name comes first, before it where a day does.
func (r *reader) pair(o *order, names []phrase.Span, days []day) {
	nameFirst := names[0].First < days[0].span.First
	for _, d := range days {
		var owner *phrase.Span
		for i := range names {
			before := names[i].First < d.span.First
			if nameFirst && before || !nameFirst && !before && owner == nil {
				owner = &names[i]
			}
		}
		if owner == nil {
			continue
		}
		who := named(r.req, *owner)
		i := slices.IndexFunc(o.slots, func(s slot) bool {
			return slices.EqualFunc(s.people, who, func(a, b storage.Person) bool { return a.ID == b.ID })
		})
		if i < 0 {
			o.slots = append(o.slots, slot{people: who})
			i = len(o.slots) - 1
		}
		o.slots[i].days = append(o.slots[i].days, d.days...)
	}
}

// title is what is left of the line: what is to be done.
func (r *reader) title(whose []phrase.Span) string {
	rest := r.reading.Rest(func(s phrase.Span) bool {
		if s.Kind != phrase.KindTerm {
			return true
		}
		return slices.ContainsFunc(whose, func(w phrase.Span) bool { return w.First == s.First })
	})
	if rest == strings.ToUpper(rest) {
		rest = strings.ToLower(rest)
	}
	return nameOf(rest)
}

var (
	leading  = set("to the a an for on with is are does do has must please and then by it its - : , . of out job jobs from")
	trailing = set("job jobs chore chores rota please thanks thank ta you by of out and is are each from on with for to the at - : , . in")
)

// nameOf makes the name of a chore of what was typed: "feeds the sow" is "feed the
// sow", "does the hens" is "hens".
func nameOf(text string) string {
	words := strings.Fields(text)
	trim := func(w string) string { return strings.Trim(strings.ToLower(w), ",.:;!?-\"") }
	for len(words) > 0 && (leading[trim(words[0])] || trim(words[0]) == "") {
		words = words[1:]
	}
	for len(words) > 0 && (trim(words[len(words)-1]) == "" || trailing[trim(words[len(words)-1])] && !particle(words)) {
		words = words[:len(words)-1]
	}
	if len(words) == 0 {
		return ""
	}
	last := len(words) - 1
	words[last] = strings.TrimRight(words[last], ",.:;!?-")
	if base, ok := baseVerbs()[trim(words[0])]; ok && len(words) > 1 {
		words[0] = base
	}
	if words[0] == "do" && len(words) > 1 {
		return nameOf(strings.Join(words[1:], " "))
	}
	return strings.Join(words, " ")
}

// particle keeps the last word of "bring the washing in".
func particle(words []string) bool {
	_, verb := baseVerbs()[strings.ToLower(words[0])]
	last := strings.ToLower(words[len(words)-1])
	return verb && (last == "in" || last == "out" || last == "on") && len(words) > 1
}

// measures reads how long it takes.
func (r *reader) measures(o *order) (desk.Reply, bool) {
	lengths := r.reading.Of(phrase.KindDuration)
	if len(lengths) > 1 {
		return desk.AskBack(fmt.Sprintf("How long does it take: %s or %s?", lengths[0].Text, lengths[1].Text)), false
	}
	if len(lengths) == 1 {
		d := lengths[0].Value.(time.Duration)
		if d < time.Minute || d > 12*time.Hour {
			return desk.AskBack("How long does it take? From 1 min to 12 h, for example: 20 min."), false
		}
		o.minutes = int(d / time.Minute)
	}
	if o.effort < 0 || o.effort > 1000 || o.least > 99 {
		return desk.AskBack("What is its effort? In minutes of ordinary work, for example: effort 30."), false
	}
	return desk.Reply{}, true
}

// reads reports that the line is built like one that gives work out: somebody,
// then a verb of work, or a mark between the two, or a way of sharing it.
func (r *reader) reads(o *order, whose []phrase.Span) bool {
	_, o.verb = baseVerbs()[r.first()]
	o.two = r.another(whose)
	if o.how != "" {
		return true
	}
	if len(whose) == 0 {
		return false
	}
	if first := whose[0].First; first > 1 && r.toks[first-1].Low == ":" {
		return true // "bins: Tom every friday"
	}
	next := whose[len(whose)-1].Past
	for next < len(r.toks) && (r.covered(next) || r.toks[next].Low == "to" || r.toks[next].Low == "all" || r.toks[next].Low == "both") {
		next++
	}
	if next >= len(r.toks) {
		return r.job()
	}
	if r.toks[next].Low == "-" || r.toks[next].Low == ":" {
		return true
	}
	_, verb := baseVerbs()[r.toks[next].Low]
	return verb || r.job()
}

// first is the first word of the line.
func (r *reader) first() string {
	i := slices.IndexFunc(r.toks, func(t phrase.Token) bool { return t.Kind == phrase.Word })
	if i < 0 {
		return ""
	}
	return r.toks[i].Low
}

// another reports somebody else who does something else: "and Pim helps".
func (r *reader) another(whose []phrase.Span) bool {
	return slices.ContainsFunc(r.reading.Terms("people"), func(s phrase.Span) bool {
		if s.Past >= len(r.toks) || slices.ContainsFunc(whose, func(w phrase.Span) bool { return w.First == s.First }) {
			return false
		}
		base, verb := baseVerbs()[r.toks[s.Past].Low]
		return verb && base != r.toks[s.Past].Low
	})
}

// job reports "the hens are Ivo's job".
func (r *reader) job() bool {
	return slices.ContainsFunc(r.toks, func(t phrase.Token) bool { return t.Low == "job" || t.Low == "jobs" })
}

func (r *reader) covered(i int) bool {
	return slices.ContainsFunc(r.reading.Spans, func(s phrase.Span) bool { return s.Kind != phrase.KindTerm && i >= s.First && i < s.Past })
}

// has reports a word of the line.
func (r *reader) has(words ...string) bool {
	return slices.ContainsFunc(r.toks, func(t phrase.Token) bool { return slices.Contains(words, t.Low) })
}

// either reports that two names or two times are left to choose from.
func (r *reader) either() bool {
	i := slices.IndexFunc(r.toks, func(t phrase.Token) bool { return t.Low == "or" })
	if i <= 0 || i+1 >= len(r.toks) {
		return false
	}
	at := func(i int) bool {
		return slices.ContainsFunc(r.reading.Spans, func(s phrase.Span) bool { return i >= s.First && i < s.Past })
	}
	return at(i+1) || r.toks[i+1].Kind == phrase.Num || at(i)
}

// stranger is a name that is nobody's: a capital beside the names, or first in a
// title where nobody is named.
func (r *reader) stranger(o *order) string {
	if strings.ToUpper(r.text) == r.text {
		return ""
	}
	spans := r.reading.Terms("people")
	for i, t := range r.toks {
		if t.Kind != phrase.Word || r.used[i] || i == 0 || !unicode.IsUpper([]rune(t.Text)[0]) || r.spanAt(i) {
			continue
		}
		beside := slices.ContainsFunc(spans, func(s phrase.Span) bool {
			return i > s.Past && i <= s.Past+1 && r.joins(s.Past, i) || i+1 < s.First && i+2 >= s.First && r.joins(i+1, s.First)
		})
		first := len(spans) == 0 && strings.HasPrefix(o.name, t.Text+" ")
		if (beside || first) && !r.animal(t.Text) {
			return t.Text
		}
	}
	return ""
}

// animal reports a name of the flock book: no person is meant with it.
func (r *reader) animal(name string) bool {
	herds, err := r.req.Tx.Herds(r.req.House.ID)
	return err == nil && slices.ContainsFunc(herds, func(h storage.Herd) bool { return strings.EqualFold(h.Name, name) })
}

func (r *reader) spanAt(i int) bool {
	return slices.ContainsFunc(r.reading.Spans, func(s phrase.Span) bool { return i >= s.First && i < s.Past })
}

func (r *reader) joins(from, to int) bool {
	for _, t := range r.toks[from:to] {
		if t.Low != "," && t.Low != "and" && t.Low != "&" {
			return false
		}
	}
	return from < to
}
