package house

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

func dealAskedAsks() []desk.Ask {
	given := []string{"gave 24 eggs to Ruth"}
	return []desk.Ask{{
		Name: "dealing", Command: "gave", Text: true, Question: true, Help: "what went out and came in: how many, when last, what",
		Forms:    []string{"how many|much * did|have|has|did", "what did|have|has we", "what has|have|did", "^what went out", "when did we last", "when did * last", "^eggs|jam|milk|honey to", "how much * made|earned|sold"},
		Examples: []desk.Example{{Setup: given, Line: "how many eggs did we give Ruth this year"}, {Setup: given, Line: "what did we give Ruth this month"}, {Setup: given, Line: "when did we last give Ruth eggs"}},
		Plain:    func(req *desk.Request) bool { _, ok := readAsked(req); return ok }, Do: asked,
	}, {
		Name: "dealing", Command: "gave", Text: true, Keep: true, Kinds: []phrase.Kind{phrase.KindNumber}, Needs: []desk.Need{{Kind: phrase.KindNumber}}, Help: "a number was wrong: it is corrected, not added",
		Forms: []string{"^that was", "^it was", "no that|it was"}, Examples: []desk.Example{{Setup: given, Line: "that was 18 eggs to Ruth not 24"}}, Plain: func(req *desk.Request) bool { return len(wrongNumbers(req)) == 2 }, Do: correct,
	}, {
		Name: "allergy", Command: "neighbours", Text: true, Question: true, Help: "what a neighbour must not eat, and whether something is for them", Forms: []string{"what is|are|'s * allergic to", "what's|whats * allergic to", "^can * have", "^can i|we give"},
		Examples: []desk.Example{{Setup: []string{"Ruth is allergic to nuts"}, Line: "what is Ruth allergic to"}, {Setup: []string{"Ruth is allergic to nuts"}, Line: "can Ruth have the marzipan"}},
		Plain:    plainAllergic, Do: allergicTo,
	}}
}

// question is what is asked about what went out and came in.
type question struct {
	ways     []string // empty for any
	out, in  bool     // which way
	with     storage.Neighbour
	whom     string // a name that is no neighbour's
	item     string
	from, to time.Time // zero for ever
	when     string    // how the time was said
	last     bool      // when last
	money    bool      // how much was made
	unit     string    // kg, lb: what a weight is asked in
}

// askedVerbs maps the verbs of a question to the ways that they ask for.
var askedVerbs = map[string][]string{
	"give": {"gave"}, "given": {"gave"}, "gave": {"gave"}, "sell": {"sold"}, "sold": {"sold"}, "swap": {"swapped"}, "swapped": {"swapped"}, "pick": {"picked"}, "picked": {"picked"}, "put": {"put up"}, "bottled": {"put up"}, "frozen": {"put up"}, "froze": {"put up"},
	"buy": {"bought"}, "bought": {"bought"}, "lend": {"lent"}, "lent": {"lent"}, "made": {"sold"}, "make": {"sold"}, "went": nil, "earned": {"sold"}, "had": nil, "get": nil, "got": nil,
}

// askedFill are words of a question that are no thing.
var askedFill = strings.Fields(`how many much did do does have has had we us our what when last the of on to from since so far this year month week in altogether all total away up ever i any it was were a thanks please ta and kg kilos kilo lb pounds g litres jars by now today yesterday been they she he with tell me for money out`)

// readAsked reads a question about what went out and came in.
func readAsked(req *desk.Request) (q question, ok bool) {
	w := words(slices.Clone(req.Reading.Tokens))
	w, q.from, q.to, q.when = takePeriod(req, w)
	verb := -1
	for i, t := range w {
		if _, is := askedVerbs[t.Low]; is && (verb < 0 || w.low(verb) == "had" || w.low(verb) == "got") && t.Low != "put" || t.Low == "put" && w.low(i+1) == "up" {
			verb = i
		}
	}
	n, named := neighbourIn(req)
	q.with = n
	if verb < 0 && !(named && w.find("to") > 0 && len(w) < 6) {
		return q, false
	}
	if verb >= 0 {
		q.ways = askedVerbs[w.low(verb)]
		q.money = w.low(verb) == "made" || w.low(verb) == "earned" || w.low(verb) == "make"
		if w.low(verb) == "make" && w.find("money") < 0 {
			return q, false
		}
	}
	q.last = w.find("last") >= 0
	theirs := named && verb > 0 && slices.ContainsFunc(w[:verb], func(t phrase.Token) bool { return strings.EqualFold(t.Text, n.Name) })
	switch { // what has Ruth given us; what has Ruth had from us
	case theirs && (w.find("us") > verb) && len(q.ways) > 0 && q.ways[0] == "gave":
		q.in, q.ways = true, nil
	case theirs:
		q.out, q.ways = true, nil
	case verb >= 0 && w.low(verb) == "went":
		q.out = true
		if w.low(verb+1) != "out" {
			return q, false
		}
	case len(q.ways) == 0 && verb >= 0:
		q.in = true
	case len(q.ways) > 0 && slices.Contains([]string{"picked", "put up", "bought"}, q.ways[0]):
		q.in = true
	case len(q.ways) > 0 && q.ways[0] == "swapped":
		q.in, q.out = true, true
	default:
		q.out = true
	}
	if !named {
		if name := namedLast(req); name != "" && verb >= 0 && (q.ways == nil || q.ways[0] != "picked" && q.ways[0] != "put up") {
			q.whom = name
		}
	}
	q.item, q.unit = askedItem(w, n.Name, q.whom)
	if len(q.ways) == 0 && !named && !(verb >= 0 && w.low(verb) == "went") || strings.Count(q.item, " ") > 3 {
		return q, false
	}
	if q.ways == nil && verb >= 0 && !theirs && w.find("from") < 0 && w.low(verb) != "went" {
		return q, false
	}
	return q, true
}

// askedItem is the thing that a question is about, and the unit that it asks for.
func askedItem(w words, names ...string) (item, unit string) {
	var out []string
	for _, t := range w {
		if t.Low == "kg" || t.Low == "kilos" || t.Low == "lb" || t.Low == "pounds" {
			unit = t.Low
		}
		_, verb := askedVerbs[t.Low]
		if t.Kind != phrase.Word || verb || slices.Contains(askedFill, t.Low) || slices.ContainsFunc(names, func(n string) bool {
			return n != "" && slices.Contains(phrase.Words(n), strings.TrimSuffix(t.Low, "'s"))
		}) {
			continue
		}
		out = append(out, t.Low)
	}
	return strings.Join(out, " "), unit
}

// takePeriod cuts the time out of a question: this year, last month, in february, since
// december. Without one it is ever.
func takePeriod(req *desk.Request, w words) (rest words, from, to time.Time, said string) {
	today := reminders.Day(req.Wall)
	year := time.Date(today.Year(), 1, 1, 0, 0, 0, 0, time.UTC)
	month := time.Date(today.Year(), today.Month(), 1, 0, 0, 0, 0, time.UTC)
	week := today.AddDate(0, 0, -(int(today.Weekday())+6)%7)
	spans := map[string][2]time.Time{
		"this year": {year}, "last year": {year.AddDate(-1, 0, 0), year}, "this month": {month}, "last month": {month.AddDate(0, -1, 0), month}, "this week": {week}, "last week": {week.AddDate(0, 0, -7), week},
	}
	for i := 0; i+1 < len(w); i++ {
		if s, is := spans[w.low(i)+" "+w.low(i+1)]; is {
			return w.without(i, i+2), s[0], s[1], w.low(i) + " " + w.low(i+1)
		}
	}
	for i := 0; i+1 < len(w); i++ {
		lead := w.low(i)
		if lead != "in" && lead != "since" {
			continue
		}
		for m := time.January; m <= time.December; m++ {
			if w.low(i+1) != strings.ToLower(m.String()) {
				continue
			}
			start := time.Date(today.Year(), m, 1, 0, 0, 0, 0, time.UTC)
			if start.After(today) {
				start = start.AddDate(-1, 0, 0)
			}
			if lead == "since" {
				return w.without(i, i+2), start, time.Time{}, "since " + m.String()
			}
			return w.without(i, i+2), start, start.AddDate(0, 1, 0), "in " + m.String()
		}
	}
	if i := w.find("today", "yesterday"); i >= 0 {
		if w.low(i) == "today" {
			return w.without(i, i+1), today, time.Time{}, "today"
		}
		return w.without(i, i+1), today.AddDate(0, 0, -1), today, "yesterday"
	}
	return w, from, to, ""
}

// about are the dealings that a question is about, newest last.
func (q question) about(req *desk.Request) ([]storage.Dealing, error) {
	all, err := req.Tx.Dealings(req.House.ID)
	return slices.DeleteFunc(all, func(d storage.Dealing) bool {
		at := req.WallOf(d.At)
		switch {
		case q.with.ID != 0 && d.Neighbour != q.with.ID, len(q.ways) > 0 && !slices.Contains(q.ways, d.Way), d.Way == "paid" || d.Way == "owes":
			return true
		case !q.from.IsZero() && at.Before(q.from), !q.to.IsZero() && !at.Before(q.to):
			return true
		case q.money != (d.Dim == storage.Money):
			return true
		case d.Dim != storage.Money && (d.Out && !q.out || !d.Out && !q.in):
			return true
		}
		return q.item != "" && !namesThing(d.Item, q.item)
	}), err
}

// namesThing reports that every word of what was asked is in the name of a thing.
func namesThing(item, asked string) bool {
	has := phrase.Words(item)
	return !slices.ContainsFunc(phrase.Words(asked), func(w string) bool {
		return !slices.ContainsFunc(has, func(h string) bool { return sameThing(h, w) })
	})
}

// asked answers it.
func asked(req *desk.Request) (desk.Reply, error) {
	q, ok := readAsked(req)
	if !ok {
		return desk.Reply{}, desk.ErrSilent
	}
	if q.whom != "" {
		return desk.Answer(fmt.Sprintf("Nothing is written down with %s.", q.whom)), nil
	}
	found, err := q.about(req)
	if err != nil {
		return desk.Reply{}, err
	}
	names, err := neighbourNames(req)
	if err != nil {
		return desk.Reply{}, err
	}
	out, err := q.bars(req)
	if err != nil {
		return desk.Reply{}, err
	}
	when := q.when
	if when != "" {
		when = " " + when
	}
	switch {
	case len(found) == 0 && len(out) == 0 && !req.Direct && q.item != "" && !goodsLike(req, desk.Goods{Item: q.item, Dim: storage.Count}):
		return desk.Reply{}, desk.ErrSilent // when did we last pick a fight
	case len(found) == 0 && len(out) == 0:
		return desk.Answer(fmt.Sprintf("Nothing of it is written down%s%s.", when, withWhom(q.with.Name))), nil
	case q.money:
		sum := 0.0
		for _, d := range found {
			sum += d.Amount
		}
		return desk.Answer(fmt.Sprintf("%.2f from %s%s.", sum, plainItem(q.item), when)), nil
	case q.last && len(found) > 0:
		d := found[len(found)-1]
		return desk.Answer(desk.Upper(req.SayDay(d.At)) + ": " + sayRow(req, d, names) + "."), nil
	case q.item != "" && len(found) > 0:
		return desk.Answer(desk.Upper(strings.Join(sums(req, found), " and ")) + when + withWhom(q.with.Name) + "."), nil
	}
	reply := desk.Answer("Written down" + when + withWhom(q.with.Name) + ":")
	for _, d := range found[max(0, len(found)-20):] {
		reply.Lines = append(reply.Lines, req.SayDay(d.At)+": "+sayRow(req, d, names))
	}
	reply.Lines = append(reply.Lines, out...)
	return reply, nil
}

func withWhom(name string) string {
	if name == "" {
		return ""
	}
	return ", with " + name
}

func plainItem(item string) string {
	if item == "" {
		return "everything that was sold"
	}
	return item
}

// bars are the soap that went to a neighbour: the rack keeps its own book.
func (q question) bars(req *desk.Request) (lines []string, err error) {
	if q.with.ID == 0 || !q.out || q.item != "" && !namesThing("bars soap", q.item) {
		return nil, nil
	}
	all, err := req.Tx.OutgoesTo(req.House.ID, q.with.Name)
	for _, o := range all {
		at := req.WallOf(o.At)
		if !q.from.IsZero() && at.Before(q.from) || !q.to.IsZero() && !at.Before(q.to) {
			continue
		}
		lines = append(lines, fmt.Sprintf("%s: %s %s soap", req.SayDay(o.At), o.How, desk.Plural(o.Bars, "bar")))
	}
	return lines, err
}

// sums adds up what is counted alike.
func sums(req *desk.Request, all []storage.Dealing) (out []string) {
	var goods []desk.Goods
	for _, d := range all {
		i := slices.IndexFunc(goods, func(g desk.Goods) bool { return sameThing(g.Item, d.Item) && g.Dim == d.Dim && g.Each == d.Each })
		if i < 0 {
			i = len(goods)
			goods = append(goods, desk.Goods{Item: d.Item, Dim: d.Dim, Each: d.Each})
		}
		goods[i].Amount += d.Amount
	}
	for _, g := range goods {
		out = append(out, sayDealt(req, g))
	}
	return out
}

// sayRow writes one dealing: gave Ruth 12 eggs.
func sayRow(req *desk.Request, d storage.Dealing, names map[int64]string) string {
	thing := sayDealt(req, desk.Goods{Item: d.Item, Dim: d.Dim, Each: d.Each, Amount: d.Amount})
	name := names[d.Neighbour]
	switch {
	case d.Dim == storage.Money:
		thing = fmt.Sprintf("%.2f for %s", d.Amount, d.Item)
	case d.Way == "swapped" && d.Out:
		return "swapped " + thing + " away with " + name
	case d.Way == "swapped":
		return "swapped in " + thing + " from " + name
	}
	switch {
	case name == "":
		return d.Way + " " + thing
	case d.Out:
		return d.Way + " " + name + " " + thing
	}
	return d.Way + " " + thing + " from " + name
}

// wrongNumbers are the right and the wrong number of "that was 10 eggs to Ruth not 12".
func wrongNumbers(req *desk.Request) []float64 {
	w := words(req.Reading.Tokens)
	not := w.findLast("not")
	was := w.find("was")
	if not < 0 || was < 0 || not < was || strings.Contains(req.Text, "?") {
		return nil
	}
	right, _, ok := numberAt(w, was+1)
	wrong, _, ok2 := numberAt(w, not+1)
	if !ok || !ok2 || right <= 0 {
		return nil
	}
	return []float64{right, wrong}
}

// correct makes the last dealing of a wrong number the right one, and the larder follows.
func correct(req *desk.Request) (desk.Reply, error) {
	ns := wrongNumbers(req)
	if len(ns) != 2 {
		return desk.Reply{}, desk.ErrSilent
	}
	all, err := req.Tx.Dealings(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	n, named := neighbourIn(req)
	w := words(req.Reading.Tokens)
	slices.Reverse(all)
	i := slices.IndexFunc(all, func(d storage.Dealing) bool {
		return sameAmount(d, ns[1]) && (!named || d.Neighbour == n.ID) && slices.ContainsFunc(w, func(t phrase.Token) bool { return namesThing(d.Item, t.Low) })
	})
	if i < 0 {
		return desk.Reply{}, desk.ErrSilent
	}
	d := all[i]
	right := d.Amount * ns[0] / ns[1]
	g := desk.Goods{Item: d.Item, Dim: d.Dim, Each: d.Each, Amount: right}
	names, err := neighbourNames(req)
	if err != nil {
		return desk.Reply{}, err
	}
	was := sayDealt(req, with(g, d.Amount))
	d.Amount = right
	text := sayRow(req, d, names) + ", not " + was
	if err := req.Record(storage.Entry{Kind: "dealing", About: aboutDeal(names[d.Neighbour]), Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SetDealt(d.ID, right); err != nil {
		return desk.Reply{}, err
	}
	if err := redraw(req, d, g, right-all[i].Amount); err != nil {
		return desk.Reply{}, err
	}
	return desk.Answer(desk.Upper(text) + "."), nil
}

// sameAmount reports that a dealing is of so many, in grams or kilograms.
func sameAmount(d storage.Dealing, n float64) bool {
	close := func(v float64) bool { return v-n < smallest && n-v < smallest }
	return close(d.Amount) || d.Dim != storage.Count && close(d.Amount/1000) || d.Dim == storage.Mass && close(d.Amount/pound)
}

// redraw makes the larder follow a dealing that was more, or less, than written.
func redraw(req *desk.Request, d storage.Dealing, g desk.Goods, more float64) error {
	if !d.Out {
		return reshelve(req, d, g, more)
	}
	draws, err := req.Tx.DealingDraws(req.House.ID, d.ID)
	if err != nil || len(draws) == 0 {
		return err
	}
	if more < 0 {
		for i := len(draws) - 1; i >= 0 && more < -smallest; i-- {
			back := min(draws[i].Lot.In(g.Dim, -more), draws[i].Amount)
			if err := req.Tx.PutBack(draws[i], back); err != nil {
				return err
			}
			more += back
		}
		return nil
	}
	lots, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return err
	}
	lots = slices.DeleteFunc(lotsOf(lots, g), func(l storage.Lot) bool { return l.Held(req.Now) })
	_, err = drawGoods(req, g, lots, d.ID, min(more, sumOf(lots, g.Dim)))
	return err
}

// reshelve corrects what came in: the newest lot of it holds more, or less.
func reshelve(req *desk.Request, d storage.Dealing, g desk.Goods, more float64) error {
	lots, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return err
	}
	lots = lotsOf(lots, g)
	for i := len(lots) - 1; i >= 0; i-- {
		if lots[i].Got.Equal(d.At) {
			return req.Tx.SetLeft(lots[i].ID, max(0, lots[i].Left+more))
		}
	}
	return nil
}

// allergicIn is the name in a question of somebody with an allergy, of a neighbour, or of
// one to be.
func allergicIn(req *desk.Request) (string, error) {
	if n, ok := neighbourIn(req); ok {
		return n.Name, nil
	}
	all, err := req.Tx.Allergies(req.House.ID)
	for _, a := range all {
		if slices.ContainsFunc(req.Reading.Tokens, func(t phrase.Token) bool { return strings.EqualFold(strings.TrimSuffix(t.Text, "'s"), a.Name) }) {
			return a.Name, err
		}
	}
	if strings.HasPrefix(req.Form, "^can") {
		return namedLast(req), err // somebody new
	}
	return "", err
}

// plainAllergic tells "can Ruth have the marzipan" from "can Ruth have the dog".
func plainAllergic(req *desk.Request) bool {
	name, err := allergicIn(req)
	if err != nil || name == "" {
		return false
	}
	return strings.HasPrefix(req.Form, "what") || goodsLike(req, desk.Goods{Item: thingAsked(req, name), Dim: storage.Count})
}

// thingAsked is what a question names beside a person.
func thingAsked(req *desk.Request, name string) string {
	var rest []string
	for _, t := range req.Reading.Tokens {
		if t.Kind == phrase.Word && !strings.EqualFold(t.Text, name) && !slices.Contains([]string{"can", "have", "give", "i", "we", "the", "some", "any", "a", "of", "our", "please", "to", "eat"}, t.Low) {
			rest = append(rest, t.Low)
		}
	}
	return strings.Join(rest, " ")
}

// allergicTo answers what somebody must not eat, or whether a thing is for them.
func allergicTo(req *desk.Request) (desk.Reply, error) {
	name, err := allergicIn(req)
	if err != nil || name == "" {
		return desk.Reply{}, desk.ErrSilent
	}
	if strings.HasPrefix(req.Form, "what") {
		all, err := req.Tx.Allergies(req.House.ID)
		if err != nil {
			return desk.Reply{}, err
		}
		var what []string
		for _, a := range all {
			if strings.EqualFold(a.Name, name) {
				what = append(what, sayAllergen(a.What))
			}
		}
		if len(what) == 0 {
			return desk.Answer(fmt.Sprintf("Nothing is written down that %s must not have. Ask %s.", name, name)), nil
		}
		return desk.Answer(fmt.Sprintf("%s must not have %s.", name, desk.List(what))), nil
	}
	return mayHave(req, name)
}

// mayHave answers whether somebody may be given a thing: what it holds, and what of it
// is held from eating.
func mayHave(req *desk.Request, name string) (desk.Reply, error) {
	item := thingAsked(req, name)
	if item == "" || strings.Count(item, " ") > 3 {
		return desk.Reply{}, desk.ErrSilent
	}
	what, err := mustNot(req, name, item)
	if err != nil {
		return desk.Reply{}, err
	}
	lots, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return desk.Reply{}, err
	}
	for _, l := range lots {
		if sameThing(l.Item, item) && l.Held(req.Now) {
			return desk.Answer(fmt.Sprintf("No: the larder's %s are %s.", l.Item, heldUntil(req, l))), nil
		}
	}
	held, err := req.Roster.Held(req, item)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(held) > 0 {
		return desk.Answer("No. "+held[0]+".", held[1:]...), nil
	}
	if len(what) > 0 {
		return desk.Answer(fmt.Sprintf("No: %s holds %s, and %s must not have it.", item, desk.List(what), name)), nil
	}
	return desk.Answer(fmt.Sprintf("Nothing in the name of %s that %s must not have. The label decides.", item, name)), nil
}
