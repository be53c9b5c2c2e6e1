package house

import (
	"slices"
	"strings"
	"time"

	"yardbell/calc/food"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// dealt is what a line tells of things that went out or came in.
type dealt struct {
	way      string
	out, in  []desk.Goods
	whom     string // the neighbour as typed, empty for nobody named
	place    string // the market, the gate
	by       storage.Person
	price    price
	dishes   []string // lent with it, or by itself
	back     bool     // dishes come back
	asleep   bool     // not out of the larder
	at       time.Time
	question string // what has to be asked before anything is written
	refusal  string
}

// words is a line as tokens from which what is read is cut out.
type words []phrase.Token

func (w words) low(i int) string {
	if i < 0 || i >= len(w) {
		return ""
	}
	return w[i].Low
}

// text writes tokens as they were typed.
func (w words) text() string {
	out := ""
	for _, t := range w {
		out = joinToken(out, t)
	}
	return out
}

// find returns the place of the first of some words, -1 for none.
func (w words) find(some ...string) int {
	return slices.IndexFunc(w, func(t phrase.Token) bool { return slices.Contains(some, t.Low) })
}

// findLast returns the place of the last of some words, -1 for none.
func (w words) findLast(some ...string) int {
	for i := len(w) - 1; i >= 0; i-- {
		if slices.Contains(some, w[i].Low) {
			return i
		}
	}
	return -1
}

// without is a copy with tokens [i, j) left out.
func (w words) without(i, j int) words { return append(slices.Clone(w[:i]), w[j:]...) }

// dealVerbs maps how people say it to what it is.
var dealVerbs = map[string]string{
	"gave": "gave", "sent": "gave", "took": "took", "sold": "sold", "swapped": "swapped", "swopped": "swapped", "traded": "swapped", "bartered": "swapped", "lent": "lent", "loaned": "lent",
	"picked": "picked", "harvested": "picked", "dug": "picked", "gathered": "picked", "put": "put up", "putup": "put up", "made": "made", "bottled": "put up", "froze": "put up", "canned": "put up", "dried": "put up", "jarred": "put up",
	"got": "got", "had": "got", "bought": "bought", "brought": "brought", "dropped": "brought", "left": "brought", "returned": "returned", "borrowed": "borrowed",
}

// notDealers begin lines that tell of no dealing of ours, or ask.
var notDealers = []string{
	"he", "she", "they", "it", "you", "who", "what", "when", "where", "why", "how", "if", "did", "do", "does", "shall", "should", "would", "could", "might", "may", "can", "don't", "dont", "never", "not", "well", "is", "are", "was", "were", "there",
	"somebody", "someone", "nobody", "everybody", "everyone", "mum", "dad", "that", "this", "his", "her", "their", "eggs", "has", "have", "will",
}

// leads are words before a report that say nothing.
var leads = []string{"i", "we", "i've", "we've", "ive", "weve", "just", "also", "and", "oh", "ok", "right", "today", "forgot", "to", "say", "so", "finally", "then", "i'd", "already"}

// tails are words behind a report that say nothing.
var tails = []string{"thanks", "thank", "you", "please", "ta", "cheers", "x", "xx", "now", "today", "again", "too", "already"}

// readDealt reads a line that tells of a dealing; ok is false for any other.
func readDealt(req *desk.Request) (d dealt, ok bool) {
	if strings.Contains(req.Text, "?") || strings.HasSuffix(strings.TrimSpace(req.Text), "!") || req.Mentions("batch", "tray", "lol") {
		return d, false
	}
	w := corrected(req)
	if w.low(0) == "/" {
		w = w[1:]
	}
	if n := nameLength(req, w, 1); req.Slash && n > 0 && dealVerbs[w.low(1+n)] != "" { // a button: /got Ruth brought us 2 kg lamb
		w = w[1:]
	}
	w = atTheirs(w)
	if len(w) == 0 || slices.Contains(notDealers, w.low(0)) {
		return d, false
	}
	for len(w) > 0 && slices.Contains(tails, w.low(len(w)-1)) {
		w = w[:len(w)-1]
	}
	if i := w.find("larder"); i > 2 && w.low(i-1) == "the" && w.low(i-2) == "from" && w.low(i-3) == "not" {
		d.asleep, w = true, w[:i-3]
		for len(w) > 0 && w[len(w)-1].Kind == phrase.Mark {
			w = w[:len(w)-1]
		}
	}
	for len(w) > 1 && slices.Contains(leads, w.low(0)) {
		w = w[1:]
	}
	w, d.price = takePrice(req.Text, w)
	w, d.at, d.question, d.refusal = takeDate(req, w)
	for len(w) > 1 && slices.Contains(leads, w.low(0)) {
		w = w[1:]
	}
	for len(w) > 0 && (w[len(w)-1].Kind == phrase.Mark || slices.Contains(tails, w.low(len(w)-1))) {
		w = w[:len(w)-1]
	}
	if !d.readClause(req, w) {
		return d, false
	}
	return d, d.settle(req)
}

// noSlips are words of their own, a letter away from a verb of dealing.
var noSlips = strings.Fields(`have save cave wave pave rave give gate gaze game gale grave cold told bold hold gold fold mold sole solo scold solid slapped snapped swamped kicked licked ticked nicked pecked packed pricked wicked picket picker
	fought sought nought bough boughs drought wrought`)

// corrected are the tokens of the line, the word that named the ask without its slip.
func corrected(req *desk.Request) words {
	w := words(slices.Clone(req.Reading.Tokens))
	for i := range w {
		if i >= len(req.Reading.Named) || !req.Reading.Named[i] || dealVerbs[w[i].Low] != "" || slices.Contains(noSlips, w[i].Low) {
			continue
		}
		for v := range dealVerbs {
			if len(v) > 3 && phrase.Distance(v, w[i].Low) == 1 && strings.Contains(req.Form, v) {
				w[i].Low, w[i].Text = v, v
			}
		}
	}
	return w
}

// atTheirs writes "our dish is at Ruth's", "left the dish at Ruth's" and "Ruth's got our
// dish" as "Ruth has our dish".
func atTheirs(w words) words {
	word := func(t phrase.Token, s string) phrase.Token {
		t.Low, t.Text, t.Kind = s, s, phrase.Word
		return t
	}
	bare := func(t phrase.Token) phrase.Token {
		t.Text, t.Low = strings.TrimSuffix(strings.TrimSuffix(t.Text, "'s"), "’s"), strings.TrimSuffix(t.Low, "'s")
		return t
	}
	if len(w) > 2 && strings.HasSuffix(w.low(0), "'s") && w.low(1) == "got" {
		return append(words{bare(w[0]), word(w[1], "has")}, w[2:]...)
	}
	n := len(w)
	if n < 5 || w.low(n-2) != "at" || !strings.HasSuffix(w.low(n-1), "'s") {
		return w
	}
	thing := w[:n-2]
	switch {
	case thing.low(len(thing)-1) == "is" || thing.low(len(thing)-1) == "are":
		thing = thing[:len(thing)-1]
	case thing.low(0) == "left":
		thing = thing[1:]
	default:
		return w
	}
	if len(thing) < 2 || thing.low(0) != "our" && thing.low(0) != "the" && thing.low(0) != "my" {
		return w
	}
	return append(words{bare(w[n-1]), word(w[n-1], "has"), word(w[n-1], "our")}, thing[1:]...)
}

// takeDate cuts the day and time out of a line. What is to come is asked about.
func takeDate(req *desk.Request, w words) (rest words, at time.Time, question, refusal string) {
	text := w.text()
	toks := phrase.Tokens(text)
	r := phrase.Read(text, toks, req.Context(), phrase.Query{Kinds: []phrase.Kind{phrase.KindDate, phrase.KindPart, phrase.KindAfter, phrase.KindBad}})
	rest = words(toks)
	if len(r.Spans) == 0 {
		return rest, req.Now, "", ""
	}
	if bad := r.Of(phrase.KindBad); len(bad) > 0 && strings.ContainsFunc(bad[0].Text, func(r rune) bool { return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' }) {
		from := bad[0].First
		if p := rest.low(from - 1); p == "on" || p == "at" {
			from--
		}
		return rest.without(from, bad[0].Past), req.Now, "", bad[0].Value.(string)
	}
	m := r.Moment(req.Context(), phrase.Past)
	for i := len(r.Spans) - 1; i >= 0; i-- {
		s := r.Spans[i]
		first := s.First
		if p := rest.low(first - 1); p == "on" || p == "at" || p == "in" {
			first--
		}
		rest = rest.without(first, s.Past)
	}
	if m.Count == 0 {
		return rest, req.Now, "", ""
	}
	at = req.Instant(m.Wall)
	if !m.HasClock && m.HasDate && !m.Wall.Equal(day(req)) {
		at = req.Instant(m.Wall.Add(12 * time.Hour))
	} else if !m.HasClock {
		at = req.Now
	}
	if at.After(req.Now) {
		return rest, at, "That is still to come. Tell me when it has happened, or set a bell: ring tomorrow take Ruth the eggs", ""
	}
	return rest, at, "", ""
}

func day(req *desk.Request) time.Time {
	return time.Date(req.Wall.Year(), req.Wall.Month(), req.Wall.Day(), 0, 0, 0, 0, time.UTC)
}

// readClause reads who, what and to whom, once prices and days are cut out.
func (d *dealt) readClause(req *desk.Request, w words) bool {
	if len(w) == 0 {
		return false
	}
	w = asGiven(req, w)
	verb := dealVerbs[w.low(0)]
	if p, is := req.Person(w[0].Text); is && dealVerbs[w.low(1)] != "" {
		d.by = p
		w = w[1:]
		verb = dealVerbs[w.low(0)]
	}
	switch {
	case verb == "put up" && w.low(0) == "put" && w.low(len(w)-1) == "up":
		return d.readMade(verb, w[1:len(w)-1])
	case verb == "put up" && w.low(0) == "put":
		if w.low(1) != "up" {
			return false
		}
		return d.readMade(verb, w[2:])
	case verb == "made":
		return inJars(w[1:]) && d.readMade("put up", w[1:])
	case verb == "picked" && (w.low(1) == "up" || w.low(1) == "out"):
		return false
	case verb == "picked" || verb == "put up":
		return d.readMade(verb, w[1:])
	case verb == "got" || verb == "bought" || verb == "brought" && d.by.ID == 0:
		return d.readFrom(req, verb, w[1:])
	case verb == "gave" || verb == "sold" || verb == "lent" || verb == "took":
		return d.readTo(req, verb, w[1:])
	case verb == "swapped":
		return d.readSwap(req, w[1:])
	case verb == "returned":
		return d.readReturned(req, w[1:])
	case verb != "":
		return false
	}
	if d.readTail(req, w) {
		return true
	}
	return d.readTheirs(req, w)
}

// asGiven writes "let Ruth have 6 eggs" and "left 6 eggs for Ruth" as "gave Ruth 6 eggs".
func asGiven(req *desk.Request, w words) words {
	gave := w[0]
	gave.Text, gave.Low = "gave", "gave"
	if name, n := nameAt(req, w, 1); w.low(0) == "let" && n > 0 && w.low(1+n) == "have" && name != "" {
		return append(append(words{gave}, w[1:1+n]...), w[2+n:]...)
	}
	i := w.findLast("for")
	if _, n := nameAt(req, w, i+1); w.low(0) == "left" && i > 1 && n > 0 && i+1+n == len(w) && startsGoods(w[1:]) {
		return append(append(words{gave}, w[i+1:]...), w[1:i]...)
	}
	return w
}

// readMade reads what was picked or put up.
func (d *dealt) readMade(way string, w words) bool {
	d.way = way
	d.in = readAll(w)
	return true
}

// inJars tells 12 jars of jam from a cake that was made, which the kitchen writes.
func inJars(w words) bool {
	return len(w) > 1 && startsGoods(w) && w.find("jars", "jar", "bottles", "bottle", "pots", "pot") > 0
}

// readTail reads a report whose verb stands behind: 3 kg leeks picked, 12 eggs to Ruth.
func (d *dealt) readTail(req *desk.Request, w words) bool {
	last := w.low(len(w) - 1)
	if n := len(w); n > 3 && last == "back" && (w.low(n-2) == "is" || w.low(n-2) == "are") && (w.low(0) == "the" || w.low(0) == "our") {
		d.way, d.back, d.dishes = "got", true, []string{dishName(w[:n-2])}
		return true
	}
	switch {
	case last == "picked" || last == "dug":
		return d.readMade("picked", w[:len(w)-1])
	case last == "up" && w.low(len(w)-2) == "put":
		return d.readMade("put up", w[:len(w)-2])
	case last == "bottled" || last == "frozen":
		return d.readMade("put up", w[:len(w)-1])
	}
	if w[0].Kind != phrase.Num && w.low(0) != "a" && !numberWord(w.low(0)) {
		return false
	}
	i := w.findLast("to")
	name, n := nameAt(req, w, i+1)
	if i < 1 || n == 0 || i+1+n != len(w) {
		return false
	}
	d.way, d.whom, d.out = "gave", name, readAll(w[:i])
	return true
}

// readTo reads what we gave, sold, lent or took to somebody.
func (d *dealt) readTo(req *desk.Request, verb string, w words) bool {
	d.way = verb
	if verb == "took" {
		d.way = "gave"
	}
	if name, n := nameAt(req, w, 0); n > 0 && n < len(w) && (w[0].Text != w.low(0) || known(req, name) || startsGoods(w[n:])) {
		d.whom, w = name, w[n:]
	} else if i := w.findLast("to"); i > 0 {
		name, n := nameAt(req, w, i+1)
		if n == 0 {
			return false
		}
		d.whom = name
		tail := w[i+1+n:]
		w = w[:i]
		if rest := d.takeDish(append(words{{Low: "x", Text: "x", Kind: phrase.Word}}, tail...)); len(rest) == 1+len(tail) && !slices.Contains([]string{"", "at", "in", "for", "from", "on", "down", "over", "up"}, tail.low(0)) {
			w = append(slices.Clone(w), tail...)
		}
	} else if i := w.findLast("at"); i > 0 && verb == "sold" {
		d.place = w[i:].text()
		w = w[:i]
	} else if n > 0 && n == len(w) {
		d.whom, w = name, nil
	}
	if verb == "took" && d.whom == "" {
		return false
	}
	if w.low(len(w)-1) == "back" {
		d.back = true
		w = w[:len(w)-1]
	}
	w = d.takeDish(w)
	d.out = readAll(w)
	return true
}

// startsGoods reports words that begin with an amount, or with a thing of ours.
func startsGoods(w words) bool {
	return len(w) > 0 && (w[0].Kind == phrase.Num || w.low(0) == "a" || w.low(0) == "half" || numberWord(w.low(0)) || w.low(0) == "the" || w.low(0) == "our" || w.low(0) == "-")
}

// readFrom reads what we got from somebody, back or to keep.
func (d *dealt) readFrom(req *desk.Request, verb string, w words) bool {
	i := w.findLast("from")
	if i < 1 {
		return false
	}
	d.way = "got"
	if verb == "bought" {
		d.way = "bought"
	}
	name, n := nameAt(req, w, i+1)
	if shop := shopNamed(req, w[i+1:]); shop != "" && n != len(w)-i-1 {
		d.place = "from the " + shop
		d.in = readAll(w[:i])
		return w.find(fodderWords...) < 0
	}
	if n == 0 {
		return false
	}
	d.whom = name
	w = w.without(i, i+1+n)
	if w.low(len(w)-1) == "back" {
		d.back = true
		w = w[:len(w)-1]
		d.dishes = []string{dishName(w)}
		return true
	}
	d.in = readAll(w)
	return true
}

// fodderWords are what the barn buys.
var fodderWords = strings.Fields("pellets feed mash corn meal nuts sack sacks bale bales hay straw bedding shavings hens chicks pullets goats pigs weaners lambs")

// readSwap reads swapped A for B with Ruth, swapped Ruth A for B.
func (d *dealt) readSwap(req *desk.Request, w words) bool {
	d.way = "swapped"
	if i := w.findLast("with"); i >= 0 {
		name, n := nameAt(req, w, i+1)
		if n == 0 {
			return false
		}
		d.whom, w = name, w.without(i, i+1+n)
	} else if name, n := nameAt(req, w, 0); n > 0 {
		d.whom, w = name, w[n:]
	}
	i := w.find("for")
	if i < 0 {
		d.out = readAll(w)
		return true
	}
	d.out, d.in = readAll(w[:i]), readAll(w[i+1:])
	return true
}

// readReturned reads returned the dish to Ruth.
func (d *dealt) readReturned(req *desk.Request, w words) bool {
	i := w.findLast("to")
	name, n := nameAt(req, w, i+1)
	if i < 1 || n == 0 {
		return false
	}
	d.way, d.whom, d.back, d.dishes = "gave", name, true, []string{dishName(w[:i])}
	return true
}

// readTheirs reads what a neighbour did: gave us, brought, dropped off, bought, swapped us.
func (d *dealt) readTheirs(req *desk.Request, w words) bool {
	name, n := nameAt(req, w, 0)
	if n == 0 || n >= len(w) {
		return false
	}
	if _, ours := req.Person(name); ours {
		return false
	}
	d.whom, w = name, w[n:]
	if w.low(0) == "has" || w.low(0) == "have" {
		return d.readHas(w[1:])
	}
	verb := dealVerbs[w.low(0)]
	if verb == "" {
		return false
	}
	w = w[1:]
	for w.low(0) == "us" || w.low(0) == "off" || w.low(0) == "over" || w.low(0) == "round" {
		w = w[1:]
	}
	back := w.find("back")
	switch {
	case verb == "returned" || back >= 0 && (verb == "gave" || verb == "brought"):
		if back >= 0 {
			w = w.without(back, back+1)
		}
		d.way, d.back, d.dishes = "got", true, []string{dishName(w)}
		return true
	case verb == "gave" || verb == "brought" || verb == "sold":
		d.way = map[string]string{"sold": "bought"}[verb]
		if d.way == "" {
			d.way = "got"
		}
		d.in = readAll(w)
		return true
	case verb == "lent":
		d.way, d.dishes = "borrowed", []string{dishName(w)}
		return len(w) > 1 && !slices.Contains(notLent, w.low(len(w)-1))
	case verb == "borrowed":
		d.way, d.out = "lent", readAll(w)
		return true
	case verb == "got" || verb == "bought" || verb == "took":
		if i := w.findLast("from"); i > 0 && w.low(i+1) == "us" {
			w = w[:i]
		}
		d.way = map[bool]string{true: "sold", false: "gave"}[verb == "bought" || d.price.said]
		d.out = readAll(w)
		return true
	case verb == "swapped":
		if i := w.find("for"); i > 0 {
			d.way, d.in, d.out = "swapped", readAll(w[:i]), readAll(w[i+1:])
			return true
		}
	}
	return false
}

// readHas reads has our blue dish, has got our pie dish and two jars.
func (d *dealt) readHas(w words) bool {
	for w.low(0) == "got" || w.low(0) == "still" {
		w = w[1:]
	}
	if w.low(0) != "our" {
		return false
	}
	d.way = "lent"
	rest := w[1:]
	for {
		i := rest.find("and", ",")
		if i < 0 {
			break
		}
		d.dishes = append(d.dishes, dishName(rest[:i]))
		rest = rest[i+1:]
	}
	d.dishes = append(d.dishes, dishName(rest))
	return !slices.ContainsFunc(d.dishes, func(dish string) bool {
		last := dish[strings.LastIndexByte(dish, ' ')+1:]
		return !isDish(last) && !slices.Contains(lentNouns, last)
	})
}

// takeDish cuts "in the green bowl" off: the bowl is lent with what is in it.
func (d *dealt) takeDish(w words) words {
	i := w.findLast("in")
	if i < 1 || i+2 >= len(w) || w.low(i+1) != "the" && w.low(i+1) != "our" && w.low(i+1) != "a" || !isDish(w[len(w)-1].Low) {
		return w
	}
	d.dishes = append(d.dishes, dishName(w[i+1:]))
	return w[:i]
}

// dishName is a thing without its article.
func dishName(w words) string {
	for len(w) > 0 && slices.Contains([]string{"the", "our", "my", "a", "an", "his", "her", "their"}, w.low(0)) {
		w = w[1:]
	}
	return strings.ToLower(words(w).text())
}

// dishNouns are what food goes out in and comes back empty; lentNouns are further things
// that are lent.
var (
	dishNouns = strings.Fields(`dish dishes pan pans bowl bowls plate plates platter platters casserole basket baskets tray trays crate crates pot pots jug jugs tin tins tub tubs flask kettle bucket buckets jar jars cooler coolbox cage box boxes bag bags cloth bottle bottles`)
	lentNouns = strings.Fields(`ladder drill saw spade fork rake hoe barrow wheelbarrow trailer hose rope scales incubator press mincer book books tool tools chair chairs table tables tent key keys axe hammer shears clippers churn strainer mixer stove heater pump rotavator mower
		tractor crook halter cot pram car van bike bikes saddle projector`)
)

// notLent are what is had or lent in a manner of speaking.
var notLent = strings.Fields(`hand ear number sympathy vote thanks permission blessing address love support attention trust kids children word back time help name names weight voice shoulder`)

func isDish(w string) bool { return slices.Contains(dishNouns, w) }

// readAll reads things joined with and: 12 eggs and 2 jars of plum jam.
func readAll(w words) (out []desk.Goods) {
	var parts []words
	start := 0
	for i := 1; i+1 < len(w); i++ {
		if (w.low(i) == "and" || w.low(i) == ",") && startsGoods(w[i+1:]) && startsGoods(w[start:]) {
			parts = append(parts, w[start:i])
			start = i + 1
		}
	}
	parts = append(parts, w[start:])
	for _, p := range parts {
		if len(p) == 0 {
			continue
		}
		out = append(out, desk.Goods{Item: p.text()})
	}
	return out
}

// settle reads the amounts of what was found, and tells a dealing from talk.
func (d *dealt) settle(req *desk.Request) bool {
	var ok bool
	if d.out, ok = d.amounts(req, d.out); !ok {
		return false
	}
	if d.in, ok = d.amounts(req, d.in); !ok {
		return false
	}
	if d.back && len(d.dishes) == 0 && len(d.out) > 0 {
		d.dishes, d.out, d.question = []string{d.out[0].Item}, nil, ""
	}
	return d.complete(req)
}

// amounts reads the amounts of things that were told as words; what is lent and comes
// back goes to the dishes. It returns false for talk.
func (d *dealt) amounts(req *desk.Request, raw []desk.Goods) (out []desk.Goods, ok bool) {
	for i, r := range raw {
		low := strings.ToLower(r.Item)
		g, trouble := desk.ReadGoods(low, req.Context())
		said := strings.Fields(low)
		if g.Bare && d.lends(req, said) {
			d.dishes = append(d.dishes, dishName(words2(low)))
			continue
		}
		if !d.believable(req, low, g, i > 0) {
			return nil, false
		}
		d.ask(low, g, trouble)
		out = append(out, g)
	}
	return out, true
}

// lends reports the words of a thing that is lent and comes back: any that was lent by
// that word, a dish that was given with an article of ours.
func (d *dealt) lends(req *desk.Request, said []string) bool {
	if len(said) < 2 || len(said) > 6 {
		return false
	}
	last := said[len(said)-1]
	ours := said[0] == "the" || said[0] == "our"
	switch {
	case d.way == "lent":
		return !slices.Contains(notLent, last) && (ours || req.Slash || isDish(last) || slices.Contains(lentNouns, last))
	case d.way == "gave":
		return ours && isDish(last)
	}
	return false
}

func words2(text string) words { return words(phrase.Tokens(text)) }

// made are goods that no table of ingredients has.
var made = strings.Fields(`cake cakes pie pies loaf loaves bread stew soup pudding quiche lasagne tart tarts scone scones pancake pancakes oatcake oatcakes biscuit biscuits chicken duck goose hare rabbit pheasant partridge salmon trout ham bacon
	sausage sausages lamb mutton pork beef venison hogget fat tallow lard jam chutney marmalade pickle pickles cordial cider wine beer plant plants seedling seedlings cuttings flowers hay straw manure wood logs kindling soap candle candles wool fleece fleeces pellets`)

// goodsLike tells goods from hours, tickets and options: what is weighed, poured or in
// jars, a food, or a thing that the household's books have had.
func goodsLike(req *desk.Request, g desk.Goods) bool {
	if g.Item == "" {
		return false
	}
	if g.Dim != storage.Count || g.Each != "" && !g.Bare || len(food.Allergens(g.Item)) > 0 {
		return true
	}
	if slices.ContainsFunc(strings.Fields(g.Item), func(w string) bool {
		_, ok := food.Find(w)
		return ok || slices.Contains(made, w)
	}) {
		return true
	}
	lots, err := req.Tx.Lots(req.House.ID, false)
	return err == nil && slices.ContainsFunc(lots, func(l storage.Lot) bool { return sameThing(l.Item, g.Item) })
}

// believable reports goods that can be meant: an amount of goods, or what stands behind
// one: 2 l milk and a cake.
func (d *dealt) believable(req *desk.Request, raw string, g desk.Goods, further bool) bool {
	said := phrase.Words(raw)
	if len(said) == 0 {
		return req.Slash
	}
	if slices.Contains([]string{"for", "from", "of", "with"}, said[len(said)-1]) { // "a packet for you" names nothing
		return false
	}
	if slices.ContainsFunc(said, func(w string) bool {
		return slices.Contains([]string{"me", "him", "his", "her", "it", "them", "you", "out", "percent", "himself", "myself", "off", "on", "up", "here", "that", "which", "to"}, w)
	}) || len(strings.Fields(g.Item)) > 5 || slices.Contains([]string{"the", "our", "my", "no"}, said[0]) {
		return false
	}
	article := said[0] == "a" || said[0] == "an"
	switch {
	case req.Slash || further && article:
		return true
	case g.Bare && g.Each != "" && article:
		return true
	case g.Bare:
		return goodsLike(req, g) && (d.whom != "" || article)
	}
	return goodsLike(req, g)
}

// ask notes what has to be asked about an amount.
func (d *dealt) ask(raw string, g desk.Goods, trouble desk.Trouble) {
	article := strings.HasPrefix(raw, "a ") || strings.HasPrefix(raw, "an ")
	if d.question != "" {
		return
	}
	switch {
	case trouble == desk.NoThing:
		d.question = "Of what? For example: " + d.example()
	case trouble == desk.NoUnit:
		d.question = "How much " + g.Item + ", with its unit: weight, volume, jars, bags? For example: " + d.example()
	case trouble == desk.NotOne, g.Amount <= 0:
		d.question = "How much, as one amount? For example: " + d.example()
	case trouble == desk.EachOrAll:
		d.question = "Is that size each, or in all? For example: gave Ruth 3 bags flour 1.5 kg each"
	case g.Bare && !article:
		d.question = howMany(g.Item) + " " + g.Item + "? For example: " + d.example()
	}
}

// howMany asks for a number, or for an amount.
func howMany(item string) string {
	if strings.HasSuffix(item, "s") {
		return "How many"
	}
	return "How much"
}

// example is a line of the way that works.
func (d *dealt) example() string {
	switch d.way {
	case "sold":
		return "sold 24 eggs to Ruth for 6"
	case "swapped":
		return "swapped 24 eggs for 4 l milk with Ruth"
	case "picked":
		return "picked 9 kg tomatoes"
	case "put up":
		return "put up 14 jars of chutney"
	case "got", "bought":
		return "got 2 kg lamb from Ruth"
	case "lent":
		return "lent Ruth the big pan"
	}
	return "gave 12 eggs to Ruth"
}

// complete asks for what is missing: things, and with whom.
func (d *dealt) complete(req *desk.Request) bool {
	if d.whom != "" {
		if _, ours := req.Person(d.whom); ours || isAnimal(req, d.whom) {
			return false
		}
	}
	none := len(d.out)+len(d.in)+len(d.dishes) == 0
	switch {
	case d.question != "" || d.refusal != "":
	case none && d.place == "" && (req.Slash || d.whom != "" && d.way == "sold"):
		d.question = "What, and how much? For example: " + d.example()
	case none:
		return false
	case d.way == "swapped" && (len(d.in) == 0 || len(d.out) == 0):
		if !req.Slash && d.whom == "" {
			return false
		}
		d.question = "For what? For example: " + d.example()
	case d.whom == "" && (d.way == "gave" || d.way == "swapped" || d.way == "lent"):
		if !req.Slash {
			return false
		}
		d.question = "To whom? For example: " + d.example()
	case d.price.doubt:
		d.question = "For how much? For example: sold 24 eggs to Ruth for 6"
	}
	return true
}
